// Starts the calculating engine on a page that has a calculator, before the page's own modules have
// come: Python takes longer than they do. Only where the copy on the device serves the page; on a
// first visit the page's own files go first. engine.mjs takes the worker over.
(() => {
  const worker = "engine-worker.js"; // built beside this file, under this name
  const address = new URL(worker, document.currentScript.src);
  const wanted = () => {
    try {
      if (localStorage.getItem("handbook-engine") === "plain") return false;
    } catch {
      // Without storage nothing was chosen.
    }
    return new URLSearchParams(location.search).get("engine") !== "plain";
  };
  if (!navigator.serviceWorker?.controller || document.hidden) return;
  if (!document.querySelector("live-calculator") || !wanted()) return;
  const begin = () => {
    const link = new Worker(address, { type: "module" });
    const heard = [];
    link.onmessage = link.onerror = (event) => heard.push(event);
    link.postMessage({ type: "boot", snapshot: true });
    globalThis.handbookEngine = { link, heard };
  };
  // The page is shown first.
  if (performance.getEntriesByType("paint").length > 0) begin();
  else requestAnimationFrame(() => setTimeout(begin));
})();

// Where a module of the page itself cannot be read, none of the book's own code is there to say so:
// a plain script sees it, has the copy on the device mended, and loads the page anew, once.
(() => {
  const NOTE = "handbook.guarded";
  const NO_SOONER = 60_000;
  // Built beside this file, under this name.
  const COPY = new URL("offline-copy.js", document.currentScript.src).href;
  const OURS = new URL(".", COPY).href;
  if ("course" in document.documentElement.dataset) return;
  const trouble = (words) => {
    document.documentElement.dataset.offline = "broken";
    for (const place of document.querySelectorAll("offline-state")) place.textContent = words;
  };
  const mend = async () => {
    trouble("This page's calculators could not start. Looking through the copy on this device");
    let told = "Reload the page. If it stays so, clear this site's data in the browser's settings; jobs are cleared with it, so save them as files first.";
    try {
      const { left, fetched, problem } = await (await import(COPY)).mendCopy();
      if (left.length > 0) told = `Damaged files of the copy: ${left.length}. ${problem.kind === "network" ? "Connect the device, then reload the page." : problem.message}`;
      else if (fetched.length > 0 && once()) return location.reload();
    } catch (error) {
      if (error.kind) told = error.message;
      else if ((await emptied()) && once()) return location.reload();
    }
    trouble(`This page's calculators could not start. ${told}`);
  };
  // What would mend the copy is damaged itself. With the site there, the service worker fetches a
  // file that is missing, and takes it only with the right hash.
  const emptied = async () => {
    try {
      await fetch(new URL("../edition.json?fresh=1", COPY), { cache: "no-store" });
      for (const name of await caches.keys()) {
        const cache = await caches.open(name);
        for (const request of await cache.keys()) {
          if (request.url.startsWith(OURS)) await cache.delete(request);
        }
      }
      return true;
    } catch {
      return false;
    }
  };
  const once = () => {
    try {
      if (Date.now() - Number(sessionStorage.getItem(NOTE)) < NO_SOONER) return false;
      sessionStorage.setItem(NOTE, String(Date.now()));
      return true;
    } catch {
      return false;
    }
  };
  let begun = false;
  addEventListener(
    "error",
    (event) => {
      // Once the entry has come alive, it looks after itself.
      if (begun || customElements.get("offline-state")) return;
      const { target } = event;
      const module = target instanceof HTMLScriptElement && target.type === "module";
      if (!module && !event.filename?.startsWith(OURS)) return;
      begun = true;
      void mend();
    },
    true,
  );
})();

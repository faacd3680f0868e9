const worker = new Worker(new URL("./pyodide-worker.js", import.meta.url), { type: "module" });
worker.onmessage = ({ data }) => {
  document.getElementById("answer").textContent = data;
  performance.mark("live-result");
};
worker.onerror = (event) => {
  document.documentElement.dataset.failed = event.message;
};

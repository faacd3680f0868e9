// Says at once whether a job is open, so that the page keeps room for its line from the first paint.
(() => {
  const read = (storage) => {
    try {
      return globalThis[storage].getItem("handbook.job");
    } catch {
      return null;
    }
  };
  const id = read("sessionStorage") ?? read("localStorage");
  if (id && id !== "scratch") document.documentElement.dataset.job = "open";
})();

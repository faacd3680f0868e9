// Says at once whether a job or an assignment is open, so that the page keeps room for its line from
// the first paint.
(() => {
  const read = (storage, name = "handbook.job") => {
    try {
      return globalThis[storage].getItem(name);
    } catch {
      return null;
    }
  };
  const id = read("sessionStorage") ?? read("localStorage");
  if (id && id !== "scratch") document.documentElement.dataset.job = "open";
  const path = read("localStorage", "handbook.path");
  if (path && !location.pathname.endsWith("/assignment/")) document.documentElement.dataset.path = "";
})();

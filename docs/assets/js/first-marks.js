// Marks the page before its first paint. What is marked later is worked into the looks of a whole page
// that stands already, and on a long page that takes longer than all else.
(() => {
  const html = document.documentElement;
  // The theme sets these when its own script has come; set already, they change nothing then.
  html.classList.remove("no-js");
  html.classList.add("js-focus-visible", "js");
  html.setAttribute("data-js-focus-visible", "");
  // Whether a job or an assignment is open, so that the page keeps room for its line.
  const read = (storage, name = "handbook.job") => {
    try {
      return globalThis[storage].getItem(name);
    } catch {
      return null;
    }
  };
  const id = read("sessionStorage") ?? read("localStorage");
  if (id && id !== "scratch") html.dataset.job = "open";
  const path = read("localStorage", "handbook.path");
  if (path && !location.pathname.endsWith("/assignment/")) html.dataset.path = "";
})();

// @ts-check
/**
 * The colours of the book: as the device has them, or light or dark as the reader chose.
 *
 * A small script in the page puts them on before anything is shown. Here is what changes them later.
 */

/** @typedef {"device" | "light" | "dark"} Choice */

const KEY = "handbook.scheme";
/** In the order in which the button goes round. @type {readonly Choice[]} */
const CHOICES = ["device", "light", "dark"];
/** @type {Record<Choice, string>} */
const WORDS = { device: "as on the device", light: "light", dark: "dark" };
const DARK = "(prefers-color-scheme: dark)";

/**
 * What the reader chose on this device.
 *
 * @param {() => Pick<Storage, "getItem">} open where a browser keeps nothing, asking for its storage throws
 * @returns {Choice}
 */
export function chosenScheme(open = () => globalThis.localStorage) {
  try {
    const kept = /** @type {Choice} */ (open().getItem(KEY));
    return CHOICES.includes(kept) ? kept : "device";
  } catch {
    return "device";
  }
}

/** @param {Choice} choice */
function keep(choice) {
  try {
    if (choice === "device") localStorage.removeItem(KEY);
    else localStorage.setItem(KEY, choice);
  } catch {
    // A device that keeps nothing shows the choice until the page is left.
  }
}

/** The colour of the browser's own bar above the page: each of the two lines is for one scheme. */
function colourBar(/** @type {Choice} */ choice) {
  const lines = /** @type {NodeListOf<HTMLMetaElement>} */ (
    document.querySelectorAll('meta[name="theme-color"]')
  );
  for (const line of lines) {
    line.dataset.scheme ??= line.media.includes("dark") ? "dark" : "light";
    const on = choice === line.dataset.scheme;
    line.media = choice === "device" ? `(prefers-color-scheme: ${line.dataset.scheme})` : on ? "all" : "not all";
  }
}

/** Make the button in the page's head work. */
export function offerSchemes() {
  const button = /** @type {HTMLButtonElement | null} */ (document.querySelector(".hb-scheme"));
  if (!button) return;
  const device = matchMedia(DARK);
  let choice = chosenScheme();

  const show = () => {
    const dark = choice === "dark" || (choice === "device" && device.matches);
    document.documentElement.dataset.scheme = dark ? "dark" : "light";
    document.body.setAttribute("data-md-color-scheme", dark ? "slate" : "default");
    colourBar(choice);
    for (const icon of /** @type {NodeListOf<HTMLElement>} */ (button.querySelectorAll("[data-choice]")))
      icon.hidden = icon.dataset.choice !== choice;
    button.setAttribute("aria-label", `Colours: ${WORDS[choice]}. Change`);
  };

  const change = () => {
    // The theme's mark against fading: each part would go over to its new colour in its own time.
    document.body.setAttribute("data-md-color-switching", "");
    show();
    requestAnimationFrame(() =>
      setTimeout(() => document.body.removeAttribute("data-md-color-switching")),
    );
  };

  button.addEventListener("click", () => {
    choice = CHOICES[(CHOICES.indexOf(choice) + 1) % CHOICES.length];
    keep(choice);
    change();
  });
  device.addEventListener("change", change);
  // Another tab has chosen.
  addEventListener("storage", ({ key }) => {
    if (key !== KEY && key !== null) return;
    choice = chosenScheme();
    change();
  });
  show();
  button.hidden = false;
}

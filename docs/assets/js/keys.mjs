// @ts-check
/**
 * What the theme leaves out for a reader without a mouse: its switches for the menu and the search
 * are labels that no key reaches, single letters are commands, and on the way from page to page the
 * place of the keyboard is lost.
 */

const SWITCHES = [
  ["__drawer", "Menu", "hb-menu"],
  ["__search", "Search", "hb-find"],
];
const COMMANDS = new Set(["f", "s", "/", "p", ",", "n", "."]);
const SCROLLERS = "article .lc-formula";
const TYPED = "input, textarea, select, [contenteditable]";

/**
 * Put a button in the place of the label of a switch.
 * @param {string} id @param {string} name @param {string} kind
 */
function button(id, name, kind) {
  const state = /** @type {HTMLInputElement | null} */ (document.getElementById(id));
  const label = document.querySelector(`.md-header label[for="${id}"]`);
  if (!state || !label) return;
  const made = document.createElement("button");
  made.type = "button";
  made.className = `${label.className} ${kind}`;
  made.setAttribute("aria-label", name);
  made.append(...label.childNodes);
  const tell = () => made.setAttribute("aria-expanded", String(state.checked));
  made.addEventListener("click", () => state.click());
  state.addEventListener("change", tell);
  tell();
  label.replaceWith(made);
}

/** Take the keyboard into the open menu, and bring it back. */
function followMenu() {
  const state = /** @type {HTMLInputElement | null} */ (document.getElementById("__drawer"));
  const menu = document.querySelector(".md-sidebar--primary");
  if (!state || !menu) return;
  const close = () => state.checked && state.click();
  state.addEventListener("change", () => {
    const inside = menu.contains(document.activeElement);
    if (state.checked) /** @type {HTMLElement | null} */ (menu.querySelector("a[href]"))?.focus();
    else if (inside) /** @type {HTMLElement | null} */ (document.querySelector(".hb-menu"))?.focus();
  });
  menu.addEventListener("focusout", (event) => {
    const to = /** @type {FocusEvent} */ (event).relatedTarget;
    if (to instanceof Node && !menu.contains(to)) close();
  });
  addEventListener("keydown", (event) => {
    if (event.key === "Escape") close();
  });
}

/** Begin at the head, or the place that was asked for, of a page that has come in without a load, unless something else has the focus. */
function followPages() {
  let first = true;
  /** @type {any} */ (globalThis).document$?.subscribe(() => {
    const loaded = first;
    first = false;
    const at = document.activeElement;
    // The list of what was found closes behind the reader, and takes the focus with it.
    const stays = at && at !== document.body && !at.closest(".md-search") && at.checkVisibility({ visibilityProperty: true });
    if (loaded || stays) return;
    const head = /** @type {HTMLElement | null} */ (document.querySelector("article h1"));
    const place = document.getElementById(location.hash.slice(1)) ?? head;
    if (place && !place.hasAttribute("tabindex")) place.setAttribute("tabindex", "-1");
    place?.focus({ preventScroll: true });
  });
}

/** Let the Tab key stop at boxes that scroll sideways, which not every browser does by itself. */
function reachScrollers() {
  for (const box of /** @type {NodeListOf<HTMLElement>} */ (document.querySelectorAll(SCROLLERS))) {
    if (box.scrollWidth > box.clientWidth + 1) box.tabIndex = 0;
    else box.removeAttribute("tabindex");
  }
}

export function mendKeys() {
  for (const [id, name, kind] of SWITCHES) button(id, name, kind);
  document.getElementById("__search")?.addEventListener("change", (event) => {
    if (/** @type {HTMLInputElement} */ (event.target).checked)
      /** @type {HTMLElement | null} */ (document.querySelector(".md-search__input"))?.focus();
  });
  followMenu();
  followPages();
  // A box that comes out of its fold may be too narrow for what is in it.
  document.addEventListener("toggle", reachScrollers, true);
  // A letter alone is no command: speech control and a slip of a glove type letters.
  addEventListener(
    "keydown",
    (event) => {
      if (event.key === "Tab") reachScrollers();
      const typed = event.target instanceof Element && event.target.closest(TYPED);
      if (!typed && COMMANDS.has(event.key)) event.stopImmediatePropagation();
    },
    true,
  );
}

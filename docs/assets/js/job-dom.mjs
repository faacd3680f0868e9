// @ts-check
/**
 * Makes the elements of the job record's parts.
 *
 * What a job holds may come from a file or a link of somebody else, so it only ever becomes text
 * or the value of an attribute, never HTML.
 */

/** @typedef {Node | string | null | undefined | false} Child */

/**
 * @param {string} name
 * @param {Record<string, string | boolean | null | undefined>} [attributes]
 * @param {...Child} children
 * @returns {HTMLElement}
 */
export function el(name, attributes = {}, ...children) {
  const element = document.createElement(name);
  for (const [attribute, value] of Object.entries(attributes)) {
    if (value === false || value === null || value === undefined) continue;
    element.setAttribute(attribute, value === true ? "" : value);
  }
  element.append(.../** @type {(Node | string)[]} */ (children.filter((child) => child || child === "")));
  return element;
}

/**
 * @param {string} action what the section does when it is pressed
 * @param {string} words
 * @param {Record<string, string | boolean | null | undefined>} [attributes]
 */
export function button(action, words, attributes = {}) {
  return el("button", { type: "button", "data-action": action, ...attributes }, words);
}

/**
 * Put other children into a part. Whatever had the focus gets it again, found by its `data-key`.
 *
 * @param {Element} part
 * @param {Child[]} children
 */
export function refill(part, children) {
  const { activeElement } = part.ownerDocument;
  const key = part.contains(activeElement) ? activeElement?.getAttribute("data-key") : null;
  part.replaceChildren(
    .../** @type {(Node | string)[]} */ (children.filter((child) => child || child === "")),
  );
  if (key) focusKey(part, key);
}

/**
 * @param {Element} part
 * @param {string} key
 * @returns {boolean} whether there is such an element
 */
export function focusKey(part, key) {
  const found = [...part.querySelectorAll("[data-key]")].find(
    (element) => element.getAttribute("data-key") === key,
  );
  if (found) /** @type {HTMLElement} */ (found).focus();
  return Boolean(found);
}

/**
 * A labelled control. The label names it by being around nothing else.
 *
 * @param {string} id
 * @param {string} label
 * @param {HTMLElement} control
 * @param {string} [help]
 */
export function field(id, label, control, help = "") {
  control.id = id;
  if (help) control.setAttribute("aria-describedby", `${id}-help`);
  return el(
    "div",
    { class: "jb-field" },
    el("label", { for: id }, label),
    control,
    help && el("p", { class: "jb-help", id: `${id}-help` }, help),
  );
}

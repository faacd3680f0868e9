// @ts-check
/**
 * What the pages of the trainer share: controls, files of training, sentences of a refusal.
 */
import { el } from "./job-dom.mjs";
import { FileRefusal } from "./job-files.mjs";

/** @typedef {{id: string, title: string}} Titled */
/** @typedef {{id: string, title: string, levels: Titled[]}} Family */

const LARGEST_FILE = 4_000_000;

/**
 * @param {string} name
 * @param {Titled[]} options
 * @param {string} chosen
 * @param {Record<string, string>} [attributes]
 */
export function select(name, options, chosen, attributes = {}) {
  return el(
    "select",
    { name, ...attributes },
    ...options.map(({ id, title }) => el("option", { value: id, selected: id === chosen }, title)),
  );
}

/**
 * @param {string} name
 * @param {Record<string, string>} [attributes]
 */
export function input(name, attributes = {}) {
  return el("input", { name, type: "text", autocomplete: "off", ...attributes });
}

/**
 * @param {string} name
 * @param {string} legend
 * @param {Titled[]} options
 * @param {string} chosen
 */
export function radios(name, legend, options, chosen) {
  return el(
    "fieldset",
    { class: "tw-radios" },
    el("legend", {}, legend),
    ...options.map(({ id, title }) =>
      el(
        "label",
        {},
        el("input", { type: "radio", name, value: id, checked: id === chosen }),
        el("span", {}, title),
      ),
    ),
  );
}


/** Units as a reader knows them. @type {Titled[]} */
export const SYSTEMS = [
  { id: "si", title: "bar, L, °C" },
  { id: "us", title: "psi, gal, °F" },
];

/**
 * @param {string} text as typed
 * @param {number} least
 * @param {number} most
 * @returns {number | null} a whole number within the bounds, or null
 */
export function whole(text, least, most) {
  if (!/^\d{1,16}$/.test(text.trim())) return null;
  const number = Number(text.trim());
  return number >= least && number <= most ? number : null;
}

/** A seed of six figures: short enough to be read out. */
export function freshSeed() {
  return 100_000 + (crypto.getRandomValues(new Uint32Array(1))[0] % 900_000);
}

/** @returns {string} 16 letters or figures that no other assignment has */
export function freshId() {
  return [...crypto.getRandomValues(new Uint8Array(8))]
    .map((byte) => byte.toString(16).padStart(2, "0"))
    .join("");
}

/** @param {any} answer */
export function messageOf(answer) {
  const errors = answer?.errors ?? [];
  return errors.map((/** @type {any} */ error) => error.message).join(" ") || "No answer came.";
}

/** @param {unknown} error */
export function plain(error) {
  return error instanceof Error ? error.message : String(error);
}

/** @param {Blob} file @param {string} ending the name's ending that is expected */
export async function trainingText(file, ending) {
  if (file.size === 0) throw new FileRefusal("The file is empty. Ask for it again.");
  if (file.size > LARGEST_FILE) {
    throw new FileRefusal(
      `The file has ${Math.round(file.size / 1e6)} MB, far more than a file of training. ` +
        `Choose a file that ends in ${ending}.`,
    );
  }
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
  } catch (error) {
    throw new FileRefusal(
      error instanceof TypeError
        ? `This is not text, so it is no file of training. Choose a file that ends in ${ending}.`
        : "The file could not be opened. Copy it onto this device and try again.",
    );
  }
}

/** @param {string} title @param {string} ending @param {string} [otherwise] */
export function trainingName(title, ending, otherwise = "assignment") {
  const slug = title
    .normalize("NFKD")
    .replace(/\p{M}/gu, "")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .slice(0, 60)
    .replace(/^-+|-+$/g, "");
  return `cold-fill-${slug || otherwise}${ending}`;
}

/** @param {string} html made by the engine, which escapes every text @returns {DocumentFragment} */
export function fragment(html) {
  const template = document.createElement("template");
  template.innerHTML = html;
  return template.content;
}

/**
 * Print one part of the page. The style sheet leaves out whatever is not inside it.
 *
 * @param {HTMLElement} element of the page, marked while the browser prints
 * @param {string} part
 */
export function printPart(element, part) {
  const root = document.documentElement;
  element.dataset.print = part;
  root.dataset.printPart = "tw";
  const end = () => {
    delete element.dataset.print;
    delete root.dataset.printPart;
  };
  addEventListener("afterprint", end, { once: true });
  // Letters that are not here yet would be printed in others, which take another room.
  const ready = document.fonts?.ready;
  if (ready) void ready.then(() => globalThis.print());
  else globalThis.print();
}


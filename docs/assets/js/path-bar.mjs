// @ts-check
/**
 * The line at the head of the other pages while an assignment is open: which item, and the way on.
 *
 * With no assignment open it shows nothing and takes no room.
 */
import { writeHash } from "./hash.mjs";
import { button, el, refill } from "./job-dom.mjs";
import { training } from "./training-store.mjs";

/** @typedef {import("./training-store.mjs").Progress} Progress */

const ROOT = new URL("../../", import.meta.url);
const PATH = new URL("assignment/", ROOT);
const PAGE = /^[a-z0-9][a-z0-9-]{0,63}$/;
/** Read by the page's head, so that there is room for the line from the first paint. */
const MARK = "handbook.path";

/**
 * Return the address of the page of an item, with the numbers that are set in its calculator.
 *
 * @param {any} item of an assignment
 */
export function addressOf(item) {
  if (typeof item?.page !== "string" || !PAGE.test(item.page)) return PATH.href;
  const address = new URL(`${item.page}/`, ROOT);
  if (item.inputs) {
    const { calculator, system, values } = item.inputs;
    address.hash = writeHash({ calculator, system, inputs: values });
  }
  return address.href;
}

/** @param {string} path of an address @param {any} item */
function standsOn(path, item) {
  return Boolean(item?.page) && new URL(addressOf(item)).pathname === path;
}

/**
 * Return the item that the page at a path belongs to: the one worked on, else the first open one.
 *
 * @param {Progress} progress
 * @param {string} path
 */
export function itemAt(progress, path) {
  const { items } = progress.assignment;
  if (standsOn(path, items[progress.place])) return progress.place;
  const open = items.findIndex(
    (/** @type {any} */ item, /** @type {number} */ index) =>
      standsOn(path, item) && !progress.items[index].done,
  );
  return open;
}

export class PathBar extends HTMLElement {
  static store = training;
  /** @type {(address: string) => void} */
  static go = (address) => location.assign(address);

  #store = PathBar.store();
  /** @type {AbortController | null} */ #listening = null;
  /** @type {Progress | null} */ #progress = null;

  connectedCallback() {
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    this.addEventListener("click", this.#onClick, { signal });
    this.#store.addEventListener("change", () => void this.#look(), { signal });
    void this.#look().then(() => this.#visit());
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
  }

  async #look() {
    const signal = this.#listening?.signal;
    const progress = await this.#store.opened().catch(() => null);
    if (!signal || signal.aborted) return;
    this.#progress = location.pathname === PATH.pathname ? null : progress;
    mark(progress !== null, this.#progress !== null);
    this.#show();
  }

  /** The page of an item counts as opened, and its item is the one that is worked on. */
  async #visit() {
    const progress = this.#progress;
    if (!progress) return;
    const index = itemAt(progress, location.pathname);
    if (index < 0) return;
    if (progress.items[index].visited && progress.place === index) return;
    await this.#store.keep(progress.id, (old) =>
      old ? changed(old, index, { visited: true }, index) : null,
    );
  }

  #show() {
    const progress = this.#progress;
    this.dataset.state = progress ? "open" : "none";
    if (!progress) {
      this.replaceChildren();
      return;
    }
    const here = itemAt(progress, location.pathname);
    const index = here < 0 ? progress.place : here;
    const item = progress.assignment.items[index];
    const done = progress.items[index].done;
    const next = index + 1 < progress.items.length;
    refill(this, [
      el(
        "nav",
        { class: "tr-bar", "aria-label": "Assignment" },
        el(
          "p",
          { class: "tr-bar-line" },
          el("b", {}, `${index + 1} of ${progress.items.length}: `),
          el("span", {}, progress.words[index]),
        ),
        el(
          "div",
          { class: "tr-bar-acts" },
          here >= 0 &&
            button("bar-next", words(item.kind, done, next), {
              class: "tr-main",
              "data-index": String(index),
              "data-key": "bar-next",
            }),
          here < 0 &&
            item.page &&
            el("a", { class: "tr-link", href: addressOf(item), "data-key": "bar-to" }, "To this page"),
          el("a", { class: "tr-link", href: PATH.href, "data-key": "bar-back" }, "Back to the path"),
          button("bar-leave", "Leave", {
            "data-key": "bar-leave",
            "aria-label": "Leave the assignment; what you did is kept",
          }),
        ),
      ),
    ]);
  }

  /** @type {(event: Event) => void} */
  #onClick = (event) => {
    const pressed = /** @type {any} */ (event.target)?.closest?.("button[data-action]");
    const action = pressed?.dataset.action;
    if (action === "bar-next") void this.#next(Number(pressed.dataset.index));
    if (action === "bar-leave") void this.#store.close();
  };

  /** @param {number} index of the item that is done now */
  async #next(index) {
    const progress = this.#progress;
    if (!progress) return;
    const next = Math.min(index + 1, progress.items.length - 1);
    await this.#store.keep(progress.id, (old) =>
      old ? changed(old, index, { visited: true, done: true }, next) : null,
    );
    const item = progress.assignment.items[next];
    PathBar.go(next > index && item.page ? addressOf(item) : PATH.href);
  }
}

/**
 * @param {Progress} progress
 * @param {number} index
 * @param {Partial<import("./training-store.mjs").ItemProgress>} change
 * @param {number} place
 * @returns {Progress}
 */
function changed(progress, index, change, place) {
  const items = progress.items.map((item, number) =>
    number === index ? { ...item, ...change } : item,
  );
  return { ...progress, items, place };
}

/** @param {string} kind @param {boolean} done @param {boolean} next */
function words(kind, done, next) {
  const way = next ? "next" : "to the end";
  if (done) return next ? "Next" : "To the end";
  return kind === "checklist" ? `Steps done, ${way}` : `Read, ${way}`;
}

/** @param {boolean} open @param {boolean} shown whether this page has the line */
function mark(open, shown) {
  document.documentElement.toggleAttribute("data-path", shown);
  try {
    if (open) globalThis.localStorage.setItem(MARK, "open");
    else globalThis.localStorage.removeItem(MARK);
  } catch {
    // The line comes a moment later then.
  }
}

// @ts-check
/**
 * The assignment that a trainer is making: kept on the device at every change, so that it survives
 * a reload. What is right in it, the engine says.
 */
import { freshId, freshSeed } from "./trainer-parts.mjs";

/**
 * @typedef {object} Inputs numbers that are set on a page
 * @property {string} calculator
 * @property {string} system
 * @property {Record<string, string>} values
 */
/**
 * @typedef {object} Item
 * @property {"page" | "problems" | "drill" | "checklist"} kind
 * @property {string} [page]
 * @property {Inputs} [inputs]
 * @property {string} [family]
 * @property {string} [level]
 * @property {number} [count]
 * @property {string} [drill]
 * @property {number} [seed]
 */
/**
 * @typedef {object} Assignment
 * @property {string} id
 * @property {string} title
 * @property {string} note
 * @property {string} due
 * @property {string} system
 * @property {number} seed
 * @property {boolean} same
 * @property {number} pass
 * @property {string} counts
 * @property {Item[]} items
 */

const KEPT = "handbook.assign.1";
const KINDS = ["page", "problems", "drill", "checklist"];
const LONGEST_KEPT = 400_000;
const MOST_SEED = Number.MAX_SAFE_INTEGER;

/** @param {string} [system] @returns {Assignment} */
export function blank(system = "si") {
  return {
    id: freshId(),
    title: "",
    note: "",
    due: "",
    system: system === "us" ? "us" : "si",
    seed: freshSeed(),
    same: false,
    pass: 70,
    counts: "first",
    items: [],
  };
}

/**
 * Return what is sound of a kept draft, or null. The engine looks closer before anything goes out.
 *
 * @param {any} found
 * @returns {Assignment | null}
 */
export function soundDraft(found) {
  if (typeof found !== "object" || found === null || !/^[0-9a-f]{16}$/.test(found.id)) return null;
  const text = (/** @type {unknown} */ value) => (typeof value === "string" ? value : "");
  const number = (/** @type {any} */ value, /** @type {number} */ most, /** @type {number} */ or) =>
    Number.isSafeInteger(value) && value >= 0 && value <= most ? value : or;
  const items = Array.isArray(found.items) ? found.items : [];
  return {
    id: found.id,
    title: text(found.title),
    note: text(found.note),
    due: text(found.due),
    system: found.system === "us" ? "us" : "si",
    seed: number(found.seed, MOST_SEED, freshSeed()),
    same: found.same === true,
    pass: number(found.pass, 100, 70),
    counts: found.counts === "last" ? "last" : "first",
    items: items.filter((/** @type {any} */ item) => KINDS.includes(item?.kind)),
  };
}

export class Draft {
  /** @type {Assignment} */ assignment;
  /** @type {{item: Item, at: number} | null} what was removed last */ removed = null;

  /**
   * @param {() => Storage} [open] may throw, as browsers do when storage is forbidden
   * @param {string} [system] of a new one
   */
  constructor(open = () => globalThis.localStorage, system = "si") {
    this.open = open;
    this.assignment = this.#kept() ?? blank(system);
  }

  #kept() {
    try {
      return soundDraft(JSON.parse(this.open().getItem(KEPT) ?? "null"));
    } catch {
      return null;
    }
  }

  /** @returns {boolean} whether the device keeps it */
  keep() {
    try {
      const text = JSON.stringify(this.assignment);
      if (text.length > LONGEST_KEPT) return false;
      this.open().setItem(KEPT, text);
      return true;
    } catch {
      return false;
    }
  }

  get isEmpty() {
    const { title, note, items } = this.assignment;
    return title.trim() === "" && note.trim() === "" && items.length === 0;
  }

  /** @param {Partial<Assignment>} parts */
  set(parts) {
    Object.assign(this.assignment, parts);
    return this.keep();
  }

  /** @param {Assignment} assignment */
  replace(assignment) {
    this.assignment = assignment;
    this.removed = null;
    return this.keep();
  }

  /** @param {Item} item @param {number} [at] */
  add(item, at = this.assignment.items.length) {
    this.assignment.items.splice(at, 0, item);
    return this.keep();
  }

  /** @param {number} at @param {-1 | 1} by @returns {boolean} whether it moved */
  move(at, by) {
    const { items } = this.assignment;
    const to = at + by;
    if (!items[at] || !items[to]) return false;
    [items[at], items[to]] = [items[to], items[at]];
    this.keep();
    return true;
  }

  /** @param {number} at */
  remove(at) {
    const [item] = this.assignment.items.splice(at, 1);
    if (item) this.removed = { item, at };
    return this.keep();
  }

  /** Bring back what was removed last. @returns {number} its place, or -1 */
  undo() {
    if (!this.removed) return -1;
    const { item } = this.removed;
    const at = Math.min(this.removed.at, this.assignment.items.length);
    this.removed = null;
    this.add(item, at);
    return at;
  }

  /** The same work under another number, so that it is told apart from what was handed out. */
  renew() {
    return this.set({ id: freshId(), seed: freshSeed() });
  }
}

// @ts-check
/**
 * The reader's choice of units, kept on the device, and what of a kept record of entries is sound.
 *
 * What comes back from storage is treated as foreign: it may be old, cut short, brought in by a
 * file, or written by another page on the same origin.
 */

/**
 * @typedef {object} Kept what was typed into one calculator
 * @property {"si" | "us"} system
 * @property {Record<string, string>} values control name to text
 * @property {Record<string, string>} taken input name to the fact it took
 * @property {string} at
 */

const SYSTEM = "handbook.system.1";
const NAME = /^[a-z][a-z0-9_]*(\.\d{1,3}\.[a-z][a-z0-9_]*)?(\.(unit|pm))?$/;
const WORD = /^[a-z][a-z0-9_]*$/;
const LONGEST_TEXT = 400;
const MOST_VALUES = 1000;

/**
 * Return what is sound of a record, or null if it is none.
 *
 * @param {unknown} record
 * @returns {Kept | null}
 */
export function soundEntries(record) {
  if (typeof record !== "object" || record === null) return null;
  const { system, values, taken, at } = /** @type {Record<string, unknown>} */ (record);
  if (system !== "si" && system !== "us") return null;
  if (typeof values !== "object" || values === null || Array.isArray(values)) return null;
  return {
    system,
    values: texts(values, NAME),
    taken: texts(taken, WORD),
    at: typeof at === "string" ? at : "",
  };
}

/** @param {unknown} found @param {RegExp} names @returns {Record<string, string>} */
function texts(found, names) {
  /** @type {Record<string, string>} */
  const kept = {};
  for (const [name, value] of Object.entries(found ?? {}).slice(0, MOST_VALUES)) {
    if (!names.test(name) || typeof value !== "string" || value.length > LONGEST_TEXT) continue;
    kept[name] = value;
  }
  return kept;
}

export class Store {
  /** @param {() => Storage} open may throw, as browsers do when storage is forbidden */
  constructor(open = () => globalThis.localStorage) {
    this.open = open;
  }

  /** @returns {"si" | "us" | null} the units the reader chose last, on whatever page */
  preferredSystem() {
    try {
      const system = this.open().getItem(SYSTEM);
      return system === "si" || system === "us" ? system : null;
    } catch {
      return null;
    }
  }

  /** @param {"si" | "us"} system */
  preferSystem(system) {
    try {
      this.open().setItem(SYSTEM, system);
    } catch {
      // The choice holds for this page, which is all that a locked storage allows.
    }
  }
}

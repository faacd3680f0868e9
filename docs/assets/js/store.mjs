// @ts-check
/**
 * Keeps what a person typed, one record per calculator, so that a reload loses nothing.
 *
 * The record is a flat list of control names and texts. What comes back is treated as foreign:
 * it may be old, cut short, or written by another page on the same origin.
 */

/** @typedef {{system: string, values: Record<string, string>}} Kept */

const PREFIX = "handbook.typed.1.";
const SYSTEM = "handbook.system.1";
const NAME = /^[a-z][a-z0-9_]*(\.\d{1,3}\.[a-z][a-z0-9_]*)?(\.(unit|pm))?$/;
const LONGEST_RECORD = 100_000;
const LONGEST_TEXT = 400;
const MOST_VALUES = 1000;

/**
 * Return the record if it is sound, else null.
 *
 * @param {string | null} text
 * @returns {Kept | null}
 */
export function soundRecord(text) {
  if (text === null || text.length > LONGEST_RECORD) return null;
  /** @type {unknown} */
  let record;
  try {
    record = JSON.parse(text);
  } catch {
    return null;
  }
  if (typeof record !== "object" || record === null) return null;
  const { system, values } = /** @type {Record<string, unknown>} */ (record);
  if (system !== "si" && system !== "us") return null;
  if (typeof values !== "object" || values === null || Array.isArray(values)) return null;
  /** @type {Record<string, string>} */
  const kept = {};
  for (const [name, value] of Object.entries(values).slice(0, MOST_VALUES)) {
    if (!NAME.test(name) || typeof value !== "string" || value.length > LONGEST_TEXT) continue;
    kept[name] = value;
  }
  return { system, values: kept };
}

export class Store {
  /** @param {() => Storage} open may throw, as browsers do when storage is forbidden */
  constructor(open = () => globalThis.localStorage) {
    this.open = open;
  }

  /** @param {string} calculator @returns {Kept | null} */
  read(calculator) {
    try {
      return soundRecord(this.open().getItem(PREFIX + calculator));
    } catch {
      return null;
    }
  }

  /** @param {string} calculator @param {Kept} kept @returns {boolean} whether it was kept */
  write(calculator, kept) {
    try {
      this.open().setItem(PREFIX + calculator, JSON.stringify(kept));
      return true;
    } catch {
      return false;
    }
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

  /** @param {string} calculator */
  forget(calculator) {
    try {
      this.open().removeItem(PREFIX + calculator);
    } catch {
      // Nothing was kept, so nothing is left to forget.
    }
  }
}

// @ts-check
/**
 * Reads and writes the numbers of one calculator in the address of the page.
 *
 * The form is `#pre-charge?height=11.4%20m&method=en12828`. It lives in the fragment, because the
 * offline copy of a page ignores the query, and because a fragment never leaves the device.
 */

/** @typedef {Record<string, string>} Texts Field name to the text a person would type. */
/** @typedef {{calculator: string, system: string | null, inputs: Texts}} Link */
/** @typedef {{value: string, unit: string | null, pm: string | null}} Parts */

const CALCULATOR = /^[a-z][a-z0-9-]{0,63}$/;
const FIELD = /^[a-z][a-z0-9_]{0,63}$/;
const SYSTEMS = new Set(["si", "us"]);
const LONGEST_TEXT = 2000;
const MOST_FIELDS = 100;

/**
 * Read a fragment. Anything that is not ours gives null, and never an exception.
 *
 * @param {string} hash with or without the leading `#`
 * @returns {Link | null}
 */
export function readHash(hash) {
  const text = hash.replace(/^#/, "");
  const cut = text.indexOf("?");
  if (cut < 0) return null;
  const calculator = text.slice(0, cut);
  if (!CALCULATOR.test(calculator)) return null;
  /** @type {Texts} */
  const inputs = {};
  /** @type {string | null} */
  let system = null;
  for (const pair of text.slice(cut + 1).split("&").slice(0, MOST_FIELDS)) {
    const equals = pair.indexOf("=");
    if (equals < 1) continue;
    const name = decoded(pair.slice(0, equals));
    const value = decoded(pair.slice(equals + 1));
    if (name === null || value === null || value.length > LONGEST_TEXT) continue;
    if (name === "system") {
      if (SYSTEMS.has(value)) system = value;
    } else if (FIELD.test(name)) {
      inputs[name] = value;
    }
  }
  return { calculator, system, inputs };
}

/**
 * Write a fragment, leading `#` included.
 *
 * @param {Link} link
 * @returns {string}
 */
export function writeHash({ calculator, system, inputs }) {
  const pairs = Object.entries(inputs).map(
    ([name, value]) => `${encodeURIComponent(name)}=${encodeURIComponent(value)}`,
  );
  if (system && system !== "si") pairs.push(`system=${encodeURIComponent(system)}`);
  return `#${calculator}?${pairs.join("&")}`;
}

/** @param {string} text @returns {string | null} */
function decoded(text) {
  try {
    return decodeURIComponent(text.replace(/\+/g, " "));
  } catch {
    return null;
  }
}

/**
 * Join number, plus or minus, and unit: `12 ± 0.5 psi`.
 *
 * @param {{value: string, unit?: string | null, pm?: string | null}} parts
 * @returns {string}
 */
export function joinQuantity({ value, unit, pm }) {
  const number = value.trim();
  // An emptied field travels as an empty text; a unit alone would read as a broken number.
  if (number === "") return "";
  const spread = pm?.trim() ? ` ± ${pm.trim()}` : "";
  return `${number}${spread}${unit ? ` ${unit}` : ""}`;
}

/**
 * Split `12 ± 0.5 psi` when the unit is one that the field offers, else null.
 *
 * @param {string} text
 * @param {readonly string[]} units the units the field offers; empty for a bare number
 * @returns {Parts | null}
 */
export function splitQuantity(text, units) {
  let rest = text.trim();
  if (rest === "") return { value: "", unit: null, pm: null };
  /** @type {string | null} */
  let unit = null;
  if (units.length > 0) {
    // The longest match wins, so that `kPa` is not taken for `Pa`.
    const fitting = units
      .filter((each) => {
        if (!rest.endsWith(each)) return false;
        const before = rest.at(-each.length - 1) ?? "";
        // The unit of a bare ratio is written 1: it must not be cut off the number itself.
        return /^\d/.test(each) ? /\s/.test(before) : /[\s\d.]/.test(before);
      })
      .sort((a, b) => b.length - a.length);
    if (fitting.length === 0) return null;
    unit = fitting[0];
    rest = rest.slice(0, -unit.length).trim();
  }
  const [value, pm, ...more] = rest.split(/\s*(?:±|\+\/-)\s*/);
  if (more.length > 0) return null;
  return { value, unit, pm: pm ?? null };
}

/**
 * Join the cells of a table: `DN 25 | 30 m; DN 20 | 55 m`.
 *
 * @param {readonly (readonly string[])[]} rows
 * @returns {string}
 */
export function joinTable(rows) {
  return rows.map((cells) => cells.map((cell) => cell.trim()).join(" | ")).join("; ");
}

/**
 * Split the text of a table into rows of cells.
 *
 * @param {string} text
 * @returns {string[][]}
 */
export function splitTable(text) {
  if (text.trim() === "") return [];
  return text.split(";").map((row) => row.split("|").map((cell) => cell.trim()));
}

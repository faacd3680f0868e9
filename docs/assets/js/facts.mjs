// @ts-check
/**
 * The facts of a job: what one page found or a reader typed, offered on every other page.
 *
 * Knows the records of a job and nothing of forms. A fact keeps its former values, so that any
 * change can be taken back.
 */

/** @typedef {{value: string, unit?: string, pm?: string}} Entry */
/** @typedef {{calculator: string, field: string, how: "typed" | "found"}} Origin */
/** @typedef {{entry: Entry, origin: Origin, at: string}} Version */
/** @typedef {Version & {before: Version[]}} FactRecord */
/**
 * @typedef {object} Job the part of a job that facts need
 * @property {(key: string) => any} get
 * @property {(prefix: string) => string[]} keys
 * @property {(key: string, change: (old: any) => any) => unknown} update
 * @property {() => string} now
 */
/**
 * @typedef {object} Book
 * @property {Record<string, {title: string, page: string}>} calculators
 * @property {Record<string, {label: string}>} facts
 */

const KEY = "fact/";
const ENTRIES = "entries/";
const MOST_FORMER = 20;
// A number typed digit by digit is one change, not five.
const ONE_CHANGE = 60_000;

/** @param {Entry | undefined} one @param {Entry | undefined} other */
export function sameEntry(one, other) {
  return ["value", "unit", "pm"].every(
    (part) =>
      (/** @type {any} */ (one)?.[part] ?? "").trim() ===
      (/** @type {any} */ (other)?.[part] ?? "").trim(),
  );
}

/** @param {Origin} one @param {Origin} other */
function sameOrigin(one, other) {
  return (
    one.calculator === other.calculator && one.field === other.field && one.how === other.how
  );
}

/** @param {unknown} record @returns {FactRecord | null} */
function sound(record) {
  const found = /** @type {any} */ (record);
  const whole =
    typeof found?.entry?.value === "string" &&
    typeof found.origin?.calculator === "string" &&
    typeof found.at === "string";
  return whole ? { ...found, before: Array.isArray(found.before) ? found.before : [] } : null;
}

/** @param {Job} job @param {string} name @returns {FactRecord | null} */
export function fact(job, name) {
  return sound(job.get(KEY + name));
}

/**
 * Return the first of the facts that is known.
 *
 * @param {Job} job
 * @param {string[]} names
 * @returns {{name: string, record: FactRecord} | null}
 */
export function firstKnown(job, names) {
  for (const name of names) {
    const record = fact(job, name);
    if (record) return { name, record };
  }
  return null;
}

/**
 * Keep a value of a fact. A result that its page has told before does not push out what was typed
 * since.
 *
 * @param {Job} job
 * @param {string} name
 * @param {Entry} entry
 * @param {Origin} origin
 * @returns {boolean} whether the fact is another one now
 */
export function writeFact(job, name, entry, origin) {
  const old = fact(job, name);
  if (old && sameEntry(old.entry, entry)) return false;
  if (old && origin.how === "found") {
    const told = [old, ...old.before].find((version) => sameOrigin(version.origin, origin));
    if (told && sameEntry(told.entry, entry)) return false;
  }
  const at = job.now();
  job.update(KEY + name, (/** @type {unknown} */ stored) => {
    const before = sound(stored);
    const fresh = { entry, origin, at };
    if (!before) return { ...fresh, before: [] };
    const { before: former, ...last } = before;
    const replaces =
      sameOrigin(last.origin, origin) && Date.parse(at) - Date.parse(last.at) < ONE_CHANGE;
    const kept = replaces ? former : [last, ...former];
    return { ...fresh, before: kept.slice(0, MOST_FORMER) };
  });
  return true;
}

/** Take the last change of a fact back. @param {Job} job @param {string} name */
export function undoFact(job, name) {
  job.update(KEY + name, (/** @type {unknown} */ stored) => {
    const record = sound(stored);
    if (!record) return undefined;
    const [last, ...former] = record.before;
    // It holds from now on again, and whoever took the other value has to look.
    return last ? { ...last, at: job.now(), before: former } : undefined;
  });
}

/**
 * Take back all that one calculator has put into the job; what stood there before holds again.
 *
 * @param {Job} job
 * @param {string} calculator
 */
export function withdraw(job, calculator) {
  for (const name of names(job)) {
    if (fact(job, name)?.origin.calculator !== calculator) continue;
    job.update(KEY + name, (/** @type {unknown} */ stored) => {
      const record = sound(stored);
      if (!record) return undefined;
      const kept = record.before.filter(({ origin }) => origin?.calculator !== calculator);
      const [last, ...former] = kept;
      return last ? { ...last, at: job.now(), before: former } : undefined;
    });
  }
}

/** @param {Job} job @param {string} name */
export function removeFact(job, name) {
  job.update(KEY + name, () => undefined);
}

/** @param {Job} job @param {string} calculator @returns {Record<string, string>} input to fact */
function takenBy(job, calculator) {
  const taken = job.get(ENTRIES + calculator)?.taken;
  return taken && typeof taken === "object" ? taken : {};
}

/** @param {Job} job @returns {string[]} names of the facts that are known */
function names(job) {
  return job
    .keys(KEY)
    .map((key) => key.slice(KEY.length))
    .filter((name) => fact(job, name));
}

/**
 * Return all that was worked out from a fact: the calculators that took it, and the facts that
 * those found, and so on.
 *
 * @param {Job} job
 * @param {string} name
 * @returns {{calculators: string[], facts: string[]}}
 */
export function affected(job, name) {
  const calculators = new Set();
  const facts = new Set([name]);
  const waiting = [name];
  while (waiting.length > 0) {
    const next = waiting.pop();
    for (const key of job.keys(ENTRIES)) {
      const calculator = key.slice(ENTRIES.length);
      if (calculators.has(calculator)) continue;
      if (!Object.values(takenBy(job, calculator)).includes(next)) continue;
      calculators.add(calculator);
      for (const found of names(job)) {
        const origin = fact(job, found)?.origin;
        if (origin?.how !== "found" || origin.calculator !== calculator || facts.has(found)) {
          continue;
        }
        facts.add(found);
        waiting.push(found);
      }
    }
  }
  facts.delete(name);
  return { calculators: [...calculators].sort(), facts: [...facts].sort() };
}

/**
 * Return the facts of a job; `stale` where something it was worked out from has changed since.
 *
 * @param {Job} job
 * @returns {{name: string, entry: Entry, origin: Origin, at: string, stale: boolean,
 *   undoable: boolean}[]}
 */
export function allFacts(job) {
  return names(job).map((name) => {
    const { entry, origin, at, before } = /** @type {FactRecord} */ (fact(job, name));
    const stale =
      origin.how === "found" &&
      Object.values(takenBy(job, origin.calculator)).some((source) => {
        const changed = fact(job, source)?.at;
        return changed !== undefined && Date.parse(changed) > Date.parse(at);
      });
    return { name, entry, origin, at, stale, undoable: before.length > 0 };
  });
}

/** @param {Entry} entry @returns {string} as a reader sees it */
export function entryWords(entry) {
  const band = entry.pm?.trim() ? ` ± ${entry.pm.trim()}` : "";
  const unit = entry.unit?.trim() ? ` ${UNIT_WORDS[entry.unit] ?? entry.unit}` : "";
  return `${entry.value}${band}${unit}`;
}

/** @type {Record<string, string>} */
const UNIT_WORDS = { degC: "°C", degF: "°F", m3: "m³", delta_degC: "K", delta_degF: "°F" };

/** @param {string} at @param {number} [now] @returns {string} how long ago, in words */
export function ageWords(at, now = Date.now()) {
  const minutes = Math.floor((now - Date.parse(at)) / 60_000);
  if (!Number.isFinite(minutes)) return "at an unknown time";
  if (minutes < 1) return "just now";
  if (minutes < 60) return `${minutes} min ago`;
  if (minutes < 24 * 60) return `${Math.floor(minutes / 60)} h ago`;
  const days = Math.floor(minutes / (24 * 60));
  return days === 1 ? "yesterday" : `${days} days ago`;
}

/** @param {Book | null} book @param {string} calculator */
export function titleOf(book, calculator) {
  return book?.calculators?.[calculator]?.title ?? calculator;
}

/** @param {Book | null} book @param {string} name */
export function labelOf(book, name) {
  return book?.facts?.[name]?.label ?? name.replaceAll("_", " ");
}

/** @type {Promise<Book | null> | null} */
let book = null;

/**
 * Return the book's own list of titles and labels; null if it cannot be had.
 *
 * @returns {Promise<Book | null>}
 */
export function loadBook() {
  book ??= fetch(new URL("../book.json", import.meta.url))
    .then((answer) => (answer.ok ? answer.json() : null))
    .catch(() => null);
  return book;
}

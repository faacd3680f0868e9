// @ts-check
/**
 * The words of the job record: names, dates, counts, and the sentences about where it is kept.
 */

const MONTHS = [
  ...["January", "February", "March", "April", "May", "June", "July"],
  ...["August", "September", "October", "November", "December"],
];
const TIME = /^(\d{4})-(\d{2})-(\d{2})T(\d{2}:\d{2})/;
const LONGEST_SLUG = 60;

/** What is told wherever jobs are listed. The short one stands by the reminder. */
export const KEPT_WHERE = [
  "Jobs are kept in this browser, on this device. Nobody else sees them, and there is no copy " +
    "anywhere unless you make one.",
  "The browser may clear them: when the device runs short of room, when somebody clears the site's " +
    "data, and always when a private window is closed.",
  "An iPad or iPhone may clear a site that you have not used for 7 days, unless the handbook has " +
    "been added to the home screen.",
  "The handbook on the home screen keeps jobs of its own, apart from those in the browser. " +
    "To carry a job from one to the other, save it as a file and take that in.",
];
export const SAVE_IT = "The browser may clear what it keeps. A file stays yours.";

/**
 * Return the day and time as they were where it was written, whatever the device's clock says now.
 *
 * @param {string | undefined} at ISO 8601
 */
export function when(at) {
  const parts = TIME.exec(at ?? "");
  return parts ? `${day(at)}, ${parts[4]}` : "at an unknown time";
}

/** @param {string | undefined} at ISO 8601 */
export function day(at) {
  const parts = TIME.exec(at ?? "");
  const month = parts && MONTHS[Number(parts[2]) - 1];
  return month ? `${Number(parts[3])} ${month} ${parts[1]}` : "an unknown day";
}

/** @param {string} place @param {string} now ISO 8601 */
export function suggestedName(place, now) {
  const where = place.trim().replace(/\s+/g, " ");
  return where ? `${where}, ${day(now)}` : `Job of ${day(now)}`;
}

/** @param {string} text */
function slugOf(text) {
  return text
    .normalize("NFKD")
    .replace(/\p{M}/gu, "")
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, "-")
    .replace(/^-+|-+$/g, "");
}

/** @param {string} name @param {string} now ISO 8601 */
export function fileName(name, now) {
  const today = `-${slugOf(day(now))}`;
  let slug = slugOf(name);
  // The day of the file follows anyhow.
  if (slug.endsWith(today)) slug = slug.slice(0, -today.length);
  slug = slug.slice(0, LONGEST_SLUG).replace(/-+$/, "");
  return `cold-fill-${slug || "job"}-${now.slice(0, 10)}.job.json`;
}

/** What each kind of record is called: one, and several. */
const KINDS = /** @type {[string, string, string][]} */ ([
  ["fact", "site fact", "site facts"],
  ["reading", "reading", "readings"],
  ["step", "step looked at", "steps looked at"],
  ["pin", "result kept", "results kept"],
  ["todo", "thing to do", "things to do"],
  ["entries", "calculator filled in", "calculators filled in"],
  ["photo", "photo", "photos"],
]);

/** @param {number} count @param {string} one @param {string} several */
export function counted(count, one, several) {
  return `${count} ${count === 1 ? one : several}`;
}

/**
 * @param {Iterable<string>} keys of the records
 * @param {number} [photos]
 * @returns {string} "3 site facts, 1 reading", or "nothing yet"
 */
export function contents(keys, photos = 0) {
  /** @type {Record<string, number>} */
  const counts = { photo: photos };
  for (const key of keys) {
    const kind = key.slice(0, key.indexOf("/"));
    counts[kind] = (counts[kind] ?? 0) + 1;
  }
  return inWords((kind) => counts[kind] ?? 0);
}

/** @param {Record<string, number> | undefined} counts as the shelf gives them */
export function countWords(counts) {
  return inWords((kind) => counts?.[`${kind}s`] ?? 0);
}

/** @param {(kind: string) => number} count */
function inWords(count) {
  const words = KINDS.filter(([kind]) => count(kind) > 0);
  return (
    words.map(([kind, one, several]) => counted(count(kind), one, several)).join(", ") ||
    "nothing yet"
  );
}

/**
 * Return the time of the newest record.
 *
 * @param {Record<string, any>} records
 * @returns {string} ISO 8601; empty where no record says
 */
export function newest(records) {
  let last = "";
  let time = Number.NEGATIVE_INFINITY;
  for (const record of Object.values(records)) {
    const at = record?.at;
    if (typeof at !== "string" || !(Date.parse(at) > time)) continue;
    last = at;
    time = Date.parse(at);
  }
  return last;
}

/**
 * Return the text of a record that a reader may look for: what was written, never what was counted.
 *
 * @param {Record<string, any>} records
 */
export function wordsOf(records) {
  const words = [];
  for (const [key, record] of Object.entries(records)) {
    if (key.startsWith("about/")) words.push(record?.text);
    if (key.startsWith("todo/")) words.push(record?.text);
    if (/^(reading|step|pin)\//.test(key)) words.push(record?.note);
  }
  return words.filter((text) => typeof text === "string" && text).join("\n");
}

/** @param {string} query @param {string} text @returns {boolean} whether every word is in it */
export function matches(query, text) {
  const plain = (/** @type {string} */ each) =>
    each.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  const whole = plain(text);
  return plain(query)
    .split(/\s+/)
    .every((word) => whole.includes(word));
}

/** The same for a narrow line. @param {{exported?: string | null}} meta */
export function reminder({ exported }) {
  return exported ? `not saved since ${when(exported)}` : "not saved as a file yet";
}

/** @param {{exported?: string | null}} meta @param {boolean} unsaved */
export function savedWords(meta, unsaved) {
  if (!meta.exported) return "not saved as a file yet";
  return unsaved
    ? `changed since the file of ${when(meta.exported)}`
    : `saved as a file on ${when(meta.exported)}`;
}

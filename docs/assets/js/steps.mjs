// @ts-check
/**
 * What a job keeps of a step or a stop, and how the steps of a page stand.
 *
 * Knows records only: no page, no clock, no store. Every change takes the old record and gives the
 * new one, or nothing where nothing is left to keep.
 */

/** @typedef {"" | "yes" | "no"} Answer */
/**
 * @typedef {object} StepRecord
 * @property {string} text the words that the step begins with, or the stop's title
 * @property {"step" | "stop"} kind
 * @property {boolean} ticked
 * @property {Answer} answer
 * @property {string} note
 * @property {string[]} photos ids
 * @property {string} at when it was ticked or answered; else when it was last changed
 * @property {string} page_title
 */
/** @typedef {Pick<StepRecord, "text" | "kind" | "page_title">} About */
/** @typedef {{kind: "step" | "stop", words: string, record: StepRecord}} Item */

/** The longest note that a job file may hold. */
export const LONGEST_NOTE = 4000;

const MONTHS = [
  ...["January", "February", "March", "April", "May", "June", "July", "August", "September"],
  ...["October", "November", "December"],
];

/**
 * Return the record with every part there and of its kind, whatever was kept.
 *
 * @param {any} old
 * @param {About} about
 * @returns {StepRecord}
 */
export function whole(old, about) {
  const kept = typeof old === "object" && old !== null && !Array.isArray(old) ? old : {};
  const text = (/** @type {unknown} */ value) => (typeof value === "string" ? value : "");
  return {
    ...kept,
    ...about,
    ticked: kept.ticked === true,
    answer: kept.answer === "yes" || kept.answer === "no" ? kept.answer : "",
    note: text(kept.note),
    photos: Array.isArray(kept.photos)
      ? kept.photos.filter((/** @type {unknown} */ id) => typeof id === "string")
      : [],
    at: text(kept.at),
  };
}

/** @param {StepRecord} record @returns {StepRecord | undefined} */
function unlessEmpty(record) {
  const { ticked, answer, note, photos } = record;
  return ticked || answer || note || photos.length > 0 ? record : undefined;
}

/** Whether the time of a record belongs to its tick or answer. @param {StepRecord} record */
const settled = (record) => record.ticked || record.answer !== "";

/** @param {About} about @param {boolean} ticked @param {string} at */
export function withTick(about, ticked, at) {
  return (/** @type {any} */ old) => unlessEmpty({ ...whole(old, about), ticked, at });
}

/** @param {About} about @param {Answer} answer @param {string} at */
export function withAnswer(about, answer, at) {
  return (/** @type {any} */ old) => unlessEmpty({ ...whole(old, about), answer, at });
}

/**
 * Keep a stop that a tick lies behind, answered or not, so that the report can tell of it.
 *
 * @param {About} about
 * @param {string} at
 */
export function asPassed(about, at) {
  return (/** @type {any} */ old) => old ?? { ...whole(old, about), at };
}

/** Forget a stop again that holds nothing. @param {About} about */
export function asAhead(about) {
  return (/** @type {any} */ old) => unlessEmpty(whole(old, about));
}

/** @param {About} about @param {string} note @param {string} at */
export function withNote(about, note, at) {
  return (/** @type {any} */ old) => {
    const record = whole(old, about);
    if (record.note === note) return old;
    return unlessEmpty({ ...record, note, at: settled(record) ? record.at : at });
  };
}

/** @param {About} about @param {string} id @param {string} at */
export function withPhoto(about, id, at) {
  return (/** @type {any} */ old) => {
    const record = whole(old, about);
    if (record.photos.includes(id)) return old;
    return { ...record, photos: [...record.photos, id], at: settled(record) ? record.at : at };
  };
}

/** @param {About} about @param {string} id */
export function withoutPhoto(about, id) {
  return (/** @type {any} */ old) => {
    const record = whole(old, about);
    return unlessEmpty({ ...record, photos: record.photos.filter((other) => other !== id) });
  };
}

/**
 * Return how the steps and stops of a page stand. Whoever stands at a stop that is not answered
 * with yes must not be past it.
 *
 * @param {Item[]} items in the order of the page
 */
export function standing(items) {
  const steps = items.filter(({ kind }) => kind === "step");
  const closed = (/** @type {Item} */ { kind, record }) => kind === "stop" && record.answer !== "yes";
  const refused = items.findIndex(({ kind, record }) => kind === "stop" && record.answer === "no");
  const lastTick = items.findLastIndex(({ record }) => record.ticked);
  const passed = items.findIndex((item, at) => closed(item) && at < lastTick);
  const open = items.findIndex((item) => (item.kind === "step" ? !item.record.ticked : closed(item)));
  const count = (/** @type {Answer} */ answer) =>
    items.filter(({ kind, record }) => kind === "stop" && record.answer === answer).length;
  return {
    steps: steps.length,
    ticked: steps.filter(({ record }) => record.ticked).length,
    unanswered: count(""),
    no: count("no"),
    yes: count("yes"),
    /** The first stop answered with no, or -1: all after it waits. */
    refused,
    /** The first stop without a yes that a ticked step lies behind, or -1. */
    passed,
    /** The last ticked step, or -1. */
    lastTick,
    /** What is to be done next, or -1. */
    next: open,
  };
}

/** @param {ReturnType<typeof standing>} found @returns {string} */
export function progress({ steps, ticked, unanswered, no, yes }) {
  const stops = (/** @type {number} */ count) => `${count} ${count === 1 ? "stop" : "stops"}`;
  const parts = [`${ticked} of ${steps} steps`];
  if (no > 0) parts.push(`${stops(no)} answered No`);
  if (unanswered > 0) parts.push(`${stops(unanswered)} unanswered`);
  if (no + unanswered === 0 && yes > 0) parts.push("every stop answered Yes");
  return parts.join(", ");
}

/** @param {string} words a stop's title */
export function quoted(words) {
  return `“${words.replace(/^Stop: */, "").replace(/\.$/, "")}”`;
}

/**
 * Return what has to be said aloud, and which stop it is about.
 *
 * @param {ReturnType<typeof standing>} found
 * @returns {{text: string, about: number}}
 */
export function warning({ refused, passed }) {
  if (refused >= 0) return { text: "Do not go on: a stop is answered No.", about: refused };
  if (passed >= 0) return { text: "A step is ticked past an unanswered stop.", about: passed };
  return { text: "", about: -1 };
}

/**
 * Return a time as a watch at that place showed it, with the day if it is another one.
 *
 * @param {string} at ISO 8601
 * @param {string} now ISO 8601
 * @returns {string}
 */
export function clock(at, now) {
  const found = /^(\d{4})-(\d\d)-(\d\d)T(\d\d:\d\d)/.exec(at);
  if (!found) return "";
  const [, year, month, day, time] = found;
  if (at.slice(0, 10) === now.slice(0, 10)) return time;
  const date = `${Number(day)} ${MONTHS[Number(month) - 1] ?? ""}`;
  return year === now.slice(0, 4) ? `${date}, ${time}` : `${date} ${year}, ${time}`;
}

// @ts-check
/**
 * A job as a file: written, checked and read by the engine; saved, shared and picked by the browser.
 */
import { contents, fileName, newest, when } from "./job-words.mjs";

/** @typedef {(request: object) => Promise<any>} Ask puts a question to the engine */
/**
 * @typedef {object} Whole
 * @property {string} id
 * @property {string} name
 * @property {string} created
 * @property {Record<string, any>} records
 * @property {Record<string, string>} photos
 */

/** A refusal with a sentence that can be shown to the reader as it stands. */
export class FileRefusal extends Error {
  /** @param {string} message @param {boolean} [mendable] whether it can be read all the same */
  constructor(message, mendable = false) {
    super(message);
    this.mendable = mendable;
  }
}

/** The engine reads no more. Photos of 25 MB take a third more as text, and records some besides. */
export const LARGEST_FILE = 40_000_000;
const TYPE = "application/json";

/** @param {Ask} ask @param {Whole} whole @returns {Promise<string>} */
export async function fileText(ask, whole) {
  const answer = await ask({ op: "job-write", job: whole });
  if (typeof answer?.text === "string") return answer.text;
  throw new FileRefusal(messageOf(answer) || "The file could not be made.");
}

/**
 * @param {Ask} ask
 * @param {string} text of a job file
 * @param {{force?: boolean}} [options] with `force` a broken checksum is passed over
 * @returns {Promise<{job: Whole, notes: string[]}>}
 */
export async function readText(ask, text, { force = false } = {}) {
  const answer = await ask({ op: "job-read", text, ...(force ? { force } : {}) });
  if (answer?.job && !answer.errors) return { job: answer.job, notes: answer.notes ?? [] };
  throw new FileRefusal(
    messageOf(answer) || "The file could not be read.",
    Boolean(answer?.mendable),
  );
}

/** @param {any} answer */
function messageOf(answer) {
  return (answer?.errors ?? []).map((/** @type {any} */ error) => error.message).join(" ");
}

/** @param {Blob} file @returns {Promise<string>} */
export async function textOf(file) {
  if (file.size === 0) throw new FileRefusal("The file is empty. Ask for it again.");
  if (file.size > LARGEST_FILE) {
    throw new FileRefusal(
      `The file has ${Math.round(file.size / 1e6)} MB. A job file has at most ` +
        `${LARGEST_FILE / 1e6} MB, so this is none, or it was put together elsewhere.`,
    );
  }
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
  } catch (error) {
    throw new FileRefusal(
      error instanceof TypeError
        ? "This is no job file: it is not text. Choose the file that ends in .job.json."
        : "The file could not be opened. Copy it onto this device and try again.",
    );
  }
}

/**
 * What the device has of a job that is offered: nothing, the same, or another state of it.
 *
 * @param {Whole} offered
 * @param {Whole | null} here
 * @returns {{state: "new" | "same" | "other", lines: string[]}}
 */
export function compared(offered, here) {
  const inside = contents(Object.keys(offered.records), Object.keys(offered.photos ?? {}).length);
  if (!here) return { state: "new", lines: [`Inside: ${inside}.`] };
  if (sameContent(offered, here)) return { state: "same", lines: [`Inside: ${inside}.`] };
  const last = (/** @type {Whole} */ whole) => {
    const at = newest(whole.records);
    return at ? `, last change ${when(at)}` : "";
  };
  const photos = Object.keys(here.photos ?? {}).length;
  return {
    state: "other",
    lines: [
      `Offered: ${inside}${last(offered)}.`,
      `On this device: ${contents(Object.keys(here.records), photos)}${last(here)}.`,
    ],
  };
}

/** @param {Whole} one @param {Whole} other */
function sameContent(one, other) {
  const plain = (/** @type {Whole} */ { name, records, photos }) =>
    JSON.stringify(sorted({ name, records, photos: photos ?? {} }));
  return plain(one) === plain(other);
}

/** @param {any} value @returns {any} the same with every key in order */
function sorted(value) {
  if (Array.isArray(value)) return value.map(sorted);
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(
    Object.keys(value)
      .sort()
      .map((key) => [key, sorted(value[key])]),
  );
}

/** @param {string} name @param {string} text @param {string} now @returns {File} */
export function fileOf(name, text, now) {
  return new File([text], fileName(name, now), { type: TYPE });
}

/** Let the browser put a file where it keeps what is downloaded. @param {File} file */
export function download(file) {
  const address = URL.createObjectURL(file);
  const link = document.createElement("a");
  link.href = address;
  link.download = file.name;
  document.body.append(link);
  link.click();
  link.remove();
  // The browser reads the file after the click has been dealt with.
  setTimeout(() => URL.revokeObjectURL(address), 60_000);
}

/** @returns {boolean} whether the device can pass a job file on to another program */
export function canShare() {
  try {
    return Boolean(navigator.canShare?.({ files: [fileOf("job", "{}", "2026-01-01")] }));
  } catch {
    return false;
  }
}

/**
 * @param {File} file
 * @returns {Promise<"shared" | "stopped" | "again" | "refused">} `again` where the browser wants
 *   another press, because making the file took too long
 */
export async function share(file) {
  try {
    await navigator.share({ files: [file], title: file.name });
    return "shared";
  } catch (error) {
    const name = error instanceof Error ? error.name : "";
    if (name === "AbortError") return "stopped";
    return name === "NotAllowedError" && !navigator.userActivation?.isActive ? "again" : "refused";
  }
}

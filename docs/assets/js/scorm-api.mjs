// @ts-check
/**
 * Speaks with a course system through SCORM 1.2, the interface that it gives to a course's window.
 *
 * Written from memory of the published standard. A course system that refuses something is told
 * about in a sentence, and work goes on: the result file needs no course system.
 */

/**
 * @typedef {object} Api what a course system puts into one of its windows, under the name `API`
 * @property {(nothing: "") => string | boolean} LMSInitialize
 * @property {(nothing: "") => string | boolean} LMSFinish
 * @property {(name: string) => string} LMSGetValue
 * @property {(name: string, value: string) => string | boolean} LMSSetValue
 * @property {(nothing: "") => string | boolean} LMSCommit
 * @property {() => string | number} LMSGetLastError
 * @property {(code: string) => string} LMSGetErrorString
 */
/** @typedef {{percent: number, most: number, passed: boolean, finished: boolean}} Standing */

/** The most that a course system has to keep for a course (from memory of the standard). */
export const LONGEST_SUSPEND = 4096;
const LONGEST_LOCATION = 255;
const FARTHEST = 500;
const ENDED = new Set(["passed", "failed", "completed"]);

/**
 * Return the course system's interface: in this window or one around it, else around the opener.
 *
 * @param {any} place a window
 * @returns {Api | null}
 */
export function apiOf(place) {
  return apiAround(place) ?? apiAround(openerOf(place));
}

/** @param {any} place @returns {Api | null} */
function apiAround(place) {
  // A window of another origin refuses to be looked at; the one around it may still be ours.
  for (let step = 0; place && step < FARTHEST; step += 1) {
    try {
      if (typeof place.API?.LMSInitialize === "function") return place.API;
    } catch {
      // It refused.
    }
    if (!place.parent || place.parent === place) return null;
    place = place.parent;
  }
  return null;
}

/** @param {any} place */
function openerOf(place) {
  try {
    return place?.opener ?? place?.top?.opener ?? null;
  } catch {
    return null;
  }
}

/** @param {number} milliseconds @returns {string} a span of time as HHHH:MM:SS.SS */
export function timespan(milliseconds) {
  const hundredths = Math.min(Math.max(0, Math.round(milliseconds / 10)), 359_999_999 * 10);
  const two = (/** @type {number} */ part) => String(part).padStart(2, "0");
  const seconds = Math.floor(hundredths / 100);
  const hours = String(Math.floor(seconds / 3600)).padStart(4, "0");
  const rest = `${two(Math.floor(seconds / 60) % 60)}:${two(seconds % 60)}`;
  return `${hours}:${rest}.${two(hundredths % 100)}`;
}

/** One sitting of a trainee at a course. */
export class CourseSession extends EventTarget {
  #api;
  #clock;
  #began = 0;
  #status = "";
  #open = false;
  #ended = false;
  #finished = false;
  #reported = "";
  /** A sentence for the reader while something is wrong; "" while nothing is. */
  trouble = "";
  trainee = "";
  /** What an earlier sitting left. */
  saved = "";
  /** Whether the course is only looked at, so that nothing is to be reported. */
  looking = false;

  /** @param {Api} api @param {() => number} [clock] in milliseconds */
  constructor(api, clock = () => Date.now()) {
    super();
    this.#api = api;
    this.#clock = clock;
  }

  /** @returns {boolean} whether the course system takes part */
  begin() {
    this.#began = this.#clock();
    this.#open = this.#did(() => this.#api.LMSInitialize(""), "did not begin");
    if (!this.#open) return false;
    this.trainee = this.#get("cmi.core.student_name").trim();
    this.saved = this.#get("cmi.suspend_data");
    this.#status = this.#get("cmi.core.lesson_status");
    this.looking = ["browse", "review"].includes(this.#get("cmi.core.lesson_mode"));
    if (!this.looking && !ENDED.has(this.#status)) this.#setStatus("incomplete");
    this.#commit();
    return true;
  }

  /**
   * Report how the work stands.
   *
   * @param {Standing} standing
   */
  report({ percent, most, passed, finished }) {
    if (!this.#open || this.looking) return;
    const told = JSON.stringify([percent, most, passed, finished]);
    if (told === this.#reported) return;
    let good = true;
    if (most > 0) {
      const score = Math.min(100, Math.max(0, Math.round(percent * 100) / 100));
      good = this.#set("cmi.core.score.min", "0") && good;
      good = this.#set("cmi.core.score.max", "100") && good;
      good = this.#set("cmi.core.score.raw", String(score)) && good;
    }
    this.#finished = finished;
    if (finished) good = this.#setStatus(most === 0 ? "completed" : passed ? "passed" : "failed") && good;
    // Work that is taken up again stays what it was, until it is finished anew.
    else if (!ENDED.has(this.#status)) good = this.#setStatus("incomplete") && good;
    if (this.#commit() && good) {
      this.#reported = told;
      this.#tell("");
    }
  }

  /**
   * Leave what the next sitting needs.
   *
   * @param {string} text
   * @param {number} place counted from 0
   * @returns {boolean} whether it is kept
   */
  keep(text, place) {
    if (!this.#open || this.looking) return false;
    if (text.length > LONGEST_SUSPEND) {
      this.#tell(
        "Your work has grown too long for the course system to keep. It is kept on this device: " +
          "go on here. Your score is still reported.",
      );
      return false;
    }
    const good =
      this.#set("cmi.suspend_data", text) &&
      this.#set("cmi.core.lesson_location", String(place + 1).slice(0, LONGEST_LOCATION));
    return this.#commit() && good;
  }

  /** Close the sitting. Nothing is reported after it. */
  end() {
    if (!this.#open || this.#ended) return;
    this.#ended = true;
    this.#set("cmi.core.session_time", timespan(this.#clock() - this.#began));
    if (!this.looking) this.#set("cmi.core.exit", this.#finished ? "" : "suspend");
    this.#commit();
    this.#did(() => this.#api.LMSFinish(""), "did not close");
    this.#open = false;
  }

  /** @param {string} status */
  #setStatus(status) {
    if (status === this.#status) return true;
    const good = this.#set("cmi.core.lesson_status", status);
    if (good) this.#status = status;
    return good;
  }

  /** @param {string} name @returns {string} */
  #get(name) {
    try {
      // What it does not know, it answers with nothing.
      return String(this.#api.LMSGetValue(name) ?? "");
    } catch {
      return "";
    }
  }

  /** @param {string} name @param {string} value */
  #set(name, value) {
    return this.#did(() => this.#api.LMSSetValue(name, value), `refused ${name}`);
  }

  #commit() {
    return this.#did(() => this.#api.LMSCommit(""), "did not keep what it was told");
  }

  /** @param {() => string | boolean} call @param {string} failing */
  #did(call, failing) {
    let reason;
    try {
      if (String(call()) === "true") return true;
      const code = String(this.#api.LMSGetLastError());
      const words = String(this.#api.LMSGetErrorString(code) ?? "").trim();
      reason = `error ${code}${words ? `, ${words}` : ""}`;
    } catch (error) {
      reason = error instanceof Error ? error.message : String(error);
    }
    this.#tell(
      `The course system ${failing} (${reason}). Work on; at the end save your result as a file ` +
        "and give it to your trainer.",
    );
    return false;
  }

  /** @param {string} trouble */
  #tell(trouble) {
    if (trouble === this.trouble) return;
    this.trouble = trouble;
    this.dispatchEvent(new Event("trouble"));
  }
}

/**
 * The sitting that this page is part of; null outside a course, and in a course without a system.
 *
 * @param {any} [place] a window
 * @returns {CourseSession | null}
 */
export function courseSystem(place = globalThis) {
  try {
    return place.parent?.courseSession ?? null;
  } catch {
    return null;
  }
}

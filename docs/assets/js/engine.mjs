// @ts-check
/**
 * The page's side of the calculating engine: one worker per visit, one question at a time.
 *
 * Python in the worker is synchronous, so a question can only be stopped by ending the worker.
 * Questions therefore wait here and not in the worker: a newer question replaces a waiting older
 * one, and ending the worker loses nothing but the question that took too long.
 */

/** @typedef {{how: string, boots: number}} Ready */
/**
 * @typedef {object} Link the part of `Worker` that is used
 * @property {(message: unknown) => void} postMessage
 * @property {() => void} terminate
 * @property {((event: MessageEvent) => void) | null} onmessage
 * @property {((event: ErrorEvent) => void) | null} onerror
 */
/**
 * @typedef {object} Question
 * @property {string | null} key questions with the same key replace each other
 * @property {string} text
 * @property {number} limit in milliseconds
 * @property {string} advice what to do if it takes longer
 * @property {(answer: unknown) => void} resolve
 * @property {(error: Error) => void} reject
 */

/** @typedef {() => Promise<boolean>} Mend mends the files on the device, and tells if any was bad */

/** A failure with a sentence that can be shown to the reader as it stands. */
export class EngineError extends Error {}

const RUN_LIMIT = 10_000;
/** For an answer that lives through days of a boiler room, on a slow tablet that does other things. */
export const LONG_LIMIT = 120_000;
const START_LIMIT = 120_000;
const REST_AFTER = 5 * 60_000;
const ADVICE = "Check the number you changed last.";

export class Engine extends EventTarget {
  /** @type {Link | null} */ #worker = null;
  /** @type {Promise<Ready> | null} */ #starting = null;
  /** @type {Question[]} */ #waiting = [];
  /** @type {Question | null} */ #asked = null;
  /** @type {ReturnType<typeof setTimeout> | undefined} */ #clock;
  #ready = false;
  #boots = 0;
  #mended = false;

  /**
   * @param {() => Link} spawn makes a worker that has not been told anything yet
   * @param {{snapshot?: boolean, runLimit?: number, startLimit?: number, mend?: Mend}} [options]
   *   limits in milliseconds; `snapshot` is false for the plain start
   */
  constructor(
    spawn,
    {
      snapshot = true,
      runLimit = RUN_LIMIT,
      startLimit = START_LIMIT,
      mend = async () => false,
    } = {},
  ) {
    super();
    this.spawn = spawn;
    this.snapshot = snapshot;
    this.runLimit = runLimit;
    this.startLimit = startLimit;
    this.mend = mend;
  }

  /** @returns {"idle" | "starting" | "ready"} */
  get state() {
    if (this.#ready) return "ready";
    return this.#starting ? "starting" : "idle";
  }

  /** Start the worker, or join the start that is under way. @returns {Promise<Ready>} */
  start() {
    if (!this.#starting) {
      const starting = this.#bootOrMend();
      this.#starting = starting;
      // The next question may try again.
      starting.catch(() => {
        if (this.#starting === starting) this.#starting = null;
      });
    }
    return this.#starting;
  }

  /**
   * A start that fails may have met a bad file. Once in a visit, mend the files and start again.
   *
   * @returns {Promise<Ready>}
   */
  async #bootOrMend() {
    try {
      const ready = await this.#boot();
      // The slow way was not asked for, so the quick one met something bad: next time it need not.
      if (this.snapshot && ready.how === "plain") void this.#mendOnce();
      return ready;
    } catch (error) {
      if (!(await this.#mendOnce())) throw error;
      return this.#boot();
    }
  }

  async #mendOnce() {
    if (this.#mended) return false;
    this.#mended = true;
    try {
      return await this.mend();
    } catch {
      return false; // what failed is told already
    }
  }

  /** @returns {Promise<Ready>} */
  #boot() {
    return new Promise((resolve, reject) => {
      const fail = (/** @type {string} */ reason) => {
        this.#end();
        reject(new EngineError(reason));
      };
      /** @type {Link} */
      let worker;
      try {
        worker = this.spawn();
      } catch (error) {
        reject(new EngineError(`This browser refused to start the calculator: ${plain(error)}`));
        return;
      }
      this.#worker = worker;
      this.#boots += 1;
      const boots = this.#boots;
      const clock = setTimeout(
        () => fail("The calculator did not start in time. Try again, or reload the page."),
        this.startLimit,
      );
      worker.onerror = (event) => {
        clearTimeout(clock);
        event.preventDefault?.();
        const reason = `The calculator stopped: ${event.message || "its files could not be read"}.`;
        if (this.#ready) this.#recover(reason);
        else fail(reason);
      };
      worker.onmessage = ({ data: said }) => {
        const data = said ?? {};
        if (data.type === "progress") {
          this.dispatchEvent(new CustomEvent("progress", { detail: data.progress }));
        } else if (data.type === "ready") {
          clearTimeout(clock);
          this.#ready = true;
          const ready = { how: data.how, boots };
          resolve(ready);
          this.dispatchEvent(new CustomEvent("ready", { detail: ready }));
          this.#next();
        } else if (data.type === "failed") {
          clearTimeout(clock);
          fail(`The calculator could not start: ${data.message}`);
        } else if (data.type === "answer") {
          this.#settle(data);
        }
      };
      worker.postMessage({ type: "boot", snapshot: this.snapshot });
    });
  }

  /** Forget the worker, so that the next question starts a new one. */
  #end() {
    clearTimeout(this.#clock);
    if (this.#worker) {
      this.#worker.onmessage = null;
      this.#worker.onerror = null;
      this.#worker.terminate();
    }
    this.#worker = null;
    this.#ready = false;
  }

  /**
   * Let the worker go, unless something is asked; the next question starts it again.
   *
   * @returns {boolean} whether it went
   */
  rest() {
    if (!this.#ready || this.#asked || this.#waiting.length > 0) return false;
    this.#end();
    this.#starting = null;
    return true;
  }

  /** Start again after a stop, and tell the one who asked. @param {string} reason */
  #recover(reason) {
    const asked = this.#asked;
    this.#asked = null;
    this.#end();
    this.#starting = null;
    asked?.reject(new EngineError(reason));
    if (this.#waiting.length > 0) this.#startForWaiting();
  }

  #startForWaiting() {
    this.start().catch((error) => this.#refuse(error));
  }

  /**
   * Ask, and get the answer. With a key, a waiting question of the same key is dropped, and the one
   * who asked it gets null, as does one whose answer arrives after a newer question was put.
   *
   * @param {object} request
   * @param {{key?: string | null, limit?: number, advice?: string}} [options]
   * @returns {Promise<any>}
   */
  ask(request, { key = null, limit = this.runLimit, advice = ADVICE } = {}) {
    return new Promise((resolve, reject) => {
      if (key !== null) {
        const older = this.#waiting.findIndex((question) => question.key === key);
        if (older >= 0) this.#waiting.splice(older, 1)[0].resolve(null);
      }
      const text = JSON.stringify(request);
      this.#waiting.push({ key, text, limit, advice, resolve, reject });
      if (this.#ready) this.#next();
      else if (!this.#starting) this.#startForWaiting();
      else this.#starting.catch((error) => this.#refuse(error));
    });
  }

  /** @param {Error} error */
  #refuse(error) {
    for (const question of this.#waiting.splice(0)) question.reject(error);
  }

  #next() {
    if (!this.#ready || this.#asked || this.#waiting.length === 0) return;
    this.#asked = /** @type {Question} */ (this.#waiting.shift());
    const { limit, advice } = this.#asked;
    this.#clock = setTimeout(
      () =>
        this.#recover(
          `The calculation took longer than ${limit / 1000} seconds and was stopped. ${advice}`,
        ),
      limit,
    );
    this.#worker?.postMessage({ type: "ask", text: this.#asked.text });
  }

  /** @param {{text?: string, message?: string}} data */
  #settle({ text, message }) {
    // Nobody waits for what was not asked.
    if (!this.#asked) return;
    if (typeof text !== "string") {
      // An engine that threw may be broken for good, so the next question gets a new one.
      this.#recover(`The calculation broke off: ${message ?? "no reason given"}`);
      return;
    }
    clearTimeout(this.#clock);
    const asked = this.#asked;
    this.#asked = null;
    const overtaken =
      asked.key !== null && this.#waiting.some((question) => question.key === asked.key);
    if (overtaken) {
      asked.resolve(null);
    } else {
      try {
        asked.resolve(JSON.parse(text));
      } catch {
        asked.reject(new EngineError("The calculator gave an answer that could not be read."));
      }
    }
    this.#next();
  }
}

/** @param {unknown} error */
function plain(error) {
  return error instanceof Error ? error.message : String(error);
}

/**
 * Whether the reader asked for the slow, plain start: `?engine=plain` in the address, or the entry
 * `handbook-engine` = `plain` in local storage. It is there for devices on which the quick one fails.
 *
 * @param {string} query
 * @param {() => Storage} open
 */
export function plainStartWanted(query, open = () => globalThis.localStorage) {
  if (new URLSearchParams(query).get("engine") === "plain") return true;
  try {
    return open().getItem("handbook-engine") === "plain";
  } catch {
    return false;
  }
}

/**
 * Let an engine rest in a tab that is out of sight for long: a tablet needs the memory elsewhere.
 *
 * @param {Pick<Engine, "rest">} engine
 * @param {Pick<Document, "visibilityState" | "addEventListener">} page
 * @param {number} [after] in milliseconds
 */
export function restWhenHidden(engine, page, after = REST_AFTER) {
  /** @type {ReturnType<typeof setTimeout> | undefined} */ let clock;
  const rest = () => {
    // It may be at work, or be starting: look again.
    if (!engine.rest()) clock = setTimeout(rest, after);
  };
  page.addEventListener("visibilitychange", () => {
    clearTimeout(clock);
    if (page.visibilityState === "hidden") clock = setTimeout(rest, after);
  });
}

/**
 * The worker that engine-early.js started before this module was here, once; what it has said so far
 * is told again to whoever listens then.
 *
 * @param {any} place
 * @returns {Link | null}
 */
export function takeEarly(place = globalThis) {
  const { link, heard } = place.handbookEngine ?? {};
  if (!link) return null;
  place.handbookEngine = undefined;
  queueMicrotask(() => {
    for (const event of heard.splice(0)) {
      if (event.type === "error") link.onerror?.(event);
      else link.onmessage?.(event);
    }
  });
  return link;
}

/** @type {Engine | null} */
let shared = null;

/** The one engine of this visit; instant navigation keeps it. @returns {Engine} */
export function visitEngine() {
  if (shared) return shared;
  const address = new URL("./engine-worker.mjs", import.meta.url);
  const spawn = () => /** @type {any} */ (new Worker(address, { type: "module" }));
  shared = new Engine(() => takeEarly() ?? spawn(), {
    snapshot: !plainStartWanted(location.search),
    mend: async () => {
      const { mendCopy } = await import("./offline-copy.mjs");
      const { damaged, missing } = await mendCopy();
      return damaged.length + missing.length > 0;
    },
  });
  restWhenHidden(shared, document);
  if (/** @type {any} */ (globalThis).handbookEngine) void shared.start().catch(() => undefined);
  return shared;
}

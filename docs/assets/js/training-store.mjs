// @ts-check
/**
 * Keeps training on the device: how far each assignment is, and what was practised.
 *
 * Every operation is one transaction, and a write is a function of the old value that runs inside
 * it, so two tabs never overwrite each other. What comes back is treated as foreign: what is not
 * sound is left out. A browser that keeps nothing is told about in a sentence, and work goes on in
 * memory.
 */

/** @typedef {{family: string, level: string, seed: number, system: "si" | "us"}} Problem */
/** @typedef {Record<string, {value: string, unit: string}>} Answers part name to what was typed */
/**
 * @typedef {object} ItemProgress
 * @property {string} kind
 * @property {boolean} done
 * @property {any[]} attempts as the result file has them
 * @property {number[]} closed problems whose working was shown, so that no other try is taken
 * @property {boolean} visited whether the page was opened while the assignment was
 */
/**
 * @typedef {object} Progress one trainee's work on one assignment
 * @property {string} id
 * @property {any} assignment
 * @property {string} trainee
 * @property {string} began ISO 8601
 * @property {string} ended "" while it goes on
 * @property {string} changed
 * @property {string} saved when a result file was last made; "" if never
 * @property {any[][]} tasks the problems or the drill of each item
 * @property {string[]} words what each item asks for
 * @property {number} place the item that is worked on
 * @property {ItemProgress[]} items
 */
/** @typedef {{id: string, at: string, problem: Problem, title: string, points: number,
 *   most: number, mistakes: string[]}} Practised */

export const NAME = "cold-fill-training";
const VERSION = 1;
const PLACES = ["assignments", "practice", "marks"];
const OPEN = "open";
const ID = /^[0-9a-f]{16}$/;
const WORD = /^[a-z][a-z0-9-]{0,63}$/;
const PART = /^[a-z][a-z0-9_.-]{0,63}$/;
const DRAFT = "handbook.training.draft.";
export const LIMITS = Object.freeze({ practice: 500, text: 200, items: 40, attempts: 200 });

export const SAY = Object.freeze({
  forbidden:
    "This browser keeps nothing for this site. You can work on, but it is gone when the page is " +
    "closed. Save your result as a file before you leave.",
  full:
    "The device has no room left, so this is kept in memory only. Save your result as a file " +
    "before you leave.",
  newer:
    "A newer edition of the handbook uses this record. Close the other tabs of the handbook and " +
    "reload this page.",
});

/** @param {any} text @param {number} [longest] */
function short(text, longest = LIMITS.text) {
  return typeof text === "string" && text.length <= longest;
}

/** @param {any} problem @returns {Problem | null} */
export function soundProblem(problem) {
  const { family, level, seed, system } = problem ?? {};
  if (!WORD.test(family) || !WORD.test(level)) return null;
  if (!Number.isSafeInteger(seed) || seed < 0) return null;
  if (system !== "si" && system !== "us") return null;
  return { family, level, seed, system };
}

/** @param {Problem} a @param {Problem} b */
export function sameProblem(a, b) {
  const same = a.family === b.family && a.level === b.level;
  return same && a.seed === b.seed && a.system === b.system;
}

/** @param {any} answers @returns {Answers} what is sound of them */
export function soundAnswers(answers) {
  /** @type {Answers} */
  const kept = {};
  if (typeof answers !== "object" || answers === null) return kept;
  for (const [name, answer] of Object.entries(answers).slice(0, 20)) {
    if (!PART.test(name) || !short(answer?.value) || !short(answer?.unit)) continue;
    kept[name] = { value: answer.value, unit: answer.unit };
  }
  return kept;
}

/**
 * The work of a trainee who has just begun.
 *
 * @param {any} assignment
 * @param {string} trainee
 * @param {{items: any[][], words: string[]}} set the problems that the engine set for this name
 * @returns {Progress}
 */
export function begunProgress(assignment, trainee, set) {
  const at = now();
  return {
    id: freshId(),
    assignment,
    trainee,
    began: at,
    ended: "",
    changed: at,
    saved: "",
    tasks: set.items,
    words: set.words,
    place: 0,
    items: assignment.items.map((/** @type {any} */ { kind }) => ({
      kind,
      done: false,
      attempts: [],
      closed: [],
      visited: false,
    })),
  };
}

/** @param {any} found @returns {Progress | null} */
export function soundProgress(found) {
  if (typeof found !== "object" || found === null) return null;
  const { id, assignment, trainee, tasks, words, items, place } = found;
  if (typeof id !== "string" || !ID.test(id) || !short(trainee)) return null;
  if (typeof assignment !== "object" || assignment === null) return null;
  const lists = [assignment.items, tasks, words, items];
  if (!lists.every((list) => Array.isArray(list))) return null;
  const count = assignment.items.length;
  if (count < 1 || count > LIMITS.items) return null;
  if (lists.some((list) => list.length !== count)) return null;
  if (!tasks.every((/** @type {any} */ each) => Array.isArray(each))) return null;
  if (!words.every((/** @type {any} */ each) => short(each, 500))) return null;
  const kept = items.map((/** @type {any} */ item, /** @type {number} */ index) => ({
    kind: String(assignment.items[index]?.kind),
    done: item?.done === true,
    attempts: Array.isArray(item?.attempts) ? item.attempts.slice(0, LIMITS.attempts) : [],
    closed: Array.isArray(item?.closed) ? item.closed.filter(Number.isSafeInteger) : [],
    visited: item?.visited === true,
  }));
  const at = (/** @type {any} */ time) => (short(time, 40) ? time : "");
  return {
    id,
    assignment,
    trainee,
    began: at(found.began),
    ended: at(found.ended),
    changed: at(found.changed),
    saved: at(found.saved),
    tasks,
    words,
    place: Number.isSafeInteger(place) && place >= 0 && place < count ? place : 0,
    items: kept,
  };
}

/** @param {any} found @returns {Practised | null} */
export function soundPractised(found) {
  const problem = soundProblem(found?.problem);
  if (!problem || !short(found.id) || !short(found.at, 40) || !short(found.title)) return null;
  const { points, most, mistakes } = found;
  if (!Number.isSafeInteger(points) || !Number.isSafeInteger(most) || most < 1) return null;
  if (!Array.isArray(mistakes) || !mistakes.every((each) => short(each))) return null;
  return { id: found.id, at: found.at, problem, title: found.title, points, most, mistakes };
}

/** @returns {string} 16 hex digits */
export function freshId() {
  const bytes = crypto.getRandomValues(new Uint8Array(8));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** The time here, with the offset from universal time. @param {Date} [date] */
export function now(date = new Date()) {
  const two = (/** @type {number} */ part) => String(Math.floor(Math.abs(part))).padStart(2, "0");
  const minutes = -date.getTimezoneOffset();
  const local = new Date(date.getTime() + minutes * 60_000).toISOString().slice(0, 19);
  return `${local}${minutes < 0 ? "-" : "+"}${two(minutes / 60)}:${two(minutes % 60)}`;
}

/* The tables in memory, for a browser that keeps nothing. */
class Memory {
  /** @type {Record<string, Map<string, any>>} */
  tables = Object.fromEntries(PLACES.map((name) => [name, new Map()]));

  /**
   * @template T
   * @param {string} _mode
   * @param {string} name
   * @param {(table: any) => Promise<T>} work
   * @returns {Promise<T>}
   */
  transact(_mode, name, work) {
    const table = this.tables[name];
    return work({
      get: async (/** @type {string} */ key) => table.get(key),
      put: async (/** @type {any} */ value) => void table.set(value.id, value),
      delete: async (/** @type {string} */ key) => void table.delete(key),
      getAll: async () => [...table.values()],
      clear: async () => table.clear(),
    });
  }

  leave() {}
}

/* The tables in the browser's database. */
class Database {
  /** @type {any} */ #database = null;
  /** @type {Promise<any> | null} */ #opening = null;
  /** @type {Set<any>} */ #running = new Set();
  newer = false;

  /** @param {{openDB?: any, name?: string}} options */
  constructor({ openDB, name = NAME }) {
    this.openDB = openDB;
    this.name = name;
  }

  async open() {
    if (this.newer) throw new Error(SAY.newer);
    if (this.#database) return this.#database;
    this.#opening ??= this.#connect().finally(() => {
      this.#opening = null;
    });
    return this.#opening;
  }

  async #connect() {
    const openDB = this.openDB ?? (await import("../vendor/idb.mjs")).openDB;
    try {
      this.#database = await openDB(this.name, VERSION, {
        upgrade: (/** @type {any} */ database) => {
          for (const place of PLACES) {
            if (!database.objectStoreNames.contains(place)) {
              database.createObjectStore(place, { keyPath: "id" });
            }
          }
        },
        blocking: (/** @type {number} */ _, /** @type {number | null} */ next) => {
          // Whoever holds on would keep the newer edition from starting.
          this.newer ||= next !== null;
          this.leave();
        },
        terminated: () => {
          this.#database = null;
        },
      });
    } catch (error) {
      if (/** @type {any} */ (error)?.name === "VersionError") this.newer = true;
      throw error;
    }
    return this.#database;
  }

  /** Break off what is running: WebKit lets a page that went away hold up all that follow. */
  leave() {
    for (const transaction of this.#running) {
      try {
        transaction.abort();
      } catch {
        // It has ended by now.
      }
    }
    this.#database?.close();
    this.#database = null;
  }

  /**
   * @template T
   * @param {"readonly" | "readwrite"} mode
   * @param {string} name
   * @param {(table: any) => Promise<T>} work may wait for the table only
   * @returns {Promise<T>}
   */
  async transact(mode, name, work) {
    let transaction;
    try {
      transaction = (await this.open()).transaction([name], mode, { durability: "strict" });
    } catch (error) {
      if (/** @type {any} */ (error)?.name !== "InvalidStateError") throw error;
      // The browser had closed the connection behind our back.
      this.#database = null;
      transaction = (await this.open()).transaction([name], mode, { durability: "strict" });
    }
    const running = transaction;
    const { done } = running;
    this.#running.add(running);
    const ended = () => this.#running.delete(running);
    done.then(ended, ended);
    let outcome;
    try {
      outcome = await work(running.objectStore(name));
    } catch (error) {
      try {
        running.abort();
      } catch {
        // It has ended already, which is why the work failed.
      }
      const reason = await done.then(
        () => error,
        (/** @type {any} */ failure) => failure,
      );
      throw reason?.name === "QuotaExceededError" ? reason : error;
    }
    await done;
    return outcome;
  }
}

export class TrainingStore extends EventTarget {
  /** Why nothing lasts, for the reader; "" while it does. */ trouble = "";
  /** @type {Database | Memory} */ #tables;
  /** What was seen last, so that a device that runs full loses nothing. */ #seen = new Memory();
  /** @type {BroadcastChannel | null} */ #channel = null;

  /**
   * @param {{openDB?: any, name?: string, local?: () => Storage,
   *   channel?: () => BroadcastChannel | null}} [options] `openDB` as `idb` has it
   */
  constructor({ openDB, name = NAME, local = () => globalThis.localStorage, channel } = {}) {
    super();
    this.#tables = new Database({ openDB, name });
    this.local = local;
    this.drafts = /** @type {Map<string, string>} */ (new Map());
    try {
      this.#channel = channel ? channel() : new BroadcastChannel(name);
      this.#channel?.addEventListener("message", () => this.dispatchEvent(new Event("change")));
    } catch {
      // Without it another tab shows the news when it is opened anew.
    }
  }

  get lasting() {
    return this.#tables instanceof Database;
  }

  /** The page goes away: let go of everything. */
  leave() {
    this.#tables.leave();
  }

  end() {
    this.leave();
    this.#channel?.close();
  }

  /**
   * @template T
   * @param {"readonly" | "readwrite"} mode
   * @param {string} name
   * @param {(table: any) => Promise<T>} work
   * @returns {Promise<T>}
   */
  async #transact(mode, name, work) {
    const tables = this.#tables;
    try {
      return await tables.transact(mode, name, work);
    } catch (error) {
      if (tables instanceof Memory) throw error;
      const kind = /** @type {any} */ (error)?.name;
      // A page that goes away breaks off its own transactions; nothing is wrong with the storage.
      if (kind === "AbortError" && !this.#full(error)) throw error;
      this.trouble = tables.newer ? SAY.newer : this.#full(error) ? SAY.full : SAY.forbidden;
      this.#tables = this.#seen;
      this.dispatchEvent(new Event("trouble"));
      return this.#seen.transact(mode, name, work);
    }
  }

  /** @param {any} error */
  #full(error) {
    return error?.name === "QuotaExceededError";
  }

  /** @param {string} name @param {any[]} values */
  #remember(name, values) {
    if (!this.lasting) return;
    for (const value of values) this.#seen.tables[name].set(value.id, value);
  }

  #changed() {
    this.dispatchEvent(new Event("change"));
    this.#channel?.postMessage("change");
  }

  // ---- assignments

  /** @param {string} id @returns {Promise<Progress | null>} */
  async progressOf(id) {
    const found = soundProgress(
      await this.#transact("readonly", "assignments", (table) => table.get(id)),
    );
    if (found) this.#remember("assignments", [found]);
    return found;
  }

  /**
   * @param {string} id
   * @param {Progress | ((old: Progress | null) => Progress | null)} change null leaves it as it was
   * @returns {Promise<Progress | null>} as it is kept now
   */
  async keep(id, change) {
    const kept = await this.#transact("readwrite", "assignments", async (table) => {
      const old = soundProgress(await table.get(id));
      const next = typeof change === "function" ? change(old) : change;
      if (!next) return old;
      const fresh = { ...next, id };
      await table.put(fresh);
      return fresh;
    });
    if (kept) this.#remember("assignments", [kept]);
    this.#changed();
    return kept;
  }

  /** @returns {Promise<Progress[]>} the last changed first */
  async list() {
    const all = await this.#transact("readonly", "assignments", (table) => table.getAll());
    const sound = /** @type {Progress[]} */ (all.map(soundProgress).filter(Boolean));
    this.#remember("assignments", sound);
    return sound.sort((a, b) => Date.parse(b.changed) - Date.parse(a.changed));
  }

  /** @param {string} assignment its id @returns {Promise<Progress[]>} one for each trainee here */
  async ofAssignment(assignment) {
    return (await this.list()).filter((each) => each.assignment.id === assignment);
  }

  /** @param {string} id */
  async forget(id) {
    await this.#transact("readwrite", "assignments", (table) => table.delete(id));
    this.#seen.tables.assignments.delete(id);
    if ((await this.openId()) === id) await this.close();
    this.#changed();
  }

  // ---- which one is open

  /** @returns {Promise<string | null>} */
  async openId() {
    const mark = await this.#transact("readonly", "marks", (table) => table.get(OPEN));
    return typeof mark?.progress === "string" && ID.test(mark.progress) ? mark.progress : null;
  }

  /** @returns {Promise<Progress | null>} the assignment that is open on this device */
  async opened() {
    const id = await this.openId();
    return id ? this.progressOf(id) : null;
  }

  /** @param {string} id */
  async open(id) {
    await this.#transact("readwrite", "marks", (table) => table.put({ id: OPEN, progress: id }));
    this.#remember("marks", [{ id: OPEN, progress: id }]);
    this.#changed();
  }

  async close() {
    await this.#transact("readwrite", "marks", (table) => table.delete(OPEN));
    this.#seen.tables.marks.delete(OPEN);
    this.#changed();
  }

  // ---- practice

  /** @param {Omit<Practised, "id">} result */
  async practised(result) {
    const entry = { ...result, id: `${result.at} ${freshId()}` };
    await this.#transact("readwrite", "practice", async (table) => {
      await table.put(entry);
      const all = await table.getAll();
      // The oldest go first: the history is there to learn from, not to fill the device.
      const old = all.sort((/** @type {any} */ a, /** @type {any} */ b) => (a.at < b.at ? -1 : 1));
      for (const { id } of old.slice(0, Math.max(0, all.length - LIMITS.practice))) {
        await table.delete(id);
      }
    });
    this.#remember("practice", [entry]);
    this.#changed();
  }

  /** @returns {Promise<Practised[]>} the latest first */
  async practice() {
    const all = await this.#transact("readonly", "practice", (table) => table.getAll());
    const sound = /** @type {Practised[]} */ (all.map(soundPractised).filter(Boolean));
    this.#remember("practice", sound);
    return sound.sort((a, b) => (a.at < b.at ? 1 : -1));
  }

  async forgetPractice() {
    await this.#transact("readwrite", "practice", (table) => table.clear());
    this.#seen.tables.practice.clear();
    this.#changed();
  }

  // ---- what is half typed: written at once, because a page may be torn away in the next moment

  /** @param {string} name @returns {any} */
  draft(name) {
    let text = this.drafts.get(name);
    try {
      text = this.local().getItem(DRAFT + name) ?? text;
    } catch {
      // Storage is forbidden: what is in memory has to do.
    }
    try {
      return text ? JSON.parse(text) : null;
    } catch {
      return null;
    }
  }

  /** @param {string} name @param {any} value null to forget */
  putDraft(name, value) {
    try {
      if (value === null) {
        this.drafts.delete(name);
        this.local().removeItem(DRAFT + name);
        return;
      }
      const text = JSON.stringify(value);
      this.drafts.set(name, text);
      this.local().setItem(DRAFT + name, text);
    } catch {
      // It stays in memory.
    }
  }
}

/** @type {TrainingStore | null} */
let shared = null;

/** The one store of this visit; instant navigation keeps it. @returns {TrainingStore} */
export function training() {
  if (shared) return shared;
  const store = new TrainingStore();
  addEventListener("pagehide", () => store.leave());
  shared = store;
  return store;
}

/** The store once it is known whether anything lasts. @returns {Promise<TrainingStore>} */
export async function openTraining() {
  const store = training();
  await store.openId();
  return store;
}

/** @param {string} id */
export const progressOf = (id) => training().progressOf(id);
/** @param {string} id @param {Progress | ((old: Progress | null) => Progress | null)} progress */
export const keep = (id, progress) => training().keep(id, progress);
export const list = () => training().list();
/** @param {string} id */
export const forget = (id) => training().forget(id);

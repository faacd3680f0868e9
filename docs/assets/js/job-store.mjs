// @ts-check
/**
 * Keeps jobs on the device: which jobs there are, their records and their photos.
 *
 * Every operation is one transaction. A write is a function of the old value that runs inside the
 * transaction, so two tabs never overwrite each other. What comes back is treated as foreign: it
 * is checked for its shape, and what is unsound is left out and counted.
 */

/** @typedef {string | boolean | Plain[] | {[name: string]: Plain}} Plain */
/** @typedef {any} Value a frozen plain value: texts, booleans, lists and objects, no numbers */
/** @typedef {(old: Value | undefined) => unknown} Change returns undefined to remove */
/**
 * @typedef {object} Row what is known of a job beside its records
 * @property {string} id
 * @property {string} name
 * @property {string} created
 * @property {string} changed
 * @property {string} exported "" if never
 * @property {boolean} archived
 * @property {string} discarded "" if not
 * @property {number} revision counts the changes
 * @property {number} exportedRevision the revision that the last file holds
 */
/** @typedef {{value: Value | undefined, stamp: number}} Stored `value` undefined: removed */
/** @typedef {{id: string, job: string, key: string, change: Change, stamp: number}} Write */
/** @typedef {{value?: Value, stamp: number, changed: boolean, missing?: boolean,
 *   error?: unknown}} Outcome */
/** @typedef {{job: string, key: string, value: Value | undefined, stamp: number,
 *   writes: string[]}} Pending a write that its tab may not have finished */
/** @typedef {{id: string, bytes: ArrayBuffer, type: string}} Photo */
/** @typedef {{records: number, photos: number, facts: number, readings: number, steps: number,
 *   pins: number, todos: number}} Counts */
/** @typedef {{row: Row | null, records: Map<string, Stored>, unsound: number}} Loaded */

export const SCRATCH = "scratch";
export const LIMITS = Object.freeze({
  records: 5000,
  key: 200,
  text: 4000,
  record: 400_000,
  depth: 12,
  name: 200,
  photos: 200,
  photo: 2_000_000,
  photoBytes: 25_000_000,
});

const NAME = "handbook.jobs";
const VERSION = 1;
const PLACES = /** @type {Record<string, string | string[]>} */ ({
  jobs: "id",
  records: ["job", "key"],
  gone: ["job", "key"],
  photos: ["job", "id"],
  replayed: "id",
  marks: "id",
});
const ALL = Object.keys(PLACES);
const JOB_ID = /^[0-9a-f]{16}$/;
const KEY = /^[!-~]+$/;
const CURRENT = "current";
const PURGED = "purged ";
const DAY = 24 * 60 * 60 * 1000;

/** Why something cannot be kept; the sentence is for the reader. */
export class Unkeepable extends Error {
  name = "Unkeepable";
}

/** The storage is there, and belongs to a newer edition. */
export class NewerEdition extends Error {
  name = "NewerEdition";
}

/** @param {unknown} id @returns {id is string} */
export function soundPhotoId(id) {
  return typeof id === "string" && JOB_ID.test(id);
}

/** @param {unknown} id @returns {id is string} */
export function soundId(id) {
  return typeof id === "string" && (id === SCRATCH || JOB_ID.test(id));
}

/** @param {unknown} key @returns {key is string} */
export function soundKey(key) {
  return typeof key === "string" && key.length <= LIMITS.key && KEY.test(key);
}

/**
 * Return a frozen copy of a plain value, or throw. Properties that are undefined are dropped.
 *
 * @param {unknown} value
 * @returns {Value}
 */
export function plainCopy(value) {
  let size = 0;
  /** @param {unknown} part @param {number} depth @returns {Value} */
  function copy(part, depth) {
    if (depth > LIMITS.depth) throw new Unkeepable("This entry is nested too deep to be kept.");
    size += 2;
    if (typeof part === "string") {
      size += part.length;
      if (part.length > LIMITS.text) {
        throw new Unkeepable(
          `This text is too long to be kept: at most ${LIMITS.text} characters. Shorten it.`,
        );
      }
      if (size > LIMITS.record) throw new Unkeepable("This entry is too big to be kept.");
      return part;
    }
    if (typeof part === "boolean") return part;
    if (Array.isArray(part)) return Object.freeze(part.map((each) => copy(each, depth + 1)));
    const isObject = typeof part === "object" && part !== null;
    const kind = isObject ? Object.getPrototypeOf(part) : undefined;
    // A copy from another realm, as some browsers give back, has that realm's prototype.
    if (kind === undefined || (kind !== null && Object.getPrototypeOf(kind) !== null)) {
      throw new Unkeepable(`A job keeps texts, yes or no, lists and objects, no ${typeof part}.`);
    }
    /** @type {Record<string, Value>} */
    const fresh = {};
    for (const [name, each] of Object.entries(/** @type {object} */ (part))) {
      if (each === undefined) continue;
      if (name === "__proto__" || name.length > LIMITS.key) {
        throw new Unkeepable("This entry has a name that cannot be kept.");
      }
      size += name.length;
      fresh[name] = copy(each, depth + 1);
    }
    return Object.freeze(fresh);
  }
  const whole = copy(value, 0);
  if (size > LIMITS.record) throw new Unkeepable("This entry is too big to be kept.");
  return whole;
}

/** @param {unknown} value @returns {Value | undefined} undefined if it is unsound */
export function soundValue(value) {
  try {
    return plainCopy(value);
  } catch {
    return undefined;
  }
}

/** @param {Value} a @param {Value} b @returns {boolean} whether they hold the same */
export function same(a, b) {
  if (a === b) return true;
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null) return false;
  if (Array.isArray(a) !== Array.isArray(b)) return false;
  const names = Object.keys(a);
  if (names.length !== Object.keys(b).length) return false;
  return names.every((name) => Object.hasOwn(b, name) && same(a[name], b[name]));
}

/** @param {unknown} name @returns {string} a job's name as it is kept */
export function soundName(name) {
  return typeof name === "string" ? name.trim().slice(0, LIMITS.name) : "";
}

/** @param {string} id @param {string} name @param {string} created @returns {Row} */
export function freshRow(id, name, created) {
  return {
    id,
    name: soundName(name),
    created,
    changed: created,
    exported: "",
    archived: false,
    discarded: "",
    revision: 0,
    exportedRevision: 0,
  };
}

/** @param {any} row @returns {Row | null} */
export function soundRow(row) {
  if (typeof row !== "object" || row === null) return null;
  const { id, name, created, changed, exported, archived, discarded } = row;
  const { revision, exportedRevision } = row;
  if (typeof id !== "string" || !JOB_ID.test(id)) return null;
  if (typeof name !== "string" || name.length > LIMITS.name) return null;
  for (const time of [created, changed, exported, discarded]) {
    if (typeof time !== "string" || time.length > 40) return null;
  }
  if (typeof archived !== "boolean") return null;
  if (!Number.isSafeInteger(revision) || !Number.isSafeInteger(exportedRevision)) return null;
  return {
    id,
    name,
    created,
    changed,
    exported,
    archived,
    discarded,
    revision,
    exportedRevision,
  };
}

/** @param {any} record @returns {Stored | null} */
function soundRecord(record) {
  if (typeof record !== "object" || record === null || !soundKey(record.key)) return null;
  if (!Number.isSafeInteger(record.stamp)) return null;
  const value = soundValue(record.value);
  return value === undefined ? null : { value, stamp: record.stamp };
}

/** @param {any} photo @returns {Photo | null} */
function soundPhoto(photo) {
  if (typeof photo !== "object" || photo === null) return null;
  const { id, bytes, type } = photo;
  if (typeof id !== "string" || !JOB_ID.test(id) || type !== "image/jpeg") return null;
  // Another realm's buffer is no instance of this realm's.
  if (Object.prototype.toString.call(bytes) !== "[object ArrayBuffer]") return null;
  return bytes.byteLength > LIMITS.photo ? null : { id, bytes, type };
}

/** @param {any} stamp */
function stampOf(stamp) {
  return Number.isSafeInteger(stamp?.stamp) ? stamp.stamp : 0;
}

/* One table of a transaction, in the browser's database. */
class DatabaseTable {
  /** @param {any} store an object store, as `idb` wraps it */
  constructor(store) {
    this.store = store;
  }
  /** @param {string | string[]} key @returns {Promise<any>} */
  get(key) {
    return this.store.get(key);
  }
  /** @param {object} value @returns {Promise<unknown>} */
  put(value) {
    return this.store.put(value);
  }
  /** @param {string | string[]} key @returns {Promise<unknown>} */
  delete(key) {
    return this.store.delete(key);
  }
  /** @returns {Promise<any[]>} */
  all() {
    return this.store.getAll();
  }
  /** @returns {Promise<any[]>} */
  keys() {
    return this.store.getAllKeys();
  }
  /** @param {string} job @returns {Promise<any[]>} */
  under(job) {
    return this.store.getAll(IDBKeyRange.bound([job], [job, []]));
  }
  /** @param {string} job @returns {Promise<unknown>} */
  clearUnder(job) {
    return this.store.delete(IDBKeyRange.bound([job], [job, []]));
  }
  /** @returns {Promise<unknown>} */
  clear() {
    return this.store.clear();
  }
}

/** Transactions on the browser's database. */
export class DatabaseTables {
  /** @type {any} */ #database = null;
  /** @type {Promise<any> | null} */ #opening = null;
  #superseded = false;
  /** @type {Set<any>} transactions that have not ended */ #running = new Set();
  /** The database was made by this opening: whatever was there before is not there now. */
  fresh = false;
  /** Told when the connection ends without our doing. @type {(why: "newer" | "ended") => void} */
  onEnd = () => undefined;
  /** @type {() => void} told when another tab keeps an older edition open */
  onBlocked = () => undefined;

  /**
   * @param {{openDB?: any, name?: string, version?: number}} [options] `openDB` as `idb` has it
   */
  constructor({ openDB, name = NAME, version = VERSION } = {}) {
    this.openDB = openDB;
    this.name = name;
    this.version = version;
  }

  async open() {
    if (this.#superseded) throw new NewerEdition("A newer edition uses the record.");
    if (this.#database) return this.#database;
    this.#opening ??= this.#connect().finally(() => {
      this.#opening = null;
    });
    return this.#opening;
  }

  async #connect() {
    const openDB = this.openDB ?? (await import("../vendor/idb.mjs")).openDB;
    this.fresh = false;
    let opened;
    try {
      opened = await openDB(this.name, this.version, {
        upgrade: (/** @type {any} */ database, /** @type {number} */ before) => {
          this.fresh = before === 0;
          for (const [name, keyPath] of Object.entries(PLACES)) {
            if (!database.objectStoreNames.contains(name)) {
              database.createObjectStore(name, { keyPath });
            }
          }
        },
        blocked: () => this.onBlocked(),
        blocking: (/** @type {number} */ _, /** @type {number | null} */ next) => {
          // Whoever holds on would keep the newer edition from starting.
          this.#superseded ||= next !== null;
          this.close();
          this.onEnd(next === null ? "ended" : "newer");
        },
        terminated: () => {
          this.#database = null;
          this.onEnd("ended");
        },
      });
    } catch (error) {
      if (/** @type {any} */ (error)?.name === "VersionError") {
        this.#superseded = true;
        throw new NewerEdition("A newer edition uses the record.");
      }
      throw error;
    }
    this.#database = opened;
    return opened;
  }

  close() {
    this.#database?.close();
    this.#database = null;
  }

  /**
   * Break off what is running, and close. A page that is put away in the middle of a transaction
   * would hold up every page that comes after it: WebKit does not end it by itself.
   */
  leave() {
    for (const transaction of this.#running) {
      try {
        transaction.abort();
      } catch {
        // It has ended by now.
      }
    }
    this.close();
  }

  /**
   * Do some work all or nothing.
   *
   * @template T
   * @param {"readonly" | "readwrite"} mode
   * @param {string[]} names
   * @param {(tables: Record<string, DatabaseTable>) => Promise<T>} work may wait for tables only
   * @returns {Promise<T>}
   */
  async transact(mode, names, work) {
    let transaction;
    try {
      transaction = (await this.open()).transaction(names, mode, { durability: "strict" });
    } catch (error) {
      if (/** @type {any} */ (error)?.name !== "InvalidStateError") throw error;
      // The browser had closed the connection behind our back.
      this.#database = null;
      transaction = (await this.open()).transaction(names, mode, { durability: "strict" });
    }
    const { done } = transaction;
    const running = transaction;
    this.#running.add(running);
    const ended = () => this.#running.delete(running);
    done.then(ended, ended);
    const tables = Object.fromEntries(
      names.map((name) => [name, new DatabaseTable(transaction.objectStore(name))]),
    );
    let outcome;
    try {
      outcome = await work(tables);
    } catch (error) {
      try {
        transaction.abort();
      } catch {
        // It has ended already, which is why the work failed.
      }
      const reason = await done.then(
        () => error,
        (/** @type {any} */ failure) => failure,
      );
      // Running out of room ends the transaction, and the request says no more than that.
      throw reason?.name === "QuotaExceededError" ? reason : error;
    }
    await done;
    return outcome;
  }
}

/* One table of a transaction, in memory. */
class MemoryTable {
  /** @param {Map<string, any>} items @param {string | string[]} keyPath */
  constructor(items, keyPath) {
    this.items = items;
    this.keyPath = keyPath;
  }
  /** @param {any} value */
  #key(value) {
    const { keyPath } = this;
    return Array.isArray(keyPath) ? keyPath.map((name) => value[name]) : value[keyPath];
  }
  /** @param {string | string[]} key */
  async get(key) {
    return this.items.get(JSON.stringify(key));
  }
  /** @param {object} value */
  async put(value) {
    this.items.set(JSON.stringify(this.#key(value)), value);
  }
  /** @param {string | string[]} key */
  async delete(key) {
    this.items.delete(JSON.stringify(key));
  }
  async all() {
    return [...this.items.values()];
  }
  async keys() {
    return [...this.items.values()].map((value) => this.#key(value));
  }
  /** @param {string} job */
  async under(job) {
    return [...this.items.values()].filter((value) => value.job === job);
  }
  /** @param {string} job */
  async clearUnder(job) {
    for (const [key, value] of this.items) if (value.job === job) this.items.delete(key);
  }
  async clear() {
    this.items.clear();
  }
}

/** Transactions in memory, for a browser that keeps nothing. */
export class MemoryTables {
  /** @type {Record<string, Map<string, any>>} */
  #items = Object.fromEntries(ALL.map((name) => [name, new Map()]));
  /** @type {Promise<unknown>} */ #last = Promise.resolve();
  fresh = false;
  /** @type {(why: "newer" | "ended") => void} */ onEnd = () => undefined;
  onBlocked = () => undefined;

  async open() {}

  close() {}

  leave() {}

  /**
   * @template T
   * @param {"readonly" | "readwrite"} _mode
   * @param {string[]} names
   * @param {(tables: Record<string, MemoryTable>) => Promise<T>} work
   * @returns {Promise<T>}
   */
  transact(_mode, names, work) {
    const turn = this.#last.then(async () => {
      const drafts = names.map((name) => [name, new Map(this.#items[name])]);
      const tables = drafts.map(([name, draft]) => [
        name,
        new MemoryTable(/** @type {any} */ (draft), PLACES[/** @type {string} */ (name)]),
      ]);
      const outcome = await work(Object.fromEntries(tables));
      Object.assign(this.#items, Object.fromEntries(drafts));
      return outcome;
    });
    this.#last = turn.catch(() => undefined);
    return turn;
  }
}

export class JobStore {
  /** @param {DatabaseTables | MemoryTables} tables */
  constructor(tables = new DatabaseTables()) {
    this.tables = tables;
  }

  get lasting() {
    return !(this.tables instanceof MemoryTables);
  }

  open() {
    return this.tables.open();
  }

  close() {
    this.tables.close();
  }

  /** Break off what is running, for the page goes away. */
  leave() {
    this.tables.leave();
  }

  /** @param {string} id @returns {Promise<Loaded>} */
  load(id) {
    return this.tables.transact("readonly", ["jobs", "records", "gone"], async (tables) => {
      const [row, records, gone] = await Promise.all([
        tables.jobs.get(id),
        tables.records.under(id),
        tables.gone.under(id),
      ]);
      /** @type {Map<string, Stored>} */
      const found = new Map();
      for (const { key, stamp } of gone) {
        if (soundKey(key)) found.set(key, { value: undefined, stamp: stampOf({ stamp }) });
      }
      let unsound = 0;
      for (const record of records) {
        const sound = soundRecord(record);
        if (sound) found.set(record.key, sound);
        else unsound += 1;
      }
      return { row: soundRow(row), records: found, unsound };
    });
  }

  /**
   * @param {string} id
   * @param {string[]} keys
   * @returns {Promise<{row: Row | null, records: Map<string, Stored>}>}
   */
  read(id, keys) {
    return this.tables.transact("readonly", ["jobs", "records", "gone"], async (tables) => {
      /** @type {Map<string, Stored>} */
      const found = new Map();
      const row = soundRow(await tables.jobs.get(id));
      await Promise.all(
        keys.map(async (key) => {
          const [record, gone] = await Promise.all([
            tables.records.get([id, key]),
            tables.gone.get([id, key]),
          ]);
          const sound = soundRecord(record);
          found.set(key, sound ?? { value: undefined, stamp: stampOf(record ?? gone) });
        }),
      );
      return { row, records: found };
    });
  }

  /**
   * Apply changes to what is stored by now, all in one transaction.
   *
   * @param {Write[]} writes
   * @param {string} at
   * @returns {Promise<{outcomes: Outcome[], rows: Map<string, Row | null>}>}
   */
  apply(writes, at) {
    const names = ["jobs", "records", "gone", "replayed"];
    return this.tables.transact("readwrite", names, async (tables) => {
      /** @type {Map<string, Row | null>} */
      const rows = new Map();
      /** @type {Set<string>} */
      const changed = new Set();
      /** @type {Outcome[]} */
      const outcomes = [];
      for (const write of writes) {
        const place = [write.job, write.key];
        const [record, gone, done] = await Promise.all([
          tables.records.get(place),
          tables.gone.get(place),
          tables.replayed.get(write.id),
        ]);
        if (!rows.has(write.job)) rows.set(write.job, soundRow(await tables.jobs.get(write.job)));
        const before = stampOf(record ?? gone);
        const old = soundRecord(record)?.value;
        if (write.job !== SCRATCH && !rows.get(write.job)) {
          outcomes.push({ stamp: before, changed: false, missing: true });
          continue;
        }
        let fresh = old;
        let error;
        try {
          // Another tab may have finished this write from the journal.
          if (!done) {
            const next = write.change(old);
            fresh = next === undefined ? undefined : plainCopy(next);
          }
        } catch (refused) {
          error = refused;
        }
        if (error !== undefined || done || same(fresh, old)) {
          outcomes.push({ value: old, stamp: before, changed: false, error });
          continue;
        }
        const stamp = Math.max(write.stamp, before + 1);
        await putRecord(tables, { job: write.job, key: write.key, value: fresh, stamp });
        changed.add(write.job);
        outcomes.push({ value: fresh, stamp, changed: true });
      }
      for (const id of changed) {
        const row = rows.get(id);
        if (!row) continue;
        const next = { ...row, changed: at, revision: row.revision + 1 };
        rows.set(id, next);
        await tables.jobs.put(next);
      }
      return { outcomes, rows };
    });
  }

  /**
   * Finish writes that a tab left behind, each only if nothing newer is stored.
   *
   * @param {Pending[]} pendings
   * @param {string} at
   * @returns {Promise<number>} how many were finished
   */
  replay(pendings, at) {
    const names = ["jobs", "records", "gone", "replayed"];
    return this.tables.transact("readwrite", names, async (tables) => {
      let finished = 0;
      for (const { job, key, value, stamp, writes } of pendings) {
        const row = soundRow(await tables.jobs.get(job));
        if (job !== SCRATCH && !row) continue;
        const [record, gone] = await Promise.all([
          tables.records.get([job, key]),
          tables.gone.get([job, key]),
        ]);
        if (stampOf(record ?? gone) >= stamp) continue;
        await putRecord(tables, { job, key, value, stamp });
        for (const id of writes) await tables.replayed.put({ id, at: Date.now() });
        if (row) await tables.jobs.put({ ...row, changed: at, revision: row.revision + 1 });
        finished += 1;
      }
      return finished;
    });
  }

  /** @returns {Promise<{rows: Row[], counts: Map<string, Counts>, unsound: number}>} */
  shelf() {
    return this.tables.transact("readonly", ["jobs", "records", "photos"], async (tables) => {
      const [all, records, photos] = await Promise.all([
        tables.jobs.all(),
        tables.records.keys(),
        tables.photos.keys(),
      ]);
      const rows = all.map(soundRow).filter((row) => row !== null);
      /** @type {Map<string, Counts>} */
      const counts = new Map(rows.map((row) => [row.id, noCounts()]));
      for (const [id, key] of records) {
        const count = counts.get(id);
        if (!count) continue;
        count.records += 1;
        const kind = KINDS.get(String(key).split("/", 1)[0]);
        if (kind) count[kind] += 1;
      }
      for (const [id] of photos) {
        const count = counts.get(id);
        if (count) count.photos += 1;
      }
      return { rows, counts, unsound: all.length - rows.length };
    });
  }

  /**
   * Say what is here, what went on purpose, and which job was opened last.
   *
   * localStorage may lose its last writes when the whole browser is killed; this does not.
   *
   * @returns {Promise<{rows: Row[], purged: Set<string>, current: string | null}>}
   */
  survey() {
    return this.tables.transact("readonly", ["jobs", "marks"], async (tables) => {
      const [jobs, marks] = await Promise.all([tables.jobs.all(), tables.marks.all()]);
      const ids = marks.map(({ id }) => id).filter((id) => id.startsWith(PURGED));
      const current = marks.find(({ id }) => id === CURRENT)?.job;
      return {
        rows: jobs.map(soundRow).filter((row) => row !== null),
        purged: new Set(ids.map((id) => id.slice(PURGED.length))),
        current: soundId(current) ? current : null,
      };
    });
  }

  /** Remember which job was opened last. @param {string} id */
  markCurrent(id) {
    return this.tables.transact("readwrite", ["marks"], (tables) =>
      tables.marks.put({ id: CURRENT, job: id }),
    );
  }

  /**
   * Put a new job on the shelf, with what the scratch record holds if wanted.
   *
   * @param {Row} row
   * @param {{takeScratch?: boolean}} [options]
   * @returns {Promise<Row>}
   */
  begin(row, { takeScratch = false } = {}) {
    return this.tables.transact("readwrite", ALL, async (tables) => {
      let { revision } = row;
      if (takeScratch) {
        const [records, photos] = await Promise.all([
          tables.records.under(SCRATCH),
          tables.photos.under(SCRATCH),
        ]);
        for (const each of records) {
          await tables.records.put({ ...each, job: row.id });
          await tables.gone.put({ job: SCRATCH, key: each.key, stamp: stampOf(each) });
        }
        for (const each of photos) await tables.photos.put({ ...each, job: row.id });
        await tables.records.clearUnder(SCRATCH);
        await tables.photos.clearUnder(SCRATCH);
        if (records.length + photos.length > 0) revision += 1;
      }
      const begun = { ...row, revision };
      await tables.jobs.put(begun);
      return begun;
    });
  }

  /**
   * @param {string} id
   * @param {(row: Row) => Row} change
   * @returns {Promise<Row | null>} null if there is no such job
   */
  amend(id, change) {
    return this.tables.transact("readwrite", ["jobs"], async (tables) => {
      const row = soundRow(await tables.jobs.get(id));
      if (!row) return null;
      const changed = change(row);
      await tables.jobs.put(changed);
      return changed;
    });
  }

  /**
   * @param {string} job
   * @param {Photo} photo
   * @param {string} at
   * @returns {Promise<Row | null>}
   */
  addPhoto(job, photo, at) {
    return this.tables.transact("readwrite", ["jobs", "photos"], async (tables) => {
      const there = await tables.photos.under(job);
      checkRoomForPhotos([...there, photo]);
      await tables.photos.put({ ...photo, job });
      return raise(tables, job, at);
    });
  }

  /** @param {string} job @param {string} id @returns {Promise<Photo | null>} */
  photo(job, id) {
    return this.tables.transact("readonly", ["photos"], async (tables) =>
      soundPhoto(await tables.photos.get([job, id])),
    );
  }

  /** @param {string} job @param {string} id @param {string} at @returns {Promise<Row | null>} */
  removePhoto(job, id, at) {
    return this.tables.transact("readwrite", ["jobs", "photos"], async (tables) => {
      if (!(await tables.photos.get([job, id]))) return soundRow(await tables.jobs.get(job));
      await tables.photos.delete([job, id]);
      return raise(tables, job, at);
    });
  }

  /**
   * @param {string} id
   * @returns {Promise<{row: Row | null, records: Map<string, Value>, photos: Photo[]}>}
   */
  whole(id) {
    return this.tables.transact("readonly", ["jobs", "records", "photos"], async (tables) => {
      const [row, records, photos] = await Promise.all([
        tables.jobs.get(id),
        tables.records.under(id),
        tables.photos.under(id),
      ]);
      /** @type {Map<string, Value>} */
      const found = new Map();
      for (const record of records) {
        const sound = soundRecord(record);
        if (sound) found.set(record.key, sound.value);
      }
      return {
        row: soundRow(row),
        records: found,
        photos: photos.map(soundPhoto).filter((photo) => photo !== null),
      };
    });
  }

  /**
   * Take a whole job in. Where it would push out something that it does not hold itself, a copy of
   * the former job is kept.
   *
   * @param {Row} row
   * @param {Map<string, Value>} records
   * @param {Photo[]} photos
   * @param {{copyId: string, copyName: (name: string) => string, at: string}} spare
   * @returns {Promise<{row: Row, copy: Row | null}>}
   */
  takeIn(row, records, photos, { copyId, copyName, at }) {
    return this.tables.transact("readwrite", ALL, async (tables) => {
      const [former, oldRecords, oldGone, oldPhotos] = await Promise.all([
        tables.jobs.get(row.id).then(soundRow),
        tables.records.under(row.id),
        tables.gone.under(row.id),
        tables.photos.under(row.id),
      ]);
      /** @type {Row | null} */
      let copy = null;
      await tables.marks.delete(PURGED + row.id);
      const kept = new Map(photos.map((photo) => [photo.id, photo]));
      const covered =
        former === null ||
        (oldRecords.every(({ key, value }) => records.has(key) && same(records.get(key), value)) &&
          oldPhotos.every(({ id, bytes }) => sameBytes(kept.get(id)?.bytes, bytes)));
      if (former && !covered) {
        copy = { ...former, id: copyId, name: copyName(former.name), exportedRevision: -1 };
        copy.exported = "";
        await tables.jobs.put(copy);
        for (const each of oldRecords) await tables.records.put({ ...each, job: copyId });
        for (const each of oldPhotos) await tables.photos.put({ ...each, job: copyId });
      }
      const newest = Math.max(0, ...[...oldRecords, ...oldGone].map(stampOf));
      const stamp = Math.max(Date.now(), newest + 1);
      await tables.records.clearUnder(row.id);
      await tables.gone.clearUnder(row.id);
      await tables.photos.clearUnder(row.id);
      for (const { key } of [...oldRecords, ...oldGone]) {
        // A write of before, still in the journal of a closed tab, must not come back.
        if (!records.has(key)) await tables.gone.put({ job: row.id, key, stamp });
      }
      for (const [key, value] of records) {
        await tables.records.put({ job: row.id, key, value, stamp });
      }
      for (const photo of photos) await tables.photos.put({ ...photo, job: row.id });
      const revision = (former?.revision ?? 0) + 1;
      const taken = { ...row, changed: at, revision, exportedRevision: revision };
      await tables.jobs.put(taken);
      return { row: taken, copy };
    });
  }

  /**
   * Put back from memory what the browser has cleared.
   *
   * @param {string} id
   * @param {Row | null} row
   * @param {Map<string, Stored>} records
   */
  rebuild(id, row, records) {
    return this.tables.transact("readwrite", ["jobs", "records", "gone"], async (tables) => {
      if (row && !(await tables.jobs.get(row.id))) await tables.jobs.put(row);
      for (const [key, { value, stamp }] of records) {
        const [record, gone] = await Promise.all([
          tables.records.get([id, key]),
          tables.gone.get([id, key]),
        ]);
        if (stampOf(record ?? gone) >= stamp) continue;
        await putRecord(tables, { job: id, key, value, stamp });
      }
    });
  }

  /**
   * Remove discarded jobs for good, and marks that have served their time.
   *
   * @param {(row: Row) => boolean} which
   * @param {number} now
   * @returns {Promise<string[]>} the ids of the jobs
   */
  purge(which, now) {
    return this.tables.transact("readwrite", ALL, async (tables) => {
      const rows = (await tables.jobs.all()).map(soundRow).filter((row) => row !== null);
      const out = rows.filter((row) => row.discarded !== "" && which(row)).map(({ id }) => id);
      for (const id of out) {
        await tables.jobs.delete(id);
        for (const name of ["records", "gone", "photos"]) await tables[name].clearUnder(id);
        await tables.marks.put({ id: PURGED + id, at: now });
      }
      for (const { id, at } of await tables.marks.all()) {
        if (id !== CURRENT && !(now - at < 30 * DAY)) await tables.marks.delete(id);
      }
      for (const { id, at } of await tables.replayed.all()) {
        if (!(now - at < DAY)) await tables.replayed.delete(id);
      }
      for (const { job, key, stamp } of await tables.gone.all()) {
        if (!(now - stamp < 30 * DAY)) await tables.gone.delete([job, key]);
      }
      return out;
    });
  }

  clear() {
    return this.tables.transact("readwrite", ALL, async (tables) => {
      await Promise.all(ALL.map((name) => tables[name].clear()));
    });
  }
}

/** @type {Map<string, Exclude<keyof Counts, "records" | "photos">>} */
const KINDS = new Map([
  ["fact", "facts"],
  ["reading", "readings"],
  ["step", "steps"],
  ["pin", "pins"],
  ["todo", "todos"],
]);

/** @returns {Counts} */
export function noCounts() {
  return { records: 0, photos: 0, facts: 0, readings: 0, steps: 0, pins: 0, todos: 0 };
}

/** @param {any} tables @param {{job: string, key: string, value: Value, stamp: number}} record */
async function putRecord(tables, { job, key, value, stamp }) {
  if (value === undefined) {
    await tables.records.delete([job, key]);
    await tables.gone.put({ job, key, stamp });
  } else {
    await tables.gone.delete([job, key]);
    await tables.records.put({ job, key, value, stamp });
  }
}

/** @param {any} tables @param {string} id @param {string} at @returns {Promise<Row | null>} */
async function raise(tables, id, at) {
  const row = soundRow(await tables.jobs.get(id));
  if (!row) {
    if (id !== SCRATCH) throw new Unkeepable("This job is no longer on this device.");
    return null;
  }
  const changed = { ...row, changed: at, revision: row.revision + 1 };
  await tables.jobs.put(changed);
  return changed;
}

/** @param {{bytes: ArrayBuffer}[]} photos */
export function checkRoomForPhotos(photos) {
  if (photos.length > LIMITS.photos) {
    throw new Unkeepable(
      `A job holds at most ${LIMITS.photos} photos. Remove one, or begin another job.`,
    );
  }
  const bytes = photos.reduce((sum, photo) => sum + (photo.bytes?.byteLength ?? 0), 0);
  if (bytes > LIMITS.photoBytes) {
    throw new Unkeepable(
      `The photos of a job may take at most ${LIMITS.photoBytes / 1e6} MB together. ` +
        "Remove some, or begin another job.",
    );
  }
}

/** @param {ArrayBuffer | undefined} a @param {ArrayBuffer | undefined} b */
function sameBytes(a, b) {
  if (!a || !b || a.byteLength !== b.byteLength) return false;
  const [left, right] = [new Uint8Array(a), new Uint8Array(b)];
  return left.every((byte, place) => byte === right[place]);
}

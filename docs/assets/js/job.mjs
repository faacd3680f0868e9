// @ts-check
/**
 * The job that is open in this tab, or the scratch record where none is.
 *
 * The records stand in memory, so reading never waits. A write shows in memory at once and is then
 * done again on what is stored by that time, in a transaction of its own; until that has ended, its
 * outcome also stands in a journal, which the next start reads if the tab was killed meanwhile.
 */
import {
  checkRoomForPhotos,
  DatabaseTables,
  freshRow,
  JobStore,
  LIMITS,
  MemoryTables,
  NewerEdition,
  noCounts,
  plainCopy,
  same,
  SCRATCH,
  soundId,
  soundKey,
  soundName,
  soundPhotoId,
  soundValue,
  Unkeepable,
} from "./job-store.mjs";

/** @typedef {import("./job-store.mjs").Row} Row */
/** @typedef {import("./job-store.mjs").Value} Value */
/** @typedef {import("./job-store.mjs").Write} Write */
/** @typedef {import("./job-store.mjs").Counts} Counts */
/** @typedef {import("./job-store.mjs").Photo} Photo */
/** @typedef {Write & {answer: (durable: boolean) => void,
 *   refuse: (error: unknown) => void}} Queued */
/**
 * @typedef {object} Meta
 * @property {string} id
 * @property {string} name
 * @property {string} created
 * @property {string} changed
 * @property {string} exported "" if never
 * @property {boolean} archived
 * @property {string} discarded when it was discarded; "" if it was not
 * @property {boolean} unsaved changed since it was last exported
 * @property {string} revision another text after every change
 * @property {Counts} [counts] on the shelf only
 */
/** @typedef {{id: string, name: string, created: string, records: Record<string, Value>,
 *   photos: Record<string, string>}} Whole photos are JPEG in base64 */

const CURRENT = "handbook.job";
const NAMES = "handbook.job.names";
const LOST = "handbook.job.lost";
const JOURNAL = "handbook.journal.1.";
const CHANNEL = "handbook.job";
const LOCK = "handbook.tab.";
const MOST_NAMES = 200;
const JOURNAL_ENTRIES = 300;
const JOURNAL_ENTRY = 100_000;
const JOURNAL_SIZE = 1_000_000;
const JOURNAL_READ = 1000;
const BATCH = 50;
const WAIT = 1800;
const RETRY_FIRST = 2000;
const RETRY_LAST = 60_000;
const KEEP_DISCARDED = 30 * 24 * 60 * 60 * 1000;
const LITTLE_ROOM = 50_000_000;

const TROUBLE = /** @type {const} */ ([
  "forbidden",
  "newer",
  "blocked",
  "slow",
  "full",
  "unwritten",
  "unread",
  "lost",
  "rebuilt",
  "removed",
  "unsound",
  "refused",
]);
/** @typedef {typeof TROUBLE[number]} Kind */
/** What is said once, and not for as long as it lasts. @type {Kind[]} */
const PASSING = ["unread", "lost", "rebuilt", "removed", "unsound", "refused"];

const SAY = {
  forbidden:
    "This browser keeps nothing for the handbook here (a private window, or storage is switched " +
    "off). What you enter lasts until this page is closed: save the job as a file before that.",
  newer:
    "A newer edition of the handbook is open in another tab, and the record belongs to it now. " +
    "Reload this page to go on with it. Until then nothing more is kept.",
  blocked:
    "Another tab with an older edition of the handbook holds the record. Close that tab. " +
    "Until then what you enter stays in this page only.",
  slow:
    "This browser's storage does not answer yet. What you enter stays in this page until it does.",
  full:
    "There is no room left on this device for the record. What you enter from now on lasts until " +
    "this page is closed: save the job as a file, then remove photos or old jobs.",
  unwritten:
    "The record could not be written just now and is tried again. What you enter lasts until " +
    "this page is closed: save the job as a file to be safe.",
  unread:
    "Part of the record could not be read just now, photos perhaps. What this page shows can be " +
    "saved as a file. Then reload it.",
  removed: "This job was removed for good in another tab. It is no longer on this device.",
  rebuilt:
    "The browser cleared the record while this page was open. What this page still had was " +
    "written again; photos and other jobs are gone. Save the job as a file now.",
};

export class Job extends EventTarget {
  #store;
  #local;
  #session;
  #locks;
  /** @type {BroadcastChannel | null} */ #channel;
  #tab = newId();
  #id = SCRATCH;
  /** @type {Row | null} */ #row = null;
  /** @type {Map<string, import("./job-store.mjs").Stored>} */ #stored = new Map();
  /** @type {Map<string, Value>} */ #shown = new Map();
  /** @type {Queued[]} writes that are not stored yet, oldest first */ #pending = [];
  /** @type {Map<string, Queued[]>} the same by job and key */ #waiting = new Map();
  /** @type {Map<string, number>} size of each entry in the journal */ #journal = new Map();
  #journalSize = 0;
  /** @type {Promise<void> | null} */ #writing = null;
  /** @type {Promise<unknown>} */ #turn = Promise.resolve();
  /** @type {Map<Kind, string>} */ #troubles = new Map();
  /** @type {Map<string, number>} the revision of each job that was handed out whole */
  #handedOut = new Map();
  /** @type {Map<string, {job: string, photo: Photo}>} photos that found no room */
  #loosePhotos = new Map();
  /** @type {ReturnType<typeof setTimeout> | undefined} */ #retry;
  #retryPause = RETRY_FIRST;
  #stamp = 0;
  #serial = 0;
  #loaded = false;
  #hasSession = false;
  #ended = false;
  #leave = new AbortController();
  /** The copy that the last `takeIn` kept of what was here. @type {Meta | null} */
  keptCopy = null;

  /**
   * @param {JobStore} store
   * @param {object} [surroundings] what a test replaces; what throws counts as forbidden
   * @param {() => Storage} [surroundings.local]
   * @param {() => Storage} [surroundings.session]
   * @param {() => BroadcastChannel} [surroundings.channel]
   * @param {any} [surroundings.locks]
   */
  constructor(
    store,
    {
      local = () => globalThis.localStorage,
      session = () => globalThis.sessionStorage,
      channel = () => new BroadcastChannel(CHANNEL),
      locks = globalThis.navigator?.locks,
    } = {},
  ) {
    super();
    this.#store = store;
    this.#local = new Notes(local);
    this.#session = new Notes(session);
    this.#locks = locks;
    this.#channel = this.#listen(channel);
    const own = this.#session.read(CURRENT);
    this.#hasSession = soundId(own);
    const remembered = this.#hasSession ? own : this.#local.read(CURRENT);
    if (soundId(remembered)) this.#id = remembered;
    /** Settled once the records are in memory, or after two seconds. @type {Promise<void>} */
    this.ready = this.#begin();
  }

  // Which job this is.

  get id() {
    return this.#id;
  }

  /** Whether this is a job, and not the scratch record. */
  get isOpen() {
    return this.#id !== SCRATCH;
  }

  /** @returns {Meta} */
  get meta() {
    const row = this.#row ?? freshRow(this.#id, "", "");
    const revision = `${row.revision}.${this.#serial}`;
    return Object.freeze({ ...metaOf(row), unsaved: this.unsaved, revision });
  }

  /** Whether the open job has changed since it was last exported. */
  get unsaved() {
    if (!this.isOpen) return false;
    if (this.#pending.some(({ job }) => job === this.#id)) return true;
    return this.#row !== null && this.#row.revision > this.#row.exportedRevision;
  }

  /** What is wrong with keeping the record, in sentences; "" if nothing is. */
  get trouble() {
    return TROUBLE.map((kind) => this.#troubles.get(kind) ?? "")
      .filter(Boolean)
      .join(" ");
  }

  /** Which kinds of trouble there are. @returns {Kind[]} */
  get troubles() {
    return TROUBLE.filter((kind) => this.#troubles.has(kind));
  }

  /** The reader has taken note of what was lost or left out. */
  dismissTrouble() {
    this.#local.remove(LOST);
    for (const kind of PASSING) this.#well(kind);
  }

  // Its records.

  /** @param {string} key @returns {Value | undefined} frozen */
  get(key) {
    return this.#shown.get(key);
  }

  /** @param {string} [prefix] @returns {string[]} sorted */
  keys(prefix = "") {
    return [...this.#shown.keys()].filter((key) => key.startsWith(prefix)).sort();
  }

  /**
   * Change a record: at once in memory, then on the device.
   *
   * `change` gets the frozen old value and returns the new one; it may run more than once, on
   * another old value if another tab was faster, and so has to be a function of the old value.
   *
   * @param {string} key
   * @param {import("./job-store.mjs").Change} change returns undefined to remove the record
   * @returns {Promise<boolean>} true once it is stored; false if it stays in memory for now.
   *   Rejects if the value cannot be kept.
   */
  update(key, change) {
    if (!soundKey(key)) {
      return Promise.reject(new Unkeepable(`A record cannot be called ${String(key)}.`));
    }
    /** @type {Value | undefined} */
    let value;
    try {
      const next = change(this.#shown.get(key));
      value = next === undefined ? undefined : plainCopy(next);
      if (value !== undefined && !this.#shown.has(key) && this.#shown.size >= LIMITS.records) {
        throw new Unkeepable(
          `A job holds at most ${LIMITS.records} entries. Begin another job for what follows.`,
        );
      }
    } catch (error) {
      if (error instanceof Unkeepable) this.#tell("refused", error.message);
      return Promise.reject(error);
    }
    this.#well("refused");
    this.#stamp = Math.max(Date.now(), this.#stamp + 1, (this.#stored.get(key)?.stamp ?? 0) + 1);
    this.#serial += 1;
    const write = {
      id: `${this.#tab}.${this.#serial}`,
      job: this.#id,
      key,
      change,
      stamp: this.#stamp,
    };
    /** @type {Promise<boolean>} */
    const durable = new Promise((answer, refuse) => {
      const queued = { ...write, answer, refuse };
      this.#pending.push(queued);
      const place = placeOf(write.job, key);
      this.#waiting.set(place, [...(this.#waiting.get(place) ?? []), queued]);
    });
    // Whoever does not wait for the device shall not be disturbed by it.
    durable.catch(() => undefined);
    const differs = this.#put(key, value);
    this.#note(write.job, key, value);
    if (differs) this.#announce([key], false);
    void this.#write();
    return durable;
  }

  /** @param {string} key @param {unknown} value */
  set(key, value) {
    return this.update(key, () => value);
  }

  /** @param {string} key */
  remove(key) {
    return this.update(key, () => undefined);
  }

  /** @returns {string} 16 hex digits */
  newId() {
    return newId();
  }

  /** @returns {string} the local time with its offset */
  now() {
    return localTime(new Date());
  }

  // The shelf of jobs.

  /**
   * Begin a job and open it.
   *
   * @param {{name?: string, takeScratch?: boolean}} [options] whether what stands in the scratch
   *   record moves into the job
   * @returns {Promise<string>} its id
   */
  begin({ name = "", takeScratch = false } = {}) {
    // A browser that asks its user does so while the hand is still on the button.
    globalThis.navigator?.storage?.persist?.().catch(() => false);
    return this.#inTurn(async () => {
      if (takeScratch) await this.#settled();
      const row = freshRow(newId(), soundName(name) || "Unnamed job", this.now());
      const begun = await this.#store.begin(row, { takeScratch });
      this.#remember(begun.id, begun.name);
      this.#moveOn();
      if (takeScratch) {
        for (const [id, loose] of this.#loosePhotos) {
          if (loose.job === SCRATCH) this.#loosePhotos.set(id, { ...loose, job: begun.id });
        }
      }
      this.#post({ kind: "jobs", id: begun.id });
      if (takeScratch) this.#post({ kind: "reload", job: SCRATCH });
      await this.#switch(begun.id);
      return begun.id;
    });
  }

  /** @param {string} id @returns {Promise<boolean>} false if there is no such job any more */
  open(id) {
    return this.#inTurn(async () => {
      const opened = await this.#switch(id);
      if (opened) this.#moveOn();
      return opened;
    });
  }

  /** Put the open job aside; the scratch record is current then. */
  close() {
    return this.#inTurn(() => this.#switch(SCRATCH));
  }

  /** @param {string} id @param {string} name */
  rename(id, name) {
    const sound = soundName(name);
    if (!sound) return Promise.resolve(false);
    this.#remember(id, sound);
    return this.#amend(id, (row) =>
      row.name === sound
        ? row
        : { ...row, name: sound, changed: this.now(), revision: row.revision + 1 },
    );
  }

  /** @param {string} id @param {boolean} archived */
  archive(id, archived) {
    return this.#amend(id, (row) => ({ ...row, archived }));
  }

  /** Put a job into the bin, from where it goes after 30 days. @param {string} id */
  async discard(id) {
    const done = await this.#amend(id, (row) => ({ ...row, discarded: this.now() }));
    if (done && id === this.#id) await this.close();
    return done;
  }

  /** @param {string} id */
  restore(id) {
    return this.#amend(id, (row) => ({ ...row, discarded: "" }));
  }

  /** Remove what is in the bin for good. @returns {Promise<number>} how many jobs went */
  empty() {
    return this.#inTurn(async () => {
      const gone = await this.#purge(() => true);
      this.#announce([], false);
      return gone;
    });
  }

  /**
   * Return the jobs in one state, the latest changed first.
   *
   * @param {{archived?: boolean, discarded?: boolean}} [state] by default those in use;
   *   `archived`: only those put away; `discarded`: only those in the bin
   * @returns {Promise<Meta[]>}
   */
  async shelf({ archived = false, discarded = false } = {}) {
    await this.ready;
    const { rows, counts } = await this.#store.shelf();
    return rows
      .filter((row) => (row.discarded !== "") === discarded)
      .filter((row) => discarded || row.archived === archived)
      .sort((a, b) => timeOf(b.changed) - timeOf(a.changed))
      .map((row) => Object.freeze({ ...metaOf(row), counts: counts.get(row.id) ?? noCounts() }));
  }

  /**
   * Return the records of a job that need not be open, by key.
   *
   * @param {string} id
   * @returns {Promise<Record<string, Value>>} none if there is no such job
   */
  async records(id) {
    await this.ready;
    if (id === this.#id && this.#loaded) return Object.fromEntries(this.#shown);
    const { records } = await this.#store.load(id);
    const there = [...records].filter(([, { value }]) => value !== undefined);
    const plain = new Map(there.map(([key, { value }]) => [key, value]));
    return Object.fromEntries(this.#withPending(id, plain));
  }

  // Photos.

  /**
   * Keep a photo of the current job.
   *
   * @param {Blob} blob a JPEG, scaled down already
   * @returns {Promise<string>} its id. Rejects with a sentence if it cannot be kept at all.
   */
  async addPhoto(blob) {
    await this.ready;
    const job = this.#id;
    const photo = await photoOf(newId(), blob);
    try {
      const row = await this.#store.addPhoto(job, photo, this.now());
      this.#tookRow(row);
      this.#post({ kind: "records", job, keys: [] });
    } catch (error) {
      if (error instanceof Unkeepable) throw error;
      const loose = [...this.#loosePhotos.values()].map((each) => each.photo);
      checkRoomForPhotos([...loose, photo]);
      this.#loosePhotos.set(photo.id, { job, photo });
      this.#tellOfFailure(error);
    }
    this.#announce([], false);
    return photo.id;
  }

  /** @param {string} id @returns {Promise<Blob | undefined>} */
  async photo(id) {
    if (!soundPhotoId(id)) return undefined;
    await this.ready;
    let photo = this.#loosePhotos.get(id)?.photo ?? null;
    try {
      photo ??= await this.#store.photo(this.#id, id);
    } catch {
      this.#tell("unread", SAY.unread);
    }
    return photo ? new Blob([photo.bytes], { type: photo.type }) : undefined;
  }

  /** @param {string} id */
  async removePhoto(id) {
    const job = this.#id;
    if (!soundPhotoId(id)) return;
    if (this.#loosePhotos.delete(id)) {
      this.#announce([], false);
      return;
    }
    try {
      this.#tookRow(await this.#store.removePhoto(job, id, this.now()));
    } catch (error) {
      if (error instanceof Unkeepable) throw error;
      throw new Unkeepable(this.#tellOfFailure(error), { cause: error });
    }
    this.#post({ kind: "records", job, keys: [] });
    this.#announce([], false);
    void this.#write();
  }

  // In and out.

  /**
   * Return a job with everything in it, as the file holds it.
   *
   * @param {string} [id] by default the open job
   * @returns {Promise<Whole>} rejects with a sentence if there is no such job
   */
  async whole(id = this.#id) {
    await this.ready;
    await this.#settled();
    let row = id === this.#id ? this.#row : null;
    /** @type {Map<string, Value>} */
    let records = new Map();
    /** @type {Photo[]} */
    let photos = [];
    try {
      const found = await this.#store.whole(id);
      row = found.row ?? row;
      ({ records, photos } = found);
    } catch (error) {
      // What is in memory can be exported whatever the device says.
      this.#tell("unread", SAY.unread);
      if (id !== this.#id) throw new Unkeepable(SAY.unread, { cause: error });
    }
    if (!row && id !== SCRATCH) throw new Unkeepable("This job is no longer on this device.");
    if (id === this.#id && this.#loaded) records = new Map(this.#shown);
    else records = this.#withPending(id, records);
    const loose = [...this.#loosePhotos.values()].filter(({ job }) => job === id);
    if (row) this.#handedOut.set(id, row.revision);
    return {
      id,
      name: row?.name ?? "",
      created: row?.created ?? "",
      records: Object.fromEntries([...records].sort(([a], [b]) => (a < b ? -1 : 1))),
      photos: Object.fromEntries(
        [...photos, ...loose.map(({ photo }) => photo)]
          .sort((a, b) => (a.id < b.id ? -1 : 1))
          .map(({ id: photo, bytes }) => [photo, toBase64(bytes)]),
      ),
    };
  }

  /**
   * Take a whole job in, in one transaction: all of it or nothing.
   *
   * "new" becomes a copy if the job is here already. "replace" keeps a copy of what is here, put
   * away, unless the new one holds all of it. The job is not opened.
   *
   * @param {Whole} whole as the validator passed it
   * @param {{as?: "new" | "replace" | "copy"}} [options]
   * @returns {Promise<string>} its id; `keptCopy` is the copy then, if one was kept.
   *   Rejects with a sentence, and then all is as before.
   */
  takeIn(whole, { as = "new" } = {}) {
    globalThis.navigator?.storage?.persist?.().catch(() => false);
    return this.#inTurn(async () => {
      await this.#settled();
      const { records, photos } = parts(whole);
      let { id } = whole;
      let name = soundName(whole.name) || "Unnamed job";
      const here = as === "new" ? await this.#store.load(id) : null;
      if (as === "copy" || here?.row) {
        id = newId();
        name = copyName(name);
      }
      const row = freshRow(id, name, whole.created);
      const at = this.now();
      const taken = await this.#store.takeIn(row, records, photos, {
        copyId: newId(),
        copyName: (former) => copyName(former, `kept ${at.slice(0, 16).replace("T", " ")}`),
        at,
      });
      this.keptCopy = taken.copy && metaOf(taken.copy);
      this.#remember(id, taken.row.name);
      if (taken.copy) this.#remember(taken.copy.id, taken.copy.name);
      this.#moveOn(id);
      this.#post({ kind: "reload", job: id });
      if (id === this.#id) await this.#switch(id);
      else this.#announce([], false);
      return id;
    });
  }

  /** The file that `whole` was made for is out of the house. @param {string} [id] */
  markExported(id = this.#id) {
    const revision = this.#handedOut.get(id);
    return this.#amend(id, (row) => ({
      ...row,
      exported: this.now(),
      exportedRevision: Math.min(row.revision, revision ?? row.revision),
    }));
  }

  /** @returns {Promise<{usage: number, quota: number, persisted: boolean, sentence: string}>} */
  async room() {
    const storage = globalThis.navigator?.storage;
    let [usage, quota, persisted] = [0, 0, false];
    try {
      const estimate = await storage.estimate();
      [usage, quota] = [estimate.usage ?? 0, estimate.quota ?? 0];
      persisted = (await storage.persisted?.()) ?? false;
    } catch {
      // Some browsers do not tell.
    }
    const left = quota - usage;
    const sentence =
      quota > 0 && left < LITTLE_ROOM
        ? `Room on this device runs short: about ${Math.max(0, Math.floor(left / 1e6))} MB are ` +
          "left for the handbook. Save the jobs you need as files, then remove photos or old jobs."
        : "";
    return { usage, quota, persisted, sentence };
  }

  /** Forget everything, here and in the other tabs: what `wipe` did. */
  forget() {
    this.#dropPending(() => true);
    this.#loosePhotos.clear();
    this.#troubles.clear();
    this.#local.clear();
    this.#session.remove(CURRENT);
    this.#become(SCRATCH, null, new Map());
    this.dispatchEvent(new Event("trouble"));
    this.dispatchEvent(new Event("switch"));
  }

  /** End this visit: nothing is written or heard any more. For tests; a tab just closes. */
  end() {
    this.#ended = true;
    clearTimeout(this.#retry);
    this.#leave.abort();
    this.#channel?.close();
    this.#store.close();
  }

  /** The page goes away. What is not stored stands in the journal, for the next page to read. */
  #goAway() {
    this.#ended = true;
    this.#store.leave();
    this.end();
  }

  // Starting.

  async #begin() {
    const { signal } = this.#leave;
    globalThis.addEventListener?.("pagehide", () => this.#goAway(), { signal });
    this.#locks
      ?.request(LOCK + this.#tab, () => {
        return new Promise((resolve) => signal.addEventListener("abort", resolve));
      })
      .catch(() => undefined);
    globalThis.document?.addEventListener?.(
      "visibilitychange",
      () => {
        // A tab that slept has heard nothing of the others.
        if (document.visibilityState === "visible") void this.#lookAgain();
      },
      { signal },
    );
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    let clock;
    const late = new Promise((resolve) => {
      clock = setTimeout(() => {
        if (!this.#troubles.has("blocked")) this.#tell("slow", SAY.slow);
        resolve(undefined);
      }, WAIT);
    });
    const started = this.#start();
    // Whatever wants the shelf waits until it is known what is there.
    this.#turn = started;
    await Promise.race([started, late]);
    clearTimeout(clock);
  }

  async #start() {
    this.#attend();
    const atFirst = this.#id;
    let loaded;
    try {
      await this.#store.open();
      // Nothing was in memory yet that could be written anew.
      this.#store.tables.fresh = false;
      await this.#tidy();
      const survey = await this.#store.survey();
      this.#seeWhatIsLost(survey);
      if (survey.current !== null && !this.#hasSession) this.#id = survey.current;
      loaded = await this.#store.load(this.#id);
    } catch (error) {
      if (this.#ended) return;
      const full = /** @type {any} */ (error)?.name === "QuotaExceededError";
      if (full || error instanceof NewerEdition) this.#tellOfFailure(error);
      else this.#tell("forbidden", SAY.forbidden);
      this.#store.close();
      this.#store = new JobStore(new MemoryTables());
      this.#attend();
      loaded = await this.#store.load(SCRATCH);
    }
    if (this.#ended) return;
    this.#well("slow");
    this.#well("blocked");
    const wanted = this.#id;
    const there = wanted === SCRATCH || (loaded.row !== null && loaded.row.discarded === "");
    if (there) this.#become(wanted, loaded.row, loaded.records);
    else await this.#becomeScratch();
    this.#tellOfUnsound(loaded.unsound);
    this.#session.write(CURRENT, this.#id);
    // Whoever read before the records came has to look again.
    if (this.#shown.size > 0 || this.#id !== atFirst) this.dispatchEvent(new Event("switch"));
    void this.#write();
  }

  /** Finish what was left undone. A device without room must not stop the record being read. */
  async #tidy() {
    try {
      await this.#replay();
      await this.#purge(this.#expired);
    } catch (error) {
      this.#tellOfFailure(error);
    }
  }

  /** Hear what happens to the store. */
  #attend() {
    this.#store.tables.onBlocked = () => this.#tell("blocked", SAY.blocked);
    this.#store.tables.onEnd = (why) => {
      if (this.#ended) return;
      if (why === "newer") this.#tell("newer", SAY.newer);
      else void this.#lookAgain();
    };
  }

  /** @param {Row} row */
  #expired = (row) => Date.now() - timeOf(row.discarded) > KEEP_DISCARDED;

  /** @param {(row: Row) => boolean} which */
  async #purge(which) {
    const gone = await this.#store.purge(which, Date.now());
    const names = this.#names();
    for (const id of gone) {
      names.delete(id);
      if (this.#local.read(CURRENT) === id) this.#local.remove(CURRENT);
      this.#post({ kind: "jobs", id });
    }
    this.#keepNames(names);
    return gone.length;
  }

  /**
   * Say so if the browser has thrown jobs away.
   *
   * @param {{rows: Row[], purged: Set<string>}} survey
   */
  #seeWhatIsLost({ rows, purged }) {
    const here = new Set(rows.map(({ id }) => id));
    const names = this.#names();
    const lost = namesIn(this.#local.read(LOST));
    const current = this.#local.read(CURRENT);
    if (current && soundId(current) && current !== SCRATCH && !names.has(current)) {
      names.set(current, "");
    }
    for (const [id, name] of names) if (!here.has(id)) lost.set(id, name);
    for (const id of [...here, ...purged]) lost.delete(id);
    this.#keepNames(new Map(rows.map(({ id, name }) => [id, name])));
    if (lost.size === 0) {
      this.#local.remove(LOST);
      return;
    }
    if (current && lost.has(current)) this.#local.remove(CURRENT);
    this.#local.write(LOST, JSON.stringify(Object.fromEntries([...lost].slice(0, MOST_NAMES))));
    const named = [...lost.values()].filter(Boolean).map((name) => `“${name}”`);
    const what =
      named.length > 0 && named.length <= 3
        ? named.join(", ")
        : lost.size === 1
          ? "a job"
          : `${lost.size} jobs`;
    this.#tell(
      "lost",
      `The browser has cleared the record of ${what}: it is no longer on this device. ` +
        "If there is a saved file, take it in again. If there is none, it cannot be brought " +
        "back. Export every job you need, as browsers may clear what they keep.",
    );
  }

  /** The reader goes on, and knows of what was lost. @param {string} [id] only this one */
  #moveOn(id) {
    if (!this.#troubles.has("lost")) return;
    const lost = namesIn(this.#local.read(LOST));
    if (id !== undefined && !lost.has(id)) return;
    this.#local.remove(LOST);
    this.#well("lost");
  }

  // The current job.

  /**
   * Do one thing after the other. What fails is refused with a sentence.
   *
   * @param {() => Promise<any>} act
   * @returns {Promise<any>}
   */
  #inTurn(act) {
    const turn = this.#turn.then(act).catch((error) => {
      if (error instanceof Unkeepable) throw error;
      throw new Unkeepable(this.#tellOfFailure(error), { cause: error });
    });
    this.#turn = turn.catch(() => undefined);
    return turn;
  }

  /** @param {string} id @returns {Promise<boolean>} */
  async #switch(id) {
    if (!soundId(id)) return false;
    const { row, records, unsound } = await this.#store.load(id);
    if (id !== SCRATCH && (!row || row.discarded !== "")) return false;
    this.#become(id, row, records);
    this.#session.write(CURRENT, id);
    this.#local.write(CURRENT, id);
    await this.#store.markCurrent(id).catch(() => undefined);
    this.#well("unsound");
    this.#tellOfUnsound(unsound);
    this.dispatchEvent(new Event("switch"));
    return true;
  }

  /**
   * @param {string} id
   * @param {Row | null} row
   * @param {Map<string, import("./job-store.mjs").Stored>} stored
   */
  #become(id, row, stored) {
    this.#id = id;
    this.#row = row;
    this.#stored = stored;
    this.#loaded = true;
    this.#shown.clear();
    for (const [key, { value }] of stored) if (value !== undefined) this.#shown.set(key, value);
    for (const { job, key } of this.#pending) {
      if (job !== id) continue;
      this.#recompute(key);
      this.#noteAgain(job, key);
    }
  }

  async #becomeScratch() {
    const { records } = await this.#store.load(SCRATCH);
    this.#become(SCRATCH, null, records);
    this.#session.write(CURRENT, SCRATCH);
    if (this.#local.read(CURRENT) !== SCRATCH) this.#local.remove(CURRENT);
  }

  /**
   * @param {string} id
   * @param {(row: Row) => Row} change
   * @returns {Promise<boolean>} false if there is no such job any more
   */
  #amend(id, change) {
    return this.#inTurn(async () => {
      if (!soundId(id) || id === SCRATCH) return false;
      await this.#settled();
      const row = await this.#store.amend(id, change);
      if (!row) return false;
      this.#tookRow(row);
      this.#post({ kind: "jobs", id });
      this.#announce([], false);
      return true;
    });
  }

  /** @param {Row | null} row */
  #tookRow(row) {
    if (!row || row.id !== this.#id) return;
    if (this.#row && row.revision < this.#row.revision) return;
    this.#row = row;
  }

  // Memory.

  /** @param {string} key @param {Value | undefined} value @returns {boolean} whether it differs */
  #put(key, value) {
    const old = this.#shown.get(key);
    if (same(old, value)) return false;
    if (value === undefined) this.#shown.delete(key);
    else this.#shown.set(key, value);
    return true;
  }

  /** @param {string} job @param {string} key @returns {Queued[]} oldest first */
  #waitingFor(job, key) {
    return this.#waiting.get(placeOf(job, key)) ?? [];
  }

  /** @param {Set<Queued>} writes */
  #unqueue(writes) {
    this.#pending = this.#pending.filter((write) => !writes.has(write));
    for (const { job, key } of writes) {
      const left = this.#waitingFor(job, key).filter((write) => !writes.has(write));
      if (left.length > 0) this.#waiting.set(placeOf(job, key), left);
      else this.#waiting.delete(placeOf(job, key));
    }
  }

  /** What is stored, with what is on its way put on top. @param {string} key */
  #recompute(key) {
    let value = this.#stored.get(key)?.value;
    for (const write of this.#waitingFor(this.#id, key)) value = outcome(write, value);
    return this.#put(key, value);
  }

  /** @param {string} id @param {Map<string, Value>} records */
  #withPending(id, records) {
    const whole = new Map(records);
    for (const write of this.#pending) {
      if (write.job !== id) continue;
      const value = outcome(write, whole.get(write.key));
      if (value === undefined) whole.delete(write.key);
      else whole.set(write.key, value);
    }
    return whole;
  }

  /** @param {string[]} keys @param {boolean} remote */
  #announce(keys, remote) {
    this.dispatchEvent(new CustomEvent("change", { detail: { keys, remote } }));
  }

  // Writing.

  /** Write what is waiting, if nobody does already. @returns {Promise<void>} */
  #write() {
    if (!this.#loaded || this.#ended || this.#pending.length === 0) return Promise.resolve();
    this.#writing ??= this.#writeAll();
    return this.#writing;
  }

  async #writeAll() {
    clearTimeout(this.#retry);
    // Whatever is changed in the same breath goes into the same transaction.
    await null;
    let failed = false;
    do {
      failed = await this.#writeRound();
    } while (!failed && this.#pending.length > 0 && !this.#ended);
    // In the same breath as the look at what waits, or a write in between would wait for ever.
    this.#writing = null;
    if (this.#ended) return;
    if (!failed) {
      this.#retryPause = RETRY_FIRST;
      this.#well("full");
      this.#well("unwritten");
      return;
    }
    for (const write of this.#pending) write.answer(false);
    this.#retry = setTimeout(() => void this.#write(), this.#retryPause);
    /** @type {any} */ (this.#retry).unref?.();
    this.#retryPause = Math.min(this.#retryPause * 2, RETRY_LAST);
  }

  /** @returns {Promise<boolean>} whether something could not be written */
  async #writeRound() {
    let failed = false;
    while (!failed && this.#pending.length > 0 && !this.#ended) {
      failed = !(await this.#writeBatch(this.#pending.slice(0, BATCH)));
    }
    if (failed) failed = await this.#writeSingly();
    if (!failed && this.#loosePhotos.size > 0) failed = await this.#writeLoosePhotos();
    return failed;
  }

  /** One record that finds no room must not hold up the smaller ones. */
  async #writeSingly() {
    let failed = false;
    for (const group of [...this.#waiting.values()]) {
      if (this.#ended) return true;
      if (!(await this.#writeBatch(group))) failed = true;
    }
    return failed;
  }

  async #writeLoosePhotos() {
    for (const [id, { job, photo }] of this.#loosePhotos) {
      try {
        this.#tookRow(await this.#store.addPhoto(job, photo, this.now()));
        this.#loosePhotos.delete(id);
      } catch (error) {
        this.#tellOfFailure(error);
        return true;
      }
    }
    return false;
  }

  /** @param {Queued[]} batch @returns {Promise<boolean>} */
  async #writeBatch(batch) {
    let result;
    try {
      result = await this.#store.apply(batch, this.now());
    } catch (error) {
      this.#tellOfFailure(error);
      return false;
    }
    if (this.#ended) return true;
    if (result.outcomes.some(({ missing }) => missing) && (await this.#rebuiltRow())) {
      return this.#writeBatch(batch);
    }
    for (const row of result.rows.values()) this.#tookRow(row);
    this.#unqueue(new Set(batch));
    /** @type {Set<string>} */
    const differ = new Set();
    /** @type {Map<string, Set<string>>} */
    const told = new Map();
    let missing = false;
    batch.forEach((write, place) => {
      const { value, stamp, changed, error, ...rest } = result.outcomes[place];
      if (write.job === this.#id && !rest.missing) {
        this.#took(write.key, { value, stamp });
      }
      if (changed) told.set(write.job, (told.get(write.job) ?? new Set()).add(write.key));
      missing ||= (rest.missing ?? false) && write.job === this.#id;
    });
    for (const { job, key } of batch) {
      if (job === this.#id && this.#recompute(key)) differ.add(key);
      this.#noteAgain(job, key);
    }
    for (const [job, keys] of told) this.#post({ kind: "records", job, keys: [...keys] });
    batch.forEach((write, place) => {
      const { error, missing: gone } = result.outcomes[place];
      if (error === undefined) write.answer(!gone && this.#store.lasting);
      else write.refuse(error);
    });
    if (differ.size > 0) this.#announce([...differ], true);
    if (missing) await this.#leaveRemoved();
    return true;
  }

  /** @param {string} key @param {import("./job-store.mjs").Stored} stored */
  #took(key, stored) {
    if ((this.#stored.get(key)?.stamp ?? 0) <= stored.stamp) this.#stored.set(key, stored);
  }

  /** Wait until nothing is on its way, or cannot be written for now. */
  async #settled() {
    await this.#write();
  }

  /** @param {(write: Queued) => boolean} which */
  #dropPending(which) {
    const dropped = this.#pending.filter(which);
    this.#unqueue(new Set(dropped));
    for (const write of dropped) {
      this.#noteAgain(write.job, write.key);
      write.answer(false);
    }
  }

  // Trouble.

  /** @param {Kind} kind @param {string} sentence */
  #tell(kind, sentence) {
    if (this.#ended || this.#troubles.get(kind) === sentence) return;
    this.#troubles.set(kind, sentence);
    this.dispatchEvent(new Event("trouble"));
  }

  /** @param {Kind} kind */
  #well(kind) {
    if (this.#troubles.delete(kind)) this.dispatchEvent(new Event("trouble"));
  }

  /** @param {any} error @returns {string} the sentence */
  #tellOfFailure(error) {
    /** @type {"newer" | "full" | "unwritten"} */
    let kind = "unwritten";
    if (error instanceof NewerEdition) kind = "newer";
    else if (error?.name === "QuotaExceededError") kind = "full";
    this.#tell(kind, SAY[kind]);
    return SAY[kind];
  }

  /** @param {number} count */
  #tellOfUnsound(count) {
    if (count === 0) return;
    const what = count === 1 ? "One entry" : `${count} entries`;
    this.#tell(
      "unsound",
      `${what} of this record could not be read and ${count === 1 ? "is" : "are"} left out. ` +
        "The rest is whole.",
    );
  }

  // Other tabs.

  /** @param {() => BroadcastChannel} open @returns {BroadcastChannel | null} */
  #listen(open) {
    try {
      const channel = open();
      channel.onmessage = ({ data }) => void this.#hear(data).catch(() => undefined);
      // Node would wait for messages for ever.
      /** @type {any} */ (channel).unref?.();
      return channel;
    } catch {
      return null;
    }
  }

  /** @param {object} message */
  #post(message) {
    if (this.#ended || !this.#store.lasting) return;
    try {
      this.#channel?.postMessage({ ...message, from: this.#tab });
    } catch {
      // The others will look when they are next shown.
    }
  }

  /** @param {any} message */
  async #hear(message) {
    if (this.#ended || typeof message !== "object" || message === null) return;
    if (message.kind === "wiped") {
      this.forget();
      return;
    }
    if (!this.#loaded || !this.#store.lasting) return;
    if (message.kind === "records" && message.job === this.#id && Array.isArray(message.keys)) {
      await this.#reread(message.keys.filter(soundKey).slice(0, LIMITS.records));
    } else if (message.kind === "reload" && message.job === this.#id) {
      await this.#reload();
    } else if (message.kind === "jobs" && message.id === this.#id) {
      await this.#reread([]);
    } else if (message.kind === "jobs" || message.kind === "reload") {
      this.#announce([], true);
    }
  }

  /** @param {string[]} keys */
  async #reread(keys) {
    const id = this.#id;
    const { row, records } = await this.#store.read(id, keys);
    if (this.#ended || id !== this.#id) return;
    if (id !== SCRATCH && (!row || row.discarded !== "")) {
      await this.#leaveRemoved(row);
      return;
    }
    if (row) this.#row = this.#row && row.revision < this.#row.revision ? this.#row : row;
    const differ = keys.filter((key) => {
      this.#took(key, records.get(key) ?? { value: undefined, stamp: 0 });
      return this.#recompute(key);
    });
    this.#announce(differ, true);
  }

  /** Look at everything again. */
  async #reload() {
    const id = this.#id;
    const { row, records } = await this.#store.load(id);
    if (this.#ended || id !== this.#id) return;
    if (id !== SCRATCH && (!row || row.discarded !== "")) {
      await this.#leaveRemoved(row);
      return;
    }
    this.#row = row;
    const before = new Set([...this.#stored.keys(), ...records.keys()]);
    this.#stored = records;
    const differ = [...before].filter((key) => this.#recompute(key));
    if (differ.length > 0) this.#announce(differ, true);
  }

  async #lookAgain() {
    if (this.#ended || !this.#loaded || !this.#store.lasting) return;
    try {
      await this.#store.open();
      await this.#rebuiltRow();
      await this.#reload();
    } catch (error) {
      this.#tellOfFailure(error);
    }
  }

  /**
   * Write the job anew if the whole database was cleared under this page.
   *
   * @returns {Promise<boolean>}
   */
  async #rebuiltRow() {
    if (!this.#store.tables.fresh || !this.#store.lasting) return false;
    if (this.#stored.size === 0 && !this.#row) return false;
    this.#store.tables.fresh = false;
    await this.#store.rebuild(this.#id, this.#row, this.#stored);
    this.#tell("rebuilt", SAY.rebuilt);
    return true;
  }

  /** @param {Row | null} [row] the job, if it is in the bin only */
  async #leaveRemoved(row = null) {
    const id = this.#id;
    if (!row) {
      this.#dropPending(({ job }) => job === id);
      this.#tell("removed", SAY.removed);
    }
    await this.#becomeScratch();
    this.dispatchEvent(new Event("switch"));
  }

  // What localStorage remembers: names, and writes under way.

  /** @returns {Map<string, string>} */
  #names() {
    return namesIn(this.#local.read(NAMES));
  }

  /** @param {Map<string, string>} names */
  #keepNames(names) {
    if (!this.#store.lasting) return;
    const kept = [...names].slice(-MOST_NAMES);
    if (kept.length === 0) this.#local.remove(NAMES);
    else this.#local.write(NAMES, JSON.stringify(Object.fromEntries(kept)));
  }

  /** @param {string} id @param {string} name */
  #remember(id, name) {
    this.#keepNames(this.#names().set(id, name));
  }

  /**
   * Note a record's outcome until it is stored.
   *
   * @param {string} job
   * @param {string} key
   * @param {Value | undefined} value
   */
  #note(job, key, value) {
    // What stands before the records are there may lack what it builds upon.
    if (!this.#loaded) return;
    const place = `${JOURNAL}${this.#tab}.${job}.${key}`;
    const writes = this.#waitingFor(job, key);
    const stamp = Math.max(...writes.map((write) => write.stamp));
    const ids = writes.map(({ id }) => id).slice(-BATCH);
    const text = JSON.stringify({ value, stamp, writes: ids });
    const former = this.#journal.get(place) ?? 0;
    const fits =
      text.length <= JOURNAL_ENTRY &&
      this.#journalSize - former + text.length <= JOURNAL_SIZE &&
      (former > 0 || this.#journal.size < JOURNAL_ENTRIES);
    if (fits && this.#local.write(place, text)) {
      this.#journal.set(place, text.length);
      this.#journalSize += text.length - former;
    } else if (former > 0) {
      // An outdated note is worse than none.
      this.#strike(place);
    }
  }

  /** Bring the note of a record up to date. @param {string} job @param {string} key */
  #noteAgain(job, key) {
    const place = `${JOURNAL}${this.#tab}.${job}.${key}`;
    if (this.#waitingFor(job, key).length === 0) this.#strike(place);
    else if (job === this.#id) this.#note(job, key, this.#shown.get(key));
  }

  /** @param {string} place */
  #strike(place) {
    const size = this.#journal.get(place);
    if (size === undefined) return;
    this.#journal.delete(place);
    this.#journalSize -= size;
    this.#local.remove(place);
  }

  /** Finish what tabs that are gone had begun to write. */
  async #replay() {
    const notes = this.#local.under(JOURNAL, JOURNAL_READ);
    if (notes.length === 0) return;
    const alive = await this.#tabsAlive();
    /** @type {{place: string, pending: import("./job-store.mjs").Pending}[]} */
    const found = [];
    for (const [place, text] of notes) {
      const pending = soundNote(place, text);
      if (!pending || pending.tab === this.#tab || alive.has(pending.tab)) continue;
      found.push({ place, pending });
    }
    if (found.length === 0) return;
    found.sort((a, b) => a.pending.stamp - b.pending.stamp);
    await this.#store.replay(
      found.map(({ pending }) => pending),
      this.now(),
    );
    for (const { place } of found) this.#local.remove(place);
  }

  /** @returns {Promise<Set<string>>} tabs that are open and will finish their own writes */
  async #tabsAlive() {
    try {
      const { held, pending } = await this.#locks.query();
      const names = [...(held ?? []), ...(pending ?? [])].map(({ name }) => String(name));
      return new Set(
        names.filter((name) => name.startsWith(LOCK)).map((name) => name.slice(LOCK.length)),
      );
    } catch {
      return new Set();
    }
  }
}

/** Texts in a storage that may be forbidden or full. */
class Notes {
  /** @param {() => Storage} open */
  constructor(open) {
    this.open = open;
  }

  /** @param {string} name @returns {string | null} */
  read(name) {
    try {
      return this.open().getItem(name);
    } catch {
      return null;
    }
  }

  /** @param {string} name @param {string} text @returns {boolean} */
  write(name, text) {
    try {
      this.open().setItem(name, text);
      return true;
    } catch {
      return false;
    }
  }

  /** @param {string} name */
  remove(name) {
    try {
      this.open().removeItem(name);
    } catch {
      // What cannot be reached is not there.
    }
  }

  /** @param {string} prefix @param {number} most @returns {[string, string][]} */
  under(prefix, most) {
    /** @type {[string, string][]} */
    const found = [];
    try {
      const storage = this.open();
      for (let place = 0; place < storage.length && found.length < most; place += 1) {
        const name = storage.key(place);
        if (name?.startsWith(prefix)) found.push([name, storage.getItem(name) ?? ""]);
      }
    } catch {
      return found;
    }
    return found;
  }

  /** Remove all that belongs to jobs. */
  clear() {
    for (const name of [CURRENT, NAMES, LOST]) this.remove(name);
    for (const [name] of this.under(JOURNAL, Infinity)) this.remove(name);
  }
}

/** @param {string} place @param {string} text */
function soundNote(place, text) {
  const parts = /^([0-9a-f]{16})\.([0-9a-f]{16}|scratch)\.(.+)$/.exec(place.slice(JOURNAL.length));
  if (!parts || text.length > JOURNAL_ENTRY) return null;
  const [, tab, job, key] = parts;
  if (!soundKey(key)) return null;
  let note;
  try {
    note = JSON.parse(text);
  } catch {
    return null;
  }
  if (typeof note !== "object" || note === null || !Number.isSafeInteger(note.stamp)) return null;
  if (note.stamp <= 0) return null;
  const value = note.value === undefined ? undefined : soundValue(note.value);
  if (note.value !== undefined && value === undefined) return null;
  const writes = Array.isArray(note.writes)
    ? note.writes
        .filter((/** @type {unknown} */ id) => typeof id === "string" && id.length < 40)
        .slice(0, BATCH)
    : [];
  return { tab, job, key, value, stamp: note.stamp, writes };
}

/** @param {string} job @param {string} key */
function placeOf(job, key) {
  return `${job} ${key}`;
}

/** @param {string | null} text @returns {Map<string, string>} */
function namesIn(text) {
  /** @type {Map<string, string>} */
  const names = new Map();
  if (text === null || text.length > MOST_NAMES * (LIMITS.name + 40)) return names;
  let found;
  try {
    found = JSON.parse(text);
  } catch {
    return names;
  }
  if (typeof found !== "object" || found === null) return names;
  for (const [id, name] of Object.entries(found).slice(0, MOST_NAMES)) {
    if (soundId(id) && id !== SCRATCH && typeof name === "string") names.set(id, soundName(name));
  }
  return names;
}

/** @param {Write} write @param {Value | undefined} value @returns {Value | undefined} */
function outcome(write, value) {
  try {
    const next = write.change(value);
    return next === undefined ? undefined : plainCopy(next);
  } catch {
    // Its own transaction will say so to whoever asked for it.
    return value;
  }
}

/** @param {Row} row @returns {Meta} */
function metaOf(row) {
  const { id, name, created, changed, exported, archived, discarded } = row;
  const unsaved = row.revision > row.exportedRevision;
  const revision = String(row.revision);
  return { id, name, created, changed, exported, archived, discarded, unsaved, revision };
}

/** @param {Whole} whole @returns {{records: Map<string, Value>, photos: Photo[]}} */
function parts(whole) {
  if (!soundId(whole?.id) || whole.id === SCRATCH || typeof whole.created !== "string") {
    throw new Unkeepable("This is no job that can be taken in.");
  }
  const records = Object.entries(whole.records ?? {});
  if (records.length > LIMITS.records) {
    throw new Unkeepable(`A job holds at most ${LIMITS.records} entries; this one has more.`);
  }
  /** @type {Map<string, Value>} */
  const found = new Map();
  for (const [key, value] of records) {
    if (!soundKey(key)) throw new Unkeepable("An entry of this job has a name it cannot have.");
    found.set(key, plainCopy(value));
  }
  const photos = Object.entries(whole.photos ?? {}).map(([id, text]) => {
    const bytes = /^[0-9a-f]{16}$/.test(id) ? fromBase64(text) : null;
    if (!bytes) throw new Unkeepable("A photo of this job cannot be read.");
    return { id, bytes: checkedJpeg(bytes), type: "image/jpeg" };
  });
  checkRoomForPhotos(photos);
  return { records: found, photos };
}

/** @param {string} name @param {string} [mark] */
function copyName(name, mark = "copy") {
  return `${name.slice(0, LIMITS.name - mark.length - 3)} (${mark})`;
}

/** @param {string} id @param {Blob} blob @returns {Promise<Photo>} */
async function photoOf(id, blob) {
  if (blob.size > LIMITS.photo) {
    throw new Unkeepable(
      `This photo is too big to be kept: at most ${LIMITS.photo / 1e6} MB. Take it smaller.`,
    );
  }
  return { id, bytes: checkedJpeg(await blob.arrayBuffer()), type: "image/jpeg" };
}

/** @param {ArrayBuffer} bytes @returns {ArrayBuffer} */
function checkedJpeg(bytes) {
  const [first, second, third] = new Uint8Array(bytes.slice(0, 3));
  if (first !== 0xff || second !== 0xd8 || third !== 0xff) {
    throw new Unkeepable("This is no JPEG photo, and no other kind is kept.");
  }
  if (bytes.byteLength > LIMITS.photo) {
    throw new Unkeepable(`A photo is too big: at most ${LIMITS.photo / 1e6} MB.`);
  }
  return bytes;
}

/** @param {ArrayBuffer} bytes @returns {string} */
export function toBase64(bytes) {
  const all = new Uint8Array(bytes);
  let text = "";
  // A call takes only so many arguments.
  for (let start = 0; start < all.length; start += 0x8000) {
    text += String.fromCharCode(...all.subarray(start, start + 0x8000));
  }
  return btoa(text);
}

/** @param {unknown} text @returns {ArrayBuffer | null} */
export function fromBase64(text) {
  if (typeof text !== "string" || text.length > LIMITS.photo * 2) return null;
  try {
    const raw = atob(text);
    const bytes = new Uint8Array(raw.length);
    for (let place = 0; place < raw.length; place += 1) bytes[place] = raw.charCodeAt(place);
    return bytes.buffer;
  } catch {
    return null;
  }
}

/** @returns {string} */
export function newId() {
  const bytes = crypto.getRandomValues(new Uint8Array(8));
  return [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** @param {Date} date @returns {string} as ISO 8601, in local time with the offset */
export function localTime(date) {
  const two = (/** @type {number} */ number) => String(Math.abs(number)).padStart(2, "0");
  const offset = -date.getTimezoneOffset();
  const sign = offset < 0 ? "-" : "+";
  const hours = two(Math.trunc(offset / 60));
  return (
    `${String(date.getFullYear()).padStart(4, "0")}-${two(date.getMonth() + 1)}-` +
    `${two(date.getDate())}T${two(date.getHours())}:${two(date.getMinutes())}:` +
    `${two(date.getSeconds())}${sign}${hours}:${two(offset % 60)}`
  );
}

/** @param {string} text @returns {number} */
function timeOf(text) {
  const time = Date.parse(text);
  return Number.isNaN(time) ? 0 : time;
}

/** @type {Job | null} */
let visiting = null;

/** The job of this visit. @returns {Job} */
export function visitJob() {
  visiting ??= new Job(new JobStore());
  return visiting;
}

export const job = visitJob();

/**
 * Delete every job, every photo and every trace of them, in all tabs.
 *
 * @param {JobStore} [store]
 */
export async function wipe(store = new JobStore()) {
  // A page that begins may still be taking up what the one before it had to leave.
  await visiting?.ready;
  try {
    await store.clear();
  } finally {
    store.close();
    visiting?.forget();
    tellOfWiping();
  }
}

function tellOfWiping() {
  try {
    const channel = new BroadcastChannel(CHANNEL);
    channel.postMessage({ kind: "wiped" });
    channel.close();
  } catch {
    // There is no other tab to tell.
  }
}

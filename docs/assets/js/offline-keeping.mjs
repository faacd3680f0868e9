// @ts-check
/**
 * Keeps a whole copy of the book on the device: starts the service worker, follows it, and goes on
 * from the page where the worker gave up.
 *
 * A new edition is fetched in the background and taken into use on the reader's word only. When that
 * happens, every open page is loaded anew: modules of two editions never meet in one page.
 */
import {
  BASE,
  CopyProblem,
  fetchAgain,
  kept,
  listInUse,
  listOnSite,
  mendCopy,
  opensAsApp,
  protect,
  removeCopy,
} from "./offline-copy.mjs";

/** @typedef {import("./offline-copy.mjs").List} List */
/** @typedef {import("./offline.mjs").OfflineCopy} OfflineCopy */

const LOOK_AGAIN = 60 * 60 * 1000;
const LOOK_NO_SOONER = 5 * 60 * 1000;
const COUNT_PAUSE = 400;
// After a broken connection: soon, because it was perhaps a lift; then less and less often.
const RETRIES = [4, 15, 60, 300].map((seconds) => seconds * 1000);
// The device is not to fetch the copy again on its own once the reader has removed it.
const OFF = "handbook-offline";
const MENDED = "handbook.mended";
const RELOAD_NO_SOONER = 60 * 1000;
const FORBIDDEN = new Set(["SecurityError", "NotSupportedError", "InvalidStateError"]);

/** @param {string} name @param {"sessionStorage" | "localStorage"} [place] */
function noted(name, place = "localStorage") {
  try {
    return globalThis[place].getItem(name);
  } catch {
    return null;
  }
}

/**
 * @param {string} name
 * @param {string | null} value null takes the note away
 * @param {"sessionStorage" | "localStorage"} [place]
 */
function note(name, value, place = "localStorage") {
  try {
    if (value === null) globalThis[place].removeItem(name);
    else globalThis[place].setItem(name, value);
  } catch {
    // Without storage the note holds for as long as the page does, which is not at all.
  }
}

export class Keeper {
  /** @type {ServiceWorkerRegistration | null} */ #registration = null;
  /** The edition that this page was made of. */ #edition = "";
  #lookedAt = 0;
  #tries = 0;
  /** How often a first worker was given up. */ #refusals = 0;
  #counting = 0;
  /** @type {WeakSet<ServiceWorker>} */ #followed = new WeakSet();
  #again = () => void this.#goOn();
  #going = false;
  #reloading = false;

  /** @param {OfflineCopy} copy what is told of it */
  constructor(copy) {
    this.copy = copy;
  }

  async start() {
    if (!("serviceWorker" in navigator)) {
      const why = globalThis.isSecureContext
        ? ""
        : "The book can be kept offline only from an address with https. Here it works while the network does.";
      this.copy.set({ state: "unsupported", why });
      return;
    }
    this.#followEditions();
    addEventListener("online", () => this.#again());
    this.#lookNowAndThen();
    if (noted(OFF) === "off") {
      // The page that removed it may have put a file back on its way out.
      await removeCopy().catch(() => undefined);
      this.copy.set({ state: "off" });
    } else await this.#register();
  }

  /** Fetch the copy again after the reader had removed it. */
  async keep() {
    note(OFF, null);
    void protect();
    this.copy.set({ state: "waiting" });
    await this.#register();
  }

  /** Take the copy off the device, until the reader wants it back. */
  async remove() {
    note(OFF, "off");
    await removeCopy();
    this.#registration = null;
    this.copy.set({ state: "off", done: 0, doneBytes: 0 });
    // This page is still looked after by the worker that was taken away.
    this.#reload();
  }

  async #register() {
    try {
      const registration = await navigator.serviceWorker.register(new URL("sw.js", BASE), {
        scope: BASE.pathname,
        updateViaCache: "none",
      });
      this.#take(registration);
      if (registration.waiting && registration.active) this.copy.set({ state: "update" });
      else if (registration.active) this.#settle();
      else void this.#count();
    } catch (error) {
      // Without a network the script cannot be looked up again, but the copy is there.
      const before = await navigator.serviceWorker.getRegistration(BASE.href).catch(() => undefined);
      if (before) this.#take(before);
      if (before?.active) this.#settle();
      else this.#refused(error);
      return;
    }
    // Nothing waits for it: a browser may leave this unanswered for ever.
    if (opensAsApp()) void protect();
  }

  /** @param {ServiceWorkerRegistration} registration */
  #take(registration) {
    if (this.#registration !== registration) {
      this.#registration = registration;
      registration.addEventListener("updatefound", () => this.#follow(registration));
    }
    this.#follow(registration);
  }

  /** @param {unknown} error */
  #refused(error) {
    if (error instanceof Error && FORBIDDEN.has(error.name))
      this.copy.set({ state: "forbidden", why: new CopyProblem("forbidden").message });
    else this.#broken(new CopyProblem("network"));
  }

  /** @param {ServiceWorkerRegistration} registration */
  #follow(registration) {
    const first = !registration.active;
    const worker = registration.installing ?? (first ? registration.waiting : null);
    if (!worker || this.#followed.has(worker)) return;
    this.#followed.add(worker);
    const look = () => {
      if (worker.state === "installed" && !first) this.copy.set({ state: "update", why: "" });
      else if (worker.state === "activated") this.#settle();
      else if (worker.state === "redundant" && this.#registration) void this.#given(worker, first);
    };
    worker.addEventListener("statechange", look);
    if (worker.state === "redundant") look();
  }

  /** A worker has been given up. @param {ServiceWorker} worker @param {boolean} first */
  async #given(worker, first) {
    if (first && this.copy.standing.state === "fetching") {
      this.#refusals += 1;
      await this.#goOn();
    } else if (this.copy.standing.state === "ready" && this.#registration?.active !== worker) {
      const why = "A new edition could not be fetched whole. This one stays, and the new one is tried again later.";
      this.copy.set({ why });
    }
  }

  /** Fetch from the page what the worker did not get, then let it try again. */
  async #goOn() {
    if (this.#going || !["fetching", "failed"].includes(this.copy.standing.state)) return;
    this.#going = true;
    try {
      const list = await listOnSite();
      this.copy.set({ state: "fetching", why: "" });
      void this.#count(list);
      const { missing } = await kept(list);
      await fetchAgain(missing, list);
      // All of it is here and is this edition, so the site's worker is of another one.
      if (missing.length === 0 && this.#refusals > 1) throw new CopyProblem("differs", "sw.js");
      this.#registration = null;
      await this.#register();
    } catch (error) {
      this.#broken(error);
    } finally {
      this.#going = false;
    }
  }

  /**
   * @param {any} problem
   * @param {{why?: string, again?: () => void}} [instead] of its own sentence, and of going on
   */
  #broken(problem, { why = problem?.message ?? "", again = () => void this.#goOn() } = {}) {
    // A whole new edition that waits is worth more than the old one's trouble.
    if (this.copy.standing.state === "update") return;
    this.copy.set({ state: "failed", why });
    this.#again = again;
    if (problem?.kind !== "network") return;
    const pause = RETRIES[Math.min(this.#tries, RETRIES.length - 1)];
    this.#tries += 1;
    setTimeout(again, pause);
  }

  #settle() {
    if (this.copy.standing.state === "update") return;
    this.#tries = 0;
    this.#refusals = 0;
    // A worker takes up its work only when all has come; what was counted last is some files older.
    const { total, totalBytes } = this.copy.standing;
    this.copy.set({ state: "ready", done: total, doneBytes: totalBytes });
    const idle = globalThis.requestIdleCallback ?? ((/** @type {() => void} */ act) => setTimeout(act, 200));
    idle(() => void this.#compare());
  }

  /** A browser may empty the copy and keep the worker: see whether all of it is there. */
  async #compare() {
    try {
      const list = await listInUse();
      if (navigator.serviceWorker.controller) this.#edition ||= list.edition;
      const found = await kept(list);
      this.copy.set({
        done: found.count,
        total: Object.keys(list.files).length,
        doneBytes: found.bytes,
        totalBytes: list.bytes,
      });
      if (found.missing.length > 0 && this.copy.standing.state === "ready") {
        this.copy.set({ state: "fetching" });
        void this.#count(list);
        await fetchAgain(found.missing, list);
        this.copy.set({ state: "ready" });
      }
    } catch (error) {
      this.#broken(error);
    }
  }

  /** Check every file, and fetch just the damaged ones again. */
  async mend() {
    const { state } = this.copy.standing;
    if (state === "mending" || !navigator.serviceWorker?.controller) return;
    this.copy.set({ state: "mending" });
    try {
      const { fetched, left, problem } = await mendCopy();
      if (problem) {
        const away = `Damaged files of the copy: ${left.length}. Connect the device, and they are fetched again.`;
        const why = problem.kind === "network" ? away : problem.message;
        this.#broken(problem, { why, again: () => void this.mend() });
        return;
      }
      this.copy.set({ state: state === "failed" ? "ready" : state, why: "" });
      if (fetched.length > 0) this.#reloadMended();
    } catch (error) {
      this.#broken(error, { again: () => void this.mend() });
    }
  }

  /** What was damaged may be in use on this page. Once: a reload that does not help is not repeated. */
  #reloadMended() {
    if (Date.now() - Number(noted(MENDED, "sessionStorage")) < RELOAD_NO_SOONER) return;
    note(MENDED, String(Date.now()), "sessionStorage");
    location.reload();
  }

  /**
   * Show how much has come, while it is fetched.
   *
   * @param {List} [known]
   */
  async #count(known) {
    this.copy.set({ state: "fetching" });
    const turn = ++this.#counting;
    try {
      const list = known ?? (await listOnSite());
      this.#edition ||= list.edition;
      this.copy.set({ total: Object.keys(list.files).length, totalBytes: list.bytes });
      while (this.copy.standing.state === "fetching") {
        const found = await kept(list);
        if (this.copy.standing.state !== "fetching" || turn !== this.#counting) return;
        this.copy.set({ done: found.count, doneBytes: found.bytes });
        await new Promise((resolve) => setTimeout(resolve, COUNT_PAUSE));
      }
    } catch {
      // The sentence does without a number.
    }
  }

  /** Load this page anew when another edition takes over, whichever page asked for it. */
  #followEditions() {
    let looked = Boolean(navigator.serviceWorker.controller);
    navigator.serviceWorker.addEventListener("controllerchange", async () => {
      if (looked) return this.#reload();
      // The first worker takes up a page that came from the site; both are of one edition, unless
      // the site was changed in between.
      looked = true;
      const list = await listInUse().catch(() => null);
      if (list && this.#edition && list.edition !== this.#edition) this.#reload();
    });
  }

  #reload() {
    if (this.#reloading) return;
    this.#reloading = true;
    location.reload();
  }

  /** A tablet that is never closed would otherwise never see a new edition. */
  #lookNowAndThen() {
    this.#lookedAt = Date.now();
    const look = () => {
      if (document.visibilityState !== "visible" || !navigator.onLine) return;
      if (Date.now() - this.#lookedAt < LOOK_NO_SOONER) return;
      void this.look();
    };
    setInterval(look, LOOK_AGAIN);
    document.addEventListener("visibilitychange", look);
    addEventListener("online", look);
  }

  /** Ask the site for a newer edition now. @returns {Promise<boolean>} whether it could be asked */
  async look() {
    this.#lookedAt = Date.now();
    try {
      await this.#registration?.update();
      return Boolean(this.#registration);
    } catch {
      return false;
    }
  }

  switchEdition() {
    const waiting = this.#registration?.waiting;
    if (waiting) waiting.postMessage({ type: "SKIP_WAITING" });
    // Another page has switched already.
    else this.#reload();
  }
}

// @ts-check
/**
 * Keeps a whole copy of the book on the device, and says how that stands.
 *
 * `<offline-state>` may stand on a page as often as wanted; all of them show the one state.
 * A new edition is fetched in the background and taken into use on the reader's word only.
 */
/** @typedef {"waiting" | "fetching" | "ready" | "update" | "failed" | "unsupported"} State */
/** @typedef {{state: State, done: number, total: number}} Standing */

const BASE = new URL("../../", import.meta.url);
const LOOK_AGAIN = 60 * 60 * 1000;
const LOOK_NO_SOONER = 5 * 60 * 1000;
const COUNT_PAUSE = 400;

/** @param {Standing} standing @returns {string} */
export function sentence({ state, done, total }) {
  switch (state) {
    case "waiting":
      return "Looking for the offline copy";
    case "fetching":
      return total > 0 ? `Fetching for offline: ${done} of ${total}` : "Fetching for offline";
    case "ready":
      return "Ready offline";
    case "update":
      return "New edition available";
    case "failed":
      return "No offline copy yet: fetching broke off. Reload the page with a good connection";
    case "unsupported":
      return "This browser cannot keep the book offline";
  }
}

class OfflineCopy extends EventTarget {
  /** @type {Standing} */ standing = { state: "waiting", done: 0, total: 0 };
  /** @type {any} */ #workbox = null;
  #lookedAt = 0;

  /** @param {Partial<Standing>} change */
  #set(change) {
    this.standing = { ...this.standing, ...change };
    document.documentElement.dataset.offline = this.standing.state;
    this.dispatchEvent(new Event("change"));
  }

  async start() {
    if (!("serviceWorker" in navigator)) {
      this.#set({ state: "unsupported" });
      return;
    }
    let workbox;
    try {
      const { Workbox } = await import("../vendor/workbox-window.mjs");
      workbox = new Workbox(new URL("sw.js", BASE).href, { scope: BASE.pathname });
    } catch {
      this.#set({ state: "failed" });
      return;
    }
    this.#workbox = workbox;
    workbox.addEventListener("waiting", () => this.#set({ state: "update" }));
    workbox.addEventListener("activated", () => this.#settle());
    workbox.addEventListener("redundant", () => {
      if (this.standing.state === "fetching") this.#set({ state: "failed" });
    });
    try {
      const registration = await workbox.register({ immediate: true });
      if (registration?.active) this.#settle();
      else void this.#count(registration);
      this.#lookNowAndThen();
    } catch {
      const active = await navigator.serviceWorker.getRegistration(BASE.href);
      // Without a network the script cannot be looked up again, but the copy is there.
      this.#set({ state: active?.active ? "ready" : "failed" });
    }
    // A prompt may leave this unanswered for ever, so nothing waits for it.
    navigator.storage?.persist?.().catch(() => false);
  }

  #settle() {
    if (this.standing.state !== "update") this.#set({ state: "ready" });
  }

  /**
   * Show how many files have come, while the first copy is fetched.
   *
   * @param {ServiceWorkerRegistration | undefined} registration
   */
  async #count(registration) {
    this.#set({ state: "fetching" });
    try {
      const list = await fetch(new URL("assets/engine/precache.json", BASE));
      if (list.ok) this.#set({ total: Number((await list.json()).count) || 0 });
    } catch {
      // The sentence does without a number.
    }
    while (this.standing.state === "fetching") {
      if (registration?.active) {
        this.#settle();
        return;
      }
      this.#set({ done: Math.min(await filesKept(), this.standing.total) });
      await new Promise((resolve) => setTimeout(resolve, COUNT_PAUSE));
    }
  }

  /** A tablet that is never closed would otherwise never see a new edition. */
  #lookNowAndThen() {
    this.#lookedAt = Date.now();
    const look = () => {
      if (document.visibilityState !== "visible" || !navigator.onLine) return;
      if (Date.now() - this.#lookedAt < LOOK_NO_SOONER) return;
      this.#lookedAt = Date.now();
      this.#workbox?.update().catch(() => undefined);
    };
    setInterval(look, LOOK_AGAIN);
    document.addEventListener("visibilitychange", look);
    addEventListener("online", look);
  }

  switchEdition() {
    this.#workbox?.addEventListener("controlling", () => location.reload());
    this.#workbox?.messageSkipWaiting();
  }
}

/** @returns {Promise<number>} */
async function filesKept() {
  let kept = 0;
  try {
    for (const name of await caches.keys()) {
      if (!name.includes("precache") || !name.includes(BASE.href)) continue;
      kept += (await (await caches.open(name)).keys()).length;
    }
  } catch {
    return 0;
  }
  return kept;
}

const copy = new OfflineCopy();

export class OfflineState extends HTMLElement {
  /** @type {AbortController | null} */ #listening = null;

  connectedCallback() {
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    copy.addEventListener("change", () => this.#show(), { signal });
    this.addEventListener("click", this.#onClick, { signal });
    this.#show();
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
  }

  #onClick = (/** @type {Event} */ event) => {
    if (event.target instanceof Element && event.target.closest("button")) copy.switchEdition();
  };

  #show() {
    const { standing } = copy;
    const text = sentence(standing);
    if (this.dataset.state === standing.state && this.firstChild?.textContent === text) return;
    this.dataset.state = standing.state;
    const words = document.createElement("span");
    words.textContent = text;
    this.replaceChildren(words);
    if (standing.state !== "update") return;
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = "Switch to it";
    this.append(button);
  }
}

/** Fetch the copy, once the page itself has had its turn. In a course, the course system keeps it. */
export function keepOffline() {
  if ("course" in document.documentElement.dataset) return;
  if (document.readyState === "complete") void copy.start();
  else addEventListener("load", () => void copy.start(), { once: true });
}

// @ts-check
/**
 * Says how the copy of the book on the device stands. What keeps it, offline-keeping.mjs, is fetched
 * when the page itself has had its turn.
 *
 * `<offline-state>` may stand on a page as often as wanted; all of them show the one state.
 */
/**
 * @typedef {"waiting" | "fetching" | "ready" | "update" | "mending" | "failed" | "forbidden"
 *   | "unsupported" | "off"} State
 */
/**
 * @typedef {object} Standing
 * @property {State} state
 * @property {number} done files kept
 * @property {number} total
 * @property {number} doneBytes
 * @property {number} totalBytes
 * @property {string} why a sentence on what went wrong
 */

/** @param {number} bytes @returns {string} in millions, without the unit */
export const megabytes = (bytes) => (bytes / 1e6).toFixed(1);

/** @param {Partial<Standing> & {state: State}} standing @returns {string} */
export function sentence({ state, done = 0, total = 0, doneBytes = 0, totalBytes = 0, why = "" }) {
  const amount =
    total > 0
      ? `: ${done} of ${total} files, ${megabytes(doneBytes)} of ${megabytes(totalBytes)} MB`
      : "";
  switch (state) {
    case "waiting":
      return "Looking for the offline copy";
    case "fetching":
      return `Fetching for offline${amount}`;
    case "ready":
      return why ? `Ready offline. ${why}` : "Ready offline";
    case "update":
      return "New edition available";
    case "mending":
      return "Mending the offline copy";
    case "failed":
      return `Not ready offline${amount}. ${why || "Fetching broke off. Reload the page with a good connection."}`;
    case "forbidden":
      return `Not kept offline. ${why}`;
    case "unsupported":
      return why || "This browser cannot keep the book offline";
    case "off":
      return "Not kept on this device";
  }
}

export class OfflineCopy extends EventTarget {
  /** @type {Standing} */
  standing = { state: "waiting", done: 0, total: 0, doneBytes: 0, totalBytes: 0, why: "" };
  /** What a browser gives for installing the book as an app. @type {any} */
  installer = null;
  /** @type {import("./offline-keeping.mjs").Keeper | null} */
  keeper = null;
  #damaged = false;

  /** @param {Partial<Standing>} change */
  set(change) {
    this.standing = { ...this.standing, ...change };
    document.documentElement.dataset.offline = this.standing.state;
    this.dispatchEvent(new Event("change"));
  }

  async start() {
    try {
      const { Keeper } = await import("./offline-keeping.mjs");
      this.keeper = new Keeper(this);
    } catch {
      this.set({ state: "failed" });
      return;
    }
    await this.keeper.start();
    if (this.#damaged) await this.keeper.mend();
  }

  /** Something of the book could not be read on this page: have the copy looked through. */
  suspect() {
    this.#damaged = true;
    void this.keeper?.mend();
  }
}

/** The one copy of this device, as this page sees it. */
export const offlineCopy = new OfflineCopy();

export class OfflineState extends HTMLElement {
  /** @type {AbortController | null} */ #listening = null;

  connectedCallback() {
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    offlineCopy.addEventListener("change", () => this.#show(), { signal });
    this.addEventListener("click", this.#onClick, { signal });
    this.#show();
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
  }

  #onClick = (/** @type {Event} */ event) => {
    if (!(event.target instanceof Element && event.target.closest("button"))) return;
    if (offlineCopy.standing.state === "off") void offlineCopy.keeper?.keep();
    else offlineCopy.keeper?.switchEdition();
  };

  #show() {
    const { standing } = offlineCopy;
    const text = sentence(standing);
    if (this.dataset.state === standing.state && this.firstChild?.textContent === text) return;
    this.dataset.state = standing.state;
    const words = document.createElement("span");
    words.textContent = text;
    this.replaceChildren(words);
    const act = { update: "Switch to it", off: "Keep it" }[/** @type {string} */ (standing.state)];
    if (!act) return;
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = act;
    this.append(button);
  }
}

/** Fetch the copy, once the page itself has had its turn. In a course, the course system keeps it. */
export function keepOffline() {
  if ("course" in document.documentElement.dataset) return;
  addEventListener("beforeinstallprompt", (event) => {
    offlineCopy.installer = event;
    offlineCopy.dispatchEvent(new Event("change"));
  });
  document.addEventListener("handbook:damaged", () => offlineCopy.suspect());
  if (document.readyState === "complete") void offlineCopy.start();
  else addEventListener("load", () => void offlineCopy.start(), { once: true });
}

// @ts-check
/**
 * The place where the copy of the book is looked at: `<offline-copy>` on its page.
 */
import { button, el, refill } from "./job-dom.mjs";
import {
  check,
  CopyProblem,
  fetchAgain,
  listInUse,
  opensAsApp,
  protect,
  storage,
} from "./offline-copy.mjs";
import { megabytes, offlineCopy, sentence } from "./offline.mjs";

/** @typedef {import("./offline-copy.mjs").List} List */
/** @typedef {{list: List | null, used: number | null, room: number | null, persisted: boolean | null}} Facts */

const SHOWN = 5;

/** @param {string[]} names @returns {string} the first few, and how many more */
export function named(names) {
  const more = names.length - SHOWN;
  return names.slice(0, SHOWN).join(", ") + (more > 0 ? ` and ${more} more` : "");
}

/**
 * Return the rows of the table: what the device says of the copy.
 *
 * @param {import("./offline.mjs").Standing} standing
 * @param {Facts} facts
 * @param {boolean} asApp
 * @returns {[string, string][]}
 */
export function rows(standing, { list, used, room, persisted }, asApp) {
  const { done, total, doneBytes, totalBytes } = standing;
  const edition = list ? `${list.edition}, of ${list.date}` : "not known without a network";
  const kept =
    total > 0
      ? `${done} of ${total} files, ${megabytes(doneBytes)} of ${megabytes(totalBytes)} MB`
      : "nothing";
  const space =
    used === null || room === null
      ? "this browser does not tell"
      : `${megabytes(used)} MB used by the book and your records, of ${(room / 1e9).toFixed(1)} GB allowed`;
  const safe =
    persisted === null
      ? "this browser does not tell"
      : persisted
        ? "yes: the browser clears it only when you ask"
        : "no: the browser may clear it when room is short";
  return [
    ["State", sentence(standing)],
    ["Edition on this page", edition],
    ["Kept on this device", kept],
    ["Room", space],
    ["Protected from clearing", safe],
    ["Opened", asApp ? "as an app from the home screen" : "in the browser"],
  ];
}

export class OfflineCopyPart extends HTMLElement {
  /** @type {AbortController | null} */ #listening = null;
  /** @type {Facts} */ #facts = { list: null, used: null, room: null, persisted: null };
  #table = el("dl", { class: "oc-facts" });
  #bar = /** @type {HTMLProgressElement} */ (el("progress", { "aria-label": "Fetched", hidden: true }));
  #acts = el("div", { class: "oc-acts" });
  #told = el("p", { class: "oc-told", role: "status" });
  #busy = false;
  #asking = false;
  #offered = "";

  connectedCallback() {
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    if ("course" in document.documentElement.dataset) {
      this.replaceChildren(el("p", {}, "In a course, the course system keeps this book."));
      return;
    }
    this.replaceChildren(this.#table, this.#bar, this.#acts, this.#told);
    offlineCopy.addEventListener("change", () => void this.#look(), { signal });
    this.addEventListener("click", (event) => void this.#onClick(event), { signal });
    void this.#look();
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
  }

  async #look() {
    this.#show();
    const list = await listInUse().catch(() => null);
    this.#facts = { list, ...(await storage()) };
    this.#show();
  }

  #show() {
    const { standing, installer } = offlineCopy;
    this.dataset.state = standing.state;
    this.#table.replaceChildren(
      ...rows(standing, this.#facts, opensAsApp()).flatMap(([name, value]) => [
        el("dt", {}, name),
        el("dd", {}, value),
      ]),
    );
    this.#bar.hidden = standing.state !== "fetching" || standing.totalBytes === 0;
    this.#bar.max = standing.totalBytes || 1;
    this.#bar.value = standing.doneBytes;
    // Made anew only when others are offered: a press that is under way would be lost.
    const offered = this.#asking ? "question" : `${standing.state} ${installer !== null} ${this.#facts.persisted}`;
    if (offered !== this.#offered) {
      this.#offered = offered;
      refill(this.#acts, this.#asking ? this.#question() : this.#choices(standing.state, installer));
    }
    for (const each of this.#acts.querySelectorAll("button")) each.disabled = this.#busy;
  }

  /** @param {string} state @param {unknown} installer */
  #choices(state, installer) {
    const keyed = (/** @type {string} */ act, /** @type {string} */ words) =>
      button(act, words, { "data-key": act });
    if (state === "off") return [keyed("keep", "Keep the book on this device")];
    if (state === "unsupported" || state === "forbidden") return [];
    return [
      state === "update" && keyed("switch", "Switch to the new edition"),
      keyed("check", "Check the copy"),
      keyed("again", "Fetch all of it again"),
      keyed("news", "Look for a new edition"),
      installer ? keyed("install", "Install as an app") : null,
      this.#facts.persisted === false && keyed("protect", "Ask the browser to protect it"),
      keyed("remove", "Remove the copy"),
    ];
  }

  #question() {
    return [
      el(
        "p",
        {},
        "Remove the copy? Without a network the book does not open then. Jobs, results and what you have typed stay.",
      ),
      button("remove-now", "Remove it", { "data-key": "remove-now" }),
      button("leave", "Leave it", { "data-key": "leave" }),
    ];
  }

  /** @param {Event} event */
  async #onClick(event) {
    const pressed = event.target instanceof Element && event.target.closest("button");
    if (!pressed || this.#busy) return;
    const act = pressed.getAttribute("data-action") ?? "";
    this.#asking = act === "remove";
    this.#busy = true;
    this.#show();
    try {
      this.#told.textContent = (await this.#do(act)) ?? "";
    } catch (error) {
      this.#told.textContent = error instanceof CopyProblem ? error.message : `This did not work: ${error}`;
    }
    this.#busy = false;
    await this.#look();
  }

  /** @param {string} act @returns {Promise<string | void>} what came of it */
  async #do(act) {
    const { keeper } = offlineCopy;
    if (act === "check") return this.#check();
    if (act === "protect") {
      return (await protect())
        ? "The browser clears it only when you ask."
        : "The browser did not agree. It often does once the book is an app, or is used for some time.";
    }
    if (act === "again") return this.#fetchAll();
    if (act === "switch") keeper?.switchEdition();
    if (act === "keep") await keeper?.keep();
    if (act === "remove-now") await keeper?.remove();
    if (act === "install") {
      const { installer } = offlineCopy;
      offlineCopy.installer = null;
      await installer?.prompt();
    }
    if (act === "news") {
      const asked = await keeper?.look();
      if (!asked) return "The site could not be asked. Connect the device, then try again.";
      if (offlineCopy.standing.state === "update") return "There is a new edition.";
      return "The site was asked. If it has a new edition, it is being fetched, and the line at the foot of the page will say so.";
    }
  }

  async #check() {
    const list = await listInUse();
    const looked = (/** @type {number} */ bytes) => {
      this.#told.textContent = `Looking: ${megabytes(bytes)} of ${megabytes(list.bytes)} MB`;
    };
    const { damaged, missing } = await check(list, looked);
    const wanted = [...damaged, ...missing];
    const count = Object.keys(list.files).length;
    if (wanted.length === 0) return `The copy is whole: ${count} files are as they should be.`;
    const found = [
      damaged.length > 0 && `Damaged: ${named(damaged)}.`,
      missing.length > 0 && `Missing: ${named(missing)}.`,
    ].filter(Boolean);
    try {
      await fetchAgain(wanted, list);
    } catch (error) {
      const why = error instanceof CopyProblem ? error.message : String(error);
      return `${found.join(" ")} They could not be fetched. ${why}`;
    }
    return `${found.join(" ")} Fetched again: the copy is whole now. Reload the page.`;
  }

  async #fetchAll() {
    const list = await listInUse();
    let bytes = 0;
    await fetchAgain(Object.keys(list.files), list, (name, size) => {
      bytes += size;
      this.#told.textContent = `Fetched again: ${megabytes(bytes)} of ${megabytes(list.bytes)} MB`;
    });
    return `All ${Object.keys(list.files).length} files are fetched again. Reload the page.`;
  }
}

// @ts-check
/**
 * The page of the job record: the open job, the others on this device, and the ways in and out.
 *
 * Each part is a module of its own with a `root`, a `show()` that brings it up to date, and the
 * `actions` of its buttons. The element puts them in order and tells them what has changed.
 */
import { visitEngine } from "./engine.mjs";
import { AboutForm } from "./job-about.mjs";
import { BeginForm } from "./job-begin.mjs";
import { button, el, refill } from "./job-dom.mjs";
import { FactsTable } from "./job-facts-table.mjs";
import { HandOver } from "./job-handover.mjs";
import { JobList } from "./job-list.mjs";
import { TakeIn } from "./job-takein.mjs";
import { Todos } from "./job-todos.mjs";
import { contents, KEPT_WHERE, SAVE_IT, savedWords } from "./job-words.mjs";
import { job as visitJob } from "./job.mjs";

/**
 * @typedef {object} Context what a part may use
 * @property {any} job
 * @property {import("./job-files.mjs").Ask} ask
 * @property {(words: string) => void} say tells the reader, aloud where a screen is read out
 * @property {() => Promise<void>} leave keeps what is half typed, before another job is current
 * @property {(how?: {stay?: boolean}) => void} arrive shows the job that is current now
 */

const ROOT = new URL("../../", import.meta.url);
const LIST_PAUSE = 300;
const AGES = 60_000;
const SAID = 12_000;

// A job with many photos takes a slow tablet its time.
const FILE_LIMIT = 120_000;
const FILE_ADVICE = "Remove photos from the job, or use a faster device.";

export class JobShelf extends HTMLElement {
  /** @type {AbortController | null} */ #listening = null;
  /** @type {ReturnType<typeof setTimeout> | undefined} */ #clock;
  /** @type {ReturnType<typeof setInterval> | undefined} */ #ages;
  /** @type {ReturnType<typeof setTimeout> | undefined} */ #silence;
  /** @type {{about: AboutForm, facts: FactsTable, todos: Todos, handOver: HandOver,
   *   begin: BeginForm, takeIn: TakeIn, list: JobList} | null} */
  #parts = null;
  #said = el("p", { class: "jb-said", role: "status", "aria-live": "polite" });
  #trouble = el("p", { class: "jb-trouble", role: "alert", hidden: true });
  #head = el("section", { class: "jb-head", "aria-labelledby": "jb-open" });
  #where = el("section", { class: "jb-part", "aria-labelledby": "jb-where" });

  get job() {
    return visitJob;
  }

  /** @param {object} request */
  ask(request) {
    return visitEngine().ask(request, { limit: FILE_LIMIT, advice: FILE_ADVICE });
  }

  connectedCallback() {
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    this.addEventListener("click", this.#onClick, { signal });
    addEventListener("hashchange", this.#onHash, { signal });
    // A tablet that is put away may never come back to this page.
    addEventListener("pagehide", () => void this.#parts?.about.flush(), { signal });
    void this.#begin(signal);
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
    clearTimeout(this.#clock);
    clearInterval(this.#ages);
    clearTimeout(this.#silence);
    void this.#parts?.about.flush();
    this.#parts = null;
  }

  /** @param {AbortSignal} signal */
  async #begin(signal) {
    const { job } = this;
    await job.ready;
    if (signal.aborted) return;
    /** @type {Context} */
    const context = {
      job,
      ask: (request) => this.ask(request),
      say: (words) => this.#say(words),
      leave: async () => this.#parts?.about.flush(),
      arrive: (how) => this.#arrive(how),
    };
    this.#parts = {
      about: new AboutForm(context),
      facts: new FactsTable(context),
      todos: new Todos(context),
      handOver: new HandOver(context),
      begin: new BeginForm(context),
      takeIn: new TakeIn(context),
      list: new JobList(context),
    };
    job.addEventListener("change", () => this.#show(), { signal });
    job.addEventListener("switch", () => this.#arrange(), { signal });
    job.addEventListener("trouble", () => this.#show(), { signal });
    this.#ages = setInterval(() => {
      if (document.visibilityState === "visible") this.#parts?.facts.show();
    }, AGES);
    this.#arrange();
    void this.#tellWhere();
    void this.#parts.takeIn.fromLink(location.hash);
  }

  /** Put the parts in the order in which they are wanted: the open job first, if there is one. */
  #arrange() {
    if (!this.#parts) return;
    const { about, facts, todos, handOver, begin, takeIn, list } = this.#parts;
    const open = [this.#head, about.root, facts.root, todos.root, handOver.root];
    const parts = this.job.isOpen
      ? [...open, list.root, begin.root, takeIn.root]
      : [begin.root, list.root, takeIn.root];
    this.replaceChildren(this.#trouble, takeIn.answer, ...parts, this.#where, this.#said);
    this.dataset.state = this.job.isOpen ? "open" : "none";
    this.#show();
  }

  #show() {
    if (!this.#parts) return;
    const { job } = this;
    const { about, facts, todos, handOver, begin, list } = this.#parts;
    this.#trouble.textContent = job.trouble;
    this.#trouble.hidden = !job.trouble;
    begin.show();
    if (job.isOpen) {
      this.#showHead();
      for (const part of [about, facts, todos, handOver]) part.show();
    }
    clearTimeout(this.#clock);
    this.#clock = setTimeout(() => void list.show(), LIST_PAUSE);
  }

  #showHead() {
    const { job } = this;
    const unsaved = Boolean(job.unsaved);
    const place = job.get("about/where")?.text;
    refill(this.#head, [
      el("h2", { id: "jb-open", tabindex: "-1" }, job.meta.name),
      place && el("p", { class: "jb-place" }, place),
      el("p", {}, `In it: ${contents(job.keys(""))}.`),
      el("p", { "data-unsaved": unsaved }, `This job is ${savedWords(job.meta, unsaved)}.`),
      el(
        "div",
        { class: "jb-buttons" },
        el("a", { class: "jb-link", href: new URL("readings/", ROOT).href }, "Readings"),
        el("a", { class: "jb-link", href: new URL("report/", ROOT).href }, "Report"),
        unsaved && button("save-file", "Save as a file", { "data-key": "save" }),
        button("close-job", "Close the job", { "data-key": "close" }),
      ),
    ]);
  }

  async #tellWhere() {
    const { job } = this;
    const room = await Promise.resolve(job.room()).catch(() => null);
    const promised =
      room?.persisted === true
        ? "This browser has promised not to clear them on its own."
        : "This browser has not promised to keep them.";
    refill(this.#where, [
      el("h2", { id: "jb-where" }, "Where jobs are kept"),
      el(
        "ul",
        { class: "jb-lines" },
        ...[...KEPT_WHERE, promised, room?.sentence].filter(Boolean).map((line) => el("li", {}, line)),
      ),
      el("p", {}, SAVE_IT),
    ]);
  }

  /** @param {{stay?: boolean}} [how] */
  #arrive({ stay = false } = {}) {
    this.#show();
    if (stay) return;
    const title = this.querySelector(this.job.isOpen ? "#jb-open" : "#jb-begin-place");
    if (!(title instanceof HTMLElement)) return;
    title.focus({ preventScroll: true });
    title.scrollIntoView({ block: "start" });
  }

  #onHash = () => {
    void this.#parts?.takeIn.fromLink(location.hash);
  };

  #onClick = (/** @type {Event} */ event) => {
    const { target } = event;
    const pressed = target instanceof Element ? target.closest("[data-action]") : null;
    if (!(pressed instanceof HTMLElement) || !this.#parts) return;
    const action = pressed.dataset.action ?? "";
    if (action === "close-job") {
      void this.#close();
      return;
    }
    const { facts, todos, handOver, takeIn, list } = this.#parts;
    for (const { actions } of [facts, todos, handOver, takeIn, list]) {
      actions[action]?.(pressed);
    }
  };

  /** @param {string} words */
  #say(words) {
    this.#said.textContent = words;
    clearTimeout(this.#silence);
    // It lies over the page, and everything that lasts is told in its own place as well.
    this.#silence = setTimeout(() => {
      this.#said.textContent = "";
    }, SAID);
  }

  async #close() {
    const { job } = this;
    const { name } = job.meta;
    await this.#parts?.about.flush();
    await job.close();
    this.#say(`Closed: ${name}. It stays on this device.`);
    this.#arrive();
  }
}

// @ts-check
/**
 * The jobs on this device: found by a word, opened, put away, deleted and brought back.
 */
import { button, el, field, focusKey, refill } from "./job-dom.mjs";
import { countWords, matches, savedWords, when, wordsOf } from "./job-words.mjs";

const FEW = 4;
const PAUSE = 200;

/** @typedef {Record<string, any>} Meta */

export class JobList {
  #query = /** @type {HTMLInputElement} */ (el("input", { type: "search", autocomplete: "off" }));
  #search = field("jb-search", "Search", this.#query, "Finds names, places and notes.");
  #found = el("p", { class: "jb-help" });
  #jobs = el("div");
  #away = folded("Put away");
  #deleted = folded("Deleted");
  /** @type {Map<string, string>} name of each that was deleted on this page */ #gone = new Map();
  /** @type {Map<string, string>} what can be searched of each job */ #words = new Map();
  /** @type {Meta[]} */ #metas = [];
  /** @type {ReturnType<typeof setTimeout> | undefined} */ #clock;
  #asked = 0;

  /** @param {import("./job-shelf.mjs").Context} context */
  constructor({ job, say, leave, arrive }) {
    this.job = job;
    this.say = say;
    this.leave = leave;
    this.arrive = arrive;
    this.root = el(
      "section",
      { class: "jb-part", "aria-labelledby": "jb-jobs" },
      el("h2", { id: "jb-jobs" }, "Jobs on this device"),
      this.#search,
      this.#found,
      this.#jobs,
      this.#away.root,
      this.#deleted.root,
    );
    this.#query.addEventListener("input", () => {
      clearTimeout(this.#clock);
      this.#clock = setTimeout(() => void this.show(), PAUSE);
    });
  }

  actions = /** @type {Record<string, (button: HTMLElement) => void>} */ ({
    "open-job": ({ dataset }) => void this.#open(dataset.id ?? ""),
    "put-away": ({ dataset }) => void this.#archive(dataset.id ?? "", true),
    "take-out": ({ dataset }) => void this.#archive(dataset.id ?? "", false),
    "delete-job": ({ dataset }) => void this.#discard(dataset.id ?? ""),
    "restore-job": ({ dataset }) => void this.#restore(dataset.id ?? ""),
  });

  async show() {
    this.#asked += 1;
    const mine = this.#asked;
    const { job } = this;
    const [open, away, deleted] = await Promise.all([
      job.shelf({}),
      job.shelf({ archived: true }),
      job.shelf({ discarded: true }),
    ]);
    const query = this.#query.value.trim();
    const all = [...open, ...away, ...deleted];
    if (query) await this.#learn(all);
    if (mine !== this.#asked) return;
    this.#metas = all;
    const fits = (/** @type {Meta} */ meta) =>
      !query || matches(query, `${meta.name}\n${this.#words.get(wordKey(meta)) ?? ""}`);
    const shown = open.filter(fits);
    this.#search.hidden = all.length < FEW && !query;
    this.#found.textContent = query
      ? `${shown.length + away.filter(fits).length} of ${open.length + away.length} jobs fit.`
      : "";
    this.#found.hidden = !query;
    const items = [
      ...shown.map((/** @type {Meta} */ meta) => this.#item(meta, "open")),
      ...[...this.#gone].map(([id, name]) => this.#note(id, name)),
    ];
    refill(this.#jobs, [
      items.length > 0
        ? el("ul", { class: "jb-list" }, ...items)
        : el("p", { class: "jb-empty" }, query ? "None fits." : "None yet."),
    ]);
    this.#away.fill(away.filter(fits).map((/** @type {Meta} */ meta) => this.#item(meta, "away")), query);
    this.#deleted.fill(
      deleted.filter(fits).map((/** @type {Meta} */ meta) => this.#item(meta, "deleted")),
      "",
      "Deleted jobs are kept for 30 days, then they are gone for good.",
    );
  }

  /** Read what can be searched, once for each state of a job. @param {Meta[]} metas */
  async #learn(metas) {
    for (const meta of metas) {
      const key = wordKey(meta);
      if (this.#words.has(key)) continue;
      this.#words.set(key, wordsOf(await this.job.records(meta.id)));
    }
  }

  /** @param {Meta} meta @param {"open" | "away" | "deleted"} where */
  #item(meta, where) {
    const { id, name } = meta;
    const isOpen = id === this.job.id;
    const unsaved = isOpen ? this.job.unsaved : meta.unsaved;
    const press = (/** @type {string} */ action, /** @type {string} */ words) =>
      button(action, words, {
        ...{ "data-id": id, "data-key": `${action} ${id}` },
        "aria-label": `${words}: ${name}`,
      });
    return el(
      "li",
      { class: "jb-job", "data-open": isOpen, "data-id": id },
      el("p", { class: "jb-name" }, el("b", {}, name), isOpen && el("span", { class: "jb-chip" }, "open now")),
      el("p", { class: "jb-help" }, `In it: ${countWords(meta.counts)}.`),
      el("p", { class: "jb-help" }, `Last change ${when(meta.changed)}; ${savedWords(meta, unsaved)}.`),
      el(
        "div",
        { class: "jb-buttons" },
        where !== "deleted" && !isOpen && press("open-job", "Open"),
        where === "open" && press("put-away", "Put away"),
        where === "away" && press("take-out", "Take out again"),
        where !== "deleted" && press("delete-job", "Delete"),
        where === "deleted" && press("restore-job", "Bring back"),
      ),
    );
  }

  /** @param {string} id @param {string} name */
  #note(id, name) {
    return el(
      "li",
      { class: "jb-note" },
      `Deleted: ${name}`,
      button("restore-job", "Undo", {
        ...{ "data-id": id, "data-key": `undo ${id}` },
        "aria-label": `Undo: bring back ${name}`,
      }),
    );
  }

  /** @param {string} id */
  #nameOf(id) {
    return this.#metas.find((meta) => meta.id === id)?.name ?? "the job";
  }

  /** @param {string} id */
  async #open(id) {
    await this.leave();
    await this.job.open(id);
    this.say(`Open: ${this.#nameOf(id)}`);
    this.arrive();
  }

  /** @param {string} id @param {boolean} away */
  async #archive(id, away) {
    await this.leave();
    await this.job.archive(id, away);
    if (away) this.#away.root.open = true;
    await this.show();
    focusKey(this.root, `${away ? "take-out" : "put-away"} ${id}`);
    this.say(`${away ? "Put away" : "Taken out again"}: ${this.#nameOf(id)}`);
  }

  /** @param {string} id */
  async #discard(id) {
    const name = this.#nameOf(id);
    await this.leave();
    this.#gone.set(id, name);
    await this.job.discard(id);
    await this.show();
    focusKey(this.root, `undo ${id}`);
    this.say(`Deleted: ${name}. You can bring it back for 30 days.`);
  }

  /** @param {string} id */
  async #restore(id) {
    const name = this.#gone.get(id) ?? this.#nameOf(id);
    this.#gone.delete(id);
    await this.job.restore(id);
    await this.show();
    if (!focusKey(this.root, `open-job ${id}`)) focusKey(this.root, `take-out ${id}`);
    this.say(`Brought back: ${name}`);
  }
}

/** @param {Meta} meta */
function wordKey({ id, revision }) {
  return `${id} ${revision}`;
}

/** @param {string} title */
function folded(title) {
  const summary = el("summary");
  const body = el("div");
  const root = /** @type {HTMLDetailsElement} */ (
    el("details", { class: "jb-folded", hidden: true }, summary, body)
  );
  return {
    root,
    /** @param {Node[]} items @param {string} query @param {string} [help] */
    fill(items, query, help = "") {
      root.hidden = items.length === 0;
      summary.textContent = `${title} (${items.length})`;
      // What was looked for is not hidden in a fold.
      if (query && items.length > 0) root.open = true;
      refill(body, [help && el("p", { class: "jb-help" }, help), el("ul", { class: "jb-list" }, ...items)]);
    },
  };
}

// @ts-check
/**
 * The site facts of a job: what each is, where it comes from, how old it is; and the way back.
 */
import {
  ageWords,
  allFacts,
  entryWords,
  labelOf,
  loadBook,
  removeFact,
  titleOf,
  undoFact,
} from "./facts.mjs";
import { button, el, focusKey, refill } from "./job-dom.mjs";
import { when } from "./job-words.mjs";

/** @typedef {import("./facts.mjs").Book} Book */

const KEY = "fact/";
const ROOT = new URL("../../", import.meta.url);
const HEADS = ["Site fact", "Value", "From", "Age", "Take back"];
const STALE = "Worked out from a number that has changed since. Open its page to work it out anew.";

export class FactsTable {
  #body = el("div", { class: "jb-facts" });
  #gone = el("div", { class: "jb-gone" });
  /** @type {Map<string, {before: any, words: string}>} what was taken back on this page */
  #changed = new Map();
  /** @type {Book | null} */ #book = null;
  #of = "";

  /** @param {import("./job-shelf.mjs").Context} context */
  constructor({ job, say }) {
    this.job = job;
    this.say = say;
    this.root = el(
      "section",
      { class: "jb-part", "aria-labelledby": "jb-facts" },
      el("h2", { id: "jb-facts" }, "Site facts"),
      el(
        "p",
        { class: "jb-help" },
        "What one page found or you typed, and the next pages take up. Change a value on its page.",
      ),
      this.#body,
      this.#gone,
    );
    void loadBook().then((book) => {
      this.#book = book;
      if (book && this.root.isConnected) this.show();
    });
  }

  actions = /** @type {Record<string, (button: HTMLElement) => void>} */ ({
    "undo-fact": ({ dataset }) => this.#change(dataset.name ?? "", undoFact),
    "remove-fact": ({ dataset }) => this.#change(dataset.name ?? "", removeFact),
    "return-fact": ({ dataset }) => this.#return(dataset.name ?? ""),
  });

  show() {
    if (this.#of !== this.job.id) this.#changed.clear();
    this.#of = this.job.id;
    const facts = allFacts(this.job).sort((one, other) =>
      labelOf(this.#book, one.name).localeCompare(labelOf(this.#book, other.name), "en"),
    );
    refill(this.#body, [
      facts.length > 0
        ? this.#table(facts)
        : el("p", { class: "jb-empty" }, "None yet. They come by themselves as you use the calculators."),
    ]);
    refill(
      this.#gone,
      [...this.#changed].map(([name, { words }]) =>
        el(
          "p",
          { class: "jb-note" },
          words,
          button("return-fact", "Undo that", { "data-name": name, "data-key": `return ${name}` }),
        ),
      ),
    );
  }

  /** @param {ReturnType<typeof allFacts>} facts */
  #table(facts) {
    // The roles are said because a narrow screen shows the rows as blocks, and these lose their own.
    return el(
      "table",
      { class: "jb-table", role: "table" },
      el(
        "thead",
        { role: "rowgroup" },
        el("tr", { role: "row" }, ...HEADS.map((words) => el("th", { role: "columnheader", scope: "col" }, words))),
      ),
      el("tbody", { role: "rowgroup" }, ...facts.map((fact) => this.#row(fact))),
    );
  }

  /** @param {ReturnType<typeof allFacts>[number]} fact */
  #row({ name, entry, origin, at, stale, undoable }) {
    const label = labelOf(this.#book, name);
    const former = undoable && this.job.get(KEY + name)?.before?.[0]?.entry;
    const cell = (/** @type {number} */ head, /** @type {(Node | string | false)[]} */ ...children) =>
      el("td", { role: "cell", "data-head": HEADS[head] }, ...children);
    return el(
      "tr",
      { role: "row" },
      el("th", { role: "rowheader", scope: "row" }, label),
      cell(1, el("b", {}, entryWords(entry)), stale && el("p", { class: "jb-stale" }, STALE)),
      cell(2, this.#origin(origin)),
      cell(3, el("span", { title: when(at) }, ageWords(at))),
      cell(
        4,
        former
          ? button("undo-fact", `Back to ${entryWords(former)}`, {
              ...{ "data-name": name, "data-key": `undo ${name}` },
              "aria-label": `${label}: back to ${entryWords(former)}`,
            })
          : button("remove-fact", "Forget it", {
              ...{ "data-name": name, "data-key": `undo ${name}` },
              "aria-label": `${label}: forget it`,
            }),
      ),
    );
  }

  /** @param {import("./facts.mjs").Origin} origin */
  #origin({ calculator, how }) {
    const title = titleOf(this.#book, calculator);
    const page = this.#book?.calculators?.[calculator]?.page;
    const words = page
      ? el("a", { href: `${new URL(page, ROOT).href}#${calculator}` }, title)
      : title;
    return el("span", {}, words, how === "typed" ? ", typed in" : ", found");
  }

  /** @param {string} name @param {(job: any, name: string) => void} change */
  #change(name, change) {
    const { job } = this;
    const before = job.get(KEY + name);
    if (!before) return;
    change(job, name);
    const now = job.get(KEY + name);
    const label = labelOf(this.#book, name);
    const words = now
      ? `${label} is ${entryWords(now.entry)} again, no longer ${entryWords(before.entry)}.`
      : `${label} was ${entryWords(before.entry)}. It is forgotten.`;
    this.#changed.set(name, { before, words });
    this.show();
    focusKey(this.root, `return ${name}`);
    this.say(words);
  }

  /** @param {string} name */
  #return(name) {
    const changed = this.#changed.get(name);
    this.#changed.delete(name);
    if (changed) {
      // It holds from now on again, so that the pages that took it look anew.
      const at = this.job.now();
      this.job.update(KEY + name, () => ({ ...changed.before, at }));
    }
    this.show();
    focusKey(this.root, `undo ${name}`);
    if (changed) {
      const label = labelOf(this.#book, name);
      this.say(`${label} is ${entryWords(changed.before.entry)} again.`);
    }
  }
}

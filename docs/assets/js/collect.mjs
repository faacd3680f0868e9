// @ts-check
/**
 * The results of a class: many files taken in at once, marked again by the engine, put into a table.
 *
 * Names and answers of other people stay in memory for as long as the page is open, and nowhere
 * else.
 */
import { LONG_LIMIT, visitEngine } from "./engine.mjs";
import { button, el, refill } from "./job-dom.mjs";
import { download } from "./job-files.mjs";
import { counted } from "./job-words.mjs";
import { fragment, messageOf, plain, printPart, trainingName, trainingText } from "./trainer-parts.mjs";

/** @typedef {{name: string, text: string}} Taken */

const ENDING = ".result.json";
const IS_ASSIGNMENT = /"format"\s*:\s*"cold-fill-assignment"/;
const MOST_FILES = 500;
/** Drills are played again to be marked, which takes seconds each. */

export class CollectResults extends HTMLElement {
  /** Who answers; tests put their own here. @type {() => any} */
  static engine = visitEngine;

  #engine = CollectResults.engine();
  /** @type {AbortController | null} */ #listening = null;
  /** @type {Taken[]} */ #taken = [];
  /** @type {{name: string, message: string}[]} */ #refused = [];
  /** @type {any} the trainer's own copy */ #assignment = null;
  #csv = "";
  #asked = 0;
  /** Goes up whenever all is forgotten: what still waits then is not taken in. */ #visit = 0;
  /** @type {Promise<void>} one stack of files after the other */ #turn = Promise.resolve();

  #choose = /** @type {HTMLInputElement} */ (
    el("input", { type: "file", id: "tw-results", multiple: true, accept: ".json,application/json" })
  );
  #drop = el(
    "div",
    { class: "tw-drop" },
    el("label", { class: "jb-file", for: "tw-results" }, "Choose result files", this.#choose),
    el("p", { class: "jb-help" }, "As many as you like at once. Or drop them here."),
  );
  #progress = /** @type {HTMLProgressElement} */ (el("progress", { hidden: true, "aria-label": "Files read" }));
  #said = el("p", { class: "jb-said tw-said", role: "status" });
  #own = el("div", { class: "tw-own" });
  #bad = el("div", { class: "tw-bad" });
  #buttons = el("div", { class: "tw-tools", hidden: true });
  #table = el("div", { class: "tw-print tw-class", "data-part": "class" });

  connectedCallback() {
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    this.classList.add("jb", "tw");
    this.replaceChildren(
      el(
        "section",
        { class: "jb-part tw-part", "aria-labelledby": "tw-collect" },
        el("h2", { id: "tw-collect" }, "Take results in"),
        this.#drop,
        this.#progress,
        this.#said,
        this.#own,
        this.#bad,
        this.#buttons,
      ),
      this.#table,
    );
    this.#choose.addEventListener("change", () => this.#onChoose(), { signal });
    this.addEventListener("click", this.#onClick, { signal });
    for (const type of ["dragenter", "dragover"]) {
      this.#drop.addEventListener(type, (event) => {
        event.preventDefault();
        this.#drop.dataset.over = "";
      }, { signal });
    }
    this.#drop.addEventListener("dragleave", () => delete this.#drop.dataset.over, { signal });
    this.#drop.addEventListener("drop", this.#onDrop, { signal });
    this.dataset.state = "empty";
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
    this.#asked += 1;
    this.#clear();
  }

  #onChoose() {
    const files = [...(this.#choose.files ?? [])];
    // The same file may be chosen again after it was mended.
    this.#choose.value = "";
    this.take(files);
  }

  #onDrop = (/** @type {Event} */ event) => {
    event.preventDefault();
    delete this.#drop.dataset.over;
    this.take([.../** @type {DragEvent} */ (event).dataTransfer?.files ?? []]);
  };

  /** @param {File[]} files */
  take(files) {
    if (files.length === 0) return this.#turn;
    const visit = this.#visit;
    this.#turn = this.#turn.then(() => (visit === this.#visit ? this.#takeAll(files) : undefined));
    return this.#turn;
  }

  /** @param {File[]} files */
  async #takeAll(files) {
    this.#asked += 1;
    const mine = this.#asked;
    this.dataset.state = "reading";
    this.#progress.max = files.length;
    this.#progress.value = 0;
    this.#progress.hidden = false;
    for (const [at, file] of files.entries()) {
      this.#tell(`Reading and marking file ${at + 1} of ${files.length}: ${file.name}`);
      try {
        await this.#takeOne(file, mine);
      } catch (error) {
        if (mine !== this.#asked) return;
        this.#refuse(file.name, plain(error));
      }
      if (mine !== this.#asked) return;
      this.#progress.value = at + 1;
    }
    this.#progress.hidden = true;
    await this.#draw();
  }

  /** @param {File} file @param {number} mine */
  async #takeOne(file, mine) {
    const text = await trainingText(file, ENDING);
    if (mine !== this.#asked) return;
    if (IS_ASSIGNMENT.test(text.slice(0, 400))) {
      const answer = await this.#engine.ask({ op: "course-read", text });
      if (mine !== this.#asked) return;
      if (!answer?.assignment) throw new Error(messageOf(answer));
      this.#assignment = answer.assignment;
      this.#mend(file.name);
      return;
    }
    if (this.#taken.some((each) => each.text === text)) {
      this.#mend(file.name);
      return;
    }
    if (this.#taken.length >= MOST_FILES) {
      throw new Error(`There are ${MOST_FILES} files already. Save the table and forget them first.`);
    }
    const marked = await this.#engine.ask(
      { op: "results-mark", name: file.name, text },
      { limit: LONG_LIMIT, advice: "Take fewer drills into an assignment." },
    );
    if (mine !== this.#asked) return;
    if (!marked?.standing) throw new Error(messageOf(marked));
    this.#mend(file.name);
    this.#taken.push({ name: file.name, text });
  }

  /** @param {string} name @param {string} message */
  #refuse(name, message) {
    this.#mend(name);
    this.#refused.push({ name, message });
  }

  /** A file that is taken in now is no longer one that was refused. @param {string} name */
  #mend(name) {
    this.#refused = this.#refused.filter((each) => each.name !== name);
  }

  async #draw() {
    const mine = this.#asked;
    this.#drawBad();
    this.#drawOwn();
    if (this.#taken.length === 0) {
      this.dataset.state = "empty";
      this.#table.replaceChildren();
      this.#buttons.hidden = !this.#assignment && this.#refused.length === 0;
      this.#drawButtons();
      this.#tell(this.#refused.length ? "None of the files could be taken in." : "No results yet.");
      return;
    }
    this.#tell("Making the table…");
    try {
      const answer = await this.#engine.ask({
        op: "results-table",
        texts: this.#taken,
        ...(this.#assignment ? { assignment: this.#assignment } : {}),
      }, { limit: LONG_LIMIT });
      if (mine !== this.#asked) return;
      if (typeof answer?.html !== "string") throw new Error(messageOf(answer));
      this.#csv = answer.csv ?? "";
      this.#table.replaceChildren(fragment(answer.html));
      this.dataset.state = "shown";
      this.#buttons.hidden = false;
      this.#drawButtons();
      const refused = this.#refused.length;
      this.#tell(
        `${counted(this.#taken.length, "file", "files")} taken in` +
          (refused ? `, ${refused} refused.` : ".") +
          " Nothing has left this device.",
      );
    } catch (error) {
      if (mine !== this.#asked) return;
      this.dataset.state = "failed";
      this.#buttons.hidden = false;
      this.#drawButtons();
      this.#tell(plain(error));
    }
  }

  #drawBad() {
    refill(this.#bad, [
      this.#refused.length > 0 &&
        el(
          "div",
          { class: "jb-card", "data-refused": true },
          el("h3", {}, "Not taken in"),
          el(
            "ul",
            { class: "jb-lines" },
            ...this.#refused.map(({ name, message }) => el("li", {}, el("b", {}, name), `: ${message}`)),
          ),
        ),
    ]);
  }

  #drawOwn() {
    refill(this.#own, [
      this.#assignment &&
        el("p", { class: "jb-help" }, `Compared with your own file of “${this.#assignment.title}”.`),
    ]);
  }

  #drawButtons() {
    const shown = this.dataset.state === "shown";
    refill(this.#buttons, [
      shown &&
        el(
          "label",
          { class: "jb-tick" },
          el("input", { type: "checkbox", name: "answers", "data-key": "answers" }),
          el("span", {}, "Print every trainee's answers too"),
        ),
      el(
        "div",
        { class: "jb-buttons" },
        shown && button("csv", "Save as a table (CSV)", { class: "jb-main", "data-key": "csv" }),
        shown && button("print", "Print", { "data-key": "print" }),
        button("forget", "Forget all of it", { "data-key": "forget" }),
      ),
    ]);
  }

  #onClick = (/** @type {Event} */ event) => {
    const pressed = event.target instanceof Element ? event.target.closest("[data-action]") : null;
    const action = pressed?.getAttribute("data-action");
    if (action === "csv") this.#saveTable();
    if (action === "print") this.#print();
    if (action === "forget") {
      this.#asked += 1;
      this.#clear();
      this.#tell("Forgotten. This page holds no name and no answer any more.");
      this.#choose.focus();
    }
  };

  #print() {
    const box = /** @type {HTMLInputElement | null} */ (this.querySelector('[name="answers"]'));
    this.toggleAttribute("data-answers", Boolean(box?.checked));
    printPart(this, "class");
  }

  #saveTable() {
    const title = this.#assignment?.title ?? this.#table.querySelector("h3")?.textContent ?? "";
    const name = trainingName(`results ${title}`, ".csv", "results");
    // Without the mark some spreadsheets take the letters for those of another alphabet.
    const text = this.#csv.startsWith("\ufeff") ? this.#csv : `\ufeff${this.#csv}`;
    download(new File([text], name, { type: "text/csv" }));
    this.#tell(`Saved as ${name}.`);
  }

  #clear() {
    this.#visit += 1;
    this.#taken = [];
    this.#refused = [];
    this.#assignment = null;
    this.#csv = "";
    this.#table.replaceChildren();
    this.#progress.hidden = true;
    this.#buttons.hidden = true;
    this.#drawBad();
    this.#drawOwn();
    this.dataset.state = "empty";
  }

  /** @param {string} words */
  #tell(words) {
    this.#said.textContent = words;
  }
}

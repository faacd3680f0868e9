// @ts-check
/**
 * An assignment as its trainee works through it: pages, problems, drills and checklists in a row.
 *
 * It comes by link or by file and is shown before it is taken in. Its texts were written by
 * somebody else, so they only ever become text. What is right, and what it is worth, the engine
 * says; the trainer's table marks everything again by the same rules.
 */
import { LONG_LIMIT, visitEngine } from "./engine.mjs";
import { button, el, field, focusKey, refill } from "./job-dom.mjs";
import { canShare, download, share } from "./job-files.mjs";
import { unpacked } from "./job-link.mjs";
import { counted, day, when } from "./job-words.mjs";
import { addressOf } from "./path-bar.mjs";
import { plain, pointsWords, ProblemView, refusal } from "./practice.mjs";
import { begunProgress, LIMITS, now, sameProblem, training } from "./training-store.mjs";

/** @typedef {import("./training-store.mjs").Progress} Progress */
/** @typedef {import("./training-store.mjs").ItemProgress} ItemProgress */
/** @typedef {import("./training-store.mjs").Problem} Problem */

const WORK = /^#work=(.*)$/s;
const LARGEST_FILE = 400_000;
const LONGEST_NAME = 100;
const LONGEST_SLUG = 40;
const FILE_ADVICE = "Try again, or use a faster device.";
const KIND_WORDS = /** @type {Record<string, string>} */ ({
  page: "Page",
  problems: "Problems",
  drill: "Fault drill",
  checklist: "Checklist",
});
const SAY = {
  link:
    "This link is damaged, was cut short, or holds more than an assignment may. Ask for it again, " +
    "or for the file.",
  old: "This browser is too old to read such a link. Use the file instead.",
  big: "This file is too big for an assignment. Choose the one that ends in .assignment.json.",
  text: "This is no assignment: it is not text. Choose the file that ends in .assignment.json.",
  opened: "The file could not be opened. Copy it onto this device and try again.",
  name: "Type your name. Your trainer sees it on your result.",
  marking: "Score so far: your answers are being marked again…",
  longName: `This name is too long. At most ${LONGEST_NAME} letters.`,
};

/** @param {string} hash of an address @returns {string | null} the packed assignment in it */
export function workOf(hash) {
  return WORK.exec(hash)?.[1] ?? null;
}

/** @param {string} text */
function slugOf(text) {
  const plainText = text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  const slug = plainText.replace(/[^a-z0-9]+/g, "-").replace(/^-+|-+$/g, "");
  return slug.slice(0, LONGEST_SLUG).replace(/-+$/, "");
}

/** @param {string} trainee @param {string} title @param {string} at */
export function resultName(trainee, title, at) {
  const parts = [slugOf(title) || "assignment", slugOf(trainee) || "trainee", at.slice(0, 10)];
  return `cold-fill-${parts.join("-")}.result.json`;
}

/** @param {any} attempt @returns {boolean} whether it is a drill without a diagnosis yet */
function underWay(attempt) {
  return Boolean(attempt?.drill) && !attempt.diagnosis;
}

/**
 * The result as its file has it. A drill that is under way is no attempt yet.
 *
 * @param {Progress} progress
 */
export function resultOf(progress) {
  return {
    assignment: progress.assignment,
    trainee: progress.trainee,
    began: progress.began,
    ended: progress.ended,
    items: progress.items.map(({ kind, done, attempts }) => ({
      kind,
      done,
      attempts: attempts.filter((attempt) => !underWay(attempt)),
    })),
  };
}

/**
 * Whether everything that one item asks for was done.
 *
 * @param {Progress} progress
 * @param {number} index
 */
export function itemDone(progress, index) {
  const item = progress.items[index];
  const tasks = progress.tasks[index];
  if (item.kind === "problems") {
    return tasks.every((task) => item.attempts.some((each) => sameProblem(each.problem, task)));
  }
  if (item.kind === "drill") return item.attempts.some((attempt) => !underWay(attempt));
  return item.done;
}

/** @param {Progress} progress @returns {number} how many items are done */
export function doneCount(progress) {
  return progress.items.filter((_, index) => itemDone(progress, index)).length;
}

/** @param {Progress} progress @param {number} from @returns {number} the next open item, or -1 */
export function nextOpen(progress, from) {
  const count = progress.items.length;
  for (let step = 1; step <= count; step += 1) {
    const index = (from + step) % count;
    if (!itemDone(progress, index)) return index;
  }
  return -1;
}

export class TrainingPath extends HTMLElement {
  static engine = visitEngine;
  static store = training;
  /** @type {() => Promise<any>} the drill's view is fetched where an item needs it */
  static drillView = async () => (await import("./fault-drill.mjs")).DrillView;

  #engine = TrainingPath.engine();
  #store = TrainingPath.store();
  /** @type {AbortController | null} */ #listening = null;
  /** @type {Progress | null} */ #progress = null;
  /** @type {any} an assignment that was read and not taken in yet */ #offered = null;
  /** @type {any} */ #standing = null;
  /** @type {{end: () => void} | null} */ #view = null;
  /** @type {File | null} made, and waiting for another press */ #file = null;
  #panelFor = "";
  #finishShown = "";
  #problem = 0;
  #asked = 0;

  #trouble = el("p", { class: "tr-trouble", role: "alert", hidden: true });
  #say = el("p", { class: "tr-say", role: "status" });
  #offer = el("div", { class: "tr-offer" });
  #path = el("div", { class: "tr-path", hidden: true });
  #shelf = el("div", { class: "tr-shelf" });
  #input = /** @type {HTMLInputElement} */ (el("input", { type: "file", id: "tr-file" }));
  /* One element for all redrawings, so that what it says is read out and stays. */
  #finishSay = el("p", { class: "tr-say tr-finish-say", role: "status" });

  connectedCallback() {
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    this.addEventListener("click", this.#onClick, { signal });
    this.addEventListener("change", this.#onChange, { signal });
    this.addEventListener("submit", this.#onSubmit, { signal });
    addEventListener("hashchange", () => void this.#fromLink(), { signal });
    this.#store.addEventListener("change", () => void this.#refresh(), { signal });
    this.#store.addEventListener("trouble", () => this.#showTrouble(), { signal });
    this.replaceChildren(this.#trouble, this.#say, this.#offer, this.#path, this.#shelf);
    void this.#begin(signal);
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
    this.#closePanel();
  }

  /** @param {any} request */
  #ask = (request) => this.#engine.ask(request);

  /** @param {AbortSignal} signal */
  async #begin(signal) {
    const progress = await this.#store.opened().catch(() => null);
    if (signal.aborted) return;
    this.#progress = progress;
    this.#showTrouble();
    if (progress) await this.#comeBack();
    if (signal.aborted) return;
    this.#drawPath();
    await this.#drawShelf();
    if (signal.aborted) return;
    this.dataset.state = this.#progress ? "open" : "none";
    await this.#fromLink();
    void this.#askStanding();
  }

  #showTrouble() {
    this.#trouble.hidden = this.#store.trouble === "";
    this.#trouble.textContent = this.#store.trouble;
  }

  /** A page that was opened from the path counts as read once the reader is back. */
  async #comeBack() {
    const progress = this.#progress;
    if (!progress?.items.some((item) => item.kind === "page" && item.visited && !item.done)) return;
    await this.#change((old) => ({
      ...old,
      items: old.items.map((item) =>
        item.kind === "page" && item.visited ? { ...item, done: true } : item,
      ),
    }));
  }

  /** What another tab, or the bar, changed. */
  async #refresh() {
    const signal = this.#listening?.signal;
    const id = await this.#store.openId().catch(() => null);
    const progress = id ? await this.#store.progressOf(id) : null;
    if (!signal || signal.aborted) return;
    const before = this.#progress?.id;
    this.#progress = progress;
    this.dataset.state = progress ? "open" : "none";
    if (before === progress?.id) this.#updateRows();
    else this.#drawPath();
    await this.#drawShelf();
  }

  /** @param {(old: Progress) => Progress} change */
  async #change(change) {
    const id = this.#progress?.id;
    if (!id) return;
    const kept = await this.#store.keep(id, (old) =>
      old ? { ...change(old), changed: now() } : null,
    );
    if (kept && this.#progress?.id === id) this.#progress = kept;
    this.#updateRows();
  }

  /**
   * @param {number} index
   * @param {(item: ItemProgress) => ItemProgress} change
   */
  #changeItem(index, change) {
    return this.#change((old) => ({
      ...old,
      items: old.items.map((item, number) => (number === index ? change(item) : item)),
    }));
  }

  // ---- the ways in

  async #fromLink() {
    const packed = workOf(location.hash);
    if (packed === null) return;
    this.#say.textContent = "Reading the link…";
    let text;
    try {
      text = await unpacked(packed, LARGEST_FILE);
    } catch (error) {
      this.#refuse(plain(error).includes("too old") ? SAY.old : SAY.link);
      return;
    }
    await this.offer(text);
  }

  async #fromFile() {
    const file = this.#input.files?.[0];
    if (!file) return;
    this.#say.textContent = "Reading the file…";
    let text;
    try {
      if (file.size > LARGEST_FILE) {
        this.#refuse(SAY.big);
        return;
      }
      text = new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
    } catch (error) {
      this.#refuse(error instanceof TypeError ? SAY.text : SAY.opened);
      return;
    } finally {
      // The same file may be chosen again after it was mended.
      this.#input.value = "";
    }
    await this.offer(text);
  }

  /** Show what is in an assignment, before it is taken in. @param {string} text of its file */
  async offer(text) {
    this.#asked += 1;
    const asked = this.#asked;
    const signal = this.#listening?.signal;
    if (this.#engine.state !== "ready") this.#say.textContent = "Starting the calculator…";
    try {
      const answer = await this.#ask({ op: "course-read", text });
      if (signal?.aborted || asked !== this.#asked) return;
      if (!answer?.assignment || answer.errors) throw new Error(refusal(answer));
      const set = await this.#ask({
        op: "course-problems",
        assignment: answer.assignment,
        trainee: "",
      });
      if (signal?.aborted || asked !== this.#asked) return;
      if (!Array.isArray(set?.words)) throw new Error(refusal(set));
      const here = await this.#store.ofAssignment(answer.assignment.id);
      if (signal?.aborted || asked !== this.#asked) return;
      this.#offered = answer.assignment;
      this.#showOffer(answer.assignment, set.words, answer.notes ?? [], here);
    } catch (error) {
      if (!signal?.aborted && asked === this.#asked) this.#refuse(plain(error));
    }
  }

  /**
   * @param {any} assignment
   * @param {string[]} words
   * @param {string[]} notes
   * @param {Progress[]} here
   */
  #showOffer(assignment, words, notes, here) {
    const name = el("input", {
      name: "trainee",
      autocomplete: "name",
      maxlength: String(LONGEST_NAME),
      "aria-describedby": "tr-name-help tr-name-wrong",
    });
    const nameField = field(
      "tr-name",
      "Your name",
      name,
      assignment.same
        ? "It stands on your result. Everybody gets the same problems."
        : "It stands on your result, and your problems follow from it. It cannot be changed later.",
    );
    name.setAttribute("aria-describedby", "tr-name-help tr-name-wrong");
    nameField.append(el("p", { class: "tr-error", id: "tr-name-wrong", hidden: true }));
    refill(this.#offer, [
      el(
        "section",
        { class: "tr-box tr-card", "aria-labelledby": "tr-offer-title" },
        el("h2", { id: "tr-offer-title", tabindex: "-1" }, assignment.title),
        assignment.note && el("p", { class: "tr-note" }, assignment.note),
        el("p", { class: "tr-help" }, rules(assignment)),
        el("ol", { class: "tr-words" }, ...words.map((each) => el("li", {}, each))),
        ...notes.slice(0, 3).map((note) => el("p", { class: "tr-help" }, note)),
        here.length > 0 &&
          el(
            "div",
            { class: "tr-here" },
            el("h3", {}, "On this device already"),
            ...here.map((each) =>
              el(
                "div",
                { class: "tr-buttons" },
                button("open", `Go on as ${each.trainee}`, { "data-id": each.id }),
                !sameWork(each.assignment, assignment) &&
                  el("p", { class: "tr-help" }, "That work is on an earlier state of the assignment."),
              ),
            ),
          ),
        el(
          "form",
          { class: "tr-begin", novalidate: true },
          nameField,
          el(
            "div",
            { class: "tr-buttons" },
            el("button", { type: "submit", class: "tr-main", "data-key": "begin" }, "Begin"),
            button("leave-offer", "Leave it"),
          ),
        ),
      ),
    ]);
    this.#lead(this.#offer);
    this.#say.textContent = "Nothing is taken in yet. Look at what is inside.";
  }

  /** @param {string} message */
  #refuse(message) {
    this.#offered = null;
    refill(this.#offer, [
      el(
        "section",
        { class: "tr-box tr-card", "data-refused": true },
        el("h2", { tabindex: "-1" }, "Not taken in"),
        el("p", {}, message),
        el("p", {}, "Nothing on this device was changed."),
        el("div", { class: "tr-buttons" }, button("leave-offer", "All right")),
      ),
    ]);
    this.#lead(this.#offer);
    this.#say.textContent = "";
  }

  /** @param {Element} part */
  #lead(part) {
    const title = part.querySelector("[tabindex]");
    if (!(title instanceof HTMLElement)) return;
    title.focus({ preventScroll: true });
    title.scrollIntoView({ block: "start" });
  }

  #leaveOffer() {
    this.#offered = null;
    this.#asked += 1;
    this.#offer.replaceChildren();
    this.#say.textContent = "";
    this.#forgetLink();
    const first = /** @type {HTMLElement | null} */ (
      this.querySelector(".tr-path:not([hidden]) h2, .tr-shelf input, .tr-shelf button")
    );
    first?.focus();
  }

  /** A page that is loaded again must not ask again. */
  #forgetLink() {
    if (workOf(location.hash) === null) return;
    history.replaceState(history.state, "", location.pathname + location.search);
  }

  async #take() {
    const control = /** @type {any} */ (this.#offer.querySelector('[name="trainee"]'));
    const assignment = this.#offered;
    if (!control || !assignment) return;
    const trainee = control.value.trim().replace(/\s+/g, " ");
    const message = trainee === "" ? SAY.name : trainee.length > LONGEST_NAME ? SAY.longName : "";
    if (message) {
      this.#nameWrong(control, message);
      return;
    }
    this.#say.textContent = "Setting your problems…";
    try {
      const set = await this.#ask({ op: "course-problems", assignment, trainee });
      if (!Array.isArray(set?.items)) throw new Error(refusal(set));
      const begun = begunProgress(assignment, trainee, set);
      await this.#store.keep(begun.id, begun);
      await this.#open(begun.id);
    } catch (error) {
      this.#say.textContent = "";
      this.#nameWrong(control, plain(error));
    }
  }

  /** @param {any} control @param {string} message */
  #nameWrong(control, message) {
    const place = this.#offer.querySelector(".tr-error");
    if (place) {
      place.textContent = message;
      /** @type {HTMLElement} */ (place).hidden = false;
    }
    control.setAttribute("aria-invalid", "true");
    control.focus();
  }

  /** @param {string} id */
  async #open(id) {
    await this.#store.open(id);
    this.#offered = null;
    this.#asked += 1;
    this.#offer.replaceChildren();
    this.#forgetLink();
    this.#progress = await this.#store.progressOf(id);
    this.#standing = null;
    this.dataset.state = this.#progress ? "open" : "none";
    await this.#comeBack();
    this.#drawPath();
    await this.#drawShelf();
    this.#say.textContent = "";
    this.#lead(this.#path);
    void this.#askStanding();
  }

  // ---- what else is on this device

  async #drawShelf() {
    const signal = this.#listening?.signal;
    const all = await this.#store.list().catch(() => []);
    if (!signal || signal.aborted) return;
    const others = all.filter(({ id }) => id !== this.#progress?.id);
    refill(this.#shelf, [
      others.length > 0 &&
        el(
          "section",
          { class: "tr-box", "aria-labelledby": "tr-others" },
          el("h2", { id: "tr-others" }, this.#progress ? "Other work on this device" : "Work on this device"),
          el("ul", { class: "tr-list" }, ...others.map((each) => this.#card(each))),
        ),
      el(
        "section",
        { class: "tr-box", "aria-labelledby": "tr-take-in" },
        el("h2", { id: "tr-take-in" }, this.#progress ? "Another assignment" : "Open an assignment"),
        el(
          "p",
          { class: "tr-help" },
          "Your trainer gives you a link, a code for the camera, or a file that ends in " +
            ".assignment.json. You see what is inside before anything is taken in.",
        ),
        el("label", { class: "tr-filebutton", for: "tr-file" }, "Choose a file", this.#input),
      ),
    ]);
  }

  /** @param {Progress} progress */
  #card(progress) {
    const { id, assignment, trainee, changed } = progress;
    return el(
      "li",
      {},
      el("h3", {}, assignment.title),
      el(
        "p",
        { class: "tr-help" },
        `${trainee}: ${doneCount(progress)} of ${progress.items.length} done, last change ${when(changed)}.`,
      ),
      el(
        "div",
        { class: "tr-buttons" },
        button("open", "Go on", { "data-id": id, "data-key": `open ${id}` }),
        button("forget-ask", "Remove", { "data-id": id, "data-key": `forget ${id}` }),
      ),
    );
  }

  /** @param {HTMLElement} pressed */
  #askForget(pressed) {
    const { id } = pressed.dataset;
    const row = pressed.closest(".tr-buttons");
    row?.replaceChildren(
      el("p", { class: "tr-help" }, "All answers in it are removed from this device."),
      button("forget", "Remove it", { "data-id": id, "data-key": "yes", class: "tr-danger" }),
      button("forget-no", "Keep it"),
    );
    if (row) focusKey(row, "yes");
  }

  // ---- the path

  #drawPath() {
    const progress = this.#progress;
    this.#closePanel();
    this.#finishSay.textContent = "";
    this.#path.hidden = !progress;
    if (!progress) {
      this.#path.replaceChildren();
      return;
    }
    const { assignment, trainee, items } = progress;
    this.#path.replaceChildren(
      el(
        "section",
        { class: "tr-head", "aria-labelledby": "tr-path-title" },
        el("h2", { id: "tr-path-title", tabindex: "-1" }, assignment.title),
        el("p", { class: "tr-who" }, `${trainee}, begun ${when(progress.began)}`),
        el("div", { class: "tr-meter" }),
        el("p", { class: "tr-score" }),
      ),
      assignment.note ? el("p", { class: "tr-note" }, assignment.note) : "",
      el("p", { class: "tr-help" }, rules(assignment)),
      el(
        "ol",
        { class: "tr-items" },
        ...items.map((_, index) =>
          el(
            "li",
            { class: "tr-item", "data-index": String(index) },
            el("div", { class: "tr-row" }),
            el("div", { class: "tr-panel", id: `tr-panel-${index}`, hidden: true }),
          ),
        ),
      ),
      el("section", { class: "tr-box tr-finish", "aria-labelledby": "tr-finish-title" }),
    );
    this.#updateRows();
    this.#openPanel();
  }

  /** @returns {HTMLElement[]} */
  get #rows() {
    return [.../** @type {any} */ (this.#path.querySelectorAll(".tr-item"))];
  }

  #updateRows() {
    const progress = this.#progress;
    if (!progress || this.#path.hidden) return;
    for (const [index, row] of this.#rows.entries()) this.#updateRow(progress, index, row);
    const done = doneCount(progress);
    const count = progress.items.length;
    const meter = this.#path.querySelector(".tr-meter");
    if (meter) {
      meter.replaceChildren(
        el("progress", {
          max: String(count),
          value: String(done),
          "aria-label": "Items done",
        }),
        el("span", {}, `${done} of ${count} done`),
      );
    }
    const score = this.#path.querySelector(".tr-score");
    if (score) score.textContent = this.#scoreWords();
    this.#drawFinish(progress, done);
  }

  #scoreWords() {
    // Before the first answer a score of nothing says nothing.
    if (!this.#progress || !resultOf(this.#progress).items.some(({ attempts }) => attempts.length > 0)) {
      return "";
    }
    const standing = this.#standing;
    // As long as what takes its place: nothing moves under a finger when the score comes.
    if (!standing) return SAY.marking;
    if (!standing.items?.some((/** @type {any} */ item) => item.most > 0)) return "";
    const need = standing.pass > 0 ? `; ${standing.pass} % are needed` : "";
    return `Score so far: ${pointsWords(standing.points, standing.most)}, ${standing.percent} %${need}`;
  }

  /** @param {Progress} progress @param {number} index @param {HTMLElement} row */
  #updateRow(progress, index, row) {
    const done = itemDone(progress, index);
    const item = progress.items[index];
    const current = this.#panelFor === `${progress.id} ${index}`;
    row.toggleAttribute("data-done", done);
    row.toggleAttribute("data-current", current);
    const marks = this.#standing?.items?.[index];
    const begun = !done && item.attempts.length > 0;
    const state = done ? "done" : begun ? "begun" : "open";
    const points = marks?.most > 0 && (done || begun) ? `, ${pointsWords(marks.points, marks.most)}` : "";
    const head = row.querySelector(".tr-row");
    if (!head) return;
    refill(head, [
      el(
        "button",
        {
          type: "button",
          class: "tr-toggle",
          "data-action": "item",
          "data-index": String(index),
          "data-key": `item ${index}`,
          "aria-expanded": String(current),
          "aria-controls": `tr-panel-${index}`,
        },
        el("span", { class: "tr-place", "aria-hidden": "true" }, done ? "✓" : String(index + 1)),
        el(
          "span",
          { class: "tr-what" },
          el("b", {}, progress.words[index]),
          el("span", { class: "tr-state" }, `${KIND_WORDS[item.kind] ?? ""}: ${state}${points}`),
        ),
      ),
    ]);
  }

  /** @param {Progress} progress @param {number} done */
  #drawFinish(progress, done) {
    const part = this.#path.querySelector(".tr-finish");
    if (!part) return;
    const open = progress.words.filter((_, index) => !itemDone(progress, index));
    const stale = progress.saved && Date.parse(progress.changed) > Date.parse(progress.saved);
    const standing = this.#standing;
    const verdict =
      standing?.finished && open.length === 0 && (standing.passed ? "Passed." : "Not passed.");
    const before = progress.assignment.due ? ` It is due on ${day(`${progress.assignment.due}T00:00`)}.` : "";
    const shown = JSON.stringify([
      verdict ? this.#scoreWords() : "",
      open.length,
      done,
      before,
      progress.saved,
      stale,
      this.#file !== null,
    ]);
    // A button that is taken away under a finger would not hear it.
    if (part.childElementCount > 0 && shown === this.#finishShown) return;
    this.#finishShown = shown;
    refill(part, [
      el("h2", { id: "tr-finish-title", tabindex: "-1" }, "Hand in"),
      verdict &&
        el("p", { class: "tr-outcome", "data-passed": standing.passed }, `${verdict} ${this.#scoreWords().replace("so far", "")}`.replace(" :", ":")),
      open.length === 0
        ? el("p", {}, `Everything is done. Save your result, and give the file to your trainer.${before}`)
        : el(
            "p",
            {},
            `${counted(open.length, "item is", "items are")} still open. ${
              done === 0
                ? "The result is handed in at the end."
                : "You can save your result all the same: what is open gets no points."
            }${before}`,
          ),
      progress.saved &&
        el(
          "p",
          { class: "tr-help" },
          stale
            ? `You worked on since the file of ${when(progress.saved)}. Save it again.`
            : `Saved as a file on ${when(progress.saved)}.`,
        ),
      el(
        "div",
        { class: "tr-buttons" },
        button("save", "Save the result file", {
          class: open.length === 0 ? "tr-main" : null,
          "data-key": "save",
        }),
        canShare() && button("share", this.#file ? "Share it now" : "Share the result", { "data-key": "share" }),
        button("print", "Print", { "data-key": "print" }),
        button("leave", "Close the assignment", { "data-key": "leave" }),
      ),
      this.#finishSay,
    ]);
  }

  async #askStanding() {
    const progress = this.#progress;
    const signal = this.#listening?.signal;
    if (!progress || !signal) return;
    const result = resultOf(progress);
    try {
      const answer = await this.#engine.ask(
        { op: "results-standing", result },
        { key: "standing", limit: LONG_LIMIT, advice: FILE_ADVICE },
      );
      if (answer === null || signal.aborted || this.#progress?.id !== progress.id) return;
      if (answer.errors) throw new Error(refusal(answer));
      this.#standing = answer;
      this.#updateRows();
      const { points, most, percent, passed, finished } = answer;
      document.dispatchEvent(
        new CustomEvent("training-standing", {
          detail: {
            assignment: progress.assignment,
            trainee: progress.trainee,
            points,
            most,
            percent,
            passed,
            finished,
            result,
          },
        }),
      );
    } catch (error) {
      if (signal.aborted) return;
      this.#say.textContent = `The score could not be told: ${plain(error)}`;
      this.#standing ??= {};
      this.#updateRows();
    }
  }

  // ---- one item

  #closePanel() {
    this.#view?.end();
    this.#view = null;
    this.#panelFor = "";
    for (const panel of this.#path.querySelectorAll(".tr-panel")) {
      panel.replaceChildren();
      /** @type {HTMLElement} */ (panel).hidden = true;
    }
  }

  #openPanel() {
    const progress = this.#progress;
    if (!progress) return;
    this.#closePanel();
    const index = progress.place;
    const panel = /** @type {HTMLElement | undefined} */ (
      this.#rows[index]?.querySelector(".tr-panel")
    );
    if (!panel) return;
    this.#panelFor = `${progress.id} ${index}`;
    panel.hidden = false;
    const { kind } = progress.items[index];
    if (kind === "problems") this.#showProblems(panel, index);
    else if (kind === "drill") void this.#showDrill(panel, index);
    else this.#showPage(panel, index);
    this.#updateRows();
  }

  /** @param {number} index @param {{lead?: boolean}} [how] */
  async #goTo(index, { lead = true } = {}) {
    this.#problem = 0;
    await this.#change((old) => ({ ...old, place: index }));
    this.#openPanel();
    if (!lead) return;
    const row = this.#rows[index];
    row?.scrollIntoView?.({ block: "start" });
    row?.querySelector("button")?.focus({ preventScroll: true });
  }

  /** @param {HTMLElement} panel @param {number} index */
  #showPage(panel, index) {
    const progress = /** @type {Progress} */ (this.#progress);
    const item = progress.assignment.items[index];
    const steps = item.kind === "checklist";
    const words = steps ? "I went through its steps" : "I have read it";
    panel.replaceChildren(
      item.inputs
        ? el("p", {}, "The page opens with numbers set for you in its calculator.")
        : "",
      el(
        "div",
        { class: "tr-buttons" },
        el(
          "a",
          { class: "tr-link tr-main", href: addressOf(item), "data-action": "visit" },
          steps ? "Open the checklist" : "Open the page",
        ),
        button("next", "Next", { "data-key": "next" }),
      ),
      el(
        "label",
        { class: "tr-tick" },
        el("input", {
          type: "checkbox",
          name: "done",
          "data-index": String(index),
          checked: progress.items[index].done,
        }),
        el("span", {}, words),
      ),
      el(
        "p",
        { class: "tr-help" },
        steps
          ? "A line at the head of the page leads you back here."
          : "A line at the head of the page leads you back here. A page you come back from is ticked.",
      ),
    );
  }

  /** @param {HTMLElement} panel @param {number} index */
  #showProblems(panel, index) {
    const progress = /** @type {Progress} */ (this.#progress);
    const tasks = progress.tasks[index];
    const first = tasks.findIndex((task) => !this.#attempts(index, task).length);
    this.#showProblem(panel, index, Math.max(first, 0));
  }

  /** @param {number} index @param {Problem} task @returns {any[]} */
  #attempts(index, task) {
    const attempts = this.#progress?.items[index].attempts ?? [];
    return attempts.filter((each) => each.problem && sameProblem(each.problem, task));
  }

  /**
   * @param {HTMLElement} panel
   * @param {number} index
   * @param {number} number of the problem in its item
   */
  #showProblem(panel, index, number) {
    const progress = /** @type {Progress} */ (this.#progress);
    const { id, assignment } = progress;
    const tasks = progress.tasks[index];
    const problem = tasks[number];
    const draftName = `${id}.${index}.${number}`;
    const last = assignment.counts === "last";
    const tried = this.#attempts(index, problem);
    const draft = this.#store.draft(draftName);
    this.#view?.end();
    this.#problem = number;
    const closed = progress.items[index].closed.includes(number);
    const view = new ProblemView({
      problem,
      ask: this.#ask,
      prefix: `tp-${index}-${number}`,
      // What is half typed after a mark is a new try; without it the last try is shown.
      answers: draft?.answers ?? tried.at(-1)?.answers,
      handed: tried.length > 0 && !draft,
      closed,
      mayRetry: () => last && this.#attempts(index, problem).length < LIMITS.attempts / tasks.length,
      workingEnds: last ? "After the working no other try is taken." : "",
      onType: (answers) => this.#store.putDraft(draftName, { answers }),
      onMarked: async (answers) => {
        const attempt = { problem, answers, at: now() };
        await this.#changeItem(index, (item) => ({
          ...item,
          attempts: [...item.attempts, attempt].slice(0, LIMITS.attempts),
        }));
        this.#store.putDraft(draftName, null);
        this.#updateChips(panel, index);
        void this.#askStanding();
      },
      onWorking: async () => {
        if (!last || this.#progress?.items[index].closed.includes(number)) return;
        await this.#changeItem(index, (item) => ({
          ...item,
          closed: [...new Set([...item.closed, number])],
        }));
      },
      next: () => [this.#nextButton(index, number)],
    });
    this.#view = view;
    panel.replaceChildren(
      tasks.length > 1 ? el("div", { class: "tr-chips", role: "group", "aria-label": "Problems" }) : "",
      el("h3", { class: "tr-which", tabindex: "-1" }, `Problem ${number + 1} of ${tasks.length}`),
      view.element,
    );
    this.#updateChips(panel, index);
    void view.begin();
  }

  /** @param {number} index @param {number} number */
  #nextButton(index, number) {
    const progress = /** @type {Progress} */ (this.#progress);
    const tasks = progress.tasks[index];
    const open = tasks.findIndex(
      (task, at) => at !== number && this.#attempts(index, task).length === 0,
    );
    if (open >= 0) {
      return button("problem", "Next problem", { "data-number": String(open), "data-key": "next", class: "tr-main" });
    }
    const further = nextOpen(progress, index) >= 0;
    return button("next", further ? "On along the path" : "To the end", { "data-key": "next", class: "tr-main" });
  }

  /** @param {HTMLElement} panel @param {number} index */
  #updateChips(panel, index) {
    const chips = panel.querySelector(".tr-chips");
    const tasks = this.#progress?.tasks[index] ?? [];
    if (!chips) return;
    refill(
      chips,
      tasks.map((task, number) => {
        const done = this.#attempts(index, task).length > 0;
        return button("problem", done ? `${number + 1} ✓` : String(number + 1), {
          class: "tr-chip",
          "data-number": String(number),
          "data-key": `chip ${number}`,
          "aria-label": `Problem ${number + 1}, ${done ? "handed in" : "open"}`,
          "aria-current": number === this.#problem ? "true" : null,
        });
      }),
    );
  }

  /** @param {HTMLElement} panel @param {number} index */
  async #showDrill(panel, index) {
    const progress = /** @type {Progress} */ (this.#progress);
    const mine = this.#panelFor;
    const drill = progress.tasks[index][0];
    panel.replaceChildren(el("p", { class: "tr-say", role: "status" }, "Opening the boiler room…"));
    let DrillView;
    try {
      DrillView = await TrainingPath.drillView();
    } catch (error) {
      if (this.#panelFor === mine) {
        panel.replaceChildren(
          el("p", { class: "tr-trouble", role: "alert" }, `The drill could not be fetched: ${plain(error)}`),
          el("div", { class: "tr-buttons" }, button("panel-again", "Try again")),
        );
      }
      return;
    }
    if (this.#panelFor !== mine || !this.isConnected) return;
    const attempt = this.#progress?.items[index].attempts.at(-1);
    const again = progress.assignment.counts === "last";
    const after = el("div", { class: "tr-buttons" });
    const drawAfter = () => {
      const done = !underWay(this.#progress?.items[index].attempts.at(-1) ?? { drill });
      refill(after, [
        done && again && button("drill-again", "Begin the drill again", { "data-key": "again" }),
        done && this.#nextButton(index, 0),
      ]);
    };
    const keep = async (/** @type {any} */ played) => {
      const fresh = {
        drill: played.drill,
        actions: played.actions,
        diagnosis: played.diagnosis,
        at: played.at ?? now(),
      };
      await this.#changeItem(index, (item) => {
        const before = item.attempts.at(-1);
        // An open drill is written over; one that was marked stays as it was.
        const kept = before && underWay(before) ? item.attempts.slice(0, -1) : item.attempts;
        return { ...item, attempts: [...kept, fresh].slice(-LIMITS.attempts) };
      });
      drawAfter();
    };
    const view = new DrillView({
      drill,
      title: progress.words[index],
      actions: attempt?.actions ?? [],
      diagnosis: attempt?.diagnosis ?? null,
      onChange: (/** @type {any} */ played) => (played.diagnosis ? undefined : keep(played)),
      onDone: async (/** @type {any} */ played) => {
        await keep(played);
        void this.#askStanding();
      },
    });
    this.#view = view;
    panel.replaceChildren(view.element, after);
    drawAfter();
    await view.begin();
  }

  // ---- handing in

  /** @param {string} words */
  #sayFinish(words) {
    this.#finishSay.textContent = words;
  }

  /** @returns {Promise<File | null>} */
  async #makeFile() {
    const progress = this.#progress;
    if (!progress) return null;
    const at = now();
    this.#sayFinish("Making the file…");
    try {
      const answer = await this.#engine.ask(
        { op: "results-write", result: { ...resultOf(progress), ended: at } },
        { limit: LONG_LIMIT, advice: FILE_ADVICE },
      );
      if (typeof answer?.text !== "string") throw new Error(refusal(answer));
      const name = resultName(progress.trainee, progress.assignment.title, at);
      return new File([answer.text], name, { type: "application/json" });
    } catch (error) {
      this.#sayFinish(`The file could not be made: ${plain(error)}`);
      return null;
    }
  }

  async #saved(/** @type {string} */ words) {
    const id = this.#progress?.id;
    const at = now();
    if (id) {
      const kept = await this.#store.keep(id, (old) =>
        old ? { ...old, ended: at, saved: at, changed: at } : null,
      );
      if (this.#progress?.id === id) this.#progress = kept;
    }
    this.#updateRows();
    this.#sayFinish(words);
  }

  async #save() {
    const file = await this.#makeFile();
    if (!file) return;
    download(file);
    await this.#saved(`Saved as ${file.name}. Give it to your trainer.`);
  }

  async #share() {
    const file = this.#file ?? (await this.#makeFile());
    this.#file = null;
    if (!file) return;
    const how = await share(file);
    if (how === "shared") await this.#saved("Shared.");
    else if (how === "again") {
      this.#file = file;
      this.#updateRows();
      this.#sayFinish("The file is ready. Press the button once more.");
    } else {
      this.#sayFinish(
        how === "stopped" ? "Not shared." : "The device did not take the file. Save it instead.",
      );
    }
  }

  // ---- what is pressed

  /** @type {(event: Event) => void} */
  #onClick = (event) => {
    const pressed = /** @type {any} */ (event.target)?.closest?.("[data-action]");
    if (!pressed || !this.contains(pressed)) return;
    const { action, index, number, id = "" } = pressed.dataset;
    const progress = this.#progress;
    const acts = /** @type {Record<string, () => unknown>} */ ({
      item: () => this.#onToggle(Number(index)),
      next: () => this.#onNext(),
      problem: () => this.#onProblem(Number(number)),
      "panel-again": () => this.#openPanel(),
      "drill-again": () => this.#drillAgain(),
      open: () => this.#open(id),
      "leave-offer": () => this.#leaveOffer(),
      "forget-ask": () => this.#askForget(pressed),
      "forget-no": () => this.#drawShelf(),
      forget: () => this.#forget(id),
      save: () => this.#save(),
      share: () => this.#share(),
      print: () => globalThis.print(),
      leave: () => this.#store.close(),
    });
    if (action === "visit" && progress) return;
    void acts[action]?.();
  };

  /** @param {number} index */
  #onToggle(index) {
    if (this.#panelFor === `${this.#progress?.id} ${index}`) {
      this.#closePanel();
      this.#updateRows();
    } else void this.#goTo(index);
  }

  async #onNext() {
    const progress = this.#progress;
    if (!progress) return;
    const next = nextOpen(progress, progress.place);
    if (next >= 0 && next !== progress.place) {
      await this.#goTo(next);
      return;
    }
    this.#closePanel();
    this.#updateRows();
    const title = /** @type {HTMLElement | null} */ (this.#path.querySelector("#tr-finish-title"));
    title?.scrollIntoView?.({ block: "start" });
    title?.focus({ preventScroll: true });
  }

  /** @param {number} number */
  #onProblem(number) {
    const index = this.#progress?.place ?? 0;
    const panel = /** @type {HTMLElement | null} */ (
      this.#rows[index]?.querySelector(".tr-panel") ?? null
    );
    if (!panel) return;
    this.#showProblem(panel, index, number);
    const title = /** @type {HTMLElement | null} */ (panel.querySelector(".tr-which"));
    title?.scrollIntoView?.({ block: "start" });
    title?.focus({ preventScroll: true });
  }

  async #drillAgain() {
    const progress = this.#progress;
    if (!progress) return;
    const index = progress.place;
    const drill = progress.tasks[index][0];
    await this.#changeItem(index, (item) => ({
      ...item,
      attempts: [...item.attempts, { drill, actions: [], diagnosis: null, at: now() }].slice(
        -LIMITS.attempts,
      ),
    }));
    this.#openPanel();
  }

  /** @param {string} id */
  async #forget(id) {
    await this.#store.forget(id);
    this.#say.textContent = "Removed from this device.";
    this.#input.focus();
  }

  /** @type {(event: Event) => void} */
  #onChange = (event) => {
    const control = /** @type {any} */ (event.target);
    if (control === this.#input) void this.#fromFile();
    if (control?.name === "done" && control.dataset.index) {
      const index = Number(control.dataset.index);
      const { checked } = control;
      void this.#changeItem(index, (item) => ({
        ...item,
        done: checked,
        visited: checked && item.visited,
      })).then(() => this.#askStanding());
    }
  };

  /** @type {(event: Event) => void} */
  #onSubmit = (event) => {
    if (!(/** @type {any} */ (event.target)?.closest?.(".tr-begin"))) return;
    event.preventDefault();
    void this.#take();
  };
}

/** @param {any} assignment @returns {string} what holds for all of it */
export function rules(assignment) {
  const parts = [];
  if (assignment.due) parts.push(`Due on ${day(`${assignment.due}T00:00`)}.`);
  const marked = assignment.items.some((/** @type {any} */ item) =>
    ["problems", "drill"].includes(item.kind),
  );
  if (marked) {
    parts.push(
      assignment.counts === "last"
        ? "You may try again: your last try counts."
        : "Your first try counts. The working is shown after it.",
    );
    if (assignment.pass > 0) parts.push(`${assignment.pass} % of the points are needed to pass.`);
  }
  parts.push(assignment.system === "us" ? "Units: psi, gal, °F." : "Units: bar, L, °C.");
  return parts.join(" ");
}

/** @param {any} one @param {any} other */
function sameWork(one, other) {
  const work = (/** @type {any} */ { items, seed, same, counts, system, pass }) =>
    JSON.stringify([items, seed, same, counts, system, pass]);
  return work(one) === work(other);
}

// @ts-check
/**
 * The element that turns the steps of a procedure page into ticks of the open job.
 *
 * The build has named every numbered step and every stop point of the page. While a job is open,
 * each gets its controls: a tick or an answer, a note, photos. Without one the page stays as it is.
 */
import { job } from "./job.mjs";
import { smallPhoto } from "./photo.mjs";
import {
  asAhead,
  asPassed,
  clock,
  LONGEST_NOTE,
  progress,
  quoted,
  standing,
  warning,
  whole,
  withAnswer,
  withNote,
  withoutPhoto,
  withPhoto,
  withTick,
} from "./steps.mjs";

/** @typedef {import("./steps.mjs").StepRecord} StepRecord */
/** @typedef {import("./steps.mjs").About} About */

const NOTE_PAUSE = 300;
const SURE_PAUSE = 6000;

export class ProcedureSteps extends HTMLElement {
  /** Where ticks go. @type {any} */
  static job = job;

  /** @type {AbortController | null} */ #listening = null;
  /** @type {Controls[]} */ #controls = [];
  /** @type {ChildNode[]} the line that stands here while no job is open */ #offer = [];
  /** @type {{count: HTMLElement, told: HTMLElement, which: HTMLElement, go: HTMLButtonElement} | null} */
  #bar = null;
  #target = -1;

  connectedCallback() {
    const { job } = ProcedureSteps;
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    job.addEventListener("change", this.#onChange, { signal });
    job.addEventListener("switch", this.#onSwitch, { signal });
    addEventListener("pagehide", this.#keepNotes, { signal });
    void Promise.resolve(job.ready).then(() => {
      if (!signal.aborted) this.#takeUp();
    });
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
    this.#keepNotes();
    this.#putAway();
  }

  get page() {
    return this.dataset.page ?? "";
  }

  #onChange = (/** @type {Event} */ event) => {
    const { keys } = /** @type {CustomEvent} */ (event).detail ?? {};
    const mine = `step/${this.page}/`;
    if (!keys || keys.some((/** @type {string} */ key) => key.startsWith(mine))) this.#show();
  };

  #onSwitch = () => {
    // What is half typed belongs to the job that was open, and that one is closed already.
    this.#putAway();
    this.#takeUp();
  };

  #keepNotes = () => {
    for (const controls of this.#controls) controls.keepNote();
  };

  #takeUp() {
    // Until now the page only kept room for the line of a job.
    this.dataset.known = "";
    if (!ProcedureSteps.job.isOpen || this.#controls.length > 0) return;
    const target = linkedTo();
    const arrived = target && isInSight(target) ? target : null;
    const marked = this.closest("article")?.querySelectorAll("[data-step], [data-stop]") ?? [];
    this.#controls = [...marked].map(
      (place) =>
        new Controls(/** @type {HTMLElement} */ (place), this.page, this.dataset.title ?? "", () => {
          this.#tellPassed();
          this.#show();
        }),
    );
    this.#offer = [...this.childNodes];
    this.#bar = {
      count: made("span", "ps-count"),
      told: made("strong", "ps-warning"),
      which: made("span", "ps-which"),
      go: button("ps-go", ""),
    };
    const { count, told, which, go } = this.#bar;
    const words = made("p", "ps-words");
    words.setAttribute("role", "status");
    words.append(count, " ", told, " ", which);
    go.addEventListener("click", () => this.#controls[this.#target]?.comeUp());
    const bar = made("div", "ps-bar");
    bar.append(words, go);
    this.replaceChildren(bar);
    this.dataset.open = "";
    // The whole page makes room for the bar. Asked of the page by a selector (`:root:has()`), the
    // browser would go through every element again whenever anything came in anywhere.
    document.body.dataset.stepsOpen = "";
    this.#show();
    // What a link led to is moved away by the controls above it.
    arrived?.scrollIntoView();
  }

  #putAway() {
    if (!this.#bar) return;
    for (const controls of this.#controls) controls.remove();
    this.#controls = [];
    this.#bar = null;
    this.replaceChildren(...this.#offer);
    delete this.dataset.open;
    delete document.body.dataset.stepsOpen;
  }

  /** Give the job every stop that a tick lies behind: nobody may overlook one in the report. */
  #tellPassed() {
    const { job } = ProcedureSteps;
    const { lastTick } = standing(this.#controls.map((controls) => controls.item()));
    for (const [at, { about, key }] of this.#controls.entries()) {
      if (about.kind !== "stop") continue;
      const kept = job.get(key);
      const passed = at < lastTick;
      if (passed === (kept !== undefined)) continue;
      const change = passed ? asPassed(about, job.now()) : asAhead(about);
      if (!passed && change(kept)) continue;
      // If the device takes no more, the tick itself says so.
      Promise.resolve(job.update(key, change)).catch(() => undefined);
    }
  }

  #show() {
    if (!this.#bar) return;
    const items = this.#controls.map((controls) => controls.item());
    const found = standing(items);
    const { text, about } = warning(found);
    const now = ProcedureSteps.job.now();
    for (const [at, controls] of this.#controls.entries()) {
      controls.show(items[at].record, {
        now,
        waits: found.refused >= 0 && at > found.refused,
        passed: items[at].kind === "stop" && at === found.passed,
      });
    }
    this.#target = about >= 0 ? about : found.next;
    const { count, told, which, go } = this.#bar;
    write(count, `${progress(found)}.`);
    write(told, text);
    write(which, about >= 0 ? quoted(items[about].words) : "");
    this.toggleAttribute("data-warns", text !== "");
    go.hidden = this.#target < 0;
    if (go.hidden) return;
    const to = items[this.#target];
    const label = about >= 0 ? "Go to the stop" : to.kind === "stop" ? "Next stop" : "Next step";
    write(go, label);
    name(go, `${label}: ${bare(to.words)}`);
  }
}

/** The controls of one step or one stop. */
class Controls {
  /** @type {HTMLInputElement | null} */ #tick = null;
  /** @type {Map<"yes" | "no", HTMLButtonElement>} */ #answers = new Map();
  /** @type {Map<string, Photo>} */ #photos = new Map();
  /** @type {ReturnType<typeof setTimeout> | undefined} */ #pause = undefined;
  /** @type {string} when a tick was set that has just been taken back */ #former = "";
  #noteOpen = false;

  /**
   * @param {HTMLElement} place the step or the stop
   * @param {string} page
   * @param {string} title of the page
   * @param {() => void} changed what to do after every change
   */
  constructor(place, page, title, changed) {
    this.place = place;
    this.changed = changed;
    const step = place.dataset.step;
    const lead = step
      ? place.querySelector(":scope > strong, :scope > p > strong")
      : place.querySelector(":scope > .admonition-title");
    this.words = (lead?.textContent ?? "").replace(/\s+/g, " ").trim();
    this.key = `step/${page}/${step ?? place.dataset.stop}`;
    /** @type {About} */
    this.about = { text: this.words, kind: step ? "step" : "stop", page_title: title };
    this.root = made("div", "ps-controls");
    this.word = made("span", "ps-word");
    this.said = made("span", "");
    this.hint = made("span", "ps-hint");
    this.undo = button("ps-undo", "");
    this.say = made("p", "ps-say");
    this.say.setAttribute("role", "status");
    this.noteButton = button("ps-more", "Note");
    name(this.noteButton, `Note: ${bare(this.words)}`);
    this.note = /** @type {HTMLTextAreaElement} */ (made("textarea", "ps-note"));
    this.note.rows = 2;
    this.note.maxLength = LONGEST_NOTE;
    name(this.note, `Note: ${bare(this.words)}`);
    // Paper shows a text field cut off at its frame; this shows the whole note.
    this.noted = made("p", "ps-noted");
    this.album = made("div", "ps-photos");
    this.#build();
    this.#listen();
  }

  /** @returns {import("./steps.mjs").Item} */
  item() {
    const record = whole(ProcedureSteps.job.get(this.key), this.about);
    return { kind: this.about.kind, words: this.words, record };
  }

  #build() {
    const row = made("div", "ps-row");
    const photo = made("label", "ps-more ps-camera");
    this.camera = /** @type {HTMLInputElement} */ (made("input", "ps-file"));
    this.camera.type = "file";
    this.camera.accept = "image/*";
    this.camera.setAttribute("capture", "environment");
    this.photoWord = made("span", "");
    photo.append(this.photoWord, this.camera);
    if (this.about.kind === "step") {
      const label = made("label", "ps-tick");
      this.#tick = /** @type {HTMLInputElement} */ (made("input", ""));
      this.#tick.type = "checkbox";
      this.#tick.autocomplete = "off";
      label.append(this.#tick, this.word);
      row.append(label, this.noteButton, photo);
      this.root.append(row, this.undo);
    } else {
      row.append(this.noteButton, photo);
      const said = made("p", "ps-said");
      said.append(this.said, " ", this.hint);
      this.root.append(this.#buildAnswers(), said, row);
    }
    this.root.append(this.say, this.note, this.noted, this.album);
    this.#putInPlace();
  }

  #buildAnswers() {
    const group = made("div", "ps-answers");
    group.setAttribute("role", "group");
    group.tabIndex = -1;
    name(group, `${this.words}: safe to go on?`);
    const asked = made("p", "ps-asked");
    asked.textContent = "Safe to go on?";
    group.append(asked);
    for (const [answer, label] of /** @type {const} */ ([
      ["yes", "Yes, safe"],
      ["no", "No"],
    ])) {
      const choice = button(`ps-answer ps-${answer}`, label);
      name(choice, `${label}: ${bare(this.words)}`);
      this.#answers.set(answer, choice);
      group.append(choice);
    }
    return group;
  }

  #putInPlace() {
    const { place } = this;
    place.dataset.live = "";
    if (this.about.kind === "stop") {
      place.append(this.root);
      return;
    }
    // After the words of the step, before what it brings: a list, a table, a calculator, a stop.
    const first = place.firstElementChild;
    if (first?.localName === "p") first.after(this.root);
    else place.insertBefore(this.root, place.querySelector(`:scope > :is(${BLOCKS})`));
  }

  #listen() {
    this.#tick?.addEventListener("change", () => this.#onTick());
    this.undo.addEventListener("click", () => this.#putBack());
    for (const [answer, choice] of this.#answers) {
      choice.addEventListener("click", () => {
        const given = this.item().record.answer === answer ? "" : answer;
        this.#keep(withAnswer(this.about, given, ProcedureSteps.job.now()));
      });
    }
    this.noteButton.addEventListener("click", () => this.#openNote());
    this.note.addEventListener("input", () => {
      clearTimeout(this.#pause);
      this.#pause = setTimeout(() => this.keepNote(), NOTE_PAUSE);
    });
    this.note.addEventListener("change", () => this.keepNote());
    this.camera?.addEventListener("change", () => void this.#onPhoto());
  }

  #onTick() {
    const ticked = this.#tick?.checked ?? false;
    this.#former = ticked ? "" : this.item().record.at;
    this.#keep(withTick(this.about, ticked, ProcedureSteps.job.now()));
  }

  #putBack() {
    const at = this.#former;
    this.#former = "";
    this.#keep(withTick(this.about, true, at));
    this.#tick?.focus();
  }

  #openNote() {
    this.#noteOpen = !this.#noteOpen || this.note.value !== "";
    this.changed();
    if (this.#noteOpen) this.note.focus();
  }

  keepNote() {
    if (this.#pause === undefined) return;
    clearTimeout(this.#pause);
    this.#pause = undefined;
    this.#keep(withNote(this.about, this.note.value, ProcedureSteps.job.now()));
  }

  async #onPhoto() {
    const { job } = ProcedureSteps;
    const file = this.camera?.files?.[0];
    if (!file) return;
    const owner = job.id;
    write(this.say, "Keeping the photo…");
    try {
      const small = await smallPhoto(file);
      // The picture took its time; it must not end up in somebody else's job.
      if (job.id !== owner) throw new Error("Another job was opened meanwhile. Take it again.");
      const id = await job.addPhoto(small);
      this.#keep(withPhoto(this.about, id, job.now()));
      write(this.say, "The photo is kept.");
    } catch (error) {
      write(this.say, `No photo was kept. ${reason(error)}`);
    } finally {
      // Otherwise the same file chosen again would be no change.
      if (this.camera) this.camera.value = "";
    }
  }

  /** @param {string} id */
  #removePhoto(id) {
    this.#keep(withoutPhoto(this.about, id));
    write(this.say, "The photo is removed.");
    this.camera?.focus({ preventScroll: true });
    Promise.resolve(ProcedureSteps.job.removePhoto(id)).catch((error) =>
      write(this.say, `The photo is still on this device. ${reason(error)}`),
    );
  }

  /** @param {(old: any) => any} change */
  #keep(change) {
    const failed = (/** @type {unknown} */ error) =>
      write(this.say, `This is not kept on the device. ${reason(error)}`);
    try {
      Promise.resolve(ProcedureSteps.job.update(this.key, change)).catch(failed);
    } catch (error) {
      failed(error);
    }
    this.changed();
  }

  /**
   * @param {StepRecord} record
   * @param {{now: string, waits: boolean, passed: boolean}} state
   */
  show(record, { now, waits, passed }) {
    const at = clock(record.at, now);
    if (this.#tick) this.#showTick(record, at, waits, now);
    else this.#showAnswer(record, at, passed);
    const half = this.#pause !== undefined || document.activeElement === this.note;
    if (!half && this.note.value !== record.note) this.note.value = record.note;
    write(this.noted, record.note);
    this.note.hidden = !this.#noteOpen && record.note === "" && !half;
    this.noteButton.setAttribute("aria-expanded", String(!this.note.hidden));
    this.#showPhotos(record.photos);
  }

  /** @param {StepRecord} record @param {string} at @param {boolean} waits @param {string} now */
  #showTick(record, at, waits, now) {
    const tick = /** @type {HTMLInputElement} */ (this.#tick);
    tick.checked = record.ticked;
    this.place.toggleAttribute("data-done", record.ticked);
    this.place.toggleAttribute("data-waits", waits);
    const word = record.ticked ? `Done ${at}` : waits ? "Waits: a stop says No" : "Tick when done";
    write(this.word, word.trim());
    name(tick, `${word.trim()}: ${bare(this.words)}`);
    this.undo.hidden = record.ticked || this.#former === "";
    if (this.undo.hidden) return;
    write(this.undo, `Put the tick of ${clock(this.#former, now)} back`);
    name(this.undo, `${this.undo.textContent}: ${bare(this.words)}`);
  }

  /** @param {StepRecord} record @param {string} at @param {boolean} passed */
  #showAnswer(record, at, passed) {
    this.place.dataset.answer = record.answer;
    for (const [answer, choice] of this.#answers) {
      choice.setAttribute("aria-pressed", String(answer === record.answer));
    }
    const said = {
      yes: `Answered Yes, ${at}.`,
      no: `Answered No, ${at}. Do not go on: the next steps wait until it is safe.`,
      "": passed ? "Not answered, and a step after it is ticked." : "Not answered yet.",
    };
    write(this.said, said[record.answer]);
    write(this.hint, record.answer === "" ? "" : "Tap it again to take it back.");
  }

  /** @param {string[]} ids */
  #showPhotos(ids) {
    for (const [id, photo] of this.#photos) {
      if (ids.includes(id)) continue;
      photo.remove();
      this.#photos.delete(id);
    }
    for (const id of ids) {
      if (this.#photos.has(id)) continue;
      const photo = new Photo(id, () => this.#removePhoto(id));
      this.#photos.set(id, photo);
      this.album.append(photo.root);
    }
    for (const [at, id] of ids.entries()) {
      this.#photos.get(id)?.number(`Photo ${at + 1} of ${ids.length}: ${bare(this.words)}`);
    }
    const words = ids.length === 0 ? "Photo" : ids.length === 1 ? "1 photo" : `${ids.length} photos`;
    write(/** @type {HTMLElement} */ (this.photoWord), words);
    if (this.camera) name(this.camera, `${words}, take one: ${bare(this.words)}`);
  }

  /** Bring the step before the reader's eyes. */
  comeUp() {
    this.place.scrollIntoView({ block: "start" });
    const aim = this.#tick ?? this.root.querySelector(".ps-answers");
    /** @type {HTMLElement | null} */ (aim)?.focus({ preventScroll: true });
  }

  remove() {
    clearTimeout(this.#pause);
    this.#pause = undefined;
    for (const photo of this.#photos.values()) photo.remove();
    this.#photos.clear();
    this.root.remove();
    for (const mark of ["live", "done", "waits", "answer"]) {
      this.place.removeAttribute(`data-${mark}`);
    }
  }
}

/** A kept photo: small at first, larger on a tap, gone after two. */
class Photo {
  /** @type {string} */ #address = "";
  /** @type {ReturnType<typeof setTimeout> | undefined} */ #pause = undefined;
  #gone = false;
  #label = "";

  /** @param {string} id @param {() => void} removed what to do when the reader removes it */
  constructor(id, removed) {
    this.root = made("div", "ps-photo");
    this.view = button("ps-view", "");
    this.image = /** @type {HTMLImageElement} */ (made("img", ""));
    this.image.alt = "";
    this.view.append(this.image);
    this.view.setAttribute("aria-expanded", "false");
    this.away = button("ps-away", "Remove");
    this.root.append(this.view, this.away);
    this.view.addEventListener("click", () => {
      const large = this.root.toggleAttribute("data-large");
      this.view.setAttribute("aria-expanded", String(large));
    });
    this.away.addEventListener("click", () => this.#onAway(removed));
    void this.#load(id);
  }

  /** @param {string} id */
  async #load(id) {
    let blob;
    try {
      blob = await ProcedureSteps.job.photo(id);
    } catch {
      blob = undefined;
    }
    if (this.#gone) return;
    if (!blob) {
      write(this.view, "This photo is not on this device.");
      return;
    }
    this.#address = URL.createObjectURL(blob);
    this.image.src = this.#address;
  }

  /** @param {() => void} removed */
  #onAway(removed) {
    if (this.#pause !== undefined) {
      removed();
      return;
    }
    this.#pause = setTimeout(() => {
      this.#pause = undefined;
      this.#nameAway();
    }, SURE_PAUSE);
    this.#nameAway();
  }

  #nameAway() {
    const label = this.#pause === undefined ? "Remove" : "Tap again to remove";
    write(this.away, label);
    name(this.away, `${label}: ${this.#label}`);
  }

  /** @param {string} label */
  number(label) {
    this.#label = label;
    name(this.view, label);
    this.#nameAway();
  }

  remove() {
    this.#gone = true;
    clearTimeout(this.#pause);
    if (this.#address) URL.revokeObjectURL(this.#address);
    this.#address = "";
    this.root.remove();
  }
}

const BLOCKS = "p, ul, ol, dl, div, table, figure, pre, blockquote, live-calculator, section";

/** @param {string} tag @param {string} className @returns {HTMLElement} */
function made(tag, className) {
  const element = document.createElement(tag);
  if (className) element.className = className;
  return element;
}

/** @param {string} className @param {string} label @returns {HTMLButtonElement} */
function button(className, label) {
  const element = /** @type {HTMLButtonElement} */ (made("button", className));
  element.type = "button";
  element.textContent = label;
  return element;
}

/** Written anew, a text would be read out anew. @param {HTMLElement} place @param {string} text */
function write(place, text) {
  if (place.textContent !== text) place.textContent = text;
}

/** @param {HTMLElement} element @param {string} label */
function name(element, label) {
  if (element.getAttribute("aria-label") !== label) element.setAttribute("aria-label", label);
}

/** Return the heading or the calculator that the address names. @returns {Element | null} */
function linkedTo() {
  const [name] = location.hash.slice(1).split("?");
  const calculators = /** @type {NodeListOf<HTMLElement>} */ (
    document.querySelectorAll("live-calculator")
  );
  const named = [...calculators].find(({ dataset }) => dataset.calculator === name);
  return named ?? document.getElementById(name);
}

/** @param {Element} element */
function isInSight(element) {
  const { top } = element.getBoundingClientRect();
  return top >= 0 && top < innerHeight;
}

/** @param {string} words @returns {string} without what ends them in a sentence */
function bare(words) {
  return words.replace(/[.,:;]+$/, "");
}

/** @param {unknown} error @returns {string} */
function reason(error) {
  return error instanceof Error && error.message ? error.message : "The reason is not known.";
}

// @ts-check
/**
 * Problems to practise on: set by the engine, answered here, marked by the engine.
 *
 * A problem is its kind, level, seed and units, so the same address gives the same problem to a
 * trainer and a trainee. Nothing here knows what is right: the engine sets, marks and explains.
 */
import { visitEngine } from "./engine.mjs";
import { button, el, field, focusKey, refill } from "./job-dom.mjs";
import { counted, when } from "./job-words.mjs";
import { Store } from "./store.mjs";
import { now, sameProblem, soundAnswers, soundProblem, training } from "./training-store.mjs";

/** @typedef {import("./training-store.mjs").Problem} Problem */
/** @typedef {import("./training-store.mjs").Answers} Answers */
/** @typedef {{name: string, state: string, points: number, most: number, message: string,
 *   mistake?: string}} MarkedPart */
/** @typedef {{parts: MarkedPart[], points: number, most: number}} Marks */
/** @typedef {(request: object) => Promise<any>} Ask */

const HASH = /^#practice(?:\?(.*))?$/s;
const MOST_SEED = 2 ** 53 - 1;
const DRAFT = "practice";
const SHOWN = 12;
const LONGEST_ENTRY = 200;
const EMPTY =
  "Empty. Type your answer, or press the button again to hand it in empty: it gets no points.";

/** @param {unknown} error */
export function plain(error) {
  return error instanceof Error ? error.message : String(error);
}

/** @param {any} answer @returns {string} why the engine refused */
export function refusal(answer) {
  return (answer?.errors ?? []).map((/** @type {any} */ each) => each.message).join(" ");
}

/** @param {string} html made by the engine, which escapes every text @returns {DocumentFragment} */
export function fragment(html) {
  const template = document.createElement("template");
  template.innerHTML = html;
  return template.content;
}

/** @param {number} points @param {number} most */
export function pointsWords(points, most) {
  return `${points} of ${counted(most, "point", "points")}`;
}

/**
 * One problem on the screen: what is asked, the answers, the marks, the working.
 *
 * Whoever owns it appends `element`, calls `begin()`, and `end()` when it is taken away.
 */
export class ProblemView {
  element = el("div", { class: "tr-view" });
  /** @type {Answers} */ #answers;
  /** @type {Marks | null} */ #marks = null;
  /** @type {HTMLFormElement | null} */ #form = null;
  #say = el("p", { class: "tr-say", role: "status" });
  #feedback = el("div", { class: "tr-marked" });
  #buttons = el("div", { class: "tr-buttons" });
  #working = el("div", { class: "tr-working" });
  #askedEmpty = false;
  #busy = false;
  #ended = false;
  #handed = false;
  #workingShown = false;

  /**
   * @param {object} options
   * @param {Problem} options.problem
   * @param {Ask} options.ask
   * @param {string} [options.prefix] of the ids in the form
   * @param {Answers} [options.answers] typed before
   * @param {boolean} [options.handed] whether these answers were marked before
   * @param {boolean} [options.closed] whether no other try is taken
   * @param {() => boolean} [options.mayRetry] whether another try is taken after a mark
   * @param {string} [options.workingEnds] what is said where the working ends the tries; "" if it
   *   does not
   * @param {(answers: Answers) => void} [options.onType]
   * @param {(answers: Answers, marks: Marks) => Promise<void> | void} [options.onMarked]
   * @param {() => Promise<void> | void} [options.onWorking]
   * @param {(view: ProblemView) => (HTMLElement | false)[]} [options.next] buttons after a mark
   */
  constructor({
    problem,
    ask,
    prefix = "tr",
    answers = {},
    handed = false,
    closed = false,
    mayRetry = () => true,
    workingEnds = "",
    onType = () => undefined,
    onMarked = () => undefined,
    onWorking = () => undefined,
    next = () => [],
  }) {
    this.problem = problem;
    this.ask = ask;
    this.prefix = prefix;
    this.closed = closed;
    this.mayRetry = mayRetry;
    this.workingEnds = workingEnds;
    this.onType = onType;
    this.onMarked = onMarked;
    this.onWorking = onWorking;
    this.next = next;
    this.#answers = soundAnswers(answers);
    this.#handed = handed;
    this.element.addEventListener("click", this.#onClick);
    this.element.addEventListener("input", this.#onInput);
    this.element.addEventListener("change", this.#onInput);
    this.element.addEventListener("submit", (event) => {
      event.preventDefault();
      void this.mark();
    });
  }

  get marks() {
    return this.#marks;
  }

  end() {
    this.#ended = true;
  }

  /** Show the problem, and the marks of answers that were handed in before. */
  async begin() {
    this.element.dataset.state = "loading";
    this.#tell("Setting the problem…");
    this.element.replaceChildren(this.#say);
    try {
      const answer = await this.ask({
        op: "problem-set",
        problem: this.problem,
        prefix: this.prefix,
      });
      if (this.#ended || answer === null) return;
      if (typeof answer.html !== "string") throw new Error(refusal(answer));
      this.#show(answer.html);
    } catch (error) {
      if (!this.#ended) this.#fail(plain(error));
      return;
    }
    if (this.#handed) await this.mark({ again: true });
  }

  /** @param {string} html */
  #show(html) {
    const found = fragment(html);
    const form = found.querySelector("form");
    if (!form) throw new Error("The problem could not be shown. Choose another one.");
    form.noValidate = true;
    form.classList.add("tr-form");
    this.#form = /** @type {HTMLFormElement} */ (form);
    this.element.replaceChildren(found, this.#buttons, this.#say, this.#feedback, this.#working);
    this.#fill();
    this.#tell("");
    this.#open();
  }

  #fill() {
    for (const [name, { value, unit }] of Object.entries(this.#answers)) {
      const control = this.#control(name);
      if (control) control.value = value;
      const choice = this.#control(`${name}.unit`);
      if (choice) choose(choice, unit);
    }
  }

  #open() {
    this.element.dataset.state = "open";
    this.#marks = null;
    this.#askedEmpty = false;
    this.#lock(false);
    this.#clearErrors();
    for (const part of this.element.querySelectorAll("[data-part][data-mark]")) {
      part.removeAttribute("data-mark");
    }
    this.#feedback.replaceChildren();
    refill(this.#buttons, [button("mark", "Mark my answer", { class: "tr-main", "data-key": "mark" })]);
  }

  /** @param {string} name @returns {any} */
  #control(name) {
    return [...(this.#form?.querySelectorAll("[name]") ?? [])].find(
      (each) => each.getAttribute("name") === name,
    );
  }

  /** @returns {string[]} the names of the parts, in their order */
  #names() {
    const all = [...(this.#form?.querySelectorAll("[name]") ?? [])];
    const names = all.map((each) => each.getAttribute("name") ?? "");
    return names.filter((name) => name && !name.endsWith(".unit"));
  }

  /** @returns {Answers} */
  answers() {
    /** @type {Answers} */
    const found = {};
    for (const name of this.#names()) {
      found[name] = {
        value: String(this.#control(name)?.value ?? ""),
        unit: String(this.#control(`${name}.unit`)?.value ?? ""),
      };
    }
    return found;
  }

  /** @param {boolean} locked */
  #lock(locked) {
    for (const control of this.#form?.querySelectorAll("input, select, textarea") ?? []) {
      control.toggleAttribute("disabled", locked);
    }
  }

  /** @type {(event: Event) => void} */
  #onInput = (event) => {
    const name = /** @type {any} */ (event.target)?.getAttribute?.("name");
    if (!name || this.element.dataset.state !== "open") return;
    this.#askedEmpty = false;
    this.#clearError(name.replace(/\.unit$/, ""));
    this.#answers = this.answers();
    this.onType(this.#answers);
  };

  /** @type {(event: Event) => void} */
  #onClick = (event) => {
    const pressed = /** @type {any} */ (event.target)?.closest?.("button[data-action]");
    if (!pressed || !this.element.contains(pressed)) return;
    const action = pressed.dataset.action;
    if (action === "mark") void this.mark();
    if (action === "retry") this.retry();
    if (action === "working") void this.showWorking();
    if (action === "load-again") void this.begin();
  };

  /**
   * Hand the answers in. Where one cannot be read, nothing counts yet, and the field is led to.
   *
   * @param {{again?: boolean}} [how] `again` shows the marks of what was handed in before
   */
  async mark({ again = false } = {}) {
    if (this.#busy || !this.#form || (!again && this.element.dataset.state !== "open")) return;
    const answers = again ? this.#answers : this.answers();
    this.#clearErrors();
    if (!again) {
      const long = Object.keys(answers).filter((name) => answers[name].value.length > LONGEST_ENTRY);
      if (long.length > 0) {
        this.#errors(long.map((name) => [name, "This is too long. Type a number and choose its unit."]));
        return;
      }
      const empty = Object.keys(answers).filter((name) => answers[name].value.trim() === "");
      if (empty.length > 0 && !this.#askedEmpty) {
        this.#errors(empty.map((name) => [name, EMPTY]));
        this.#askedEmpty = true;
        return;
      }
    }
    this.#busy = true;
    this.#tell("Marking…");
    try {
      const answer = await this.ask({ op: "problem-mark", problem: this.problem, answers });
      if (this.#ended || answer === null) return;
      if (!answer.marks) throw new Error(refusal(answer));
      const unreadable = answer.marks.parts.filter(
        (/** @type {MarkedPart} */ part) => part.state === "unreadable",
      );
      this.#tell("");
      if (unreadable.length > 0 && !again) {
        this.#errors(unreadable.map((/** @type {MarkedPart} */ part) => [part.name, part.message]));
        return;
      }
      this.#answers = answers;
      this.#showMarks(answer.marks, answer.html ?? "");
      if (!again) {
        await this.onMarked(answers, answer.marks);
        if (this.#ended) return;
      }
      this.#drawButtons();
      if (!again) this.#feedback.querySelector("h4")?.focus();
    } catch (error) {
      if (!this.#ended) {
        this.#tell(`It could not be marked: ${plain(error)} Your answer is kept. Press the button again.`);
      }
    } finally {
      this.#busy = false;
    }
  }

  /** @param {Marks} marks @param {string} html */
  #showMarks(marks, html) {
    this.#marks = marks;
    this.element.dataset.state = "marked";
    this.#lock(true);
    for (const { name, state } of marks.parts) {
      const part = this.#partOf(name);
      if (part) part.dataset.mark = state;
    }
    const full = marks.points === marks.most;
    this.#feedback.replaceChildren(
      el(
        "h4",
        { tabindex: "-1", class: "tr-total", "data-full": full },
        `Marked: ${pointsWords(marks.points, marks.most)}`,
      ),
      fragment(html),
    );
  }

  #drawButtons() {
    if (!this.#marks) return;
    const full = this.#marks.points === this.#marks.most;
    const retry = !this.closed && !full && this.mayRetry();
    const ends = retry && this.workingEnds;
    refill(this.#buttons, [
      retry && button("retry", "Try again", { "data-key": "retry", class: "tr-main" }),
      !this.#workingShown && button("working", "Show the working", { "data-key": "working" }),
      ...this.next(this),
      ends && el("p", { class: "tr-help" }, ends),
    ]);
  }

  /** Let the same problem be answered once more; what was typed stays. */
  retry() {
    this.#working.replaceChildren();
    this.#workingShown = false;
    this.#open();
    const first = this.#names()[0];
    if (first) this.#control(first)?.focus();
  }

  async showWorking() {
    if (this.#busy) return;
    this.#busy = true;
    try {
      const answer = await this.ask({ op: "problem-working", problem: this.problem });
      if (this.#ended || answer === null) return;
      if (typeof answer.html !== "string") throw new Error(refusal(answer));
      if (this.workingEnds) this.closed = true;
      await this.onWorking();
      if (this.#ended) return;
      this.#workingShown = true;
      const title = el("h4", { tabindex: "-1" }, "The working");
      this.#working.replaceChildren(title, fragment(answer.html));
      this.#drawButtons();
      title.focus();
      this.#tell("");
    } catch (error) {
      if (!this.#ended) this.#tell(`The working could not be shown: ${plain(error)}`);
    } finally {
      this.#busy = false;
    }
  }

  // ---- sentences at the fields

  /** @param {string} name @returns {HTMLElement | null} */
  #partOf(name) {
    const control = this.#control(name);
    return control?.closest("[data-part], fieldset, div") ?? null;
  }

  /** @param {string} name @returns {HTMLElement | null} */
  #errorPlace(name) {
    const control = this.#control(name);
    if (!control) return null;
    for (const id of (control.getAttribute("aria-describedby") ?? "").split(/\s+/)) {
      const place = id && this.#form?.querySelector(`[id="${CSS.escape(id)}"]`);
      if (place && place.getAttribute("data-error-for") !== null) return place;
    }
    const id = `${this.prefix}-${name}-wrong`;
    const place = el("p", { class: "tr-error", id, "data-error-for": name, hidden: true });
    (this.#control(`${name}.unit`) ?? control).after(place);
    const before = control.getAttribute("aria-describedby");
    control.setAttribute("aria-describedby", before ? `${before} ${id}` : id);
    return place;
  }

  /** @param {[string, string][]} errors name and sentence */
  #errors(errors) {
    for (const [name, message] of errors) {
      const place = this.#errorPlace(name);
      if (!place) continue;
      place.textContent = message;
      place.hidden = false;
      place.classList.add("tr-error");
      this.#control(name)?.setAttribute("aria-invalid", "true");
    }
    this.#control(errors[0][0])?.focus();
  }

  /** @param {string} name */
  #clearError(name) {
    const control = this.#control(name);
    if (control?.getAttribute("aria-invalid") !== "true") return;
    control.removeAttribute("aria-invalid");
    const place = this.#errorPlace(name);
    if (!place) return;
    place.textContent = "";
    place.hidden = true;
  }

  #clearErrors() {
    for (const name of this.#names()) this.#clearError(name);
  }

  /** @param {string} words */
  #tell(words) {
    this.#say.textContent = words;
  }

  /** @param {string} reason */
  #fail(reason) {
    this.element.dataset.state = "failed";
    this.element.replaceChildren(
      el("p", { class: "tr-trouble", role: "alert" }, `The problem could not be set: ${reason}`),
      el("div", { class: "tr-buttons" }, button("load-again", "Try again")),
    );
  }
}

/** @param {any} select @param {string} value */
export function choose(select, value) {
  for (const option of select.querySelectorAll("option")) {
    option.toggleAttribute("selected", option.getAttribute("value") === value);
  }
  select.value = value;
}

/**
 * @param {string} hash of an address
 * @returns {Record<string, string> | null} what it asks for as written; null if it is none of ours
 */
export function practiceOf(hash) {
  const found = HASH.exec(hash);
  if (!found) return null;
  /** @type {Record<string, string>} */
  const asked = {};
  for (const [name, value] of new URLSearchParams((found[1] ?? "").slice(0, 1000))) {
    if (["family", "level", "seed", "system"].includes(name)) asked[name] = value.slice(0, 100);
  }
  return asked;
}

/** @param {Problem} problem */
export function practiceHash({ family, level, seed, system }) {
  return `#practice?family=${family}&level=${level}&seed=${seed}&system=${system}`;
}

/** @param {string} text @returns {number | null} */
export function seedOf(text) {
  const plainText = text.trim();
  if (!/^\d{1,16}$/.test(plainText)) return null;
  const seed = Number(plainText);
  return seed <= MOST_SEED ? seed : null;
}

/** A number that can be said aloud across a room. */
function anySeed() {
  return 1 + (crypto.getRandomValues(new Uint32Array(1))[0] % 9999);
}

export class PracticeProblems extends HTMLElement {
  static engine = visitEngine;
  static store = training;

  #engine = PracticeProblems.engine();
  #store = PracticeProblems.store();
  #units = new Store();
  /** @type {AbortController | null} */ #listening = null;
  /** @type {any} */ #list = null;
  /** @type {ProblemView | null} */ #view = null;

  #trouble = el("p", { class: "tr-trouble", role: "alert", hidden: true });
  #choice = el("form", { class: "tr-choice", "aria-label": "Choose a problem", hidden: true });
  #say = el("p", { class: "tr-say", role: "status" });
  #place = el("section", { class: "tr-box", "aria-labelledby": "tr-problem-title", hidden: true });
  #history = el("section", { class: "tr-box tr-history", "aria-labelledby": "tr-history-title" });

  connectedCallback() {
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    this.addEventListener("click", this.#onClick, { signal });
    this.#choice.addEventListener("submit", this.#onSubmit, { signal });
    this.#choice.addEventListener("change", this.#onChoice, { signal });
    addEventListener("hashchange", this.#onHash, { signal });
    this.#store.addEventListener("change", () => void this.#drawHistory(), { signal });
    this.#store.addEventListener("trouble", () => this.#showTrouble(), { signal });
    void this.#begin(signal);
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
    this.#view?.end();
    this.#view = null;
  }

  /** @type {Ask} */
  #ask = (request) => this.#engine.ask(request);

  /** @param {AbortSignal} signal */
  async #begin(signal) {
    this.dataset.state = "starting";
    this.#say.textContent =
      this.#engine.state === "ready" ? "Fetching the problems…" : "Starting the calculator…";
    this.replaceChildren(this.#trouble, this.#choice, this.#say, this.#place, this.#history);
    void this.#drawHistory();
    try {
      this.#list = await this.#ask({ op: "problem-list" });
      if (signal.aborted) return;
      if (!Array.isArray(this.#list?.families)) throw new Error(refusal(this.#list));
    } catch (error) {
      if (signal.aborted) return;
      this.dataset.state = "failed";
      refill(this.#say, [`The problems could not be fetched: ${plain(error)} `, button("again", "Try again")]);
      return;
    }
    this.#say.textContent = "";
    this.dataset.state = "ready";
    this.#drawChoice();
    void this.#drawHistory();
    const asked = practiceOf(location.hash);
    const draft = this.#store.draft(DRAFT);
    const former = soundProblem(draft?.problem);
    if (asked && Object.keys(asked).length > 0) this.#fromAddress(asked);
    else if (former && this.#known(former)) this.#set(former, { quietly: true });
  }

  #showTrouble() {
    this.#trouble.hidden = this.#store.trouble === "";
    this.#trouble.textContent = this.#store.trouble;
  }

  // ---- the choice

  #drawChoice() {
    const families = this.#list.families;
    const system = this.#units.preferredSystem() ?? "si";
    const wrong = (/** @type {string} */ name) =>
      el("p", { class: "tr-error", id: `tr-${name}-wrong`, hidden: true });
    const select = (/** @type {string} */ name, /** @type {{id: string, title: string}[]} */ options) =>
      el(
        "select",
        { name, "aria-describedby": `tr-${name}-wrong` },
        ...options.map(({ id, title }) => el("option", { value: id }, title)),
      );
    const seed = el("input", {
      name: "seed",
      inputmode: "numeric",
      autocomplete: "off",
      value: String(anySeed()),
    });
    const seedField = field(
      "tr-seed",
      "Number of the problem",
      seed,
      "The same number gives everybody the same problem.",
    );
    seed.setAttribute("aria-describedby", "tr-seed-help tr-seed-wrong");
    seedField.append(wrong("seed"));
    const family = field("tr-family", "Kind of problem", select("family", families));
    family.append(wrong("family"));
    const level = field("tr-level", "Level", select("level", families[0]?.levels ?? []));
    level.append(wrong("level"));
    const units = el(
      "fieldset",
      { class: "tr-units" },
      el("legend", {}, "Units"),
      ...[
        ["si", "bar, L, °C"],
        ["us", "psi, gal, °F"],
      ].map(([value, words]) =>
        el(
          "label",
          {},
          el("input", { type: "radio", name: "system", value, checked: value === system }),
          el("span", {}, words),
        ),
      ),
    );
    refill(this.#choice, [
      family,
      level,
      seedField,
      units,
      el(
        "div",
        { class: "tr-buttons" },
        el("button", { type: "submit", class: "tr-main", "data-key": "set" }, "Set this problem"),
        button("any", "Any other one", { "data-key": "any" }),
      ),
    ]);
    this.#choice.setAttribute("novalidate", "");
    this.#choice.hidden = false;
  }

  /** @param {string} name @returns {any} */
  #control(name) {
    return this.#choice.querySelector(`[name="${name}"]`);
  }

  /** @param {string} family @param {string} [level] */
  #drawLevels(family, level) {
    const select = this.#control("level");
    const before = level ?? select.value;
    const levels = this.#list.families.find((/** @type {any} */ each) => each.id === family)?.levels;
    select.replaceChildren(
      ...(levels ?? []).map((/** @type {any} */ each) => el("option", { value: each.id }, each.title)),
    );
    const keep = (levels ?? []).some((/** @type {any} */ each) => each.id === before);
    choose(select, keep ? before : (levels?.[0]?.id ?? ""));
  }

  /** @type {(event: Event) => void} */
  #onChoice = (event) => {
    const { name, value } = /** @type {any} */ (event.target);
    if (name === "family") this.#drawLevels(value);
    if (name === "system") this.#units.preferSystem(value);
  };

  /** @param {string} name @param {string} message "" if nothing is wrong */
  #wrong(name, message) {
    const place = this.#choice.querySelector(`[id="tr-${name}-wrong"]`);
    if (place) {
      place.textContent = message;
      /** @type {HTMLElement} */ (place).hidden = message === "";
    }
    const control = this.#control(name);
    if (message) control?.setAttribute("aria-invalid", "true");
    else control?.removeAttribute("aria-invalid");
  }

  /** @type {(event: Event) => void} */
  #onSubmit = (event) => {
    event.preventDefault();
    const problem = this.#chosen(this.#control("seed").value);
    if (problem) this.#set(problem);
  };

  /** @param {string} seedText @returns {Problem | null} null where something is wrong, and told */
  #chosen(seedText) {
    for (const name of ["family", "level", "seed"]) this.#wrong(name, "");
    const seed = seedOf(seedText);
    if (seed === null) {
      this.#wrong("seed", "Type a whole number of up to 15 digits, without a point or a sign, such as 412.");
      this.#control("seed").focus();
      return null;
    }
    const radios = [...this.#choice.querySelectorAll('[name="system"]')];
    const system = /** @type {any} */ (radios.find((each) => /** @type {any} */ (each).checked))?.value;
    const family = this.#control("family").value;
    const level = this.#control("level").value;
    return { family, level, seed, system: system === "us" ? "us" : "si" };
  }

  /** @param {Problem} problem */
  #known({ family, level }) {
    const found = this.#list.families.find((/** @type {any} */ each) => each.id === family);
    return Boolean(found?.levels.some((/** @type {any} */ each) => each.id === level));
  }

  /** @param {string} family */
  #title(family) {
    return this.#list?.families.find((/** @type {any} */ each) => each.id === family)?.title ?? family;
  }

  /** @param {Record<string, string>} asked by the address; anything may stand in it */
  #fromAddress(asked) {
    const { family = "", level = "", seed = "", system = "" } = asked;
    const found = this.#list.families.find((/** @type {any} */ each) => each.id === family);
    if (!found) {
      this.#wrong("family", `This edition has no kind of problem called “${family}”. Choose one here.`);
      this.#control("family").focus();
      return;
    }
    choose(this.#control("family"), family);
    this.#drawLevels(family, level);
    for (const radio of this.#choice.querySelectorAll('[name="system"]')) {
      const wanted = system === "us" ? "us" : "si";
      /** @type {any} */ (radio).checked = radio.getAttribute("value") === wanted;
    }
    this.#control("seed").value = seed;
    if (level && !found.levels.some((/** @type {any} */ each) => each.id === level)) {
      this.#wrong("level", `This kind of problem has no level called “${level}”. Choose one here.`);
      this.#control("level").focus();
      return;
    }
    const problem = this.#chosen(seed);
    if (problem) this.#set(problem, { quietly: true });
  }

  /** @type {() => void} */
  #onHash = () => {
    const asked = practiceOf(location.hash);
    if (!asked || this.dataset.state !== "ready" || Object.keys(asked).length === 0) return;
    const here = this.#view?.problem;
    if (here && location.hash === practiceHash(here)) return;
    this.#fromAddress(asked);
  };

  /**
   * @param {Problem} problem
   * @param {{quietly?: boolean}} [how] without moving the reader to it
   */
  #set(problem, { quietly = false } = {}) {
    this.#view?.end();
    const draft = this.#store.draft(DRAFT);
    const former = soundProblem(draft?.problem);
    const mine = former && sameProblem(former, problem) ? draft : null;
    choose(this.#control("family"), problem.family);
    this.#drawLevels(problem.family, problem.level);
    this.#control("seed").value = String(problem.seed);
    if (!mine) this.#store.putDraft(DRAFT, { problem, answers: {}, handed: false });
    if (location.hash !== practiceHash(problem)) {
      history.replaceState(history.state, "", practiceHash(problem));
    }
    const view = new ProblemView({
      problem,
      ask: this.#ask,
      prefix: "pp",
      answers: mine?.answers,
      handed: mine?.handed === true,
      onType: (answers) => this.#store.putDraft(DRAFT, { problem, answers, handed: false }),
      onMarked: (answers, marks) => this.#keep(problem, answers, marks),
      next: () => [button("any", "Another one", { "data-key": "another" })],
    });
    this.#view = view;
    const title = el(
      "h2",
      { id: "tr-problem-title", tabindex: "-1" },
      `${this.#title(problem.family)}, number ${problem.seed}`,
    );
    this.#place.replaceChildren(title, view.element);
    this.#place.hidden = false;
    void view.begin().then(() => {
      if (quietly || this.#view !== view) return;
      title.focus({ preventScroll: true });
      title.scrollIntoView({ block: "start" });
    });
  }

  /** @param {Problem} problem @param {Answers} answers @param {Marks} marks */
  async #keep(problem, answers, marks) {
    this.#store.putDraft(DRAFT, { problem, answers, handed: true });
    const mistakes = marks.parts.map(({ mistake }) => mistake ?? "").filter(Boolean);
    await this.#store.practised({
      at: now(),
      problem,
      title: this.#title(problem.family),
      points: marks.points,
      most: marks.most,
      mistakes: [...new Set(mistakes)],
    });
  }

  /** @type {(event: Event) => void} */
  #onClick = (event) => {
    const pressed = /** @type {any} */ (event.target)?.closest?.("button[data-action]");
    const action = pressed?.dataset.action;
    if (action === "again" && this.#listening) void this.#begin(this.#listening.signal);
    if (action === "any") {
      const problem = this.#chosen(String(anySeed()));
      if (problem) this.#set(problem);
    }
    if (action === "forget-ask") this.#askForget(true);
    if (action === "forget-no") this.#askForget(false);
    if (action === "forget-yes") {
      void this.#store.forgetPractice().then(() => this.#drawHistory());
    }
  };

  // ---- what was practised before

  async #drawHistory() {
    const results = await this.#store.practice().catch(() => []);
    if (!this.isConnected) return;
    this.#showTrouble();
    this.#history.hidden = results.length === 0;
    if (results.length === 0) {
      this.#history.replaceChildren();
      return;
    }
    /** @type {Map<string, number>} */
    const mistakes = new Map();
    for (const each of results) {
      for (const id of each.mistakes) mistakes.set(id, (mistakes.get(id) ?? 0) + 1);
    }
    const most = [...mistakes].sort((a, b) => b[1] - a[1]);
    refill(this.#history, [
      el("h2", { id: "tr-history-title" }, "Practised on this device"),
      most.length > 0 && el("h3", {}, "Mistakes made so far"),
      most.length > 0 &&
        el(
          "ul",
          { class: "tr-made" },
          ...most.map(([id, times]) =>
            el("li", {}, this.#mistake(id), ` - ${counted(times, "time", "times")}`),
          ),
        ),
      el("h3", {}, "Problems"),
      el(
        "ul",
        { class: "tr-results" },
        ...results
          .slice(0, SHOWN)
          .map(({ at, problem, title, points, most: possible }) =>
            el(
              "li",
              { "data-full": points === possible },
              el(
                "a",
                { href: practiceHash(problem) },
                `${title}, number ${problem.seed}`,
              ),
              el("span", {}, pointsWords(points, possible)),
              el("span", { class: "tr-when" }, when(at)),
            ),
          ),
      ),
      results.length > SHOWN &&
        el("p", { class: "tr-help" }, `And ${counted(results.length - SHOWN, "earlier one", "earlier ones")}.`),
      el("div", { class: "tr-buttons tr-forget" }, button("forget-ask", "Forget all of this", { "data-key": "forget" })),
    ]);
  }

  /** @param {string} id @returns {HTMLElement} */
  #mistake(id) {
    const known = (this.#list?.mistakes ?? []).find((/** @type {any} */ each) => each.id === id);
    const words = known?.title ?? id.replaceAll("-", " ");
    return known?.page ? el("a", { href: known.page }, words) : el("span", {}, words);
  }

  /** @param {boolean} asking */
  #askForget(asking) {
    const part = this.#history.querySelector(".tr-forget");
    if (!part) return;
    part.replaceChildren(
      ...(asking
        ? [
            el("p", { class: "tr-help" }, "The list of results and mistakes is removed from this device."),
            button("forget-yes", "Forget it", { "data-key": "yes", class: "tr-danger" }),
            button("forget-no", "Keep it"),
          ]
        : [button("forget-ask", "Forget all of this", { "data-key": "forget" })]),
    );
    focusKey(this.#history, asking ? "yes" : "forget");
  }
}

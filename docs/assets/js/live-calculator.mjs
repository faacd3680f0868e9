// @ts-check
/**
 * The element that makes a calculator on a page live.
 *
 * The page already shows the worked example. The element reads the form it finds, asks the engine,
 * and puts the answer into the parts it finds; without it, or if it fails, the example stays.
 */
import { EngineError, visitEngine } from "./engine.mjs";
import {
  addRow,
  controlValues,
  fillInputs,
  makeOwn,
  markExamples,
  inputTexts,
  readInputs,
  renumberRows,
  rowLimits,
  rowsOf,
  setControlValues,
  setRowCount,
  setSystem,
  showApplicable,
  systemOf,
} from "./form.mjs";
import { loadBook, withdraw } from "./facts.mjs";
import { FieldFacts } from "./field-facts.mjs";
import { readHash, writeHash } from "./hash.mjs";
import { job } from "./job.mjs";
import { morph } from "./morph.mjs";
import { Pauses } from "./pauses.mjs";
import { PHASE_WORDS, pin } from "./pins.mjs";
import { soundEntries, Store } from "./store.mjs";

/** @typedef {{field: string, message: string, kind?: string}} FieldError */

// A half-typed number is not an error yet; the sentence waits until the hand rests.
const ERROR_PAUSE = 400;
const STALE_PAUSE = 300;
const SAVE_PAUSE = 300;
const LINK_PAUSE = 500;
const FACTS_PAUSE = 600;
// The working is folded and a third of an answer: it comes when the hand rests, or at once to a
// reader who has it open. It has to come, because paper shows it.
const WORKING_PAUSE = 600;
const ENTRIES = "entries/";

const SAY = {
  starting: "Starting the calculator…",
  slowly: "Starting the calculator. On this device it takes a few seconds…",
  ready: "Live: the result follows your numbers.",
};

export class LiveCalculator extends HTMLElement {
  /** @type {AbortController | null} */ #listening = null;
  /** @type {IntersectionObserver | null} */ #sight = null;
  #pauses = new Pauses();
  /** @type {number | null} */ #idle = null;
  /** @type {Record<string, number>} rows of each table in the example */ #exampleRows = {};
  /** @type {Record<string, string>} */ #example = {};
  #store = new Store();
  #engine = visitEngine();
  #revision = 0;
  #prepared = false;
  #facts = new FieldFacts(this.calculator, job);
  /** @type {{asked: {calculator: string, system: string, inputs: Record<string, string>},
   *   answer: any} | null} the last sound answer */
  #answered = null;
  /** @type {(() => void) | null} */ #unpin = null;
  // The example still stands in units that the reader does not use.
  #otherUnits = false;
  // The address brought the numbers.
  #byLink = false;

  connectedCallback() {
    const form = this.form;
    if (!form) return;
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    form.addEventListener("input", this.#onInput, { signal });
    form.addEventListener("change", this.#onChange, { signal });
    form.addEventListener("submit", this.#onSubmit, { signal });
    form.addEventListener("focusin", this.#onTouch, { signal });
    form.addEventListener("pointerdown", this.#onTouch, { signal, passive: true });
    this.addEventListener("click", this.#onClick, { signal });
    this.addEventListener("toggle", this.#onToggle, { signal, capture: true });
    addEventListener("hashchange", this.#onHashChange, { signal });
    // A page that is left for good tells its elements nothing.
    addEventListener("pagehide", this.#keepNow, { signal });
    this.#engine.addEventListener("progress", this.#onProgress, { signal });
    job.addEventListener("change", this.#onJobChange, { signal });
    job.addEventListener("switch", this.#onJobSwitch, { signal });
    if (!this.#prepared) this.#prepare(form);
    this.#facts.begin();
    void loadBook().then((book) => {
      this.#facts.book = book;
      if (this.isConnected) this.#facts.tell(form);
    });
    this.#takeUp(form);
    this.#showPins();
    this.#startWhenSeen();
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
    this.#sight?.disconnect();
    this.#sight = null;
    if (this.#idle !== null) {
      if ("cancelIdleCallback" in globalThis) cancelIdleCallback(this.#idle);
      else clearTimeout(this.#idle);
      this.#idle = null;
    }
    this.#keepNow();
    this.#pauses.clear();
    this.#revision += 1;
  }

  /** Keep at once what waits for the hand to rest; the address is the next page's already. */
  #keepNow = () => {
    if (this.#pauses.has("save")) this.#save();
    if (this.#pauses.has("facts")) this.#settleFacts();
  };

  /** Tell the job what was typed and found, unless something was typed since the answer. */
  #settleFacts() {
    const { form } = this;
    if (!form || !this.#answered) return;
    const { asked, answer } = this.#answered;
    const now = Object.entries(inputTexts(readInputs(form)));
    if (now.some(([name, text]) => asked.inputs[name] !== text)) return;
    this.#facts.settle(form, answer.results);
  }

  /** @returns {HTMLFormElement | null} */
  get form() {
    return this.querySelector("form");
  }

  get calculator() {
    return this.dataset.calculator ?? "";
  }

  /** Remember the example as the page brought it. @param {HTMLFormElement} form */
  #prepare(form) {
    for (const table of form.querySelectorAll('[data-type="table"]')) {
      this.#exampleRows[/** @type {HTMLElement} */ (table).dataset.field ?? ""] =
        rowsOf(table).length;
      renumberRows(table);
    }
    this.#example = controlValues(form);
    this.#prepared = true;
  }

  /** What was typed here before, in this job. */
  #kept() {
    return soundEntries(job.get(ENTRIES + this.calculator));
  }

  /** Take numbers from the link, else what was typed here before. @param {HTMLFormElement} form */
  #takeUp(form) {
    const kept = this.#kept();
    const link = readHash(location.hash);
    this.#byLink = link?.calculator === this.calculator;
    if (link && this.#byLink) {
      this.#takeLink(form, link);
      // A page that is loaded again finds its own numbers in its address.
      if (kept) this.#facts.marked(form, kept);
      this.#takeFacts(form, { again: true });
      if (arrivedByLink()) requestAnimationFrame(() => this.scrollIntoView({ block: "start" }));
      return;
    }
    if (kept) {
      setSystem(form, kept.system);
      setControlValues(form, kept.values);
      markExamples(form, this.#example);
      this.#facts.marked(form, kept);
    }
    showApplicable(form);
    const preferred = this.#store.preferredSystem();
    if (!kept && preferred && preferred !== systemOf(form)) {
      setSystem(form, preferred);
      if (this.#fillFromFacts(form).length > 0) void this.#convert(readInputs(form));
      else this.#otherUnits = true;
    } else if (!this.#takeFacts(form) && kept) {
      this.#changed();
    }
  }

  /**
   * @param {HTMLFormElement} form
   * @param {{again?: boolean}} [options]
   * @returns {string[]} the fields that hold another number now
   */
  #fillFromFacts(form, options) {
    const took = this.#facts.takeUp(form, this.#example, options);
    if (took.length > 0) showApplicable(form);
    return took;
  }

  /**
   * @param {HTMLFormElement} form
   * @param {{again?: boolean}} [options]
   * @returns {boolean} whether the answer is on its way
   */
  #takeFacts(form, options) {
    const took = this.#fillFromFacts(form, options);
    if (took.length === 0) return false;
    // A fact comes in the units it was typed in.
    const inputs = readInputs(form);
    void this.#convert(Object.fromEntries(took.map((name) => [name, inputs[name]])));
    return true;
  }

  /**
   * @param {HTMLFormElement} form
   * @param {import("./hash.mjs").Link} link
   */
  #takeLink(form, link) {
    if (link.system) setSystem(form, link.system);
    const unsplit = fillInputs(form, link.inputs);
    markExamples(form, this.#example);
    showApplicable(form);
    this.#changed();
    // The engine knows more spellings of a unit than the form offers.
    if (unsplit.length > 0) {
      void this.#convert(Object.fromEntries(unsplit.map((name) => [name, link.inputs[name]])));
    }
  }

  #startWhenSeen() {
    if (this.#engine.state === "ready") {
      void this.#start();
      return;
    }
    this.#sight = new IntersectionObserver((entries) => {
      if (!entries.some((entry) => entry.isIntersecting)) return;
      this.#sight?.disconnect();
      this.#sight = null;
      const start = () => {
        this.#idle = null;
        void this.#start();
      };
      // It is being started already, so there is nothing to spare the page.
      if (this.#engine.state !== "idle") return start();
      this.#idle =
        "requestIdleCallback" in globalThis
          ? requestIdleCallback(start, { timeout: 2000 })
          : /** @type {any} */ (setTimeout(start, 200));
    });
    this.#sight.observe(this);
  }

  /** Start the engine if need be, and put the first answer on the page. */
  async #start() {
    if (this.dataset.state === "starting" || this.dataset.state === "ready") return;
    this.dataset.state = "starting";
    this.#say(SAY.starting);
    try {
      await this.#engine.start();
    } catch (error) {
      this.#fail(error);
      return;
    }
    const form = this.form;
    if (!this.isConnected || !form) return;
    if (this.#otherUnits) await this.#convert(readInputs(form), { keep: false });
    else await this.#run();
  }

  #onTouch = () => {
    if (this.dataset.state === "static") void this.#start();
  };

  #onSubmit = (/** @type {Event} */ event) => {
    event.preventDefault();
    this.#changed();
  };

  #onInput = (/** @type {Event} */ event) => {
    if (!this.form || isSystemSwitch(event.target)) return;
    makeOwn(event.target);
    this.#facts.touch(this.form, event.target);
    showApplicable(this.form);
    this.#changed();
  };

  #onChange = (/** @type {Event} */ event) => {
    if (!this.form || !isSystemSwitch(event.target)) return;
    this.#store.preferSystem(systemOf(this.form));
    void this.#convert(readInputs(this.form));
  };

  /** Another part of the book, or another tab, has changed the job. */
  #onJobChange = (/** @type {Event} */ event) => {
    const { keys } = /** @type {CustomEvent<{keys: string[]}>} */ (event).detail;
    const { form } = this;
    if (!form || !keys.some((key) => key.startsWith("fact/"))) return;
    this.#takeFacts(form, { again: this.#byLink });
  };

  #onJobSwitch = () => {
    const { form } = this;
    if (!form) return;
    this.#pauses.cancel("save");
    this.#pauses.cancel("facts");
    this.#facts.begin();
    this.#putExampleBack(form);
    this.#takeUp(form);
    if (!this.#kept()) this.#changed({ keep: false });
    this.#showPins();
  };

  #onHashChange = () => {
    const link = readHash(location.hash);
    if (!this.form || !link || link.calculator !== this.calculator) return;
    this.#takeLink(this.form, link);
    this.scrollIntoView({ block: "start" });
  };

  /** The working is opened before it has come. */
  #onToggle = (/** @type {Event} */ event) => {
    const folded = event.target;
    if (!(folded instanceof HTMLElement) || !folded.matches(".lc-steps[open]")) return;
    if (this.#pauses.has("working")) void this.#bringWorking();
  };

  #onClick = (/** @type {Event} */ event) => {
    const button = event.target instanceof Element ? event.target.closest("[data-action]") : null;
    if (!(button instanceof HTMLElement) || !this.form) return;
    const actions = /** @type {Record<string, () => void>} */ ({
      "add-row": () => this.#addRow(button),
      "remove-row": () => this.#removeRow(button),
      "copy-link": () => void this.#copyLink(),
      "go-error": () => this.#goToError(),
      "take-fact": () => this.#takeFact(button),
      pin: () => this.#pin(/** @type {any} */ (button.dataset.phase)),
      unpin: () => this.#takePinBack(),
      reset: () => this.#reset(),
      retry: () => void this.#start(),
    });
    actions[button.dataset.action ?? ""]?.();
  };

  #onProgress = (/** @type {Event} */ event) => {
    if (this.dataset.state !== "starting") return;
    const { stage } = /** @type {CustomEvent} */ (event).detail ?? {};
    // Only the slow way lasts long enough for a reader to wonder.
    if (stage === "fallback" || stage === "starting") this.#say(SAY.slowly);
  };

  /** @param {HTMLElement} button */
  #addRow(button) {
    const table = button.closest("[data-type=table]");
    const row = table && addRow(table);
    if (!table || !row) return;
    this.#facts.touchName(table.getAttribute("data-field") ?? "");
    const first = row.querySelector("input, select");
    if (first instanceof HTMLElement) first.focus();
    if (this.form) showApplicable(this.form);
    this.#changed();
  }

  /** @param {HTMLElement} button */
  #removeRow(button) {
    const table = button.closest("[data-type=table]");
    const row = button.closest("[data-row]");
    if (!table || !row || rowsOf(table).length <= rowLimits(table).fewest) return;
    const neighbour = row.nextElementSibling ?? row.previousElementSibling;
    row.remove();
    renumberRows(table);
    this.#facts.touchName(table.getAttribute("data-field") ?? "");
    const next = neighbour?.querySelector("input, select");
    if (next instanceof HTMLElement) next.focus();
    this.#changed();
  }

  #goToError() {
    const first = this.form?.querySelector("[aria-invalid=true]");
    if (first instanceof HTMLElement) first.focus();
  }

  /** @param {HTMLElement} button */
  #takeFact(button) {
    const { form } = this;
    const field = button.closest("[data-field]");
    if (!form || !(field instanceof HTMLElement)) return;
    const name = field.dataset.field ?? "";
    this.#facts.takeBack(form, name);
    showApplicable(form);
    const control = field.querySelector("input, select");
    if (control instanceof HTMLElement) control.focus();
    void this.#convert({ [name]: readInputs(form)[name] });
  }

  /** Results are kept for the report of a job, so there has to be one. */
  #showPins() {
    const pins = this.querySelector(".lc-pins");
    if (pins instanceof HTMLElement) pins.hidden = !job.isOpen;
  }

  /** @param {import("./pins.mjs").Phase} phase */
  #pin(phase) {
    if (!this.#answered || this.hasAttribute("data-stale")) {
      this.#say("There is no result to keep yet. Mend the entries first.");
      return;
    }
    this.#unpin = pin(job, phase, this.#answered.asked, this.#answered.answer);
    this.#say(`Kept ${PHASE_WORDS[phase]} for the report.`, {
      action: "unpin",
      label: "Take it back",
    });
  }

  #takePinBack() {
    this.#unpin?.();
    this.#unpin = null;
    this.#say("Taken back.");
  }

  /** @param {HTMLFormElement} form */
  #putExampleBack(form) {
    for (const table of form.querySelectorAll("[data-type=table]")) {
      setRowCount(table, this.#exampleRows[/** @type {HTMLElement} */ (table).dataset.field ?? ""]);
    }
    form.reset();
    setControlValues(form, this.#example);
    this.#facts.release(form);
    markExamples(form, this.#example);
    showApplicable(form);
  }

  #reset() {
    const form = this.form;
    if (!form) return;
    const system = systemOf(form);
    this.#facts.begin();
    this.#pauses.cancel("facts");
    withdraw(job, this.calculator);
    this.#putExampleBack(form);
    this.#facts.tell(form);
    const link = readHash(location.hash);
    if (link?.calculator === this.calculator) {
      history.replaceState(history.state, "", location.pathname + location.search);
    }
    if (system === systemOf(form)) {
      this.#changed({ keep: false });
    } else {
      setSystem(form, system);
      void this.#convert(readInputs(form), { keep: false });
    }
    job.remove(ENTRIES + this.calculator);
  }

  async #copyLink() {
    const address = location.origin + location.pathname + this.#fragment();
    const copied = await copyText(address);
    this.#say(
      copied
        ? "The link is copied. It holds these numbers and nothing else."
        : `Copying is not allowed here. The link is: ${address}`,
    );
  }

  #fragment() {
    const form = /** @type {HTMLFormElement} */ (this.form);
    return writeHash({
      calculator: this.calculator,
      system: systemOf(form),
      inputs: inputTexts(readInputs(form)),
    });
  }

  /** Something in the form is different now. @param {{keep?: boolean}} [options] */
  #changed({ keep = true } = {}) {
    this.#revision += 1;
    this.#pauses.cancel("errors");
    this.#pauses.cancel("working");
    this.#pauses.after("stale", STALE_PAUSE, () => this.#markStale(true));
    if (keep) {
      this.#pauses.after("save", SAVE_PAUSE, () => this.#save());
      this.#pauses.after("link", LINK_PAUSE, () => {
        const address = location.pathname + location.search + this.#fragment();
        history.replaceState(history.state, "", address);
      });
    } else {
      this.#pauses.cancel("save");
      this.#pauses.cancel("link");
    }
    if (this.dataset.state === "ready") void this.#run();
    else void this.#start();
  }

  #save() {
    const form = this.form;
    if (!form) return;
    job.set(ENTRIES + this.calculator, {
      system: systemOf(form),
      values: controlValues(form),
      taken: this.#facts.taken(form),
      at: job.now(),
    });
  }

  /**
   * Ask for the entries in the chosen system's units, and put them into the form.
   *
   * @param {import("./form.mjs").Inputs} inputs
   * @param {{keep?: boolean}} [options] whether the outcome counts as typed
   */
  async #convert(inputs, { keep = true } = {}) {
    const form = this.form;
    if (!form) return;
    this.#otherUnits = false;
    this.#revision += 1;
    const revision = this.#revision;
    if (this.dataset.state !== "ready") {
      this.dataset.state = "starting";
      this.#say(SAY.starting);
    }
    try {
      const answer = await this.#engine.ask(
        { op: "convert", calculator: this.calculator, system: systemOf(form), inputs },
        { key: `convert ${this.calculator}` },
      );
      if (answer === null || !this.isConnected) return;
      if (revision !== this.#revision) {
        // Something was typed meanwhile; converting again is harmless, losing it is not.
        void this.#convert(readInputs(form), { keep });
        return;
      }
      if (answer.inputs) fillInputs(form, answer.inputs);
      if (this.dataset.state === "starting") this.dataset.state = "ready";
      showApplicable(form);
      this.#changed({ keep });
    } catch (error) {
      this.#fail(error);
    }
  }

  /** What is asked of the engine. @param {HTMLFormElement} form @param {boolean} working */
  #request(form, working) {
    return {
      op: "run",
      calculator: this.calculator,
      system: systemOf(form),
      inputs: readInputs(form),
      working,
    };
  }

  async #run() {
    const form = this.form;
    if (!form) return;
    const revision = this.#revision;
    const request = this.#request(form, this.querySelector(".lc-steps[open]") !== null);
    try {
      const answer = await this.#engine.ask(request, { key: `run ${this.calculator}` });
      if (answer === null || revision !== this.#revision || !this.isConnected) return;
      const first = this.dataset.state !== "ready";
      this.dataset.state = "ready";
      if (answer.errors) this.#refuse(answer.errors);
      else this.#show(answer, request);
      if (!answer.errors && !request.working) {
        this.#pauses.after("working", WORKING_PAUSE, () => void this.#bringWorking());
      }
      // In the browser's own record of the page's times, for whoever measures.
      if (first) performance.mark("live-result");
    } catch (error) {
      if (revision === this.#revision) this.#fail(error);
    }
  }

  /** Bring the working of the answer that is shown. */
  async #bringWorking() {
    const { form } = this;
    this.#pauses.cancel("working");
    if (!form || this.dataset.state !== "ready") return;
    const revision = this.#revision;
    const request = this.#request(form, true);
    try {
      const answer = await this.#engine.ask(request, { key: `run ${this.calculator}` });
      if (answer === null || revision !== this.#revision || !this.isConnected) return;
      const part = this.querySelector('[data-part="steps"]');
      if (part && answer.html) morph(part, answer.html.steps);
    } catch (error) {
      if (revision === this.#revision) this.#fail(error);
    }
  }

  /**
   * @param {{answer: any, html: Record<string, string>}} answer
   * @param {{system: string, inputs: import("./form.mjs").Inputs}} request
   */
  #show(answer, { system, inputs }) {
    this.#pauses.cancel("stale");
    this.#pauses.cancel("errors");
    this.#clearErrors();
    const asked = { calculator: this.calculator, system, inputs: inputTexts(inputs) };
    this.#answered = { asked, answer: answer.answer };
    this.#pauses.after("facts", FACTS_PAUSE, () => this.#settleFacts());
    for (const [name, html] of Object.entries(answer.html)) {
      const part = this.querySelector(`[data-part="${CSS.escape(name)}"]`);
      if (part) morph(part, html);
    }
    this.dataset.system = system;
    this.#markStale(false);
    this.#say(SAY.ready);
  }

  /** @param {FieldError[]} errors */
  #refuse(errors) {
    this.#pauses.cancel("stale");
    this.#pauses.cancel("facts");
    this.#markStale(true);
    this.#pauses.after("errors", ERROR_PAUSE, () => this.#showErrors(errors));
  }

  /** @param {FieldError[]} errors */
  #showErrors(errors) {
    this.#clearErrors();
    /** @type {string[]} */
    const general = [];
    let marked = 0;
    for (const { field, message } of errors) {
      if (this.#markField(field, message)) marked += 1;
      else general.push(message);
    }
    const sentence = general.join(" ");
    if (marked === 0) {
      this.#say(sentence);
      return;
    }
    const count = marked === 1 ? "One entry needs" : `${marked} entries need`;
    this.#say(`${sentence} ${count} another look.`.trim(), {
      action: "go-error",
      label: marked === 1 ? "Go to it" : "Go to the first",
    });
  }

  /** @param {string} field @param {string} message @returns {boolean} */
  #markField(field, message) {
    if (!field) return false;
    const id = `${this.calculator}-${field.replaceAll(".", "-")}-error`;
    const place =
      this.querySelector(`#${CSS.escape(id)}`) ??
      this.querySelector(`[data-field="${CSS.escape(field)}"] > .lc-error`);
    if (!(place instanceof HTMLElement) || place.closest("[hidden]:not(.lc-error)")) return false;
    place.textContent = place.hidden ? message : `${place.textContent} ${message}`;
    place.hidden = false;
    const folded = place.closest("details");
    if (folded) folded.open = true;
    const owner = place.closest("[data-cell], [data-field]");
    owner?.setAttribute("data-invalid", "");
    owner?.querySelector("input, select")?.setAttribute("aria-invalid", "true");
    return true;
  }

  #clearErrors() {
    for (const place of this.querySelectorAll(".lc-error:not([hidden])")) {
      if (place instanceof HTMLElement) place.hidden = true;
      place.textContent = "";
    }
    for (const control of this.querySelectorAll("[aria-invalid]")) {
      control.removeAttribute("aria-invalid");
    }
    for (const owner of this.querySelectorAll("[data-invalid]")) {
      owner.removeAttribute("data-invalid");
    }
  }

  /** @param {unknown} error */
  #fail(error) {
    if (!this.isConnected) return;
    this.dataset.state = "failed";
    if (this.#pauses.has("stale")) {
      this.#pauses.cancel("stale");
      this.#markStale(true);
    }
    const reason = error instanceof EngineError ? error.message : `Something broke: ${error}`;
    this.#say(reason, { action: "retry", label: "Try again" });
  }

  /** @param {boolean} stale */
  #markStale(stale) {
    this.toggleAttribute("data-stale", stale);
    const note = this.querySelector(".lc-stale");
    if (note instanceof HTMLElement) note.hidden = !stale;
  }

  /**
   * @param {string} text
   * @param {{action: string, label: string}} [offer] a button after the sentence
   */
  #say(text, offer) {
    const place = this.querySelector(".lc-status");
    if (!place || (place.textContent === text && !offer)) return;
    place.textContent = offer ? `${text} ` : text;
    if (!offer) return;
    const button = document.createElement("button");
    button.type = "button";
    button.dataset.action = offer.action;
    button.textContent = offer.label;
    place.append(button);
  }
}

/** @param {EventTarget | null} target */
function isSystemSwitch(target) {
  return target instanceof HTMLInputElement && target.name === "system";
}

/** Whether the page was opened by a link, and not reloaded or gone back to. */
function arrivedByLink() {
  const [entry] = performance.getEntriesByType("navigation");
  const type = /** @type {PerformanceNavigationTiming | undefined} */ (entry)?.type;
  return type !== "reload" && type !== "back_forward" && history.state?.y === undefined;
}

/** @param {string} text @returns {Promise<boolean>} */
async function copyText(text) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    return false;
  }
}

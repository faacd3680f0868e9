// @ts-check
/**
 * A drill in finding a fault: choose a room by its number, work in it, say what is wrong.
 *
 * The room lives in the engine. Here is only the list of what was done; the engine is given all of
 * it each time and says what is to be seen. Nothing on this side knows what is wrong with the room.
 */
import { Dial, digits, Strip, Thermometer, valueAt } from "./drill-dial.mjs";
import { KeptDrills, MOST_ACTIONS, MOST_SEED, nameOf, soundDrill } from "./drill-kept.mjs";
import { Scheme } from "./drill-scheme.mjs";
import { EngineError, LONG_LIMIT, visitEngine } from "./engine.mjs";
import { readHash, writeHash } from "./hash.mjs";
import { button, el, field } from "./job-dom.mjs";
import { morph } from "./morph.mjs";
import { Pauses } from "./pauses.mjs";
import { Store } from "./store.mjs";

/** @typedef {import("./drill-kept.mjs").Drill} Drill */
/** @typedef {import("./drill-kept.mjs").Action} Action */
/** @typedef {import("./drill-kept.mjs").Played} Played */
/** @typedef {{id: string, title: string, summary: string, level: string}} Kind */
/** @typedef {{drills: Kind[], faults: {id: string, title: string}[]}} Book */

const SURE_PAUSE = 6000;
const WIDE = 700;
const MOST_DRAWN = 99_999;

const OWN = new Set(["skip", "begin", "start-afresh", "start-again", "print"]);
const FIRST_PART = "loop";

const SPEEDS = /** @type {const} */ ([
  [1, "Real time"],
  [60, "× 60"],
  [600, "× 600"],
  [0, "At once"],
]);

const SAY = {
  starting: "Starting the calculator…",
  working: "Working…",
  longest: `A drill ends after ${MOST_ACTIONS} acts. Say what is wrong, or start again.`,
  choose: "Tick what is wrong, or tick that nothing is.",
  both: "Either something is wrong or nothing is. Take one tick away.",
  seed: "The number of a room is a whole number, such as 412.",
  full: "This device takes no more. The drill is lost when you leave this page.",
};

/** What a list of drills or a room is asked with; tests put their own here. */
export const engineOf = { get: visitEngine };

/** @type {number | null} the pace chosen last during this visit */
let chosenSpeed = null;

function firstSpeed() {
  const still = globalThis.matchMedia?.("(prefers-reduced-motion: reduce)").matches ?? true;
  return chosenSpeed ?? (still ? 0 : 600);
}

/**
 * Return what the clock on the wall showed some time before.
 *
 * @param {string} time such as `08:15`
 * @param {number} seconds
 * @returns {string}
 */
export function before(time, seconds) {
  const [hours, minutes] = time.split(":").map(Number);
  const minute = (((hours * 60 + minutes - Math.round(seconds / 60)) % 1440) + 1440) % 1440;
  const two = (/** @type {number} */ n) => String(n).padStart(2, "0");
  return `${two(Math.floor(minute / 60))}:${two(minute % 60)}`;
}

/** @param {any} answer @returns {string} */
function complaint(answer) {
  return answer.errors.map((/** @type {any} */ one) => one.message).join(" ");
}

/** @param {unknown} error @returns {string} */
function reason(error) {
  return error instanceof EngineError ? error.message : `Something broke: ${String(error)}`;
}

function now() {
  return new Date().toISOString().slice(0, 19) + "Z";
}

/**
 * What was typed into the form of one act. A number goes with its unit.
 *
 * @param {HTMLFormElement} form
 * @returns {Record<string, any>}
 */
export function typed(form) {
  /** @type {Record<string, any>} */
  const values = {};
  const controls = /** @type {NodeListOf<HTMLInputElement | HTMLSelectElement>} */ (
    form.querySelectorAll("input[name], select[name]")
  );
  for (const control of controls) {
    const { name } = control;
    if (name.endsWith(".unit")) continue;
    if (control.getAttribute("type") === "radio" && !(/** @type {any} */ (control).checked)) continue;
    const unit = /** @type {HTMLSelectElement | HTMLInputElement | null} */ (
      form.querySelector(`[name="${name}.unit"]`)
    );
    values[name] = unit ? { value: control.value, unit: unit.value } : control.value;
  }
  return values;
}

export class DrillView {
  #pauses = new Pauses();
  #dial = new Dial();
  #thermometer = new Thermometer();
  #strip = new Strip();
  /** @type {any} */ #answer = null;
  /** @type {Book | null} */ #book = null;
  /** @type {(() => void) | null} ends what is being shown */ #finish = null;
  #frame = 0;
  #busy = false;
  #ended = false;
  #speed = firstSpeed();

  /**
   * @param {object} options
   * @param {Drill} options.drill
   * @param {string} [options.title]
   * @param {Action[]} [options.actions] what was done before
   * @param {string[] | null} [options.diagnosis]
   * @param {boolean} [options.again] whether it can be started again from here
   * @param {(played: Played) => unknown} [options.onChange]
   * @param {(played: Played) => unknown} [options.onDone]
   */
  constructor({ drill, title = "", actions = [], diagnosis = null, again = false, ...told }) {
    this.drill = drill;
    this.title = title;
    this.actions = [...actions];
    this.diagnosis = diagnosis;
    this.again = again;
    this.onChange = told.onChange;
    this.onDone = told.onDone;
    this.scheme = new Scheme((part) => this.#open(part));
    this.element = el("section", { class: "fd", "data-state": "starting" });
    this.element.addEventListener("click", this.#onClick);
    this.element.addEventListener("submit", this.#onSubmit);
    this.element.addEventListener("change", this.#onSpeed);
    this.#build();
  }

  /** @returns {Played} */
  get played() {
    return {
      drill: this.drill,
      actions: [...this.actions],
      diagnosis: this.diagnosis,
      at: now(),
    };
  }

  #build() {
    const id = `fd-${this.drill.id}-${this.drill.seed}`;
    this.heading = el("h2", { class: "fd-title", id, tabindex: "-1" }, this.title || "Fault drill");
    this.element.setAttribute("aria-labelledby", id);
    this.clock = el("b", { class: "fd-clock" });
    this.status = el("p", { class: "fd-status", role: "status" });
    this.gaugeName = el("h3", { class: "fd-name" }, "Gauge");
    this.gaugeReads = el("p", { class: "fd-reads" });
    this.warmthName = el("h3", { class: "fd-name" }, "Thermometer");
    this.warmthReads = el("p", { class: "fd-reads" });
    this.legend = el("p", { class: "fd-legend", "aria-hidden": "true" });
    this.stripName = el("p", { class: "fd-stripname", "aria-hidden": "true" });
    this.skip = button("skip", "Skip to the end", { class: "fd-skip", hidden: true });
    this.acts = el("div", { class: "fd-acts" });
    this.trace = el("div", { class: "fd-trace" });
    this.room = el("div", { class: "fd-words" });
    this.causes = el("form", { class: "fd-diagnosis", novalidate: true });
    this.debrief = el("div", { class: "fd-debrief" });
    this.nowReads = el("p", { class: "fd-nowreads", "aria-hidden": "true" });
    this.seen = el("p", { class: "fd-seen", role: "status" });
    this.alarm = el("div", { class: "fd-alarm", role: "alert" });
    const pace = el(
      "fieldset",
      { class: "fd-pace" },
      el("legend", {}, "How fast to watch"),
      ...SPEEDS.map(([speed, words]) =>
        el(
          "label",
          {},
          el("input", {
            type: "radio",
            name: `${id}-pace`,
            value: String(speed),
            checked: speed === this.#speed,
          }),
          el("span", {}, words),
        ),
      ),
    );
    this.actsPart = el(
      "div",
      { class: "fd-part fd-actspart" },
      el("h3", { id: `${id}-acts` }, "What you can do"),
      el("p", { class: "fd-help" }, "Tap a part of the drawing, or open it here."),
      this.acts,
    );
    this.causesPart = el("div", { class: "fd-part" }, el("h3", {}, "What is wrong?"), this.causes);
    this.logPart = el(
      "div",
      { class: "fd-part fd-log" },
      el("h3", {}, "What was done and seen"),
      this.trace,
    );
    this.wordsPart = el("div", { class: "fd-told" }, this.room);
    this.head = el(
      "div",
      { class: "fd-head" },
      this.heading,
      el(
        "p",
        { class: "fd-which" },
        el("span", {}, "Room number ", el("b", {}, String(this.drill.seed))),
        el("span", {}, this.drill.system === "us" ? "US units" : "metric units"),
        el("span", { class: "fd-time" }, "Clock ", this.clock),
      ),
      this.status,
      el("p", { class: "fd-paperonly" }, "Name: ______________________    Date: ______________"),
    );
    this.play = el(
      "div",
      { class: "fd-play", hidden: true },
      this.wordsPart,
      el(
        "div",
        { class: "fd-room" },
        el(
          "div",
          { class: "fd-board" },
          el(
            "div",
            { class: "fd-instruments" },
            el("div", { class: "fd-gauge" }, this.gaugeName, this.#dial.element, this.gaugeReads),
            el(
              "div",
              { class: "fd-warmth" },
              this.warmthName,
              this.#thermometer.element,
              this.warmthReads,
            ),
          ),
          this.legend,
          el("div", { class: "fd-recorder" }, this.stripName, this.#strip.element),
        ),
        el("div", { class: "fd-side" }, this.scheme.element, pace, this.skip),
      ),
      this.actsPart,
      this.logPart,
      this.causesPart,
      el("div", { class: "fd-now" }, this.nowReads, this.seen, this.alarm),
    );
    this.element.append(this.head, this.play, this.#buildEnd());
  }

  #buildEnd() {
    this.foot = el("div", { class: "fd-buttons" });
    if (this.again) {
      this.foot.append(
        button("start-again", "Start this room again"),
        button("other", "Another room of this kind"),
        button("leave", "Choose another drill"),
      );
    }
    this.foot.append(button("print", "Print"));
    return this.foot;
  }

  /** Ask for the room, and show it. */
  async begin() {
    if (this.#ended) return;
    this.element.dataset.state = "starting";
    this.#say(SAY.starting);
    try {
      const book = await bookOfDrills();
      if (this.#ended) return;
      this.#book = book;
      const kind = book.drills.find(({ id }) => id === this.drill.id);
      if (kind && !this.title) this.heading.textContent = kind.title;
      this.#buildCauses(book);
      const answer = await this.#ask(this.actions, this.diagnosis);
      if (this.#ended) return;
      if (answer.errors) {
        this.#broken(complaint(answer));
        return;
      }
      this.element.dataset.state = "ready";
      this.#say("");
      this.#answer = answer;
      this.#apply(answer);
    } catch (error) {
      if (!this.#ended) this.#broken(reason(error));
    }
  }

  /** Let go of everything that waits. */
  end() {
    this.#ended = true;
    this.#stop();
    this.#pauses.clear();
  }

  /** @param {Action[]} actions @param {string[] | null} diagnosis */
  #ask(actions, diagnosis) {
    const advice = "Try the act again, or start the room again.";
    const request = { op: "drill-play", drill: this.drill, actions, diagnosis };
    return engineOf.get().ask(request, { advice, limit: LONG_LIMIT });
  }

  /** @param {string} words */
  #broken(words) {
    this.element.dataset.state = "failed";
    this.#say(words);
    const again = button("begin", "Try again");
    this.status.append(" ", again);
    if (this.again && this.actions.length > 0) {
      this.status.append(" ", button("start-afresh", "Start this room again"));
    }
  }

  /** @param {string} words */
  #say(words) {
    if (this.status.textContent !== words) this.status.textContent = words;
  }

  /** @param {Book} book */
  #buildCauses(book) {
    const boxes = book.faults.map(({ id, title }) => tick("cause", id, title));
    this.sayCauses = el("p", { class: "fd-error", role: "alert" });
    this.causes.replaceChildren(
      el(
        "fieldset",
        {},
        el("legend", {}, "Tick everything you have found. There may be more than one."),
        el("div", { class: "fd-causes" }, ...boxes, tick("none", "none", "Nothing: the room is in order")),
      ),
      this.sayCauses,
      el("button", { type: "submit", class: "fd-main" }, "This is what is wrong"),
    );
  }

  /** Show everything that an answer says, as it is at its end. @param {any} answer */
  #apply(answer) {
    const { dial, thermometer, html = {}, parts = [], last } = answer;
    if (dial) {
      this.#dial.show(dial);
      this.gaugeName.textContent = dial.title;
      this.gaugeReads.textContent = dial.reads;
      const band = dial.normal ? `usual ${dial.normal[0]} to ${dial.normal[1]} ${dial.unit}` : "";
      const relief = typeof dial.relief === "number" ? `relief valve ${dial.relief} ${dial.unit}` : "";
      this.legend.replaceChildren(
        ...(band ? [el("span", { class: "fd-legend-normal" }, band)] : []),
        ...(relief ? [el("span", { class: "fd-legend-relief" }, relief)] : []),
      );
    }
    this.#thermometer.element.toggleAttribute("hidden", !thermometer);
    this.warmthName.parentElement?.toggleAttribute("hidden", !thermometer);
    if (thermometer) {
      this.#thermometer.show(thermometer);
      this.warmthName.textContent = thermometer.title;
      this.warmthReads.textContent = thermometer.reads;
    }
    this.#showStrip(answer);
    this.#showClock(answer.time ?? "");
    this.scheme.show(parts, this.#openPart);
    morph(this.room, arranged(html.room ?? ""));
    const first = this.acts.childElementCount === 0;
    morph(this.acts, folded(html.actions ?? "", parts));
    // Waiting and looking round lie here: nobody should have to search for them.
    if (first) this.acts.querySelector(`[data-part="${FIRST_PART}"]`)?.setAttribute("open", "");
    morph(this.trace, html.trace ?? "");
    this.#tell(last);
    this.#showNow(dial?.reads, thermometer?.reads);
    this.play.hidden = false;
    const done = Boolean(answer.done);
    this.element.toggleAttribute("data-done", done);
    this.actsPart.hidden = done;
    this.causesPart.hidden = done;
    if (done) {
      const { points, most } = answer.score ?? {};
      const score = el("p", { class: "fd-score" }, el("b", {}, String(points)), `of ${most} points`);
      morph(this.debrief, (answer.score ? score.outerHTML : "") + (html.debrief ?? ""));
      this.debrief.tabIndex = -1;
      this.wordsPart.after(this.debrief);
    } else {
      this.debrief.replaceChildren();
    }
  }

  /** @param {any} last what the last act showed */
  #tell(last) {
    const words = last ? [last.title, last.words].filter(Boolean).join(": ") : "";
    const seen = last ? `${words}${/[.!?]$/.test(words) ? "" : "."}` : "Nothing done yet.";
    if (this.seen.textContent !== seen) this.seen.textContent = seen;
    this.#warn(last);
  }

  /** Say at once that an act was not safe, or was not done. @param {any} last */
  #warn(last) {
    const verdict = last?.verdict ?? "safe";
    this.alarm.dataset.verdict = verdict;
    const lead = { unsafe: "Unsafe.", refused: "Not done.", safe: "Note." }[
      /** @type {"unsafe"} */ (verdict)
    ];
    const wanted = last?.reason ? `${lead} ${last.reason}` : "";
    if (this.alarm.textContent === wanted) return;
    this.alarm.replaceChildren(
      ...(wanted ? [el("p", {}, el("strong", {}, lead), " ", last.reason)] : []),
    );
  }

  /** @param {string | undefined} gauge @param {string | undefined} warmth */
  #showNow(gauge, warmth) {
    const parts = [gauge, warmth, this.clock.textContent].filter(Boolean);
    this.nowReads.replaceChildren(...parts.map((part) => el("b", {}, part)));
  }

  /** @param {string} words */
  #showClock(words) {
    if (this.clock.textContent !== words) this.clock.textContent = words;
  }

  /** @param {any} answer */
  #showStrip(answer) {
    const samples = answer.gauge ?? [];
    const shown = samples.length > 1 && answer.dial;
    this.stripName.parentElement?.toggleAttribute("hidden", !shown);
    if (!shown) return;
    this.stripName.textContent = answer.last ? `Gauge during: ${answer.last.title}` : "Gauge";
    const [from, to] = [samples[0][0], samples[samples.length - 1][0]];
    this.#strip.show(samples, answer.dial, [
      before(answer.time, to - from),
      answer.time,
    ]);
  }

  #openPart = "";

  /** Lead to what can be done at a part. @param {string} part */
  #open(part) {
    this.#openPart = part;
    this.scheme.show(this.#answer?.parts ?? [], part);
    const place = [...this.acts.querySelectorAll("details[data-part]")].find(
      (one) => /** @type {HTMLElement} */ (one).dataset.part === part,
    );
    if (!place) {
      this.seen.textContent = "Nothing can be done there.";
      return;
    }
    for (const other of this.acts.querySelectorAll("details[data-part][open]")) {
      if (other !== place) other.removeAttribute("open");
    }
    place.setAttribute("open", "");
    /** @type {HTMLElement | null} */ (place.querySelector("summary"))?.focus({ preventScroll: true });
    place.scrollIntoView?.({ block: "start" });
  }

  #onSpeed = (/** @type {Event} */ event) => {
    const target = /** @type {HTMLInputElement} */ (event.target);
    event.stopPropagation();
    if (!target.name?.endsWith("-pace")) return;
    this.#speed = Number(target.value);
    chosenSpeed = this.#speed;
    if (this.#speed === 0) this.#finish?.();
  };

  #onSubmit = (/** @type {Event} */ event) => {
    const form = /** @type {HTMLFormElement} */ (event.target);
    event.preventDefault();
    // What goes on in the room is no business of the page around it.
    event.stopPropagation();
    if (this.#busy) return;
    this.#finish?.();
    if (form === this.causes) {
      this.#onDiagnosis();
      return;
    }
    const act = form.dataset.do;
    if (act) void this.#act(form, { do: act, values: typed(form) });
  };

  #onClick = (/** @type {Event} */ event) => {
    const pressed = /** @type {Element} */ (event.target).closest?.("button[data-action]");
    const action = /** @type {HTMLElement | null} */ (pressed)?.dataset.action;
    if (!action || !OWN.has(action)) return;
    event.stopPropagation();
    if (action === "skip") this.#finish?.();
    else if (action === "begin") void this.begin();
    else if (action === "start-afresh") this.#restart();
    else if (action === "print") print();
    else if (action === "start-again") {
      const asks = this.actions.length > 0 && this.diagnosis === null;
      if (!asks || this.#sure(/** @type {HTMLElement} */ (pressed))) this.#restart();
    }
  };

  /** Ask once more before something is lost. @param {HTMLElement} pressed */
  #sure(pressed) {
    if (this.#pauses.has("sure")) {
      this.#pauses.cancel("sure");
      pressed.textContent = pressed.dataset.words ?? "";
      return true;
    }
    pressed.dataset.words = pressed.textContent ?? "";
    pressed.textContent = "Tap again: what you did is lost";
    this.#pauses.after("sure", SURE_PAUSE, () => {
      pressed.textContent = pressed.dataset.words ?? "";
    });
    return false;
  }

  #restart() {
    this.#stop();
    this.actions = [];
    this.diagnosis = null;
    this.#openPart = "";
    this.play.hidden = true;
    this.debrief.replaceChildren();
    this.acts.replaceChildren();
    this.onChange?.(this.played);
    void this.begin().then(() => this.heading.focus());
  }

  /** @param {HTMLFormElement} form @param {Action} action */
  async #act(form, action) {
    if (this.actions.length >= MOST_ACTIONS) {
      this.#warn({ verdict: "refused", reason: SAY.longest });
      return;
    }
    clearErrors(form);
    this.#setBusy(true);
    try {
      const answer = await this.#ask([...this.actions, action], null);
      if (this.#ended || answer === null) return;
      if (answer.errors) {
        showErrors(form, answer.errors);
        return;
      }
      this.actions.push(action);
      this.onChange?.(this.played);
      this.#watch(answer);
    } catch (error) {
      if (!this.#ended) this.#warn({ verdict: "refused", reason: reason(error) });
    } finally {
      this.#setBusy(false);
    }
  }

  #onDiagnosis() {
    const say = /** @type {HTMLElement} */ (this.sayCauses);
    const ticked = [...this.causes.querySelectorAll("input")].filter((one) => one.checked);
    const causes = ticked.filter(({ name }) => name === "cause").map(({ value }) => value);
    const nothing = ticked.some(({ name }) => name === "none");
    say.textContent = "";
    if (ticked.length === 0) say.textContent = SAY.choose;
    else if (nothing && causes.length > 0) say.textContent = SAY.both;
    else {
      const pressed = /** @type {HTMLElement} */ (this.causes.querySelector("button[type=submit]"));
      if (this.#pauses.has("diagnosis")) {
        this.#pauses.cancel("diagnosis");
        pressed.textContent = "This is what is wrong";
        void this.#diagnose(causes);
        return;
      }
      pressed.textContent = "Tap again: this ends the drill";
      this.#pauses.after("diagnosis", SURE_PAUSE, () => {
        pressed.textContent = "This is what is wrong";
      });
    }
  }

  /** @param {string[]} causes */
  async #diagnose(causes) {
    const say = /** @type {HTMLElement} */ (this.sayCauses);
    this.#setBusy(true);
    try {
      const answer = await this.#ask(this.actions, causes);
      if (this.#ended || answer === null) return;
      if (answer.errors) {
        say.textContent = complaint(answer);
        return;
      }
      this.diagnosis = causes;
      this.#answer = answer;
      this.onChange?.(this.played);
      this.#apply(answer);
      this.debrief.focus({ preventScroll: true });
      this.debrief.scrollIntoView?.({ block: "start" });
      this.onDone?.(this.played);
    } catch (error) {
      if (!this.#ended) say.textContent = reason(error);
    } finally {
      this.#setBusy(false);
    }
  }

  /** @param {boolean} busy */
  #setBusy(busy) {
    this.#busy = busy;
    this.element.toggleAttribute("data-busy", busy);
    this.element.setAttribute("aria-busy", String(busy));
  }

  /** Show how the last act went by, at the pace that was chosen. @param {any} answer */
  #watch(answer) {
    this.#stop();
    this.#answer = answer;
    const samples = answer.gauge ?? [];
    const frame = globalThis.requestAnimationFrame;
    if (this.#speed === 0 || samples.length < 2 || !answer.dial || !frame) {
      this.#apply(answer);
      return;
    }
    // What was not safe is said before anything else; what was seen comes when it is seen.
    this.#warn(answer.last?.verdict === "safe" ? null : answer.last);
    this.seen.textContent = answer.last ? `${answer.last.title}…` : SAY.working;
    this.#showStrip(answer);
    const { dial, thermometer, warmth = [] } = answer;
    const [first, end] = [samples[0][0], samples[samples.length - 1][0]];
    const figures = digits(dial.reads);
    let second = first;
    let shown = performance.now();
    this.skip.hidden = false;
    this.#finish = () => {
      this.#stop();
      this.#apply(answer);
    };
    const show = (/** @type {number} */ moment) => {
      second += (Math.max(moment - shown, 0) / 1000) * this.#speed;
      shown = moment;
      if (second >= end) {
        this.#finish?.();
        return;
      }
      const value = valueAt(samples, second);
      this.#dial.point(value);
      this.#strip.upTo(second);
      this.#showClock(before(answer.time, end - second));
      const reads = `${value.toFixed(figures)} ${dial.unit}`;
      this.gaugeReads.textContent = reads;
      let degrees = "";
      if (thermometer && warmth.length > 1) {
        const degree = valueAt(warmth, second);
        this.#thermometer.point(degree);
        degrees = `${degree.toFixed(digits(thermometer.reads))} ${thermometer.unit}`;
        this.warmthReads.textContent = degrees;
      }
      this.#showNow(reads, degrees);
      this.#frame = frame(show);
    };
    this.#frame = frame(show);
  }

  #stop() {
    if (this.#frame) globalThis.cancelAnimationFrame?.(this.#frame);
    this.#frame = 0;
    this.#finish = null;
    this.skip.hidden = true;
  }
}

/** @param {string} name @param {string} value @param {string} words */
function tick(name, value, words) {
  return el(
    "label",
    { class: "fd-tick" },
    el("input", { type: "checkbox", name, value, autocomplete: "off" }),
    el("span", {}, words),
  );
}

/**
 * Fold the acts by part. What can be seen of a part stands beside its name.
 *
 * @param {string} html
 * @param {{id: string, title: string, state: string}[]} parts
 */
function folded(html, parts) {
  const template = document.createElement("template");
  template.innerHTML = html;
  const list = el("div");
  const sections = [...template.content.querySelectorAll("[data-part]")];
  sections.sort((one, other) => Number(isFirst(other)) - Number(isFirst(one)));
  for (const section of sections) {
    const name = section.getAttribute("data-part") ?? "";
    const heading = section.querySelector("h2, h3, h4, h5");
    const state = parts.find(({ id }) => id === name)?.state;
    const title = heading?.textContent ?? name;
    heading?.remove();
    list.append(
      el(
        "details",
        { class: "fd-folded", "data-part": name, id: `fd-acts-${name}` },
        el(
          "summary",
          {},
          el("span", { class: "fd-partname" }, title),
          " ",
          state ? el("span", { class: "fd-state" }, state) : null,
        ),
        ...section.childNodes,
      ),
    );
  }
  return list.innerHTML;
}

/** @param {Element} section */
function isFirst(section) {
  return section.getAttribute("data-part") === FIRST_PART;
}

/**
 * Fold what is long: the papers where the screen is small, and what the instruments and the drawing
 * show as well.
 *
 * @param {string} html
 */
function arranged(html) {
  const template = document.createElement("template");
  template.innerHTML = html;
  const list = el("div", {}, ...template.content.childNodes);
  for (const name of ["fd-papers", "fd-now-words"]) {
    const section = list.querySelector(`.${name}`);
    if (!section) continue;
    const heading = section.querySelector("h3");
    const title = heading?.textContent ?? "";
    heading?.remove();
    const open = name === "fd-papers" && (globalThis.innerWidth ?? 0) >= WIDE;
    section.replaceWith(
      el("details", { class: name, open }, el("summary", {}, title), ...section.childNodes),
    );
  }
  return list.innerHTML;
}

/** @param {HTMLFormElement} form @param {string} name @returns {HTMLElement} */
function errorPlace(form, name) {
  const there = [...form.querySelectorAll("[data-error-for]")].find(
    (one) => one.getAttribute("data-error-for") === name,
  );
  if (there) return /** @type {HTMLElement} */ (there);
  const made = el("p", { class: "fd-error", "data-error-for": name });
  form.append(made);
  return made;
}

/** @param {HTMLFormElement} form @param {{field: string, message: string}[]} errors */
function showErrors(form, errors) {
  for (const { field: name, message } of errors) {
    const bare = name.split(".").pop() ?? name;
    const control = form.querySelector(`[name="${CSS.escape(bare)}"]`);
    const place = errorPlace(form, control ? bare : "");
    place.classList.add("fd-error");
    place.textContent = message;
    place.hidden = false;
    if (!control) continue;
    control.setAttribute("aria-invalid", "true");
    if (place.id) control.setAttribute("aria-describedby", place.id);
  }
  const wrong = form.querySelector("[aria-invalid]");
  /** @type {HTMLElement | null} */ (wrong ?? form.querySelector("button"))?.focus();
}

/** @param {HTMLFormElement} form */
function clearErrors(form) {
  for (const place of form.querySelectorAll("[data-error-for]")) {
    place.textContent = "";
    /** @type {HTMLElement} */ (place).hidden = true;
  }
  for (const control of form.querySelectorAll("[aria-invalid]")) {
    control.removeAttribute("aria-invalid");
  }
}

/** @type {Promise<Book> | null} */
let book = null;

/** The drills there are; asked for once a visit. @returns {Promise<Book>} */
export function bookOfDrills() {
  book ??= engineOf
    .get()
    .ask({ op: "drill-list" })
    .catch((error) => {
      book = null;
      throw error;
    });
  return book;
}

/** Tests begin each with a fresh book. */
export function forgetBook() {
  book = null;
}

/** The element of the page: choose a room, go into it, come back. */
export class FaultDrill extends HTMLElement {
  /** @type {AbortController | null} */ #listening = null;
  /** @type {DrillView | null} */ #view = null;
  /** @type {ChildNode[]} */ #words = [];
  /** @type {HTMLElement | null} */ #shelf = null;
  #kept = new KeptDrills();
  #store = new Store();

  connectedCallback() {
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    this.addEventListener("click", this.#onClick, { signal });
    this.addEventListener("submit", this.#onSubmit, { signal });
    addEventListener("hashchange", this.#takeUp, { signal });
    this.#words = [...this.childNodes];
    this.#takeUp();
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
    this.#view?.end();
    this.#view = null;
    this.replaceChildren(...this.#words);
  }

  /** The room that the address names. @returns {Drill | null} */
  get #linked() {
    const link = readHash(location.hash);
    if (link?.calculator !== "drill") return null;
    const { drill, seed } = link.inputs;
    return soundDrill({
      id: drill,
      seed: /^\d{1,16}$/.test(seed ?? "") ? Number(seed) : null,
      system: link.system ?? "si",
    });
  }

  #takeUp = () => {
    const drill = this.#linked;
    if (!drill) {
      // A link to a heading of the page is no reason to leave a room.
      const inside = this.#view && location.hash !== "" && location.hash !== "#drill";
      if (!inside) this.#choose();
      return;
    }
    if (this.#view && nameOf(this.#view.drill) === nameOf(drill)) return;
    this.#enter(drill);
  };

  /** @param {Drill} drill */
  #enter(drill) {
    const kept = this.#kept.get(drill);
    this.#view?.end();
    this.dataset.state = "inside";
    const view = new DrillView({
      drill,
      actions: kept?.actions ?? [],
      diagnosis: kept?.diagnosis ?? null,
      again: true,
      onChange: (played) => {
        if (!this.#kept.keep(played)) view.status.textContent = SAY.full;
      },
    });
    this.#view = view;
    view.foot.prepend(button("copy", "Copy the link to this room"));
    this.replaceChildren(view.element);
    const chosen = this.#shelf !== null;
    this.#shelf = null;
    void view.begin();
    // Whoever came from the choice finds the room where the choice was.
    if (chosen) {
      view.heading.focus({ preventScroll: true });
      view.element.scrollIntoView?.({ block: "start" });
    }
  }

  #choose() {
    this.#view?.end();
    this.#view = null;
    this.dataset.state = "choosing";
    const system = this.#store.preferredSystem() ?? "si";
    this.#shelf = el("div", { class: "fd-choices" }, el("p", { role: "status" }, SAY.starting));
    const seed = el("input", {
      name: "seed",
      inputmode: "numeric",
      autocomplete: "off",
      value: String(drawn()),
    });
    const error = el("p", { class: "fd-error", id: "fd-seed-error", role: "alert" });
    const form = el(
      "form",
      { class: "fd fd-choose", novalidate: true },
      el("fieldset", {}, el("legend", {}, "Which drill?"), this.#shelf),
      el(
        "div",
        { class: "fd-seedrow" },
        field(
          "fd-seed",
          "Number of the room",
          seed,
          "The same drill, number and units give the same room on every device.",
        ),
        button("draw", "Another number"),
      ),
      error,
      el(
        "fieldset",
        { class: "fd-system" },
        el("legend", {}, "Units"),
        ...[
          ["si", "Metric: bar, °C, L"],
          ["us", "US: psi, °F, gal"],
        ].map(([value, words]) =>
          el(
            "label",
            {},
            el("input", { type: "radio", name: "system", value, checked: value === system }),
            el("span", {}, words),
          ),
        ),
      ),
      el("button", { type: "submit", class: "fd-main" }, "Go into the room"),
    );
    this.replaceChildren(form, this.#begun());
    this.#fillShelf();
  }

  async #fillShelf() {
    const shelf = this.#shelf;
    if (!shelf) return;
    try {
      const { drills } = await bookOfDrills();
      if (shelf !== this.#shelf) return;
      shelf.replaceChildren(
        ...drills.map(({ id, title, summary, level }, index) =>
          el(
            "label",
            { class: "fd-kind" },
            el("input", { type: "radio", name: "drill", value: id, checked: index === 0 }),
            el(
              "span",
              {},
              el("b", {}, title),
              level ? el("span", { class: "fd-level" }, level) : null,
              el("span", { class: "fd-summary" }, summary),
            ),
          ),
        ),
      );
      this.#nameBegun(drills);
    } catch (error) {
      if (shelf !== this.#shelf) return;
      shelf.replaceChildren(
        el("p", { class: "fd-error" }, reason(error)),
        button("reload-list", "Try again"),
      );
    }
  }

  /** The rooms that were begun here. */
  #begun() {
    const kept = this.#kept.all();
    const list = el("div", { class: "fd fd-begun", hidden: kept.length === 0 });
    list.append(el("h2", {}, "Begun on this device"));
    const rows = kept.map(({ drill, actions, diagnosis }) => {
      const acts = actions.length === 1 ? "1 act" : `${actions.length} acts`;
      const words = diagnosis === null ? `${acts} so far` : `${acts}, handed in`;
      const number = `room ${drill.seed}, ${drill.system === "us" ? "US units" : "metric"}`;
      const name = nameOf(drill);
      return el(
        "li",
        { class: "fd-row" },
        el(
          "a",
          { href: addressOf(drill), class: "fd-resume" },
          el("b", { "data-kind": drill.id }, drill.id),
          ` ${number}: ${words}`,
        ),
        button("forget", "Remove", { "data-name": name, "aria-label": `Remove ${number}` }),
      );
    });
    list.append(el("ul", { class: "fd-rows" }, ...rows));
    return list;
  }

  /** @param {Kind[]} drills */
  #nameBegun(drills) {
    for (const place of this.querySelectorAll("[data-kind]")) {
      const found = drills.find(({ id }) => id === place.getAttribute("data-kind"));
      if (found) place.textContent = found.title;
    }
  }

  #onSubmit = (/** @type {Event} */ event) => {
    const form = /** @type {HTMLFormElement} */ (event.target);
    if (!form.classList.contains("fd-choose")) return;
    event.preventDefault();
    const inputs = [...form.querySelectorAll("input")];
    const chosen = (/** @type {string} */ name) =>
      inputs.find((one) => one.name === name && one.checked)?.value ?? "";
    const control = /** @type {HTMLInputElement} */ (form.querySelector('[name="seed"]'));
    const number = control.value.trim();
    const error = /** @type {HTMLElement} */ (form.querySelector("#fd-seed-error"));
    const sound = /^\d{1,16}$/.test(number) && Number(number) <= MOST_SEED;
    error.textContent = sound ? "" : SAY.seed;
    control.setAttribute("aria-describedby", sound ? "fd-seed-help" : "fd-seed-error");
    control.removeAttribute("aria-invalid");
    if (!sound) {
      control.setAttribute("aria-invalid", "true");
      control.focus();
      return;
    }
    const system = chosen("system");
    const drill = soundDrill({ id: chosen("drill"), seed: Number(number), system });
    if (!drill) return;
    this.#store.preferSystem(drill.system);
    this.#goTo(drill);
  };

  /** @param {Drill} drill */
  #goTo(drill) {
    const address = addressOf(drill);
    if (location.hash === address) this.#takeUp();
    else location.hash = address;
  }

  #onClick = (/** @type {Event} */ event) => {
    const pressed = /** @type {HTMLElement | null} */ (
      /** @type {Element} */ (event.target).closest?.("button[data-action]")
    );
    const view = this.#view;
    switch (pressed?.dataset.action) {
      case "draw": {
        const control = /** @type {HTMLInputElement} */ (this.querySelector('[name="seed"]'));
        control.value = String(drawn());
        break;
      }
      case "reload-list":
        this.#fillShelf();
        break;
      case "forget": {
        const name = pressed.dataset.name;
        const kept = this.#kept.all().find(({ drill }) => nameOf(drill) === name);
        if (kept) this.#kept.forget(kept.drill);
        pressed.closest("li")?.remove();
        if (this.#kept.all().length === 0) this.querySelector(".fd-begun")?.remove();
        /** @type {HTMLElement | null} */ (this.querySelector(".fd-begun a, .fd-main"))?.focus();
        break;
      }
      case "other":
        if (view) this.#goTo({ ...view.drill, seed: drawn() });
        break;
      case "leave":
        location.hash = "#drill";
        break;
      case "copy":
        void this.#copy(pressed);
        break;
      default:
    }
  };

  /** @param {HTMLElement} pressed */
  async #copy(pressed) {
    const address = location.href;
    try {
      await navigator.clipboard.writeText(address);
      pressed.textContent = "Copied: the link to this room";
    } catch {
      if (this.#view) this.#view.status.textContent = `The address of this room: ${address}`;
    }
  }
}

/** @param {Drill} drill @returns {string} */
export function addressOf({ id, seed, system }) {
  return writeHash({ calculator: "drill", system, inputs: { drill: id, seed: String(seed) } });
}

function drawn() {
  return 1 + Math.floor(Math.random() * MOST_DRAWN);
}

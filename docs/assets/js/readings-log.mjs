// @ts-check
/**
 * The log of readings: a form for wet hands, the list of what was read, and what the engine says.
 *
 * What is stored is the text as typed with its unit. Saving needs no engine: whether a number can
 * be read, where it belongs on the line, and which two go to a calculator, the engine says later.
 */
import { EngineError, visitEngine } from "./engine.mjs";
import { joinQuantity, writeHash } from "./hash.mjs";
import { morph } from "./morph.mjs";
import { Pauses } from "./pauses.mjs";
import { Store } from "./store.mjs";

/** @typedef {{value: string, unit: string, pm: string}} Entry */
/** @typedef {{at: string, pump: string, note: string, [field: string]: string | Entry}} Reading */
/** @typedef {{id: string, field: string, message: string}} FieldError */
/**
 * @typedef {object} Job the part of a job that the log needs
 * @property {Promise<unknown>} ready
 * @property {string} trouble
 * @property {boolean} isOpen
 * @property {string} id
 * @property {{name?: string}} meta
 * @property {(key: string) => any} get
 * @property {(prefix: string) => string[]} keys
 * @property {(key: string, change: (old: any) => any) => unknown} update
 * @property {(key: string, value: unknown) => unknown} set
 * @property {(key: string) => unknown} remove
 * @property {() => string} newId
 * @property {() => string} now
 * @property {EventTarget["addEventListener"]} addEventListener
 */

const KEY = "reading/";
const FACT = "fact/";
const DRAFT = "handbook.reading.draft";
const ERROR_PAUSE = 400;
const DRAFT_PAUSE = 300;
const CLOCK = 5000;
const MOST_IN_SIGHT = 4;
const MONTHS = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split(" ");

const SAY = {
  failed: "The record cannot be opened here, so nothing can be kept.",
  nothing: "Nothing is typed yet. Enter one number, or a note.",
  noTime: "Give the time of the reading, or tap “Now”.",
  starting: "Starting the calculator…",
};

/**
 * Say a time as a sentence does, by the clock on the wall where it was noted.
 *
 * @param {string} at
 */
export function moment(at) {
  const parts = /^\d{4}-(\d\d)-(\d\d)T(\d\d:\d\d)/.exec(at);
  const month = parts && MONTHS[Number(parts[1]) - 1];
  return parts && month ? `${Number(parts[2])} ${month} ${parts[3]}` : "no time";
}

/**
 * Give a time on the wall the offset that this device's clock has then.
 *
 * @param {string} wall such as `2026-05-14T08:05`
 * @returns {string} empty if it is no time
 */
export function zoned(wall) {
  const date = new Date(wall);
  if (!/^\d{4}-\d\d-\d\dT\d\d:\d\d/.test(wall) || Number.isNaN(date.getTime())) return "";
  const minutes = -date.getTimezoneOffset();
  const two = (/** @type {number} */ n) => String(Math.floor(Math.abs(n))).padStart(2, "0");
  const offset = `${minutes < 0 ? "-" : "+"}${two(minutes / 60)}:${two(minutes % 60)}`;
  return `${wall.length === 16 ? `${wall}:00` : wall.slice(0, 19)}${offset}`;
}

export class ReadingsLog extends HTMLElement {
  /** Where the job comes from; tests put their own here. @type {() => Promise<Job>} */
  static job = async () => (await import("./job.mjs")).job;

  /** Who answers; tests put their own here. */
  static engine = visitEngine;

  /** @type {Job | null} */ #job = null;
  /** @type {AbortController | null} */ #listening = null;
  #pauses = new Pauses();
  /** @type {ReturnType<typeof setInterval> | undefined} */ #clock;
  /** @type {string} the reading that stands in the form; empty for a new one */ #editing = "";
  /** @type {{key: string, value: unknown} | null} */ #removed = null;
  /** @type {Record<string, string[]>} the two readings that were chosen, by calculator */ #pairs = {};
  /** @type {any} the engine's last word */ #answer = null;
  #store = new Store();
  #engine = ReadingsLog.engine();
  #follows = true;
  #asked = 0;

  connectedCallback() {
    const form = this.#form;
    if (!form) return;
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    form.addEventListener("submit", this.#onSubmit, { signal });
    form.addEventListener("input", this.#onInput, { signal });
    this.addEventListener("change", this.#onChange, { signal });
    this.addEventListener("click", this.#onClick, { signal });
    // A page that is left for good tells its elements nothing.
    addEventListener("pagehide", this.#onLeave, { signal });
    this.#clock = setInterval(() => this.#tick(), CLOCK);
    void this.#open(signal);
  }

  disconnectedCallback() {
    this.#onLeave();
    this.#listening?.abort();
    this.#listening = null;
    clearInterval(this.#clock);
    this.#pauses.clear();
    this.#asked += 1;
    this.#job = null;
  }

  /** @returns {HTMLFormElement | null} */
  get #form() {
    return this.querySelector("form");
  }

  get #system() {
    return this.#store.preferredSystem() ?? "si";
  }

  /** @param {AbortSignal} signal */
  async #open(signal) {
    try {
      const job = await ReadingsLog.job();
      await job.ready;
      if (signal.aborted) return;
      this.#job = job;
    } catch {
      if (!signal.aborted) this.#say(SAY.failed);
      return;
    }
    this.#job.addEventListener("change", this.#onJobChange, { signal });
    this.#job.addEventListener("switch", this.#onSwitch, { signal });
    this.#job.addEventListener("trouble", this.#onTrouble, { signal });
    this.dataset.state = "ready";
    const form = this.#form;
    if (form) form.hidden = false;
    this.#takeUp();
  }

  /** Show what the job holds, and the form as it was left. */
  #takeUp() {
    this.#answer = null;
    this.#pairs = {};
    this.#removed = null;
    this.#showUndo();
    this.#blank();
    this.#restoreDraft();
    this.#tellWhere();
    this.#list();
    this.#ask();
  }

  #onSwitch = () => this.#takeUp();

  #onTrouble = () => this.#tellWhere();

  #onJobChange = (/** @type {Event} */ event) => {
    const { keys = [] } = /** @type {CustomEvent} */ (event).detail ?? {};
    if (!keys.some((/** @type {string} */ key) => key.startsWith(KEY) || key.startsWith(FACT))) return;
    // Another tab may have removed what stands in the form.
    if (this.#editing && !this.#job?.get(KEY + this.#editing)) this.#blank();
    this.#list();
    this.#ask();
  };

  #tellWhere() {
    const job = this.#job;
    if (!job) return;
    const link = this.querySelector(".rl-job");
    if (link instanceof HTMLElement) link.hidden = job.isOpen;
    const where = job.isOpen
      ? `Kept on this device, in “${job.meta?.name ?? ""}”.`
      : "No job is open. These readings are kept on this device without a name.";
    this.#say(job.trouble ? `${where} ${job.trouble}` : where);
  }

  /** @returns {(Reading & {id: string})[]} the readings, the earliest first */
  #readings() {
    const job = this.#job;
    if (!job) return [];
    return job
      .keys(KEY)
      .map((key) => ({ ...job.get(key), id: key.slice(KEY.length) }))
      .sort((one, other) => this.#place(one) - this.#place(other) || (one.id < other.id ? -1 : 1));
  }

  /** @param {Reading} reading @returns {number} */
  #place(reading) {
    const time = Date.parse(reading.at);
    return Number.isNaN(time) ? Infinity : time;
  }

  // ---- the form

  /** @param {string} name @returns {HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement | null} */
  #control(name) {
    return this.#form?.querySelector(`[name="${name}"]`) ?? null;
  }

  /** @returns {HTMLElement[]} */
  get #fields() {
    return /** @type {HTMLElement[]} */ ([...(this.#form?.querySelectorAll("[data-field]") ?? [])]);
  }

  /** @param {string} name @param {string} value */
  #put(name, value) {
    const control = this.#control(name);
    if (control) control.value = value;
  }

  /** Empty the form for the next reading; its units are those of the last one. */
  #blank() {
    this.#editing = "";
    const last = this.#readings().reverse();
    for (const field of this.#fields) {
      const name = field.dataset.field ?? "";
      if (name === "at" || name === "pump") continue;
      const before = last.map((reading) => reading[name]).find((entry) => typeof entry === "object");
      const { unit = "", pm = "" } = /** @type {Partial<Entry>} */ (before ?? {});
      this.#put(name, "");
      this.#put(`${name}.pm`, pm);
      this.#putUnit(name, unit);
    }
    this.#putPump("");
    this.#follows = true;
    this.#tick();
    this.#clearErrors();
    this.#title("New reading", false);
  }

  /** @param {string} name @param {string} unit as stored; empty for the reader's usual one */
  #putUnit(name, unit) {
    const select = this.#control(`${name}.unit`);
    if (!select) return;
    const offered = [...select.querySelectorAll("option")].map((option) => option.value);
    const usual = (this.#system === "us" ? select.dataset.us : select.dataset.si) ?? "";
    select.value = offered.includes(unit) ? unit : usual;
  }

  /** @param {string} state */
  #putPump(state) {
    for (const radio of this.#form?.querySelectorAll('[name="pump"]') ?? []) {
      /** @type {HTMLInputElement} */ (radio).checked = radio.getAttribute("value") === state;
    }
  }

  #pump() {
    const radios = [...(this.#form?.querySelectorAll('[name="pump"]') ?? [])];
    const chosen = radios.find((radio) => /** @type {HTMLInputElement} */ (radio).checked);
    return chosen?.getAttribute("value") ?? "";
  }

  /** @param {string} text @param {boolean} editing */
  #title(text, editing) {
    const title = this.querySelector('[data-part="title"]');
    if (title) title.textContent = text;
    const cancel = this.querySelector('[data-action="cancel"]');
    if (cancel instanceof HTMLElement) cancel.hidden = !editing;
  }

  /** Let the time go on, unless the reader has set it. */
  #tick() {
    if (this.#follows && this.#job) this.#put("at", this.#job.now().slice(0, 16));
  }

  /** @returns {Reading} what stands in the form */
  #typed() {
    /** @type {Reading} */
    const reading = { at: this.#time(), pump: this.#pump(), note: "" };
    for (const field of this.#fields) {
      const name = field.dataset.field ?? "";
      if (name === "at" || name === "pump") continue;
      const value = this.#control(name)?.value.trim() ?? "";
      if (name === "note") reading.note = value;
      else if (value !== "") {
        reading[name] = {
          value,
          unit: this.#control(`${name}.unit`)?.value ?? "",
          pm: this.#control(`${name}.pm`)?.value.trim() ?? "",
        };
      }
    }
    return reading;
  }

  /** @returns {string} */
  #time() {
    const wall = this.#control("at")?.value ?? "";
    const old = this.#editing ? this.#job?.get(KEY + this.#editing)?.at : undefined;
    if (typeof old === "string" && old.slice(0, 16) === wall) return old;
    return this.#follows && this.#job ? this.#job.now() : zoned(wall);
  }

  #onSubmit = (/** @type {Event} */ event) => {
    event.preventDefault();
    void this.#save();
  };

  async #save() {
    const job = this.#job;
    if (!job) return;
    const reading = this.#typed();
    this.#clearErrors();
    if (!reading.at) {
      this.#showErrors([{ id: "", field: "at", message: SAY.noTime }]);
      return;
    }
    const typed = Object.values(reading).some((value) => typeof value === "object");
    if (!typed && !reading.note && !reading.pump) {
      this.#showErrors([{ id: "", field: "gauge", message: SAY.nothing }]);
      return;
    }
    const id = this.#editing || job.newId();
    const known = new Set(this.#fields.map((field) => field.dataset.field));
    const kept = job.update(KEY + id, (old) => ({
      // What a newer edition has noted beside it is not ours to drop.
      ...Object.fromEntries(Object.entries(old ?? {}).filter(([name]) => !known.has(name))),
      ...reading,
    }));
    const was = this.#editing;
    this.#blank();
    this.#forgetDraft();
    this.#list();
    this.#ask();
    this.#say(`${was ? "Changed" : "Saved"}: ${this.#words(reading)}.`);
    if (was) this.#focusItem(was, "edit");
    try {
      await kept;
    } catch (error) {
      this.#say(`Not kept on this device yet: ${plain(error)}`);
    }
    if (job.trouble) this.#tellWhere();
    await this.#checkSaved(id, reading);
  }

  /** Leave a reading in the form if something in it cannot be read. @param {string} id @param {Reading} reading */
  async #checkSaved(id, reading) {
    const errors = await this.#errorsOf(reading);
    const untouched = !this.#editing && !this.#pauses.has("draft");
    if (errors.length === 0 || !untouched || !this.isConnected) return;
    this.#edit(id);
    this.#showErrors(errors);
    this.#say("Saved as typed, but it cannot be read. Mend it here.");
  }

  /** @param {Reading} reading @returns {Promise<FieldError[]>} none while the engine is not there */
  async #errorsOf(reading) {
    if (this.#engine.state !== "ready") return [];
    const request = {
      op: "readings-view",
      readings: [{ ...reading, id: "draft" }],
      inputs: {},
      system: this.#system,
    };
    try {
      const answer = await this.#engine.ask(request, { key: "reading" });
      return answer?.errors ?? [];
    } catch {
      return [];
    }
  }

  #onInput = (/** @type {Event} */ event) => {
    const target = event.target;
    if (!(target instanceof Element)) return;
    const field = target.closest("[data-field]");
    if (field?.getAttribute("data-field") === "at") this.#follows = false;
    if (field) this.#clearError(field);
    this.#pauses.after("draft", DRAFT_PAUSE, () => this.#keepDraft());
    this.#pauses.after("errors", ERROR_PAUSE, () => void this.#checkTyped());
  };

  async #checkTyped() {
    const reading = this.#typed();
    const errors = await this.#errorsOf(reading);
    // Something was typed meanwhile: the next pause asks again.
    if (!this.isConnected || this.#pauses.has("errors")) return;
    this.#clearErrors();
    this.#showErrors(errors.filter((error) => error.field !== "at"));
  }

  /** @param {FieldError[]} errors */
  #showErrors(errors) {
    for (const { field, message } of errors) {
      const owner = this.#form?.querySelector(`[data-field="${field}"]`);
      const place = owner?.querySelector(".lc-error");
      if (!owner || !(place instanceof HTMLElement)) continue;
      place.textContent = message;
      place.hidden = false;
      owner.setAttribute("data-invalid", "");
      owner.querySelector("input, textarea")?.setAttribute("aria-invalid", "true");
      const folded = owner.closest("details");
      if (folded) folded.setAttribute("open", "");
    }
  }

  #clearErrors() {
    for (const field of this.#fields) this.#clearError(field);
  }

  /** @param {Element} field */
  #clearError(field) {
    const place = field.querySelector(".lc-error");
    if (place instanceof HTMLElement) {
      place.hidden = true;
      place.textContent = "";
    }
    field.removeAttribute("data-invalid");
    field.querySelector("[aria-invalid]")?.removeAttribute("aria-invalid");
  }

  // ---- a reading that is typed and not saved

  #onLeave = () => {
    if (this.#pauses.has("draft")) this.#keepDraft();
  };

  #keepDraft() {
    if (!this.#job) return;
    const draft = {
      job: this.#job.id,
      editing: this.#editing,
      follows: this.#follows,
      wall: this.#control("at")?.value ?? "",
      reading: this.#typed(),
    };
    try {
      sessionStorage.setItem(DRAFT, JSON.stringify(draft));
    } catch {
      // It stands in the form still, which is all that a locked storage allows.
    }
  }

  #forgetDraft() {
    this.#pauses.cancel("draft");
    try {
      sessionStorage.removeItem(DRAFT);
    } catch {
      // Nothing was kept, so nothing is left to forget.
    }
  }

  #restoreDraft() {
    /** @type {any} */
    let draft = null;
    try {
      draft = JSON.parse(sessionStorage.getItem(DRAFT) ?? "null");
    } catch {
      return;
    }
    if (!draft || draft.job !== this.#job?.id || typeof draft.reading !== "object") return;
    if (draft.editing && !this.#job?.get(KEY + draft.editing)) draft.editing = "";
    if (draft.editing) this.#startEditing(draft.editing);
    this.#fill(draft.reading);
    this.#follows = Boolean(draft.follows);
    if (this.#follows) this.#tick();
    else this.#put("at", String(draft.wall));
  }

  // ---- the list

  /** @param {Reading} reading */
  #fill(reading) {
    for (const field of this.#fields) {
      const name = field.dataset.field ?? "";
      if (name === "at" || name === "pump") continue;
      const entry = reading?.[name];
      if (typeof entry === "string") this.#put(name, entry);
      else if (entry && typeof entry === "object") {
        this.#put(name, text(entry.value));
        this.#put(`${name}.pm`, text(entry.pm));
        this.#putUnit(name, text(entry.unit));
        const folded = field.closest("details");
        if (folded) folded.setAttribute("open", "");
      }
    }
    this.#putPump(text(reading?.pump));
  }

  /** @param {string} id */
  #startEditing(id) {
    const reading = this.#job?.get(KEY + id);
    this.#blank();
    this.#editing = id;
    this.#follows = false;
    this.#put("at", text(reading?.at).slice(0, 16));
    this.#title(`Reading of ${moment(text(reading?.at))}`, true);
  }

  /** @param {string} id */
  #edit(id) {
    this.#startEditing(id);
    for (const field of this.#fields) {
      // The plus/minus of the last reading is not this one's.
      if (field.dataset.field !== "at") this.#put(`${field.dataset.field}.pm`, "");
    }
    this.#fill(this.#job?.get(KEY + id));
    this.#showErrors((this.#answer?.errors ?? []).filter((/** @type {FieldError} */ e) => e.id === id));
    this.#form?.scrollIntoView?.({ block: "start" });
    this.#control("gauge")?.focus();
  }

  #list() {
    const place = this.querySelector('[data-part="list"]');
    if (!place) return;
    const active = this.ownerDocument.activeElement;
    const action = active instanceof HTMLElement ? active.dataset.action : undefined;
    const id = active?.closest("[data-reading]")?.getAttribute("data-reading");
    const items = this.#readings()
      .reverse()
      .map((reading) => this.#item(reading));
    const opened = place.querySelector("details")?.hasAttribute("open");
    place.replaceChildren();
    const folds = items.length > MOST_IN_SIGHT;
    const shown = folds ? items.splice(0, MOST_IN_SIGHT - 1) : items.splice(0);
    if (shown.length > 0) place.append(listOf(shown));
    if (folds) {
      // The pictures come before what was read last week.
      const earlier = made("details", { class: "rl-earlier" });
      earlier.append(made("summary", {}, `Earlier readings (${items.length})`), listOf(items));
      if (opened || items.some((item) => item.querySelector(".lc-error"))) {
        earlier.setAttribute("open", "");
      }
      place.append(earlier);
    }
    if (id && action) this.#focusItem(id, action);
    this.#showUses();
  }

  /** @param {string} id @param {string} action */
  #focusItem(id, action) {
    const button = this.querySelector(`[data-reading="${id}"] [data-action="${action}"]`);
    if (button instanceof HTMLElement) button.focus();
  }

  /** @param {Reading & {id: string}} reading */
  #item(reading) {
    const item = made("li", { "data-reading": reading.id });
    const when = moment(text(reading.at));
    item.append(made("p", { class: "rl-when" }, when));
    item.append(made("p", { class: "rl-values" }, this.#values(reading)));
    if (reading.note) item.append(made("p", { class: "rl-remark" }, text(reading.note)));
    const note = this.#answer?.notes?.[reading.id];
    if (note) item.append(made("p", { class: note.off ? "rl-note rl-note-off" : "rl-note" }, note.text));
    for (const { id, field, message } of this.#answer?.errors ?? []) {
      if (id !== reading.id) continue;
      item.append(made("p", { class: "lc-error" }, `${this.#label(field)}: ${message}`));
    }
    const buttons = made("p", { class: "rl-buttons" });
    for (const [action, label] of [
      ["edit", "Change"],
      ["remove", "Remove"],
    ]) {
      buttons.append(
        made("button", { type: "button", "data-action": action, "aria-label": `${label}: ${when}` }, label),
      );
    }
    item.append(buttons);
    return item;
  }

  /** @param {string} name */
  #label(name) {
    const field = this.#form?.querySelector(`[data-field="${name}"]`);
    return field?.querySelector("label, legend")?.textContent?.trim() ?? name;
  }

  /** @param {Reading} reading @returns {string} */
  #values(reading) {
    const parts = [];
    for (const field of this.#fields) {
      const name = field.dataset.field ?? "";
      const entry = reading[name];
      if (name === "pump" && reading.pump) parts.push(`pump ${text(reading.pump)}`);
      if (!entry || typeof entry !== "object") continue;
      const option = [...(this.#control(`${name}.unit`)?.querySelectorAll("option") ?? [])].find(
        (one) => one.value === entry.unit,
      );
      const unit = option?.textContent ?? text(entry.unit);
      const shown = joinQuantity({ value: text(entry.value), unit, pm: text(entry.pm) });
      const folded = field.closest("details");
      parts.push(folded ? `${this.#label(name)} ${shown}` : shown);
    }
    return parts.join(", ");
  }

  /** The gauge and the water without their plus/minus. @param {Reading} reading */
  #brief(reading) {
    const [gauge, temperature] = ["gauge", "temperature"].map((name) => {
      const entry = reading[name];
      return entry && typeof entry === "object" ? { [name]: { ...entry, pm: "" } } : {};
    });
    return this.#values(/** @type {Reading} */ ({ at: "", pump: "", note: "", ...gauge, ...temperature }));
  }

  /** @param {Reading} reading */
  #words(reading) {
    return [moment(reading.at), this.#values(reading)].filter(Boolean).join(": ");
  }

  #onClick = (/** @type {Event} */ event) => {
    const button = event.target instanceof Element ? event.target.closest("[data-action]") : null;
    if (!(button instanceof HTMLElement)) return;
    const id = button.closest("[data-reading]")?.getAttribute("data-reading") ?? "";
    const actions = /** @type {Record<string, () => void>} */ ({
      now: () => {
        this.#follows = true;
        this.#tick();
        const field = button.closest("[data-field]");
        if (field) this.#clearError(field);
      },
      cancel: () => {
        const was = this.#editing;
        this.#blank();
        this.#forgetDraft();
        this.#focusItem(was, "edit");
      },
      edit: () => this.#edit(id),
      remove: () => this.#remove(id),
      undo: () => this.#undo(),
      retry: () => this.#ask(),
    });
    actions[button.dataset.action ?? ""]?.();
  };

  /** @param {string} id */
  #remove(id) {
    const key = KEY + id;
    const value = this.#job?.get(key);
    if (value === undefined) return;
    this.#removed = { key, value };
    if (this.#editing === id) {
      this.#blank();
      this.#forgetDraft();
    }
    this.#settle(this.#job?.remove(key));
    this.#list();
    this.#ask();
    this.#showUndo();
    const undo = this.querySelector('[data-action="undo"]');
    if (undo instanceof HTMLElement) undo.focus();
  }

  #undo() {
    const removed = this.#removed;
    if (!removed) return;
    this.#removed = null;
    this.#settle(this.#job?.set(removed.key, removed.value));
    this.#list();
    this.#ask();
    this.#showUndo();
    this.#focusItem(removed.key.slice(KEY.length), "remove");
  }

  /** @param {unknown} kept */
  #settle(kept) {
    Promise.resolve(kept).catch((error) => this.#say(`Not kept on this device yet: ${plain(error)}`));
  }

  #showUndo() {
    const place = this.querySelector(".rl-undo");
    if (!(place instanceof HTMLElement)) return;
    place.replaceChildren();
    place.hidden = !this.#removed;
    if (!this.#removed) return;
    const reading = /** @type {Reading} */ (this.#removed.value);
    place.append(made("span", {}, `Removed: ${moment(text(reading.at))}. `));
    place.append(made("button", { type: "button", "data-action": "undo" }, "Take it back"));
  }

  // ---- what the engine says

  #ask() {
    const job = this.#job;
    if (!job) return;
    const readings = this.#readings();
    const inputs = Object.fromEntries(
      job
        .keys(FACT)
        .map((key) => [key.slice(FACT.length), job.get(key)?.entry])
        .filter(([, entry]) => entry),
    );
    this.#asked += 1;
    if (readings.length === 0) {
      this.#answer = null;
      this.#show("");
      this.#tellEngine("");
      return;
    }
    const request = {
      op: "readings-view",
      readings,
      inputs,
      system: this.#system,
      pairs: this.#pairs,
    };
    void this.#answered(request, this.#asked);
  }

  /** @param {{op: string, system: string}} request @param {number} asked */
  async #answered(request, asked) {
    if (this.#engine.state !== "ready") this.#tellEngine(SAY.starting);
    try {
      const answer = await this.#engine.ask(request, { key: request.op });
      if (answer === null || asked !== this.#asked || !this.isConnected) return;
      this.#answer = answer;
      this.#tellEngine("");
      this.#show(answer.html);
      this.#list();
    } catch (error) {
      if (asked !== this.#asked || !this.isConnected) return;
      const reason = error instanceof EngineError ? error.message : `Something broke: ${plain(error)}`;
      this.#tellEngine(`${reason} The readings are kept. `, "Try again");
    }
  }

  /** @param {string} html */
  #show(html) {
    const place = this.querySelector('[data-part="view"]');
    if (!place) return;
    morph(place, html);
    for (const link of place.querySelectorAll("a[data-page]")) {
      const page = this.querySelector(
        `[data-part="pages"] a[data-page="${link.getAttribute("data-page")}"]`,
      );
      if (page) link.setAttribute("href", page.getAttribute("href") ?? "");
    }
  }

  /** @param {string} words @param {string} [offer] */
  #tellEngine(words, offer) {
    const place = this.querySelector(".rl-engine");
    if (!place || (place.textContent === words && !offer)) return;
    place.textContent = words;
    if (offer) place.append(made("button", { type: "button", "data-action": "retry" }, offer));
  }

  // ---- two readings for a calculator

  #showUses() {
    const uses = this.querySelector('[data-part="use"]');
    if (!(uses instanceof HTMLElement)) return;
    const readings = this.#readings();
    uses.hidden = readings.length < 2;
    for (const use of uses.querySelectorAll("[data-calculator]")) {
      const calculator = use.getAttribute("data-calculator") ?? "";
      const selects = [...use.querySelectorAll("select")];
      selects.forEach((select, number) => {
        const picked = this.#pairs[calculator]?.[number] ?? this.#answer?.picks?.[select.name] ?? "";
        select.replaceChildren(
          ...readings.map((reading) => {
            const words = [moment(text(reading.at)), this.#brief(reading)].filter(Boolean).join(": ");
            const option = /** @type {HTMLOptionElement} */ (made("option", { value: reading.id }, words));
            if (reading.id === picked) option.setAttribute("selected", "");
            return option;
          }),
        );
        if (readings.some((reading) => reading.id === picked)) select.value = picked;
        else select.value = (number === 0 ? readings[0] : readings.at(-1))?.id ?? "";
      });
      this.#showLink(use, this.#answer?.links?.[calculator]);
    }
  }

  /** @param {Element} use @param {{inputs: Record<string, string> | null, message: string} | undefined} link */
  #showLink(use, link) {
    const why = use.querySelector(".rl-why");
    if (why) why.textContent = link?.message ?? "";
    const anchor = use.querySelector("a[data-handover]");
    if (!anchor) return;
    const calculator = use.getAttribute("data-calculator") ?? "";
    anchor.setAttribute("data-home", anchor.getAttribute("data-home") ?? anchor.getAttribute("href") ?? "");
    if (!link?.inputs) {
      anchor.removeAttribute("href");
      anchor.setAttribute("aria-disabled", "true");
      return;
    }
    const page = (anchor.getAttribute("data-home") ?? "").split("#")[0];
    anchor.removeAttribute("aria-disabled");
    anchor.setAttribute(
      "href",
      page + writeHash({ calculator, system: this.#system, inputs: link.inputs }),
    );
  }

  #onChange = (/** @type {Event} */ event) => {
    const select = event.target;
    const use = select instanceof Element ? select.closest(".rl-use") : null;
    if (!use) return;
    const chosen = [...use.querySelectorAll("select")].map((one) => one.value);
    this.#pairs[use.getAttribute("data-calculator") ?? ""] = chosen;
    // What the old two would bring is not what is chosen now.
    this.#showLink(use, undefined);
    this.#ask();
  };

  // ---- small things

  /** @param {string} words */
  #say(words) {
    const place = this.querySelector(".lc-status");
    if (place && place.textContent !== words) place.textContent = words;
  }
}

/** @param {Element[]} items */
function listOf(items) {
  const list = made("ol", { class: "rl-items" });
  list.append(...items);
  return list;
}

/** @param {unknown} value @returns {string} */
function text(value) {
  return typeof value === "string" ? value : "";
}

/** @param {unknown} error */
function plain(error) {
  return error instanceof Error ? error.message : String(error);
}

/** @param {string} tag @param {Record<string, string>} attributes @param {string} [words] */
function made(tag, attributes, words = "") {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) element.setAttribute(name, value);
  if (words) element.textContent = words;
  return element;
}

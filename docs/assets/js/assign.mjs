// @ts-check
/**
 * A trainer sets work: pages, problems, drills and checklists in an order, handed out as a link, a
 * square code, a file, a sheet or a package.
 *
 * The engine says what can be set and whether it is sound; nothing here knows what a problem is.
 */
import { blank, Draft } from "./assign-draft.mjs";
import { Preset, presetWords } from "./assign-preset.mjs";
import { visitEngine } from "./engine.mjs";
import { button, el, field, focusKey, refill } from "./job-dom.mjs";
import { canShare, download, share } from "./job-files.mjs";
import { codeOf, LONGEST_LINK } from "./job-link.mjs";
import { counted, day } from "./job-words.mjs";
import { Pauses } from "./pauses.mjs";
import { Store } from "./store.mjs";
import {
  fragment,
  freshSeed,
  input,
  messageOf,
  plain,
  printPart,
  radios,
  select,
  SYSTEMS,
  trainingName,
  trainingText,
  whole,
} from "./trainer-parts.mjs";
import { workLink, workOf, workText } from "./work-link.mjs";

/** @typedef {import("./assign-draft.mjs").Item} Item */
/** @typedef {import("./assign-draft.mjs").Assignment} Assignment */
/** @typedef {{id: string, title: string}} Titled */
/** @typedef {{id: string, title: string, phase: string, calculators: Titled[]}} Place */
/** @typedef {{text: string, link: string, notes: string[]}} Made */

const PAUSE = 500;
const ENDING = ".assignment.json";
const CODE_WORDS = "Square code with the link to this assignment, to be read by a camera";

export class AssignWork extends HTMLElement {
  /** Who answers; tests put their own here. @type {() => any} */
  static engine = visitEngine;

  #engine = AssignWork.engine();
  #store = new Store();
  #draft = new Draft(undefined, this.#store.preferredSystem() ?? "si");
  #pauses = new Pauses();
  /** @type {AbortController | null} */ #listening = null;
  /** @type {any} */ #options = null;
  /** @type {Made | null} what can go out */ #made = null;
  /** @type {Preset | null} */ #preset = null;
  #presetAt = -1;
  #checked = 0;
  #troubleAt = 0;

  #about = el("form", { class: "jb-form" });
  #items = el("ol", { class: "tw-items" });
  #undo = el("div", { class: "tw-undo" });
  #adding = el("div", { class: "tw-adding" });
  #sum = el("p", { class: "tw-sum" });
  #trouble = el("div", { class: "tw-trouble", role: "alert" });
  #out = el("div", { class: "tw-out" });
  #code = el("div", { class: "jb-codes" });
  #sheet = el("div", { class: "tw-print tw-paper", "data-part": "sheet" });
  #said = el("p", { class: "jb-said tw-said", role: "status" });
  #openSaid = el("div", { class: "tw-open-said", role: "status" });

  connectedCallback() {
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    this.classList.add("jb", "tw");
    this.#drawAbout();
    this.replaceChildren(
      section("tw-what", "1. What it is", this.#about),
      section(
        "tw-todo",
        "2. What is to be done",
        el("p", { class: "jb-help" }, "The trainee goes through it in this order."),
        this.#items,
        this.#undo,
        this.#adding,
      ),
      section("tw-hand", "3. Hand it out", this.#sum, this.#trouble, this.#out, this.#code, this.#said),
      this.#sheet,
      this.#drawOpen(),
    );
    this.addEventListener("click", this.#onClick, { signal });
    this.addEventListener("input", this.#onInput, { signal });
    this.addEventListener("change", this.#onChange, { signal });
    this.addEventListener("submit", (event) => event.preventDefault(), { signal });
    addEventListener("hashchange", () => void this.#fromAddress(), { signal });
    this.#drawItems();
    void this.#begin();
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
    this.#pauses.clear();
    this.#checked += 1;
  }

  get #task() {
    return this.#draft.assignment;
  }

  async #begin() {
    refill(this.#adding, [el("p", { role: "status" }, "Starting the calculator. Then you can add pages, problems and drills…")]);
    try {
      const options = await this.#engine.ask({ op: "course-options" });
      if (!this.#listening) return;
      if (!Array.isArray(options?.pages)) throw new Error(messageOf(options));
      this.#options = options;
    } catch (error) {
      if (!this.#listening) return;
      refill(this.#adding, [
        el("p", { class: "jb-note" }, `Nothing can be added yet. ${plain(error)}`, button("again", "Try again")),
      ]);
      return;
    }
    this.dataset.state = "ready";
    this.#drawAdding();
    this.#drawItems();
    this.#changed();
    await this.#fromAddress();
  }

  // ---- what it is

  #drawAbout() {
    const task = this.#task;
    const title = input("title", { maxlength: "200" });
    const note = /** @type {HTMLTextAreaElement} */ (el("textarea", { name: "note", rows: "3", maxlength: "2000" }));
    const due = input("due", { type: "date" });
    const pass = input("pass", { inputmode: "numeric" });
    const seed = input("seed", { inputmode: "numeric" });
    refill(this.#about, [
      wide(field("tw-title", "Title", title)),
      wide(field("tw-note", "Note to the trainees (may stay empty)", note)),
      field("tw-due", "Due (may stay empty)", due),
      field("tw-pass", "Points needed to pass, of 100", pass),
      radios("system", "Units", SYSTEMS, task.system),
      radios("same", "Problems and drills", [
        { id: "own", title: "Other numbers for each name" },
        { id: "same", title: "The same for everybody" },
      ], task.same ? "same" : "own"),
      radios("counts", "Of several tries", [
        { id: "first", title: "The first one counts" },
        { id: "last", title: "The last one counts" },
      ], task.counts),
      el(
        "div",
        { class: "tw-row" },
        field("tw-seed", "Seed", seed, "The same seed gives the same problems again."),
        button("fresh-seed", "Another seed", { class: "tw-low" }),
      ),
      el("p", { class: "tw-problem jb-wide", "data-error": "about", hidden: true }),
    ]);
    this.#fillAbout();
  }

  #fillAbout() {
    const task = this.#task;
    for (const name of /** @type {const} */ (["title", "note", "due", "pass", "seed"])) {
      const control = this.#about.querySelector(`[name="${name}"]`);
      if (control) /** @type {HTMLInputElement} */ (control).value = String(task[name]);
    }
    setChoice(this.#about, "system", task.system);
    setChoice(this.#about, "same", task.same ? "same" : "own");
    setChoice(this.#about, "counts", task.counts);
  }

  // ---- what is to be done

  /** @param {Item} item @returns {string} */
  #words(item) {
    const { pages = [], checklists = [], families = [], drills = [] } = this.#options ?? {};
    const title = (/** @type {Titled[]} */ list, /** @type {string | undefined} */ id) =>
      list.find((each) => each.id === id)?.title ?? id ?? "";
    if (item.kind === "page") return `Read “${title(pages, item.page)}”`;
    if (item.kind === "checklist") return `Tick the steps of “${title(checklists, item.page)}”`;
    if (item.kind === "drill") return `Find the fault: ${title(drills, item.drill)}`;
    const family = families.find((/** @type {Titled} */ each) => each.id === item.family);
    const level = title(family?.levels ?? [], item.level);
    return `${counted(item.count ?? 1, "problem", "problems")}: ${family?.title ?? item.family}, ${level}`;
  }

  #drawItems() {
    const { items } = this.#task;
    refill(this.#items, items.map((item, at) => this.#drawItem(item, at, items.length)));
    this.#items.hidden = items.length === 0;
    const { removed } = this.#draft;
    refill(this.#undo, [
      items.length === 0 && !removed && el("p", { class: "jb-empty" }, "Nothing yet. Add the first thing below."),
      removed &&
        el(
          "p",
          { class: "jb-note" },
          `Removed: ${this.#words(removed.item)}`,
          button("undo", "Bring it back", { "data-key": "undo" }),
        ),
    ]);
  }

  /** @param {Item} item @param {number} at @param {number} of */
  #drawItem(item, at, of) {
    const place = this.#options?.pages.find((/** @type {Place} */ each) => each.id === item.page);
    const mayPreset = item.kind === "page" && place?.calculators.length > 0;
    const words = this.#words(item);
    const press = (/** @type {string} */ action, /** @type {string} */ text, /** @type {boolean} */ off = false) =>
      button(action, text, {
        "data-at": String(at),
        "data-key": `${action}-${at}`,
        "aria-label": `${text}: ${at + 1}. ${words}`,
        disabled: off,
      });
    return el(
      "li",
      { class: "tw-item", "data-kind": item.kind, "data-trouble": this.#troubleAt === at + 1 },
      el("span", { class: "tw-number", "aria-hidden": "true" }, String(at + 1)),
      el(
        "div",
        { class: "tw-item-words" },
        el("p", {}, el("b", {}, words)),
        item.inputs && el("p", { class: "jb-help" }, `Numbers set: ${presetWords(item.inputs)}.`),
        item.kind === "drill" && item.seed !== undefined && el("p", { class: "jb-help" }, `Room number ${item.seed}, for everybody.`),
      ),
      el(
        "div",
        { class: "tw-item-buttons" },
        press("up", "Up", at === 0),
        press("down", "Down", at === of - 1),
        mayPreset && press("preset", item.inputs ? "Numbers…" : "Set numbers…"),
        press("remove", "Remove"),
      ),
      this.#presetAt === at && this.#preset && this.#preset.element,
    );
  }

  #drawAdding() {
    const { pages, checklists, families, drills } = this.#options;
    /** @type {Map<string, Place[]>} */
    const phases = new Map();
    for (const page of /** @type {Place[]} */ (pages)) {
      phases.set(page.phase, [...(phases.get(page.phase) ?? []), page]);
    }
    const pageSelect = el(
      "select",
      { name: "add-page" },
      ...[...phases].map(([phase, list]) =>
        el("optgroup", { label: phase }, ...list.map(({ id, title }) => el("option", { value: id, selected: id === pages[0].id }, title))),
      ),
    );
    const family = select("add-family", families, families[0]?.id ?? "");
    const level = el("select", { name: "add-level" });
    const count = input("add-count", { inputmode: "numeric", value: "3" });
    const drillSeed = input("add-drill-seed", { inputmode: "numeric" });
    refill(this.#adding, [
      el("h3", {}, "Add"),
      adder("A page to read", [field("tw-add-page", "Page", pageSelect)], "add-page", "Add the page"),
      families.length > 0 &&
        adder(
          "Problems to work out",
          [field("tw-add-family", "Kind", family), field("tw-add-level", "Level", level), field("tw-add-count", "How many", count)],
          "add-problems",
          "Add the problems",
        ),
      drills.length > 0 &&
        adder(
          "A fault to find",
          [field("tw-add-drill", "Drill", select("add-drill", drills, drills[0].id)),
            field("tw-add-drill-seed", "Room number (may stay empty)", drillSeed, "Empty: the seed above gives it.")],
          "add-drill",
          "Add the drill",
        ),
      adder("Steps to tick on the job", [field("tw-add-list", "Checklist", select("add-checklist", checklists, checklists[0]?.id ?? ""))], "add-checklist", "Add the checklist"),
      el("p", { class: "tw-problem", "data-error": "adding", role: "status" }),
    ]);
    this.#drawLevels();
  }

  #drawLevels() {
    const family = this.#value("add-family");
    const found = this.#options.families.find((/** @type {Titled} */ each) => each.id === family);
    const level = this.querySelector('[name="add-level"]');
    if (!level) return;
    level.replaceChildren(
      .../** @type {Titled[]} */ (found?.levels ?? []).map(({ id, title }, at) =>
        el("option", { value: id, selected: at === 0 }, title),
      ),
    );
  }

  /** @param {string} name */
  #value(name) {
    const control = this.querySelector(`[name="${name}"]`);
    return control ? /** @type {HTMLInputElement} */ (control).value : "";
  }

  /** @param {string} where @param {string} words */
  #problem(where, words) {
    const place = this.querySelector(`[data-error="${where}"]`);
    if (!place) return;
    place.textContent = words;
    place.toggleAttribute("hidden", words === "");
  }

  /** @param {Item} item */
  #add(item) {
    const { limits } = this.#options;
    const { items } = this.#task;
    if (items.length >= limits.items) {
      this.#problem("adding", `An assignment has at most ${limits.items} items. Make a second one.`);
      return;
    }
    this.#problem("adding", "");
    this.#draft.removed = null;
    this.#draft.add(item);
    this.#drawItems();
    this.#changed();
    this.#tell(`Added as number ${items.length}: ${this.#words(item)}.`);
  }

  // ---- events

  #onInput = (/** @type {Event} */ event) => {
    const { target } = event;
    if (!(target instanceof HTMLElement) || !this.#about.contains(target)) return;
    this.#readAbout();
  };

  #onChange = (/** @type {Event} */ event) => {
    const { target } = event;
    if (!(target instanceof HTMLElement)) return;
    if (target.getAttribute("type") === "file") {
      void this.#openFile(/** @type {HTMLInputElement} */ (target));
    } else if (this.#about.contains(target)) this.#readAbout();
    else if (target.getAttribute("name") === "add-family") this.#drawLevels();
  };

  #readAbout() {
    const pass = whole(this.#value("pass"), 0, 100);
    const seed = whole(this.#value("seed"), 0, Number.MAX_SAFE_INTEGER);
    const wrong = [
      pass === null && "Points needed to pass: a whole number from 0 to 100.",
      seed === null && "Seed: a whole number, with at most 16 figures.",
    ].filter(Boolean);
    this.#problem("about", wrong.join(" "));
    const chosen = (/** @type {string} */ name) =>
      this.#about.querySelector(`input[name="${name}"]:checked`)?.getAttribute("value") ?? "";
    const kept = this.#draft.set({
      title: this.#value("title"),
      note: this.#value("note"),
      due: this.#value("due"),
      system: chosen("system") === "us" ? "us" : "si",
      same: chosen("same") === "same",
      counts: chosen("counts") === "last" ? "last" : "first",
      ...(pass === null ? {} : { pass }),
      ...(seed === null ? {} : { seed }),
    });
    if (!kept) this.#tell("This browser does not keep the draft. Save it as a file before you leave.");
    this.#changed();
  }

  #onClick = (/** @type {Event} */ event) => {
    const pressed = event.target instanceof Element ? event.target.closest("[data-action]") : null;
    if (!(pressed instanceof HTMLElement)) return;
    const at = Number(pressed.dataset.at ?? -1);
    this.#actions[pressed.dataset.action ?? ""]?.(at, pressed);
  };

  #actions = /** @type {Record<string, (at: number, pressed: HTMLElement) => void>} */ ({
    again: () => void this.#begin(),
    "fresh-seed": () => {
      this.#draft.set({ seed: freshSeed() });
      this.#fillAbout();
      this.#changed();
    },
    "add-page": () => this.#add({ kind: "page", page: this.#value("add-page") }),
    "add-checklist": () => this.#add({ kind: "checklist", page: this.#value("add-checklist") }),
    "add-problems": () => this.#addProblems(),
    "add-drill": () => this.#addDrill(),
    up: (at) => this.#move(at, -1),
    down: (at) => this.#move(at, 1),
    remove: (at) => this.#remove(at),
    undo: () => this.#undoRemove(),
    preset: (at) => this.#openPreset(at),
    "copy-link": () => void this.#copy(),
    code: () => void this.#showCode(),
    "hide-code": () => this.#hideCode(),
    file: () => this.#saveFile(),
    share: () => void this.#share(),
    sheet: () => void this.#makeSheet(),
    package: (_at, pressed) => void this.#package(pressed),
    "open-link": () => void this.#openLink(this.#value("open-link")),
    fresh: () => this.#fresh(),
    renew: () => {
      this.#draft.renew();
      this.#fillAbout();
      this.#changed();
      this.#openTell("This is an assignment of its own now, with another number and another seed.");
    },
    "take-offered": () => this.#takeOffered(),
    "leave-offered": () => {
      this.#offered = null;
      this.#openTell("Left alone. Your draft is as it was.");
    },
    "bring-back": () => {
      if (this.#former) this.#show(this.#former, "Your former draft is back.");
      this.#former = null;
    },
  });

  #addProblems() {
    const most = this.#options.limits.count;
    const count = whole(this.#value("add-count"), 1, most);
    if (count === null) {
      this.#problem("adding", `How many problems: a whole number from 1 to ${most}.`);
      return;
    }
    this.#add({ kind: "problems", family: this.#value("add-family"), level: this.#value("add-level"), count });
  }

  #addDrill() {
    const text = this.#value("add-drill-seed").trim();
    const seed = text === "" ? undefined : whole(text, 0, Number.MAX_SAFE_INTEGER);
    if (seed === null) {
      this.#problem("adding", "Room number: a whole number, or leave it empty.");
      return;
    }
    this.#add({ kind: "drill", drill: this.#value("add-drill"), ...(seed === undefined ? {} : { seed }) });
  }

  /** @param {number} at @param {-1 | 1} by */
  #move(at, by) {
    this.#closePreset();
    if (!this.#draft.move(at, by)) return;
    const to = at + by;
    this.#drawItems();
    this.#changed();
    // At the end of the list the button rests, and its neighbour takes the focus.
    const last = this.#task.items.length - 1;
    const action = by < 0 ? (to === 0 ? "down" : "up") : to === last ? "up" : "down";
    focusKey(this.#items, `${action}-${to}`);
    this.#tell(`Now number ${to + 1}: ${this.#words(this.#task.items[to])}.`);
  }

  /** @param {number} at */
  #remove(at) {
    this.#closePreset();
    this.#draft.remove(at);
    this.#drawItems();
    this.#changed();
    focusKey(this.#undo, "undo");
  }

  #undoRemove() {
    const at = this.#draft.undo();
    this.#drawItems();
    this.#changed();
    if (at >= 0) focusKey(this.#items, `remove-${at}`);
  }

  // ---- numbers set on a page

  /** @param {number} at */
  #openPreset(at) {
    const item = this.#task.items[at];
    const place = this.#options.pages.find((/** @type {Place} */ each) => each.id === item?.page);
    if (!place) return;
    if (this.#presetAt === at) {
      this.#closePreset();
      this.#drawItems();
      focusKey(this.#items, `preset-${at}`);
      return;
    }
    this.#presetAt = at;
    this.#preset = new Preset({
      calculators: place.calculators,
      system: this.#task.system,
      inputs: item.inputs,
      ask: (request) => this.#engine.ask(request),
      onSet: (inputs, words) => {
        if (inputs) item.inputs = inputs;
        else delete item.inputs;
        this.#closePreset();
        this.#draft.keep();
        this.#drawItems();
        this.#changed();
        focusKey(this.#items, `preset-${at}`);
        if (words) this.#tell(words);
      },
    });
    this.#drawItems();
    void this.#preset.begin();
  }

  #closePreset() {
    this.#preset = null;
    this.#presetAt = -1;
  }

  // ---- what goes out

  #changed() {
    this.#made = null;
    this.#code.replaceChildren();
    this.#sheet.replaceChildren();
    this.#drawSum();
    this.#drawOut();
    this.#pauses.after("check", PAUSE, () => void this.#check());
  }

  #drawSum() {
    const { items, same, due, pass } = this.#task;
    const problems = items.reduce((sum, item) => sum + (item.kind === "problems" ? (item.count ?? 0) : 0), 0);
    const of = (/** @type {string} */ kind) => items.filter((item) => item.kind === kind).length;
    const parts = [
      of("page") && counted(of("page"), "page", "pages"),
      problems && counted(problems, "problem", "problems"),
      of("drill") && counted(of("drill"), "drill", "drills"),
      of("checklist") && counted(of("checklist"), "checklist", "checklists"),
    ].filter(Boolean);
    this.#sum.textContent =
      parts.length === 0
        ? "Nothing is set yet."
        : `${parts.join(", ")}. ${same ? "The same numbers for everybody." : "Other numbers for each name."} ` +
          `${due ? `Due ${day(`${due}T00:00`)}. ` : ""}To pass: ${pass} of 100.`;
  }

  /** Ask the engine whether it can go out as it is. */
  async #check() {
    this.#checked += 1;
    const mine = this.#checked;
    const task = structuredClone(this.#task);
    const missing = [
      task.title.trim() === "" && "a title",
      task.items.length === 0 && "at least one thing to do",
    ].filter(Boolean);
    this.#troubleAt = 0;
    if (missing.length > 0 || !this.#options) {
      this.#trouble.replaceChildren();
      return;
    }
    try {
      const answer = await this.#engine.ask({ op: "course-write", assignment: task }, { key: "assign" });
      if (mine !== this.#checked || answer === null) return;
      if (typeof answer?.text !== "string") {
        this.#refuse(messageOf(answer), answer?.errors?.[0]?.field ?? "");
        return;
      }
      const link = await workLink(answer.text);
      if (mine !== this.#checked) return;
      this.#made = { text: answer.text, link, notes: answer.notes ?? [] };
      refill(this.#trouble, this.#made.notes.map((note) => el("p", { class: "jb-note" }, note)));
    } catch (error) {
      if (mine !== this.#checked) return;
      this.#refuse(plain(error), "");
    }
    this.#drawOut();
  }

  /** @param {string} message @param {string} part such as `items.2.count`, counted from 1 */
  #refuse(message, part) {
    refill(this.#trouble, [el("p", { class: "jb-note" }, message)]);
    this.#troubleAt = Number(/^items\.(\d+)/.exec(part)?.[1] ?? 0);
    if (this.#troubleAt) this.#drawItems();
    this.#made = null;
    this.#drawOut();
  }

  #drawOut() {
    const made = this.#made;
    this.dataset.made = String(Boolean(made));
    const { title, items } = this.#task;
    const missing = [!title.trim() && "a title", items.length === 0 && "at least one thing to do"].filter(Boolean);
    if (!made) {
      refill(this.#out, [
        missing.length > 0 && el("p", { class: "jb-help" }, `Still missing: ${missing.join(", ")}.`),
      ]);
      return;
    }
    const link = input("link", { readonly: "", "data-key": "link" });
    link.setAttribute("value", made.link);
    refill(this.#out, [
      el(
        "div",
        { class: "tw-row" },
        field("tw-link", "Link for the trainees", link),
        button("copy-link", "Copy the link", { class: "jb-main", "data-key": "copy" }),
      ),
      el(
        "div",
        { class: "jb-buttons" },
        el("a", { class: "jb-link", href: made.link, target: "_blank", rel: "noopener" }, "Try it as a trainee"),
        button("code", "Show as a code", { "data-key": "code" }),
        button("sheet", "Print the sheet", { "data-key": "sheet" }),
        button("file", "Save as a file", { "data-key": "file" }),
        canShare() && button("share", "Pass the file on", { "data-key": "share" }),
        button("package", "Package for a learning platform (SCORM 1.2)", { "data-key": "package" }),
      ),
      el(
        "p",
        { class: "jb-help" },
        "The link holds the whole assignment; it is on no server. Whoever has it can read and change it: " +
          "keep your own file, and take results in together with it.",
      ),
    ]);
  }

  /** @param {string} words */
  #tell(words) {
    this.#said.textContent = words;
  }

  async #copy() {
    if (!this.#made) return;
    try {
      await navigator.clipboard.writeText(this.#made.link);
      this.#tell("The link is copied. Send it to your trainees.");
    } catch {
      const link = this.querySelector('[name="link"]');
      if (link) /** @type {HTMLInputElement} */ (link).select();
      this.#tell("This browser did not copy the link. It is marked: copy it by hand.");
    }
  }

  /** @param {string} link @returns {Promise<SVGElement | null>} */
  async #drawn(link) {
    if (link.length > LONGEST_LINK) return null;
    const { encode } = await import("../vendor/uqr.mjs");
    const code = codeOf(link, encode);
    code.setAttribute("aria-label", CODE_WORDS);
    return code;
  }

  async #showCode() {
    const made = this.#made;
    if (!made) return;
    const code = await this.#drawn(made.link).catch(() => null);
    if (made !== this.#made) return;
    if (!code) {
      this.#tell(
        `Too much for a code: the link has ${made.link.length} characters, and a code of more than ` +
          `${LONGEST_LINK} is not read off a screen. Use the link or the file.`,
      );
      return;
    }
    code.setAttribute("tabindex", "-1");
    refill(this.#code, [
      code,
      el("p", { class: "jb-help" }, "Show it on the wall or on this screen. The trainees hold their cameras over it and open the link."),
      el("div", { class: "jb-buttons" }, button("hide-code", "Put the code away")),
    ]);
    code.focus();
    code.scrollIntoView?.({ block: "center" });
    this.#tell("The code is shown.");
  }

  #hideCode() {
    this.#code.replaceChildren();
    focusKey(this.#out, "code");
    this.#tell("");
  }

  /** @returns {File | null} */
  #file() {
    if (!this.#made) return null;
    const name = trainingName(this.#task.title, ENDING);
    return new File([this.#made.text], name, { type: "application/json" });
  }

  #saveFile() {
    const file = this.#file();
    if (!file) return;
    download(file);
    this.#tell(`Saved as ${file.name}. Look for it under the downloads of this browser.`);
  }

  async #share() {
    const file = this.#file();
    if (!file) return;
    const end = await share(file);
    if (end === "shared") this.#tell("Passed on.");
    else if (end === "stopped") this.#tell("Not passed on.");
    else this.#tell("This device does not pass such a file on. Save it, and send it from there.");
  }

  async #makeSheet() {
    const made = this.#made;
    if (!made) return;
    this.#tell("Making the sheet…");
    try {
      const answer = await this.#engine.ask({ op: "course-sheet", assignment: structuredClone(this.#task) });
      if (made !== this.#made) return;
      if (typeof answer?.html !== "string") throw new Error(messageOf(answer));
      this.#sheet.replaceChildren(fragment(answer.html));
      const place = this.#sheet.querySelector('[data-part="code"]');
      const code = await this.#drawn(made.link).catch(() => null);
      if (made !== this.#made) return;
      if (place && code) {
        place.append(code, el("p", { class: "tw-code-words" }, "Hold a camera over it and open the link."));
      } else if (place) {
        place.append(el("p", { class: "tw-code-words" }, "This assignment is too much for a code. Your trainer gives you the link or the file."));
      }
      this.#tell("The sheet stands below.");
      printPart(this, "sheet");
    } catch (error) {
      this.#tell(plain(error));
    }
  }

  /** @param {HTMLElement} pressed */
  async #package(pressed) {
    const made = this.#made;
    if (!made) return;
    pressed.setAttribute("disabled", "");
    this.#tell("Making the package…");
    try {
      const { packageOf } = await import("./scorm-package.mjs");
      const { title, pass } = this.#task;
      const onProgress = (/** @type {{done: number, total: number}} */ { done, total }) =>
        this.#tell(`Making the package: ${done} of ${total} files…`);
      const done = await packageOf({ text: made.text, title, pass, onProgress });
      const name = trainingName(title, ".scorm.zip");
      const file = done instanceof File ? done : new File([done], name, { type: "application/zip" });
      download(file);
      this.#tell(`Saved as ${file.name}. Upload it to your learning platform as a SCORM 1.2 package.`);
    } catch (error) {
      this.#tell(`The package could not be made. ${plain(error)}`);
    } finally {
      pressed.removeAttribute("disabled");
    }
  }

  // ---- what comes in

  /** @type {Assignment | null} */ #offered = null;
  /** @type {Assignment | null} */ #former = null;

  #drawOpen() {
    return section(
      "tw-open",
      "Change one you have, or begin another",
      el("p", { class: "jb-help" }, "Your draft is kept in this browser, on this device. Save it as a file if you want to have it for longer."),
      el(
        "div",
        { class: "tw-row" },
        field("tw-open-link", "Link of an assignment", input("open-link", { inputmode: "url" })),
        button("open-link", "Open the link", { class: "tw-low" }),
      ),
      el(
        "div",
        { class: "jb-buttons" },
        el("label", { class: "jb-file", for: "tw-open-file" }, "Open a file", el("input", { type: "file", id: "tw-open-file" })),
        button("renew", "Make this one a new one"),
        button("fresh", "Begin an empty one"),
      ),
      this.#openSaid,
    );
  }

  /** @param {...(Node | string)} words */
  #openTell(...words) {
    refill(this.#openSaid, words.length ? [el("div", { class: "jb-note" }, ...words)] : []);
  }

  async #fromAddress() {
    if (workOf(location.hash) === null) return;
    const address = location.hash;
    // A page that is loaded again must not ask again.
    history.replaceState(history.state, "", location.pathname + location.search);
    await this.#openLink(address);
  }

  /** @param {string} address */
  async #openLink(address) {
    try {
      await this.#offer(await workText(address));
    } catch (error) {
      this.#openTell(plain(error));
    }
  }

  /** @param {HTMLInputElement} chooser */
  async #openFile(chooser) {
    const file = chooser.files?.[0];
    if (!file) return;
    try {
      const text = await trainingText(file, ENDING);
      chooser.value = "";
      await this.#offer(text);
    } catch (error) {
      chooser.value = "";
      this.#openTell(plain(error));
    }
  }

  /** @param {string} text of an assignment's file */
  async #offer(text) {
    const answer = await this.#engine.ask({ op: "course-read", text });
    if (!answer?.assignment) throw new Error(messageOf(answer));
    this.#offered = answer.assignment;
    if (this.#draft.isEmpty) {
      this.#takeOffered();
      return;
    }
    this.#openTell(
      el("span", {}, `Open “${answer.assignment.title}” in place of the draft on this page?`),
      button("take-offered", "Open it", { class: "jb-main", "data-key": "take" }),
      button("leave-offered", "Leave it"),
    );
    focusKey(this.#openSaid, "take");
  }

  #takeOffered() {
    const offered = this.#offered;
    if (!offered) return;
    this.#former = this.#draft.isEmpty ? null : this.#task;
    this.#offered = null;
    this.#show(offered, `Open: ${offered.title}. Work that was handed in on it still counts as long as you change no item and no seed.`);
  }

  #fresh() {
    this.#former = this.#draft.isEmpty ? null : this.#task;
    this.#show(blank(this.#task.system), "An empty assignment.");
  }

  /** @param {Assignment} assignment @param {string} words */
  #show(assignment, words) {
    this.#closePreset();
    this.#draft.replace(assignment);
    this.#fillAbout();
    this.#drawItems();
    this.#changed();
    this.#openTell(
      el("span", {}, words),
      ...(this.#former && this.#former !== assignment
        ? [button("bring-back", "Bring my former draft back", { "data-key": "former" })]
        : []),
    );
  }
}

/** @param {string} id @param {string} title @param {...(Node | string)} children */
function section(id, title, ...children) {
  return el("section", { class: "jb-part tw-part", "aria-labelledby": id }, el("h2", { id }, title), ...children);
}

/** @param {string} legend @param {HTMLElement[]} fields @param {string} action @param {string} words */
function adder(legend, fields, action, words) {
  return el(
    "fieldset",
    { class: "tw-adder" },
    el("legend", {}, legend),
    el("div", { class: "tw-fields" }, ...fields),
    button(action, words),
  );
}

/** @param {HTMLElement} element */
function wide(element) {
  element.classList.add("jb-wide");
  return element;
}

/** @param {Element} root @param {string} name @param {string} value */
function setChoice(root, name, value) {
  for (const radio of root.querySelectorAll(`input[name="${name}"]`)) {
    /** @type {HTMLInputElement} */ (radio).checked = radio.getAttribute("value") === value;
  }
}

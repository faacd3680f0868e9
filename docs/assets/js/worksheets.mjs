// @ts-check
/**
 * Printed problem sheets from one seed, and their key. The engine writes one sheet a request, so
 * that a long stack can be stopped and never runs into the engine's limit.
 */
import { visitEngine } from "./engine.mjs";
import { button, el, field, focusKey, refill } from "./job-dom.mjs";
import { counted } from "./job-words.mjs";
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
  whole,
} from "./trainer-parts.mjs";

/** @typedef {{id: string, title: string}} Titled */
/** @typedef {{family: string, level: string, count: number}} Row */
/**
 * @typedef {object} Settings
 * @property {string} title
 * @property {Row[]} rows
 * @property {number} seed
 * @property {number} sheets
 * @property {boolean} same
 * @property {string} system
 */

const KEPT = "handbook.worksheets.1";
export const MOST_SHEETS = 40;
export const MOST_PROBLEMS = 12;
const MOST_ROWS = 12;
const MOST_SEED = Number.MAX_SAFE_INTEGER;
const LONGEST_TITLE = 120;
const WORD = /^[a-z][a-z0-9-]{0,63}$/;
const HASH = /^#sheets\?(.*)$/s;

/**
 * Return what an address asks for, so that the same sheets can be made again anywhere.
 *
 * @param {string} hash
 * @returns {Settings | null}
 */
export function settingsOf(hash) {
  const found = HASH.exec(hash)?.[1];
  if (found === undefined) return null;
  const asked = new URLSearchParams(found);
  const rows = (asked.get("set") ?? "").split(",").map((text) => {
    const [family, level, count] = text.split(".");
    return { family, level, count: Number(count) };
  });
  return soundSettings({
    title: asked.get("title") ?? "",
    rows,
    seed: Number(asked.get("seed") || Number.NaN),
    sheets: Number(asked.get("sheets")),
    same: asked.get("same") === "1",
    system: asked.get("system"),
  });
}

/** @param {Settings} settings @returns {string} */
export function hashOf({ title, rows, seed, sheets, same, system }) {
  const asked = new URLSearchParams({
    set: rows.map(({ family, level, count }) => `${family}.${level}.${count}`).join(","),
    seed: String(seed),
    sheets: String(sheets),
    same: same ? "1" : "0",
    system,
    ...(title.trim() ? { title } : {}),
  });
  return `#sheets?${asked}`;
}

/** @param {any} found @returns {Settings | null} */
export function soundSettings(found) {
  if (typeof found !== "object" || found === null || !Array.isArray(found.rows)) return null;
  const rows = found.rows
    .filter(
      (/** @type {any} */ row) =>
        WORD.test(row?.family) &&
        WORD.test(row?.level) &&
        Number.isInteger(row.count) &&
        row.count >= 1 &&
        row.count <= MOST_PROBLEMS,
    )
    .slice(0, MOST_ROWS);
  if (rows.length === 0) return null;
  const { title, seed, sheets, same, system } = found;
  return {
    title: typeof title === "string" ? title.slice(0, LONGEST_TITLE) : "",
    rows,
    seed: Number.isSafeInteger(seed) && seed >= 0 ? seed : freshSeed(),
    sheets: Number.isInteger(sheets) && sheets >= 1 && sheets <= MOST_SHEETS ? sheets : 1,
    same: same === true,
    system: system === "us" ? "us" : "si",
  };
}

export class WorkSheets extends HTMLElement {
  /** Who answers; tests put their own here. @type {() => any} */
  static engine = visitEngine;

  #engine = WorkSheets.engine();
  #store = new Store();
  /** @type {{id: string, title: string, levels: Titled[]}[]} */ #families = [];
  /** @type {Settings} */ #settings = {
    title: "",
    rows: [],
    seed: freshSeed(),
    sheets: 30,
    same: false,
    system: this.#store.preferredSystem() ?? "si",
  };
  /** @type {AbortController | null} */ #listening = null;
  #making = 0;

  #form = el("form", { class: "jb-form" });
  #rows = el("div", { class: "tw-rows" });
  #problem = el("p", { class: "tw-problem", role: "alert" });
  #make = el("div", { class: "jb-buttons" });
  #progress = /** @type {HTMLProgressElement} */ (el("progress", { hidden: true, "aria-label": "Sheets made" }));
  #said = el("p", { class: "jb-said tw-said", role: "status" });
  #print = el("div", { class: "jb-buttons", hidden: true });
  #sheets = el("div", { class: "tw-print tw-sheets", "data-part": "sheets" });
  #keys = el("div", { class: "tw-print tw-keys", "data-part": "keys" });
  #done = { sheets: 0, keys: 0 };

  connectedCallback() {
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    this.classList.add("jb", "tw");
    this.#settings = settingsOf(location.hash) ?? this.#kept() ?? this.#settings;
    this.replaceChildren(
      el(
        "section",
        { class: "jb-part tw-part", "aria-labelledby": "tw-sheets-what" },
        el("h2", { id: "tw-sheets-what" }, "What is on a sheet"),
        this.#rows,
        this.#form,
        this.#problem,
        this.#make,
        this.#progress,
        this.#said,
        this.#print,
      ),
      this.#sheets,
      this.#keys,
    );
    this.addEventListener("click", this.#onClick, { signal });
    this.addEventListener("input", this.#onInput, { signal });
    this.addEventListener("change", this.#onInput, { signal });
    this.addEventListener("submit", (event) => event.preventDefault(), { signal });
    void this.#begin();
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
    this.#making += 1;
  }

  #kept() {
    try {
      return soundSettings(JSON.parse(globalThis.localStorage.getItem(KEPT) ?? "null"));
    } catch {
      return null;
    }
  }

  #keep() {
    try {
      globalThis.localStorage.setItem(KEPT, JSON.stringify(this.#settings));
    } catch {
      // The settings hold for this page, which is all that a locked storage allows.
    }
  }

  async #begin() {
    this.#tell("Starting the calculator…");
    try {
      const answer = await this.#engine.ask({ op: "problem-list" });
      if (!this.#listening) return;
      if (!Array.isArray(answer?.families) || answer.families.length === 0) throw new Error(messageOf(answer));
      this.#families = answer.families;
    } catch (error) {
      if (!this.#listening) return;
      this.#tell("");
      refill(this.#problem, [plain(error), " ", button("again", "Try again")]);
      return;
    }
    refill(this.#problem, []);
    this.#settings.rows = this.#known(this.#settings.rows);
    if (this.#settings.rows.length === 0) {
      this.#settings.rows = this.#families
        .slice(0, 3)
        .map(({ id, levels }) => ({ family: id, level: (levels[1] ?? levels[0]).id, count: 1 }));
    }
    this.#tell("");
    this.#drawRows();
    this.#drawForm();
    this.#drawMake();
    this.dataset.state = "ready";
  }

  /** @param {Row[]} rows @returns {Row[]} those that this edition has */
  #known(rows) {
    return rows.filter(({ family, level }) =>
      this.#families.some(({ id, levels }) => id === family && levels.some((each) => each.id === level)),
    );
  }

  // ---- what is on a sheet

  #drawRows() {
    const { rows } = this.#settings;
    refill(this.#rows, [
      el(
        "ol",
        { class: "tw-kinds" },
        ...rows.map((row, at) => this.#drawRow(row, at, rows.length)),
      ),
      rows.length < MOST_ROWS && button("add-kind", "Add another kind", { "data-key": "add-kind" }),
    ]);
  }

  /** @param {Row} row @param {number} at @param {number} of */
  #drawRow(row, at, of) {
    const levels = this.#families.find(({ id }) => id === row.family)?.levels ?? [];
    const count = input(`count-${at}`, { inputmode: "numeric", "data-key": `count-${at}` });
    count.setAttribute("value", String(row.count));
    return el(
      "li",
      { class: "tw-fields", "data-row-at": String(at) },
      field(`tw-family-${at}`, "Kind of problem", select(`family-${at}`, this.#families, row.family, { "data-key": `family-${at}` })),
      field(`tw-level-${at}`, "Level", select(`level-${at}`, levels, row.level, { "data-key": `level-${at}` })),
      field(`tw-count-${at}`, "How many", count),
      button("remove-kind", "Remove", {
        "data-at": String(at),
        "data-key": `remove-kind-${at}`,
        "aria-label": `Remove: kind ${at + 1}`,
        disabled: of === 1,
      }),
    );
  }

  #drawForm() {
    const { title, seed, sheets, same, system } = this.#settings;
    const value = (/** @type {HTMLElement} */ control, /** @type {string} */ text) => {
      control.setAttribute("value", text);
      return control;
    };
    refill(this.#form, [
      field("tw-sheet-title", "Title on the sheets (may stay empty)", value(input("sheet-title", { maxlength: String(LONGEST_TITLE) }), title)),
      field("tw-number", `Number of sheets, up to ${MOST_SHEETS}`, value(input("sheets", { inputmode: "numeric" }), String(sheets))),
      radios("sheet-same", "The sheets", [
        { id: "own", title: "Other numbers on each" },
        { id: "same", title: "All the same" },
      ], same ? "same" : "own"),
      radios("sheet-system", "Units", SYSTEMS, system),
      el(
        "div",
        { class: "tw-row" },
        field("tw-sheet-seed", "Seed", value(input("sheet-seed", { inputmode: "numeric" }), String(seed)),
          "It is printed on each sheet. With the same seed and choices the same sheets come again."),
        button("fresh-seed", "Another seed", { class: "tw-low" }),
      ),
    ]);
  }

  #drawMake() {
    const { sheets } = this.#settings;
    refill(this.#make, [
      button("make", `Make ${counted(sheets, "sheet", "sheets")}`, { class: "jb-main", "data-key": "make" }),
      button("copy-link", "Copy a link to these sheets", { "data-key": "copy-link" }),
    ]);
  }

  /** @param {string} name */
  #value(name) {
    const control = this.querySelector(`[name="${name}"]`);
    return control ? /** @type {HTMLInputElement} */ (control).value : "";
  }

  #onInput = (/** @type {Event} */ event) => {
    const name = event.target instanceof HTMLElement ? (event.target.getAttribute("name") ?? "") : "";
    if (!name) return;
    const family = /^family-(\d+)$/.exec(name);
    if (family && event.type === "change") {
      const row = this.#settings.rows[Number(family[1])];
      row.family = this.#value(name);
      const levels = this.#families.find(({ id }) => id === row.family)?.levels ?? [];
      if (!levels.some(({ id }) => id === row.level)) row.level = levels[0]?.id ?? "";
      this.#readForm();
      this.#drawRows();
      this.#forget();
      return;
    }
    if (this.#readForm()) this.#forget();
  };

  /** Read what stands in the form. @returns {boolean} whether something is another than before */
  #readForm() {
    const before = JSON.stringify(this.#settings);
    const wrong = [];
    const { rows } = this.#settings;
    rows.forEach((row, at) => {
      row.level = this.#value(`level-${at}`) || row.level;
      const count = whole(this.#value(`count-${at}`), 1, MOST_PROBLEMS);
      if (count === null) wrong.push(`Kind ${at + 1}: how many has to be a whole number from 1 to ${MOST_PROBLEMS}.`);
      else row.count = count;
    });
    const sum = rows.reduce((all, { count }) => all + count, 0);
    if (sum > MOST_PROBLEMS) wrong.push(`These are ${sum} problems on a sheet; ${MOST_PROBLEMS} are the most.`);
    const sheets = whole(this.#value("sheets"), 1, MOST_SHEETS);
    if (sheets === null) wrong.push(`Number of sheets: a whole number from 1 to ${MOST_SHEETS}.`);
    const seed = whole(this.#value("sheet-seed"), 0, MOST_SEED);
    if (seed === null) wrong.push("Seed: a whole number, with at most 16 figures.");
    const chosen = (/** @type {string} */ name) =>
      this.#form.querySelector(`input[name="${name}"]:checked`)?.getAttribute("value");
    Object.assign(this.#settings, {
      title: this.#value("sheet-title"),
      sheets: sheets ?? this.#settings.sheets,
      seed: seed ?? this.#settings.seed,
      same: chosen("sheet-same") === "same",
      system: chosen("sheet-system") === "us" ? "us" : "si",
    });
    refill(this.#problem, [wrong.join(" ")]);
    this.toggleAttribute("data-wrong", wrong.length > 0);
    return JSON.stringify(this.#settings) !== before;
  }

  /** What was made is of other choices now: it would be printed under the wrong seed. */
  #forget() {
    this.#making += 1;
    this.#keep();
    this.#sheets.replaceChildren();
    this.#keys.replaceChildren();
    this.#done = { sheets: 0, keys: 0 };
    this.#print.hidden = true;
    this.#progress.hidden = true;
    this.dataset.made = "none";
    this.#drawMake();
    this.#tell("");
  }

  // ---- made and printed

  #onClick = (/** @type {Event} */ event) => {
    const pressed = event.target instanceof Element ? event.target.closest("[data-action]") : null;
    if (!(pressed instanceof HTMLElement)) return;
    const { rows } = this.#settings;
    const actions = /** @type {Record<string, () => void>} */ ({
      again: () => void this.#begin(),
      make: () => void this.#makeSheets(),
      stop: () => this.#stop(),
      "copy-link": () => void this.#copy(),
      "print-sheets": () => printPart(this, "sheets"),
      "print-keys": () => void this.#printKeys(),
      "fresh-seed": () => {
        this.#settings.seed = freshSeed();
        this.#drawForm();
        this.#forget();
      },
      "add-kind": () => {
        this.#readForm();
        const unused = this.#families.find(({ id }) => !rows.some(({ family }) => family === id)) ?? this.#families[0];
        rows.push({ family: unused.id, level: (unused.levels[1] ?? unused.levels[0]).id, count: 1 });
        this.#drawRows();
        this.#readForm();
        this.#forget();
        focusKey(this.#rows, `family-${rows.length - 1}`);
      },
      "remove-kind": () => {
        this.#readForm();
        rows.splice(Number(pressed.dataset.at), 1);
        this.#drawRows();
        this.#readForm();
        this.#forget();
        focusKey(this.#rows, `family-${Math.min(Number(pressed.dataset.at), rows.length - 1)}`);
      },
    });
    actions[pressed.dataset.action ?? ""]?.();
  };

  /** @returns {object} the choices as the engine takes them */
  #plan() {
    const { title, rows, seed, sheets, same, system } = this.#settings;
    const sets = rows.flatMap(({ family, level, count }) => Array.from({ length: count }, () => ({ family, level })));
    return { sets, seed, sheets, same, system, title: title.trim() };
  }

  async #makeSheets() {
    this.#readForm();
    if (this.hasAttribute("data-wrong")) {
      this.#tell("Mend what is named above first.");
      return;
    }
    this.#forget();
    const made = await this.#stack("worksheet-sheet", this.#sheets, "sheet");
    if (!made) return;
    const { sheets, seed } = this.#settings;
    this.#done.sheets = sheets;
    this.dataset.made = "sheets";
    refill(this.#print, [
      button("print-sheets", `Print ${counted(sheets, "sheet", "sheets")}`, { class: "jb-main", "data-key": "print-sheets" }),
      button("print-keys", "Print the key", { "data-key": "print-keys" }),
    ]);
    this.#print.hidden = false;
    this.#tell(
      `${counted(sheets, "sheet is", "sheets are")} made from seed ${seed}. ` +
        (sheets > 1 ? "The first one is shown below; all are printed." : "It is shown below."),
    );
  }

  async #printKeys() {
    const { sheets } = this.#settings;
    if (this.#done.keys !== sheets) {
      this.#keys.replaceChildren();
      if (!(await this.#stack("worksheet-key", this.#keys, "key"))) return;
      this.#done.keys = sheets;
    }
    this.#tell("The key is made.");
    printPart(this, "keys");
  }

  /**
   * Make sheets or keys one by one.
   *
   * @param {string} op
   * @param {HTMLElement} place
   * @param {"sheet" | "key"} what
   * @returns {Promise<boolean>} whether all were made
   */
  async #stack(op, place, what) {
    this.#making += 1;
    const mine = this.#making;
    const plan = this.#plan();
    const { sheets, same } = this.#settings;
    this.#progress.max = sheets;
    this.#progress.value = 0;
    this.#progress.hidden = false;
    this.#print.hidden = true;
    refill(this.#make, [button("stop", "Stop", { "data-key": "make" })]);
    const ended = () => {
      this.#progress.hidden = true;
      this.#print.hidden = this.#done.sheets === 0;
      this.#drawMake();
    };
    try {
      if (what === "sheet") {
        const found = await this.#engine.ask({ op: "worksheet-plan", ...plan });
        if (mine !== this.#making) return false;
        if (found?.errors) throw new Error(messageOf(found));
      }
      // The same key for everybody is printed once.
      const most = what === "key" && same ? 1 : sheets;
      for (let number = 1; number <= most; number += 1) {
        this.#tell(`Making ${what} ${number} of ${most}…`);
        const answer = await this.#engine.ask({ op, ...plan, number });
        if (mine !== this.#making) return false;
        if (typeof answer?.html !== "string") throw new Error(messageOf(answer));
        const page = el("div", { class: "tw-page", "data-number": String(number) });
        page.append(fragment(answer.html));
        place.append(page);
        this.#progress.value = number;
      }
      ended();
      return true;
    } catch (error) {
      if (mine !== this.#making) return false;
      place.replaceChildren();
      ended();
      refill(this.#problem, [plain(error)]);
      this.#tell("");
      return false;
    }
  }

  #stop() {
    this.#making += 1;
    this.#progress.hidden = true;
    if (this.#done.sheets === 0) this.#sheets.replaceChildren();
    this.#keys.replaceChildren();
    this.#print.hidden = this.#done.sheets === 0;
    this.#drawMake();
    focusKey(this.#make, "make");
    this.#tell("Stopped.");
  }

  async #copy() {
    this.#readForm();
    const link = `${location.href.replace(/#.*$/, "")}${hashOf(this.#settings)}`;
    try {
      await navigator.clipboard.writeText(link);
      this.#tell("The link is copied. It makes the same sheets again on any device with this edition.");
    } catch {
      history.replaceState(history.state, "", hashOf(this.#settings));
      this.#tell("This browser did not copy the link. It stands in the address line now: copy it from there.");
    }
  }

  /** @param {string} words */
  #tell(words) {
    this.#said.textContent = words;
  }
}

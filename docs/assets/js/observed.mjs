// @ts-check
/**
 * The sheets of the observed checklist: one shown at a time, filled in on the device, printed.
 *
 * The sheets stand in the page without this module, and print as they stand. What an assessor
 * chooses is kept with the page, one record a sheet, and only as words from closed lists and texts.
 */
import { button, el } from "./job-dom.mjs";

const KEY = "handbook.observed.1.";
const LEVELS = /** @type {const} */ ([
  ["", "not yet"],
  ["alone", "Alone"],
  ["reminded", "Reminded"],
  ["told", "Told"],
  ["shown", "Shown"],
  ["missed", "Not done"],
]);
const LONGEST = 200;
const FIELDS = ["trainee", "place", "date", "assessor", "note"];

/** @typedef {{levels: Record<string, string>, fields: Record<string, string>}} Filled */

/**
 * What of a kept record is sound: levels of known steps, short texts.
 *
 * @param {unknown} found
 * @param {readonly string[]} steps
 * @returns {Filled}
 */
export function soundFilled(found, steps) {
  const { levels, fields } = /** @type {any} */ (found ?? {});
  const known = new Set(LEVELS.map(([level]) => level));
  /** @type {Filled} */
  const kept = { levels: {}, fields: {} };
  for (const step of steps) {
    if (typeof levels?.[step] === "string" && known.has(levels[step])) {
      kept.levels[step] = levels[step];
    }
  }
  for (const name of FIELDS) {
    const text = fields?.[name];
    if (typeof text === "string" && text.length <= LONGEST) kept.fields[name] = text;
  }
  return kept;
}

/**
 * The verdict of a sheet, by the rule that the page tells.
 *
 * @param {readonly {key: string, critical: boolean}[]} rows
 * @param {Record<string, string>} levels
 * @returns {{state: "open" | "passed" | "not-yet", words: string}}
 */
export function verdict(rows, levels) {
  const at = (/** @type {string[]} */ wanted, /** @type {boolean} */ critical) =>
    rows.filter((row) => row.critical === critical && wanted.includes(levels[row.key] ?? ""));
  const critical = at(["reminded", "told", "shown", "missed"], true).length;
  const others = at(["shown", "missed"], false).length;
  const open = rows.filter((row) => !levels[row.key]).length;
  if (critical + others > 0) {
    const parts = [];
    if (critical) parts.push(`${critical} critical ${critical === 1 ? "step" : "steps"} not done alone`);
    if (others) parts.push(`${others} other ${others === 1 ? "step" : "steps"} shown or not done`);
    const rest = open ? ` ${open} of ${rows.length} not looked at yet.` : "";
    return { state: "not-yet", words: `Not yet: ${parts.join(", ")}.${rest}` };
  }
  if (open) return { state: "open", words: `${open} of ${rows.length} steps not looked at yet.` };
  return {
    state: "passed",
    words: "Passed by this sheet's rule: every critical step alone, no other worse than told.",
  };
}

export class ObservedChecklist extends HTMLElement {
  #say = el("p", { class: "tr-say", role: "status" });

  connectedCallback() {
    if (this.dataset.live) return;
    this.dataset.live = "yes";
    const sheets = this.#sheets();
    if (sheets.length === 0) return;
    const choice = el("select", { id: "ob-choice" });
    for (const sheet of sheets) {
      const title = sheet.querySelector("h2")?.firstChild?.textContent ?? sheet.dataset.page;
      choice.append(el("option", { value: sheet.dataset.page }, title));
      this.#enliven(sheet);
    }
    choice.append(el("option", { value: "*" }, "All of them, to print"));
    this.prepend(
      el(
        "div",
        { class: "tr-part ob-bar" },
        el("label", { for: "ob-choice" }, "Sheet"),
        choice,
        button("print", "Print"),
        this.#say,
      ),
    );
    choice.addEventListener("change", () => this.#show(/** @type {any} */ (choice).value));
    this.addEventListener("click", (event) => {
      const pressed = /** @type {Element} */ (event.target).closest("button[data-action]");
      if (pressed?.getAttribute("data-action") === "print") print();
      if (pressed?.getAttribute("data-action") === "clear") this.#clear(pressed);
    });
    const wanted = location.hash.replace(/^#observe-/, "");
    const first = sheets.some((sheet) => sheet.dataset.page === wanted) ? wanted : null;
    /** @type {any} */ (choice).value = first ?? sheets[0].dataset.page;
    this.#show(/** @type {any} */ (choice).value);
  }

  /** @returns {HTMLElement[]} */
  #sheets() {
    return [...this.querySelectorAll(".ob-sheet")].map((each) => /** @type {HTMLElement} */ (each));
  }

  /** @param {string} page */
  #show(page) {
    for (const sheet of this.#sheets()) sheet.hidden = page !== "*" && sheet.dataset.page !== page;
  }

  /** @param {HTMLElement} sheet @returns {{key: string, critical: boolean, row: HTMLElement}[]} */
  #rows(sheet) {
    return [...sheet.querySelectorAll("tr[data-row]")].map((found) => {
      const row = /** @type {HTMLElement} */ (found);
      return { key: row.dataset.row ?? "", critical: row.dataset.critical === "true", row };
    });
  }

  /** @param {HTMLElement} sheet */
  #enliven(sheet) {
    const page = sheet.dataset.page ?? "";
    const rows = this.#rows(sheet);
    const kept = this.#read(page, rows);
    for (const { key, row } of rows) {
      const cell = row.querySelector(".ob-level");
      const name = row.querySelector("th")?.firstChild?.textContent ?? key;
      const levels = el("select", { "aria-label": `Prompt level: ${name}`, "data-step": key });
      for (const [value, words] of LEVELS) {
        const chosen = (kept.levels[key] ?? "") === value;
        levels.append(el("option", { value, selected: chosen }, words));
      }
      const letters = el("span", { class: "ob-letters" }, cell?.textContent ?? "");
      cell?.replaceChildren(letters, levels);
    }
    const fields = el("div", { class: "ob-inputs" });
    for (const name of FIELDS) {
      const id = `ob-${page}-${name}`;
      const label = `${name[0].toUpperCase()}${name.slice(1)}`;
      const input = el("input", {
        id,
        type: name === "date" ? "date" : "text",
        maxlength: String(LONGEST),
        "data-field": name,
        value: kept.fields[name] ?? "",
      });
      fields.append(el("div", { class: "jb-field" }, el("label", { for: id }, label), input));
    }
    const result = sheet.querySelector(".ob-result");
    const words = el("p", { class: "ob-verdict", role: "status" });
    result?.replaceChildren(fields, words, button("clear", "Start this sheet again"));
    sheet.addEventListener("change", () => this.#changed(sheet));
    this.#tell(sheet);
  }

  /** @param {HTMLElement} sheet @returns {Filled} */
  #filled(sheet) {
    /** @type {Filled} */
    const filled = { levels: {}, fields: {} };
    for (const each of sheet.querySelectorAll("select[data-step], input[data-field]")) {
      const control = /** @type {HTMLInputElement} */ (each);
      const { step, field } = control.dataset;
      if (step) filled.levels[step] = control.value;
      if (field) filled.fields[field] = control.value;
    }
    return filled;
  }

  /** @param {HTMLElement} sheet */
  #changed(sheet) {
    this.#tell(sheet);
    try {
      localStorage.setItem(KEY + sheet.dataset.page, JSON.stringify(this.#filled(sheet)));
      this.#say.textContent = "";
    } catch {
      this.#say.textContent =
        "This browser keeps nothing for this site. Print the sheet before you leave the page.";
    }
  }

  /** @param {HTMLElement} sheet */
  #tell(sheet) {
    const { levels, fields } = this.#filled(sheet);
    const rows = this.#rows(sheet);
    for (const { key, row } of rows) row.dataset.level = levels[key] ?? "";
    const { state, words } = verdict(rows, levels);
    const place = /** @type {HTMLElement} */ (sheet.querySelector(".ob-verdict"));
    place.dataset.state = state;
    place.textContent = words;
    for (const line of sheet.querySelectorAll(".ob-field[data-field] .ob-line")) {
      const name = line.parentElement?.getAttribute("data-field") ?? "";
      line.textContent = fields[name] ?? "";
    }
  }

  /** @param {string} page @param {readonly {key: string}[]} rows @returns {Filled} */
  #read(page, rows) {
    const steps = rows.map((row) => row.key);
    try {
      return soundFilled(JSON.parse(localStorage.getItem(KEY + page) ?? "null"), steps);
    } catch {
      return soundFilled(null, steps);
    }
  }

  /** @param {Element} pressed */
  #clear(pressed) {
    const sheet = /** @type {HTMLElement} */ (pressed.closest(".ob-sheet"));
    const sure = pressed.getAttribute("data-sure") === "yes";
    if (!sure) {
      pressed.setAttribute("data-sure", "yes");
      pressed.textContent = "Press again: what is filled in is lost";
      return;
    }
    pressed.removeAttribute("data-sure");
    pressed.textContent = "Start this sheet again";
    for (const control of sheet.querySelectorAll("select[data-step], input[data-field]")) {
      /** @type {HTMLInputElement} */ (control).value = "";
    }
    this.#changed(sheet);
  }
}

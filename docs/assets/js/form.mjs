// @ts-check
/**
 * Reads a calculator's form and fills it. Knows the page's contract and nothing of the engine.
 */
import { joinQuantity, joinTable, splitQuantity, splitTable } from "./hash.mjs";

/** @typedef {HTMLInputElement | HTMLSelectElement} Control */
/** @typedef {string | {value: string, unit?: string, pm?: string}} Entry */
/** @typedef {Record<string, Entry | Record<string, Entry>[]>} Inputs */

const MOST_ROWS = 60;

/** @param {Element} table @returns {{fewest: number, most: number}} how many rows it may have */
export function rowLimits(table) {
  const { fewest, most } = /** @type {HTMLElement} */ (table).dataset;
  return {
    fewest: Math.max(Number(fewest ?? 1) || 0, 0),
    most: Math.min(Number(most ?? MOST_ROWS) || MOST_ROWS, MOST_ROWS),
  };
}

/**
 * Give the name or id of a table's row another row number.
 *
 * @param {string} text a name such as `pipes.3.tube` or an id such as `system-volume-pipes-3-tube`
 * @param {string} table
 * @param {number} index
 */
export function renumbered(text, table, index) {
  return text
    .split(" ")
    .map((word) =>
      word
        .replace(new RegExp(`^${table}\\.(?:\\d+|__row__)(?=\\.|$)`), `${table}.${index}`)
        .replace(new RegExp(`(^|-)${table}-(?:\\d+|__row__)(?=-|$)`), `$1${table}-${index}`)
        .replace("__row__", String(index)),
    )
    .join(" ");
}

const NUMBERED = ["name", "id", "for", "aria-describedby", "aria-labelledby", "data-field"];

/** @param {Element} table */
export function renumberRows(table) {
  const name = /** @type {string} */ (table.getAttribute("data-field"));
  const rows = rowsOf(table);
  const { fewest, most } = rowLimits(table);
  const add = table.querySelector('[data-action="add-row"]');
  if (add instanceof HTMLButtonElement) add.disabled = rows.length >= most;
  rows.forEach((row, index) => {
    for (const element of [row, ...row.querySelectorAll("*")]) {
      for (const attribute of NUMBERED) {
        const value = element.getAttribute(attribute);
        if (value !== null) element.setAttribute(attribute, renumbered(value, name, index));
      }
      const label = element.getAttribute("aria-label");
      if (label?.includes("__row__")) {
        element.setAttribute("aria-label", label.replace("__row__", String(index + 1)));
      }
    }
    const remove = row.querySelector('[data-action="remove-row"]');
    if (remove instanceof HTMLButtonElement) remove.disabled = rows.length <= fewest;
  });
}

/** @param {Element} table @returns {Element[]} */
export function rowsOf(table) {
  return [...table.querySelectorAll("[data-row]")];
}

/** @param {Element} table @returns {Element | null} the new row, or null if there is no room */
export function addRow(table) {
  const template = table.querySelector("template");
  const list = table.querySelector(".lc-rows");
  if (!template || !list || rowsOf(table).length >= rowLimits(table).most) return null;
  const copy = /** @type {DocumentFragment} */ (template.content.cloneNode(true));
  const row = /** @type {Element} */ (copy.firstElementChild);
  list.append(copy);
  renumberRows(table);
  return row;
}

/** @param {Element} table @param {number} count */
export function setRowCount(table, count) {
  const { fewest, most } = rowLimits(table);
  const wanted = Math.min(Math.max(count, fewest), most);
  while (rowsOf(table).length > wanted) rowsOf(table).at(-1)?.remove();
  while (rowsOf(table).length < wanted && addRow(table)) continue;
  renumberRows(table);
}

/** @param {ParentNode} root @param {string} name @returns {Control | null} */
export function control(root, name) {
  return root.querySelector(
    `input[name="${CSS.escape(name)}"], select[name="${CSS.escape(name)}"]`,
  );
}

/** @param {HTMLFormElement} form @returns {"si" | "us"} */
export function systemOf(form) {
  const chosen = form.querySelector('input[name="system"]:checked');
  return chosen instanceof HTMLInputElement && chosen.value === "us" ? "us" : "si";
}

/** @param {HTMLFormElement} form @param {string} system */
export function setSystem(form, system) {
  for (const radio of form.querySelectorAll('input[name="system"]')) {
    if (radio instanceof HTMLInputElement) radio.checked = radio.value === system;
  }
}

/** @param {HTMLFormElement} form @returns {HTMLElement[]} */
export function fields(form) {
  return [...form.querySelectorAll("[data-field][data-type]")].filter(
    (field) => field instanceof HTMLElement,
  );
}

/** @param {ParentNode} root @param {string} name @returns {Entry} */
function readEntry(root, name) {
  const value = control(root, name)?.value ?? "";
  const unit = control(root, `${name}.unit`)?.value;
  const pm = control(root, `${name}.pm`)?.value;
  if (unit === undefined && pm === undefined) return value;
  /** @type {{value: string, unit?: string, pm?: string}} */
  const entry = { value };
  if (unit !== undefined) entry.unit = unit;
  if (pm !== undefined && pm.trim() !== "") entry.pm = pm;
  return entry;
}

/** @param {Element} row @returns {string[]} */
function cellsOf(row) {
  return [...row.querySelectorAll("[data-cell]")].map(
    (cell) => /** @type {string} */ (cell.getAttribute("data-cell")),
  );
}

/** @param {HTMLFormElement} form @returns {Inputs} */
export function readInputs(form) {
  /** @type {Inputs} */
  const inputs = {};
  for (const field of fields(form)) {
    const name = /** @type {string} */ (field.dataset.field);
    if (field.dataset.type === "table") {
      inputs[name] = rowsOf(field).map((row, index) =>
        Object.fromEntries(
          cellsOf(row).map((cell) => [cell, readEntry(row, `${name}.${index}.${cell}`)]),
        ),
      );
    } else {
      inputs[name] = readEntry(field, name);
    }
  }
  return inputs;
}

/** @param {Entry} entry */
function entryText(entry) {
  return typeof entry === "string" ? entry : joinQuantity(entry);
}

/** @param {Inputs} inputs @returns {Record<string, string>} */
export function inputTexts(inputs) {
  return Object.fromEntries(
    Object.entries(inputs).map(([name, entry]) => [
      name,
      Array.isArray(entry)
        ? joinTable(entry.map((row) => Object.values(row).map(entryText)))
        : entryText(entry),
    ]),
  );
}

/**
 * Put an entry into its controls.
 *
 * @param {ParentNode} root
 * @param {string} name
 * @param {Entry} entry
 * @returns {boolean} false if a text could not be split, and the whole text stands in the field
 */
function fillEntry(root, name, entry) {
  const main = control(root, name);
  if (!main) return true;
  const unit = control(root, `${name}.unit`);
  const pm = control(root, `${name}.pm`);
  if (main instanceof HTMLSelectElement) {
    const wanted = typeof entry === "string" ? entry : entry.value;
    const known = [...main.options].some((option) => option.value === wanted);
    if (known) main.value = wanted;
    return known;
  }
  /** @type {{value: string, unit?: string | null, pm?: string | null} | null} */
  let parts = typeof entry === "string" ? null : entry;
  if (typeof entry === "string") {
    const units = unit instanceof HTMLSelectElement ? [...unit.options].map((o) => o.value) : [];
    parts = unit || pm ? splitQuantity(entry, units) : { value: entry };
  }
  if (parts === null) {
    main.value = entryText(entry);
    return false;
  }
  main.value = parts.value;
  if (unit instanceof HTMLSelectElement && parts.unit) unit.value = parts.unit;
  if (pm) pm.value = parts.pm ?? "";
  return true;
}

/**
 * Fill the form from entries as the engine gives them, or from texts as a link gives them.
 * Fields that are not named keep what they hold.
 *
 * @param {HTMLFormElement} form
 * @param {Inputs} inputs
 * @returns {string[]} the fields whose text needs the engine to be split
 */
export function fillInputs(form, inputs) {
  /** @type {string[]} */
  const unsplit = [];
  for (const field of fields(form)) {
    const name = /** @type {string} */ (field.dataset.field);
    const entry = inputs[name];
    if (entry === undefined) continue;
    if (field.dataset.type !== "table") {
      if (!Array.isArray(entry) && !fillEntry(field, name, entry)) unsplit.push(name);
      continue;
    }
    if (!Array.isArray(entry) && typeof entry !== "string") continue;
    const rows = Array.isArray(entry) ? entry : rowsFromText(field, entry);
    setRowCount(field, rows.length);
    let whole = true;
    rowsOf(field).forEach((row, index) => {
      for (const [cell, value] of Object.entries(rows[index] ?? {})) {
        whole = fillEntry(row, `${name}.${index}.${cell}`, value) && whole;
      }
    });
    if (!whole) unsplit.push(name);
  }
  return unsplit;
}

/** @param {Element} table @param {string} text @returns {Record<string, Entry>[]} */
function rowsFromText(table, text) {
  const [first] = rowsOf(table);
  const template = table.querySelector("template")?.content.firstElementChild;
  const cells = first || template ? cellsOf(/** @type {Element} */ (first ?? template)) : [];
  return splitTable(text)
    .slice(0, MOST_ROWS)
    .map((values) =>
      Object.fromEntries(
        values.slice(0, cells.length).map((value, index) => [cells[index], value]),
      ),
    );
}

/** @param {HTMLFormElement} form @returns {Record<string, string>} control name to what it holds */
export function controlValues(form) {
  /** @type {Record<string, string>} */
  const values = {};
  for (const element of form.elements) {
    if (!(element instanceof HTMLInputElement || element instanceof HTMLSelectElement)) continue;
    if (element.name && element.name !== "system") values[element.name] = element.value;
  }
  return values;
}

/** @param {HTMLFormElement} form @param {Record<string, string>} values */
export function setControlValues(form, values) {
  for (const field of fields(form)) {
    if (field.dataset.type !== "table") continue;
    const prefix = `${field.dataset.field}.`;
    const numbers = Object.keys(values)
      .filter((name) => name.startsWith(prefix))
      .map((name) => Number(name.slice(prefix.length).split(".")[0]));
    if (numbers.length > 0) setRowCount(field, Math.max(...numbers) + 1);
  }
  for (const [name, value] of Object.entries(values)) {
    const element = control(form, name);
    if (element instanceof HTMLSelectElement) {
      if ([...element.options].some((option) => option.value === value)) element.value = value;
    } else if (element && element.type !== "radio") {
      element.value = value;
    }
  }
}

/**
 * Whether a field applies, given the choices made.
 *
 * @param {Record<string, string[]>} when
 * @param {(name: string) => string | undefined} chosen
 */
export function applies(when, chosen) {
  return Object.entries(when).every(([name, allowed]) => allowed.includes(chosen(name) ?? ""));
}

/** @param {HTMLFormElement} form */
export function showApplicable(form) {
  for (const element of form.querySelectorAll("[data-when]")) {
    if (!(element instanceof HTMLElement)) continue;
    const row = element.closest("[data-row]");
    const when = JSON.parse(element.dataset.when ?? "{}");
    element.hidden = !applies(when, (name) => {
      // The choices of a row go before those of the form.
      const cell = row?.querySelector(`[data-cell="${CSS.escape(name)}"] :is(select, input)`);
      if (cell instanceof HTMLSelectElement || cell instanceof HTMLInputElement) return cell.value;
      return control(form, name)?.value;
    });
  }
  for (const section of form.querySelectorAll(".lc-section")) {
    const fields = [...section.querySelectorAll(":scope > .lc-fields > .lc-field")];
    if (section instanceof HTMLElement) {
      section.hidden = fields.every((field) => field instanceof HTMLElement && field.hidden);
    }
  }
}

/**
 * Note that a reader's own number stands in a field now, no longer the example's. The example's
 * plus/minus goes with it, unless the reader has given one.
 *
 * @param {EventTarget | null} target the control typed into
 */
export function makeOwn(target) {
  if (!(target instanceof HTMLElement)) return;
  const field = target.closest("[data-example]");
  if (!field) return;
  field.removeAttribute("data-example");
  const band = field.querySelector(".lc-pm input");
  if (band instanceof HTMLInputElement && band !== target) band.value = "";
}

/**
 * Mark the fields that still hold the example, after numbers were taken up or put back.
 *
 * @param {HTMLFormElement} form
 * @param {Record<string, string>} example control values as the page brought them
 */
export function markExamples(form, example) {
  for (const field of form.querySelectorAll('[data-type="quantity"][data-field]')) {
    const name = /** @type {HTMLElement} */ (field).dataset.field ?? "";
    const same = [name, `${name}.unit`, `${name}.pm`].every((part) => {
      const there = control(form, part);
      return !there || there.value === example[part];
    });
    field.toggleAttribute("data-example", same && Boolean(example[name]));
  }
}

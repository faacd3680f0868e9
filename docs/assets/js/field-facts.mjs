// @ts-check
/**
 * The traffic between one calculator's form and the facts of the job.
 *
 * A field that still holds the example takes a known fact by itself and says where it comes from.
 * A reader's own number is never replaced, only told what the job has instead. A fact is written
 * when the reader has changed something on the page and the answer is sound.
 */
import {
  affected,
  ageWords,
  entryWords,
  fact,
  firstKnown,
  labelOf,
  sameEntry,
  titleOf,
  undoFact,
  writeFact,
} from "./facts.mjs";
import { fields, fillInputs, readInputs } from "./form.mjs";

/** @typedef {import("./facts.mjs").Entry} Entry */
/** @typedef {import("./facts.mjs").Job} Job */
/** @typedef {import("./facts.mjs").Book} Book */

/** @param {HTMLElement} field @returns {string[]} */
function factsOf(field) {
  return (field.dataset.facts ?? "").split(" ").filter(Boolean);
}

/** @param {HTMLFormElement} form @returns {HTMLElement[]} */
function sharing(form) {
  return fields(form).filter((field) => field.dataset.facts);
}

/** @param {HTMLFormElement} form @param {HTMLElement} field @returns {Entry} */
function entryOf(form, field) {
  const entry = readInputs(form)[field.dataset.field ?? ""];
  return typeof entry === "string" ? { value: entry } : /** @type {Entry} */ (entry);
}

/** @param {HTMLElement} field @param {Entry} entry @returns {boolean} whether it can stand there */
function offers(field, entry) {
  const wanted = field.dataset.type === "choice" ? entry.value : (entry.unit ?? "");
  const options = [...field.querySelectorAll("option")].map((each) => each.getAttribute("value"));
  return options.length === 0 ? wanted === "" : options.includes(wanted);
}

/** @param {HTMLElement} field @param {string} name @param {string} at when the fact became so */
function mark(field, name, at) {
  field.dataset.taken = name;
  field.dataset.takenAt = at;
  field.removeAttribute("data-example");
}

/** @param {HTMLElement} field */
function unmark(field) {
  delete field.dataset.taken;
  delete field.dataset.takenAt;
}

export class FieldFacts {
  /** @type {Set<string>} fields that the reader has changed on this visit of the page */
  #touched = new Set();
  /** @type {Map<string, {name: string, entry: Entry, calculator: string}>} what they took before */
  #replaced = new Map();
  /** @type {Book | null} */ #book = null;

  /**
   * @param {string} calculator
   * @param {Job} job
   */
  constructor(calculator, job) {
    this.calculator = calculator;
    this.job = job;
  }

  /** @param {Book | null} book */
  set book(book) {
    this.#book = book;
  }

  /** Forget what happened on an earlier visit of the page. */
  begin() {
    this.#touched.clear();
    this.#replaced.clear();
  }

  /**
   * Mark the fields that took a fact before, unless another number stands in them now.
   *
   * @param {HTMLFormElement} form
   * @param {{taken: Record<string, string>, values: Record<string, string>, at: string}} kept
   */
  marked(form, { taken, values, at }) {
    for (const field of sharing(form)) {
      const name = field.dataset.field ?? "";
      if (!(name in taken) || !factsOf(field).includes(taken[name])) continue;
      const then = { value: values[name], unit: values[`${name}.unit`], pm: values[`${name}.pm`] };
      if (!sameEntry(entryOf(form, field), then)) continue;
      const changed = fact(this.job, taken[name])?.at ?? "";
      // What has not changed since stays as it is, in the units into which the reader has put it.
      mark(field, taken[name], Date.parse(changed) <= Date.parse(at) ? changed : "");
    }
  }

  /** Let go of every fact taken. @param {HTMLFormElement} form */
  release(form) {
    for (const field of sharing(form)) unmark(field);
  }

  /** @param {HTMLFormElement} form @returns {Record<string, string>} input name to fact */
  taken(form) {
    return Object.fromEntries(
      sharing(form)
        .filter((field) => field.dataset.taken)
        .map((field) => [field.dataset.field ?? "", field.dataset.taken ?? ""]),
    );
  }

  /**
   * Fill what may be filled, and tell of the rest.
   *
   * @param {HTMLFormElement} form
   * @param {Record<string, string>} example control values as the page brought them
   * @param {{again?: boolean}} [options] with `again` only what was taken before is brought up to
   *   date: a link has chosen the rest
   * @returns {string[]} the fields that hold another number now
   */
  takeUp(form, example, { again = false } = {}) {
    /** @type {string[]} */
    const filled = [];
    for (const field of sharing(form)) {
      const name = field.dataset.field ?? "";
      const known = firstKnown(this.job, factsOf(field));
      if (!known) {
        unmark(field);
        continue;
      }
      const entry = entryOf(form, field);
      const mayTake =
        !this.#touched.has(name) &&
        (field.dataset.taken !== undefined ||
          (!again &&
            (field.hasAttribute("data-example") ||
              (field.dataset.type === "choice" && entry.value === example[name]))));
      if (!mayTake || this.#foundFromHere(known.name)) continue;
      const { entry: wanted, at } = known.record;
      const settled = field.dataset.taken === known.name && field.dataset.takenAt === at;
      if (!settled && !sameEntry(entry, wanted)) {
        if (!offers(field, wanted)) continue;
        fillInputs(form, { [name]: wanted });
        filled.push(name);
      }
      mark(field, known.name, at);
    }
    this.tell(form);
    return filled;
  }

  /** @param {string} name whether this page itself has found the fact */
  #foundFromHere(name) {
    const origin = fact(this.job, name)?.origin;
    return origin?.calculator === this.calculator && origin.how === "found";
  }

  /**
   * The reader has changed something.
   *
   * @param {HTMLFormElement} form
   * @param {EventTarget | null} target the control
   */
  touch(form, target) {
    const field = target instanceof Element ? target.closest("[data-field][data-type]") : null;
    if (!(field instanceof HTMLElement)) return;
    const name = field.dataset.field ?? "";
    this.#touched.add(name);
    const source = field.dataset.taken;
    if (source === undefined) return;
    const record = fact(this.job, source);
    if (record) {
      const { entry, origin } = record;
      this.#replaced.set(name, { name: source, entry, calculator: origin.calculator });
    }
    unmark(field);
    // The plus/minus belonged to the number that was there.
    const band = field.querySelector(".lc-pm input");
    if (band instanceof HTMLInputElement && band !== target) band.value = "";
    this.tell(form);
  }

  /** Rows and whole forms have no field of their own to touch. @param {string} name */
  touchName(name) {
    this.#touched.add(name);
  }

  /**
   * After a sound answer: keep what the reader typed and what was found.
   *
   * @param {HTMLFormElement} form
   * @param {{name: string, fact?: string, entry?: Entry}[]} results
   */
  settle(form, results) {
    const { calculator, job } = this;
    for (const field of sharing(form)) {
      const name = field.dataset.field ?? "";
      if (!this.#touched.has(name) || field.hidden || field.dataset.taken) continue;
      const entry = entryOf(form, field);
      if (entry.value.trim() === "") continue;
      const wanted = factsOf(field);
      const target = firstKnown(job, wanted)?.name ?? wanted[wanted.length - 1];
      writeFact(job, target, entry, { calculator, field: name, how: "typed" });
    }
    if (this.#touched.size > 0 || Object.keys(this.taken(form)).length > 0) {
      for (const { name, fact: target, entry } of results) {
        if (!target || !entry) continue;
        writeFact(job, target, entry, { calculator, field: name, how: "found" });
      }
    }
    this.tell(form);
  }

  /**
   * Put the number that the job has into a field; or back what the reader replaced.
   *
   * @param {HTMLFormElement} form
   * @param {string} name the field
   */
  takeBack(form, name) {
    const field = sharing(form).find((each) => each.dataset.field === name);
    if (!field) return;
    const replaced = this.#replaced.get(name);
    if (replaced) {
      const now = fact(this.job, replaced.name);
      // Only the reader's own change is taken back, not one that another page made since.
      if (now?.origin.calculator === this.calculator && now.origin.field === name) {
        undoFact(this.job, replaced.name);
      }
    }
    const known = firstKnown(this.job, factsOf(field));
    if (!known || !offers(field, known.record.entry)) return;
    this.#replaced.delete(name);
    this.#touched.delete(name);
    fillInputs(form, { [name]: known.record.entry });
    mark(field, known.name, known.record.at);
    this.tell(form);
  }

  /** Write the note under each field. @param {HTMLFormElement} form */
  tell(form) {
    for (const field of sharing(form)) this.#note(field, this.#said(form, field));
  }

  /**
   * @param {HTMLFormElement} form
   * @param {HTMLElement} field
   * @returns {{text: string, button?: string} | null}
   */
  #said(form, field) {
    const name = field.dataset.field ?? "";
    const known = firstKnown(this.job, factsOf(field));
    if (field.dataset.taken && known) {
      return { text: `${this.#whence(known.record)}.` };
    }
    const replaced = this.#replaced.get(name);
    if (replaced) {
      return {
        text:
          `You changed it from ${this.#value(form, field, replaced.entry)} ` +
          `(${titleOf(this.#book, replaced.calculator)}).${this.#consequences(replaced.name)}`,
        button: `Back to ${this.#value(form, field, replaced.entry)}`,
      };
    }
    if (!known) return null;
    if (sameEntry(known.record.entry, entryOf(form, field))) return null;
    if (this.#touched.has(name) || this.#foundFromHere(known.name)) return null;
    if (field.dataset.type === "choice" && field.hidden) return null;
    return {
      text:
        `In this job it is ${this.#value(form, field, known.record.entry)}. ` +
        `${this.#whence(known.record)}.`,
      button: offers(field, known.record.entry) ? "Take it" : undefined,
    };
  }

  /** @param {HTMLFormElement} form @param {HTMLElement} field @param {Entry} entry */
  #value(form, field, entry) {
    if (field.dataset.type !== "choice") return entryWords(entry);
    const options = [...field.querySelectorAll("option")];
    const found = options.find((option) => option.getAttribute("value") === entry.value);
    return `“${found?.textContent ?? entry.value}”`;
  }

  /** @param {import("./facts.mjs").FactRecord} record */
  #whence({ origin, at }) {
    const title = titleOf(this.#book, origin.calculator);
    const from = origin.how === "found" ? `From ${title}` : `Typed on ${title}`;
    return `${from}, ${ageWords(at)}`;
  }

  /** @param {string} name */
  #consequences(name) {
    const { calculators, facts } = affected(this.job, name);
    const pages = calculators
      .filter((id) => id !== this.calculator)
      .map((id) => titleOf(this.#book, id));
    if (pages.length === 0) return "";
    const found = facts.map((each) => labelOf(this.#book, each).toLowerCase());
    const more = found.length > 0 ? `, and for ${found.join(", ")}` : "";
    return ` It was also used on ${pages.join(", ")}${more}: look at ${
      pages.length === 1 ? "that page" : "those pages"
    } again.`;
  }

  /**
   * @param {HTMLElement} field
   * @param {{text: string, button?: string} | null} said
   */
  #note(field, said) {
    const old = field.querySelector(":scope > .lc-origin");
    if (!said) {
      old?.remove();
      return;
    }
    const place = old ?? document.createElement("p");
    const key = `${said.text}|${said.button ?? ""}`;
    if (place.getAttribute("data-said") === key) return;
    place.className = "lc-origin";
    place.setAttribute("data-said", key);
    place.textContent = said.button ? `${said.text} ` : said.text;
    if (said.button) {
      const button = document.createElement("button");
      button.type = "button";
      button.dataset.action = "take-fact";
      button.textContent = said.button;
      place.append(button);
    }
    if (!old) field.querySelector(".lc-help")?.before(place);
  }
}

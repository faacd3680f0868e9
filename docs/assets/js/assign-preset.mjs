// @ts-check
/**
 * The numbers that a trainee finds on a page: typed into the page's own form, or taken over from a
 * link that the page gave.
 */
import { addRow, fillInputs, readInputs, renumberRows, showApplicable } from "./form.mjs";
import { readHash } from "./hash.mjs";
import { button, el, field } from "./job-dom.mjs";
import { fragment, input, messageOf, plain, select } from "./trainer-parts.mjs";

/** @typedef {import("./assign-draft.mjs").Inputs} Inputs */
/** @typedef {{id: string, title: string}} Titled */

export class Preset {
  #form = el("div", { class: "lc tw-form" });
  #say = el("p", { class: "tw-problem", role: "status" });
  #link = /** @type {HTMLInputElement} */ (input("preset-link", { inputmode: "url" }));
  #asked = 0;
  /** @type {import("./form.mjs").Inputs} the form as the page brings it */ #example = {};

  /**
   * @param {object} options
   * @param {Titled[]} options.calculators of the page
   * @param {string} options.system of the assignment
   * @param {Inputs | undefined} options.inputs as they are set
   * @param {(request: object) => Promise<any>} options.ask
   * @param {(inputs: Inputs | undefined, words: string) => void} options.onSet
   */
  constructor({ calculators, system, inputs, ask, onSet }) {
    this.calculators = calculators;
    this.calculator = inputs?.calculator ?? calculators[0].id;
    this.system = inputs?.system ?? system;
    this.ask = ask;
    this.onSet = onSet;
    this.before = inputs;
    const several = calculators.length > 1;
    const which = select("preset-calculator", calculators, this.calculator);
    this.element = el(
      "div",
      { class: "tw-preset", role: "group", "aria-label": "Numbers set on the page" },
      el(
        "p",
        { class: "jb-help" },
        "The trainee opens the page with these numbers in it. " +
          "Change what you want to set; what you leave as the example is left to the page.",
      ),
      several && field("tw-preset-which", "Calculator", which),
      el(
        "div",
        { class: "tw-row" },
        field("tw-preset-link", "Link from the page, instead of typing", this.#link,
          "On the page, fill the calculator in, press “Copy the link”, and paste it here."),
        button("preset-take", "Take over", { class: "tw-low" }),
      ),
      this.#form,
      this.#say,
      el(
        "div",
        { class: "jb-buttons" },
        button("preset-set", "Set these numbers", { class: "jb-main" }),
        inputs && button("preset-none", "Set no numbers"),
        button("preset-leave", "Leave as it was"),
      ),
    );
    this.element.addEventListener("submit", (event) => event.preventDefault());
    this.element.addEventListener("click", (event) => void this.#onClick(event));
    this.element.addEventListener("change", (event) => {
      // The form is the page's own: nothing of it is a part of the assignment until it is set.
      event.stopPropagation();
      if (event.target === which) {
        this.calculator = /** @type {HTMLSelectElement} */ (which).value;
        void this.begin();
        return;
      }
      const form = this.#inner;
      if (form) showApplicable(form);
    });
    this.element.addEventListener("input", (event) => event.stopPropagation());
  }

  get #inner() {
    return /** @type {HTMLFormElement | null} */ (this.#form.querySelector("form"));
  }

  /** Show the form, filled with what is set. @param {Inputs | undefined} [inputs] */
  async begin(inputs = this.before) {
    this.#asked += 1;
    const asked = this.#asked;
    this.#tell("Fetching the form…");
    try {
      const { calculator, system } = this;
      const answer = await this.ask({ op: "course-form", calculator, system });
      if (asked !== this.#asked) return;
      if (typeof answer?.html !== "string") {
        this.#tell(messageOf(answer));
        return;
      }
      this.#form.replaceChildren(fragment(answer.html));
    } catch (error) {
      if (asked === this.#asked) this.#tell(plain(error));
      return;
    }
    const form = this.#inner;
    if (!form) return;
    this.#example = readInputs(form);
    let told = "";
    if (inputs?.calculator === this.calculator) {
      const left = fillInputs(form, inputs.values);
      if (left.length > 0) told = "Some numbers of the link stand in a unit of their own. Look at them before you set them.";
    }
    showApplicable(form);
    this.#tell(told);
  }

  /** @param {string} words */
  #tell(words) {
    this.#say.textContent = words;
  }

  /** @param {MouseEvent} event */
  async #onClick(event) {
    const pressed = event.target instanceof Element ? event.target.closest("[data-action]") : null;
    if (!pressed) return;
    const action = pressed.getAttribute("data-action");
    const table = pressed.closest(".lc-table");
    if (action === "add-row" && table) addRow(table);
    if (action === "remove-row" && table) {
      pressed.closest("[data-row]")?.remove();
      renumberRows(table);
    }
    if (action === "preset-take") await this.#take();
    if (action === "preset-set") await this.#set();
    if (action === "preset-none") this.onSet(undefined, "No numbers are set on the page.");
    if (action === "preset-leave") this.onSet(this.before, "");
  }

  async #take() {
    const text = this.#link.value.trim();
    const found = readHash(text.includes("#") ? text.slice(text.indexOf("#")) : text);
    if (!found || Object.keys(found.inputs).length === 0) {
      this.#tell("There are no numbers in this link. Copy it from the calculator of the page.");
      return;
    }
    if (!this.calculators.some(({ id }) => id === found.calculator)) {
      this.#tell("This link is of a calculator on another page. Add that page instead.");
      return;
    }
    this.calculator = found.calculator;
    this.system = found.system ?? "si";
    const which = this.element.querySelector('[name="preset-calculator"]');
    if (which) /** @type {HTMLSelectElement} */ (which).value = found.calculator;
    await this.begin({ calculator: found.calculator, system: this.system, values: found.inputs });
    if (!this.#say.textContent) this.#tell("Taken over. Look at the numbers, and set them.");
  }

  async #set() {
    const form = this.#inner;
    if (!form) return;
    const { calculator, system } = this;
    for (const error of form.querySelectorAll(".lc-error")) {
      error.setAttribute("hidden", "");
      error.textContent = "";
    }
    // What is left as the example is left to the page: it may be another one in other units.
    const same = (/** @type {string} */ name, /** @type {unknown} */ entry) =>
      JSON.stringify(entry) === JSON.stringify(this.#example[name]);
    const values = Object.fromEntries(
      Object.entries(readInputs(form)).filter(([name, entry]) => !same(name, entry)),
    );
    if (Object.keys(values).length === 0) {
      this.#tell("Every field still holds the page's example. Change at least one number.");
      return;
    }
    try {
      const answer = await this.ask({ op: "course-preset", calculator, system, values });
      if (answer?.errors) {
        for (const { field: name, message } of answer.errors) {
          const place = form.querySelector(`[data-field="${CSS.escape(name ?? "")}"] .lc-error`);
          if (!place) continue;
          place.textContent = message;
          place.removeAttribute("hidden");
        }
        this.#tell(messageOf(answer));
        return;
      }
      this.onSet(answer.inputs, "The numbers are set.");
    } catch (error) {
      this.#tell(plain(error));
    }
  }
}

/** @param {Inputs} inputs @returns {string} the numbers that are set, in words */
export function presetWords({ values }) {
  return Object.entries(values)
    .filter(([, text]) => text.trim() !== "")
    .map(([name, text]) => `${name.replaceAll("_", " ")} ${text}`)
    .join(", ");
}

// @ts-check
/**
 * What a job is about: its name, the place, who does it, why, and how it was left.
 */
import { el, field } from "./job-dom.mjs";

const PAUSE = 500;
const LONGEST_NAME = 120;
export const LONGEST_TEXT = 4000;
const TECHNICIAN = "handbook.technician";

/** @type {{name: string, label: string, lines?: number, help?: string}[]} */
const FIELDS = [
  { name: "where", label: "Place", help: "Building, street, plant room." },
  { name: "who", label: "Technician", help: "This device remembers it for the next job." },
  { name: "reference", label: "Reference number" },
  { name: "owner", label: "Owner, or whom to call" },
  { name: "called", label: "Why we were called", lines: 2 },
  { name: "found", label: "What was found", lines: 4 },
  { name: "left", label: "How it was left", lines: 4 },
];

/** @returns {string} the technician of this device, as typed last */
export function technician() {
  try {
    return globalThis.localStorage.getItem(TECHNICIAN) ?? "";
  } catch {
    return "";
  }
}

/** @param {string} name */
export function rememberTechnician(name) {
  try {
    globalThis.localStorage.setItem(TECHNICIAN, name);
  } catch {
    // It has to be typed again next time, no more than that.
  }
}

/**
 * Put a text into a job; an empty one takes the record away.
 *
 * @param {any} job
 * @param {string} name
 * @param {string} text
 * @returns {Promise<unknown>}
 */
export function writeAbout(job, name, text) {
  const at = job.now();
  return Promise.resolve(
    job.update(`about/${name}`, (/** @type {any} */ old) => {
      if ((old?.text ?? "") === text) return old;
      return text.trim() ? { text, at } : undefined;
    }),
  );
}

export class AboutForm {
  /** @type {Map<string, ReturnType<typeof setTimeout>>} */ #waiting = new Map();
  /** @type {Map<string, HTMLInputElement | HTMLTextAreaElement>} */ #controls = new Map();
  #state = el("span", { class: "jb-kept" });

  /** @param {{job: any}} context */
  constructor({ job }) {
    this.job = job;
    const name = el("input", {
      ...{ type: "text", maxlength: String(LONGEST_NAME), "data-about": "name" },
      ...{ autocomplete: "off", required: true },
    });
    const form = el(
      "form",
      { class: "jb-form", novalidate: true },
      this.#labelled("name", "Name of the job", name),
      ...FIELDS.map(({ name: each, label, lines, help }) =>
        this.#labelled(each, label, this.#control(each, lines), help),
      ),
    );
    this.root = el(
      "section",
      { class: "jb-part", "aria-labelledby": "jb-about" },
      el("h2", { id: "jb-about" }, "About this job"),
      el("p", { class: "jb-help" }, "Kept while you type. Leave empty what you do not need. ", this.#state),
      form,
    );
    form.addEventListener("input", (event) => this.#onInput(event));
    form.addEventListener("change", () => void this.flush());
    form.addEventListener("submit", (event) => event.preventDefault());
  }

  /**
   * @param {string} name
   * @param {string} label
   * @param {HTMLElement} control
   * @param {string} [help]
   */
  #labelled(name, label, control, help) {
    this.#controls.set(name, /** @type {HTMLInputElement} */ (control));
    const labelled = field(`jb-about-${name}`, label, control, help);
    if (control.nodeName === "TEXTAREA") labelled.classList.add("jb-wide");
    return labelled;
  }

  /** @param {string} name @param {number} [lines] */
  #control(name, lines) {
    const limits = { maxlength: String(LONGEST_TEXT), "data-about": name, autocomplete: "off" };
    return lines
      ? el("textarea", { ...limits, rows: String(lines) })
      : el("input", { ...limits, type: "text" });
  }

  /** Show what the job has, but never under the hand of the one who types. */
  show() {
    for (const [name, control] of this.#controls) {
      if (this.#waiting.has(name)) continue;
      const text =
        name === "name" ? this.job.meta.name : (this.job.get(`about/${name}`)?.text ?? "");
      if (control.value !== text) control.value = text;
    }
  }

  /** @param {Event} event */
  #onInput({ target }) {
    const name = target instanceof HTMLElement ? target.dataset.about : undefined;
    if (!name) return;
    clearTimeout(this.#waiting.get(name));
    this.#waiting.set(
      name,
      setTimeout(() => void this.#save(name), PAUSE),
    );
    this.#state.textContent = "";
  }

  /** @param {string} name */
  async #save(name) {
    clearTimeout(this.#waiting.get(name));
    this.#waiting.delete(name);
    const text = this.#controls.get(name)?.value ?? "";
    try {
      if (name === "name") {
        if (text.trim() && text.trim() !== this.job.meta.name) {
          await this.job.rename(this.job.id, text.trim());
        }
      } else {
        if (name === "who") rememberTechnician(text.trim());
        await writeAbout(this.job, name, text);
      }
      if (this.#waiting.size === 0) this.#state.textContent = "Kept on this device.";
    } catch {
      this.#state.textContent = "Not kept: the device did not store it. Save the job as a file.";
    }
  }

  /** Keep at once what was typed; the job may be another one in a moment. */
  async flush() {
    await Promise.all([...this.#waiting.keys()].map((name) => this.#save(name)));
  }
}

// @ts-check
/**
 * What is left to do, and who does it.
 */
import { button, el, field, focusKey, refill } from "./job-dom.mjs";
import { LONGEST_TEXT } from "./job-about.mjs";

const KEY = "todo/";
/** @type {[string, string][]} */
export const DOERS = [
  ["us", "We do it"],
  ["owner", "The owner does it"],
  ["licensed", "A licensed person does it"],
];

export class Todos {
  #text = /** @type {HTMLInputElement} */ (
    el("input", { type: "text", maxlength: String(LONGEST_TEXT), autocomplete: "off" })
  );
  #doer = /** @type {HTMLSelectElement} */ (
    el("select", {}, ...DOERS.map(([value, words]) => el("option", { value }, words)))
  );
  #lists = el("div", { class: "jb-todos" });
  #gone = el("div", { class: "jb-gone" });
  /** @type {Map<string, any>} what was removed on this page */ #removed = new Map();
  #of = "";

  /** @param {import("./job-shelf.mjs").Context} context */
  constructor({ job, say }) {
    this.job = job;
    this.say = say;
    const form = el(
      "form",
      { class: "jb-form jb-add", novalidate: true },
      field("jb-todo-text", "What is left to do", this.#text),
      field("jb-todo-doer", "Who", this.#doer),
      button("add-todo", "Add", { type: "submit" }),
    );
    this.root = el(
      "section",
      { class: "jb-part", "aria-labelledby": "jb-todos" },
      el("h2", { id: "jb-todos" }, "Left to do"),
      this.#lists,
      this.#gone,
      form,
    );
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.#add();
    });
    this.root.addEventListener("change", (event) => this.#onChange(event));
  }

  actions = /** @type {Record<string, (button: HTMLElement) => void>} */ ({
    "remove-todo": ({ dataset }) => this.#remove(dataset.id ?? ""),
    "return-todo": ({ dataset }) => this.#return(dataset.id ?? ""),
  });

  show() {
    if (this.#of !== this.job.id) this.#removed.clear();
    this.#of = this.job.id;
    const all = this.job
      .keys(KEY)
      .map((/** @type {string} */ key) => ({ ...this.job.get(key), id: key.slice(KEY.length) }))
      .sort((/** @type {any} */ one, /** @type {any} */ other) =>
        String(one.at) < String(other.at) ? -1 : 1,
      );
    const known = DOERS.map(([doer]) => doer);
    const groups = DOERS.map(([doer, words], index) => {
      // One whose doer this edition does not know is ours to look at.
      const items = all.filter(
        (/** @type {any} */ todo) => todo.for === doer || (index === 0 && !known.includes(todo.for)),
      );
      return items.length > 0 && [el("h3", {}, words), this.#list(items)];
    });
    refill(
      this.#lists,
      all.length > 0 ? groups.flat() : [el("p", { class: "jb-empty" }, "Nothing noted.")],
    );
    refill(
      this.#gone,
      [...this.#removed].map(([id, { text }]) =>
        el(
          "p",
          { class: "jb-note" },
          `Removed: ${text}`,
          button("return-todo", "Put it back", { "data-id": id, "data-key": `return ${id}` }),
        ),
      ),
    );
  }

  /** @param {any[]} items */
  #list(items) {
    return el(
      "ul",
      { class: "jb-list" },
      ...items.map(({ id, text, done }) => {
        const tick = /** @type {HTMLInputElement} */ (
          el("input", {
            ...{ type: "checkbox", id: `jb-todo-${id}`, "data-id": id, "data-key": `done ${id}` },
            checked: done,
          })
        );
        tick.checked = Boolean(done);
        return el(
          "li",
          { class: "jb-todo", "data-done": Boolean(done) },
          el("label", { class: "jb-tick", for: `jb-todo-${id}` }, tick, el("span", {}, text)),
          button("remove-todo", "Remove", {
            ...{ "data-id": id, "data-key": `remove ${id}` },
            "aria-label": `Remove: ${text}`,
          }),
        );
      }),
    );
  }

  #add() {
    const text = this.#text.value.trim();
    if (!text) {
      this.say("Write down first what is left to do.");
      this.#text.focus();
      return;
    }
    const { job } = this;
    job.set(KEY + job.newId(), { text, for: this.#doer.value, done: false, at: job.now() });
    this.#text.value = "";
    // The next one is often written at once.
    this.#text.focus();
    this.say(`Added: ${text}`);
    this.show();
  }

  /** @param {Event} event */
  #onChange({ target }) {
    if (!(target instanceof HTMLElement) || !target.dataset.id) return;
    const done = /** @type {HTMLInputElement} */ (target).checked;
    const at = this.job.now();
    this.job.update(KEY + target.dataset.id, (/** @type {any} */ old) => old && { ...old, done, at });
    this.show();
  }

  /** @param {string} id */
  #remove(id) {
    const old = this.job.get(KEY + id);
    if (!old) return;
    this.#removed.set(id, old);
    this.job.remove(KEY + id);
    this.show();
    focusKey(this.root, `return ${id}`);
    this.say(`Removed: ${old.text}`);
  }

  /** @param {string} id */
  #return(id) {
    const old = this.#removed.get(id);
    this.#removed.delete(id);
    if (old) this.job.update(KEY + id, (/** @type {any} */ now) => now ?? old);
    this.show();
    focusKey(this.root, `done ${id}`);
    if (old) this.say(`Put back: ${old.text}`);
  }
}

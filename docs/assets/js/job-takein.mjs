// @ts-check
/**
 * The ways into the device: a file, or a link that was opened. Nothing is taken in unasked.
 */
import { button, el, refill } from "./job-dom.mjs";
import { compared, FileRefusal, readText, textOf } from "./job-files.mjs";
import { takeOf, unpacked } from "./job-link.mjs";
import { counted, when } from "./job-words.mjs";

/** @typedef {import("./job-files.mjs").Whole} Whole */
/** @typedef {{text: string, from: "file" | "link"}} Source */

const MOST_NOTES = 6;

export class TakeIn {
  #file = /** @type {HTMLInputElement} */ (el("input", { type: "file", id: "jb-file" }));
  #offer = el("div", { class: "jb-offer" });
  /** @type {Source | null} */ #source = null;
  /** @type {Whole | null} */ #offered = null;
  #asked = 0;

  /** @param {import("./job-shelf.mjs").Context} context */
  constructor({ job, ask, say, leave, arrive }) {
    this.job = job;
    this.ask = ask;
    this.say = say;
    this.leave = leave;
    this.arrive = arrive;
    // A link is answered at the head of the page, where the reader arrives.
    this.answer = el("div", { class: "jb-answer" });
    this.root = el(
      "section",
      { class: "jb-part", "aria-labelledby": "jb-take-in" },
      el("h2", { id: "jb-take-in" }, "Take in a job"),
      el(
        "p",
        { class: "jb-help" },
        "From a file that ends in .job.json. You see what is inside before anything is taken in.",
      ),
      el("label", { class: "jb-file", for: "jb-file" }, "Choose a file", this.#file),
      this.#offer,
    );
    this.#file.addEventListener("change", () => void this.#onFile());
  }

  actions = /** @type {Record<string, (button: HTMLElement) => void>} */ ({
    "take-new": () => void this.#take("new"),
    "take-replace": () => void this.#take("replace"),
    "take-copy": () => void this.#take("copy"),
    "take-anyhow": () => void this.#read(true),
    "take-none": () => this.#leave(),
    "open-taken": ({ dataset }) => void this.#open(dataset.id ?? ""),
  });

  show() {}

  /** @returns {HTMLElement} where the offer at hand is shown */
  get #part() {
    return this.#source?.from === "link" ? this.answer : this.#offer;
  }

  async #onFile() {
    const file = this.#file.files?.[0];
    if (!file) return;
    try {
      this.#source = { text: await textOf(file), from: "file" };
    } catch (error) {
      this.#source = { text: "", from: "file" };
      this.#refuse(error);
      return;
    } finally {
      // The same file may be chosen again after it was mended.
      this.#file.value = "";
    }
    await this.#read(false);
  }

  /**
   * Read the job in an address, if there is one.
   *
   * @param {string} hash
   */
  async fromLink(hash) {
    const packed = takeOf(hash);
    if (packed === null) return;
    this.#source = { text: "", from: "link" };
    try {
      this.#source.text = await unpacked(packed);
    } catch (error) {
      this.#refuse(error);
      return;
    }
    await this.#read(false);
  }

  /** @param {boolean} force */
  async #read(force) {
    const source = this.#source;
    if (!source) return;
    this.#asked += 1;
    const mine = this.#asked;
    this.say(source.from === "link" ? "Reading the link…" : "Reading the file…");
    try {
      const { job: offered, notes } = await readText(this.ask, source.text, { force });
      const here = await this.#here(offered.id);
      if (mine !== this.#asked || !this.root.isConnected) return;
      this.#offered = offered;
      this.#show(offered, here, notes, force);
    } catch (error) {
      if (mine === this.#asked && this.root.isConnected) this.#refuse(error);
    }
  }

  /** @param {string} id @returns {Promise<Whole | null>} the job of this id on this device */
  async #here(id) {
    for (const which of [{}, { archived: true }, { discarded: true }]) {
      const metas = await this.job.shelf(which);
      if (metas.some((/** @type {any} */ meta) => meta.id === id)) {
        return (await this.job.whole(id)) ?? null;
      }
    }
    return null;
  }

  /**
   * @param {Whole} offered
   * @param {Whole | null} here
   * @param {string[]} notes
   * @param {boolean} force
   */
  #show(offered, here, notes, force) {
    const { state, lines } = compared(offered, here);
    const about = (/** @type {string} */ name) => offered.records[`about/${name}`]?.text;
    const facts = [
      about("where") && `Place: ${about("where")}`,
      about("who") && `Technician: ${about("who")}`,
      `Begun: ${when(offered.created)}`,
      ...lines,
    ].filter(Boolean);
    const told = notes.slice(0, MOST_NOTES);
    if (notes.length > told.length) {
      told.push(counted(notes.length - told.length, "more note", "more notes"));
    }
    refill(this.#part, [
      el(
        "div",
        { class: "jb-card", role: "group", "aria-labelledby": "jb-offer-title" },
        el("h3", { id: "jb-offer-title", tabindex: "-1" }, `Take in “${offered.name}”?`),
        el("ul", { class: "jb-lines" }, ...facts.map((line) => el("li", {}, line))),
        told.length > 0 && el("ul", { class: "jb-lines" }, ...told.map((note) => el("li", {}, note))),
        force && el("p", { class: "jb-stale" }, "It was changed or cut after it was written. Trust no number in it unseen."),
        el("p", {}, question(state, force)),
        el("div", { class: "jb-buttons" }, ...this.#choices(state, force, offered.id)),
      ),
    ]);
    this.#focusTitle();
    this.say("Nothing is taken in yet. Look at what is inside, and choose.");
  }

  /**
   * @param {"new" | "same" | "other"} state
   * @param {boolean} force
   * @param {string} id
   */
  #choices(state, force, id) {
    const none = button("take-none", state === "same" && !force ? "All right" : "Leave it");
    const main = { class: "jb-main" };
    if (force) return [button("take-copy", "Take it in as a copy", main), none];
    if (state === "new") return [button("take-new", "Take it in", main), none];
    if (state === "same") return [button("open-taken", "Open it", { "data-id": id, ...main }), none];
    return [
      button("take-copy", "Keep both", main),
      button("take-replace", "Replace the one here"),
      none,
    ];
  }

  #focusTitle() {
    const title = this.#part.querySelector("[tabindex]");
    if (!(title instanceof HTMLElement)) return;
    title.focus({ preventScroll: true });
    title.scrollIntoView({ block: "center" });
  }

  /** @param {unknown} error */
  #refuse(error) {
    const message = error instanceof Error ? error.message : String(error);
    const mendable = error instanceof FileRefusal && error.mendable;
    refill(this.#part, [
      el(
        "div",
        { class: "jb-card", "data-refused": true },
        el("h3", { tabindex: "-1" }, "Not taken in"),
        el("p", {}, message),
        el("p", {}, "Nothing on this device was changed."),
        el(
          "div",
          { class: "jb-buttons" },
          mendable && button("take-anyhow", "Look at it all the same"),
          button("take-none", "All right"),
        ),
      ),
    ]);
    this.#focusTitle();
    this.say(message);
  }

  /** @param {"new" | "replace" | "copy"} as */
  async #take(as) {
    const offered = this.#offered;
    if (!offered) return;
    this.#offered = null;
    try {
      await this.leave();
      const id = await this.job.takeIn(offered, { as });
      const copy = this.job.keptCopy;
      this.#forgetLink();
      const former = copy ? ` What was here before is kept as “${copy.name}”.` : "";
      const words = `${as === "copy" ? "Taken in as a copy" : "Taken in"}: ${offered.name}.${former}`;
      const part = this.#part;
      refill(part, [
        el("p", { class: "jb-note" }, words, button("open-taken", "Open it", { "data-id": id, "data-key": "open" })),
      ]);
      const open = part.querySelector("button");
      if (open) open.focus();
      this.say(words);
      this.arrive({ stay: true });
    } catch (error) {
      this.#refuse(error);
    }
  }

  #leave() {
    this.#offered = null;
    const { from } = this.#source ?? {};
    this.#part.replaceChildren();
    this.#source = null;
    this.#forgetLink();
    if (from === "file") this.#file.focus();
    this.say("Left alone. Nothing was changed.");
  }

  /** @param {string} id */
  async #open(id) {
    await this.leave();
    await this.job.open(id);
    this.answer.replaceChildren();
    this.#offer.replaceChildren();
    this.#forgetLink();
    this.say(`Open: ${this.job.meta.name}`);
    this.arrive();
  }

  /** A page that is loaded again must not ask again. */
  #forgetLink() {
    if (takeOf(location.hash) === null) return;
    history.replaceState(history.state, "", location.pathname + location.search);
  }
}

/** @param {"new" | "same" | "other"} state @param {boolean} force */
function question(state, force) {
  if (force) return "A copy stands beside what is here. Nothing is replaced.";
  if (state === "new") return "It becomes a job of its own on this device.";
  if (state === "same") return "This device has the same job already, and nothing in it differs.";
  return (
    "This device has the same job in another state. Keep both, or replace the one here. Where the " +
    "one here holds more, it is not lost: a copy of it is kept."
  );
}

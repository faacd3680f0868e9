// @ts-check
/**
 * The form that begins a job.
 */
import { rememberTechnician, technician, writeAbout } from "./job-about.mjs";
import { button, el, field } from "./job-dom.mjs";
import { contents, suggestedName } from "./job-words.mjs";

export class BeginForm {
  #place = /** @type {HTMLInputElement} */ (text("street-address"));
  #who = /** @type {HTMLInputElement} */ (text("name"));
  #name = /** @type {HTMLInputElement} */ (text("off"));
  #along = /** @type {HTMLInputElement} */ (el("input", { type: "checkbox", id: "jb-along" }));
  #alongWords = el("span");
  #alongLine = el("label", { class: "jb-tick", for: "jb-along" }, this.#along, this.#alongWords);
  // A name that the reader wrote is left alone.
  #ownName = false;
  #begun = false;
  #title = el("h2", { id: "jb-begin" });

  /** @param {import("./job-shelf.mjs").Context} context */
  constructor({ job, say, leave, arrive }) {
    this.job = job;
    this.say = say;
    this.leave = leave;
    this.arrive = arrive;
    const form = el(
      "form",
      { class: "jb-form", novalidate: true },
      field("jb-begin-place", "Place", this.#place, "Where the system stands."),
      field("jb-begin-who", "Technician", this.#who),
      field("jb-begin-name", "Name of the job", this.#name, "To find it again. Change it as you like."),
      this.#alongLine,
      button("begin", "Begin the job", { type: "submit", class: "jb-main" }),
    );
    this.root = el(
      "section",
      { class: "jb-part", "aria-labelledby": "jb-begin" },
      this.#title,
      form,
    );
    form.addEventListener("input", ({ target }) => {
      if (target === this.#name) this.#ownName = this.#name.value.trim() !== "";
      else if (target === this.#place) this.#suggest();
    });
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      void this.#begin();
    });
  }

  #suggest() {
    if (!this.#ownName) this.#name.value = suggestedName(this.#place.value, this.job.now());
  }

  show() {
    const { job } = this;
    this.#title.textContent = job.isOpen ? "Begin another job" : "Begin a job";
    if (!this.#who.value) this.#who.value = technician();
    this.#suggest();
    // What was typed before belongs to no job as long as none is open.
    const keys = job.isOpen ? [] : job.keys("");
    const wasHidden = this.#alongLine.hidden;
    this.#alongLine.hidden = keys.length === 0;
    if (wasHidden || this.#alongWords.textContent === "") this.#along.checked = keys.length > 0;
    this.#alongWords.textContent = `Take along what is typed so far: ${contents(keys)}`;
  }

  async #begin() {
    if (this.#begun) return;
    this.#begun = true;
    const { job } = this;
    const name = this.#name.value.trim() || suggestedName(this.#place.value, job.now());
    const who = this.#who.value.trim();
    const takeScratch = !this.#alongLine.hidden && this.#along.checked;
    try {
      await this.leave();
      await job.begin({ name, takeScratch });
      // Both at once: a page that is left between the two would take the second with it.
      const place = this.#place.value.trim();
      const written = [place && writeAbout(job, "where", place), who && writeAbout(job, "who", who)];
      if (who) rememberTechnician(who);
      await Promise.all(written);
      this.#place.value = "";
      this.#ownName = false;
      this.say(`Begun: ${name}. From now on everything you enter goes into it.`);
      this.arrive();
    } catch (error) {
      this.say(`The job could not be begun: ${error instanceof Error ? error.message : error}`);
    } finally {
      this.#begun = false;
    }
  }
}

/** @param {string} autocomplete */
function text(autocomplete) {
  return el("input", { type: "text", maxlength: "120", autocomplete });
}

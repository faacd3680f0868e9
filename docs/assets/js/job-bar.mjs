// @ts-check
/**
 * The line at the head of every page: which job is open, and whether it was saved as a file.
 *
 * With no job open it shows nothing and takes no room, but for the pages of the record itself.
 */
import { el, refill } from "./job-dom.mjs";
import { reminder } from "./job-words.mjs";
import { job as visitJob } from "./job.mjs";

const SHELF = new URL("../../job/", import.meta.url);

export class JobBar extends HTMLElement {
  /** @type {AbortController | null} */ #listening = null;

  get job() {
    return visitJob;
  }

  connectedCallback() {
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    for (const event of ["change", "switch", "trouble"]) {
      this.job.addEventListener(event, () => this.#show(), { signal });
    }
    this.#show();
    void this.job.ready.then(() => {
      if (!signal.aborted) this.#show();
    });
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
  }

  #show() {
    const { job } = this;
    const onJobPage = this.hasAttribute("data-job-page");
    this.dataset.state = job.isOpen ? "open" : "none";
    // What was said before the first paint is kept true.
    if (job.isOpen) document.documentElement.dataset.job = "open";
    else delete document.documentElement.dataset.job;
    if (!job.isOpen && !onJobPage) {
      this.replaceChildren();
      return;
    }
    const trouble = job.trouble && el("p", { class: "jb-trouble" }, job.trouble);
    refill(this, job.isOpen ? [this.#open(), trouble] : [none(), trouble]);
  }

  #open() {
    const { job } = this;
    const unsaved = Boolean(job.unsaved);
    return el(
      "p",
      { class: "jb-bar-line" },
      el("span", { class: "jb-bar-word" }, "Job:"),
      el("a", { href: SHELF.href, class: "jb-bar-name", "data-key": "name" }, job.meta?.name || "…"),
      // Only the reminder is worth the room; that all is well needs no word.
      unsaved && el("span", { class: "jb-bar-mark" }, reminder(job.meta)),
    );
  }
}

function none() {
  return el(
    "p",
    { class: "jb-bar-line" },
    el("span", { class: "jb-bar-word" }, "No job is open."),
    el("a", { href: SHELF.href, class: "jb-bar-name", "data-key": "name" }, "Begin or open one"),
  );
}

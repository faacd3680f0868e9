// @ts-check
/**
 * The ways out of the device: a file, another program of the device, a square code.
 */
import { button, el, refill } from "./job-dom.mjs";
import { canShare, download, fileOf, fileText, share } from "./job-files.mjs";
import { codeOf, linkTo, LONGEST_LINK, siteOnly } from "./job-link.mjs";
import { contents, counted, SAVE_IT, savedWords } from "./job-words.mjs";

const PAGE = new URL("../../job/", import.meta.url);

/**
 * Return the link that fits a code: of the whole job, else of the site alone, else none.
 *
 * @param {import("./job-files.mjs").Ask} ask
 * @param {import("./job-files.mjs").Whole} whole
 * @param {string} id for the part that stands for itself
 * @param {string} [page]
 * @returns {Promise<{holds: "all" | "site" | "none", link: string, length: number,
 *   behind: string}>} `length` is that of the whole job's link; `behind` is what does not go along
 */
export async function smallLink(ask, whole, id, page = PAGE.href) {
  const photos = Object.keys(whole.photos ?? {}).length;
  const link = await linkTo(await fileText(ask, { ...whole, photos: {} }), page);
  const { length } = link;
  if (length <= LONGEST_LINK) {
    const behind = photos > 0 ? counted(photos, "photo", "photos") : "";
    return { holds: "all", link, length, behind };
  }
  const part = siteOnly(whole, id);
  const left = Object.keys(whole.records).filter((key) => !(key in part.records));
  const behind = contents(left, photos);
  const short = await linkTo(await fileText(ask, part), page);
  if (left.length > 0 && short.length <= LONGEST_LINK) {
    return { holds: "site", link: short, length, behind };
  }
  return { holds: "none", link: "", length, behind };
}

export class HandOver {
  #saved = el("p", { class: "jb-saved" });
  #code = el("div", { class: "jb-codes" });
  /** @type {{text: string, state: string} | null} the file as made last */ #made = null;
  #busy = false;

  /** @param {import("./job-shelf.mjs").Context} context */
  constructor({ job, ask, say, leave }) {
    this.job = job;
    this.ask = ask;
    this.say = say;
    this.leave = leave;
    this.root = el(
      "section",
      { class: "jb-part", "aria-labelledby": "jb-hand-over" },
      el("h2", { id: "jb-hand-over" }, "Save it and hand it over"),
      this.#saved,
      el(
        "div",
        { class: "jb-buttons" },
        button("save-file", "Save as a file", { class: "jb-main" }),
        canShare() && button("share-file", "Pass the file on"),
        button("show-code", "Show as a code"),
      ),
      el(
        "p",
        { class: "jb-help" },
        "The file holds everything, photos too. " +
          "The code is for a colleague beside you: small jobs only, and no photos.",
      ),
      this.#code,
    );
  }

  actions = /** @type {Record<string, (button: HTMLElement) => void>} */ ({
    "save-file": () => void this.#once(() => this.#save()),
    "share-file": () => void this.#once(() => this.#share()),
    "show-code": () => void this.#once(() => this.#show()),
    "hide-code": () => this.#hide(),
    "copy-job-link": (pressed) => void this.#copy(pressed),
  });

  show() {
    const { job } = this;
    const { unsaved } = job;
    const words = savedWords(job.meta, unsaved);
    this.#saved.textContent = `This job is ${words}.${unsaved ? ` ${SAVE_IT}` : ""}`;
    this.#saved.toggleAttribute("data-unsaved", Boolean(unsaved));
    // A code on the screen that no longer holds what the job holds would mislead.
    if (this.#code.dataset.of !== this.#state()) this.#code.replaceChildren();
  }

  #state() {
    return `${this.job.id} ${this.job.meta.revision}`;
  }

  /** @param {() => Promise<void>} act */
  async #once(act) {
    if (this.#busy) return;
    this.#busy = true;
    try {
      await this.leave();
      await act();
    } catch (error) {
      this.say(error instanceof Error ? error.message : String(error));
    } finally {
      this.#busy = false;
    }
  }

  /** @returns {Promise<File>} the file of the job as it is now */
  async #file() {
    const { job } = this;
    if (this.#made?.state !== this.#state()) {
      this.say("Making the file…");
      const whole = await job.whole();
      const state = this.#state();
      this.#made = { text: await fileText(this.ask, whole), state };
    }
    return fileOf(job.meta.name, this.#made.text, job.now());
  }

  async #save() {
    const { id } = this.job;
    const file = await this.#file();
    download(file);
    await this.job.markExported(id);
    this.say(`Saved as ${file.name}. Look for it under the downloads of this browser.`);
    this.show();
  }

  async #share() {
    const { id } = this.job;
    const file = await this.#file();
    const end = await share(file);
    if (end === "again") this.say("The file is ready. Press “Pass the file on” once more.");
    if (end === "stopped") this.say("Not passed on.");
    if (end === "refused") {
      this.say("This device does not pass such a file on. Save it, and send it from there.");
    }
    if (end !== "shared") return;
    await this.job.markExported(id);
    this.say("Passed on.");
    this.show();
  }

  async #show() {
    const { job } = this;
    this.say("Making the code…");
    const whole = await job.whole();
    const state = this.#state();
    const small = await smallLink(this.ask, whole, job.newId());
    if (!this.root.isConnected) return;
    this.#code.dataset.of = state;
    if (small.holds === "none") {
      refill(this.#code, [
        el(
          "p",
          { class: "jb-note" },
          `Too much for a code: the link would have ${small.length} characters, and a code of more ` +
            `than ${LONGEST_LINK} is not read off a screen. Save the file and pass that on.`,
        ),
      ]);
      this.say("Too much for a code. Use the file.");
      return;
    }
    const { encode } = await import("../vendor/uqr.mjs");
    refill(this.#code, [
      el("p", {}, el("b", {}, holds(small))),
      codeOf(small.link, encode),
      el(
        "p",
        { class: "jb-help" },
        "Hold the other device's camera over it and open the link. Its handbook shows what is inside " +
          "and asks before it takes anything in. If it has the handbook for offline use, no network is " +
          "needed. Who reads this code has the job: show it to nobody else.",
      ),
      el(
        "div",
        { class: "jb-buttons" },
        button("copy-job-link", "Copy the link", { "data-link": small.link }),
        button("hide-code", "Put the code away"),
      ),
    ]);
    const code = /** @type {SVGElement} */ (this.#code.querySelector("svg"));
    code.setAttribute("tabindex", "-1");
    code.focus();
    code.scrollIntoView({ block: "center" });
    this.say(holds(small));
  }

  #hide() {
    this.#code.replaceChildren();
    const opener = this.root.querySelector('[data-action="show-code"]');
    if (opener instanceof HTMLElement) opener.focus();
  }

  /** @param {HTMLElement} pressed */
  async #copy({ dataset }) {
    try {
      await navigator.clipboard.writeText(dataset.link ?? "");
      this.say("The link is copied. Whoever opens it gets the job.");
    } catch {
      this.say("This browser did not let the link be copied. Let the camera read the code.");
    }
  }
}

/** @param {{holds: string, behind: string}} small */
function holds({ holds: what, behind }) {
  if (what === "site") {
    return (
      "The whole job is too much for a code. This one holds the site: what the job is about, its " +
      `site facts, and what is left to do. Staying behind: ${behind}. They go by file.`
    );
  }
  return behind
    ? `The code holds the whole job but for ${behind}: photos go by file only.`
    : "The code holds the whole job.";
}

// @ts-check
/**
 * The report of the open job: made by the engine, filled with the photos of this device, printed or
 * saved as a table.
 *
 * The engine is told which photos there are and never gets the pictures themselves.
 */
import { visitEngine } from "./engine.mjs";
import { button, el, refill } from "./job-dom.mjs";
import { download } from "./job-files.mjs";
import { fileName } from "./job-words.mjs";
import { morph } from "./morph.mjs";
import { Store } from "./store.mjs";

/** @typedef {"si" | "us"} System */

/** Parts that a reader may leave out, in the order of the report. @type {[string, string][]} */
export const PARTS = [
  ["changes", "Before and after"],
  ["settings", "Settings and facts as left"],
  ["faults", "Checks not passed as found"],
  ["options", "Options for the owner"],
  ["readings", "Readings"],
  ["steps", "Steps done"],
  ["photos", "Photos"],
  ["results", "Results kept"],
  ["working", "Working, step by step"],
  ["pictures", "Pictures of the working"],
  ["sources", "Sources"],
  ["sign", "Signatures"],
];
/** A part that stands inside another one goes with it. @type {Record<string, string>} */
const INSIDE = { photos: "steps", working: "results", pictures: "working" };
/** Until the reader says otherwise: the pictures double the paper and add no number. */
const AT_FIRST = ["pictures"];
/** What an owner reads; what is not settled and what is left to do is always there. */
const SHORT = ["changes", "settings", "options", "sign"];

const LEFT_OUT = "handbook.report.1";
const PAUSE = 600;
const JOB_PAGE = new URL("../../job/", import.meta.url);
/** How every JPEG begins, in base64: the engine only has to know that there is one. */
const STAND_IN = "/9j/";

const SAY = {
  none: "No job is open, so there is nothing to report. Open a job, or begin one: ",
  failed: "The report cannot be made here. ",
  safe: " Nothing is lost: the record is on this device. You can save it as a file: ",
  starting: "Starting the calculator. The report follows…",
  making: "Making the report…",
  table: "The table is saved.",
  noPhoto: "This photo is not on this device.",
};

/**
 * Return a job as the engine needs it for a report: everything but the pictures.
 *
 * @param {any} job
 */
export function withoutPictures(job) {
  /** @type {Record<string, any>} */
  const records = Object.fromEntries(
    job.keys("").map((/** @type {string} */ key) => [key, job.get(key)]),
  );
  /** @type {Record<string, string>} */
  const photos = {};
  for (const [key, record] of Object.entries(records)) {
    if (!key.startsWith("step/")) continue;
    for (const id of record?.photos ?? []) photos[id] = STAND_IN;
  }
  const { id, name, created } = job.meta;
  return { id, name: name || "Unnamed job", created: created ?? "", records, photos };
}

export class JobReport extends HTMLElement {
  /** Where the job comes from; tests put their own here. @type {() => Promise<any>} */
  static job = async () => (await import("./job.mjs")).job;

  /** Who answers; tests put their own here. @type {() => any} */
  static engine = visitEngine;

  /** @type {any} */ #job = null;
  #engine = JobReport.engine();
  #store = new Store();
  /** @type {AbortController | null} */ #listening = null;
  /** @type {ReturnType<typeof setTimeout> | undefined} */ #pause;
  /** @type {Map<string, string>} address of each photo that is shown */ #pictures = new Map();
  /** @type {Set<string>} */ #leftOut = new Set();
  #asked = 0;
  #system = /** @type {System} */ ("si");

  #say = el("p", { class: "rp-say", role: "status" });
  #choices = el("form", { class: "rp-choices", "aria-label": "The report", hidden: true });
  #sheet = el("div", { class: "rp-sheet" });
  #missing = el("p", { class: "rp-missing", hidden: true });

  connectedCallback() {
    this.#listening = new AbortController();
    const { signal } = this.#listening;
    this.#system = this.#store.preferredSystem() ?? "si";
    this.#leftOut = remembered();
    this.classList.add("rp");
    this.#drawChoices();
    this.replaceChildren(this.#choices, this.#say, this.#sheet, this.#missing);
    this.addEventListener("click", this.#onClick, { signal });
    this.addEventListener("change", this.#onChoice, { signal });
    this.#choices.addEventListener("submit", (event) => event.preventDefault(), { signal });
    void this.#open(signal);
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
    clearTimeout(this.#pause);
    this.#asked += 1;
    this.#forgetPictures(new Set());
    this.#job = null;
  }

  /** @param {AbortSignal} signal */
  async #open(signal) {
    try {
      const job = await JobReport.job();
      await job.ready;
      if (signal.aborted) return;
      this.#job = job;
    } catch (error) {
      if (!signal.aborted) this.#fail(plain(error));
      return;
    }
    this.#job.addEventListener("change", this.#onJobChange, { signal });
    this.#job.addEventListener("switch", this.#onSwitch, { signal });
    await this.#make();
  }

  // One job's numbers must never stand under another one's name.
  #onSwitch = () => {
    this.#clear();
    void this.#make();
  };

  #onJobChange = () => {
    clearTimeout(this.#pause);
    this.#pause = setTimeout(() => void this.#make(), PAUSE);
  };

  #clear() {
    this.#sheet.replaceChildren();
    this.#forgetPictures(new Set());
  }

  async #make() {
    clearTimeout(this.#pause);
    const job = this.#job;
    if (!job) return;
    this.#asked += 1;
    const asked = this.#asked;
    if (!job.isOpen) {
      this.#clear();
      this.#state("none");
      this.#tell(SAY.none, jobLink());
      return;
    }
    if (this.#sheet.childElementCount === 0) this.#state("making");
    this.#tell(this.#engine.state === "ready" ? SAY.making : SAY.starting);
    let answer;
    try {
      answer = await this.#engine.ask(this.#question("job-report"), { key: "report" });
    } catch (error) {
      if (asked === this.#asked) this.#fail(plain(error));
      return;
    }
    if (asked !== this.#asked || answer === null) return;
    if (typeof answer?.html !== "string") {
      this.#fail(messageOf(answer));
      return;
    }
    morph(this.#sheet, answer.html);
    this.#applyParts();
    this.#state("shown");
    this.#tell();
    await this.#showPhotos(asked);
  }

  /** @param {string} op */
  #question(op) {
    const job = withoutPictures(this.#job);
    return { op, job, system: this.#system, now: this.#job.now() };
  }

  /** @param {string} reason */
  #fail(reason) {
    this.#clear();
    this.#state("failed");
    this.#tell(`${SAY.failed}${reason}`, SAY.safe, jobLink(), " ", button("again", "Try again"));
  }

  /** @param {"none" | "making" | "shown" | "failed"} state */
  #state(state) {
    this.dataset.state = state;
    this.#choices.hidden = state !== "shown" && state !== "making";
    for (const each of this.#choices.querySelectorAll('[data-action="print"], [data-action="table"]')) {
      each.toggleAttribute("disabled", state !== "shown");
    }
    if (state !== "shown") this.#missing.hidden = true;
  }

  /** @param {...(string | Node)} words */
  #tell(...words) {
    refill(this.#say, words);
  }

  // ---- what goes in

  #drawChoices() {
    const units = /** @type {[System, string][]} */ ([
      ["si", "bar, L, °C"],
      ["us", "psi, gal, °F"],
    ]);
    refill(this.#choices, [
      el(
        "div",
        { class: "rp-buttons" },
        button("print", "Print, or save as PDF", { class: "rp-main", "data-key": "print" }),
        button("table", "Save as a table (CSV)", { "data-key": "table" }),
      ),
      el(
        "fieldset",
        { class: "rp-units" },
        el("legend", {}, "Units"),
        ...units.map(([system, words]) =>
          el(
            "label",
            {},
            el("input", {
              type: "radio",
              name: "report-system",
              value: system,
              checked: system === this.#system,
            }),
            el("span", {}, words),
          ),
        ),
      ),
      el(
        "details",
        { class: "rp-parts" },
        el("summary", {}, "What goes in"),
        el(
          "div",
          { class: "rp-buttons" },
          button("short", "Short, for the owner", { "data-key": "short" }),
          button("all", "Everything, for the inspector", { "data-key": "all" }),
        ),
        el(
          "fieldset",
          {},
          el("legend", {}, "Parts"),
          ...PARTS.map(([name, words]) =>
            el(
              "label",
              { class: INSIDE[name] ? "rp-inside" : "" },
              el("input", { type: "checkbox", value: name }),
              el("span", {}, words),
            ),
          ),
        ),
        el(
          "p",
          {},
          "What is not settled, what a licensed person has to confirm, and what is left to do " +
            "is always in.",
        ),
      ),
    ]);
    this.#tickParts();
  }

  #tickParts() {
    for (const box of this.#boxes()) box.checked = !this.#leftOut.has(box.value);
  }

  /** @returns {HTMLInputElement[]} */
  #boxes() {
    return [...this.#choices.querySelectorAll("input")].filter(({ type }) => type === "checkbox");
  }

  #onChoice = (/** @type {Event} */ event) => {
    const { target } = event;
    if (!(target instanceof HTMLElement)) return;
    const { type, value, checked } = /** @type {HTMLInputElement} */ (target);
    if (type === "radio") {
      this.#system = value === "us" ? "us" : "si";
      void this.#make();
    } else if (type === "checkbox") {
      if (checked) {
        // What stands inside another part needs it.
        for (let name = value; name; name = INSIDE[name]) this.#leftOut.delete(name);
      } else this.#leftOut.add(value);
      this.#chose();
    }
  };

  #chose() {
    this.#tickParts();
    remember(this.#leftOut);
    this.#applyParts();
  }

  /** Hide what is left out, and say so on the sheet: nobody shall take a part for the whole. */
  #applyParts() {
    /** @type {string[]} */
    const missing = [];
    for (const [name, words] of PARTS) {
      const out = this.#leftOut.has(name);
      const parts = this.#sheet.querySelectorAll(`[data-part="${name}"]`);
      for (const part of parts) part.toggleAttribute("hidden", out);
      if (out && parts.length > 0 && !this.#leftOut.has(INSIDE[name])) missing.push(words);
    }
    this.#missing.hidden = missing.length === 0;
    this.#missing.textContent = missing.length > 0 ? `Left out here: ${missing.join("; ")}.` : "";
  }

  // ---- buttons

  #onClick = (/** @type {Event} */ event) => {
    const { target } = event;
    const action =
      target instanceof Element ? target.closest("[data-action]")?.getAttribute("data-action") : null;
    if (action === "print") void this.#print();
    if (action === "table") void this.#saveTable();
    if (action === "again") void this.#make();
    if (action === "all") this.#leftOut.clear();
    if (action === "short") {
      this.#leftOut = new Set(PARTS.map(([name]) => name).filter((name) => !SHORT.includes(name)));
    }
    if (action === "all" || action === "short") this.#chose();
  };

  async #print() {
    const pictures = [...this.#sheet.querySelectorAll("img")];
    // A picture that is not drawn yet would leave a hole in the print.
    await Promise.all(pictures.map((picture) => picture.decode?.().catch(() => undefined)));
    globalThis.print();
  }

  async #saveTable() {
    let answer;
    try {
      answer = await this.#engine.ask(this.#question("job-csv"));
    } catch (error) {
      this.#tell(plain(error));
      return;
    }
    if (typeof answer?.text !== "string") {
      this.#tell(messageOf(answer));
      return;
    }
    const name = fileName(this.#job.meta.name, this.#job.now()).replace(/\.job\.json$/, ".csv");
    // Without the mark some spreadsheets take the letters for those of another alphabet.
    download(new File(["\ufeff", answer.text], name, { type: "text/csv" }));
    this.#tell(SAY.table);
  }

  // ---- photos

  /** @param {number} asked */
  async #showPhotos(asked) {
    const figures = [...this.#sheet.querySelectorAll("[data-photo]")];
    const wanted = new Set(figures.map((figure) => figure.getAttribute("data-photo") ?? ""));
    this.#forgetPictures(wanted);
    for (const figure of figures) {
      const id = figure.getAttribute("data-photo") ?? "";
      if (!this.#pictures.has(id)) {
        const blob = await this.#job?.photo(id).catch(() => undefined);
        if (asked !== this.#asked) return;
        if (blob) this.#pictures.set(id, URL.createObjectURL(blob));
      }
      this.#putPicture(figure, this.#pictures.get(id));
    }
  }

  /** @param {Element} figure @param {string | undefined} address */
  #putPicture(figure, address) {
    const place = figure.querySelector(".rp-no-photo");
    if (!address) {
      if (place) place.textContent = SAY.noPhoto;
      return;
    }
    const words = figure.querySelector("figcaption")?.textContent ?? "Photo";
    const picture = el("img", { src: address, alt: words });
    if (place) place.replaceWith(picture);
  }

  /** @param {Set<string>} wanted ids that stay */
  #forgetPictures(wanted) {
    for (const [id, address] of this.#pictures) {
      if (wanted.has(id)) continue;
      URL.revokeObjectURL(address);
      this.#pictures.delete(id);
    }
  }
}

function jobLink() {
  return el("a", { href: JOB_PAGE.href }, "The job record");
}

/** @param {any} answer */
function messageOf(answer) {
  const errors = answer?.errors ?? [];
  return errors.map((/** @type {any} */ error) => error.message).join(" ") || "No answer came.";
}

/** @param {unknown} error */
function plain(error) {
  return error instanceof Error ? error.message : String(error);
}

/** @returns {Set<string>} the parts left out last time */
function remembered() {
  try {
    const kept = globalThis.localStorage.getItem(LEFT_OUT);
    const names = kept === null ? AT_FIRST : JSON.parse(kept);
    return new Set(PARTS.map(([name]) => name).filter((name) => names.includes(name)));
  } catch {
    return new Set(AT_FIRST);
  }
}

/** @param {Set<string>} leftOut */
function remember(leftOut) {
  try {
    globalThis.localStorage.setItem(LEFT_OUT, JSON.stringify([...leftOut]));
  } catch {
    // The choice holds for this page, which is all that a locked storage allows.
  }
}

// @ts-check
/**
 * The element that works every evidence row out again, on the device in the reader's hand.
 */
import { EngineError, LONG_LIMIT, visitEngine } from "./engine.mjs";

export class EvidenceTable extends HTMLElement {
  /** @type {AbortController | null} */ #listening = null;
  #engine = visitEngine();

  connectedCallback() {
    this.#listening = new AbortController();
    this.addEventListener("click", this.#onClick, { signal: this.#listening.signal });
    if (this.#button) this.#button.disabled = false;
  }

  disconnectedCallback() {
    this.#listening?.abort();
    this.#listening = null;
  }

  /** @returns {HTMLButtonElement | null} */
  get #button() {
    return this.querySelector('button[data-action="rerun-evidence"]');
  }

  #onClick = (/** @type {Event} */ event) => {
    if (event.target instanceof Element && event.target.closest("button") === this.#button) {
      void this.#rerun();
    }
  };

  async #rerun() {
    const signal = this.#listening?.signal;
    const button = this.#button;
    if (button) button.disabled = true;
    const lines = [...this.querySelectorAll("tr[data-row], tr[data-rows]")];
    const total = Number(this.getAttribute("data-evidence"));
    let done = 0;
    let agreed = 0;
    let wrong = 0;
    /** @type {Element[]} */
    const odd = [];
    try {
      this.#say("Starting the calculator…");
      for (const line of lines) {
        const tally = { agree: 0, stated: 0, wrong: 0 };
        for (const index of indexes(line)) {
          const answer = await this.#engine.ask({ op: "evidence", index }, { limit: LONG_LIMIT });
          if (signal?.aborted) return;
          if (answer.agrees) tally.agree += 1;
          else if (answer.expected_failure) tally.stated += 1;
          else tally.wrong += 1;
          if (line.hasAttribute("data-row")) this.#show(line, answer);
          done += 1;
          this.#say(`Row ${done} of ${total}`);
        }
        if (line.hasAttribute("data-rows")) this.#tell(line, tally);
        agreed += tally.agree;
        if (tally.wrong > 0) odd.push(line);
        wrong += tally.wrong;
      }
      const { python } = await this.#engine.ask({ op: "version" });
      const stated = done - agreed - wrong;
      this.#say(
        `Run on this device with Python ${python}: ${agreed} of ${done} rows agree` +
          (stated > 0 ? `, ${stated} disagree as stated` : "") +
          (wrong > 0 ? `, and ${wrong} disagree that should not.` : "."),
      );
      odd[0]?.scrollIntoView({ block: "center" });
    } catch (error) {
      this.#say(error instanceof EngineError ? error.message : `Something broke: ${error}`);
    } finally {
      if (button) button.disabled = false;
    }
  }

  /**
   * @param {Element} row
   * @param {{found: string, agrees: boolean, expected_failure: boolean}} answer
   */
  #show(row, { found, agrees, expected_failure: stated }) {
    row.setAttribute("data-agrees", agrees ? "yes" : "no");
    row.setAttribute("data-rerun", "");
    const output = row.querySelector("output");
    const verdict = row.querySelector(".hb-verdict");
    if (output) output.textContent = found;
    if (verdict) {
      verdict.textContent = agrees ? "agrees" : stated ? "disagrees, as stated" : "DISAGREES";
    }
  }

  /**
   * @param {Element} line a whole subject
   * @param {{agree: number, stated: number, wrong: number}} tally
   */
  #tell(line, { agree, stated, wrong }) {
    line.setAttribute("data-agrees", wrong === 0 ? "yes" : "no");
    line.setAttribute("data-rerun", "");
    const output = line.querySelector("output");
    if (!output) return;
    output.textContent =
      `${agree} agree` +
      (stated > 0 ? `, ${stated} disagree as stated` : "") +
      (wrong > 0 ? `, ${wrong} DISAGREE` : "");
  }

  /** @param {string} text */
  #say(text) {
    const place = this.querySelector(".hb-evidence-status");
    if (place) place.textContent = text;
  }
}

/**
 * @param {Element} line one row, or a subject with several
 * @returns {number[]}
 */
function indexes(line) {
  const text = line.getAttribute("data-row") ?? line.getAttribute("data-rows") ?? "";
  return text.split(" ").map(Number);
}

// @ts-check
/**
 * The element that works every evidence row out again, on the device in the reader's hand.
 */
import { EngineError, visitEngine } from "./engine.mjs";

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
    const rows = [...this.querySelectorAll("tr[data-row]")];
    let agreed = 0;
    /** @type {Element[]} */
    const odd = [];
    try {
      this.#say("Starting the calculator…");
      for (const row of rows) {
        const index = Number(row.getAttribute("data-row"));
        const answer = await this.#engine.ask({ op: "evidence", index });
        if (signal?.aborted) return;
        this.#show(row, answer);
        if (answer.agrees) agreed += 1;
        else if (!answer.expected_failure) odd.push(row);
        this.#say(`Row ${index + 1} of ${rows.length}`);
      }
      const { python } = await this.#engine.ask({ op: "version" });
      const stated = rows.length - agreed - odd.length;
      this.#say(
        `Run on this device with Python ${python}: ${agreed} of ${rows.length} rows agree` +
          (stated > 0 ? `, ${stated} disagree as stated` : "") +
          (odd.length > 0 ? `, and ${odd.length} disagree that should not.` : "."),
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

  /** @param {string} text */
  #say(text) {
    const place = this.querySelector(".hb-evidence-status");
    if (place) place.textContent = text;
  }
}

// @ts-check
/**
 * Results that a reader keeps for the report: as found, as left, or as an option for the owner.
 */

/** @typedef {"found" | "left" | "option"} Phase */

const KEY = "pin/";

/** @type {Record<Phase, string>} */
export const PHASE_WORDS = { found: "as found", left: "as left", option: "as an option" };

/**
 * Keep an answer. Of one calculator there is one found and one left; options add up.
 *
 * @param {any} job
 * @param {Phase} phase
 * @param {{calculator: string, system: string, inputs: Record<string, string>}} asked
 * @param {any} answer as the engine gave it
 * @returns {() => void} takes it back
 */
export function pin(job, phase, asked, answer) {
  const keys = /** @type {string[]} */ (job.keys(KEY));
  const same = keys.find((key) => {
    const { calculator, phase: its } = job.get(key) ?? {};
    return phase !== "option" && calculator === asked.calculator && its === phase;
  });
  const key = same ?? KEY + job.newId();
  const former = same ? job.get(same) : undefined;
  job.set(key, {
    calculator: asked.calculator,
    title: String(answer.title),
    phase,
    note: former?.note ?? "",
    at: job.now(),
    system: asked.system,
    inputs: asked.inputs,
    results: answer.results.map(resultRecord),
    checks: answer.checks.map((/** @type {any} */ check) => ({
      id: check.id,
      label: check.label,
      status: check.status,
      message: check.message,
    })),
  });
  return () => job.update(key, () => former);
}

/** @param {any} result numbers are kept as texts, so that a record is the same everywhere */
function resultRecord(result) {
  return {
    name: result.name,
    label: result.label,
    text: result.text,
    unit: result.unit,
    value: String(result.value),
    plus_minus_text: result.plus_minus_text,
    headline: Boolean(result.headline),
  };
}

// @ts-check
/**
 * A trainee's progress as the short text that a course system keeps from one sitting to the next.
 *
 * Problems are named by their number in the assignment, since the assignment is in the course.
 */
import { packed, unpacked } from "./job-link.mjs";
import { LONGEST_SUSPEND } from "./scorm-api.mjs";
import { sameProblem, soundProgress } from "./training-store.mjs";

/** @typedef {import("./training-store.mjs").Progress} Progress */

const FORM = 1;
const LONGEST_TEXT = 200_000;

/**
 * @param {any} attempt
 * @param {any[]} tasks
 */
function shortened(attempt, tasks) {
  const { problem, drill, ...rest } = attempt;
  const number = tasks.findIndex((task) => problem && sameProblem(task, problem));
  if (number >= 0) return { n: number, ...rest };
  return drill && tasks.length > 0 ? { n: 0, drill: 1, ...rest } : attempt;
}

/** @param {any} attempt @param {any[]} tasks */
function lengthened(attempt, tasks) {
  if (!Number.isSafeInteger(attempt?.n)) return attempt;
  const { n, drill, ...rest } = attempt;
  if (!tasks[n]) return null;
  return drill ? { drill: tasks[n], ...rest } : { problem: tasks[n], ...rest };
}

/** @param {Progress} progress */
async function text({ id, began, ended, changed, saved, place, tasks, items }) {
  const kept = items.map(({ done, visited, closed, attempts }, index) => [
    Number(done),
    Number(visited),
    closed,
    attempts.map((attempt) => shortened(attempt, tasks[index])),
  ]);
  return packed(JSON.stringify([FORM, id, began, ended, changed, saved, place, kept]));
}

/**
 * Return the text to keep. A drill that is under way is left out when the room is short.
 *
 * @param {Progress} progress
 */
export async function suspended(progress) {
  const whole = await text(progress);
  if (whole.length <= LONGEST_SUSPEND) return whole;
  const items = progress.items.map((item) => ({
    ...item,
    attempts: item.attempts.filter((attempt) => !attempt.drill || attempt.diagnosis),
  }));
  return text({ ...progress, items });
}

/**
 * Return the progress that a kept text tells of, or null if it tells of none that fits.
 *
 * @param {string} kept
 * @param {Progress} fresh the same work, not begun
 * @returns {Promise<Progress | null>}
 */
export async function progressFrom(kept, fresh) {
  if (!kept) return null;
  try {
    const [form, id, began, ended, changed, saved, place, items] = JSON.parse(
      await unpacked(kept, LONGEST_TEXT),
    );
    if (form !== FORM || items.length !== fresh.items.length) return null;
    return soundProgress({
      ...fresh,
      id,
      began,
      ended,
      changed,
      saved,
      place,
      items: items.map((/** @type {any} */ item, /** @type {number} */ index) => ({
        done: item[0] === 1,
        visited: item[1] === 1,
        closed: item[2],
        attempts: item[3]
          .map((/** @type {any} */ attempt) => lengthened(attempt, fresh.tasks[index]))
          .filter(Boolean),
      })),
    });
  } catch {
    return null;
  }
}

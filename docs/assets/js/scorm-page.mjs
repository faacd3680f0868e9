// @ts-check
/**
 * What a page of the handbook does beyond its usual work when it stands in a course.
 *
 * A course system serves files, and mostly no folders. So links name the file, while the address
 * of the page is shown as the site would have it: the other modules compare addresses.
 */
import { visitEngine } from "./engine.mjs";
import { PathBar } from "./path-bar.mjs";
import { courseSystem } from "./scorm-api.mjs";
import { progressFrom, suspended } from "./scorm-progress.mjs";
import { begunProgress, training } from "./training-store.mjs";

const BASE = new URL("../../", import.meta.url);
const LONGEST_NAME = 100;
const PAUSE = 800;

/** @param {string} address @returns {string} the same, naming the file */
function fileOf(address) {
  const target = new URL(address);
  const inside = target.origin === BASE.origin && target.pathname.startsWith(BASE.pathname);
  if (inside && target.pathname.endsWith("/")) target.pathname += "index.html";
  return target.href;
}

const here = new URL(location.href);
if (here.pathname.endsWith("/index.html")) {
  here.pathname = here.pathname.slice(0, -"index.html".length);
  history.replaceState(history.state, "", here);
  // Going back to this page, or loading it again, has to ask for the file.
  addEventListener("beforeunload", () => {
    history.replaceState(history.state, "", fileOf(location.href));
  });
}

PathBar.go = (address) => location.assign(fileOf(address));
addEventListener(
  "click",
  (event) => {
    const link = event.target instanceof Element ? event.target.closest("a[href]") : null;
    if (!(link instanceof HTMLAnchorElement) || link.getAttribute("href")?.startsWith("#")) return;
    link.href = fileOf(link.href);
  },
  { capture: true },
);

/** @param {any} assignment @param {string} trainee */
async function begun(assignment, trainee) {
  const set = await visitEngine().ask({ op: "course-problems", assignment, trainee });
  return begunProgress(assignment, trainee, set);
}

/** Open the course's assignment, where it was left. @param {any} path */
async function openWork(path) {
  const session = courseSystem();
  const store = training();
  const text = await (await fetch(new URL("course/assignment.json", BASE))).text();
  const trainee = (session?.trainee ?? "").replace(/\s+/g, " ").slice(0, LONGEST_NAME);
  const { assignment } = await visitEngine().ask({ op: "course-read", text });
  if (!assignment || !trainee) {
    const open = await store.opened().catch(() => null);
    if (!assignment || open?.assignment.id !== assignment.id) await path.offer(text);
    return;
  }
  // Other trainees of the same course system may have worked on this device.
  const own = (await store.ofAssignment(assignment.id)).filter((each) => each.trainee === trainee);
  const fresh = await begun(assignment, trainee);
  const left = session ? await progressFrom(session.saved, fresh) : null;
  let chosen = own.find((each) => each.id === left?.id) ?? null;
  if (left && (!chosen || chosen.changed < left.changed)) chosen = left;
  chosen ??= own.find((each) => each.ended === "") ?? fresh;
  await store.keep(chosen.id, chosen);
  await store.open(chosen.id);
}

/** @param {any} path */
function report(path) {
  const session = courseSystem();
  if (!session) return;
  const store = training();
  let waiting = 0;
  const keep = async () => {
    const progress = await store.opened();
    if (progress) session.keep(await suspended(progress), progress.place);
  };
  store.addEventListener("change", () => {
    clearTimeout(waiting);
    waiting = setTimeout(() => void keep(), PAUSE);
  });
  document.addEventListener("training-standing", (event) => {
    if (!path.isConnected) return;
    session.report(/** @type {CustomEvent} */ (event).detail);
    void keep();
  });
}

async function course() {
  const path = /** @type {any} */ (document.querySelector("training-path"));
  if (!path) return;
  await customElements.whenDefined("training-path");
  report(path);
  try {
    await openWork(path);
  } catch (error) {
    console.error("the assignment of this course could not be opened:", error);
  }
}

void course();

// @ts-check
/**
 * The page that a course system opens: holds the sitting, with the handbook in a frame.
 *
 * The handbook's pages come and go in the frame; the sitting begins and ends with this page.
 */
import { apiOf, CourseSession } from "./scorm-api.mjs";

const ALONE =
  "No course system was found around this page. You can work, and nothing is reported: save your " +
  "result as a file at the end.";

const say = /** @type {HTMLElement} */ (document.querySelector("#course-say"));
const frame = /** @type {HTMLIFrameElement} */ (document.querySelector("iframe"));

/** @param {string} text */
function tell(text) {
  say.textContent = text;
  say.hidden = text === "";
}

const api = apiOf(window);
if (api) {
  const session = new CourseSession(api);
  session.addEventListener("trouble", () => tell(session.trouble));
  if (session.begin()) {
    /** @type {any} */ (window).courseSession = session;
    addEventListener("pagehide", () => session.end());
  }
} else {
  tell(ALONE);
}
frame.src = "assignment/index.html";

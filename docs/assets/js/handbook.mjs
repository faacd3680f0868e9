// @ts-check
/**
 * The entry: what every page of the handbook does beyond being read.
 *
 * The theme replaces the content of the page on the way from one to the next and keeps this module,
 * so nothing here belongs to a single page.
 */
import { visitEngine } from "./engine.mjs";
import { JobBar } from "./job-bar.mjs";
import { job } from "./job.mjs";
import { mendKeys } from "./keys.mjs";
import { keepOffline, OfflineState } from "./offline.mjs";
import { onPage } from "./on-page.mjs";
import { offerSchemes } from "./scheme.mjs";
import { callSearch } from "./search.mjs";

const SHOW_ALL = "data-opened-for-print";

visitEngine().addEventListener("ready", (event) => {
  const { how, boots } = /** @type {CustomEvent} */ (event).detail;
  document.documentElement.dataset.engine = how;
  document.documentElement.dataset.boots = String(boots);
});

// The theme makes the search a dialog and gives it no name.
document.querySelector('.md-search[role="dialog"]')?.setAttribute("aria-label", "Search");
offerSchemes();
mendKeys();
callSearch();

// Paper cannot be tapped, so what is folded is opened for it.
addEventListener("beforeprint", () => {
  for (const folded of document.querySelectorAll("article details:not([open], .lc-data)")) {
    folded.setAttribute(SHOW_ALL, "");
    folded.setAttribute("open", "");
  }
  for (const spread of document.querySelectorAll(".lc-pm")) {
    spread.toggleAttribute("data-empty", spread.querySelector("input")?.value.trim() === "");
  }
});
addEventListener("afterprint", () => {
  for (const opened of document.querySelectorAll(`details[${SHOW_ALL}]`)) {
    opened.removeAttribute(SHOW_ALL);
    opened.removeAttribute("open");
  }
});

// A page that the browser had put away has let go of the job, and starts again.
addEventListener("pageshow", (event) => {
  if (event.persisted) location.reload();
});

// The records of the job are in memory within moments, or storage is told as out of order.
await job.ready;
customElements.define("offline-state", OfflineState);
customElements.define("job-bar", JobBar);
onPage("live-calculator", async () => (await import("./live-calculator.mjs")).LiveCalculator);
onPage("evidence-table", async () => (await import("./evidence-table.mjs")).EvidenceTable);
onPage("procedure-steps", async () => (await import("./checklist.mjs")).ProcedureSteps);
onPage("readings-log", async () => (await import("./readings-log.mjs")).ReadingsLog);
onPage("job-report", async () => (await import("./job-report.mjs")).JobReport);
onPage("offline-copy", async () => (await import("./offline-page.mjs")).OfflineCopyPart, undefined, ["offline"]);
onPage("job-shelf", async () => (await import("./job-shelf.mjs")).JobShelf);
// Learning and teaching: with style sheets of their own, that the other pages need not wait for.
const pages = /** @type {any} */ (globalThis).document$;
const teach = (/** @type {string} */ tag, /** @type {() => Promise<any>} */ load, styles = ["training"]) =>
  onPage(tag, load, pages, styles);
// The line of an assignment, where one is open. Its own page brings it along when it opens one.
if (document.documentElement.hasAttribute("data-path"))
  teach("path-bar", async () => (await import("./path-bar.mjs")).PathBar, []);
teach("practice-problems", async () => (await import("./practice.mjs")).PracticeProblems);
teach(
  "training-path",
  async () => {
    const { PathBar } = await import("./path-bar.mjs");
    if (!customElements.get("path-bar")) customElements.define("path-bar", PathBar);
    return (await import("./training-path.mjs")).TrainingPath;
  },
  ["training", "drill"],
);
teach("fault-drill", async () => (await import("./fault-drill.mjs")).FaultDrill, ["training", "drill"]);
teach("assign-work", async () => (await import("./assign.mjs")).AssignWork);
teach("work-sheets", async () => (await import("./worksheets.mjs")).WorkSheets);
teach("observed-checklist", async () => (await import("./observed.mjs")).ObservedChecklist);
teach("collect-results", async () => (await import("./collect.mjs")).CollectResults);
keepOffline();

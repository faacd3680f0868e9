// @ts-check
/** The parts of the shelf in one, so that only the page that shows them fetches them. */
export { AboutForm } from "./job-about.mjs";
export { BeginForm } from "./job-begin.mjs";
export { FactsTable } from "./job-facts-table.mjs";
export { HandOver } from "./job-handover.mjs";
export { JobList } from "./job-list.mjs";
export { TakeIn } from "./job-takein.mjs";
export { Todos } from "./job-todos.mjs";

/**
 * Starts the engine in Node, asks it, and prints the answers as JSON.
 *
 *     node scripts/ask_engine.mjs ENGINE_FOLDER snapshot|plain < requests.json
 *
 * Standard input is a JSON list of requests. Prints
 * {"how", "stages", "ready_ms", "answers": [...], "times_ms": [...]}: what each
 * request took, in the order in which they were asked.
 */

import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";

import { bootEngine } from "../docs/assets/js/engine-boot.mjs";

process.on("uncaughtException", (failure) => {
  console.error(String(failure?.message ?? failure));
  process.exit(1);
});

const [folder, way] = process.argv.slice(2);
const requests = JSON.parse(readFileSync(0, "utf8"));
const stages = [];
const begun = performance.now();
const engine = await bootEngine({
  base: pathToFileURL(`${resolve(folder)}/`),
  snapshot: way === "snapshot",
  onProgress: (progress) => stages.push(progress),
});
const ready = performance.now() - begun;

const times = [];
const answers = requests.map((request) => {
  const text = JSON.stringify(request);
  const start = performance.now();
  const answer = engine.respond(text);
  times.push(performance.now() - start);
  return JSON.parse(answer);
});
console.log(
  JSON.stringify({ how: engine.how, stages, ready_ms: ready, answers, times_ms: times }),
);
engine.close();

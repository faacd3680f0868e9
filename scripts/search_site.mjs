// Asks the built site's own search, outside a browser: the theme's worker and its index, as they
// are served. Takes the site's folder, reads queries from standard input, one to a line, and
// writes for each a JSON line with the addresses found, best first.

import { readFile, readdir } from "node:fs/promises";
import { join } from "node:path";
import vm from "node:vm";

const SETUP = 0;
const QUERY = 2;

const site = process.argv[2];
const workers = join(site, "assets", "javascripts", "workers");
const [file] = (await readdir(workers)).filter((name) => /^search\..*\.js$/.test(name));
const index = JSON.parse(await readFile(join(site, "search", "search_index.json"), "utf8"));

let listen;
let answered;
const space = {
  addEventListener: (type, listener) => {
    if (type === "message") listen = listener;
  },
  importScripts: (...names) => {
    throw new Error(`the search asks for ${names.join(", ")}`);
  },
  postMessage: (message) => answered(message),
  document: { head: null },
  console,
  setTimeout,
  clearTimeout,
  performance,
};
space.self = space;
space.globalThis = space;
vm.runInNewContext(await readFile(join(workers, file), "utf8"), space, { filename: file });

function ask(type, data) {
  return new Promise((resolve) => {
    answered = resolve;
    listen({ data: { type, data } });
  });
}

await ask(SETUP, { ...index, options: { suggest: true } });
const queries = (await readFile("/dev/stdin", "utf8")).split("\n").filter(Boolean);
for (const query of queries) {
  const { data } = await ask(QUERY, query);
  const found = data.items.map((group) => group[0].location.split("#")[0]);
  process.stdout.write(`${JSON.stringify({ query, found })}\n`);
}
process.exit(0);

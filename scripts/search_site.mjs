// Asks the built site's own search, outside a browser: the book's worker, the theme's behind it, and
// the words, as they are served. Takes the site's folder, reads queries from standard input, one to
// a line, and writes for each a JSON line with the addresses found, best first.

import { readFileSync } from "node:fs";
import { readFile } from "node:fs/promises";
import { join } from "node:path";
import vm from "node:vm";

const SETUP = 0;
const QUERY = 2;
const HOST = "http://book";

const site = process.argv[2];
const page = await readFile(join(site, "index.html"), "utf8");
const [, worker] = /"search": "([^"]+)"/.exec(page);
const index = JSON.parse(await readFile(join(site, "search", "search_index.json"), "utf8"));
const there = (address) => join(site, new URL(address).pathname);

const space = new EventTarget();
let called;
let answered;
Object.assign(space, {
  addEventListener: space.addEventListener.bind(space),
  removeEventListener: space.removeEventListener.bind(space),
  dispatchEvent: space.dispatchEvent.bind(space),
  location: new URL(worker, `${HOST}/`),
  BroadcastChannel: class {
    constructor() {
      called = this;
    }
    close() {}
  },
  importScripts: (name) => run(there(name)),
  fetch: async (address) => new Response(await readFile(there(address))),
  postMessage: (message) => answered(message),
  document: { head: null },
  MessageEvent,
  URL,
  console,
  setTimeout,
  clearTimeout,
  performance,
});
space.self = space;
space.globalThis = space;
const world = vm.createContext(space);

function run(path) {
  vm.runInContext(readFileSync(path, "utf8"), world, { filename: path });
}

function ask(type, data) {
  return new Promise((resolve) => {
    answered = resolve;
    space.dispatchEvent(new MessageEvent("message", { data: { type, data } }));
  });
}

run(join(site, worker));
const ready = ask(SETUP, { ...index, options: { suggest: true } });
let early = true;
void ready.then(() => {
  if (early) throw new Error("the index was made before anybody turned to the search");
});
await new Promise((resolve) => setTimeout(resolve, 50));
early = false;
await called.onmessage();
await ready;
const queries = (await readFile("/dev/stdin", "utf8")).split("\n").filter(Boolean);
for (const query of queries) {
  const { data } = await ask(QUERY, query);
  const found = data.items.map((group) => group[0].location.split("#")[0]);
  process.stdout.write(`${JSON.stringify({ query, found })}\n`);
}
process.exit(0);

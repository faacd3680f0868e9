import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { beforeEach, test } from "node:test";

const {
  BASE,
  CopyProblem,
  check,
  fetchAgain,
  keyOf,
  kept,
  listInUse,
  mendCopy,
  removeCopy,
  storage,
} = await import("../../docs/assets/js/offline-copy.mjs");

const sha = (text) => createHash("sha256").update(text).digest("hex");
const CONTENT = { "a.js": "export {};", "b/index.html": "<p>b</p>", "c.bin": "\u0000\u0001" };
const FILES = Object.fromEntries(
  Object.entries(CONTENT).map(([name, text]) => [name, [text.length, sha(text)]]),
);
const LIST = {
  edition: sha(JSON.stringify(FILES)).slice(0, 12),
  date: "2026-01-02",
  bytes: 20,
  files: FILES,
};
const key = (name) => keyOf(name, FILES[name][1]);

/** The parts of Cache Storage that are used, kept in memory. */
class Cache {
  files = new Map();
  full = false;
  async keys() {
    return [...this.files.keys()].map((url) => new Request(url));
  }
  async match(url) {
    return this.files.get(typeof url === "string" ? url : url.url)?.clone();
  }
  async put(url, response) {
    if (this.full) throw new DOMException("no room", "QuotaExceededError");
    this.files.set(url, response);
  }
  async delete(request) {
    return this.files.delete(request.url);
  }
}

let cache, site, asked;

beforeEach(() => {
  cache = new Cache();
  asked = [];
  site = {
    ...CONTENT,
    "assets/edition.json": JSON.stringify(LIST),
  };
  globalThis.caches = {
    open: async () => cache,
    delete: async () => cache.files.clear(),
  };
  globalThis.fetch = async (address) => {
    const url = new URL(address);
    const name = url.href.slice(BASE.href.length).split("?")[0];
    asked.push(name);
    const found = site[name];
    if (found === undefined) throw new TypeError("failed to fetch");
    return found instanceof Response ? found.clone() : new Response(found);
  };
});

async function fill() {
  for (const name of Object.keys(CONTENT)) await cache.put(key(name), new Response(CONTENT[name]));
}

const problem = (kind, words) => (error) => {
  assert.ok(error instanceof CopyProblem);
  assert.equal(error.kind, kind);
  assert.match(error.message, words);
  return true;
};

test("a whole copy is whole, and a file is found by a part of its hash", async () => {
  await fill();
  assert.match(key("a.js"), /a\.js\?__WB_REVISION__=[0-9a-f]{16}$/);
  assert.deepEqual(await check(LIST), { damaged: [], missing: [] });
  assert.deepEqual(await kept(LIST), { count: 3, bytes: 20, missing: [] });
});

test("what is damaged or missing is named, and just that is fetched", async () => {
  await fill();
  await cache.put(key("a.js"), new Response("export"));
  cache.files.delete(key("c.bin"));
  const found = await mendCopy();
  assert.deepEqual([found.damaged, found.missing], [["a.js"], ["c.bin"]]);
  assert.deepEqual([found.fetched, found.left], [["a.js", "c.bin"], []]);
  assert.deepEqual(asked, ["assets/edition.json", "a.js", "c.bin"]);
  assert.deepEqual(await check(LIST), { damaged: [], missing: [] });
});

test("nothing is put into the copy but what the list says", async () => {
  await fill();
  const before = await (await cache.match(key("a.js"))).text();
  const html = { headers: { "Content-Type": "text/html" } };
  for (const [sent, kind, words] of [
    ["other", "differs", /a\.js is not the one.*Else tell/],
    [new Response("<p>Sign in", html), "page", /a page instead of the file a\.js/],
    [new Response("gone", { status: 404 }), "missing", /does not have the file a\.js/],
    [new Response("busy", { status: 503 }), "network", /what has come is kept/i],
    [undefined, "network", /what has come is kept/i],
  ]) {
    site["a.js"] = sent;
    await assert.rejects(fetchAgain(["a.js"], LIST), problem(kind, words));
    assert.equal(await (await cache.match(key("a.js"))).text(), before);
  }
});

// Stubbed here; Chromium alone can be given a small disk from outside.
test("a full device is told", async () => {
  cache.full = true;
  await assert.rejects(fetchAgain(["a.js"], LIST), problem("full", /no room.*Remove something/));
});

test("forbidden storage is told", async () => {
  globalThis.caches.open = () => Promise.reject(new DOMException("no", "SecurityError"));
  await assert.rejects(check(LIST), problem("forbidden", /private window/));
});

test("a damaged list is told from a sound one and fetched anew", async () => {
  const listKey = `${new URL("assets/edition.json", BASE)}?__WB_REVISION__=1`;
  const bent = structuredClone(LIST);
  bent.files["a.js"][1] = sha("other");
  await cache.put(listKey, new Response(JSON.stringify(bent)));
  // As the service worker does: from the copy if it is there, else from the site.
  const site2 = globalThis.fetch;
  globalThis.fetch = async (address) =>
    (await cache.match(listKey)) ?? (await site2(address));
  assert.equal((await listInUse()).files["a.js"][1], FILES["a.js"][1]);
  site["assets/edition.json"] = "<html>";
  await assert.rejects(listInUse(), problem("differs", /edition\.json/));
});

test("a copy is removed with its worker, and what the browser does not tell is null", async () => {
  await fill();
  let gone = false;
  const registration = { unregister: async () => (gone = true) };
  Object.defineProperty(globalThis, "navigator", {
    value: { serviceWorker: { getRegistration: async () => registration } },
    configurable: true,
  });
  await removeCopy();
  assert.ok(gone);
  assert.equal(cache.files.size, 0);
  assert.deepEqual(await storage(), { used: null, room: null, persisted: null });
});

import assert from "node:assert/strict";
import { afterEach, test } from "node:test";

import { document, freshStore, local, Reader, settled } from "./training-page.mjs";

const { addressOf, itemAt, PathBar } = await import("../../docs/assets/js/path-bar.mjs");
customElements.define("path-bar", PathBar);

const ID = "00000000000000aa";
const ROOT = new URL("../../docs/", import.meta.url).pathname;
const went = [];
const open = [];
PathBar.go = (address) => void went.push(address);

function progress(changes = {}) {
  const kinds = ["page", "problems", "checklist"];
  return {
    id: ID,
    assignment: {
      id: "00000000000000cc",
      title: "Week 1",
      items: [
        { kind: "page", page: "survey" },
        { kind: "problems", family: "pre-charge", level: "usual", count: 1 },
        { kind: "checklist", page: "make-safe" },
      ],
    },
    trainee: "Ana",
    began: "",
    ended: "",
    changed: "",
    saved: "",
    tasks: [[], [], []],
    words: ["Read <b>Survey</b>", "Solve", "Go through Make safe"],
    place: 0,
    items: kinds.map((kind) => ({ kind, done: false, attempts: [], closed: [], visited: false })),
    ...changes,
  };
}

async function bar(path, { store = freshStore(), state = progress(), openIt = true } = {}) {
  if (openIt) {
    await store.keep(ID, state);
    await store.open(ID);
  }
  PathBar.store = () => store;
  location.pathname = `${ROOT}${path}/`;
  document.body.innerHTML = "<article><path-bar></path-bar></article>";
  const element = document.querySelector("path-bar");
  open.push(element);
  await settled();
  return Object.assign(new Reader(element), { store });
}

afterEach(() => {
  for (const element of open.splice(0)) element.remove();
  for (const key of [...local.items.keys()]) local.removeItem(key);
  went.length = 0;
});

test("with no assignment open there is no line, and on the path's own page neither", async () => {
  const none = await bar("survey", { openIt: false });
  assert.equal(none.element.childElementCount, 0);
  assert.equal(document.documentElement.hasAttribute("data-path"), false);
  const own = await bar("assignment");
  assert.equal(own.element.childElementCount, 0);
});

test("on an item's page it says where one is, counts the page as opened, and leads on", async () => {
  const it = await bar("survey");
  assert.equal(it.text(".tr-bar-line"), "1 of 3: Read <b>Survey</b>");
  assert.equal(it.find(".tr-bar-line span b"), null);
  assert.equal((await it.store.opened()).items[0].visited, true);
  assert.equal(local.getItem("handbook.path"), "open");
  await it.press('[data-action="bar-next"]');
  await settled();
  const kept = await it.store.opened();
  assert.equal(kept.items[0].done, true);
  assert.equal(kept.place, 1);
  assert.match(went[0], /\/assignment\/$/, "problems stand on the path itself");
});

test("from item to item it opens the next page, and after the last one the path", async () => {
  const state = progress({ place: 2 });
  const it = await bar("make-safe", { state });
  assert.equal(it.text('[data-action="bar-next"]'), "Steps done, to the end");
  await it.press('[data-action="bar-next"]');
  await settled();
  assert.match(went[0], /\/assignment\/$/);
});

test("on another page it leads to the one that is due, and ticks nothing", async () => {
  const it = await bar("glossary");
  assert.equal(it.find('[data-action="bar-next"]'), null);
  assert.match(it.find('[data-key="bar-to"]').getAttribute("href"), /\/survey\/$/);
  assert.equal((await it.store.opened()).items[0].visited, false);
});

test("leaving closes the line and keeps the work", async () => {
  const it = await bar("survey");
  await it.press('[data-action="bar-leave"]');
  await settled();
  assert.equal(it.element.childElementCount, 0);
  assert.equal(await it.store.opened(), null);
  assert.equal((await it.store.list()).length, 1);
  assert.equal(local.getItem("handbook.path"), null);
});

test("an address carries the numbers that are set, and a bent page leads nowhere else", () => {
  const inputs = { calculator: "pre-charge", system: "us", values: { height: "31.5 ft" } };
  assert.match(
    addressOf({ page: "set-the-pre-charge", inputs }),
    /\/set-the-pre-charge\/#pre-charge\?height=31\.5%20ft&system=us$/,
  );
  for (const page of ["javascript:alert(1)", "//elsewhere.example", "../x", "", undefined, 3]) {
    assert.match(addressOf({ page }), /\/assignment\/$/);
  }
});

test("of two items on one page the one worked on is meant, else the first open one", () => {
  const state = progress();
  state.assignment.items[1] = { kind: "checklist", page: "survey" };
  const path = `${ROOT}survey/`;
  assert.equal(itemAt(state, path), 0);
  assert.equal(itemAt({ ...state, place: 1 }, path), 1);
  state.items[0].done = true;
  assert.equal(itemAt({ ...state, place: 2 }, path), 1);
  assert.equal(itemAt(state, `${ROOT}glossary/`), -1);
});

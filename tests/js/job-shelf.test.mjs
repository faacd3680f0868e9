import assert from "node:assert/strict";
import { afterEach, beforeEach, test } from "node:test";
import * as dom from "linkedom";

const { window, document } = dom.parseHTML("<!doctype html><html><body></body></html>");
for (const name of ["HTMLElement", "Element", "customElements"]) globalThis[name] = window[name];
globalThis.document = document;
globalThis.location = { hash: "", pathname: "/job/", search: "" };
globalThis.history = {
  state: null,
  replaceState(_state, _title, address) {
    const at = address.indexOf("#");
    globalThis.location.hash = at < 0 ? "" : address.slice(at);
  },
};
globalThis.addEventListener = () => undefined;
globalThis.fetch = async () => ({
  ok: true,
  json: async () => ({
    calculators: { "system-volume": { title: "System volume", page: "survey/" } },
    facts: { system_volume: { label: "System volume" } },
  }),
});
// What linkedom lacks: the focus, and controls whose value can be set.
let focused = null;
Object.defineProperty(document, "activeElement", { configurable: true, get: () => focused });
window.HTMLElement.prototype.focus = function focus() {
  focused = this;
};
window.HTMLElement.prototype.scrollIntoView = () => undefined;
Object.defineProperty(Object.getPrototypeOf(document.createElement("select")), "value", {
  configurable: true,
  get() {
    return this.chosen ?? this.querySelector("option")?.getAttribute("value") ?? "";
  },
  set(value) {
    this.chosen = value;
  },
});
Object.defineProperty(Object.getPrototypeOf(document.createElement("textarea")), "value", {
  configurable: true,
  get() {
    return this.typed ?? "";
  },
  set(value) {
    this.typed = value;
  },
});
const remembered = new Map();
globalThis.localStorage = {
  getItem: (key) => remembered.get(key) ?? null,
  setItem: (key, value) => void remembered.set(key, String(value)),
  removeItem: (key) => void remembered.delete(key),
  key: () => null,
  length: 0,
};
globalThis.sessionStorage = { ...globalThis.localStorage, getItem: () => null };

const { Job } = await import("../../docs/assets/js/job.mjs");
const { JobStore, MemoryTables } = await import("../../docs/assets/js/job-store.mjs");
const { JobBar } = await import("../../docs/assets/js/job-bar.mjs");
const { JobShelf } = await import("../../docs/assets/js/job-shelf.mjs");
const { packed } = await import("../../docs/assets/js/job-link.mjs");
const { writeFact } = await import("../../docs/assets/js/facts.mjs");

/** The engine's two answers, without its checks: those are tested where they are made. */
async function ask({ op, job, text, force }) {
  if (op === "job-write") return { text: JSON.stringify({ job, checksum: "good" }) };
  let file;
  try {
    file = JSON.parse(text);
  } catch {
    return { errors: [{ field: "", message: "This is not a job file." }], mendable: false };
  }
  if (file.checksum !== "good" && !force) {
    const message = "This file was changed or cut after it was written.";
    return { errors: [{ field: "", message }], mendable: true };
  }
  return { job: file.job, notes: force ? ["Check every number."] : [] };
}

let job;
let shelf;
class TestShelf extends JobShelf {
  get job() {
    return job;
  }
  ask(request) {
    return ask(request);
  }
}
class TestBar extends JobBar {
  get job() {
    return job;
  }
}
customElements.define("job-shelf", TestShelf);
customElements.define("job-bar", TestBar);

const settle = (pause = 30) => new Promise((resolve) => setTimeout(resolve, pause));
const listed = () => settle(400);

beforeEach(async () => {
  remembered.clear();
  focused = null;
  globalThis.location.hash = "";
  const closed = () => {
    throw new Error("no storage");
  };
  job = new Job(new JobStore(new MemoryTables()), {
    local: closed,
    session: closed,
    channel: closed,
    locks: undefined,
  });
  await job.ready;
});
afterEach(() => {
  shelf?.remove();
  shelf = null;
  job.end();
});

async function open() {
  shelf = document.createElement("job-shelf");
  document.body.append(shelf);
  await settle();
  return shelf;
}

const by = (selector) => shelf.querySelector(selector);
const text = (selector) => by(selector)?.textContent.replace(/\s+/g, " ").trim() ?? null;
const said = () => text(".jb-said");

function type(selector, value) {
  const control = by(selector);
  control.value = value;
  control.dispatchEvent(new window.Event("input", { bubbles: true }));
  return control;
}

async function press(words) {
  const found = [...shelf.querySelectorAll("button")].find(
    (button) => button.textContent === words,
  );
  assert.ok(found, `no button ${words}`);
  const kind = found.getAttribute("type") === "submit" ? "submit" : "click";
  (kind === "submit" ? found.closest("form") : found).dispatchEvent(
    new window.Event(kind, { bubbles: true, cancelable: true }),
  );
  await settle();
}

async function begin(place = "Larch Street Library") {
  type("#jb-begin-place", place);
  await press("Begin the job");
}

test("a job is begun with a name made of place and day, and remembers the technician", async () => {
  await open();
  assert.equal(text("#jb-begin"), "Begin a job");
  // Nothing was typed, so there is nothing to take along.
  assert.equal(by("label[for=jb-along]").hidden, true);
  type("#jb-begin-place", "Larch Street Library");
  assert.match(by("#jb-begin-name").value, /^Larch Street Library, \d{1,2} [A-Z][a-z]+ 20\d\d$/);
  type("#jb-begin-who", "A. Fitter");
  await press("Begin the job");
  assert.ok(job.isOpen);
  assert.equal(job.get("about/where").text, "Larch Street Library");
  assert.equal(job.get("about/who").text, "A. Fitter");
  assert.equal(text("#jb-open"), job.meta.name);
  assert.equal(focused, by("#jb-open"));
  assert.match(said(), /^Begun: Larch Street Library/);
  assert.equal(by("#jb-begin-who").value, "A. Fitter");
  assert.equal(text("#jb-begin"), "Begin another job");
});

test("a name of the reader's own is left alone", async () => {
  await open();
  type("#jb-begin-name", "Boiler 2");
  await begin();
  assert.equal(job.meta.name, "Boiler 2");
});

for (const along of [true, false]) {
  test(`what is typed so far is ${along ? "taken along" : "left behind"} as wished`, async () => {
    await job.set("entries/pre-charge", { system: "si", values: {}, taken: {}, at: job.now() });
    await open();
    const tick = by("#jb-along");
    assert.equal(by("label[for=jb-along]").hidden, false);
    assert.match(text("label[for=jb-along]"), /so far: 1 calculator filled in$/);
    assert.equal(tick.checked, true);
    tick.checked = along;
    await begin();
    assert.equal(job.get("entries/pre-charge") !== undefined, along);
    await job.close();
    assert.equal(job.get("entries/pre-charge") !== undefined, !along);
  });
}

test("what a job is about is kept while it is typed, and at once when the page is left", async () => {
  await open();
  await begin();
  const control = type("#jb-about-called", "Relief valve drips");
  assert.equal(job.get("about/called"), undefined);
  // A change from elsewhere does not take the words from under the hand.
  await job.set("about/called", { text: "other", at: job.now() });
  assert.equal(control.value, "Relief valve drips");
  shelf.remove();
  await settle();
  assert.equal(job.get("about/called").text, "Relief valve drips");
  await open();
  assert.equal(by("#jb-about-called").value, "Relief valve drips");
  type("#jb-about-called", "  ");
  type("#jb-about-name", "Renamed");
  await settle(600);
  assert.equal(job.get("about/called"), undefined);
  assert.equal(job.meta.name, "Renamed");
  assert.match(text(".jb-kept"), /Kept on this device/);
});

test("what was typed for one job does not run into the next", async () => {
  await open();
  await begin("One");
  const first = job.id;
  type("#jb-about-found", "Charge gone");
  await press("Close the job");
  assert.equal(job.isOpen, false);
  assert.equal(job.get("about/found"), undefined);
  await begin("Two");
  assert.equal(by("#jb-about-found").value, "");
  assert.equal((await job.records(first))["about/found"].text, "Charge gone");
});

test("things to do come, are ticked, go, and come back", async () => {
  await open();
  await begin();
  await press("Add");
  assert.match(said(), /Write down first/);
  by("#jb-todo-doer").value = "owner";
  type("#jb-todo-text", "<b>Order</b> a key");
  await press("Add");
  assert.equal(focused, by("#jb-todo-text"));
  const [key] = job.keys("todo/");
  const { text: words, for: doer, done } = job.get(key);
  assert.deepEqual([words, doer, done], ["<b>Order</b> a key", "owner", false]);
  assert.equal(by(".jb-todos b"), null);
  assert.equal(text(".jb-todos h3"), "The owner does it");
  const tick = by(".jb-todo input");
  tick.checked = true;
  tick.dispatchEvent(new window.Event("change", { bubbles: true }));
  await settle();
  assert.equal(job.get(key).done, true);
  await press("Remove");
  assert.equal(job.get(key), undefined);
  assert.equal(focused.textContent, "Put it back");
  await press("Put it back");
  assert.equal(job.get(key).done, true);
  assert.equal(focused, by(".jb-todo input"));
});

test("a fact tells where it is from and goes back to what it was", async () => {
  await open();
  await begin();
  const found = { calculator: "system-volume", field: "volume", how: "found" };
  const typed = { calculator: "vessel-size", field: "system_volume", how: "typed" };
  writeFact(job, "system_volume", { value: "1750", unit: "L", pm: "40" }, found);
  writeFact(job, "system_volume", { value: "1800", unit: "L", pm: "" }, typed);
  await settle();
  const row = () => text(".jb-table tbody tr");
  assert.equal(row(), "System volume1800 Lvessel-size, typed injust nowBack to 1750 ± 40 L");
  await press("Back to 1750 ± 40 L");
  assert.equal(job.get("fact/system_volume").entry.value, "1750");
  assert.match(row(), /System volume, found/);
  assert.match(by(".jb-table a").getAttribute("href"), /\/survey\/#system-volume$/);
  assert.equal(focused.textContent, "Undo that");
  await press("Undo that");
  assert.equal(job.get("fact/system_volume").entry.value, "1800");
  assert.equal(job.get("fact/system_volume").before.length, 1);
  await press("Back to 1750 ± 40 L");
  await press("Forget it");
  assert.equal(job.get("fact/system_volume"), undefined);
  await press("Undo that");
  assert.equal(job.get("fact/system_volume").entry.value, "1750");
});

test("a deleted job can be brought back on the spot, and later from its list", async () => {
  await open();
  await begin("One");
  const { id } = job;
  await listed();
  await press("Delete");
  await listed();
  assert.equal(job.isOpen, false);
  assert.equal(focused?.textContent, "Undo");
  assert.match(said(), /^Deleted: One/);
  await press("Undo");
  await listed();
  assert.deepEqual((await job.shelf()).map((meta) => meta.id), [id]);
  await press("Delete");
  shelf.remove();
  await open();
  await listed();
  assert.match(text(".jb-folded:not([hidden]) summary"), /^Deleted \(1\)$/);
  await press("Bring back");
  await listed();
  assert.deepEqual((await job.shelf()).map((meta) => meta.id), [id]);
});

test("jobs are found by a word of their place or notes, put away or not", async () => {
  await open();
  for (const place of ["Oak House", "Larch Street Library", "Mill", "Town Hall"]) await begin(place);
  const shelved = await job.shelf();
  const [hall, mill] = ["Town", "Mill"].map((word) =>
    shelved.find((meta) => meta.name.startsWith(word)),
  );
  await job.set("reading/01", { at: job.now(), note: "pump hums" });
  await job.archive(mill.id, true);
  await job.open(hall.id);
  await listed();
  const names = () =>
    [...shelf.querySelectorAll(".jb-job .jb-name b")].map((name) => name.textContent.split(",")[0]);
  assert.equal(by(".jb-field:has(#jb-search)")?.hidden ?? by("#jb-search").parentNode.hidden, false);
  type("#jb-search", "larch LIBR");
  await listed();
  assert.deepEqual(names(), ["Larch Street Library"]);
  type("#jb-search", "hums");
  await listed();
  assert.equal(names().length, 1);
  type("#jb-search", "mill");
  await listed();
  assert.deepEqual(names(), ["Mill"]);
  assert.equal(by("details:not([hidden])").open, true);
  type("#jb-search", "poplar");
  await listed();
  assert.deepEqual(names(), []);
});

async function fileIn(content) {
  const input = by("#jb-file");
  Object.defineProperty(input, "files", { configurable: true, value: [new Blob([content])] });
  input.dispatchEvent(new window.Event("change", { bubbles: true }));
  await settle(60);
}

test("a file is looked at first; a known job is kept beside or replaced, and nothing is lost", async () => {
  await open();
  await begin("One");
  const { id } = job;
  const file = (await ask({ op: "job-write", job: await job.whole() })).text;
  await fileIn(file);
  assert.match(text(".jb-card"), /same job already/);
  await press("All right");
  await job.set("reading/01", { at: job.now(), note: "mine" });
  await fileIn(file);
  assert.match(text(".jb-card"), /another state/);
  await press("Replace the one here");
  assert.equal(job.get("reading/01"), undefined);
  const all = [...(await job.shelf()), ...(await job.shelf({ archived: true }))];
  const kept = all.find((meta) => meta.id !== id);
  assert.ok(said().includes(`is kept as “${kept.name}”`));
  assert.equal((await job.records(kept.id))["reading/01"].note, "mine");
  await job.set("reading/02", { at: job.now(), note: "again" });
  await fileIn(file);
  await press("Keep both");
  assert.equal(job.id, id);
  assert.equal(job.get("reading/02").note, "again");
  assert.equal((await job.shelf()).filter((meta) => meta.id !== kept.id).length, 2);
  assert.equal(focused.textContent, "Open it");
  await press("Open it");
  assert.notEqual(job.id, id);
  assert.equal(focused, by("#jb-open"));
});

test("a refused file says why and changes nothing; a changed one can be read as a copy", async () => {
  await open();
  await begin("One");
  const before = await job.whole();
  await fileIn("nonsense");
  assert.match(text(".jb-card"), /This is not a job file\.Nothing on this device was changed/);
  assert.equal(focused.textContent, "Not taken in");
  await press("All right");
  await fileIn(JSON.stringify({ job: before, checksum: "bad" }));
  await press("Look at it all the same");
  assert.match(text(".jb-card"), /Check every number/);
  const words = [...shelf.querySelectorAll(".jb-card button")].map((each) => each.textContent);
  assert.deepEqual(words, ["Take it in as a copy", "Leave it"]);
  await press("Take it in as a copy");
  assert.equal((await job.shelf()).length, 2);
  assert.deepEqual(await job.whole(), before);
});

test("a link offers what is in it, and asks only once", async () => {
  const whole = {
    id: "00112233445566ff",
    name: "<i>Library</i>",
    created: "2026-05-14T08:05:12+02:00",
    records: { "about/where": { text: "Hill town", at: "2026-05-14T08:05:12+02:00" } },
    photos: {},
  };
  const link = `#take=${await packed(JSON.stringify({ job: whole, checksum: "good" }))}`;
  globalThis.location.hash = link;
  await open();
  await settle(100);
  assert.match(text(".jb-card"), /Take in “<i>Library<\/i>”\?.*Place: Hill town.*14 May 2026, 08:05/);
  assert.deepEqual(await job.shelf(), []);
  await press("Take it in");
  assert.equal(globalThis.location.hash, "");
  assert.deepEqual(await job.whole(whole.id), whole);
  globalThis.location.hash = "#take=AAAA";
  shelf.remove();
  await open();
  await settle(100);
  assert.match(text(".jb-card"), /damaged or was cut short/);
});

test("the line at the head of a page is there for an open job only", async () => {
  await job.begin({ name: "One" });
  await job.set("reading/01", { at: job.now(), note: "x" });
  const bar = document.createElement("job-bar");
  document.body.append(bar);
  await settle();
  assert.equal(bar.textContent, "Job:Onenot saved as a file yet");
  assert.match(bar.querySelector("a").getAttribute("href"), /\/job\/$/);
  await job.whole();
  await job.markExported(job.id);
  await settle();
  assert.equal(bar.textContent, "Job:One");
  assert.equal(document.documentElement.dataset.job, "open");
  await job.close();
  await settle();
  assert.equal(bar.childNodes.length, 0);
  assert.equal(document.documentElement.dataset.job, undefined);
  bar.setAttribute("data-job-page", "");
  bar.remove();
  document.body.append(bar);
  await settle();
  assert.match(bar.textContent, /No job is open/);
  bar.remove();
});

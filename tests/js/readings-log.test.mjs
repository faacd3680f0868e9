import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { afterEach, test } from "node:test";

import { parseHTML } from "linkedom";

// The form is the one that the page is built with; tests/test_readings.py holds the file to it.
const FORM = readFileSync(new URL("./readings-log.html", import.meta.url), "utf8");
const NOW = "2026-05-14T08:05:12+02:00";

const { window, document } = parseHTML("<!doctype html><html><body></body></html>");
Object.assign(globalThis, {
  document,
  HTMLElement: window.HTMLElement,
  Element: window.Element,
  customElements: window.customElements,
});
// The document of the tests knows no choosing by value.
Object.defineProperty(window.HTMLSelectElement.prototype, "value", {
  get() {
    const options = [...this.querySelectorAll("option")];
    const chosen = options.find((one) => one.hasAttribute("selected")) ?? options[0];
    return chosen?.getAttribute("value") ?? "";
  },
  set(value) {
    for (const option of this.querySelectorAll("option")) {
      option.toggleAttribute("selected", option.getAttribute("value") === value);
    }
  },
});
const kept = new Map();
globalThis.localStorage = {
  getItem: (key) => kept.get(key) ?? null,
  setItem: (key, value) => void kept.set(key, String(value)),
  removeItem: (key) => void kept.delete(key),
};
globalThis.sessionStorage = globalThis.localStorage;
const outside = new EventTarget();
globalThis.addEventListener = outside.addEventListener.bind(outside);

const { moment, ReadingsLog, zoned } = await import("../../docs/assets/js/readings-log.mjs");
customElements.define("readings-log", ReadingsLog);

class FakeJob extends EventTarget {
  records = new Map();
  ready = Promise.resolve();
  trouble = "";
  isOpen = true;
  id = "00000000000000aa";
  meta = { name: "Plant room" };
  count = 0;
  failing = false;

  get(key) {
    return this.records.get(key);
  }
  keys(prefix) {
    return [...this.records.keys()].filter((key) => key.startsWith(prefix)).sort();
  }
  async update(key, change) {
    const value = change(this.records.get(key));
    if (value === undefined) this.records.delete(key);
    else this.records.set(key, structuredClone(value));
    if (this.failing) throw new Error("no room");
    this.dispatchEvent(new CustomEvent("change", { detail: { keys: [key], remote: false } }));
  }
  set(key, value) {
    return this.update(key, () => value);
  }
  remove(key) {
    return this.update(key, () => undefined);
  }
  newId() {
    this.count += 1;
    return String(this.count).padStart(16, "0");
  }
  now() {
    return NOW;
  }
}

class FakeEngine extends EventTarget {
  state = "ready";
  asked = [];
  reply = () => ({ html: "", errors: [], notes: {}, order: [], picks: {}, links: {} });

  async ask(request) {
    this.asked.push(structuredClone(request));
    return structuredClone(this.reply(request));
  }
}

const settled = (milliseconds = 5) => new Promise((done) => setTimeout(done, milliseconds));

const open = [];
async function log({ job = new FakeJob(), engine = new FakeEngine(), keep = false } = {}) {
  if (!keep) kept.clear();
  ReadingsLog.job = async () => job;
  ReadingsLog.engine = () => engine;
  document.body.innerHTML = FORM;
  const element = document.querySelector("readings-log");
  open.push(element);
  await settled();
  const control = (name) => element.querySelector(`[name="${name}"]`);
  return {
    element,
    job,
    engine,
    control,
    type(name, text) {
      control(name).value = text;
      control(name).dispatchEvent(new window.Event("input", { bubbles: true }));
    },
    async save() {
      element.querySelector("form").dispatchEvent(
        new window.Event("submit", { bubbles: true, cancelable: true }),
      );
      await settled();
    },
    async click(selector) {
      element.querySelector(selector).dispatchEvent(new window.Event("click", { bubbles: true }));
      await settled();
    },
    status: () => element.querySelector(".lc-status").textContent,
    items: () => [...element.querySelectorAll("[data-reading]")].map((item) => item.textContent),
    error: (field) => element.querySelector(`#reading-${field}-error`),
  };
}

// Each element has a clock of its own, which ends with it.
afterEach(() => {
  for (const element of open.splice(0)) element.remove();
});

function entry(value, unit, pm = "") {
  return { value, unit, pm };
}

function holding(...readings) {
  const job = new FakeJob();
  readings.forEach((reading, index) => {
    job.records.set(`reading/r${index}`, { pump: "", note: "", ...reading });
  });
  return job;
}

test("times are said by the clock on the wall where they were noted", () => {
  assert.equal(moment("2026-05-14T08:05:12+02:00"), "14 May 08:05");
  assert.equal(moment("2026-12-01T23:59:00-05:00"), "1 Dec 23:59");
  for (const bad of ["", "yesterday", "2026-13-01T08:00"]) assert.equal(moment(bad), "no time");
});

test("a time on the wall gets this device's offset, and is the same moment", () => {
  const found = zoned("2026-05-14T08:05");
  assert.match(found, /^2026-05-14T08:05:00[+-]\d\d:\d\d$/);
  assert.equal(Date.parse(found), new Date("2026-05-14T08:05").getTime());
  for (const bad of ["", "x", "2026-05-99T08:05", "2026-05-14"]) assert.equal(zoned(bad), "");
});

test("without a script the form is not there, with one it is, and says where readings are kept", async () => {
  assert.match(FORM, /<form hidden/);
  const { element, status, control } = await log();
  assert.equal(element.querySelector("form").hidden, false);
  assert.equal(element.dataset.state, "ready");
  assert.match(status(), /“Plant room”/);
  assert.equal(element.querySelector('a[href="job.md"]').hidden, true);
  assert.equal(control("at").value, "2026-05-14T08:05");
});

test("with no job open it says so, and keeps readings all the same", async () => {
  const job = new FakeJob();
  Object.assign(job, { isOpen: false, id: "scratch", meta: {} });
  const page = await log({ job });
  assert.match(page.status(), /No job is open/);
  assert.equal(page.element.querySelector('a[href="job.md"]').hidden, false);
  page.type("gauge", "1.5");
  await page.save();
  assert.equal(job.keys("reading/").length, 1);
});

test("what is stored is the text as typed with its unit, and needs no engine", async () => {
  const engine = new FakeEngine();
  engine.state = "idle";
  engine.ask = () => new Promise(() => {});
  const page = await log({ engine });
  page.type("gauge", " 1,55 ");
  page.type("gauge.pm", "0.05");
  page.type("temperature", "10");
  page.control("pump").checked = false;
  page.element.querySelector('[name="pump"][value="off"]').checked = true;
  page.element.querySelector('[name="pump"][value=""]').checked = false;
  page.type("note", "<b>topped up</b>");
  await page.save();
  assert.deepEqual(page.job.get("reading/0000000000000001"), {
    at: NOW,
    pump: "off",
    note: "<b>topped up</b>",
    gauge: entry("1,55", "bar", "0.05"),
    temperature: entry("10", "degC"),
  });
  assert.match(page.status(), /^Saved: 14 May 08:05: 1,55 ± 0.05 bar g, 10 °C, pump off\.$/);
  assert.equal(page.items().length, 1);
  assert.equal(page.element.querySelector("[data-reading] b"), null, "a note is never HTML");
});

test("the form is empty for the next one, with the units and the plus/minus of the last", async () => {
  const page = await log({
    job: holding(
      { at: "2026-05-13T08:00:00+02:00", gauge: entry("1.5", "kPa", "9") },
      { at: "2026-05-14T08:00:00+02:00", gauge: entry("22", "psi", "0.5"), pump: "on" },
    ),
  });
  assert.equal(page.control("gauge").value, "");
  assert.equal(page.control("gauge.unit").value, "psi");
  assert.equal(page.control("gauge.pm").value, "0.5");
  assert.equal(page.control("temperature.unit").value, "degC");
  assert.equal(page.element.querySelector('[name="pump"][value=""]').checked, true);
});

test("units follow the reader's system where nothing was read before", async () => {
  kept.clear();
  kept.set("handbook.system.1", "us");
  const page = await log({ keep: true });
  assert.equal(page.control("gauge.unit").value, "psi");
  assert.equal(page.control("temperature.unit").value, "degF");
  assert.equal(page.control("meter.unit").value, "gal");
});

test("nothing typed is nothing saved, and told", async () => {
  const page = await log();
  await page.save();
  assert.equal(page.job.keys("reading/").length, 0);
  assert.equal(page.error("gauge").hidden, false);
  page.type("gauge", "1");
  assert.equal(page.error("gauge").hidden, true);
});

test("the time goes on until it is set, and an empty one is told", async () => {
  const page = await log();
  page.type("gauge", "1.5");
  page.type("at", "");
  await page.save();
  assert.equal(page.job.keys("reading/").length, 0);
  assert.match(page.error("at").textContent, /time/);
  page.type("at", "2026-05-12T07:30");
  await page.save();
  assert.equal(page.job.get("reading/0000000000000001").at, zoned("2026-05-12T07:30"));
  page.type("at", "2026-05-12T07:30");
  await page.click('[data-action="now"]');
  assert.equal(page.control("at").value, "2026-05-14T08:05");
});

test("a reading can be changed; its time and what a newer edition noted stay", async () => {
  const at = "2026-05-13T08:00:41+01:00";
  const job = holding({ at, gauge: entry("1.5", "bar", "0.1"), ph: entry("8.2", ""), flow: entry("3", "L/s") });
  const page = await log({ job });
  await page.click('[data-action="edit"]');
  assert.equal(page.control("gauge").value, "1.5");
  assert.equal(page.control("ph").value, "8.2");
  assert.equal(page.control("at").value, "2026-05-13T08:00");
  assert.equal(page.element.querySelector('[data-action="cancel"]').hidden, false);
  page.type("gauge", "1.6");
  page.type("ph", "");
  await page.save();
  assert.deepEqual(job.get("reading/r0"), {
    at,
    pump: "",
    note: "",
    gauge: entry("1.6", "bar", "0.1"),
    flow: entry("3", "L/s"),
  });
  assert.equal(job.keys("reading/").length, 1);
  assert.match(page.status(), /^Changed/);
  assert.equal(page.element.querySelector('[data-action="cancel"]').hidden, true);
});

test("changing can be given up", async () => {
  const job = holding({ at: NOW, gauge: entry("1.5", "bar") });
  const page = await log({ job });
  await page.click('[data-action="edit"]');
  page.type("gauge", "9");
  await page.click('[data-action="cancel"]');
  assert.deepEqual(job.get("reading/r0").gauge, entry("1.5", "bar"));
  assert.equal(page.control("gauge").value, "");
  await page.save();
  assert.equal(job.keys("reading/").length, 1);
});

test("what is removed comes back whole", async () => {
  const reading = { at: NOW, gauge: entry("1.5", "bar"), pump: "on", note: "x", flow: entry("3", "L/s") };
  const job = holding(reading);
  const page = await log({ job });
  await page.click('[data-action="remove"]');
  assert.equal(job.get("reading/r0"), undefined);
  assert.equal(page.items().length, 0);
  assert.match(page.element.querySelector(".rl-undo").textContent, /Removed: 14 May 08:05/);
  await page.click('[data-action="undo"]');
  assert.deepEqual(job.get("reading/r0"), reading);
  assert.equal(page.items().length, 1);
  assert.equal(page.element.querySelector(".rl-undo").hidden, true);
});

test("the latest stands first, whatever its clock", async () => {
  const page = await log({
    job: holding(
      { at: "2026-05-14T08:00:00+02:00", gauge: entry("1", "bar") },
      { at: "2026-05-14T07:30:00+00:00", gauge: entry("2", "bar") },
      { at: "lost", gauge: entry("3", "bar") },
    ),
  });
  const ids = [...page.element.querySelectorAll("[data-reading]")].map((item) => item.dataset.reading);
  assert.deepEqual(ids, ["r2", "r1", "r0"]);
});

test("the engine gets the readings, the facts and the reader's units; its words stand at each", async () => {
  const job = holding({ at: NOW, gauge: entry("1.5", "bar") }, { at: NOW, gauge: entry("x", "bar") });
  job.records.set("fact/charge", { entry: entry("1.5", "bar"), origin: {}, at: NOW, before: [] });
  job.records.set("fact/broken", {});
  const engine = new FakeEngine();
  engine.reply = () => ({
    html: '<p data-key="p">drawn <a data-page="system-volume">there</a></p>',
    errors: [{ id: "r1", field: "gauge", message: "“x” is not a number." }],
    notes: { r0: { text: "0.1 bar above the line.", off: true } },
    picks: {},
    links: {},
  });
  const page = await log({ job, engine });
  const [request] = engine.asked;
  assert.equal(request.op, "readings-view");
  assert.deepEqual(request.inputs, { charge: entry("1.5", "bar") });
  assert.deepEqual(request.readings.map((reading) => reading.id), ["r0", "r1"]);
  assert.equal(request.system, "si");
  const texts = page.items().join("|");
  assert.match(texts, /0\.1 bar above the line/);
  assert.match(texts, /Gauge: “x” is not a number/);
  assert.ok(page.element.querySelector(".rl-note-off"));
  const link = page.element.querySelector('[data-part="view"] a');
  assert.equal(link.getAttribute("href"), "survey.md#system-volume");
});

test("what cannot be read is told at its field and never lost", async () => {
  const engine = new FakeEngine();
  engine.reply = ({ readings }) => ({
    html: "",
    errors: readings
      .filter((reading) => reading.gauge?.value === "1..5")
      .map(({ id }) => ({ id, field: "gauge", message: "not a number" })),
    notes: {},
    picks: {},
    links: {},
  });
  const page = await log({ engine });
  page.type("gauge", "1..5");
  await settled(450);
  assert.equal(page.error("gauge").textContent, "not a number");
  assert.equal(page.control("gauge").getAttribute("aria-invalid"), "true");
  await page.save();
  await settled(20);
  assert.equal(page.job.get("reading/0000000000000001").gauge.value, "1..5");
  assert.equal(page.control("gauge").value, "1..5", "it stands in the form, to be mended");
  assert.equal(page.error("gauge").hidden, false);
  assert.match(page.status(), /Saved as typed/);
  page.type("gauge", "1.5");
  await page.save();
  assert.equal(page.job.keys("reading/").length, 1);
  assert.equal(page.job.get("reading/0000000000000001").gauge.value, "1.5");
});

test("two readings go to a calculator by a link, and the reader may choose others", async () => {
  const job = holding(
    { at: "2026-05-14T08:00:00+02:00", gauge: entry("1.55", "bar") },
    { at: "2026-05-14T11:00:00+02:00", gauge: entry("2.65", "bar") },
  );
  const engine = new FakeEngine();
  engine.reply = ({ pairs = {} }) => ({
    html: "",
    errors: [],
    notes: {},
    picks: { cold: "r0", hot: "r1", first: "r0", last: "r1" },
    links: {
      "two-reading-check": pairs["two-reading-check"]
        ? { inputs: null, message: "Choose two different readings." }
        : { inputs: { cold_fill: "1.55 bar", hot: "72 ± 2 degC" }, message: "" },
      "leak-rate": { inputs: { interval: "3 h" }, message: "The pump ran at one." },
    },
  });
  const page = await log({ job, engine });
  const link = () => page.element.querySelector('a[data-handover="two-reading-check"]');
  assert.equal(page.element.querySelector('[data-part="use"]').hidden, false);
  assert.equal(
    link().getAttribute("href"),
    "find-the-cause.md#two-reading-check?cold_fill=1.55%20bar&hot=72%20%C2%B1%202%20degC",
  );
  assert.equal(page.element.querySelector('[name="hot"]').value, "r1");
  assert.match(page.element.querySelector('[data-calculator="leak-rate"]').textContent, /The pump ran/);
  const hot = page.element.querySelector('[name="hot"]');
  hot.value = "r0";
  hot.dispatchEvent(new window.Event("change", { bubbles: true }));
  await settled();
  assert.deepEqual(engine.asked.at(-1).pairs, { "two-reading-check": ["r0", "r0"] });
  assert.equal(link().getAttribute("href"), null);
  assert.equal(link().getAttribute("aria-disabled"), "true");
});

test("a single reading has no other to go with", async () => {
  const page = await log({ job: holding({ at: NOW, gauge: entry("1", "bar") }) });
  assert.equal(page.element.querySelector('[data-part="use"]').hidden, true);
});

test("another tab's reading appears, and the one it removed leaves the form", async () => {
  const job = holding({ at: NOW, gauge: entry("1", "bar") });
  const page = await log({ job });
  await page.click('[data-action="edit"]');
  job.records.delete("reading/r0");
  job.records.set("reading/other", { at: NOW, pump: "", note: "n" });
  job.dispatchEvent(new CustomEvent("change", { detail: { keys: ["reading/other"], remote: true } }));
  await settled();
  assert.equal(page.items().length, 1);
  assert.equal(page.control("gauge").value, "");
});

test("another job has other readings", async () => {
  const job = holding({ at: NOW, gauge: entry("1", "bar") });
  const page = await log({ job });
  job.records = new Map();
  job.meta = { name: "Attic" };
  job.dispatchEvent(new CustomEvent("switch"));
  await settled();
  assert.equal(page.items().length, 0);
  assert.match(page.status(), /“Attic”/);
});

test("what is typed and not saved is there again after a way to another page", async () => {
  const job = new FakeJob();
  const page = await log({ job });
  page.type("gauge", "1.7");
  page.type("note", "at the door");
  page.element.remove();
  const back = await log({ job, keep: true });
  assert.equal(back.control("gauge").value, "1.7");
  assert.equal(back.control("note").value, "at the door");
  await back.save();
  back.element.remove();
  const again = await log({ job, keep: true });
  assert.equal(again.control("gauge").value, "");
});

test("what is typed is kept when the page is left for good", async () => {
  const page = await log();
  page.type("gauge", "1.7");
  outside.dispatchEvent(new Event("pagehide"));
  assert.match(kept.get("handbook.reading.draft"), /"1\.7"/);
});

test("a change that is not saved is there again, and still changes the same reading", async () => {
  const job = holding({ at: NOW, gauge: entry("1.5", "bar") });
  const page = await log({ job });
  await page.click('[data-action="edit"]');
  page.type("gauge", "1.8");
  page.element.remove();
  const back = await log({ job, keep: true });
  assert.equal(back.control("gauge").value, "1.8");
  await back.save();
  assert.equal(job.keys("reading/").length, 1);
  assert.equal(job.get("reading/r0").gauge.value, "1.8");
});

test("a store that fails is told, and the reading stands in the list", async () => {
  const job = new FakeJob();
  job.failing = true;
  const page = await log({ job });
  page.type("gauge", "1.5");
  await page.save();
  assert.match(page.status(), /Not kept on this device yet: no room/);
  assert.equal(page.items().length, 1);
});

test("an engine that fails leaves the readings, and can be asked again", async () => {
  const engine = new FakeEngine();
  let broken = true;
  engine.reply = () => {
    if (broken) throw new Error("no worker");
    return { html: "<p>drawn</p>", errors: [], notes: {}, picks: {}, links: {} };
  };
  const page = await log({ job: holding({ at: NOW, gauge: entry("1", "bar") }), engine });
  assert.match(page.element.querySelector(".rl-engine").textContent, /no worker.*kept/);
  broken = false;
  await page.click('[data-action="retry"]');
  assert.equal(page.element.querySelector('[data-part="view"]').textContent, "drawn");
  assert.equal(page.element.querySelector(".rl-engine").textContent, "");
});

test("foreign records break nothing", async () => {
  const job = new FakeJob();
  job.records.set("reading/a", {});
  job.records.set("reading/b", { at: 7, gauge: "x", note: { a: 1 }, pump: [] });
  job.records.set("reading/c", { at: NOW, gauge: { value: 5, unit: {}, pm: null } });
  const page = await log({ job });
  assert.equal(page.items().length, 3);
  for (const id of ["a", "b", "c"]) await page.click(`[data-reading="${id}"] [data-action="edit"]`);
});

test("it comes and goes with the page and leaves no listener behind", async () => {
  const job = new FakeJob();
  const page = await log({ job });
  const { element } = page;
  element.remove();
  page.type("gauge", "1.5");
  await page.save();
  assert.equal(job.keys("reading/").length, 0);
  document.body.append(element);
  await settled();
  page.type("gauge", "1.5");
  await page.save();
  assert.equal(job.keys("reading/").length, 1);
});

test("a job that cannot be had is told", async () => {
  kept.clear();
  ReadingsLog.job = async () => {
    throw new Error("forbidden");
  };
  document.body.innerHTML = FORM;
  open.push(document.querySelector("readings-log"));
  await settled();
  assert.match(document.querySelector(".lc-status").textContent, /cannot be opened/);
});

import assert from "node:assert/strict";
import { register } from "node:module";
import { afterEach, beforeEach, mock, test } from "node:test";

import { parseHTML } from "linkedom";

// Each test brings a job of its own; the one of the visit would want a browser's storage.
register(
  `data:text/javascript,${encodeURIComponent(`
    export const resolve = (name, context, next) =>
      name === "./job.mjs"
        ? { url: "data:text/javascript,export const job = null", shortCircuit: true }
        : next(name, context);
  `)}`,
);

/** A job as the elements see it: records in memory, its own clock, and photos. */
class FakeJob extends EventTarget {
  ready = Promise.resolve();
  id = "00000000000000aa";
  isOpen = true;
  time = "2026-05-14T10:42:05+02:00";
  records = new Map();
  photos = new Map();
  updates = [];
  fails = null;

  get(key) {
    return this.records.get(key);
  }

  keys(prefix) {
    return [...this.records.keys()].filter((key) => key.startsWith(prefix)).sort();
  }

  now() {
    return this.time;
  }

  update(key, change) {
    if (this.fails) return Promise.reject(new Error(this.fails));
    const record = change(this.records.get(key));
    if (record === undefined) this.records.delete(key);
    else this.records.set(key, Object.freeze(JSON.parse(JSON.stringify(record))));
    this.updates.push(key);
    this.tell([key], false);
    return Promise.resolve();
  }

  tell(keys, remote) {
    this.dispatchEvent(new CustomEvent("change", { detail: { keys, remote } }));
  }

  async addPhoto(blob) {
    const id = `photo${this.photos.size}`;
    this.photos.set(id, blob);
    return id;
  }

  async photo(id) {
    return this.photos.get(id);
  }

  async removePhoto(id) {
    this.photos.delete(id);
  }
}

const PAGE = `
<article><h1>Do it</h1>
<procedure-steps data-page="do-it" data-title="Do it"><p class="ps-offer">Open a job</p></procedure-steps>
<ol>
<li data-step="shut-the-valve"><p><strong>Shut the valve.</strong> Slowly.</p>
<div class="admonition stop" data-stop="stop-valve-shut"><p class="admonition-title">Stop: valve shut</p><p>Go on only then.</p></div></li>
<li data-step="open-the-drain"><p><strong>Open the drain</strong> and wait.</p><ul><li>Stand aside.</li></ul></li>
<li data-step="tight">
<strong>Write it down.</strong> All of it.
<ul><li>The time.</li></ul></li>
</ol></article>`;
const SHUT = "step/do-it/shut-the-valve";
const STOP = "step/do-it/stop-valve-shut";
const DRAIN = "step/do-it/open-the-drain";

let window, document, job, addresses;
let ProcedureSteps;

beforeEach(async () => {
  ({ window, document } = parseHTML(`<html><body>${PAGE}</body></html>`));
  for (const name of ["HTMLElement", "customElements", "document"]) {
    globalThis[name] = window[name];
  }
  globalThis.addEventListener = () => undefined;
  globalThis.location = { hash: "" };
  globalThis.innerHeight = 700;
  window.HTMLElement.prototype.focus = function () {
    document.focused = this;
  };
  window.HTMLElement.prototype.scrollIntoView = function () {
    document.shown = this;
  };
  addresses = new Set();
  URL.createObjectURL = () => {
    const address = `blob:${Math.random()}`;
    addresses.add(address);
    return address;
  };
  URL.revokeObjectURL = (address) => addresses.delete(address);
  // A module of its own for each test: the class extends the window's own element.
  ({ ProcedureSteps } = await import(`../../docs/assets/js/checklist.mjs?${Math.random()}`));
  job = new FakeJob();
  ProcedureSteps.job = job;
});

afterEach(() => {
  document.querySelector("procedure-steps")?.remove();
  mock.timers.reset();
});

const settle = async () => {
  for (let i = 0; i < 10; i += 1) await Promise.resolve();
};

async function open() {
  window.customElements.define("procedure-steps", ProcedureSteps);
  await settle();
  return document.querySelector("procedure-steps");
}

/** The page as a reader's browser would tell it, whatever the order of attributes. */
const shape = () =>
  [...document.body.querySelectorAll("*")].map((element) => [
    element.localName,
    ...[...element.attributes]
      .filter(({ name }) => name !== "data-known")
      .map(({ name, value }) => `${name}=${value}`)
      .sort(),
    ...[...element.childNodes].filter(({ nodeType }) => nodeType === 3).map(({ data }) => data),
  ]);
const one = (selector) => document.querySelector(selector);
const step = (name) => one(`[data-step="${name}"]`);
const happens = (element, type) => element.dispatchEvent(new window.Event(type, { bubbles: true }));
function tick(name, on = true) {
  const box = step(name).querySelector("input[type=checkbox]");
  box.checked = on;
  happens(box, "change");
}
const said = () => one(".ps-words").textContent.replace(/\s+/g, " ").trim();
const answer = (which) => happens(one(`.ps-${which}`), "click");

test("without a job nothing on the page changes", async () => {
  const before = shape();
  job.isOpen = false;
  await open();
  assert.deepEqual(shape(), before);
});

test("the controls stand after the words of a step and before what it brings", async () => {
  await open();
  assert.deepEqual(
    [...step("open-the-drain").children].map((child) => child.className || child.localName),
    ["p", "ps-controls", "ul"],
  );
  assert.deepEqual(
    [...step("tight").children].map((child) => child.className || child.localName),
    ["strong", "ps-controls", "ul"],
  );
  assert.equal(one("[data-stop]").lastElementChild.className, "ps-controls");
  // One tick for each step, none inside of the stop.
  assert.equal(document.querySelectorAll(".ps-tick").length, 3);
  assert.equal(document.querySelectorAll(".ps-answers").length, 1);
});

test("what a link led to stays in sight, and a reader who moved on is left alone", async () => {
  location.hash = "#there";
  const there = document.createElement("h2");
  there.id = "there";
  let top = 70;
  there.getBoundingClientRect = () => ({ top });
  one("article").append(there);
  await open();
  assert.equal(document.shown, there);
  delete document.shown;
  top = -900;
  job.dispatchEvent(new Event("switch"));
  assert.equal(document.querySelectorAll(".ps-tick").length, 3);
  assert.equal(document.shown, undefined);
});

test("a calculator that a link led to stays in sight as well", async () => {
  location.hash = "#drain-down?height=31%20ft";
  const calculator = document.createElement("live-calculator");
  calculator.dataset.calculator = "drain-down";
  calculator.getBoundingClientRect = () => ({ top: 128 });
  one("article").append(calculator);
  await open();
  assert.equal(document.shown, calculator);
});

test("a tick is kept with its words and its time, and shown", async () => {
  await open();
  assert.equal(said(), "0 of 3 steps, 1 stop unanswered.");
  tick("shut-the-valve");
  assert.deepEqual(job.get(SHUT), {
    text: "Shut the valve.",
    kind: "step",
    page_title: "Do it",
    ticked: true,
    answer: "",
    note: "",
    photos: [],
    at: "2026-05-14T10:42:05+02:00",
  });
  const box = step("shut-the-valve").querySelector("input");
  assert.equal(step("shut-the-valve").querySelector(".ps-word").textContent, "Done 10:42");
  assert.equal(box.getAttribute("aria-label"), "Done 10:42: Shut the valve");
  assert.equal(said(), "1 of 3 steps, 1 stop unanswered.");
});

test("the next day the tick shows its date", async () => {
  await open();
  tick("shut-the-valve");
  job.time = "2026-05-15T08:00:00+02:00";
  job.tell([SHUT], false);
  assert.equal(step("shut-the-valve").querySelector(".ps-word").textContent, "Done 14 May, 10:42");
});

test("a tick can be taken back, and put back with its time", async () => {
  await open();
  tick("shut-the-valve");
  job.time = "2026-05-14T11:00:00+02:00";
  tick("shut-the-valve", false);
  assert.equal(job.get(SHUT), undefined);
  const undo = step("shut-the-valve").querySelector(".ps-undo");
  assert.equal(undo.textContent, "Put the tick of 10:42 back");
  happens(undo, "click");
  assert.equal(job.get(SHUT).at, "2026-05-14T10:42:05+02:00");
  assert.equal(job.get(SHUT).ticked, true);
  assert.ok(undo.hidden);
});

test("a click on the words of a step ticks nothing", async () => {
  await open();
  happens(step("open-the-drain").querySelector("p"), "click");
  happens(step("open-the-drain"), "click");
  assert.deepEqual(job.updates, []);
});

test("going past a stop without an answer is said, and leads back to the stop", async () => {
  await open();
  tick("shut-the-valve");
  assert.ok(!one("procedure-steps").hasAttribute("data-warns"));
  tick("open-the-drain");
  assert.match(said(), /A step is ticked past an unanswered stop\. “valve shut”$/);
  const go = one(".ps-go");
  assert.equal(go.textContent, "Go to the stop");
  happens(go, "click");
  assert.equal(document.shown, one("[data-stop]"));
  assert.equal(document.focused, one(".ps-answers"));
  answer("yes");
  assert.equal(said(), "2 of 3 steps, every stop answered Yes.");
});

test("a stop that was passed is in the record without an answer, for as long as it is passed", async () => {
  await open();
  tick("shut-the-valve");
  assert.equal(job.get(STOP), undefined);
  tick("open-the-drain");
  assert.equal(job.get(STOP).answer, "");
  assert.equal(job.get(STOP).kind, "stop");
  answer("yes");
  answer("yes");
  assert.equal(job.get(STOP).answer, "");
  tick("open-the-drain", false);
  assert.equal(job.get(STOP), undefined);
  answer("no");
  tick("open-the-drain");
  tick("open-the-drain", false);
  assert.equal(job.get(STOP).answer, "no");
});

test("No is kept, and says that the next steps wait", async () => {
  await open();
  answer("no");
  assert.equal(job.get(STOP).answer, "no");
  assert.equal(job.get(STOP).kind, "stop");
  assert.equal(job.get(STOP).text, "Stop: valve shut");
  assert.equal(one(".ps-no").getAttribute("aria-pressed"), "true");
  assert.match(one(".ps-said").textContent, /Do not go on: the next steps wait/);
  assert.match(said(), /1 stop answered No\. Do not go on: a stop is answered No\. “valve shut”$/);
  assert.ok(!step("shut-the-valve").hasAttribute("data-waits"));
  for (const name of ["open-the-drain", "tight"]) {
    assert.ok(step(name).hasAttribute("data-waits"));
    assert.equal(step(name).querySelector(".ps-word").textContent, "Waits: a stop says No");
  }
  answer("yes");
  assert.equal(job.get(STOP).answer, "yes");
  assert.ok(!step("tight").hasAttribute("data-waits"));
  answer("yes");
  assert.equal(job.get(STOP), undefined);
});

test("the button leads to what is next", async () => {
  await open();
  assert.equal(one(".ps-go").getAttribute("aria-label"), "Next step: Shut the valve");
  tick("shut-the-valve");
  assert.equal(one(".ps-go").getAttribute("aria-label"), "Next stop: Stop: valve shut");
  answer("yes");
  tick("open-the-drain");
  tick("tight");
  assert.ok(one(".ps-go").hidden);
});

test("a note is kept after a pause, and the tick's time stays", async () => {
  mock.timers.enable({ apis: ["setTimeout"] });
  await open();
  tick("open-the-drain");
  job.time = "2026-05-14T12:00:00+02:00";
  happens(step("open-the-drain").querySelector(".ps-more"), "click");
  const note = step("open-the-drain").querySelector("textarea");
  assert.equal(note.hidden, false);
  note.value = "Cock was stiff";
  happens(note, "input");
  assert.equal(job.get(DRAIN).note, "");
  mock.timers.tick(300);
  assert.equal(job.get(DRAIN).note, "Cock was stiff");
  assert.equal(job.get(DRAIN).at, "2026-05-14T10:42:05+02:00");
  assert.equal(step("open-the-drain").querySelector(".ps-noted").textContent, "Cock was stiff");
  tick("open-the-drain", false);
  assert.equal(job.get(DRAIN).note, "Cock was stiff");
  assert.equal(job.get(DRAIN).ticked, false);
});

test("a half-typed note is kept when the page goes", async () => {
  mock.timers.enable({ apis: ["setTimeout"] });
  const element = await open();
  const note = step("tight").querySelector("textarea");
  note.value = "Half";
  happens(note, "input");
  element.remove();
  assert.equal(job.get("step/do-it/tight").note, "Half");
});

test("what another tab changed comes up, but not into a note being typed", async () => {
  await open();
  const about = { text: "Open the drain", kind: "step", page_title: "Do it" };
  const record = { ...about, ticked: true, answer: "", note: "theirs", photos: [], at: job.time };
  const note = step("open-the-drain").querySelector("textarea");
  note.value = "mine";
  happens(note, "input");
  job.records.set(DRAIN, record);
  job.tell([DRAIN], true);
  assert.equal(note.value, "mine");
  assert.ok(step("open-the-drain").hasAttribute("data-done"));
});

test("a tick that cannot be kept is told", async () => {
  await open();
  job.fails = "The device is full.";
  tick("tight");
  await settle();
  const told = step("tight").querySelector(".ps-say").textContent;
  assert.equal(told, "This is not kept on the device. The device is full.");
  assert.equal(step("tight").querySelector("input").checked, false);
});

test("closing the job gives the page back, and another job brings its own ticks", async () => {
  const before = shape();
  await open();
  tick("shut-the-valve");
  job.isOpen = false;
  job.dispatchEvent(new Event("switch"));
  assert.deepEqual(shape(), before);
  job.isOpen = true;
  job.records.clear();
  job.dispatchEvent(new Event("switch"));
  assert.equal(said(), "0 of 3 steps, 1 stop unanswered.");
});

test("the page is told that the bar stands, for as long as it does", async () => {
  const told = () => "stepsOpen" in document.body.dataset;
  job.isOpen = false;
  const element = await open();
  assert.equal(told(), false);
  job.isOpen = true;
  job.dispatchEvent(new Event("switch"));
  assert.equal(told(), true);
  element.remove();
  assert.equal(told(), false);
});

test("an element that leaves listens no more", async () => {
  const element = await open();
  const page = element.parentElement;
  element.remove();
  assert.equal(document.querySelectorAll(".ps-controls").length, 0);
  job.isOpen = true;
  job.dispatchEvent(new Event("switch"));
  assert.equal(document.querySelectorAll(".ps-controls").length, 0);
  page.prepend(element);
  await settle();
  assert.equal(document.querySelectorAll(".ps-controls").length, 4);
});

test("photos are counted, shown, and gone after two taps, address and all", async () => {
  job.photos.set("aa", new Blob(["x"]));
  job.photos.set("bb", new Blob(["y"]));
  const about = { text: "Open the drain", kind: "step", page_title: "Do it" };
  job.records.set(DRAIN, {
    ...about,
    ticked: false,
    answer: "",
    note: "",
    photos: ["aa", "bb", "lost"],
    at: job.time,
  });
  await open();
  await settle();
  const drain = step("open-the-drain");
  assert.equal(drain.querySelector(".ps-camera").textContent, "3 photos");
  assert.equal(addresses.size, 2);
  assert.match(drain.querySelectorAll(".ps-view")[2].textContent, /not on this device/);
  assert.equal(
    drain.querySelector(".ps-view").getAttribute("aria-label"),
    "Photo 1 of 3: Open the drain",
  );
  const away = drain.querySelector(".ps-away");
  happens(away, "click");
  assert.equal(away.textContent, "Tap again to remove");
  assert.deepEqual(job.get(DRAIN).photos, ["aa", "bb", "lost"]);
  happens(away, "click");
  assert.deepEqual(job.get(DRAIN).photos, ["bb", "lost"]);
  assert.ok(!job.photos.has("aa"));
  assert.equal(addresses.size, 1);
  assert.equal(drain.querySelector(".ps-camera").textContent, "2 photos");
  one("procedure-steps").remove();
  assert.equal(addresses.size, 0);
});

test("a file that is no photo is told in a sentence, and nothing is kept", async () => {
  globalThis.Image = class {
    decode = () => Promise.reject(new DOMException("no", "EncodingError"));
    removeAttribute() {}
  };
  await open();
  const camera = step("tight").querySelector("input[type=file]");
  assert.equal(camera.getAttribute("capture"), "environment");
  Object.defineProperty(camera, "files", { value: [new Blob(["not a picture"])] });
  happens(camera, "change");
  await settle();
  assert.equal(
    step("tight").querySelector(".ps-say").textContent,
    "No photo was kept. This file cannot be read as a photo. Take it again, or choose another file.",
  );
  assert.equal(job.photos.size, 0);
  assert.deepEqual(job.updates, []);
  assert.equal(addresses.size, 0);
});

test("a photo is kept small, and never in a job opened meanwhile", async () => {
  let decoded;
  globalThis.Image = class {
    naturalWidth = 4000;
    naturalHeight = 3000;
    decode = () => new Promise((resolve) => (decoded = resolve));
    removeAttribute() {}
  };
  const sizes = [];
  const create = document.createElement.bind(document);
  document.createElement = (tag) => {
    if (tag !== "canvas") return create(tag);
    return {
      getContext: () => ({ fillRect() {}, drawImage() {} }),
      toBlob(give, type, quality) {
        sizes.push([this.width, this.height, type, quality]);
        give(new Blob(["small"], { type }));
      },
    };
  };
  await open();
  const camera = step("tight").querySelector("input[type=file]");
  Object.defineProperty(camera, "files", { value: [new Blob(["big"])] });
  happens(camera, "change");
  decoded();
  await settle();
  assert.deepEqual(sizes, [[1280, 960, "image/jpeg", 0.8]]);
  assert.deepEqual(job.get("step/do-it/tight").photos, ["photo0"]);
  happens(camera, "change");
  job.id = "00000000000000bb";
  decoded();
  await settle();
  assert.equal(job.photos.size, 1);
  assert.match(step("tight").querySelector(".ps-say").textContent, /Another job was opened/);
});

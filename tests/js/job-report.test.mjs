import assert from "node:assert/strict";
import { afterEach, test } from "node:test";

import { parseHTML } from "linkedom";

const NOW = "2026-05-14T21:00:00+02:00";
const PHOTO = "9f80cb3c9f1c85cf";
const HTML =
  '<h2 data-key="title">Plant room</h2>' +
  '<section data-part="changes" data-key="changes">0.48 bar</section>' +
  '<section data-part="steps" data-key="steps"><div data-part="photos">' +
  `<figure data-photo="${PHOTO}"><p class="rp-no-photo">Not here.</p>` +
  "<figcaption>Photo 1: plate</figcaption></figure></div></section>" +
  '<section data-part="results" data-key="results"><div data-part="working">' +
  '<div data-part="pictures">picture</div></div></section>';

const { window, document } = parseHTML("<!doctype html><html><body></body></html>");
Object.assign(globalThis, {
  document,
  HTMLElement: window.HTMLElement,
  Element: window.Element,
  customElements: window.customElements,
});
const kept = new Map();
globalThis.localStorage = {
  getItem: (key) => kept.get(key) ?? null,
  setItem: (key, value) => void kept.set(key, String(value)),
  removeItem: (key) => void kept.delete(key),
};
const addresses = new Set();
const files = [];
URL.createObjectURL = (blob) => {
  const address = `blob:${addresses.size + files.length}`;
  if (blob instanceof File) files.push(blob);
  else addresses.add(address);
  return address;
};
URL.revokeObjectURL = (address) => void addresses.delete(address);

const { JobReport, PARTS, withoutPictures } = await import("../../docs/assets/js/job-report.mjs");
customElements.define("job-report", JobReport);

class FakeJob extends EventTarget {
  records = new Map([
    ["about/where", { text: "Basement", at: NOW }],
    [`step/survey/plate`, { kind: "step", text: "Plate", photos: [PHOTO] }],
  ]);
  ready = Promise.resolve();
  isOpen = true;
  meta = { id: "00000000000000aa", name: "Plant room", created: NOW };
  photos = new Map([[PHOTO, new Blob(["x"], { type: "image/jpeg" })]]);

  get(key) {
    return this.records.get(key);
  }
  keys(prefix) {
    return [...this.records.keys()].filter((key) => key.startsWith(prefix)).sort();
  }
  async photo(id) {
    return this.photos.get(id);
  }
  now() {
    return NOW;
  }
}

class FakeEngine {
  state = "ready";
  asked = [];
  reply = () => ({ html: HTML });
  async ask(request) {
    this.asked.push(structuredClone(request));
    return this.reply(request);
  }
}

const settled = (milliseconds = 5) => new Promise((done) => setTimeout(done, milliseconds));
const open = [];

async function report({ job = new FakeJob(), engine = new FakeEngine() } = {}) {
  JobReport.job = async () => job;
  JobReport.engine = () => engine;
  document.body.innerHTML = "<job-report><p>Needs JavaScript.</p></job-report>";
  const element = document.querySelector("job-report");
  open.push(element);
  await settled();
  return {
    element,
    job,
    engine,
    said: () => element.querySelector(".rp-say").textContent,
    sheet: () => element.querySelector(".rp-sheet"),
    part: (name) => element.querySelector(`.rp-sheet [data-part="${name}"]`),
    async click(action) {
      element
        .querySelector(`[data-action="${action}"]`)
        .dispatchEvent(new window.Event("click", { bubbles: true }));
      await settled();
    },
    async choose(value, checked) {
      const box = element.querySelector(`input[value="${value}"]`);
      box.checked = checked;
      box.dispatchEvent(new window.Event("change", { bubbles: true }));
      await settled();
    },
  };
}

afterEach(() => {
  for (const element of open.splice(0)) element.remove();
  kept.clear();
  files.length = 0;
});

test("the report is made at once, for the open job, and filled with the photos of the device", async () => {
  const { element, engine, sheet, said } = await report();
  assert.equal(element.dataset.state, "shown");
  assert.equal(said(), "");
  const [asked] = engine.asked;
  assert.equal(asked.op, "job-report");
  assert.equal(asked.system, "si");
  assert.equal(asked.now, NOW);
  assert.equal(asked.job.records["about/where"].text, "Basement");
  const picture = sheet().querySelector("img");
  assert.equal(picture.getAttribute("alt"), "Photo 1: plate");
  assert.match(picture.getAttribute("src"), /^blob:/);
});

test("the engine hears which photos there are and gets no picture", () => {
  const whole = withoutPictures(new FakeJob());
  assert.deepEqual(whole.photos, { [PHOTO]: "/9j/" });
  assert.deepEqual([...Buffer.from("/9j/", "base64")], [0xff, 0xd8, 0xff]);
  assert.equal(whole.id, "00000000000000aa");
});

test("a photo that is not on the device is said to be missing", async () => {
  const job = new FakeJob();
  job.photos.clear();
  const { sheet } = await report({ job });
  assert.equal(sheet().querySelector("img"), null);
  assert.match(sheet().querySelector(".rp-no-photo").textContent, /not on this device/);
});

test("without an open job nothing is asked, and the way to one is shown", async () => {
  const job = new FakeJob();
  job.isOpen = false;
  const { element, engine, said } = await report({ job });
  assert.equal(element.dataset.state, "none");
  assert.equal(engine.asked.length, 0);
  assert.match(said(), /No job is open/);
  assert.match(element.querySelector(".rp-say a").getAttribute("href"), /\/job\/$/);
  assert.equal(element.querySelector("form").hidden, true);
});

test("an engine that cannot start is told, the record is said to be safe, and it can be tried again", async () => {
  const engine = new FakeEngine();
  engine.reply = () => {
    throw new Error("The calculator could not start: no room.");
  };
  const { element, said, click, sheet } = await report({ engine });
  assert.equal(element.dataset.state, "failed");
  assert.match(said(), /could not start: no room/);
  assert.match(said(), /Nothing is lost/);
  assert.equal(sheet().childElementCount, 0);
  engine.reply = () => ({ html: HTML });
  await click("again");
  assert.equal(element.dataset.state, "shown");
});

test("a refusal of the engine is shown in its own words", async () => {
  const engine = new FakeEngine();
  engine.reply = () => ({ errors: [{ field: "", message: "The job's “name” is empty." }] });
  const { element, said } = await report({ engine });
  assert.equal(element.dataset.state, "failed");
  assert.match(said(), /“name” is empty/);
});

test("another job's numbers never stand under this one's name", async () => {
  const engine = new FakeEngine();
  const { job, sheet } = await report({ engine });
  let answer;
  engine.reply = () => new Promise((done) => (answer = done));
  job.dispatchEvent(new Event("switch"));
  assert.equal(sheet().childElementCount, 0);
  assert.equal(addresses.size, 0);
  await settled();
  const late = answer;
  engine.reply = () => ({ html: "<h2>The other</h2>" });
  job.dispatchEvent(new Event("switch"));
  await settled();
  late({ html: HTML });
  await settled();
  assert.equal(sheet().textContent, "The other");
});

test("a change of the job makes the report anew after a pause", async () => {
  const { job, engine } = await report();
  job.dispatchEvent(new CustomEvent("change", { detail: { keys: ["todo/1"], remote: false } }));
  job.dispatchEvent(new CustomEvent("change", { detail: { keys: ["todo/2"], remote: false } }));
  await settled(20);
  assert.equal(engine.asked.length, 1);
  await settled(700);
  assert.equal(engine.asked.length, 2);
});

test("the other units are asked for, and the calculators keep theirs", async () => {
  const { engine, choose } = await report();
  await choose("us", true);
  assert.equal(engine.asked.at(-1).system, "us");
  assert.equal(kept.has("handbook.system.1"), false);
});

test("what is left out is hidden, named on the sheet, and remembered", async () => {
  const { element, part, choose } = await report();
  assert.equal(part("pictures").hasAttribute("hidden"), true);
  await choose("changes", false);
  assert.equal(part("changes").hasAttribute("hidden"), true);
  const missing = element.querySelector(".rp-missing").textContent;
  assert.match(missing, /^Left out here: Before and after; /);
  element.remove();
  const again = await report();
  assert.equal(again.part("changes").hasAttribute("hidden"), true);
  await again.click("all");
  assert.equal(again.part("changes").hasAttribute("hidden"), false);
  assert.equal(again.element.querySelector(".rp-missing").hidden, true);
});

test("the short report leaves the working out, and a part brings along what it stands in", async () => {
  const { part, click, choose } = await report();
  await click("short");
  for (const name of ["steps", "photos", "results", "working"]) {
    assert.equal(part(name).hasAttribute("hidden"), true, name);
  }
  assert.equal(part("changes").hasAttribute("hidden"), false);
  await choose("pictures", true);
  for (const name of ["results", "working", "pictures"]) {
    assert.equal(part(name).hasAttribute("hidden"), false, name);
  }
});

test("a damaged memory of the choice is passed over", async () => {
  for (const text of ["{", "7", "null", '["nothing"]']) {
    kept.set("handbook.report.1", text);
    const { element, part } = await report();
    assert.equal(element.dataset.state, "shown", text);
    assert.equal(part("changes").hasAttribute("hidden"), false, text);
  }
});

test("print prints", async () => {
  let printed = 0;
  globalThis.print = () => (printed += 1);
  const { click } = await report();
  await click("print");
  assert.equal(printed, 1);
});

test("the table is a file with the mark of its alphabet, named by job and day", async () => {
  const engine = new FakeEngine();
  const { click, said } = await report({ engine });
  engine.reply = (request) => ({ text: `${request.op},±\r\n` });
  await click("table");
  assert.equal(files.length, 1);
  assert.equal(files[0].name, "cold-fill-plant-room-2026-05-14.csv");
  const bytes = new Uint8Array(await files[0].arrayBuffer());
  assert.deepEqual([...bytes.slice(0, 3)], [0xef, 0xbb, 0xbf]);
  assert.equal(new TextDecoder().decode(bytes.slice(3)), "job-csv,±\r\n");
  assert.match(said(), /saved/);
});

test("an element that is taken away gives its pictures back and asks no more", async () => {
  const { element, job, engine } = await report();
  assert.equal(addresses.size, 1);
  element.remove();
  assert.equal(addresses.size, 0);
  job.dispatchEvent(new Event("switch"));
  await settled(10);
  assert.equal(engine.asked.length, 1);
});

test("every part has a name of its own", () => {
  const names = PARTS.map(([name]) => name);
  assert.equal(new Set(names).size, names.length);
});

import assert from "node:assert/strict";
import { afterEach, test } from "node:test";

import { parseHTML } from "linkedom";

const { window, document } = parseHTML("<!doctype html><html><body></body></html>");
const printed = [];
Object.assign(globalThis, {
  document,
  HTMLElement: window.HTMLElement,
  Element: window.Element,
  customElements: window.customElements,
  location: { hash: "", href: "https://handbook.example/worksheets/" },
  addEventListener: () => undefined,
  print: () => printed.push(element.dataset.print),
});
const kept = new Map();
globalThis.localStorage = {
  getItem: (key) => kept.get(key) ?? null,
  setItem: (key, value) => void kept.set(key, String(value)),
};

const { WorkSheets, hashOf, settingsOf, soundSettings } = await import(
  "../../docs/assets/js/worksheets.mjs"
);
customElements.define("work-sheets", WorkSheets);

const levels = ["first", "usual", "hard"].map((id) => ({ id, title: id }));
const FAMILIES = ["pre-charge", "vessel-size"].map((id) => ({ id, title: id, levels }));

class FakeEngine {
  asked = [];
  hold = null;
  async ask(request) {
    this.asked.push(structuredClone(request));
    if (request.op === "problem-list") return { families: FAMILIES };
    if (request.op === "worksheet-plan") return { sheets: request.sheets };
    await this.hold;
    return { html: `<article data-op="${request.op}">${request.number} of seed ${request.seed}</article>` };
  }
  count(op) {
    return this.asked.filter((request) => request.op === op).length;
  }
}

const settled = (milliseconds = 10) => new Promise((done) => setTimeout(done, milliseconds));
let element = null;

async function page() {
  const engine = new FakeEngine();
  WorkSheets.engine = () => engine;
  element = document.createElement("work-sheets");
  document.body.append(element);
  await settled();
  return { element, engine };
}

const press = (root, action) =>
  root.querySelector(`[data-action="${action}"]`).dispatchEvent(new window.Event("click", { bubbles: true }));

function type(root, name, text) {
  const control = root.querySelector(`[name="${name}"]`);
  control.value = text;
  control.dispatchEvent(new window.Event("input", { bubbles: true }));
}

afterEach(() => {
  element?.remove();
  kept.clear();
  printed.length = 0;
  location.hash = "";
});

test("thirty sheets come from one seed, one request each, and the key apart", async () => {
  const { element, engine } = await page();
  type(element, "sheet-seed", "4711");
  press(element, "make");
  await settled(40);
  assert.equal(engine.count("worksheet-sheet"), 30);
  assert.equal(engine.count("worksheet-key"), 0);
  const numbers = engine.asked.filter(({ op }) => op === "worksheet-sheet").map(({ number }) => number);
  assert.deepEqual(numbers, Array.from({ length: 30 }, (_, n) => n + 1));
  assert.ok(engine.asked.every(({ op, seed }) => op === "problem-list" || seed === 4711));
  assert.equal(element.querySelectorAll(".tw-sheets .tw-page").length, 30);
  press(element, "print-sheets");
  press(element, "print-keys");
  await settled(40);
  assert.equal(engine.count("worksheet-key"), 30);
  assert.deepEqual(printed, ["sheets", "keys"]);
  press(element, "print-keys");
  await settled(20);
  assert.equal(engine.count("worksheet-key"), 30, "a key that is made is not made again");
});

test("where all are the same, one key is enough", async () => {
  location.hash = "#sheets?set=pre-charge.usual.2&seed=5&sheets=3&same=1&system=us&title=Test";
  const { element, engine } = await page();
  press(element, "make");
  await settled(20);
  press(element, "print-keys");
  await settled(20);
  assert.deepEqual([engine.count("worksheet-sheet"), engine.count("worksheet-key")], [3, 1]);
  const { op, number, ...plan } = engine.asked.at(-1);
  assert.deepEqual([op, number], ["worksheet-key", 1]);
  const set = { family: "pre-charge", level: "usual" };
  assert.deepEqual(plan, { sets: [set, set], seed: 5, sheets: 3, same: true, system: "us", title: "Test" });
});

test("another choice throws away what was made, and a stop ends the making", async () => {
  const { element, engine } = await page();
  press(element, "make");
  await settled(40);
  type(element, "sheet-seed", "12");
  assert.equal(element.querySelectorAll(".tw-page").length, 0);
  let go;
  engine.hold = new Promise((done) => (go = done));
  press(element, "make");
  await settled();
  press(element, "stop");
  const asked = engine.asked.length;
  go();
  await settled(30);
  assert.equal(engine.asked.length, asked);
  assert.equal(element.querySelectorAll(".tw-page").length, 0);
  assert.match(element.textContent, /Stopped\./);
});

test("wrong choices are named and nothing is made", async () => {
  const { element, engine } = await page();
  for (const [name, text, says] of [
    ["sheets", "41", /from 1 to 40/],
    ["sheet-seed", "-1", /Seed/],
    ["count-0", "0", /Kind 1/],
    ["count-0", "12", /12 are the most/],
  ]) {
    type(element, name, text);
    assert.match(element.querySelector(".tw-problem").textContent, says);
    press(element, "make");
    await settled(5);
    assert.equal(engine.count("worksheet-plan"), 0);
    type(element, name, name === "sheets" ? "2" : "1");
    assert.equal(element.querySelector(".tw-problem").textContent, "");
  }
});

test("an address makes the same sheets again, and a bent one is left alone", () => {
  const settings = {
    title: "Test & more",
    rows: [{ family: "pre-charge", level: "hard", count: 2 }],
    seed: 99,
    sheets: 12,
    same: false,
    system: "us",
  };
  assert.deepEqual(settingsOf(hashOf(settings)), settings);
  for (const hash of ["", "#sheets?", "#sheets?set=<b>.x.1", "#sheets?set=a.b.99", "#practice?set=a.b.1"]) {
    assert.equal(settingsOf(hash), null);
  }
  assert.equal(soundSettings({ ...settings, sheets: 900 }).sheets, 1);
});

import assert from "node:assert/strict";
import { afterEach, test } from "node:test";

import { parseHTML } from "linkedom";

const { window, document } = parseHTML("<!doctype html><html><body></body></html>");
Object.assign(globalThis, {
  document,
  HTMLElement: window.HTMLElement,
  HTMLInputElement: window.HTMLInputElement,
  HTMLSelectElement: window.HTMLSelectElement,
  Element: window.Element,
  customElements: window.customElements,
  location: { hash: "", pathname: "/assign/", search: "" },
  history: { state: null, replaceState: () => void (globalThis.location.hash = "") },
  addEventListener: () => undefined,
  print: () => undefined,
});
const kept = new Map();
globalThis.localStorage = {
  getItem: (key) => kept.get(key) ?? null,
  setItem: (key, value) => void kept.set(key, String(value)),
  removeItem: (key) => void kept.delete(key),
};

const { Draft, blank, soundDraft } = await import("../../docs/assets/js/assign-draft.mjs");
const { workLink, workOf, workText } = await import("../../docs/assets/js/work-link.mjs");
const { trainingName, trainingText, whole } = await import("../../docs/assets/js/trainer-parts.mjs");
const { AssignWork } = await import("../../docs/assets/js/assign.mjs");
customElements.define("assign-work", AssignWork);

const levels = [{ id: "first", title: "First" }, { id: "hard", title: "Hard" }];
const OPTIONS = {
  pages: [
    { id: "safety", title: "Safety", phase: "Before you go", calculators: [] },
    { id: "set-the-pre-charge", title: "Set the pre-charge", phase: "Charge",
      calculators: [{ id: "pre-charge", title: "Pre-charge" }] },
  ],
  checklists: [{ id: "survey", title: "Survey the system" }],
  families: [{ id: "pre-charge", title: "Charge", levels }],
  drills: [{ id: "low-cold", title: "Low when cold" }],
  limits: { items: 4, count: 20 },
};

class FakeEngine {
  asked = [];
  refuse = null;
  async ask(request) {
    this.asked.push(structuredClone(request));
    if (request.op === "course-options") return OPTIONS;
    if (request.op === "course-write") {
      return this.refuse ?? { text: JSON.stringify(request.assignment), notes: [] };
    }
    if (request.op === "course-read") {
      try {
        return { assignment: JSON.parse(request.text), notes: [] };
      } catch {
        return { errors: [{ field: "", message: "This is no assignment." }] };
      }
    }
    throw new Error(request.op);
  }
}

const settled = (milliseconds = 5) => new Promise((done) => setTimeout(done, milliseconds));
const CHECKED = 650;
/** A machine that is busy packs the link later. */
/** Wait until something holds: a busy machine may take its time. */
async function until(holds) {
  for (let round = 0; round < 400 && !holds(); round += 1) await settled(25);
}
async function made(root) {
  for (let round = 0; round < 200 && !root.querySelector('[name="link"]'); round += 1) await settled(25);
  return root.querySelector('[name="link"]').getAttribute("value");
}
let element = null;

async function page() {
  const engine = new FakeEngine();
  AssignWork.engine = () => engine;
  element = document.createElement("assign-work");
  document.body.append(element);
  await settled();
  return { element, engine };
}

function press(root, action, at = 0) {
  const buttons = [...root.querySelectorAll(`[data-action="${action}"]`)];
  buttons[at].dispatchEvent(new window.Event("click", { bubbles: true }));
}

function type(root, name, text) {
  const control = root.querySelector(`[name="${name}"]`);
  control.value = text;
  control.dispatchEvent(new window.Event("input", { bubbles: true }));
}

const words = (root) => [...root.querySelectorAll(".tw-item b")].map((b) => b.textContent);

afterEach(() => {
  element?.remove();
  element = null;
  kept.clear();
  location.hash = "";
});

test("items are added, moved, removed and brought back, and the draft survives", async () => {
  const { element } = await page();
  press(element, "add-page");
  press(element, "add-problems");
  press(element, "add-drill");
  assert.deepEqual(words(element), ["Read “Safety”", "3 problems: Charge, First", "Find the fault: Low when cold"]);
  press(element, "down", 0);
  assert.deepEqual(words(element)[0], "3 problems: Charge, First");
  press(element, "remove", 0);
  assert.deepEqual(words(element), ["Read “Safety”", "Find the fault: Low when cold"]);
  press(element, "undo");
  assert.deepEqual(words(element)[0], "3 problems: Charge, First");
  type(element, "title", "Week 1");
  element.remove();
  const again = await page();
  assert.deepEqual(words(again.element), ["3 problems: Charge, First", "Read “Safety”", "Find the fault: Low when cold"]);
  assert.equal(again.element.querySelector('[name="title"]').value, "Week 1");
});

test("only what the engine finds sound goes out, and the link holds all of it", async () => {
  const { element, engine } = await page();
  await settled(CHECKED);
  assert.match(element.textContent, /Still missing: a title, at least one thing to do/);
  assert.ok(!engine.asked.some(({ op }) => op === "course-write"));
  type(element, "title", "Week 1");
  press(element, "add-checklist");
  const link = await made(element);
  const inside = JSON.parse(await workText(link));
  assert.equal(inside.title, "Week 1");
  assert.deepEqual(inside.items, [{ kind: "checklist", page: "survey" }]);
  engine.refuse = { errors: [{ field: "items.1.page", message: "No such page." }] };
  type(element, "title", "Week 2");
  assert.equal(element.querySelector('[name="link"]'), null, "an old link must not stay");
  await settled(CHECKED);
  assert.match(element.textContent, /No such page\./);
  assert.ok(element.querySelector(".tw-item").hasAttribute("data-trouble"));
  assert.equal(element.querySelector('[name="link"]'), null);
});

test("wrong numbers are named and not taken", async () => {
  const { element } = await page();
  type(element, "pass", "120");
  assert.match(element.querySelector('[data-error="about"]').textContent, /from 0 to 100/);
  type(element, "pass", "80");
  assert.equal(element.querySelector('[data-error="about"]').textContent, "");
  type(element, "add-count", "21");
  press(element, "add-problems");
  assert.match(element.querySelector('[data-error="adding"]').textContent, /from 1 to 20/);
  for (let n = 0; n < 5; n += 1) press(element, "add-page");
  assert.equal(words(element).length, 4);
  assert.match(element.querySelector('[data-error="adding"]').textContent, /at most 4/);
});

test("a link opens, asks before it takes the place of a draft, and the draft comes back", async () => {
  const other = { ...blank(), title: "Another", items: [{ kind: "page", page: "safety" }] };
  location.hash = (await workLink(JSON.stringify(other), "https://handbook.example/assign/")).replace(/^.*#/, "#");
  const { element } = await page();
  await until(() => element.querySelector('[name="title"]')?.value === "Another");
  assert.equal(element.querySelector('[name="title"]').value, "Another");
  type(element, "title", "Mine");
  element.querySelector('[name="open-link"]').value = await workLink(JSON.stringify(other), "https://handbook.example/x/");
  press(element, "open-link");
  await until(() => element.querySelector('[data-action="take-offered"]'));
  assert.equal(element.querySelector('[name="title"]').value, "Mine");
  press(element, "take-offered");
  assert.equal(element.querySelector('[name="title"]').value, "Another");
  press(element, "bring-back");
  assert.equal(element.querySelector('[name="title"]').value, "Mine");
  for (const bent of ["https://x/#take=abc", "https://x/#work=", "https://x/#work=%%%", "https://x/#work=abcd"]) {
    element.querySelector('[name="open-link"]').value = bent;
    press(element, "open-link");
    await until(() => /no assignment in/.test(element.querySelector(".tw-open-said").textContent));
    assert.match(element.querySelector(".tw-open-said").textContent, /no assignment in/);
    assert.equal(element.querySelector('[name="title"]').value, "Mine");
  }
});

test("a stranger's text is shown as text", async () => {
  const evil = { ...blank(), title: "<img src=x onerror=alert(1)>", items: [{ kind: "page", page: "<b>x</b>" }] };
  kept.set("handbook.assign.1", JSON.stringify(evil));
  const { element } = await page();
  assert.equal(element.querySelector("img"), null);
  assert.match(words(element)[0], /<b>x<\/b>/);
});

test("a kept draft that is no draft begins an empty one", () => {
  for (const text of ["", "{", "[]", "null", '{"id":"x"}']) {
    const draft = new Draft(() => ({ getItem: () => text, setItem: () => undefined }));
    assert.ok(draft.isEmpty);
    assert.match(draft.assignment.id, /^[0-9a-f]{16}$/);
  }
  const shut = new Draft(() => {
    throw new Error("forbidden");
  });
  assert.equal(shut.set({ title: "x" }), false);
  const found = soundDraft({ id: "00112233445566ff", pass: 700, seed: -1, items: [{ kind: "run" }, null] });
  assert.deepEqual([found.pass, found.items], [70, []]);
  assert.ok(found.seed >= 0);
  assert.equal(soundDraft({ id: "<script>" }), null);
});

test("a link of work is told from any other, and files from what is none", async () => {
  assert.equal(workOf("#work=abc-_1"), "abc-_1");
  assert.equal(workOf("#take=abc"), null);
  assert.equal(whole(" 12 ", 1, 20), 12);
  for (const text of ["", "-1", "1.5", "21", "1e1"]) assert.equal(whole(text, 1, 20), null);
  assert.equal(trainingName("Übung: Woche 3!", ".assignment.json"), "cold-fill-ubung-woche-3.assignment.json");
  assert.equal(trainingName("???", ".csv", "results"), "cold-fill-results.csv");
  await assert.rejects(trainingText(new Blob([]), ".x"), /empty/);
  await assert.rejects(trainingText(new Blob([new Uint8Array([255, 254, 0])]), ".x"), /not text/);
});

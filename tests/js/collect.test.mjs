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
  addEventListener: () => undefined,
  print: () => printed.push([element.dataset.print, element.hasAttribute("data-answers")]),
});
const saved = [];
URL.createObjectURL = (file) => {
  saved.push(file);
  return "blob:x";
};
URL.revokeObjectURL = () => undefined;

const { CollectResults } = await import("../../docs/assets/js/collect.mjs");
customElements.define("collect-results", CollectResults);

class FakeEngine {
  asked = [];
  async ask(request) {
    this.asked.push(structuredClone(request));
    if (request.op === "course-read") return { assignment: { id: "a", title: "Week 1" } };
    if (request.op === "results-mark") {
      return request.text.includes("bad")
        ? { errors: [{ field: "", message: "The file was changed or cut." }] }
        : { standing: {}, title: "Week 1" };
    }
    const names = request.texts.map(({ name }) => name).join(" ");
    return { html: `<section><h3>Week 1</h3><p>${names}</p></section>`, csv: `trainee\r\n${names}\r\n`, errors: [] };
  }
}

let element = null;

function page() {
  const engine = new FakeEngine();
  CollectResults.engine = () => engine;
  element = document.createElement("collect-results");
  document.body.append(element);
  return { element, engine };
}

const file = (name, text) => new File([text], name);
const press = (root, action) =>
  root.querySelector(`[data-action="${action}"]`).dispatchEvent(new window.Event("click", { bubbles: true }));

afterEach(() => {
  element?.remove();
  saved.length = 0;
  printed.length = 0;
});

test("good files make a table, and each bad one is named with its reason", async () => {
  const { element, engine } = page();
  await element.take([
    file("ana.result.json", "ana"),
    file("<b>.json", "bad"),
    file("empty.json", ""),
    file("photo.jpg", new Uint8Array([255, 216, 255])),
    file("ben.result.json", "ben"),
  ]);
  assert.deepEqual(
    engine.asked.at(-1).texts.map(({ name }) => name),
    ["ana.result.json", "ben.result.json"],
  );
  const bad = [...element.querySelectorAll(".tw-bad li")].map((li) => li.textContent);
  assert.equal(bad.length, 3);
  assert.match(bad[0], /^<b>\.json: The file was changed or cut\./);
  assert.match(bad[1], /empty/);
  assert.match(bad[2], /not text/);
  assert.match(element.textContent, /2 files taken in, 3 refused\./);
});

test("more files follow, the same one counts once, and a mended one is no longer refused", async () => {
  const { element, engine } = page();
  await element.take([file("ana.json", "ana"), file("ben.json", "bad")]);
  await element.take([file("again.json", "ana"), file("ben.json", "ben")]);
  assert.deepEqual(engine.asked.at(-1).texts.map(({ name }) => name), ["ana.json", "ben.json"]);
  assert.equal(element.querySelector(".tw-bad li"), null);
});

test("the trainer's own file goes along, and is no result", async () => {
  const { element, engine } = page();
  await element.take([file("w.assignment.json", '{"format":"cold-fill-assignment"}'), file("ana.json", "ana")]);
  const { op, assignment, texts } = engine.asked.at(-1);
  assert.deepEqual([op, assignment.title, texts.length], ["results-table", "Week 1", 1]);
});

test("the table is saved as the engine wrote it, printed, and forgotten", async () => {
  const { element } = page();
  await element.take([file("ana.json", "ana")]);
  press(element, "csv");
  assert.equal(saved[0].name, "cold-fill-results-week-1.csv");
  assert.equal(new TextDecoder("utf-8", { ignoreBOM: true }).decode(await saved[0].arrayBuffer()), "\ufefftrainee\r\nana.json\r\n");
  press(element, "print");
  element.querySelector('[name="answers"]').checked = true;
  press(element, "print");
  assert.deepEqual(printed, [["class", false], ["class", true]]);
  press(element, "forget");
  assert.doesNotMatch(element.textContent, /ana|Week 1/);
  await element.take([file("bad.json", "bad")]);
  assert.match(element.textContent, /None of the files/);
});

test("what is forgotten while it is read does not come back", async () => {
  const { element } = page();
  const taking = element.take([file("ana.json", "ana")]);
  element.remove();
  await taking;
  assert.doesNotMatch(element.textContent, /ana/);
});

import assert from "node:assert/strict";
import { test } from "node:test";

import { parseHTML } from "linkedom";

const { window } = parseHTML("<html><body></body></html>");
globalThis.HTMLElement = window.HTMLElement;
globalThis.document = window.document;

const { soundFilled, verdict } = await import("../../docs/assets/js/observed.mjs");

const ROWS = [
  { key: "prove-zero", critical: true },
  { key: "tell-people", critical: false },
];

test("a sheet with every critical step alone and none worse than told is passed", () => {
  assert.equal(verdict(ROWS, { "prove-zero": "alone", "tell-people": "told" }).state, "passed");
});

test("a critical step that needed a reminder fails the sheet", () => {
  const found = verdict(ROWS, { "prove-zero": "reminded", "tell-people": "alone" });
  assert.equal(found.state, "not-yet");
  assert.match(found.words, /1 critical step not done alone/);
});

test("a step shown fails the sheet, and what is open is counted", () => {
  const found = verdict(ROWS, { "tell-people": "shown" });
  assert.equal(found.state, "not-yet");
  assert.match(found.words, /1 other step shown or not done\. 1 of 2 not looked at yet/);
});

test("a sheet not looked at to the end is neither passed nor failed", () => {
  assert.equal(verdict(ROWS, { "prove-zero": "alone" }).state, "open");
  assert.equal(verdict(ROWS, {}).state, "open");
});

test("of a kept sheet only known steps, levels and short texts are taken", () => {
  const kept = soundFilled(
    {
      levels: { "prove-zero": "alone", "tell-people": "<b>", other: "alone" },
      fields: { trainee: "A", place: "x".repeat(201), other: "y" },
    },
    ["prove-zero", "tell-people"],
  );
  assert.deepEqual(kept, { levels: { "prove-zero": "alone" }, fields: { trainee: "A" } });
  for (const bent of [null, 3, "x", { levels: 4 }]) {
    assert.deepEqual(soundFilled(bent, ["prove-zero"]), { levels: {}, fields: {} });
  }
});

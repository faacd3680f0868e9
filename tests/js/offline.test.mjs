import assert from "node:assert/strict";
import { test } from "node:test";

// The module defines an element; Node has none to extend.
globalThis.HTMLElement ??= class {};
const { sentence } = await import("../../docs/assets/js/offline.mjs");

test("each state has its words", () => {
  const say = (state, done = 0, total = 0) => sentence({ state, done, total });
  assert.equal(say("fetching", 12, 80), "Fetching for offline: 12 of 80");
  assert.equal(say("fetching"), "Fetching for offline");
  assert.equal(say("ready"), "Ready offline");
  assert.equal(say("update"), "New edition available");
  assert.match(say("failed"), /^No offline copy yet/);
  assert.match(say("unsupported"), /cannot keep/);
});

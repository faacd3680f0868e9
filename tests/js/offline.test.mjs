import assert from "node:assert/strict";
import { test } from "node:test";

// The modules define elements; Node has none to extend.
globalThis.HTMLElement ??= class {};
const { sentence } = await import("../../docs/assets/js/offline.mjs");

test("each state has its words", () => {
  const amount = { done: 12, total: 80, doneBytes: 12_340_000, totalBytes: 23_700_000 };
  const say = (state, more = {}) => sentence({ state, ...more });
  assert.equal(say("fetching", amount), "Fetching for offline: 12 of 80 files, 12.3 of 23.7 MB");
  assert.equal(say("fetching"), "Fetching for offline");
  assert.equal(say("ready"), "Ready offline");
  assert.equal(say("ready", { why: "This one stays." }), "Ready offline. This one stays.");
  assert.equal(say("update"), "New edition available");
  assert.match(say("failed"), /^Not ready offline\. .*Reload/);
  assert.match(say("failed", { ...amount, why: "No room." }), /12\.3 of 23\.7 MB\. No room\.$/);
  assert.match(say("unsupported"), /cannot keep/);
});

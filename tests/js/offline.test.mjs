import assert from "node:assert/strict";
import { test } from "node:test";

// The modules define elements; Node has none to extend.
globalThis.HTMLElement ??= class {};
const { sentence } = await import("../../docs/assets/js/offline.mjs");
const { named, rows } = await import("../../docs/assets/js/offline-page.mjs");

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

test("the page says what the device knows, and what it does not tell", () => {
  const standing = { state: "ready", done: 3, total: 4, doneBytes: 1e6, totalBytes: 2e6, why: "" };
  const unknown = { list: null, used: null, room: null, persisted: null };
  const told = Object.fromEntries(rows(standing, unknown, false));
  assert.equal(told["Kept on this device"], "3 of 4 files, 1.0 of 2.0 MB");
  assert.equal(told.Room, "this browser does not tell");
  assert.equal(told["Protected from clearing"], "this browser does not tell");
  assert.equal(told.Opened, "in the browser");
  const list = { edition: "0a1b2c", date: "2026-01-02", bytes: 2, files: {} };
  const known = { list, used: 24.4e6, room: 10.76e9, persisted: false };
  const more = Object.fromEntries(rows(standing, known, true));
  assert.equal(more["Edition on this page"], "0a1b2c, of 2026-01-02");
  assert.match(more.Room, /^24\.4 MB .* of 10\.8 GB allowed$/);
  assert.match(more["Protected from clearing"], /^no: /);
  assert.match(more.Opened, /app/);
});

test("of many damaged files the first few are named", () => {
  assert.equal(named(["a", "b"]), "a, b");
  assert.equal(named([..."abcdefg"]), "a, b, c, d, e and 2 more");
});

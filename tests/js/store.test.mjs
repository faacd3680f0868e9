import assert from "node:assert/strict";
import { test } from "node:test";

import { soundEntries, Store } from "../../docs/assets/js/store.mjs";

function shelf() {
  const items = new Map();
  return {
    items,
    getItem: (key) => items.get(key) ?? null,
    setItem: (key, value) => void items.set(key, String(value)),
  };
}

test("the chosen units are remembered, and nonsense is not", () => {
  const box = shelf();
  const store = new Store(() => box);
  assert.equal(store.preferredSystem(), null);
  store.preferSystem("us");
  assert.equal(store.preferredSystem(), "us");
  assert.deepEqual([...box.items.keys()], ["handbook.system.1"]);
  box.setItem("handbook.system.1", "<b>");
  assert.equal(store.preferredSystem(), null);
});

const UNSOUND = {
  nothing: undefined,
  "a text": "{",
  "a number": 7,
  "a null": null,
  "no system": { values: {} },
  "a strange system": { system: "imperial", values: {} },
  "no values": { system: "si" },
  "values as a list": { system: "si", values: ["1"] },
};
for (const [name, record] of Object.entries(UNSOUND)) {
  test(`an unsound record is ignored: ${name}`, () => assert.equal(soundEntries(record), null));
}

test("only sound entries of a record are taken", () => {
  const record = JSON.parse(
    '{"system":"si","at":7,"values":{"height":"3","height.unit":"m","rows.12.tube.unit":"mm","n":4,' +
      '"__proto__":"x","constructor.prototype":"x","a b":"1","[name]":"2","object":{},"long":"' +
      "9".repeat(500) +
      '"},"taken":{"height":"height","hot":3,"a.b":"x","<b>":"y"}}',
  );
  assert.deepEqual(soundEntries(record), {
    system: "si",
    values: { height: "3", "height.unit": "m", "rows.12.tube.unit": "mm" },
    taken: { height: "height" },
    at: "",
  });
});

test("a record without facts is as good", () => {
  const record = { system: "us", values: { height: "31" }, at: "2026-05-14T08:00:00Z" };
  assert.deepEqual(soundEntries(record), { ...record, taken: {} });
});

test("storage that throws is no failure", () => {
  const store = new Store(() => {
    throw new Error("forbidden");
  });
  assert.equal(store.preferredSystem(), null);
  assert.doesNotThrow(() => store.preferSystem("us"));
});

import assert from "node:assert/strict";
import { test } from "node:test";

import { soundRecord, Store } from "../../docs/assets/js/store.mjs";

function shelf() {
  const items = new Map();
  return {
    items,
    getItem: (key) => items.get(key) ?? null,
    setItem: (key, value) => void items.set(key, String(value)),
    removeItem: (key) => void items.delete(key),
  };
}

test("what was typed comes back, per calculator, and can be forgotten", () => {
  const box = shelf();
  const store = new Store(() => box);
  const kept = { system: "us", values: { height: "31", "height.unit": "ft", "pipes.0.length": "3" } };
  assert.equal(store.write("pre-charge", kept), true);
  assert.deepEqual(new Store(() => box).read("pre-charge"), kept);
  assert.equal(store.read("vessel-size"), null);
  store.forget("pre-charge");
  assert.equal(store.read("pre-charge"), null);
});

test("keys carry a version", () => {
  const box = shelf();
  new Store(() => box).write("a", { system: "si", values: {} });
  assert.deepEqual([...box.items.keys()], ["handbook.typed.1.a"]);
});

test("the chosen units are remembered, and nonsense is not", () => {
  const box = shelf();
  const store = new Store(() => box);
  assert.equal(store.preferredSystem(), null);
  store.preferSystem("us");
  assert.equal(store.preferredSystem(), "us");
  box.setItem("handbook.system.1", "<b>");
  assert.equal(store.preferredSystem(), null);
});

const UNSOUND = {
  nothing: null,
  "not JSON": "{",
  "a number": "7",
  "a null": "null",
  "no system": '{"values":{}}',
  "a strange system": '{"system":"imperial","values":{}}',
  "no values": '{"system":"si"}',
  "values as a list": '{"system":"si","values":["1"]}',
  "far too long": JSON.stringify({ system: "si", values: { x: "1".repeat(200_000) } }),
};
for (const [name, text] of Object.entries(UNSOUND)) {
  test(`an unsound record is ignored: ${name}`, () => assert.equal(soundRecord(text), null));
}

test("only sound entries of a record are taken", () => {
  const text =
    '{"system":"si","values":{"height":"3","height.unit":"m","rows.12.tube.unit":"mm","n":4,' +
    '"__proto__":"x","constructor.prototype":"x","a b":"1","[name]":"2","long":"' +
    "9".repeat(500) +
    '"}}';
  assert.deepEqual(soundRecord(text), {
    system: "si",
    values: { height: "3", "height.unit": "m", "rows.12.tube.unit": "mm" },
  });
});

test("storage that throws is no failure", () => {
  const store = new Store(() => {
    throw new Error("forbidden");
  });
  assert.equal(store.read("a"), null);
  assert.equal(store.write("a", { system: "si", values: {} }), false);
  assert.equal(store.preferredSystem(), null);
  assert.doesNotThrow(() => store.forget("a"));
  assert.doesNotThrow(() => store.preferSystem("us"));
});

import assert from "node:assert/strict";
import { test } from "node:test";

import {
  joinQuantity,
  joinTable,
  readHash,
  splitQuantity,
  splitTable,
  writeHash,
} from "../../docs/assets/js/hash.mjs";

test("a link comes back as it was written", () => {
  const link = {
    calculator: "pre-charge",
    system: "us",
    inputs: {
      height: "31 ft",
      gauge: "12 ± 0.5 psi",
      sizes: "8, 12 L",
      pipes: "DN 25 | 30 m; DN 20 | 55 m",
      odd: "100 % & more = #? \"é\"",
    },
  };
  const hash = writeHash(link);
  assert.match(hash, /^#pre-charge\?/);
  assert.deepEqual(readHash(hash), link);
});

test("the written link survives being an address", () => {
  const hash = writeHash({ calculator: "a", system: "si", inputs: { x: "1 # 2 & 3 ± 4" } });
  assert.equal(new URL(hash, "http://127.0.0.1/page/").hash, hash);
});

test("a link as a person would type it is read", () => {
  assert.deepEqual(readHash("#pre-charge?height=31 ft&method=en12828"), {
    calculator: "pre-charge",
    system: null,
    inputs: { height: "31 ft", method: "en12828" },
  });
});

for (const hash of ["", "#", "#what-you-need", "#?height=1", "#Up?x=1", "#a b?x=1", "#../x?y=1"]) {
  test(`not a link of ours: ${JSON.stringify(hash)}`, () => assert.equal(readHash(hash), null));
}

test("broken or hostile pairs are left out and the rest is kept", () => {
  const hash = `#a?bad=%E0%A4%A&__proto__=1&=2&x&ok=3&system=metric&long=${"9".repeat(3000)}`;
  const link = readHash(hash);
  assert.deepEqual(link, { calculator: "a", system: null, inputs: { ok: "3" } });
});

test("quantities are joined as people write them", () => {
  assert.equal(joinQuantity({ value: " 12 ", unit: "psi", pm: "0.5" }), "12 ± 0.5 psi");
  assert.equal(joinQuantity({ value: "12", unit: "psi", pm: " " }), "12 psi");
  assert.equal(joinQuantity({ value: "0.2", unit: null }), "0.2");
  assert.equal(joinQuantity({ value: "", unit: "psi", pm: "1" }), "");
});

test("a quantity is split at the longest unit that the field offers", () => {
  const units = ["Pa", "kPa", "bar", "ft", "in"];
  assert.deepEqual(splitQuantity("150 kPa", units), { value: "150", unit: "kPa", pm: null });
  assert.deepEqual(splitQuantity("12 ± 0.5 bar", units), { value: "12", unit: "bar", pm: "0.5" });
  assert.deepEqual(splitQuantity("12 +/- 0.5 bar", units), { value: "12", unit: "bar", pm: "0.5" });
  assert.deepEqual(splitQuantity("31ft", units), { value: "31", unit: "ft", pm: null });
  assert.deepEqual(splitQuantity("0.25", []), { value: "0.25", unit: null, pm: null });
  assert.deepEqual(splitQuantity("  ", units), { value: "", unit: null, pm: null });
});

test("a unit that the field does not offer is left to the engine", () => {
  assert.equal(splitQuantity("3 inHg", ["kPa", "bar"]), null);
  assert.equal(splitQuantity("3 mbar", ["bar"]), null);
  assert.equal(splitQuantity("1 ± 2 ± 3 bar", ["bar"]), null);
});

test("tables", () => {
  const rows = [
    ["DN 25", "30 m"],
    ["DN 20", "55 m"],
  ];
  assert.equal(joinTable(rows), "DN 25 | 30 m; DN 20 | 55 m");
  assert.deepEqual(splitTable(joinTable(rows)), rows);
  assert.deepEqual(splitTable(" "), []);
});

test("the unit of a bare ratio is not cut off its number", () => {
  assert.equal(splitQuantity("0.51", ["%", "1"]), null);
  assert.deepEqual(splitQuantity("0.51 1", ["%", "1"]), { value: "0.51", unit: "1", pm: null });
  assert.deepEqual(splitQuantity("51%", ["%", "1"]), { value: "51", unit: "%", pm: null });
});

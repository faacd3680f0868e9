import assert from "node:assert/strict";
import { test } from "node:test";

import {
  affected,
  ageWords,
  allFacts,
  entryWords,
  fact,
  firstKnown,
  removeFact,
  sameEntry,
  undoFact,
  withdraw,
  writeFact,
} from "../../docs/assets/js/facts.mjs";

/** A job that keeps its records in a map, with a clock that is set by hand. */
export function fakeJob(records = {}) {
  const kept = new Map(Object.entries(records));
  let minute = 0;
  return {
    get: (key) => kept.get(key),
    keys: (prefix) => [...kept.keys()].filter((key) => key.startsWith(prefix)).sort(),
    update(key, change) {
      const fresh = change(kept.get(key));
      if (fresh === undefined) kept.delete(key);
      else kept.set(key, fresh);
    },
    now: () => new Date(Date.UTC(2026, 4, 14, 8, minute)).toISOString(),
    wait(minutes) {
      minute += minutes;
    },
  };
}

const FOUND = { calculator: "system-volume", field: "volume", how: "found" };
const TYPED = { calculator: "vessel-size", field: "system_volume", how: "typed" };
const litres = (value, pm = "") => ({ value, unit: "L", pm });

test("a fact is kept with its origin, and the first known one serves", () => {
  const job = fakeJob();
  assert.equal(firstKnown(job, ["new_vessel", "vessel_volume"]), null);
  assert.equal(writeFact(job, "vessel_volume", litres("200"), TYPED), true);
  assert.equal(firstKnown(job, ["new_vessel", "vessel_volume"]).name, "vessel_volume");
  writeFact(job, "new_vessel", litres("250"), FOUND);
  const { name, record } = firstKnown(job, ["new_vessel", "vessel_volume"]);
  assert.equal(name, "new_vessel");
  assert.deepEqual(record.entry, litres("250"));
  assert.deepEqual(record.origin, FOUND);
  assert.deepEqual(record.before, []);
});

test("the same value again changes nothing", () => {
  const job = fakeJob();
  writeFact(job, "system_volume", litres("1750", "40"), FOUND);
  const at = fact(job, "system_volume").at;
  job.wait(5);
  assert.equal(writeFact(job, "system_volume", litres("1750", "40"), TYPED), false);
  assert.equal(fact(job, "system_volume").at, at);
  assert.equal(fact(job, "system_volume").origin.how, "found");
});

test("a change keeps what was there before, and can be taken back", () => {
  const job = fakeJob();
  writeFact(job, "system_volume", litres("1750"), FOUND);
  job.wait(5);
  writeFact(job, "system_volume", litres("1500"), TYPED);
  assert.equal(fact(job, "system_volume").before.length, 1);
  job.wait(1);
  undoFact(job, "system_volume");
  const { entry, origin, before, at } = fact(job, "system_volume");
  assert.deepEqual([entry.value, origin, before], ["1750", FOUND, []]);
  assert.equal(at, job.now());
  undoFact(job, "system_volume");
  assert.equal(fact(job, "system_volume"), null);
});

test("digits typed one after the other are one change", () => {
  const job = fakeJob();
  writeFact(job, "height", { value: "11.4", unit: "m" }, FOUND);
  job.wait(5);
  for (const value of ["9", "9.", "9.2"]) {
    writeFact(job, "height", { value, unit: "m" }, { ...TYPED, field: "height" });
  }
  assert.deepEqual(
    fact(job, "height").before.map(({ entry }) => entry.value),
    ["11.4"],
  );
  job.wait(5);
  writeFact(job, "height", { value: "9.4", unit: "m" }, { ...TYPED, field: "height" });
  assert.equal(fact(job, "height").before.length, 2);
});

test("a result told again does not push out what was typed since", () => {
  const job = fakeJob();
  writeFact(job, "system_volume", litres("1750"), FOUND);
  job.wait(5);
  writeFact(job, "system_volume", litres("1500"), TYPED);
  job.wait(5);
  assert.equal(writeFact(job, "system_volume", litres("1750"), FOUND), false);
  assert.equal(fact(job, "system_volume").entry.value, "1500");
  // A new result is news.
  assert.equal(writeFact(job, "system_volume", litres("1760"), FOUND), true);
  assert.equal(fact(job, "system_volume").entry.value, "1760");
});

test("no more than twenty former values are kept", () => {
  const job = fakeJob();
  for (let n = 0; n < 50; n += 1) {
    job.wait(2);
    writeFact(job, "height", { value: String(n), unit: "m" }, TYPED);
  }
  assert.equal(fact(job, "height").before.length, 20);
  assert.equal(fact(job, "height").before[0].entry.value, "48");
});

function chain() {
  const job = fakeJob({
    "entries/vessel-size": { taken: { system_volume: "system_volume", hot: "hot" } },
    "entries/relief-margin": { taken: { vessel_volume: "new_vessel" } },
    "entries/cool-down": { taken: {} },
  });
  writeFact(job, "system_volume", litres("1750"), FOUND);
  job.wait(1);
  writeFact(job, "new_vessel", litres("250"), {
    calculator: "vessel-size",
    field: "total",
    how: "found",
  });
  return job;
}

test("what hangs on a fact is followed to the end", () => {
  const job = chain();
  assert.deepEqual(affected(job, "system_volume"), {
    calculators: ["relief-margin", "vessel-size"],
    facts: ["new_vessel"],
  });
  assert.deepEqual(affected(job, "new_vessel"), { calculators: ["relief-margin"], facts: [] });
  assert.deepEqual(affected(job, "height"), { calculators: [], facts: [] });
});

test("a ring of facts does not go round for ever", () => {
  const job = fakeJob({
    "entries/vessel-size": { taken: { charge: "charge" } },
    "entries/pre-charge": { taken: { vessel_volume: "new_vessel" } },
  });
  writeFact(job, "charge", { value: "1.5", unit: "bar" }, { ...FOUND, calculator: "pre-charge" });
  writeFact(job, "new_vessel", litres("250"), { ...FOUND, calculator: "vessel-size" });
  assert.deepEqual(affected(job, "charge"), {
    calculators: ["pre-charge", "vessel-size"],
    facts: ["new_vessel"],
  });
});

test("a found fact is stale once something under it has changed", () => {
  const job = chain();
  const staleness = () => Object.fromEntries(allFacts(job).map(({ name, stale }) => [name, stale]));
  assert.deepEqual(staleness(), { new_vessel: false, system_volume: false });
  job.wait(5);
  writeFact(job, "system_volume", litres("1500"), TYPED);
  assert.deepEqual(staleness(), { new_vessel: true, system_volume: false });
  removeFact(job, "system_volume");
  assert.deepEqual(staleness(), { new_vessel: false });
});

test("what one page has put in is withdrawn, and what stood before holds again", () => {
  const job = fakeJob();
  writeFact(job, "system_volume", litres("1750"), FOUND);
  job.wait(5);
  writeFact(job, "system_volume", litres("1500"), TYPED);
  job.wait(5);
  writeFact(job, "system_volume", litres("1400"), TYPED);
  writeFact(job, "hot", { value: "80", unit: "degC" }, { ...TYPED, field: "hot" });
  writeFact(job, "cold", { value: "10", unit: "degC" }, { ...FOUND, field: "cold" });
  withdraw(job, "vessel-size");
  assert.deepEqual(fact(job, "system_volume").entry, litres("1750"));
  assert.deepEqual(job.keys("fact/"), ["fact/cold", "fact/system_volume"]);
});

test("records that are no facts are passed over", () => {
  const job = fakeJob({
    "fact/height": "11 m",
    "fact/hot": { entry: { value: 80 } },
    "fact/cold": { entry: { value: "10" }, origin: { calculator: "x" }, at: "t", before: "none" },
  });
  assert.deepEqual(
    allFacts(job).map(({ name }) => name),
    ["cold"],
  );
  assert.equal(fact(job, "height"), null);
  assert.deepEqual(fact(job, "cold").before, []);
  assert.equal(writeFact(job, "height", { value: "11", unit: "m" }, TYPED), true);
});

test("entries and ages in words", () => {
  assert.equal(entryWords({ value: "1750", unit: "L", pm: "40" }), "1750 ± 40 L");
  assert.equal(entryWords({ value: "80", unit: "degC", pm: "" }), "80 °C");
  assert.equal(entryWords({ value: "water" }), "water");
  const now = Date.parse("2026-05-14T12:00:00Z");
  const ages = ["2026-05-14T11:59:30Z", "2026-05-14T11:48:00Z", "2026-05-14T09:10:00Z"];
  assert.deepEqual(
    [...ages, "2026-05-13T09:00:00Z", "2026-05-01T09:00:00Z", "never"].map((at) => ageWords(at, now)),
    ["just now", "12 min ago", "2 h ago", "yesterday", "13 days ago", "at an unknown time"],
  );
});

test("entries are the same whatever blanks and absent parts", () => {
  assert.equal(sameEntry({ value: "1 " }, { value: "1", unit: "", pm: undefined }), true);
  assert.equal(sameEntry({ value: "1", unit: "m" }, { value: "1", unit: "ft" }), false);
  assert.equal(sameEntry(undefined, { value: "" }), true);
});

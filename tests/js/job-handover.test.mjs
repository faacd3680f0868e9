import assert from "node:assert/strict";
import { test } from "node:test";

const { smallLink } = await import("../../docs/assets/js/job-handover.mjs");
const { LONGEST_LINK, takeOf, unpacked } = await import("../../docs/assets/js/job-link.mjs");

const PAGE = "https://handbook.example/job/";
const ask = async ({ op, job }) => {
  assert.equal(op, "job-write");
  return { text: JSON.stringify(job) };
};
const inside = async (link) => JSON.parse(await unpacked(takeOf(new URL(link).hash)));

const at = "2026-05-14T08:05:12+02:00";
const base = {
  id: "00112233445566ff",
  name: "Library",
  created: at,
  records: {
    "about/where": { text: "Larch Street Library", at },
    "todo/00000000000000aa": { text: "Order a lock", for: "us", done: false, at },
  },
  photos: {},
};

/** Letters without a pattern, so that packing does not shorten them. */
function noise(length, seed = 7) {
  let state = seed;
  return Array.from({ length }, () => {
    state = (state * 1103515245 + 12345) % 2147483648;
    return String.fromCharCode(33 + (state >> 8) % 90);
  }).join("");
}

test("a small job goes whole, and its photos are said to stay behind", async () => {
  const small = await smallLink(ask, base, "ff", PAGE);
  assert.deepEqual([small.holds, small.behind], ["all", ""]);
  assert.deepEqual(await inside(small.link), base);
  const photos = { 1: noise(50_000), 2: "AAAA", 3: "AAAA" };
  const without = await smallLink(ask, { ...base, photos }, "ff", PAGE);
  assert.deepEqual([without.holds, without.behind], ["all", "3 photos"]);
  assert.deepEqual(await inside(without.link), base);
});

test("of a bigger job the site goes, and the rest is named", async () => {
  const records = { ...base.records, "reading/01": { note: noise(2000), at } };
  const small = await smallLink(ask, { ...base, records, photos: { 1: "AA" } }, "ff", PAGE);
  assert.deepEqual([small.holds, small.behind], ["site", "1 reading, 1 photo"]);
  assert.ok(small.length > LONGEST_LINK && small.link.length <= LONGEST_LINK);
  const part = await inside(small.link);
  assert.deepEqual(part.records, base.records);
  assert.deepEqual([part.id, part.name], ["ff", "Library (site)"]);
});

test("what is too much even so goes by file alone", async () => {
  const records = { ...base.records, "about/found": { text: noise(2000), at } };
  const small = await smallLink(ask, { ...base, records }, "ff", PAGE);
  assert.deepEqual([small.holds, small.link], ["none", ""]);
});

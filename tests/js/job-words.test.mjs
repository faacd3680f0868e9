import assert from "node:assert/strict";
import { test } from "node:test";

import {
  contents,
  day,
  fileName,
  KEPT_WHERE,
  matches,
  newest,
  savedWords,
  suggestedName,
  when,
  wordsOf,
} from "../../docs/assets/js/job-words.mjs";

const NOW = "2026-05-14T08:05:12+02:00";

test("times are told as they were written, not as this clock would have them", () => {
  assert.equal(when(NOW), "14 May 2026, 08:05");
  assert.equal(when("2026-12-01T23:59:59-08:00"), "1 December 2026, 23:59");
  assert.equal(day("2026-13-01T00:00:00Z"), "an unknown day");
  assert.equal(when("soon"), "at an unknown time");
  assert.equal(when(undefined), "at an unknown time");
});

test("a name is suggested from the place and the day", () => {
  assert.equal(suggestedName("  Larch Street   Library ", NOW), "Larch Street Library, 14 May 2026");
  assert.equal(suggestedName(" ", NOW), "Job of 14 May 2026");
});

test("a file is named for the job and the day, in letters that every system keeps", () => {
  const name = (text) => fileName(text, NOW);
  assert.equal(
    name("Plant room, Larch Street Library"),
    "cold-fill-plant-room-larch-street-library-2026-05-14.job.json",
  );
  assert.equal(name("Café Größe/../x"), "cold-fill-cafe-gro-e-x-2026-05-14.job.json");
  assert.equal(name("図書館"), "cold-fill-job-2026-05-14.job.json");
  assert.equal(name("Mill, 14 May 2026"), "cold-fill-mill-2026-05-14.job.json");
  assert.equal(name("Mill, 13 May 2026"), "cold-fill-mill-13-may-2026-2026-05-14.job.json");
  assert.ok(name("a ".repeat(500)).length < 100);
});

test("what is inside is counted by kind; what nobody knows is not", () => {
  const keys = ["about/where", "fact/a", "fact/b", "reading/1", "pin/1", "entries/x", "later/1"];
  assert.equal(
    contents(keys, 2),
    "2 site facts, 1 reading, 1 result kept, 1 calculator filled in, 2 photos",
  );
  assert.equal(contents([]), "nothing yet");
  assert.equal(contents(["about/where"]), "nothing yet");
});

test("the newest record is the one latest in time, whatever its offset", () => {
  const records = {
    a: { at: "2026-05-14T09:00:00+02:00" },
    b: { at: "2026-05-14T08:00:00+00:00" },
    c: { at: 5 },
    d: null,
    e: { at: "soon" },
  };
  assert.equal(newest(records), "2026-05-14T08:00:00+00:00");
  assert.equal(newest({}), "");
});

test("a search looks through places and notes, word by word, and not through numbers", () => {
  const words = wordsOf({
    "about/where": { text: "Larch Street Library" },
    "reading/1": { note: "pump hums", gauge: { value: "1.23" } },
    "step/survey/ask": { note: "Caretaker tops up", text: "Ask." },
    "todo/1": { text: "Order a valve" },
    "fact/system_volume": { entry: { value: "1750" } },
    "pin/1": { note: 7 },
  });
  assert.ok(matches("library LARCH", words));
  assert.ok(matches("hums valve", words));
  assert.ok(matches("cafe", "Café"));
  assert.ok(!matches("library oak", words));
  assert.ok(!matches("1750", words));
});

test("the reminder says since when", () => {
  assert.equal(savedWords({ exported: "" }, true), "not saved as a file yet");
  assert.equal(
    savedWords({ exported: NOW }, true),
    "changed since the file of 14 May 2026, 08:05",
  );
  assert.equal(savedWords({ exported: NOW }, false), "saved as a file on 14 May 2026, 08:05");
});

test("readers are told of the ways in which a browser forgets", () => {
  const all = KEPT_WHERE.join(" ");
  assert.match(all, /7 days, unless the handbook has been added to the home screen/);
  assert.match(all, /home screen keeps jobs of its own/);
  assert.match(all, /private window/);
});

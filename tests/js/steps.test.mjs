import assert from "node:assert/strict";
import { test } from "node:test";

import { fitted } from "../../docs/assets/js/photo.mjs";
import * as steps from "../../docs/assets/js/steps.mjs";

const ABOUT = { text: "Isolate.", kind: "step", page_title: "Make safe" };
const EARLY = "2026-05-14T10:42:05+02:00";
const LATE = "2026-05-14T12:00:00+02:00";

function items(pattern) {
  // s/S a step open or ticked; ? y n a stop without an answer, with yes, with no.
  return [...pattern].map((letter, at) => {
    const kind = "sS".includes(letter) ? "step" : "stop";
    const answer = { y: "yes", n: "no" }[letter] ?? "";
    const record = { ...steps.whole(undefined, ABOUT), kind, ticked: letter === "S", answer };
    return { kind, words: kind === "stop" ? `Stop: number ${at}` : `Step ${at}.`, record };
  });
}
const say = (pattern) => steps.progress(steps.standing(items(pattern)));
const warn = (pattern) => {
  const { text, about } = steps.warning(steps.standing(items(pattern)));
  return about < 0 ? text : `${text} ${about}`;
};
const next = (pattern) => steps.standing(items(pattern)).next;

test("the line counts steps and stops", () => {
  assert.equal(say("sss?"), "0 of 3 steps, 1 stop unanswered");
  assert.equal(say("SSs??"), "2 of 3 steps, 2 stops unanswered");
  assert.equal(say("Sns?"), "1 of 2 steps, 1 stop answered No, 1 stop unanswered");
  assert.equal(say("SySy"), "2 of 2 steps, every stop answered Yes");
  assert.equal(say("Ss"), "1 of 2 steps");
});

test("a stop without a yes must not lie behind a tick", () => {
  assert.equal(warn("S?ss"), "");
  assert.equal(warn("S?sS"), "A step is ticked past an unanswered stop. 1");
  assert.equal(warn("SyS?s"), "");
  assert.equal(warn("SySnsS"), "Do not go on: a stop is answered No. 3");
  // What says No is told before what was left out.
  assert.equal(warn("S?Sn"), "Do not go on: a stop is answered No. 3");
});

test("a stop is quoted without what every stop begins with", () => {
  assert.equal(steps.quoted("Stop: both sides at zero"), "“both sides at zero”");
  assert.equal(steps.quoted("Nobody below."), "“Nobody below”");
});

test("next is the first that is open, in the order of the page", () => {
  assert.equal(next("ss?"), 0);
  assert.equal(next("S?s"), 1);
  assert.equal(next("Sys"), 2);
  assert.equal(next("Sns"), 1);
  assert.equal(next("SyS"), -1);
});

test("a time is shown as it was written, with the day where it is another", () => {
  assert.equal(steps.clock(EARLY, LATE), "10:42");
  assert.equal(steps.clock(EARLY, "2026-05-15T00:01:00+02:00"), "14 May, 10:42");
  assert.equal(steps.clock(EARLY, "2027-01-02T00:01:00+01:00"), "14 May 2026, 10:42");
  // The clock on the wall of that day, wherever the device is now.
  assert.equal(steps.clock("2026-03-29T01:59:00+01:00", "2026-03-29T03:00:00+02:00"), "01:59");
  assert.equal(steps.clock("", LATE), "");
  assert.equal(steps.clock("soon", LATE), "");
});

test("a record keeps what others put into it, and mends what is not of its kind", () => {
  const record = steps.whole({ ticked: "yes", photos: ["a", 3], note: 5, extra: "kept" }, ABOUT);
  assert.deepEqual(record, {
    ...ABOUT,
    extra: "kept",
    ticked: false,
    answer: "",
    note: "",
    photos: ["a"],
    at: "",
  });
});

test("nothing is kept of a step that holds nothing", () => {
  const ticked = steps.withTick(ABOUT, true, EARLY)(undefined);
  assert.equal(steps.withTick(ABOUT, false, LATE)(ticked), undefined);
  const noted = steps.withNote(ABOUT, "stiff", LATE)(ticked);
  assert.equal(noted.at, EARLY);
  assert.equal(steps.withTick(ABOUT, false, LATE)(noted).note, "stiff");
  assert.equal(steps.withNote(ABOUT, "", LATE)(steps.withNote(ABOUT, "x", EARLY)(undefined)), undefined);
  // A note that is the same is no change.
  assert.equal(steps.withNote(ABOUT, "stiff", "later")(noted), noted);
});

test("photos add up once each, in order", () => {
  const one = steps.withPhoto(ABOUT, "a", EARLY)(undefined);
  const two = steps.withPhoto(ABOUT, "b", LATE)(one);
  assert.deepEqual(two.photos, ["a", "b"]);
  assert.equal(steps.withPhoto(ABOUT, "a", LATE)(two), two);
  assert.deepEqual(steps.withoutPhoto(ABOUT, "a")(two).photos, ["b"]);
  assert.equal(steps.withoutPhoto(ABOUT, "a")(one), undefined);
});

test("changes do not touch the record that they get", () => {
  const old = Object.freeze({ ...steps.whole(undefined, ABOUT), photos: Object.freeze(["a"]) });
  assert.deepEqual(steps.withPhoto(ABOUT, "b", EARLY)(old).photos, ["a", "b"]);
  assert.deepEqual(old.photos, ["a"]);
});

test("a photo fits into 1280 pixels, keeps its proportion, and is never blown up", () => {
  assert.deepEqual(fitted(4000, 3000), { width: 1280, height: 960 });
  assert.deepEqual(fitted(3000, 4000), { width: 960, height: 1280 });
  assert.deepEqual(fitted(640, 480), { width: 640, height: 480 });
  assert.deepEqual(fitted(9000, 1), { width: 1280, height: 1 });
});

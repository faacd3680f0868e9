import assert from "node:assert/strict";
import { afterEach, test } from "node:test";
import "fake-indexeddb/auto";
import { openDB } from "idb";

import {
  LIMITS,
  now,
  SAY,
  soundAnswers,
  soundProgress,
  TrainingStore,
} from "../../docs/assets/js/training-store.mjs";
import { noRoom, Shelf, withPuts } from "./job-tabs.mjs";

const ID = "00000000000000aa";
const OTHER = "00000000000000bb";
const AT = "2026-05-14T08:05:12+02:00";
const PROBLEM = { family: "pre-charge", level: "usual", seed: 412, system: "si" };
const open = [];
let devices = 0;

function progress(changes = {}) {
  return {
    id: ID,
    assignment: { id: "00000000000000cc", title: "Week 1", items: [{ kind: "page" }, { kind: "problems" }] },
    trainee: "Ana",
    began: AT,
    ended: "",
    changed: AT,
    saved: "",
    tasks: [[], [PROBLEM]],
    words: ["Read", "Solve"],
    place: 0,
    items: [
      { kind: "page", done: false, attempts: [], closed: [], visited: false },
      { kind: "problems", done: false, attempts: [], closed: [], visited: false },
    ],
    ...changes,
  };
}

function store(options = {}) {
  devices += 1;
  const made = new TrainingStore({
    openDB,
    name: `training ${devices}`,
    local: () => new Shelf(),
    ...options,
  });
  open.push(made);
  return made;
}

afterEach(() => {
  for (const each of open.splice(0)) each.end();
});

test("work on an assignment is there again in another tab, and is told there", async () => {
  const here = store();
  const there = store({ name: `training ${devices}` });
  let told = 0;
  there.addEventListener("change", () => (told += 1));
  await here.keep(ID, progress());
  await here.open(ID);
  assert.deepEqual(await there.opened(), progress());
  await new Promise((done) => setTimeout(done, 20));
  assert.ok(told > 0);
  await here.forget(ID);
  assert.equal(await there.opened(), null);
  assert.deepEqual(await there.list(), []);
});

test("two tabs that write in the same moment lose neither attempt", async () => {
  const here = store();
  const there = store({ name: `training ${devices}` });
  await here.keep(ID, progress());
  const add = (at) => (old) => {
    const items = structuredClone(old.items);
    items[1].attempts.push({ problem: PROBLEM, answers: {}, at });
    return { ...old, items };
  };
  await Promise.all([here.keep(ID, add("one")), there.keep(ID, add("two"))]);
  const kept = await here.progressOf(ID);
  assert.deepEqual(kept.items[1].attempts.map(({ at }) => at).sort(), ["one", "two"]);
});

test("a change of nothing keeps what was", async () => {
  const here = store();
  await here.keep(ID, progress());
  assert.equal((await here.keep(ID, () => null)).trainee, "Ana");
});

test("the last changed comes first, by the clock and not by its letters", async () => {
  const here = store();
  await here.keep(ID, progress({ changed: "2026-05-14T09:00:00+02:00" }));
  await here.keep(OTHER, progress({ id: OTHER, changed: "2026-05-14T08:30:00+00:00" }));
  assert.deepEqual((await here.list()).map(({ id }) => id), [OTHER, ID]);
  assert.equal((await here.ofAssignment("00000000000000cc")).length, 2);
});

test("a browser that forbids storage is told about, and work goes on", async () => {
  const here = store({
    openDB: async () => {
      throw new DOMException("no", "SecurityError");
    },
    local: () => {
      throw new DOMException("no", "SecurityError");
    },
  });
  let told = 0;
  here.addEventListener("trouble", () => (told += 1));
  await here.keep(ID, progress());
  await here.open(ID);
  here.putDraft("x", { a: 1 });
  assert.equal(here.trouble, SAY.forbidden);
  assert.equal(told, 1);
  assert.equal(here.lasting, false);
  assert.deepEqual(await here.opened(), progress());
  assert.deepEqual(here.draft("x"), { a: 1 });
});

test("a device that runs full loses nothing of what was kept before", async () => {
  const here = store();
  await here.keep(ID, progress());
  await here.open(ID);
  await withPuts(noRoom, () => here.keep(ID, (old) => ({ ...old, place: 1 })));
  assert.equal(here.trouble, SAY.full);
  const kept = await here.opened();
  assert.equal(kept.place, 1);
  assert.equal(kept.trainee, "Ana");
});

test("a page that goes away breaks off what runs, and frees it for the next", async () => {
  const here = store();
  await here.keep(ID, progress());
  const writing = here.keep(ID, (old) => ({ ...old, place: 1 })).catch((error) => error);
  await new Promise((done) => setTimeout(done));
  here.leave();
  await writing;
  assert.equal(here.trouble, "");
  const next = store({ name: `training ${devices}` });
  assert.equal((await next.progressOf(ID)).trainee, "Ana");
});

test("a newer edition of the record is left alone, and told", async () => {
  devices += 1;
  const newer = await openDB(`training ${devices}`, 99);
  newer.close();
  devices -= 1;
  const here = store();
  assert.deepEqual(await here.list(), []);
  assert.equal(here.trouble, SAY.newer);
});

test("what is not sound is not given back", async () => {
  for (const bent of [
    null,
    7,
    progress({ id: "../x" }),
    progress({ trainee: 3 }),
    progress({ assignment: null }),
    progress({ assignment: { items: [] } }),
    progress({ words: ["one"] }),
    progress({ words: [{}, {}] }),
    progress({ tasks: [[], null] }),
    progress({ items: "no" }),
  ]) {
    assert.equal(soundProgress(bent), null);
  }
  const mended = soundProgress(progress({ place: 9, items: [null, { attempts: 3, closed: ["x"] }] }));
  assert.equal(mended.place, 0);
  assert.deepEqual(mended.items[1], {
    kind: "problems",
    done: false,
    attempts: [],
    closed: [],
    visited: false,
  });
  assert.deepEqual(soundAnswers({ ok: { value: "1", unit: "bar" }, "<b>": { value: "", unit: "" }, x: 3 }), {
    ok: { value: "1", unit: "bar" },
  });
});

test("practice is kept, the latest first, the oldest dropped, and forgotten on demand", async () => {
  const here = store();
  const one = (second) => ({
    at: `2026-05-14T08:${String(Math.floor(second / 60)).padStart(2, "0")}:${String(second % 60).padStart(2, "0")}+02:00`,
    problem: PROBLEM,
    title: "Pre-charge",
    points: 2,
    most: 3,
    mistakes: ["gauge-for-absolute"],
  });
  for (let n = 0; n < LIMITS.practice + 3; n += 1) await here.practised(one(n));
  const all = await here.practice();
  assert.equal(all.length, LIMITS.practice);
  assert.equal(all[0].at, one(LIMITS.practice + 2).at);
  await here.forgetPractice();
  assert.deepEqual(await here.practice(), []);
});

test("a draft is on the device at once, and a broken one is none", () => {
  const shelf = new Shelf();
  const here = store({ local: () => shelf });
  here.putDraft("practice", { answers: {} });
  assert.deepEqual(store({ local: () => shelf }).draft("practice"), { answers: {} });
  shelf.setItem("handbook.training.draft.practice", "{");
  assert.equal(store({ local: () => shelf }).draft("practice"), null);
  here.putDraft("practice", null);
  assert.equal(shelf.getItem("handbook.training.draft.practice"), null);
});

test("the time says where it was written", () => {
  assert.match(now(new Date("2026-05-14T08:05:12Z")), /^2026-05-14T\d\d:\d\d:12[+-]\d\d:\d\d$/);
  assert.equal(Date.parse(now(new Date("2026-05-14T08:05:12Z"))), Date.parse("2026-05-14T08:05:12Z"));
});

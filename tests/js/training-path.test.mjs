import assert from "node:assert/strict";
import { afterEach, test } from "node:test";

import { document, FakeEngine, freshStore, local, Reader, settled, until, window } from "./training-page.mjs";

const { packed } = await import("../../docs/assets/js/job-link.mjs");
const { doneCount, itemDone, nextOpen, resultName, resultOf, rules, TrainingPath, workOf } =
  await import("../../docs/assets/js/training-path.mjs");
customElements.define("training-path", TrainingPath);

const HOSTILE = '<img src=x onerror="boom()">';
const TASK = (seed) => ({ family: "pre-charge", level: "usual", seed, system: "si" });
const DRILL = { id: "one-fault", seed: 7, system: "si" };
const open = [];
const files = [];
const standings = [];
URL.createObjectURL = (file) => {
  files.push(file);
  return "blob:1";
};
URL.revokeObjectURL = () => undefined;
document.addEventListener("training-standing", ({ detail }) => standings.push(detail));

function assignment(changes = {}) {
  return {
    id: "00000000000000cc",
    title: `Week 1 ${HOSTILE}`,
    note: `Read first ${HOSTILE}`,
    due: "2026-12-01",
    system: "si",
    seed: 5,
    same: false,
    pass: 70,
    counts: "first",
    items: [
      {
        kind: "page",
        page: "set-the-pre-charge",
        inputs: { calculator: "pre-charge", system: "si", values: { height: "11.4 m" } },
      },
      { kind: "problems", family: "pre-charge", level: "usual", count: 2 },
      { kind: "drill", drill: "one-fault" },
      { kind: "checklist", page: "make-safe" },
    ],
    ...changes,
  };
}

function standing(result) {
  const points = result.items.flatMap(({ attempts }) => attempts).length;
  return {
    points,
    most: 9,
    percent: Math.floor((100 * points) / 9),
    pass: 70,
    passed: points >= 3,
    finished: false,
    items: result.items.map(({ kind, attempts }) => ({
      points: attempts.length,
      most: kind === "problems" || kind === "drill" ? 3 : 0,
    })),
  };
}

function engineFor(set = assignment()) {
  return new FakeEngine({
    "course-read": ({ text }) =>
      text === "good" ? { assignment: set, notes: [] } : { errors: [{ field: "", message: `No: ${text.slice(0, 60)}` }] },
    "course-problems": {
      items: [[], [TASK(1), TASK(2)], [DRILL], []],
      words: [`Read ${HOSTILE}`, "Pre-charge: 2 problems", "Drill: One fault", "Go through the steps"],
    },
    "results-standing": ({ result }) => standing(result),
    "results-write": ({ result }) => ({ text: JSON.stringify(result) }),
  });
}

/** Stands for the view of a drill. */
class FakeDrill {
  static made = [];
  constructor(options) {
    Object.assign(this, options);
    this.element = document.createElement("section");
    this.element.className = "fake-drill";
    FakeDrill.made.push(this);
  }
  async begin() {}
  end() {
    this.ended = true;
  }
}

async function page({ hash = "", engine = engineFor(), store = freshStore() } = {}) {
  location.hash = hash;
  location.pathname = "/assignment/";
  TrainingPath.engine = () => engine;
  TrainingPath.store = () => store;
  TrainingPath.drillView = async () => FakeDrill;
  document.body.innerHTML = "<training-path></training-path>";
  const element = document.querySelector("training-path");
  open.push(element);
  await until(() => element.dataset.state !== undefined);
  if (hash) await until(() => element.querySelector(".tr-offer").childElementCount > 0);
  await settled();
  return Object.assign(new Reader(element), { engine, store });
}

async function begun(options = {}) {
  const it = await page({ hash: `#work=${await packed("good")}`, ...options });
  it.type("trainee", "  Ana   Lopez ");
  await it.submit(".tr-begin");
  await settled();
  return it;
}

async function solve(it, charge, volume) {
  it.type("charge", charge);
  it.type("charge.unit", "bar");
  it.type("volume", volume);
  it.type("volume.unit", "bar");
  await it.press('[data-action="mark"]');
  await settled();
}

afterEach(() => {
  for (const element of open.splice(0)) element.remove();
  for (const key of [...local.items.keys()]) local.removeItem(key);
  files.length = 0;
  standings.length = 0;
  FakeDrill.made.length = 0;
});

test("a link is shown before anything is taken in", async () => {
  const it = await page({ hash: `#work=${await packed("good")}` });
  assert.match(it.text("#tr-offer-title"), /^Week 1 <img/);
  assert.deepEqual(it.all(".tr-words li").map((li) => li.textContent)[1], "Pre-charge: 2 problems");
  assert.match(it.text(".tr-offer .tr-help"), /Due on 1 December 2026\. Your first try counts\..*70 %/);
  assert.equal(it.find("img"), null);
  assert.deepEqual(await it.store.list(), []);
  await it.press('[data-action="leave-offer"]');
  assert.equal(it.text(".tr-offer"), "");
  assert.equal(location.hash, "");
});

test("a name is asked for, and the field is led to", async () => {
  const it = await page({ hash: `#work=${await packed("good")}` });
  await it.submit(".tr-begin");
  assert.match(it.text("#tr-name-wrong"), /Type your name/);
  assert.equal(it.focused.getAttribute("name"), "trainee");
  it.type("trainee", "x".repeat(101));
  await it.submit(".tr-begin");
  assert.match(it.text("#tr-name-wrong"), /too long/);
  assert.deepEqual(await it.store.list(), []);
});

test("links that are broken, bent or huge say so, and change nothing", async () => {
  const huge = await packed("a".repeat(500_000));
  for (const [link, words] of [
    ["%%%", /damaged/],
    ["abc", /damaged/],
    ["<script>", /damaged/],
    ["A".repeat(30_000), /damaged/],
    [huge, /damaged|more than/],
    [await packed(`{"bent": "${HOSTILE}"}`), /^Not taken inNo: \{"bent": "<img/],
  ]) {
    const it = await page({ hash: `#work=${link}` });
    assert.match(it.text(".tr-offer"), words);
    assert.match(it.text(".tr-offer"), /Nothing on this device was changed/);
    assert.equal(it.find("img, script"), null);
    assert.deepEqual(await it.store.list(), []);
  }
  assert.equal(workOf("#take=abc"), null);
});

test("begun, the path shows its items as text, and the link does not ask again", async () => {
  const it = await begun();
  assert.equal(location.hash, "");
  assert.equal(it.engine.of("course-problems").at(-1).trainee, "Ana Lopez");
  assert.equal(it.all(".tr-item").length, 4);
  assert.equal(it.find("img"), null);
  assert.match(it.text(".tr-meter"), /0 of 4 done/);
  const link = it.find('[data-action="visit"]').getAttribute("href");
  assert.match(link, /\/set-the-pre-charge\/#pre-charge\?height=11\.4%20m$/);
  const again = await page({ store: it.store });
  assert.equal(again.all(".tr-item").length, 4);
  assert.match(again.text(".tr-who"), /^Ana Lopez, begun /);
});

test("a page is done by a tick, or by coming back from it", async () => {
  const it = await begun();
  const box = it.find('[name="done"]');
  box.checked = true;
  box.dispatchEvent(new window.Event("change", { bubbles: true }));
  await settled();
  assert.match(it.text(".tr-meter"), /1 of 4 done/);
  box.checked = false;
  box.dispatchEvent(new window.Event("change", { bubbles: true }));
  await settled();
  assert.match(it.text(".tr-meter"), /0 of 4 done/);
  const { id } = await it.store.opened();
  await it.store.keep(id, (old) => ({
    ...old,
    items: old.items.map((item) => ({ ...item, visited: true })),
  }));
  const back = await page({ store: it.store, engine: it.engine });
  assert.match(back.text(".tr-meter"), /1 of 4 done/, "a checklist is ticked by the trainee alone");
});

test("problems come one after the other, every try is kept, and the score is told by the engine", async () => {
  const it = await begun();
  await it.press('[data-action="item"][data-index="1"]');
  await settled();
  assert.equal(it.text(".tr-which"), "Problem 1 of 2");
  await solve(it, "1", "2");
  assert.equal(it.text(".tr-total"), "Marked: 3 of 6 points");
  assert.equal(it.find('[data-action="retry"]'), null, "the first try counts, so there is no other");
  assert.match(it.text(".tr-score"), /Score so far: 1 of 9 points, 11 %; 70 % are needed/);
  assert.equal(standings.at(-1).percent, 11);
  await it.press('.tr-view [data-action="problem"]');
  assert.equal(it.text(".tr-which"), "Problem 2 of 2");
  assert.equal(it.find('[name="charge"]').value, "");
  it.type("charge", "77");
  const later = await page({ store: it.store, engine: it.engine });
  assert.equal(later.text(".tr-which"), "Problem 2 of 2", "it goes on with the open one");
  assert.equal(later.find('[name="charge"]').value, "77");
  await solve(later, "1", "1");
  assert.match(later.text(".tr-meter"), /1 of 4 done/);
  const { items } = await later.store.opened();
  assert.deepEqual(items[1].attempts.map(({ problem, answers }) => [problem.seed, answers.volume.value]), [
    [1, "2"],
    [2, "1"],
  ]);
  assert.deepEqual(Object.keys(items[1].attempts[0]), ["problem", "answers", "at"]);
  await later.press('.tr-chips [data-number="0"]');
  assert.equal(later.text(".tr-total"), "Marked: 3 of 6 points", "handed in, it shows its marks");
});

test("the score's line is there before the score, so that nothing moves when it comes", async () => {
  const it = await begun();
  assert.equal(it.text(".tr-score"), "", "before the first answer a score of nothing says nothing");
  await it.press('[data-action="item"][data-index="1"]');
  await settled();
  await solve(it, "1", "2");
  const { promise, resolve } = Promise.withResolvers();
  const slow = engineFor();
  slow.replies["results-standing"] = () => promise;
  const later = await page({ store: it.store, engine: slow });
  assert.equal(later.text(".tr-score"), "Score so far: your answers are being marked again…");
  const save = later.find('[data-action="save"]');
  resolve(standing({ items: [{ kind: "problems", attempts: [1] }] }));
  await settled();
  assert.match(later.text(".tr-score"), /Score so far: 1 of 9 points, 11 %; 70 % are needed/);
  assert.ok(later.find('[data-action="save"]') === save, "a button stays where nothing of its part changes");
  const refusing = engineFor();
  refusing.replies["results-standing"] = { errors: [{ field: "", message: "No." }] };
  const refused = await page({ store: it.store, engine: refusing });
  await settled();
  assert.equal(refused.text(".tr-score"), "");
  assert.match(refused.text(".tr-say"), /The score could not be told: No\./);
});

test("where the last try counts there are more, until the working is seen", async () => {
  const it = await begun({ engine: engineFor(assignment({ counts: "last" })) });
  await it.press('[data-action="item"][data-index="1"]');
  await settled();
  await solve(it, "1", "2");
  await it.press('[data-action="retry"]');
  await solve(it, "2", "2");
  assert.match(it.text(".tr-view .tr-buttons"), /After the working no other try is taken/);
  await it.press('[data-action="working"]');
  await settled();
  assert.equal(it.find('[data-action="retry"]'), null);
  const { items } = await it.store.opened();
  assert.equal(items[1].attempts.length, 2);
  assert.deepEqual(items[1].closed, [0]);
  const later = await page({ store: it.store, engine: it.engine });
  await later.press('.tr-chips [data-number="0"]');
  assert.equal(later.find('[data-action="retry"]'), null, "not even after a reload");
});

test("a drill goes on where it was left, and counts once there is a diagnosis", async () => {
  const it = await begun();
  await it.press('[data-action="item"][data-index="2"]');
  await settled();
  const [drill] = FakeDrill.made;
  assert.deepEqual(drill.drill, DRILL);
  const actions = [{ do: "read-gauge", values: {} }];
  await drill.onChange({ drill: DRILL, actions, diagnosis: null, at: "2026-05-14T08:05:12+02:00" });
  assert.equal(itemDone(await it.store.opened(), 2), false);
  assert.deepEqual(resultOf(await it.store.opened()).items[2].attempts, []);
  await page({ store: it.store, engine: it.engine });
  await settled();
  const again = FakeDrill.made.at(-1);
  assert.deepEqual(again.actions, actions);
  await again.onDone({ drill: DRILL, actions, diagnosis: ["lost-charge"], at: "2026-05-14T08:15:12+02:00" });
  const progress = await it.store.opened();
  assert.equal(progress.items[2].attempts.length, 1);
  assert.equal(itemDone(progress, 2), true);
  assert.equal(nextOpen(progress, 2), 3);
  assert.equal(doneCount(progress), 1);
});

test("the result is written by the engine and saved under a plain name", async () => {
  const it = await begun();
  await it.press('[data-action="item"][data-index="1"]');
  await settled();
  await solve(it, "1", "1");
  await it.press('[data-action="save"]');
  await settled();
  const [file] = files;
  assert.match(file.name, /^cold-fill-week-1-img-src-x-onerror-boom-ana-lopez-\d{4}-\d\d-\d\d\.result\.json$/);
  const result = JSON.parse(await file.text());
  assert.deepEqual(Object.keys(result).sort(), ["assignment", "began", "ended", "items", "trainee"]);
  assert.deepEqual(Object.keys(result.items[0]).sort(), ["attempts", "done", "kind"]);
  assert.equal(result.trainee, "Ana Lopez");
  assert.notEqual(result.ended, "");
  assert.match(it.text(".tr-finish"), /Saved as a file on/);
  assert.match(it.text('.tr-finish-say'), /^Saved as cold-fill-week-1/);
});

test("an engine that refuses the result is told, and nothing is saved", async () => {
  const engine = engineFor();
  engine.replies["results-write"] = { errors: [{ field: "items", message: "In the result, it is bent." }] };
  const it = await begun({ engine });
  await it.press('[data-action="save"]');
  await settled();
  assert.match(it.text('.tr-finish-say'), /In the result, it is bent\./);
  assert.equal(files.length, 0);
  assert.equal((await it.store.opened()).saved, "");
});

test("two trainees share a device, each with work of their own", async () => {
  const it = await begun();
  await it.press('[data-action="leave"]');
  await settled();
  assert.equal(it.find(".tr-path").hidden, true);
  assert.match(it.text(".tr-list"), /Ana Lopez: 0 of 4 done/);
  const next = await page({ store: it.store, engine: it.engine, hash: `#work=${await packed("good")}` });
  assert.match(next.text(".tr-here"), /Go on as Ana Lopez/);
  next.type("trainee", "Bo");
  await next.submit(".tr-begin");
  await settled();
  assert.match(next.text(".tr-who"), /^Bo, begun/);
  assert.equal((await it.store.list()).length, 2);
  await next.press('.tr-list [data-action="forget-ask"]');
  await next.press('[data-action="forget"]');
  await settled();
  assert.deepEqual((await it.store.list()).map(({ trainee }) => trainee), ["Bo"]);
});

test("a browser that keeps nothing is told about, and the work goes on to its file", async () => {
  const store = freshStore({
    openDB: async () => {
      throw new DOMException("no", "SecurityError");
    },
  });
  const it = await begun({ store });
  assert.match(it.text(".tr-trouble"), /keeps nothing for this site/);
  await it.press('[data-action="item"][data-index="1"]');
  await settled();
  await solve(it, "1", "1");
  await it.press('[data-action="save"]');
  await settled();
  assert.equal(JSON.parse(await files[0].text()).items[1].attempts.length, 1);
});

test("what holds for all of an assignment is said plainly", () => {
  assert.match(rules(assignment({ counts: "last", system: "us" })), /your last try counts.*psi, gal/);
  const reading = assignment({ due: "", items: [{ kind: "page", page: "safety" }] });
  assert.equal(rules(reading), "Units: bar, L, °C.");
  assert.equal(
    resultName("Žofie Ünal", "Druck & Wärme", "2026-05-14T08:05:12+02:00"),
    "cold-fill-druck-warme-zofie-unal-2026-05-14.result.json",
  );
  assert.equal(resultName("王", "—", "2026-05-14"), "cold-fill-assignment-trainee-2026-05-14.result.json");
});

import assert from "node:assert/strict";
import { afterEach, test } from "node:test";

import { document, FakeEngine, freshStore, local, Reader, settled } from "./training-page.mjs";

const { practiceHash, practiceOf, PracticeProblems, ProblemView, seedOf } = await import(
  "../../docs/assets/js/practice.mjs"
);
customElements.define("practice-problems", PracticeProblems);

const PROBLEM = { family: "pre-charge", level: "usual", seed: 412, system: "si" };
const open = [];

async function page({ hash = "", engine = new FakeEngine(), store = freshStore() } = {}) {
  location.hash = hash;
  PracticeProblems.engine = () => engine;
  PracticeProblems.store = () => store;
  document.body.innerHTML = "<practice-problems></practice-problems>";
  const element = document.querySelector("practice-problems");
  open.push(element);
  await settled();
  return Object.assign(new Reader(element), { engine, store });
}

function view(options = {}) {
  const engine = options.engine ?? new FakeEngine();
  const made = new ProblemView({ problem: PROBLEM, ask: (request) => engine.ask(request), ...options });
  document.body.replaceChildren(made.element);
  return Object.assign(new Reader(made.element), { view: made, engine });
}

afterEach(() => {
  for (const element of open.splice(0)) element.remove();
  for (const key of [...local.items.keys()]) local.removeItem(key);
});

function answer(reader, charge, volume) {
  reader.type("charge", charge);
  reader.type("charge.unit", "bar");
  reader.type("volume", volume);
  reader.type("volume.unit", "bar");
}

test("the address says which problem, and what is no problem says nothing", () => {
  const hash = practiceHash(PROBLEM);
  assert.equal(hash, "#practice?family=pre-charge&level=usual&seed=412&system=si");
  assert.deepEqual(practiceOf(hash), { ...PROBLEM, seed: "412" });
  assert.equal(practiceOf("#pre-charge?height=1"), null);
  assert.deepEqual(practiceOf("#practice"), {});
  assert.deepEqual(practiceOf("#practice?evil=1&__proto__=2"), {});
});

test("a number of a problem is whole, and no more than can be told apart", () => {
  assert.equal(seedOf(" 412 "), 412);
  assert.equal(seedOf("9007199254740991"), 9007199254740991);
  for (const bad of ["", "-1", "4.5", "9007199254740992", "1e3", "<b>", "99999999999999999999"]) {
    assert.equal(seedOf(bad), null);
  }
});

test("an answer is marked, kept and explained", async () => {
  const told = [];
  const it = view({ onMarked: (answers, marks) => void told.push([answers, marks.points]) });
  await it.view.begin();
  answer(it, "1", "2");
  await it.press('[data-action="mark"]');
  assert.equal(it.text(".tr-total"), "Marked: 3 of 6 points");
  assert.equal(it.focused.className, "tr-total");
  assert.match(it.text(".tr-marked"), /What was marked/);
  assert.equal(it.find('[data-part="volume"]').dataset.mark, "mistake");
  assert.ok(it.find('[name="charge"]').hasAttribute("disabled"));
  assert.deepEqual(told, [
    [{ charge: { value: "1", unit: "bar" }, volume: { value: "2", unit: "bar" } }, 3],
  ]);
  await it.press('[data-action="working"]');
  assert.match(it.text(".tr-working"), /How it is worked out/);
  await it.press('[data-action="retry"]');
  assert.ok(!it.find('[name="charge"]').hasAttribute("disabled"));
  assert.equal(it.find('[name="volume"]').value, "2");
  assert.equal(it.find("[data-mark]"), null);
  assert.equal(it.text(".tr-working"), "");
});

test("what cannot be read is told at its field, counts as nothing, and loses nothing", async () => {
  let marked = 0;
  const it = view({ onMarked: () => void (marked += 1) });
  await it.view.begin();
  answer(it, "1", "<b>12</b>");
  await it.press('[data-action="mark"]');
  assert.equal(marked, 0);
  assert.equal(it.text('[data-error-for="volume"]'), "“<b>12</b>” is no number.");
  assert.equal(it.find("b"), null);
  assert.equal(it.focused.getAttribute("name"), "volume");
  assert.equal(it.find('[name="volume"]').getAttribute("aria-invalid"), "true");
  assert.equal(it.find('[name="charge"]').value, "1");
  it.type("volume", "1");
  assert.equal(it.find('[name="volume"]').getAttribute("aria-invalid"), null);
  await it.press('[data-action="mark"]');
  assert.equal(marked, 1);
  assert.equal(it.find(".tr-total").dataset.full, "");
  assert.equal(it.find('[data-action="retry"]'), null);
});

test("an empty answer is handed in only when the button is pressed twice", async () => {
  const it = view();
  await it.view.begin();
  it.type("charge", "1");
  await it.press('[data-action="mark"]');
  assert.match(it.text('[data-error-for="volume"]'), /^Empty\. Type your answer/);
  assert.equal(it.engine.of("problem-mark").length, 0);
  await it.press('[data-action="mark"]');
  assert.equal(it.engine.of("problem-mark").length, 1);
  assert.equal(it.view.element.dataset.state, "marked");
});

test("a text longer than any number is not sent", async () => {
  const it = view();
  await it.view.begin();
  answer(it, "1".repeat(300), "1");
  await it.press('[data-action="mark"]');
  assert.match(it.text('[data-error-for="charge"]'), /too long/);
  assert.equal(it.engine.asked.length, 1);
});

test("an engine that fails is told, and the answer stays", async () => {
  const it = view();
  await it.view.begin();
  answer(it, "1", "1");
  const before = it.engine.replies["problem-mark"];
  it.engine.replies["problem-mark"] = () => {
    throw new Error("It stopped.");
  };
  await it.press('[data-action="mark"]');
  assert.match(it.text(".tr-say"), /It stopped\. Your answer is kept/);
  it.engine.replies["problem-mark"] = before;
  await it.press('[data-action="mark"]');
  assert.equal(it.text(".tr-total"), "Marked: 6 of 6 points");
});

test("a problem that cannot be set says why, and is asked for again", async () => {
  const it = view({
    engine: new FakeEngine({ "problem-set": { errors: [{ field: "seed", message: "No such number." }] } }),
  });
  await it.view.begin();
  assert.match(it.text(".tr-trouble"), /No such number\./);
  it.engine.replies["problem-set"] = new FakeEngine().replies["problem-set"];
  await it.press('[data-action="load-again"]');
  assert.ok(it.find("form"));
});

test("where the working ends the tries, it is said, and none is taken after it", async () => {
  let shown = 0;
  const it = view({ workingEnds: "No other try after it.", onWorking: () => void (shown += 1) });
  await it.view.begin();
  answer(it, "2", "2");
  await it.press('[data-action="mark"]');
  assert.match(it.text(".tr-buttons"), /No other try after it/);
  await it.press('[data-action="working"]');
  assert.equal(shown, 1);
  assert.equal(it.find('[data-action="retry"]'), null);
});

test("the page sets the problem of its address, in its units", async () => {
  const it = await page({ hash: "#practice?family=pre-charge&level=usual&seed=412&system=us" });
  assert.deepEqual(it.engine.of("problem-set")[0].problem, { ...PROBLEM, system: "us" });
  assert.equal(it.text("#tr-problem-title"), "Pre-charge, number 412");
  assert.equal(it.find('[name="seed"]').value, "412");
  assert.equal(location.hash, "#practice?family=pre-charge&level=usual&seed=412&system=us");
});

test("what was typed is there again after a reload, and so are the marks", async () => {
  const store = freshStore();
  const before = await page({ hash: practiceHash(PROBLEM), store });
  answer(before, "1", "2");
  before.element.remove();
  const after = await page({ hash: practiceHash(PROBLEM), store });
  assert.equal(after.find('[name="volume"]').value, "2");
  await after.press('[data-action="mark"]');
  assert.equal((await store.practice()).length, 1);
  after.element.remove();
  const again = await page({ store });
  assert.equal(again.text(".tr-total"), "Marked: 3 of 6 points");
  assert.equal((await store.practice()).length, 1, "shown again, not counted again");
});

test("an address with nonsense leads to the field that is wrong and shows it as text", async () => {
  const it = await page({ hash: "#practice?family=%3Cimg src=x%3E&level=usual&seed=1" });
  assert.match(it.text("#tr-family-wrong"), /called “<img src=x>”/);
  assert.equal(it.find("img"), null);
  assert.equal(it.focused.getAttribute("name"), "family");
  for (const [hash, name] of [
    ["#practice?family=pre-charge&level=none&seed=1", "level"],
    ["#practice?family=pre-charge&level=usual&seed=1.5", "seed"],
    ["#practice?family=pre-charge&level=usual", "seed"],
  ]) {
    const bad = await page({ hash });
    assert.notEqual(bad.text(`#tr-${name}-wrong`), "", hash);
    assert.equal(bad.focused.getAttribute("name"), name);
    assert.equal(bad.engine.of("problem-set").length, 0);
  }
});

test("results and mistakes are listed, and forgotten after a question", async () => {
  const it = await page({ hash: practiceHash(PROBLEM) });
  answer(it, "2", "2");
  await it.press('[data-action="mark"]');
  assert.match(it.text(".tr-made"), /Gauge for absolute - 1 time/);
  assert.equal(it.find(".tr-made a").getAttribute("href"), "../mistakes/#gauge");
  assert.match(it.text(".tr-results"), /Pre-charge, number 412/);
  await it.press('[data-action="forget-ask"]');
  assert.equal((await it.store.practice()).length, 1);
  await it.press('[data-action="forget-yes"]');
  assert.deepEqual(await it.store.practice(), []);
  assert.equal(it.find(".tr-history").hidden, true);
});

test("another one is another number of the same kind", async () => {
  const it = await page({ hash: practiceHash(PROBLEM) });
  answer(it, "1", "1");
  await it.press('[data-action="mark"]');
  await it.press('.tr-view [data-action="any"]');
  const [, next] = it.engine.of("problem-set");
  assert.equal(next.problem.family, "pre-charge");
  assert.equal(next.problem.level, "usual");
  assert.equal(it.find('[name="charge"]').value, "");
});

test("a browser that keeps nothing is told about, and problems are marked all the same", async () => {
  const store = freshStore({
    openDB: async () => {
      throw new DOMException("no", "SecurityError");
    },
    local: () => {
      throw new DOMException("no", "SecurityError");
    },
  });
  const it = await page({ hash: practiceHash(PROBLEM), store });
  assert.match(it.text(".tr-trouble"), /keeps nothing for this site/);
  answer(it, "1", "1");
  await it.press('[data-action="mark"]');
  assert.equal(it.text(".tr-total"), "Marked: 6 of 6 points");
  assert.match(it.text(".tr-results"), /number 412/);
});

import assert from "node:assert/strict";
import { test } from "node:test";
import { setTimeout as pause } from "node:timers/promises";

import { Engine, EngineError, plainStartWanted, restWhenHidden, takeEarly } from "../../docs/assets/js/engine.mjs";

/** A worker that answers when the test says so. */
class Puppet {
  constructor() {
    this.heard = [];
    this.ended = false;
    this.onmessage = null;
    this.onerror = null;
  }
  postMessage(message) {
    this.heard.push(message);
  }
  terminate() {
    this.ended = true;
  }
  say(data) {
    this.onmessage?.({ data });
  }
  ready() {
    this.say({ type: "ready", how: "snapshot" });
  }
  answer(value) {
    this.say({ type: "answer", text: JSON.stringify(value) });
  }
  get asked() {
    return this.heard.filter(({ type }) => type === "ask").map(({ text }) => JSON.parse(text));
  }
}

function stage(options) {
  const puppets = [];
  const engine = new Engine(() => {
    puppets.push(new Puppet());
    return puppets.at(-1);
  }, options);
  return { engine, puppets };
}

test("one worker serves all who start", async () => {
  const { engine, puppets } = stage();
  const both = Promise.all([engine.start(), engine.start()]);
  assert.equal(engine.state, "starting");
  puppets[0].ready();
  assert.deepEqual(await both, [
    { how: "snapshot", boots: 1 },
    { how: "snapshot", boots: 1 },
  ]);
  assert.equal(puppets.length, 1);
  assert.equal(engine.state, "ready");
  assert.deepEqual(puppets[0].heard, [{ type: "boot", snapshot: true }]);
});

test("the plain start is passed on", async () => {
  const { engine, puppets } = stage({ snapshot: false });
  const start = engine.start();
  puppets[0].ready();
  await start;
  assert.deepEqual(puppets[0].heard, [{ type: "boot", snapshot: false }]);
});

test("a question before the start waits for it", async () => {
  const { engine, puppets } = stage();
  const answer = engine.ask({ n: 1 });
  assert.deepEqual(puppets[0].asked, []);
  puppets[0].ready();
  assert.deepEqual(puppets[0].asked, [{ n: 1 }]);
  puppets[0].answer({ found: 1 });
  assert.deepEqual(await answer, { found: 1 });
});

test("one question at a time, and the latest of a key wins", async () => {
  const { engine, puppets } = stage();
  const first = engine.ask({ n: 1 }, { key: "a" });
  puppets[0].ready();
  const second = engine.ask({ n: 2 }, { key: "a" });
  const third = engine.ask({ n: 3 }, { key: "a" });
  const other = engine.ask({ n: 4 }, { key: "b" });
  assert.equal(await second, null);
  assert.deepEqual(puppets[0].asked, [{ n: 1 }]);
  puppets[0].answer("one");
  assert.equal(await first, null, "an answer that newer numbers overtook is not shown");
  puppets[0].answer("three");
  puppets[0].answer("four");
  assert.equal(await third, "three");
  assert.equal(await other, "four");
  assert.deepEqual(puppets[0].asked, [{ n: 1 }, { n: 3 }, { n: 4 }]);
});

test("a calculation that takes too long is stopped, and the next one is answered", async () => {
  const { engine, puppets } = stage({ runLimit: 20 });
  const slow = engine.ask({ n: 1 });
  puppets[0].ready();
  const waiting = engine.ask({ n: 2 });
  await assert.rejects(slow, (error) => {
    assert.ok(error instanceof EngineError);
    assert.match(error.message, /longer than 0.02 seconds and was stopped/);
    return true;
  });
  assert.equal(puppets[0].ended, true);
  assert.equal(puppets.length, 2);
  puppets[1].ready();
  puppets[1].answer("two");
  assert.equal(await waiting, "two");
});

test("a worker that was ended is heard no more", async () => {
  const { engine, puppets } = stage({ runLimit: 10 });
  const slow = engine.ask({ n: 1 });
  puppets[0].ready();
  await assert.rejects(slow);
  const next = engine.ask({ n: 2 });
  puppets[1].ready();
  puppets[0].answer("late");
  puppets[1].answer("right");
  assert.equal(await next, "right");
});

test("an engine that throws is replaced", async () => {
  const { engine, puppets } = stage();
  const bad = engine.ask({ n: 1 });
  puppets[0].ready();
  puppets[0].say({ type: "answer", message: "memory access out of bounds" });
  await assert.rejects(bad, /broke off: memory access/);
  assert.equal(puppets[0].ended, true);
  assert.equal(engine.state, "idle");
  const next = engine.ask({ n: 2 });
  puppets[1].ready();
  puppets[1].answer(2);
  assert.equal(await next, 2);
});

test("a failed start is told to all, and can be tried again", async () => {
  const { engine, puppets } = stage();
  const start = engine.start();
  const question = engine.ask({ n: 1 });
  puppets[0].say({ type: "failed", message: "no file" });
  await assert.rejects(start, /could not start: no file/);
  await assert.rejects(question, /could not start: no file/);
  assert.equal(engine.state, "idle");
  const again = engine.start();
  puppets[1].ready();
  assert.deepEqual(await again, { how: "snapshot", boots: 2 });
});

test("a start that hangs ends with a sentence", async () => {
  const { engine, puppets } = stage({ startLimit: 15 });
  await assert.rejects(engine.start(), /did not start in time/);
  assert.equal(puppets[0].ended, true);
});

test("a browser without module workers is told so", async () => {
  const engine = new Engine(() => {
    throw new Error("no workers here");
  });
  await assert.rejects(engine.start(), /refused to start the calculator: no workers here/);
});

test("a worker whose script is missing fails the start", async () => {
  const { engine, puppets } = stage();
  const start = engine.start();
  puppets[0].onerror({ message: "", preventDefault() {} });
  await assert.rejects(start, /files could not be read/);
});

test("an answer that is not JSON is a failure of that question alone", async () => {
  const { engine, puppets } = stage();
  const bad = engine.ask({ n: 1 });
  puppets[0].ready();
  puppets[0].say({ type: "answer", text: "{" });
  await assert.rejects(bad, /could not be read/);
  const good = engine.ask({ n: 2 });
  puppets[0].answer(2);
  assert.equal(await good, 2);
});

test("the engine tells how and how often it started", async () => {
  const { engine, puppets } = stage();
  const heard = [];
  engine.addEventListener("ready", (event) => heard.push(event.detail));
  void engine.start();
  puppets[0].ready();
  await pause(0);
  assert.deepEqual(heard, [{ how: "snapshot", boots: 1 }]);
});

test("the plain start can be asked for in the address or in storage", () => {
  const empty = () => ({ getItem: () => null });
  assert.equal(plainStartWanted("?engine=plain", empty), true);
  assert.equal(plainStartWanted("", () => ({ getItem: () => "plain" })), true);
  assert.equal(plainStartWanted("?engine=other", empty), false);
  assert.equal(
    plainStartWanted("", () => {
      throw new Error("forbidden");
    }),
    false,
  );
});

// ---- bad files on the device

/** Fails the next start and lets what follows from it happen. */
async function failStart(puppets) {
  puppets.at(-1).say({ type: "failed", message: "handbook.zip is no archive" });
  await pause(0);
}

test("a failed start mends the files once, and starts again", async () => {
  let mends = 0;
  const { engine, puppets } = stage({ mend: async () => Boolean((mends += 1)) });
  const answer = engine.ask({ n: 1 });
  await failStart(puppets);
  assert.equal(puppets.length, 2);
  assert.equal(puppets[0].ended, true);
  puppets[1].ready();
  await pause(0);
  assert.deepEqual(puppets[1].asked, [{ n: 1 }]);
  puppets[1].answer({ ok: true });
  assert.deepEqual(await answer, { ok: true });
  assert.equal(mends, 1);
});

test("a start that fails on sound files is told, and mends nothing more", async () => {
  let mends = 0;
  const { engine, puppets } = stage({
    mend: async () => {
      mends += 1;
      return false;
    },
  });
  for (const time of [1, 2]) {
    const failure = assert.rejects(engine.start(), /handbook\.zip is no archive/);
    assert.equal(puppets.length, time);
    await failStart(puppets);
    await failure;
    assert.equal(engine.state, "idle");
  }
  assert.equal(mends, 1);
});

test("while files are mended, a question waits and no other worker is begun", async () => {
  let mended;
  const { engine, puppets } = stage({ mend: () => new Promise((go) => (mended = go)) });
  const first = engine.ask({ n: 1 });
  await failStart(puppets);
  const second = engine.ask({ n: 2 });
  assert.equal(puppets.length, 1);
  assert.equal(engine.state, "starting");
  mended(true);
  await pause(0);
  assert.equal(puppets.length, 2);
  puppets[1].ready();
  await pause(0);
  puppets[1].answer({ n: 1 });
  puppets[1].answer({ n: 2 });
  assert.deepEqual(await Promise.all([first, second]), [{ n: 1 }, { n: 2 }]);
});

test("a mending that fails itself leaves the reason of the start", async () => {
  const { engine, puppets } = stage({ mend: () => Promise.reject(new Error("no network")) });
  const failure = assert.rejects(engine.start(), /handbook\.zip is no archive/);
  await failStart(puppets);
  await failure;
});

test("a slow start that was to be a quick one has the files mended behind it", async () => {
  for (const [snapshot, wanted] of [
    [true, 1],
    [false, 0],
  ]) {
    let mends = 0;
    const { engine, puppets } = stage({ snapshot, mend: async () => Boolean((mends += 1)) });
    const start = engine.start();
    puppets[0].say({ type: "ready", how: "plain" });
    assert.equal((await start).how, "plain");
    await pause(0);
    assert.equal(mends, wanted);
    assert.equal(puppets.length, 1);
  }
});

// ---- a tab out of sight

test("an engine that rests ends its worker, and the next question starts another", async () => {
  const { engine, puppets } = stage();
  const start = engine.start();
  puppets[0].ready();
  await start;
  const asked = engine.ask({ n: 1 });
  engine.rest();
  assert.equal(puppets[0].ended, false, "not while something is asked");
  puppets[0].answer({ n: 1 });
  await asked;
  engine.rest();
  assert.equal(puppets[0].ended, true);
  assert.equal(engine.state, "idle");
  const again = engine.ask({ n: 2 });
  puppets[1].ready();
  await pause(0);
  puppets[1].answer({ n: 2 });
  assert.deepEqual(await again, { n: 2 });
});

test("only a tab that stays out of sight lets its engine rest", async (context) => {
  context.mock.timers.enable({ apis: ["setTimeout"] });
  let rests = 0;
  let busy = true;
  const page = new EventTarget();
  const turn = (state) => {
    page.visibilityState = state;
    page.dispatchEvent(new Event("visibilitychange"));
  };
  const rest = () => {
    if (!busy) rests += 1;
    return !busy;
  };
  restWhenHidden({ rest }, page, 1000);
  turn("hidden");
  context.mock.timers.tick(900);
  turn("visible");
  context.mock.timers.tick(5000);
  assert.equal(rests, 0);
  turn("hidden");
  context.mock.timers.tick(1000);
  assert.equal(rests, 0, "what is at work is left alone, and looked at again");
  busy = false;
  context.mock.timers.tick(1000);
  assert.equal(rests, 1);
  context.mock.timers.tick(9000);
  assert.equal(rests, 1);
});

test("a worker that was started early is taken over with what it has said", async () => {
  const early = new Puppet();
  const heard = [];
  const place = { handbookEngine: { link: early, heard } };
  early.onmessage = (event) => heard.push({ type: "message", ...event });
  early.say({ type: "progress", progress: { stage: "restoring" } });
  early.ready();
  const engine = new Engine(() => takeEarly(place) ?? new Puppet());
  const stages = [];
  engine.addEventListener("progress", ({ detail }) => stages.push(detail.stage));
  assert.deepEqual(await engine.start(), { how: "snapshot", boots: 1 });
  assert.deepEqual(stages, ["restoring"]);
  const answer = engine.ask({ op: "run" });
  early.answer(5);
  assert.equal(await answer, 5);
  // Once: the next start is one of its own.
  assert.equal(takeEarly(place), null);
});

test("an early worker that failed is followed by one of the page's own", async () => {
  const early = new Puppet();
  const heard = [{ type: "error", message: "no such file", preventDefault() {} }];
  const place = { handbookEngine: { link: early, heard } };
  const own = new Puppet();
  const engine = new Engine(() => takeEarly(place) ?? own, { mend: async () => true });
  const start = engine.start();
  await pause(1);
  assert.equal(early.ended, true);
  own.ready();
  assert.deepEqual(await start, { how: "snapshot", boots: 2 });
});

test("what a worker says out of turn, or in no form at all, changes nothing", async () => {
  const { engine, puppets } = stage();
  const start = engine.start();
  const [worker] = puppets;
  for (const junk of [null, undefined, 5, "ready", [], {}, { type: "answer" }, { type: "other" }])
    worker.say(junk);
  worker.answer({ early: true });
  worker.ready();
  assert.deepEqual(await start, { how: "snapshot", boots: 1 });
  worker.answer({ nobody: "asked" });
  const answer = engine.ask({ op: "run" });
  worker.ready();
  assert.equal(worker.asked.length, 1);
  worker.answer({ right: true });
  worker.answer({ twice: true });
  assert.deepEqual(await answer, { right: true });
  assert.equal(puppets.length, 1);
  assert.equal(worker.ended, false);
});

test("an answer in another form than a text is a failure of that question alone", async () => {
  for (const text of [5, null, { answer: 1 }, ["[]"]]) {
    const { engine, puppets } = stage();
    const answer = engine.ask({ op: "run" });
    puppets[0].ready();
    puppets[0].say({ type: "answer", text });
    await assert.rejects(answer, EngineError);
    const next = engine.ask({ op: "run" });
    puppets[1].ready();
    puppets[1].answer(2);
    assert.equal(await next, 2);
  }
});

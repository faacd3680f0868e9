import assert from "node:assert/strict";
import { test } from "node:test";

import { onPage } from "../../docs/assets/js/on-page.mjs";

function visit() {
  const there = new Set();
  const defined = [];
  globalThis.document = Object.assign(new EventTarget(), {
    querySelector: (tag) => (there.has(tag) ? {} : null),
  });
  globalThis.customElements = {
    define: (tag, made) => void defined.push([tag, made]),
    get: (tag) => defined.find(([known]) => known === tag)?.[1],
  };
  const looks = [];
  return { there, defined, pages: { subscribe: (look) => looks.push(look) }, go: () => looks.forEach((look) => look()) };
}

const settled = () => new Promise((done) => setTimeout(done, 1));

test("a module is fetched where its element stands, once, and not before", async () => {
  const { there, defined, pages, go } = visit();
  let fetched = 0;
  class Made {}
  onPage("some-log", async () => ((fetched += 1), Made), pages);
  go();
  await settled();
  assert.equal(fetched, 0);
  there.add("some-log");
  go();
  go();
  await settled();
  go();
  await settled();
  assert.equal(fetched, 1);
  assert.deepEqual(defined, [["some-log", Made]]);
});

test("what could not be fetched is asked for again on the next page", async (t) => {
  const { there, defined, pages, go } = visit();
  t.mock.timers.enable({ apis: ["setTimeout"] });
  const said = t.mock.method(console, "error", () => {});
  const settled = () => new Promise((done) => setImmediate(done));
  there.add("some-log");
  let broken = true;
  let damage = 0;
  document.addEventListener("handbook:damaged", () => (damage += 1));
  class Made {}
  onPage("some-log", async () => {
    if (broken) throw new Error("no network");
    return Made;
  }, pages);
  go();
  await settled();
  assert.equal(defined.length, 0);
  assert.equal(said.mock.callCount() + damage, 0, "a page that is being left has nothing to report");
  t.mock.timers.runAll();
  await settled();
  assert.equal(said.mock.callCount(), 1);
  assert.equal(damage, 1, "whoever keeps the copy is told");
  broken = false;
  go();
  await settled();
  assert.equal(defined.length, 1);
});

test("without the theme's word it looks at the page it is on", async () => {
  const { there, defined } = visit();
  there.add("some-log");
  onPage("some-log", async () => class {}, undefined);
  await settled();
  assert.equal(defined.length, 1);
});

test("what another module has defined is left alone", async () => {
  const { there, defined, pages, go } = visit();
  there.add("some-log");
  class Theirs {}
  let fetched = 0;
  onPage("some-log", async () => ((fetched += 1), class {}), pages);
  defined.push(["some-log", Theirs]);
  go();
  await settled();
  assert.equal(fetched, 0);
  assert.deepEqual(defined, [["some-log", Theirs]]);
});

import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";

const { Keeper } = await import("../../docs/assets/js/offline-keeping.mjs");

let copy;

beforeEach(() => {
  copy = {
    standing: { state: "waiting" },
    set(change) {
      Object.assign(this.standing, change);
    },
  };
  globalThis.document = { addEventListener() {}, visibilityState: "visible" };
  globalThis.addEventListener = () => undefined;
  globalThis.setInterval = () => 0;
});

function navigatorWith(serviceWorker) {
  const value = serviceWorker ? { serviceWorker } : {};
  Object.defineProperty(globalThis, "navigator", { value, configurable: true });
}

test("a browser without service workers is told apart from an address without https", async () => {
  navigatorWith(null);
  globalThis.isSecureContext = true;
  await new Keeper(copy).start();
  assert.deepEqual(copy.standing, { state: "unsupported", why: "" });
  globalThis.isSecureContext = false;
  await new Keeper(copy).start();
  assert.match(copy.standing.why, /only from an address with https/);
});

test("a browser that forbids the worker is told", async () => {
  navigatorWith({
    controller: null,
    addEventListener() {},
    getRegistration: async () => undefined,
    register: () => Promise.reject(new DOMException("no", "SecurityError")),
  });
  await new Keeper(copy).start();
  assert.equal(copy.standing.state, "forbidden");
  assert.match(copy.standing.why, /Open the book in an ordinary window/);
});

test("the browser is asked to protect the copy of an app, and where the reader wants it kept", async () => {
  let asked = 0;
  const value = {
    serviceWorker: {
      controller: null,
      addEventListener() {},
      getRegistration: async () => undefined,
      register: async () => ({ active: {}, addEventListener() {} }),
    },
    storage: { persist: async () => (asked += 1) > 0 },
  };
  Object.defineProperty(globalThis, "navigator", { value, configurable: true });
  const keeper = new Keeper(copy);
  await keeper.start();
  assert.equal(asked, 0, "on the first page of a visit nobody has asked for anything");
  await keeper.keep();
  assert.equal(asked, 1);
  globalThis.matchMedia = (query) => ({ matches: query.includes("standalone") });
  await new Keeper(copy).start();
  assert.equal(asked, 2);
  delete globalThis.matchMedia;
});

test("a copy that is ready is told whole, whenever it was counted last", async () => {
  copy.standing = { state: "fetching", done: 152, total: 157, doneBytes: 23.6e6, totalBytes: 23.9e6 };
  navigatorWith({
    controller: null,
    addEventListener() {},
    register: async () => ({ active: {}, addEventListener() {} }),
  });
  await new Keeper(copy).start();
  const { state, done, doneBytes } = copy.standing;
  assert.deepEqual({ state, done, doneBytes }, { state: "ready", done: 157, doneBytes: 23.9e6 });
});

test("another edition loads a page anew that an edition looks after, and no other", async () => {
  for (const [controller, wanted] of [
    [{}, 1],
    [null, 0],
  ]) {
    let changed;
    let loads = 0;
    globalThis.location = { reload: () => (loads += 1) };
    globalThis.fetch = () => Promise.reject(new TypeError("none"));
    navigatorWith({
      controller,
      addEventListener: (_, listener) => (changed = listener),
      getRegistration: async () => undefined,
      register: () => Promise.reject(new DOMException("no", "SecurityError")),
    });
    await new Keeper(copy).start();
    await changed();
    assert.equal(loads, wanted);
    // One that came under a worker in the meantime is looked after from then on.
    await changed();
    assert.equal(loads, 1);
  }
});

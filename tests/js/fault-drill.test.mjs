import assert from "node:assert/strict";
import { afterEach, beforeEach, test } from "node:test";

import { parseHTML } from "linkedom";

const { window, document } = parseHTML("<!doctype html><html><body></body></html>");
const outside = new EventTarget();
const kept = new Map();
Object.assign(globalThis, {
  document,
  HTMLElement: window.HTMLElement,
  Element: window.Element,
  customElements: window.customElements,
  CSS: { escape: (text) => text },
  localStorage: {
    getItem: (key) => kept.get(key) ?? null,
    setItem: (key, value) => void kept.set(key, String(value)),
    removeItem: (key) => void kept.delete(key),
  },
  location: {
    href: "http://book/fault-drills/",
    address: "",
    get hash() {
      return this.address;
    },
    set hash(text) {
      this.address = text;
      outside.dispatchEvent(new Event("hashchange"));
    },
  },
  addEventListener: outside.addEventListener.bind(outside),
});
// The document of the tests knows no state of a control beside its attributes.
Object.defineProperty(window.HTMLInputElement.prototype, "checked", {
  get() {
    return this.hasAttribute("checked");
  },
  set(on) {
    this.toggleAttribute("checked", on);
  },
});
Object.defineProperty(window.HTMLSelectElement.prototype, "value", {
  get() {
    const options = [...this.querySelectorAll("option")];
    return (options.find((one) => one.hasAttribute("selected")) ?? options[0])?.getAttribute("value");
  },
});

const { before, DrillView, FaultDrill, addressOf, engineOf, forgetBook, typed } = await import(
  "../../docs/assets/js/fault-drill.mjs"
);
const { digits, said, turn, valueAt, windowOf } = await import(
  "../../docs/assets/js/drill-dial.mjs"
);
const { KeptDrills, nameOf, soundDrill, soundPlayed } = await import(
  "../../docs/assets/js/drill-kept.mjs"
);
const { SPOTS } = await import("../../docs/assets/js/drill-scheme.mjs");
customElements.define("fault-drill", FaultDrill);

const DRILL = { id: "one-fault", seed: 412, system: "us" };
const DIAL = {
  title: "Gauge by the boiler",
  unit: "psi",
  value: 12,
  reads: "12 psi",
  least: 0,
  most: 60,
  major: [[0, "0"], [30, "30"], [60, "60"]],
  minor: [0, 2, 4, 6],
  normal: [10, 20],
  relief: 30,
};
const ACTIONS = `
  <section data-part="gauge"><h4>Gauge</h4>
    <form data-do="read-gauge"><button type="submit">Read it</button></form></section>
  <section data-part="vessel"><h4>Vessel</h4>
    <form data-do="pump-up">
      <label for="da-to">To</label><input id="da-to" name="to" value="12">
      <select name="to.unit"><option value="psi">psi</option></select>
      <p id="da-to-error" data-error-for="to" hidden></p>
      <button type="submit">Pump up</button></form></section>`;

/** An engine that plays a room of its own: it says what it was asked, and what the test wants. */
class FakeEngine {
  asked = [];
  next = {};

  async ask(request, options = {}) {
    this.asked.push(structuredClone(request));
    this.options = options;
    if (request.op === "drill-list") {
      return {
        drills: [
          { id: "one-fault", title: "One fault", summary: "One thing is wrong.", level: "first" },
          { id: "two-faults", title: "Two faults", summary: "Two things are.", level: "usual" },
        ],
        faults: [
          { id: "leak", title: "Leak" },
          { id: "charge-lost", title: "Charge lost" },
        ],
      };
    }
    const { actions, diagnosis } = request;
    const acts = actions.map(({ do: act }) => `<li>${act}</li>`).join("");
    return {
      clock: 60 * actions.length,
      time: `08:0${actions.length}`,
      done: diagnosis !== null,
      score: diagnosis === null ? null : { points: 90, most: 100 },
      dial: DIAL,
      gauge: [[0, 12], [60, 13]],
      parts: [{ id: "vessel", title: "Vessel", state: "valve open" }, { id: "gauge", title: "Gauge", state: "" }],
      last: actions.length
        ? { title: "Read the gauge", words: "It shows 12 psi", verdict: "safe", reason: "" }
        : null,
      html: {
        room: '<div><section class="fd-call"><h3>The caller</h3><p>It drips.</p></section>'
          + '<section class="fd-papers"><h3>The papers</h3><dl></dl></section>'
          + '<section class="fd-now-words"><h3>What you see</h3><dl></dl></section></div>',
        actions: ACTIONS,
        trace: `<ol>${acts}</ol>`,
        debrief: diagnosis ? "<h3>Debrief</h3>" : "",
      },
      ...structuredClone(this.next),
    };
  }
}

const settled = () => new Promise((done) => setTimeout(done, 5));
let engine;
const views = [];

beforeEach(() => {
  kept.clear();
  forgetBook();
  engine = new FakeEngine();
  engineOf.get = () => engine;
  location.address = "";
});

afterEach(() => {
  for (const view of views.splice(0)) view.end();
  document.body.replaceChildren();
});

async function room(options = {}) {
  const told = { changes: [], done: [] };
  const view = new DrillView({
    drill: DRILL,
    onChange: (played) => told.changes.push(played),
    onDone: (played) => told.done.push(played),
    ...options,
  });
  views.push(view);
  document.body.append(view.element);
  await view.begin();
  return { view, told, ...hands(view.element) };
}

function hands(element) {
  return {
    find: (selector) => element.querySelector(selector),
    text: (selector) => element.querySelector(selector)?.textContent ?? "",
    async submit(selector) {
      element
        .querySelector(selector)
        .dispatchEvent(new window.Event("submit", { bubbles: true, cancelable: true }));
      await settled();
    },
    async click(selector) {
      element.querySelector(selector).dispatchEvent(new window.Event("click", { bubbles: true }));
      await settled();
    },
    asked: () => engine.asked.filter(({ op }) => op === "drill-play"),
  };
}

test("the needle goes from stop to stop, and lies at its stop beyond the scale", () => {
  assert.equal(turn(DIAL, 0), -135);
  assert.equal(turn(DIAL, 30), 0);
  assert.equal(turn(DIAL, 60), 135);
  assert.ok(turn(DIAL, 500) > 135 && turn(DIAL, 500) < 145);
  assert.ok(turn(DIAL, -500) < -135 && turn(DIAL, -500) > -145);
});

test("between two samples an instrument moves straight", () => {
  const samples = [[100, 1], [200, 3], [200, 5], [300, 5]];
  assert.equal(valueAt(samples, 0), 1);
  assert.equal(valueAt(samples, 150), 2);
  assert.equal(valueAt(samples, 250), 5);
  assert.equal(valueAt(samples, 999), 5);
});

test("the strip shows whole divisions around what the gauge did", () => {
  assert.deepEqual(windowOf([[0, 11], [9, 13]], DIAL), [8, 16]);
  assert.deepEqual(windowOf([[0, 3], [9, 41]], DIAL), [2, 42]);
});

test("a scale is said with its marks", () => {
  assert.equal(
    said(DIAL, "12 psi"),
    "Gauge by the boiler: 12 psi. Usual here: 10 to 20 psi. The relief valve is set to 30 psi.",
  );
  assert.equal(digits("1.55 bar"), 2);
  assert.equal(digits("12 psi"), 0);
});

test("the clock goes back to when an act began", () => {
  assert.equal(before("08:15", 0), "08:15");
  assert.equal(before("08:15", 16 * 60), "07:59");
  assert.equal(before("00:10", 3600), "23:10");
});

test("only sound drills and acts are taken from outside", () => {
  assert.deepEqual(soundDrill({ ...DRILL, more: 1 }), DRILL);
  for (const bent of [
    null,
    { ...DRILL, id: "<b>" },
    { ...DRILL, seed: -1 },
    { ...DRILL, seed: 1.5 },
    { ...DRILL, seed: "412" },
    { ...DRILL, system: "imperial" },
  ]) {
    assert.equal(soundDrill(bent), null);
  }
  const played = { drill: DRILL, actions: [{ do: "wait", values: {} }], diagnosis: null, at: "" };
  assert.deepEqual(soundPlayed(played), played);
  const many = Array.from({ length: 201 }, () => ({ do: "wait", values: {} }));
  for (const bent of [
    { ...played, actions: "wait" },
    { ...played, actions: [{ do: "<b>", values: {} }] },
    { ...played, actions: [{ do: "wait", values: { a: [1] } }] },
    { ...played, actions: [{ do: "wait", values: { a: "x".repeat(201) } }] },
    { ...played, actions: many },
    { ...played, diagnosis: "leak" },
    { ...played, diagnosis: ["<b>"] },
  ]) {
    assert.equal(soundPlayed(bent), null, JSON.stringify(bent).slice(0, 90));
  }
});

test("the latest twelve drills are kept, each once", () => {
  const drills = new KeptDrills();
  for (let seed = 0; seed < 15; seed += 1) {
    drills.keep({ drill: { ...DRILL, seed }, actions: [], diagnosis: null, at: "" });
  }
  drills.keep({ drill: { ...DRILL, seed: 9 }, actions: [], diagnosis: ["leak"], at: "" });
  const all = drills.all();
  assert.equal(all.length, 12);
  assert.equal(all[0].drill.seed, 9);
  assert.equal(new Set(all.map(({ drill }) => nameOf(drill))).size, 12);
  drills.forget({ ...DRILL, seed: 9 });
  assert.equal(drills.get({ ...DRILL, seed: 9 }), null);
});

test("a full or locked storage is told and breaks nothing", () => {
  const locked = new KeptDrills(() => {
    throw new Error("locked");
  });
  assert.deepEqual(locked.all(), []);
  assert.equal(locked.keep({ drill: DRILL, actions: [], diagnosis: null, at: "" }), false);
});

test("a room shows its instruments, its parts and what can be done there", async () => {
  const { find, text, view } = await room();
  assert.equal(view.element.dataset.state, "ready");
  assert.equal(text(".fd-title"), "One fault");
  assert.match(text(".fd-which"), /412.*US units.*08:00/);
  assert.match(find(".fd-dial").getAttribute("aria-label"), /12 psi.*Usual here.*relief valve/);
  assert.equal(find(".fd-scheme svg").getAttribute("aria-hidden"), "true");
  assert.equal(find('[data-spot="vessel"]').getAttribute("aria-label"), "Vessel: valve open");
  // A part that the room does not have cannot be touched.
  assert.ok(find('[data-spot="boiler"]').hidden);
  const folds = [...view.element.querySelectorAll(".fd-acts > details")];
  assert.deepEqual(folds.map((one) => one.dataset.part), ["gauge", "vessel"]);
  assert.match(folds[1].querySelector("summary").textContent, /Vessel valve open/);
  assert.equal(folds[1].querySelectorAll("form").length, 1);
});

test("what the caller says is in sight; the papers and the room in words are folded", async () => {
  const { view } = await room();
  const parts = [...view.element.querySelector(".fd-words > div").children];
  assert.deepEqual(
    parts.map((one) => [one.localName, one.className, one.hasAttribute("open")]),
    [["section", "fd-call", false], ["details", "fd-papers", false], ["details", "fd-now-words", false]],
  );
  assert.equal(parts[1].firstElementChild.textContent, "The papers");
  assert.equal(parts[1].querySelector("h3"), null);
});

test("the room itself comes first among the parts, and lies open", async () => {
  engine.next = {
    html: {
      actions: '<section data-part="gauge"><h4>Gauge</h4></section>'
        + '<section data-part="loop"><h4>Room</h4></section>',
    },
  };
  const { view } = await room();
  const folds = [...view.element.querySelectorAll(".fd-acts > details")];
  assert.deepEqual(folds.map((one) => one.dataset.part), ["loop", "gauge"]);
  assert.deepEqual(folds.map((one) => one.hasAttribute("open")), [true, false]);
});

test("a part of the drawing leads to its acts, and folds the others away", async () => {
  const { click, find } = await room();
  await click('[data-spot="gauge"]');
  assert.ok(find('details[data-part="gauge"]').hasAttribute("open"));
  await click('[data-spot="vessel"]');
  assert.ok(find('details[data-part="vessel"]').hasAttribute("open"));
  assert.ok(!find('details[data-part="gauge"]').hasAttribute("open"));
  assert.ok(find('[data-spot="vessel"]').hasAttribute("data-chosen"));
});

test("a room that lives through days may take longer than a calculator", async () => {
  await room();
  // On a slow device with other work, the first look at a room took twelve seconds.
  assert.ok(engine.options.limit >= 60_000);
});

test("every act sends the whole list, with what was typed and its unit", async () => {
  const { asked, submit, text, told } = await room();
  await submit('[data-do="read-gauge"]');
  await submit('[data-do="pump-up"]');
  const last = asked().at(-1);
  assert.deepEqual(last.drill, DRILL);
  assert.equal(last.diagnosis, null);
  assert.deepEqual(last.actions, [
    { do: "read-gauge", values: {} },
    { do: "pump-up", values: { to: { value: "12", unit: "psi" } } },
  ]);
  assert.deepEqual(told.changes.map(({ actions }) => actions.length), [1, 2]);
  assert.match(text(".fd-trace"), /read-gauge.*pump-up/s);
  assert.match(text(".fd-seen"), /It shows 12 psi/);
});

test("an entry that cannot be read leaves the room as it was and is told at its field", async () => {
  const { find, submit, text, told, view } = await room();
  engine.next = { errors: [{ field: "to", message: "“12 pints” is no pressure." }] };
  await submit('[data-do="pump-up"]');
  assert.equal(view.actions.length, 0);
  assert.equal(told.changes.length, 0);
  assert.equal(text("#da-to-error"), "“12 pints” is no pressure.");
  assert.equal(find('[name="to"]').getAttribute("aria-invalid"), "true");
  assert.equal(find('[name="to"]').getAttribute("aria-describedby"), "da-to-error");
  engine.next = {};
  await submit('[data-do="pump-up"]');
  assert.equal(text("#da-to-error"), "");
  assert.ok(!find('[name="to"]').hasAttribute("aria-invalid"));
  assert.equal(view.actions.length, 1);
});

test("an unsafe act is told in words at once, a refused one says it was not done", async () => {
  const { find, submit, text } = await room();
  engine.next = { last: { title: "Heat up", words: "", verdict: "unsafe", reason: "The valve was shut." } };
  await submit('[data-do="read-gauge"]');
  assert.equal(text(".fd-alarm"), "Unsafe. The valve was shut.");
  assert.equal(find(".fd-alarm").getAttribute("role"), "alert");
  engine.next = { last: { title: "Drain", words: "", verdict: "refused", reason: "It is hot." } };
  await submit('[data-do="read-gauge"]');
  assert.equal(text(".fd-alarm"), "Not done. It is hot.");
  engine.next = {};
  await submit('[data-do="read-gauge"]');
  assert.equal(text(".fd-alarm"), "");
});

test("the way of the gauge is shown at the pace chosen; the words come at its end", async () => {
  const frames = [];
  globalThis.requestAnimationFrame = (next) => frames.push(next);
  globalThis.cancelAnimationFrame = () => undefined;
  try {
    const { click, find, submit, text } = await room();
    const pace = [...document.querySelectorAll(".fd-pace input")].find(
      (one) => one.getAttribute("value") === "60",
    );
    Object.defineProperty(pace, "value", { value: "60" });
    pace.dispatchEvent(new window.Event("change", { bubbles: true }));
    await submit('[data-do="read-gauge"]');
    assert.equal(frames.length, 1);
    assert.equal(text(".fd-seen"), "Read the gauge…");
    assert.ok(!find(".fd-skip").hidden);
    const start = performance.now();
    frames[0](start + 500);
    assert.match(text(".fd-reads"), /^1[23] psi$/);
    await click('[data-action="skip"]');
    assert.match(text(".fd-seen"), /It shows 12 psi/);
    assert.equal(text(".fd-reads"), "12 psi");
    assert.ok(find(".fd-skip").hidden);
  } finally {
    delete globalThis.requestAnimationFrame;
    delete globalThis.cancelAnimationFrame;
  }
});

async function tick(view, value) {
  [...view.element.querySelectorAll(".fd-causes input")]
    .find((one) => one.getAttribute("value") === value)
    .setAttribute("checked", "");
}

test("what goes on in the room stays in it, and other buttons go on to the page", async () => {
  const heard = [];
  const { click, submit, view } = await room();
  for (const type of ["click", "submit"]) {
    document.body.addEventListener(type, (event) => heard.push([type, event.target.className]));
  }
  await submit('[data-do="read-gauge"]');
  await click(".fd-skip");
  assert.deepEqual(heard, []);
  view.foot.append(Object.assign(document.createElement("button"), { className: "other" }));
  await click(".other");
  assert.deepEqual(heard, [["click", "other"]]);
});

test("a diagnosis needs a tick and a second tap, ends the drill and shows the debrief", async () => {
  const { asked, find, submit, text, told, view } = await room();
  await submit('[data-do="read-gauge"]');
  await submit(".fd-diagnosis");
  assert.match(text(".fd-diagnosis [role=alert]"), /Tick what is wrong/);
  await tick(view, "leak");
  await tick(view, "none");
  await submit(".fd-diagnosis");
  assert.match(text(".fd-diagnosis [role=alert]"), /Either/);
  find('.fd-causes [value="none"]').removeAttribute("checked");
  await submit(".fd-diagnosis");
  assert.equal(told.done.length, 0);
  await submit(".fd-diagnosis");
  assert.deepEqual(asked().at(-1).diagnosis, ["leak"]);
  assert.equal(told.done.length, 1);
  assert.deepEqual(told.done[0].diagnosis, ["leak"]);
  assert.equal(text(".fd-debrief"), "90of 100 pointsDebrief");
  assert.ok(view.element.hasAttribute("data-done"));
});

test("that nothing is wrong is a diagnosis too", async () => {
  const { asked, submit, view } = await room();
  await tick(view, "none");
  await submit(".fd-diagnosis");
  await submit(".fd-diagnosis");
  assert.deepEqual(asked().at(-1).diagnosis, []);
});

test("a room handed in shows its debrief at once", async () => {
  const { text, told } = await room({ diagnosis: ["leak"], actions: [{ do: "wait", values: {} }] });
  assert.equal(text(".fd-debrief h3"), "Debrief");
  assert.equal(told.done.length, 0);
});

test("an engine that fails says why, and the room can be asked for again", async () => {
  const broken = new FakeEngine();
  broken.ask = async () => {
    throw new Error("no engine");
  };
  engineOf.get = () => broken;
  const { click, text, view } = await room();
  assert.equal(view.element.dataset.state, "failed");
  assert.match(text(".fd-status"), /no engine/);
  engineOf.get = () => engine;
  await click('[data-action="begin"]');
  assert.equal(view.element.dataset.state, "ready");
});

test("what an act needs is read from its form", () => {
  document.body.innerHTML =
    '<form><input name="a" value="3 ft"><input type="radio" name="b" value="x">' +
    '<input type="radio" name="b" value="y" checked><select name="c"><option value="z"></select></form>';
  assert.deepEqual(typed(document.querySelector("form")), { a: "3 ft", b: "y", c: "z" });
});

test("every place in the drawing is wide enough for a finger at 300 px", () => {
  for (const { id, box } of SPOTS) {
    for (const length of box.slice(2)) assert.ok((length * 300) / 360 >= 44, `${id}: ${length}`);
    assert.ok(box[0] + box[2] <= 360 && box[1] + box[3] <= 372, id);
  }
  for (const [index, { id, box }] of SPOTS.entries()) {
    for (const { id: other, box: there } of SPOTS.slice(index + 1)) {
      const apart =
        box[0] + box[2] <= there[0] ||
        there[0] + there[2] <= box[0] ||
        box[1] + box[3] <= there[1] ||
        there[1] + there[3] <= box[1];
      assert.ok(apart, `${id} lies over ${other}`);
    }
  }
});

async function page(hash = "") {
  location.address = hash;
  document.body.innerHTML = "<fault-drill><p>needs JavaScript</p></fault-drill>";
  await settled();
  await settled();
  const element = document.querySelector("fault-drill");
  return { element, ...hands(element) };
}

test("the page offers the drills, and goes into the room that was chosen", async () => {
  const { element, find, submit } = await page();
  assert.equal(element.dataset.state, "choosing");
  assert.equal(element.querySelectorAll(".fd-kind").length, 2);
  assert.match(find('[name="seed"]').getAttribute("value"), /^[1-9]\d{0,4}$/);
  find('[name="seed"]').value = "412";
  await submit(".fd-choose");
  assert.equal(location.hash, "#drill?drill=one-fault&seed=412");
  assert.equal(element.dataset.state, "inside");
  assert.equal(element.querySelectorAll("section.fd").length, 1);
});

test("a number that is none is told at its field", async () => {
  const { find, submit, text } = await page();
  find('[name="seed"]').value = "four";
  await submit(".fd-choose");
  assert.match(text("#fd-seed-error"), /whole number/);
  assert.equal(find('[name="seed"]').getAttribute("aria-invalid"), "true");
  assert.equal(location.hash, "");
});

test("a link leads straight into its room, and what was done there before is there", async () => {
  const hash = addressOf(DRILL);
  assert.equal(hash, "#drill?drill=one-fault&seed=412&system=us");
  const first = await page(hash);
  await first.submit('[data-do="read-gauge"]');
  first.element.remove();
  const { asked, element, text } = await page(hash);
  assert.equal(element.dataset.state, "inside");
  assert.deepEqual(asked().at(-1).actions, [{ do: "read-gauge", values: {} }]);
  assert.match(text(".fd-trace"), /read-gauge/);
});

test("going back leaves the room, going forward finds it again", async () => {
  const { element, find } = await page(addressOf(DRILL));
  location.hash = "";
  await settled();
  assert.equal(element.dataset.state, "choosing");
  location.hash = addressOf(DRILL);
  await settled();
  assert.equal(element.dataset.state, "inside");
  // A heading of the page is no other room.
  const view = find("section.fd");
  location.hash = "#how-to-work";
  await settled();
  assert.equal(find("section.fd"), view);
});

test("begun rooms are listed, named, and can be removed", async () => {
  new KeptDrills().keep({ drill: DRILL, actions: [{ do: "wait", values: {} }], diagnosis: null, at: "" });
  const { click, element, find, text } = await page();
  assert.match(text(".fd-begun"), /One fault room 412, US units: 1 act so far/);
  assert.equal(find(".fd-resume").getAttribute("href"), addressOf(DRILL));
  await click('[data-action="forget"]');
  assert.equal(element.querySelector(".fd-begun"), null);
  assert.deepEqual(new KeptDrills().all(), []);
});

test("starting again asks once more, then forgets what was done", async () => {
  const { asked, click, submit, text } = await page(addressOf(DRILL));
  await submit('[data-do="read-gauge"]');
  await click('[data-action="start-again"]');
  assert.match(text('[data-action="start-again"]'), /Tap again/);
  assert.equal(new KeptDrills().get(DRILL).actions.length, 1);
  await click('[data-action="start-again"]');
  assert.deepEqual(new KeptDrills().get(DRILL).actions, []);
  assert.deepEqual(asked().at(-1).actions, []);
});

test("a bent link leads to the choice", async () => {
  for (const hash of [
    "#drill?drill=%3Cb%3E&seed=1",
    "#drill?drill=one-fault&seed=-1",
    "#drill?drill=one-fault&seed=1e9",
    "#drill?seed=412",
    "#drill",
  ]) {
    const { element } = await page(hash);
    assert.equal(element.dataset.state, "choosing", hash);
  }
});

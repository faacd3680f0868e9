import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import * as dom from "linkedom";

const { window, document } = dom.parseHTML("<!doctype html><html><body></body></html>");
for (const name of ["HTMLElement", "HTMLInputElement", "HTMLSelectElement", "Element"]) {
  globalThis[name] = window[name];
}
globalThis.document = document;
// linkedom's select can be read but not set.
const { get } = Object.getOwnPropertyDescriptor(
  Object.getPrototypeOf(document.createElement("select")),
  "value",
);
Object.defineProperty(Object.getPrototypeOf(document.createElement("select")), "value", {
  configurable: true,
  get,
  set(wanted) {
    for (const option of this.querySelectorAll("option")) {
      option.toggleAttribute("selected", option.getAttribute("value") === wanted);
    }
  },
});
globalThis.CSS = { escape: (text) => text.replaceAll(".", "\\.") };

const { FieldFacts } = await import("../../docs/assets/js/field-facts.mjs");
const { fact, writeFact } = await import("../../docs/assets/js/facts.mjs");
const { fakeJob } = await import("./facts.test.mjs");

const field = (name, value, unit, facts) => `
  <div data-field="${name}" data-type="quantity" data-example data-facts="${facts}">
    <label>${name}</label>
    <input name="${name}" value="${value}">
    <label class="lc-pm"><input name="${name}.pm" value=""></label>
    <select name="${name}.unit"><option value="L" ${unit === "L" ? "selected" : ""}>L</option>
    <option value="gal" ${unit === "gal" ? "selected" : ""}>gal</option></select>
    <p class="lc-help">help</p></div>`;

const FORM = `<form>
  ${field("system_volume", "1750", "L", "system_volume")}
  ${field("vessel_volume", "250", "L", "new_vessel vessel_volume")}
  <div data-field="fluid" data-type="choice" data-facts="fluid"><label>Fluid</label>
    <select name="fluid"><option value="water" selected>Water</option>
    <option value="glycol">Glycol in water</option></select><p class="lc-help">help</p></div>
</form>`;
const EXAMPLE = { system_volume: "1750", vessel_volume: "250", fluid: "water" };
const BOOK = {
  calculators: {
    "system-volume": { title: "System volume", page: "survey/" },
    "relief-margin": { title: "Relief margin", page: "check/" },
  },
  facts: { system_volume: { label: "Water in the system" } },
};
const FOUND = { calculator: "system-volume", field: "volume", how: "found" };

let job, form, facts;
const at = (name) => form.querySelector(`[data-field="${name}"]`);
const input = (name) => form.querySelector(`[name="${name}"]`);
const note = (name) => at(name).querySelector(".lc-origin")?.textContent ?? "";

beforeEach(() => {
  document.body.innerHTML = FORM;
  form = document.querySelector("form");
  job = fakeJob();
  facts = new FieldFacts("pre-charge", job);
  facts.book = BOOK;
});

function typed(name, value) {
  input(name).value = value;
  at(name).removeAttribute("data-example");
  facts.touch(form, input(name));
}

test("nothing known: the example stays and nothing is said", () => {
  assert.deepEqual(facts.takeUp(form, EXAMPLE), []);
  assert.equal(at("system_volume").hasAttribute("data-example"), true);
  assert.equal(form.querySelectorAll(".lc-origin").length, 0);
});

test("an example gives way to a fact, with a mark of where it came from", () => {
  writeFact(job, "system_volume", { value: "1600", unit: "L", pm: "30" }, FOUND);
  assert.deepEqual(facts.takeUp(form, EXAMPLE), ["system_volume"]);
  assert.equal(input("system_volume").value, "1600");
  assert.equal(input("system_volume.pm").value, "30");
  assert.equal(at("system_volume").hasAttribute("data-example"), false);
  assert.deepEqual(facts.taken(form), { system_volume: "system_volume" });
  assert.match(note("system_volume"), /^From System volume, /);
});

test("of two facts the first known serves", () => {
  writeFact(job, "vessel_volume", { value: "200", unit: "L" }, FOUND);
  facts.takeUp(form, EXAMPLE);
  assert.equal(input("vessel_volume").value, "200");
  writeFact(job, "new_vessel", { value: "400", unit: "L" }, FOUND);
  assert.deepEqual(facts.takeUp(form, EXAMPLE), ["vessel_volume"]);
  assert.equal(input("vessel_volume").value, "400");
  assert.equal(facts.taken(form).vessel_volume, "new_vessel");
});

test("a reader's own number stays, and the job's is offered", () => {
  writeFact(job, "system_volume", { value: "1600", unit: "L" }, FOUND);
  input("system_volume").value = "1400";
  at("system_volume").removeAttribute("data-example");
  assert.deepEqual(facts.takeUp(form, EXAMPLE), []);
  assert.equal(input("system_volume").value, "1400");
  assert.match(note("system_volume"), /^In this job it is 1600 L\. From System volume.*Take it$/);
  facts.takeBack(form, "system_volume");
  assert.equal(input("system_volume").value, "1600");
  assert.match(note("system_volume"), /^From System volume/);
});

test("typing over a fact says what else hangs on it, and can be taken back", () => {
  job.update("entries/relief-margin", () => ({ taken: { system_volume: "system_volume" } }));
  writeFact(job, "system_volume", { value: "1600", unit: "L" }, FOUND);
  job.wait(3);
  facts.takeUp(form, EXAMPLE);
  typed("system_volume", "1500");
  assert.match(note("system_volume"), /^You changed it from 1600 L \(System volume\)\./);
  assert.match(note("system_volume"), /also used on Relief margin: look at that page again/);
  facts.settle(form, []);
  assert.deepEqual(fact(job, "system_volume").origin, {
    calculator: "pre-charge",
    field: "system_volume",
    how: "typed",
  });
  facts.takeBack(form, "system_volume");
  assert.equal(fact(job, "system_volume").entry.value, "1600");
  assert.equal(input("system_volume").value, "1600");
});

test("the plus/minus goes with the number it belonged to", () => {
  writeFact(job, "system_volume", { value: "1600", unit: "L", pm: "30" }, FOUND);
  facts.takeUp(form, EXAMPLE);
  typed("system_volume", "1500");
  assert.equal(input("system_volume.pm").value, "");
  facts.takeBack(form, "system_volume");
  assert.equal(input("system_volume.pm").value, "30");
  input("system_volume.pm").value = "5";
  facts.touch(form, input("system_volume.pm"));
  assert.equal(input("system_volume.pm").value, "5");
});

test("nothing is written before the reader has changed anything", () => {
  facts.takeUp(form, EXAMPLE);
  facts.settle(form, [{ name: "charge", fact: "charge", entry: { value: "1.5", unit: "bar" } }]);
  assert.deepEqual(job.keys("fact/"), []);
  typed("system_volume", "1500");
  facts.settle(form, [{ name: "charge", fact: "charge", entry: { value: "1.6", unit: "bar" } }]);
  assert.deepEqual(job.keys("fact/"), ["fact/charge", "fact/system_volume"]);
  assert.equal(fact(job, "charge").origin.how, "found");
});

test("a number typed for a fact that is not there goes to the last of its names", () => {
  typed("vessel_volume", "180");
  facts.settle(form, []);
  assert.deepEqual(job.keys("fact/"), ["fact/vessel_volume"]);
  writeFact(job, "new_vessel", { value: "400", unit: "L" }, FOUND);
  typed("vessel_volume", "350");
  facts.settle(form, []);
  assert.equal(fact(job, "new_vessel").entry.value, "350");
  assert.equal(fact(job, "vessel_volume").entry.value, "180");
});

test("an emptied field writes no fact", () => {
  typed("system_volume", " ");
  facts.settle(form, []);
  assert.deepEqual(job.keys("fact/"), []);
});

test("a choice is carried like a number", () => {
  writeFact(job, "fluid", { value: "glycol" }, { ...FOUND, field: "fluid", how: "typed" });
  assert.deepEqual(facts.takeUp(form, EXAMPLE), ["fluid"]);
  assert.equal(input("fluid").value, "glycol");
  assert.match(note("fluid"), /^Typed on System volume/);
});

test("a fact in a unit that the field does not offer is told and not put in", () => {
  writeFact(job, "system_volume", { value: "1.6", unit: "furlong" }, FOUND);
  assert.deepEqual(facts.takeUp(form, EXAMPLE), []);
  assert.equal(input("system_volume").value, "1750");
  assert.match(note("system_volume"), /In this job it is 1\.6 furlong/);
});

test("what a link brought is kept, and only what was taken before follows the job", () => {
  writeFact(job, "system_volume", { value: "1600", unit: "L" }, FOUND);
  assert.deepEqual(facts.takeUp(form, EXAMPLE, { again: true }), []);
  assert.equal(input("system_volume").value, "1750");
  const at = job.now();
  input("system_volume").value = "1600";
  facts.marked(form, {
    taken: { system_volume: "system_volume" },
    values: { system_volume: "1600", "system_volume.unit": "L", "system_volume.pm": "" },
    at,
  });
  job.wait(5);
  writeFact(job, "system_volume", { value: "1650", unit: "L" }, FOUND);
  assert.deepEqual(facts.takeUp(form, EXAMPLE, { again: true }), ["system_volume"]);
  assert.equal(input("system_volume").value, "1650");
});

test("a taken number that the reader has put into other units stays in them", () => {
  writeFact(job, "system_volume", { value: "1600", unit: "L" }, FOUND);
  job.wait(1);
  input("system_volume").value = "422.68";
  input("system_volume.unit").value = "gal";
  const unit = input("system_volume.unit").value;
  facts.marked(form, {
    taken: { system_volume: "system_volume" },
    values: { system_volume: "422.68", "system_volume.unit": unit, "system_volume.pm": "" },
    at: job.now(),
  });
  assert.deepEqual(facts.takeUp(form, EXAMPLE), []);
  assert.equal(input("system_volume").value, "422.68");
});

test("hostile texts are shown as texts", () => {
  writeFact(job, "system_volume", { value: "<img src=x onerror=alert(1)>", unit: "stone" }, {
    ...FOUND,
    calculator: "<script>",
  });
  facts.takeUp(form, EXAMPLE);
  assert.equal(form.querySelectorAll("img, script").length, 0);
  assert.match(note("system_volume"), /<img src=x/);
});

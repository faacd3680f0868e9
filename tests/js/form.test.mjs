import assert from "node:assert/strict";
import { test } from "node:test";

import { parseHTML } from "linkedom";

import { applies, inputTexts, renumbered, showApplicable } from "../../docs/assets/js/form.mjs";

test("names and ids of a row get the row's number", () => {
  assert.equal(renumbered("pipes.3.length.unit", "pipes", 1), "pipes.1.length.unit");
  assert.equal(renumbered("pipes.__row__.tube", "pipes", 0), "pipes.0.tube");
  assert.equal(
    renumbered("system-volume-pipes-3-length-help system-volume-pipes-3-length-error", "pipes", 12),
    "system-volume-pipes-12-length-help system-volume-pipes-12-length-error",
  );
  assert.equal(renumbered("a-pipes-__row__-tube", "pipes", 2), "a-pipes-2-tube");
});

test("other names and ids stay", () => {
  for (const text of ["pipes", "old_pipes.3.length", "pipes.x", "system-volume-pipes-help", "height"]) {
    assert.equal(renumbered(text, "pipes", 5), text);
  }
});

test("a field applies when every named choice holds a listed value", () => {
  const chosen = (name) => ({ method: "en12828", kind: "open" })[name];
  assert.equal(applies({ method: ["en12828", "ashrae"] }, chosen), true);
  assert.equal(applies({ method: ["ashrae"] }, chosen), false);
  assert.equal(applies({ method: ["en12828"], kind: ["closed"] }, chosen), false);
  assert.equal(applies({ absent: ["x"] }, chosen), false);
  assert.equal(applies({}, chosen), true);
});

test("a section goes when none of its fields applies, and comes back with one", () => {
  const { document, HTMLElement, HTMLInputElement, HTMLSelectElement } = parseHTML("<form></form>");
  Object.assign(globalThis, { HTMLElement, HTMLInputElement, HTMLSelectElement });
  globalThis.CSS ??= { escape: String };
  const form = document.querySelector("form");
  const field = (name, when) =>
    `<div class="lc-field" data-field="${name}" data-when='${JSON.stringify(when)}'><input></div>`;
  const section = (fields) =>
    `<fieldset class="lc-section"><div class="lc-fields">${fields}</div></fieldset>`;
  form.innerHTML = [
    '<select name="method"><option value="meter" selected>m</option><option value="fall">f</option></select>',
    section(field("flow", { method: ["meter"] })),
    section(field("charge", { method: ["fall"] }) + field("gas", { method: ["fall"] })),
    section('<div class="lc-field" data-field="always"><input></div>'),
  ].join("");
  const shown = () => [...form.querySelectorAll(".lc-section")].map((each) => !each.hidden);
  showApplicable(form);
  assert.deepEqual(shown(), [true, false, true]);
  form.querySelector("option").removeAttribute("selected");
  form.querySelectorAll("option")[1].setAttribute("selected", "");
  showApplicable(form);
  assert.deepEqual(shown(), [false, true, true]);
});

test("entries become the texts of a link", () => {
  assert.deepEqual(
    inputTexts({
      height: { value: "11.4", unit: "m", pm: "0.1" },
      method: "en12828",
      sizes: { value: "8, 12", unit: "L" },
      note: { value: "", unit: "m" },
      pipes: [
        { tube: "DN 25", length: { value: "30", unit: "m" } },
        { tube: "DN 20", length: { value: "55", unit: "m" } },
      ],
    }),
    {
      height: "11.4 ± 0.1 m",
      method: "en12828",
      sizes: "8, 12 L",
      note: "",
      pipes: "DN 25 | 30 m; DN 20 | 55 m",
    },
  );
});

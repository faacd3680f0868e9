import assert from "node:assert/strict";
import { test } from "node:test";

import { parseHTML } from "linkedom";

import { morph } from "../../docs/assets/js/morph.mjs";

function part(html) {
  const { document } = parseHTML(`<!doctype html><html><body><div>${html}</div></body></html>`);
  return document.querySelector("div");
}

const RESULTS =
  '<dl class="r"><div data-key="charge"><dt>Charge</dt><dd><output name="charge">1.4</output></dd></div>' +
  '<div data-key="fill"><dt>Fill</dt><dd><output name="fill">1.7</output></dd></div></dl>';

test("the part ends up as the new HTML says", () => {
  const root = part(RESULTS);
  const next = RESULTS.replace("1.4", "2.0").replace('class="r"', 'class="s" id="x"');
  morph(root, next);
  assert.equal(root.querySelector("dl").className, "s");
  assert.equal(root.querySelector("dl").id, "x");
  assert.equal(root.querySelector("dl").innerHTML, part(next).querySelector("dl").innerHTML);
});

test("outputs that stay are the same objects", () => {
  const root = part(RESULTS);
  const [charge, fill] = root.querySelectorAll("output");
  const text = fill.firstChild;
  morph(root, RESULTS.replace("1.4", "2.0"));
  assert.equal(root.querySelectorAll("output")[0], charge);
  assert.equal(root.querySelectorAll("output")[1], fill);
  assert.equal(fill.firstChild, text, "what did not change is not touched");
  assert.equal(charge.textContent, "2.0");
});

test("children with a name are found again wherever they go", () => {
  const item = (key) => `<li data-key="${key}">${key}</li>`;
  const list = (...keys) => `<ul>${keys.map(item).join("")}</ul>`;
  const orders = [
    ["a", "b", "c"],
    ["c", "a", "b"],
    ["b"],
    ["d", "b", "e", "a"],
    [],
    ["a", "b"],
    ["b", "a"],
  ];
  for (const before of orders) {
    for (const after of orders) {
      const root = part(list(...before));
      const old = new Map([...root.querySelectorAll("li")].map((li) => [li.textContent, li]));
      morph(root, list(...after));
      const items = [...root.querySelectorAll("li")];
      assert.deepEqual(items.map((li) => li.textContent), after, `${before} to ${after}`);
      for (const li of items) {
        if (old.has(li.textContent)) assert.equal(li, old.get(li.textContent));
      }
    }
  }
});

test("named and unnamed children mix", () => {
  const root = part('<p>one</p><p data-key="k">k</p><p>two</p>');
  const after = '<h2>new</h2><p data-key="k">k2</p><p>one</p><b>x</b>tail';
  morph(root, after);
  assert.equal(root.innerHTML, after);
});

test("two children of one name do not pile up", () => {
  const root = part('<p data-key="k">1</p><p data-key="k">2</p>');
  morph(root, '<p data-key="k">3</p>');
  assert.equal(root.innerHTML, '<p data-key="k">3</p>');
});

test("details stay as the reader left them", () => {
  const root = part("<details><summary>s</summary><p>1</p></details>");
  root.querySelector("details").setAttribute("open", "");
  morph(root, "<details><summary>s</summary><p>2</p></details>");
  assert.equal(root.querySelector("details").hasAttribute("open"), true);
  assert.equal(root.querySelector("p").textContent, "2");
  root.querySelector("details").removeAttribute("open");
  morph(root, "<details open><summary>s</summary><p>3</p></details>");
  assert.equal(root.querySelector("details").hasAttribute("open"), false);
});

test("an empty answer empties the part, and a full one fills it", () => {
  const root = part("<p>a</p><p>b</p>");
  morph(root, "");
  assert.equal(root.childNodes.length, 0);
  morph(root, "<p>c</p>");
  assert.equal(root.innerHTML, "<p>c</p>");
});

test("the kind of an element can change", () => {
  const root = part("<p>a</p><ul><li>x</li></ul>");
  morph(root, "<ol><li>x</li></ol><p>a</p>");
  assert.equal(root.innerHTML, "<ol><li>x</li></ol><p>a</p>");
});

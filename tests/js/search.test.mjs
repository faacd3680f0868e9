import assert from "node:assert/strict";
import { test } from "node:test";

import { parseHTML } from "linkedom";

import { callSearch } from "../../docs/assets/js/search.mjs";

const PAGE = `<html><body><input type="checkbox" id="__search"><a href="/">elsewhere</a>
  <div class="md-search"><input class="md-search__input"></div></body></html>`;

function page(search = "", prepare = () => {}) {
  const { document, Event, HTMLInputElement } = parseHTML(PAGE);
  prepare(document);
  Object.assign(globalThis, { document, HTMLInputElement, location: { search } });
  const calls = [];
  callSearch(() => calls.push(1));
  const fire = (selector, type) =>
    document.querySelector(selector).dispatchEvent(new Event(type, { bubbles: true }));
  return { calls, fire };
}

test("the index is called for when a reader turns to the search, and again while it is used", () => {
  const { calls, fire } = page();
  assert.equal(calls.length, 0);
  fire("a", "focusin");
  fire("a", "input");
  assert.equal(calls.length, 0);
  fire(".md-search__input", "focusin");
  assert.equal(calls.length, 1);
  fire(".md-search__input", "input");
  fire("#__search", "change");
  assert.equal(calls.length, 3);
});

test("a search that is open, or comes with the address, is called for at once", () => {
  assert.equal(page("?q=vessel").calls.length, 1);
  const open = page("", (document) => (document.getElementById("__search").checked = true));
  assert.equal(open.calls.length, 1);
  assert.equal(page("?h=vessel").calls.length, 0);
});

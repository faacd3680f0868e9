/** Texts of strangers stay texts in the browser's own code: in elements, links and course packages. */

import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { test } from "node:test";

import { parseHTML } from "linkedom";

import { joinQuantity, readHash, writeHash } from "../../docs/assets/js/hash.mjs";
import { button, el, field } from "../../docs/assets/js/job-dom.mjs";
import { manifestOf } from "../../docs/assets/js/scorm-package.mjs";

const HOSTILE = JSON.parse(readFileSync(new URL("../data/hostile.json", import.meta.url), "utf8"));
const MODULES = new URL("../../docs/assets/js/", import.meta.url);

/**
 * Where HTML is made from a text. Each takes what the engine built, which escapes every text; what is
 * read back from a page was built so before. A new place has to be looked at, and then named here.
 */
const SINKS = {
  "fault-drill.mjs": ["outerHTML", "innerHTML", "innerHTML", "innerHTML", "innerHTML"],
  "morph.mjs": ["innerHTML"],
  "practice.mjs": ["innerHTML"],
  "trainer-parts.mjs": ["innerHTML"],
};
const SINK =
  /\b(?:innerHTML|outerHTML|insertAdjacentHTML|setHTMLUnsafe|createContextualFragment|DOMParser|srcdoc)\b|\bdocument\.write(?:ln)?\b|\beval\(|\bnew Function\b|\b(?:setTimeout|setInterval)\(\s*["'`]/g;

test("HTML is made from texts at the places that are named, and nowhere else", () => {
  const found = {};
  for (const name of readdirSync(MODULES).filter((file) => /\.m?js$/.test(file))) {
    const code = readFileSync(new URL(name, MODULES), "utf8").replace(/\/\*[^]*?\*\/|^\s*\/\/.*$/gm, "");
    const sinks = code.match(SINK);
    if (sinks) found[name] = sinks;
  }
  assert.deepEqual(found, SINKS);
});

test("no module speaks to another window, sets a cookie or opens a line of its own", () => {
  for (const name of readdirSync(MODULES).filter((file) => /\.m?js$/.test(file))) {
    const text = readFileSync(new URL(name, MODULES), "utf8");
    // The search's worker takes in the theme's, from the folder beside it.
    const own = name === "search-later.js" && "importScripts(new URL(`../javascripts/workers/";
    if (own) assert.equal(text.split("importScripts").length, text.split(own).length);
    const code = own ? text.replace(own, "") : text;
    assert.doesNotMatch(
      code,
      /\bdocument\.cookie\b|\bsendBeacon\b|\bWebSocket\b|\bEventSource\b|\bXMLHttpRequest\b|\bRTCPeerConnection\b|\bimportScripts\b|\bwindow\.open\b/,
      name,
    );
  }
});

test("a text becomes a text of an element, or the value of an attribute", () => {
  const { document } = parseHTML("<!doctype html><html><body></body></html>");
  globalThis.document = document;
  for (const text of HOSTILE) {
    const made = el("p", { title: text, "data-key": text }, text, el("b", {}, text), button(text, text));
    assert.equal(made.getAttribute("title"), text);
    assert.equal(made.firstChild.nodeType, 3);
    assert.equal(made.firstChild.textContent, text);
    assert.deepEqual(
      [...made.querySelectorAll("*")].map((element) => element.localName),
      ["b", "button"],
    );
    const labelled = field("an-id", text, el("input", { value: text }), text);
    assert.deepEqual(
      [...labelled.querySelectorAll("*")].map((element) => element.localName),
      text === "" ? ["label", "input"] : ["label", "input", "p"],
    );
  }
});

test("a link with any text in it is read as it was written, or not at all", () => {
  for (const text of HOSTILE) {
    const entry = { calculator: "pre-charge", system: "si", inputs: { height: text } };
    let link;
    try {
      link = writeHash(entry);
    } catch (error) {
      // Half a letter has no place in an address.
      assert.ok(error instanceof URIError, text);
      continue;
    }
    assert.match(link, /^#pre-charge\?/);
    assert.doesNotMatch(link, /[<>"\s]/, "nothing in an address ends it or an attribute");
    const back = readHash(link);
    if (back?.inputs?.height !== undefined) assert.equal(back.inputs.height, text);
  }
});

test("an address that nobody wrote is read without harm", () => {
  for (const text of HOSTILE) {
    for (const address of [`#${text}`, `#pre-charge?${text}`, `#pre-charge?height=${text}`, `#?=&${text}`]) {
      const found = readHash(address);
      assert.equal(Object.getPrototypeOf({}).height, undefined);
      assert.ok(found === null || typeof found === "object");
      assert.equal({}.polluted, undefined);
    }
  }
  const found = readHash("#pre-charge?__proto__=polluted&constructor=x");
  assert.equal({}.polluted, undefined);
  assert.ok(found === null || Object.getPrototypeOf(found.inputs ?? {}) !== "polluted");
});

test("the title of a course stays a title in its manifest", () => {
  for (const title of HOSTILE) {
    const made = manifestOf({ id: "0123", title, pass: 60, files: ["a.html"] });
    const names = [...made.matchAll(/<\/?([a-z:?!]+)/gi)].map(([, name]) => name);
    const plain = manifestOf({ id: "0123", title: "Work", pass: 60, files: ["a.html"] });
    assert.deepEqual(
      names,
      [...plain.matchAll(/<\/?([a-z:?!]+)/gi)].map(([, name]) => name),
      title.slice(0, 60),
    );
    assert.doesNotMatch(made, /[\u0000-\u0008\u000b\u000c\u000e-\u001f\ufffe\uffff]/);
  }
});

test("a quantity joins what was typed, whatever it is", () => {
  for (const text of HOSTILE) assert.equal(typeof joinQuantity({ value: text, unit: text, pm: "" }), "string");
});

import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";

const css = readFileSync(new URL("../../docs/assets/css/handbook.css", import.meta.url), "utf8");

function tokens(selector) {
  const start = css.indexOf(selector);
  assert.ok(start >= 0, `no block ${selector}`);
  const block = css.slice(css.indexOf("{", start) + 1, css.indexOf("}", start));
  return Object.fromEntries(
    [...block.matchAll(/--hb-([a-z0-9-]+):\s*(#[0-9a-f]{6})/g)].map(([, name, value]) => [name, value]),
  );
}

/** Relative luminance and contrast as WCAG 2.2 defines them. */
function luminance(colour) {
  const [r, g, b] = [1, 3, 5].map((at) => {
    const part = parseInt(colour.slice(at, at + 2), 16) / 255;
    return part <= 0.04045 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(one, other) {
  const [high, low] = [luminance(one), luminance(other)].sort((a, b) => b - a);
  return (high + 0.05) / (low + 0.05);
}

test("the contrast formula gives the published ends and middle", () => {
  assert.equal(contrast("#000000", "#ffffff"), 21);
  assert.equal(contrast("#777777", "#777777"), 1);
  // The usual example of a grey that just fails on white.
  assert.ok(Math.abs(contrast("#777777", "#ffffff") - 4.48) < 0.005);
});

const TEXT = [
  ["ink", ["paper", "panel", "field", "stop-tint", "care-tint", "good-tint"]],
  ["ink-2", ["paper", "panel", "field", "stop-tint", "care-tint", "good-tint"]],
  ["link", ["paper", "panel", "stop-tint", "care-tint"]],
  ["brass", ["paper", "panel"]],
  ["on-slate", ["slate"]],
  ["on-slate-2", ["slate"]],
  ["reading", ["slate"]],
  ["on-brass", ["brass-fill"]],
  ["on-stop", ["stop-fill"]],
  ["stop", ["paper", "panel", "stop-tint"]],
  ["care", ["paper", "panel", "care-tint"]],
  ["good", ["paper", "panel", "good-tint"]],
  ["paper", ["good", "care", "stop"]],
];
// Edges of controls and the lines of charts: 3:1 is asked of them.
const SHAPES = [
  ["edge", ["paper", "panel", "field"]],
  ["series-1", ["paper"]],
  ["series-2", ["paper"]],
  ["series-3", ["paper"]],
  ["series-4", ["paper"]],
  ["stop", ["paper"]],
  ["water", ["gas", "paper"]],
  ["ink", ["water", "gas"]],
];

const SCHEMES = { light: '[data-md-color-scheme="default"]', dark: '[data-md-color-scheme="slate"]' };
for (const [scheme, selector] of Object.entries(SCHEMES)) {
  const colours = tokens(selector);
  for (const [pairs, least] of [
    [TEXT, 4.5],
    [SHAPES, 3],
  ]) {
    for (const [front, backs] of pairs) {
      for (const back of backs) {
        test(`${scheme}: ${front} on ${back} reaches ${least}`, () => {
          const found = contrast(colours[front], colours[back]);
          assert.ok(found >= least, `${found.toFixed(2)}`);
        });
      }
    }
  }
}

test("light and dark name the same colours", () => {
  const [light, dark] = Object.values(SCHEMES).map((selector) => Object.keys(tokens(selector)));
  assert.deepEqual(light, dark);
});

import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";

import { parseHTML } from "linkedom";

import { chosenScheme, offerSchemes } from "../../docs/assets/js/scheme.mjs";

const PAGE = `<html><head>
  <meta name="theme-color" media="(prefers-color-scheme: light)" content="#1">
  <meta name="theme-color" media="(prefers-color-scheme: dark)" content="#2"></head>
  <body data-md-color-scheme="default"><button class="hb-scheme" hidden>
  <span data-choice="device"></span><span data-choice="light"></span><span data-choice="dark"></span>
  </button></body></html>`;

const refuses = () => {
  throw new Error("SecurityError");
};
let device;
let kept;
let heard;

beforeEach(() => {
  const { document, window } = parseHTML(PAGE);
  kept = new Map();
  heard = {};
  device = { matches: false, addEventListener: (_, act) => (device.change = act) };
  Object.assign(globalThis, {
    document,
    matchMedia: () => device,
    requestAnimationFrame: (act) => act(),
    addEventListener: (name, act) => (heard[name] = act),
  });
  Object.defineProperty(globalThis, "localStorage", {
    configurable: true,
    get: () => ({
      getItem: (key) => kept.get(key) ?? null,
      setItem: (key, value) => kept.set(key, value),
      removeItem: (key) => kept.delete(key),
    }),
  });
  globalThis.Event = window.Event;
});

const shown = () => ({
  body: document.body.getAttribute("data-md-color-scheme"),
  html: document.documentElement.dataset.scheme,
  says: document.querySelector(".hb-scheme").getAttribute("aria-label"),
  icons: [...document.querySelectorAll("[data-choice]")].filter((one) => !one.hidden).map((one) => one.dataset.choice),
  bars: [...document.querySelectorAll("meta")].map((one) => one.getAttribute("media")),
});
const press = () => document.querySelector(".hb-scheme").dispatchEvent(new Event("click"));

test("the device is followed until the reader chooses, and again afterwards", () => {
  offerSchemes();
  assert.equal(shown().body, "default");
  device.matches = true;
  device.change();
  assert.equal(shown().body, "slate");
  assert.deepEqual(shown().bars, ["(prefers-color-scheme: light)", "(prefers-color-scheme: dark)"]);
  press();
  assert.deepEqual(shown(), {
    body: "default",
    html: "light",
    says: "Colours: light. Change",
    icons: ["light"],
    bars: ["all", "not all"],
  });
  device.change();
  assert.equal(shown().body, "default");
  press();
  assert.deepEqual(shown().bars, ["not all", "all"]);
  assert.equal(kept.get("handbook.scheme"), "dark");
  press();
  assert.equal(kept.has("handbook.scheme"), false);
  assert.deepEqual(shown().icons, ["device"]);
});

test("another tab's choice is taken up", () => {
  offerSchemes();
  kept.set("handbook.scheme", "dark");
  heard.storage({ key: "handbook.job" });
  assert.equal(shown().body, "default");
  heard.storage({ key: "handbook.scheme" });
  assert.equal(shown().body, "slate");
});

test("a browser that keeps nothing still shows and changes colours", () => {
  Object.defineProperty(globalThis, "localStorage", { configurable: true, get: refuses });
  offerSchemes();
  press();
  press();
  assert.equal(shown().body, "slate");
});

test("what is no choice counts as none", () => {
  assert.equal(chosenScheme(() => ({ getItem: () => "purple" })), "device");
  assert.equal(chosenScheme(() => ({ getItem: () => null })), "device");
  assert.equal(chosenScheme(refuses), "device");
});

/**
 * A page with the elements of training on it, without a browser: what linkedom lacks, and an engine
 * that answers as it is told. Nothing here stands for the code that is tested.
 */
import "fake-indexeddb/auto";
import { openDB } from "idb";
import * as dom from "linkedom";

import { Shelf } from "./job-tabs.mjs";

export const { window, document } = dom.parseHTML("<!doctype html><html><body></body></html>");
for (const name of ["HTMLElement", "Element", "customElements"]) globalThis[name] = window[name];
globalThis.document = document;
globalThis.CustomEvent = window.CustomEvent;
globalThis.CSS = { escape: (text) => text.replaceAll('"', '\\"') };
globalThis.location = { hash: "", pathname: "/practice/", search: "" };
globalThis.history = {
  state: null,
  replaceState(_state, _title, address) {
    const at = address.indexOf("#");
    globalThis.location.hash = at < 0 ? "" : address.slice(at);
  },
};
const heard = new EventTarget();
globalThis.addEventListener = heard.addEventListener.bind(heard);
globalThis.dispatchEvent = heard.dispatchEvent.bind(heard);
export const local = new Shelf();
globalThis.localStorage = local;
let focused = null;
Object.defineProperty(document, "activeElement", { configurable: true, get: () => focused });
window.HTMLElement.prototype.focus = function focus() {
  focused = this;
};
window.HTMLElement.prototype.scrollIntoView = () => undefined;
for (const name of ["select", "input"]) {
  Object.defineProperty(Object.getPrototypeOf(document.createElement(name)), "value", {
    configurable: true,
    get() {
      return this.typed ?? this.getAttribute("value") ?? "";
    },
    set(value) {
      this.typed = value;
    },
  });
}

const { TrainingStore } = await import("../../docs/assets/js/training-store.mjs");
let devices = 0;

/** A store on a device of its own. */
export function freshStore(options = {}) {
  devices += 1;
  return new TrainingStore({ openDB, name: `device ${devices}`, local: () => local, channel: () => null, ...options });
}

/** An engine that says what its replies say, by the name of what it is asked. */
export class FakeEngine {
  state = "ready";
  asked = [];
  constructor(replies = {}) {
    this.replies = { ...PROBLEMS, ...replies };
  }
  async ask(request) {
    this.asked.push(structuredClone(request));
    const reply = this.replies[request.op];
    if (reply === undefined) throw new Error(`nobody answers ${request.op}`);
    return structuredClone(await (typeof reply === "function" ? reply(request) : reply));
  }
  of(op) {
    return this.asked.filter((request) => request.op === op);
  }
}

export const LIST = {
  families: [
    { id: "pre-charge", title: "Pre-charge", levels: [{ id: "first", title: "First" }, { id: "usual", title: "Usual" }] },
    { id: "vessel-size", title: "Vessel size", levels: [{ id: "first", title: "First" }] },
  ],
  mistakes: [{ id: "gauge-for-absolute", title: "Gauge for absolute", page: "../mistakes/#gauge" }],
};

/** Two parts; each is right if 1 was typed and can be read if it is a number. */
const PROBLEMS = {
  "problem-list": LIST,
  "problem-set": ({ problem, prefix }) => ({
    html:
      `<form><p>Number ${problem.seed}, ${problem.system}</p>` +
      ["charge", "volume"]
        .map(
          (name) =>
            `<div data-part="${name}"><label for="${prefix}-${name}">${name}</label>` +
            `<input id="${prefix}-${name}" name="${name}" aria-describedby="${prefix}-${name}-error">` +
            `<select name="${name}.unit"><option value="">unit</option><option value="bar">bar</option></select>` +
            `<p id="${prefix}-${name}-error" data-error-for="${name}" hidden></p></div>`,
        )
        .join("") +
      "</form>",
  }),
  "problem-mark": ({ answers }) => {
    const parts = ["charge", "volume"].map((name) => {
      const { value = "", unit = "" } = answers[name] ?? {};
      const readable = value === "" || /^\d+$/.test(value);
      const right = value === "1" && unit === "bar";
      const state = value === "" ? "blank" : !readable ? "unreadable" : right ? "right" : "mistake";
      return {
        name,
        state,
        points: right ? 3 : 0,
        most: 3,
        message: readable ? "" : `“${value}” is no number.`,
        mistake: state === "mistake" ? "gauge-for-absolute" : "",
      };
    });
    return {
      marks: { parts, points: parts.reduce((sum, { points }) => sum + points, 0), most: 6 },
      html: "<ul><li>What was marked</li></ul>",
    };
  },
  "problem-working": () => ({ html: "<p>How it is worked out</p>" }),
};

const pause = (milliseconds) => new Promise((done) => setTimeout(done, milliseconds));

/** Wait until the page has come to rest: what it waits for are timers and the database. */
export async function settled() {
  let before = null;
  let calm = 0;
  for (let n = 0; n < 200 && calm < 5; n += 1) {
    await pause(10);
    const now = document.body.innerHTML;
    calm = now === before ? calm + 1 : 0;
    before = now;
  }
}

/** Wait until something is so. */
export async function until(seen) {
  for (let n = 0; n < 400; n += 1) {
    if (await seen()) return;
    await pause(10);
  }
  throw new Error(`it did not come: ${seen}`);
}

/** What a reader does on an element. */
export class Reader {
  constructor(element) {
    this.element = element;
  }
  find(selector) {
    return this.element.querySelector(selector);
  }
  all(selector) {
    return [...this.element.querySelectorAll(selector)];
  }
  text(selector) {
    return this.find(selector)?.textContent ?? null;
  }
  type(name, value) {
    const control = this.all("[name]").find((each) => each.getAttribute("name") === name);
    control.value = value;
    control.dispatchEvent(new window.Event("input", { bubbles: true }));
  }
  async press(selector) {
    const button = this.find(selector);
    if (!button) throw new Error(`no ${selector} in ${this.element.innerHTML}`);
    button.dispatchEvent(new window.Event("click", { bubbles: true }));
    await settled();
  }
  async submit(selector) {
    this.find(selector).dispatchEvent(new window.Event("submit", { bubbles: true, cancelable: true }));
    await settled();
  }
  get focused() {
    return focused;
  }
}

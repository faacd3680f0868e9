import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { test } from "node:test";

import { unzipSync, strFromU8 } from "fflate";
import { DOMParser, parseHTML } from "linkedom";
import { Scorm12API } from "scorm-again/scorm12";

import {
  apiOf,
  CourseSession,
  courseSystem,
  LONGEST_SUSPEND,
  timespan,
} from "../../docs/assets/js/scorm-api.mjs";
import { coursePage, packageOf, PackageError } from "../../docs/assets/js/scorm-package.mjs";
import { progressFrom, suspended } from "../../docs/assets/js/scorm-progress.mjs";

/** The pinned open runtime, quiet, and a trainee who has come for the first time. */
function runtime(core = {}) {
  const api = new Scorm12API({ autocommit: false, logLevel: "NONE", mastery_override: false });
  api.cmi.core.student_name = "Rivera, Sam";
  Object.assign(api.cmi.core, core);
  return api;
}

const standing = (change) => ({ percent: 80, most: 12, passed: true, finished: true, ...change });

// ---- the interface is found by the published walk

const api = { LMSInitialize: () => "true" };

test("the interface is found in the window and around it", () => {
  const top = { API: api };
  top.parent = top;
  const middle = { parent: top };
  assert.equal(apiOf({ parent: middle }), api);
  assert.equal(apiOf(top), api);
});

test("the interface is found around the opener, and nowhere is told as null", () => {
  const other = { API: api };
  other.parent = other;
  const alone = { opener: { parent: other } };
  alone.parent = alone;
  assert.equal(apiOf(alone), api);
  alone.opener = null;
  assert.equal(apiOf(alone), null);
});

test("a window of another origin is passed by", () => {
  const top = { API: api };
  top.parent = top;
  const closed = {
    get API() {
      throw new Error("of another origin");
    },
    parent: top,
  };
  assert.equal(apiOf({ parent: closed }), api);
});

// ---- a sitting, on the open runtime

test("a sitting begins as incomplete and takes the trainee's name", () => {
  const lms = runtime();
  const session = new CourseSession(lms);
  assert.ok(session.begin());
  assert.equal(session.trainee, "Rivera, Sam");
  assert.equal(lms.lmsGetValue("cmi.core.lesson_status"), "incomplete");
  assert.equal(session.trouble, "");
});

for (const [change, status, raw] of [
  [{}, "passed", "80"],
  [{ percent: 40, passed: false }, "failed", "40"],
  [{ finished: false, percent: 33.333333 }, "incomplete", "33.33"],
  [{ most: 0, percent: 0 }, "completed", ""],
]) {
  test(`work that is ${status} is reported so`, () => {
    const lms = runtime();
    const session = new CourseSession(lms);
    session.begin();
    session.report(standing(change));
    assert.equal(session.trouble, "");
    assert.equal(lms.lmsGetValue("cmi.core.lesson_status"), status);
    assert.equal(lms.lmsGetValue("cmi.core.score.raw"), raw);
    if (raw) {
      assert.equal(lms.lmsGetValue("cmi.core.score.min"), "0");
      assert.equal(lms.lmsGetValue("cmi.core.score.max"), "100");
    }
  });
}

test("what was passed does not become incomplete when it is opened again", () => {
  const lms = runtime({ lesson_status: "passed" });
  const session = new CourseSession(lms);
  session.begin();
  session.report(standing({ finished: false }));
  assert.equal(lms.lmsGetValue("cmi.core.lesson_status"), "passed");
});

test("a course that is only looked at reports nothing", () => {
  const lms = runtime({ lesson_status: "failed", lesson_mode: "review" });
  const session = new CourseSession(lms);
  session.begin();
  session.report(standing({}));
  assert.equal(session.keep("x", 0), false);
  assert.equal(lms.lmsGetValue("cmi.core.lesson_status"), "failed");
});

test("time, place and progress are left with the course system", () => {
  const lms = runtime();
  let clock = 5000;
  const session = new CourseSession(lms, () => clock);
  session.begin();
  let time = "";
  lms.on("LMSSetValue.cmi.core.session_time", (_, value) => (time = value));
  assert.ok(session.keep("abc", 2));
  clock += 3_723_450;
  session.end();
  assert.equal(session.trouble, "");
  assert.ok(lms.isTerminated());
  const { core, suspend_data: left } = lms.renderCMIToJSONObject().cmi;
  assert.equal(left, "abc");
  assert.equal(core.lesson_location, "3");
  assert.equal(core.exit, "suspend");
  assert.equal(time, "0001:02:03.45");
  session.end(); // a second time is nothing
  assert.equal(session.trouble, "");
});

test("spans of time have the form of the standard", () => {
  assert.equal(timespan(0), "0000:00:00.00");
  assert.equal(timespan(-5), "0000:00:00.00");
  assert.equal(timespan(36_000_000), "0010:00:00.00");
  assert.match(timespan(1e15), /^\d{4}:[0-5]\d:[0-5]\d\.\d\d$/);
});

test("progress that is too long is not sent, and that is told", () => {
  const lms = runtime();
  const session = new CourseSession(lms);
  session.begin();
  assert.ok(session.keep("x".repeat(LONGEST_SUSPEND), 0));
  assert.equal(session.keep("y".repeat(LONGEST_SUSPEND + 1), 0), false);
  assert.match(session.trouble, /too long for the course system/);
  assert.equal(lms.lmsGetValue("cmi.suspend_data"), "x".repeat(LONGEST_SUSPEND));
});

test("a refusal is told in a sentence with the course system's own words", () => {
  const lms = runtime();
  const session = new CourseSession(lms);
  session.begin();
  let told = 0;
  session.addEventListener("trouble", () => (told += 1));
  lms.reset(); // as when the course system has lost the sitting
  session.report(standing({}));
  assert.match(session.trouble, /^The course system .+error 30[0-9].*Work on; at the end save/);
  assert.ok(told > 0);
});

for (const [name, broken] of [
  ["throws", { LMSInitialize: () => { throw new Error("out of order"); } }],
  ["says false", { LMSInitialize: () => "false", LMSGetLastError: () => 101, LMSGetErrorString: () => "General exception" }],
]) {
  test(`a course system that ${name} at the start is told and takes no part`, () => {
    const session = new CourseSession({ LMSGetValue: () => "", ...broken });
    assert.equal(session.begin(), false);
    assert.match(session.trouble, /did not begin \((error 101, General exception|out of order)\)/);
    session.report(standing({}));
    assert.equal(session.keep("x", 1), false);
    session.end();
  });
}

test("a page finds the sitting of the page around it, and null outside a course", () => {
  const session = {};
  assert.equal(courseSystem({ parent: { courseSession: session } }), session);
  assert.equal(courseSystem({ parent: {} }), null);
});

// ---- progress as a short text

const problem = (seed) => ({ family: "pre-charge", level: "usual", seed, system: "us" });

function work(attempts = []) {
  return {
    id: "0123456789abcdef",
    assignment: { id: "fedcba9876543210", items: [{ kind: "problems" }, { kind: "drill" }] },
    trainee: "Rivera, Sam",
    began: "2026-05-14T08:05:12+02:00",
    ended: "",
    changed: "2026-05-14T08:45:00+02:00",
    saved: "",
    tasks: [[problem(1), problem(2)], [{ id: "lost-pressure", seed: 7, system: "us" }]],
    words: ["Solve 2 problems", "Play a drill"],
    place: 1,
    items: [
      { kind: "problems", done: true, attempts, closed: [1], visited: false },
      {
        kind: "drill",
        done: false,
        attempts: [
          {
            drill: { id: "lost-pressure", seed: 7, system: "us" },
            actions: [{ do: "read-gauge", values: {} }],
            diagnosis: null,
            at: "2026-05-14T08:40:00+02:00",
          },
        ],
        closed: [],
        visited: false,
      },
    ],
  };
}

const attempt = (seed, value) => ({
  problem: problem(seed),
  answers: { pressure: { value, unit: "psi" } },
  at: "2026-05-14T08:15:12+02:00",
});

test("progress comes back as it was", async () => {
  const before = work([attempt(1, "12.5"), attempt(2, "11"), attempt(9, "a problem of another set")]);
  const text = await suspended(before);
  assert.ok(text.length < 600, `${text.length} characters`);
  const fresh = { ...work(), id: "aaaaaaaaaaaaaaaa", began: "", changed: "", place: 0 };
  assert.deepEqual(await progressFrom(text, fresh), before);
});

test("the longest usual assignment fits into what a course system keeps", async () => {
  const many = work();
  const tasks = Array.from({ length: 60 }, (_, index) => problem(index * 7919));
  many.tasks[0] = tasks;
  many.items[0].attempts = tasks.map(({ seed }, index) => ({
    ...attempt(seed, String(10 + ((index * 37) % 900) / 10)),
    at: `2026-05-14T08:${String(index).padStart(2, "0")}:12+02:00`,
  }));
  const text = await suspended(many);
  assert.ok(text.length <= LONGEST_SUSPEND, `${text.length} characters`);
});

for (const kept of ["", "nonsense!", "AAAA", "eJwDAAAAAAE"]) {
  test(`a kept text that tells nothing is no progress: "${kept}"`, async () => {
    assert.equal(await progressFrom(kept, work()), null);
  });
}

test("progress of another assignment is not taken", async () => {
  const text = await suspended(work());
  const other = work();
  for (const list of [other.assignment.items, other.tasks, other.items, other.words]) list.pop();
  assert.equal(await progressFrom(text, other), null);
});

// ---- the package

const PAGE = `<!doctype html><html lang="en"><head><link rel="manifest" href="../manifest.webmanifest"></head>
<body><a href="../practice/#how">p</a><a class="x" href="..">home</a><a href=".">self</a><a href="#here">h</a>
<a href="https://example.org/x/">out</a><a href="../sheet.html?h=1">file</a>
<aside class="hb-offline" aria-label="Offline copy"><offline-state>x</offline-state></aside>
<script src="../assets/js/handbook.js" type="module"></script></body></html>`;

const FILES = {
  "index.html": PAGE.replaceAll("../", ""),
  "assignment/index.html": PAGE,
  "assets/js/handbook.js": 'import "./engine.js";\n',
  "assets/js/engine.js": "export {};\n",
  "assets/engine/snapshot.pack": "packed already",
  "404.html": PAGE,
  "manifest.webmanifest": "{}",
};

const course = (change = {}) => ({
  text: '{"format":"cold-fill-assignment"}',
  title: 'Pre-charge & "fill" <first>',
  pass: 70,
  zipper: () => import("fflate"),
  fetchFile: async (path) => {
    if (path === "assets/files.json") return Response.json({ files: Object.keys(FILES) });
    return path in FILES ? new Response(FILES[path]) : new Response("", { status: 404 });
  },
  ...change,
});

async function unpackedCourse(change) {
  const blob = await packageOf(course(change));
  assert.equal(blob.type, "application/zip");
  return unzipSync(new Uint8Array(await blob.arrayBuffer()));
}

test("links of a page name files, and the page knows that it is in a course", () => {
  const html = coursePage(PAGE);
  const { document } = parseHTML(html);
  assert.deepEqual(
    [...document.querySelectorAll("a")].map((link) => link.getAttribute("href")),
    [
      "../practice/index.html#how",
      "../index.html",
      "./index.html",
      "#here",
      "https://example.org/x/",
      "../sheet.html?h=1",
    ],
  );
  assert.ok(document.documentElement.hasAttribute("data-course"));
  assert.equal(document.querySelector("link[rel=manifest], offline-state, .hb-offline"), null);
  const scripts = [...document.querySelectorAll("script")].map((each) => each.getAttribute("src"));
  assert.deepEqual(scripts, ["../assets/js/scorm-page.js", "../assets/js/handbook.js"]);
});

test("the manifest lists every file of the package but itself, and each is there", async () => {
  const files = await unpackedCourse();
  const text = strFromU8(files["imsmanifest.xml"]);
  const manifest = new DOMParser().parseFromString(text, "text/xml");
  const listed = [...manifest.querySelectorAll("file")].map((file) => file.getAttribute("href"));
  const others = Object.keys(files).filter((name) => name !== "imsmanifest.xml");
  assert.deepEqual(listed.sort(), others.sort());
  assert.equal(manifest.querySelectorAll("item").length, 1);
  const resource = manifest.querySelector("resource");
  assert.equal(resource.getAttribute("adlcp:scormtype"), "sco");
  assert.equal(resource.getAttribute("href"), "course.html");
  assert.ok(listed.includes("course.html"));
  assert.match(text, /<schemaversion>1\.2<\/schemaversion>/);
  assert.match(text, /<adlcp:masteryscore>70<\/adlcp:masteryscore>/);
  assert.match(text, /<title>Pre-charge &amp; &quot;fill&quot; &lt;first&gt;<\/title>/);
});

test("the page around the course has a policy that lets in its own script and style alone", async () => {
  const html = strFromU8((await unpackedCourse())["course.html"]);
  const page = new DOMParser().parseFromString(html, "text/html");
  const policy = page.querySelector("meta[http-equiv=Content-Security-Policy]");
  const allowed = Object.fromEntries(
    policy.content.split("; ").map((part) => [part.split(" ")[0], part.split(" ").slice(1)]),
  );
  const styles = [...page.querySelectorAll("style")].map(
    (style) => `'sha256-${createHash("sha256").update(style.textContent).digest("base64")}'`,
  );
  assert.deepEqual(allowed, {
    "default-src": ["'none'"],
    "script-src": ["'self'"],
    "style-src": styles,
    "img-src": ["'self'"],
    "frame-src": ["'self'"],
    "base-uri": ["'none'"],
    "form-action": ["'none'"],
  });
  assert.equal(page.querySelectorAll("script:not([src]), [style]").length, 0);
  // It has to stand before whatever it rules.
  assert.ok(html.indexOf("Content-Security-Policy") < html.indexOf("<style"));
});

test("the package holds the assignment, the scripts and nothing that a course has no use for", async () => {
  const files = await unpackedCourse();
  assert.equal(strFromU8(files["course/assignment.json"]), '{"format":"cold-fill-assignment"}');
  assert.equal(strFromU8(files["assets/js/handbook.js"]), 'import "./engine.js";\n');
  assert.deepEqual(Object.keys(files).filter((name) => /^404|webmanifest|^sw/.test(name)), []);
  assert.equal(strFromU8(files["assets/engine/snapshot.pack"]), "packed already");
});

test("the same assignment gives the same bytes", async () => {
  const [one, two] = await Promise.all([packageOf(course()), packageOf(course())]);
  assert.deepEqual(new Uint8Array(await one.arrayBuffer()), new Uint8Array(await two.arrayBuffer()));
});

test("a file that cannot be had is told, and there is no package", async () => {
  const broken = course({
    fetchFile: async (path) =>
      path === "assets/files.json"
        ? Response.json({ files: ["missing.css"] })
        : new Response("", { status: 404 }),
  });
  await assert.rejects(packageOf(broken), (error) => {
    return error instanceof PackageError && /missing\.css.+could not be fetched/.test(error.message);
  });
  await assert.rejects(packageOf(course({ pass: 101 })), PackageError);
});

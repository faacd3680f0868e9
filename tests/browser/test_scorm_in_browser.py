"""A course package in a course system: the work is done to the end, and the score arrives.

The course system is a page with the pinned open runtime, served from a folder of its own. Its
server is as plain as such servers are: it serves files only, and no folder has a page.
"""

import hashlib
import json
import shutil
import subprocess
import threading
import time
import zipfile
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest
from conftest import ROOT, SITE

import view

pytestmark = pytest.mark.browser

LIMIT = 90
COURSE = "/some/deep/folder/content/42/"
RUNTIME = ROOT / "node_modules/scorm-again/dist/scorm12.min.js"
# As many course systems have it: what is not in this list comes as a file without a kind.
KINDS = {
    ".css": "text/css",
    ".html": "text/html",
    ".js": "application/x-javascript",
    ".json": "application/json",
    ".svg": "image/svg+xml",
    ".xml": "text/xml",
    ".png": "image/png",
}
LMS = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Course system</title>
<style>html,body,iframe{margin:0;width:100%;height:100%;border:0}</style>
<script src="/lms/runtime.js"></script><script>
const kept = JSON.parse(localStorage.getItem("kept") ?? "{}");
window.API = new Scorm12API({ autocommit: false, logLevel: 5, mastery_override: false });
API.loadFromJSON({ core: { student_id: "17", student_name: "Rivera, Sam", ...kept.core },
  suspend_data: kept.suspend_data ?? "" });
window.calls = [];
API.on("LMSSetValue.*", (name, value) => calls.push([name, value]));
const keep = () => {
  const { core, suspend_data } = API.renderCMIToJSONObject().cmi;
  const { lesson_status, lesson_location } = core;
  localStorage.setItem("kept", JSON.stringify({
    core: { lesson_status, lesson_location, score: core.score }, suspend_data }));
};
API.on("LMSCommit", keep);
API.on("LMSFinish", () => {
  localStorage.setItem("finished", String(Number(localStorage.getItem("finished") ?? 0) + 1));
});
</script></head><body><iframe title="Course" src="COURSEcourse.html"></iframe></body></html>
""".replace("COURSE", COURSE)


class CourseSystem:
    """Serves the unpacked package, and the page of the course system around it."""

    def __init__(self, folder: Path) -> None:
        asked = self.missing = []

        class Handler(BaseHTTPRequestHandler):
            def do_GET(self):
                path = unquote(urlsplit(self.path).path)
                kind, content = "text/html", None
                if path == "/lms/":
                    content = LMS.encode()
                elif path == "/lms/runtime.js":
                    kind, content = KINDS[".js"], RUNTIME.read_bytes()
                elif path.startswith(COURSE):
                    file = folder / path.removeprefix(COURSE)
                    kind = KINDS.get(file.suffix, "application/octet-stream")
                    content = file.read_bytes() if file.is_file() else None
                if content is None:
                    asked.append(path)
                    self.send_error(404)
                    return
                self.send_response(200)
                self.send_header("Content-Type", kind)
                self.send_header("Content-Length", str(len(content)))
                self.end_headers()
                self.wfile.write(content)

            def log_message(self, format, *args):
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
        self.server.daemon_threads = True
        threading.Thread(target=self.server.serve_forever, daemon=True).start()
        self.base = f"http://127.0.0.1:{self.server.server_address[1]}"

    def close(self) -> None:
        self.server.shutdown()
        self.server.server_close()


def ask(**request):
    answer = json.loads(view.respond(json.dumps(request)))
    assert "errors" not in answer, answer
    return answer


ASSIGNMENT = {
    "id": "0123456789abcdef",
    "title": "Charge it right",
    "system": "us",
    "seed": 7,
    "pass": 60,
    "items": [
        {"kind": "page", "page": "set-the-pre-charge"},
        {"kind": "problems", "family": "pre-charge", "level": "first", "count": 1},
    ],
}


@pytest.fixture(scope="module")
def course_text():
    return ask(op="course-write", assignment=ASSIGNMENT)["text"]


@pytest.fixture(scope="module")
def package(course_text, tmp_path_factory):
    target = tmp_path_factory.mktemp("course") / "course.zip"
    task = {"text": course_text, "title": ASSIGNMENT["title"], "pass": ASSIGNMENT["pass"]}
    done = subprocess.run(
        [shutil.which("node"), ROOT / "tests/browser/make_course.mjs", SITE, target],
        input=json.dumps(task),
        text=True,
        capture_output=True,
        cwd=ROOT,
    )
    assert done.returncode == 0, done.stderr[-3000:]
    return target


@pytest.fixture
def lms(package, tmp_path):
    with zipfile.ZipFile(package) as archive:
        archive.extractall(tmp_path)
    running = CourseSystem(tmp_path)
    yield running
    running.close()


class Sitting:
    """What a trainee does in the course's frame."""

    def __init__(self, browser, lms) -> None:
        self.browser, self.lms = browser, lms

    def open(self):
        self.browser.open("about:blank")
        self.browser.open(f"{self.lms.base}/lms/")

    def js(self, body: str):
        return self.browser.eval_js(
            "const outer = document.querySelector('iframe')?.contentDocument;"
            "const frame = outer?.querySelector('iframe');"
            "const win = frame?.contentWindow; const doc = frame?.contentDocument;"
            "const $ = (s) => doc?.querySelector(s);" + body
        )

    def wait(self, expression: str):
        end = time.monotonic() + LIMIT
        while time.monotonic() < end:
            if self.js(f"return !!({expression})"):
                return
            time.sleep(0.2)
        text = self.js("return (doc?.body?.innerText ?? 'no page').slice(0, 1500)")
        raise AssertionError(f"not true in time: {expression}; missing: {self.lms.missing}; {text}")

    def press(self, words: str):
        """Press the button of these words, once it is there."""
        button = (
            "[...(doc?.querySelectorAll('training-path button, path-bar :is(a, button)') ?? [])]"
            f".find((b) => b.textContent.trim().startsWith({json.dumps(words)}))"
        )
        self.wait(f"!!{button}")
        self.js(f"{button}.click()")

    def value(self, name: str) -> str:
        return self.js(f"return API.cmi.getFlattenedCMI?.()[{name!r}] ?? API.lmsGetValue({name!r})")


def right_answer():
    """Return the number in psi that answers the one problem of this trainee."""
    from calc.training import problem

    found = ask(op="course-problems", assignment=ASSIGNMENT, trainee="Rivera, Sam")["items"][1][0]
    posed = problem.problem(found["family"], found["level"], found["seed"], found["system"])
    [truth] = posed.truth.values()
    for shift in (0, 101_325):
        answers = {
            name: {"value": f"{(truth - shift) / 6894.757293168:.1f}", "unit": "psig"}
            for name in posed.truth
        }
        marks = ask(op="problem-mark", problem=found, answers=answers)["marks"]
        if marks["points"] == marks["most"]:
            return next(iter(answers.items()))
    raise AssertionError(f"no answer is right: {truth}")


def test_the_work_is_done_to_the_end_and_the_score_arrives(browser, lms):
    sitting = Sitting(browser, lms)
    sitting.open()
    # It opens as the course system's trainee, who types no name.
    sitting.wait("$('training-path')?.dataset.state === 'open'")
    assert "Rivera, Sam" in sitting.js("return $('training-path').textContent")
    assert sitting.value("cmi.core.lesson_status") == "incomplete"
    assert not sitting.js("return outer.querySelector('p').textContent")

    # To the page and back, with links that name files.
    sitting.js("$('training-path a[href*=set-the-pre-charge]').click()")
    sitting.wait(
        "win.location.pathname.endsWith('/set-the-pre-charge/') && $('path-bar :is(a, button)')"
    )
    sitting.js("win.visited = true")
    sitting.press("Back")
    sitting.wait("win.visited === undefined && $('training-path')?.dataset.state === 'open'")

    # The problem, answered rightly.
    name, answer = right_answer()
    if not sitting.js(f"return !!$('[name=\"{name}\"]')"):
        sitting.press("Next")
    sitting.wait(f"$('[name=\"{name}\"]')")
    sitting.js(
        f"const f = $('[name=\"{name}\"]'); f.value = {json.dumps(answer['value'])};"
        "f.dispatchEvent(new win.Event('input', { bubbles: true }));"
        f"const u = $('[name=\"{name}.unit\"]'); u.value = {json.dumps(answer['unit'])};"
        "u.dispatchEvent(new win.Event('change', { bubbles: true }))"
    )
    sitting.press("Mark my answer")
    end = time.monotonic() + LIMIT
    while sitting.value("cmi.core.lesson_status") != "passed":
        assert time.monotonic() < end, sitting.js(
            "return [window.calls, doc.body.innerText.slice(0, 2000)]"
        )
        time.sleep(0.3)
    assert float(sitting.value("cmi.core.score.raw")) == 100
    sitting.wait("JSON.parse(localStorage.getItem('kept')).suspend_data.length > 50")
    time.sleep(1.5)
    kept = sitting.js("return localStorage.getItem('kept')")
    assert len(json.loads(kept)["suspend_data"]) <= 4096

    # Leaving ends the sitting once. On another device the work is there again.
    assert sitting.js("return localStorage.getItem('finished')") is None
    browser.open(f"{lms.base}/lms/runtime.js")
    assert browser.eval_js("return localStorage.getItem('finished')") == "1"
    browser.eval_js(
        "const names = (await indexedDB.databases()).map((each) => each.name);"
        "for (const n of names) await new Promise((done) => {"
        "  const r = indexedDB.deleteDatabase(n); r.onsuccess = r.onerror = r.onblocked = done; })"
    )
    sitting.open()
    sitting.wait("$('training-path')?.dataset.state === 'open'")
    sitting.wait("/100|2 of 2|3 of 3/.test($('training-path').textContent)")
    assert sitting.value("cmi.core.lesson_status") == "passed"
    # Nothing of the package was missing, and nothing was asked for outside of it.
    assert [path for path in lms.missing if path != "/favicon.ico"] == []
    assert browser.strangers() == []
    assert (
        browser.eval_js("return (await navigator.serviceWorker?.getRegistrations?.() ?? []).length")
        == 0
    )
    browser.open("about:blank")


def test_without_a_course_system_it_says_so_and_works(browser, lms):
    browser.open("about:blank")
    browser.open(f"{lms.base}{COURSE}course.html")
    end = time.monotonic() + LIMIT
    words = (
        "const { contentDocument: page } = document.querySelector('iframe') ?? {};"
        "return page?.querySelector('training-path')?.textContent ?? ''"
    )
    while "Your name" not in (browser.eval_js(words) or ""):
        assert time.monotonic() < end, browser.eval_js(words)
        time.sleep(0.3)
    assert "No course system was found" in browser.eval_js(
        "return document.querySelector('#course-say').textContent"
    )
    browser.open("about:blank")


def test_a_page_makes_the_same_package(page, package, course_text):
    if page.browser.name != "chromium":
        pytest.skip("one browser is enough: the bytes do not depend on it")
    page.open("/assign/")
    task = {"text": course_text, "title": ASSIGNMENT["title"], "pass": ASSIGNMENT["pass"]}
    made = page.js(
        "const { packageOf } = await import('/assets/js/scorm-package.js');"
        f"const blob = await packageOf({json.dumps(task)});"
        "const sum = await crypto.subtle.digest('SHA-256', await blob.arrayBuffer());"
        "return [...new Uint8Array(sum)].map((b) => b.toString(16).padStart(2, '0')).join('')"
    )
    assert made == hashlib.sha256(package.read_bytes()).hexdigest()

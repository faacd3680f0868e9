"""Fixtures of the browser tests: the built site on its own port, and a browser for each file.

`HANDBOOK_BROWSER` chooses chromium (the default), firefox or webkitgtk. `HANDBOOK_SITE` may name
another built site than `site/`.
"""

from __future__ import annotations

import contextlib
import functools
import io
import json
import os
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pytest

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE))

from drivers import DRIVERS, ROOT, Chromium  # noqa: E402

sys.path.insert(0, str(ROOT))

from calc import __main__ as shell  # noqa: E402

SITE = Path(os.environ.get("HANDBOOK_SITE", ROOT / "site"))
NAME = os.environ.get("HANDBOOK_BROWSER", "chromium")
WHOLE = os.environ.get("HANDBOOK_WHOLE") == "1"
# What is asked of every page and every calculator is asked of these in a short run: of each kind of
# page one, and of each kind of form (plain, tables, many choices, conditions). The other browsers
# have such a run for what an engine may do in its own way: pages, answers, errors, no network.
SHORT = (
    *("/", "/glossary/", "/job/", "/practice/", "/assign/", "/reference/", "/how-checked/"),
    *("/make-safe/", "/set-the-pre-charge/", "/survey/", "/find-the-cause/"),
    *("/isolate-and-drain/", "/convert/"),
)
# A plain start on a busy machine of two cores takes its time.
START_LIMIT = 120
ANSWER_LIMIT = 15
POLL = 0.03
COPIED = "['ready', 'update'].includes(document.documentElement.dataset.offline)"


def pages() -> list[str]:
    """Return the paths of all pages, as the site map has them."""
    text = (SITE / "sitemap.xml").read_text(encoding="utf-8")
    return [urlsplit(address).path for address in re.findall(r"<loc>(.*?)</loc>", text)]


def calculators() -> dict[str, str]:
    """Return the page of each calculator, as the built pages have them."""
    found = {}
    for path in pages():
        html = (SITE / path.strip("/") / "index.html").read_text(encoding="utf-8")
        for name in re.findall(r'<live-calculator[^>]*data-calculator="([a-z-]+)"', html):
            found.setdefault(name, path)
    return found


def is_met(path: str) -> bool:
    """Return whether a page is met in this run."""
    return WHOLE or path in SHORT


def pytest_collection_modifyitems(config, items):
    if not WHOLE:
        later = [item for item in items if _waits_for_the_whole(item)]
        config.hook.pytest_deselected(items=later)
        items[:] = [item for item in items if item not in later]
    for item in items:
        if HERE in Path(item.path).parents:
            item.add_marker(pytest.mark.browser)
            if NAME != "chromium" and "chromium" in item.fixturenames:
                # Left out here and not by the fixture, before which a page would be made ready.
                item.add_marker(pytest.mark.skip("only Chromium can be told this from outside"))


def native(calculator: str, inputs: dict[str, str], system: str = "si") -> dict:
    """Return what the shell gives for the same entries."""
    entries = [f"{name}={text}" for name, text in inputs.items()]
    return json.loads(_shell("run", calculator, *entries, "--json", "--system", system))


@functools.cache
def _shell(*words: str) -> str:
    """Return what the shell's own entry prints. A process each would take half of the time."""
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        shell.main(list(words))
    assert printed.getvalue(), words
    return printed.getvalue()


def _waits_for_the_whole(item):
    """Return whether a short run leaves out a test: a long one, or one of many alike."""
    if item.get_closest_marker("long"):
        return True
    if NAME != "chromium" and not item.get_closest_marker("each_engine"):
        return True
    path = getattr(item, "callspec", None) and item.callspec.params.get("path")
    return bool(path) and not is_met(path)


class SiteServer:
    """The built site, served at the address it was built for. It can be killed and come back."""

    def __init__(self) -> None:
        first = re.search(r"<loc>(.*?)</loc>", (SITE / "sitemap.xml").read_text(encoding="utf-8"))
        self.base = "{0.scheme}://{0.netloc}".format(urlsplit(first[1]))
        self.port = urlsplit(first[1]).port
        self.process = None
        self.folder = tempfile.TemporaryDirectory()
        self.reports = Path(self.folder.name) / "refused"
        self.read = 0

    def start(self) -> None:
        self.process = subprocess.Popen(
            [sys.executable, HERE / "serve_site.py", SITE, str(self.port), self.reports],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        if self.process.stdout.readline() != "serving\n":
            pytest.exit(f"port {self.port} cannot be served: {self.process.stderr.read()}", 3)

    def kill(self) -> None:
        self.process.kill()
        self.process.communicate()

    def refused(self) -> list[tuple[str, str]]:
        """Return (directive, what) that the policy has refused since the last time."""
        if not self.reports.exists():
            return []
        text = self.reports.read_text(encoding="utf-8")
        new, self.read = text[self.read :], len(text)
        reports = [json.loads(line)["csp-report"] for line in new.splitlines()]
        return [
            (each.get("effective-directive") or each["violated-directive"], each["blocked-uri"])
            for each in reports
        ]


@pytest.fixture(scope="session")
def server():
    if not (SITE / "sitemap.xml").exists():
        pytest.exit("there is no built site; run `python3 scripts/handbook.py build` first", 3)
    running = SiteServer()
    running.start()
    yield running
    late = running.refused()
    running.kill()
    running.folder.cleanup()
    # Some browsers take their time to report.
    assert late == []


@pytest.fixture(scope="module")
def browser(server):
    """A browser for each file of tests. After some hundred pages and many copies of the book in one
    session, WebKitGTK was seen to lose the copy and to register no worker any more."""
    driver = DRIVERS[NAME]()
    yield driver
    driver.close()


@pytest.fixture
def chromium(browser):
    assert isinstance(browser, Chromium)
    return browser


class Page:
    """What a reader does on a page, in words."""

    def __init__(self, browser, server) -> None:
        self.browser, self.server = browser, server

    def open(self, path: str) -> None:
        # Addresses that differ in the fragment alone would not load anything.
        self.browser.open("about:blank")
        self.browser.open(self.server.base + path)

    def reload(self) -> None:
        self.browser.reload()

    def forget_all(self) -> None:
        """Remove everything that the book keeps on the device but its own copy."""
        self.js(
            "const { wipe } = await import('/assets/js/job.js'); await wipe();"
            "localStorage.clear(); sessionStorage.clear()"
        )

    def js(self, body: str):
        return self.browser.eval_js(body)

    def wait(self, body: str, limit: float = ANSWER_LIMIT):
        """Wait until the expression is true, and return it."""
        end = time.monotonic() + limit
        while time.monotonic() < end:
            # On its way from one page to the next, a browser has a document without an element.
            found = self.js(f"return document.documentElement && ({body})")
            if found:
                return found
            time.sleep(POLL)
        state = self.js(
            "return [...document.querySelectorAll('live-calculator')].map((e) => e.dataset.state"
            " + ': ' + e.querySelector('.lc-status')?.textContent)"
        )
        shown = self.js(
            "const kept = []; for (const name of await caches.keys())"
            " kept.push([name, (await (await caches.open(name)).keys()).length]);"
            "return [location.href, document.title, kept,"
            " document.documentElement.dataset.offline,"
            " document.querySelector('offline-state')?.innerText,"
            " document.body?.innerText.slice(0, 200)]"
        )
        raise AssertionError(
            f"not true within {limit} s: {body}; calculators: {state}; the page: {shown}"
        )

    def live(self, calculator: str) -> None:
        """Bring a calculator into sight, and wait for it; what comes in above may push it out."""
        found = _element(calculator)
        self.wait(
            f"{found} !== null && {found}.isConnected"
            f" && ({found}.scrollIntoView(), {found}.dataset.state === 'ready')",
            START_LIMIT,
        )

    def open_live(self, path: str, calculator: str) -> None:
        self.open(path)
        self.live(calculator)

    def control(self, calculator: str, name: str) -> str:
        return f'live-calculator[data-calculator="{calculator}"] [name="{name}"]'

    def type(self, calculator: str, name: str, text: str) -> None:
        self.js(
            f"const folded = document.querySelector('{self.control(calculator, name)}')"
            ".closest('details'); if (folded) folded.open = true"
        )
        self.browser.type(self.control(calculator, name), text)

    def paste(self, calculator: str, name: str, text: str) -> None:
        """Put a text in at one stroke: typed, its first letters may be a good entry."""
        self.js(
            f"const field = document.querySelector('{self.control(calculator, name)}');"
            f"field.value = {json.dumps(text)};"
            "field.dispatchEvent(new Event('input', { bubbles: true }))"
        )

    def value(self, calculator: str, name: str) -> str:
        return self.js(f"return document.querySelector('{self.control(calculator, name)}').value")

    def outputs(self, calculator: str) -> dict[str, list[str]]:
        """Return value and unit of each output."""
        return self.js(
            f"return Object.fromEntries([...{_element(calculator)}.querySelectorAll('output')]"
            ".map((o) => [o.name, [o.dataset.value, o.dataset.unit]]))"
        )

    def settled(self, calculator: str, expected: dict) -> None:
        """Wait until every output is what the shell gives for the same entries."""
        end = time.monotonic() + ANSWER_LIMIT
        while True:
            found = self.outputs(calculator)
            wrong = _differences(found, expected)
            stale = self.js(f"return {_element(calculator)}.hasAttribute('data-stale')")
            if not wrong and not stale:
                return
            if time.monotonic() > end:
                raise AssertionError(f"stale: {stale}; differing from the shell: {wrong}")
            time.sleep(POLL)

    def link(self, calculator: str, holding: str = "") -> tuple[dict[str, str], str]:
        """Return the entries that the page has put into its address, and their system."""
        fragment = self.wait(
            f"location.hash.startsWith('#{calculator}?') && location.hash.includes('{holding}')"
            " && location.hash"
        )
        pairs = [pair.split("=", 1) for pair in fragment.partition("?")[2].split("&")]
        inputs = {unquote(name): unquote(text) for name, text in pairs}
        return inputs, inputs.pop("system", "si")

    def quantity(self, calculator: str) -> tuple[str, str, str]:
        """Return name, value and unit of a quantity that is filled in; one of the form itself if
        there is one, else one of a table's row."""
        return self.js(
            f"const all = [...{_element(calculator)}.querySelectorAll('[data-type=quantity]')]"
            ".filter((f) => !f.closest('[hidden]') && !f.querySelector('.lc-optional')"
            " && f.querySelector('select[name$=\".unit\"]') && f.querySelector('input').value);"
            "const field = all.find((f) => !f.closest('[data-row]')) ?? all[0];"
            "const [value, unit] = [field.querySelector('input'), field.querySelector('select')];"
            "return [value.name, value.value, unit.value]"
        )


def _element(calculator: str) -> str:
    return f"document.querySelector('live-calculator[data-calculator=\"{calculator}\"]')"


def _differences(found: dict, expected: dict) -> list[str]:
    wrong = []
    for result in expected["results"]:
        value, unit = found.get(result["name"], [None, None])
        wanted = result["value"]
        if isinstance(wanted, int | float) and not isinstance(wanted, bool):
            # The last bits differ between two builds of Python; the reader sees four digits.
            same = value is not None and value != "None" and _close(float(value), wanted)
        else:
            same = value == (wanted if isinstance(wanted, str) else repr(wanted))
        if not same or unit != result["unit"]:
            wrong.append(f"{result['name']}: {value} {unit}, not {wanted} {result['unit']}")
    if len(found) != len(expected["results"]):
        wrong.append(f"outputs are {sorted(found)}")
    return wrong


def _close(one: float, other: float) -> bool:
    return abs(one - other) <= 1e-9 * max(abs(one), abs(other), 1e-12)


@pytest.fixture(scope="module")
def copied(browser, server):
    """A browser that has fetched the book.

    A copy that is half fetched when its page goes away would be told as an error of the next one.
    """
    Page(browser, server).open("/")
    Page(browser, server).wait(COPIED, START_LIMIT)


@pytest.fixture
def visitor(copied, browser, server, request):
    """A page for a test that keeps nothing, so that nothing has to be forgotten before it."""
    yield from _driven(Page(browser, server), request)


@pytest.fixture
def page(browser, server, request):
    """A page of a device on which nobody has kept anything yet."""
    driven = Page(browser, server)
    driven.open("/")
    driven.forget_all()
    driven.wait(COPIED, START_LIMIT)
    yield from _driven(driven, request)


def _driven(driven, request):
    browser = driven.browser
    # What a page said as it was torn away belongs to no test.
    browser.errors()
    yield driven
    # Whatever a test was about: nothing asked another host, and nothing had to be refused.
    assert browser.strangers() == []
    assert driven.server.refused() == []
    failed = getattr(request.node, "call_failed", False)
    # WebKitGTK was seen to hang for good when asked for a picture of a long page.
    if failed and browser.name != "webkitgtk" and (ROOT / ".handbook").is_dir():
        name = re.sub(r"[^a-z0-9]+", "-", request.node.name.lower()).strip("-")
        browser.screenshot(ROOT / ".handbook" / f"failed-{browser.name}-{name}.png")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item, call):
    report = yield
    if report.when == "call":
        item.call_failed = report.failed
    return report

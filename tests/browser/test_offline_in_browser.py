"""The offline copy in trouble: each trial ends in a working book or in a plain sentence.

Every trial has a server, and so an origin, of its own. Nothing of one is left for the next.
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
import threading
from functools import partial
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from conftest import SITE, START_LIMIT, Page

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "scripts"))

from handbook_tools import environment, serving  # noqa: E402

# Most trials are about files, whichever they are: a book of three pages without the engine will do.
SLIM = re.compile(
    r"(404|index|job/index|offline/index)\.html|.*\.(webmanifest|xml)|"
    r"assets/(css|fonts|icons|js|javascripts|stylesheets|vendor)/.*"
)
ENTRY = "assets/js/handbook.js"
SOME = "assets/js/steps.js"
CHARGE = "/set-the-pre-charge/"
# A page may be looked at while it is being loaded anew, and has no element then.
STATE = "document.documentElement?.dataset.offline"
WORDS = "(document.querySelector('offline-state')?.innerText ?? '')"
HTML = b"<!doctype html><title>Sign in</title><p>Sign in to this network."


class Handler(serving.Handler):
    """The site as a host might serve it that has a fault."""

    def do_GET(self):
        host = self.server.host
        name = urlsplit(self.path).path.removeprefix(host.prefix)
        name = f"{name}index.html" if name == "" or name.endswith("/") else name
        host.asked.append(name)
        if host.lives is not None:
            host.lives -= 1
        if name == host.dies_at:
            host.down = True
        if host.down or (host.lives is not None and host.lives < 0):
            host.down = True
            self.close_connection = True
        elif name in host.instead:
            kind, content = host.instead[name]
            self._send(200, kind, content)
        elif host.tidy and self.path.endswith("/index.html"):
            self.send_response(301)
            self.send_header("Location", self.path.removesuffix("index.html"))
            self.send_header("Content-Length", "0")
            self.end_headers()
        elif host.tidy and not (host.folder / name).is_file():
            self._send(200, "text/html", HTML)
        else:
            self.directory = str(host.folder)
            super().do_GET()

    def _send(self, status, kind, content):
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        self.wfile.write(content)


class Host:
    """A server of the site on a port of its own, and what is wrong with it."""

    def __init__(self, folder: Path, prefix: str = "/") -> None:
        self.folder, self.prefix = folder, prefix
        self.asked: list[str] = []
        self.instead: dict[str, tuple[str, bytes]] = {}
        # How many more files it gives before it is gone; and whether it is.
        self.lives: int | None = None
        self.dies_at = ""
        self.down = False
        # A host that has its own mind about addresses, and a page for every file that is missing.
        self.tidy = False
        self.running = serving.Server(
            ("127.0.0.1", 0), partial(Handler, directory=str(folder), prefix=prefix)
        )
        self.running.host = self
        self.base = f"http://127.0.0.1:{self.running.server_port}{prefix.rstrip('/')}"
        threading.Thread(target=self.running.serve_forever, daemon=True).start()

    def back(self) -> None:
        self.lives, self.dies_at, self.down = None, "", False
        self.instead.clear()
        self.asked.clear()

    def close(self) -> None:
        self.running.shutdown()
        self.running.server_close()


class Reader(Page):
    """A reader of one host's book."""

    def open(self, path: str) -> None:
        self.browser.open("about:blank")
        self.browser.open(self.server.base + path)

    def module(self, name: str) -> str:
        return f"await import('{urlsplit(self.server.base).path}/assets/js/{name}.js')"

    def wait_for_words(self, part: str, limit: float = START_LIMIT) -> str:
        return self.wait(f"{WORDS}.includes({json.dumps(part)}) && {WORDS}", limit)

    def ready(self) -> None:
        self.wait(f"{STATE} === 'ready'", START_LIMIT)

    def kept(self) -> dict:
        """Return what of the edition in use is in the copy, and what of that is damaged."""
        return self.js(
            f"const copy = {self.module('offline-copy')}; const list = await copy.listInUse();"
            "return { edition: list.edition, ...await copy.kept(list), ...await copy.check(list) }"
        )

    def damage(self, *names: str) -> None:
        """Cut the end off files of the copy, as a failing memory might."""
        self.js(
            f"const names = {json.dumps(names)};"
            "for (const name of await caches.keys()) {"
            "  const cache = await caches.open(name);"
            "  for (const request of await cache.keys()) {"
            "    if (!names.some((n) => new URL(request.url).pathname.endsWith('/' + n))) continue;"
            "    const old = await cache.match(request);"
            "    const body = (await old.arrayBuffer()).slice(0, -40);"
            "    await cache.put(request, new Response(body, { headers: old.headers }));"
            "  }"
            "}"
        )

    def press(self, selector: str) -> None:
        """Press a button, in one stroke: the part may be made anew at any moment."""
        self.wait(f"document.querySelector('{selector}:enabled') !== null")
        self.js(f"document.querySelector('{selector}').click()")

    def by_hand(self, act: str) -> None:
        """Run something that a browser allows only where a hand presses."""
        self.js(
            "const button = document.createElement('button'); button.id = 'by-hand';"
            "button.textContent = 'press'; Object.assign(button.style,"
            " { position: 'fixed', inset: '40% auto auto 40%', zIndex: 99, padding: '2em' });"
            f"button.addEventListener('click', () => {{ {act}; button.remove(); }});"
            "document.body.append(button)"
        )
        self.browser.click("#by-hand")

    def opens(self) -> None:
        """Open a page whose module is fetched for it, and have it come alive."""
        self.open("/job/")
        self.wait("customElements.get('job-shelf') !== undefined", START_LIMIT)
        assert "The job record" in self.js("return document.querySelector('h1').innerText")

    def works(self) -> None:
        """Open a page and have its calculator answer."""
        self.open(CHARGE)
        self.live("pre-charge")


@pytest.fixture
def host(slim):
    made = Host(slim)
    yield made
    made.close()


@pytest.fixture
def whole():
    """A host of the whole book."""
    made = Host(SITE)
    yield made
    made.close()


@pytest.fixture
def reader(browser, host):
    yield from _reader(browser, host)


@pytest.fixture
def reader_of_all(browser, whole):
    yield from _reader(browser, whole)


def _reader(browser, host):
    driven = Reader(browser, host)
    yield driven
    host.back()
    driven.open("/assets/edition.json?fresh=1")
    driven.js(
        "for (const each of await navigator.serviceWorker?.getRegistrations() ?? [])"
        " await each.unregister();"
        "for (const name of await caches.keys()) await caches.delete(name);"
        "localStorage.clear(); sessionStorage.clear()"
    )
    browser.open("about:blank")
    browser.errors()


def _with_worker(folder: Path) -> Path:
    for name in ("sw.js", "assets/edition.json"):
        (folder / name).unlink(missing_ok=True)
    maker = ROOT / "scripts" / "make_service_worker.mjs"
    subprocess.run([environment.node(), maker, folder], check=True, capture_output=True, cwd=ROOT)
    return folder


@pytest.fixture(scope="session")
def slim(tmp_path_factory):
    """Return a folder with a few pages of the book, as an edition of its own."""
    folder = tmp_path_factory.mktemp("slim")
    for path in SITE.rglob("*"):
        name = path.relative_to(SITE)
        if path.is_file() and SLIM.fullmatch(name.as_posix()):
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, folder / name)
    return _with_worker(folder)


@pytest.fixture(scope="session")
def next_edition(slim, tmp_path_factory):
    """Return a folder with the edition after that one: another first page, other modules."""
    folder = tmp_path_factory.mktemp("next") / "site"
    shutil.copytree(slim, folder)
    for name, change in {
        "index.html": lambda text: re.sub(r"(<h1[^>]*>)", r"\1Second edition: ", text, count=1),
        ENTRY: lambda text: text + "\ndocument.documentElement.dataset.edition = 'second';\n",
        SOME: lambda text: text + "\n// second\n",
    }.items():
        path = folder / name
        path.write_text(change(path.read_text(encoding="utf-8")), encoding="utf-8")
    return _with_worker(folder)


def test_half_a_download_goes_on_where_it_broke_off(reader, host):
    host.lives = 70
    reader.open("/")
    words = reader.wait_for_words("The connection broke off")
    done, total = map(int, re.search(r"(\d+) of (\d+) files, [\d.]+ of [\d.]+ MB", words).groups())
    assert 0 < done < total
    host.back()
    reader.ready()
    again = [name for name in host.asked if name not in ("sw.js", "assets/edition.json")]
    assert len(again) <= total - done + 1
    assert reader.kept()["missing"] == []
    host.down = True
    reader.opens()


@pytest.mark.parametrize(
    ("kind", "content", "words"),
    [
        ("text/javascript", b"export {};\n", "is not the one that this edition lists"),
        ("text/html", HTML, "answers with a page instead of the file"),
    ],
    ids=["wrong hash", "a page for a file"],
)
def test_a_wrong_file_ends_the_first_download_with_a_sentence(reader, host, kind, content, words):
    host.instead[SOME] = (kind, content)
    reader.open("/")
    told = reader.wait_for_words(words)
    assert SOME in told
    assert "Tell whoever keeps the site" in told or "tell whoever keeps the site" in told
    host.back()
    reader.open("/")
    reader.ready()
    assert reader.kept()["missing"] == []


def test_an_update_that_breaks_off_leaves_the_edition_whole(reader, host, next_edition):
    reader.open("/")
    reader.ready()
    before = reader.kept()
    host.folder, host.instead[SOME] = next_edition, ("text/html", HTML)
    look = f"({reader.module('offline')}).offlineCopy.keeper.look()"
    reader.js(look)
    reader.wait_for_words("A new edition could not be fetched whole. This one stays")
    # The second time the server goes away half way: the other changed files came before.
    host.down = True
    reader.opens()
    reader.ready()
    host.back()
    host.dies_at = SOME
    reader.js(look)
    reader.wait_for_words("A new edition could not be fetched whole. This one stays")
    assert host.down
    reader.opens()
    assert reader.kept() == before
    assert before["missing"] == before["damaged"] == []
    host.back()
    reader.open("/")
    reader.wait_for_words("New edition available")
    assert "Second edition" not in reader.js("return document.querySelector('h1').innerText")
    reader.browser.click("offline-state button")
    reader.wait("document.querySelector('h1')?.innerText.includes('Second edition')", START_LIMIT)
    reader.ready()
    after = reader.kept()
    assert after["edition"] != before["edition"]
    assert after["missing"] == after["damaged"] == []


def test_two_pages_are_never_of_two_editions(reader, host, next_edition):
    reader.open("/")
    reader.ready()
    reader.by_hand("window.stays = true; window.other = window.open(location.href, 'second')")
    inner = "window.other.document"
    reader.wait(f"{inner}.querySelector('offline-state')?.dataset.state === 'ready'", START_LIMIT)
    host.folder = next_edition
    reader.js(f"({reader.module('offline')}).offlineCopy.keeper.look()")
    reader.wait(f"{inner}.querySelector('offline-state button') !== null", START_LIMIT)
    # The other page switches. This one did not ask, and holds modules of the old edition.
    reader.js(f"{inner}.querySelector('offline-state button').click()")
    reader.wait(
        "window.stays === undefined && document.documentElement?.dataset.edition === 'second'",
        START_LIMIT,
    )
    reader.ready()
    assert "Second edition" in reader.js("return document.querySelector('h1').innerText")
    reader.by_hand("window.open('', 'second').close()")


def _empty(reader) -> None:
    """Do what a browser does that is short of room: take the files and leave the worker."""
    reader.js("for (const name of await caches.keys()) await caches.delete(name)")


def test_a_copy_that_was_cleared_is_filled_again(reader, host):
    reader.open("/")
    reader.ready()
    _empty(reader)
    host.down = True
    reader.open("/job/")
    told = reader.js("return document.body.innerText")
    assert "missing from the copy on this device" in told
    assert "Connect the device" in told
    host.back()
    reader.open("/")
    reader.ready()
    reader.wait(
        f"(async () => (await ({reader.module('offline-copy')}).kept("
        f"await ({reader.module('offline-copy')}).listInUse())).missing.length === 0)()",
        START_LIMIT,
    )
    host.down = True
    reader.opens()


def test_a_cleared_copy_of_an_old_edition_gives_way_to_the_new(reader, host, next_edition):
    reader.open("/")
    reader.ready()
    _empty(reader)
    host.folder = next_edition
    reader.open("/")
    reader.wait(
        "document.querySelector('h1')?.innerText.includes('Second edition')"
        f" && ['ready', 'fetching'].includes({STATE})",
        START_LIMIT,
    )
    reader.ready()
    assert reader.kept()["missing"] == []


def test_a_damaged_entry_is_mended_on_its_own(reader, host):
    reader.open("/")
    reader.ready()
    reader.damage(ENTRY)
    host.down = True
    reader.open("/job/")
    told = reader.wait_for_words("Connect the device, then reload the page")
    assert "Damaged files of the copy: 1" in told
    # The page itself can be read.
    assert "The job record" in reader.js("return document.querySelector('h1').innerText")
    host.back()
    reader.opens()
    assert reader.kept()["damaged"] == []


def test_a_damaged_module_is_mended_where_it_is_asked_for(reader, host):
    reader.open("/")
    reader.ready()
    reader.damage("assets/js/job-shelf.js")
    reader.opens()
    assert reader.kept()["damaged"] == []


def test_the_check_names_what_is_damaged_and_fetches_just_that(reader, host):
    reader.open("/offline/")
    reader.ready()
    reader.damage(SOME, "404.html")
    host.asked.clear()
    reader.press("offline-copy [data-action=check]")
    told = reader.wait(
        "document.querySelector('.oc-told').innerText.includes('whole now')"
        " && document.querySelector('.oc-told').innerText",
        START_LIMIT,
    )
    assert told.startswith(f"Damaged: 404.html, {SOME}.")
    assert sorted(host.asked) == ["404.html", SOME]
    assert reader.kept()["damaged"] == []


def test_the_copy_is_removed_and_stays_away_until_it_is_wanted(reader, host):
    reader.open("/offline/")
    reader.ready()
    reader.js("localStorage.setItem('a-record', 'of a job')")
    reader.press("offline-copy [data-action=remove]")
    reader.press("offline-copy [data-action=remove-now]")
    reader.wait(f"{STATE} === 'off'")
    host.asked.clear()
    reader.open("/offline/")
    reader.wait(f"{STATE} === 'off'")
    reader.wait("(async () => (await caches.keys()).length === 0)()")
    assert reader.js("return localStorage.getItem('a-record')") == "of a job"
    reader.press("offline-copy [data-action=keep]")
    reader.ready()
    assert reader.kept()["missing"] == []


def test_the_browser_is_asked_to_protect_the_copy_when_the_reader_says_so(reader, host):
    reader.open("/offline/")
    reader.ready()
    # What a browser answers is its own affair: here it is given, and counted.
    reader.js(
        "globalThis.asked = 0; Object.defineProperty(navigator, 'storage', { value: {"
        " persisted: async () => asked > 1, persist: async () => (asked += 1) > 1 } })"
    )
    reader.press("offline-copy [data-action=check]")
    button = "offline-copy [data-action=protect]"
    reader.wait(f"document.querySelector('{button}:enabled') !== null")
    told = "document.querySelector('.oc-told').innerText"
    reader.press(button)
    reader.wait(f"{told}.startsWith('The browser did not agree.')")
    reader.wait(f"document.querySelector('{button}:enabled') !== null")
    reader.press(button)
    reader.wait(f"{told} === 'The browser clears it only when you ask.'")
    reader.wait(f"document.querySelector('{button}') === null")
    assert reader.js("return asked") == 2
    assert "yes: the browser clears" in reader.js(
        "return document.querySelector('.oc-facts').innerText"
    )


def test_a_worker_that_is_refused_is_told_and_the_book_works(reader, host):
    host.instead["sw.js"] = ("text/plain", b"no")
    reader.open("/")
    told = reader.wait_for_words("Not kept offline")
    assert "private window" in told
    reader.opens()


def test_a_full_disk_is_told(reader, host, chromium):
    quota = {"origin": host.base}
    chromium.browser.execute_cdp_cmd("Storage.overrideQuotaForOrigin", quota | {"quotaSize": 3e5})
    reader.open("/")
    told = reader.wait_for_words("no room for the rest of the copy")
    assert "Remove something" in told
    chromium.browser.execute_cdp_cmd("Storage.overrideQuotaForOrigin", quota)
    reader.open("/")
    reader.ready()
    assert reader.kept()["missing"] == []


def test_a_killed_engine_is_started_again(reader_of_all):
    reader = reader_of_all
    reader.open("/convert/")
    # The page's own question is answered before.
    reader.live("convert")
    reader.js(
        "const post = Worker.prototype.postMessage; Worker.prototype.postMessage ="
        " function (...words) { window.engineWorker = this; return post.apply(this, words); };"
        f"const engine = ({reader.module('engine')}).visitEngine(); engine.runLimit = 2000;"
    )
    # A machine under load may take its time to start an engine, twice.
    reader.js(
        f"const engine = ({reader.module('engine')}).visitEngine();"
        "const ask = () => engine.ask({ op: 'list' }).then(() => 'answered', (e) => e.message);"
        "void engine.start().then(async () => { await ask(); window.engineWorker.terminate();"
        "  const first = await ask(); engine.runLimit = 10000;"
        "  window.told = [first, await ask()]; })"
    )
    told = reader.wait("window.told", 2 * START_LIMIT)
    assert "took longer than 2 seconds and was stopped" in told[0]
    assert told[1] == "answered"
    # Half of a copy of the book, still on its way, was seen to take over a minute to be removed.
    reader.ready()


def test_a_folder_of_a_host_with_its_own_mind_will_do(browser):
    """Under a sub-path; every index.html sent on to its folder; a page for whatever is missing."""
    host = Host(SITE, "/shelf/handbook/")
    try:
        host.tidy = True
        reader = Reader(browser, host)
        reader.open("/")
        reader.ready()
        assert reader.kept()["missing"] == []
        host.down = True
        reader.works()
    finally:
        host.close()
        browser.open("about:blank")
        browser.errors()

"""The net that hangs behind every browser test catches: whatever leaves the machine is seen.

`conftest.py` asks after each test whether anything asked another host and whether the policy had
to refuse anything. Here the same means meet a page that lets everything out.
"""

from __future__ import annotations

import json
import threading
import time
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import quote

import pytest
from conftest import ANSWER_LIMIT, POLL

LEAKS = {
    "picture": "new Image().src = '{}';",
    "script": "document.body.append(Object.assign(document.createElement('script'),"
    " {{ src: '{}' }}));",
    "style": "document.head.append(Object.assign(document.createElement('link'),"
    " {{ rel: 'stylesheet', href: '{}' }}));",
    "frame": "document.body.append(Object.assign(document.createElement('iframe'),"
    " {{ src: '{}' }}));",
    "film": "document.body.append(Object.assign(document.createElement('video'),"
    " {{ src: '{}' }}));",
    "font": "new FontFace('strange', 'url({})').load().catch(() => {{}});",
    "fetch": "fetch('{}').catch(() => {{}});",
    "request": "const asked = new XMLHttpRequest(); asked.open('GET', '{}'); asked.send();",
    "beacon": "navigator.sendBeacon('{}', 'words');",
    "stream": "new EventSource('{}');",
    "module": "import('{}').catch(() => {{}});",
    "worker": "new Worker('/worker.js?{}');",
    "service-worker": "navigator.serviceWorker.register('/service.js?{}');",
    "secure": "fetch('{}'.replace('http:', 'https:')).catch(() => {{}});",
    "socket": "new WebSocket('{}'.replace('http:', 'ws:'));",
}
ASKING = (
    b"fetch(decodeURIComponent(location.search.slice(1)), { mode: 'no-cors' }).catch(() => {});"
)
PAGE = b"<!doctype html><html lang=en><meta charset=utf-8><title>Open</title><body></body></html>"


@pytest.fixture
def careless():
    """Serve a page without any policy."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self):
            script = self.path.partition("?")[0].endswith(".js")
            content = ASKING if script else PAGE
            self.send_response(200)
            self.send_header("Content-Type", "text/javascript" if script else "text/html")
            self.send_header("Content-Length", str(len(content)))
            self.end_headers()
            self.wfile.write(content)

        def log_message(self, format, *args):
            pass

    running = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    running.daemon_threads = True
    threading.Thread(target=running.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{running.server_address[1]}/"
    running.shutdown()
    running.server_close()


def test_every_way_out_is_seen(browser, careless):
    browser.strangers()
    browser.open(careless)
    for name, script in LEAKS.items():
        browser.eval_js(script.format(f"http://{name}.elsewhere.invalid/"))
    missing, end = set(LEAKS), time.monotonic() + ANSWER_LIMIT
    while missing and time.monotonic() < end:
        for told in browser.strangers():
            missing -= {name for name in missing if f"{name}.elsewhere.invalid" in told}
        time.sleep(POLL)
    browser.open("about:blank")
    browser.errors()
    assert missing == set()


# How long a browser may take to report what it refused. [s]
SETTLE = 1.5
HOSTILE = [
    "<img src=x onerror=\"window.ran = 'img'\">",
    "\"><svg onload=\"window.ran = 'svg'\"><script>window.ran = 'script'</script>",
    "</title></textarea></style><iframe srcdoc=\"<script>parent.ran = 'frame'</script>\"></iframe>",
    '<math><mtext><mglyph><style><img title="--><img src=x onerror=window.ran=1>">',
    "javascript:window.ran='address'",
    "\u202e<form id=body name=documentElement><input name=attributes>",
]
# Nothing of the book looks like this.
STRANGE = (
    "return [...document.querySelectorAll('script, iframe, img[src=x], form#body, mglyph, object,"
    ' input[name=attributes], embed, [onerror], [onload], [srcdoc], a[href^="javascript:"]\')]'
    ".filter((e) => e.localName !== 'script' || e.textContent.includes('window.ran'))"
    ".map((e) => e.outerHTML.slice(0, 80))"
)


def untouched(page):
    assert page.js("return window.ran ?? null") is None
    assert page.js(STRANGE) == []


def test_no_text_of_a_stranger_becomes_part_of_a_page(page):
    # Whatever a text made the browser try, the policy would refuse and report: `page` asks for it.
    page.open("/set-the-pre-charge/")
    page.js(
        "document.querySelector('article').insertAdjacentHTML('beforeend', '<i onload=\"\"></i>')"
    )
    assert page.js(STRANGE) != [], "the net does not catch"
    # That one is reported too, by some browsers later than the next page.
    time.sleep(SETTLE)
    page.server.refused()
    for text in HOSTILE[:3]:
        page.open(f"/set-the-pre-charge/#pre-charge?height={quote(text)}&{quote(text)}=1")
        page.live("pre-charge")
        untouched(page)
    page.open("/job/")
    page.js(
        "const { job } = await import('/assets/js/job.js');"
        f"const texts = {json.dumps(HOSTILE)};"
        "const names = ['where', 'called', 'found', 'left', 'owner', 'who', 'reference'];"
        "for (const [n, name] of names.entries())"
        " await job.set(`about/${name}`, { text: texts[n % texts.length] });"
        "for (const name of ['handbook.job', 'handbook.path', 'handbook-engine'])"
        " localStorage.setItem(name, texts[0]);"
    )
    for path in ("/job/", "/report/", "/assignment/", "/readings/"):
        page.open(path)
        page.wait(
            "document.readyState === 'complete' && customElements.get('job-bar') !== undefined"
        )
        untouched(page)
    for text in HOSTILE[:2]:
        page.open(f"/?q={quote(text + ' vessel')}")
        page.wait("document.querySelector('.md-search-result__meta').textContent.trim() !== ''")
        page.js(
            "const field = document.querySelector('.md-search__input');"
            f"field.focus(); field.value = {json.dumps(text + ' vessel')};"
            "field.dispatchEvent(new Event('keyup', { bubbles: true }))"
        )
        untouched(page)
        page.open(f"/set-the-pre-charge/?h={quote(text)}")
        untouched(page)


LYING = """
window.Worker = class {{
  postMessage({{ type, text }}) {{
    const say = (data) => queueMicrotask(() => this.onmessage({{ data }}));
    if (type === "boot") return say({{ type: "ready", how: "snapshot" }});
    const texts = {texts};
    const parts = [...document.querySelectorAll("live-calculator [data-part]")];
    const html = Object.fromEntries(parts.map((p, n) => [p.dataset.part, texts[n % texts.length]]));
    window.lied = (window.lied ?? 0) + 1;
    say({{ type: "answer", text: JSON.stringify({{ answer: {{ results: [] }}, html }}) }});
  }}
  terminate() {{}}
}};
"""


def test_a_worker_that_lies_runs_nothing(page):
    """The engine makes the HTML of an answer. If another made it, nothing in it would run."""
    page.open("/glossary/")
    page.wait("customElements.get('offline-state') !== undefined")
    texts = [text for text in HOSTILE if "<" in text]
    assert len(texts) > 3
    page.js(LYING.format(texts=json.dumps(texts)))
    # A page that the theme takes in keeps this window, and with it the false worker.
    page.js("document.querySelector('a[href$=\"set-the-pre-charge/\"]').click()")
    page.wait("location.pathname === '/set-the-pre-charge/'")
    page.wait("document.querySelector('live-calculator')?.scrollIntoView() ?? window.lied > 0")
    page.wait("window.lied > 0")
    page.wait(
        "[...document.querySelectorAll('live-calculator [data-part]')]"
        ".some((part) => part.innerHTML.includes('window.ran'))"
    )
    time.sleep(SETTLE)
    assert page.js("return window.ran ?? null") is None
    # The policy refused what the texts tried, and the browser may take its time to say so.
    page.browser.errors()
    page.browser.open("about:blank")
    time.sleep(SETTLE)
    page.browser.strangers()
    page.server.refused()

"""The net that hangs behind every browser test catches: whatever leaves the machine is seen.

`conftest.py` asks after each test whether anything asked another host and whether the policy had
to refuse anything. Here the same means meet a page that lets everything out.
"""

from __future__ import annotations

import threading
import time
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer

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
    # The last one, because the page goes away with it, after the driver has its answer.
    "going-there": "setTimeout(() => location.assign('{}'), 100);",
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

"""Serve the built site in a process of its own, so that a test can kill it for good.

It sends the policy of the pages as a header as well, as a host can that sends headers: there it
holds for workers too, and the browser reports every refusal, from the first byte of a page on.
"""

import sys
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))

from handbook_tools import policy
from handbook_tools.serving import Handler, Server

REPORTS = "/refused-by-the-policy"
# Something to refuse, where a page cannot put it: a worker that asks another host.
PLANTED = {
    "/planted-worker.js": b"fetch('http://elsewhere.invalid/from-a-worker', { mode: 'no-cors' })"
    b".then(() => postMessage('answered'), () => postMessage('refused'));"
}


class Reporting(Handler):
    """The site's own server, with the policy as a header and a place for the reports."""

    def __init__(self, *args, told, text, **kwargs):
        self.told, self.text = told, text
        super().__init__(*args, **kwargs)

    def end_headers(self):
        self.send_header("Content-Security-Policy", f"{self.text}; report-uri {REPORTS}")
        super().end_headers()

    def do_GET(self):
        content = PLANTED.get(self.path)
        if content is None:
            super().do_GET()
            return
        self.send_response(200)
        self.send_header("Content-Type", "text/javascript")
        self.send_header("Content-Length", str(len(content)))
        self.end_headers()
        self.wfile.write(content)

    def do_POST(self):
        report = self.rfile.read(int(self.headers.get("Content-Length", 0)))
        with open(self.told, "ab") as held:
            held.write(report.replace(b"\n", b" ") + b"\n")
        self.send_response(204)
        self.send_header("Content-Length", "0")
        self.end_headers()


if __name__ == "__main__":
    site, port, told = Path(sys.argv[1]), int(sys.argv[2]), sys.argv[3]
    text = next(iter(policy.found(site)))
    handler = partial(Reporting, told=told, text=text, directory=str(site), prefix="/")
    with Server(("127.0.0.1", port), handler) as running:
        print("serving", flush=True)
        running.serve_forever()

#!/usr/bin/env python3
"""Serve The Cold Fill Handbook from this folder. Needs Python 3.8 or newer and nothing else.

python3 serve.py             open the handbook on this computer
python3 serve.py --network   let other devices of this network read it too
python3 serve.py --check     see whether every file is as it was packed
"""

import argparse
import hashlib
import posixpath
import re
import sys
import webbrowser
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

HERE = Path(__file__).resolve().parent
SITE = HERE / "site"
SUMS = HERE / "SHA256SUMS"
# Told here, because what a system knows of file endings differs from one to the next.
TYPES = {
    ".css": "text/css",
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript",
    ".json": "application/json",
    ".mjs": "text/javascript",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
    ".webmanifest": "application/manifest+json",
    ".woff2": "font/woff2",
    ".xml": "application/xml",
}


HEADERS = {"X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer"}


def policy():
    """Return the policy that the pages have of their own: as a header it holds for workers too."""
    page = (SITE / "index.html").read_text(encoding="utf-8")
    found = re.search(r'<meta http-equiv="Content-Security-Policy" content="([^"]*)">', page)
    return f"{found.group(1)}; frame-ancestors 'self'" if found else ""


class Handler(SimpleHTTPRequestHandler):
    protocol_version = "HTTP/1.1"

    def guess_type(self, path):
        ending = posixpath.splitext(str(path))[1].lower()
        return TYPES.get(ending, "application/octet-stream")

    def list_directory(self, path):
        self.send_error(404)

    def end_headers(self):
        for name, value in HEADERS.items():
            self.send_header(name, value)
        self.send_header("Cache-Control", "no-cache")
        super().end_headers()

    def log_message(self, format, *args):
        pass


class Server(ThreadingHTTPServer):
    daemon_threads = True
    # Many files are asked for at once when the offline copy is made.
    request_queue_size = 128

    def handle_error(self, request, client_address):
        pass  # a browser that closes a connection early is no news


def check():
    """Compare every file with the list. Return a list of sentences, one for each difference."""
    if not SUMS.is_file():
        return ["SHA256SUMS is missing, so nothing can be compared."]
    wrong, listed = [], set()
    for line in SUMS.read_text(encoding="utf-8").splitlines():
        wanted, _, name = line.partition("  ")
        listed.add(name)
        path = HERE / name
        if not path.is_file():
            wrong.append(f"{name} is missing.")
        elif hashlib.sha256(path.read_bytes()).hexdigest() != wanted:
            wrong.append(f"{name} was changed or is damaged.")
    for path in sorted(SITE.rglob("*")):
        name = path.relative_to(HERE).as_posix()
        if path.is_file() and name not in listed:
            wrong.append(f"{name} was added.")
    return wrong


def main(words=None):
    parser = argparse.ArgumentParser(description="Serve The Cold Fill Handbook from this folder.")
    parser.add_argument("--check", action="store_true", help="compare every file with SHA256SUMS")
    parser.add_argument("--port", type=int, default=8321, help="the port to serve on (8321)")
    parser.add_argument("--network", action="store_true", help="let other devices read it too")
    parser.add_argument("--no-browser", action="store_true", help="do not open a browser")
    options = parser.parse_args(words)
    if options.check:
        wrong = check()
        if wrong:
            print("\n".join(wrong))
            print(f"\n{len(wrong)} files differ. Copy the folder again from where you have it.")
            return 1
        print("Every file is as it was packed.")
        return 0
    if not (SITE / "index.html").is_file():
        print("There is no folder `site` beside serve.py. Unpack the whole archive, then try it.")
        return 1
    if policy():
        HEADERS["Content-Security-Policy"] = policy()
    try:
        host = "" if options.network else "127.0.0.1"
        server = Server((host, options.port), partial(Handler, directory=str(SITE)))
    except OSError as failure:
        print(f"Port {options.port} cannot be used ({failure.strerror}). Take another: --port 8330")
        return 1
    address = f"http://127.0.0.1:{server.server_port}/"
    print(f"The handbook is at {address}   (Ctrl-C to stop)", flush=True)
    if options.network:
        print(
            "Other devices reach it under this computer's name or number in the network. They can "
            "read and calculate. A browser keeps a copy for offline use only from the same device "
            "or from an address with https.",
            flush=True,
        )
    if not options.no_browser:
        webbrowser.open(address)
    with server:
        try:
            server.serve_forever()
        except KeyboardInterrupt:
            print("\nStopped.")
    return 0


if __name__ == "__main__":
    sys.exit(main())

"""Serve the built site on this machine, as an ordinary static host would: texts compressed."""

import errno
import functools
import gzip
import io
import os
import posixpath
from functools import partial
from http import HTTPStatus
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from urllib.parse import urlsplit

from .base import Problem

TYPES = {
    ".css": "text/css",
    ".gz": "application/octet-stream",
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript",
    ".json": "application/json",
    ".mjs": "text/javascript",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
    ".wasm": "application/wasm",
    ".webmanifest": "application/manifest+json",
    ".woff2": "font/woff2",
    ".xml": "application/xml",
    ".zip": "application/zip",
}
# Everything else is packed already.
COMPRESSED = {".css", ".html", ".js", ".json", ".mjs", ".svg", ".txt", ".webmanifest", ".xml"}


@functools.lru_cache(maxsize=1024)
def _compressed(path, changed):
    """Return a file's content, compressed as hosts do on their way out."""
    with open(path, "rb") as file:
        return gzip.compress(file.read(), compresslevel=6, mtime=0)


class Handler(SimpleHTTPRequestHandler):
    """Static files with the right types, kept quiet, under an optional folder of the host."""

    protocol_version = "HTTP/1.1"
    # A packed file is sent as it is. Nothing here is a transfer encoding.
    extensions_map = {"": "application/octet-stream", **TYPES}

    def __init__(self, *args, prefix="/", **kwargs):
        self.prefix = prefix
        super().__init__(*args, **kwargs)

    def guess_type(self, path):
        return self.extensions_map.get(
            posixpath.splitext(path)[1].lower(), "application/octet-stream"
        )

    def translate_path(self, path):
        inner = urlsplit(path).path
        if not inner.startswith(self.prefix):
            return f"{self.directory}/outside-the-site"
        return super().translate_path("/" + inner[len(self.prefix) :])

    def send_head(self):
        path = self.translate_path(self.path)
        if os.path.isdir(path) and urlsplit(self.path).path.endswith("/"):
            path = os.path.join(path, "index.html")
        ending = posixpath.splitext(path)[1].lower()
        wanted = "gzip" in self.headers.get("Accept-Encoding", "")
        if not wanted or ending not in COMPRESSED or not os.path.isfile(path):
            return super().send_head()
        changed = os.stat(path).st_mtime_ns
        date = self.date_time_string(changed // 10**9)
        if self.headers.get("If-Modified-Since") == date:
            self.send_response(HTTPStatus.NOT_MODIFIED)
            self.end_headers()
            return None
        content = _compressed(path, changed)
        self.send_response(HTTPStatus.OK)
        self.send_header("Last-Modified", date)
        self.send_header("Content-Type", self.guess_type(path))
        self.send_header("Content-Encoding", "gzip")
        self.send_header("Content-Length", str(len(content)))
        self.send_header("Vary", "Accept-Encoding")
        self.end_headers()
        return io.BytesIO(content)

    def list_directory(self, path):
        # The site has no folder to look into; a host would say it is not there.
        self.send_error(HTTPStatus.NOT_FOUND)

    def end_headers(self):
        self.send_header("Cache-Control", "no-cache")
        super().end_headers()

    def log_message(self, format, *args):
        pass


class Server(ThreadingHTTPServer):
    daemon_threads = True
    # Many files are asked for at once when the offline cache fills.
    request_queue_size = 128

    def handle_error(self, request, client_address):
        # A browser that closes a connection early is no news.
        pass


def server(site, port, prefix="/"):
    """Return a server of `site` on 127.0.0.1; port 0 takes a free one."""
    try:
        return Server(("127.0.0.1", port), partial(Handler, directory=str(site), prefix=prefix))
    except OSError as failure:
        if failure.errno == errno.EADDRINUSE:
            raise Problem(
                f"Port {port} is in use already. Either the handbook is being served there, or "
                f"another program has it. Take another one: "
                f"`python3 scripts/handbook.py serve --port {port + 1}`"
            ) from failure
        if failure.errno == errno.EACCES:
            raise Problem(f"Port {port} is not allowed to you. Take one above 1024.") from failure
        raise


def serve(port):
    """Build the site for this port, then serve it until Ctrl-C."""
    from . import building

    # Ask for the port first: nobody wants to wait for a build to learn that it is taken.
    address = f"http://127.0.0.1:{port}/"
    with server(building.SITE, port) as serving:
        building.build(site_url=address)
        print(f"\nThe handbook is at {address}   (Ctrl-C to stop)", flush=True)
        try:
            serving.serve_forever()
        except KeyboardInterrupt:
            print("\nStopped.")

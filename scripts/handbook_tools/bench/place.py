"""Serve a site to the benchmark from a process of its own, so that the server can be gone.

As a plain host does, without the policy as a header: a header would hold for the peers as well.
"""

import os
import subprocess
import sys

from .. import serving
from ..base import ROOT, Problem

_READY = "serving\n"


class Place:
    """A site at `base` while it is started."""

    def __init__(self, site, port):
        self.words = [sys.executable, "-m", __name__, str(site), str(port)]
        self.base = f"http://127.0.0.1:{port}"
        self.process = None

    def __enter__(self):
        self.start()
        return self

    def __exit__(self, *_):
        self.stop()

    def start(self):
        self.process = subprocess.Popen(
            self.words,
            env={**os.environ, "PYTHONPATH": str(ROOT / "scripts")},
            stdout=subprocess.PIPE,
            text=True,
        )
        if self.process.stdout.readline() != _READY:
            self.stop()
            raise Problem(f"{self.base} cannot be served. Its own words stand above.")

    def stop(self):
        if self.process:
            self.process.kill()
            self.process.wait()
            self.process.stdout.close()
            self.process = None


def main(site, port):
    """Serve until ended."""
    with serving.server(site, int(port)) as running:
        sys.stdout.write(_READY)
        sys.stdout.flush()
        running.serve_forever()


if __name__ == "__main__":
    main(*sys.argv[1:])

"""Serve the built site in a process of its own, so that a test can kill it for good."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "scripts"))

from handbook_tools.serving import server

if __name__ == "__main__":
    site, port = sys.argv[1], int(sys.argv[2])
    with server(site, port) as running:
        print("serving", flush=True)
        running.serve_forever()

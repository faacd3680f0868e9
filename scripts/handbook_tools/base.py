"""Where things are, how a step is told to the reader, and how a command is run."""

import hashlib
import os
import subprocess
import sys
import time
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
HOME = ROOT / ".handbook"
VENV = HOME / "venv"
SITE = ROOT / "site"
NODE_MODULES = ROOT / "node_modules"
REQUIREMENTS = ROOT / "requirements"


class Problem(Exception):
    """A failure with a plain sentence on what is wrong and how to mend it."""


@contextmanager
def step(doing):
    """Say what a long step does, and afterwards how long it took."""
    print(f"{doing} ...", flush=True)
    begun = time.perf_counter()
    yield
    print(f"  done in {time.perf_counter() - begun:.1f} s", flush=True)


def digest(*paths):
    """Return one sha256 over the bytes of several files."""
    total = hashlib.sha256()
    for path in paths:
        total.update(path.name.encode())
        total.update(path.read_bytes())
    return total.hexdigest()


def run(command, *, env=None, quiet=False, cwd=ROOT, what="", timeout=None):
    """Run a command; a failure becomes a Problem that shows the command's own words."""
    command = [str(part) for part in command]
    merged = {**os.environ, **(env or {})}
    try:
        done = subprocess.run(
            command,
            cwd=cwd,
            env=merged,
            text=True,
            encoding="utf-8",
            errors="replace",
            timeout=timeout,
            stdout=subprocess.PIPE if quiet else None,
            stderr=subprocess.STDOUT if quiet else None,
        )
    except FileNotFoundError as missing:
        raise Problem(f"The program {command[0]} is missing. {what}".strip()) from missing
    except subprocess.TimeoutExpired as late:
        raise Problem(f"{what or command[0]} was stopped after {timeout:.0f} s.") from late
    if done.returncode:
        words = f"\n{_readable(done.stdout)}" if quiet and done.stdout else ""
        raise Problem(f"{what or 'This command'} failed: {' '.join(command[:6])}{words}")
    return done.stdout or ""


def _readable(text):
    """Cut the lines no person reads: a failure in a minified file shows all of it."""
    lines = (line if len(line) <= 400 else f"{line[:400]} ..." for line in text.strip().split("\n"))
    return "\n".join(lines)


@contextmanager
def locked(name, doing):
    """Hold a lock file, so two builds in one tree wait for each other."""
    HOME.mkdir(exist_ok=True)
    with open(HOME / f"{name}.lock", "w", encoding="utf-8") as held:
        try:
            import fcntl
        except ImportError:  # Windows has no fcntl; there the lock is left out
            yield
            return
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            print(f"Waiting for another {doing} in this folder to end ...", flush=True)
            fcntl.flock(held, fcntl.LOCK_EX)
        yield


def under_windows():
    """Return whether this is Windows, where a venv's programs lie elsewhere."""
    return sys.platform == "win32"

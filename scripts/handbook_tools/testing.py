"""Run every check, part by part, and say at the end what ran, what failed and what was skipped."""

import os
import re
import shutil
import subprocess
import sys
import threading
import time
import zipfile
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from . import base, building, environment
from .base import HOME, ROOT, SITE, Problem

BROWSERS = ("chromium", "firefox", "webkitgtk")
# Each browser has its own port and its own build for it, so that two can be driven at once. A page
# knows its port: on another one the theme would load every page anew.
PORTS = {"chromium": 8321, "firefox": 8322, "webkitgtk": 8323}
# Two at once: more than that, and a browser on a machine of two cores runs out of time.
LANES = 2
DEBIAN_PACKAGES = {
    "chromium": ("chromium", "chromium-driver"),
    "firefox": ("firefox-esr",),
    "webkitgtk": ("webkit2gtk-driver", "xvfb"),
}
SAME_ANSWERS = ("tests/test_agreement.py", "tests/test_evidence.py", "tests/test_drawn.py")
WASM_PACKAGES = ("pytest", "pluggy", "iniconfig", "packaging", "pygments")


@dataclass
class Part:
    """One part of the checks and how it went."""

    name: str
    passed: int = 0
    failed: int = 0
    skipped: int = 0
    seconds: float = 0.0
    note: str = ""

    @property
    def state(self):
        return "FAILED" if self.failed else "skipped" if self.note and not self.passed else "passed"


_printing = threading.Lock()
_lane = threading.local()


def _say(text):
    """Print, or in a lane of its own keep until the part is done: two at once would be mixed."""
    kept = getattr(_lane, "kept", None)
    if kept is None:
        print(text, flush=True)
    else:
        kept.append(text)


def _stream(command, env=None):
    """Run a command, show its lines as they come, and return (exit code, all lines)."""
    lines = []
    with subprocess.Popen(
        [str(word) for word in command],
        cwd=ROOT,
        env={**os.environ, "PYTHONUNBUFFERED": "1", **(env or {})},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        encoding="utf-8",
        errors="replace",
    ) as process:
        for line in process.stdout:
            lines.append(line.rstrip("\n"))
            _say(lines[-1])
    return process.returncode, lines


def pytest_counts(lines):
    """Return (passed, failed, skipped) from pytest's closing line."""
    for line in reversed(lines):
        if re.search(r"\bin \d+(\.\d+)?s\b", line):
            found = {
                word: int(number)
                for number, word in re.findall(
                    r"(\d+) (passed|failed|errors?|skipped|xfailed|xpassed)", line
                )
            }
            failed = found.get("failed", 0) + found.get("error", 0) + found.get("errors", 0)
            # A strict expected failure is a check that did what it had to do.
            return found.get("passed", 0) + found.get("xfailed", 0), failed, found.get("skipped", 0)
    return 0, 0, 0


def node_counts(lines):
    """Return (passed, failed, skipped) from the closing lines of Node's test runner."""
    found = dict(
        re.findall(
            r"^(?:#|ℹ) (pass|fail|cancelled|skipped|todo) (\d+)$", "\n".join(lines), flags=re.M
        )
    )
    failed = int(found.get("fail", 0)) + int(found.get("cancelled", 0))
    return int(found.get("pass", 0)), failed, int(found.get("skipped", 0))


def _part(name, command, counts, *, env=None):
    _say(f"\n=== {name}")
    if getattr(_lane, "kept", None) is not None:
        print(f"Begun: {name} ...", flush=True)
    begun = time.perf_counter()
    code, lines = _stream(command, env)
    passed, failed, skipped = counts(lines)
    part = Part(name, passed, failed, skipped, time.perf_counter() - begun)
    if code and not failed:
        part.failed, part.note = 1, f"ended with code {code}"
    elif not code and not passed:
        # A runner that found nothing to run must not look like a success.
        part.failed, part.note = 1, "ran no test"
    return part


def _pytest(*words):
    return [environment.python(), "-m", "pytest", *words]


def _ruff():
    print("\n=== style", flush=True)
    begun = time.perf_counter()
    folders = [name for name in ("calc", "view", "scripts", "tests") if (ROOT / name).exists()]
    code, _ = _stream([environment.python(), "-m", "ruff", "check", *folders])
    seconds = time.perf_counter() - begun
    return Part("style (ruff)", int(not code), int(bool(code)), 0, seconds)


def _build():
    print("\n=== build", flush=True)
    begun = time.perf_counter()
    try:
        building.build()
    except Problem as problem:
        print(problem)
        return Part("build", 0, 1, 0, time.perf_counter() - begun, "the site was not built")
    return Part("build", 1, 0, 0, time.perf_counter() - begun)


def wasm_archive():
    """Pack pytest and the tests for the browser's Python. Return the archive."""
    target = HOME / "wasm-tests.zip"
    place = environment.site_packages()
    with zipfile.ZipFile(target, "w") as archive:
        for name in (*WASM_PACKAGES, "_pytest"):
            for path in sorted((place / name).rglob("*.py")):
                archive.write(path, f"packages/{path.relative_to(place).as_posix()}")
        archive.write(place / "py.py", "packages/py.py")
        for name in WASM_PACKAGES:
            for path in place.glob(f"{name}-*.dist-info/METADATA"):
                archive.write(path, f"packages/{path.relative_to(place).as_posix()}")
        for path in sorted((ROOT / "tests").rglob("*")):
            inner = path.relative_to(ROOT)
            if path.is_file() and not {"browser", "js", "__pycache__"} & set(inner.parts):
                archive.write(path, f"work/{inner.as_posix()}")
        archive.write(ROOT / "pyproject.toml", "work/pyproject.toml")
        archive.write(native_answers(), "work/native-answers.json")
    return target


def native_answers():
    """Write what the environment's Python answers, for another Python to agree with."""
    target = HOME / "native-answers.json"
    base.run([environment.python(), "-m", "tests.answers", target], what="Answering natively")
    return target


def _wasm(words, whole):
    """Run what needs no package of the machine; in a short run that the answers are the same."""
    tests = ("tests",) if whole else SAME_ANSWERS
    command = [
        environment.node(),
        ROOT / "scripts" / "wasm_tests.mjs",
        SITE / "assets" / "engine",
        wasm_archive(),
        *tests,
        "-m",
        "not native and not site and not browser",
        "-q",
        *words,
    ]
    return _shortened(_part("tests in the browser's Python", command, pytest_counts), whole)


def _shortened(part, whole):
    """Return a part that says where it is not all there is."""
    if not whole and not part.note:
        part.note = "a part of it; all with --whole"
    return part


def _javascript():
    files = sorted(str(path.relative_to(ROOT)) for path in (ROOT / "tests" / "js").glob("*.mjs"))
    if not files:
        return Part("JavaScript", 0, 1, 0, 0.0, "tests/js has no test")
    command = [
        environment.node(),
        # A file ends with its tests, not with its last timer.
        "--import",
        "./tests/js/before/timers.mjs",
        "--test",
        f"--test-concurrency={LANES}",
        "--test-reporter=spec",
        *files,
    ]
    return _part("JavaScript", command, node_counts)


def found_browser(name):
    """Return what is missing of a browser and its driver; an empty list when it can be driven."""
    programs = {
        "chromium": ("chromium", "chromedriver"),
        "firefox": ("firefox-esr",),
        "webkitgtk": ("WebKitWebDriver", "Xvfb"),
    }[name]
    missing = [program for program in programs if not shutil.which(program)]
    if name == "webkitgtk" and not any(Path("/usr/lib").glob("*/webkit2gtk-4.*/MiniBrowser")):
        missing.append("MiniBrowser")
    return missing


def _is_debian_root():
    return hasattr(os, "geteuid") and os.geteuid() == 0 and bool(shutil.which("apt-get"))


def _install_browser(name):
    """Try to install a missing browser from Debian. Return whether it is there afterwards."""
    packages = DEBIAN_PACKAGES[name]
    print(f"Installing {' '.join(packages)} ...", flush=True)
    env = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    for command in (
        ["apt-get", "update", "-qq"],
        ["apt-get", "install", "-y", "-qq", "--no-install-recommends", *packages],
    ):
        done = subprocess.run(command, env=env, capture_output=True, text=True)
        if done.returncode:
            print(done.stdout[-2000:], done.stderr[-2000:])
            return False
    return not found_browser(name)


def required():
    """Return whether a missing browser is a failure here."""
    return os.environ.get("CI") == "true" or os.environ.get("HANDBOOK_REQUIRE_BROWSERS") == "1"


def _browser(name, words, whole):
    title = f"browser: {name}"
    missing = found_browser(name)
    if missing:
        command = f"apt-get install {' '.join(DEBIAN_PACKAGES[name])}"
        _say(
            f"\n=== {title}\n\n!!! {name} IS NOT TESTED: {', '.join(missing)} not found.\n"
            f"!!! On Debian install it with: {command}\n"
        )
        note = f"not here; install it with: {command}"
        return Part(title, 0, int(required()), int(not required()), 0.0, note)
    part = _part(
        title,
        _pytest("tests/browser", "-q", *words),
        pytest_counts,
        env={
            "HANDBOOK_BROWSER": name,
            "HANDBOOK_SITE": str(_site_for(name)),
            "HANDBOOK_WHOLE": str(int(whole)),
        },
    )
    return _shortened(part, whole)


def _site_for(browser):
    """Return the site as built for the port of a browser."""
    return SITE if PORTS[browser] == building.PORT else HOME / "sites" / browser


def _build_for(browsers):
    """Build the site once more for each browser that has another port than the site's own."""
    for name in browsers:
        if _site_for(name) != SITE and not found_browser(name):
            building.build(site=_site_for(name), site_url=f"http://127.0.0.1:{PORTS[name]}/")


def _side_by_side(jobs):
    """Run the jobs, so many at once as there are lanes; print each one's words when it is done."""

    def run(job):
        _lane.kept = []
        try:
            return job()
        finally:
            with _printing:
                print("\n".join(_lane.kept), flush=True)
            _lane.kept = None

    with ThreadPoolExecutor(LANES) as lanes:
        return list(lanes.map(run, jobs))


def run_tests(*, browsers=BROWSERS, words=(), whole=False):
    """Run the parts. Return the exit code.

    Unless the `whole` is asked for, the first browser meets some pages and calculators of each
    kind, the others what an engine may do in its own way, and their Python holds the evidence only.
    Words name what is wanted: it is run wherever it is found.

    What needs no site comes first. The browsers and the site's own tests then share two lanes, the
    longest first.
    """
    environment.ready(dev=True)
    whole = whole or bool(words)
    begun = time.perf_counter()
    parts = [_ruff(), _native(words), _javascript(), _build()]
    if not parts[-1].failed:
        for name in browsers:
            if found_browser(name) and _is_debian_root():
                _install_browser(name)
        _build_for(browsers)
        longest_first = sorted(browsers, key=("chromium", "webkitgtk", "firefox").index)
        jobs = [partial(_browser, name, words, whole) for name in longest_first]
        jobs += [partial(_wasm, words, whole), partial(_site, words)]
        *driven, wasm, site = _side_by_side(jobs)
        parts += [wasm, site, *driven]
        left_out = [name for name in BROWSERS if name not in browsers]
        parts += [
            Part(f"browser: {name}", 0, 0, 1, 0.0, "left out on request") for name in left_out
        ]
    summary(parts, time.perf_counter() - begun)
    return int(any(part.failed for part in parts))


def _native(words):
    folders = [name for name in ("calc", "view") if (ROOT / name).exists()]
    return _part(
        "tests and doctests",
        _pytest(
            "tests",
            *folders,
            "--doctest-modules",
            "--ignore=tests/browser",
            "-m",
            "not site and not browser",
            "-q",
            f"--numprocesses={LANES}",
            "--dist=worksteal",
            *words,
        ),
        pytest_counts,
    )


def _site(words):
    return _part(
        "the built site",
        _pytest("tests", "--ignore=tests/browser", "-m", "site", "-q", *words),
        pytest_counts,
    )


FUZZ = "test_random_entries or random_sites or mean_the_same or never_moves"
FUZZ += " or moves_the_way or jumps_where or twice_the_size"


def fuzz(runs, calculator=""):
    """Meet the calculators with `runs` random sites each. Return the exit code."""
    environment.ready(dev=True)
    chosen = f"({FUZZ}) and {calculator}" if calculator else FUZZ
    command = _pytest("-s", "-q", "tests/test_laws.py", "tests/test_properties.py", "-k", chosen)
    return _stream(command, {"HANDBOOK_RANDOM_RUNS": str(runs)})[0]


def summary(parts, seconds):
    """Print a table of the parts and one closing line that counts everything."""
    width = max(len(part.name) for part in parts)
    print(f"\n{'':{width}}  {'':7} passed failed skipped      s")
    for part in parts:
        print(
            f"{part.name:{width}}  {part.state:7} {part.passed:6} {part.failed:6} "
            f"{part.skipped:7} {part.seconds:6.1f}{f'  {part.note}' if part.note else ''}"
        )
    print(f"\nin {seconds:.0f} s")
    total = [sum(getattr(part, kind) for part in parts) for kind in ("passed", "failed", "skipped")]
    print(f"{total[0]} passed, {total[1]} failed, {total[2]} skipped")
    sys.stdout.flush()

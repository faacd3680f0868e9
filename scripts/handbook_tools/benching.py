"""Measure the budgets in one run, and print each against its limit and as a ratio."""

import json
import os
import statistics
import subprocess
import sys

from . import building, environment
from .base import ROOT, SITE, Problem, step

ENGINE = SITE / "assets" / "engine"
REPEAT = 40
BOOTS = 3

# The budgets of the site, in the unit that is printed.
HOME_PAGE_KB = 120
PRECACHE_MB = 25
NATIVE_MS = 2
ENGINE_MS = 16
BOOT_RATIO = 6
BUILD_S = 60


def _native(repeat):
    """Return {id: milliseconds} of a native run of each calculator, and the requests used."""
    script = f"""
import json, statistics, time
from calc import bridge
times, requests = {{}}, []
for entry in bridge.listing():
    name = entry["id"]
    inputs = {{g["name"]: g["default"] for g in bridge.description(name, "si")["inputs"]}}
    requests.append({{"op": "run", "calculator": name, "system": "si", "inputs": inputs}})
    bridge.run(name, inputs, "si")
    spent = []
    for _ in range({repeat}):
        begun = time.perf_counter()
        bridge.run(name, inputs, "si")
        spent.append((time.perf_counter() - begun) * 1e3)
    times[name] = statistics.median(spent)
print(json.dumps([times, requests]))
"""
    done = subprocess.run(
        [environment.python(), "-c", script],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        capture_output=True,
        text=True,
    )
    if done.returncode:
        raise Problem(f"The calculators could not be timed:\n{done.stderr[-2000:]}")
    return json.loads(done.stdout)


def _engine(way, requests, repeat=0):
    """Start the engine once in Node and return what it tells."""
    done = subprocess.run(
        [environment.node(), ROOT / "scripts" / "ask_engine.mjs", ENGINE, way, str(repeat)],
        input=json.dumps(requests),
        capture_output=True,
        text=True,
    )
    if done.returncode:
        raise Problem(f"The engine could not be timed:\n{done.stderr[-2000:]}")
    told = json.loads(done.stdout)
    if told["how"] != way:
        raise Problem(f"The engine was to start from the {way} and started {told['how']}.")
    return told


def _browsers():
    """Return {browser: {"snapshot": [ms], "plain": [ms]}} from the browser tools, if there."""
    tool = ROOT / "scripts" / "bench_browsers.py"
    if not (ROOT / "tests" / "browser" / "drivers.py").exists():
        return {}
    done = subprocess.run(
        [environment.python(), tool],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "scripts")])},
        stdout=subprocess.PIPE,
        text=True,
    )
    if done.returncode:
        print("The browsers could not be timed; what they said stands above.", file=sys.stderr)
        return {}
    return json.loads(done.stdout.strip().splitlines()[-1])


def percentile(values, share):
    """Return the value below which a share of the values lies."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, round(share * (len(ordered) - 1)))]


def _row(what, value, limit, *, least=False):
    """Return one line of the table: value, limit, and value over limit."""
    kept = value >= limit if least else value <= limit
    return (
        what,
        f"{value:.3g}",
        f"{'>=' if least else '<='} {limit:g}",
        f"{value / limit:.2f}",
        "kept" if kept else "BROKEN",
    )


def _print(head, rows):
    table = [head, *rows]
    widths = [max(len(row[i]) for row in table) for i in range(len(head))]
    for row in table:
        cells = [row[0].ljust(widths[0])]
        cells += [cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True)]
        print("  ".join(cells))


def bench():
    """Build, measure and print. Return 1 when a budget is broken."""
    environment.ready(dev=True)
    built = building.build(reuse_image=False)
    with step("Timing the calculators natively"):
        native, requests = _native(REPEAT)
    with step("Timing the engine in Node"):
        # One after the other, so that both ways meet the same state of the machine.
        boots = [
            (_engine("snapshot", requests[:1]), _engine("plain", requests[:1]))
            for _ in range(BOOTS)
        ]
        quick = statistics.median(pair[0]["ready_ms"] for pair in boots)
        plain = statistics.median(pair[1]["ready_ms"] for pair in boots)
        times = _engine("snapshot", requests, REPEAT)["times_ms"]
    with step("Timing the start in the browsers"):
        browsers = _browsers()
    home = building.weight(SITE / "index.html", SITE)
    heaviest = max(
        (building.weight(path, SITE)["bytes"], path.parent.name)
        for path in SITE.glob("*/index.html")
    )
    starts = {"Node": (quick, plain)} | {
        name: (statistics.median(found["snapshot"]), statistics.median(found["plain"]))
        for name, found in browsers.items()
    }
    p95 = {
        request["calculator"]: percentile(spent, 0.95)
        for request, spent in zip(requests, times, strict=True)
    }

    # In Node both ways are told, without a limit: unpacking the image is slow there.
    budgets = [
        _row(f"start, plain over image, {name}", slow / fast, BOOT_RATIO, least=True)
        for name, (fast, slow) in starts.items()
        if name != "Node"
    ]
    budgets += [
        _row("slowest recalculation in the engine, p95, ms", max(p95.values()), ENGINE_MS),
        _row("slowest native run, ms", max(native.values()), NATIVE_MS),
        _row("home page before any calculator, kB gzip", home["bytes"] / 1e3, HOME_PAGE_KB),
        _row(f"heaviest page ({heaviest[1]}), kB gzip", heaviest[0] / 1e3, HOME_PAGE_KB),
        _row("offline cache, MB", built["bytes"] / 1e6, PRECACHE_MB),
        _row("build with a new image, s", built["seconds"], BUILD_S),
    ]
    print()
    _print(("budget", "measured", "limit", "share", ""), budgets)
    print()
    _print(
        ("calculator", "engine/native", "engine p50 ms", "p95 ms", "native ms"),
        [
            (
                request["calculator"],
                f"{statistics.median(spent) / native[request['calculator']]:.1f}",
                f"{statistics.median(spent):.2f}",
                f"{p95[request['calculator']]:.2f}",
                f"{native[request['calculator']]:.2f}",
            )
            for request, spent in zip(requests, times, strict=True)
        ],
    )
    print()
    _print(
        ("start of the engine", "plain/image", "image ms", "plain ms"),
        [
            (name, f"{slow / fast:.1f}", f"{fast:.0f}", f"{slow:.0f}")
            for name, (fast, slow) in starts.items()
        ],
    )
    for name in ("chromium", "firefox", "webkitgtk"):
        if name not in browsers:
            print(f"{name}: not measured here")
    print("\nEach ratio is of two numbers of this run. Absolute times depend on the machine.")
    return int(any(row[-1] == "BROKEN" for row in budgets))

"""Measure the budgets in one run: ratios first, then absolute figures with the machine named."""

import json
import os
import platform
import shutil
import statistics
import subprocess
import sys
import time
from datetime import UTC, datetime

from .. import building, environment, testing
from ..base import HOME, ROOT, SITE, Problem, step
from . import peers
from .place import Place

ENGINE = SITE / "assets" / "engine"
REPORT = HOME / "bench.json"
KEPT = ROOT / "docs" / "measured.json"
REPEAT = 40
TURNS = 3

# The budgets of the site, in the unit that is printed.
PAGE_KB = 120
PRECACHE_MB = 25
NATIVE_MS = 2
ENGINE_MS = 16
BOOT_RATIO = 6
BUILD_S = 60
START_MS = {"chromium": 500, "webkitgtk": 1000}
LIGHTHOUSE = {"performance": 95, "accessibility": 100, "best-practices": 100}
LCP_MS, CLS = 1500, 0.02
LIGHTHOUSE_PAGES = ("/", "/set-the-pre-charge/", "/find-the-cause/", "/fault-drills/", "/job/")
WAYS = {"handbook": "this book", "pyodide": "plain Pyodide", "pyscript": "PyScript"}
QUARTER = "chromium, a quarter of the processors"


def _native(rounds):
    """Return {id: milliseconds} of a native run of each calculator, and the requests used."""
    done = subprocess.run(
        [environment.python(), "-m", "handbook_tools.bench.asked", str(rounds)],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "scripts")])},
        capture_output=True,
        text=True,
    )
    if done.returncode:
        raise Problem(f"The calculators could not be timed:\n{done.stderr[-2000:]}")
    told = json.loads(done.stdout)
    return told["native_ms"], told["requests"]


def _engine(requests, **further):
    """Start the engine once in Node; return {id: milliseconds of each round but the first}."""
    asked = [request | further for turns in requests.values() for request in turns]
    done = subprocess.run(
        [environment.node(), ROOT / "scripts" / "ask_engine.mjs", ENGINE, "snapshot"],
        input=json.dumps(asked),
        capture_output=True,
        text=True,
    )
    if done.returncode:
        raise Problem(f"The engine could not be timed:\n{done.stderr[-2000:]}")
    told = json.loads(done.stdout)
    if told["how"] != "snapshot":
        raise Problem(f"The engine was to start from its image and started {told['how']}.")
    spent = iter(told["times_ms"])
    return {name: [next(spent) for _ in turns][1:] for name, turns in requests.items()}


def percentile(values, share):
    """Return the value below which a share of the values lies."""
    ordered = sorted(values)
    return ordered[min(len(ordered) - 1, round(share * (len(ordered) - 1)))]


def _visits(name, site, turns, *slowed):
    """Return what `visits` tells of one browser, or None with the reason said."""
    missing = testing.found_browser(name)
    if missing:
        print(f"{name}: not measured here, {', '.join(missing)} not found", file=sys.stderr)
        return None
    command = [environment.python(), "-m", "handbook_tools.bench.visits", name, site]
    done = subprocess.run(
        [str(word) for word in (*command, building.PORT, turns, *slowed)],
        cwd=ROOT,
        env={
            **environment.node_environment(),
            "PYTHONPATH": os.pathsep.join([str(ROOT), str(ROOT / "scripts")]),
        },
        capture_output=True,
        text=True,
    )
    if done.returncode:
        print(f"{name}: not measured, it broke off:\n{done.stderr[-1500:]}", file=sys.stderr)
        return None
    return json.loads(done.stdout.strip().splitlines()[-1])


def _lighthouse():
    """Return what Lighthouse says of five pages, or None where there is no Chromium."""
    browser = shutil.which("chromium")
    if not browser:
        print("Lighthouse: not measured here, chromium not found", file=sys.stderr)
        return None
    with Place(SITE, building.PORT) as place:
        done = subprocess.run(
            [environment.node(), ROOT / "scripts/bench/lighthouse.mjs", browser]
            + [place.base + path for path in LIGHTHOUSE_PAGES],
            cwd=ROOT,
            capture_output=True,
            text=True,
        )
    if done.returncode:
        print(f"Lighthouse: not measured, it broke off:\n{done.stderr[-1500:]}", file=sys.stderr)
        return None
    told = json.loads(done.stdout.strip().splitlines()[-1])
    for page in told["pages"]:
        page["address"] = page["address"].removeprefix(place.base)
    return told


def _machine():
    """Return what the absolute figures depend on."""
    release = ".".join(platform.release().split(".")[:2])
    facts = {"system": f"{platform.system()} {release}", "python": platform.python_version()}
    facts["processors"] = os.cpu_count()
    cpuinfo = "/proc/cpuinfo"
    if os.path.exists(cpuinfo):
        with open(cpuinfo, encoding="utf-8") as lines:
            models = [line.partition(":")[2].strip() for line in lines if "model name" in line]
        facts["processor"] = models[0] if models else platform.machine()
    if hasattr(os, "sysconf"):
        size = os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE")
        facts["memory_gb"] = round(size / 2**30)
    for name, words in {
        "chromium": ("chromium", "--version"),
        "firefox": ("firefox-esr", "--version"),
        "webkitgtk": ("dpkg-query", "-W", "-f=${Version}", "libwebkit2gtk-4.1-0"),
    }.items():
        if shutil.which(words[0]):
            said = subprocess.run(words, capture_output=True, text=True).stdout.strip()
            facts[name] = said.splitlines()[0].partition(" built on ")[0] if said else "unknown"
    return facts


def _shell():
    """Return the milliseconds of one run from the shell, Python's own start included."""
    words = [environment.python(), "-m", "calc", "run", "pre-charge"]
    spent = []
    for _ in range(5):
        begun = time.perf_counter()
        subprocess.run(words, cwd=ROOT, check=True, capture_output=True)
        spent.append((time.perf_counter() - begun) * 1e3)
    return statistics.median(spent)


def measure(turns):
    """Measure everything and return it as plain data."""
    built = building.build(reuse_image=False)
    again = building.build()
    with step("Timing the calculators natively"):
        native, requests = _native(REPEAT)
        shell = _shell()
    with step("Timing the engine in Node"):
        # As the page asks while somebody types; then with the working, which comes at rest.
        rounds = _engine(requests, working=False)
        worked = _engine(requests, working=True)
    site = peers.site_with_peers(requests["pre-charge"][0] | {"working": False})
    browsers = {}
    for name in testing.BROWSERS:
        with step(f"Visiting with {name}"):
            browsers[name] = _visits(name, site, turns)
    with step("Visiting with a quarter of the processors"):
        browsers[QUARTER] = _visits("chromium", site, 1, "quarter")
    with step("Running Lighthouse"):
        lighthouse = _lighthouse()
    return {
        "when": datetime.now(UTC).date().isoformat(),
        "machine": _machine(),
        "native_ms": native,
        "shell_ms": shell,
        "engine_ms": rounds,
        "working_ms": worked,
        "browsers": {name: told for name, told in browsers.items() if told},
        "lighthouse": lighthouse,
        "pages_bytes": {
            "/" + path.parent.relative_to(SITE).as_posix().strip("."): building.weight(path, SITE)[
                "bytes"
            ]
            for path in sorted(SITE.rglob("index.html"))
        },
        "precache_bytes": built["bytes"],
        "build_s": {"with a new image": built["seconds"], "again": again["seconds"]},
    }


def _row(what, value, limit, *, least=False):
    """Return one line of a table: value, limit, and value over limit."""
    kept = value >= limit if least else value <= limit
    return [
        what,
        f"{value:.0f}" if value >= 100 else f"{value:.3g}",
        f"{'≥' if least else '≤'} {limit:g}",
        f"{value / limit:.2f}" if limit else "",
        "kept" if kept else "BROKEN",
    ]


def _middle(told, way, visit):
    times = told["visits"][way][visit]
    return statistics.median(times) if times else None


def tables(found):
    """Return the tables of a run: [(title, head, rows)], the budgets first."""
    browsers = found["browsers"]
    budgets, starts, slow = [], [], []
    for name, told in browsers.items():
        own = {visit: _middle(told, "handbook", visit) for visit in ("first", "again", "offline")}
        alone = {visit: statistics.median(spent) for visit, spent in told["alone"].items()}
        if name in testing.BROWSERS:
            plain = _middle(told, "pyodide", "again") / alone["again"]
            what = f"plain Pyodide over this engine, {name}"
            budgets.append(_row(what, plain, BOOT_RATIO, least=True))
            for visit, spent in alone.items() if name in START_MS else ():
                what = f"engine, {visit}, to first answer, {name}, ms"
                budgets.append(_row(what, spent, START_MS[name]))
        starts.append(
            [
                *(name, "this engine alone", "none"),
                *(f"{spent:.0f}" for spent in alone.values()),
                f"{alone['again'] / own['again']:.1f}",
            ]
        )
        for way, title in WAYS.items():
            row = [name, title]
            for visit in ("first", "again", "offline"):
                value = _middle(told, way, visit)
                row.append("none" if value is None else f"{value:.0f}")
            again = _middle(told, way, "again")
            row.append(f"{again / own['again']:.1f}")
            starts.append(row)
        if told["rounds"]:
            p95 = {each: percentile(spent, 0.95) for each, spent in told["rounds"].items()}
            worst = max(p95, key=p95.get)
            budgets.append(
                _row(f"slowest answer ({worst}), {name}, p95, ms", p95[worst], ENGINE_MS)
            )
        if told["typed"]:
            slow.append(
                [
                    name,
                    f"{statistics.median(told['typed']):.0f}",
                    f"{percentile(told['typed'], 0.95):.0f}",
                ]
            )
    engine = {name: percentile(spent, 0.95) for name, spent in found["engine_ms"].items()}
    worst = max(engine, key=engine.get)
    budgets.append(_row(f"slowest answer ({worst}), Node, p95, ms", engine[worst], ENGINE_MS))
    native = found["native_ms"]
    worst = max(native, key=native.get)
    budgets.append(_row(f"slowest native run ({worst}), ms", native[worst], NATIVE_MS))
    weights = found["pages_bytes"]
    heaviest = max(weights, key=weights.get)
    budgets += [
        _row("home page before any calculator, kB gzip", weights["/"] / 1e3, PAGE_KB),
        _row(f"heaviest page ({heaviest}), kB gzip", weights[heaviest] / 1e3, PAGE_KB),
        _row("offline copy, MB", found["precache_bytes"] / 1e6, PRECACHE_MB),
        _row("build with a new image, s", found["build_s"]["with a new image"], BUILD_S),
    ]
    light = []
    if found["lighthouse"]:
        for page in found["lighthouse"]["pages"]:
            scores = page["scores"]
            light.append(
                [
                    page["address"],
                    *(str(scores[each]) for each in (*LIGHTHOUSE, "seo")),
                    f"{page['lcp_ms']:.0f}",
                    f"{page['cls']:.3f}",
                    f"{page['tbt_ms']:.0f}",
                ]
            )
            budgets += [
                _row(f"Lighthouse {each}, {page['address']}", scores[each], least, least=True)
                for each, least in LIGHTHOUSE.items()
            ]
            budgets += [
                _row(f"Lighthouse largest paint, {page['address']}, ms", page["lcp_ms"], LCP_MS),
                _row(f"Lighthouse layout shift, {page['address']}", page["cls"], CLS),
            ]
    answers = [
        [
            name,
            f"{statistics.median(found['working_ms'][name]) / native[name]:.1f}",
            f"{native[name]:.2f}",
            _spread(found["working_ms"][name]),
            _spread(spent),
            *(_spread(told["rounds"].get(name)) for told in browsers.values() if told["rounds"]),
        ]
        for name, spent in found["engine_ms"].items()
    ]
    engines = [name for name, told in browsers.items() if told["rounds"]]
    memory = [
        [name, page, f"{max(sizes):.0f}"]
        for name, told in browsers.items()
        for page, sizes in told["memory"].items()
        if all(sizes)
    ]
    return [
        ("Budgets", ["what", "measured", "limit", "share", "state"], budgets),
        (
            "From opening a page to its first live result",
            [
                "browser",
                "way",
                "first visit, ms",
                "again, ms",
                "no network, ms",
                "again, over this book",
            ],
            starts,
        ),
        (
            "One answer, chart included",
            [
                "calculator",
                "Node over native, with working",
                "native ms",
                "Node with working p50 / p95 ms",
                "Node p50 / p95 ms",
            ]
            + [f"{name} p50 / p95 ms" for name in engines],
            answers,
        ),
        ("From a key to the new answer on the page", ["browser", "p50 ms", "p95 ms"], slow),
        ("Memory of the page's process", ["browser", "page", "MB"], memory),
        (
            "Lighthouse, a phone with its processor slowed four times",
            ["page", *LIGHTHOUSE, "seo", "largest paint, ms", "layout shift", "blocked, ms"],
            light,
        ),
    ]


def _spread(spent):
    return f"{statistics.median(spent):.1f} / {percentile(spent, 0.95):.1f}" if spent else "none"


def _print(head, rows):
    table = [head, *rows]
    widths = [max(len(row[i]) for row in table) for i in range(len(head))]
    for row in table:
        cells = [row[0].ljust(widths[0])]
        cells += [cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True)]
        print("  ".join(cells))


def not_measured(found):
    """Return what a whole run has and this one lacks; its limits are in no table."""
    browsers = found["browsers"]
    missing = [name for name in (*testing.BROWSERS, QUARTER) if name not in browsers]
    missing += [
        f"{part} in {name}"
        for name in testing.BROWSERS
        for part in ("rounds", "typed")
        if name in browsers and not browsers[name][part]
    ]
    return missing if found["lighthouse"] else [*missing, "Lighthouse"]


def bench(*, quick=False, keep=False):
    """Build, measure, print, and write the figures. Return 1 when a budget is broken."""
    environment.ready(dev=True)
    found = measure(1 if quick else TURNS)
    told = tables(found)
    for title, head, rows in told:
        if rows:
            print(f"\n{title}\n")
            _print(head, rows)
    facts = found["machine"]
    print(f"\nOn {', '.join(f'{name} {fact}' for name, fact in facts.items())}")
    print(
        f"A run from the shell takes {found['shell_ms']:.0f} ms. Built in "
        f"{found['build_s']['with a new image']:.0f} s, again in {found['build_s']['again']:.0f} s."
    )
    missing = not_measured(found)
    for what in missing:
        print(f"NOT MEASURED: {what}")
    print("Each ratio is of two numbers of this run. Absolute times depend on the machine.")
    REPORT.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    if keep:
        figures = {"when": found["when"], "machine": facts, "missing": missing, "tables": told}
        KEPT.write_text(json.dumps(figures, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    return int(bool(missing) or any(row[-1] == "BROKEN" for row in told[0][2]))

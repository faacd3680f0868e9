"""Visit pages as a reader does, in one browser, and tell when the first live result was there.

    python -m handbook_tools.bench.visits BROWSER SITE PORT TURNS [quarter]

Prints one line of JSON: {"visits": {way: {"first" | "again" | "offline": [ms, ...]}},
"alone": {"again" | "offline": [ms, ...]}, "memory": {page: MB}, "rounds": {calculator: [ms, ...]},
"typed": [ms, ...]}.
Times are the page's own: from the start of the navigation to the answer on the page. `alone` is
from the start of a worker of the engine to its first answer, on a page that has come to rest.
With `quarter` the browser gets a quarter of the machine's processors.
"""

import contextlib
import json
import os
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[3]
sys.path[:0] = [str(ROOT), str(ROOT / "scripts"), str(ROOT / "tests" / "browser")]

from drivers import DRIVERS  # noqa: E402

from handbook_tools.bench import peers  # noqa: E402
from handbook_tools.bench.asked import requests  # noqa: E402
from handbook_tools.bench.place import Place  # noqa: E402

CALCULATOR = "pre-charge"
OURS = f"/set-the-pre-charge/#{CALCULATOR}?height=11.4%20m"
WAYS = {"handbook": OURS, **peers.PAGES}
ROUNDS = 20
LIMIT = 180
RENDERERS = {
    "chromium": "--type=renderer",
    "firefox": "-contentproc",
    "webkitgtk": "WebKitWebProcess",
}

MARK = """
const { failed } = document.documentElement.dataset;
if (failed) throw new Error(failed);
return performance.getEntriesByName("live-result")[0]?.startTime ?? null;
"""
KEPT = 'return document.documentElement.dataset.offline === "ready";'
ASK = """
const { visitEngine } = await import("/assets/js/engine.js");
const engine = visitEngine();
const spent = [];
for (const request of %s) {
  const begun = performance.now();
  const answer = await engine.ask(request);
  if (!answer.html && !answer.answer && !answer.results) throw new Error(JSON.stringify(answer));
  spent.push(performance.now() - begun);
}
return spent.slice(1);
"""
ALONE = """
const ask = %s;
return new Promise((resolve, reject) => {
  const begun = performance.now();
  const worker = new Worker("/assets/js/engine-worker.js", { type: "module" });
  worker.onerror = (event) => reject(new Error(event.message));
  worker.onmessage = ({ data }) => {
    if (data.type === "failed" || data.message) reject(new Error(data.message));
    if (data.type === "ready" && data.how !== "snapshot") reject(new Error(data.how));
    if (data.type === "ready") worker.postMessage({ type: "ask", text: JSON.stringify(ask) });
    if (data.type !== "answer") return;
    worker.terminate();
    if (JSON.parse(data.text).answer) resolve(performance.now() - begun);
    else reject(new Error(data.text.slice(0, 200)));
  };
  worker.postMessage({ type: "boot", snapshot: true });
});
"""
QUIET = "/glossary/"
PAUSE = 2
# What a reader takes from the first answer to the first key.
LOOK = 4
TYPED = """
const calculator = document.querySelector('live-calculator[data-calculator="pre-charge"]');
const field = calculator.querySelector('[name="height"]');
const shown = () =>
  [...calculator.querySelectorAll("output")].map((output) => output.dataset.value).join();
const spent = [];
for (let round = 0; round < %d; round += 1) {
  const before = shown();
  field.value = String(9 + round / 10);
  const begun = performance.now();
  field.dispatchEvent(new Event("input", { bubbles: true }));
  while (shown() === before) {
    if (performance.now() - begun > 20_000) throw new Error("no new answer in 20 s");
    await new Promise((go) => setTimeout(go, 1));
  }
  spent.push(performance.now() - begun);
}
return spent;
"""


def wait(browser, script):
    """Ask the page until it answers, and return the answer."""
    end = time.monotonic() + LIMIT
    while time.monotonic() < end:
        found = browser.eval_js(script)
        if found:
            return found
        time.sleep(0.05)
    raise RuntimeError(f"{browser.name}: not within {LIMIT} s: {script}")


def arrive(browser, address):
    """Open a page anew and return the milliseconds to its first live result."""
    browser.open("about:blank")
    browser.open(address)
    return wait(browser, MARK)


def biggest_process(name):
    """Return the memory of the browser's largest page process now, in MB, its shares counted."""
    sizes = []
    for place in Path("/proc").glob("[0-9]*"):
        with contextlib.suppress(OSError, StopIteration):
            if RENDERERS[name] not in (place / "cmdline").read_bytes().decode().replace("\0", " "):
                continue
            lines = (place / "smaps_rollup").read_text().splitlines()
            sizes.append(next(int(line.split()[1]) for line in lines if line.startswith("Pss:")))
    return max(sizes) / 1024 if sizes else None


def alone(browser, server):
    """Return the milliseconds from a worker's start to its first answer, on a page at rest."""
    browser.open("about:blank")
    browser.open(server.base + QUIET)
    wait(browser, KEPT)
    time.sleep(PAUSE)
    return browser.eval_js(ALONE % json.dumps(requests(0)[CALCULATOR][0]))


def turn(name, server, told, *, thorough):
    """Visit each way once with a browser that has never been there; add the times to `told`."""
    for way, path in WAYS.items():
        address = server.base + path
        browser = DRIVERS[name]()
        times = told["visits"].setdefault(way, {"first": [], "again": [], "offline": []})
        try:
            times["first"].append(arrive(browser, address))
            if way == "handbook":
                wait(browser, KEPT)
            times["again"].append(arrive(browser, address))
            told["memory"].setdefault(way, []).append(biggest_process(name))
            if way != "handbook":
                continue
            told["alone"]["again"].append(alone(browser, server))
            server.stop()
            times["offline"].append(arrive(browser, address))
            told["alone"]["offline"].append(alone(browser, server))
            server.start()
            if thorough:
                arrive(browser, address)
                time.sleep(LOOK)
                for calculator, turns in requests(ROUNDS).items():
                    told["rounds"][calculator] = browser.eval_js(ASK % json.dumps(turns))
                told["typed"] = browser.eval_js(TYPED % ROUNDS)
        finally:
            browser.close()


def page_alone(name, server):
    """Return the memory of a page that computes nothing."""
    browser = DRIVERS[name]()
    try:
        browser.open(server.base + QUIET)
        wait(browser, KEPT)
        return biggest_process(name)
    finally:
        browser.close()


@contextlib.contextmanager
def a_quarter():
    """Let this process and all that it starts have a quarter of the processors."""
    quota = 100_000 * os.cpu_count() // 4
    root = Path("/sys/fs/cgroup")
    second = (root / "cgroup.controllers").exists()
    top = root if second else root / "cpu"
    place = top / "handbook-bench"
    try:
        place.mkdir(exist_ok=True)
        if second:
            (place / "cpu.max").write_text(f"{quota} 100000")
        else:
            (place / "cpu.cfs_quota_us").write_text(str(quota))
        (place / "cgroup.procs").write_text(str(os.getpid()))
    except OSError as failure:
        raise SystemExit(
            f"Only root, on a Linux with control groups, can give a quarter ({failure})."
        ) from failure
    try:
        yield
    finally:
        (top / "cgroup.procs").write_text(str(os.getpid()))
        # What it started may take a moment to end.
        for _ in range(50):
            with contextlib.suppress(OSError):
                place.rmdir()
                break
            time.sleep(0.1)


def main(name, site, port, turns, *slowed):
    """Measure, and print what was found."""
    told = {
        "visits": {},
        "alone": {"again": [], "offline": []},
        "memory": {},
        "rounds": {},
        "typed": [],
    }
    with Place(site, port) as server, a_quarter() if slowed else contextlib.nullcontext():
        told["memory"]["page alone"] = [page_alone(name, server)]
        for number in range(int(turns)):
            turn(name, server, told, thorough=number == 0 and not slowed)
    print(json.dumps(told))


if __name__ == "__main__":
    main(*sys.argv[1:])

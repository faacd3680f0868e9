"""Time the start of the engine in each browser that is here, both ways in turn.

Run by `scripts/handbook.py bench`. Prints one line of JSON:
{browser: {"snapshot": [ms, ...], "plain": [ms, ...]}}, from the start of a worker to its first
answer, with the files fetched once before.
"""

import json
import sys
import threading
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "scripts"), str(ROOT / "tests" / "browser")]

from drivers import DRIVERS  # noqa: E402
from handbook_tools import serving, testing  # noqa: E402
from handbook_tools.base import SITE  # noqa: E402

TURNS = 4
START = """
const source = `
  import { bootEngine } from "${location.origin}/assets/js/engine-boot.mjs";
  try {
    const base = new URL("${location.origin}/assets/engine/");
    const engine = await bootEngine({ base, snapshot: %s });
    postMessage([engine.how, engine.respond('%s')]);
  } catch (failure) {
    postMessage(["failed", String(failure)]);
  }`;
const address = URL.createObjectURL(new Blob([source], { type: "text/javascript" }));
const begun = performance.now();
const worker = new Worker(address, { type: "module" });
const [how, answer] = await new Promise((resolve, reject) => {
  worker.onmessage = (event) => resolve(event.data);
  worker.onerror = (event) => reject(new Error(event.message));
});
const spent = performance.now() - begun;
worker.terminate();
return [how, answer, spent];
"""


def request():
    """Return a request as the page sends it: the first calculator's example."""
    from calc import bridge

    name = bridge.listing()[0]["id"]
    inputs = {given["name"]: given["default"] for given in bridge.description(name)["inputs"]}
    return json.dumps({"op": "run", "calculator": name, "system": "si", "inputs": inputs})


def timed(browser, address, text):
    """Return the times of both ways, taken in turn so that both meet the same machine."""
    browser.open(address)
    times = {"snapshot": [], "plain": []}
    escaped = text.replace("\\", "\\\\\\\\").replace("'", "\\\\'").replace("`", "\\`")
    for turn in range(TURNS):
        for way, spent in times.items():
            how, answer, passed = browser.eval_js(
                START % ("true" if way == "snapshot" else "false", escaped)
            )
            if how != way or "answer" not in json.loads(answer):
                raise RuntimeError(f"{browser.name} was to start {way}: {how}, {answer[:200]}")
            if turn:  # the first turn fetches and compiles
                spent.append(passed)
    return times


def main():
    found = {}
    with serving.server(SITE, 0) as running:
        threading.Thread(target=running.serve_forever, daemon=True).start()
        # A page without any script of its own.
        address = f"http://127.0.0.1:{running.server_port}/sitemap.xml"
        for name, driver in DRIVERS.items():
            if testing.found_browser(name):
                continue
            browser = driver()
            try:
                found[name] = timed(browser, address, request())
            except Exception as failure:
                print(f"{name}: {failure}", file=sys.stderr)
            finally:
                browser.close()
        running.shutdown()
    print(json.dumps(found))


if __name__ == "__main__":
    main()

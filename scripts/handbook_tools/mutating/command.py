"""Run the mutants: copy the tree, choose, run in two processes, count, hold against what is kept.

Started by `handbook.py mutate` with the environment's Python.
"""

import argparse
import json
import os
import shutil
import signal
import subprocess
import sys
import time

from ..base import HOME, ROOT, step
from . import add_words
from .choosing import (
    Choice,
    Coming,
    Tests,
    digests_of,
    file_of,
    modules_named,
    only,
    sampled,
    still_good,
)
from .counting import report

WORK = HOME / "mutation"
TREE = WORK / "tree"
LANES = 2


def _copied():
    """Copy what the tests need; the tree itself is never touched."""
    shutil.rmtree(TREE, ignore_errors=True)
    for name in ("calc", "view", "tests", "scripts", "docs", "overrides", "requirements"):
        ignore = shutil.ignore_patterns("__pycache__", "node_modules")
        shutil.copytree(ROOT / name, TREE / name, ignore=ignore)
    for path in ROOT.iterdir():
        if path.is_file():
            shutil.copy2(path, TREE / path.name)


def _running(*words):
    command = [sys.executable, "-m", "handbook_tools.mutating.running", *map(str, words)]
    command = ["nice", "-n", "19", *command] if shutil.which("nice") else command
    env = {**os.environ, "PYTHONPATH": f"{TREE}{os.pathsep}{TREE / 'scripts'}"}
    log = (WORK / "log.txt").open("a", encoding="utf-8")
    return subprocess.Popen(
        command, cwd=TREE, env=env, stdout=log, stderr=log, start_new_session=True
    )


def _test_names():
    out = WORK / "tests.json"
    out.unlink(missing_ok=True)
    _running("names", out).wait()
    return json.loads(out.read_text(encoding="utf-8"))


def _coming(names):
    """Return which tests come to which line. Only those are run that may come to others now."""
    kept = WORK / "coming.json"
    before = json.loads(kept.read_text(encoding="utf-8")) if kept.is_file() else {}
    digests = digests_of(TREE, {file_of(name) for name in names})
    old = still_good(before, digests, names)
    wanted = [name for name in names if name not in old]
    lanes = [only(lane, old) for lane in before.get("lanes", ())] if old else []
    if wanted:
        lanes += _mapped(wanted)
        kept.write_text(json.dumps({**digests, "lanes": lanes}), encoding="utf-8")
    return Coming.joined(lanes)


def _mapped(names):
    """Run tests in lanes. Return what each lane saw."""
    running, outs = [], []
    for lane in range(LANES):
        own, out = WORK / f"wanted-{lane}.json", WORK / f"map-{lane}.json"
        own.write_text(json.dumps(names[lane::LANES]), encoding="utf-8")
        running.append(_running("map", own, out))
        outs.append(out)
    for process in running:
        process.wait()
    found = [json.loads(out.read_text(encoding="utf-8")) for out in outs]
    for out in outs:
        out.unlink()
    return found


def _judged(mutants, tests, coming, budget, minutes):
    """Run the changes in lanes. Return what was told, by key."""
    lanes, end = [], time.monotonic() + 60 * minutes
    choice = Choice(TREE, tests, coming)
    for lane in range(LANES):
        plan, out = WORK / f"plan-{lane}.json", WORK / f"told-{lane}.jsonl"
        out.unlink(missing_ok=True)
        mine = mutants[lane::LANES]
        wanted = []
        for mutant in mine:
            asked = choice.of(mutant)
            fresh = choice.afresh(mutant, asked)
            wanted.append({**mutant.plain(), "key": mutant.key, "asked": asked, "afresh": fresh})
        text = json.dumps({"budget": budget, "names": choice.names, "mutants": wanted})
        plan.write_text(text, encoding="utf-8")
        lanes.append((_running("judge", plan, out), out))
    told = {}
    for process, out in lanes:
        try:
            process.wait(max(1.0, end - time.monotonic()))
        except subprocess.TimeoutExpired:
            # What was told until now is a sample too: the order is random.
            os.killpg(process.pid, signal.SIGTERM)
            process.wait()
        told |= told_in(out.read_text(encoding="utf-8"))
    return told


def told_in(text):
    """Return what was told of each change, by key.

    A change that was used while the modules loaded has to be judged again with everything loaded
    afresh; until then nothing is known of it.
    """
    told = {}
    for line in map(json.loads, text.rpartition("\n")[0].splitlines()):
        if "key" in line:
            told[tuple(line["key"])] = line
    return {key: line for key, line in told.items() if not line.get("early")}


def main(words=None):
    """Run the mutants that some words ask for. Return the exit code."""
    parser = argparse.ArgumentParser(prog="handbook.py mutate")
    add_words(parser)
    options = parser.parse_args(words)
    with step("Copying the tree and asking for its tests"):
        _copied()
        names = _test_names()
    modules = modules_named(TREE, options.modules)
    with step("Choosing the changes"):
        chosen, totals, words_left = sampled(TREE, modules, options.share, options.seed)
        tests = Tests(TREE, names)
    with step("Asking which tests come to which line"):
        coming = _coming(names)
    with step(f"Trying {len(chosen)} of {sum(totals.values())} changes"):
        told = _judged(chosen, tests, coming, options.budget, options.minutes)
    return report(chosen, totals, words_left, told, options)


if __name__ == "__main__":
    sys.exit(main())

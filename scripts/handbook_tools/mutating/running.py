"""Run tests against changed code, one forked process a change.

Works in a copy of the tree and is started by `mutating.command`, never by hand:

    python -m handbook_tools.mutating.running names OUT
    python -m handbook_tools.mutating.running map WANTED OUT
    python -m handbook_tools.mutating.running judge PLAN OUT

`names` writes the names of all tests. `map` runs the tests that a file names once and writes which
of them come to which line, and how long each takes. `judge` takes changes in turn, and asks the
tests that come to the line about each. A change inside a function is made by exchanging the code of
the living function, so a fork costs nothing but its tests. What is evaluated while modules load,
such as a constant, needs a fork that loads `calc` afresh with the changed text.
"""

import contextlib
import functools
import gc
import importlib
import importlib.machinery
import json
import os
import re
import resource
import signal
import sys
import time
import types
from pathlib import Path

import coverage
import pytest

LEFT_OUT = (
    # These read the site, the scripts or the machine, and reach nothing of calc of their own.
    "browser",
    "test_bench.py",
    "test_closed_*.py",
    "test_handbook_script.py",
    # Each entry is shown with hundreds of hostile texts: two thirds of the time of all, watched.
    "test_hostile_html.py",
    "test_licences.py",
    "test_mutating.py",
    "test_observed.py",
    "test_policy.py",
    "test_pythons.py",
    "test_search.py",
    "test_site_build.py",
    "test_stick.py",
    "test_typeface.py",
)
RANDOM_SITES = "12"
EARLY_SHARE = 0.1
"""Of the time for a change that was used on loading: all is asked again, with it loaded afresh."""
MEMORY = 6 << 30
"""Address space of one fork, so that a change that collects for ever ends. [bytes]"""

SURVIVED, BY_TEST, BY_ERROR, BY_TIME = "survived", "test", "error", "timeout"
_CODES = {SURVIVED: 0, BY_TEST: 11, BY_ERROR: 12}
_NAMES = {code: name for name, code in _CODES.items()}


def pytest_words():
    """Return what every pytest here is asked: the native tests and doctests, no files written."""
    return [
        "-q",
        "--no-header",
        "--doctest-modules",
        "-p",
        "no:cacheprovider",
        "-p",
        "no:xdist",
        "-m",
        "not site and not browser",
        *(f"--ignore-glob=*/{name}" for name in LEFT_OUT),
    ]


def quiet():
    """Send what a fork prints to nowhere."""
    nowhere = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nowhere, stream)


def living_caches():
    """Return the caches of functions of this project."""
    return [
        thing
        for thing in gc.get_objects()
        if isinstance(thing, functools._lru_cache_wrapper)
        and thing.__module__.partition(".")[0] in ("calc", "view")
    ]


class Names:
    """A plugin that keeps the names of the tests and runs none."""

    def __init__(self, out):
        self.out = out

    def pytest_collection_finish(self, session):
        Path(self.out).write_text(json.dumps([item.nodeid for item in session.items]))

    def pytest_runtestloop(self):
        return True


class Mapped:
    """A plugin that runs some of the tests and keeps which lines each comes to."""

    def __init__(self, wanted):
        self.wanted = set(wanted)
        self.passed = {}
        here = Path.cwd()
        self.root = here
        self.seen = coverage.Coverage(
            data_file=None, config_file=False, include=[f"{here}/calc/*"], messages=False
        )

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items):
        items[:] = [item for item in items if item.nodeid in self.wanted]

    def pytest_runtestloop(self, session):
        from _pytest.runner import runtestprotocol

        caches = [c for c in living_caches() if not c.__module__.endswith(".evidence")]
        self.seen.start()
        for number, item in enumerate(session.items):
            following = session.items[number + 1] if number + 1 < len(session.items) else None
            for cache in caches:
                cache.cache_clear()
            self.seen.switch_context(item.nodeid)
            begun = time.process_time()
            reports = runtestprotocol(item, nextitem=following, log=False)
            spent = time.process_time() - begun
            if not any(report.failed for report in reports):
                self.passed[item.nodeid] = spent
        self.seen.stop()
        return True

    def told(self):
        """Return the seconds of each test that passed, and the tests by file and line."""
        data = self.seen.get_data()
        order = {name: number for number, name in enumerate(self.passed)}
        lines = {}
        for file in sorted(data.measured_files()):
            found = data.contexts_by_lineno(file)
            lines[str(Path(file).relative_to(self.root))] = {
                line: sorted(order[name] for name in names if name in order)
                for line, names in found.items()
            }
        return {"passed": list(self.passed.items()), "lines": lines}


class Changed:
    """A change, with the codes it exchanges."""

    def __init__(self, mutant):
        self.mutant = mutant
        self.path = str(Path.cwd() / mutant["path"])
        source = Path(self.path).read_text(encoding="utf-8")
        self.text = source[: mutant["begin"]] + mutant["text"] + source[mutant["end"] :]
        self.source = source

    def compiled(self):
        return compile(self.text, self.path, "exec", dont_inherit=True)

    def pairs(self):
        """Return each code of the module with the one that takes its place, where they differ."""
        before = _by_place(compile(self.source, self.path, "exec", dont_inherit=True))
        after = _by_place(self.compiled())
        return [
            (old, after[place])
            for place, old in before.items()
            if place in after and after[place] != old and old.co_name != "<module>"
        ]


def _by_place(code):
    found = {}

    def walk(inner):
        number = 0
        while (inner.co_qualname, number) in found:
            number += 1
        found[inner.co_qualname, number] = inner
        for const in inner.co_consts:
            if isinstance(const, types.CodeType):
                walk(const)

    walk(code)
    return found


def _living_functions():
    """Return the functions of calc by file and code."""
    here = str(Path.cwd() / "calc") + os.sep
    found = {}
    for thing in gc.get_objects():
        if isinstance(thing, types.FunctionType):
            code = thing.__code__
            if code.co_filename.startswith(here):
                found.setdefault((code.co_filename, code), []).append(thing)
    return found


def _limits(seconds):
    """End this process when it computes, waits or collects for ever."""
    most = int(seconds) + 1
    resource.setrlimit(resource.RLIMIT_CPU, (most, most + 5))
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    signal.signal(signal.SIGALRM, signal.SIG_DFL)
    signal.alarm(1200)


def _outcome_of(report):
    """Return whether a failed report is that of a test that says no, or of an error on the way."""
    crash = getattr(report.longrepr, "reprcrash", None)
    words = crash.message if crash else str(report.longrepr)
    first = words.split(":")[0].split("(")[0].strip()
    says_no = first.startswith(("AssertionError", "assert", "Failed", "[XPASS")) or not crash
    return (BY_TEST if says_no else BY_ERROR), words.strip().splitlines()[0][:200] if words else ""


def in_a_fork(work, seconds):
    """Run `work` in a fork. Return what it tells, or that its time was over."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        os.close(reading)
        told = {"outcome": BY_ERROR, "words": "ended unseen"}
        try:
            _limits(seconds)
            quiet()
            told = work()
        except BaseException as problem:
            told = {"outcome": BY_ERROR, "words": repr(problem)[:200]}
        finally:
            os.write(writing, json.dumps(told).encode()[:60_000])
            os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as pipe:
        told = pipe.read()
    _, status = os.waitpid(child, 0)
    if told:
        return json.loads(told)
    if os.WIFSIGNALED(status):
        late = os.WTERMSIG(status) in (signal.SIGXCPU, signal.SIGALRM, signal.SIGKILL)
        return {"outcome": BY_TIME if late else BY_ERROR, "words": f"signal {os.WTERMSIG(status)}"}
    return {"outcome": BY_ERROR, "words": "ended without a word"}


def _naming_first(items, scope):
    """Return items with those first that name the place of a change, such as a function."""
    names = set(scope.split("."))

    def names_it(item):
        code = getattr(getattr(item, "function", None), "__code__", None)
        words = re.split(r"\W+", item.nodeid.partition("::")[2])
        return not names.isdisjoint(words) or (bool(code) and not names.isdisjoint(code.co_names))

    return sorted(items, key=lambda item: not names_it(item))


class Judge:
    """A plugin that takes the place of the test loop: one fork for each change."""

    def __init__(self, plan, tell):
        self.plan, self.tell = plan, tell
        self.early = set()

    def profile(self, frame, event, argument):
        if event == "call":
            self.early.add(frame.f_code)

    def pytest_collection_finish(self):
        sys.setprofile(None)

    def pytest_runtestloop(self, session):
        self.items = {item.nodeid: item for item in session.items}
        self.caches = living_caches()
        self.functions = _living_functions()
        gc.collect()
        gc.freeze()
        self.proven, self.failing = set(), set()
        self.tell({"modules": _others()})
        for mutant in self.plan["mutants"]:
            if not mutant["loading"]:
                self._judge(Changed(mutant))
        self.tell({"proven": sorted(self.proven), "failing": sorted(self.failing)})
        return True

    def _is_sound(self, name):
        """Return whether a test passes without any change; only then its no means something."""
        if name not in self.proven | self.failing:
            told = in_a_fork(lambda: _run([self.items[name]], 1), 300)
            (self.proven if told["outcome"] == SURVIVED else self.failing).add(name)
        return name in self.proven

    def _judge(self, changed):
        mutant = changed.mutant
        pairs = changed.pairs()
        living = [
            (function, new)
            for old, new in pairs
            for function in self.functions.get((changed.path, old), ())
        ]
        if not living:
            self.tell({"key": mutant["key"], "why": "no living function"})
            return
        asked = [self.plan["names"][number] for number in mutant["asked"]]
        names = [n for n in asked if n in self.items and n not in self.failing]
        chosen = _naming_first([self.items[name] for name in names], mutant["scope"])
        early = any(old in self.early for old, _ in pairs)
        budget = self.plan["budget"] * (EARLY_SHARE if early else 1.0)

        def work():
            for cache in self.caches:
                if not cache.__module__.endswith(".evidence"):
                    cache.cache_clear()
            for function, new in living:
                function.__code__ = new
            return _run(chosen, budget)

        told = in_a_fork(work, 3 * budget + 30)
        if "by" in told and not self._is_sound(told["by"]):
            self._judge(changed)
            return
        if told["outcome"] == SURVIVED and early:
            told["early"] = True
        self.tell({"key": mutant["key"], **told})


def _run(items, budget):
    """Run items until one fails or the budget is spent. Return what is to be told."""
    from _pytest.runner import runtestprotocol

    begun = time.process_time()
    for number, item in enumerate(items):
        following = items[number + 1] if number + 1 < len(items) else None
        for report in runtestprotocol(item, nextitem=following, log=False):
            if report.failed:
                outcome, words = _outcome_of(report)
                return {"outcome": outcome, "by": item.nodeid, "words": words, "ran": number + 1}
        if time.process_time() - begun > budget:
            return {"outcome": SURVIVED, "ran": number + 1, "of": len(items)}
    return {"outcome": SURVIVED, "ran": len(items), "of": len(items)}


class Afresh:
    """A plugin for a fork that loads everything anew: runs what was chosen and keeps its word."""

    def __init__(self, tests, scope, budget):
        self.scope = scope
        self.order = {test: number for number, test in enumerate(tests)}
        self.budget = budget
        self.told = {"outcome": BY_ERROR, "words": "the tests could not be loaded", "ran": 0}

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items):
        items[:] = sorted(
            (item for item in items if item.nodeid in self.order),
            key=lambda item: self.order[item.nodeid],
        )

    def pytest_runtestloop(self, session):
        if session.testsfailed:
            return None
        self.told = _run(_naming_first(session.items, self.scope), self.budget)
        return True


def _load_changed(changed):
    """Make the import of one module take the changed text."""
    loader = importlib.machinery.SourceFileLoader
    plain = loader.get_code

    def get_code(self, fullname):
        if self.path == changed.path:
            return changed.compiled()
        return plain(self, fullname)

    loader.get_code = get_code


def _afresh(changed, tests, budget):
    """Load everything in a fork, with a change or without, and run some tests."""
    files = sorted({test.partition("::")[0] for test in tests})

    def work():
        if changed:
            _load_changed(changed)
        plugin = Afresh(tests, changed.mutant["scope"] if changed else "", budget)
        # A module whose own examples are among the tests is loaded by pytest's importer, which
        # words assertions, and would come without the change.
        pytest.main([*pytest_words(), "--assert=plain", *files], plugins=[plugin])
        return plugin.told

    return in_a_fork(work, 3 * budget + 60)


def _judge_afresh(mutant, tests, budget, proven, failing):
    changed = Changed(mutant)
    while True:
        tests = [test for test in tests if test not in failing]
        told = _afresh(changed, tests, budget)
        name = told.get("by")
        if not name or name in proven:
            return told
        sound = _afresh(None, [name], budget)["outcome"] == SURVIVED
        (proven if sound else failing).add(name)


def _others():
    """Return the modules loaded here that are not of this project."""
    here = f"{Path.cwd()}{os.sep}"
    files = {name: getattr(module, "__file__", None) for name, module in sys.modules.items()}
    return sorted(n for n, f in files.items() if not n.startswith("__") and f and here not in f)


def _import_others(names):
    """Import what the tests use besides this project, so that forks need not."""
    for name in names:
        with contextlib.suppress(BaseException):
            importlib.import_module(name)
    if "calc" in sys.modules:
        raise RuntimeError("calc is loaded already: a fork would not see the changed text")


def judge(plan_path, out):
    """Judge every change of a plan; write a line for each."""
    os.environ["HANDBOOK_RANDOM_RUNS"] = RANDOM_SITES
    plan = json.loads(Path(plan_path).read_text(encoding="utf-8"))
    told, proven, failing = {}, set(), set()
    with open(out, "a", encoding="utf-8") as kept:

        def tell(line):
            kept.write(json.dumps(line, ensure_ascii=False) + "\n")
            kept.flush()

        child = os.fork()
        if not child:
            plugin = Judge(plan, tell)
            sys.setprofile(plugin.profile)
            pytest.main([*pytest_words(), "tests", "calc"], plugins=[plugin])
            kept.flush()
            os._exit(0)
        os.waitpid(child, 0)
        lines = Path(out).read_text(encoding="utf-8").splitlines()
        for line in map(json.loads, lines):
            if "modules" in line:
                _import_others(line["modules"])
            elif "proven" in line:
                proven, failing = set(line["proven"]), set(line["failing"])
            else:
                told[tuple(line["key"])] = line
        gc.collect()
        gc.freeze()
        for mutant in plan["mutants"]:
            line = told.get(tuple(mutant["key"]), {})
            if mutant["loading"] or (line.get("early") or "why" in line):
                tests = [plan["names"][number] for number in mutant["afresh"]]
                found = _judge_afresh(mutant, tests, plan["budget"], proven, failing)
                tell({"key": mutant["key"], **found, "afresh": True})


if __name__ == "__main__":
    sys.path[:0] = [str(Path.cwd()), str(Path.cwd() / "scripts")]
    if sys.argv[1] == "names":
        pytest.main([*pytest_words(), "tests", "calc"], plugins=[Names(sys.argv[2])])
    elif sys.argv[1] == "map":
        os.environ["HANDBOOK_RANDOM_RUNS"] = RANDOM_SITES
        wanted = json.loads(Path(sys.argv[2]).read_text(encoding="utf-8"))
        mapped = Mapped(wanted)
        files = dict.fromkeys(name.partition("::")[0] for name in wanted)
        pytest.main([*pytest_words(), *files], plugins=[mapped])
        Path(sys.argv[3]).write_text(json.dumps(mapped.told()), encoding="utf-8")
    else:
        judge(sys.argv[2], sys.argv[3])

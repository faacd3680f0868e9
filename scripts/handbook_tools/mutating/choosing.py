"""Which changes are tried, and which tests are asked about each."""

import ast
import hashlib
import random
import re
from collections import Counter, defaultdict
from pathlib import Path

from .changes import mutants_of

SUBJECTS = "calc: subjects"
CORE = "calc: units, entries, model"
TABLES = "calc: readings, tables, shell"

BY_CALCULATOR = ("tests/test_laws.py", "tests/test_inverses.py", "tests/test_evidence.py")
"""Tests of every calculator, of which only those of the near ones are asked."""

MOST_CALCULATORS = 4
MOST_FILES = 5
HANDFUL = 20

HEAVY_FILES = (
    "tests/test_coursefile.py",
    "tests/test_drills.py",
    "tests/test_job_file.py",
    "tests/test_problem_laws.py",
    "tests/test_problems.py",
    "tests/test_report.py",
    "tests/test_results.py",
    "tests/test_walk.py",
)
"""Long plays and files. They are asked last."""

FULL_SAMPLE = {
    SUBJECTS: (300, 60),
    CORE: (150, 15),
    "calc/fluids": (80, 8),
    "calc/equations": (100, 30),
    "calc/calculators": (260, 15),
    "calc/training": (120, 8),
    "calc/plant": (80, 4),
    "calc/job": (80, 4),
    "calc/files": (50, 2),
    TABLES: (60, 3),
}
"""How many changes of each part are tried, those inside functions and those on loading."""

NO_MATTER = ("scripts/handbook_tools/mutating/", "tests/browser/", "tests/mutation/")
"""This tool, its reasons and the browsers: they change no line that a test comes to."""

SLOW = re.compile(r"random|fuzz|whatever_comes|every_seed")


def package_of(path):
    """Return the package that a module is counted with."""
    parts = Path(path).parts
    if len(parts) > 2:
        return f"calc/{parts[1]}"
    core = {"units", "typed", "entries", "model", "bridge", "sources", "site", "facts"}
    others = {"__main__", "evidence", "reference", "readings", "gauge_line", "reading_charts"}
    name = Path(path).stem
    if name in core:
        return CORE
    if name in others or name == "jobfile":
        return TABLES
    return SUBJECTS


def modules_named(root, names):
    """Return the modules of calc that some words name, or all of them."""
    everything = sorted(path.relative_to(root).as_posix() for path in (root / "calc").rglob("*.py"))
    if not names:
        return everything
    wanted = {name.removesuffix(".py").replace(".", "/") for name in names}
    return [
        path
        for path in everything
        if any(path.removesuffix(".py") == w or path.startswith(f"{w}/") for w in wanted)
    ]


def sampled(root, modules, share, seed):
    """Return the changes to try in a random order, the count of all by package, and of texts.

    Without a share a part is judged by a fixed number of its changes. Those inside functions and
    those of what is evaluated on loading are drawn apart: the second cost ten times the first.
    """
    everything, words = defaultdict(list), defaultdict(int)
    for path in modules:
        found, left = mutants_of(path, (root / path).read_text(encoding="utf-8"))
        everything[package_of(path)] += found
        words[package_of(path)] += left
    chosen = []
    for package, mutants in everything.items():
        for loading in (False, True):
            pile = [mutant for mutant in mutants if mutant.loading == loading]
            most = FULL_SAMPLE[package][loading] if share is None else round(len(pile) * share)
            draw = random.Random(f"{seed} {package} {loading}")
            picked = draw.sample(pile, min(most, len(pile)))
            chosen += [(number / len(picked), mutant) for number, mutant in enumerate(picked)]
    chosen.sort(key=lambda pair: pair[0])
    counts = {package: len(mutants) for package, mutants in sorted(everything.items())}
    return [mutant for _, mutant in chosen], counts, words


class Tests:
    """The tests of this project, and which of them are about a module.

    A test file is about the modules it imports, a row of evidence about the function or
    calculator it names, a law about its calculator. Near calculators come first: those
    that need the fewest imports to arrive at the module.
    """

    def __init__(self, root, names):
        self.root = root
        self.by_file = defaultdict(list)
        for name in names:
            self.by_file[file_of(name)].append(name)
        self.imported_by = _imported_by(root)
        self.files_about = self._files_about()
        self.kept = {}

    def of(self, path):
        """Return the tests to ask about a module, those that tell soonest first."""
        if path not in self.kept:
            self.kept[path] = self._found(path)
        return self.kept[path]

    def _found(self, path):
        about = self._near_files(path)
        piles = [self.by_file[name] for name in about if name not in {*BY_CALCULATOR, *HEAVY_FILES}]
        stem = ".".join(Path(path).with_suffix("").parts[1:]).removesuffix(".__init__")
        rows = self.by_file["tests/test_evidence.py"]
        piles.append([name for name in rows if f":{stem}." in name])
        laws = [name for file in BY_CALCULATOR for name in self.by_file[file]]
        for calculator in self._nearest_calculators(path)[:MOST_CALCULATORS]:
            mine = re.compile(rf":{calculator}:|[\[-]{calculator}(-\d+)?[\]-]")
            piles.append([name for name in laws if mine.search(name)])
        found = [*self.by_file[path], *_in_turn(piles)]
        found += [test for name in about if name in HEAVY_FILES for test in self.by_file[name]]
        quick = [name for name in found if not SLOW.search(name)]
        slow = [name for name in found if SLOW.search(name)]
        return list(dict.fromkeys(quick + slow))

    def _rings(self, path):
        """Give the module, then what imports it, then what imports that, and so on."""
        seen, ring = {path}, [path]
        while ring:
            yield ring
            ring = sorted({n for name in ring for n in self.imported_by[name]} - seen)
            seen |= set(ring)

    def _nearest_calculators(self, path):
        """Return calculators by how many imports lie between them and a module."""
        names = [_calculator_of(name) for ring in self._rings(path) for name in ring]
        return list(dict.fromkeys(filter(None, names)))

    def _near_files(self, path):
        """Return test files by how many imports lie between them and a module."""
        found = [name for name in mirrors_of(path) if name in self.by_file]
        for ring in self._rings(path):
            found += sorted({test for name in ring for test in self.files_about[name]})
            if len(set(found)) >= MOST_FILES:
                break
        return list(dict.fromkeys(found))

    def _files_about(self):
        found = defaultdict(set)
        for name in self.by_file:
            if name.startswith("tests/"):
                for path in _imports(self.root / name, self.root):
                    found[path].add(name)
        return found


def mirrors_of(path):
    """Return the test files named after a module, its own before that of its package."""
    parts = Path(path).with_suffix("").parts
    return [f"tests/test_{part}.py" for part in reversed(parts[1:])]


def file_of(name):
    """Return the file of a test."""
    return name.partition("::")[0]


def digests_of(root, files):
    """Return what the lines that tests come to hang on, as digests.

    There is one for each of the `files` of tests and for each module of `calc`, whose examples are
    tests as well, and one for all else. A file of tests hangs on those it imports too.
    """
    texts = {}
    for path in sorted(path for path in root.rglob("*") if path.suffix in (".py", ".toml")):
        name = path.relative_to(root).as_posix()
        if not name.startswith(NO_MATTER):
            texts[name] = path.read_bytes()
    apart = re.compile(r"tests/test_\w+\.py|calc/.*\.py")
    own = {name: texts.pop(name) for name in sorted(texts) if apart.fullmatch(name)}
    found = {}
    for file, text in own.items():
        words = set(re.findall(r"\btest_\w+", text.decode()))
        used = sorted(f"tests/{word}.py" for word in words if f"tests/{word}.py" in own)
        found[file] = _digest([text, *(own[name] for name in used)])
    rest = _digest([part for name, text in sorted(texts.items()) for part in (name.encode(), text)])
    return {**dict.fromkeys(files, rest), **found, "all else": rest}


def still_good(before, digests, names):
    """Return those tests whose lines are known, `before` being what was kept with its digests.

    A test that never came to a line of a changed module goes where it went, unless a constant of
    that module sends it elsewhere: then it is asked of one line too few or too many.
    """
    if before.get("all else") != digests["all else"]:
        return set()
    same = {file for file, digest in digests.items() if before.get(file) == digest}
    moved = set()
    for lane in before.get("lanes", ()):
        for path, lines in lane["lines"].items():
            if path not in same:
                moved |= {lane["passed"][test][0] for tests in lines.values() for test in tests}
    return {name for name in names if file_of(name) in same and name not in moved}


def _digest(parts):
    digest = hashlib.sha256()
    for part in parts:
        digest.update(hashlib.sha256(part).digest())
    return digest.hexdigest()


def only(lane, names):
    """Return what one process saw of some tests, as if it had run no others."""
    numbers, passed = {}, []
    for number, (name, spent) in enumerate(lane["passed"]):
        if name in names:
            numbers[number] = len(passed)
            passed.append([name, spent])
    lines = {
        path: {
            line: [numbers[test] for test in tests if test in numbers]
            for line, tests in found.items()
        }
        for path, found in lane["lines"].items()
    }
    return {"passed": passed, "lines": lines}


class Coming:
    """Which tests come to which line of `calc`: numbers of tests, the quickest first."""

    def __init__(self, names, lines):
        self.names = names
        self.lines = lines

    @classmethod
    def joined(cls, lanes):
        """Return what some processes saw, each of its own share of the tests."""
        passed = sorted((spent, name) for lane in lanes for name, spent in lane["passed"])
        names = [name for _, name in passed]
        order = {name: number for number, name in enumerate(names)}
        lines = {}
        for lane in lanes:
            own = [order[name] for name, _ in lane["passed"]]
            for path, found in lane["lines"].items():
                for line, tests in found.items():
                    numbers = lines.setdefault(path, {}).setdefault(line, [])
                    numbers += [own[test] for test in tests]
        for found in lines.values():
            for numbers in found.values():
                numbers.sort()
        return cls(names, lines)

    def to(self, path, lines):
        """Return the numbers of the tests that come to some lines, the quickest first."""
        found = self.lines.get(path, {})
        return sorted({test for line in lines for test in found.get(str(line), ())})


class Choice:
    """The tests to ask about each change, as numbers of `names`."""

    def __init__(self, root, tests, coming):
        self.root, self.tests, self.coming = root, tests, coming
        self.names = coming.names
        self.order = {name: number for number, name in enumerate(self.names)}
        self.statements = {}
        self.users = None

    def of(self, mutant):
        """Return the tests that come to a change, or those near its module."""
        if mutant.loading:
            found = self._using(mutant.path, mutant.scope.partition(".")[0])
            return list(dict.fromkeys([*found, *self._near(mutant.path)]))
        span = range(mutant.line, mutant.last_line + 1)
        found = self.coming.to(mutant.path, span) or self.coming.to(
            mutant.path, self._statement(mutant)
        )
        # Everything comes to the middle of calc, and the quickest of it is not about it.
        own = set(mirrors_of(mutant.path)) - set(HEAVY_FILES)
        return sorted(found, key=lambda test: self._file(test) not in own) or self._near(
            mutant.path
        )

    def afresh(self, mutant, asked):
        """Return those tests of a few files, since a fork that loads all anew loads them too."""
        near = {self._file(test) for test in self._near(mutant.path)}
        common = Counter(self._file(test) for test in asked)
        few = [name for name, _ in common.most_common() if name not in near]
        kept = near | set(few[:MOST_FILES])
        return [test for test in asked if self._file(test) in kept]

    def _file(self, test):
        return file_of(self.names[test])

    def _near(self, path):
        return [self.order[name] for name in self.tests.of(path) if name in self.order]

    def _statement(self, mutant):
        """Return the lines of the smallest statement around a change, without its body."""
        if mutant.path not in self.statements:
            text = (self.root / mutant.path).read_text(encoding="utf-8")
            found = [node for node in ast.walk(ast.parse(text)) if isinstance(node, ast.stmt)]
            self.statements[mutant.path] = [(n.lineno, _last_of_head(n)) for n in found]
        around = [
            (last - first, first, last)
            for first, last in self.statements[mutant.path]
            if first <= mutant.line <= last
        ]
        _, first, last = min(around, default=(0, mutant.line, mutant.line))
        return range(first, last + 1)

    def _using(self, home, name):
        """Return the tests that come to a line with a name, such as that of a constant."""
        if self.users is None:
            self.users = defaultdict(set)
            for path in self.coming.lines:
                text = (self.root / path).read_text(encoding="utf-8")
                for number, line in enumerate(text.splitlines(), 1):
                    for word in re.findall(r"\w+", line):
                        self.users[word].add((path, number))
        places = [
            (path, line)
            for path, line in (self.users[name] if name else ())
            if path == home or not name.startswith("_")
        ]
        return sorted({test for path, line in places for test in self.coming.to(path, [line])})


def _last_of_head(node):
    body = getattr(node, "body", None)
    return body[0].lineno - 1 if body else node.end_lineno


def _in_turn(piles):
    """Return what lies in some piles, a handful of each in turn, so that none waits for long."""
    longest = max(map(len, piles), default=0)
    return [
        name
        for begin in range(0, longest, HANDFUL)
        for pile in piles
        for name in pile[begin : begin + HANDFUL]
    ]


def _calculator_of(path):
    parts = Path(path).with_suffix("").parts
    if parts[:2] != ("calc", "calculators") or len(parts) < 3 or parts[2] in ("__init__", "common"):
        return ""
    return parts[2].replace("_", "-")


def _imports(path, root):
    """Return the modules of calc that a file imports anywhere, as paths."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
            names = [f"{node.module}.{alias.name}" for alias in node.names] + [node.module]
        else:
            continue
        for name in names:
            base = root / name.replace(".", "/")
            for file in (base.with_suffix(".py"), base / "__init__.py"):
                if name.startswith("calc.") and file.exists():
                    found.add(file.relative_to(root).as_posix())
    return found


def _imported_by(root):
    found = defaultdict(list)
    for path in sorted((root / "calc").rglob("*.py")):
        name = path.relative_to(root).as_posix()
        for used in _imports(path, root):
            found[used].append(name)
    return found

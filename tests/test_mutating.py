"""The tool that changes the working on purpose: what it changes, how it counts."""

import json
import os
import subprocess
import sys
import textwrap

import pytest
from handbook_tools.mutating import choosing, counting, page

pytest.importorskip("libcst")
from handbook_tools.mutating import command
from handbook_tools.mutating.changes import mutants_of

pytestmark = pytest.mark.native

TESTS = counting.ROOT / "tests"
SOURCE = textwrap.dedent(
    '''
    """Words at the head."""

    import functools

    SHARE = 0.2
    ROW = Row(label="Share", number=3)


    @functools.cache
    def grown(volume: float, rise: float = 2.0) -> float:
        """Return a growth."""
        if volume <= 0:
            raise Refusal(say("Too small. Enter more."))
        return (
            volume
            * rise
        )


    HEAT = Equation(function=lambda mass, rise: mass * rise, label="Heat")
    '''
).lstrip()


@pytest.fixture(scope="module")
def found():
    return mutants_of("calc/thing.py", SOURCE)[0]


def test_every_change_is_sound_python_and_changes_something(found):
    for mutant in found:
        changed = mutant.applied(SOURCE)
        assert changed != SOURCE
        compile(changed, "thing", "exec")


def test_lambdas_constants_and_decorated_functions_are_changed_too(found):
    changes = {(m.scope, m.before, m.after, m.loading) for m in found}
    assert ("HEAT", "mass * rise", "mass / rise", False) in changes
    assert ("SHARE", "0.2", "1.2", True) in changes
    assert ("grown", "<= 0", "< 0", False) in changes
    assert ("grown", "2.0", "3.0", True) in changes
    assert any(m.scope == "grown" and m.after == "volume / rise" for m in found)


def test_texts_and_notes_of_types_are_left_alone(found):
    assert not any("Words" in m.before or "Too small" in m.after for m in found)
    assert not any(m.before == "float" for m in found)
    assert mutants_of("calc/thing.py", SOURCE)[1] > 3


def test_that_two_lists_are_of_one_length_is_left_alone():
    source = "def sums(a, b):\n    return [x + y for x, y in zip(a, b, strict=True)]\n"
    assert {m.after for m in mutants_of("calc/thing.py", source)[0]} == {
        "x - y",
        "zip(None, b, strict=True)",
        "zip(a, None, strict=True)",
        "zip(b, strict=True)",
        "zip(a, strict=True)",
    }


def test_every_change_has_a_name_of_its_own(found):
    assert len({m.key for m in found}) == len(found)


def test_a_name_stays_when_lines_move(found):
    moved, _ = mutants_of("calc/thing.py", SOURCE.replace("import functools", "import functools\n"))
    assert {m.key for m in moved} == {m.key for m in found}


def test_the_span_of_a_share_is_that_of_the_printed_example():
    # Wilson's interval for 8 of 10, as textbooks print it: 0.490 to 0.943.
    assert counting.wilson(8, 10) == pytest.approx((0.490, 0.943), abs=5e-4)


def test_a_change_counts_once_and_what_was_not_tried_is_no_success(found):
    told = {
        found[0].key: {"outcome": "test"},
        found[1].key: {"outcome": "error"},
        found[2].key: {"outcome": "timeout"},
        found[3].key: {"outcome": "survived"},
        found[4].key: {"outcome": "survived"},
    }
    row, left = counting.counted(found[:6], told, {found[4].key: "nothing changes"})
    assert (row["tried"], row["killed"], row["explained"], row["survived"]) == (5, 3, 1, 1)
    assert row["untried"] == 1
    assert row["score"] == pytest.approx(3 / 4)
    assert left[0]["line"] == found[3].line


def test_an_explanation_that_no_longer_holds_is_said(tmp_path, found):
    (tmp_path / "calc").mkdir()
    (tmp_path / "calc" / "thing.py").write_text(SOURCE, encoding="utf-8")
    gone = ("calc/thing.py", "grown", "a", "b", 1)
    seen = found[0].key
    still = found[1].key
    reasons = {gone: "x", seen: "x", still: "x"}
    said = counting.stale(reasons, {seen: {"outcome": "test"}}, tmp_path)
    assert len(said) == 2
    assert said[0].startswith("No such change any more")
    assert said[1].startswith("A test sees it now")


def test_a_seed_draws_the_same_sample_again():
    first, totals, _ = choosing.sampled(counting.ROOT, ["calc/atmosphere.py"], 0.5, 4)
    again, _, _ = choosing.sampled(counting.ROOT, ["calc/atmosphere.py"], 0.5, 4)
    other, _, _ = choosing.sampled(counting.ROOT, ["calc/atmosphere.py"], 0.5, 5)
    assert first == again != other
    assert len(first) == sum(totals.values()) // 2


def test_every_module_belongs_to_a_part_that_has_a_sample():
    paths = choosing.modules_named(counting.ROOT, [])
    assert {choosing.package_of(path) for path in paths} <= set(choosing.FULL_SAMPLE)


def test_every_module_with_code_is_asked_of_some_test():
    names = [path.relative_to(counting.ROOT).as_posix() for path in TESTS.glob("test_*.py")]
    tests = choosing.Tests(counting.ROOT, [f"{name}::test" for name in names])
    for path in choosing.modules_named(counting.ROOT, []):
        if not path.endswith("__init__.py"):
            assert tests.of(path), path


def test_the_tests_named_after_a_module_are_asked_first(tmp_path):
    names = ["calc/pump.py::doc", "tests/test_all.py::test_all", "tests/test_pump.py::test_pump"]
    seen = {
        "passed": [[name, n] for n, name in enumerate(names)],
        "lines": {"calc/pump.py": {"1": [0, 1, 2]}},
    }
    coming = choosing.Coming.joined([seen])
    (tmp_path / "calc").mkdir()
    choice = choosing.Choice(tmp_path, choosing.Tests(tmp_path, []), coming)
    (mutant,) = mutants_of("calc/pump.py", "def head(a, b): return a + b\n")[0][:1]
    assert [names[n] for n in choice.of(mutant)] == [names[2], names[0], names[1]]


def test_every_explained_change_is_still_there():
    assert counting.stale(counting.explained(), {}, counting.ROOT) == []


def test_the_page_shows_the_kept_score():
    shown = page.table()
    assert shown.count("<tr>") > 5
    assert "seed" in shown


SMALL = {
    "pyproject.toml": "[tool.pytest.ini_options]\n"
    'pythonpath = ["."]\naddopts = "--import-mode=importlib"\n'
    'markers = ["site: none", "browser: none"]\n',
    "calc/__init__.py": "",
    "calc/sizes.py": "SIZES = (14.0, 11.5)\nUNSEEN = 7.0\n\n\n"
    'def doubled(size):\n    """Return twice the size.\n\n    >>> doubled(2.0)\n    4.0\n    """\n'
    "    return size * 2.0\n",
    "view/__init__.py": "",
    "tests/test_sizes.py": "from calc import sizes\n\n\n"
    "def test_sizes():\n    assert sizes.SIZES == (14.0, 11.5)\n\n\n"
    "def test_doubled():\n    assert sizes.doubled(3.0) == 6.0\n",
}


def write(folder, texts):
    for name, text in texts.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")


def running(folder, *words):
    """Let the tool's other process do one thing in a tree."""
    done = subprocess.run(
        [sys.executable, "-m", "handbook_tools.mutating.running", *words],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(counting.ROOT / "scripts")},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr[-2000:]


def test_a_change_in_a_function_and_one_while_loading_are_both_seen(tmp_path):
    write(tmp_path, SMALL)
    mutants, _ = mutants_of("calc/sizes.py", SMALL["calc/sizes.py"])
    tests = ["tests/test_sizes.py::test_sizes", "tests/test_sizes.py::test_doubled"]
    # With a module's own examples, pytest loads it in another way.
    tests.append("calc/sizes.py::calc.sizes.doubled")
    plan = {
        "budget": 20.0,
        "names": tests,
        "mutants": [
            {**mutant.plain(), "key": mutant.key, "asked": [0, 1, 2], "afresh": [0, 1, 2]}
            for mutant in mutants
        ],
    }
    (tmp_path / "plan.json").write_text(json.dumps(plan), encoding="utf-8")
    running(tmp_path, "judge", "plan.json", "out")
    told = {}
    for line in map(json.loads, (tmp_path / "out").read_text("utf-8").splitlines()):
        if "outcome" in line:
            told[tuple(line["key"])] = line["outcome"]
    assert {tuple(m.key) for m in mutants} == set(told)
    for (_, scope, before, *_), outcome in told.items():
        assert (outcome == "survived") is ("UNSEEN" in scope + before), told


def test_a_file_of_tests_that_changed_is_asked_again_and_no_other(tmp_path):
    texts = SMALL | {
        "tests/test_more.py": "from tests.test_sizes import test_sizes\n",
        "tests/test_apart.py": "def test_apart():\n    pass\n",
    }
    write(tmp_path, texts)
    files = {name for name in texts if name.startswith("tests/")} | {"calc/sizes.py"}

    def changed_by(name):
        before = choosing.digests_of(tmp_path, files)
        path = tmp_path / name
        path.write_text(path.read_text("utf-8") + "# more\n", encoding="utf-8")
        after = choosing.digests_of(tmp_path, files)
        return {file for file in before if before[file] != after[file]}

    # The second imports from the first.
    assert changed_by("tests/test_sizes.py") == {"tests/test_sizes.py", "tests/test_more.py"}
    assert changed_by("tests/test_apart.py") == {"tests/test_apart.py"}
    assert changed_by("calc/sizes.py") == {"calc/sizes.py"}
    assert changed_by("view/__init__.py") == {"all else"}


def test_tests_that_came_to_a_changed_module_are_asked_again():
    lane = {
        "passed": [["tests/test_a.py::one", 0.5], ["tests/test_b.py::two", 0.2]],
        "lines": {"calc/x.py": {"7": [0]}, "calc/y.py": {"9": [0, 1]}},
    }
    digests = {"tests/test_a.py": "a", "tests/test_b.py": "b", "calc/x.py": "x", "calc/y.py": "y"}
    kept = {**digests, "all else": "e", "lanes": [lane]}
    names = [name for name, _ in lane["passed"]]

    def good(**changed):
        now = {**digests, "all else": "e", **changed}
        return choosing.still_good(kept, now, names)

    one, two = names
    assert good() == {one, two}
    assert good(**{"calc/x.py": "new"}) == {two}
    assert good(**{"calc/y.py": "new"}) == set()
    assert good(**{"tests/test_b.py": "new"}) == {one}
    assert good(**{"all else": "new"}) == set()
    assert choosing.still_good({}, {"all else": "e"}, names) == set()


def test_of_what_was_seen_some_tests_can_be_taken_out():
    lane = {
        "passed": [["a::one", 0.5], ["b::two", 0.2], ["a::three", 0.1]],
        "lines": {"calc/x.py": {"7": [0, 1, 2], "9": [1]}},
    }
    left = choosing.only(lane, {"a::one", "a::three"})
    assert left == {
        "passed": [["a::one", 0.5], ["a::three", 0.1]],
        "lines": {"calc/x.py": {"7": [0, 1], "9": []}},
    }
    again = {"passed": [["b::two", 0.2]], "lines": {"calc/x.py": {"9": [0]}}}
    coming = choosing.Coming.joined([left, again])
    assert coming.names == ["a::three", "b::two", "a::one"]
    assert coming.to("calc/x.py", [7]) == [0, 2]
    assert coming.to("calc/x.py", [9]) == [1]


def test_which_tests_come_to_a_line_is_seen_for_those_wanted(tmp_path):
    write(tmp_path, SMALL)
    wanted = ["tests/test_sizes.py::test_doubled", "calc/sizes.py::calc.sizes.doubled"]
    (tmp_path / "wanted.json").write_text(json.dumps(wanted), encoding="utf-8")
    running(tmp_path, "map", "wanted.json", "out")
    told = json.loads((tmp_path / "out").read_text("utf-8"))
    assert sorted(name for name, _ in told["passed"]) == sorted(wanted)
    last = SMALL["calc/sizes.py"].splitlines().index("    return size * 2.0") + 1
    assert told["lines"]["calc/sizes.py"][str(last)] == [0, 1]


def test_what_was_used_on_loading_is_unknown_until_it_is_judged_again():
    lines = [
        {"key": ["a"], "outcome": "survived", "early": True},
        {"key": ["b"], "outcome": "survived", "early": True},
        {"key": ["b"], "outcome": "test", "afresh": True},
        {"key": ["c"], "outcome": "survived"},
        {"modules": []},
    ]
    # The last line was cut while it was written.
    text = "\n".join(map(json.dumps, lines)) + '\n{"key": ["d"], "outco'
    told = command.told_in(text)
    assert {key[0]: line["outcome"] for key, line in told.items()} == {"b": "test", "c": "survived"}

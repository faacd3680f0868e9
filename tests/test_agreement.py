"""Two Pythons, one answer: this one's answers beside those that another Python wrote to a file.

The tools write the file with the Python of the environment, before they run the tests in the
browser's Python and in each Python of `handbook.py pythons`.
"""

import copy
import functools
import json
import os
import sys
from pathlib import Path

import pytest

from calc.calculators import CALCULATORS
from tests.answers import PARTS, TOLERANCE, answers, counted, differences

BESIDE = Path(__file__).resolve().parents[1] / "native-answers.json"
FILE = Path(os.environ.get("HANDBOOK_ANSWERS") or BESIDE)
# The Python of the environment is the one that writes the file; every other one has to read it.
READS = sys.platform == "emscripten" or bool(os.environ.get("HANDBOOK_BARE_PYTHON"))


@functools.cache
def both():
    """Return this Python's answers and those of the file."""
    return answers(), json.loads(FILE.read_text(encoding="utf-8"))


if READS:

    @pytest.mark.parametrize("part", PARTS)
    def test_this_python_answers_as_the_other_one(part):
        here, there = (side[part] for side in both())
        numbers, texts = counted(there)
        found = list(differences(here, there, TOLERANCE))
        apart = max((d[3] for d in differences(here, there, 0.0)), default=0.0)
        print(f"{part}: {len(there)} answers, {numbers} numbers, {texts} texts; {apart:.1e} apart")
        assert numbers + texts > 100
        assert not found, f"{len(found)} differ, such as {found[:5]}"

    def test_every_calculator_was_asked():
        asked = both()[1]["calculators"]
        for c in CALCULATORS:
            for number in range(1 + len(c.examples)):
                for system in ("si", "us"):
                    assert "results" in asked[f"{c.id} {number} {system}"], (c.id, number)


ANSWER = {"a": {"results": [{"value": 1.5, "text": "1.50 bar"}], "nought": 0.0}}


@pytest.mark.parametrize(
    ("where", "other", "seen"),
    [
        ("value", 1.5, False),
        ("value", 1.5 * (1 + 1e-13), False),
        ("value", 1.5 * (1 + 1e-9), True),
        ("value", -1.5, True),
        ("value", float("nan"), True),
        ("value", "1.5", True),
        ("value", None, True),
        ("text", "1.51 bar", True),
    ],
)
def test_a_difference_is_seen_where_it_is_one(where, other, seen):
    changed = copy.deepcopy(ANSWER)
    changed["a"]["results"][0][where] = other
    found = list(differences(ANSWER, changed, 1e-12))
    assert [place for place, *_ in found] == [f"/a/results/0/{where}"] * seen


def test_what_is_missing_or_more_is_seen():
    more = {"a": {"results": [], "nought": 0.0, "new": 1.0}}
    assert {place for place, *_ in differences(ANSWER, more, 1.0)} == {"/a/results", "/a/new"}


def test_what_is_nought_but_for_rounding_is_nought():
    rounded = {"a": ANSWER["a"] | {"nought": 1e-25}}
    assert not list(differences(ANSWER, rounded, 1e-12))
    assert list(differences(ANSWER, {"a": ANSWER["a"] | {"nought": 1e-9}}, 1e-12))


def test_numbers_and_texts_are_counted():
    assert counted(ANSWER) == (2, 1)

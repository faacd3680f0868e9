"""What a number draws stays what it was: a sheet printed last year is marked by this year's book.

`drawn.json` keeps what the numbers drew. It is no proof that a problem is right, which the other
tests of problems and drills are for. Whoever changes a draw on purpose breaks the sheets, links and
assignments that are about: say so in the changelog, and write the file anew with

    PYTHONPATH=. python tests/test_drawn.py
"""

from __future__ import annotations

import dataclasses
import hashlib
import json
from collections.abc import Mapping
from pathlib import Path

import pytest

from calc import units
from calc.model import as_text
from calc.plant.actions import ACTIONS, do
from calc.training import assignment
from calc.training import problem as problems
from calc.training.families import FAMILIES
from calc.training.scenarios import SCENARIOS, drawn
from tests.test_plant import VALUES, rooms_to_act_in

KEPT = Path(__file__).with_name("drawn.json")
SEEDS = range(1, 9)
ROOMS = range(1, 4)

WEEK = {
    "id": "0123456789abcdef",
    "title": "Week 3",
    "system": "si",
    "seed": 17,
    "items": [
        {"kind": "problems", "family": "pre-charge", "level": "usual", "count": 2},
        {"kind": "drill", "drill": SCENARIOS[0].id},
        {"kind": "drill", "drill": SCENARIOS[1].id, "seed": 5},
    ],
}
TRAINEES = ("Ana", "Ben")

CASES = [
    pytest.param(family, level, system, id=f"{family.id}-{level}-{system}")
    for family in FAMILIES
    for level in family.levels
    for system in units.SYSTEMS
]


def problem(family, level: str, system: str) -> dict:
    """Return the first problem of a kind in words, and digests of some more and their marking."""
    found = [problems.problem(family.id, level, seed, system) for seed in SEEDS]
    told = [[one.entries, one.situation] for one in found]
    marks = [marking(one) for one in found]
    return {
        "first": told[0][0],
        "told": told[0][1],
        "more": digest(told),
        "right": {name: right for name, (right, _) in marks[0]["right"].items()},
        "mistakes": [[mistake, part, told.get(part)] for mistake, part, told in marks[0]["wrong"]],
        "marks": digest(marks),
    }


def marking(one) -> dict:
    """Return what the parts of a problem are marked by: right values with how far off one may be,
    and what each mistake gives for its part and those after it."""
    right = {p.name: (one.known[p.name], p.tolerance.band(one.known[p.name])) for p in one.parts}
    wrong = [(s.mistake, s.part, one.slipped(s) or {}) for s in one.family.slips]
    return {"right": rounded(right), "wrong": rounded(wrong)}


def room(id: str, seed: int) -> dict:
    """Return what is wrong in a room, and what its papers say, to six figures."""
    case = drawn(id, seed)
    sheet = {name: rounded(getattr(case.sheet, name)) for name in type(case.sheet).__slots__}
    return {
        "faults": [fault.id for fault in case.faults],
        "changed": rounded([fault.changes for fault in case.faults]),
        "sheet": sheet,
        "caller": [as_text(one, "si") for one in case.complaint],
        "plant": digest(rounded(parts_of(case.healthy.plant))),
    }


def work(trainee: str) -> list:
    """Return the problems and drills that an assignment sets somebody."""
    return json.loads(json.dumps(assignment.tasks(assignment.sound(WEEK)[0], trainee)))


def acts(name: str) -> dict:
    """Return what each act shows in one of the rooms of the tests, to four figures: the marks of a
    drill that was sent in are worked out by playing it again."""
    state = rooms_to_act_in()[name]
    return {
        " ".join([act, *map(str, values.values())]): told_by(do(state, act, **values))
        for act in ACTIONS
        for values in VALUES.get(act, [{}])
    }


def told_by(outcome) -> str:
    seen = [f"{one.name} {one.value if one.kind is None else figures(one)}" for one in outcome.seen]
    left = outcome.state
    seen.append(
        f"left: water {left.mass:.7g}, in the vessel {left.vessel_water:.5g}, gas {left.gas:.5g}"
    )
    return "; ".join([f"{outcome.verdict} in {outcome.seconds:.4g} s", *seen])


def figures(seen) -> str:
    # Of what is as good as nothing, digits would be noise.
    return f"{seen.value if abs(seen.value) > 1e-6 else 0.0:.4g}"


def parts_of(found):
    """Return a plant with all of its parts as plain data."""
    if dataclasses.is_dataclass(found):
        return {f.name: parts_of(getattr(found, f.name)) for f in dataclasses.fields(found)}
    return [parts_of(one) for one in found] if isinstance(found, tuple) else found


def rounded(found):
    """Return plain data with its numbers to six figures, which all machines share."""
    if isinstance(found, float):
        return float(f"{found:.6g}")
    if isinstance(found, Mapping):
        return {str(name): rounded(value) for name, value in found.items()}
    if isinstance(found, list | tuple):
        return [rounded(value) for value in found]
    return found if isinstance(found, str | int | None) else repr(found)


def digest(found) -> str:
    text = json.dumps(found, ensure_ascii=False, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def everything() -> dict:
    kinds: dict = {}
    for case in CASES:
        family, level, system = case.values
        kinds[case.id] = problem(family, level, system)
    rooms = {f"{one.id}-{seed}": room(one.id, seed) for one in SCENARIOS for seed in ROOMS}
    return {
        "problems": kinds,
        "rooms": rooms,
        "work": {name: work(name) for name in TRAINEES},
        "acts": {name: acts(name) for name in rooms_to_act_in()},
    }


@pytest.fixture(scope="module")
def kept():
    return json.loads(KEPT.read_text(encoding="utf-8"))


@pytest.mark.parametrize(("family", "level", "system"), CASES)
def test_a_number_draws_the_problem_that_it_drew(kept, family, level, system):
    found = json.loads(json.dumps(problem(family, level, system)))
    assert found == kept["problems"][f"{family.id}-{level}-{system}"]


@pytest.mark.parametrize("seed", ROOMS)
@pytest.mark.parametrize("id", [one.id for one in SCENARIOS])
def test_a_number_draws_the_room_that_it_drew(kept, id, seed):
    assert json.loads(json.dumps(room(id, seed))) == kept["rooms"][f"{id}-{seed}"]


@pytest.mark.parametrize("trainee", TRAINEES)
def test_an_assignment_sets_what_it_set(kept, trainee):
    assert work(trainee) == kept["work"][trainee]


def test_an_act_shows_what_it_showed(kept):
    assert set(kept["acts"]) == set(rooms_to_act_in())
    for name, shown in kept["acts"].items():
        assert acts(name) == shown, name


def test_nothing_is_kept_that_is_no_longer_drawn(kept):
    assert set(kept["problems"]) == {case.id for case in CASES}
    assert len(kept["rooms"]) == len(SCENARIOS) * len(ROOMS)


if __name__ == "__main__":
    KEPT.write_text(
        json.dumps(everything(), ensure_ascii=False, indent=1, sort_keys=True) + "\n",
        encoding="utf-8",
    )

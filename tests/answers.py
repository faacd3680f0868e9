"""What this Python answers: to be held against what another Python answers to the same questions.

    python -m tests.answers FILE      write the answers of this Python

The questions are every example of every calculator in both systems, random sites, every evidence
row, problems with their marks, and drills in the simulated room. Numbers are written in full.
"""

import json
import math
import random
import sys
from pathlib import Path

from calc import bridge, evidence, units
from calc.calculators import CALCULATORS
from calc.training import problem as problems
from calc.training.debrief import good_order
from calc.training.drill import case_of
from calc.training.families import FAMILIES
from calc.training.scenarios import SCENARIOS
from tests import class_of_thirty
from tests.random_sites import random_site
from view.training import answer as ask

SITES = 12
SEEDS = (1, 2)
FIRST_DRILL = 4

# Relative to the size of a value. Two Pythons may differ by the last bits of exp, log and pow; a
# search by bisection or thirty actions in the simulated room make a little more of that.
TOLERANCE = 1e-12
# What is nought but for rounding has no size of its own: below this it is nought.
NOUGHT = 1e-12


def _calculators():
    for c in CALCULATORS:
        for number, entries in enumerate(({}, *c.examples)):
            for system in units.SYSTEMS:
                yield f"{c.id} {number} {system}", bridge.run(c.id, entries, system)


def _sites():
    for c in CALCULATORS:
        draw = random.Random(f"agreement {c.id}")
        for number in range(SITES):
            system = draw.choice(units.SYSTEMS)
            entries = random_site(c, draw, system)
            yield (
                f"{c.id} {number}",
                {
                    "entries": entries,
                    "answer": bridge.run(c.id, entries, system),
                },
            )


def _evidence():
    for number, row in enumerate(evidence.rows()):
        unit = evidence._printed(row["printed"])[2]
        yield (
            f"{row['subject']} {number}",
            {
                "found": evidence._found_in(row, unit),
                "row": evidence.rerun(number),
            },
        )


def _training():
    for one in FAMILIES:
        for level in one.levels:
            for seed in SEEDS:
                system = units.SYSTEMS[seed % 2]
                found = problems.problem(one.id, level, seed, system)
                known = {
                    name: value
                    for name, value in found.known.items()
                    if isinstance(value, int | float | str)
                }
                yield (
                    f"{one.id} {level} {seed}",
                    {
                        "situation": found.situation,
                        "givens": found.givens,
                        "known": known,
                    },
                )


def _marks():
    made = class_of_thirty.marks(lambda request: ask(request["op"], request))
    for number, marks in enumerate(made):
        yield f"trainee {number}", marks


def _drills():
    for number, scenario in enumerate(SCENARIOS):
        for step_number, step in enumerate(good_order(case_of(scenario.id, FIRST_DRILL + number))):
            yield (
                f"{scenario.id} {step_number}",
                {
                    "doing": step.doing.act.id,
                    "verdict": step.verdict,
                    "seconds": step.seconds,
                    "readings": dict(step.readings),
                },
            )


PARTS = {
    "calculators": _calculators,
    "sites": _sites,
    "evidence": _evidence,
    "training": _training,
    "marks": _marks,
    "drills": _drills,
}


def answers():
    """Return every answer of this Python as plain data, by part and question."""
    # Through JSON and back: the other side's answers come from a file as well.
    return json.loads(json.dumps({name: dict(part()) for name, part in PARTS.items()}))


def differences(one, other, tolerance, where=""):
    """Yield (where, one's, other's, how far apart) for all that is not alike."""
    if isinstance(one, dict) and isinstance(other, dict):
        for name in sorted(one.keys() | other.keys()):
            if name in one and name in other:
                yield from differences(one[name], other[name], tolerance, f"{where}/{name}")
            else:
                yield f"{where}/{name}", name in one, name in other, math.inf
    elif isinstance(one, list) and isinstance(other, list):
        if len(one) != len(other):
            yield where, len(one), len(other), math.inf
        for number, (a, b) in enumerate(zip(one, other, strict=False)):
            yield from differences(a, b, tolerance, f"{where}/{number}")
    elif isinstance(one, float) and isinstance(other, float):
        apart = abs(one - other) / max(abs(one), abs(other), NOUGHT)
        if not apart <= tolerance:
            yield where, one, other, apart
    elif type(one) is not type(other) or one != other:
        yield where, one, other, math.inf


def counted(data):
    """Return how many numbers and how many texts there are in plain data."""
    if isinstance(data, dict | list):
        inner = [counted(v) for v in (data.values() if isinstance(data, dict) else data)]
        return tuple(map(sum, zip(*inner, strict=True))) if inner else (0, 0)
    return int(isinstance(data, float)), int(isinstance(data, str))


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(json.dumps(answers()), encoding="utf-8")

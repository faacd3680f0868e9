"""What a problem tells is told in the units of its reader."""

import pytest

from calc import units
from calc.training import problem as problems
from calc.training.families import FAMILIES

SYSTEM_OF = {}
for kind in units.KINDS:
    for unit in kind.units:
        SYSTEM_OF.setdefault(unit.id, set()).add(unit.system)

MIXED = {
    "convert": "turning one system into the other is what is asked",
    "cool-down": "a caretaker's thermometer has the other scale",
}


def texts(entry):
    """Return the single cells of an entry."""
    if isinstance(entry, str):
        return [entry]
    return [text for part in entry for text in texts(part)]


def written_units(problem):
    for name, entry in problem.entries.items():
        if name.startswith("_"):
            continue
        for text in texts(entry):
            number, space, unit = text.partition(" ")
            if space and number.replace(".", "").lstrip("-").isdigit() and unit in SYSTEM_OF:
                yield unit


@pytest.mark.parametrize("system", units.SYSTEMS)
@pytest.mark.parametrize("family", FAMILIES, ids=[one.id for one in FAMILIES])
def test_a_problem_is_told_in_the_units_of_its_system(family, system):
    found = foreign = 0
    for level in family.levels:
        for seed in range(1, 6):
            problem = problems.problem(family.id, level, seed, system)
            for unit in written_units(problem):
                found += 1
                foreign += not SYSTEM_OF[unit] & {system, ""}
    assert found
    assert bool(foreign) is (family.id in MIXED)

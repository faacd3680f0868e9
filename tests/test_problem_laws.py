"""Laws that hold for every kind of problem, on every level, in both systems of units.

`PROBLEM_SEEDS` says how many seeds are tried of each; the default keeps the module short.
"""

from __future__ import annotations

import collections
import contextlib
import itertools
import os
import re
import sys
from pathlib import Path

import pytest

from calc import bridge, units
from calc.calculators import CALCULATORS, calculator
from calc.entries import Reader, default_entry
from calc.model import Choice, Quantity, QuantityList, Refusal, Table
from calc.training import problem as problems
from calc.training.families import FAMILIES, NO_SINGLE_ANSWER
from calc.training.marking import mark, unit_words
from calc.training.mistakes import MISTAKES
from calc.training.problem import Problem, as_told

IN_BROWSER_PYTHON = sys.platform == "emscripten"
SEEDS = range(1, 1 + int(os.environ.get("PROBLEM_SEEDS", "2" if IN_BROWSER_PYTHON else "3")))
DOCS = Path(__file__).parents[1] / "docs"
CASES = [
    pytest.param(one.id, level, system, id=f"{one.id}-{level}-{system}")
    for one in FAMILIES
    for level in one.levels
    for system in units.SYSTEMS
]
each_kind = pytest.mark.parametrize("one", FAMILIES, ids=[one.id for one in FAMILIES])
each_case = pytest.mark.parametrize(("family", "level", "system"), CASES)


def drawn(family: str, level: str, system: str) -> list[Problem]:
    return [problems.problem(family, level, seed, system) for seed in SEEDS]


def slipped(problem: Problem) -> list[tuple]:
    """Return each mistake that changes an answer: slip, first answer changed, all its values."""
    found = []
    for slip in problem.family.slips:
        values = problem.slipped(slip)
        name = problems.first_shown(problem, values) if values is not None else ""
        if name:
            found.append((slip, name, values))
    return found


def as_answer(problem: Problem, name: str, value: float) -> dict[str, str]:
    """Return an SI value as somebody writes it down: no finer than the band asks for."""
    part = problem.family.part(name)
    unit = part.kind.default_unit(problem.system)
    band = min(part.tolerance.band(value), part.tolerance.band(problem.known[name]))
    band /= abs(unit.scale)
    decimals = next(n for n in itertools.count(0) if 10.0**-n <= band / 3)
    return {"value": f"{unit.from_si(value):.{decimals}f}", "unit": unit_words(unit)}


def answers(problem: Problem, values) -> dict[str, dict[str, str]]:
    return {
        part.name: as_answer(problem, part.name, values.get(part.name, problem.known[part.name]))
        for part in problem.parts
    }


def solved(problem: Problem, entries):
    chosen, reader = calculator(problem.family.calculator), Reader(problem.system)
    values = reader.read(chosen, entries)
    return None if reader.errors else chosen.solve(values)


def test_every_calculator_is_asked_about_or_says_why_not():
    asked = {one.calculator for one in FAMILIES}
    assert asked | set(NO_SINGLE_ANSWER) == {c.id for c in CALCULATORS}
    assert not asked & set(NO_SINGLE_ANSWER)
    assert all(reason.strip().endswith(".") for reason in NO_SINGLE_ANSWER.values())
    assert len({one.id for one in FAMILIES}) == len(FAMILIES)


@each_kind
def test_a_kind_is_whole(one):
    assert set(one.levels) == set(problems.LEVELS)
    names = [part.name for part in one.parts]
    labels = [part.label for part in one.parts]
    assert len(set(names)) == len(names)
    assert len(set(labels)) == len(labels)
    assert not set(names) & {i.name for i in calculator(one.calculator).inputs}
    assert one.output in {o.name for o in calculator(one.calculator).outputs}
    for level in one.levels:
        assert one.asked[level]
        assert [n for n in names if n in one.asked[level]] == list(one.asked[level])
    for part in one.parts:
        assert part.step.endswith(".")
        assert part.tolerance.why
        assert part.tolerance.share or part.tolerance.division
        assert part.unsafe in ("", "low", "high")
    assert len({slip.mistake for slip in one.slips}) >= 2
    for slip in one.slips:
        assert slip.part in names
        assert slip.mistake in MISTAKES
    assert IN_BROWSER_PYTHON or (DOCS / one.page).exists()


def test_every_mistake_is_made_somewhere_and_stands_in_the_book():
    made = {slip.mistake for one in FAMILIES for slip in one.slips}
    assert made == set(MISTAKES)
    assert len({m.title for m in MISTAKES.values()}) == len(MISTAKES)
    for id, mistake in MISTAKES.items():
        assert mistake.id == id
        assert mistake.sentence.endswith(".")
        if IN_BROWSER_PYTHON:
            continue  # The pages are read natively only.
        page, _, anchor = mistake.page.partition("#")
        text = (DOCS / page).read_text(encoding="utf-8")
        assert not anchor or f"{{ #{anchor} }}" in text, mistake.page


@each_case
def test_the_last_part_is_what_the_calculator_says(family, level, system):
    for problem in drawn(family, level, system):
        found = bridge.run(problem.family.calculator, problem.calculator_entries, system)
        assert "errors" not in found
        result = next(r for r in found["results"] if r["name"] == problem.family.output)
        last = problem.family.parts[-1]
        output = next(
            o
            for o in calculator(problem.family.calculator).outputs
            if o.name == problem.family.output
        )
        assert output.kind is last.kind
        value = last.kind.unit(result["unit"]).to_si(result["value"])
        assert problem.known[last.name] == pytest.approx(value, rel=1e-9)


@each_case
def test_no_mistake_leads_near_the_truth_or_near_another(family, level, system):
    for problem in drawn(family, level, system):
        by_part = {}
        for slip, name, values in slipped(problem):
            by_part.setdefault(name, []).append((slip.mistake, values[name]))
        for name, found in by_part.items():
            band = problem.family.part(name).tolerance.band(problem.known[name])
            both = [("", problem.known[name]), *found]
            for (one, a), (other, b) in itertools.combinations(both, 2):
                assert one == other or abs(a - b) > 2 * band, (name, one, other)


@each_case
def test_what_takes_several_steps_catches_a_named_mistake(family, level, system):
    for problem in drawn(family, level, system):
        assert slipped(problem) or level == "first"


@each_case
def test_the_truth_as_written_down_gets_every_point(family, level, system):
    for problem in drawn(family, level, system):
        marks = mark(problem, answers(problem, {}))
        assert [part.state for part in marks.parts] == ["right"] * len(problem.parts)
        assert marks.points == marks.most > 0


def carried_on(problem: Problem, slip, first: float) -> dict[str, dict[str, str]]:
    """Return the answers of somebody who makes a mistake and goes on from what is written down.

    What the mistake does not touch stays in the trainee's calculator as it is.
    """
    fixed, given = {slip.part: first}, answers(problem, {})
    for part in problem.parts:
        found = problems.chain(problem.family, problem.known, fixed, slip.part) or {}
        value, truth = found.get(part.name), problem.known[part.name]
        if value is not None and abs(value - truth) > 1e-6 * abs(truth):
            given[part.name] = as_answer(problem, part.name, value)
            unit = part.kind.default_unit(problem.system)
            fixed[part.name] = unit.to_si(float(given[part.name]["value"]))
    return given


def right_in_another_unit(problem: Problem, name: str, value: float) -> bool:
    """Return whether the number, in another unit or reference, would be right."""
    part = problem.family.part(name)
    number = part.kind.default_unit(problem.system).from_si(value)
    truth, air = problem.known[name], problem.ambient_abs
    moves = (0.0, air, -air) if "pressure" in part.kind.name else (0.0,)
    return any(
        abs(unit.to_si(number) + move - truth) <= 1.1 * part.tolerance.band(truth)
        for unit in part.kind.units
        for move in moves
    )


@each_case
def test_each_mistake_is_named_where_it_is_made_and_what_follows_counts(family, level, system):
    for problem in drawn(family, level, system):
        for slip, name, values in slipped(problem):
            own = carried_on(problem, slip, values[slip.part])
            parts = {part.name: part for part in mark(problem, own).parts}
            if parts[name].state == "unit":
                assert right_in_another_unit(problem, name, values[name])
                continue
            assert (parts[name].state, parts[name].mistake) == ("mistake", slip.mistake)
            assert parts[name].step == problem.family.part(slip.part).step
            assert parts[name].points < parts[name].most
            later = list(parts)[list(parts).index(name) + 1 :]
            assert {parts[n].state for n in later} <= {"right", "follows"}, (slip.mistake, parts)


@each_case
def test_nothing_right_lies_on_the_dangerous_side(family, level, system):
    for problem in drawn(family, level, system)[:1]:
        for part in problem.parts:
            if not part.unsafe:
                continue
            truth, unit = problem.known[part.name], part.kind.default_unit(system)
            side = -1 if part.unsafe == "low" else 1
            for share, states in ((0.9, {"unsafe", "mistake"}), (-0.9, {"right"})):
                value = truth + side * share * part.tolerance.band(truth)
                given = {"value": f"{unit.from_si(value):.9f}", "unit": unit_words(unit)}
                marks = mark(problem, answers(problem, {}) | {part.name: given})
                state = next(m.state for m in marks.parts if m.name == part.name)
                assert state in states, (part.name, share)


@each_case
def test_a_seed_gives_one_problem_and_another_seed_another(family, level, system):
    first = drawn(family, level, system)
    problems.problem.cache_clear()
    for one, same in zip(first, drawn(family, level, system), strict=True):
        assert one.entries == same.entries
        assert one.situation == same.situation
        assert one.known == same.known
    told = {repr(sorted(one.calculator_entries.items(), key=str)) for one in first}
    # Chance may give the same numbers twice, but seldom.
    assert len(first) - len(told) <= len(first) // 10


def _texts(raw) -> list[str]:
    """Return the texts of a quantity's entry or of a table's cells."""
    if isinstance(raw, str):
        return [raw] if raw else []
    return [text for row in raw for text in row.values()]


def _plain(text: str) -> str:
    return re.sub(r"[\s\xa0]+", " ", text)


def _told(problem: Problem) -> str:
    return _plain(" ".join([*problem.situation, *(text for _, text in problem.givens)]))


def _is_told(text: str, kind: units.Kind | None, told: str) -> bool:
    """Return whether a number stands in a text with its unit, as typed or as the book writes it."""
    number, _, unit = text.partition(" ")
    ways = {_plain(str(as_told(text)))}
    if kind is not None and unit:
        ways.add(f"{number} {kind.unit(unit).text}")
    return any(re.search(rf"(?<![0-9.]){re.escape(way)}(?![0-9])", told) for way in ways)


def _quantities(problem: Problem) -> dict[str, units.Kind | None]:
    """Return the entries that hold numbers, with their Kind; None for a table."""
    inputs = {i.name: i for i in calculator(problem.family.calculator).inputs}
    found = {}
    for name, raw in problem.entries.items():
        if name.startswith("_") or raw == "" or isinstance(inputs.get(name), Choice):
            continue
        if name in problem.family.extra:
            found[name] = problem.family.extra[name][1]
        else:
            found[name] = getattr(inputs[name], "kind", None)
    return found


@each_case
def test_the_situation_or_the_list_says_every_quantity_with_its_unit(family, level, system):
    for problem in drawn(family, level, system):
        told = _told(problem)
        for name, kind in _quantities(problem).items():
            for text in _texts(problem.entries[name]):
                if not re.match(r"[-0-9]", text) or _is_told(text, kind, told):
                    continue
                # It may have to be worked out from what is told, or be idle.
                assert level == "hard" or name in problem.family.unlisted, (name, text)
                worked_out = problem.family.extra.keys() & problem.entries.keys()
                assert worked_out or not _moves(problem, name), (name, text)


def _moves(problem: Problem, name: str) -> bool:
    """Return whether another value of a quantity that is entered moves the answer."""
    number, _, unit = problem.entries[name].partition(" ")
    other = f"{float(number) * 1.05 or 1.0:.6g} {unit}"
    try:
        found = solved(problem, {**problem.calculator_entries, name: other})
    except Refusal:
        return True
    truth = problem.known[problem.family.parts[-1].name]
    return found is None or found.results[problem.family.output] != pytest.approx(truth, rel=1e-9)


@each_case
def test_no_answer_can_be_read_off_the_givens(family, level, system):
    """By chance a given may lie near an answer; a rule it may not be."""
    near = collections.Counter()
    for problem in drawn(family, level, system):
        told = _told(problem)
        for part, (name, kind) in itertools.product(problem.parts, _quantities(problem).items()):
            # What is told beside the calculator's inputs may be a trap.
            if kind is not part.kind or name in problem.family.extra:
                continue
            if not _is_told(problem.entries[name], kind, told):
                continue
            truth = problem.known[part.name]
            if abs(problem.known[name] - truth) <= part.tolerance.band(truth):
                near[part.name, name] += 1
    assert max(near.values(), default=0) <= max(1, len(SEEDS) // 3), near


@each_case
def test_no_two_parts_have_the_same_answer(family, level, system):
    for problem in drawn(family, level, system):
        for one, other in itertools.combinations(problem.parts, 2):
            if one.kind is other.kind:
                a, b = problem.known[one.name], problem.known[other.name]
                assert abs(a - b) > 1e-4 * abs(a), (one.name, other.name)


def _other_entries(entry, system: str):
    """Return what else could stand in a field that the problem leaves to its example."""
    example = default_entry(entry, system)
    if isinstance(entry, Choice):
        return [option.value for option in entry.options if option.value != example]
    if isinstance(entry, Quantity) and example["value"] and float(example["value"]):
        return [f"{float(example['value']) * share:.6g} {example['unit']}" for share in (0.9, 1.1)]
    return []


@pytest.mark.parametrize("one", FAMILIES, ids=[one.id for one in FAMILIES])
def test_nothing_that_is_left_unsaid_moves_the_answer(one):
    for level, system in (("usual", "si"), ("hard", "us")):
        problem = problems.problem(one.id, level, 1, system)
        truth = problem.known[one.parts[-1].name]
        for entry in calculator(one.calculator).inputs:
            if entry.name in problem.calculator_entries or isinstance(entry, QuantityList | Table):
                continue
            if entry.name == "fluid" and "water" in " ".join(problem.situation):
                continue
            for other in _other_entries(entry, system):
                try:
                    found = solved(problem, {**problem.calculator_entries, entry.name: other})
                except Refusal:
                    continue
                if found is not None and found.results.get(one.output) is not None:
                    value = found.results[one.output]
                    assert value == pytest.approx(truth, rel=1e-9), (level, entry.name, other)


def _check_ids(one) -> set[str]:
    """Return the ids of the checks that a calculator makes in its examples and in problems."""
    chosen, found = calculator(one.calculator), set()
    given = [(entries, "si") for entries in ({}, *chosen.examples)]
    for level, system in itertools.product(one.levels, units.SYSTEMS):
        given += [(p.calculator_entries, system) for p in drawn(one.id, level, system)]
    for entries, system in given:
        reader = Reader(system)
        values = reader.read(chosen, entries)
        if not reader.errors:
            with contextlib.suppress(Refusal):
                found |= {check.id for check in chosen.solve(values).checks}
    return found


@each_kind
def test_checks_that_may_fail_are_checks_of_the_calculator(one):
    assert set(one.may_fail) <= _check_ids(one)


@each_kind
def test_every_mistake_of_a_kind_can_be_made_in_one_of_its_problems(one):
    left = {slip.mistake for slip in one.slips}
    for level in reversed(one.levels):
        for system in units.SYSTEMS:
            for seed in range(1, 13):
                if left:
                    problem = problems.problem(one.id, level, seed, system)
                    left -= {slip.mistake for slip, _, _ in slipped(problem)}
    assert not left

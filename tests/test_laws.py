"""Laws that hold for every calculator, whoever wrote it."""

import json
import math
import os
import random
from pathlib import Path

import pytest

from calc import bridge, units
from calc.calculators import CALCULATORS
from calc.model import (
    Choice,
    Quantity,
    QuantityList,
    Refusal,
    Table,
    Work,
    formula_names,
    formula_tree,
    formula_value,
)
from calc.sources import STATUSES, Citation

IDS = [c.id for c in CALCULATORS]


def examples():
    """Return (calculator, entries) for the defaults and every declared example."""
    for c in CALCULATORS:
        for number, entries in enumerate(({}, *c.examples)):
            yield pytest.param(c, entries, id=f"{c.id}-{number}")


EXAMPLES = list(examples())


@pytest.fixture
def random_runs():
    """How many random sites each calculator meets; a marathon asks for more."""
    return int(os.environ.get("HANDBOOK_RANDOM_RUNS", "250"))


def values_of(c, entries, system="si"):
    reader = bridge.Reader(system)
    values = reader.read(c, entries)
    assert not reader.errors, reader.errors
    return values


def every_input(c):
    for entry in c.inputs:
        yield entry
        if isinstance(entry, Table):
            yield from entry.columns


@pytest.mark.parametrize("c", CALCULATORS, ids=IDS)
def test_every_input_has_help_and_every_bound_its_source(c):
    for entry in every_input(c):
        assert len(entry.help) > 10, f"{entry.name} has no help"
        assert entry.label, entry.name
        if isinstance(entry, Quantity | QuantityList):
            assert entry.low is not None, f"{entry.name} has no lower bound"
            assert entry.high is not None, f"{entry.name} has no upper bound"
            for limit in (entry.low, entry.high):
                assert isinstance(limit.cite, Citation)
                assert len(limit.why) > 8
                units.parse_quantity(limit.value, entry.kind, entry.kind.default_unit("si"))


@pytest.mark.parametrize("c", CALCULATORS, ids=IDS)
def test_names_are_unique_and_conditions_point_at_choices(c):
    names = [i.name for i in c.inputs]
    assert len(set(names)) == len(names)
    outputs = [o.name for o in c.outputs]
    assert len(set(outputs)) == len(outputs)
    choices = {i.name: i for i in c.inputs if isinstance(i, Choice)}
    for entry in c.inputs:
        for name, allowed in (entry.when or {}).items():
            assert set(allowed) <= {o.value for o in choices[name].options}, entry.name
    assert any(o.headline for o in c.outputs)


@pytest.mark.parametrize(("c", "entries"), EXAMPLES)
def test_every_result_is_declared_and_of_its_kind(c, entries):
    solution = c.solve(values_of(c, entries))
    declared = {o.name: o for o in c.outputs}
    for name, value in solution.results.items():
        assert name in declared, f"{name} is not declared"
        if value is None:
            continue
        if declared[name].kind is None:
            assert isinstance(value, str), name
        else:
            assert isinstance(value, float), f"{name} is {type(value).__name__}"
            assert math.isfinite(value), name


@pytest.mark.parametrize("c", CALCULATORS, ids=IDS)
def test_every_declared_result_is_given_by_some_example(c):
    given = set()
    for entries in ({}, *c.examples):
        found = c.solve(values_of(c, entries)).results
        given |= {name for name, value in found.items() if value is not None}
    assert {o.name for o in c.outputs} - given == set()


@pytest.mark.parametrize(("c", "entries"), EXAMPLES)
def test_the_equation_shown_is_the_equation_computed(c, entries):
    for step in c.solve(values_of(c, entries)).steps:
        eq = step.equation
        if not eq.formula:
            assert step.result == eq.function(*(step.values[n] for n in eq.where))
            continue
        shown = {}
        for name, symbol in eq.where.items():
            if name in formula_names(eq.formula) and symbol.kind is units.TEMPERATURE:
                assert symbol.unit, f"{c.id} {eq.symbol}: pin the unit of the temperature {name}"
            si = step.values[name]
            shown[name] = symbol.kind.unit(symbol.unit).from_si(si) if symbol.unit else si
        result = eq.kind.unit(eq.unit).from_si(step.result) if eq.unit else step.result
        found = formula_value(eq.formula, shown)
        assert found == pytest.approx(result, rel=1e-9, abs=1e-12), f"{eq.symbol} = {eq.formula}"


@pytest.mark.parametrize("c", CALCULATORS, ids=IDS)
def test_every_symbol_of_a_formula_matters_in_some_example(c):
    """An example at altitude 0 or without glycol would hide a wrong term."""
    idle = {}
    for entries in ({}, *c.examples):
        for step in c.solve(values_of(c, entries)).steps:
            eq = step.equation
            if not eq.formula:
                continue
            for name in eq.where:
                if name == "g":  # standard gravity is a constant, shown but never moved
                    continue
                moved = dict(step.values)
                moved[name] = moved[name] * 1.01 + (1e-6 if moved[name] == 0 else 0.0)
                try:
                    changed = eq.function(*(moved[n] for n in eq.where)) != step.result
                except (Refusal, ValueError, ZeroDivisionError):
                    changed = True
                key = (eq.symbol, eq.formula, name)
                idle[key] = idle.get(key, True) and not changed
    assert [key for key, still in idle.items() if still] == []


@pytest.mark.parametrize(("c", "entries"), EXAMPLES)
def test_si_and_us_entries_give_the_same_answer(c, entries):
    si_entries = {i.name: entries.get(i.name, bridge.default_entry(i, "si")) for i in c.inputs}
    us_entries = bridge.converted(c.id, si_entries, "us")
    in_si = bridge.run(c.id, si_entries, "si")
    in_us = bridge.run(c.id, us_entries, "us")
    assert "errors" not in in_si, in_si
    assert "errors" not in in_us, in_us
    us_by_name = {r["name"]: r for r in in_us["results"]}
    for result in in_si["results"]:
        other = us_by_name[result["name"]]
        kind = c.output(result["name"]).kind
        if kind is None:
            continue
        a = kind.unit(result["unit"]).to_si(result["value"])
        b = kind.unit(other["unit"]).to_si(other["value"])
        assert b == pytest.approx(a, rel=5e-3, abs=2e-3 * kind.default_unit("si").scale), result[
            "name"
        ]


@pytest.mark.parametrize(("c", "entries"), EXAMPLES)
def test_the_answer_is_plain_json_with_sources(c, entries):
    for system in units.SYSTEMS:
        answer = bridge.run(c.id, entries, system)
        assert "errors" not in answer, answer["errors"]
        json.dumps(answer, allow_nan=False)
        for item in (*answer["checks"], *answer["steps"]):
            assert item["source"]["status"] in STATUSES
        for check in answer["checks"]:
            assert check["message"].rstrip().endswith((".", "?")), check["message"]
            assert "{" not in check["message"]


@pytest.mark.parametrize("c", CALCULATORS, ids=IDS)
def test_the_default_shows_working_and_a_chart(c):
    solution = c.solve(values_of(c, {}))
    assert solution.steps
    assert solution.checks
    assert solution.charts


@pytest.mark.parametrize("c", CALCULATORS, ids=IDS)
@pytest.mark.parametrize(
    "bad", ["", "abc", "nan", "inf", "-1e9", "1e30", "3 parsec", "1,5", "<script>", "1e-320"]
)
def test_bad_text_in_any_field_is_an_error_there_and_nowhere_silent(c, bad):
    for entry in c.inputs:
        if not isinstance(entry, Quantity):
            continue
        switched = {name: allowed[0] for name, allowed in (entry.when or {}).items()}
        answer = bridge.run(c.id, {**switched, entry.name: bad})
        if "errors" in answer:
            for error in answer["errors"]:
                assert error["message"].strip()[-1] in ".?!", error
                assert len(error["message"].split()) >= 4
            if bad and entry.name not in [e["field"] for e in answer["errors"]]:
                assert any(e["kind"] == "range" for e in answer["errors"]), (entry.name, answer)
        else:
            assert (bad == "" and entry.optional) or bad == "1e-320", (entry.name, bad)


def random_entry(entry, draw):
    if isinstance(entry, Choice):
        return draw.choice(entry.options).value
    if isinstance(entry, Quantity):
        if entry.optional and draw.random() < 0.3:
            return ""
        low, high = (
            units.parse_quantity(limit.value, entry.kind, entry.kind.default_unit("si")).value
            for limit in (entry.low, entry.high)
        )
        si = low + (high - low) * draw.random() ** draw.choice((0.5, 1, 4, 12))
        unit = draw.choice(entry.kind.units)
        text = f"{unit.from_si(si):.6g} {unit.id}" if unit.id != "1" else f"{unit.from_si(si):.6g}"
        return text
    if isinstance(entry, QuantityList):
        return bridge.default_entry(entry, draw.choice(units.SYSTEMS))
    if isinstance(entry, Table):
        count = draw.randint(entry.fewest, min(entry.most, 4))
        return [{c.name: random_entry(c, draw) for c in entry.columns} for _ in range(count)]
    return "word"


@pytest.mark.parametrize("c", CALCULATORS, ids=IDS)
def test_random_entries_give_an_answer_or_a_sentence_never_an_exception(c, random_runs):
    draw = random.Random(20261125)
    answered = 0
    for _ in range(random_runs):
        entries = {
            i.name: random_entry(i, draw) if draw.random() < 0.4 else bridge.default_entry(i, "si")
            for i in c.inputs
        }
        answer = bridge.run(c.id, entries, draw.choice(units.SYSTEMS))
        if "errors" in answer:
            assert all(e["message"] for e in answer["errors"])
            assert all(
                e["field"] == "" or e["field"].split(".")[0] in {i.name for i in c.inputs}
                for e in answer["errors"]
            ), answer
        else:
            answered += 1
            json.dumps(answer, allow_nan=False)
    assert answered > random_runs // 50, "too few random sites could be computed to prove anything"


def test_every_calculator_has_a_page_and_every_page_names_a_calculator_that_exists():
    docs = Path(__file__).resolve().parents[1] / "docs"
    if not docs.exists():
        pytest.skip("the pages are not here")
    named = set()
    for page in docs.glob("*.md"):
        lines = page.read_text(encoding="utf-8").splitlines()
        for number, line in enumerate(lines):
            if line.strip() == "```calculator":
                named.add(lines[number + 1].strip())
    assert named == set(IDS)


def test_formulas_stay_small_enough_to_read():
    seen = set()
    for c in CALCULATORS:
        for entries in ({}, *c.examples):
            for step in c.solve(values_of(c, entries)).steps:
                if step.equation.formula:
                    seen.add(step.equation.formula)
    assert seen
    for formula in seen:
        formula_tree(formula)
        assert len(formula_names(formula)) <= 12, formula


def test_work_is_not_shared_between_runs():
    assert Work().results is not Work().results

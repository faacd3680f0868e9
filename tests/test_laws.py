"""Laws that hold for every calculator, whoever wrote it."""

import json
import math
import os
import random
import re
from pathlib import Path
from types import SimpleNamespace

import pytest

from calc import bridge, units
from calc.calculators import CALCULATORS
from calc.entries import read_quantity
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
from tests.random_sites import TINY, random_entry, random_site, si_limits, solved

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
            low, high = si_limits(entry)
            assert low < high, f"{entry.name}: the bounds leave nothing between them"


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
    declared_and_of_its_kind(c, c.solve(values_of(c, entries)))


def declared_and_of_its_kind(c, solution):
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


def recompute(step, where):
    """Hold the result of a step against its own formula, or its own function."""
    eq = step.equation
    if not eq.formula:
        assert step.result == eq.function(*(step.values[n] for n in eq.where)), where
        return
    shown = {}
    for name, symbol in eq.where.items():
        if name in formula_names(eq.formula) and symbol.kind is units.TEMPERATURE:
            assert symbol.unit, f"{where} {eq.symbol}: pin the unit of the temperature {name}"
        si = step.values[name]
        shown[name] = symbol.kind.unit(symbol.unit).from_si(si) if symbol.unit else si
    result = eq.kind.unit(eq.unit).from_si(step.result) if eq.unit else step.result
    found = formula_value(eq.formula, shown)
    # What a difference of large numbers leaves carries their rounding, not its own.
    size = max((abs(value) for value in shown.values()), default=0.0)
    assert found == pytest.approx(result, rel=1e-9, abs=1e-12 * max(1.0, size)), (
        f"{where}: {eq.symbol} = {eq.formula}"
    )


@pytest.mark.parametrize(("c", "entries"), EXAMPLES)
def test_the_equation_shown_is_the_equation_computed(c, entries):
    for step in c.solve(values_of(c, entries)).steps:
        recompute(step, c.id)


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
    "bad", ["", "abc", "nan", "inf", "-1e9", "1e30", "3 parsec", "1..5", "<script>", "1e-320"]
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


def sentences(answer):
    """Return every text of an answer that a reader reads as a sentence."""
    if "errors" in answer:
        return [e["message"] for e in answer["errors"]]
    summaries = [chart["summary"] for chart in answer["charts"]]
    return [check["message"] for check in answer["checks"]] + summaries


@pytest.mark.parametrize("c", CALCULATORS, ids=IDS)
def test_random_entries_give_an_answer_or_a_sentence_never_an_exception(c, random_runs):
    draw = random.Random(20261125)
    names = {i.name for i in c.inputs}
    told = {"answered": 0, "with plus/minus": 0, "refused": 0, "unreadable": 0}
    for _ in range(random_runs):
        system = draw.choice(units.SYSTEMS)
        entries = random_site(c, draw, system)
        try:
            answer = bridge.run(c.id, entries, system)
            json.dumps(answer, allow_nan=False)
        except Exception as broken:
            broken.add_note(f"{c.id}, {system}: {json.dumps(entries, ensure_ascii=False)}")
            raise
        for sentence in sentences(answer):
            assert sentence.strip()[-1] in ".?!", (entries, sentence)
            assert not re.search(r"(?<!“)\b(nan|inf)\b", sentence), (entries, sentence)
        if "errors" in answer:
            ranges = [e["kind"] == "range" for e in answer["errors"]]
            told["refused" if all(ranges) else "unreadable"] += 1
            fields = {e["field"].split(".")[0] for e in answer["errors"]}
            assert fields <= names | {""}, (entries, answer)
        else:
            told["answered"] += 1
            bands = [r["plus_minus"] for r in answer["results"] if r["plus_minus"] is not None]
            assert all(band > 0 for band in bands), (entries, answer["results"])
            told["with plus/minus"] += bool(bands)
    print(f"{c.id}: {random_runs} runs, " + ", ".join(f"{n} {how}" for how, n in told.items()))
    assert told["answered"] > random_runs // 5, "too few sites could be computed: " + str(told)


@pytest.mark.parametrize("c", CALCULATORS, ids=IDS)
def test_the_equation_shown_is_the_equation_computed_at_random_sites(c, random_runs):
    """A bound or a branch that the formula does not show would come out here."""
    draw = random.Random(8)
    checked = 0
    for _ in range(random_runs // 2):
        found = solved(c, draw, draw.choice(units.SYSTEMS))
        if found:
            entries, _, solution = found
            declared_and_of_its_kind(c, solution)
            for step in solution.steps:
                recompute(step, (c.id, entries))
            checked += bool(solution.steps)
    assert checked > random_runs // 20


BARE = re.compile(r"[-+.\deE]+(\s*(±|\+/-)\s*[-+.\deE]+)?")


def with_unit(entry, given, system):
    """Return an entry that names its unit, so that the reader's system does not matter."""
    if isinstance(entry, Table) and isinstance(given, list):
        columns = {column.name: column for column in entry.columns}
        return [
            {n: with_unit(columns[n], cell, system) for n, cell in row.items()} for row in given
        ]
    if isinstance(entry, Quantity) and isinstance(given, str) and BARE.fullmatch(given.strip()):
        unit = entry.kind.default_unit(system).id
        return given if unit == "1" else f"{given} {unit}"
    return given


def in_si(c, answer):
    """Return results and their plus/minus in SI, by name; texts are left out."""
    found = {}
    for r in answer["results"]:
        kind = c.output(r["name"]).kind
        if kind is None or isinstance(r["value"], str):
            continue
        unit = kind.unit(r["unit"])
        band = None if r["plus_minus"] is None else r["plus_minus"] * abs(unit.scale)
        found[r["name"]] = (unit.to_si(r["value"]), band)
    return found


def close(a, b):
    if a is None or b is None:
        return a is b
    return math.isclose(a, b, rel_tol=1e-9, abs_tol=1e-12)


@pytest.mark.parametrize("c", CALCULATORS, ids=IDS)
def test_entries_that_name_their_unit_mean_the_same_in_both_systems(c, random_runs):
    """The very same answer, to the last figures, is only shown in other units."""
    draw = random.Random(9)
    compared = 0
    for _ in range(random_runs // 4):
        system = draw.choice(units.SYSTEMS)
        site = random_site(c, draw, system)
        site = {i.name: with_unit(i, site[i.name], system) for i in c.inputs}
        first, second = (bridge.run(c.id, site, s) for s in units.SYSTEMS)
        if "errors" in first or "errors" in second:
            told = [[(e["field"], e["kind"]) for e in a.get("errors", ())] for a in (first, second)]
            assert told[0] == told[1], site
            continue
        one, other = in_si(c, first), in_si(c, second)
        assert one.keys() == other.keys(), site
        for name, (value, band) in one.items():
            assert close(value, other[name][0]), (name, value, other[name][0], site)
            assert close(band, other[name][1]), (name, band, other[name][1], site)
        verdicts = [[(k["id"], k["status"]) for k in a["checks"]] for a in (first, second)]
        assert verdicts[0] == verdicts[1], site
        compared += 1
    assert compared > random_runs // 30


@pytest.mark.parametrize("c", CALCULATORS, ids=IDS)
def test_a_plus_minus_never_moves_the_value_it_stands_beside(c, random_runs):
    """What is held between bounds of its own may move: there the bounds are made of the bands."""
    draw = random.Random(10)
    compared = 0
    for _ in range(random_runs // 2):
        found = solved(c, draw, draw.choice(units.SYSTEMS))
        if not found or not found[1].plus_minus:
            continue
        entries, values, solution = found
        bare = SimpleNamespace(**vars(values))
        bare.plus_minus = {}
        without = c.solve(bare).results
        for output in c.outputs:
            if output.kind is None or output.name in c.held:
                continue
            assert without.get(output.name) == solution.results.get(output.name), (
                output.name,
                entries,
            )
        compared += 1
    readings = [i for i in every_input(c) if isinstance(i, Quantity) and i.reading]
    assert not readings or compared > random_runs // 50


@pytest.mark.parametrize("c", CALCULATORS, ids=IDS)
def test_the_random_sites_reach_every_corner(c):
    """Both unit systems' units, every choice, blanks, bands, limits, empty and full tables."""
    draw = random.Random(7)
    missing = wanted_corners(c.inputs)
    for _ in range(400):
        system = draw.choice(units.SYSTEMS)
        for entry in c.inputs:
            missing -= corners(entry, random_entry(entry, draw, system), system)
        if not missing:
            break
    assert missing == set()


def wanted_corners(entries):
    wanted = set()
    for entry in entries:
        name = entry.name
        if isinstance(entry, Choice):
            wanted |= {(name, option.value) for option in entry.options}
        elif isinstance(entry, Quantity):
            wanted |= {(name, unit.id) for unit in entry.kind.units}
            wanted |= {(name, corner) for corner in ("low", "high", "below low", "above high")}
            wanted |= {(name, "blank")} if entry.optional else set()
            wanted |= {(name, "band")} if entry.reading else set()
        elif isinstance(entry, Table):
            wanted |= {(name, entry.fewest), (name, entry.most)}
            wanted |= wanted_corners(entry.columns)
    return wanted


def corners(entry, given, system):
    """Return which corners of an input an entry stands in."""
    name = entry.name
    if isinstance(entry, Choice):
        return {(name, given)}
    if isinstance(entry, Table):
        found = {(name, len(given))}
        for column in entry.columns:
            for row in given:
                found |= corners(column, row[column.name], system)
        return found
    if not isinstance(entry, Quantity):
        return set()
    try:
        read = read_quantity(entry.kind, given, system)
    except units.EntryError:
        return set()
    if read is None:
        return {(name, "blank")}
    low, high = si_limits(entry)
    close = 0.1 * TINY * (high - low)
    found = {(name, read.unit.id)}
    if read.plus_minus:
        found.add((name, "band"))
    for limit, at, past in ((low, "low", "below low"), (high, "high", "above high")):
        if abs(read.value - limit) < close:
            found.add((name, at))
        if past == "below low" and read.value < limit - close:
            found.add((name, past))
        if past == "above high" and read.value > limit + close:
            found.add((name, past))
    return found


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

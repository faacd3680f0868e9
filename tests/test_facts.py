"""Facts carried from page to page mean the same thing on both."""

import pytest

from calc import bridge, facts
from calc.calculators import CALCULATORS, calculator
from calc.model import Choice, Quantity

IDS = [c.id for c in CALCULATORS]
INPUTS = [
    pytest.param(c, entry, name, id=f"{c.id}-{entry.name}-{name}")
    for c in CALCULATORS
    for entry in c.inputs
    for name in facts.taken(c, entry)
]
OUTPUTS = [
    pytest.param(calculator(id), output, name, id=f"{id}-{output}")
    for id, outputs in facts.GIVES.items()
    for output, name in outputs.items()
]


@pytest.mark.parametrize(("c", "entry", "name"), INPUTS)
def test_an_input_and_its_fact_are_of_one_kind(c, entry, name):
    fact = facts.FACTS[name]
    if isinstance(entry, Quantity):
        assert entry.kind is fact.kind
    else:
        assert fact.kind is None


@pytest.mark.parametrize(("c", "output", "name"), OUTPUTS)
def test_an_output_and_its_fact_are_of_one_kind(c, output, name):
    assert c.output(output).kind is facts.FACTS[name].kind


def test_a_choice_has_the_same_options_wherever_it_is_asked():
    options = {}
    for c in CALCULATORS:
        for entry in c.inputs:
            for name in facts.taken(c, entry):
                if isinstance(entry, Choice):
                    found = [o.value for o in entry.options]
                    assert options.setdefault(name, found) == found, f"{c.id}: {entry.name}"


@pytest.mark.parametrize("c", CALCULATORS, ids=IDS)
def test_nothing_feeds_itself(c):
    """A result that came back as an entry of the same page would run away."""
    wanted = {name for entry in c.inputs for name in facts.taken(c, entry)}
    assert wanted.isdisjoint(facts.GIVES.get(c.id, {}).values())


def test_what_the_tables_name_exists():
    for id, names in (*facts.TAKES.items(), *facts.APART.items()):
        inputs = {i.name for i in calculator(id).inputs}
        assert set(names) <= inputs, id
    for id, names in facts.APART.items():
        assert names <= set(facts.FACTS), f"{id}: {names} would not be taken anyhow"
    for id, mapping in facts.TAKES.items():
        assert {n for names in mapping.values() for n in names} <= set(facts.FACTS), id


def test_every_fact_is_wanted_somewhere():
    wanted = {name for c in CALCULATORS for entry in c.inputs for name in facts.taken(c, entry)}
    assert wanted == set(facts.FACTS)


@pytest.mark.parametrize(("c", "output", "name"), OUTPUTS)
@pytest.mark.parametrize("system", ["si", "us"])
def test_a_result_that_is_a_fact_comes_as_an_entry(c, output, name, system):
    answer = bridge.run(c.id, {}, system)
    result = next(r for r in answer["results"] if r["name"] == output)
    assert result["fact"] == name
    entry = result["entry"]
    assert float(entry["value"]) == pytest.approx(result["value"], rel=1e-4)
    assert entry["unit"] == result["unit"]
    assert bool(entry["pm"]) == bool(result["plus_minus"])


def test_what_one_page_finds_the_next_reads():
    """The volume found by the survey, put as an entry into the sizing, is the volume sized for."""
    found = next(
        r for r in bridge.run("system-volume", {}, "us")["results"] if r["name"] == "volume"
    )
    given = bridge.run("vessel-size", {"system_volume": found["entry"]}, "us")
    assert "errors" not in given
    wanted = bridge.run("vessel-size", {"system_volume": f"{found['value']!r} gal"}, "us")
    a, b = (r["results"][0]["value"] for r in (given, wanted))
    assert a == pytest.approx(b, rel=1e-4)


def test_results_that_are_no_facts_carry_none():
    answer = bridge.run("pre-charge", {}, "si")
    assert "entry" not in next(r for r in answer["results"] if r["name"] == "hot_pressure")


@pytest.mark.parametrize(
    ("id", "name", "found"),
    [
        ("two-reading-check", "cold", ()),
        ("two-reading-check", "setting", ("hot",)),
        ("domestic-vessel", "cold", ()),
        ("glycol-dose", "hot", ()),
        ("convert", "altitude", ()),
        ("pre-charge", "altitude", ("altitude",)),
        ("relief-margin", "vessel_volume", ("new_vessel", "vessel_volume")),
    ],
)
def test_who_takes_a_fact_and_who_means_something_else_by_its_name(id, name, found):
    chosen = calculator(id)
    assert facts.taken(chosen, chosen.input(name)) == found


def test_a_result_gives_the_fact_that_is_named_and_others_give_none():
    assert facts.given("pre-charge", "fill_gauge") == "cold_fill"
    assert facts.given("pre-charge", "hot_pressure") == facts.given("convert", "any") == ""

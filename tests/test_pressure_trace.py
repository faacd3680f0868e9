"""The pressure trace: cases laid over each other."""

import pytest

from calc import bridge, units
from calc.calculators.pressure_trace import CALCULATOR

CASES = "Old | 200 L | 0.7 bar | 1.55 bar; New | 250 L | 1.5 bar | 1.55 bar"


def answer(system="si", **entries):
    return bridge.run("pressure-trace", entries, system)


def results(**entries):
    found = answer(**entries)
    assert "errors" not in found, found["errors"]
    kinds = {o.name: o.kind for o in CALCULATOR.outputs}
    numbers = {}
    for number, row in enumerate(found["charts"][1]["rows"], start=1):
        _, margin, *_, water = (cell["value"] for cell in row["cells"])
        numbers[f"water_{number}"] = water / 1e3
        if margin is not None:
            numbers[f"margin_{number}"] = margin * 1e5
    return numbers | {
        r["name"]: kinds[r["name"]].unit(r["unit"]).to_si(r["value"])
        if kinds[r["name"]]
        else r["value"]
        for r in found["results"]
    }


def checks(**entries):
    return {c["id"]: c for c in answer(**entries)["checks"]}


def refused(**entries):
    (error,) = answer(**entries)["errors"]
    return error["field"], error["message"]


@pytest.mark.parametrize("system", units.SYSTEMS)
def test_the_example_keeps_its_margin_once_mended(system):
    found = {r["name"]: r["value"] for r in answer(system)["results"]}
    assert found["keeping"] == "Recharged; Resized"
    assert found["hot_1"] > found["hot_2"] > found["hot_3"]
    assert found["lift_1"] < found["lift_2"] < found["lift_3"]


def test_a_case_does_not_change_with_its_neighbours():
    alone = results(cases="New | 250 L | 1.5 bar | 1.55 bar")
    beside = results(cases=CASES)
    for name in ("hot", "margin", "lift", "boil", "water"):
        assert alone[f"{name}_1"] == pytest.approx(beside[f"{name}_2"]), name
    assert "hot_2" not in alone


def test_it_agrees_with_the_relief_margin_calculator():
    site = {"vessel_volume": "250 L", "charge": "1.5 bar", "cold_fill": "1.55 bar"}
    other = bridge.run("relief-margin", {**site, "pump": "stopped", "system_volume": "1750 L"})
    wanted = {r["name"]: r["value"] for r in other["results"]}
    found = results(cases="New | 250 L | 1.5 bar | 1.55 bar", pipe="none", system_volume="1750 L")
    assert found["hot_1"] / 1e5 == pytest.approx(wanted["hot_at_gauge"])
    assert found["margin_1"] / 1e5 == pytest.approx(wanted["margin"])


def test_at_the_temperature_where_it_opens_the_margin_is_gone():
    lift = results(cases=CASES)["lift_2"]
    again = results(cases=CASES, hot=f"{lift!r} K")
    assert again["margin_2"] == pytest.approx(0.0, abs=20.0)
    for below, wanted in ((-0.5, "stays only"), (0.5, "before it is hot")):
        text = checks(cases=CASES, hot=f"{lift + below!r} K")["margin-2"]["message"]
        assert wanted in text


def test_a_full_vessel_opens_the_valve_and_shows_no_hot_pressure():
    found = results(cases="No room | 40 L | 1.4 bar | 1.55 bar")
    assert "hot_1" not in found
    assert found["lift_1"] < 320.0
    assert checks(cases="No room | 40 L | 1.4 bar | 1.55 bar")["margin-1"]["status"] == "fail"


@pytest.mark.parametrize(
    ("entries", "check", "status"),
    [
        ({"cases": "A | 250 L | 1.9 bar | 1.55 bar"}, "fill-1", "fail"),
        ({"height": "18 m"}, "fill-2", "fail"),
        ({"height": "16 m"}, "fill-2", "caution"),
        ({}, "fill-2", "pass"),
        ({"hot": "128 degC"}, "boiling-1", "caution"),
        ({"hot": "140 degC"}, "boiling-1", "fail"),
        ({}, "boiling-1", "pass"),
        ({"height": "40 m"}, "boiling-1", "fail"),
        ({"gap_rule": "own", "gap_own": "0.8 bar"}, "margin-2", "fail"),
        ({"gap_rule": "own", "gap_own": "0.8 bar"}, "margin-3", "pass"),
    ],
)
def test_each_check_speaks_where_it_must(entries, check, status):
    assert checks(**entries)[check]["status"] == status


def test_the_trace_is_held_where_the_valve_opens():
    chart = answer(cases="No room | 40 L | 1.4 bar | 1.55 bar")["charts"][0]
    line = [p[1] for p in chart["series"][0]["points"]]
    level = next(x["value"] for x in chart["levels"] if x["role"] == "limit")
    assert max(line) == pytest.approx(level, rel=2e-3)
    assert line[-1] == pytest.approx(line[-5], rel=2e-3)


def test_the_trace_ends_at_the_hot_pressure_and_starts_at_the_fill():
    found, chart = results(), answer()["charts"][0]
    for number, series in enumerate(chart["series"][:3], start=1):
        assert series["points"][0][1] == pytest.approx(1.55)
        assert series["points"][-1][1] * 1e5 == pytest.approx(found[f"hot_{number}"])
    assert len(chart["series"]) == 4
    # Water of 80 degC boils at 0.4741 bar abs; the top stands 10.2 m above the gauge.
    boiling = 0.4741 - 0.93869 + 971.79 * 9.80665 * 10.2e-5
    assert chart["series"][3]["points"][-1][1] == pytest.approx(boiling, abs=1e-3)


def test_the_cases_stand_side_by_side_under_their_names():
    found, table = results(cases=CASES), answer(cases=CASES)["charts"][1]
    assert [row["label"] for row in table["rows"]] == ["Old", "New"]
    for number, row in enumerate(table["rows"], start=1):
        hot, margin, lift, boil, water = (cell["value"] for cell in row["cells"])
        assert hot * 1e5 == pytest.approx(found[f"hot_{number}"])
        assert lift + 273.15 == pytest.approx(found[f"lift_{number}"])
        assert boil + 273.15 == pytest.approx(found[f"boil_{number}"])
        # Gauge and valve stand 0.6 m apart, with water of 80 degC between them.
        assert 3.0 - hot + 971.8 * 9.80665 * 0.6e-5 == pytest.approx(margin, abs=1e-4)
        volume, charge = ((200.0, 0.7), (250.0, 1.5))[number - 1]
        charge_abs, fill_abs = charge + 0.93869, 1.55 + 0.93869 + 999.7 * 9.80665 * 1.2e-5
        assert water == pytest.approx(volume * (1 - charge_abs / fill_abs), abs=0.01)


def test_a_mixture_may_start_below_freezing():
    cold = {"fluid": "propylene glycol", "glycol": "45 %", "cold": "-15 degC"}
    found = results(**cold)
    assert found["lift_1"] < found["lift_2"] < found["lift_3"]
    assert checks(**cold)["boiling-3"]["status"] == "pass"


def test_a_plus_minus_of_the_water_widens_every_hot_pressure():
    found = answer(system_volume="1750 ± 40 L")["results"]
    bands = {r["name"]: r["plus_minus"] for r in found}
    low, high = (results(system_volume=text)["hot_1"] for text in ("1710 L", "1790 L"))
    middle = results()["hot_1"]
    assert bands["hot_1"] * 1e5 == pytest.approx(max(middle - low, high - middle))
    assert bands["hot_1"] > bands["hot_2"] > bands["hot_3"] > 0


def test_names_are_safe_and_missing_ones_are_counted():
    found = answer(cases="{odd} | 250 L | 1.5 bar | 1.55 bar;  | 250 L | 1.5 bar | 1.55 bar")
    assert "“{odd}”" in found["checks"][0]["message"]
    assert found["charts"][0]["series"][1]["label"] == "Second case"


@pytest.mark.parametrize(
    ("entries", "field", "words"),
    [
        ({"hot": "10 degC"}, "hot", "not above"),
        ({"cold": "1 degC", "hot": "5 degC"}, "hot", "pushes nothing"),
        ({"gap_rule": "en", "relief": "0.4 bar"}, "gap_rule", "set pressure"),
        ({"cases": "A | 250 L | 1.5 bar | 3.1 bar"}, "cases.0.cold_fill", "Lower the fill"),
        ({"gauge_height": "-60 m", "valve_height": "-9 m"}, "cases.0.cold_fill", "vacuum"),
        (
            {"cases": "A | 250 L | 1.5 bar | 1.6 bar; B | 250 L | 3.4 bar | 1.6 bar"},
            "cases.1.charge",
            "relief valve",
        ),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(entries, field, words):
    found, message = refused(**entries)
    assert found == field
    assert words in message

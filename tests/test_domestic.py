"""The drinking-water side: the rules' laws, the verdicts, and what cannot be."""

from itertools import pairwise

import pytest

from calc import bridge, domestic, vessel
from calc.calculators.domestic_vessel import CALCULATOR
from calc.model import Refusal

BASE = {
    "cylinder": "300 L", "cold": "10 degC", "stored": "60 degC", "supply": "3 bar",
    "cylinder_relief": "6 bar", "rule": "din", "closes": "check", "domestic_vessel": "18 L",
    "domestic_charge": "2.8 bar", "grow_to": "stored", "altitude": "640 m",
}  # fmt: skip


def answer(**entries):
    found = bridge.run(CALCULATOR.id, BASE | entries)
    assert "errors" not in found, found["errors"]
    return found


def result(name, **entries):
    return next((r["value"] for r in answer(**entries)["results"] if r["name"] == name), None)


def check(id, **entries):
    return next((c for c in answer(**entries)["checks"] if c["id"] == id), None)


def refusal(**entries):
    found = bridge.run(CALCULATOR.id, BASE | entries)
    assert "errors" in found, "it was computed"
    (error,) = found["errors"]
    return error["field"], error["message"]


@pytest.mark.parametrize("supply", [1e5, 2.3e5, 4.5e5])
@pytest.mark.parametrize("end", [4.8e5, 8e5])
def test_the_german_formula_is_boyles_law_with_one_bar_of_air(supply, end):
    there = domestic.din_volume(0.005, supply, end)
    charge = domestic.din_charge_high(supply) + 1e5
    assert there == pytest.approx(
        vessel.vessel_volume_general(0.005, charge, supply + 1e5, end + 1e5)
    )


def test_without_room_below_the_end_the_german_formula_refuses():
    with pytest.raises(Refusal, match="Fit a regulator"):
        domestic.din_volume(0.005, 5e5, 4.8e5)
    with pytest.raises(Refusal, match="no vessel is large enough"):
        domestic.din_volume(0.005, 4.8e5, 4.8e5)


@pytest.mark.parametrize("rule", ["din", "code", "valve"])
def test_every_rule_asks_for_more_with_more_water_more_heat_and_more_supply(rule):
    name = f"volume_{rule}"
    for field, values in {
        "cylinder": ("150 L", "300 L", "600 L"),
        "stored": ("50 degC", "60 degC", "80 degC"),
        "supply": ("1 bar", "3 bar", "4.5 bar"),
    }.items():
        found = [result(name, **{field: value}) for value in values]
        assert found == sorted(found)
        assert found[0] < found[1] < found[2], (rule, field)
    assert result(name, cylinder="600 L") == pytest.approx(2 * result(name))


@pytest.mark.parametrize("rule", ["din", "valve"])
def test_a_stronger_valve_asks_for_less_and_the_code_does_not_care(rule):
    weak, strong = (result(f"volume_{rule}", cylinder_relief=p) for p in ("6 bar", "10 bar"))
    assert strong < weak
    codes = [result("volume_code", cylinder_relief=p) for p in ("6 bar", "10 bar")]
    assert codes[0] == codes[1]


@pytest.mark.parametrize(("rule", "charge"), [("code", "3 bar"), ("valve", "3 bar")])
def test_the_vessel_of_a_rule_just_reaches_its_end(rule, charge):
    size = result(f"volume_{rule}")
    entries = {"rule": rule, "domestic_vessel": f"{size:.8f} L", "domestic_charge": charge}
    assert result("hot_pressure", **entries) == pytest.approx(result(f"end_{rule}"), abs=1e-5)


def test_the_german_vessel_just_reaches_its_end_where_the_air_is_one_bar():
    entries = {"altitude": "110.88 m"}
    size = f"{result('volume_din', **entries):.8f} L"
    hot = result("hot_pressure", domestic_vessel=size, **entries)
    assert hot == pytest.approx(result("end_din"), abs=2e-4)


def test_thinner_air_leaves_less_room_for_the_gas_to_shrink_in():
    # At one gauge pressure the absolute ratio is greater where the air is thinner.
    assert result("volume_code", altitude="2500 m") < result("volume_code", altitude="0 m")
    assert result("volume_din", altitude="2500 m") == result("volume_din", altitude="0 m")


def test_the_rule_chosen_decides_size_charge_and_verdict():
    small = {"cylinder_relief": "10 bar", "domestic_vessel": "11 L", "domestic_charge": "2.8 bar"}
    for rule, status in (("din", "pass"), ("code", "fail"), ("valve", "pass")):
        assert check("size", rule=rule, **small)["status"] == status, rule
        assert result("needed", rule=rule, **small) == result(f"volume_{rule}", **small)
    assert result("charge_high", rule="code") == pytest.approx(3)
    assert result("charge_low", rule="din") == pytest.approx(2.7)
    assert result("charge_high", rule="din") == pytest.approx(2.8)


@pytest.mark.parametrize(
    ("rule", "charge", "status", "words"),
    [
        ("din", "2.8 bar", "pass", "suits"),
        ("din", "2.7 bar", "pass", "suits"),
        ("din", "2.9 bar", "caution", "too high"),
        ("din", "2.6 bar", "caution", "too low"),
        ("code", "2.9 bar", "pass", "suits"),
        ("code", "3.1 bar", "pass", "suits"),
        ("code", "2.8 bar", "caution", "too low"),
        ("valve", "3.2 bar", "caution", "too high"),
    ],
)
def test_the_charge_is_held_against_the_rule(rule, charge, status, words):
    found = check("charge", rule=rule, domestic_charge=charge)
    assert found["status"] == status
    assert words in found["message"]


@pytest.mark.parametrize(("supply", "status"), [("5.5 bar", "pass"), ("5.6 bar", "fail")])
def test_above_80_psi_a_regulator_is_asked_for(supply, status):
    assert check("supply", supply=supply, cylinder_relief="10 bar")["status"] == status


def test_where_the_valve_would_open_it_is_named_as_misuse():
    assert check("control", domestic_vessel="4 L")["status"] == "fail"
    assert check("control", domestic_vessel="8 L")["status"] == "fail"
    assert check("control")["status"] == "pass"
    assert result("hot_pressure", domestic_vessel="4 L") is None
    assert result("room", domestic_vessel="8 L") < 0
    assert check("hot", domestic_vessel="8 L") is None


def test_gas_that_the_supply_has_pressed_together_no_longer_counts():
    # 5.2 L hold more than the growth of 5.0 L, but not once the supply has gone in.
    assert result("hot_pressure", domestic_vessel="5.2 L") is None
    assert check("control", domestic_vessel="5.2 L")["status"] == "fail"


def test_an_open_supply_lets_the_water_back_until_it_is_closed():
    assert check("closed")["status"] == "pass"
    assert check("closed", closes="regulator")["status"] == "pass"
    assert check("closed", closes="open")["status"] == "caution"
    found = check("control", closes="open", domestic_vessel="4 L")
    assert found["status"] == "caution"
    assert "The day the supply is closed" in found["message"]


def test_the_codes_limit_is_held_against_a_weak_valve_and_against_the_taps():
    assert check("code-end", rule="code", cylinder_relief="6 bar")["status"] == "caution"
    assert check("code-end", rule="code", cylinder_relief="7 bar") is None
    assert check("code-end", rule="din", cylinder_relief="6 bar") is None
    high = {"supply": "5 bar", "domestic_charge": "4.8 bar", "cylinder_relief": "10 bar"}
    assert check("fixtures", **high)["status"] == "caution"
    assert check("fixtures", rule="code", **high) is None
    assert check("fixtures") is None


def test_a_hot_pressure_above_the_rules_end_is_not_acceptable():
    assert check("hot")["status"] == "pass"
    assert check("hot", domestic_vessel="15 L")["status"] == "fail"


def test_where_the_supply_is_too_strong_no_vessel_serves_and_none_is_named():
    found = {"supply": "5 bar", "domestic_charge": "4.8 bar"}
    assert result("volume_din", **found) is None
    assert result("needed", **found) is None
    assert result("volume_valve", **found) > 0
    assert check("size", **found)["status"] == "fail"
    table = answer(**found)["charts"][0]
    assert table["rows"][0]["cells"][2]["text"] == "–"
    assert table["rows"][0]["cells"][3]["text"] == "no vessel serves"


def test_a_failed_thermostat_lets_it_grow_further():
    low = result("expansion")
    high = result("expansion", grow_to="limit", temperature_limit="90 degC")
    # Densities of water at 10, 60 and 90 degC from the IAPWS table.
    assert low == pytest.approx(300 * (999.70 / 983.20 - 1), rel=2e-3)
    assert high == pytest.approx(300 * (999.70 / 965.31 - 1), rel=2e-3)


@pytest.mark.parametrize(
    ("entries", "field", "words"),
    [
        ({"supply": "6 bar"}, "supply", "holds the relief valve open"),
        ({"cold": "58 degC", "stored": "50 degC"}, "cold", "nothing grows"),
        (
            {"grow_to": "limit", "temperature_limit": "55 degC"},
            "temperature_limit",
            "below the stored",
        ),
        ({"stored": "100 degC"}, "stored", "opens there"),
        ({"cold": "0 degC"}, "cold", "ice"),
    ],
)
def test_what_cannot_be_is_refused_where_it_is_entered(entries, field, words):
    found = refusal(**entries)
    assert found[0] == field
    assert words in found[1]


def test_the_curve_starts_at_the_supply_and_ends_hot_or_where_the_valve_is_long_open():
    curve = next(c for c in answer()["charts"] if c["id"] == "heating")
    points = curve["series"][0]["points"]
    assert points[0] == pytest.approx([10, 3])
    assert points[-1] == pytest.approx([60, result("hot_pressure")])
    assert all(b[1] > a[1] for a, b in pairwise(points))
    short = next(c for c in answer(domestic_vessel="8 L")["charts"] if c["id"] == "heating")
    assert short["series"][0]["points"][-1][0] < 60
    assert short["series"][0]["points"][-1][1] <= 6 * 1.25
    assert "valve open by then" in [m["label"] for m in short["marks"]]


def test_the_sides_by_side_table_names_every_rule():
    table = answer()["charts"][0]
    assert [row["label"] for row in table["rows"]] == [
        "DIN 4807-5", "80 psi of the codes", "A tenth below the valve",
    ]  # fmt: skip
    assert [row["cells"][3]["text"] for row in table["rows"]] == ["serves"] * 3

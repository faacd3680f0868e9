"""What calculators say and draw besides their verdicts."""

import pytest

from calc import bridge


def answered(calculator, entries):
    answer = bridge.run(calculator, entries, "si")
    assert "errors" not in answer, answer
    return answer


def results(calculator, entries):
    return {r["name"]: r["value"] for r in answered(calculator, entries)["results"]}


def message(calculator, id, entries):
    return next(c["message"] for c in answered(calculator, entries)["checks"] if c["id"] == id)


def chart(calculator, id, entries):
    """Return the chart of that name, or None where it is not drawn."""
    return next((c for c in answered(calculator, entries)["charts"] if c["id"] == id), None)


def test_a_first_fill_has_no_glycol_before():
    first = {"method": "fill"}
    assert "Now the first ice" not in message("glycol-dose", "protects", first)
    assert [m["label"] for m in chart("glycol-dose", "freezing", first)["marks"]] == ["then"]
    assert "with water" in message("glycol-dose", "vessel", first)
    assert "Now the first ice" in message("glycol-dose", "protects", {})
    assert [m["label"] for m in chart("glycol-dose", "freezing", {})["marks"]] == ["now", "then"]
    assert "with water" not in message("glycol-dose", "vessel", {})


def test_a_loop_of_water_freezes_grows_and_presses_as_water():
    found = results("glycol-dose", {"now": "0 %"})
    assert found["freeze_now"] == 0.0
    assert found["expansion_now"] == found["expansion_water"]
    assert found["column_now"] == found["column_water"]


@pytest.mark.parametrize("still", [{"topped": "0 L"}, {"times": "0"}])
def test_nothing_topped_up_draws_nothing(still):
    assert chart("glycol-dose", "topping", still) is None
    assert results("glycol-dose", still)["after"] == pytest.approx(30.0)
    assert chart("glycol-dose", "topping", {"topped": "0.5 L", "times": "1"})


STILL = {
    "altitude": "0 m", "gauge_height": "0 m", "charge": "1 bar", "charge_temperature": "20 degC",
    "gas_before": "20 degC", "gas_after": "20 degC", "water_before": "20 degC",
    "water_after": "20 degC", "vessel_volume": "100 L", "before": "3.01325 bar",
}  # fmt: skip
"""Gas fills half the vessel at first."""


@pytest.mark.parametrize(
    ("change", "labels"),
    [
        ({"after": "2.5 bar"}, ("Gas has grown by", "Water shrank by", "Lost")),
        ({"after": "3.5 bar"},
         ("Gas was pressed together by", "Water shrank by", "Came in unseen")),
        ({"after": "2.5 bar", "water_after": "30 degC"},
         ("Gas has grown by", "Water grew by", "Lost")),
    ],
)  # fmt: skip
def test_the_parts_of_a_leak_say_which_way_they_went(change, labels):
    bars = chart("leak-rate", "parts", {**STILL, **change})["bars"]
    assert (bars[0]["label"], bars[1]["label"], bars[3]["label"]) == labels
    assert all(bar["value"] >= 0.0 for bar in bars)


def test_a_gauge_is_read_again_before_the_vessel_is_empty():
    """Lost a quarter of the vessel in 30 days, a quarter left: half of the 30 days to go."""
    empty_soon = {**STILL, "interval": "30 d", "after": f"{2.01325 / 0.75 - 1.01325:.9f} bar"}
    assert "45.00\xa0days" in message("leak-rate", "shown", empty_soon)
    hardly = {**STILL, "interval": "30 d", "after": "3.01 bar"}
    assert "120.0\xa0days" in message("leak-rate", "shown", hardly)


def test_each_way_to_a_leak_draws_its_own_charts():
    drawn = {
        method: [c["id"] for c in answered("leak-rate", {"method": method})["charts"]]
        for method in ("fall", "meter")
    }
    assert drawn == {"fall": ["parts", "course"], "meter": ["share"]}


def loop(friction, closing):
    return {
        "points": f"Pump | pump | 0 m | 0 bar | 0.2 bar ; Back | pipe | 0 m | {friction} bar |",
        "closing": closing,
    }


@pytest.mark.parametrize(("friction", "words"), [("0.1", "0.1000 bar less"), ("0.3", "more")])
def test_a_loop_that_does_not_close_says_by_how_much_and_which_way(friction, words):
    (error,) = bridge.run("loop-pressures", loop(friction, "refuse"), "si")["errors"]
    assert words.split()[-1] + ". Correct" in error["message"]
    assert "errors" not in bridge.run("loop-pressures", loop(friction, "scale"), "si")


@pytest.mark.parametrize(
    ("rule", "words"), [("din", "between 2.70"), ("code", "to 3.00"), ("valve", "to 3.00")]
)
def test_a_domestic_charge_is_set_to_what_its_rule_names(rule, words):
    for charge in ("1 bar", "4 bar"):
        entries = {"rule": rule, "supply": "3 bar", "domestic_charge": charge}
        assert words in message("domestic-vessel", "charge", entries).replace("\xa0", " ")


def test_the_heating_of_a_cylinder_is_drawn_to_its_end_or_past_the_valve():
    whole = chart("domestic-vessel", "heating", {"stored": "60 degC"})
    assert [m["label"] for m in whole["marks"]] == ["supply", "hot"]
    assert whole["series"][0]["points"][-1][0] == pytest.approx(60.0)
    assert whole["series"][0]["points"][0] == pytest.approx([10.0, 3.0])
    cut = chart("domestic-vessel", "heating", {"domestic_vessel": "8 L"})
    assert [m["label"] for m in cut["marks"]] == ["supply", "valve open by then"]
    assert cut["series"][0]["points"][-1][0] < 60.0
    assert cut["series"][0]["points"][-1][1] <= 1.25 * 6.0


def test_a_traced_case_that_never_lifts_the_valve_does_not_say_where():
    """Water is traced up to 150 degC, as hot as the table of its density reaches here."""
    calm = {"cases": "A | 1000 L | 1.5 bar | 1.55 bar", "system_volume": "300 L", "relief": "6 bar"}
    assert "would open at" not in message("pressure-trace", "margin-1", calm)
    assert "lift_1" not in results("pressure-trace", calm)
    assert "would open at" in message("pressure-trace", "margin-2", {})


def test_the_first_traced_case_is_drawn_as_the_main_one():
    (drawn,) = (c for c in answered("pressure-trace", {})["charts"] if c.get("series"))
    lines = {s["label"]: s for s in drawn["series"]}
    cases = ["As found", "Recharged", "Resized"]
    assert [lines[name]["role"] for name in cases] == ["main", "other", "other"]
    ends = {m["label"]: [m["x"], m["y"]] for m in drawn["marks"]}
    for name in cases:
        assert ends[name] == pytest.approx(list(lines[name]["points"][-1]))

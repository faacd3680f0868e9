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

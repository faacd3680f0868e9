"""Replacement vessels side by side: their laws, their verdicts, and what cannot be compared."""

from itertools import pairwise

import pytest

from calc import bridge, replacement
from calc.calculators.replacement_options import CALCULATOR, solve
from calc.model import ResultTable

SYSTEM = {
    "system_volume": "1750 L", "hot": "80 degC", "cold": "10 degC", "charge": "1.5 bar",
    "fill": "1.67 bar", "relief": "3 bar", "valve_height": "1.8 m", "pump_head": "0.3 bar",
    "friction": "0.05 bar", "gap_rule": "en", "altitude": "640 m", "hourly_rate": "60",
}  # fmt: skip


def row(name="One", volume="250 L", count="1", mass="44 kg", cost="540", labour="5 h"):
    return {
        "name": name,
        "volume": volume,
        "count": count,
        "empty_mass": mass,
        "part_cost": cost,
        "labour": labour,
    }


def answer(*rows, system="si", **entries):
    found = bridge.run("replacement-options", SYSTEM | {"options": list(rows)} | entries, system)
    assert "errors" not in found, found["errors"]
    return found


def result(name, *rows, **entries):
    found = answer(*rows, **entries)["results"]
    return next((r["value"] for r in found if r["name"] == name), None)


def check(id, *rows, **entries):
    return next(c for c in answer(*rows, **entries)["checks"] if c["id"] == id)


def refusal(*rows, **entries):
    found = bridge.run("replacement-options", SYSTEM | {"options": list(rows)} | entries)
    assert "errors" in found, "it was computed"
    (error,) = found["errors"]
    return error["field"], error["message"]


def cells(*rows, **entries):
    """Return the table's cells by row and column label."""
    table = answer(*rows, **entries)["charts"][0]
    heads = [column["label"] for column in table["columns"]]
    return [
        dict(zip(heads, (c["value"] for c in one["cells"]), strict=True)) for one in table["rows"]
    ]


def test_the_same_volume_serves_alike_in_one_piece_or_in_several():
    whole, parts = cells(row(volume="280 L"), row(volume="70 L", count="4"))
    for head in ("Volume together", "Hot pressure at the vessel", "Water kept when cold",
                 "Lowest cold fill", "Highest cold fill", "Room to set the fill"):  # fmt: skip
        assert parts[head] == pytest.approx(whole[head]), head
    assert parts["One vessel, full of water"] < whole["One vessel, full of water"]


@pytest.mark.parametrize("volume", ["100 L", "170 L"])
def test_what_a_short_one_reaches_is_told_as_the_table_has_it(volume):
    short = row("Short", volume)
    told = check("option-1", short)["message"].replace("\xa0", " ")
    hot = cells(short)[0]["Hot pressure at the vessel"]
    assert f"it reaches {hot:.2f} bar g." in told
    assert f"below {hot + cells(short)[0]['Left below the highest allowed']:.2f} bar g hot" in told


def test_a_larger_vessel_runs_cooler_in_pressure_keeps_more_and_is_easier_to_fill():
    sizes = [row(volume=f"{n} L") for n in (220, 250, 300, 400, 600, 1000)]
    found = cells(*sizes)
    for small, large in pairwise(found):
        assert large["Hot pressure at the vessel"] < small["Hot pressure at the vessel"]
        assert large["Water kept when cold"] > small["Water kept when cold"]
        assert large["Room to set the fill"] > small["Room to set the fill"]
        assert large["One vessel, full of water"] > small["One vessel, full of water"]


@pytest.mark.parametrize("reserve", ["en", "none", "own"])
@pytest.mark.parametrize("side", [-1, 1])
def test_an_option_serves_exactly_from_the_smallest_volume_on(reserve, side):
    given = {"reserve": reserve, "reserve_own": "20 L"}
    least = result("minimum", row(), **given)
    volume = f"{least * (1 + side * 1e-4):.6f} L"
    found = cells(row(volume=volume), **given)[0]
    assert found["Serves"] == ("yes" if side > 0 else "no")


def test_at_the_smallest_volume_the_window_closes():
    least = result("minimum", row())
    (found,) = cells(row(volume=f"{least * (1 + 1e-7):.8f} L"))
    assert found["Lowest cold fill"] == pytest.approx(found["Highest cold fill"], abs=1e-5)
    assert found["Room to set the fill"] == pytest.approx(0, abs=1e-5)


def test_filled_to_the_top_of_its_window_it_just_reaches_the_limit():
    (found,) = cells(row(volume="300 L"))
    fill = f"{found['Highest cold fill']:.8f} bar"
    (again,) = cells(row(volume="300 L"), fill=fill)
    assert again["Left below the highest allowed"] == pytest.approx(0, abs=1e-5)


def test_filled_to_the_foot_of_its_window_it_just_holds_the_reserve():
    (found,) = cells(row(volume="300 L"), fill="")
    assert found["Water kept when cold"] == pytest.approx(8.75, abs=1e-6)
    assert check("option-1", row(volume="300 L"), fill="")["status"] == "pass"


def test_the_pump_takes_what_it_adds_at_the_valve_and_gives_nothing_when_it_stops():
    still = result("final", row(), pump_head="0 bar", friction="0 bar")
    assert result("final", row(), pump_head="0.4 bar", friction="0.1 bar") == pytest.approx(
        still - 0.3
    )
    assert result("final", row(), pump_head="0 bar", friction="0.1 bar") == pytest.approx(still)


def test_a_valve_above_allows_the_vessel_more():
    low, high = (result("final", row(), valve_height=h) for h in ("0 m", "5 m"))
    # Hot water of 80 degC: 971.8 kg/m3 from the IAPWS table.
    assert high - low == pytest.approx(971.8 * 9.80665 * 5 / 1e5, rel=1e-4)


def test_the_cheapest_counts_only_among_those_that_serve():
    rows = (
        row("Small and cheap", volume="100 L", cost="10"),
        row("Sound", cost="540"),
        row("Dear", volume="400 L", cost="900"),
    )
    assert result("cheapest", *rows) == "Sound"
    assert result("least_cost", *rows) == pytest.approx(540 + 5 * 60)
    assert result("serving", *rows) == "Sound, Dear"
    message = check("option-3", *rows)["message"]
    assert "360" in message


def test_cost_counts_every_vessel_and_every_hour():
    rows = (row(volume="140 L", count="2", cost="330", labour="450 min"),)
    assert result("least_cost", *rows, hourly_rate="60") == pytest.approx(2 * 330 + 7.5 * 60)


def test_the_lightest_goes_by_the_piece():
    rows = (row("Whole", mass="44 kg"), row("Pair", volume="140 L", count="2", mass="22 kg"))
    assert result("lightest", *rows) == "Pair"
    assert check("carrying", *rows)["status"] == "pass"
    assert check("carrying", rows[0])["status"] == "caution"
    assert "44.0" in check("carrying", rows[0])["message"]


@pytest.mark.parametrize(
    ("one", "entries", "status", "words"),
    [
        (row(volume="200 L"), {}, "fail", "no cold fill keeps"),
        (row(volume="40 L"), {}, "fail", "opens at every heating"),
        (row(volume="16 L"), {"reserve": "own", "reserve_own": "17 L"}, "fail", "the whole of it"),
        (row(volume="150 L"), {"reserve": "none"}, "fail", "gives up the margin"),
        (row(volume="300 L"), {"fill": "1.95 bar"}, "caution", "not at the fill"),
        (row(volume="300 L"), {"fill": "1.50 bar"}, "caution", "not at the fill"),
        (row(volume="225 L"), {"fill": "1.61 bar"}, "caution", "gives up room"),
        (row(volume="300 L"), {}, "pass", "costs least"),
        (row(volume="150 L", count="2"), {}, "pass", "every charge has to be kept alike"),
    ],
)  # fmt: skip
def test_each_option_says_in_one_line_what_it_gives_up(one, entries, status, words):
    found = check("option-1", one, **entries)
    assert found["status"] == status, found["message"]
    assert words in found["message"]


def test_a_bound_of_the_reserve_is_kept_by_small_vessels_too():
    small = {
        "system_volume": "90 L", "charge": "0.8 bar", "fill": "", "valve_height": "0 m",
        "pump_head": "0 bar", "friction": "0 bar", "hot": "75 degC",
    }  # fmt: skip
    twelve, eighteen = cells(row(volume="12 L"), row(volume="18 L"), **small)
    assert twelve["Water kept when cold"] == pytest.approx(12 / 5)
    assert eighteen["Water kept when cold"] == pytest.approx(3)


def test_where_none_serves_it_says_how_much_is_needed():
    found = answer(row(volume="100 L"))
    names = {r["name"] for r in found["results"]}
    assert names.isdisjoint({"cheapest", "least_cost", "lightest", "hot_pressure"})
    failed = next(c for c in found["checks"] if c["id"] == "any")
    assert failed["status"] == "fail"
    assert "215" in failed["message"]


def test_gas_that_the_fill_has_pressed_together_no_longer_counts():
    # 52 L hold more than the growth of 50 L, but not once the fill has gone in.
    found = check("option-1", row(volume="52 L"))
    assert "opens at every heating" in found["message"]
    assert cells(row(volume="52 L"))[0]["Hot pressure at the vessel"] is None


def test_a_name_with_braces_or_none_at_all_does_no_harm():
    found = answer(row("{hot} {0}"), row(""))
    assert [r["label"] for r in found["charts"][0]["rows"]] == ["{hot} {0}", "Option 2"]


@pytest.mark.parametrize(
    ("one", "entries", "field", "words"),
    [
        (row(count="1.5"), {}, "options.0.count", "whole number"),
        (row(), {"cold": "60 degC", "hot": "50 degC"}, "cold", "nothing expands"),
        (row(), {"cold": "1 degC", "hot": "3 degC"}, "hot", "does not grow"),
        (row(), {"charge": "2.6 bar"}, "charge", "not above the charge"),
        (row(), {"hot": "150 degC"}, "hot", "boils below"),
        (row(), {"fill": "2.5 bar"}, "fill", "not below the highest"),
        (row(), {"fluid": "propylene glycol", "glycol": "30 %", "cold": "-30 degC"}, "cold", ""),
    ],
)
def test_what_cannot_be_is_refused_where_it_is_entered(one, entries, field, words):
    found = refusal(one, **entries)
    assert found[0] == field
    assert words in found[1]


def test_the_whole_number_is_asked_of_the_row_that_breaks_it():
    assert refusal(row(), row(count="2.2"))[0] == "options.1.count"


def test_side_by_side_holds_every_option_and_the_bars_start_with_the_limit():
    reader = bridge.Reader("si")
    solution = solve(reader.read(CALCULATOR, {}))
    table, hot, kept = solution.charts
    assert isinstance(table, ResultTable)
    assert [r.label for r in table.rows] == [
        "Like for like", "Right size", "Two small ones", "Larger",
    ]  # fmt: skip
    assert hot.bars[0].value == solution.results["final"]
    assert [b.value > hot.bars[0].value for b in hot.bars[1:]] == [True, False, False, False]
    assert kept.bars[0].value == solution.results["reserve_asked"]


def test_cost_takes_apart_again():
    cost = replacement.job_cost(3, 200.0, 4 * 3600, 55.0)
    assert (cost - replacement.job_cost(3, 0.0, 4 * 3600, 55.0)) / 3 == pytest.approx(200.0)
    assert replacement.fill_window(2.0, 1.5) == -0.5

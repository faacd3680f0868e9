"""The vessel calculator as it is used: its laws, its refusals and its verdicts."""

import itertools
import re

import pytest

from calc import bridge
from calc.calculators.vessel_size import CALCULATOR, solve

# The sentences and laws are tested on a vessel level with its valve.
LEVEL = {
    "valve_height": "0 m",
    "fill": "1.7 bar",
    "height": "11.4 m",
    "sizes": "8, 12, 18, 25, 35, 50, 80, 100, 140, 200, 300, 400, 500, 600, 800, 1000 L",
    "gap_rule": "en",
}
EN = {}
DIAPHRAGM = {"method": "ashrae-diaphragm"}
CUSHION = {"method": "ashrae-cushion", "construction": "plain"}
CODE = {"method": "us-code", "construction": "plain", "hot": "195 degF"}
METHODS = [EN, DIAPHRAGM, CUSHION, CODE]
NAMES = ["EN 12828", "diaphragm", "air cushion", "US code"]


def run(*parts, system="si", **entries):
    merged = dict(LEVEL)
    for part in parts:
        merged |= part
    return bridge.run("vessel-size", merged | entries, system)


def result(name, *parts, **entries):
    answer = run(*parts, **entries)
    assert "errors" not in answer, answer["errors"]
    return next((r["value"] for r in answer["results"] if r["name"] == name), None)


def verdict(id, *parts, **entries):
    answer = run(*parts, **entries)
    assert "errors" not in answer, answer["errors"]
    return next((c["status"] for c in answer["checks"] if c["id"] == id), None)


def message(id, *parts, **entries):
    return next(c["message"] for c in run(*parts, **entries)["checks"] if c["id"] == id)


def refusal(*parts, **entries):
    answer = run(*parts, **entries)
    assert "errors" in answer, "it was computed"
    (error,) = answer["errors"]
    return error["field"], error["message"]


def values(**entries):
    reader = bridge.Reader("si")
    found = reader.read(CALCULATOR, LEVEL | entries)
    assert not reader.errors, reader.errors
    return found


def rising(found):
    return all(a < b for a, b in itertools.pairwise(found))


@pytest.mark.parametrize("method", METHODS, ids=NAMES)
def test_the_smallest_vessel_rises_with_water_and_temperature_and_falls_with_the_valve(method):
    volumes = [result("minimum", method, system_volume=f"{x} L") for x in (400, 900, 1750)]
    assert rising(volumes)
    temperatures = [result("minimum", method, hot=f"{t} degF") for t in (185, 195, 215)]
    assert rising(temperatures)
    valves = [result("minimum", method, relief=f"{p} bar") for p in (6, 4, 3)]
    assert rising(valves)


@pytest.mark.parametrize("method", [EN, DIAPHRAGM], ids=NAMES[:2])
def test_the_smallest_vessel_rises_with_the_charge_without_bound(method):
    sizes = [
        result("minimum", method, charge=f"{p} bar", fill="") for p in (1.0, 1.5, 2.0, 2.4, 2.499)
    ]
    assert rising(sizes)
    assert sizes[-1] > 50_000


@pytest.mark.parametrize("method", [CUSHION, CODE], ids=NAMES[2:])
def test_a_plain_tank_rises_with_the_fill(method):
    assert rising([result("minimum", method, fill=f"{p} bar") for p in (1.3, 1.7, 2.2)])


def test_glycol_needs_more_than_water_and_steel_less_than_plastic():
    water = result("minimum")
    assert result("minimum", fluid="propylene glycol", glycol="30 %") > 1.2 * water
    steel, plastic, none = (
        result("minimum", DIAPHRAGM, pipe=pipe) for pipe in ("steel", "plastic", "none")
    )
    assert steel < plastic == none


def test_a_diaphragm_vessel_is_never_larger_than_an_air_cushion_tank():
    for fill in ("1.5 bar", "1.7 bar", "2.2 bar"):
        assert result("minimum", DIAPHRAGM, fill=fill) < result("minimum", CUSHION, fill=fill)


def test_a_vessel_lower_than_its_valve_may_be_smaller():
    sizes = [result("minimum", valve_height=f"{z} m") for z in (5, 1, 0, -1, -5)]
    assert rising(sizes)


@pytest.mark.parametrize("method", METHODS, ids=NAMES)
@pytest.mark.parametrize("vessel_volume", ["10 L", "25 L", "300 L", "1000 L"])
def test_the_largest_system_put_back_asks_for_just_this_vessel(method, vessel_volume):
    check = {"task": "check", "vessel_volume": vessel_volume, "height": ""}
    largest = result("largest_system", method, check)
    again = result("minimum", method, check, system_volume=f"{largest:.12g} L")
    assert again == pytest.approx(float(vessel_volume.split()[0]), rel=1e-9)
    assert verdict("serves", method, check, system_volume=f"{largest * 0.999} L") == "pass"
    assert verdict("serves", method, check, system_volume=f"{largest * 1.001} L") == "fail"


@pytest.mark.parametrize("method", [DIAPHRAGM, CUSHION, CODE], ids=NAMES[1:])
def test_a_vessel_of_the_smallest_size_just_reaches_the_highest_pressure(method):
    smallest = result("minimum", method)
    hot = result("hot_pressure", method, task="check", vessel_volume=f"{smallest:.12g} L")
    assert hot == pytest.approx(result("final", method), rel=1e-9)


def test_at_the_smallest_vessel_the_fill_window_is_one_point():
    smallest = result("minimum", fill="")
    there = {"task": "check", "vessel_volume": f"{smallest:.12g} L", "fill": ""}
    assert result("fill_low", there) == pytest.approx(result("fill_high", there), rel=1e-9)
    assert result("hot_pressure", there) == pytest.approx(result("final"), rel=1e-9)


def test_the_fill_at_either_end_of_the_window_passes_and_outside_it_does_not():
    low, high = result("fill_low"), result("fill_high")
    for fill in (low, high):
        assert verdict("fill", fill=f"{fill:.12g} bar") == "pass"
        assert verdict("hot", fill=f"{fill:.12g} bar") == "pass"
    assert verdict("fill", fill=f"{low - 0.01} bar") == "caution"
    assert verdict("fill", fill=f"{high + 0.01} bar") == "fail"
    assert verdict("hot", fill=f"{high + 0.01} bar") == "fail"


def test_equal_vessels_side_by_side_act_as_one():
    three = {"task": "size", "sizes": "100 L"}
    assert result("count", three) == "3"
    assert result("total", three) == pytest.approx(300)
    for name in ("hot_pressure", "fill_high", "used"):
        one = result(name, task="check", vessel_volume="300 L")
        assert result(name, three) == pytest.approx(one, rel=1e-12)


def test_the_next_listed_size_is_taken_in_any_order():
    assert result("selected", sizes="500, 205, 400, 100 L") == 205
    assert result("selected", sizes="100, 202 L") == 202
    assert result("count", sizes="100, 202 L") == "2"


def test_two_side_by_side_are_offered_when_the_list_is_too_small():
    parts = {"sizes": "50, 80, 120 L"}
    assert result("selected", parts) == 120
    assert result("count", parts) == "2"
    assert verdict("size", parts) == "caution"
    assert "side by side with the same charge" in message("size", parts)


def test_a_list_that_never_reaches_fails_and_shows_no_hot_pressure():
    answer = run(sizes="8, 12 L")
    assert verdict("size", sizes="8, 12 L") == "fail"
    names = {r["name"] for r in answer["results"]}
    assert "minimum" in names
    assert not names & {"selected", "count", "hot_pressure", "fill_low", "margin", "used"}


@pytest.mark.parametrize("volume", [40, 60, 90, 110, 130])
def test_the_vessel_picked_meets_the_rule_for_its_own_size(volume):
    """The reserve rule changes at 15 L; the pick has to serve by the rule on its own side."""
    here = {"system_volume": f"{volume} L", "charge": "1 bar", "fill": "", "height": ""}
    picked = result("selected", here)
    assert verdict("serves", here, task="check", vessel_volume=f"{picked} L") == "pass"
    assert verdict("window", here) == "pass"


def test_a_small_vessel_keeps_a_fifth_and_a_larger_one_three_litres():
    small = {"system_volume": "60 L", "charge": "1 bar", "fill": "", "height": ""}
    assert result("selected", small) == 8
    assert result("reserve", small) == pytest.approx(1.6)
    assert result("reserve", small, sizes="18 L") == pytest.approx(3.0)


def test_a_blank_fill_takes_the_lowest_that_holds_the_reserve():
    assert result("fill_taken", fill="") == pytest.approx(result("fill_low", fill=""))
    assert result("fill_taken", DIAPHRAGM, fill="") == pytest.approx(1.5)


def test_gauge_readings_at_altitude_are_counted_with_the_air_there():
    sea, high = (result("minimum", altitude=z) for z in ("0 m", "2500 m"))
    assert high < sea
    # The same gas, read by gauges that start at another zero, needs the same vessel.
    air = {z: result_air(z) for z in ("0 m", "2500 m")}
    shift = (air["0 m"] - air["2500 m"]) / 1e5
    moved = result(
        "minimum",
        altitude="2500 m",
        charge=f"{1.5 + shift:.12g} bar",
        fill="",
        gap_rule="own",
        relief=f"{3 + shift:.12g} bar",
        gap_own="0.5 bar",
        height="",
    )
    assert moved == pytest.approx(result("minimum", altitude="0 m", fill="", height=""), rel=1e-9)


def result_air(altitude):
    solution = solve(values(altitude=altitude))
    return next(s.result for s in solution.steps if s.equation.symbol == "P_a")


def test_half_the_plant_needs_half_the_vessel():
    plant = {"method": "ashrae-diaphragm", "task": "check", "vessel_volume": "45 gal"}
    whole, half = (result("used", plant, system_volume=f"{v} gal") for v in (440, 220))
    assert half == pytest.approx(whole / 2)


@pytest.mark.parametrize(
    ("entries", "field", "words"),
    [
        ({"relief": "1.9 bar"}, "relief", "no vessel is large enough"),
        ({"relief": "1 bar", "charge": "1.2 bar"}, "relief", "no vessel is large enough"),
        ({"valve_height": "-25 m"}, "relief", "no vessel is large enough"),
        ({"fill": "2.6 bar"}, "fill", "not below the highest pressure"),
        ({"gap_rule": "own", "gap_own": "3.5 bar"}, "relief", "smaller margin"),
        ({"hot": "140 degC"}, "hot", "at the vessel"),
        ({"hot": "126 degC"}, "hot", "at the highest point"),
        ({"hot": "8 degC"}, "cold", "nothing expands"),
        ({"hot": "10 degC"}, "cold", "nothing expands"),
        ({"cold": "-5 degC"}, "cold", "frozen"),
        ({"cold": "-9 degC", "fluid": "propylene glycol", "glycol": "20 %"}, "cold", "frozen"),
        ({"cold": "0.1 degC", "hot": "6 degC"}, "hot", "as much room"),
        ({"hot": "110 degC", "fluid": "propylene glycol"}, "hot", "outside the table"),
        ({"fluid": "ethylene glycol", "glycol": "5 %"}, "glycol", "property tables start"),
        ({"fluid": "ethylene glycol", "glycol": "70 %"}, "glycol", "60.0"),
        (CODE | {"hot": "150 degF"}, "hot", "air-cushion method"),
        (CODE | {"hot": "230 degF"}, "hot", "air-cushion method"),
        (CODE | {"fill": ""}, "fill", "cold fill"),
        (CUSHION | {"fill": ""}, "fill", "cold fill"),
    ],
)
def test_what_cannot_be_is_refused_on_its_field(entries, field, words):
    found, sentence = refusal(entries)
    assert found == field
    assert words in sentence


@pytest.mark.parametrize(
    ("hot", "where", "there"),
    [
        # 3 bar less 0.5 bar and the air of sea level; water of 140 degC boils at 3.615 bar abs.
        ("140 degC", "at the vessel", 2.5 + 1.01325),
        # Higher up there is a column of 12 m less.
        ("138 degC", "at the highest point", 2.5 + 1.01325 - 12 * 999.7 * 9.80665e-5),
    ],
)
def test_water_that_boils_is_told_with_the_pressure_of_the_place(hot, where, there):
    field, sentence = refusal(hot=hot, height="12 m", altitude="0 m", relief="3 bar")
    assert field == "hot"
    found = re.search(
        r"and (at .*?) the highest pressure allowed is only ([0-9.]+).bar abs", sentence
    )
    assert found[1] == where
    assert float(found[2]) == pytest.approx(there, abs=1e-3)


@pytest.mark.parametrize(
    ("entries", "check", "status"),
    [
        ({}, "window", "pass"),
        ({}, "construction", "pass"),
        ({}, "top", "pass"),
        ({}, "boiling", "pass"),
        ({"task": "check", "vessel_volume": "150 L"}, "serves", "fail"),
        ({"task": "check", "vessel_volume": "150 L"}, "window", "fail"),
        ({"task": "check", "vessel_volume": "20 L"}, "hot", "fail"),
        ({"task": "check", "vessel_volume": "12 L", "charge": "2.2 bar"}, "serves", "fail"),
        ({"task": "check", "vessel_volume": "20 L"}, "fill", "fail"),
        ({"task": "check", "reserve": "own", "reserve_own": "300 L"}, "window", "fail"),
        ({"task": "check", "vessel_volume": "200 L"}, "output", "caution"),
        ({"task": "check", "vessel_volume": "400 L"}, "output", "pass"),
        ({"task": "check", "vessel_volume": "400 L", "output": ""}, "output", None),
        ({"charge": "1.8 bar"}, "fill", "fail"),
        ({"charge": "1.8 bar", "method": "ashrae-diaphragm"}, "fill", "fail"),
        ({"charge": "1.0 bar"}, "top", "fail"),
        ({"charge": "1.2 bar"}, "top", "caution"),
        ({"charge": "1.0 bar", "height": ""}, "top", None),
        ({"relief": "6 bar"}, "acceptance", "caution"),
        ({"relief": "6 bar", "largest_share": "90 %"}, "acceptance", "pass"),
        ({"construction": "plain"}, "construction", "fail"),
        (CUSHION | {"construction": "diaphragm"}, "construction", "caution"),
        (CUSHION, "construction", "pass"),
        (CUSHION, "acceptance", None),
        ({"gap_rule": "own", "gap_own": "0 bar"}, "clearance", "caution"),
        ({"gap_rule": "own", "gap_own": "0.4 bar"}, "clearance", None),
        ({"hot": "123 degC"}, "boiling", "caution"),
    ],
)
def test_what_can_be_computed_is_judged(entries, check, status):
    assert verdict(check, entries) == status


def test_the_mistaken_method_is_told_with_the_size_of_the_right_one():
    other = result("minimum", DIAPHRAGM, fill="1.7 bar", charge="1.7 bar")
    assert f"{other:.1f}" in message("construction", CUSHION, construction="diaphragm")


def test_us_entries_and_si_entries_give_one_answer():
    us = run(
        CODE,
        system="us",
        sizes="60 L",
        system_volume="100 gal",
        fill="12 psi",
        relief="30 psi",
        height="20 ft",
    )
    si = run(
        CODE,
        sizes="60 L",
        system_volume="378.5411784 L",
        hot="90.55555556 degC",
        fill="82.73708752 kPa",
        relief="206.8427188 kPa",
        height="6.096 m",
        altitude="640 m",
    )
    for a, b in zip(us["results"], si["results"], strict=True):
        if a["kind"] == "text":
            continue
        kind = CALCULATOR.output(a["name"]).kind
        assert kind.unit(a["unit"]).to_si(a["value"]) == pytest.approx(
            kind.unit(b["unit"]).to_si(b["value"]), rel=1e-6, abs=1.0 if "bar" in b["unit"] else 0
        ), a["name"]


def test_the_chart_runs_from_the_fill_to_the_hot_pressure():
    solution = solve(values())
    charts = {chart.id: chart for chart in solution.charts}
    points = charts["heating"].series[0].points
    assert rising([p for _, p in points])
    assert points[0][1] == pytest.approx(1.7e5)
    assert points[-1][1] == pytest.approx(solution.results["hot_pressure"], rel=1e-12)
    assert len(points) <= 41
    water = charts["water"].series[0].points
    assert water[-1][1] - water[0][1] == pytest.approx(solution.results["expansion"], rel=1e-9)
    cold, hot = charts["vessel"].states
    assert 0 < cold.water_fraction < hot.water_fraction < 1


def test_the_code_formula_draws_no_line_between_its_ends():
    assert [c.id for c in solve(values(**CODE)).charts] == ["vessel"]


def test_a_doubt_about_the_system_reaches_the_smallest_vessel():
    answer = run(system_volume="1750 ± 100 L")
    smallest = next(r for r in answer["results"] if r["name"] == "minimum")
    assert smallest["plus_minus"] == pytest.approx(smallest["value"] * 100 / 1750, rel=1e-6)


@pytest.mark.parametrize(("height", "density"), [(10.0, 971.80), (-10.0, 999.70)])
def test_the_column_to_the_valve_is_taken_on_the_safe_side(height, density):
    entries = {"valve_height": f"{height} m", "charge": "1 bar", "fill": "1.1 bar", "height": ""}
    expected = 2.5 + density * 9.80665 * height / 1e5
    assert result("final", entries) == pytest.approx(expected, abs=1e-4)


def test_a_plain_tank_sized_as_a_diaphragm_vessel_is_told_its_own_size():
    other = result("minimum", CUSHION, fill="1.9 bar")
    assert f"{other:.1f}" in message(
        "construction", DIAPHRAGM, construction="plain", fill="1.9 bar"
    )


def test_several_small_vessels_together_keep_the_reserve_of_a_large_one():
    here = {"system_volume": "150 L", "charge": "1 bar", "fill": "", "height": "", "sizes": "8 L"}
    # Two of 8 L would do with a fifth of 8 L as reserve, but they are one vessel of 16 L.
    assert result("count", here) == "3"
    assert result("reserve", here) == pytest.approx(3.0)


@pytest.mark.parametrize(
    "entries",
    [
        {"fluid": "propylene glycol", "glycol": "40 %", "sizes": "500 L"},
        DIAPHRAGM | {"pipe": "copper"},
        CUSHION,
    ],
    ids=["glycol", "copper", "air cushion"],
)
def test_the_chart_ends_at_the_hot_pressure_for_every_fluid_and_pipe(entries):
    solution = solve(values(**entries))
    heating = next(chart for chart in solution.charts if chart.id == "heating")
    end = solution.results["hot_pressure"]
    assert heating.series[0].points[-1][1] == pytest.approx(end, rel=1e-12)


def test_the_example_of_the_site_passes_every_check_both_ways():
    for task in ("size", "check"):
        answer = bridge.run("vessel-size", {"task": task})
        assert {c["status"] for c in answer["checks"]} == {"pass"}, task
    assert bridge.run("vessel-size", {})["results"][1]["value"] == 250


@pytest.mark.parametrize(
    ("rule", "relief", "gap"),
    [
        ("en", 3.0, 0.5),
        ("tenth", 3.0, 0.3),
        ("five-psi", 6.0, 5 * 0.0689476),
        ("tenth-or-five", 6.0, 0.6),
        ("tenth-or-five", 3.0, 5 * 0.0689476),
        ("quarter", 3.0, 0.75),
        ("quarter", 2.3, 10 * 0.0689476),
        ("own", 3.0, 0.4),
    ],
)
def test_every_rule_for_the_margin_moves_the_highest_pressure(rule, relief, gap):
    found = result(
        "final",
        gap_rule=rule,
        gap_own="0.4 bar",
        relief=f"{relief} bar",
        charge="1 bar",
        fill="1.1 bar",
        height="",
    )
    assert found == pytest.approx(relief - gap, abs=1e-6)


def test_the_pick_stays_while_the_volume_moves_within_its_plus_minus():
    answer = bridge.run("vessel-size", {"system_volume": "1750 ± 400 L"})
    by_name = {r["name"]: r for r in answer["results"]}
    assert by_name["minimum"]["plus_minus"] > 30
    assert by_name["selected"]["plus_minus"] is None
    assert 0 < by_name["hot_pressure"]["plus_minus"] < 0.4


def test_more_than_four_side_by_side_fail_and_larger_ones_are_asked_for():
    need = result("minimum")
    seen = {}
    for count in range(1, 10):
        sizes = {"sizes": f"{need / count + 0.5:.2f} L"}
        assert result("count", sizes) == str(count)
        seen[count] = verdict("size", sizes)
        if count > 4:
            text = message("size", sizes)
            assert "List larger vessels" in text
            assert "Fit " not in text
    assert list(seen.values()) == ["pass"] + ["caution"] * 3 + ["fail"] * 5


def test_what_is_said_of_the_growth_holds_for_every_method():
    told = CALCULATOR.output("expansion_fraction").help
    assert "only where the method" in told
    # Here the pipes are taken off by one method and not by the other.
    steel, none = (result("expansion_fraction", DIAPHRAGM, pipe=p) for p in ("steel", "none"))
    assert steel < none == result("expansion_fraction", EN)

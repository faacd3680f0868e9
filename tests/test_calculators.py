"""What calculators say and draw besides their verdicts."""

import re
from dataclasses import replace
from itertools import pairwise

import pytest

from calc import bridge, site, units
from calc.calculators import CALCULATORS, calculator
from calc.entries import Reader, default_entries, default_entry
from calc.model import Choice, Quantity
from calc.units import parse_quantity


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


def read_alone(quantity, entry):
    """Read a form of one quantity. Return the reader."""
    reader = Reader("si")
    alone = replace(CALCULATORS[0], inputs=(replace(quantity, when={}),), sections=())
    reader.read(alone, {quantity.name: entry})
    return reader


@pytest.mark.parametrize(
    "quantity",
    [site.HEIGHT, site.GLYCOL, site.COLD, site.HOT, site.SYSTEM_VOLUME, site.VESSEL_VOLUME,
     site.CHARGE, site.VALVE_HEIGHT, site.GAUGE_HEIGHT],
    ids=lambda quantity: quantity.name,
)  # fmt: skip
def test_whatever_is_read_off_on_the_site_may_bear_a_plus_minus(quantity):
    unit = quantity.kind.default_unit("si").id
    entry = {"value": quantity.default.split()[0], "unit": unit, "pm": "0.1"}
    reader = read_alone(quantity, entry)
    assert reader.errors == []
    assert dict(reader.plus_minus)[quantity.name,] == pytest.approx(
        0.1 * abs(quantity.kind.unit(unit).scale)
    )


@pytest.mark.parametrize("end", ["low", "high"])
@pytest.mark.parametrize(
    "quantity",
    [one for one in vars(site).values() if isinstance(one, Quantity)],
    ids=lambda quantity: quantity.name,
)
def test_no_number_of_a_site_is_without_limits(quantity, end):
    limit = getattr(quantity, end)
    assert limit, "a slip of the pen would pass"
    unit = quantity.kind.default_unit("si")
    bound = parse_quantity(limit.value, quantity.kind, unit).value
    past = bound + (1 if end == "high" else -1) * 0.01 * max(abs(bound), unit.to_si(1.0) * 0.1)
    entry = {"value": f"{unit.from_si(past):.9g}", "unit": unit.id}
    (error,) = read_alone(quantity, entry).errors
    assert limit.why.rstrip(".") in error["message"]


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


TWO = {"gauge_height": "1.2 m", "cold_fill": "1.55 ± 0.05 bar", "hot_reading": "2.5 ± 0.05 bar"}


@pytest.mark.parametrize("shell", [{}, {"shell_cold": "12 degC", "shell_hot": "20 degC"}])
def test_the_line_as_read_joins_both_readings(shell):
    (drawn,) = answered("two-reading-check", {**TWO, **shell})["charts"]
    lines = {s["label"]: s["points"] for s in drawn["series"]}
    assert lines["as read"][0] == pytest.approx([10.0, 1.55])
    assert lines["as read"][-1] == pytest.approx([72.0, 2.5])
    expected = results("two-reading-check", {**TWO, **shell})["hot_expected"]
    assert lines["as it should be"][0] == pytest.approx([10.0, 1.55])
    assert lines["as it should be"][-1] == pytest.approx([72.0, expected])


def test_the_band_of_the_readings_goes_round_the_line_as_read():
    (drawn,) = answered("two-reading-check", TWO)["charts"]
    lines = {s["label"]: s["points"] for s in drawn["series"]}
    band, line = lines["band of the readings"], lines["as read"]
    below, above = band[: len(line)], band[len(line) :][::-1]
    for under, middle, over in list(zip(below, line, above, strict=True))[1:]:
        assert under[0] == middle[0] == over[0]
        assert under[1] < middle[1] < over[1]


def test_half_of_a_level_system_is_in_after_half_the_time():
    level = {"lift": "0 m", "fill": "1 bar", "system_volume": "1000 L", "pump_flow": "50 L/min"}
    (half,) = chart("fill-and-purge", "filling", level)["marks"]
    assert [half["x"], half["y"]] == pytest.approx([10.0, 500.0])


def test_water_too_cool_to_burn_says_where_burning_starts():
    cool = {"first": "60 degC", "second": "45 degC", "goal": "40"}
    assert "start at 48.9\xa0°C" in message("cool-down", "burn", cool)


def test_the_cooling_curve_goes_on_past_the_goal():
    drawn = chart("cool-down", "cooling", {"interval": "60 min"})
    wait = results("cool-down", {"interval": "60 min"})["wait"]
    assert drawn["series"][0]["points"][-1][0] == pytest.approx(1.0 + 1.25 * wait)
    soon = {"interval": "60 min", "goal": "60", "first": "66 degC", "second": "60.5 degC"}
    assert chart("cool-down", "cooling", soon)["series"][0]["points"][-1][0] == pytest.approx(3.0)


@pytest.mark.parametrize(
    ("metal", "expansion", "modulus", "poisson"),
    [("steel", 11.7e-6, 210e9, 0.30), ("stainless", 16.5e-6, 200e9, 0.30),
     ("copper", 17.1e-6, 120e9, 0.34)],
)  # fmt: skip
def test_each_metal_gives_way_by_its_constants(metal, expansion, modulus, poisson):
    """Water at 20 degC and 1 atm expands by 206.6e-6/K and yields by 45.89e-11/Pa (IAPWS-95)."""
    give = 42.0 / (1.5 * modulus) * (1.25 - poisson)
    by_hand = (206.6e-6 - 3 * expansion) / (45.89e-11 + give) / 1e5
    entries = {
        "tube": "own", "outside": "42 mm", "wall": "1.5 mm", "metal": metal, "altitude": "0 m",
        "shut_temperature": "20 degC", "pressure": "0 bar",
    }  # fmt: skip
    assert results("trapped-water", entries)["per_degree"] == pytest.approx(by_hand, rel=3e-3)


def test_a_wall_leaves_room_for_water_up_to_half_of_the_pipe():
    pipe = {"tube": "own", "outside": "42 mm"}
    assert "errors" not in bridge.run("trapped-water", {**pipe, "wall": "20.9 mm"}, "si")
    (error,) = bridge.run("trapped-water", {**pipe, "wall": "21 mm"}, "si")["errors"]
    assert error["field"] == "wall"


def test_the_climb_of_a_shut_pipe_is_drawn_from_shut_to_warm():
    points = chart("trapped-water", "climb", {})["series"][0]["points"]
    assert points[0] == pytest.approx([20.0, 1.55])
    assert points[-1] == pytest.approx([35.0, results("trapped-water", {})["after"]])
    steps = [b[0] - a[0] for a, b in pairwise(points)]
    assert steps == pytest.approx([steps[0]] * len(steps))


def test_gas_is_never_passed_as_a_means_of_proving():
    checks = {c["id"]: c["status"] for c in answered("trapped-water", {})["checks"]}
    assert checks["test"] == "caution"


@pytest.mark.parametrize(("coldest", "mend"), [("0 degC", False), ("-0.1 degC", True)])
def test_a_loop_too_weak_for_the_tables_protects_to_nothing(coldest, mend):
    """30 % topped up 107 times with a sixtieth of water leaves 5 %, less than the tables hold."""
    entries = {"times": "107", "topped": "2 L", "loop_volume": "120 L", "coldest": coldest}
    checks = {c["id"]: c for c in answered("glycol-dose", entries)["checks"]}
    assert checks["topping"]["status"] == ("fail" if mend else "pass")
    assert "less than the tables hold" in checks["topping"]["message"]
    assert ("from a tank" in checks["topping"]["message"]) is mend


def test_a_loop_near_boiling_and_one_near_the_open_air_say_which():
    near = {"vessel_pressure": "1.2 bar", "margin": "0.2 bar", "altitude": "0 m"}
    assert "boils at" in message("loop-pressures", "boiling", {**near, "hot": "105 degC"})
    assert "boils at" not in message("loop-pressures", "air", near)


@pytest.mark.parametrize("system", units.SYSTEMS)
@pytest.mark.parametrize("id", [c.id for c in CALCULATORS])
def test_every_number_of_the_working_is_told_in_the_unit_it_names(id, system):
    chosen = calculator(id)
    entries = default_entries(chosen, system)
    solution = chosen.solve(Reader(system).read(chosen, entries))
    found = bridge.run(id, entries, system)["steps"]
    assert len(found) == len(solution.steps)
    for told, step in zip(found, solution.steps, strict=True):
        symbols = [(told["result"], step.equation, step.result)]
        for entry in told["where"]:
            name = entry["symbol"]
            symbols.append((entry, step.equation.where[name], step.values[name]))
        for entry, meant, value in symbols:
            unit = meant.kind.unit(meant.unit or entry["unit"])
            assert entry["unit"] == unit.id
            assert entry["value"] == unit.from_si(value)
            shown = units.number_text(unit.from_si(value), unit.step, unit.figures)
            assert entry["text"] == (f"{shown}\xa0{unit.text}" if unit.text else shown)


def _ways(chosen):
    """Yield entries that bring each choice of a calculator up once, besides its examples."""
    yield {}
    yield from chosen.examples
    for entry in chosen.inputs:
        if isinstance(entry, Choice):
            yield from ({entry.name: option.value} for option in entry.options)


@pytest.mark.parametrize("chosen", CALCULATORS, ids=lambda c: c.id)
def test_whatever_is_chosen_checks_results_and_steps_have_their_words(chosen):
    seen = 0
    for entries in _ways(chosen):
        answer = bridge.run(chosen.id, entries, "si")
        for error in answer.get("errors", ()):
            assert error["message"].endswith(".")
            assert error["field"].partition(".")[0] in {i.name for i in chosen.inputs}
        for kind in ("checks", "results", "steps"):
            for one in answer.get(kind, ()):
                seen += 1
                assert isinstance(one["label"], str), (entries, one)
                assert one["label"].strip(), (entries, one)
        for check in answer.get("checks", ()):
            assert check["message"].strip().endswith((".", "?")), (entries, check)
            assert check["source"]["text"]
        for step in answer.get("steps", ()):
            assert step["symbol"]
            assert step["formula"] or step["words"]
    assert seen > 3


def test_the_limit_of_the_hot_pressure_is_told_as_a_gauge_shows_it():
    """EN 12828: half a bar under a valve of 3 bar, and 1.8 m of water from the valve down."""
    answer = bridge.run("vessel-size", {}, "si")
    said = {check["id"]: check["message"].replace("\xa0", " ") for check in answer["checks"]}
    (limit,) = re.findall(r"stays at or below ([\d.]+) bar g", said["hot"])
    assert float(limit) == pytest.approx(3.0 - 0.5 + 1.8 * 9.80665 * 972e-5, abs=0.011)


def test_the_example_stands_in_the_units_of_the_reader():
    for chosen in CALCULATORS:
        for entry in chosen.inputs:
            for system in units.SYSTEMS:
                assert default_entries(chosen, system)[entry.name] == default_entry(entry, system)
    height = {s: default_entries(calculator("pre-charge"), s)["height"] for s in units.SYSTEMS}
    assert (height["si"]["value"], height["si"]["unit"]) == ("11.4", "m")
    assert height["us"]["unit"] == "ft"
    assert float(height["us"]["value"]) == pytest.approx(11.4 / 0.3048, abs=5e-4)


def test_a_number_that_stays_in_its_unit_keeps_its_letters_and_its_plus_minus():
    entry = {"value": "011.40", "unit": "m", "pm": "0.1"}
    assert bridge.converted("pre-charge", {"height": entry}, "si")["height"] == entry
    bare = {"value": "11.4", "unit": "m"}
    assert bridge.converted("pre-charge", {"height": bare}, "si")["height"] == bare | {"pm": ""}


def test_a_number_goes_to_the_other_system_with_its_plus_minus():
    """11.4 m are 37.402 ft, give or take 0.328 (0.1 m / 0.3048 m)."""
    entry = {"value": "11.4", "unit": "m", "pm": "0.1"}
    there = bridge.converted("pre-charge", {"height": entry}, "us")["height"]
    assert there["unit"] == "ft"
    assert float(there["value"]) == pytest.approx(37.4016, abs=5e-4)
    assert float(there["pm"]) == pytest.approx(0.328, abs=5e-4)


def test_an_empty_field_takes_the_unit_of_the_reader():
    for system, unit in (("si", "m"), ("us", "ft")):
        blank = bridge.converted(
            "pre-charge", {"height": {"value": "", "unit": "", "pm": ""}}, system
        )
        assert blank["height"] == {"value": "", "unit": unit, "pm": ""}


@pytest.mark.parametrize(
    ("id", "name", "typed", "back"),
    [
        ("pre-charge", "height", "about ten", {"value": "about ten", "unit": "", "pm": ""}),
        ("pre-charge", "height", {"value": "ten", "unit": "m", "pm": "?"}, None),
        ("vessel-size", "sizes", "8, twelve L", {"value": "8, twelve L", "unit": ""}),
        ("vessel-size", "sizes", {"value": "8, twelve", "unit": "L"}, None),
    ],
)
def test_what_cannot_be_read_comes_back_as_it_was_typed(id, name, typed, back):
    assert bridge.converted(id, {name: typed}, "us")[name] == (back or typed)


def test_a_list_without_a_unit_is_in_the_readers_own():
    """100 L are 26.417 US gallons."""

    def sizes(unit, system):
        typed = {"value": "100, 200", "unit": unit}
        found = bridge.converted("vessel-size", {"sizes": typed}, system)["sizes"]
        return [float(each) for each in found["value"].split(",")], found["unit"]

    assert sizes("", "si") == ([100, 200], "L")
    assert sizes("", "us") == ([100, 200], "gal")
    assert sizes("L", "us") == (pytest.approx([26.417, 52.834], abs=0.01), "gal")

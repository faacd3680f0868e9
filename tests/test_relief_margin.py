"""Laws of the relief margin calculator."""

from itertools import pairwise

import pytest

from calc import bridge, units
from calc.calculators.relief_margin import CALCULATOR

PLAIN = {
    "relief": "3 bar",
    "gap_rule": "en",
    "altitude": "640 m",
    "valve_height": "1.8 m",
    "gauge_height": "1.2 m",
    "cold": "10 degC",
    "hot": "80 degC",
    "cold_fill": "1.6 bar",
    "charge": "1.5 bar",
    "vessel_volume": "300 L",
    "system_volume": "1750 L",
    "pump": "between",
    "pump_head": "0.3 bar",
    "friction": "0.05 bar",
    "gauge_side": "valve",
    "capacity": "no",
}
READ = {**PLAIN, "basis": "read", "hot_reading": "2.3 bar"}
PLANT = {
    **PLAIN,
    "capacity": "yes",
    "capacity_rule": "european",
    "boilers": "North | 95 kW | 4 bar; South | 60 kW | 4 bar",
    "valves": "1 | 3 bar | heat | 100 kW | | | ; 2 | 3 bar | heat | 70 kW | | |",
    "components": "Coil | 6 bar | -1 m; Radiator | 4 bar | 3 m",
}


def answer(entries, **changed):
    return bridge.run("relief-margin", {**entries, **changed}, "si")


def results(entries, **changed):
    """Return the results as SI floats."""
    found = answer(entries, **changed)
    assert "errors" not in found, found["errors"]
    outputs = {o.name: o for o in CALCULATOR.outputs}
    return {
        r["name"]: outputs[r["name"]].kind.unit(r["unit"]).to_si(r["value"])
        for r in found["results"]
        if outputs[r["name"]].kind
    }


def status(entries, check, **changed):
    found = answer(entries, **changed)
    assert "errors" not in found, found["errors"]
    return next((c["status"] for c in found["checks"] if c["id"] == check), None)


def message(entries, check, **changed):
    return next(c["message"] for c in answer(entries, **changed)["checks"] if c["id"] == check)


def refused(entries, **changed):
    """Return the field and the sentence of the one refusal."""
    found = answer(entries, **changed)
    assert "errors" in found
    (error,) = found["errors"]
    return error["field"], error["message"]


def gauge(pascal):
    return f"{pascal / 1e5!r} bar"


def test_defaults_keep_the_margin():
    for system in units.SYSTEMS:
        found = bridge.run("relief-margin", {}, system)
        assert {c["status"] for c in found["checks"]} == {"pass"}, (system, found["checks"])
    assert {i.name for i in CALCULATOR.inputs} >= set(PLANT)


def test_a_tolerance_of_the_whole_set_pressure_is_refused():
    own = {"relief": "3 bar", "tolerance": "own"}
    field, message = refused(PLAIN, **own, own_tolerance="3 bar")
    assert field == "own_tolerance"
    assert "as much as the set pressure" in message
    assert results(PLAIN, **own, own_tolerance="0.1 bar")


def test_the_curve_is_told_from_its_cold_end_to_its_hot_one():
    (chart,) = [
        c for c in answer(PLAIN, cold="12 degC", hot="78 degC")["charts"] if c["id"] == "heat-up"
    ]
    told = chart["summary"].replace("\xa0", " ")
    (cold, low), (hot, high) = chart["series"][0]["points"][0], chart["series"][0]["points"][-1]
    assert (cold, hot) == pytest.approx((12.0, 78.0))
    assert f"rises from {low:.2f} bar g at 12 °C to {high:.2f} bar g at 78 °C." in told


@pytest.mark.parametrize(
    ("field", "texts"),
    [
        ("cold_fill", ("1.4 bar", "1.5 bar", "1.7 bar", "1.9 bar")),
        ("system_volume", ("1200 L", "1500 L", "1750 L", "2100 L")),
        ("hot", ("60 degC", "70 degC", "80 degC", "90 degC")),
        ("pump_head", ("0.1 bar", "0.2 bar", "0.4 bar", "0.6 bar")),
        ("valve_height", ("6 m", "2 m", "0 m", "-5 m")),
    ],
)
def test_the_margin_falls(field, texts):
    margins = [results(PLAIN, **{field: text})["margin"] for text in texts]
    assert all(b < a for a, b in pairwise(margins))


@pytest.mark.parametrize(
    ("field", "texts"),
    [
        ("relief", ("2.5 bar", "3 bar", "3.5 bar", "6 bar")),
        ("vessel_volume", ("250 L", "300 L", "400 L", "800 L")),
        ("charge", ("0.5 bar", "0.9 bar", "1.2 bar", "1.6 bar")),
        ("friction", ("0 bar", "0.05 bar", "0.1 bar", "0.2 bar")),
    ],
)
def test_the_margin_rises(field, texts):
    margins = [results(PLAIN, **{field: text})["margin"] for text in texts]
    assert all(b > a for a, b in pairwise(margins))


def test_the_pump_does_not_change_the_hot_pressure_at_the_vessel():
    states = ("between", "elsewhere", "stopped")
    found = {results(PLAIN, pump=state)["hot_at_vessel"] for state in states}
    assert len(found) == 1
    at_valve = {state: results(PLAIN, pump=state)["hot_at_valve"] for state in states}
    assert at_valve["between"] - at_valve["stopped"] == pytest.approx(0.25e5)
    assert at_valve["elsewhere"] == pytest.approx(at_valve["stopped"])


def test_a_gauge_by_the_vessel_does_not_feel_the_pump():
    by_vessel = results(PLAIN, gauge_side="vessel")
    by_valve = results(PLAIN, gauge_side="valve")
    assert by_valve["hot_at_gauge"] - by_vessel["hot_at_gauge"] == pytest.approx(0.25e5)
    assert by_vessel["hot_at_valve"] == pytest.approx(by_valve["hot_at_valve"])


@pytest.mark.parametrize("short", [{"hot": "95 degC"}, {"relief": "2.75 bar"}, {}])
def test_the_restoring_fill_put_back_gives_exactly_the_margin(short):
    fill = results(PLAIN, **short)["highest_fill"]
    again = results(PLAIN, **{**short, "cold_fill": gauge(fill)})
    assert again["margin"] == pytest.approx(again["margin_asked"], abs=0.5)


@pytest.mark.parametrize(
    "short",
    [
        {"vessel_volume": "120 L"},
        {"hot": "95 degC"},
        {"cold_fill": "1.1 bar"},
        {"charge": "0.3 bar"},
    ],
)
def test_the_restoring_vessel_put_back_gives_exactly_the_margin(short):
    volume = results(PLAIN, **short)["smallest_vessel"]
    again = results(PLAIN, **{**short, "vessel_volume": f"{volume * 1e3!r} L"})
    assert again["margin"] == pytest.approx(again["margin_asked"], abs=0.5)


@pytest.mark.parametrize("short", [{"charge": "0.3 bar"}, {"charge": "0.9 bar"}, {}])
def test_the_restoring_charge_put_back_gives_exactly_the_margin(short):
    charge = results(PLAIN, **short)["lowest_charge"]
    again = results(PLAIN, **{**short, "charge": gauge(charge)})
    assert again["margin"] == pytest.approx(again["margin_asked"], abs=0.5)


def test_the_predicted_pressure_read_back_gives_the_same_answer():
    predicted = results(PLAIN)
    read = results(READ, hot_reading=gauge(predicted["hot_at_gauge"]))
    for name in ("margin", "hot_at_vessel", "highest_fill", "smallest_vessel", "lowest_charge"):
        assert read[name] == pytest.approx(predicted[name]), name


def test_the_greatest_reading_leaves_exactly_the_margin():
    most = results(READ)["greatest_on_gauge"]
    again = results(READ, hot_reading=gauge(most))
    assert again["margin"] == pytest.approx(again["margin_asked"])


def test_altitude_matters_though_every_pressure_is_a_gauge_pressure():
    assert results(PLAIN, altitude="3000 m")["hot_at_vessel"] != pytest.approx(
        results(PLAIN, altitude="0 m")["hot_at_vessel"], rel=1e-3
    )


def test_glycol_grows_more_and_leaves_less_margin():
    margins = [
        results(PLAIN, fluid="ethylene glycol", glycol=share)["margin"]
        for share in ("10 %", "20 %", "30 %", "45 %")
    ]
    assert results(PLAIN)["margin"] > margins[0]
    assert all(b < a for a, b in pairwise(margins))


def test_both_unit_systems_agree():
    metric = results(PLAIN)
    customary = results(
        PLAIN,
        cold_fill=f"{1.6e5 / units.GAUGE_PRESSURE.unit('psi').scale!r} psi",
        system_volume=f"{1.75 / units.VOLUME.unit('gal').scale!r} gal",
        hot="176 degF",
    )
    assert customary["margin"] == pytest.approx(metric["margin"])


def test_a_reading_s_plus_minus_reaches_the_margin():
    found = answer(READ, hot_reading="2.3 ± 0.1 bar")
    margin = next(r for r in found["results"] if r["name"] == "margin")
    assert "0.10" in str(margin)


GAPS = [
    ("en", 30, 7.2519),  # 0.5 bar
    ("tenth", 30, 3),
    ("tenth", 80, 8),
    ("five-psi", 30, 5),
    ("five-psi", 80, 5),
    ("tenth-or-five", 30, 5),
    ("tenth-or-five", 80, 8),
    ("quarter", 30, 10),
    ("quarter", 80, 20),
    ("own", 30, 4),
]


@pytest.mark.parametrize(("rule", "set_psi", "gap_psi"), GAPS)
def test_every_rule_for_the_margin_asks_what_it_says(rule, set_psi, gap_psi):
    asked = results(
        PLAIN,
        relief=f"{set_psi} psi",
        cold_fill="12 psi",
        charge="12 psi",
        gap_rule=rule,
        gap_own="4 psi",
    )["margin_asked"]
    assert asked / units.PRESSURE_DIFFERENCE.unit("psi").scale == pytest.approx(gap_psi, rel=1e-5)


def test_no_rule_for_the_margin_is_left_out():
    assert {o.value for o in CALCULATOR.input("gap_rule").options} == {row[0] for row in GAPS}


def test_an_own_margin_larger_than_the_set_pressure_is_refused_at_its_field():
    at, text = refused(PLAIN, gap_rule="own", gap_own="3 bar")
    assert at == "gap_own"
    assert "margin asked" in text


# What is said, and what mends it.


def test_a_short_margin_names_fill_charge_and_vessel():
    text = message(PLAIN, "margin", charge="0.3 bar")
    assert status(PLAIN, "margin", charge="0.3 bar") == "fail"
    assert "Lower the cold fill to" in text
    assert "raise the charge to" in text
    assert "have a vessel of at least" in text


def test_a_vessel_alone_is_named_where_the_fill_would_fall_below_the_charge():
    text = message(PLAIN, "margin", vessel_volume="120 L")
    assert "below the charge" in text
    assert "Have a vessel of at least" in text
    assert "highest_fill" not in results(PLAIN, vessel_volume="120 L")


def test_a_fill_alone_is_named_where_no_vessel_is_large_enough():
    changed = {"cold_fill": "2.45 bar", "vessel_volume": "900 L"}
    text = message(PLAIN, "margin", **changed)
    assert "No vessel is large enough" in text
    assert "smallest_vessel" not in results(PLAIN, **changed)


def test_an_absurd_vessel_is_no_remedy_while_the_fill_is_one():
    text = message(PLAIN, "margin", cold_fill="2.3 bar")
    assert "Lower the cold fill to" in text
    assert "have a vessel" not in text


def test_neither_is_named_where_neither_helps():
    changed = {"relief": "2.3 bar", "charge": "1.7 bar", "cold_fill": "1.9 bar"}
    found = results(PLAIN, **changed)
    assert not {"highest_fill", "smallest_vessel", "lowest_charge"} & found.keys()
    assert "Neither" in message(PLAIN, "margin", **changed)


def test_the_set_tolerance_may_use_up_the_margin():
    low = {"relief": "30 psi", "cold_fill": "0.9 bar", "charge": "0.8 bar", "tolerance": "code"}
    assert status(PLAIN, "lift", **low, gap_rule="tenth") == "caution"
    assert status(PLAIN, "lift", **low, gap_rule="quarter") == "pass"
    assert status(PLAIN, "lift", tolerance="own", own_tolerance="0.7 bar") == "fail"
    assert status(PLAIN, "lift") is None


def test_a_tolerance_rests_on_the_code_only_where_the_code_gives_it():
    def source(**entries):
        found = answer(PLAIN, relief="30 psi", cold_fill="0.9 bar", charge="0.8 bar", **entries)
        return next(c["source"]["text"] for c in found["checks"] if c["id"] == "lift")

    assert "HG-401" in source(tolerance="code")
    assert "common practice" in source(tolerance="own", own_tolerance="0.1 bar").lower()


def test_a_fill_below_the_charge_fails():
    assert status(PLAIN, "fill", cold_fill="1.2 bar") == "fail"
    assert status(PLAIN, "fill") == "pass"


def test_a_pump_that_takes_the_margin_is_said():
    assert status(PLAIN, "pump", hot="95 degC") == "fail"
    assert status(PLAIN, "pump") == "pass"
    assert status(PLAIN, "pump", pump="stopped") == "caution"


def test_a_pump_is_not_blamed_where_the_margin_is_short_without_it():
    assert status(PLAIN, "pump", charge="0.3 bar") == "pass"
    assert status(PLAIN, "margin", charge="0.3 bar") == "fail"
    assert status(PLAIN, "margin", charge="0.3 bar", pump="stopped") == "fail"


@pytest.mark.parametrize(
    ("changed", "field", "words"),
    [
        ({"relief": "1.6 bar"}, "relief", "already puts"),
        ({"hot": "10 degC"}, "hot", "not above the cold one"),
        ({"cold": "1 degC", "hot": "5 degC"}, "hot", "does not grow"),
        ({"vessel_volume": "40 L"}, "vessel_volume", "A vessel of at least"),
        ({"vessel_volume": "40 L", "cold_fill": "2.5 bar"}, "vessel_volume", "Lower the cold fill"),
        (
            {"relief": "9 psi", "gap_rule": "quarter", "cold_fill": "0.1 bar"},
            "gap_rule",
            "margin asked",
        ),
        ({"tolerance": "own", "own_tolerance": "3.2 bar"}, "own_tolerance", "as much as"),
        ({"gauge_height": "-60 m"}, "gauge_height", "below a vacuum"),
        ({"fluid": "propylene glycol", "glycol": "30 %", "cold": "-25 degC"}, "cold", "freezing"),
        ({"fluid": "propylene glycol", "glycol": "4 %"}, "glycol", "property tables start"),
    ],
)
def test_impossible_sites_are_refused_at_their_field(changed, field, words):
    at, text = refused(PLAIN, **changed)
    assert at == field
    assert words in text


@pytest.mark.parametrize(
    ("changed", "field", "words"),
    [
        ({"hot_reading": "1.4 bar"}, "hot_reading", "no higher than cold"),
        ({"charge": "2.4 bar"}, "charge", "no water has gone in"),
    ],
)
def test_readings_that_contradict_each_other_are_refused(changed, field, words):
    at, text = refused(READ, **changed)
    assert at == field
    assert words in text


def test_each_boiler_needs_capacity_of_its_own():
    assert status(PLANT, "capacity") == "pass"
    spare = results(PLANT)["capacity_spare"]
    assert spare == pytest.approx(5e3)
    crossed = "1 | 3 bar | heat | 70 kW | | | ; 2 | 3 bar | heat | 100 kW | | |"
    found = results(PLANT, valves=crossed)
    assert found["valve_capacity"] > found["boiler_output"]
    assert found["capacity_spare"] == pytest.approx(-25e3)
    assert status(PLANT, "capacity", valves=crossed) == "fail"
    assert "North" in message(PLANT, "capacity", valves=crossed)


def test_a_boiler_without_a_valve_fails():
    alone = "1 | 3 bar | heat | 300 kW | | |"
    assert status(PLANT, "capacity", valves=alone) == "fail"
    assert status(PLANT, "first-valve", valves=alone) == "fail"


def test_valve_settings_are_held_to_the_boiler():
    valves = "1 | {} bar | heat | 100 kW | | | ; 1 | {} bar | heat | 90 kW | | |"
    one = {"boilers": "North | 95 kW | 4 bar"}

    def verdicts(first, second, rule):
        changed = {**one, "valves": valves.format(first, second), "capacity_rule": rule}
        return [status(PLANT, c, **changed) for c in ("first-valve", "further-valves")]

    assert verdicts(4, 4, "european") == ["pass", "pass"]
    assert verdicts(4, 4.3, "european") == ["pass", "fail"]
    assert verdicts(4, 4.3, "us") == ["pass", "pass"]
    assert verdicts(4, 4.5, "us") == ["pass", "fail"]
    assert verdicts(4.2, 4.3, "us")[0] == "fail"


def test_a_lower_valve_in_the_list_is_noticed():
    low = "1 | 2.5 bar | heat | 100 kW | | | ; 2 | 3 bar | heat | 70 kW | | |"
    assert status(PLANT, "lowest-valve", valves=low) == "caution"
    assert status(PLANT, "lowest-valve") is None


@pytest.mark.parametrize(
    ("rated", "verdict"), [("6 bar", "pass"), ("3.4 bar", "caution"), ("3.2 bar", "fail")]
)
def test_the_lowest_part_carries_the_column_as_well(rated, verdict):
    parts = f"Coil | {rated} | -1 m; Strong | 10 bar | -6 m"
    assert status(PLANT, "weakest-part", components=parts) == verdict
    assert "“Coil”" in message(PLANT, "weakest-part", components=parts)
    found = results(PLANT, components=parts)
    column = 999.7 * 9.80665 * (1.8 + 1.0)
    assert found["pressure_on_weakest"] == pytest.approx(3e5 + column, rel=1e-4)


def test_parts_are_held_to_the_valve_that_opens_last():
    two = "1 | 3 bar | heat | 100 kW | | | ; 2 | 3.8 bar | heat | 70 kW | | |"
    higher = results(PLANT, valves=two)["pressure_on_weakest"]
    assert higher - results(PLANT)["pressure_on_weakest"] == pytest.approx(0.8e5)
    wide = results(PLANT, tolerance="own", own_tolerance="0.1 bar")["pressure_on_weakest"]
    assert wide - results(PLANT)["pressure_on_weakest"] == pytest.approx(0.1e5)


def test_no_list_of_parts_gives_no_verdict():
    assert status(PLANT, "weakest-part", components="") is None
    assert "weakest_spare" not in results(PLANT, components="")


def test_steam_and_heat_ratings_agree_with_the_rule():
    boilers = {"boilers": "North | 95 kW | 4 bar"}
    for rule in ("european", "us"):
        need = results(
            PLANT, **boilers, capacity_rule=rule, valves="1 | 3 bar | heat | 95 kW | | |"
        )["steam_to_pass"]
        rated = results(
            PLANT,
            **boilers,
            capacity_rule=rule,
            valves=f"1 | 3 bar | steam | | {need * 3600!r} kg/h | |",
        )
        assert rated["capacity_spare"] == pytest.approx(0.0, abs=1.0)


@pytest.mark.parametrize(
    ("valves", "field"),
    [
        ("1 | 2.5 bar | sv-100 | | | 113.1 mm2 | 0.4", "valves.0.valve_set"),
        ("1 | 3 bar | sv-100 | | | 9000 mm2 | 0.5", "valves.0.flow_area"),
        ("1 | 3 bar | heat | 90 kW | | | ; 3 | 3 bar | heat | 90 kW | | |", "valves.1.boiler"),
        ("1.5 | 3 bar | heat | 90 kW | | |", "valves.0.boiler"),
    ],
)
def test_ratings_outside_their_rule_are_refused_in_their_row(valves, field):
    assert refused(PLANT, valves=valves)[0] == field


def test_sv_100_stops_at_its_highest_flow_temperature():
    hot = {"hot": "121 degC", "relief": "6 bar", "charge": "1.2 bar", "vessel_volume": "900 L"}
    at, text = refused(PLANT, **hot, valves="1 | 3 bar | sv-100 | | | 113.1 mm2 | 0.4")
    assert at == "valves.0.rating"
    assert "120" in text


def test_a_name_with_braces_is_only_a_name():
    text = message(PLANT, "weakest-part", components="{coil} | 4 bar | 0 m")
    assert "{coil}" in text


def test_the_chart_ends_at_the_hot_pressure_and_shows_the_levels():
    (chart,) = answer(PLAIN, tolerance="own", own_tolerance="0.1 bar")["charts"]
    assert len(chart["levels"]) == 3
    solution = CALCULATOR.solve(bridge.Reader("si").read(CALCULATOR, PLAIN))
    (drawn,) = solution.charts
    line = drawn.series[0].points
    assert len(line) <= 41
    assert line[-1][1] == pytest.approx(solution.results["hot_at_valve"])
    assert all(b[1] >= a[1] for a, b in pairwise(line))


BOILING_WHEN_ALLOWED = {
    "relief": "3 bar",
    "hot": "150 degC",
    "cold_fill": "0.5 bar",
    "charge": "0.3 bar",
}


@pytest.mark.parametrize("vessel", ["250 L", "300 L", "400 L", "1200 L", "40 L"])
def test_water_that_boils_at_the_highest_pressure_allowed_is_refused_for_every_vessel(vessel):
    at, text = refused(PLAIN, **BOILING_WHEN_ALLOWED, vessel_volume=vessel)
    assert at == "hot"
    assert "highest pressure allowed is only" in text
    assert "vessel of" not in text
    assert "fill" not in text


def test_a_hot_reading_above_the_rule_does_not_hide_boiling():
    at, text = refused(
        PLAIN, basis="read", hot="145 degC", hot_reading="4 bar", cold_fill="1.6 bar"
    )
    assert at == "hot"
    assert "highest pressure allowed is only" in text


@pytest.mark.parametrize("hot", ["95 degC", "110 degC", "120 degC", "128 degC", "131 degC"])
def test_no_remedy_leads_to_boiling(hot):
    """What is offered is entered again, and the water stays water."""
    short = {"hot": hot, "cold_fill": "0.9 bar", "charge": "0.5 bar", "vessel_volume": "320 L"}
    offered = results(PLAIN, **short)
    assert {"highest_fill", "lowest_charge", "smallest_vessel"} & offered.keys()
    for name, field in (("highest_fill", "cold_fill"), ("lowest_charge", "charge")):
        if name in offered:
            assert status(PLAIN, "boiling", **{**short, field: gauge(offered[name])}) != "fail"
    if "smallest_vessel" in offered:
        litres = f"{offered['smallest_vessel'] * 1e3!r} L"
        assert status(PLAIN, "boiling", **{**short, "vessel_volume": litres}) != "fail"


def test_a_charge_or_fill_below_that_of_the_open_air_is_no_remedy():
    roomy = {"vessel_volume": "1500 L", "charge": "0.3 bar", "cold_fill": "1.5 bar"}
    assert results(PLAIN, **roomy)["margin"] > results(PLAIN, **roomy)["margin_asked"]
    assert "lowest_charge" not in results(PLAIN, **roomy)
    assert "lowest_charge" in results(PLAIN)
    high = {"gauge_height": "18 m", "cold_fill": "0.05 bar", "charge": "1.2 bar"}
    assert results(PLAIN, **high, hot="70 degC")["highest_fill"] > 0
    assert "highest_fill" not in results(PLAIN, **high, hot="80 degC")


HOT_AND_LOW = {"hot": "120 degC", "cold_fill": "0.2 bar", "charge": "0.2 bar"}


@pytest.mark.parametrize("vessel", ["2000 L", "9000 L", "50 m3"])
def test_a_vessel_so_large_that_the_water_boils_is_answered_with_a_failed_check(vessel):
    found = {**HOT_AND_LOW, "vessel_volume": vessel}
    assert status(PLAIN, "boiling", **found) == "fail"
    assert answer(PLAIN, **found)["checks"][0]["id"] == "boiling"
    assert results(PLAIN, **found)["margin"] > 0
    assert status(PLAIN, "margin", **found) == "caution"
    assert "boils below" in message(PLAIN, "boiling", **found)


def test_the_fill_named_against_boiling_keeps_both_margin_and_water():
    found = {**HOT_AND_LOW, "vessel_volume": "2000 L"}
    fill = results(PLAIN, **found)["highest_fill"]
    assert "up to" in message(PLAIN, "boiling", **found)
    mended = {**found, "cold_fill": gauge(fill), "charge": gauge(fill)}
    assert status(PLAIN, "boiling", **mended) != "fail"


def test_a_reading_below_boiling_fails_too():
    low = {"hot": "125 degC", "hot_reading": "0.9 bar", "cold_fill": "0.4 bar", "charge": "0.3 bar"}
    assert status(READ, "boiling", **low) == "fail"


def test_the_page_says_that_the_top_is_checked_elsewhere():
    assert status(PLAIN, "boiling") == "pass"
    assert "pre-charge page" in message(PLAIN, "boiling")
    near = {"hot": "131 degC", "vessel_volume": "900 L", "charge": "1.6 bar"}
    assert status(PLAIN, "boiling", **near) == "caution"


NARROW = {"relief": "2.6 bar", "cold_fill": "1.65 bar", "charge": "1.95 bar"}


def test_an_absurd_vessel_is_no_remedy_even_where_nothing_else_is():
    found = results(PLAIN, **NARROW)
    assert "smallest_vessel" not in found
    text = message(PLAIN, "margin", **NARROW)
    assert "Neither" in text
    assert "have a vessel" not in text.lower()


def test_an_absurd_vessel_is_not_named_where_the_gas_is_used_up():
    at, text = refused(PLAIN, vessel_volume="40 L", cold_fill="2 bar")
    assert at == "vessel_volume"
    assert "A vessel of at least" not in text
    assert "Lower the cold fill" in text


def symbols(entries, **changed):
    read = bridge.Reader("si").read(CALCULATOR, {**entries, **changed})
    return [step.equation for step in CALCULATOR.solve(read).steps]


def test_a_remedy_that_cannot_be_used_is_not_worked_out():
    from calc.equations import relief as laws

    three = {"RESTORING_FILL", "RESTORING_VESSEL", "RESTORING_CHARGE"}
    assert {n for n in three if getattr(laws, n) in symbols(PLAIN)} == three
    assert not any(getattr(laws, n) in symbols(PLAIN, **NARROW) for n in three)
    # The fill would fall below the charge; a vessel serves.
    found = symbols(PLAIN, vessel_volume="120 L")
    assert laws.RESTORING_FILL not in found
    assert laws.RESTORING_VESSEL in found


def test_the_weakest_part_is_the_one_with_the_least_to_spare():
    # The lower part bears more, and is built for more; then the other way round.
    parts = "Low | {low} bar | -2 m; High | {high} bar | 3 m"
    low = message(PLANT, "weakest-part", components=parts.format(low=3.6, high=9))
    high = message(PLANT, "weakest-part", components=parts.format(low=9, high=3.1))
    assert "“Low”" in low
    assert "“High”" in high
    # A part without a name is counted as people count.
    assert "“Part 1”" in message(PLANT, "weakest-part", components=" | 3.6 bar | -2 m")


@pytest.mark.parametrize("rule", ["european", "us"])
def test_the_steam_of_all_boilers_counts_together(rule):
    def steam(boilers):
        return results(PLANT, capacity_rule=rule, boilers=boilers)["steam_to_pass"]

    north, south = "North | 95 kW | 4 bar", "South | 60 kW | 4 bar"
    both = steam(f"{north}; {south}")
    one = results(
        PLANT, capacity_rule=rule, boilers=north, valves="1 | 3 bar | heat | 100 kW | | |"
    )["steam_to_pass"]
    # Both have valves set alike, so the steam goes with the output.
    assert both == pytest.approx(one * 155 / 95, rel=1e-9)

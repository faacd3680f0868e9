"""The pre-charge calculator as a technician meets it."""

import pytest

from calc import bridge
from calc.equations.charge import BOILING_MARGIN, FILL_FIXED, WARM_FILL
from calc.equations.shared import (
    FILL_ABS,
    FILL_ON_GAUGE,
    HIGHEST_FILL_GAUGE,
    HOT,
    LOWEST_FILL_GAUGE,
    WATER_IN_VESSEL,
)

SEA = {
    "altitude": "0 m",
    "rounding": "none",
    "gauge_height": "0 m",
    "living_temperature": "20 degC",
    "vessel_now": "20 degC",
    "factory_charge": "",
    "delivery": "",
}


def answer(system="si", **entries):
    found = bridge.run("pre-charge", entries, system)
    assert "errors" not in found, found["errors"]
    return found


def result(name, system="si", **entries):
    found = answer(system, **entries)
    return next((r["value"] for r in found["results"] if r["name"] == name), None)


def check(id, system="si", **entries):
    found = answer(system, **entries)
    return next((c for c in found["checks"] if c["id"] == id), None)


def refusal(**entries):
    found = bridge.run("pre-charge", entries, "si")
    assert "errors" in found, found["results"]
    assert len(found["errors"]) == 1, found["errors"]
    return found["errors"][0]


@pytest.mark.parametrize("output", ["charge", "charge_now", "fill", "fill_gauge"])
def test_every_setting_rises_with_height(output):
    found = [result(output, height=f"{h} m", rounding="none") for h in (1, 4, 8, 11.4)]
    assert found == sorted(found)
    assert len(set(found)) == 4


def test_charge_follows_margin_fluid_and_boiling():
    base = result("charge", rounding="none")
    assert result("charge", rounding="none", margin="0.2 bar") == pytest.approx(base - 0.1)
    assert result("charge", rounding="none", fluid="ethylene glycol") > base
    assert result("charge", rounding="none", hot="95 degC") == base
    # Water at 99 degC boils in the open at 640 m, so it asks for a little more charge.
    assert result("charge", rounding="none", hot="99 degC") > base
    assert result("charge", rounding="none", hot="99 degC", altitude="0 m") < result(
        "charge", rounding="none", hot="99 degC"
    )


def test_charge_and_fill_do_not_ask_for_volumes_where_the_practice_does_not():
    for practice in ("fixed", "equal"):
        found = answer(practice=practice, vessel_volume="", system_volume="")
        names = {r["name"] for r in found["results"]}
        assert {"charge", "charge_now", "fill", "fill_gauge", "static"} <= names
        assert not {"fill_high", "hot_pressure", "stored", "air_needed"} & names
        assert not found["charts"]


def test_a_fill_by_the_reserve_says_that_it_needs_the_volumes():
    assert refusal(system_volume="")["field"] == "system_volume"
    told = refusal(vessel_volume="")
    assert told["field"] == "vessel_volume"
    assert "0.3 bar" in told["message"]


def test_the_practices_put_the_fill_where_they_say():
    equal = answer(practice="equal")
    values = {r["name"]: r["value"] for r in equal["results"]}
    assert values["fill"] == values["charge"] == values["fill_low"]
    assert values["stored"] == 0
    fixed = {r["name"]: r["value"] for r in answer(practice="fixed")["results"]}
    assert fixed["fill"] == pytest.approx(fixed["charge"] + 0.3)
    reserve = {r["name"]: r["value"] for r in answer(practice="reserve")["results"]}
    assert reserve["stored"] == pytest.approx(reserve["reserve_wanted"])


def test_where_the_gauge_hangs_changes_its_reading_and_nothing_else():
    level = {r["name"]: r["value"] for r in answer(gauge_height="0 m")["results"]}
    high = {r["name"]: r["value"] for r in answer(gauge_height="3 m")["results"]}
    low = {r["name"]: r["value"] for r in answer(gauge_height="-3 m")["results"]}
    on_gauge = {"fill_gauge", "fill_low_gauge", "fill_high_gauge", "hot_gauge"}
    for name, value in level.items():
        if name in on_gauge:
            assert high[name] < value < low[name]
            assert high[name] + low[name] == pytest.approx(2 * value)
        else:
            assert high[name] == low[name] == value


def test_gauge_settings_do_not_depend_on_the_weather_of_the_altitude_without_gas():
    # Static pressure and charge are differences from the air: the same at every altitude.
    for output in ("static", "charge"):
        assert result(output, altitude="0 m") == result(output, altitude="2500 m")
    # What the gas does is not: the fill for a reserve and the hot pressure move.
    for output in ("fill", "hot_pressure", "charge_now", "factory_here"):
        assert result(output, altitude="0 m") != result(output, altitude="2500 m")


def test_a_vessel_at_its_living_temperature_is_set_to_the_charge():
    same = {"living_temperature": "15 degC", "vessel_now": "15 degC"}
    assert result("charge_now", **same) == pytest.approx(result("charge", **same))
    assert check("temperature", **same)["status"] == "pass"
    cold = check("temperature", living_temperature="20 degC", vessel_now="2 degC")
    assert cold["status"] == "caution"


def test_a_warm_system_is_filled_higher_and_a_cold_one_as_it_is():
    cold = result("fill_gauge")
    assert result("fill_now_gauge") is None
    assert result("fill_now_gauge", filling="10 degC") == pytest.approx(cold)
    warm = [result("fill_now_gauge", filling=f"{t} degC") for t in (20, 35, 50)]
    assert [cold, *warm] == sorted([cold, *warm])
    assert result("fill_now_gauge", filling="79.9 degC") == pytest.approx(
        result("hot_gauge"), abs=0.005
    )
    too_cold = refusal(filling="5 degC")
    assert too_cold["field"] == "filling"
    assert "Boyle" in str(too_cold["source"])
    assert refusal(filling="85 degC")["field"] == "filling"
    unknown = check("warm-fill", practice="fixed", system_volume="", filling="25 degC")
    assert unknown["status"] == "caution"


def test_filling_at_the_upper_edge_heats_up_to_the_highest_allowed():
    vessel = {"vessel_volume": "300 L"}
    high = result("fill_high", **vessel)
    charge = result("charge", **vessel)
    # The step from charge to fill is fixed, so the reserve is chosen to land on the edge.
    air = 0.9386910894
    reserve = 300 * (1 - (charge + air) / (high + air))
    landed = {"reserve": "own", "reserve_own": f"{reserve:.9f} L", **vessel}
    assert result("fill", **landed) == pytest.approx(high, abs=1e-6)
    assert result("hot_pressure", **landed) == pytest.approx(result("final", **vessel), abs=1e-5)


def test_an_empty_fill_window_names_the_vessel_that_would_serve():
    level = {"valve_height": "0 m"}
    told = check("fill-window", vessel_volume="100 L", **level)
    assert told["status"] == "fail"
    needed = float(told["message"].split("at least ")[1].split("\xa0")[0])
    assert 200 < needed < 206
    assert check("fill-window", vessel_volume=f"{needed - 0.1} L", **level)["status"] == "fail"
    assert check("fill-window", vessel_volume=f"{needed + 0.1} L", **level)["status"] == "pass"
    # So small that even the gas is used up: still an answer for the charge, no hot pressure.
    tiny = answer(vessel_volume="45 L")
    assert "hot_pressure" not in {r["name"] for r in tiny["results"]}
    assert next(c for c in tiny["checks"] if c["id"] == "fill-window")["status"] == "fail"


def test_a_fill_above_the_window_fails_and_says_where_to_fill():
    told = check("fill-window", practice="fixed", vessel_volume="220 L")
    assert told["status"] == "fail"
    assert "by the water reserve" in told["message"]


def test_a_reserve_that_is_not_stored_is_said():
    assert check("reserve", practice="reserve")["status"] == "pass"
    assert check("reserve", practice="equal")["status"] == "caution"
    wanted = {"vessel_volume": "300 L", "reserve": "own", "reserve_own": "40 L"}
    short = check("reserve", practice="fixed", **wanted)
    assert short["status"] == "fail"
    assert check("fill-window", practice="fixed", **wanted)["status"] == "pass"
    assert check("reserve", practice="equal", reserve="none")["status"] == "pass"


def test_a_small_vessel_keeps_a_fifth():
    small = {"vessel_volume": "12 L", "system_volume": "50 L"}
    assert result("reserve_wanted", **small) == pytest.approx(2.4)
    assert result("reserve_wanted", vessel_volume="18 L", system_volume="50 L") == pytest.approx(3)


def test_a_reserve_larger_than_the_vessel_is_refused():
    told = refusal(vessel_volume="8 L", reserve="own", reserve_own="9 L")
    assert told["field"] == "vessel_volume"
    assert "does not fit" in told["message"]


@pytest.mark.parametrize(
    ("found", "status", "words"),
    [
        ("0.6 bar", "fail", "too low"),
        ("1.40 bar", "pass", "tells them apart"),
        ("1.52 bar", "pass", "tells them apart"),
        ("2.2 bar", "fail", "holds no water"),
        ("-0.2 bar", "fail", "too low"),
    ],
)
def test_the_charge_found_is_judged_with_its_effect_and_its_mend(found, status, words):
    told = check("charge-found", found_charge=found)
    assert told["status"] == status
    assert words in told["message"]
    if status == "fail":
        assert "With the water side open and at zero" in told["message"]


def test_a_high_charge_below_the_fill_stores_less_water():
    told = check("charge-found", practice="fixed", found_charge="1.6 bar")
    assert told["status"] == "fail"
    assert "in place of" in told["message"]
    unknown = check("charge-found", practice="fixed", vessel_volume="", found_charge="1.6 bar")
    assert "less water than it should" in unknown["message"]


def test_the_effect_of_a_low_charge_is_worked_out():
    told = check("charge-found", found_charge="0.6 bar")["message"]
    assert "climbs to" in told
    hot = float(told.split("climbs to ")[1].split("\xa0")[0])
    assert hot > result("hot_pressure")
    for lost in ("0.0 bar", "-0.5 bar", "-0.7 bar"):
        assert "relief valve lifts" in check("charge-found", found_charge=lost)["message"]
    unknown = check("charge-found", practice="fixed", system_volume="", found_charge="0.6 bar")
    assert "climbs too high" in unknown["message"]


@pytest.mark.parametrize(("state", "status"), [("pressure", "fail"), ("unsure", "caution")])
def test_a_reading_against_a_full_system_is_not_taken_for_the_charge(state, status):
    found = answer(found_charge="1.45 bar", found_state=state)
    told = next(c for c in found["checks"] if c["id"] == "charge-found")
    assert told["status"] == status
    assert "drain its water side" in told["message"]
    assert "read again" in told["message"]
    # Nothing is built on it.
    assert not {"air_needed", "run_time", "height_served"} & {r["name"] for r in found["results"]}


def test_a_factory_charge_is_too_low_for_a_tall_house_and_right_for_a_low_one():
    house = {
        "practice": "equal",
        "margin": "4 psi",
        "rounding": "1 psi",
        "altitude": "0 ft",
        "hot": "180 degF",
        "relief": "30 psi",
        "vessel_volume": "",
        "system_volume": "",
        "living_temperature": "68 degF",
        "vessel_now": "68 degF",
        "factory_charge": "12 psi",
    }
    tall = check("factory-charge", "us", height="25 ft", **house)
    assert tall["status"] == "fail"
    assert "15.0\xa0psig is needed" in tall["message"]
    assert check("factory-charge", "us", height="18 ft", **house)["status"] == "pass"
    assert check("factory-charge", "us", height="4 ft", **house)["status"] == "caution"
    assert check("factory-charge", "us", height="25 ft", **house | {"factory_charge": ""}) is None


def test_air_is_counted_from_what_is_in_the_vessel():
    empty = result("air_needed", factory_charge="")
    delivered = result("air_needed", factory_charge="0.83 bar")
    found = result("air_needed", factory_charge="0.83 bar", found_charge="1.2 bar")
    assert empty > delivered > found > 0
    assert result("air_needed", found_charge="1.9 bar") is None
    assert result("run_time", delivery="80 L/min") == pytest.approx(result("run_time") / 2)
    assert result("run_time", delivery="") is None


def test_the_height_served_is_the_height_of_the_charge_that_serves_it():
    charge = result("charge", **SEA)
    served = result("height_served", found_charge=f"{charge:.9f} bar", **SEA)
    assert served == pytest.approx(11.4, abs=1e-6)


def test_plus_minus_of_a_reading_reaches_the_results():
    found = answer(height="11.4 ± 0.5 m", rounding="none", system_volume="1750 L")
    bands = {r["name"]: r["plus_minus"] for r in found["results"]}
    assert bands["static"] == pytest.approx(0.5 * 0.09804, rel=1e-3)
    assert bands["charge"] == pytest.approx(bands["static"])
    assert bands["final"] is None


def test_impossible_physics_is_refused_at_its_field():
    assert refusal(cold="55 degC", hot="50 degC")["field"] == "cold"
    assert refusal(found_charge="-0.95 bar")["field"] == "found_charge"
    assert "perfect vacuum" in refusal(found_charge="-0.95 bar")["message"]
    low_valve = refusal(relief="1.8 bar")
    assert low_valve["field"] == "relief"
    assert "no room is left" in low_valve["message"]
    assert refusal(gauge_height="60 m")["field"] == "gauge_height"
    assert refusal(height="-2 m")["field"] == "height"
    assert refusal(height="400 m")["field"] == "height"
    assert refusal(living_temperature="90 degC")["field"] == "living_temperature"
    assert refusal(fluid="propylene glycol", glycol="20 %", cold="-30 degC")["field"] == "cold"


def test_water_that_would_boil_at_the_top_is_refused_where_the_practice_adds_nothing_for_it():
    tall = {"hot": "118 degC", "practice": "equal", "vessel_volume": "", "system_volume": ""}
    told = refusal(**tall)
    assert told["field"] == "hot"
    assert "boils at the highest point" in told["message"]
    # The other practices add the vapour pressure to the charge, and the valve allows it.
    assert check("boiling", **tall | {"practice": "fixed", "relief": "6 bar"})["status"] == "pass"


def test_a_thin_margin_is_said():
    thin = {"margin": "own", "margin_own": "0.05 bar", "rounding": "none", "practice": "equal"}
    assert check("top-pressure", **thin)["status"] == "caution"
    assert check("top-pressure", **thin | {"margin_own": "0 bar"})["status"] == "fail"
    assert check("top-pressure")["status"] == "pass"
    near = {"hot": "98 degC", "vessel_volume": "", "system_volume": ""}
    assert check("boiling", **thin | near)["status"] == "caution"


def test_frost_heights_and_low_charges_are_said():
    assert check("freezing", living_temperature="-5 degC")["status"] == "fail"
    assert check("freezing", living_temperature="-5 degC", fluid="ethylene glycol") is None
    assert check("heights", height="1 m", gauge_height="3 m")["status"] == "caution"
    assert check("heights") is None
    assert check("low-charge", height="2 m")["status"] == "caution"
    assert check("low-charge") is None
    assert check("gauge-height", gauge_height="0.1 m")["status"] == "pass"
    assert "less than" in check("gauge-height", gauge_height="2 m")["message"]
    assert "more than" in check("gauge-height", gauge_height="-2 m")["message"]


def test_charts_follow_the_numbers():
    found = answer()
    values = {r["name"]: r["value"] for r in found["results"]}
    pressure, water, section = found["charts"]
    points = pressure["series"][0]["points"]
    assert points[0] == pytest.approx([10.0, values["fill"]])
    assert points[-1] == pytest.approx([80.0, values["hot_pressure"]])
    assert [y for _, y in points] == sorted(y for _, y in points)
    assert water["series"][0]["points"][0][1] == pytest.approx(values["stored"])
    shares = [state["water_fraction"] for state in section["states"]]
    assert shares[0] == 0 < shares[1] < shares[2] < 1
    stored = f"{values['stored']:.1f}\xa0L"
    assert f"Filled cold it holds {stored} of water" in section["summary"]
    assert f"holds {stored} when cold" in water["summary"]


def test_a_system_colder_than_its_densest_still_draws():
    # Between 2 and 4 degC water shrinks a little as it warms.
    assert answer(cold="2 degC")["charts"]


def test_the_example_of_the_site_fails_only_on_its_factory_charge():
    failed = [c["id"] for c in answer()["checks"] if c["status"] == "fail"]
    assert failed == ["factory-charge"]
    found = answer(factory_charge="")
    # What is left to heed teaches: the gauge hangs above the vessel, and the vessel is cold now.
    heeded = {c["id"] for c in found["checks"] if c["status"] != "pass"}
    assert heeded == {"gauge-height", "temperature"}


def test_the_pages_of_size_and_charge_agree_on_the_site():
    size = {r["name"]: r["value"] for r in bridge.run("vessel-size", {})["results"]}
    for name in ("final", "fill_low", "fill_high"):
        assert size[name] == pytest.approx(result(name), rel=1e-12), name


@pytest.mark.parametrize(("height", "density"), [(10.0, 971.80), (-10.0, 999.70)])
def test_the_column_to_the_valve_is_taken_on_the_safe_side(height, density):
    expected = 2.5 + density * 9.80665 * height / 1e5
    found = result("final", valve_height=f"{height} m", height="1 m")
    assert found == pytest.approx(expected, abs=1e-4)


@pytest.mark.parametrize(
    ("rule", "gap"),
    [
        ("en", 0.5),
        ("tenth", 0.4),
        ("five-psi", 0.344738),
        ("tenth-or-five", 0.4),
        ("quarter", 1.0),
        ("own", 0.3),
    ],
)
def test_every_rule_for_the_margin_moves_the_highest_pressure(rule, gap):
    found = result("final", relief="4 bar", valve_height="0 m", gap_rule=rule, gap_own="0.3 bar")
    assert found == pytest.approx(4.0 - gap, abs=1e-6)


NO_FILL = {
    "height": "38 ft",
    "altitude": "5000 ft",
    "relief": "30 psi",
    "vessel_volume": "60 gal",
    "system_volume": "450 gal",
    "hot": "180 degF",
    "margin": "4 psi",
    "gauge_height": "-3 ft",
}


@pytest.mark.parametrize("practice", ["equal", "fixed", "reserve"])
@pytest.mark.parametrize("filling", ["", "20 degC"])
@pytest.mark.parametrize("found", ["", "0.6 bar", "2.4 bar"])
def test_where_no_fill_serves_nothing_tells_to_fill(practice, filling, found):
    given = NO_FILL | {"practice": practice, "filling": filling, "found_charge": found}
    told = answer("us", **given)
    window = next(c for c in told["checks"] if c["id"] == "fill-window")
    assert window["status"] == "fail"
    assert window["message"].startswith("No cold fill serves")
    names = {r["name"] for r in told["results"]}
    assert not {n for n in names if n.startswith(("fill", "hot"))}
    assert not {"stored", "top_pressure", "boiling_margin"} & names
    assert {"charge", "charge_now", "final", "reserve_wanted"} <= names
    assert not told["charts"]
    shown = {step["label"] for step in told["steps"]}
    edges = {HIGHEST_FILL_GAUGE.label} | (
        {LOWEST_FILL_GAUGE.label} if practice != "equal" else set()
    )
    assert edges <= shown
    of_a_fill = {e.label for e in (FILL_FIXED, FILL_ABS, WATER_IN_VESSEL, HOT, FILL_ON_GAUGE)}
    assert not shown & (of_a_fill | {BOILING_MARGIN.label, WARM_FILL.label})
    assert not {"reserve", "top-pressure", "warm-fill"} & {c["id"] for c in told["checks"]}
    for other in told["checks"]:
        if other["id"] != "fill-window":
            words = other["message"].lower()
            assert "fill until" not in words
            assert "fill to" not in words
            assert "cold fill of" not in words
            assert "fill above" not in words
    gauge = next(c for c in told["checks"] if c["id"] == "gauge-height")
    assert "more than the vessel has" in gauge["message"]


def test_a_fill_above_the_window_is_not_told_by_another_check():
    above = {"practice": "fixed", "vessel_volume": "220 L", "gauge_height": "-2 m"}
    assert check("fill-window", **above)["status"] == "fail"
    assert "Fill until" not in check("gauge-height", **above)["message"]
    assert "Fill until" in check("gauge-height", gauge_height="-2 m")["message"]


def test_a_charge_no_boiler_may_carry_is_no_reading():
    assert refusal(found_charge="12 bar")["field"] == "found_charge"
    assert check("charge-found", found_charge="10.9 bar")["status"] == "fail"


def test_a_height_beyond_any_building_is_not_served():
    assert result("height_served", found_charge="10.9 bar") == pytest.approx(108, abs=3)
    assert result("height_served", found_charge="11 bar", margin="own", margin_own="0 bar") is None
    assert result("height_served", found_charge="1.45 bar", found_state="pressure") is None


def test_pressure_beyond_the_highest_allowed_does_not_count_against_boiling():
    # The gas is nearly used up, so the hot pressure would pass anything the valve lets stand.
    # With a larger vessel it stays where the water boils.
    tall = {
        "hot": "131 degC",
        "practice": "equal",
        "height": "10 m",
        "relief": "3 bar",
        "vessel_volume": "210 L",
    }
    told = refusal(**tall)
    assert told["field"] == "hot"
    assert "boils at the highest point" in told["message"]


def levels(**entries):
    return {line["label"]: line["value"] for line in answer(**entries)["charts"][0]["levels"]}


def test_the_valve_opens_at_the_vessel_by_the_column_between_them():
    # One metre of water at 80 degC weighs 971.8 kg/m3 x 9.80665 m/s2 = 9.53 kPa (steam tables); the
    # cold column is heavier by less than 3 %.
    above = levels(relief="3 bar", valve_height="4 m")
    assert above["relief valve opens"] == pytest.approx(3 + 4 * 0.0953, rel=5e-3)
    assert levels(relief="3 bar", valve_height="0 m")["relief valve opens"] == pytest.approx(3)
    below = levels(relief="3 bar", valve_height="-1 m")
    assert below["relief valve opens"] == pytest.approx(3 - 0.0979, rel=2e-3)
    assert above["highest allowed"] < above["relief valve opens"]
    assert above["charge"] == pytest.approx(result("charge", relief="3 bar", valve_height="4 m"))


def test_every_refusal_of_a_charge_names_its_source():
    for entries in (
        {"found_charge": "-0.95 bar", "altitude": "2000 m"},
        {"cold": "80 degC", "hot": "70 degC"},
        {"height": "40 m", "relief": "3 bar"},
    ):
        found = bridge.run("pre-charge", entries, "si")
        assert "errors" in found, entries
        assert all(error["source"] for error in found["errors"])
    assert refusal(found_charge="-0.95 bar", altitude="2000 m")["source"]["key"] == "physics"


def test_a_factory_check_is_named():
    told = check("factory-charge", factory_charge="1.5 bar", height="11.4 m")
    assert told["label"]


def test_a_fill_by_the_reserve_without_its_volumes_says_where_the_reserve_stands():
    said = refusal(practice="reserve", vessel_volume="")
    assert said["field"] == "vessel_volume"
    assert "12828" in str(said["source"])


@pytest.mark.parametrize(("height", "low"), [("3.9 m", True), ("4.2 m", False)])
def test_a_charge_is_low_below_the_usual_least_one(height, low):
    """A column of 4 m of cold water weighs 0.39 bar, and with 0.3 bar of margin makes 0.7 bar, the
    usual least charge (common practice)."""
    found = check("low-charge", height=height, margin="own", margin_own="0.3 bar", rounding="none")
    assert (found is not None) is low

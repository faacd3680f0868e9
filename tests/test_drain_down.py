"""The drain-down calculator as a technician meets it."""

import re
from itertools import pairwise

import pytest

from calc import bridge
from calc.calculators.drain_down import CALCULATOR

LITRE, BAR = 1e-3, 1e5
LOOP = {"item": "loop", "section_content": "60 L", "level": "3 m"}


def answer(system="si", **entries):
    found = bridge.run("drain-down", entries, system)
    assert "errors" not in found, found["errors"]
    return found


def results(system="si", **entries):
    """Return every result in SI."""
    found = {}
    for r in answer(system, **entries)["results"]:
        kind = CALCULATOR.output(r["name"]).kind
        found[r["name"]] = kind.unit(r["unit"]).to_si(r["value"]) if kind else r["value"]
    return found


def check(id, system="si", **entries):
    found = answer(system, **entries)
    return next((c for c in found["checks"] if c["id"] == id), None)


def status(id, **entries):
    return check(id, **entries)["status"]


def refusal(**entries):
    found = bridge.run("drain-down", entries, "si")
    assert "errors" in found, found["results"]
    assert len(found["errors"]) == 1, found["errors"]
    return found["errors"][0]


@pytest.mark.parametrize("drive", ["vented", "gas", "air"])
def test_time_falls_with_bore_and_rises_with_length(drive):
    for name, entries, falling in (
        ("hose_bore", ("10 mm", "13 mm", "16 mm", "19 mm"), True),
        ("hose_length", ("1 m", "6 m", "15 m", "40 m"), False),
        ("fall", ("0.1 m", "0.4 m", "1 m", "3 m"), True),
    ):
        times = [results(drive=drive, **{name: e})["time"] for e in entries]
        assert times == sorted(times, reverse=falling), name
        assert len(set(times)) == len(times)


@pytest.mark.parametrize("drive", ["vented", "unvented", "gas", "air"])
@pytest.mark.parametrize("fall", ["-0.15 m", "0 m", "0.4 m", "4 m"])
def test_nothing_is_lost_and_nothing_is_made(drive, fall):
    found = results(drive=drive, fall=fall)
    assert found["water_out"] + found["left"] == pytest.approx(100 * LITRE)
    assert found["water_out"] > 0
    assert found["left"] >= 0
    assert found["first_flow"] > found["last_flow"] > 0
    mean = found["water_out"] / found["time"]
    assert found["last_flow"] < mean * 1.1
    assert mean < found["first_flow"]


@pytest.mark.parametrize("fall", ["0 m", "0.01 m", "2 m"])
@pytest.mark.parametrize("item", [{}, LOOP])
def test_a_vented_part_never_stalls_while_the_hose_end_is_not_higher(fall, item):
    found = answer(fall=fall, **item)
    assert next(c for c in found["checks"] if c["id"] == "stall")["status"] == "pass"
    assert results(fall=fall, **item)["left"] == pytest.approx(0, abs=1e-12)


def test_drives_compare_as_they_must():
    slow, fast = results(drive="vented"), results(drive="air", push="0.5 bar")
    assert fast["time"] < slow["time"] / 2
    assert results(drive="air", push="0 bar")["time"] == pytest.approx(slow["time"])
    assert results(drive="unvented")["water_out"] < slow["water_out"]
    sealed = results(drive="gas", gas_pressure="0.5 bar")
    assert slow["time"] > sealed["time"] > fast["time"]


def test_water_from_the_charge_is_that_of_the_vessel_page():
    found = results(water_from="charge", charge="0.7 bar", shut_pressure="1.8 bar", altitude="0 m")
    assert found["water_out"] == pytest.approx(200 * LITRE * (1 - 1.71325 / 2.81325))
    higher = results(water_from="charge", charge="0.7 bar", shut_pressure="1.8 bar")
    assert higher["water_out"] > found["water_out"]


def test_the_charge_that_held_the_water_also_pushes_it_out():
    found = results(
        water_from="charge", charge="0.7 bar", shut_pressure="1.8 bar", drive="gas", fall="-2 m"
    )
    assert found["left"] == pytest.approx(0, abs=1e-12)
    # The charge itself, 0.7 bar, lifts about 7 m at the end of the run.
    short = results(
        water_from="charge", charge="0.7 bar", shut_pressure="1.8 bar", drive="gas", fall="-9 m"
    )
    assert short["left"] > 0


def test_a_push_raised_by_what_the_message_says_empties_the_rest():
    entries = {**LOOP, "drive": "air", "push": "0.3 bar", "fall": "-4 m", "rating": "3 bar"}
    assert status("stall", **entries) == "fail"
    found = answer(**entries)
    lift = next(s for s in found["steps"] if s["symbol"] == "V_out")
    assert lift["formula"]
    message = check("stall", **entries)["message"].replace("\xa0", " ")
    more = float(re.search(r"raise the air by ([\d.]+) bar", message)[1])
    assert status("stall", **{**entries, "push": f"{0.3 + more + 0.005} bar"}) == "pass"
    assert status("stall", **{**entries, "push": f"{0.3 + more - 0.006} bar"}) == "fail"


@pytest.mark.parametrize(
    ("entries", "words"),
    [
        ({"drive": "vented", "fall": "-0.2 m"}, "Lower it"),
        ({"drive": "unvented"}, "Open a vent"),
        ({"drive": "gas", "gas_pressure": "0.2 bar", "fall": "-1 m"}, "The charge is spent"),
        ({**LOOP, "drive": "unvented", "trapped_gas": "5 L"}, "Open a vent"),
        ({**LOOP, "drive": "air", "push": "0.1 bar", "fall": "-2 m"}, "lift is too high"),
    ],
)
def test_what_stays_is_said_with_its_mend(entries, words):
    found = check("stall", **entries)
    assert found["status"] == "fail"
    assert words in found["message"]


def test_hotter_water_is_more_trouble_step_by_step():
    assert [status("scald", water_temperature=f"{t} degC") for t in (30, 49, 50, 59.9, 60, 80)] == [
        "pass", "pass", "caution", "caution", "fail", "fail",
    ]  # fmt: skip
    sea = {"altitude": "0 m"}
    assert status("boiling", water_temperature="89.9 degC", **sea) == "pass"
    assert status("boiling", water_temperature="90.1 degC", **sea) == "caution"
    assert status("boiling", water_temperature="89.9 degC", altitude="640 m") == "caution"


@pytest.mark.parametrize(
    ("rule", "celsius"), [("60", 60), ("43.3", 43.333333), ("40", 40), ("35", 35)]
)
def test_each_rule_has_its_limit(rule, celsius):
    at = {"limit_rule": rule, "destination": "floor drain"}
    assert status("drain-temperature", water_temperature=f"{celsius} degC", **at) == "pass"
    over = check("drain-temperature", water_temperature=f"{celsius + 0.1} degC", **at)
    assert over["status"] == "fail"
    assert "cold water" in over["message"]


def test_the_cold_flow_asked_for_brings_the_drain_to_its_limit():
    entries = {"water_temperature": "70 degC", "limit_rule": "40"}
    needed = results(**entries)["cold_needed"] * 6e4
    entries["cold_flow"] = f"{needed:.9g} L/min"
    assert results(**entries)["entering"] == pytest.approx(313.15, abs=1e-5)
    # The mixing water runs into the sump too.
    assert results(**entries)["cycle"] != results(water_temperature="70 degC")["cycle"]


@pytest.mark.parametrize(
    ("entries", "absent"),
    [
        ({}, ("cold_ratio", "cold_amount", "cold_needed", "surplus", "fills", "capacity")),
        ({}, ("glycol_out", "free_air_used", "gas_energy")),
        ({"destination": "container"}, ("entering", "least_gap", "pump_copes", "shortest_cycle")),
        ({"destination": "floor drain"}, ("cycle", "shortest_cycle", "fills", "pump_copes")),
        ({"pump_flow": "5 L/min"}, ("cycle",)),
        (LOOP, ("mass_now", "mass_full")),
    ],
)
def test_what_does_not_apply_is_none_and_never_nought(entries, absent):
    values = bridge.Reader("si").read(CALCULATOR, entries)
    found = CALCULATOR.solve(values).results
    assert {o.name for o in CALCULATOR.outputs} == set(found)
    assert [found[name] for name in absent] == [None] * len(absent)
    assert [name for name, value in found.items() if value == 0 and name != "left"] == []


def test_cold_water_that_is_no_colder_than_the_limit_is_refused():
    found = refusal(water_temperature="60 degC", limit_rule="35", cold_temperature="36 degC")
    assert found["field"] == "cold_temperature"
    assert "cannot cool" in found["message"]


def test_a_hose_that_beats_the_drain_is_told_to_throttle():
    base = {"destination": "floor drain", "fall": "3 m", "hose_bore": "19 mm"}
    found = check("drain-copes", **base)
    assert found["status"] == "fail"
    assert "Throttle" in found["message"]
    assert status("drain-copes", grate_diameter="300 mm", grate_depth="30 mm", **base) == "pass"


def test_a_sump_copes_watches_or_floods():
    base = {"destination": "sump", "fall": "3 m", "hose_bore": "19 mm"}
    assert status("drain-copes", pump_flow="60 L/min", **base) == "pass"
    assert results(pump_flow="60 L/min", **base)["pump_copes"] == "yes"
    room = results(pump_flow="25 L/min", **base)["surplus"]
    assert room > 0
    ample, scant = (f"{room * k * 1000} L" for k in (1.01, 0.99))
    assert status("drain-copes", pump_flow="25 L/min", sump_room=ample, **base) == "caution"
    assert status("drain-copes", pump_flow="25 L/min", sump_room=scant, **base) == "fail"
    assert "cycle" not in results(pump_flow="25 L/min", **base)


def test_cold_water_run_beside_the_hose_fills_the_drain_too():
    base = {"destination": "floor drain", "cold_temperature": "10 degC"}
    spare = (results(**base)["capacity"] - results(**base)["first_flow"]) * 6e4
    assert spare > 1
    assert status("drain-copes", cold_flow=f"{spare - 0.01} L/min", **base) == "pass"
    assert status("drain-copes", cold_flow=f"{spare + 0.01} L/min", **base) == "fail"
    sump = {"destination": "sump", "fall": "3 m", "hose_bore": "19 mm", "pump_flow": "25 L/min"}
    assert (
        results(cold_flow="3 L/min", **sump)["surplus"]
        > results(cold_flow="0 L/min", **sump)["surplus"]
    )


@pytest.mark.parametrize("option", CALCULATOR.input("valve").options, ids=lambda o: o.value)
def test_a_valve_takes_what_its_label_says(option):
    labelled = re.search(r"K = ([\d.]+)", option.label)
    wanted = 0.5 + (float(labelled[1]) if labelled else 0.0)
    step = next(s for s in answer(valve=option.value)["steps"] if s["symbol"] == "v")
    assert next(w["value"] for w in step["where"] if w["symbol"] == "K") == pytest.approx(wanted)


def test_glycol_never_goes_to_a_drain():
    glycol = {"fluid": "ethylene glycol", "glycol": "30 %"}
    for where in ("floor drain", "sump"):
        found = check("glycol", destination=where, **glycol)
        assert found["status"] == "fail"
        assert "must not" in found["message"]
    assert status("glycol", destination="container", **glycol) == "pass"
    assert results(destination="container", **glycol)["glycol_out"] == pytest.approx(30 * LITRE)
    assert results(**glycol)["time"] > results()["time"]


def test_containers_are_counted_up():
    base = {**LOOP, "destination": "container"}
    assert results(container="20 L", **base)["fills"] == 3
    assert results(container="19.9 L", **base)["fills"] == 4


def test_air_above_a_rating_or_the_ceiling_is_seen():
    base = {"drive": "air", "rating": "3 bar"}
    column = 0.045  # what 0.42 m of water adds at the outlet, in bar
    assert status("air-rating", push=f"{3 - column} bar", **base) == "pass"
    over = check("air-rating", push="2.99 bar", **base)
    assert over["status"] == "fail"
    assert "regulator" in over["message"]
    assert status("air-ceiling", push="30 psi", **base) == "pass"
    assert status("air-ceiling", push="30.1 psi", **base) == "caution"
    assert check("air-rating", drive="vented") is None


def test_gas_stores_energy_and_water_alone_does_not():
    assert "gas_energy" not in results(drive="vented")
    energies = [results(drive="air", push=p)["gas_energy"] for p in ("0.2 bar", "0.5 bar", "2 bar")]
    assert energies == sorted(energies)
    # Once it is drained, the whole vessel holds compressed air.
    half, full = (results(drive="air", water=w)["gas_energy"] for w in ("100 L", "200 L"))
    assert half == full


def test_weight_is_that_of_the_whole_shell_until_proved_empty():
    found = results(water_temperature="20 degC")
    assert found["mass_full"] - found["mass_now"] == pytest.approx(0.1 * 998.2, rel=1e-4)
    assert status("weight") == "caution"
    small = {"vessel_volume": "12 L", "water": "5 L", "empty_mass": "3 kg", "diameter": "27 cm"}
    assert status("weight", **small) == "pass"
    assert check("weight", **LOOP) is None


def test_the_air_gap_is_two_bores():
    assert status("air-gap", hose_bore="13 mm", air_gap="26 mm") == "pass"
    assert status("air-gap", hose_bore="13 mm", air_gap="25 mm") == "fail"
    assert status("air-gap", hose_bore="0.5 in", air_gap="1 in") == "pass"
    assert check("air-gap", destination="container") is None


@pytest.mark.parametrize(
    ("entries", "field", "words"),
    [
        ({"hose_length": "0 m"}, "hose_length", "no hose"),
        ({"hose_bore": "0 mm"}, "hose_bore", "a needle and not a hose"),
        ({"water_temperature": "98 degC"}, "water_temperature", "flash"),
        ({"fall": "-1 m"}, "fall", "Nothing drives"),
        ({"fall": "-0.42 m"}, "fall", "Nothing drives"),
        ({"drive": "air", "push": "0 bar", "fall": "-1 m"}, "push", "more air"),
        ({"drive": "gas", **LOOP}, "drive", "no charge"),
        ({"drive": "gas", "water_from": "waterlogged"}, "drive", "full of water"),
        ({"drive": "unvented", "water_from": "waterlogged"}, "drive", "Open a vent"),
        ({"water": "201 L"}, "water", "do not fit"),
        (
            {"water_from": "charge", "charge": "1.5 bar", "shut_pressure": "1.5 bar"},
            "shut_pressure",
            "holds no water",
        ),
    ],
)
def test_the_impossible_is_refused_with_its_mend(entries, field, words):
    found = refusal(**entries)
    assert found["field"] == field
    assert words in found["message"].replace("\xa0", " ")
    assert found["kind"] == "range"


def test_water_above_its_boiling_point_is_refused_sooner_high_up():
    assert "errors" not in bridge.run(
        "drain-down", {"water_temperature": "98 degC", "altitude": "0 m"}, "si"
    )
    assert refusal(water_temperature="98 degC", altitude="640 m")["field"] == "water_temperature"


def test_a_plus_minus_on_the_water_reaches_time_and_volume():
    found = {r["name"]: r for r in answer(water="100 ± 10 L")["results"]}
    assert found["water_out"]["plus_minus"] == pytest.approx(10)
    assert 0.5 < found["time"]["plus_minus"] < 1.5
    assert found["first_flow"]["plus_minus"] > 0


@pytest.mark.parametrize("drive", ["vented", "unvented", "gas", "air"])
def test_charts_start_full_and_fall(drive):
    charts = {c["id"]: c for c in answer(drive=drive)["charts"]}
    for id in ("flow", "left"):
        points = charts[id]["series"][0]["points"]
        assert 10 <= len(points) <= 41
        assert all(a[0] < b[0] and a[1] > b[1] for a, b in pairwise(points))
    assert charts["left"]["series"][0]["points"][0][1] == pytest.approx(100)


def test_the_two_systems_agree_on_what_is_typed():
    si = results(
        item="loop", section_content="140 L", level="3.2004 m", hose_bore="12.7 mm",
        hose_length="7.62 m", fall="0.6096 m", water_temperature="40 degC",
    )  # fmt: skip
    us = results(
        "us", item="loop", section_content="36.98408 gal", level="10.5 ft", hose_bore="0.5 in",
        hose_length="25 ft", fall="2 ft", water_temperature="104 degF",
    )  # fmt: skip
    for name in ("time", "first_flow", "last_flow", "water_out", "recoil"):
        assert us[name] == pytest.approx(si[name], rel=1e-4), name


def test_messages_speak_the_reader_s_units():
    text = check("boiling", "us")["message"]
    assert "°F" in text
    assert "°C" not in text
    found = bridge.run("drain-down", {"water_temperature": "99 degC"}, "us")["errors"][0]
    assert "°F" in found["message"]
    assert "°C" not in found["message"]


def test_altitude_changes_the_gas_push():
    low, high = (
        results(drive="gas", gas_pressure="1 bar", altitude=a)["time"] for a in ("0 m", "2500 m")
    )
    # At the same gauge reading the thinner air outside leaves more push at the end of the run.
    assert high < low


def test_a_plus_minus_past_the_limit_of_its_field_is_told_and_not_computed():
    answer = bridge.run("drain-down", {"hose_length": "10 ± 200 m"})
    assert "errors" not in answer
    told = next(c for c in answer["checks"] if c["id"] == "plus-minus")
    assert told["status"] == "caution"
    assert CALCULATOR.input("hose_length").label in told["message"]


@pytest.mark.parametrize("drive", ["vented", "gas", "air"])
def test_the_charts_end_where_the_results_do(drive):
    told = answer(drive=drive)
    found = results(drive=drive)
    charts = {chart["id"]: chart for chart in told["charts"]}
    minutes = found["time"] / 60.0
    for id in ("flow", "left"):
        points = charts[id]["series"][0]["points"]
        assert points[0][0] == 0.0
        assert points[-1][0] == pytest.approx(minutes, rel=1e-6)
        shown = next(r["text"] for r in told["results"] if r["name"] == "time")
        assert f"in {shown}" in charts[id]["summary"]
    flows = [y for _, y in charts["flow"]["series"][0]["points"]]
    first = charts["flow"]["summary"].split(" from ")[1].split("\N{NO-BREAK SPACE}")[0]
    assert float(first) == pytest.approx(flows[0], rel=5e-3)

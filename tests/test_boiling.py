"""Boiling: laws of the functions, and the altitude-and-boiling calculator."""

import pytest

from calc import boiling, fluids
from calc.atmosphere import standard_pressure
from calc.bridge import run
from calc.calculators.altitude_and_boiling import CALCULATOR

ID = CALCULATOR.id
PLAIN = {"hot": "80 degC", "pressure": "1.5 bar", "rise": "0 m", "altitude": "0 m"}


def answered(entries, system="si"):
    answer = run(ID, entries, system)
    assert "errors" not in answer, answer
    return answer


def results(entries, system="si"):
    return {r["name"]: r["value"] for r in answered(entries, system)["results"]}


def checks(entries):
    return {c["id"]: c for c in answered(entries)["checks"]}


def status(entries):
    return {id: check["status"] for id, check in checks(entries).items()}


def refusal(entries):
    (error,) = run(ID, entries)["errors"]
    return error


@pytest.mark.parametrize("celsius", [40, 80, 100, 130, 160])
@pytest.mark.parametrize("altitude", [-400, 0, 640, 3000])
def test_each_direction_undoes_the_other(celsius, altitude):
    air = standard_pressure(altitude)
    pressure = boiling.least_liquid_pressure(celsius + 273.15, air)
    assert boiling.boiling_temperature(pressure, air) == pytest.approx(celsius + 273.15, abs=1e-6)


def test_nothing_flashes_at_or_below_the_boiling_point():
    assert boiling.flash_share(4.0e5, 4.0e5, 2.2e6) == 0
    assert boiling.flash_share(3.0e5, 4.0e5, 2.2e6) == 0


def test_flashing_keeps_the_enthalpy():
    share = boiling.flash_share(5.4e5, 4.2e5, 2.25e6)
    assert (1 - share) * 4.2e5 + share * (4.2e5 + 2.25e6) == pytest.approx(5.4e5)


@pytest.mark.parametrize("celsius", [30, 60, 100])
def test_thin_steam_is_nearly_an_ideal_gas(celsius):
    temperature = celsius + 273.15
    ideal = 461.526 * temperature / fluids.vapour_pressure(temperature)
    assert boiling.steam_volume(temperature) == pytest.approx(ideal, rel=0.02)
    assert boiling.steam_volume(temperature) < ideal


@pytest.mark.native
def test_steam_against_the_live_library():
    import iapws

    for celsius in range(50, 191, 7):
        there = iapws.IAPWS97(T=celsius + 273.15, x=1).v
        assert boiling.steam_volume(celsius + 273.15) == pytest.approx(there, rel=1e-3)


def test_height_and_altitude_lower_the_boiling_point():
    base = results(PLAIN)
    high = results({**PLAIN, "rise": "8 m"})
    thin = results({**PLAIN, "altitude": "3000 m"})
    assert high["boiling_top"] < base["boiling_top"]
    assert thin["boiling_top"] < base["boiling_top"]
    assert high["open_boiling"] == base["open_boiling"]
    assert thin["open_boiling"] < base["open_boiling"]


def test_the_least_reading_entered_as_the_reading_keeps_just_the_margin():
    entries = {"hot": "115 degC", "pressure": "3 bar", "rise": "12 m", "altitude": "1800 m"}
    least = results(entries)["least_gauge"]
    at_it = {**entries, "pressure": f"{least:.9g} bar"}
    assert status(at_it)["liquid"] == status(at_it)["air"] == "pass"
    below = {**entries, "pressure": f"{least - 0.002:.9g} bar"}
    assert status(below)["liquid"] == "caution"
    nearly = {**entries, "pressure": f"{least - 0.2 + 0.001:.9g} bar"}
    assert status(nearly)["liquid"] == "caution"
    gone = {**entries, "pressure": f"{least - 0.2 - 0.001:.9g} bar"}
    assert status(gone)["liquid"] == "fail"


def test_cool_water_needs_only_the_margin_above_the_open_air():
    entries = {"hot": "60 degC", "pressure": "1.0 bar", "rise": "9 m", "margin": "0.3 bar"}
    least = results(entries)["least_gauge"]
    assert status({**entries, "pressure": f"{least:.9g} bar"})["air"] == "pass"
    assert status({**entries, "pressure": f"{least - 0.002:.9g} bar"})["air"] == "caution"
    assert status({**entries, "pressure": f"{least - 0.302:.9g} bar"})["air"] == "fail"


def test_a_heavier_column_leaves_less_at_the_top():
    water = results({**PLAIN, "rise": "9 m"})["top"]
    glycol = {"fluid": "propylene glycol", "glycol": "40 %"}
    assert results({**PLAIN, "rise": "9 m", **glycol})["top"] < water


def test_a_barometer_that_reads_the_standard_changes_nothing():
    kpa = standard_pressure(640.0) / 1e3
    entries = {"air_from": "barometer", "air": f"{kpa:.9g} kPa"}
    by_barometer, by_altitude = results(entries), results({})
    for name, value in by_altitude.items():
        assert by_barometer[name] == pytest.approx(value, abs=1e-6), name


def test_opening_is_judged_by_the_boiling_point_in_the_open_here():
    hot = {**PLAIN, "hot": "95 degC"}
    assert status(hot)["opening"] == "caution"
    assert status({**hot, "altitude": "2500 m"})["opening"] == "fail"
    assert status({**hot, "hot": "89.9 degC"})["opening"] == "pass"
    assert "volumes" in checks({**PLAIN, "hot": "120 degC"})["opening"]["message"]


def test_steam_appears_as_soon_as_it_is_hotter_than_the_open_boiling_point():
    cool, hot = results({**PLAIN, "hot": "99.9 degC"}), results({**PLAIN, "hot": "100.1 degC"})
    assert cool["flash"] == cool["steam"] == 0
    assert 0 < hot["flash"] < 0.1
    assert 0 < hot["steam"] < 1


def test_a_column_that_would_part_is_refused():
    error = refusal({"pressure": "0 bar", "rise": "10.2 m"})
    assert error["field"] == "pressure"
    assert "part" in error["message"]
    assert "errors" not in run(ID, {"pressure": "0.15 bar", "rise": "10.2 m"})


def test_the_chart_has_the_hot_water_above_the_line_while_it_is_liquid():
    (chart,) = answered({**PLAIN, "altitude": "1000 m"})["charts"]
    (mark,) = chart["marks"]
    here, sea = chart["series"]
    line = min(here["points"], key=lambda p: abs(p[0] - mark["x"]))
    assert mark["y"] > line[1]
    assert all(a[1] > b[1] for a, b in zip(here["points"], sea["points"], strict=True))


def test_at_sea_level_there_is_one_line():
    (chart,) = answered(PLAIN)["charts"]
    assert len(chart["series"]) == 1

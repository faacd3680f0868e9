"""Trapped water and stored energy: laws of the functions, and the trapped-water calculator."""

import itertools
import re

import pytest

from calc import expansion, fluids, stored_energy, trapped
from calc.bridge import run
from calc.calculators.trapped_water import CALCULATOR, METALS
from calc.fluids import compressed
from calc.model import Refusal, as_text

ID = CALCULATOR.id
CELSIUS = 273.15
STEEL = (11.7e-6, trapped.pipe_give(60.3e-3, 3.6e-3, 210e9, 0.3))


def answered(entries, system="si"):
    answer = run(ID, entries, system)
    assert "errors" not in answer, answer
    return answer


def results(entries, system="si"):
    return {r["name"]: r["value"] for r in answered(entries, system)["results"]}


def status(entries):
    return {c["id"]: c["status"] for c in answered(entries)["checks"]}


def refusal(entries):
    (error,) = run(ID, entries)["errors"]
    return error


@pytest.mark.native
def test_the_liquid_against_the_live_library():
    from iapws.iapws97 import _Region1

    for celsius in range(3, 199, 13):
        for bar in (16, 90, 450, 990):
            there = _Region1(celsius + CELSIUS, bar / 10)
            at = (celsius + CELSIUS, bar * 1e5)
            assert compressed.liquid_volume(*at) == pytest.approx(there["v"], rel=1e-12)
            assert compressed.compressibility(*at) == pytest.approx(there["kt"] / 1e6, rel=1e-9)
            grows = there["alfav"]
            assert compressed.expansivity(*at) == pytest.approx(grows, rel=1e-4, abs=1e-9)


def test_at_one_atmosphere_it_is_the_baked_table():
    for celsius in (0.5, 20, 63, 99):
        volume = compressed.liquid_volume(celsius + CELSIUS, 101325.0)
        assert 1 / volume == pytest.approx(fluids.water_density(celsius + CELSIUS), rel=1e-6)


def test_water_yields_to_pressure_everywhere():
    for celsius in (1, 30, 90, 180):
        volumes = [compressed.liquid_volume(celsius + CELSIUS, bar * 1e5) for bar in range(11, 999)]
        assert all(a > b for a, b in itertools.pairwise(volumes))


@pytest.mark.parametrize(
    "ask",
    [
        lambda: compressed.liquid_volume(393.15, 1e5),
        lambda: compressed.liquid_volume(293.15, 1.01e8),
        lambda: compressed.liquid_volume(272.0, 1e5),
        lambda: compressed.compressibility(474.0, 5e6),
        lambda: compressed.expansivity(393.15, 1e5),
    ],
)
def test_outside_the_equation_is_refused_with_the_mend(ask):
    with pytest.raises(Refusal) as refused:
        ask()
    # Written out, so that every quantity it names is there.
    assert re.search(r"\d.*\. Enter .+\.$", as_text(refused.value.message, "us"))
    assert refused.value.cite is not None


@pytest.mark.parametrize("ratio", [8, 10, 15, 25, 40, 60])
@pytest.mark.parametrize("poisson", [0.28, 0.30, 0.34])
def test_the_thin_pipe_stays_near_the_thick_walled_solution(ratio, poisson):
    """Lamé, closed ends: [3(1-2nu) + 2k(1+nu)]/[E(k-1)] with k the ratio of diameters squared."""
    k = (1 / (1 - 2 / ratio)) ** 2
    exact = (3 * (1 - 2 * poisson) + 2 * k * (1 + poisson)) / (k - 1)
    assert trapped.pipe_give(ratio, 1.0, 1.0, poisson) == pytest.approx(exact, rel=0.03)


def test_the_volumes_agree_after_warming():
    start, end, p = 20 + CELSIUS, 55 + CELSIUS, 2.5e5
    after = trapped.pressure_after_warming(p, start, end, *STEEL)
    before = compressed.liquid_volume(start, p)
    room = before * (1 + 3 * STEEL[0] * (end - start)) * (1 + STEEL[1] * (after - p))
    assert compressed.liquid_volume(end, after) == pytest.approx(room, rel=1e-10)


@pytest.mark.parametrize("start", [0.5, 4, 20, 70, 120])
@pytest.mark.parametrize("limit", [5e5, 11e5, 60e5, 300e5])
def test_the_warming_to_a_pressure_leads_there(start, limit):
    by = trapped.warming_to_pressure(2.5e5, start + CELSIUS, limit, *STEEL)
    at = start + CELSIUS + by
    found = trapped.pressure_after_warming(2.5e5, start + CELSIUS, at, *STEEL)
    assert found == pytest.approx(limit, abs=3.0)


def test_a_hundredth_of_a_kelvin_climbs_as_the_rate_says():
    at, p = 45 + CELSIUS, 3e5
    rate = trapped.rise_per_kelvin(
        compressed.expansivity(at, p), STEEL[0], compressed.compressibility(at, p), STEEL[1]
    )
    found = trapped.pressure_after_warming(p, at, at + 0.01, *STEEL) - p
    assert found == pytest.approx(rate * 0.01, rel=2e-3)


def test_a_stiffer_pipe_and_a_slower_growing_metal_climb_faster():
    at = (2.5e5, 293.15, 313.15)
    base = trapped.pressure_after_warming(*at, *STEEL)
    assert trapped.pressure_after_warming(*at, STEEL[0], STEEL[1] / 2) > base
    assert trapped.pressure_after_warming(*at, STEEL[0] / 2, STEEL[1]) > base
    assert trapped.pressure_after_warming(*at, 0.0, 0.0) > base


def test_water_warmed_below_four_degrees_leaves_a_hollow():
    with pytest.raises(Refusal, match="hollow"):
        trapped.pressure_after_warming(1.1e5, 0.5 + CELSIUS, 4 + CELSIUS, *STEEL)


def test_a_limit_below_the_start_is_refused():
    with pytest.raises(Refusal, match="not above the pressure when it was shut"):
        trapped.warming_to_pressure(5e5, 293.15, 5e5, *STEEL)


@pytest.mark.parametrize(
    ("limit", "shown", "end"),
    [(600e5, "600.0 bar abs", "200 °C"), (10e5, "10.00 bar abs", "179.9 °C")],
)
def test_a_room_that_grows_faster_than_the_water_has_no_answer(limit, shown, end):
    """Water at 10 bar abs boils at 453.035632 K, 179.9 °C (IAPWS-IF97 table 36)."""
    with pytest.raises(Refusal) as refused:
        trapped.warming_to_pressure(3e5, 293.15, limit, 5e-4, 0.0)
    told = as_text(refused.value.message, "si").replace("\xa0", " ")
    assert f"Trapped water of 20 °C does not reach {shown} before the table ends at {end}." in told
    assert refused.value.cite


def test_gas_at_the_pressure_of_the_air_holds_nothing():
    assert stored_energy.stored_energy_of_gas(1.0, 1e5, 1e5) == 0


def test_the_gas_formula_is_expansion_without_heat():
    """The integral of p dV from the vessel's pressure down to that of the air, in small steps."""
    p0, pa, volume, n, k = 4e5, 1e5, 0.3, 20000, 1.4
    end = volume * (p0 / pa) ** (1 / k)
    step = (end - volume) / n
    work = sum(p0 * (volume / (volume + (i + 0.5) * step)) ** k * step for i in range(n))
    # The printed exponent 0.286 is 0.4/1.4 rounded.
    assert stored_energy.stored_energy_of_gas(volume, p0, pa) == pytest.approx(work, rel=1e-3)


def test_water_under_twice_the_pressure_holds_four_times_as_much():
    once = stored_energy.stored_energy_of_water(0.2, 3e5, 4.6e-10)
    assert stored_energy.stored_energy_of_water(0.2, 6e5, 4.6e-10) == pytest.approx(4 * once)


def test_the_water_to_let_out_is_what_a_vessel_would_take():
    found = results({"warm_temperature": "60 degC", "length": "100 m", "pressure": "0 bar"})
    growth = expansion.water_expansion(20 + CELSIUS, 60 + CELSIUS)
    net = expansion.net_expansion(growth, expansion.STEEL_EXPANSION, 40.0)
    assert found["let_out"] == pytest.approx(found["content"] * net, rel=1e-4)


def test_length_moves_the_volume_and_not_the_pressure():
    short, long = results({"length": "1 m"}), results({"length": "10 m"})
    assert long["content"] == pytest.approx(10 * short["content"])
    assert long["let_out"] == pytest.approx(10 * short["let_out"])
    for name in ("after", "per_degree", "bearable"):
        assert long[name] == pytest.approx(short[name])


def test_own_pipe_equals_the_listed_one():
    own = {"tube": "own", "outside": "60.3 mm", "wall": "3.6 mm", "metal": "steel"}
    assert results(own) == pytest.approx(results({"tube": "en-10255-50"}))


def test_every_metal_gives_its_own_answer():
    own = {"tube": "own", "outside": "54 mm", "wall": "1.5 mm"}
    found = [results({**own, "metal": key})["after"] for key in METALS]
    assert len({round(p, 2) for p in found}) == len(METALS)


def test_the_check_turns_at_the_warming_the_weakest_part_bears():
    by = results({})["bearable"]
    assert status({"warm_temperature": f"{20 + by - 0.01:.9g} degC"})["rating"] == "pass"
    assert status({"warm_temperature": f"{20 + by + 0.01:.9g} degC"})["rating"] == "fail"


def test_little_to_bear_is_warned_of():
    assert status({})["bearable"] == "caution"
    assert status({"rating": "60 bar"})["bearable"] == "pass"


def test_where_metal_gives_the_pressure_is_called_an_upper_bound():
    hot = {"warm_temperature": "90 degC"}
    (check,) = (c for c in answered(hot)["checks"] if c["id"] == "elastic")
    assert check["status"] == "caution"
    assert "upper bound" in check["message"]
    assert status({"warm_temperature": "25 degC"})["elastic"] == "pass"


@pytest.mark.parametrize(
    ("entries", "field", "words"),
    [
        ({"warm_temperature": "20 degC"}, "warm_temperature", "does not warm"),
        ({"shut_temperature": "110 degC", "warm_temperature": "120 degC", "pressure": "0.3 bar"},
         "pressure", "to be liquid"),
        ({"rating": "1.5 bar"}, "rating", "stands at"),
        ({"tube": "own", "outside": "20 mm", "wall": "10 mm"}, "wall", "no room"),
        ({"shut_temperature": "1 degC", "warm_temperature": "4 degC", "pressure": "0 bar"},
         "warm_temperature", "hollow"),
        ({"tube": "own", "outside": "20 mm", "wall": "8 mm", "shut_temperature": "60 degC",
          "warm_temperature": "200 degC"}, "warm_temperature", "gives way"),
    ],
)  # fmt: skip
def test_the_impossible_is_refused_at_its_field(entries, field, words):
    error = refusal(entries)
    assert error["field"] == field
    assert words in error["message"]


def test_water_that_would_boil_when_let_out_has_no_volume_to_let_out():
    found = results({"shut_temperature": "95 degC", "warm_temperature": "150 degC",
                     "pressure": "0.5 bar"})  # fmt: skip
    assert "let_out" not in found
    assert found["after"] > 100


def test_the_chart_climbs_from_the_start_to_the_end_and_the_rigid_pipe_is_above():
    climb, held = answered({})["charts"]
    this, rigid = climb["series"]
    assert this["points"][0] == pytest.approx([20.0, 1.55])
    assert this["points"][-1][1] == pytest.approx(results({})["after"])
    assert all(r[1] >= t[1] for r, t in zip(rigid["points"], this["points"], strict=True))
    assert [bar["label"] for bar in held["bars"]] == ["gas", "water"]

"""Laws of the gas cushion. Printed values stand in the evidence."""

import itertools

import pytest

from calc.expansion import STEEL_EXPANSION, net_expansion, water_expansion
from calc.model import Refusal
from calc.vessel import (
    SMALL_VESSEL,
    acceptance_fraction,
    air_cushion_volume,
    code_growth,
    code_vessel_volume,
    diaphragm_volume,
    gas_content,
    highest_fill,
    hot_pressure,
    largest_expansion,
    lowest_fill,
    open_tank_volume,
    required_volume,
    sealed_system_share,
    small_vessel_reserve,
    small_vessel_volume,
    une_pressure_coefficient,
    vessel_volume,
    vessel_volume_general,
    water_in_vessel,
    water_reserve,
)

BAR = 1e5
AIR = 0.939 * BAR


def kelvin(fahrenheit):
    return (fahrenheit - 32) / 1.8 + 273.15


def rising(values):
    return all(a < b for a, b in itertools.pairwise(values))


def test_volume_rises_with_expansion_reserve_and_charge_and_falls_with_final_pressure():
    assert rising([vessel_volume(x, 0.003, 2 * BAR, 3.5 * BAR) for x in (0.01, 0.02, 0.05)])
    assert rising([vessel_volume(0.01, x, 2 * BAR, 3.5 * BAR) for x in (0.0, 0.003, 0.01)])
    assert rising([vessel_volume(0.01, 0.003, x * BAR, 3.5 * BAR) for x in (1.5, 2.0, 3.0)])
    assert rising([-vessel_volume(0.01, 0.003, 2 * BAR, x * BAR) for x in (2.5, 3.5, 5.0)])


def test_volume_grows_without_bound_as_the_charge_nears_the_final_pressure():
    assert vessel_volume(0.01, 0.003, 3.4999 * BAR, 3.5 * BAR) > 400
    for charge in (3.5 * BAR, 3.6 * BAR):
        with pytest.raises(Refusal, match="no vessel is"):
            vessel_volume(0.01, 0.003, charge, 3.5 * BAR)


def test_a_vessel_of_the_size_found_holds_reserve_and_expansion_at_the_final_pressure():
    volume = vessel_volume(0.0502, 0.00875, 2.44 * BAR, 3.44 * BAR)
    held = water_in_vessel(volume, 2.44 * BAR, 3.44 * BAR)
    assert held == pytest.approx(0.0502 + 0.00875, rel=1e-12)


def test_the_general_form_contains_the_diaphragm_and_the_air_cushion():
    assert vessel_volume_general(0.01, 2 * BAR, 2 * BAR, 3.5 * BAR) == pytest.approx(
        diaphragm_volume(0.01, 2 * BAR, 3.5 * BAR), rel=1e-12
    )
    assert vessel_volume_general(0.01, AIR, 2 * BAR, 3.5 * BAR) == pytest.approx(
        air_cushion_volume(0.01, AIR, 2 * BAR, 3.5 * BAR), rel=1e-12
    )
    assert vessel_volume(0.01, 0.0, 2 * BAR, 3.5 * BAR) == pytest.approx(
        diaphragm_volume(0.01, 2 * BAR, 3.5 * BAR), rel=1e-12
    )


@pytest.mark.parametrize("fill", [1.2, 1.8, 2.6, 3.3])
def test_a_diaphragm_tank_is_never_larger_than_an_air_cushion_tank(fill):
    plain = air_cushion_volume(0.01, AIR, fill * BAR, 3.5 * BAR)
    assert diaphragm_volume(0.01, fill * BAR, 3.5 * BAR) < plain
    over = vessel_volume_general(0.01, 0.5 * (AIR + fill * BAR), fill * BAR, 3.5 * BAR)
    assert diaphragm_volume(0.01, fill * BAR, 3.5 * BAR) < over < plain


def test_the_general_form_refuses_a_charge_above_the_fill():
    with pytest.raises(Refusal, match="charge is above the fill"):
        vessel_volume_general(0.01, 2.1 * BAR, 2.0 * BAR, 3.5 * BAR)


@pytest.mark.parametrize(
    "sized",
    [
        lambda: air_cushion_volume(0.01, AIR, 3.5 * BAR, 3.5 * BAR),
        lambda: diaphragm_volume(0.01, 3.6 * BAR, 3.5 * BAR),
        lambda: vessel_volume_general(0.01, AIR, 3.5 * BAR, 3.5 * BAR),
        lambda: acceptance_fraction(3.5 * BAR, 3.5 * BAR),
        lambda: gas_content(0.01, 2 * BAR, 2 * BAR),
    ],
    ids=["air cushion", "diaphragm", "general", "acceptance", "readings"],
)
def test_a_final_pressure_that_is_not_above_the_start_is_refused(sized):
    with pytest.raises(Refusal, match="no vessel is"):
        sized()


def test_an_open_tank_is_half_to_spare():
    assert open_tank_volume(0.5) == 1.0


def test_water_in_the_vessel_is_none_up_to_the_charge_and_never_all_of_it():
    assert water_in_vessel(0.1, 2 * BAR, 1.5 * BAR) == 0.0
    assert water_in_vessel(0.1, 2 * BAR, 2 * BAR) == 0.0
    assert (
        0 < water_in_vessel(0.1, 2 * BAR, 2.1 * BAR) < water_in_vessel(0.1, 2 * BAR, 50 * BAR) < 0.1
    )


@pytest.mark.parametrize("fill", [2.0, 2.3, 2.9])
@pytest.mark.parametrize("expansion", [0.5e-3, 1.5e-3, 2.4e-3])
def test_two_readings_give_back_the_gas_that_made_them(fill, expansion):
    hot = hot_pressure(0.012, 2.0 * BAR, fill * BAR, expansion)
    assert gas_content(expansion, fill * BAR, hot) == pytest.approx(2.0 * BAR * 0.012, rel=1e-9)


def test_the_hot_pressure_leaves_the_water_balance_closed():
    cold, expansion = 2.3 * BAR, 2e-3
    hot = hot_pressure(0.012, 2.0 * BAR, cold, expansion)
    gained = water_in_vessel(0.012, 2 * BAR, hot) - water_in_vessel(0.012, 2 * BAR, cold)
    assert gained == pytest.approx(expansion, rel=1e-12)


def test_the_hot_pressure_falls_with_volume_and_rises_with_expansion_and_fill():
    assert rising([-hot_pressure(v, 2 * BAR, 2.3 * BAR, 0.002) for v in (0.008, 0.012, 0.05)])
    assert rising([hot_pressure(0.012, 2 * BAR, 2.3 * BAR, x) for x in (0.0, 0.001, 0.004)])
    assert rising([hot_pressure(0.012, 2 * BAR, x * BAR, 0.002) for x in (2.0, 2.3, 3.0)])
    assert hot_pressure(0.012, 2 * BAR, 2.3 * BAR, 0.0) == 2.3 * BAR


def test_a_lower_charge_gives_a_higher_hot_pressure_at_the_same_fill():
    assert rising([-hot_pressure(0.012, x * BAR, 2.3 * BAR, 0.002) for x in (1.2, 1.6, 2.2)])


def test_an_overcharged_vessel_starts_from_empty():
    hot = hot_pressure(0.012, 2.5 * BAR, 2.3 * BAR, 0.002)
    assert water_in_vessel(0.012, 2.5 * BAR, hot) == pytest.approx(0.002)


def test_growth_that_uses_up_the_gas_is_refused():
    gas = 0.012 * 2.0 / 2.3
    with pytest.raises(Refusal, match="larger vessel"):
        hot_pressure(0.012, 2 * BAR, 2.3 * BAR, gas)
    assert hot_pressure(0.012, 2 * BAR, 2.3 * BAR, 0.999 * gas) > 100 * BAR


def test_the_largest_expansion_is_the_inverse_of_the_volume():
    for charge, fill in ((2.0, 2.0), (2.0, 2.4), (0.939, 1.8)):
        expansion = largest_expansion(0.3, charge * BAR, fill * BAR, 3.4 * BAR)
        volume = vessel_volume_general(expansion, charge * BAR, fill * BAR, 3.4 * BAR)
        assert volume == pytest.approx(0.3, rel=1e-12)


def test_the_fill_window_ends_where_reserve_and_final_pressure_meet():
    volume, reserve, expansion = 0.3, 0.00875, 0.0502
    low = lowest_fill(volume, reserve, 2.44 * BAR)
    high = highest_fill(volume, expansion, 2.44 * BAR, 3.44 * BAR)
    assert low < high
    assert water_in_vessel(volume, 2.44 * BAR, low) == pytest.approx(reserve)
    assert hot_pressure(volume, 2.44 * BAR, high, expansion) == pytest.approx(3.44 * BAR)


def test_the_fill_window_closes_at_the_smallest_vessel():
    reserve, expansion = 0.00875, 0.0502
    volume = vessel_volume(expansion, reserve, 2.44 * BAR, 3.44 * BAR)
    low = lowest_fill(volume, reserve, 2.44 * BAR)
    assert low == pytest.approx(highest_fill(volume, expansion, 2.44 * BAR, 3.44 * BAR))
    smaller = 0.97 * volume
    assert lowest_fill(smaller, reserve, 2.44 * BAR) > highest_fill(
        smaller, expansion, 2.44 * BAR, 3.44 * BAR
    )


def test_a_reserve_that_fills_the_vessel_is_refused():
    with pytest.raises(Refusal, match="smaller reserve"):
        lowest_fill(0.003, 0.003, 2 * BAR)


def test_the_reserve_is_at_least_three_litres_and_then_a_share():
    assert water_reserve(0.05) == water_reserve(0.6) == pytest.approx(0.003)
    assert water_reserve(2.0) == pytest.approx(0.010)


def test_the_rule_for_small_vessels_meets_the_other_at_fifteen_litres():
    assert small_vessel_reserve(SMALL_VESSEL) == pytest.approx(0.003)
    expansion = SMALL_VESSEL * (1 - 2 / 3.5 - 0.2)
    assert small_vessel_volume(expansion, 2 * BAR, 3.5 * BAR) == pytest.approx(SMALL_VESSEL)
    assert vessel_volume(expansion, 0.003, 2 * BAR, 3.5 * BAR) == pytest.approx(SMALL_VESSEL)


def test_what_is_required_of_a_vessel_follows_its_own_size():
    at_12 = required_volume(0.012, 0.002, 0.003, 2 * BAR, 3.5 * BAR)
    at_18 = required_volume(0.018, 0.002, 0.003, 2 * BAR, 3.5 * BAR)
    assert at_12 == pytest.approx(vessel_volume(0.002, 0.0024, 2 * BAR, 3.5 * BAR))
    assert at_18 == pytest.approx(vessel_volume(0.002, 0.003, 2 * BAR, 3.5 * BAR))


def test_a_small_vessel_whose_reserve_leaves_nothing_is_refused():
    with pytest.raises(Refusal, match="leaves nothing"):
        small_vessel_volume(0.002, 3.0 * BAR, 3.5 * BAR)


def test_acceptance_is_larger_in_thin_air_at_the_same_gauge_readings():
    shares = [
        acceptance_fraction(0.8 * BAR + air, 1.9 * BAR + air) for air in (101325, 83000, 70000)
    ]
    assert rising(shares)


def test_the_code_bracket_follows_water_in_steel_only_near_its_range():
    def net(f):
        water = water_expansion(kelvin(40), kelvin(f))
        return net_expansion(water, STEEL_EXPANSION, (f - 40) / 1.8)

    for f in range(180, 221, 5):
        assert code_growth(kelvin(f)) == pytest.approx(net(f), rel=0.03)
    assert code_growth(kelvin(150)) < 0.85 * net(150)
    assert code_growth(kelvin(113.7)) == pytest.approx(0.0, abs=2e-5)


def test_the_code_formula_is_the_air_cushion_with_the_code_bracket():
    t = kelvin(195)
    assert code_vessel_volume(1.0, t, AIR, 1.8 * BAR, 3 * BAR) == pytest.approx(
        air_cushion_volume(code_growth(t), AIR, 1.8 * BAR, 3 * BAR)
    )


def test_the_british_and_spanish_forms_rise_with_the_charge():
    assert rising([sealed_system_share(x * BAR, 3 * BAR) for x in (0.5, 1.0, 1.5)])
    assert rising([une_pressure_coefficient(x * BAR, 3.7 * BAR) for x in (1.5, 2.0, 2.5)])


def test_altitude_changes_nothing_in_a_sealed_gas_counted_absolutely():
    sea = hot_pressure(0.012, 1.0 * BAR + 101325, 1.3 * BAR + 101325, 0.002)
    high = hot_pressure(0.012, 1.2 * BAR + 81325, 1.5 * BAR + 81325, 0.002)
    assert high == pytest.approx(sea)

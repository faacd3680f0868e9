"""Laws of relief valves and of the pump between vessel and valve."""

from itertools import pairwise

import pytest

from calc import pump, relief
from calc.atmosphere import standard_pressure
from calc.model import Refusal
from calc.vessel import hot_pressure

SETTINGS = (1.5e5, 2.07e5, 3e5, 4.2e5, 6e5, 10e5)
GAPS = (
    relief.gap_of_a_tenth,
    relief.closing_difference,
    relief.gap_of_five_psi,
    relief.gap_of_a_quarter,
)


def loop(pressures=(40e3,), rises=(0.0, 6.0, 0.0, -6.0)):
    """A loop of a pump and four stretches that lose what the pump gives."""
    lost = sum(pressures) / len(rises)
    return (
        *(pump.LoopPart("pump", 0.0, head, 0.0) for head in pressures),
        *(pump.LoopPart(f"stretch {i}", rise, 0.0, lost) for i, rise in enumerate(rises)),
    )


@pytest.mark.parametrize("density", [971.8, 1000.0, 1045.0])
@pytest.mark.parametrize("heads", [(40e3,), (25e3, 60e3), (0.0,)])
def test_going_all_round_the_loop_returns_the_vessel_s_pressure(density, heads):
    found = pump.pressures_round_loop(150e3, density, loop(heads))
    assert found[-1] == pytest.approx(150e3, abs=1e-6)


def test_a_loop_that_does_not_close_does_not_return_the_vessel_s_pressure():
    found = pump.pressures_round_loop(150e3, 1000.0, loop()[:-1])
    assert abs(found[-1] - 150e3) > 1e3


@pytest.mark.parametrize("share", [0.0, 0.3, 1.0])
def test_discharge_stands_above_suction_by_the_head(share):
    suction = pump.suction_pressure(2e5, 0.6e5, share)
    assert pump.discharge_pressure(2e5, 0.6e5, share) - suction == pytest.approx(0.6e5)


def test_the_pump_leaves_the_pressure_where_the_vessel_sits():
    assert pump.suction_pressure(2e5, 0.6e5, 1.0) == 2e5
    assert pump.discharge_pressure(2e5, 0.6e5, 0.0) == 2e5


@pytest.mark.parametrize("gap", GAPS)
def test_a_gap_is_positive_and_never_shrinks_with_the_setting(gap):
    found = [gap(setting) for setting in SETTINGS]
    assert found[0] > 0
    assert found == sorted(found)


@pytest.mark.parametrize("gap", GAPS)
def test_the_greatest_hot_pressure_rises_with_the_setting(gap):
    found = [relief.greatest_hot_pressure(s, gap(s)) for s in SETTINGS]
    assert all(b > a for a, b in pairwise(found))


@pytest.mark.parametrize(
    ("rule", "bound"),
    [
        (relief.closing_difference, 5e5),
        (relief.lift_tolerance, 60 * relief.PSI),
        (relief.second_valve_limit, 60 * relief.PSI),
    ],
)
def test_the_two_halves_of_a_rule_meet_at_its_bound(rule, bound):
    assert rule(bound * 1.01) == pytest.approx(rule(bound * 0.99), rel=0.03)
    assert rule(bound * 1.002) == pytest.approx(rule(bound), rel=0.01)


def test_the_closing_difference_joins_at_five_bar():
    assert relief.closing_difference(5e5) == pytest.approx(0.5e5)
    assert relief.closing_difference(5.0001e5) == pytest.approx(0.5e5, rel=1e-3)
    assert relief.closing_difference(6e5) == pytest.approx(0.6e5)


def test_new_york_s_rule_steps_at_thirty_psi_in_either_unit():
    assert relief.blow_off_limit_new_york(2.07e5) == pytest.approx(1.2 * 2.07e5)
    assert relief.blow_off_limit_new_york(31 * relief.PSI) == pytest.approx(34.1 * relief.PSI)


@pytest.mark.parametrize("height", [-9.0, 0.0, 11.4])
@pytest.mark.parametrize("gain", [-8e3, 0.0, 30e3])
def test_vessel_and_valve_are_inverse(height, gain):
    at_valve = relief.pressure_at_valve(2.2e5, 985.0, height, gain)
    assert relief.pressure_at_vessel(at_valve, 985.0, height, gain) == pytest.approx(2.2e5)


def test_valve_and_flow_agree_on_a_point_of_the_loop():
    at_valve = relief.pressure_at_valve(1.5e5, 1000.0, 6.0, pump.dynamic_pressure(4e4, 2e4))
    assert at_valve == pytest.approx(pump.pressure_along_flow(1.5e5, 1000.0, 6.0, 4e4, 2e4))


@pytest.mark.parametrize("altitude", [0.0, 640.0, 4000.0])
@pytest.mark.parametrize("allowed_gauge", [1.7e5, 2.1e5, 2.5e5])
def test_what_restores_the_margin_does_so_when_put_back(altitude, allowed_gauge):
    ambient = standard_pressure(altitude)
    volume, charge, fill, growth = 0.3, 1.2e5 + ambient, 1.6e5 + ambient, 0.065
    allowed = allowed_gauge + ambient
    hot = hot_pressure(volume, charge, fill, growth)
    new_fill = relief.restoring_fill(fill, hot, allowed)
    new_volume = relief.restoring_vessel(volume, fill, hot, allowed)
    new_charge = relief.restoring_charge(charge, fill, hot, allowed)
    assert hot_pressure(new_volume, charge, fill, growth) == pytest.approx(allowed)
    if new_fill >= charge:
        assert hot_pressure(volume, charge, new_fill, growth) == pytest.approx(allowed)
    if new_charge <= fill:
        assert hot_pressure(volume, new_charge, fill, growth) == pytest.approx(allowed)


def test_the_example_above_reaches_every_branch():
    ambient = standard_pressure(640.0)
    fill, charge = 1.6e5 + ambient, 1.2e5 + ambient
    hot = hot_pressure(0.3, charge, fill, 0.065)
    fills = [relief.restoring_fill(fill, hot, p + ambient) for p in (1.7e5, 2.1e5, 2.5e5)]
    charges = [
        relief.restoring_charge(charge, fill, hot, p + ambient) for p in (1.7e5, 2.1e5, 2.5e5)
    ]
    assert min(fills) < charge <= max(fills)
    assert min(charges) <= fill < max(charges)


def test_steam_and_heat_are_inverse():
    steam = relief.steam_rate(95e3, 2.133e6)
    assert relief.heat_of_steam(steam, 2.133e6) == pytest.approx(95e3)
    us = relief.steam_rate_us(95e3)
    assert relief.heat_of_steam(us, relief.STEAM_HEAT_US) == pytest.approx(95e3)


def test_capacity_grows_with_area_coefficient_and_pressure():
    def passed(area, coefficient, pressure):
        volume = relief.steam_specific_volume(pressure)
        return relief.steam_discharge(area, coefficient, pressure, volume, 1.135)

    base = passed(1e-4, 0.4, 4e5)
    assert passed(2e-4, 0.4, 4e5) == pytest.approx(2 * base)
    assert passed(1e-4, 0.8, 4e5) == pytest.approx(2 * base)
    assert passed(1e-4, 0.4, 5e5) > 1.2 * base


def test_the_steam_formula_reproduces_the_constant_of_sv_100():
    pressure = 4e5
    steam = relief.steam_discharge(
        1e-6, 1.0, pressure, relief.steam_specific_volume(pressure), 1.135
    )
    heat = relief.heat_of_steam(steam, relief.heat_of_evaporation_at(pressure))
    assert heat == pytest.approx(relief.SV_100_FLUX * 1e-6, rel=0.002)


def test_sv_100_refuses_beyond_its_range():
    assert relief.sv_100_output(4000e-6, 0.5) == pytest.approx(2520e3)
    with pytest.raises(Refusal, match="2700"):
        relief.sv_100_output(5000e-6, 0.5)


def test_steam_outside_the_table_is_refused():
    with pytest.raises(Refusal):
        relief.steam_specific_volume(40e5)


@pytest.mark.native
@pytest.mark.parametrize("bar", [1.2, 2.0, 3.1, 4.313, 7.5, 11.0, 14.0])
def test_steam_follows_the_industrial_formulation(bar):
    from iapws import IAPWS97

    steam, water = IAPWS97(P=bar / 10, x=1), IAPWS97(P=bar / 10, x=0)
    assert relief.steam_specific_volume(bar * 1e5) == pytest.approx(steam.v, rel=3e-4)
    heat = (steam.h - water.h) * 1e3
    assert relief.heat_of_evaporation_at(bar * 1e5) == pytest.approx(heat, rel=2e-4)


@pytest.mark.parametrize(("psi", "limit"), [(59.0, 65.0), (60.5, 66.55), (61.0, 67.1)])
def test_a_second_valve_has_six_psi_up_to_sixty_and_a_tenth_above(psi, limit):
    """COMAR 09.12.01.13, by its words: at just 60 psi the two rules meet."""
    found = relief.second_valve_limit(psi * relief.PSI) / relief.PSI
    assert found == pytest.approx(limit, rel=1e-6)


@pytest.mark.parametrize(("psi", "most"), [(59.0, 3.0), (60.0, 3.0), (60.5, 3.025), (62.0, 3.1)])
def test_a_valve_may_lift_three_psi_off_up_to_sixty_and_a_twentieth_above(psi, most):
    """ASME BPVC section IV, HG-401, from memory."""
    found = relief.lift_tolerance(psi * relief.PSI) / relief.PSI
    assert found == pytest.approx(most, rel=1e-6)


def test_four_point_one_four_bar_count_as_sixty_psi():
    """4.14 bar are 60.046 psi."""
    assert relief.lift_tolerance(4.14e5) == pytest.approx(3.0 * relief.PSI, rel=1e-6)
    assert relief.second_valve_limit(4.14e5) == pytest.approx(4.14e5 + 6.0 * relief.PSI, rel=1e-6)


def test_the_closing_difference_turns_just_past_five_bar():
    """EN 12828, annex D, from memory: 0.5 bar up to 5 bar, a tenth of the setting above."""
    assert relief.closing_difference(4.5e5) == pytest.approx(0.5e5)
    assert relief.closing_difference(5.1e5) == pytest.approx(0.51e5)


def test_the_rule_for_a_fifth_more_ends_at_thirty_psi():
    """12 NYCRR 4-5.3: a fifth more at 30 psig, a tenth above that."""
    psi = relief.PSI
    assert relief.blow_off_limit_new_york(29.0 * psi) == pytest.approx(34.8 * psi)
    assert relief.blow_off_limit_new_york(30.5 * psi) == pytest.approx(33.55 * psi)


def test_sv_100_holds_up_to_its_greatest_output_and_no_further():
    """1.26 kW for each mm2: 2700 kW are 2142.86 mm2 at a coefficient of 1."""
    most = 2700.0 / 1.26 * 1e-6
    assert relief.sv_100_output(most * (1 - 1e-7), 1.0) == pytest.approx(2700e3, rel=1e-6)
    with pytest.raises(Refusal, match="2700"):
        relief.sv_100_output(most * (1 + 1e-7), 1.0)

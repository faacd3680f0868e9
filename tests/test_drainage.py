"""Laws of draining: balances, limits and refusals, and a comparison with numerical libraries."""

import itertools
import math
from dataclasses import replace

import pytest

from calc.drainage import (
    TRICKLE_HEAD,
    Content,
    Hose,
    Moment,
    _drained_at,
    constant_friction_drain_time,
    drain_curve,
    drain_time,
    driving_pressure,
    flash_fraction,
    gas_pressure,
    orifice_drain_time,
    sealed_drain_time,
    stall_volume,
    unvented_volume,
)
from calc.drains import (
    cold_water_ratio,
    cold_water_ratio_exact,
    grate_flow,
    grate_orifice_flow,
    grate_weir_flow,
    largest_surplus,
    mixed_temperature,
    shortest_sump_cycle,
    sump_cycle,
)
from calc.hydrostatics import static_pressure
from calc.model import Refusal

AIR = 101325.0
HOSE = Hose(bore=0.013, length=6.0, roughness=1.5e-6, fittings=4.5)
VESSEL = Content(
    volume=0.08, section=0.159, fall=0.5, density=998.2, viscosity=1.0016e-3,
    ambient_abs=AIR, gas_abs=AIR,
)  # fmt: skip
CASES = {
    "vented": VESSEL,
    "level hose": replace(VESSEL, fall=0.0),
    "lifted": replace(VESSEL, fall=-0.2),
    "pushed": replace(VESSEL, gas_abs=AIR + 0.5e5),
    "pushed uphill": replace(VESSEL, gas_abs=AIR + 0.3e5, fall=-3.2),
    "charge": replace(VESSEL, gas_abs=2.5e5, gas_volume=0.12),
    "charge, hardly any gas": replace(VESSEL, gas_abs=4.0e5, gas_volume=0.004),
    "charge spent": replace(VESSEL, gas_abs=1.4e5, gas_volume=0.05, fall=-0.3),
    "not vented": replace(VESSEL, gas_volume=0.02, section=0.02, fall=1.0),
    "thick": replace(VESSEL, viscosity=0.02),
    "through the transition": replace(VESSEL, viscosity=4e-3, fall=0.1),
}


def cases(*left_out):
    return [pytest.param(c, id=n) for n, c in CASES.items() if n not in left_out]


@pytest.mark.native
@pytest.mark.parametrize("content", cases())
def test_time_is_that_of_numerical_libraries(content):
    import fluids
    from scipy.integrate import quad
    from scipy.optimize import brentq

    def velocity(driving):
        def excess(v):
            reynolds = content.density * v * HOSE.bore / content.viscosity
            f = fluids.friction.Churchill_1977(reynolds, HOSE.roughness / HOSE.bore)
            losses = 1 + HOSE.fittings + f * HOSE.length / HOSE.bore
            return 0.5 * content.density * v * v * losses - driving

        return brentq(excess, 1e-9, 100.0, xtol=1e-14, rtol=1e-12)

    def driving(drained):
        gas = content.gas_abs
        if content.gas_volume < math.inf:
            gas *= content.gas_volume / (content.gas_volume + drained)
        head = (content.volume - drained) / content.section + content.fall
        return gas - content.ambient_abs + content.density * 9.80665 * head

    trickle = content.density * 9.80665 * TRICKLE_HEAD
    end = content.volume
    if driving(end) < trickle:
        end = brentq(lambda x: driving(x) - trickle, 0.0, content.volume, xtol=1e-16)
    area = math.pi * HOSE.bore**2 / 4

    # Drained = end (1 - s2) spreads the nodes where the flow dies away.
    def integrand(s):
        return 2 * end * s / (area * velocity(driving(end * (1 - s * s))))

    expected, _ = quad(integrand, 0.0, 1.0, epsrel=1e-7, limit=200)
    found = drain_curve(content, HOSE)
    # Sixteen panels of three nodes: the worst cases cross Reynolds 2300, where the factor bends.
    assert found[-1].time == pytest.approx(expected, rel=5e-4)
    assert found[-1].drained == pytest.approx(end, rel=1e-9)


@pytest.mark.parametrize("content", cases())
@pytest.mark.parametrize("share", [0.0, 0.2, 0.6, 0.95])
def test_what_has_come_out_at_a_push_leaves_just_that_push(content, share):
    drained = share * content.volume
    driving = driving_pressure(content, drained)
    assert _drained_at(content, driving) == pytest.approx(drained, abs=1e-12)


@pytest.mark.parametrize("content", cases())
def test_the_run_balances(content):
    run = drain_curve(content, HOSE)
    assert run[0].time == 0
    assert run[0].drained == 0
    for now, later in itertools.pairwise(run):
        assert later.time > now.time
        assert later.drained > now.drained
        assert later.flow < now.flow
        mean = (later.drained - now.drained) / (later.time - now.time)
        assert later.flow < mean < now.flow
    assert run[-1].drained <= content.volume
    assert run[-1].drained <= stall_volume(content) * (1 + 1e-12)


@pytest.mark.parametrize("content", cases())
def test_what_comes_out_ends_at_a_balance(content):
    out = stall_volume(content)
    assert 0 < out <= content.volume
    if out < content.volume:
        assert driving_pressure(content, out) == pytest.approx(0, abs=1e-4)
    else:
        assert driving_pressure(content, out) >= 0


def test_time_is_additive_over_levels():
    whole = drain_curve(VESSEL, HOSE)[-1].time
    upper = replace(VESSEL, volume=0.03, fall=0.5 + 0.05 / VESSEL.section)
    lower = replace(VESSEL, volume=0.05)
    parts = [drain_curve(c, HOSE)[-1].time for c in (upper, lower)]
    assert sum(parts) == pytest.approx(whole, rel=1e-7)


def test_sealed_time_is_additive_when_the_gas_is_carried_over():
    content = CASES["charge"]
    halfway = replace(
        content, volume=0.05, gas_volume=content.gas_volume + 0.03,
        gas_abs=gas_pressure(content, 0.03),
    )  # fmt: skip
    upper = replace(content, volume=0.03, fall=content.fall + 0.05 / content.section)
    parts = [drain_curve(c, HOSE)[-1].time for c in (upper, halfway)]
    assert sum(parts) == pytest.approx(drain_curve(content, HOSE)[-1].time, rel=1e-6)


@pytest.mark.parametrize(
    ("change", "longer"),
    [
        ({"bore": 0.016}, False),
        ({"length": 9.0}, True),
        ({"fittings": 10.0}, True),
        ({"roughness": 2e-4}, True),
    ],
    ids=lambda c: next(iter(c)) if isinstance(c, dict) else "",
)
@pytest.mark.parametrize("content", cases("through the transition"))
def test_time_follows_the_hose(content, change, longer):
    before = drain_curve(content, HOSE)[-1].time
    after = drain_curve(content, replace(HOSE, **change))[-1].time
    if "roughness" in change and after == pytest.approx(before, rel=1e-6):
        return  # laminar flow does not feel the wall
    assert (after > before) == longer


def test_time_falls_with_fall_and_push_and_rises_with_volume():
    times = [drain_curve(replace(VESSEL, fall=z), HOSE)[-1].time for z in (0.1, 0.5, 2.0)]
    assert times == sorted(times, reverse=True)
    times = [drain_curve(replace(VESSEL, gas_abs=AIR + p), HOSE)[-1].time for p in (0, 1e4, 1e5)]
    assert times == sorted(times, reverse=True)
    times = [drain_curve(replace(VESSEL, volume=x), HOSE)[-1].time for x in (0.02, 0.05, 0.08)]
    assert times == sorted(times)


@pytest.mark.parametrize("fall", [0.0, 1e-6, 0.1, 5.0])
def test_a_vented_vessel_never_stalls_while_the_hose_end_is_not_higher(fall):
    assert stall_volume(replace(VESSEL, fall=fall)) == VESSEL.volume


@pytest.mark.parametrize("lift", [0.01, 0.2, 0.4])
def test_a_lifted_hose_end_leaves_water_up_to_it(lift):
    left = VESSEL.volume - stall_volume(replace(VESSEL, fall=-lift))
    assert left == pytest.approx(lift * VESSEL.section, rel=1e-9)


def test_a_smooth_short_hose_comes_near_the_ideal_hole():
    section, level, bore = 0.159, 0.5, 0.03
    found = drain_time(section * level, section, 0.0, bore, 1e-6, 0.0, 0.0, 998.2, 1e-9)
    # The last 2 mm of head are not counted: sqrt(0.002/0.5) of the time.
    counted = 1 - math.sqrt(TRICKLE_HEAD / level)
    expected = orifice_drain_time(section, level, bore, 1.0) * counted
    assert found == pytest.approx(expected, rel=1e-4)


def test_the_first_half_of_the_level_takes_the_lesser_part():
    whole, half = (orifice_drain_time(0.159, h, 0.013, 0.62) for h in (0.5, 0.25))
    assert 1 - half / whole == pytest.approx(1 - math.sqrt(0.5))


def test_the_closed_form_is_additive_too():
    args = (0.159, 0.5, 0.5, 0.013, 6.0, 0.03, 4.5)
    upper = (0.159, 0.2, 0.8, *args[3:])
    lower = (0.159, 0.3, 0.5, *args[3:])
    assert constant_friction_drain_time(*upper) + constant_friction_drain_time(
        *lower
    ) == pytest.approx(constant_friction_drain_time(*args))


def test_a_very_large_gas_cushion_is_a_steady_push():
    args = (0.08, 0.159, 0.5, 0.013, 6.0, 1.5e-6, 4.5, 998.2, 1.0016e-3)
    assert sealed_drain_time(*args, 1e6, AIR + 5e4, AIR) == pytest.approx(
        drain_time(*args, 5e4), rel=1e-5
    )


def test_a_closed_vessel_of_a_wide_section_stalls_as_the_still_column_says():
    wide = replace(VESSEL, section=1e6, fall=1.0, gas_volume=0.005)
    assert stall_volume(wide) == pytest.approx(
        unvented_volume(0.005, AIR, AIR, 998.2, 1.0), rel=1e-5
    )


def test_a_column_the_air_cannot_hold_does_not_stall():
    with pytest.raises(Refusal, match="more than the air can hold"):
        unvented_volume(0.005, AIR, AIR, 998.2, 10.5)
    assert stall_volume(replace(VESSEL, fall=30.0, gas_volume=0.001)) == VESSEL.volume


@pytest.mark.parametrize("lift", [0.51, 3.0])
def test_no_drive_is_refused(lift):
    with pytest.raises(Refusal, match="Nothing drives"):
        drain_curve(replace(VESSEL, fall=-lift), HOSE)
    assert stall_volume(replace(VESSEL, fall=-lift)) == 0


def test_a_grate_is_a_weir_when_shallow_and_an_orifice_when_deep():
    area, rim = math.pi * 0.1**2 / 4 * 0.5 * 0.5, math.pi * 0.1 * 0.5
    assert grate_flow(0.1, 0.005, 0.5, 0.5) == pytest.approx(grate_weir_flow(rim, 0.005))
    assert grate_flow(0.1, 0.2, 0.5, 0.5) == pytest.approx(grate_orifice_flow(area, 0.2))
    flows = [grate_flow(0.1, h, 0.5, 0.5) for h in (0.001, 0.01, 0.05, 0.2)]
    assert flows == sorted(flows)


def test_a_sump_cycles_fastest_at_half_the_pump_flow():
    shortest = shortest_sump_cycle(0.03, 1e-3)
    assert sump_cycle(0.03, 0.5e-3, 1e-3) == pytest.approx(shortest)
    for share in (0.1, 0.4, 0.6, 0.9):
        assert sump_cycle(0.03, share * 1e-3, 1e-3) > shortest


def test_a_pump_that_never_stops_has_no_cycle():
    with pytest.raises(Refusal, match="never stops"):
        sump_cycle(0.03, 1e-3, 1e-3)


def test_a_dry_sump_has_no_cycle():
    with pytest.raises(Refusal, match="never starts"):
        sump_cycle(0.03, 0.0, 1e-3)


def test_surplus_of_a_flow_that_fades_in_a_straight_line():
    # 1 L/s fading to 0 in 100 s against 0.4 L/s: it gathers for 60 s, half of 0.6 times 60.
    run = tuple(
        Moment(t, 1e-3 * (t - t * t / 200), 1e-3 * (1 - t / 100)) for t in range(0, 101, 10)
    )
    assert largest_surplus(run, 0.4e-3) == pytest.approx(18e-3)
    assert largest_surplus(run, 0.5e-3, 0.1e-3) == pytest.approx(18e-3)
    assert largest_surplus(run, 0.35e-3) == pytest.approx(0.5 * 0.65 * 65 * 1e-3)
    assert largest_surplus(run, 1e-3) == 0
    assert largest_surplus(run, 0.0) == pytest.approx(50e-3)


def test_mixing_by_the_ratio_gives_the_limit():
    for hot, limit, cold in ((355.15, 333.15, 283.15), (330.0, 308.15, 281.0)):
        ratio = cold_water_ratio(hot, limit, cold)
        assert mixed_temperature(1.0, hot, ratio, cold) == pytest.approx(limit)
        assert cold_water_ratio_exact(hot, limit, cold) == pytest.approx(ratio, rel=4e-3)


def test_water_that_is_cool_enough_needs_no_cold():
    assert cold_water_ratio(300.0, 333.15, 340.0) == 0
    assert cold_water_ratio_exact(300.0, 333.15, 340.0) == 0


@pytest.mark.parametrize("ratio", [cold_water_ratio, cold_water_ratio_exact])
def test_warm_water_cannot_cool(ratio):
    with pytest.raises(Refusal, match="cannot cool"):
        ratio(355.15, 333.15, 334.0)


def test_flashing_starts_at_the_boiling_point_and_grows():
    assert flash_fraction(373.0, AIR) == 0
    found = [flash_fraction(t, AIR) for t in (374.0, 390.0, 420.0)]
    assert found == sorted(found)
    assert found[0] > 0
    assert flash_fraction(390.0, 80e3) > flash_fraction(390.0, AIR)


@pytest.mark.native
def test_flashing_is_that_of_a_second_equation_of_state():
    from CoolProp.CoolProp import PropsSI

    for celsius in (105, 120, 140):
        t = celsius + 273.15
        for pressure in (70e3, AIR):
            boiling = PropsSI("T", "P", pressure, "Q", 0, "Water")
            low, vapour = (PropsSI("H", "T", boiling, "Q", q, "Water") for q in (0, 1))
            high = PropsSI("H", "T", t, "Q", 0, "Water")
            expected = (high - low) / (vapour - low)
            # IF97 and IAPWS-95 differ by a few parts in ten thousand in these differences.
            assert flash_fraction(t, pressure) == pytest.approx(expected, rel=1e-3)


def test_a_column_that_the_air_just_balances_does_not_stall_either():
    """No air pressure is left to hold water back; half a pascal more of air holds it."""
    column = static_pressure(998.2, 1.0)
    with pytest.raises(Refusal, match="more than the air can hold"):
        unvented_volume(0.005, AIR, column, 998.2, 1.0)
    found = unvented_volume(0.005, AIR, column + 0.5, 998.2, 1.0)
    assert found == pytest.approx(0.005 * (AIR / 0.5 - 1.0), rel=1e-6)


def test_the_head_that_ends_a_run_does_not_begin_one():
    """1 L on half a square metre stands 2 mm high, which surface tension holds."""
    thin = replace(VESSEL, volume=0.001, section=0.5, fall=0.0)
    with pytest.raises(Refusal, match="Nothing drives"):
        drain_curve(thin, HOSE)
    assert drain_curve(replace(thin, fall=1e-4), HOSE)[-1].time > 0


@pytest.mark.parametrize("ratio", [cold_water_ratio, cold_water_ratio_exact])
def test_water_just_at_the_limit_needs_no_cold_and_cold_at_the_limit_cools_nothing(ratio):
    assert ratio(333.15, 333.15, 340.0) == 0
    with pytest.raises(Refusal, match="cannot cool"):
        ratio(355.15, 333.15, 333.15)

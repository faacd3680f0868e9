"""Laws of charge, temperature, altitude, water and air."""

import pytest

from calc import charge, vessel
from calc.atmosphere import standard_pressure
from calc.model import Refusal

BAR = 1e5


def test_the_charge_rises_with_height_vapour_and_margin():
    base = charge.charge_for_height(1.1 * BAR, 0.1 * BAR, 0.3 * BAR)
    assert charge.charge_for_height(1.2 * BAR, 0.1 * BAR, 0.3 * BAR) > base
    assert charge.charge_for_height(1.1 * BAR, 0.2 * BAR, 0.3 * BAR) > base
    assert charge.charge_for_height(1.1 * BAR, 0.1 * BAR, 0.4 * BAR) > base


@pytest.mark.parametrize("static", [0.0, 0.4 * BAR, 3.0 * BAR])
def test_the_column_a_charge_carries_is_the_column_it_was_made_for(static):
    made = charge.charge_for_height(static, 0.42 * BAR, 0.2 * BAR)
    assert charge.static_reached(made, 0.42 * BAR, 0.2 * BAR) == pytest.approx(static, abs=1e-6)


def test_a_charge_below_its_margin_carries_no_column():
    assert charge.static_reached(0.1 * BAR, 0.0, 0.3 * BAR) < 0


@pytest.mark.parametrize(
    ("pressure", "step", "rounded"),
    [(1.41, 0.1, 1.5), (1.40, 0.1, 1.4), (1.0000001, 0.5, 1.0), (0.0, 0.1, 0.0), (1.001, 0.5, 1.5)],
)
def test_rounding_goes_up_and_leaves_whole_steps_alone(pressure, step, rounded):
    assert charge.rounded_up(pressure * BAR, step * BAR) == pytest.approx(rounded * BAR, abs=1.0)


@pytest.mark.parametrize("pressure", [0.0, 12345.6, 98500.0, 141762.0, 333333.3])
@pytest.mark.parametrize("step", [5000.0, 6894.757, 10000.0, 50000.0])
def test_rounding_never_falls_short_nor_passes_one_step(pressure, step):
    rounded = charge.rounded_up(pressure, step)
    assert -1e-5 * step <= rounded - pressure < step
    assert rounded / step == pytest.approx(round(rounded / step))


def test_only_vapour_above_the_air_counts():
    air = standard_pressure(640.0)
    assert charge.vapour_excess(0.5 * air, air) == 0.0
    assert charge.vapour_excess(air + 5000.0, air) == pytest.approx(5000.0)
    # Higher up the same hot water asks for more.
    hot = 1.2 * BAR
    assert charge.vapour_excess(hot, standard_pressure(2000.0)) > charge.vapour_excess(hot, air)


def test_warming_and_cooling_a_charge_undo_each_other():
    warm = charge.charge_at_temperature(2.5 * BAR, 280.0, 320.0)
    assert warm > 2.5 * BAR
    assert charge.charge_at_temperature(warm, 320.0, 280.0) == pytest.approx(2.5 * BAR)


def test_carrying_a_vessel_up_and_down_leaves_its_charge():
    low, high = standard_pressure(0.0), standard_pressure(1609.344)
    up = charge.charge_moved(0.83 * BAR, low, high)
    assert up > 0.83 * BAR
    assert charge.charge_moved(up, high, low) == pytest.approx(0.83 * BAR)
    # Absolute pressure is what a sealed vessel keeps.
    assert up + high == pytest.approx(0.83 * BAR + low)


def test_the_water_lost_is_the_difference_of_the_water_held():
    before = vessel.water_in_vessel(0.012, 2.0 * BAR, 2.5 * BAR)
    after = vessel.water_in_vessel(0.012, 2.0 * BAR, 2.2 * BAR)
    lost = charge.water_lost(0.012, 2.0 * BAR, 2.5 * BAR, 2.2 * BAR)
    assert lost == pytest.approx(before - after)
    assert charge.water_lost(0.012, 2.0 * BAR, 2.2 * BAR, 2.5 * BAR) == pytest.approx(-lost)


def test_a_reading_below_the_charge_tells_no_loss():
    with pytest.raises(Refusal, match="already empty"):
        charge.water_lost(0.012, 2.0 * BAR, 2.5 * BAR, 1.9 * BAR)


def test_the_fill_for_a_reserve_holds_that_reserve():
    fill = vessel.lowest_fill(0.018, 0.003, 2.0 * BAR)
    assert vessel.water_in_vessel(0.018, 2.0 * BAR, fill) == pytest.approx(0.003)


def test_heating_from_the_highest_fill_ends_at_the_final_pressure():
    fill = vessel.highest_fill(0.3, 0.050, 2.4 * BAR, 3.4 * BAR)
    assert vessel.hot_pressure(0.3, 2.4 * BAR, fill, 0.050) == pytest.approx(3.4 * BAR)


def test_gas_laws_need_absolute_pressure():
    # The same gauge pressures at another altitude give another reserve.
    sea, hill = standard_pressure(0.0), standard_pressure(3000.0)
    at_sea = vessel.water_in_vessel(0.3, 1.5 * BAR + sea, 1.8 * BAR + sea)
    on_hill = vessel.water_in_vessel(0.3, 1.5 * BAR + hill, 1.8 * BAR + hill)
    assert on_hill > 1.05 * at_sea


def test_air_pumped_in_steps_adds_up():
    def air(start, end):
        return charge.free_air(0.3, start * BAR, 285.0, end * BAR, 285.0, 290.0, 0.94 * BAR)

    assert air(0.94, 1.6) + air(1.6, 2.4) == pytest.approx(air(0.94, 2.4))
    assert air(2.4, 1.6) < 0 == air(1.6, 1.6)


def test_air_is_counted_as_amount_of_gas():
    # Half the air of the room, at the room's temperature: half the vessel's volume.
    assert charge.free_air(0.2, BAR, 290.0, 1.5 * BAR, 290.0, 290.0, BAR) == pytest.approx(0.1)
    # A vessel that only warms needs no air.
    assert charge.free_air(0.2, BAR, 280.0, BAR * 300 / 280, 300.0, 290.0, BAR) == pytest.approx(
        0.0, abs=1e-12
    )


def test_pumping_takes_longer_with_a_smaller_compressor():
    assert charge.pumping_time(0.2, 0.0005) == pytest.approx(400.0)
    assert charge.pumping_time(0.2, 0.00025) == pytest.approx(800.0)
    with pytest.raises(Refusal, match="delivers no air"):
        charge.pumping_time(0.2, 0.0)


def test_vessel_and_gauge_readings_undo_each_other():
    for column in (-0.3 * BAR, 0.0, 0.12 * BAR):
        reading = charge.pressure_above(1.57 * BAR, column)
        assert charge.pressure_below(reading, column) == pytest.approx(1.57 * BAR)
    assert charge.pressure_above(1.57 * BAR, 0.12 * BAR) < 1.57 * BAR

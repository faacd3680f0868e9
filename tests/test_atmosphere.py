"""Laws of the standard atmosphere."""

import math

import pytest

from calc.atmosphere import SEA_LEVEL_PRESSURE, standard_pressure


def test_sea_level_has_the_standard_pressure():
    assert standard_pressure(0.0) == SEA_LEVEL_PRESSURE


def test_the_air_thins_with_altitude():
    pressures = [standard_pressure(100.0 * n) for n in range(-4, 56)]
    assert pressures == sorted(pressures, reverse=True)
    assert len(set(pressures)) == len(pressures)


@pytest.mark.parametrize("altitude", [-300.0, 0.0, 640.0, 1609.344, 4000.0])
def test_the_slope_is_the_weight_of_the_air(altitude):
    # The standard atmosphere cools by 6.5 K for each kilometre from 288.15 K; M g / R as in ICAO.
    temperature = 288.15 - 0.0065 * altitude
    weight = standard_pressure(altitude) * 0.0289644 * 9.80665 / (8.31432 * temperature)
    slope = (standard_pressure(altitude - 1.0) - standard_pressure(altitude + 1.0)) / 2.0
    assert slope == pytest.approx(weight, rel=1e-4)


def test_feet_and_metres_agree_with_the_printed_form_in_feet():
    for feet in (1000.0, 5280.0, 10000.0):
        printed_form = 14.696 * (1 - 6.8754e-6 * feet) ** 5.2559
        assert standard_pressure(feet * 0.3048) / 6894.757 == pytest.approx(printed_form, rel=2e-4)


def test_the_result_is_a_real_number_over_all_towns():
    assert all(math.isfinite(standard_pressure(h)) for h in (-500.0, 5500.0))

"""Laws of the still column."""

import pytest

from calc.fluids import WATER, Fluid, density
from calc.hydrostatics import STANDARD_GRAVITY, height_of_pressure, static_pressure


@pytest.mark.parametrize("height", [0.0, 0.3, 11.4, 112.0, -5.0])
@pytest.mark.parametrize("rho", [958.4, 999.97, 1045.0])
def test_height_and_pressure_undo_each_other(rho, height):
    assert height_of_pressure(static_pressure(rho, height), rho) == pytest.approx(height)


def test_columns_add_up():
    whole = static_pressure(999.7, 11.4)
    assert static_pressure(999.7, 4.0) + static_pressure(999.7, 7.4) == pytest.approx(whole)


def test_what_lies_below_has_more_pressure():
    assert static_pressure(1000.0, -2.0) == -static_pressure(1000.0, 2.0)


def test_a_warm_column_is_lighter_and_glycol_heavier():
    cold = static_pressure(density(WATER, 283.15), 10.0)
    assert static_pressure(density(WATER, 353.15), 10.0) < cold
    glycol = density(Fluid("ethylene glycol", 0.3), 283.15)
    assert static_pressure(glycol, 10.0) > 1.03 * cold


def test_gravity_is_the_standard_one():
    assert STANDARD_GRAVITY == 9.80665

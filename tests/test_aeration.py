"""Dissolved air against the open library and older print, and its laws."""

import pytest

from calc import aeration
from calc.fluids import saturation_temperature
from calc.model import Refusal


@pytest.mark.native
@pytest.mark.parametrize("gas", ["nitrogen", "oxygen"])
@pytest.mark.parametrize("temperature", [279.0, 283.15, 300.0, 333.15, 363.15, 400.0, 420.0])
def test_the_constant_is_that_of_the_open_library(gas, temperature):
    from iapws._iapws import _Henry

    formula = {"nitrogen": "N2", "oxygen": "O2"}[gas]
    expected = _Henry(temperature, formula) * 1e6
    assert aeration.henry_constant(gas, temperature) == pytest.approx(expected, rel=5e-4)


def test_colder_and_higher_pressed_water_holds_more():
    shares = [aeration.dissolved_air(t, 2e5) for t in (283.15, 313.15, 343.15, 363.15)]
    assert shares == sorted(shares, reverse=True)
    shares = [aeration.dissolved_air(343.15, p) for p in (1e5, 1.5e5, 2e5, 3e5)]
    assert shares == sorted(shares)


def test_the_air_follows_the_pressure_above_the_vapour():
    """Henry's law is a straight line that starts at the vapour pressure."""
    one, two, three = (aeration.dissolved_air(343.15, p) for p in (1e5, 2e5, 3e5))
    assert two - one == pytest.approx(three - two)


def test_just_above_boiling_there_is_next_to_none():
    boiling = saturation_temperature(1.5e5)
    assert 0 < aeration.dissolved_air(boiling - 0.01, 1.5e5) < 1e-4
    with pytest.raises(Refusal, match="holds no air"):
        aeration.dissolved_air(boiling + 0.1, 1.5e5)
    with pytest.raises(Refusal, match="holds no air"):
        aeration.dissolved_oxygen(boiling + 0.1, 1.5e5)


def test_the_oxygen_is_part_of_the_air():
    air = aeration.dissolved_air(283.15, 101325.0)
    oxygen = aeration.dissolved_oxygen(283.15, 101325.0) / 0.031998 * 0.022413970
    # Oxygen dissolves twice as well as nitrogen: a third of the dissolved air, a fifth of the rest.
    assert 0.30 < oxygen / air < 0.40


@pytest.mark.parametrize("temperature", [275.0, 440.0])
def test_outside_the_equation_it_is_refused(temperature):
    with pytest.raises(Refusal, match="outside the equation"):
        aeration.henry_constant("nitrogen", temperature)


@pytest.mark.parametrize("gas", ["oxygen", "nitrogen"])
@pytest.mark.parametrize("limit", [aeration.LOWEST, aeration.HIGHEST])
def test_the_equation_holds_up_to_its_limits(gas, limit):
    assert aeration.henry_constant(gas, limit) > 0


def test_water_that_can_hold_it_gives_nothing_off():
    assert aeration.released_air(1.0, 0.01, 0.02) == 0.0

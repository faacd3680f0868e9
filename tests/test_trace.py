"""Laws of the way from cold to hot, and of its two ends."""

from itertools import pairwise

import pytest

from calc import trace, vessel
from calc.fluids import WATER, Fluid, density, vapour_pressure
from calc.hydrostatics import static_pressure
from calc.model import Refusal

STEEL, COLD, TOP = 11.7e-6, 283.15, 423.15
SYSTEM, VESSEL, CHARGE, FILL = 1.75, 0.2, 2.44e5, 2.6e5
SET, VALVE, HEIGHT = 3.94e5, 1.8, 11.4
MIXTURE = Fluid("propylene glycol", 0.3)


def lift(**changed):
    given = {
        "fluid": WATER, "alpha": STEEL, "cold": COLD, "highest": TOP, "system_volume": SYSTEM,
        "volume": VESSEL, "charge_abs": CHARGE, "fill_abs": FILL, "set_abs": SET,
        "valve_height": VALVE,
    }  # fmt: skip
    return trace.lift_temperature(**{**given, **changed})


def boil(**changed):
    given = {
        "fluid": WATER, "alpha": STEEL, "cold": COLD, "highest": TOP, "system_volume": SYSTEM,
        "volume": VESSEL, "charge_abs": CHARGE, "fill_abs": FILL, "set_abs": SET,
        "valve_height": VALVE, "height": HEIGHT,
    }  # fmt: skip
    return trace.boiling_at_top(**{**given, **changed})


@pytest.mark.parametrize(("fluid", "top"), [(WATER, TOP), (MIXTURE, 373.15)])
@pytest.mark.parametrize("charge", [1.2e5, 2.0e5, 2.44e5, 2.9e5])
@pytest.mark.parametrize("height", [-4.0, 0.0, 6.0])
def test_at_the_lift_temperature_the_valve_stands_at_its_setting(fluid, top, charge, height):
    t = lift(fluid=fluid, highest=top, charge_abs=charge, valve_height=height)
    taken = trace.growth_taken(fluid, STEEL, SYSTEM, COLD, t)
    at_vessel = vessel.hot_pressure(VESSEL, charge, FILL, taken)
    at_valve = at_vessel - static_pressure(density(fluid, t), height)
    assert at_valve == pytest.approx(SET, rel=1e-4)


@pytest.mark.parametrize(
    ("name", "values"),
    [
        ("charge_abs", (1.2e5, 1.7e5, 2.2e5, 2.5e5)),
        ("volume", (0.1, 0.15, 0.2, 0.25)),
        ("set_abs", (3.2e5, 3.6e5, 4.0e5, 4.4e5)),
        ("valve_height", (-5.0, 0.0, 3.0, 8.0)),
        ("alpha", (0.0, 11.7e-6, 17.1e-6)),
        ("system_volume", (2.6, 2.2, 1.8, 1.4)),
        ("fill_abs", (3.2e5, 3.0e5, 2.8e5, 2.5e5)),
    ],
)
def test_the_valve_opens_later(name, values):
    found = [lift(**{name: value}) for value in values]
    assert all(a < b for a, b in pairwise(found))


@pytest.mark.parametrize("height", [0.0, 6.0, 14.0])
@pytest.mark.parametrize("volume", [0.2, 1.2])
def test_at_the_boiling_temperature_the_top_stands_on_the_saturation_curve(height, volume):
    t = boil(height=height, volume=volume)
    rho = density(WATER, t)
    held = SET + static_pressure(rho, VALVE)
    taken = trace.growth_taken(WATER, STEEL, SYSTEM, COLD, t)
    content, gas = CHARGE * volume, volume * min(CHARGE / FILL, 1.0)
    at_vessel = trace.pressure_on_the_way(gas, content, FILL, taken, held)
    top = at_vessel - static_pressure(rho, height)
    assert top == pytest.approx(vapour_pressure(t), rel=1e-4)


def test_a_higher_top_boils_sooner_and_a_held_pressure_boils_at_the_setting():
    found = [boil(height=h) for h in (14.0, 8.0, 3.0, 0.0)]
    assert all(a < b for a, b in pairwise(found))
    level = boil(height=VALVE)
    assert vapour_pressure(level) == pytest.approx(SET, rel=1e-4)


def test_a_large_vessel_boils_at_the_top_before_its_valve_opens():
    t = boil(volume=5.0, height=11.0)
    just_below = t - 0.5
    taken = trace.growth_taken(WATER, STEEL, SYSTEM, COLD, just_below)
    at_vessel = vessel.hot_pressure(5.0, CHARGE, FILL, taken)
    assert at_vessel < SET
    assert at_vessel - static_pressure(density(WATER, just_below), 11.0) > vapour_pressure(
        just_below
    )


def test_the_way_follows_the_gas_law_until_the_valve_holds_it():
    content, gas = CHARGE * VESSEL, VESSEL * CHARGE / FILL
    found = trace.pressure_on_the_way(gas, content, FILL, 0.03, 1e9)
    assert found == pytest.approx(vessel.hot_pressure(VESSEL, CHARGE, FILL, 0.03))
    assert trace.pressure_on_the_way(gas, content, FILL, 0.03, 2.9e5) == 2.9e5
    assert trace.pressure_on_the_way(gas, content, FILL, 0.0, 1e9) == FILL
    assert trace.pressure_on_the_way(gas, content, FILL, gas, 5e5) == 5e5
    assert trace.pressure_on_the_way(gas, content, FILL, 2 * gas, 5e5) == 5e5


def test_an_empty_cold_vessel_starts_from_its_charge():
    content = 3.0e5 * VESSEL
    first = trace.pressure_on_the_way(VESSEL, content, FILL, 1e-9, 1e9)
    assert first == pytest.approx(3.0e5)


def test_a_top_under_vacuum_boils_as_it_stands():
    assert boil(height=40.0) == COLD


def test_it_boils_at_the_cold_pressure_where_the_vessel_hardly_presses():
    """A vast vessel keeps the cold pressure: the top boils where that pressure boils."""
    found = boil(volume=5000.0, height=11.0)
    rho = density(WATER, found)
    assert vapour_pressure(found) == pytest.approx(FILL - static_pressure(rho, 11.0), rel=1e-3)


def test_no_end_within_reach_is_refused():
    with pytest.raises(Refusal, match="stays shut"):
        lift(volume=5.0)
    with pytest.raises(Refusal, match="Nothing boils"):
        boil(highest=363.15)


def test_before_any_water_comes_the_vessel_stands_at_its_fill():
    """A charge above the fill presses once the first water comes, and not before."""
    content = 3.0e5 * VESSEL
    assert trace.pressure_on_the_way(VESSEL, content, FILL, 0.0, 1e9) == FILL
    assert trace.pressure_on_the_way(VESSEL, content, FILL, -1e-3, 1e9) == FILL
    # A valve set below the fill holds it down at once.
    assert trace.pressure_on_the_way(VESSEL, content, FILL, 0.0, 2e5) == 2e5


def test_below_freezing_a_mixture_counts_as_water_at_freezing():
    assert trace.boiling_pressure(260.0) == vapour_pressure(273.15)
    assert trace.boiling_pressure(273.65) == vapour_pressure(273.65)

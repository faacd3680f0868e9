"""The temperatures of a boiler room: water under fire and loss, metal and vessel following it."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log

from calc.cooling import temperature_after
from calc.fluids import specific_heat
from calc.plant.parts import Boiler
from calc.plant.state import State, gauge_pressure_at

_REGIMES = 8
_NEAR = 1e-9

LIMITER = "the limiter of the boiler has tripped"
LOW_PRESSURE = "the pressure switch of the boiler has tripped"
BY_HAND = "locked out by hand"


@dataclass(frozen=True, slots=True)
class Warmth:
    """Temperatures at the end of a step [K], share of the output given, why the boiler stopped."""

    water: float
    metal: float
    shell: float
    firing: float
    locked: str


def setting_now(state: State) -> float | None:
    """Return the flow temperature that is called for. [K] None where no heat is."""
    return state.called if state.called is not None else state.plant.schedule.at(state.time)


def firing_share(boiler: Boiler, setting: float, water: float) -> float:
    """Return the share of its output a boiler gives at a mean temperature of the water. [-]

    The fire is in proportion to how far the flow lies below the setting, and the flow lies above
    the mean in proportion to the fire.

    Examples
    --------
    >>> from calc.plant.parts import Place
    >>> firing_share(Boiler(Place(), 1e5, 353.15, band=5.0, spread=10.0), 353.15, 348.15)
    0.5
    """
    share = (setting + boiler.control_error - water) / (boiler.band + 0.5 * boiler.spread)
    return min(max(share, 0.0), 1.0)


def warmed(state: State, time: float) -> Warmth:
    """Return the temperatures after a time.

    Parameters
    ----------
    state
        The boiler room.
    time
        How long, within one setting of the schedule. [s]

    Returns
    -------
    Warmth
        Temperatures at the end.

    Notes
    -----
    Full fire, fire in proportion and no fire are three straight laws. Under each the water goes to
    its rest as in Newton's law of cooling, so each is exact, and so is the moment of change.
    """
    plant = state.plant
    boiler, building = plant.boiler, plant.building
    locked = state.locked
    setting = setting_now(state)
    if (
        not locked
        and setting is not None
        and gauge_pressure_at(state, boiler.place) < boiler.least_gauge
    ):
        locked = LOW_PRESSURE
    loop_water = state.mass - state.vessel_water
    capacity = loop_water * specific_heat(plant.pipes.fluid, state.water) + building.metal_capacity
    loss = building.conductance * (1.0 if plant.pump.on else building.still_share)
    water, left = state.water, time
    for _ in range(_REGIMES):
        if left <= 0.0:
            break
        fires = not locked and setting is not None and plant.pump.on
        if fires and _flow(boiler, setting, water) >= boiler.limiter:
            locked, fires = LIMITER, False
        ends, rest, rate = _regime(boiler, building.room, setting if fires else None, loss, water)
        constant = capacity / rate
        end = temperature_after(left, constant, water, rest)
        # The first boundary on the way, if any, cuts the regime short.
        goals = [goal for goal in ends if (goal - water) * (goal - end) < 0.0]
        if not goals:
            water = end
            break
        water_goal = min(goals, key=lambda goal: abs(goal - water))
        left -= _time_to(constant, water, water_goal, rest)
        # A hair past the boundary, so that the next regime is the other one.
        water = water_goal + (_NEAR if rest > water else -_NEAR)
    fires = not locked and setting is not None and plant.pump.on
    firing = firing_share(boiler, setting, water) if fires else 0.0
    if fires and _flow(boiler, setting, water) >= boiler.limiter:
        locked, firing = LIMITER, 0.0
    metal = _followed(state.metal, state.water, water, building.metal_lag, time)
    shell = _followed(
        state.shell,
        building.room + building.shell_share * (state.water - building.room),
        building.room + building.shell_share * (water - building.room),
        building.shell_lag,
        time,
    )
    return Warmth(water, metal, shell, firing, locked)


def _flow(boiler: Boiler, setting: float, water: float) -> float:
    """Return the flow temperature. [K]"""
    return water + 0.5 * boiler.spread * firing_share(boiler, setting, water)


def _regime(
    boiler: Boiler, room: float, setting: float | None, loss: float, water: float
) -> tuple[tuple[float, ...], float, float]:
    """Return the boundaries [K], the temperature of rest [K] and the slope of a regime. [W/K]"""
    if setting is None:
        return (), room, loss
    whole = boiler.band + 0.5 * boiler.spread
    aim = setting + boiler.control_error
    half = 0.5 * boiler.spread
    if water >= aim:
        return (aim,), room, loss
    if water < aim - whole:
        return (aim - whole, boiler.limiter - half), room + boiler.output / loss, loss
    slope = boiler.output / whole
    rest = (loss * room + slope * aim) / (loss + slope)
    # Flow = water + half * (aim - water) / whole, which meets the limiter here.
    meets = boiler.limiter
    if half < whole:
        meets = (boiler.limiter - half * aim / whole) / (1.0 - half / whole)
    return (aim - whole, aim, meets), rest, loss + slope


def _time_to(constant: float, water: float, goal: float, rest: float) -> float:
    return constant * log((water - rest) / (goal - rest))


def _followed(lagging: float, start: float, end: float, lag: float, time: float) -> float:
    """Return what follows, by a lag, a leader that goes straight from start to end. [K]"""
    slope = (end - start) / time
    return end - slope * lag + (lagging - start + slope * lag) * exp(-time / lag)

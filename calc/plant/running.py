"""A boiler room carried on in time, with every kilogram booked."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from math import exp

from calc.fluids import specific_heat, vapour_pressure
from calc.model import Refusal
from calc.plant.balance import Balance
from calc.plant.heating import BY_HAND, warmed
from calc.plant.parts import Plant
from calc.plant.state import Ledger, State, flow_and_return, gain_at, gauge_reading

SHORTEST, LONGEST = 1.0, 900.0
"""Steps that are taken. [s]"""

PACE = 60.0
"""Longer steps are cut at whole multiples of this, so that they meet the same moments. [s]"""

LONGEST_WAIT = 30.0 * 86400.0
"""Longest time that is run in one go. [s]"""

_SLACK = 1e-6
_NEAR_BOILING = 1.0
_FREEZING = 273.15


def filled(plant: Plant, charge_abs: float, cold_gauge: float, temperature: float) -> State:
    """Return a boiler room filled and cold, everything at one temperature.

    Parameters
    ----------
    plant
        The parts.
    charge_abs
        Charge of the vessel at that temperature, water side empty. [Pa abs]
    cold_gauge
        True pressure at the gauge, the pump stopped. [Pa gauge]
    temperature
        Temperature. [K]

    Returns
    -------
    State
        At midnight, boiler ready, no air at the top.
    """
    if charge_abs < plant.ambient_abs:
        raise Refusal(
            "The charge is below the air pressure, and a gas valve that is open to the air gives "
            "no less. Charge the vessel to the air pressure or above."
        )
    state = State(
        plant=plant,
        time=0.0,
        mass=0.0,
        vessel_water=0.0,
        gas=charge_abs * plant.vessel.volume / temperature,
        air=0.0,
        water=temperature,
        metal=temperature,
        shell=temperature,
        pressure_abs=plant.ambient_abs,
        ledger=Ledger(0.0),
    )
    return filled_to(state, cold_gauge)


def filled_to(state: State, gauge: float) -> State:
    """Return the room with as much water as brings its gauge's place to a pressure.

    Parameters
    ----------
    state
        A boiler room, its temperatures and gas as they are.
    gauge
        True pressure where the gauge is, the pump stopped. [Pa gauge]

    Returns
    -------
    State
        The same room with other water, a fresh book, and no air at the top. A vessel whose valve is
        shut was open while it was filled.
    """
    plant = state.plant
    open_plant = replace(
        plant,
        vessel=replace(plant.vessel, open=True),
        pump=replace(plant.pump, on=False),
    )
    balance = Balance(replace(state, plant=open_plant, air=0.0))
    pressure = gauge + plant.ambient_abs - gain_at(open_plant, plant.gauge.place, balance.rho)
    if pressure + balance.top < plant.ambient_abs:
        raise Refusal(
            "The cold fill does not reach the highest point, so air would stand there. "
            "Fill to a higher pressure."
        )
    if pressure + balance.relief >= plant.relief.set_gauge:
        raise Refusal(
            "The cold fill is above the setting of the relief valve, so it would blow. "
            "Fill to a lower pressure."
        )
    in_vessel = balance.in_vessel(pressure)
    mass = balance.in_loop(pressure) + in_vessel
    return replace(
        state,
        mass=mass,
        vessel_water=in_vessel,
        air=0.0,
        pressure_abs=pressure,
        ledger=Ledger(mass),
    )


def step(state: State, time: float) -> State:
    """Return a boiler room after a step of time.

    Parameters
    ----------
    state
        Before.
    time
        Length of the step, 1 to 900. [s]

    Returns
    -------
    State
        After.

    Notes
    -----
    A longer step is cut at each whole minute of the clock. So a step of 900 s gives what fifteen
    of 60 s give. Steps shorter than a minute give temperatures within 0.1 K of these, pressures
    within 2 kPa, and water in and out within a tenth; while the relief valve opens and shuts, the
    pressure may be anywhere between the two.
    """
    if not time >= SHORTEST:
        raise Refusal("A step shorter than 1 s is not taken. Take 1 s or more.")
    if time > LONGEST:
        raise Refusal(
            "A step longer than 900 s would jump over what happens in it. "
            "Take several steps of 900 s or less."
        )
    end = state.time + time
    while state.time < end - _SLACK:
        mark = (state.time + _SLACK) // PACE * PACE + PACE
        state = _moved(state, min(mark, end))
    return state


def run(state: State, time: float, pace: float = PACE) -> State:
    """Return a boiler room after any length of time, in steps of `pace`. [s]"""
    for length in lengths(time, pace):
        state = step(state, length)
    return state


def lengths(time: float, pace: float) -> list[float]:
    """Return the steps that make up a time, none shorter than a step may be.

    Examples
    --------
    >>> lengths(130.0, 60.0)
    [60.0, 70.0]
    """
    if not 0.0 <= time <= LONGEST_WAIT:
        raise Refusal("A wait runs from nothing to 30 days. Choose a time between them.")
    if not SHORTEST <= pace <= LONGEST:
        raise Refusal("A step runs from 1 s to 900 s. Choose one between them.")
    whole = int((time + _SLACK) // pace)
    rest = time - whole * pace
    steps = [pace] * whole
    if rest > _SLACK:
        if rest < max(SHORTEST, 0.5 * pace) and steps and pace + rest <= LONGEST:
            steps[-1] += rest
        else:
            steps.append(max(rest, SHORTEST))
    return steps


@dataclass(frozen=True, slots=True)
class Moment:
    """What an onlooker sees at one moment: s, Pa gauge, K, kg by the relief pipe."""

    time: float
    gauge: float
    flow: float
    back: float
    relieved: float


def watched(state: State, time: float, pace: float = PACE) -> tuple[State, list[Moment]]:
    """Return a boiler room after a time, and what was to be seen at each step."""
    seen = [_moment(state)]
    for length in lengths(time, pace):
        state = step(state, length)
        seen.append(_moment(state))
    return state, seen


_ONLOOKER: ContextVar[list[Moment] | None] = ContextVar("onlooker", default=None)


@contextmanager
def onlooker() -> Iterator[list[Moment]]:
    """Gather what is to be seen at each step that is taken inside the `with`.

    It changes nothing of what happens: it is there for whoever calls an action and wants to know
    how the needle moved while it lasted.
    """
    seen: list[Moment] = []
    token = _ONLOOKER.set(seen)
    try:
        yield seen
    finally:
        _ONLOOKER.reset(token)


def _moment(state: State) -> Moment:
    flow, back = flow_and_return(state)
    return Moment(state.time, gauge_reading(state), flow, back, state.ledger.relief)


def settled(state: State) -> State:
    """Return a boiler room at rest in its pressure once a part has been moved, no time gone by."""
    return _closed(state, Balance(state), 0.0)


def _moved(state: State, end: float) -> State:
    """Return the state at `end`, within one minute of the clock. [s]"""
    time = end - state.time
    if state.unmixed != 0.0:
        state = replace(state, water=_mixed(state), unmixed=0.0)
    warmth = warmed(state, time)
    plant = state.plant
    aired = state.air
    # A balance costs a third of the step, and only air at the top needs this one.
    if aired > 0.0 and state.pressure_abs + Balance(state).top > plant.ambient_abs:
        aired *= exp(-time / plant.pipes.vent_lag)
    moved = replace(
        state,
        time=end,
        water=warmth.water,
        metal=warmth.metal,
        shell=warmth.shell,
        firing=warmth.firing,
        locked=warmth.locked,
        gas=state.gas * exp(-plant.vessel.gas_loss * time),
        air=aired,
    )
    moved = _closed(moved, Balance(moved), time)
    watching = _ONLOOKER.get()
    if watching is not None:
        watching.append(_moment(moved))
    return moved


def _closed(state: State, balance: Balance, time: float) -> State:
    """Return the state with its pressure found and its flows booked."""
    valve = state.plant.relief
    blowing = state.relief_open
    discharged, openings = 0.0, state.openings
    pressure = balance.pressure(time)
    at_valve = pressure + balance.relief
    if at_valve > valve.set_gauge or (blowing and at_valve > valve.set_gauge - valve.closing):
        shuts = valve.set_gauge - valve.closing - balance.relief
        openings += 1
        open_pressure = balance.pressure(time, blowing=True)
        if time > 0.0 and open_pressure <= shuts:
            # The valve has opened and shut again, once or more: it ends where it shuts.
            pressure, blowing = shuts, False
            discharged = -balance.excess(shuts, time, False)
            if discharged < 0.0:
                discharged = 0.0
        else:
            pressure, blowing = open_pressure, True
    else:
        blowing = False
    air = state.air
    least = state.plant.ambient_abs - balance.top
    if pressure < least:
        # Vents and packings let air in before the water at the top tears off.
        pressure = least
        hollow = balance.excess(pressure, time, blowing) / balance.rho
        spare = state.plant.ambient_abs - balance.vapour
        if spare <= 0.0:
            raise _boils()
        air += max(hollow, 0.0) * spare / state.water
        balance = Balance(replace(state, air=air))
    _refuse_boiling(state, balance, pressure)
    return replace(
        state,
        air=air,
        openings=openings,
        vessel_water=balance.in_vessel(pressure),
        pressure_abs=pressure,
        relief_open=blowing,
        **_booked(state, balance, pressure, time, blowing, discharged),
    )


def _booked(
    state: State,
    balance: Balance,
    pressure: float,
    time: float,
    blowing: bool,
    discharged: float,
) -> dict[str, float | Ledger]:
    """Return the water after a step, and the book with the flows of the step written into it."""
    book = state.ledger
    coil = time * balance.coil_flow(pressure)
    book = Ledger(
        start=book.start,
        fill=book.fill + time * balance.fill_flow(pressure),
        by_hand=book.by_hand + time * balance.hand_flow(pressure),
        coil_in=book.coil_in + max(coil, 0.0),
        coil_out=book.coil_out + max(-coil, 0.0),
        leaks=book.leaks + time * balance.leak_flow(pressure),
        relief=book.relief + time * balance.relief_flow(pressure, blowing) + discharged,
        drained=book.drained,
        let_out=book.let_out,
    )
    came = book.fill + book.by_hand + book.coil_in
    before = state.ledger.fill + state.ledger.by_hand + state.ledger.coil_in
    mass = state.mass + time * balance.inflow(pressure, blowing) - discharged
    return {"mass": mass, "ledger": book, "unmixed": state.unmixed + came - before}


def _mixed(state: State) -> float:
    """Return the temperature of the loop once the water let in last has mixed with it. [K]"""
    if state.unmixed <= 0.0:
        return state.water
    plant = state.plant
    heat = specific_heat(plant.pipes.fluid, state.water)
    body = (state.mass - state.vessel_water) + plant.building.metal_capacity / heat
    share = min(state.unmixed / body, 1.0)
    return state.water + share * (plant.fill.temperature - state.water)


def _refuse_boiling(state: State, balance: Balance, pressure: float) -> None:
    hottest = max(flow_and_return(state)[0], _FREEZING)
    if pressure + balance.top < vapour_pressure(hottest) + _NEAR_BOILING:
        raise _boils()


def _boils() -> Refusal:
    return Refusal(
        "The water at the highest point boils, and steam is more than this boiler room can "
        "follow. Keep the pressure up, or the water cooler."
    )


def locked_by_hand(state: State, locked: bool) -> State:
    """Return the state with the boiler locked out, or made ready again."""
    return replace(state, locked=BY_HAND if locked else "", firing=0.0)

"""What a technician can do in a simulated boiler room.

Each action takes a state and gives another one, with what was to be seen, how long it took, and
whether it was safe. What is seen follows from the parts and the gas law. A refused action leaves
the room as it was; an unsafe one is carried out, and says why it should not have been.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import sqrt
from typing import Any

from calc import units as u
from calc.drainage import free_air
from calc.fluids import density
from calc.model import Message, say
from calc.plant.balance import Balance
from calc.plant.parts import Plant
from calc.plant.running import locked_by_hand, run, settled, step
from calc.plant.state import (
    State,
    flow_and_return,
    gauge_pressure_at,
    gauge_reading,
    pressure_at,
    vessel_gas_pressure,
    vessel_gas_volume,
)

SAFE, UNSAFE, REFUSED = "safe", "unsafe", "refused"

TOUCHABLE = 322.15
"""Warmest water at which a vessel is opened. [K] Columbia, Illinois, 13.16.160."""

CUP = 0.25
"""Water let out by the cup. [kg]"""

_PIN_AREA, _PIN_DISCHARGE, _PIN_TIME = 1e-6, 0.6, 1.0
_CHOKED = 0.6847
_GAS_CONSTANT = 287.05
_PIN_WATER = 0.02
_HOSE_FLOW = 0.1
_PUMP_FLOW = 5e-4
_PACE = 60.0
_SLOW = 0.02


@dataclass(frozen=True, slots=True)
class Seen:
    """One thing seen: a number in SI with its Kind, or a word."""

    name: str
    value: float | str
    kind: u.Kind | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What an action led to.

    Parameters
    ----------
    state
        The room afterwards.
    seen
        What was to be seen.
    seconds
        Time it took. [s]
    verdict
        "safe", "unsafe" or "refused".
    reason
        Why, for the last two; for a safe one, what to bear in mind, or nothing.
    """

    state: State
    seen: tuple[Seen, ...]
    seconds: float
    verdict: str = SAFE
    reason: str | Message = ""

    def value(self, name: str) -> float | str:
        """Return one thing seen by its name."""
        return next(one.value for one in self.seen if one.name == name)


def read_gauge(state: State) -> Outcome:
    """Read the gauge of the room."""
    state = run(state, 15.0)
    return Outcome(state, (_gauge(state),), 15.0)


def look_round(state: State) -> Outcome:
    """Look at the handles and the lamps: what is open, shut, running."""
    plant = state.plant

    def position(is_open: bool) -> str:
        return "open" if is_open else "shut"

    seen = (
        Seen("valve to the vessel", position(plant.vessel.open)),
        Seen("isolator of the make-up", position(plant.fill.isolator_open)),
        Seen("cold supply of the cylinder", position(plant.coil.supply_open)),
        Seen("pump", "running" if plant.pump.on else "stopped"),
        Seen("boiler", state.locked or ("firing" if state.firing > 0.0 else "not firing")),
        _gauge(state),
    )
    return Outcome(run(state, 120.0), seen, 120.0)


def second_gauge(state: State) -> Outcome:
    """Put a sound gauge beside the room's own, and look at the old one in open air."""
    state = run(state, 300.0)
    gauge = state.plant.gauge
    in_air = gauge.zero if gauge.held_gauge is None else gauge.held_gauge
    seen = (
        _gauge(state),
        Seen("second gauge", gauge_pressure_at(state, gauge.place), u.GAUGE_PRESSURE),
        Seen("gauge in open air", in_air, u.GAUGE_PRESSURE),
    )
    return Outcome(state, seen, 300.0)


def read_temperatures(state: State) -> Outcome:
    """Read flow and return, the shell of the vessel, and the setting of the control."""
    state = run(state, 60.0)
    flow, back = flow_and_return(state)
    seen = (
        Seen("flow", flow, u.TEMPERATURE),
        Seen("return", back, u.TEMPERATURE),
        Seen("vessel shell", state.shell, u.TEMPERATURE),
        Seen("control setting", state.plant.boiler.setting, u.TEMPERATURE),
        Seen("boiler", state.locked or ("firing" if state.firing > 0.0 else "not firing")),
    )
    return Outcome(state, seen, 60.0)


def heat_up(state: State, to: float | None = None, longest: float = 14400.0) -> Outcome:
    """Call for heat until the flow no longer climbs, the boiler stops, or time is up.

    Parameters
    ----------
    state
        The room.
    to
        Flow temperature to call for, the control's setting if left out. [K]
    longest
        How long to wait at most. [s]
    """
    called = state.plant.boiler.setting if to is None else to
    if not state.plant.building.room <= called <= state.plant.boiler.limiter:
        return _refused(
            state,
            say(
                "The control can be set from {room} to {limiter}. Choose between them.",
                room=(state.plant.building.room, u.TEMPERATURE),
                limiter=(state.plant.boiler.limiter, u.TEMPERATURE),
            ),
        )
    if state.locked:
        return _refused(state, f"The boiler cannot fire: {state.locked}. Make it ready first.")
    if not state.plant.pump.on:
        return _refused(state, "The boiler does not fire without flow. Start the pump first.")
    state = replace(state, called=called)
    start, relieved = state.time, state.ledger.relief
    highest = gauge_reading(state)
    while state.time - start < longest:
        before = flow_and_return(state)[0]
        state = step(state, _PACE)
        highest = max(highest, gauge_reading(state))
        climbed = flow_and_return(state)[0] - before
        if state.locked or (abs(climbed) < _SLOW and state.time - start > 10.0 * _PACE):
            break
    flow, back = flow_and_return(state)
    seen = (
        _gauge(state),
        Seen("highest on the gauge", highest, u.GAUGE_PRESSURE),
        Seen("flow", flow, u.TEMPERATURE),
        Seen("return", back, u.TEMPERATURE),
        Seen("from the relief pipe", state.ledger.relief - relieved, u.MASS),
        Seen("boiler", state.locked or "firing"),
    )
    took = state.time - start
    if not state.plant.vessel.open:
        why = (
            "The valve to the vessel was shut, so nothing took the growth of the water. "
            "Look at that valve before you heat."
        )
        return Outcome(state, seen, took, UNSAFE, why)
    return Outcome(state, seen, took)


def wait(state: State, seconds: float) -> Outcome:
    """Let time go by, the boiler doing what it is told."""
    start = gauge_reading(state)
    state = run(state, seconds)
    seen = (Seen("gauge before", start, u.GAUGE_PRESSURE), _gauge(state))
    return Outcome(state, seen, seconds)


def let_cool(state: State, to: float = TOUCHABLE, longest: float = 172800.0) -> Outcome:
    """Lock the boiler out and wait until flow and vessel are down to a temperature. [K]"""
    if not to > state.plant.building.room:
        return _refused(
            state,
            say(
                "Nothing cools below the room, which is at {room}. Choose a higher goal.",
                room=(state.plant.building.room, u.TEMPERATURE),
            ),
        )
    state = replace(locked_by_hand(state, True), called=None)
    start = state.time
    while max(state.water, state.shell) > to and state.time - start < longest:
        state = step(state, _PACE)
    flow, _ = flow_and_return(state)
    seen = (_gauge(state), Seen("flow", flow, u.TEMPERATURE))
    return Outcome(state, seen, state.time - start)


def lock_out(state: State) -> Outcome:
    """Lock the boiler out."""
    return Outcome(locked_by_hand(run(state, 60.0), True), (), 60.0)


def make_ready(state: State) -> Outcome:
    """Take the lock off the boiler, or press its reset."""
    before = run(state, 60.0)
    was = before.locked
    state = locked_by_hand(before, False)
    seen = (Seen("boiler was", was or "ready"),)
    if not state.plant.vessel.open:
        why = "The valve to the vessel is shut. The boiler stays off until it is fully open."
        return Outcome(state, seen, 60.0, UNSAFE, why)
    return Outcome(state, seen, 60.0)


def vessel_valve(state: State, is_open: bool) -> Outcome:
    """Open or shut the valve between vessel and loop, slowly."""
    vessel = state.plant.vessel
    found = Seen("valve was", "open" if vessel.open else "shut")
    hot, ready = state.water > TOUCHABLE, not state.locked
    moved = _with(state, vessel=replace(vessel, open=is_open))
    moved = run(settled(moved), 60.0)
    seen = (found, _gauge(moved))
    if vessel.open == is_open:
        return Outcome(moved, seen, 60.0)
    if ready:
        why = "The boiler was not locked out while the valve to the vessel was moved. Lock it out."
        return Outcome(moved, seen, 60.0, UNSAFE, why)
    if is_open and hot:
        why = say(
            "The water was above {limit}. Let it cool before you open that valve.",
            limit=(TOUCHABLE, u.TEMPERATURE),
        )
        return Outcome(moved, seen, 60.0, UNSAFE, why)
    return Outcome(moved, seen, 60.0)


def pump(state: State, on: bool) -> Outcome:
    """Start or stop the pump, and watch the gauge as it does."""
    before = gauge_reading(state)
    state = settled(_with(state, pump=replace(state.plant.pump, on=on)))
    after = gauge_reading(state)
    seen = (
        Seen("gauge before", before, u.GAUGE_PRESSURE),
        Seen("gauge", after, u.GAUGE_PRESSURE),
    )
    return Outcome(run(state, 30.0), seen, 30.0)


def press_pin(state: State) -> Outcome:
    """Press the pin of the gas valve for a moment.

    Notes
    -----
    The gas leaves at the speed of sound in the opening. Each touch costs a little of the charge.
    """
    hot = max(state.shell, state.water if state.plant.vessel.open else state.shell) > TOUCHABLE
    gas_abs = vessel_gas_pressure(state)
    seen, state = _at_pin(state, gas_abs)
    state = run(settled(state), 60.0)
    if hot:
        why = say(
            "Vessel or water was above {limit}. Touch the gas valve with the vessel cool.",
            limit=(TOUCHABLE, u.TEMPERATURE),
        )
        return Outcome(state, (seen,), 60.0, UNSAFE, why)
    return Outcome(state, (seen,), 60.0)


def _at_pin(state: State, gas_abs: float) -> tuple[Seen, State]:
    vessel = state.plant.vessel
    if gas_abs <= state.plant.ambient_abs:
        return Seen("at the gas valve", "nothing"), state
    if _wet(state):
        lost = min(_PIN_WATER, state.vessel_water)
        book = replace(state.ledger, let_out=state.ledger.let_out + lost)
        state = replace(
            state, mass=state.mass - lost, vessel_water=state.vessel_water - lost, ledger=book
        )
        return Seen("at the gas valve", "water"), state
    rate = _CHOKED * _PIN_DISCHARGE * _PIN_AREA * gas_abs * sqrt(_GAS_CONSTANT / state.shell)
    least = state.plant.ambient_abs * vessel.volume / state.shell
    kept = max(state.gas - rate * _PIN_TIME, min(state.gas, least))
    return Seen("at the gas valve", "gas"), replace(state, gas=kept)


def _wet(state: State) -> bool:
    """Return whether water has come through the diaphragm and up to the gas valve."""
    vessel = state.plant.vessel
    share = 1.0 - vessel_gas_volume(state) / vessel.volume
    return not vessel.sound and share > 0.0 and share >= vessel.pin_share


def tap_vessel(state: State) -> Outcome:
    """Tap the vessel from top to bottom and feel it."""
    share = 1.0 - vessel_gas_volume(state) / state.plant.vessel.volume
    if share > 0.95:
        sound = "dull all over"
    elif share < 0.01:
        sound = "rings all over"
    else:
        sound = "dull in part"
    warmer = state.shell - state.plant.building.room
    seen = (
        Seen("sound", sound),
        Seen("dull share", share, u.FRACTION),
        Seen("shell above the room", warmer, u.TEMPERATURE_DIFFERENCE),
    )
    return Outcome(run(state, 60.0), seen, 60.0)


def fill_isolator(state: State, is_open: bool) -> Outcome:
    """Open or shut the isolator of the make-up."""
    fill = state.plant.fill
    found = Seen("isolator was", "open" if fill.isolator_open else "shut")
    state = run(_with(state, fill=replace(fill, isolator_open=is_open)), 30.0)
    return Outcome(state, (found, _gauge(state)), 30.0)


def shut_fill_and_wait(state: State, seconds: float = 1800.0) -> Outcome:
    """Shut the isolator of the make-up and watch the gauge."""
    fill = state.plant.fill
    return wait(_with(state, fill=replace(fill, isolator_open=False)), seconds)


def cold_supply(state: State, is_open: bool) -> Outcome:
    """Open or shut the cold supply of the cylinder."""
    coil = replace(state.plant.coil, supply_open=is_open)
    return Outcome(run(_with(state, coil=coil), 60.0), (), 60.0)


def hot_tap(state: State, is_open: bool) -> Outcome:
    """Open or shut a hot tap."""
    went = state.ledger.coil_out
    coil = replace(state.plant.coil, tap_open=is_open)
    state = run(_with(state, coil=coil), 60.0)
    if state.ledger.coil_out > went:
        why = (
            "Heating water is going into the drinking water. Report it at once, and keep people "
            "from the hot taps."
        )
        return Outcome(state, (), 60.0, UNSAFE, why)
    return Outcome(state, (), 60.0)


def drain_vessel(state: State) -> Outcome:
    """Drain the shut vessel through its own drain, so that its water side is at zero."""
    vessel = state.plant.vessel
    if vessel.open:
        return _refused(
            state,
            "The valve to the vessel is open, so the whole system would drain. Shut it first.",
        )
    if not state.locked:
        return _refused(state, "The boiler is not locked out. Lock it out before you open a part.")
    if max(state.water, state.shell) > TOUCHABLE:
        return _refused(
            state,
            say(
                "The water is above {limit}. Let it cool before you open the vessel.",
                limit=(TOUCHABLE, u.TEMPERATURE),
            ),
        )
    water = state.vessel_water
    book = replace(state.ledger, drained=state.ledger.drained + water)
    took = max(30.0, water / _HOSE_FLOW)
    state = replace(state, mass=state.mass - water, vessel_water=0.0, ledger=book)
    state = run(state, took)
    return Outcome(state, (Seen("drained", water, u.MASS),), took)


def read_charge(state: State) -> Outcome:
    """Read a gauge on the gas valve, whatever stands on the water side."""
    drained = not state.plant.vessel.open and state.vessel_water <= 0.0
    if not state.plant.vessel.sound and drained:
        # Nothing parts the gas from the open drain.
        state = replace(
            state, gas=state.plant.ambient_abs * state.plant.vessel.volume / state.shell
        )
    wet = _wet(state)
    shown = vessel_gas_pressure(state) - state.plant.ambient_abs
    seen = (
        Seen("on the gas valve", shown, u.GAUGE_PRESSURE),
        Seen("gas valve", "wet" if wet else "dry"),
        Seen("vessel shell", state.shell, u.TEMPERATURE),
    )
    state = run(state, 120.0)
    if drained:
        return Outcome(state, seen, 120.0)
    why = (
        "There was water on the other side, so the gas valve showed the pressure of that water "
        "and not the charge. Shut the vessel off and drain it, then read again."
    )
    return Outcome(state, seen, 120.0, SAFE, why)


def pump_up(state: State, to_gauge: float) -> Outcome:
    """Pump gas in until the gas valve shows a pressure. [Pa gauge]"""
    plant = state.plant
    vessel = plant.vessel
    if not 0.0 <= to_gauge <= vessel.rating_gauge:
        return _refused(
            state,
            say(
                "The vessel may carry {most}. Choose a pressure from nothing to that.",
                most=(vessel.rating_gauge, u.GAUGE_PRESSURE),
            ),
        )
    target = to_gauge + plant.ambient_abs
    before = vessel_gas_pressure(state)
    if target <= before:
        shown = (Seen("on the gas valve", before - plant.ambient_abs, u.GAUGE_PRESSURE),)
        return Outcome(run(state, 60.0), shown, 60.0)
    drained = not vessel.open and state.vessel_water <= 0.0
    if drained and not vessel.sound:
        return _refused(
            state, "The gas goes out by the drain: the diaphragm has failed. Change the vessel."
        )
    room = vessel_gas_volume(state)
    if vessel.open:
        # Gas pressed in moves the vessel's water into the loop until the loop's give is used up.
        balance = Balance(state)
        stays = max(state.mass - balance.in_loop(target), 0.0)
        room = vessel.volume - stays / density(plant.pipes.fluid, state.shell)
    gas = target * room / state.shell
    took = 60.0 + free_air((gas - state.gas) * state.shell / target, target, plant.ambient_abs) / (
        _PUMP_FLOW
    )
    state = run(settled(replace(state, gas=gas)), took)
    shown = (
        Seen("on the gas valve", vessel_gas_pressure(state) - plant.ambient_abs, u.GAUGE_PRESSURE),
    )
    if drained:
        return Outcome(state, shown, took)
    why = (
        "There was water on the other side, so gas was pumped against the system's pressure. "
        "What the charge now is, nobody can tell. Drain the vessel and set it anew."
    )
    return Outcome(state, shown, took, UNSAFE, why)


def let_out(state: State, water: float = CUP) -> Outcome:
    """Let some water out at a drain of the loop. [kg]"""
    loop = state.mass - state.vessel_water
    if not 0.0 < water <= 0.1 * loop:
        return _refused(
            state,
            say(
                "Between nothing and {most} can be let out here, a tenth of the loop's water. "
                "Choose an amount between them.",
                most=(0.1 * loop, u.MASS),
            ),
        )
    before = gauge_reading(state)
    book = replace(state.ledger, let_out=state.ledger.let_out + water)
    state = settled(replace(state, mass=state.mass - water, ledger=book))
    took = max(30.0, water / _HOSE_FLOW)
    seen = (Seen("gauge before", before, u.GAUGE_PRESSURE), _gauge(state))
    return Outcome(run(state, took), seen, took)


def vent_top(state: State) -> Outcome:
    """Open the vent at the highest place until water comes."""
    plant = state.plant
    at_top = pressure_at(state, plant.pipes.top)
    if at_top <= plant.ambient_abs * (1.0 + 1e-9):
        why = "The pressure at the top is no higher than the air, so the vent draws air in. Top up."
        return Outcome(run(state, 60.0), (Seen("vent", "draws"),), 60.0, UNSAFE, why)
    before = state.air
    # What is left is what the top would draw in again: there the blowing stops.
    state = settled(replace(state, air=0.0))
    seen = (
        Seen("vent", "stops blowing" if state.air > 0.0 else "water"),
        Seen("air", max(before - state.air, 0.0) * state.water / at_top, u.VOLUME),
    )
    return Outcome(run(state, 120.0), seen, 120.0)


def top_up(state: State, to_gauge: float, longest: float = 900.0) -> Outcome:
    """Let water in by hand until the gauge shows a pressure, or until time is up. [Pa gauge, s]"""
    if not 0.0 <= to_gauge <= state.plant.fill.behind_gauge:
        return _refused(
            state,
            say(
                "The make-up comes with {most}. Choose a pressure from nothing to that.",
                most=(state.plant.fill.behind_gauge, u.GAUGE_PRESSURE),
            ),
        )
    start, came, relieved = state.time, state.ledger.by_hand, state.ledger.relief
    state = _with(state, fill=replace(state.plant.fill, hand_open=True))
    while gauge_reading(state) < to_gauge and state.time - start < longest:
        state = step(state, 1.0)
    state = _with(state, fill=replace(state.plant.fill, hand_open=False))
    took = state.time - start + 30.0
    state = run(state, 30.0)
    seen = (
        _gauge(state),
        Seen("water let in", state.ledger.by_hand - came, u.MASS),
        Seen("from the relief pipe", state.ledger.relief - relieved, u.MASS),
    )
    if state.ledger.relief - relieved > 1.0:
        why = "The relief valve blew while water was let in. Stop when a reading makes no sense."
        return Outcome(state, seen, took, UNSAFE, why)
    return Outcome(state, seen, took)


def catch_relief(state: State, seconds: float = 1800.0) -> Outcome:
    """Hold a cup under the relief pipe."""
    before = state.ledger.relief
    state = run(state, seconds)
    seen = (Seen("from the relief pipe", state.ledger.relief - before, u.MASS), _gauge(state))
    return Outcome(state, seen, seconds)


ACTIONS: dict[str, Callable[..., Outcome]] = {
    "look-round": look_round,
    "read-gauge": read_gauge,
    "second-gauge": second_gauge,
    "read-temperatures": read_temperatures,
    "heat-up": heat_up,
    "wait": wait,
    "let-cool": let_cool,
    "lock-out": lock_out,
    "make-ready": make_ready,
    "vessel-valve": vessel_valve,
    "pump": pump,
    "press-pin": press_pin,
    "tap-vessel": tap_vessel,
    "fill-isolator": fill_isolator,
    "shut-fill-and-wait": shut_fill_and_wait,
    "cold-supply": cold_supply,
    "hot-tap": hot_tap,
    "drain-vessel": drain_vessel,
    "read-charge": read_charge,
    "pump-up": pump_up,
    "let-out": let_out,
    "vent-top": vent_top,
    "top-up": top_up,
    "catch-relief": catch_relief,
}


def do(state: State, name: str, **values: Any) -> Outcome:
    """Carry out an action by its name in `ACTIONS`."""
    return ACTIONS[name](state, **values)


def _gauge(state: State) -> Seen:
    return Seen("gauge", gauge_reading(state), u.GAUGE_PRESSURE)


def _refused(state: State, reason: str | Message) -> Outcome:
    return Outcome(state, (), 0.0, REFUSED, reason)


def _with(state: State, **parts: Any) -> State:
    plant: Plant = replace(state.plant, **parts)
    return replace(state, plant=plant)

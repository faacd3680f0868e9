"""Faults as data: each names a part, and what is other about it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from calc.plant.parts import Leak, Place
from calc.plant.running import filled_to, settled
from calc.plant.state import State, gauge_pressure_at, gauge_reading

SET, TIMES, ADD, HOLD = "set", "times", "add", "hold"


@dataclass(frozen=True, slots=True)
class Change:
    """One number or position changed.

    Parameters
    ----------
    part
        Name of a part of the plant, or "gas" for what the vessel's gas is.
    field
        Name of what changes in it.
    how
        "set" to the value, "times" the value, "add" the value; "hold" keeps a gauge at what it
        shows now.
    value
        Value in SI, or a position.
    """

    part: str
    field: str
    how: str
    value: float | bool = 0.0


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong with a boiler room.

    Parameters
    ----------
    id
        Name for data.
    title
        Name for a reader, as in the table of signs.
    changes
        What is other about the parts.
    leaks
        Holes it adds.
    """

    id: str
    title: str
    changes: tuple[Change, ...] = ()
    leaks: tuple[Leak, ...] = ()


FAULTS = (
    Fault("charge-lost", "Charge lost", (Change("gas", "", TIMES, 0.45),)),
    Fault(
        "diaphragm-failed",
        "Diaphragm failed, vessel full of water",
        # What gas is left goes off with the water within days.
        (
            Change("gas", "", TIMES, 0.02),
            Change("vessel", "sound", SET, False),
            Change("vessel", "gas_loss", SET, 3e-6),
        ),
    ),
    Fault(
        "vessel-too-small",
        "Vessel too small",
        (Change("vessel", "volume", TIMES, 0.5), Change("gas", "", TIMES, 0.5)),
    ),
    Fault("make-up-passing", "Make-up valve passing", (Change("fill", "passing", SET, 1e-5),)),
    Fault(
        "coil-leaking", "Cylinder coil or plate leaking", (Change("coil", "capacity", SET, 1e-5),)
    ),
    Fault("vessel-shut", "Valve to the vessel shut", (Change("vessel", "open", SET, False),)),
    Fault("charge-too-high", "Charge above the cold fill", (Change("gas", "", TIMES, 1.15),)),
    Fault("leak", "Leak", leaks=(Leak(Place(3.0, 0.5), area=3e-7),)),
    Fault("relief-dirty", "Relief valve dirty or worn", (Change("relief", "weep", SET, 1.5e-8),)),
    Fault(
        "vessel-at-outlet",
        "Vessel on the outlet side of the pump",
        (Change("vessel", "way", SET, 0.0),),
    ),
    Fault(
        "overheating", "Control lets it overheat", (Change("boiler", "control_error", SET, 20.0),)
    ),
    Fault("gauge-blocked", "Gauge blocked", (Change("gauge", "held_gauge", HOLD),)),
    Fault("gauge-wrong", "Gauge wrong", (Change("gauge", "zero", SET, 4e4),)),
    Fault("more-water", "More water than counted", (Change("pipes", "volume", TIMES, 1.8),)),
)

BY_ID = {fault.id: fault for fault in FAULTS}


def with_faults(state: State, faults: Iterable[Fault], topped_up: bool = True) -> State:
    """Return a boiler room with faults in it.

    Parameters
    ----------
    state
        A boiler room, cold.
    faults
        What is wrong, in any number.
    topped_up
        Whether somebody has filled it again to the true pressure it had at the gauge. Otherwise it
        keeps its water, and the pressure falls or rises as it must.

    Returns
    -------
    State
        The same room, at rest in its pressure, with a fresh book of its water.
    """
    faults = tuple(faults)
    before = state
    for fault in faults:
        for change in fault.changes:
            if change.how != HOLD:
                state = _changed(state, change)
        if fault.leaks:
            leaks = state.plant.leaks + fault.leaks
            state = replace(state, plant=replace(state.plant, leaks=leaks))
    if topped_up:
        still = replace(
            before, plant=replace(before.plant, pump=replace(before.plant.pump, on=False))
        )
        state = filled_to(state, gauge_pressure_at(still, before.plant.gauge.place))
    else:
        state = settled(state)
    for change in (c for fault in faults for c in fault.changes if c.how == HOLD):
        state = _changed(state, change)
    return replace(state, ledger=type(state.ledger)(state.mass))


def _changed(state: State, change: Change) -> State:
    if change.part == "gas":
        return replace(state, gas=_value(state.gas, change))
    part = getattr(state.plant, change.part)
    if change.how == HOLD:
        value = gauge_reading(state)
    else:
        value = _value(getattr(part, change.field), change)
    part = replace(part, **{change.field: value})
    return replace(state, plant=replace(state.plant, **{change.part: part}))


def _value(now: float | bool, change: Change) -> float | bool:
    if change.how == TIMES:
        return now * change.value
    if change.how == ADD:
        return now + change.value
    return change.value

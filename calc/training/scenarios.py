"""Drills in a simulated boiler room: which room, which hidden faults, what the caller says.

All follows from the drill's id and a seed. The room is like Larch Street and invented like it. The
caller tells what the room really did in the day before: it is run through, and its day is set
beside the day of the same room in order.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from math import ceil
from random import Random

from calc import units as u
from calc.atmosphere import standard_pressure
from calc.expansion import relative_expansion
from calc.fluids import WATER
from calc.hydrostatics import static_pressure
from calc.model import Message, Refusal, say
from calc.plant.balance import Balance
from calc.plant.example import larch_street
from calc.plant.faults import BY_ID, HOLD, Change, Fault, with_faults
from calc.plant.parts import Place, Plant, Schedule
from calc.plant.running import filled, run, settled, step
from calc.plant.state import (
    Ledger,
    State,
    flow_and_return,
    gain_at,
    gauge_pressure_at,
    gauge_reading,
)
from calc.training.seeds import seed_of
from calc.vessel import vessel_volume_general

DAY = 86400.0
_BEFORE = 3 * 3600.0
_COLD = 283.15
_LARCH = 1.75
_ABOVE_CHARGE = 5e3
_RELIEF = 3e5
_NEAR_RELIEF, _LET_DOWN = 2.7e5, 2.2e5
_ROOM_GAUGE = 5e3


@dataclass(frozen=True, slots=True)
class Scenario:
    """A kind of drill: how many faults may be hidden, and which.

    Parameters
    ----------
    id, title, summary, level
        As shown in a list.
    counts
        How many faults a room may have; one is drawn, each as likely as it stands here.
    pool
        Faults that may be hidden; empty for all.
    """

    id: str
    title: str
    summary: str
    level: str
    counts: tuple[int, ...]
    pool: tuple[str, ...] = ()


SCENARIOS = (
    Scenario(
        "water-at-the-relief-pipe",
        "Water at the relief pipe",
        "One fault. Somebody found water under the relief pipe, or the needle far up.",
        "first",
        (1,),
        ("charge-lost", "diaphragm-failed", "vessel-too-small", "vessel-shut", "relief-dirty"),
    ),
    Scenario(
        "pressure-moves-when-cold",
        "Pressure that moves by itself",
        "One fault. The pressure climbs or falls though nobody touches anything.",
        "first",
        (1,),
        ("make-up-passing", "coil-leaking", "leak", "relief-dirty"),
    ),
    Scenario(
        "one-fault",
        "One fault",
        "One hidden fault, any of those in the table of signs.",
        "usual",
        (1,),
    ),
    Scenario(
        "two-faults",
        "Two faults",
        "Two hidden faults at the same time. Finding the first does not end the work.",
        "hard",
        (2,),
    ),
    Scenario(
        "open-call",
        "An ordinary call",
        "Nothing wrong, one fault or two: nobody tells you. A false alarm is possible.",
        "hard",
        (0, 1, 1, 1, 2),
    ),
)

CHOICES: tuple[tuple[str, str], ...] = tuple(
    (fault.id, fault.title if fault.id != "vessel-too-small" else "Vessel too small for the water")
    for fault in BY_ID.values()
    if fault.id != "more-water"
)
"""What a trainee can name: id and title. More water than counted is a vessel too small for it."""

NEVER_TOGETHER = frozenset(
    frozenset(pair)
    for pair in (
        # One vessel has one charge and one diaphragm.
        ("charge-lost", "charge-too-high"),
        ("charge-lost", "diaphragm-failed"),
        ("charge-too-high", "diaphragm-failed"),
        # One name covers both.
        ("vessel-too-small", "more-water"),
        # A needle that never moves has no zero that could be wrong.
        ("gauge-blocked", "gauge-wrong"),
        # A failed or shut vessel hides how large it is, and one without its charge as well.
        ("diaphragm-failed", "vessel-too-small"),
        ("diaphragm-failed", "more-water"),
        ("vessel-shut", "vessel-too-small"),
        ("vessel-shut", "more-water"),
        ("vessel-shut", "vessel-at-outlet"),
        ("charge-lost", "vessel-too-small"),
        ("charge-lost", "more-water"),
        ("charge-too-high", "vessel-too-small"),
        ("charge-too-high", "more-water"),
        # Both send water in until the needle stands still: which of two, no reading tells.
        ("make-up-passing", "coil-leaking"),
        # One takes in what the other lets out.
        ("leak", "relief-dirty"),
        ("leak", "coil-leaking"),
        ("leak", "make-up-passing"),
        ("relief-dirty", "coil-leaking"),
        ("relief-dirty", "make-up-passing"),
    )
)
"""Pairs that are not drawn: they cannot stand together, or no reading tells both."""


def scenario(id: str) -> Scenario:
    """Return a kind of drill by its id."""
    for one in SCENARIOS:
        if one.id == id:
            return one
    raise KeyError(id)


def row_of(fault: str) -> str:
    """Return the id under which a trainee names a fault."""
    return "vessel-too-small" if fault == "more-water" else fault


# How small and how large a fault can be. Every change's value at either end.
_SIZES: dict[str, tuple[float, float]] = {
    "charge-lost": (0.56, 0.47),
    "vessel-too-small": (0.6, 0.45),
    "make-up-passing": (3e-6, 6e-6),
    "coil-leaking": (3e-6, 6e-6),
    "charge-too-high": (1.13, 1.2),
    "leak": (1e-7, 2e-7),
    "relief-dirty": (5e-9, 1e-8),
    "overheating": (12.0, 20.0),
    "gauge-wrong": (3e4, 5e4),
    "more-water": (1.6, 2.0),
}
_OTHER_SIDE = "gauge-wrong"


def sized(id: str, size: float, side: float = 1.0) -> Fault:
    """Return a fault in a size.

    Parameters
    ----------
    id
        Id of the fault.
    size
        From 0, the smallest that is drawn, to 1, the largest. [-]
    side
        -1 for a gauge that shows too little. [-]
    """
    fault = BY_ID[id]
    if id not in _SIZES:
        return fault
    small, large = _SIZES[id]
    value = (small + (large - small) * size) * (side if id == _OTHER_SIDE else 1.0)
    if fault.leaks:
        return replace(fault, leaks=tuple(replace(leak, area=value) for leak in fault.leaks))
    return replace(fault, changes=tuple(replace(c, value=value) for c in fault.changes))


def families(row: str) -> tuple[tuple[Fault, ...], ...]:
    """Return the faults that a name covers, each group from its smallest to its largest.

    A reading between those of a group's ends can come from that fault in some size.
    """
    if row == _OTHER_SIDE:
        return tuple(tuple(sized(row, size, side) for size in (0.0, 1.0)) for side in (1.0, -1.0))
    covered = [id for id in BY_ID if row_of(id) == row]
    return tuple(tuple(sized(id, size) for size in _sizes(id)) for id in covered)


# A cushion that is used up earlier or later makes what is between two sizes unlike either.
_BETWEEN = {"charge-lost": (0.5,), "vessel-too-small": (0.25, 0.5, 0.75), "more-water": (0.5,)}


def _sizes(id: str) -> tuple[float, ...]:
    return (0.0, *_BETWEEN.get(id, ()), 1.0) if id in _SIZES else (1.0,)


@dataclass(frozen=True, slots=True)
class Sheet:
    """What the papers of the room say. Lengths in m, volumes in m3, pressures in Pa gauge, K."""

    volume: float
    height: float
    altitude: float
    vessel_volume: float
    charge_gauge: float
    cold_gauge: float
    relief_gauge: float
    fill_gauge: float
    setting: float
    season: str
    heating: bool


@dataclass(frozen=True, slots=True)
class Case:
    """One drill drawn: the room at the trainee's arrival, and all that stays hidden.

    Parameters
    ----------
    scenario, seed
        Where it comes from.
    sheet
        What the papers say.
    faults
        What is wrong.
    state
        The room at arrival.
    earlier
        The same room some hours before, from which rooms with other faults are carried on.
    healthy
        The room in order, cold.
    complaint
        What the caller says.
    """

    scenario: Scenario
    seed: int
    sheet: Sheet
    faults: tuple[Fault, ...]
    state: State
    earlier: State
    healthy: State
    complaint: tuple[str | Message, ...]

    @property
    def rows(self) -> tuple[str, ...]:
        """The names under which the faults are told, each once."""
        return tuple(dict.fromkeys(row_of(fault.id) for fault in self.faults))


class Draw:
    """Draws from a seed; only `random()` is used of the source, which stays the same for ever."""

    def __init__(self, *parts: str | int) -> None:
        self._source = Random(seed_of(*parts))

    def share(self) -> float:
        """Return a number from 0 to below 1."""
        return self._source.random()

    def pick(self, choices: Sequence):
        """Return one of the choices."""
        return choices[int(self.share() * len(choices))]

    def grid(self, low: float, high: float, steps: int) -> float:
        """Return one of `steps` + 1 values at even distances from low to high."""
        return low + (high - low) * int(self.share() * (steps + 1)) / steps


_SEASONS = (
    # Name, setting by day less that of the sheet [K], rooms [K], whether heat is called for.
    ("winter", 0.0, 287.15, True),
    ("autumn", 0.0, 289.15, True),
    ("spring", 0.0, 290.15, True),
    ("summer", 0.0, 293.15, False),
)
_SHOWS_WHEN_COLD = {"make-up-passing", "coil-leaking", "leak", "relief-dirty"}


def drawn(id: str, seed: int) -> Case:
    """Return the drill of an id and a seed: the same on every device."""
    kind = scenario(id)
    for turn in range(20):
        draw = Draw("drill", id, seed, turn)
        faults = _faults(kind, draw)
        try:
            return _case(kind, seed, faults, draw)
        except Refusal:
            continue  # A room that cannot be; the next one is as good.
    raise Refusal("No room can be made for this drill. Choose another number.")


def with_these(seed: int, faults: Iterable[Fault]) -> Case:
    """Return a case with given faults in a room drawn from a seed."""
    return _case(scenario("one-fault"), seed, tuple(faults), Draw("room", seed))


def _faults(kind: Scenario, draw: Draw) -> tuple[Fault, ...]:
    count = draw.pick(kind.counts)
    # Rows are drawn and not faults, so that what has two forms is not twice as likely.
    rows = list(kind.pool or dict.fromkeys(row_of(id) for id in BY_ID))
    chosen: list[str] = []
    while len(chosen) < count:
        row = draw.pick(rows)
        id = draw.pick([one for one in BY_ID if row_of(one) == row])
        if id in chosen or any(frozenset((id, other)) in NEVER_TOGETHER for other in chosen):
            continue
        chosen.append(id)
    return tuple(
        sized(id, draw.grid(0.15, 0.85, 14), 1.0 if draw.share() < 0.5 else -1.0) for id in chosen
    )


def _case(kind: Scenario, seed: int, faults: tuple[Fault, ...], draw: Draw) -> Case:
    seasons = [s for s in _SEASONS if s[3] or {f.id for f in faults} <= _SHOWS_WHEN_COLD]
    season = draw.pick(seasons)
    plant, sheet = _plant(season, draw)
    arrival = DAY + draw.grid(7.0, 15.0, 32) * 3600.0
    healthy = filled(plant, sheet.charge_gauge + plant.ambient_abs, sheet.cold_gauge, _COLD)
    if not sheet.heating:
        healthy = _at_rest_in_the_room(healthy)
    sick = with_faults(healthy, faults)
    state, day = _lived(sick)
    _, usual = _lived(healthy)
    earlier = run(state, max(arrival - _BEFORE - state.time, 0.0))
    state = run(earlier, arrival - earlier.time)
    complaint = _complaint(day, usual, sheet)
    if gauge_pressure_at(state, plant.gauge.place) > _NEAR_RELIEF:
        # Near its setting the valve blows by chance, and nothing can be told from that.
        state = _showing(state, _LET_DOWN + state.plant.gauge.zero)
        complaint += ("I have just let some water out, so that it stops dripping.",)
    state = replace(state, ledger=Ledger(state.mass), openings=0, unmixed=0.0)
    return Case(kind, seed, sheet, faults, state, earlier, healthy, complaint)


def _at_rest_in_the_room(state: State) -> State:
    room = state.plant.building.room
    return settled(replace(state, water=room, metal=room, shell=room))


def _plant(season: tuple[str, float, float, bool], draw: Draw) -> tuple[Plant, Sheet]:
    name, _, rooms, heating = season
    volume = draw.grid(1.0, 2.4, 28)
    height = draw.grid(9.5, 13.0, 14)
    altitude = draw.grid(0.0, 1500.0, 30)
    setting = draw.pick((343.15, 348.15, 353.15))
    ambient = standard_pressure(altitude)
    # Static height and a third of a bar, up to the next tenth of a bar.
    charge = ceil((static_pressure(999.7, height) + 0.3e5) / 1e4) * 1e4
    cold = charge + _ABOVE_CHARGE
    at_vessel = cold + static_pressure(999.7, 1.2)
    size = vessel_volume_general(
        1.1 * volume * relative_expansion(WATER, _COLD, setting),
        charge + ambient,
        at_vessel + ambient,
        _RELIEF - 0.5e5 + ambient,
    )
    size = ceil(size * 100.0) / 100.0
    scale = volume / _LARCH
    base = larch_street()
    plan = Schedule(((6 * 3600.0, setting), (21 * 3600.0, setting - 25.0))) if heating else None
    plant = replace(
        base,
        ambient_abs=ambient,
        pipes=replace(base.pipes, volume=volume, top=Place(height, 0.5)),
        vessel=replace(base.vessel, volume=size),
        fill=replace(base.fill, setting_gauge=charge - 2e4),
        boiler=replace(
            base.boiler,
            output=base.boiler.output * scale,
            setting=setting,
            least_gauge=max(charge - 5e4, 5e4),
        ),
        building=replace(
            base.building,
            room=rooms,
            conductance=base.building.conductance * scale,
            metal_capacity=base.building.metal_capacity * scale,
        ),
        schedule=plan or Schedule(),
    )
    sheet = Sheet(
        volume=volume,
        height=height,
        altitude=altitude,
        vessel_volume=size,
        charge_gauge=charge,
        cold_gauge=cold,
        relief_gauge=_RELIEF,
        fill_gauge=plant.fill.setting_gauge,
        setting=setting,
        season=name,
        heating=heating,
    )
    return plant, sheet


# Rooms with other faults, as far as the trainee can know the same.


def rival(case: Case, faults: Iterable[Fault]) -> State:
    """Return the case's room at arrival with other faults in it.

    How much water somebody let in or out before the trainee came, nobody knows. So the other room
    is given as much as makes its gauge show the same at arrival; what comes after tells them apart.
    With another control it is carried on from some hours before, so that its temperatures are its
    own.
    """
    faults = tuple(faults)
    held = [c for f in faults for c in f.changes if c.how == HOLD]
    free = tuple(replace(f, changes=tuple(c for c in f.changes if c.how != HOLD)) for f in faults)
    other = with_faults(case.healthy, free)
    before, now = case.earlier, case.state
    other = replace(
        other,
        time=before.time,
        water=before.water,
        metal=before.metal,
        shell=before.shell,
        locked=before.locked,
        firing=before.firing,
        air=before.air,
        called=before.called,
    )
    both_held = bool(held) and now.plant.gauge.held_gauge is not None
    if other.plant.boiler == now.plant.boiler:
        # The same fire gives the same temperatures: there is nothing to carry on.
        other = replace(
            other,
            time=now.time,
            water=now.water,
            metal=now.metal,
            shell=now.shell,
            firing=now.firing,
        )
    else:
        other = _showing(other, _true(before) if both_held else gauge_reading(before))
        other = run(other, now.time - before.time)
    other = replace(other, locked=now.locked, air=now.air, unmixed=0.0)
    other = _showing(other, _true(now) if both_held else gauge_reading(now))
    if not (now.plant.vessel.open or other.plant.vessel.open):
        # What a shut vessel holds, nobody knows either.
        more = now.vessel_water - other.vessel_water
        other = replace(other, mass=other.mass + more, vessel_water=now.vessel_water)
    for change in held:
        other = _held(other, change, gauge_reading(now))
    return replace(other, ledger=Ledger(other.mass), openings=0)


def _true(state: State) -> float:
    return gauge_pressure_at(state, state.plant.gauge.place)


def _held(state: State, change: Change, shown: float) -> State:
    gauge = replace(state.plant.gauge, **{change.field: shown})
    return replace(state, plant=replace(state.plant, gauge=gauge))


def _showing(state: State, shown: float) -> State:
    """Return the room with as much water as makes its gauge show a reading. [Pa gauge]"""
    plant = state.plant
    gauge = plant.gauge
    true = (shown - gauge.zero) / (1.0 + gauge.scale)
    balance = Balance(state)
    pressure = true + plant.ambient_abs - gain_at(plant, gauge.place, balance.rho)
    # A vessel that is shut off was open while somebody filled it.
    opened = replace(plant, vessel=replace(plant.vessel, open=True))
    in_vessel = Balance(replace(state, plant=opened)).in_vessel(pressure)
    return settled(
        replace(
            state,
            mass=balance.in_loop(pressure) + in_vessel,
            vessel_water=in_vessel,
            pressure_abs=pressure,
            relief_open=False,
        )
    )


# What the caller says.


@dataclass(frozen=True, slots=True)
class Lived:
    """What a caretaker could see of a day: Pa gauge, s, K, kg, and what went out."""

    low: float
    high: float
    first: float
    dawn: float
    flow: float
    relieved: float
    made_up: float
    locked: str
    air: float


def _lived(state: State) -> tuple[State, Lived]:
    first = gauge_reading(state)
    low = high = first
    dawn = first
    flow = 0.0
    relieved, made_up, air = state.ledger.relief, state.ledger.fill, 0.0
    while state.time < DAY - 1.0:
        state = step(state, 60.0)
        shown = gauge_reading(state)
        low, high = min(low, shown), max(high, shown)
        flow = max(flow, flow_and_return(state)[0])
        air = max(air, state.air * state.water)
        if abs(state.time - 5.5 * 3600.0) < 30.0:
            dawn = shown
    return state, Lived(
        low,
        high,
        first,
        dawn,
        flow,
        state.ledger.relief - relieved,
        state.ledger.fill - made_up,
        state.locked,
        air,
    )


def _complaint(day: Lived, usual: Lived, sheet: Sheet) -> tuple[str | Message, ...]:
    """Return what the caller tells of the day, the gravest first, two things at most."""
    said: list[str | Message] = []
    if day.relieved > 0.5:
        said.append(
            say(
                "There was water under the relief pipe: {much} in the bucket since yesterday.",
                much=(max(round(day.relieved, 1), 0.5), u.MASS),
            )
        )
    if day.locked:
        said.append("The boiler went off by itself and did not come back.")
    if day.air > 5e2:
        said.append("The radiators at the top gurgle and do not get warm.")
    if day.flow > usual.flow + 6.0:
        said.append("The radiators are hotter than ever before.")
    if day.made_up - usual.made_up > 15.0:
        said.append(
            say(
                "The meter of the make-up has gone on by {much} since yesterday.",
                much=(day.made_up, u.MASS),
            )
        )
    still = day.high - day.low < _ROOM_GAUGE < usual.high - usual.low
    if still:
        said.append("The needle of the gauge has not moved for days, warm or cold.")
    elif not sheet.heating and day.high - day.first > 2.0 * _ROOM_GAUGE:
        said.append(_moves("The heating is off, yet the needle climbed from {low} to {high}.", day))
    elif not sheet.heating and day.first - day.low > 2.0 * _ROOM_GAUGE:
        said.append(_moves("The heating is off, yet the needle fell from {high} to {low}.", day))
    elif day.high - usual.high > 3.0 * _ROOM_GAUGE:
        said.append(
            _moves("By day the needle went up to {high}. It never went that far before.", day)
        )
    elif usual.low - day.low > 3.0 * _ROOM_GAUGE:
        said.append(_moves("The needle had gone down to {low}. It used to stand higher.", day))
    if not said and _to_division(day.low) == _to_division(day.high):
        said.append(
            _moves(
                "It is time for the yearly look. The needle stands at {low}, as far as I can tell. "
                "Is anything wrong?",
                day,
            )
        )
    elif not said:
        said.append(
            _moves(
                "In the log somebody wrote that the needle went from {low} to {high} in one day. "
                "I would like to know whether that is all right.",
                day,
            )
        )
    return tuple(said[:2])


def _moves(sentence: str, day: Lived) -> Message:
    return say(
        sentence,
        low=(_to_division(day.low), u.GAUGE_PRESSURE),
        high=(_to_division(day.high), u.GAUGE_PRESSURE),
    )


def _to_division(gauge: float) -> float:
    return round(gauge / _ROOM_GAUGE) * _ROOM_GAUGE

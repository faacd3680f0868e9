"""A drill played: what the trainee may do, how it is read, and what was to be seen of it.

The whole list of actions is played from the trainee's arrival each time. What was played last is
kept, so that one action more costs one action. Nothing of the hidden state leaves this module but
what an instrument shows.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from calc import units as u
from calc.entries import read_quantity
from calc.model import Message, Refusal
from calc.plant import actions
from calc.plant.actions import REFUSED, Seen
from calc.plant.running import onlooker
from calc.plant.state import State, flow_and_return, gauge_reading
from calc.training.instruments import SHOWN_BY
from calc.training.scenarios import Case, drawn

MOST_ACTIONS = 200
WORKING_TIME = 12 * 3600.0
"""Longest stay in the room. [s]"""

DAY_OVER = "The working day is over. Say what you found, and come back tomorrow."

LOOK, OPERATE, OPEN, MEASURE = "look", "operate", "open", "measure"
GROUPS = {LOOK: "Look", MEASURE: "Measure", OPERATE: "Operate", OPEN: "Open"}

PARTS = {
    "gauge": "Gauge",
    "boiler": "Boiler",
    "pump": "Pump",
    "vessel": "Vessel",
    "fill": "Make-up",
    "relief": "Relief valve",
    "cylinder": "Cylinder",
    "loop": "Whole room and radiators",
}


@dataclass(frozen=True, slots=True)
class Field:
    """A number that an action asks for.

    Parameters
    ----------
    name, label
        Name for data, and what stands beside the field.
    kind
        Kind of the number.
    argument
        What the simulated room calls it.
    units
        Units offered, by system.
    usual
        What stands in the field at first, by system; empty where the trainee has to decide.
    least, most
        Bounds in SI.
    """

    name: str
    label: str
    kind: u.Kind
    argument: str
    units: Mapping[str, tuple[str, ...]]
    usual: Mapping[str, str]
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Act:
    """Something the trainee can do.

    Parameters
    ----------
    id
        Name for data.
    title
        What it is called.
    group
        "look", "measure", "operate" or "open".
    part
        Where in the room it is done.
    does
        The action of the simulated room.
    given
        What it is told without being asked.
    fields
        What it asks for.
    note
        What to know before.
    """

    id: str
    title: str
    group: str
    part: str
    does: str
    given: Mapping[str, Any] = field(default_factory=dict)
    fields: tuple[Field, ...] = ()
    note: str = ""


_MINUTES = {"si": ("min", "h"), "us": ("min", "h")}
_BARS = {"si": ("bar", "kPa"), "us": ("psi",)}


def _time(usual: str, most: float = 4 * 3600.0) -> Field:
    return Field(
        "time", "How long", u.TIME, "seconds", _MINUTES, {"si": usual, "us": usual}, 60.0, most
    )


def _pressure(label: str) -> Field:
    empty = {"si": "", "us": ""}
    return Field("pressure", label, u.GAUGE_PRESSURE, "to_gauge", _BARS, empty, 0.0, 1e6)


ACTS = (
    Act("look-round", "Look at all handles and lamps", LOOK, "loop", "look-round"),
    Act("read-gauge", "Read the gauge", LOOK, "gauge", "read-gauge"),
    Act(
        "second-gauge",
        "Put a sound gauge beside it, and look at the old one in open air",
        MEASURE,
        "gauge",
        "second-gauge",
    ),
    Act(
        "read-temperatures",
        "Measure flow, return and the vessel's shell",
        MEASURE,
        "boiler",
        "read-temperatures",
    ),
    Act(
        "heat-up",
        "Call for heat and stay until it is hot",
        OPERATE,
        "boiler",
        "heat-up",
        fields=(
            Field(
                "temperature",
                "Flow to call for",
                u.TEMPERATURE,
                "to",
                {"si": ("degC",), "us": ("degF",)},
                {"si": "", "us": ""},
                273.15,
                423.15,
            ),
        ),
        note="Leave the field empty to go to the setting of the control.",
    ),
    Act(
        "let-cool",
        "Lock the boiler out and let all cool until it can be touched",
        OPERATE,
        "boiler",
        "let-cool",
    ),
    Act("lock-out", "Lock the boiler out", OPERATE, "boiler", "lock-out"),
    Act("make-ready", "Take the lock off, or press the reset", OPERATE, "boiler", "make-ready"),
    Act("stop-pump", "Stop the pump and watch the gauge", OPERATE, "pump", "pump", {"on": False}),
    Act("start-pump", "Start the pump and watch the gauge", OPERATE, "pump", "pump", {"on": True}),
    Act("tap-vessel", "Tap the vessel and feel it", LOOK, "vessel", "tap-vessel"),
    Act("press-pin", "Press the pin of the gas valve for a moment", OPEN, "vessel", "press-pin"),
    Act("read-charge", "Read a gauge on the gas valve", MEASURE, "vessel", "read-charge"),
    Act(
        "shut-vessel-valve",
        "Shut the valve to the vessel",
        OPERATE,
        "vessel",
        "vessel-valve",
        {"is_open": False},
    ),
    Act(
        "open-vessel-valve",
        "Open the valve to the vessel",
        OPERATE,
        "vessel",
        "vessel-valve",
        {"is_open": True},
    ),
    Act("drain-vessel", "Drain the vessel", OPEN, "vessel", "drain-vessel"),
    Act(
        "pump-up",
        "Pump gas into the vessel",
        OPERATE,
        "vessel",
        "pump-up",
        fields=(_pressure("Until the gas valve shows"),),
    ),
    Act(
        "shut-fill",
        "Shut the isolator of the make-up",
        OPERATE,
        "fill",
        "fill-isolator",
        {"is_open": False},
    ),
    Act(
        "open-fill",
        "Open the isolator of the make-up",
        OPERATE,
        "fill",
        "fill-isolator",
        {"is_open": True},
    ),
    Act(
        "shut-fill-and-wait",
        "Shut the isolator and watch the gauge",
        MEASURE,
        "fill",
        "shut-fill-and-wait",
        fields=(_time("30"),),
    ),
    Act(
        "top-up",
        "Let water in by hand",
        OPERATE,
        "fill",
        "top-up",
        fields=(_pressure("Until the gauge shows"),),
    ),
    Act(
        "catch-relief",
        "Hold a bucket under the relief pipe",
        MEASURE,
        "relief",
        "catch-relief",
        fields=(_time("30"),),
    ),
    Act(
        "shut-cold-supply",
        "Shut the cold supply of the cylinder",
        OPERATE,
        "cylinder",
        "cold-supply",
        {"is_open": False},
    ),
    Act(
        "open-cold-supply",
        "Open the cold supply of the cylinder",
        OPERATE,
        "cylinder",
        "cold-supply",
        {"is_open": True},
    ),
    Act("open-hot-tap", "Open a hot tap", OPEN, "cylinder", "hot-tap", {"is_open": True}),
    Act("shut-hot-tap", "Shut the hot tap", OPERATE, "cylinder", "hot-tap", {"is_open": False}),
    Act("wait", "Wait and watch the gauge", LOOK, "loop", "wait", fields=(_time("30"),)),
    Act(
        "let-out",
        "Let some water out at a drain",
        OPEN,
        "loop",
        "let-out",
        fields=(
            Field(
                "water",
                "How much",
                u.MASS,
                "water",
                {"si": ("kg",), "us": ("lb",)},
                {"si": "0.25", "us": "0.5"},
                0.01,
                1e4,
            ),
        ),
        note="A cup holds 0.25 kg (half a pound).",
    ),
    Act("vent-top", "Open the vent at the top", OPEN, "loop", "vent-top"),
)
BY_ID = {act.id: act for act in ACTS}


@dataclass(frozen=True, slots=True)
class Doing:
    """One action with its numbers read. [SI]"""

    act: Act
    values: tuple[tuple[str, Any], ...] = ()


@dataclass(frozen=True, slots=True)
class Step:
    """One action carried out, and all that was to be seen of it.

    Parameters
    ----------
    doing
        What was done.
    began, seconds
        When, and how long it took. [s]
    verdict, reason
        "safe", "unsafe" or "refused", and why.
    seen
        What it showed.
    readings
        The same and the instruments on the wall afterwards, by name; numbers in SI as they are.
    needle, warmth
        (second of the action, pressure [Pa gauge] or flow [K]) while it lasted.
    state
        The room afterwards. Hidden.
    """

    doing: Doing
    began: float
    seconds: float
    verdict: str
    reason: str | Message
    seen: tuple[Seen, ...]
    readings: Mapping[str, float | str]
    needle: tuple[tuple[float, float], ...]
    warmth: tuple[tuple[float, float], ...]
    state: State


class Unreadable(ValueError):
    """An action that cannot be read; `field` is where, the message how to mend it."""

    def __init__(self, message: str, field: str = "") -> None:
        super().__init__(message)
        self.field = field


def read(raw: Any, system: str) -> Doing:
    """Return an action as typed with its numbers read.

    Parameters
    ----------
    raw
        ``{"do": id, "values": {name: text, or {"value", "unit"}}}``.
    system
        "si" or "us", for numbers without a unit.
    """
    if not isinstance(raw, Mapping) or not isinstance(raw.get("do"), str):
        raise Unreadable("This is no action. Choose one from the room.")
    act = BY_ID.get(raw["do"])
    if act is None:
        raise Unreadable(f"Nobody can do {raw['do'][:60]!r} here. Choose an action from the room.")
    typed = raw.get("values") or {}
    if not isinstance(typed, Mapping):
        raise Unreadable("The numbers of this action cannot be read. Enter them again.")
    found = dict(act.given)
    for asked in act.fields:
        value = _number(asked, typed.get(asked.name, ""), system)
        if value is not None:
            found[asked.argument] = value
    return Doing(act, tuple(sorted(found.items())))


def _number(asked: Field, raw: Any, system: str) -> float | None:
    if not isinstance(raw, str | Mapping):
        raise Unreadable(f"{asked.label}: enter a number.", asked.name)
    if isinstance(raw, str):
        raw = {"value": raw, "unit": asked.units[system][0]}
    elif not raw.get("unit"):
        raw = {**raw, "unit": asked.units[system][0]}
    try:
        found = read_quantity(asked.kind, raw, system)
    except u.EntryError as refused:
        raise Unreadable(str(refused), asked.name) from None
    if found is None:
        if asked.argument == "to":
            return None
        raise Unreadable(f"{asked.label}: nothing is entered. Enter a number.", asked.name)
    if not asked.least <= found.value <= asked.most:
        low = u.quantity_text(asked.least, asked.kind, system)
        high = u.quantity_text(asked.most, asked.kind, system)
        raise Unreadable(f"{asked.label}: choose from {low} to {high}.", asked.name)
    return found.value


def carry_out(state: State, doing: Doing, arrival: float) -> Step:
    """Do one action in a room; what physics refuses leaves the room as it was."""
    if state.time - arrival >= WORKING_TIME:
        return _refused(state, doing, DAY_OVER)
    before = gauge_reading(state)
    warm = flow_and_return(state)[0]
    try:
        with onlooker() as moments:
            outcome = actions.do(state, doing.act.does, **dict(doing.values))
    except Refusal as refusal:
        return _refused(state, doing, refusal.message)
    if outcome.verdict == REFUSED:
        return _refused(state, doing, outcome.reason)
    after = outcome.state
    moments = [m for m in moments if m.time <= after.time + 1e-6]
    needle = [(0.0, before)] + [(m.time - state.time, m.gauge) for m in moments]
    warmth = [(0.0, warm)] + [(m.time - state.time, m.flow) for m in moments]
    readings: dict[str, Any] = {one.name: one.value for one in outcome.seen}
    readings["whether it could be done"] = "yes"
    if "second gauge" in readings:
        readings["gauges apart"] = readings["gauge"] - readings["second gauge"]
    if after.openings == state.openings:
        readings["change of the gauge"] = gauge_reading(after) - before
    readings["gauge afterwards"] = gauge_reading(after)
    readings["flow afterwards"] = flow_and_return(after)[0]
    return Step(
        doing,
        state.time,
        after.time - state.time,
        outcome.verdict,
        outcome.reason,
        outcome.seen,
        readings,
        tuple(needle),
        tuple(warmth),
        after,
    )


def _refused(state: State, doing: Doing, reason: str | Message) -> Step:
    still = ((0.0, gauge_reading(state)),)
    warm = ((0.0, flow_and_return(state)[0]),)
    readings = {"whether it could be done": "no"}
    return Step(doing, state.time, 0.0, REFUSED, reason, (), readings, still, warm, state)


@dataclass(frozen=True, slots=True)
class Play:
    """A drill and what was done in it."""

    case: Case
    steps: tuple[Step, ...]

    @property
    def state(self) -> State:
        """The room now. Hidden."""
        return self.steps[-1].state if self.steps else self.case.state

    @property
    def used(self) -> float:
        """Time since arrival. [s]"""
        return self.state.time - self.case.state.time


_kept: dict[str, Any] = {}


def case_of(id: str, seed: int) -> Case:
    """Return a drill, drawn once while it is played."""
    if _kept.get("name") != (id, seed):
        _kept.clear()
        _kept.update(name=(id, seed), case=drawn(id, seed), steps=())
    return _kept["case"]


def play(id: str, seed: int, doings: Sequence[Doing]) -> Play:
    """Return a drill with a list of actions carried out in it."""
    case = case_of(id, seed)
    steps = list(_kept["steps"])
    same = 0
    while same < min(len(steps), len(doings)) and steps[same].doing == doings[same]:
        same += 1
    del steps[same:]
    state = steps[-1].state if steps else case.state
    for doing in doings[same:]:
        step = carry_out(state, doing, case.state.time)
        steps.append(step)
        state = step.state
    played = Play(case, tuple(steps))
    _kept["steps"] = played.steps
    return played


def known(steps: Sequence[Step]) -> dict[str, str]:
    """Return what is open, shut or running, as far as the trainee has seen or done it."""
    found = {
        "vessel valve": "",
        "isolator": "",
        "cold supply": "",
        "hot tap": "shut",
        "pump": "",
        "boiler": "",
    }
    for step in steps:
        if step.verdict == REFUSED:
            continue
        seen = {one.name: str(one.value) for one in step.seen}
        found["vessel valve"] = seen.get("valve to the vessel", found["vessel valve"])
        found["isolator"] = seen.get("isolator of the make-up", found["isolator"])
        found["cold supply"] = seen.get("cold supply of the cylinder", found["cold supply"])
        found["pump"] = seen.get("pump", found["pump"])
        found["boiler"] = seen.get("boiler", found["boiler"])
        for name, value in _DONE.get(step.doing.act.id, {}).items():
            found[name] = value
    return found


_DONE = {
    "shut-vessel-valve": {"vessel valve": "shut"},
    "open-vessel-valve": {"vessel valve": "open"},
    "shut-fill": {"isolator": "shut"},
    "open-fill": {"isolator": "open"},
    "shut-fill-and-wait": {"isolator": "shut"},
    "shut-cold-supply": {"cold supply": "shut"},
    "open-cold-supply": {"cold supply": "open"},
    "open-hot-tap": {"hot tap": "open"},
    "shut-hot-tap": {"hot tap": "shut"},
    "stop-pump": {"pump": "stopped"},
    "start-pump": {"pump": "running"},
    "lock-out": {"boiler": "locked out by hand"},
    "let-cool": {"boiler": "locked out by hand"},
    "make-ready": {"boiler": "ready"},
}


def shown(name: str) -> bool:
    """Return whether a reading is a number on an instrument."""
    return name in SHOWN_BY

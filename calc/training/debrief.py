"""What a drill was worth: the diagnosis against the truth, and which readings decided it.

Nothing of it is scripted. The trainee's actions are carried out again in the same room with every
other fault in it, and in the room in order. The first reading that differs from the trainee's by
more than its instrument can tell (`Instrument.margin`) tells that room apart. A fault has a size
that nobody knows beforehand, so a cause counts as ruled out only where the reading lies outside of
what the smallest and the largest of it would show, by more than that margin. Once a relief valve
has blown, the level of the pressure is chance, by as much as the valve shuts below its setting; how
the needle moves afterwards still tells.

The score
---------
100 points: 50 for the diagnosis and 50 for the evidence.

Diagnosis: 50 shared among the true faults, for each that was named; 25 less for each that was
named and is not there, never below nothing. Where nothing is wrong, 50 for saying so.

Evidence: 50 times the share of the other causes that the trainee's readings have ruled out. What
even a good order of tests cannot rule out in this room does not count. So a lucky guess brings
half of the points.

10 less for each unsafe act, never below nothing. Time costs no points; it is set beside what a good
order takes.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from calc.model import Refusal
from calc.plant.actions import UNSAFE
from calc.plant.faults import Fault
from calc.plant.state import State
from calc.training import drill as drills
from calc.training.drill import BY_ID, DAY_OVER, Doing, Play, Step, carry_out
from calc.training.instruments import LEVELS, SHOWN_BY, TITLES, as_shown
from calc.training.scenarios import CHOICES, Case, families, rival, scenario

MOST = 100
FOR_DIAGNOSIS = FOR_EVIDENCE = 50
WRONGLY_NAMED, UNSAFE_ACT = 25, 10

IN_ORDER = ""
"""Name of the room with nothing wrong among the causes."""

_NO_EVIDENCE = frozenset(("boiler", "boiler was", "air", "control setting", "sound"))
_TITLES = {IN_ORDER: "Nothing wrong"} | dict(CHOICES)


@dataclass(frozen=True, slots=True)
class Told:
    """The reading that tells a cause apart from what was seen.

    Parameters
    ----------
    step
        Which action, counted from 0.
    doing
        That action.
    name
        Name of the reading.
    seen
        What the trainee saw.
    instead
        What the cause would have shown, from its smallest to its largest size.
    """

    step: int
    doing: Doing
    name: str
    seen: str
    instead: str

    @property
    def title(self) -> str:
        """What the reading is called."""
        return TITLES[self.name]


@dataclass(frozen=True, slots=True)
class Cause:
    """One other cause: what has ruled it out, or what would have.

    Parameters
    ----------
    row, title
        As a trainee names it.
    ruled_out
        The trainee's reading that did.
    would
        The reading of a good order that would have; None where nothing does.
    part
        Whether it is a part of the truth by itself: the other fault is missing.
    """

    row: str
    title: str
    ruled_out: Told | None
    would: Told | None
    part: bool = False


@dataclass(frozen=True, slots=True)
class ScorePart:
    """One line of the score; `most` is 0 for what only takes away."""

    title: str
    points: int
    most: int
    words: str


@dataclass(frozen=True, slots=True)
class Debrief:
    """All that is told at the end of a drill.

    Parameters
    ----------
    truth, named
        Rows of what is wrong and of what was said.
    found, missed, wrong
        Their comparison.
    causes
        Every other cause.
    unsafe
        Unsafe steps, by number from 0.
    used, needed
        Time used, and time of a good order until the last cause is ruled out. [s]
    order
        The actions of the good order up to there.
    parts, points
        The score.
    """

    truth: tuple[str, ...]
    named: tuple[str, ...]
    found: tuple[str, ...]
    missed: tuple[str, ...]
    wrong: tuple[str, ...]
    causes: tuple[Cause, ...]
    unsafe: tuple[int, ...]
    used: float
    needed: float
    order: tuple[Step, ...]
    parts: tuple[ScorePart, ...]
    points: int

    @property
    def standing(self) -> tuple[Cause, ...]:
        """Causes that the trainee's readings have not ruled out."""
        return tuple(cause for cause in self.causes if cause.ruled_out is None)


def title_of(row: str) -> str:
    """Return the title of a cause."""
    return _TITLES[row]


def debrief(played: Play, named: Sequence[str], system: str) -> Debrief:
    """Return the debrief of a drill.

    Parameters
    ----------
    played
        The drill as it was played.
    named
        Rows of the faults that the trainee names.
    system
        Units of the instruments, whose divisions decide what can be told apart.
    """
    case = played.case
    truth = case.rows
    order = good_order(case)
    causes = []
    last = 0
    alongside = _alongside(case, system)
    for row in _others(case):
        ruled_out = alongside.ruled_out(row, played.steps)
        would = first_difference(case, row, order, system)
        last = max(last, would.step if would else -1)
        causes.append(Cause(row, _TITLES[row], ruled_out, would, row in truth))
    needed = tuple(order[: last + 1])
    found = tuple(row for row in truth if row in named)
    missed = tuple(row for row in truth if row not in named)
    wrong = tuple(row for row in named if row not in truth)
    unsafe = tuple(n for n, step in enumerate(played.steps) if step.verdict == UNSAFE)
    parts = _score(truth, found, wrong, causes, len(unsafe))
    return Debrief(
        truth=truth,
        named=tuple(named),
        found=found,
        missed=missed,
        wrong=wrong,
        causes=tuple(causes),
        unsafe=unsafe,
        used=played.used,
        needed=sum(step.seconds for step in needed),
        order=needed,
        parts=parts,
        points=max(0, sum(part.points for part in parts)),
    )


def _score(
    truth: Sequence[str],
    found: Sequence[str],
    wrong: Sequence[str],
    causes: Sequence[Cause],
    unsafe: int,
) -> tuple[ScorePart, ...]:
    named = len(found) / len(truth) if truth else 1.0
    diagnosis = max(0, round(FOR_DIAGNOSIS * named) - WRONGLY_NAMED * len(wrong))
    within = [cause for cause in causes if cause.ruled_out or cause.would]
    ruled = sum(cause.ruled_out is not None for cause in within)
    evidence = round(FOR_EVIDENCE * ruled / len(within)) if within else FOR_EVIDENCE
    said = f"{len(found)} of {len(truth)} named" if truth else "Nothing was wrong"
    if wrong:
        said += f", {len(wrong)} named that {'is' if len(wrong) == 1 else 'are'} not there"
    return (
        ScorePart("Diagnosis", diagnosis, FOR_DIAGNOSIS, f"{said}."),
        ScorePart(
            "Evidence",
            evidence,
            FOR_EVIDENCE,
            f"Your readings ruled out {ruled} of {len(within)} other causes.",
        ),
        ScorePart(
            "Unsafe acts",
            -UNSAFE_ACT * unsafe,
            0,
            f"{unsafe} unsafe {'act' if unsafe == 1 else 'acts'}.",
        ),
    )


def _others(case: Case) -> list[str]:
    """Return every cause but the truth: nothing wrong, and each fault by itself."""
    rows = [IN_ORDER, *(id for id, _ in CHOICES)]
    return [row for row in rows if (row,) != (case.rows or (IN_ORDER,))]


def first_difference(case: Case, row: str, steps: Sequence[Step], system: str) -> Told | None:
    """Return the reading at which a cause is ruled out, None where none of them does.

    A cause with several forms is ruled out once the last of them is.
    """
    latest: Told | None = None
    for group in _groups(row):
        told = _Rooms(case, group, system).told(steps)
        if told is None:
            return None
        if latest is None or told.step > latest.step:
            latest = told
    return latest


def _groups(row: str) -> tuple[tuple[Fault, ...], ...]:
    return ((),) if row == IN_ORDER else families(row)


class _Rooms:
    """The rooms with one cause in it, from its smallest size to its largest, played alongside."""

    def __init__(self, case: Case, group: Sequence[Fault], system: str) -> None:
        self._system = system
        self._start: list[State] = []
        for faults in [(fault,) for fault in group] or [()]:
            try:
                self._start.append(rival(case, faults))
            except Refusal:
                continue  # Such a room cannot stand at the reading that the trainee met.
        self._restart()

    def _restart(self) -> None:
        self._played: list[Doing] = []
        self._states = list(self._start)
        self._told: Told | None = None

    def told(self, steps: Sequence[Step]) -> Told | None:
        """Return the first reading that differs; only what is new since the last call is played."""
        doings = [step.doing for step in steps]
        if self._played != doings[: len(self._played)]:
            self._restart()
        for number in range(len(self._played), len(steps)):
            step = steps[number]
            if self._told or step.reason == DAY_OVER:
                break
            others = [carry_out(room, step.doing, room.time) for room in self._states]
            self._told = next(_differences(number, step, others, self._system), None)
            self._states = [other.state for other in others]
            self._played.append(step.doing)
        return self._told


class _Alongside:
    """Every other cause of one drill, played alongside the trainee."""

    def __init__(self, case: Case, system: str) -> None:
        self.case, self.system = case, system
        self._rooms = {
            row: [_Rooms(case, group, system) for group in _groups(row)] for row in _others(case)
        }

    def ruled_out(self, row: str, steps: Sequence[Step]) -> Told | None:
        """Return the reading that rules a cause out, None while it stands."""
        found = [rooms.told(steps) for rooms in self._rooms[row]]
        return None if None in found else max(found, key=lambda told: told.step if told else 0)

    def follow(self, steps: Sequence[Step]) -> None:
        """Play what is new."""
        for rooms in self._rooms.values():
            for one in rooms:
                one.told(steps)


_kept: dict[str, _Alongside] = {}


def _alongside(case: Case, system: str) -> _Alongside:
    there = _kept.get("last")
    if there is None or there.case is not case or there.system != system:
        there = _kept["last"] = _Alongside(case, system)
    return there


def follow(played: Play, system: str) -> None:
    """Play the other rooms as far as the trainee is, so that the debrief has little left to do."""
    _alongside(played.case, system).follow(played.steps)


def _differences(number: int, step: Step, others: Sequence[Step], system: str) -> Iterator[Told]:
    blown = any(one.state.openings for one in (step, *others))
    for name, value in step.readings.items():
        if name in _NO_EVIDENCE:
            continue
        instead = [other.readings[name] for other in others if name in other.readings]
        if len(instead) < len(others) or not instead:
            continue
        if isinstance(value, str):
            if value not in instead:
                words = " or ".join(dict.fromkeys(str(one) for one in instead))
                yield Told(number, step.doing, name, value, words)
            continue
        low, high = min(instead), max(instead)
        instrument = SHOWN_BY[name]
        unit = instrument.unit(system)
        shown = unit.to_si(instrument.rounded(value, system))
        margin = instrument.margin(value, system)
        if blown and name in LEVELS:
            margin += step.state.plant.relief.closing
        if not low - margin <= shown <= high + margin:
            texts = [as_shown(name, one, system) for one in (low, high)]
            yield Told(
                number,
                step.doing,
                name,
                as_shown(name, value, system),
                " to ".join(dict.fromkeys(texts)),
            )


# A good order.

_LONG = (("seconds", 7200.0),)
_HOUR = (("seconds", 3600.0),)
_HALF_HOUR = (("seconds", 1800.0),)


def _doing(id: str, values: tuple[tuple[str, Any], ...] = ()) -> Doing:
    act = BY_ID[id]
    return Doing(act, tuple(sorted((*act.given.items(), *values))))


def good_order(case: Case) -> list[Step]:
    """Return a good order of tests carried out in a room, as somebody would who knows the book.

    First what costs nothing and moves nothing, then the room cold and quiet, then what lets water
    out, at last the vessel by itself. Each step follows from what was seen, never from the hidden
    state.
    """
    steps: list[Step] = []
    state = case.state

    def do(id: str, values: tuple[tuple[str, Any], ...] = ()) -> Step:
        nonlocal state
        step = carry_out(state, _doing(id, values), case.state.time)
        steps.append(step)
        state = step.state
        return step

    around = do("look-round")
    do("second-gauge")
    do("read-temperatures")
    do("tap-vessel")
    shut = around.readings["valve to the vessel"] == "shut"
    do("stop-pump")
    do("start-pump")
    if not shut:
        if str(around.readings["boiler"]).startswith(("the", "locked")):
            do("make-ready")
        do("heat-up")
        do("second-gauge")
        do("read-temperatures")
        do("catch-relief", _HALF_HOUR)
    do("let-cool")
    do("wait", _HOUR)
    do("shut-fill-and-wait", _LONG)
    do("shut-cold-supply")
    do("wait", _HOUR)
    do("catch-relief", _HALF_HOUR)
    do("second-gauge")
    do("press-pin")
    do("shut-vessel-valve")
    do("drain-vessel")
    do("read-charge")
    return steps


# For whoever only wants the score.


@dataclass(frozen=True, slots=True)
class Score:
    """The score of a drill; `words` tell what it is made of."""

    title: str
    points: int
    most: int
    words: tuple[str, ...]
    complete: bool


def scored(
    id: str,
    seed: int,
    system: str,
    actions: Sequence[Mapping[str, Any]],
    diagnosis: Sequence[str] | None,
) -> Score:
    """Play a drill from its actions as typed, and score it; without a diagnosis it is not done."""
    title = scenario(id).title
    if diagnosis is None:
        return Score(title, 0, MOST, ("No diagnosis was given.",), False)
    doings = [drills.read(one, system) for one in actions]
    result = debrief(drills.play(id, seed, doings), diagnosis, system)
    words = tuple(f"{part.title}: {part.points}. {part.words}" for part in result.parts)
    return Score(title, result.points, MOST, words, True)

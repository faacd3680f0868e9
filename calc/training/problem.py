"""Problems with a seed: a visit to a site, what is read there, and what has to be found.

A `Family` is a kind of problem tied to a calculator. Its parts form a chain: each part works from
the givens and from the parts before it, so that marking can follow a trainee's own numbers.
"""

from __future__ import annotations

import functools
import itertools
import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

from calc import atmosphere, units
from calc.calculators import calculator
from calc.entries import Reader, read_quantity
from calc.model import FAIL, Choice, Quantity, Refusal
from calc.training.seeds import seed_of

Known = Mapping[str, Any]
"""Givens in SI (texts for choices) and earlier parts in SI, by name."""

T = TypeVar("T")

LEVELS = {
    "first": "First: one answer, all given",
    "usual": "Usual: several steps",
    "hard": "Hard: read between the lines",
}
"""Levels of difficulty and their titles."""

_TRIES = 400


class Draw:
    """Chances of one problem; the same seed gives the same ones everywhere."""

    def __init__(self, seed: int, system: str) -> None:
        # Of `Random` only `random()` is kept the same over the versions of Python.
        self._next = random.Random(seed).random
        self.system = system

    @property
    def us(self) -> bool:
        return self.system == "us"

    def pick(self, choices: Sequence[T]) -> T:
        return choices[int(self._next() * len(choices))]

    def grid(self, low: float, high: float, step: float) -> float:
        """Return a value from `low` to `high` on the grid of an instrument.

        Raises ValueError for ends that are not on one grid: one of them would never be drawn.
        """
        count = round((high - low) / step)
        if abs(low + count * step - high) > 1e-6 * step:
            raise ValueError(f"From {low:g} to {high:g} is no whole number of steps of {step:g}.")
        return round(low + int(self._next() * (count + 1)) * step, _decimals(step))

    def entry(self, si: tuple[float, float, float, str], us: tuple[float, float, float, str]):
        """Return an entry text such as ``31.5 ft``; each tuple is low, high, step, unit."""
        low, high, step, unit = us if self.us else si
        return written(self.grid(low, high, step), step, unit)


def _decimals(step: float) -> int:
    text = f"{step:g}"
    return len(text.partition(".")[2])


def written(value: float, step: float, unit: str) -> str:
    """Return a value as an instrument with that step shows it.

    Examples
    --------
    >>> written(1.2, 0.05, "bar")
    '1.20 bar'
    """
    return f"{value:.{_decimals(step)}f} {unit}"


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far an answer may be off: a share of the truth or a division of the scale, the larger.

    `division` is in SI. `why` tells the trainee what the band stands for.
    """

    share: float = 0.0
    division: float = 0.0
    why: str = ""

    def band(self, truth: float) -> float:
        return max(self.share * abs(truth), self.division)


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One thing to be found.

    `work` gives its SI value from what is known, `step` says in a sentence how it is found.
    `unsafe` is the side, "low" or "high", on which an error is dangerous: there the answer is
    wrong however near it lies, but for the rounding of its written digits.
    """

    name: str
    label: str
    kind: units.Kind
    work: Callable[[Known], float]
    step: str
    tolerance: Tolerance
    unsafe: str = ""
    aside: bool = False
    """Nothing that follows needs it: it is shown only where it is asked for."""


@dataclass(frozen=True, slots=True)
class Slip:
    """What somebody who makes a named mistake gets for a part; None where it changes nothing."""

    mistake: str
    part: str
    work: Callable[[Known], float | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """A kind of problem.

    `draw` gives the entries of the calculator as texts. `extra` holds values beside them that the
    situation tells, as label and Kind by name; `draw` gives them among the entries. Entries whose
    name begins with ``_`` are words for the situation alone. `asked` says
    which parts a level asks for; the others are worked out on the way. The last part is the
    calculator's `output`. `may_fail` names checks whose failing makes no problem unfit.
    """

    id: str
    calculator: str
    title: str
    draw: Callable[[Draw, str, str], dict[str, Any]]
    situation: Callable[[Mapping[str, Any], str], list[str]]
    parts: tuple[Part, ...]
    asked: Mapping[str, tuple[str, ...]]
    slips: tuple[Slip, ...]
    output: str
    page: str
    extra: Mapping[str, tuple[str, units.Kind]] = field(default_factory=dict)
    may_fail: tuple[str, ...] = ()
    unlisted: tuple[str, ...] = ()
    """Entries that the list of givens leaves out."""
    fair: Callable[[Known], bool] = lambda known: True
    """Whether givens and truths make a site that a technician could meet."""

    @property
    def levels(self) -> tuple[str, ...]:
        return tuple(self.asked)

    def part(self, name: str) -> Part:
        return next(part for part in self.parts if part.name == name)


_TOLD = {
    "degC": "°C",
    "degF": "°F",
    "gal": "US gal",
    "m3": "m³",
    "ft3": "ft³",
    "min": "minutes",
    "h": "hours",
}


def as_told(raw: Any) -> Any:
    """Return an entry as a sentence writes it: ``12 degC`` becomes ``12 °C``."""
    if not isinstance(raw, str):
        return raw
    number, space, unit = raw.partition(" ")
    return f"{number}\xa0{_TOLD[unit]}" if space and unit in _TOLD else raw


@dataclass(frozen=True, slots=True)
class Problem:
    """One problem: the same family, level, seed and system always give the same one."""

    family: Family
    level: str
    seed: int
    system: str
    entries: Mapping[str, Any]
    known: Known
    """Givens and the truth of every part, in SI; `system` says in which units they were told."""

    @property
    def title(self) -> str:
        return self.family.title

    @property
    def parts(self) -> tuple[Part, ...]:
        """The parts that are asked for."""
        names = self.family.asked[self.level]
        return tuple(part for part in self.family.parts if part.name in names)

    @property
    def steps(self) -> tuple[Part, ...]:
        """The parts on the way to the last one asked for, which a working shows."""
        names, found = self.family.asked[self.level], []
        for part in self.family.parts:
            if part.name in names or not part.aside:
                found.append(part)
            if part.name == names[-1]:
                break
        return tuple(found)

    @property
    def truth(self) -> dict[str, float]:
        """Truth of each part that is asked for. [SI]"""
        return {part.name: self.known[part.name] for part in self.parts}

    @property
    def situation(self) -> list[str]:
        told = {name: as_told(raw) for name, raw in self.entries.items()}
        return self.family.situation(told, self.level)

    @property
    def ambient_abs(self) -> float:
        """Pressure of the air where the problem plays. [Pa abs]"""
        return ambient_of(self.known)

    @property
    def calculator_entries(self) -> dict[str, Any]:
        return own_entries(self.family, self.entries)

    @property
    def givens(self) -> list[tuple[str, str]]:
        """Label and text of each given; empty on the hard level, where the situation tells it."""
        if self.level == "hard":
            return []
        chosen, found = calculator(self.family.calculator), []
        for name, raw in self.entries.items():
            if name in self.family.unlisted or name.startswith("_") or raw == "":
                continue
            if name in self.family.extra:
                label, kind = self.family.extra[name]
                found.append((label, self._text(raw, kind)))
                continue
            entry = chosen.input(name)
            if isinstance(entry, Quantity):
                found.append((entry.label, self._text(raw, entry.kind)))
            elif isinstance(entry, Choice):
                found.append((entry.label, entry.label_of(raw)))
        return found

    def _text(self, raw: str, kind: units.Kind) -> str:
        number, _, unit = raw.partition(" ")
        return f"{number}\xa0{kind.unit(unit).text}" if unit else raw

    def slipped(self, slip: Slip, known: Known | None = None) -> dict[str, float] | None:
        """Return every part from the slip's on as it comes out with that mistake, or None."""
        start = self.known if known is None else known
        try:
            first = slip.work(start)
        except _IMPOSSIBLE:
            return None
        if first is None:
            return None
        return chain(self.family, start, {slip.part: first}, slip.part)


_IMPOSSIBLE = (Refusal, ArithmeticError, ValueError)


def chain(
    family: Family, known: Known, fixed: Mapping[str, float], since: str = ""
) -> dict[str, float] | None:
    """Return the parts (from `since` on) worked out with some of them `fixed`; None if none is."""
    values, found, on = dict(known), {}, not since
    for part in family.parts:
        on = on or part.name == since
        if not on:
            continue
        try:
            value = fixed[part.name] if part.name in fixed else part.work(values)
        except _IMPOSSIBLE:
            return None
        if not isinstance(value, int | float) or value != value:
            return None
        values[part.name] = found[part.name] = float(value)
    return found


def ambient_of(known: Known) -> float:
    """Return the pressure of the air by the altitude among the givens, or that at sea level."""
    altitude = known.get("altitude")
    return atmosphere.standard_pressure(altitude if isinstance(altitude, float) else 0.0)


def families() -> tuple[Family, ...]:
    """Return every kind of problem."""
    from calc.training.families import FAMILIES

    return FAMILIES


def family(id: str) -> Family:
    """Return the family of that id, or raise KeyError with a sentence."""
    for one in families():
        if one.id == id:
            return one
    raise KeyError(f"There is no kind of problem “{id}”. Choose one of the list.")


def level_titles(one: Family) -> dict[str, str]:
    """Return the titles of a family's levels by id."""
    return {level: LEVELS[level] for level in one.levels}


@functools.lru_cache(maxsize=256)
def problem(family_id: str, level: str, seed: int, system: str) -> Problem:
    """Return the problem of that seed; draws that do not make a fair problem are drawn again."""
    one = family(family_id)
    if level not in one.asked:
        raise KeyError(f"“{one.title}” has no level “{level}”. Choose another level.")
    if system not in units.SYSTEMS:
        raise KeyError("Choose si or us.")
    for attempt in range(_TRIES):
        found = drawn(one, level, seed, system, attempt)
        if found is not None and why_unfit(found) == "":
            return found
    raise RuntimeError(f"{family_id}, {level}, {seed}, {system}: no fair problem was drawn")


def drawn(one: Family, level: str, seed: int, system: str, attempt: int) -> Problem | None:
    """Return one draw as a problem, fair or not; None if the calculator does not take it."""
    source = Draw(seed_of("problem", one.id, level, seed, system, attempt), system)
    entries = one.draw(source, level, system)
    if entries is None:
        return None
    known = given_values(one, entries, system)
    if known is None:
        return None
    parts = chain(one, known, {})
    if parts is None:
        return None
    return Problem(one, level, seed, system, entries, {**known, **parts})


def own_entries(one: Family, entries: Mapping[str, Any]) -> dict[str, Any]:
    """Return the entries that go into the calculator."""
    return {n: e for n, e in entries.items() if n not in one.extra and not n.startswith("_")}


def given_values(one: Family, entries: Mapping[str, Any], system: str) -> dict[str, Any] | None:
    """Return the givens in SI if the calculator takes them and no check fails, else None."""
    chosen, reader = calculator(one.calculator), Reader(system)
    values = reader.read(chosen, own_entries(one, entries))
    if reader.errors:
        return None
    try:
        solution = chosen.solve(values)
    except Refusal:
        return None
    if any(c.status == FAIL and c.id not in one.may_fail for c in solution.checks):
        return None
    if solution.results.get(one.output) is None:
        return None
    known = dict(vars(values)) | {"system": system}
    for name, raw in own_entries(one, entries).items():
        # What a method does not ask for is told all the same, such as the pipes: a trap.
        if known.get(name) is None and isinstance(chosen.input(name), Choice):
            known[name] = raw
    for name, (_, kind) in one.extra.items():
        if name in entries:
            known[name] = read_quantity(kind, entries[name], system).value
    return known


def why_unfit(found: Problem) -> str:
    """Return why a draw makes no fair problem, or an empty text.

    An answer near nothing, or one that a named mistake would also give, teaches nothing.
    """
    if not found.family.fair(found.known):
        return "no such site"
    for part in found.parts:
        truth = found.known[part.name]
        if abs(truth) <= 4 * part.tolerance.band(truth):
            return f"{part.name} is near nothing"
    shown: dict[str, list[tuple[float, str]]] = {}
    for slip in found.family.slips:
        values = found.slipped(slip)
        if values is None:
            continue
        name = first_shown(found, values)
        if name:
            shown.setdefault(name, []).append((values[name], slip.mistake))
    for name, values in shown.items():
        band = found.family.part(name).tolerance.band(found.known[name])
        ordered = sorted([(found.known[name], ""), *values])
        for (low, one), (high, other) in itertools.pairwise(ordered):
            if high - low <= 2 * band and one != other:
                return f"{name}: {one or 'truth'} and {other or 'truth'} lie too near"
    return ""


def first_shown(found: Problem, values: Mapping[str, float]) -> str:
    """Return the first part asked for that a mistake changes, or an empty text."""
    for name, truth in found.truth.items():
        if name in values and abs(values[name] - truth) > 1e-6 * abs(truth):
            return name
    return ""

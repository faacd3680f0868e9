"""Marking: a number, its unit and its reference apart, by the chain of a trainee's own numbers.

A part is worth three points: two for the number, one for unit and reference. A named mistake
keeps the one for the unit. Nothing is given for an error on the dangerous side.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Any

from calc import typed, units
from calc.training.mistakes import MISTAKES, Mistake
from calc.training.problem import Part, Problem, Slip, chain, first_shown
from calc.units import EntryError, Kind, Unit

NUMBER_POINTS = 2
UNIT_POINTS = 1
MOST = NUMBER_POINTS + UNIT_POINTS

_REFERENCES = {
    units.GAUGE_PRESSURE.name: units.ABSOLUTE_PRESSURE,
    units.ABSOLUTE_PRESSURE.name: units.GAUGE_PRESSURE,
}
_HAIR = 1e-9
_SAME = 1e-6
_LAST_DIGITS = re.compile(r"[.,](\d+)\D*$")


@dataclass(frozen=True, slots=True)
class PartMark:
    """The mark of one part; `mistake` is the id of a named one, `step` where it happened."""

    name: str
    state: str
    points: int
    message: str
    mistake: str = ""
    step: str = ""
    most: int = MOST


@dataclass(frozen=True, slots=True)
class Marks:
    """The marks of a problem."""

    parts: tuple[PartMark, ...]

    @property
    def points(self) -> int:
        return sum(part.points for part in self.parts)

    @property
    def most(self) -> int:
        return sum(part.most for part in self.parts)


@dataclass(frozen=True, slots=True)
class _Answer:
    """An answer as read: the number, the unit it is in (None where none is said), its Kind."""

    number: float
    half: float
    """Half of the last written digit, in the number's own unit."""
    unit: Unit | None
    kind: Kind


def kinds_offered(asked: Kind) -> tuple[Kind, ...]:
    """Return the Kinds a trainee chooses the unit from: gauge and absolute both."""
    other = _REFERENCES.get(asked.name)
    return (asked,) if other is None else (asked, other)


def units_offered(asked: Kind) -> list[str]:
    """Return the words of the units to choose from; empty for a bare number."""
    if asked.plain():
        return []
    return [unit_words(unit) for kind in kinds_offered(asked) for unit in kind.units]


def unit_words(unit: Unit) -> str:
    return unit.text or "ratio"


def mark(problem: Problem, answers: Mapping[str, Any]) -> Marks:
    """Mark `answers`: value and unit as typed, by the name of the part."""
    asked = {part.name for part in problem.parts}
    carried = dict(problem.known)
    moved = False
    marks = []
    for part in problem.family.parts:
        if moved:
            again = chain(problem.family, carried, {}, part.name)
            if again is None:
                carried[part.name] = problem.known[part.name]
            else:
                carried[part.name] = again[part.name]
        if part.name not in asked:
            continue
        settled = {one.name for one in marks if one.state in ("right", "unit")}
        own_chain = carried if moved else None
        found, own = _marked(problem, part, answers.get(part.name), own_chain, settled)
        marks.append(found)
        if own is not None and found.state not in ("right", "unit"):
            carried[part.name] = own
            moved = True
    return Marks(tuple(marks))


def _marked(
    problem: Problem,
    part: Part,
    raw: Any,
    carried: Mapping[str, Any] | None,
    settled: Collection[str],
) -> tuple[PartMark, float | None]:
    """Return the mark of a part, and the SI value the trainee goes on with.

    `settled` are earlier parts that were found rightly: no mistake was made up to them.
    """
    text, unit_text = _typed(raw)
    if not text:
        return PartMark(part.name, "blank", 0, "No answer was given."), None
    try:
        answer = _read(text, unit_text, part.kind)
    except EntryError as refused:
        return PartMark(part.name, "unreadable", 0, str(refused)), None
    ambient = problem.ambient_abs
    truth = problem.known[part.name]
    own = _value(answer, part.kind, ambient)
    follows = None
    if carried is not None and abs(carried[part.name] - truth) > _HAIR * abs(truth):
        follows = carried[part.name]
    if answer.unit is not None:
        half = answer.half * abs(answer.unit.scale)
        if _good(part, own, truth, half):
            return PartMark(part.name, "right", MOST, _right(part, answer)), own
        if follows is not None and _good(part, own, follows, half):
            words = "Right, worked out from your own earlier answer."
            return PartMark(part.name, "follows", MOST, words), own
    slip = None
    if answer.unit is not None:
        slip = _slip(problem, part, own, carried, settled)
    for target in (truth, follows):
        if target is None:
            continue
        meant = _other_unit(part, answer, target, ambient)
        if meant is None or (slip and slip[0] < meant[0] - _SAME * abs(target)):
            continue
        words = _unit_message(answer, meant[1], meant[2])
        return PartMark(part.name, "unit", NUMBER_POINTS, words), target
    if answer.unit is None:
        words = (
            f"The number is not right in any unit of {part.kind.title}. "
            "Choose the unit too: without one, nothing more can be told."
        )
        return PartMark(part.name, "wrong", 0, words), None
    danger = _on_unsafe_side(part, own, truth)
    if slip is not None:
        return _mistaken(problem, part, slip[1], danger), own
    if danger:
        return PartMark(part.name, "unsafe", 0, _unsafe_message(part, own, truth)), own
    side = "high" if own > truth else "low"
    return PartMark(part.name, "wrong", 0, f"Too {side}. {part.step}"), own


def _typed(raw: Any) -> tuple[str, str]:
    if isinstance(raw, Mapping):
        return str(raw.get("value") or "").strip(), str(raw.get("unit") or "").strip()
    return str(raw or "").strip(), ""


def _read(text: str, unit_text: str, asked: Kind) -> _Answer:
    half = _half_digit(text)
    if asked.plain():
        return _Answer(units.parse_number(text), half, asked.units[0], asked)
    kind, unit = _unit_named(unit_text, asked) if unit_text else (asked, None)
    if unit is None:
        try:
            return _Answer(units.parse_number(text), half, None, asked)
        except EntryError as no_number:
            kind, unit = _unit_in(text, asked, no_number)
    found = units.parse_quantity(text, kind, unit)
    return _Answer(found.unit.from_si(found.value), half, found.unit, kind)


def _unit_named(text: str, asked: Kind) -> tuple[Kind, Unit]:
    """Return the unit of that name, those with a reference in their words first."""
    for kind in kinds_offered(asked):
        for unit in kind.units:
            if text == unit_words(unit):
                return kind, unit
    refused = None
    for kind in kinds_offered(asked):
        try:
            return kind, kind.unit(text)
        except EntryError as error:
            refused = refused or error
    raise refused or EntryError("Choose a unit.")


def _unit_in(text: str, asked: Kind, no_number: EntryError) -> tuple[Kind, Unit]:
    """Return the Kind that can read `text`, which holds its unit, and that unit."""
    refused = no_number
    for n, kind in enumerate(kinds_offered(asked)):
        try:
            return kind, units.parse_quantity(text, kind, kind.units[0]).unit
        except EntryError as error:
            refused = error if n == 0 else refused
    raise refused


def _half_digit(text: str) -> float:
    plain = typed.plain(text)
    if "/" in plain or "'" in plain or '"' in plain:
        return 0.0
    decimals = _LAST_DIGITS.search(plain)
    return 0.5 * 10.0 ** -(len(decimals[1]) if decimals else 0)


def _value(answer: _Answer, asked: Kind, ambient_abs: float) -> float:
    """Return the answer in SI as the part asks for it."""
    unit = answer.unit or asked.units[0]
    value = unit.to_si(answer.number)
    if answer.kind == asked:
        return value
    return value - ambient_abs if asked == units.GAUGE_PRESSURE else value + ambient_abs


def _good(part: Part, value: float, target: float, half: float) -> bool:
    """Return whether a value is near enough, and on the dangerous side only by its rounding."""
    band = part.tolerance.band(target)
    hair = _HAIR * abs(target)
    if abs(value - target) > band + hair:
        return False
    if not part.unsafe:
        return True
    beyond = target - value if part.unsafe == "low" else value - target
    return beyond <= min(half, band) + hair


def _on_unsafe_side(part: Part, value: float, truth: float) -> bool:
    return (part.unsafe == "low" and value < truth) or (part.unsafe == "high" and value > truth)


def _other_unit(
    part: Part, answer: _Answer, target: float, ambient_abs: float
) -> tuple[float, Kind, Unit] | None:
    """Return how far off the number is in the reference and unit in which it would be right.

    The same unit with the other reference is tried first.
    """
    if part.kind.plain():
        return None
    choices = [(kind, unit) for kind in kinds_offered(part.kind) for unit in kind.units]
    if answer.unit is not None:
        wrong = (answer.kind, answer.unit)
        choices = [one for one in choices if one != wrong]
        choices.sort(key=lambda one: one[1].id != answer.unit.id)
    for kind, unit in choices:
        same = _Answer(answer.number, answer.half, unit, kind)
        half = answer.half * abs(unit.scale)
        value = _value(same, part.kind, ambient_abs)
        if _good(part, value, target, half):
            return abs(value - target), kind, unit
    return None


def _right(part: Part, answer: _Answer) -> str:
    if answer.kind == part.kind:
        return "Right."
    return f"Right: the same pressure, said as {answer.kind.title}."


def _unit_message(answer: _Answer, kind: Kind, unit: Unit) -> str:
    words = unit_words(unit)
    if answer.unit is None:
        return f"The number is right in {words}. A number without its unit is no answer: choose it."
    if answer.kind != kind and answer.unit.id == unit.id:
        return (
            f"The number is right as {kind.title}, {words}. You said {unit_words(answer.unit)}: "
            "gauge counts from the air outside, absolute from nothing."
        )
    return f"The number is right in {words}. You said {unit_words(answer.unit)}."


def _slip(
    problem: Problem,
    part: Part,
    value: float,
    carried: Mapping[str, Any] | None,
    settled: Collection[str],
) -> tuple[float, Slip] | None:
    """Return how far off `value` is from what a named mistake gives, and that mistake; or None.

    Of several the nearest one counts, and of those that give the same the one made last.
    """
    order = [one.name for one in problem.family.parts]
    truth, found = problem.known[part.name], []
    for known in (problem.known, carried):
        if known is None:
            continue
        for slip in problem.family.slips:
            if order.index(slip.part) > order.index(part.name):
                continue
            values = problem.slipped(slip, known)
            if values is None or first_shown(problem, values) in settled:
                continue
            target = values[part.name]
            if abs(target - truth) <= _SAME * abs(truth):
                continue
            off = abs(value - target)
            if off <= part.tolerance.band(target):
                found.append((off, -order.index(slip.part), slip))
    if not found:
        return None
    least = min(off for off, _, _ in found)
    alike = [one for one in found if one[0] <= least + _SAME * abs(truth)]
    return least, min(alike, key=lambda one: one[1])[2]


def _mistaken(problem: Problem, part: Part, slip: Slip, danger: bool) -> PartMark:
    named: Mistake = MISTAKES[slip.mistake]
    where = problem.family.part(slip.part)
    words = f"{named.title}. {named.sentence}"
    if slip.part != part.name:
        words += f" It happened on the way, at “{where.label}”."
    if danger:
        words += f" It also errs on the dangerous side: too {part.unsafe}."
    return PartMark(part.name, "mistake", UNIT_POINTS, words, named.id, where.step)


def _unsafe_message(part: Part, value: float, truth: float) -> str:
    near = abs(value - truth) <= part.tolerance.band(truth)
    start = "Near, but on" if near else "On"
    return (
        f"{start} the dangerous side: too {part.unsafe}. Here an error may only go the other way, "
        f"so round {'up' if part.unsafe == 'low' else 'down'}. {part.step}"
    )

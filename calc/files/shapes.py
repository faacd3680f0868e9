"""The shapes of what a file may hold: texts, times, lists, mappings with their own parts.

Each shape checks one value. What is of the wrong kind raises `Wrong`, with the part and what is
wanted of it; whoever asked makes the sentence.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

MOST_PARTS = 1000
LONGEST_TEXT = 4000
MOST_NOTES = 30

ID = re.compile(r"[0-9a-f]{16}")
_TIME = re.compile(
    r"(?:19|2[0-9])\d\d-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d{1,6})?(?:Z|[+-]\d\d:\d\d)", re.ASCII
)
_DAY = re.compile(r"(?:19|2[0-9])\d\d-\d\d-\d\d", re.ASCII)
_NAME = re.compile(r"[!-~]{1,60}")
_DOUBLE = re.compile("[\U00010000-\U0010ffff]")


class Wrong(Exception):
    """A part that is not as it has to be: the part's name and what is wanted."""

    def __init__(self, want: str, part: str = "") -> None:
        super().__init__(want)
        self.want = want
        self.part = part

    def inside(self, name: str) -> Wrong:
        return Wrong(self.want, f"{name}.{self.part}" if self.part else name)


@dataclass(slots=True)
class Told:
    """What is told about a job that is taken."""

    notes: dict[str, None] = field(default_factory=dict)

    def tell(self, note: str) -> None:
        self.notes[note] = None

    def listed(self) -> list[str]:
        notes = list(self.notes)
        more = len(notes) - MOST_NOTES
        if more > 0:
            notes = [*notes[:MOST_NOTES], f"And {more} more of that kind."]
        return notes


@dataclass(frozen=True, slots=True)
class Text:
    """A text; `options` are all it may be."""

    longest: int = LONGEST_TEXT
    options: tuple[str, ...] = ()

    def check(self, value: Any, told: Told) -> None:
        if not isinstance(value, str):
            raise Wrong("has to be a text")
        if self.options and value not in self.options:
            listed = ", ".join(f"“{option}”" for option in self.options)
            raise Wrong(f"has to be one of {listed}")
        if signs(value) > self.longest:
            raise Wrong(f"is longer than {self.longest} letters")


@dataclass(frozen=True, slots=True)
class Flag:
    """True or false."""

    def check(self, value: Any, told: Told) -> None:
        if not isinstance(value, bool):
            raise Wrong("has to be true or false")


@dataclass(frozen=True, slots=True)
class Time:
    """A moment with its offset from UTC, or an empty text where nobody knows."""

    def check(self, value: Any, told: Told) -> None:
        if value != "" and moment(value) is None:
            raise Wrong("has to be a time such as 2026-05-14T08:05:12+02:00")


@dataclass(frozen=True, slots=True)
class Id:
    """Sixteen hexadecimal digits."""

    def check(self, value: Any, told: Told) -> None:
        if not isinstance(value, str) or not ID.fullmatch(value):
            raise Wrong("has to be 16 digits of 0-9 and a-f")


@dataclass(frozen=True, slots=True)
class Day:
    """A day of the calendar, or an empty text where none is set."""

    def check(self, value: Any, told: Told) -> None:
        if value != "" and not _is_day(value):
            raise Wrong("has to be a day such as 2026-05-14")


@dataclass(frozen=True, slots=True)
class Whole:
    """A whole number in a range."""

    least: int
    most: int

    def check(self, value: Any, told: Told) -> None:
        if type(value) is not int or not self.least <= value <= self.most:
            raise Wrong(f"has to be a whole number from {self.least} to {self.most}")


@dataclass(frozen=True, slots=True)
class OneOf:
    """A value of any of several shapes; the first that fits serves."""

    shapes: tuple[Any, ...]
    want: str

    def check(self, value: Any, told: Told) -> None:
        for shape in self.shapes:
            try:
                return shape.check(value, told)
            except Wrong:
                continue
        raise Wrong(self.want)


@dataclass(frozen=True, slots=True)
class Each:
    """A list of one kind of thing."""

    item: Any
    most: int = MOST_PARTS

    def check(self, value: Any, told: Told) -> None:
        if not isinstance(value, list):
            raise Wrong("has to be a list")
        if len(value) > self.most:
            raise Wrong(f"holds more than {self.most}")
        for number, item in enumerate(value, 1):
            within(str(number), self.item, item, told)


@dataclass(frozen=True, slots=True)
class Named:
    """A mapping of free names to one kind of thing."""

    item: Any
    most: int = MOST_PARTS

    def check(self, value: Any, told: Told) -> None:
        if not isinstance(value, dict):
            raise Wrong("has to be a mapping of names")
        if len(value) > self.most:
            raise Wrong(f"holds more than {self.most}")
        for name, item in value.items():
            within(name, self.item, item, told)


@dataclass(frozen=True, slots=True)
class Parts:
    """A mapping with its own parts; those in `needed` have to be there.

    Another part is told and kept; where the shape is `closed` it is refused.
    """

    parts: Mapping[str, Any]
    needed: tuple[str, ...] = ()
    closed: bool = False

    def check(self, value: Any, told: Told) -> None:
        if not isinstance(value, dict):
            raise Wrong("has to be a mapping of names")
        for name in self.needed:
            if name not in value:
                raise Wrong("is missing", name)
        for name, item in value.items():
            part = self.parts.get(name)
            if part:
                within(name, part, item, told)
            elif self.closed:
                raise Wrong("is a part that version 1 of the format does not have", name)
            else:
                told.tell(f"“{name}” is no part of such a record. It is kept and not used.")


def within(name: str, part: Any, value: Any, told: Told) -> None:
    """Check a part by its shape; what is wrong in it is named by `name` first."""
    try:
        part.check(value, told)
    except Wrong as wrong:
        raise wrong.inside(name) from None


def plainly_named(value: Any, deepest: int, name: str = "") -> None:
    """Raise `Wrong` where a name is none that the handbook writes, or parts lie too deep."""
    if not isinstance(value, dict | list):
        return
    if deepest == 0:
        raise Wrong("lies too deep inside other parts", name)
    pairs = value.items() if isinstance(value, dict) else _numbered(value)
    for key, item in pairs:
        if not (isinstance(key, str) and _NAME.fullmatch(key)) or key == "__proto__":
            raise Wrong("holds a name that the handbook never writes", name)
        plainly_named(item, deepest - 1, f"{name}.{key}" if name else key)


def _numbered(items: list[Any]) -> Iterator[tuple[str, Any]]:
    return ((str(number), item) for number, item in enumerate(items, 1))


def _is_day(value: Any) -> bool:
    if not isinstance(value, str) or not _DAY.fullmatch(value):
        return False
    try:
        date.fromisoformat(value)
    except ValueError:
        return False
    return True


def signs(text: str) -> int:
    """Return the length of a text as a browser counts it: some signs count double."""
    return len(text) if text.isascii() else len(text) + len(_DOUBLE.findall(text))


def moment(text: Any) -> datetime | None:
    """Return the moment that a time with offset names, or None if it is none."""
    if not isinstance(text, str) or not _TIME.fullmatch(text):
        return None
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        return None

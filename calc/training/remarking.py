"""The marks of one problem and the score of one drill, as a result's reader needs them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

STATES = {
    "right": "Right",
    "follows": "Right from an earlier slip",
    "unit": "Number right, unit or reference not",
    "mistake": "Named mistake",
    "unsafe": "Wrong on the dangerous side",
    "wrong": "Wrong",
    "blank": "Left blank",
    "unreadable": "Not readable",
}
"""Each way a part can be marked, in words."""


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a problem as it was marked."""

    name: str
    label: str
    state: str
    points: int
    most: int
    message: str
    mistake: str


@dataclass(frozen=True, slots=True)
class Marked:
    """A problem as it was marked."""

    title: str
    points: int
    most: int
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Played:
    """A drill as it was played; `words` tell what the score is made of."""

    title: str
    points: int
    most: int
    words: tuple[str, ...]


def marked(task: Mapping[str, Any], answers: Mapping[str, Mapping[str, str]]) -> Marked:
    """Mark the answers to a problem."""
    from calc.training.marking import mark
    from calc.training.problem import problem

    found = problem(task["family"], task["level"], task["seed"], task["system"])
    marks = mark(found, answers)
    labels = {part.name: part.label for part in found.parts}
    parts = tuple(
        Part(p.name, labels[p.name], p.state, p.points, p.most, p.message, p.mistake or "")
        for p in marks.parts
    )
    return Marked(found.title, marks.points, marks.most, parts)


def played(
    task: Mapping[str, Any], actions: Sequence[Mapping[str, Any]], diagnosis: Sequence[str] | None
) -> Played:
    """Play a drill again and score it."""

    raise NotImplementedError

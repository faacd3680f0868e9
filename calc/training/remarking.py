"""The marks of one problem and the score of one drill, as a result's reader needs them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from calc.training.debrief import scored
from calc.training.drill import Unreadable
from calc.training.marking import mark
from calc.training.problem import problem
from calc.training.scenarios import scenario

DRILL_POINTS = 10
"""What a drill is worth beside problems, whose parts are worth three points each."""

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
    found = problem(task["family"], task["level"], task["seed"], task["system"])
    labels = {part.name: part.label for part in found.parts}
    marks = mark(found, {name: answers[name] for name in labels if name in answers})
    parts = tuple(
        Part(p.name, labels[p.name], p.state, p.points, p.most, p.message, p.mistake or "")
        for p in marks.parts
    )
    return Marked(found.title, marks.points, marks.most, parts)


_played: dict[str, Played] = {}
_MOST_KEPT = 2000


def played(
    task: Mapping[str, Any], actions: Sequence[Mapping[str, Any]], diagnosis: Sequence[str] | None
) -> Played:
    """Play a drill again and score it; what cannot be played brings nothing.

    Scores are kept: to play one takes a second, and a class is looked at more than once.
    """
    key = repr((task, actions, diagnosis))
    if key not in _played:
        if len(_played) >= _MOST_KEPT:
            _played.clear()
        _played[key] = _scored(task, actions, diagnosis)
    return _played[key]


def _scored(
    task: Mapping[str, Any], actions: Sequence[Mapping[str, Any]], diagnosis: Sequence[str] | None
) -> Played:
    try:
        score = scored(task["id"], task["seed"], task["system"], actions, diagnosis)
    except Unreadable as refused:
        words = (f"This try cannot be played again: {refused}",)
        return Played(scenario(task["id"]).title, 0, DRILL_POINTS, words)
    points = score.points * DRILL_POINTS // score.most
    return Played(score.title, points, DRILL_POINTS, score.words)

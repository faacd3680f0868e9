"""A trainee's result: what was answered, as plain data that is sound.

Points are in no file. Whoever reads a result marks every answer again.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from calc import units
from calc.files.canon import FileRefusal, canonical
from calc.files.shapes import (
    Each,
    Flag,
    Named,
    OneOf,
    Parts,
    Text,
    Time,
    Told,
    Wrong,
    plainly_named,
    within,
)
from calc.training import assignment as assignments
from calc.training.assignment import KINDS, LONGEST_NAME, MOST_ITEMS, SEED, said

MOST_ATTEMPTS = 200
MOST_ACTIONS = 200
MOST_ANSWERS = 20
LONGEST_ENTRY = 200
DEEPEST = 14

_SYSTEM = Text(options=units.SYSTEMS)
_WORD = Text(LONGEST_NAME)
_ENTRY = Text(LONGEST_ENTRY)
_ANSWER = Parts({"value": _ENTRY, "unit": _ENTRY, "pm": _ENTRY}, ("value",), closed=True)
_TYPED = OneOf((_ENTRY, Flag(), _ANSWER), "has to be a short text, or value and unit")

_ATTEMPTS: Mapping[str, Parts] = {
    "problems": Parts(
        {
            "problem": Parts(
                {"family": _WORD, "level": _WORD, "seed": SEED, "system": _SYSTEM},
                ("family", "level", "seed", "system"),
                closed=True,
            ),
            "answers": Named(_ANSWER, MOST_ANSWERS),
            "at": Time(),
        },
        ("problem", "answers"),
        closed=True,
    ),
    "drill": Parts(
        {
            "drill": Parts(
                {"id": _WORD, "seed": SEED, "system": _SYSTEM},
                ("id", "seed", "system"),
                closed=True,
            ),
            "actions": Each(
                Parts({"do": _WORD, "values": Named(_TYPED, MOST_ANSWERS)}, ("do",), closed=True),
                MOST_ACTIONS,
            ),
            "diagnosis": Each(_WORD, MOST_ANSWERS),
            "at": Time(),
        },
        ("drill", "actions"),
        closed=True,
    ),
}

_KIND = Text(options=KINDS)
_WHOLE = Parts(
    {
        "assignment": Parts({}),
        "trainee": Text(LONGEST_NAME),
        "began": Time(),
        "ended": Time(),
        "items": Each(Parts({"kind": _KIND}, ("kind",)), MOST_ITEMS),
    },
    ("assignment", "trainee", "items"),
    closed=True,
)


def sound(data: Any) -> dict[str, Any]:
    """Return a result that is sound, with every part it may do without.

    Raises FileRefusal at the first thing that is not as it has to be.
    """
    try:
        plainly_named(data, DEEPEST)
        _WHOLE.check(data, Told())
        if not data["trainee"].strip():
            raise Wrong("is empty. Write the trainee's name", "trainee")
        task, _ = assignments.sound(data["assignment"], "assignment")
        if len(data["items"]) != len(task["items"]):
            raise Wrong("does not hold as many items as its assignment", "items")
        for number, (item, set_one) in enumerate(zip(data["items"], task["items"], strict=True), 1):
            within(f"items.{number}", _Done(set_one["kind"]), item, Told())
        canonical(data, numbers=True)
    except Wrong as wrong:
        raise FileRefusal(said("result", wrong), field=wrong.part) from None
    items = [{"done": False, "attempts": []} | item for item in data["items"]]
    return {"began": "", "ended": ""} | data | {"assignment": task, "items": items}


class _Done:
    """What was done of one item; attempts only where there is something to answer."""

    def __init__(self, kind: str) -> None:
        self.kind = kind

    def check(self, item: Any, told: Told) -> None:
        if item["kind"] != self.kind:
            raise Wrong(f"has to be “{self.kind}”, as in its assignment", "kind")
        parts: dict[str, Any] = {"kind": _KIND, "done": Flag()}
        attempt = _ATTEMPTS.get(self.kind)
        parts["attempts"] = Each(attempt, MOST_ATTEMPTS) if attempt else _Empty()
        Parts(parts, closed=True).check(item, told)


class _Empty:
    """A list with nothing in it."""

    def check(self, value: Any, told: Told) -> None:
        if value != []:
            raise Wrong("has to be an empty list: there is nothing to answer")

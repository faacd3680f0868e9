"""An assignment: the pages, problems and drills that a trainer set, as plain data that is sound.

The same list serves the trainer who makes one, the trainee who does it, and the file between them.
Knows no JSON; `calc.training.coursefile` reads and writes the file.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from typing import Any

from calc import bridge, units
from calc.calculators import calculator
from calc.entries import as_typed
from calc.files.canon import LARGEST_WHOLE, FileRefusal, canonical
from calc.files.shapes import (
    Day,
    Each,
    Flag,
    Id,
    Named,
    Parts,
    Text,
    Told,
    Whole,
    Wrong,
    plainly_named,
    within,
)
from calc.training import catalogue
from calc.training.places import PLACE

MOST_ITEMS = 40
MOST_COUNT = 20
MOST_PROBLEMS = 60
MOST_DRILLS = 10
MOST_INPUTS = 100
LONGEST_TITLE = 200
LONGEST_NOTE = 2000
LONGEST_NAME = 100
DEEPEST = 10

KINDS = ("page", "problems", "drill", "checklist")
COUNTS = ("first", "last")
"""Which try at a problem or drill counts: the first one, or the last one."""

_SYSTEM = Text(options=units.SYSTEMS)
_WORD = Text(LONGEST_NAME)
SEED = Whole(0, LARGEST_WHOLE)

_WHOLE = Parts(
    {
        "id": Id(),
        "title": Text(LONGEST_TITLE),
        "note": Text(LONGEST_NOTE),
        "due": Day(),
        "system": _SYSTEM,
        "seed": SEED,
        "same": Flag(),
        "pass": Whole(0, 100),
        "counts": Text(options=COUNTS),
        "items": Each(Parts({"kind": Text(options=KINDS)}, ("kind",)), MOST_ITEMS),
    },
    ("id", "title", "system", "seed", "items"),
    closed=True,
)
_LEFT_OUT = {"note": "", "due": "", "same": False, "pass": 70, "counts": "first"}
"""What a part is that an assignment does without."""

_INPUTS = Parts(
    {"calculator": _WORD, "system": _SYSTEM, "values": Named(Text(), MOST_INPUTS)},
    ("calculator", "system", "values"),
    closed=True,
)
_KIND = Text(options=KINDS)
_ITEMS: Mapping[str, Parts] = {
    "page": Parts({"kind": _KIND, "page": _WORD, "inputs": _INPUTS}, ("page",), closed=True),
    "problems": Parts(
        {"kind": _KIND, "family": _WORD, "level": _WORD, "count": Whole(1, MOST_COUNT)},
        ("family", "level", "count"),
        closed=True,
    ),
    "drill": Parts({"kind": _KIND, "drill": _WORD, "seed": SEED}, ("drill",), closed=True),
    "checklist": Parts({"kind": _KIND, "page": _WORD}, ("page",), closed=True),
}

_UNKNOWN = "that this edition of the handbook does not have"


def sound(data: Any, inside: str = "") -> tuple[dict[str, Any], list[str]]:
    """Return an assignment that is sound, with every part it may do without, and what is told.

    Raises FileRefusal at the first thing that is not as it has to be; `field` names its part.
    `inside` is what the assignment is a part of.
    """
    try:
        plainly_named(data, DEEPEST)
        _WHOLE.check(data, Told())
        if not data["title"].strip():
            raise Wrong("is empty. Give the assignment a title", "title")
        if not data["items"]:
            raise Wrong("is empty. Add a page, problems or a drill", "items")
        for number, item in enumerate(data["items"], 1):
            within(f"items.{number}", _Item(), item, Told())
        _bounded(data["items"])
        canonical(data, numbers=True)
    except Wrong as wrong:
        raise FileRefusal(said("assignment", wrong), field=_field(inside, wrong.part)) from None
    except FileRefusal as refused:
        raise FileRefusal(f"In the assignment: {refused.message}", field=inside) from None
    return _LEFT_OUT | data, [note for item in data["items"] for note in _notes(item)]


def said(what: str, wrong: Wrong) -> str:
    """Return what is wrong with a part as a sentence; items are counted for the reader."""
    item, part = "", wrong.part
    if part.startswith("items."):
        number, _, part = part.removeprefix("items.").partition(".")
        item = f"item {number} of "
    if not part:
        where = f"{item}the {what}"
        return f"{where[0].upper()}{where[1:]} {wrong.want}."
    return f"In {item}the {what}, “{part}” {wrong.want}."


def _field(inside: str, part: str) -> str:
    return ".".join(filter(None, (inside, part)))


class _Item:
    """One item, by the shape of its kind, with nothing in it that this edition lacks."""

    def check(self, item: Any, told: Told) -> None:
        _ITEMS[item["kind"]].check(item, told)
        if item["kind"] in ("page", "checklist"):
            self._page(item)
        elif item["kind"] == "problems":
            levels = catalogue.families().get(item["family"])
            if levels is None:
                raise Wrong(f"is a kind of problem {_UNKNOWN}. Choose another", "family")
            if item["level"] not in levels:
                listed = ", ".join(f"“{level}”" for level in levels)
                raise Wrong(f"has to be one of {listed}", "level")
        elif item["drill"] not in catalogue.drills():
            raise Wrong(f"is a drill {_UNKNOWN}. Choose another", "drill")

    @staticmethod
    def _page(item: Mapping[str, Any]) -> None:
        place = PLACE.get(item["page"])
        if place is None:
            raise Wrong(f"is a page {_UNKNOWN}. Choose another", "page")
        if item["kind"] == "checklist":
            if not place.procedure:
                raise Wrong("is a page without steps to tick. Choose a procedure", "page")
            return
        inputs = item.get("inputs")
        if inputs is None:
            return
        if inputs["calculator"] not in place.calculators:
            raise Wrong("is a calculator that does not stand on this page", "inputs.calculator")
        names = {entry.name for entry in calculator(inputs["calculator"]).inputs}
        for name in inputs["values"]:
            if name not in names:
                raise Wrong("is no field of this calculator", f"inputs.values.{name}")


def _bounded(items: list[dict[str, Any]]) -> None:
    """Refuse more work than a device marks while a trainer waits."""
    problems = sum(item.get("count", 0) for item in items)
    if problems > MOST_PROBLEMS:
        raise Wrong(f"hold {problems} problems; {MOST_PROBLEMS} are the most", "items")
    if sum(item["kind"] == "drill" for item in items) > MOST_DRILLS:
        raise Wrong(f"hold more than {MOST_DRILLS} drills", "items")


def _notes(item: Mapping[str, Any]) -> list[str]:
    """Tell where the numbers that are set on a page cannot be worked out."""
    inputs = item.get("inputs")
    if not inputs:
        return []
    chosen = calculator(inputs["calculator"])
    answer = bridge.run(chosen.id, as_typed(chosen, inputs["values"]), inputs["system"])
    title = PLACE[item["page"]].title
    return [
        f"The numbers set on “{title}” cannot be worked out: {error['message']}"
        for error in answer.get("errors", ())[:3]
    ]


def same_work(one: Mapping[str, Any], other: Mapping[str, Any]) -> bool:
    """Return whether two assignments set the same work, whatever is written around it."""
    return _work(one) == _work(other)


def _work(assignment: Mapping[str, Any]) -> str:
    around = ("title", "note", "due")
    return canonical({k: v for k, v in assignment.items() if k not in around}, numbers=True)


def trainee_key(name: str) -> str:
    """Return a trainee's name as it counts: case, blanks and kinds of accent make no difference.

    Examples
    --------
    >>> trainee_key("  Ana  LOPEZ ")
    'ana lopez'
    """
    return " ".join(unicodedata.normalize("NFC", name).casefold().split())


def tasks(assignment: Mapping[str, Any], trainee: str) -> list[list[dict[str, Any]]]:
    """Return for each item the problems or the drill that this trainee has to do.

    A page and a checklist have none. With `same` everybody gets the same ones.
    """
    from calc.training.seeds import seed_of

    who = () if assignment["same"] else (trainee_key(trainee),)
    own = (assignment["id"], assignment["seed"], *who)
    system = assignment["system"]
    found: list[list[dict[str, Any]]] = []
    for number, item in enumerate(assignment["items"]):
        if item["kind"] == "problems":
            found.append(
                [
                    {
                        "family": item["family"],
                        "level": item["level"],
                        "seed": seed_of(*own, number, n),
                        "system": system,
                    }
                    for n in range(item["count"])
                ]
            )
        elif item["kind"] == "drill":
            seed = item.get("seed", seed_of(*own, number, 0))
            found.append([{"id": item["drill"], "seed": seed, "system": system}])
        else:
            found.append([])
    return found


def item_words(item: Mapping[str, Any]) -> str:
    """Return what an item asks for, in a few words."""
    if item["kind"] == "page":
        return f"Read “{PLACE[item['page']].title}”"
    if item["kind"] == "checklist":
        return f"Go through the steps of “{PLACE[item['page']].title}”"
    if item["kind"] == "drill":
        return f"Drill: {catalogue.drills()[item['drill']]}"
    count = item["count"]
    title, level = catalogue.family_title(item["family"]), catalogue.level_word(item)
    return f"{title}: {count} problem{'' if count == 1 else 's'}, level {level}"

"""Before and after: what was kept as found beside what was kept as left, and the difference."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from calc import facts, units
from calc.calculators import calculator
from calc.entries import read_quantity

FACTS_THAT_MOVE = (("found_charge", "charge"), ("vessel_volume", "new_vessel"))
"""What was met on the site, and what stands in its place."""

SAME = "the same"


def changed_results(pins: Sequence[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Return, for each calculator kept as found and as left, its results side by side.

    `pins` are those of a book. Of several in one phase the latest counts.
    """
    latest: dict[tuple[str, str], Mapping[str, Any]] = {}
    for pin in pins:
        latest[pin["calculator"], pin["phase"]] = pin
    sides = []
    for name in dict.fromkeys(pin["calculator"] for pin in pins):
        found, left = latest.get((name, "found")), latest.get((name, "left"))
        if found and left:
            sides.append(
                {
                    "calculator": name,
                    "title": left["title"],
                    "found": found,
                    "left": left,
                    "rows": _rows(found, left),
                }
            )
    return sides


def _rows(found: Mapping[str, Any], left: Mapping[str, Any]) -> list[dict[str, Any]]:
    before = {result["name"]: result for result in found["results"]}
    after = {result["name"]: result for result in left["results"]}
    rows = []
    for name in dict.fromkeys((*after, *before)):
        old, new = before.get(name), after.get(name)
        known = new or old
        rows.append(
            {
                "name": name,
                "label": known["label"],
                "headline": known["headline"],
                "found": _shown(old),
                "left": _shown(new),
                "difference": _moved(found, left, name) if old and new else "",
            }
        )
    return rows


def _shown(result: Mapping[str, Any] | None) -> str:
    return (result["shown"] or result["recorded"]["text"]) if result else ""


def _moved(found: Mapping[str, Any], left: Mapping[str, Any], name: str) -> str:
    """Return how far a result moved; empty where one of the two could not be worked out again."""
    old, new = (_again(pin, name) for pin in (found, left))
    if not old or not new or old["unit"] != new["unit"]:
        return ""
    if old["kind"] == "text" or new["kind"] == "text":
        return SAME if old["text"] == new["text"] else "changed"
    output = next(o for o in calculator(left["calculator"]).outputs if o.name == name)
    unit = output.kind.unit(new["unit"])
    return difference_words(unit.to_si(old["value"]), unit.to_si(new["value"]), unit)


def _again(pin: Mapping[str, Any], name: str) -> Mapping[str, Any] | None:
    if not pin["answer"]:
        return None
    return next((r for r in pin["answer"]["results"] if r["name"] == name), None)


def difference_words(old: float, new: float, unit: units.Unit) -> str:
    """Return how far a value moved, with its sign, in the scale of `unit`.

    Examples
    --------
    >>> bar = units.GAUGE_PRESSURE.unit("bar")
    >>> difference_words(0.7e5, 1.5e5, bar)
    '+0.80 bar'
    """
    if units.text_in(unit, old) == units.text_in(unit, new):
        return SAME
    moved = (new - old) / unit.scale
    # A difference has the unit of a plus/minus: kelvin for degrees, no gauge and no absolute.
    _, _, named = units.difference_in(unit, abs(new - old)).partition(" ")
    if abs(moved) < unit.step:
        return f"less than {unit.step:g} {named}".rstrip()
    sign = "+" if moved > 0 else "\N{MINUS SIGN}"
    return f"{sign}{units.number_text(abs(moved), unit.step, unit.figures)} {named}".rstrip()


def changed_facts(book_facts: Sequence[Mapping[str, Any]]) -> list[dict[str, str]]:
    """Return what of the plant itself stands differently now: as met, and in its place."""
    known = {fact["name"]: fact for fact in book_facts}
    rows = []
    for was, now in FACTS_THAT_MOVE:
        if was not in known or now not in known:
            continue
        old, new = known[was], known[now]
        rows.append(
            {
                "label": _common_label(was, now),
                "found": old["text"],
                "left": new["text"],
                "difference": _fact_moved(facts.FACTS[now].kind, old["entry"], new["entry"]),
            }
        )
    return rows


def _common_label(was: str, now: str) -> str:
    labels = (facts.FACTS[was].label, facts.FACTS[now].label)
    return min(labels, key=len) if labels[0] in labels[1] else labels[1]


def _fact_moved(kind: units.Kind, old: Mapping[str, str], new: Mapping[str, str]) -> str:
    try:
        one, other = read_quantity(kind, old, "si"), read_quantity(kind, new, "si")
    except units.EntryError:
        return ""
    if one is None or other is None:
        return ""
    return difference_words(one.value, other.value, other.unit)

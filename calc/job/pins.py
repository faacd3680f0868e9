"""Kept results, worked out again: what was recorded beside what the same entries give now."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from calc import bridge
from calc.calculators import calculator
from calc.job.shown import time_words

_SAME_WITHIN = 1e-9
_SHOWN = re.compile(r"(-?[0-9]{1,40}(?:\.[0-9]{1,40})?(?:e[+-]?[0-9]{1,3})?)\s*(\D*)\Z", re.ASCII)
_REASON = "This edition works it out differently, or the record was changed."


def recounted(id: str, pin: Mapping[str, Any], system: str) -> dict[str, Any]:
    """Return a pin with its numbers worked out again in its own units and in those of `system`."""
    found = {
        "id": id,
        "calculator": pin["calculator"],
        "title": pin.get("title", "") or pin["calculator"],
        "phase": pin["phase"],
        "note": pin.get("note", ""),
        "at": pin.get("at", ""),
        "at_text": time_words(pin.get("at", "")),
        "system": pin["system"],
        "recorded_inputs": dict(pin["inputs"]),
        "inputs": [
            {"name": name, "label": name, "text": text, "origin": "given"}
            for name, text in pin["inputs"].items()
        ],
        "known": True,
        "left_out": [],
        "answer": None,
        "errors": [],
    }
    try:
        chosen = calculator(pin["calculator"])
    except KeyError:
        said = (
            f"This edition has no calculator “{pin['calculator']}”. "
            "The numbers stand as they were recorded."
        )
        return found | {"known": False} | _unchecked(pin, [said])
    takes = {entry.name for entry in chosen.inputs}
    inputs = {name: text for name, text in pin["inputs"].items() if name in takes}
    found["left_out"] = sorted(pin["inputs"].keys() - takes)
    now = bridge.run(chosen.id, inputs, pin["system"])
    if "errors" in now:
        said = [f"These entries are refused now. {error['message']}" for error in now["errors"]]
        return found | {"errors": now["errors"]} | _unchecked(pin, said)
    shown = now
    if system != pin["system"]:
        shown = bridge.run(chosen.id, inputs, pin["system"], shown=system)
    found |= {"title": chosen.title, "answer": shown, "inputs": shown["inputs"]}
    return found | _compared(pin, now, shown)


def _unchecked(pin: Mapping[str, Any], said: list[str]) -> dict[str, Any]:
    return {
        "results": [
            _recorded_result(result) | {"now": None, "shown": result["text"], "same": False}
            for result in pin["results"]
        ],
        "checks": [_recorded_check(check) | {"now": None} for check in pin.get("checks", ())],
        "same": False,
        "differences": said,
    }


def _recorded_result(result: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "name": result["name"],
        "label": result.get("label", "") or result["name"],
        "headline": result.get("headline", False),
        "recorded": {
            "text": result["text"],
            "value": result["value"],
            "unit": result.get("unit", ""),
            "plus_minus_text": result.get("plus_minus_text", ""),
        },
        "difference": "",
    }


def _recorded_check(check: Mapping[str, Any]) -> dict[str, Any]:
    return {
        "id": check["id"],
        "label": check.get("label", "") or check["id"],
        "status": check["status"],
        "message": check.get("message", ""),
        "recorded": check["status"],
        "same": True,
        "source": None,
        "own_words": False,
    }


def _compared(pin: Mapping[str, Any], now: dict[str, Any], shown: dict[str, Any]) -> dict[str, Any]:
    results = [_compared_result(result, now, shown) for result in pin["results"]]
    checks = _compared_checks(pin, shown)
    differences = [result["difference"] for result in results if result["difference"]]
    differences += [
        f"{check['label']}: recorded “{check['recorded'] or 'nothing'}”, "
        f"now “{check['now'] or 'nothing'}”. {_REASON}"
        for check in checks
        if not check["same"]
    ]
    return {
        "results": results,
        "checks": checks,
        "same": not differences,
        "differences": differences,
    }


def _compared_result(
    recorded: Mapping[str, Any], now: dict[str, Any], shown: dict[str, Any]
) -> dict[str, Any]:
    found = _recorded_result(recorded)
    again = next((r for r in now["results"] if r["name"] == recorded["name"]), None)
    if again is None:
        said = f"{found['label']}: recorded {recorded['text']}, not given now. {_REASON}"
        return found | {"now": None, "shown": "", "same": False, "difference": said}
    value = {name: again[name] for name in ("text", "unit", "plus_minus_text")}
    value["value"] = str(again["value"])
    result = next((r for r in shown["results"] if r["name"] == recorded["name"]), again)
    found |= {
        "now": value,
        "label": again["label"],
        "headline": again["headline"],
        "shown": _with_band(result["text"], result["plus_minus_text"]),
    }
    same = same_number(found["recorded"], value)
    if not same:
        before, after = _told_apart(found["recorded"], value)
        found["difference"] = f"{found['label']}: recorded {before}, now {after}. {_REASON}"
    return found | {"same": same}


def same_number(recorded: Mapping[str, str], now: Mapping[str, str]) -> bool:
    """Return whether two results are the same: the unit, and the value to nine figures.

    What is shown (text and plus/minus) has to agree as far as its own last figure goes: another
    edition may round it in another way.
    """
    if recorded["unit"] != now["unit"]:
        return False
    if recorded["value"] != now["value"]:
        try:
            one, other = float(recorded["value"]), float(now["value"])
        except ValueError:
            return False
        # What is nothing but rounding differs from zero by less than anybody measures.
        if not math.isclose(one, other, rel_tol=_SAME_WITHIN, abs_tol=1e-12):
            return False
    return all(_shown_alike(recorded[part], now[part]) for part in ("text", "plus_minus_text"))


def _shown_alike(one: str, other: str) -> bool:
    """Return whether two shown numbers agree within the last figure of the coarser one."""
    if one == other:
        return True
    numbers = [_shown_number(text) for text in (one, other)]
    if None in numbers:
        return False
    (first, first_rest), (second, second_rest) = numbers
    finest = Decimal(1).scaleb(max(first.as_tuple().exponent, second.as_tuple().exponent))
    return first_rest == second_rest and abs(first - second) <= finest


def _shown_number(text: str) -> tuple[Decimal, str] | None:
    """Return the number that a shown text begins with, and its unit."""
    found = _SHOWN.match(
        text.replace("\N{NARROW NO-BREAK SPACE}", "").replace("\N{MINUS SIGN}", "-")
    )
    return (Decimal(found[1]), found[2]) if found else None


def _told_apart(recorded: Mapping[str, str], now: Mapping[str, str]) -> tuple[str, str]:
    """Return two results as texts that are not the same."""
    before, after = (_with_band(one["text"], one["plus_minus_text"]) for one in (recorded, now))
    if before != after:
        return before, after
    return tuple(f"{one['value']} {one['unit']}".strip() for one in (recorded, now))


def _with_band(text: str, band: str) -> str:
    return f"{text} ± {band}" if band else text


def _compared_checks(pin: Mapping[str, Any], shown: dict[str, Any]) -> list[dict[str, Any]]:
    recorded = {check["id"]: check for check in pin.get("checks", ())}
    checks = [
        {
            **check,
            "recorded": recorded[check["id"]]["status"] if check["id"] in recorded else "",
            "now": check["status"],
            "same": check["id"] in recorded and recorded[check["id"]]["status"] == check["status"],
        }
        for check in shown["checks"]
    ]
    given = {check["id"] for check in checks}
    checks += [
        _recorded_check(check) | {"now": "", "same": False}
        for id, check in recorded.items()
        if id not in given
    ]
    # A record without its checks is not one with other checks.
    return checks if recorded else [check | {"same": True} for check in checks]

"""Entries and times of a job as a reader of one unit system sees them."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from datetime import timedelta

from calc import units
from calc.entries import read_quantity
from calc.files.seen import visible as visible
from calc.files.shapes import moment

AS_TYPED = ""
"""In place of a unit system: every entry stays in its own unit."""

_MONTHS = (
    "January February March April May June July August September October November December"
).split()


def entry_in(kind: units.Kind | None, entry: Mapping[str, str], system: str) -> dict[str, str]:
    """Return an entry with value, unit and pm in the units of `system`.

    An entry that cannot be read, has no unit of its own, or stands in a fitting unit stays as it
    was typed.
    """
    moved = _moved(kind, entry, system)
    if moved is None:
        return {part: str(entry.get(part, "")).strip() for part in ("value", "unit", "pm")}
    band = moved.plus_minus / abs(moved.unit.scale)
    return {
        "value": units.entry_text(moved.unit.from_si(moved.value)),
        "unit": moved.unit.id,
        "pm": f"{float(f'{band:.2g}'):g}" if band else "",
    }


def entry_words(kind: units.Kind | None, entry: Mapping[str, str], system: str) -> str:
    """Return an entry in the units of `system` as one text, such as ``11.4 ± 0.1 m``."""
    moved = _moved(kind, entry, system)
    if kind is not None and moved is not None:
        text = units.text_in(moved.unit, moved.value)
        if not moved.plus_minus:
            return text
        band = units.difference_in(moved.unit, moved.plus_minus, moved.value)
        return f"{text} ± {band}"
    value, unit, pm = (str(entry.get(part, "")).strip() for part in ("value", "unit", "pm"))
    if not value:
        return ""
    if kind is not None and unit:
        with suppress(units.EntryError):
            unit = kind.unit(unit).text
    band = f" ± {pm}" if pm else ""
    return f"{value}{band} {unit}".strip()


def _moved(kind: units.Kind | None, entry: Mapping[str, str], system: str) -> units.Reading | None:
    """Return an entry as a reading in a unit of `system`, or None where it stays as typed."""
    if system == AS_TYPED or kind is None or kind.plain() or not str(entry.get("unit", "")).strip():
        return None
    try:
        read = read_quantity(kind, entry, system)
        beside = kind.unit(entry["unit"])
    except units.EntryError:
        return None
    if read is None or (read.unit == beside and _fits(beside, system)):
        return None
    unit = read.unit if _fits(read.unit, system) else kind.default_unit(system)
    return replace(read, unit=unit)


def _fits(unit: units.Unit, system: str) -> bool:
    return unit.system in ("", system)


def time_words(at: str) -> str:
    """Return a time as a reader sees it, by the clock of the place where it was written.

    Examples
    --------
    >>> time_words("2026-05-14T08:05:12+02:00")
    '14 May 2026, 08:05'
    """
    found = moment(at)
    if found is None:
        return ""
    day = f"{found.day} {_MONTHS[found.month - 1]} {found.year}"
    return f"{day}, {found.hour:02}:{found.minute:02}"


def since_words(at: str, now: str) -> str:
    """Return how long before `now` something was, in words; empty where either is unknown."""
    then, end = moment(at), moment(now)
    if then is None or end is None:
        return ""
    minutes = (end - then) // timedelta(minutes=1)
    if minutes < 1:
        return "just then"
    if minutes < 60:
        return f"{minutes} min before"
    if minutes < 24 * 60:
        return f"{minutes // 60} h before"
    days = minutes // (24 * 60)
    return f"{days} day{'' if days == 1 else 's'} before"


def order(at: str) -> tuple[int, float]:
    """Return what records are put in order of time by; those without a time stand last."""
    found = moment(at)
    return (0, found.timestamp()) if found else (1, 0.0)

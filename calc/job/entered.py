"""The entries of a kept result as a reader sees them: labels, options and units in words."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from calc import units
from calc.calculators import calculator
from calc.entries import converted
from calc.model import Choice, Input, Quantity, QuantityList, Table


def entries_in_words(pin: Mapping[str, Any], system: str) -> list[dict[str, Any]]:
    """Return label and text of each entry of a book's pin, in the units of `system`.

    `text` is a list with one text a row where the entry is a table. Blank entries are left out, and
    so are those of a calculator that this edition does not have, which stand as recorded.
    """
    if not pin["known"]:
        recorded = pin["recorded_inputs"].items()
        return [{"label": name, "text": text} for name, text in recorded if text.strip()]
    chosen = calculator(pin["calculator"])
    own = converted(chosen, pin["recorded_inputs"], pin["system"])
    moved = converted(chosen, own, system)
    found = []
    for entry in chosen.inputs:
        if entry.name in moved:
            text = _words(entry, moved[entry.name])
            if text:
                found.append({"label": entry.label, "text": text})
    return found


def _words(entry: Input, raw: Any) -> str | list[str]:
    if isinstance(entry, Table):
        if not isinstance(raw, list):
            return str(raw).strip()
        rows = (
            ", ".join(filter(None, (_words(c, row.get(c.name, "")) for c in entry.columns)))
            for row in raw
        )
        return [row for row in rows if row]
    if isinstance(entry, Choice):
        value = str(raw)
        return next((o.label for o in entry.options if o.value == value), value)
    if not isinstance(raw, Mapping):
        return str(raw).strip()
    value, unit, band = (str(raw.get(part, "")).strip() for part in ("value", "unit", "pm"))
    if not value:
        return ""
    if isinstance(entry, Quantity | QuantityList) and unit:
        with suppress(units.EntryError):
            unit = entry.kind.unit(unit).text
    return f"{value}{f' ± {band}' if band else ''} {unit}".strip()

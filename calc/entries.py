"""Entries as people type them: read into SI values, given as examples, moved between systems.

An entry is a text, or a mapping with `value`, `unit` and `pm` as a form holds it. All fields are
read before anything is computed, so the reader sees every slip at once.
"""

from __future__ import annotations

import functools
import itertools
import json
import math
import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from calc import units
from calc.model import (
    Calculator,
    Choice,
    Input,
    Limit,
    Quantity,
    QuantityList,
    Table,
    Text,
    Values,
)
from calc.sources import Citation

_TABLE_ROW, _TABLE_CELL = ";", "|"
_LOOSE_COMMA = re.compile(r",(?=\s|\Z)")
_WHOLE_OR_DECIMAL = re.compile(r"[0-9]+(?:\.[0-9]+)?")


def default_entries(calculator: Calculator, system: str) -> dict[str, Any]:
    """Return the example of a calculator as its form holds it, in the units of `system`."""
    return {entry.name: default_entry(entry, system) for entry in calculator.inputs}


def default_entry(entry: Input, system: str) -> Any:
    """Return the example entry of an input as a form holds it, in the units of `system`."""
    us = system == "us"
    if isinstance(entry, Quantity):
        return _quantity_entry(entry, (us and entry.us_default) or entry.default, system)
    if isinstance(entry, QuantityList):
        given = (us and entry.us_default) or entry.default
        return _list_entry(given, entry, system, convert=not (us and entry.us_default))
    if isinstance(entry, Table):
        rows = (us and entry.us_default) or entry.default
        return [
            {
                column.name: default_entry(_with_default(column, cell), system)
                for column, cell in zip(entry.columns, row, strict=True)
            }
            for row in rows
        ]
    if isinstance(entry, Choice):
        return (us and entry.us_default) or entry.default
    return entry.default


def _with_default(column: Input, cell: str) -> Input:
    if isinstance(column, Text):
        return replace(column, default=cell)
    return replace(column, default=cell, us_default="")


def _quantity_entry(entry: Quantity, text: str, system: str) -> dict[str, str]:
    unit = entry.kind.default_unit(system)
    if not text:
        return {"value": "", "unit": unit.id, "pm": ""}
    own = entry.kind.default_unit("si")
    read = units.parse_quantity(text, entry.kind, own)
    if _fits(entry.kind, read.unit, system):
        unit = read.unit
    return {
        "value": units.entry_text(unit.from_si(read.value)),
        "unit": unit.id,
        "pm": _band_entry(read, unit, 2),
    }


def _band_entry(read: units.Reading, unit: units.Unit, figures: int) -> str:
    if not read.plus_minus:
        return ""
    return f"{float(f'{read.plus_minus / abs(unit.scale):.{figures}g}'):g}"


def _fits(kind: units.Kind, unit: units.Unit, system: str) -> bool:
    """Return whether `unit` may stay when a form is shown in `system`."""
    return unit.system in ("", system) or unit == kind.default_unit(system)


def _list_entry(
    text: str,
    entry: QuantityList,
    system: str,
    convert: bool,
    unit: units.Unit | None = None,
    gallons: units.Gallons = units.Gallons.US,
) -> dict[str, str]:
    values, unit = _split_list(text, entry, system, unit, gallons)
    wanted = entry.kind.default_unit(system)
    if convert and not _fits(entry.kind, unit, system):
        values = [wanted.from_si(unit.to_si(v)) for v in values]
        unit = wanted
    return {"value": ", ".join(units.entry_text(v) for v in values), "unit": unit.id}


def _split_list(
    text: str,
    entry: QuantityList,
    system: str,
    unit: units.Unit | None = None,
    gallons: units.Gallons = units.Gallons.US,
) -> tuple[list[float], units.Unit]:
    """Return the numbers of a list and their unit: the one after the last, else `unit`."""
    parts = _list_parts(text)
    if not parts:
        raise units.EntryError(
            "Nothing is entered. Enter numbers with commas between, such as 8, 12, 18."
        )
    if len(parts) > entry.longest:
        raise units.EntryError(f"Enter at most {entry.longest} numbers.")
    unit = unit or entry.kind.default_unit(system)
    last = units.parse_quantity(parts[-1], entry.kind, unit, gallons)
    values = []
    for part in parts:
        read = units.parse_quantity(part, entry.kind, last.unit, gallons)
        if read.plus_minus:
            raise units.EntryError("This field takes no plus/minus. Enter plain numbers.")
        values.append(last.unit.from_si(read.value))
    return values, last.unit


def _list_parts(text: str) -> list[str]:
    """Return the parts of a list: between semicolons, or between commas with a space after each.

    A comma inside 8,12 may be a decimal mark. It parts a list only where that cannot be.
    """
    text = text.strip().replace("\n", ", ")
    if ";" in text:
        return [part.strip(", ") for part in text.split(";") if part.strip(", ")]
    loose = [part.strip() for part in _LOOSE_COMMA.split(text) if part.strip()]
    tight = [part for part in loose if "," in part.strip(",")]
    if not tight:
        return [part.strip(", ") for part in loose if part.strip(", ")]
    parts = [part.strip() for part in text.split(",") if part.strip()]
    if len(loose) == 1 and len(parts) > 2 and _rises(parts):
        return parts
    shown = units.quoted(tight[0])
    raise units.EntryError(
        f"The comma in {shown} could be a decimal mark or part two numbers. Put a space or a "
        "semicolon between the numbers and write decimals with a point: 8.5; 12.5; 18."
    )


def _rises(parts: list[str]) -> bool:
    """Return whether parts with tight commas are a list of sizes and not one grouped number."""
    digits = [_WHOLE_OR_DECIMAL.match(part) for part in parts]
    if not all(digits) or all(len(found[0]) == 3 for found in digits[1:]):
        return False
    values = [float(found[0]) for found in digits]
    return all(one < other for one, other in itertools.pairwise(values))


class Reader:
    """Reads a form into SI values, gathering an error for each field that fails."""

    def __init__(self, system: str) -> None:
        self.system = system
        self.errors: list[dict[str, Any]] = []
        self.plus_minus: list[tuple[tuple, float]] = []
        self.bounds: dict[tuple, tuple[float, float]] = {}
        self.given: list[dict[str, str]] = []

    def error(
        self, path: str, message: str, kind: str = "entry", cite: Citation | None = None
    ) -> None:
        found: dict[str, Any] = {"field": path, "message": message, "kind": kind}
        if cite:
            found["source"] = cite.data()
        self.errors.append(found)

    def read(self, calculator: Calculator, entries: Mapping[str, Any]) -> Values:
        values = Values(held={})
        for unknown in entries.keys() - {i.name for i in calculator.inputs}:
            self.error(
                str(unknown),
                f"“{unknown}” is not an input of {calculator.id}. It takes: "
                f"{', '.join(i.name for i in calculator.inputs)}.",
            )
        ordered = sorted(calculator.inputs, key=lambda i: not isinstance(i, Choice))
        for entry in ordered:
            if not self._active(entry.when, values):
                setattr(values, entry.name, None)
                continue
            raw = entries.get(entry.name)
            if raw is None:
                raw = default_entry(entry, self.system)
                self._note(entry, raw, "example")
            else:
                self._note(entry, raw, "given")
            setattr(values, entry.name, self._value(entry, raw, (entry.name,)))
        values.plus_minus = dict(self.plus_minus)
        values.bounds = self.bounds
        return values

    def _note(self, entry: Input, raw: Any, origin: str) -> None:
        self.given.append(
            {
                "name": entry.name,
                "label": entry.label,
                "text": entry_as_text(entry, raw),
                "origin": origin,
            }
        )

    @staticmethod
    def _active(when: Mapping[str, tuple[str, ...]] | None, *scopes: Values) -> bool:
        for name, allowed in (when or {}).items():
            holder = next((s for s in scopes if hasattr(s, name)), None)
            if holder is None or getattr(holder, name) not in allowed:
                return False
        return True

    def _value(self, entry: Input, raw: Any, path: tuple) -> Any:
        where = ".".join(str(p) for p in path)
        try:
            if isinstance(entry, Quantity):
                return self._quantity(entry, raw, path)
            if isinstance(entry, Choice):
                return self._choice(entry, raw)
            if isinstance(entry, QuantityList):
                return self._list(entry, raw)
            if isinstance(entry, Text):
                return self._text(entry, raw)
            return self._table(entry, raw, path)
        except units.EntryError as refused:
            self.error(where, str(refused))
        except _OutOfLimit as refused:
            self.error(where, refused.message, "range", refused.limit.cite)
        return None

    def _quantity(self, entry: Quantity, raw: Any, path: tuple) -> float | None:
        read = read_quantity(entry.kind, raw, self.system)
        if read is None:
            if entry.optional:
                return None
            example = entry.default or f"10 {entry.kind.default_unit(self.system).text}"
            raise units.EntryError(f"Nothing is entered. Enter a value, such as {example.strip()}.")
        if read.plus_minus and not entry.reading:
            raise units.EntryError("This field takes no plus/minus. Enter one value.")
        self._within(entry, read.value, read.unit)
        if read.plus_minus:
            self.plus_minus.append((path, read.plus_minus))
            self.bounds[path] = (
                -math.inf if entry.low is None else _bound(entry, entry.low),
                math.inf if entry.high is None else _bound(entry, entry.high),
            )
        return read.value

    def _within(self, entry: Quantity | QuantityList, value: float, unit: units.Unit) -> None:
        for limit, side in ((entry.low, -1), (entry.high, 1)):
            if limit is None:
                continue
            bound = _bound(entry, limit)
            if (value - bound) * side > 1e-9 * max(abs(bound), 1e-6):
                word = "above the most" if side > 0 else "below the least"
                shown = units.text_in(unit, bound)
                own = units.text_in(unit, value)
                ask = f"Enter {shown} or {'less' if side > 0 else 'more'}."
                raise _OutOfLimit(
                    f"{own} is {word} this can take, {shown}: {limit.why.rstrip('.')}. {ask}", limit
                )

    def _choice(self, entry: Choice, raw: Any) -> str:
        text = str(raw.get("value", "") if isinstance(raw, Mapping) else raw).strip()
        for option in entry.options:
            if text == option.value or text.casefold() == option.label.casefold():
                return option.value
        listed = ", ".join(o.value for o in entry.options)
        if len(listed) > 400:
            listed = listed[:400] + " …"
        raise units.EntryError(f"“{text[:60]}” is not one of the choices. Choose one of: {listed}.")

    def _list(self, entry: QuantityList, raw: Any) -> tuple[float, ...]:
        text, unit = _list_entry_parts(entry, raw, self.system)
        values, unit = _split_list(text, entry, self.system, unit, _gallons(raw, self.system))
        for value in values:
            self._within(entry, unit.to_si(value), unit)
        return tuple(unit.to_si(v) for v in values)

    def _text(self, entry: Text, raw: Any) -> str:
        text = str(raw).strip()
        if len(text) > entry.longest:
            raise units.EntryError(f"That is too long. Use at most {entry.longest} letters.")
        return text

    def _table(self, entry: Table, raw: Any, path: tuple) -> tuple[Values, ...]:
        rows = table_rows(entry, raw)
        if not entry.fewest <= len(rows) <= entry.most:
            raise units.EntryError(
                f"Enter between {entry.fewest} and {entry.most} rows; there are {len(rows)}."
            )
        found = []
        for number, cells in enumerate(rows):
            if not isinstance(cells, Mapping):
                raise units.EntryError("A row is not readable. Remove it and add it again.")
            row = Values()
            for column in sorted(entry.columns, key=lambda c: not isinstance(c, Choice)):
                if not self._active(column.when, row):
                    setattr(row, column.name, None)
                    continue
                cell = cells.get(column.name, "")
                setattr(row, column.name, self._value(column, cell, (*path, number, column.name)))
            found.append(row)
        return tuple(found)


def _bound(entry: Quantity | QuantityList, limit: Limit) -> float:
    return _bound_in_si(limit.value, entry.kind.name)


@functools.lru_cache(maxsize=1024)
def _bound_in_si(text: str, kind_name: str) -> float:
    kind = next(kind for kind in units.KINDS if kind.name == kind_name)
    return units.parse_quantity(text, kind, kind.default_unit("si")).value


def _gallons(raw: Any, system: str) -> units.Gallons:
    """Return how a bare gallon is taken: a text carries ids, a form's box what a person types."""
    if system == "us":
        return units.Gallons.US
    return units.Gallons.NAMED if isinstance(raw, Mapping) else units.Gallons.BY_ID


def _list_entry_parts(entry: QuantityList, raw: Any, system: str) -> tuple[str, units.Unit | None]:
    """Return a list's text and the unit beside it, as a form or a text holds them."""
    if not isinstance(raw, Mapping):
        return str(raw), None
    unit = entry.kind.unit(str(raw["unit"])) if raw.get("unit") else None
    return str(raw.get("value", "")), unit or entry.kind.default_unit(system)


class _OutOfLimit(Exception):
    def __init__(self, message: str, limit: Limit) -> None:
        super().__init__(message)
        self.message = message
        self.limit = limit


def read_quantity(kind: units.Kind, raw: Any, system: str) -> units.Reading | None:
    """Read a form's quantity: a text, or value, unit and pm apart. None where blank."""
    fallback = kind.default_unit(system)
    if not isinstance(raw, Mapping):
        text = str(raw)
        if not text.strip():
            return None
        return units.parse_quantity(text, kind, fallback, _gallons(raw, system))
    value = str(raw.get("value", "")).strip()
    unit = kind.unit(str(raw["unit"])) if raw.get("unit") else fallback
    plus_minus = str(raw.get("pm") or "").strip()
    if not value:
        return None
    read = units.parse_quantity(value, kind, unit, _gallons(raw, system))
    if not plus_minus:
        return read
    if read.plus_minus:
        raise units.EntryError("The plus/minus stands twice. Enter it once.")
    try:
        band, band_unit = units.parse_band(plus_minus, kind, unit, _gallons(raw, system))
    except units.EntryError as refused:
        raise units.EntryError(f"In the plus/minus: {refused}") from None
    if band_unit is None and read.unit != unit:
        raise units.EntryError(
            f"The value is in {read.unit.text} and the unit beside it is {unit.text}, so the "
            f"plus/minus could be in either. Write its unit: {plus_minus} {read.unit.text}."
        )
    return units.Reading(read.value, band * abs((band_unit or unit).scale), read.unit)


def as_typed(calculator: Calculator, entries: Mapping[str, Any]) -> dict[str, Any]:
    """Return entries with each text of a quantity as if typed into a form's box.

    A box takes no bare gallon in SI, which the same text in a link means by its id.
    """
    found = dict(entries)
    for entry in calculator.inputs:
        raw = entries.get(entry.name)
        if isinstance(entry, Quantity | QuantityList) and isinstance(raw, str):
            found[entry.name] = {"value": raw}
        elif isinstance(entry, Table) and isinstance(raw, str):
            try:
                rows = table_rows(entry, raw)
            except units.EntryError:
                continue
            boxes = {column.name for column in entry.columns if isinstance(column, Quantity)}
            found[entry.name] = [
                {
                    name: {"value": cell} if name in boxes and isinstance(cell, str) else cell
                    for name, cell in row.items()
                }
                if isinstance(row, Mapping)
                else row
                for row in rows
            ]
    return found


def table_rows(entry: Table, raw: Any) -> list[Any]:
    """Return rows as mappings from a list, JSON text, or ``cell | cell; cell | cell``."""
    if isinstance(raw, str):
        text = raw.strip()
        if not text:
            return []
        if text.startswith("["):
            try:
                raw = json.loads(text)
            except ValueError:
                raise units.EntryError(
                    "The rows cannot be read as JSON. Check brackets and quotes."
                ) from None
        else:
            raw = []
            for row in text.split(_TABLE_ROW):
                cells = [cell.strip() for cell in row.split(_TABLE_CELL)]
                if len(cells) > len(entry.columns):
                    raise units.EntryError(
                        f"A row has {len(cells)} cells; it takes {len(entry.columns)}: "
                        f"{', '.join(c.name for c in entry.columns)}."
                    )
                raw.append({c.name: cell for c, cell in zip(entry.columns, cells, strict=False)})
    if not isinstance(raw, list):
        raise units.EntryError("Rows are wanted here, one for each item.")
    return raw


def entry_as_text(entry: Input, raw: Any) -> str:
    """Return an entry as the text a link or the shell carries."""
    if isinstance(entry, Table):
        if not isinstance(raw, list):
            return str(raw)
        return f"{_TABLE_ROW} ".join(
            f" {_TABLE_CELL} ".join(
                entry_as_text(c, row.get(c.name, "") if isinstance(row, Mapping) else "")
                for c in entry.columns
            )
            for row in raw
        )
    if isinstance(raw, Mapping):
        value, unit, plus_minus = (str(raw.get(k) or "").strip() for k in ("value", "unit", "pm"))
        if not value:
            return ""
        band = f" ± {plus_minus}" if plus_minus else ""
        if not unit or (isinstance(entry, Quantity | QuantityList) and entry.kind.plain()):
            return f"{value}{band}"
        # A ratio without its word would be read as a percentage.
        return f"{value}{band} {'ratio' if unit == '1' else unit}"
    return str(raw)


def converted(
    chosen: Calculator, entries: Mapping[str, Any], system: str, origin: str = ""
) -> dict[str, Any]:
    """Return entries split into value, unit and pm, with quantities in the units of `system`.

    A plus/minus keeps three figures, so that an interval made from it does not move with the unit.
    An entry that cannot be read is returned as it was typed: nothing is lost. An entry that still
    holds the example of `origin` becomes the example of `system`.
    """
    found = {}
    for entry in chosen.inputs:
        if entry.name not in entries:
            continue
        raw = entries[entry.name]
        if origin and origin != system and raw == default_entry(entry, origin):
            found[entry.name] = default_entry(entry, system)
            continue
        found[entry.name] = _converted_entry(entry, raw, system)
    return found


def _converted_entry(entry: Input, raw: Any, system: str) -> Any:
    if isinstance(entry, Table):
        try:
            rows = table_rows(entry, raw)
        except units.EntryError:
            return raw
        return [
            {c.name: _converted_entry(c, row.get(c.name, ""), system) for c in entry.columns}
            for row in rows
            if isinstance(row, Mapping)
        ]
    if isinstance(entry, Quantity):
        try:
            read = read_quantity(entry.kind, raw, system)
        except units.EntryError:
            return raw if isinstance(raw, Mapping) else {"value": str(raw), "unit": "", "pm": ""}
        if read is None:
            return {"value": "", "unit": entry.kind.default_unit(system).id, "pm": ""}
        unit = (
            read.unit if _fits(entry.kind, read.unit, system) else entry.kind.default_unit(system)
        )
        if unit == read.unit and isinstance(raw, Mapping):
            return {
                "value": str(raw.get("value", "")),
                "unit": unit.id,
                "pm": str(raw.get("pm") or ""),
            }
        return {
            "value": units.entry_text(unit.from_si(read.value)),
            "unit": unit.id,
            "pm": _band_entry(read, unit, 3),
        }
    if isinstance(entry, QuantityList):
        try:
            text, unit = _list_entry_parts(entry, raw, system)
            gallons = _gallons(raw, system)
            return _list_entry(text, entry, system, convert=True, unit=unit, gallons=gallons)
        except units.EntryError:
            return raw if isinstance(raw, Mapping) else {"value": str(raw), "unit": ""}
    return raw.get("value", "") if isinstance(raw, Mapping) else str(raw)

"""Entries as people type them: read into SI values, given as examples, moved between systems.

An entry is a text, or a mapping with `value`, `unit` and `pm` as a form holds it. All fields are
read before anything is computed, so the reader sees every slip at once.
"""

from __future__ import annotations

import json
import math
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


def _list_entry(text: str, entry: QuantityList, system: str, convert: bool) -> dict[str, str]:
    values, unit = _split_list(text, entry, system)
    wanted = entry.kind.default_unit(system)
    if convert and not _fits(entry.kind, unit, system):
        values = [wanted.from_si(unit.to_si(v)) for v in values]
        unit = wanted
    return {"value": ", ".join(units.entry_text(v) for v in values), "unit": unit.id}


def _split_list(text: str, entry: QuantityList, system: str) -> tuple[list[float], units.Unit]:
    parts = [p.strip() for p in text.replace("\n", ",").replace(";", ",").split(",")]
    parts = [p for p in parts if p]
    if not parts:
        raise units.EntryError(
            "Nothing is entered. Enter numbers with commas between, such as 8, 12, 18."
        )
    if len(parts) > entry.longest:
        raise units.EntryError(f"Enter at most {entry.longest} numbers.")
    unit = entry.kind.default_unit(system)
    last = units.parse_quantity(parts[-1], entry.kind, unit)
    values = []
    for part in parts[:-1]:
        values.append(units.parse_number(part))
    values.append(last.unit.from_si(last.value))
    return values, last.unit


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
                shown = units.quantity_text(bound, entry.kind, self.system, unit)
                own = units.quantity_text(value, entry.kind, self.system, unit)
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
        if isinstance(raw, Mapping):
            unit = entry.kind.unit(str(raw.get("unit") or entry.kind.default_unit(self.system).id))
            text = str(raw.get("value", ""))
            if text.strip() and text.strip()[-1].isdigit():
                text = f"{text} {unit.id}"
        else:
            text = str(raw)
        values, unit = _split_list(text, entry, self.system)
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
    return units.parse_quantity(limit.value, entry.kind, entry.kind.default_unit("si")).value


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
        return units.parse_quantity(text, kind, fallback)
    value = str(raw.get("value", "")).strip()
    unit = kind.unit(str(raw["unit"])) if raw.get("unit") else fallback
    plus_minus = str(raw.get("pm") or "").strip()
    if not value:
        return None
    if plus_minus:
        try:
            band = units.parse_number(plus_minus)
        except units.EntryError as refused:
            raise units.EntryError(f"In the plus/minus: {refused}") from None
        read = units.parse_quantity(value, kind, unit)
        return units.reading(read.unit.from_si(read.value), band, read.unit)
    return units.parse_quantity(value, kind, unit)


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
        return f"{value}{band}" if unit == "1" else f"{value}{band} {unit}"
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
            text = raw
            if isinstance(raw, Mapping):
                text = f"{raw.get('value', '')} {raw.get('unit', '')}"
            return _list_entry(str(text), entry, system, convert=True)
        except units.EntryError:
            return raw if isinstance(raw, Mapping) else {"value": str(raw), "unit": ""}
    return raw.get("value", "") if isinstance(raw, Mapping) else str(raw)

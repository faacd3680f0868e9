"""The form of a calculator, filled with an example. A real form: it reads without any script."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from calc import bridge, facts
from calc.entries import default_entries
from calc.model import (
    Calculator,
    Choice,
    Input,
    Quantity,
    QuantityList,
    Section,
    Table,
    Text,
    When,
)
from view.html import Html, h

_ROW = "__row__"


def form(calculator: Calculator, system: str) -> Html:
    """Return the form of a calculator with the example's entries in the units of `system`."""
    entries = default_entries(calculator, system)
    chosen = {i.name: entries[i.name] for i in calculator.inputs if isinstance(i, Choice)}
    return h(
        "form",
        {"novalidate": True, "autocomplete": "off", "aria-label": calculator.title},
        h(
            "fieldset",
            {"class": "lc-system"},
            h("legend", None, "Units"),
            [
                h(
                    "label",
                    None,
                    h(
                        "input",
                        {
                            "type": "radio",
                            "name": "system",
                            "value": value,
                            "checked": value == system,
                        },
                    ),
                    " ",
                    text,
                )
                for value, text in (("si", "SI: bar, °C, L"), ("us", "US: psi, °F, gal"))
            ],
        ),
        [
            _section(calculator, section, entries, chosen)
            for section in calculator.sections
            or (Section("Entries", tuple(i.name for i in calculator.inputs)),)
        ],
        h(
            "div",
            {"class": "lc-actions"},
            h("button", {"type": "button", "data-action": "reset"}, "Back to the example"),
            h(
                "button",
                {"type": "button", "data-action": "copy-link"},
                "Copy a link with these numbers",
            ),
        ),
        h(
            "fieldset",
            {"class": "lc-pins", "hidden": True},
            h("legend", None, "Keep this result for the report"),
            [
                h("button", {"type": "button", "data-action": "pin", "data-phase": phase}, text)
                for phase, text in (
                    ("found", "As found"),
                    ("left", "As left"),
                    ("option", "As an option for the owner"),
                )
            ],
        ),
    )


def _section(
    calculator: Calculator,
    section: Section,
    entries: Mapping[str, Any],
    chosen: Mapping[str, str],
) -> Html:
    inputs = [calculator.input(name) for name in section.names]
    frame = {"class": "lc-section", "hidden": not any(_active(i.when, chosen) for i in inputs)}
    fields = h(
        "div",
        {"class": "lc-fields"},
        [_field(calculator, entry, entries[entry.name], chosen) for entry in inputs],
    )
    if section.folded:
        return h("details", frame, h("summary", None, section.title), fields)
    return h("fieldset", frame, h("legend", None, section.title), fields)


def _field(calculator: Calculator, entry: Input, raw: Any, chosen: Mapping[str, str]) -> Html:
    scope = calculator.id
    if isinstance(entry, Table):
        return _table(scope, entry, raw, chosen)
    id = f"{scope}-{entry.name}"
    return h(
        "div",
        {
            "class": f"lc-field lc-{_type(entry)}",
            "data-field": entry.name,
            "data-type": _type(entry),
            "data-example": _type(entry) == "quantity" and bool(raw["value"]),
            "data-facts": " ".join(facts.taken(calculator, entry)) or None,
            "data-when": _when(entry.when),
            "hidden": not _active(entry.when, chosen),
        },
        h("label", {"for": id}, entry.label, _optional(entry)),
        _controls(entry, raw, entry.name, id),
        _help(id, entry),
        h("p", {"class": "lc-error", "id": f"{id}-error", "hidden": True}),
    )


def _type(entry: Input) -> str:
    names = {
        Quantity: "quantity",
        Choice: "choice",
        QuantityList: "list",
        Text: "text",
        Table: "table",
    }
    return names[type(entry)]


def _when(when: When | None) -> str | None:
    return json.dumps({k: list(v) for k, v in when.items()}) if when else None


def _active(when: When | None, chosen: Mapping[str, Any]) -> bool:
    return all(chosen.get(name) in allowed for name, allowed in (when or {}).items())


def _optional(entry: Input) -> Html | None:
    if isinstance(entry, Quantity) and entry.optional:
        return h("span", {"class": "lc-optional"}, " (may stay empty)")
    return None


def _help(id: str, entry: Input) -> Html:
    return h("p", {"class": "lc-help", "id": f"{id}-help"}, entry.help)


def _controls(entry: Input, raw: Any, name: str, id: str) -> Html:
    described = f"{id}-help {id}-error"
    if isinstance(entry, Choice):
        return h(
            "div",
            {"class": "lc-entry"},
            h(
                "select",
                {"id": id, "name": name, "aria-describedby": described},
                [
                    h("option", {"value": o.value, "selected": o.value == raw}, o.label)
                    for o in entry.options
                ],
            ),
        )
    if isinstance(entry, Text):
        return h(
            "div",
            {"class": "lc-entry"},
            h(
                "input",
                {
                    "id": id,
                    "name": name,
                    "type": "text",
                    "value": raw,
                    "aria-describedby": described,
                },
            ),
        )
    wordy = isinstance(entry, QuantityList)
    return h(
        "div",
        {"class": "lc-entry"},
        h(
            "input",
            {
                "id": id,
                "name": name,
                "type": "text",
                "inputmode": None if wordy else "decimal",
                "value": raw["value"],
                "aria-describedby": described,
            },
        ),
        _plus_minus(entry, raw, name) if isinstance(entry, Quantity) and entry.reading else None,
        _unit_select(entry, raw, name),
    )


def _plus_minus(entry: Quantity, raw: Mapping[str, str], name: str) -> Html:
    return h(
        "label",
        {"class": "lc-pm"},
        "± ",
        h(
            "input",
            {
                "name": f"{name}.pm",
                "type": "text",
                "inputmode": "decimal",
                "value": raw["pm"],
                "aria-label": f"plus or minus, {entry.label}",
            },
        ),
    )


def _unit_select(entry: Quantity | QuantityList, raw: Mapping[str, str], name: str) -> Html | None:
    if entry.kind.plain():
        return None
    return h(
        "select",
        {"name": f"{name}.unit", "aria-label": f"unit, {entry.label}"},
        [
            h("option", {"value": u.id, "selected": u.id == raw["unit"]}, u.text or "ratio")
            for u in entry.kind.units
        ],
    )


def _table(
    scope: str, entry: Table, rows: list[Mapping[str, Any]], chosen: Mapping[str, str]
) -> Html:
    id = f"{scope}-{entry.name}"
    blank = {c.name: _blank(c) for c in entry.columns}
    return h(
        "fieldset",
        {
            "class": "lc-field lc-table",
            "data-field": entry.name,
            "data-type": "table",
            "data-when": _when(entry.when),
            "hidden": not _active(entry.when, chosen),
            "data-most": entry.most,
            "data-fewest": entry.fewest,
        },
        h("legend", None, entry.label),
        _help(id, entry),
        h(
            "ol",
            # The empty row that follows has all the words; a search needs them once.
            {"class": "lc-rows", "data-search-exclude": True},
            [_row(scope, entry, row, str(n)) for n, row in enumerate(rows)],
        ),
        h("template", None, _row(scope, entry, blank, _ROW)),
        h(
            "button",
            {"type": "button", "data-action": "add-row", "class": "lc-add"},
            f"Add {entry.row_label}",
        ),
        h("p", {"class": "lc-error", "id": f"{id}-error", "hidden": True}),
    )


def _blank(column: Input) -> Any:
    if isinstance(column, Quantity):
        raw = bridge.default_entry(column, "si")
        return {"value": "", "unit": raw["unit"], "pm": ""}
    return column.default


def _row(scope: str, entry: Table, cells: Mapping[str, Any], number: str) -> Html:
    chosen = {c.name: cells[c.name] for c in entry.columns if isinstance(c, Choice)}
    made = []
    for column in entry.columns:
        id = f"{scope}-{entry.name}-{number}-{column.name}"
        name = f"{entry.name}.{number}.{column.name}"
        made.append(
            h(
                "div",
                {
                    "class": f"lc-cell lc-{_type(column)}",
                    "data-cell": column.name,
                    "data-type": _type(column),
                    "data-when": _when(column.when),
                    "hidden": not _active(column.when, chosen),
                },
                h("label", {"for": id}, column.label, _optional(column)),
                _controls(column, cells[column.name], name, id),
                h("p", {"class": "lc-help lc-cell-help", "id": f"{id}-help"}, column.help),
                h("p", {"class": "lc-error", "id": f"{id}-error", "hidden": True}),
            )
        )
    return h(
        "li",
        {"class": "lc-row", "data-row": True},
        made,
        h(
            "button",
            {"type": "button", "data-action": "remove-row", "class": "lc-remove"},
            f"Remove this {entry.row_label.removeprefix('a ').removeprefix('an ')}",
        ),
    )

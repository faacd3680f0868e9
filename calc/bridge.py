"""JSON in, JSON out: reads entries, runs a calculator, writes the answer in the reader's units.

This is the only module that the shell and the browser call. An entry that cannot be read, a
refusal of the physics and a failed check are three different things in the answer.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any

from calc import facts, units
from calc.calculators import CALCULATORS, calculator
from calc.entries import Reader, default_entry
from calc.entries import converted as move
from calc.model import (
    CAUTION,
    Axis,
    BarChart,
    Calculator,
    Check,
    Choice,
    Input,
    LineChart,
    Quantity,
    QuantityList,
    Refusal,
    ResultColumn,
    ResultTable,
    Solution,
    Step,
    Table,
    VesselSection,
    as_text,
    spread,
)
from calc.sources import OWN_RULE


def listing() -> list[dict[str, str]]:
    """Return id, title, question and summary of every calculator."""
    return [
        {"id": c.id, "title": c.title, "question": c.question, "summary": c.summary}
        for c in CALCULATORS
    ]


def description(id: str, system: str = "si") -> dict[str, Any]:
    """Return what a calculator takes and gives, as plain data."""
    c = calculator(id)
    return {
        "id": c.id,
        "title": c.title,
        "question": c.question,
        "summary": c.summary,
        "inputs": [_described_input(i, system) for i in c.inputs],
        "outputs": [
            {
                "name": o.name,
                "label": o.label,
                "kind": o.kind.name if o.kind else "text",
                "help": o.help,
                "headline": o.headline,
            }
            for o in c.outputs
        ],
    }


def _described_input(entry: Input, system: str) -> dict[str, Any]:
    found: dict[str, Any] = {
        "name": entry.name,
        "label": entry.label,
        "help": entry.help,
        "type": type(entry).__name__.lower(),
        "default": default_entry(entry, system),
    }
    if entry.when:
        found["when"] = {name: list(values) for name, values in entry.when.items()}
    if isinstance(entry, Quantity | QuantityList):
        found["kind"] = entry.kind.name
        found["units"] = [u.id for u in entry.kind.units]
        found["limits"] = [
            {
                "side": side,
                "value": limit.value,
                "why": limit.why,
                "source": limit.cite.data(),
            }
            for side, limit in (("low", entry.low), ("high", entry.high))
            if limit
        ]
    if isinstance(entry, Quantity):
        found["reading"] = entry.reading
        found["optional"] = entry.optional
    if isinstance(entry, Choice):
        found["options"] = [{"value": o.value, "label": o.label} for o in entry.options]
    if isinstance(entry, Table):
        found["columns"] = [_described_input(column, system) for column in entry.columns]
    return found


def run(
    id: str,
    entries: Mapping[str, Any],
    system: str = "si",
    shown: str = "",
    *,
    working: bool = True,
) -> dict[str, Any]:
    """Run a calculator on entries as typed; return the answer, or ``{"errors": [...]}``.

    `system` is that of the entries; the answer is in the units of `shown`, if it is given.
    Without its `working` an answer has no steps, only ``"step_count"``: they are a third of it, and
    on a page they stay folded while somebody types.
    """
    if system not in units.SYSTEMS:
        return {"errors": [{"field": "system", "message": "Choose si or us.", "kind": "entry"}]}
    try:
        chosen = calculator(id)
    except KeyError as unknown:
        return {"errors": [{"field": "", "message": str(unknown.args[0]), "kind": "entry"}]}
    reader = Reader(system)
    values = reader.read(chosen, entries)
    if reader.errors:
        return {"errors": reader.errors}
    try:
        solution = chosen.solve(values)
        finite(solution)
        charts = [chart_data(chart, shown or system) for chart in solution.charts]
    except Refusal as refused:
        reader.error(refused.field, as_text(refused.message, system), "range", refused.cite)
        return {"errors": reader.errors}
    bands, beyond = spread(chosen.solve, values, solution, reader.plus_minus, chosen.held)
    found = _answer(chosen, solution, charts, bands, beyond, reader, shown or system)
    if not working:
        return found | {"steps": [], "step_count": len(solution.steps)}
    return found | {"steps": [_step(step, shown or system) for step in solution.steps]}


def finite(solution: Solution) -> None:
    """Raise ArithmeticError if any result is not a finite number: that is a defect, never shown."""
    for name, value in solution.results.items():
        if isinstance(value, float) and not math.isfinite(value):
            raise ArithmeticError(f"{name} came out as {value}")


def _answer(
    chosen: Calculator,
    solution: Solution,
    charts: list[dict[str, Any]],
    bands: Mapping[str, float],
    beyond: list[tuple],
    reader: Reader,
    system: str,
) -> dict[str, Any]:
    results = []
    for output in chosen.outputs:
        value = solution.results.get(output.name)
        if value is not None:
            found = _result(output, value, bands.get(output.name, 0.0), system)
            results.append(_as_fact(chosen, found))
    return {
        "id": chosen.id,
        "title": chosen.title,
        "system": system,
        "inputs": sorted(
            reader.given,
            key=lambda g: next(n for n, i in enumerate(chosen.inputs) if i.name == g["name"]),
        ),
        "results": results,
        "checks": [
            {
                "id": check.id,
                "label": check.label,
                "status": check.status,
                "message": as_text(check.message, system),
                "source": check.cite.data(),
                "own_words": check.own_words,
            }
            for check in (*solution.checks, *_beyond_check(chosen, beyond))
        ],
        "charts": charts,
    }


def _beyond_check(chosen: Calculator, beyond: list[tuple]) -> list[Check]:
    """Return a caution where an end of a plus/minus band cannot be computed at all."""
    if not beyond:
        return []
    labels = sorted({chosen.input(path[0]).label for path in beyond})
    message = (
        f"The plus/minus of “{'”, “'.join(labels)}” reaches values for which there is no answer, "
        "so the plus/minus shown counts one side only. Read it more closely before relying on it."
    )
    return [Check("plus-minus", "Plus/minus of the readings", CAUTION, message, OWN_RULE.at())]


def _result(output: Any, value: float | str, band: float, system: str) -> dict[str, Any]:
    found: dict[str, Any] = {
        "name": output.name,
        "label": output.label,
        "help": output.help,
        "headline": output.headline,
        "plus_minus": None,
        "plus_minus_text": "",
    }
    if output.kind is None or isinstance(value, str):
        return found | {"kind": "text", "value": value, "unit": "", "text": str(value)}
    unit = output.kind.unit(output.unit) if output.unit else output.kind.default_unit(system)
    if band > 0:
        found["plus_minus"] = band / abs(unit.scale)
        found["plus_minus_text"] = units.difference_in(unit, band, value)
    return found | {
        "kind": output.kind.name,
        "value": unit.from_si(value),
        "unit": unit.id,
        "text": units.text_in(unit, value),
    }


def _as_fact(chosen: Calculator, result: dict[str, Any]) -> dict[str, Any]:
    """Add to a result that other pages ask for the fact's name, and the value as an entry."""
    fact = facts.given(chosen.id, result["name"])
    if not fact or result["kind"] == "text":
        return result
    band = result["plus_minus"]
    entry = {
        "value": units.entry_text(result["value"]),
        "unit": result["unit"],
        "pm": units.entry_text(float(f"{band:.2g}")) if band else "",
    }
    return result | {"fact": fact, "entry": entry}


def _symbol_data(
    symbol: str, label: str, kind: units.Kind, pinned: str, value: float, system: str
) -> dict[str, Any]:
    unit = kind.unit(pinned) if pinned else kind.default_unit(system)
    return {
        "symbol": symbol,
        "label": label,
        "value": unit.from_si(value),
        "unit": unit.id,
        "text": units.text_in(unit, value),
    }


def _step(step: Step, system: str) -> dict[str, Any]:
    eq = step.equation
    return {
        "symbol": eq.symbol,
        "label": eq.label,
        "formula": eq.formula,
        "words": eq.words,
        "where": [
            _symbol_data(name, symbol.label, symbol.kind, symbol.unit, step.values[name], system)
            for name, symbol in eq.where.items()
        ],
        "result": _symbol_data(eq.symbol, eq.label, eq.kind, eq.unit, step.result, system),
        "source": eq.cite.data(),
    }


def _axis(axis: Axis, system: str) -> tuple[dict[str, str], units.Unit]:
    unit = axis.kind.unit(axis.unit) if axis.unit else axis.kind.default_unit(system)
    return {"label": axis.label, "unit": unit.text}, unit


def chart_data(chart: Any, system: str) -> dict[str, Any]:
    """Return a chart as plain data, its numbers in the units of `system`."""
    found: dict[str, Any] = {
        "id": chart.id,
        "title": chart.title,
        "summary": as_text(chart.summary, system),
    }
    if isinstance(chart, LineChart):
        x_axis, x_unit = _axis(chart.x, system)
        y_axis, y_unit = _axis(chart.y, system)
        x, y = x_unit.from_si, y_unit.from_si
        return found | {
            "type": "lines",
            "x": x_axis,
            "y": y_axis,
            "series": [
                {"label": s.label, "role": s.role, "points": [[x(a), y(b)] for a, b in s.points]}
                for s in chart.series
            ],
            "levels": [
                {
                    "label": level.label,
                    "role": level.role,
                    "value": y(level.value),
                    "text": units.text_in(y_unit, level.value),
                }
                for level in chart.levels
            ],
            "marks": [
                {
                    "label": m.label,
                    "x": x(m.x),
                    "y": y(m.y),
                    "text": units.text_in(y_unit, m.y),
                }
                for m in chart.marks
            ],
        }
    if isinstance(chart, BarChart):
        unit = chart.kind.default_unit(system)
        return found | {
            "type": "bars",
            "unit": unit.text,
            "bars": [
                {
                    "label": bar.label,
                    "value": unit.from_si(bar.value),
                    "low": None if bar.low is None else unit.from_si(bar.low),
                    "high": None if bar.high is None else unit.from_si(bar.high),
                    "text": units.text_in(unit, bar.value),
                }
                for bar in chart.bars
            ],
        }
    if isinstance(chart, VesselSection):
        return found | {
            "type": "vessel",
            "states": [
                {
                    "label": s.label,
                    "water_fraction": s.water_fraction,
                    "text": units.quantity_text(s.pressure, units.GAUGE_PRESSURE, system),
                }
                for s in chart.states
            ],
        }
    if isinstance(chart, ResultTable):
        return found | {
            "type": "table",
            "corner": chart.corner,
            "turned": chart.turned,
            "columns": [
                {"label": c.label, "unit": unit.text if unit else ""}
                for c, unit in ((c, _column_unit(c, system)) for c in chart.columns)
            ],
            "rows": [
                {
                    "label": row.label,
                    "cells": [
                        _cell(cell, column, system)
                        for cell, column in zip(row.cells, chart.columns, strict=True)
                    ],
                }
                for row in chart.rows
            ],
        }
    raise TypeError(type(chart).__name__)


def _column_unit(column: ResultColumn, system: str) -> units.Unit | None:
    if column.kind is None:
        return None
    return column.kind.unit(column.unit) if column.unit else column.kind.default_unit(system)


def _cell(cell: Any, column: ResultColumn, system: str) -> dict[str, Any]:
    """Return a cell as its value and its text; the unit stands once, in the column's head."""
    if cell is None:
        return {"value": None, "text": "–"}
    unit = _column_unit(column, system)
    if unit is None:
        text = as_text(cell, system)
        return {"value": text, "text": text}
    value = unit.from_si(cell)
    if not math.isfinite(value):
        raise ArithmeticError(f"{column.label} came out as {value}")
    return {"value": value, "text": units.number_text(value, unit.step, unit.figures)}


def converted(id: str, entries: Mapping[str, Any], system: str, origin: str = "") -> dict[str, Any]:
    """Return entries of a calculator with quantities in the units of `system`; see `entries`."""
    return move(calculator(id), entries, system, origin)


def respond(text: str) -> str:
    """Answer one JSON request ``{"op": ...}`` with JSON; the worker's whole vocabulary."""
    return json.dumps(answer(json.loads(text)), allow_nan=False)


def answer(request: Mapping[str, Any]) -> dict[str, Any]:
    """Answer one request given as plain data."""
    op = request.get("op")
    system = request.get("system", "si")
    if op == "list":
        return {"calculators": listing()}
    if op == "describe":
        return description(request["calculator"], system)
    if op == "run":
        working = request.get("working", True) is not False
        return run(request["calculator"], request.get("inputs", {}), system, working=working)
    if op == "convert":
        return {
            "inputs": converted(
                request["calculator"], request.get("inputs", {}), system, request.get("from", "")
            )
        }
    if op in ("job-read", "job-write", "job-book", "job-csv"):
        from calc import jobfile

        return jobfile.answer(op, request)
    if op == "evidence":
        from calc import evidence

        return evidence.rerun(int(request["index"]))
    if op == "version":
        import platform

        import pint

        return {"python": platform.python_version(), "pint": pint.__version__}
    raise ValueError(f"unknown request {op!r}")

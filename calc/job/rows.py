"""A job as rows of a table that any spreadsheet reads: one value a row."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from calc.files.seen import csv_lines
from calc.job.ledger import book

HEAD = ("part", "time", "subject", "item", "value", "unit", "plus_minus", "note")
_FIRST_WORD = re.compile(r"\S*")


def csv_text(job: Mapping[str, Any], system: str = "si") -> str:
    """Return a job as comma-separated values with a head, lines ended as RFC 4180 has them."""
    return csv_lines((HEAD, *_rows(book(job, system))))


def _row(
    part: str, at: str, subject: str, item: str, value: str, note: str = "", *unit: str
) -> tuple[str, ...]:
    own, band = unit or ("", "")
    return (part, at, subject, item, value, own, band, note)


def _measured(entry: Mapping[str, str]) -> tuple[str, str]:
    return entry["unit"], entry["pm"]


def _rows(found: Mapping[str, Any]) -> Iterator[tuple[str, ...]]:
    yield _row("job", found["created"], found["name"], "id", found["id"])
    for about in found["about"]:
        yield _row("about", about["at"], about["name"], about["label"], about["text"])
    for fact in found["facts"]:
        yield _fact_row(fact)
    for reading in found["readings"]:
        yield from _reading_rows(reading)
    for page in found["pages"]:
        for step in page["steps"]:
            state = step["answer"] if step["kind"] == "stop" else _yes(step["ticked"])
            at = step["at"]
            yield _row(step["kind"], at, page["page"], step["text"], state, step["note"])
    for todo in found["todos"]:
        yield _row("to do", todo["at"], todo["for"], todo["text"], _yes(todo["done"]))
    for pin in found["pins"]:
        yield from _pin_rows(pin)


def _yes(done: bool) -> str:
    return "yes" if done else "no"


def _fact_row(fact: Mapping[str, Any]) -> tuple[str, ...]:
    entry, origin = fact["entry"], fact["origin"]
    note = f"{origin['how']}: {origin['title']}"
    at, name, label = fact["at"], fact["name"], fact["label"]
    return _row("fact", at, name, label, entry["value"], note, *_measured(entry))


def _reading_rows(reading: Mapping[str, Any]) -> Iterator[tuple[str, ...]]:
    at, id, note = reading["at"], reading["id"], reading["note"]
    if reading["pump"]:
        yield _row("reading", at, id, "Pump", reading["pump_text"], note)
    for value in reading["values"].values():
        entry = value["entry"]
        yield _row("reading", at, id, value["label"], entry["value"], note, *_measured(entry))
    if note and not reading["pump"] and not reading["values"]:
        yield _row("reading", at, id, "Note", "", note)


def _pin_rows(pin: Mapping[str, Any]) -> Iterator[tuple[str, ...]]:
    part, at, calculator = f"result {pin['phase']}", pin["at"], pin["calculator"]
    for entry in pin["inputs"]:
        yield _row(f"{part}, entry", at, calculator, entry["label"], entry["text"])
    for result in pin["results"]:
        number = result["now"] or result["recorded"]
        note = result["difference"]
        if result["now"] is None and not note:
            note = "recorded; not worked out again"
        band = _FIRST_WORD.match(number["plus_minus_text"])
        unit = number["unit"], band[0] if band else ""
        yield _row(part, at, calculator, result["label"], number["value"], note, *unit)
    for check in pin["checks"]:
        yield _row(
            f"{part}, check", at, calculator, check["label"], check["status"], check["message"]
        )

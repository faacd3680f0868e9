"""Requests about assignments and results: files read and written, the printed sheet, the table."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from calc.files.canon import FileRefusal
from calc.training import assignment as assignments
from calc.training import coursefile

Request = Mapping[str, Any]


def answer(op: str, request: Request) -> dict[str, Any]:
    """Answer one request; a refusal comes as ``{"errors": [{"field", "message"}]}``."""
    asked = _ASKED.get(op)
    if asked is None:
        raise ValueError(f"unknown request {op!r}")
    try:
        return asked(request)
    except FileRefusal as refused:
        return {"errors": [{"field": refused.field, "message": refused.message}]}


def _read(request: Request) -> dict[str, Any]:
    found, notes = coursefile.read_assignment(request.get("text"))
    return {"assignment": found, "notes": notes}


def _write(request: Request) -> dict[str, Any]:
    text, notes = coursefile.write_assignment(request.get("assignment"))
    return {"text": text, "notes": notes}


def _problems(request: Request) -> dict[str, Any]:
    found, _ = assignments.sound(request.get("assignment"))
    words = [assignments.item_words(item) for item in found["items"]]
    return {"items": assignments.tasks(found, str(request.get("trainee", ""))), "words": words}


def _results_write(request: Request) -> dict[str, Any]:
    return {"text": coursefile.write_result(request.get("result"))}


def _results_read(request: Request) -> dict[str, Any]:
    return {"result": coursefile.read_result(request.get("text"))}


_ASKED: Mapping[str, Callable[[Request], dict[str, Any]]] = {
    "course-read": _read,
    "course-write": _write,
    "course-problems": _problems,
    "results-write": _results_write,
    "results-read": _results_read,
}

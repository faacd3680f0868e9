"""HTML of problems, worksheets, drills and assignments; fetched by the engine when asked for."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module
from typing import Any

PARTS = {
    "problem": "problems",
    "worksheet": "worksheets",
    "drill": "drills",
    "course": "course",
    "results": "course",
}


def answer(op: str, request: Mapping[str, Any]) -> dict[str, Any]:
    """Answer a request whose op begins with a name in `PARTS` and a hyphen."""
    part = import_module(f"view.training.{PARTS[op.partition('-')[0]]}")
    return part.answer(op, request)

"""HTML from calculator answers: the same code at build time and in the reader's browser.

Imports `calc`, never the other way round. Knows no browser, no network and no file but the
evidence rows that `calc.evidence` reads.
"""

from __future__ import annotations

import json

from calc import bridge
from view import answer as answers
from view.pages import all_sources as sources
from view.pages import (
    calculator,
    calculator_index,
    evidence_groups,
    evidence_index,
    evidence_table,
    evidence_title,
)

__all__ = [
    "calculator",
    "calculator_index",
    "evidence_groups",
    "evidence_index",
    "evidence_table",
    "evidence_title",
    "respond",
    "sources",
]


def respond(text: str) -> str:
    """Answer one JSON request as `calc.bridge` does; a run also brings its HTML and a summary."""
    request = json.loads(text)
    answer = bridge.answer(request)
    if request.get("op") != "run" or "errors" in answer:
        return json.dumps(answer, allow_nan=False)
    return json.dumps(
        {"answer": answer, "html": answers.parts(answer), "summary": answers.summary(answer)},
        allow_nan=False,
    )

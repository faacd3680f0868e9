"""HTML from calculator answers: the same code at build time and in the reader's browser.

Imports `calc`, never the other way round. Knows no browser, no network and no file but the
evidence rows that `calc.evidence` reads.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from calc import bridge
from view import answer as answers
from view import training
from view.pages import all_sources as sources
from view.pages import (
    book,
    calculator,
    calculator_index,
    evidence_groups,
    evidence_index,
    evidence_table,
    evidence_title,
)

__all__ = [
    "book",
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
    """Answer one JSON request as `calc.bridge` does; a run also brings its HTML and a summary.

    A run that is asked without its working leaves out what only stands in its HTML, too.
    """
    request = json.loads(text)
    if request.get("op") == "readings-view":
        return json.dumps(_readings(request), allow_nan=False)
    if request.get("op") == "job-report":
        return json.dumps(_job_report(request), allow_nan=False)
    if str(request.get("op")).partition("-")[0] in training.PARTS:
        return json.dumps(training.answer(request["op"], request), allow_nan=False)
    answer = bridge.answer(request)
    if request.get("op") != "run" or "errors" in answer:
        return json.dumps(answer, allow_nan=False)
    told = {"html": answers.parts(answer), "summary": answers.summary(answer)}
    if "step_count" in answer:
        answer = {name: answer[name] for name in ("id", "title", "system", "results", "checks")}
    return json.dumps({"answer": answer, **told}, allow_nan=False)


def _readings(request: Mapping[str, Any]) -> dict[str, Any]:
    from view import readings

    return readings.page(
        request.get("readings", []),
        request.get("inputs", {}),
        request.get("system", "si"),
        request.get("pairs"),
    )


def _job_report(request: Mapping[str, Any]) -> dict[str, Any]:
    """Return the report of a job as HTML; the view never meets a job that is not sound."""
    from calc import jobfile
    from view.report import report

    book = jobfile.answer("job-book", request)
    if "errors" in book:
        return book
    return {"html": report(book, request["job"], str(request.get("now", "")))}

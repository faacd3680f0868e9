"""Requests about assignments and results: files read and written, what can be set, the table."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping
from typing import Any

from calc import bridge, units
from calc.calculators import CALCULATORS, calculator
from calc.entries import default_entry, entry_as_text
from calc.files.canon import FileRefusal
from calc.training import assignment as assignments
from calc.training import catalogue, coursefile, results
from calc.training.places import PLACES
from calc.training.rows import csv_text
from calc.training.standing import Standing, grouped, standing
from view.form import form
from view.training import class_table, course_sheet
from view.training.asking import Answer, Request, answered

MOST_FILES = 500


def answer(op: str, request: Request) -> Answer:
    """Answer one request; a refusal comes as ``{"errors": [{"field", "message"}]}``."""
    return answered(_ASKED, op, request)


def _read(request: Request) -> Answer:
    found, notes = coursefile.read_assignment(request.get("text"))
    return {"assignment": found, "notes": notes}


def _write(request: Request) -> Answer:
    text, notes = coursefile.write_assignment(request.get("assignment"))
    return {"text": text, "notes": notes}


def _problems(request: Request) -> Answer:
    found, _ = assignments.sound(request.get("assignment"))
    words = [assignments.item_words(item) for item in found["items"]]
    return {"items": assignments.tasks(found, str(request.get("trainee", ""))), "words": words}


def _options(request: Request) -> Answer:
    return {
        "pages": [
            {
                "id": place.id,
                "title": place.title,
                "phase": place.phase,
                "procedure": place.procedure,
                "calculators": [
                    {"id": id, "title": calculator(id).title} for id in place.calculators
                ],
            }
            for place in PLACES
        ],
        "checklists": [{"id": p.id, "title": p.title} for p in PLACES if p.procedure],
        "families": [
            {
                "id": id,
                "title": catalogue.family_title(id),
                "levels": [{"id": level, "title": title} for level, title in levels.items()],
            }
            for id, levels in catalogue.families().items()
        ],
        "drills": [{"id": id, "title": title} for id, title in catalogue.drills().items()],
        "systems": list(units.SYSTEMS),
        "counts": [{"id": id, "title": title} for id, title in _COUNTS.items()],
        "limits": {
            "items": assignments.MOST_ITEMS,
            "count": assignments.MOST_COUNT,
            "problems": assignments.MOST_PROBLEMS,
            "drills": assignments.MOST_DRILLS,
            "title": assignments.LONGEST_TITLE,
            "note": assignments.LONGEST_NOTE,
            "trainee": assignments.LONGEST_NAME,
        },
    }


_COUNTS = {"first": "The first try counts", "last": "The last try counts"}


def _form(request: Request) -> Answer:
    """Return the form of a calculator, for setting the numbers that a trainee finds on its page."""
    chosen, system = _chosen(request)
    return {"html": form(chosen, system)}


def _preset(request: Request) -> Answer:
    """Return entries of a form as the inputs of a page in an assignment; examples are left out."""
    chosen, system = _chosen(request)
    given = request.get("values")
    given = given if isinstance(given, Mapping) else {}
    values = {
        entry.name: entry_as_text(entry, given[entry.name])
        for entry in chosen.inputs
        if entry.name in given and given[entry.name] != default_entry(entry, system)
    }
    found = bridge.run(chosen.id, {n: given[n] for n in values}, system)
    inputs = {"calculator": chosen.id, "system": system, "values": values}
    errors = [{k: e[k] for k in ("field", "message")} for e in found.get("errors", ())]
    words = course_sheet.inputs_in_words(inputs, system)
    return {"inputs": inputs, "words": words} | ({"errors": errors} if errors else {})


def _chosen(request: Request) -> tuple[Any, str]:
    id, system = request.get("calculator"), request.get("system", "si")
    if id not in {c.id for c in CALCULATORS}:
        raise FileRefusal("There is no such calculator. Choose another.", field="calculator")
    if system not in units.SYSTEMS:
        raise FileRefusal("Choose si or us.", field="system")
    return calculator(id), system


def _sheet(request: Request) -> Answer:
    found, _ = assignments.sound(request.get("assignment"))
    system = request.get("system", found["system"])
    return {"html": course_sheet.sheet(found, system if system in units.SYSTEMS else "si")}


def _results_write(request: Request) -> Answer:
    return {"text": coursefile.write_result(request.get("result"))}


def _results_read(request: Request) -> Answer:
    return {"result": coursefile.read_result(request.get("text"))}


def _standing(request: Request) -> Answer:
    """Return where a trainee stands, by the same rules as the trainer's table."""
    found = results.sound(coursefile.without_nothing(request.get("result")))
    return standing(found).data()


_marked: dict[str, tuple[Mapping[str, Any], Standing]] = {}
"""Files marked before, by their text: a class is marked file by file, then put into a table."""


def _mark_file(text: Any) -> tuple[Mapping[str, Any], Standing]:
    key = hashlib.sha256(str(text).encode("utf-8", "surrogatepass")).hexdigest()
    if key not in _marked:
        found = coursefile.read_result(text)
        if len(_marked) >= MOST_FILES:
            _marked.clear()
        _marked[key] = (found, standing(found))
    return _marked[key]


def _results_mark(request: Request) -> Answer:
    """Mark one file and keep its marks: a whole class takes longer than one request may."""
    result, one = _mark_file(request.get("text"))
    return {"standing": one.data(), "title": result["assignment"]["title"]}


def _results_table(request: Request) -> Answer:
    own = request.get("assignment")
    if own is not None:
        own, _ = assignments.sound(own)
    texts = request.get("texts")
    if not isinstance(texts, list) or len(texts) > MOST_FILES:
        raise FileRefusal(f"Choose up to {MOST_FILES} files.", field="texts")
    files, errors = [], []
    for given in texts:
        name, text = str(given.get("name", "")), given.get("text")
        try:
            files.append((name, *_mark_file(text)))
        except FileRefusal as refused:
            errors.append((name, refused.message))
    groups, told = grouped(files, own)
    return {
        "html": class_table.tables(groups, [*errors, *told]),
        "csv": csv_text(groups),
        "errors": [{"name": name, "message": message} for name, message in (*errors, *told)],
    }


_ASKED: Mapping[str, Callable[[Request], Answer]] = {
    "course-read": _read,
    "course-write": _write,
    "course-problems": _problems,
    "course-options": _options,
    "course-form": _form,
    "course-preset": _preset,
    "course-sheet": _sheet,
    "results-write": _results_write,
    "results-read": _results_read,
    "results-standing": _standing,
    "results-mark": _results_mark,
    "results-table": _results_table,
}

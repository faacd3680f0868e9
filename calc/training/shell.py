"""Problems, assignments and results from a shell.

Each command returns what it found, how that is printed as text, and what was refused.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping
from typing import Any

from calc.files.canon import LARGEST_WHOLE, FileRefusal
from calc.files.opened import file_text, not_there
from calc.training import catalogue, coursefile, lines
from calc.training.marking import Marks, mark, units_offered
from calc.training.problem import problem
from calc.training.rows import csv_text
from calc.training.standing import Group, grouped, standing

Errors = list[dict[str, Any]]
Found = tuple[Any, Callable[[Any], str], Errors]


def add_commands(commands: Any, json_flag: Any, system_flag: Any) -> None:
    """Add the commands to a parser's own."""
    asked = commands.add_parser(
        "problem", parents=[json_flag, system_flag], help="set a problem by its seed, and mark it"
    )
    asked.add_argument("family", help="such as pre-charge; an unknown one lists them all")
    asked.add_argument("--seed", type=_seed, default=0, help="whole number; the same sets the same")
    asked.add_argument("--level", default="first", help="first, usual or hard")
    asked.add_argument(
        "--answer", action="append", default=[], metavar="part=value", help='charge="1.5 bar"'
    )
    one = commands.add_parser("assignment", parents=[json_flag], help="read an assignment's file")
    one.add_argument("file", metavar="FILE", help="such as week-3.assignment.json; - for a pipe")
    several = commands.add_parser(
        "results", parents=[json_flag], help="mark the files of a class again, into one table"
    )
    several.add_argument("files", metavar="FILE", nargs="+", help="such as *.result.json")
    several.add_argument("--assignment", metavar="FILE", help="keep work on any other apart")
    several.add_argument("--csv", action="store_true", help="print rows for a spreadsheet")


def _seed(text: str) -> int:
    if not (text.isascii() and text.isdigit() and int(text) <= LARGEST_WHOLE):
        raise argparse.ArgumentTypeError(f"has to be a whole number from 0 to {LARGEST_WHOLE}")
    return int(text)


def _assignment(given: argparse.Namespace) -> Found:
    try:
        found, notes = coursefile.read_assignment(file_text(given.file, coursefile.ASSIGNMENT))
    except FileRefusal as refused:
        return None, str, [{"field": refused.field, "message": refused.message}]
    except OSError as failed:
        return None, str, [{"field": "", "message": not_there(given.file, failed)}]
    return {"assignment": found, "notes": notes}, lines.assignment_text, []


def _results(given: argparse.Namespace) -> Found:
    own = None
    files, told, refused = [], [], []
    if given.assignment:
        text, error = _text(given.assignment, coursefile.ASSIGNMENT)
        try:
            own = coursefile.read_assignment(text)[0] if not error else None
        except FileRefusal as wrong:
            error = wrong.message
        if error:
            return None, str, [{"field": given.assignment, "message": error}]
    for file in given.files:
        text, error = _text(file, coursefile.RESULT)
        try:
            found = coursefile.read_result(text) if not error else None
        except FileRefusal as wrong:
            error = wrong.message
        if error:
            refused.append({"field": file, "message": error})
        else:
            files.append((file, found, standing(found)))
    groups, told = grouped(files, own)
    if not files:
        return None, str, refused
    if given.csv:
        return {"csv": csv_text(groups)}, lambda found: found["csv"].rstrip("\r\n"), refused
    data = {
        "groups": [_group(group) for group in groups if group.standings],
        "told": [{"name": name, "message": message} for name, message in told],
        "errors": refused,
    }
    return data, lambda _: lines.class_text(groups, told), refused


def _text(file: str, kind: Any) -> tuple[str, str]:
    """Return the text of a file, and what is said where it cannot be had."""
    try:
        return file_text(file, kind), ""
    except FileRefusal as refused:
        return "", refused.message
    except OSError as failed:
        return "", not_there(file, failed)


def _group(group: Group) -> dict[str, Any]:
    return {
        "assignment": group.assignment,
        "trainees": [one.data() for one in group.standings],
        "mistakes": [
            {"id": id, "trainees": who, "times": times} for id, who, times in group.mistakes()
        ],
        "states": dict(group.states()),
    }


def _problem(given: argparse.Namespace) -> Found:
    levels = catalogue.families().get(given.family)
    if levels is None:
        listed = ", ".join(catalogue.families())
        message = f"There is no kind of problem “{given.family}”. Choose one of: {listed}."
        return None, str, [{"field": "family", "message": message}]
    if given.level not in levels:
        message = f"It has no level “{given.level}”. Choose one of: {', '.join(levels)}."
        return None, str, [{"field": "level", "message": message}]
    found = problem(given.family, given.level, given.seed, given.system)
    names = [part.name for part in found.parts]
    answers = {}
    for word in given.answer:
        name, equals, text = word.partition("=")
        if not equals or name not in names:
            message = f"“{word}” is no answer. Write one of {', '.join(names)}, = and a value."
            return None, str, [{"field": "answer", "message": message}]
        answers[name] = {"value": text}
    data: dict[str, Any] = {
        "problem": {
            "family": given.family,
            "level": given.level,
            "seed": given.seed,
            "system": given.system,
        },
        "title": found.title,
        "situation": found.situation,
        "givens": [{"label": label, "text": text} for label, text in found.givens],
        "parts": [
            {"name": part.name, "label": part.label, "units": units_offered(part.kind)}
            for part in found.parts
        ],
    }
    if answers:
        data["marks"] = _marks(mark(found, answers), answers)
    return data, lines.problem_text, []


def _marks(marks: Marks, answers: Mapping[str, Mapping[str, str]]) -> dict[str, Any]:
    return {
        "points": marks.points,
        "most": marks.most,
        "parts": [
            {
                "name": part.name,
                "answer": answers.get(part.name, {}).get("value", ""),
                "state": part.state,
                "points": part.points,
                "most": part.most,
                "message": part.message,
                "mistake": part.mistake,
                "step": part.step,
            }
            for part in marks.parts
        ],
    }


COMMANDS: Mapping[str, Callable[[argparse.Namespace], Found]] = {
    "problem": _problem,
    "assignment": _assignment,
    "results": _results,
}

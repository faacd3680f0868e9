"""The files of assignments and results: JSON text to sound data, and back.

Whatever the text is, reading gives something sound or a FileRefusal with a plain sentence.
The format is described in the book.
"""

from __future__ import annotations

from typing import Any

from calc.files.canon import FileRefusal
from calc.files.opened import AGAIN, FileKind
from calc.training import assignment as assignments
from calc.training import results

CHANGED = "This file was changed or cut after it was written: its checksum does not fit. " + AGAIN

ASSIGNMENT = FileKind(
    format="cold-fill-assignment",
    version=1,
    body="assignment",
    longest=400_000,
    most_parts=20_000,
    deepest=assignments.DEEPEST + 2,
    digits=16,
    numbers=True,
    not_ours=(
        "This is not an assignment of the handbook. "
        "Choose a file whose name ends in .assignment.json."
    ),
    not_text=(
        "This file is not a text, or it was damaged. "
        "Choose a file whose name ends in .assignment.json, or ask for it again."
    ),
    too_big="This file is too big for an assignment. Ask for it again.",
)

RESULT = FileKind(
    format="cold-fill-result",
    version=1,
    body="result",
    longest=4_000_000,
    most_parts=200_000,
    deepest=results.DEEPEST + 2,
    digits=16,
    numbers=True,
    not_ours=(
        "This is not a trainee's result from the handbook. "
        "Choose a file whose name ends in .result.json."
    ),
    not_text=(
        "This file is not a text, or it was damaged. "
        "Choose a file whose name ends in .result.json, or ask for it again."
    ),
    too_big="This file is too big for a result. Ask for it again.",
)

MISTAKEN = {
    "cold-fill-assignment": "This is an assignment, with no answers in it. Ask for the trainee's "
    "result: its name ends in .result.json.",
    "cold-fill-result": "This is a trainee's result, not an assignment. "
    "Open it on the page “Collect results”.",
}
"""What is said where one kind of file is given for the other."""


def read_assignment(text: Any) -> tuple[dict[str, Any], list[str]]:
    """Return the assignment of a file, and what is told about it. Raises FileRefusal."""
    body, seal = _opened(ASSIGNMENT, RESULT, text)
    try:
        found, notes = assignments.sound(body)
    except FileRefusal as wrong:
        raise FileRefusal(f"{wrong.message} {AGAIN}", field=wrong.field) from None
    if seal != ASSIGNMENT.sum(body):
        raise FileRefusal(CHANGED)
    return found, notes


def write_assignment(data: Any) -> tuple[str, list[str]]:
    """Return the text of an assignment's file, and what is told. Raises FileRefusal."""
    found, notes = assignments.sound(data)
    return ASSIGNMENT.written(found), notes


def read_result(text: Any) -> dict[str, Any]:
    """Return the result of a file. Raises FileRefusal."""
    body, seal = _opened(RESULT, ASSIGNMENT, text)
    try:
        found = results.sound(body)
    except FileRefusal as wrong:
        raise FileRefusal(f"{wrong.message} {AGAIN}", field=wrong.field) from None
    if seal != RESULT.sum(body):
        raise FileRefusal(CHANGED)
    return found


def write_result(data: Any) -> str:
    """Return the text of a result's file. Raises FileRefusal."""
    return RESULT.written(results.sound(without_nothing(data)))


def _opened(kind: FileKind, other: FileKind, text: Any) -> tuple[Any, Any]:
    try:
        return kind.opened(text)
    except FileRefusal:
        mistaken = isinstance(text, str) and f'"format":"{other.format}"' in text[:300]
        if mistaken and text.lstrip("\ufeff \n\t\r").startswith("{"):
            raise FileRefusal(MISTAKEN[other.format]) from None
        raise


def without_nothing(data: Any) -> Any:
    """Return a result without the diagnoses that were not made, which a page holds as null."""
    if not isinstance(data, dict) or not isinstance(data.get("items"), list):
        return data
    return data | {"items": [_item_without_nothing(item) for item in data["items"]]}


def _item_without_nothing(item: Any) -> Any:
    if not isinstance(item, dict) or not isinstance(item.get("attempts"), list):
        return item
    attempts = [
        {k: v for k, v in one.items() if not (k == "diagnosis" and v is None)}
        if isinstance(one, dict)
        else one
        for one in item["attempts"]
    ]
    return item | {"attempts": attempts}

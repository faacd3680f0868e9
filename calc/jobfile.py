"""The file of a job: JSON text to a sound job, and back. The format is described in the book.

Whatever the text is, reading gives a sound job or a JobRefusal with a plain sentence.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from calc.job import book, csv_text
from calc.job.canon import DEEPEST, JobRefusal, canonical, checksum
from calc.job.records import SCRATCH, sound

FORMAT = "cold-fill-job"
VERSION = 1
LONGEST_FILE = 40_000_000
MOST_PARTS = 1_000_000
"""Commas and brackets of a file: what a reader's memory has to hold."""

# A text runs to its end or to the end of the file, so that a hostile one is looked at only once.
_PART = re.compile(r'"(?:[^"\\]+|\\.)*+(?:"|\\?\Z)|[\[\]{},]', re.DOTALL)
_INSIDE = DEEPEST + 4

CHANGED = (
    "This file was changed or cut after it was written: its checksum does not fit. "
    "Ask for the file again, or read it anyhow as a copy and check every number."
)
READ_ANYHOW = (
    "This file was changed or cut after it was written: its checksum does not fit. "
    "It was read anyhow. Check every number before you rely on it."
)
NOT_OURS = "This is not a job file of the handbook. Choose a file whose name ends in .job.json."
CUT = "This file was cut off or damaged: it ends too early. Ask for the file again."
NEWER = (
    "This file was made by a newer edition of the handbook. Update the handbook, then try again."
)
EMPTY = "This file is empty. Ask for the file again."
TOO_BIG = "This file is too big for a job. Ask for it again, with fewer photos."
NOT_TEXT = (
    "This file is not a text, or it was damaged. "
    "Choose a file whose name ends in .job.json, or ask for it again."
)
TWICE = (
    "In this file one name stands twice, which the handbook never writes. Ask for the file again."
)
UNNAMED = "The job in this file has no id of its own. Ask for the file again."
NO_JOB = "No job is open, so there is nothing to write. Begin a job first."


class _Number:
    """A number of the file, which only the version may be."""


def read(text: str, force: bool = False) -> tuple[dict[str, Any], list[str]]:
    """Return the job of a file and what is told about it; `force` reads past a broken checksum.

    Raises JobRefusal.
    """
    data = _parsed(text)
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise JobRefusal(NOT_OURS)
    version = data.get("version")
    if type(version) is not int or version < 1:
        raise JobRefusal("The file's version is not a number from 1 up. Ask for the file again.")
    if version > VERSION:
        raise JobRefusal(NEWER)
    if data.keys() != {"format", "version", "checksum", "job"}:
        raise JobRefusal(
            "The file has to hold format, version, checksum and job, and nothing else. "
            "Ask for the file again."
        )
    try:
        job, notes = sound(data["job"])
    except JobRefusal as wrong:
        raise JobRefusal(f"{wrong.message} Ask for the file again.") from None
    if job["id"] == SCRATCH:
        raise JobRefusal(UNNAMED)
    if data["checksum"] == checksum(job):
        return job, notes
    if not force:
        raise JobRefusal(CHANGED, mendable=True)
    return job, [READ_ANYHOW, *notes]


def write(job: Mapping[str, Any]) -> str:
    """Return the text of a job's file, one record a line. Raises JobRefusal."""
    job, _ = sound_here(job)
    if job["id"] == SCRATCH:
        raise JobRefusal(NO_JOB)
    head = f'"checksum":"{checksum(job)}","format":"{FORMAT}","version":{VERSION},"job":{{'
    parts = ",\n".join(f"{canonical(name)}:{_lines(job[name])}" for name in sorted(job))
    text = f"{{{head}\n{parts}\n}}}}\n"
    if len(text) > LONGEST_FILE:
        raise JobRefusal(TOO_BIG)
    return text


def sound_here(job: Any) -> tuple[dict[str, Any], list[str]]:
    """Return a job of this device that is sound, or refuse with what to do about it here."""
    try:
        return sound(job)
    except JobRefusal as wrong:
        raise JobRefusal(f"{wrong.message} Mend or remove it in the job, then try again.") from None


def _lines(value: Any) -> str:
    if not isinstance(value, dict) or not value:
        return canonical(value)
    inside = ",\n".join(f"{canonical(name)}:{canonical(value[name])}" for name in sorted(value))
    return f"{{\n{inside}\n}}"


def _parsed(text: Any) -> Any:
    if not isinstance(text, str):
        raise JobRefusal(NOT_TEXT)
    if len(text) > LONGEST_FILE:
        raise JobRefusal(TOO_BIG)
    text = text.removeprefix("\ufeff")
    if not text.strip():
        raise JobRefusal(EMPTY)
    ours = f'"{FORMAT}"' in text[:4000]
    _counted(text, ours)
    try:
        return json.loads(
            text,
            parse_int=lambda digits: int(digits) if len(digits) < 9 else _Number(),
            parse_float=lambda digits: _Number(),
            parse_constant=_no_constant,
            object_pairs_hook=_once,
        )
    except JobRefusal:
        raise
    except (ValueError, RecursionError):
        raise JobRefusal(CUT if ours else NOT_OURS) from None


def _no_constant(name: str) -> None:
    raise ValueError(name)


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise JobRefusal(TWICE)
    return found


def _counted(text: str, ours: bool) -> None:
    """Refuse a text with more parts, or deeper ones, than a job can have, before it is built."""
    depth = parts = 0
    for found in _PART.finditer(text):
        sign = text[found.start()]
        if sign == '"':
            continue
        parts += 1
        if sign in "[{":
            depth += 1
        elif sign in "]}":
            depth -= 1
        if depth > _INSIDE or parts > MOST_PARTS:
            raise JobRefusal(TOO_BIG if ours and parts > MOST_PARTS else NOT_OURS)


def answer(op: str, request: Mapping[str, Any]) -> dict[str, Any]:
    """Answer one of the requests about a job; a refusal comes as ``{"errors": [...]}``."""
    system = request.get("system", "si")
    try:
        if op == "job-read":
            job, notes = read(request.get("text"), request.get("force") is True)
            return {"job": job, "notes": notes}
        if op == "job-write":
            return {"text": write(request.get("job"))}
        job, _ = sound_here(request.get("job"))
        if op == "job-book":
            return book(job, system, str(request.get("now", "")))
        return {"text": csv_text(job, system)}
    except JobRefusal as refused:
        return {
            "errors": [{"field": "", "message": refused.message}],
            "mendable": refused.mendable,
        }

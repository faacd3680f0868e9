"""The file of a job: JSON text to a sound job, and back. The format is described in the book.

Whatever the text is, reading gives a sound job or a FileRefusal with a plain sentence.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from calc.files.canon import DEEPEST, FileRefusal, canonical
from calc.files.opened import AGAIN, FileKind
from calc.job import book, csv_text
from calc.job.records import SCRATCH, sound

LONGEST_FILE = 40_000_000
MOST_PARTS = 1_000_000

CHANGED = (
    "This file was changed or cut after it was written: its checksum does not fit. "
    "Ask for the file again, or read it anyhow as a copy and check every number."
)
READ_ANYHOW = (
    "This file was changed or cut after it was written: its checksum does not fit. "
    "It was read anyhow. Check every number before you rely on it."
)
NOT_OURS = "This is not a job file of the handbook. Choose a file whose name ends in .job.json."
TOO_BIG = "This file is too big for a job. Ask for it again, with fewer photos."
NOT_TEXT = (
    "This file is not a text, or it was damaged. "
    "Choose a file whose name ends in .job.json, or ask for it again."
)
UNNAMED = f"The job in this file has no id of its own. {AGAIN}"
NO_JOB = "No job is open, so there is nothing to write. Begin a job first."

KIND = FileKind(
    format="cold-fill-job",
    version=1,
    body="job",
    longest=LONGEST_FILE,
    most_parts=MOST_PARTS,
    deepest=DEEPEST + 4,
    digits=8,
    numbers=False,
    not_ours=NOT_OURS,
    not_text=NOT_TEXT,
    too_big=TOO_BIG,
)


def read(text: str, force: bool = False) -> tuple[dict[str, Any], list[str]]:
    """Return the job of a file and what is told about it; `force` reads past a broken checksum.

    Raises FileRefusal.
    """
    body, seal = KIND.opened(text)
    try:
        job, notes = sound(body)
    except FileRefusal as wrong:
        raise FileRefusal(f"{wrong.message} {AGAIN}") from None
    if job["id"] == SCRATCH:
        raise FileRefusal(UNNAMED)
    if seal == KIND.sum(job):
        return job, notes
    if not force:
        raise FileRefusal(CHANGED, mendable=True)
    return job, [READ_ANYHOW, *notes]


def write(job: Mapping[str, Any]) -> str:
    """Return the text of a job's file, one record a line. Raises FileRefusal."""
    job, _ = sound_here(job)
    if job["id"] == SCRATCH:
        raise FileRefusal(NO_JOB)
    parts = ",\n".join(f"{canonical(name)}:{_lines(job[name])}" for name in sorted(job))
    text = f"{KIND.head(job)}{{\n{parts}\n}}}}\n"
    if len(text) > LONGEST_FILE:
        raise FileRefusal(TOO_BIG)
    return text


def sound_here(job: Any) -> tuple[dict[str, Any], list[str]]:
    """Return a job of this device that is sound, or refuse with what to do about it here."""
    try:
        return sound(job)
    except FileRefusal as wrong:
        mend = "Mend or remove it in the job, then try again."
        raise FileRefusal(f"{wrong.message} {mend}") from None


def _lines(value: Any) -> str:
    if not isinstance(value, dict) or not value:
        return canonical(value)
    inside = ",\n".join(f"{canonical(name)}:{canonical(value[name])}" for name in sorted(value))
    return f"{{\n{inside}\n}}"


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
    except FileRefusal as refused:
        return {
            "errors": [{"field": "", "message": refused.message}],
            "mendable": refused.mendable,
        }

"""What a job may hold: the kinds of record, their parts, and the limits of all of it.

One validator serves the shell and the browser. What it does not know (a calculator, a part of a
record, a kind of record) it keeps and tells. What is of the wrong kind it refuses.
"""

from __future__ import annotations

import binascii
import re
from collections.abc import Mapping
from typing import Any

from calc.files.canon import FileRefusal, has_half_sign, not_plain
from calc.files.shapes import (
    ID,
    LONGEST_TEXT,
    Each,
    Flag,
    Id,
    Named,
    Parts,
    Text,
    Time,
    Told,
    Wrong,
    signs,
)

MOST_RECORDS = 5000
MOST_PINS = 200
MOST_FORMER = 20
MOST_PHOTOS = 200
MOST_PHOTO_BYTES = 25_000_000
LARGEST_PHOTO = 2_000_000
LONGEST_NAME = 200
LONGEST_KEY = 200
LARGEST_RECORD = 400_000
MOST_SIGNS = 5_000_000
DEEPEST_RECORD = 12

SCRATCH = "scratch"
"""Id of what is typed while no job is open; it never stands in a file."""

_KEY = re.compile(r"[!-~]+")
_NAME = re.compile(r"[ -~]{0,200}")
_BEGINS_JPEG = b"\xff\xd8\xff"


_ENTRY = Parts({"value": Text(), "unit": Text(), "pm": Text()}, ("value",))
_ORIGIN = Parts(
    {"calculator": Text(), "field": Text(), "how": Text(options=("typed", "found"))},
    ("calculator", "field", "how"),
)
_VERSION = {"entry": _ENTRY, "origin": _ORIGIN, "at": Time()}
_SYSTEM = Text(options=("si", "us"))
_RESULT = Parts(
    {
        "name": Text(),
        "label": Text(),
        "text": Text(),
        "unit": Text(),
        "value": Text(),
        "plus_minus_text": Text(),
        "headline": Flag(),
    },
    ("name", "text", "value"),
)
_CHECK = Parts(
    {
        "id": Text(),
        "label": Text(),
        "status": Text(options=("pass", "caution", "fail")),
        "message": Text(),
    },
    ("id", "status"),
)

ABOUT = {
    "where": "Place",
    "who": "Technician",
    "reference": "Reference number",
    "owner": "Owner, or whom to call",
    "called": "Why we were called",
    "found": "What was found",
    "left": "How it was left",
}

PHASES = ("found", "option", "left")
FOR_WHOM = ("us", "owner", "licensed")

KINDS: Mapping[str, tuple[re.Pattern[str], Parts]] = {
    "about": (
        re.compile("|".join(ABOUT)),
        Parts({"text": Text(), "at": Time()}, ("text",)),
    ),
    "fact": (
        re.compile(r"[a-z][a-z0-9_]{0,119}"),
        Parts(
            _VERSION | {"before": Each(Parts(_VERSION, ("entry", "origin")), MOST_FORMER)},
            ("entry", "origin"),
        ),
    ),
    "entries": (
        re.compile(r"[a-z][a-z0-9-]{0,119}"),
        Parts(
            {
                "system": _SYSTEM,
                "values": Named(Text()),
                "taken": Named(Text()),
                "at": Time(),
            },
            ("values",),
        ),
    ),
    "reading": (
        ID,
        Parts(
            {
                "at": Time(),
                "gauge": _ENTRY,
                "temperature": _ENTRY,
                "pump": Text(options=("", "on", "off")),
                "meter": _ENTRY,
                "ph": _ENTRY,
                "charge": _ENTRY,
                "note": Text(),
            }
        ),
    ),
    "step": (
        re.compile(r"[A-Za-z0-9._-]+/[A-Za-z0-9._-]+"),
        Parts(
            {
                "text": Text(),
                "kind": Text(options=("step", "stop")),
                "ticked": Flag(),
                "answer": Text(options=("", "yes", "no")),
                "note": Text(),
                "photos": Each(Id(), MOST_PHOTOS),
                "at": Time(),
                "page_title": Text(),
            },
            ("kind",),
        ),
    ),
    "pin": (
        ID,
        Parts(
            {
                "calculator": Text(),
                "title": Text(),
                "phase": Text(options=PHASES),
                "note": Text(),
                "at": Time(),
                "system": _SYSTEM,
                "inputs": Named(Text()),
                "results": Each(_RESULT),
                "checks": Each(_CHECK),
            },
            ("calculator", "phase", "system", "inputs", "results"),
        ),
    ),
    "todo": (
        ID,
        Parts(
            {"text": Text(), "for": Text(options=FOR_WHOM), "done": Flag(), "at": Time()},
            ("text",),
        ),
    ),
}
"""Each kind of record: what stands after its first slash, and its parts."""


def kind_of(key: str) -> str:
    """Return the kind of record that `key` names, or an empty text if it is not known."""
    kind, _, rest = key.partition("/")
    known = KINDS.get(kind)
    return kind if known and known[0].fullmatch(rest) else ""


def sound(data: Any) -> tuple[dict[str, Any], list[str]]:
    """Return a job that is sound through and through, and what is told about it.

    Raises FileRefusal at the first thing that is not as it has to be. Its sentence says what is
    wrong; how to mend it depends on where the job came from.
    """
    if not isinstance(data, dict):
        raise FileRefusal("The job has to be a mapping of names.")
    wanted = ("id", "name", "created", "records", "photos")
    for name in wanted:
        if name not in data:
            raise FileRefusal(f"The job's “{name}” is missing.")
    for name in data:
        if name not in wanted:
            shown = f"“{name}”" if isinstance(name, str) and _NAME.fullmatch(name) else "a part"
            raise FileRefusal(
                f"The job holds {shown}, which version 1 of the format does not have."
            )
    told = Told()
    if data["id"] != SCRATCH:
        _part_of_job("id", Id(), data["id"], told)
    _part_of_job("name", Text(LONGEST_NAME), data["name"], told)
    if has_half_sign(data["name"]):
        raise FileRefusal("The job's “name” holds half of a sign, which no text can.")
    if not data["name"].strip():
        raise FileRefusal("The job's “name” is empty.")
    _part_of_job("created", Time(), data["created"], told)
    photos = _sound_photos(data["photos"])
    _sound_records(data["records"], told)
    _tell_unknown(data["records"], photos, told)
    return {name: data[name] for name in wanted}, told.listed()


def _part_of_job(name: str, part: Any, value: Any, told: Told) -> None:
    try:
        part.check(value, told)
    except Wrong as wrong:
        raise FileRefusal(f"The job's “{name}” {wrong.want}.") from None


def _sound_records(records: Any, told: Told) -> None:
    if not isinstance(records, dict):
        raise FileRefusal("The job's “records” has to be a mapping of names.")
    if len(records) > MOST_RECORDS:
        raise FileRefusal(f"The job holds more than {MOST_RECORDS} records.")
    total = pins = 0
    for key, record in records.items():
        if not (isinstance(key, str) and len(key) <= LONGEST_KEY and _KEY.fullmatch(key)):
            raise FileRefusal("A record has a name that the handbook never writes.")
        if "__proto__" in key.split("/"):
            raise FileRefusal("A record is named “__proto__”, which the handbook never writes.")
        try:
            size = len(key) + _plain(record, DEEPEST_RECORD)
            if size > LARGEST_RECORD:
                raise Wrong(f"holds more than {LARGEST_RECORD:,} letters".replace(",", " "))
            total += size
            if total > MOST_SIGNS:
                raise FileRefusal(
                    f"The records hold more than {MOST_SIGNS // 10**6} million letters."
                )
            kind = kind_of(key)
            pins += kind == "pin"
            if pins > MOST_PINS:
                raise FileRefusal(f"The job holds more than {MOST_PINS} kept results.")
            if kind:
                _sound_record(key, KINDS[kind][1], record, told)
        except Wrong as wrong:
            part = f", “{wrong.part}”" if wrong.part else ""
            what = f"In the record “{key}”{part}" if part else f"The record “{key}”"
            raise FileRefusal(f"{what} {wrong.want}.") from None


def _sound_record(key: str, parts: Parts, record: Any, told: Told) -> None:
    own = Told()
    parts.check(record, own)
    for note in own.notes:
        told.tell(f"In the record “{key}”, {note}")


def _plain(value: Any, depth: int, name: str = "") -> int:
    """Return how many letters plain data has; refuse what no job may hold anywhere."""
    if isinstance(value, str):
        long = signs(value)
        if long > LONGEST_TEXT:
            raise Wrong(f"is longer than {LONGEST_TEXT} letters", name)
        if not value.isascii() and has_half_sign(value):
            raise Wrong("holds half of a sign, which no text can", name)
        return long
    if isinstance(value, bool):
        return 5
    if not isinstance(value, dict | list):
        what = not_plain(value)
        raise Wrong(f"is {what[0].lower()}{what[1:]}; the handbook writes texts only", name)
    if depth == 0:
        raise Wrong(f"lies more than {DEEPEST_RECORD} deep", name)
    if isinstance(value, list):
        return len(value) + sum(_plain(item, depth - 1, name) for item in value)
    total = 0
    for key, item in value.items():
        if not (isinstance(key, str) and _NAME.fullmatch(key)) or key == "__proto__":
            raise Wrong("holds a name that the handbook never writes", name)
        total += len(key) + _plain(item, depth - 1, f"{name}.{key}" if name else key)
    return total


def _sound_photos(photos: Any) -> dict[str, str]:
    if not isinstance(photos, dict):
        raise FileRefusal("The job's “photos” has to be a mapping of names.")
    if len(photos) > MOST_PHOTOS:
        raise FileRefusal(f"The job holds more than {MOST_PHOTOS} photos.")
    total = 0
    for id, text in photos.items():
        if not (isinstance(id, str) and ID.fullmatch(id)):
            raise FileRefusal("A photo's id has to be 16 digits of 0-9 and a-f.")
        if not isinstance(text, str) or not text.isascii():
            raise FileRefusal(f"The photo “{id}” is not base64 text.")
        size = len(text) * 3 // 4
        if size > LARGEST_PHOTO + 2:
            raise FileRefusal(f"The photo “{id}” holds more than {LARGEST_PHOTO // 10**6} MB.")
        total += size
        if total > MOST_PHOTO_BYTES:
            raise FileRefusal(f"The photos hold more than {MOST_PHOTO_BYTES // 10**6} MB.")
        try:
            picture = binascii.a2b_base64(text, strict_mode=True)
        except ValueError:
            raise FileRefusal(f"The photo “{id}” is not base64 text.") from None
        if not picture.startswith(_BEGINS_JPEG):
            raise FileRefusal(f"The photo “{id}” is not a JPEG picture.")
    return photos


def _tell_unknown(records: Mapping[str, Any], photos: Mapping[str, str], told: Told) -> None:
    """Tell what this edition does not know, and which photos are named and not there."""
    from calc.calculators import CALCULATORS
    from calc.facts import FACTS

    inputs = {c.id: {i.name for i in c.inputs} for c in CALCULATORS}
    missing = set()
    for key, record in records.items():
        kind, rest = kind_of(key), key.partition("/")[2]
        calculator = record["calculator"] if kind == "pin" else rest
        if not kind:
            told.tell(
                f"The record “{key}” is of a kind that this edition does not know. "
                "It is kept and not used."
            )
        elif kind == "fact" and rest not in FACTS:
            told.tell(
                f"“{rest}” is a fact that this edition does not know. It is kept as it was typed."
            )
        elif kind in ("entries", "pin") and calculator not in inputs:
            told.tell(
                f"The record “{key}” is of the calculator “{calculator}”, which this edition "
                "does not have. It is kept and not worked out again."
            )
        elif kind == "pin":
            for name in sorted(record["inputs"].keys() - inputs[calculator]):
                told.tell(
                    f"In the record “{key}”, “{name}” is a field that {calculator} does not "
                    "have. It is kept and not used."
                )
        elif kind == "step":
            missing |= set(record.get("photos", ())) - photos.keys()
    if missing:
        several = f"{len(missing)} photos are" if len(missing) > 1 else "A photo is"
        told.tell(f"{several} named and not in the job.")

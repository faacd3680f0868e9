"""What a job may hold: the kinds of record, their parts, and the limits of all of it.

One validator serves the shell and the browser. What it does not know (a calculator, a part of a
record, a kind of record) it keeps and tells. What is of the wrong kind it refuses.
"""

from __future__ import annotations

import binascii
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from calc.job.canon import JobRefusal, has_half_sign, not_plain

MOST_RECORDS = 5000
MOST_PINS = 200
MOST_FORMER = 20
MOST_PARTS = 1000
MOST_PHOTOS = 200
MOST_PHOTO_BYTES = 25_000_000
LARGEST_PHOTO = 2_000_000
LONGEST_NAME = 200
LONGEST_KEY = 200
LONGEST_TEXT = 4000
LARGEST_RECORD = 400_000
MOST_SIGNS = 5_000_000
DEEPEST_RECORD = 12
MOST_NOTES = 30

SCRATCH = "scratch"
"""Id of what is typed while no job is open; it never stands in a file."""

_KEY = re.compile(r"[!-~]+")
_NAME = re.compile(r"[ -~]{0,200}")
_ID = re.compile(r"[0-9a-f]{16}")
_TIME = re.compile(
    r"(?:19|2[0-9])\d\d-\d\d-\d\dT\d\d:\d\d:\d\d(?:\.\d{1,6})?(?:Z|[+-]\d\d:\d\d)", re.ASCII
)
_DOUBLE = re.compile("[\U00010000-\U0010ffff]")
_BEGINS_JPEG = b"\xff\xd8\xff"


class _Wrong(Exception):
    """A part that is not as it has to be: the part's name and what is wanted."""

    def __init__(self, want: str, part: str = "") -> None:
        super().__init__(want)
        self.want = want
        self.part = part

    def inside(self, name: str) -> _Wrong:
        return _Wrong(self.want, f"{name}.{self.part}" if self.part else name)


@dataclass(slots=True)
class _Told:
    """What is told about a job that is taken."""

    notes: dict[str, None] = field(default_factory=dict)

    def tell(self, note: str) -> None:
        self.notes[note] = None

    def listed(self) -> list[str]:
        notes = list(self.notes)
        more = len(notes) - MOST_NOTES
        if more > 0:
            notes = [*notes[:MOST_NOTES], f"And {more} more of that kind."]
        return notes


@dataclass(frozen=True, slots=True)
class Text:
    """A text; `options` are all it may be."""

    longest: int = LONGEST_TEXT
    options: tuple[str, ...] = ()

    def check(self, value: Any, told: _Told) -> None:
        if not isinstance(value, str):
            raise _Wrong("has to be a text")
        if self.options and value not in self.options:
            listed = ", ".join(f"“{option}”" for option in self.options)
            raise _Wrong(f"has to be one of {listed}")
        if signs(value) > self.longest:
            raise _Wrong(f"is longer than {self.longest} letters")


@dataclass(frozen=True, slots=True)
class Flag:
    """True or false."""

    def check(self, value: Any, told: _Told) -> None:
        if not isinstance(value, bool):
            raise _Wrong("has to be true or false")


@dataclass(frozen=True, slots=True)
class Time:
    """A moment with its offset from UTC, or an empty text where nobody knows."""

    def check(self, value: Any, told: _Told) -> None:
        if value != "" and moment(value) is None:
            raise _Wrong("has to be a time such as 2026-05-14T08:05:12+02:00")


@dataclass(frozen=True, slots=True)
class Id:
    """Sixteen hexadecimal digits."""

    def check(self, value: Any, told: _Told) -> None:
        if not isinstance(value, str) or not _ID.fullmatch(value):
            raise _Wrong("has to be 16 digits of 0-9 and a-f")


@dataclass(frozen=True, slots=True)
class Each:
    """A list of one kind of thing."""

    item: Any
    most: int = MOST_PARTS

    def check(self, value: Any, told: _Told) -> None:
        if not isinstance(value, list):
            raise _Wrong("has to be a list")
        if len(value) > self.most:
            raise _Wrong(f"holds more than {self.most}")
        for number, item in enumerate(value, 1):
            _within(str(number), self.item, item, told)


@dataclass(frozen=True, slots=True)
class Named:
    """A mapping of free names to one kind of thing."""

    item: Any

    def check(self, value: Any, told: _Told) -> None:
        if not isinstance(value, dict):
            raise _Wrong("has to be a mapping of names")
        if len(value) > MOST_PARTS:
            raise _Wrong(f"holds more than {MOST_PARTS}")
        for name, item in value.items():
            _within(name, self.item, item, told)


@dataclass(frozen=True, slots=True)
class Parts:
    """A mapping with its own parts; those in `needed` have to be there."""

    parts: Mapping[str, Any]
    needed: tuple[str, ...] = ()

    def check(self, value: Any, told: _Told) -> None:
        if not isinstance(value, dict):
            raise _Wrong("has to be a mapping of names")
        for name in self.needed:
            if name not in value:
                raise _Wrong("is missing", name)
        for name, item in value.items():
            part = self.parts.get(name)
            if part:
                _within(name, part, item, told)
            else:
                told.tell(f"“{name}” is no part of such a record. It is kept and not used.")


def _within(name: str, part: Any, value: Any, told: _Told) -> None:
    try:
        part.check(value, told)
    except _Wrong as wrong:
        raise wrong.inside(name) from None


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
        _ID,
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
        _ID,
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
        _ID,
        Parts(
            {"text": Text(), "for": Text(options=FOR_WHOM), "done": Flag(), "at": Time()},
            ("text",),
        ),
    ),
}
"""Each kind of record: what stands after its first slash, and its parts."""


def signs(text: str) -> int:
    """Return the length of a text as a browser counts it: some signs count double."""
    return len(text) if text.isascii() else len(text) + len(_DOUBLE.findall(text))


def moment(text: Any) -> datetime | None:
    """Return the moment that a time with offset names, or None if it is none."""
    if not isinstance(text, str) or not _TIME.fullmatch(text):
        return None
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        return None


def kind_of(key: str) -> str:
    """Return the kind of record that `key` names, or an empty text if it is not known."""
    kind, _, rest = key.partition("/")
    known = KINDS.get(kind)
    return kind if known and known[0].fullmatch(rest) else ""


def sound(data: Any) -> tuple[dict[str, Any], list[str]]:
    """Return a job that is sound through and through, and what is told about it.

    Raises JobRefusal at the first thing that is not as it has to be. Its sentence says what is
    wrong; how to mend it depends on where the job came from.
    """
    if not isinstance(data, dict):
        raise JobRefusal("The job has to be a mapping of names.")
    wanted = ("id", "name", "created", "records", "photos")
    for name in wanted:
        if name not in data:
            raise JobRefusal(f"The job's “{name}” is missing.")
    for name in data:
        if name not in wanted:
            shown = f"“{name}”" if isinstance(name, str) and _NAME.fullmatch(name) else "a part"
            raise JobRefusal(f"The job holds {shown}, which version 1 of the format does not have.")
    told = _Told()
    if data["id"] != SCRATCH:
        _part_of_job("id", Id(), data["id"], told)
    _part_of_job("name", Text(LONGEST_NAME), data["name"], told)
    if has_half_sign(data["name"]):
        raise JobRefusal("The job's “name” holds half of a sign, which no text can.")
    if not data["name"].strip():
        raise JobRefusal("The job's “name” is empty.")
    _part_of_job("created", Time(), data["created"], told)
    photos = _sound_photos(data["photos"])
    _sound_records(data["records"], told)
    _tell_unknown(data["records"], photos, told)
    return {name: data[name] for name in wanted}, told.listed()


def _part_of_job(name: str, part: Any, value: Any, told: _Told) -> None:
    try:
        part.check(value, told)
    except _Wrong as wrong:
        raise JobRefusal(f"The job's “{name}” {wrong.want}.") from None


def _sound_records(records: Any, told: _Told) -> None:
    if not isinstance(records, dict):
        raise JobRefusal("The job's “records” has to be a mapping of names.")
    if len(records) > MOST_RECORDS:
        raise JobRefusal(f"The job holds more than {MOST_RECORDS} records.")
    total = pins = 0
    for key, record in records.items():
        if not (isinstance(key, str) and len(key) <= LONGEST_KEY and _KEY.fullmatch(key)):
            raise JobRefusal("A record has a name that the handbook never writes.")
        if "__proto__" in key.split("/"):
            raise JobRefusal("A record is named “__proto__”, which the handbook never writes.")
        try:
            size = len(key) + _plain(record, DEEPEST_RECORD)
            if size > LARGEST_RECORD:
                raise _Wrong(f"holds more than {LARGEST_RECORD:,} letters".replace(",", " "))
            total += size
            if total > MOST_SIGNS:
                raise JobRefusal(
                    f"The records hold more than {MOST_SIGNS // 10**6} million letters."
                )
            kind = kind_of(key)
            pins += kind == "pin"
            if pins > MOST_PINS:
                raise JobRefusal(f"The job holds more than {MOST_PINS} kept results.")
            if kind:
                _sound_record(key, KINDS[kind][1], record, told)
        except _Wrong as wrong:
            part = f", “{wrong.part}”" if wrong.part else ""
            what = f"In the record “{key}”{part}" if part else f"The record “{key}”"
            raise JobRefusal(f"{what} {wrong.want}.") from None


def _sound_record(key: str, parts: Parts, record: Any, told: _Told) -> None:
    own = _Told()
    parts.check(record, own)
    for note in own.notes:
        told.tell(f"In the record “{key}”, {note}")


def _plain(value: Any, depth: int, name: str = "") -> int:
    """Return how many letters plain data has; refuse what no job may hold anywhere."""
    if isinstance(value, str):
        long = signs(value)
        if long > LONGEST_TEXT:
            raise _Wrong(f"is longer than {LONGEST_TEXT} letters", name)
        if not value.isascii() and has_half_sign(value):
            raise _Wrong("holds half of a sign, which no text can", name)
        return long
    if isinstance(value, bool):
        return 5
    if not isinstance(value, dict | list):
        what = not_plain(value)
        raise _Wrong(f"is {what[0].lower()}{what[1:]}; the handbook writes texts only", name)
    if depth == 0:
        raise _Wrong(f"lies more than {DEEPEST_RECORD} deep", name)
    if isinstance(value, list):
        return len(value) + sum(_plain(item, depth - 1, name) for item in value)
    total = 0
    for key, item in value.items():
        if not (isinstance(key, str) and _NAME.fullmatch(key)) or key == "__proto__":
            raise _Wrong("holds a name that the handbook never writes", name)
        total += len(key) + _plain(item, depth - 1, f"{name}.{key}" if name else key)
    return total


def _sound_photos(photos: Any) -> dict[str, str]:
    if not isinstance(photos, dict):
        raise JobRefusal("The job's “photos” has to be a mapping of names.")
    if len(photos) > MOST_PHOTOS:
        raise JobRefusal(f"The job holds more than {MOST_PHOTOS} photos.")
    total = 0
    for id, text in photos.items():
        if not (isinstance(id, str) and _ID.fullmatch(id)):
            raise JobRefusal("A photo's id has to be 16 digits of 0-9 and a-f.")
        if not isinstance(text, str) or not text.isascii():
            raise JobRefusal(f"The photo “{id}” is not base64 text.")
        size = len(text) * 3 // 4
        if size > LARGEST_PHOTO + 2:
            raise JobRefusal(f"The photo “{id}” holds more than {LARGEST_PHOTO // 10**6} MB.")
        total += size
        if total > MOST_PHOTO_BYTES:
            raise JobRefusal(f"The photos hold more than {MOST_PHOTO_BYTES // 10**6} MB.")
        try:
            picture = binascii.a2b_base64(text, strict_mode=True)
        except ValueError:
            raise JobRefusal(f"The photo “{id}” is not base64 text.") from None
        if not picture.startswith(_BEGINS_JPEG):
            raise JobRefusal(f"The photo “{id}” is not a JPEG picture.")
    return photos


def _tell_unknown(records: Mapping[str, Any], photos: Mapping[str, str], told: _Told) -> None:
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

"""All of a job in order, for its report: sorted, in the reader's units, worked out again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from calc import facts, site, units
from calc.calculators import CALCULATORS
from calc.files.canon import FileRefusal
from calc.files.shapes import moment
from calc.job.pins import recounted
from calc.job.records import ABOUT, FOR_WHOM, PHASES, kind_of, sound
from calc.job.shown import AS_TYPED, entry_in, entry_words, order, since_words, time_words
from calc.model import Choice

READING_KINDS: Mapping[str, tuple[str, units.Kind]] = {
    "gauge": ("Gauge", units.GAUGE_PRESSURE),
    "temperature": ("Water temperature", units.TEMPERATURE),
    "meter": ("Make-up meter", units.VOLUME),
    "ph": ("pH", units.ACIDITY),
    "charge": ("Charge of the vessel", units.GAUGE_PRESSURE),
}
PUMP_WORDS = {"": "", "on": "running", "off": "stopped"}
_NOT_PASSED = ("fail", "caution")


def book(job: Mapping[str, Any], system: str = "si", now: str = "") -> dict[str, Any]:
    """Return all that a report of `job` needs, in the units of `system`.

    Ages count to `now`, or to the newest time in the job. Raises FileRefusal.
    """
    if system not in units.SYSTEMS:
        raise FileRefusal("Choose si or us.")
    job, notes = sound(job)
    parted = _parted(job["records"])
    times = [r["at"] for kind in parted.values() for r in kind.values() if moment(r.get("at"))]
    newest = max(times, key=order, default="")
    pins = [recounted(id, pin, system) for id, pin in parted["pin"].items()]
    pins.sort(key=lambda pin: (PHASES.index(pin["phase"]), order(pin["at"]), pin["id"]))
    pages = _pages(parted["step"])
    stops = [
        step | {"page": page["page"], "page_title": page["title"]}
        for page in pages
        for step in page["steps"]
        if step["kind"] == "stop" and step["answer"] != "yes"
    ]
    todos = _todos(parted["todo"])
    return {
        "id": job["id"],
        "name": job["name"],
        "created": job["created"],
        "created_text": time_words(job["created"]),
        "newest": newest,
        "newest_text": time_words(newest),
        "system": system,
        "about": _about(parted["about"]),
        "facts": _facts(parted, system, now or newest),
        "readings": _readings(parted["reading"], system),
        "pages": pages,
        "open_stops": stops,
        "todos": todos,
        "pins": pins,
        "checks_not_passed": _checks_not_passed(pins),
        "licensed": _licensed(todos, stops),
        "photos": sorted(job["photos"]),
        "same": all(pin["same"] for pin in pins),
        "differences": [
            {"pin": pin["id"], "title": pin["title"], "phase": pin["phase"], "message": message}
            for pin in pins
            for message in pin["differences"]
        ],
        "unknown": sorted(key for key in job["records"] if not kind_of(key)),
        "notes": notes,
    }


def _parted(records: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    """Return the known records by kind, each under what follows its kind in the key."""
    parted: dict[str, dict[str, Any]] = {
        kind: {} for kind in ("about", "fact", "entries", "reading", "step", "pin", "todo")
    }
    for key in sorted(records):
        kind = kind_of(key)
        if kind:
            parted[kind][key.partition("/")[2]] = records[key]
    return parted


def _about(about: Mapping[str, Any]) -> list[dict[str, str]]:
    return [
        {"name": name, "label": label, "text": about[name]["text"], "at": about[name].get("at", "")}
        for name, label in ABOUT.items()
        if name in about and about[name]["text"].strip()
    ]


def _facts(parted: Mapping[str, Any], system: str, now: str) -> list[dict[str, Any]]:
    known, entries = parted["fact"], parted["entries"]
    titles = {c.id: c.title for c in CALCULATORS}
    names = [name for name in facts.FACTS if name in known]
    names += [name for name in known if name not in facts.FACTS]
    found = []
    for name in names:
        record = known[name]
        fact = facts.FACTS.get(name)
        origin = record["origin"]
        at = record.get("at", "")
        found.append(
            {
                "name": name,
                "label": fact.label if fact else name.replace("_", " "),
                "known": fact is not None,
                "entry": entry_in(fact.kind if fact else None, record["entry"], system),
                "typed": dict(record["entry"]),
                "text": _fact_words(name, record["entry"], system),
                "origin": {
                    **origin,
                    "title": titles.get(origin["calculator"], origin["calculator"]),
                },
                "at": at,
                "at_text": time_words(at),
                "age": since_words(at, now),
                "stale": _stale(record, known, entries),
                "before": [
                    {
                        "text": _fact_words(name, former["entry"], system),
                        "at_text": time_words(former.get("at", "")),
                    }
                    for former in record.get("before", ())
                ],
            }
        )
    return found


def _fact_words(name: str, entry: Mapping[str, str], system: str) -> str:
    fact = facts.FACTS.get(name)
    if fact is None or fact.kind is not None:
        return entry_words(fact.kind if fact else None, entry, system)
    choice = next((i for i in site.SHARED if i.name == name and isinstance(i, Choice)), None)
    options = choice.options if choice else ()
    return next((o.label for o in options if o.value == entry["value"]), entry["value"])


def _stale(record: Mapping[str, Any], known: Mapping[str, Any], entries: Mapping[str, Any]) -> bool:
    """Return whether something that a found fact was worked out from has changed since."""
    then = moment(record.get("at"))
    if record["origin"]["how"] != "found" or then is None:
        return False
    taken = entries.get(record["origin"]["calculator"], {}).get("taken", {})
    changed = [moment(known[name].get("at")) for name in taken.values() if name in known]
    return any(at is not None and at > then for at in changed)


def _readings(readings: Mapping[str, Any], system: str) -> list[dict[str, Any]]:
    found = []
    for id, record in readings.items():
        at, pump = record.get("at", ""), record.get("pump", "")
        values = {}
        for name, (label, kind) in READING_KINDS.items():
            entry = record.get(name)
            if entry and entry["value"].strip():
                # A meter counts on and on: in another unit its last figures would be lost.
                wanted = AS_TYPED if name == "meter" else system
                values[name] = {
                    "label": label,
                    "entry": entry_in(kind, entry, wanted),
                    "typed": dict(entry),
                    "text": entry_words(kind, entry, wanted),
                }
        found.append(
            {
                "id": id,
                "at": at,
                "at_text": time_words(at),
                "values": values,
                "pump": pump,
                "pump_text": PUMP_WORDS[pump],
                "note": record.get("note", ""),
            }
        )
    return sorted(found, key=lambda reading: (order(reading["at"]), reading["id"]))


def _pages(steps: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the steps by page, pages and steps in the order in which they were done."""
    pages: dict[str, dict[str, Any]] = {}
    for rest, record in steps.items():
        name, _, step = rest.partition("/")
        page = pages.setdefault(name, {"page": name, "title": name, "steps": []})
        page["title"] = record.get("page_title", "") or page["title"]
        at = record.get("at", "")
        page["steps"].append(
            {
                "key": f"step/{rest}",
                "step": step,
                "text": record.get("text", "") or step,
                "kind": record["kind"],
                "ticked": record.get("ticked", False),
                "answer": record.get("answer", ""),
                "note": record.get("note", ""),
                "photos": list(record.get("photos", ())),
                "at": at,
                "at_text": time_words(at),
            }
        )
    for page in pages.values():
        page["steps"].sort(key=lambda step: (order(step["at"]), step["key"]))
        page["ticked"] = sum(step["ticked"] for step in page["steps"])
    return sorted(pages.values(), key=lambda page: (order(page["steps"][0]["at"]), page["page"]))


def _todos(todos: Mapping[str, Any]) -> list[dict[str, Any]]:
    found = [
        {
            "id": id,
            "text": record["text"],
            "for": record.get("for", "us"),
            "done": record.get("done", False),
            "at": record.get("at", ""),
        }
        for id, record in todos.items()
    ]
    return sorted(
        found,
        key=lambda todo: (FOR_WHOM.index(todo["for"]), todo["done"], order(todo["at"]), todo["id"]),
    )


def _checks_not_passed(pins: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [
        {
            "pin": pin["id"],
            "calculator": pin["calculator"],
            "title": pin["title"],
            "phase": pin["phase"],
            "id": check["id"],
            "label": check["label"],
            "status": check["status"],
            "message": check["message"],
            "source": check["source"],
        }
        for status in _NOT_PASSED
        for pin in pins
        for check in pin["checks"]
        # A cause that fits is a finding, and not a check that was not passed.
        if check["status"] == status and not check["own_words"]
    ]


def _licensed(todos: list[dict[str, Any]], stops: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return what a licensed person has to confirm before anybody relies on it."""
    asked = [
        {"text": todo["text"], "why": "put on the list", "done": todo["done"]}
        for todo in todos
        if todo["for"] == "licensed"
    ]
    asked += [
        {"text": f"{step['page_title']}: {step['text']}", "why": "answered no", "done": False}
        for step in stops
        if step["answer"] == "no"
    ]
    return asked

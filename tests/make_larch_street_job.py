"""Writes tests/data/larch-street.job.json: the worked day as a job's file, every kind of record.

    .handbook/venv/bin/python tests/make_larch_street_job.py

Building, day and people's part in it are invented. The readings are those of docs/walk.md, and the
numbers of each kept result come from the calculators on the day this is run. The file is a record:
make it anew only when the day itself changes. That later editions still find its numbers, the
tests check.
"""

from __future__ import annotations

import base64
import re
import sys
from pathlib import Path
from typing import Any

import yaml
from markdown.extensions.toc import slugify

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from calc import bridge, facts, jobfile, units  # noqa: E402
from calc.calculators import calculator  # noqa: E402
from calc.entries import entry_as_text  # noqa: E402
from view.runs import Run  # noqa: E402

TARGET = ROOT / "tests" / "data" / "larch-street.job.json"
PAGE = ROOT / "docs" / "walk.md"
NAME = "Plant room, Larch Street Library"


def at(clock: str, day: int = 14) -> str:
    return f"2026-05-{day:02}T{clock}:00+02:00"


def id_of(number: int) -> str:
    """Return an id that looks drawn by lot and is the same each time."""
    return f"{(number * 0x9E3779B97F4A7C15 + 0x5DEECE66D) % 2**64:016x}"


def entry(text: str) -> dict[str, str]:
    """Return ``1.55 ± 0.05 bar`` as the parts of an entry; a single word is a choice."""
    found = re.fullmatch(r"([\d.]+)(?: ± ([\d.]+))? ?(.*)", text)
    if not found:
        return {"value": text}
    return {"value": found[1], "unit": found[3], "pm": found[2] or ""}


def walk() -> dict[str, dict[str, Any]]:
    """Return the runs of the worked day: calculator and every input, as texts."""
    specs = yaml.safe_load(PAGE.read_text(encoding="utf-8").split("---\n", 2)[1])["runs"]
    done: dict[str, Run] = {}
    found = {}
    for spec in specs:
        inputs = dict(spec.get("inputs") or {})
        for name, value in inputs.items():
            if str(value).startswith("@"):
                run, _, output = value[1:].partition(".")
                number, unit = done[run].entry(output).split()
                # As a person writes down what another page shows.
                inputs[name] = f"{units.entry_text(float(number))} {unit}"
        done[spec["name"]] = Run(spec, done)
        answer = bridge.run(spec["calculator"], inputs)
        found[spec["name"]] = {
            "calculator": spec["calculator"],
            "inputs": {given["name"]: given["text"] for given in answer["inputs"]},
            "answer": answer,
        }
    return found


def pin(run: dict[str, Any], phase: str, clock: str, note: str = "") -> dict[str, Any]:
    answer = run["answer"]
    parts = ("name", "label", "text", "unit", "plus_minus_text", "headline")
    return {
        "calculator": run["calculator"],
        "title": answer["title"],
        "phase": phase,
        "note": note,
        "at": at(clock),
        "system": "si",
        "inputs": run["inputs"],
        "results": [
            {part: result[part] for part in parts} | {"value": str(result["value"])}
            for result in answer["results"]
        ],
        "checks": [
            {part: check[part] for part in ("id", "label", "status", "message")}
            for check in answer["checks"]
        ],
    }


def entries(run: dict[str, Any], taken: dict[str, str], clock: str) -> dict[str, Any]:
    """Return what the boxes of a form hold."""
    chosen = calculator(run["calculator"])
    boxes = bridge.converted(chosen.id, run["inputs"], "si")
    values: dict[str, str] = {}
    for name, held in boxes.items():
        if isinstance(held, dict):
            values[name] = held["value"]
            values |= {f"{name}.{part}": held[part] for part in ("unit", "pm") if held.get(part)}
        else:
            values[name] = entry_as_text(chosen.input(name), held)
    fits = {i.name: facts.taken(chosen, i) for i in chosen.inputs}
    assert all(fact in fits[name] for name, fact in taken.items()), taken
    return {"system": "si", "values": values, "taken": taken, "at": at(clock)}


def fact(text: str, calculator: str, field: str, clock: str, how: str = "typed") -> dict[str, Any]:
    return {
        "entry": entry(text),
        "origin": {"calculator": calculator, "field": field, "how": how},
        "at": at(clock),
        "before": [],
    }


def found_fact(run: dict[str, Any], output: str, clock: str) -> dict[str, Any]:
    result = next(r for r in run["answer"]["results"] if r["name"] == output)
    record = fact("0", run["calculator"], output, clock, "found")
    return record | {"entry": result["entry"]}


def step(page: str, lead: str, clock: str, **more: Any) -> tuple[str, dict[str, Any]]:
    source = (PAGE.parent / f"{page}.md").read_text(encoding="utf-8")
    title = re.search(r"^title: (.*)$", source, re.MULTILINE)
    stop = lead.startswith("Stop: ")
    record = {
        "text": lead,
        "kind": "stop" if stop else "step",
        "ticked": not stop,
        "answer": "yes" if stop else "",
        "note": "",
        "photos": [],
        "at": at(clock),
        "page_title": title[1],
    }
    return f"step/{page}/{slugify(lead, '-')}", record | more


def plain_jpeg() -> str:
    """Return a small grey picture as base64: it stands where a photo of the plate would be."""

    def segment(mark: int, data: bytes) -> bytes:
        return bytes((0xFF, mark)) + (len(data) + 2).to_bytes(2, "big") + data

    # One brightness only: every block says "no difference from the one before, no detail".
    one_code = bytes([1] + [0] * 15 + [0])
    picture = (
        segment(0xE0, b"JFIF\x00\x01\x01\x00\x00\x01\x00\x01\x00\x00")
        + segment(0xDB, bytes([0] + [16] * 64))
        + segment(0xC0, bytes([8, 0, 16, 0, 16, 1, 1, 0x11, 0]))
        + segment(0xC4, b"\x00" + one_code)
        + segment(0xC4, b"\x10" + one_code)
        + segment(0xDA, bytes([1, 1, 0x00, 0, 63, 0]))
    )
    blocks = b"\x00"
    return base64.b64encode(b"\xff\xd8" + picture + blocks + b"\xff\xd9").decode()


def job() -> dict[str, Any]:
    runs = walk()
    plate = id_of(90)
    warm = runs["proof"]["inputs"]["cold_fill"]
    records: dict[str, Any] = {}

    for part, text, clock in (
        ("where", "Basement plant room, Larch Street Library", "06:20"),
        ("who", "Day shift, two people", "06:20"),
        ("reference", "LSL-2026-05", "06:21"),
        (
            "called",
            "Wet floor under the relief valve's discharge, twice a week since autumn.",
            "06:24",
        ),
        (
            "found",
            "The charge was lost, and the vessel is too small for this system as it is piped.",
            "15:10",
        ),
        (
            "left",
            "New vessel of 250 L, charged, filled, vented and proved hot. The discharge stays dry.",
            "20:05",
        ),
        ("owner", "The library's caretaker", "06:25"),
    ):
        records[f"about/{part}"] = {"text": text, "at": at(clock)}

    records |= {
        "fact/altitude": fact(
            runs["charge"]["inputs"]["altitude"], "pressure-trace", "altitude", "06:32"
        ),
        "fact/height": fact("11.4 ± 0.1 m", "pre-charge", "height", "07:05")
        | {
            "before": [
                {
                    "entry": entry("11 m"),
                    "origin": {"calculator": "pressure-trace", "field": "height", "how": "typed"},
                    "at": at("06:50"),
                }
            ]
        },
        "fact/fluid": fact("water", "two-reading-check", "fluid", "08:30"),
        "fact/vessel_volume": fact("200 L", "two-reading-check", "vessel_volume", "08:31"),
        "fact/relief": fact(
            runs["margin"]["inputs"]["relief"], "two-reading-check", "relief", "08:32"
        ),
        "fact/system_volume": found_fact(runs["survey"], "volume", "10:20"),
        "fact/found_charge": fact("0.7 bar", "relief-margin", "charge", "14:25"),
        "fact/new_vessel": fact("250 L", "pre-charge", "vessel_volume", "15:40"),
        "fact/charge": found_fact(runs["charge"], "charge", "15:42"),
        "fact/cold_fill": fact("1.55 bar", "fill-and-purge", "fill", "17:00"),
    }

    records["entries/pre-charge"] = entries(
        runs["charge"],
        {"height": "height", "altitude": "altitude", "system_volume": "system_volume"},
        "15:42",
    )
    records["entries/relief-margin"] = entries(
        runs["proved"], {"relief": "relief", "vessel_volume": "new_vessel"}, "19:40"
    )
    records["entries/system-volume"] = entries(runs["survey"], {}, "10:20")

    first, hot = runs["found"]["inputs"], runs["proof"]["inputs"]
    for number, (clock, reading) in enumerate(
        (
            (
                "06:30",
                {
                    "gauge": entry(first["cold_fill"]),
                    "temperature": entry(first["cold"]),
                    "pump": "off",
                    "meter": entry("41.316 m3"),
                    "note": "A second gauge at the same point agrees. Both read zero in open air.",
                },
            ),
            (
                "08:15",
                {
                    "gauge": entry(first["hot_reading"]),
                    "temperature": entry(first["hot"]),
                    "pump": "off",
                    "note": "With the pump running again the discharge begins to drip.",
                },
            ),
            ("09:00", {"temperature": entry(runs["cooling"]["inputs"]["first"]), "pump": "on"}),
            ("10:00", {"temperature": entry(runs["cooling"]["inputs"]["second"]), "pump": "on"}),
            ("14:20", {"charge": entry("0.7 bar"), "pump": "off", "note": "Read twice."}),
            ("16:10", {"charge": entry("1.5 bar"), "pump": "off", "note": "As set."}),
            (
                "18:05",
                {
                    "gauge": entry(warm),
                    "temperature": entry(hot["cold"]),
                    "pump": "off",
                    "meter": entry("42.9 m3"),
                    "ph": entry("8.6"),
                },
            ),
            (
                "19:20",
                {
                    "gauge": entry(hot["hot_reading"]),
                    "temperature": entry(hot["hot"]),
                    "pump": "off",
                },
            ),
            (
                "19:25",
                {"gauge": entry("2.46 bar"), "temperature": entry("79 degC"), "pump": "on"},
            ),
        ),
        10,
    ):
        records[f"reading/{id_of(number)}"] = {"at": at(clock), "note": ""} | reading

    records |= dict(
        (
            step("survey", "Read every plate and photograph it.", "06:28", photos=[plate]),
            step("survey", "Take the cold readings.", "06:35"),
            step("survey", "Measure the height.", "07:05", note="By the stairwell, with a tape."),
            step("survey", "Stop: before you let the boiler run", "07:20"),
            step("survey", "Take the hot readings.", "08:20"),
            step("make-safe", "Lock and tag each one.", "08:50"),
            step("make-safe", "Stop: locked out and proved", "08:58"),
            step("isolate-and-drain", "Open the drain slowly.", "14:02"),
            step("isolate-and-drain", "Read the charge.", "14:22"),
            step("isolate-and-drain", "Stop: both sides at zero", "14:40"),
            step("set-the-pre-charge", "Write it on the vessel.", "16:12"),
            step("fill-and-vent", "Shut the make-up valve.", "18:00"),
            step("fill-and-vent", "Stop: before the boiler's lock comes off", "18:30"),
            step("hand-over", "Label the gauge.", "19:50"),
            step("hand-over", "Agree the next look.", "20:00", ticked=False, at=""),
        )
    )

    for number, (run, phase, clock, note) in enumerate(
        (
            ("found", "found", "08:40", ""),
            ("as-is", "found", "14:30", "With the charge as it was found."),
            ("drained", "found", "14:10", ""),
            ("cooling", "found", "10:05", ""),
            ("recharged", "option", "14:45", "A new charge in the old vessel."),
            ("options", "option", "15:00", ""),
            ("lift", "found", "15:20", "By hand it is far too heavy: stair climber and hoist."),
            ("charge", "left", "15:42", ""),
            ("filling", "left", "17:10", ""),
            ("proved", "left", "19:40", "As read, with the pump running."),
            ("proof", "left", "19:45", ""),
            ("top", "left", "19:48", ""),
        ),
        30,
    ):
        records[f"pin/{id_of(number)}"] = pin(runs[run], phase, clock, note)

    for number, (whom, text, done) in enumerate(
        (
            ("us", "Hang the record by the boiler.", True),
            ("us", "Read the cold point next morning, at rest.", False),
            (
                "owner",
                "Read the gauge every Monday before the boilers start; write it down.",
                False,
            ),
            ("owner", "Have the charge checked in a year.", False),
            ("licensed", "Confirm that the relief valve's capacity fits both boilers.", False),
        ),
        60,
    ):
        records[f"todo/{id_of(number)}"] = {
            "text": text,
            "for": whom,
            "done": done,
            "at": at("20:02"),
        }

    return {
        "id": id_of(1),
        "name": NAME,
        "created": at("06:20"),
        "records": records,
        "photos": {plate: plain_jpeg()},
    }


if __name__ == "__main__":
    TARGET.parent.mkdir(exist_ok=True)
    TARGET.write_text(jobfile.write(job()), encoding="utf-8")
    print(f"{TARGET.relative_to(ROOT)}: {TARGET.stat().st_size} bytes")

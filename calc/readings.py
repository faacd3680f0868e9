"""Readings over time: as typed, in order, and beside the pressure that the site's numbers give.

A reading is a record of texts with its own time, so nothing here asks a clock. Stands beside
`bridge`: the log, the report and the shell call it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any

from calc import site, units
from calc import units as u
from calc.calculators.two_reading_check.bands import (
    CLOSEST_COUNT,
    HALF_PRESSURE_DIVISION,
    HALF_TEMPERATURE_DIVISION,
)
from calc.entries import Reader, entry_as_text
from calc.facts import FACTS
from calc.gauge_line import Line, line_band, line_of, rate_of_fall
from calc.model import (
    Choice,
    Input,
    Limit,
    Message,
    Option,
    Quantity,
    Refusal,
    Text,
    Values,
    as_text,
    moved,
    say,
)
from calc.sources import OWN_RULE, PHYSICS

_SLIP = OWN_RULE.at("to catch a slip of the pen")
_DAY = 86400.0

PUMP_ON, PUMP_OFF, PUMP_UNKNOWN = "on", "off", ""


@dataclass(frozen=True, slots=True)
class Form:
    """Inputs that are read as those of a calculator are, and belong to none."""

    id: str
    inputs: tuple[Input, ...]


READING = Form(
    "reading",
    (
        Quantity(
            name="gauge",
            label="Gauge",
            kind=u.GAUGE_PRESSURE,
            default="",
            optional=True,
            reading=True,
            help="Tap it, stand square to it, always the same gauge. Half a division is a fair "
            "plus/minus.",
            low=Limit(
                "-1.01325 bar",
                "a perfect vacuum at sea level reads that",
                PHYSICS.at("gauge and absolute pressure"),
            ),
            high=site.RELIEF.high,
        ),
        Quantity(
            name="temperature",
            label="Water",
            kind=u.TEMPERATURE,
            default="",
            optional=True,
            reading=True,
            help="Halfway between flow and return, read together with the gauge.",
            low=site.COLD.low,
            high=site.HOT.high,
        ),
        Choice(
            name="pump",
            label="Pump",
            options=(
                Option(PUMP_OFF, "Off"),
                Option(PUMP_ON, "On"),
                Option(PUMP_UNKNOWN, "Not noted"),
            ),
            help="A pump moves the gauge. Compare readings in one state only.",
            default=PUMP_UNKNOWN,
        ),
        Quantity(
            name="meter",
            label="Make-up meter",
            kind=replace(u.VOLUME, si="m3"),
            default="",
            optional=True,
            help="All digits, as it stands.",
            low=Limit("0 m3", "meters count up from nothing", _SLIP),
        ),
        Quantity(
            name="ph",
            label="pH of the heating water",
            kind=u.ACIDITY,
            default="",
            optional=True,
            reading=True,
            help="Of a fresh sample, cooled.",
            low=Limit("0", "no water goes below", _SLIP),
            high=Limit("14", "no water goes above", _SLIP),
        ),
        Quantity(
            name="charge",
            label="Charge of the vessel",
            kind=u.GAUGE_PRESSURE,
            default="",
            optional=True,
            reading=True,
            help="At the gas valve, water side at zero and open. Else it is no charge.",
            low=Limit(
                "-1.01325 bar",
                "a perfect vacuum at sea level reads that",
                PHYSICS.at("gauge and absolute pressure"),
            ),
            high=site.CHARGE.high,
        ),
        Text(
            name="note",
            label="Note",
            help="What was done, heard or seen: topped up, valve dripped, boiler off.",
            longest=1000,
        ),
    ),
)


def _known(entry: Quantity, **changes: Any) -> Quantity:
    """Return an input of the site as a fact that may be missing, and has no example."""
    return replace(entry, default="", us_default="", optional=True, reading=True, **changes)


SITE = Form(
    "site",
    (
        *(
            _known(entry)
            for entry in (
                site.SYSTEM_VOLUME,
                site.VESSEL_VOLUME,
                site.CHARGE,
                site.COLD,
                site.HOT,
                site.RELIEF,
                site.VALVE_HEIGHT,
                site.GAUGE_HEIGHT,
                site.ALTITUDE,
                site.GLYCOL,
            )
        ),
        _known(site.VESSEL_VOLUME, name="new_vessel", label=FACTS["new_vessel"].label),
        _known(site.RELIEF, name="cold_fill", label=FACTS["cold_fill"].label, low=None),
        site.FLUID,
        replace(site.PIPE, default="none"),
    ),
)

FOUND_BY = {
    "system_volume": "system-volume",
    "vessel_volume": "two-reading-check",
    "charge": "pre-charge",
    "cold_fill": "pre-charge",
    "cold": "pre-charge",
    "glycol": "pre-charge",
    "gauge_height": "two-reading-check",
    "altitude": "pre-charge",
    "relief": "relief-margin",
    "valve_height": "relief-margin",
}
"""The calculator on whose page a fact is found or entered."""

_NEEDED = ("system_volume", "vessel_volume", "charge")


@dataclass(frozen=True, slots=True)
class Read:
    """One reading in SI; None where nothing was typed or it cannot be read."""

    id: str
    at: str
    seconds: float | None
    gauge: float | None
    temperature: float | None
    pump: str
    meter: float | None
    ph: float | None
    charge: float | None
    note: str
    plus_minus: Mapping[str, float]
    texts: Mapping[str, str]

    def band(self, name: str) -> float:
        """Return how far the gauge or the temperature may be out. [Pa, K]"""
        usual = {"gauge": HALF_PRESSURE_DIVISION, "temperature": HALF_TEMPERATURE_DIVISION}
        return self.plus_minus.get(name) or usual[name]

    @property
    def whole(self) -> bool:
        return self.gauge is not None and self.temperature is not None

    @property
    def when(self) -> str:
        return moment(self.at)


_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def moment(at: str) -> str:
    """Return a time as a sentence names it, by the clock on the wall where it was noted.

    Examples
    --------
    >>> moment("2026-05-14T08:05:12+02:00")
    '14 May 08:05'
    """
    try:
        when = datetime.fromisoformat(at)
    except ValueError:
        return at[:40] or "without a time"
    return f"{when.day} {_MONTHS[when.month - 1]} {when:%H:%M}"


def seconds_of(at: str) -> float:
    """Return the seconds from 1970 to a time that says how far its clock is from universal time.

    Examples
    --------
    >>> seconds_of("1970-01-01T02:00:10+02:00")
    10.0
    """
    try:
        when = datetime.fromisoformat(at)
    except ValueError:
        raise units.EntryError(
            f"“{at[:40]}” is no date and time. Enter it again, or tap “Now”."
        ) from None
    if when.tzinfo is None:
        raise units.EntryError(
            f"“{at[:40]}” does not say in which time zone. Enter the time again, or tap “Now”."
        )
    return when.timestamp()


def read_reading(
    id: str, record: Mapping[str, Any], system: str
) -> tuple[Read, list[dict[str, str]]]:
    """Return a record as a reading, and an error for each field that cannot be read."""
    reader = Reader(system)
    given = {i.name: record[i.name] for i in READING.inputs if record.get(i.name) is not None}
    v = reader.read(READING, given)
    errors = [{"id": id, "field": e["field"], "message": e["message"]} for e in reader.errors]
    at = str(record.get("at", ""))
    seconds = None
    try:
        seconds = seconds_of(at)
    except units.EntryError as refused:
        errors.append({"id": id, "field": "at", "message": str(refused)})
    found = Read(
        id=id,
        at=at,
        seconds=seconds,
        gauge=v.gauge,
        temperature=v.temperature,
        pump=v.pump or PUMP_UNKNOWN,
        meter=v.meter,
        ph=v.ph,
        charge=v.charge,
        note=v.note or "",
        plus_minus={path[0]: band for path, band in reader.plus_minus},
        texts={i.name: entry_as_text(i, given[i.name]) for i in READING.inputs if i.name in given},
    )
    return found, errors


def in_order(readings: Sequence[Read]) -> list[Read]:
    """Return readings from the earliest to the latest; those without a time come last."""
    return sorted(readings, key=lambda r: (r.seconds is None, r.seconds or 0.0, r.id))


@dataclass(frozen=True, slots=True)
class Missing:
    """A fact that the line cannot do without, and the calculator on whose page it is found."""

    fact: str
    label: str
    calculator: str


@dataclass(frozen=True, slots=True)
class Judged:
    """A reading beside the line: what the line gives, how far off it lies, what that may be. [Pa]

    `words` is the whole verdict as a sentence.
    """

    predicted: float | None
    deviation: float | None
    band: float
    off: bool
    words: str | Message


@dataclass(slots=True)
class Log:
    """All that can be said of the readings of a job."""

    readings: list[Read]
    errors: list[dict[str, str]] = field(default_factory=list)
    site_errors: list[dict[str, str]] = field(default_factory=list)
    missing: list[Missing] = field(default_factory=list)
    assumed: list[str | Message] = field(default_factory=list)
    refusal: str | Message = ""
    line: Line | None = None
    start: Read | None = None
    values: Values | None = None
    judged: dict[str, Judged] = field(default_factory=dict)

    @property
    def off(self) -> list[Read]:
        """Return the readings that lie off the line."""
        return [r for r in self.readings if r.id in self.judged and self.judged[r.id].off]


def log(records: Sequence[Mapping[str, Any]], facts: Mapping[str, Any], system: str) -> Log:
    """Return the readings in order, each beside the line that the facts of the site give.

    Parameters
    ----------
    records
        Readings as the job keeps them, each with its `id`.
    facts
        Facts of the site by name, as texts or entries; what is none of the line's is passed over.
    system
        Units for a text without a unit.
    """
    readings, errors = [], []
    for record in records:
        if not isinstance(record, Mapping):
            continue
        one, wrong = read_reading(str(record.get("id", "")), record, system)
        readings.append(one)
        errors += wrong
    found = Log(in_order(readings), errors)
    _line(found, facts, system)
    if found.line and found.values:
        lines = moved_lines(found.values)
        for one in found.readings:
            if one.whole:
                found.judged[one.id] = _judged(one, found, lines)
    return found


def _line(found: Log, facts: Mapping[str, Any], system: str) -> None:
    """Read the facts, and make the line if they are enough for one."""
    reader = Reader(system)
    given = {i.name: facts[i.name] for i in SITE.inputs if facts.get(i.name) is not None}
    v = reader.read(SITE, given)
    found.site_errors = [{"field": e["field"], "message": e["message"]} for e in reader.errors]
    unread = {e["field"] for e in reader.errors}
    if v.vessel_volume is None and "vessel_volume" not in unread:
        v.vessel_volume = v.new_vessel
    wanted = [name for name in _NEEDED if getattr(v, name) is None]
    if v.fluid not in (site.WATER, None) and v.glycol is None:
        wanted.append("glycol")
    if v.cold_fill is None or v.cold is None:
        found.start = _coldest(found.readings)
        if found.start is None:
            wanted += [name for name in ("cold_fill", "cold") if getattr(v, name) is None]
    found.missing = [
        Missing(name, FACTS[name].label, FOUND_BY[name]) for name in wanted if name not in unread
    ]
    if wanted or unread:
        return
    if found.start:
        v.cold_fill, v.cold = found.start.gauge, found.start.temperature
    _assume(v, found, given)
    try:
        found.line = line_of(v)
        found.values = v
    except Refusal as refused:
        found.refusal = refused.message


def _coldest(readings: Sequence[Read]) -> Read | None:
    """Return the coldest reading, one with the pump stopped if there is any."""
    whole = [r for r in readings if r.whole]
    still = [r for r in whole if r.pump != PUMP_ON]
    return min(still or whole, key=lambda r: (r.temperature, r.seconds or 0.0), default=None)


def _assume(v: Values, found: Log, given: Mapping[str, Any]) -> None:
    """Put in what the line can do without, and say so."""
    if v.altitude is None:
        v.altitude = 0.0
        found.assumed.append("The site is taken to lie at sea level.")
    if v.gauge_height is None:
        v.gauge_height = 0.0
        found.assumed.append("The gauge is taken to hang level with the vessel.")
    if v.relief is None:
        found.assumed.append("The setting of the relief valve is not known and is not drawn.")
    elif v.valve_height is None:
        found.assumed.append("The relief valve is taken to sit level with the vessel.")
    v.valve_height = v.valve_height or 0.0
    if "fluid" not in given:
        found.assumed.append("The system is taken to hold water without glycol.")
    if "pipe" not in given:
        found.assumed.append("No credit is taken for pipes that grow.")
    bands = dict(v.plus_minus)
    if found.start:
        bands[("cold_fill",)] = found.start.band("gauge")
        bands[("cold",)] = found.start.band("temperature")
    usual = {
        "cold_fill": HALF_PRESSURE_DIVISION,
        "cold": HALF_TEMPERATURE_DIVISION,
        "system_volume": CLOSEST_COUNT * v.system_volume,
    }
    for name, band in usual.items():
        bands.setdefault((name,), band)
    v.plus_minus, v.bounds = bands, {}


def moved_lines(v: Values) -> list[list[Line]]:
    """Return, for each fact that carries a plus/minus, the lines at the ends of its band."""
    found = []
    for path, band in v.plus_minus.items():
        if path[0] not in _BENDING:
            continue
        ends = []
        for side in (-band, band):
            try:
                ends.append(line_of(moved(v, path, side)))
            except Refusal:
                continue
        found.append(ends)
    return found


_BENDING = (*_NEEDED, "cold_fill", "cold", "gauge_height", "altitude", "glycol")


def _judged(r: Read, found: Log, lines: Sequence[Sequence[Line]]) -> Judged:
    line = found.line
    if found.start and r.id == found.start.id:
        return Judged(r.gauge, 0.0, 0.0, False, "The line starts at this reading.")
    try:
        predicted = line.gauge_at(r.temperature)
    except Refusal as refused:
        return Judged(None, None, 0.0, False, refused.message)
    sides = [0.0]
    for side in (-1.0, 1.0):
        try:
            moved_by = line.gauge_at(r.temperature + side * r.band("temperature"))
            sides.append(abs(moved_by - predicted))
        except Refusal:
            continue
    band = math.hypot(line_band(line, lines, r.temperature), max(sides), r.band("gauge"))
    deviation = r.gauge - predicted
    off = abs(deviation) > band
    values = {
        "by": (abs(deviation), u.PRESSURE_DIFFERENCE),
        "line": (predicted, u.GAUGE_PRESSURE),
        "band": (band, u.PRESSURE_DIFFERENCE),
    }
    side = "above" if deviation > 0 else "below"
    words = (
        f"{{by}} {side} the line, which gives {{line}}; the plus/minus allow {{band}}."
        if off
        else "On the line, which gives {line}, within ± {band}."
    )
    return Judged(predicted, deviation, band, off, say(words + _pump_words(r, found), **values))


def _pump_words(r: Read, found: Log) -> str:
    """Return a warning where the pump may be what moved the gauge."""
    at_start = found.start.pump if found.start else PUMP_OFF
    if r.pump == PUMP_UNKNOWN or at_start in (PUMP_UNKNOWN, r.pump):
        return ""
    return f" Read with the pump {r.pump}; the line is for the pump {at_start}."


@dataclass(frozen=True, slots=True)
class Fall:
    """What the gauge did between two readings, and how much of it the temperature explains. SI.

    `explained` and what is left of it are None where there is no line.
    """

    first: Read
    last: Read
    interval: float
    drop: float
    rate: float
    explained: float | None
    left: float | None
    band: float


def fall_between(first: Read, last: Read, line: Line | None) -> Fall:
    """Return the fall of the gauge from one reading to a later one."""
    if first.seconds is None or last.seconds is None:
        raise Refusal("One of the two readings has no time. Mend it first.")
    if first.gauge is None or last.gauge is None:
        raise Refusal("One of the two readings has no gauge pressure. Choose another.")
    if last.seconds < first.seconds:
        first, last = last, first
    interval = last.seconds - first.seconds
    rate = rate_of_fall(first.gauge, last.gauge, interval)
    drop = first.gauge - last.gauge
    explained, parts = None, [first.band("gauge"), last.band("gauge")]
    if line and first.whole and last.whole:
        try:
            explained = line.gauge_at(first.temperature) - line.gauge_at(last.temperature)
            for one in (first, last):
                centre = line.gauge_at(one.temperature)
                around = (
                    line.gauge_at(one.temperature + side * one.band("temperature"))
                    for side in (-1.0, 1.0)
                )
                parts.append(max(abs(p - centre) for p in around))
        except Refusal:
            explained = None
    left = None if explained is None else drop - explained
    return Fall(first, last, interval, drop, rate, explained, left, math.hypot(*parts))


def lasting(seconds: float) -> units.Unit:
    """Return the unit of time in which a length of time reads well."""
    name = "min" if seconds < 3 * 3600 else "h" if seconds < 3 * _DAY else "d"
    return u.TIME.unit(name)


def lasting_text(seconds: float) -> str:
    """Return a length of time as a sentence names it.

    Examples
    --------
    >>> lasting_text(2700.0), lasting_text(85500.0)
    ('45 min', '23.8 h')
    """
    unit = lasting(seconds)
    return f"{units.entry_text(round(unit.from_si(seconds), 1))} {unit.text}"


def fall_words(fall: Fall) -> Message:
    """Return what the gauge did between two readings as sentences."""
    values = {
        "by": (abs(fall.drop), u.PRESSURE_DIFFERENCE),
        "band": (fall.band, u.PRESSURE_DIFFERENCE),
        "daily": (abs(fall.rate) * _DAY, u.PRESSURE_DIFFERENCE),
    }
    words = f"From {fall.first.when} to {fall.last.when}, {lasting_text(fall.interval)}, the gauge "
    if fall.drop == 0:
        words += "stood still."
    else:
        words += "fell by {by}" if fall.drop > 0 else "rose by {by}"
        words += ", or {daily} a day." if fall.interval >= _LONG_ENOUGH else "."
    if fall.left is None:
        words += " Without the line, nobody can say how much of it is warmer or cooler water."
    else:
        values["explained"] = (abs(fall.explained), u.PRESSURE_DIFFERENCE)
        values["left"] = (abs(fall.left), u.PRESSURE_DIFFERENCE)
        way = "a fall" if fall.explained > 0 else "a rise"
        explains = f"{way} of {{explained}}"
        if abs(fall.explained) < 0.1 * fall.band:
            explains = "next to nothing"
        words += f" The water's temperature explains {explains}. {_left_over(fall)}"
    return say(words, **values)


_LONG_ENOUGH = 6 * 3600.0
"""From here on, the fall in a day may be told from the readings. [s]"""


def _left_over(fall: Fall) -> str:
    if abs(fall.left) <= fall.band:
        return "The {left} left over lie within ± {band} and prove neither a loss nor a gain."
    side = "lower" if fall.left > 0 else "higher"
    words = f"It stands {{left}} {side} than that, and the plus/minus allow {{band}}: "
    if _pump_note(fall.first, fall.last):
        return words + "the pump may have done it, which ran at one of the two only."
    return words + ("water was lost or let out." if fall.left > 0 else "water came in.")


Pairs = Mapping[str, Sequence[str]]


def picks(found: Log) -> dict[str, str]:
    """Return what serves best as cold and hot, first and last; empty where nothing does."""
    whole = [r for r in found.readings if r.whole]
    timed = [r for r in whole if r.seconds is not None]
    by_heat = sorted(whole, key=lambda r: r.temperature)
    chosen = {"cold": "", "hot": "", "first": "", "last": ""}
    if len(whole) > 1:
        chosen |= {"cold": by_heat[0].id, "hot": by_heat[-1].id}
    if len(timed) > 1:
        chosen |= {"first": timed[0].id, "last": timed[-1].id}
    return chosen


def handed_over(found: Log, pairs: Pairs) -> dict[str, dict[str, Any]]:
    """Return, for each calculator that takes two readings, its entries or why there are none."""
    by_id = {r.id: r for r in found.readings}
    given = {}
    for calculator, names, entries in (
        ("two-reading-check", ("cold", "hot"), _as_two_readings),
        ("leak-rate", ("first", "last"), _as_leak),
    ):
        chosen = pairs.get(calculator) or [picks(found)[name] for name in names]
        two = [by_id[id] for id in chosen if id in by_id]
        if len(two) < 2 or two[0] is two[1]:
            given[calculator] = {"inputs": None, "message": "Choose two different readings."}
            continue
        try:
            given[calculator] = entries(*two)
        except Refusal as refused:
            given[calculator] = {"inputs": None, "message": as_text(refused.message, "si")}
    return given


def _whole_ones(*two: Read) -> None:
    for r in two:
        if not r.whole:
            raise Refusal(f"The reading of {r.when} lacks a gauge pressure or a temperature.")


def _pump_note(*two: Read) -> str:
    if {r.pump for r in two} == {PUMP_ON, PUMP_OFF}:
        return "The pump ran at one of the two only. Choose two in the same state if you can."
    return ""


def _as_two_readings(one: Read, other: Read) -> dict[str, Any]:
    _whole_ones(one, other)
    if one.temperature == other.temperature:
        raise Refusal("Both readings have the same temperature. Choose a cold one and a hot one.")
    cold, hot = sorted((one, other), key=lambda r: r.temperature)
    inputs = {
        "cold_fill": cold.texts["gauge"],
        "cold": cold.texts["temperature"],
        "hot_reading": hot.texts["gauge"],
        "hot": hot.texts["temperature"],
    }
    return {"inputs": inputs, "message": _pump_note(cold, hot)}


def _as_leak(one: Read, other: Read) -> dict[str, Any]:
    for r in (one, other):
        if r.seconds is None:
            raise Refusal("One of the two readings has no time. Mend it first.")
    first, last = sorted((one, other), key=lambda r: r.seconds)
    seconds = last.seconds - first.seconds
    if seconds <= 0.0:
        raise Refusal("Both readings bear the same time. Choose another, or mend the time of one.")
    unit = lasting(seconds)
    interval = {"interval": f"{units.entry_text(unit.from_si(seconds))} {unit.id}"}
    metered = None if first.meter is None or last.meter is None else last.meter - first.meter
    if not (first.whole and last.whole) and metered is not None and metered >= 0.0:
        unit = u.VOLUME.unit("L")
        metered_text = f"{units.entry_text(unit.from_si(metered))} {unit.id}"
        return {"inputs": {"method": "meter", "metered": metered_text, **interval}, "message": ""}
    _whole_ones(first, last)
    inputs = {
        "method": "fall",
        "before": first.texts["gauge"],
        "after": last.texts["gauge"],
        **interval,
        "water_before": first.texts["temperature"],
        "water_after": last.texts["temperature"],
    }
    return {"inputs": inputs, "message": _pump_note(first, last)}

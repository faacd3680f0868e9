"""The charts of a log of readings: over time, and against the temperature of the water."""

from __future__ import annotations

from collections.abc import Callable

from calc import units as u
from calc.gauge_line import Line, line_band
from calc.model import Axis, Level, LineChart, Mark, Refusal, Series, say
from calc.readings import Log, Read, lasting, lasting_text, moved_lines
from calc.site import RELIEF
from calc.units import parse_quantity

MOST_DRAWN = 400
"""More readings than this are not told apart in a picture; the latest are drawn."""

_NAMED_BY_HEAT, _NAMED_BY_TIME = 3, 1
_STEPS = 36
_MARGIN = 5.0
"""How far the line is drawn past the coldest and the hottest reading. [K]"""

_BEYOND_SENSE = parse_quantity(RELIEF.high.value, u.GAUGE_PRESSURE, u.GAUGE_PRESSURE.unit("bar"))
"""Without a relief valve that is known, the line ends here."""


def over_time(found: Log) -> list[LineChart]:
    """Return the gauge over time, and the temperature over the same time; none for one reading."""
    timed = [r for r in found.readings if r.seconds is not None][-MOST_DRAWN:]
    read = [r for r in timed if r.gauge is not None]
    warm = [r for r in timed if r.temperature is not None]
    charts = []
    if len(read) > 1 and read[-1].seconds > read[0].seconds:
        charts.append(_gauge_over_time(found, read))
    if len(warm) > 1 and warm[-1].seconds > warm[0].seconds:
        charts.append(_water_over_time(warm))
    return charts


def _since(first: Read, last: Read) -> Axis:
    unit = lasting(last.seconds - first.seconds)
    return Axis(f"time since {first.when}", u.TIME, unit.id)


def _gauge_over_time(found: Log, read: list[Read]) -> LineChart:
    start = read[0].seconds
    series = [Series("gauge as read", tuple((r.seconds - start, r.gauge) for r in read), "main")]
    expected = tuple(
        (r.seconds - start, found.judged[r.id].predicted)
        for r in read
        if r.id in found.judged and found.judged[r.id].predicted is not None
    )
    if len(expected) > 1:
        series.append(Series("what the line gives for the water then", expected, "other"))
    low, high = min(read, key=lambda r: r.gauge), max(read, key=lambda r: r.gauge)
    return LineChart(
        id="time",
        title="The gauge over time",
        x=_since(read[0], read[-1]),
        y=Axis("pressure on the gauge", u.GAUGE_PRESSURE),
        series=tuple(series),
        levels=_relief(found),
        marks=_marks(read, found, _NAMED_BY_TIME, lambda r: (r.seconds - start, r.gauge)),
        summary=say(
            f"{len(read)} readings in {lasting_text(read[-1].seconds - start)}: least {{low}} on "
            f"{low.when}, greatest {{high}} on {high.when}.",
            low=(low.gauge, u.GAUGE_PRESSURE),
            high=(high.gauge, u.GAUGE_PRESSURE),
        ),
    )


def _water_over_time(warm: list[Read]) -> LineChart:
    start = warm[0].seconds
    points = tuple((r.seconds - start, r.temperature) for r in warm)
    low = min(warm, key=lambda r: r.temperature)
    high = max(warm, key=lambda r: r.temperature)
    return LineChart(
        id="water",
        title="The water's temperature over the same time",
        x=_since(warm[0], warm[-1]),
        y=Axis("water temperature", u.TEMPERATURE),
        series=(Series("water", points, "main"),),
        marks=tuple(Mark("", *point) for point in points),
        summary=say(
            f"Coldest {{low}} on {low.when}, hottest {{high}} on {high.when}.",
            low=(low.temperature, u.TEMPERATURE),
            high=(high.temperature, u.TEMPERATURE),
        ),
    )


def against_temperature(found: Log) -> list[LineChart]:
    """Return the gauge against the temperature of the water, with the line where there is one."""
    whole = [r for r in found.readings if r.whole][-MOST_DRAWN:]
    if not whole and not found.line:
        return []
    series, marks = _drawn_line(found, whole) if found.line else ([], [])
    if not series:
        if len(whole) < 2:
            return []
        by_heat = sorted(whole, key=lambda r: r.temperature)
        points = tuple((r.temperature, r.gauge) for r in by_heat)
        series = [Series("gauge as read", points, "main")]
    values = {}
    words = f"{len(whole)} readings with gauge and temperature." if whole else "No reading yet."
    if found.line:
        start = found.line.cold
        values["fill"] = (found.values.cold_fill, u.GAUGE_PRESSURE)
        values["cold"] = (start, u.TEMPERATURE)
        words = "The line starts from {fill} at {cold}. " + words
        if found.judged:
            words += f" Off the line: {len(found.off)}."
    return [
        LineChart(
            id="temperature",
            title="The gauge against the temperature of the water",
            x=Axis("water temperature", u.TEMPERATURE),
            y=Axis("pressure on the gauge", u.GAUGE_PRESSURE),
            series=tuple(series),
            levels=_relief(found),
            marks=(
                *marks,
                *_marks(whole, found, _NAMED_BY_HEAT, lambda r: (r.temperature, r.gauge)),
            ),
            summary=say(words, **values),
        )
    ]


def _drawn_line(found: Log, whole: list[Read]) -> tuple[list[Series], list[Mark]]:
    """Return the line with the band of its plus/minus, from the coldest to the hottest."""
    line = found.line
    heats = [r.temperature for r in whole] + [line.cold]
    hottest = found.values.hot
    low, high = min(heats), max(heats)
    high = max(high + _MARGIN, hottest if hottest is not None else low + 4 * _MARGIN)
    lines = moved_lines(found.values)
    points, upper, lower = [], [], []
    for n in range(_STEPS + 1):
        t = low + (high - low) * n / _STEPS
        gauge = _gauge(line, t)
        if gauge is None:
            continue
        band = line_band(line, lines, t)
        points.append((t, gauge))
        upper.append((t, gauge + band))
        lower.append((t, gauge - band))
    if len(points) < 2:
        return [], []
    band = (*upper, *reversed(lower))
    series = [
        Series("the line of this site", tuple(points), "main"),
        Series("its plus/minus", band, "band"),
    ]
    marks = []
    if not found.start:
        marks.append(Mark("cold fill", line.cold, found.values.cold_fill))
    return series, marks


def _gauge(line: Line, temperature: float) -> float | None:
    try:
        gauge = line.gauge_at(temperature)
    except Refusal:
        return None
    return gauge if gauge <= _BEYOND_SENSE.value else None


def _relief(found: Log) -> tuple[Level, ...]:
    line = found.line
    if line is None or found.values.relief is None:
        return ()
    hottest = max((r.temperature for r in found.readings if r.whole), default=line.cold)
    return (Level("relief valve opens", line.opening_gauge(hottest), "limit"),)


def _marks(
    readings: list[Read], found: Log, most: int, place: Callable[[Read], tuple[float, float]]
) -> tuple[Mark, ...]:
    """Return a point for each reading; those furthest off the line are named."""
    off = sorted(
        (r for r in readings if r.id in found.judged and found.judged[r.id].off),
        key=lambda r: -abs(found.judged[r.id].deviation),
    )
    named = {r.id for r in off[:most]}
    return tuple(Mark(r.when if r.id in named else "", *place(r)) for r in readings)

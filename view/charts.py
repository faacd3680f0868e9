"""Charts and vessel sections as SVG, drawn from the bridge's chart data.

The same code draws at build time and in the browser, so the picture a reader prints is the
picture the page came with. Colours and weights are left to the style sheet.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from calc.units import number_text
from view.html import Html, h
from view.table import result_table
from view.vessel import vessels

_WIDTH, _HEIGHT = 640, 380
_LEFT, _RIGHT, _TOP, _BOTTOM = 62, 18, 26, 52
_LABEL_GAP = 19


def chart(calculator: str, data: Mapping[str, Any]) -> Html:
    """Return a figure with its SVG, caption and data table; a table of results as a table."""
    if data["type"] == "table":
        return result_table(data)
    draw = {"lines": _lines, "bars": _bars, "vessel": vessels}[data["type"]]
    key = f"{calculator}-{data['id']}"
    width, height, content = draw(data)
    svg = h(
        "svg",
        {
            "class": f"ch ch-{data['type']}",
            "viewBox": f"0 0 {width} {height}",
            "xmlns": "http://www.w3.org/2000/svg",
            "role": "img",
            "aria-labelledby": f"{key}-title {key}-desc",
        },
        h("title", {"id": f"{key}-title"}, data["title"]),
        h("desc", {"id": f"{key}-desc"}, data["summary"]),
        content,
    )
    title, summary = h("strong", None, data["title"]), h("span", None, data["summary"])
    return h(
        "figure",
        {"class": f"lc-chart lc-chart-{data['type']}", "data-key": data["id"]},
        h("figcaption", None, title, " ", summary),
        svg,
        _legend(data) if data["type"] == "lines" else None,
        _table(data),
    )


def label(css: str, x: float, y: float, text: str, anchor: str | None = None) -> Html:
    """Return a text of a drawing."""
    return h("text", {"class": css, "x": x, "y": y, "text-anchor": anchor}, text)


def path(css: str, route: str, filled: bool = False) -> Html:
    """Return a path of a drawing."""
    return h("path", {"class": css, "d": route, "fill": None if filled else "none"})


def ticks(low: float, high: float, about: int = 5) -> list[float]:
    """Return round values from at or below `low` to at or above `high`."""
    span = high - low
    raw = span / about
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(m * power for m in (1, 2, 2.5, 5, 10) if m * power >= raw * 0.999)
    first = math.floor(low / step + 1e-9)
    last = math.ceil(high / step - 1e-9)
    return [n * step for n in range(first, last + 1)]


def _range(values: Sequence[float]) -> tuple[float, float]:
    low, high = min(values), max(values)
    if high - low < 1e-9 * max(abs(high), 1e-9):
        pad = max(abs(high) * 0.1, 0.5)
        return low - pad, high + pad
    return low, high


def _roomy(low: float, high: float) -> tuple[float, float]:
    """Return the range with room for a label below, unless that would leave zero behind."""
    pad = 0.08 * (high - low)
    return (low - pad if low < 0 or low > pad else low), high


def _tick_text(value: float, step: float) -> str:
    """Return a tick's number with as many decimals as the step between ticks needs."""
    decimals = next((n for n in range(8) if abs(round(step, n) - step) < 1e-6 * step), 8)
    return f"{value:.{decimals}f}".replace("-", "\u2212") if abs(value) > 1e-9 * step else "0"


def _lines(data: Mapping[str, Any]) -> tuple[int, int, list[Html]]:
    points = [p for s in data["series"] for p in s["points"]]
    points += [[m["x"], m["y"]] for m in data["marks"]]
    x_ticks = ticks(*_range([p[0] for p in points]))
    heights = [p[1] for p in points] + [level["value"] for level in data["levels"]]
    y_ticks = ticks(*_roomy(*_range(heights)))
    x_step, y_step = x_ticks[1] - x_ticks[0], y_ticks[1] - y_ticks[0]
    widest = max(len(_tick_text(y, y_step)) for y in y_ticks)
    left = max(_LEFT, 34 + 9 * widest)
    right, foot = _WIDTH - _RIGHT, _HEIGHT - _BOTTOM
    x0, y0 = x_ticks[0], y_ticks[0]
    x_scale = (right - left) / (x_ticks[-1] - x0)
    y_scale = (foot - _TOP) / (y_ticks[-1] - y0)

    def across(x: float) -> float:
        return round(left + (x - x0) * x_scale, 1)

    def up(y: float) -> float:
        return round(foot - (y - y0) * y_scale, 1)

    grid = "".join(f"M{left} {up(y)}H{right}" for y in y_ticks)
    grid += "".join(f"M{across(x)} {_TOP}V{foot}" for x in x_ticks)
    numbers = [label("", left - 8, up(y) + 5, _tick_text(y, y_step), "end") for y in y_ticks]
    numbers += [label("", across(x), foot + 20, _tick_text(x, x_step), "middle") for x in x_ticks]
    middle = (_TOP + foot) / 2
    turned = {
        "class": "ch-label", "x": 14, "y": middle, "text-anchor": "middle",
        "transform": f"rotate(-90 14 {middle})",
    }  # fmt: skip
    drawn = [
        path("ch-grid", grid),
        path("ch-axis", f"M{left} {_TOP}V{foot}H{right}"),
        h("g", {"class": "ch-tick"}, numbers),
        label("ch-label", (left + right) / 2, _HEIGHT - 8, _titled(data["x"]), "middle"),
        h("text", turned, _titled(data["y"])),
    ]
    for css, series in _styled(data["series"], bands=True):
        route = "M" + "L".join(f"{across(x)} {up(y)}" for x, y in series["points"])
        band = series["role"] == "band"
        drawn.append(path(css, route + ("Z" if band else ""), filled=band))
    for level in data["levels"]:
        drawn.append(path(f"ch-level-{level['role']}", f"M{left} {up(level['value'])}H{right}"))
    placed: list[tuple[float, float, float]] = []
    for mark in data["marks"]:
        x, y = across(mark["x"]), up(mark["y"])
        drawn.append(h("circle", {"class": "ch-mark", "cx": x, "cy": y, "r": 6}))
        if not mark["label"]:
            continue
        text = f"{mark['label']}: {mark['text']}"
        anchor, gap = ("end", -9) if x > _WIDTH * 0.55 else ("start", 9)
        at = _free(y - 12, x, len(text), anchor, placed)
        drawn.append(label("ch-note", x + gap, at, text, anchor))
    for level in sorted(data["levels"], key=lambda one: -one["value"]):
        text = f"{level['label']}: {level['text']}"
        at = _free(up(level["value"]) - 6, left + 8, len(text), "start", placed)
        drawn.append(label(f"ch-note ch-note-{level['role']}", left + 8, at, text))
    return _WIDTH, _HEIGHT, drawn


def _styled(
    series: Sequence[Mapping[str, Any]], bands: bool
) -> list[tuple[str, Mapping[str, Any]]]:
    """Return each series with its class; bands come first so that lines lie on top."""
    found, others = [], 0
    for one in sorted(series, key=lambda s: s["role"] != "band"):
        css = f"ch-series-{one['role']}"
        if one["role"] == "other":
            others += 1
            css += f" ch-other-{others}"
        if bands or one["role"] != "band":
            found.append((css, one))
    return found


def _free(
    y: float, x: float, letters: int, anchor: str, placed: list[tuple[float, float, float]]
) -> float:
    """Return a height near `y` where a label of that many letters meets no earlier one."""
    width = letters * 8.2
    left = x - width if anchor == "end" else x
    y = max(y, _TOP - 8)
    tried = [y] + [y + sign * n * _LABEL_GAP / 2 for n in range(1, 18) for sign in (1, -1)]
    for at in tried:
        if not _TOP - 8 <= at <= _HEIGHT - _BOTTOM - 5:
            continue
        if all(
            abs(at - other) >= _LABEL_GAP or left > end or left + width < start
            for other, start, end in placed
        ):
            placed.append((at, left, left + width))
            return round(at, 1)
    placed.append((y, left, left + width))
    return round(y, 1)


def _titled(axis: Mapping[str, str]) -> str:
    return f"{axis['label']} ({axis['unit']})" if axis["unit"] else axis["label"]


def _legend(data: Mapping[str, Any]) -> Html | None:
    shown = _styled(data["series"], bands=False)
    if len(shown) < 2:
        return None
    sample = {
        "class": "ch", "viewBox": "0 0 36 12", "width": "36", "height": "12", "aria-hidden": "true",
    }  # fmt: skip
    items = [
        h("li", None, h("svg", sample, path(css, "M2 6H34")), " ", series["label"])
        for css, series in shown
    ]
    return h("ul", {"class": "lc-legend"}, items)


def _bars(data: Mapping[str, Any]) -> tuple[int, int, list[Html]]:
    row, top, room = 54, 8, _WIDTH - 150
    bars = data["bars"]
    most = max([b["value"] for b in bars] + [b["high"] or 0 for b in bars] + [1e-12])
    drawn = []
    for number, bar in enumerate(bars):
        y = top + number * row
        end = round(max(bar["value"] / most * room, 1), 1)
        drawn.append(label("ch-label", 4, y + 16, bar["label"]))
        box = {"class": "bar", "x": 4, "y": y + 23, "width": end, "height": 20, "rx": 2}
        drawn.append(h("rect", box))
        if bar["low"] is not None and bar["high"] is not None:
            low, high = (round(4 + v / most * room, 1) for v in (bar["low"], bar["high"]))
            whisker = f"M{low} {y + 27}v12M{low} {y + 33}H{high}M{high} {y + 27}v12"
            drawn.append(path("bar-range", whisker))
            end = max(end, high)
        drawn.append(label("ch-note", end + 12, y + 39, bar["text"]))
    return _WIDTH, top + row * max(len(bars), 1) + 6, drawn


def _table(data: Mapping[str, Any]) -> Html:
    """Return the numbers behind a chart, folded away, for readers who cannot use the picture."""
    if data["type"] == "lines":
        head = [_titled(data["x"]), *(s["label"] for s in data["series"])]
        shared = all(
            [p[0] for p in s["points"]] == [p[0] for p in data["series"][0]["points"]]
            for s in data["series"]
        )
        if shared and data["series"]:
            every = max(1, len(data["series"][0]["points"]) // 10)
            picked = sorted(
                {
                    *range(0, len(data["series"][0]["points"]), every),
                    len(data["series"][0]["points"]) - 1,
                }
            )
            rows = [
                [
                    number_text(data["series"][0]["points"][n][0], 0.01),
                    *(number_text(s["points"][n][1], 0.01) for s in data["series"]),
                ]
                for n in picked
            ]
        else:
            head = ["line", _titled(data["x"]), _titled(data["y"])]
            rows = [
                [s["label"], number_text(x, 0.01), number_text(y, 0.01)]
                for s in data["series"]
                for x, y in s["points"][:: max(1, len(s["points"]) // 8)]
            ]
        rows += [
            [f"{level['label']}", level["text"], *[""] * (len(head) - 2)]
            for level in data["levels"]
        ]
    elif data["type"] == "bars":
        head = ["part", f"value ({data['unit']})"]
        rows = [[b["label"], b["text"]] for b in data["bars"]]
    else:
        head = ["state", "water", "pressure"]
        rows = [
            [s["label"], f"{number_text(s['water_fraction'] * 100, 1)} %", s["text"]]
            for s in data["states"]
        ]
    return h(
        "details",
        {"class": "lc-data"},
        h("summary", None, "The numbers in this picture"),
        h(
            "div",
            {"class": "lc-scroll"},
            h(
                "table",
                None,
                h("thead", None, h("tr", None, [h("th", {"scope": "col"}, cell) for cell in head])),
                h(
                    "tbody",
                    None,
                    [h("tr", None, [h("td", None, cell) for cell in row]) for row in rows],
                ),
            ),
        ),
    )

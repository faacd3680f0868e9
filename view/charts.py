"""Charts and vessel sections as SVG, drawn from the bridge's chart data.

The same code draws at build time and in the browser, so the picture a reader prints is the
picture the page came with. Colours and weights are left to the style sheet.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from calc.units import number_text
from view.html import Element, h

_WIDTH, _HEIGHT = 640, 380
_LEFT, _RIGHT, _TOP, _BOTTOM = 62, 18, 18, 52
_LABEL_GAP = 19


def chart(calculator: str, data: Mapping[str, Any]) -> Element:
    """Return a figure with its SVG, caption and data table."""
    draw = {"lines": _lines, "bars": _bars, "vessel": _vessels}[data["type"]]
    key = f"{calculator}-{data['id']}"
    svg = draw(data)
    svg.set("role", "img")
    svg.set("aria-labelledby", f"{key}-title {key}-desc")
    svg.insert(0, h("title", {"id": f"{key}-title"}, data["title"]))
    svg.insert(1, h("desc", {"id": f"{key}-desc"}, data["summary"]))
    return h(
        "figure",
        {"class": f"lc-chart lc-chart-{data['type']}", "data-key": data["id"]},
        h(
            "figcaption",
            None,
            h("strong", None, data["title"]),
            " ",
            h("span", None, data["summary"]),
        ),
        svg,
        _legend(data) if data["type"] == "lines" else None,
        _table(data),
    )


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


def _tick_text(value: float, step: float) -> str:
    return number_text(value, 10.0 ** math.floor(math.log10(step) - 1e-9) if step < 1 else 1)


def _lines(data: Mapping[str, Any]) -> Element:
    points = [p for s in data["series"] for p in s["points"]]
    points += [[m["x"], m["y"]] for m in data["marks"]]
    x_ticks = ticks(*_range([p[0] for p in points]))
    lowest, highest = _range([p[1] for p in points] + [level["value"] for level in data["levels"]])
    y_ticks = ticks(lowest, highest)
    x0, x1, y0, y1 = x_ticks[0], x_ticks[-1], y_ticks[0], y_ticks[-1]

    def across(x: float) -> float:
        return round(_LEFT + (x - x0) / (x1 - x0) * (_WIDTH - _LEFT - _RIGHT), 1)

    def up(y: float) -> float:
        return round(_HEIGHT - _BOTTOM - (y - y0) / (y1 - y0) * (_HEIGHT - _TOP - _BOTTOM), 1)

    svg = h(
        "svg",
        {
            "class": "ch",
            "viewBox": f"0 0 {_WIDTH} {_HEIGHT}",
            "xmlns": "http://www.w3.org/2000/svg",
        },
    )
    grid = h("g", {"class": "ch-grid"})
    labels = h("g", {"class": "ch-tick"})
    x_step, y_step = x_ticks[1] - x_ticks[0], y_ticks[1] - y_ticks[0]
    for y in y_ticks:
        grid.append(h("line", {"x1": _LEFT, "x2": _WIDTH - _RIGHT, "y1": up(y), "y2": up(y)}))
        labels.append(
            h("text", {"x": _LEFT - 8, "y": up(y) + 5, "text-anchor": "end"}, _tick_text(y, y_step))
        )
    for x in x_ticks:
        grid.append(
            h("line", {"x1": across(x), "x2": across(x), "y1": _TOP, "y2": _HEIGHT - _BOTTOM})
        )
        labels.append(
            h(
                "text",
                {"x": across(x), "y": _HEIGHT - _BOTTOM + 20, "text-anchor": "middle"},
                _tick_text(x, x_step),
            )
        )
    svg.append(grid)
    svg.append(
        h(
            "path",
            {
                "class": "ch-axis",
                "fill": "none",
                "d": f"M{_LEFT} {_TOP}V{_HEIGHT - _BOTTOM}H{_WIDTH - _RIGHT}",
            },
        )
    )
    svg.append(labels)
    svg.append(
        h(
            "text",
            {
                "class": "ch-label",
                "x": (_LEFT + _WIDTH - _RIGHT) / 2,
                "y": _HEIGHT - 8,
                "text-anchor": "middle",
            },
            _titled(data["x"]),
        )
    )
    middle = (_TOP + _HEIGHT - _BOTTOM) / 2
    svg.append(
        h(
            "text",
            {
                "class": "ch-label",
                "x": 14,
                "y": middle,
                "text-anchor": "middle",
                "transform": f"rotate(-90 14 {middle})",
            },
            _titled(data["y"]),
        )
    )
    for series in data["series"]:
        if series["role"] == "band":
            svg.append(_path(series["points"], across, up, "ch-series-band", closed=True))
    for level in data["levels"]:
        y = up(level["value"])
        svg.append(
            h(
                "line",
                {
                    "class": f"ch-level-{level['role']}",
                    "x1": _LEFT,
                    "x2": _WIDTH - _RIGHT,
                    "y1": y,
                    "y2": y,
                },
            )
        )
    others = 0
    for series in data["series"]:
        if series["role"] == "band":
            continue
        css = f"ch-series-{series['role']}"
        if series["role"] == "other":
            others += 1
            css += f" ch-other-{others}"
        svg.append(_path(series["points"], across, up, css))
    placed: list[tuple[float, float, float]] = []
    for mark in data["marks"]:
        x, y = across(mark["x"]), up(mark["y"])
        svg.append(h("circle", {"class": "ch-mark", "cx": x, "cy": y, "r": 6}))
        text = f"{mark['label']}: {mark['text']}"
        anchor = "end" if x > _WIDTH * 0.55 else "start"
        at = _free(y - 12, x, len(text), anchor, placed)
        svg.append(
            h(
                "text",
                {
                    "class": "ch-note",
                    "x": x + (-9 if anchor == "end" else 9),
                    "y": at,
                    "text-anchor": anchor,
                },
                text,
            )
        )
    for level in sorted(data["levels"], key=lambda one: -one["value"]):
        text = f"{level['label']}: {level['text']}"
        at = _free(up(level["value"]) - 6, _LEFT + 8, len(text), "start", placed)
        svg.append(
            h("text", {"class": f"ch-note ch-note-{level['role']}", "x": _LEFT + 8, "y": at}, text)
        )
    return svg


def _free(
    y: float, x: float, letters: int, anchor: str, placed: list[tuple[float, float, float]]
) -> float:
    """Return a height near `y` where a label of that many letters meets no earlier one."""
    width = letters * 8.2
    left = x - width if anchor == "end" else x
    y = max(y, _TOP + 12)
    tried = [y] + [y + sign * n * _LABEL_GAP / 2 for n in range(1, 18) for sign in (1, -1)]
    for at in tried:
        if not _TOP + 12 <= at <= _HEIGHT - _BOTTOM - 5:
            continue
        if all(
            abs(at - other) >= _LABEL_GAP or left > end or left + width < start
            for other, start, end in placed
        ):
            placed.append((at, left, left + width))
            return round(at, 1)
    placed.append((y, left, left + width))
    return round(y, 1)


def _path(points: Any, across: Any, up: Any, css: str, closed: bool = False) -> Element:
    route = "M" + "L".join(f"{across(x)} {up(y)}" for x, y in points)
    return h(
        "path",
        {"class": css, "d": route + ("Z" if closed else ""), "fill": None if closed else "none"},
    )


def _titled(axis: Mapping[str, str]) -> str:
    return f"{axis['label']} ({axis['unit']})" if axis["unit"] else axis["label"]


def _legend(data: Mapping[str, Any]) -> Element | None:
    shown = [s for s in data["series"] if s["role"] != "band"]
    if len(shown) < 2:
        return None
    items, others = [], 0
    for series in shown:
        css = f"ch-series-{series['role']}"
        if series["role"] == "other":
            others += 1
            css += f" ch-other-{others}"
        sample = h(
            "svg",
            {
                "class": "ch",
                "viewBox": "0 0 36 12",
                "width": "36",
                "height": "12",
                "aria-hidden": "true",
            },
            h("path", {"class": css, "d": "M2 6H34", "fill": "none"}),
        )
        items.append(h("li", None, sample, " ", series["label"]))
    return h("ul", {"class": "lc-legend"}, items)


def _bars(data: Mapping[str, Any]) -> Element:
    row, top = 54, 8
    bars = data["bars"]
    height = top + row * max(len(bars), 1) + 6
    most = max([b["value"] for b in bars] + [b["high"] or 0 for b in bars] + [1e-12])
    room = _WIDTH - 150
    svg = h(
        "svg",
        {"class": "ch", "viewBox": f"0 0 {_WIDTH} {height}", "xmlns": "http://www.w3.org/2000/svg"},
    )
    for number, bar in enumerate(bars):
        y = top + number * row
        width = round(max(bar["value"] / most * room, 1), 1)
        svg.append(h("text", {"class": "ch-label", "x": 4, "y": y + 16}, bar["label"]))
        svg.append(
            h("rect", {"class": "bar", "x": 4, "y": y + 23, "width": width, "height": 20, "rx": 2})
        )
        end = width
        if bar["low"] is not None and bar["high"] is not None:
            low, high = (round(4 + v / most * room, 1) for v in (bar["low"], bar["high"]))
            svg.append(
                h(
                    "path",
                    {
                        "class": "bar-range",
                        "fill": "none",
                        "d": f"M{low} {y + 27}v12M{low} {y + 33}H{high}M{high} {y + 27}v12",
                    },
                )
            )
            end = max(width, high)
        svg.append(h("text", {"class": "ch-note", "x": end + 12, "y": y + 39}, bar["text"]))
    return svg


def _vessels(data: Mapping[str, Any]) -> Element:
    states = data["states"]
    each, height = 160, 300
    width = each * len(states)
    svg = h(
        "svg",
        {
            "class": "ch vs",
            "viewBox": f"0 0 {width} {height}",
            "xmlns": "http://www.w3.org/2000/svg",
        },
    )
    for number, state in enumerate(states):
        svg.append(_vessel(state, number * each, each))
    return svg


def _vessel(state: Mapping[str, Any], x: float, each: float) -> Element:
    """Draw one vessel: water below from the pipe, gas above, the diaphragm between."""
    left, right, top, bottom = x + 32, x + each - 32, 24, 214
    bend = 26
    half, middle = (right - left) / 2, (left + right) / 2
    shell = (
        f"M{left} {top + bend}A{half} {bend} 0 0 1 {right} {top + bend}V{bottom - bend}"
        f"A{half} {bend} 0 0 1 {left} {bottom - bend}Z"
    )
    share = min(max(state["water_fraction"], 0.0), 1.0)
    level = bottom - share * (bottom - top)
    parts = [h("path", {"class": "vs-gas", "d": shell})]
    if share > 0.001:
        parts.append(
            h("path", {"class": "vs-water", "d": _filled(left, right, top, bottom, bend, level)})
        )
        if share < 0.999:
            inset = _inset(level, top, bottom, bend, half)
            parts.append(
                h(
                    "path",
                    {
                        "class": "vs-diaphragm",
                        "fill": "none",
                        "d": f"M{left + inset} {level}Q{middle} {level - 10} "
                        f"{right - inset} {level}",
                    },
                )
            )
    parts += [
        h("path", {"class": "vs-shell", "d": shell, "fill": "none"}),
        h(
            "path",
            {
                "class": "vs-shell",
                "d": f"M{middle - 7} {bottom}V{bottom + 18}M{middle + 7} {bottom}V{bottom + 18}",
                "fill": "none",
            },
        ),
        h("path", {"class": "vs-shell", "d": f"M{middle} {top}V{top - 10}", "fill": "none"}),
        h(
            "text",
            {"class": "vs-label", "x": middle, "y": bottom + 42, "text-anchor": "middle"},
            state["label"],
        ),
        h(
            "text",
            {"class": "vs-label vs-strong", "x": middle, "y": bottom + 62, "text-anchor": "middle"},
            state["text"],
        ),
        h(
            "text",
            {"class": "vs-label", "x": middle, "y": bottom + 81, "text-anchor": "middle"},
            f"{number_text(share * 100, 1)} % water",
        ),
    ]
    return h("g", None, parts)


def _inset(level: float, top: float, bottom: float, bend: float, half: float) -> float:
    """Return how far the domed end stands in from the side at that height."""
    depth = max(top + bend - level, level - (bottom - bend), 0.0) / bend
    return round(half * (1 - math.sqrt(max(1 - min(depth, 1.0) ** 2, 0.0))), 1)


def _filled(left: float, right: float, top: float, bottom: float, bend: float, level: float) -> str:
    """Return the outline of the water: the shell below `level`, traced in short steps."""
    half = (right - left) / 2
    rows = [bottom - n * (bottom - level) / 24 for n in range(25)]
    inner = [(_inset(y, top, bottom, bend, half), round(y, 1)) for y in rows]
    path = "M" + "L".join(f"{left + i} {y}" for i, y in inner)
    return path + "L" + "L".join(f"{right - i} {y}" for i, y in reversed(inner)) + "Z"


def _table(data: Mapping[str, Any]) -> Element:
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

"""Vessels cut open, their water and gas drawn to the numbers."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from calc.units import number_text
from view.html import Html, h

_EACH, _HEIGHT = 160, 300


def vessels(data: Mapping[str, Any]) -> tuple[int, int, list[Html]]:
    """Return width, height and content of a row of vessels, one for each state."""
    states = data["states"]
    return _EACH * len(states), _HEIGHT, [_vessel(s, n * _EACH) for n, s in enumerate(states)]


def _vessel(state: Mapping[str, Any], x: float) -> Html:
    """Draw one vessel: water below from the pipe, gas above, the diaphragm between."""
    left, right, top, bottom, bend = x + 32, x + _EACH - 32, 24, 214, 26
    half, middle = (right - left) / 2, (left + right) / 2
    shell = (
        f"M{left} {top + bend}A{half} {bend} 0 0 1 {right} {top + bend}V{bottom - bend}"
        f"A{half} {bend} 0 0 1 {left} {bottom - bend}Z"
    )
    share = min(max(state["water_fraction"], 0.0), 1.0)
    level = round(bottom - share * (bottom - top), 1)
    drawn = [h("path", {"class": "vs-gas", "d": shell})]
    if share > 0.001:
        water = _filled(left, right, top, bottom, bend, level)
        drawn.append(h("path", {"class": "vs-water", "d": water}))
    if 0.001 < share < 0.999:
        inset = _inset(level, top, bottom, bend, half)
        sag = f"M{left + inset} {level}Q{middle} {level - 10} {right - inset} {level}"
        drawn.append(h("path", {"class": "vs-diaphragm", "d": sag, "fill": "none"}))
    pipes = f"M{middle - 7} {bottom}v18M{middle + 7} {bottom}v18M{middle} {top}v-10"
    drawn.append(h("path", {"class": "vs-shell", "d": shell + pipes, "fill": "none"}))
    texts = (state["label"], state["text"], f"{number_text(share * 100, 1)} % water")
    for number, text in enumerate(texts):
        css = "vs-label vs-strong" if number == 1 else "vs-label"
        at = {"class": css, "x": middle, "y": bottom + 42 + 20 * number, "text-anchor": "middle"}
        drawn.append(h("text", at, text))
    return h("g", None, drawn)


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

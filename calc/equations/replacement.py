"""Equations that compare one replacement vessel with another."""

from __future__ import annotations

from dataclasses import replace

from calc import replacement
from calc import units as u
from calc.equations.shared import (
    FULL_MASS,
    HIGHEST_FILL,
    HIGHEST_FILL_GAUGE,
    HOT,
    HOT_GAUGE,
    LOWEST_FILL,
    LOWEST_FILL_GAUGE,
    SMALL_RESERVE,
    WATER_IN_VESSEL,
)
from calc.model import Equation, Symbol
from calc.sources import COMMON_PRACTICE, EN_12828, PHYSICS

MOST_OPTIONS = 6
"""Options that can be held against each other at once. [-]"""

TOGETHER = Equation(
    symbol="V_N",
    label="volume of the vessels together",
    kind=u.VOLUME,
    formula="n*V_1",
    where={
        "n": Symbol("equal vessels side by side", u.NUMBER),
        "V_1": Symbol("volume of one", u.VOLUME),
    },
    function=replacement.volume_together,
    cite=PHYSICS.at("Boyle's law, gas volumes at one pressure"),
)
WINDOW = Equation(
    symbol="dp_w",
    label="room to set the cold fill",
    kind=u.PRESSURE_DIFFERENCE,
    formula="P_fmax - P_fmin",
    where={
        "P_fmin": Symbol("lowest cold fill at the vessel", u.ABSOLUTE_PRESSURE),
        "P_fmax": Symbol("highest cold fill at the vessel", u.ABSOLUTE_PRESSURE),
    },
    function=replacement.fill_window,
    cite=EN_12828.at("annex D"),
)
COST = Equation(
    symbol="C",
    label="parts and labour",
    kind=u.MONEY,
    formula="n*C_1 + t_w*r",
    where={
        "n": Symbol("vessels", u.NUMBER),
        "C_1": Symbol("price of one with its fittings", u.MONEY),
        "t_w": Symbol("labour, all people together", u.TIME, unit="h"),
        "r": Symbol("price of an hour", u.MONEY),
    },
    function=replacement.job_cost,
    cite=COMMON_PRACTICE.at("parts and hours"),
)


def _numbered(equation: Equation) -> tuple[Equation, ...]:
    """Return one copy for each option, so that a step says which option it belongs to."""
    return tuple(
        replace(equation, label=f"option {n + 1}, {equation.label}") for n in range(MOST_OPTIONS)
    )


TOGETHERS = _numbered(TOGETHER)
WINDOWS = _numbered(WINDOW)
COSTS = _numbered(COST)
SMALL_RESERVES = _numbered(SMALL_RESERVE)
LOWEST_FILLS = _numbered(LOWEST_FILL)
LOWEST_FILL_GAUGES = _numbered(LOWEST_FILL_GAUGE)
HIGHEST_FILLS = _numbered(HIGHEST_FILL)
HIGHEST_FILL_GAUGES = _numbered(HIGHEST_FILL_GAUGE)
RESERVES_HELD = _numbered(replace(WATER_IN_VESSEL, label="water kept in the cold vessel"))
HOTS = _numbered(HOT)
HOT_GAUGES = _numbered(HOT_GAUGE)
FULL_MASSES = _numbered(FULL_MASS)

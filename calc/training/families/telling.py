"""Places and words that several kinds of problems tell their situations with."""

from __future__ import annotations

from calc import units
from calc.training.problem import Draw

BUILDINGS = (
    "a school",
    "a town hall",
    "a small hotel",
    "a block of flats",
    "a library",
    "a row of workshops",
    "a nursing home",
    "a sports hall",
)
ROOMS = ("basement", "plant room on the ground floor", "cellar", "boiler room")

BAR = units.PRESSURE_DIFFERENCE.unit("bar").scale
PSI = units.PRESSURE_DIFFERENCE.unit("psi").scale
LITRE = 1e-3

GAUGE_WHY = "a gauge is not read more finely"


def place(draw: Draw) -> str:
    """Return a place such as ``the cellar of a school``."""
    return f"the {draw.pick(ROOMS)} of {draw.pick(BUILDINGS)}"

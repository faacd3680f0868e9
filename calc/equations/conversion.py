"""Equations the converter shows: where one Kind of pressure leads to another."""

from __future__ import annotations

from dataclasses import replace

from calc import units as u
from calc.equations.shared import HOT_DENSITY, G, absolute, gauge
from calc.hydrostatics import height_of_pressure, static_pressure
from calc.model import Equation, Symbol
from calc.site import WATER
from calc.sources import PHYSICS

_STILL = PHYSICS.at("column of still liquid")
_RHO = Symbol("density of the water", u.DENSITY)

TO_ABSOLUTE = absolute("p_G", "pressure on the dial")
TO_GAUGE = gauge("P_G", "pressure on the dial")
DENSITY = replace(
    HOT_DENSITY[WATER],
    symbol="rho",
    label="density of the water",
    where={"t": Symbol("temperature of the water", u.TEMPERATURE)},
)
COLUMN = Equation(
    symbol="h",
    label="height of water that presses as much",
    kind=u.LENGTH,
    formula="d/(rho*g)",
    where={"d": Symbol("pressure difference", u.PRESSURE_DIFFERENCE), "rho": _RHO, "g": G},
    function=lambda difference, rho, _: height_of_pressure(difference, rho),
    cite=_STILL,
)
PRESS = Equation(
    symbol="d",
    label="pressure difference between its foot and its top",
    kind=u.PRESSURE_DIFFERENCE,
    formula="rho*g*h",
    where={"rho": _RHO, "g": G, "h": Symbol("height of the column", u.LENGTH)},
    function=lambda rho, _, height: static_pressure(rho, height),
    cite=_STILL,
)

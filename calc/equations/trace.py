"""Equations of the pressure trace: the hot pressure, and where heating up ends."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from calc import charge, trace
from calc import units as u
from calc.equations.shared import P_0, P_F, P_SV, RHO_C, RHO_H, V_N, V_S, Z_SV, G, absolute
from calc.fluids import Fluid
from calc.hydrostatics import static_pressure
from calc.model import Equation, Symbol
from calc.site import GLYCOLS, WATER
from calc.sources import IAPWS_IF97, PHYSICS

_BOYLE = PHYSICS.at("Boyle's law")
_STILL = PHYSICS.at("column of still liquid")

SET_ABS = absolute("p_sv", P_SV.label)
HOT_AT_VALVE = Equation(
    symbol="p_valve",
    label="hot pressure at the relief valve",
    kind=u.GAUGE_PRESSURE,
    formula="p_h - rho_h*g*z_sv",
    where={
        "p_h": Symbol("hot pressure at the vessel", u.GAUGE_PRESSURE),
        "rho_h": RHO_H,
        "g": G,
        "z_sv": Z_SV,
    },
    function=lambda p, rho, _, z: charge.pressure_above(p, static_pressure(rho, z)),
    cite=_STILL,
)
MARGIN = Equation(
    symbol="m",
    label="margin below the set pressure",
    kind=u.PRESSURE_DIFFERENCE,
    formula="p_sv - p_valve",
    where={
        "p_sv": P_SV,
        "p_valve": Symbol("hot pressure at the relief valve", u.GAUGE_PRESSURE),
    },
    function=lambda opens, found: opens - found,
    cite=_STILL,
)
COLD_AT_TOP = Equation(
    symbol="p_top",
    label="cold pressure at the highest point",
    kind=u.GAUGE_PRESSURE,
    formula="p_f - rho_c*g*h",
    where={
        "p_f": Symbol("cold fill at the vessel", u.GAUGE_PRESSURE),
        "rho_c": RHO_C,
        "g": G,
        "h": Symbol("height from vessel to highest point", u.LENGTH),
    },
    function=lambda p, rho, _, h: charge.pressure_above(p, static_pressure(rho, h)),
    cite=_STILL,
)

_GLYCOL = Symbol("glycol by volume", u.FRACTION)
_HEATED = {
    "alpha": Symbol("linear expansion of the pipes", u.EXPANSIVITY),
    "t_c": Symbol("cold water", u.TEMPERATURE),
    "t_max": Symbol("temperature up to which to look", u.TEMPERATURE),
    "V_s": V_S,
    "V_N": V_N,
    "P_0": P_0,
    "P_f": P_F,
    "P_sv": Symbol("set pressure of the relief valve", u.ABSOLUTE_PRESSURE),
    "z_sv": Z_SV,
}
_HEIGHT = {"h": Symbol("height from vessel to highest point", u.LENGTH)}


def _by_fluid(
    end: Callable[..., float], symbol: str, label: str, words: str, more: Mapping, cite
) -> Mapping[str, Equation]:
    found = {}
    for substance in (WATER, *GLYCOLS):
        where = {**_HEATED, **more}
        if substance == WATER:

            def function(*values: float) -> float:
                return end(Fluid(), *values)
        else:
            where["phi"] = _GLYCOL

            def function(*values: float, substance: str = substance) -> float:
                return end(Fluid(substance, values[-1]), *values[:-1])

        found[substance] = Equation(
            symbol=symbol,
            label=label,
            kind=u.TEMPERATURE,
            words=words,
            where=where,
            function=function,
            cite=cite,
        )
    return found


LIFT: Mapping[str, Equation] = _by_fluid(
    trace.lift_temperature,
    "t_sv",
    "temperature at which the relief valve opens",
    "found by closing in from two sides: there the pressure at the valve reaches its set pressure",
    {},
    _BOYLE,
)
"""By fluid; glycols take their share as `phi` as well."""

BOIL: Mapping[str, Equation] = _by_fluid(
    trace.boiling_at_top,
    "t_top",
    "temperature at which the highest point boils",
    "found by closing in from two sides: there the pressure at the highest point falls to the "
    "saturation curve",
    _HEIGHT,
    IAPWS_IF97.at("saturation"),
)
"""By fluid; glycols take their share as `phi` as well."""

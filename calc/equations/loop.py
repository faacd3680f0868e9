"""Equations of the pressures round a closed loop."""

from __future__ import annotations

from dataclasses import replace

from calc import loop, pump
from calc import units as u
from calc.equations.shared import RHO_C, RHO_H, G, absolute
from calc.model import Equation, Symbol
from calc.sources import CIBSE_CPD_32, IAPMO_LOCATION, PHYSICS

_BERNOULLI = CIBSE_CPD_32.at("Bernoulli's equation round a loop")
_HEADS = Symbol("pump heads, all round", u.PRESSURE_DIFFERENCE)
_FRICTIONS = Symbol("frictions, all round", u.PRESSURE_DIFFERENCE)

MISFIT = Equation(
    symbol="m",
    label="heads less frictions",
    kind=u.PRESSURE_DIFFERENCE,
    formula="H_s - R_s",
    where={"H_s": _HEADS, "R_s": _FRICTIONS},
    function=loop.misfit,
    cite=PHYSICS.at("energy balance of a steady loop"),
)
FACTOR = Equation(
    symbol="f",
    label="factor on every friction",
    kind=u.FRACTION,
    unit="1",
    formula="H_s/R_s",
    where={"H_s": _HEADS, "R_s": _FRICTIONS},
    function=loop.closing_factor,
    cite=PHYSICS.at("energy balance of a steady loop"),
)


def _running(symbol: str, label: str) -> Equation:
    return Equation(
        symbol=symbol,
        label=f"{label}, pump running",
        kind=u.GAUGE_PRESSURE,
        formula="p_V - rho_c*g*z + H - R",
        where={
            "p_V": Symbol("pressure at height 0, pump off", u.GAUGE_PRESSURE),
            "rho_c": RHO_C,
            "g": G,
            "z": Symbol("height of the point", u.LENGTH),
            "H": Symbol("heads with the flow from vessel to point", u.PRESSURE_DIFFERENCE),
            "R": Symbol("frictions on the same way", u.PRESSURE_DIFFERENCE),
        },
        function=lambda p, rho, _, z, heads, frictions: pump.pressure_along_flow(
            p, rho, z, heads, frictions
        ),
        cite=_BERNOULLI,
    )


LOWEST_ON = _running("p_min", "lowest pressure")
HIGHEST_ON = _running("p_max", "highest pressure")
SUCTION_ON = _running("p_s", "pressure at the pump's suction")
DISCHARGE_ON = _running("p_d", "pressure at the pump's discharge")
LOWEST_OFF = Equation(
    symbol="p_off",
    label="lowest pressure, pump off",
    kind=u.GAUGE_PRESSURE,
    formula="p_V - rho_c*g*z",
    where={name: LOWEST_ON.where[name] for name in ("p_V", "rho_c", "g", "z")},
    function=lambda p, rho, _, z: pump.pressure_along_flow(p, rho, z, 0.0, 0.0),
    cite=PHYSICS.at("column of still liquid"),
)
TIGHTEST_ABS = absolute("p_t", "lowest pressure, pump on or off")
SPARE = Equation(
    symbol="d_v",
    label="least pressure above boiling",
    kind=u.PRESSURE_DIFFERENCE,
    formula="P_t - P_v",
    where={
        "P_t": Symbol(TIGHTEST_ABS.label, u.ABSOLUTE_PRESSURE),
        "P_v": Symbol("pressure at which the hottest water boils", u.ABSOLUTE_PRESSURE),
    },
    function=lambda there, boils: there - boils,
    cite=PHYSICS.at("boiling"),
)
SUCTION_ABS = absolute("p_s", "pressure at the pump's suction, pump running")
NPSH = Equation(
    symbol="NPSH",
    label="net positive suction head the pump has",
    kind=u.LENGTH,
    formula="(P_s - P_v)/(rho_h*g)",
    where={
        "P_s": Symbol(SUCTION_ABS.label, u.ABSOLUTE_PRESSURE),
        "P_v": SPARE.where["P_v"],
        "rho_h": RHO_H,
        "g": G,
    },
    function=lambda suction, boils, rho, _: loop.suction_head(suction, boils, rho),
    cite=PHYSICS.at("definition of net positive suction head"),
)
JOINT = replace(LOWEST_OFF, symbol="p_J", label="pressure at the vessel's joint, pump on or off",
                cite=IAPMO_LOCATION.at("point of no pressure change"))  # fmt: skip

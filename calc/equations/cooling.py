"""Equations of a system that cools towards its room."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from calc import cooling
from calc import units as u
from calc.equations.shared import HOT_DENSITY, V_S, kelvin
from calc.fluids import Fluid, specific_heat
from calc.model import Equation, Symbol
from calc.site import GLYCOLS, WATER
from calc.sources import COOLPROP, IAPWS_IF97, PHYSICS

_COOLING = PHYSICS.at("Newton's law of cooling")
_HEAT = PHYSICS.at("heat balance")


_T_1 = kelvin("first reading")
_T_2 = kelvin("second reading")
_T_R = kelvin("room")
_GOAL = kelvin("temperature to reach")
_TAU = Symbol("time constant", u.TIME)
_RHO = Symbol("density of the fluid", u.DENSITY)
_SPECIFIC_HEAT = Symbol("specific heat of the fluid", u.SPECIFIC_HEAT)

TIME_CONSTANT = Equation(
    symbol="tau",
    label="time constant",
    kind=u.TIME,
    formula="t/ln((T_1 - T_R)/(T_2 - T_R))",
    where={"t": Symbol("time between the readings", u.TIME), "T_1": _T_1, "T_2": _T_2, "T_R": _T_R},
    function=cooling.time_constant,
    cite=_COOLING,
)
WAIT = Equation(
    symbol="t_w",
    label="time from the second reading to the goal",
    kind=u.TIME,
    formula="tau*ln((T_2 - T_R)/(T_g - T_R))",
    where={"tau": _TAU, "T_2": _T_2, "T_g": _GOAL, "T_R": _T_R},
    function=cooling.waiting_time,
    cite=_COOLING,
)
NEXT = Equation(
    symbol="T_3",
    label="temperature to expect after the same time again",
    kind=u.TEMPERATURE,
    unit="K",
    formula="T_R + (T_2 - T_R)*exp(-t/tau)",
    where={
        "t": Symbol("time between the readings", u.TIME),
        "tau": _TAU,
        "T_2": _T_2,
        "T_R": _T_R,
    },
    function=cooling.temperature_after,
    cite=_COOLING,
)


def _density(fluid: str) -> Equation:
    taken = HOT_DENSITY[fluid]
    where = {"T_2": Symbol("second reading", u.TEMPERATURE)}
    if fluid != WATER:
        where["phi"] = taken.where["phi"]
    return replace(taken, symbol="rho", label="density of the fluid", where=where)


def _specific_heat(fluid: str) -> Equation:
    where = {"T_2": Symbol("second reading", u.TEMPERATURE)}
    if fluid == WATER:
        return Equation(
            symbol="c_p",
            label="specific heat of the fluid",
            kind=u.SPECIFIC_HEAT,
            words="read from the table of water",
            where=where,
            function=lambda t: specific_heat(Fluid(), t),
            cite=IAPWS_IF97.at("liquid water"),
        )
    return Equation(
        symbol="c_p",
        label="specific heat of the fluid",
        kind=u.SPECIFIC_HEAT,
        words=f"read from the table of {fluid} in water",
        where={**where, "phi": HOT_DENSITY[fluid].where["phi"]},
        function=lambda t, share: specific_heat(Fluid(fluid, share), t),
        cite=COOLPROP.at(f"ASHRAE set of {fluid}"),
    )


DENSITY: Mapping[str, Equation] = {fluid: _density(fluid) for fluid in (WATER, *GLYCOLS)}
"""By fluid; glycols take their share as `phi` as well."""

SPECIFIC_HEAT: Mapping[str, Equation] = {
    fluid: _specific_heat(fluid) for fluid in (WATER, *GLYCOLS)
}
"""By fluid; glycols take their share as `phi` as well."""

HEAT_TO_GOAL = Equation(
    symbol="E_g",
    label="heat still to go before the goal",
    kind=u.ENERGY,
    formula="V_s*rho*c_p*(T_2 - T_g)",
    where={"V_s": V_S, "rho": _RHO, "c_p": _SPECIFIC_HEAT, "T_2": _T_2, "T_g": _GOAL},
    function=cooling.heat_content,
    cite=_HEAT,
)
HEAT_TO_ROOM = Equation(
    symbol="E_R",
    label="heat still in the water, above the room",
    kind=u.ENERGY,
    formula="V_s*rho*c_p*(T_2 - T_R)",
    where={"V_s": V_S, "rho": _RHO, "c_p": _SPECIFIC_HEAT, "T_2": _T_2, "T_R": _T_R},
    function=cooling.heat_content,
    cite=_HEAT,
)
LOSS = Equation(
    symbol="Q_l",
    label="heat the water loses now",
    kind=u.POWER,
    formula="V_s*rho*c_p*(T_2 - T_R)/tau",
    where={
        "V_s": V_S,
        "rho": _RHO,
        "c_p": _SPECIFIC_HEAT,
        "T_2": _T_2,
        "T_R": _T_R,
        "tau": _TAU,
    },
    function=cooling.heat_loss,
    cite=_COOLING,
)

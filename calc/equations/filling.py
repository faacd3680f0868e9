"""Equations of filling, of carrying air out, and of the air that water brings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from math import pi

from calc import aeration, filling
from calc import units as u
from calc.equations.shared import P_A, STATIC, V_S, G, absolute
from calc.fluids import Fluid, dynamic_viscosity
from calc.friction import hose_velocity
from calc.model import Equation, Symbol
from calc.site import GLYCOLS, WATER
from calc.sources import (
    ASHRAE_SYSTEMS,
    CHURCHILL_1977,
    COMMON_PRACTICE,
    COOLPROP,
    IAPWS_G7_04,
    IAPWS_IF97,
    PHYSICS,
    WISNER_1975,
)

_SOURCE = PHYSICS.at("losses by the square of the flow")
_STILL = PHYSICS.at("column of still liquid")
_RHO = Symbol("density of the cold fluid", u.DENSITY)
_BORE = Symbol("bore", u.SMALL_LENGTH)
_REST = Symbol("source with nothing running", u.GAUGE_PRESSURE)
_OPEN = Symbol("flow with the end open", u.FLOW)
_COLUMN = Symbol("column from the filling point to the top", u.PRESSURE_DIFFERENCE)
_PI = Symbol("a circle's round over its width", u.NUMBER)

COLUMN = replace(
    STATIC,
    symbol="p_c",
    label="column from the filling point to the top",
    where={
        **STATIC.where,
        "h": Symbol("highest point above the filling point", u.LENGTH),
    },
)
FLOW_AT_TOP = Equation(
    symbol="Q_t",
    label="flow when the water reaches the top",
    kind=u.FLOW,
    formula="Q_o*sqrt(1 - p_c/p_s)",
    where={"Q_o": _OPEN, "p_s": _REST, "p_c": _COLUMN},
    function=filling.source_flow,
    cite=_SOURCE,
)
FILLING_TIME = Equation(
    symbol="t_f",
    label="time to fill, water spread evenly over the height",
    kind=u.TIME,
    formula="2*V_s/(Q_o*(1 + sqrt(1 - p_c/p_s)))",
    where={"Q_o": _OPEN, "V_s": V_S, "p_s": _REST, "p_c": _COLUMN},
    function=filling.filling_time,
    cite=_SOURCE,
)
TOP = Equation(
    symbol="p_t",
    label="pressure at the top, pumps off",
    kind=u.GAUGE_PRESSURE,
    formula="p_f - p_c",
    where={"p_f": Symbol("cold fill at the filling point", u.GAUGE_PRESSURE), "p_c": _COLUMN},
    function=filling.top_pressure,
    cite=_STILL,
)
TOP_ABS = absolute("p_t", "pressure at the top")
LEAST_TOP = Equation(
    symbol="p_tmin",
    label="least pressure wanted at the top",
    kind=u.GAUGE_PRESSURE,
    formula="max(0, P_v - P_a) + d_t",
    where={
        "P_v": Symbol("pressure at which the hottest water boils", u.ABSOLUTE_PRESSURE),
        "P_a": P_A,
        "d_t": Symbol("margin wanted", u.PRESSURE_DIFFERENCE),
    },
    function=filling.least_top_pressure,
    cite=COMMON_PRACTICE.at("margin at the top"),
)

RULE = Equation(
    symbol="v",
    label="velocity that carries air along",
    kind=u.VELOCITY,
    words="0.6 m/s (2 ft/s) in any pipe up to 2 in",
    where={"d": _BORE},
    function=lambda _: filling.RULE_VELOCITY,
    cite=ASHRAE_SYSTEMS.at("hydronic systems, air elimination"),
)
POCKET = Equation(
    symbol="v",
    label="velocity that sweeps an air pocket down",
    kind=u.VELOCITY,
    formula="sqrt(g*d)*(0.825 + 0.25*sqrt(s))",
    where={"g": G, "d": _BORE, "s": Symbol("fall for each length", u.FRACTION, unit="1")},
    function=lambda _, bore, fall: filling.clearing_velocity(bore, fall),
    cite=WISNER_1975.at("clearing velocity"),
)
BOTH = Equation(
    symbol="v",
    label="velocity that carries air along, the higher of two",
    kind=u.VELOCITY,
    unit="m/s",
    formula="max(0.6, sqrt(g*d)*(0.825 + 0.25*sqrt(s)))",
    where={
        "g": Symbol(G.label, u.ACCELERATION, unit="m/s2"),
        "d": Symbol(_BORE.label, u.SMALL_LENGTH, unit="m"),
        "s": Symbol("fall for each length", u.FRACTION, unit="1"),
    },
    function=lambda _, bore, fall: max(
        filling.RULE_VELOCITY, filling.clearing_velocity(bore, fall)
    ),
    cite=WISNER_1975.at("clearing velocity, and 0.6 m/s from memory"),
)


def _pipe_flow(ratio: float, bore: float, velocity: float) -> float:
    return ratio / 4.0 * bore**2 * velocity


def _source_loss(flow: float, rest: float, density: float, bore: float, ratio: float) -> float:
    # The circle's number is shown among the letters, so it has to come in with them.
    return (ratio / pi) ** 2 * filling.source_loss_number(flow, rest, density, bore)


NEEDED = Equation(
    symbol="Q_n",
    label="flow that carries the air out",
    kind=u.FLOW,
    formula="pi/4*d**2*v",
    where={"pi": _PI, "d": _BORE, "v": Symbol("velocity", u.VELOCITY)},
    function=_pipe_flow,
    cite=PHYSICS.at("flow through a round bore"),
)
SOURCE_LOSS = Equation(
    symbol="K_s",
    label="what the source loses inside, in velocity heads of this pipe",
    kind=u.NUMBER,
    formula="2*p_s*(pi*d**2/4/Q_o)**2/rho",
    where={"Q_o": _OPEN, "p_s": _REST, "rho": _RHO, "d": _BORE, "pi": _PI},
    function=_source_loss,
    cite=_SOURCE,
)
REACHED_VELOCITY = Equation(
    symbol="v_r",
    label="velocity this source reaches in it",
    kind=u.VELOCITY,
    words="the velocity at which friction, fittings and the source's own loss use up its pressure",
    where={
        "p_s": _REST,
        "rho": _RHO,
        "mu": Symbol("dynamic viscosity of the cold fluid", u.VISCOSITY),
        "d": _BORE,
        "L": Symbol("length", u.LENGTH),
        "k": Symbol("roughness of the pipe", u.SMALL_LENGTH),
        "K": Symbol("bends and valves", u.NUMBER),
        "K_s": Symbol("loss inside the source", u.NUMBER),
    },
    function=lambda rest, rho, mu, bore, length, roughness, fittings, inside: hose_velocity(
        rest, rho, mu, bore, length, roughness, fittings + inside
    ),
    cite=CHURCHILL_1977.at("friction factor"),
)
REACHED = replace(
    NEEDED,
    symbol="Q_r",
    label="flow this source reaches, other circuits shut",
    where={"pi": _PI, "d": _BORE, "v_r": Symbol("velocity reached", u.VELOCITY)},
    formula="pi/4*d**2*v_r",
)


def _viscosity(fluid: str) -> Equation:
    where = {"t_c": Symbol("cold water", u.TEMPERATURE)}
    if fluid == WATER:
        return Equation(
            symbol="mu",
            label="dynamic viscosity of the cold fluid",
            kind=u.VISCOSITY,
            words="read from the table of water",
            where=where,
            function=lambda t: dynamic_viscosity(Fluid(), t),
            cite=IAPWS_IF97.at("liquid water"),
        )
    return Equation(
        symbol="mu",
        label="dynamic viscosity of the cold fluid",
        kind=u.VISCOSITY,
        words=f"read from the table of {fluid} in water",
        where={**where, "phi": Symbol("glycol by volume", u.FRACTION)},
        function=lambda t, share: dynamic_viscosity(Fluid(fluid, share), t),
        cite=COOLPROP.at(f"ASHRAE set of {fluid}"),
    )


VISCOSITY: Mapping[str, Equation] = {fluid: _viscosity(fluid) for fluid in (WATER, *GLYCOLS)}
"""By fluid; glycols take their share as `phi` as well."""


def _dissolved(symbol: str, label: str, temperature: Symbol, pressure: Symbol) -> Equation:
    letters = {"c": ("t_c", "P_a"), "h": ("t_h", "P_t")}[symbol[-1]]
    return Equation(
        symbol=symbol,
        label=label,
        kind=u.FRACTION,
        words="Henry's law for nitrogen and oxygen; air counted dry at 0 °C and 1 atm",
        where=dict(zip(letters, (temperature, pressure), strict=True)),
        function=aeration.dissolved_air,
        cite=IAPWS_G7_04.at("equation 3"),
    )


DISSOLVED_COLD = _dissolved(
    "s_c",
    "air the fill water brings",
    Symbol("cold water", u.TEMPERATURE),
    P_A,
)
DISSOLVED_HOT = _dissolved(
    "s_h",
    "air the hot water can hold at the top",
    Symbol("hottest water", u.TEMPERATURE),
    Symbol("pressure at the top", u.ABSOLUTE_PRESSURE),
)
RELEASED = Equation(
    symbol="V_air",
    label="air that comes out at the first heating",
    kind=u.AIR_VOLUME,
    formula="max(0, V_s*(s_c - s_h))",
    where={
        "V_s": V_S,
        "s_c": Symbol("air the fill water brings", u.FRACTION, unit="1"),
        "s_h": Symbol("air the hot water can hold", u.FRACTION, unit="1"),
    },
    function=aeration.released_air,
    cite=PHYSICS.at("mass balance"),
)

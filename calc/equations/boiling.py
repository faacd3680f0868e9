"""Equations of boiling: at a height, at an altitude, and on being let out."""

from __future__ import annotations

from dataclasses import replace

from calc import boiling, charge
from calc import units as u
from calc.equations.filling import LEAST_TOP
from calc.equations.shared import HOT_DENSITY, P_A, RHO_C, G, absolute
from calc.fluids import enthalpy_of_vaporisation, saturation_temperature, specific_enthalpy
from calc.hydrostatics import static_pressure
from calc.model import Equation, Symbol
from calc.site import WATER
from calc.sources import IAPWS_IF97, PHYSICS

_STILL = PHYSICS.at("column of still liquid")
_SATURATION = IAPWS_IF97.at("saturation")
_GAUGE = Symbol("reading of the gauge", u.GAUGE_PRESSURE)
_RISE = Symbol("height of the top above the gauge", u.LENGTH)
_HOT = Symbol("hottest water", u.TEMPERATURE)
_BOILS = Symbol("pressure at which the hottest water boils", u.ABSOLUTE_PRESSURE)

TOP = Equation(
    symbol="p_t",
    label="pressure at the top",
    kind=u.GAUGE_PRESSURE,
    formula="p_G - rho_c*g*h_t",
    where={"p_G": _GAUGE, "rho_c": RHO_C, "g": G, "h_t": _RISE},
    function=lambda p, rho, _, h: charge.pressure_above(p, static_pressure(rho, h)),
    cite=_STILL,
)
TOP_ABS = absolute("p_t", "pressure at the top")
BOILING_AT_TOP = Equation(
    symbol="t_bt",
    label="boiling point at the top",
    kind=u.TEMPERATURE,
    words="read from the saturation curve of water",
    where={"P_t": Symbol("pressure at the top, absolute", u.ABSOLUTE_PRESSURE)},
    function=saturation_temperature,
    cite=_SATURATION,
)
LEAST_LIQUID = Equation(
    symbol="p_l",
    label="pressure at which the hottest water begins to boil here",
    kind=u.GAUGE_PRESSURE,
    formula="P_v - P_a",
    where={"P_v": _BOILS, "P_a": P_A},
    function=lambda vapour, ambient: vapour - ambient,
    cite=PHYSICS.at("gauge and absolute pressure"),
)
LEAST_AT_TOP = LEAST_TOP
LEAST_ON_GAUGE = Equation(
    symbol="p_Gmin",
    label="least reading of the gauge",
    kind=u.GAUGE_PRESSURE,
    formula="p_tmin + rho_c*g*h_t",
    where={
        "p_tmin": Symbol("least pressure wanted at the top", u.GAUGE_PRESSURE),
        "rho_c": RHO_C,
        "g": G,
        "h_t": _RISE,
    },
    function=lambda p, rho, _, h: charge.pressure_below(p, static_pressure(rho, h)),
    cite=_STILL,
)
HOT_ENTHALPY = Equation(
    symbol="h_h",
    label="specific enthalpy of the hottest water",
    kind=u.SPECIFIC_ENERGY,
    words="read from the table of water",
    where={"t_h": _HOT},
    function=specific_enthalpy,
    cite=_SATURATION,
)
BOILING_ENTHALPY = Equation(
    symbol="h_b",
    label="specific enthalpy of water boiling in the open",
    kind=u.SPECIFIC_ENERGY,
    words="read from the table of water",
    where={"t_b": Symbol("boiling point in the open here", u.TEMPERATURE)},
    function=specific_enthalpy,
    cite=_SATURATION,
)
LATENT = replace(
    BOILING_ENTHALPY,
    symbol="h_fg",
    label="heat that boils water away in the open",
    function=enthalpy_of_vaporisation,
)
FLASH = Equation(
    symbol="x",
    label="share that turns to steam when let out",
    kind=u.FRACTION,
    unit="1",
    formula="max(0, (h_h - h_b)/h_fg)",
    where={
        "h_h": Symbol(HOT_ENTHALPY.label, u.SPECIFIC_ENERGY),
        "h_b": Symbol(BOILING_ENTHALPY.label, u.SPECIFIC_ENERGY),
        "h_fg": Symbol(LATENT.label, u.SPECIFIC_ENERGY),
    },
    function=boiling.flash_share,
    cite=PHYSICS.at("first law of thermodynamics"),
)
STEAM_VOLUME = Equation(
    symbol="v_b",
    label="specific volume of the steam",
    kind=u.SPECIFIC_VOLUME,
    words="by Clapeyron's equation, from the slope of the saturation curve",
    where={"t_b": Symbol("boiling point in the open here", u.TEMPERATURE)},
    function=boiling.steam_volume,
    cite=PHYSICS.at("Clapeyron's equation"),
)
DENSITY = HOT_DENSITY[WATER]
STEAM_RATIO = Equation(
    symbol="n",
    label="steam for each volume of water let out",
    kind=u.NUMBER,
    formula="x*v_b*rho_h",
    where={
        "x": Symbol("share that turns to steam", u.FRACTION, unit="1"),
        "v_b": Symbol("specific volume of the steam", u.SPECIFIC_VOLUME),
        "rho_h": Symbol("density of the hottest water", u.DENSITY),
    },
    function=boiling.steam_ratio,
    cite=PHYSICS.at("mass balance"),
)

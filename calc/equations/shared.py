"""Equations that two or more calculators show, each once.

The letters are those of every page: P absolute, p gauge; a the air, 0 the charge, f the cold
fill, h hot, e the highest allowed, sv the safety (relief) valve, G the gauge; z a height above
the vessel, and z_s the altitude of the site.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from calc import charge, drainage, expansion, pump, relief, vessel
from calc import units as u
from calc.atmosphere import standard_pressure
from calc.fluids import Fluid, density, saturation_temperature, vapour_pressure
from calc.hydrostatics import static_pressure
from calc.model import Equation, Symbol
from calc.site import GLYCOLS, WATER
from calc.sources import (
    ASHRAE_SYSTEMS,
    ASME_VI,
    COMMON_PRACTICE,
    COOLPROP,
    EN_12828,
    IAPWS_IF97,
    ICAO_ATMOSPHERE,
    PHYSICS,
    Citation,
)

LOOP = PHYSICS.at("point of no pressure change at the vessel; Bernoulli with losses")
MASS_BALANCE = PHYSICS.at("mass balance")

_ANNEX_D = EN_12828.at("annex D")
_ASHRAE_CLOSED = ASHRAE_SYSTEMS.at("closed tank, equation 12")
ASHRAE_DIAPHRAGM = ASHRAE_SYSTEMS.at("diaphragm tank, equation 14")
_BOYLE = PHYSICS.at("Boyle's law")
_STILL = PHYSICS.at("column of still liquid")
_GAUGE_AND_ABSOLUTE = PHYSICS.at("gauge and absolute pressure")

G = Symbol("standard gravity", u.ACCELERATION)
P_A = Symbol("pressure of the air", u.ABSOLUTE_PRESSURE)
P_0 = Symbol("charge", u.ABSOLUTE_PRESSURE)
P_F = Symbol("cold fill at the vessel", u.ABSOLUTE_PRESSURE)
P_E = Symbol("highest pressure at the vessel", u.ABSOLUTE_PRESSURE)
P_SV = Symbol("set pressure of the relief valve", u.GAUGE_PRESSURE)
RHO = Symbol("density of the fluid", u.DENSITY)
RHO_WATER = Symbol("density of the water", u.DENSITY)
RHO_C = Symbol("density of the cold fluid", u.DENSITY)
RHO_H = Symbol("density of the hot fluid", u.DENSITY)
V_N = Symbol("volume of the vessel", u.VOLUME)
V_S = Symbol("water in the system", u.VOLUME)
V_EX = Symbol("water pushed into the vessel", u.VOLUME)
V_WR = Symbol("water reserve", u.VOLUME)
WATER_TO_DRAIN = Symbol("water to drain", u.VOLUME)
GAIN = Symbol("what the flow adds on the way", u.PRESSURE_DIFFERENCE)
Z_SV = Symbol("height of the relief valve above the vessel", u.LENGTH)
Z_G = Symbol("height of the gauge above the vessel", u.LENGTH)


def kelvin(label: str) -> Symbol:
    """Return the symbol of a temperature that the formula takes on the absolute scale."""
    return Symbol(label, u.TEMPERATURE, unit="K")


def absolute(symbol: str, label: str) -> Equation:
    """Return the equation that turns a gauge pressure `symbol` into an absolute one."""
    return Equation(
        symbol=f"P{symbol[1:]}",
        label=f"{label}, absolute",
        kind=u.ABSOLUTE_PRESSURE,
        formula=f"{symbol} + P_a",
        where={symbol: Symbol(label, u.GAUGE_PRESSURE), "P_a": P_A},
        function=lambda gauge, ambient: gauge + ambient,
        cite=_GAUGE_AND_ABSOLUTE,
    )


def gauge(symbol: str, label: str) -> Equation:
    """Return the equation that turns an absolute pressure `symbol` into a gauge pressure."""
    return Equation(
        symbol=f"p{symbol[1:]}",
        label=label,
        kind=u.GAUGE_PRESSURE,
        formula=f"{symbol} - P_a",
        where={symbol: Symbol(f"{label}, absolute", u.ABSOLUTE_PRESSURE), "P_a": P_A},
        function=lambda absolute, ambient: absolute - ambient,
        cite=_GAUGE_AND_ABSOLUTE,
    )


AIR_PRESSURE = Equation(
    symbol="P_a",
    label="pressure of the air",
    kind=u.ABSOLUTE_PRESSURE,
    unit="kPa",
    formula="101.325*(1 - 2.25577e-5*z_s)**5.25588",
    where={"z_s": Symbol("altitude", u.ALTITUDE, unit="m")},
    function=standard_pressure,
    cite=ICAO_ATMOSPHERE.at("lowest layer"),
)
CHARGE_ABS = absolute("p_0", "charge")
FILL_ABS = absolute("p_f", "cold fill at the vessel")
HOT_ABS = absolute("p_h", "hot pressure at the vessel")
FINAL_ABS = absolute("p_e", "highest pressure at the vessel")
HOT_GAUGE = gauge("P_h", "hot pressure at the vessel")
LOWEST_FILL_GAUGE = gauge("P_fmin", "lowest cold fill at the vessel")
HIGHEST_FILL_GAUGE = gauge("P_fmax", "highest cold fill at the vessel")

_GLYCOL = Symbol("glycol by volume", u.FRACTION)


def _density(symbol: str, label: str, letter: str, temperature: str, substance: str) -> Equation:
    where = {letter: Symbol(temperature, u.TEMPERATURE)}
    if substance == WATER:
        return Equation(
            symbol=symbol,
            label=label,
            kind=u.DENSITY,
            words="read from the table of water",
            where=where,
            function=lambda t: density(Fluid(), t),
            cite=IAPWS_IF97.at("liquid water"),
        )
    return Equation(
        symbol=symbol,
        label=label,
        kind=u.DENSITY,
        words=f"read from the table of {substance} in water",
        where={**where, "phi": _GLYCOL},
        function=lambda t, share: density(Fluid(substance, share), t),
        cite=COOLPROP.at(f"ASHRAE set of {substance}"),
    )


COLD_DENSITY: Mapping[str, Equation] = {
    fluid: _density("rho_c", "density of the cold fluid", "t_c", "cold water", fluid)
    for fluid in (WATER, *GLYCOLS)
}
"""By fluid; glycols take their share as `phi` as well."""

HOT_DENSITY: Mapping[str, Equation] = {
    fluid: _density("rho_h", "density of the hot fluid", "t_h", "hottest water", fluid)
    for fluid in (WATER, *GLYCOLS)
}
"""By fluid; glycols take their share as `phi` as well."""

GROWTH = Equation(
    symbol="e",
    label="growth of the fluid",
    kind=u.FRACTION,
    unit="1",
    formula="rho_c/rho_h - 1",
    where={"rho_c": RHO_C, "rho_h": RHO_H},
    function=expansion.expansion_of_densities,
    cite=_ANNEX_D,
)
EXPANSION = Equation(
    symbol="V_ex",
    label="water pushed into the vessel",
    kind=u.VOLUME,
    formula="V_s*e",
    where={"V_s": V_S, "e": Symbol("growth", u.FRACTION, unit="1")},
    function=expansion.expanded_volume,
    cite=_ANNEX_D,
)
STATIC = Equation(
    symbol="p_st",
    label="static pressure from vessel to highest point",
    kind=u.PRESSURE_DIFFERENCE,
    formula="rho_c*g*h",
    where={
        "rho_c": RHO_C,
        "g": G,
        "h": Symbol("height from vessel to highest point", u.LENGTH),
    },
    function=lambda rho, _, height: static_pressure(rho, height),
    cite=_STILL,
)
VAPOUR = Equation(
    symbol="P_v",
    label="pressure below which the hottest water boils",
    kind=u.ABSOLUTE_PRESSURE,
    words="read from the saturation curve of water; glycol would lower it, which is not counted",
    where={"t_h": Symbol("hottest water", u.TEMPERATURE)},
    function=vapour_pressure,
    cite=IAPWS_IF97.at("saturation"),
)
BOILING_POINT = Equation(
    symbol="t_b",
    label="boiling point in the open here",
    kind=u.TEMPERATURE,
    words="read from the saturation curve of water",
    where={"P_a": P_A},
    function=saturation_temperature,
    cite=IAPWS_IF97.at("saturation"),
)


def _gap(
    function: Callable[..., float],
    cite: Citation,
    *,
    formula: str = "",
    words: str = "",
    unit: str = "",
) -> Equation:
    return Equation(
        symbol="d",
        label="margin asked below the set pressure",
        kind=u.PRESSURE_DIFFERENCE,
        unit=unit,
        formula=formula,
        words=words,
        where={"p_sv": Symbol(P_SV.label, u.GAUGE_PRESSURE, unit=unit)},
        function=function,
        cite=cite,
    )


GAPS: Mapping[str, Equation] = {
    "en": _gap(
        relief.closing_difference,
        EN_12828.at("annex D, closing difference"),
        words="0.5 bar for a set pressure up to 5 bar, a tenth of it above",
    ),
    "tenth": _gap(
        relief.gap_of_a_tenth,
        COMMON_PRACTICE.at("operating gap of a tenth"),
        formula="0.1*p_sv",
    ),
    "five-psi": _gap(
        relief.gap_of_five_psi,
        COMMON_PRACTICE.at("operating gap of 5 psi"),
        words="5 psi at any set pressure",
    ),
    "tenth-or-five": _gap(
        lambda set_gauge: max(relief.gap_of_a_tenth(set_gauge), relief.gap_of_five_psi(set_gauge)),
        COMMON_PRACTICE.at("operating gap of a tenth or 5 psi, whichever is more"),
        formula="max(0.1*p_sv, 5)",
        unit="psi",
    ),
    "quarter": _gap(
        relief.gap_of_a_quarter,
        ASME_VI.at("operating gap; confidence low to medium"),
        formula="max(10, 0.25*p_sv)",
        unit="psi",
    ),
}
"""By every value of `site.GAP_RULE` but `own`, which is the margin entered."""

VALVE_LIMIT = Equation(
    symbol="p_lim",
    label="highest pressure at the relief valve",
    kind=u.GAUGE_PRESSURE,
    formula="p_sv - d",
    where={
        "p_sv": P_SV,
        "d": Symbol("margin asked below the set pressure", u.PRESSURE_DIFFERENCE),
    },
    function=vessel.final_pressure,
    cite=EN_12828.at("annex D, final pressure"),
)
FINAL = Equation(
    symbol="p_e",
    label="highest pressure at the vessel",
    kind=u.GAUGE_PRESSURE,
    formula="p_lim + rho*g*z_sv",
    where={
        "p_lim": Symbol("highest pressure at the relief valve", u.GAUGE_PRESSURE),
        "rho": Symbol("density of the fluid between them", u.DENSITY),
        "g": G,
        "z_sv": Z_SV,
    },
    function=lambda limit, rho, _, z: charge.pressure_below(limit, static_pressure(rho, z)),
    cite=_STILL,
)
RESERVE = Equation(
    symbol="V_WR",
    label="water reserve",
    kind=u.VOLUME,
    unit="L",
    formula="max(0.005*V_s, 3)",
    where={"V_s": Symbol(V_S.label, u.VOLUME, unit="L")},
    function=vessel.water_reserve,
    cite=_ANNEX_D,
)
SMALL_RESERVE = Equation(
    symbol="V_WR",
    label="water reserve of a vessel up to 15 L",
    kind=u.VOLUME,
    formula="0.2*V_N",
    where={"V_N": V_N},
    function=vessel.small_vessel_reserve,
    cite=_ANNEX_D,
)
LOWEST_FILL = Equation(
    symbol="P_fmin",
    label="lowest cold fill at the vessel, absolute",
    kind=u.ABSOLUTE_PRESSURE,
    formula="V_N*P_0/(V_N - V_WR)",
    where={"V_N": V_N, "V_WR": V_WR, "P_0": P_0},
    function=vessel.lowest_fill,
    cite=_ANNEX_D,
)
HIGHEST_FILL = Equation(
    symbol="P_fmax",
    label="highest cold fill at the vessel, absolute",
    kind=u.ABSOLUTE_PRESSURE,
    formula="P_e/(1 + V_ex*P_e/(V_N*P_0))",
    where={"V_N": V_N, "V_ex": V_EX, "P_0": P_0, "P_e": P_E},
    function=vessel.highest_fill,
    cite=_ANNEX_D,
)
WATER_IN_VESSEL = Equation(
    symbol="V_c",
    label="water in the vessel",
    kind=u.VOLUME,
    formula="max(0, V_N*(1 - P_0/P_f))",
    where={"V_N": V_N, "P_0": P_0, "P_f": P_F},
    function=vessel.water_in_vessel,
    cite=_BOYLE,
)
HOT = Equation(
    symbol="P_h",
    label="hot pressure at the vessel, absolute",
    kind=u.ABSOLUTE_PRESSURE,
    formula="P_0*V_N/(V_N*min(P_0/P_f, 1) - V_ex)",
    where={"V_N": V_N, "P_0": P_0, "P_f": P_F, "V_ex": V_EX},
    function=vessel.hot_pressure,
    cite=_BOYLE,
)
FILL_ON_GAUGE = Equation(
    symbol="p_G",
    label="cold fill as the gauge shows it",
    kind=u.GAUGE_PRESSURE,
    formula="p_f - rho_c*g*z_G",
    where={
        "p_f": Symbol("cold fill at the vessel", u.GAUGE_PRESSURE),
        "rho_c": RHO_C,
        "g": G,
        "z_G": Z_G,
    },
    function=lambda p, rho, _, z: charge.pressure_above(p, static_pressure(rho, z)),
    cite=_STILL,
)
FILL_AT_VESSEL = Equation(
    symbol="p_f",
    label="cold fill at the vessel",
    kind=u.GAUGE_PRESSURE,
    formula="p_G + rho_c*g*z_G",
    where={
        "p_G": Symbol("cold fill on the gauge", u.GAUGE_PRESSURE),
        "rho_c": RHO_C,
        "g": G,
        "z_G": Z_G,
    },
    function=lambda p, rho, _, z: charge.pressure_below(p, static_pressure(rho, z)),
    cite=_STILL,
)
FULL_MASS = Equation(
    symbol="m_full",
    label="mass if the whole shell is full of water",
    kind=u.MASS,
    formula="m_e + rho*V_N",
    where={
        "m_e": Symbol("mass of the empty vessel", u.MASS),
        "rho": RHO_WATER,
        "V_N": V_N,
    },
    function=drainage.filled_mass,
    cite=MASS_BALANCE,
)
MASS_NOW = Equation(
    symbol="m_now",
    label="mass before draining",
    kind=u.MASS,
    formula="m_e + rho*V",
    where={
        "m_e": Symbol("mass of the empty vessel", u.MASS),
        "rho": RHO_WATER,
        "V": WATER_TO_DRAIN,
    },
    function=drainage.filled_mass,
    cite=MASS_BALANCE,
)
FLOW_GAIN = Equation(
    symbol="dp",
    label="what the flow adds from vessel to valve",
    kind=u.PRESSURE_DIFFERENCE,
    formula="H_p - p_fr",
    where={
        "H_p": Symbol("pump head met on the way", u.PRESSURE_DIFFERENCE),
        "p_fr": Symbol("friction met on the way", u.PRESSURE_DIFFERENCE),
    },
    function=pump.dynamic_pressure,
    cite=LOOP,
)
WORST_GAIN = Equation(
    symbol="dp_v",
    label="the flow's share at the valve, pump running or stopped",
    kind=u.PRESSURE_DIFFERENCE,
    formula="max(dp, 0)",
    where={"dp": GAIN},
    function=lambda gain: max(gain, 0.0),
    cite=LOOP,
)
VESSEL_FROM_VALVE = Equation(
    symbol="p_e",
    label="greatest hot pressure at the vessel",
    kind=u.GAUGE_PRESSURE,
    formula="p_lim + rho*g*z_sv - dp",
    where={
        "p_lim": Symbol("greatest hot pressure at the valve", u.GAUGE_PRESSURE),
        "rho": RHO,
        "g": G,
        "z_sv": Z_SV,
        "dp": GAIN,
    },
    function=lambda p, rho, _, z, dp: relief.pressure_at_vessel(p, rho, z, dp),
    cite=LOOP,
)
HOT_ON_GAUGE = Equation(
    symbol="p_Gx",
    label="hot pressure as the gauge would show it",
    kind=u.GAUGE_PRESSURE,
    formula="p_x - rho_h*g*z_G",
    where={
        "p_x": Symbol("hot pressure expected at the vessel", u.GAUGE_PRESSURE),
        "rho_h": RHO_H,
        "g": G,
        "z_G": Z_G,
    },
    function=lambda p, rho, _, z: charge.pressure_above(p, static_pressure(rho, z)),
    cite=_STILL,
)
NET_GROWTH = Equation(
    symbol="e_n",
    label="growth of the fluid less that of the pipes",
    kind=u.FRACTION,
    unit="1",
    formula="e - 3*alpha*dt",
    where={
        "e": Symbol("growth of the fluid", u.FRACTION, unit="1"),
        "alpha": Symbol("linear expansion of the pipe", u.EXPANSIVITY),
        "dt": Symbol("rise in temperature", u.TEMPERATURE_DIFFERENCE),
    },
    function=expansion.net_expansion,
    cite=_ASHRAE_CLOSED,
)
NET_EXPANSION = replace(
    EXPANSION,
    formula="V_s*e_n",
    where={"V_s": V_S, "e_n": Symbol("growth less that of the pipes", u.FRACTION, unit="1")},
    cite=_ASHRAE_CLOSED,
)
EN_VOLUME = Equation(
    symbol="V_Nmin",
    label="smallest vessel",
    kind=u.VOLUME,
    formula="(V_ex + V_WR)*P_e/(P_e - P_0)",
    where={"V_ex": V_EX, "V_WR": V_WR, "P_0": P_0, "P_e": P_E},
    function=vessel.vessel_volume,
    cite=_ANNEX_D,
)
SMALL_VOLUME = Equation(
    symbol="V_Nmin",
    label="smallest vessel, a fifth of it reserve",
    kind=u.VOLUME,
    formula="V_ex/(1 - P_0/P_e - 0.2)",
    where={"V_ex": V_EX, "P_0": P_0, "P_e": P_E},
    function=vessel.small_vessel_volume,
    cite=_ANNEX_D,
)
DIAPHRAGM_VOLUME = Equation(
    symbol="V_Nmin",
    label="smallest tank",
    kind=u.VOLUME,
    formula="V_ex/(1 - P_0/P_e)",
    where={"V_ex": V_EX, "P_0": P_0, "P_e": P_E},
    function=vessel.diaphragm_volume,
    cite=ASHRAE_DIAPHRAGM,
)

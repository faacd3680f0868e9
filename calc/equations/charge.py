"""Equations of the charge, the fill that goes with it, and the air to pump in."""

from __future__ import annotations

from calc import charge, vessel
from calc import units as u
from calc.equations.shared import P_0, P_A, P_F, RHO_C, V_N, G, gauge
from calc.hydrostatics import height_of_pressure
from calc.model import Equation, Symbol
from calc.sources import COMMON_PRACTICE, EN_12828, PHYSICS, TRADE_SUPPLEMENT_2021

_ANNEX_D = EN_12828.at("annex D")
_GAS_LAW = PHYSICS.at("ideal gas law")

_STATIC = Symbol("static pressure", u.PRESSURE_DIFFERENCE)
_VAPOUR = Symbol("pressure below which the hottest water boils", u.ABSOLUTE_PRESSURE)
_EXCESS = Symbol("vapour pressure above the air", u.PRESSURE_DIFFERENCE)
_MARGIN = Symbol("margin at the highest point", u.PRESSURE_DIFFERENCE)
_CHARGE_NOW = Symbol("charge to set now", u.ABSOLUTE_PRESSURE)
_NOW = Symbol("temperature of the vessel now", u.TEMPERATURE, unit="K")


def _reading_here(label: float, sea: float, now: float, factory: float, ambient: float) -> float:
    return charge.charge_at_temperature(label + sea, factory, now) - ambient


VAPOUR_EXCESS = Equation(
    symbol="p_D",
    label="vapour pressure above the air",
    kind=u.PRESSURE_DIFFERENCE,
    formula="max(0, P_v - P_a)",
    where={"P_v": _VAPOUR, "P_a": P_A},
    function=charge.vapour_excess,
    cite=_ANNEX_D,
)
LEAST_CHARGE_EN = Equation(
    symbol="p_0min",
    label="least charge",
    kind=u.GAUGE_PRESSURE,
    formula="p_st + p_D + p_m",
    where={"p_st": _STATIC, "p_D": _EXCESS, "p_m": _MARGIN},
    function=charge.charge_for_height,
    cite=_ANNEX_D,
)
LEAST_CHARGE_US = Equation(
    symbol="p_0min",
    label="least charge",
    kind=u.GAUGE_PRESSURE,
    formula="p_st + p_m",
    where={"p_st": _STATIC, "p_m": _MARGIN},
    function=lambda static, margin: charge.charge_for_height(static, 0.0, margin),
    cite=TRADE_SUPPLEMENT_2021.at("static pressure and 5 psi; 4 psi is common practice"),
)
ROUNDED = Equation(
    symbol="p_0",
    label="charge at the temperature where the vessel lives",
    kind=u.GAUGE_PRESSURE,
    words="the least charge, raised to the next whole step",
    where={
        "p_0min": Symbol("least charge", u.GAUGE_PRESSURE),
        "s": Symbol("step", u.PRESSURE_DIFFERENCE),
    },
    function=charge.rounded_up,
    cite=COMMON_PRACTICE.at("rounding up"),
)
CHARGE_NOW_ABS = Equation(
    symbol="P_now",
    label="charge to set now, absolute",
    kind=u.ABSOLUTE_PRESSURE,
    formula="P_0*T_now/T_0",
    where={
        "P_0": P_0,
        "T_0": Symbol("temperature where the vessel lives", u.TEMPERATURE, unit="K"),
        "T_now": _NOW,
    },
    function=charge.charge_at_temperature,
    cite=_GAS_LAW,
)
CHARGE_NOW = gauge("P_now", "charge to set now")
FILL_FIXED = Equation(
    symbol="p_f",
    label="cold fill at the vessel",
    kind=u.GAUGE_PRESSURE,
    formula="p_0 + s",
    where={
        "p_0": Symbol("charge", u.GAUGE_PRESSURE),
        "s": Symbol("step above the charge", u.PRESSURE_DIFFERENCE),
    },
    function=charge.fill_above_charge,
    cite=COMMON_PRACTICE.at("fill 0.3 bar above the charge"),
)
WARM_FILL = Equation(
    symbol="P_w",
    label="fill with the water as warm as it is now, absolute",
    kind=u.ABSOLUTE_PRESSURE,
    formula="P_0*V_N/(V_N*min(P_0/P_f, 1) - V_w)",
    where={
        "V_N": V_N,
        "P_0": P_0,
        "P_f": P_F,
        "V_w": Symbol("growth from coldest to now", u.VOLUME),
    },
    function=vessel.hot_pressure,
    cite=PHYSICS.at("Boyle's law, gas at one temperature"),
)
BOILING_MARGIN = Equation(
    symbol="dp_b",
    label="pressure above boiling at the highest point",
    kind=u.PRESSURE_DIFFERENCE,
    formula="P_h - p_st - P_v",
    where={
        "P_h": Symbol("pressure at the vessel", u.ABSOLUTE_PRESSURE),
        "p_st": Symbol("static pressure, counted cold to be safe", u.PRESSURE_DIFFERENCE),
        "P_v": _VAPOUR,
    },
    function=lambda hot, static, vapour: hot - static - vapour,
    cite=PHYSICS.at("boiling point"),
)
FREE_AIR = Equation(
    symbol="V_air",
    label="free air to pump in",
    kind=u.AIR_VOLUME,
    formula="V_N*(P_now/T_now - P_s/T_s)*T_air/P_a",
    where={
        "V_N": V_N,
        "P_s": Symbol("gas pressure at the start", u.ABSOLUTE_PRESSURE),
        "T_s": Symbol("temperature of the gas at the start", u.TEMPERATURE, unit="K"),
        "P_now": _CHARGE_NOW,
        "T_now": _NOW,
        "T_air": Symbol("temperature of the air drawn in", u.TEMPERATURE, unit="K"),
        "P_a": P_A,
    },
    function=charge.free_air,
    cite=_GAS_LAW,
)
RUN_TIME = Equation(
    symbol="t_run",
    label="running time of the compressor",
    kind=u.TIME,
    formula="V_air/Q",
    where={
        "V_air": Symbol("free air to pump in", u.AIR_VOLUME),
        "Q": Symbol("free-air delivery", u.AIR_FLOW),
    },
    function=charge.pumping_time,
    cite=PHYSICS.at("balance of air"),
)
FACTORY_READING = Equation(
    symbol="p_F",
    label="factory charge as it reads here and now",
    kind=u.GAUGE_PRESSURE,
    formula="(p_label + P_sea)*T_now/T_F - P_a",
    where={
        "p_label": Symbol("factory charge on the label", u.GAUGE_PRESSURE),
        "P_sea": Symbol("air at sea level", u.ABSOLUTE_PRESSURE),
        "T_now": _NOW,
        "T_F": Symbol("temperature taken for the factory", u.TEMPERATURE, unit="K"),
        "P_a": P_A,
    },
    function=_reading_here,
    cite=_GAS_LAW,
)
HEIGHT_SERVED = Equation(
    symbol="h_max",
    label="height the present charge serves",
    kind=u.LENGTH,
    formula="(p - p_D - p_m)/(rho_c*g)",
    where={
        "p": Symbol("present charge, where the vessel lives", u.GAUGE_PRESSURE),
        "p_D": _EXCESS,
        "p_m": _MARGIN,
        "rho_c": RHO_C,
        "g": G,
    },
    function=lambda p, vapour, margin, rho, _: height_of_pressure(
        charge.static_reached(p, vapour, margin), rho
    ),
    cite=PHYSICS.at("column of still liquid"),
)

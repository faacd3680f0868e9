"""Equations of the relief margin: from the vessel to the valve, what restores it, capacity."""

from __future__ import annotations

from calc import relief
from calc import units as u
from calc.equations.shared import (
    GAIN,
    LOOP,
    P_0,
    P_A,
    P_E,
    P_F,
    P_SV,
    RHO,
    V_N,
    Z_G,
    Z_SV,
    G,
    gauge,
)
from calc.hydrostatics import static_pressure
from calc.model import Equation, Symbol
from calc.sources import (
    ASME_BPVC_IV,
    COMMON_PRACTICE,
    EN_12828,
    IAPWS_IF97,
    ISO_4126_1,
    MARYLAND_BOILER_RULES,
    NEW_YORK_BOILER_RULES,
    PHYSICS,
    SV_100,
)

_BOYLE = PHYSICS.at("Boyle's law")
_TOLERANCE = ASME_BPVC_IV.at("HG-401, set tolerance; confidence medium")

_AT_VESSEL = Symbol("pressure at the vessel", u.GAUGE_PRESSURE)
_START = Symbol("pressure at the vessel when the gas starts to shrink", u.ABSOLUTE_PRESSURE)
_HOT_ABS = Symbol("hot pressure at the vessel", u.ABSOLUTE_PRESSURE)

VESSEL_FROM_GAUGE = Equation(
    symbol="p_vessel",
    label="hot pressure at the vessel",
    kind=u.GAUGE_PRESSURE,
    formula="p_G + rho*g*z_G - dp",
    where={
        "p_G": Symbol("hot reading on the gauge", u.GAUGE_PRESSURE),
        "rho": RHO,
        "g": G,
        "z_G": Z_G,
        "dp": GAIN,
    },
    function=lambda p, rho, _, z, dp: relief.pressure_at_vessel(p, rho, z, dp),
    cite=LOOP,
)
AT_VALVE = Equation(
    symbol="p_valve",
    label="hot pressure at the valve",
    kind=u.GAUGE_PRESSURE,
    formula="p_vessel - rho*g*z_sv + dp",
    where={
        "p_vessel": _AT_VESSEL,
        "rho": RHO,
        "g": G,
        "z_sv": Z_SV,
        "dp": GAIN,
    },
    function=lambda p, rho, _, z, dp: relief.pressure_at_valve(p, rho, z, dp),
    cite=LOOP,
)
ON_GAUGE = Equation(
    symbol="p_G",
    label="hot pressure on the gauge",
    kind=u.GAUGE_PRESSURE,
    formula="p_vessel - rho*g*z_G + dp",
    where={
        "p_vessel": _AT_VESSEL,
        "rho": RHO,
        "g": G,
        "z_G": Z_G,
        "dp": GAIN,
    },
    function=lambda p, rho, _, z, dp: relief.pressure_at_valve(p, rho, z, dp),
    cite=LOOP,
)
START = Equation(
    symbol="P_start",
    label="pressure when the gas starts to shrink",
    kind=u.ABSOLUTE_PRESSURE,
    formula="max(P_f, P_0)",
    where={
        "P_f": P_F,
        "P_0": P_0,
    },
    function=max,
    cite=_BOYLE,
)
TOLERANCE = Equation(
    symbol="dp_tol",
    label="set tolerance",
    kind=u.PRESSURE_DIFFERENCE,
    words="3 psi for a set pressure up to 60 psig, 5 % of it above",
    where={"p_sv": P_SV},
    function=relief.lift_tolerance,
    cite=_TOLERANCE,
)
LOWEST_LIFT = Equation(
    symbol="p_lift",
    label="lowest opening pressure",
    kind=u.GAUGE_PRESSURE,
    formula="p_sv - dp_tol",
    where={"p_sv": P_SV, "dp_tol": Symbol("set tolerance", u.PRESSURE_DIFFERENCE)},
    function=relief.lowest_lift,
    cite=COMMON_PRACTICE.at("what a set tolerance means"),
)
MARGIN = Equation(
    symbol="m",
    label="margin at the valve",
    kind=u.PRESSURE_DIFFERENCE,
    formula="p_open - p_valve",
    where={
        "p_open": Symbol("set or lowest opening pressure", u.GAUGE_PRESSURE),
        "p_valve": Symbol("hot pressure at the valve", u.GAUGE_PRESSURE),
    },
    function=lambda opens, hot: opens - hot,
    cite=COMMON_PRACTICE.at("operating gap"),
)
RESTORING_FILL = Equation(
    symbol="P_fmax",
    label="cold fill that keeps the margin",
    kind=u.ABSOLUTE_PRESSURE,
    formula="1/(1/P_start - 1/P_h + 1/P_e)",
    where={"P_start": _START, "P_h": _HOT_ABS, "P_e": P_E},
    function=relief.restoring_fill,
    cite=_BOYLE,
)
RESTORING_VESSEL = Equation(
    symbol="V_Nmin",
    label="vessel that keeps the margin",
    kind=u.VOLUME,
    formula="V_N*(1/P_start - 1/P_h)/(1/P_start - 1/P_e)",
    where={
        "V_N": V_N,
        "P_start": _START,
        "P_h": _HOT_ABS,
        "P_e": P_E,
    },
    function=relief.restoring_vessel,
    cite=_BOYLE,
)
RESTORING_CHARGE = Equation(
    symbol="P_0min",
    label="charge that keeps the margin",
    kind=u.ABSOLUTE_PRESSURE,
    formula="P_0*(1/P_f - 1/P_h)/(1/P_f - 1/P_e)",
    where={
        "P_0": P_0,
        "P_f": P_F,
        "P_h": _HOT_ABS,
        "P_e": P_E,
    },
    function=relief.restoring_charge,
    cite=_BOYLE,
)
RESTORING_CHARGE_GAUGE = gauge("P_0min", "charge that keeps the margin")
RELIEVING = Equation(
    symbol="P_r",
    label="pressure at which the valve passes its rated flow",
    kind=u.ABSOLUTE_PRESSURE,
    formula="1.1*p_sv + P_a",
    where={"p_sv": P_SV, "P_a": P_A},
    function=lambda set_gauge, ambient: relief.relieving_pressure(set_gauge, 0.1, ambient),
    cite=ISO_4126_1.at("overpressure of 10 %"),
)
EVAPORATION = Equation(
    symbol="h_fg",
    label="heat of evaporation",
    kind=u.SPECIFIC_ENERGY,
    words="read from the table of saturated water",
    where={"P_r": Symbol("relieving pressure", u.ABSOLUTE_PRESSURE)},
    function=relief.heat_of_evaporation_at,
    cite=IAPWS_IF97.at("saturation line"),
)
STEAM = Equation(
    symbol="W",
    label="steam that carries off the output",
    kind=u.MASS_FLOW,
    formula="Q/h_fg",
    where={
        "Q": Symbol("output of the boiler", u.POWER),
        "h_fg": Symbol("heat of evaporation", u.SPECIFIC_ENERGY),
    },
    function=relief.steam_rate,
    cite=EN_12828.at("4.6, relieving capacity"),
)
STEAM_US = Equation(
    symbol="W",
    label="steam that carries off the output",
    kind=u.MASS_FLOW,
    formula="Q/1000",
    unit="lb/h",
    where={"Q": Symbol("output of the boiler", u.POWER, unit="Btu/h")},
    function=relief.steam_rate_us,
    cite=NEW_YORK_BOILER_RULES.at(),
)
VALVE_HEAT = Equation(
    symbol="Q_valve",
    label="capacity of the valve in heat",
    kind=u.POWER,
    formula="W*h_fg",
    where={
        "W": Symbol("rated steam", u.MASS_FLOW),
        "h_fg": Symbol("heat of evaporation", u.SPECIFIC_ENERGY),
    },
    function=relief.heat_of_steam,
    cite=EN_12828.at("4.6, relieving capacity"),
)
VALVE_HEAT_US = Equation(
    symbol="Q_valve",
    label="capacity of the valve in heat",
    kind=u.POWER,
    formula="1000*W",
    unit="Btu/h",
    where={"W": Symbol("rated steam", u.MASS_FLOW, unit="lb/h")},
    function=lambda steam: relief.heat_of_steam(steam, relief.STEAM_HEAT_US),
    cite=NEW_YORK_BOILER_RULES.at(),
)
VALVE_SV_100 = Equation(
    symbol="Q_valve",
    label="capacity of the valve in heat",
    kind=u.POWER,
    unit="kW",
    formula="A_0*alpha_w*1.26",
    where={
        "A_0": Symbol("narrowest flow area", u.AREA, unit="mm2"),
        "alpha_w": Symbol("discharge coefficient", u.NUMBER),
    },
    function=relief.sv_100_output,
    cite=SV_100.at("3.2"),
)
STEAM_VOLUME = Equation(
    symbol="v",
    label="specific volume of the steam",
    kind=u.SPECIFIC_VOLUME,
    words="from the slope of the vapour-pressure table, by Clausius and Clapeyron's equation",
    where={"P_r": Symbol("relieving pressure", u.ABSOLUTE_PRESSURE)},
    function=relief.steam_specific_volume,
    cite=PHYSICS.at("Clausius and Clapeyron's equation"),
)
DISCHARGE = Equation(
    symbol="W",
    label="steam the valve passes",
    kind=u.MASS_FLOW,
    unit="kg/h",
    formula="0.2883*3.948*sqrt(k*(2/(k + 1))**((k + 1)/(k - 1)))*A*K*sqrt(P_r/v)",
    where={
        "A": Symbol("flow area", u.AREA, unit="mm2"),
        "K": Symbol("discharge coefficient", u.NUMBER),
        "P_r": Symbol("relieving pressure", u.ABSOLUTE_PRESSURE, unit="bar"),
        "v": Symbol("specific volume of the steam", u.SPECIFIC_VOLUME, unit="m3/kg"),
        "k": Symbol("isentropic exponent", u.NUMBER),
    },
    function=relief.steam_discharge,
    cite=ISO_4126_1.at("steam at critical flow"),
)
BLOW_OFF_US = Equation(
    symbol="p_blow",
    label="greatest pressure while the valves blow",
    kind=u.GAUGE_PRESSURE,
    words="a fifth above a working pressure of up to 30 psig, a tenth above a higher one",
    where={"MAWP": Symbol("maximum working pressure", u.GAUGE_PRESSURE)},
    function=relief.blow_off_limit_new_york,
    cite=NEW_YORK_BOILER_RULES.at(),
)
BLOW_OFF_EN = Equation(
    symbol="p_blow",
    label="greatest pressure while the valves blow",
    kind=u.GAUGE_PRESSURE,
    formula="1.1*MAWP",
    where={"MAWP": Symbol("maximum working pressure", u.GAUGE_PRESSURE)},
    function=relief.blow_off_limit_european,
    cite=EN_12828.at("4.6"),
)
FURTHER_US = Equation(
    symbol="p_sv2",
    label="highest setting of a further valve",
    kind=u.GAUGE_PRESSURE,
    words="6 psi above a working pressure of up to 60 psig, a tenth above a higher one",
    where={"MAWP": Symbol("maximum working pressure", u.GAUGE_PRESSURE)},
    function=relief.second_valve_limit,
    cite=MARYLAND_BOILER_RULES.at(),
)
FURTHER_EN = Equation(
    symbol="p_sv2",
    label="highest setting of a further valve",
    kind=u.GAUGE_PRESSURE,
    formula="MAWP",
    where={"MAWP": Symbol("maximum working pressure", u.GAUGE_PRESSURE)},
    function=lambda mawp: mawp,
    cite=EN_12828.at("4.6"),
)
ON_PART = Equation(
    symbol="p_part",
    label="pressure on the part when the valve opens",
    kind=u.GAUGE_PRESSURE,
    formula="p_sv + dp_tol + rho*g*(z_sv - z_part)",
    where={
        "p_sv": Symbol("highest set pressure", u.GAUGE_PRESSURE),
        "dp_tol": Symbol("set tolerance", u.PRESSURE_DIFFERENCE),
        "rho": RHO,
        "g": G,
        "z_sv": Z_SV,
        "z_part": Symbol("height of the part above the vessel", u.LENGTH),
    },
    function=lambda p, tol, rho, _, valve, part: p + tol + static_pressure(rho, valve - part),
    cite=PHYSICS.at("hydrostatics"),
)

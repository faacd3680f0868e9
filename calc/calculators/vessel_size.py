"""How large a vessel has to be, or how much system a vessel already there can serve."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace

from calc import units as u
from calc.atmosphere import SEA_LEVEL_PRESSURE, standard_pressure
from calc.expansion import (
    PIPE_EXPANSION,
    expanded_volume,
    expansion_of_densities,
    net_expansion,
)
from calc.fluids import WATER, Fluid, density, freezing_temperature, vapour_pressure
from calc.hydrostatics import STANDARD_GRAVITY
from calc.model import (
    CAUTION,
    FAIL,
    PASS,
    Axis,
    Calculator,
    Choice,
    Equation,
    Level,
    Limit,
    LineChart,
    Mark,
    Option,
    Output,
    Quantity,
    QuantityList,
    Refusal,
    Series,
    Solution,
    Symbol,
    Values,
    VesselSection,
    VesselState,
    Work,
    say,
)
from calc.sources import (
    ASHRAE_SYSTEMS,
    COMMON_PRACTICE,
    COOLPROP,
    EN_12828,
    IAPWS_IF97,
    ICAO_ATMOSPHERE,
    NORTH_CAROLINA_BOILER_RULES,
    OWN_RULE,
    PHYSICS,
)
from calc.vessel import (
    LEAST_RESERVE,
    RESERVE_SHARE,
    SMALL_VESSEL,
    SMALL_VESSEL_SHARE,
    acceptance_fraction,
    air_cushion_volume,
    closing_difference,
    code_growth,
    diaphragm_volume,
    final_pressure,
    highest_fill,
    hot_pressure,
    lowest_fill,
    required_volume,
    small_vessel_reserve,
    small_vessel_volume,
    vessel_volume,
    vessel_volume_general,
    water_in_vessel,
    water_reserve,
)

EN = "en-12828"
DIAPHRAGM = "ashrae-diaphragm"
CUSHION = "ashrae-cushion"
CODE = "us-code"
CHARGED = (EN, DIAPHRAGM)
PLAIN = (CUSHION, CODE)

_CODE_COLDEST = 355.372  # 180 degF
_CODE_HOTTEST = 377.594  # 220 degF
_TOP_MARGIN = 0.2e5
_MOST_IN_PARALLEL = 10
_HAIR = 1e-9
_CHART_STEPS = 32

_ANNEX_D = EN_12828.at("annex D")
_DIN = EN_12828.at("annex D, as DIN 4807-2 has it")
_ASHRAE_CLOSED = ASHRAE_SYSTEMS.at("closed tank, equation 12")
_ASHRAE_DIAPHRAGM = ASHRAE_SYSTEMS.at("diaphragm tank, equation 14")
_CODE = NORTH_CAROLINA_BOILER_RULES.at("13 NCAC 13 .0412(d)")
_BOYLE = PHYSICS.at("Boyle's law")
_STILL = PHYSICS.at("column of still liquid")
_TYPO = OWN_RULE.at("entries far outside any building")

INPUTS = (
    Choice(
        name="task",
        label="What to find",
        options=(
            Option("size", "Size a new vessel"),
            Option("check", "Check a vessel already there"),
        ),
        help="Checking shows whether a vessel serves, and the largest system it could serve.",
        default="size",
    ),
    Choice(
        name="method",
        label="Method",
        options=(
            Option(EN, "EN 12828, diaphragm vessel with a water reserve"),
            Option(DIAPHRAGM, "ASHRAE, diaphragm or bladder tank"),
            Option(CUSHION, "ASHRAE, plain air-cushion tank"),
            Option(CODE, "US code formula, plain air-cushion tank"),
        ),
        help="Take the one your code names. The last two are for tanks without a diaphragm.",
        default=EN,
    ),
    Choice(
        name="construction",
        label="Kind of vessel",
        options=(
            Option("diaphragm", "Diaphragm or bladder, with a gas valve"),
            Option("plain", "Plain steel tank, air lies on the water"),
        ),
        help="A gas valve such as on a tyre tells a diaphragm vessel. "
        "A plain tank has a sight glass or a drain instead.",
        default="diaphragm",
    ),
    Choice(
        name="fluid",
        label="Fluid",
        options=(
            Option("water", "Water"),
            Option("propylene glycol", "Propylene glycol in water"),
            Option("ethylene glycol", "Ethylene glycol in water"),
        ),
        help="Glycol expands more than water and needs a larger vessel.",
        default="water",
        when={"method": (EN, DIAPHRAGM, CUSHION)},
    ),
    Quantity(
        name="glycol",
        label="Glycol by volume",
        kind=u.FRACTION,
        default="30 %",
        help="By volume, as a refractometer for this glycol shows it; not by mass.",
        reading=True,
        low=Limit("0 %", "a share cannot be negative", PHYSICS.at("a share")),
        high=Limit("60 %", "the glycol tables end there", COOLPROP.at("ASHRAE glycol sets")),
        when={"fluid": ("propylene glycol", "ethylene glycol")},
    ),
    Quantity(
        name="system_volume",
        label="Water in the system",
        kind=u.VOLUME,
        default="1750 L",
        help="Boilers, pipes, radiators, coils and buffers together, cold.",
        reading=True,
        low=Limit("1 L", "no heating system holds less", _TYPO),
        high=Limit("200 m3", "a plant that large is designed as a whole", _TYPO),
    ),
    Quantity(
        name="cold",
        label="Cold water",
        kind=u.TEMPERATURE,
        default="10 degC",
        help="Temperature of the system water when it is filled.",
        reading=True,
        low=Limit("-40 degC", "no mixture in the tables is liquid below", COOLPROP.at("tables")),
        high=Limit("100 degC", "the cold fill is never that hot", _TYPO),
        when={"method": (EN, DIAPHRAGM, CUSHION)},
    ),
    Quantity(
        name="hot",
        label="Hottest water",
        kind=u.TEMPERATURE,
        default="80 degC",
        help="The highest the boiler can be set to; the US code formula takes the average "
        "operating temperature. Taking the supply for the whole system is on the safe side.",
        reading=True,
        low=Limit("0 degC", "heating water is never that cold", _TYPO),
        high=Limit("150 degC", "the water table ends there", IAPWS_IF97.at("table as baked")),
    ),
    Quantity(
        name="charge",
        label="Charge of the vessel",
        kind=u.GAUGE_PRESSURE,
        default="1.5 bar",
        help="Gas pressure with the water side empty and open. The pre-charge page finds it.",
        reading=True,
        low=Limit("0 bar", "a charge below the air pressure holds nothing up", PHYSICS.at("gas")),
        high=Limit("20 bar", "heating vessels are not built for more", _TYPO),
        when={"method": CHARGED},
    ),
    Quantity(
        name="fill",
        label="Cold fill at the vessel",
        kind=u.GAUGE_PRESSURE,
        default="1.7 bar",
        help="Pressure at the vessel when the system is filled and cold. Left blank, EN 12828 "
        "takes the lowest fill that holds the reserve, and a diaphragm tank its charge.",
        reading=True,
        optional=True,
        low=Limit("0 bar", "below it air is drawn in", PHYSICS.at("gas")),
        high=Limit("20 bar", "heating vessels are not built for more", _TYPO),
    ),
    Quantity(
        name="relief",
        label="Relief valve set pressure",
        kind=u.GAUGE_PRESSURE,
        default="3 bar",
        help="As stamped on the valve. With several, the lowest.",
        low=Limit("0.1 bar", "no relief valve is set lower", _TYPO),
        high=Limit("25 bar", "heating vessels are not built for more", _TYPO),
    ),
    Choice(
        name="closing",
        label="Clear of the relief valve",
        options=(
            Option("en", "0.5 bar up to a 5 bar valve, one tenth above it"),
            Option("ten-or-five", "One tenth or 5 psi, whichever is more"),
            Option("tenth", "One tenth of the set pressure"),
            Option("own", "My own value"),
        ),
        help="A valve simmers near its set pressure and shuts below it, so the hot pressure "
        "has to stay clear of it.",
        default="en",
    ),
    Quantity(
        name="closing_own",
        label="Own clearance",
        kind=u.PRESSURE_DIFFERENCE,
        default="0.5 bar",
        help="Kept free between the hot pressure and the set pressure.",
        low=Limit("0 bar", "the hot pressure may not lie above the set pressure", _TYPO),
        high=Limit("10 bar", "no valve needs so much", _TYPO),
        when={"closing": ("own",)},
    ),
    Quantity(
        name="valve_height",
        label="Relief valve above the vessel",
        kind=u.LENGTH,
        default="0 m",
        help="Height of the valve over the vessel connection; negative if the valve is lower. "
        "A pump between the two shifts it further: see the relief margin page.",
        reading=True,
        low=Limit("-200 m", "no building puts them so far apart", _TYPO),
        high=Limit("200 m", "no building puts them so far apart", _TYPO),
    ),
    Quantity(
        name="height",
        label="Highest point above the vessel",
        kind=u.LENGTH,
        default="11.4 m",
        help="From the vessel connection, not the boiler or the gauge. "
        "Left blank, the top is not checked.",
        reading=True,
        optional=True,
        low=Limit("0 m", "with the vessel on top, enter 0", _STILL),
        high=Limit("200 m", "taller systems are split", _TYPO),
    ),
    Quantity(
        name="altitude",
        label="Altitude of the site",
        kind=u.ALTITUDE,
        default="640 m",
        help="The gas laws need absolute pressure, and the air is thinner high up.",
        low=Limit("-430 m", "no dry land lies lower", PHYSICS.at("shore of the Dead Sea")),
        high=Limit("6000 m", "nobody heats a building higher up", _TYPO),
    ),
    Choice(
        name="pipe",
        label="Pipes mostly of",
        options=(
            Option("none", "Take no credit"),
            Option("steel", "Steel"),
            Option("copper", "Copper"),
            Option("plastic", "Plastic"),
        ),
        help="Metal pipes grow and make a little room. Plastic gets no credit.",
        default="steel",
        when={"method": (DIAPHRAGM, CUSHION)},
    ),
    Choice(
        name="reserve",
        label="Water reserve",
        options=(
            Option("en", "EN 12828: 0.5 %, at least 3 L; a fifth of a vessel up to 15 L"),
            Option("own", "My own value"),
            Option("none", "None"),
        ),
        help="Water kept in the cold vessel to make up for small losses and further cooling.",
        default="en",
        when={"method": (EN,)},
    ),
    Quantity(
        name="reserve_own",
        label="Own reserve",
        kind=u.VOLUME,
        default="3 L",
        help="Water that is to be in the vessel when cold.",
        low=Limit("0 L", "a reserve cannot be negative", PHYSICS.at("volume")),
        high=Limit("10 m3", "no vessel keeps so much", _TYPO),
        when={"method": (EN,), "reserve": ("own",)},
    ),
    Quantity(
        name="largest_share",
        label="Largest share of water",
        kind=u.FRACTION,
        default="50 %",
        help="How much of the vessel may be water before the diaphragm is overstretched. "
        "Its own plate or papers rule; a bladder takes nearly all.",
        low=Limit("5 %", "no vessel takes so little", _TYPO),
        high=Limit("100 %", "no vessel takes more than itself", PHYSICS.at("volume")),
        when={"method": CHARGED},
    ),
    QuantityList(
        name="sizes",
        label="Sizes to choose from",
        kind=u.VOLUME,
        default="8, 12, 18, 25, 35, 50, 80, 100, 140, 200, 300, 400, 500, 600, 800, 1000 L",
        us_default="2, 5, 8, 10, 15, 20, 25, 30, 40, 50, 65, 80, 100, 130, 160, 200, 260 gal",
        help="Total volumes of the vessels you can get.",
        low=Limit("1 L", "no heating vessel is smaller", _TYPO),
        high=Limit("50 m3", "larger ones are built to order", _TYPO),
        when={"task": ("size",)},
    ),
    Quantity(
        name="existing",
        label="Volume of the vessel there",
        kind=u.VOLUME,
        default="200 L",
        help="Total volume from its plate, not the share it accepts.",
        reading=True,
        low=Limit("1 L", "no heating vessel is smaller", _TYPO),
        high=Limit("50 m3", "larger ones are built to order", _TYPO),
        when={"task": ("check",)},
    ),
    Quantity(
        name="count",
        label="Equal vessels side by side",
        kind=u.NUMBER,
        default="1",
        help="Vessels of the same volume and charge on one system. "
        "Count one built into a boiler too, if it is alike.",
        low=Limit("1", "there has to be one to check", _TYPO),
        high=Limit("50", "no plant room holds more", _TYPO),
        when={"task": ("check",)},
    ),
    Quantity(
        name="output",
        label="Boiler output",
        kind=u.POWER,
        default="155 kW",
        help="All boilers together. Left blank, it is not compared.",
        optional=True,
        low=Limit("0.5 kW", "no boiler is smaller", _TYPO),
        high=Limit("50 MW", "a plant that large is designed as a whole", _TYPO),
        when={"task": ("check",)},
    ),
    Quantity(
        name="content",
        label="Water for each unit of output",
        kind=u.SPECIFIC_CONTENT,
        default="11.3 L/kW",
        help="Turns a volume into an output. Roughly 6 L/kW for convectors, 11 for panels, 14 for "
        "columns, 20 to 25 for floors, from memory; it can be half as much again either way.",
        reading=True,
        low=Limit("1 L/kW", "no system holds so little water", _TYPO),
        high=Limit("200 L/kW", "no system without a store holds so much", _TYPO),
        when={"task": ("check",)},
    ),
)

OUTPUTS = (
    Output("minimum", "Smallest vessel that serves", u.VOLUME, "Total volume.", headline=True),
    Output("selected", "Vessel to fit", u.VOLUME, "Each, from your list.", headline=True),
    Output("count", "How many of them", None, "All with the same charge."),
    Output("used", "Share of the vessel that is needed", u.FRACTION, "Up to 100 % it serves."),
    Output("largest_system", "Largest system it serves", u.VOLUME, "", headline=True),
    Output("largest_output", "Largest boiler output it serves", u.POWER, "", headline=True),
    Output("expansion_fraction", "Growth of the water", u.FRACTION, "Less that of the pipes."),
    Output("expansion", "Water pushed into the vessel", u.VOLUME),
    Output("reserve", "Water reserve", u.VOLUME, "In the vessel when cold."),
    Output("final", "Highest pressure at the vessel", u.GAUGE_PRESSURE, "Allowed when hot."),
    Output("acceptance", "Share of water at that pressure", u.FRACTION),
    Output("fill_low", "Lowest cold fill", u.GAUGE_PRESSURE, "Below it the reserve is short."),
    Output("fill_high", "Highest cold fill", u.GAUGE_PRESSURE, "Above it the valve may drip."),
    Output("fill_taken", "Cold fill taken", u.GAUGE_PRESSURE),
    Output("hot_pressure", "Pressure at the vessel when hot", u.GAUGE_PRESSURE, headline=True),
    Output("margin", "Left below the highest pressure", u.PRESSURE_DIFFERENCE),
)


def _gauge_to_absolute(gauge: float, ambient: float) -> float:
    return gauge + ambient


def _absolute_to_gauge(absolute: float, ambient: float) -> float:
    return absolute - ambient


def _absolute(symbol: str, letter: str, label: str) -> Equation:
    return Equation(
        symbol=symbol,
        label=f"{label}, absolute",
        kind=u.ABSOLUTE_PRESSURE,
        formula=f"{letter} + P_a",
        where={
            letter: Symbol(f"{label}, gauge", u.GAUGE_PRESSURE),
            "P_a": Symbol("pressure of the air", u.ABSOLUTE_PRESSURE),
        },
        function=_gauge_to_absolute,
        cite=PHYSICS.at("gauge and absolute pressure"),
    )


def _gauge(symbol: str, letter: str, label: str) -> Equation:
    return Equation(
        symbol=symbol,
        label=f"{label}, gauge",
        kind=u.GAUGE_PRESSURE,
        formula=f"{letter} - P_a",
        where={
            letter: Symbol(f"{label}, absolute", u.ABSOLUTE_PRESSURE),
            "P_a": Symbol("pressure of the air", u.ABSOLUTE_PRESSURE),
        },
        function=_absolute_to_gauge,
        cite=PHYSICS.at("gauge and absolute pressure"),
    )


_P_0 = Symbol("charge, absolute", u.ABSOLUTE_PRESSURE)
_P_A = Symbol("pressure of the air", u.ABSOLUTE_PRESSURE)
_P_F = Symbol("cold fill, absolute", u.ABSOLUTE_PRESSURE)
_P_E = Symbol("highest pressure at the vessel, absolute", u.ABSOLUTE_PRESSURE)
_V_EX = Symbol("water pushed into the vessel", u.VOLUME)
_V_WR = Symbol("water reserve", u.VOLUME)
_V_N = Symbol("volume of the vessel", u.VOLUME)
_V_S = Symbol("water in the system", u.VOLUME)

AMBIENT = Equation(
    symbol="P_a",
    label="pressure of the air",
    kind=u.ABSOLUTE_PRESSURE,
    formula="101.325*(1 - 2.25577e-5*h)**5.25588",
    where={"h": Symbol("altitude", u.ALTITUDE, unit="m")},
    unit="kPa",
    function=standard_pressure,
    cite=ICAO_ATMOSPHERE.at("lowest layer"),
)
CHARGE_ABSOLUTE = _absolute("P_0", "p_0", "charge")
FILL_ABSOLUTE = _absolute("P_f", "p_f", "cold fill")
FINAL_ABSOLUTE = _absolute("P_e", "p_e", "highest pressure at the vessel")
LOW_GAUGE = _gauge("p_min", "P_min", "lowest cold fill")
HIGH_GAUGE = _gauge("p_max", "P_max", "highest cold fill")
HOT_GAUGE = _gauge("p_hot", "P_hot", "pressure at the vessel when hot")
COLD_DENSITY = Equation(
    symbol="rho_c",
    label="density of the cold fluid",
    kind=u.DENSITY,
    words="read from the fluid table at the cold temperature",
    where={
        "t_c": Symbol("cold temperature", u.TEMPERATURE),
        "x": Symbol("glycol by volume", u.FRACTION),
    },
    function=lambda t, x: density(WATER, t),
    cite=IAPWS_IF97.at("density"),
)
HOT_DENSITY = Equation(
    symbol="rho_h",
    label="density of the hot fluid",
    kind=u.DENSITY,
    words="read from the fluid table at the hottest temperature",
    where={
        "t_h": Symbol("hottest temperature", u.TEMPERATURE),
        "x": Symbol("glycol by volume", u.FRACTION),
    },
    function=lambda t, x: density(WATER, t),
    cite=IAPWS_IF97.at("density"),
)


def _for_fluid(equation: Equation, substance: str) -> Equation:
    """Return a density equation that reads the table of another fluid."""
    return replace(
        equation,
        function=lambda t, x: density(Fluid(substance, x), t),
        cite=COOLPROP.at(f"ASHRAE set of {substance}"),
    )


_DENSITIES = {"water": (COLD_DENSITY, HOT_DENSITY)} | {
    substance: (_for_fluid(COLD_DENSITY, substance), _for_fluid(HOT_DENSITY, substance))
    for substance in ("propylene glycol", "ethylene glycol")
}

FLUID_GROWTH = Equation(
    symbol="e_f",
    label="growth of the fluid",
    kind=u.FRACTION,
    formula="rho_c/rho_h - 1",
    where={
        "rho_c": Symbol("density of the cold fluid", u.DENSITY),
        "rho_h": Symbol("density of the hot fluid", u.DENSITY),
    },
    function=expansion_of_densities,
    cite=_ANNEX_D,
)
NET_GROWTH = Equation(
    symbol="e",
    label="net growth",
    kind=u.FRACTION,
    formula="e_f - 3*alpha*dt",
    where={
        "e_f": Symbol("growth of the fluid", u.FRACTION),
        "alpha": Symbol("linear expansion of the pipe", u.EXPANSIVITY),
        "dt": Symbol("rise in temperature", u.TEMPERATURE_DIFFERENCE),
    },
    function=net_expansion,
    cite=_ASHRAE_CLOSED,
)
CODE_GROWTH = Equation(
    symbol="e",
    label="net growth as the code writes it",
    kind=u.FRACTION,
    unit="1",
    formula="0.00041*T - 0.0466",
    where={"T": Symbol("average operating temperature", u.TEMPERATURE, unit="degF")},
    function=code_growth,
    cite=_CODE,
)
EXPANSION = Equation(
    symbol="V_ex",
    label="water pushed into the vessel",
    kind=u.VOLUME,
    formula="V_s*e",
    where={"V_s": _V_S, "e": Symbol("growth", u.FRACTION)},
    function=expanded_volume,
    cite=_ANNEX_D,
)
CLOSING = Equation(
    symbol="d",
    label="clearance below the set pressure",
    kind=u.PRESSURE_DIFFERENCE,
    words="0.5 bar for a set pressure of up to 5 bar, one tenth of the set pressure above it",
    where={"p_sv": Symbol("set pressure", u.GAUGE_PRESSURE)},
    function=closing_difference,
    cite=_DIN,
)
CLOSING_TENTH = Equation(
    symbol="d",
    label="clearance below the set pressure",
    kind=u.PRESSURE_DIFFERENCE,
    formula="0.1*p_sv",
    where={"p_sv": Symbol("set pressure", u.GAUGE_PRESSURE)},
    function=lambda relief: 0.1 * relief,
    cite=COMMON_PRACTICE.at("operating gap of one tenth"),
)
CLOSING_TEN_OR_FIVE = Equation(
    symbol="d",
    label="clearance below the set pressure",
    kind=u.PRESSURE_DIFFERENCE,
    unit="psi",
    formula="max(0.1*p_sv, 5)",
    where={"p_sv": Symbol("set pressure", u.GAUGE_PRESSURE, unit="psi")},
    function=lambda relief: max(0.1 * relief, _FIVE_PSI),
    cite=COMMON_PRACTICE.at("operating gap of one tenth or 5 psi, the larger"),
)
VALVE_LIMIT = Equation(
    symbol="p_lim",
    label="highest pressure where the valve sits",
    kind=u.GAUGE_PRESSURE,
    formula="p_sv - d",
    where={
        "p_sv": Symbol("set pressure", u.GAUGE_PRESSURE),
        "d": Symbol("clearance below it", u.PRESSURE_DIFFERENCE),
    },
    function=final_pressure,
    cite=_DIN,
)
VESSEL_LIMIT = Equation(
    symbol="p_e",
    label="highest pressure at the vessel",
    kind=u.GAUGE_PRESSURE,
    formula="p_lim + rho*g*z",
    where={
        "p_lim": Symbol("highest pressure where the valve sits", u.GAUGE_PRESSURE),
        "rho": Symbol("density of the fluid between them", u.DENSITY),
        "g": Symbol("gravity", u.ACCELERATION),
        "z": Symbol("height of the valve above the vessel", u.LENGTH),
    },
    function=lambda limit, rho, g, z: limit + rho * g * z,
    cite=_STILL,
)
STATIC = Equation(
    symbol="p_st",
    label="static pressure of the column above the vessel",
    kind=u.PRESSURE_DIFFERENCE,
    formula="rho*g*h",
    where={
        "rho": Symbol("density of the cold fluid", u.DENSITY),
        "g": Symbol("gravity", u.ACCELERATION),
        "h": Symbol("height of the column", u.LENGTH),
    },
    function=lambda rho, g, h: rho * g * h,
    cite=_STILL,
)
RESERVE = Equation(
    symbol="V_WR",
    label="water reserve",
    kind=u.VOLUME,
    unit="L",
    formula="max(0.005*V_s, 3)",
    where={"V_s": Symbol("water in the system", u.VOLUME, unit="L")},
    function=water_reserve,
    cite=_ANNEX_D,
)
SMALL_RESERVE = Equation(
    symbol="V_WR",
    label="water reserve of a vessel up to 15 L",
    kind=u.VOLUME,
    formula="0.2*V_N",
    where={"V_N": _V_N},
    function=small_vessel_reserve,
    cite=_ANNEX_D,
)
EN_VOLUME = Equation(
    symbol="V_Nmin",
    label="smallest vessel",
    kind=u.VOLUME,
    formula="(V_ex + V_WR)*P_e/(P_e - P_0)",
    where={"V_ex": _V_EX, "V_WR": _V_WR, "P_0": _P_0, "P_e": _P_E},
    function=vessel_volume,
    cite=_ANNEX_D,
)
SMALL_VOLUME = Equation(
    symbol="V_Nmin",
    label="smallest vessel, a fifth of it reserve",
    kind=u.VOLUME,
    formula="V_ex/(1 - P_0/P_e - 0.2)",
    where={"V_ex": _V_EX, "P_0": _P_0, "P_e": _P_E},
    function=small_vessel_volume,
    cite=_ANNEX_D,
)
DIAPHRAGM_VOLUME = Equation(
    symbol="V_t",
    label="smallest tank",
    kind=u.VOLUME,
    formula="V_ex/(1 - P_0/P_e)",
    where={"V_ex": _V_EX, "P_0": _P_0, "P_e": _P_E},
    function=diaphragm_volume,
    cite=_ASHRAE_DIAPHRAGM,
)
GENERAL_VOLUME = Equation(
    symbol="V_t",
    label="smallest tank, filled above its charge",
    kind=u.VOLUME,
    formula="V_ex/(P_0/P_f - P_0/P_e)",
    where={"V_ex": _V_EX, "P_0": _P_0, "P_f": _P_F, "P_e": _P_E},
    function=vessel_volume_general,
    cite=_BOYLE,
)
CUSHION_VOLUME = Equation(
    symbol="V_t",
    label="smallest air-cushion tank",
    kind=u.VOLUME,
    formula="V_ex/(P_a/P_f - P_a/P_e)",
    where={"V_ex": _V_EX, "P_a": _P_A, "P_f": _P_F, "P_e": _P_E},
    function=air_cushion_volume,
    cite=_ASHRAE_CLOSED,
)
CODE_VOLUME = replace(CUSHION_VOLUME, cite=_CODE)
ACCEPTANCE = Equation(
    symbol="a",
    label="share of the vessel that is water at the highest pressure",
    kind=u.FRACTION,
    formula="1 - P_0/P_e",
    where={"P_0": Symbol("gas pressure of the empty vessel", u.ABSOLUTE_PRESSURE), "P_e": _P_E},
    function=acceptance_fraction,
    cite=_ASHRAE_DIAPHRAGM,
)
LOW_FILL = Equation(
    symbol="P_min",
    label="lowest cold fill, absolute",
    kind=u.ABSOLUTE_PRESSURE,
    formula="V_N*P_0/(V_N - V_WR)",
    where={"V_N": _V_N, "V_WR": _V_WR, "P_0": _P_0},
    function=lowest_fill,
    cite=_ANNEX_D,
)
HIGH_FILL = Equation(
    symbol="P_max",
    label="highest cold fill, absolute",
    kind=u.ABSOLUTE_PRESSURE,
    formula="P_e/(1 + V_ex*P_e/(V_N*P_0))",
    where={
        "V_N": _V_N,
        "V_ex": _V_EX,
        "P_0": Symbol("gas pressure of the empty vessel", u.ABSOLUTE_PRESSURE),
        "P_e": _P_E,
    },
    function=highest_fill,
    cite=_ANNEX_D,
)
HOT = Equation(
    symbol="P_hot",
    label="pressure at the vessel when hot, absolute",
    kind=u.ABSOLUTE_PRESSURE,
    formula="P_0*V_N/(V_N*min(P_0/P_f, 1) - V_ex)",
    where={
        "V_N": _V_N,
        "P_0": Symbol("gas pressure of the empty vessel", u.ABSOLUTE_PRESSURE),
        "P_f": _P_F,
        "V_ex": _V_EX,
    },
    function=hot_pressure,
    cite=_BOYLE,
)
LARGEST_GROWTH = Equation(
    symbol="V_free",
    label="growth the vessel can take",
    kind=u.VOLUME,
    formula="V_N*(1 - P_0/P_e) - V_c",
    where={
        "V_N": _V_N,
        "P_0": Symbol("gas pressure of the empty vessel", u.ABSOLUTE_PRESSURE),
        "P_e": _P_E,
        "V_c": Symbol("water in it when cold", u.VOLUME),
    },
    function=lambda volume, gas, final, cold: water_in_vessel(volume, gas, final) - cold,
    cite=_BOYLE,
)
LARGEST_SYSTEM = Equation(
    symbol="V_smax",
    label="largest system",
    kind=u.VOLUME,
    formula="V_free/e",
    where={
        "V_free": Symbol("growth the vessel can take", u.VOLUME),
        "e": Symbol("growth", u.FRACTION),
    },
    function=lambda free, growth: free / growth,
    cite=_ANNEX_D,
)
LARGEST_SYSTEM_SHARE = Equation(
    symbol="V_smax",
    label="largest system, its reserve a share of itself",
    kind=u.VOLUME,
    formula="V_N*(1 - P_0/P_e)/(e + 0.005)",
    where={
        "V_N": _V_N,
        "P_0": _P_0,
        "P_e": _P_E,
        "e": Symbol("growth", u.FRACTION),
    },
    function=lambda volume, gas, final, growth: (
        water_in_vessel(volume, gas, final) / (growth + RESERVE_SHARE)
    ),
    cite=_ANNEX_D,
)
LARGEST_OUTPUT = Equation(
    symbol="Q_max",
    label="largest boiler output",
    kind=u.POWER,
    formula="V_smax/c",
    where={
        "V_smax": Symbol("largest system", u.VOLUME),
        "c": Symbol("water for each unit of output", u.SPECIFIC_CONTENT),
    },
    function=lambda volume, content: volume / content,
    cite=COMMON_PRACTICE.at("water content by output"),
)

_FIVE_PSI = 5 * u.PRESSURE_DIFFERENCE.unit("psi").scale
_CLOSING_RULES = {"en": CLOSING, "ten-or-five": CLOSING_TEN_OR_FIVE, "tenth": CLOSING_TENTH}


@dataclass(frozen=True, slots=True)
class _Duty:
    """What the vessel has to do; pressures at the vessel. [m3, Pa abs, Pa gauge]"""

    ambient: float
    growth: float
    expansion: float
    gas_abs: float
    final_abs: float
    fill_abs: float | None
    static: float | None


def solve(v: Values) -> Solution:
    """Size a vessel, or check one, for the duty entered."""
    w = Work()
    substance = v.fluid or "water"
    fluid = _fluid(substance, v.glycol)
    cold = _CODE_COLD if v.method == CODE else v.cold
    _refuse_temperatures(v, fluid, cold)
    cold_rule, hot_rule = _DENSITIES[substance]
    with _blaming("cold"):
        rho_cold = w.step(cold_rule, t_c=cold, x=fluid.volume_fraction)
    with _blaming("hot"):
        rho_hot = w.step(hot_rule, t_h=v.hot, x=fluid.volume_fraction)
    duty = _duty(v, w, cold, rho_cold, rho_hot)
    need, minimum = _need(v, w, duty)
    _report_duty(w, duty)
    w.result("minimum", minimum)
    if v.task == "size":
        each, count = _choose(v, w, need, minimum)
    else:
        each, count = v.existing, v.count
        _whole(v.count)
        w.result("selected", None)
        w.result("count", None)
    if each is None:
        for name in ("used", "fill_low", "fill_high", "fill_taken", "hot_pressure", "margin"):
            w.result(name, None)
        w.result("reserve", None)
        _no_largest(w)
    else:
        total = each * count
        w.result("used", minimum / total)
        reserve = _reserve_of(v, w, total)
        w.result("reserve", reserve)
        if v.task == "check":
            _judge_existing(v, w, duty, total, minimum, reserve)
        else:
            _no_largest(w)
        _judge_filling(v, w, duty, total, reserve, fluid, cold)
    _judge_construction(v, w, duty, minimum)
    _judge_acceptance(v, w, duty)
    _judge_clearance(v, w)
    _judge_altitude(v, w, duty)
    return w.solution()


@contextmanager
def _blaming(name: str) -> Iterator[None]:
    """Name the entry at fault in a refusal by a table that does not know the form."""
    try:
        yield
    except Refusal as refused:
        raise Refusal(refused.message, field=refused.field or name, cite=refused.cite) from None


def _fluid(substance: str, share: float | None) -> Fluid:
    if substance == "water":
        return WATER
    with _blaming("glycol"):
        return Fluid(substance, share or 0.0)


_CODE_COLD = u.TEMPERATURE.unit("degF").to_si(40.0)


def _refuse_temperatures(v: Values, fluid: Fluid, cold: float) -> None:
    if v.method == CODE and not _CODE_COLDEST <= v.hot <= _CODE_HOTTEST:
        raise Refusal(
            say(
                "The US code formula follows the growth of water only between {low} and {high}; "
                "at {hot} it would give the wrong size. Choose the ASHRAE air-cushion method.",
                low=(_CODE_COLDEST, u.TEMPERATURE),
                high=(_CODE_HOTTEST, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field="hot",
            cite=IAPWS_IF97.at("density, against 13 NCAC 13 .0412(d)"),
        )
    if cold >= v.hot:
        raise Refusal(
            say(
                "The cold water, {cold}, is not below the hottest, {hot}, so nothing expands. "
                "Enter the temperature at filling as cold and the highest as hottest.",
                cold=(cold, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field="cold",
            cite=PHYSICS.at("thermal expansion"),
        )
    frozen = freezing_temperature(fluid)
    if cold < frozen:
        raise Refusal(
            say(
                "At {cold} this fluid is frozen; it freezes at {frozen}. "
                "Enter a warmer cold temperature, or more glycol.",
                cold=(cold, u.TEMPERATURE),
                frozen=(frozen, u.TEMPERATURE),
            ),
            field="cold",
            cite=(COOLPROP if fluid.volume_fraction else IAPWS_IF97).at("freezing"),
        )


def _duty(v: Values, w: Work, cold: float, rho_cold: float, rho_hot: float) -> _Duty:
    if v.method == CODE:
        growth = w.step(CODE_GROWTH, T=v.hot)
    else:
        growth = w.step(FLUID_GROWTH, rho_c=rho_cold, rho_h=rho_hot)
        alpha = PIPE_EXPANSION[v.pipe or "none"]
        if alpha:
            growth = w.step(NET_GROWTH, e_f=growth, alpha=alpha, dt=v.hot - cold)
    if growth <= 0:
        raise Refusal(
            say(
                "Between {cold} and {hot} the system makes as much room as the water needs, "
                "so there is nothing to size. Enter a higher temperature.",
                cold=(cold, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field="hot",
            cite=PHYSICS.at("thermal expansion"),
        )
    expansion = w.step(EXPANSION, V_s=v.system_volume, e=growth)
    ambient = w.step(AMBIENT, h=v.altitude)
    final = _final(v, w, rho_cold, rho_hot)
    final_abs = w.step(FINAL_ABSOLUTE, p_e=final, P_a=ambient)
    if final_abs <= ambient:
        raise Refusal(
            say(
                "With the valve set at {relief}, only {final} is left at the vessel. "
                "Enter a higher set pressure or a smaller clearance.",
                relief=(v.relief, u.GAUGE_PRESSURE),
                final=(final, u.GAUGE_PRESSURE),
            ),
            field="relief",
            cite=_DIN,
        )
    gas_abs = ambient
    if v.method in CHARGED:
        if v.charge >= final:
            raise Refusal(
                say(
                    "The highest pressure allowed at the vessel is {final}, not above the charge "
                    "of {charge}, so no vessel is large enough. "
                    "Lower the charge, or use a higher set pressure.",
                    final=(final, u.GAUGE_PRESSURE),
                    charge=(v.charge, u.GAUGE_PRESSURE),
                ),
                field="relief",
                cite=_BOYLE,
            )
        gas_abs = w.step(CHARGE_ABSOLUTE, p_0=v.charge, P_a=ambient)
    fill_abs = _fill(v, w, final, ambient)
    static = None
    if v.height is not None:
        static = w.step(STATIC, rho=rho_cold, g=STANDARD_GRAVITY, h=v.height)
    _refuse_boiling(v, final_abs, static or 0.0)
    return _Duty(ambient, growth, expansion, gas_abs, final_abs, fill_abs, static)


def _final(v: Values, w: Work, rho_cold: float, rho_hot: float) -> float:
    if v.closing == "own":
        clearance = v.closing_own
    else:
        clearance = w.step(_CLOSING_RULES[v.closing], p_sv=v.relief)
    limit = w.step(VALVE_LIMIT, p_sv=v.relief, d=clearance)
    if not v.valve_height:
        return limit
    # The density is taken on the safe side: the one that allows the vessel less.
    rho = rho_hot if v.valve_height > 0 else rho_cold
    return w.step(VESSEL_LIMIT, p_lim=limit, rho=rho, g=STANDARD_GRAVITY, z=v.valve_height)


def _fill(v: Values, w: Work, final: float, ambient: float) -> float | None:
    if v.fill is None:
        if v.method in PLAIN:
            raise Refusal(
                "A plain air-cushion tank is sized from the cold fill. "
                "Enter the cold fill at the tank.",
                field="fill",
                cite=_ASHRAE_CLOSED,
            )
        return None
    if v.fill >= final:
        raise Refusal(
            say(
                "The cold fill of {fill} is not below the highest pressure allowed at the "
                "vessel, {final}. Lower the fill, or use a higher set pressure.",
                fill=(v.fill, u.GAUGE_PRESSURE),
                final=(final, u.GAUGE_PRESSURE),
            ),
            field="fill",
            cite=_BOYLE,
        )
    return w.step(FILL_ABSOLUTE, p_f=v.fill, P_a=ambient)


def _refuse_boiling(v: Values, final_abs: float, static: float) -> None:
    boiling = vapour_pressure(v.hot)
    if boiling < final_abs - static:
        return
    where = "at the highest point" if boiling < final_abs else "at the vessel"
    raise Refusal(
        say(
            "Water at {hot} boils below {boiling}, and {where} the highest pressure allowed is "
            "only {there}. Enter a lower temperature, or a higher set pressure.".replace(
                "{where}", where
            ),
            hot=(v.hot, u.TEMPERATURE),
            boiling=(boiling, u.ABSOLUTE_PRESSURE),
            there=(final_abs - static, u.ABSOLUTE_PRESSURE),
        ),
        field="hot",
        cite=IAPWS_IF97.at("vapour pressure"),
    )


def _need(v: Values, w: Work, d: _Duty) -> tuple[Callable[[float], float], float]:
    """Return what a vessel of a given volume must at least have, and the smallest that serves."""
    if v.method == EN:
        return _need_with_reserve(v, w, d)
    if v.method in PLAIN:
        rule = CODE_VOLUME if v.method == CODE else CUSHION_VOLUME
        minimum = w.step(rule, V_ex=d.expansion, P_a=d.ambient, P_f=d.fill_abs, P_e=d.final_abs)
    elif d.fill_abs is not None and d.fill_abs > d.gas_abs:
        minimum = w.step(
            GENERAL_VOLUME, V_ex=d.expansion, P_0=d.gas_abs, P_f=d.fill_abs, P_e=d.final_abs
        )
    else:
        minimum = w.step(DIAPHRAGM_VOLUME, V_ex=d.expansion, P_0=d.gas_abs, P_e=d.final_abs)
    return lambda total: minimum, minimum


def _need_with_reserve(v: Values, w: Work, d: _Duty) -> tuple[Callable[[float], float], float]:
    if v.reserve != "en":
        reserve = v.reserve_own or 0.0
        minimum = w.step(EN_VOLUME, V_ex=d.expansion, V_WR=reserve, P_0=d.gas_abs, P_e=d.final_abs)
        return lambda total: minimum, minimum
    reserve = water_reserve(v.system_volume)

    def need(total: float) -> float:
        return required_volume(total, d.expansion, reserve, d.gas_abs, d.final_abs)

    if v.task == "check":
        # With so little room left that a fifth of the vessel fills it, no small vessel serves.
        room = acceptance_fraction(d.gas_abs, d.final_abs) > SMALL_VESSEL_SHARE
        small = room and v.existing * v.count <= SMALL_VESSEL * (1 + _HAIR)
    else:
        small = need(SMALL_VESSEL) <= SMALL_VESSEL
    if small:
        minimum = w.step(SMALL_VOLUME, V_ex=d.expansion, P_0=d.gas_abs, P_e=d.final_abs)
    else:
        w.step(RESERVE, V_s=v.system_volume)
        minimum = w.step(EN_VOLUME, V_ex=d.expansion, V_WR=reserve, P_0=d.gas_abs, P_e=d.final_abs)
    return need, minimum


def _report_duty(w: Work, d: _Duty) -> None:
    w.result("expansion_fraction", d.growth)
    w.result("expansion", d.expansion)
    w.result("final", d.final_abs - d.ambient)
    w.result("acceptance", w.step(ACCEPTANCE, P_0=d.gas_abs, P_e=d.final_abs))


def _choose(
    v: Values, w: Work, need: Callable[[float], float], minimum: float
) -> tuple[float | None, float]:
    """Pick the next size from the list, or the fewest equal vessels that serve together."""
    for count in range(1, _MOST_IN_PARALLEL + 1):
        for size in sorted(v.sizes):
            if size * count < need(size * count) * (1 - _HAIR):
                continue
            w.result("selected", size)
            w.result("count", str(count))
            shown = {"minimum": (minimum, u.VOLUME), "size": (size, u.VOLUME)}
            if count == 1:
                message = say("At least {minimum} is needed; fit {size}.", **shown)
                w.check("size", "A listed size serves", PASS, message, _ANNEX_D)
            else:
                message = say(
                    "At least {minimum} is needed, more than any listed vessel. "
                    f"Fit {count} of {{size}} side by side with the same charge, or list "
                    "larger ones.",
                    **shown,
                )
                w.check("size", "A listed size serves", CAUTION, message, _BOYLE)
            return size, float(count)
    w.result("selected", None)
    w.result("count", None)
    message = say(
        "At least {minimum} is needed, and even ten of the largest listed do not reach it. "
        "List larger vessels, lower the charge, or use a higher set pressure.",
        minimum=(minimum, u.VOLUME),
    )
    w.check("size", "A listed size serves", FAIL, message, _BOYLE)
    return None, 0.0


def _whole(count: float) -> None:
    if count != round(count):
        raise Refusal(
            say(
                "There cannot be {count} vessels. Enter a whole number of equal vessels.",
                count=(count, u.NUMBER),
            ),
            field="count",
            cite=_TYPO,
        )


def _reserve_of(v: Values, w: Work, total: float) -> float:
    """Return the reserve the method asks of a vessel of this volume."""
    if v.method != EN:
        return 0.0
    if v.reserve != "en":
        return v.reserve_own or 0.0
    if total <= SMALL_VESSEL * (1 + _HAIR):
        return w.step(SMALL_RESERVE, V_N=total)
    return water_reserve(v.system_volume)


def _no_largest(w: Work) -> None:
    w.result("largest_system", None)
    w.result("largest_output", None)


def _judge_existing(
    v: Values, w: Work, d: _Duty, total: float, minimum: float, reserve: float
) -> None:
    largest = _largest_system(v, w, d, total, reserve)
    w.result("largest_system", largest)
    shown = {
        "total": (total, u.VOLUME),
        "minimum": (minimum, u.VOLUME),
        "system": (v.system_volume, u.VOLUME),
    }
    if total >= minimum * (1 - _HAIR):
        message = say("{total} is there and {minimum} is needed for {system}.", **shown)
        w.check("serves", "The vessel serves the system", PASS, message, _BOYLE)
    else:
        message = say(
            "{total} is there but {minimum} is needed for {system}. Fit a larger vessel, or add "
            "{more} beside it" + (" with the same charge." if v.method in CHARGED else "."),
            more=(minimum - total, u.VOLUME),
            **shown,
        )
        w.check("serves", "The vessel serves the system", FAIL, message, _BOYLE)
    if largest is None:
        w.result("largest_output", None)
        return
    most = w.step(LARGEST_OUTPUT, V_smax=largest, c=v.content)
    w.result("largest_output", most)
    if v.output is None:
        return
    shown = {
        "output": (v.output, u.POWER),
        "most": (most, u.POWER),
        "content": (v.content, u.SPECIFIC_CONTENT),
    }
    cite = COMMON_PRACTICE.at("water content by output")
    if v.output <= most:
        message = say("At {content} it serves up to {most}; {output} is connected.", **shown)
        w.check("output", "By boiler output", PASS, message, cite)
    else:
        message = say(
            "At {content} it serves only {most}, and {output} is connected. Find the system "
            "volume by its parts before buying, because content by output is a rough guide.",
            **shown,
        )
        w.check("output", "By boiler output", CAUTION, message, cite)


def _largest_system(v: Values, w: Work, d: _Duty, total: float, reserve: float) -> float | None:
    """Return the largest system a vessel serves, None if it cannot even hold its reserve."""
    cold_water = reserve
    if v.method == EN:
        if v.reserve == "en" and total > SMALL_VESSEL * (1 + _HAIR):
            by_share = water_in_vessel(total, d.gas_abs, d.final_abs) / (d.growth + RESERVE_SHARE)
            if RESERVE_SHARE * by_share >= LEAST_RESERVE:
                return w.step(
                    LARGEST_SYSTEM_SHARE, V_N=total, P_0=d.gas_abs, P_e=d.final_abs, e=d.growth
                )
            cold_water = LEAST_RESERVE
    elif d.fill_abs is not None:
        cold_water = water_in_vessel(total, d.gas_abs, d.fill_abs)
    free = w.step(LARGEST_GROWTH, V_N=total, P_0=d.gas_abs, P_e=d.final_abs, V_c=cold_water)
    if free <= 0:
        return None
    return w.step(LARGEST_SYSTEM, V_free=free, e=d.growth)


def _judge_filling(
    v: Values, w: Work, d: _Duty, total: float, reserve: float, fluid: Fluid, cold: float
) -> None:
    low_abs = _lowest(v, w, d, total, reserve)
    high_abs = w.step(HIGH_FILL, V_N=total, V_ex=d.expansion, P_0=d.gas_abs, P_e=d.final_abs)
    high = w.step(HIGH_GAUGE, P_max=high_abs, P_a=d.ambient)
    low = None
    if low_abs is not None:
        low = w.step(LOW_GAUGE, P_min=low_abs, P_a=d.ambient)
    w.result("fill_low", low)
    _judge_window(w, d, low, high_abs, high, reserve)
    w.result("fill_high", high if high_abs >= d.gas_abs else None)
    fill_abs = d.fill_abs if d.fill_abs is not None else low_abs
    if fill_abs is None:
        for name in ("fill_taken", "hot_pressure", "margin"):
            w.result(name, None)
        return
    fill = fill_abs - d.ambient
    w.result("fill_taken", fill)
    if d.fill_abs is not None:
        _judge_fill(v, w, d, fill, low, high, high_abs >= d.gas_abs * (1 - _HAIR))
    hot_abs = _hot(w, d, total, fill_abs)
    _judge_top(v, w, d, fill, hot_abs)
    _draw(v, w, d, total, fill_abs, hot_abs, fluid, cold)


def _lowest(v: Values, w: Work, d: _Duty, total: float, reserve: float) -> float | None:
    if v.method in PLAIN:
        return None
    if not reserve:
        return d.gas_abs
    if reserve >= total:
        return None
    return w.step(LOW_FILL, V_N=total, V_WR=reserve, P_0=d.gas_abs)


def _judge_window(
    w: Work, d: _Duty, low: float | None, high_abs: float, high: float, reserve: float
) -> None:
    label = "A cold fill exists that suits"
    if high_abs < d.gas_abs * (1 - _HAIR):
        message = say(
            "However low it is filled, the hot pressure passes {final}. Fit a larger vessel.",
            final=(d.final_abs - d.ambient, u.GAUGE_PRESSURE),
        )
        w.check("window", label, FAIL, message, _ANNEX_D)
        return
    if low is None and reserve:
        message = say(
            "The reserve of {reserve} is more than the whole vessel. "
            "Fit a larger vessel, or keep a smaller reserve.",
            reserve=(reserve, u.VOLUME),
        )
        w.check("window", label, FAIL, message, _ANNEX_D)
        return
    if low is None:
        message = say("Fill to no more than {high}.", high=(high, u.GAUGE_PRESSURE))
        w.check("window", label, PASS, message, _BOYLE)
        return
    shown = {"low": (low, u.GAUGE_PRESSURE), "high": (high, u.GAUGE_PRESSURE)}
    if low > high + _HAIR * d.final_abs:
        message = say(
            "The reserve asks for at least {low}, the relief valve for at most {high}. "
            "Fit a larger vessel, or lower the charge if the height allows.",
            **shown,
        )
        w.check("window", label, FAIL, message, _ANNEX_D)
    else:
        w.check(
            "window", label, PASS, say("Fill cold between {low} and {high}.", **shown), _ANNEX_D
        )


def _judge_fill(
    v: Values, w: Work, d: _Duty, fill: float, low: float | None, high: float, serves: bool
) -> None:
    label = "The fill entered"
    hair = _HAIR * d.final_abs
    shown = {"fill": (fill, u.GAUGE_PRESSURE), "high": (high, u.GAUGE_PRESSURE)}
    if v.method in CHARGED and fill < v.charge - hair:
        message = say(
            "The charge of {charge} is above the fill of {fill}, so the cold vessel is empty and "
            "the pressure collapses at the least cooling. Lower the charge or raise the fill.",
            charge=(v.charge, u.GAUGE_PRESSURE),
            **shown,
        )
        w.check("fill", label, FAIL, message, _BOYLE)
    elif not serves:
        message = say("{fill} cannot serve, because no fill does. Fit a larger vessel.", **shown)
        w.check("fill", label, FAIL, message, _ANNEX_D)
    elif fill > high + hair:
        message = say(
            "{fill} is above {high}, so the hot pressure passes its limit. "
            "Fill lower, or fit a larger vessel.",
            **shown,
        )
        w.check("fill", label, FAIL, message, _ANNEX_D)
    elif low is not None and fill < low - hair:
        message = say(
            "{fill} is below {low}, so the reserve is not all there. Fill to at least {low}.",
            low=(low, u.GAUGE_PRESSURE),
            **shown,
        )
        w.check("fill", label, CAUTION, message, _ANNEX_D)
    else:
        w.check("fill", label, PASS, say("{fill} suits this vessel.", **shown), _ANNEX_D)


def _hot(w: Work, d: _Duty, total: float, fill_abs: float) -> float | None:
    label = "Pressure when hot"
    limit = (d.final_abs - d.ambient, u.GAUGE_PRESSURE)
    if d.expansion >= total * min(d.gas_abs / fill_abs, 1.0):
        w.result("hot_pressure", None)
        w.result("margin", None)
        message = say(
            "The water grows by {expansion}, more than all the gas in the vessel, so the relief "
            "valve opens at every heating. Fit a larger vessel.",
            expansion=(d.expansion, u.VOLUME),
        )
        w.check("hot", label, FAIL, message, _BOYLE)
        return None
    hot_abs = w.step(HOT, V_N=total, P_0=d.gas_abs, P_f=fill_abs, V_ex=d.expansion)
    hot = w.step(HOT_GAUGE, P_hot=hot_abs, P_a=d.ambient)
    w.result("hot_pressure", hot)
    w.result("margin", d.final_abs - hot_abs)
    shown = {"hot": (hot, u.GAUGE_PRESSURE), "limit": limit}
    if hot_abs <= d.final_abs * (1 + _HAIR):
        w.check("hot", label, PASS, say("{hot} stays at or below {limit}.", **shown), _ANNEX_D)
    else:
        message = say(
            "{hot} passes the limit of {limit}, and the relief valve may drip or open. "
            "Lower the fill if the reserve allows, or fit a larger vessel.",
            **shown,
        )
        w.check("hot", label, FAIL, message, _ANNEX_D)
    return hot_abs


def _judge_top(v: Values, w: Work, d: _Duty, fill: float, hot_abs: float | None) -> None:
    if d.static is None:
        return
    held = v.charge if v.method in CHARGED else fill
    what = "charge" if v.method in CHARGED else "cold fill"
    shown = {"held": (held, u.GAUGE_PRESSURE), "static": (d.static, u.PRESSURE_DIFFERENCE)}
    label = f"The {what} holds up the top"
    if held < d.static:
        message = say(
            f"The {what} of {{held}} is less than the {{static}} of the water above the vessel, "
            f"so the top falls below the air pressure. Raise the {what} above it with a margin.",
            **shown,
        )
        w.check("top", label, FAIL, message, _STILL)
    elif held < d.static + _TOP_MARGIN:
        message = say(
            f"The {what} of {{held}} is above the {{static}} of the water over the vessel, but by "
            "less than {margin}. Raise it if the vessel allows.",
            margin=(_TOP_MARGIN, u.PRESSURE_DIFFERENCE),
            **shown,
        )
        w.check("top", label, CAUTION, message, _DIN)
    else:
        message = say(f"The {what} of {{held}} holds the {{static}} of the water above.", **shown)
        w.check("top", label, PASS, message, _DIN)
    if hot_abs is None:
        return
    left = min(hot_abs, d.final_abs) - d.static - vapour_pressure(v.hot)
    shown = {"left": (left, u.PRESSURE_DIFFERENCE), "hot": (v.hot, u.TEMPERATURE)}
    label = "No boiling at the highest point"
    if left <= 0:
        message = say(
            "At {hot} the highest point is below the boiling pressure. "
            "Raise the charge and the fill, or run cooler.",
            **shown,
        )
        w.check("boiling", label, FAIL, message, IAPWS_IF97.at("vapour pressure"))
    elif left < _TOP_MARGIN:
        message = say(
            "At {hot} the highest point is only {left} from boiling. "
            "Raise the charge and the fill, or run cooler.",
            **shown,
        )
        w.check("boiling", label, CAUTION, message, IAPWS_IF97.at("vapour pressure"))
    else:
        message = say("At {hot} the highest point is {left} above boiling.", **shown)
        w.check("boiling", label, PASS, message, IAPWS_IF97.at("vapour pressure"))


def _judge_construction(v: Values, w: Work, d: _Duty, minimum: float) -> None:
    label = "The method suits the kind of vessel"
    if (v.construction == "plain") == (v.method in PLAIN):
        w.check("construction", label, PASS, "They belong together.", _ASHRAE_CLOSED)
        return
    if v.method in PLAIN:
        other = diaphragm_volume(d.expansion, d.fill_abs, d.final_abs)
        message = say(
            "This method is for a plain tank whose air starts at the pressure around it. A "
            "diaphragm vessel charged to the fill needs {other}, not {minimum}. "
            "Choose a diaphragm method.",
            other=(other, u.VOLUME),
            minimum=(minimum, u.VOLUME),
        )
        w.check("construction", label, CAUTION, message, _ASHRAE_DIAPHRAGM)
        return
    start_abs = max(d.fill_abs or d.gas_abs, d.gas_abs)
    other = air_cushion_volume(d.expansion, d.ambient, start_abs, d.final_abs)
    message = say(
        "A plain tank has no charge of its own. For this duty it needs {other}, not {minimum}. "
        "Choose the air-cushion method.",
        other=(other, u.VOLUME),
        minimum=(minimum, u.VOLUME),
    )
    w.check("construction", label, FAIL, message, _ASHRAE_CLOSED)


def _judge_acceptance(v: Values, w: Work, d: _Duty) -> None:
    if v.method not in CHARGED:
        return
    share = acceptance_fraction(d.gas_abs, d.final_abs)
    shown = {"share": (share, u.FRACTION), "most": (v.largest_share, u.FRACTION)}
    cite = OWN_RULE.at("largest share of water in a diaphragm vessel; its plate rules")
    label = "Water the diaphragm has to make room for"
    if share > v.largest_share:
        message = say(
            "At the highest pressure {share} of the vessel is water, more than {most}. "
            "Fit one that allows it, such as a bladder vessel, or a larger one filled lower.",
            **shown,
        )
        w.check("acceptance", label, CAUTION, message, cite)
    else:
        message = say("At the highest pressure {share} is water; {most} is allowed.", **shown)
        w.check("acceptance", label, PASS, message, cite)


def _judge_clearance(v: Values, w: Work) -> None:
    if v.closing != "own" or v.closing_own > 0:
        return
    message = say(
        "The hot pressure may rise to the set pressure of {relief} itself, where the valve drips. "
        "Keep a clearance below it.",
        relief=(v.relief, u.GAUGE_PRESSURE),
    )
    w.check("clearance", "Clear of the relief valve", CAUTION, message, _DIN)


def _judge_altitude(v: Values, w: Work, d: _Duty) -> None:
    shift = SEA_LEVEL_PRESSURE - d.ambient
    message = say(
        "The air at {altitude} presses with {ambient}, and everything here counts with it. At sea "
        "level the same gauge pressures would let {sea} of the vessel be water, here {share}.",
        altitude=(v.altitude, u.ALTITUDE),
        ambient=(d.ambient, u.ABSOLUTE_PRESSURE),
        sea=(acceptance_fraction(d.gas_abs + shift, d.final_abs + shift), u.FRACTION),
        share=(acceptance_fraction(d.gas_abs, d.final_abs), u.FRACTION),
    )
    w.check("altitude", "Altitude", PASS, message, ICAO_ATMOSPHERE.at("lowest layer"))


def _draw(
    v: Values,
    w: Work,
    d: _Duty,
    total: float,
    fill_abs: float,
    hot_abs: float | None,
    fluid: Fluid,
    cold: float,
) -> None:
    fill = fill_abs - d.ambient
    states = [_state("Filled, cold", d, total, fill_abs)]
    if hot_abs is None:
        summary = say(
            "The vessel in section: {cold} of water when cold; hot, the water leaves no gas.",
            cold=(states[0].water_fraction, u.FRACTION),
        )
    else:
        states.append(_state("Hot", d, total, hot_abs))
        summary = say(
            "The vessel in section: {cold} of it is water when cold, {hot} when hot.",
            cold=(states[0].water_fraction, u.FRACTION),
            hot=(states[1].water_fraction, u.FRACTION),
        )
    w.chart(
        VesselSection(
            id="vessel",
            title="The vessel, cold and hot",
            states=tuple(states),
            summary=summary,
        )
    )
    # The code formula gives no growth between its ends, so there is no line to draw.
    if hot_abs is None or v.method == CODE:
        return
    pressures, waters = _heating(v, d, total, fill_abs, fluid, cold)
    levels = [
        Level("relief valve set", v.relief, "limit"),
        Level("highest pressure", d.final_abs - d.ambient, "limit"),
    ]
    if v.method in CHARGED:
        levels.append(Level("charge", v.charge, "info"))
    hot = hot_abs - d.ambient
    w.chart(
        LineChart(
            id="heating",
            title="Pressure at the vessel as the system warms",
            x=Axis("temperature of the system", u.TEMPERATURE),
            y=Axis("pressure at the vessel", u.GAUGE_PRESSURE),
            series=(Series("cold to hot", pressures),),
            levels=tuple(levels),
            marks=(Mark("fill", cold, fill), Mark("hot", v.hot, hot)),
            summary=say(
                "The pressure rises from {fill} at {cold} to {hot} at {hottest}; "
                "the limit is {limit}.",
                fill=(fill, u.GAUGE_PRESSURE),
                cold=(cold, u.TEMPERATURE),
                hot=(hot, u.GAUGE_PRESSURE),
                hottest=(v.hot, u.TEMPERATURE),
                limit=(d.final_abs - d.ambient, u.GAUGE_PRESSURE),
            ),
        )
    )
    w.chart(
        LineChart(
            id="water",
            title="Water in the vessel as the system warms",
            x=Axis("temperature of the system", u.TEMPERATURE),
            y=Axis("water in the vessel", u.VOLUME),
            series=(Series("cold to hot", waters),),
            levels=(
                Level(
                    "at the highest pressure",
                    water_in_vessel(total, d.gas_abs, d.final_abs),
                    "limit",
                ),
            ),
            summary=say(
                "The water in the vessel grows from {least} to {most}.",
                least=(waters[0][1], u.VOLUME),
                most=(waters[-1][1], u.VOLUME),
            ),
        )
    )


def _state(label: str, d: _Duty, total: float, pressure_abs: float) -> VesselState:
    share = water_in_vessel(total, d.gas_abs, pressure_abs) / total
    return VesselState(label, share, pressure_abs - d.ambient)


def _heating(
    v: Values, d: _Duty, total: float, fill_abs: float, fluid: Fluid, cold: float
) -> tuple[tuple[tuple[float, float], ...], tuple[tuple[float, float], ...]]:
    """Return pressure and water in the vessel against temperature. [K, Pa gauge], [K, m3]"""
    alpha = PIPE_EXPANSION[v.pipe or "none"]
    start = density(fluid, cold)
    pressures = [(cold, fill_abs - d.ambient)]
    waters = [(cold, water_in_vessel(total, d.gas_abs, fill_abs))]
    for number in range(1, _CHART_STEPS + 1):
        t = cold + (v.hot - cold) * number / _CHART_STEPS
        grown = v.system_volume * net_expansion(
            expansion_of_densities(start, density(fluid, t)), alpha, t - cold
        )
        # Just above freezing water shrinks first; the vessel may then stand empty for a while.
        if grown <= 0:
            continue
        there = hot_pressure(total, d.gas_abs, fill_abs, grown)
        pressures.append((t, there - d.ambient))
        waters.append((t, water_in_vessel(total, d.gas_abs, there)))
    return tuple(pressures), tuple(waters)


CALCULATOR = Calculator(
    id="vessel-size",
    title="Vessel size",
    question="How large must the expansion vessel be, and does the one there serve?",
    summary="Sizes a new expansion vessel by the method your code names, or checks the one on "
    "site and tells the largest system it serves.",
    inputs=INPUTS,
    outputs=OUTPUTS,
    solve=solve,
    examples=(
        {
            "method": DIAPHRAGM,
            "fluid": "propylene glycol",
            "glycol": "30 %",
            "system_volume": "420 ± 20 gal",
            "cold": "50 degF",
            "hot": "180 degF",
            "charge": "15 psi",
            "fill": "17 psi",
            "relief": "60 psi",
            "closing": "ten-or-five",
            "valve_height": "4 ft",
            "height": "28 ft",
            "altitude": "5280 ft",
            "pipe": "copper",
        },
        {
            "method": CUSHION,
            "construction": "plain",
            "fill": "18 psi",
            "relief": "50 psi",
            "closing": "tenth",
            "valve_height": "-3 ft",
            "height": "25 ft",
        },
        {
            "method": CODE,
            "construction": "plain",
            "system_volume": "100 gal",
            "hot": "195 degF",
            "fill": "12 psi",
            "relief": "30 psi",
            "closing": "own",
            "closing_own": "0 psi",
            "height": "20 ft",
        },
        {
            "system_volume": "120 L",
            "charge": "0.8 bar",
            "fill": "1.3 bar",
            "height": "5 m",
            "fluid": "ethylene glycol",
            "glycol": "20 %",
        },
        {"task": "check", "existing": "100 L", "count": "2", "valve_height": "1.2 m"},
        {
            "task": "check",
            "method": DIAPHRAGM,
            "existing": "45 gal",
            "charge": "12 psi",
            "fill": "12 psi",
            "relief": "30 psi",
            "closing": "ten-or-five",
            "hot": "195 degF",
            "output": "475000 Btu/h",
            "system_volume": "220 gal",
            "height": "20 ft",
            "content": "6 L/kW",
        },
        {
            "task": "check",
            "existing": "12 L",
            "system_volume": "90 L",
            "charge": "0.7 bar",
            "fill": "",
            "height": "4 m",
            "reserve": "en",
        },
        {
            "task": "check",
            "method": CODE,
            "construction": "plain",
            "system_volume": "100 gal",
            "existing": "15 gal",
            "hot": "200 degF",
            "fill": "12 psi",
            "relief": "30 psi",
            "height": "20 ft",
        },
    ),
)

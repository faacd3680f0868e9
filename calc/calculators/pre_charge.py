"""The charge that goes into a vessel, and the cold fill that goes with it."""

from __future__ import annotations

from calc import atmosphere, charge, hydrostatics, vessel
from calc import units as u
from calc.expansion import expanded_volume, relative_expansion
from calc.fluids import Fluid, density, freezing_temperature, vapour_pressure
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
    ASME_BPVC_IV,
    COMMON_PRACTICE,
    COOLPROP,
    EN_12828,
    IAPWS_IF97,
    ICAO_ATMOSPHERE,
    OWN_RULE,
    PHYSICS,
    TRADE_SUPPLEMENT_2021,
    WTCB_VESSELS,
)

PSI = u.PRESSURE_DIFFERENCE.unit("psi").scale
BAR = u.PRESSURE_DIFFERENCE.unit("bar").scale

MARGINS = {"0.2 bar": 0.2 * BAR, "0.3 bar": 0.3 * BAR, "4 psi": 4 * PSI, "5 psi": 5 * PSI}
"""Pressure kept at the highest point. [Pa]"""

STEPS = {
    "none": 0.0,
    "0.05 bar": 0.05 * BAR,
    "0.1 bar": 0.1 * BAR,
    "0.5 bar": 0.5 * BAR,
    "1 psi": PSI,
}
"""Steps to which a charge may be rounded up. [Pa]"""

FIXED_LIFT = 0.3 * BAR
"""Step from charge to fill where no reserve is worked out. [Pa]"""

USUAL_MARGIN = 0.2 * BAR
"""Least margin at the highest point in common use. [Pa]"""

USUAL_LEAST_CHARGE = 0.7 * BAR
"""Charge below which few vessels are run, whatever the height. [Pa gauge]"""

READING_BAND = 0.1 * BAR
"""Difference between a charge read and a charge wanted that a hand gauge cannot tell. [Pa]"""

GAUGE_BAND = 0.03 * BAR
"""Difference of a dial's height that cannot be seen on it. [Pa]"""

FACTORY_TEMPERATURE = 293.15
"""Temperature at which a maker's charge is taken to have been set. [K]"""

CHART_STEPS = 20

POINT_OF_USE = COMMON_PRACTICE.at("charging a vessel")
BOYLE = PHYSICS.at("Boyle's law, gas at one temperature")
GAS_LAW = PHYSICS.at("ideal gas law")
COLUMN = PHYSICS.at("still column")
ANNEX_D = EN_12828.at("annex D")

_ABS = u.ABSOLUTE_PRESSURE
_GAUGE = u.GAUGE_PRESSURE
_DIFFERENCE = u.PRESSURE_DIFFERENCE


def _sum(gauge: float, ambient: float) -> float:
    return gauge + ambient


def _difference(absolute: float, ambient: float) -> float:
    return absolute - ambient


def _charge_for_column(static: float, margin: float) -> float:
    return charge.charge_for_height(static, 0.0, margin)


def _final_at_vessel(opens: float, closing: float, density: float, height: float) -> float:
    column = hydrostatics.static_pressure(density, height)
    return charge.pressure_below(vessel.final_pressure(opens, closing), column)


def _reading_at_height(pressure: float, density: float, height: float) -> float:
    return charge.pressure_above(pressure, hydrostatics.static_pressure(density, height))


def _relative(cold: float, hot: float) -> float:
    return cold / hot - 1.0


def _sealed_reading(reading: float, then: float, now: float, set_at: float, vessel: float) -> float:
    return charge.charge_at_temperature(reading + then, set_at, vessel) - now


def _boiling_margin(hot: float, static: float, vapour: float) -> float:
    return hot - static - vapour


def _height_served(gauge: float, vapour: float, margin: float, density: float) -> float:
    return hydrostatics.height_of_pressure(charge.static_reached(gauge, vapour, margin), density)


_RHO = Symbol("density of the cold fluid", u.DENSITY)
_G = Symbol("standard gravity", u.ACCELERATION)
_P_A = Symbol("pressure of the air here", _ABS)
_V_N = Symbol("nominal volume of the vessel", u.VOLUME)
_P_0 = Symbol("charge", _ABS)

AMBIENT = Equation(
    symbol="P_a",
    label="pressure of the air here",
    kind=_ABS,
    unit="kPa",
    formula="101.325*(1 - 2.25577e-5*z)**5.25588",
    where={"z": Symbol("altitude", u.ALTITUDE, unit="m")},
    function=atmosphere.standard_pressure,
    cite=ICAO_ATMOSPHERE.at("lowest layer"),
)
COLD_DENSITY = Equation(
    symbol="rho",
    label="density of the cold fluid",
    kind=u.DENSITY,
    words="read from the table of the fluid at the coldest temperature",
    where={"t_c": Symbol("coldest temperature", u.TEMPERATURE)},
    function=lambda t: density(Fluid(), t),
    cite=IAPWS_IF97.at("liquid water"),
)
STATIC = Equation(
    symbol="p_st",
    label="static pressure from vessel to highest point",
    kind=_DIFFERENCE,
    formula="rho*g*h",
    where={"rho": _RHO, "g": _G, "h": Symbol("height", u.LENGTH)},
    function=lambda rho, g, h: hydrostatics.static_pressure(rho, h),
    cite=COLUMN,
)
VAPOUR = Equation(
    symbol="P_v",
    label="vapour pressure of the hottest water",
    kind=_ABS,
    words="read from the saturation curve of water; glycol would lower it, which is not counted",
    where={"t_h": Symbol("hottest water", u.TEMPERATURE)},
    function=vapour_pressure,
    cite=IAPWS_IF97.at("saturation"),
)
VAPOUR_EXCESS = Equation(
    symbol="p_D",
    label="vapour pressure above the air",
    kind=_DIFFERENCE,
    formula="max(0, P_v - P_a)",
    where={"P_v": Symbol("vapour pressure of the hottest water", _ABS), "P_a": _P_A},
    function=charge.vapour_excess,
    cite=ANNEX_D,
)
LEAST_CHARGE_EN = Equation(
    symbol="p_0min",
    label="least charge",
    kind=_GAUGE,
    formula="p_st + p_D + p_m",
    where={
        "p_st": Symbol("static pressure", _DIFFERENCE),
        "p_D": Symbol("vapour pressure above the air", _DIFFERENCE),
        "p_m": Symbol("margin at the highest point", _DIFFERENCE),
    },
    function=charge.charge_for_height,
    cite=ANNEX_D,
)
LEAST_CHARGE_US = Equation(
    symbol="p_0min",
    label="least charge",
    kind=_GAUGE,
    formula="p_st + p_m",
    where={
        "p_st": Symbol("static pressure", _DIFFERENCE),
        "p_m": Symbol("margin at the highest point", _DIFFERENCE),
    },
    function=_charge_for_column,
    cite=TRADE_SUPPLEMENT_2021.at("static pressure and 5 psi; 4 psi is common practice"),
)
ROUNDED = Equation(
    symbol="p_0",
    label="charge at the temperature where the vessel lives",
    kind=_GAUGE,
    words="the least charge, raised to the next whole step",
    where={
        "p_0min": Symbol("least charge", _GAUGE),
        "s": Symbol("step", _DIFFERENCE),
    },
    function=charge.rounded_up,
    cite=COMMON_PRACTICE.at("rounding up"),
)
CHARGE_ABS = Equation(
    symbol="P_0",
    label="charge, absolute",
    kind=_ABS,
    formula="p_0 + P_a",
    where={"p_0": Symbol("charge", _GAUGE), "P_a": _P_A},
    function=_sum,
    cite=PHYSICS.at("gauge and absolute pressure"),
)
CHARGE_NOW_ABS = Equation(
    symbol="P_now",
    label="charge to set now, absolute",
    kind=_ABS,
    formula="P_0*T_now/T_0",
    where={
        "P_0": _P_0,
        "T_0": Symbol("temperature where the vessel lives", u.TEMPERATURE, unit="K"),
        "T_now": Symbol("temperature of the vessel now", u.TEMPERATURE, unit="K"),
    },
    function=charge.charge_at_temperature,
    cite=GAS_LAW,
)
CHARGE_NOW = Equation(
    symbol="p_now",
    label="charge to set now",
    kind=_GAUGE,
    formula="P_now - P_a",
    where={"P_now": Symbol("charge to set now", _ABS), "P_a": _P_A},
    function=_difference,
    cite=PHYSICS.at("gauge and absolute pressure"),
)
_SETTING = Symbol("setting of the relief valve", _GAUGE)
CLOSINGS = {
    "en": Equation(
        symbol="d",
        label="pressure kept clear below the relief valve",
        kind=_DIFFERENCE,
        words="0.5 bar for a setting up to 5 bar, a tenth of the setting above",
        where={"p_sv": _SETTING},
        function=vessel.closing_difference,
        cite=ANNEX_D,
    ),
    "ten-or-five": Equation(
        symbol="d",
        label="pressure kept clear below the relief valve",
        kind=_DIFFERENCE,
        unit="psi",
        formula="max(0.1*p_sv, 5)",
        where={"p_sv": Symbol("setting of the relief valve", _GAUGE, unit="psi")},
        function=lambda opens: max(0.1 * opens, 5.0 * PSI),
        cite=COMMON_PRACTICE.at("a tenth or 5 psi, whichever is more"),
    ),
    "tenth": Equation(
        symbol="d",
        label="pressure kept clear below the relief valve",
        kind=_DIFFERENCE,
        formula="0.1*p_sv",
        where={"p_sv": _SETTING},
        function=lambda opens: 0.1 * opens,
        cite=COMMON_PRACTICE.at("a tenth of the setting"),
    ),
}
FINAL = Equation(
    symbol="p_e",
    label="highest pressure allowed at the vessel",
    kind=_GAUGE,
    formula="p_sv - d + rho*g*z_sv",
    where={
        "p_sv": Symbol("setting of the relief valve", _GAUGE),
        "d": Symbol("pressure kept clear below it", _DIFFERENCE),
        "rho": _RHO,
        "g": _G,
        "z_sv": Symbol("height of the relief valve above the vessel", u.LENGTH),
    },
    function=lambda opens, d, rho, g, z: _final_at_vessel(opens, d, rho, z),
    cite=ANNEX_D,
)
HOT_DENSITY = Equation(
    symbol="rho_h",
    label="density of the hottest fluid",
    kind=u.DENSITY,
    words="read from the table of the fluid at the hottest temperature",
    where={"t_h": Symbol("hottest water", u.TEMPERATURE)},
    function=lambda t: density(Fluid(), t),
    cite=IAPWS_IF97.at("liquid water"),
)
EXPANSION = Equation(
    symbol="V_ex",
    label="water pushed into the vessel by heating",
    kind=u.VOLUME,
    formula="V_s*(rho/rho_h - 1)",
    where={
        "V_s": Symbol("system volume", u.VOLUME),
        "rho": _RHO,
        "rho_h": Symbol("density of the hottest fluid", u.DENSITY),
    },
    function=lambda volume, cold, hot: expanded_volume(volume, _relative(cold, hot)),
    cite=ANNEX_D,
)
RESERVE_SYSTEM = Equation(
    symbol="V_WR",
    label="water reserve wanted",
    kind=u.VOLUME,
    formula="max(0.005*V_s, 3)",
    unit="L",
    where={"V_s": Symbol("system volume", u.VOLUME, unit="L")},
    function=vessel.water_reserve,
    cite=ANNEX_D,
)
RESERVE_SMALL = Equation(
    symbol="V_WR",
    label="water reserve wanted",
    kind=u.VOLUME,
    formula="0.2*V_N",
    where={"V_N": _V_N},
    function=vessel.small_vessel_reserve,
    cite=ANNEX_D,
)
LOWEST_FILL = Equation(
    symbol="P_low",
    label="lower edge of the fill window, absolute",
    kind=_ABS,
    formula="P_0*V_N/(V_N - V_WR)",
    where={"V_N": _V_N, "V_WR": Symbol("water reserve wanted", u.VOLUME), "P_0": _P_0},
    function=vessel.lowest_fill,
    cite=ANNEX_D,
)
HIGHEST_FILL = Equation(
    symbol="P_high",
    label="upper edge of the fill window, absolute",
    kind=_ABS,
    formula="P_e/(1 + V_ex*P_e/(V_N*P_0))",
    where={
        "V_N": _V_N,
        "V_ex": Symbol("water pushed into the vessel", u.VOLUME),
        "P_0": _P_0,
        "P_e": Symbol("highest pressure allowed at the vessel", _ABS),
    },
    function=vessel.highest_fill,
    cite=ANNEX_D,
)
FILL_FIXED = Equation(
    symbol="p_f",
    label="cold fill at the vessel",
    kind=_GAUGE,
    formula="p_0 + s",
    where={"p_0": Symbol("charge", _GAUGE), "s": Symbol("step above the charge", _DIFFERENCE)},
    function=charge.fill_above_charge,
    cite=COMMON_PRACTICE.at("fill 0.3 bar above the charge"),
)
STORED = Equation(
    symbol="V_c",
    label="water stored in the vessel when cold",
    kind=u.VOLUME,
    formula="max(0, V_N*(1 - P_0/P_f))",
    where={"V_N": _V_N, "P_0": _P_0, "P_f": Symbol("cold fill", _ABS)},
    function=vessel.water_in_vessel,
    cite=BOYLE,
)
HOT = Equation(
    symbol="P_h",
    label="pressure at the vessel when hot, absolute",
    kind=_ABS,
    formula="P_0*V_N/(V_N*min(P_0/P_f, 1) - V_ex)",
    where={
        "V_N": _V_N,
        "P_0": _P_0,
        "P_f": Symbol("cold fill", _ABS),
        "V_ex": Symbol("water pushed into the vessel", u.VOLUME),
    },
    function=vessel.hot_pressure,
    cite=BOYLE,
)
ON_GAUGE = Equation(
    symbol="p_G",
    label="cold fill as the gauge shows it",
    kind=_GAUGE,
    formula="p_f - rho*g*z_G",
    where={
        "p_f": Symbol("cold fill at the vessel", _GAUGE),
        "rho": _RHO,
        "g": _G,
        "z_G": Symbol("height of the gauge above the vessel", u.LENGTH),
    },
    function=lambda p, rho, g, z: _reading_at_height(p, rho, z),
    cite=COLUMN,
)
WARM_FILL = Equation(
    symbol="P_w",
    label="fill with the water as warm as it is now, absolute",
    kind=_ABS,
    formula="P_0*V_N/(V_N*min(P_0/P_f, 1) - V_w)",
    where={
        "V_N": _V_N,
        "P_0": _P_0,
        "P_f": Symbol("cold fill", _ABS),
        "V_w": Symbol("growth from coldest to now", u.VOLUME),
    },
    function=vessel.hot_pressure,
    cite=BOYLE,
)
BOILING = Equation(
    symbol="dp_b",
    label="pressure above boiling at the highest point",
    kind=_DIFFERENCE,
    formula="P_h - p_st - P_v",
    where={
        "P_h": Symbol("pressure at the vessel", _ABS),
        "p_st": Symbol("static pressure, counted cold to be safe", _DIFFERENCE),
        "P_v": Symbol("vapour pressure of the hottest water", _ABS),
    },
    function=_boiling_margin,
    cite=PHYSICS.at("boiling point"),
)
FREE_AIR = Equation(
    symbol="V_air",
    label="free air to pump in",
    kind=u.AIR_VOLUME,
    formula="V_N*(P_now/T_now - P_s/T_s)*T_air/P_a",
    where={
        "V_N": _V_N,
        "P_s": Symbol("gas pressure at the start", _ABS),
        "T_s": Symbol("temperature of the gas at the start", u.TEMPERATURE, unit="K"),
        "P_now": Symbol("charge to set now", _ABS),
        "T_now": Symbol("temperature of the vessel now", u.TEMPERATURE, unit="K"),
        "T_air": Symbol("temperature of the air drawn in", u.TEMPERATURE, unit="K"),
        "P_a": _P_A,
    },
    function=charge.free_air,
    cite=GAS_LAW,
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
    kind=_GAUGE,
    formula="(p_label + P_sea)*T_now/T_F - P_a",
    where={
        "p_label": Symbol("factory charge on the label", _GAUGE),
        "P_sea": Symbol("air at sea level", _ABS),
        "P_a": _P_A,
        "T_F": Symbol("temperature taken for the factory", u.TEMPERATURE, unit="K"),
        "T_now": Symbol("temperature of the vessel now", u.TEMPERATURE, unit="K"),
    },
    function=_sealed_reading,
    cite=GAS_LAW,
)
HEIGHT_SERVED = Equation(
    symbol="h_max",
    label="height the present charge serves",
    kind=u.LENGTH,
    formula="(p - p_D - p_m)/(rho*g)",
    where={
        "p": Symbol("present charge, where the vessel lives", _GAUGE),
        "p_D": Symbol("vapour pressure above the air", _DIFFERENCE),
        "p_m": Symbol("margin at the highest point", _DIFFERENCE),
        "rho": _RHO,
        "g": _G,
    },
    function=lambda p, vapour, margin, rho, g: _height_served(p, vapour, margin, rho),
    cite=COLUMN,
)

_GLYCOL = ("propylene glycol", "ethylene glycol")
_OPEN_READING = COMMON_PRACTICE.at("read the charge with the water side open and at zero")

INPUTS = (
    Quantity(
        name="height",
        label="Height from vessel to highest point",
        kind=u.LENGTH,
        default="11.4 ± 0.1 m",
        reading=True,
        help="From the vessel's connection up to the highest pipe, coil or radiator that holds "
        "water. Do not start from the floor, the boiler or the gauge. With the vessel at the top "
        "it is 0.",
        low=Limit(
            "0 m",
            "height counts upward from the vessel, and a vessel that is itself the "
            "highest point has 0",
            COLUMN,
        ),
        high=Limit(
            "112 m",
            "a column that tall alone presses with 160 psi, the most that a "
            "low-pressure hot-water boiler may carry",
            ASME_BPVC_IV.at("HG-101"),
        ),
    ),
    Choice(
        name="fluid",
        label="Fluid",
        default="water",
        options=(
            Option("water", "Water"),
            Option("propylene glycol", "Propylene glycol in water"),
            Option("ethylene glycol", "Ethylene glycol in water"),
        ),
        help="Glycol weighs more than water and expands more.",
    ),
    Quantity(
        name="glycol",
        label="Glycol by volume",
        kind=u.FRACTION,
        default="30 %",
        reading=True,
        when={"fluid": _GLYCOL},
        help="Share by volume as a refractometer for this glycol shows it, not by mass.",
        low=Limit("10 %", "the property table starts there", COOLPROP.at("ASHRAE glycol sets")),
        high=Limit("60 %", "the property table ends there", COOLPROP.at("ASHRAE glycol sets")),
    ),
    Quantity(
        name="cold",
        label="Coldest water",
        kind=u.TEMPERATURE,
        default="10 degC",
        reading=True,
        help="Temperature of the water when the system is filled and cold, or the coldest it will "
        "rest at.",
        low=Limit(
            "-40 degC",
            "no usual mixture stays liquid below that",
            COOLPROP.at("ASHRAE glycol sets"),
        ),
        high=Limit(
            "60 degC",
            "water that warm is no longer a cold fill",
            OWN_RULE.at("cold means ready to be filled"),
        ),
    ),
    Quantity(
        name="hot",
        label="Hottest water",
        kind=u.TEMPERATURE,
        default="80 degC",
        reading=True,
        help="The highest temperature the control can be set to.",
        low=Limit(
            "0 degC",
            "heating water colder than that is not heated",
            OWN_RULE.at("hot means heated"),
        ),
        high=Limit(
            "250 degF", "low-pressure hot-water boilers end there", ASME_BPVC_IV.at("HG-101")
        ),
    ),
    Quantity(
        name="altitude",
        label="Altitude of the site",
        kind=u.ALTITUDE,
        default="640 m",
        help="From a map, to the nearest 50 m or 150 ft. Thinner air lowers the boiling point and "
        "changes what a sealed charge reads.",
        low=Limit("-500 m", "no town lies lower", OWN_RULE.at("lowest and highest towns")),
        high=Limit("5500 m", "no town lies higher", OWN_RULE.at("lowest and highest towns")),
    ),
    Choice(
        name="practice",
        label="How the cold fill follows from the charge",
        default="reserve",
        options=(
            Option("reserve", "Fill above the charge, so that a water reserve is stored"),
            Option("fixed", "Fill 0.3 bar (4.4 psi) above the charge"),
            Option("equal", "Fill equals the charge"),
        ),
        help="The first is the way of EN 12828, the second its short cut, the third the usual way "
        "in the United States. The third adds nothing for water above boiling.",
    ),
    Choice(
        name="margin",
        label="Pressure wanted at the highest point",
        default="0.3 bar",
        options=(
            Option("0.2 bar", "0.2 bar"),
            Option("0.3 bar", "0.3 bar"),
            Option("4 psi", "4 psi"),
            Option("5 psi", "5 psi"),
            Option("own", "Another value"),
        ),
        help="Pressure above the air at the top, with the system cold and the pumps off.",
    ),
    Quantity(
        name="margin_own",
        label="Other pressure at the highest point",
        kind=_DIFFERENCE,
        default="0.5 bar",
        when={"margin": ("own",)},
        help="Some pumps and heat generators ask for more; take it from their instructions.",
        low=Limit("0 bar", "below the air outside, the top draws air in", COLUMN),
        high=Limit(
            "3 bar", "more than that is a slip of the pen", OWN_RULE.at("margin at the top")
        ),
    ),
    Choice(
        name="rounding",
        label="Round the charge up to",
        default="0.1 bar",
        options=(
            Option("none", "Do not round"),
            Option("0.05 bar", "Whole 0.05 bar"),
            Option("0.1 bar", "Whole 0.1 bar"),
            Option("0.5 bar", "Whole 0.5 bar"),
            Option("1 psi", "Whole psi"),
        ),
        help="To a mark that your charge gauge has.",
    ),
    Quantity(
        name="vessel_volume",
        label="Nominal volume of the vessel",
        kind=u.VOLUME,
        default="300 L",
        optional=True,
        reading=True,
        help="From its plate. For equal vessels side by side, their sum. Leave blank if unknown: "
        "the charge is found all the same.",
        low=Limit("0.5 L", "no vessel for heating is smaller", OWN_RULE.at("smallest vessel")),
        high=Limit(
            "50000 L", "no single vessel for heating is larger", OWN_RULE.at("largest vessel")
        ),
    ),
    Quantity(
        name="system_volume",
        label="Water in the system",
        kind=u.VOLUME,
        default="1750 ± 100 L",
        optional=True,
        reading=True,
        help="All the water that is heated, from the page on system volume. Leave blank if "
        "unknown: the charge is found all the same.",
        low=Limit("1 L", "no heating system holds less", OWN_RULE.at("smallest system")),
        high=Limit("1000000 L", "no building's system holds more", OWN_RULE.at("largest system")),
    ),
    Choice(
        name="reserve",
        label="Water reserve",
        default="en",
        options=(
            Option("en", "EN 12828: 0.5 %, at least 3 L; a fifth of a vessel up to 15 L"),
            Option("own", "My own value"),
            Option("none", "None"),
        ),
        help="Water kept in the cold vessel to make up for small losses.",
    ),
    Quantity(
        name="reserve_own",
        label="Other water reserve",
        kind=u.VOLUME,
        default="6 L",
        when={"reserve": ("own",)},
        help="Water to be in the vessel when the system is cold.",
        low=Limit("0 L", "a vessel cannot hold less than nothing", BOYLE),
        high=Limit("10000 L", "no reserve is that large", OWN_RULE.at("largest reserve")),
    ),
    Quantity(
        name="filling",
        label="Water temperature while filling",
        kind=u.TEMPERATURE,
        default="",
        optional=True,
        help="Only if the system is not at its coldest while you fill it. The gauge must then show "
        "more.",
        low=Limit(
            "-40 degC",
            "no usual mixture stays liquid below that",
            COOLPROP.at("ASHRAE glycol sets"),
        ),
        high=Limit(
            "95 degC",
            "topping up a system near boiling is not safe",
            OWN_RULE.at("filling a hot system"),
        ),
    ),
    Quantity(
        name="gauge_height",
        label="Gauge above the vessel",
        kind=u.LENGTH,
        default="1.2 m",
        help="Height of the pressure gauge above the vessel's connection, negative if it hangs "
        "lower.",
        low=Limit("-112 m", "no heating system is taller", ASME_BPVC_IV.at("HG-101")),
        high=Limit("112 m", "no heating system is taller", ASME_BPVC_IV.at("HG-101")),
    ),
    Quantity(
        name="relief",
        label="Relief valve setting",
        kind=_GAUGE,
        default="3 bar",
        help="Set pressure on the valve's plate.",
        low=Limit("0.5 bar", "no boiler valve is set lower", OWN_RULE.at("lowest setting")),
        high=Limit(
            "160 psi", "low-pressure hot-water boilers end there", ASME_BPVC_IV.at("HG-101")
        ),
    ),
    Quantity(
        name="valve_height",
        label="Relief valve above the vessel",
        kind=u.LENGTH,
        default="0 m",
        reading=True,
        help="Height of the relief valve above the vessel's connection, negative if it sits lower.",
        low=Limit("-112 m", "no heating system is taller", ASME_BPVC_IV.at("HG-101")),
        high=Limit("112 m", "no heating system is taller", ASME_BPVC_IV.at("HG-101")),
    ),
    Choice(
        name="closing",
        label="Pressure kept clear below the relief valve",
        default="en",
        options=(
            Option("en", "0.5 bar up to a 5 bar valve, one tenth above it"),
            Option("ten-or-five", "One tenth or 5 psi, whichever is more"),
            Option("tenth", "One tenth of the set pressure"),
            Option("own", "My own value"),
        ),
        help="A valve shuts only some way below its setting.",
    ),
    Quantity(
        name="closing_own",
        label="Other pressure kept clear",
        kind=_DIFFERENCE,
        default="5 psi",
        when={"closing": ("own",)},
        help="Gap between the hot pressure and the setting.",
        low=Limit("0 bar", "the hot pressure may not pass the setting", ANNEX_D),
        high=Limit(
            "5 bar", "more than that is a slip of the pen", OWN_RULE.at("gap below the valve")
        ),
    ),
    Quantity(
        name="living_temperature",
        label="Vessel temperature in service",
        kind=u.TEMPERATURE,
        default="18 degC",
        help="Temperature of the shell where it lives, through most of the season.",
        low=Limit(
            "-20 degC",
            "water in the vessel would freeze long before",
            OWN_RULE.at("coldest plant room"),
        ),
        high=Limit(
            "70 degC",
            "diaphragms are not made for more",
            COMMON_PRACTICE.at("highest temperature at a diaphragm"),
        ),
    ),
    Quantity(
        name="vessel_now",
        label="Vessel temperature now",
        kind=u.TEMPERATURE,
        default="12 degC",
        help="Temperature of the shell at the moment you set or read the charge.",
        low=Limit(
            "-40 degC", "no one charges a vessel in such cold", OWN_RULE.at("coldest day of work")
        ),
        high=Limit(
            "70 degC",
            "diaphragms are not made for more",
            COMMON_PRACTICE.at("highest temperature at a diaphragm"),
        ),
    ),
    Quantity(
        name="factory_charge",
        label="Factory charge on the label",
        kind=_GAUGE,
        default="0.83 bar",
        us_default="12 psi",
        optional=True,
        help="Of a new vessel. It is taken as set at sea level and 20 °C (68 °F). Leave blank for "
        "a vessel that has been in service.",
        low=Limit("0 bar", "a vessel is not delivered under vacuum", OWN_RULE.at("new vessels")),
        high=Limit(
            "16 bar", "no vessel for heating is delivered with more", OWN_RULE.at("new vessels")
        ),
    ),
    Quantity(
        name="found_charge",
        label="Charge found",
        kind=_GAUGE,
        default="",
        optional=True,
        reading=True,
        help="What your gauge shows at the gas valve, at the temperature the vessel has now.",
        low=Limit(
            "-1.01325 bar",
            "a perfect vacuum at sea level reads that",
            PHYSICS.at("gauge and absolute pressure"),
        ),
        high=Limit(
            "40 bar", "no charge gauge for vessels goes that far", OWN_RULE.at("charge gauges")
        ),
    ),
    Choice(
        name="found_state",
        label="Water side while the charge was read",
        default="open",
        options=(
            Option("open", "Drained, at zero and open"),
            Option("pressure", "Under pressure"),
            Option("unsure", "Not sure"),
        ),
        help="With water pressing on the diaphragm the gas valve shows the system's pressure.",
    ),
    Quantity(
        name="delivery",
        label="Free-air delivery of the compressor",
        kind=u.AIR_FLOW,
        default="40 L/min",
        optional=True,
        help="Air it really delivers at the charge pressure, not the swept volume. Leave blank if "
        "you use a hand pump or nitrogen.",
        low=Limit(
            "0.1 L/min", "less than that never fills a vessel", OWN_RULE.at("smallest compressor")
        ),
        high=Limit(
            "100000 L/min", "no site compressor gives more", OWN_RULE.at("largest compressor")
        ),
    ),
    Quantity(
        name="air_temperature",
        label="Temperature of the air drawn in",
        kind=u.TEMPERATURE,
        default="15 degC",
        help="The room the compressor stands in.",
        low=Limit("-40 degC", "no compressor starts in such cold", OWN_RULE.at("compressor rooms")),
        high=Limit("60 degC", "no one works in such heat", OWN_RULE.at("compressor rooms")),
    ),
)

OUTPUTS = (
    Output(
        "charge",
        "Charge where the vessel lives",
        _GAUGE,
        "Gas pressure with the water side open, at the temperature in service.",
        True,
    ),
    Output(
        "charge_now",
        "Charge to set now",
        _GAUGE,
        "The same charge at the temperature the vessel has now.",
        True,
    ),
    Output(
        "fill_gauge",
        "Cold fill on the gauge",
        _GAUGE,
        "What the gauge shows when the fill at the vessel is right.",
        True,
    ),
    Output("fill", "Cold fill at the vessel", _GAUGE, "At the coldest water."),
    Output(
        "fill_now_gauge",
        "Fill on the gauge, water as warm as now",
        _GAUGE,
        "Only if a temperature while filling is given.",
    ),
    Output("least_charge", "Least charge, before rounding", _GAUGE, ""),
    Output("static", "Static pressure", _DIFFERENCE, "From vessel to highest point, cold."),
    Output("top_pressure", "Pressure at the highest point, cold", _GAUGE, "With the pumps off."),
    Output(
        "fill_low",
        "Fill window at the vessel, lower edge",
        _GAUGE,
        "Below it the reserve is not stored.",
    ),
    Output(
        "fill_high",
        "Fill window at the vessel, upper edge",
        _GAUGE,
        "Above it the hot pressure passes the highest allowed.",
    ),
    Output("fill_low_gauge", "Fill window on the gauge, lower edge", _GAUGE, ""),
    Output("fill_high_gauge", "Fill window on the gauge, upper edge", _GAUGE, ""),
    Output("reserve_wanted", "Water reserve wanted", u.VOLUME, ""),
    Output("stored", "Water in the cold vessel", u.VOLUME, "At the cold fill."),
    Output(
        "final",
        "Highest pressure allowed at the vessel",
        _GAUGE,
        "Relief setting less the gap, corrected for height.",
    ),
    Output("hot_pressure", "Hot pressure at the vessel", _GAUGE, ""),
    Output("hot_gauge", "Hot pressure on the gauge", _GAUGE, ""),
    Output(
        "boiling_margin",
        "Pressure above boiling at the highest point",
        _DIFFERENCE,
        "Hottest water at the top.",
    ),
    Output("factory_here", "Factory charge as it reads here and now", _GAUGE, ""),
    Output(
        "height_served",
        "Height that the present charge serves",
        u.LENGTH,
        "With the charge found, or else the factory charge.",
    ),
    Output(
        "air_needed",
        "Free air to pump in",
        u.AIR_VOLUME,
        "From the charge found; else from the factory charge; else from an empty vessel.",
    ),
    Output("run_time", "Compressor running time", u.TIME, "Without pauses."),
)


def _table(words: Equation, fluid: Fluid) -> Equation:
    """Return a look-up equation for this fluid, so that the step names what was read."""
    if fluid.volume_fraction == 0.0:
        return words
    share = f"{100 * fluid.volume_fraction:.3g} % {fluid.substance}"
    return Equation(
        symbol=words.symbol,
        label=words.label,
        kind=words.kind,
        where=words.where,
        words=f"{words.words} ({share} by volume)",
        function=lambda t: density(fluid, t),
        cite=COOLPROP.at("ASHRAE glycol sets"),
    )


def _read(w: Work, equation: Equation, field: str, **values: float) -> float:
    """Return a look-up; outside the table, name the field that led there."""
    try:
        return w.step(equation, **values)
    except Refusal as refused:
        raise Refusal(refused.message, field=field, cite=refused.cite) from None


def solve(v: Values) -> Solution:
    """Return charge, fill and checks for one vessel."""
    w = Work()
    fluid = Fluid() if v.fluid == "water" else Fluid(v.fluid, v.glycol)
    if v.cold >= v.hot:
        raise Refusal(
            say(
                "The coldest water, {cold}, is not below the hottest, {hot}. "
                "Enter the temperature at filling as coldest and the control's highest as hottest.",
                cold=(v.cold, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field="cold",
            cite=ANNEX_D,
        )
    margin = v.margin_own if v.margin == "own" else MARGINS[v.margin]
    ambient = w.step(AMBIENT, z=v.altitude)
    g = hydrostatics.STANDARD_GRAVITY
    rho = _read(w, _table(COLD_DENSITY, fluid), "cold", t_c=v.cold)
    static = w.step(STATIC, rho=rho, g=g, h=v.height)
    vapour_abs = w.step(VAPOUR, t_h=v.hot)
    if v.practice == "equal":
        vapour = 0.0
        least = w.step(LEAST_CHARGE_US, p_st=static, p_m=margin)
    else:
        vapour = w.step(VAPOUR_EXCESS, P_v=vapour_abs, P_a=ambient)
        least = w.step(LEAST_CHARGE_EN, p_st=static, p_D=vapour, p_m=margin)
    step = STEPS[v.rounding]
    set_gauge = w.step(ROUNDED, p_0min=least, s=step) if step else least
    set_abs = w.step(CHARGE_ABS, p_0=set_gauge, P_a=ambient)
    now_abs = w.step(CHARGE_NOW_ABS, P_0=set_abs, T_0=v.living_temperature, T_now=v.vessel_now)
    now_gauge = w.step(CHARGE_NOW, P_now=now_abs, P_a=ambient)

    closing = v.closing_own if v.closing == "own" else w.step(CLOSINGS[v.closing], p_sv=v.relief)
    final = w.step(FINAL, p_sv=v.relief, d=closing, rho=rho, g=g, z_sv=v.valve_height)
    if final <= set_gauge:
        raise Refusal(
            say(
                "The column of {static} and the margin ask for a charge of {charge}, but with this "
                "relief valve the vessel may reach only {final} hot, so no room is left for "
                "expansion. Move the vessel higher, or have the relief setting checked against the "
                "boiler's and the parts' ratings.",
                static=(static, _DIFFERENCE),
                charge=(set_gauge, _GAUGE),
                final=(final, _GAUGE),
            ),
            field="relief",
            cite=ANNEX_D,
        )

    cushion = _cushion(w, v, fluid, rho, set_gauge, set_abs, final, ambient)
    fill, fill_abs = cushion.fill, cushion.fill + ambient
    hot_abs = fill_abs if cushion.hot is None else cushion.hot + ambient
    top = charge.pressure_above(fill, static)
    boiling = w.step(BOILING, P_h=hot_abs, p_st=static, P_v=vapour_abs)
    if boiling <= 0.0:
        raise Refusal(
            say(
                "Water at {hot} boils at the highest point: it needs {vapour} there, and it has "
                "{top}. Enter a larger margin, choose a practice that adds the vapour pressure, or "
                "lower the hottest temperature.",
                hot=(v.hot, u.TEMPERATURE),
                vapour=(vapour_abs, _ABS),
                top=(hot_abs - static, _ABS),
            ),
            field="hot",
            cite=PHYSICS.at("boiling point"),
        )
    fill_gauge = w.step(ON_GAUGE, p_f=fill, rho=rho, g=g, z_G=v.gauge_height)
    if fill_gauge <= -ambient:
        raise Refusal(
            say(
                "A gauge {height} above the vessel would stand above the top of the water: the "
                "fill of {fill} does not carry a column that tall. Enter how much higher the gauge "
                "is than the vessel, negative if it is lower.",
                height=(v.gauge_height, u.LENGTH),
                fill=(fill, _GAUGE),
            ),
            field="gauge_height",
            cite=COLUMN,
        )
    to_gauge = hydrostatics.static_pressure(rho, v.gauge_height)

    w.result("static", static)
    w.result("least_charge", least)
    w.result("charge", set_gauge)
    w.result("charge_now", now_gauge)
    w.result("final", final)
    w.result("fill", fill)
    w.result("fill_gauge", fill_gauge)
    w.result("top_pressure", top)
    w.result("boiling_margin", boiling)
    w.result("hot_pressure", cushion.hot)
    w.result("hot_gauge", None if cushion.hot is None else cushion.hot - to_gauge)
    w.result("fill_now_gauge", _warm_fill(w, v, fluid, rho, cushion, fill_abs, to_gauge))
    w.result("fill_low_gauge", None if cushion.low is None else cushion.low - to_gauge)
    w.result("fill_high_gauge", None if cushion.high is None else cushion.high - to_gauge)

    _top_checks(w, v, top, boiling, cushion.hot is not None)
    _window_checks(w, v, cushion, final)
    _small_checks(w, v, fluid, set_gauge, now_gauge, fill, fill_gauge, to_gauge)
    start = _present_charge(w, v, now_gauge, set_gauge, vapour, margin, rho, ambient, cushion)
    _air(w, v, now_abs, now_gauge, start, ambient)
    _charts(w, v, fluid, rho, cushion, ambient)
    return w.solution()


class _Cushion:
    """What the gas cushion does, as far as the volumes are known. Gauge pressures at the vessel."""

    __slots__ = (
        "charge_abs",
        "expansion",
        "fill",
        "high",
        "hot",
        "low",
        "needed",
        "reserve",
        "set_gauge",
        "stored",
        "volume",
    )

    def __init__(self, set_gauge: float, charge_abs: float, volume: float | None) -> None:
        self.set_gauge, self.charge_abs, self.volume = set_gauge, charge_abs, volume
        self.fill = set_gauge
        self.expansion = self.high = self.hot = self.low = None
        self.needed = self.reserve = self.stored = None


def _cushion(
    w: Work,
    v: Values,
    fluid: Fluid,
    rho: float,
    set_gauge: float,
    set_abs: float,
    final: float,
    ambient: float,
) -> _Cushion:
    c = _Cushion(set_gauge, set_abs, v.vessel_volume)
    reserve_known = v.reserve != "en" or v.system_volume is not None
    if v.practice == "reserve" and (v.vessel_volume is None or not reserve_known):
        raise Refusal(
            "A fill by the water reserve needs the volume of the vessel and the water in the "
            "system. Enter both, or choose the fill 0.3 bar (4.4 psi) above the charge.",
            field="vessel_volume" if v.vessel_volume is None else "system_volume",
            cite=ANNEX_D,
        )
    if v.vessel_volume is not None and reserve_known:
        if v.reserve == "none":
            c.reserve = 0.0
        elif v.reserve == "own":
            c.reserve = v.reserve_own
        elif v.vessel_volume <= vessel.SMALL_VESSEL:
            c.reserve = w.step(RESERVE_SMALL, V_N=v.vessel_volume)
        else:
            c.reserve = w.step(RESERVE_SYSTEM, V_s=v.system_volume)
        if c.reserve >= v.vessel_volume:
            raise Refusal(
                say(
                    "The water reserve of {reserve} does not fit into a vessel of {volume}. "
                    "Enter a larger vessel or a smaller reserve.",
                    reserve=(c.reserve, u.VOLUME),
                    volume=(v.vessel_volume, u.VOLUME),
                ),
                field="vessel_volume",
                cite=ANNEX_D,
            )
        if v.practice == "equal":
            c.low = set_gauge
        else:
            c.low = w.step(LOWEST_FILL, V_N=v.vessel_volume, V_WR=c.reserve, P_0=set_abs) - ambient
    if v.practice == "reserve":
        c.fill = c.low
    elif v.practice == "fixed":
        c.fill = w.step(FILL_FIXED, p_0=set_gauge, s=FIXED_LIFT)
    if v.vessel_volume is not None:
        c.stored = w.step(STORED, V_N=v.vessel_volume, P_0=set_abs, P_f=c.fill + ambient)
    if v.vessel_volume is not None and v.system_volume is not None:
        hot_rho = _read(w, _table(HOT_DENSITY, fluid), "hot", t_h=v.hot)
        c.expansion = w.step(EXPANSION, V_s=v.system_volume, rho=rho, rho_h=hot_rho)
        high_abs = w.step(
            HIGHEST_FILL, V_N=v.vessel_volume, V_ex=c.expansion, P_0=set_abs, P_e=final + ambient
        )
        c.high = high_abs - ambient
        c.needed = vessel.vessel_volume(
            c.expansion, 0.0 if v.practice == "equal" else c.reserve, set_abs, final + ambient
        )
        gas = v.vessel_volume - c.stored
        if c.expansion < gas:
            c.hot = (
                w.step(
                    HOT, V_N=v.vessel_volume, P_0=set_abs, P_f=c.fill + ambient, V_ex=c.expansion
                )
                - ambient
            )
    w.result("reserve_wanted", c.reserve)
    w.result("stored", c.stored)
    w.result("fill_low", c.low)
    w.result("fill_high", c.high)
    return c


def _warm_fill(
    w: Work, v: Values, fluid: Fluid, rho: float, c: _Cushion, fill_abs: float, to_gauge: float
) -> float | None:
    if v.filling is None:
        return None
    if v.filling < v.cold:
        raise Refusal(
            say(
                "The water goes in at {filling}, colder than the coldest of {cold}. "
                "Enter the lower of the two as the coldest water.",
                filling=(v.filling, u.TEMPERATURE),
                cold=(v.cold, u.TEMPERATURE),
            ),
            field="filling",
            cite=BOYLE,
        )
    if v.filling >= v.hot:
        raise Refusal(
            say(
                "The water goes in at {filling}, not below the hottest of {hot}. "
                "Let the system cool before you fill it.",
                filling=(v.filling, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field="filling",
            cite=BOYLE,
        )
    if c.hot is None:
        w.check(
            "warm-fill",
            "Filling a warm system",
            CAUTION,
            "How much more the gauge must show while the water is warm cannot be found without the "
            "volumes, or with a vessel this small. Fill the system cold.",
            BOYLE,
        )
        return None
    growth = expanded_volume(v.system_volume, relative_expansion(fluid, v.cold, v.filling))
    ambient = fill_abs - c.fill
    warm = w.step(WARM_FILL, V_N=v.vessel_volume, P_0=c.charge_abs, P_f=fill_abs, V_w=growth)
    return warm - ambient - to_gauge


def _top_checks(w: Work, v: Values, top: float, boiling: float, heated: bool) -> None:
    if top >= USUAL_MARGIN - 1.0:
        w.check(
            "top-pressure",
            "Pressure at the highest point, cold",
            PASS,
            say(
                "The highest point has {top} above the air when cold, so it draws no air in.",
                top=(top, _DIFFERENCE),
            ),
            COMMON_PRACTICE.at("0.2 to 0.3 bar, or 4 to 5 psi"),
        )
    else:
        w.check(
            "top-pressure",
            "Pressure at the highest point, cold",
            FAIL if top <= 0 else CAUTION,
            say(
                "The highest point has only {top} above the air when cold. Ask for at least "
                "{usual} there, or air gets in at the first small loss.",
                top=(top, _DIFFERENCE),
                usual=(USUAL_MARGIN, _DIFFERENCE),
            ),
            COMMON_PRACTICE.at("0.2 to 0.3 bar, or 4 to 5 psi"),
        )
    basis = "" if heated else " The rise in pressure from cold to hot is not counted."
    enough = boiling >= USUAL_MARGIN - 1.0
    w.check(
        "boiling",
        "Boiling at the highest point, hot",
        PASS if enough else CAUTION,
        say(
            (
                "Water at {hot} stays {margin} above its boiling pressure at the highest point."
                if enough
                else "Water at {hot} stays only {margin} above its boiling pressure at the "
                "highest point. Raise the margin at the top or lower the hottest temperature."
            )
            + basis,
            hot=(v.hot, u.TEMPERATURE),
            margin=(boiling, _DIFFERENCE),
        ),
        PHYSICS.at("boiling point"),
    )


def _window_checks(w: Work, v: Values, c: _Cushion, final: float) -> None:
    label = "Fill window"
    if c.high is None:
        w.check(
            "fill-window",
            label,
            CAUTION,
            "The upper edge of the cold fill is not known, because a volume is left blank. Enter "
            "the water in the system and the volume of the vessel before you rely on the hot "
            "pressure.",
            ANNEX_D,
        )
    elif c.low > c.high:
        w.check(
            "fill-window",
            label,
            FAIL,
            say(
                "No cold fill serves: the lower edge is {low}, the upper {high}. With this charge "
                "the vessel needs at least {needed}; fit a larger one or a second one beside it, "
                "and do not lower the charge below what the height asks.",
                low=(c.low, _GAUGE),
                high=(c.high, _GAUGE),
                needed=(c.needed, u.VOLUME),
            ),
            ANNEX_D,
        )
    elif c.fill > c.high:
        w.check(
            "fill-window",
            label,
            FAIL,
            say(
                "The fill of {fill} is above the upper edge of {high}, so the hot pressure passes "
                "{final}. Fill between {low} and {high}, by the water reserve.",
                fill=(c.fill, _GAUGE),
                high=(c.high, _GAUGE),
                low=(c.low, _GAUGE),
                final=(final, _GAUGE),
            ),
            ANNEX_D,
        )
    else:
        w.check(
            "fill-window",
            label,
            PASS,
            say(
                "At the vessel the cold fill may lie between {low} and {high}. From {fill} the "
                "pressure rises to {hot} hot; {final} is allowed.",
                low=(c.low, _GAUGE),
                high=(c.high, _GAUGE),
                fill=(c.fill, _GAUGE),
                hot=(c.hot, _GAUGE),
                final=(final, _GAUGE),
            ),
            ANNEX_D,
        )
    if c.stored is None or c.reserve is None:
        return
    if c.stored >= c.reserve * (1 - 1e-9):
        w.check(
            "reserve",
            "Water reserve",
            PASS,
            say(
                "The cold vessel holds {stored}; {reserve} is wanted.",
                stored=(c.stored, u.VOLUME),
                reserve=(c.reserve, u.VOLUME),
            ),
            ANNEX_D,
        )
    elif v.practice == "equal":
        w.check(
            "reserve",
            "Water reserve",
            CAUTION,
            say(
                "With fill equal to charge the cold vessel holds no water, so every loss lowers "
                "the pressure at once. To store {reserve}, fill above the charge, inside the "
                "window.",
                reserve=(c.reserve, u.VOLUME),
            ),
            ANNEX_D,
        )
    else:
        w.check(
            "reserve",
            "Water reserve",
            FAIL,
            say(
                "The cold vessel holds {stored}, less than the {reserve} wanted. Fill to {low} at "
                "the vessel, by the water reserve.",
                stored=(c.stored, u.VOLUME),
                reserve=(c.reserve, u.VOLUME),
                low=(c.low, _GAUGE),
            ),
            ANNEX_D,
        )


def _small_checks(
    w: Work,
    v: Values,
    fluid: Fluid,
    set_gauge: float,
    now_gauge: float,
    fill: float,
    fill_gauge: float,
    to_gauge: float,
) -> None:
    if abs(to_gauge) < GAUGE_BAND:
        w.check(
            "gauge-height",
            "Gauge and vessel",
            PASS,
            "The gauge stands level with the vessel, so both read the same.",
            COLUMN,
        )
    else:
        side = "less" if to_gauge > 0 else "more"
        w.check(
            "gauge-height",
            "Gauge and vessel",
            CAUTION,
            say(
                "The gauge shows {gap} " + side + " than the vessel has. Fill until the gauge "
                "shows {gauge}, which is {fill} at the vessel.",
                gap=(abs(to_gauge), _DIFFERENCE),
                gauge=(fill_gauge, _GAUGE),
                fill=(fill, _GAUGE),
            ),
            COLUMN,
        )
    highest = max(v.gauge_height, v.valve_height)
    if highest > v.height:
        w.check(
            "heights",
            "Heights",
            CAUTION,
            say(
                "The gauge or the relief valve is entered {highest} above the vessel, but the "
                "highest point that holds water only {height}. Measure again from the vessel's "
                "connection and correct the one that is wrong.",
                highest=(highest, u.LENGTH),
                height=(v.height, u.LENGTH),
            ),
            COLUMN,
        )
    freezing = freezing_temperature(fluid)
    if v.living_temperature <= freezing:
        w.check(
            "freezing",
            "Frost at the vessel",
            FAIL,
            say(
                "The vessel lives at {living}, and its fluid freezes at {freezing}. Warm the room, "
                "move the vessel or use a glycol mixture that stays liquid.",
                living=(v.living_temperature, u.TEMPERATURE),
                freezing=(freezing, u.TEMPERATURE),
            ),
            COOLPROP.at("freezing points"),
        )
    if v.practice != "equal" and set_gauge < USUAL_LEAST_CHARGE:
        w.check(
            "low-charge",
            "Low charge",
            CAUTION,
            say(
                "The height asks for only {charge}. Many plants keep at least {usual}, so that the "
                "pump and the heat generator have pressure enough; see their instructions.",
                charge=(set_gauge, _GAUGE),
                usual=(USUAL_LEAST_CHARGE, _GAUGE),
            ),
            COMMON_PRACTICE.at("least charge of 0.7 bar"),
        )
    if abs(now_gauge - set_gauge) > GAUGE_BAND:
        w.check(
            "temperature",
            "Vessel temperature",
            CAUTION,
            say(
                "The vessel is at {now} and will live at {later}. Set {set} now; it becomes "
                "{charge} in service. Gas just pumped in is warm: wait, read again.",
                now=(v.vessel_now, u.TEMPERATURE),
                later=(v.living_temperature, u.TEMPERATURE),
                set=(now_gauge, _GAUGE),
                charge=(set_gauge, _GAUGE),
            ),
            GAS_LAW,
        )
    else:
        w.check(
            "temperature",
            "Vessel temperature",
            PASS,
            "The vessel is close to the temperature it lives at, so the charge hardly changes. "
            "Gas just pumped in is warm: wait, read again.",
            GAS_LAW,
        )


def _present_charge(
    w: Work,
    v: Values,
    now_gauge: float,
    set_gauge: float,
    vapour: float,
    margin: float,
    rho: float,
    ambient: float,
    c: _Cushion,
) -> float | None:
    """Check the charge found or delivered; return what the gas reads now where it is known."""
    factory = None
    if v.factory_charge is not None:
        factory = w.step(
            FACTORY_READING,
            p_label=v.factory_charge,
            P_sea=atmosphere.SEA_LEVEL_PRESSURE,
            T_F=FACTORY_TEMPERATURE,
            T_now=v.vessel_now,
            P_a=ambient,
        )
        _factory_check(w, v, factory, now_gauge)
    w.result("factory_here", factory)
    found = None
    if v.found_charge is not None:
        if v.found_charge <= -ambient:
            raise Refusal(
                say(
                    "A charge of {found} lies below a perfect vacuum; the air here has only "
                    "{ambient}. Read the gauge again, or check that it reads zero in open air.",
                    found=(v.found_charge, _GAUGE),
                    ambient=(ambient, _ABS),
                ),
                field="found_charge",
                cite=PHYSICS.at("gauge and absolute pressure"),
            )
        opens = v.relief + hydrostatics.static_pressure(rho, v.valve_height)
        found = _found_check(w, v, now_gauge, ambient, opens, c)
    # A reading that is not the charge leaves the gas unknown, whatever the label says.
    present = found if v.found_charge is not None else factory
    served = None
    if present is not None:
        lived = (
            charge.charge_at_temperature(present + ambient, v.vessel_now, v.living_temperature)
            - ambient
        )
        if charge.static_reached(lived, vapour, margin) >= 0.0:
            served = w.step(
                HEIGHT_SERVED,
                p=lived,
                p_D=vapour,
                p_m=margin,
                rho=rho,
                g=hydrostatics.STANDARD_GRAVITY,
            )
    w.result("height_served", served)
    if present is None and v.found_charge is None:
        return 0.0
    return present


def _factory_check(w: Work, v: Values, reading: float, now_gauge: float) -> None:
    label = "Factory charge"
    if reading < now_gauge - READING_BAND:
        w.check(
            "factory-charge",
            label,
            FAIL,
            say(
                "The factory charge of {label} reads {here} here and now, too low for this height: "
                "{now} is needed. Pump it up before you let water in.",
                label=(v.factory_charge, _GAUGE),
                here=(reading, _GAUGE),
                now=(now_gauge, _GAUGE),
            ),
            POINT_OF_USE,
        )
    elif reading > now_gauge + READING_BAND:
        w.check(
            "factory-charge",
            label,
            CAUTION,
            say(
                "The factory charge of {label} reads {here} here and now, more than the {now} "
                "needed. Let gas out before you let water in.",
                label=(v.factory_charge, _GAUGE),
                here=(reading, _GAUGE),
                now=(now_gauge, _GAUGE),
            ),
            POINT_OF_USE,
        )
    else:
        w.check(
            "factory-charge",
            label,
            PASS,
            say(
                "The factory charge reads {here} here and now, and {now} is needed. Read it all "
                "the same before you let water in.",
                here=(reading, _GAUGE),
                now=(now_gauge, _GAUGE),
            ),
            POINT_OF_USE,
        )


def _found_check(
    w: Work, v: Values, now_gauge: float, ambient: float, opens: float, c: _Cushion
) -> float | None:
    label = "Charge found"
    if v.found_state == "pressure":
        w.check(
            "charge-found",
            label,
            FAIL,
            say(
                "{found} was read with water pressing on the diaphragm, so it is the system's "
                "pressure and not the charge. Isolate the vessel, drain its water side to zero, "
                "leave the drain open and read again. Do not add gas before.",
                found=(v.found_charge, _GAUGE),
            ),
            _OPEN_READING,
        )
        return None
    if v.found_state == "unsure":
        w.check(
            "charge-found",
            label,
            CAUTION,
            say(
                "{found} is the charge only if the water side was open and at zero. Isolate the "
                "vessel, drain its water side, leave the drain open and read again.",
                found=(v.found_charge, _GAUGE),
            ),
            _OPEN_READING,
        )
        return None
    values = {"found": (v.found_charge, _GAUGE), "now": (now_gauge, _GAUGE)}
    if abs(v.found_charge - now_gauge) <= READING_BAND:
        w.check(
            "charge-found",
            label,
            PASS,
            say(
                "{found} was found and {now} is right at this temperature: no hand gauge tells "
                "them apart for sure.",
                **values,
            ),
            POINT_OF_USE,
        )
        return v.found_charge
    lived_abs = charge.charge_at_temperature(
        v.found_charge + ambient, v.vessel_now, v.living_temperature
    )
    if v.found_charge < now_gauge:
        effect = _effect_of_low_charge(c, lived_abs, ambient, opens, values)
        w.check(
            "charge-found",
            label,
            FAIL,
            say(
                "{found} was found and {now} is right at this temperature: too low. "
                + effect
                + " With the water side open and at zero, pump up to {now}, wait, read again; "
                "if it has fallen in some days, the gas valve or the diaphragm leaks.",
                **values,
            ),
            WTCB_VESSELS.at("yearly check of the charge"),
        )
        return v.found_charge
    values["fill"] = (c.fill, _GAUGE)
    if lived_abs - ambient >= c.fill:
        effect = (
            "At the cold fill of {fill} the vessel holds no water, so the pressure collapses at "
            "the first cooling or loss and air gets in at the top."
        )
    else:
        effect = "At the cold fill of {fill} the vessel holds less water than it should."
        if c.volume is not None:
            stored = vessel.water_in_vessel(c.volume, lived_abs, c.fill + ambient)
            values |= {"stored": (stored, u.VOLUME), "right": (c.stored, u.VOLUME)}
            effect = (
                "At the cold fill of {fill} the vessel holds {stored} of water in place of {right}."
            )
    w.check(
        "charge-found",
        label,
        FAIL,
        say(
            "{found} was found and {now} is right at this temperature: too high. "
            + effect
            + " With the water side open and at zero, let gas out down to {now}.",
            **values,
        ),
        POINT_OF_USE,
    )
    return v.found_charge


def _effect_of_low_charge(
    c: _Cushion,
    lived_abs: float,
    ambient: float,
    opens: float,
    values: dict[str, tuple[float, u.Kind]],
) -> str:
    if c.expansion is None:
        return "Too much water lies in the cold vessel, so the pressure climbs too high when hot."
    fill_abs = c.fill + ambient
    stored = vessel.water_in_vessel(c.volume, lived_abs, fill_abs)
    values |= {"fill": (c.fill, _GAUGE), "stored": (stored, u.VOLUME)}
    taken = "At the cold fill of {fill} it takes in {stored} of water, and "
    if c.expansion < c.volume - stored:
        hot = vessel.hot_pressure(c.volume, lived_abs, fill_abs, c.expansion) - ambient
        if hot < opens:
            values["hot"] = (hot, _GAUGE)
            return taken + "the pressure climbs to {hot} hot."
    return taken + "the gas left cannot take the expansion: the relief valve lifts when hot."


def _air(
    w: Work, v: Values, now_abs: float, now_gauge: float, start: float | None, ambient: float
) -> None:
    w.result("air_needed", None)
    w.result("run_time", None)
    if v.vessel_volume is None or start is None or start >= now_gauge:
        return
    air = w.step(
        FREE_AIR,
        V_N=v.vessel_volume,
        P_s=start + ambient,
        T_s=v.vessel_now,
        P_now=now_abs,
        T_now=v.vessel_now,
        T_air=v.air_temperature,
        P_a=ambient,
    )
    w.result("air_needed", air)
    if v.delivery is not None:
        w.result("run_time", w.step(RUN_TIME, V_air=air, Q=v.delivery))


def _charts(w: Work, v: Values, fluid: Fluid, rho: float, c: _Cushion, ambient: float) -> None:
    if c.hot is None:
        return
    fill_abs = c.fill + ambient
    pressures, waters = [], []
    for n in range(CHART_STEPS + 1):
        t = v.cold + (v.hot - v.cold) * n / CHART_STEPS
        growth = v.system_volume * _relative(rho, density(fluid, t))
        p_abs = vessel.hot_pressure(c.volume, c.charge_abs, fill_abs, growth)
        pressures.append((t, p_abs - ambient))
        waters.append((t, vessel.water_in_vessel(c.volume, c.charge_abs, p_abs)))
    column = hydrostatics.static_pressure(rho, v.valve_height)
    opens = charge.pressure_below(v.relief, column)
    final = w.results["final"]
    w.chart(
        LineChart(
            id="pressure",
            title="Pressure at the vessel from cold to hot",
            x=Axis("water temperature", u.TEMPERATURE),
            y=Axis("pressure at the vessel", _GAUGE),
            series=(Series("cold to hot", tuple(pressures)),),
            levels=(
                Level("charge", c.set_gauge),
                Level("highest allowed", final, "limit"),
                Level("relief valve opens", opens, "limit"),
            ),
            marks=(Mark("cold fill", v.cold, c.fill), Mark("hot", v.hot, c.hot)),
            summary=say(
                "From {cold} to {hot} the pressure at the vessel rises from {fill} to {end}. "
                "The charge is {charge}, the highest allowed {final}.",
                cold=(v.cold, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
                fill=(c.fill, _GAUGE),
                end=(c.hot, _GAUGE),
                charge=(c.set_gauge, _GAUGE),
                final=(final, _GAUGE),
            ),
        )
    )
    w.chart(
        LineChart(
            id="water",
            title="Water in the vessel from cold to hot",
            x=Axis("water temperature", u.TEMPERATURE),
            y=Axis("water in the vessel", u.VOLUME),
            series=(Series("cold to hot", tuple(waters)),),
            levels=(Level("reserve wanted", c.reserve),),
            marks=(Mark("cold fill", *waters[0]), Mark("hot", *waters[-1])),
            summary=say(
                "The vessel holds {first} when cold and {last} when hot, out of {volume}.",
                first=(waters[0][1], u.VOLUME),
                last=(waters[-1][1], u.VOLUME),
                volume=(c.volume, u.VOLUME),
            ),
        )
    )
    w.chart(
        VesselSection(
            id="vessel",
            title="The vessel charged, filled and hot",
            states=(
                VesselState("charged, no water", 0.0, c.set_gauge),
                VesselState("filled, cold", waters[0][1] / c.volume, c.fill),
                VesselState("hot", waters[-1][1] / c.volume, c.hot),
            ),
            summary=say(
                "Charged, the vessel holds only gas at {charge}. Filled cold it holds {first} of "
                "water at {fill}, hot {last} at {end}.",
                charge=(c.set_gauge, _GAUGE),
                first=(waters[0][1], u.VOLUME),
                fill=(c.fill, _GAUGE),
                last=(waters[-1][1], u.VOLUME),
                end=(c.hot, _GAUGE),
            ),
        )
    )


EXAMPLES = (
    # A house in the US way, tall enough that the usual factory charge is too low.
    {
        "height": "25 ± 0.5 ft",
        "cold": "50 degF",
        "hot": "180 degF",
        "altitude": "5280 ft",
        "practice": "equal",
        "margin": "4 psi",
        "rounding": "1 psi",
        "vessel_volume": "14 gal",
        "system_volume": "60 ± 5 gal",
        "gauge_height": "-2 ft",
        "relief": "30 psi",
        "valve_height": "1 ft",
        "closing": "own",
        "closing_own": "5 psi",
        "living_temperature": "70 degF",
        "vessel_now": "40 degF",
        "factory_charge": "12 psi",
        "delivery": "1.5 cfm",
        "air_temperature": "60 degF",
    },
    # A small vessel on glycol, read in service and found low.
    {
        "height": "6 m",
        "fluid": "propylene glycol",
        "glycol": "30 %",
        "cold": "5 degC",
        "hot": "75 degC",
        "altitude": "900 m",
        "practice": "fixed",
        "margin": "0.2 bar",
        "rounding": "none",
        "vessel_volume": "35 L",
        "system_volume": "230 ± 20 L",
        "reserve": "own",
        "reserve_own": "4 L",
        "filling": "22 degC",
        "gauge_height": "-0.8 m",
        "factory_charge": "",
        "found_charge": "0.45 ± 0.05 bar",
        "found_state": "open",
    },
    # Hot water above its boiling point in open air.
    {
        "height": "14 m",
        "cold": "12 degC",
        "hot": "112 degC",
        "altitude": "1500 m",
        "practice": "reserve",
        "margin": "own",
        "margin_own": "0.4 bar",
        "rounding": "0.5 bar",
        "vessel_volume": "1000 L",
        "system_volume": "2600 L",
        "relief": "6 bar",
        "closing": "ten-or-five",
        "found_charge": "3.6 bar",
        "vessel_now": "25 degC",
    },
    # A reading that is not the charge, volumes unknown.
    {
        "practice": "fixed",
        "vessel_volume": "",
        "system_volume": "",
        "factory_charge": "",
        "found_charge": "1.7 bar",
        "found_state": "pressure",
        "delivery": "",
    },
)

CALCULATOR = Calculator(
    id="pre-charge",
    title="Pre-charge and cold fill",
    question="What charge goes into the vessel, and what should the gauge show when filled cold?",
    summary="Charge for the height, corrected for temperature and altitude; cold fill at the "
    "vessel and on the gauge; the fill window; the air to pump in.",
    inputs=INPUTS,
    outputs=OUTPUTS,
    solve=solve,
    examples=EXAMPLES,
)

"""How far the hot pressure stays below the relief valve, and whether the valves pass enough.

Everything is brought to the valve: from the gauge to the vessel, from cold to hot, from the
vessel to the valve with the water column and the pump. The rules are then applied there.
"""

from __future__ import annotations

from types import SimpleNamespace

from calc import pump, relief
from calc import units as u
from calc.atmosphere import standard_pressure
from calc.expansion import expanded_volume, relative_expansion
from calc.fluids import Fluid, density, vapour_pressure
from calc.hydrostatics import STANDARD_GRAVITY, static_pressure
from calc.model import (
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
    Table,
    Text,
    Work,
    say,
)
from calc.sources import (
    ASME_BPVC_IV,
    ASME_VI,
    COMMON_PRACTICE,
    COOLPROP,
    EN_12828,
    IAPWS_IF97,
    ICAO_ATMOSPHERE,
    ISO_4126_1,
    MARYLAND_BOILER_RULES,
    NEW_YORK_BOILER_RULES,
    OWN_RULE,
    PHYSICS,
    SV_100,
)
from calc.vessel import hot_pressure, vessel_volume_general, water_in_vessel

GAPS = {
    "tenth": (relief.gap_of_a_tenth, COMMON_PRACTICE.at("operating gap of a tenth")),
    "half bar": (relief.closing_difference, EN_12828.at("annex D, closing difference")),
    "five psi": (relief.gap_of_five_psi, COMMON_PRACTICE.at("operating gap of 5 psi")),
    "quarter": (
        relief.gap_of_a_quarter,
        ASME_VI.at("operating gap; confidence low to medium"),
    ),
}

_BOYLE = PHYSICS.at("Boyle's law")
_STATIC = PHYSICS.at("hydrostatics")
_LOOP = PHYSICS.at("point of no pressure change at the vessel; Bernoulli with losses")
_TOLERANCE = ASME_BPVC_IV.at("HG-401, set tolerance; confidence medium")
_RUNNING = ("between", "elsewhere")
_TALLEST = Limit("150 m", "no closed heating system without a break reaches so far", OWN_RULE.at())
_DEEPEST = Limit("-150 m", "no closed heating system without a break reaches so far", OWN_RULE.at())
_NO_VACUUM = Limit("0 bar", "a closed system is never run below the air around it", OWN_RULE.at())
_HIGHEST_PRESSURE = Limit(
    "160 psi", "hot-water heating boilers stop at this pressure", ASME_BPVC_IV.at("HG-101")
)
_LOWEST_SET = Limit("0.2 bar", "no relief valve for heating is set so low", OWN_RULE.at())
_MOST_HEAD = Limit("6 bar", "no heating pump in a closed loop gives so much", OWN_RULE.at())
_NOT_NEGATIVE = Limit("0 bar", "a head or a loss is never negative", PHYSICS.at())
_SOME_VOLUME = Limit("1 L", "a smaller volume is a slip of the pen", OWN_RULE.at())
_COLDEST = Limit("-30 °C", "no heating system is filled colder", OWN_RULE.at())
_HOTTEST = Limit(
    "250 °F", "hot-water heating boilers stop at this temperature", ASME_BPVC_IV.at("HG-101")
)

_CAPACITY_ASKED = {"capacity": ("yes",)}

INPUTS = (
    Quantity(
        name="relief",
        label="Relief valve set pressure",
        kind=u.GAUGE_PRESSURE,
        default="3 bar",
        help="The pressure marked on the valve's plate. With several valves, the lowest.",
        low=_LOWEST_SET,
        high=_HIGHEST_PRESSURE,
    ),
    Choice(
        name="tolerance",
        label="Set tolerance of the valve",
        options=(
            Option("none", "None counted"),
            Option("code", "3 psi to 60 psig, 5 % above (from memory)"),
            Option("own", "Own plus/minus"),
        ),
        help="A valve in good order may still open a little below its mark.",
        default="none",
    ),
    Quantity(
        name="own_tolerance",
        label="Own tolerance",
        kind=u.PRESSURE_DIFFERENCE,
        default="0.1 bar",
        help="How far above or below its mark the valve may open, from its papers or a test.",
        low=_NOT_NEGATIVE,
        high=Limit("5 bar", "no tolerance is so wide", OWN_RULE.at()),
        when={"tolerance": ("own",)},
    ),
    Choice(
        name="rule",
        label="Margin to keep below the set pressure",
        options=(
            Option("half bar", "0.5 bar to 5 bar, a tenth of the set above (EN 12828)"),
            Option("tenth", "A tenth of the set pressure"),
            Option("five psi", "5 psi"),
            Option("quarter", "10 psi or a quarter, the greater (from memory)"),
        ),
        help="Below this gap a valve weeps, and dirt keeps it from closing. "
        "Where two rules apply, use the larger gap.",
        default="half bar",
    ),
    Quantity(
        name="valve_height",
        label="Relief valve above the vessel",
        kind=u.LENGTH,
        default="1.8 m",
        help="From the vessel's connection up to the valve. Minus if the valve is lower.",
        reading=True,
        low=_DEEPEST,
        high=_TALLEST,
    ),
    Quantity(
        name="gauge_height",
        label="Gauge above the vessel",
        kind=u.LENGTH,
        default="1.2 m",
        help="From the vessel's connection up to the gauge. Minus if the gauge is lower.",
        reading=True,
        low=_DEEPEST,
        high=_TALLEST,
    ),
    Quantity(
        name="altitude",
        label="Altitude of the site",
        kind=u.ALTITUDE,
        default="640 m",
        help="Height above sea level. The gas in the vessel feels the air pressure as well.",
        low=Limit("-430 m", "no dry land lies lower", OWN_RULE.at()),
        high=Limit("5000 m", "no town lies higher", OWN_RULE.at()),
    ),
    Choice(
        name="fluid",
        label="Fluid",
        options=(
            Option("water", "Water"),
            Option("propylene glycol", "Propylene glycol in water"),
            Option("ethylene glycol", "Ethylene glycol in water"),
        ),
        help="What the closed system is filled with.",
        default="water",
    ),
    Quantity(
        name="glycol",
        label="Glycol by volume",
        kind=u.FRACTION,
        default="30 %",
        help="Share of glycol by volume, from a refractometer or the filling record.",
        reading=True,
        low=Limit("0 %", "a share cannot be negative", PHYSICS.at("a share")),
        high=Limit("60 %", "the table of glycols ends here", COOLPROP.at("APG, AEG")),
        when={"fluid": ("propylene glycol", "ethylene glycol")},
    ),
    Quantity(
        name="cold",
        label="Water temperature at the cold reading",
        kind=u.TEMPERATURE,
        default="10 °C",
        help="The system's temperature when the cold fill was read.",
        reading=True,
        low=_COLDEST,
        high=_HOTTEST,
    ),
    Quantity(
        name="hot",
        label="Highest water temperature",
        kind=u.TEMPERATURE,
        default="80 °C",
        help="The mean of the system at its hottest. The boiler's highest setting is the "
        "safe side. For a hot reading: the temperature at that reading.",
        reading=True,
        low=_COLDEST,
        high=_HOTTEST,
    ),
    Quantity(
        name="cold_fill",
        label="Cold fill on the gauge",
        kind=u.GAUGE_PRESSURE,
        default="1.6 bar",
        help="Read with the system cold and the pump stopped.",
        reading=True,
        low=_NO_VACUUM,
        high=_HIGHEST_PRESSURE,
    ),
    Quantity(
        name="charge",
        label="Charge of the vessel",
        kind=u.GAUGE_PRESSURE,
        default="1.5 bar",
        help="Gas pressure read with the water side isolated, drained and open.",
        reading=True,
        low=_NO_VACUUM,
        high=_HIGHEST_PRESSURE,
    ),
    Quantity(
        name="vessel_volume",
        label="Vessel volume",
        kind=u.VOLUME,
        default="300 L",
        help="Nominal volume. Add up vessels that share one charge.",
        low=_SOME_VOLUME,
        high=Limit("100 m3", "no vessel is larger", OWN_RULE.at()),
    ),
    Choice(
        name="basis",
        label="Hot pressure",
        options=(
            Option("predicted", "Predicted from vessel and fill"),
            Option("read", "Read on the gauge when hot"),
        ),
        help="A reading is better than a prediction, if the system was at its hottest.",
        default="predicted",
    ),
    Quantity(
        name="system_volume",
        label="System volume",
        kind=u.VOLUME,
        default="1750 L",
        help="All the water that warms: boilers, pipes, radiators, coils.",
        reading=True,
        low=_SOME_VOLUME,
        high=Limit("2000 m3", "no single closed system is larger", OWN_RULE.at()),
        when={"basis": ("predicted",)},
    ),
    Quantity(
        name="hot_reading",
        label="Hot reading on the gauge",
        kind=u.GAUGE_PRESSURE,
        default="2.3 bar",
        help="Read at the highest temperature, with the pump as chosen below.",
        reading=True,
        low=_NO_VACUUM,
        high=_HIGHEST_PRESSURE,
        when={"basis": ("read",)},
    ),
    Choice(
        name="pump",
        label="Pump when hot",
        options=(
            Option("between", "Runs, met on the way from the vessel to the valve"),
            Option("elsewhere", "Runs, not met on the way from the vessel to the valve"),
            Option("stopped", "Stopped"),
        ),
        help="Follow the flow from the vessel to the valve. Pumping away from the vessel, "
        "the pump comes first and its head reaches the valve.",
        default="between",
    ),
    Quantity(
        name="pump_head",
        label="Pump head",
        kind=u.PRESSURE_DIFFERENCE,
        default="0.3 bar",
        help="What the pump adds at its present speed: the difference of its two tappings.",
        reading=True,
        low=_NOT_NEGATIVE,
        high=_MOST_HEAD,
        when={"pump": ("between",)},
    ),
    Quantity(
        name="friction",
        label="Friction from the vessel to the valve",
        kind=u.PRESSURE_DIFFERENCE,
        default="0.05 bar",
        help="Lost in pipes and boiler on the way with the flow. Zero is the safe side.",
        reading=True,
        low=_NOT_NEGATIVE,
        high=_MOST_HEAD,
        when={"pump": _RUNNING},
    ),
    Choice(
        name="gauge_side",
        label="Where the gauge sits",
        options=(
            Option("vessel", "By the vessel, before any pump"),
            Option("valve", "By the relief valve"),
        ),
        help="A running pump moves a gauge by the valve and leaves one by the vessel alone.",
        default="valve",
        when={"pump": _RUNNING},
    ),
    Choice(
        name="capacity",
        label="Also check capacity and ratings",
        options=(Option("no", "No"), Option("yes", "Yes")),
        help="Whether the valves pass the boilers' output and every part stands the pressure.",
        default="no",
    ),
    Choice(
        name="capacity_rule",
        label="Capacity rule",
        options=(
            Option("european", "European: full output as steam (EN 12828)"),
            Option("us", "United States: rated heat, or 1 lb/h of steam per 1000 Btu/h"),
        ),
        help="Take the rule of the code adopted where the boiler stands.",
        default="european",
        when=_CAPACITY_ASKED,
    ),
    Table(
        name="boilers",
        label="Boilers",
        row_label="Boiler",
        columns=(
            Text(name="name", label="Name", help="What you call it."),
            Quantity(
                name="output",
                label="Greatest output",
                kind=u.POWER,
                default="95 kW",
                help="Gross output at full fire, from the plate.",
                low=Limit("1 kW", "a smaller output is a slip of the pen", OWN_RULE.at()),
                high=Limit("20 MW", "a larger plant has its own engineer", OWN_RULE.at()),
            ),
            Quantity(
                name="mawp",
                label="Maximum working pressure",
                kind=u.GAUGE_PRESSURE,
                default="4 bar",
                help="Maximum allowable working pressure on the boiler's plate.",
                low=_LOWEST_SET,
                high=Limit("25 bar", "no heating boiler stands more", OWN_RULE.at()),
            ),
        ),
        help="Every boiler that can be shut off from the others needs valves of its own.",
        default=(("Boiler 1", "95 kW", "4 bar"), ("Boiler 2", "60 kW", "4 bar")),
        fewest=1,
        most=12,
        when=_CAPACITY_ASKED,
    ),
    Table(
        name="valves",
        label="Relief valves",
        row_label="Valve",
        columns=(
            Quantity(
                name="boiler",
                label="On boiler number",
                kind=u.NUMBER,
                default="1",
                help="Row number of the boiler it stands on.",
                low=Limit("1", "boilers are counted from 1", OWN_RULE.at()),
                high=Limit("12", "the list of boilers ends here", OWN_RULE.at()),
            ),
            Quantity(
                name="valve_set",
                label="Set pressure",
                kind=u.GAUGE_PRESSURE,
                default="3 bar",
                help="The pressure on this valve's plate.",
                low=_LOWEST_SET,
                high=_HIGHEST_PRESSURE,
            ),
            Choice(
                name="rating",
                label="Capacity given as",
                options=(
                    Option("heat", "Heat"),
                    Option("steam", "Steam"),
                    Option("sv-100", "Flow area at 3 bar (SV 100)"),
                    Option("iso", "Flow area, steam (ISO 4126-1)"),
                ),
                help="Use the rating on the plate. A flow area needs the valve's papers.",
                default="heat",
            ),
            Quantity(
                name="heat",
                label="Rated heat",
                kind=u.POWER,
                default="100 kW",
                help="Rated capacity in heat, from the plate.",
                low=Limit("0.1 kW", "a smaller rating is a slip of the pen", OWN_RULE.at()),
                high=Limit("50 MW", "no heating valve passes more", OWN_RULE.at()),
                when={"rating": ("heat",)},
            ),
            Quantity(
                name="steam",
                label="Rated steam",
                kind=u.MASS_FLOW,
                default="170 kg/h",
                help="Rated capacity in steam, from the plate.",
                low=Limit("0.1 kg/h", "a smaller rating is a slip of the pen", OWN_RULE.at()),
                high=Limit("100000 kg/h", "no heating valve passes more", OWN_RULE.at()),
                when={"rating": ("steam",)},
            ),
            Quantity(
                name="flow_area",
                label="Narrowest flow area",
                kind=u.AREA,
                default="201 mm2",
                help="The narrowest area, from the valve's papers; not the pipe size.",
                low=Limit("5 mm2", "a smaller area is a slip of the pen", OWN_RULE.at()),
                high=Limit("20000 mm2", "no heating valve is larger", OWN_RULE.at()),
                when={"rating": ("sv-100", "iso")},
            ),
            Quantity(
                name="coefficient",
                label="Discharge coefficient",
                kind=u.NUMBER,
                default="0.5",
                help="The certified coefficient for steam, from the valve's papers.",
                low=Limit("0.05", "no valve is so poor", OWN_RULE.at()),
                high=Limit("1", "no opening passes more than an ideal one", PHYSICS.at()),
                when={"rating": ("sv-100", "iso")},
            ),
        ),
        help="One row for each valve. The boiler number says which boiler it protects.",
        default=(
            ("1", "3 bar", "heat", "100 kW", "", "", ""),
            ("2", "3 bar", "heat", "100 kW", "", "", ""),
        ),
        fewest=1,
        most=24,
        when=_CAPACITY_ASKED,
    ),
    Table(
        name="components",
        label="Parts under pressure",
        row_label="Part",
        columns=(
            Text(name="name", label="Name", help="What it is."),
            Quantity(
                name="rated",
                label="Rated pressure",
                kind=u.GAUGE_PRESSURE,
                default="6 bar",
                help="Highest working pressure on the part's plate or papers.",
                low=_LOWEST_SET,
                high=Limit("100 bar", "a slip of the pen", OWN_RULE.at()),
            ),
            Quantity(
                name="height",
                label="Above the vessel",
                kind=u.LENGTH,
                default="0 m",
                help="Height above the vessel's connection. Minus if it is lower.",
                low=_DEEPEST,
                high=_TALLEST,
            ),
        ),
        help="The lowest parts carry the most. List boilers, vessel, radiators, plates, fittings.",
        default=(
            ("Expansion vessel", "6 bar", "0 m"),
            ("Boiler bodies", "4 bar", "0.4 m"),
            ("Cylinder coil", "10 bar", "0.6 m"),
            ("Column radiators, ground floor", "5 bar", "3.2 m"),
            ("Floor circuit manifold", "6 bar", "6.4 m"),
        ),
        fewest=0,
        most=40,
        when=_CAPACITY_ASKED,
    ),
)

OUTPUTS = (
    Output(
        "margin",
        "Margin at the valve",
        u.PRESSURE_DIFFERENCE,
        "From the hot pressure up to the set pressure.",
        headline=True,
    ),
    Output(
        "margin_asked",
        "Margin the rule asks",
        u.PRESSURE_DIFFERENCE,
        "The gap below the set pressure that the chosen rule wants.",
    ),
    Output(
        "hot_at_valve",
        "Hot pressure at the valve",
        u.GAUGE_PRESSURE,
        "With the pump running or stopped, whichever is higher.",
    ),
    Output(
        "hot_at_vessel",
        "Hot pressure at the vessel",
        u.GAUGE_PRESSURE,
        "The same with the pump running or stopped.",
    ),
    Output(
        "hot_at_gauge", "Hot pressure on the gauge", u.GAUGE_PRESSURE, "With the pump as chosen."
    ),
    Output("lowest_lift", "Lowest pressure at which the valve may open", u.GAUGE_PRESSURE),
    Output("margin_to_lift", "Margin to the lowest opening", u.PRESSURE_DIFFERENCE),
    Output(
        "greatest_at_vessel",
        "Greatest hot pressure at the vessel",
        u.GAUGE_PRESSURE,
        "What the rule leaves, brought from the valve to the vessel.",
    ),
    Output(
        "greatest_on_gauge",
        "Greatest hot pressure on the gauge",
        u.GAUGE_PRESSURE,
        "What the gauge may show hot, with the pump as chosen.",
    ),
    Output(
        "highest_fill",
        "Highest cold fill on the gauge",
        u.GAUGE_PRESSURE,
        "The fill that keeps exactly the margin asked, with this vessel and charge. "
        "Blank where that fill would lie below the charge.",
    ),
    Output(
        "smallest_vessel",
        "Smallest vessel volume",
        u.VOLUME,
        "The volume that keeps exactly the margin asked, at this charge and fill. "
        "Blank where no vessel can.",
    ),
    Output(
        "lowest_charge",
        "Lowest charge of the vessel",
        u.GAUGE_PRESSURE,
        "The charge that keeps exactly the margin asked, with this vessel and fill. "
        "Blank where it would lie above the fill.",
    ),
    Output("boiler_output", "Output of all boilers", u.POWER),
    Output("steam_to_pass", "Steam the valves must pass", u.MASS_FLOW),
    Output("valve_capacity", "Capacity of all valves", u.POWER),
    Output(
        "capacity_spare",
        "Capacity to spare on the worst boiler",
        u.POWER,
        "Minus where the valves fall short.",
    ),
    Output(
        "blow_off_limit",
        "Greatest pressure while the valves blow",
        u.GAUGE_PRESSURE,
        "On the boiler with the lowest working pressure.",
    ),
    Output(
        "further_valve_limit",
        "Highest setting of a further valve",
        u.GAUGE_PRESSURE,
        "On the boiler with the lowest working pressure.",
    ),
    Output("weakest_part", "Part with the least to spare", None),
    Output(
        "pressure_on_weakest",
        "Pressure on it when the valve opens",
        u.GAUGE_PRESSURE,
        "Cold standing water, the highest setting among the valves, and its tolerance.",
    ),
    Output(
        "weakest_spare",
        "What it has to spare",
        u.PRESSURE_DIFFERENCE,
        "Minus where its rating is exceeded.",
    ),
)

_RHO = Symbol("density of the fluid", u.DENSITY)
_G = Symbol("standard gravity", u.ACCELERATION)
_P_AMB = Symbol("pressure of the air", u.ABSOLUTE_PRESSURE)
_SET = Symbol("set pressure", u.GAUGE_PRESSURE)
_GAIN = Symbol("what the flow adds on the way", u.PRESSURE_DIFFERENCE)
_START = Symbol("pressure at the vessel when the gas starts to shrink", u.ABSOLUTE_PRESSURE)
_HOT_ABS = Symbol("hot pressure at the vessel", u.ABSOLUTE_PRESSURE)
_MOST_ABS = Symbol("greatest hot pressure at the vessel", u.ABSOLUTE_PRESSURE)

AMBIENT = Equation(
    symbol="P_air",
    label="pressure of the air",
    kind=u.ABSOLUTE_PRESSURE,
    unit="kPa",
    formula="101.325*(1 - 2.25577e-5*z)**5.25588",
    where={"z": Symbol("altitude", u.ALTITUDE, unit="m")},
    function=standard_pressure,
    cite=ICAO_ATMOSPHERE.at("lowest layer"),
)
GAS_FROM_GAUGE = Equation(
    symbol="P",
    label="absolute pressure",
    kind=u.ABSOLUTE_PRESSURE,
    formula="p + P_air",
    where={"p": Symbol("gauge pressure", u.GAUGE_PRESSURE), "P_air": _P_AMB},
    function=lambda gauge, ambient: gauge + ambient,
    cite=PHYSICS.at("gauge and absolute pressure"),
)
GAUGE_FROM_GAS = Equation(
    symbol="p",
    label="gauge pressure",
    kind=u.GAUGE_PRESSURE,
    formula="P - P_air",
    where={"P": Symbol("absolute pressure", u.ABSOLUTE_PRESSURE), "P_air": _P_AMB},
    function=lambda absolute, ambient: absolute - ambient,
    cite=PHYSICS.at("gauge and absolute pressure"),
)


def _density_equation(substance: str) -> Equation:
    t = {"t": Symbol("temperature", u.TEMPERATURE)}
    if substance == "water":
        return Equation(
            symbol="rho",
            label="density of water",
            kind=u.DENSITY,
            words="read from the table",
            where=t,
            function=lambda temperature: density(Fluid(), temperature),
            cite=IAPWS_IF97.at("liquid water"),
        )
    return Equation(
        symbol="rho",
        label=f"density of {substance} in water",
        kind=u.DENSITY,
        words="read from the table",
        where={"phi": Symbol("glycol by volume", u.FRACTION), **t},
        function=lambda share, temperature: density(Fluid(substance, share), temperature),
        cite=COOLPROP.at("ASHRAE glycol sets"),
    )


DENSITY = {s: _density_equation(s) for s in ("water", "propylene glycol", "ethylene glycol")}
FLOW_GAIN = Equation(
    symbol="dp",
    label="what the flow adds from vessel to valve",
    kind=u.PRESSURE_DIFFERENCE,
    formula="H - f",
    where={
        "H": Symbol("pump head met on the way", u.PRESSURE_DIFFERENCE),
        "f": Symbol("friction met on the way", u.PRESSURE_DIFFERENCE),
    },
    function=pump.dynamic_pressure,
    cite=_LOOP,
)
WORST_GAIN = Equation(
    symbol="dp_v",
    label="the flow's share at the valve, pump running or stopped",
    kind=u.PRESSURE_DIFFERENCE,
    formula="max(dp, 0)",
    where={"dp": _GAIN},
    function=lambda gain: max(gain, 0.0),
    cite=_LOOP,
)
AT_VESSEL = Equation(
    symbol="p_vessel",
    label="pressure at the vessel",
    kind=u.GAUGE_PRESSURE,
    formula="p + rho*g*h - dp",
    where={
        "p": Symbol("pressure at the gauge or the valve", u.GAUGE_PRESSURE),
        "rho": _RHO,
        "g": _G,
        "h": Symbol("its height above the vessel", u.LENGTH),
        "dp": _GAIN,
    },
    function=lambda p, rho, g, h, dp: relief.pressure_at_vessel(p, rho, h, dp),
    cite=_LOOP,
)
AT_VALVE = Equation(
    symbol="p_valve",
    label="pressure at the valve",
    kind=u.GAUGE_PRESSURE,
    formula="p_vessel - rho*g*h + dp",
    where={
        "p_vessel": Symbol("pressure at the vessel", u.GAUGE_PRESSURE),
        "rho": _RHO,
        "g": _G,
        "h": Symbol("height of the valve above the vessel", u.LENGTH),
        "dp": _GAIN,
    },
    function=lambda p, rho, g, h, dp: relief.pressure_at_valve(p, rho, h, dp),
    cite=_LOOP,
)
AT_GAUGE = Equation(
    symbol="p_gauge",
    label="pressure on the gauge",
    kind=u.GAUGE_PRESSURE,
    formula="p_vessel - rho*g*h + dp",
    where={
        "p_vessel": Symbol("pressure at the vessel", u.GAUGE_PRESSURE),
        "rho": _RHO,
        "g": _G,
        "h": Symbol("height of the gauge above the vessel", u.LENGTH),
        "dp": _GAIN,
    },
    function=lambda p, rho, g, h, dp: relief.pressure_at_valve(p, rho, h, dp),
    cite=_LOOP,
)
EXPANSION = Equation(
    symbol="V_ex",
    label="growth of the water",
    kind=u.VOLUME,
    formula="V_s*(rho_cold/rho_hot - 1)",
    where={
        "V_s": Symbol("system volume", u.VOLUME),
        "rho_cold": Symbol("density cold", u.DENSITY),
        "rho_hot": Symbol("density hot", u.DENSITY),
    },
    function=lambda volume, cold, hot: expanded_volume(volume, cold / hot - 1.0),
    cite=EN_12828.at("annex D"),
)
START = Equation(
    symbol="P_start",
    label="pressure when the gas starts to shrink",
    kind=u.ABSOLUTE_PRESSURE,
    formula="max(P_fill, P_0)",
    where={
        "P_fill": Symbol("cold fill at the vessel", u.ABSOLUTE_PRESSURE),
        "P_0": Symbol("charge", u.ABSOLUTE_PRESSURE),
    },
    function=max,
    cite=_BOYLE,
)
HOT = Equation(
    symbol="P_hot",
    label="hot pressure at the vessel",
    kind=u.ABSOLUTE_PRESSURE,
    formula="P_0*V/(V*min(P_0/P_fill, 1) - V_ex)",
    where={
        "V": Symbol("vessel volume", u.VOLUME),
        "P_0": Symbol("charge", u.ABSOLUTE_PRESSURE),
        "P_fill": Symbol("cold fill at the vessel", u.ABSOLUTE_PRESSURE),
        "V_ex": Symbol("growth of the water", u.VOLUME),
    },
    function=hot_pressure,
    cite=_BOYLE,
)
BOILING = Equation(
    symbol="P_v",
    label="pressure below which hot water boils",
    kind=u.ABSOLUTE_PRESSURE,
    words="read from the table of saturated water",
    where={"t": Symbol("highest temperature", u.TEMPERATURE)},
    function=vapour_pressure,
    cite=IAPWS_IF97.at("saturation line"),
)
TOLERANCE = Equation(
    symbol="dp_tol",
    label="set tolerance",
    kind=u.PRESSURE_DIFFERENCE,
    words="3 psi for a set pressure up to 60 psig, 5 % of it above",
    where={"p_set": _SET},
    function=relief.lift_tolerance,
    cite=_TOLERANCE,
)
LOWEST_LIFT = Equation(
    symbol="p_lift",
    label="lowest opening pressure",
    kind=u.GAUGE_PRESSURE,
    formula="p_set - dp_tol",
    where={"p_set": _SET, "dp_tol": Symbol("set tolerance", u.PRESSURE_DIFFERENCE)},
    function=relief.lowest_lift,
    cite=COMMON_PRACTICE.at("what a set tolerance means"),
)


def _gap_equation(rule: str) -> Equation:
    function, cite = GAPS[rule]
    common = {
        "symbol": "dp_gap",
        "label": "margin asked",
        "kind": u.PRESSURE_DIFFERENCE,
        "where": {"p_set": _SET},
        "function": function,
        "cite": cite,
    }
    if rule == "tenth":
        return Equation(formula="0.1*p_set", **common)
    if rule == "quarter":
        common["where"] = {"p_set": Symbol("set pressure", u.GAUGE_PRESSURE, unit="psi")}
        return Equation(formula="max(10, 0.25*p_set)", unit="psi", **common)
    words = {
        "half bar": "0.5 bar for a set pressure up to 5 bar, a tenth of it above",
        "five psi": "5 psi at any set pressure",
    }
    return Equation(words=words[rule], **common)


GAP = {rule: _gap_equation(rule) for rule in GAPS}
GREATEST = Equation(
    symbol="p_max",
    label="greatest hot pressure at the valve",
    kind=u.GAUGE_PRESSURE,
    formula="p_set - dp_gap",
    where={"p_set": _SET, "dp_gap": Symbol("margin asked", u.PRESSURE_DIFFERENCE)},
    function=relief.greatest_hot_pressure,
    cite=EN_12828.at("annex D, final pressure"),
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
HIGHEST_FILL = Equation(
    symbol="P_fill_max",
    label="cold fill that keeps the margin",
    kind=u.ABSOLUTE_PRESSURE,
    formula="1/(1/P_start - 1/P_hot + 1/P_max)",
    where={"P_start": _START, "P_hot": _HOT_ABS, "P_max": _MOST_ABS},
    function=relief.restoring_fill,
    cite=_BOYLE,
)
SMALLEST_VESSEL = Equation(
    symbol="V_min",
    label="vessel that keeps the margin",
    kind=u.VOLUME,
    formula="V*(1/P_start - 1/P_hot)/(1/P_start - 1/P_max)",
    where={
        "V": Symbol("vessel volume", u.VOLUME),
        "P_start": _START,
        "P_hot": _HOT_ABS,
        "P_max": _MOST_ABS,
    },
    function=relief.restoring_vessel,
    cite=_BOYLE,
)
LOWEST_CHARGE = Equation(
    symbol="P_0_min",
    label="charge that keeps the margin",
    kind=u.ABSOLUTE_PRESSURE,
    formula="P_0*(1/P_fill - 1/P_hot)/(1/P_fill - 1/P_max)",
    where={
        "P_0": Symbol("charge", u.ABSOLUTE_PRESSURE),
        "P_fill": Symbol("cold fill at the vessel", u.ABSOLUTE_PRESSURE),
        "P_hot": _HOT_ABS,
        "P_max": _MOST_ABS,
    },
    function=relief.restoring_charge,
    cite=_BOYLE,
)
RELIEVING = Equation(
    symbol="P_r",
    label="pressure at which the valve passes its rated flow",
    kind=u.ABSOLUTE_PRESSURE,
    formula="1.1*p_set + P_air",
    where={"p_set": _SET, "P_air": _P_AMB},
    function=lambda set_gauge, ambient: relief.relieving_pressure(set_gauge, 0.1, ambient),
    cite=ISO_4126_1.at("overpressure of 10 %"),
)
EVAPORATION = Equation(
    symbol="h",
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
    formula="Q/h",
    where={
        "Q": Symbol("output of the boiler", u.POWER),
        "h": Symbol("heat of evaporation", u.SPECIFIC_ENERGY),
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
    formula="W*h",
    where={
        "W": Symbol("rated steam", u.MASS_FLOW),
        "h": Symbol("heat of evaporation", u.SPECIFIC_ENERGY),
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
    symbol="p_set2",
    label="highest setting of a further valve",
    kind=u.GAUGE_PRESSURE,
    words="6 psi above a working pressure of up to 60 psig, a tenth above a higher one",
    where={"MAWP": Symbol("maximum working pressure", u.GAUGE_PRESSURE)},
    function=relief.second_valve_limit,
    cite=MARYLAND_BOILER_RULES.at(),
)
FURTHER_EN = Equation(
    symbol="p_set2",
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
    formula="p_set + dp_tol + rho*g*(h_valve - h_part)",
    where={
        "p_set": Symbol("highest set pressure", u.GAUGE_PRESSURE),
        "dp_tol": Symbol("set tolerance", u.PRESSURE_DIFFERENCE),
        "rho": _RHO,
        "g": _G,
        "h_valve": Symbol("height of the valve above the vessel", u.LENGTH),
        "h_part": Symbol("height of the part above the vessel", u.LENGTH),
    },
    function=lambda p, tol, rho, g, valve, part: p + tol + static_pressure(rho, valve - part),
    cite=_STATIC,
)


def solve(v: SimpleNamespace) -> Solution:
    """Return hot pressure, margin, what would restore it, and the valves' capacity."""
    w = Work()
    fluid = _fluid(v)
    if v.hot <= v.cold:
        raise Refusal(
            say(
                "The hot temperature {hot} is not above the cold one, {cold}. "
                "Enter the highest water temperature here and the filling temperature as cold.",
                hot=(v.hot, u.TEMPERATURE),
                cold=(v.cold, u.TEMPERATURE),
            ),
            field="hot",
            cite=PHYSICS.at("thermal expansion"),
        )
    ambient = w.step(AMBIENT, z=v.altitude)
    rho_cold = _density_step(w, v, fluid, "cold")
    rho_hot = _density_step(w, v, fluid, "hot")
    valve_gain, gauge_gain = _flow_gains(w, v)

    tolerance, lift = _lift(w, v)
    gap = w.step(GAP[v.rule], p_set=v.relief)
    if gap >= v.relief:
        raise Refusal(
            say(
                "The margin asked, {gap}, is as much as the set pressure {set} itself. "
                "Choose a rule made for such a low setting, such as a tenth of it.",
                gap=(gap, u.PRESSURE_DIFFERENCE),
                set=(v.relief, u.GAUGE_PRESSURE),
            ),
            field="rule",
            cite=GAPS[v.rule][1],
        )

    fill = w.step(
        AT_VESSEL, p=v.cold_fill, rho=rho_cold, g=STANDARD_GRAVITY, h=v.gauge_height, dp=0.0
    )
    _refuse_lift_when_cold(v, fill, rho_cold, valve_gain)
    fill_abs = w.step(GAS_FROM_GAUGE, p=fill, P_air=ambient)
    if fill_abs <= 0.0:
        raise Refusal(
            "The fill at the vessel would be below a vacuum. "
            "Check the gauge's reading and its height below the vessel.",
            field="gauge_height",
            cite=_STATIC,
        )
    charge_abs = w.step(GAS_FROM_GAUGE, p=v.charge, P_air=ambient)
    start_abs = w.step(START, P_fill=fill_abs, P_0=charge_abs)
    if v.basis == "predicted":
        most = relief.pressure_at_vessel(v.relief - gap, rho_hot, v.valve_height, valve_gain)
        hot_abs = _predicted(w, v, rho_cold, rho_hot, charge_abs, fill_abs, most + ambient)
        hot_vessel = w.step(GAUGE_FROM_GAS, P=hot_abs, P_air=ambient)
        hot_gauge = w.step(
            AT_GAUGE,
            p_vessel=hot_vessel,
            rho=rho_hot,
            g=STANDARD_GRAVITY,
            h=v.gauge_height,
            dp=gauge_gain,
        )
    else:
        hot_gauge = v.hot_reading
        hot_vessel = w.step(
            AT_VESSEL,
            p=hot_gauge,
            rho=rho_hot,
            g=STANDARD_GRAVITY,
            h=v.gauge_height,
            dp=gauge_gain,
        )
        hot_abs = w.step(GAS_FROM_GAUGE, p=hot_vessel, P_air=ambient)
        _refuse_no_rise(v, hot_vessel, fill, start_abs - ambient, start_abs, hot_abs)
    hot_valve = w.step(
        AT_VALVE,
        p_vessel=hot_vessel,
        rho=rho_hot,
        g=STANDARD_GRAVITY,
        h=v.valve_height,
        dp=valve_gain,
    )
    _refuse_boiling(w, v, ambient, rho_hot, hot_vessel)

    margin = w.step(MARGIN, p_open=v.relief, p_valve=hot_valve)
    greatest = w.step(GREATEST, p_set=v.relief, dp_gap=gap)
    greatest_vessel = w.step(
        AT_VESSEL, p=greatest, rho=rho_hot, g=STANDARD_GRAVITY, h=v.valve_height, dp=valve_gain
    )
    greatest_gauge = w.step(
        AT_GAUGE,
        p_vessel=greatest_vessel,
        rho=rho_hot,
        g=STANDARD_GRAVITY,
        h=v.gauge_height,
        dp=gauge_gain,
    )
    restore = _restoring(w, v, ambient, rho_cold, charge_abs, fill_abs, hot_abs, greatest_vessel)

    w.result("margin", margin)
    w.result("margin_asked", gap)
    w.result("hot_at_valve", hot_valve)
    w.result("hot_at_vessel", hot_vessel)
    w.result("hot_at_gauge", hot_gauge)
    w.result("lowest_lift", lift)
    to_lift = margin if tolerance == 0.0 else w.step(MARGIN, p_open=lift, p_valve=hot_valve)
    w.result("margin_to_lift", to_lift)
    w.result("greatest_at_vessel", greatest_vessel)
    w.result("greatest_on_gauge", greatest_gauge)
    w.result("highest_fill", restore.fill)
    w.result("smallest_vessel", restore.vessel)
    w.result("lowest_charge", restore.charge)

    _check_margin(w, v, margin, gap, hot_valve, greatest_gauge, restore)
    _check_lift(w, v, tolerance, lift, hot_valve, greatest)
    _check_fill(w, v, fill, rho_cold, charge_abs, fill_abs)
    _check_pump(w, v, margin, gap, valve_gain)
    _chart(w, v, fluid, ambient, fill_abs, start_abs, hot_abs, valve_gain, greatest, lift)
    if v.capacity == "yes":
        _capacity(w, v, ambient)
        _ratings(w, v, rho_cold, tolerance)
    else:
        for name in CAPACITY_OUTPUTS:
            w.result(name, None)
    return w.solution()


CAPACITY_OUTPUTS = (
    "boiler_output",
    "steam_to_pass",
    "valve_capacity",
    "capacity_spare",
    "blow_off_limit",
    "further_valve_limit",
    "weakest_part",
    "pressure_on_weakest",
    "weakest_spare",
)


def _fluid(v: SimpleNamespace) -> Fluid:
    if v.fluid == "water" or v.glycol == 0.0:
        return Fluid()
    try:
        return Fluid(v.fluid, v.glycol)
    except Refusal as refused:
        raise Refusal(refused.message, field="glycol", cite=refused.cite) from None


def _density_step(w: Work, v: SimpleNamespace, fluid: Fluid, field: str) -> float:
    values = {"t": getattr(v, field)}
    if fluid.volume_fraction:
        values["phi"] = fluid.volume_fraction
    try:
        return w.step(DENSITY[fluid.substance], **values)
    except Refusal as refused:
        raise Refusal(refused.message, field=field, cite=refused.cite) from None


def _flow_gains(w: Work, v: SimpleNamespace) -> tuple[float, float]:
    """Return what the flow adds at the valve (at worst) and at the gauge (as chosen)."""
    if v.pump == "stopped":
        return 0.0, 0.0
    head = v.pump_head if v.pump == "between" else 0.0
    gain = w.step(FLOW_GAIN, H=head, f=v.friction)
    at_valve = w.step(WORST_GAIN, dp=gain)
    return at_valve, gain if v.gauge_side == "valve" else 0.0


def _lift(w: Work, v: SimpleNamespace) -> tuple[float, float]:
    if v.tolerance == "none":
        return 0.0, v.relief
    tolerance = v.own_tolerance
    if v.tolerance == "code":
        tolerance = w.step(TOLERANCE, p_set=v.relief)
    if tolerance >= v.relief:
        raise Refusal(
            say(
                "The tolerance {tol} is as much as the set pressure {set} itself. "
                "Enter the tolerance from the valve's papers.",
                tol=(tolerance, u.PRESSURE_DIFFERENCE),
                set=(v.relief, u.GAUGE_PRESSURE),
            ),
            field="own_tolerance" if v.tolerance == "own" else "tolerance",
            cite=_TOLERANCE,
        )
    return tolerance, w.step(LOWEST_LIFT, p_set=v.relief, dp_tol=tolerance)


def _refuse_lift_when_cold(
    v: SimpleNamespace, fill: float, rho_cold: float, valve_gain: float
) -> None:
    cold_valve = relief.pressure_at_valve(fill, rho_cold, v.valve_height, valve_gain)
    if cold_valve < v.relief:
        return
    raise Refusal(
        say(
            "The valve opens at {set}, and the cold fill already puts {cold} on it. "
            "Enter the set pressure on the valve's plate, or lower the cold fill.",
            set=(v.relief, u.GAUGE_PRESSURE),
            cold=(cold_valve, u.GAUGE_PRESSURE),
        ),
        field="relief",
        cite=PHYSICS.at("a valve opens at its set pressure"),
    )


def _predicted(
    w: Work,
    v: SimpleNamespace,
    rho_cold: float,
    rho_hot: float,
    charge_abs: float,
    fill_abs: float,
    most_abs: float,
) -> float:
    """Return the hot pressure at the vessel, or refuse where its gas is used up. [Pa abs]"""
    growth = w.step(EXPANSION, V_s=v.system_volume, rho_cold=rho_cold, rho_hot=rho_hot)
    if growth <= 0.0:
        raise Refusal(
            say(
                "Between {cold} and {hot} water does not grow. "
                "Enter the highest temperature the boiler can be set to.",
                cold=(v.cold, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field="hot",
            cite=IAPWS_IF97.at("density of water"),
        )
    gas = v.vessel_volume * min(charge_abs / fill_abs, 1.0)
    if growth >= gas:
        start_abs = max(fill_abs, charge_abs)
        values = {"growth": (growth, u.VOLUME), "gas": (gas, u.VOLUME)}
        if most_abs > start_abs:
            mend = "A vessel of at least {need} keeps the margin at this charge and fill."
            need = vessel_volume_general(growth, charge_abs, start_abs, most_abs)
            values["need"] = (need, u.VOLUME)
        else:
            mend = "Lower the cold fill first, then enter a larger vessel."
        raise Refusal(
            say(
                "The water grows by {growth}, and the vessel has only {gas} of gas to give way. "
                "The valve would open long before. " + mend,
                **values,
            ),
            field="vessel_volume",
            cite=_BOYLE,
        )
    return w.step(HOT, V=v.vessel_volume, P_0=charge_abs, P_fill=fill_abs, V_ex=growth)


def _refuse_no_rise(
    v: SimpleNamespace,
    hot_vessel: float,
    fill: float,
    start: float,
    start_abs: float,
    hot_abs: float,
) -> None:
    if hot_vessel <= fill:
        raise Refusal(
            say(
                "Hot, the vessel stands at {hot}, no higher than cold at {cold}. A "
                "working system rises. Read the gauge again cold and hot, and check that it is "
                "not blocked.",
                hot=(hot_vessel, u.GAUGE_PRESSURE),
                cold=(fill, u.GAUGE_PRESSURE),
            ),
            field="hot_reading",
            cite=_BOYLE,
        )
    if hot_abs <= start_abs:
        raise Refusal(
            say(
                "Even hot, the vessel stands at {hot}, no higher than its charge of {charge}, so "
                "no water has gone in. Check the charge with the water side drained and open, "
                "and the valve between vessel and system.",
                hot=(hot_vessel, u.GAUGE_PRESSURE),
                charge=(start, u.GAUGE_PRESSURE),
            ),
            field="charge",
            cite=_BOYLE,
        )


def _refuse_boiling(
    w: Work, v: SimpleNamespace, ambient: float, rho_hot: float, hot_vessel: float
) -> None:
    boiling = w.step(BOILING, t=v.hot)
    highest = max(v.valve_height, v.gauge_height, 0.0)
    there = relief.pressure_at_valve(hot_vessel, rho_hot, highest, 0.0) + ambient
    if there > boiling:
        return
    raise Refusal(
        say(
            "Water at {hot} boils below {boiling}, and with the pump stopped the highest of "
            "vessel, gauge and valve has only {there}. Lower the temperature, or raise the fill "
            "and the charge.",
            hot=(v.hot, u.TEMPERATURE),
            boiling=(boiling, u.ABSOLUTE_PRESSURE),
            there=(there, u.ABSOLUTE_PRESSURE),
        ),
        field="hot",
        cite=IAPWS_IF97.at("saturation line"),
    )


def _restoring(
    w: Work,
    v: SimpleNamespace,
    ambient: float,
    rho_cold: float,
    charge_abs: float,
    fill_abs: float,
    hot_abs: float,
    greatest_vessel: float,
) -> SimpleNamespace:
    """Return the fill on the gauge, the vessel and the charge that keep exactly the margin."""
    empty = fill_abs < charge_abs
    found = SimpleNamespace(fill=None, vessel=None, charge=None, empty=empty)
    if greatest_vessel + ambient <= 0.0:
        return found
    start_abs = max(fill_abs, charge_abs)
    most_abs = w.step(GAS_FROM_GAUGE, p=greatest_vessel, P_air=ambient)
    new_fill = w.step(HIGHEST_FILL, P_start=start_abs, P_hot=hot_abs, P_max=most_abs)
    if new_fill >= charge_abs:
        at_vessel = w.step(GAUGE_FROM_GAS, P=new_fill, P_air=ambient)
        found.fill = w.step(
            AT_GAUGE,
            p_vessel=at_vessel,
            rho=rho_cold,
            g=STANDARD_GRAVITY,
            h=v.gauge_height,
            dp=0.0,
        )
    if most_abs <= start_abs:
        return found
    found.vessel = w.step(
        SMALLEST_VESSEL, V=v.vessel_volume, P_start=start_abs, P_hot=hot_abs, P_max=most_abs
    )
    if not empty:
        new_charge = w.step(
            LOWEST_CHARGE, P_0=charge_abs, P_fill=fill_abs, P_hot=hot_abs, P_max=most_abs
        )
        if new_charge <= fill_abs:
            found.charge = w.step(GAUGE_FROM_GAS, P=new_charge, P_air=ambient)
    return found


_SENSIBLE_GROWTH = 5.0
"""A vessel this many times larger is no remedy while another one exists. [-]"""


def _remedy(v: SimpleNamespace, restore: SimpleNamespace) -> tuple[str, dict]:
    """Return the sentence that says what restores the margin, with its quantities."""
    ways, values = [], {}
    if restore.fill is not None:
        ways.append(
            "lower the cold fill to {fill} on the gauge, as long as the highest point keeps "
            "its pressure"
        )
        values["fill"] = (restore.fill, u.GAUGE_PRESSURE)
    if restore.charge is not None:
        ways.append("raise the charge to {charge} with the vessel isolated and drained")
        values["charge"] = (restore.charge, u.GAUGE_PRESSURE)
    sensible = restore.vessel is not None and (
        not ways or restore.vessel <= _SENSIBLE_GROWTH * v.vessel_volume
    )
    if sensible:
        ways.append("have a vessel of at least {vessel} fitted at this charge and fill")
        values["vessel"] = (restore.vessel, u.VOLUME)
    if not ways:
        return (
            "Neither a lower fill above this charge nor a larger vessel restores the margin. "
            "Lower charge and fill together if the height of the system allows, lower the "
            "highest temperature, or have a valve with a higher setting chosen that every part "
            "stands.",
            values,
        )
    words = ", or ".join(ways) + "."
    words = words[0].upper() + words[1:]
    if restore.fill is None:
        reason = (
            "The fill already lies below the charge, and lowering it does not help. "
            if restore.empty
            else "Lowering the fill alone would take it below the charge. "
        )
        words = reason + words
    elif restore.vessel is None:
        words = "No vessel is large enough at this fill. " + words
    return words, values


def _check_margin(
    w: Work,
    v: SimpleNamespace,
    margin: float,
    gap: float,
    hot_valve: float,
    greatest_gauge: float,
    restore: SimpleNamespace,
) -> None:
    cite = GAPS[v.rule][1]
    values = {
        "hot": (hot_valve, u.GAUGE_PRESSURE),
        "set": (v.relief, u.GAUGE_PRESSURE),
        "gap": (gap, u.PRESSURE_DIFFERENCE),
        "margin": (margin, u.PRESSURE_DIFFERENCE),
        "most": (greatest_gauge, u.GAUGE_PRESSURE),
    }
    label = "Margin below the relief valve"
    if margin >= gap - 1e-6 * v.relief:
        w.check(
            "margin",
            label,
            "pass",
            say(
                "Hot, the valve sees {hot} and opens at {set}: {margin} in hand, {gap} asked. "
                "The gauge may show up to {most} hot.",
                **values,
            ),
            cite,
        )
        return
    if margin <= 0.0:
        words = (
            "The valve opens at {set}, and heating up would take it to {hot}. "
            "It opens on every heat-up. "
        )
    else:
        words = "Hot, the valve sees {hot}: only {margin} below its {set}, and {gap} is asked. "
    remedy, restoring = _remedy(v, restore)
    w.check("margin", label, "fail", say(words + remedy, **values, **restoring), cite)


def _check_lift(
    w: Work, v: SimpleNamespace, tolerance: float, lift: float, hot_valve: float, greatest: float
) -> None:
    if v.tolerance == "none":
        return
    values = {
        "lift": (lift, u.GAUGE_PRESSURE),
        "hot": (hot_valve, u.GAUGE_PRESSURE),
        "tol": (tolerance, u.PRESSURE_DIFFERENCE),
        "most": (greatest, u.GAUGE_PRESSURE),
    }
    label = "Room left for the set tolerance"
    slack = 1e-6 * v.relief
    if hot_valve >= lift - slack:
        status, words = (
            "fail",
            (
                "The valve may open at {lift}, and hot it sees {hot}. "
                "Lower the hot pressure, or have the valve tested and changed for one that "
                "opens true."
            ),
        )
    elif greatest >= lift - slack:
        status, words = (
            "caution",
            (
                "The rule allows up to {most}, but the tolerance of {tol} lets the valve open at "
                "{lift}. The rule's margin is used up: choose a larger one."
            ),
        )
    else:
        status, words = (
            "pass",
            (
                "The valve opens at {lift} or above, and hot it sees {hot}. "
                "The rule's margin is wider than the tolerance of {tol}."
            ),
        )
    w.check(
        "lift",
        label,
        status,
        say(words, **values),
        _TOLERANCE if v.tolerance == "code" else COMMON_PRACTICE.at("set tolerance"),
    )


def _check_fill(
    w: Work, v: SimpleNamespace, fill: float, rho_cold: float, charge_abs: float, fill_abs: float
) -> None:
    values = {
        "fill": (fill, u.GAUGE_PRESSURE),
        "charge": (v.charge, u.GAUGE_PRESSURE),
    }
    if fill_abs >= charge_abs * (1.0 - 1e-6):
        held = water_in_vessel(v.vessel_volume, charge_abs, fill_abs)
        w.check(
            "fill",
            "Cold fill at or above the charge",
            "pass",
            say(
                "Cold, the vessel stands at {fill}, its charge is {charge}, and it holds {held}.",
                held=(held, u.VOLUME),
                **values,
            ),
            COMMON_PRACTICE.at("fill at or above the charge"),
        )
        return
    on_gauge = relief.pressure_at_valve(v.charge, rho_cold, v.gauge_height, 0.0)
    w.check(
        "fill",
        "Cold fill at or above the charge",
        "fail",
        say(
            "Cold, the vessel stands at {fill}, below its charge of {charge}. It is empty, and the "
            "pressure falls away as the system cools. Fill to at least {gauge} on the gauge, or "
            "lower the charge if the height of the system allows.",
            gauge=(on_gauge, u.GAUGE_PRESSURE),
            **values,
        ),
        COMMON_PRACTICE.at("fill at or above the charge"),
    )


def _check_pump(w: Work, v: SimpleNamespace, margin: float, gap: float, valve_gain: float) -> None:
    label = "Pump between vessel and valve"
    gain = {"gain": (valve_gain, u.PRESSURE_DIFFERENCE)}
    if v.pump == "stopped":
        w.check(
            "pump",
            label,
            "caution",
            "The margin holds with the pump stopped. If it is met on the way from the vessel to "
            "the valve, choose that and enter its head: the valve sees it on top.",
            _LOOP,
        )
    elif valve_gain == 0.0:
        w.check(
            "pump",
            label,
            "pass",
            "The running pump adds nothing at the valve. The margin is taken with the pump "
            "stopped, when the valve sees the most.",
            _LOOP,
        )
    elif margin < gap <= margin + valve_gain:
        w.check(
            "pump",
            label,
            "fail",
            say(
                "With the pump stopped the margin is enough. Running, it adds {gain} at the valve "
                "and takes it away. Keep the hot pressure at the vessel lower by that much, or "
                "have the vessel connected so that the pump is not between it and the valve.",
                **gain,
            ),
            _LOOP,
        )
    else:
        w.check(
            "pump",
            label,
            "pass",
            say(
                "The running pump adds {gain} at the valve. It is counted in the margin, "
                "and the pressure at the vessel does not change with it.",
                **gain,
            ),
            _LOOP,
        )


def _chart(
    w: Work,
    v: SimpleNamespace,
    fluid: Fluid,
    ambient: float,
    fill_abs: float,
    start_abs: float,
    hot_abs: float,
    valve_gain: float,
    greatest: float,
    lift: float,
) -> None:
    """Draw the pressure at the valve from cold to hot.

    The gas laws make 1/P fall in proportion to the expansion, whether the hot pressure was
    predicted or read.
    """
    whole = relative_expansion(fluid, v.cold, v.hot)
    if whole <= 0.0:
        return
    points = []
    count = 24
    for i in range(count + 1):
        t = v.cold + (v.hot - v.cold) * i / count
        if i == 0:
            at_vessel = fill_abs
        else:
            share = relative_expansion(fluid, v.cold, t) / whole
            at_vessel = 1.0 / (1.0 / start_abs - share * (1.0 / start_abs - 1.0 / hot_abs))
        at_valve = relief.pressure_at_valve(
            at_vessel - ambient, density(fluid, t), v.valve_height, valve_gain
        )
        points.append((t, at_valve))
    levels = [Level("relief valve set", v.relief, "limit")]
    if lift < v.relief:
        levels.append(Level("lowest opening", lift, "limit"))
    levels.append(Level("greatest by the rule", greatest, "info"))
    cold, hot = points[0], points[-1]
    w.chart(
        LineChart(
            id="heat-up",
            title="Pressure at the relief valve from cold to hot",
            x=Axis("water temperature", u.TEMPERATURE),
            y=Axis("pressure at the valve", u.GAUGE_PRESSURE),
            series=(Series("pressure at the valve", tuple(points), "main"),),
            levels=tuple(levels),
            marks=(Mark("cold", *cold), Mark("hot", *hot)),
            summary=say(
                "The pressure at the valve rises from {p1} at {t1} to {p2} at {t2}. "
                "The rule allows {most}; the valve is set at {set}.",
                p1=(cold[1], u.GAUGE_PRESSURE),
                t1=(cold[0], u.TEMPERATURE),
                p2=(hot[1], u.GAUGE_PRESSURE),
                t2=(hot[0], u.TEMPERATURE),
                most=(greatest, u.GAUGE_PRESSURE),
                set=(v.relief, u.GAUGE_PRESSURE),
            ),
        )
    )


def _named(row: SimpleNamespace, number: int, kind: str) -> str:
    """Return a row's name, safe inside a message's template."""
    return (row.name or f"{kind} {number}").replace("{", "{{").replace("}", "}}")


def _capacity(w: Work, v: SimpleNamespace, ambient: float) -> None:
    us = v.capacity_rule == "us"
    on_boiler = _valves_by_boiler(v)
    capacity = [0.0] * len(v.boilers)
    for number, row in enumerate(v.valves):
        capacity[int(row.boiler) - 1] += _valve_capacity(w, v, ambient, number, row)
    steam = 0.0
    for index, boiler in enumerate(v.boilers):
        if us:
            steam += w.step(STEAM_US, Q=boiler.output)
        else:
            lowest = min((r.valve_set for r in on_boiler[index]), default=v.relief)
            relieving = w.step(RELIEVING, p_set=lowest, P_air=ambient)
            steam += w.step(STEAM, Q=boiler.output, h=w.step(EVAPORATION, P_r=relieving))
    spare = [c - b.output for c, b in zip(capacity, v.boilers, strict=True)]
    worst = min(range(len(spare)), key=lambda i: spare[i])
    weakest = min(v.boilers, key=lambda b: b.mawp)
    w.result("boiler_output", sum(b.output for b in v.boilers))
    w.result("steam_to_pass", steam)
    w.result("valve_capacity", sum(capacity))
    w.result("capacity_spare", spare[worst])
    w.result("blow_off_limit", w.step(BLOW_OFF_US if us else BLOW_OFF_EN, MAWP=weakest.mawp))
    w.result("further_valve_limit", w.step(FURTHER_US if us else FURTHER_EN, MAWP=weakest.mawp))

    cite = NEW_YORK_BOILER_RULES.at() if us else EN_12828.at("4.6, relieving capacity")
    name = _named(v.boilers[worst], worst + 1, "Boiler")
    values = {
        "capacity": (capacity[worst], u.POWER),
        "output": (v.boilers[worst].output, u.POWER),
        "short": (abs(spare[worst]), u.POWER),
    }
    label = "Valves pass each boiler's output"
    if spare[worst] < -1e-6 * v.boilers[worst].output:
        count = sum(1 for s in spare if s < 0.0)
        others = f"{count} boilers are short; this is the worst. " if count > 1 else ""
        words = (
            f"{name} gives {{output}} and its valves pass {{capacity}}: {{short}} short. {others}"
            "Do not run it like this. Have a valve of larger capacity or a second one fitted on it."
        )
        w.check("capacity", label, "fail", say(words, **values), cite)
    else:
        words = (
            f"Every boiler is covered. The closest is {name}: it gives {{output}} and its valves "
            "pass {capacity}."
        )
        w.check("capacity", label, "pass", say(words, **values), cite)
    _check_settings(w, v, on_boiler, us)


def _valves_by_boiler(v: SimpleNamespace) -> list[list[SimpleNamespace]]:
    found: list[list[SimpleNamespace]] = [[] for _ in v.boilers]
    for number, row in enumerate(v.valves):
        if row.boiler != int(row.boiler) or row.boiler > len(v.boilers):
            raise Refusal(
                f"There is no boiler {row.boiler:g} in the list of {len(v.boilers)}. "
                "Enter the row number of the boiler this valve stands on.",
                field=f"valves.{number}.boiler",
                cite=OWN_RULE.at("one row for each boiler"),
            )
        found[int(row.boiler) - 1].append(row)
    return found


def _valve_capacity(
    w: Work, v: SimpleNamespace, ambient: float, number: int, row: SimpleNamespace
) -> float:
    """Return what a valve carries off, in heat. [W]"""
    if row.rating == "heat":
        return row.heat
    if row.rating == "sv-100":
        _refuse_outside_sv_100(v, number, row)
        try:
            return w.step(VALVE_SV_100, A_0=row.flow_area, alpha_w=row.coefficient)
        except Refusal as refused:
            raise Refusal(
                refused.message, field=f"valves.{number}.flow_area", cite=SV_100.at("3.2")
            ) from None
    steam = row.steam
    relieving = None
    if row.rating == "iso":
        relieving = w.step(RELIEVING, p_set=row.valve_set, P_air=ambient)
        volume = w.step(STEAM_VOLUME, P_r=relieving)
        steam = w.step(
            DISCHARGE,
            A=row.flow_area,
            K=row.coefficient,
            P_r=relieving,
            v=volume,
            k=relief.STEAM_ISENTROPIC_EXPONENT,
        )
    if v.capacity_rule == "us":
        return w.step(VALVE_HEAT_US, W=steam)
    if relieving is None:
        relieving = w.step(RELIEVING, p_set=row.valve_set, P_air=ambient)
    return w.step(VALVE_HEAT, W=steam, h=w.step(EVAPORATION, P_r=relieving))


def _refuse_outside_sv_100(v: SimpleNamespace, number: int, row: SimpleNamespace) -> None:
    if abs(row.valve_set / relief.SV_100_SET - 1.0) > relief.ROUNDING - 1.0:
        raise Refusal(
            say(
                "This formula holds for valves set at {three}, and this one is set at {set}. "
                "Use its rated capacity, or the steam formula by flow area.",
                three=(relief.SV_100_SET, u.GAUGE_PRESSURE),
                set=(row.valve_set, u.GAUGE_PRESSURE),
            ),
            field=f"valves.{number}.valve_set",
            cite=SV_100.at("3.2"),
        )
    limit = u.TEMPERATURE.unit("degC").to_si(120.0)
    if v.hot > limit + 1e-6:
        raise Refusal(
            say(
                "This formula holds for flow temperatures up to {limit}, and {hot} is entered. "
                "Use the valve's rated capacity instead.",
                limit=(limit, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field=f"valves.{number}.rating",
            cite=SV_100.at("3.2"),
        )


def _check_settings(
    w: Work, v: SimpleNamespace, on_boiler: list[list[SimpleNamespace]], us: bool
) -> None:
    """Check the first valve of every boiler, its further valves, and the lowest of all."""
    first_cite = MARYLAND_BOILER_RULES.at() if us else EN_12828.at("4.6")
    slack = 1.0 + 1e-6
    first_bad, further_bad = None, None
    for index, (boiler, rows) in enumerate(zip(v.boilers, on_boiler, strict=True)):
        sets = sorted(row.valve_set for row in rows)
        if not sets:
            continue
        if sets[0] > boiler.mawp * slack and first_bad is None:
            first_bad = (index, sets[0])
        limit = relief.second_valve_limit(boiler.mawp) if us else boiler.mawp
        if sets[0] <= boiler.mawp * slack and sets[-1] > limit * slack and further_bad is None:
            further_bad = (index, sets[-1], limit)
    label = "First valve at or below the boiler's working pressure"
    if first_bad:
        index, found = first_bad
        boiler = v.boilers[index]
        name = _named(boiler, index + 1, "Boiler")
        w.check(
            "first-valve",
            label,
            "fail",
            say(
                f"{name} may work up to {{mawp}}, and no valve on it opens below {{set}}. "
                "Do not run it. Have a valve set at or below its working pressure fitted.",
                mawp=(boiler.mawp, u.GAUGE_PRESSURE),
                set=(found, u.GAUGE_PRESSURE),
            ),
            first_cite,
        )
    elif not all(on_boiler):
        index = next(i for i, rows in enumerate(on_boiler) if not rows)
        name = _named(v.boilers[index], index + 1, "Boiler")
        w.check(
            "first-valve",
            label,
            "fail",
            say(
                f"{name} has no relief valve in the list. Enter the valve that stands on it. "
                "If there is none, do not run it and have one fitted."
            ),
            first_cite,
        )
    else:
        w.check(
            "first-valve",
            label,
            "pass",
            "On every boiler the first valve opens at or below the working pressure.",
            first_cite,
        )
    label = "Further valves within their limit"
    if further_bad:
        index, found, limit = further_bad
        name = _named(v.boilers[index], index + 1, "Boiler")
        w.check(
            "further-valves",
            label,
            "fail",
            say(
                f"On {name} a further valve is set at {{set}}, above its limit of {{limit}}. "
                "Have it changed for one set at or below that.",
                set=(found, u.GAUGE_PRESSURE),
                limit=(limit, u.GAUGE_PRESSURE),
            ),
            first_cite,
        )
    elif any(len(rows) > 1 for rows in on_boiler):
        w.check(
            "further-valves",
            label,
            "pass",
            "Every further valve is set within its limit.",
            first_cite,
        )
    lowest = min(row.valve_set for row in v.valves)
    if lowest < v.relief / slack:
        w.check(
            "lowest-valve",
            "Margin taken at the lowest valve",
            "caution",
            say(
                "The list holds a valve set at {lowest}, and the margin was taken at {set}. "
                "Enter the lowest setting as the set pressure above.",
                lowest=(lowest, u.GAUGE_PRESSURE),
                set=(v.relief, u.GAUGE_PRESSURE),
            ),
            COMMON_PRACTICE.at("the lowest valve opens first"),
        )


def _ratings(w: Work, v: SimpleNamespace, rho_cold: float, tolerance: float) -> None:
    """Check every part against the pressure on it when the highest valve opens."""
    for name in ("weakest_part", "pressure_on_weakest", "weakest_spare"):
        w.result(name, None)
    if not v.components:
        return
    highest = max([v.relief, *(row.valve_set for row in v.valves)])
    found = []
    for number, part in enumerate(v.components, start=1):
        pressure = w.step(
            ON_PART,
            p_set=highest,
            dp_tol=tolerance,
            rho=rho_cold,
            g=STANDARD_GRAVITY,
            h_valve=v.valve_height,
            h_part=part.height,
        )
        found.append((part.rated - pressure, pressure, number, part))
    spare, pressure, number, part = min(found, key=lambda f: (f[0], f[2]))
    w.result("weakest_part", part.name or f"Part {number}")
    w.result("pressure_on_weakest", pressure)
    w.result("weakest_spare", spare)
    name = _named(part, number, "Part")
    values = {
        "pressure": (pressure, u.GAUGE_PRESSURE),
        "rated": (part.rated, u.GAUGE_PRESSURE),
        "valve": (highest, u.GAUGE_PRESSURE),
        "over": (0.1 * highest, u.PRESSURE_DIFFERENCE),
        "most": (part.rated - (pressure - highest), u.GAUGE_PRESSURE),
    }
    label = "Weakest part stands the relief valve"
    opening = (
        f"When the valve opens at {{valve}}, the pressure on “{name}” is {{pressure}}, "
        "and its rating is {rated}. "
    )
    if spare < -1e-6 * part.rated:
        status, words = (
            "fail",
            ("Have a valve set at {most} or lower fitted, or the part changed for a stronger one."),
        )
    elif spare < 0.1 * highest:
        status, words = (
            "caution",
            (
                "A valve needs about {over} more to open fully, and that is not there. "
                "Have a lower setting of the valve or a stronger part chosen."
            ),
        )
    else:
        status, words = "pass", "No other part in the list has less to spare."
    words = opening + words
    w.check("weakest-part", label, status, say(words, **values), _STATIC)


CALCULATOR = Calculator(
    id="relief-margin",
    title="Relief valve margin",
    question="How far below the relief valve does the system stay when hot?",
    summary="The hot pressure at vessel, gauge and valve, the margin below the relief valve, "
    "the fill or vessel that restores it, and whether the valves pass the boilers' output.",
    inputs=INPUTS,
    outputs=OUTPUTS,
    solve=solve,
    examples=(
        {"capacity": "yes"},
        {
            "relief": "30 psi",
            "tolerance": "code",
            "rule": "five psi",
            "valve_height": "6 ft",
            "gauge_height": "5 ft",
            "altitude": "1200 ft",
            "cold": "60 °F",
            "hot": "180 °F",
            "cold_fill": "12 psi",
            "charge": "12 psi",
            "vessel_volume": "44 gal",
            "basis": "predicted",
            "system_volume": "180 gal",
            "pump": "between",
            "pump_head": "9 ft water",
            "friction": "1.5 ft water",
            "gauge_side": "vessel",
            "capacity": "yes",
            "capacity_rule": "us",
            "boilers": "North boiler | 250000 Btu/h | 30 psi",
            "valves": "1 | 30 psi | steam | | 150 lb/h | | ; "
            "1 | 34 psi | heat | 150000 Btu/h | | | ",
            "components": "Boiler | 50 psi | 1 ft; Basement convector | 60 psi | -6 ft",
        },
        {
            "relief": "100 psi",
            "tolerance": "own",
            "own_tolerance": "2 psi",
            "rule": "quarter",
            "basis": "read",
            "cold_fill": "35 psi",
            "hot_reading": "58 psi",
            "charge": "33 psi",
            "vessel_volume": "80 gal",
            "cold": "55 °F",
            "hot": "200 °F",
            "pump": "elsewhere",
            "friction": "2 psi",
            "gauge_side": "vessel",
            "valve_height": "-9 ft",
            "gauge_height": "4 ft",
            "altitude": "5280 ft",
            "fluid": "propylene glycol",
            "glycol": "35 %",
        },
        {
            "relief": "2.5 bar",
            "rule": "tenth",
            "basis": "read",
            "cold_fill": "1.1 bar",
            "hot_reading": "2.1 bar",
            "charge": "0.8 bar",
            "vessel_volume": "80 L",
            "pump": "stopped",
            "valve_height": "3 m",
            "gauge_height": "-2 m",
            "altitude": "1500 m",
            "fluid": "ethylene glycol",
            "glycol": "25 %",
            "capacity": "yes",
            "boilers": "Boiler 1 | 70 kW | 3 bar",
            "valves": "1 | 2.5 bar | iso | | | 200 mm2 | 0.45; "
            "1 | 3 bar | sv-100 | | | 113.1 mm2 | 0.4",
            "components": "Panel | 4 bar | -1 m",
        },
        {
            "cold_fill": "1.2 bar",
            "charge": "1.6 bar",
            "vessel_volume": "200 L",
            "hot": "85 °C",
            "pump_head": "0.45 bar",
        },
    ),
)

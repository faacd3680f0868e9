"""How long a vessel or a section takes to drain, what stops it, and whether the drain copes."""

from __future__ import annotations

from math import ceil, pi

from calc import units as u
from calc.atmosphere import standard_pressure
from calc.drainage import (
    TRICKLE_HEAD,
    Content,
    Hose,
    Moment,
    cold_water_ratio,
    drain_curve,
    drain_time,
    driving_pressure,
    filled_mass,
    flash_fraction,
    free_air,
    grate_orifice_flow,
    grate_weir_flow,
    largest_recoil,
    largest_surplus,
    mixed_temperature,
    sealed_drain_time,
    shortest_sump_cycle,
    stall_volume,
    stored_gas_energy,
    sump_cycle,
)
from calc.fluids import WATER, Fluid, density, dynamic_viscosity, saturation_temperature
from calc.friction import (
    driven_velocity,
    friction_factor,
    hose_velocity,
    reynolds_number,
)
from calc.hydrostatics import STANDARD_GRAVITY, height_of_pressure, static_pressure
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
    Option,
    Output,
    Quantity,
    Refusal,
    Series,
    Solution,
    Step,
    Symbol,
    Values,
    Work,
    say,
)
from calc.sources import (
    ASME_PCC_2,
    CFR_29_1910_242,
    CFR_40_403,
    CHURCHILL_1977,
    COMMON_PRACTICE,
    COOLPROP,
    CPSC_5098,
    DWA_M_115_2,
    EPA_1102,
    FLOW_TEXTBOOKS,
    IAPWS_IF97,
    ICAO_ATMOSPHERE,
    NIOSH_94_110,
    OWN_RULE,
    PHILADELPHIA_PLUMBING,
    PHYSICS,
    TXDOT_HYDRAULICS,
    UPC,
    WATER_INDUSTRY_ACT,
)
from calc.vessel import water_in_vessel

_CELSIUS = u.TEMPERATURE.unit("degC")

VESSEL, LOOP = "vessel", "loop"
KNOWN, CHARGE, WATERLOGGED = "known", "charge", "waterlogged"
VENTED, UNVENTED, GAS, AIR = "vented", "unvented", "gas", "air"
FLOOR, SUMP, CONTAINER = "floor drain", "sump", "container"
TO_SEWER = (FLOOR, SUMP)

ENTRY_LOSS = 0.5
"""Loss coefficient of the entry into the outlet. [-]"""

VALVE_LOSSES = {"none": 0.0, "full-bore": 0.1, "part-turn": 0.5, "cock": 4.0, "narrow": 10.0}
"""Loss coefficients of an open outlet valve. [-]"""

RULES = {
    "60": (_CELSIUS.to_si(60.0), UPC.at("810.1")),
    "43.3": (u.TEMPERATURE.unit("degF").to_si(110.0), WATER_INDUSTRY_ACT.at("section 111")),
    "40": (_CELSIUS.to_si(40.0), CFR_40_403.at("403.5(b)")),
    "35": (_CELSIUS.to_si(35.0), DWA_M_115_2.at("limits at hand-over, 2005")),
}
"""Highest temperature into a drain by rule. [K]"""

OPEN_BELOW = _CELSIUS.to_si(49.0)
"""Water up to here burns only after minutes. [K]"""

BURNS_AT_ONCE = _CELSIUS.to_si(60.0)
"""Water from here on burns deeply within seconds. [K]"""

BOILING_MARGIN = 10.0
"""Distance below the boiling point under which opening is warned of. [K]"""

AIR_CEILING = 30.0 * u.PRESSURE_DIFFERENCE.unit("psi").scale
"""Ceiling for compressed air, borrowed from a rule for cleaning. [Pa gauge]"""

ONE_PERSON = 23.0
"""Load one person may lift in the best posture. [kg]"""

_HAIR = 1.0 + 1e-9

_ENERGY = PHYSICS.at("energy equation for steady flow")
_BOYLE = PHYSICS.at("Boyle's law, gas at one temperature")
_MASS = PHYSICS.at("mass balance")
_HEAT = PHYSICS.at("heat balance, one specific heat")
_GAUGE = PHYSICS.at("gauge and absolute pressure")
_SHAPE = PHYSICS.at("upright shape of even section")
_SLIP = OWN_RULE.at("slips of the pen")
_LOSSES = FLOW_TEXTBOOKS.at("loss coefficients")
_MARGIN = OWN_RULE.at("10 K below the boiling point; no code figure")

_RHO = Symbol("density of the water", u.DENSITY)
_G = Symbol("standard gravity", u.ACCELERATION)
_PI = Symbol("ratio of a circle's girth to its diameter", u.NUMBER)
_P_A = Symbol("pressure of the air here", u.ABSOLUTE_PRESSURE)
_BORE = Symbol("hose bore", u.SMALL_LENGTH)
_LENGTH = Symbol("hose length", u.LENGTH)
_FITTINGS = Symbol("loss coefficients of entry, valve and fittings", u.NUMBER)
_FALL = Symbol("fall from outlet to hose end", u.LENGTH)
_SECTION = Symbol("area of the water's surface", u.AREA, unit="m2")
_ROUGHNESS = Symbol("roughness of the hose", u.SMALL_LENGTH, unit="um")
_MU = Symbol("dynamic viscosity of the water", u.VISCOSITY)
_VOLUME = Symbol("water to drain", u.VOLUME)
_PUSH = Symbol("gas pressure on the water", u.GAUGE_PRESSURE)


def _absolute(symbol: str, label: str) -> Equation:
    return Equation(
        symbol=symbol.upper(),
        label=f"{label}, absolute",
        kind=u.ABSOLUTE_PRESSURE,
        formula=f"{symbol} + P_a",
        where={symbol: Symbol(label, u.GAUGE_PRESSURE), "P_a": _P_A},
        function=lambda gauge, ambient: gauge + ambient,
        cite=_GAUGE,
    )


def _circle(ratio: float, diameter: float) -> float:
    return ratio * diameter**2 / 4.0


def _stalled(
    volume: float,
    section: float,
    fall: float,
    density: float,
    gas_volume: float,
    gas_abs: float,
    ambient_abs: float,
) -> float:
    return stall_volume(
        Content(volume, section, fall, density, 1.0, ambient_abs, gas_abs, gas_volume)
    )


AMBIENT = Equation(
    symbol="P_a",
    label="pressure of the air here",
    kind=u.ABSOLUTE_PRESSURE,
    unit="kPa",
    formula="101.325*(1 - 2.25577e-5*z_s)**5.25588",
    where={"z_s": Symbol("altitude", u.ALTITUDE, unit="m")},
    function=standard_pressure,
    cite=ICAO_ATMOSPHERE.at("lowest layer"),
)
BOILING = Equation(
    symbol="t_b",
    label="boiling point in the open here",
    kind=u.TEMPERATURE,
    words="read from the saturation curve of water",
    where={"P_a": _P_A},
    function=saturation_temperature,
    cite=IAPWS_IF97.at("saturation"),
)
CHARGE_ABS = _absolute("p_0", "charge")
SHUT_ABS = _absolute("p_1", "pressure when shut off")
GAS_ABS = _absolute("p_g", "gas pressure on the water")
IN_VESSEL = Equation(
    symbol="V",
    label="water in the vessel",
    kind=u.VOLUME,
    formula="V_N*(1 - P_0/P_1)",
    where={
        "V_N": Symbol("nominal volume of the vessel", u.VOLUME),
        "P_0": Symbol("charge", u.ABSOLUTE_PRESSURE),
        "P_1": Symbol("pressure when shut off", u.ABSOLUTE_PRESSURE),
    },
    function=water_in_vessel,
    cite=_BOYLE,
)
SECTION = Equation(
    symbol="A",
    label="area of the water's surface",
    kind=u.AREA,
    unit="m2",
    formula="pi*D**2/4",
    where={"pi": _PI, "D": Symbol("inside diameter", u.LENGTH)},
    function=_circle,
    cite=_SHAPE,
)
LEVEL = Equation(
    symbol="h",
    label="water level above the outlet",
    kind=u.LENGTH,
    formula="V/A",
    where={"V": _VOLUME, "A": _SECTION},
    function=lambda volume, section: volume / section,
    cite=_SHAPE,
)
EVEN_SECTION = Equation(
    symbol="A",
    label="area of the water's surface, as if even",
    kind=u.AREA,
    unit="m2",
    formula="V/h",
    where={"V": _VOLUME, "h": Symbol("water level above the outlet", u.LENGTH)},
    function=lambda volume, level: volume / level,
    cite=_SHAPE,
)
DRIVING = Equation(
    symbol="p_d",
    label="driving pressure at the start",
    kind=u.PRESSURE_DIFFERENCE,
    formula="p_g + rho*g*(h + z)",
    where={
        "p_g": _PUSH,
        "rho": _RHO,
        "g": _G,
        "h": Symbol("water level above the outlet", u.LENGTH),
        "z": _FALL,
    },
    function=lambda push, rho, _, level, fall: push + static_pressure(rho, level + fall),
    cite=_ENERGY,
)
STALL_SEALED = Equation(
    symbol="V_out",
    label="water that comes out",
    kind=u.VOLUME,
    words="the outflow at which gas, column and outside air balance; all of it if they never do",
    where={
        "V": _VOLUME,
        "A": _SECTION,
        "z": _FALL,
        "rho": _RHO,
        "V_g": Symbol("gas at the start", u.VOLUME),
        "P_g": Symbol("gas pressure at the start", u.ABSOLUTE_PRESSURE),
        "P_a": _P_A,
    },
    function=_stalled,
    cite=_BOYLE,
)
STALL_LIFTED = Equation(
    symbol="V_out",
    label="water that comes out",
    kind=u.VOLUME,
    formula="V + A*(z + p_g/(rho*g))",
    where={"V": _VOLUME, "A": _SECTION, "z": _FALL, "p_g": _PUSH, "rho": _RHO, "g": _G},
    function=lambda volume, section, fall, push, rho, _: (
        volume + section * (fall + height_of_pressure(push, rho))
    ),
    cite=_ENERGY,
)
REYNOLDS = Equation(
    symbol="Re",
    label="Reynolds number at the start",
    kind=u.NUMBER,
    formula="rho*v*d/mu",
    where={
        "rho": _RHO,
        "v": Symbol("velocity, found by trial until it returns below", u.VELOCITY),
        "d": _BORE,
        "mu": Symbol("dynamic viscosity of the water", u.VISCOSITY),
    },
    function=reynolds_number,
    cite=PHYSICS.at("Reynolds number"),
)
FRICTION = Equation(
    symbol="f",
    label="friction factor at the start",
    kind=u.NUMBER,
    formula="8*((8/Re)**12 + ((2.457*ln(1/((7/Re)**0.9 + 0.27*r)))**16"
    " + (37530/Re)**16)**(-1.5))**(1/12)",
    where={"Re": Symbol("Reynolds number", u.NUMBER), "r": Symbol("roughness over bore", u.NUMBER)},
    function=friction_factor,
    cite=CHURCHILL_1977.at("all flow regimes"),
)
VELOCITY = Equation(
    symbol="v",
    label="velocity at the start",
    kind=u.VELOCITY,
    formula="sqrt(2*p_d/(rho*(1 + K + f*L/d)))",
    where={
        "p_d": Symbol("driving pressure", u.PRESSURE_DIFFERENCE),
        "rho": _RHO,
        "f": Symbol("friction factor", u.NUMBER),
        "L": _LENGTH,
        "d": _BORE,
        "K": _FITTINGS,
    },
    function=driven_velocity,
    cite=_ENERGY,
)
BORE_AREA = Equation(
    symbol="a",
    label="area of the hose bore",
    kind=u.AREA,
    formula="pi*d**2/4",
    where={"pi": _PI, "d": _BORE},
    function=_circle,
    cite=_SHAPE,
)
FLOW = Equation(
    symbol="Q",
    label="flow at the start",
    kind=u.FLOW,
    formula="v*a",
    where={"v": Symbol("velocity", u.VELOCITY), "a": Symbol("area of the hose bore", u.AREA)},
    function=lambda velocity, area: velocity * area,
    cite=_MASS,
)
_RUN = {
    "V": _VOLUME,
    "A": _SECTION,
    "z": _FALL,
    "d": _BORE,
    "L": _LENGTH,
    "e": _ROUGHNESS,
    "K": _FITTINGS,
    "rho": _RHO,
    "mu": _MU,
}
TIME = Equation(
    symbol="t",
    label="time to drain",
    kind=u.TIME,
    words="the water to drain divided by the flow, summed as the level falls, "
    "until 2 mm of driving head are left",
    where={**_RUN, "p_g": _PUSH},
    function=drain_time,
    cite=_ENERGY,
)
TIME_SEALED = Equation(
    symbol="t",
    label="time to drain",
    kind=u.TIME,
    words="the water to drain divided by the flow, summed as the level falls and the gas "
    "expands, until 2 mm of driving head are left",
    where={
        **_RUN,
        "V_g": Symbol("gas at the start", u.VOLUME),
        "P_g": Symbol("gas pressure at the start", u.ABSOLUTE_PRESSURE),
        "P_a": _P_A,
    },
    function=sealed_drain_time,
    cite=_BOYLE,
)
_GRATE = Symbol("diameter of the grate", u.SMALL_LENGTH)
_CLEAR = Symbol("share left clear", u.FRACTION, unit="1")
RIM = Equation(
    symbol="P",
    label="rim of the grate left clear",
    kind=u.LENGTH,
    formula="pi*D*c",
    where={"pi": _PI, "D": _GRATE, "c": _CLEAR},
    function=lambda ratio, diameter, clear: ratio * diameter * clear,
    cite=TXDOT_HYDRAULICS.at("equation 10-30, round grate"),
)
OPENINGS = Equation(
    symbol="a_o",
    label="openings of the grate left clear",
    kind=u.AREA,
    formula="pi*D**2/4*s*c",
    where={
        "pi": _PI,
        "D": _GRATE,
        "s": Symbol("share of openings", u.FRACTION, unit="1"),
        "c": _CLEAR,
    },
    function=lambda ratio, diameter, openings, clear: _circle(ratio, diameter) * openings * clear,
    cite=TXDOT_HYDRAULICS.at("equation 10-31, round grate"),
)
WEIR = Equation(
    symbol="Q_w",
    label="flow over the rim of the grate",
    kind=u.FLOW,
    unit="L/s",
    formula="1660*P*y**1.5",
    where={
        "P": Symbol("rim left clear", u.LENGTH, unit="m"),
        "y": Symbol("depth of water above the grate", u.SMALL_LENGTH, unit="m"),
    },
    function=grate_weir_flow,
    cite=TXDOT_HYDRAULICS.at("equation 10-30"),
)
ORIFICE = Equation(
    symbol="Q_o",
    label="flow through the openings of the grate",
    kind=u.FLOW,
    formula="0.67*a_o*sqrt(2*g*y)",
    where={
        "a_o": Symbol("openings left clear", u.AREA),
        "g": _G,
        "y": Symbol("depth of water above the grate", u.SMALL_LENGTH),
    },
    function=lambda area, _, depth: grate_orifice_flow(area, depth),
    cite=TXDOT_HYDRAULICS.at("equation 10-31"),
)
CYCLE = Equation(
    symbol="t_c",
    label="from one pump start to the next",
    kind=u.TIME,
    formula="V_s/Q_in + V_s/(Q_p - Q_in)",
    where={
        "V_s": Symbol("sump volume between stop and start", u.VOLUME),
        "Q_in": Symbol("flow into the sump", u.FLOW),
        "Q_p": Symbol("pump flow", u.FLOW),
    },
    function=sump_cycle,
    cite=_MASS,
)
SHORTEST_CYCLE = Equation(
    symbol="t_min",
    label="shortest time between pump starts",
    kind=u.TIME,
    formula="4*V_s/Q_p",
    where={
        "V_s": Symbol("sump volume between stop and start", u.VOLUME),
        "Q_p": Symbol("pump flow", u.FLOW),
    },
    function=shortest_sump_cycle,
    cite=_MASS,
)
MIXED = Equation(
    symbol="t_m",
    label="temperature entering the drain at the start",
    kind=u.TEMPERATURE,
    unit="K",
    formula="(m_h*t_h + m_c*t_c)/(m_h + m_c)",
    where={
        "m_h": Symbol("mass flow of the hose", u.MASS_FLOW),
        "t_h": Symbol("temperature of the water", u.TEMPERATURE, unit="K"),
        "m_c": Symbol("mass flow of cold water beside it", u.MASS_FLOW),
        "t_c": Symbol("temperature of the cold water", u.TEMPERATURE, unit="K"),
    },
    function=mixed_temperature,
    cite=_HEAT,
)
RATIO = Equation(
    symbol="m",
    label="cold water for each unit of hot, by mass",
    kind=u.NUMBER,
    formula="(t_h - t_lim)/(t_lim - t_c)",
    where={
        "t_h": Symbol("temperature of the water", u.TEMPERATURE, unit="K"),
        "t_lim": Symbol("highest temperature into the drain", u.TEMPERATURE, unit="K"),
        "t_c": Symbol("temperature of the cold water", u.TEMPERATURE, unit="K"),
    },
    function=cold_water_ratio,
    cite=_HEAT,
)
FULL_MASS = Equation(
    symbol="m_full",
    label="mass if the whole shell is full of water",
    kind=u.MASS,
    formula="m_e + rho*V_N",
    where={
        "m_e": Symbol("mass of the empty vessel", u.MASS),
        "rho": _RHO,
        "V_N": Symbol("nominal volume of the vessel", u.VOLUME),
    },
    function=filled_mass,
    cite=_MASS,
)
MASS_NOW = Equation(
    symbol="m_now",
    label="mass before draining",
    kind=u.MASS,
    formula="m_e + rho*V",
    where={"m_e": Symbol("mass of the empty vessel", u.MASS), "rho": _RHO, "V": _VOLUME},
    function=filled_mass,
    cite=_MASS,
)
FREE_AIR = Equation(
    symbol="V_a",
    label="free air used",
    kind=u.AIR_VOLUME,
    formula="V_out*P_g/P_a",
    where={
        "V_out": Symbol("water that comes out", u.VOLUME),
        "P_g": Symbol("air pressure, absolute", u.ABSOLUTE_PRESSURE),
        "P_a": _P_A,
    },
    function=free_air,
    cite=_BOYLE,
)
STORED = Equation(
    symbol="E",
    label="energy stored in the gas",
    kind=u.ENERGY,
    formula="2.5*P_g*V_g*(1 - (P_a/P_g)**0.286)",
    where={
        "P_g": Symbol("gas pressure, absolute", u.ABSOLUTE_PRESSURE),
        "V_g": Symbol("most gas there is at that pressure", u.VOLUME),
        "P_a": _P_A,
    },
    function=stored_gas_energy,
    cite=ASME_PCC_2.at("appendix 501-II, with the air pressure here"),
)
RECOIL = Equation(
    symbol="F",
    label="most the hose end can push back",
    kind=u.FORCE,
    formula="2*p_d*a",
    where={
        "p_d": Symbol("driving pressure", u.PRESSURE_DIFFERENCE),
        "a": Symbol("area of the hose bore", u.AREA),
    },
    function=largest_recoil,
    cite=PHYSICS.at("momentum of a free jet"),
)
GAP = Equation(
    symbol="s",
    label="least air gap at the hose end",
    kind=u.SMALL_LENGTH,
    formula="2*d",
    where={"d": _BORE},
    function=lambda bore: 2.0 * bore,
    cite=PHILADELPHIA_PLUMBING.at("air gap of two bores"),
)

INPUTS = (
    Choice(
        name="item",
        label="What is drained",
        default=VESSEL,
        options=(
            Option(VESSEL, "Expansion vessel, its water side"),
            Option(LOOP, "Section of the system"),
        ),
        help="A section is any part shut off at both ends that drains through one hose.",
    ),
    Choice(
        name="water_from",
        label="How the water in it is known",
        default=KNOWN,
        options=(
            Option(KNOWN, "Its volume is known"),
            Option(CHARGE, "From its charge and the pressure it was shut off at"),
            Option(WATERLOGGED, "Waterlogged, all of it"),
        ),
        help="If the diaphragm may have failed, count the vessel as full.",
        when={"item": (VESSEL,)},
    ),
    Quantity(
        name="vessel_volume",
        label="Nominal volume of the vessel",
        kind=u.VOLUME,
        default="200 L",
        reading=True,
        help="Total volume from its plate, not the share it accepts.",
        low=Limit("1 L", "no heating vessel is smaller", _SLIP),
        high=Limit("50 m3", "larger ones are built to order", _SLIP),
        when={"item": (VESSEL,)},
    ),
    Quantity(
        name="water",
        label="Water in the vessel",
        kind=u.VOLUME,
        default="100 L",
        reading=True,
        help="Weighed, tapped or worked out on another page.",
        low=Limit("0.1 L", "less than that is a splash", _SLIP),
        high=Limit("50 m3", "larger vessels are built to order", _SLIP),
        when={"water_from": (KNOWN,)},
    ),
    Quantity(
        name="charge",
        label="Charge of the vessel",
        kind=u.GAUGE_PRESSURE,
        default="0.7 bar",
        reading=True,
        help="Gas pressure with the water side at zero. Larch Street's failing vessel had "
        "fallen to 0.7 bar.",
        low=Limit("0 bar", "below the air around it there is no charge", PHYSICS.at("gauge zero")),
        high=Limit("10 bar", "heating vessels are not charged higher", _SLIP),
        when={"water_from": (CHARGE,)},
    ),
    Quantity(
        name="shut_pressure",
        label="Pressure when it was shut off",
        kind=u.GAUGE_PRESSURE,
        default="1.8 bar",
        reading=True,
        help="At the vessel, read just before its valve was closed.",
        low=Limit("0 bar", "a gauge cannot fall below zero here", PHYSICS.at("gauge zero")),
        high=Limit("16 bar", "heating systems stay below it", _SLIP),
        when={"water_from": (CHARGE,)},
    ),
    Quantity(
        name="diameter",
        label="Inside diameter of the vessel",
        kind=u.LENGTH,
        default="0.55 m",
        reading=True,
        help="Upright vessel, outlet at the bottom of the water. "
        "The outside diameter is near enough.",
        low=Limit("5 cm", "that is a pipe, not a vessel", _SLIP),
        high=Limit("3 m", "wider ones are built to order", _SLIP),
        when={"item": (VESSEL,)},
    ),
    Quantity(
        name="section_content",
        label="Water in the section",
        kind=u.VOLUME,
        default="140 L",
        reading=True,
        help="From the page on system volume, for the part between the valves.",
        low=Limit("0.1 L", "less than that is a splash", _SLIP),
        high=Limit("200 m3", "a plant that large is drained in parts", _SLIP),
        when={"item": (LOOP,)},
    ),
    Quantity(
        name="level",
        label="Highest water above the outlet",
        kind=u.LENGTH,
        default="3.2 m",
        reading=True,
        help="The section is taken as upright and even; where most of its water sits low, "
        "it drains more slowly than this.",
        low=Limit("1 cm", "below that nothing is left to run", _SLIP),
        high=Limit("200 m", "taller systems are split", _SLIP),
        when={"item": (LOOP,)},
    ),
    Choice(
        name="drive",
        label="What moves the water",
        default=VENTED,
        options=(
            Option(VENTED, "Its own weight, vented"),
            Option(UNVENTED, "Its own weight, not vented"),
            Option(GAS, "The charge behind the diaphragm"),
            Option(AIR, "Air from a regulator"),
        ),
        help="Vented: a vent is open above the water, or the gas side of the vessel is let off. "
        "Not vented: gas at the pressure of the room is shut in with the water.",
    ),
    Quantity(
        name="trapped_gas",
        label="Gas shut in above the water",
        kind=u.VOLUME,
        default="5 L",
        reading=True,
        help="Air pockets at the pressure of the room when the drain is opened.",
        low=Limit("0.1 L", "with no gas at all nothing comes out; open a vent", _BOYLE),
        high=Limit("50 m3", "that much gas is no pocket", _SLIP),
        when={"item": (LOOP,), "drive": (UNVENTED,)},
    ),
    Quantity(
        name="gas_pressure",
        label="Gas pressure in the vessel now",
        kind=u.GAUGE_PRESSURE,
        default="1.8 bar",
        reading=True,
        help="At the gas valve, with the vessel shut off and its water still in it.",
        low=Limit("0 bar", "a gauge cannot fall below zero here", PHYSICS.at("gauge zero")),
        high=Limit("16 bar", "heating systems stay below it", _SLIP),
        when={"drive": (GAS,), "water_from": (KNOWN, WATERLOGGED)},
    ),
    Quantity(
        name="push",
        label="Air pressure at the regulator",
        kind=u.GAUGE_PRESSURE,
        default="0.5 bar",
        reading=True,
        help="Held by a regulator with a relief valve behind it, never an open line.",
        low=Limit("0 bar", "a regulator cannot pull", PHYSICS.at("gauge zero")),
        high=Limit("10 bar", "no heating system takes that much", _SLIP),
        when={"drive": (AIR,)},
    ),
    Quantity(
        name="rating",
        label="Weakest working pressure",
        kind=u.GAUGE_PRESSURE,
        default="3 bar",
        help="The lowest rating of anything connected: vessel, boiler, hose, relief valve.",
        low=Limit("0.1 bar", "nothing in a heating system is rated lower", _SLIP),
        high=Limit("40 bar", "nothing here is rated higher", _SLIP),
        when={"drive": (AIR,)},
    ),
    Quantity(
        name="hose_bore",
        label="Hose bore",
        kind=u.SMALL_LENGTH,
        default="16 mm",
        help="Inside diameter of the narrowest length: hose tails are often narrower.",
        low=Limit("3 mm", "a narrower bore, or none, is a needle and not a hose", _SLIP),
        high=Limit("10 cm", "wider hoses are for fire services", _SLIP),
    ),
    Quantity(
        name="hose_length",
        label="Hose length",
        kind=u.LENGTH,
        default="6 m",
        reading=True,
        help="From the outlet to the open end.",
        low=Limit(
            "0.1 m",
            "with no hose the water leaves as a jet from the cock, which this equation does not "
            "describe; if the cock drips straight into a bucket, enter its own length",
            _ENERGY,
        ),
        high=Limit("200 m", "a longer run is a pipeline", _SLIP),
    ),
    Quantity(
        name="roughness",
        label="Roughness of the hose",
        kind=u.SMALL_LENGTH,
        default="1.5 um",
        help="Smooth rubber or plastic hose about 1.5 µm, steel pipe about 45 µm.",
        low=Limit("0 mm", "0 is perfectly smooth", FLOW_TEXTBOOKS.at("wall roughness")),
        high=Limit(
            "0.15 mm",
            "the friction formula is compared up to a twentieth of the bore",
            CHURCHILL_1977.at("range of the comparison"),
        ),
    ),
    Choice(
        name="valve",
        label="Outlet valve, fully open",
        default="cock",
        options=(
            Option("cock", "Drain cock with a washer, K = 4"),
            Option("narrow", "Small drain cock, K = 10"),
            Option("part-turn", "Part-turn valve, reduced bore, K = 0.5"),
            Option("full-bore", "Part-turn valve, full bore, K = 0.1"),
            Option("none", "No valve"),
        ),
        help="Textbook ranges, from memory. Half open, a valve takes many times as much.",
    ),
    Quantity(
        name="fittings",
        label="Other fittings, sum of K",
        kind=u.NUMBER,
        default="0",
        help="Bends and couplings. The entry, 0.5, and the jet at the end, 1, are counted.",
        low=Limit("0", "a fitting never pushes", _LOSSES),
        high=Limit("1000", "that is a closed valve", _LOSSES),
    ),
    Quantity(
        name="fall",
        label="Fall from outlet to hose end",
        kind=u.LENGTH,
        default="0.4 m",
        reading=True,
        help="Straight down. Negative if the hose end is higher than the outlet.",
        low=Limit("-30 m", "no push allowed here lifts that high", _SLIP),
        high=Limit("100 m", "no basement is deeper", _SLIP),
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
        help="Glycol is thicker, runs more slowly, and is collected.",
    ),
    Quantity(
        name="glycol",
        label="Glycol by volume",
        kind=u.FRACTION,
        default="20 %",
        reading=True,
        help="By volume, as a refractometer for this glycol shows it; not by mass.",
        low=Limit("10 %", "the glycol tables begin there", COOLPROP.at("ASHRAE glycol sets")),
        high=Limit("60 %", "the glycol tables end there", COOLPROP.at("ASHRAE glycol sets")),
        when={"fluid": ("propylene glycol", "ethylene glycol")},
    ),
    Quantity(
        name="water_temperature",
        label="Temperature of the water",
        kind=u.TEMPERATURE,
        default="45 degC",
        reading=True,
        help="The hottest you find on the part to be drained, not what the boiler shows.",
        low=Limit("0 degC", "water freezes there", IAPWS_IF97.at("liquid water")),
        high=Limit("150 degC", "no hot-water boiler heats further", _SLIP),
    ),
    Quantity(
        name="altitude",
        label="Altitude of the site",
        kind=u.ALTITUDE,
        default="640 m",
        help="Water boils sooner high up, and the gas laws need absolute pressure.",
        low=Limit("-430 m", "no dry land lies lower", PHYSICS.at("shore of the Dead Sea")),
        high=Limit("6000 m", "nobody heats a building higher up", _SLIP),
    ),
    Choice(
        name="destination",
        label="Where the water goes",
        default=SUMP,
        options=(
            Option(FLOOR, "Floor drain with a grate"),
            Option(SUMP, "Sump with a pump"),
            Option(CONTAINER, "Buckets or a container, to be kept"),
        ),
        help="Treated water and glycol are collected.",
    ),
    Quantity(
        name="grate_diameter",
        label="Diameter of the grate",
        kind=u.SMALL_LENGTH,
        default="100 mm",
        help="Of the part with openings.",
        low=Limit("2 cm", "smaller is no floor drain", _SLIP),
        high=Limit("1 m", "larger is a street drain", _SLIP),
        when={"destination": (FLOOR,)},
    ),
    Quantity(
        name="grate_depth",
        label="Depth the water may stand on it",
        kind=u.SMALL_LENGTH,
        default="10 mm",
        help="Before it runs where it must not.",
        low=Limit("1 mm", "the grate must be lower than something", _SLIP),
        high=Limit("30 cm", "a flooded room is no drain", _SLIP),
        when={"destination": (FLOOR,)},
    ),
    Quantity(
        name="grate_openings",
        label="Share of the grate that is opening",
        kind=u.FRACTION,
        default="50 %",
        help="Slots and holes over the whole face.",
        low=Limit("1 %", "a closed plate takes nothing", _SLIP),
        high=Limit("100 %", "there is no more than all of it", PHYSICS.at("a share")),
        when={"destination": (FLOOR,)},
    ),
    Quantity(
        name="grate_clear",
        label="Share that dirt leaves clear",
        kind=u.FRACTION,
        default="50 %",
        help="Half is the usual allowance for clogging.",
        low=Limit("1 %", "a clogged drain takes nothing", _SLIP),
        high=Limit("100 %", "there is no more than all of it", PHYSICS.at("a share")),
        when={"destination": (FLOOR,)},
    ),
    Quantity(
        name="sump_volume",
        label="Sump volume between pump stop and start",
        kind=u.VOLUME,
        default="30 L",
        help="Floor area of the sump times the travel of the float.",
        low=Limit("0.1 L", "no float works in less", _SLIP),
        high=Limit("50 m3", "that is a reservoir", _SLIP),
        when={"destination": (SUMP,)},
    ),
    Quantity(
        name="sump_room",
        label="Room above the start level",
        kind=u.VOLUME,
        default="20 L",
        help="What still fits before the sump runs over.",
        low=Limit("0 L", "a sump that starts at its brim has none", _SLIP),
        high=Limit("50 m3", "that is a reservoir", _SLIP),
        when={"destination": (SUMP,)},
    ),
    Quantity(
        name="pump_flow",
        label="Flow of the sump pump",
        kind=u.FLOW,
        default="40 L/min",
        help="At the height it has to lift, from its curve or by timing it; not the largest "
        "figure on its label.",
        low=Limit("0.1 L/min", "with no pump running, choose a container", _SLIP),
        high=Limit("5000 L/min", "that is a fire pump", _SLIP),
        when={"destination": (SUMP,)},
    ),
    Quantity(
        name="container",
        label="One bucket or container holds",
        kind=u.VOLUME,
        default="10 L",
        help="What you fill it to, not its brim.",
        low=Limit("0.5 L", "smaller is a cup", _SLIP),
        high=Limit("50 m3", "larger is a tanker", _SLIP),
        when={"destination": (CONTAINER,)},
    ),
    Choice(
        name="limit_rule",
        label="Highest temperature into the drain",
        default="60",
        options=(
            Option("60", "60 °C (140 °F), Uniform Plumbing Code 810.1"),
            Option("43.3", "43.3 °C (110 °F), UK Water Industry Act 1991 s. 111"),
            Option("40", "40 °C (104 °F), US 40 CFR 403.5(b) at the works"),
            Option("35", "35 °C (95 °F), DWA-M 115-2 at hand-over"),
            Option("own", "Another local limit"),
        ),
        help="The local code wins: ask.",
        when={"destination": TO_SEWER},
    ),
    Quantity(
        name="limit_own",
        label="Local limit",
        kind=u.TEMPERATURE,
        default="50 degC",
        help="As the local code or the sewage works has it.",
        low=Limit("10 degC", "no rule is lower than cold water", _SLIP),
        high=Limit("100 degC", "boiling water goes into no drain", _SLIP),
        when={"destination": TO_SEWER, "limit_rule": ("own",)},
    ),
    Quantity(
        name="cold_temperature",
        label="Temperature of cold water to mix in",
        kind=u.TEMPERATURE,
        default="10 degC",
        help="As it comes from the tap.",
        low=Limit("0 degC", "water freezes there", IAPWS_IF97.at("liquid water")),
        high=Limit("60 degC", "that is not cold water", _SLIP),
        when={"destination": TO_SEWER},
    ),
    Quantity(
        name="cold_flow",
        label="Cold water run beside the hose",
        kind=u.FLOW,
        default="0 L/min",
        help="Into the same open drain through its own air gap, never joined to the hose.",
        low=Limit("0 L/min", "a tap does not take water back", _SLIP),
        high=Limit("1000 L/min", "no tap gives that much", _SLIP),
        when={"destination": TO_SEWER},
    ),
    Quantity(
        name="air_gap",
        label="Air gap at the hose end",
        kind=u.SMALL_LENGTH,
        default="50 mm",
        help="From the hose end down to the rim of drain or sump.",
        low=Limit("0 mm", "a drowned hose end has none", PHILADELPHIA_PLUMBING.at("air gap")),
        high=Limit("2 m", "higher only splashes", _SLIP),
        when={"destination": TO_SEWER},
    ),
    Quantity(
        name="empty_mass",
        label="Mass of the empty vessel",
        kind=u.MASS,
        default="36 kg",
        help="From its plate or papers.",
        low=Limit("0.5 kg", "no steel vessel is lighter", _SLIP),
        high=Limit("20000 kg", "larger ones are built to order", _SLIP),
        when={"item": (VESSEL,)},
    ),
)

OUTPUTS = (
    Output(
        "time",
        "Time to drain",
        u.TIME,
        headline=True,
        help="With the valve fully open, until 2 mm of driving head are left.",
    ),
    Output("water_out", "Water that comes out", u.VOLUME, headline=True),
    Output(
        "left",
        "Water that stays inside",
        u.VOLUME,
        help="Nothing drives it out the way it is rigged now.",
    ),
    Output("first_flow", "Flow at the start", u.FLOW),
    Output("last_flow", "Flow at the end", u.FLOW),
    Output("velocity", "Velocity at the start", u.VELOCITY),
    Output("capacity", "Flow the grate takes", u.FLOW, help="The pipe below it may take less."),
    Output("pump_copes", "Sump pump copes", None),
    Output("surplus", "Most that gathers above the start level", u.VOLUME),
    Output("cycle", "From one pump start to the next", u.TIME, help="At the first flow."),
    Output(
        "shortest_cycle",
        "Shortest time between pump starts",
        u.TIME,
        help="When half the pump's flow runs in. Compare with what its motor allows.",
    ),
    Output("fills", "Containers filled", u.NUMBER),
    Output("glycol_out", "Pure glycol in what comes out", u.VOLUME),
    Output(
        "entering",
        "Temperature entering the drain",
        u.TEMPERATURE,
        help="At the start, with the cold water run beside it.",
    ),
    Output("cold_ratio", "Cold water for each unit of hot, by mass", u.NUMBER),
    Output("cold_amount", "Cold water to mix in all told", u.VOLUME),
    Output("cold_needed", "Cold water flow at the start", u.FLOW),
    Output("boiling_margin", "Below the boiling point here by", u.TEMPERATURE_DIFFERENCE),
    Output("mass_now", "Mass of the vessel before draining", u.MASS),
    Output(
        "mass_full",
        "Mass of the vessel full of water",
        u.MASS,
        help="What to plan the lift for until the vessel is proved empty.",
    ),
    Output("free_air_used", "Free air used", u.AIR_VOLUME),
    Output(
        "gas_energy",
        "Energy stored in the gas",
        u.ENERGY,
        help="Set free at once if something bursts.",
    ),
    Output("recoil", "Most the hose end can push back", u.FORCE),
    Output("least_gap", "Least air gap at the hose end", u.SMALL_LENGTH),
)


def _water(v: Values, w: Work, ambient: float) -> tuple[float, float, float]:
    """Return water to drain, gas sealed in with it, and that gas's pressure. [m3, m3, Pa abs]"""
    if v.item == LOOP:
        if v.drive == GAS:
            raise Refusal(
                "A section of pipes has no charge behind a diaphragm. Choose its own weight or "
                "air from a regulator.",
                field="drive",
            )
        return v.section_content, v.trapped_gas or 0.0, ambient
    gas_abs = ambient
    if v.water_from == CHARGE:
        charge = w.step(CHARGE_ABS, p_0=v.charge, P_a=ambient)
        shut = w.step(SHUT_ABS, p_1=v.shut_pressure, P_a=ambient)
        if shut <= charge:
            raise Refusal(
                say(
                    "The vessel was shut off at {shut}, not above its charge of {charge}, so it "
                    "holds no water. Read both again, or choose waterlogged if it is heavy.",
                    shut=(v.shut_pressure, u.GAUGE_PRESSURE),
                    charge=(v.charge, u.GAUGE_PRESSURE),
                ),
                field="shut_pressure",
                cite=_BOYLE,
            )
        volume = w.step(IN_VESSEL, V_N=v.vessel_volume, P_0=charge, P_1=shut)
        if v.drive == GAS:
            gas_abs = shut
    else:
        volume = v.vessel_volume if v.water_from == WATERLOGGED else v.water
        if v.drive == GAS:
            gas_abs = w.step(GAS_ABS, p_g=v.gas_pressure, P_a=ambient)
    if volume > v.vessel_volume * _HAIR:
        raise Refusal(
            say(
                "{water} of water do not fit a vessel of {vessel}. Correct one of the two.",
                water=(volume, u.VOLUME),
                vessel=(v.vessel_volume, u.VOLUME),
            ),
            field="water",
            cite=_MASS,
        )
    gas = max(v.vessel_volume - volume, 0.0)
    if v.drive in (UNVENTED, GAS) and gas <= 1e-6 * v.vessel_volume:
        raise Refusal(
            "The vessel is full of water, so no gas is left to push it out and none gets in. "
            "Open a vent on the water side, or push with air from a regulator.",
            field="drive",
            cite=_BOYLE,
        )
    return volume, gas, gas_abs


def _require_drive(v: Values, driving: float, rho: float) -> None:
    short = static_pressure(rho, TRICKLE_HEAD) - driving
    if short < 0.0:
        return
    raise Refusal(
        say(
            "Nothing drives the water out: from the start {p} are missing, {head} of water. "
            "Lower the hose end by more than that, or push with more air from a regulator.",
            p=(short, u.PRESSURE_DIFFERENCE),
            head=(height_of_pressure(short, rho), u.LENGTH),
        ),
        field="push" if v.drive == AIR else "fall",
        cite=_ENERGY,
    )


def _boiling(v: Values, w: Work, ambient: float) -> None:
    boiling = w.step(BOILING, P_a=ambient)
    if v.water_temperature >= boiling:
        raise Refusal(
            say(
                "Water at {t} boils when it is opened to the air here, at {b}: {x} of it would "
                "flash to steam. Do not drain it. Let it cool to {goal} first.",
                goal=(OPEN_BELOW, u.TEMPERATURE),
                t=(v.water_temperature, u.TEMPERATURE),
                b=(boiling, u.TEMPERATURE),
                x=(flash_fraction(v.water_temperature, ambient), u.FRACTION),
            ),
            field="water_temperature",
            cite=IAPWS_IF97.at("saturation"),
        )
    margin = boiling - v.water_temperature
    w.result("boiling_margin", margin)
    values = {
        "t": (v.water_temperature, u.TEMPERATURE),
        "b": (boiling, u.TEMPERATURE),
        "m": (margin, u.TEMPERATURE_DIFFERENCE),
    }
    if margin < BOILING_MARGIN:
        w.check(
            "boiling",
            "Far enough below boiling",
            CAUTION,
            say(
                "The water at {t} is only {m} below its boiling point here, {b}. Any drop in "
                "pressure may turn it to steam: let it cool before you open anything.",
                **values,
            ),
            _MARGIN,
        )
    else:
        w.check(
            "boiling",
            "Far enough below boiling",
            PASS,
            say("The water at {t} is {m} below its boiling point here, {b}.", **values),
            _MARGIN,
        )


def _scald(v: Values, w: Work) -> None:
    t = (v.water_temperature, u.TEMPERATURE)
    goal = (OPEN_BELOW, u.TEMPERATURE)
    cite = CPSC_5098.at("burn times")
    if v.water_temperature > BURNS_AT_ONCE / _HAIR:
        w.check(
            "scald",
            "Cool enough to open",
            FAIL,
            say(
                "Water at {t} burns an adult deeply within seconds. Let it cool to {goal} or less "
                "before you open anything.",
                t=t,
                goal=goal,
            ),
            cite,
        )
    elif v.water_temperature > OPEN_BELOW * _HAIR:
        w.check(
            "scald",
            "Cool enough to open",
            CAUTION,
            say(
                "Water at {t} burns within minutes or less. Wait until it is at {goal} or less "
                "before you open anything.",
                t=t,
                goal=goal,
            ),
            cite,
        )
    else:
        w.check(
            "scald",
            "Cool enough to open",
            PASS,
            say(
                "Water at {t} is at or below {goal}; it still hurts after minutes.", t=t, goal=goal
            ),
            cite,
        )


def _stall(v: Values, w: Work, content: Content, out: float) -> None:
    left = content.volume - out
    values = {"out": (out, u.VOLUME), "left": (left, u.VOLUME)}
    label = "All the water leaves"
    if left <= 1e-9 * content.volume:
        if v.drive == UNVENTED:
            w.check(
                "stall",
                label,
                CAUTION,
                say(
                    "All {out} should leave although no vent is open, but air may be held back at "
                    "any bend. Open a vent above the water first.",
                    **values,
                ),
                _BOYLE,
            )
        else:
            w.check("stall", label, PASS, say("All {out} leave.", **values), _ENERGY)
        return
    lift = (-driving_pressure(content, content.volume), u.PRESSURE_DIFFERENCE)
    head = (height_of_pressure(lift[0], content.density), u.LENGTH)
    if v.drive == UNVENTED:
        w.check(
            "stall",
            label,
            FAIL,
            say(
                "It stalls: {out} come out, then the air outside holds the other {left} back and "
                "the part only looks empty. Open a vent above the water before the drain.",
                **values,
            ),
            _BOYLE,
        )
    elif v.drive == GAS:
        w.check(
            "stall",
            label,
            FAIL,
            say(
                "The charge is spent after {out}; {left} stay. Lower the hose end by {head}, or "
                "add {lift} of air from a regulator for the rest.",
                head=head,
                lift=lift,
                **values,
            ),
            _BOYLE,
        )
    elif v.drive == AIR:
        w.check(
            "stall",
            label,
            FAIL,
            say(
                "The lift is too high for the air: {out} come out and {left} stay. Lower the hose "
                "end by {head}, or raise the air by {lift} if everything connected may bear it.",
                head=head,
                lift=lift,
                **values,
            ),
            _ENERGY,
        )
    else:
        w.check(
            "stall",
            label,
            FAIL,
            say(
                "The hose end is higher than the outlet, so {out} come out and {left} stay. Lower "
                "it by {head}, or push with {lift} of air from a regulator.",
                head=head,
                lift=lift,
                **values,
            ),
            _ENERGY,
        )


def _drain_temperature(v: Values, w: Work, rho: float, volume: float, first_flow: float) -> None:
    """Judge the temperature of what reaches the drain, and what would cool it."""
    if v.limit_rule == "own":
        limit, cite = v.limit_own, COMMON_PRACTICE.at("the local limit entered")
    else:
        limit, cite = RULES[v.limit_rule]
    hot, cold = v.water_temperature, v.cold_temperature
    if hot > limit and cold >= limit:
        raise Refusal(
            say(
                "Cold water at {cold} cannot cool anything to {limit}. Enter colder water, or "
                "let the water cool by itself.",
                cold=(cold, u.TEMPERATURE),
                limit=(limit, u.TEMPERATURE),
            ),
            field="cold_temperature",
            cite=_HEAT,
        )
    cold_density = density(WATER, cold)
    entering = w.step(
        MIXED, m_h=rho * first_flow, t_h=hot, m_c=cold_density * v.cold_flow, t_c=cold
    )
    w.result("entering", entering)
    needed = 0.0
    if hot > limit:
        ratio = w.step(RATIO, t_h=hot, t_lim=limit, t_c=cold)
        needed = ratio * rho * first_flow / cold_density
        w.result("cold_ratio", ratio)
        w.result("cold_amount", ratio * rho * volume / cold_density)
        w.result("cold_needed", needed)
    values = {
        "t": (entering, u.TEMPERATURE),
        "limit": (limit, u.TEMPERATURE),
        "cold": (needed, u.FLOW),
    }
    label = "Cool enough for the drain"
    if entering > limit * _HAIR:
        w.check(
            "drain-temperature",
            label,
            FAIL,
            say(
                "The water reaches the drain at {t}; the limit is {limit}. Let it cool, or run "
                "{cold} of cold water in all beside it, which the drain has to take too.",
                **values,
            ),
            cite,
        )
    else:
        w.check(
            "drain-temperature",
            label,
            PASS,
            say("The water reaches the drain at {t}, within the limit of {limit}.", **values),
            cite,
        )


def _floor(v: Values, w: Work, first_flow: float) -> float:
    rim = w.step(RIM, pi=pi, D=v.grate_diameter, c=v.grate_clear)
    openings = w.step(OPENINGS, pi=pi, D=v.grate_diameter, s=v.grate_openings, c=v.grate_clear)
    weir = w.step(WEIR, P=rim, y=v.grate_depth)
    orifice = w.step(ORIFICE, a_o=openings, g=STANDARD_GRAVITY, y=v.grate_depth)
    capacity = min(weir, orifice)
    w.result("capacity", capacity)
    values = {
        "flow": (first_flow + v.cold_flow, u.FLOW),
        "capacity": (capacity, u.FLOW),
        "hose": (max(capacity - v.cold_flow, 0.0), u.FLOW),
    }
    cite = TXDOT_HYDRAULICS.at("equations 10-30 and 10-31")
    if first_flow + v.cold_flow > capacity * _HAIR:
        w.check(
            "drain-copes",
            "The drain takes the flow",
            FAIL,
            say(
                "{flow} run in at the start, but the grate takes {capacity}. Throttle the hose to "
                "{hose} or less, and clear the grate.",
                **values,
            ),
            cite,
        )
    else:
        w.check(
            "drain-copes",
            "The drain takes the flow",
            PASS,
            say(
                "{flow} run in at the start; the grate takes {capacity}. Pour a bucket in and "
                "watch: the pipe below may take less.",
                **values,
            ),
            cite,
        )
    return capacity


def _sump(v: Values, w: Work, moments: tuple[Moment, ...]) -> float:
    inflow = moments[0].flow + v.cold_flow
    surplus = largest_surplus(moments, v.pump_flow, v.cold_flow)
    w.result("shortest_cycle", w.step(SHORTEST_CYCLE, V_s=v.sump_volume, Q_p=v.pump_flow))
    values = {
        "flow": (inflow, u.FLOW),
        "pump": (v.pump_flow, u.FLOW),
        "surplus": (surplus, u.VOLUME),
        "room": (v.sump_room, u.VOLUME),
        "hose": (max(v.pump_flow - v.cold_flow, 0.0), u.FLOW),
    }
    label = "The sump pump keeps up"
    if inflow >= v.pump_flow:
        w.result("surplus", surplus)
    if inflow < v.pump_flow:
        w.result("cycle", w.step(CYCLE, V_s=v.sump_volume, Q_in=inflow, Q_p=v.pump_flow))
        w.result("pump_copes", "yes")
        w.check(
            "drain-copes",
            label,
            PASS,
            say(
                "{flow} run in at the start; the pump moves {pump}. See that it starts, and that "
                "it may take water this warm.",
                **values,
            ),
            _MASS,
        )
    elif surplus <= v.sump_room * _HAIR:
        w.result("pump_copes", "the sump's room takes the surplus")
        w.check(
            "drain-copes",
            label,
            CAUTION,
            say(
                "{flow} run in at the start, but the pump moves {pump}. {surplus} gather, and the "
                "sump has room for {room}. Watch it, or throttle the hose to {hose}.",
                **values,
            ),
            _MASS,
        )
    else:
        w.result("pump_copes", "no")
        w.check(
            "drain-copes",
            label,
            FAIL,
            say(
                "{flow} run in at the start, but the pump moves {pump}. {surplus} would gather "
                "where {room} fit. Throttle the hose to {hose} or less.",
                **values,
            ),
            _MASS,
        )
    return v.pump_flow


def _glycol(v: Values, w: Work, out: float) -> None:
    cite = EPA_1102.at("used antifreeze")
    label = "Nothing harmful into the drain"
    if v.fluid == "water":
        w.check(
            "glycol",
            label,
            PASS,
            "Plain water. If it is treated with inhibitor, collect it "
            "and ask before any of it goes to a drain.",
            cite,
        )
        return
    w.result("glycol_out", out * v.glycol)
    amount = (out, u.VOLUME)
    if v.destination in TO_SEWER:
        w.check(
            "glycol",
            label,
            FAIL,
            say(
                "Glycol must not go to a drain. Collect all {amount} in closed, labelled "
                "containers, and return it to the system or send it to licensed disposal.",
                amount=amount,
            ),
            cite,
        )
    else:
        w.check(
            "glycol",
            label,
            PASS,
            say(
                "Collect all {amount} in closed, labelled containers. Measure its strength and "
                "its pH.",
                amount=amount,
            ),
            cite,
        )


def _air(v: Values, w: Work, column: float) -> None:
    lowest = v.push + max(column, 0.0)
    values = {
        "push": (v.push, u.GAUGE_PRESSURE),
        "low": (lowest, u.GAUGE_PRESSURE),
        "rating": (v.rating, u.GAUGE_PRESSURE),
        "most": (max(v.rating - max(column, 0.0), 0.0), u.GAUGE_PRESSURE),
        "ceiling": (AIR_CEILING, u.GAUGE_PRESSURE),
    }
    if lowest > v.rating * _HAIR:
        w.check(
            "air-rating",
            "Within the weakest rating",
            FAIL,
            say(
                "Air and column make {low} at the outlet, above the weakest rating of {rating}. "
                "Set the regulator to {most} or less.",
                **values,
            ),
            COMMON_PRACTICE.at("weakest rating"),
        )
    else:
        w.check(
            "air-rating",
            "Within the weakest rating",
            PASS,
            say(
                "Air and column make {low} at the outlet; the weakest rating is {rating}. Use a "
                "regulator with a relief valve.",
                **values,
            ),
            COMMON_PRACTICE.at("weakest rating"),
        )
    cite = CFR_29_1910_242.at("paragraph (b), a rule for cleaning taken as a ceiling")
    if v.push > AIR_CEILING * _HAIR:
        w.check(
            "air-ceiling",
            "Air pressure is low",
            CAUTION,
            say(
                "The air at {push} is above {ceiling}, a ceiling borrowed from a rule for "
                "cleaning. Use less: more air saves little time.",
                **values,
            ),
            cite,
        )
    else:
        w.check(
            "air-ceiling",
            "Air pressure is low",
            PASS,
            say(
                "The air at {push} is at or below {ceiling}, a ceiling borrowed from a rule for "
                "cleaning. That is no permission to use it.",
                **values,
            ),
            cite,
        )


def _mass(v: Values, w: Work, rho: float, volume: float) -> None:
    w.result("mass_now", w.step(MASS_NOW, m_e=v.empty_mass, rho=rho, V=volume))
    full = w.step(FULL_MASS, m_e=v.empty_mass, rho=rho, V_N=v.vessel_volume)
    w.result("mass_full", full)
    values = {"full": (full, u.MASS), "one": (ONE_PERSON, u.MASS)}
    cite = NIOSH_94_110.at("load constant")
    if full > ONE_PERSON * _HAIR:
        w.check(
            "weight",
            "Light enough for one person",
            CAUTION,
            say(
                "Full of water it weighs {full}; one person in the best posture lifts {one}. "
                "Support it, use a hoist or a second person, and prove it empty first.",
                **values,
            ),
            cite,
        )
    else:
        w.check(
            "weight",
            "Light enough for one person",
            PASS,
            say(
                "Even full of water it weighs {full}, within the {one} of one person in the best "
                "posture.",
                **values,
            ),
            cite,
        )


def _air_gap(v: Values, w: Work) -> None:
    least = w.step(GAP, d=v.hose_bore)
    w.result("least_gap", least)
    values = {"gap": (v.air_gap, u.SMALL_LENGTH), "least": (least, u.SMALL_LENGTH)}
    cite = PHILADELPHIA_PLUMBING.at("air gap of two bores")
    if v.air_gap < least / _HAIR:
        w.check(
            "air-gap",
            "Air gap at the hose end",
            FAIL,
            say(
                "The hose end hangs {gap} above the drain. Raise it to {least} or more and tie it "
                "there, so that nothing can be sucked back.",
                **values,
            ),
            cite,
        )
    else:
        w.check(
            "air-gap",
            "Air gap at the hose end",
            PASS,
            say(
                "The hose end hangs {gap} above the drain; {least} is the least. Tie it there and "
                "never let it go under water.",
                **values,
            ),
            cite,
        )


def _hose_end(v: Values, w: Work, recoil: float) -> None:
    force = (recoil, u.FORCE)
    cite = PHYSICS.at("momentum of a free jet")
    if v.drive in (GAS, AIR):
        w.check(
            "hose-end",
            "Hose end held",
            CAUTION,
            say(
                "The hose end can push back with up to {force} and whips when gas breaks through. "
                "Tie it down at its end, and stand aside.",
                force=force,
            ),
            cite,
        )
    else:
        w.check(
            "hose-end",
            "Hose end held",
            PASS,
            say(
                "The hose end pushes back with {force} at most. Tie it down so that it cannot slip "
                "out.",
                force=force,
            ),
            cite,
        )


def _charts(
    w: Work, moments: tuple[Moment, ...], volume: float, taken: float | None, beside: float
) -> None:
    time = Axis("time", u.TIME)
    first, last = moments[0], moments[-1]
    levels = ()
    if taken is not None and 0.0 < taken - beside <= 3.0 * first.flow:
        levels = (Level("most the drain takes from the hose", taken - beside, "limit"),)
    w.chart(
        LineChart(
            id="flow",
            title="Flow while it drains",
            x=time,
            y=Axis("flow", u.FLOW),
            series=(Series("flow from the hose", tuple((m.time, m.flow) for m in moments)),),
            levels=levels,
            summary=say(
                "The flow falls from {first} to {last} in {time}.",
                first=(first.flow, u.FLOW),
                last=(last.flow, u.FLOW),
                time=(last.time, u.TIME),
            ),
        )
    )
    w.chart(
        LineChart(
            id="left",
            title="Water left inside",
            x=time,
            y=Axis("water left", u.VOLUME),
            series=(
                Series(
                    "water left", tuple((m.time, max(volume - m.drained, 0.0)) for m in moments)
                ),
            ),
            summary=say(
                "The water left falls from {all} to {rest} in {time}.",
                all=(volume, u.VOLUME),
                rest=(max(volume - last.drained, 0.0), u.VOLUME),
                time=(last.time, u.TIME),
            ),
        )
    )


def solve(v: Values) -> Solution:
    """Return time, flows, what stays, and whether what takes the water copes."""
    w = Work()
    ambient = w.step(AMBIENT, z_s=v.altitude)
    _boiling(v, w, ambient)
    _scald(v, w)
    fluid = WATER if v.fluid == "water" else Fluid(v.fluid, v.glycol)
    rho = density(fluid, v.water_temperature)
    mu = dynamic_viscosity(fluid, v.water_temperature)

    volume, gas, gas_abs = _water(v, w, ambient)
    if v.item == VESSEL:
        section = w.step(SECTION, pi=pi, D=v.diameter)
        level = w.step(LEVEL, V=volume, A=section)
    else:
        level = v.level
        section = w.step(EVEN_SECTION, V=volume, h=level)
    sealed = v.drive in (UNVENTED, GAS)
    if v.drive == AIR:
        gas_abs = w.step(GAS_ABS, p_g=v.push, P_a=ambient)
    gauge = v.push if v.drive == AIR else gas_abs - ambient
    if sealed:
        content = Content(volume, section, v.fall, rho, mu, ambient, gas_abs, gas)
    else:
        content = Content(volume, section, v.fall, rho, mu, 0.0, gauge)
    losses = ENTRY_LOSS + VALVE_LOSSES[v.valve] + v.fittings
    hose = Hose(v.hose_bore, v.hose_length, v.roughness, losses)

    driving = w.step(DRIVING, p_g=gauge, rho=rho, g=STANDARD_GRAVITY, h=level, z=v.fall)
    _require_drive(v, driving, rho)
    run = {
        "V": volume,
        "A": section,
        "z": v.fall,
        "d": v.hose_bore,
        "L": v.hose_length,
        "e": v.roughness,
        "K": losses,
        "rho": rho,
        "mu": mu,
    }
    out = stall_volume(content)
    if sealed:
        out = w.step(
            STALL_SEALED, V=volume, A=section, z=v.fall, rho=rho, V_g=gas, P_g=gas_abs, P_a=ambient
        )
    elif out < volume:
        out = w.step(
            STALL_LIFTED, V=volume, A=section, z=v.fall, p_g=gauge, rho=rho, g=STANDARD_GRAVITY
        )
    w.result("water_out", out)
    w.result("left", volume - out)

    found = hose_velocity(driving, rho, mu, v.hose_bore, v.hose_length, v.roughness, losses)
    reynolds = w.step(REYNOLDS, rho=rho, v=found, d=v.hose_bore, mu=mu)
    friction = w.step(FRICTION, Re=reynolds, r=v.roughness / v.hose_bore)
    velocity = w.step(
        VELOCITY, p_d=driving, rho=rho, f=friction, L=v.hose_length, d=v.hose_bore, K=losses
    )
    area = w.step(BORE_AREA, pi=pi, d=v.hose_bore)
    first_flow = w.step(FLOW, v=velocity, a=area)
    moments = drain_curve(content, hose)
    if sealed:
        values = {**run, "V_g": gas, "P_g": gas_abs, "P_a": ambient}
        w.steps.append(Step(TIME_SEALED, values, moments[-1].time))
    else:
        w.steps.append(Step(TIME, {**run, "p_g": gauge}, moments[-1].time))
    w.result("time", moments[-1].time)
    w.result("first_flow", first_flow)
    w.result("last_flow", moments[-1].flow)
    w.result("velocity", velocity)
    _stall(v, w, content, out)

    taken = None
    if v.destination == FLOOR:
        taken = _floor(v, w, first_flow)
    elif v.destination == SUMP:
        taken = _sump(v, w, moments)
    else:
        w.result("fills", float(ceil(out / v.container / _HAIR)))
    if v.destination in TO_SEWER:
        _drain_temperature(v, w, rho, out, first_flow)
        _air_gap(v, w)
    _glycol(v, w, out)
    if v.item == VESSEL:
        _mass(v, w, rho, volume)
    if v.drive == AIR:
        _air(v, w, static_pressure(rho, level))
        w.result("free_air_used", w.step(FREE_AIR, V_out=out, P_g=gas_abs, P_a=ambient))
        most = v.vessel_volume if v.item == VESSEL else volume
        w.result("gas_energy", w.step(STORED, P_g=gas_abs, V_g=most, P_a=ambient))
    elif v.drive == GAS:
        w.result("gas_energy", w.step(STORED, P_g=gas_abs, V_g=gas, P_a=ambient))
    recoil = w.step(RECOIL, p_d=driving, a=area)
    w.result("recoil", recoil)
    _hose_end(v, w, recoil)
    _charts(w, moments, volume, taken, v.cold_flow or 0.0)
    return w.solution()


CALCULATOR = Calculator(
    id="drain-down",
    title="Drain-down",
    question="How long does it take to drain, and will it all come out?",
    summary="Time, flow and volume of a drain through a hose, what stalls it, whether drain or "
    "sump copes, and whether the water is cool enough.",
    inputs=INPUTS,
    outputs=OUTPUTS,
    solve=solve,
    examples=(
        {
            "water_from": "charge",
            "drive": "gas",
            "destination": "floor drain",
            "hose_bore": "13 mm",
            "fall": "-1.2 m",
            "limit_rule": "43.3",
            "cold_flow": "4 L/min",
            "water_temperature": "52 degC",
        },
        {
            "water_from": "waterlogged",
            "vessel_volume": "53 gal",
            "diameter": "22 in",
            "drive": "air",
            "push": "6 psi",
            "rating": "30 psi",
            "hose_bore": "0.5 in",
            "hose_length": "25 ft",
            "fall": "-2 ft",
            "valve": "part-turn",
            "altitude": "2100 ft",
            "water_temperature": "118 degF",
            "destination": "floor drain",
            "grate_diameter": "4 in",
            "grate_depth": "0.5 in",
            "limit_rule": "own",
            "limit_own": "110 degF",
            "cold_temperature": "50 degF",
            "cold_flow": "1 gpm",
            "air_gap": "1 in",
            "empty_mass": "79 lb",
        },
        {
            "item": "loop",
            "section_content": "62 L",
            "level": "2.6 m",
            "drive": "vented",
            "fluid": "propylene glycol",
            "glycol": "20 %",
            "destination": "container",
            "container": "20 L",
            "hose_bore": "13 mm",
            "hose_length": "9 m",
            "fall": "0.6 m",
            "water_temperature": "28 degC",
            "valve": "full-bore",
            "fittings": "1.5",
        },
        {
            "item": "loop",
            "section_content": "37 gal",
            "level": "10.5 ft",
            "drive": "unvented",
            "trapped_gas": "2 gal",
            "hose_bore": "0.75 in",
            "hose_length": "20 ft",
            "fall": "1 ft",
            "altitude": "2100 ft",
            "water_temperature": "150 degF",
            "limit_rule": "40",
            "cold_temperature": "55 degF",
            "pump_flow": "12 gpm",
            "sump_volume": "8 gal",
            "sump_room": "5 gal",
        },
        {
            "water": "140 L",
            "drive": "gas",
            "gas_pressure": "1.6 bar",
            "pump_flow": "18 L/min",
            "limit_rule": "35",
            "water_temperature": "41 degC",
        },
        {
            "item": "loop",
            "drive": "air",
            "push": "0.3 bar",
            "rating": "0.5 bar",
            "fall": "-4 m",
            "hose_bore": "19 mm",
        },
    ),
)

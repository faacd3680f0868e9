"""Equations of draining: what drives the water, how fast it runs, what takes it."""

from __future__ import annotations

from dataclasses import replace

from calc import units as u
from calc.drainage import (
    Content,
    drain_time,
    free_air,
    largest_recoil,
    sealed_drain_time,
    stall_volume,
)
from calc.drains import (
    cold_water_ratio,
    grate_orifice_flow,
    grate_weir_flow,
    mixed_temperature,
    shortest_sump_cycle,
    sump_cycle,
)
from calc.equations.shared import (
    MASS_BALANCE,
    P_0,
    P_A,
    RHO_WATER,
    V_N,
    WATER_IN_VESSEL,
    WATER_TO_DRAIN,
    G,
    absolute,
)
from calc.friction import driven_velocity, friction_factor, reynolds_number
from calc.hydrostatics import height_of_pressure, static_pressure
from calc.model import Equation, Symbol
from calc.sources import (
    ASME_PCC_2,
    CHURCHILL_1977,
    PHILADELPHIA_PLUMBING,
    PHYSICS,
    TXDOT_HYDRAULICS,
)
from calc.stored_energy import stored_energy_of_gas

_ENERGY = PHYSICS.at("energy equation for steady flow")
_BOYLE = PHYSICS.at("Boyle's law, gas at one temperature")
_HEAT = PHYSICS.at("heat balance, one specific heat")
_SHAPE = PHYSICS.at("upright shape of even section")
_PI = Symbol("ratio of a circle's girth to its diameter", u.NUMBER)
_BORE = Symbol("hose bore", u.SMALL_LENGTH)
_LENGTH = Symbol("hose length", u.LENGTH)
_FITTINGS = Symbol("loss coefficients of entry, valve and fittings", u.NUMBER)
_FALL = Symbol("fall from outlet to hose end", u.LENGTH)
_SECTION = Symbol("area of the water's surface", u.AREA, unit="m2")
_ROUGHNESS = Symbol("roughness of the hose", u.SMALL_LENGTH, unit="um")
_MU = Symbol("dynamic viscosity of the water", u.VISCOSITY)
_PUSH = Symbol("gas pressure on the water", u.GAUGE_PRESSURE)


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


SHUT_ABS = absolute("p_f", "pressure when shut off")
GAS_ABS = absolute("p_g", "gas pressure on the water")
IN_VESSEL = replace(
    WATER_IN_VESSEL,
    where={
        "V_N": V_N,
        "P_0": P_0,
        "P_f": Symbol("pressure when shut off", u.ABSOLUTE_PRESSURE),
    },
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
    where={"V": WATER_TO_DRAIN, "A": _SECTION},
    function=lambda volume, section: volume / section,
    cite=_SHAPE,
)
EVEN_SECTION = Equation(
    symbol="A",
    label="area of the water's surface, as if even",
    kind=u.AREA,
    unit="m2",
    formula="V/h",
    where={"V": WATER_TO_DRAIN, "h": Symbol("water level above the outlet", u.LENGTH)},
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
        "rho": RHO_WATER,
        "g": G,
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
        "V": WATER_TO_DRAIN,
        "A": _SECTION,
        "z": _FALL,
        "rho": RHO_WATER,
        "V_g": Symbol("gas at the start", u.VOLUME),
        "P_g": Symbol("gas pressure at the start", u.ABSOLUTE_PRESSURE),
        "P_a": P_A,
    },
    function=_stalled,
    cite=_BOYLE,
)
STALL_LIFTED = Equation(
    symbol="V_out",
    label="water that comes out",
    kind=u.VOLUME,
    formula="V + A*(z + p_g/(rho*g))",
    where={"V": WATER_TO_DRAIN, "A": _SECTION, "z": _FALL, "p_g": _PUSH, "rho": RHO_WATER, "g": G},
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
        "rho": RHO_WATER,
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
        "rho": RHO_WATER,
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
    cite=MASS_BALANCE,
)
_RUN = {
    "V": WATER_TO_DRAIN,
    "A": _SECTION,
    "z": _FALL,
    "d": _BORE,
    "L": _LENGTH,
    "e": _ROUGHNESS,
    "K": _FITTINGS,
    "rho": RHO_WATER,
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
        "P_a": P_A,
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
        "g": G,
        "y": Symbol("depth of water above the grate", u.SMALL_LENGTH),
    },
    function=lambda area, _, depth: grate_orifice_flow(area, depth),
    cite=TXDOT_HYDRAULICS.at("equation 10-31"),
)
CYCLE = Equation(
    symbol="t_c",
    label="from one pump start to the next",
    kind=u.TIME,
    formula="V_sump/Q_in + V_sump/(Q_p - Q_in)",
    where={
        "V_sump": Symbol("sump volume between stop and start", u.VOLUME),
        "Q_in": Symbol("flow into the sump", u.FLOW),
        "Q_p": Symbol("pump flow", u.FLOW),
    },
    function=sump_cycle,
    cite=MASS_BALANCE,
)
SHORTEST_CYCLE = Equation(
    symbol="t_min",
    label="shortest time between pump starts",
    kind=u.TIME,
    formula="4*V_sump/Q_p",
    where={
        "V_sump": Symbol("sump volume between stop and start", u.VOLUME),
        "Q_p": Symbol("pump flow", u.FLOW),
    },
    function=shortest_sump_cycle,
    cite=MASS_BALANCE,
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
FREE_AIR = Equation(
    symbol="V_a",
    label="free air used",
    kind=u.AIR_VOLUME,
    formula="V_out*P_g/P_a",
    where={
        "V_out": Symbol("water that comes out", u.VOLUME),
        "P_g": Symbol("air pressure, absolute", u.ABSOLUTE_PRESSURE),
        "P_a": P_A,
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
        "V_g": Symbol("most gas there is at that pressure", u.VOLUME),
        "P_g": Symbol("gas pressure, absolute", u.ABSOLUTE_PRESSURE),
        "P_a": P_A,
    },
    function=stored_energy_of_gas,
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

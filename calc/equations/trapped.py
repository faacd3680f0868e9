"""Equations of trapped water, and of the energy that gas and water hold."""

from __future__ import annotations

from math import pi

from calc import stored_energy, trapped
from calc import units as u
from calc.equations.shared import P_A, absolute, gauge
from calc.expansion import expansion_of_volumes, net_expansion
from calc.fluids.compressed import compressibility, expansivity, liquid_volume
from calc.model import Equation, Symbol
from calc.pipes import bore, pipe_content
from calc.sources import ASME_PCC_2, IAPWS_IF97, PHYSICS

_LIQUID = IAPWS_IF97.at("liquid water, region 1")
_BALANCE = PHYSICS.at("balance of volumes")
_PI = Symbol("a circle's round over its width", u.NUMBER)
_P_1 = Symbol("pressure when it was shut, absolute", u.ABSOLUTE_PRESSURE)
_T_1 = Symbol("temperature when it was shut", u.TEMPERATURE)
_T_2 = Symbol("temperature afterwards", u.TEMPERATURE)
_ALPHA = Symbol("linear expansion of the metal", u.EXPANSIVITY)
_GIVE = Symbol("give of the pipe", u.COMPRESSIBILITY)
_KAPPA = Symbol("yielding of the water", u.COMPRESSIBILITY)
_OUTSIDE = Symbol("outside diameter", u.SMALL_LENGTH)
_WALL = Symbol("wall", u.SMALL_LENGTH)

START_ABS = absolute("p_1", "pressure when it was shut")
LIMIT_ABS = absolute("p_r", "pressure the weakest part carries")
GAS_ABS = absolute("p_T", "pressure of the gas")
AFTER = gauge("P_2", "pressure after warming")
GIVE = Equation(
    symbol="c",
    label="give of the pipe",
    kind=u.COMPRESSIBILITY,
    formula="D/(s*E)*(1.25 - nu)",
    where={
        "D": _OUTSIDE,
        "s": _WALL,
        "E": Symbol("modulus of elasticity", u.STIFFNESS),
        "nu": Symbol("cross contraction", u.NUMBER),
    },
    function=trapped.pipe_give,
    cite=PHYSICS.at("elasticity of a thin closed cylinder"),
)
EXPANSIVITY = Equation(
    symbol="beta",
    label="growth of the water for each degree",
    kind=u.EXPANSIVITY,
    words="by volume, from the equation of liquid water",
    where={"t_1": _T_1, "P_1": _P_1},
    function=expansivity,
    cite=_LIQUID,
)
COMPRESSIBILITY = Equation(
    symbol="kappa",
    label="yielding of the water",
    kind=u.COMPRESSIBILITY,
    words="from the equation of liquid water",
    where={"t_1": _T_1, "P_1": _P_1},
    function=compressibility,
    cite=_LIQUID,
)
RISE = Equation(
    symbol="r",
    label="rise with the first degree",
    kind=u.PRESSURE_PER_KELVIN,
    formula="(beta - 3*alpha)/(kappa + c)",
    where={
        "beta": Symbol(EXPANSIVITY.label, u.EXPANSIVITY),
        "alpha": _ALPHA,
        "kappa": _KAPPA,
        "c": _GIVE,
    },
    function=trapped.rise_per_kelvin,
    cite=_BALANCE,
)
AFTER_ABS = Equation(
    symbol="P_2",
    label="pressure after warming, absolute",
    kind=u.ABSOLUTE_PRESSURE,
    words="the pressure at which the same water just fills the grown and stretched pipe, found "
    "by trial from the equation of liquid water",
    where={"P_1": _P_1, "t_1": _T_1, "t_2": _T_2, "alpha": _ALPHA, "c": _GIVE},
    function=trapped.pressure_after_warming,
    cite=_LIQUID,
)
WARMING = Equation(
    symbol="Delta_t_r",
    label="warming that the weakest part can bear",
    kind=u.TEMPERATURE_DIFFERENCE,
    words="found by trial from the equation of liquid water",
    where={
        "P_1": _P_1,
        "t_1": _T_1,
        "P_r": Symbol("pressure the weakest part carries, absolute", u.ABSOLUTE_PRESSURE),
        "alpha": _ALPHA,
        "c": _GIVE,
    },
    function=trapped.warming_to_pressure,
    cite=_LIQUID,
)
CONTENT = Equation(
    symbol="V",
    label="water shut in",
    kind=u.VOLUME,
    formula="pi/4*(D - 2*s)**2*L",
    where={
        "pi": _PI,
        "D": _OUTSIDE,
        "s": _WALL,
        "L": Symbol("length that is shut", u.LENGTH),
    },
    function=lambda pi_, outside, wall, length: (
        pi_ / pi * pipe_content(bore(outside, wall), length)
    ),
    cite=PHYSICS.at("geometry"),
)


def _volume(symbol: str, label: str, where: dict[str, Symbol]) -> Equation:
    return Equation(
        symbol=symbol,
        label=label,
        kind=u.SPECIFIC_VOLUME,
        words="from the equation of liquid water",
        where=where,
        function=liquid_volume,
        cite=_LIQUID,
    )


VOLUME_BEFORE = _volume("v_1", "volume of a unit mass when it was shut", {"t_1": _T_1, "P_1": _P_1})
VOLUME_LET_OUT = _volume(
    "v_2", "volume of a unit mass afterwards, let out to the first pressure",
    {"t_2": _T_2, "P_1": _P_1},
)  # fmt: skip
LET_OUT = Equation(
    symbol="V_out",
    label="water that has to get out to keep the first pressure",
    kind=u.VOLUME,
    formula="V*(v_2/v_1 - 1 - 3*alpha*(t_2 - t_1))",
    where={
        "V": Symbol("water shut in", u.VOLUME),
        "v_1": Symbol(VOLUME_BEFORE.label, u.SPECIFIC_VOLUME),
        "v_2": Symbol(VOLUME_LET_OUT.label, u.SPECIFIC_VOLUME),
        "alpha": Symbol(_ALPHA.label, u.EXPANSIVITY),
        "t_1": Symbol(_T_1.label, u.TEMPERATURE, unit="K"),
        "t_2": Symbol(_T_2.label, u.TEMPERATURE, unit="K"),
    },
    function=lambda content, v1, v2, alpha, t1, t2: (
        content * net_expansion(expansion_of_volumes(v1, v2), alpha, t2 - t1)
    ),
    cite=_BALANCE,
)
STRESS = Equation(
    symbol="sigma",
    label="stress in the wall",
    kind=u.PRESSURE_DIFFERENCE,
    formula="p_2*(D - 2*s)/(2*s)",
    where={
        "p_2": Symbol("pressure after warming", u.GAUGE_PRESSURE),
        "D": _OUTSIDE,
        "s": _WALL,
    },
    function=trapped.wall_stress,
    cite=PHYSICS.at("balance of forces on half a pipe"),
)
_GAS_PRESSURE = Symbol("pressure of the gas, absolute", u.ABSOLUTE_PRESSURE)
_GAS_VOLUME = Symbol("volume compared", u.VOLUME)
GAS_ENERGY = Equation(
    symbol="E_g",
    label="energy held by the gas",
    kind=u.ENERGY,
    formula="2.5*P_T*V_T*(1 - (P_a/P_T)**0.286)",
    where={"V_T": _GAS_VOLUME, "P_T": _GAS_PRESSURE, "P_a": P_A},
    function=stored_energy.stored_energy_of_gas,
    cite=ASME_PCC_2.at("appendix 501-II, equation II-2"),
)
GAS_KAPPA = Equation(
    symbol="kappa_T",
    label="yielding of water at that pressure",
    kind=u.COMPRESSIBILITY,
    words="from the equation of liquid water",
    where={"t_1": _T_1, "P_T": _GAS_PRESSURE},
    function=compressibility,
    cite=_LIQUID,
)
WATER_ENERGY = Equation(
    symbol="E_w",
    label="energy held by as much water",
    kind=u.ENERGY,
    formula="0.5*kappa_T*V_T*p_T**2",
    where={
        "V_T": _GAS_VOLUME,
        "p_T": Symbol("pressure compared", u.GAUGE_PRESSURE),
        "kappa_T": _KAPPA,
    },
    function=stored_energy.stored_energy_of_water,
    cite=PHYSICS.at("work of compression"),
)
TNT = Equation(
    symbol="m_T",
    label="mass of TNT that lets loose as much",
    kind=u.MASS,
    unit="kg",
    formula="E_g/4266920",
    where={"E_g": Symbol("energy held by the gas", u.ENERGY, unit="J")},
    function=stored_energy.tnt_equivalent,
    cite=ASME_PCC_2.at("appendix 501-II"),
)

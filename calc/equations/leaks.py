"""Equations of water lost from a closed system and of what its make-up water brings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from calc import leaks
from calc import units as u
from calc.charge import pressure_below
from calc.equations.shared import COLD_DENSITY, P_0, V_N, V_S, Z_G, G, absolute, kelvin
from calc.hydrostatics import static_pressure
from calc.model import Equation, Symbol
from calc.site import WATER
from calc.sources import PHYSICS, STOICHIOMETRY, UFC_3_240_13FN

_GAS = PHYSICS.at("Boyle and Gay-Lussac")
_STILL = PHYSICS.at("column of still liquid")
_BALANCE = PHYSICS.at("balance of volume")
_WHEN = {"1": "at the first reading", "2": "at the second reading"}


def _density(fluid: str, number: str) -> Equation:
    taken = COLD_DENSITY[fluid]
    where = {f"t_{number}": Symbol(f"water {_WHEN[number]}", u.TEMPERATURE)}
    if fluid != WATER:
        where["phi"] = taken.where["phi"]
    return replace(
        taken,
        symbol=f"rho_{number}",
        label=f"density of the fluid {_WHEN[number]}",
        where=where,
    )


def _at_vessel(number: str) -> Equation:
    return Equation(
        symbol=f"p_{number}",
        label=f"pressure at the vessel {_WHEN[number]}",
        kind=u.GAUGE_PRESSURE,
        formula=f"p_G{number} + rho_{number}*g*z_G",
        where={
            f"p_G{number}": Symbol(f"gauge {_WHEN[number]}", u.GAUGE_PRESSURE),
            f"rho_{number}": Symbol(f"density of the fluid {_WHEN[number]}", u.DENSITY),
            "g": G,
            "z_G": Z_G,
        },
        function=lambda p, rho, _, z: pressure_below(p, static_pressure(rho, z)),
        cite=_STILL,
    )


_P_1 = Symbol("pressure at the vessel at the first reading", u.ABSOLUTE_PRESSURE)
_P_2 = Symbol("pressure at the vessel at the second reading", u.ABSOLUTE_PRESSURE)
_V_G1 = Symbol("gas at the first reading", u.VOLUME)
_V_G2 = Symbol("gas at the second reading", u.VOLUME)
_T_1 = kelvin("gas at the first reading")
_T_2 = kelvin("gas at the second reading")
_DAILY = Symbol("water lost in a day", u.VOLUME)

DENSITY: Mapping[tuple[str, str], Equation] = {
    (fluid, number): _density(fluid, number) for fluid in COLD_DENSITY for number in _WHEN
}
"""By fluid and reading; glycols take their share as `phi` as well."""

AT_VESSEL = {number: _at_vessel(number) for number in _WHEN}
VESSEL_ABS = {
    number: absolute(f"p_{number}", f"pressure at the vessel {when}")
    for number, when in _WHEN.items()
}
GAS_BEFORE = Equation(
    symbol="V_g1",
    label="gas in the vessel at the first reading",
    kind=u.VOLUME,
    formula="V_N*P_0/P_1*T_1/T_0",
    where={
        "V_N": V_N,
        "P_0": P_0,
        "T_0": kelvin("gas when the charge was read"),
        "P_1": _P_1,
        "T_1": _T_1,
    },
    function=leaks.gas_space,
    cite=_GAS,
)
GAS_GROWTH = Equation(
    symbol="V_g",
    label="room the gas has gained",
    kind=u.VOLUME,
    formula="V_g1*(P_1/P_2*T_2/T_1 - 1)",
    where={"V_g1": _V_G1, "P_1": _P_1, "P_2": _P_2, "T_1": _T_1, "T_2": _T_2},
    function=leaks.gas_growth,
    cite=_GAS,
)
GAS_AFTER = Equation(
    symbol="V_g2",
    label="gas in the vessel at the second reading",
    kind=u.VOLUME,
    formula="V_g1 + V_g",
    where={"V_g1": _V_G1, "V_g": Symbol("room the gas has gained", u.VOLUME)},
    function=lambda before, growth: before + growth,
    cite=_BALANCE,
)
SHRINKAGE = Equation(
    symbol="V_t",
    label="room the water gave up by cooling",
    kind=u.VOLUME,
    formula="V_s*(1 - rho_1/rho_2)",
    where={
        "V_s": V_S,
        "rho_1": Symbol("density of the fluid at the first reading", u.DENSITY),
        "rho_2": Symbol("density of the fluid at the second reading", u.DENSITY),
    },
    function=leaks.shrinkage,
    cite=_BALANCE,
)
LOST = Equation(
    symbol="V_l",
    label="water lost",
    kind=u.VOLUME,
    formula="V_g - V_t + V_a",
    where={
        "V_g": Symbol("room the gas has gained", u.VOLUME),
        "V_t": Symbol("room the water gave up by cooling", u.VOLUME),
        "V_a": Symbol("water let in between the readings", u.VOLUME),
    },
    function=leaks.lost_water,
    cite=_BALANCE,
)
SMALLEST = Equation(
    symbol="V_r",
    label="water that the readable step of the gauge stands for",
    kind=u.VOLUME,
    formula="d_p*sqrt((V_g1/P_1)**2 + (V_g2/P_2)**2)",
    where={
        "d_p": Symbol("readable step", u.PRESSURE_DIFFERENCE),
        "V_g1": _V_G1,
        "P_1": _P_1,
        "V_g2": _V_G2,
        "P_2": _P_2,
    },
    function=leaks.smallest_loss,
    cite=PHYSICS.at("Boyle's law, first derivative"),
)
DAILY = Equation(
    symbol="V_d",
    label="water lost in a day",
    kind=u.VOLUME,
    formula="V_l/t",
    where={
        "V_l": Symbol("water lost", u.VOLUME),
        "t": Symbol("days between the readings", u.TIME, unit="d"),
    },
    function=leaks.in_a_day,
    cite=_BALANCE,
)
YEARLY = Equation(
    symbol="V_y",
    label="water lost in a year",
    kind=u.VOLUME,
    formula="365.25*V_d",
    where={"V_d": _DAILY},
    function=leaks.in_a_year,
    cite=_BALANCE,
)
FOUR_MONTHS = Equation(
    symbol="x",
    label="share of the system lost in four months",
    kind=u.FRACTION,
    formula="365.25/3*V_d/V_s",
    where={"V_d": _DAILY, "V_s": V_S},
    function=leaks.share_in_four_months,
    cite=UFC_3_240_13FN.at("5-2.4, the make-up meter"),
)
LASTS = Equation(
    symbol="t_e",
    label="until the vessel holds no water",
    kind=u.TIME,
    unit="d",
    formula="(V_N - V_g2)/V_d",
    where={"V_N": V_N, "V_g2": _V_G2, "V_d": _DAILY},
    function=leaks.time_to_empty,
    cite=_BALANCE,
)
OXYGEN = Equation(
    symbol="m_O",
    label="oxygen brought in within a year",
    kind=u.MASS,
    formula="V_y*c_O",
    where={
        "V_y": Symbol("water made up in a year", u.VOLUME),
        "c_O": Symbol("oxygen in the fill water", u.CONCENTRATION),
    },
    function=leaks.oxygen_brought_in,
    cite=PHYSICS.at("mass balance"),
)
IRON = Equation(
    symbol="m_Fe",
    label="iron turned to magnetite within a year",
    kind=u.MASS,
    formula="3*55.845/(2*31.998)*m_O",
    where={"m_O": Symbol("oxygen brought in", u.MASS)},
    function=leaks.iron_eaten,
    cite=STOICHIOMETRY.at("3 Fe + 2 O₂ = Fe₃O₄"),
)
SLUDGE = Equation(
    symbol="m_s",
    label="magnetite made within a year",
    kind=u.MASS,
    formula="(1 + 3*55.845/(2*31.998))*m_O",
    where={"m_O": Symbol("oxygen brought in", u.MASS)},
    function=leaks.sludge_made,
    cite=STOICHIOMETRY.at("3 Fe + 2 O₂ = Fe₃O₄"),
)
LIME = Equation(
    symbol="m_Ca",
    label="most lime brought in within a year",
    kind=u.MASS,
    formula="0.1000869*V_y*H",
    where={
        "V_y": Symbol("water made up in a year", u.VOLUME),
        "H": Symbol("hardness of the fill water", u.HARDNESS, unit="mol/m3"),
    },
    function=leaks.lime_brought_in,
    cite=STOICHIOMETRY.at("all hardness as CaCO₃"),
)

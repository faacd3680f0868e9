"""Equations of the expansion of drinking water in a cylinder."""

from __future__ import annotations

from dataclasses import replace

from calc import domestic
from calc import units as u
from calc.equations.shared import (
    CHARGE_ABS,
    DIAPHRAGM_VOLUME,
    EXPANSION,
    FILL_ABS,
    HOT,
    HOT_GAUGE,
    absolute,
)
from calc.model import Equation, Symbol
from calc.sources import DIN_4807_5, ENGINEERS_NOTE_2015, IPC, PHYSICS

_SET = Symbol("set pressure of the cylinder's relief valve", u.GAUGE_PRESSURE)
_SUPPLY = "rest pressure of the cold supply"
_DIN = DIN_4807_5.at("as a trade lexicon gives it")

GROWN = replace(
    EXPANSION,
    label="growth of the water in the cylinder",
    formula="V_C*e",
    where={
        "V_C": Symbol("water in the cylinder", u.VOLUME),
        "e": EXPANSION.where["e"],
    },
    cite=PHYSICS.at("thermal expansion"),
)
END_VALVE = Equation(
    symbol="p_e1",
    label="highest pressure, a tenth below the valve",
    kind=u.GAUGE_PRESSURE,
    formula="0.9*p_sv",
    where={"p_sv": _SET},
    function=domestic.end_below_valve,
    cite=ENGINEERS_NOTE_2015.at("final pressure"),
)
END_CODE = Equation(
    symbol="p_e2",
    label="highest pressure of the US plumbing codes",
    kind=u.GAUGE_PRESSURE,
    words="80 psi in the pipes of a building",
    where={},
    function=domestic.end_of_code,
    cite=IPC.at("604.8 and 607.3"),
)
END_DIN = Equation(
    symbol="p_e3",
    label="highest pressure of DIN 4807-5",
    kind=u.GAUGE_PRESSURE,
    formula="0.8*p_sv",
    where={"p_sv": _SET},
    function=domestic.end_of_din,
    cite=_DIN,
)
SUPPLY_ABS = absolute("p_s", _SUPPLY)


def _rule(number: int, label: str, equation: Equation) -> tuple[Equation, Equation]:
    """Return the equations of an end pressure made absolute, and of its vessel."""
    words = "charge, equal to the supply"
    size = replace(
        DIAPHRAGM_VOLUME,
        symbol=f"V_{number}",
        label=f"smallest vessel, {label}",
        formula=f"V_ex/(1 - P_s/P_e{number})",
        where={
            "V_ex": Symbol(GROWN.label, u.VOLUME),
            "P_s": Symbol(words, u.ABSOLUTE_PRESSURE),
            f"P_e{number}": Symbol("highest pressure", u.ABSOLUTE_PRESSURE),
        },
        cite=equation.cite,
    )
    return absolute(f"p_e{number}", equation.label), size


VALVE_ABS, VALVE_VOLUME = _rule(1, "a tenth below the valve", END_VALVE)
CODE_ABS, CODE_VOLUME = _rule(2, "by the 80 psi of the codes", END_CODE)
DIN_VOLUME = Equation(
    symbol="V_3",
    label="smallest vessel of DIN 4807-5",
    kind=u.VOLUME,
    formula="V_ex*(p_s + 1)*(p_e3 + 1)/((p_s + 0.8)*(p_e3 - p_s))",
    where={
        "V_ex": Symbol(GROWN.label, u.VOLUME),
        "p_s": Symbol(_SUPPLY, u.GAUGE_PRESSURE, unit="bar"),
        "p_e3": Symbol("highest pressure", u.GAUGE_PRESSURE, unit="bar"),
    },
    function=domestic.din_volume,
    cite=_DIN,
)
CHARGE_LOW = Equation(
    symbol="p_0min",
    label="lowest charge of DIN 4807-5",
    kind=u.GAUGE_PRESSURE,
    unit="bar",
    formula="p_s - 0.3",
    where={"p_s": Symbol(_SUPPLY, u.GAUGE_PRESSURE, unit="bar")},
    function=domestic.din_charge_low,
    cite=_DIN,
)
CHARGE_HIGH = replace(
    CHARGE_LOW,
    symbol="p_0max",
    label="highest charge of DIN 4807-5",
    formula="p_s - 0.2",
    function=domestic.din_charge_high,
)
VESSEL_CHARGE_ABS = CHARGE_ABS
SUPPLY_FILL_ABS = replace(FILL_ABS, label="supply at the vessel, absolute")
HOT_ABS = replace(
    HOT,
    label="hot pressure with the vessel there, absolute",
    where={**HOT.where, "V_ex": Symbol(GROWN.label, u.VOLUME)},
)
HOT_PRESSURE = replace(HOT_GAUGE, label="hot pressure with the vessel there")
ROOM = Equation(
    symbol="dp",
    label="room below the relief valve",
    kind=u.PRESSURE_DIFFERENCE,
    formula="p_sv - p_h",
    where={"p_sv": _SET, "p_h": Symbol("hot pressure", u.GAUGE_PRESSURE)},
    function=domestic.room_below_valve,
    cite=PHYSICS.at("balance of pressure"),
)

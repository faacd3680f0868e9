"""Equations of a vessel's size, and of the system that a vessel serves."""

from __future__ import annotations

from dataclasses import replace

from calc import units as u
from calc import vessel
from calc.equations.shared import (
    ASHRAE_DIAPHRAGM,
    HIGHEST_FILL,
    HOT,
    P_0,
    P_A,
    P_E,
    P_F,
    V_EX,
    V_N,
)
from calc.model import Equation, Symbol
from calc.sources import (
    ASHRAE_SYSTEMS,
    COMMON_PRACTICE,
    EN_12828,
    NORTH_CAROLINA_BOILER_RULES,
    PHYSICS,
)

_ANNEX_D = EN_12828.at("annex D")
_ASHRAE_CLOSED = ASHRAE_SYSTEMS.at("closed tank, equation 12")
_CODE = NORTH_CAROLINA_BOILER_RULES.at("13 NCAC 13 .0412(d)")
_BOYLE = PHYSICS.at("Boyle's law")

_GAS = Symbol("gas pressure of the empty vessel", u.ABSOLUTE_PRESSURE)
_GROWTH = Symbol("growth", u.FRACTION, unit="1")

CODE_GROWTH = Equation(
    symbol="e",
    label="net growth as the code writes it",
    kind=u.FRACTION,
    unit="1",
    formula="0.00041*T - 0.0466",
    where={"T": Symbol("average operating temperature", u.TEMPERATURE, unit="degF")},
    function=vessel.code_growth,
    cite=_CODE,
)
GENERAL_VOLUME = Equation(
    symbol="V_Nmin",
    label="smallest tank, filled above its charge",
    kind=u.VOLUME,
    formula="V_ex/(P_0/P_f - P_0/P_e)",
    where={"V_ex": V_EX, "P_0": P_0, "P_f": P_F, "P_e": P_E},
    function=vessel.vessel_volume_general,
    cite=_BOYLE,
)
CUSHION_VOLUME = Equation(
    symbol="V_Nmin",
    label="smallest air-cushion tank",
    kind=u.VOLUME,
    formula="V_ex/(P_a/P_f - P_a/P_e)",
    where={"V_ex": V_EX, "P_a": P_A, "P_f": P_F, "P_e": P_E},
    function=vessel.air_cushion_volume,
    cite=_ASHRAE_CLOSED,
)
CODE_VOLUME = replace(CUSHION_VOLUME, cite=_CODE)
ACCEPTANCE = Equation(
    symbol="a",
    label="share of the vessel that is water at the highest pressure",
    kind=u.FRACTION,
    formula="1 - P_0/P_e",
    where={"P_0": _GAS, "P_e": P_E},
    function=vessel.acceptance_fraction,
    cite=ASHRAE_DIAPHRAGM,
)
# A plain tank has no charge: its air starts at the pressure around it.
GAS_HIGHEST_FILL = replace(HIGHEST_FILL, where={**HIGHEST_FILL.where, "P_0": _GAS})
GAS_HOT = replace(HOT, where={**HOT.where, "P_0": _GAS})
LARGEST_GROWTH = Equation(
    symbol="V_free",
    label="growth the vessel can take",
    kind=u.VOLUME,
    formula="V_N*(1 - P_0/P_e) - V_c",
    where={
        "V_N": V_N,
        "P_0": _GAS,
        "P_e": P_E,
        "V_c": Symbol("water in it when cold", u.VOLUME),
    },
    function=lambda volume, gas, final, cold: vessel.water_in_vessel(volume, gas, final) - cold,
    cite=_BOYLE,
)
LARGEST_SYSTEM = Equation(
    symbol="V_smax",
    label="largest system",
    kind=u.VOLUME,
    formula="V_free/e",
    where={"V_free": Symbol("growth the vessel can take", u.VOLUME), "e": _GROWTH},
    function=lambda free, growth: free / growth,
    cite=_ANNEX_D,
)
LARGEST_SYSTEM_SHARE = Equation(
    symbol="V_smax",
    label="largest system, its reserve a share of itself",
    kind=u.VOLUME,
    formula="V_N*(1 - P_0/P_e)/(e + 0.005)",
    where={"V_N": V_N, "P_0": P_0, "P_e": P_E, "e": _GROWTH},
    function=lambda volume, gas, final, growth: (
        vessel.water_in_vessel(volume, gas, final) / (growth + vessel.RESERVE_SHARE)
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
        "c": Symbol("content per output", u.SPECIFIC_CONTENT),
    },
    function=lambda volume, content: volume / content,
    cite=COMMON_PRACTICE.at("water content by output"),
)

"""Equations of fill water: hardness allowed, lifetime water, and inhibitor."""

from __future__ import annotations

from collections.abc import Mapping

from calc import glycol, leaks, water_quality
from calc import units as u
from calc.equations.shared import V_S
from calc.model import Equation, Symbol
from calc.sources import PHYSICS, STOICHIOMETRY, VDI_2035_2005, VDI_2035_2021
from calc.water_quality import EDITIONS, FULL, SPARE, Edition

SOURCES = {"2021": VDI_2035_2021, "2005": VDI_2035_2005}
_BALANCE = PHYSICS.at("balance of volume")
_MIXING = PHYSICS.at("balance of hardness")
_DOSE = PHYSICS.at("balance of the inhibitor")

SMALLEST = Symbol("output of the smallest heater", u.POWER)
CONTENT_SYMBOL = Symbol("water per output of the smallest heater", u.SPECIFIC_CONTENT)
RAW = Symbol("hardness of the raw water", u.HARDNESS)
MIX = Symbol("share that is treated", u.FRACTION, unit="1")
FILLED = Symbol("water let in until now", u.VOLUME)
YEARLY = Symbol("make-up in a year", u.VOLUME)

CONTENT = Equation(
    symbol="c",
    label="water per output of the smallest heater",
    kind=u.SPECIFIC_CONTENT,
    formula="V_s/P_1",
    where={"V_s": V_S, "P_1": SMALLEST},
    function=water_quality.content_per_output,
    cite=VDI_2035_2021.at("table of hardness"),
)


def _limit(edition: Edition, heater: str) -> Equation:
    def function(output: float, content: float) -> float:
        return water_quality.hardness_limit(edition, heater, output, content)

    return Equation(
        symbol=f"H_{edition.year}",
        label=f"hardness allowed by the edition of {edition.year}",
        kind=u.HARDNESS,
        words=f"read from the table of {edition.year} by output and water per output",
        where={"P": Symbol("output of all heaters", u.POWER), "c": CONTENT_SYMBOL},
        function=function,
        cite=SOURCES[edition.year].at("table of hardness", "from memory"),
    )


LIMIT: Mapping[tuple[str, str], Equation] = {
    (year, heater): _limit(edition, heater)
    for year, edition in EDITIONS.items()
    for heater in (FULL, SPARE)
}
"""By edition and kind of heater; only where the table has a limit."""

MIXED = Equation(
    symbol="H_m",
    label="hardness of the water that goes in",
    kind=u.HARDNESS,
    formula="H*(1 - x)",
    where={"H": RAW, "x": MIX},
    function=water_quality.mixed_hardness,
    cite=_MIXING,
)
NEEDED = Equation(
    symbol="x_n",
    label="least share to treat",
    kind=u.FRACTION,
    unit="1",
    formula="max(0, 1 - H_a/H)",
    where={"H": RAW, "H_a": Symbol("hardness allowed", u.HARDNESS)},
    function=water_quality.treated_share,
    cite=_MIXING,
)
TREATED_VOLUME = Equation(
    symbol="V_x",
    label="treated water for one filling",
    kind=u.VOLUME,
    formula="x_n*V_s",
    where={"x_n": Symbol("least share to treat", u.FRACTION, unit="1"), "V_s": V_S},
    function=lambda share, volume: share * volume,
    cite=_BALANCE,
)
LIME = Equation(
    symbol="m_Ca",
    label="most lime that one filling can drop",
    kind=u.MASS,
    formula="0.1000869*V_s*H_m",
    where={
        "V_s": V_S,
        "H_m": Symbol("hardness of the water that goes in", u.HARDNESS, unit="mol/m3"),
    },
    function=leaks.lime_brought_in,
    cite=STOICHIOMETRY.at("all hardness as CaCO₃"),
)
LIFETIME = Equation(
    symbol="V_life",
    label="fill and make-up water of the system's life",
    kind=u.VOLUME,
    formula="V_f + V_j*n",
    where={"V_f": FILLED, "V_j": YEARLY, "n": Symbol("years still to run", u.NUMBER)},
    function=water_quality.lifetime_water,
    cite=_BALANCE,
)
LIFETIME_SHARE = Equation(
    symbol="L",
    label="that in system volumes",
    kind=u.NUMBER,
    formula="V_life/V_s",
    where={
        "V_life": Symbol("fill and make-up water of the system's life", u.VOLUME),
        "V_s": V_S,
    },
    function=lambda water, volume: water / volume,
    cite=_BALANCE,
)


def _years_until(edition: Edition) -> Equation:
    return Equation(
        symbol="n_y",
        label="years until the lifetime water is used up",
        kind=u.NUMBER,
        formula="max(0, (k*V_s - V_f)/V_j)",
        where={
            "V_f": FILLED,
            "V_j": YEARLY,
            "V_s": V_S,
            "k": Symbol("system volumes allowed", u.NUMBER),
        },
        function=water_quality.years_until,
        cite=SOURCES[edition.year].at("lifetime water", "from memory"),
    )


YEARS_UNTIL = {year: _years_until(edition) for year, edition in EDITIONS.items()}
DOSE = Equation(
    symbol="V_i",
    label="inhibitor for a new filling",
    kind=u.VOLUME,
    formula="f*V_s",
    where={"f": Symbol("inhibitor wanted, by volume", u.FRACTION, unit="1"), "V_s": V_S},
    function=water_quality.first_dose,
    cite=_DOSE,
)
TOP_UP = Equation(
    symbol="V_r",
    label="inhibitor to add, as much water let out first",
    kind=u.VOLUME,
    formula="V_s*(f - f_1)/(f_c - f_1)",
    where={
        "V_s": V_S,
        "f_1": Symbol("inhibitor found, by volume", u.FRACTION, unit="1"),
        "f": Symbol("inhibitor wanted, by volume", u.FRACTION, unit="1"),
        "f_c": Symbol("inhibitor in what is added", u.FRACTION, unit="1"),
    },
    function=glycol.replaced_volume,
    cite=_DOSE,
)
LOST = Equation(
    symbol="V_l",
    label="water lost since the earlier test",
    kind=u.VOLUME,
    formula="V_s*ln(f_0/f_1)",
    where={
        "V_s": V_S,
        "f_0": Symbol("inhibitor at the earlier test", u.FRACTION, unit="1"),
        "f_1": Symbol("inhibitor found, by volume", u.FRACTION, unit="1"),
    },
    function=water_quality.water_lost,
    cite=PHYSICS.at("balance of a tracer, steady loss"),
)

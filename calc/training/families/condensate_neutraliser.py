"""Condensate of a year, the stone its acid uses up, and how long a filling lasts at most."""

from __future__ import annotations

from calc import condensate, neutraliser, units
from calc.training.families.saying import TABLE_WHY
from calc.training.families.telling import place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance

_BAND = Tolerance(0.03, 0.0, TABLE_WHY)
_FUEL = condensate.METHANE
_WORDS = {"lower": "lower (net)", "higher": "higher (gross)"}


def _planned(basis: str) -> float:
    heat = _FUEL.higher if basis == "higher" else _FUEL.lower
    return _FUEL.planning * _FUEL.lower / heat


def _yearly(k: Known, basis: str) -> float:
    return condensate.yearly_condensate(_planned(basis), k["power"], k["hours"])


def _use(k: Known) -> float:
    medium = neutraliser.MEDIA[k["medium"]]
    return neutraliser.least_use(neutraliser.acid_of_ph(k["acid_ph"]), medium.per_acid)


def _lasts(k: Known, purity: float, usable: float) -> float:
    return k["mass"] * purity * usable / k["stone_a_year"] * neutraliser.YEAR


def _draw(draw: Draw, level: str, system: str) -> dict[str, str]:
    basis = (
        draw.pick(("lower", "higher")) if level == "hard" else ("higher" if draw.us else "lower")
    )
    return {
        "fuel": "gas",
        "amount": "planned",
        "basis": basis,
        "power": draw.entry((40, 190, 5, "kW"), (140000, 640000, 10000, "Btu/h")),
        "hours": draw.entry((1300, 2200, 50, "h"), (1300, 2200, 50, "h")),
        "acid_ph": draw.entry((2.8, 3.6, 0.1, ""), (2.8, 3.6, 0.1, "")).strip(),
        "medium": "limestone",
        "mass": draw.entry((4, 25, 1, "kg"), (10, 55, 1, "lb")),
        "purity": draw.pick(("90 %", "92 %", "95 %")),
        "usable": draw.pick(("60 %", "65 %", "70 %")),
        "_place": place(draw),
    }  # fmt: skip


def _situation(e: dict[str, str], level: str) -> list[str]:
    told = [
        f"A condensing boiler on natural gas stands in {e['_place']}. Its plate gives a heat input "
        f"of {e['power']}, on the {_WORDS[e['basis']]} heating value. From the gas bill it runs "
        f"{e['hours']} a year at full load. Plan with 0.14 kg of condensate for each kWh on the "
        f"lower (net) heating value (0.0905 lb for each 1000 Btu); a litre weighs a kilogram.",
        "For natural gas, what is put in is 1.11 times as much on the higher heating value as on "
        "the lower.",
    ]
    if level != "first":
        told.append(
            f"The condensate has a pH of {e['acid_ph']}. The neutraliser holds {e['mass']} of "
            f"limestone chips: {e['purity']} of them neutralise, and {e['usable']} of that gets "
            f"used. One mole of acid takes 50 g of limestone. Count the strong acid alone: that is "
            f"the longest it can last, and the pH at the outlet overrules it."
        )
    return told


FAMILY = Family(
    id="condensate-neutraliser",
    calculator="condensate-neutraliser",
    title="Condensate, and the longest a filling lasts",
    draw=_draw,
    situation=_situation,
    parts=(
        Part(
            name="condensate_a_year",
            label="Condensate of a year",
            kind=units.VOLUME,
            work=lambda k: _yearly(k, k["basis"]),
            step="Input on the lower heating value, times the full-load hours, times the figure to "
            "plan with.",
            tolerance=_BAND,
        ),
        Part(
            name="stone_a_year",
            label="Limestone that the acid of a year uses up",
            kind=units.MASS,
            work=lambda k: k["condensate_a_year"] * _use(k),
            step="Acid in a litre is ten to the power of minus pH, in moles; each mole takes 50 g "
            "of limestone, over all the litres of the year.",
            tolerance=_BAND,
            unsafe="low",
        ),
        Part(
            name="filling_lasts",
            label="Longest that the filling can last",
            kind=units.TIME,
            work=lambda k: _lasts(k, k["purity"], k["usable"]),
            step="What neutralises and gets used of the filling, divided by what a year uses up.",
            tolerance=_BAND,
            unsafe="high",
        ),
    ),
    asked={
        "first": ("condensate_a_year",),
        "usual": ("condensate_a_year", "stone_a_year", "filling_lasts"),
        "hard": ("condensate_a_year", "filling_lasts"),
    },
    slips=(
        Slip("heating-values", "condensate_a_year",
             lambda k: _yearly(k, "lower" if k["basis"] == "higher" else "higher")),
        Slip("hours-of-the-year", "condensate_a_year",
             lambda k: _yearly(k, k["basis"]) * 8760 * 3600 / k["hours"]),
        Slip("one-to-one-acid", "stone_a_year", lambda k: 2 * k["condensate_a_year"] * _use(k)),
        Slip("all-of-the-bag", "filling_lasts", lambda k: _lasts(k, 1.0, 1.0)),
        Slip("usable-left-out", "filling_lasts", lambda k: _lasts(k, k["purity"], 1.0)),
    ),
    output="longest",
    page="condensate-neutraliser.md",
    may_fail=("contact",),
)  # fmt: skip

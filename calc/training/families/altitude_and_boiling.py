"""The least gauge reading that keeps very hot water liquid at the top of a building."""

from __future__ import annotations

from math import ceil

from calc import atmosphere, boiling, fluids, hydrostatics, units
from calc.entries import read_quantity
from calc.fluids import WATER, density
from calc.training.families.telling import BAR, GAUGE_WHY, place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance

_SEA = 101325.0
_BAND = Tolerance(0.02, 0.02 * BAR, GAUGE_WHY)


def _column(k: Known) -> float:
    return hydrostatics.static_pressure(density(WATER, k["cold"]), k["rise"])


def _vapour(k: Known) -> float:
    return fluids.vapour_pressure(k["hot"])


def _draw(draw: Draw, level: str, system: str) -> dict[str, str]:
    hot = draw.entry((104, 120, 1, "degC"), (220, 248, 1, "degF"))
    vapour = fluids.vapour_pressure(read_quantity(units.TEMPERATURE, hot, system).value)
    unit, step = ("psi", 0.1) if draw.us else ("bar", 0.01)
    shown = ceil(units.ABSOLUTE_PRESSURE.unit(unit).from_si(vapour) / step) * step
    return {
        "hot": hot,
        "pressure": draw.entry((1.8, 3, 0.1, "bar"), (28, 45, 1, "psi")),
        "rise": draw.entry((3, 12, 0.5, "m"), (10, 36, 1, "ft")),
        "margin": draw.entry((0.2, 0.5, 0.1, "bar"), (4, 8, 1, "psi")),
        "air_from": "altitude",
        "altitude": draw.entry((500, 2200, 50, "m"), (1800, 7000, 100, "ft")),
        "cold": "50 degF" if draw.us else "10 degC",
        "_vapour": f"{shown:.1f} psia" if draw.us else f"{shown:.2f} bar absolute",
        "_place": place(draw),
    }


def _situation(e: dict[str, str], level: str) -> list[str]:
    told = [
        f"A plant with very hot water stands in {e['_place']}, {e['altitude']} above the sea. "
        f"Its hottest water is at {e['hot']}; to stay liquid it needs {e['_vapour']}.",
        f"The highest coil lies {e['rise']} above the gauge. It is to have {e['margin']} more than "
        "boiling takes. Pumps off; count the column as cold, at "
        f"{e['cold']}.",
    ]
    if level == "hard":
        told.append(
            f"The gauge shows {e['pressure']} now, and a colleague who learned by the sea says "
            "that this has always been enough."
        )
    return told


FAMILY = Family(
    id="altitude-and-boiling",
    calculator="altitude-and-boiling",
    title="Boiling at altitude",
    draw=_draw,
    situation=_situation,
    unlisted=("pressure", "air_from"),
    parts=(
        Part(
            name="outside",
            label="Pressure of the air at the site",
            kind=units.ABSOLUTE_PRESSURE,
            work=lambda k: atmosphere.standard_pressure(k["altitude"]),
            step="From the table by altitude; it falls by about a ninth in the first 1000 m "
            "(3300 ft).",
            tolerance=Tolerance(0.01, 0.0, "the weather moves it more"),
        ),
        Part(
            name="least_top",
            label="Least pressure at the highest coil",
            kind=units.GAUGE_PRESSURE,
            work=lambda k: (
                max(0.0, boiling.least_liquid_pressure(k["hot"], k["outside"])) + k["margin"]
            ),
            step="What it takes to stay liquid, less the air outside, and the margin on top.",
            tolerance=_BAND,
            unsafe="low",
        ),
        Part(
            name="least_reading",
            label="Least reading of the gauge",
            kind=units.GAUGE_PRESSURE,
            work=lambda k: k["least_top"] + _column(k),
            step="Add the column from the gauge up to the coil.",
            tolerance=_BAND,
            unsafe="low",
        ),
    ),
    asked={
        "first": ("outside",),
        "usual": ("outside", "least_top", "least_reading"),
        "hard": ("least_reading",),
    },
    slips=(
        Slip("sea-level-air", "outside", lambda k: _SEA),
        Slip("gauge-for-absolute", "least_top", lambda k: _vapour(k) + k["margin"]),
        Slip("no-margin-at-top", "least_top", lambda k: _vapour(k) - k["outside"]),
        Slip("heights-as-one", "least_reading", lambda k: k["least_top"]),
        Slip("column-wrong-way", "least_reading", lambda k: k["least_top"] - _column(k)),
    ),
    output="least_gauge",
    page="boiling-and-trapped-water.md",
    may_fail=("liquid", "air", "opening"),
)

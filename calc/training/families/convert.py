"""What a dial reading is in absolute pressure, where the site is high."""

from __future__ import annotations

from calc import atmosphere, units
from calc.training.families.telling import BAR, place
from calc.training.problem import Draw, Family, Part, Slip, Tolerance

_BAND = Tolerance(0.004, 0.003 * BAR, "a table of the air by altitude gives that much")


def _draw(draw: Draw, level: str, system: str) -> dict[str, str]:
    dial = draw.entry((0.8, 3.0, 0.05, "bar"), (10, 45, 0.5, "psi"))
    if level == "hard":
        # The dial shows what the trainee does not reckon in.
        dial = draw.entry((12, 42, 0.5, "psi"), (80, 300, 5, "kPa"))
    return {
        "what": "gauge pressure",
        "gauge_pressure": dial,
        "altitude": draw.entry((500, 2200, 50, "m"), (1600, 7200, 100, "ft")),
        "_place": place(draw),
    }


def _situation(e: dict[str, str], level: str) -> list[str]:
    told = [
        f"In {e['_place']}, {e['altitude']} above the sea, the dial on the vessel shows "
        f"{e['gauge_pressure']}. It reads zero in open air.",
    ]
    if level == "hard":
        told.append(
            "You want to put it into the law of gases, in the units you reckon in. The dial does "
            "not show those, and the table on the wall is for sea level."
        )
    else:
        told.append("You want to put it into the law of gases.")
    return told


FAMILY = Family(
    id="convert",
    calculator="convert",
    title="Absolute pressure from a dial",
    draw=_draw,
    situation=_situation,
    parts=(
        Part(
            name="air_here",
            label="Pressure of the air at the site",
            kind=units.ABSOLUTE_PRESSURE,
            work=lambda k: atmosphere.standard_pressure(k["altitude"]),
            step="From the altitude: about 1.2 % less for each 100 m, 3.6 % for each 1000 ft.",
            tolerance=_BAND,
        ),
        Part(
            name="absolute_found",
            label="Absolute pressure behind the dial",
            kind=units.ABSOLUTE_PRESSURE,
            work=lambda k: atmosphere.absolute_pressure(k["gauge_pressure"], k["air_here"]),
            step="Dial and air, added, in one unit.",
            tolerance=_BAND,
        ),
    ),
    asked={
        "first": ("absolute_found",),
        "usual": ("air_here", "absolute_found"),
        "hard": ("absolute_found",),
    },
    slips=(
        Slip("sea-level-air", "air_here", lambda k: atmosphere.SEA_LEVEL_PRESSURE),
        Slip("gauge-for-absolute", "absolute_found", lambda k: k["gauge_pressure"]),
        Slip("air-taken-away", "absolute_found", lambda k: k["gauge_pressure"] - k["air_here"]),
    ),
    output="absolute_pressure_si",
    page="convert.md",
)

"""The water in a system, by the meter on its filling line."""

from __future__ import annotations

from math import pi

from calc import units, volume
from calc.training.families.telling import LITRE, place
from calc.training.problem import Draw, Family, Part, Slip, Tolerance, written

_BAND = Tolerance(0.01, 2 * LITRE, "a water meter is not better")
_GALLONS_IN_CUBIC_FOOT = 7.48052


def _draw(draw: Draw, level: str, system: str) -> dict[str, str]:
    us = draw.us
    remained = draw.grid(2, 20, 1) if us else draw.grid(10, 80, 5)
    told = {"method": "metered", "output": "", "_place": place(draw)}
    if level == "hard":
        # A horizontal header is still full; its content comes from tape and calliper.
        bore = draw.pick((6, 8)) if us else draw.pick((100, 125, 150))
        length = draw.grid(6, 14, 0.5) if us else draw.grid(1.5, 4, 0.1)
        if us:
            remained = pi / 4 * (bore / 12) ** 2 * length * _GALLONS_IN_CUBIC_FOOT
        else:
            remained = pi / 4 * (bore / 100) ** 2 * length * 10
        told["bore"] = written(bore, 1, "in" if us else "mm")
        told["length"] = written(length, 0.5 if us else 0.1, "ft" if us else "m")
    start = draw.grid(1000, 9000, 1) if us else draw.grid(20, 400, 0.001)
    taken = draw.grid(90, 500, 1) if us else draw.grid(0.4, 1.9, 0.001)
    if us and level == "hard":
        start, taken = draw.grid(1000, 9000, 0.1), draw.grid(14, 70, 0.1)
    step, unit = (0.001, "m3") if not us else (0.1, "ft3") if level == "hard" else (1, "gal")
    told |= {
        "before": written(start, step, unit),
        "after": written(start + taken, step, unit),
        "remained": written(remained, 0.1 if level == "hard" else 1, "gal" if us else "L"),
        "lost": draw.entry((20, 90, 1, "L"), (5, 24, 1, "gal")),
    }
    return told


def _situation(e: dict[str, str], level: str) -> list[str]:
    told = [
        f"You fill the system in {e['_place']} through a meter. It shows {e['before']} before "
        f"and {e['after']} after.",
    ]
    if level == "hard":
        told.append(
            f"A header of {e['bore']} bore and {e['length']} length had stayed full of water; all "
            "else was empty."
        )
    else:
        told.append(f"Before filling, {e['remained']} had stayed in the low pipes.")
    told.append(f"While venting and flushing you let {e['lost']} out into buckets.")
    return told


FAMILY = Family(
    id="system-volume",
    calculator="system-volume",
    title="Water in the system",
    draw=_draw,
    situation=_situation,
    extra={
        "bore": ("Bore of the header", units.SMALL_LENGTH),
        "length": ("Length of the header", units.LENGTH),
    },
    parts=(
        Part(
            name="stayed",
            label="Water that was there before",
            kind=units.VOLUME,
            work=lambda k: k["remained"],
            step="What had stayed in the system; in a pipe it is π d² / 4 times the length.",
            tolerance=Tolerance(0.02, 0.5 * LITRE, "a tape and a calliper give no better"),
        ),
        Part(
            name="metered",
            label="Water that went through the meter",
            kind=units.VOLUME,
            work=lambda k: k["after"] - k["before"],
            step="The second reading less the first.",
            tolerance=_BAND,
        ),
        Part(
            name="total",
            label="Water in the system",
            kind=units.VOLUME,
            work=lambda k: volume.metered_content(
                k["before"], k["before"] + k["metered"], k["stayed"], k["lost"]
            ),
            step="Metered water and what was there before, less what was let out again.",
            tolerance=_BAND,
        ),
    ),
    asked={
        "first": ("metered",),
        "usual": ("metered", "total"),
        "hard": ("stayed", "metered", "total"),
    },
    slips=(
        Slip(
            "radius-for-diameter",
            "stayed",
            lambda k: 4 * k["stayed"] if k.get("bore") else None,
        ),
        Slip("remained-left-out", "total", lambda k: k["metered"] - k["lost"]),
        Slip("lost-left-out", "total", lambda k: k["metered"] + k["stayed"]),
        Slip("lost-added", "total", lambda k: k["metered"] + k["stayed"] + k["lost"]),
    ),
    output="volume",
    unlisted=("method",),
    page="survey.md",
)

"""How much of a filling has to be treated water."""

from __future__ import annotations

from calc import units
from calc import water_quality as wq
from calc.entries import read_quantity
from calc.training.families.saying import TABLE_WHY, gallons, imperial
from calc.training.families.telling import place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance

_MOST = 38 * units.SPECIFIC_CONTENT.unit("L/kW").scale
_HEATERS = {
    "full": "It holds 0.3 L/kW (0.023 US gal per 1000 Btu/h) or more inside",
    "spare": "It holds less than 0.3 L/kW (0.023 US gal per 1000 Btu/h) inside",
}


def _allowed(k: Known, content: float) -> float | None:
    return wq.hardness_limit(wq.EDITIONS[k["edition"]], k["heater"], k["output"], content)


def _by_all(k: Known) -> float:
    return wq.content_per_output(k["system_volume"], k["output"])


def _treated(k: Known, share: float) -> float:
    return share * k["system_volume"]


def _other_edition(k: Known) -> float | None:
    other = "2005" if k["edition"] == "2021" else "2021"
    return wq.hardness_limit(wq.EDITIONS[other], k["heater"], k["output"], k["content_found"])


def _draw(draw: Draw, level: str, system: str) -> dict[str, str] | None:
    found = {
        "output": draw.entry((80, 190, 5, "kW"), (280000, 650000, 10000, "Btu/h")),
        "smallest": draw.entry((30, 60, 5, "kW"), (100000, 200000, 10000, "Btu/h")),
        "system_volume": draw.entry((500, 1700, 50, "L"), (130, 450, 5, "gal")),
        "heater": "full",
        "edition": "2005" if level == "hard" else "2021",
        "hardness": draw.entry((260, 420, 10, "mg/L"), (15, 25, 0.5, "gpg")),
        "_place": place(draw),
    }
    volume = read_quantity(units.VOLUME, found["system_volume"], system)
    smallest = read_quantity(units.POWER, found["smallest"], system)
    # With more water than that, all of it has to be softened, and there is nothing to work out.
    return found if volume.value / smallest.value < _MOST else None


def _situation(e: dict[str, str], level: str) -> list[str]:
    return [
        f"The system in {e['_place']} is to be filled anew: {gallons(e['system_volume'])}. All "
        f"heaters together give {e['output']}; the smallest of them gives {e['smallest']}. "
        f"{_HEATERS[e['heater']]}.",
        f"The water supplier reports a hardness of {hardness(e['hardness'])}. The guarantee names "
        f"VDI 2035, edition {e['edition']}: use its table on the page on fill water. Softened "
        f"water, with no hardness left, is mixed with raw water until the mixture is just allowed.",
    ]


def hardness(text: str) -> str:
    """Return a hardness as a supplier writes it."""
    return text.replace(" mg/L", " mg/L as CaCO₃").replace(" gpg", " grains/US gal")


FAMILY = Family(
    id="fill-water",
    calculator="fill-water",
    title="Softened water for a filling",
    draw=_draw,
    situation=_situation,
    parts=(
        Part(
            name="content_found",
            label="Water in the system for the output of the smallest heater",
            kind=units.SPECIFIC_CONTENT,
            work=lambda k: wq.content_per_output(k["system_volume"], k["smallest"]),
            step="Water in the system divided by the output of the smallest heater.",
            tolerance=Tolerance(0.02, 0.0, TABLE_WHY),
        ),
        Part(
            name="hardness_allowed",
            label="Hardness that the edition allows",
            kind=units.HARDNESS,
            work=lambda k: _allowed(k, k["content_found"]),
            step="From the table: the row by the output of all heaters, the column by the water "
            "for the smallest one.",
            tolerance=Tolerance(0.02, 0.0, TABLE_WHY),
            unsafe="high",
        ),
        Part(
            name="softened_water",
            label="Least softened water in one filling",
            kind=units.VOLUME,
            work=lambda k: _treated(
                k, wq.treated_share(k["hardness"], k["hardness_allowed"])
            ),
            step="Share to soften is one less allowed over raw hardness; times the filling.",
            tolerance=Tolerance(0.02, 0.0, TABLE_WHY),
            unsafe="low",
        ),
    ),
    asked={
        "first": ("content_found",),
        "usual": ("content_found", "hardness_allowed", "softened_water"),
        "hard": ("hardness_allowed", "softened_water"),
    },
    slips=(
        Slip("all-heaters", "content_found", _by_all),
        Slip("gallons", "content_found", lambda k: imperial(k, k["content_found"])),
        Slip("other-edition", "hardness_allowed", _other_edition),
        Slip("share-upside-down", "softened_water",
             lambda k: _treated(k, k["hardness_allowed"] / k["hardness"])),
    ),
    output="treated",
    page="water-quality.md",
    may_fail=("hardness", "lifetime"),
)  # fmt: skip

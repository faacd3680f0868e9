"""Bringing a loop to a strength of glycol, and what topping up with water leaves of it."""

from __future__ import annotations

from calc import glycol, units
from calc.training.families.saying import TABLE_WHY, gallons, imperial
from calc.training.families.telling import place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance

_LEAST = 0.02
_REFRACTOMETER = "a refractometer is not read more finely"


def _by_volume(k: Known) -> float:
    if k["basis"] == "volume":
        return k["now"]
    return glycol.share_by_volume(
        k["now"], glycol.PURE_DENSITY[k["substance"]], glycol.WATER_DENSITY
    )


def _replaced(k: Known, added: float) -> float:
    return glycol.replaced_volume(k["loop_volume"], k["now_by_volume"], k["wanted"], added)


def _in_a_line(k: Known) -> float | None:
    left = k["wanted"] * (1 - k["topped"] * k["times"] / k["loop_volume"])
    # Less than nothing is no answer that anybody writes down.
    return left if left > _LEAST else None


def _draw(draw: Draw, level: str, system: str) -> dict[str, str] | None:
    hard = level == "hard"
    found = {
        "method": "replace",
        "substance": "ethylene glycol" if hard else draw.pick(
            ("propylene glycol", "ethylene glycol")),
        "basis": "mass" if hard else "volume",
        "now": draw.entry((16, 28, 1, "%"), (16, 28, 1, "%")),
        "goal": "share",
        "wanted": draw.entry((32, 45, 1, "%"), (32, 45, 1, "%")),
        "added": draw.entry((86, 95, 1, "%"), (86, 95, 1, "%")),
        "loop_volume": draw.entry((90, 600, 10, "L"), (24, 160, 2, "gal")),
        "topped": draw.entry((4, 25, 1, "L"), (1, 7, 0.5, "gal")),
        "times": draw.pick(("4", "5", "6", "8", "10", "12")),
        "_place": place(draw),
    }  # fmt: skip
    # What is left may not happen to be the reading that is given.
    wanted, topped, volume, now = (
        float(found[name].split()[0]) for name in ("wanted", "topped", "loop_volume", "now")
    )
    left = wanted * (1 - topped / volume) ** float(found["times"])
    return found if abs(left - now) > 1.0 else None


def _situation(e: dict[str, str], level: str) -> list[str]:
    basis = "by volume" if e["basis"] == "volume" else "by mass"
    told = [
        f"The loop of a fresh-air coil in {e['_place']} is full, {gallons(e['loop_volume'])} of "
        f"{e['substance']} in water. After the pump has mixed it, the refractometer shows "
        f"{e['now']}; its scale is {basis}. The coil wants {e['wanted']} by volume.",
        f"The drum says {e['added']} of glycol by volume; the rest is water and inhibitor. What is "
        f"poured in has to be let out first.",
    ]
    if e["basis"] == "mass":
        told.append(
            f"The book counts with {glycol.PURE_DENSITY[e['substance']]:.0f} kg/m³ for the pure "
            f"glycol and {glycol.WATER_DENSITY} kg/m³ for water."
        )
    if level != "first":
        told.append(
            f"Before the next test, the caretaker will have topped it up with plain water "
            f"{e['times']} times, {gallons(e['topped'])} each time, for as much as was lost."
        )
    return told


FAMILY = Family(
    id="glycol-dose",
    calculator="glycol-dose",
    title="Glycol to pour in, and what is left of it",
    draw=_draw,
    situation=_situation,
    parts=(
        Part(
            name="now_by_volume",
            label="Glycol now, by volume",
            kind=units.FRACTION,
            work=_by_volume,
            step="A share by mass is turned into one by volume with both densities; glycol is "
            "heavier, so the share by volume is the smaller.",
            tolerance=Tolerance(0.01, 0.002, _REFRACTOMETER),
        ),
        Part(
            name="to_let_out",
            label="Fluid to let out, and concentrate to pour in",
            kind=units.VOLUME,
            work=lambda k: _replaced(k, k["added"]),
            step="Volume of the loop times (wanted less now) over (concentrate less now): what is "
            "let out carries glycol with it.",
            tolerance=Tolerance(0.02, 0.0, TABLE_WHY),
            unsafe="low",
        ),
        Part(
            name="after_topping",
            label="Glycol left after the topping up",
            kind=units.FRACTION,
            work=lambda k: glycol.diluted(
                k["wanted"], k["loop_volume"], k["topped"], k["times"]
            ),
            step="Each time the share left is (volume less what went) over volume: multiply as "
            "often as it is topped up.",
            tolerance=Tolerance(0.015, 0.0, _REFRACTOMETER),
            unsafe="high",
        ),
    ),
    asked={
        "first": ("to_let_out",),
        "usual": ("to_let_out", "after_topping"),
        "hard": ("now_by_volume", "to_let_out", "after_topping"),
    },
    slips=(
        Slip("volume-and-mass", "now_by_volume",
             lambda k: k["now"] if k["basis"] == "mass" else None),
        Slip("neat-concentrate", "to_let_out", lambda k: _replaced(k, 1.0)),
        Slip("let-out-forgotten", "to_let_out",
             lambda k: k["loop_volume"] * (k["wanted"] - k["now_by_volume"]) / k["added"]),
        Slip("gallons", "to_let_out", lambda k: imperial(k, _replaced(k, k["added"]))),
        Slip("dilution-in-a-line", "after_topping", _in_a_line),
        Slip("topped-once", "after_topping",
             lambda k: glycol.diluted(k["wanted"], k["loop_volume"], k["topped"], 1.0)),
    ),
    output="after",
    page="glycol.md",
    may_fail=("protects", "topping"),
)  # fmt: skip

"""A vessel that may be full of water: its mass, its bracket, the pull on a bolt."""

from __future__ import annotations

from calc import lifting, units
from calc.fluids import WATER, density
from calc.hydrostatics import STANDARD_GRAVITY
from calc.training.families.saying import TABLE_WHY, gallons, imperial, us
from calc.training.families.telling import place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance

_BAND = Tolerance(0.02, 0.0, TABLE_WHY)
_RULES = {
    "once": "The bracket is made for the filled weight",
    "twice": "The code adopted here wants the bracket made for twice the filled weight",
}


def _full(k: Known, volume: float) -> float:
    return k["empty_mass"] + density(WATER, k["cold"]) * volume


def _imperial(k: Known) -> float | None:
    water = imperial(k, k["vessel_volume"])
    return None if water is None else _full(k, water)


def _times(k: Known) -> float:
    return 2.0 if k["support_rule"] == "twice" else 1.0


def _force(k: Known, hanging: float, times: float) -> float:
    return times * lifting.weight(k["full_of_water"] + hanging)


def _pull(k: Known) -> float:
    return lifting.bolt_tension(k["weight_for"], k["offset"], k["top_bolts"], k["spacing"])


def _draw(draw: Draw, level: str, system: str) -> dict[str, str]:
    return {
        "vessel_volume": draw.entry((50, 300, 10, "L"), (14, 85, 1, "gal")),
        "empty_mass": draw.entry((10, 52, 1, "kg"), (22, 115, 1, "lb")),
        "state": "waterlogged",
        "cold": draw.entry((8, 16, 1, "degC"), (46, 62, 1, "degF")),
        "support": "wall",
        "support_rule": "twice" if draw.us or level == "hard" else "once",
        "piping_mass": draw.entry((6, 25, 1, "kg"), (14, 55, 1, "lb")),
        "offset": draw.entry((24, 45, 1, "cm"), (9, 18, 0.5, "in")),
        "spacing": draw.entry((50, 95, 1, "cm"), (20, 38, 1, "in")),
        "top_bolts": draw.pick(("2", "3")),
        "bolts": draw.pick(("4", "6")),
        "tension_allowed": "2000 lbf" if draw.us else "9 kN",
        "shear_allowed": "2000 lbf" if draw.us else "9 kN",
        "_place": place(draw),
    }


def _situation(e: dict[str, str], level: str) -> list[str]:
    told = [
        f"A wall-hung vessel has to come down in {e['_place']}, and one like it goes up again. Its "
        f"plate says {gallons(e['vessel_volume'])} and {e['empty_mass']} empty. Water came out of "
        f"its gas valve, and nobody has proved it empty. The water is cold, {e['cold']}.",
    ]
    if level != "first":
        told.append(
            f"{_RULES[e['support_rule']]}. A service valve, a drain and their pipe hang on the "
            f"vessel: {e['piping_mass']}."
        )
        told.append(
            f"From the wall to the middle of the vessel it is {e['offset']}. The top row of "
            f"{e['top_bolts']} bolts sits {e['spacing']} above the foot of the bracket, which has "
            f"{e['bolts']} bolts in all; each may take {e['tension_allowed']} of pull and "
            f"{e['shear_allowed']} of shear."
        )
    return told


FAMILY = Family(
    id="lifting-check",
    calculator="lifting-check",
    title="Full weight and bracket",
    draw=_draw,
    situation=_situation,
    parts=(
        Part(
            name="full_of_water",
            label="Mass of the vessel full of water",
            kind=units.MASS,
            work=lambda k: _full(k, k["vessel_volume"]),
            step="Mass of the empty vessel, and its whole volume filled with water.",
            tolerance=_BAND,
            unsafe="low",
        ),
        Part(
            name="weight_for",
            label="Weight that the bracket has to be made for",
            kind=units.FORCE,
            work=lambda k: _force(k, k["piping_mass"], _times(k)),
            step="The full mass and what hangs on it, times the pull of the earth, and twice that "
            "where the code says so.",
            tolerance=_BAND,
            unsafe="low",
        ),
        Part(
            name="pull_on_bolt",
            label="Pull on each bolt of the top row",
            kind=units.FORCE,
            work=_pull,
            step="Weight times its distance from the wall, divided by the height of the top row "
            "above the foot and by the bolts in that row.",
            tolerance=_BAND,
            unsafe="low",
        ),
    ),
    asked={
        "first": ("full_of_water",),
        "usual": ("full_of_water", "weight_for"),
        "hard": ("full_of_water", "weight_for", "pull_on_bolt"),
    },
    slips=(
        Slip("dry-for-full", "full_of_water", lambda k: k["empty_mass"]),
        Slip("shell-left-out", "full_of_water", lambda k: _full(k, k["vessel_volume"])
             - k["empty_mass"]),
        Slip("gallons", "full_of_water", _imperial),
        Slip("piping-left-out", "weight_for", lambda k: _force(k, 0.0, _times(k))),
        Slip("once-for-twice", "weight_for", lambda k: _force(k, k["piping_mass"], 1.0)),
        Slip("mass-for-force", "weight_for", lambda k: None if us(k)
             else _force(k, k["piping_mass"], _times(k)) / STANDARD_GRAVITY),
        Slip("all-bolts-pull", "pull_on_bolt",
             lambda k: _pull(k) * k["top_bolts"] / k["bolts"]),
        Slip("arms-swapped", "pull_on_bolt",
             lambda k: k["weight_for"] * k["spacing"] / k["offset"] / k["top_bolts"]),
        Slip("whole-pull", "pull_on_bolt", lambda k: _pull(k) * k["top_bolts"]),
    ),
    output="bolt_tension",
    page="lift-and-support.md",
    may_fail=("index-start", "index-end"),
)  # fmt: skip

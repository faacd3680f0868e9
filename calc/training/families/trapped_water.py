"""How much warming a pipe that is shut at both ends can bear."""

from __future__ import annotations

from math import ceil

from calc import atmosphere, trapped, units
from calc.calculators.trapped_water import METALS
from calc.entries import read_quantity
from calc.model import Refusal
from calc.training.families.telling import BAR, GAUGE_WHY, place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance

_PIPES = {
    "si": (("22 mm", "1 mm"), ("28 mm", "1.5 mm"), ("15 mm", "1 mm"), ("35 mm", "1.5 mm")),
    "us": (("0.875 in", "0.045 in"), ("1.125 in", "0.05 in"), ("1.375 in", "0.055 in")),
}
_WHY = (
    "The burner is about to be started, and the pipe runs beside the flow.",
    "The sun is about to come round to the window above it.",
    "The room is cold now and will be heated again tomorrow.",
    "A colleague went home and left it so.",
)
_PSI_PER_FAHRENHEIT = units.PRESSURE_PER_KELVIN.unit("psi/degF").scale


def _bearable(k: Known) -> float:
    """Return the warming that uses up the room in `spare`. [K]"""
    metal = METALS[k["metal"]]
    start = k["pressure"] + atmosphere.standard_pressure(k["altitude"])
    give = trapped.pipe_give(k["outside"], k["wall"], metal.modulus, metal.poisson)
    return trapped.warming_to_pressure(
        start, k["shut_temperature"], start + k["spare"], metal.expansion, give
    )


_KINDS = {
    "outside": units.SMALL_LENGTH,
    "wall": units.SMALL_LENGTH,
    "shut_temperature": units.TEMPERATURE,
    "pressure": units.GAUGE_PRESSURE,
    "rating": units.GAUGE_PRESSURE,
    "altitude": units.ALTITUDE,
}


def _draw(draw: Draw, level: str, system: str) -> dict[str, str] | None:
    outside, wall = draw.pick(_PIPES[system])
    found = {
        "tube": "own",
        "outside": outside,
        "wall": wall,
        "metal": "copper",
        "length": draw.entry((2, 9, 0.5, "m"), (8, 30, 1, "ft")),
        "shut_temperature": draw.entry((14, 40, 1, "degC"), (58, 104, 1, "degF")),
        "pressure": draw.entry((1, 2.5, 0.1, "bar"), (12, 35, 1, "psi")),
        "rating": draw.pick(
            ("125 psi", "150 psi", "200 psi") if draw.us else ("6 bar", "10 bar", "16 bar")
        ),
        "altitude": draw.entry((0, 1500, 50, "m"), (0, 5000, 100, "ft")),
        "_place": place(draw),
        "_why": draw.pick(_WHY),
    }
    found["warm_temperature"] = "140 degF" if draw.us else "60 degC"
    known = {n: read_quantity(kind, found[n], system).value for n, kind in _KINDS.items()}
    known |= {"metal": "copper", "spare": known["rating"] - known["pressure"]}
    try:
        slope = known["spare"] / _bearable(known)
    except Refusal:
        return None
    # Rounded up, so that who divides by it errs to the safe side. The hard level tells it in the
    # units of the other system.
    if draw.us == (level == "hard"):
        found["_slope"] = f"{ceil(slope / BAR * 100) / 100:.2f} bar for each °C"
    else:
        found["_slope"] = f"{ceil(slope / _PSI_PER_FAHRENHEIT * 10) / 10:.1f} psi for each °F"
    return found


def _situation(e: dict[str, str], level: str) -> list[str]:
    return [
        f"In {e['_place']}, {e['altitude']} above the sea, a copper pipe of {e['outside']} by "
        f"{e['wall']}, {e['length']} long, has been shut at both ends, full of water at "
        f"{e['shut_temperature']} and without a bubble of air. Its gauge shows {e['pressure']}.",
        f"The weakest part in it carries {e['rating']}. For this pipe and this range the pressure "
        f"climbs by {e['_slope']} of warming.",
        e["_why"],
    ]


FAMILY = Family(
    id="trapped-water",
    calculator="trapped-water",
    title="Water shut in",
    draw=_draw,
    situation=_situation,
    unlisted=("tube", "warm_temperature"),
    parts=(
        Part(
            name="spare",
            label="Rise in pressure that the weakest part still allows",
            kind=units.PRESSURE_DIFFERENCE,
            work=lambda k: k["rating"] - k["pressure"],
            step="What the weakest part carries, less what stands in the pipe already.",
            tolerance=Tolerance(0.01, 0.05 * BAR, GAUGE_WHY),
            unsafe="high",
        ),
        Part(
            name="warming",
            label="Warming that it can bear (1 K is 1 °C)",
            kind=units.TEMPERATURE_DIFFERENCE,
            work=_bearable,
            step="The rise still allowed, divided by the rise for each degree.",
            tolerance=Tolerance(0.06, 0.05, "the climb is not the same at every temperature"),
            unsafe="high",
        ),
    ),
    asked={"first": ("spare",), "usual": ("spare", "warming"), "hard": ("warming",)},
    slips=(
        Slip("start-left-out", "spare", lambda k: k["rating"]),
        Slip(
            "fahrenheit-for-celsius",
            "warming",
            lambda k: k["warming"] / 1.8,
        ),
        Slip(
            "fahrenheit-for-celsius",
            "warming",
            lambda k: k["warming"] * 1.8,
        ),
    ),
    output="bearable",
    page="boiling-and-trapped-water.md",
    may_fail=("rating",),
)

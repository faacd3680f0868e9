"""Water and weight of a vessel before it is drained and taken down."""

from __future__ import annotations

from calc import atmosphere, drainage, units, vessel
from calc.fluids import WATER, density
from calc.training.families.telling import LITRE, place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance, written

_SEA = 101325.0
_WHY = (
    "You want to know what it weighs before anything is unscrewed.",
    "Two of you are to carry it out, and the lift is out of order.",
    "Its bracket is rusty, and you want to know what it carries.",
    "The helper reads the plate and says that one person is enough.",
)


def _held(k: Known, air: float) -> float:
    charge, shut = k["charge_read"] + air, k["shut_at"] + air
    return vessel.water_in_vessel(k["vessel_volume"], charge, shut)


def _air(k: Known) -> float:
    return atmosphere.standard_pressure(k["altitude"])


def _water(k: Known) -> float:
    return k["vessel_volume"] if k["water_from"] == "waterlogged" else _held(k, _air(k))


def _torn(k: Known) -> bool:
    return k["water_from"] == "waterlogged"


def _draw(draw: Draw, level: str, system: str) -> dict[str, str]:
    us = draw.us
    charge = draw.entry((0.8, 1.5, 0.1, "bar"), (10, 20, 1, "psi"))
    number = float(charge.split()[0])
    shut = number + (draw.grid(3, 9, 1) if us else draw.grid(0.2, 0.7, 0.05))
    shut_text = written(shut, 1 if us else 0.05, "psi" if us else "bar")
    sizes = (
        (("20 gal", "52 lb"), ("35 gal", "79 lb"), ("60 gal", "132 lb"), ("90 gal", "205 lb"))
        if us
        else (("80 L", "14 kg"), ("140 L", "26 kg"), ("200 L", "38 kg"), ("300 L", "54 kg"))
    )
    size, empty = draw.pick(sizes)
    found = {
        "item": "vessel",
        "vessel_volume": size,
        "empty_mass": empty,
        "charge_read": charge,
        "shut_at": shut_text,
        "drive": "vented",
        "altitude": draw.entry((0, 1800, 50, "m"), (0, 6000, 100, "ft")),
        "water_temperature": draw.entry((18, 35, 1, "degC"), (65, 95, 1, "degF")),
        "destination": "container",
        "_place": place(draw),
        "_why": draw.pick(_WHY),
    }
    if level == "hard":
        return found | {"water_from": "waterlogged"}
    return found | {"water_from": "charge", "charge": charge, "shut_pressure": shut_text}


def _situation(e: dict[str, str], level: str) -> list[str]:
    told = [
        f"A vessel of {e['vessel_volume']} stands in {e['_place']}, "
        f"{e['altitude']} above the sea. Its plate gives {e['empty_mass']} empty. It was shut off "
        f"cold at {e['shut_at']}, at the vessel; the water in it is at {e['water_temperature']}.",
    ]
    if level == "hard":
        told.append(
            f"Last year's sheet has a charge of {e['charge_read']}. When you press the pin of the "
            "gas valve, a little water spits out."
        )
    else:
        told.append(f"Its charge is {e['charge_read']}, read last year with the water side open.")
    told.append(e["_why"])
    return told


FAMILY = Family(
    id="drain-down",
    calculator="drain-down",
    title="Water and weight of a vessel",
    draw=_draw,
    situation=_situation,
    unlisted=("charge", "shut_pressure", "item", "drive", "destination", "water_from"),
    extra={
        "charge_read": ("Charge of the vessel", units.GAUGE_PRESSURE),
        "shut_at": ("Pressure when it was shut off", units.GAUGE_PRESSURE),
    },
    parts=(
        Part(
            name="inside",
            label="Water in the vessel",
            kind=units.VOLUME,
            work=_water,
            step="Volume times one less the ratio of charge to pressure, both absolute; all of it "
            "where the diaphragm leaks.",
            tolerance=Tolerance(0.03, 0.5 * LITRE, "the pressures are read no better"),
        ),
        Part(
            name="hanging",
            label="Weight of the vessel as it is now",
            kind=units.MASS,
            work=lambda k: drainage.filled_mass(
                k["empty_mass"], density(WATER, k["water_temperature"]), k["inside"]
            ),
            step="Empty vessel and water: a litre weighs 1 kg, a US gallon 8.3 lb.",
            tolerance=Tolerance(0.02, 0.5, "a scale for such loads shows no more"),
            unsafe="low",
        ),
    ),
    asked={"first": ("inside",), "usual": ("inside", "hanging"), "hard": ("hanging",)},
    slips=(
        Slip("gauge-for-absolute", "inside", lambda k: None if _torn(k) else _held(k, 0.0)),
        Slip(
            "sea-level-air",
            "inside",
            lambda k: None if _torn(k) or k["altitude"] < 1000.0 else _held(k, _SEA),
        ),
        Slip(
            "waterlogged-overlooked",
            "inside",
            lambda k: _held(k, _air(k)) if _torn(k) else None,
        ),
        Slip("dry-for-full", "hanging", lambda k: k["empty_mass"]),
    ),
    output="mass_now",
    page="isolate-and-drain.md",
    may_fail=("weight", "stall", "scald", "boiling"),
)

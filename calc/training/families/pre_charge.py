"""The charge for a building, set in a cold vessel, and the fill that goes with it."""

from __future__ import annotations

from calc import atmosphere, charge, hydrostatics, units
from calc.fluids import WATER, density
from calc.training.families.telling import BAR, GAUGE_WHY, place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance

_MARGINS = {"0.2 bar": 0.2 * BAR, "4 psi": 4 * units.PRESSURE_DIFFERENCE.unit("psi").scale}
_WHY = (
    "You stand at the vessel",
    "A new vessel has been hung",
    "The vessel has been drained for its yearly check",
    "Somebody has let the gas out of the vessel",
)
_LIFT = 0.3 * BAR
_BAND = Tolerance(0.02, 0.02 * BAR, GAUGE_WHY)
_FINE = Tolerance(0.01, 0.01 * BAR, "a test gauge shows that much")


def _column(k: Known, height: float) -> float:
    return hydrostatics.static_pressure(density(WATER, k["cold"]), height)


def _in_cold(k: Known, absolute: float) -> float:
    return charge.charge_at_temperature(absolute, k["living_temperature"], k["vessel_now"])


def _charge_now(k: Known) -> float:
    ambient = atmosphere.standard_pressure(k["altitude"])
    return _in_cold(k, k["charge_set"] + ambient) - ambient


def _in_degrees(k: Known) -> float | None:
    zero = 273.15
    ambient = atmosphere.standard_pressure(k["altitude"])
    share = (k["vessel_now"] - zero) / (k["living_temperature"] - zero)
    return (k["charge_set"] + ambient) * share - ambient


def _draw(draw: Draw, level: str, system: str) -> dict[str, str]:
    living = draw.entry((17, 24, 1, "degC"), (62, 75, 1, "degF"))
    now = draw.entry((-8, 6, 1, "degC"), (15, 42, 1, "degF")) if level == "hard" else living
    return {
        "height": draw.entry((5, 20, 0.5, "m"), (14, 60, 0.5, "ft")),
        "margin": "4 psi" if draw.us else "0.2 bar",
        "gauge_height": draw.entry((0.8, 2.6, 0.1, "m"), (2.5, 8, 0.5, "ft")),
        "cold": "50 degF" if draw.us else "10 degC",
        "hot": draw.entry((60, 80, 5, "degC"), (140, 180, 5, "degF")),
        "living_temperature": living,
        "vessel_now": now,
        "altitude": draw.entry((0, 1500, 50, "m"), (0, 5500, 100, "ft")),
        "relief": draw.pick(("50 psi", "75 psi") if draw.us else ("4 bar", "5 bar")),
        "practice": "equal" if draw.us else "fixed",
        "rounding": "none",
        "vessel_volume": "",
        "system_volume": "",
        "factory_charge": "",
        "_place": place(draw),
        "_why": draw.pick(_WHY),
    }


def _situation(e: dict[str, str], level: str) -> list[str]:
    told = [
        f"{e['_why']} in {e['_place']}, {e['altitude']} above the sea. The tape says "
        f"{e['height']} from the vessel's connection up to the highest radiator. The gauge hangs "
        f"{e['gauge_height']} above that connection.",
        f"The top is to keep {e['margin']} with the pumps off. The fill water is at {e['cold']}, "
        f"and the boiler goes no higher than {e['hot']}.",
    ]
    if e["practice"] == "fixed":
        told.append("The house fills 0.3 bar above the charge, at the vessel.")
    else:
        told.append("The house fills to the charge, at the vessel.")
    if level == "hard":
        told.append(
            f"The new vessel comes out of the van: its shell is at {e['vessel_now']}. In service "
            f"it lives at {e['living_temperature']}. You set the charge now, before it warms up."
        )
    return told


FAMILY = Family(
    id="pre-charge",
    calculator="pre-charge",
    title="Charge and cold fill",
    draw=_draw,
    situation=_situation,
    parts=(
        Part(
            name="static",
            label="Pressure of the column from the vessel to the top",
            kind=units.PRESSURE_DIFFERENCE,
            work=lambda k: _column(k, k["height"]),
            step="Height times the weight of the water: about 0.098 bar for each metre, 0.433 psi "
            "for each foot.",
            tolerance=_BAND,
        ),
        Part(
            name="charge_set",
            label="Charge of the vessel at the temperature it lives at",
            kind=units.GAUGE_PRESSURE,
            work=lambda k: k["static"] + _MARGINS[k["margin"]],
            step="The column and the pressure wanted at the top, added.",
            tolerance=_BAND,
        ),
        Part(
            name="charge_cold",
            label="Charge to set now, in the cold vessel",
            kind=units.GAUGE_PRESSURE,
            work=_charge_now,
            step="Make the charge absolute, multiply by the ratio of the temperatures in kelvin "
            "(or degrees Rankine), and take the air off again.",
            tolerance=_FINE,
            aside=True,
        ),
        Part(
            name="fill_at_vessel",
            label="Cold fill at the vessel",
            kind=units.GAUGE_PRESSURE,
            work=lambda k: k["charge_set"] + (_LIFT if k["practice"] == "fixed" else 0.0),
            step="The charge in service, and what the practice of the house puts on top.",
            tolerance=_BAND,
        ),
        Part(
            name="fill_on_gauge",
            label="Cold fill on the gauge",
            kind=units.GAUGE_PRESSURE,
            work=lambda k: k["fill_at_vessel"] - _column(k, k["gauge_height"]),
            step="Take off the column from the vessel up to the gauge.",
            tolerance=_BAND,
        ),
    ),
    asked={
        "first": ("charge_set",),
        "usual": ("static", "charge_set", "fill_on_gauge"),
        "hard": ("charge_set", "charge_cold", "fill_on_gauge"),
    },
    slips=(
        Slip(
            "height-from-floor",
            "static",
            lambda k: _column(k, k["height"] - k["gauge_height"]),
        ),
        Slip("no-margin-at-top", "charge_set", lambda k: k["static"]),
        Slip("cold-vessel", "charge_cold", lambda k: k["charge_set"]),
        Slip("gauge-for-absolute", "charge_cold", lambda k: _in_cold(k, k["charge_set"])),
        Slip("celsius-in-gas-law", "charge_cold", _in_degrees),
        Slip(
            "fill-is-charge",
            "fill_at_vessel",
            lambda k: k["charge_set"] if k["practice"] == "fixed" else None,
        ),
        Slip("heights-as-one", "fill_on_gauge", lambda k: k["fill_at_vessel"]),
        Slip(
            "column-wrong-way",
            "fill_on_gauge",
            lambda k: k["fill_at_vessel"] + _column(k, k["gauge_height"]),
        ),
    ),
    output="fill_gauge",
    unlisted=("practice", "rounding"),
    page="set-the-pre-charge.md",
)

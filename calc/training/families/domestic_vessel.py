"""The vessel on the drinking water of a cylinder: growth, highest pressure, smallest vessel."""

from __future__ import annotations

from calc import atmosphere, domestic, expansion, units, vessel
from calc.training.families.saying import TABLE_WHY, gallons, imperial
from calc.training.families.telling import BAR, GAUGE_WHY, place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance

_RULES = {
    "din": "DIN 4807-5 is adopted here: the pressure stays a fifth below the safety valve, and the "
    "rule has a formula of its own, with a charge 0.2 bar below the supply.",
    "code": "The US plumbing codes are adopted here: no more than 80 psi in the building.",
    "valve": "The engineer goes by a tenth below the relief valve.",
}


def _growth(k: Known) -> float:
    return expansion.expanded_volume(
        k["cylinder"], expansion.water_expansion(k["cold"], k["stored"])
    )


def _end(k: Known) -> float:
    if k["rule"] == "din":
        return domestic.end_of_din(k["cylinder_relief"])
    if k["rule"] == "code":
        return domestic.end_of_code()
    return domestic.end_below_valve(k["cylinder_relief"])


def _sized(k: Known, air: float) -> float:
    return vessel.diaphragm_volume(k["growth_volume"], k["supply"] + air, k["end_pressure"] + air)


def _needed(k: Known) -> float:
    if k["rule"] == "din":
        return domestic.din_volume(k["growth_volume"], k["supply"], k["end_pressure"])
    return _sized(k, atmosphere.standard_pressure(k["altitude"]))


def _cushion(k: Known) -> float:
    air = atmosphere.standard_pressure(k["altitude"])
    return vessel.air_cushion_volume(
        k["growth_volume"], air, k["supply"] + air, k["end_pressure"] + air
    )


def _draw(draw: Draw, level: str, system: str) -> dict[str, str]:
    rule = draw.pick(("code", "valve")) if draw.us else "din"
    return {
        "rule": rule,
        "cylinder": draw.entry((120, 500, 10, "L"), (40, 120, 5, "gal")),
        "cold": draw.entry((6, 14, 1, "degC"), (40, 58, 1, "degF")),
        "stored": draw.entry((55, 65, 1, "degC"), (125, 150, 5, "degF")),
        "supply": draw.entry((2.5, 4.2, 0.1, "bar"), (40, 62, 1, "psi")),
        "cylinder_relief": draw.pick(("125 psi", "150 psi") if draw.us else ("6 bar", "8 bar")),
        "altitude": draw.entry((0, 900, 50, "m"), (0, 5500, 100, "ft")),
        "grow_to": "stored",
        "_place": place(draw),
    }


def _situation(e: dict[str, str], level: str) -> list[str]:
    told = [
        f"A cylinder of drinking water stands in {e['_place']}, {e['altitude']} above the sea. Its "
        f"plate says {gallons(e['cylinder'])}. The thermostat is set to {e['stored']}, and in "
        f"winter the water comes in at {e['cold']}.",
        f"A check valve closes the cold supply. At night, with every tap shut, the gauge behind "
        f"the regulator shows {e['supply']}. The relief valve on the cylinder is marked "
        f"{e['cylinder_relief']}.",
        f"{_RULES[e['rule']]} The vessel has to take the growth up to the stored temperature.",
    ]
    if level == "hard":
        told.append(
            "By day, with taps open, the same gauge is much lower. Your mate wants to size for "
            "that, and up to the mark on the relief valve."
        )
    return told


FAMILY = Family(
    id="domestic-vessel",
    calculator="domestic-vessel",
    title="Vessel on the drinking water",
    draw=_draw,
    situation=_situation,
    parts=(
        Part(
            name="growth_volume",
            label="Growth of the stored water at one heating",
            kind=units.VOLUME,
            work=_growth,
            step="Content of the cylinder times the growth between both temperatures, from the "
            "densities of water.",
            tolerance=Tolerance(0.03, 0.0, TABLE_WHY),
            unsafe="low",
        ),
        Part(
            name="end_pressure",
            label="Highest pressure that the rule allows",
            kind=units.GAUGE_PRESSURE,
            work=_end,
            step="A fifth or a tenth below the relief valve, or the 80 psi of the codes, by the "
            "rule that is adopted.",
            tolerance=Tolerance(0.01, 0.02 * BAR, GAUGE_WHY),
            unsafe="high",
        ),
        Part(
            name="vessel_needed",
            label="Smallest vessel by that rule",
            kind=units.VOLUME,
            work=_needed,
            step="Growth divided by the share of the vessel that the water takes between the "
            "supply and the highest pressure, both absolute; DIN 4807-5 has its own formula.",
            tolerance=Tolerance(0.03, 0.0, TABLE_WHY),
            unsafe="low",
        ),
    ),
    asked={
        "first": ("growth_volume",),
        "usual": ("growth_volume", "end_pressure", "vessel_needed"),
        "hard": ("end_pressure", "vessel_needed"),
    },
    slips=(
        Slip("gallons", "growth_volume", lambda k: imperial(k, _growth(k))),
        Slip("fahrenheit-for-celsius", "growth_volume", lambda k: 1.8 * _growth(k)),
        Slip("no-gap", "end_pressure", lambda k: k["cylinder_relief"]),
        Slip(
            "gauge-for-absolute",
            "vessel_needed",
            lambda k: k["growth_volume"] / (1 - k["supply"] / k["end_pressure"]),
        ),
        Slip("other-formula", "vessel_needed", _cushion),
        Slip("growth-for-vessel", "vessel_needed", lambda k: k["growth_volume"]),
    ),
    output="needed",
    page="domestic-side.md",
    may_fail=("control", "size", "charge", "hot", "supply"),
)

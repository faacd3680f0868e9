"""The smallest vessel that serves as a replacement, with the pump between it and the valve."""

from __future__ import annotations

from calc import atmosphere, expansion, hydrostatics, units, vessel
from calc.equations.shared import GAPS
from calc.fluids import WATER, density
from calc.training.families.saying import TABLE_WHY, gallons, imperial
from calc.training.families.telling import BAR, GAUGE_WHY, place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance

_BAND = Tolerance(0.03, 0.0, TABLE_WHY)
_GAP_WORDS = {
    "en": "keep 0.5 bar below the mark of a valve up to 5 bar, a tenth below a higher one",
    "tenth-or-five": "keep a tenth or 5 psi below the mark, whichever is more",
}


def _growth(k: Known) -> float:
    return expansion.expanded_volume(
        k["system_volume"], expansion.water_expansion(k["cold"], k["hot"])
    )


def _gap(k: Known) -> float:
    return GAPS[k["gap_rule"]].function(k["relief"])


def _final(k: Known, gap: float, gain: float, height: float) -> float:
    # The lighter column allows the vessel less where the valve stands higher.
    rho = density(WATER, k["hot"] if height > 0 else k["cold"])
    return k["relief"] - gap + hydrostatics.static_pressure(rho, height) - gain


def _gain(k: Known) -> float:
    return max(0.0, k["pump_head"] - k["friction"])


def _needed(k: Known, air: float, reserve: float | None = None) -> float:
    kept = vessel.water_reserve(k["system_volume"]) if reserve is None else reserve
    return vessel.vessel_volume(
        k["growth_volume"], kept, k["charge"] + air, k["final_at_vessel"] + air
    )


def _air(k: Known) -> float:
    return atmosphere.standard_pressure(k["altitude"])


def _draw(draw: Draw, level: str, system: str) -> dict[str, str]:
    hard = level == "hard"
    nothing = "0 psi" if draw.us else "0 bar"
    return {
        "system_volume": draw.entry((600, 3000, 50, "L"), (160, 800, 10, "gal")),
        "cold": draw.entry((8, 14, 1, "degC"), (46, 58, 1, "degF")),
        "hot": draw.entry((70, 85, 5, "degC"), (150, 190, 5, "degF")),
        "charge": draw.entry((0.9, 1.3, 0.05, "bar"), (11, 17, 0.5, "psi")),
        "relief": draw.pick(("30 psi", "36 psi") if draw.us else ("3 bar", "3.5 bar")),
        "valve_height": draw.entry((1.5, 3.5, 0.1, "m"), (5, 12, 0.5, "ft")),
        "pump_head": draw.entry((0.2, 0.45, 0.05, "bar"), (3, 6, 0.5, "psi")) if hard else nothing,
        "friction": draw.entry((0.03, 0.08, 0.01, "bar"), (0.4, 1.2, 0.1, "psi")) if hard
        else nothing,
        "reserve": "en",
        "gap_rule": "tenth-or-five" if draw.us else "en",
        "fluid": "water",
        "fill": "",
        "altitude": draw.entry((200, 1400, 50, "m"), (700, 5000, 100, "ft")),
        "_place": place(draw),
    }  # fmt: skip


def _situation(e: dict[str, str], level: str) -> list[str]:
    told = [
        f"The vessel in {e['_place']}, {e['altitude']} above the sea, has to be replaced. The "
        f"system holds {gallons(e['system_volume'])} of plain water, filled at {e['cold']} and "
        f"never hotter than {e['hot']}. The height asks for a charge of {e['charge']}.",
        f"The relief valve is marked {e['relief']} and stands {e['valve_height']} above the "
        f"vessel's connection; {_GAP_WORDS[e['gap_rule']]}. As water reserve keep 0.5 % of the "
        f"system, at least 3 L (0.8 US gal).",
    ]
    if e["pump_head"].startswith("0 "):
        told.append(
            f"No pump stands between vessel and valve: head {e['pump_head']}, friction "
            f"{e['friction']}."
        )
    else:
        told.append(
            f"On the way from the vessel to the valve the water passes the pump, which adds "
            f"{e['pump_head']}, and loses {e['friction']} in the pipe and the boiler."
        )
    return told


FAMILY = Family(
    id="replacement-options",
    calculator="replacement-options",
    title="Smallest vessel that serves",
    draw=_draw,
    situation=_situation,
    parts=(
        Part(
            name="growth_volume",
            label="Water pushed into the vessel",
            kind=units.VOLUME,
            work=_growth,
            step="Content of the system times the growth between both temperatures.",
            tolerance=_BAND,
            unsafe="low",
        ),
        Part(
            name="final_at_vessel",
            label="Highest pressure allowed at the vessel",
            kind=units.GAUGE_PRESSURE,
            work=lambda k: _final(k, _gap(k), _gain(k), k["valve_height"]),
            step="Set pressure less the margin, with the column down to the vessel added, and what "
            "the pump adds on the way taken off.",
            tolerance=Tolerance(0.01, 0.02 * BAR, GAUGE_WHY),
            unsafe="high",
        ),
        Part(
            name="vessel_needed",
            label="Smallest vessel that serves",
            kind=units.VOLUME,
            work=lambda k: _needed(k, _air(k)),
            step="Growth and reserve, times the absolute final pressure, divided by final less "
            "charge.",
            tolerance=_BAND,
            unsafe="low",
        ),
    ),
    asked={
        "first": ("growth_volume",),
        "usual": ("growth_volume", "final_at_vessel", "vessel_needed"),
        "hard": ("final_at_vessel", "vessel_needed"),
    },
    slips=(
        Slip("gallons", "growth_volume", lambda k: imperial(k, _growth(k))),
        Slip("fahrenheit-for-celsius", "growth_volume", lambda k: 1.8 * _growth(k)),
        Slip("no-gap", "final_at_vessel",
             lambda k: _final(k, 0.0, _gain(k), k["valve_height"])),
        Slip("heights-as-one", "final_at_vessel", lambda k: _final(k, _gap(k), _gain(k), 0)),
        Slip("column-wrong-way", "final_at_vessel",
             lambda k: _final(k, _gap(k), _gain(k), -k["valve_height"])),
        Slip("pump-left-out", "final_at_vessel",
             lambda k: _final(k, _gap(k), 0.0, k["valve_height"])),
        Slip("gauge-for-absolute", "vessel_needed", lambda k: _needed(k, 0.0)),
        Slip("no-reserve", "vessel_needed", lambda k: _needed(k, _air(k), 0.0)),
        Slip("growth-for-vessel", "vessel_needed", lambda k: k["growth_volume"]),
    ),
    output="minimum",
    page="choose-a-replacement.md",
    may_fail=("any", "option-1", "option-2", "option-3", "option-4"),
)  # fmt: skip

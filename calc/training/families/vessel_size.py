"""The smallest diaphragm vessel that serves, by the way of EN 12828."""

from __future__ import annotations

from calc import atmosphere, expansion, hydrostatics, relief, units, vessel
from calc.fluids import WATER, density
from calc.training.families.relief_margin import growth_text
from calc.training.families.telling import BAR, GAUGE_WHY, LITRE, place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance, written

_VOLUME = Tolerance(0.02, 0.2 * LITRE, "the growth is known no better")
_SEA = 101325.0
_WHY = (
    "A new vessel is to be ordered for",
    "The old vessel has failed in",
    "A vessel of unknown size is to be replaced in",
)


def _air(k: Known) -> float:
    return atmosphere.standard_pressure(k["altitude"])


def _gap(k: Known) -> float:
    return relief.closing_difference(k["relief"])


def _column(k: Known) -> float:
    return hydrostatics.static_pressure(density(WATER, k["hot"]), k["valve_height"])


def _size(k: Known, air: float, reserve: float | None = None) -> float | None:
    charge_abs, final_abs = k["charge"] + air, k["final_at_vessel"] + air
    if final_abs <= charge_abs:
        return None
    kept = k["kept"] if reserve is None else reserve
    return vessel.vessel_volume(k["grown"], kept, charge_abs, final_abs)


def _as_cushion(k: Known) -> float:
    air = _air(k)
    return vessel.air_cushion_volume(
        k["grown"] + k["kept"], air, k["charge"] + air, k["final_at_vessel"] + air
    )


def _draw(draw: Draw, level: str, system: str) -> dict[str, str]:
    us = draw.us
    height = draw.grid(12, 28, 1) if us else draw.grid(4, 9, 0.5)
    charge = height * 0.4335 + 4 if us else round((height * 0.0981 + 0.3) / 0.1 + 0.5) * 0.1
    cold = "50 degF" if us else "10 degC"
    hot = draw.entry((65, 90, 5, "degC"), (150, 190, 5, "degF"))
    return {
        "task": "size",
        "method": "en-12828",
        "construction": "diaphragm",
        "system_volume": draw.entry((700, 2600, 50, "L"), (190, 650, 10, "gal")),
        "hot": hot,
        "cold": cold,
        "height": written(height, 1 if us else 0.5, "ft" if us else "m"),
        "charge": written(charge, 1 if us else 0.1, "psi" if us else "bar"),
        "fill": "",
        "relief": draw.pick(
            ("30 psi", "36 psi", "45 psi") if us else ("2.5 bar", "3 bar", "4 bar")
        ),
        "valve_height": "0 ft"
        if level == "first" and us
        else "0 m"
        if level == "first"
        else draw.entry((0.8, 3, 0.2, "m"), (3, 10, 1, "ft")),
        "gap_rule": "en",
        "reserve": "en",
        "pipe": "plastic" if level == "hard" else "none",
        "altitude": draw.entry((0, 1800, 50, "m"), (0, 6000, 100, "ft")),
        "output": "",
        "_place": place(draw),
        "_why": draw.pick(_WHY),
        "_growth": growth_text(cold, hot),
    }


def _situation(e: dict[str, str], level: str) -> list[str]:
    told = [
        f"{e['_why']} {e['_place']}, {e['altitude']} above the sea. The "
        f"system holds {e['system_volume']} of water, filled at {e['cold']}, and the control goes "
        f"no higher than {e['hot']}. Between the two, water grows by {e['_growth']}.",
        f"The charge will be {e['charge']}. The relief valve is set at {e['relief']}"
        + (
            "; it sits level with the vessel."
            if level == "first"
            else f"; the tape says it sits {e['valve_height']} above the vessel's connection."
        ),
        "Size it by EN 12828, with a reserve of 0.5 % of the water and at least 3 L, and a margin "
        "of 0.5 bar (7.3 psi) below the valve.",
    ]
    if level == "hard":
        told.append("All pipes are plastic: a colleague says that they make room for the growth.")
    return told


FAMILY = Family(
    id="vessel-size",
    calculator="vessel-size",
    title="Size of the vessel",
    draw=_draw,
    situation=_situation,
    parts=(
        Part(
            name="grown",
            label="Water that the vessel has to take in on heating",
            kind=units.VOLUME,
            work=lambda k: (
                k["system_volume"] * expansion.relative_expansion(WATER, k["cold"], k["hot"])
            ),
            step="Water in the system times its growth.",
            tolerance=_VOLUME,
        ),
        Part(
            name="kept",
            label="Water reserve",
            kind=units.VOLUME,
            work=lambda k: vessel.water_reserve(k["system_volume"]),
            step="0.5 % of the water, at least 3 L (0.8 US gal).",
            tolerance=_VOLUME,
        ),
        Part(
            name="final_at_vessel",
            label="Highest pressure allowed at the vessel",
            kind=units.GAUGE_PRESSURE,
            work=lambda k: k["relief"] - _gap(k) + _column(k),
            step="Set pressure less the margin, and the column from the valve down to the vessel.",
            tolerance=Tolerance(0.01, 0.02 * BAR, GAUGE_WHY),
        ),
        Part(
            name="least",
            label="Smallest vessel that serves",
            kind=units.VOLUME,
            work=lambda k: _size(k, _air(k)),
            step="Growth and reserve, times the final pressure, divided by final pressure less "
            "charge; the pressure on top is absolute.",
            tolerance=Tolerance(0.03, 0.5 * LITRE, "vessels come in steps far wider"),
            unsafe="low",
        ),
    ),
    asked={
        "first": ("grown",),
        "usual": ("grown", "final_at_vessel", "least"),
        "hard": ("final_at_vessel", "least"),
    },
    slips=(
        Slip(
            "plastic-credit",
            "grown",
            lambda k: (
                k["system_volume"]
                * expansion.net_expansion(
                    expansion.relative_expansion(WATER, k["cold"], k["hot"]),
                    expansion.PIPE_EXPANSION["steel"],
                    k["hot"] - k["cold"],
                )
                if k["pipe"] == "plastic"
                else None
            ),
        ),
        Slip("no-reserve", "kept", lambda k: 0.0),
        Slip("no-gap", "final_at_vessel", lambda k: k["relief"] + _column(k)),
        Slip(
            "heights-as-one",
            "final_at_vessel",
            lambda k: k["relief"] - _gap(k) if k["valve_height"] else None,
        ),
        Slip("gauge-for-absolute", "least", lambda k: _size(k, 0.0)),
        Slip("sea-level-air", "least", lambda k: _size(k, _SEA) if k["altitude"] > 600 else None),
        Slip("other-formula", "least", _as_cushion),
    ),
    output="minimum",
    unlisted=("task", "method", "construction", "gap_rule", "reserve", "pipe"),
    page="size-or-confirm.md",
    may_fail=("size",),
)

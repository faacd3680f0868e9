"""How far each reading may be out: as entered beside it, or half a division where none stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from calc import units as u
from calc.calculators.two_reading_check.form import INPUTS
from calc.model import CAUTION, PASS, Values, Work, say
from calc.sources import COMMON_PRACTICE

HALF_PRESSURE_DIVISION = 0.05e5
"""Half a division of a dial marked every 0.1 bar. [Pa]"""

HALF_TEMPERATURE_DIVISION = 1.0
"""Half a division of a thermometer marked every 2 K. [K]"""

CLOSEST_COUNT = 0.02
"""Share of the water in a system by which even a careful count is out. [-]"""

_ASSUMED: dict[str, Callable[[Values], float]] = {
    "cold_fill": lambda _: HALF_PRESSURE_DIVISION,
    "cold": lambda _: HALF_TEMPERATURE_DIVISION,
    "hot_reading": lambda _: HALF_PRESSURE_DIVISION,
    "hot": lambda _: HALF_TEMPERATURE_DIVISION,
    "system_volume": lambda v: CLOSEST_COUNT * v.system_volume,
    "found_charge": lambda _: HALF_PRESSURE_DIVISION,
}
_LABELS = {entry.name: entry.label for entry in INPUTS}


@dataclass(frozen=True, slots=True)
class Bands:
    """Plus/minus of every reading, in SI, and the names of those that came without one."""

    cold_fill: float
    cold: float
    hot_reading: float
    hot: float
    system_volume: float
    found_charge: float
    assumed: tuple[str, ...]


def bands_of(v: Values) -> Bands:
    """Return the plus/minus of every reading; no reading is taken as exact."""
    entered = {name: v.plus_minus.get((name,), 0.0) for name in _ASSUMED}
    assumed = tuple(name for name in _ASSUMED if not entered[name] and getattr(v, name) is not None)
    taken = {name: entered[name] or rule(v) for name, rule in _ASSUMED.items()}
    return Bands(**taken, assumed=assumed)


def check_bands(w: Work, b: Bands) -> None:
    """Say which readings came without a plus/minus, and what was taken for it."""
    label, cite = "Plus/minus beside every reading", COMMON_PRACTICE.at("half a division")
    if not b.assumed:
        w.check(
            "bands", label, PASS, "Every reading says how far it may be out, and that counts.", cite
        )
        return
    taken, values = [], {}
    if {"cold_fill", "hot_reading", "found_charge"} & set(b.assumed):
        taken.append("half a division of a gauge, {p}")
        values["p"] = (HALF_PRESSURE_DIVISION, u.PRESSURE_DIFFERENCE)
    if {"cold", "hot"} & set(b.assumed):
        taken.append("half a division of a thermometer, {t}")
        values["t"] = (HALF_TEMPERATURE_DIVISION, u.TEMPERATURE_DIFFERENCE)
    if "system_volume" in b.assumed:
        taken.append("a fiftieth of the water, {w}")
        values["w"] = (b.system_volume, u.VOLUME)
    named = "”, “".join(_LABELS[name] for name in b.assumed)
    w.check(
        "bands",
        label,
        CAUTION,
        say(
            f"No plus/minus stands beside “{named}”, and no reading is exact. Taken instead: "
            f"{'; '.join(taken)}. Enter how far yours may be out.",
            **values,
        ),
        cite,
    )

"""What a rule asks, and the vessel that is there."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(slots=True)
class Rule:
    """What one rule asks: highest pressure, charge from and to, smallest vessel. [Pa gauge, m3]

    `volume` is None where the supply leaves no room below the highest pressure.
    """

    id: str
    name: str
    end: float
    charge_low: float
    charge_high: float
    volume: float | None


@dataclass(frozen=True, slots=True)
class There:
    """The vessel that is there; None where its gas is used up. [Pa abs, Pa gauge]"""

    ambient: float
    charge_abs: float
    supply_abs: float
    expansion: float
    hot: float | None

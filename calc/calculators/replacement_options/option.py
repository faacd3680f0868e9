"""What is asked of every option, and what one option gives."""

from __future__ import annotations

from dataclasses import dataclass

HAIR = 1e-9
"""Share by which a rounding may miss. [-]"""


@dataclass(frozen=True, slots=True)
class Duty:
    """What every option has to do; pressures at the vessel. [Pa abs, m3, kg/m3]"""

    ambient: float
    density: float
    expansion: float
    charge_abs: float
    final_abs: float
    fill_abs: float | None


@dataclass(slots=True)
class Option:
    """One option worked through; None where there is no such number. [m3, Pa abs, kg]"""

    number: int
    name: str
    count: float
    total: float
    piece: float
    full_mass: float
    cost: float
    reserve: float
    low_abs: float | None
    high_abs: float
    window: float | None
    fill_abs: float | None
    held: float | None
    hot_abs: float | None

    def serves(self, d: Duty) -> bool:
        """Return whether some cold fill holds the reserve and keeps the hot pressure down."""
        if self.low_abs is None or self.high_abs < d.charge_abs * (1 - HAIR):
            return False
        return self.low_abs <= self.high_abs * (1 + HAIR)

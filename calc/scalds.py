"""How fast hot water and hot metal burn: printed times, kept as data.

No formula stands here. The known ones leave out how slowly heat gets into skin, and are not safe
to use above about 50 degC.
"""

from __future__ import annotations

from dataclasses import dataclass

from calc.sources import (
    BURN_FOUNDATION,
    CPSC_5098,
    ISO_13732_1,
    MORITZ_HENRIQUES_1947,
    Citation,
)

MINUTE = 60.0
HOUR = 3600.0


@dataclass(frozen=True, slots=True)
class BurnTime:
    """Contact until a deep burn. Temperature as printed, in `unit`; times in s."""

    printed: float
    unit: str
    shortest: float
    longest: float
    cite: Citation

    def temperature(self) -> float:
        """Return the temperature. [K]

        Examples
        --------
        >>> round(WATER_BURNS[0].temperature() - 273.15, 1)
        68.9
        """
        celsius = (self.printed - 32.0) / 1.8 if self.unit == "degF" else self.printed
        return celsius + 273.15


def _rows(unit: str, cite: Citation, *rows: tuple[float, float, float]) -> tuple[BurnTime, ...]:
    return tuple(BurnTime(printed, unit, low, high, cite) for printed, low, high in rows)


WATER_BURNS = tuple(
    sorted(
        (
            *_rows(
                "degF",
                CPSC_5098.at("burn times of adults"),
                (150.0, 2.0, 2.0),
                (140.0, 6.0, 6.0),
                (130.0, 30.0, 30.0),
                (120.0, 5.0 * MINUTE, 5.0 * MINUTE),
            ),
            *_rows(
                "degF",
                BURN_FOUNDATION.at("burn times"),
                (156.0, 1.0, 1.0),
                (149.0, 2.0, 2.0),
                (140.0, 5.0, 5.0),
                (133.0, 15.0, 15.0),
            ),
            *_rows(
                "degC",
                MORITZ_HENRIQUES_1947.at("death of the outer skin"),
                (60.0, 5.0, 5.0),
                (55.0, 30.0, 30.0),
                (53.0, 60.0, 60.0),
                (51.0, 4.0 * MINUTE, 6.0 * MINUTE),
                (49.0, 9.0 * MINUTE, 10.0 * MINUTE),
                (48.0, 15.0 * MINUTE, 20.0 * MINUTE),
                (47.0, 45.0 * MINUTE, 45.0 * MINUTE),
                (45.0, 3.0 * HOUR, 3.0 * HOUR),
                (44.0, 6.0 * HOUR, 6.0 * HOUR),
            ),
        ),
        key=lambda row: (-row.temperature(), row.shortest),
    )
)
"""Burn times of adult skin in water, hottest first."""

METAL_BURNS = _rows(
    "degC",
    ISO_13732_1.at("bare metal"),
    (65.0, 1.0, 1.0),
    (55.0, 10.0, 10.0),
    (51.0, MINUTE, MINUTE),
    (43.0, 8.0 * HOUR, 8.0 * HOUR),
)
"""Bare metal: the lower end of each remembered range, so that the time errs on the safe side."""

"""The calculators, listed by hand. Nothing registers itself."""

from __future__ import annotations

from calc.calculators import (
    altitude_and_boiling,
    condensate_neutraliser,
    convert,
    cool_down,
    domestic_vessel,
    drain_down,
    fill_and_purge,
    fill_water,
    glycol_dose,
    leak_rate,
    lifting_check,
    loop_pressures,
    pre_charge,
    pressure_trace,
    relief_margin,
    replacement_options,
    system_volume,
    trapped_water,
    two_reading_check,
    vessel_size,
)
from calc.model import Calculator

CALCULATORS: tuple[Calculator, ...] = (
    system_volume.CALCULATOR,
    two_reading_check.CALCULATOR,
    pressure_trace.CALCULATOR,
    vessel_size.CALCULATOR,
    replacement_options.CALCULATOR,
    lifting_check.CALCULATOR,
    pre_charge.CALCULATOR,
    relief_margin.CALCULATOR,
    drain_down.CALCULATOR,
    domestic_vessel.CALCULATOR,
    leak_rate.CALCULATOR,
    cool_down.CALCULATOR,
    fill_and_purge.CALCULATOR,
    altitude_and_boiling.CALCULATOR,
    glycol_dose.CALCULATOR,
    trapped_water.CALCULATOR,
    condensate_neutraliser.CALCULATOR,
    loop_pressures.CALCULATOR,
    convert.CALCULATOR,
    fill_water.CALCULATOR,
)


def calculator(id: str) -> Calculator:
    """Return the calculator called `id`; KeyError with the known ids otherwise."""
    for known in CALCULATORS:
        if known.id == id:
            return known
    raise KeyError(
        f"No calculator is called “{id}”. There are: {', '.join(c.id for c in CALCULATORS)}."
    )

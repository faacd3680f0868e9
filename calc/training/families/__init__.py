"""Every kind of problem, one module for a calculator, listed in the order of a job."""

from __future__ import annotations

from calc.training.families import (
    altitude_and_boiling,
    cool_down,
    drain_down,
    pre_charge,
    relief_margin,
    system_volume,
    trapped_water,
    vessel_size,
)
from calc.training.problem import Family

FAMILIES: tuple[Family, ...] = (
    system_volume.FAMILY,
    cool_down.FAMILY,
    altitude_and_boiling.FAMILY,
    trapped_water.FAMILY,
    drain_down.FAMILY,
    vessel_size.FAMILY,
    pre_charge.FAMILY,
    relief_margin.FAMILY,
)

NO_SINGLE_ANSWER: dict[str, str] = {}
"""Calculators that no family asks about, with the reason."""

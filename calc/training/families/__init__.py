"""Every kind of problem, one module for a calculator, listed in the order of a job."""

from __future__ import annotations

from calc.training.families import (
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
from calc.training.problem import Family

FAMILIES: tuple[Family, ...] = (
    two_reading_check.FAMILY,
    system_volume.FAMILY,
    cool_down.FAMILY,
    altitude_and_boiling.FAMILY,
    trapped_water.FAMILY,
    drain_down.FAMILY,
    lifting_check.FAMILY,
    pressure_trace.FAMILY,
    vessel_size.FAMILY,
    replacement_options.FAMILY,
    pre_charge.FAMILY,
    relief_margin.FAMILY,
    loop_pressures.FAMILY,
    domestic_vessel.FAMILY,
    fill_water.FAMILY,
    fill_and_purge.FAMILY,
    glycol_dose.FAMILY,
    leak_rate.FAMILY,
    condensate_neutraliser.FAMILY,
    convert.FAMILY,
)

NO_SINGLE_ANSWER: dict[str, str] = {}
"""Calculators that no family asks about, with the reason."""

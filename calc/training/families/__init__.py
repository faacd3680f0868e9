"""Every kind of problem, one module for a calculator, listed in the order of a job."""

from __future__ import annotations

from calc.training.families import pre_charge
from calc.training.problem import Family

FAMILIES: tuple[Family, ...] = (pre_charge.FAMILY,)

NO_SINGLE_ANSWER: dict[str, str] = {}
"""Calculators that no family asks about, with the reason."""

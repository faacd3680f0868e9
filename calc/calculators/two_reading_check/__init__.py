"""Which faults fit two readings of one gauge, and the one test that tells them apart."""

from __future__ import annotations

from calc.calculators.two_reading_check.form import (
    EXAMPLES,
    INPUTS,
    INTERVALS,
    OUTPUTS,
    SECTIONS,
)
from calc.calculators.two_reading_check.solving import solve
from calc.model import Calculator

CALCULATOR = Calculator(
    id="two-reading-check",
    title="Two-reading check",
    question="Why is the pressure wrong: which causes fit, and which test tells them apart?",
    summary="The gas cushion that one cold and one hot reading give away, as an interval; the "
    "charge or the volume that would explain it; every cause with its reason; the next test.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    held=INTERVALS,
    examples=EXAMPLES,
)

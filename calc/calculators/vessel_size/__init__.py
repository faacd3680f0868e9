"""How large a vessel has to be, or how much system a vessel already there can serve."""

from __future__ import annotations

from calc.calculators.vessel_size.form import EXAMPLES, INPUTS, OUTPUTS, SECTIONS
from calc.calculators.vessel_size.solving import solve
from calc.model import Calculator

CALCULATOR = Calculator(
    id="vessel-size",
    title="Vessel size",
    question="How large must the expansion vessel be, and does the one there serve?",
    summary="Sizes a new expansion vessel by the method your code names, or checks the one on "
    "site and tells the largest system it serves.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    held=("selected", "count", "total"),
    solve=solve,
    examples=EXAMPLES,
)

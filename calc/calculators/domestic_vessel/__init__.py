"""The expansion vessel on the drinking-water side of a cylinder."""

from __future__ import annotations

from calc.calculators.domestic_vessel.form import EXAMPLES, INPUTS, OUTPUTS, SECTIONS
from calc.calculators.domestic_vessel.solving import solve
from calc.model import Calculator

CALCULATOR = Calculator(
    id="domestic-vessel",
    title="Domestic-side vessel",
    question="How large must the vessel on the drinking-water side of the cylinder be?",
    summary="Growth of the water in a cylinder behind a closed cold supply, the vessel by three "
    "rules side by side, its charge, and what the vessel there does to the relief valve.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=EXAMPLES,
)

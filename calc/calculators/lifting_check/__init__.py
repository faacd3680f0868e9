"""Whether people may lift a vessel, and what its support has to carry."""

from __future__ import annotations

from calc.calculators.lifting_check.form import EXAMPLES, INPUTS, OUTPUTS, SECTIONS
from calc.calculators.lifting_check.solving import solve
from calc.model import Calculator

CALCULATOR = Calculator(
    id="lifting-check",
    title="Lifting check",
    question="Can we lift this vessel by hand, and will the wall or the floor carry it?",
    summary="Weighs the vessel empty, as it is and full of water, holds the lift against the NIOSH "
    "equation and the HSE filter, and works out bolts or floor load.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=EXAMPLES,
)

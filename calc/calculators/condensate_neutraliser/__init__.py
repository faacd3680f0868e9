"""How much acid condensate a boiler makes, how long a neutraliser lasts, and who asks for one."""

from __future__ import annotations

from calc.calculators.condensate_neutraliser.form import EXAMPLES, INPUTS, OUTPUTS, SECTIONS
from calc.calculators.condensate_neutraliser.solving import solve
from calc.model import Calculator

CALCULATOR = Calculator(
    id="condensate-neutraliser",
    title="Condensate and neutraliser",
    question="How long does the neutraliser last, and is one needed?",
    summary="Condensate in a year from input, hours and flue gas; acid; the filling used, from "
    "the least to the most it can be; the span in which to refill; and the rules by size.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=EXAMPLES,
)

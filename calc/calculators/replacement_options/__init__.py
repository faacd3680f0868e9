"""Which vessel to put in place of the old one: the options side by side."""

from __future__ import annotations

from calc.calculators.replacement_options.form import EXAMPLES, HELD, INPUTS, OUTPUTS, SECTIONS
from calc.calculators.replacement_options.solving import solve
from calc.model import Calculator

CALCULATOR = Calculator(
    id="replacement-options",
    title="Replacement options",
    question="Which vessel shall replace the old one, and what does each choice give up?",
    summary="Holds up to six choices side by side, such as like for like, the right size, two "
    "small ones or a larger one: hot pressure, water kept cold, room to set the fill, weight "
    "and cost.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    held=HELD,
    examples=EXAMPLES,
)

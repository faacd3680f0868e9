"""Whether the fill water is soft enough, and whether the heating water is as it should be."""

from __future__ import annotations

from calc.calculators.fill_water.form import EXAMPLES, INPUTS, OUTPUTS, SECTIONS
from calc.calculators.fill_water.solving import solve
from calc.model import Calculator

CALCULATOR = Calculator(
    id="fill-water",
    title="Fill water and heating water",
    question="Is the fill water soft enough, and the heating water right for the metals?",
    summary="Hardness allowed by output and content in two editions of VDI 2035, share to treat, "
    "lifetime water, windows of pH and conductivity, inhibitor to dose and to top up.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=EXAMPLES,
)

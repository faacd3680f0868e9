"""How far the hot pressure stays below the relief valve, and whether the valves pass enough."""

from __future__ import annotations

from calc.calculators.relief_margin.form import EXAMPLES, INPUTS, OUTPUTS, SECTIONS
from calc.calculators.relief_margin.solving import solve
from calc.model import Calculator

CALCULATOR = Calculator(
    id="relief-margin",
    title="Relief valve margin",
    question="How far below the relief valve does the system stay when hot?",
    summary="The hot pressure at vessel, gauge and valve, the margin below the relief valve, "
    "the fill or vessel that restores it, and whether the valves pass the boilers' output.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=EXAMPLES,
)

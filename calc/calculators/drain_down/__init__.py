"""How long a vessel or a section takes to drain, what stops it, and whether the drain copes."""

from __future__ import annotations

from calc.calculators.drain_down.form import EXAMPLES, INPUTS, OUTPUTS, SECTIONS
from calc.calculators.drain_down.solving import solve
from calc.model import Calculator

CALCULATOR = Calculator(
    id="drain-down",
    title="Drain-down",
    question="How long does it take to drain, and will it all come out?",
    summary="Time, flow and volume of a drain through a hose, what stalls it, whether drain or "
    "sump copes, and whether the water is cool enough.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=EXAMPLES,
)

"""The pressure from cold to hot, for up to three states of the same system laid over each other."""

from __future__ import annotations

from calc.calculators.pressure_trace.form import EXAMPLES, INPUTS, OUTPUTS, SECTIONS
from calc.calculators.pressure_trace.solving import solve
from calc.model import Calculator

CALCULATOR = Calculator(
    id="pressure-trace",
    title="Pressure trace",
    question="How does the pressure climb from cold to hot, as found and once mended?",
    summary="The gauge from cold to hottest for up to three cases laid over each other: the hot "
    "pressure of each, where the relief valve opens, and where the highest point boils.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=EXAMPLES,
)

"""The charge that goes into a vessel, and the cold fill that goes with it."""

from __future__ import annotations

from calc.calculators.pre_charge.form import EXAMPLES, INPUTS, OUTPUTS, SECTIONS
from calc.calculators.pre_charge.solving import solve
from calc.model import Calculator

CALCULATOR = Calculator(
    id="pre-charge",
    title="Pre-charge and cold fill",
    question="What charge goes into the vessel, and what should the gauge show when filled cold?",
    summary="Charge for the height, corrected for temperature and altitude; cold fill at the "
    "vessel and on the gauge; the fill window; the air to pump in.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=EXAMPLES,
)

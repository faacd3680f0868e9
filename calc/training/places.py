"""The pages of the book that work can be set on, with the phase of the job each stands in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Place:
    """One page: its name in an address, its title, the phase of the job it stands in.

    A `procedure` has steps that can be ticked. `calculators` are those that stand on it.
    """

    id: str
    title: str
    phase: str
    procedure: bool = False
    calculators: tuple[str, ...] = ()


PLACES: tuple[Place, ...] = (
    Place("before-you-go", "Before you go", "Before you go"),
    Place("offline", "Keep it on this device", "Before you go"),
    Place("safety", "Safety", "Before you go"),
    Place("walk", "One day at Larch Street", "Before you go"),
    Place("job", "The job record", "Job record"),
    Place("readings", "Readings", "Job record"),
    Place("report", "The report", "Job record"),
    Place("survey", "Survey the system", "Survey and find the cause", True, ("system-volume",)),
    Place(
        "find-the-cause",
        "Find the cause",
        "Survey and find the cause",
        True,
        ("two-reading-check", "pressure-trace"),
    ),
    Place("loop-and-pump", "Loop and pump", "Survey and find the cause", True, ("loop-pressures",)),
    Place(
        "leaks-and-make-up", "Leaks and make-up", "Survey and find the cause", True, ("leak-rate",)
    ),
    Place(
        "domestic-side",
        "The drinking-water side",
        "Survey and find the cause",
        True,
        ("domestic-vessel",),
    ),
    Place("make-safe", "Make safe", "Make safe", True, ("cool-down",)),
    Place(
        "boiling-and-trapped-water",
        "Boiling and trapped water",
        "Make safe",
        True,
        ("altitude-and-boiling", "trapped-water"),
    ),
    Place("isolate-and-drain", "Isolate and drain", "Isolate and drain", True, ("drain-down",)),
    Place(
        "size-or-confirm", "Size or confirm the vessel", "Size and choose", True, ("vessel-size",)
    ),
    Place(
        "choose-a-replacement",
        "Choose a replacement",
        "Size and choose",
        True,
        ("replacement-options",),
    ),
    Place("lift-and-support", "Lift and support", "Lift and fit", True, ("lifting-check",)),
    Place("joints", "Joints", "Lift and fit", True),
    Place("set-the-pre-charge", "Set the pre-charge", "Charge", True, ("pre-charge",)),
    Place("fill-and-vent", "Fill and vent", "Fill and vent", True, ("fill-and-purge",)),
    Place("check-the-relief-margin", "Check the relief margin", "Prove", True, ("relief-margin",)),
    Place("relief-valve", "Relief valve", "Prove", True),
    Place("water-quality", "Water quality", "While you are there", True, ("fill-water",)),
    Place("glycol", "Glycol", "While you are there", True, ("glycol-dose",)),
    Place(
        "condensate-neutraliser",
        "Condensate neutraliser",
        "While you are there",
        True,
        ("condensate-neutraliser",),
    ),
    Place("hand-over", "Hand over", "Hand over", True),
    Place("seasonal-checks", "Seasonal checks", "Hand over", True),
    Place("calculators", "One number", "Reference"),
    Place("convert", "Convert", "Reference", False, ("convert",)),
    Place("reference", "Reference", "Reference"),
    Place("mistakes", "Common mistakes", "Reference"),
    Place("glossary", "Glossary", "Reference"),
    Place("symbols", "Symbols", "Reference"),
)
"""In the order of the book."""

PLACE: Mapping[str, Place] = {place.id: place for place in PLACES}

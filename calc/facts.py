"""What one page finds and the next asks for: the facts of a site, and who takes and gives them.

An input that bears the name of a fact takes that fact, unless it is set `APART` because on its
page the word means something else. A fact has one Kind everywhere, so a value can be carried as
it was typed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from calc import site
from calc import units as u
from calc.model import Calculator, Choice, Input, Quantity


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact of a site; `kind` None means a choice."""

    name: str
    label: str
    kind: u.Kind | None


def _shared() -> tuple[Fact, ...]:
    return tuple(
        Fact(i.name, i.label, i.kind if isinstance(i, Quantity) else None) for i in site.SHARED
    )


FACTS: Mapping[str, Fact] = {
    fact.name: fact
    for fact in (
        *_shared(),
        Fact("new_vessel", "Volume of the vessel to fit", u.VOLUME),
        Fact("fill", "Cold fill at the vessel", u.GAUGE_PRESSURE),
        Fact("cold_fill", "Cold fill on the gauge", u.GAUGE_PRESSURE),
        Fact("found_charge", "Charge found", u.GAUGE_PRESSURE),
        Fact("empty_mass", "Mass of the empty vessel", u.MASS),
        Fact("pump_head", "Pump head", u.PRESSURE_DIFFERENCE),
        Fact("friction", "Friction from the vessel to the relief valve", u.PRESSURE_DIFFERENCE),
        Fact("hardness", "Hardness of the fill water", u.HARDNESS),
        Fact("make_up", "Make-up in a year", u.VOLUME),
    )
}

_VESSEL = ("new_vessel", "vessel_volume")

TAKES: Mapping[str, Mapping[str, tuple[str, ...]]] = {
    "pre-charge": {"vessel_volume": _VESSEL},
    "relief-margin": {"vessel_volume": _VESSEL},
    "leak-rate": {"vessel_volume": _VESSEL},
    "drain-down": {"charge": ("found_charge", "charge")},
    "two-reading-check": {"setting": ("hot",)},
    "fill-and-purge": {"fill": ("cold_fill",)},
    "fill-water": {"yearly": ("make_up",)},
}
"""Inputs that take a fact of another name; of several the first that is known serves."""

APART: Mapping[str, frozenset[str]] = {
    # Two readings at two moments, not what the plant is set to.
    "two-reading-check": frozenset({"cold", "hot", "cold_fill"}),
    # The drinking water's own temperature.
    "domestic-vessel": frozenset({"cold"}),
    # One loop of the plant, with its own temperatures and glycol.
    "glycol-dose": frozenset({"cold", "hot"}),
    # A table of units asks for nothing of a site.
    "convert": frozenset({"altitude"}),
}

GIVES: Mapping[str, Mapping[str, str]] = {
    "system-volume": {"volume": "system_volume"},
    "vessel-size": {"total": "new_vessel"},
    "pre-charge": {"charge": "charge", "fill": "fill", "fill_gauge": "cold_fill"},
    "leak-rate": {"yearly": "make_up"},
}


def taken(calculator: Calculator, entry: Input) -> tuple[str, ...]:
    """Return the facts that an input takes, the first known one serving; none for most inputs."""
    if not isinstance(entry, Quantity | Choice):
        return ()
    named = TAKES.get(calculator.id, {}).get(entry.name)
    if named:
        return named
    if entry.name in FACTS and entry.name not in APART.get(calculator.id, frozenset()):
        return (entry.name,)
    return ()


def given(calculator_id: str, output_name: str) -> str:
    """Return the fact that an output gives, or an empty text."""
    return GIVES.get(calculator_id, {}).get(output_name, "")

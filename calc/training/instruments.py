"""What a trainee can read in the simulated room: each instrument with its division.

A number is shown as its instrument shows it, and the hidden state never. Two numbers are told
apart only where they differ by more than a division.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from calc import units as u


@dataclass(frozen=True, slots=True)
class Instrument:
    """Something that shows a quantity.

    Parameters
    ----------
    kind
        Kind of what it shows.
    divisions
        For each system of units: the unit's id, and its division in that unit.
    share
        Share of a reading that chance decides, besides the division. [-]
    rough
        What it is out by, besides the division. [SI]
    """

    kind: u.Kind
    divisions: Mapping[str, tuple[str, float]]
    share: float = 0.0
    rough: float = 0.0

    def unit(self, system: str) -> u.Unit:
        """Return the unit it shows."""
        return self.kind.unit(self.divisions[system][0])

    def division(self, system: str) -> float:
        """Return its division in SI."""
        return self.divisions[system][1] * self.unit(system).scale

    def margin(self, value: float, system: str) -> float:
        """Return by how much a reading must lie outside to tell two rooms apart. [SI]

        A division; for a pressure half a division of the room's gauge besides, because the reading
        at arrival, from which all rooms start, is known no better.
        """
        start = 0.5 * ROOM_GAUGE.division(system) if self.kind is u.GAUGE_PRESSURE else 0.0
        return self.division(system) + start + self.rough + self.share * abs(value)

    def rounded(self, value: float, system: str, parts: int = 1) -> float:
        """Return what it shows of an SI value, in its unit, to a division or a part of one."""
        step = self.divisions[system][1] / parts
        return round(round(self.unit(system).from_si(value) / step) * step, 6) + 0.0

    def text(self, value: float, system: str) -> str:
        """Return what it shows of an SI value, as a person says it.

        Examples
        --------
        >>> ROOM_GAUGE.text(1.537e5, "si").replace("\\xa0", " ")
        '1.55 bar g'
        """
        step = self.divisions[system][1]
        decimals = 0
        while round(step * 10**decimals, 6) % 1.0 and decimals < 4:
            decimals += 1
        shown = f"{self.rounded(value, system):.{decimals}f}".replace("-", "\N{MINUS SIGN}")
        return f"{shown}\xa0{self.unit(system).text.removesuffix(' difference')}"


ROOM_GAUGE = Instrument(u.GAUGE_PRESSURE, {"si": ("bar", 0.05), "us": ("psi", 0.5)})
TEST_GAUGE = Instrument(u.GAUGE_PRESSURE, {"si": ("bar", 0.02), "us": ("psi", 0.25)})
THERMOMETER = Instrument(u.TEMPERATURE, {"si": ("degC", 1.0), "us": ("degF", 2.0)})
# How much a relief valve lets go before it shuts again is chance.
SCALES = Instrument(u.MASS, {"si": ("kg", 0.1), "us": ("lb", 0.2)}, share=0.25)
CHANGE = Instrument(u.PRESSURE_DIFFERENCE, {"si": ("bar", 0.05), "us": ("psi", 0.5)})
APART = Instrument(u.PRESSURE_DIFFERENCE, {"si": ("bar", 0.05), "us": ("psi", 0.5)})
HAND = Instrument(u.TEMPERATURE_DIFFERENCE, {"si": ("degC", 5.0), "us": ("degF", 10.0)})
# Tapping tells a full vessel from one in order, and no more.
KNUCKLES = Instrument(u.FRACTION, {"si": ("%", 20.0), "us": ("%", 20.0)}, rough=0.15)
EAR = Instrument(u.VOLUME, {"si": ("L", 1.0), "us": ("US gal", 0.25)})

SHOWN_BY: Mapping[str, Instrument] = {
    "gauge": ROOM_GAUGE,
    "gauge before": ROOM_GAUGE,
    "gauge afterwards": ROOM_GAUGE,
    "gauge in open air": ROOM_GAUGE,
    "highest on the gauge": ROOM_GAUGE,
    "change of the gauge": CHANGE,
    "gauges apart": APART,
    "second gauge": TEST_GAUGE,
    "on the gas valve": TEST_GAUGE,
    "flow": THERMOMETER,
    "flow afterwards": THERMOMETER,
    "return": THERMOMETER,
    "vessel shell": THERMOMETER,
    "control setting": THERMOMETER,
    "from the relief pipe": SCALES,
    "drained": SCALES,
    "water let in": SCALES,
    "shell above the room": HAND,
    "dull share": KNUCKLES,
    "air": EAR,
}
"""The instrument of each number that an action shows."""

LEVELS = frozenset(
    (
        "gauge",
        "gauge before",
        "gauge afterwards",
        "highest on the gauge",
        "second gauge",
    )
)
"""Readings that hang on how much water is in the system."""

_NUMBERS = {
    "gauge": "The gauge shows {}.",
    "gauge before": "The gauge showed {} before.",
    "gauge in open air": "In open air the room's gauge shows {}.",
    "highest on the gauge": "The gauge went as high as {}.",
    "second gauge": "A sound gauge beside it shows {}.",
    "on the gas valve": "The gauge on the gas valve shows {}.",
    "flow": "The flow is at {}.",
    "return": "The return is at {}.",
    "vessel shell": "The shell of the vessel is at {}.",
    "control setting": "The control is set to {}.",
    "from the relief pipe": "From the relief pipe came {}.",
    "drained": "Out of the vessel ran {}.",
    "water let in": "Let in: {}.",
    "shell above the room": "To the hand it is about {} above the room.",
    "dull share": "About {} of it sounds dull.",
    "air": "About {} of air came.",
}
_WORDS = {
    "valve was": "The valve to the vessel was {}.",
    "isolator was": "The isolator of the make-up was {}.",
    "boiler was": "The boiler was: {}.",
    "boiler": "The boiler: {}.",
    "valve to the vessel": "The valve to the vessel is {}.",
    "isolator of the make-up": "The isolator of the make-up is {}.",
    "cold supply of the cylinder": "The cold supply of the cylinder is {}.",
    "pump": "The pump is {}.",
    "sound": "It {}.",
    "gas valve": "The gas valve is {}.",
    "at the gas valve": "At the gas valve came {}.",
    "vent": "At the vent: {}.",
}
_SOUNDS = {
    "dull all over": "sounds dull all over",
    "rings all over": "rings all over",
    "dull in part": "sounds dull below and rings above",
}
_VENTS = {
    "water": "water comes",
    "draws": "it draws air in",
    "stops blowing": "the blowing stops and no water comes",
}


def told(name: str, value: float | str, system: str) -> str:
    """Return what was seen as a sentence."""
    if isinstance(value, str):
        value = {"sound": _SOUNDS, "vent": _VENTS}.get(name, {}).get(value, value)
        return _WORDS[name].format(value)
    return _NUMBERS[name].format(as_shown(name, value, system))


def as_shown(name: str, value: float | str, system: str) -> str:
    """Return a reading by itself, as a word or as its instrument shows it."""
    return value if isinstance(value, str) else SHOWN_BY[name].text(value, system)


TITLES: Mapping[str, str] = {
    "gauge": "the gauge",
    "gauge before": "the gauge before it",
    "gauge afterwards": "the gauge after it",
    "gauge in open air": "the gauge in open air",
    "highest on the gauge": "the highest on the gauge",
    "change of the gauge": "how the gauge moved",
    "gauges apart": "how far the two gauges are apart",
    "second gauge": "the second gauge",
    "on the gas valve": "the gauge on the gas valve",
    "flow": "the flow",
    "flow afterwards": "the flow after it",
    "return": "the return",
    "vessel shell": "the shell of the vessel",
    "from the relief pipe": "water from the relief pipe",
    "drained": "water drained from the vessel",
    "water let in": "water let in",
    "shell above the room": "warmth of the shell",
    "dull share": "the dull part of the vessel",
    "air": "air let out",
    "valve was": "the valve to the vessel",
    "valve to the vessel": "the valve to the vessel",
    "isolator was": "the isolator of the make-up",
    "isolator of the make-up": "the isolator of the make-up",
    "cold supply of the cylinder": "the cold supply",
    "pump": "the pump",
    "sound": "the sound of the vessel",
    "gas valve": "the gas valve",
    "at the gas valve": "what came at the gas valve",
    "vent": "the vent",
    "whether it could be done": "whether it could be done",
}
"""What a reading is called in a table."""

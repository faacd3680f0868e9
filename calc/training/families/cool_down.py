"""Two readings and the room: when it is cool enough to open."""

from __future__ import annotations

from math import log

from calc import cooling, units
from calc.training.families.telling import place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance, written

_MINUTE = 60.0
_TIME = Tolerance(0.05, 5 * _MINUTE, "a thermometer is not read more finely")
_WARM = Tolerance(0.0, 1.0, "a thermometer is not read more finely")
_GOAL = 322.15
"""49 degC, cool enough to open. [K]"""


def _degrees(k: Known, name: str) -> float:
    """Return a temperature as the trainee reads it, in the degrees of the problem's goal."""
    return units.TEMPERATURE.default_unit(k["system"]).from_si(k[name])


def _wait(k: Known) -> float:
    return cooling.waiting_time(k["slowness"], k["second"], _GOAL, k["room"])


def _straight(k: Known) -> float:
    return k["interval"] * (k["second"] - _GOAL) / (k["first"] - k["second"])


def _no_room(k: Known) -> float:
    return k["interval"] / log(_degrees(k, "first") / _degrees(k, "second"))


def _draw(draw: Draw, level: str, system: str) -> dict[str, str]:
    us = draw.us
    first = draw.grid(162, 195, 1) if us else draw.grid(72, 90, 1)
    second = first - (draw.grid(17, 32, 1) if us else draw.grid(9, 18, 1))
    unit = "degF" if us else "degC"
    told = {
        "goal": "49",
        "first": written(first, 1, unit),
        "second": written(second, 1, unit),
        "interval": draw.entry((40, 90, 5, "min"), (40, 90, 5, "min")),
        "room": draw.entry((14, 26, 1, "degC"), (58, 80, 1, "degF")),
        "altitude": "0 ft" if us else "0 m",
        "_place": place(draw),
    }
    if level == "hard":
        # The caretaker's thermometer has the other scale.
        other = (first - 32) / 1.8 if us else first * 1.8 + 32
        told["first"] = written(round(other), 1, "degC" if us else "degF")
    return told


def _situation(e: dict[str, str], level: str) -> list[str]:
    who = "The caretaker's own thermometer" if level == "hard" else "A pipe thermometer"
    return [
        f"In {e['_place']} the burner has just been locked off and the pumps run on. {who} on the "
        f"flow pipe shows {e['first']}. {e['interval']} later, "
        f"{'yours' if level == 'hard' else 'it'} shows {e['second']}. The room stays at "
        f"{e['room']}.",
        "Nothing is opened before the water is down to 49 °C (120.2 °F).",
    ]


FAMILY = Family(
    id="cool-down",
    calculator="cool-down",
    title="Cooling down",
    draw=_draw,
    situation=_situation,
    unlisted=("altitude", "goal"),
    parts=(
        Part(
            name="third",
            label="Temperature to expect after the same time again",
            kind=units.TEMPERATURE,
            work=lambda k: k["room"] + (k["second"] - k["room"]) ** 2 / (k["first"] - k["room"]),
            step="What is left above the room shrinks by the same ratio in the same time.",
            tolerance=_WARM,
            aside=True,
        ),
        Part(
            name="slowness",
            label="Time constant",
            kind=units.TIME,
            work=lambda k: cooling.time_constant(k["interval"], k["first"], k["second"], k["room"]),
            step="The time between the readings, divided by the natural logarithm of the ratio of "
            "their distances to the room.",
            tolerance=Tolerance(0.05, 5 * _MINUTE, "the readings give it no better"),
        ),
        Part(
            name="to_wait",
            label="Time to wait from the second reading",
            kind=units.TIME,
            work=_wait,
            step="Time constant times the natural logarithm of the distance to the room now, "
            "divided by that at the goal.",
            tolerance=_TIME,
            unsafe="low",
        ),
    ),
    asked={
        "first": ("third",),
        "usual": ("slowness", "to_wait"),
        "hard": ("third", "to_wait"),
    },
    slips=(
        Slip("straight-line", "third", lambda k: 2 * k["second"] - k["first"]),
        Slip("straight-line", "to_wait", _straight),
        Slip("room-left-out", "slowness", _no_room),
        Slip("from-first-reading", "to_wait", lambda k: _wait(k) - k["interval"]),
    ),
    output="wait",
    page="make-safe.md",
)

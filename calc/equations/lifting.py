"""Equations of lifting a vessel, and of what holds it up."""

from __future__ import annotations

import functools
from dataclasses import replace

from calc import lifting
from calc import units as u
from calc.equations.shared import MASS_NOW, G
from calc.model import Equation, Symbol
from calc.sources import COMMON_PRACTICE, HSE_L23, NIOSH_94_110, PHYSICS

_EQUATION = NIOSH_94_110.at("multipliers")
_FILTER = HSE_L23.at("lifting and lowering filter")
_TEAM = HSE_L23.at("team of two or three", "from memory")
_BALANCE = PHYSICS.at("balance of forces and moments")

_FACTOR = u.NUMBER
_FORCE = Symbol("weight carried", u.FORCE)
_HEIGHT = Symbol("height of the hands", u.LENGTH, unit="cm")
_RATE = Symbol("lifts each minute", u.NUMBER)
_TWIST = Symbol("twist of the trunk", u.ANGLE, unit="deg")
_PEOPLE = Symbol("people who lift", u.NUMBER)
_SHARE = Symbol("share of their sum that a team can lift", u.NUMBER)

TO_LIFT = replace(MASS_NOW, symbol="m", label="mass to lift")


def _multipliers(end: str, words: str) -> dict[str, Equation]:
    """Return the equations of one end of the lift; `end` is the letter of the symbols."""
    where = {
        "HM": Symbol("for the reach", _FACTOR),
        "VM": Symbol("for the height", _FACTOR),
        "DM": Symbol("for the way up or down", _FACTOR),
        "AM": Symbol("for the twist", _FACTOR),
        "FM": Symbol("for how often", _FACTOR),
        "CM": Symbol("for the grip", _FACTOR),
    }
    return {
        "reach": Equation(
            symbol="HM",
            label=f"multiplier for the reach, {words}",
            kind=_FACTOR,
            formula="min(1, 25/H)",
            where={"H": Symbol("hands in front of the ankles", u.LENGTH, unit="cm")},
            function=lifting.horizontal_multiplier,
            cite=_EQUATION,
        ),
        "height": Equation(
            symbol="VM",
            label=f"multiplier for the height, {words}",
            kind=_FACTOR,
            formula="1 - 0.003*abs(V - 75)",
            where={"V": _HEIGHT},
            function=lifting.vertical_multiplier,
            cite=_EQUATION,
        ),
        "limit": Equation(
            symbol=f"RWL_{end}",
            label=f"recommended limit of one person, {words}",
            kind=u.MASS,
            unit="kg",
            formula="23*HM*VM*DM*AM*FM*CM",
            where=where,
            function=lifting.recommended_limit,
            cite=_EQUATION,
        ),
        "index": Equation(
            symbol=f"LI_{end}",
            label=f"lifting index, {words}",
            kind=_FACTOR,
            formula=f"m_1/RWL_{end}",
            where={
                "m_1": Symbol("load of one", u.MASS),
                f"RWL_{end}": Symbol("recommended limit", u.MASS),
            },
            function=lifting.lifting_index,
            cite=_EQUATION,
        ),
    }


ENDS = {"start": _multipliers("s", "at the start"), "end": _multipliers("e", "at the end")}
"""Equations of the two ends of a lift: NIOSH asks for both where the load is set down with care."""

DISTANCE = Equation(
    symbol="DM",
    label="multiplier for the way up or down",
    kind=_FACTOR,
    formula="min(1, 0.82 + 4.5/max(D, 25))",
    where={"D": Symbol("height between start and end", u.LENGTH, unit="cm")},
    function=lifting.distance_multiplier,
    cite=_EQUATION,
)
ASYMMETRY = Equation(
    symbol="AM",
    label="multiplier for the twist",
    kind=_FACTOR,
    formula="1 - 0.0032*A",
    where={"A": _TWIST},
    function=lifting.asymmetry_multiplier,
    cite=_EQUATION,
)
FREQUENCIES = {
    duration: Equation(
        symbol="FM",
        label="multiplier for how often",
        kind=_FACTOR,
        words="from the table, the next busier row",
        where={"f": _RATE, "V": _HEIGHT},
        function=functools.partial(lifting.frequency_multiplier, duration),
        cite=NIOSH_94_110.at("table of frequency multipliers"),
    )
    for duration in lifting.DURATIONS
}
COUPLINGS = {
    grip: Equation(
        symbol="CM",
        label=f"multiplier for a {grip} grip",
        kind=_FACTOR,
        words="from the table",
        where={"V": _HEIGHT},
        function=functools.partial(lifting.coupling_multiplier, grip),
        cite=NIOSH_94_110.at("table of coupling multipliers"),
    )
    for grip in lifting.COUPLING
}
LOAD_OF_ONE = Equation(
    symbol="m_1",
    label="load that is as hard for one person",
    kind=u.MASS,
    formula="m/(n*k)",
    where={"m": Symbol("mass to lift", u.MASS), "n": _PEOPLE, "k": _SHARE},
    function=lifting.share_of_one,
    cite=_TEAM,
)


@functools.cache
def zone_filter(who: str, start: str, end: str, arms: str) -> Equation:
    """Return the look-up of the filter for the zones the hands pass through."""
    return Equation(
        symbol="m_z",
        label="filter of one person, smallest of the zones passed",
        kind=u.MASS,
        words="read from the figure of the filter",
        where={},
        function=functools.partial(lifting.smallest_filter, who, start, end, arms),
        cite=_FILTER,
    )


REPEAT = Equation(
    symbol="f_r",
    label="what repeating leaves of it",
    kind=_FACTOR,
    words="1 up to 30 an hour, 0.7 to twice a minute, 0.5 to eight times, 0.2 above",
    where={"f": _RATE},
    function=lifting.repeat_factor,
    cite=_FILTER,
)
TWIST = Equation(
    symbol="f_t",
    label="what twisting leaves of it",
    kind=_FACTOR,
    words="1 up to 45°, 0.9 up to 90°, 0.8 beyond",
    where={"A": _TWIST},
    function=lifting.twist_factor,
    cite=_FILTER,
)
FILTER_OF_ONE = Equation(
    symbol="m_f",
    label="filter of one person",
    kind=u.MASS,
    formula="m_z*f_r*f_t",
    where={
        "m_z": Symbol("filter of the zones", u.MASS),
        "f_r": Symbol("left by repeating", u.NUMBER),
        "f_t": Symbol("left by twisting", u.NUMBER),
    },
    function=lifting.filter_of_one,
    cite=_FILTER,
)
TEAM_FILTER = Equation(
    symbol="m_team",
    label="filter of the team",
    kind=u.MASS,
    formula="m_f*n*k",
    where={"m_f": Symbol("filter of one person", u.MASS), "n": _PEOPLE, "k": _SHARE},
    function=lifting.team_capacity,
    cite=_TEAM,
)
SUPPORTED = Equation(
    symbol="m_s",
    label="mass the support carries",
    kind=u.MASS,
    formula="m_full + m_p",
    where={
        "m_full": Symbol("vessel full of water", u.MASS),
        "m_p": Symbol("valve and pipe hanging on it", u.MASS),
    },
    function=lambda full, piping: full + piping,
    cite=PHYSICS.at("mass balance"),
)
WEIGHT = Equation(
    symbol="F",
    label="weight the support is made for",
    kind=u.FORCE,
    formula="j*m_s*g",
    where={
        "j": Symbol("times the filled weight", u.NUMBER),
        "m_s": Symbol("mass the support carries", u.MASS),
        "g": G,
    },
    function=lambda times, mass, _: times * lifting.weight(mass),
    cite=_BALANCE,
)
TENSION = Equation(
    symbol="T",
    label="pull on each top bolt",
    kind=u.FORCE,
    formula="F*b/(n_t*s)",
    where={
        "F": _FORCE,
        "b": Symbol("from the wall to the middle of the vessel", u.LENGTH),
        "n_t": Symbol("bolts in the top row", u.NUMBER),
        "s": Symbol("from the top row to where the bracket presses", u.LENGTH),
    },
    function=lifting.bolt_tension,
    cite=_BALANCE,
)
SHEAR = Equation(
    symbol="S",
    label="shear on each bolt",
    kind=u.FORCE,
    formula="F/n_b",
    where={"F": _FORCE, "n_b": Symbol("all bolts", u.NUMBER)},
    function=lifting.bolt_shear,
    cite=_BALANCE,
)
BOLT_USE = Equation(
    symbol="U",
    label="share of an anchor's allowed load that is used",
    kind=u.FRACTION,
    unit="1",
    formula="T/T_a + S/S_a",
    where={
        "T": Symbol("pull", u.FORCE),
        "T_a": Symbol("pull allowed", u.FORCE),
        "S": Symbol("shear", u.FORCE),
        "S_a": Symbol("shear allowed", u.FORCE),
    },
    function=lifting.bolt_use,
    cite=COMMON_PRACTICE.at("pull and shear added in a straight line"),
)


def _floor(symbol: str, label: str, area: str) -> Equation:
    return Equation(
        symbol=symbol,
        label=label,
        kind=u.FLOOR_LOAD,
        formula="F/A_f",
        where={"F": _FORCE, "A_f": Symbol(area, u.AREA)},
        function=lifting.floor_load,
        cite=_BALANCE,
    )


PLAN_LOAD = _floor("q", "load on the floor, spread over the plan", "floor the vessel stands over")
FEET_LOAD = _floor("q_f", "load under the feet", "feet together")

"""Equations of the water content of pipes, parts and whole systems."""

from __future__ import annotations

from dataclasses import replace
from math import pi

from calc import pipes, volume
from calc import units as u
from calc.model import Equation, Symbol
from calc.sources import CONTENT_FIGURES, PHYSICS, UNE_100155

_GEOMETRY = PHYSICS.at("content of a round bore")
_BALANCE = PHYSICS.at("balance of volume")

_OUTPUT = Symbol("output", u.POWER)
_TOTAL = Symbol("system volume", u.VOLUME)
_ESTIMATED = Symbol("part taken from output", u.VOLUME)
_SPREAD = Symbol("how far that part may be off", u.FRACTION)
_PI = Symbol("a circle's round over its width", u.NUMBER)
_LENGTH = Symbol("length", u.LENGTH)


def _bore_run(pi_: float, bore: float, length: float) -> float:
    # The circle's number is shown among the letters, so it has to come in with them.
    return pi_ / pi * pipes.pipe_content(bore, length)


def _tube_run(pi: float, outside: float, wall: float, length: float) -> float:
    return _bore_run(pi, pipes.bore(outside, wall), length)


_RUN = Equation(
    symbol="V_p",
    label="content of a pipe",
    kind=u.VOLUME,
    formula="pi/4*(d - 2*s)**2*L",
    where={
        "pi": _PI,
        "d": Symbol("outside diameter", u.SMALL_LENGTH),
        "s": Symbol("wall", u.SMALL_LENGTH),
        "L": _LENGTH,
    },
    function=_tube_run,
    cite=_GEOMETRY,
)
TUBE_RUNS = {
    tube.key: replace(_RUN, label=f"{tube.label}: content", cite=tube.cite)
    for tube in pipes.TUBES.values()
}
BORE_RUN = Equation(
    symbol="V_p",
    label="content of a pipe of known bore",
    kind=u.VOLUME,
    formula="pi/4*d_i**2*L",
    where={"pi": _PI, "d_i": Symbol("bore", u.SMALL_LENGTH), "L": _LENGTH},
    function=_bore_run,
    cite=_GEOMETRY,
)

_FROM_OUTPUT = Equation(
    symbol="V_Q",
    label="content from output",
    kind=u.VOLUME,
    formula="c*Q",
    where={"Q": _OUTPUT, "c": Symbol("usual content per output", u.SPECIFIC_CONTENT)},
    function=volume.content_from_output,
    cite=UNE_100155.at("commentary on chapter 9"),
)
FROM_OUTPUT = {
    key: replace(
        _FROM_OUTPUT, label=f"content from output: {figure.label.lower()}", cite=figure.cite
    )
    for key, figure in volume.FIGURES.items()
}
FROM_OWN_FIGURE = replace(
    _FROM_OUTPUT,
    label="content from output and your own figure",
    where={"Q": _OUTPUT, "c": Symbol("your content per output", u.SPECIFIC_CONTENT)},
    cite=_BALANCE,
)
TOTAL = Equation(
    symbol="V_s",
    label="system volume",
    kind=u.VOLUME,
    formula="V_B + V_E + V_P + V_C",
    where={
        "V_B": Symbol("all boilers", u.VOLUME),
        "V_E": Symbol("all radiators and other emitters", u.VOLUME),
        "V_P": Symbol("all pipes", u.VOLUME),
        "V_C": Symbol("all coils, buffers and separators", u.VOLUME),
    },
    function=volume.total_content,
    cite=_BALANCE,
)
METER = Equation(
    symbol="V_s",
    label="system volume",
    kind=u.VOLUME,
    formula="M_2 - M_1 + V_r - V_l",
    where={
        "M_1": Symbol("meter before filling", u.VOLUME),
        "M_2": Symbol("meter after filling", u.VOLUME),
        "V_r": Symbol("water still in the system before", u.VOLUME),
        "V_l": Symbol("metered water that did not stay", u.VOLUME),
    },
    function=volume.metered_content,
    cite=_BALANCE,
)
LEAST = Equation(
    symbol="V_low",
    label="lowest system volume",
    kind=u.VOLUME,
    formula="V_s - f*V_x",
    where={"V_s": _TOTAL, "V_x": _ESTIMATED, "f": _SPREAD},
    function=volume.least_content,
    cite=CONTENT_FIGURES.at("spread"),
)
GREATEST = Equation(
    symbol="V_high",
    label="highest system volume",
    kind=u.VOLUME,
    formula="V_s + f*V_x",
    where={"V_s": _TOTAL, "V_x": _ESTIMATED, "f": _SPREAD},
    function=volume.greatest_content,
    cite=CONTENT_FIGURES.at("spread"),
)
ESTIMATED_SHARE = Equation(
    symbol="x",
    label="share taken from output",
    kind=u.FRACTION,
    formula="V_x/V_s",
    where={"V_x": _ESTIMATED, "V_s": _TOTAL},
    function=volume.share,
    cite=_BALANCE,
)
SPECIFIC = Equation(
    symbol="c_s",
    label="content per output of the whole system",
    kind=u.SPECIFIC_CONTENT,
    formula="V_s/Q",
    where={"V_s": _TOTAL, "Q": Symbol("output of all boilers", u.POWER)},
    function=volume.specific_content,
    cite=_BALANCE,
)

"""Equations of glycol in water: strength, freezing point, and what it does to the pressures."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from calc import glycol
from calc import units as u
from calc.equations.shared import COLD_DENSITY, GROWTH, HOT_DENSITY, STATIC, G
from calc.expansion import expanded_volume, expansion_of_densities
from calc.hydrostatics import static_pressure
from calc.model import Equation, Symbol
from calc.site import GLYCOLS, WATER
from calc.sources import COOLPROP, PHYSICS

_BALANCE = PHYSICS.at("balance of glycol")
_MASS = PHYSICS.at("mass from volume and density")

VOLUME = Symbol("fluid in the loop", u.VOLUME)
NOW = Symbol("glycol now, by volume", u.FRACTION, unit="1")
WANTED = Symbol("glycol wanted, by volume", u.FRACTION, unit="1")
ADDED = Symbol("glycol in what is poured in", u.FRACTION, unit="1")
THEN = Symbol("glycol then, by volume", u.FRACTION, unit="1")
RHO_G = Symbol("density of the pure glycol at 20 °C", u.DENSITY)
RHO_W = Symbol("density of water at 20 °C", u.DENSITY)

STATES = {"w": "water alone", "n": "as it is now", "t": "as it is to be"}
"""The three fluids compared, by the letter that marks them."""

REPLACED = Equation(
    symbol="V_d",
    label="to let out, then pour in",
    kind=u.VOLUME,
    formula="V*(c_w - c_n)/(c_g - c_n)",
    where={"V": VOLUME, "c_n": NOW, "c_w": WANTED, "c_g": ADDED},
    function=glycol.replaced_volume,
    cite=_BALANCE,
)
ADDED_ONLY = Equation(
    symbol="V_a",
    label="to pour in, nothing let out",
    kind=u.VOLUME,
    formula="V*(c_w - c_n)/(c_g - c_w)",
    where={"V": VOLUME, "c_n": NOW, "c_w": WANTED, "c_g": ADDED},
    function=glycol.added_volume,
    cite=_BALANCE,
)
FIRST_FILL = Equation(
    symbol="V_g",
    label="concentrate for a first fill",
    kind=u.VOLUME,
    formula="V*c_w/c_g",
    where={"V": VOLUME, "c_w": WANTED, "c_g": ADDED},
    function=glycol.first_fill,
    cite=_BALANCE,
)
DILUTED = Equation(
    symbol="c_d",
    label="glycol left after topping up with water",
    kind=u.FRACTION,
    unit="1",
    formula="c_t*(1 - V_l/V)**n",
    where={
        "c_t": THEN,
        "V": VOLUME,
        "V_l": Symbol("water topped up each time", u.VOLUME),
        "n": Symbol("times", u.NUMBER),
    },
    function=glycol.diluted,
    cite=_BALANCE,
)
MAY_LOSE = Equation(
    symbol="V_m",
    label="water that may be topped up at once",
    kind=u.VOLUME,
    formula="max(0, V*(1 - c_m/c_t))",
    where={
        "c_t": THEN,
        "c_m": Symbol("least glycol for the coldest", u.FRACTION, unit="1"),
        "V": VOLUME,
    },
    function=glycol.loss_until,
    cite=_BALANCE,
)
BY_MASS = Equation(
    symbol="w_t",
    label="the same mixture by mass",
    kind=u.FRACTION,
    unit="1",
    formula="c_t*rho_g/(c_t*rho_g + (1 - c_t)*rho_w)",
    where={"c_t": THEN, "rho_g": RHO_G, "rho_w": RHO_W},
    function=glycol.share_by_mass,
    cite=_MASS,
)


def by_volume(symbol: str, label: str) -> Equation:
    """Return the equation that turns a share by mass into one by volume."""
    return Equation(
        symbol=symbol,
        label=label,
        kind=u.FRACTION,
        unit="1",
        formula="w/rho_g/(w/rho_g + (1 - w)/rho_w)",
        where={
            "w": Symbol("share taken by mass", u.FRACTION, unit="1"),
            "rho_g": RHO_G,
            "rho_w": RHO_W,
        },
        function=glycol.share_by_volume,
        cite=_MASS,
    )


READ_BY_MASS = by_volume("c_n", "glycol now, by volume, from a reading by mass")
IF_BY_MASS = by_volume("c_x", "what the reading would be by volume, were it by mass")


def _freezing(substance: str, symbol: str, label: str, letter: Symbol, name: str) -> Equation:
    return Equation(
        symbol=symbol,
        label=label,
        kind=u.TEMPERATURE,
        words=f"read from the table of {substance} in water",
        where={name: letter},
        function=glycol.freezing_curve(substance),
        cite=COOLPROP.at(f"ASHRAE set of {substance}"),
    )


def _share_for(substance: str, symbol: str, label: str) -> Equation:
    return Equation(
        symbol=symbol,
        label=label,
        kind=u.FRACTION,
        words=f"read backwards from the table of {substance} in water",
        where={"t": Symbol("freezing point", u.TEMPERATURE)},
        function=lambda t: glycol.share_for(substance, t),
        cite=COOLPROP.at(f"ASHRAE set of {substance}"),
    )


FREEZING_NOW: Mapping[str, Equation] = {
    s: _freezing(s, "t_n", "freezing point now", NOW, "c_n") for s in GLYCOLS
}
FREEZING_THEN: Mapping[str, Equation] = {
    s: _freezing(s, "t_t", "freezing point then", THEN, "c_t") for s in GLYCOLS
}
FREEZING_DILUTED: Mapping[str, Equation] = {
    s: _freezing(
        s, "t_d", "freezing point after topping up with water",
        Symbol("glycol after topping up", u.FRACTION, unit="1"), "c_d",
    )
    for s in GLYCOLS
}  # fmt: skip
SHARE_WANTED: Mapping[str, Equation] = {
    s: _share_for(s, "c_w", "glycol that freezes no earlier") for s in GLYCOLS
}
SHARE_LEAST: Mapping[str, Equation] = {
    s: _share_for(s, "c_m", "least glycol for the coldest") for s in GLYCOLS
}

COLD = {
    (substance, state): replace(
        COLD_DENSITY[substance], symbol=f"rho_c{state}", label=f"density cold, {words}"
    )
    for substance in (WATER, *GLYCOLS)
    for state, words in STATES.items()
}
"""Density of the cold fluid, by substance and state."""

HOT = {
    (substance, state): replace(
        HOT_DENSITY[substance], symbol=f"rho_h{state}", label=f"density hot, {words}"
    )
    for substance in (WATER, *GLYCOLS)
    for state, words in STATES.items()
}
"""Density of the hot fluid, by substance and state."""


def _expanded(state: str, words: str) -> Equation:
    return Equation(
        symbol=f"V_{state}",
        label=f"pushed into the vessel, {words}",
        kind=u.VOLUME,
        formula=f"V*(rho_c{state}/rho_h{state} - 1)",
        where={
            "V": VOLUME,
            f"rho_c{state}": Symbol(f"density cold, {words}", u.DENSITY),
            f"rho_h{state}": Symbol(f"density hot, {words}", u.DENSITY),
        },
        function=lambda volume, cold, hot: expanded_volume(
            volume, expansion_of_densities(cold, hot)
        ),
        cite=GROWTH.cite,
    )


def _static(state: str, words: str) -> Equation:
    return Equation(
        symbol=f"p_{state}",
        label=f"pressure of the column, {words}",
        kind=u.PRESSURE_DIFFERENCE,
        formula=f"rho_c{state}*g*h",
        where={
            f"rho_c{state}": Symbol(f"density cold, {words}", u.DENSITY),
            "g": G,
            "h": STATIC.where["h"],
        },
        function=lambda rho, _, height: static_pressure(rho, height),
        cite=STATIC.cite,
    )


EXPANDED = {state: _expanded(state, words) for state, words in STATES.items()}
COLUMN = {state: _static(state, words) for state, words in STATES.items()}

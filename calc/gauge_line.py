"""The gauge against the temperature of the water, as the numbers of a site give it.

The pressure trace draws the same way up for its cases. Here it is one line beside which readings
are laid, and it also goes down from the cold fill, as far as the vessel holds water.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from calc import site
from calc import units as u
from calc.atmosphere import standard_pressure
from calc.expansion import PIPE_EXPANSION
from calc.facts import FACTS
from calc.fluids import WATER, Fluid, density
from calc.hydrostatics import static_pressure
from calc.model import Refusal, Values, say
from calc.sources import PHYSICS
from calc.trace import growth_taken, pressure_on_the_way
from calc.vessel import hot_pressure


def gauge_at_temperature(
    fluid: Fluid,
    alpha: float,
    system_volume: float,
    volume: float,
    charge_abs: float,
    fill_abs: float,
    cold: float,
    temperature: float,
    ambient: float,
    gauge_height: float,
    set_abs: float = math.inf,
    valve_height: float = 0.0,
) -> float:
    """Return what the gauge shows once the water has gone from cold to a temperature.

    Parameters
    ----------
    fluid
        Water or a glycol mixture.
    alpha
        Linear expansion of the pipes. [1/K]
    system_volume, volume
        Water in the system when cold, volume of the vessel. [m3]
    charge_abs, fill_abs
        Charge, and pressure at the vessel when cold. [Pa abs]
    cold, temperature
        Temperature at the start and now; now may be the colder one. [K]
    ambient
        Pressure of the air around. [Pa abs]
    gauge_height, valve_height
        Height of the gauge and of the relief valve above the vessel. [m]
    set_abs
        Set pressure of the relief valve, infinite where it is not known. [Pa abs]

    Returns
    -------
    float
        Pressure on the gauge. [Pa gauge]

    Notes
    -----
    The gas keeps its temperature, nothing leaks and nothing is let in.

    Examples
    --------
    >>> way = (0.1, 0.012, 2.013e5, 2.313e5, 288.15)
    >>> round(gauge_at_temperature(WATER, 0.0, *way, 348.15, 1.013e5, 0.0) / 1e5, 2)
    2.02

    References
    ----------
    Boyle's law and the density of the fluid.
    """
    taken = growth_taken(fluid, alpha, system_volume, cold, temperature)
    gas = volume * min(charge_abs / fill_abs, 1.0)
    rho = density(fluid, temperature)
    if taken < 0.0:
        if gas - taken >= volume:
            raise Refusal(
                say(
                    "At {t} the water has shrunk so far that the vessel is empty. Below its "
                    "charge the gauge follows no rule.",
                    t=(temperature, u.TEMPERATURE),
                ),
                cite=PHYSICS.at("Boyle's law"),
            )
        at_vessel = hot_pressure(volume, charge_abs, fill_abs, taken)
    elif taken >= gas and math.isinf(set_abs):
        raise Refusal(
            say(
                "At {t} the water has grown by {taken}, more than the {gas} of gas in the vessel. "
                "A relief valve would have opened before; its setting is not known.",
                t=(temperature, u.TEMPERATURE),
                taken=(taken, u.VOLUME),
                gas=(gas, u.VOLUME),
            ),
            field="relief",
            cite=PHYSICS.at("Boyle's law"),
        )
    else:
        most = set_abs + static_pressure(rho, valve_height)
        at_vessel = pressure_on_the_way(gas, charge_abs * volume, fill_abs, taken, most)
    return at_vessel - ambient - static_pressure(rho, gauge_height)


def rate_of_fall(before: float, after: float, interval: float) -> float:
    """Return how fast the gauge falls between two readings.

    Parameters
    ----------
    before, after
        The two readings on the gauge. [Pa gauge]
    interval
        Time between them. [s]

    Returns
    -------
    float
        Fall in a unit of time, negative for a rise. [Pa/s]

    Examples
    --------
    >>> round(rate_of_fall(1.62e5, 1.50e5, 86400.0), 4)
    0.1389
    """
    if interval <= 0.0:
        raise Refusal(
            "The two readings bear the same time. Mend the time of one, or choose another."
        )
    return (before - after) / interval


@dataclass(frozen=True, slots=True)
class Line:
    """The gauge against the temperature of the water, as the numbers of a site give it. SI."""

    fluid: Fluid
    alpha: float
    system_volume: float
    volume: float
    charge_abs: float
    fill_abs: float
    cold: float
    ambient: float
    gauge_height: float
    set_abs: float
    valve_height: float

    def gauge_at(self, temperature: float) -> float:
        """Return what the gauge shows at a temperature. [Pa gauge]"""
        return gauge_at_temperature(
            self.fluid,
            self.alpha,
            self.system_volume,
            self.volume,
            self.charge_abs,
            self.fill_abs,
            self.cold,
            temperature,
            self.ambient,
            self.gauge_height,
            self.set_abs,
            self.valve_height,
        )

    def opening_gauge(self, temperature: float) -> float:
        """Return what the gauge shows when the relief valve opens. [Pa gauge]"""
        column = static_pressure(
            density(self.fluid, temperature), self.valve_height - self.gauge_height
        )
        return self.set_abs - self.ambient + column


def line_of(v: Values) -> Line:
    """Return the line of a site whose facts are all known; refuse what cannot be."""
    fluid = WATER
    if v.fluid != site.WATER:
        try:
            fluid = Fluid(v.fluid, v.glycol)
        except Refusal as refused:
            raise Refusal(refused.message, field="glycol", cite=refused.cite) from None
    ambient = standard_pressure(v.altitude)
    try:
        rho = density(fluid, v.cold)
    except Refusal as refused:
        raise Refusal(refused.message, field="cold", cite=refused.cite) from None
    fill_abs = v.cold_fill + static_pressure(rho, v.gauge_height) + ambient
    if fill_abs <= 0.0:
        raise Refusal(
            "The fill at the vessel would be below a vacuum. Check the cold fill and the height "
            "of the gauge.",
            field="cold_fill",
            cite=PHYSICS.at("column of still liquid"),
        )
    set_abs = math.inf if v.relief is None else v.relief + ambient
    charge_abs = v.charge + ambient
    opens = set_abs + static_pressure(rho, v.valve_height)
    for name, pressure in (("cold_fill", fill_abs), ("charge", charge_abs)):
        if pressure >= opens:
            raise Refusal(
                say(
                    f"{FACTS[name].label}: {{value}} is as high as the relief valve, set at "
                    "{set}, lets the vessel go. Check the two.",
                    value=(getattr(v, name), u.GAUGE_PRESSURE),
                    set=(v.relief, u.GAUGE_PRESSURE),
                ),
                field=name,
                cite=PHYSICS.at("a valve opens at its set pressure"),
            )
    return Line(
        fluid=fluid,
        alpha=PIPE_EXPANSION[v.pipe],
        system_volume=v.system_volume,
        volume=v.vessel_volume,
        charge_abs=charge_abs,
        fill_abs=fill_abs,
        cold=v.cold,
        ambient=ambient,
        gauge_height=v.gauge_height,
        set_abs=set_abs,
        valve_height=v.valve_height,
    )


def line_band(line: Line, lines: Sequence[Sequence[Line]], temperature: float) -> float:
    """Return how far the line itself may be out at a temperature. [Pa]

    Both ends of each fact's band are tried and the greater change counts, as for any result.
    """
    centre = line.gauge_at(temperature)
    parts = []
    for ends in lines:
        changes = [0.0]
        for one in ends:
            try:
                changes.append(abs(one.gauge_at(temperature) - centre))
            except Refusal:
                continue
        parts.append(max(changes))
    return math.hypot(*parts)

"""What takes the water of a drain-down: a grate, a sump with its pump, cold water beside it."""

from __future__ import annotations

from itertools import pairwise
from math import pi, sqrt

from calc import units as u
from calc.drainage import Moment
from calc.fluids import specific_enthalpy
from calc.friction import bore_area
from calc.hydrostatics import STANDARD_GRAVITY
from calc.model import Refusal, say

GRATE_WEIR = 1.66
"""Weir coefficient of a floor grate. [m^0.5/s]"""

GRATE_ORIFICE = 0.67
"""Orifice coefficient of a floor grate. [-]"""


def grate_weir_flow(girth: float, depth: float) -> float:
    """Return the flow that spills over the rim of a floor grate.

    Parameters
    ----------
    girth
        Length of rim left clear. [m]
    depth
        Depth the water may stand above it. [m]

    Returns
    -------
    float
        Flow. [m3/s]

    Examples
    --------
    >>> round(grate_weir_flow(0.157, 0.01) * 6e4, 1)
    15.6

    References
    ----------
    TxDOT Hydraulic Design Manual, equation 10-30.
    """
    return GRATE_WEIR * girth * depth**1.5


def grate_orifice_flow(area: float, depth: float) -> float:
    """Return the flow that passes the openings of a floor grate under water.

    Parameters
    ----------
    area
        Area of the openings left clear. [m2]
    depth
        Depth the water may stand above it. [m]

    Returns
    -------
    float
        Flow. [m3/s]

    Examples
    --------
    >>> round(grate_orifice_flow(0.0019635, 0.01) * 6e4, 1)
    35.0

    References
    ----------
    TxDOT Hydraulic Design Manual, equation 10-31.
    """
    return GRATE_ORIFICE * area * sqrt(2.0 * STANDARD_GRAVITY * depth)


def grate_flow(diameter: float, depth: float, openings: float, clear: float) -> float:
    """Return what a round floor grate takes: the smaller of its weir and its orifice flow.

    Parameters
    ----------
    diameter
        Diameter of the grate. [m]
    depth
        Depth the water may stand above it. [m]
    openings
        Share of the grate that is opening. [-]
    clear
        Share that dirt leaves clear. [-]

    Returns
    -------
    float
        Flow. [m3/s]

    Notes
    -----
    The pipe below is not looked at; it may take less.

    Examples
    --------
    >>> round(grate_flow(0.1, 0.01, 0.5, 0.5) * 6e4, 1)
    15.6

    References
    ----------
    TxDOT Hydraulic Design Manual, equations 10-30 and 10-31.
    """
    return min(
        grate_weir_flow(pi * diameter * clear, depth),
        grate_orifice_flow(bore_area(diameter) * openings * clear, depth),
    )


def sump_cycle(volume: float, inflow: float, pump_flow: float) -> float:
    """Return the time from one start of a sump pump to the next.

    Parameters
    ----------
    volume
        Sump volume between the pump's stop and start levels. [m3]
    inflow
        Flow into the sump. [m3/s]
    pump_flow
        Flow of the running pump. [m3/s]

    Returns
    -------
    float
        Cycle time: filling with the pump off, then emptying with it on. [s]

    Examples
    --------
    >>> round(sump_cycle(0.03, 10 / 6e4, 40 / 6e4) / 60, 3)
    4.0

    References
    ----------
    Mass balance.
    """
    if inflow <= 0.0:
        raise Refusal("Nothing runs into the sump, so its pump never starts. Enter a flow above 0.")
    if pump_flow <= inflow:
        raise Refusal(
            say(
                "The pump moves {pump}, no more than the {inflow} that run in, so it never stops. "
                "Throttle the hose below what the pump moves.",
                pump=(pump_flow, u.FLOW),
                inflow=(inflow, u.FLOW),
            )
        )
    return volume / inflow + volume / (pump_flow - inflow)


def shortest_sump_cycle(volume: float, pump_flow: float) -> float:
    """Return the shortest cycle of a sump pump, at half its own flow running in.

    Parameters
    ----------
    volume
        Sump volume between the pump's stop and start levels. [m3]
    pump_flow
        Flow of the running pump. [m3/s]

    Returns
    -------
    float
        Shortest cycle time. [s]

    Examples
    --------
    >>> round(shortest_sump_cycle(0.03, 40 / 6e4) / 60, 1)
    3.0

    References
    ----------
    Mass balance.
    """
    return 4.0 * volume / pump_flow


def largest_surplus(moments: tuple[Moment, ...], outflow: float, added: float = 0.0) -> float:
    """Return the most water that gathers where a drain runs in faster than it is taken away.

    Parameters
    ----------
    moments
        The run of the drain.
    outflow
        Flow taken away, from the first moment on. [m3/s]
    added
        Steady flow that runs in beside it. [m3/s]

    Returns
    -------
    float
        Largest volume gathered. [m3]

    Notes
    -----
    The flow only falls, so the most has gathered when it equals the outflow. Between two
    moments the flow is taken as a straight line.
    """
    spare = outflow - added
    most = 0.0
    for now, later in pairwise(moments):
        if now.flow <= spare:
            break
        gathered = now.drained - spare * now.time
        if later.flow > spare:
            most = max(most, later.drained - spare * later.time)
            continue
        fade = (now.flow - later.flow) / (later.time - now.time)
        most = max(most, gathered + (now.flow - spare) ** 2 / (2.0 * fade))
    return most


def cold_water_ratio(hot: float, limit: float, cold: float) -> float:
    """Return the mass of cold water that cools a unit mass of hot water to a limit.

    Parameters
    ----------
    hot
        Temperature of the hot water. [K]
    limit
        Temperature of the mixture. [K]
    cold
        Temperature of the cold water. [K]

    Returns
    -------
    float
        Mass of cold per mass of hot, 0 if no cooling is needed. [-]

    Notes
    -----
    One specific heat for both. For water that is within 0.2 % of the exact heat balance.

    Examples
    --------
    >>> round(cold_water_ratio(355.15, 333.15, 283.15), 3)
    0.44

    References
    ----------
    Heat balance.
    """
    if hot <= limit:
        return 0.0
    _require_colder(cold, limit)
    return (hot - limit) / (limit - cold)


def cold_water_ratio_exact(hot: float, limit: float, cold: float) -> float:
    """Return the mass of cold water that cools hot water to a limit, from enthalpies.

    Parameters
    ----------
    hot
        Temperature of the hot water. [K]
    limit
        Temperature of the mixture. [K]
    cold
        Temperature of the cold water. [K]

    Returns
    -------
    float
        Mass of cold per mass of hot, 0 if no cooling is needed. [-]

    Examples
    --------
    >>> round(cold_water_ratio_exact(355.15, 333.15, 283.15), 4)
    0.4408

    References
    ----------
    Heat balance with IAPWS Industrial Formulation 1997.
    """
    if hot <= limit:
        return 0.0
    _require_colder(cold, limit)
    mixed = specific_enthalpy(limit)
    return (specific_enthalpy(hot) - mixed) / (mixed - specific_enthalpy(cold))


def _require_colder(cold: float, limit: float) -> None:
    if cold >= limit:
        raise Refusal(
            say(
                "Cold water at {cold} cannot cool anything to {limit}. Let the water cool by "
                "itself, or mix with colder water.",
                cold=(cold, u.TEMPERATURE),
                limit=(limit, u.TEMPERATURE),
            )
        )


def mixed_temperature(hot_flow: float, hot: float, cold_flow: float, cold: float) -> float:
    """Return the temperature of two streams of water run together.

    Parameters
    ----------
    hot_flow
        Mass flow of the hot stream. [kg/s]
    hot
        Its temperature. [K]
    cold_flow
        Mass flow of the cold stream. [kg/s]
    cold
        Its temperature. [K]

    Returns
    -------
    float
        Temperature of the mixture. [K]

    Examples
    --------
    >>> round(mixed_temperature(1.0, 355.15, 0.44, 283.15), 2)
    333.15

    References
    ----------
    Heat balance with one specific heat.
    """
    return (hot_flow * hot + cold_flow * cold) / (hot_flow + cold_flow)

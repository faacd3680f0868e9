"""Filling a system from the mains or a pump, and the flow that carries its air out."""

from __future__ import annotations

from math import pi, sqrt

from calc.hydrostatics import STANDARD_GRAVITY
from calc.model import Refusal

RULE_VELOCITY = 0.6
"""Velocity said to carry air down pipes up to 2 in. [m/s]"""


def source_flow(open_flow: float, rest_pressure: float, back_pressure: float) -> float:
    """Return what a source delivers against a back pressure.

    Parameters
    ----------
    open_flow
        Flow with its end open. [m3/s]
    rest_pressure
        Gauge pressure with nothing running. [Pa]
    back_pressure
        Gauge pressure it delivers against. [Pa]

    Returns
    -------
    float
        Flow. [m3/s]

    Notes
    -----
    What the source's own pipe or pump loses grows with the square of the flow.

    Examples
    --------
    >>> round(source_flow(20.0, 4.0e5, 3.0e5), 6)
    10.0

    References
    ----------
    Energy equation with losses by the square of the flow.
    """
    if back_pressure >= rest_pressure:
        raise Refusal(
            "The source gives no flow, because the pressure it has to push against is as high as "
            "its own. Use a stronger pump."
        )
    return open_flow * sqrt(1.0 - back_pressure / rest_pressure)


def time_to_share(
    share: float, open_flow: float, volume: float, rest_pressure: float, column: float
) -> float:
    """Return the time in which a share of a system is filled from below.

    Parameters
    ----------
    share
        Share filled, 0 to 1. [-]
    open_flow
        Flow of the source with its end open. [m3/s]
    volume
        Water in the system. [m3]
    rest_pressure
        Gauge pressure of the source with nothing running. [Pa]
    column
        Pressure of the full column, from the filling point to the top. [Pa]

    Returns
    -------
    float
        Time. [s]

    Notes
    -----
    The water is taken as spread evenly over the height, vents open, and the back pressure as the
    column so far. The integral of dV/Q then has a closed form.

    Examples
    --------
    >>> round(time_to_share(1.0, 1e-3, 1.0, 4.0e5, 1.0e5), 1)
    1071.8

    References
    ----------
    Mass balance; the square law of `source_flow`.
    """
    if column >= rest_pressure:
        raise Refusal(
            "The source cannot lift the water to the top, because the column presses as hard as "
            "the source does. Use a stronger pump, or fill the upper floors from above."
        )
    # Twice the mean of 1/Q, written so that a column of nothing needs no case of its own.
    return 2.0 * share * volume / open_flow / (1.0 + sqrt(1.0 - share * column / rest_pressure))


def filling_time(open_flow: float, volume: float, rest_pressure: float, column: float) -> float:
    """Return the time in which a source fills a system from below.

    Parameters
    ----------
    open_flow
        Flow of the source with its end open. [m3/s]
    volume
        Water in the system. [m3]
    rest_pressure
        Gauge pressure of the source with nothing running. [Pa]
    column
        Pressure of the full column, from the filling point to the top. [Pa]

    Returns
    -------
    float
        Time. [s]

    Examples
    --------
    >>> filling_time(1e-3, 1.0, 4.0e5, 0.0)
    1000.0

    References
    ----------
    Mass balance; the square law of `source_flow`.
    """
    return time_to_share(1.0, open_flow, volume, rest_pressure, column)


def clearing_velocity(bore: float, fall: float) -> float:
    """Return the velocity that sweeps an air pocket down a full pipe.

    Parameters
    ----------
    bore
        Inside diameter. [m]
    fall
        Fall for each length of pipe: 0 level, 1 straight down. [-]

    Returns
    -------
    float
        Velocity. [m/s]

    Notes
    -----
    Fitted to water in pipes larger than most in a heating system.

    Examples
    --------
    >>> round(clearing_velocity(0.026, 1.0), 2)
    0.54

    References
    ----------
    Wisner and others 1975.
    """
    if not 0.0 <= fall <= 1.0:
        raise Refusal("A pipe falls between nothing and its whole length. Enter 0 to 100 %.")
    return sqrt(STANDARD_GRAVITY * bore) * (0.825 + 0.25 * sqrt(fall))


def pipe_flow(velocity: float, bore: float) -> float:
    """Return the flow in a full round pipe.

    Parameters
    ----------
    velocity
        Mean velocity. [m/s]
    bore
        Inside diameter. [m]

    Returns
    -------
    float
        Flow. [m3/s]

    Examples
    --------
    >>> round(pipe_flow(0.6, 0.0261) * 60000, 1)
    19.3
    """
    return velocity * pi * bore**2 / 4.0


def source_loss_number(
    open_flow: float, rest_pressure: float, density: float, bore: float
) -> float:
    """Return what a source loses inside itself, as velocity heads in a pipe joined to it.

    Parameters
    ----------
    open_flow
        Flow of the source with its end open. [m3/s]
    rest_pressure
        Gauge pressure of the source with nothing running. [Pa]
    density
        Density of the water. [kg/m3]
    bore
        Inside diameter of the pipe. [m]

    Returns
    -------
    float
        Velocity heads. [-]

    Examples
    --------
    >>> round(source_loss_number(pipe_flow(2.0, 0.02), 2.0e5, 1000.0, 0.02), 6)
    100.0

    References
    ----------
    The square law of `source_flow`.
    """
    velocity = open_flow / pipe_flow(1.0, bore)
    return 2.0 * rest_pressure / (density * velocity**2)


def top_pressure(fill_gauge: float, column: float) -> float:
    """Return the pressure at the highest point with the pumps off.

    Parameters
    ----------
    fill_gauge
        Cold fill at the filling point, gauge. [Pa]
    column
        Pressure of the column up to the highest point. [Pa]

    Returns
    -------
    float
        Gauge pressure at the top. [Pa]

    Examples
    --------
    >>> top_pressure(1.5e5, 1.0e5)
    50000.0
    """
    return fill_gauge - column


def least_top_pressure(vapour_abs: float, ambient_abs: float, margin: float) -> float:
    """Return the least pressure the highest point should have.

    Parameters
    ----------
    vapour_abs
        Pressure at which the hottest water boils, absolute. [Pa]
    ambient_abs
        Pressure of the air. [Pa]
    margin
        Margin wanted. [Pa]

    Returns
    -------
    float
        Gauge pressure. [Pa]

    Examples
    --------
    >>> least_top_pressure(0.5e5, 1.0e5, 0.3e5)
    30000.0
    >>> least_top_pressure(1.4e5, 1.0e5, 0.3e5)
    70000.0
    """
    return max(0.0, vapour_abs - ambient_abs) + margin

"""How a hot system cools towards its room, judged from two readings."""

from __future__ import annotations

from math import exp, log

from calc.model import Refusal


def _require_order(first: float, second: float, room: float) -> None:
    if second >= first:
        raise Refusal(
            "The second temperature is not below the first, so nothing cools. Look for what "
            "still heats, or wait longer between the readings."
        )
    if second <= room:
        raise Refusal(
            "The second temperature is not above the room, so it can cool no further. Check the "
            "room's temperature."
        )


def time_constant(interval: float, first: float, second: float, room: float) -> float:
    """Return the time constant of a body that cools towards its room.

    Parameters
    ----------
    interval
        Time between the readings. [s]
    first, second
        Temperature at the two readings. [K]
    room
        Temperature of the room, steady. [K]

    Returns
    -------
    float
        Time in which the distance to the room falls to 37 %. [s]

    Notes
    -----
    One well-mixed body and a loss that goes with the distance to the room. Radiators lose a
    little faster than that when hot, so far ahead the truth is somewhat slower.

    Examples
    --------
    >>> round(time_constant(3600.0, 344.15, 339.15, 291.15) / 3600, 2)
    10.09

    References
    ----------
    Newton's law of cooling.
    """
    _require_order(first, second, room)
    return interval / log((first - room) / (second - room))


def waiting_time(time_constant: float, now: float, goal: float, room: float) -> float:
    """Return how long a body still needs to cool to a goal.

    Parameters
    ----------
    time_constant
        Time constant. [s]
    now
        Temperature now. [K]
    goal
        Temperature to reach, above the room. [K]
    room
        Temperature of the room, steady. [K]

    Returns
    -------
    float
        Time. [s] Negative if the goal was passed before now.

    Examples
    --------
    >>> round(waiting_time(36000.0, 339.15, 322.15, 291.15) / 3600, 2)
    4.37

    References
    ----------
    Newton's law of cooling.
    """
    if goal <= room:
        raise Refusal(
            "The goal is not above the room, and nothing cools below the room it stands in. "
            "Choose a higher goal, cool with water, or wait for a colder room."
        )
    return time_constant * log((now - room) / (goal - room))


def temperature_after(time: float, time_constant: float, now: float, room: float) -> float:
    """Return the temperature of a cooling body after a time.

    Parameters
    ----------
    time
        Time from now. [s]
    time_constant
        Time constant. [s]
    now
        Temperature now. [K]
    room
        Temperature of the room, steady. [K]

    Returns
    -------
    float
        Temperature. [K]

    Examples
    --------
    >>> round(temperature_after(36000.0, 36000.0, 391.15, 291.15) - 291.15, 2)
    36.79

    References
    ----------
    Newton's law of cooling.
    """
    return room + (now - room) * exp(-time / time_constant)


def heat_content(
    volume: float, density: float, specific_heat: float, now: float, goal: float
) -> float:
    """Return the heat that water gives off on its way to a goal.

    Parameters
    ----------
    volume
        Water. [m3]
    density
        Its density. [kg/m3]
    specific_heat
        Its specific heat. [J/(kg K)]
    now, goal
        Temperatures. [K]

    Returns
    -------
    float
        Heat. [J]

    Examples
    --------
    >>> round(heat_content(1.0, 1000.0, 4186.0, 360.0, 300.0) / 3.6e6, 1)
    69.8

    References
    ----------
    Heat balance.
    """
    return volume * density * specific_heat * (now - goal)


def heat_loss(
    volume: float,
    density: float,
    specific_heat: float,
    now: float,
    room: float,
    time_constant: float,
) -> float:
    """Return the rate at which water loses heat while it cools.

    Parameters
    ----------
    volume
        Water. [m3]
    density
        Its density. [kg/m3]
    specific_heat
        Its specific heat. [J/(kg K)]
    now
        Temperature now. [K]
    room
        Temperature of the room. [K]
    time_constant
        Time constant. [s]

    Returns
    -------
    float
        Heat flow. [W] The heat of the metal is left out.

    Examples
    --------
    >>> round(heat_loss(1.0, 1000.0, 4186.0, 339.0, 291.0, 36000.0))
    5581

    References
    ----------
    Newton's law of cooling.
    """
    return heat_content(volume, density, specific_heat, now, room) / time_constant

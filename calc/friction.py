"""Friction in a full round hose or pipe, and the velocity a driving pressure sustains in it."""

from __future__ import annotations

from math import exp, log, pi, sqrt

from calc.model import Refusal

_CLOSE_ENOUGH = 1e-12
"""Relative change of the velocity at which the search ends. [-]"""

_MOST_TRIES = 200

_FIRST_SLOPE = 1.8
"""Growth of ln(loss) with ln(velocity) in turbulent flow, for the first correction only. [-]"""


def bore_area(bore: float) -> float:
    """Return the area of a round bore.

    Parameters
    ----------
    bore
        Inside diameter. [m]

    Returns
    -------
    float
        Area. [m2]

    Examples
    --------
    >>> round(bore_area(0.013) * 1e6, 1)
    132.7
    """
    return pi * bore**2 / 4.0


def reynolds_number(density: float, velocity: float, bore: float, viscosity: float) -> float:
    """Return the Reynolds number of the flow in a full round bore.

    Parameters
    ----------
    density
        Density of the liquid. [kg/m3]
    velocity
        Mean velocity. [m/s]
    bore
        Inside diameter. [m]
    viscosity
        Dynamic viscosity. [Pa s]

    Returns
    -------
    float
        Reynolds number. [-]

    Examples
    --------
    >>> round(reynolds_number(1000.0, 1.0, 0.013, 0.001))
    13000
    """
    return density * velocity * bore / viscosity


def laminar_friction_factor(reynolds: float) -> float:
    """Return the Darcy friction factor of laminar flow.

    Parameters
    ----------
    reynolds
        Reynolds number, below about 2300. [-]

    Returns
    -------
    float
        Darcy friction factor. [-]

    Examples
    --------
    >>> laminar_friction_factor(1000.0)
    0.064

    References
    ----------
    Hagen and Poiseuille.
    """
    return 64.0 / reynolds


def friction_factor(reynolds: float, relative_roughness: float) -> float:
    """Return the Darcy friction factor for any flow in a round bore.

    Parameters
    ----------
    reynolds
        Reynolds number, above 0. [-]
    relative_roughness
        Roughness over bore, 0 to 0.05. [-]

    Returns
    -------
    float
        Darcy friction factor. [-]

    Notes
    -----
    One smooth curve through laminar, transitional and turbulent flow, so a search for the
    velocity cannot jump. Between Reynolds 2000 and 4000 real flow is unsteady and no formula
    is sure. Below 1 the two turbulent terms are smaller than a float can add to the laminar one.

    Examples
    --------
    >>> round(friction_factor(1e5, 1e-4), 6)
    0.018463

    References
    ----------
    Churchill, S. W., Chemical Engineering 84 (1977), no. 24, p. 91.
    """
    if reynolds <= 0.0:
        raise Refusal("Nothing flows, so there is no friction. Give the water a fall or a push.")
    if reynolds < 1.0:
        return laminar_friction_factor(reynolds)
    a = (2.457 * log(1.0 / ((7.0 / reynolds) ** 0.9 + 0.27 * relative_roughness))) ** 16
    b = (37530.0 / reynolds) ** 16
    return 8.0 * ((8.0 / reynolds) ** 12 + (a + b) ** -1.5) ** (1.0 / 12.0)


def loss_number(friction: float, length: float, bore: float, fittings: float) -> float:
    """Return how many velocity heads a hose takes, the jet at its end included.

    Parameters
    ----------
    friction
        Darcy friction factor. [-]
    length
        Length of the hose. [m]
    bore
        Inside diameter. [m]
    fittings
        Sum of the loss coefficients of entry and fittings. [-]

    Returns
    -------
    float
        Velocity heads. [-]

    Examples
    --------
    >>> round(loss_number(0.03, 6.0, 0.013, 4.5), 2)
    19.35
    """
    return 1.0 + fittings + friction * length / bore


def driven_velocity(
    driving_pressure: float,
    density: float,
    friction: float,
    length: float,
    bore: float,
    fittings: float,
) -> float:
    """Return the velocity at the hose end for a known friction factor.

    Parameters
    ----------
    driving_pressure
        Pressure difference that drives the flow. [Pa]
    density
        Density of the liquid. [kg/m3]
    friction
        Darcy friction factor. [-]
    length
        Length of the hose. [m]
    bore
        Inside diameter. [m]
    fittings
        Sum of the loss coefficients of entry and fittings. [-]

    Returns
    -------
    float
        Velocity. [m/s]

    Examples
    --------
    >>> round(driven_velocity(9836.6, 1000.0, 0.03, 6.0, 0.013, 4.5), 3)
    1.008

    References
    ----------
    Energy equation for steady flow.
    """
    return sqrt(2.0 * driving_pressure / (density * loss_number(friction, length, bore, fittings)))


def hose_velocity(
    driving_pressure: float,
    density: float,
    viscosity: float,
    bore: float,
    length: float,
    roughness: float,
    fittings: float,
    guess: float = 0.0,
) -> float:
    """Return the velocity at which a hose uses up its driving pressure.

    Parameters
    ----------
    driving_pressure
        Pressure difference that drives the flow, above 0. [Pa]
    density
        Density of the liquid. [kg/m3]
    viscosity
        Dynamic viscosity. [Pa s]
    bore
        Inside diameter. [m]
    length
        Length of the hose. [m]
    roughness
        Height of the roughness of its wall. [m]
    fittings
        Sum of the loss coefficients of entry and fittings. [-]
    guess
        A velocity near the answer, 0 if none is known. [m/s]

    Returns
    -------
    float
        Velocity. [m/s]

    Notes
    -----
    The loss rises with velocity throughout, so there is one answer. It is found by secants on
    the logarithms, kept inside the narrowest bracket known, to 1e-12. The run is taken as
    steady at each moment: a hose of some metres speeds up within a second or two.

    Examples
    --------
    >>> v = hose_velocity(9836.6, 998.2, 0.0010016, 0.013, 6.0, 1.5e-6, 4.5)
    >>> round(v, 3)
    1.022

    References
    ----------
    Energy equation for steady flow; friction factor of Churchill.
    """
    if driving_pressure <= 0.0:
        raise Refusal(
            "Nothing drives the water out. Lower the hose end below the water, or push with air."
        )
    relative_roughness = roughness / bore
    reynolds_per_velocity = density * bore / viscosity
    wanted = log(2.0 * driving_pressure / density)

    def excess(x: float) -> float:
        friction = friction_factor(reynolds_per_velocity * exp(x), relative_roughness)
        return 2.0 * x + log(loss_number(friction, length, bore, fittings)) - wanted

    highest = 0.5 * (wanted - log(1.0 + fittings))
    lowest = -float("inf")
    x = min(log(guess), highest) if guess > 0.0 else highest - 0.5
    y = excess(x)
    slope = _FIRST_SLOPE
    for _ in range(_MOST_TRIES):
        if y > 0.0:
            highest = x
        else:
            lowest = x
        following = x - y / slope
        if not lowest <= following <= highest:
            following = 0.5 * (lowest + highest) if lowest > -float("inf") else highest - 1.0
        change = following - x
        if abs(change) <= _CLOSE_ENOUGH:
            return exp(following)
        after = excess(following)
        found = (after - y) / change
        slope = found if found > 0.0 else _FIRST_SLOPE
        x, y = following, after
    raise ArithmeticError(f"no velocity found for a driving pressure of {driving_pressure} Pa")

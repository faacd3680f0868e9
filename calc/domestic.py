"""Expansion of drinking water heated in a cylinder whose cold supply is closed."""

from __future__ import annotations

from calc import units as u
from calc.model import Refusal, say

BAR = u.PRESSURE_DIFFERENCE.unit("bar").scale
"""One bar. [Pa]"""

PSI = u.PRESSURE_DIFFERENCE.unit("psi").scale
"""One pound on a square inch. [Pa]"""

CODE_LIMIT = 80.0 * PSI
"""Most that the water in a building may stand at under the US codes. [Pa gauge]"""

DIN_CHARGE_LOW = 0.3 * BAR
DIN_CHARGE_HIGH = 0.2 * BAR
"""Charge below the supply in DIN 4807-5: from the first to the second. [Pa]"""


def end_below_valve(set_gauge: float) -> float:
    """Return the highest pressure a tenth below the relief valve.

    Parameters
    ----------
    set_gauge
        Set pressure of the cylinder's relief valve. [Pa gauge]

    Returns
    -------
    float
        Highest pressure. [Pa gauge]

    Examples
    --------
    >>> round(end_below_valve(150 * PSI) / PSI, 1)
    135.0

    References
    ----------
    An engineer's note of 2015 on expansion tanks for drinking water.
    """
    return 0.9 * set_gauge


def end_of_code() -> float:
    """Return the highest pressure at which the water of a building may stand in US codes.

    Returns
    -------
    float
        Highest pressure. [Pa gauge]

    Examples
    --------
    >>> round(end_of_code() / 1000, 1)
    551.6

    References
    ----------
    International Plumbing Code 604.8 and 607.3, as Philadelphia P-607.3 has them.
    """
    return CODE_LIMIT


def end_of_din(set_gauge: float) -> float:
    """Return the highest pressure of DIN 4807-5, a fifth below the safety valve.

    Parameters
    ----------
    set_gauge
        Set pressure of the safety valve. [Pa gauge]

    Returns
    -------
    float
        Highest pressure. [Pa gauge]

    Examples
    --------
    >>> round(end_of_din(6e5) / 1e5, 2)
    4.8

    References
    ----------
    DIN 4807-5, as a trade lexicon gives it.
    """
    return 0.8 * set_gauge


def din_volume(expansion: float, supply_gauge: float, end_gauge: float) -> float:
    """Return the smallest vessel of DIN 4807-5.

    Parameters
    ----------
    expansion
        Growth of the water in the cylinder. [m3]
    supply_gauge
        Rest pressure of the cold supply behind its regulator. [Pa gauge]
    end_gauge
        Highest pressure. [Pa gauge]

    Returns
    -------
    float
        Nominal volume. [m3]

    Notes
    -----
    The standard counts gauge pressure in bar and adds 1 bar of air; its charge lies 0.2 bar below
    the supply. With these it is Boyle's law.

    Examples
    --------
    >>> round(din_volume(0.0017, 3e5, 4.8e5) * 1000, 2)
    5.77

    References
    ----------
    DIN 4807-5, as a trade lexicon gives it.
    """
    supply, end = supply_gauge / BAR, end_gauge / BAR
    # In bar two pressures may be one that in pascal lie a hair apart.
    if end <= supply:
        raise Refusal(
            say(
                "The supply of {supply} is not below the highest pressure, {end}, so no vessel is "
                "large enough. Fit a regulator, or set it lower.",
                supply=(supply_gauge, u.GAUGE_PRESSURE),
                end=(end_gauge, u.GAUGE_PRESSURE),
            )
        )
    return expansion * (supply + 1.0) * (end + 1.0) / ((supply + 0.8) * (end - supply))


def din_charge_low(supply_gauge: float) -> float:
    """Return the lowest charge of DIN 4807-5.

    Parameters
    ----------
    supply_gauge
        Rest pressure of the cold supply. [Pa gauge]

    Returns
    -------
    float
        Charge. [Pa gauge]

    Examples
    --------
    >>> round(din_charge_low(3e5) / 1e5, 2)
    2.7

    References
    ----------
    DIN 4807-5, as a trade lexicon gives it.
    """
    return supply_gauge - DIN_CHARGE_LOW


def din_charge_high(supply_gauge: float) -> float:
    """Return the highest charge of DIN 4807-5.

    Parameters
    ----------
    supply_gauge
        Rest pressure of the cold supply. [Pa gauge]

    Returns
    -------
    float
        Charge. [Pa gauge]

    Examples
    --------
    >>> round(din_charge_high(3e5) / 1e5, 2)
    2.8

    References
    ----------
    DIN 4807-5, as a trade lexicon gives it.
    """
    return supply_gauge - DIN_CHARGE_HIGH


def room_below_valve(set_gauge: float, hot_gauge: float) -> float:
    """Return how far the hot pressure stays below the relief valve.

    Parameters
    ----------
    set_gauge
        Set pressure of the cylinder's relief valve. [Pa gauge]
    hot_gauge
        Pressure when the cylinder is hot. [Pa gauge]

    Returns
    -------
    float
        Difference, negative where the valve opens. [Pa]

    Examples
    --------
    >>> room_below_valve(6e5, 4.6e5)
    140000.0
    """
    return set_gauge - hot_gauge

"""The gas cushion of an expansion vessel: its size, its water and its pressure.

The gas is taken as isothermal, so pressure times gas volume stays the same. Every pressure
in the gas laws is absolute; a function that takes gauge pressure says so in its name.
"""

from calc import units as u
from calc.model import Refusal, say

SMALL_VESSEL = 0.015
"""Nominal volume up to which the reserve is a share of the vessel. [m3]"""

SMALL_VESSEL_SHARE = 0.2
"""Least share of a small vessel kept as water reserve. [-]"""

RESERVE_SHARE = 0.005
"""Share of the system volume kept as water reserve. [-]"""

LEAST_RESERVE = 0.003
"""Smallest water reserve of a larger vessel. [m3]"""


def vessel_volume_general(
    expansion: float, charge_abs: float, fill_abs: float, final_abs: float
) -> float:
    """Return the smallest closed vessel for any charge, fill and final pressure.

    Parameters
    ----------
    expansion
        Volume the vessel has to take between fill and highest temperature. [m3]
    charge_abs
        Gas pressure with no water in the vessel. [Pa abs]
    fill_abs
        Pressure at the vessel when the system is filled and cold. [Pa abs]
    final_abs
        Highest allowed pressure at the vessel. [Pa abs]

    Returns
    -------
    float
        Total volume of the vessel. [m3]

    Notes
    -----
    Isothermal gas. A charge equal to the fill gives the diaphragm form, a charge equal to
    the atmosphere the air-cushion form. The fill may not lie below the charge.

    Examples
    --------
    >>> round(vessel_volume_general(0.01436, 1.013e5, 2.013e5, 3.513e5) * 1000, 1)
    66.8

    References
    ----------
    Boyle's law; it contains ASHRAE eqs. 12 and 14.
    """
    _require_rising(fill_abs, final_abs)
    if charge_abs > fill_abs:
        raise Refusal(
            say(
                "The charge is above the fill pressure, so the vessel holds no water when cold. "
                "Lower the charge to the fill pressure or raise the fill."
            )
        )
    return expansion / (charge_abs / fill_abs - charge_abs / final_abs)


def water_in_vessel(volume: float, charge_abs: float, pressure_abs: float) -> float:
    """Return the water a vessel holds at a pressure.

    Parameters
    ----------
    volume
        Nominal volume of the vessel. [m3]
    charge_abs
        Gas pressure with no water in the vessel. [Pa abs]
    pressure_abs
        Pressure at the vessel. [Pa abs]

    Returns
    -------
    float
        Water in the vessel, zero at or below the charge. [m3]

    Examples
    --------
    >>> round(water_in_vessel(0.012, 2.013e5, 2.313e5) * 1000, 2)
    1.56
    >>> water_in_vessel(0.012, 2.013e5, 1.9e5)
    0.0

    References
    ----------
    Boyle's law.
    """
    if pressure_abs <= charge_abs:
        return 0.0
    return volume * (1.0 - charge_abs / pressure_abs)


def hot_pressure(
    volume: float, charge_abs: float, fill_abs: float, expansion: float
) -> float:
    """Return the pressure at the vessel once the system's growth has gone into it.

    Parameters
    ----------
    volume
        Nominal volume of the vessel. [m3]
    charge_abs
        Gas pressure with no water in the vessel. [Pa abs]
    fill_abs
        Pressure at the vessel when the system is filled and cold. [Pa abs]
    expansion
        Volume pushed into the vessel by warming. [m3]

    Returns
    -------
    float
        Pressure at the vessel when hot. [Pa abs]

    Notes
    -----
    Isothermal gas, no valve lifting. With a fill below the charge the vessel is empty when
    cold, so the first warming lifts the pressure to the charge almost at once.

    Examples
    --------
    >>> round(hot_pressure(0.012, 2.013e5, 2.313e5, 0.002489) / 1e5 - 1.013, 3)
    2.024

    References
    ----------
    Boyle's law.
    """
    if expansion == 0.0:
        return fill_abs
    gas = volume * min(charge_abs / fill_abs, 1.0)
    if expansion >= gas:
        raise Refusal(
            say(
                "The water grows by {expansion}, but the vessel has only {gas} of gas left "
                "to press together. Fit a larger vessel or restore its charge.",
                expansion=(expansion, u.VOLUME),
                gas=(gas, u.VOLUME),
            )
        )
    return charge_abs * volume / (gas - expansion)


def largest_expansion(
    volume: float, charge_abs: float, fill_abs: float, final_abs: float
) -> float:
    """Return the growth a vessel can take between the fill and the final pressure.

    Parameters
    ----------
    volume
        Nominal volume of the vessel. [m3]
    charge_abs
        Gas pressure with no water in the vessel. [Pa abs]
    fill_abs
        Pressure at the vessel when the system is filled and cold. [Pa abs]
    final_abs
        Highest allowed pressure at the vessel. [Pa abs]

    Returns
    -------
    float
        Volume the vessel can take. [m3]

    Notes
    -----
    The inverse of `vessel_volume_general`. A fill below the charge takes no more than a
    fill at the charge.

    Examples
    --------
    >>> round(largest_expansion(0.0668, 1.013e5, 2.013e5, 3.513e5) * 1000, 2)
    14.35
    """
    return water_in_vessel(volume, charge_abs, final_abs) - water_in_vessel(
        volume, charge_abs, fill_abs
    )


def _require_rising(fill_abs: float, final_abs: float) -> None:
    if final_abs <= fill_abs:
        raise Refusal(
            say(
                "The final pressure is not above the pressure at the start, so no vessel is "
                "large enough. Lower the fill or the charge, or raise the final pressure."
            )
        )

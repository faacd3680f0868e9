"""Water lost from a closed system, by its gas cushion or its make-up meter, and what it costs."""

from __future__ import annotations

from math import sqrt

from calc.model import Refusal

DAY = 86400.0
"""Seconds in a day. [s]"""

DAYS_IN_YEAR = 365.25

LEAST_SHARE_TOO_MUCH = 0.02
"""Share of the system's water that is too much to lose within four months. [-]"""

_IRON, _OXYGEN_GAS = 55.845, 31.998
"""Molar masses of iron and of oxygen gas. [g/mol]"""

IRON_PER_OXYGEN = 3.0 * _IRON / (2.0 * _OXYGEN_GAS)
"""Iron that turns to magnetite, 3 Fe + 2 O2 = Fe3O4, for each unit of oxygen by mass. [-]"""

SLUDGE_PER_OXYGEN = 1.0 + IRON_PER_OXYGEN
"""Magnetite made for each unit of oxygen by mass. [-]"""

CHALK = 0.1000869
"""Molar mass of calcium carbonate. [kg/mol]"""


def gas_space(
    volume: float,
    charge_abs: float,
    charge_temperature: float,
    pressure_abs: float,
    temperature: float,
) -> float:
    """Return the room that the gas of a vessel takes up.

    Parameters
    ----------
    volume
        Volume of the vessel. [m3]
    charge_abs
        Charge, absolute, water side empty. [Pa]
    charge_temperature
        Temperature of the gas when the charge was read. [K]
    pressure_abs
        Pressure of the gas now, absolute. [Pa]
    temperature
        Temperature of the gas now. [K]

    Returns
    -------
    float
        Gas space. [m3] More than `volume` means that the vessel holds no water.

    Examples
    --------
    >>> round(gas_space(0.012, 2.0e5, 293.15, 2.5e5, 293.15) * 1000, 2)
    9.6

    References
    ----------
    Boyle and Gay-Lussac.
    """
    return volume * charge_abs / pressure_abs * temperature / charge_temperature


def gas_growth(
    gas_space: float,
    before_abs: float,
    after_abs: float,
    gas_before: float,
    gas_after: float,
) -> float:
    """Return how much room the gas has gained between two readings.

    Parameters
    ----------
    gas_space
        Room of the gas at the first reading. [m3]
    before_abs, after_abs
        Pressure of the gas at the two readings, absolute. [Pa]
    gas_before, gas_after
        Temperature of the gas at the two readings. [K]

    Returns
    -------
    float
        Growth, negative if the gas was pressed together. [m3]

    Examples
    --------
    >>> round(gas_growth(0.060, 2.5e5, 2.3e5, 293.15, 293.15) * 1000, 3)
    5.217

    References
    ----------
    Boyle and Gay-Lussac.
    """
    return gas_space * (before_abs / after_abs * gas_after / gas_before - 1.0)


def shrinkage(system_volume: float, density_before: float, density_after: float) -> float:
    """Return how much the water of a system shrinks between two readings.

    Parameters
    ----------
    system_volume
        Water in the system. [m3]
    density_before, density_after
        Density of the water at the two readings. [kg/m3]

    Returns
    -------
    float
        Shrinkage, negative if the water grew. [m3]

    Notes
    -----
    The pipes shrink too, by about a tenth of it in steel. That is left out.

    Examples
    --------
    >>> round(shrinkage(1.0, 971.8, 999.7) * 1000, 1)
    27.9

    References
    ----------
    Mass balance.
    """
    return system_volume * (1.0 - density_before / density_after)


def lost_water(gas_growth: float, shrinkage: float, added: float) -> float:
    """Return the water that left a system between two readings.

    Parameters
    ----------
    gas_growth
        Room the gas has gained. [m3]
    shrinkage
        Room the water has given up by cooling. [m3]
    added
        Water let in between the readings. [m3]

    Returns
    -------
    float
        Water lost, negative if water came in unseen. [m3]

    Examples
    --------
    >>> lost_water(5.0, 2.0, 1.0)
    4.0

    References
    ----------
    Volume balance of the closed system.
    """
    return gas_growth - shrinkage + added


def smallest_loss(
    step: float, gas_before: float, before_abs: float, gas_after: float, after_abs: float
) -> float:
    """Return the water that a gauge's readable step stands for, over two readings.

    Parameters
    ----------
    step
        How closely the gauge can be read. [Pa]
    gas_before, gas_after
        Room of the gas at the two readings. [m3]
    before_abs, after_abs
        Pressure of the gas at the two readings, absolute. [Pa]

    Returns
    -------
    float
        Water. [m3]

    Notes
    -----
    The slope of Boyle's law at each reading; two independent errors, added by their squares.

    Examples
    --------
    >>> round(smallest_loss(2e3, 0.060, 2.5e5, 0.0652, 2.3e5) * 1000, 2)
    0.74

    References
    ----------
    Boyle's law, first derivative.
    """
    return step * sqrt((gas_before / before_abs) ** 2 + (gas_after / after_abs) ** 2)


def in_a_day(volume: float, time: float) -> float:
    """Return what is lost in a day.

    Parameters
    ----------
    volume
        Water lost. [m3]
    time
        Time it took. [s]

    Returns
    -------
    float
        Water in one day. [m3]

    Examples
    --------
    >>> round(in_a_day(5.217e-3, 12 * 3600.0) * 1000 / 24, 3)
    0.435
    """
    return volume / (time / DAY)


def in_a_year(daily: float) -> float:
    """Return what is lost in a year.

    Parameters
    ----------
    daily
        Water lost in a day. [m3]

    Returns
    -------
    float
        Water in one year of 365.25 days. [m3]

    Examples
    --------
    >>> in_a_year(1.0)
    365.25
    """
    return DAYS_IN_YEAR * daily


def share_in_four_months(daily: float, system_volume: float) -> float:
    """Return the share of a system's water that is lost in four months.

    Parameters
    ----------
    daily
        Water lost in a day. [m3]
    system_volume
        Water in the system. [m3]

    Returns
    -------
    float
        Share. [-]

    Examples
    --------
    >>> round(share_in_four_months(0.25e-3, 1.0), 4)
    0.0304

    References
    ----------
    UFC 3-240-13FN, 5-2.4, calls 2 % within four months excessive.
    """
    return DAYS_IN_YEAR / 3.0 * daily / system_volume


def time_to_empty(volume: float, gas_space: float, daily: float) -> float:
    """Return how long the water left in a vessel lasts.

    Parameters
    ----------
    volume
        Volume of the vessel. [m3]
    gas_space
        Room of its gas now. [m3]
    daily
        Water lost in a day, above 0. [m3]

    Returns
    -------
    float
        Time. [s]

    Examples
    --------
    >>> round(time_to_empty(0.25, 0.24, 0.5e-3) / DAY, 6)
    20.0
    """
    if daily <= 0.0:
        raise Refusal("Nothing is lost, so the vessel does not run empty. Read again later.")
    return DAY * (volume - gas_space) / daily


def oxygen_brought_in(water: float, oxygen: float) -> float:
    """Return the oxygen that make-up water brings.

    Parameters
    ----------
    water
        Water made up. [m3]
    oxygen
        Oxygen dissolved in it. [kg/m3]

    Returns
    -------
    float
        Oxygen. [kg]

    Examples
    --------
    >>> round(oxygen_brought_in(1.0, 0.0113) * 1000, 1)
    11.3
    """
    return water * oxygen


def iron_eaten(oxygen: float) -> float:
    """Return the iron that oxygen turns to magnetite.

    Parameters
    ----------
    oxygen
        Oxygen used up. [kg]

    Returns
    -------
    float
        Iron. [kg]

    Notes
    -----
    Were it to stop at haematite, 4 Fe + 3 O2, it would be a ninth less.

    Examples
    --------
    >>> round(iron_eaten(11.3), 1)
    29.6

    References
    ----------
    3 Fe + 2 O2 = Fe3O4.
    """
    return IRON_PER_OXYGEN * oxygen


def sludge_made(oxygen: float) -> float:
    """Return the magnetite that oxygen makes out of iron.

    Parameters
    ----------
    oxygen
        Oxygen used up. [kg]

    Returns
    -------
    float
        Magnetite. [kg]

    Examples
    --------
    >>> round(sludge_made(11.3), 1)
    40.9

    References
    ----------
    3 Fe + 2 O2 = Fe3O4.
    """
    return SLUDGE_PER_OXYGEN * oxygen


def lime_brought_in(water: float, hardness: float) -> float:
    """Return the most limescale that make-up water can drop.

    Parameters
    ----------
    water
        Water made up. [m3]
    hardness
        Total hardness. [mol/m3]

    Returns
    -------
    float
        Calcium carbonate. [kg]

    Notes
    -----
    All of the hardness: the bounding case. Part of it stays dissolved.

    Examples
    --------
    >>> round(lime_brought_in(1.0, 2.996) * 1000, 1)
    299.9
    """
    return water * hardness * CHALK

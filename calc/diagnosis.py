"""What two readings of one gauge tell about the gas cushion: its content, and how surely.

The gas law gives one number from two readings: pressure times volume of the gas. Charge and
volume of the vessel cannot both be had from it. Every pressure here is absolute.
"""

from math import hypot

from calc import units as u
from calc.model import Refusal, say
from calc.vessel import hot_pressure


def gas_warming(cold: float, hot: float) -> float:
    """Return by what factor the gas grew warmer between two readings.

    Parameters
    ----------
    cold, hot
        Temperature of the gas at the cold and at the hot reading. [K]

    Returns
    -------
    float
        Factor on the absolute temperature. [-]

    Examples
    --------
    >>> round(gas_warming(293.15, 303.15), 4)
    1.0341

    References
    ----------
    Gay-Lussac's law.
    """
    return hot / cold


def gas_space(expansion: float, cold_abs: float, hot_abs: float, warming: float) -> float:
    """Return the gas volume at the cold reading that explains the rise of the pressure.

    Parameters
    ----------
    expansion
        Volume pushed into the vessel between the readings. [m3]
    cold_abs, hot_abs
        Pressure at the vessel at the two readings. [Pa abs]
    warming
        Factor by which the gas grew warmer, 1 where it did not. [-]

    Returns
    -------
    float
        Volume of the gas when cold. [m3]

    Notes
    -----
    Holds while water enters the vessel all the way from the cold reading to the hot one.

    Examples
    --------
    >>> round(gas_space(0.002489, 2.313e5, 3.643e5, 1.0) * 1000, 2)
    6.82

    References
    ----------
    Boyle's and Gay-Lussac's laws.
    """
    if hot_abs <= warming * cold_abs:
        raise Refusal(
            say(
                "The hot pressure {hot} is no higher than the cold one {cold}, so it tells nothing "
                "about the cushion. Read both again, the pump in the same state.",
                hot=(hot_abs, u.ABSOLUTE_PRESSURE),
                cold=(cold_abs, u.ABSOLUTE_PRESSURE),
            )
        )
    return expansion * hot_abs / (hot_abs - warming * cold_abs)


def content_of(pressure_abs: float, volume: float) -> float:
    """Return pressure times volume of a gas.

    Parameters
    ----------
    pressure_abs
        Pressure of the gas. [Pa abs]
    volume
        Volume of the gas at that pressure. [m3]

    Returns
    -------
    float
        Pressure times volume. [J]

    Notes
    -----
    For a vessel as its plate gives it: the charge and the whole volume. Vessels side by side
    with one charge add up.

    Examples
    --------
    >>> round(content_of(2.013e5, 0.012) / 100, 2)
    24.16
    """
    return pressure_abs * volume


def explaining_charge(content: float, volume: float) -> float:
    """Return the charge that a vessel of known volume must have to explain the readings.

    Parameters
    ----------
    content
        Pressure times volume of the gas. [J]
    volume
        Volume of the vessel. [m3]

    Returns
    -------
    float
        Charge. [Pa abs]

    Examples
    --------
    >>> round(explaining_charge(1577.0, 0.012) / 1e5 - 1.013, 3)
    0.301

    References
    ----------
    Boyle's law.
    """
    return content / volume


def explaining_volume(content: float, charge_abs: float) -> float:
    """Return the volume that a vessel of known charge must have to explain the readings.

    Parameters
    ----------
    content
        Pressure times volume of the gas. [J]
    charge_abs
        Charge of the vessel. [Pa abs]

    Returns
    -------
    float
        Volume of the vessel. [m3]

    Examples
    --------
    >>> round(explaining_volume(1577.0, 2.013e5) * 1000, 1)
    7.8

    References
    ----------
    Boyle's law.
    """
    return content / charge_abs


def charge_if_empty(volume: float, expansion: float, hot_abs: float, warming: float) -> float:
    """Return the charge that explains the hot reading if the cold vessel held no water.

    Parameters
    ----------
    volume
        Volume of the vessel. [m3]
    expansion
        Volume pushed into the vessel. [m3]
    hot_abs
        Pressure at the vessel when hot. [Pa abs]
    warming
        Factor by which the gas grew warmer, 1 where it did not. [-]

    Returns
    -------
    float
        Charge. [Pa abs]

    Notes
    -----
    A charge above the cold fill leaves the vessel empty when cold. The pressure then leaps to
    the charge with the first warmth, and the readings look like those of a lost charge.

    Examples
    --------
    >>> round(charge_if_empty(0.012, 0.002489, 3.173e5, 1.0) / 1e5 - 1.013, 2)
    1.5

    References
    ----------
    Boyle's and Gay-Lussac's laws.
    """
    if expansion >= volume:
        raise Refusal(
            say(
                "The water grows by {expansion}, more than the whole vessel of {volume} takes. "
                "Check the volume of the vessel and of the system.",
                expansion=(expansion, u.VOLUME),
                volume=(volume, u.VOLUME),
            )
        )
    return hot_abs * (volume - expansion) / (warming * volume)


def expected_hot(
    volume: float, charge_abs: float, fill_abs: float, expansion: float, warming: float
) -> float:
    """Return the hot pressure of a vessel whose gas may have grown warmer as well.

    Parameters
    ----------
    volume
        Volume of the vessel. [m3]
    charge_abs
        Charge of the vessel at the temperature of the cold reading. [Pa abs]
    fill_abs
        Pressure at the vessel when cold. [Pa abs]
    expansion
        Volume pushed into the vessel. [m3]
    warming
        Factor by which the gas grew warmer, 1 where it did not. [-]

    Returns
    -------
    float
        Pressure at the vessel when hot. [Pa abs]

    Examples
    --------
    >>> round(expected_hot(0.012, 2.013e5, 2.313e5, 0.002489, 1.0) / 1e5 - 1.013, 3)
    2.024

    References
    ----------
    Boyle's and Gay-Lussac's laws.
    """
    return warming * hot_pressure(volume, charge_abs, fill_abs, expansion)


def share_of_readings(
    cold_abs: float, hot_abs: float, cold_band: float, hot_band: float, warming: float
) -> float:
    """Return how far, relatively, the content may be out for the pressure readings alone.

    Parameters
    ----------
    cold_abs, hot_abs
        Pressure at the vessel at the two readings. [Pa abs]
    cold_band, hot_band
        Plus/minus of the two readings. [Pa]
    warming
        Factor by which the gas grew warmer, 1 where it did not. [-]

    Returns
    -------
    float
        Plus/minus relative to the content. [-]

    Notes
    -----
    First order, the two readings taken as independent. A small rise makes it large.

    Examples
    --------
    >>> round(share_of_readings(2.313e5, 3.033e5, 0.1e5, 0.1e5, 1.0), 2)
    0.21

    References
    ----------
    Propagation of independent errors through the gas law.
    """
    spread = hypot(hot_abs * cold_band / cold_abs, warming * cold_abs * hot_band / hot_abs)
    return spread / (hot_abs - warming * cold_abs)


def share_of_temperatures(least_growth: float, growth: float) -> float:
    """Return how far, relatively, the growth may be out for the temperature readings.

    Parameters
    ----------
    least_growth
        Growth with the cold reading taken warmer and the hot one cooler by their plus/minus. [-]
    growth
        Growth between the readings as taken. [-]

    Returns
    -------
    float
        Plus/minus relative to the growth. [-]

    Examples
    --------
    >>> round(share_of_temperatures(0.0228, 0.0240), 3)
    0.05
    """
    return 1.0 - least_growth / growth


def share_of_volume(band: float, volume: float) -> float:
    """Return how far, relatively, the growth may be out for the volume of the system.

    Parameters
    ----------
    band
        Plus/minus of the volume. [m3]
    volume
        Volume of the system. [m3]

    Returns
    -------
    float
        Plus/minus relative to the volume. [-]

    Examples
    --------
    >>> round(share_of_volume(0.04, 1.6), 3)
    0.025
    """
    return band / volume


def share_of_all(readings: float, temperatures: float, volume: float) -> float:
    """Return how far, relatively, the content may be out altogether.

    Parameters
    ----------
    readings, temperatures, volume
        Plus/minus from each, relative to the content. [-]

    Returns
    -------
    float
        Plus/minus relative to the content. [-]

    Examples
    --------
    >>> round(share_of_all(0.03, 0.04, 0.12), 2)
    0.13

    References
    ----------
    Independent errors combine by the root of squares.
    """
    return hypot(readings, temperatures, volume)


def least_content(content: float, share: float) -> float:
    """Return the least content that the plus/minus of the readings allows.

    Parameters
    ----------
    content
        Pressure times volume of the gas. [J]
    share
        Plus/minus relative to the content. [-]

    Returns
    -------
    float
        Pressure times volume. [J]

    Notes
    -----
    The readings enter one over the content, so that is where the band is even.

    Examples
    --------
    >>> least_content(2400.0, 0.2)
    2000.0
    """
    return content / (1.0 + share)


def greatest_content(content: float, share: float) -> float:
    """Return the greatest content that the plus/minus of the readings allows.

    Parameters
    ----------
    content
        Pressure times volume of the gas. [J]
    share
        Plus/minus relative to the content, below 1. [-]

    Returns
    -------
    float
        Pressure times volume. [J]

    Examples
    --------
    >>> greatest_content(2400.0, 0.2)
    3000.0
    """
    if share >= 1.0:
        raise Refusal(
            "The readings are no better than the rise between them, so the cushion has no upper "
            "bound. Read again with a finer gauge, further apart in temperature."
        )
    return content / (1.0 - share)

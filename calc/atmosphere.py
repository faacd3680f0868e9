"""The air around the plant: its standard pressure at an altitude."""

SEA_LEVEL_PRESSURE = 101325.0
"""Standard pressure at sea level. [Pa]"""


def standard_pressure(altitude: float) -> float:
    """Return the standard pressure of the air at an altitude.

    Parameters
    ----------
    altitude
        Height above sea level, below it if negative. [m]

    Returns
    -------
    float
        Absolute pressure. [Pa]

    Notes
    -----
    The constants are those of the printed formula.  They hold for the lowest layer of the
    standard atmosphere, from -5000 m to 11000 m.  The weather moves the true pressure by a
    few per cent.

    Examples
    --------
    >>> round(standard_pressure(0.0))
    101325
    >>> round(standard_pressure(640.0))
    93869

    References
    ----------
    ASHRAE Handbook - Fundamentals, Psychrometrics, equation 3; ICAO standard atmosphere.
    """
    return SEA_LEVEL_PRESSURE * (1 - 2.25577e-5 * altitude) ** 5.25588


def absolute_pressure(pressure_gauge: float, ambient_abs: float) -> float:
    """Return the absolute pressure behind a gauge reading.

    Parameters
    ----------
    pressure_gauge
        What the gauge shows, zero in the open. [Pa gauge]
    ambient_abs
        Pressure of the air around the gauge. [Pa abs]

    Returns
    -------
    float
        Absolute pressure. [Pa abs]

    Examples
    --------
    >>> round(absolute_pressure(1.5e5, standard_pressure(640.0)))
    243869
    """
    return pressure_gauge + ambient_abs

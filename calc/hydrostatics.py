"""The pressure of a column of still liquid."""

STANDARD_GRAVITY = 9.80665
"""Standard acceleration of free fall. [m/s2]"""


def static_pressure(density: float, height: float) -> float:
    """Return the pressure difference between the foot and the top of a still column.

    Parameters
    ----------
    density
        Density of the liquid, taken as the same over the whole column. [kg/m3]
    height
        Height of the column; negative below the point of reference. [m]

    Returns
    -------
    float
        Pressure difference. [Pa]

    Examples
    --------
    >>> round(static_pressure(999.7, 11.4))
    111762

    References
    ----------
    ISO 80000-4 for the quantities; standard gravity from the 3rd CGPM, 1901.
    """
    return density * STANDARD_GRAVITY * height


def height_of_pressure(pressure_difference: float, density: float) -> float:
    """Return the height of the still column that makes a pressure difference.

    Parameters
    ----------
    pressure_difference
        Pressure difference between foot and top. [Pa]
    density
        Density of the liquid. [kg/m3]

    Returns
    -------
    float
        Height. [m]

    Examples
    --------
    >>> round(height_of_pressure(1e5, 1000.0), 2)
    10.2

    References
    ----------
    ISO 80000-4 for the quantities; standard gravity from the 3rd CGPM, 1901.
    """
    return pressure_difference / (density * STANDARD_GRAVITY)

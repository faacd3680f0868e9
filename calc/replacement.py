"""What tells one replacement vessel from another: volume, room to set the fill, cost."""

HOUR = 3600.0
"""Seconds in an hour. [s]"""


def volume_together(count: float, each: float) -> float:
    """Return the volume of equal vessels side by side.

    Parameters
    ----------
    count
        How many. [-]
    each
        Volume of one. [m3]

    Returns
    -------
    float
        Volume that acts as one vessel. [m3]

    Notes
    -----
    Holds while all have the same charge and join the loop at one point: gas volumes at one
    pressure add up.

    Examples
    --------
    >>> round(volume_together(2, 0.140), 3)
    0.28

    References
    ----------
    Boyle's law.
    """
    return count * each


def fill_window(lowest: float, highest: float) -> float:
    """Return how wide the range of cold fills is that serve.

    Parameters
    ----------
    lowest
        Cold fill that just holds the reserve. [Pa abs]
    highest
        Cold fill whose hot pressure just reaches the limit. [Pa abs]

    Returns
    -------
    float
        Width, negative where no fill serves. [Pa]

    Examples
    --------
    >>> round(fill_window(2.5272e5, 2.6312e5) / 1e5, 3)
    0.104

    References
    ----------
    EN 12828:2012+A1:2014, annex D (from memory).
    """
    return highest - lowest


def job_cost(count: float, part: float, labour: float, rate: float) -> float:
    """Return what a replacement costs, in the currency of the prices given.

    Parameters
    ----------
    count
        How many vessels. [-]
    part
        Price of one vessel with its fittings. [currency]
    labour
        Time of all people together. [s]
    rate
        Price of an hour of one person. [currency/h]

    Returns
    -------
    float
        Parts and labour. [currency]

    Examples
    --------
    >>> job_cost(2, 310.0, 7.5 * 3600, 60.0)
    1070.0
    """
    return count * part + labour / HOUR * rate

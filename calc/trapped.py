"""Water shut in at both ends: how its pressure climbs as it warms, and what it takes to let go."""

from __future__ import annotations

from calc import units
from calc.fluids import saturation_temperature, vapour_pressure
from calc.fluids.compressed import HIGHEST_PRESSURE, Isotherm, liquid_volume
from calc.model import Refusal, say
from calc.sources import IAPWS_IF97

_CITE = IAPWS_IF97.at("region 1")
_TABLE_END = 473.15
_CLOSE = 1.0
"""A pressure is found when the next step is smaller than this. [Pa]"""
_NARROW = 1e-6
"""A temperature is found when it lies between bounds this close. [K]"""


def pipe_give(outside: float, wall: float, modulus: float, poisson: float) -> float:
    """Return how much the space inside a closed pipe grows for each unit of pressure.

    Parameters
    ----------
    outside
        Outside diameter. [m]
    wall
        Wall thickness. [m]
    modulus
        Modulus of elasticity of the metal. [Pa]
    poisson
        Cross contraction of the metal. [-]

    Returns
    -------
    float
        Growth by volume for each pascal. [1/Pa]

    Notes
    -----
    A thin pipe with closed ends that is free to grow longer. With the outside diameter the
    result stays within 3 % of the thick-walled solution from 8 to 60 diameters for each wall.

    Examples
    --------
    >>> f"{pipe_give(60.3e-3, 3.9e-3, 210e9, 0.3):.3e}"
    '6.995e-11'

    References
    ----------
    Elasticity of a thin closed cylinder.
    """
    return outside / (wall * modulus) * (1.25 - poisson)


def rise_per_kelvin(
    expansivity: float, linear_coefficient: float, compressibility: float, give: float
) -> float:
    """Return how fast the pressure of trapped water climbs.

    Parameters
    ----------
    expansivity
        Growth of the water by volume for each kelvin. [1/K]
    linear_coefficient
        Growth of the pipe by length for each kelvin. [1/K]
    compressibility
        Yielding of the water. [1/Pa]
    give
        Growth of the space inside the pipe for each unit of pressure. [1/Pa]

    Returns
    -------
    float
        Pressure for each kelvin, negative where the metal grows more than the water. [Pa/K]

    Examples
    --------
    >>> round(rise_per_kelvin(2.07e-4, 11.7e-6, 4.58e-10, 6.995e-11) / 1e5, 2)
    3.26

    References
    ----------
    Balance of volumes.
    """
    return (expansivity - 3.0 * linear_coefficient) / (compressibility + give)


def pressure_after_warming(
    start_abs: float, start: float, end: float, linear_coefficient: float, give: float
) -> float:
    """Return the pressure of trapped water after it warmed.

    Parameters
    ----------
    start_abs
        Pressure when it was shut in. [Pa abs]
    start, end
        Temperature when it was shut in, and afterwards. [K]
    linear_coefficient
        Growth of the pipe by length for each kelvin. [1/K]
    give
        Growth of the space inside the pipe for each unit of pressure. [1/Pa]

    Returns
    -------
    float
        Pressure at which the same water fills the grown pipe. [Pa abs]

    Notes
    -----
    The pipe stays elastic and holds. Anything that yields, a bubble of air most of all, makes
    the true pressure lower.

    Examples
    --------
    >>> round(pressure_after_warming(3e5, 293.15, 298.15, 0.0, 0.0) / 1e5, 1)
    28.8

    References
    ----------
    Mass balance, with the volume of water of IAPWS-IF97.
    """
    mass_volume = liquid_volume(start, start_abs) * (1.0 + 3.0 * linear_coefficient * (end - start))
    isotherm = Isotherm(end)

    def too_full(pressure: float) -> tuple[float, float]:
        volume, slope = isotherm.volume_and_slope(pressure)
        room = mass_volume * (1.0 + give * (pressure - start_abs))
        return volume - room, slope - mass_volume * give

    least = vapour_pressure(end)
    if too_full(least)[0] < 0.0:
        raise Refusal(
            say(
                "From {start} to {end} the pipe grows more than the water, and a hollow is left: "
                "the pressure falls to that of vapour. Enter a higher temperature.",
                start=(start, units.TEMPERATURE),
                end=(end, units.TEMPERATURE),
            ),
            cite=_CITE,
        )
    pressure = max(start_abs, least)
    for _ in range(40):
        excess, slope = too_full(pressure)
        step = excess / slope
        pressure = min(pressure - step, 2.0 * HIGHEST_PRESSURE)
        if abs(step) < _CLOSE:
            break
    if pressure > HIGHEST_PRESSURE:
        raise Refusal(
            say(
                "Warmed from {start} to {end}, the water would pass {most}, where its equation "
                "ends. Any pipe gives way long before. Enter less warming.",
                start=(start, units.TEMPERATURE),
                end=(end, units.TEMPERATURE),
                most=(HIGHEST_PRESSURE, units.ABSOLUTE_PRESSURE),
            ),
            cite=_CITE,
        )
    return pressure


def warming_to_pressure(
    start_abs: float, start: float, limit_abs: float, linear_coefficient: float, give: float
) -> float:
    """Return the warming that takes trapped water up to a pressure.

    Parameters
    ----------
    start_abs
        Pressure when it was shut in. [Pa abs]
    start
        Temperature when it was shut in. [K]
    limit_abs
        Pressure that must not be passed, above the first. [Pa abs]
    linear_coefficient
        Growth of the pipe by length for each kelvin. [1/K]
    give
        Growth of the space inside the pipe for each unit of pressure. [1/Pa]

    Returns
    -------
    float
        Rise in temperature. [K]

    Examples
    --------
    >>> round(warming_to_pressure(3e5, 293.15, 28.8e5, 0.0, 0.0), 1)
    5.0

    References
    ----------
    Mass balance, with the volume of water of IAPWS-IF97.
    """
    if limit_abs <= start_abs:
        raise Refusal(
            say(
                "The limit of {limit} is not above the pressure when it was shut, {start}. "
                "Enter a higher limit or a lower pressure.",
                limit=(limit_abs, units.ABSOLUTE_PRESSURE),
                start=(start_abs, units.ABSOLUTE_PRESSURE),
            ),
            cite=_CITE,
        )
    filled = liquid_volume(start, start_abs) * (1.0 + give * (limit_abs - start_abs))

    def too_full(temperature: float) -> float:
        room = filled * (1.0 + 3.0 * linear_coefficient * (temperature - start))
        return Isotherm(temperature).volume_and_slope(limit_abs)[0] - room

    low, high = start, _TABLE_END
    if limit_abs < vapour_pressure(_TABLE_END):
        high = saturation_temperature(limit_abs)
    if too_full(high) < 0.0:
        raise Refusal(
            say(
                "Trapped water of {start} does not reach {limit} before the table ends at {end}. "
                "Enter a lower limit.",
                start=(start, units.TEMPERATURE),
                limit=(limit_abs, units.ABSOLUTE_PRESSURE),
                end=(high, units.TEMPERATURE),
            ),
            cite=_CITE,
        )
    # Start and end are on either side of the answer, for the water is still too small at first.
    below, above = too_full(low), too_full(high)
    for _ in range(80):
        middle = low - below * (high - low) / (above - below)
        there = too_full(middle)
        if there > 0.0:
            high, above, below = middle, there, below / 2.0
        else:
            low, below, above = middle, there, above / 2.0
        if high - low < _NARROW or abs(there) < 1e-15:
            break
    return middle - start


def wall_stress(pressure_gauge: float, outside: float, wall: float) -> float:
    """Return the stress round the wall of a pipe under pressure.

    Parameters
    ----------
    pressure_gauge
        Pressure inside, above that outside. [Pa gauge]
    outside
        Outside diameter. [m]
    wall
        Wall thickness. [m]

    Returns
    -------
    float
        Stress, mean over the wall. [Pa]

    Examples
    --------
    >>> round(wall_stress(100e5, 0.022, 0.001) / 1e6, 6)
    100.0

    References
    ----------
    Balance of forces on half a pipe.
    """
    return pressure_gauge * (outside - 2.0 * wall) / (2.0 * wall)

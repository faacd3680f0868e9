"""How much a closed system's water grows as it warms, and what the pipes take back."""

from calc import units as u
from calc.fluids import WATER, Fluid, density
from calc.model import Refusal, say

STEEL_EXPANSION = 11.7e-6
"""Linear expansion of steel. [1/K] ASHRAE, HVAC Systems and Equipment; from memory."""

COPPER_EXPANSION = 17.1e-6
"""Linear expansion of copper. [1/K] ASHRAE, HVAC Systems and Equipment; from memory."""

PLASTIC_EXPANSION = 0.0
"""Credit taken for plastic pipe. [1/K]

Plastic grows more than the water needs, but it also creeps and is often cast in.
Counting on it would undersize the vessel, so nothing is subtracted.
"""

PIPE_EXPANSION = {
    "none": 0.0,
    "steel": STEEL_EXPANSION,
    "copper": COPPER_EXPANSION,
    "plastic": PLASTIC_EXPANSION,
}
"""Linear expansion that may be credited, by pipe material. [1/K]"""


def expansion_of_densities(cold_density: float, hot_density: float) -> float:
    """Return the relative growth between two densities.

    Parameters
    ----------
    cold_density, hot_density
        Density of the fluid before and after heating. [kg/m3]

    Returns
    -------
    float
        Growth per unit of cold volume. [-]

    Examples
    --------
    >>> round(expansion_of_densities(999.70, 971.79), 4)
    0.0287

    References
    ----------
    EN 12828:2012+A1:2014, annex D (from memory).
    """
    return cold_density / hot_density - 1.0


def expansion_of_volumes(cold_specific_volume: float, hot_specific_volume: float) -> float:
    """Return the relative growth between two specific volumes.

    Parameters
    ----------
    cold_specific_volume, hot_specific_volume
        Specific volume before and after heating. [m3/kg]

    Returns
    -------
    float
        Growth per unit of cold volume. [-]

    Examples
    --------
    >>> round(expansion_of_volumes(0.01602, 0.01677), 5)
    0.04682

    References
    ----------
    ASHRAE, HVAC Systems and Equipment, hydronic heating and cooling, eqs. 12-14 (from memory).
    """
    return hot_specific_volume / cold_specific_volume - 1.0


def relative_expansion(fluid: Fluid, cold: float, hot: float) -> float:
    """Return the relative growth of a fluid between two temperatures.

    Parameters
    ----------
    fluid
        Water or a glycol mixture.
    cold, hot
        Temperature before and after heating. [K]

    Returns
    -------
    float
        Growth per unit of cold volume. [-]

    Notes
    -----
    Water is densest near 4 degC, so heating from below that starts with a shrinkage.

    Examples
    --------
    >>> from calc.fluids import WATER
    >>> round(relative_expansion(WATER, 283.15, 353.15), 4)
    0.0287

    References
    ----------
    EN 12828:2012+A1:2014, annex D (from memory).
    """
    return expansion_of_densities(density(fluid, cold), density(fluid, hot))


def water_expansion(cold: float, hot: float) -> float:
    """Return the relative growth of plain water between two temperatures.

    Parameters
    ----------
    cold, hot
        Temperature before and after heating. [K]

    Returns
    -------
    float
        Growth per unit of cold volume. [-]

    Examples
    --------
    >>> round(water_expansion(277.15, 363.15), 4)
    0.0359
    """
    return relative_expansion(WATER, cold, hot)


def mixture_expansion(substance: str, volume_fraction: float, cold: float, hot: float) -> float:
    """Return the relative growth of a named fluid between two temperatures.

    Parameters
    ----------
    substance
        "water", "propylene glycol" or "ethylene glycol".
    volume_fraction
        Glycol by volume. [-]
    cold, hot
        Temperature before and after heating. [K]

    Returns
    -------
    float
        Growth per unit of cold volume. [-]

    Examples
    --------
    >>> round(mixture_expansion("propylene glycol", 0.30, 283.15, 353.15), 3)
    0.04
    """
    return relative_expansion(Fluid(substance, volume_fraction), cold, hot)


def pipe_expansion(linear_coefficient: float, rise: float) -> float:
    """Return the relative growth of the space inside a heated pipe.

    Parameters
    ----------
    linear_coefficient
        Linear expansion of the pipe material. [1/K]
    rise
        Rise in temperature. [K]

    Returns
    -------
    float
        Growth per unit of cold volume. [-]

    Examples
    --------
    >>> round(pipe_expansion(11.7e-6, 70.0), 6)
    0.002457

    References
    ----------
    ASHRAE, HVAC Systems and Equipment, hydronic heating and cooling, eqs. 12-14 (from memory).
    """
    return 3.0 * linear_coefficient * rise


def net_expansion(fluid_expansion: float, linear_coefficient: float, rise: float) -> float:
    """Return the growth of the fluid less the growth of the pipes that hold it.

    Parameters
    ----------
    fluid_expansion
        Growth of the fluid per unit of cold volume. [-]
    linear_coefficient
        Linear expansion of the pipe material. [1/K]
    rise
        Rise in temperature. [K]

    Returns
    -------
    float
        Net growth per unit of cold volume. [-]

    Examples
    --------
    >>> round(net_expansion(0.046816, 11.7e-6, 100.0), 5)
    0.04331

    References
    ----------
    ASHRAE, HVAC Systems and Equipment, hydronic heating and cooling, eqs. 12-14 (from memory).
    """
    return fluid_expansion - pipe_expansion(linear_coefficient, rise)


def expanded_volume(system_volume: float, expansion: float) -> float:
    """Return the volume pushed out of a system as it warms.

    Parameters
    ----------
    system_volume
        Volume of the cold system. [m3]
    expansion
        Growth per unit of cold volume. [-]

    Returns
    -------
    float
        Volume that a vessel has to take. [m3]

    Examples
    --------
    >>> round(expanded_volume(0.200, 0.0287) * 1000, 2)
    5.74

    References
    ----------
    EN 12828:2012+A1:2014, annex D (from memory).
    """
    return system_volume * expansion


def une_expansion(temperature: float) -> float:
    """Return the expansion coefficient of water in the Spanish method.

    Parameters
    ----------
    temperature
        Highest temperature of the water, 30 to 120 degC. [K]

    Returns
    -------
    float
        Growth per unit of volume, already net of the system's own growth. [-]

    Examples
    --------
    >>> round(une_expansion(353.15), 4)
    0.0262

    References
    ----------
    UNE 100155:2004.
    """
    t = temperature - 273.15
    _require_between(t, 30.0, 120.0, "UNE 100155 gives its coefficient for water from")
    return (3.24 * t**2 + 102.13 * t - 2708.3) * 1e-6


def une_glycol_factor(temperature: float, volume_fraction: float) -> float:
    """Return the factor on the Spanish expansion coefficient for glycol in the water.

    Parameters
    ----------
    temperature
        Highest temperature of the mixture, 65 to 115 degC. [K]
    volume_fraction
        Glycol by volume, 0.20 to 0.50. [-]

    Returns
    -------
    float
        Factor. [-]

    Examples
    --------
    >>> round(une_glycol_factor(353.15, 0.30), 2)
    1.49

    References
    ----------
    UNE 100155:2004 (from memory).
    """
    t = temperature - 273.15
    _require_between(t, 65.0, 115.0, "UNE 100155 gives its glycol factor from")
    if not 0.20 <= volume_fraction <= 0.50:
        raise Refusal(
            say(
                "UNE 100155 gives its glycol factor for 20 to 50 % by volume, not for {share}. "
                "Use the densities of the mixture instead.",
                share=(volume_fraction, u.FRACTION),
            )
        )
    g = 100.0 * volume_fraction
    a = -0.0134 * (g**2 - 143.8 * g + 1918.2)
    b = 0.00035 * (g**2 - 94.57 * g + 500.0)
    return a * (1.8 * t + 32.0) ** b


def raccolta_expansion(temperature: float) -> float:
    """Return the expansion of water in the Italian collection of safety rules.

    Parameters
    ----------
    temperature
        Temperature at which the safety cut-out acts. [K]

    Returns
    -------
    float
        Growth per unit of volume. [-]

    Examples
    --------
    >>> round(raccolta_expansion(373.15), 4)
    0.0421

    References
    ----------
    Raccolta R, edition 2009 (from memory).
    """
    t = temperature - 273.15
    return (0.31 + 3.9e-4 * t**2) / 100.0


def _require_between(celsius: float, low: float, high: float, words: str) -> None:
    if not low <= celsius <= high:
        raise Refusal(
            say(
                f"{words} {{low}} to {{high}}, not for {{there}}. "
                "Use the densities of the fluid instead.",
                low=(low + 273.15, u.TEMPERATURE),
                high=(high + 273.15, u.TEMPERATURE),
                there=(celsius + 273.15, u.TEMPERATURE),
            )
        )

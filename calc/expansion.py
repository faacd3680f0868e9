"""How much a closed system's water grows as it warms, and what the pipes take back."""

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


def require_warming(cold: float, hot: float) -> None:
    """Refuse a cold temperature that is not below the hot one.

    Parameters
    ----------
    cold, hot
        Temperature before and after heating. [K]
    """
    if cold >= hot:
        raise Refusal(
            say(
                "The cold temperature is not below the hot one, so nothing expands. "
                "Enter the water temperature at filling as cold and the highest as hot."
            ),
            field="cold",
        )

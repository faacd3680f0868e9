"""What gas and water under pressure let loose when their holder gives way."""

from __future__ import annotations

GAS_EXPONENT = 0.286
"""(k - 1)/k of air and nitrogen, as the document rounds it. [-]"""

GAS_FACTOR = 2.5
"""1/(k - 1) of air and nitrogen. [-]"""

TNT_ENERGY = 4_266_920.0
"""Energy of a kilogram of TNT, as ASME PCC-2 takes it. [J/kg]"""


def stored_energy_of_gas(volume: float, pressure_abs: float, ambient_abs: float) -> float:
    """Return the energy that air or nitrogen under pressure can let loose.

    Parameters
    ----------
    volume
        Volume of the gas. [m3]
    pressure_abs
        Its pressure. [Pa abs]
    ambient_abs
        Pressure of the air it would go to. [Pa abs]

    Returns
    -------
    float
        Energy. [J]

    Notes
    -----
    Expansion without heat from outside, with 1.4 as the ratio of the specific heats. The code
    takes 101 kPa for the air.

    Examples
    --------
    >>> round(stored_energy_of_gas(0.5, 401e3, 101e3) / 1e3, 1)
    163.3

    References
    ----------
    ASME PCC-2, appendix 501-II, equation II-2.
    """
    return GAS_FACTOR * pressure_abs * volume * (1.0 - (ambient_abs / pressure_abs) ** GAS_EXPONENT)


def stored_energy_of_water(
    volume: float, pressure_difference: float, compressibility: float
) -> float:
    """Return the energy that water under pressure can let loose.

    Parameters
    ----------
    volume
        Volume of the water. [m3]
    pressure_difference
        Its pressure above that of the air. [Pa]
    compressibility
        Yielding of the water. [1/Pa]

    Returns
    -------
    float
        Energy, without that of the stretched holder. [J]

    Examples
    --------
    >>> round(stored_energy_of_water(0.5, 3e5, 4.55e-10), 1)
    10.2

    References
    ----------
    Work of compression of a liquid.
    """
    return 0.5 * compressibility * volume * pressure_difference**2


def tnt_equivalent(energy: float) -> float:
    """Return the mass of TNT that lets loose the same energy.

    Parameters
    ----------
    energy
        Energy. [J]

    Returns
    -------
    float
        Mass. [kg]

    Examples
    --------
    >>> round(tnt_equivalent(163.3e3) * 1e3, 1)
    38.3

    References
    ----------
    ASME PCC-2, appendix 501-II.
    """
    return energy / TNT_ENERGY

"""Air dissolved in water, and what comes out when the water is heated."""

from __future__ import annotations

from math import exp

from calc import units as u
from calc.fluids import vapour_pressure, water_density
from calc.model import Refusal, say
from calc.sources import IAPWS_G7_04

_CRITICAL_TEMPERATURE = 647.096

_COEFFICIENTS = {
    "nitrogen": (-9.67578, 4.72162, 11.70585),
    "oxygen": (-9.44833, 4.43822, 11.42005),
}

_SHARES = {"nitrogen": 0.7905, "oxygen": 0.2095}
"""Dry air by volume; argon dissolves somewhat better than the nitrogen it is counted with."""

_MOLAR_MASS_OF_WATER = 0.018015268
_MOLAR_MASS_OF_OXYGEN = 0.031998
_NORMAL_MOLAR_VOLUME = 0.022413970
"""Volume of a mole of gas at 0 degC and 1 atm. [m3/mol]"""

LOWEST, HIGHEST = 278.12, 423.15
"""Where the nitrogen equation starts and the water table here ends. [K]"""


def henry_constant(gas: str, temperature: float) -> float:
    """Return Henry's constant of a gas in water.

    Parameters
    ----------
    gas
        "nitrogen" or "oxygen".
    temperature
        Temperature of the water. [K]

    Returns
    -------
    float
        Partial pressure over the share of dissolved molecules. [Pa]

    Examples
    --------
    >>> from math import log
    >>> round(log(henry_constant("oxygen", 300.0) / 1e9), 4)
    1.5024

    References
    ----------
    IAPWS G7-04, equation 3 and table 2.
    """
    if not LOWEST <= temperature <= HIGHEST:
        raise Refusal(
            say(
                "Dissolved air at {t} is outside the equation, which holds from {low} to {high}. "
                "Enter a temperature between them.",
                t=(temperature, u.TEMPERATURE),
                low=(LOWEST, u.TEMPERATURE),
                high=(HIGHEST, u.TEMPERATURE),
            ),
            cite=IAPWS_G7_04.at("range"),
        )
    a, b, c = _COEFFICIENTS[gas]
    reduced = temperature / _CRITICAL_TEMPERATURE
    tau = 1.0 - reduced
    exponent = a / reduced + b * tau**0.355 / reduced + c * reduced**-0.41 * exp(tau)
    return vapour_pressure(temperature) * exp(exponent)


def _moles(gas: str, temperature: float, pressure_abs: float) -> float:
    """Return the gas dissolved when water stands under air. [mol/m3]"""
    partial = _SHARES[gas] * (pressure_abs - vapour_pressure(temperature))
    share = partial / henry_constant(gas, temperature)
    return share * water_density(temperature) / _MOLAR_MASS_OF_WATER


def _require_air_space(temperature: float, pressure_abs: float) -> None:
    if pressure_abs <= vapour_pressure(temperature):
        raise Refusal(
            say(
                "Water at {t} boils at {p}, so it holds no air. Raise the pressure or lower the "
                "temperature.",
                t=(temperature, u.TEMPERATURE),
                p=(pressure_abs, u.ABSOLUTE_PRESSURE),
            ),
            cite=IAPWS_G7_04.at("range"),
        )


def dissolved_air(temperature: float, pressure_abs: float) -> float:
    """Return the air that water holds in balance with air above it.

    Parameters
    ----------
    temperature
        Temperature of the water. [K]
    pressure_abs
        Pressure, absolute, of air and vapour together. [Pa]

    Returns
    -------
    float
        Volume of air, counted dry at 0 degC and 1 atm, in each volume of water. [-]

    Examples
    --------
    >>> round(dissolved_air(283.15, 101325.0) * 1000, 1)
    22.6

    References
    ----------
    Henry's law with IAPWS G7-04; nitrogen stands for the argon as well.
    """
    _require_air_space(temperature, pressure_abs)
    moles = sum(_moles(gas, temperature, pressure_abs) for gas in _SHARES)
    return moles * _NORMAL_MOLAR_VOLUME


def dissolved_oxygen(temperature: float, pressure_abs: float) -> float:
    """Return the oxygen that water holds in balance with air above it.

    Parameters
    ----------
    temperature
        Temperature of the water. [K]
    pressure_abs
        Pressure, absolute, of air and vapour together. [Pa]

    Returns
    -------
    float
        Oxygen. [kg/m3]

    Examples
    --------
    >>> round(dissolved_oxygen(283.15, 101325.0) * 1000, 1)
    11.3

    References
    ----------
    Henry's law with IAPWS G7-04.
    """
    _require_air_space(temperature, pressure_abs)
    return _moles("oxygen", temperature, pressure_abs) * _MOLAR_MASS_OF_OXYGEN


def released_air(volume: float, cold_share: float, hot_share: float) -> float:
    """Return the air that comes out of the water of a system.

    Parameters
    ----------
    volume
        Water. [m3]
    cold_share, hot_share
        Air it brings, and air it can hold when hot, in each volume of water. [-]

    Returns
    -------
    float
        Air, dry at 0 degC and 1 atm. [m3] None comes out where hot water can hold it all.

    Examples
    --------
    >>> round(released_air(1.0, 0.0226, 0.0119) * 1000, 1)
    10.7
    """
    return max(0.0, volume * (cold_share - hot_share))

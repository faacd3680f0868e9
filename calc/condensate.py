"""Water that a burner makes, and how much of it a condensing boiler sends down the drain.

Fuels are written C_x H_y. The air is taken as dry, which leaves out up to a tenth of the water.
"""

from __future__ import annotations

from dataclasses import dataclass

from calc import units
from calc.model import Refusal, say
from calc.sources import PHYSICS

WATER_MOLAR_MASS = 0.0180153
"""[kg/mol]"""

NITROGEN_PER_OXYGEN = 3.762
"""In dry air, by amount, with what else does not burn counted as nitrogen. [-]"""

LITRE_MASS = 1000.0
"""Condensate is weighed as one kilogram a litre. [kg/m3]"""

_CARBON, _HYDROGEN = 0.012011, 0.001008
_OIL_HYDROGEN = 0.134
_OIL_LOWER = 42.7e6
_CONDENSING_HEAT = 2.442e6
_WATER_PER_OIL = _OIL_HYDROGEN * WATER_MOLAR_MASS / (2.0 * _HYDROGEN)
_KWH = 3.6e6


@dataclass(frozen=True, slots=True)
class Fuel:
    """A fuel by its carbon and hydrogen, with the heat it gives.

    Attributes
    ----------
    carbon, hydrogen
        Atoms in a unit of fuel. [mol]
    lower, higher
        Heat of that unit with the water as vapour, and as liquid. [J]
    planning
        Condensate to plan with, for heat at the lower value. [kg/J]
    """

    carbon: float
    hydrogen: float
    lower: float
    higher: float
    planning: float


METHANE = Fuel(1.0, 4.0, 802.567e3, 890.590e3, 0.14 / _KWH)
"""A mole; stands for natural gas."""

PROPANE = Fuel(3.0, 8.0, 2043.286e3, 2219.332e3, 0.11 / _KWH)
"""A mole. No document at hand gives its figure to plan with: it is methane's, brought down in the
ratio of the most that each can make."""

OIL = Fuel(
    (1.0 - _OIL_HYDROGEN) / _CARBON,
    _OIL_HYDROGEN / _HYDROGEN,
    _OIL_LOWER,
    _OIL_LOWER + _WATER_PER_OIL * _CONDENSING_HEAT,
    0.08 / _KWH,
)
"""A kilogram of heating oil with 13.4 % of hydrogen and 42.7 MJ/kg, from memory."""


def water_of_combustion(hydrogen: float, heat: float) -> float:
    """Return the water that burning makes: the most that can condense.

    Parameters
    ----------
    hydrogen
        Hydrogen atoms in a unit of fuel. [mol]
    heat
        Heat of that unit, lower or higher value. [J]

    Returns
    -------
    float
        Water per heat. [kg/J]

    Examples
    --------
    >>> round(water_of_combustion(4.0, 802.567e3) * 3.6e6, 4)
    0.1616
    """
    return hydrogen / 2.0 * WATER_MOLAR_MASS / heat


def dry_gas(carbon: float, hydrogen: float, air_ratio: float) -> float:
    """Return the dry flue gas from a unit of fuel.

    Parameters
    ----------
    carbon, hydrogen
        Atoms in a unit of fuel. [mol]
    air_ratio
        Air supplied, in parts of the air needed. [-]

    Returns
    -------
    float
        Dry flue gas. [mol]

    Examples
    --------
    >>> round(dry_gas(1.0, 4.0, 1.25), 3)
    10.905
    """
    oxygen = carbon + hydrogen / 4.0
    return carbon + NITROGEN_PER_OXYGEN * oxygen * air_ratio + oxygen * (air_ratio - 1.0)


def vapour_left(dry: float, saturation_abs: float, pressure_abs: float) -> float:
    """Return the water vapour that saturated flue gas carries away.

    Parameters
    ----------
    dry
        Dry flue gas from a unit of fuel. [mol]
    saturation_abs
        Vapour pressure of water at the flue gas temperature, absolute. [Pa]
    pressure_abs
        Pressure of the flue gas, absolute. [Pa]

    Returns
    -------
    float
        Vapour. [mol]

    Examples
    --------
    >>> round(vapour_left(10.905, 12352.0, 101325.0), 3)
    1.514
    """
    if saturation_abs >= pressure_abs:
        raise Refusal(
            say("At the flue gas temperature water boils at {p}, so nothing condenses. Enter the "
                "temperature of the flue gas as it leaves the boiler.",
                p=(saturation_abs, units.ABSOLUTE_PRESSURE)),
            field="flue", cite=PHYSICS.at("saturated gas"),
        )  # fmt: skip
    return dry * saturation_abs / (pressure_abs - saturation_abs)


def dew_pressure(dry: float, water: float, pressure_abs: float) -> float:
    """Return the partial pressure of the water vapour while nothing has condensed.

    Parameters
    ----------
    dry, water
        Dry flue gas and water from a unit of fuel. [mol]
    pressure_abs
        Pressure of the flue gas, absolute. [Pa]

    Returns
    -------
    float
        Vapour pressure at the dew point, absolute. [Pa]

    Examples
    --------
    >>> round(dew_pressure(10.905, 2.0, 101325.0))
    15703
    """
    return pressure_abs * water / (water + dry)


def condensed_share(left: float, water: float) -> float:
    """Return the share of the water of combustion that condenses; none above the dew point.

    Parameters
    ----------
    left
        Vapour that saturated flue gas could carry away. [mol]
    water
        Water from the same unit of fuel. [mol]

    Returns
    -------
    float
        Share. [-]

    Examples
    --------
    >>> round(condensed_share(1.513, 2.0), 4)
    0.2435
    >>> condensed_share(2.4, 2.0)
    0.0
    """
    return max(0.0, 1.0 - left / water)


def carbon_dioxide_pressure(
    carbon: float, dry: float, saturation_abs: float, pressure_abs: float
) -> float:
    """Return the partial pressure of carbon dioxide over the condensate.

    Parameters
    ----------
    carbon, dry
        Carbon in, and dry flue gas from, a unit of fuel. [mol]
    saturation_abs
        Vapour pressure of water at the flue gas temperature, absolute. [Pa]
    pressure_abs
        Pressure of the flue gas, absolute. [Pa]

    Returns
    -------
    float
        Partial pressure, absolute. [Pa]

    Examples
    --------
    >>> round(carbon_dioxide_pressure(1.0, 10.905, 9595.0, 101325.0))
    8412
    """
    return (pressure_abs - saturation_abs) * carbon / dry


def yearly_condensate(water_per_heat: float, power: float, time: float) -> float:
    """Return the condensate of a year.

    Parameters
    ----------
    water_per_heat
        Condensate per heat put in. [kg/J]
    power
        Heat input at full load, on the same heating value. [W]
    time
        Full-load time in a year. [s]

    Returns
    -------
    float
        Volume. [m3]

    Examples
    --------
    >>> round(yearly_condensate(0.14 / 3.6e6, 24e3, 2000 * 3600.0) * 1000)
    6720
    """
    return water_per_heat * power * time / LITRE_MASS


def condensate_flow(water_per_heat: float, power: float) -> float:
    """Return the flow of condensate at full load.

    Parameters
    ----------
    water_per_heat
        Condensate per heat put in. [kg/J]
    power
        Heat input at full load, on the same heating value. [W]

    Returns
    -------
    float
        Flow. [m3/s]

    Examples
    --------
    >>> round(condensate_flow(0.14 / 3.6e6, 24e3) * 3.6e6, 2)
    3.36
    """
    return water_per_heat * power / LITRE_MASS

"""Water and aqueous glycol from tables baked with iapws and CoolProp.

Temperatures are in K, everything else is coherent SI. Outside a table nothing is guessed: the
functions raise `calc.model.Refusal`. The tables are read at import, so that a frozen copy of the
interpreter holds them.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from calc import units
from calc.fluids.interpolation import Curve, Surface
from calc.model import Refusal, say
from calc.sources import COOLPROP, IAPWS_IF97, PHYSICS

SUBSTANCES = ("water", "propylene glycol", "ethylene glycol")

_SLACK = 1e-6
"""Room for the rounding of a unit conversion at the very end of a table. [K, or relative]"""

_WATER_CITE = IAPWS_IF97.at("liquid and saturation, 0 to 200 °C")
_GLYCOL_CITE = COOLPROP.at("ASHRAE sets APG and AEG, 10 to 60 % by volume")


def _loaded(name: str) -> dict:
    path = Path(__file__).parent / "tables" / f"{name}.json"
    with open(path, encoding="utf-8") as file:
        return json.load(file)


class _Water:
    """The curves of pure water."""

    def __init__(self) -> None:
        table = _loaded("water")
        start, step, count = (table["temperature"][k] for k in ("first", "step", "count"))
        self.lowest, self.highest = start, start + step * (count - 1)

        def curve(name: str, *, logarithmic: bool = False) -> Curve:
            return Curve(start, step, table[name], logarithmic=logarithmic)

        self.density = curve("density")
        self.specific_heat = curve("specific_heat")
        self.dynamic_viscosity = curve("dynamic_viscosity", logarithmic=True)
        self.vapour_pressure = curve("vapour_pressure", logarithmic=True)
        self.specific_enthalpy = curve("specific_enthalpy")
        self.enthalpy_of_vaporisation = curve("enthalpy_of_vaporisation")
        self.lowest_pressure = table["vapour_pressure"][0]
        self.highest_pressure = table["vapour_pressure"][-1]

    def require(self, temperature: float) -> None:
        if self.lowest - _SLACK <= temperature <= self.highest + _SLACK:
            return
        raise Refusal(
            say(
                "Water at {t} is outside the table, which holds liquid water from {low} to "
                "{high}. Enter a temperature between them.",
                t=(temperature, units.TEMPERATURE),
                low=(self.lowest, units.TEMPERATURE),
                high=(self.highest, units.TEMPERATURE),
            ),
            cite=_WATER_CITE,
        )


class _Glycol:
    """The surfaces of one glycol in water."""

    def __init__(self, substance: str) -> None:
        self.substance = substance
        table = _loaded(substance.replace(" ", "-"))
        x = tuple(table["volume_fraction"][k] for k in ("first", "step"))
        y = tuple(table["temperature"][k] for k in ("first", "step"))
        self.least = x[0]
        self.most = x[0] + x[1] * (table["volume_fraction"]["count"] - 1)
        self.lowest = y[0]
        self.highest = y[0] + y[1] * (table["temperature"]["count"] - 1)
        self.density = Surface(x, y, table["density"])
        self.specific_heat = Surface(x, y, table["specific_heat"])
        self.dynamic_viscosity = Surface(x, y, table["dynamic_viscosity"], logarithmic=True)
        self.freezing_temperature = Curve(*x, table["freezing_temperature"])

    def require(self, volume_fraction: float, temperature: float) -> None:
        freezing = self.freezing_temperature(volume_fraction)
        lowest = max(freezing, self.lowest)
        if lowest - _SLACK <= temperature <= self.highest + _SLACK:
            return
        if temperature < freezing:
            words = (
                "{mixture} at {t} is below its freezing point of {low}. "
                "Enter a higher temperature or a stronger mixture."
            )
        else:
            words = (
                "{mixture} at {t} is outside the table, which runs from {low} to {high}. "
                "Enter a temperature between them."
            )
        name = self.substance.capitalize()
        mixture = f"{name}, {100 * volume_fraction:.3g} % by volume,"
        raise Refusal(
            say(
                words.replace("{mixture}", mixture),
                t=(temperature, units.TEMPERATURE),
                low=(lowest, units.TEMPERATURE),
                high=(self.highest, units.TEMPERATURE),
            ),
            cite=_GLYCOL_CITE,
        )


_WATER = _Water()
_GLYCOLS = {name: _Glycol(name) for name in SUBSTANCES[1:]}


@dataclass(frozen=True, slots=True)
class Fluid:
    """What fills the system.

    Attributes
    ----------
    substance
        "water", "propylene glycol" or "ethylene glycol".
    volume_fraction
        Glycol by volume; 0 is plain water. [-]

    Examples
    --------
    >>> Fluid("propylene glycol", 0.3).substance
    'propylene glycol'
    """

    substance: str = "water"
    volume_fraction: float = 0.0

    def __post_init__(self) -> None:
        if self.substance not in SUBSTANCES:
            raise ValueError(f"{self.substance!r} is none of {SUBSTANCES}")
        if self.volume_fraction == 0:
            return
        if self.substance == "water":
            raise Refusal(
                say(
                    "Plain water carries no glycol, yet a share of {x} is entered. "
                    "Choose the glycol, or set the share to 0.",
                    x=(self.volume_fraction, units.FRACTION),
                ),
                cite=PHYSICS.at("composition of a mixture"),
            )
        glycol = _GLYCOLS[self.substance]
        if not glycol.least - _SLACK <= self.volume_fraction <= glycol.most + _SLACK:
            raise Refusal(
                say(
                    "A share of {x} by volume is outside the table, which holds "
                    + self.substance
                    + " from {low} to {high}. Enter a share between them, "
                    "or 0 for plain water.",
                    x=(self.volume_fraction, units.FRACTION),
                    low=(glycol.least, units.FRACTION),
                    high=(glycol.most, units.FRACTION),
                ),
                cite=_GLYCOL_CITE,
            )


WATER = Fluid()


def density(fluid: Fluid, temperature: float) -> float:
    """Return the density of a fluid.

    Parameters
    ----------
    fluid
        Water or a glycol mixture.
    temperature
        Temperature of the fluid. [K]

    Returns
    -------
    float
        Density. [kg/m3]

    Notes
    -----
    Water is taken at one atmosphere, or at saturation above 100 degC. Three bar more would
    raise the density by 0.014 %, which nothing here can feel.

    Examples
    --------
    >>> round(density(WATER, 353.15), 2)
    971.8

    References
    ----------
    IAPWS Industrial Formulation 1997; ASHRAE glycol sets in CoolProp.
    """
    if fluid.volume_fraction == 0:
        _WATER.require(temperature)
        return _WATER.density(temperature)
    glycol = _GLYCOLS[fluid.substance]
    glycol.require(fluid.volume_fraction, temperature)
    return glycol.density(fluid.volume_fraction, temperature)


def water_density(temperature: float) -> float:
    """Return the density of plain water.

    Parameters
    ----------
    temperature
        Temperature of the water. [K]

    Returns
    -------
    float
        Density. [kg/m3]

    Examples
    --------
    >>> round(water_density(283.15), 2)
    999.7

    References
    ----------
    IAPWS Industrial Formulation 1997.
    """
    return density(WATER, temperature)


def specific_volume(fluid: Fluid, temperature: float) -> float:
    """Return the volume of a unit mass of a fluid.

    Parameters
    ----------
    fluid
        Water or a glycol mixture.
    temperature
        Temperature of the fluid. [K]

    Returns
    -------
    float
        Specific volume. [m3/kg]

    Examples
    --------
    >>> round(specific_volume(WATER, 353.15) * 1e3, 5)
    1.02902
    """
    return 1.0 / density(fluid, temperature)


def dynamic_viscosity(fluid: Fluid, temperature: float) -> float:
    """Return the dynamic viscosity of a fluid.

    Parameters
    ----------
    fluid
        Water or a glycol mixture.
    temperature
        Temperature of the fluid. [K]

    Returns
    -------
    float
        Dynamic viscosity. [Pa s]

    Examples
    --------
    >>> round(dynamic_viscosity(WATER, 293.15) * 1e3, 4)
    1.0016

    References
    ----------
    IAPWS 2008 formulation for the viscosity of water; ASHRAE glycol sets in CoolProp.
    """
    if fluid.volume_fraction == 0:
        _WATER.require(temperature)
        return _WATER.dynamic_viscosity(temperature)
    glycol = _GLYCOLS[fluid.substance]
    glycol.require(fluid.volume_fraction, temperature)
    return glycol.dynamic_viscosity(fluid.volume_fraction, temperature)


def specific_heat(fluid: Fluid, temperature: float) -> float:
    """Return the specific heat of a fluid at constant pressure.

    Parameters
    ----------
    fluid
        Water or a glycol mixture.
    temperature
        Temperature of the fluid. [K]

    Returns
    -------
    float
        Specific heat. [J/(kg K)]

    Examples
    --------
    >>> round(specific_heat(WATER, 333.15))
    4183
    """
    if fluid.volume_fraction == 0:
        _WATER.require(temperature)
        return _WATER.specific_heat(temperature)
    glycol = _GLYCOLS[fluid.substance]
    glycol.require(fluid.volume_fraction, temperature)
    return glycol.specific_heat(fluid.volume_fraction, temperature)


def freezing_temperature(fluid: Fluid) -> float:
    """Return the temperature at which the first ice forms.

    Parameters
    ----------
    fluid
        Water or a glycol mixture.

    Returns
    -------
    float
        Freezing point. [K]

    Examples
    --------
    >>> round(freezing_temperature(Fluid("propylene glycol", 0.3)) - 273.15, 1)
    -13.1

    References
    ----------
    ASHRAE glycol sets in CoolProp.
    """
    if fluid.volume_fraction == 0:
        return _WATER.lowest
    return _GLYCOLS[fluid.substance].freezing_temperature(fluid.volume_fraction)


def vapour_pressure(temperature: float) -> float:
    """Return the pressure at which water boils.

    Parameters
    ----------
    temperature
        Temperature of the water. [K]

    Returns
    -------
    float
        Vapour pressure, absolute. [Pa]

    Notes
    -----
    A glycol mixture boils at a lower pressure than water of the same temperature,
    so water's value is the safe side for it.

    Examples
    --------
    >>> round(vapour_pressure(373.15))
    101418

    References
    ----------
    IAPWS Industrial Formulation 1997, saturation line.
    """
    _WATER.require(temperature)
    return _WATER.vapour_pressure(temperature)


def saturation_temperature(pressure_abs: float) -> float:
    """Return the temperature at which water boils.

    Parameters
    ----------
    pressure_abs
        Absolute pressure. [Pa]

    Returns
    -------
    float
        Boiling temperature. [K]

    Examples
    --------
    >>> round(saturation_temperature(4.0e5) - 273.15, 2)
    143.61

    References
    ----------
    IAPWS Industrial Formulation 1997, saturation line.
    """
    low, high = _WATER.lowest_pressure, _WATER.highest_pressure
    if not low * (1 - _SLACK) <= pressure_abs <= high * (1 + _SLACK):
        raise Refusal(
            say(
                "The boiling point at {p} is outside the table, which runs from {low} to {high}. "
                "Enter an absolute pressure between them.",
                p=(pressure_abs, units.ABSOLUTE_PRESSURE),
                low=(low, units.ABSOLUTE_PRESSURE),
                high=(high, units.ABSOLUTE_PRESSURE),
            ),
            cite=_WATER_CITE,
        )
    return _WATER.vapour_pressure.inverse(pressure_abs)


def specific_enthalpy(temperature: float) -> float:
    """Return the specific enthalpy of saturated liquid water.

    Parameters
    ----------
    temperature
        Temperature of the water. [K]

    Returns
    -------
    float
        Specific enthalpy, zero at the triple point. [J/kg]

    Examples
    --------
    >>> round(specific_enthalpy(373.15) / 1e3, 1)
    419.1

    References
    ----------
    IAPWS Industrial Formulation 1997.
    """
    _WATER.require(temperature)
    return _WATER.specific_enthalpy(temperature)


def enthalpy_of_vaporisation(temperature: float) -> float:
    """Return the heat that turns saturated liquid water into saturated steam.

    Parameters
    ----------
    temperature
        Temperature of the water. [K]

    Returns
    -------
    float
        Enthalpy of vaporisation. [J/kg]

    Examples
    --------
    >>> round(enthalpy_of_vaporisation(373.15) / 1e3)
    2256

    References
    ----------
    IAPWS Industrial Formulation 1997.
    """
    _WATER.require(temperature)
    return _WATER.enthalpy_of_vaporisation(temperature)

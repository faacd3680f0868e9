"""Liquid water under any pressure, from the equation of IAPWS-IF97 itself.

The baked tables hold water at one atmosphere or at saturation. Trapped water leaves that line
far behind, so here the equation for the liquid, region 1, is worked out.
"""

from __future__ import annotations

from calc import units
from calc.fluids import vapour_pressure
from calc.model import Refusal, say
from calc.sources import IAPWS_IF97

GAS_CONSTANT = 461.526
"""Specific gas constant of water. [J/(kg K)]"""

HIGHEST_PRESSURE = 100e6
"""The equation ends there. [Pa abs]"""

_REDUCING_PRESSURE = 16.53e6
_REDUCING_TEMPERATURE = 1386.0
_LOWEST, _HIGHEST = 273.15, 473.15
_SLACK = 1e-6
_CITE = IAPWS_IF97.at("region 1, 0 to 200 °C, up to 1000 bar")
_STEP = 0.05

# Exponent of the pressure, exponent of the temperature, coefficient: IAPWS-IF97, table 2. The
# terms without pressure do not enter the volume.
_TERMS = (
    (1, -9, 0.28319080123804e-3),
    (1, -7, -0.60706301565874e-3),
    (1, -1, -0.18990068218419e-1),
    (1, 0, -0.32529748770505e-1),
    (1, 1, -0.21841717175414e-1),
    (1, 3, -0.52838357969930e-4),
    (2, -3, -0.47184321073267e-3),
    (2, 0, -0.30001780793026e-3),
    (2, 1, 0.47661393906987e-4),
    (2, 3, -0.44141845330846e-5),
    (2, 17, -0.72694996297594e-15),
    (3, -4, -0.31679644845054e-4),
    (3, 0, -0.28270797985312e-5),
    (3, 6, -0.85205128120103e-9),
    (4, -5, -0.22425281908000e-5),
    (4, -2, -0.65171222895601e-6),
    (4, 10, -0.14341729937924e-12),
    (5, -8, -0.40516996860117e-6),
    (8, -11, -0.12734301741641e-8),
    (8, -6, -0.17424871230634e-9),
    (21, -29, -0.68762131295531e-18),
    (23, -31, 0.14478307828521e-19),
    (29, -38, 0.26335781662795e-22),
    (30, -39, -0.11947622640071e-22),
    (31, -40, 0.18228094581404e-23),
    (32, -41, -0.93537087292458e-25),
)


class Isotherm:
    """Liquid water at one temperature: its volume under any pressure, and how it yields."""

    __slots__ = ("_scale", "_sums", "temperature")

    def __init__(self, temperature: float) -> None:
        if not _LOWEST - _SLACK <= temperature <= _HIGHEST + _SLACK:
            raise Refusal(
                say(
                    "Water at {t} is outside what is worked out here, liquid water from {low} to "
                    "{high}. Enter a temperature between them.",
                    t=(temperature, units.TEMPERATURE),
                    low=(_LOWEST, units.TEMPERATURE),
                    high=(_HIGHEST, units.TEMPERATURE),
                ),
                cite=_CITE,
            )
        self.temperature = temperature
        base = _REDUCING_TEMPERATURE / temperature - 1.222
        sums: dict[int, float] = {}
        for i, j, n in _TERMS:
            sums[i] = sums.get(i, 0.0) - n * i * base**j
        self._sums = tuple(sums.items())
        self._scale = GAS_CONSTANT * temperature / _REDUCING_PRESSURE

    def volume_and_slope(self, pressure_abs: float) -> tuple[float, float]:
        """Return the specific volume and its slope over pressure. [m3/kg, m3/(kg Pa)]"""
        under = 7.1 - pressure_abs / _REDUCING_PRESSURE
        volume = slope = 0.0
        for i, total in self._sums:
            volume += total * under ** (i - 1)
            if i > 1:
                slope -= total * (i - 1) * under ** (i - 2)
        return self._scale * volume, self._scale * slope / _REDUCING_PRESSURE


def _require_liquid(temperature: float, pressure_abs: float) -> None:
    if pressure_abs > HIGHEST_PRESSURE * (1 + _SLACK):
        raise Refusal(
            say(
                "{p} is beyond the equation of water, which ends at {high}. Enter a smaller "
                "pressure or less warming.",
                p=(pressure_abs, units.ABSOLUTE_PRESSURE),
                high=(HIGHEST_PRESSURE, units.ABSOLUTE_PRESSURE),
            ),
            cite=_CITE,
        )
    boils = vapour_pressure(temperature)
    if pressure_abs < boils * (1 - _SLACK):
        raise Refusal(
            say(
                "At {t} water needs {boils} to stay liquid, and here it has {p}. Enter a higher "
                "pressure or a lower temperature.",
                t=(temperature, units.TEMPERATURE),
                boils=(boils, units.ABSOLUTE_PRESSURE),
                p=(pressure_abs, units.ABSOLUTE_PRESSURE),
            ),
            cite=_CITE,
        )


def liquid_volume(temperature: float, pressure_abs: float) -> float:
    """Return the specific volume of liquid water under a pressure.

    Parameters
    ----------
    temperature
        Temperature, 0 to 200 degC. [K]
    pressure_abs
        Pressure, from saturation to 100 MPa. [Pa abs]

    Returns
    -------
    float
        Specific volume. [m3/kg]

    Examples
    --------
    >>> f"{liquid_volume(300.0, 3e6):.9e}"
    '1.002151680e-03'

    References
    ----------
    IAPWS-IF97, equation 7 and table 5.
    """
    isotherm = Isotherm(temperature)
    _require_liquid(temperature, pressure_abs)
    return isotherm.volume_and_slope(pressure_abs)[0]


def compressibility(temperature: float, pressure_abs: float) -> float:
    """Return how much liquid water yields to pressure at a steady temperature.

    Parameters
    ----------
    temperature
        Temperature, 0 to 200 degC. [K]
    pressure_abs
        Pressure, from saturation to 100 MPa. [Pa abs]

    Returns
    -------
    float
        Isothermal compressibility. [1/Pa]

    Examples
    --------
    >>> f"{compressibility(293.15, 3e5):.3e}"
    '4.580e-10'

    References
    ----------
    IAPWS-IF97, region 1, derived over pressure.
    """
    isotherm = Isotherm(temperature)
    _require_liquid(temperature, pressure_abs)
    volume, slope = isotherm.volume_and_slope(pressure_abs)
    return -slope / volume


def expansivity(temperature: float, pressure_abs: float) -> float:
    """Return how much liquid water grows for each kelvin at a steady pressure.

    Parameters
    ----------
    temperature
        Temperature, 0 to 200 degC. [K]
    pressure_abs
        Pressure, from saturation to 100 MPa. [Pa abs]

    Returns
    -------
    float
        Isobaric expansivity by volume; negative below some 4 degC. [1/K]

    Examples
    --------
    >>> f"{expansivity(293.15, 3e5):.3e}"
    '2.069e-04'

    References
    ----------
    IAPWS-IF97, region 1, by differences over 0.1 K.
    """
    low = max(temperature - _STEP, _LOWEST)
    high = min(temperature + _STEP, _HIGHEST)
    _require_liquid(temperature, pressure_abs)
    v_low, v_high = (Isotherm(t).volume_and_slope(pressure_abs)[0] for t in (low, high))
    return 2.0 * (v_high - v_low) / ((v_high + v_low) * (high - low))

"""What neutralising acid condensate uses up, and how long a filling of stone lasts.

The strong acid alone is the least that stone is used for. Carbon dioxide goes on dissolving it, up
to the equilibrium of calcite. Much acid makes more carbon dioxide out of the stone than the flue
gas brought, so either equilibrium may be the greater.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

from calc import units
from calc.atmosphere import SEA_LEVEL_PRESSURE
from calc.model import Refusal, say
from calc.sources import PHYSICS

YEAR = 365.25 * 86400.0
"""[s]"""

_LITRES = 1000.0
_LOG_10 = math.log(10.0)
_GAS_CONSTANT = 8.314462618
_WARM = 298.15
_DOLOMITE_HEAT = -9.436 * 4184.0


@dataclass(frozen=True, slots=True)
class Medium:
    """A filling that neutralises acid.

    Attributes
    ----------
    per_acid
        Mass used up by a mole of acid. [kg/mol]
    carbonate
        Whether carbon dioxide goes on dissolving it to an equilibrium that is known.
    """

    per_acid: float
    carbonate: bool


LIMESTONE, DOLOMITE, MAGNESIA = "limestone", "dolomite", "magnesia"
MEDIA = {
    LIMESTONE: Medium(0.0500435, True),
    DOLOMITE: Medium(0.0461003, True),
    MAGNESIA: Medium(0.0201522, False),
}
"""CaCO3, CaMg(CO3)2 and MgO, from standard atomic weights."""


@dataclass(frozen=True, slots=True)
class Equilibrium:
    """Where dissolving stops: pH, and the calcium and magnesium dissolved. [mol/m3]"""

    ph: float
    dissolved: float


def acid_of_ph(ph: float) -> float:
    """Return the acid that a pH stands for.

    Parameters
    ----------
    ph
        As a meter shows it. [-]

    Returns
    -------
    float
        Hydrogen ions. [mol/m3]

    Examples
    --------
    >>> round(acid_of_ph(3.0), 9)
    1.0
    """
    return _LITRES * 10.0**-ph


def least_use(acid: float, per_acid: float) -> float:
    """Return the filling that the strong acid alone uses up.

    Parameters
    ----------
    acid
        Hydrogen ions in the condensate. [mol/m3]
    per_acid
        Filling used up by a mole of acid. [kg/mol]

    Returns
    -------
    float
        Filling in each volume of condensate. [kg/m3]

    Examples
    --------
    >>> round(least_use(1.0, 0.0500435), 4)
    0.05
    """
    return acid * per_acid


def use_with_dissolved_gas(acid: float, gas: float, per_acid: float) -> float:
    """Return the filling used up by acid and by all dissolved carbon dioxide, to bicarbonate.

    Parameters
    ----------
    acid, gas
        Hydrogen ions and dissolved carbon dioxide in the condensate. [mol/m3]
    per_acid
        Filling used up by a mole of acid. [kg/mol]

    Returns
    -------
    float
        Filling in each volume of condensate. [kg/m3]

    Notes
    -----
    For magnesia, whose bicarbonate dissolves so well that no equilibrium ends it.

    Examples
    --------
    >>> round(use_with_dissolved_gas(1.0, 3.0, 0.0201522), 4)
    0.0806
    """
    return (acid + gas) * per_acid


def use_of_dissolved(dissolved: float, per_acid: float) -> float:
    """Return the mass of stone for the calcium and magnesium dissolved from it.

    Parameters
    ----------
    dissolved
        Calcium and magnesium. [mol/m3]
    per_acid
        Stone used up by a mole of acid; a mole of calcium takes up two. [kg/mol]

    Returns
    -------
    float
        Stone in each volume of condensate. [kg/m3]

    Examples
    --------
    >>> round(use_of_dissolved(4.0639, 0.0500435), 3)
    0.407
    """
    return 2.0 * per_acid * dissolved


def dissolved_gas(gas_abs: float, temperature: float) -> float:
    """Return the carbon dioxide dissolved under a partial pressure.

    Parameters
    ----------
    gas_abs
        Partial pressure of carbon dioxide, absolute. [Pa]
    temperature
        Temperature of the water. [K]

    Returns
    -------
    float
        Dissolved carbon dioxide. [mol/m3]

    Examples
    --------
    >>> round(dissolved_gas(0.09 * 101325.0, 298.15), 2)
    3.06

    References
    ----------
    Plummer and Busenberg 1982.
    """
    return _LITRES * _constants(temperature).henry * gas_abs / SEA_LEVEL_PRESSURE


def ph_of_carbonic_acid(gas_abs: float, temperature: float) -> float:
    """Return the pH that carbon dioxide alone gives to pure water.

    Parameters
    ----------
    gas_abs
        Partial pressure of carbon dioxide, absolute. [Pa]
    temperature
        Temperature of the water. [K]

    Returns
    -------
    float
        pH. [-]

    Examples
    --------
    >>> round(ph_of_carbonic_acid(0.09 * 101325.0, 298.15), 2)
    4.43

    References
    ----------
    Plummer and Busenberg 1982.
    """
    k = _constants(temperature)
    return -0.5 * math.log10(k.henry * gas_abs / SEA_LEVEL_PRESSURE * k.first)


def equilibrium_held(
    acid: float, gas_abs: float, temperature: float, *, dolomite: bool = False
) -> Equilibrium:
    """Return where stone stops dissolving with flue gas always above the water.

    Parameters
    ----------
    acid
        Strong acid in the condensate. [mol/m3]
    gas_abs
        Partial pressure of carbon dioxide, absolute. [Pa]
    temperature
        Temperature of the water. [K]
    dolomite
        Whether the stone is dolomite rather than limestone.

    Returns
    -------
    Equilibrium
        pH and what has dissolved.

    Notes
    -----
    Activities by Truesdell and Jones. Ion pairs of magnesium are taken as those of calcium.

    Examples
    --------
    >>> found = equilibrium_held(1.0, 0.09 * 101325.0, 298.15)
    >>> round(found.ph, 1), round(found.dissolved, 1)
    (6.7, 4.1)

    References
    ----------
    Plummer and Busenberg 1982.
    """
    return _equilibrium(acid, gas_abs, temperature, True, dolomite)


def equilibrium_closed(
    acid: float, gas_abs: float, temperature: float, *, dolomite: bool = False
) -> Equilibrium:
    """Return where stone stops dissolving in condensate that has left the flue gas behind.

    Parameters
    ----------
    acid
        Strong acid in the condensate. [mol/m3]
    gas_abs
        Partial pressure of carbon dioxide under which it was made, absolute. [Pa]
    temperature
        Temperature of the water. [K]
    dolomite
        Whether the stone is dolomite rather than limestone.

    Returns
    -------
    Equilibrium
        pH and what has dissolved.

    Examples
    --------
    >>> found = equilibrium_closed(1.0, 0.09 * 101325.0, 298.15)
    >>> round(found.ph, 1), round(found.dissolved, 1)
    (6.9, 2.9)

    References
    ----------
    Plummer and Busenberg 1982.
    """
    return _equilibrium(acid, gas_abs, temperature, False, dolomite)


def lasting_time(mass: float, purity: float, usable: float, yearly: float, use: float) -> float:
    """Return how long a filling lasts.

    Parameters
    ----------
    mass
        Filling put in. [kg]
    purity
        Share of it that neutralises. [-]
    usable
        Share of that which dissolves before it is coated or too fine. [-]
    yearly
        Condensate in a year. [m3]
    use
        Filling used up in each volume of condensate. [kg/m3]

    Returns
    -------
    float
        Time. [s]

    Examples
    --------
    >>> round(lasting_time(5.0, 0.95, 0.7, 6.72, 0.293) / YEAR, 1)
    1.7
    """
    if yearly * use <= 0:
        raise Refusal(
            say("No condensate is made at a flue gas that warm, so nothing is used up. Enter the "
                "flue gas temperature of ordinary running, or another way to find the amount."),
            field="flue", cite=PHYSICS.at("mass balance"),
        )  # fmt: skip
    return mass * purity * usable / (yearly * use) * YEAR


def void_volume(mass: float, porosity: float, solid_density: float) -> float:
    """Return the room for water between the stones of a bed.

    Parameters
    ----------
    mass
        Stone. [kg]
    porosity
        Share of the bed that is not stone. [-]
    solid_density
        Density of the stone itself. [kg/m3]

    Returns
    -------
    float
        Volume. [m3]

    Examples
    --------
    >>> round(void_volume(5.0, 0.49, 2650.0) * 1000, 2)
    1.81

    References
    ----------
    Cravotta 2003.
    """
    return porosity * mass / (solid_density * (1.0 - porosity))


def contact_time(void: float, flow: float) -> float:
    """Return how long condensate stays between the stones.

    Parameters
    ----------
    void
        Room for water in the bed. [m3]
    flow
        Flow at full load. [m3/s]

    Returns
    -------
    float
        Time. [s]

    Examples
    --------
    >>> round(contact_time(1.813e-3, 3.36e-3 / 3600) / 60, 1)
    32.4

    References
    ----------
    Cravotta 2003.
    """
    if flow <= 0:
        raise Refusal(
            "No condensate flows, so it has no time of contact. Enter a flue gas below its dew "
            "point, or the flow you measured.",
            field="flue", cite=PHYSICS.at("volume and flow"),
        )  # fmt: skip
    return void / flow


def months_later(year: float, month: float, time: float) -> tuple[int, int]:
    """Return the year and month in which a time from a month on has passed, rounded down.

    Examples
    --------
    >>> months_later(2026, 11, 1.2 * YEAR)
    (2028, 1)
    """
    count = int(year) * 12 + int(month) - 1 + int(time / YEAR * 12.0)
    return count // 12, count % 12 + 1


@dataclass(frozen=True, slots=True)
class _Constants:
    """Equilibrium constants of carbonate at one temperature; litres and atmospheres."""

    henry: float
    first: float
    second: float
    water: float
    calcite: float
    dolomite: float
    pair: float
    neutral_pair: float
    debye: float
    size: float


@functools.lru_cache(maxsize=64)
def _constants(temperature: float) -> _Constants:
    if not 273.15 <= temperature <= 373.15:
        raise Refusal(
            say("The constants of carbonate hold for water from {low} to {high}, not for {t}. "
                "Enter a temperature between them.", low=(273.15, units.TEMPERATURE),
                high=(373.15, units.TEMPERATURE), t=(temperature, units.TEMPERATURE)),
            cite=PHYSICS.at("liquid water"),
        )  # fmt: skip
    t = temperature
    lg = math.log10(t)

    def power(a: float, b: float, c: float, d: float, e: float = 0.0, f: float = 0.0) -> float:
        return 10.0 ** (a + b * t + c / t + d * lg + e / t**2 + f * t**2)

    bicarbonate = power(107.8871, 0.03252849, -5151.79, -38.92561, 563713.9)
    carbonic = power(464.1965, 0.09344813, -26986.16, -165.75951, 2248628.9)
    pair = power(1317.0071, 0.34546894, -39916.84, -517.70761, 563713.9)
    shift = _DOLOMITE_HEAT / (_LOG_10 * _GAS_CONSTANT) * (1.0 / t - 1.0 / _WARM)
    return _Constants(
        henry=power(108.3865, 0.01985076, -6919.53, -40.45154, 669365.0),
        first=bicarbonate / carbonic,
        second=1.0 / bicarbonate,
        water=power(293.29227, 0.1360833, -10576.913, -123.73158, 0.0, -6.996455e-5),
        calcite=power(-171.9065, -0.077993, 2839.319, 71.595),
        dolomite=10.0 ** (-17.09 - shift),
        pair=pair / bicarbonate,
        neutral_pair=power(-1228.732, -0.299440, 35512.75, 485.818),
        debye=0.4883 + 8.074e-4 * (t - 273.15),
        size=0.3241 + 1.6e-4 * (t - 273.15),
    )


_ROUNDS = 5
_HALVINGS = 26
_LOWEST_PH, _HIGHEST_PH = 3.5, 11.5


@functools.lru_cache(maxsize=256)
def _equilibrium(
    acid: float, gas_abs: float, temperature: float, held: bool, dolomite: bool
) -> Equilibrium:
    """Solve the balance of charge for the pH, with the activities of the last round."""
    k = _constants(temperature)
    product = 2.0 * math.sqrt(k.dolomite) if dolomite else k.calcite
    strong = acid / _LITRES
    gas = k.henry * gas_abs / SEA_LEVEL_PRESSURE
    ionic = strong + 0.01
    for _ in range(_ROUNDS):
        root = math.sqrt(ionic)

        def activity(charge: int, size: float, more: float = 0.0, root: float = root) -> float:
            slope = k.debye * charge**2 * root / (1.0 + k.size * size * root)
            return 10.0 ** (more * root**2 - slope)

        hydrogen, hydroxide = activity(1, 9.0), activity(1, 3.5)
        calcium, carbonate = activity(2, 5.0, 0.165), activity(2, 5.4)
        bicarbonate, paired, dissolved = activity(1, 5.4), activity(1, 6.0), 10.0 ** (0.1 * ionic)
        low, high = _LOWEST_PH, _HIGHEST_PH
        for _ in range(_HALVINGS):
            ph = (low + high) / 2.0
            h = 10.0**-ph
            per_carbonate = h / k.second
            if held:
                co3 = gas * k.first / (h * per_carbonate)
            else:
                total = (1.0 / carbonate + per_carbonate / bicarbonate
                         + h * per_carbonate / (k.first * dissolved))  # fmt: skip
                first = gas / dissolved
                co3 = first + math.sqrt(first**2 + 4.0 * total * product / calcium)
                co3 /= 2.0 * total
            hco3 = co3 * per_carbonate
            ca = product / co3
            charge = (
                2.0 * ca / calcium + k.pair * ca * hco3 / paired + h / hydrogen - strong
                - hco3 / bicarbonate - 2.0 * co3 / carbonate - k.water / h / hydroxide
            )  # fmt: skip
            low, high = (ph, high) if charge > 0 else (low, ph)
        pairs = k.pair * ca * hco3 / paired
        ionic = 0.5 * (
            4.0 * (ca / calcium + co3 / carbonate) + h / hydrogen + strong + hco3 / bicarbonate
            + pairs
        )  # fmt: skip
    total_calcium = ca / calcium + pairs + k.neutral_pair * product
    return Equilibrium(ph, _LITRES * total_calcium)

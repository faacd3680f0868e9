"""Where the heating-up of a closed system ends: the valve lifts, or the water at the top boils.

The pressure follows from the growth of the water and the gas law at every temperature on the
way. Both ends are found by halving an interval. Every pressure here is absolute.
"""

from calc.expansion import net_expansion, relative_expansion
from calc.fluids import Fluid, density, vapour_pressure
from calc.hydrostatics import static_pressure
from calc.model import Refusal

_HALVINGS = 21
_SCAN = 20


def pressure_on_the_way(
    gas: float, content: float, fill_abs: float, taken: float, most_abs: float
) -> float:
    """Return the pressure at the vessel once it has taken some water.

    Parameters
    ----------
    gas
        Volume of the gas when cold, the whole vessel where the charge is above the fill. [m3]
    content
        Charge times volume of the vessel. [J]
    fill_abs
        Pressure at the vessel when cold. [Pa abs]
    taken
        Water taken since it was cold. [m3]
    most_abs
        Pressure at which the relief valve holds the vessel. [Pa abs]

    Returns
    -------
    float
        Pressure at the vessel, never above `most_abs`. [Pa abs]

    Examples
    --------
    >>> round(pressure_on_the_way(0.010444, 2415.6, 2.313e5, 0.002489, 4e5) / 1e5 - 1.013, 3)
    2.024
    >>> pressure_on_the_way(0.010444, 2415.6, 2.313e5, 0.02, 4e5)
    400000.0
    """
    if taken <= 0.0:
        return min(fill_abs, most_abs)
    left = gas - taken
    return most_abs if left * most_abs <= content else content / left


def growth_taken(
    fluid: Fluid, alpha: float, system_volume: float, cold: float, temperature: float
) -> float:
    """Return the water pushed into the vessel on the way from cold to a temperature.

    Parameters
    ----------
    fluid
        Water or a glycol mixture.
    alpha
        Linear expansion of the pipes. [1/K]
    system_volume
        Water in the system when cold. [m3]
    cold, temperature
        Temperature at the start and now. [K]

    Returns
    -------
    float
        Volume pushed into the vessel. [m3]

    Examples
    --------
    >>> from calc.fluids import WATER
    >>> round(growth_taken(WATER, 0.0, 0.1, 288.15, 348.15) * 1000, 2)
    2.49
    """
    growth = relative_expansion(fluid, cold, temperature)
    return system_volume * net_expansion(growth, alpha, temperature - cold)


def lift_temperature(
    fluid: Fluid,
    alpha: float,
    cold: float,
    highest: float,
    system_volume: float,
    volume: float,
    charge_abs: float,
    fill_abs: float,
    set_abs: float,
    valve_height: float,
) -> float:
    """Return the mean water temperature at which the relief valve opens.

    Parameters
    ----------
    fluid
        Water or a glycol mixture.
    alpha
        Linear expansion of the pipes. [1/K]
    cold, highest
        Temperature at the start, and up to which to look. [K]
    system_volume, volume
        Water in the system when cold, volume of the vessel. [m3]
    charge_abs, fill_abs
        Charge, and pressure at the vessel when cold. [Pa abs]
    set_abs
        Set pressure of the valve. [Pa abs]
    valve_height
        Height of the valve above the vessel. [m]

    Returns
    -------
    float
        Temperature. [K]

    Notes
    -----
    The gas keeps its temperature, and the pump is not between vessel and valve.

    Examples
    --------
    >>> from calc.fluids import WATER
    >>> t = lift_temperature(WATER, 0.0, 288.15, 423.15, 0.1, 0.012, 1.313e5, 2.313e5, 3.643e5, 0.0)
    >>> round(t - 273.15)
    75

    References
    ----------
    Boyle's law and the density of the fluid.
    """
    content, gas = charge_abs * volume, volume * min(charge_abs / fill_abs, 1.0)

    def lifted(t: float) -> bool:
        at_lift = set_abs + static_pressure(density(fluid, t), valve_height)
        taken = growth_taken(fluid, alpha, system_volume, cold, t)
        return pressure_on_the_way(gas, content, fill_abs, taken, at_lift) >= at_lift

    if not lifted(highest):
        raise Refusal("The relief valve stays shut up to the highest temperature looked at.")
    return _halved(lifted, cold, highest)


def boiling_at_top(
    fluid: Fluid,
    alpha: float,
    cold: float,
    highest: float,
    system_volume: float,
    volume: float,
    charge_abs: float,
    fill_abs: float,
    set_abs: float,
    valve_height: float,
    height: float,
) -> float:
    """Return the mean water temperature at which the water at the highest point boils.

    Parameters
    ----------
    fluid
        Water or a glycol mixture.
    alpha
        Linear expansion of the pipes. [1/K]
    cold, highest
        Temperature at the start, and up to which to look. [K]
    system_volume, volume
        Water in the system when cold, volume of the vessel. [m3]
    charge_abs, fill_abs
        Charge, and pressure at the vessel when cold. [Pa abs]
    set_abs
        Set pressure of the relief valve, which holds the pressure from there on. [Pa abs]
    valve_height, height
        Height of the valve and of the highest point above the vessel. [m]

    Returns
    -------
    float
        Temperature. [K]

    Notes
    -----
    The whole system at one temperature, the pump stopped. Glycol is taken to boil as water does,
    which is on the safe side.

    Examples
    --------
    >>> from calc.fluids import WATER
    >>> site = (WATER, 0.0, 288.15, 423.15, 0.1, 0.012, 2.013e5, 2.313e5, 4.013e5, 0.0, 0.0)
    >>> round(boiling_at_top(*site) - 273.15, 1)
    143.7

    References
    ----------
    Boyle's law; IAPWS Industrial Formulation 1997, saturation line.
    """
    content, gas = charge_abs * volume, volume * min(charge_abs / fill_abs, 1.0)

    def boils(t: float) -> bool:
        rho = density(fluid, t)
        at_lift = set_abs + static_pressure(rho, valve_height)
        taken = growth_taken(fluid, alpha, system_volume, cold, t)
        at_vessel = pressure_on_the_way(gas, content, fill_abs, taken, at_lift)
        return at_vessel - static_pressure(rho, height) <= vapour_pressure(t)

    # The pressure may gain on the boiling line before it loses, so the first crossing is looked
    # for in small steps.
    low = cold
    for n in range(1, _SCAN + 1):
        high = cold + (highest - cold) * n / _SCAN
        if boils(high):
            return _halved(boils, low, high)
        low = high
    raise Refusal("Nothing boils up to the highest temperature looked at.")


def _halved(reached, low: float, high: float) -> float:
    """Return where `reached` turns true between two temperatures. [K]"""
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        if reached(middle):
            high = middle
        else:
            low = middle
    return high

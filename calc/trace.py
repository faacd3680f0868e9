"""Where the heating-up of a closed system ends: the valve lifts, or the water at the top boils.

The pressure follows from the growth of the water and the gas law at every temperature on the
way. Both ends are found by closing in from two sides. Every pressure here is absolute.
"""

from collections.abc import Callable

from calc.expansion import expansion_of_densities, net_expansion, relative_expansion
from calc.fluids import Fluid, density, saturation_temperature, vapour_pressure
from calc.hydrostatics import static_pressure
from calc.model import Refusal

_NEAR_ENOUGH = 1e-4
"""How small a step of temperature ends the search. [K]"""

_FREEZING = 273.15
_TRIES = 60
_SCAN = 8


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


def boiling_pressure(temperature: float) -> float:
    """Return the pressure below which the fluid boils.

    Parameters
    ----------
    temperature
        Temperature of the fluid. [K]

    Returns
    -------
    float
        Vapour pressure of water; below 0 degC, where only a glycol mixture is liquid, that of
        0 degC, which is on the safe side. [Pa abs]

    Examples
    --------
    >>> round(boiling_pressure(353.15))
    47415
    >>> boiling_pressure(253.15) == boiling_pressure(273.15)
    True

    References
    ----------
    IAPWS Industrial Formulation 1997, saturation line.
    """
    return vapour_pressure(max(temperature, _FREEZING))


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
    rho_cold = density(fluid, cold)

    def gas_to_spare(t: float) -> float:
        """Return by how much pressure times volume of the gas is above its content. [J]"""
        rho = density(fluid, t)
        at_lift = set_abs + static_pressure(rho, valve_height)
        growth = expansion_of_densities(rho_cold, rho)
        return at_lift * (gas - system_volume * net_expansion(growth, alpha, t - cold)) - content

    start, end = gas_to_spare(cold), gas_to_spare(highest)
    if end > 0.0:
        raise Refusal("The relief valve stays shut up to the highest temperature looked at.")
    return _crossing(gas_to_spare, cold, start, highest, end)


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
    rho_cold = density(fluid, cold)

    def above_boiling(t: float) -> float:
        """Return how far the highest point stands above the saturation curve. [Pa]"""
        rho = density(fluid, t)
        at_lift = set_abs + static_pressure(rho, valve_height)
        growth = expansion_of_densities(rho_cold, rho)
        taken = system_volume * net_expansion(growth, alpha, t - cold)
        at_vessel = pressure_on_the_way(gas, content, fill_abs, taken, at_lift)
        return at_vessel - static_pressure(rho, height) - boiling_pressure(t)

    low, spare = cold, above_boiling(cold)
    if spare <= 0.0:
        return cold
    # Nothing boils before the cold pressure at the top does. From there the pressure may still gain
    # on the boiling line before it loses, so the first crossing is looked for in small steps.
    first = min(saturation_temperature(spare + boiling_pressure(cold)), highest)
    for n in range(_SCAN + 1):
        high = first + (highest - first) * n / _SCAN
        found = above_boiling(high)
        if found <= 0.0:
            return _crossing(above_boiling, low, spare, high, found)
        low, spare = high, found
    raise Refusal("Nothing boils up to the highest temperature looked at.")


def _crossing(
    spare: Callable[[float], float], low: float, at_low: float, high: float, at_high: float
) -> float:
    """Return where `spare` falls to nothing between two temperatures. [K]

    False position; an end that stays put has its value halved, so that both ends close in.
    """
    if at_low <= 0.0:
        return low
    t, side = high, 0
    for _ in range(_TRIES):
        before = t
        t = (low * at_high - high * at_low) / (at_high - at_low)
        found = spare(t)
        if abs(t - before) < _NEAR_ENOUGH:
            break
        if found > 0.0:
            low, at_low = t, found
            at_high = at_high / 2.0 if side > 0 else at_high
            side = 1
        else:
            high, at_high = t, found
            at_low = at_low / 2.0 if side < 0 else at_low
            side = -1
    return t

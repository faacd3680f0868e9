"""Relief (safety) valves: where they open, how far below that to stay, how much they must pass.

Pressures at the valve, at the vessel and at the gauge differ by the water column between them
and by what the running pump adds. Every rule here is written for the pressure at the valve.
"""

from __future__ import annotations

from math import sqrt

from calc import units as u
from calc.fluids import (
    WATER,
    enthalpy_of_vaporisation,
    saturation_temperature,
    specific_volume,
    vapour_pressure,
)
from calc.hydrostatics import static_pressure
from calc.model import Refusal, say

PSI = u.PRESSURE_DIFFERENCE.unit("psi").scale
"""One pound-force per square inch. [Pa]"""

BAR = u.PRESSURE_DIFFERENCE.unit("bar").scale
"""One bar. [Pa]"""

ROUNDING = 1.0 + 1e-3
"""Lets 2.07 bar count as the 30 psi, and 43.5 psi as the 3 bar, that a rule names. [-]"""

STEAM_HEAT_US = 1000.0 * u.SPECIFIC_ENERGY.unit("Btu/lb").scale
"""Heat one unit of relieved steam carries off in United States rules. [J/kg]"""

SV_100_SET = 3.0 * BAR
"""The only set pressure for which the SV 100 constant holds. [Pa gauge]"""

SV_100_GREATEST = 2700e3
"""Greatest blow-off output that SV 100, 3.2 covers. [W]"""

SV_100_FLUX = 1.26e9
"""Heat through a square metre of effective flow area in SV 100, 1.26 kW per mm2. [W/m2]"""

STEAM_ISENTROPIC_EXPONENT = 1.135
"""Isentropic exponent of saturated steam near 4 bar absolute. [-]"""


def lift_tolerance(set_gauge: float) -> float:
    """Return how far a valve may lift away from its marked set pressure.

    Parameters
    ----------
    set_gauge
        Set pressure on the valve's plate. [Pa gauge]

    Returns
    -------
    float
        Tolerance, the same above and below. [Pa]

    Notes
    -----
    3 psi for a set pressure up to 60 psig, 5 % of the set pressure above that.

    Examples
    --------
    >>> round(lift_tolerance(30 * PSI) / PSI, 6)
    3.0

    References
    ----------
    ASME BPVC section IV, HG-401 (from memory, medium confidence).
    """
    if set_gauge <= 60.0 * PSI * ROUNDING:
        return 3.0 * PSI
    return 0.05 * set_gauge


def lowest_lift(set_gauge: float, tolerance: float) -> float:
    """Return the lowest pressure at which the valve may open.

    Parameters
    ----------
    set_gauge
        Set pressure on the valve's plate. [Pa gauge]
    tolerance
        How far below it the valve may lift. [Pa]

    Returns
    -------
    float
        Lowest lift. [Pa gauge]

    Examples
    --------
    >>> round(lowest_lift(30 * PSI, 3 * PSI) / PSI, 6)
    27.0
    """
    return set_gauge - tolerance


def gap_of_a_tenth(set_gauge: float) -> float:
    """Return the operating gap of a tenth of the set pressure.

    Parameters
    ----------
    set_gauge
        Set pressure. [Pa gauge]

    Returns
    -------
    float
        Gap. [Pa]

    Examples
    --------
    >>> round(gap_of_a_tenth(3e5))
    30000

    References
    ----------
    Common practice.
    """
    return 0.1 * set_gauge


def closing_difference(set_gauge: float) -> float:
    """Return the gap a valve needs below its set pressure to close again.

    Parameters
    ----------
    set_gauge
        Set pressure. [Pa gauge]

    Returns
    -------
    float
        Gap. [Pa]

    Notes
    -----
    0.5 bar up to a set pressure of 5 bar, a tenth of the set pressure above that.

    Examples
    --------
    >>> closing_difference(3e5), closing_difference(10e5)
    (50000.0, 100000.0)

    References
    ----------
    EN 12828, annex D; DIN 4807-2 (from memory).
    """
    if set_gauge <= 5.0 * BAR * ROUNDING:
        return 0.5 * BAR
    return 0.1 * set_gauge


def gap_of_five_psi(set_gauge: float) -> float:
    """Return the operating gap of 5 psi, whatever the set pressure.

    Parameters
    ----------
    set_gauge
        Set pressure. [Pa gauge]

    Returns
    -------
    float
        Gap. [Pa]

    Examples
    --------
    >>> round(gap_of_five_psi(30 * PSI) / PSI, 6)
    5.0

    References
    ----------
    Common practice.
    """
    return 5.0 * PSI


def gap_of_a_quarter(set_gauge: float) -> float:
    """Return the operating gap of 10 psi or a quarter of the set pressure, the greater.

    Parameters
    ----------
    set_gauge
        Set pressure. [Pa gauge]

    Returns
    -------
    float
        Gap. [Pa]

    Examples
    --------
    >>> round(gap_of_a_quarter(30 * PSI) / PSI, 6), round(gap_of_a_quarter(100 * PSI) / PSI, 6)
    (10.0, 25.0)

    References
    ----------
    ASME BPVC section VI and the National Board Inspection Code (from memory, low to medium).
    """
    return max(10.0 * PSI, 0.25 * set_gauge)


def greatest_hot_pressure(set_gauge: float, gap: float) -> float:
    """Return the greatest pressure at the valve that keeps the operating gap.

    Parameters
    ----------
    set_gauge
        Set pressure. [Pa gauge]
    gap
        Operating gap that the chosen rule asks for. [Pa]

    Returns
    -------
    float
        Greatest hot pressure at the valve. [Pa gauge]

    Examples
    --------
    >>> greatest_hot_pressure(3e5, 0.5e5)
    250000.0

    References
    ----------
    EN 12828, annex D: final pressure is set pressure less closing difference (from memory).
    """
    return set_gauge - gap


def pressure_at_valve(
    vessel_gauge: float, density: float, valve_height: float, flow_gain: float
) -> float:
    """Return the pressure at a valve for a pressure at the vessel.

    Parameters
    ----------
    vessel_gauge
        Pressure at the vessel's connection. [Pa gauge]
    density
        Density of the fluid between them. [kg/m3]
    valve_height
        Height of the valve above the vessel's connection, negative below it. [m]
    flow_gain
        Pump head less friction, going with the flow from the vessel to the valve. [Pa]

    Returns
    -------
    float
        Pressure at the valve. [Pa gauge]

    Examples
    --------
    >>> round(pressure_at_valve(378.45e3, 1000.0, 8.0, 0.0))
    299997

    References
    ----------
    Hydrostatics; Bernoulli's equation with losses.
    """
    return vessel_gauge - static_pressure(density, valve_height) + flow_gain


def pressure_at_vessel(
    valve_gauge: float, density: float, valve_height: float, flow_gain: float
) -> float:
    """Return the pressure at the vessel for a pressure at a valve or a gauge.

    Parameters
    ----------
    valve_gauge
        Pressure at the valve or the gauge. [Pa gauge]
    density
        Density of the fluid between them. [kg/m3]
    valve_height
        Height of the valve or the gauge above the vessel's connection. [m]
    flow_gain
        Pump head less friction, going with the flow from the vessel to that place. [Pa]

    Returns
    -------
    float
        Pressure at the vessel's connection. [Pa gauge]

    Notes
    -----
    The inverse of `pressure_at_valve`.

    Examples
    --------
    >>> round(pressure_at_vessel(3e5, 1000.0, -5.0, 0.0))
    250967

    References
    ----------
    Hydrostatics; Bernoulli's equation with losses.
    """
    return valve_gauge + static_pressure(density, valve_height) - flow_gain


def restoring_fill(fill_abs: float, hot_abs: float, allowed_abs: float) -> float:
    """Return the cold fill that brings the hot pressure to the allowed one.

    Parameters
    ----------
    fill_abs
        Cold fill at the vessel as it is. [Pa abs]
    hot_abs
        Hot pressure at the vessel that follows from it. [Pa abs]
    allowed_abs
        Hot pressure at the vessel that is wanted. [Pa abs]

    Returns
    -------
    float
        Cold fill at the vessel to set. [Pa abs]

    Notes
    -----
    The gas volume lost by warming is the same before and after, so
    ``1/fill - 1/hot`` stays as it is. Holds while both fills are at or above the charge.

    Examples
    --------
    >>> round(restoring_fill(2.5e5, 4.0e5, 3.5e5))
    229508

    References
    ----------
    Boyle's law, written for the same expansion twice.
    """
    return 1.0 / (1.0 / fill_abs - 1.0 / hot_abs + 1.0 / allowed_abs)


def restoring_vessel(volume: float, start_abs: float, hot_abs: float, allowed_abs: float) -> float:
    """Return the vessel volume that brings the hot pressure to the allowed one.

    Parameters
    ----------
    volume
        Vessel volume as it is. [m3]
    start_abs
        Cold fill at the vessel, or the charge where the fill lies below it. [Pa abs]
    hot_abs
        Hot pressure at the vessel that follows. [Pa abs]
    allowed_abs
        Hot pressure at the vessel that is wanted, above the start. [Pa abs]

    Returns
    -------
    float
        Vessel volume needed at the same charge and fill. [m3]

    Notes
    -----
    At the same charge and fill, the expansion a vessel takes is in proportion to its volume.

    Examples
    --------
    >>> round(restoring_vessel(0.100, 2.5e5, 4.0e5, 3.5e5) * 1000, 2)
    131.25

    References
    ----------
    Boyle's law, written for the same expansion twice.
    """
    return volume * (1.0 / start_abs - 1.0 / hot_abs) / (1.0 / start_abs - 1.0 / allowed_abs)


def restoring_charge(
    charge_abs: float, fill_abs: float, hot_abs: float, allowed_abs: float
) -> float:
    """Return the charge that brings the hot pressure to the allowed one.

    Parameters
    ----------
    charge_abs
        Charge of the vessel as it is. [Pa abs]
    fill_abs
        Cold fill at the vessel, at or above the charge before and after. [Pa abs]
    hot_abs
        Hot pressure at the vessel that follows. [Pa abs]
    allowed_abs
        Hot pressure at the vessel that is wanted, above the fill. [Pa abs]

    Returns
    -------
    float
        Charge needed at the same vessel and fill. [Pa abs]

    Notes
    -----
    Charge times vessel volume is what the gas can do, so the charge follows the same
    proportion as the volume in `restoring_vessel`.

    Examples
    --------
    >>> round(restoring_charge(1.5e5, 2.5e5, 4.0e5, 3.5e5))
    196875

    References
    ----------
    Boyle's law, written for the same expansion twice.
    """
    return restoring_vessel(charge_abs, fill_abs, hot_abs, allowed_abs)


def steam_rate_us(output: float) -> float:
    """Return the steam a valve must pass for a boiler output, by the United States rule.

    Parameters
    ----------
    output
        Greatest output of the boiler. [W]

    Returns
    -------
    float
        Steam. [kg/s]

    Notes
    -----
    One pound of steam an hour for each 1000 Btu/h.

    Examples
    --------
    >>> lb_per_hour = u.MASS_FLOW.unit("lb/h")
    >>> round(lb_per_hour.from_si(steam_rate_us(u.POWER.unit("Btu/h").to_si(100e3))), 6)
    100.0

    References
    ----------
    12 NYCRR 4-5.3.
    """
    return output / STEAM_HEAT_US


def steam_rate(output: float, heat_of_evaporation: float) -> float:
    """Return the steam that carries off a boiler's whole output.

    Parameters
    ----------
    output
        Output of the heat generator. [W]
    heat_of_evaporation
        Heat of evaporation at the relieving pressure. [J/kg]

    Returns
    -------
    float
        Steam. [kg/s]

    Examples
    --------
    >>> round(steam_rate(1e3, 2.133e6) * 3600, 2)
    1.69

    References
    ----------
    EN 12828: the valve passes the full output as steam (from memory).
    """
    return output / heat_of_evaporation


def heat_of_steam(steam: float, heat_per_mass: float) -> float:
    """Return the heat carried off by a flow of steam.

    Parameters
    ----------
    steam
        Rated steam flow of a valve. [kg/s]
    heat_per_mass
        Heat of evaporation, or the fixed figure of a rule. [J/kg]

    Returns
    -------
    float
        Heat. [W]

    Examples
    --------
    >>> round(heat_of_steam(100 / 3600, 2.133e6))
    59250
    """
    return steam * heat_per_mass


def relieving_pressure(set_gauge: float, overpressure: float, ambient_abs: float) -> float:
    """Return the absolute pressure at which the valve passes its rated flow.

    Parameters
    ----------
    set_gauge
        Set pressure. [Pa gauge]
    overpressure
        Rise above the set pressure, as a share of it. [-]
    ambient_abs
        Pressure of the air. [Pa abs]

    Returns
    -------
    float
        Relieving pressure. [Pa abs]

    Examples
    --------
    >>> round(relieving_pressure(3e5, 0.1, 1.01325e5))
    431325

    References
    ----------
    ISO 4126-1 (from memory).
    """
    return set_gauge * (1.0 + overpressure) + ambient_abs


def sv_100_output(flow_area: float, discharge_coefficient: float) -> float:
    """Return the output a 3 bar valve can blow off, from its narrowest flow area.

    Parameters
    ----------
    flow_area
        Narrowest flow area. [m2]
    discharge_coefficient
        Awarded discharge coefficient for steam, alpha w. [-]

    Returns
    -------
    float
        Output. [W]

    Notes
    -----
    For valves set at 3 bar, flow temperatures to 120 degC and outputs to 2700 kW.

    Examples
    --------
    >>> round(sv_100_output(113.1e-6, 0.4) / 1e3, 1)
    57.0

    References
    ----------
    VdTUEV-Merkblatt SV 100, 3.2.
    """
    output = flow_area * discharge_coefficient * SV_100_FLUX
    if output > SV_100_GREATEST:
        raise Refusal(
            say(
                "The valve works out at {output}, and this formula holds to {limit}. "
                "Use the rated capacity on the valve's plate instead.",
                output=(output, u.POWER),
                limit=(SV_100_GREATEST, u.POWER),
            )
        )
    return output


def steam_specific_volume(pressure_abs: float) -> float:
    """Return the specific volume of saturated steam.

    Parameters
    ----------
    pressure_abs
        Pressure of the steam. [Pa abs]

    Returns
    -------
    float
        Specific volume. [m3/kg]

    Notes
    -----
    From the slope of the vapour-pressure line: ``v + h / (T * dp/dT)`` with the specific
    volume of the liquid and the heat of evaporation.

    Examples
    --------
    >>> round(steam_specific_volume(4e5), 3)
    0.462

    References
    ----------
    Clausius and Clapeyron's equation.
    """
    temperature = saturation_temperature(pressure_abs)
    half = 0.5
    slope = (vapour_pressure(temperature + half) - vapour_pressure(temperature - half)) / (2 * half)
    growth = enthalpy_of_vaporisation(temperature) / (temperature * slope)
    return specific_volume(WATER, temperature) + growth


def heat_of_evaporation_at(pressure_abs: float) -> float:
    """Return the heat that turns water into steam at a pressure.

    Parameters
    ----------
    pressure_abs
        Pressure of the steam. [Pa abs]

    Returns
    -------
    float
        Heat of evaporation. [J/kg]

    Examples
    --------
    >>> round(heat_of_evaporation_at(4e5) / 1e3)
    2133

    References
    ----------
    IAPWS Industrial Formulation 1997.
    """
    return enthalpy_of_vaporisation(saturation_temperature(pressure_abs))


def steam_discharge_function(isentropic_exponent: float) -> float:
    """Return the function C of the isentropic exponent.

    Parameters
    ----------
    isentropic_exponent
        Isentropic exponent of the steam at the valve's inlet. [-]

    Returns
    -------
    float
        C, as the standard scales it for kg/h, mm2 and bar. [-]

    Examples
    --------
    >>> round(steam_discharge_function(1.135), 3)
    2.509

    References
    ----------
    ISO 4126-1 (from memory).
    """
    k = isentropic_exponent
    return 3.948 * sqrt(k * (2.0 / (k + 1.0)) ** ((k + 1.0) / (k - 1.0)))


def steam_discharge(
    flow_area: float,
    discharge_coefficient: float,
    inlet_abs: float,
    specific_volume: float,
    isentropic_exponent: float,
) -> float:
    """Return the steam a valve passes at critical flow.

    Parameters
    ----------
    flow_area
        Flow area of the valve. [m2]
    discharge_coefficient
        Certified (derated) discharge coefficient. [-]
    inlet_abs
        Relieving pressure at the inlet. [Pa abs]
    specific_volume
        Specific volume of the steam at the inlet. [m3/kg]
    isentropic_exponent
        Isentropic exponent of the steam at the inlet. [-]

    Returns
    -------
    float
        Steam. [kg/s]

    Notes
    -----
    Holds while the pressure behind the valve is below about half the inlet pressure.
    The standard's constant 0.2883 is for kg/h, mm2, bar and m3/kg.

    Examples
    --------
    >>> round(steam_discharge(1e-6, 1.0, 4e5, 0.46238, 1.135) * 3600, 3)
    2.128

    References
    ----------
    ISO 4126-1 (from memory).
    """
    c = steam_discharge_function(isentropic_exponent)
    area_mm2 = flow_area * 1e6
    kg_per_hour = (
        0.2883 * c * area_mm2 * discharge_coefficient * sqrt(inlet_abs / BAR / specific_volume)
    )
    return kg_per_hour / 3600.0


def blow_off_limit_new_york(mawp_gauge: float) -> float:
    """Return the greatest pressure allowed while the valves blow, by the New York rule.

    Parameters
    ----------
    mawp_gauge
        Maximum allowable working pressure of the boiler. [Pa gauge]

    Returns
    -------
    float
        Greatest pressure. [Pa gauge]

    Notes
    -----
    A fifth above the working pressure where that is 30 psig or less, a tenth above it
    otherwise.

    Examples
    --------
    >>> round(blow_off_limit_new_york(30 * PSI) / PSI, 6)
    36.0

    References
    ----------
    12 NYCRR 4-5.3.
    """
    if mawp_gauge <= 30.0 * PSI * ROUNDING:
        return 1.2 * mawp_gauge
    return 1.1 * mawp_gauge


def blow_off_limit_european(mawp_gauge: float) -> float:
    """Return the greatest pressure allowed while the valve blows, by the European rule.

    Parameters
    ----------
    mawp_gauge
        Design pressure of the heat generator. [Pa gauge]

    Returns
    -------
    float
        Greatest pressure. [Pa gauge]

    Examples
    --------
    >>> round(blow_off_limit_european(3e5))
    330000

    References
    ----------
    EN 12828, 4.6 (from memory).
    """
    return 1.1 * mawp_gauge


def second_valve_limit(mawp_gauge: float) -> float:
    """Return the greatest set pressure of a boiler's further valves.

    Parameters
    ----------
    mawp_gauge
        Maximum allowable working pressure of the boiler. [Pa gauge]

    Returns
    -------
    float
        Greatest set pressure. [Pa gauge]

    Notes
    -----
    6 psi above the working pressure where that is 60 psi or less, a tenth above it
    otherwise. The first valve stays at or below the working pressure.

    Examples
    --------
    >>> round(second_valve_limit(30 * PSI) / PSI, 6), round(second_valve_limit(100 * PSI) / PSI, 6)
    (36.0, 110.0)

    References
    ----------
    COMAR 09.12.01.13; NAC 455C.232.
    """
    if mawp_gauge <= 60.0 * PSI * ROUNDING:
        return mawp_gauge + 6.0 * PSI
    return 1.1 * mawp_gauge

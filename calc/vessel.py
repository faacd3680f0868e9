"""The gas cushion of an expansion vessel: its size, its water and its pressure.

The gas is taken as isothermal, so pressure times gas volume stays the same. Every pressure
in the gas laws is absolute; a function that takes gauge pressure says so in its name.
"""

from calc import units as u
from calc.model import Refusal, say

SMALL_VESSEL = 0.015
"""Nominal volume up to which the reserve is a share of the vessel. [m3]"""

SMALL_VESSEL_SHARE = 0.2
"""Least share of a small vessel kept as water reserve. [-]"""

RESERVE_SHARE = 0.005
"""Share of the system volume kept as water reserve. [-]"""

LEAST_RESERVE = 0.003
"""Smallest water reserve of a larger vessel. [m3]"""


def vessel_volume_general(
    expansion: float, charge_abs: float, fill_abs: float, final_abs: float
) -> float:
    """Return the smallest closed vessel for any charge, fill and final pressure.

    Parameters
    ----------
    expansion
        Volume the vessel has to take between fill and highest temperature. [m3]
    charge_abs
        Gas pressure with no water in the vessel. [Pa abs]
    fill_abs
        Pressure at the vessel when the system is filled and cold. [Pa abs]
    final_abs
        Highest allowed pressure at the vessel. [Pa abs]

    Returns
    -------
    float
        Total volume of the vessel. [m3]

    Notes
    -----
    Isothermal gas. A charge equal to the fill gives the diaphragm form, a charge equal to
    the atmosphere the air-cushion form. The fill may not lie below the charge.

    Examples
    --------
    >>> round(vessel_volume_general(0.01436, 1.013e5, 2.013e5, 3.513e5) * 1000, 1)
    66.8

    References
    ----------
    Boyle's law; it contains ASHRAE eqs. 12 and 14.
    """
    _require_rising(fill_abs, final_abs)
    if charge_abs > fill_abs:
        raise Refusal(
            say(
                "The charge is above the fill pressure, so the vessel holds no water when cold. "
                "Lower the charge to the fill pressure or raise the fill."
            )
        )
    return expansion / (charge_abs / fill_abs - charge_abs / final_abs)


def water_in_vessel(volume: float, charge_abs: float, pressure_abs: float) -> float:
    """Return the water a vessel holds at a pressure.

    Parameters
    ----------
    volume
        Nominal volume of the vessel. [m3]
    charge_abs
        Gas pressure with no water in the vessel. [Pa abs]
    pressure_abs
        Pressure at the vessel. [Pa abs]

    Returns
    -------
    float
        Water in the vessel, zero at or below the charge. [m3]

    Examples
    --------
    >>> round(water_in_vessel(0.012, 2.013e5, 2.313e5) * 1000, 2)
    1.56
    >>> water_in_vessel(0.012, 2.013e5, 1.9e5)
    0.0

    References
    ----------
    Boyle's law.
    """
    if pressure_abs <= charge_abs:
        return 0.0
    return volume * (1.0 - charge_abs / pressure_abs)


def hot_pressure(volume: float, charge_abs: float, fill_abs: float, expansion: float) -> float:
    """Return the pressure at the vessel once the system's growth has gone into it.

    Parameters
    ----------
    volume
        Nominal volume of the vessel. [m3]
    charge_abs
        Gas pressure with no water in the vessel. [Pa abs]
    fill_abs
        Pressure at the vessel when the system is filled and cold. [Pa abs]
    expansion
        Volume pushed into the vessel by warming. [m3]

    Returns
    -------
    float
        Pressure at the vessel when hot. [Pa abs]

    Notes
    -----
    Isothermal gas, no valve lifting. With a fill below the charge the vessel is empty when
    cold, so the first warming lifts the pressure to the charge almost at once.

    Examples
    --------
    >>> round(hot_pressure(0.012, 2.013e5, 2.313e5, 0.002489) / 1e5 - 1.013, 3)
    2.024

    References
    ----------
    Boyle's law.
    """
    if expansion == 0.0:
        return fill_abs
    gas = volume * min(charge_abs / fill_abs, 1.0)
    if expansion >= gas:
        raise Refusal(
            say(
                "The water grows by {expansion}, but the vessel has only {gas} of gas left "
                "to press together. Fit a larger vessel or restore its charge.",
                expansion=(expansion, u.VOLUME),
                gas=(gas, u.VOLUME),
            )
        )
    return charge_abs * volume / (gas - expansion)


def largest_expansion(volume: float, charge_abs: float, fill_abs: float, final_abs: float) -> float:
    """Return the growth a vessel can take between the fill and the final pressure.

    Parameters
    ----------
    volume
        Nominal volume of the vessel. [m3]
    charge_abs
        Gas pressure with no water in the vessel. [Pa abs]
    fill_abs
        Pressure at the vessel when the system is filled and cold. [Pa abs]
    final_abs
        Highest allowed pressure at the vessel. [Pa abs]

    Returns
    -------
    float
        Volume the vessel can take. [m3]

    Notes
    -----
    The inverse of `vessel_volume_general`. A fill below the charge takes no more than a
    fill at the charge.

    Examples
    --------
    >>> round(largest_expansion(0.0668, 1.013e5, 2.013e5, 3.513e5) * 1000, 2)
    14.35
    """
    return water_in_vessel(volume, charge_abs, final_abs) - water_in_vessel(
        volume, charge_abs, fill_abs
    )


def water_reserve(system_volume: float) -> float:
    """Return the water reserve of EN 12828 for a vessel larger than 15 L.

    Parameters
    ----------
    system_volume
        Volume of the cold system. [m3]

    Returns
    -------
    float
        Reserve kept in the vessel when cold. [m3]

    Examples
    --------
    >>> water_reserve(0.2), water_reserve(1.75)
    (0.003, 0.00875)

    References
    ----------
    EN 12828:2012+A1:2014, annex D (from memory).
    """
    return max(RESERVE_SHARE * system_volume, LEAST_RESERVE)


def small_vessel_reserve(volume: float) -> float:
    """Return the water reserve of EN 12828 for a vessel of up to 15 L.

    Parameters
    ----------
    volume
        Nominal volume of the vessel. [m3]

    Returns
    -------
    float
        Reserve kept in the vessel when cold. [m3]

    Examples
    --------
    >>> round(small_vessel_reserve(0.012) * 1000, 1)
    2.4

    References
    ----------
    EN 12828:2012+A1:2014, annex D (from memory).
    """
    return SMALL_VESSEL_SHARE * volume


def final_pressure(set_gauge: float, closing: float) -> float:
    """Return the highest design pressure of a system under a relief valve.

    Parameters
    ----------
    set_gauge
        Set pressure of the relief valve. [Pa gauge]
    closing
        Pressure kept clear below it. [Pa]

    Returns
    -------
    float
        Pressure where the valve sits. [Pa gauge]

    Examples
    --------
    >>> final_pressure(3e5, 0.5e5)
    250000.0

    References
    ----------
    EN 12828:2012+A1:2014, annex D, and DIN 4807-2 (from memory).
    """
    return set_gauge - closing


def vessel_volume(expansion: float, reserve: float, charge_abs: float, final_abs: float) -> float:
    """Return the smallest nominal volume of a diaphragm vessel with a water reserve.

    Parameters
    ----------
    expansion
        Growth of the water between filling and highest temperature. [m3]
    reserve
        Water kept in the vessel when cold. [m3]
    charge_abs
        Gas pressure with no water in the vessel. [Pa abs]
    final_abs
        Highest allowed pressure at the vessel. [Pa abs]

    Returns
    -------
    float
        Nominal volume. [m3]

    Notes
    -----
    Isothermal gas. The standard adds 1 bar to gauge readings; here the pressures are absolute.

    Examples
    --------
    >>> round(vessel_volume(0.01025, 0.003, 2.0e5, 3.5e5) * 1000, 1)
    30.9

    References
    ----------
    EN 12828:2012+A1:2014, annex D (from memory).
    """
    _require_rising(charge_abs, final_abs)
    return (expansion + reserve) * final_abs / (final_abs - charge_abs)


def small_vessel_volume(expansion: float, charge_abs: float, final_abs: float) -> float:
    """Return the smallest nominal volume when a fifth of the vessel is the reserve.

    Parameters
    ----------
    expansion
        Growth of the water between filling and highest temperature. [m3]
    charge_abs
        Gas pressure with no water in the vessel. [Pa abs]
    final_abs
        Highest allowed pressure at the vessel. [Pa abs]

    Returns
    -------
    float
        Nominal volume. [m3]

    Notes
    -----
    Holds for a result of up to 15 L. The vessel volume formula with a reserve of a fifth of
    the vessel, solved for the vessel. The final pressure must be more than 1.25 times the
    charge, or the reserve alone uses up the vessel.

    Examples
    --------
    >>> round(small_vessel_volume(0.00287, 2.0e5, 3.5e5) * 1000, 2)
    12.56

    References
    ----------
    EN 12828:2012+A1:2014, annex D (from memory).
    """
    left = 1.0 - charge_abs / final_abs - SMALL_VESSEL_SHARE
    if left <= 0.0:
        raise Refusal(
            say(
                "A fifth of the vessel as reserve leaves nothing for the expansion, because the "
                "final pressure is too near the charge. Use the reserve of a larger vessel, or "
                "lower the charge."
            )
        )
    return expansion / left


def lowest_fill(volume: float, reserve: float, charge_abs: float) -> float:
    """Return the cold fill at which a vessel just holds its reserve.

    Parameters
    ----------
    volume
        Nominal volume of the vessel. [m3]
    reserve
        Water to be in the vessel when cold. [m3]
    charge_abs
        Gas pressure with no water in the vessel. [Pa abs]

    Returns
    -------
    float
        Pressure at the vessel when cold. [Pa abs]

    Examples
    --------
    >>> round(lowest_fill(0.012, 0.0024, 2.0e5) / 1e5 - 1, 2)
    1.5

    References
    ----------
    EN 12828:2012+A1:2014, annex D (from memory).
    """
    if reserve >= volume:
        raise Refusal(
            say(
                "The water reserve {reserve} fills the whole vessel of {volume}. "
                "Fit a larger vessel or keep a smaller reserve.",
                reserve=(reserve, u.VOLUME),
                volume=(volume, u.VOLUME),
            )
        )
    return volume * charge_abs / (volume - reserve)


def highest_fill(volume: float, expansion: float, charge_abs: float, final_abs: float) -> float:
    """Return the cold fill from which heating just reaches the final pressure.

    Parameters
    ----------
    volume
        Nominal volume of the vessel. [m3]
    expansion
        Growth of the water between filling and highest temperature. [m3]
    charge_abs
        Gas pressure with no water in the vessel. [Pa abs]
    final_abs
        Highest allowed pressure at the vessel. [Pa abs]

    Returns
    -------
    float
        Pressure at the vessel when cold. [Pa abs]

    Notes
    -----
    Meaningless below the charge: then no fill serves.

    Examples
    --------
    >>> round(highest_fill(0.025, 0.00574, 2.0e5, 3.5e5) / 1e5 - 1, 2)
    1.5

    References
    ----------
    EN 12828:2012+A1:2014, annex D (from memory).
    """
    return final_abs / (1.0 + expansion * final_abs / (volume * charge_abs))


def air_cushion_volume(
    expansion: float, atmosphere_abs: float, fill_abs: float, final_abs: float
) -> float:
    """Return the volume of a plain tank whose air starts at the surrounding pressure.

    Parameters
    ----------
    expansion
        Net growth between fill and highest temperature. [m3]
    atmosphere_abs
        Pressure of the surrounding air, shut in as the empty tank was filled. [Pa abs]
    fill_abs
        Pressure at the tank when cold. [Pa abs]
    final_abs
        Highest allowed pressure at the tank. [Pa abs]

    Returns
    -------
    float
        Total volume of the tank. [m3]

    Examples
    --------
    >>> round(air_cushion_volume(129.9, 14.7, 24.7, 39.7), 0)
    578.0

    References
    ----------
    ASHRAE, HVAC Systems and Equipment, hydronic heating and cooling, eq. 12 (from memory).
    """
    _require_rising(fill_abs, final_abs)
    return expansion / (atmosphere_abs / fill_abs - atmosphere_abs / final_abs)


def open_tank_volume(expansion: float) -> float:
    """Return the volume of an open tank.

    Parameters
    ----------
    expansion
        Net growth between fill and highest temperature. [m3]

    Returns
    -------
    float
        Volume of the tank, half of it to spare. [m3]

    Examples
    --------
    >>> open_tank_volume(129.9)
    259.8

    References
    ----------
    ASHRAE, HVAC Systems and Equipment, hydronic heating and cooling, eq. 13 (from memory).
    """
    return 2.0 * expansion


def diaphragm_volume(expansion: float, fill_abs: float, final_abs: float) -> float:
    """Return the volume of a diaphragm tank charged to the fill pressure.

    Parameters
    ----------
    expansion
        Net growth between fill and highest temperature. [m3]
    fill_abs
        Pressure at the tank when cold, equal to the charge. [Pa abs]
    final_abs
        Highest allowed pressure at the tank. [Pa abs]

    Returns
    -------
    float
        Total volume of the tank. [m3]

    Examples
    --------
    >>> round(diaphragm_volume(129.93, 24.7, 39.7), 1)
    343.9

    References
    ----------
    ASHRAE, HVAC Systems and Equipment, hydronic heating and cooling, eq. 14 (from memory).
    """
    _require_rising(fill_abs, final_abs)
    return expansion / (1.0 - fill_abs / final_abs)


def acceptance_fraction(charge_abs: float, final_abs: float) -> float:
    """Return the share of a vessel that is water at the final pressure.

    Parameters
    ----------
    charge_abs
        Gas pressure with no water in the vessel. [Pa abs]
    final_abs
        Highest allowed pressure at the vessel. [Pa abs]

    Returns
    -------
    float
        Share of the nominal volume. [-]

    Examples
    --------
    >>> round(acceptance_fraction(26.696, 44.696), 3)
    0.403

    References
    ----------
    ASHRAE, HVAC Systems and Equipment, hydronic heating and cooling, eq. 14 (from memory).
    """
    _require_rising(charge_abs, final_abs)
    return 1.0 - charge_abs / final_abs


def code_growth(temperature: float) -> float:
    """Return the growth of the water as the US code formula writes it.

    Parameters
    ----------
    temperature
        Average operating temperature. [K]

    Returns
    -------
    float
        Net growth per unit of cold volume. [-]

    Notes
    -----
    A straight line through the net growth of water in steel from 40 degF. It agrees within
    3 % between 180 and 220 degF, is 17 % low at 150 degF, and is zero at 113.7 degF. The caller
    refuses what lies outside.

    Examples
    --------
    >>> round(code_growth(363.7055556), 5)
    0.03335

    References
    ----------
    13 NCAC 13 .0412(d).
    """
    fahrenheit = temperature * 9.0 / 5.0 - 459.67
    return 0.00041 * fahrenheit - 0.0466


def code_vessel_volume(
    system_volume: float,
    temperature: float,
    atmosphere_abs: float,
    fill_abs: float,
    final_abs: float,
) -> float:
    """Return the volume of a plain air-cushion tank as the US code formula writes it.

    Parameters
    ----------
    system_volume
        Volume of the cold system. [m3]
    temperature
        Average operating temperature. [K]
    atmosphere_abs
        Pressure of the surrounding air. [Pa abs]
    fill_abs
        Pressure at the tank when cold. [Pa abs]
    final_abs
        Highest operating pressure at the tank. [Pa abs]

    Returns
    -------
    float
        Total volume of the tank. [m3]

    Examples
    --------
    >>> round(code_vessel_volume(100, 363.7055556, 14.7, 26.7, 44.7), 2)
    15.04

    References
    ----------
    13 NCAC 13 .0412(d); Mich. Admin. Code R 408.4272.
    """
    growth = system_volume * code_growth(temperature)
    return air_cushion_volume(growth, atmosphere_abs, fill_abs, final_abs)


def required_volume(
    volume: float, expansion: float, reserve: float, charge_abs: float, final_abs: float
) -> float:
    """Return what EN 12828 requires of a vessel of a given nominal volume.

    Parameters
    ----------
    volume
        Nominal volume of the vessel looked at. [m3]
    expansion
        Growth of the water between filling and highest temperature. [m3]
    reserve
        Reserve for a vessel larger than 15 L. [m3]
    charge_abs
        Gas pressure with no water in the vessel. [Pa abs]
    final_abs
        Highest allowed pressure at the vessel. [Pa abs]

    Returns
    -------
    float
        Volume the vessel must at least have. [m3]

    Notes
    -----
    Up to 15 L the reserve is a fifth of the vessel, above it the reserve given.

    Examples
    --------
    >>> round(required_volume(0.018, 0.00431, 0.003, 2.0e5, 3.5e5) * 1000, 2)
    17.06
    """
    if volume <= SMALL_VESSEL * (1 + 1e-9):
        reserve = small_vessel_reserve(volume)
    return vessel_volume(expansion, reserve, charge_abs, final_abs)


def gas_content(expansion: float, cold_abs: float, hot_abs: float) -> float:
    """Return pressure times volume of the gas that two readings give away.

    Parameters
    ----------
    expansion
        Volume pushed into the vessel between the two readings. [m3]
    cold_abs, hot_abs
        Pressure at the vessel before and after. [Pa abs]

    Returns
    -------
    float
        Charge times nominal volume of the vessel. [J]

    Notes
    -----
    The inverse of `hot_pressure`. It gives the charge where the volume is known, or the volume
    where the charge is known, never both.

    Examples
    --------
    >>> round(gas_content(0.002489, 2.313e5, 3.643e5) / 100, 2)
    15.77

    References
    ----------
    Boyle's law.
    """
    _require_rising(cold_abs, hot_abs)
    return expansion * cold_abs * hot_abs / (hot_abs - cold_abs)


def sealed_system_share(charge_gauge: float, set_gauge: float) -> float:
    """Return the vessel volume as a share of the system volume in the British domestic table.

    Parameters
    ----------
    charge_gauge
        Charge of the vessel, equal to the cold fill. [Pa gauge]
    set_gauge
        Set pressure of the relief valve. [Pa gauge]

    Returns
    -------
    float
        Vessel volume per unit of system volume. [-]

    Notes
    -----
    The table prints three rows for a 3 bar valve. Worked back, all three hold a growth of
    4.91 % (water at about 110 degC) and a final pressure 0.35 bar below the valve, so the table
    carries a hidden allowance and does not equal EN 12828. Gauge readings get 1 bar added.

    Examples
    --------
    >>> round(sealed_system_share(0.5e5, 3e5), 4)
    0.0834

    References
    ----------
    BS 7074-1:1989 (from memory); the formula is worked back from its table.
    """
    final_abs = set_gauge - 0.35e5 + 1e5
    return diaphragm_volume(0.0491, charge_gauge + 1e5, final_abs)


def une_pressure_coefficient(charge_abs: float, final_abs: float) -> float:
    """Return the pressure coefficient of a closed vessel in the Spanish method.

    Parameters
    ----------
    charge_abs
        Lowest operating pressure. [Pa abs]
    final_abs
        Highest operating pressure, from nine tenths of the set pressure. [Pa abs]

    Returns
    -------
    float
        Vessel volume per unit of expansion. [-]

    Examples
    --------
    >>> round(une_pressure_coefficient(2.5e5, 3.7e5), 3)
    3.083

    References
    ----------
    UNE 100155:2004.
    """
    return diaphragm_volume(1.0, charge_abs, final_abs)


def _require_rising(fill_abs: float, final_abs: float) -> None:
    if final_abs <= fill_abs:
        raise Refusal(
            say(
                "The final pressure is not above the pressure at the start, so no vessel is "
                "large enough. Lower the fill or the charge, or raise the final pressure."
            )
        )

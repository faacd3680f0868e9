"""The gas charge of an expansion vessel and the cold fill that goes with it.

Charge means the pressure of the gas while the water side is open and empty. Boyle's law
needs absolute pressures; a gauge shows the difference from the air around it. Each
function says in its parameter names which of the two it takes.
"""

from calc.model import Refusal, say
from calc.sources import PHYSICS


def vapour_excess(vapour_abs: float, ambient_abs: float) -> float:
    """Return how far the vapour pressure of the hottest water lies above the air.

    Parameters
    ----------
    vapour_abs
        Vapour pressure of the water at its highest temperature. [Pa abs]
    ambient_abs
        Pressure of the air at the site. [Pa abs]

    Returns
    -------
    float
        Vapour pressure as a gauge would show it, zero where water does not reach its
        boiling point in open air. [Pa difference]

    Examples
    --------
    >>> vapour_excess(47414.0, 93869.0)
    0.0
    >>> round(vapour_excess(143380.0, 101325.0))
    42055

    References
    ----------
    EN 12828, annex D (from memory).
    """
    return max(0.0, vapour_abs - ambient_abs)


def charge_for_height(static: float, vapour: float, margin: float) -> float:
    """Return the charge that still lifts water to the top with a margin to spare.

    Parameters
    ----------
    static
        Pressure of the column between vessel and highest point. [Pa difference]
    vapour
        Vapour pressure of the hottest water above the air. [Pa difference]
    margin
        Pressure wanted at the highest point. [Pa difference]

    Returns
    -------
    float
        Charge, and in the practice that fills to the charge also the cold fill. [Pa gauge]

    Examples
    --------
    >>> round(charge_for_height(0.785e5, 0.0, 0.2e5) / 1e5, 3)
    0.985

    References
    ----------
    EN 12828, annex D (from memory); the US rule of 4 or 5 psi is common practice.
    """
    return static + vapour + margin


def static_reached(charge_gauge: float, vapour: float, margin: float) -> float:
    """Return the column of water that a charge can carry.

    Parameters
    ----------
    charge_gauge
        Charge of the vessel. [Pa gauge]
    vapour
        Vapour pressure of the hottest water above the air. [Pa difference]
    margin
        Pressure wanted at the highest point. [Pa difference]

    Returns
    -------
    float
        Pressure of the tallest column; negative if the charge does not even cover the
        margin. [Pa difference]

    Notes
    -----
    The inverse of `charge_for_height`.

    Examples
    --------
    >>> round(static_reached(98500.0, 0.0, 20000.0))
    78500
    """
    return charge_gauge - vapour - margin


def rounded_up(pressure_gauge: float, step: float) -> float:
    """Return a pressure raised to the next whole step of a gauge.

    Parameters
    ----------
    pressure_gauge
        Pressure to round. [Pa gauge]
    step
        Step of the gauge; zero leaves the pressure alone. [Pa difference]

    Returns
    -------
    float
        Pressure at or above the one given. [Pa gauge]

    Notes
    -----
    A pressure above a step by less than a millionth of it counts as that step.

    Examples
    --------
    >>> round(rounded_up(0.985e5, 0.5e5))
    100000
    >>> rounded_up(98500.0, 0.0)
    98500.0
    """
    if step == 0.0:
        return pressure_gauge
    # Negative floor division rounds up; the nudge keeps 1.4 bar from becoming 1.5 bar.
    return -((-pressure_gauge / step + 1e-6) // 1) * step


def charge_at_temperature(charge_abs: float, set_at: float, vessel: float) -> float:
    """Return what a sealed charge becomes when the vessel has another temperature.

    Parameters
    ----------
    charge_abs
        Charge when it was set or read. [Pa abs]
    set_at
        Temperature of the gas at that time. [K]
    vessel
        Temperature of the gas now. [K]

    Returns
    -------
    float
        Charge at the temperature now. [Pa abs]

    Notes
    -----
    Ideal gas at constant volume. Gas just pumped in is warmer than the shell: wait.

    Examples
    --------
    >>> round(charge_at_temperature(2.01325e5, 293.15, 323.15) / 1e5 - 1.01325, 2)
    1.21

    References
    ----------
    Ideal gas law.
    """
    return charge_abs * vessel / set_at


def charge_moved(charge_gauge: float, ambient_then: float, ambient_now: float) -> float:
    """Return what a sealed charge reads after the vessel has been carried up or down.

    Parameters
    ----------
    charge_gauge
        Reading where the charge was set. [Pa gauge]
    ambient_then
        Pressure of the air at that place. [Pa abs]
    ambient_now
        Pressure of the air here. [Pa abs]

    Returns
    -------
    float
        Reading here, at the same temperature. [Pa gauge]

    Notes
    -----
    The gas keeps its absolute pressure; only the air against which it is read changes.

    Examples
    --------
    >>> round(charge_moved(82737.0, 101325.0, 83436.0))
    100626
    """
    return charge_gauge + ambient_then - ambient_now


def fill_above_charge(charge_gauge: float, lift: float) -> float:
    """Return a cold fill that lies a fixed step above the charge.

    Parameters
    ----------
    charge_gauge
        Charge of the vessel. [Pa gauge]
    lift
        Step from charge to fill, 0.3 bar by common practice. [Pa difference]

    Returns
    -------
    float
        Cold fill at the vessel. [Pa gauge]

    Examples
    --------
    >>> fill_above_charge(100000.0, 30000.0)
    130000.0
    """
    return charge_gauge + lift


def water_lost(volume: float, charge_abs: float, before_abs: float, after_abs: float) -> float:
    """Return the water that left a cold system, from two readings of its pressure.

    Parameters
    ----------
    volume
        Nominal volume of the vessel. [m3]
    charge_abs
        Charge of the vessel. [Pa abs]
    before_abs
        Pressure at the vessel before, not below the charge. [Pa abs]
    after_abs
        Pressure at the vessel after, not below the charge. [Pa abs]

    Returns
    -------
    float
        Water lost, negative if water came in. [m3]

    Notes
    -----
    Both readings at the same temperature. Below the charge the vessel holds no water, so a
    reading there tells nothing about how much is gone, and it is refused.

    Examples
    --------
    >>> round(water_lost(0.012, 2.013e5, 2.513e5, 2.213e5) * 1000, 2)
    1.3

    References
    ----------
    Boyle's law.
    """
    if min(before_abs, after_abs) < charge_abs:
        raise Refusal(
            say(
                "A reading below the charge cannot tell how much water left, because the "
                "vessel is already empty. Read both pressures above the charge."
            )
        )
    return volume * charge_abs * (1.0 / after_abs - 1.0 / before_abs)


def free_air(
    volume: float,
    from_abs: float,
    from_temperature: float,
    to_abs: float,
    to_temperature: float,
    air_temperature: float,
    ambient_abs: float,
) -> float:
    """Return the air, as it is drawn from the room, that raises a charge.

    Parameters
    ----------
    volume
        Space the gas fills; the whole vessel when the water side is empty. [m3]
    from_abs
        Charge at the start. [Pa abs]
    from_temperature
        Temperature of the gas at the start. [K]
    to_abs
        Charge at the end. [Pa abs]
    to_temperature
        Temperature of the gas at the end. [K]
    air_temperature
        Temperature of the air drawn in. [K]
    ambient_abs
        Pressure of the air drawn in. [Pa abs]

    Returns
    -------
    float
        Volume of free air, negative if gas has to be let out. [m3]

    Examples
    --------
    >>> round(free_air(0.080, 101325, 293.15, 251325, 293.15, 293.15, 101325) * 1000, 1)
    118.4

    References
    ----------
    Ideal gas law.
    """
    moved = to_abs / to_temperature - from_abs / from_temperature
    return volume * moved * air_temperature / ambient_abs


def pumping_time(air: float, delivery: float) -> float:
    """Return how long a compressor runs to give an amount of free air.

    Parameters
    ----------
    air
        Free air wanted. [m3]
    delivery
        Free air the compressor gives at that pressure. [m3/s]

    Returns
    -------
    float
        Running time, without the pauses a duty cycle asks for. [s]

    Examples
    --------
    >>> round(pumping_time(0.1184, 0.030 / 60) / 60, 2)
    3.95
    """
    if delivery <= 0.0:
        raise Refusal(
            say(
                "A compressor that delivers no air never finishes. "
                "Enter its free-air delivery or leave it out."
            ),
            field="delivery",
            cite=PHYSICS.at("mass balance of the air"),
        )
    return air / delivery


def pressure_above(pressure_gauge: float, static: float) -> float:
    """Return the pressure in still water higher up.

    Parameters
    ----------
    pressure_gauge
        Pressure at the lower point. [Pa gauge]
    static
        Pressure of the column between the two; negative if the point lies below. [Pa difference]

    Returns
    -------
    float
        Pressure at the upper point. [Pa gauge]

    Notes
    -----
    This is how a fill wanted at the vessel reads on a gauge at another height.

    Examples
    --------
    >>> pressure_above(150000.0, 11760.0)
    138240.0
    """
    return pressure_gauge - static


def pressure_below(pressure_gauge: float, static: float) -> float:
    """Return the pressure in still water lower down.

    Parameters
    ----------
    pressure_gauge
        Pressure at the upper point. [Pa gauge]
    static
        Pressure of the column between the two; negative if the point lies above. [Pa difference]

    Returns
    -------
    float
        Pressure at the lower point. [Pa gauge]

    Notes
    -----
    This is how a reading on the gauge becomes the pressure at the vessel.

    Examples
    --------
    >>> pressure_below(138240.0, 11760.0)
    150000.0
    """
    return pressure_gauge + static

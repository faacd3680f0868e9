"""What a running pump does to the pressure at every point of a closed loop.

The vessel's connection is the point of no pressure change: no water enters or leaves a closed
vessel because a pump starts, so the pressure there stays as it was.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from calc.hydrostatics import static_pressure


@dataclass(frozen=True, slots=True)
class LoopPart:
    """One stretch of a loop, taken in the direction of the flow.

    Parameters
    ----------
    name
        What the stretch is called.
    rise
        Height gained along the stretch, negative when it falls. [m]
    head
        Pressure added by a pump in the stretch. [Pa]
    friction
        Pressure lost to friction along the stretch. [Pa]
    """

    name: str
    rise: float
    head: float
    friction: float


def dynamic_pressure(pump_head: float, friction: float) -> float:
    """Return what the flow adds to the pressure between the vessel and a point.

    Parameters
    ----------
    pump_head
        Pump heads met going with the flow from the vessel to the point. [Pa]
    friction
        Friction met on the same way. [Pa]

    Returns
    -------
    float
        Pressure difference, negative where friction outweighs the head. [Pa]

    Notes
    -----
    Velocity pressure is left out: it is some 2 kPa at 2 m/s.

    Examples
    --------
    >>> dynamic_pressure(40e3, 10e3)
    30000.0

    References
    ----------
    Bernoulli's equation with losses.
    """
    return pump_head - friction


def pressure_along_flow(
    vessel_gauge: float, density: float, rise: float, pump_head: float, friction: float
) -> float:
    """Return the pressure at a point reached from the vessel by going with the flow.

    Parameters
    ----------
    vessel_gauge
        Pressure at the vessel's connection. [Pa gauge]
    density
        Density of the fluid. [kg/m3]
    rise
        Height of the point above the vessel's connection. [m]
    pump_head
        Pump heads met on the way. [Pa]
    friction
        Friction met on the way. [Pa]

    Returns
    -------
    float
        Pressure at the point. [Pa gauge]

    Examples
    --------
    >>> round(pressure_along_flow(150e3, 1000.0, 6.0, 40e3, 20e3))
    111160

    References
    ----------
    Bernoulli's equation with losses; point of no pressure change at the vessel.
    """
    return vessel_gauge - static_pressure(density, rise) + dynamic_pressure(pump_head, friction)


def pressures_round_loop(
    vessel_gauge: float, density: float, parts: Iterable[LoopPart]
) -> tuple[float, ...]:
    """Return the pressure at the end of each stretch, starting from the vessel.

    Parameters
    ----------
    vessel_gauge
        Pressure at the vessel's connection. [Pa gauge]
    density
        Density of the fluid. [kg/m3]
    parts
        The stretches in the order the water meets them.

    Returns
    -------
    tuple of float
        One pressure for each stretch. [Pa gauge]

    Notes
    -----
    When the stretches close the loop, the last pressure is the vessel's own again.

    Examples
    --------
    >>> loop = (LoopPart("pump", 0.0, 4e4, 0.0), LoopPart("the rest", 0.0, 0.0, 4e4))
    >>> pressures_round_loop(150e3, 1000.0, loop)
    (190000.0, 150000.0)

    References
    ----------
    Bernoulli's equation with losses.
    """
    pressures = []
    pressure = vessel_gauge
    for part in parts:
        pressure = pressure_along_flow(pressure, density, part.rise, part.head, part.friction)
        pressures.append(pressure)
    return tuple(pressures)


def suction_pressure(static_gauge: float, pump_head: float, vessel_share: float) -> float:
    """Return the pressure at the pump's suction.

    Parameters
    ----------
    static_gauge
        Pressure at the pump while it stands still. [Pa gauge]
    pump_head
        Head of the running pump. [Pa]
    vessel_share
        Share of the loop's friction between the pump's discharge and the vessel:
        1 with the vessel at the suction, 0 with the vessel at the discharge.

    Returns
    -------
    float
        Pressure at the suction while the pump runs. [Pa gauge]

    Examples
    --------
    >>> suction_pressure(200e3, 60e3, 0.0)
    140000.0

    References
    ----------
    Point of no pressure change: what the pump adds up to the vessel is lost on the way there.
    """
    return static_gauge - pump_head * (1.0 - vessel_share)


def discharge_pressure(static_gauge: float, pump_head: float, vessel_share: float) -> float:
    """Return the pressure at the pump's discharge.

    Parameters
    ----------
    static_gauge
        Pressure at the pump while it stands still. [Pa gauge]
    pump_head
        Head of the running pump. [Pa]
    vessel_share
        Share of the loop's friction between the pump's discharge and the vessel:
        1 with the vessel at the suction, 0 with the vessel at the discharge.

    Returns
    -------
    float
        Pressure at the discharge while the pump runs. [Pa gauge]

    Examples
    --------
    >>> discharge_pressure(200e3, 60e3, 1.0)
    260000.0

    References
    ----------
    Point of no pressure change: the suction's pressure with the pump's head on top.
    """
    return suction_pressure(static_gauge, pump_head, vessel_share) + pump_head

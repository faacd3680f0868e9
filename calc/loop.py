"""A closed loop as stations in the order the water meets them, from the vessel round to it again.

Heads and frictions are summed going with the flow. Pressures follow from where the vessel joins:
there, and only there, the pump changes nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from calc.hydrostatics import height_of_pressure

VESSEL, PIPE, SUCTION, DISCHARGE = "vessel", "pipe", "suction", "discharge"


@dataclass(frozen=True, slots=True)
class Stretch:
    """What the water meets on the way to a point, and where the point lies.

    Parameters
    ----------
    name
        What the point is called.
    height
        Height of the point above the listed joint of the vessel. [m]
    friction
        Pressure lost on the way to the point, or to the pump's suction. [Pa]
    head
        Pressure added by a pump at the point; 0 where there is none. [Pa]
    """

    name: str
    height: float
    friction: float
    head: float = 0.0


@dataclass(frozen=True, slots=True)
class Station:
    """A place of the loop with the heads and frictions met from the start of the list. [m, Pa]"""

    name: str
    place: int
    role: str
    height: float
    heads: float
    frictions: float


def stations(stretches: Iterable[Stretch], factor: float = 1.0) -> tuple[Station, ...]:
    """Return the places of a loop, the listed joint of the vessel first.

    Parameters
    ----------
    stretches
        What the water meets, in that order, back to the vessel.
    factor
        Factor on every friction. [-]

    Returns
    -------
    tuple of Station
        One for each stretch; a pump gives two, its suction and its discharge.

    Examples
    --------
    >>> [s.role for s in stations([Stretch("pump", 0.0, 0.0, 4e4), Stretch("back", 0.0, 4e4)])]
    ['vessel', 'suction', 'discharge', 'pipe']
    """
    heads = frictions = 0.0
    found = [Station("vessel", 0, VESSEL, 0.0, 0.0, 0.0)]
    for place, one in enumerate(stretches, start=1):
        frictions += one.friction * factor
        if one.head:
            found.append(Station(one.name, place, SUCTION, one.height, heads, frictions))
            heads += one.head
        role = DISCHARGE if one.head else PIPE
        found.append(Station(one.name, place, role, one.height, heads, frictions))
    return tuple(found)


def way_from(joint: Station, there: Station, last: Station) -> tuple[float, float]:
    """Return the heads and frictions met going with the flow from the joint to a station.

    Parameters
    ----------
    joint
        Where the vessel joins.
    there
        The station to go to.
    last
        The end of the list, where the loop has closed.

    Returns
    -------
    tuple of float
        Heads and frictions. [Pa]

    Examples
    --------
    >>> loop = stations([Stretch("pump", 0.0, 1e4, 4e4), Stretch("back", 0.0, 3e4)])
    >>> way_from(loop[2], loop[1], loop[-1])
    (0.0, 40000.0)
    """
    heads, frictions = there.heads - joint.heads, there.frictions - joint.frictions
    if (there.heads, there.frictions) < (joint.heads, joint.frictions):
        heads, frictions = heads + last.heads, frictions + last.frictions
    return heads, frictions


def misfit(heads: float, frictions: float) -> float:
    """Return by how much the heads of a loop exceed its frictions.

    Parameters
    ----------
    heads
        Pump heads, all round. [Pa]
    frictions
        Frictions, all round. [Pa]

    Returns
    -------
    float
        Pressure difference; 0 in a loop that closes. [Pa]

    Examples
    --------
    >>> misfit(40e3, 38e3)
    2000.0
    """
    return heads - frictions


def closing_factor(heads: float, frictions: float) -> float:
    """Return the factor on every friction that closes a loop.

    Parameters
    ----------
    heads
        Pump heads, all round. [Pa]
    frictions
        Frictions, all round, more than nothing. [Pa]

    Returns
    -------
    float
        Factor. [-]

    Examples
    --------
    >>> closing_factor(40e3, 32e3)
    1.25
    """
    return heads / frictions


def suction_head(suction_abs: float, vapour_abs: float, density: float) -> float:
    """Return the net positive suction head a pump has.

    Parameters
    ----------
    suction_abs
        Pressure at the suction. [Pa abs]
    vapour_abs
        Pressure at which the water boils. [Pa abs]
    density
        Density of the water. [kg/m3]

    Returns
    -------
    float
        Height of liquid, negative where it boils. [m]

    Notes
    -----
    The velocity head is left out, which is on the safe side: 0.2 m at 2 m/s.

    Examples
    --------
    >>> round(suction_head(1.51325e5, 0.474e5, 971.8), 1)
    10.9

    References
    ----------
    Definition of net positive suction head.
    """
    return height_of_pressure(suction_abs - vapour_abs, density)


def lowest(pressures: Sequence[float]) -> int:
    """Return the place of the lowest pressure, the first of equals.

    Examples
    --------
    >>> lowest((3.0, 1.0, 1.0))
    1
    """
    return min(range(len(pressures)), key=lambda n: pressures[n])

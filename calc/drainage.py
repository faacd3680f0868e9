"""Draining through a hose: time and flow, what stops it, what it can do.

The vessel or section is an upright one of even section with its outlet at the bottom. The flow
is taken as steady at every moment, the hose as full, the gas as isothermal.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, sqrt

from calc import units as u
from calc.fluids import enthalpy_of_vaporisation, saturation_temperature, specific_enthalpy
from calc.friction import bore_area, hose_velocity
from calc.hydrostatics import STANDARD_GRAVITY, static_pressure
from calc.model import Refusal, say

TRICKLE_HEAD = 0.002
"""Driving head at which the run is taken as over: surface tension holds as much. [m]"""

_PANELS = 16
_NODES = ((-sqrt(0.6), 5.0 / 9.0), (0.0, 8.0 / 9.0), (sqrt(0.6), 5.0 / 9.0))
"""Gauss-Legendre nodes and weights of three points on [-1, 1]."""


@dataclass(frozen=True, slots=True)
class Hose:
    """The hose with everything the water passes in it.

    Attributes
    ----------
    bore
        Inside diameter. [m]
    length
        Length. [m]
    roughness
        Height of the roughness of the wall. [m]
    fittings
        Sum of the loss coefficients of entry and fittings, without the jet at the end. [-]
    """

    bore: float
    length: float
    roughness: float
    fittings: float


@dataclass(frozen=True, slots=True)
class Content:
    """The water to come out and what stands behind it.

    Attributes
    ----------
    volume
        Water to drain. [m3]
    section
        Area of its surface, the same at every level. [m2]
    fall
        From the outlet down to the hose end, negative if the end is higher. [m]
    density
        Density of the water. [kg/m3]
    viscosity
        Dynamic viscosity of the water. [Pa s]
    ambient_abs
        Pressure of the air at the hose end. [Pa abs]
    gas_abs
        Gas pressure on the water at the start. [Pa abs]
    gas_volume
        Volume of a sealed gas cushion at the start; infinite if vented or fed. [m3]
    """

    volume: float
    section: float
    fall: float
    density: float
    viscosity: float
    ambient_abs: float
    gas_abs: float
    gas_volume: float = inf


@dataclass(frozen=True, slots=True)
class Moment:
    """A moment of a run.

    Attributes
    ----------
    time
        Since the start. [s]
    drained
        Water that has come out. [m3]
    flow
        Flow at that moment. [m3/s]
    """

    time: float
    drained: float
    flow: float


def gas_pressure(content: Content, drained: float) -> float:
    """Return the gas pressure on the water after some has come out.

    Parameters
    ----------
    content
        Water and gas at the start.
    drained
        Water that has come out. [m3]

    Returns
    -------
    float
        Gas pressure. [Pa abs]

    References
    ----------
    Boyle's law.
    """
    if content.gas_volume == inf or drained == 0.0:
        return content.gas_abs
    return content.gas_abs * content.gas_volume / (content.gas_volume + drained)


def driving_pressure(content: Content, drained: float) -> float:
    """Return the pressure that drives the water through the hose.

    Parameters
    ----------
    content
        Water and gas at the start.
    drained
        Water that has come out. [m3]

    Returns
    -------
    float
        Pressure difference, negative if the air outside pushes back. [Pa]

    References
    ----------
    Energy equation; Boyle's law.
    """
    head = (content.volume - drained) / content.section + content.fall
    column = static_pressure(content.density, head)
    return gas_pressure(content, drained) - content.ambient_abs + column


def _drained_at(content: Content, driving: float) -> float:
    """Return how much has come out when the driving pressure has fallen to `driving`. [m3]"""
    rise = content.density * STANDARD_GRAVITY / content.section
    without_gas = driving_pressure(content, 0.0) - content.gas_abs
    if content.gas_volume == inf:
        return (without_gas + content.gas_abs - driving) / rise
    # p V / (V + x) + s - rise x = driving, a quadratic in the gas volume y = V + x.
    spare = without_gas + rise * content.gas_volume - driving
    root = sqrt(spare**2 + 4.0 * rise * content.gas_abs * content.gas_volume)
    if spare >= 0.0:
        grown = (spare + root) / (2.0 * rise)
    else:
        grown = 2.0 * content.gas_abs * content.gas_volume / (root - spare)
    return grown - content.gas_volume


def stall_volume(content: Content) -> float:
    """Return how much comes out before nothing drives the rest.

    Parameters
    ----------
    content
        Water and gas at the start.

    Returns
    -------
    float
        Water that comes out, at most all of it. [m3]

    References
    ----------
    Energy equation; Boyle's law.
    """
    if driving_pressure(content, 0.0) <= 0.0:
        return 0.0
    if driving_pressure(content, content.volume) >= 0.0:
        return content.volume
    return min(_drained_at(content, 0.0), content.volume)


def drain_curve(content: Content, hose: Hose) -> tuple[Moment, ...]:
    """Return the run of a drain, from the first moment to the last that counts.

    Parameters
    ----------
    content
        Water and gas at the start.
    hose
        Hose and fittings.

    Returns
    -------
    tuple of Moment
        Seventeen moments.

    Notes
    -----
    Integrated over the square root of the driving pressure, in which the flow is nearly a
    straight line even where it dies away, with Gauss-Legendre nodes. The run ends when all is
    out, or when the driving head has fallen to 2 mm of water: the last drops of a level hose
    would take for ever.
    """
    trickle = static_pressure(content.density, TRICKLE_HEAD)
    first = driving_pressure(content, 0.0)
    if first <= trickle:
        raise Refusal(
            "Nothing drives the water out from the start. Lower the hose end below the water, "
            "open a vent, or push with air."
        )
    last = max(driving_pressure(content, content.volume), trickle)
    area = bore_area(hose.bore)
    rise = content.density * STANDARD_GRAVITY / content.section
    guess = 0.0

    def flow_and_drained(root: float) -> tuple[float, float]:
        nonlocal guess
        driving = root * root
        guess = hose_velocity(
            driving,
            content.density,
            content.viscosity,
            hose.bore,
            hose.length,
            hose.roughness,
            hose.fittings,
            guess,
        )
        return area * guess, _drained_at(content, driving)

    def slope(drained: float) -> float:
        """Return how fast the driving pressure falls with what comes out. [Pa/m3]"""
        if content.gas_volume == inf:
            return rise
        return rise + gas_pressure(content, drained) / (content.gas_volume + drained)

    start, end = sqrt(first), sqrt(last)
    half = 0.5 * (start - end) / _PANELS
    time = 0.0
    moments = [Moment(0.0, 0.0, flow_and_drained(start)[0])]
    for panel in range(_PANELS):
        middle = start - (2 * panel + 1) * half
        for node, weight in _NODES:
            root = middle - node * half
            flow, drained = flow_and_drained(root)
            time += weight * half * 2.0 * root / (slope(drained) * flow)
        flow, drained = flow_and_drained(middle - half)
        moments.append(Moment(time, min(drained, content.volume), flow))
    return tuple(moments)


def drain_time(
    volume: float,
    section: float,
    fall: float,
    bore: float,
    length: float,
    roughness: float,
    fittings: float,
    density: float,
    viscosity: float,
    push: float = 0.0,
) -> float:
    """Return the time to drain through a hose, vented or under a steady push.

    Parameters
    ----------
    volume
        Water to drain. [m3]
    section
        Area of its surface. [m2]
    fall
        From the outlet down to the hose end, negative if the end is higher. [m]
    bore
        Inside diameter of the hose. [m]
    length
        Length of the hose. [m]
    roughness
        Roughness of the hose wall. [m]
    fittings
        Sum of the loss coefficients of entry and fittings. [-]
    density
        Density of the water. [kg/m3]
    viscosity
        Dynamic viscosity of the water. [Pa s]
    push
        Steady gas pressure on the water. [Pa gauge]

    Returns
    -------
    float
        Time until all is out, or until 2 mm of driving head are left. [s]

    Examples
    --------
    >>> round(drain_time(0.08, 0.159, 0.5, 0.013, 6.0, 1.5e-6, 4.5, 998.2, 1.0016e-3))
    704

    References
    ----------
    Energy equation; friction factor of Churchill.
    """
    content = Content(volume, section, fall, density, viscosity, 0.0, push)
    return drain_curve(content, Hose(bore, length, roughness, fittings))[-1].time


def sealed_drain_time(
    volume: float,
    section: float,
    fall: float,
    bore: float,
    length: float,
    roughness: float,
    fittings: float,
    density: float,
    viscosity: float,
    gas_volume: float,
    gas_abs: float,
    ambient_abs: float,
) -> float:
    """Return the time to drain through a hose while a sealed gas cushion grows.

    Parameters
    ----------
    volume
        Water to drain. [m3]
    section
        Area of its surface. [m2]
    fall
        From the outlet down to the hose end, negative if the end is higher. [m]
    bore
        Inside diameter of the hose. [m]
    length
        Length of the hose. [m]
    roughness
        Roughness of the hose wall. [m]
    fittings
        Sum of the loss coefficients of entry and fittings. [-]
    density
        Density of the water. [kg/m3]
    viscosity
        Dynamic viscosity of the water. [Pa s]
    gas_volume
        Gas at the start. [m3]
    gas_abs
        Its pressure at the start. [Pa abs]
    ambient_abs
        Pressure of the air. [Pa abs]

    Returns
    -------
    float
        Time until all is out, or until 2 mm of driving head are left. [s]

    Examples
    --------
    >>> round(sealed_drain_time(0.08, 0.159, 0.5, 0.013, 6.0, 1.5e-6, 4.5, 998.2, 1.0016e-3,
    ...                         0.12, 2.5e5, 1.01325e5))
    176

    References
    ----------
    Energy equation; Boyle's law; friction factor of Churchill.
    """
    content = Content(volume, section, fall, density, viscosity, ambient_abs, gas_abs, gas_volume)
    return drain_curve(content, Hose(bore, length, roughness, fittings))[-1].time


def constant_friction_drain_time(
    section: float,
    level: float,
    fall: float,
    bore: float,
    length: float,
    friction: float,
    fittings: float,
) -> float:
    """Return the time to drain a vented upright vessel if the friction factor stays the same.

    Parameters
    ----------
    section
        Area of the water's surface. [m2]
    level
        Level above the outlet at the start. [m]
    fall
        From the outlet down to the hose end, 0 or more. [m]
    bore
        Inside diameter of the hose. [m]
    length
        Length of the hose. [m]
    friction
        Darcy friction factor. [-]
    fittings
        Sum of the loss coefficients of entry and fittings. [-]

    Returns
    -------
    float
        Time. [s]

    Examples
    --------
    >>> round(constant_friction_drain_time(0.1590431, 0.5030083, 0.5, 0.013, 6.0, 0.03, 4.5), 1)
    700.7

    References
    ----------
    Energy equation, integrated over the level.
    """
    losses = 1.0 + fittings + friction * length / bore
    return (
        2.0
        * section
        / bore_area(bore)
        * sqrt(losses / (2.0 * STANDARD_GRAVITY))
        * (sqrt(level + fall) - sqrt(fall))
    )


def orifice_drain_time(section: float, level: float, bore: float, discharge: float) -> float:
    """Return the time to drain a vented upright vessel through a hole in its bottom.

    Parameters
    ----------
    section
        Area of the water's surface. [m2]
    level
        Level above the hole at the start. [m]
    bore
        Diameter of the hole. [m]
    discharge
        Discharge coefficient, 1 for an ideal hole, about 0.6 for a sharp one. [-]

    Returns
    -------
    float
        Time. [s]

    Examples
    --------
    >>> round(orifice_drain_time(0.1590431, 0.5030083, 0.013, 1.0) / 60, 2)
    6.4

    References
    ----------
    Torricelli's law, integrated over the level.
    """
    return section / (discharge * bore_area(bore)) * sqrt(2.0 * level / STANDARD_GRAVITY)


def unvented_volume(
    gas_volume: float, gas_abs: float, ambient_abs: float, density: float, head: float
) -> float:
    """Return how much leaves a closed vessel before the outside air holds the rest back.

    Parameters
    ----------
    gas_volume
        Gas above the water at the start. [m3]
    gas_abs
        Its pressure at the start. [Pa abs]
    ambient_abs
        Pressure of the air. [Pa abs]
    density
        Density of the water. [kg/m3]
    head
        From the hose end up to the water's surface, taken as constant. [m]

    Returns
    -------
    float
        Water that comes out. [m3]

    Notes
    -----
    The column must be lower than the air can hold, about 10 m. No air bubbles back up the
    hose; in a bore above some 25 mm it may.

    Examples
    --------
    >>> round(unvented_volume(0.005, 101325.0, 101325.0, 998.2, 1.0) * 1000, 3)
    0.535

    References
    ----------
    Boyle's law and the column of still liquid.
    """
    held = ambient_abs - static_pressure(density, head)
    if held <= 0.0:
        raise Refusal(
            say(
                "A column of {head} is more than the air can hold up, so a closed vessel does not "
                "stall. Use the vented case.",
                head=(head, u.LENGTH),
            )
        )
    return gas_volume * (gas_abs / held - 1.0)


def free_air(volume: float, pressure_abs: float, ambient_abs: float) -> float:
    """Return the free air that fills a volume at a pressure.

    Parameters
    ----------
    volume
        Volume the air takes up in the vessel. [m3]
    pressure_abs
        Its pressure there. [Pa abs]
    ambient_abs
        Pressure of the free air. [Pa abs]

    Returns
    -------
    float
        Volume of free air at the same temperature. [m3]

    Examples
    --------
    >>> round(free_air(0.08, 151325.0, 101325.0) * 1000, 1)
    119.5

    References
    ----------
    Boyle's law.
    """
    return volume * pressure_abs / ambient_abs


def flash_fraction(temperature: float, ambient_abs: float) -> float:
    """Return the share of hot water that turns to steam when it is opened to the air.

    Parameters
    ----------
    temperature
        Temperature of the water. [K]
    ambient_abs
        Pressure of the air. [Pa abs]

    Returns
    -------
    float
        Mass of steam per mass of water, 0 below the boiling point. [-]

    Notes
    -----
    No heat is lost meanwhile.

    Examples
    --------
    >>> round(flash_fraction(393.15, 101325.0), 4)
    0.0376
    >>> flash_fraction(353.15, 101325.0)
    0.0

    References
    ----------
    Heat balance with IAPWS Industrial Formulation 1997.
    """
    boiling = saturation_temperature(ambient_abs)
    if temperature <= boiling:
        return 0.0
    spare = specific_enthalpy(temperature) - specific_enthalpy(boiling)
    return spare / enthalpy_of_vaporisation(boiling)


def filled_mass(empty: float, density: float, water: float) -> float:
    """Return the mass of a vessel with water in it.

    Parameters
    ----------
    empty
        Mass of the empty vessel. [kg]
    density
        Density of the water. [kg/m3]
    water
        Water in the vessel; the whole shell if it may be waterlogged. [m3]

    Returns
    -------
    float
        Mass. [kg]

    Examples
    --------
    >>> round(filled_mass(15.0, 998.2, 0.08), 1)
    94.9
    """
    return empty + density * water


def largest_recoil(pressure: float, area: float) -> float:
    """Return the most a hose end can push back.

    Parameters
    ----------
    pressure
        Pressure that drives the jet, all of it turned into velocity. [Pa]
    area
        Area of the bore at the hose end. [m2]

    Returns
    -------
    float
        Force. [N]

    Notes
    -----
    Water slowed by the hose pushes less. When air breaks through, it comes near this.

    Examples
    --------
    >>> round(largest_recoil(0.5e5, 132.7e-6))
    13

    References
    ----------
    Momentum of a free jet.
    """
    return 2.0 * pressure * area

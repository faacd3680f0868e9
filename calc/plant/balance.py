"""The pressure of a boiler room: the water there is against the room there is for it.

At each moment the pressure is the one root of a balance of mass. Room grows with pressure and
what flows in falls with it, so the balance only rises and the root is closed in from two sides.
The flows of a step are taken at the pressure of its end, which stays steady for any step.
"""

from __future__ import annotations

from collections.abc import Callable
from math import sqrt

from calc.atmosphere import SEA_LEVEL_PRESSURE
from calc.expansion import pipe_expansion
from calc.fluids import density, vapour_pressure
from calc.fluids.compressed import HIGHEST_PRESSURE, compressibility
from calc.model import Refusal
from calc.plant.state import State, gain_at, still_way

_LAMINAR = 100.0
"""Below this difference the flow through an opening is laminar. [Pa]"""

_CLOSE = 1e-6
"""How near the two sides of a pressure are closed in. [Pa]"""

_ENOUGH = 1e-8
"""A balance of mass is met when it is out by less than this. [kg]"""

_TRIES = 200
_BURST = HIGHEST_PRESSURE / 10.0
_FREEZING = 273.15
_TYPICAL = 3e5


def through(capacity: float, difference: float) -> float:
    """Return the flow through an opening, with the sign of the pressure difference.

    Parameters
    ----------
    capacity
        Flow for each root of pressure. [kg/(s Pa^0.5)]
    difference
        Pressure difference. [Pa]

    Returns
    -------
    float
        Flow. [kg/s]

    Notes
    -----
    The root law of an orifice, which becomes laminar below about 100 Pa: the slope of a bare root
    has no end at zero.

    Examples
    --------
    >>> round(through(1e-3, 1e5), 4), round(through(1e-3, -1e5), 4), through(1e-3, 0.0)
    (0.3162, -0.3162, 0.0)
    """
    return capacity * difference / sqrt(sqrt(difference * difference + _LAMINAR * _LAMINAR))


def orifice_capacity(area: float, discharge: float, water_density: float) -> float:
    """Return the flow of a hole for each root of pressure. [kg/(s Pa^0.5)]

    Examples
    --------
    >>> round(orifice_capacity(1e-6, 0.6, 1000.0) * sqrt(2e5) * 3600, 1)
    43.2

    References
    ----------
    Torricelli's law with a discharge coefficient.
    """
    return area * discharge * sqrt(2.0 * water_density)


class Balance:
    """The water of one moment and the room for it, with everything that can flow.

    It holds what stays the same while the pressure is sought: densities, heights, openings.
    """

    def __init__(self, state: State) -> None:
        plant = state.plant
        pipes, vessel = plant.pipes, plant.vessel
        self.state = state
        self.ambient = plant.ambient_abs
        self.rho = density(pipes.fluid, state.water)
        self.shell_rho = density(pipes.fluid, state.shell)
        # Water's compressibility stands for glycol too; it counts only where no gas cushions.
        yielding = max(state.water, _FREEZING + 0.01)
        self.soft = compressibility(yielding, _TYPICAL) + pipes.give
        growth = pipe_expansion(pipes.linear_expansion, state.metal - pipes.cold)
        self.room = pipes.volume * (1.0 + growth)
        self.open = vessel.open
        self.vessel_volume = vessel.volume
        self.gas_room = state.gas * state.shell
        self.air_room = state.air * state.water
        self.vapour = vapour_pressure(max(state.water, _FREEZING))
        self.still = still_way(plant)
        self.top = gain_at(plant, pipes.top, self.rho)
        self.relief = gain_at(plant, plant.relief.place, self.rho) - self.ambient
        self.fill = gain_at(plant, plant.fill.place, self.rho) - self.ambient
        self.coil = gain_at(plant, plant.coil.place, self.rho) - self.ambient
        self.holes = tuple(
            (
                gain_at(plant, leak.place, self.rho) - self.ambient,
                orifice_capacity(leak.area, leak.discharge, self.rho),
                leak.weep,
            )
            for leak in plant.leaks
        )
        coil = plant.coil
        # With the supply shut and no tap open the cylinder is a dead end: nothing flows.
        self.potable = coil.supply_gauge if coil.supply_open else 0.0
        self.coil_flows = coil.capacity > 0.0 and (coil.supply_open or coil.tap_open)

    def in_vessel(self, pressure: float) -> float:
        """Return the water the vessel holds at a pressure. [kg]"""
        if not self.open:
            return self.state.vessel_water
        gas = self.gas_room / pressure
        return self.shell_rho * (self.vessel_volume - gas) if gas < self.vessel_volume else 0.0

    def in_loop(self, pressure: float) -> float:
        """Return the water the loop holds at a pressure. [kg]"""
        held = self.rho * self.room * (1.0 + self.soft * (pressure - SEA_LEVEL_PRESSURE))
        if self.air_room > 0.0:
            held -= self.rho * self.air_room / (pressure + self.top - self.vapour)
        return held

    def fill_flow(self, pressure: float) -> float:
        """Return what the make-up lets in by itself. [kg/s]"""
        fill = self.state.plant.fill
        there = pressure + self.fill
        drive = fill.behind_gauge - there
        if not fill.isolator_open or drive <= 0.0:
            return 0.0
        opening = min(max((fill.setting_gauge - there) / fill.droop, 0.0), 1.0)
        return through(fill.capacity * opening + fill.passing, drive)

    def hand_flow(self, pressure: float) -> float:
        """Return what the valve worked by hand lets in. [kg/s]"""
        fill = self.state.plant.fill
        drive = fill.behind_gauge - pressure - self.fill
        return through(fill.capacity, drive) if fill.hand_open and drive > 0.0 else 0.0

    def coil_flow(self, pressure: float) -> float:
        """Return what comes in through the cylinder's coil, minus if it goes out. [kg/s]"""
        if not self.coil_flows:
            return 0.0
        return through(self.state.plant.coil.capacity, self.potable - pressure - self.coil)

    def leak_flow(self, pressure: float) -> float:
        """Return what the leaks let out. [kg/s]"""
        lost = 0.0
        for gain, capacity, weep in self.holes:
            drive = pressure + gain
            if drive > 0.0:
                lost += through(capacity, drive) + weep * drive
        return lost

    def relief_flow(self, pressure: float, blowing: bool) -> float:
        """Return what leaves by the relief valve. [kg/s]"""
        valve = self.state.plant.relief
        drive = pressure + self.relief
        if drive <= 0.0:
            return 0.0
        return valve.weep * drive + (through(valve.capacity, drive) if blowing else 0.0)

    def inflow(self, pressure: float, blowing: bool) -> float:
        """Return all that comes in less all that goes out. [kg/s]"""
        return (
            self.fill_flow(pressure)
            + self.hand_flow(pressure)
            + self.coil_flow(pressure)
            - self.leak_flow(pressure)
            - self.relief_flow(pressure, blowing)
        )

    def excess(self, pressure: float, time: float, blowing: bool) -> float:
        """Return by how much the room at a pressure exceeds the water there then is. [kg]"""
        held = self.in_loop(pressure) + self.in_vessel(pressure)
        return held - self.state.mass - time * self.inflow(pressure, blowing)

    def pressure(self, time: float = 0.0, blowing: bool = False) -> float:
        """Return the pressure at the end of a time. [Pa abs]"""
        return root(
            lambda p: self.excess(p, time, blowing),
            self.state.pressure_abs,
            self.vapour - self.top,
        )


def root(rising: Callable[[float], float], near: float, least: float) -> float:
    """Return where a rising function of pressure passes zero.

    Parameters
    ----------
    rising
        Function of the pressure.
    near
        Where to look first. [Pa abs]
    least
        Nothing is sought at or below it. [Pa abs]

    Returns
    -------
    float
        Pressure; the lower end where the function is above zero from there on. [Pa abs]

    Examples
    --------
    >>> round(root(lambda p: p - 2.5e5, 1e5, 1e3))
    250000
    """
    floor = max(least, 0.0) + 1e-3
    low = high = max(near, floor)
    at_low = at_high = rising(low)
    reach = 50.0
    while at_high < 0.0:
        low, at_low = high, at_high
        high += reach
        reach *= 4.0
        if high > _BURST:
            raise Refusal(
                "The pressure would pass 100 bar, and something bursts long before. "
                "Let water out, or let the vessel take it."
            )
        at_high = rising(high)
    while at_low > 0.0:
        high, at_high = low, at_low
        if low <= floor:
            return floor
        low = max(low - reach, floor)
        reach *= 4.0
        at_low = rising(low)
    side = 0
    for turn in range(_TRIES):
        if high - low < _CLOSE or at_high == at_low:
            break
        # False position with halving; every fourth turn halves the bracket itself.
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        halved = turn % 4 == 3 or not low < middle < high
        if halved:
            middle = 0.5 * (low + high)
        value = rising(middle)
        if abs(value) <= _ENOUGH:
            return middle
        if value < 0.0:
            at_high = at_high * 0.5 if side < 0 and not halved else at_high
            low, at_low, side = middle, value, -1
        else:
            at_low = at_low * 0.5 if side > 0 and not halved else at_low
            high, at_high, side = middle, value, 1
    return 0.5 * (low + high)

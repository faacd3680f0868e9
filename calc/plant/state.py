"""What changes with time in a simulated boiler room, and the book kept of every kilogram."""

from __future__ import annotations

from dataclasses import dataclass, fields

from calc.fluids import density
from calc.hydrostatics import static_pressure
from calc.model import Refusal
from calc.plant.parts import Gauge, Place, Plant

UNSURE_WAY = 0.5
"""Place in the loop where the pump changes nothing while no vessel is joined.

With the give spread evenly over the loop, what is pressed together before the pump's inlet is
drawn apart behind it. [-]
"""


@dataclass(frozen=True, slots=True)
class Ledger:
    """Water in and out since the start, by where it went. [kg]"""

    start: float
    fill: float = 0.0
    by_hand: float = 0.0
    coil_in: float = 0.0
    coil_out: float = 0.0
    leaks: float = 0.0
    relief: float = 0.0
    drained: float = 0.0
    let_out: float = 0.0

    @property
    def balance(self) -> float:
        """What should be in the system now. [kg]"""
        came = self.start + self.fill + self.by_hand + self.coil_in
        return came - self.coil_out - self.leaks - self.relief - self.drained - self.let_out

    def turnover(self) -> float:
        """Return all water that has passed in or out. [kg]"""
        return sum(getattr(self, f.name) for f in fields(self) if f.name != "start")


@dataclass(frozen=True, slots=True)
class State:
    """A boiler room at one moment.

    Parameters
    ----------
    plant
        The parts, in their positions.
    time
        Seconds since midnight of the first day. [s]
    mass
        Water in loop and vessel. [kg]
    vessel_water
        Water in the vessel. [kg]
    gas
        Pressure times volume over temperature of the vessel's gas. [J/K]
    air
        The same of the air at the top of the loop. [J/K]
    water, metal, shell
        Temperatures: mean of the loop's water, its metal, the vessel with its gas and water. [K]
    pressure_abs
        Pressure at the height of the vessel where the pump changes nothing. [Pa abs]
    relief_open
        Whether the relief valve blows.
    firing
        Share of the output the boiler gives. [-]
    called
        Flow temperature called for in place of the schedule. [K]
    locked
        Why the boiler is locked out, or nothing.
    unmixed
        Water let in during the last step, still cold; the next one mixes it in. [kg]
    openings
        Steps in which the relief valve blew.
    ledger
        The book of the water.
    """

    plant: Plant
    time: float
    mass: float
    vessel_water: float
    gas: float
    air: float
    water: float
    metal: float
    shell: float
    pressure_abs: float
    ledger: Ledger
    relief_open: bool = False
    firing: float = 0.0
    called: float | None = None
    locked: str = ""
    unmixed: float = 0.0
    openings: int = 0


def still_way(plant: Plant) -> float:
    """Return the place of the loop where the pump changes nothing. [-]"""
    return plant.vessel.way if plant.vessel.open else UNSURE_WAY


def gain_at(plant: Plant, place: Place, water_density: float) -> float:
    """Return by how much the pressure at a place exceeds that of the state. [Pa]"""
    head = plant.pump.head if plant.pump.on else 0.0
    way = still_way(plant) - place.way
    return head * way - static_pressure(water_density, place.height)


def pressure_at(state: State, place: Place) -> float:
    """Return the pressure of the water at a place. [Pa abs]"""
    rho = density(state.plant.pipes.fluid, state.water)
    return state.pressure_abs + gain_at(state.plant, place, rho)


def gauge_pressure_at(state: State, place: Place) -> float:
    """Return the pressure of the water at a place. [Pa gauge]"""
    return pressure_at(state, place) - state.plant.ambient_abs


def shown_by(gauge: Gauge, true_gauge: float) -> float:
    """Return what a gauge shows at a pressure.

    Examples
    --------
    >>> round(shown_by(Gauge(Place(), zero=1e4, scale=0.1), 1e5))
    120000
    """
    if gauge.held_gauge is not None:
        return gauge.held_gauge
    return gauge.zero + (1.0 + gauge.scale) * true_gauge


def gauge_reading(state: State) -> float:
    """Return what the room's gauge shows. [Pa gauge]"""
    gauge = state.plant.gauge
    return shown_by(gauge, gauge_pressure_at(state, gauge.place))


def flow_and_return(state: State) -> tuple[float, float]:
    """Return the temperatures of flow and return. [K]"""
    half = 0.5 * state.plant.boiler.spread * state.firing
    return state.water + half, state.water - half


def vessel_gas_volume(state: State) -> float:
    """Return the room the vessel's gas takes up. [m3]"""
    rho = density(state.plant.pipes.fluid, state.shell)
    room = state.plant.vessel.volume - state.vessel_water / rho
    if room <= 0.0:
        raise Refusal(
            "The vessel is shut off and full of water to the last drop, and warming it would burst "
            "it. Open its valve."
        )
    return room


def vessel_gas_pressure(state: State) -> float:
    """Return the pressure of the vessel's gas, which is what its gas valve shows. [Pa abs]

    An open vessel with water in it shows the system's pressure, not its charge.
    """
    return state.gas * state.shell / vessel_gas_volume(state)

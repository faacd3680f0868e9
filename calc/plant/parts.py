"""The parts of a simulated boiler room. Data only; a fault is a part with another number in it."""

from __future__ import annotations

from dataclasses import dataclass, fields

from calc.fluids import WATER, Fluid
from calc.model import Refusal


@dataclass(frozen=True, slots=True)
class Place:
    """Where a part joins the loop.

    Parameters
    ----------
    height
        Height above the connection of the vessel. [m]
    way
        Share of the loop's friction met on the way from the pump's outlet to here: 0 at the outlet,
        1 at the inlet. [-]
    """

    height: float = 0.0
    way: float = 0.5


@dataclass(frozen=True, slots=True)
class Pipes:
    """The loop: boilers, pipes and radiators.

    Parameters
    ----------
    volume
        Room inside at `cold` and one standard atmosphere. [m3]
    cold
        Temperature at which that holds. [K]
    linear_expansion
        Growth of the metal by length. [1/K]
    give
        Growth of the room inside for each unit of pressure. [1/Pa]
    top
        The highest place that holds water.
    vent_lag
        Time in which vents let out 63 % of the air at the top. [s]
    fluid
        What fills it.
    """

    volume: float
    cold: float = 283.15
    linear_expansion: float = 11.7e-6
    give: float = 1e-10
    top: Place = Place()
    vent_lag: float = 7200.0
    fluid: Fluid = WATER


@dataclass(frozen=True, slots=True)
class Vessel:
    """The expansion vessel. Its gas is part of the state.

    Parameters
    ----------
    volume
        Whole volume. [m3]
    way
        As in `Place`; its height is the one from which heights count. [-]
    open
        Whether the valve between it and the loop is open.
    sound
        Whether the diaphragm is whole.
    gas_loss
        Share of the gas lost in a unit of time. [1/s]
    pin_share
        Share of the vessel that water must fill to reach the gas valve once the diaphragm has
        failed: 0 with the gas valve at the bottom, 1 at the top. [-]
    rating_gauge
        The most it may carry. [Pa gauge]
    """

    volume: float
    way: float = 1.0
    open: bool = True
    sound: bool = True
    gas_loss: float = 0.0
    pin_share: float = 0.0
    rating_gauge: float = 6e5


@dataclass(frozen=True, slots=True)
class FillValve:
    """The make-up: a regulator behind an isolator, and a valve worked by hand beside it.

    Parameters
    ----------
    place
        Where it joins.
    setting_gauge
        Pressure at which the regulator is shut. [Pa gauge]
    behind_gauge
        Pressure of the water in front of it. [Pa gauge]
    capacity
        Flow through the open valve for each root of pressure. [kg/(s Pa^0.5)]
    droop
        How far below its setting the regulator is fully open. [Pa]
    passing
        As `capacity`, through the seat of the shut regulator. [kg/(s Pa^0.5)]
    isolator_open, hand_open
        Positions. The isolator does not shut off the valve worked by hand.
    temperature
        Temperature of the water let in. [K]
    """

    place: Place
    setting_gauge: float
    behind_gauge: float
    capacity: float
    droop: float = 2e4
    passing: float = 0.0
    isolator_open: bool = True
    hand_open: bool = False
    temperature: float = 283.15


@dataclass(frozen=True, slots=True)
class ReliefValve:
    """The relief valve: opens at its setting, shuts `closing` below it.

    Parameters
    ----------
    place
        Where it sits.
    set_gauge
        Pressure at which it opens. [Pa gauge]
    closing
        How far below that it shuts. [Pa]
    capacity
        Flow of water when open for each root of pressure. [kg/(s Pa^0.5)]
    weep
        Flow past the shut seat for each unit of pressure. [kg/(s Pa)]
    """

    place: Place
    set_gauge: float
    closing: float
    capacity: float
    weep: float = 0.0


@dataclass(frozen=True, slots=True)
class Pump:
    """The circulating pump: what it adds, and whether it runs. The loop's friction eats it up."""

    head: float
    on: bool = True


@dataclass(frozen=True, slots=True)
class Leak:
    """A hole, or a joint that sweats.

    Parameters
    ----------
    place
        Where it is.
    area
        Area of the hole. [m2]
    discharge
        Its discharge coefficient. [-]
    weep
        Flow for each unit of pressure, through a joint. [kg/(s Pa)]
    """

    place: Place
    area: float = 0.0
    discharge: float = 0.6
    weep: float = 0.0


@dataclass(frozen=True, slots=True)
class Coil:
    """The cylinder's coil, drinking water on its other side.

    Parameters
    ----------
    place
        Where it is.
    capacity
        Flow through a hole in it for each root of pressure, either way. [kg/(s Pa^0.5)]
    supply_gauge
        Pressure of the cold supply. [Pa gauge]
    supply_open, tap_open
        Positions of the cold supply's stop valve and of a hot tap. With the supply shut and no
        tap open the cylinder takes the pressure of the loop, and nothing flows.
    """

    place: Place
    supply_gauge: float
    capacity: float = 0.0
    supply_open: bool = True
    tap_open: bool = False


@dataclass(frozen=True, slots=True)
class Gauge:
    """The gauge of the room.

    Parameters
    ----------
    place
        Where it is.
    zero
        What it shows in open air. [Pa]
    scale
        By which share it shows too much. [-]
    held_gauge
        What it shows for ever if its tube is blocked. [Pa gauge]
    """

    place: Place
    zero: float = 0.0
    scale: float = 0.0
    held_gauge: float | None = None


@dataclass(frozen=True, slots=True)
class Boiler:
    """The boiler and its control.

    Parameters
    ----------
    place
        Where its pressure switch sits.
    output
        Greatest heat into the water. [W]
    setting
        Flow temperature the control is set to. [K]
    band
        How far below the setting the flow is at full fire. [K]
    spread
        Flow less return at full fire. [K]
    control_error
        By how much the control lets the flow go above its setting. [K]
    limiter
        Flow temperature at which it locks out. [K]
    least_gauge
        Pressure below which it locks out. [Pa gauge]
    """

    place: Place
    output: float
    setting: float
    band: float = 5.0
    spread: float = 10.0
    control_error: float = 0.0
    limiter: float = 383.15
    least_gauge: float = 5e4


@dataclass(frozen=True, slots=True)
class Building:
    """Where the heat goes.

    Parameters
    ----------
    room
        Temperature of the rooms, the boiler room among them. [K]
    conductance
        Heat lost by the loop for each kelvin above them, the pump running. [W/K]
    still_share
        Share of that with the pump stopped. [-]
    metal_capacity
        Heat taken by the metal for each kelvin. [J/K]
    metal_lag
        Time by which the metal follows the water. [s]
    shell_share
        How far the vessel's shell follows the water, from 0 (room) to 1 (water). [-]
    shell_lag
        Time by which it does. [s]
    """

    room: float
    conductance: float
    still_share: float = 0.15
    metal_capacity: float = 0.0
    metal_lag: float = 300.0
    shell_share: float = 0.0
    shell_lag: float = 3600.0


@dataclass(frozen=True, slots=True)
class Schedule:
    """Settings through the day: (second of the day, flow temperature [K] or None for off).

    Before the first entry the last one of the day before holds.
    """

    entries: tuple[tuple[float, float | None], ...] = ()

    def at(self, time: float) -> float | None:
        """Return the setting at a time. [K] None when no heat is called for."""
        if not self.entries:
            return None
        second = time % 86400.0
        found = self.entries[-1][1]
        for start, setting in self.entries:
            if second + 1e-6 < start:
                break
            found = setting
        return found


@dataclass(frozen=True, slots=True)
class Plant:
    """All parts of one boiler room."""

    ambient_abs: float
    pipes: Pipes
    vessel: Vessel
    fill: FillValve
    relief: ReliefValve
    pump: Pump
    coil: Coil
    gauge: Gauge
    boiler: Boiler
    building: Building
    schedule: Schedule = Schedule()
    leaks: tuple[Leak, ...] = ()

    def __post_init__(self) -> None:
        if self.relief.closing >= self.relief.set_gauge or self.relief.closing <= 0.0:
            raise Refusal(
                "The relief valve must shut below its setting and above zero. "
                "Give it a closing difference between the two."
            )
        for part, name in _POSITIVE:
            if not getattr(getattr(self, part), name) > 0.0:
                raise Refusal(
                    f"The {name.replace('_', ' ')} of the {part} is not above zero. "
                    "Give it a value above zero."
                )
        for part in (self.pipes, self.vessel, self.fill, self.relief, self.coil, *self.leaks):
            for field in fields(part):
                if field.name in _NEVER_BELOW and getattr(part, field.name) < 0.0:
                    raise Refusal(
                        f"The {field.name.replace('_', ' ')} of a part is below zero. "
                        "Give it zero or more."
                    )


_POSITIVE = (
    ("pipes", "volume"),
    ("pipes", "vent_lag"),
    ("vessel", "volume"),
    ("fill", "droop"),
    ("boiler", "band"),
    ("building", "conductance"),
    ("building", "metal_lag"),
    ("building", "shell_lag"),
)
_NEVER_BELOW = {"give", "gas_loss", "capacity", "passing", "weep", "area", "discharge"}

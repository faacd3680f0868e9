"""Larch Street Library as a boiler room in order. The library is invented, and so are its parts."""

from __future__ import annotations

from calc.atmosphere import standard_pressure
from calc.fluids import WATER
from calc.plant.parts import (
    Boiler,
    Building,
    Coil,
    FillValve,
    Gauge,
    Pipes,
    Place,
    Plant,
    Pump,
    ReliefValve,
    Schedule,
    Vessel,
)
from calc.plant.running import filled
from calc.plant.state import State

AMBIENT = standard_pressure(640.0)
CHARGE_GAUGE = 1.5e5
COLD_GAUGE = 1.55e5
COLD = 283.15


def larch_street(heating: bool = True) -> Plant:
    """Return the parts of Larch Street: 1750 L, two boilers as one of 155 kW, a vessel of 250 L.

    Examples
    --------
    >>> larch_street().relief.set_gauge
    300000.0
    """
    by_the_boiler = Place(1.2, 0.05)
    return Plant(
        ambient_abs=AMBIENT,
        pipes=Pipes(volume=1.75, cold=COLD, top=Place(11.4, 0.5), fluid=WATER),
        vessel=Vessel(volume=0.25, way=1.0),
        fill=FillValve(
            place=Place(1.2, 1.0), setting_gauge=1.3e5, behind_gauge=3.6e5, capacity=6e-4
        ),
        relief=ReliefValve(place=Place(1.8, 0.05), set_gauge=3e5, closing=5e4, capacity=5.5e-3),
        pump=Pump(head=3e4),
        coil=Coil(place=Place(1.0, 0.3), supply_gauge=4e5),
        gauge=Gauge(place=by_the_boiler),
        boiler=Boiler(place=by_the_boiler, output=155e3, setting=353.15, least_gauge=1.2e5),
        building=Building(
            room=288.15,
            conductance=1.9e3,
            metal_capacity=2.2e6,
            shell_share=0.1,
        ),
        schedule=Schedule(((6 * 3600.0, 353.15), (21 * 3600.0, 323.15))) if heating else Schedule(),
    )


def larch_street_cold(plant: Plant | None = None, temperature: float = COLD) -> State:
    """Return Larch Street filled at a temperature [K], at midnight, the pump running.

    Examples
    --------
    >>> round(larch_street_cold().pressure_abs - AMBIENT)  # 1.2 m of water below the gauge
    166764
    """
    plant = plant or larch_street()
    return filled(plant, CHARGE_GAUGE + AMBIENT, COLD_GAUGE, temperature)

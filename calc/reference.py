"""The tables at the back of the book, worked out from the same functions as the calculators.

A table is data: columns with their Kind, rows of SI floats, and who says so. Each number is a
function's result or stands as printed in the data of its subject, never typed here.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from calc import scalds, threads
from calc import units as u
from calc.atmosphere import standard_pressure
from calc.boiling import boiling_temperature
from calc.calculators import CALCULATORS
from calc.entries import Reader
from calc.expansion import relative_expansion
from calc.fluids import (
    WATER,
    Fluid,
    density,
    dynamic_viscosity,
    freezing_temperature,
    specific_heat,
    vapour_pressure,
)
from calc.hydrostatics import static_pressure
from calc.model import Equation
from calc.pipes import COPPER, PLASTIC, STEEL, TUBES, content_per_length
from calc.sources import COOLPROP, IAPWS_IF97, ICAO_ATMOSPHERE, PHYSICS, Citation

_FREEZING = 273.15

# The temperatures at which Larch Street is filled and at which it is hottest.
_COLD, _HOT = 10.0 + _FREEZING, 80.0 + _FREEZING
_ROOM = 20.0 + _FREEZING


@dataclass(frozen=True, slots=True)
class Column:
    """What a column holds. `kind` None means texts; `us` empty means that one unit serves all.

    `step` is the finest step worth showing in the SI unit, where it is not the unit's own.
    """

    label: str
    kind: u.Kind | None = None
    si: str = ""
    us: str = ""
    step: float = 0.0


Cell = float | str | None


@dataclass(frozen=True, slots=True)
class Table:
    """One table: the first column names the row. `cites` back every number in it."""

    name: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[Cell, ...], ...]
    cites: tuple[Citation, ...]
    note: str = ""


def both(value: float, kind: u.Kind) -> str:
    """Return a quantity in both unit systems, one in brackets where they differ.

    Examples
    --------
    >>> both(353.15, u.TEMPERATURE).replace("\\xa0", " ")
    '80.0 °C (176 °F)'
    """
    si, us = (u.quantity_text(value, kind, system) for system in u.SYSTEMS)
    return si if si == us else f"{si} ({us})"


_TEMPERATURE = Column("Temperature", u.TEMPERATURE, "degC", "degF")
_WARMED = f"Growth from {both(_COLD, u.TEMPERATURE)}"
_OPEN_PRESSURES = (0.5e5, 1.0e5, 1.5e5)
_IF97 = IAPWS_IF97.at("liquid and saturation, 0 to 200 °C")
_GLYCOL_SETS = COOLPROP.at("ASHRAE glycol sets")


def _water() -> Table:
    rows = []
    for celsius in (4, 5, 10, 15, 20, 30, 40, 50, 60, 70, 75, 80, 85, 90, 95, 100, 110, 120, 130):
        t = celsius + _FREEZING
        rows.append(
            (
                t,
                density(WATER, t),
                relative_expansion(WATER, _COLD, t) if t >= _COLD else None,
                vapour_pressure(t),
                dynamic_viscosity(WATER, t),
                specific_heat(WATER, t),
            )
        )
    return Table(
        "water",
        "Water",
        (
            _TEMPERATURE,
            Column("Density", u.DENSITY, "kg/m3", "lb/ft3"),
            Column(_WARMED, u.FRACTION, "%"),
            Column("Vapour pressure", u.ABSOLUTE_PRESSURE, "bar", "psi"),
            Column("Viscosity", u.VISCOSITY, "mPa s"),
            Column("Specific heat", u.SPECIFIC_HEAT, "kJ/kg/K", "Btu/lb/degF"),
        ),
        tuple(rows),
        (_IF97,),
        "At one atmosphere up to its boiling point, at its own vapour pressure above it.",
    )


def _glycol(name: str, title: str, substance: str) -> Table:
    rows: list[tuple[Cell, ...]] = [
        (
            0.0,
            freezing_temperature(WATER),
            density(WATER, _ROOM),
            relative_expansion(WATER, _COLD, _HOT),
            1.0,
        )
    ]
    water = relative_expansion(WATER, _COLD, _HOT)
    for percent in (10, 15, 20, 25, 30, 35, 40, 45, 50, 55, 60):
        fluid = Fluid(substance, percent / 100.0)
        grown = relative_expansion(fluid, _COLD, _HOT)
        rows.append(
            (
                fluid.volume_fraction,
                freezing_temperature(fluid),
                density(fluid, _ROOM),
                grown,
                grown / water,
            )
        )
    return Table(
        name,
        title,
        (
            Column("Share by volume", u.FRACTION, "%", step=1.0),
            Column("First ice", u.TEMPERATURE, "degC", "degF"),
            Column(f"Density at {both(_ROOM, u.TEMPERATURE)}", u.DENSITY, "kg/m3", "lb/ft3"),
            Column(f"{_WARMED} to {both(_HOT, u.TEMPERATURE)}", u.FRACTION, "%"),
            Column("Growth beside water's", u.NUMBER, "1", step=0.01),
        ),
        tuple(rows),
        (_GLYCOL_SETS, _IF97),
        "First ice is not a safe working temperature: leave a margin. Products differ, so the "
        "maker's own sheet comes first.",
    )


def _pipes(name: str, title: str, family: str) -> Table:
    chosen = [tube for tube in TUBES.values() if tube.family == family]
    cites = tuple(dict.fromkeys(tube.cite for tube in chosen))
    rows = tuple(
        (
            tube.label,
            tube.outside - 2.0 * tube.wall,
            content_per_length(tube.outside - 2.0 * tube.wall),
            tube.cite.status,
        )
        for tube in chosen
    )
    columns = (
        Column("Pipe"),
        Column("Bore", u.SMALL_LENGTH, "mm", "in"),
        Column("Holds", u.CONTENT_PER_LENGTH, "L/m", "gal/ft"),
        Column("Status of the sizes"),
    )
    return Table(name, title, columns, rows, cites)


def _altitude() -> Table:
    rows = []
    for metres in (0, 250, 500, 640, 750, 1000, 1250, 1500, 1750, 2000, 2500, 3000, 3500, 4000):
        ambient = standard_pressure(float(metres))
        rows.append(
            (
                float(metres),
                ambient,
                boiling_temperature(0.0, ambient),
                *(boiling_temperature(pressure, ambient) for pressure in _OPEN_PRESSURES),
            )
        )
    return Table(
        "altitude",
        "Altitude and boiling",
        (
            Column("Altitude", u.ALTITUDE, "m", "ft"),
            Column("Air", u.ABSOLUTE_PRESSURE, "bar", "psi"),
            Column("Boils in the open", u.TEMPERATURE, "degC", "degF"),
            *(
                Column(f"at {both(pressure, u.GAUGE_PRESSURE)}", u.TEMPERATURE, "degC", "degF")
                for pressure in _OPEN_PRESSURES
            ),
        ),
        tuple(rows),
        (ICAO_ATMOSPHERE.at("lowest layer"), _IF97),
        "The pressures at the heads are gauge pressures at the place where the water is. Weather "
        "moves the air's pressure by some hundredths of a bar.",
    )


def _columns_of_water() -> Table:
    rows = []
    for metres in (1, 2, 3, 4, 5, 6, 8, 10, 11.4, 12, 15, 20, 25, 30, 40, 50):
        rows.append(
            (
                float(metres),
                static_pressure(density(WATER, _COLD), metres),
                static_pressure(density(WATER, _HOT), metres),
                static_pressure(density(Fluid("propylene glycol", 0.3), _COLD), metres),
            )
        )
    return Table(
        "column",
        "Pressure of a column",
        (
            Column("Height", u.LENGTH, "m", "ft"),
            Column(f"Water at {both(_COLD, u.TEMPERATURE)}", u.PRESSURE_DIFFERENCE, "bar", "psi"),
            Column(f"Water at {both(_HOT, u.TEMPERATURE)}", u.PRESSURE_DIFFERENCE, "bar", "psi"),
            Column("30 % propylene glycol, as cold", u.PRESSURE_DIFFERENCE, "bar", "psi"),
        ),
        tuple(rows),
        (PHYSICS.at("still column"), _IF97, _GLYCOL_SETS),
    )


def _burns(name: str, title: str, rows: tuple[scalds.BurnTime, ...], head: str) -> Table:
    return Table(
        name,
        title,
        (
            Column(head, u.TEMPERATURE, "degC", "degF"),
            Column("Deep burn after, adult"),
            Column("Source"),
            Column("Status"),
        ),
        tuple((row.temperature(), duration(row), row.cite.text(), row.cite.status) for row in rows),
        tuple(dict.fromkeys(row.cite for row in rows)),
        "Take the shortest time. Children, old people and numb skin burn faster.",
    )


def duration(row: scalds.BurnTime) -> str:
    """Return a burn time in the unit that people say it in.

    Examples
    --------
    >>> duration(scalds.WATER_BURNS[-1])
    '6 h'
    """
    unit, name = (
        (3600.0, "h") if row.longest >= 3600 else (60.0, "min") if row.longest > 60 else (1.0, "s")
    )
    low, high = f"{row.shortest / unit:g}", f"{row.longest / unit:g}"
    return f"{low} {name}" if low == high else f"{low} to {high} {name}"


def _npt() -> Table:
    rows = []
    for size in threads.NPT:
        p = threads.pitch(size.threads_per_inch)
        rows.append(
            (
                f"{size.nominal} NPT",
                f"{size.threads_per_inch:g}",
                size.hand_tight,
                threads.turns_of_length(size.hand_tight, p),
                threads.length_of_turns(size.wrench_turns, p),
                threads.engagement(size.hand_tight, size.wrench_turns, p),
                threads.effective_length(size.outside, p),
            )
        )
    length = (u.SMALL_LENGTH, "mm", "in")
    return Table(
        "threads-npt",
        "NPT, 60°",
        (
            Column("Size"),
            Column("Threads in an inch"),
            Column("By hand", *length),
            Column("Turns by hand", u.NUMBER, "1", step=0.01),
            Column("With the wrench", *length),
            Column("Inside when made", *length),
            Column("Effective thread", *length),
        ),
        tuple(rows),
        (threads.NPT_FORMULAS,),
        "Each of the two threads may be one turn long or short, so a sound joint may differ by "
        "two turns.",
    )


def _iso() -> Table:
    rows = []
    for size in threads.ISO_7:
        p = threads.pitch(size.threads_per_inch)
        rows.append(
            (
                f"R {size.nominal}",
                f"{size.threads_per_inch:g}",
                p,
                size.gauge_length,
                threads.length_of_turns(size.fitting_turns, p),
                threads.length_of_turns(size.wrench_turns, p),
                f"{size.wrench_turns:g}",
                threads.useful_length(size.gauge_length, size.fitting_turns, p),
            )
        )
    length = (u.SMALL_LENGTH, "mm", "in", 0.01)
    return Table(
        "threads-iso-7",
        "ISO 7-1, 55°",
        (
            Column("Size"),
            Column("Threads in an inch"),
            Column("Pitch", u.SMALL_LENGTH, "mm", "in", 0.001),
            Column("Gauge length", *length),
            Column("Fitting allowance", *length),
            Column("With the wrench", *length),
            Column("Turns with the wrench"),
            Column("Useful thread, at least", *length),
        ),
        tuple(rows),
        (threads.ISO_TABLE,),
    )


_MAKERS: dict[str, Callable[[], Table]] = {
    "water": _water,
    "propylene-glycol": lambda: _glycol(
        "propylene-glycol", "Propylene glycol in water", "propylene glycol"
    ),
    "ethylene-glycol": lambda: _glycol(
        "ethylene-glycol", "Ethylene glycol in water", "ethylene glycol"
    ),
    "pipes-steel": lambda: _pipes("pipes-steel", "Steel pipe", STEEL),
    "pipes-copper": lambda: _pipes("pipes-copper", "Copper tube", COPPER),
    "pipes-plastic": lambda: _pipes("pipes-plastic", "Plastic pipe", PLASTIC),
    "altitude": _altitude,
    "column": _columns_of_water,
    "scald-times": lambda: _burns(
        "scald-times", "How fast hot water burns", scalds.WATER_BURNS, "Water"
    ),
    "metal-burns": lambda: _burns(
        "metal-burns", "How fast bare metal burns", scalds.METAL_BURNS, "Bare metal"
    ),
    "threads-npt": _npt,
    "threads-iso-7": _iso,
}

NAMES = tuple(_MAKERS)


def table(name: str) -> Table:
    """Return the reference table called `name`; KeyError with the known names otherwise."""
    if name not in _MAKERS:
        raise KeyError(f"No reference table is called “{name}”. There are: {', '.join(NAMES)}.")
    return _MAKERS[name]()


@dataclass(frozen=True, slots=True)
class Letter:
    """One letter with one meaning, and the calculators that show it."""

    symbol: str
    label: str
    kind: u.Kind
    unit: str
    calculators: tuple[str, ...]


def letters() -> tuple[Letter, ...]:
    """Return every letter of every equation that a calculator shows in any of its examples."""
    found: dict[tuple[str, str], tuple[u.Kind, str, dict[str, None]]] = {}
    for chosen in CALCULATORS:
        for equation in _equations(chosen):
            own = (equation.symbol, equation.label, equation.kind, equation.unit)
            others = ((s, y.label, y.kind, y.unit) for s, y in equation.where.items())
            for symbol, label, kind, unit in (own, *others):
                entry = found.setdefault((symbol, label), (kind, unit, {}))
                entry[2][chosen.id] = None
    listed = (
        Letter(symbol, label, kind, unit, tuple(ids))
        for (symbol, label), (kind, unit, ids) in found.items()
    )
    return tuple(sorted(listed, key=lambda x: (x.symbol.casefold(), x.symbol, x.label.casefold())))


def _equations(chosen) -> tuple[Equation, ...]:
    seen: dict[int, Equation] = {}
    for system in u.SYSTEMS:
        for entries in ({}, *chosen.examples):
            reader = Reader(system)
            values = reader.read(chosen, entries)
            if reader.errors:
                raise ValueError(f"{chosen.id}: an example cannot be read: {reader.errors}")
            for step in chosen.solve(values).steps:
                seen.setdefault(id(step.equation), step.equation)
    return tuple(seen.values())

"""Water lost, from two readings of a gauge that falls."""

from __future__ import annotations

from calc import atmosphere, hydrostatics, leaks, units
from calc.fluids import WATER, density
from calc.training.families.saying import days, gallons, imperial
from calc.training.families.telling import GAUGE_WHY, LITRE, place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance

_BAND = Tolerance(0.03, 0.05 * LITRE, GAUGE_WHY)


def _air(k: Known) -> float:
    return atmosphere.standard_pressure(k["altitude"])


def _column(k: Known, which: str) -> float:
    return hydrostatics.static_pressure(density(WATER, k[f"water_{which}"]), k["gauge_height"])


def _at_vessel(k: Known, which: str, air: float, column: bool = True) -> float:
    return k[which] + (_column(k, which) if column else 0.0) + air


def _gas(k: Known, air: float, column: bool = True) -> float:
    return leaks.gas_space(
        k["vessel_volume"], k["charge"] + air, k["charge_temperature"],
        _at_vessel(k, "before", air, column), k["gas_before"],
    )  # fmt: skip


def _grown(k: Known, air: float, before: float | None = None, after: float | None = None) -> float:
    return leaks.gas_growth(
        k["gas_first"], _at_vessel(k, "before", air), _at_vessel(k, "after", air),
        k["gas_before"] if before is None else before,
        k["gas_after"] if after is None else after,
    )  # fmt: skip


def _shrunk(k: Known) -> float:
    return leaks.shrinkage(
        k["system_volume"], density(WATER, k["water_before"]), density(WATER, k["water_after"])
    )


def _lost(k: Known) -> float:
    return leaks.lost_water(k["gas_gained"], _shrunk(k), k["added"])


def _draw(draw: Draw, level: str, system: str) -> dict[str, str]:
    hard = level == "hard"
    room = draw.entry((17, 22, 1, "degC"), (62, 72, 1, "degF"))
    warm = draw.entry((21, 26, 1, "degC"), (70, 79, 1, "degF"))
    cool = draw.entry((17, 20, 1, "degC"), (62, 68, 1, "degF"))
    return {
        "method": "fall",
        "interval": draw.entry((7, 40, 1, "d"), (7, 40, 1, "d")),
        "before": draw.entry((1.7, 2.2, 0.02, "bar"), (24, 32, 0.5, "psi")),
        "after": draw.entry((1.3, 1.6, 0.02, "bar"), (18, 23, 0.5, "psi")),
        "water_before": warm if hard else cool,
        "water_after": cool,
        "gas_before": room,
        "gas_after": room,
        "charge_temperature": room,
        "vessel_volume": draw.entry((80, 400, 10, "L"), (20, 110, 2, "gal")),
        "charge": draw.entry((0.9, 1.2, 0.05, "bar"), (12, 17, 0.5, "psi")),
        "system_volume": draw.entry((800, 3000, 50, "L"), (200, 800, 10, "gal")),
        "gauge_height": (
            draw.entry((1.2, 2.6, 0.1, "m"), (4, 8.5, 0.5, "ft"))
            if hard
            else ("0 ft" if draw.us else "0 m")
        ),
        "added": (
            draw.entry((2, 12, 1, "L"), (0.5, 3, 0.5, "gal"))
            if level != "first"
            else ("0 gal" if draw.us else "0 L")
        ),
        "fluid": "water",
        "altitude": draw.entry((300, 1600, 50, "m"), (1000, 5500, 100, "ft")),
        "_place": place(draw),
    }


def _situation(e: dict[str, str], level: str) -> list[str]:
    told = [
        f"The gauge keeps falling in {e['_place']}, {e['altitude']} above the sea. The make-up "
        f"valve is shut. At the first visit the gauge shows {e['before']}; after "
        f"{days(e['interval'])} it shows {e['after']}, pump in the same state.",
        f"The system holds {gallons(e['system_volume'])} of plain water. Its vessel has "
        f"{gallons(e['vessel_volume'])} and a charge of {e['charge']}, read at "
        f"{e['charge_temperature']} with the water side drained and open. Its shell was at "
        f"{e['gas_before']} at the first reading and at {e['gas_after']} at the second.",
        f"The water was at {e['water_before']} at the first reading and at {e['water_after']} at "
        f"the second.",
    ]
    if e["gauge_height"].startswith("0 "):
        told.append(f"The gauge hangs level with the vessel's connection: {e['gauge_height']}.")
    else:
        told.append(f"The gauge hangs {e['gauge_height']} above the vessel's connection.")
    if e["added"].startswith("0 "):
        told.append(f"Nothing was let in between the readings: {gallons(e['added'])}.")
    else:
        told.append(f"The caretaker has let in {gallons(e['added'])} between the readings.")
    return told


FAMILY = Family(
    id="leak-rate",
    calculator="leak-rate",
    title="Water lost, from a falling gauge",
    draw=_draw,
    situation=_situation,
    parts=(
        Part(
            name="gas_first",
            label="Gas in the vessel at the first reading",
            kind=units.VOLUME,
            work=lambda k: _gas(k, _air(k)),
            step="Volume of the vessel times absolute charge, divided by the absolute pressure at "
            "the vessel; warmer or cooler gas by the ratio of its temperatures in kelvin.",
            tolerance=Tolerance(0.015, 0.0, GAUGE_WHY),
        ),
        Part(
            name="gas_gained",
            label="Room that the gas has gained at the second reading",
            kind=units.VOLUME,
            work=lambda k: _grown(k, _air(k)),
            step="The gas at first times (first absolute pressure over the second, less one), with "
            "the temperatures of the gas.",
            tolerance=_BAND,
        ),
        Part(
            name="water_lost",
            label="Water lost between the readings",
            kind=units.VOLUME,
            work=_lost,
            step="Room the gas has gained, less the room that the water gave up by cooling, and "
            "what was let in on top.",
            tolerance=_BAND,
        ),
        Part(
            name="lost_in_year",
            label="Water lost in a year at this rate",
            kind=units.VOLUME,
            work=lambda k: leaks.in_a_year(leaks.in_a_day(k["water_lost"], k["interval"])),
            step="Divide by the days between the readings, multiply by the days of a year.",
            tolerance=Tolerance(0.03, 1 * LITRE, GAUGE_WHY),
            unsafe="low",
        ),
    ),
    asked={
        "first": ("gas_first",),
        "usual": ("gas_first", "water_lost", "lost_in_year"),
        "hard": ("gas_first", "water_lost", "lost_in_year"),
    },
    slips=(
        Slip("gauge-for-absolute", "gas_first", lambda k: _gas(k, 0.0)),
        Slip("whole-vessel-is-gas", "gas_first", lambda k: k["vessel_volume"]),
        Slip("gallons", "gas_first", lambda k: imperial(k, _gas(k, _air(k)))),
        Slip("added-forgotten", "water_lost", lambda k: _lost({**k, "added": 0.0})),
        Slip("cooling-taken-for-loss", "water_lost", lambda k: k["gas_gained"] + k["added"]),
        Slip("interval-left-out", "lost_in_year", lambda k: leaks.in_a_year(k["water_lost"])),
        Slip("month-for-interval", "lost_in_year", lambda k: 12 * k["water_lost"]),
    ),
    output="yearly",
    page="leaks-and-make-up.md",
    may_fail=("share",),
)

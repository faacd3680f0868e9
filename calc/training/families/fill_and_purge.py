"""How long the mains take to fill a system from below."""

from __future__ import annotations

from calc import filling, hydrostatics, units
from calc.fluids import WATER, density
from calc.training.families.saying import gallons, imperial
from calc.training.families.telling import BAR, GAUGE_WHY, place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance

_WHY = "a flow by bucket and watch is not known better"


def _column(k: Known, height: float) -> float:
    return hydrostatics.static_pressure(density(WATER, k["cold"]), height)


def _at_top(k: Known) -> float:
    return filling.source_flow(k["mains_flow"], k["mains_pressure"], k["column_pressure"])


def _from_floor(k: Known) -> float | None:
    return _column(k, k["top_above_floor"]) if "top_above_floor" in k else None


def _draw(draw: Draw, level: str, system: str) -> dict[str, str]:
    point = draw.grid(2, 5, 0.5) if draw.us else draw.grid(0.6, 1.6, 0.1)
    lift = draw.grid(15, 45, 0.5) if draw.us else draw.grid(5, 14, 0.1)
    unit = "ft" if draw.us else "m"
    found = {
        "source": "mains",
        "mains_pressure": draw.entry((2.0, 4.5, 0.1, "bar"), (32, 65, 1, "psi")),
        "mains_flow": draw.entry((10, 30, 1, "L/min"), (3, 9, 0.5, "gpm")),
        "system_volume": draw.entry((200, 3000, 50, "L"), (60, 800, 10, "gal")),
        "lift": f"{lift:.1f} {unit}",
        "cold": draw.entry((8, 14, 1, "degC"), (46, 58, 1, "degF")),
        "fluid": "water",
        "_place": place(draw),
    }
    if level == "hard":
        found |= {
            "top_above_floor": f"{lift + point:.1f} {unit}",
            "point_above_floor": f"{point:.1f} {unit}",
        }
    return found


def _situation(e: dict[str, str], level: str) -> list[str]:
    told = [
        f"You fill the empty system in {e['_place']} from the mains, through an approved backflow "
        f"preventer. With nothing running, the mains gauge shows {e['mains_pressure']} at the "
        f"filling point. At the open end of the hose you measure {e['mains_flow']} with a bucket "
        f"and a watch. The water comes at {e['cold']}.",
        f"The survey says {gallons(e['system_volume'])} of plain water, spread evenly over the "
        f"height. All vents stand open.",
    ]
    if "top_above_floor" in e:
        told.append(
            f"The highest radiator is {e['top_above_floor']} above the floor of the plant room, "
            f"and the filling point {e['point_above_floor']} above that floor."
        )
    else:
        told.append(f"The highest radiator is {e['lift']} above the filling point.")
    return told


FAMILY = Family(
    id="fill-and-purge",
    calculator="fill-and-purge",
    title="Time to fill from the mains",
    draw=_draw,
    situation=_situation,
    parts=(
        Part(
            name="column_pressure",
            label="Pressure of the column when the water reaches the top",
            kind=units.PRESSURE_DIFFERENCE,
            work=lambda k: _column(k, k["lift"]),
            step="Height from the filling point to the top times the weight of the water: about "
            "0.098 bar for each metre, 0.433 psi for each foot.",
            tolerance=Tolerance(0.015, 0.01 * BAR, GAUGE_WHY),
        ),
        Part(
            name="flow_at_top",
            label="Flow when the water reaches the top",
            kind=units.FLOW,
            work=_at_top,
            step="Open flow times the square root of the share of the pressure that is left.",
            tolerance=Tolerance(0.02, 0.0, _WHY),
        ),
        Part(
            name="time_to_fill",
            label="Time to fill",
            kind=units.TIME,
            work=lambda k: filling.filling_time(
                k["mains_flow"], k["system_volume"], k["mains_pressure"], k["column_pressure"]
            ),
            step="Volume divided by the mean of the open flow and the flow at the top.",
            tolerance=Tolerance(0.025, 30.0, _WHY),
        ),
    ),
    asked={
        "first": ("flow_at_top",),
        "usual": ("column_pressure", "flow_at_top", "time_to_fill"),
        "hard": ("column_pressure", "flow_at_top", "time_to_fill"),
    },
    slips=(
        Slip("height-from-floor", "column_pressure", _from_floor),
        Slip("flow-in-proportion", "flow_at_top",
             lambda k: k["mains_flow"] * (1 - k["column_pressure"] / k["mains_pressure"])),
        Slip("constant-flow", "time_to_fill", lambda k: k["system_volume"] / k["mains_flow"]),
        Slip("least-flow-throughout", "time_to_fill",
             lambda k: k["system_volume"] / k["flow_at_top"]),
        Slip("gallons", "time_to_fill", lambda k: imperial(k, 2 * k["system_volume"]
             / (k["mains_flow"] + k["flow_at_top"]))),
    ),
    output="time",
    page="fill-and-vent.md",
    extra={
        "top_above_floor": ("Highest radiator above the floor", units.LENGTH),
        "point_above_floor": ("Filling point above the floor", units.LENGTH),
    },
    may_fail=("top", "purge-1", "purge-2", "purge-3", "purge-4"),
)  # fmt: skip

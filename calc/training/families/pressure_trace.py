"""Where the gauge goes as a system is heated."""

from __future__ import annotations

from calc import atmosphere, expansion, hydrostatics, units, vessel
from calc.expansion import PIPE_EXPANSION
from calc.fluids import WATER, density
from calc.training.families.saying import TABLE_WHY, gallons, imperial
from calc.training.families.telling import BAR, GAUGE_WHY, place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance

_PIPES = {"steel": "Its pipes are of steel.", "plastic": "Its pipes are of plastic."}
_GAUGE = Tolerance(0.015, 0.02 * BAR, GAUGE_WHY)
_VOLUME = Tolerance(0.02, 0.0, TABLE_WHY)


def _growth(k: Known, pipe: str) -> float:
    share = expansion.net_expansion(
        expansion.water_expansion(k["cold"], k["hot"]), PIPE_EXPANSION[pipe], k["hot"] - k["cold"]
    )
    return expansion.expanded_volume(k["system_volume"], share)


def _air(k: Known) -> float:
    return atmosphere.standard_pressure(k["altitude"])


def _column(k: Known, temperature: str) -> float:
    return hydrostatics.static_pressure(density(WATER, k[temperature]), k["gauge_height"])


def _cold_abs(k: Known, air: float) -> float:
    return k["cases"][0].cold_fill + _column(k, "cold") + air


def _gas(k: Known, air: float) -> float:
    case = k["cases"][0]
    return case.vessel_volume * (case.charge + air) / _cold_abs(k, air)


def _hot(k: Known, air: float, gas: float) -> float:
    if k["growth_volume"] >= gas:
        raise ArithmeticError("no gas is left")
    return _cold_abs(k, air) * gas / (gas - k["growth_volume"]) - air


def _truth(k: Known) -> float:
    case, air = k["cases"][0], _air(k)
    return (
        vessel.hot_pressure(
            case.vessel_volume, case.charge + air, _cold_abs(k, air), k["growth_volume"]
        )
        - air
    )


def _draw(draw: Draw, level: str, system: str) -> dict:
    hard = level == "hard"
    return {
        "height": draw.entry((5, 8, 0.5, "m"), (16, 26, 0.5, "ft")),
        "system_volume": draw.entry((600, 2500, 50, "L"), (160, 660, 10, "gal")),
        "cold": draw.entry((8, 16, 1, "degC"), (46, 60, 1, "degF")),
        "hot": draw.entry((65, 82, 1, "degC"), (150, 180, 1, "degF")),
        "relief": draw.pick(("50 psi", "60 psi") if draw.us else ("4 bar", "5 bar")),
        "valve_height": "0 ft" if draw.us else "0 m",
        "gauge_height": (
            draw.entry((1.5, 3.0, 0.1, "m"), (5, 10, 0.5, "ft"))
            if hard
            else ("0 ft" if draw.us else "0 m")
        ),
        "cases": [
            {
                "name": "As found",
                "vessel_volume": draw.entry((100, 400, 20, "L"), (26, 106, 2, "gal")),
                "charge": draw.entry((0.7, 1.1, 0.05, "bar"), (10, 16, 0.5, "psi")),
                "cold_fill": draw.entry((1.1, 1.5, 0.05, "bar"), (16, 22, 0.5, "psi")),
            }
        ],
        "fluid": "water",
        "pipe": draw.pick(("plastic", "steel")),
        "altitude": draw.entry((300, 1500, 50, "m"), (1000, 5000, 100, "ft")),
        "_place": place(draw),
    }


def _situation(e: dict, level: str) -> list[str]:
    case = e["cases"][0]
    told = [
        f"In {e['_place']}, {e['altitude']} above the sea, the gauge shows {case['cold_fill']} "
        f"with the pump off and all of the water at {e['cold']}. The system holds "
        f"{gallons(e['system_volume'])} of plain water. {_PIPES[e['pipe']]} Its highest radiator "
        f"is {e['height']} above the vessel.",
        f"The vessel has {gallons(case['vessel_volume'])}. With the water side shut off, drained "
        f"and open, its charge reads {case['charge']}. The relief valve is level with the vessel, "
        f"{e['valve_height']} above it, and marked {e['relief']}. You turn the boiler up to "
        f"{e['hot']}.",
    ]
    if e["gauge_height"].startswith("0 "):
        told.append(f"The gauge hangs level with the vessel's connection: {e['gauge_height']}.")
    else:
        told.append(f"The gauge hangs {e['gauge_height']} above the vessel's connection.")
    return told


FAMILY = Family(
    id="pressure-trace",
    calculator="pressure-trace",
    title="Where the gauge goes when it is heated",
    draw=_draw,
    situation=_situation,
    parts=(
        Part(
            name="growth_volume",
            label="Water pushed into the vessel",
            kind=units.VOLUME,
            work=lambda k: _growth(k, k["pipe"]),
            step="Content of the system times the growth of the water, less that of steel pipes; "
            "plastic gets no credit.",
            tolerance=_VOLUME,
            unsafe="low",
        ),
        Part(
            name="gas_cold",
            label="Gas in the cold vessel",
            kind=units.VOLUME,
            work=lambda k: _gas(k, _air(k)),
            step="Volume of the vessel times absolute charge over absolute cold pressure at the "
            "vessel.",
            tolerance=_VOLUME,
            unsafe="high",
        ),
        Part(
            name="hot_at_vessel",
            label="Pressure at the vessel when hot",
            kind=units.GAUGE_PRESSURE,
            work=_truth,
            step="Absolute cold pressure times the gas, divided by what is left of the gas; then "
            "take the air off.",
            tolerance=_GAUGE,
            unsafe="low",
        ),
        Part(
            name="hot_on_gauge",
            label="What the gauge shows when hot",
            kind=units.GAUGE_PRESSURE,
            work=lambda k: k["hot_at_vessel"] - _column(k, "hot"),
            step="Take off the column from the vessel up to the gauge.",
            tolerance=_GAUGE,
            unsafe="low",
        ),
    ),
    asked={
        "first": ("gas_cold",),
        "usual": ("growth_volume", "gas_cold", "hot_at_vessel"),
        "hard": ("gas_cold", "hot_on_gauge"),
    },
    slips=(
        Slip("gallons", "growth_volume", lambda k: imperial(k, _growth(k, k["pipe"]))),
        Slip("plastic-credit", "growth_volume",
             lambda k: _growth(k, "steel") if k["pipe"] == "plastic" else None),
        Slip("gauge-for-absolute", "gas_cold", lambda k: _gas(k, 0.0)),
        Slip("whole-vessel-is-gas", "gas_cold", lambda k: k["cases"][0].vessel_volume),
        Slip("gauge-for-absolute", "hot_at_vessel", lambda k: _hot(k, 0.0, k["gas_cold"])),
        Slip("air-left-on", "hot_at_vessel", lambda k: _truth(k) + _air(k)),
        Slip("column-wrong-way", "hot_on_gauge",
             lambda k: k["hot_at_vessel"] + _column(k, "hot")),
    ),
    output="hot_1",
    page="readings.md",
    may_fail=("margin-1",),
)  # fmt: skip

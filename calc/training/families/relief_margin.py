"""From the cold fill on a gauge to the margin that is left at the relief valve when hot."""

from __future__ import annotations

from math import ceil

from calc import atmosphere, expansion, hydrostatics, relief, units, vessel
from calc.entries import read_quantity
from calc.fluids import WATER, density
from calc.training.families.telling import BAR, GAUGE_WHY, LITRE, place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance, written

_BAND = Tolerance(0.02, 0.03 * BAR, GAUGE_WHY)
_SEA = 101325.0
_WHY = (
    "You are to say how much room is left below the relief valve",
    "A damp patch under the relief pipe is the reason for a visit",
    "It is the yearly visit",
    "A new owner wants to know whether the relief valve will hold",
)


def growth_text(cold: str, hot: str) -> str:
    """Return the growth of water between two temperatures, rounded up as a table would."""
    low, high = (read_quantity(units.TEMPERATURE, text, "si").value for text in (cold, hot))
    return f"{ceil(expansion.relative_expansion(WATER, low, high) * 1e5) / 1e3:.3f} %"


def _column(k: Known, height: float, at: str) -> float:
    return hydrostatics.static_pressure(density(WATER, k[at]), height)


def _growth(k: Known) -> float:
    return expansion.relative_expansion(WATER, k["cold"], k["hot"])


def _air(k: Known) -> float:
    return atmosphere.standard_pressure(k["altitude"])


def _hot(k: Known, air: float, charge: float | None = None) -> float:
    """Return the hot pressure at the vessel with `air` added to the gauge pressures. [Pa gauge]"""
    charge_abs = (k["charge"] if charge is None else charge) + air
    fill_abs = k["fill_at_vessel"] + air
    return vessel.hot_pressure(k["vessel_volume"], charge_abs, fill_abs, k["grown"]) - air


def _gain(k: Known) -> float:
    return k["pump_head"] if k["pump"] == "between" else 0.0


def _at_valve(k: Known, hot: float, gain: float) -> float:
    rho = density(WATER, k["hot"])
    return relief.pressure_at_valve(hot, rho, k["valve_height"], gain)


def _draw(draw: Draw, level: str, system: str) -> dict[str, str]:
    us = draw.us
    height = draw.grid(10, 24, 1) if us else draw.grid(3, 8, 0.5)
    column = height * (0.4335 if us else 0.09807)
    base = column + (4 if us else 0.3)
    charge = round(base if us else round(base / 0.05) * 0.05, 0 if us else 2)
    lift = draw.grid(1, 4, 0.5) if us else draw.grid(0.1, 0.35, 0.05)
    if level == "hard":
        # Some of the charge is lost, which only a reading without water behind it shows.
        lost = draw.grid(4, 7, 1) if us else draw.grid(0.25, 0.5, 0.05)
        charge, lift = charge - lost, lift + lost
    gauge = draw.grid(2, 6, 0.5) if us else draw.grid(0.6, 1.8, 0.1)
    fill = charge + lift - gauge * (0.4335 if us else 0.09807)
    step, unit = (0.5, "psi") if us else (0.02, "bar")
    cold = "50 degF" if us else "10 degC"
    hot = draw.entry((65, 85, 5, "degC"), (150, 185, 5, "degF"))
    entries = {
        "relief": "30 psi" if us else "3 bar",
        "valve_height": draw.entry((0.8, 2.8, 0.1, "m"), (3, 9, 0.5, "ft")),
        "vessel_volume": draw.pick(
            ("30 gal", "45 gal", "60 gal", "80 gal")
            if us
            else ("100 L", "140 L", "200 L", "250 L", "300 L")
        ),
        "charge": written(charge, 1 if us else 0.05, unit),
        "system_volume": draw.entry((600, 2000, 50, "L"), (150, 500, 10, "gal")),
        "cold_fill": written(round(fill / step) * step, step, unit),
        "gauge_height": written(gauge, 0.5 if us else 0.1, "ft" if us else "m"),
        "cold": cold,
        "hot": hot,
        "altitude": draw.entry((0, 1800, 50, "m"), (0, 6000, 100, "ft")),
        "basis": "predicted",
        "pump": "between" if level == "hard" else "stopped",
        "tolerance": "none",
        "gap_rule": "tenth-or-five" if us else "en",
        "_place": place(draw),
        "_growth": growth_text(cold, hot),
        "_why": draw.pick(_WHY),
    }
    if level == "hard":
        entries["pump_head"] = draw.entry((0.15, 0.4, 0.05, "bar"), (2, 6, 0.5, "psi"))
        entries["friction"] = "0 psi" if us else "0 bar"
        entries["seen_charge"] = written(round((charge + lift) / step) * step, step, unit)
    return entries


def _situation(e: dict[str, str], level: str) -> list[str]:
    told = [
        f"{e['_why']} in {e['_place']}, {e['altitude']} above the sea. The relief valve's plate "
        f"says {e['relief']}; it sits {e['valve_height']} above the vessel's connection.",
        f"Cold, at {e['cold']}, the gauge {e['gauge_height']} above that connection shows "
        f"{e['cold_fill']}. The system holds {e['system_volume']} of water and is run up to "
        f"{e['hot']}: between the two it grows by {e['_growth']}.",
    ]
    if level == "hard":
        told.append(
            f"The vessel's plate says {e['vessel_volume']}. The caretaker read "
            f"{e['seen_charge']} at its gas valve while the system was full. You shut it off, "
            f"drain it, leave it open and read {e['charge']}."
        )
        told.append(
            f"When hot, the pump runs between the vessel and the valve and adds {e['pump_head']} "
            "at the valve; friction may be left out."
        )
    else:
        told.append(
            f"The vessel's plate says {e['vessel_volume']}; shut off, drained and open, its charge "
            f"reads {e['charge']}. Pumps stand still."
        )
    return told


FAMILY = Family(
    id="relief-margin",
    calculator="relief-margin",
    title="Margin at the relief valve",
    draw=_draw,
    situation=_situation,
    extra={"seen_charge": ("Read at the gas valve, system full", units.GAUGE_PRESSURE)},
    parts=(
        Part(
            name="fill_at_vessel",
            label="Cold pressure at the vessel",
            kind=units.GAUGE_PRESSURE,
            work=lambda k: k["cold_fill"] + _column(k, k["gauge_height"], "cold"),
            step="The vessel lies lower than the gauge: add the column between them.",
            tolerance=Tolerance(0.02, 0.02 * BAR, GAUGE_WHY),
        ),
        Part(
            name="grown",
            label="Water that the vessel has to take in on heating",
            kind=units.VOLUME,
            work=lambda k: k["system_volume"] * _growth(k),
            step="Water in the system times its growth.",
            tolerance=Tolerance(0.02, 0.1 * LITRE, "the growth is known no better"),
        ),
        Part(
            name="hot_vessel",
            label="Hot pressure at the vessel",
            kind=units.GAUGE_PRESSURE,
            work=lambda k: _hot(k, _air(k)),
            step="Boyle's law with absolute pressures: the gas left at the cold fill, squeezed by "
            "the grown water; then take the air off again.",
            tolerance=_BAND,
        ),
        Part(
            name="hot_valve",
            label="Hot pressure at the relief valve",
            kind=units.GAUGE_PRESSURE,
            work=lambda k: _at_valve(k, k["hot_vessel"], _gain(k)),
            step="Take off the column up to the valve, and add what a pump between them gives.",
            tolerance=_BAND,
        ),
        Part(
            name="left",
            label="Margin left below the set pressure",
            kind=units.PRESSURE_DIFFERENCE,
            work=lambda k: k["relief"] - k["hot_valve"],
            step="Set pressure less the hot pressure at the valve.",
            tolerance=Tolerance(0.02, 0.03 * BAR, GAUGE_WHY),
            unsafe="high",
        ),
    ),
    asked={
        "first": ("fill_at_vessel",),
        "usual": ("fill_at_vessel", "hot_vessel", "left"),
        "hard": ("fill_at_vessel", "hot_vessel", "hot_valve", "left"),
    },
    slips=(
        Slip("heights-as-one", "fill_at_vessel", lambda k: k["cold_fill"]),
        Slip(
            "column-wrong-way",
            "fill_at_vessel",
            lambda k: k["cold_fill"] - _column(k, k["gauge_height"], "cold"),
        ),
        Slip("gauge-for-absolute", "hot_vessel", lambda k: _hot(k, 0.0)),
        Slip(
            "sea-level-air",
            "hot_vessel",
            # Below this height the thinner air moves the answer less than a gauge shows.
            lambda k: _hot(k, _SEA) if k["altitude"] > 1000.0 else None,
        ),
        Slip(
            "charge-under-pressure",
            "hot_vessel",
            lambda k: _hot(k, _air(k), k["seen_charge"]) if "seen_charge" in k else None,
        ),
        Slip(
            "pump-left-out",
            "hot_valve",
            lambda k: _at_valve(k, k["hot_vessel"], 0.0) if k["pump"] == "between" else None,
        ),
        Slip(
            "column-wrong-way",
            "hot_valve",
            lambda k: k["hot_vessel"] + _column(k, k["valve_height"], "hot") + _gain(k),
        ),
    ),
    output="margin",
    unlisted=("basis", "tolerance", "pump", "gap_rule", "friction"),
    page="check-the-relief-margin.md",
    fair=lambda k: k["left"] > 0.0,
    may_fail=("margin", "fill", "lift"),
)

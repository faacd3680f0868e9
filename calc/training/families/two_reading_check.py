"""What charge is left, from a cold and a hot reading of the gauge."""

from __future__ import annotations

from calc import atmosphere, diagnosis, expansion, hydrostatics, units, vessel
from calc.calculators.two_reading_check import causes
from calc.expansion import PIPE_EXPANSION
from calc.fluids import WATER, density
from calc.model import Refusal
from calc.training.families.saying import TABLE_WHY, gallons, imperial
from calc.training.families.telling import BAR, GAUGE_WHY, PSI, place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance, written

_PIPES = {"steel": "Its pipes are of steel.", "plastic": "Its pipes are of plastic."}


def _share(k: Known, pipe: str) -> float:
    growth = expansion.water_expansion(k["cold"], k["hot"])
    return expansion.net_expansion(growth, PIPE_EXPANSION[pipe], k["hot"] - k["cold"])


def _growth(k: Known) -> float:
    return expansion.expanded_volume(k["system_volume"], _share(k, k["pipe"]))


def _air(k: Known) -> float:
    return atmosphere.standard_pressure(k["altitude"])


def _pressures(k: Known, air: float, column: bool = True) -> tuple[float, float]:
    height = k["gauge_height"] if column else 0.0
    cold = k["cold_fill"] + hydrostatics.static_pressure(density(WATER, k["cold"]), height)
    hot = k["hot_reading"] + hydrostatics.static_pressure(density(WATER, k["hot"]), height)
    return cold + air, hot + air


def _gas(k: Known, air: float, column: bool = True) -> float:
    cold, hot = _pressures(k, air, column)
    return diagnosis.gas_space(k["growth_volume"], cold, hot, 1.0)


def _charge(k: Known, air: float) -> float:
    cold, _ = _pressures(k, air)
    return cold * k["gas_cold"] / k["vessel_volume"] - air


def _draw(draw: Draw, level: str, system: str) -> dict[str, str] | None:
    hard = level == "hard"
    found = {
        "cold_fill": draw.entry((1.2, 1.7, 0.05, "bar"), (17, 25, 0.5, "psi")),
        "cold": draw.entry((10, 20, 1, "degC"), (50, 68, 1, "degF")),
        "hot": draw.entry((60, 78, 1, "degC"), (140, 172, 1, "degF")),
        "gauge_height": (
            draw.entry((1.0, 2.5, 0.1, "m"), (3, 8, 0.5, "ft"))
            if hard
            else ("0 ft" if draw.us else "0 m")
        ),
        "system_volume": draw.entry((600, 2000, 50, "L"), (160, 520, 10, "gal")),
        "vessel_volume": draw.entry((100, 400, 20, "L"), (26, 106, 2, "gal")),
        "charge": draw.entry((1.2, 1.5, 0.1, "bar"), (16, 20, 0.5, "psi")),
        "pipe": draw.pick(("plastic", "steel")),
        "fluid": "water",
        "altitude": draw.entry((300, 1500, 50, "m"), (1000, 5000, 100, "ft")),
        "_place": place(draw),
    }
    left = draw.grid(0.3, 0.8, 0.05) * BAR
    hot = _hot_reading(found, left)
    if hot is None:
        return None
    step, unit, scale = (0.5, "psi", PSI) if draw.us else (0.05, "bar", BAR)
    found["hot_reading"] = written(round(hot / scale / step) * step, step, unit)
    return found


def _hot_reading(e: dict[str, str], left: float) -> float | None:
    """Return what the gauge shows hot if that charge is left; None if the gas is used up. [Pa]"""
    kinds = {"cold_fill": units.GAUGE_PRESSURE, "cold": units.TEMPERATURE,
             "hot": units.TEMPERATURE, "gauge_height": units.LENGTH,
             "system_volume": units.VOLUME, "vessel_volume": units.VOLUME,
             "altitude": units.ALTITUDE}  # fmt: skip
    k: dict = {"pipe": e["pipe"], "hot_reading": 0.0}
    for name, kind in kinds.items():
        number, _, unit = e[name].partition(" ")
        k[name] = kind.unit(unit).to_si(float(number))
    air = _air(k)
    cold, column = _pressures(k, air)
    try:
        hot = vessel.hot_pressure(k["vessel_volume"], left + air, cold, _growth(k))
    except Refusal:
        return None
    reading = hot - column
    return reading if reading < 5.0 * BAR else None


def _situation(e: dict[str, str], level: str) -> list[str]:
    told = [
        f"In {e['_place']}, {e['altitude']} above the sea, the gauge showed {e['cold_fill']} this "
        f"morning with all of the water at {e['cold']}. Now the water is at {e['hot']}, and the "
        f"same gauge shows {e['hot_reading']}. No valve dripped, and the vessel stayed at the "
        f"temperature of the room.",
        f"The survey says {gallons(e['system_volume'])} of plain water. {_PIPES[e['pipe']]} The "
        f"vessel's plate says {gallons(e['vessel_volume'])}; the record asks for a charge of "
        f"{e['charge']}.",
    ]
    if e["gauge_height"].startswith("0 "):
        told.append(f"The gauge hangs level with the vessel's connection: {e['gauge_height']}.")
    else:
        told.append(f"The gauge hangs {e['gauge_height']} above the vessel's connection.")
    if level == "hard":
        told.append("Your mate read the gas valve with the system full, and calls that the charge.")
    return told


FAMILY = Family(
    id="two-reading-check",
    calculator="two-reading-check",
    title="Charge that two readings give away",
    draw=_draw,
    situation=_situation,
    parts=(
        Part(
            name="growth_volume",
            label="Water pushed into the vessel between the readings",
            kind=units.VOLUME,
            work=_growth,
            step="Content of the system times the growth of the water, less that of steel pipes; "
            "plastic gets no credit.",
            tolerance=Tolerance(0.025, 0.0, TABLE_WHY),
        ),
        Part(
            name="gas_cold",
            label="Gas in the vessel at the cold reading",
            kind=units.VOLUME,
            work=lambda k: _gas(k, _air(k)),
            step="The growth divided by (one less cold over hot), both absolute and at the vessel.",
            tolerance=Tolerance(0.025, 0.0, TABLE_WHY),
        ),
        Part(
            name="charge_left",
            label="Charge that explains the readings",
            kind=units.GAUGE_PRESSURE,
            work=lambda k: _charge(k, _air(k)),
            step="Gas times absolute cold pressure, divided by the volume of the vessel; then take "
            "the air off.",
            tolerance=Tolerance(0.03, 0.03 * BAR, GAUGE_WHY),
        ),
    ),
    asked={
        "first": ("growth_volume",),
        "usual": ("growth_volume", "gas_cold", "charge_left"),
        "hard": ("gas_cold", "charge_left"),
    },
    slips=(
        Slip("gallons", "growth_volume", lambda k: imperial(k, _growth(k))),
        Slip("plastic-credit", "growth_volume",
             lambda k: k["system_volume"] * _share(k, "steel") if k["pipe"] == "plastic" else None),
        Slip("fahrenheit-for-celsius", "growth_volume", lambda k: 1.8 * _growth(k)),
        Slip("gauge-for-absolute", "gas_cold", lambda k: _gas(k, 0.0)),
        Slip("growth-for-gas", "gas_cold", lambda k: k["growth_volume"]),
        Slip("air-left-on", "charge_left", lambda k: _charge(k, _air(k)) + _air(k)),
        Slip("charge-under-pressure", "charge_left", lambda k: _pressures(k, 0.0)[0]),
    ),
    output="charge_explaining",
    page="find-the-cause.md",
    may_fail=("cushion", "expected", "limit", "plate",
              *(name.replace("_", "-") for name in causes.CAUSES)),
)  # fmt: skip

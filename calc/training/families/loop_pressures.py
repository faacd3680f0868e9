"""The pressure at the top and at the pump of a loop, pump off and running."""

from __future__ import annotations

from calc import hydrostatics, units
from calc.fluids import WATER, density
from calc.training.families.telling import BAR, GAUGE_WHY, place
from calc.training.problem import Draw, Family, Known, Part, Slip, Tolerance

_BAND = Tolerance(0.015, 0.015 * BAR, GAUGE_WHY)
_JOINTS = {
    "listed": "The vessel joins the return, before the pump.",
    "discharge": "The vessel joins the pump's discharge, just behind the pump.",
}


def _column(k: Known, height: float) -> float:
    return hydrostatics.static_pressure(density(WATER, k["cold"]), height)


def _pump(k: Known):
    return k["points"][0]


def _top(k: Known):
    return k["points"][1]


def _shift(k: Known) -> float:
    """What the pump takes off everywhere when the vessel joins its discharge. [Pa]"""
    return _pump(k).head - _pump(k).friction if k["vessel_at"] == "discharge" else 0.0


def _top_running(k: Known, shift: float) -> float:
    gain = _pump(k).head - _pump(k).friction - _top(k).friction
    return k["top_off"] + gain - shift


def _suction(k: Known, shift: float) -> float:
    return k["vessel_pressure"] - _column(k, _pump(k).height) - _pump(k).friction - shift


def _other_shift(k: Known) -> float:
    """What the pump would take off if the vessel joined on its other side. [Pa]"""
    return 0.0 if k["vessel_at"] == "discharge" else _pump(k).head - _pump(k).friction


def _without_friction(k: Known) -> float | None:
    return None if k["vessel_at"] == "discharge" else k["top_off"] + _pump(k).head


def _draw(draw: Draw, level: str, system: str) -> dict:
    us = draw.us
    unit, metre = ("psi", "ft") if us else ("bar", "m")
    step = 0.1 if us else 0.01
    first = draw.grid(0.3, 0.8, 0.1) if us else draw.grid(0.02, 0.06, 0.01)
    out = draw.grid(1.0, 3.0, 0.1) if us else draw.grid(0.08, 0.22, 0.01)
    back = draw.grid(0.8, 2.5, 0.1) if us else draw.grid(0.06, 0.18, 0.01)
    digits = 1 if us else 2

    def said(value: float) -> str:
        return f"{round(value / step) * step:.{digits}f} {unit}"

    top = draw.entry((6, 14, 0.5, "m"), (20, 46, 1, "ft"))
    low = f"0 {metre}"
    head = said(first + out + back)
    return {
        "vessel_pressure": draw.entry((1.4, 2.2, 0.05, "bar"), (20, 32, 0.5, "psi")),
        "vessel_at": "discharge" if level == "hard" else "listed",
        "points": [
            {"name": "Pump", "part": "pump", "height": low, "friction": said(first),
             "head": head},
            {"name": "Top radiator", "part": "pipe", "height": top, "friction": said(out)},
            {"name": "Back at the vessel", "part": "pipe", "height": low, "friction": said(back)},
        ],
        "closing": "refuse",
        "fluid": "water",
        "cold": draw.entry((8, 20, 1, "degC"), (46, 68, 1, "degF")),
        "_place": place(draw),
    }  # fmt: skip


def _situation(e: dict, level: str) -> list[str]:
    pump, top, back = e["points"]
    return [
        f"A loop in {e['_place']} is filled with plain water at {e['cold']}. With the pump off, "
        f"the pressure at the vessel is {e['vessel_pressure']}. {_JOINTS[e['vessel_at']]} Pump "
        f"and vessel are level: {pump['height']} between them.",
        f"The pump adds {pump['head']} at the flow it runs at. The water loses "
        f"{pump['friction']} on the way from the foot of the return to the pump, {top['friction']} "
        f"from the pump up to the top radiator, {top['height']} higher, and {back['friction']} "
        f"from there back to the foot of the return.",
    ]


FAMILY = Family(
    id="loop-pressures",
    calculator="loop-pressures",
    title="What the pump does at the top",
    draw=_draw,
    situation=_situation,
    parts=(
        Part(
            name="top_off",
            label="Pressure at the top radiator, pump off",
            kind=units.GAUGE_PRESSURE,
            work=lambda k: k["vessel_pressure"] - _column(k, _top(k).height),
            step="Pressure at the vessel less the column up to the top.",
            tolerance=_BAND,
            unsafe="high",
        ),
        Part(
            name="suction_running",
            label="Pressure at the pump's suction, pump running",
            aside=True,
            kind=units.GAUGE_PRESSURE,
            work=lambda k: _suction(k, _shift(k)),
            step="From the vessel's joint against the flow or with it to the suction: with the "
            "vessel on the discharge, the whole head is missing there.",
            tolerance=_BAND,
            unsafe="high",
        ),
        Part(
            name="top_running",
            label="Pressure at the top radiator, pump running: the lowest of the loop",
            kind=units.GAUGE_PRESSURE,
            work=lambda k: _top_running(k, _shift(k)),
            step="Go from the vessel's joint with the flow: add the head where a pump is met, take "
            "off the friction on the way. At the joint itself nothing changes.",
            tolerance=_BAND,
            unsafe="high",
        ),
    ),
    asked={
        "first": ("top_off",),
        "usual": ("top_off", "top_running"),
        "hard": ("top_off", "suction_running", "top_running"),
    },
    slips=(
        Slip("column-wrong-way", "top_off",
             lambda k: k["vessel_pressure"] + _column(k, _top(k).height)),
        Slip("column-left-out", "top_off", lambda k: k["vessel_pressure"]),
        Slip("pump-left-out", "top_running", lambda k: k["top_off"]),
        Slip("friction-left-out", "top_running", _without_friction),
        Slip("vessel-on-wrong-side", "suction_running", lambda k: _suction(k, _other_shift(k))),
        Slip("vessel-on-wrong-side", "top_running", lambda k: _top_running(k, _other_shift(k))),
    ),
    output="lowest",
    page="loop-and-pump.md",
    unlisted=("vessel_at", "closing"),
    may_fail=("air", "boiling", "npsh"),
)  # fmt: skip

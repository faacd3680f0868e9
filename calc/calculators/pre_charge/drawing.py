"""The charts of a vessel from cold to hot."""

from __future__ import annotations

from calc import units as u
from calc.calculators.pre_charge.cushion import Cushion
from calc.expansion import expansion_of_densities
from calc.fluids import Fluid, density
from calc.model import (
    Axis,
    Level,
    LineChart,
    Mark,
    Series,
    Values,
    VesselSection,
    VesselState,
    Work,
    say,
)
from calc.vessel import hot_pressure, water_in_vessel

_CHART_STEPS = 20


def draw(
    w: Work, v: Values, fluid: Fluid, rho: float, opens: float, c: Cushion, ambient: float
) -> None:
    if c.hot is None or not c.serves:
        return
    fill_abs = c.fill + ambient
    pressures, waters = [], []
    for n in range(_CHART_STEPS + 1):
        t = v.cold + (v.hot - v.cold) * n / _CHART_STEPS
        growth = v.system_volume * expansion_of_densities(rho, density(fluid, t))
        p_abs = hot_pressure(c.volume, c.charge_abs, fill_abs, growth)
        pressures.append((t, p_abs - ambient))
        waters.append((t, water_in_vessel(c.volume, c.charge_abs, p_abs)))
    final = w.results["final"]
    w.chart(
        LineChart(
            id="pressure",
            title="Pressure at the vessel from cold to hot",
            x=Axis("water temperature", u.TEMPERATURE),
            y=Axis("pressure at the vessel", u.GAUGE_PRESSURE),
            series=(Series("cold to hot", tuple(pressures)),),
            levels=(
                Level("charge", c.set_gauge),
                Level("highest allowed", final, "limit"),
                Level("relief valve opens", opens, "limit"),
            ),
            marks=(Mark("cold fill", v.cold, c.fill), Mark("hot", v.hot, c.hot)),
            summary=say(
                "From {cold} to {hot} the pressure at the vessel rises from {fill} to {end}. "
                "The charge is {charge}, the highest allowed {final}.",
                cold=(v.cold, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
                fill=(c.fill, u.GAUGE_PRESSURE),
                end=(c.hot, u.GAUGE_PRESSURE),
                charge=(c.set_gauge, u.GAUGE_PRESSURE),
                final=(final, u.GAUGE_PRESSURE),
            ),
        )
    )
    w.chart(
        LineChart(
            id="water",
            title="Water in the vessel from cold to hot",
            x=Axis("water temperature", u.TEMPERATURE),
            y=Axis("water in the vessel", u.VOLUME),
            series=(Series("cold to hot", tuple(waters)),),
            levels=(Level("reserve wanted", c.reserve),),
            marks=(Mark("cold fill", *waters[0]), Mark("hot", *waters[-1])),
            summary=say(
                "The vessel holds {first} when cold and {last} when hot, out of {volume}.",
                first=(waters[0][1], u.VOLUME),
                last=(waters[-1][1], u.VOLUME),
                volume=(c.volume, u.VOLUME),
            ),
        )
    )
    w.chart(
        VesselSection(
            id="vessel",
            title="The vessel charged, filled and hot",
            states=(
                VesselState("charged, no water", 0.0, c.set_gauge),
                VesselState("filled, cold", waters[0][1] / c.volume, c.fill),
                VesselState("hot", waters[-1][1] / c.volume, c.hot),
            ),
            summary=say(
                "Charged, the vessel holds only gas at {charge}. Filled cold it holds {first} of "
                "water at {fill}, hot {last} at {end}.",
                charge=(c.set_gauge, u.GAUGE_PRESSURE),
                first=(waters[0][1], u.VOLUME),
                fill=(c.fill, u.GAUGE_PRESSURE),
                last=(waters[-1][1], u.VOLUME),
                end=(c.hot, u.GAUGE_PRESSURE),
            ),
        )
    )

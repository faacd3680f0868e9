"""From height and temperatures to the charge, the fill and the air to pump in."""

from __future__ import annotations

from calc import units as u
from calc.calculators.common import density_of, final_of, fluid_of, safe_density
from calc.calculators.pre_charge.cushion import cushion_of, warm_fill
from calc.calculators.pre_charge.drawing import draw
from calc.calculators.pre_charge.form import MARGINS, STEPS
from calc.calculators.pre_charge.judging import judge_details, judge_top, judge_window
from calc.calculators.pre_charge.present import judge_present_charge
from calc.charge import pressure_above
from calc.equations.charge import (
    BOILING_MARGIN,
    CHARGE_NOW,
    CHARGE_NOW_ABS,
    FREE_AIR,
    LEAST_CHARGE_EN,
    LEAST_CHARGE_US,
    ROUNDED,
    RUN_TIME,
    VAPOUR_EXCESS,
)
from calc.equations.shared import (
    AIR_PRESSURE,
    CHARGE_ABS,
    COLD_DENSITY,
    FILL_ON_GAUGE,
    HOT_DENSITY,
    STATIC,
    VAPOUR,
)
from calc.hydrostatics import STANDARD_GRAVITY, static_pressure
from calc.model import Refusal, Solution, Values, Work, say, work_on
from calc.sources import EN_12828, PHYSICS

_ANNEX_D = EN_12828.at("annex D")
_STILL = PHYSICS.at("column of still liquid")


def solve(v: Values) -> Solution:
    """Return charge, fill and checks for one vessel."""
    w = work_on(v)
    fluid = fluid_of(v)
    if v.cold >= v.hot:
        raise Refusal(
            say(
                "The coldest water, {cold}, is not below the hottest, {hot}. "
                "Enter the temperature at filling as coldest and the control's highest as hottest.",
                cold=(v.cold, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field="cold",
            cite=_ANNEX_D,
        )
    margin = v.margin_own if v.margin == "own" else MARGINS[v.margin]
    ambient = w.step(AIR_PRESSURE, z_s=v.altitude)
    rho = density_of(w, COLD_DENSITY, fluid, "cold", t_c=v.cold)
    rho_hot = None
    if v.valve_height > 0 or (v.vessel_volume is not None and v.system_volume is not None):
        rho_hot = density_of(w, HOT_DENSITY, fluid, "hot", t_h=v.hot)
    static = w.step(STATIC, rho_c=rho, g=STANDARD_GRAVITY, h=v.height)
    vapour_abs = w.step(VAPOUR, t_h=v.hot)
    if v.practice == "equal":
        vapour = 0.0
        least = w.step(LEAST_CHARGE_US, p_st=static, p_m=margin)
    else:
        vapour = w.step(VAPOUR_EXCESS, P_v=vapour_abs, P_a=ambient)
        least = w.step(LEAST_CHARGE_EN, p_st=static, p_D=vapour, p_m=margin)
    step = STEPS[v.rounding]
    set_gauge = w.step(ROUNDED, p_0min=least, s=step) if step else least
    set_abs = w.step(CHARGE_ABS, p_0=set_gauge, P_a=ambient)
    now_abs = w.step(CHARGE_NOW_ABS, P_0=set_abs, T_0=v.living_temperature, T_now=v.vessel_now)
    now_gauge = w.step(CHARGE_NOW, P_now=now_abs, P_a=ambient)

    final = final_of(w, v, rho, rho_hot)
    opens = v.relief + static_pressure(safe_density(v, rho, rho_hot), v.valve_height)
    if final <= set_gauge:
        raise Refusal(
            say(
                "The column of {static} and the margin ask for a charge of {charge}, but with this "
                "relief valve the vessel may reach only {final} hot, so no room is left for "
                "expansion. Move the vessel higher, or have the relief setting checked against the "
                "boiler's and the parts' ratings.",
                static=(static, u.PRESSURE_DIFFERENCE),
                charge=(set_gauge, u.GAUGE_PRESSURE),
                final=(final, u.GAUGE_PRESSURE),
            ),
            field="relief",
            cite=_ANNEX_D,
        )

    cushion = cushion_of(w, v, rho, rho_hot, set_gauge, set_abs, final, ambient)
    fill, fill_abs = cushion.fill, cushion.fill + ambient
    # Beyond the highest pressure allowed the valve lifts, so no more may be counted on. Where no
    # fill serves, only what boils even there is refused.
    hot_abs = fill_abs if cushion.hot is None else min(cushion.hot, final) + ambient
    if not cushion.serves:
        hot_abs = final + ambient
    top = pressure_above(fill, static)
    at_top = {"P_h": hot_abs, "p_st": static, "P_v": vapour_abs}
    if cushion.serves:
        boiling = w.step(BOILING_MARGIN, **at_top)
    else:
        boiling = BOILING_MARGIN.of(at_top)
    if boiling <= 0.0:
        raise Refusal(
            say(
                "Water at {hot} boils at the highest point: it needs {vapour} there, and it has "
                "{top}. Enter a larger margin, choose a practice that adds the vapour pressure, or "
                "lower the hottest temperature.",
                hot=(v.hot, u.TEMPERATURE),
                vapour=(vapour_abs, u.ABSOLUTE_PRESSURE),
                top=(hot_abs - static, u.ABSOLUTE_PRESSURE),
            ),
            field="hot",
            cite=PHYSICS.at("boiling point"),
        )
    to_gauge = static_pressure(rho, v.gauge_height)
    fill_gauge = fill - to_gauge
    if cushion.serves:
        fill_gauge = w.step(
            FILL_ON_GAUGE, p_f=fill, rho_c=rho, g=STANDARD_GRAVITY, z_G=v.gauge_height
        )
    if fill_gauge <= -ambient:
        raise Refusal(
            say(
                "A gauge {height} above the vessel would stand above the top of the water: the "
                "fill of {fill} does not carry a column that tall. Enter how much higher the gauge "
                "is than the vessel, negative if it is lower.",
                height=(v.gauge_height, u.LENGTH),
                fill=(fill, u.GAUGE_PRESSURE),
            ),
            field="gauge_height",
            cite=_STILL,
        )

    w.result("static", static)
    w.result("least_charge", least)
    w.result("charge", set_gauge)
    w.result("charge_now", now_gauge)
    w.result("final", final)
    served = cushion.serves

    def if_served(pressure: float | None, less: float = 0.0) -> float | None:
        return pressure - less if served and pressure is not None else None

    w.result("fill", if_served(fill))
    w.result("fill_gauge", if_served(fill_gauge))
    w.result("top_pressure", if_served(top))
    w.result("boiling_margin", if_served(boiling))
    w.result("hot_pressure", if_served(cushion.hot))
    w.result("hot_gauge", if_served(cushion.hot, to_gauge))
    w.result("fill_now_gauge", warm_fill(w, v, fluid, cushion, fill_abs, to_gauge))
    w.result("fill_low_gauge", if_served(cushion.low, to_gauge))
    w.result("fill_high_gauge", if_served(cushion.high, to_gauge))

    if served:
        judge_top(w, v, top, boiling, cushion.hot is not None)
    judge_window(w, v, cushion, final)
    judge_details(w, v, fluid, set_gauge, now_gauge, cushion, fill_gauge, to_gauge)
    start = judge_present_charge(w, v, now_gauge, vapour, margin, rho, ambient, opens, cushion)
    _air(w, v, now_abs, now_gauge, start, ambient)
    w.draw(draw, v, fluid, rho, opens, cushion, ambient)
    return w.solution()


def _air(
    w: Work, v: Values, now_abs: float, now_gauge: float, start: float | None, ambient: float
) -> None:
    w.result("air_needed", None)
    w.result("run_time", None)
    if v.vessel_volume is None or start is None or start >= now_gauge:
        return
    air = w.step(
        FREE_AIR,
        V_N=v.vessel_volume,
        P_s=start + ambient,
        T_s=v.vessel_now,
        P_now=now_abs,
        T_now=v.vessel_now,
        T_air=v.air_temperature,
        P_a=ambient,
    )
    w.result("air_needed", air)
    if v.delivery is not None:
        w.result("run_time", w.step(RUN_TIME, V_air=air, Q=v.delivery))

"""The options worked through one by one, on one system and one charge."""

from __future__ import annotations

from calc import units as u
from calc.calculators.common import density_of, fluid_of, safe_density
from calc.calculators.replacement_options.judging import compare, judge
from calc.calculators.replacement_options.option import HAIR, Duty, Option
from calc.equations.replacement import (
    COSTS,
    FULL_MASSES,
    HIGHEST_FILL_GAUGES,
    HIGHEST_FILLS,
    HOT_GAUGES,
    HOTS,
    LOWEST_FILL_GAUGES,
    LOWEST_FILLS,
    RESERVES_HELD,
    SMALL_RESERVES,
    TOGETHERS,
    WINDOWS,
)
from calc.equations.shared import (
    AIR_PRESSURE,
    CHARGE_ABS,
    COLD_DENSITY,
    EN_VOLUME,
    EXPANSION,
    FILL_ABS,
    FINAL_ABS,
    FLOW_GAIN,
    GAPS,
    GROWTH,
    HOT_DENSITY,
    RESERVE,
    SMALL_VOLUME,
    VALVE_LIMIT,
    VESSEL_FROM_VALVE,
    WORST_GAIN,
)
from calc.fluids import vapour_pressure
from calc.hydrostatics import STANDARD_GRAVITY
from calc.model import Refusal, Solution, Values, Work, say, work_on
from calc.sources import EN_12828, IAPWS_IF97, OWN_RULE, PHYSICS
from calc.vessel import SMALL_VESSEL, required_volume

_ANNEX_D = EN_12828.at("annex D")
_BOYLE = PHYSICS.at("Boyle's law")


def solve(v: Values) -> Solution:
    """Hold the options side by side."""
    w = work_on(v)
    d = _duty(v, w)
    asked = _reserve_asked(v, w)
    w.result("reserve_asked", asked)
    w.result("expansion", d.expansion)
    w.result("final", d.final_abs - d.ambient)
    w.result("minimum", _minimum(v, w, d, asked))
    options = [_worked(v, w, d, n, row, asked) for n, row in enumerate(v.options)]
    for option in options:
        judge(w, d, option, options)
    compare(w, d, options)
    return w.solution()


def _duty(v: Values, w: Work) -> Duty:
    fluid = fluid_of(v)
    if v.cold >= v.hot:
        raise Refusal(
            say(
                "The cold water, {cold}, is not below the hottest, {hot}, so nothing expands. "
                "Enter the temperature at filling as cold and the highest as hottest.",
                cold=(v.cold, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field="cold",
            cite=PHYSICS.at("thermal expansion"),
        )
    rho_cold = density_of(w, COLD_DENSITY, fluid, "cold", t_c=v.cold)
    rho_hot = density_of(w, HOT_DENSITY, fluid, "hot", t_h=v.hot)
    growth = w.step(GROWTH, rho_c=rho_cold, rho_h=rho_hot)
    if growth <= 0:
        raise Refusal(
            say(
                "Between {cold} and {hot} the water does not grow, so there is nothing to "
                "compare. Enter a higher temperature.",
                cold=(v.cold, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field="hot",
            cite=PHYSICS.at("thermal expansion"),
        )
    expansion = w.step(EXPANSION, V_s=v.system_volume, e=growth)
    ambient = w.step(AIR_PRESSURE, z_s=v.altitude)
    charge_abs = w.step(CHARGE_ABS, p_0=v.charge, P_a=ambient)
    final_abs = w.step(FINAL_ABS, p_e=_final(v, w, rho_cold, rho_hot), P_a=ambient)
    final = (final_abs - ambient, u.GAUGE_PRESSURE)
    if final_abs <= charge_abs:
        raise Refusal(
            say(
                "The highest pressure allowed at the vessel is {final}, not above the charge of "
                "{charge}, so no vessel serves. Lower the charge if the height allows, or use a "
                "higher set pressure.",
                final=final,
                charge=(v.charge, u.GAUGE_PRESSURE),
            ),
            field="charge",
            cite=_BOYLE,
        )
    boiling = vapour_pressure(v.hot)
    if boiling >= final_abs:
        raise Refusal(
            say(
                "Water at {hot} boils below {boiling}, and the highest pressure allowed at the "
                "vessel is {final}. Enter a lower temperature, or a higher set pressure.",
                hot=(v.hot, u.TEMPERATURE),
                boiling=(boiling, u.ABSOLUTE_PRESSURE),
                final=final,
            ),
            field="hot",
            cite=IAPWS_IF97.at("vapour pressure"),
        )
    fill_abs = None
    if v.fill is not None:
        if v.fill >= final[0]:
            raise Refusal(
                say(
                    "The cold fill of {fill} is not below the highest pressure allowed at the "
                    "vessel, {final}. Lower the fill, or use a higher set pressure.",
                    fill=(v.fill, u.GAUGE_PRESSURE),
                    final=final,
                ),
                field="fill",
                cite=_BOYLE,
            )
        fill_abs = w.step(FILL_ABS, p_f=v.fill, P_a=ambient)
    return Duty(ambient, rho_cold, expansion, charge_abs, final_abs, fill_abs)


def _final(v: Values, w: Work, rho_cold: float, rho_hot: float) -> float:
    """Return the highest pressure allowed at the vessel, the pump at its worst. [Pa gauge]"""
    gap = v.gap_own if v.gap_rule == "own" else w.step(GAPS[v.gap_rule], p_sv=v.relief)
    limit = w.step(VALVE_LIMIT, p_sv=v.relief, d=gap)
    gain = w.step(WORST_GAIN, dp=w.step(FLOW_GAIN, H_p=v.pump_head, p_fr=v.friction))
    return w.step(
        VESSEL_FROM_VALVE,
        p_lim=limit,
        rho=safe_density(v, rho_cold, rho_hot),
        g=STANDARD_GRAVITY,
        z_sv=v.valve_height,
        dp=gain,
    )


def _reserve_asked(v: Values, w: Work) -> float:
    if v.reserve == "en":
        return w.step(RESERVE, V_s=v.system_volume)
    return v.reserve_own if v.reserve == "own" else 0.0


def _minimum(v: Values, w: Work, d: Duty, asked: float) -> float:
    small = required_volume(SMALL_VESSEL, d.expansion, asked, d.charge_abs, d.final_abs)
    if v.reserve == "en" and small <= SMALL_VESSEL:
        return w.step(SMALL_VOLUME, V_ex=d.expansion, P_0=d.charge_abs, P_e=d.final_abs)
    return w.step(EN_VOLUME, V_ex=d.expansion, V_WR=asked, P_0=d.charge_abs, P_e=d.final_abs)


def _worked(v: Values, w: Work, d: Duty, n: int, row: Values, asked: float) -> Option:
    if row.count != round(row.count):
        raise Refusal(
            say(
                "There cannot be {count} vessels. Enter a whole number of equal vessels.",
                count=(row.count, u.NUMBER),
            ),
            field=f"options.{n}.count",
            cite=OWN_RULE.at("to catch a slip of the pen"),
        )
    total = row.volume
    if row.count > 1:
        total = w.step(TOGETHERS[n], n=row.count, V_1=row.volume)
    reserve = asked
    if v.reserve == "en" and total <= SMALL_VESSEL * (1 + HAIR):
        reserve = w.step(SMALL_RESERVES[n], V_N=total)
    gas = {"V_N": total, "P_0": d.charge_abs}
    low_abs = window = None
    if reserve < total:
        low_abs = w.step(LOWEST_FILLS[n], V_WR=reserve, **gas)
        w.step(LOWEST_FILL_GAUGES[n], P_fmin=low_abs, P_a=d.ambient)
    high_abs = w.step(HIGHEST_FILLS[n], V_ex=d.expansion, P_e=d.final_abs, **gas)
    w.step(HIGHEST_FILL_GAUGES[n], P_fmax=high_abs, P_a=d.ambient)
    if low_abs is not None:
        window = w.step(WINDOWS[n], P_fmin=low_abs, P_fmax=high_abs)
    fill_abs = d.fill_abs if d.fill_abs is not None else low_abs
    held = hot_abs = None
    if fill_abs is not None:
        held = w.step(RESERVES_HELD[n], P_f=fill_abs, **gas)
        if d.expansion < total * min(d.charge_abs / fill_abs, 1.0):
            hot_abs = w.step(HOTS[n], P_f=fill_abs, V_ex=d.expansion, **gas)
            w.step(HOT_GAUGES[n], P_h=hot_abs, P_a=d.ambient)
    return Option(
        number=n,
        name=row.name.strip() or f"Option {n + 1}",
        count=row.count,
        total=total,
        piece=row.empty_mass,
        full_mass=w.step(FULL_MASSES[n], m_e=row.empty_mass, rho=d.density, V_N=row.volume),
        cost=w.step(COSTS[n], n=row.count, C_1=row.part_cost, t_w=row.labour, r=v.hourly_rate),
        reserve=reserve,
        low_abs=low_abs,
        high_abs=high_abs,
        window=window,
        fill_abs=fill_abs,
        held=held,
        hot_abs=hot_abs,
    )

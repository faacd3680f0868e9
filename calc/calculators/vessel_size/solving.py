"""How large a vessel has to be, or how much system one already there can serve."""

from __future__ import annotations

from collections.abc import Callable

from calc import units as u
from calc.calculators.common import density_of, fluid_of
from calc.calculators.vessel_size.duty import CODE_COLD, HAIR, Duty, duty_of, refuse_temperatures
from calc.calculators.vessel_size.form import CODE, EN, PLAIN
from calc.calculators.vessel_size.judging import (
    judge_acceptance,
    judge_altitude,
    judge_clearance,
    judge_construction,
    judge_existing,
    judge_filling,
    no_largest,
)
from calc.equations.shared import (
    COLD_DENSITY,
    DIAPHRAGM_VOLUME,
    EN_VOLUME,
    HOT_DENSITY,
    RESERVE,
    SMALL_RESERVE,
    SMALL_VOLUME,
)
from calc.equations.vessel import ACCEPTANCE, CODE_VOLUME, CUSHION_VOLUME, GENERAL_VOLUME
from calc.model import CAUTION, FAIL, PASS, Solution, Values, Work, say, work_on
from calc.sources import EN_12828, OWN_RULE, PHYSICS
from calc.vessel import (
    SMALL_VESSEL,
    SMALL_VESSEL_SHARE,
    acceptance_fraction,
    required_volume,
    water_reserve,
)

_ANNEX_D = EN_12828.at("annex D")
_BOYLE = PHYSICS.at("Boyle's law")
_SIDE_BY_SIDE = OWN_RULE.at("at most four equal vessels side by side")
_MOST_IN_PARALLEL = 10
_MOST_FITTED = 4
"""More equal vessels than this are not fitted side by side; a larger size is."""


def solve(v: Values) -> Solution:
    """Size a vessel, or check one, for the duty entered."""
    w = work_on(v)
    fluid = fluid_of(v)
    cold = CODE_COLD if v.method == CODE else v.cold
    refuse_temperatures(v, fluid, cold)
    rho_cold = density_of(w, COLD_DENSITY, fluid, "cold", t_c=cold)
    rho_hot = density_of(w, HOT_DENSITY, fluid, "hot", t_h=v.hot)
    duty = duty_of(v, w, cold, rho_cold, rho_hot)
    need, minimum = _need(v, w, duty)
    _report_duty(w, duty)
    w.result("minimum", minimum)
    if v.task == "size":
        total = _choose(v, w, need, minimum)
        w.result("total", total)
    else:
        total = v.vessel_volume
        for name in ("selected", "count", "total"):
            w.result(name, None)
    if total is None:
        for name in ("used", "fill_low", "fill_high", "fill_taken", "hot_pressure", "margin"):
            w.result(name, None)
        w.result("reserve", None)
        no_largest(w)
    else:
        w.result("used", minimum / total)
        reserve = _reserve_of(v, w, total)
        w.result("reserve", reserve)
        if v.task == "check":
            judge_existing(v, w, duty, total, minimum, reserve)
        else:
            no_largest(w)
        judge_filling(v, w, duty, total, reserve, fluid, cold)
    judge_construction(v, w, duty, minimum)
    judge_acceptance(v, w, duty)
    judge_clearance(v, w)
    judge_altitude(v, w, duty)
    return w.solution()


def _need(v: Values, w: Work, d: Duty) -> tuple[Callable[[float], float], float]:
    """Return what a vessel of a given volume must at least have, and the smallest that serves."""
    if v.method == EN:
        return _need_with_reserve(v, w, d)
    if v.method in PLAIN:
        rule = CODE_VOLUME if v.method == CODE else CUSHION_VOLUME
        minimum = w.step(rule, V_ex=d.expansion, P_a=d.ambient, P_f=d.fill_abs, P_e=d.final_abs)
    elif d.fill_abs is not None and d.fill_abs > d.gas_abs:
        minimum = w.step(
            GENERAL_VOLUME, V_ex=d.expansion, P_0=d.gas_abs, P_f=d.fill_abs, P_e=d.final_abs
        )
    else:
        minimum = w.step(DIAPHRAGM_VOLUME, V_ex=d.expansion, P_0=d.gas_abs, P_e=d.final_abs)
    return lambda total: minimum, minimum


def _need_with_reserve(v: Values, w: Work, d: Duty) -> tuple[Callable[[float], float], float]:
    if v.reserve != "en":
        reserve = v.reserve_own or 0.0
        minimum = w.step(EN_VOLUME, V_ex=d.expansion, V_WR=reserve, P_0=d.gas_abs, P_e=d.final_abs)
        return lambda total: minimum, minimum
    reserve = water_reserve(v.system_volume)

    def need(total: float) -> float:
        return required_volume(total, d.expansion, reserve, d.gas_abs, d.final_abs)

    if v.task == "check":
        # With so little room left that a fifth of the vessel fills it, no small vessel serves.
        room = acceptance_fraction(d.gas_abs, d.final_abs) > SMALL_VESSEL_SHARE
        small = room and v.vessel_volume <= SMALL_VESSEL * (1 + HAIR)
    else:
        small = need(SMALL_VESSEL) <= SMALL_VESSEL
    if small:
        minimum = w.step(SMALL_VOLUME, V_ex=d.expansion, P_0=d.gas_abs, P_e=d.final_abs)
    else:
        w.step(RESERVE, V_s=v.system_volume)
        minimum = w.step(EN_VOLUME, V_ex=d.expansion, V_WR=reserve, P_0=d.gas_abs, P_e=d.final_abs)
    return need, minimum


def _report_duty(w: Work, d: Duty) -> None:
    w.result("expansion_fraction", d.growth)
    w.result("expansion", d.expansion)
    w.result("final", d.final_abs - d.ambient)
    w.result("acceptance", w.step(ACCEPTANCE, P_0=d.gas_abs, P_e=d.final_abs))


def _choose(v: Values, w: Work, need: Callable[[float], float], minimum: float) -> float | None:
    """Pick the next size from the list, or the fewest equal vessels that serve together.

    Returns their volume together, or None where no listed size serves. [m3]
    A pick once made is held while a reading moves to the ends of its plus/minus.
    """
    picked = getattr(v, "held", {}).get("selected")
    if picked:
        return picked * float(v.held["count"])
    for count in range(1, _MOST_IN_PARALLEL + 1):
        for size in sorted(v.sizes):
            if size * count < need(size * count) * (1 - HAIR):
                continue
            w.result("selected", size)
            w.result("count", str(count))
            shown = {"minimum": (minimum, u.VOLUME), "size": (size, u.VOLUME)}
            if count == 1:
                message = say("At least {minimum} is needed; fit {size}.", **shown)
                w.check("size", "A listed size serves", PASS, message, _ANNEX_D)
            elif count > _MOST_FITTED:
                message = say(
                    f"At least {{minimum}} is needed, and it would take {count} of {{size}} side "
                    "by side, too many to fit and keep at one charge. List larger vessels.",
                    **shown,
                )
                w.check("size", "A listed size serves", FAIL, message, _SIDE_BY_SIDE)
            else:
                message = say(
                    "At least {minimum} is needed, more than any listed vessel. "
                    f"Fit {count} of {{size}} side by side with the same charge, or list "
                    "larger ones.",
                    **shown,
                )
                w.check("size", "A listed size serves", CAUTION, message, _BOYLE)
            return size * count
    w.result("selected", None)
    w.result("count", None)
    message = say(
        "At least {minimum} is needed, and even ten of the largest listed do not reach it. "
        "List larger vessels, lower the charge, or use a higher set pressure.",
        minimum=(minimum, u.VOLUME),
    )
    w.check("size", "A listed size serves", FAIL, message, _BOYLE)
    return None


def _reserve_of(v: Values, w: Work, total: float) -> float:
    """Return the reserve the method asks of a vessel of this volume."""
    if v.method != EN:
        return 0.0
    if v.reserve != "en":
        return v.reserve_own or 0.0
    if total <= SMALL_VESSEL * (1 + HAIR):
        return w.step(SMALL_RESERVE, V_N=total)
    return water_reserve(v.system_volume)

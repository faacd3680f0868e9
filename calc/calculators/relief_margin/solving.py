"""How far the hot pressure stays below the relief valve.

Everything is brought to the valve: from the gauge to the vessel, from cold to hot, from the
vessel to the valve with the water column and the pump. The rules are then applied there.
"""

from __future__ import annotations

from dataclasses import dataclass

from calc import relief
from calc import units as u
from calc.calculators.common import density_of, fluid_of, gap_of
from calc.calculators.relief_margin.capacity import judge_capacity, judge_parts
from calc.calculators.relief_margin.form import OUTPUTS
from calc.equations.relief import (
    AT_VALVE,
    LOWEST_LIFT,
    MARGIN,
    ON_GAUGE,
    RESTORING_CHARGE,
    RESTORING_CHARGE_GAUGE,
    RESTORING_FILL,
    RESTORING_VESSEL,
    START,
    TOLERANCE,
    VESSEL_FROM_GAUGE,
)
from calc.equations.shared import (
    AIR_PRESSURE,
    CHARGE_ABS,
    COLD_DENSITY,
    EXPANSION,
    FILL_ABS,
    FILL_AT_VESSEL,
    FILL_ON_GAUGE,
    FINAL_ABS,
    FLOW_GAIN,
    GROWTH,
    HIGHEST_FILL_GAUGE,
    HOT,
    HOT_ABS,
    HOT_DENSITY,
    HOT_GAUGE,
    VALVE_LIMIT,
    VAPOUR,
    VESSEL_FROM_VALVE,
    WORST_GAIN,
)
from calc.expansion import relative_expansion
from calc.fluids import Fluid, density
from calc.hydrostatics import STANDARD_GRAVITY, static_pressure
from calc.model import (
    CAUTION,
    FAIL,
    PASS,
    Axis,
    Level,
    LineChart,
    Mark,
    Refusal,
    Series,
    Solution,
    Values,
    Work,
    say,
    work_on,
)
from calc.sources import COMMON_PRACTICE, IAPWS_IF97, PHYSICS, Citation
from calc.vessel import vessel_volume_general, water_in_vessel

_BOYLE = PHYSICS.at("Boyle's law")
_CLEAR_OF_BOILING = 0.2e5
"""Pressure above boiling that leaves no doubt. [Pa]"""

_LOOP = PHYSICS.at("point of no pressure change at the vessel; Bernoulli with losses")


def solve(v: Values) -> Solution:
    """Return hot pressure, margin, what would restore it, and the valves' capacity."""
    w = work_on(v)
    for output in OUTPUTS:
        w.result(output.name, None)
    fluid = fluid_of(v)
    if v.hot <= v.cold:
        raise Refusal(
            say(
                "The hot temperature {hot} is not above the cold one, {cold}. "
                "Enter the highest water temperature here and the filling temperature as cold.",
                hot=(v.hot, u.TEMPERATURE),
                cold=(v.cold, u.TEMPERATURE),
            ),
            field="hot",
            cite=PHYSICS.at("thermal expansion"),
        )
    ambient = w.step(AIR_PRESSURE, z_s=v.altitude)
    rho_cold = density_of(w, COLD_DENSITY, fluid, "cold", t_c=v.cold)
    rho_hot = density_of(w, HOT_DENSITY, fluid, "hot", t_h=v.hot)
    valve_gain, gauge_gain = _flow_gains(w, v)

    tolerance, lift = _lift(w, v)
    gap, gap_cite = gap_of(w, v)

    fill = w.step(
        FILL_AT_VESSEL, p_G=v.cold_fill, rho_c=rho_cold, g=STANDARD_GRAVITY, z_G=v.gauge_height
    )
    _refuse_lift_when_cold(v, fill, rho_cold, valve_gain)
    fill_abs = w.step(FILL_ABS, p_f=fill, P_a=ambient)
    if fill_abs <= 0.0:
        raise Refusal(
            "The fill at the vessel would be below a vacuum. "
            "Check the gauge's reading and its height below the vessel.",
            field="gauge_height",
            cite=PHYSICS.at("hydrostatics"),
        )
    charge_abs = w.step(CHARGE_ABS, p_0=v.charge, P_a=ambient)
    start_abs = w.step(START, P_f=fill_abs, P_0=charge_abs)
    most = relief.pressure_at_vessel(v.relief - gap, rho_hot, v.valve_height, valve_gain)
    boiling = w.step(VAPOUR, t_h=v.hot)
    most_there = _at_highest(v, rho_hot, most) + ambient
    _refuse_boiling_when_allowed(v, boiling, most_there)
    if v.basis == "predicted":
        hot_abs = _predicted(w, v, rho_cold, rho_hot, charge_abs, fill_abs, most + ambient)
        hot_vessel = w.step(HOT_GAUGE, P_h=hot_abs, P_a=ambient)
        hot_gauge = _on_gauge(w, v, hot_vessel, rho_hot, gauge_gain)
    else:
        hot_gauge = v.hot_reading
        hot_vessel = w.step(
            VESSEL_FROM_GAUGE,
            p_G=hot_gauge,
            rho=rho_hot,
            g=STANDARD_GRAVITY,
            z_G=v.gauge_height,
            dp=gauge_gain,
        )
        hot_abs = w.step(HOT_ABS, p_h=hot_vessel, P_a=ambient)
        _refuse_no_rise(v, hot_vessel, fill, start_abs - ambient, start_abs, hot_abs)
    hot_valve = w.step(
        AT_VALVE,
        p_vessel=hot_vessel,
        rho=rho_hot,
        g=STANDARD_GRAVITY,
        z_sv=v.valve_height,
        dp=valve_gain,
    )
    hot_there = _at_highest(v, rho_hot, hot_vessel) + ambient

    margin = w.step(MARGIN, p_open=v.relief, p_valve=hot_valve)
    greatest = w.step(VALVE_LIMIT, p_sv=v.relief, d=gap)
    greatest_vessel = w.step(
        VESSEL_FROM_VALVE,
        p_lim=greatest,
        rho=rho_hot,
        g=STANDARD_GRAVITY,
        z_sv=v.valve_height,
        dp=valve_gain,
    )
    greatest_gauge = _on_gauge(w, v, greatest_vessel, rho_hot, gauge_gain)
    restore = _restoring(w, v, ambient, rho_cold, charge_abs, fill_abs, hot_abs, greatest_vessel)

    w.result("margin", margin)
    w.result("margin_asked", gap)
    w.result("hot_at_valve", hot_valve)
    w.result("hot_at_vessel", hot_vessel)
    w.result("hot_at_gauge", hot_gauge)
    w.result("lowest_lift", lift)
    to_lift = margin if tolerance == 0.0 else w.step(MARGIN, p_open=lift, p_valve=hot_valve)
    w.result("margin_to_lift", to_lift)
    w.result("greatest_at_vessel", greatest_vessel)
    w.result("greatest_on_gauge", greatest_gauge)
    w.result("highest_fill", restore.fill)
    w.result("smallest_vessel", restore.vessel)
    w.result("lowest_charge", restore.charge)

    if hot_there <= boiling:
        _fail_boiling(w, v, boiling, hot_there, restore)
        _doubt_margin(w, margin, gap, gap_cite, hot_valve)
    else:
        _check_margin(w, v, margin, gap, gap_cite, hot_valve, greatest_gauge, restore)
        _check_lift(w, v, tolerance, lift, hot_valve, greatest)
    _check_fill(w, v, fill, rho_cold, charge_abs, fill_abs)
    _check_pump(w, v, margin, gap, valve_gain)
    if hot_there > boiling:
        _check_boiling(w, v, min(hot_there, most_there) - boiling)
    w.draw(_chart, v, fluid, ambient, fill_abs, start_abs, hot_abs, valve_gain, greatest, lift)
    if v.capacity == "yes":
        judge_capacity(w, v, ambient)
        judge_parts(w, v, rho_cold, tolerance)
    return w.solution()


def _on_gauge(w: Work, v: Values, at_vessel: float, rho: float, gain: float) -> float:
    return w.step(
        ON_GAUGE,
        p_vessel=at_vessel,
        rho=rho,
        g=STANDARD_GRAVITY,
        z_G=v.gauge_height,
        dp=gain,
    )


def _flow_gains(w: Work, v: Values) -> tuple[float, float]:
    """Return what the flow adds at the valve (at worst) and at the gauge (as chosen)."""
    if v.pump == "stopped":
        return 0.0, 0.0
    head = v.pump_head if v.pump == "between" else 0.0
    gain = w.step(FLOW_GAIN, H_p=head, p_fr=v.friction)
    at_valve = w.step(WORST_GAIN, dp=gain)
    return at_valve, gain if v.gauge_side == "valve" else 0.0


def _lift(w: Work, v: Values) -> tuple[float, float]:
    if v.tolerance == "none":
        return 0.0, v.relief
    tolerance = v.own_tolerance
    if v.tolerance == "code":
        tolerance = w.step(TOLERANCE, p_sv=v.relief)
    if tolerance >= v.relief:
        raise Refusal(
            say(
                "The tolerance {tol} is as much as the set pressure {set} itself. "
                "Enter the tolerance from the valve's papers.",
                tol=(tolerance, u.PRESSURE_DIFFERENCE),
                set=(v.relief, u.GAUGE_PRESSURE),
            ),
            field="own_tolerance" if v.tolerance == "own" else "tolerance",
            cite=TOLERANCE.cite,
        )
    return tolerance, w.step(LOWEST_LIFT, p_sv=v.relief, dp_tol=tolerance)


def _refuse_lift_when_cold(v: Values, fill: float, rho_cold: float, valve_gain: float) -> None:
    cold_valve = relief.pressure_at_valve(fill, rho_cold, v.valve_height, valve_gain)
    if cold_valve < v.relief:
        return
    raise Refusal(
        say(
            "The valve opens at {set}, and the cold fill already puts {cold} on it. "
            "Enter the set pressure on the valve's plate, or lower the cold fill.",
            set=(v.relief, u.GAUGE_PRESSURE),
            cold=(cold_valve, u.GAUGE_PRESSURE),
        ),
        field="relief",
        cite=PHYSICS.at("a valve opens at its set pressure"),
    )


_LEAST_USE = 0.1
"""A vessel of which the water's growth fills less than this share is no remedy. [-]"""


def _predicted(
    w: Work,
    v: Values,
    rho_cold: float,
    rho_hot: float,
    charge_abs: float,
    fill_abs: float,
    most_abs: float,
) -> float:
    """Return the hot pressure at the vessel, or refuse where its gas is used up. [Pa abs]"""
    growth = w.step(EXPANSION, V_s=v.system_volume, e=w.step(GROWTH, rho_c=rho_cold, rho_h=rho_hot))
    if growth <= 0.0:
        raise Refusal(
            say(
                "Between {cold} and {hot} water does not grow. "
                "Enter the highest temperature the boiler can be set to.",
                cold=(v.cold, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field="hot",
            cite=IAPWS_IF97.at("density of water"),
        )
    gas = v.vessel_volume * min(charge_abs / fill_abs, 1.0)
    if growth >= gas:
        start_abs = max(fill_abs, charge_abs)
        values = {"growth": (growth, u.VOLUME), "gas": (gas, u.VOLUME)}
        need = None
        if most_abs > start_abs:
            need = vessel_volume_general(growth, charge_abs, start_abs, most_abs)
        if need is not None and need <= growth / _LEAST_USE:
            mend = "A vessel of at least {need} keeps the margin at this charge and fill."
            values["need"] = (need, u.VOLUME)
        else:
            mend = "Lower the cold fill first, then enter a larger vessel."
        raise Refusal(
            say(
                "The water grows by {growth}, and the vessel has only {gas} of gas to give way. "
                "The valve would open long before. " + mend,
                **values,
            ),
            field="vessel_volume",
            cite=_BOYLE,
        )
    return w.step(HOT, V_N=v.vessel_volume, P_0=charge_abs, P_f=fill_abs, V_ex=growth)


def _refuse_no_rise(
    v: Values,
    hot_vessel: float,
    fill: float,
    start: float,
    start_abs: float,
    hot_abs: float,
) -> None:
    if hot_vessel <= fill:
        raise Refusal(
            say(
                "Hot, the vessel stands at {hot}, no higher than cold at {cold}. A "
                "working system rises. Read the gauge again cold and hot, and check that it is "
                "not blocked.",
                hot=(hot_vessel, u.GAUGE_PRESSURE),
                cold=(fill, u.GAUGE_PRESSURE),
            ),
            field="hot_reading",
            cite=_BOYLE,
        )
    if hot_abs <= start_abs:
        raise Refusal(
            say(
                "Even hot, the vessel stands at {hot}, no higher than its charge of {charge}, so "
                "no water has gone in. Check the charge with the water side drained and open, "
                "and the valve between vessel and system.",
                hot=(hot_vessel, u.GAUGE_PRESSURE),
                charge=(start, u.GAUGE_PRESSURE),
            ),
            field="charge",
            cite=_BOYLE,
        )


def _at_highest(v: Values, rho_hot: float, hot_vessel: float) -> float:
    """Return the hot pressure at the highest of vessel, gauge and valve, pump off. [Pa gauge]"""
    highest = max(v.valve_height, v.gauge_height, 0.0)
    return relief.pressure_at_valve(hot_vessel, rho_hot, highest, 0.0)


def _refuse_boiling_when_allowed(v: Values, boiling: float, there: float) -> None:
    """Refuse water that boils even at the greatest hot pressure the rule leaves.

    A higher pressure is never held, as the valve opens; and every fill, charge or vessel that
    restores the margin ends at this one.
    """
    if there > boiling:
        return
    raise Refusal(
        say(
            "Water at {hot} boils below {boiling}, and at the highest of vessel, gauge and valve "
            "the highest pressure allowed is only {there}. Enter a lower temperature, or a "
            "higher set pressure that every part stands.",
            hot=(v.hot, u.TEMPERATURE),
            boiling=(boiling, u.ABSOLUTE_PRESSURE),
            there=(max(there, 0.0), u.ABSOLUTE_PRESSURE),
        ),
        field="hot",
        cite=IAPWS_IF97.at("saturation line"),
    )


_BOILING = "Boiling at vessel, gauge and valve"


def _fail_boiling(w: Work, v: Values, boiling: float, there: float, restore: _Restoring) -> None:
    """Say that the water boils at this hot pressure, and that a higher fill would hold it down.

    A large vessel lets the pressure rise by little: that is where this happens.
    """
    words = (
        "Water at {hot} boils below {boiling}, and with the pump stopped the highest of vessel, "
        "gauge and valve has only {there}. Steam takes far more room than water, so nothing here "
        "holds as it stands. Lower the temperature, or raise the cold fill and the charge with it"
    )
    values = {
        "hot": (v.hot, u.TEMPERATURE),
        "boiling": (boiling, u.ABSOLUTE_PRESSURE),
        "there": (max(there, 0.0), u.ABSOLUTE_PRESSURE),
    }
    if restore.fill is not None and restore.fill > v.cold_fill:
        words += ": up to {fill} on the gauge keeps the margin"
        values["fill"] = (restore.fill, u.GAUGE_PRESSURE)
    cite = IAPWS_IF97.at("saturation line")
    w.check("boiling", _BOILING, FAIL, say(words + ".", **values), cite)


def _check_boiling(w: Work, v: Values, above: float) -> None:
    enough = above >= _CLEAR_OF_BOILING
    words = (
        "Water at {hot} stays {above} above boiling at the highest of vessel, gauge and valve. "
        if enough
        else "Water at {hot} stays only {above} above boiling at the highest of vessel, gauge and "
        "valve. Lower the temperature. "
    )
    w.check(
        "boiling",
        _BOILING,
        PASS if enough else CAUTION,
        say(
            words + "The top of the system is not checked here: the pre-charge page asks its "
            "height and does.",
            hot=(v.hot, u.TEMPERATURE),
            above=(above, u.PRESSURE_DIFFERENCE),
        ),
        IAPWS_IF97.at("saturation line"),
    )


_SENSIBLE_GROWTH = 5.0
"""A vessel this many times larger is no remedy. [-]"""


@dataclass(slots=True)
class _Restoring:
    """What keeps exactly the margin: fill on the gauge, vessel, charge; None where it cannot.

    `too_large` tells that a vessel would do, but only one beyond all sense.
    """

    empty: bool
    fill: float | None = None
    vessel: float | None = None
    charge: float | None = None
    too_large: bool = False


def _restoring(
    w: Work,
    v: Values,
    ambient: float,
    rho_cold: float,
    charge_abs: float,
    fill_abs: float,
    hot_abs: float,
    greatest_vessel: float,
) -> _Restoring:
    """Return the fill on the gauge, the vessel and the charge that keep exactly the margin.

    Each is looked at first, and shown as a step only if it can be used: a charge or a fill below
    that of the open air is none.
    """
    empty = fill_abs < charge_abs
    found = _Restoring(empty)
    most_abs = greatest_vessel + ambient
    if most_abs <= 0.0:
        return found
    start_abs = max(fill_abs, charge_abs)
    new_fill = relief.restoring_fill(start_abs, hot_abs, most_abs)
    column = static_pressure(rho_cold, v.gauge_height)
    fill = new_fill >= charge_abs and new_fill - ambient - column >= 0.0
    vessel = charge = False
    if most_abs > start_abs:
        size = relief.restoring_vessel(v.vessel_volume, start_abs, hot_abs, most_abs)
        vessel = size <= _SENSIBLE_GROWTH * v.vessel_volume
        found.too_large = not vessel
        new_charge = relief.restoring_charge(charge_abs, fill_abs, hot_abs, most_abs)
        charge = not empty and ambient <= new_charge <= fill_abs
    if not (fill or vessel or charge):
        return found
    most_abs = w.step(FINAL_ABS, p_e=greatest_vessel, P_a=ambient)
    if fill:
        new_fill = w.step(RESTORING_FILL, P_start=start_abs, P_h=hot_abs, P_e=most_abs)
        at_vessel = w.step(HIGHEST_FILL_GAUGE, P_fmax=new_fill, P_a=ambient)
        found.fill = w.step(
            FILL_ON_GAUGE, p_f=at_vessel, rho_c=rho_cold, g=STANDARD_GRAVITY, z_G=v.gauge_height
        )
    if vessel:
        found.vessel = w.step(
            RESTORING_VESSEL, V_N=v.vessel_volume, P_start=start_abs, P_h=hot_abs, P_e=most_abs
        )
    if charge:
        new_charge = w.step(
            RESTORING_CHARGE, P_0=charge_abs, P_f=fill_abs, P_h=hot_abs, P_e=most_abs
        )
        found.charge = w.step(RESTORING_CHARGE_GAUGE, P_0min=new_charge, P_a=ambient)
    return found


def _remedy(restore: _Restoring) -> tuple[str, dict]:
    """Return the sentence that says what restores the margin, with its quantities."""
    ways, values = [], {}
    if restore.fill is not None:
        ways.append(
            "lower the cold fill to {fill} on the gauge, as long as the highest point keeps "
            "its pressure"
        )
        values["fill"] = (restore.fill, u.GAUGE_PRESSURE)
    if restore.charge is not None:
        ways.append("raise the charge to {charge} with the vessel isolated and drained")
        values["charge"] = (restore.charge, u.GAUGE_PRESSURE)
    if restore.vessel is not None:
        ways.append("have a vessel of at least {vessel} fitted at this charge and fill")
        values["vessel"] = (restore.vessel, u.VOLUME)
    if not ways:
        return (
            "Neither a lower fill above this charge nor a vessel of a sensible size restores the "
            "margin. "
            "Lower charge and fill together if the height of the system allows, lower the "
            "highest temperature, or have a valve with a higher setting chosen that every part "
            "stands.",
            values,
        )
    words = ", or ".join(ways) + "."
    words = words[0].upper() + words[1:]
    if restore.fill is None:
        reason = (
            "The fill already lies below the charge, and lowering it does not help. "
            if restore.empty
            else "Lowering the fill alone would take it below the charge. "
        )
        words = reason + words
    elif restore.vessel is None and not restore.too_large:
        words = "No vessel is large enough at this fill. " + words
    return words, values


_MARGIN = "Margin below the relief valve"


def _doubt_margin(w: Work, margin: float, gap: float, cite: Citation, hot_valve: float) -> None:
    """Say what the margin would be, were there no steam: no verdict can rest on it."""
    w.check(
        "margin",
        _MARGIN,
        CAUTION,
        say(
            "Were the water to stay liquid, the valve would see {hot}: {margin} in hand, {gap} "
            "asked. Mend the boiling first, then read this again.",
            hot=(hot_valve, u.GAUGE_PRESSURE),
            margin=(margin, u.PRESSURE_DIFFERENCE),
            gap=(gap, u.PRESSURE_DIFFERENCE),
        ),
        cite,
    )


def _check_margin(
    w: Work,
    v: Values,
    margin: float,
    gap: float,
    cite: Citation,
    hot_valve: float,
    greatest_gauge: float,
    restore: _Restoring,
) -> None:
    values = {
        "hot": (hot_valve, u.GAUGE_PRESSURE),
        "set": (v.relief, u.GAUGE_PRESSURE),
        "gap": (gap, u.PRESSURE_DIFFERENCE),
        "margin": (margin, u.PRESSURE_DIFFERENCE),
        "most": (greatest_gauge, u.GAUGE_PRESSURE),
    }
    label = _MARGIN
    if margin >= gap - 1e-6 * v.relief:
        w.check(
            "margin",
            label,
            PASS,
            say(
                "Hot, the valve sees {hot} and opens at {set}: {margin} in hand, {gap} asked. "
                "The gauge may show up to {most} hot.",
                **values,
            ),
            cite,
        )
        return
    if margin <= 0.0:
        words = (
            "The valve opens at {set}, and heating up would take it to {hot}. "
            "It opens on every heat-up. "
        )
    else:
        words = "Hot, the valve sees {hot}: only {margin} below its {set}, and {gap} is asked. "
    remedy, restoring = _remedy(restore)
    w.check("margin", label, FAIL, say(words + remedy, **values, **restoring), cite)


def _check_lift(
    w: Work, v: Values, tolerance: float, lift: float, hot_valve: float, greatest: float
) -> None:
    if v.tolerance == "none":
        return
    values = {
        "lift": (lift, u.GAUGE_PRESSURE),
        "hot": (hot_valve, u.GAUGE_PRESSURE),
        "tol": (tolerance, u.PRESSURE_DIFFERENCE),
        "most": (greatest, u.GAUGE_PRESSURE),
    }
    label = "Room left for the set tolerance"
    slack = 1e-6 * v.relief
    if hot_valve >= lift - slack:
        status, words = (
            FAIL,
            (
                "The valve may open at {lift}, and hot it sees {hot}. "
                "Lower the hot pressure, or have the valve tested and changed for one that "
                "opens true."
            ),
        )
    elif greatest >= lift - slack:
        status, words = (
            CAUTION,
            (
                "The rule allows up to {most}, but the tolerance of {tol} lets the valve open at "
                "{lift}. The rule's margin is used up: choose a larger one."
            ),
        )
    else:
        status, words = (
            PASS,
            (
                "The valve opens at {lift} or above, and hot it sees {hot}. "
                "The rule's margin is wider than the tolerance of {tol}."
            ),
        )
    w.check(
        "lift",
        label,
        status,
        say(words, **values),
        TOLERANCE.cite if v.tolerance == "code" else COMMON_PRACTICE.at("set tolerance"),
    )


def _check_fill(
    w: Work, v: Values, fill: float, rho_cold: float, charge_abs: float, fill_abs: float
) -> None:
    values = {
        "fill": (fill, u.GAUGE_PRESSURE),
        "charge": (v.charge, u.GAUGE_PRESSURE),
    }
    if fill_abs >= charge_abs * (1.0 - 1e-6):
        held = water_in_vessel(v.vessel_volume, charge_abs, fill_abs)
        w.check(
            "fill",
            "Cold fill at or above the charge",
            PASS,
            say(
                "Cold, the vessel stands at {fill}, its charge is {charge}, and it holds {held}.",
                held=(held, u.VOLUME),
                **values,
            ),
            COMMON_PRACTICE.at("fill at or above the charge"),
        )
        return
    on_gauge = relief.pressure_at_valve(v.charge, rho_cold, v.gauge_height, 0.0)
    w.check(
        "fill",
        "Cold fill at or above the charge",
        FAIL,
        say(
            "Cold, the vessel stands at {fill}, below its charge of {charge}. It is empty, and the "
            "pressure falls away as the system cools. Fill to at least {gauge} on the gauge, or "
            "lower the charge if the height of the system allows.",
            gauge=(on_gauge, u.GAUGE_PRESSURE),
            **values,
        ),
        COMMON_PRACTICE.at("fill at or above the charge"),
    )


def _check_pump(w: Work, v: Values, margin: float, gap: float, valve_gain: float) -> None:
    label = "Pump between vessel and valve"
    gain = {"gain": (valve_gain, u.PRESSURE_DIFFERENCE)}
    if v.pump == "stopped":
        w.check(
            "pump",
            label,
            CAUTION,
            "The margin holds with the pump stopped. If it is met on the way from the vessel to "
            "the valve, choose that and enter its head: the valve sees it on top.",
            _LOOP,
        )
    elif valve_gain == 0.0:
        w.check(
            "pump",
            label,
            PASS,
            "The running pump adds nothing at the valve. The margin is taken with the pump "
            "stopped, when the valve sees the most.",
            _LOOP,
        )
    elif margin < gap <= margin + valve_gain:
        w.check(
            "pump",
            label,
            FAIL,
            say(
                "With the pump stopped the margin is enough. Running, it adds {gain} at the valve "
                "and takes it away. Keep the hot pressure at the vessel lower by that much, or "
                "have the vessel connected so that the pump is not between it and the valve.",
                **gain,
            ),
            _LOOP,
        )
    else:
        w.check(
            "pump",
            label,
            PASS,
            say(
                "The running pump adds {gain} at the valve. It is counted in the margin, "
                "and the pressure at the vessel does not change with it.",
                **gain,
            ),
            _LOOP,
        )


def _chart(
    w: Work,
    v: Values,
    fluid: Fluid,
    ambient: float,
    fill_abs: float,
    start_abs: float,
    hot_abs: float,
    valve_gain: float,
    greatest: float,
    lift: float,
) -> None:
    """Draw the pressure at the valve from cold to hot.

    The gas laws make 1/P fall in proportion to the expansion, whether the hot pressure was
    predicted or read.
    """
    whole = relative_expansion(fluid, v.cold, v.hot)
    if whole <= 0.0:
        return
    points = []
    count = 24
    for i in range(count + 1):
        t = v.cold + (v.hot - v.cold) * i / count
        if i == 0:
            at_vessel = fill_abs
        else:
            share = relative_expansion(fluid, v.cold, t) / whole
            at_vessel = 1.0 / (1.0 / start_abs - share * (1.0 / start_abs - 1.0 / hot_abs))
        at_valve = relief.pressure_at_valve(
            at_vessel - ambient, density(fluid, t), v.valve_height, valve_gain
        )
        points.append((t, at_valve))
    levels = [Level("relief valve set", v.relief, "limit")]
    if lift < v.relief:
        levels.append(Level("lowest opening", lift, "limit"))
    levels.append(Level("greatest by the rule", greatest, "info"))
    cold, hot = points[0], points[-1]
    w.chart(
        LineChart(
            id="heat-up",
            title="Pressure at the relief valve from cold to hot",
            x=Axis("water temperature", u.TEMPERATURE),
            y=Axis("pressure at the valve", u.GAUGE_PRESSURE),
            series=(Series("pressure at the valve", tuple(points), "main"),),
            levels=tuple(levels),
            marks=(Mark("cold", *cold), Mark("hot", *hot)),
            summary=say(
                "The pressure at the valve rises from {p1} at {t1} to {p2} at {t2}. "
                "The rule allows {most}; the valve is set at {set}.",
                p1=(cold[1], u.GAUGE_PRESSURE),
                t1=(cold[0], u.TEMPERATURE),
                p2=(hot[1], u.GAUGE_PRESSURE),
                t2=(hot[0], u.TEMPERATURE),
                most=(greatest, u.GAUGE_PRESSURE),
                set=(v.relief, u.GAUGE_PRESSURE),
            ),
        )
    )

"""Whether what takes the water copes: the grate, the sump and its pump, and their heat."""

from __future__ import annotations

from math import pi

from calc import units as u
from calc.drainage import (
    Moment,
)
from calc.drains import (
    largest_surplus,
)
from calc.equations.drainage import (
    CYCLE,
    MIXED,
    OPENINGS,
    ORIFICE,
    RATIO,
    RIM,
    SHORTEST_CYCLE,
    WEIR,
)
from calc.fluids import WATER, density
from calc.hydrostatics import STANDARD_GRAVITY
from calc.model import CAUTION, FAIL, PASS, Refusal, Values, Work, say
from calc.sources import (
    CFR_40_403,
    COMMON_PRACTICE,
    DWA_M_115_2,
    PHYSICS,
    TXDOT_HYDRAULICS,
    UPC,
    WATER_INDUSTRY_ACT,
)

_CELSIUS = u.TEMPERATURE.unit("degC")

RULES = {
    "60": (_CELSIUS.to_si(60.0), UPC.at("810.1")),
    "43.3": (u.TEMPERATURE.unit("degF").to_si(110.0), WATER_INDUSTRY_ACT.at("section 111")),
    "40": (_CELSIUS.to_si(40.0), CFR_40_403.at("403.5(b)")),
    "35": (_CELSIUS.to_si(35.0), DWA_M_115_2.at("limits at hand-over, 2005")),
}
"""Highest temperature into a drain by rule. [K]"""

_HAIR = 1.0 + 1e-9
_MASS = PHYSICS.at("mass balance")
_HEAT = PHYSICS.at("heat balance, one specific heat")


def judge_temperature(v: Values, w: Work, rho: float, volume: float, first_flow: float) -> None:
    """Judge the temperature of what reaches the drain, and what would cool it."""
    if v.limit_rule == "own":
        limit, cite = v.limit_own, COMMON_PRACTICE.at("the local limit entered")
    else:
        limit, cite = RULES[v.limit_rule]
    hot, cold = v.water_temperature, v.cold_temperature
    if hot > limit and cold >= limit:
        raise Refusal(
            say(
                "Cold water at {cold} cannot cool anything to {limit}. Enter colder water, or "
                "let the water cool by itself.",
                cold=(cold, u.TEMPERATURE),
                limit=(limit, u.TEMPERATURE),
            ),
            field="cold_temperature",
            cite=_HEAT,
        )
    cold_density = density(WATER, cold)
    entering = w.step(
        MIXED, m_h=rho * first_flow, t_h=hot, m_c=cold_density * v.cold_flow, t_c=cold
    )
    w.result("entering", entering)
    needed = 0.0
    if hot > limit:
        ratio = w.step(RATIO, t_h=hot, t_lim=limit, t_c=cold)
        needed = ratio * rho * first_flow / cold_density
        w.result("cold_ratio", ratio)
        w.result("cold_amount", ratio * rho * volume / cold_density)
        w.result("cold_needed", needed)
    values = {
        "t": (entering, u.TEMPERATURE),
        "limit": (limit, u.TEMPERATURE),
        "cold": (needed, u.FLOW),
    }
    label = "Cool enough for the drain"
    if entering > limit * _HAIR:
        w.check(
            "drain-temperature",
            label,
            FAIL,
            say(
                "The water reaches the drain at {t}; the limit is {limit}. Let it cool, or run "
                "{cold} of cold water in all beside it, which the drain has to take too.",
                **values,
            ),
            cite,
        )
    else:
        w.check(
            "drain-temperature",
            label,
            PASS,
            say("The water reaches the drain at {t}, within the limit of {limit}.", **values),
            cite,
        )


def judge_grate(v: Values, w: Work, first_flow: float) -> float:
    rim = w.step(RIM, pi=pi, D=v.grate_diameter, c=v.grate_clear)
    openings = w.step(OPENINGS, pi=pi, D=v.grate_diameter, s=v.grate_openings, c=v.grate_clear)
    weir = w.step(WEIR, P=rim, y=v.grate_depth)
    orifice = w.step(ORIFICE, a_o=openings, g=STANDARD_GRAVITY, y=v.grate_depth)
    capacity = min(weir, orifice)
    w.result("capacity", capacity)
    values = {
        "flow": (first_flow + v.cold_flow, u.FLOW),
        "capacity": (capacity, u.FLOW),
        "hose": (max(capacity - v.cold_flow, 0.0), u.FLOW),
    }
    cite = TXDOT_HYDRAULICS.at("equations 10-30 and 10-31")
    if first_flow + v.cold_flow > capacity * _HAIR:
        w.check(
            "drain-copes",
            "The drain takes the flow",
            FAIL,
            say(
                "{flow} run in at the start, but the grate takes {capacity}. Throttle the hose to "
                "{hose} or less, and clear the grate.",
                **values,
            ),
            cite,
        )
    else:
        w.check(
            "drain-copes",
            "The drain takes the flow",
            PASS,
            say(
                "{flow} run in at the start; the grate takes {capacity}. Pour a bucket in and "
                "watch: the pipe below may take less.",
                **values,
            ),
            cite,
        )
    return capacity


def judge_sump(v: Values, w: Work, moments: tuple[Moment, ...]) -> float:
    inflow = moments[0].flow + v.cold_flow
    surplus = largest_surplus(moments, v.pump_flow, v.cold_flow)
    w.result("shortest_cycle", w.step(SHORTEST_CYCLE, V_sump=v.sump_volume, Q_p=v.pump_flow))
    values = {
        "flow": (inflow, u.FLOW),
        "pump": (v.pump_flow, u.FLOW),
        "surplus": (surplus, u.VOLUME),
        "room": (v.sump_room, u.VOLUME),
        "hose": (max(v.pump_flow - v.cold_flow, 0.0), u.FLOW),
    }
    label = "The sump pump keeps up"
    if inflow >= v.pump_flow:
        w.result("surplus", surplus)
    if inflow < v.pump_flow:
        w.result("cycle", w.step(CYCLE, V_sump=v.sump_volume, Q_in=inflow, Q_p=v.pump_flow))
        w.result("pump_copes", "yes")
        w.check(
            "drain-copes",
            label,
            PASS,
            say(
                "{flow} run in at the start; the pump moves {pump}. See that it starts, and that "
                "it may take water this warm.",
                **values,
            ),
            _MASS,
        )
    elif surplus <= v.sump_room * _HAIR:
        w.result("pump_copes", "the sump's room takes the surplus")
        w.check(
            "drain-copes",
            label,
            CAUTION,
            say(
                "{flow} run in at the start, but the pump moves {pump}. {surplus} gather, and the "
                "sump has room for {room}. Watch it, or throttle the hose to {hose}.",
                **values,
            ),
            _MASS,
        )
    else:
        w.result("pump_copes", "no")
        w.check(
            "drain-copes",
            label,
            FAIL,
            say(
                "{flow} run in at the start, but the pump moves {pump}. {surplus} would gather "
                "where {room} fit. Throttle the hose to {hose} or less.",
                **values,
            ),
            _MASS,
        )
    return v.pump_flow

"""Growth, three rules, and the vessel that is there."""

from __future__ import annotations

from calc import units as u
from calc.calculators.common import density_of
from calc.calculators.domestic_vessel import judging
from calc.calculators.domestic_vessel.form import AT_LIMIT, CODE, DIN, OUTPUTS, VALVE
from calc.calculators.domestic_vessel.rule import Rule, There
from calc.equations.domestic import (
    CHARGE_HIGH,
    CHARGE_LOW,
    CODE_ABS,
    CODE_VOLUME,
    DIN_VOLUME,
    END_CODE,
    END_DIN,
    END_VALVE,
    GROWN,
    HOT_ABS,
    HOT_PRESSURE,
    ROOM,
    SUPPLY_ABS,
    SUPPLY_FILL_ABS,
    VALVE_ABS,
    VALVE_VOLUME,
    VESSEL_CHARGE_ABS,
)
from calc.equations.shared import AIR_PRESSURE, COLD_DENSITY, GROWTH, HOT_DENSITY
from calc.fluids import WATER
from calc.model import Equation, Refusal, Solution, Values, Work, say, work_on
from calc.sources import PHYSICS


def solve(v: Values) -> Solution:
    """Return the growth, the vessel by each rule, and what the vessel there does."""
    w = work_on(v)
    for output in OUTPUTS:
        w.result(output.name, None)
    hottest = _hottest(v)
    _refuse(v, hottest)
    rho_cold = density_of(w, COLD_DENSITY, WATER, "cold", t_c=v.cold)
    rho_hot = density_of(w, HOT_DENSITY, WATER, "stored", t_h=hottest)
    growth = w.step(GROWTH, rho_c=rho_cold, rho_h=rho_hot)
    expansion = w.step(GROWN, V_C=v.cylinder, e=growth)
    ambient = w.step(AIR_PRESSURE, z_s=v.altitude)
    w.result("growth", growth)
    w.result("expansion", expansion)
    rules = {rule.id: rule for rule in _rules(w, v, expansion, ambient)}
    chosen = rules[v.rule]
    for rule in rules.values():
        w.result(f"end_{rule.id}", rule.end)
        w.result(f"volume_{rule.id}", rule.volume)
    w.result("needed", chosen.volume)
    w.result("charge_low", chosen.charge_low)
    w.result("charge_high", chosen.charge_high)
    there = _there(w, v, expansion, ambient)
    judging.judge_supply(w, v)
    judging.judge_size(w, v, chosen)
    judging.judge_charge(w, v, chosen)
    judging.judge_hot(w, v, chosen, there)
    w.draw(judging.draw_rules, v, rules.values())
    w.draw(judging.draw_heating, v, chosen, there, hottest, rho_cold)
    return w.solution()


def _hottest(v: Values) -> float:
    return v.temperature_limit if v.grow_to == AT_LIMIT else v.stored


def _refuse(v: Values, hottest: float) -> None:
    if hottest < v.stored:
        raise Refusal(
            say(
                "The valve would open at {limit}, below the stored {stored}. Enter the "
                "temperature on the valve's plate, or lower the thermostat.",
                limit=(hottest, u.TEMPERATURE),
                stored=(v.stored, u.TEMPERATURE),
            ),
            field="temperature_limit",
            cite=PHYSICS.at("a valve opens at its set temperature"),
        )
    if v.cold >= v.stored:
        raise Refusal(
            say(
                "The cold water, {cold}, is not below the stored {stored}, so nothing grows. "
                "Enter the coldest supply and the thermostat's setting.",
                cold=(v.cold, u.TEMPERATURE),
                stored=(v.stored, u.TEMPERATURE),
            ),
            field="cold",
            cite=PHYSICS.at("thermal expansion"),
        )
    if v.supply >= v.cylinder_relief:
        raise Refusal(
            say(
                "The supply of {supply} holds the relief valve open, which is set at {set}. Fit a "
                "regulator before the cylinder, and enter the pressure behind it.",
                supply=(v.supply, u.GAUGE_PRESSURE),
                set=(v.cylinder_relief, u.GAUGE_PRESSURE),
            ),
            field="supply",
            cite=PHYSICS.at("a valve opens at its set pressure"),
        )


_HAIR = 1.0
"""Pressures as near as this are one: 0.8 times 75 psi is 60 psi but for rounding. [Pa]"""


def _rules(w: Work, v: Values, expansion: float, ambient: float) -> list[Rule]:
    supply_abs = w.step(SUPPLY_ABS, p_s=v.supply, P_a=ambient)
    end_valve = w.step(END_VALVE, p_sv=v.cylinder_relief)
    end_code = w.step(END_CODE)
    end_din = w.step(END_DIN, p_sv=v.cylinder_relief)

    def boyle(number: int, end: float, to_absolute: Equation, size: Equation) -> float | None:
        if end <= v.supply + _HAIR:
            return None
        end_abs = w.step(to_absolute, **{f"p_e{number}": end, "P_a": ambient})
        return w.step(size, **{"V_ex": expansion, "P_s": supply_abs, f"P_e{number}": end_abs})

    by_valve = boyle(1, end_valve, VALVE_ABS, VALVE_VOLUME)
    by_code = boyle(2, end_code, CODE_ABS, CODE_VOLUME)
    by_din = None
    if end_din > v.supply + _HAIR:
        by_din = w.step(DIN_VOLUME, V_ex=expansion, p_s=v.supply, p_e3=end_din)
    low, high = w.step(CHARGE_LOW, p_s=v.supply), w.step(CHARGE_HIGH, p_s=v.supply)
    return [
        Rule(DIN, "DIN 4807-5", end_din, low, high, by_din),
        Rule(CODE, "80 psi of the codes", end_code, v.supply, v.supply, by_code),
        Rule(VALVE, "A tenth below the valve", end_valve, v.supply, v.supply, by_valve),
    ]


def _there(w: Work, v: Values, expansion: float, ambient: float) -> There:
    charge_abs = w.step(VESSEL_CHARGE_ABS, p_0=v.domestic_charge, P_a=ambient)
    supply_abs = w.step(SUPPLY_FILL_ABS, p_f=v.supply, P_a=ambient)
    hot = None
    if expansion < v.domestic_vessel * min(charge_abs / supply_abs, 1.0):
        hot_abs = w.step(
            HOT_ABS, V_N=v.domestic_vessel, P_0=charge_abs, P_f=supply_abs, V_ex=expansion
        )
        hot = w.step(HOT_PRESSURE, P_h=hot_abs, P_a=ambient)
        w.result("hot_pressure", hot)
        w.result("room", w.step(ROOM, p_sv=v.cylinder_relief, p_h=hot))
    return There(ambient, charge_abs, supply_abs, expansion, hot)

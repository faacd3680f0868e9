"""Verdicts on the supply, the vessel and the valve, and the pictures."""

from __future__ import annotations

from collections.abc import Iterable

from calc import units as u
from calc.calculators.domestic_vessel.form import CODE, DIN, OPEN, VALVE
from calc.calculators.domestic_vessel.rule import Rule, There
from calc.domestic import CODE_LIMIT
from calc.fluids import WATER, density
from calc.model import (
    CAUTION,
    FAIL,
    PASS,
    Axis,
    Bar,
    BarChart,
    Level,
    LineChart,
    Mark,
    Message,
    ResultColumn,
    ResultRow,
    ResultTable,
    Series,
    Values,
    Work,
    say,
)
from calc.sources import (
    CHICAGO_PLUMBING,
    DIN_4807_5,
    ENGINEERS_NOTE_2015,
    IPC,
    UPC,
)
from calc.vessel import hot_pressure

_CITES = {
    DIN: DIN_4807_5.at("vessel volume and charge"),
    CODE: IPC.at("604.8 and 607.3"),
    VALVE: ENGINEERS_NOTE_2015.at("vessel volume"),
}
_HAIR = 1e-9
_NEAR = 0.1e5
_CHART_STEPS = 30


def judge_supply(w: Work, v: Values) -> None:
    shown = {"supply": (v.supply, u.GAUGE_PRESSURE), "most": (CODE_LIMIT, u.GAUGE_PRESSURE)}
    label = "Pressure of the supply"
    cite = UPC.at("608.2")
    if v.supply <= CODE_LIMIT * (1 + _HAIR):
        message = say("{supply} is not above {most}, so no regulator is asked for.", **shown)
        w.check("supply", label, PASS, message, cite)
    else:
        message = say(
            "{supply} is above {most}. Fit a regulator, and the vessel behind it: a regulator "
            "closes the supply.",
            **shown,
        )
        w.check("supply", label, FAIL, message, cite)
    label = "Way back for the grown water"
    cite = UPC.at("608.3")
    if v.closes == OPEN:
        message = (
            "Open to the main, the water grows back into it and a vessel changes little. Look "
            "again for a check valve in the meter, and ask the supplier: one fitted later leaves "
            "the cylinder without a way out."
        )
        w.check("closed", label, CAUTION, message, cite)
    else:
        message = (
            "The supply is closed, so the grown water needs a vessel, or another device that the "
            "code approves."
        )
        w.check("closed", label, PASS, message, cite)


def judge_size(w: Work, v: Values, rule: Rule) -> None:
    label = "Vessel by the rule chosen"
    cite = _CITES[rule.id]
    shown = {
        "there": (v.domestic_vessel, u.VOLUME),
        "end": (rule.end, u.GAUGE_PRESSURE),
        "supply": (v.supply, u.GAUGE_PRESSURE),
    }
    if rule.volume is None:
        message = say(
            "No vessel serves: the supply of {supply} is not below the highest pressure, {end}. "
            "Fit a regulator or set it lower.",
            **shown,
        )
        w.check("size", label, FAIL, message, cite)
        return
    shown["needed"] = (rule.volume, u.VOLUME)
    if v.domestic_vessel >= rule.volume * (1 - _HAIR):
        message = say("{there} is there and {needed} is needed.", **shown)
        w.check("size", label, PASS, message, cite)
    else:
        message = say(
            "{there} is there and {needed} is needed. Fit a larger one, made for drinking water.",
            **shown,
        )
        w.check("size", label, FAIL, message, cite)
    if rule.id == CODE and rule.end > 0.9 * v.cylinder_relief * (1 + _HAIR):
        message = say(
            "{end} is less than a tenth below the relief valve, set at {set}, which then drips. "
            "Take the larger vessel of the rule that goes by the valve.",
            end=shown["end"],
            set=(v.cylinder_relief, u.GAUGE_PRESSURE),
        )
        w.check("code-end", "The code's limit against the valve", CAUTION, message, cite)


def judge_charge(w: Work, v: Values, rule: Rule) -> None:
    label = "Charge of the vessel there"
    cite = _CITES[rule.id]
    near = 0.0 if rule.id == DIN else _NEAR
    shown = {
        "charge": (v.domestic_charge, u.GAUGE_PRESSURE),
        "low": (rule.charge_low, u.GAUGE_PRESSURE),
        "high": (rule.charge_high, u.GAUGE_PRESSURE),
        "supply": (v.supply, u.GAUGE_PRESSURE),
    }
    window = "between {low} and {high}" if rule.id == DIN else "to {high}, that of the supply"
    slack = _HAIR * 1e5 + near
    if v.domestic_charge > rule.charge_high + slack:
        message = say(
            f"{{charge}} is too high: the vessel takes nothing until the pressure has risen to "
            f"it. Set it {window}.",
            **shown,
        )
        w.check("charge", label, CAUTION, message, cite)
    elif v.domestic_charge < rule.charge_low - slack:
        message = say(
            f"{{charge}} is too low: the supply of {{supply}} already fills part of the vessel. "
            f"Set it {window}.",
            **shown,
        )
        w.check("charge", label, CAUTION, message, cite)
    else:
        w.check("charge", label, PASS, say("{charge} suits the supply.", **shown), cite)


def judge_hot(w: Work, v: Values, rule: Rule, there: There) -> None:
    label = "The relief valve is not the expansion control"
    cite = CHICAGO_PLUMBING.at("relief valves of water heaters")
    shown = {
        "set": (v.cylinder_relief, u.GAUGE_PRESSURE),
        "expansion": (there.expansion, u.VOLUME),
        "end": (rule.end, u.GAUGE_PRESSURE),
    }
    if there.hot is None or there.hot >= v.cylinder_relief:
        if v.closes == OPEN:
            message = say(
                "The day the supply is closed, the valve, set at {set}, opens at each heating from "
                "cold, and part of {expansion} runs to waste. Fit the vessel that is needed "
                "together with any check valve.",
                **shown,
            )
            w.check("control", label, CAUTION, message, cite)
            return
        message = say(
            "At each heating from cold the valve, set at {set}, opens, and part of {expansion} "
            "runs to waste. That wears it until it leaks or sticks. Fit the vessel that is needed.",
            **shown,
        )
        w.check("control", label, FAIL, message, cite)
        return
    shown["hot"] = (there.hot, u.GAUGE_PRESSURE)
    message = say("Hot, it stands at {hot}; the valve is set at {set} and stays shut.", **shown)
    w.check("control", label, PASS, message, cite)
    label = "Pressure when hot"
    cite = _CITES[rule.id]
    if there.hot <= rule.end * (1 + _HAIR):
        w.check("hot", label, PASS, say("{hot} is not above {end}.", **shown), cite)
    else:
        message = say(
            "{hot} is above the {end} of the rule chosen. Set the charge, or fit a larger vessel.",
            **shown,
        )
        w.check("hot", label, FAIL, message, cite)
    if rule.id != CODE and there.hot > CODE_LIMIT * (1 + _HAIR):
        message = say(
            "{hot} is above {most}, which US plumbing codes name as the most in a building. "
            "Where one is adopted, choose its rule.",
            hot=shown["hot"],
            most=(CODE_LIMIT, u.GAUGE_PRESSURE),
        )
        w.check("fixtures", "Taps and hoses", CAUTION, message, IPC.at("604.8"))


def _charge_text(rule: Rule) -> Message:
    if rule.charge_low == rule.charge_high:
        return say("{high}", high=(rule.charge_high, u.GAUGE_PRESSURE))
    return say(
        "{low} to {high}",
        low=(rule.charge_low, u.GAUGE_PRESSURE),
        high=(rule.charge_high, u.GAUGE_PRESSURE),
    )


def draw_rules(w: Work, v: Values, rules: Iterable[Rule]) -> None:
    rules = tuple(rules)
    w.chart(
        ResultTable(
            id="rules",
            title="The rules side by side",
            corner="Rule",
            columns=(
                ResultColumn("Highest pressure", u.GAUGE_PRESSURE),
                ResultColumn("Charge"),
                ResultColumn("Smallest vessel", u.VOLUME),
                ResultColumn("The one there"),
            ),
            rows=tuple(
                ResultRow(r.name, (r.end, _charge_text(r), r.volume, _suits(v, r))) for r in rules
            ),
            summary=say(
                "For {there} of vessel and a supply of {supply}; a dash means that no vessel "
                "serves.",
                there=(v.domestic_vessel, u.VOLUME),
                supply=(v.supply, u.GAUGE_PRESSURE),
            ),
        )
    )
    w.chart(
        BarChart(
            id="volumes",
            title="Smallest vessel by each rule",
            kind=u.VOLUME,
            bars=(
                Bar("The one there", v.domestic_vessel),
                *(Bar(r.name, r.volume) for r in rules if r.volume is not None),
            ),
            summary="Each rule stops at another pressure, so each asks for another vessel.",
        )
    )


def _suits(v: Values, rule: Rule) -> str:
    if rule.volume is None:
        return "no vessel serves"
    return "serves" if v.domestic_vessel >= rule.volume * (1 - _HAIR) else "too small"


def draw_heating(
    w: Work,
    v: Values,
    rule: Rule,
    there: There,
    hottest: float,
    rho_cold: float,
) -> None:
    """Draw the pressure over the temperature, up to where the gas is used up."""
    gas = v.domestic_vessel * min(there.charge_abs / there.supply_abs, 1.0)
    ceiling = v.cylinder_relief * 1.25
    points = [(v.cold, v.supply)]
    for n in range(1, _CHART_STEPS + 1):
        temperature = v.cold + (hottest - v.cold) * n / _CHART_STEPS
        grown = v.cylinder * max(rho_cold / density(WATER, temperature) - 1.0, 0.0)
        if grown >= gas * 0.999:
            break
        pressure = (
            hot_pressure(v.domestic_vessel, there.charge_abs, there.supply_abs, grown)
            - there.ambient
        )
        if pressure > ceiling:
            break
        points.append((temperature, pressure))
    if len(points) < 2:
        return
    last = points[-1]
    reached = "hot" if there.hot is not None and last[0] == hottest else "valve open by then"
    w.chart(
        LineChart(
            id="heating",
            title="Pressure in the cylinder as it heats up",
            x=Axis("stored water", u.TEMPERATURE),
            y=Axis("pressure", u.GAUGE_PRESSURE),
            series=(Series("with the vessel there", tuple(points)),),
            levels=(
                Level("relief valve opens", v.cylinder_relief, "limit"),
                Level("highest by the rule chosen", rule.end),
            ),
            marks=(Mark("supply", *points[0]), Mark(reached, *last)),
            summary=say(
                "From {supply} cold to {last} at {there}, with nothing drawn off.",
                supply=(v.supply, u.GAUGE_PRESSURE),
                last=(last[1], u.GAUGE_PRESSURE),
                there=(last[0], u.TEMPERATURE),
            ),
        )
    )

"""Verdicts on the options: what each gives up, which serve, which costs least."""

from __future__ import annotations

from calc import units as u
from calc.calculators.replacement_options.option import HAIR, Duty, Option
from calc.lifting import LOAD_CONSTANT
from calc.model import (
    CAUTION,
    FAIL,
    PASS,
    Bar,
    BarChart,
    Message,
    ResultColumn,
    ResultRow,
    ResultTable,
    Work,
    say,
)
from calc.sources import EN_12828, NIOSH_94_110, OWN_RULE, PHYSICS, Citation
from calc.vessel import SMALL_VESSEL

_ANNEX_D = EN_12828.at("annex D")
_BOYLE = PHYSICS.at("Boyle's law")

NARROW = 0.1e5
"""Room to set the cold fill below which a gauge can hardly hit it. [Pa]"""


def judge(w: Work, d: Duty, o: Option, options: list[Option]) -> None:
    """Say in one line what an option gives up."""
    status, message, cite = FAIL, _short(w, d, o), _ANNEX_D
    if o.serves(d):
        status, message, cite = _serving(d, o, options)
    w.check(f"option-{o.number + 1}", o.name, status, message, cite)


def _short(w: Work, d: Duty, o: Option) -> Message:
    shown = {
        "total": (o.total, u.VOLUME),
        "minimum": (w.results["minimum"], u.VOLUME),
        "final": (d.final_abs - d.ambient, u.GAUGE_PRESSURE),
    }
    if o.fill_abs is None or o.reserve >= o.total:
        return say(
            "It gives up the reserve: {reserve} is asked and the whole of it is {total}. "
            "Take at least {minimum}.",
            reserve=(o.reserve, u.VOLUME),
            **shown,
        )
    if o.hot_abs is None:
        return say(
            "It gives up the job: the water grows by {growth}, more than the gas in its {total}, "
            "so the relief valve opens at every heating. Take at least {minimum}.",
            growth=(d.expansion, u.VOLUME),
            **shown,
        )
    shown["hot"] = (o.hot_abs - d.ambient, u.GAUGE_PRESSURE)
    if o.reserve:
        return say(
            "It gives up the reserve or the margin: with {total} no cold fill keeps {reserve} in "
            "it and stays at or below {final} hot; it reaches {hot}. Take at least {minimum}.",
            reserve=(o.reserve, u.VOLUME),
            **shown,
        )
    return say(
        "It gives up the margin: with {total} it reaches {hot} hot, and {final} is allowed. "
        "Take at least {minimum}.",
        **shown,
    )


def _serving(d: Duty, o: Option, options: list[Option]) -> tuple[str, Message, Citation]:
    shown = {
        "low": (o.low_abs - d.ambient, u.GAUGE_PRESSURE),
        "high": (o.high_abs - d.ambient, u.GAUGE_PRESSURE),
        "fill": (o.fill_abs - d.ambient, u.GAUGE_PRESSURE),
        "window": (o.window, u.PRESSURE_DIFFERENCE),
        "narrow": (NARROW, u.PRESSURE_DIFFERENCE),
    }
    if not o.low_abs * (1 - HAIR) <= o.fill_abs <= o.high_abs * (1 + HAIR):
        return (
            CAUTION,
            say(
                "It serves, but not at the fill of {fill}: it gives up that fill. "
                "Fill it between {low} and {high}.",
                **shown,
            ),
            _ANNEX_D,
        )
    if o.window < NARROW:
        return (
            CAUTION,
            say(
                "It serves, but gives up room: the fill has to lie between {low} and {high}, "
                "{window} apart, less than {narrow}. Use a gauge that shows it, or take the next "
                "size up.",
                **shown,
            ),
            OWN_RULE.at("a fill that a gauge can be set to"),
        )
    return PASS, _price(o, [one for one in options if one.serves(d)], shown), _BOYLE


def _price(o: Option, serving: list[Option], shown: dict) -> Message:
    """Return what a sound option costs over the others."""
    cheapest = min(serving, key=lambda one: one.cost)
    parts = ["It serves, filled cold between {low} and {high}."]
    if o.cost > cheapest.cost:
        shown["more"] = (o.cost - cheapest.cost, u.MONEY)
        parts.append("It gives up {more} over the cheapest that serves.")
    elif any(one.total > o.total for one in serving):
        shown["less"] = (max(one.total for one in serving) - o.total, u.VOLUME)
        parts.append("It costs least, and gives up {less} of volume against the largest.")
    else:
        parts.append("It costs least of those that serve.")
    if o.count > 1:
        parts.append("Side by side, every charge has to be kept alike, at one point of the loop.")
    if o.piece > LOAD_CONSTANT:
        shown["piece"] = (o.piece, u.MASS)
        parts.append("One piece weighs {piece}, too much for one person.")
    return say(" ".join(parts), **shown)


def compare(w: Work, d: Duty, options: list[Option]) -> None:
    """Name the best options, and draw all of them side by side."""
    serving = [one for one in options if one.serves(d)]
    minimum = (w.results["minimum"], u.VOLUME)
    label = "An option serves"
    w.result("serving", ", ".join(one.name for one in serving) if serving else "none of them")
    w.result("cheapest", None)
    for name in ("least_cost", "hot_pressure", "fill_low", "fill_high", "lightest"):
        w.result(name, None)
    if serving:
        message = say("At least {minimum} is needed.", minimum=minimum)
        w.check("any", label, PASS, message, _ANNEX_D)
        cheapest = min(serving, key=lambda one: one.cost)
        lightest = min(serving, key=lambda one: one.piece)
        w.result("cheapest", cheapest.name)
        w.result("least_cost", cheapest.cost)
        w.result("hot_pressure", _gauge(d, cheapest.hot_abs))
        w.result("fill_low", _gauge(d, cheapest.low_abs))
        w.result("fill_high", _gauge(d, cheapest.high_abs))
        w.result("lightest", lightest.name)
        _judge_carrying(w, lightest)
    else:
        message = say(
            "None does: at least {minimum} is needed. Add a larger option.", minimum=minimum
        )
        w.check("any", label, FAIL, message, _ANNEX_D)
    w.draw(_draw, d, options)


def _judge_carrying(w: Work, lightest: Option) -> None:
    shown = {"piece": (lightest.piece, u.MASS), "one": (LOAD_CONSTANT, u.MASS)}
    cite = NIOSH_94_110.at("load constant")
    label = "Light enough to carry in"
    if lightest.piece > LOAD_CONSTANT:
        message = say(
            "Even the lightest piece of those that serve weighs {piece}; one person in the best "
            "posture lifts {one}. Plan two people or a hoist, and check the lift.",
            **shown,
        )
        w.check("carrying", label, CAUTION, message, cite)
    else:
        message = say(
            "The lightest that serves comes in pieces of {piece}; one person in the best posture "
            "lifts {one}. Check the lift where posture is poor.",
            **shown,
        )
        w.check("carrying", label, PASS, message, cite)


def _gauge(d: Duty, pressure_abs: float | None) -> float | None:
    return None if pressure_abs is None else pressure_abs - d.ambient


def _left(d: Duty, o: Option) -> float | None:
    return None if o.hot_abs is None else d.final_abs - o.hot_abs


_COLUMNS = (
    ResultColumn("Serves"),
    ResultColumn("Volume together", u.VOLUME),
    ResultColumn("Hot pressure at the vessel", u.GAUGE_PRESSURE),
    ResultColumn("Left below the highest allowed", u.PRESSURE_DIFFERENCE),
    ResultColumn("Water kept when cold", u.VOLUME),
    ResultColumn("Lowest cold fill", u.GAUGE_PRESSURE),
    ResultColumn("Highest cold fill", u.GAUGE_PRESSURE),
    ResultColumn("Room to set the fill", u.PRESSURE_DIFFERENCE),
    ResultColumn("One vessel, empty", u.MASS),
    ResultColumn("One vessel, full of water", u.MASS),
    ResultColumn("Parts and labour", u.MONEY),
)


def _draw(w: Work, d: Duty, options: list[Option]) -> None:
    rows = tuple(
        ResultRow(
            o.name,
            (
                "yes" if o.serves(d) else "no",
                o.total,
                _gauge(d, o.hot_abs),
                _left(d, o),
                o.held,
                _gauge(d, o.low_abs),
                _gauge(d, o.high_abs) if o.high_abs >= d.charge_abs else None,
                o.window if o.serves(d) else None,
                o.piece,
                o.full_mass,
                o.cost,
            ),
        )
        for o in options
    )
    final = (d.final_abs - d.ambient, u.GAUGE_PRESSURE)
    w.chart(
        ResultTable(
            id="side-by-side",
            title="Side by side",
            corner="Quantity",
            columns=_COLUMNS,
            rows=rows,
            turned=True,
            summary=say(
                "Hot, the vessel may stand at {final}; a dash means that there is no such value.",
                final=final,
            ),
        )
    )
    asked = w.results["reserve_asked"]
    hot = [(o.name, o.hot_abs - d.ambient) for o in options if o.hot_abs is not None]
    w.chart(
        BarChart(
            id="hot",
            title="Hot pressure at the vessel",
            kind=u.GAUGE_PRESSURE,
            bars=(Bar("Highest allowed", final[0]), *(Bar(*one) for one in hot)),
            summary=say("Bars longer than the first, {final}, pass the limit.", final=final),
        )
    )
    w.chart(
        BarChart(
            id="kept",
            title="Water kept when cold",
            kind=u.VOLUME,
            bars=(
                Bar("Reserve asked", asked),
                *(Bar(o.name, o.held) for o in options if o.held is not None),
            ),
            summary=say(
                "The first bar is the reserve asked, {asked}; of a vessel up to {small} a fifth "
                "is asked.",
                asked=(asked, u.VOLUME),
                small=(SMALL_VESSEL, u.VOLUME),
            ),
        )
    )

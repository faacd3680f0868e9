"""How long until the system is cool enough to open or to drain."""

from __future__ import annotations

from dataclasses import replace

from calc import site
from calc import units as u
from calc.cooling import temperature_after
from calc.equations import cooling as eq
from calc.equations.shared import AIR_PRESSURE, BOILING_POINT
from calc.model import (
    CAUTION,
    FAIL,
    PASS,
    Axis,
    Calculator,
    Choice,
    Level,
    Limit,
    LineChart,
    Mark,
    Option,
    Output,
    Quantity,
    Refusal,
    Section,
    Series,
    Solution,
    Values,
    Work,
    say,
    work_on,
)
from calc.sources import (
    CFR_40_403,
    CPSC_5098,
    DWA_M_115_2,
    OWN_RULE,
    PHYSICS,
    UPC,
    WATER_INDUSTRY_ACT,
)

_CELSIUS = u.TEMPERATURE.unit("degC")
_FAHRENHEIT = u.TEMPERATURE.unit("degF")

GOALS = {"49": 49.0, "60": 60.0, "43.3": 43.3, "40": 40.0, "35": 35.0}
"""Temperatures to reach by their option. [degC]"""

_GOAL_CITES = {
    "49": CPSC_5098.at("120 °F"),
    "60": UPC.at("810.1"),
    "43.3": WATER_INDUSTRY_ACT.at("s. 111"),
    "40": CFR_40_403.at("(b)"),
    "35": DWA_M_115_2.at("edition 2005"),
    "own": OWN_RULE.at("the limit entered"),
}

BURNS = ((150.0, "2 seconds"), (140.0, "6 seconds"), (130.0, "30 seconds"), (120.0, "5 minutes"))
"""Water [degF] and how fast it burns an adult's skin through, hottest first."""

OPEN_BELOW = _CELSIUS.to_si(49.0)
BOILING_MARGIN = 10.0
"""Distance below the boiling point under which opening is warned of. [K]"""

LEAST_FALL = 4.0
"""Readings closer than this tell little, with a thermometer good to half a kelvin. [K]"""

FARTHEST = 6.0
"""Waiting times longer than this many intervals are a guess. [-]"""

_SLIP = OWN_RULE.at("to catch a slip of the pen")
_COOLING = PHYSICS.at("Newton's law of cooling")
_POINTS = 31

# In a sentence here, times are hours.
_HOURS = replace(u.TIME, si="h", us="h")


def _reading(name: str, label: str, default: str, help: str, high: str = "150 degC") -> Quantity:
    return Quantity(
        name=name, label=label, kind=u.TEMPERATURE, default=default, reading=True, help=help,
        low=Limit("-30 degC", "nothing in a heated building is colder", _SLIP),
        high=Limit(high, "no hot-water boiler and no plant room gets hotter", _SLIP),
    )  # fmt: skip


INPUTS = (
    Choice(
        name="goal", label="Wait until it is down to", default="49",
        options=(
            Option("49", "49 °C (120 °F), to open it"),
            Option("60", "60 °C (140 °F), drain by the Uniform Plumbing Code 810.1"),
            Option("43.3", "43.3 °C (110 °F), drain by the UK Water Industry Act 1991 s. 111"),
            Option("40", "40 °C (104 °F), drain by US 40 CFR 403.5(b) at the works"),
            Option("35", "35 °C (95 °F), drain by DWA-M 115-2 at hand-over"),
            Option("own", "Another limit"),
        ),
        help="Where you open it and drain it as well, take the lower one. The local code wins.",
    ),
    Quantity(
        name="goal_own", label="Own limit", kind=u.TEMPERATURE, default="45 degC",
        help="As the local code, the sewage works or your employer has it.",
        low=Limit("5 degC", "no rule is lower than cold water", _SLIP),
        high=Limit("95 degC", "hotter water is no goal to open anything at", _SLIP),
        when={"goal": ("own",)},
    ),
    _reading("first", "First reading", "71 ± 0.5 degC",
             "At the hottest part you will open, burner locked out. Insulate the sensor's back."),
    _reading("second", "Second reading", "66 ± 0.5 degC", "Same spot, same thermometer, later."),
    Quantity(
        name="interval", label="Time between the readings", kind=u.TIME, default="60 min",
        reading=True,
        help="Half an hour at least. The waiting time counts from the second reading.",
        low=Limit("1 min", "in less than that the thermometer itself is still settling", _SLIP),
        high=Limit("10 d", "no system needs that long", _SLIP),
    ),
    _reading("room", "Room", "18 ± 1 degC",
             "Air round the part, away from it. With the pump on, that of the heated rooms.",
             "60 degC"),
    replace(site.SYSTEM_VOLUME,
            help="Water that cools with the part: the whole system with the pump on, else what "
            "stands in that part."),
    replace(site.FLUID, help="Glycol holds less heat than water."),
    site.GLYCOL,
    site.ALTITUDE,
)  # fmt: skip

SECTIONS = (
    Section("Readings", ("goal", "goal_own", "first", "second", "interval", "room")),
    Section("Water that cools", ("system_volume", "fluid", "glycol")),
    Section("Site", ("altitude",), folded=True),
)

OUTPUTS = (
    Output("wait", "Time from the second reading", u.TIME, unit="h", headline=True,
           help="Until the goal is reached. 0 if it is reached already."),
    Output("next", "To expect after the same time again", u.TEMPERATURE, headline=True,
           help="Read it then: if it is hotter, something still heats, or the far part is slower."),
    Output("time_constant", "Time constant", u.TIME, unit="h",
           help="In this time the distance to the room falls to 37 %."),
    Output("heat_to_goal", "Heat to go before the goal", u.ENERGY, unit="kWh"),
    Output("heat_to_room", "Heat in the water above the room", u.ENERGY, unit="kWh"),
    Output("loss", "Heat the water loses now", u.POWER,
           help="The metal's heat is left out, so the true loss is a little more."),
    Output("boiling", "Boiling point in the open here", u.TEMPERATURE),
)  # fmt: skip


def _goal(v: Values) -> float:
    return v.goal_own if v.goal == "own" else _CELSIUS.to_si(GOALS[v.goal])


def _require_cooling(v: Values, goal: float) -> None:
    said = {
        "first": (v.first, u.TEMPERATURE), "second": (v.second, u.TEMPERATURE),
        "room": (v.room, u.TEMPERATURE), "goal": (goal, u.TEMPERATURE),
    }  # fmt: skip
    if v.second >= v.first:
        raise Refusal(
            say("From {first} to {second} nothing cools. Prove the lock-out again, and look for "
                "another boiler, an immersion heater or a hot cylinder feeding back; or wait "
                "longer between the readings.", **said),
            field="second", cite=_COOLING,
        )  # fmt: skip
    if v.second <= v.room:
        raise Refusal(
            say("The second reading, {second}, is not above the room, {room}: it can cool no "
                "further. Check the room's temperature.", **said),
            field="room", cite=_COOLING,
        )  # fmt: skip
    if goal <= v.room:
        raise Refusal(
            say("The goal, {goal}, is not above the room, {room}, and nothing cools below the "
                "room it stands in. Cool it with cold water in an open tank, or ask for another "
                "limit.", **said),
            field="goal_own" if v.goal == "own" else "goal", cite=_COOLING,
        )  # fmt: skip


def _check_readings(w: Work, v: Values, wait: float) -> None:
    fall = v.first - v.second
    said = {"fall": (fall, u.TEMPERATURE_DIFFERENCE), "least": (LEAST_FALL,
            u.TEMPERATURE_DIFFERENCE)}  # fmt: skip
    cite = OWN_RULE.at("readings 4 K apart")
    if fall < LEAST_FALL:
        w.check(
            "apart", "Readings far enough apart", CAUTION,
            say("The readings lie {fall} apart, less than {least}, so a small slip of the "
                "thermometer moves the answer a lot. Wait longer and read again.", **said),
            cite,
        )  # fmt: skip
    else:
        w.check(
            "apart", "Readings far enough apart", PASS,
            say("The readings lie {fall} apart; {least} is enough.", **said), cite,
        )  # fmt: skip
    said = {"wait": (wait, _HOURS), "most": (FARTHEST * v.interval, _HOURS)}
    cite = OWN_RULE.at("six intervals ahead")
    if wait > FARTHEST * v.interval:
        w.check(
            "ahead", "Not too far ahead", CAUTION,
            say("{wait} is more than six times the time between the readings, {most}. Take it "
                "for a guess, and work it out again from a later reading.", **said),
            cite,
        )  # fmt: skip
    else:
        w.check(
            "ahead", "Not too far ahead", PASS,
            say("{wait} is within six times the time between the readings, {most}. Measure again "
                "before you open anything.", **said),
            cite,
        )  # fmt: skip


def _check_boiling(w: Work, v: Values, goal: float, boiling: float) -> None:
    said = {
        "t": (v.second, u.TEMPERATURE), "b": (boiling, u.TEMPERATURE),
        "goal": (goal, u.TEMPERATURE),
        "margin": (BOILING_MARGIN, u.TEMPERATURE_DIFFERENCE),
    }  # fmt: skip
    cite = OWN_RULE.at("10 K below the boiling point; no code figure")
    if v.second >= boiling:
        w.check(
            "boiling", "Below boiling in the open", FAIL,
            say("At {t} the water would boil the moment it is let out: here that is at {b}. Open "
                "nothing, not even a vent.", **said),
            cite,
        )  # fmt: skip
    elif v.second > boiling - BOILING_MARGIN:
        w.check(
            "boiling", "Below boiling in the open", CAUTION,
            say("{t} is less than {margin} below boiling in the open, {b}. Open nothing before it "
                "has cooled.", **said),
            cite,
        )  # fmt: skip
    else:
        w.check(
            "boiling", "Below boiling in the open", PASS,
            say("{t} is at least {margin} below boiling in the open, {b}.", **said), cite,
        )  # fmt: skip
    if goal > OPEN_BELOW:
        w.check(
            "goal", "Cool enough to open as well", CAUTION,
            say("{goal} is a limit for the drain, not for skin. To open anything, wait for "
                "{open}.", open=(OPEN_BELOW, u.TEMPERATURE), goal=(goal, u.TEMPERATURE)),
            _GOAL_CITES["49"],
        )  # fmt: skip
    else:
        w.check(
            "goal", "Cool enough to open as well", PASS,
            say("{goal} is no more than {open}, where skin has minutes.",
                open=(OPEN_BELOW, u.TEMPERATURE), goal=(goal, u.TEMPERATURE)),
            _GOAL_CITES[v.goal],
        )  # fmt: skip


def _check_burn(w: Work, v: Values) -> None:
    for fahrenheit, time in BURNS:
        at = _FAHRENHEIT.to_si(fahrenheit)
        if v.second >= at:
            w.check(
                "burn", "What it does to skin now",
                CAUTION if at > OPEN_BELOW else PASS,
                say("Now it is {t}. Water of {at} burns an adult's skin through in about " + time +
                    ", a child's faster. Gloves and face shield, and keep others away.",
                    t=(v.second, u.TEMPERATURE), at=(at, u.TEMPERATURE)),
                CPSC_5098.at(f"{fahrenheit:.0f} °F"),
            )  # fmt: skip
            return
    w.check(
        "burn", "What it does to skin now", PASS,
        say("Now it is {t}. The burn times start at {at}.", t=(v.second, u.TEMPERATURE),
            at=(_FAHRENHEIT.to_si(BURNS[-1][0]), u.TEMPERATURE)),
        CPSC_5098.at("120 °F"),
    )  # fmt: skip


def _draw(w: Work, v: Values, tau: float, wait: float, goal: float) -> None:
    end = v.interval + max(1.25 * wait, 2.0 * v.interval)
    times = [end * n / (_POINTS - 1) for n in range(_POINTS)]
    points = tuple((t, temperature_after(t - v.interval, tau, v.second, v.room)) for t in times)
    w.chart(
        LineChart(
            id="cooling", title="Cooling from the first reading on",
            x=Axis("time since the first reading", u.TIME, "h"),
            y=Axis("temperature", u.TEMPERATURE),
            series=(Series("expected", points),),
            levels=(Level("goal", goal, "limit"), Level("room", v.room)),
            marks=(Mark("first", 0.0, v.first), Mark("second", v.interval, v.second)),
            summary=say(
                "From {first} it fell to {second} in {t}; {goal} follows {wait} later.",
                first=(v.first, u.TEMPERATURE), second=(v.second, u.TEMPERATURE),
                t=(v.interval, _HOURS), goal=(goal, u.TEMPERATURE), wait=(wait, _HOURS),
            ),
        )
    )  # fmt: skip


def solve(v: Values) -> Solution:
    """Find the time constant, the time still to wait and the heat still there."""
    w = work_on(v)
    goal = _goal(v)
    _require_cooling(v, goal)
    tau = w.step(eq.TIME_CONSTANT, t=v.interval, T_1=v.first, T_2=v.second, T_R=v.room)
    w.result("time_constant", tau)
    share = {} if v.fluid == site.WATER else {"phi": v.glycol}
    density = w.step(eq.DENSITY[v.fluid], T_2=v.second, **share)
    heat = w.step(eq.SPECIFIC_HEAT[v.fluid], T_2=v.second, **share)
    water = {"V_s": v.system_volume, "rho": density, "c_p": heat, "T_2": v.second}
    reached = v.second <= goal
    wait = 0.0 if reached else w.step(eq.WAIT, tau=tau, T_2=v.second, T_g=goal, T_R=v.room)
    w.result("wait", wait)
    w.result("next", w.step(eq.NEXT, t=v.interval, tau=tau, T_2=v.second, T_R=v.room))
    w.result("heat_to_goal", 0.0 if reached else w.step(eq.HEAT_TO_GOAL, T_g=goal, **water))
    w.result("heat_to_room", w.step(eq.HEAT_TO_ROOM, T_R=v.room, **water))
    w.result("loss", w.step(eq.LOSS, T_R=v.room, tau=tau, **water))
    air = w.step(AIR_PRESSURE, z_s=v.altitude)
    boiling = w.step(BOILING_POINT, P_a=air)
    w.result("boiling", boiling)
    _check_burn(w, v)
    _check_boiling(w, v, goal, boiling)
    _check_readings(w, v, wait)
    w.draw(_draw, v, tau, wait, goal)
    return w.solution()


CALCULATOR = Calculator(
    id="cool-down",
    title="Cooling down",
    question="When is it cool enough to open or to drain?",
    summary="From two readings and the room: the time still to wait, the heat still in the water, "
    "and the temperature that proves it.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=(
        {"goal": "60", "first": "82 degC", "second": "76.5 ± 0.5 degC", "interval": "30 min"},
        {"goal": "40", "first": "165 ± 1 degF", "second": "151 ± 1 degF", "interval": "45 min",
         "room": "66 degF", "system_volume": "21 gal", "altitude": "5280 ft"},
        {"goal": "35", "first": "52 degC", "second": "50.5 degC", "interval": "20 min",
         "fluid": "propylene glycol", "glycol": "30 %"},
        {"goal": "43.3", "first": "112 degC", "second": "104 degC", "room": "24 degC"},
        {"goal": "43.3", "first": "95 degC", "second": "89 degC", "room": "24 degC",
         "fluid": "ethylene glycol", "glycol": "25 %"},
        {"goal": "own", "goal_own": "125 degF", "first": "130 degF", "second": "118 degF",
         "interval": "2 h", "room": "60 degF"},
    ),
)  # fmt: skip

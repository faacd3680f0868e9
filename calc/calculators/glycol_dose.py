"""Strength of glycol: how to reach it, what it protects to, and how topping up undoes it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from calc import glycol, site
from calc import units as u
from calc.calculators.common import density_of
from calc.equations import glycol as eq
from calc.fluids import WATER, Fluid
from calc.hydrostatics import STANDARD_GRAVITY
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
    COMMON_PRACTICE,
    COOLPROP,
    GLYCOL_FIGURES,
    OWN_RULE,
    PHYSICS,
)

REPLACE, ADD, FILL = "replace", "add", "fill"
BY_VOLUME, BY_MASS = "volume", "mass"
SHARE, FREEZE = "share", "freeze"

MARGIN = 3.0
"""Kept between the freezing point and the coldest the loop meets. [K]"""
USUAL_LEAST, USUAL_MOST = 0.20, 0.50
SCALE_MATTERS = 0.5
"""A mistaken scale that moves the freezing point by less than this changes nothing. [K]"""
GROWTH_MATTERS = 1.05

_ICE = 273.15
_POINTS = 26
_BEYOND = 0.08
"""How far the picture goes on beyond the stronger mixture."""
_SLIP = OWN_RULE.at("to catch a slip of the pen")
_BALANCE = PHYSICS.at("balance of glycol")
_TABLES = COOLPROP.at("ASHRAE glycol sets")
_NOT_FILL = {"method": (REPLACE, ADD)}

INPUTS = (
    Choice(
        name="method", label="How it is to be done", default=REPLACE,
        options=(
            Option(REPLACE, "System full: let some out, pour in"),
            Option(ADD, "There is room: only pour in"),
            Option(FILL, "First fill of an empty system"),
        ),
        help="With the system full, what is poured in has to be let out first.",
    ),
    Choice(
        name="substance", label="Glycol", default=site.PROPYLENE,
        options=(Option(site.PROPYLENE, "Propylene glycol"),
                 Option(site.ETHYLENE, "Ethylene glycol (poisonous)")),
        help="Read the label or the log. A refractometer scale holds for one glycol only.",
    ),
    Choice(
        name="basis", label="The reading is a share", default=BY_VOLUME,
        options=(Option(BY_VOLUME, "by volume"), Option(BY_MASS, "by mass")),
        help="Look at the scale or at its leaflet. Percent alone may mean either.", when=_NOT_FILL,
    ),
    Quantity(
        name="now", label="Glycol now", kind=u.FRACTION, default="20 ± 1 %", reading=True,
        help="From a refractometer for this glycol, after the pump has mixed the loop. 0 for "
        "plain water.",
        low=Limit("0 %", "less than none cannot be", PHYSICS.at("share")),
        high=Limit("60 %", "the property tables end there", _TABLES), when=_NOT_FILL,
    ),
    Choice(
        name="goal", label="What is asked for", default=SHARE,
        options=(Option(SHARE, "A strength"), Option(FREEZE, "A freezing point")),
        help="A freezing point is turned into the strength that has it.",
    ),
    Quantity(
        name="wanted", label="Glycol wanted, by volume", kind=u.FRACTION, default="30 %",
        help="By volume. Keep it as low as the coldest allows: glycol carries less heat.",
        low=Limit("10 %", "the property tables start there", _TABLES),
        high=Limit("60 %", "the property tables end there", _TABLES), when={"goal": (SHARE,)},
    ),
    Quantity(
        name="freeze_wanted", label="Freezing point wanted", kind=u.TEMPERATURE,
        default="-14 degC",
        help="Where the first ice forms. Take it some degrees below the coldest that is met.",
        low=Limit("-52 degC", "the table of ethylene glycol ends there", _TABLES),
        high=Limit("-3 degC", "the tables start at 10 % of glycol", _TABLES),
        when={"goal": (FREEZE,)},
    ),
    Quantity(
        name="added", label="Glycol in what is poured in", kind=u.FRACTION, default="95 %",
        help="From its label, by volume: 100 % for neat, less for concentrates that hold water "
        "and inhibitor. 0 % is water, to bring a mixture down.",
        low=Limit("0 %", "water holds none", PHYSICS.at("share")),
        high=Limit("100 %", "nothing holds more than all", PHYSICS.at("share")),
    ),
    Quantity(
        name="loop_volume", label="Fluid in the loop", kind=u.VOLUME, default="120 ± 5 L",
        reading=True,
        help="Of the circuit that holds glycol: often only one, behind a heat exchanger. The "
        "survey page counts it.",
        low=Limit("1 L", "no heating circuit holds less", _SLIP),
        high=Limit("1000 m3", "no building's system holds more", _SLIP),
    ),
    Quantity(
        name="room", label="Room there is", kind=u.VOLUME, default="20 L", reading=True,
        help="Fluid missing now: what brings the loop from its pressure now to its cold fill.",
        low=Limit("0 L", "a full loop has none", PHYSICS.at("volume")),
        high=Limit("100 m3", "so much missing is a first fill", _SLIP),
        when={"method": (ADD,)},
    ),
    Quantity(
        name="coldest", label="Coldest the loop meets", kind=u.TEMPERATURE, default="-10 degC",
        us_default="14 degF",
        help="At its coldest pipe or coil, pump stopped, in the worst night: for a coil in fresh "
        "air, the air outside.",
        low=Limit("-60 degC", "no mixture here stays liquid that far", _TABLES),
        high=Limit("20 degC", "such a loop needs no glycol", _SLIP),
    ),
    Quantity(
        name="topped", label="Water topped up each time", kind=u.VOLUME, default="2 L",
        help="What a make-up valve or a hose lets in each time. 0 if only mixed fluid goes in.",
        low=Limit("0 L", "letting out alone changes no strength", _BALANCE),
        high=Limit("1000 m3", "no building's system holds more", _SLIP),
    ),
    Quantity(
        name="times", label="Times it is topped up", kind=u.NUMBER, default="6",
        help="Before the strength is measured again.",
        low=Limit("0", "it cannot be undone", _BALANCE),
        high=Limit("1000", "that is a leak, not topping up", _SLIP),
    ),
    replace(site.COLD, help="Temperature at which the loop is filled. Glycol shrinks on below it."),
    replace(
        site.HOT, default="70 degC",
        help="The highest that the loop's control allows.",
        high=Limit("100 degC", "the glycol tables end there", _TABLES),
    ),
    Quantity(
        name="loop_height", label="Height from the loop's vessel to its top", kind=u.LENGTH,
        default="4.2 m", reading=True,
        help="From the connection of the vessel of this loop up to its highest point.",
        low=Limit("0 m", "height counts upward from the vessel", PHYSICS.at("still column")),
        high=site.HEIGHT.high,
    ),
)  # fmt: skip

SECTIONS = (
    Section("Strength", ("method", "substance", "basis", "now", "goal", "wanted",
                         "freeze_wanted", "added")),
    Section("Loop", ("loop_volume", "room", "coldest", "topped", "times")),
    Section("Pressures", ("cold", "hot", "loop_height"), folded=True),
)  # fmt: skip

OUTPUTS = (
    Output("let_out", "Let out first", u.VOLUME, headline=True,
           help="Into labelled containers, before anything is poured in."),
    Output("pour_in", "Pour in", u.VOLUME, headline=True),
    Output("water", "Water to mix it with", u.VOLUME,
           help="Soft or demineralised, mixed before it is pumped in."),
    Output("strength", "Glycol then, by volume", u.FRACTION),
    Output("by_mass", "Glycol then, by mass", u.FRACTION),
    Output("freeze_now", "Freezing point now", u.TEMPERATURE),
    Output("freeze_then", "Freezing point then", u.TEMPERATURE, headline=True,
           help="The first ice: slush from there on, and no flow further down."),
    Output("after", "Glycol after topping up with water", u.FRACTION),
    Output("freeze_after", "Freezing point after topping up", u.TEMPERATURE),
    Output("may_lose", "Water that may go in before the coldest bites", u.VOLUME,
           help="At once and with no margin left. Counted from the strength then."),
    Output("expansion_water", "Pushed into the vessel, were it water", u.VOLUME),
    Output("expansion_now", "Pushed into the vessel, now", u.VOLUME),
    Output("expansion_then", "Pushed into the vessel, then", u.VOLUME),
    Output("column_water", "Pressure of the column, were it water", u.PRESSURE_DIFFERENCE),
    Output("column_now", "Pressure of the column, now", u.PRESSURE_DIFFERENCE),
    Output("column_then", "Pressure of the column, then", u.PRESSURE_DIFFERENCE),
)  # fmt: skip


def _now(w: Work, v: Values) -> float | None:
    """Return the share of glycol now, by volume; None before a first fill."""
    if v.method == FILL:
        return None
    if v.basis == BY_VOLUME or v.now == 0:
        return v.now
    return w.step(eq.READ_BY_MASS, w=v.now, **_densities(v))


def _densities(v: Values) -> dict[str, float]:
    return {"rho_g": glycol.PURE_DENSITY[v.substance], "rho_w": glycol.WATER_DENSITY}


def _at(field: str, action: Callable[[], float]) -> float:
    """Return what `action` finds; a refusal is laid at `field`."""
    try:
        return action()
    except Refusal as refused:
        raise Refusal(refused.message, field=field, cite=refused.cite) from None


def _wanted(w: Work, v: Values) -> float:
    if v.goal == SHARE:
        return v.wanted
    law = eq.SHARE_WANTED[v.substance]
    return _at("freeze_wanted", lambda: w.step(law, t=v.freeze_wanted))


def _dose(w: Work, v: Values, now: float | None, wanted: float) -> float:
    """Work out what goes out and what goes in; return the fluid in the loop afterwards. [m3]"""
    if now is None:
        needed = w.step(eq.FIRST_FILL, V=v.loop_volume, c_w=wanted, c_g=v.added)
        w.result("pour_in", needed)
        w.result("water", v.loop_volume - needed)
        return v.loop_volume
    given = {"V": v.loop_volume, "c_n": now, "c_w": wanted, "c_g": v.added}
    if v.method == REPLACE:
        needed = w.step(eq.REPLACED, **given)
        w.result("let_out", needed)
        w.result("pour_in", needed)
        _check_order(w, v, needed)
        return v.loop_volume
    needed = w.step(eq.ADDED_ONLY, **given)
    w.result("pour_in", needed)
    _check_room(w, v, needed)
    return v.loop_volume + needed


def _check_order(w: Work, v: Values, needed: float) -> None:
    share = needed / v.loop_volume
    said = {"d": (needed, u.VOLUME), "x": (share, u.FRACTION), "half": (0.5, u.FRACTION)}
    cite = OWN_RULE.at("half of the loop")
    if share > 0.5:
        w.check(
            "order", "Less than half of it is replaced", CAUTION,
            say("{d} is {x} of the loop, more than {half}. Draining it all and filling it anew is "
                "less work and flushes it too.", **said), cite,
        )  # fmt: skip
    else:
        w.check(
            "order", "Less than half of it is replaced", PASS,
            say("{d} is {x} of the loop. Let it out before you pour in, mix with the pump, then "
                "measure again.", **said), cite,
        )  # fmt: skip


def _check_room(w: Work, v: Values, needed: float) -> None:
    said = {"a": (needed, u.VOLUME), "room": (v.room, u.VOLUME)}
    if needed > v.room:
        w.check(
            "room", "It fits into the loop", FAIL,
            say("{a} does not fit into the {room} there is: the pressure would rise above the cold "
                "fill. Let some out first, and choose that method.", **said),
            PHYSICS.at("volume"),
        )  # fmt: skip
    else:
        w.check(
            "room", "It fits into the loop", PASS,
            say("{a} fits into the {room} there is.", **said), PHYSICS.at("volume"),
        )  # fmt: skip


def _check_protection(w: Work, v: Values, now: float | None, then: float) -> None:
    said = {
        "t": (then, u.TEMPERATURE), "coldest": (v.coldest, u.TEMPERATURE),
        "margin": (MARGIN, u.TEMPERATURE_DIFFERENCE),
    }  # fmt: skip
    before = ""
    if now is not None:
        said["now"] = (now, u.TEMPERATURE)
        before = " Now the first ice forms at {now}."
    cite = OWN_RULE.at("3 K, for published tables of freezing points lie up to 1.4 K apart")
    if then > v.coldest:
        w.check(
            "protects", "It stays liquid at the coldest", FAIL,
            say("The first ice forms at {t}, and the loop meets {coldest}. Take it stronger." +
                before, **said), cite,
        )  # fmt: skip
    elif then > v.coldest - MARGIN:
        w.check(
            "protects", "It stays liquid at the coldest", CAUTION,
            say("The first ice forms at {t}, less than {margin} below the coldest, {coldest}. "
                "Published tables differ by that much: take it a little stronger." + before,
                **said), cite,
        )  # fmt: skip
    else:
        w.check(
            "protects", "It stays liquid at the coldest", PASS,
            say("The first ice forms at {t}, at least {margin} below the coldest, {coldest}." +
                before, **said), cite,
        )  # fmt: skip


def _check_range(w: Work, wanted: float) -> None:
    said = {"c": (wanted, u.FRACTION), "least": (USUAL_LEAST, u.FRACTION),
            "most": (USUAL_MOST, u.FRACTION)}  # fmt: skip
    cite = GLYCOL_FIGURES.at("usual strengths")
    if wanted < USUAL_LEAST:
        w.check(
            "range", "Within the usual strengths", CAUTION,
            say("{c} is below the {least} under which bacteria live on it and its inhibitor is too "
                "thin. Take {least} or more, or plain treated water.", **said), cite,
        )  # fmt: skip
    elif wanted > USUAL_MOST:
        w.check(
            "range", "Within the usual strengths", CAUTION,
            say("{c} is above {most}: thick when cold, weak at carrying heat. Take no more than "
                "the coldest asks for.", **said), cite,
        )  # fmt: skip
    else:
        w.check(
            "range", "Within the usual strengths", PASS,
            say("{c} lies between {least} and {most}.", **said), cite,
        )  # fmt: skip


def _check_scale(w: Work, v: Values, now: float) -> None:
    """Say what it would mean if the reading were by mass and had been taken by volume."""
    other = now if v.basis == BY_MASS else w.step(eq.IF_BY_MASS, w=v.now, **_densities(v))
    if min(other, v.now) < glycol.WEAKEST:
        return
    freezing = glycol.freezing_curve(v.substance)
    off = freezing(other) - freezing(v.now)
    said = {"n": (v.now, u.FRACTION), "o": (other, u.FRACTION),
            "off": (off, u.TEMPERATURE_DIFFERENCE)}  # fmt: skip
    cite = PHYSICS.at("mass from volume and density")
    if v.basis == BY_MASS:
        w.check(
            "scale", "By volume or by mass", PASS,
            say("{n} by mass is {o} by volume, which is what is reckoned with here. Taken for a "
                "share by volume it would promise {off} too much.", **said), cite,
        )  # fmt: skip
    elif off > SCALE_MATTERS:
        w.check(
            "scale", "By volume or by mass", CAUTION,
            say("If the scale of the reading is by mass, {n} is only {o} by volume, and it freezes "
                "{off} earlier. Make sure of the scale.", **said), cite,
        )  # fmt: skip
    else:
        w.check(
            "scale", "By volume or by mass", PASS,
            say("If the scale of the reading were by mass, {n} would be {o} by volume, which moves "
                "the freezing point by no more than {off}.", **said), cite,
        )  # fmt: skip


def _topping(w: Work, v: Values, wanted: float, volume: float) -> None:
    after = w.step(eq.DILUTED, c_t=wanted, V=volume, V_l=v.topped, n=v.times)
    w.result("after", after)
    freeze = _ICE if after == 0 else None
    if after >= glycol.WEAKEST:
        freeze = w.step(eq.FREEZING_DILUTED[v.substance], c_d=after)
    w.result("freeze_after", freeze)
    warmest = glycol.freezing_curve(v.substance)
    least = None
    if warmest(glycol.STRONGEST) <= v.coldest <= warmest(glycol.WEAKEST):
        least = w.step(eq.SHARE_LEAST[v.substance], t=v.coldest)
        w.result("may_lose", w.step(eq.MAY_LOSE, c_t=wanted, c_m=least, V=volume))
    _check_topping(w, v, after, freeze, wanted)
    w.draw(_draw_topping, v, wanted, volume, least)


def _check_topping(w: Work, v: Values, after: float, freeze: float | None, wanted: float) -> None:
    said = {
        "after": (after, u.FRACTION), "coldest": (v.coldest, u.TEMPERATURE),
        "total": (v.topped * v.times, u.VOLUME), "then": (wanted, u.FRACTION),
        "weakest": (glycol.WEAKEST, u.FRACTION),
    }  # fmt: skip
    mend = " Top up with mixed fluid from a tank, not from the mains."
    if freeze is None:
        status = PASS if v.coldest >= _ICE else FAIL
        words = "{total} of water leaves {after} of {then}, less than the tables hold."
        words += "" if status == PASS else mend
    else:
        said["t"] = (freeze, u.TEMPERATURE)
        status = PASS if freeze <= v.coldest else FAIL
        words = "{total} of water leaves {after} of {then}, which freezes at {t}."
        words += "" if status == PASS else " The loop meets {coldest}." + mend
    w.check("topping", "Topping up leaves enough", status, say(words, **said), _BALANCE)


def _in_table(v: Values, share: float, temperature: float) -> bool:
    """Return whether the tables hold this strength, liquid at that temperature."""
    if share < glycol.WEAKEST:
        return False
    return glycol.freezing_curve(v.substance)(share) <= temperature


def _pressures(w: Work, v: Values, now: float | None, then: float, volume: float) -> None:
    states = []
    if v.cold >= _ICE:
        states.append(("w", "water", WATER, v.loop_volume))
    if now == 0 and v.cold >= _ICE:
        states.append(("n", "now", WATER, v.loop_volume))
    elif now is not None and _in_table(v, now, v.cold):
        states.append(("n", "now", Fluid(v.substance, now), v.loop_volume))
    states.append(("t", "then", Fluid(v.substance, then), volume))
    grown = {}
    for letter, name, fluid, held in states:
        cold = density_of(w, {fluid.substance: eq.COLD[fluid.substance, letter]}, fluid, "cold",
                          t_c=v.cold)  # fmt: skip
        hot = density_of(w, {fluid.substance: eq.HOT[fluid.substance, letter]}, fluid, "hot",
                         t_h=v.hot)  # fmt: skip
        densities = {f"rho_c{letter}": cold, f"rho_h{letter}": hot}
        grown[name] = w.step(eq.EXPANDED[letter], V=held, **densities)
        w.result(f"expansion_{name}", grown[name])
        column = w.step(eq.COLUMN[letter], **{f"rho_c{letter}": cold}, g=STANDARD_GRAVITY,
                        h=v.loop_height)  # fmt: skip
        w.result(f"column_{name}", column)
    compared = grown.get("now", grown.get("water"))
    if compared is not None:
        _check_vessel(w, compared, grown["then"], "now" if "now" in grown else "with water")


def _check_vessel(w: Work, before: float, then: float, words: str) -> None:
    said = {"before": (before, u.VOLUME), "then": (then, u.VOLUME)}
    cite = COMMON_PRACTICE.at("size the vessel for the fluid that is in it")
    if then > GROWTH_MATTERS * before:
        w.check(
            "vessel", "The vessel still fits", CAUTION,
            say("The vessel has to take {then}, and {before} " + words + ". Confirm its size and "
                "its charge for the new fluid.", **said), cite,
        )  # fmt: skip
    else:
        w.check(
            "vessel", "The vessel still fits", PASS,
            say("The vessel has to take {then}, and {before} " + words + ".", **said), cite,
        )  # fmt: skip


def _draw_freezing(w: Work, v: Values, now: float | None, then: float) -> None:
    freezing = glycol.freezing_curve(v.substance)
    most = min(glycol.STRONGEST, max(now or 0.0, then) + _BEYOND)
    span = most - glycol.WEAKEST
    shares = [glycol.WEAKEST + span * n / (_POINTS - 1) for n in range(_POINTS)]
    marks = [Mark("then", then, freezing(then))]
    if now is not None and now >= glycol.WEAKEST:
        marks.insert(0, Mark("now", now, freezing(now)))
    w.chart(
        LineChart(
            id="freezing", title="Where the first ice forms",
            x=Axis("glycol by volume", u.FRACTION),
            y=Axis("freezing point", u.TEMPERATURE),
            series=(Series(v.substance, tuple((c, freezing(c)) for c in shares)),),
            levels=(Level("coldest met", v.coldest, "limit"),),
            marks=tuple(marks),
            summary=say(
                "The freezing point falls from {warm} at {least} to {cold} at {most}. At {c} it "
                "is {t}; the loop meets {coldest}.",
                warm=(freezing(glycol.WEAKEST), u.TEMPERATURE), least=(glycol.WEAKEST, u.FRACTION),
                cold=(freezing(most), u.TEMPERATURE),
                most=(most, u.FRACTION), c=(then, u.FRACTION),
                t=(freezing(then), u.TEMPERATURE), coldest=(v.coldest, u.TEMPERATURE),
            ),
        )
    )  # fmt: skip


def _draw_topping(w: Work, v: Values, wanted: float, volume: float, least: float | None) -> None:
    if v.topped == 0 or v.times == 0:
        return
    points = []
    for n in range(_POINTS):
        times = 2.0 * v.times * n / (_POINTS - 1)
        points.append((v.topped * times, glycol.diluted(wanted, volume, v.topped, times)))
    said = {
        "total": (v.topped * v.times, u.VOLUME), "c": (wanted, u.FRACTION),
        "left": (glycol.diluted(wanted, volume, v.topped, v.times), u.FRACTION),
    }  # fmt: skip
    w.chart(
        LineChart(
            id="topping", title="What topping up with water leaves",
            x=Axis("water topped up", u.VOLUME),
            y=Axis("glycol by volume", u.FRACTION),
            series=(Series("strength", tuple(points)),),
            levels=(Level("least for the coldest", least, "limit"),) if least else (),
            marks=(Mark("your topping up", v.topped * v.times, said["left"][0]),),
            summary=say("From {c}, {total} of water leaves {left}.", **said),
        )
    )  # fmt: skip


def solve(v: Values) -> Solution:
    """Find what to let out and pour in, and what the strength does."""
    w = work_on(v)
    now, wanted = _now(w, v), _wanted(w, v)
    volume = _dose(w, v, now, wanted)
    w.result("strength", wanted)
    w.result("by_mass", w.step(eq.BY_MASS, c_t=wanted, **_densities(v)))
    freeze_now = None
    if now == 0:
        freeze_now = _ICE
    elif now is not None and now >= glycol.WEAKEST:
        freeze_now = w.step(eq.FREEZING_NOW[v.substance], c_n=now)
    w.result("freeze_now", freeze_now)
    freeze_then = w.step(eq.FREEZING_THEN[v.substance], c_t=wanted)
    w.result("freeze_then", freeze_then)
    _check_protection(w, v, freeze_now, freeze_then)
    _check_range(w, wanted)
    if now:
        _check_scale(w, v, now)
    _topping(w, v, wanted, volume)
    _pressures(w, v, now, wanted, volume)
    w.draw(_draw_freezing, v, now, wanted)
    return w.solution()


CALCULATOR = Calculator(
    id="glycol-dose",
    title="Glycol strength",
    question="How much glycol goes in, and what does it protect to?",
    summary="What to let out and pour in to reach a strength or a freezing point, what topping up "
    "with water undoes, and what the mixture does to the vessel.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=(
        {"method": FILL, "goal": FREEZE, "freeze_wanted": "-20 degC", "coldest": "-15 degC"},
        {"method": ADD, "substance": site.ETHYLENE, "basis": BY_MASS, "now": "18 %",
         "added": "100 %", "loop_volume": "32 gal", "room": "6 gal", "coldest": "10 degF",
         "topped": "0.5 gal", "times": "3", "cold": "45 degF", "hot": "160 degF",
         "loop_height": "13 ft"},
        {"now": "0 %", "wanted": "25 %", "added": "100 %", "loop_volume": "450 L",
         "topped": "30 L", "times": "8"},
        {"substance": site.ETHYLENE, "now": "48 %", "wanted": "35 %", "added": "0 %",
         "coldest": "-17 degC"},
        {"substance": site.ETHYLENE, "method": ADD, "now": "33 %", "wanted": "40 %",
         "coldest": "-22 degC"},
        {"basis": BY_MASS, "now": "22 %", "goal": FREEZE, "freeze_wanted": "10 degF",
         "coldest": "15 degF", "topped": "0.5 gal"},
    ),
)  # fmt: skip

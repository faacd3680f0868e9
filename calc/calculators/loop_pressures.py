"""The pressure at every point of a loop, pump off and running, and where the vessel belongs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from calc import loop, site
from calc import units as u
from calc.calculators.common import density_of, fluid_of
from calc.equations import loop as eq
from calc.equations.shared import AIR_PRESSURE, COLD_DENSITY, HOT_DENSITY, VAPOUR
from calc.hydrostatics import STANDARD_GRAVITY
from calc.loop import DISCHARGE, SUCTION, Station, Stretch
from calc.model import (
    CAUTION,
    FAIL,
    PASS,
    Axis,
    Calculator,
    Choice,
    Equation,
    Level,
    Limit,
    LineChart,
    Mark,
    Option,
    Output,
    Quantity,
    Refusal,
    ResultColumn,
    ResultRow,
    ResultTable,
    Section,
    Series,
    Solution,
    Table,
    Text,
    Values,
    Work,
    say,
    work_on,
)
from calc.pump import pressure_along_flow
from calc.sources import (
    COMMON_PRACTICE,
    FLOW_TEXTBOOKS,
    IAPMO_LOCATION,
    NORA_HYDRONICS,
    OWN_RULE,
    PHYSICS,
)

LISTED = "listed"
PUMP = "pump"
SCALE = "scale"

CLOSES_WITHIN = 0.02
"""Heads and frictions this close, as a share of the heads, count as closed. [-]"""

LOWERED_SHARE = 0.5
"""A pump that takes more than this share of its head off its suction has its vessel wrong. [-]"""

_SLIP = OWN_RULE.at("to catch a slip of the pen")
_ENERGY = PHYSICS.at("energy balance of a steady loop")
_NO_CHANGE = IAPMO_LOCATION.at("point of no pressure change")
_LEVEL = 0.005
"""The list comes back to the height of the vessel within this. [m]"""
_SLACK = 1.0
"""Room for the rounding of an entry. [Pa]"""

POINTS = Table(
    name="points", label="Points, going with the flow from the vessel", row_label="point",
    help="Begin after the vessel's joint, end with the joint itself at height 0. Friction is that "
    "on the way to the point. A pump is a point of its own.",
    columns=(
        Text(name="name", label="Name", help="What you call it. It only helps you to find it."),
        Choice(
            name="part", label="What it is", default="pipe",
            options=(Option("pipe", "Point of the pipe"), Option(PUMP, "Pump")),
            help="A pump adds its head; friction is then that on the way to its suction.",
        ),
        Quantity(
            name="height", label="Height above the vessel", kind=u.LENGTH, default="0 m",
            help="From the vessel's joint up to the point. Minus if the point is lower.",
            low=site.GAUGE_HEIGHT.low, high=site.GAUGE_HEIGHT.high,
        ),
        Quantity(
            name="friction", label="Friction on the way to it", kind=u.PRESSURE_DIFFERENCE,
            default="0.05 bar", reading=True,
            help="From the point before. From the design, or as a share of the pump's head.",
            low=Limit("0 bar", "friction never pushes", FLOW_TEXTBOOKS.at("losses")),
            high=Limit("10 bar", "no heating pump overcomes so much", _SLIP),
        ),
        Quantity(
            name="head", label="Head of the pump", kind=u.PRESSURE_DIFFERENCE, default="0.25 bar",
            reading=True, when={"part": (PUMP,)},
            help="At the flow it runs at, not the most it could: two gauges across it, or its "
            "curve.",
            low=Limit("1 mbar", "a pump adds something", _SLIP),
            high=Limit("10 bar", "no heating pump adds so much", _SLIP),
        ),
    ),
    default=(
        ("Pump", PUMP, "0.5 m", "0.01 bar", "0.25 bar"),
        ("Boilers, out", "pipe", "1.8 m", "0.06 bar", ""),
        ("Foot of the riser", "pipe", "2.4 m", "0.03 bar", ""),
        ("Top of the riser", "pipe", "11.2 m", "0.02 bar", ""),
        ("Highest radiator, out", "pipe", "11.4 m", "0.07 bar", ""),
        ("Foot of the return", "pipe", "2.4 m", "0.03 bar", ""),
        ("Back at the vessel", "pipe", "0 m", "0.03 bar", ""),
    ),
    fewest=2, most=20,
)  # fmt: skip

INPUTS = (
    Quantity(
        name="vessel_pressure", label="Pressure at the vessel, pump off", kind=u.GAUGE_PRESSURE,
        default=site.COLD_FILL_AT_VESSEL, reading=True,
        help="Where the list begins. The cold fill is the lowest it should be; the hot pressure "
        "shows the highest.",
        low=Limit("-0.5 bar", "below that a system is a syphon, not full", _SLIP),
        high=Limit("160 psi", "hot-water heating boilers stop at this pressure",
                   site.RELIEF.high.cite),
    ),
    Choice(
        name="vessel_at", label="Vessel joins", default=LISTED,
        options=(
            Option(LISTED, "Where the list begins"),
            Option(SUCTION, "At the pump's suction"),
            Option(DISCHARGE, "At the pump's discharge"),
        ),
        help="Moves only the joint: filled as before, so with the pump off nothing changes. "
        "With several pumps, the strongest counts.",
    ),
    POINTS,
    Choice(
        name="closing", label="If friction and head differ", default="refuse",
        options=(
            Option("refuse", "Tell by how much, and stop"),
            Option(SCALE, "Take every friction in proportion"),
        ),
        help="Round a loop the frictions use up the heads. The flow settles where they do.",
    ),
    replace(site.HOT, help="The hottest the loop gets. Taking it for every point is on the safe "
            "side."),
    Quantity(
        name="margin", label="Margin wanted at every point", kind=u.PRESSURE_DIFFERENCE,
        default="0.2 bar", us_default="4 psi",
        help="Above the open air and above boiling. 0.2 to 0.5 bar (4 to 5 psi and more) is usual.",
        low=Limit("0 bar", "less than nothing is no margin", PHYSICS.at("gas pressure")),
        high=Limit("3 bar", "no system needs so much", _SLIP),
    ),
    Quantity(
        name="npsh", label="NPSH the pump requires", kind=u.LENGTH, default="2.5 m", optional=True,
        help="From the pump's curve at its flow. Left blank, nothing is compared with it.",
        low=Limit("0 m", "a pump requires no less than nothing", _SLIP),
        high=Limit("30 m", "no heating pump requires so much", _SLIP),
    ),
    Quantity(
        name="npsh_margin", label="NPSH kept on top", kind=u.LENGTH, default="0.5 m",
        help="Head kept above what the pump requires, for air in the water and a worn wheel.",
        low=Limit("0 m", "less than nothing is no margin", _SLIP),
        high=Limit("20 m", "no heating pump needs so much", _SLIP),
    ),
    Quantity(
        name="rating", label="Weakest part carries", kind=u.GAUGE_PRESSURE, default="6 bar",
        optional=True, help="Allowed pressure of the weakest part of the loop. Left blank, nothing "
        "is compared with it.",
        low=Limit("0.1 bar", "a part for closed heating carries more", _SLIP),
        high=Limit("400 bar", "no heating part is marked so high", _SLIP),
    ),
    site.FLUID,
    site.GLYCOL,
    replace(site.COLD, help="Temperature of the columns at their coldest and so their heaviest."),
    site.ALTITUDE,
)  # fmt: skip

SECTIONS = (
    Section("Vessel", ("vessel_pressure", "vessel_at")),
    Section("Loop", ("points", "closing")),
    Section("What is wanted", ("hot", "margin", "npsh", "npsh_margin", "rating")),
    Section("Fluid and site", ("fluid", "glycol", "cold", "altitude"), folded=True),
)

OUTPUTS = (
    Output("lowest", "Lowest pressure, pump running", u.GAUGE_PRESSURE, headline=True),
    Output("lowest_at", "It stands at", None),
    Output("spare", "Least pressure above boiling", u.PRESSURE_DIFFERENCE, headline=True,
           help="Pump on or off, with the hottest water taken at every point."),
    Output("spare_at", "That is at", None),
    Output("npsh_has", "NPSH the pump has", u.LENGTH, headline=True,
           help="Running, at its suction. With several pumps, the one that has the least."),
    Output("npsh_spare", "NPSH above what it requires", u.LENGTH),
    Output("suction", "Pressure at the pump's suction, running", u.GAUGE_PRESSURE),
    Output("discharge", "Pressure at the pump's discharge, running", u.GAUGE_PRESSURE),
    Output("lowest_off", "Lowest pressure, pump off", u.GAUGE_PRESSURE),
    Output("highest", "Highest pressure, pump running", u.GAUGE_PRESSURE),
    Output("highest_at", "It stands there at", None),
    Output("joint", "Pressure where the vessel joins", u.GAUGE_PRESSURE,
           help="The same with the pump on and off: a gauge there does not move."),
    Output("misfit", "Heads less frictions, as entered", u.PRESSURE_DIFFERENCE),
    Output("factor", "Frictions taken at", u.FRACTION),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Map:
    """The stations of a loop, where its vessel joins, and every pressure. [Pa gauge]"""

    stations: tuple[Station, ...]
    joint: Station
    off: tuple[float, ...]
    on: tuple[float, ...]

    def way(self, there: Station) -> dict[str, float]:
        heads, frictions = loop.way_from(self.joint, there, self.stations[-1])
        return {"z": there.height, "H": heads, "R": frictions}

    def first(self, role: str, pick=min) -> int:
        found = [n for n, s in enumerate(self.stations) if s.role == role]
        return pick(found, key=lambda n: self.on[n])

    def tightest(self) -> tuple[int, float]:
        """Return the place and the pressure of the lowest, pump on or off."""
        both = tuple(min(pair) for pair in zip(self.off, self.on, strict=True))
        place = loop.lowest(both)
        return place, both[place]


def _named(station: Station) -> str:
    if not station.place:
        return "Vessel, where the list begins"
    name = station.name.strip() or "Point"
    words = {SUCTION: ", suction", DISCHARGE: ", discharge"}.get(station.role, "")
    return f"{station.place}. {name}{words}"


def _quoted(station: Station) -> str:
    """Return the name for a sentence; what was typed cannot stand for a quantity in it."""
    if not station.place:
        return "the vessel"
    name = _named(station).partition(". ")[2].replace("{", "{{").replace("}", "}}")
    return f"“{name}”"


def _joint(stations: Sequence[Station], vessel_at: str) -> Station:
    if vessel_at == LISTED:
        return stations[0]
    gains = {
        n: stations[n + 1].heads - s.heads for n, s in enumerate(stations) if s.role == SUCTION
    }
    strongest = max(gains, key=gains.__getitem__)
    return stations[strongest if vessel_at == SUCTION else strongest + 1]


def _mapped(v: Values, stations: tuple[Station, ...], vessel_at: str, density: float) -> _Map:
    joint = _joint(stations, vessel_at)
    off, on = [], []
    for s in stations:
        heads, frictions = loop.way_from(joint, s, stations[-1])
        off.append(pressure_along_flow(v.vessel_pressure, density, s.height, 0.0, 0.0))
        on.append(pressure_along_flow(v.vessel_pressure, density, s.height, heads, frictions))
    return _Map(stations, joint, tuple(off), tuple(on))


def _stretches(v: Values) -> list[Stretch]:
    """Return the list as entered, or refuse one that is no loop."""
    found = [Stretch(p.name, p.height, p.friction, p.head or 0.0) for p in v.points]
    if not any(one.head for one in found):
        raise Refusal(
            "There is no pump in the list, so nothing flows. Add the pump as a point of its own.",
            field="points", cite=_ENERGY,
        )  # fmt: skip
    last = found[-1]
    if abs(last.height) > _LEVEL:
        raise Refusal(
            say("The list ends {height} above the vessel, so it does not come back to it. Let the "
                "last point be the vessel's joint itself, at height 0.",
                height=(last.height, u.LENGTH)),
            field=f"points.{len(found) - 1}.height", cite=_ENERGY,
        )  # fmt: skip
    if last.head:
        raise Refusal(
            "The list ends with a pump. Add the way from the pump back to the vessel's joint as "
            "the last point.",
            field=f"points.{len(found) - 1}.part", cite=_ENERGY,
        )  # fmt: skip
    return found


def _closed(w: Work, v: Values, stretches: list[Stretch]) -> tuple[float, float]:
    """Return heads less frictions as entered, and the factor that closes the loop."""
    heads = sum(one.head for one in stretches)
    frictions = sum(one.friction for one in stretches)
    off_by = w.step(eq.MISFIT, H_s=heads, R_s=frictions)
    said = {
        "heads": (heads, u.PRESSURE_DIFFERENCE), "frictions": (frictions, u.PRESSURE_DIFFERENCE),
        "by": (abs(off_by), u.PRESSURE_DIFFERENCE),
        "within": (CLOSES_WITHIN, u.FRACTION),
    }  # fmt: skip
    if frictions <= 0.0:
        raise Refusal(
            say("The pumps add {heads}, and no point has any friction to use it up. Enter the "
                "frictions; a rough share for each is enough.", **said),
            field="points", cite=_ENERGY,
        )  # fmt: skip
    close = abs(off_by) <= CLOSES_WITHIN * heads * (1 + 1e-9)
    if not close and v.closing != SCALE:
        more = "less" if off_by > 0 else "more"
        raise Refusal(
            say("The loop does not close: the pumps add {heads}, and the frictions come to "
                "{frictions}, {by} " + more + ". Correct the head or the frictions, or choose to "
                "take every friction in proportion.", **said),
            field="points", cite=_ENERGY,
        )  # fmt: skip
    factor = w.step(eq.FACTOR, H_s=heads, R_s=frictions)
    if close:
        w.check(
            "closing", "Loop closes", PASS,
            say("The pumps add {heads}, the frictions come to {frictions}. Up to {within} is "
                "shared out in proportion.", **said),
            OWN_RULE.at("within 2 % of the heads"),
        )  # fmt: skip
    else:
        w.check(
            "closing", "Loop closes", CAUTION,
            say("The pumps add {heads}, the frictions as entered come to {frictions}. Every "
                "friction was taken at {factor}, as you chose: measure the head across the pump "
                "to be sure.", factor=(factor, u.FRACTION), **said),
            OWN_RULE.at("frictions in proportion"),
        )  # fmt: skip
    return off_by, factor


def _check_low(
    w: Work, v: Values, here: _Map, better: _Map | None, label: str, id: str, floor: float
) -> None:
    """Hold the lowest pressure, on or off, against a floor and the margin above it. [Pa gauge]"""
    place, low = here.tightest()
    spare = low - floor
    said = {
        "low": (low, u.GAUGE_PRESSURE), "floor": (floor, u.GAUGE_PRESSURE),
        "margin": (v.margin, u.PRESSURE_DIFFERENCE), "spare": (spare, u.PRESSURE_DIFFERENCE),
        "need": (v.vessel_pressure + v.margin - spare, u.GAUGE_PRESSURE),
        "hot": (v.hot, u.TEMPERATURE),
    }  # fmt: skip
    at = _quoted(here.stations[place])
    cite = COMMON_PRACTICE.at("margin at the highest point")
    if spare >= v.margin - _SLACK:
        w.check(
            id, label, PASS,
            say("Pump on or off, no point has less than {low}, at " + at + ". That is "
                "{spare} in hand, and {margin} is wanted.", **said),
            cite,
        )  # fmt: skip
        return
    mend = "Raise charge and fill until the vessel has {need}, as the relief valve allows."
    if better is not None and better.tightest()[1] > low + v.margin / 10:
        said["then"] = (better.tightest()[1], u.GAUGE_PRESSURE)
        mend = (
            "With the vessel joined at the pump's suction the lowest would be {then}. Have it "
            "moved there, or raise charge and fill until the vessel has {need}, as the relief "
            "valve allows."
        )
    if id == "boiling":
        why = "water of {hot} boils at {floor}"
        worse = f"At {at} there is {{low}}, and {why}. "
        near = f"At {at} there is {{low}}, and {why}: {{spare}} in hand, {{margin}} "
        near += "wanted. "
    else:
        worse = f"At {at} there is {{low}}, below the open air: air is drawn in. "
        near = f"At {at} there is only {{low}}, and {{margin}} is wanted. "
    if spare <= 0:
        w.check(id, label, FAIL, say(worse + mend, **said), cite)
    else:
        w.check(id, label, CAUTION, say(near + mend, **said), cite)


def _check_vessel(w: Work, here: _Map) -> None:
    suction = here.first(SUCTION)
    drop = here.off[suction] - here.on[suction]
    added = here.stations[suction + 1].heads - here.stations[suction].heads
    said = {
        "drop": (drop, u.PRESSURE_DIFFERENCE), "head": (added, u.PRESSURE_DIFFERENCE),
        "on": (here.on[suction], u.GAUGE_PRESSURE), "off": (here.off[suction], u.GAUGE_PRESSURE),
    }  # fmt: skip
    label = "Pump adds to the loop"
    if drop > LOWERED_SHARE * added:
        w.check(
            "vessel", label, CAUTION,
            say("Starting the pump takes its suction from {off} to {on}: {drop} of its {head} go "
                "down instead of up. The vessel belongs near the suction. Have it moved when the "
                "loop is opened next, or count the drop into charge and fill.", **said),
            NORA_HYDRONICS.at("p. 35"),
        )  # fmt: skip
    else:
        w.check(
            "vessel", label, PASS,
            say("Starting the pump takes its suction from {off} to {on}, so most of its {head} "
                "goes up.", **said),
            _NO_CHANGE,
        )  # fmt: skip


def _check_npsh(w: Work, v: Values, has: float) -> None:
    if v.npsh is None:
        return
    said = {
        "has": (has, u.LENGTH), "asks": (v.npsh, u.LENGTH), "margin": (v.npsh_margin, u.LENGTH),
    }  # fmt: skip
    label, cite = "Pump does not cavitate", COMMON_PRACTICE.at("NPSH and a margin")
    if has < v.npsh:
        w.check(
            "npsh", label, FAIL,
            say("The pump requires {asks} at its suction and has {has}: it will rattle and wear. "
                "Raise charge and fill, lower the temperature, or have the vessel joined at the "
                "suction.", **said),
            cite,
        )  # fmt: skip
    elif has < v.npsh + v.npsh_margin - 1e-6:
        w.check(
            "npsh", label, CAUTION,
            say("The pump requires {asks} and has {has}, with less than {margin} on top. Raise "
                "charge and fill, or lower the temperature.", **said),
            cite,
        )  # fmt: skip
    else:
        w.check("npsh", label, PASS, say("The pump requires {asks} and has {has}.", **said), cite)


def _check_rating(w: Work, v: Values, here: _Map) -> None:
    if v.rating is None:
        return
    both = [max(pair) for pair in zip(here.off, here.on, strict=True)]
    place = max(range(len(both)), key=lambda n: both[n])
    said = {"high": (both[place], u.GAUGE_PRESSURE), "rating": (v.rating, u.GAUGE_PRESSURE)}
    at = _quoted(here.stations[place])
    cite = OWN_RULE.at("the pressure marked on the part")
    if both[place] > v.rating:
        w.check(
            "rating", "Weakest part", FAIL,
            say("At " + at + " there is {high}, and the weakest part carries {rating}. Lower the "
                "fill if the top allows, or have that part changed.", **said),
            cite,
        )  # fmt: skip
    else:
        w.check(
            "rating", "Weakest part", PASS,
            say("No point has more than {high}, at " + at + "; the weakest part carries {rating}.",
                **said),
            cite,
        )  # fmt: skip


def _tables(w: Work, here: _Map, others: dict[str, _Map], boils_gauge: float) -> None:
    rows = tuple(
        ResultRow(_named(s), (s.height, off, on, on - off, min(off, on) - boils_gauge))
        for s, off, on in zip(here.stations, here.off, here.on, strict=True)
    )
    w.chart(
        ResultTable(
            id="points", title="Every point", corner="point",
            columns=(
                ResultColumn("height", u.LENGTH), ResultColumn("pump off", u.GAUGE_PRESSURE),
                ResultColumn("running", u.GAUGE_PRESSURE),
                ResultColumn("gauge moves by", u.PRESSURE_DIFFERENCE),
                ResultColumn("above boiling", u.PRESSURE_DIFFERENCE),
            ),
            rows=rows,
            summary="What a gauge shows at each point, how far it moves when the pump starts, and "
            "how far the lower of the two is above boiling.",
        )
    )  # fmt: skip
    names = {LISTED: "Where the list begins", SUCTION: "At the pump's suction",
             DISCHARGE: "At the pump's discharge"}  # fmt: skip
    rows = []
    for key, one in others.items():
        place, low = one.tightest()
        suction, discharge = one.first(SUCTION), one.first(DISCHARGE, max)
        rows.append(ResultRow(names[key], (
            low, _named(one.stations[place]), one.on[suction], one.on[discharge],
        )))  # fmt: skip
    w.chart(
        ResultTable(
            id="joints", title="If the vessel joined", corner="vessel joins",
            columns=(
                ResultColumn("lowest, on or off", u.GAUGE_PRESSURE), ResultColumn("at"),
                ResultColumn("suction, running", u.GAUGE_PRESSURE),
                ResultColumn("discharge, running", u.GAUGE_PRESSURE),
            ),
            rows=tuple(rows),
            summary="The same loop and fill with the vessel joined in three places.",
        )
    )  # fmt: skip


def _draw(w: Work, here: _Map, boils_gauge: float) -> None:
    def line(values: Sequence[float]) -> tuple[tuple[float, float], ...]:
        return tuple((float(s.place), p) for s, p in zip(here.stations, values, strict=True))

    place = loop.lowest(here.on)
    low = here.stations[place]
    x = Axis("point, going with the flow from the vessel", u.NUMBER)
    said = {
        "low": (here.on[place], u.GAUGE_PRESSURE), "off": (here.off[place], u.GAUGE_PRESSURE),
        "boils": (boils_gauge, u.GAUGE_PRESSURE),
    }  # fmt: skip
    at = _quoted(low)
    w.chart(
        LineChart(
            id="map", title="Pressure along the loop",
            x=x, y=Axis("gauge pressure", u.GAUGE_PRESSURE),
            series=(Series("pump running", line(here.on)),
                    Series("pump off", line(here.off), "other")),
            levels=(Level("open air", 0.0), Level("the hottest water boils", boils_gauge, "limit")),
            marks=(Mark("lowest, running", float(low.place), here.on[place]),),
            summary=say("Running, the lowest is {low} at " + at + ", where there is {off} with the "
                        "pump off. Water as hot as it gets boils at {boils}.", **said),
        )
    )  # fmt: skip
    heights = [s.height for s in here.stations]
    w.chart(
        LineChart(
            id="heights", title="Height along the loop",
            x=x, y=Axis("height above the vessel", u.LENGTH),
            series=(Series("height", line(heights)),),
            summary=say("The loop climbs to {top} and comes back to the vessel.",
                        top=(max(heights), u.LENGTH)),
        )
    )  # fmt: skip


def solve(v: Values) -> Solution:
    """Find the pressure at every point with the pump off and running, and judge the lowest."""
    w = work_on(v)
    stretches = _stretches(v)
    off_by, factor = _closed(w, v, stretches)
    air = w.step(AIR_PRESSURE, z_s=v.altitude)
    fluid = fluid_of(v)
    cold = density_of(w, COLD_DENSITY, fluid, "cold", t_c=v.cold)
    hot = density_of(w, HOT_DENSITY, fluid, "hot", t_h=v.hot)
    boils = w.step(VAPOUR, t_h=v.hot)
    stations = loop.stations(stretches, factor)
    others = {key: _mapped(v, stations, key, cold) for key in (LISTED, SUCTION, DISCHARGE)}
    here = others[v.vessel_at]
    still = {"p_V": v.vessel_pressure, "rho_c": cold, "g": STANDARD_GRAVITY}

    def running(equation: Equation, place: int) -> float:
        return w.step(equation, **still, **here.way(here.stations[place]))

    low, high = loop.lowest(here.on), max(range(len(here.on)), key=lambda n: here.on[n])
    low_off = loop.lowest(here.off)
    w.result("joint", w.step(eq.JOINT, **still, z=here.joint.height))
    w.result("lowest", running(eq.LOWEST_ON, low))
    w.result("lowest_at", _named(here.stations[low]))
    w.result("lowest_off", w.step(eq.LOWEST_OFF, **still, z=here.stations[low_off].height))
    w.result("highest", running(eq.HIGHEST_ON, high))
    w.result("highest_at", _named(here.stations[high]))
    tight, tight_gauge = here.tightest()
    tight_abs = w.step(eq.TIGHTEST_ABS, p_t=tight_gauge, P_a=air)
    _require_full(v, here, tight, tight_gauge, tight_abs)
    w.result("spare", w.step(eq.SPARE, P_t=tight_abs, P_v=boils))
    w.result("spare_at", _named(here.stations[tight]))
    suction = running(eq.SUCTION_ON, here.first(SUCTION))
    w.result("suction", suction)
    w.result("discharge", running(eq.DISCHARGE_ON, here.first(DISCHARGE, max)))
    suction_abs = w.step(eq.SUCTION_ABS, p_s=suction, P_a=air)
    has = w.step(eq.NPSH, P_s=suction_abs, P_v=boils, rho_h=hot, g=STANDARD_GRAVITY)
    w.result("npsh_has", has)
    w.result("npsh_spare", None if v.npsh is None else has - v.npsh)
    w.result("misfit", off_by)
    w.result("factor", factor)
    better = others[SUCTION] if v.vessel_at != SUCTION else None
    _check_low(w, v, here, better, "Above the open air everywhere", "air", 0.0)
    _check_low(w, v, here, better, "Liquid everywhere", "boiling", boils - air)
    _check_vessel(w, here)
    _check_npsh(w, v, has)
    _check_rating(w, v, here)
    w.draw(_draw, here, boils - air)
    w.draw(_tables, here, others, boils - air)
    return w.solution()


def _require_full(v: Values, here: _Map, tight: int, tight_gauge: float, tight_abs: float) -> None:
    if tight_abs > 0.0:
        return
    raise Refusal(
        say("At " + _quoted(here.stations[tight]) + " there would be {there}, less than no "
            "pressure at all: the water parts there. Check heights, heads and the pressure at the "
            "vessel.", there=(tight_gauge, u.GAUGE_PRESSURE)),
        field="vessel_pressure", cite=PHYSICS.at("absolute zero of pressure"),
    )  # fmt: skip


_AWAY = (
    {"name": "Pump", "part": PUMP, "height": "0 m", "friction": "0 bar", "head": "0.4 bar"},
    {"name": "Boiler, out", "part": "pipe", "height": "0 m", "friction": "0.1 bar"},
    {"name": "Top, in", "part": "pipe", "height": "6 m", "friction": "0.1 bar"},
    {"name": "Top, out", "part": "pipe", "height": "6 m", "friction": "0.1 bar"},
    {"name": "Back", "part": "pipe", "height": "0 m", "friction": "0.1 bar"},
)

CALCULATOR = Calculator(
    id="loop-pressures",
    title="Loop and pump",
    question="What does the pump do to the pressure at every point, and where does the vessel "
    "belong?",
    summary="The pressure along the loop with the pump off and running, the lowest point with its "
    "distance to air and to boiling, and the NPSH the pump has; for three places of the vessel.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=(
        {"vessel_pressure": "1.5 ± 0.05 bar", "points": list(_AWAY), "altitude": "0 m"},
        {"vessel_pressure": "1.2 bar", "vessel_at": DISCHARGE, "hot": "95 degC",
         "altitude": "1500 m", "npsh": "4 m",
         "points": [{**_AWAY[0], "head": "0.8 bar"}, *_AWAY[1:]], "closing": SCALE},
        {"vessel_pressure": "14 psi", "vessel_at": SUCTION, "hot": "180 degF", "closing": SCALE,
         "altitude": "5280 ft", "margin": "5 psi", "rating": "30 psi", "npsh": "",
         "points": [
             {"name": "Boiler", "part": "pipe", "height": "4 ft", "friction": "1.5 psi"},
             {"name": "Pump", "part": PUMP, "height": "3 ft", "friction": "0.4 psi",
              "head": "5 psi"},
             {"name": "Top radiator", "part": "pipe", "height": "26 ft", "friction": "2 psi"},
             {"name": "Vessel", "part": "pipe", "height": "0 ft", "friction": "1 psi"},
         ]},
        {"fluid": "propylene glycol", "glycol": "30 %", "cold": "-5 degC", "hot": "70 degC"},
        {"fluid": "ethylene glycol", "glycol": "25 %", "hot": "75 degC", "vessel_at": SUCTION},
    ),
)  # fmt: skip

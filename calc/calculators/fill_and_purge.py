"""How long filling takes, whether the source carries the air out, and what air comes later."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import pi

from calc import pipes, site
from calc import units as u
from calc.aeration import HIGHEST, LOWEST
from calc.equations import filling as eq
from calc.equations.shared import AIR_PRESSURE, COLD_DENSITY, VAPOUR
from calc.filling import source_flow, time_to_share
from calc.hydrostatics import STANDARD_GRAVITY
from calc.model import (
    CAUTION,
    FAIL,
    PASS,
    Axis,
    Bar,
    BarChart,
    Calculator,
    Choice,
    Limit,
    LineChart,
    Mark,
    Option,
    Output,
    Quantity,
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
from calc.sources import (
    COMMON_PRACTICE,
    FLOW_TEXTBOOKS,
    IAPWS_G7_04,
    OWN_RULE,
    PHYSICS,
    WISNER_1975,
)

MAINS, PUMP = "mains", "pump"
RULE, POCKET, BOTH = "rule", "pocket", "both"
OWN_BORE = "bore"

ROUGHNESS = {pipes.STEEL: 45e-6, pipes.COPPER: 1.5e-6, pipes.PLASTIC: 1.5e-6}
"""Height of the roughness of the wall by material. [m]"""

LONGEST_FILL = 4.0 * 3600.0
"""Beyond this somebody will leave the filling unwatched. [s]"""

_SLIP = OWN_RULE.at("to catch a slip of the pen")
_LOSSES = FLOW_TEXTBOOKS.at("loss coefficients")
_STILL = PHYSICS.at("column of still liquid")
_HENRY = IAPWS_G7_04.at("range")
_POINTS = 25


def _source(name: str, when: str, pressure: str, flow: str, words: tuple[str, str]) -> tuple:
    return (
        Quantity(
            name=f"{name}_pressure", label=words[0], kind=u.GAUGE_PRESSURE, default=pressure,
            reading=True, when={"source": (when,)},
            help="Gauge at the filling point, nothing running. With a pressure reducer in the "
            "line, behind it." if when == MAINS else
            "Gauge on the pump's outlet, its valve shut for a moment, pump running.",
            low=Limit("0.05 bar", "less drives nothing", PHYSICS.at("energy equation")),
            high=Limit("16 bar", "no filling line carries more", _SLIP),
        ),
        Quantity(
            name=f"{name}_flow", label=words[1], kind=u.FLOW, default=flow, reading=True,
            when={"source": (when,)},
            help="Bucket and watch at the open end of the filling hose, all its valves open.",
            low=Limit("0.1 L/min", "that is a drip", _SLIP),
            high=Limit("2000 L/min", "that is a hydrant", _SLIP),
        ),
    )  # fmt: skip


CIRCUITS = Table(
    name="circuits", label="Circuits to purge", row_label="circuit",
    help="One row for each circuit, at its widest pipe that runs downhill: there the air is "
    "hardest to move. Purge them one at a time, the others shut.",
    columns=(
        Text(name="name", label="Name", help="What you call it. It only helps you to find it."),
        Choice(
            name="tube", label="Pipe", default="en-1057-22x1",
            options=(
                *(Option(tube.key, tube.label) for tube in pipes.TUBES.values()),
                Option(OWN_BORE, "Another pipe, by its bore"),
            ),
            help="Its widest pipe. Find the size stamped on it, or measure the outside.",
        ),
        Quantity(
            name="bore", label="Bore", kind=u.SMALL_LENGTH, default="20 mm",
            help="Inside diameter: outside diameter less two walls.",
            low=Limit("3 mm", "a bore so fine is no heating pipe", _SLIP),
            high=Limit("0.3 m", "that is a district main, purged by its own plan", _SLIP),
            when={"tube": (OWN_BORE,)},
        ),
        Quantity(
            name="length", label="Length", kind=u.LENGTH, default="40 m",
            help="From the filling point round the circuit to the open hose end, which hangs as "
            "high as the filling point.",
            low=Limit("0.5 m", "a shorter circuit needs no purging", _SLIP),
            high=Limit("2000 m", "purge so long a run in parts", _SLIP),
        ),
        Quantity(
            name="fall", label="Steepest fall", kind=u.FRACTION, default="100 %",
            help="Fall for each length of pipe, downstream: 100 % is straight down, 0 % level.",
            low=Limit("0 %", "uphill the air goes by itself", WISNER_1975.at("downward pipes")),
            high=Limit("100 %", "nothing falls more than straight down", PHYSICS.at("geometry")),
        ),
        Quantity(
            name="fittings", label="Bends and valves, sum of K", kind=u.NUMBER, default="20",
            help="About 1 for each bend and 4 to 10 for each globe or radiator valve; from memory.",
            low=Limit("0", "a fitting never pushes", _LOSSES),
            high=Limit("10000", "that is a closed valve", _LOSSES),
        ),
    ),
    default=(
        ("Ground floor mains", "en-10255-40", "", "64 m", "0 %", "25"),
        ("Riser, second floor", "en-10255-32", "", "34 m", "100 %", "20"),
        ("Branch, first floor", "en-1057-22x1", "", "40 m", "100 %", "30"),
        ("Floor circuit, children's room", "pex-16x2", "", "80 m", "5 %", "15"),
    ),
    us_default=(
        ("Ground floor mains", "b36.10-40-1-1-2", "", "210 ft", "0 %", "25"),
        ("Riser, second floor", "b36.10-40-1-1-4", "", "112 ft", "100 %", "20"),
        ("Branch, first floor", "b88-l-3-4", "", "130 ft", "100 %", "30"),
        ("Floor circuit, children's room", "f876-1-2", "", "260 ft", "5 %", "15"),
    ),
    fewest=1, most=12,
)  # fmt: skip

INPUTS = (
    Choice(
        name="source", label="Filled from", default=PUMP,
        options=(Option(MAINS, "Mains, through the approved backflow protection"),
                 Option(PUMP, "Purge pump, from a tank")),
        help="Mains water is enough for small pipes. Wide pipes want a purge pump.",
    ),
    *_source("mains", MAINS, "3.4 ± 0.1 bar", "18 ± 1 L/min",
             ("Mains pressure, nothing running", "Flow at the open hose end")),
    *_source("pump", PUMP, "2.8 ± 0.1 bar", "75 ± 3 L/min",
             ("Pump's pressure, outlet shut", "Pump's flow, hose end open")),
    replace(site.SYSTEM_VOLUME,
            help="Water to let in: the whole system if it is empty, or what was drained."),
    Quantity(
        name="lift", label="Highest point above the filling point", kind=u.LENGTH,
        default="10.2 ± 0.1 m", reading=True,
        help="From the filling point's gauge up to the highest pipe or radiator.",
        low=Limit("0 m", "filling from above is not this case", _STILL),
        high=Limit("112 m", "a column that tall needs more than a filling line", _SLIP),
    ),
    Quantity(
        name="fill", label="Cold fill at the filling point", kind=u.GAUGE_PRESSURE,
        default=site.COLD_FILL_ON_GAUGE, reading=True,
        help="What the gauge there is to show when full and vented. The pre-charge page finds it.",
        low=Limit("0 bar", "below the air pressure, air is drawn in", _STILL),
        high=Limit("160 psi", "hot-water heating boilers stop at this pressure", _SLIP),
    ),
    Choice(
        name="purge_rule", label="Velocity that carries air along", default=BOTH,
        options=(Option(BOTH, "The higher of the two below"),
                 Option(RULE, "0.6 m/s (2 ft/s), from memory"),
                 Option(POCKET, "Pocket-clearing velocity, by bore and fall")),
        help="0.6 m/s suits pipes up to 32 mm. Wider ones and steep ones want more.",
    ),
    CIRCUITS,
    replace(site.COLD, label="Fill water",
            help="Temperature of the water that is let in. Cold water brings the most air.",
            low=Limit("5 degC", "the equation of dissolved nitrogen starts there", _HENRY)),
    site.HOT,
    Quantity(
        name="top_margin", label="Pressure wanted at the top", kind=u.PRESSURE_DIFFERENCE,
        default="0.3 bar", us_default="4 psi",
        help="Above the air, or above boiling where the water is hotter than that. Common are 0.2 "
        "to 0.5 bar, or 4 to 5 psi.",
        low=Limit("0 bar", "below the air outside, the top draws air in", _STILL),
        high=Limit("3 bar", "more than that is a slip of the pen", _SLIP),
    ),
    replace(site.RELIEF, help="As marked on the valve's plate: the source may not lift it."),
    replace(site.FLUID, help="For weight and friction. The air is that of water: glycol mixtures "
            "hold less."),
    site.GLYCOL,
    site.ALTITUDE,
)  # fmt: skip

SECTIONS = (
    Section("Source", ("source", "mains_pressure", "mains_flow", "pump_pressure", "pump_flow")),
    Section("System", ("system_volume", "lift", "fill", "cold", "hot")),
    Section("Circuits", ("purge_rule", "circuits")),
    Section("Relief valve, margin, fluid and site",
            ("relief", "top_margin", "fluid", "glycol", "altitude"), folded=True),
)  # fmt: skip

OUTPUTS = (
    Output("time", "Time to fill", u.TIME, headline=True,
           help="Vents open, water spread evenly over the height. The last rise to the cold fill "
           "is not counted."),
    Output("top_flow", "Flow when the water reaches the top", u.FLOW),
    Output("top", "Pressure at the top, pumps off", u.GAUGE_PRESSURE, headline=True),
    Output("top_least", "Least pressure wanted at the top", u.GAUGE_PRESSURE),
    Output("worst", "Circuit hardest to purge", None),
    Output("needed", "Flow that circuit needs", u.FLOW),
    Output("reached", "Flow it gets", u.FLOW),
    Output("share", "Flow it gets of what it needs", u.FRACTION, headline=True),
    Output("brings", "Air the fill water brings", u.FRACTION,
           help="Air at 0 °C and 1 atm, by volume of water."),
    Output("holds", "Air the hot water can hold at the top", u.FRACTION),
    Output("released", "Air that comes out at the first heating", u.AIR_VOLUME,
           help="Counted dry at 0 °C and 1 atm. What does not come out at the vents gathers at "
           "the top."),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Circuit:
    """A circuit with the flow it needs and the flow it gets. [m3/s]"""

    name: str
    needed: float
    reached: float


def _bore(row: Values) -> float:
    return row.bore if row.tube == OWN_BORE else pipes.tube_bore(row.tube)


def _roughness(row: Values) -> float:
    material = "" if row.tube == OWN_BORE else pipes.TUBES[row.tube].family
    return ROUGHNESS.get(material, max(ROUGHNESS.values()))


def _purge(w: Work, v: Values, rest: float, flow: float, density: float, mu: float) -> list:
    found = []
    for number, row in enumerate(v.circuits, 1):
        bore = _bore(row)
        if v.purge_rule == RULE:
            velocity = w.step(eq.RULE, d=bore)
        else:
            law = eq.POCKET if v.purge_rule == POCKET else eq.BOTH
            velocity = w.step(law, g=STANDARD_GRAVITY, d=bore, s=row.fall)
        needed = w.step(eq.NEEDED, pi=pi, d=bore, v=velocity)
        inside = w.step(eq.SOURCE_LOSS, Q_o=flow, p_s=rest, rho=density, d=bore, pi=pi)
        reached = w.step(
            eq.REACHED_VELOCITY, p_s=rest, rho=density, mu=mu, d=bore, L=row.length,
            k=_roughness(row), K=row.fittings, K_s=inside,
        )  # fmt: skip
        name = row.name.strip() or f"Circuit {number}"
        found.append(_Circuit(name, needed, w.step(eq.REACHED, pi=pi, d=bore, v_r=reached)))
    return found


def _check_circuits(w: Work, v: Values, circuits: list[_Circuit]) -> None:
    cite = WISNER_1975.at("clearing velocity, with 0.6 m/s from memory")
    for number, circuit in enumerate(circuits, 1):
        said = {"needed": (circuit.needed, u.FLOW), "reached": (circuit.reached, u.FLOW)}
        label = f"Air carried out: {circuit.name}"
        if circuit.reached >= circuit.needed:
            w.check(
                f"purge-{number}", label, PASS,
                say("It needs {needed} and gets {reached}, the other circuits shut.", **said),
                cite,
            )  # fmt: skip
            continue
        mend = (
            "Use a purge pump, or vent it by hand at its top and run the system's pump."
            if v.source == MAINS
            else "Use a stronger pump or a wider, shorter hose, or vent it by hand at its top and "
            "run the system's pump."
        )
        w.check(
            f"purge-{number}", label, FAIL,
            say("It needs {needed} and gets {reached}: the air stays in the pipes that run "
                "down. " + mend, **said),
            cite,
        )  # fmt: skip


def _fill(w: Work, v: Values, rest: float, flow: float, column: float) -> float | None:
    said = {
        "rest": (rest, u.GAUGE_PRESSURE), "column": (column, u.PRESSURE_DIFFERENCE),
        "fill": (v.fill, u.GAUGE_PRESSURE), "relief": (v.relief, u.GAUGE_PRESSURE),
        "longest": (LONGEST_FILL, u.TIME),
    }  # fmt: skip
    time = None
    if rest > column:
        w.result("top_flow", w.step(eq.FLOW_AT_TOP, Q_o=flow, p_s=rest, p_c=column))
        time = w.step(eq.FILLING_TIME, Q_o=flow, V_s=v.system_volume, p_s=rest, p_c=column)
        w.result("time", time)
        w.draw(_draw_filling, v, rest, flow, column, time)
    if rest <= column:
        status, words = FAIL, (
            "The source gives {rest}, and the column to the top alone presses with {column}: the "
            "water never gets there. Use a stronger pump.")  # fmt: skip
    elif rest <= v.fill:
        status, words = FAIL, (
            "The source gives {rest}, not more than the cold fill of {fill}. Use a stronger "
            "pump for the last of it.")  # fmt: skip
    else:
        status, words = PASS, "The source gives {rest}, enough for the cold fill of {fill}."
    w.check("reach", "The source reaches the cold fill", status, say(words, **said), _STILL)
    if rest >= v.relief:
        status, words = CAUTION, (
            "The source can push {rest}, and the relief valve opens at {relief}. Throttle it, keep "
            "a hand on the valve and an eye on the gauge.")  # fmt: skip
    else:
        status, words = PASS, "The source stays below the relief valve: {rest} against {relief}."
    w.check("relief", "The source cannot lift the relief valve", status, say(words, **said), _STILL)
    if time is not None:
        said["time"] = (time, u.TIME)
        if time > LONGEST_FILL:
            status, words = CAUTION, (
                "Filling takes {time}, more than {longest}. Plan for somebody to stay with it, or "
                "use a pump.")  # fmt: skip
        else:
            status, words = PASS, "Filling takes {time}: stay with it."
        w.check("watch", "Short enough to stay with", status, say(words, **said),
                OWN_RULE.at("four hours"))  # fmt: skip
    return time


def _air(w: Work, v: Values, air: float, top: float) -> None:
    boils_at = w.step(VAPOUR, t_h=v.hot)
    least = w.step(eq.LEAST_TOP, P_v=boils_at, P_a=air, d_t=v.top_margin)
    w.result("top_least", least)
    said = {
        "top": (top, u.GAUGE_PRESSURE), "least": (least, u.GAUGE_PRESSURE),
        "hot": (v.hot, u.TEMPERATURE),
    }  # fmt: skip
    if top >= least:
        status, words = PASS, "The top has {top}; at least {least} is wanted."
    elif top + air <= boils_at:
        status, words = FAIL, (
            "The top has {top}, and water at {hot} boils there. Raise the cold fill to bring it "
            "to {least}, if charge and vessel allow it.")  # fmt: skip
    else:
        status, words = FAIL, (
            "The top has {top}, less than the {least} wanted: air gathers there, or is drawn in. "
            "Raise the cold fill, if charge and vessel allow it.")  # fmt: skip
    w.check("top", "Pressure at the top", status, say(words, **said),
            COMMON_PRACTICE.at("0.2 to 0.5 bar, or 4 to 5 psi"))  # fmt: skip
    brings = w.step(eq.DISSOLVED_COLD, t_c=v.cold, P_a=air)
    w.result("brings", brings)
    if top + air > boils_at and LOWEST <= v.hot <= HIGHEST:
        absolute = w.step(eq.TOP_ABS, p_t=top, P_a=air)
        holds = w.step(eq.DISSOLVED_HOT, t_h=v.hot, P_t=absolute)
        w.result("holds", holds)
        w.result("released", w.step(eq.RELEASED, V_s=v.system_volume, s_c=brings, s_h=holds))


def _draw_filling(w: Work, v: Values, rest: float, flow: float, column: float, time: float) -> None:
    points = []
    for n in range(_POINTS):
        share = n / (_POINTS - 1)
        after = time_to_share(share, flow, v.system_volume, rest, column)
        points.append((after, share * v.system_volume))
    half = time_to_share(0.5, flow, v.system_volume, rest, column)
    w.chart(
        LineChart(
            id="filling", title="Water let in", x=Axis("time", u.TIME, "min"),
            y=Axis("water in the system", u.VOLUME),
            series=(Series("filling", tuple(points)),),
            marks=(Mark("half", half, 0.5 * v.system_volume),),
            summary=say(
                "Half is in after {half}, all of it after {time}; the flow falls from {start} to "
                "{end}.",
                half=(half, u.TIME), time=(time, u.TIME), start=(flow, u.FLOW),
                end=(source_flow(flow, rest, column), u.FLOW),
            ),
        )
    )  # fmt: skip


def _draw_circuits(w: Work, circuits: list[_Circuit], worst: _Circuit) -> None:
    bars = []
    for circuit in circuits:
        bars += [Bar(f"{circuit.name}: needs", circuit.needed),
                 Bar(f"{circuit.name}: gets", circuit.reached)]  # fmt: skip
    w.chart(
        BarChart(
            id="purge", title="Flow to carry the air out", kind=u.FLOW, bars=tuple(bars),
            summary=say(
                "Hardest to purge is “" + worst.name.replace("{", "(").replace("}", ")") +
                "”: it needs {needed} and gets {reached}.",
                needed=(worst.needed, u.FLOW), reached=(worst.reached, u.FLOW),
            ),
        )
    )  # fmt: skip


def solve(v: Values) -> Solution:
    """Find the filling time, the purging flow of each circuit and the air that comes later."""
    w = work_on(v)
    rest, flow = (
        (v.mains_pressure, v.mains_flow) if v.source == MAINS else (v.pump_pressure, v.pump_flow)
    )
    share = {} if v.fluid == site.WATER else {"phi": v.glycol}
    air = w.step(AIR_PRESSURE, z_s=v.altitude)
    density = w.step(COLD_DENSITY[v.fluid], t_c=v.cold, **share)
    mu = w.step(eq.VISCOSITY[v.fluid], t_c=v.cold, **share)
    column = w.step(eq.COLUMN, rho_c=density, g=STANDARD_GRAVITY, h=v.lift)
    _fill(w, v, rest, flow, column)
    top = w.step(eq.TOP, p_f=v.fill, p_c=column)
    w.result("top", top)
    _air(w, v, air, top)
    circuits = _purge(w, v, rest, flow, density, mu)
    worst = min(circuits, key=lambda circuit: circuit.reached / circuit.needed)
    w.result("worst", worst.name)
    w.result("needed", worst.needed)
    w.result("reached", worst.reached)
    w.result("share", worst.reached / worst.needed)
    _check_circuits(w, v, circuits)
    if v.fluid != site.WATER and v.source == MAINS:
        w.check(
            "glycol", "Glycol is not filled from the mains", FAIL,
            "Mains water thins the mixture, and glycol must never stand behind the drinking water. "
            "Fill from a tank of ready-mixed fluid with a pump.",
            COMMON_PRACTICE.at("ready-mixed fluid from a tank"),
        )  # fmt: skip
    w.draw(_draw_circuits, circuits, worst)
    return w.solution()


CALCULATOR = Calculator(
    id="fill-and-purge",
    title="Filling and purging",
    question="How long does filling take, and does the flow carry the air out?",
    summary="Time to fill from mains or pump, the flow each circuit needs to lose its air against "
    "the flow it gets, the pressure at the top, and the air that comes out on heating.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=(
        {"source": MAINS},
        {"source": MAINS, "mains_pressure": "48 ± 2 psi", "mains_flow": "5 gpm",
         "system_volume": "21 gal", "lift": "24 ft", "fill": "15 psi", "cold": "50 degF",
         "hot": "180 degF", "purge_rule": RULE, "top_margin": "4 psi", "relief": "30 psi",
         "altitude": "5280 ft",
         "circuits": "Loop | b88-l-3-4 | | 120 ft | 100 % | 30; Zone | b88-l-1 | | 90 ft | 100 % "
                     "| 20"},
        {"purge_rule": POCKET, "fluid": "propylene glycol", "glycol": "20 %", "hot": "70 degC",
         "circuits": "Entrance heater | bore | 26 mm | 60 m | 40 % | 25"},
        {"source": MAINS, "mains_pressure": "0.8 bar", "fluid": "ethylene glycol",
         "glycol": "30 %", "hot": "115 degC", "fill": "1.2 bar"},
        {"hot": "118 degC", "fill": "2.4 bar", "top_margin": "0.2 bar"},
    ),
)  # fmt: skip

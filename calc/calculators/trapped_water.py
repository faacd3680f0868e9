"""How the pressure climbs in a pipe shut at both ends, and what gas holds against water."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from calc import pipes, site, trapped
from calc import units as u
from calc.equations import trapped as eq
from calc.equations.shared import AIR_PRESSURE
from calc.expansion import COPPER_EXPANSION, STEEL_EXPANSION
from calc.fluids import vapour_pressure
from calc.model import (
    CAUTION,
    FAIL,
    PASS,
    Axis,
    Bar,
    BarChart,
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
    Section,
    Series,
    Solution,
    Values,
    Work,
    say,
    work_on,
)
from calc.sources import (
    ASME_PCC_2,
    ELASTIC_CONSTANTS,
    IAPWS_IF97,
    OWN_RULE,
    PHYSICS,
)

OWN_PIPE = "own"


@dataclass(frozen=True, slots=True)
class Metal:
    """Linear expansion [1/K], modulus [Pa] and cross contraction [-] of a pipe's metal."""

    label: str
    expansion: float
    modulus: float
    poisson: float


METALS = {
    "steel": Metal("Steel", STEEL_EXPANSION, 210e9, 0.30),
    "stainless": Metal("Stainless steel", 16.5e-6, 200e9, 0.30),
    "copper": Metal("Copper", COPPER_EXPANSION, 120e9, 0.34),
}
_OF_FAMILY = {pipes.STEEL: "steel", pipes.COPPER: "copper"}

LITTLE_WARMING = 10.0
"""A room or the sun warms a pipe by as much without anybody meaning it. [K]"""

ELASTIC_STRESS = 100e6
"""Soft copper and many joints begin to give at about this stress. [Pa]"""

_SLIP = OWN_RULE.at("to catch a slip of the pen")
_TABLE = IAPWS_IF97.at("liquid water as worked out here")
_CHART_POINTS = 15
_ROOM = 293.15
"""Water of a pressure test stands at about this temperature. [K]"""

_TUBES = tuple(t for t in pipes.TUBES.values() if t.family in _OF_FAMILY)

INPUTS = (
    Choice(
        name="tube", label="Pipe", default="en-10255-50", us_default="b36.10-40-2",
        options=(
            *(Option(tube.key, tube.label) for tube in _TUBES),
            Option(OWN_PIPE, "Another pipe, by its outside and wall"),
        ),
        help="The pipe that is shut at both ends. Plastic pipe grows more than water and gives "
        "way, but the metal parts between its valves do not.",
    ),
    Quantity(
        name="outside", label="Outside diameter", kind=u.SMALL_LENGTH, default="42 mm",
        us_default="2.375 in", reading=True, when={"tube": (OWN_PIPE,)},
        help="Measured with a caliper, or the girth divided by 3.14.",
        low=Limit("4 mm", "a pipe so fine is a capillary", _SLIP),
        high=Limit("1 m", "that is a district main", _SLIP),
    ),
    Quantity(
        name="wall", label="Wall", kind=u.SMALL_LENGTH, default="1.5 mm", us_default="0.154 in",
        reading=True, when={"tube": (OWN_PIPE,)},
        help="Thickness of the wall. Thinner walls stretch more and burst sooner.",
        low=Limit("0.3 mm", "no heating pipe is thinner", _SLIP),
        high=Limit("50 mm", "no heating pipe is thicker", _SLIP),
    ),
    Choice(
        name="metal", label="Metal", default="stainless", when={"tube": (OWN_PIPE,)},
        options=tuple(Option(key, metal.label) for key, metal in METALS.items()),
        help="It decides how much the pipe grows and how much it stretches.",
    ),
    Quantity(
        name="length", label="Length that is shut", kind=u.LENGTH, default="8 m", reading=True,
        help="From valve to valve, plug or cap, branches counted in. It decides how much has to "
        "get out, not how fast the pressure climbs.",
        low=Limit("1 cm", "shorter than any fitting", _SLIP),
        high=Limit("5000 m", "no closed heating pipe without a valve is longer", _SLIP),
    ),
    Quantity(
        name="shut_temperature", label="Temperature when it was shut", kind=u.TEMPERATURE,
        default="20 degC", reading=True,
        help="Of the water in the pipe at the moment the second end was shut.",
        low=Limit("0 degC", "colder water is ice, which bursts a pipe in its own way", _TABLE),
        high=Limit("150 degC", "no hot-water system here is hotter", site.HOT.high.cite),
    ),
    Quantity(
        name="pressure", label="Pressure when it was shut", kind=u.GAUGE_PRESSURE,
        default="1.55 bar", reading=True,
        help="Of the water in the pipe at that moment. 0 where it had just been opened.",
        low=Limit("0 bar", "a full pipe stands at the pressure of the air at least", _SLIP),
        high=Limit("160 psi", "hot-water heating boilers stop at this pressure",
                   site.RELIEF.high.cite),
    ),
    Quantity(
        name="warm_temperature", label="Temperature afterwards", kind=u.TEMPERATURE,
        default="35 degC", reading=True,
        help="The warmest it may get: the room, the sun, the pipe beside it, or the boiler.",
        low=Limit("0 degC", "colder water is ice", _TABLE),
        high=Limit("200 degC", "the equation of the liquid is worked out up to there", _TABLE),
    ),
    Quantity(
        name="rating", label="Weakest part carries", kind=u.GAUGE_PRESSURE, default="10 bar",
        help="Allowed pressure of the weakest thing in the pipe: valve, fitting, gauge, pump, "
        "coil. As marked on it.",
        low=Limit("0.1 bar", "a part for closed heating carries more", _SLIP),
        high=Limit("400 bar", "no heating part is marked so high", _SLIP),
    ),
    Quantity(
        name="gas_volume", label="Volume compared", kind=u.VOLUME,
        default=site.VESSEL_VOLUME.default, reading=True,
        help="Of a charged vessel, or of the part you mean to test.",
        low=Limit("0.1 L", "smaller than any part to test", _SLIP),
        high=Limit("1000 m3", "no building's system holds more", _SLIP),
    ),
    Quantity(
        name="gas_pressure", label="Pressure compared", kind=u.GAUGE_PRESSURE, default="3 bar",
        reading=True,
        help="Charge or test pressure. The same pressure is taken for gas and for water.",
        low=Limit("0.01 bar", "below that there is nothing to compare", _SLIP),
        high=Limit("100 bar", "no heating part is tested so high", _SLIP),
    ),
    site.ALTITUDE,
)  # fmt: skip

SECTIONS = (
    Section("Pipe", ("tube", "outside", "wall", "metal", "length")),
    Section("What happens to it",
            ("shut_temperature", "pressure", "warm_temperature", "rating")),
    Section("Gas against water", ("gas_volume", "gas_pressure")),
    Section("Site", ("altitude",), folded=True),
)  # fmt: skip

OUTPUTS = (
    Output("per_degree", "Rise with the first degree", u.PRESSURE_PER_KELVIN, headline=True,
           help="Negative where the metal grows more than the water, close to freezing."),
    Output("after", "Pressure afterwards", u.GAUGE_PRESSURE, headline=True,
           help="If everything holds and not a bubble of air is in it: the most it can be."),
    Output("rise", "Rise in all", u.PRESSURE_DIFFERENCE),
    Output("bearable", "Warming the weakest part can bear", u.TEMPERATURE_DIFFERENCE,
           headline=True),
    Output("content", "Water shut in", u.VOLUME),
    Output("let_out", "Water that has to get out", u.VOLUME,
           help="To keep the pressure it was shut at. A vessel or a relief valve gives it room. "
           "Negative: water has to come in."),
    Output("gas_energy", "Energy held by the gas", u.ENERGY,
           help="What is let loose at once if the holder gives way."),
    Output("tnt", "TNT that lets loose as much", u.MASS, unit="g",
           help="A yardstick of the test code, not a forecast."),
    Output("water_energy", "Energy held by as much water", u.ENERGY, unit="J"),
    Output("times", "Gas holds so many times more", u.NUMBER),
)  # fmt: skip


def _pipe_of(v: Values) -> tuple[float, float, Metal]:
    """Return outside diameter, wall [m] and metal of the pipe."""
    if v.tube != OWN_PIPE:
        tube = pipes.tube(v.tube)
        return tube.outside, tube.wall, METALS[_OF_FAMILY[tube.family]]
    if 2.0 * v.wall >= v.outside * (1 - 1e-9):
        raise Refusal(
            say(
                "A wall of {wall} leaves no room for water in a pipe of {outside}. Check both.",
                wall=(v.wall, u.SMALL_LENGTH),
                outside=(v.outside, u.SMALL_LENGTH),
            ),
            field="wall",
            cite=PHYSICS.at("geometry"),
        )
    return v.outside, v.wall, METALS[v.metal]


def _require_warming(v: Values, start_abs: float) -> None:
    if v.warm_temperature <= v.shut_temperature:
        raise Refusal(
            say(
                "From {shut} to {warm} it does not warm, so its pressure does not climb this way. "
                "Enter the warmest it may get.",
                shut=(v.shut_temperature, u.TEMPERATURE),
                warm=(v.warm_temperature, u.TEMPERATURE),
            ),
            field="warm_temperature",
            cite=PHYSICS.at("thermal expansion"),
        )
    boils = vapour_pressure(v.shut_temperature)
    if start_abs <= boils:
        raise Refusal(
            say(
                "At {shut} water needs more than {boils} to be liquid, and the pipe has {there}. "
                "Enter a higher pressure or a lower temperature.",
                shut=(v.shut_temperature, u.TEMPERATURE),
                boils=(boils, u.ABSOLUTE_PRESSURE),
                there=(start_abs, u.ABSOLUTE_PRESSURE),
            ),
            field="pressure",
            cite=IAPWS_IF97.at("saturation"),
        )
    if v.rating <= v.pressure:
        raise Refusal(
            say(
                "The pipe stands at {p} already, and its weakest part carries {rating}. Let the "
                "pressure off, or enter what the part truly carries.",
                p=(v.pressure, u.GAUGE_PRESSURE),
                rating=(v.rating, u.GAUGE_PRESSURE),
            ),
            field="rating",
            cite=OWN_RULE.at("the pressure marked on the part"),
        )


def _found_at(w: Work, field: str, equation: Equation, **values: float) -> float:
    try:
        return w.step(equation, **values)
    except Refusal as refused:
        raise Refusal(refused.message, field=field, cite=refused.cite) from None


def _check_rating(w: Work, v: Values, after: float, bearable: float) -> None:
    said = {
        "after": (after, u.GAUGE_PRESSURE), "rating": (v.rating, u.GAUGE_PRESSURE),
        "warm": (v.warm_temperature, u.TEMPERATURE),
        "bears": (bearable, u.TEMPERATURE_DIFFERENCE),
        "little": (LITTLE_WARMING, u.TEMPERATURE_DIFFERENCE),
    }  # fmt: skip
    cite = OWN_RULE.at("the pressure marked on the part")
    if after > v.rating:
        w.check(
            "rating", "Weakest part after warming", FAIL,
            say("At {warm} the pipe stands at {after}, if it holds, and its weakest part carries "
                "{rating}. That is reached after {bears} already. Leave a vent or a drain open, or "
                "have a relief valve fitted between the two ends.", **said),
            cite,
        )  # fmt: skip
    else:
        w.check(
            "rating", "Weakest part after warming", PASS,
            say("At {warm} the pipe stands at {after}, and its weakest part carries {rating}. "
                "Leave a vent or a drain open all the same.", **said),
            cite,
        )  # fmt: skip
    cite = OWN_RULE.at("10 K, as a room or the sun warms it")
    if bearable < LITTLE_WARMING:
        w.check(
            "bearable", "Safe from a warm room or the sun", CAUTION,
            say("{bears} of warming is all it can bear, and a warm room or the sun gives {little}. "
                "Do not leave it shut and full: drain it or leave one end open.", **said),
            cite,
        )  # fmt: skip
    else:
        w.check(
            "bearable", "Safe from a warm room or the sun", PASS,
            say("It bears {bears}, more than the {little} a warm room or the sun gives.", **said),
            cite,
        )  # fmt: skip


def _check_elastic(w: Work, stress: float) -> None:
    said = {
        "stress": (stress, u.PRESSURE_DIFFERENCE), "limit": (ELASTIC_STRESS, u.PRESSURE_DIFFERENCE),
    }  # fmt: skip
    cite = ELASTIC_CONSTANTS.at("where soft copper begins to give")
    if stress > ELASTIC_STRESS:
        w.check(
            "elastic", "Pipe still elastic", CAUTION,
            say("The wall would carry {stress}. From about {limit} soft metal and joints begin to "
                "give, so take the pressure afterwards for an upper bound: something lets go "
                "first. Leave an end open.", **said),
            cite,
        )  # fmt: skip
    else:
        w.check(
            "elastic", "Pipe still elastic", PASS,
            say("The wall carries {stress}; from about {limit} soft metal begins to give. The "
                "figures hold.", **said),
            cite,
        )  # fmt: skip


def _check_test(w: Work, v: Values, gas: float, water: float) -> None:
    w.check(
        "test", "Prove it with water, not with gas", CAUTION,
        say("At {p}, {volume} of gas holds {gas}; as much water holds {water}, {times} times less. "
            "Prove tightness with water where you can, vent all air from it first, and stand clear "
            "of a charged vessel's joints.",
            p=(v.gas_pressure, u.GAUGE_PRESSURE), volume=(v.gas_volume, u.VOLUME),
            gas=(gas, u.ENERGY), water=(water, u.ENERGY), times=(gas / water, u.NUMBER)),
        ASME_PCC_2.at("appendix 501-II"),
    )  # fmt: skip


def _line(
    v: Values, start_abs: float, air: float, linear: float, give: float
) -> tuple[tuple[float, float], ...]:
    """Return pressures on the way to the temperature afterwards, where there are any."""
    span = v.warm_temperature - v.shut_temperature
    points = [(v.shut_temperature, v.pressure)]
    for n in range(1, _CHART_POINTS):
        at = v.shut_temperature + span * n / (_CHART_POINTS - 1)
        try:
            p = trapped.pressure_after_warming(start_abs, v.shut_temperature, at, linear, give)
        except Refusal:
            continue
        points.append((at, p - air))
    return tuple(points)


def _draw(
    w: Work, v: Values, start_abs: float, air: float, metal: Metal, found: dict[str, float]
) -> None:
    after = found["after"]
    points = _line(v, start_abs, air, metal.expansion, found["give"])
    series = [Series("this pipe", points)]
    rigid = _line(v, start_abs, air, 0.0, 0.0)
    if len(rigid) == len(points):
        series.append(Series("a pipe that gives nothing", rigid, "other"))
    if len(points) > 1:
        w.chart(
            LineChart(
                id="climb", title="Pressure of the shut pipe as it warms",
                x=Axis("temperature", u.TEMPERATURE), y=Axis("pressure", u.GAUGE_PRESSURE),
                series=tuple(series),
                levels=(Level("weakest part carries", v.rating, "limit"),),
                marks=(Mark("shut", v.shut_temperature, v.pressure),
                       Mark("afterwards", v.warm_temperature, after)),
                summary=say(
                    "From {p} at {t} the pressure climbs to {after} at {warm}. The weakest part "
                    "carries {rating}.",
                    p=(v.pressure, u.GAUGE_PRESSURE), t=(v.shut_temperature, u.TEMPERATURE),
                    after=(after, u.GAUGE_PRESSURE), warm=(v.warm_temperature, u.TEMPERATURE),
                    rating=(v.rating, u.GAUGE_PRESSURE),
                ),
            )
        )  # fmt: skip
    w.chart(
        BarChart(
            id="held", title="Energy held at the same volume and pressure", kind=u.ENERGY,
            bars=(Bar("gas", found["gas_energy"]), Bar("water", found["water_energy"])),
            summary=say("Gas holds {gas}, water {water}.", gas=(found["gas_energy"], u.ENERGY),
                        water=(found["water_energy"], u.ENERGY)),
        )
    )  # fmt: skip


def solve(v: Values) -> Solution:
    """Find how fast the pressure climbs, where it ends, and what gas holds against water."""
    w = work_on(v)
    outside, wall, metal = _pipe_of(v)
    air = w.step(AIR_PRESSURE, z_s=v.altitude)
    start_abs = w.step(eq.START_ABS, p_1=v.pressure, P_a=air)
    _require_warming(v, start_abs)
    before = {"t_1": v.shut_temperature, "P_1": start_abs}
    give = w.step(eq.GIVE, D=outside, s=wall, E=metal.modulus, nu=metal.poisson)
    pipe = {"alpha": metal.expansion, "c": give}
    found = {"give": give}
    found["per_degree"] = w.step(
        eq.RISE, beta=w.step(eq.EXPANSIVITY, **before), kappa=w.step(eq.COMPRESSIBILITY, **before),
        **pipe,
    )  # fmt: skip
    after_abs = _found_at(
        w, "warm_temperature", eq.AFTER_ABS, t_2=v.warm_temperature, **before, **pipe
    )
    found["after"] = w.step(eq.AFTER, P_2=after_abs, P_a=air)
    found["rise"] = found["after"] - v.pressure
    limit_abs = w.step(eq.LIMIT_ABS, p_r=v.rating, P_a=air)
    found["bearable"] = _found_at(w, "rating", eq.WARMING, P_r=limit_abs, **before, **pipe)
    found["content"] = w.step(eq.CONTENT, pi=pi, D=outside, s=wall, L=v.length)
    found["let_out"] = _let_out(w, v, before, metal, found["content"])
    stress = w.step(eq.STRESS, p_2=found["after"], D=outside, s=wall)
    _compare(w, v, air, found)
    for output in OUTPUTS:
        w.result(output.name, found[output.name])
    _check_rating(w, v, found["after"], found["bearable"])
    _check_elastic(w, stress)
    _check_test(w, v, found["gas_energy"], found["water_energy"])
    w.draw(_draw, v, start_abs, air, metal, found)
    return w.solution()


def _let_out(
    w: Work, v: Values, before: dict[str, float], metal: Metal, content: float
) -> float | None:
    """Return the water that has to get out, None where it would boil at the first pressure."""
    if before["P_1"] <= vapour_pressure(v.warm_temperature):
        return None
    return w.step(
        eq.LET_OUT,
        V=content,
        v_1=w.step(eq.VOLUME_BEFORE, **before),
        v_2=w.step(eq.VOLUME_LET_OUT, t_2=v.warm_temperature, P_1=before["P_1"]),
        alpha=metal.expansion,
        t_1=v.shut_temperature,
        t_2=v.warm_temperature,
    )


def _compare(w: Work, v: Values, air: float, found: dict[str, float]) -> None:
    gas_abs = w.step(eq.GAS_ABS, p_T=v.gas_pressure, P_a=air)
    gas = w.step(eq.GAS_ENERGY, V_T=v.gas_volume, P_T=gas_abs, P_a=air)
    yields = w.step(eq.GAS_KAPPA, t_1=_ROOM, P_T=gas_abs)
    water = w.step(eq.WATER_ENERGY, V_T=v.gas_volume, p_T=v.gas_pressure, kappa_T=yields)
    found |= {"gas_energy": gas, "water_energy": water, "times": gas / water}
    found["tnt"] = w.step(eq.TNT, E_g=gas)


CALCULATOR = Calculator(
    id="trapped-water",
    title="Trapped water",
    question="How fast does the pressure climb in a pipe shut at both ends?",
    summary="The rise with each degree, the pressure after warming, the warming its weakest part "
    "can bear, and the energy that gas holds against water at the same pressure.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=(
        {"tube": "en-1057-22x1", "length": "3 m", "shut_temperature": "15 degC",
         "warm_temperature": "45 degC", "rating": "6 bar", "altitude": "1200 m"},
        {"tube": "b36.10-40-2", "length": "21 ft", "shut_temperature": "60 ± 2 degF",
         "pressure": "18 psi", "warm_temperature": "110 degF", "rating": "125 psi",
         "gas_volume": "53 gal", "gas_pressure": "50 psi", "altitude": "5280 ft"},
        {"tube": OWN_PIPE, "outside": "42 mm", "wall": "1.5 mm", "metal": "stainless",
         "pressure": "0 bar", "warm_temperature": "80 degC", "gas_volume": "80 L"},
        {"tube": OWN_PIPE, "outside": "2.125 in", "wall": "0.058 in", "metal": "copper",
         "shut_temperature": "120 degF", "pressure": "12 psi", "warm_temperature": "130 degF",
         "rating": "300 psi"},
        {"shut_temperature": "2 degC", "warm_temperature": "9 degC", "rating": "16 bar"},
        {"shut_temperature": "95 degC", "warm_temperature": "130 degC", "pressure": "0.4 bar"},
    ),
)  # fmt: skip

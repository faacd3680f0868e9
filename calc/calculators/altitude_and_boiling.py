"""Where water boils at this altitude and height, and what keeps it liquid."""

from __future__ import annotations

from dataclasses import replace

from calc import site
from calc import units as u
from calc.atmosphere import SEA_LEVEL_PRESSURE
from calc.boiling import least_liquid_pressure
from calc.calculators.common import density_of, fluid_of
from calc.equations import boiling as eq
from calc.equations.shared import AIR_PRESSURE, BOILING_POINT, COLD_DENSITY, VAPOUR
from calc.fluids import vapour_pressure
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
from calc.sources import COMMON_PRACTICE, IAPWS_IF97, ICAO_ATMOSPHERE, OWN_RULE, PHYSICS

BAROMETER = "barometer"

OPENING_MARGIN = 10.0
"""Closer to boiling in the open than this, nothing is opened. [K]"""

_SLACK = 1.0
"""Room for the rounding of an entry. [Pa]"""

_SLIP = OWN_RULE.at("to catch a slip of the pen")
_STILL = PHYSICS.at("column of still liquid")
_OPENING = OWN_RULE.at("10 K below the boiling point; no code figure")
_POINTS = 31

INPUTS = (
    replace(
        site.HOT,
        help="The hottest the water gets where you ask about it: at the top, or where it is to "
        "be opened.",
    ),
    Quantity(
        name="pressure", label="Reading of the gauge", kind=u.GAUGE_PRESSURE,
        default=site.COLD_FILL_ON_GAUGE, reading=True,
        help="Pumps off. The cold fill is the lowest the system should ever see, so it is the "
        "one to prove.",
        low=Limit("-1 bar", "nothing is emptier than empty", PHYSICS.at("gas pressure")),
        high=Limit("160 psi", "hot-water heating boilers stop at this pressure",
                   site.RELIEF.high.cite),
    ),
    Quantity(
        name="rise", label="Top above the gauge", kind=u.LENGTH, default="10.2 ± 0.1 m",
        reading=True,
        help="From the gauge up to the highest pipe, coil or radiator. 0 asks about the water at "
        "the gauge itself.",
        low=Limit("0 m", "the top is above the gauge or level with it", _STILL),
        high=site.HEIGHT.high,
    ),
    Quantity(
        name="margin", label="Margin wanted at the top", kind=u.PRESSURE_DIFFERENCE,
        default="0.2 bar", us_default="4 psi",
        help="Above the open air and above boiling. 0.2 to 0.5 bar (4 to 5 psi and more) is usual.",
        low=Limit("0 bar", "less than nothing is no margin", PHYSICS.at("gas pressure")),
        high=Limit("3 bar", "no system needs so much", _SLIP),
    ),
    Choice(
        name="air_from", label="Air pressure from", default="altitude",
        options=(
            Option("altitude", "The altitude"),
            Option(BAROMETER, "A barometer on site"),
        ),
        help="The weather moves the air by a few per cent round the standard of the altitude.",
    ),
    replace(site.ALTITUDE, when={"air_from": ("altitude",)}),
    Quantity(
        name="air", label="Air pressure on site", kind=u.ABSOLUTE_PRESSURE, default="0.932 bar",
        reading=True, when={"air_from": (BAROMETER,)},
        help="As the instrument feels it there. A forecast gives it reduced to sea level: that "
        "figure is wrong here.",
        low=Limit("0.45 bar", "thinner air is found above any town", ICAO_ATMOSPHERE.at("5500 m")),
        high=Limit("1.1 bar", "no weather and no dry land gives more", _SLIP),
    ),
    site.FLUID,
    site.GLYCOL,
    replace(
        site.COLD,
        help="Temperature of the column between gauge and top, at its coldest and so its "
        "heaviest.",
    ),
)  # fmt: skip

SECTIONS = (
    Section("Water", ("hot", "pressure", "rise", "margin")),
    Section("Site", ("air_from", "altitude", "air")),
    Section("Fluid in the column", ("fluid", "glycol", "cold"), folded=True),
)

OUTPUTS = (
    Output("boiling_top", "Boiling point at the top", u.TEMPERATURE, headline=True),
    Output("spare", "Distance to boiling", u.TEMPERATURE_DIFFERENCE, headline=True,
           help="Boiling point at the top less the hottest water. Negative: it boils."),
    Output("least_gauge", "Least reading that keeps the margin", u.GAUGE_PRESSURE, headline=True,
           help="On the same gauge, pumps off, with the water at its hottest."),
    Output("top", "Pressure at the top", u.GAUGE_PRESSURE),
    Output("least_liquid", "Pressure at which it begins to boil", u.GAUGE_PRESSURE,
           help="Where the water is, without any margin. Negative: it stays liquid in the open."),
    Output("open_boiling", "Boiling point in the open here", u.TEMPERATURE),
    Output("flash", "Turns to steam if let out", u.FRACTION,
           help="By mass, of what leaves at the hottest temperature."),
    Output("steam", "Steam for each volume of water let out", u.NUMBER,
           help="So many litres from each litre, or gallons from each gallon."),
    Output("ambient", "Pressure of the air", u.ABSOLUTE_PRESSURE),
)  # fmt: skip


def _require_water_at_top(v: Values, top: float, top_abs: float) -> None:
    parts = vapour_pressure(max(v.cold, 273.15))
    if top_abs > parts:
        return
    raise Refusal(
        say(
            "{gauge} on the gauge cannot hold up {rise} of water: at the top there would be {top}, "
            "and the column would part and leave a hollow. Check the reading and the height, or "
            "fill first.",
            gauge=(v.pressure, u.GAUGE_PRESSURE), rise=(v.rise, u.LENGTH),
            top=(top, u.GAUGE_PRESSURE),
        ),
        field="pressure",
        cite=IAPWS_IF97.at("saturation"),
    )  # fmt: skip


def _check_liquid(w: Work, v: Values, found: dict[str, float]) -> None:
    spare = found["top_abs"] - found["vapour"]
    said = {
        "hot": (v.hot, u.TEMPERATURE), "boils": (found["boiling_top"], u.TEMPERATURE),
        "top": (found["top"], u.GAUGE_PRESSURE), "margin": (v.margin, u.PRESSURE_DIFFERENCE),
        "spare": (spare, u.PRESSURE_DIFFERENCE), "need": (found["least_gauge"], u.GAUGE_PRESSURE),
    }  # fmt: skip
    label, cite = "Stays liquid at the top", COMMON_PRACTICE.at("margin above boiling")
    if spare <= 0:
        w.check(
            "liquid", label, FAIL,
            say("At the top there is {top}, where water boils at {boils}, and it comes at {hot}. "
                "Lower the temperature, or raise charge and fill until the gauge shows {need}, as "
                "long as the relief valve allows it.", **said),
            cite,
        )  # fmt: skip
    elif spare < v.margin - _SLACK:
        w.check(
            "liquid", label, CAUTION,
            say("Liquid by {spare} only, and {margin} is wanted. Raise charge and fill until the "
                "gauge shows {need}, or lower the temperature.", **said),
            cite,
        )  # fmt: skip
    else:
        w.check(
            "liquid", label, PASS,
            say("At the top water boils at {boils}; at {hot} it is liquid by {spare}.", **said),
            cite,
        )  # fmt: skip


def _check_air(w: Work, v: Values, found: dict[str, float]) -> None:
    said = {
        "top": (found["top"], u.GAUGE_PRESSURE), "margin": (v.margin, u.PRESSURE_DIFFERENCE),
        "need": (found["least_gauge"], u.GAUGE_PRESSURE),
    }  # fmt: skip
    label, cite = "Above the open air at the top", COMMON_PRACTICE.at("margin at the top")
    if found["top"] < 0:
        w.check(
            "air", label, FAIL,
            say("At the top there is {top}, below the open air: vents draw air in instead of "
                "letting it out. Raise charge and fill until the gauge shows {need}.", **said),
            cite,
        )  # fmt: skip
    elif found["top"] < v.margin - _SLACK:
        w.check(
            "air", label, CAUTION,
            say("{top} at the top is less than the {margin} wanted, so a little cooling draws air "
                "in. Raise charge and fill until the gauge shows {need}.", **said),
            cite,
        )  # fmt: skip
    else:
        w.check("air", label, PASS, say("{top} at the top; {margin} is wanted.", **said), cite)


def _check_opening(w: Work, v: Values, found: dict[str, float]) -> None:
    said = {
        "hot": (v.hot, u.TEMPERATURE), "boils": (found["open_boiling"], u.TEMPERATURE),
        "margin": (OPENING_MARGIN, u.TEMPERATURE_DIFFERENCE),
        "flash": (found["flash"], u.FRACTION), "steam": (found["steam"], u.NUMBER),
    }  # fmt: skip
    label = "Let out into the open at its hottest"
    if v.hot > found["open_boiling"]:
        w.check(
            "opening", label, FAIL,
            say("At {hot}, {flash} of it turns to steam as it leaves, {steam} volumes from each "
                "volume of water, and the rest comes at {boils}. Open nothing before it has "
                "cooled.", **said),
            _OPENING,
        )  # fmt: skip
    elif v.hot > found["open_boiling"] - OPENING_MARGIN:
        w.check(
            "opening", label, CAUTION,
            say("{hot} is less than {margin} below boiling in the open, {boils}. Let it cool "
                "before you open anything.", **said),
            _OPENING,
        )  # fmt: skip
    else:
        w.check(
            "opening", label, PASS,
            say("{hot} is at least {margin} below boiling in the open, {boils}: no steam. It may "
                "still scald: cool to 49 °C (120 °F) before you open anything.", **said),
            _OPENING,
        )  # fmt: skip


def _draw(w: Work, v: Values, found: dict[str, float]) -> None:
    low = max(273.15, min(v.hot, found["open_boiling"]) - 20.0)
    high = min(473.15, max(v.hot, found["boiling_top"], found["open_boiling"]) + 10.0)
    places = [low + (high - low) * n / (_POINTS - 1) for n in range(_POINTS)]

    def line(air: float) -> tuple[tuple[float, float], ...]:
        return tuple((t, least_liquid_pressure(t, air)) for t in places)

    series = [Series("boils, here", line(found["ambient"]))]
    if abs(found["ambient"] - SEA_LEVEL_PRESSURE) > 200.0:
        series.append(Series("boils, at sea level", line(SEA_LEVEL_PRESSURE), "other"))
    w.chart(
        LineChart(
            id="boiling-line", title="Below the line it boils, above it stays liquid",
            x=Axis("temperature", u.TEMPERATURE),
            y=Axis("gauge pressure where the water is", u.GAUGE_PRESSURE),
            series=tuple(series),
            levels=(Level("open air", 0.0),),
            marks=(Mark("hottest water at the top", v.hot, found["top"]),),
            summary=say(
                "At the top there is {top}; water boils there at {boils}. The hottest water comes "
                "at {hot} and needs {least} to stay liquid.",
                top=(found["top"], u.GAUGE_PRESSURE), boils=(found["boiling_top"], u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE), least=(found["least_liquid"], u.GAUGE_PRESSURE),
            ),
        )
    )  # fmt: skip


def _flash(w: Work, v: Values, open_boiling: float) -> tuple[float, float]:
    """Return the share that turns to steam and the volumes of steam; nothing below boiling."""
    if v.hot <= open_boiling:
        return 0.0, 0.0
    share = w.step(
        eq.FLASH,
        h_h=w.step(eq.HOT_ENTHALPY, t_h=v.hot),
        h_b=w.step(eq.BOILING_ENTHALPY, t_b=open_boiling),
        h_fg=w.step(eq.LATENT, t_b=open_boiling),
    )
    steam = w.step(eq.STEAM_VOLUME, t_b=open_boiling)
    density = w.step(eq.DENSITY, t_h=v.hot)
    return share, w.step(eq.STEAM_RATIO, x=share, v_b=steam, rho_h=density)


def solve(v: Values) -> Solution:
    """Find the boiling point at the top, the pressure it needs, and the steam if let out."""
    w = work_on(v)
    fluid = fluid_of(v)
    air = v.air if v.air_from == BAROMETER else w.step(AIR_PRESSURE, z_s=v.altitude)
    density = density_of(w, COLD_DENSITY, fluid, "cold", t_c=v.cold)
    column = {"rho_c": density, "g": STANDARD_GRAVITY, "h_t": v.rise}
    found = {"ambient": air, "top": w.step(eq.TOP, p_G=v.pressure, **column)}
    found["top_abs"] = w.step(eq.TOP_ABS, p_t=found["top"], P_a=air)
    _require_water_at_top(v, found["top"], found["top_abs"])
    found["boiling_top"] = w.step(eq.BOILING_AT_TOP, P_t=found["top_abs"])
    found["spare"] = found["boiling_top"] - v.hot
    found["vapour"] = w.step(VAPOUR, t_h=v.hot)
    found["least_liquid"] = w.step(eq.LEAST_LIQUID, P_v=found["vapour"], P_a=air)
    least_top = w.step(eq.LEAST_AT_TOP, P_v=found["vapour"], P_a=air, d_t=v.margin)
    found["least_gauge"] = w.step(eq.LEAST_ON_GAUGE, p_tmin=least_top, **column)
    found["open_boiling"] = w.step(BOILING_POINT, P_a=air)
    found["flash"], found["steam"] = _flash(w, v, found["open_boiling"])
    for output in OUTPUTS:
        w.result(output.name, found[output.name])
    _check_liquid(w, v, found)
    _check_air(w, v, found)
    _check_opening(w, v, found)
    w.draw(_draw, v, found)
    return w.solution()


CALCULATOR = Calculator(
    id="altitude-and-boiling",
    title="Altitude and boiling",
    question="Where does water boil at this altitude and height, and what keeps it liquid?",
    summary="The boiling point at the top and in the open, the least pressure on the gauge that "
    "keeps hot water liquid up there, and the steam if it is let out too hot.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=(
        {"hot": "110 degC", "pressure": "1.9 ± 0.05 bar", "rise": "12 m", "altitude": "1500 m"},
        {"hot": "230 degF", "pressure": "18 psi", "rise": "31 ft", "altitude": "5280 ft",
         "margin": "5 psi"},
        {"hot": "95 degC", "pressure": "0.9 bar", "rise": "9.5 m", "air_from": BAROMETER,
         "air": "0.985 ± 0.005 bar"},
        {"hot": "75 degC", "pressure": "0.6 bar", "rise": "8 m", "fluid": "propylene glycol",
         "glycol": "30 %", "cold": "5 degC"},
        {"hot": "85 degC", "pressure": "1.2 bar", "rise": "6 m", "fluid": "ethylene glycol",
         "glycol": "25 %", "altitude": "200 m"},
        {"hot": "130 degC", "pressure": "3 bar", "rise": "0 m", "altitude": "0 m"},
    ),
)  # fmt: skip

"""What is said of a vessel: whether it serves, its fill, its top and its kind; the charts."""

from __future__ import annotations

from calc import units as u
from calc.atmosphere import SEA_LEVEL_PRESSURE
from calc.calculators.vessel_size.duty import HAIR, Duty
from calc.calculators.vessel_size.form import CHARGED, CODE, EN, PLAIN
from calc.equations.shared import (
    HIGHEST_FILL,
    HIGHEST_FILL_GAUGE,
    HOT,
    HOT_GAUGE,
    LOWEST_FILL,
    LOWEST_FILL_GAUGE,
)
from calc.equations.vessel import (
    GAS_HIGHEST_FILL,
    GAS_HOT,
    LARGEST_GROWTH,
    LARGEST_OUTPUT,
    LARGEST_SYSTEM,
    LARGEST_SYSTEM_SHARE,
)
from calc.expansion import PIPE_EXPANSION, expansion_of_densities, net_expansion
from calc.fluids import Fluid, density, vapour_pressure
from calc.model import (
    CAUTION,
    FAIL,
    PASS,
    Axis,
    Level,
    LineChart,
    Mark,
    Series,
    Values,
    VesselSection,
    VesselState,
    Work,
    say,
)
from calc.sources import (
    ASHRAE_SYSTEMS,
    COMMON_PRACTICE,
    EN_12828,
    IAPWS_IF97,
    ICAO_ATMOSPHERE,
    OWN_RULE,
    PHYSICS,
)
from calc.vessel import (
    LEAST_RESERVE,
    RESERVE_SHARE,
    SMALL_VESSEL,
    acceptance_fraction,
    air_cushion_volume,
    diaphragm_volume,
    hot_pressure,
    water_in_vessel,
)

_ANNEX_D = EN_12828.at("annex D")
_DIN = EN_12828.at("annex D, as DIN 4807-2 has it")
_ASHRAE_CLOSED = ASHRAE_SYSTEMS.at("closed tank, equation 12")
_ASHRAE_DIAPHRAGM = ASHRAE_SYSTEMS.at("diaphragm tank, equation 14")
_BOYLE = PHYSICS.at("Boyle's law")
_STILL = PHYSICS.at("column of still liquid")
_TOP_MARGIN = 0.2e5
_CHART_STEPS = 32


def no_largest(w: Work) -> None:
    w.result("largest_system", None)
    w.result("largest_output", None)


def judge_existing(
    v: Values, w: Work, d: Duty, total: float, minimum: float, reserve: float
) -> None:
    largest = _largest_system(v, w, d, total, reserve)
    w.result("largest_system", largest)
    shown = {
        "total": (total, u.VOLUME),
        "minimum": (minimum, u.VOLUME),
        "system": (v.system_volume, u.VOLUME),
    }
    if total >= minimum * (1 - HAIR):
        message = say("{total} is there and {minimum} is needed for {system}.", **shown)
        w.check("serves", "The vessel serves the system", PASS, message, _BOYLE)
    else:
        message = say(
            "{total} is there but {minimum} is needed for {system}. Fit a larger vessel, or add "
            "{more} beside it" + (" with the same charge." if v.method in CHARGED else "."),
            more=(minimum - total, u.VOLUME),
            **shown,
        )
        w.check("serves", "The vessel serves the system", FAIL, message, _BOYLE)
    if largest is None:
        w.result("largest_output", None)
        return
    most = w.step(LARGEST_OUTPUT, V_smax=largest, c=v.specific)
    w.result("largest_output", most)
    if v.output is None:
        return
    shown = {
        "output": (v.output, u.POWER),
        "most": (most, u.POWER),
        "content": (v.specific, u.SPECIFIC_CONTENT),
    }
    cite = COMMON_PRACTICE.at("water content by output")
    if v.output <= most:
        message = say("At {content} it serves up to {most}; {output} is connected.", **shown)
        w.check("output", "By boiler output", PASS, message, cite)
    else:
        message = say(
            "At {content} it serves only {most}, and {output} is connected. Find the system "
            "volume by its parts before buying, because content by output is a rough guide.",
            **shown,
        )
        w.check("output", "By boiler output", CAUTION, message, cite)


def _largest_system(v: Values, w: Work, d: Duty, total: float, reserve: float) -> float | None:
    """Return the largest system a vessel serves, None if it cannot even hold its reserve."""
    cold_water = reserve
    if v.method == EN:
        if v.reserve == "en" and total > SMALL_VESSEL * (1 + HAIR):
            by_share = water_in_vessel(total, d.gas_abs, d.final_abs) / (d.growth + RESERVE_SHARE)
            if RESERVE_SHARE * by_share >= LEAST_RESERVE:
                return w.step(
                    LARGEST_SYSTEM_SHARE, V_N=total, P_0=d.gas_abs, P_e=d.final_abs, e=d.growth
                )
            cold_water = LEAST_RESERVE
    elif d.fill_abs is not None:
        cold_water = water_in_vessel(total, d.gas_abs, d.fill_abs)
    free = w.step(LARGEST_GROWTH, V_N=total, P_0=d.gas_abs, P_e=d.final_abs, V_c=cold_water)
    if free <= 0:
        return None
    return w.step(LARGEST_SYSTEM, V_free=free, e=d.growth)


def judge_filling(
    v: Values, w: Work, d: Duty, total: float, reserve: float, fluid: Fluid, cold: float
) -> None:
    low_abs = _lowest(v, w, d, total, reserve)
    high_abs = w.step(
        GAS_HIGHEST_FILL if v.method in PLAIN else HIGHEST_FILL,
        V_N=total,
        V_ex=d.expansion,
        P_0=d.gas_abs,
        P_e=d.final_abs,
    )
    high = w.step(HIGHEST_FILL_GAUGE, P_fmax=high_abs, P_a=d.ambient)
    low = None
    if low_abs is not None:
        low = w.step(LOWEST_FILL_GAUGE, P_fmin=low_abs, P_a=d.ambient)
    w.result("fill_low", low)
    _judge_window(w, d, low, high_abs, high, reserve)
    w.result("fill_high", high if high_abs >= d.gas_abs else None)
    fill_abs = d.fill_abs if d.fill_abs is not None else low_abs
    if fill_abs is None:
        for name in ("fill_taken", "hot_pressure", "margin"):
            w.result(name, None)
        return
    fill = fill_abs - d.ambient
    w.result("fill_taken", fill)
    if d.fill_abs is not None:
        _judge_fill(v, w, d, fill, low, high, high_abs >= d.gas_abs * (1 - HAIR))
    hot_abs = _hot(v, w, d, total, fill_abs)
    _judge_top(v, w, d, fill, hot_abs)
    w.draw(_draw, v, d, total, fill_abs, hot_abs, fluid, cold)


def _lowest(v: Values, w: Work, d: Duty, total: float, reserve: float) -> float | None:
    if v.method in PLAIN:
        return None
    if not reserve:
        return d.gas_abs
    if reserve >= total:
        return None
    return w.step(LOWEST_FILL, V_N=total, V_WR=reserve, P_0=d.gas_abs)


def _judge_window(
    w: Work, d: Duty, low: float | None, high_abs: float, high: float, reserve: float
) -> None:
    label = "A cold fill exists that suits"
    if high_abs < d.gas_abs * (1 - HAIR):
        message = say(
            "However low it is filled, the hot pressure passes {final}. Fit a larger vessel.",
            final=(d.final_abs - d.ambient, u.GAUGE_PRESSURE),
        )
        w.check("window", label, FAIL, message, _ANNEX_D)
        return
    if low is None and reserve:
        message = say(
            "The reserve of {reserve} is more than the whole vessel. "
            "Fit a larger vessel, or keep a smaller reserve.",
            reserve=(reserve, u.VOLUME),
        )
        w.check("window", label, FAIL, message, _ANNEX_D)
        return
    if low is None:
        message = say("Fill to no more than {high}.", high=(high, u.GAUGE_PRESSURE))
        w.check("window", label, PASS, message, _BOYLE)
        return
    shown = {"low": (low, u.GAUGE_PRESSURE), "high": (high, u.GAUGE_PRESSURE)}
    if low > high + HAIR * d.final_abs:
        message = say(
            "The reserve asks for at least {low}, the relief valve for at most {high}. "
            "Fit a larger vessel, or lower the charge if the height allows.",
            **shown,
        )
        w.check("window", label, FAIL, message, _ANNEX_D)
    else:
        w.check(
            "window", label, PASS, say("Fill cold between {low} and {high}.", **shown), _ANNEX_D
        )


def _judge_fill(
    v: Values, w: Work, d: Duty, fill: float, low: float | None, high: float, serves: bool
) -> None:
    label = "The fill entered"
    hair = HAIR * d.final_abs
    shown = {"fill": (fill, u.GAUGE_PRESSURE), "high": (high, u.GAUGE_PRESSURE)}
    if v.method in CHARGED and fill < v.charge - hair:
        message = say(
            "The charge of {charge} is above the fill of {fill}, so the cold vessel is empty and "
            "the pressure collapses at the least cooling. Lower the charge or raise the fill.",
            charge=(v.charge, u.GAUGE_PRESSURE),
            **shown,
        )
        w.check("fill", label, FAIL, message, _BOYLE)
    elif not serves:
        message = say("{fill} cannot serve, because no fill does. Fit a larger vessel.", **shown)
        w.check("fill", label, FAIL, message, _ANNEX_D)
    elif fill > high + hair:
        message = say(
            "{fill} is above {high}, so the hot pressure passes its limit. "
            "Fill lower, or fit a larger vessel.",
            **shown,
        )
        w.check("fill", label, FAIL, message, _ANNEX_D)
    elif low is not None and fill < low - hair:
        message = say(
            "{fill} is below {low}, so the reserve is not all there. Fill to at least {low}.",
            low=(low, u.GAUGE_PRESSURE),
            **shown,
        )
        w.check("fill", label, CAUTION, message, _ANNEX_D)
    else:
        w.check("fill", label, PASS, say("{fill} suits this vessel.", **shown), _ANNEX_D)


def _hot(v: Values, w: Work, d: Duty, total: float, fill_abs: float) -> float | None:
    label = "Pressure when hot"
    limit = (d.final_abs - d.ambient, u.GAUGE_PRESSURE)
    if d.expansion >= total * min(d.gas_abs / fill_abs, 1.0):
        w.result("hot_pressure", None)
        w.result("margin", None)
        message = say(
            "The water grows by {expansion}, more than all the gas in the vessel, so the relief "
            "valve opens at every heating. Fit a larger vessel.",
            expansion=(d.expansion, u.VOLUME),
        )
        w.check("hot", label, FAIL, message, _BOYLE)
        return None
    hot_abs = w.step(
        GAS_HOT if v.method in PLAIN else HOT,
        V_N=total,
        P_0=d.gas_abs,
        P_f=fill_abs,
        V_ex=d.expansion,
    )
    hot = w.step(HOT_GAUGE, P_h=hot_abs, P_a=d.ambient)
    w.result("hot_pressure", hot)
    w.result("margin", d.final_abs - hot_abs)
    shown = {"hot": (hot, u.GAUGE_PRESSURE), "limit": limit}
    if hot_abs <= d.final_abs * (1 + HAIR):
        w.check("hot", label, PASS, say("{hot} stays at or below {limit}.", **shown), _ANNEX_D)
    else:
        message = say(
            "{hot} passes the limit of {limit}, and the relief valve may drip or open. "
            "Lower the fill if the reserve allows, or fit a larger vessel.",
            **shown,
        )
        w.check("hot", label, FAIL, message, _ANNEX_D)
    return hot_abs


def _judge_top(v: Values, w: Work, d: Duty, fill: float, hot_abs: float | None) -> None:
    if d.static is None:
        return
    held = v.charge if v.method in CHARGED else fill
    what = "charge" if v.method in CHARGED else "cold fill"
    shown = {"held": (held, u.GAUGE_PRESSURE), "static": (d.static, u.PRESSURE_DIFFERENCE)}
    label = f"The {what} holds up the top"
    if held < d.static:
        message = say(
            f"The {what} of {{held}} is less than the {{static}} of the water above the vessel, "
            f"so the top falls below the air pressure. Raise the {what} above it with a margin.",
            **shown,
        )
        w.check("top", label, FAIL, message, _STILL)
    elif held < d.static + _TOP_MARGIN:
        message = say(
            f"The {what} of {{held}} is above the {{static}} of the water over the vessel, but by "
            "less than {margin}. Raise it if the vessel allows.",
            margin=(_TOP_MARGIN, u.PRESSURE_DIFFERENCE),
            **shown,
        )
        w.check("top", label, CAUTION, message, _DIN)
    else:
        message = say(f"The {what} of {{held}} holds the {{static}} of the water above.", **shown)
        w.check("top", label, PASS, message, _DIN)
    if hot_abs is None:
        return
    left = min(hot_abs, d.final_abs) - d.static - vapour_pressure(v.hot)
    shown = {"left": (left, u.PRESSURE_DIFFERENCE), "hot": (v.hot, u.TEMPERATURE)}
    label = "No boiling at the highest point"
    if left <= 0:
        message = say(
            "At {hot} the highest point is below the boiling pressure. "
            "Raise the charge and the fill, or run cooler.",
            **shown,
        )
        w.check("boiling", label, FAIL, message, IAPWS_IF97.at("vapour pressure"))
    elif left < _TOP_MARGIN:
        message = say(
            "At {hot} the highest point is only {left} from boiling. "
            "Raise the charge and the fill, or run cooler.",
            **shown,
        )
        w.check("boiling", label, CAUTION, message, IAPWS_IF97.at("vapour pressure"))
    else:
        message = say("At {hot} the highest point is {left} above boiling.", **shown)
        w.check("boiling", label, PASS, message, IAPWS_IF97.at("vapour pressure"))


def judge_construction(v: Values, w: Work, d: Duty, minimum: float) -> None:
    label = "The method suits the kind of vessel"
    if (v.construction == "plain") == (v.method in PLAIN):
        w.check("construction", label, PASS, "They belong together.", _ASHRAE_CLOSED)
        return
    if v.method in PLAIN:
        other = diaphragm_volume(d.expansion, d.fill_abs, d.final_abs)
        message = say(
            "This method is for a plain tank whose air starts at the pressure around it. A "
            "diaphragm vessel charged to the fill needs {other}, not {minimum}. "
            "Choose a diaphragm method.",
            other=(other, u.VOLUME),
            minimum=(minimum, u.VOLUME),
        )
        w.check("construction", label, CAUTION, message, _ASHRAE_DIAPHRAGM)
        return
    start_abs = max(d.fill_abs or d.gas_abs, d.gas_abs)
    other = air_cushion_volume(d.expansion, d.ambient, start_abs, d.final_abs)
    message = say(
        "A plain tank has no charge of its own. For this duty it needs {other}, not {minimum}. "
        "Choose the air-cushion method.",
        other=(other, u.VOLUME),
        minimum=(minimum, u.VOLUME),
    )
    w.check("construction", label, FAIL, message, _ASHRAE_CLOSED)


def judge_acceptance(v: Values, w: Work, d: Duty) -> None:
    if v.method not in CHARGED:
        return
    share = acceptance_fraction(d.gas_abs, d.final_abs)
    shown = {"share": (share, u.FRACTION), "most": (v.largest_share, u.FRACTION)}
    cite = OWN_RULE.at("largest share of water in a diaphragm vessel; its plate rules")
    label = "Water the diaphragm has to make room for"
    if share > v.largest_share:
        message = say(
            "At the highest pressure {share} of the vessel is water, more than {most}. "
            "Fit one that allows it, such as a bladder vessel, or a larger one filled lower.",
            **shown,
        )
        w.check("acceptance", label, CAUTION, message, cite)
    else:
        message = say("At the highest pressure {share} is water; {most} is allowed.", **shown)
        w.check("acceptance", label, PASS, message, cite)


def judge_clearance(v: Values, w: Work) -> None:
    if v.gap_rule != "own" or v.gap_own > 0:
        return
    message = say(
        "The hot pressure may rise to the set pressure of {relief} itself, where the valve drips. "
        "Keep a margin below it.",
        relief=(v.relief, u.GAUGE_PRESSURE),
    )
    w.check("clearance", "Clear of the relief valve", CAUTION, message, _DIN)


def judge_altitude(v: Values, w: Work, d: Duty) -> None:
    shift = SEA_LEVEL_PRESSURE - d.ambient
    message = say(
        "The air at {altitude} presses with {ambient}, and everything here counts with it. At sea "
        "level the same gauge pressures would let {sea} of the vessel be water, here {share}.",
        altitude=(v.altitude, u.ALTITUDE),
        ambient=(d.ambient, u.ABSOLUTE_PRESSURE),
        sea=(acceptance_fraction(d.gas_abs + shift, d.final_abs + shift), u.FRACTION),
        share=(acceptance_fraction(d.gas_abs, d.final_abs), u.FRACTION),
    )
    w.check("altitude", "Altitude", PASS, message, ICAO_ATMOSPHERE.at("lowest layer"))


def _draw(
    w: Work,
    v: Values,
    d: Duty,
    total: float,
    fill_abs: float,
    hot_abs: float | None,
    fluid: Fluid,
    cold: float,
) -> None:
    fill = fill_abs - d.ambient
    states = [_state("Filled, cold", d, total, fill_abs)]
    if hot_abs is None:
        summary = say(
            "The vessel in section: {cold} of water when cold; hot, the water leaves no gas.",
            cold=(states[0].water_fraction, u.FRACTION),
        )
    else:
        states.append(_state("Hot", d, total, hot_abs))
        summary = say(
            "The vessel in section: {cold} of it is water when cold, {hot} when hot.",
            cold=(states[0].water_fraction, u.FRACTION),
            hot=(states[1].water_fraction, u.FRACTION),
        )
    w.chart(
        VesselSection(
            id="vessel",
            title="The vessel, cold and hot",
            states=tuple(states),
            summary=summary,
        )
    )
    # The code formula gives no growth between its ends, so there is no line to draw.
    if hot_abs is None or v.method == CODE:
        return
    pressures, waters = _heating(v, d, total, fill_abs, fluid, cold)
    levels = [
        Level("relief valve set", v.relief, "limit"),
        Level("highest pressure", d.final_abs - d.ambient, "limit"),
    ]
    if v.method in CHARGED:
        levels.append(Level("charge", v.charge, "info"))
    hot = hot_abs - d.ambient
    w.chart(
        LineChart(
            id="heating",
            title="Pressure at the vessel as the system warms",
            x=Axis("temperature of the system", u.TEMPERATURE),
            y=Axis("pressure at the vessel", u.GAUGE_PRESSURE),
            series=(Series("cold to hot", pressures),),
            levels=tuple(levels),
            marks=(Mark("fill", cold, fill), Mark("hot", v.hot, hot)),
            summary=say(
                "The pressure rises from {fill} at {cold} to {hot} at {hottest}; "
                "the limit is {limit}.",
                fill=(fill, u.GAUGE_PRESSURE),
                cold=(cold, u.TEMPERATURE),
                hot=(hot, u.GAUGE_PRESSURE),
                hottest=(v.hot, u.TEMPERATURE),
                limit=(d.final_abs - d.ambient, u.GAUGE_PRESSURE),
            ),
        )
    )
    w.chart(
        LineChart(
            id="water",
            title="Water in the vessel as the system warms",
            x=Axis("temperature of the system", u.TEMPERATURE),
            y=Axis("water in the vessel", u.VOLUME),
            series=(Series("cold to hot", waters),),
            levels=(
                Level(
                    "at the highest pressure",
                    water_in_vessel(total, d.gas_abs, d.final_abs),
                    "limit",
                ),
            ),
            summary=say(
                "The water in the vessel grows from {least} to {most}.",
                least=(waters[0][1], u.VOLUME),
                most=(waters[-1][1], u.VOLUME),
            ),
        )
    )


def _state(label: str, d: Duty, total: float, pressure_abs: float) -> VesselState:
    share = water_in_vessel(total, d.gas_abs, pressure_abs) / total
    return VesselState(label, share, pressure_abs - d.ambient)


def _heating(
    v: Values, d: Duty, total: float, fill_abs: float, fluid: Fluid, cold: float
) -> tuple[tuple[tuple[float, float], ...], tuple[tuple[float, float], ...]]:
    """Return pressure and water in the vessel against temperature. [K, Pa gauge], [K, m3]"""
    alpha = PIPE_EXPANSION[v.pipe or "none"]
    start = density(fluid, cold)
    pressures = [(cold, fill_abs - d.ambient)]
    waters = [(cold, water_in_vessel(total, d.gas_abs, fill_abs))]
    for number in range(1, _CHART_STEPS + 1):
        t = cold + (v.hot - cold) * number / _CHART_STEPS
        grown = v.system_volume * net_expansion(
            expansion_of_densities(start, density(fluid, t)), alpha, t - cold
        )
        # Just above freezing water shrinks first; the vessel may then stand empty for a while.
        if grown <= 0:
            continue
        there = hot_pressure(total, d.gas_abs, fill_abs, grown)
        pressures.append((t, there - d.ambient))
        waters.append((t, water_in_vessel(total, d.gas_abs, there)))
    return tuple(pressures), tuple(waters)

"""Heat each case from cold to hot, and see where the valve opens and where the top boils."""

from __future__ import annotations

from dataclasses import dataclass

from calc import site
from calc import units as u
from calc.calculators.common import density_of, gap_of
from calc.calculators.pressure_trace.form import COUNTED, OUTPUTS
from calc.equations.shared import (
    AIR_PRESSURE,
    CHARGE_ABS,
    COLD_DENSITY,
    FILL_ABS,
    FILL_AT_VESSEL,
    GROWTH,
    HOT,
    HOT_DENSITY,
    HOT_GAUGE,
    HOT_ON_GAUGE,
    NET_EXPANSION,
    NET_GROWTH,
    WATER_IN_VESSEL,
)
from calc.equations.trace import BOIL, COLD_AT_TOP, HOT_AT_VALVE, LIFT, MARGIN, SET_ABS
from calc.expansion import PIPE_EXPANSION, net_expansion
from calc.fluids import WATER, Fluid, density
from calc.hydrostatics import STANDARD_GRAVITY, static_pressure
from calc.model import (
    CAUTION,
    FAIL,
    PASS,
    Axis,
    Equation,
    Level,
    LineChart,
    Mark,
    Refusal,
    ResultColumn,
    ResultRow,
    ResultTable,
    Series,
    Solution,
    Values,
    Work,
    say,
    work_on,
)
from calc.sources import COMMON_PRACTICE, IAPWS_IF97, PHYSICS, Citation
from calc.trace import boiling_pressure, pressure_on_the_way

_BOYLE = PHYSICS.at("Boyle's law")
_STILL = PHYSICS.at("column of still liquid")
_HIGHEST = {site.WATER: 423.15}
_HIGHEST_GLYCOL = 373.15

LEAST_AT_TOP = 0.2e5
"""Pressure that the highest point should keep when cold. [Pa]"""

BOILING_ROOM = 10.0
"""How far the boiling of the highest point should lie above the hottest water. [K]"""


@dataclass(slots=True)
class _Heated:
    """What holds for every case."""

    fluid: Fluid
    alpha: float
    ambient: float
    rho_cold: float
    rho_hot: float
    expansion: float
    set_abs: float
    gap: float
    gap_cite: Citation
    highest: float


@dataclass(slots=True)
class _Case:
    """One case with what came of it; None where it did not come to that."""

    number: int
    name: str
    volume: float
    charge_abs: float
    fill_abs: float
    water: float = 0.0
    hot: float | None = None
    margin: float | None = None
    lift: float | None = None
    boil: float | None = None

    @property
    def gas(self) -> float:
        return self.volume * min(self.charge_abs / self.fill_abs, 1.0)


def solve(v: Values) -> Solution:
    """Return the hot pressure, the opening of the valve and the boiling of each case."""
    w = work_on(v)
    for output in OUTPUTS:
        w.result(output.name, None)
    s = _heated(w, v)
    cases = [_case(w, v, s, number, row) for number, row in enumerate(v.cases, start=1)]
    kept = [c.name for c in cases if c.margin is not None and c.margin >= s.gap]
    w.result("keeping", "; ".join(kept) if kept else "none")
    for c in cases:
        _check_margin(w, v, s, c)
        _check_fill(w, v, s, c)
        _check_boiling(w, v, s, c)
    w.draw(_chart, v, s, cases)
    w.draw(_side_by_side, cases)
    return w.solution()


def _heated(w: Work, v: Values) -> _Heated:
    if v.hot <= v.cold:
        raise Refusal(
            say(
                "The hottest water, {hot}, is not above the cold water, {cold}. "
                "Enter the highest temperature the boiler can be set to.",
                hot=(v.hot, u.TEMPERATURE),
                cold=(v.cold, u.TEMPERATURE),
            ),
            field="hot",
            cite=PHYSICS.at("thermal expansion"),
        )
    fluid = WATER
    if v.fluid != site.WATER:
        try:
            fluid = Fluid(v.fluid, v.glycol)
        except Refusal as refused:
            raise Refusal(refused.message, field="glycol", cite=refused.cite) from None
    ambient = w.step(AIR_PRESSURE, z_s=v.altitude)
    rho_cold = density_of(w, COLD_DENSITY, fluid, "cold", t_c=v.cold)
    rho_hot = density_of(w, HOT_DENSITY, fluid, "hot", t_h=v.hot)
    alpha = PIPE_EXPANSION[v.pipe]
    growth = w.step(
        NET_GROWTH, e=w.step(GROWTH, rho_c=rho_cold, rho_h=rho_hot), alpha=alpha, dt=v.hot - v.cold
    )
    if growth <= 0.0:
        raise Refusal(
            say(
                "Between {cold} and {hot} the water pushes nothing into the vessel. "
                "Enter the highest temperature the boiler can be set to.",
                cold=(v.cold, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field="hot",
            cite=IAPWS_IF97.at("density of water"),
        )
    gap, cite = gap_of(w, v)
    return _Heated(
        fluid=fluid,
        alpha=alpha,
        ambient=ambient,
        rho_cold=rho_cold,
        rho_hot=rho_hot,
        expansion=w.step(NET_EXPANSION, V_s=v.system_volume, e_n=growth),
        set_abs=w.step(SET_ABS, p_sv=v.relief, P_a=ambient),
        gap=gap,
        gap_cite=cite,
        highest=max(_HIGHEST.get(fluid.substance, _HIGHEST_GLYCOL), v.hot),
    )


def _case(w: Work, v: Values, s: _Heated, number: int, row: Values) -> _Case:
    fill = w.step(
        FILL_AT_VESSEL,
        p_G=row.cold_fill,
        rho_c=s.rho_cold,
        g=STANDARD_GRAVITY,
        z_G=v.gauge_height,
    )
    fill_abs = w.step(FILL_ABS, p_f=fill, P_a=s.ambient)
    where = f"cases.{number - 1}.cold_fill"
    if fill_abs <= 0.0:
        raise Refusal(
            "The fill at the vessel would be below a vacuum. "
            "Check this fill and the height of the gauge.",
            field=where,
            cite=_STILL,
        )
    at_valve = fill - static_pressure(s.rho_cold, v.valve_height)
    if at_valve >= v.relief:
        raise Refusal(
            say(
                "This fill puts {cold} on the relief valve, which opens at {set}. "
                "Lower the fill, or enter the setting on the valve's plate.",
                cold=(at_valve, u.GAUGE_PRESSURE),
                set=(v.relief, u.GAUGE_PRESSURE),
            ),
            field=where,
            cite=PHYSICS.at("a valve opens at its set pressure"),
        )
    charge_abs = w.step(CHARGE_ABS, p_0=row.charge, P_a=s.ambient)
    c = _Case(number, row.name or COUNTED[number - 1], row.vessel_volume, charge_abs, fill_abs)
    if charge_abs >= s.set_abs + static_pressure(s.rho_cold, v.valve_height):
        raise Refusal(
            say(
                "A charge of {charge} is as high as the relief valve lets the vessel go. "
                "Enter the charge read with the water side at zero.",
                charge=(row.charge, u.GAUGE_PRESSURE),
            ),
            field=f"cases.{number - 1}.charge",
            cite=_BOYLE,
        )
    c.water = w.step(WATER_IN_VESSEL, V_N=c.volume, P_0=charge_abs, P_f=fill_abs)
    _heat(w, v, s, c)
    return c


def _heat(w: Work, v: Values, s: _Heated, c: _Case) -> None:
    """Find the hot pressure of a case, and both ends of its way up."""
    if s.expansion < c.gas * (1.0 - 1e-6):
        hot_abs = w.step(HOT, V_N=c.volume, P_0=c.charge_abs, P_f=c.fill_abs, V_ex=s.expansion)
        at_vessel = w.step(HOT_GAUGE, P_h=hot_abs, P_a=s.ambient)
        columns = {"rho_h": s.rho_hot, "g": STANDARD_GRAVITY}
        c.hot = w.step(HOT_ON_GAUGE, p_x=at_vessel, z_G=v.gauge_height, **columns)
        at_valve = w.step(HOT_AT_VALVE, p_h=at_vessel, z_sv=v.valve_height, **columns)
        c.margin = w.step(MARGIN, p_sv=v.relief, p_valve=at_valve)
        w.result(f"hot_{c.number}", c.hot)
    way = {
        "alpha": s.alpha,
        "t_c": v.cold,
        "t_max": s.highest,
        "V_s": v.system_volume,
        "V_N": c.volume,
        "P_0": c.charge_abs,
        "P_f": c.fill_abs,
        "P_sv": s.set_abs,
        "z_sv": v.valve_height,
    }
    share = {} if s.fluid.substance == site.WATER else {"phi": s.fluid.volume_fraction}
    c.lift = _end(w, LIFT[s.fluid.substance], **way, **share)
    w.result(f"lift_{c.number}", c.lift)
    if not _boils_cold(v, s, c):
        c.boil = _end(w, BOIL[s.fluid.substance], **way, h=v.height, **share)
        w.result(f"boil_{c.number}", c.boil)


def _end(w: Work, equation: Equation, **values: float) -> float | None:
    """Return where the way up ends so; None if it does not, as far as the table reaches."""
    try:
        return w.step(equation, **values)
    except Refusal:
        return None


def _boils_cold(v: Values, s: _Heated, c: _Case) -> bool:
    return c.fill_abs - static_pressure(s.rho_cold, v.height) <= boiling_pressure(v.cold)


def _safe(name: str) -> str:
    """Return a case's name, safe inside a message's template."""
    return name.replace("{", "{{").replace("}", "}}")


def _check_margin(w: Work, v: Values, s: _Heated, c: _Case) -> None:
    name = _safe(c.name)
    values = {
        "set": (v.relief, u.GAUGE_PRESSURE),
        "hot": (v.hot, u.TEMPERATURE),
        "gap": (s.gap, u.PRESSURE_DIFFERENCE),
    }
    if c.lift is not None:
        values["lift"] = (c.lift, u.TEMPERATURE)
    if c.margin is not None:
        values["margin"] = (abs(c.margin), u.PRESSURE_DIFFERENCE)
    if c.lift is not None and c.lift <= v.hot:
        status, words = (
            FAIL,
            f"“{name}” opens the valve at {{lift}}, before it is hot. Restore the charge, lower "
            "the fill if the height allows, or work out a larger vessel.",
        )
    elif c.margin is None or c.margin < s.gap:
        status, words = (
            FAIL,
            f"“{name}” stays only {{margin}} below the {{set}} of the valve at {{hot}}, and "
            "{gap} is asked. Restore the charge, lower the fill if the height allows, or work out "
            "a larger vessel.",
        )
    else:
        status = PASS
        words = (
            f"“{name}” stays {{margin}} below the {{set}} of the valve at {{hot}}; {{gap}} is asked"
        )
        words += ". The valve would open at {lift}." if c.lift is not None else "."
    w.check(
        f"margin-{c.number}",
        f"{c.name}: margin below the relief valve",
        status,
        say(words, **values),
        s.gap_cite,
    )


def _check_fill(w: Work, v: Values, s: _Heated, c: _Case) -> None:
    name = _safe(c.name)
    at_vessel = c.fill_abs - s.ambient
    top = w.step(COLD_AT_TOP, p_f=at_vessel, rho_c=s.rho_cold, g=STANDARD_GRAVITY, h=v.height)
    values = {
        "fill": (at_vessel, u.GAUGE_PRESSURE),
        "charge": (c.charge_abs - s.ambient, u.GAUGE_PRESSURE),
        "top": (top, u.GAUGE_PRESSURE),
        "least": (LEAST_AT_TOP, u.PRESSURE_DIFFERENCE),
    }
    if c.charge_abs > c.fill_abs * (1.0 + 1e-6):
        status, words = (
            FAIL,
            f"“{name}” is filled to {{fill}} at the vessel, below its charge of {{charge}}: the "
            "cold vessel is empty and the pressure leaps. Raise the fill, or lower the charge if "
            "the height allows.",
        )
    elif top < 0.0:
        status, words = (
            FAIL,
            f"“{name}” leaves {{top}} at the highest point when cold, so air is drawn in. Raise "
            "the fill, and the charge with it.",
        )
    elif top < LEAST_AT_TOP:
        status, words = (
            CAUTION,
            f"“{name}” leaves only {{top}} at the highest point when cold, and {{least}} is usual. "
            "Raise the fill, and the charge with it.",
        )
    else:
        status, words = (
            PASS,
            f"“{name}” is filled to {{fill}} at the vessel, not below its charge of {{charge}}, "
            "and leaves {top} at the highest point.",
        )
    w.check(
        f"fill-{c.number}",
        f"{c.name}: cold fill",
        status,
        say(words, **values),
        COMMON_PRACTICE.at("fill at or above the charge, a little pressure at the top"),
    )


def _check_boiling(w: Work, v: Values, s: _Heated, c: _Case) -> None:
    name = _safe(c.name)
    values = {
        "hot": (v.hot, u.TEMPERATURE),
        "limit": (s.highest, u.TEMPERATURE),
        "room": (BOILING_ROOM, u.TEMPERATURE_DIFFERENCE),
    }
    if _boils_cold(v, s, c):
        status, words = (
            FAIL,
            f"“{name}” leaves a vacuum at the highest point even when cold, so the column breaks. "
            "Raise the fill, and the charge with it.",
        )
    elif c.boil is None:
        status, words = PASS, f"“{name}” does not boil at the highest point up to {{limit}}."
    else:
        values["boil"] = (c.boil, u.TEMPERATURE)
        if c.boil <= v.hot:
            status, words = (
                FAIL,
                f"“{name}” boils at the highest point at {{boil}}, before the water reaches "
                "{hot}. Lower the temperature, or raise charge and fill.",
            )
        elif c.boil < v.hot + BOILING_ROOM:
            status, words = (
                CAUTION,
                f"“{name}” boils at the highest point at {{boil}}, less than {{room}} above the "
                "hottest water. Lower the temperature, or raise charge and fill.",
            )
        else:
            status, words = PASS, f"“{name}” would boil at the highest point at {{boil}}."
    w.check(
        f"boiling-{c.number}",
        f"{c.name}: boiling at the highest point",
        status,
        say(words, **values),
        IAPWS_IF97.at("saturation"),
    )


def _chart(w: Work, v: Values, s: _Heated, cases: list[_Case]) -> None:
    """Draw the gauge from cold to hot for every case, held where the valve opens."""
    count = 20
    temperatures = [v.cold + (v.hot - v.cold) * i / count for i in range(count + 1)]
    densities = [density(s.fluid, t) for t in temperatures]
    taken = [
        v.system_volume * net_expansion(s.rho_cold / rho - 1.0, s.alpha, t - v.cold)
        for t, rho in zip(temperatures, densities, strict=True)
    ]
    series, marks, levels = [], [], []
    for c in cases:
        content = c.charge_abs * c.volume
        points = []
        for t, rho, grown in zip(temperatures, densities, taken, strict=True):
            most = s.set_abs + static_pressure(rho, v.valve_height)
            at_vessel = pressure_on_the_way(c.gas, content, c.fill_abs, grown, most)
            points.append((t, at_vessel - s.ambient - static_pressure(rho, v.gauge_height)))
        series.append(Series(c.name, tuple(points), "main" if c.number == 1 else "other"))
        marks.append(Mark(c.name, *points[-1]))
    boiling = [
        (t, boiling_pressure(t) - s.ambient + static_pressure(rho, v.height - v.gauge_height))
        for t, rho in zip(temperatures, densities, strict=True)
    ]
    series.append(Series("below this the highest point boils", tuple(boiling), "other"))
    column = static_pressure(s.rho_cold, v.gauge_height)
    charges: dict[float, list[str]] = {}
    for c in cases:
        charges.setdefault(round(c.charge_abs - s.ambient - column, 3), []).append(c.name)
    for charge, names in charges.items():
        levels.append(Level(f"charge of {', '.join(names)}, at the gauge", charge))
    at_gauge = v.relief + static_pressure(s.rho_hot, v.valve_height - v.gauge_height)
    levels.append(Level("relief valve opens", at_gauge, "limit"))
    parts, values = [], {"t1": (v.cold, u.TEMPERATURE), "t2": (v.hot, u.TEMPERATURE)}
    for c, one in zip(cases, series, strict=False):
        parts.append(f"“{_safe(c.name)}” from {{a{c.number}}} to {{b{c.number}}}")
        values[f"a{c.number}"] = (one.points[0][1], u.GAUGE_PRESSURE)
        values[f"b{c.number}"] = (one.points[-1][1], u.GAUGE_PRESSURE)
    values["set"] = (at_gauge, u.GAUGE_PRESSURE)
    w.chart(
        LineChart(
            id="trace",
            title="The gauge from cold to hot",
            x=Axis("water temperature", u.TEMPERATURE),
            y=Axis("pressure on the gauge", u.GAUGE_PRESSURE),
            series=tuple(series),
            levels=tuple(levels),
            marks=tuple(marks),
            summary=say(
                f"From {{t1}} to {{t2}} the gauge goes, {'; '.join(parts)}. The relief valve opens "
                "at {set} on this gauge and holds the pressure there.",
                **values,
            ),
        )
    )


def _side_by_side(w: Work, cases: list[_Case]) -> None:
    """Lay the numbers of the cases side by side, under their own names."""
    columns = (
        ResultColumn("hot, on the gauge", u.GAUGE_PRESSURE),
        ResultColumn("margin at the valve", u.PRESSURE_DIFFERENCE),
        ResultColumn("relief valve opens at", u.TEMPERATURE),
        ResultColumn("highest point boils at", u.TEMPERATURE),
        ResultColumn("water in the cold vessel", u.VOLUME),
    )
    rows = tuple(ResultRow(c.name, (c.hot, c.margin, c.lift, c.boil, c.water)) for c in cases)
    w.chart(
        ResultTable(
            id="cases",
            title="The cases side by side",
            corner="case",
            columns=columns,
            rows=rows,
            turned=True,
            summary="A dash: it does not come to that, as far as the tables of the fluid reach. "
            "Hot pressures are those that would come if no valve opened.",
        )
    )

"""One value in every unit of its kind; gauge and absolute kept apart by the air of the site."""

from __future__ import annotations

from dataclasses import replace

from calc import site
from calc import units as u
from calc.atmosphere import standard_pressure
from calc.conversion import factor_and_offset, offered_kinds, other_unit, six_figures
from calc.equations import conversion as eq
from calc.equations.shared import AIR_PRESSURE
from calc.hydrostatics import STANDARD_GRAVITY
from calc.model import (
    PASS,
    Axis,
    Calculator,
    Choice,
    Limit,
    LineChart,
    Mark,
    Message,
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
    Values,
    Work,
    say,
    work_on,
)
from calc.sources import IAPWS_IF97, OWN_RULE, PHYSICS, PINT, Citation

COLUMN = "column of water"
_GAUGE, _ABSOLUTE = u.GAUGE_PRESSURE.name, u.ABSOLUTE_PRESSURE.name
_DIFFERENCE = u.PRESSURE_DIFFERENCE.name
_UNITS = PINT.at("definitions of units")
_SLIP = OWN_RULE.at("to catch a slip of the pen")
_POINTS = 11

KINDS = {kind.name: kind for kind in offered_kinds()}

_SIGNED = {
    kind.name
    for kind in (
        u.PRESSURE_DIFFERENCE, u.TEMPERATURE_DIFFERENCE, u.LENGTH, u.ENERGY, u.SPECIFIC_ENERGY,
        u.EXPANSIVITY, u.PRESSURE_PER_KELVIN,
    )
}  # fmt: skip
"""Kinds of which there may be less than nothing: a fall, a depth, a shrinking."""

_EXAMPLE = {
    u.GAUGE_PRESSURE.name: site.COLD_FILL_ON_GAUGE,
    u.ABSOLUTE_PRESSURE.name: "2.5 bar",
    u.PRESSURE_DIFFERENCE.name: "0.25 bar",
    u.TEMPERATURE.name: site.HOT.default,
    u.TEMPERATURE_DIFFERENCE.name: "20 K",
    u.LENGTH.name: "11.4 m",
    u.SMALL_LENGTH.name: "42.4 mm",
    u.VOLUME.name: site.VESSEL_VOLUME.default,
    u.MASS.name: site.OLD_VESSEL_MASS,
    u.FLOW.name: "40 L/min",
    u.POWER.name: site.OUTPUT.default,
    u.SPECIFIC_CONTENT.name: site.SPECIFIC.default,
    u.DENSITY.name: "999.7 kg/m3",
    u.FRACTION.name: site.GLYCOL.default,
}


def slug(kind: u.Kind) -> str:
    """Return the name of a Kind as inputs and results carry it."""
    return "".join(c if c.isalnum() else "_" for c in kind.name.lower())


def _headed(name: str) -> str:
    return name[0].upper() + name[1:]


def _low(kind: u.Kind, unit: u.Unit) -> Limit:
    if kind is u.TEMPERATURE:
        return Limit("0 K", "nothing is colder than absolute zero", PHYSICS.at("absolute zero"))
    if kind is u.GAUGE_PRESSURE:
        return Limit("-1.1 bar", "no vacuum anywhere reads lower", PHYSICS.at("gas pressure"))
    if kind.name in _SIGNED:
        return Limit(f"-1e6 {unit.id}", "so large a fall is a slip of the pen", _SLIP)
    return Limit(f"0 {unit.id}", "there is no less than none of it", PHYSICS.at("quantities"))


def _value(kind: u.Kind) -> Quantity:
    unit = kind.default_unit("si")
    return Quantity(
        name=slug(kind), label=_headed(kind.name), kind=kind,
        default=_EXAMPLE.get(kind.name, f"10 {unit.id}"), reading=True,
        help="Choose the unit it was given in; every other unit follows.",
        low=_low(kind, unit),
        high=Limit(f"1e9 {unit.id}", "nothing in this trade is so large", _SLIP),
        when={"what": (kind.name,)},
    )  # fmt: skip


def _options() -> tuple[Option, ...]:
    found = []
    for name in KINDS:
        found.append(Option(name, _headed(name)))
        if name == _DIFFERENCE:
            found.append(Option(COLUMN, "Column of water"))
    return tuple(found)


INPUTS = (
    Choice(
        name="what", label="What it is", default=_GAUGE, options=_options(),
        help="Gauge, absolute and difference are three kinds of pressure; a temperature and a rise "
        "are two. A value is only ever moved within its kind.",
    ),
    *(_value(kind) for kind in KINDS.values()),
    Quantity(
        name="column", label="Height of the column", kind=u.LENGTH, default="11.4 m", reading=True,
        help="From its foot to its top, however the pipe runs.",
        low=Limit("0 m", "a column has a height", PHYSICS.at("column of still liquid")),
        high=Limit("1000 m", "no building is so tall", _SLIP),
        when={"what": (COLUMN,)},
    ),
    replace(
        site.ALTITUDE, when={"what": (_GAUGE, _ABSOLUTE)},
        help="Absolute is gauge plus the air of the site, so the site has to be known.",
    ),
    Quantity(
        name="water_temperature", label="Temperature of the water", kind=u.TEMPERATURE,
        default="10 degC", reading=True, when={"what": (_DIFFERENCE, COLUMN)},
        help="A hot column presses less than a cold one of the same height.",
        low=Limit("0 degC", "colder water is ice", IAPWS_IF97.at("liquid water")),
        high=Limit("150 degC", "no hot-water system here is hotter", site.HOT.high.cite),
    ),
)  # fmt: skip

SECTIONS = (Section("Value", tuple(i.name for i in INPUTS)),)


def _pair(name: str, title: str, kind: u.Kind) -> tuple[Output, Output]:
    shown = (kind.unit(kind.si), other_unit(kind))
    return tuple(
        Output(f"{name}_{end}", f"{title}, {unit.text or 'share of 1'}", kind, unit=unit.id,
               headline=True)
        for end, unit in zip(("si", "us"), shown, strict=True)
    )  # fmt: skip


OUTPUTS = (
    *(one for kind in KINDS.values() for one in _pair(slug(kind), _headed(kind.name), kind)),
    *_pair("column", "Column of water", u.LENGTH),
    Output("air", "Pressure of the air", u.ABSOLUTE_PRESSURE),
)


def _apart(v: Values) -> tuple[str | Message, Citation]:
    """Return what is often mixed up with this kind, and who says so."""
    said = {
        _GAUGE: "A dial shows gauge pressure. The gas laws take absolute pressure: use the one "
        "above that carries the air of this site.",
        _ABSOLUTE: "A dial does not show this. What a dial shows is the gauge pressure above, and "
        "it differs from site to site.",
        _DIFFERENCE: "A metre or a foot of water is that of the definition, 1000 kg/m³. The column "
        "above is that of water at the temperature entered.",
        COLUMN: "Only the height counts, not how wide or how crooked the pipe is. Glycol presses "
        "more than water.",
        u.TEMPERATURE.name: "This is a temperature. A rise or a gap is another kind: 20 °C is "
        "68 °F, but 20 K more is 36 °F more.",
        u.TEMPERATURE_DIFFERENCE.name: "This is a rise or a gap. A temperature is another kind: "
        "20 K more is 36 °F more, but 20 °C is 68 °F.",
        u.VOLUME.name: "An imperial gallon is a fifth larger than a US gallon. Ask which one a "
        "table means.",
        u.POWER.name: "Btu is that of the international table. MBH means 1000 Btu/h, for M is the "
        "Roman thousand, not a million.",
        u.FRACTION.name: "A percentage does not say of what. Glycol is by volume in this book; by "
        "mass it is another number.",
        u.SPECIFIC_CONTENT.name: "Water in the whole system for each unit of output. The boiler's "
        "own content is much less.",
    }.get(v.what)  # fmt: skip
    if said:
        return said, OWN_RULE.at("what is often mixed up")
    return "Every unit in the table measures the same kind of thing, so none can slip in.", _UNITS


def _table(w: Work, id: str, title: str, kind: u.Kind, value: float) -> None:
    base = kind.unit(kind.si)
    rows = []
    for unit in kind.units:
        factor, offset = factor_and_offset(unit, base)
        rule = six_figures(factor)
        if abs(offset) > 1e-9:
            sign = "+" if offset > 0 else "−"
            rule = f"times {rule} {sign} {six_figures(abs(offset))}"
        label = unit.text or "share of 1"
        rows.append(ResultRow(label, (six_figures(unit.from_si(value)), rule)))
    w.chart(
        ResultTable(
            id=id, title=title, corner="unit",
            columns=(ResultColumn("value"),
                     ResultColumn(f"one of it, in {base.text or 'shares of 1'}")),
            rows=tuple(rows),
            summary="Six figures, whatever the reading was worth.",
        )
    )  # fmt: skip


def _draw_line(w: Work, kind: u.Kind, value: float) -> None:
    """Draw the line that leads from the SI unit to the other one."""
    other = other_unit(kind)
    base = kind.unit(kind.si)
    span = abs(value - base.offset) or abs(base.scale)
    low = value - span if kind.name in _SIGNED or base.offset else 0.0
    high = value + span
    places = [low + (high - low) * n / (_POINTS - 1) for n in range(_POINTS)]
    w.chart(
        LineChart(
            id="line", title=f"From {base.text or 'shares of 1'} to {other.text or 'shares of 1'}",
            x=Axis(kind.name, kind, base.id), y=Axis(kind.name, kind, other.id),
            series=(Series("the same thing", tuple((p, p) for p in places)),),
            marks=(Mark("value", value, value),),
            summary=f"{six_figures(base.from_si(value))} {base.text} is "
            f"{six_figures(other.from_si(value))} {other.text}.",
        )
    )  # fmt: skip


def _draw_altitude(w: Work, v: Values, gauge: float, absolute: float) -> None:
    top = max(3000.0, v.altitude)
    low = min(0.0, v.altitude)
    places = [low + (top - low) * n / 20 for n in range(21)]
    w.chart(
        LineChart(
            id="altitude", title="The same dial reading at other altitudes",
            x=Axis("altitude", u.ALTITUDE), y=Axis("absolute pressure", u.ABSOLUTE_PRESSURE),
            series=(
                Series("absolute", tuple((z, gauge + standard_pressure(z)) for z in places)),
                Series("the air alone", tuple((z, standard_pressure(z)) for z in places), "other"),
            ),
            marks=(Mark("here", v.altitude, absolute),),
            summary=say("{gauge} on a dial is {absolute} here.", gauge=(gauge, u.GAUGE_PRESSURE),
                        absolute=(absolute, u.ABSOLUTE_PRESSURE)),
        )
    )  # fmt: skip


def _give(w: Work, name: str, value: float) -> None:
    w.result(f"{name}_si", value)
    w.result(f"{name}_us", value)


def _pressures(w: Work, v: Values) -> None:
    """Convert a gauge or an absolute pressure, each with the other of this site."""
    air = w.step(AIR_PRESSURE, z_s=v.altitude)
    w.result("air", air)
    if v.what == _GAUGE:
        gauge = v.gauge_pressure
        absolute = w.step(eq.TO_ABSOLUTE, p_G=gauge, P_a=air)
    else:
        absolute = v.absolute_pressure
        gauge = w.step(eq.TO_GAUGE, P_G=absolute, P_a=air)
    if absolute < 0.0:
        raise Refusal(
            say("The air here presses with {air}, so a dial cannot show less than {least}. Check "
                "the reading and the altitude.",
                air=(air, u.ABSOLUTE_PRESSURE), least=(-air, u.GAUGE_PRESSURE)),
            field="gauge_pressure", cite=PHYSICS.at("gas pressure"),
        )  # fmt: skip
    kinds = [(u.GAUGE_PRESSURE, gauge), (u.ABSOLUTE_PRESSURE, absolute)]
    for kind, value in kinds if v.what == _GAUGE else reversed(kinds):
        _give(w, slug(kind), value)
        title = "On a dial" if kind is u.GAUGE_PRESSURE else "Absolute, at this altitude"
        _table(w, slug(kind), title, kind, value)
    w.draw(_draw_altitude, v, gauge, absolute)


def _columns(w: Work, v: Values) -> None:
    """Convert a pressure difference or a column of water, each with the other."""
    rho = w.step(eq.DENSITY, t=v.water_temperature)
    known = {"rho": rho, "g": STANDARD_GRAVITY}
    if v.what == COLUMN:
        height, difference = v.column, w.step(eq.PRESS, h=v.column, **known)
    else:
        difference = v.pressure_difference
        height = w.step(eq.COLUMN, d=difference, **known)
    _give(w, slug(u.PRESSURE_DIFFERENCE), difference)
    _give(w, "column", height)
    _table(w, "difference", "Pressure difference", u.PRESSURE_DIFFERENCE, difference)
    _table(w, "column", "Column of water at this temperature", u.LENGTH, height)
    w.draw(_draw_line, u.PRESSURE_DIFFERENCE, difference)


def solve(v: Values) -> Solution:
    """Give one value in every unit of its kind."""
    w = work_on(v)
    if v.what in (_GAUGE, _ABSOLUTE):
        _pressures(w, v)
    elif v.what in (_DIFFERENCE, COLUMN):
        _columns(w, v)
    else:
        kind = KINDS[v.what]
        value = getattr(v, slug(kind))
        _give(w, slug(kind), value)
        _table(w, "units", _headed(kind.name), kind, value)
        w.draw(_draw_line, kind, value)
    said, cite = _apart(v)
    w.check("apart", "Kept apart", PASS, said, cite)
    return w.solution()


CALCULATOR = Calculator(
    id="convert",
    title="Convert",
    question="What is it in other units?",
    summary="One value in every unit of its kind: pressure by the dial and absolute, columns of "
    "water, gallons of both sorts, outputs, contents and the rest.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=(
        {"what": _ABSOLUTE, "absolute_pressure": "40 psi", "altitude": "5280 ft"},
        {"what": _DIFFERENCE, "pressure_difference": "12 ± 0.5 psi",
         "water_temperature": "60 degF"},
        {"what": COLUMN, "column": "38 ft", "water_temperature": "180 degF"},
        *({"what": name} for name in KINDS if name not in (_GAUGE, _ABSOLUTE, _DIFFERENCE)),
    ),
)  # fmt: skip

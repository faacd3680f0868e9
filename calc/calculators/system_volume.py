"""How much water the system holds."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from math import pi

from calc import pipes, site, volume
from calc import units as u
from calc.equations.volume import (
    BORE_RUN,
    ESTIMATED_SHARE,
    FROM_OUTPUT,
    FROM_OWN_FIGURE,
    GREATEST,
    LEAST,
    METER,
    SPECIFIC,
    TOTAL,
    TUBE_RUNS,
)
from calc.model import (
    CAUTION,
    PASS,
    Bar,
    BarChart,
    Calculator,
    Choice,
    Limit,
    Option,
    Output,
    Quantity,
    Refusal,
    Section,
    Solution,
    Table,
    Text,
    Values,
    Work,
    say,
    work_on,
)
from calc.sources import CONTENT_FIGURES, OWN_RULE, PHYSICS, UNE_100155

PARTS, OUTPUT, METERED = "parts", "output", "metered"

KNOWN, OWN = "known", "own"
OWN_BORE = "bore"

EMITTER_KINDS = ("convectors", "panels", "columns", "floor")
BOILER_KINDS = ("cast-boiler", "low-content-boiler")
SYSTEM_FIGURES = ("existing", "course-notes", *EMITTER_KINDS)

MOST_ESTIMATED = 0.5
"""Share of the volume that may rest on output before the answer is called an estimate. [-]"""

MOST_UNMETERED = 0.1
"""Share of a metered volume that may have gone past the meter. [-]"""

LARGE_COIL = 0.040
"""More than the coil of any ordinary indirect cylinder holds. [m3]"""

_HAIR = 1.0 + 1e-9

BALANCE = PHYSICS.at("balance of volume")

_VOLUME = u.VOLUME

_NO_LESS = Limit("0 L", "a part cannot hold less than nothing", BALANCE)
_NO_MORE = Limit(
    "100 m3", "that is more than a large district system holds, so a unit has slipped",
    OWN_RULE.at("slip of a unit"),
)  # fmt: skip
_LEAST_OUTPUT = Limit(
    "0.1 kW", "below this there is no heating plant; perhaps watts and kilowatts are mixed up",
    OWN_RULE.at("slip of a unit"),
)  # fmt: skip
_MOST_OUTPUT = Limit(
    "50 MW", "that is a power station, not a building, so a unit has slipped",
    OWN_RULE.at("slip of a unit"),
)  # fmt: skip
_METER_START = Limit("0 L", "meters count up from 0", BALANCE)
_METER_END = Limit(
    "100000 m3", "a filling meter has no more than five digits of cubic metres",
    OWN_RULE.at("slip of a unit"),
)  # fmt: skip


def _content(name: str, label: str, help: str, when: dict | None = None) -> Quantity:
    return Quantity(
        name=name, label=label, kind=_VOLUME, help=help, default="10 L", reading=True,
        low=_NO_LESS, high=_NO_MORE, when=when,
    )  # fmt: skip


def _output(help: str, when: dict | None = None) -> Quantity:
    return Quantity(
        name="output", label="Output", kind=u.POWER, help=help, default="10 kW", reading=True,
        low=_LEAST_OUTPUT, high=_MOST_OUTPUT, when=when,
    )  # fmt: skip


def _figure_options(keys: tuple[str, ...]) -> tuple[Option, ...]:
    options = []
    for key in keys:
        figure = volume.FIGURES[key]
        value = figure.specific_content / volume.LITRE_PER_KILOWATT
        options.append(Option(key, f"{figure.label}, about {value:.3g} L/kW"))
    return tuple(options)


_NAME = Text(
    name="name", label="Name", help="What you call it. It only helps you to find the row again."
)
_OWN_SPECIFIC = replace(
    site.SPECIFIC, default="12 ± 4 L/kW", when={"kind": (OWN,)},
    help="Your own figure, such as one measured on a like system, with how far off it may be.",
)  # fmt: skip

BOILERS = Table(
    name="boilers", label="Boilers", row_label="boiler",
    help="One row for each boiler. Its rating plate or instructions give the water content; "
    "that is better than any estimate.",
    columns=(
        _NAME,
        Choice(
            name="kind", label="Content from", default=KNOWN,
            options=(Option(KNOWN, "Plate or instructions"), *_figure_options(BOILER_KINDS)),
            help="Take the content from the plate where you can. The other choices estimate it "
            "from the output.",
        ),
        _content("content", "Water content", "The water inside the boiler.", {"kind": (KNOWN,)}),
        _output("Rated output of this boiler.", {"kind": BOILER_KINDS}),
    ),
    default=(
        ("95 kW boiler, cast iron", KNOWN, "78 L", ""),
        ("60 kW boiler, condensing", KNOWN, "14 L", ""),
    ),
    us_default=(
        ("325,000 Btu/h boiler, cast iron", KNOWN, "20.6 gal", ""),
        ("205,000 Btu/h boiler, condensing", KNOWN, "3.7 gal", ""),
    ),
    when={"method": (PARTS,)},
)  # fmt: skip
EMITTERS = Table(
    name="emitters", label="Radiators and other emitters", row_label="group of emitters",
    help="One row for each group of like emitters. Contents from their data sheets are best; "
    "otherwise their output gives an estimate. A floor circuit is best entered as a pipe.",
    columns=(
        _NAME,
        Choice(
            name="kind", label="Kind", default="panels",
            options=(Option(KNOWN, "Content known"), *_figure_options(EMITTER_KINDS),
                     Option(OWN, "Output and your own content per output")),
            help="Choose “Content known” where sections were counted or data sheets are at hand.",
        ),
        _content("content", "Water content", "The water inside the whole group.",
                 {"kind": (KNOWN,)}),
        _output("Output of the whole group at the design temperature. A lower design temperature "
                "makes emitters larger, so they hold more.", {"kind": (*EMITTER_KINDS, OWN)}),
        _OWN_SPECIFIC,
    ),
    default=(
        ("Column radiators, sections counted", KNOWN, "710 ± 35 L", "", ""),
        ("Panel radiators, second floor", "panels", "", "32 kW", ""),
    ),
    us_default=(
        ("Column radiators, sections counted", KNOWN, "192 ± 9 gal", "", ""),
        ("Panel radiators, second floor", "panels", "", "109000 Btu/h", ""),
    ),
    when={"method": (PARTS,)},
)  # fmt: skip
PIPES = Table(
    name="pipes", label="Pipes", row_label="run of pipe",
    help="One row for each size. Count flow and return apart: 20 m out and 20 m back is 40 m.",
    columns=(
        _NAME,
        Choice(
            name="tube", label="Pipe", default="en-1057-22x1",
            options=(
                *(Option(tube.key, tube.label) for tube in pipes.TUBES.values()),
                Option(OWN_BORE, "Another pipe, by its bore"),
            ),
            help="Find the size stamped on the pipe, or measure its outside diameter.",
        ),
        Quantity(
            name="bore", label="Bore", kind=u.SMALL_LENGTH, default="20 mm", reading=True,
            help="Inside diameter: outside diameter less two walls.",
            low=Limit("1 mm", "a bore so fine passes no heating water",
                      OWN_RULE.at("slip of a unit")),
            high=Limit("1 m", "that is a tunnel, so a unit has slipped",
                       OWN_RULE.at("slip of a unit")),
            when={"tube": (OWN_BORE,)},
        ),
        Quantity(
            name="length", label="Length", kind=u.LENGTH, default="10 m", reading=True,
            help="All runs of this size together, flow and return both counted.",
            low=Limit("0 m", "a run cannot be shorter than nothing", BALANCE),
            high=Limit("20000 m", "no building holds 20 km of one size, so a unit has slipped",
                       OWN_RULE.at("slip of a unit")),
        ),
    ),
    default=(
        ("Boiler room header", "en-10255-65", "", "12 m"),
        ("Basement mains", "en-10255-50", "", "48 ± 4 m"),
        ("Ground floor mains", "en-10255-40", "", "64 ± 6 m"),
        ("Risers", "en-10255-32", "", "90 m"),
        ("Upper floor mains", "en-10255-25", "", "150 ± 15 m"),
        ("Branches", "en-1057-22x1", "", "180 ± 20 m"),
        ("Radiator tails", "en-1057-15x1", "", "260 ± 30 m"),
        ("Floor circuit, children's room", "pex-16x2", "", "640 m"),
    ),
    us_default=(
        ("Boiler room header", "b36.10-40-2-1-2", "", "40 ft"),
        ("Basement mains", "b36.10-40-2", "", "160 ± 12 ft"),
        ("Ground floor mains", "b36.10-40-1-1-2", "", "210 ± 20 ft"),
        ("Risers", "b36.10-40-1-1-4", "", "295 ft"),
        ("Upper floor mains", "b36.10-40-1", "", "490 ± 50 ft"),
        ("Branches", "b88-l-3-4", "", "590 ± 60 ft"),
        ("Radiator tails", "b88-l-1-2", "", "850 ± 90 ft"),
        ("Floor circuit, children's room", "f876-1-2", "", "2000 ft"),
    ),
    when={"method": (PARTS,)},
)  # fmt: skip
OTHERS = Table(
    name="others", label="Coils, buffers, separators", row_label="item",
    help="Everything else that holds the loop's water. Of an indirect cylinder only the coil "
    "belongs to the loop: the stored water is another system. The vessel itself is not counted.",
    columns=(
        _NAME,
        Choice(
            name="kind", label="Kind", default="coil",
            options=(Option("coil", "Coil of an indirect cylinder or air heater"),
                     Option("buffer", "Buffer or other store filled with the loop's water"),
                     Option("header", "Header, separator, heat exchanger or other")),
            help="A coil is checked for being no larger than a coil can be.",
        ),
        _content("content", "Water content", "The loop's water inside it, from plate or "
                 "instructions."),
    ),
    default=(
        ("Coil of the 300 L cylinder", "coil", "11 L"),
        ("Low-loss header and dirt separator", "header", "19 L"),
    ),
    us_default=(
        ("Coil of the 80 gal cylinder", "coil", "2.9 gal"),
        ("Low-loss header and dirt separator", "header", "5.2 gal"),
    ),
    when={"method": (PARTS,)},
)  # fmt: skip

INPUTS = (
    Choice(
        name="method", label="How to find it", default=PARTS,
        options=(
            Option(PARTS, "By parts: add up boilers, emitters and pipes"),
            Option(METERED, "Metered fill: a meter on the filling line"),
            Option(OUTPUT, "By output: a rough figure from the boilers' output"),
        ),
        help="A metered fill of an empty system is best. Adding up the parts is next. "
        "The output alone gives only an order of magnitude.",
    ),
    replace(
        site.OUTPUT, us_default="530000 Btu/h", reading=True,
        help="Rated output of the boilers together. By parts or by meter it only judges whether "
        "the volume is usual, and may stay blank.",
    ),
    BOILERS, EMITTERS, PIPES, OTHERS,
    Choice(
        name="kind", label="Kind of system", default="existing",
        options=(*_figure_options(SYSTEM_FIGURES), Option(OWN, "Your own content per output")),
        help="What most of the heat is given off by. The figures are orders of magnitude: half "
        "as much or half as much again is ordinary.",
        when={"method": (OUTPUT,)},
    ),
    replace(_OWN_SPECIFIC, when={"method": (OUTPUT,), "kind": (OWN,)}),
    Quantity(
        name="before", label="Meter before filling", kind=_VOLUME, default="38.26 m3",
        us_default="10107 gal", reading=True, when={"method": (METERED,)},
        help="Reading of the meter on the filling line before the first water goes in.",
        low=_METER_START, high=_METER_END,
    ),
    Quantity(
        name="after", label="Meter after filling", kind=_VOLUME, default="39.98 m3",
        us_default="10561 gal", reading=True, when={"method": (METERED,)},
        help="Reading when the system is full, vented and at its cold fill pressure.",
        low=_METER_START, high=_METER_END,
    ),
    Quantity(
        name="remained", label="Water still in the system before", kind=_VOLUME,
        default="60 ± 40 L", us_default="16 ± 10 gal", reading=True, when={"method": (METERED,)},
        help="Low points, radiators and boilers that the drain did not empty. Enter 0 for a new, "
        "dry system.",
        low=_NO_LESS, high=_NO_MORE,
    ),
    Quantity(
        name="lost", label="Metered water that did not stay", kind=_VOLUME,
        default="30 ± 10 L", us_default="8 ± 3 gal", reading=True, when={"method": (METERED,)},
        help="Water let out while venting and flushing, and water the vessel took up.",
        low=_NO_LESS, high=_NO_MORE,
    ),
)  # fmt: skip

SECTIONS = (
    Section("Method", ("method", "output", "kind", "specific")),
    Section("What holds the water", ("boilers", "emitters", "pipes", "others")),
    Section("Filling meter", ("before", "after", "remained", "lost")),
)

OUTPUTS = (
    Output("volume", "System volume", _VOLUME, headline=True,
           help="Cold water in the loop, without the vessel."),
    Output("lowest", "Lowest it may be", _VOLUME,
           help="With every estimate from output at its low end."),
    Output("highest", "Highest it may be", _VOLUME,
           help="With every estimate from output at its high end. Size a vessel for this one."),
    Output("specific_content", "Content per output", u.SPECIFIC_CONTENT,
           help="System volume over the output of all boilers."),
    Output("boiler_volume", "Boilers", _VOLUME),
    Output("emitter_volume", "Radiators and other emitters", _VOLUME),
    Output("pipe_volume", "Pipes", _VOLUME),
    Output("other_volume", "Coils, buffers, separators", _VOLUME),
    Output("boiler_share", "Share of the boilers", u.FRACTION),
    Output("emitter_share", "Share of the emitters", u.FRACTION),
    Output("pipe_share", "Share of the pipes", u.FRACTION),
    Output("other_share", "Share of coils, buffers, separators", u.FRACTION),
    Output("estimated_share", "Share taken from output", u.FRACTION,
           help="What part of the volume rests on an estimate."),
)  # fmt: skip


@dataclass(slots=True)
class _Tally:
    """Adds up contents; remembers what was estimated and what the chart shows."""

    sums: dict[str, float] = field(
        default_factory=lambda: {"boiler": 0.0, "emitter": 0.0, "pipe": 0.0, "other": 0.0}
    )
    estimated: float = 0.0
    largest: tuple[float, str] = (0.0, "")
    bars: dict[str, list[float]] = field(default_factory=dict)

    def add(self, group: str, label: str, content: float, *, estimate: bool = False) -> None:
        self.sums[group] += content
        bar = self.bars.setdefault(label, [0.0, 0.0])
        bar[0] += content
        if estimate:
            bar[1] += content
            self.estimated += content
            self.largest = max(self.largest, (bar[1], label))

    def drawn(self) -> tuple[Bar, ...]:
        return tuple(
            _bar(label, content, estimated) for label, (content, estimated) in self.bars.items()
        )


def _bar(label: str, content: float, estimated: float) -> Bar:
    if not estimated:
        return Bar(label, content)
    return Bar(
        label, content,
        volume.least_content(content, estimated), volume.greatest_content(content, estimated),
    )  # fmt: skip


def _row_content(w: Work, row: Values) -> tuple[float, bool]:
    """Return the content of a boiler or emitter row, and whether it is an estimate."""
    if row.kind == KNOWN:
        return row.content, False
    if row.kind == OWN:
        return w.step(FROM_OWN_FIGURE, Q=row.output, c=row.specific), False
    figure = volume.FIGURES[row.kind]
    return w.step(FROM_OUTPUT[row.kind], Q=row.output, c=figure.specific_content), True


_EMITTER_LABELS = {
    KNOWN: "Emitters, content known",
    OWN: "Emitters, your own figure",
    **{kind: volume.FIGURES[kind].label for kind in EMITTER_KINDS},
}


def _counted(w: Work, v: Values) -> _Tally:
    """Return the contents of all rows, with a step for each that is computed."""
    tally = _Tally()
    for row in v.boilers:
        content, estimate = _row_content(w, row)
        tally.add("boiler", "Boilers", content, estimate=estimate)
    for row in v.emitters:
        content, estimate = _row_content(w, row)
        tally.add("emitter", _EMITTER_LABELS[row.kind], content, estimate=estimate)
    for row in v.pipes:
        if row.tube == OWN_BORE:
            content = w.step(BORE_RUN, pi=pi, d_i=row.bore, L=row.length)
            tally.add("pipe", "Pipe by its bore", content)
            continue
        tube = pipes.TUBES[row.tube]
        content = w.step(TUBE_RUNS[row.tube], pi=pi, d=tube.outside, s=tube.wall, L=row.length)
        tally.add("pipe", tube.family.capitalize(), content)
    for row in v.others:
        tally.add("other", "Coils, buffers, separators", row.content)
    return tally


def _by_parts(w: Work, v: Values) -> float:
    tally = _counted(w, v)
    sums = tally.sums
    total = w.step(
        TOTAL, V_B=sums["boiler"], V_E=sums["emitter"], V_P=sums["pipe"], V_C=sums["other"]
    )
    if total <= 0:
        raise Refusal(
            say("No part holds any water yet, so there is no volume. Enter the boilers, emitters "
                "and pipes, each with its content, output or length."),
            field="pipes", cite=BALANCE,
        )  # fmt: skip
    for group, content in sums.items():
        w.result(f"{group}_volume", content)
        w.result(f"{group}_share", volume.share(content, total))
    estimated_share = _range(w, total, tally.estimated)
    _check_complete(w, sums)
    _check_estimate(w, estimated_share, tally.largest[1])
    _check_coils(w, v)
    w.chart(
        BarChart(
            id="parts", title="Where the water is", kind=_VOLUME, bars=tally.drawn(),
            summary=say(
                "{total} in all: boilers {b}, emitters {e}, pipes {p}, other items {o}.",
                total=(total, _VOLUME), b=(sums["boiler"], _VOLUME),
                e=(sums["emitter"], _VOLUME), p=(sums["pipe"], _VOLUME),
                o=(sums["other"], _VOLUME),
            ),
        )
    )  # fmt: skip
    return total


def _range(w: Work, total: float, estimated: float) -> float:
    """Give the lowest and highest volume; return the estimated share."""
    if estimated:
        spread = {"V_s": total, "V_x": estimated, "f": volume.SPREAD}
        w.result("lowest", w.step(LEAST, **spread))
        w.result("highest", w.step(GREATEST, **spread))
        found = w.step(ESTIMATED_SHARE, V_x=estimated, V_s=total)
    else:
        w.result("lowest", total)
        w.result("highest", total)
        found = 0.0
    w.result("estimated_share", found)
    return found


def _check_complete(w: Work, sums: dict[str, float]) -> None:
    names = {"boiler": "boiler", "emitter": "radiator or other emitter", "pipe": "pipe"}
    missing = [name for group, name in names.items() if sums[group] <= 0]
    if missing:
        w.check(
            "complete", "All kinds of parts counted", CAUTION,
            f"No {' and no '.join(missing)} is counted. Add what is missing, or the volume comes "
            "out too small.",
            BALANCE,
        )  # fmt: skip
    else:
        w.check(
            "complete", "All kinds of parts counted", PASS,
            "Boilers, emitters and pipes are all counted.", BALANCE,
        )  # fmt: skip


def _check_estimate(w: Work, estimated_share: float, largest: str) -> None:
    cite = OWN_RULE.at("estimates")
    share = {"x": (estimated_share, u.FRACTION), "most": (MOST_ESTIMATED, u.FRACTION)}
    if estimated_share > MOST_ESTIMATED:
        w.check(
            "estimate", "How much is estimated", CAUTION,
            say("{x} of the volume is estimated from output, more than {most}; most of that is “" +
                largest + "”. Take its content from data sheets, count its sections, or meter the "
                "next fill.", **share),
            cite,
        )  # fmt: skip
    elif estimated_share > 0:
        w.check(
            "estimate", "How much is estimated", PASS,
            say("{x} of the volume is estimated from output; up to {most} is taken as sound.",
                **share),
            cite,
        )  # fmt: skip
    else:
        w.check(
            "estimate", "How much is estimated", PASS,
            "Nothing is estimated from output.", cite,
        )  # fmt: skip


def _check_coils(w: Work, v: Values) -> None:
    coils = [row.content for row in v.others if row.kind == "coil"]
    if not coils:
        return
    cite = OWN_RULE.at("coils")
    sizes = {"coil": (max(coils), _VOLUME), "most": (LARGE_COIL, _VOLUME)}
    if max(coils) > LARGE_COIL * _HAIR:
        w.check(
            "coil", "Coil, not stored water", CAUTION,
            say("A coil is entered with {coil}; few hold more than {most}. Enter the water inside "
                "the coil, not the water stored around it.", **sizes),
            cite,
        )  # fmt: skip
    else:
        w.check(
            "coil", "Coil, not stored water", PASS,
            say("No coil holds more than {most}; the largest entered has {coil}.", **sizes), cite,
        )  # fmt: skip


def _by_output(w: Work, v: Values) -> float:
    if v.output is None:
        raise Refusal(
            say("The output of the boilers is blank, and this method rests on it. Enter the rated "
                "output of all boilers together, or add up the parts instead."),
            field="output", cite=UNE_100155.at("commentary on chapter 9"),
        )  # fmt: skip
    if v.kind == OWN:
        total = w.step(FROM_OWN_FIGURE, Q=v.output, c=v.specific)
        _range(w, total, 0.0)
        message = say(
            "{total} rests on your own content per output. Give that figure a plus/minus, and add "
            "up the parts or meter the next fill before buying a vessel.", total=(total, _VOLUME),
        )  # fmt: skip
    else:
        specific = volume.usual_specific_content(v.kind)
        total = w.step(FROM_OUTPUT[v.kind], Q=v.output, c=specific)
        _range(w, total, total)
        message = say(
            "Output gives an order of magnitude only: anything from {low} to {high} is ordinary. "
            "Add up the parts, or meter the next fill, before buying a vessel.",
            low=(volume.least_content(total, total), _VOLUME),
            high=(volume.greatest_content(total, total), _VOLUME),
        )  # fmt: skip
    w.check("method", "Good enough to buy by", CAUTION, message, CONTENT_FIGURES.at("spread"))
    bars = []
    for key in SYSTEM_FIGURES:
        figure = volume.FIGURES[key]
        content = volume.content_from_output(v.output, figure.specific_content)
        bars.append(_bar(figure.label, content, content))
    w.chart(
        BarChart(
            id="figures", title="What each usual figure would give", kind=_VOLUME,
            bars=tuple(bars),
            summary=say(
                "For {q} the usual figures run from {low} for convectors to {high} for floor "
                "heating, each half as much or half as much again.",
                q=(v.output, u.POWER), low=(bars[2].value, _VOLUME),
                high=(bars[-1].value, _VOLUME),
            ),
        )
    )  # fmt: skip
    return total


def _by_meter(w: Work, v: Values) -> float:
    if v.after <= v.before:
        raise Refusal(
            say("The meter shows {after} after filling, not more than {before} before. Check "
                "which reading is which; if the meter rolled over, add its full range to the "
                "second.", after=(v.after, _VOLUME), before=(v.before, _VOLUME)),
            field="after", cite=BALANCE,
        )  # fmt: skip
    metered = v.after - v.before
    total = w.step(METER, M_1=v.before, M_2=v.after, V_r=v.remained, V_l=v.lost)
    if total <= 0:
        raise Refusal(
            say("More water was let out, {lost}, than the meter and the system held. Check the "
                "water that did not stay.", lost=(v.lost, _VOLUME)),
            field="lost", cite=BALANCE,
        )  # fmt: skip
    unmetered = (v.remained + v.lost) / total
    share = {"x": (unmetered, u.FRACTION), "most": (MOST_UNMETERED, u.FRACTION)}
    cite = OWN_RULE.at("metered fill")
    if unmetered > MOST_UNMETERED:
        w.check(
            "unmetered", "Water that passed the meter by", CAUTION,
            say("Water judged by eye is {x} of the volume, more than {most}. Drain more of the "
                "system before filling, catch and measure what is let out, or widen the "
                "plus/minus.", **share),
            cite,
        )  # fmt: skip
    else:
        w.check(
            "unmetered", "Water that passed the meter by", PASS,
            say("Water judged by eye is {x} of the volume; up to {most} is taken as sound.",
                **share),
            cite,
        )  # fmt: skip
    w.chart(
        BarChart(
            id="meter", title="What the meter saw and what it did not", kind=_VOLUME,
            bars=(
                Bar("Through the meter", metered),
                Bar("Still in the system before", v.remained),
                Bar("Did not stay", v.lost),
                Bar("System volume", total),
            ),
            summary=say(
                "{m} through the meter, {r} already there, {l} let out again: {t} in the system.",
                m=(metered, _VOLUME), r=(v.remained, _VOLUME), l=(v.lost, _VOLUME),
                t=(total, _VOLUME),
            ),
        )
    )  # fmt: skip
    return total


def _check_specific(w: Work, total: float, output: float) -> None:
    found = w.step(SPECIFIC, V_s=total, Q=output)
    w.result("specific_content", found)
    low, high = volume.USUAL_SPECIFIC_CONTENT
    figures = {
        "s": (found, u.SPECIFIC_CONTENT), "low": (low, u.SPECIFIC_CONTENT),
        "high": (high, u.SPECIFIC_CONTENT),
    }  # fmt: skip
    cite = CONTENT_FIGURES.at("convectors to floor heating")
    if low <= found <= high:
        w.check(
            "usual", "Usual for the output", PASS,
            say("{s} lies within the usual {low} to {high}.", **figures), cite,
        )  # fmt: skip
    elif found < low:
        w.check(
            "usual", "Usual for the output", CAUTION,
            say("{s} is less than the usual {low} to {high}. Look for parts left out, or check "
                "the output.", **figures),
            cite,
        )  # fmt: skip
    else:
        w.check(
            "usual", "Usual for the output", CAUTION,
            say("{s} is more than the usual {low} to {high}. Look for a buffer that explains it, "
                "a part counted twice, or a slip in a length or unit.", **figures),
            cite,
        )  # fmt: skip


def solve(v: Values) -> Solution:
    """Find the system volume by the method chosen."""
    w = work_on(v)
    total = {PARTS: _by_parts, OUTPUT: _by_output, METERED: _by_meter}[v.method](w, v)
    w.result("volume", total)
    if v.output is not None and v.method != OUTPUT:
        _check_specific(w, total, v.output)
    return w.solution()


CALCULATOR = Calculator(
    id="system-volume",
    title="System water volume",
    question="How much water does the system hold?",
    summary="Adds up boilers, emitters and pipes, reads a metered fill, or judges from the "
    "output; says how far off the answer may be.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=(
        {"method": METERED},
        {"method": METERED, "before": "1204 gal", "after": "1391 ± 1 gal", "remained": "30 gal",
         "lost": "6 gal", "output": ""},
        {"method": OUTPUT},
        {"method": OUTPUT, "output": "325000 Btu/h", "kind": "columns"},
        {"method": OUTPUT, "output": "48 kW", "kind": OWN, "specific": "11 ± 3 L/kW"},
        {"output": "60 kW", "boilers": "Boiler | low-content-boiler | | 60 kW",
         "emitters": "Hall | convectors | | 14 kW; Rooms | panels | | 22 kW; "
                     "Wards | columns | | 12 kW; Floor | floor | | 8 kW; "
                     "Wing | own | | 6 ± 1 kW | 9 ± 2 L/kW",
         "pipes": "Mains | bore | 27.3 ± 0.2 mm | 85 ± 5 m; Tails | pex-20x2 | | 120 m",
         "others": "Buffer | buffer | 200 L"},
        {"output": "180000 Btu/h", "boilers": "Boiler | cast-boiler | | 180000 Btu/h",
         "emitters": "Radiators | known | 61 ± 4 gal",
         "pipes": "Mains | b36.10-40-1-1-4 | | 140 ± 10 ft; Branches | b88-l-3-4 | | 310 ft; "
                  "Loops | f876-1-2 | | 900 ft",
         "others": ""},
        {"output": "", "boilers": "", "emitters": "", "pipes": "",
         "others": "Whole loop, read from its record | header | 410 ± 20 L"},
    ),
)  # fmt: skip

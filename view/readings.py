"""The log of readings: its form for the page, and what is said of the readings as HTML."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from calc import bridge, reading_charts
from calc import units as u
from calc.calculators import calculator
from calc.model import (
    Choice,
    Input,
    Option,
    Quantity,
    Refusal,
    ResultColumn,
    ResultRow,
    ResultTable,
    as_text,
)
from calc.model import Text as TextInput
from calc.readings import (
    FOUND_BY,
    READING,
    SITE,
    Log,
    Pairs,
    Read,
    fall_between,
    fall_words,
    handed_over,
    log,
    picks,
)
from calc.sources import PHYSICS
from view.answer import source
from view.charts import chart
from view.html import Html, h, html
from view.pages import PAGES

_SCOPE = "reading"
_MARKS = {"pass": "✓", "caution": "!"}
_MOST_NAMED = 6
_MORE = ("meter", "ph", "charge", "note")
"""Fields that most readings do without; they are folded away."""


def form() -> str:
    """Return the log as the page brings it: empty, with a form that its script shows."""
    return html(
        h(
            "readings-log",
            {"class": "lc rl", "data-state": "static"},
            h(
                "div",
                {"class": "lc-head"},
                h("p", {"class": "lc-question"}, "Readings of this job"),
                h(
                    "p",
                    {"class": "lc-status", "role": "status"},
                    "The log needs JavaScript. It keeps readings on this device and sends them "
                    "nowhere. On paper, use the table below.",
                ),
                h(
                    "a",
                    {"class": "rl-job", "href": "job.md", "hidden": True},
                    "Begin or open a job",
                ),
            ),
            _form(),
            h("p", {"class": "rl-undo", "role": "status", "hidden": True}),
            h("section", {"data-part": "list", "aria-label": "Readings so far"}),
            h("p", {"class": "rl-engine", "role": "status"}),
            h("section", {"class": "lc-answer", "data-part": "view", "data-search-exclude": True}),
            h("div", {"data-part": "use", "hidden": True}, _uses()),
            h(
                "nav",
                {"data-part": "pages", "hidden": True, "aria-label": "Where the numbers are found"},
                [_page_link(id) for id in sorted(set(FOUND_BY.values()))],
            ),
        )
    )


def _page_link(id: str) -> Html:
    return h("a", {"data-page": id, "href": f"{PAGES[id]}#{id}"}, calculator(id).title)


def _form() -> Html:
    first = [i for i in READING.inputs if i.name not in _MORE]
    more = [i for i in READING.inputs if i.name in _MORE]
    return h(
        "form",
        {"hidden": True, "novalidate": True, "autocomplete": "off", "aria-label": "A reading"},
        h("p", {"class": "rl-title", "data-part": "title"}, "New reading"),
        h("div", {"class": "rl-fields"}, _time(), [_field(i) for i in first]),
        h(
            "details",
            {"class": "lc-section"},
            h("summary", None, "Meter, pH, charge, note"),
            h("div", {"class": "rl-fields"}, [_field(i) for i in more]),
        ),
        h(
            "div",
            {"class": "lc-actions"},
            h("button", {"type": "submit", "class": "rl-save"}, "Save the reading"),
            h(
                "button",
                {"type": "button", "data-action": "cancel", "hidden": True},
                "Leave it as it was",
            ),
        ),
    )


def _time() -> Html:
    id = f"{_SCOPE}-at"
    return h(
        "div",
        {"class": "lc-field", "data-field": "at"},
        h("label", {"for": id}, "Time"),
        h(
            "div",
            {"class": "lc-entry"},
            h(
                "input",
                {
                    "id": id,
                    "name": "at",
                    "type": "datetime-local",
                    "aria-describedby": f"{id}-help {id}-error",
                },
            ),
            h("button", {"type": "button", "data-action": "now"}, "Now"),
        ),
        h(
            "p",
            {"class": "lc-help", "id": f"{id}-help"},
            "Follows the clock until changed.",
        ),
        _error(id),
    )


def _error(id: str) -> Html:
    return h("p", {"class": "lc-error", "id": f"{id}-error", "hidden": True})


def _field(entry: Input) -> Html:
    id = f"{_SCOPE}-{entry.name}"
    described = f"{id}-help {id}-error"
    help = h("p", {"class": "lc-help", "id": f"{id}-help"}, entry.help)
    frame = {"class": "lc-field", "data-field": entry.name}
    if isinstance(entry, Choice):
        return h(
            "fieldset",
            {**frame, "class": "lc-field rl-choice", "aria-describedby": described},
            h("legend", None, entry.label),
            h("div", {"class": "rl-options"}, [_option(entry, o) for o in entry.options]),
            help,
            _error(id),
        )
    if isinstance(entry, TextInput):
        control = {"id": id, "name": entry.name, "rows": "2", "aria-describedby": described}
        return h(
            "div",
            frame,
            h("label", {"for": id}, entry.label),
            h("div", {"class": "lc-entry"}, h("textarea", control)),
            help,
            _error(id),
        )
    return h(
        "div",
        frame,
        h("label", {"for": id}, entry.label),
        h(
            "div",
            {"class": "lc-entry"},
            h(
                "input",
                {
                    "id": id,
                    "name": entry.name,
                    "type": "text",
                    "inputmode": "decimal",
                    "enterkeyhint": "next",
                    "aria-describedby": described,
                },
            ),
            _plus_minus(entry),
            _unit(entry),
        ),
        help,
        _error(id),
    )


def _option(entry: Choice, option: Option) -> Html:
    radio = {
        "type": "radio",
        "name": entry.name,
        "value": option.value,
        "checked": option.value == entry.default,
    }
    return h("label", None, h("input", radio), " ", option.label)


def _plus_minus(entry: Quantity) -> Html | None:
    if not entry.reading:
        return None
    box = {
        "name": f"{entry.name}.pm",
        "type": "text",
        "inputmode": "decimal",
        "aria-label": f"plus or minus, {entry.label}",
    }
    return h("label", {"class": "lc-pm"}, "± ", h("input", box))


def _unit(entry: Quantity) -> Html | None:
    if entry.kind.plain():
        return None
    select = {
        "name": f"{entry.name}.unit",
        "aria-label": f"unit, {entry.label}",
        "data-si": entry.kind.default_unit("si").id,
        "data-us": entry.kind.default_unit("us").id,
    }
    options = [
        h("option", {"value": unit.id, "selected": unit.id == select["data-si"]}, unit.text)
        for unit in entry.kind.units
        if unit.id != "K"
    ]
    return h("select", select, options)


_USES = (
    ("two-reading-check", "A cold and a hot reading", (("cold", "Cold"), ("hot", "Hot"))),
    ("leak-rate", "Two readings some time apart", (("first", "First"), ("last", "Last"))),
)


def _uses() -> list[Html]:
    return [
        h(
            "fieldset",
            {"class": "rl-use", "data-calculator": id},
            h("legend", None, legend),
            h(
                "div",
                {"class": "rl-two"},
                [
                    h(
                        "label",
                        None,
                        label,
                        h("span", {"class": "lc-entry"}, h("select", {"name": name})),
                    )
                    for name, label in names
                ],
            ),
            h("p", {"class": "rl-why", "role": "status"}),
            h(
                "a",
                {"class": "rl-go", "href": f"{PAGES[id]}#{id}", "data-handover": id},
                f"Use these two in: {calculator(id).title}",
            ),
        )
        for id, legend, names in _USES
    ]


def page(
    readings: Sequence[Mapping[str, Any]],
    inputs: Mapping[str, Any],
    system: str = "si",
    pairs: Pairs | None = None,
) -> dict[str, Any]:
    """Return what is said of the readings: HTML, and what a script puts beside each of them.

    Parameters
    ----------
    readings
        Readings as the job keeps them, each with its `id`.
    inputs
        Facts of the site by name, as texts or entries.
    system
        Units of the answer.
    pairs
        Two readings by calculator, where the reader has chosen others than the usual ones.

    Returns
    -------
    dict
        `html`; `errors` by reading and field; `notes`, the verdict on each reading; `order`, the
        ids from the earliest on; `picks`; `links`, the entries for each calculator.
    """
    pairs = pairs or {}
    found = log(readings, inputs, system)
    return {
        "html": html(_body(found, system, pairs)) if found.readings or found.line else "",
        "errors": found.errors,
        "notes": {
            id: {"text": as_text(one.words, system), "off": one.off}
            for id, one in found.judged.items()
        },
        "order": [r.id for r in found.readings],
        "picks": picks(found),
        "links": handed_over(found, pairs),
    }


def _body(found: Log, system: str, pairs: Pairs) -> list[Html]:
    drawn = [*reading_charts.against_temperature(found), *reading_charts.over_time(found)]
    return [
        h("ul", {"class": "lc-checks", "data-key": "said"}, _said(found, system, pairs)),
        *(chart("readings", bridge.chart_data(one, system)) for one in drawn),
        *_basis(found, system),
        *([chart("readings", bridge.chart_data(_table(found), system))] if found.readings else ()),
    ]


def _say(id: str, status: str, label: str, *words: Any) -> Html:
    return h(
        "li",
        {"data-status": status, "data-key": id},
        h("span", {"class": "lc-mark", "aria-hidden": "true"}, _MARKS[status]),
        h("div", None, h("strong", None, f"{label}: "), words),
    )


_GAS = PHYSICS.at("Boyle's law").data()


def _said(found: Log, system: str, pairs: Pairs) -> list[Html]:
    """Return what is said of all readings together, one line for each matter."""
    said = []
    for error in found.site_errors:
        label = next((i.label for i in SITE.inputs if i.name == error["field"]), error["field"])
        said.append(_say(f"site-{error['field']}", "caution", label, error["message"]))
    if found.missing:
        wanted: list[Any] = []
        for number, one in enumerate(found.missing):
            link = h("a", {"data-page": one.calculator}, calculator(one.calculator).title)
            wanted += [", " if number else "", f"“{one.label}” (", link, ")"]
        said.append(
            _say("missing", "caution", "No line yet", "The record does not hold ", wanted,
                 ". Find or enter it there.")
        )  # fmt: skip
    if found.refusal:
        words = as_text(found.refusal, system)
        said.append(_say("refusal", "caution", "No line with these numbers", words))
    if found.judged:
        said.append(_on_and_off(found, system))
    return [*said, *_fall(found, system, pairs)]


def _on_and_off(found: Log, system: str) -> Html:
    off, label = found.off, "Readings and the line"
    compared = sum(1 for one in found.judged.values() if one.deviation is not None)
    if not off:
        start = ", the one it starts from among them" if found.start else ""
        words = f"{compared} compared{start}, none off the line. "
        return _say("line", "pass", label, words, source(_GAS))
    named = [
        h("li", None, f"{r.when}: {as_text(found.judged[r.id].words, system)}")
        for r in off[:_MOST_NAMED]
    ]
    more = len(off) - len(named)
    return _say(
        "line",
        "caution",
        label,
        f"{len(off)} of {compared} lie off the line. ",
        source(_GAS),
        h("ul", {"class": "rl-off"}, named),
        f"And {more} more: see the table." if more else None,
    )


def _fall(found: Log, system: str, pairs: Pairs) -> list[Html]:
    chosen = pairs.get("leak-rate") or [picks(found)[name] for name in ("first", "last")]
    by_id = {r.id: r for r in found.readings}
    two = [by_id[id] for id in chosen if id in by_id]
    if len(two) < 2 or two[0] is two[1]:
        return []
    try:
        fall = fall_between(*two, found.line)
    except Refusal as refused:
        return [_say("fall", "caution", "Between two readings", as_text(refused.message, system))]
    beyond = fall.left is not None and abs(fall.left) > fall.band
    status, words = "caution" if beyond else "pass", as_text(fall_words(fall), system)
    return [_say("fall", status, "Between two readings", words, " ", source(_GAS))]


def _basis(found: Log, system: str) -> list[Html]:
    """Return the numbers that the line was drawn with, and what was taken for want of one."""
    if not found.line:
        return []
    v = found.values
    shown = [
        ("water in the system", v.system_volume, u.VOLUME),
        ("vessel", v.vessel_volume, u.VOLUME),
        ("charge", v.charge, u.GAUGE_PRESSURE),
        ("gauge above the vessel", v.gauge_height, u.LENGTH),
        ("altitude", v.altitude, u.ALTITUDE),
    ]
    if v.relief is not None:
        shown.append(("relief valve", v.relief, u.GAUGE_PRESSURE))
    start = u.quantity_text(v.cold_fill, u.GAUGE_PRESSURE, system)
    cold = u.quantity_text(v.cold, u.TEMPERATURE, system)
    parts = [f"{name} {u.quantity_text(x, kind, system)}" for name, x, kind in shown]
    numbers = ", ".join([f"{start} at {cold} cold", *parts])
    words = [f"The line is drawn with: {numbers}."]
    if found.start:
        words.append(
            "The record has no cold fill, so it starts from the coldest reading, "
            f"{found.start.when}. What was wrong by then, it cannot show."
        )
    words += [as_text(one, system) for one in found.assumed]
    return [h("p", {"class": "rl-basis", "data-key": "basis"}, " ".join(words))]


def _table(found: Log) -> ResultTable:
    """Return all readings, side by side with what the line gives."""
    wanted: list[tuple[ResultColumn, Any]] = [
        (ResultColumn("gauge", u.GAUGE_PRESSURE), lambda r: r.gauge),
        (ResultColumn("water", u.TEMPERATURE), lambda r: r.temperature),
        (ResultColumn("pump"), lambda r: r.pump or None),
    ]
    if found.line:
        judged = found.judged
        wanted += [
            (
                ResultColumn("the line gives", u.GAUGE_PRESSURE),
                lambda r: judged[r.id].predicted if r.id in judged else None,
            ),
            (
                ResultColumn("off by", u.PRESSURE_DIFFERENCE),
                lambda r: judged[r.id].deviation if r.id in judged else None,
            ),
            (
                ResultColumn("may be off by", u.PRESSURE_DIFFERENCE),
                lambda r: judged[r.id].band if _compared(found, r) else None,
            ),
        ]
    for column, value in (
        (ResultColumn("meter", u.VOLUME, "m3"), lambda r: r.meter),
        (ResultColumn("pH", u.ACIDITY), lambda r: r.ph),
        (ResultColumn("charge", u.GAUGE_PRESSURE), lambda r: r.charge),
        (ResultColumn("note"), lambda r: r.note or None),
    ):
        if any(value(r) is not None for r in found.readings):
            wanted.append((column, value))
    return ResultTable(
        id="readings",
        title="All readings",
        corner="time",
        columns=tuple(column for column, _ in wanted),
        rows=tuple(ResultRow(_full(r), tuple(v(r) for _, v in wanted)) for r in found.readings),
        summary="By the clock on the wall, as noted. A dash: not read, or not comparable.",
    )


def _compared(found: Log, r: Read) -> bool:
    return r.id in found.judged and found.judged[r.id].deviation is not None


def _full(r: Read) -> str:
    """Return a time as a record writes it: year, month, day and the clock."""
    try:
        return f"{datetime.fromisoformat(r.at):%Y-%m-%d %H:%M}"
    except ValueError:
        return r.when

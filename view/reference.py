"""Reference tables and the list of letters, for the build."""

from __future__ import annotations

from itertools import groupby

from calc import reference
from calc import units as u
from calc.calculators import calculator
from calc.reference import Cell, Column
from view.html import Html, h, html
from view.maths import symbol
from view.pages import PAGES


def table(name: str) -> str:
    """Return a reference table: SI first, US customary in brackets, its sources below."""
    found = reference.table(name)
    heads = [h("th", {"scope": "col"}, _head(column)) for column in found.columns]
    rows = []
    for row in found.rows:
        first, *rest = zip(found.columns, row, strict=True)
        rows.append(
            h(
                "tr",
                None,
                h("th", {"scope": "row"}, cell_text(*first)),
                [_cell(column, cell) for column, cell in rest],
            )
        )
    return html(
        h(
            "div",
            {"class": "hb-reference", "data-table": name},
            _scroller(
                found.title,
                h(
                    "table",
                    {"class": "lc-side"},
                    h("thead", None, h("tr", None, heads)),
                    h("tbody", None, rows),
                ),
            ),
            h("p", None, found.note) if found.note else None,
            h("p", {"class": "hb-reference-sources"}, "From: ", _cites(found)),
        )
    )


def _cites(found: reference.Table) -> list:
    listed = []
    for number, cite in enumerate(found.cites):
        listed += [
            "; " if number else "",
            h("a", {"href": f"sources.md#source-{cite.source.key}"}, cite.text()),
            " ",
            h("em", {"class": "status"}, cite.status),
        ]
    return [*listed, "."]


def _scroller(title: str, inside: Html) -> Html:
    attributes = {
        "class": "lc-scroll",
        "tabindex": "0",
        "role": "region",
        "aria-label": title,
        # A search is for words, and the words stand in the heading and the note.
        "data-search-exclude": True,
    }
    return h("div", attributes, inside)


def _units(column: Column) -> list[u.Unit]:
    if column.kind is None:
        return []
    return [column.kind.unit(text) for text in (column.si, column.us) if text]


def _head(column: Column) -> str:
    texts = [unit.text for unit in _units(column) if unit.text]
    if not texts:
        return column.label
    inside = f" ({texts[1]})" if len(texts) > 1 else ""
    return f"{column.label}, {texts[0]}{inside}"


def cell_text(column: Column, cell: Cell) -> str:
    """Return a cell as shown: the SI number, and the US one in brackets where the unit differs."""
    if cell is None:
        return "–"
    if isinstance(cell, str):
        return cell
    units = _units(column)
    steps = [column.step or units[0].step, *(unit.step for unit in units[1:])]
    numbers = [
        u.number_text(unit.from_si(cell), step) for unit, step in zip(units, steps, strict=True)
    ]
    return numbers[0] if len(numbers) == 1 else f"{numbers[0]}\xa0({numbers[1]})"


def _cell(column: Column, cell: Cell) -> Html:
    text = cell_text(column, cell)
    if column.kind is None:
        return h("td", None, h("em", {"class": "status"}, text) if _is_status(column) else text)
    value = {} if cell is None else {"data-value": repr(_units(column)[0].from_si(cell))}
    return h("td", {"class": "lc-number", **value}, text)


def _is_status(column: Column) -> bool:
    return column.label.startswith("Status")


def symbols() -> str:
    """Return every letter of every equation shown, with its meanings, units and pages."""
    rows = []
    key = _letter_and_unit
    for (name, unit), group in groupby(sorted(reference.letters(), key=key), key=key):
        letters = list(group)
        pages = dict.fromkeys(id for letter in letters for id in letter.calculators)
        rows.append(
            h(
                "tr",
                None,
                h("td", None, h("math", None, symbol(name))),
                h("td", None, "; ".join(letter.label for letter in letters)),
                h("td", None, unit),
                h("td", None, _links(pages)),
            )
        )
    heads = ("Letter", "Meaning", "Unit shown", "Calculators")
    return html(
        _scroller(
            "Letters",
            h(
                "table",
                {"class": "lc-side hb-letters"},
                h("thead", None, h("tr", None, [h("th", {"scope": "col"}, t) for t in heads])),
                h("tbody", None, rows),
            ),
        )
    )


def _letter_and_unit(letter: reference.Letter) -> tuple[str, str]:
    if letter.unit:
        return letter.symbol, letter.kind.unit(letter.unit).text
    texts = [letter.kind.default_unit(system).text for system in u.SYSTEMS]
    shown = texts[0] if texts[0] == texts[1] else f"{texts[0]} ({texts[1]})"
    return letter.symbol, shown or "–"


def _links(ids: dict[str, None]) -> list:
    listed: list = []
    for number, id in enumerate(ids):
        listed += [
            ", " if number else "",
            h("a", {"href": f"{PAGES[id]}#{id}"}, calculator(id).title),
        ]
    return listed

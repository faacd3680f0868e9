"""A table of results: quantities with their Kinds, side by side, in every form of an answer."""

import xml.etree.ElementTree as ET

import pytest

from calc import bridge
from calc import units as u
from calc.__main__ import _table_lines
from calc.model import ResultColumn, ResultRow, ResultTable, say
from view.charts import chart

COLUMNS = (
    ResultColumn("hot pressure", u.GAUGE_PRESSURE),
    ResultColumn("shell", u.TEMPERATURE, "degF"),
    ResultColumn("gives up"),
)
ROWS = (
    ResultRow("One <200>", (2.5e5, 293.15, "room on the wall")),
    ResultRow("Two", (None, 283.15, say("{mass} more", mass=(10.0, u.MASS)))),
)


def table(**changes):
    given = {
        "id": "side",
        "title": "Side by side",
        "corner": "option",
        "columns": COLUMNS,
        "rows": ROWS,
        "summary": say("{n} at most.", n=(2.5e5, u.GAUGE_PRESSURE)),
    }
    return ResultTable(**(given | changes))


def drawn(data):
    return ET.fromstring(str(chart("toy", data)))


def texts(element):
    return ["".join(e.itertext()) for e in element]


def test_a_row_has_a_cell_for_each_column():
    with pytest.raises(ValueError, match="2 cells, not 3"):
        table(rows=(ResultRow("One", (2.5e5, 293.15)),))


@pytest.mark.parametrize(
    "cells", [("2 bar", 293.15, "x"), (2e5, 293.15, 7.0), (2, 293.15, "x"), (True, 293.15, "x")]
)
def test_a_cell_is_of_its_columns_kind(cells):
    with pytest.raises(TypeError, match="One"):
        table(rows=(ResultRow("One", cells),))


@pytest.mark.parametrize(
    ("system", "unit", "value", "text", "mass"),
    [("si", "bar g", 2.5, "2.50", "10.0\xa0kg"), ("us", "psig", 36.259, "36.3", "22.0\xa0lb")],
)
def test_cells_stand_in_the_readers_units_and_the_unit_in_the_head(system, unit, value, text, mass):
    data = bridge.chart_data(table(), system)
    assert data["columns"][0] == {"label": "hot pressure", "unit": unit}
    first, missing = (row["cells"][0] for row in data["rows"])
    assert first == {"value": pytest.approx(value, abs=1e-3), "text": text}
    assert missing == {"value": None, "text": "–"}
    assert data["rows"][1]["cells"][2]["text"] == f"{mass} more"


def test_a_pinned_unit_holds_in_both_systems():
    for system in u.SYSTEMS:
        data = bridge.chart_data(table(), system)
        assert data["columns"][1]["unit"] == "°F"
        assert data["rows"][0]["cells"][1]["value"] == pytest.approx(68.0)
    # Three figures are enough of a temperature: 373.4 K is 212.45 degF.
    (row,) = bridge.chart_data(table(rows=(ResultRow("Hot", (2e5, 373.4, "x")),)), "us")["rows"]
    assert row["cells"][1]["text"] == "212"


@pytest.mark.parametrize("bad", [float("nan"), float("inf")])
def test_what_is_not_a_number_never_reaches_a_cell(bad):
    with pytest.raises(ArithmeticError, match="hot pressure"):
        bridge.chart_data(table(rows=(ResultRow("One", (bad, 293.15, "x")),)), "si")


def test_every_cell_has_a_head_in_its_row_and_its_column():
    found = drawn(bridge.chart_data(table(), "si"))
    heads = found.findall(".//thead/tr/th")
    assert texts(heads) == ["option", "hot pressure (bar g)", "shell (°F)", "gives up"]
    assert {h.get("scope") for h in heads} == {"col"}
    rows = found.findall(".//tbody/tr")
    assert [texts(row) for row in rows] == [
        ["One <200>", "2.50", "68.0", "room on the wall"],
        ["Two", "–", "50.0", "10.0\xa0kg more"],
    ]
    assert all(row[0].tag == "th" and row[0].get("scope") == "row" for row in rows)
    assert found.get("data-key") == "side"


def test_a_head_stands_above_its_numbers():
    found = drawn(bridge.chart_data(table(), "si"))
    assert [h.get("class") for h in found.findall(".//thead/tr/th")] == [
        None, "lc-number", "lc-number", None,
    ]  # fmt: skip
    turned = drawn(bridge.chart_data(table(turned=True), "si"))
    assert [h.get("class") for h in turned.findall(".//thead/tr/th")] == [
        None, "lc-number", "lc-number",
    ]  # fmt: skip


def test_a_table_without_rows_still_has_its_heads():
    for turned in (False, True):
        found = drawn(bridge.chart_data(table(rows=(), turned=turned), "si"))
        assert len(found.findall(".//thead/tr/th")) == (1 if turned else 4)


def test_a_turned_table_holds_the_same_cells_with_rows_as_columns():
    found = drawn(bridge.chart_data(table(turned=True), "si"))
    assert texts(found.findall(".//thead/tr/th")) == ["option", "One <200>", "Two"]
    assert [texts(row) for row in found.findall(".//tbody/tr")] == [
        ["hot pressure (bar g)", "2.50", "–"],
        ["shell (°F)", "68.0", "50.0"],
        ["gives up", "room on the wall", "10.0\xa0kg more"],
    ]


def test_a_table_that_is_wider_than_the_page_can_be_scrolled_by_keyboard():
    scroller = drawn(bridge.chart_data(table(), "si")).find("div[@class='lc-scroll']")
    assert scroller.get("tabindex") == "0"
    assert scroller.get("aria-label") == "Side by side"


def test_the_shell_prints_it_line_by_line():
    assert _table_lines(bridge.chart_data(table(), "us"))[:4] == [
        "Side by side: 36.3\xa0psig at most.",
        "  One <200>",
        "    hot pressure: 36.3 psig",
        "    shell: 68.0 °F",
    ]

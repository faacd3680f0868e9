"""A table of results: like things side by side, read by row and column head."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from view.html import Html, h


def result_table(data: Mapping[str, Any]) -> Html:
    """Return a table whose heads name what stands in each row and column.

    The wrapper scrolls where the table is wider than the page, so it can be reached by keyboard.
    """
    names = [row["label"] for row in data["rows"]]
    kinds = [_titled(column) for column in data["columns"]]
    grid = [row["cells"] for row in data["rows"]]
    if data["turned"]:
        names, kinds = kinds, names
        grid = [list(column) for column in zip(*grid, strict=True)] or [[] for _ in names]
    columns = [list(column) for column in zip(*grid, strict=True)] or [[] for _ in kinds]
    headed = zip(kinds, columns, strict=True)
    head = h(
        "tr",
        None,
        h("th", {"scope": "col"}, data["corner"]),
        [h("th", _head(data["turned"] or _counts(column)), kind) for kind, column in headed],
    )
    body = [
        h("tr", None, h("th", {"scope": "row"}, name), [_cell(cell) for cell in cells])
        for name, cells in zip(names, grid, strict=True)
    ]
    scroller = {
        "class": "lc-scroll",
        "tabindex": "0",
        "role": "region",
        "aria-label": data["title"],
    }
    return h(
        "div",
        {"class": "lc-chart lc-chart-table", "data-key": data["id"]},
        h("p", {"class": "lc-table-title"}, h("strong", None, data["title"]), " ", data["summary"]),
        h(
            "div",
            scroller,
            h(
                "table",
                {"class": "lc-side lc-turned" if data["turned"] else "lc-side"},
                h("thead", None, head),
                h("tbody", None, body),
            ),
        ),
    )


def _head(number: bool) -> dict[str, str | None]:
    return {"scope": "col", "class": "lc-number" if number else None}


def _counts(column: Sequence[Mapping[str, Any]]) -> bool:
    """Return whether a column holds numbers, whose head then stands above them."""
    return any(isinstance(cell["value"], float) for cell in column)


def _titled(column: Mapping[str, str]) -> str:
    return f"{column['label']} ({column['unit']})" if column["unit"] else column["label"]


def _cell(cell: Mapping[str, Any]) -> Html:
    value = cell["value"]
    if isinstance(value, float):
        return h("td", {"class": "lc-number", "data-value": repr(value)}, cell["text"])
    return h("td", None if value is not None else {"class": "lc-number"}, cell["text"])

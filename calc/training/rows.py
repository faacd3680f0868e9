"""The results of a class as rows of a table that any spreadsheet reads: one trainee a row."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from calc.files.seen import csv_lines
from calc.training.mistakes import MISTAKES
from calc.training.standing import Group, Item


def csv_text(groups: Sequence[Group]) -> str:
    """Return the table as comma-separated values: one trainee a row, each item in two columns."""
    return csv_lines(row for group in groups if group.standings for row in _rows(group))


def _rows(group: Group) -> Iterator[tuple[str, ...]]:
    task = group.assignment
    head = ["assignment", "title", "trainee", "began", "ended"]
    head += ["points", "of", "percent", "pass", "result", "finished"]
    for n, item in enumerate(group.standings[0].items, 1):
        head += [f"{n}. {item.words}", f"{n}. of"]
    yield (*head, "mistakes")
    for one in group.standings:
        made = one.mistakes()
        mistakes = "; ".join(f"{MISTAKES[id].title} ({made[id]})" for id in sorted(made))
        yield (
            task["id"],
            task["title"],
            one.trainee,
            one.began,
            one.ended,
            str(one.points),
            str(one.most),
            str(one.percent),
            str(one.passing),
            "passed" if one.passed else "not passed",
            "yes" if one.finished else "no",
            *(cell for item in one.items for cell in _item_cells(item)),
            mistakes,
        )


def _item_cells(item: Item) -> tuple[str, str]:
    if item.tasks:
        return str(item.points), str(item.most)
    return ("done" if item.done else "open"), ""

"""The results of a class: a table of trainees and items, and the mistakes it made."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from calc.files.seen import visible
from calc.job.shown import time_words
from calc.training.mistakes import MISTAKES
from calc.training.remarking import STATES
from calc.training.standing import Group, Item, Standing, Task
from view.html import Html, h, html
from view.training.problems import page_address

_NOTHING = "No result could be read. Choose the files that the trainees handed in."


def tables(groups: Sequence[Group], told: Sequence[tuple[str, str]]) -> str:
    """Return a table for each assignment, the first one first, and what is told about files."""
    shown = [group for group in groups if group.standings]
    return html(
        [_group(group, number) for number, group in enumerate(shown, 1)]
        or h("p", {"class": "tc-none"}, _NOTHING),
        _told(told),
    )


def _told(told: Sequence[tuple[str, str]]) -> Html | None:
    if not told:
        return None
    return h(
        "section",
        {"class": "tc-told", "aria-labelledby": "results-told"},
        h("h3", {"id": "results-told"}, "Files to look at"),
        h(
            "ul",
            None,
            [
                h("li", None, h("strong", None, visible(name) or "A file"), ": ", visible(message))
                for name, message in told
            ],
        ),
    )


def _group(group: Group, number: int) -> Html:
    title = visible(group.assignment["title"])
    if number > 1:
        # Two may bear the same title, and a screen reader lists both.
        title = f"Other work, {number}: {title}"
    id = f"results-{number}"
    return h(
        "section",
        {"class": "tc-group", "aria-labelledby": id},
        h("h3", {"id": id}, title),
        h("p", {"class": "tc-sum"}, _sum(group)),
        _table(group, title),
        _mistakes(group, title),
        _single(group),
    )


def _sum(group: Group) -> str:
    people = len(group.standings)
    passed = sum(one.passed for one in group.standings)
    finished = sum(one.finished for one in group.standings)
    which = group.assignment["counts"]
    many = "1 trainee" if people == 1 else f"{people} trainees"
    return (
        f"{many}: {passed} passed, {people - passed} did not; {finished} finished everything. "
        f"Pass: {group.assignment['pass']} percent. Of several tries the {which} one counts. "
        "Every answer was marked again here."
    )


def _table(group: Group, title: str) -> Html:
    items = group.standings[0].items
    heads = [
        h("th", {"scope": "col"}, f"{n}. {visible(item.words)}") for n, item in enumerate(items, 1)
    ]
    head = h(
        "tr",
        None,
        h("th", {"scope": "col"}, "Trainee"),
        heads,
        [h("th", {"scope": "col"}, text) for text in ("Points", "Percent", "Result")],
    )
    return h(
        "div",
        _scroller(f"Table: {title}"),
        h(
            "table",
            {"class": "tc-table"},
            h("caption", None, "Points of each trainee in each item"),
            h("thead", None, head),
            h("tbody", None, [_row(one) for one in group.standings]),
            h("tfoot", None, _foot(group)),
        ),
    )


def _scroller(label: str) -> dict[str, str]:
    """Return what makes a wide table reachable by keyboard."""
    return {"class": "tc-scroll", "tabindex": "0", "role": "region", "aria-label": label}


def _row(one: Standing) -> Html:
    verdict = "passed" if one.passed else "failed"
    return h(
        "tr",
        {"data-result": verdict},
        h("th", {"scope": "row"}, visible(one.trainee)),
        [h("td", {"class": "tc-number"}, _cell(item)) for item in one.items],
        h("td", {"class": "tc-number"}, f"{one.points} of {one.most}"),
        h("td", {"class": "tc-number"}, f"{one.percent} %"),
        h("td", None, *_verdict(one)),
    )


def _verdict(one: Standing) -> tuple[Any, ...]:
    mark, word = ("✓", "passed") if one.passed else ("✕", "not passed")
    open_end = None if one.finished else h("span", {"class": "tc-small"}, "not finished")
    return h("span", {"aria-hidden": "true"}, mark), f" {word} ", open_end


def _cell(item: Item) -> tuple[Any, ...]:
    if not item.tasks:
        mark, word = ("✓", "done") if item.done else ("–", "open")
        return (h("span", {"aria-hidden": "true"}, mark), f" {word}")
    again = max(task.tries for task in item.tasks)
    missing = sum(not task.tries for task in item.tasks)
    small = []
    if missing:
        small.append(f"{missing} not answered")
    if again > 1:
        small.append(f"up to {again} tries")
    note = h("span", {"class": "tc-small"}, ", ".join(small)) if small else None
    return (f"{item.points} of {item.most} ", note)


def _foot(group: Group) -> Html:
    """Return the row of the whole class: what share of the points each item brought."""
    cells = []
    for items in zip(*(one.items for one in group.standings), strict=True):
        if items[0].tasks:
            cells.append(_share(sum(i.points for i in items), sum(i.most for i in items)))
        else:
            cells.append(f"{sum(i.done for i in items)} of {len(items)} done")
    points = sum(one.points for one in group.standings)
    most = sum(one.most for one in group.standings)
    passed = f"{sum(one.passed for one in group.standings)} of {len(group.standings)} passed"
    return h(
        "tr",
        None,
        h("th", {"scope": "row"}, "The class"),
        [h("td", {"class": "tc-number"}, cell) for cell in cells],
        h("td", {"class": "tc-number"}, f"{points} of {most}"),
        h("td", {"class": "tc-number"}, _share(points, most)),
        h("td", None, passed),
    )


def _share(points: int, most: int) -> str:
    return f"{100 * points // most} %" if most else "–"


def _mistakes(group: Group, title: str) -> Html:
    """Return the named mistakes of the class, the most frequent first."""
    people = len(group.standings)
    made = group.mistakes()
    states = group.states()
    rows = [
        h(
            "tr",
            None,
            h("th", {"scope": "row"}, h("a", {"href": page_address(MISTAKES[id].page)}, words)),
            h("td", None, MISTAKES[id].sentence),
            h("td", {"class": "tc-number"}, f"{who} of {people}"),
            h("td", {"class": "tc-number"}, str(times)),
        )
        for id, who, times in made
        for words in (MISTAKES[id].title,)
    ]
    table = h(
        "div",
        {
            "class": "tc-scroll",
            "tabindex": "0",
            "role": "region",
            "aria-label": f"Mistakes: {title}",
        },
        h(
            "table",
            {"class": "tc-table tc-mistakes"},
            h("caption", None, "Mistakes of the class, the most frequent first"),
            h(
                "thead",
                None,
                h(
                    "tr",
                    None,
                    [
                        h("th", {"scope": "col"}, text)
                        for text in ("Mistake", "What it is", "Trainees", "Problems")
                    ],
                ),
            ),
            h("tbody", None, rows),
        ),
    )
    return html(
        h("h4", None, "What to teach again"),
        table if rows else h("p", None, "Nobody made one of the mistakes that have a name."),
        h("p", {"class": "tc-states"}, _states_words(states)),
    )


def _states_words(states: Mapping[str, int]) -> str:
    parts = [f"{words.lower()}: {states[id]}" for id, words in STATES.items() if states[id]]
    return f"All parts of all problems that were answered: {'; '.join(parts)}." if parts else ""


def _single(group: Group) -> Html:
    """Return each trainee's answers, folded away: what to talk about with this one."""
    return h(
        "div",
        {"class": "tc-single"},
        h("h4", None, "Answer by answer"),
        [_one(one) for one in group.standings],
    )


def _one(one: Standing) -> Html:
    blocks = [
        h("div", {"class": "tc-task"}, h("h5", None, f"{n}. {visible(item.words)}"), tasks)
        for n, item in enumerate(one.items, 1)
        if item.tasks
        for tasks in ([_task(task, k) for k, task in enumerate(item.tasks, 1)],)
    ]
    handed_in = time_words(one.ended)
    return h(
        "details",
        {"class": "tc-one"},
        h("summary", None, f"{visible(one.trainee)}, {one.percent} %"),
        h("p", None, f"Handed in: {handed_in}.") if handed_in else None,
        blocks or h("p", None, "There is nothing to mark in this assignment."),
    )


def _task(task: Task, number: int) -> Html:
    head = f"{number}. {visible(task.title)}: {task.points} of {task.most}"
    if not task.tries:
        return h("p", None, f"{head}. Not answered.")
    rows = [
        h(
            "li",
            {"data-state": part.state},
            h("strong", None, f"{part.label}: "),
            _typed(task.answers.get(part.name, {})),
            f" – {STATES.get(part.state, part.state)}, {part.points} of {part.most}. ",
            visible(part.message),
        )
        for part in task.parts
    ]
    rows += [h("li", None, visible(words)) for words in task.words]
    tries = f" ({task.tries} tries)" if task.tries > 1 else ""
    return html(h("p", None, f"{head}{tries}"), h("ul", None, rows))


def _typed(entry: Mapping[str, str]) -> str:
    text = " ".join(filter(None, (entry.get("value", "").strip(), entry.get("unit", "").strip())))
    return f"“{visible(text)}”" if text else "nothing"

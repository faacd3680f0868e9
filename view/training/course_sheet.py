"""An assignment on paper: what to do, in order, with the numbers that are set, and a name."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from calc.files.seen import visible
from calc.job.entered import entries_in_words
from calc.job.shown import time_words
from calc.training import catalogue
from calc.training.places import PLACE
from view.edition import EDITION
from view.html import Html, h

_DEFERRAL = (
    "Practice only. On a real system the adopted code, the authority having jurisdiction, the "
    "licensed trade and the equipment's own instructions come first."
)


def sheet(assignment: Mapping[str, Any], system: str) -> str:
    """Return an assignment as one printed sheet; whoever shows it puts link and code in."""
    return h(
        "article",
        {"class": "ta-sheet", "aria-labelledby": "sheet-title"},
        _head(assignment),
        h("ol", {"class": "ta-path"}, [_item(item, system) for item in assignment["items"]]),
        _rules(assignment),
        h(
            "p",
            {"class": "ta-foot"},
            f"Assignment {assignment['id']}",
            f", handbook edition {EDITION}" if EDITION else None,
            f". {_DEFERRAL}",
        ),
    )


def day_words(day: str) -> str:
    """Return a day as a reader sees it.

    Examples
    --------
    >>> day_words("2026-12-01")
    '1 December 2026'
    """
    return time_words(f"{day}T00:00:00Z").partition(",")[0] if day else ""


def inputs_in_words(inputs: Mapping[str, Any], system: str) -> list[dict[str, Any]]:
    """Return label and text of the numbers that are set on a page, in the units of `system`."""
    entered = {
        "known": True,
        "calculator": inputs["calculator"],
        "system": inputs["system"],
        "recorded_inputs": inputs["values"],
    }
    return entries_in_words(entered, system)


def _head(assignment: Mapping[str, Any]) -> Html:
    due = day_words(assignment["due"])
    note = visible(assignment["note"]).strip()
    return h(
        "header",
        {"class": "ta-head"},
        h(
            "div",
            {"class": "ta-words"},
            h("p", {"class": "ta-kind"}, "Assignment, The Cold Fill Handbook"),
            h("h2", {"class": "ta-title", "id": "sheet-title"}, visible(assignment["title"])),
            h("p", {"class": "ta-due"}, "Due: ", h("strong", None, due)) if due else None,
            h("p", {"class": "ta-note"}, note) if note else None,
            h("p", {"class": "ta-name"}, "Name: ", h("span", {"class": "ta-line"})),
        ),
        h("div", {"class": "ta-code", "data-part": "code"}),
    )


def _item(item: Mapping[str, Any], system: str) -> Html:
    words, more = _WORDS[item["kind"]](item, system)
    return h(
        "li",
        {"class": f"ta-item ta-{item['kind']}"},
        h("span", {"class": "ta-box", "aria-hidden": "true"}, "☐"),
        h("div", None, h("p", {"class": "ta-what"}, words), more),
    )


def _page(item: Mapping[str, Any], system: str) -> tuple[list[Any], Any]:
    place = PLACE[item["page"]]
    words = ["Read ", h("strong", None, place.title), f" ({place.phase})."]
    inputs = item.get("inputs")
    if not inputs:
        return words, None
    shown = inputs_in_words(inputs, system)
    return words, (
        h("p", None, "These numbers are set on the page:"),
        h(
            "dl",
            {"class": "ta-inputs"},
            [
                h(
                    "div",
                    None,
                    h("dt", None, one["label"]),
                    h("dd", None, visible(_joined(one["text"]))),
                )
                for one in shown
            ],
        ),
    )


def _joined(text: str | list[str]) -> str:
    return text if isinstance(text, str) else "; ".join(text)


def _problems(item: Mapping[str, Any], system: str) -> tuple[list[Any], Any]:
    count, level = item["count"], catalogue.level_word(item)
    many = "1 problem" if count == 1 else f"{count} problems"
    title = catalogue.family_title(item["family"])
    return [f"Work out {many}: ", h("strong", None, title), f" (level: {level})."], None


def _drill(item: Mapping[str, Any], system: str) -> tuple[list[Any], Any]:
    title = catalogue.drills()[item["drill"]]
    return ["Find the fault in a drill: ", h("strong", None, title), "."], None


def _checklist(item: Mapping[str, Any], system: str) -> tuple[list[Any], Any]:
    title = PLACE[item["page"]].title
    return ["Go through the steps of ", h("strong", None, title), " and tick each one."], None


_WORDS = {"page": _page, "problems": _problems, "drill": _drill, "checklist": _checklist}


def _rules(assignment: Mapping[str, Any]) -> Html:
    which = "first" if assignment["counts"] == "first" else "last"
    same = "Everybody has the same problems." if assignment["same"] else "Each name has its own."
    return h(
        "p",
        {"class": "ta-rules"},
        f"To pass: {assignment['pass']} of 100. Of several tries the {which} one counts. {same} "
        "At the end, hand in the file or the printed result.",
    )

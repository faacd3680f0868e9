"""Requests about problems: what there is, one problem as a form, its marks, its working."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from calc import bridge, units
from calc.training.marking import Marks, PartMark, mark, units_offered
from calc.training.mistakes import MISTAKES
from calc.training.problem import (
    LEVELS,
    Part,
    Problem,
    families,
    first_shown,
    level_titles,
    problem,
)
from view import answer as answers
from view.html import Html, h, html
from view.training.asking import Answer, Refused, Request, answered

STATES = {
    "right": ("✓", "Right"),
    "follows": ("✓", "Right from your earlier answer"),
    "unit": ("!", "Unit or reference"),
    "mistake": ("✕", "A known mistake"),
    "unsafe": ("✕", "On the dangerous side"),
    "wrong": ("✕", "Not right"),
    "blank": ("–", "No answer"),
    "unreadable": ("?", "Cannot be read"),
}
"""Sign and word of each state: colour is never the only sign."""

LARGEST_SEED = 2**53 - 1


def answer(op: str, request: Request) -> Answer:
    """Answer one request; a refusal comes as ``{"errors": [{"field", "message"}]}``."""
    return answered(_ASKED, op, request)


def wanted(asked: Any) -> Problem:
    """Return the problem that a request names, or raise `Refused`."""
    if not isinstance(asked, Mapping):
        raise Refused("problem", "Choose a kind of problem.")
    one = next((f for f in families() if f.id == asked.get("family")), None)
    if one is None:
        raise Refused("family", "There is no such kind of problem. Choose one of the list.")
    if asked.get("level") not in one.asked:
        raise Refused("level", "This kind of problem has no such level. Choose another.")
    if asked.get("system") not in units.SYSTEMS:
        raise Refused("system", "Choose si or us.")
    seed = asked.get("seed")
    if isinstance(seed, bool) or not isinstance(seed, int) or not 0 <= seed <= LARGEST_SEED:
        raise Refused("seed", "The seed is a whole number from 0 to 9007199254740991.")
    return problem(one.id, asked["level"], seed, asked["system"])


def page_address(page: str) -> str:
    """Return the address of ``page.md#anchor`` from another page of the book.

    Examples
    --------
    >>> page_address("mistakes.md#no-gap")
    '../mistakes/#no-gap'
    """
    name, _, anchor = page.partition("#")
    return f"../{name.removesuffix('.md')}/" + (f"#{anchor}" if anchor else "")


def _list(request: Request) -> Answer:
    return {
        "families": [
            {
                "id": one.id,
                "title": one.title,
                "calculator": one.calculator,
                "page": page_address(one.page),
                "levels": [{"id": i, "title": t} for i, t in level_titles(one).items()],
            }
            for one in families()
        ],
        "levels": [{"id": id, "title": title} for id, title in LEVELS.items()],
        "mistakes": [
            {"id": one.id, "title": one.title, "page": page_address(one.page)}
            for one in MISTAKES.values()
        ],
    }


def _set(request: Request) -> Answer:
    found = wanted(request.get("problem"))
    prefix = str(request.get("prefix") or "problem")
    return {"html": form(found, prefix)}


def form(found: Problem, prefix: str) -> Html:
    """Return a problem as a form; whoever shows it adds the buttons."""
    return h(
        "form",
        {"class": "tr-problem", "novalidate": True, "autocomplete": "off"},
        situation(found),
        h(
            "div",
            {"class": "tr-parts"},
            [_field(part, prefix, n) for n, part in enumerate(found.parts, 1)],
        ),
    )


def situation(found: Problem) -> Html:
    """Return what is told and given."""
    givens = found.givens
    return html(
        h(
            "div",
            {"class": "tr-situation"},
            [h("p", None, text) for text in found.situation],
        ),
        h(
            "dl",
            {"class": "tr-givens"},
            [h("div", None, h("dt", None, label), h("dd", None, text)) for label, text in givens],
        )
        if givens
        else None,
    )


def tolerance_words(part: Part, system: str) -> str:
    """Return how near an answer has to be, in a sentence."""
    share, division = part.tolerance.share, part.tolerance.division
    said = []
    if share:
        said.append(f"{share * 100:g}\xa0%")
    if division:
        said.append(units.difference_text(division, part.kind, system))
    words = " or ".join(said) + (", the larger" if len(said) == 2 else "")
    why = f": {part.tolerance.why}" if part.tolerance.why else ""
    if part.unsafe:
        side = "under" if part.unsafe == "low" else "over"
        return f"Within {words}{why}; never {side}."
    return f"Within {words}{why}."


def _field(part: Part, prefix: str, number: int) -> Html:
    id = f"{prefix}-{part.name}"
    offered = units_offered(part.kind)
    return h(
        "div",
        {"class": "tr-part", "data-part": part.name},
        h("label", {"class": "tr-label", "for": id}, f"{number}. {part.label}"),
        h(
            "div",
            {"class": "tr-entry"},
            h(
                "input",
                {
                    "id": id,
                    "name": part.name,
                    "inputmode": "decimal",
                    "maxlength": "200",
                    "autocomplete": "off",
                    "aria-describedby": f"{id}-error",
                },
            ),
            h(
                "select",
                {
                    "id": f"{id}-unit",
                    "name": f"{part.name}.unit",
                    "aria-label": f"Unit of: {part.label}",
                },
                h("option", {"value": ""}, "unit"),
                [h("option", {"value": text}, text) for text in offered],
            )
            if offered
            else None,
        ),
        h(
            "p",
            {
                "class": "tr-error",
                "id": f"{id}-error",
                "data-error-for": part.name,
                "hidden": True,
            },
        ),
    )


def _mark(request: Request) -> Answer:
    found = wanted(request.get("problem"))
    given = request.get("answers")
    marks = mark(found, given if isinstance(given, Mapping) else {})
    return {"marks": marks_data(marks), "html": feedback(found, marks)}


def marks_data(marks: Marks) -> dict[str, Any]:
    """Return marks as plain data."""
    return {
        "parts": [
            {
                "name": one.name,
                "state": one.state,
                "points": one.points,
                "most": one.most,
                "message": one.message,
                "mistake": one.mistake,
                "step": one.step,
            }
            for one in marks.parts
        ],
        "points": marks.points,
        "most": marks.most,
    }


def feedback(found: Problem, marks: Marks) -> Html:
    """Return the marks as a list, part by part."""
    labels = {part.name: part.label for part in found.parts}
    return h(
        "ol", {"class": "tr-feedback"}, [_feedback(one, labels[one.name]) for one in marks.parts]
    )


def _feedback(one: PartMark, label: str) -> Html:
    sign, word = STATES[one.state]
    named = MISTAKES.get(one.mistake)
    return h(
        "li",
        {"data-part": one.name, "data-state": one.state},
        h("p", {"class": "tr-feedback-label"}, label),
        h(
            "p",
            {"class": "tr-verdict"},
            h("span", {"class": "tr-sign", "aria-hidden": "true"}, sign),
            " ",
            h("strong", None, word),
            f", {one.points} of {one.most}. ",
            one.message,
        ),
        h("p", {"class": "tr-step"}, "The step: ", one.step) if one.step else None,
        h(
            "p",
            {"class": "tr-more"},
            "In the book: ",
            h("a", {"href": page_address(named.page)}, named.title),
        )
        if named
        else None,
    )


def _working(request: Request) -> Answer:
    return {"html": working(wanted(request.get("problem")))}


def value_text(found: Problem, part: Part, value: float) -> str:
    return units.quantity_text(value, part.kind, found.system)


def working(found: Problem) -> Html:
    """Return the answers with their steps, the book's own working, and what mistakes give."""
    run = bridge.run(found.family.calculator, found.calculator_entries, found.system)
    asked = {part.name for part in found.parts}
    return html(
        h(
            "ol",
            {"class": "tr-steps"},
            [
                h(
                    "li",
                    {"data-asked": part.name in asked},
                    h("p", None, h("strong", None, part.label), f". {part.step}"),
                    h(
                        "p",
                        {"class": "tr-answer"},
                        value_text(found, part, found.known[part.name]),
                        h(
                            "span",
                            {"class": "tr-tolerance"},
                            f" ({tolerance_words(part, found.system)})",
                        )
                        if part.name in asked
                        else None,
                    ),
                )
                for part in found.steps
            ],
        ),
        _mistakes(found),
        h(
            "details",
            {"class": "tr-book"},
            h("summary", None, "The working of the calculator"),
            answers.steps(run),
        )
        if run.get("steps")
        else None,
        h(
            "p",
            {"class": "tr-more"},
            "In the book: ",
            h("a", {"href": page_address(found.family.page)}, found.title),
        ),
    )


def mistaken_values(found: Problem) -> list[tuple[Part, float, str]]:
    """Return the part, the value and the mistake's id of what usual mistakes would have given."""
    told = []
    for slip in found.family.slips:
        values = found.slipped(slip)
        name = first_shown(found, values) if values else ""
        if name:
            told.append((found.family.part(name), values[name], slip.mistake))
    return told


def _mistakes(found: Problem) -> Html | None:
    told = mistaken_values(found)
    if not told:
        return None
    return h(
        "div",
        {"class": "tr-scroll"},
        h(
            "table",
            {"class": "tr-mistakes"},
            h("caption", None, "What the usual mistakes would have given"),
            h(
                "thead",
                None,
                h(
                    "tr",
                    None,
                    [h("th", {"scope": "col"}, t) for t in ("Mistake", "Answer to", "It gives")],
                ),
            ),
            h(
                "tbody",
                None,
                [
                    h(
                        "tr",
                        None,
                        h(
                            "th",
                            {"scope": "row"},
                            h(
                                "a",
                                {"href": page_address(MISTAKES[id].page)},
                                MISTAKES[id].title,
                            ),
                        ),
                        h("td", None, part.label),
                        h("td", {"class": "tr-number"}, value_text(found, part, value)),
                    )
                    for part, value, id in told
                ],
            ),
        ),
    )


_ASKED: Mapping[str, Callable[[Request], Answer]] = {
    "problem-list": _list,
    "problem-set": _set,
    "problem-mark": _mark,
    "problem-working": _working,
}

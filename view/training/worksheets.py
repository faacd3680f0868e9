"""Requests about worksheets: a stack of printed sheets from one seed, and the key to them.

One sheet a request, so that a long stack can be stopped. What is on a sheet follows from the
seed, the number of the sheet and what was asked for, and from nothing else.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from calc import units
from calc.files.seen import visible
from calc.training.marking import units_offered
from calc.training.mistakes import MISTAKES
from calc.training.problem import LEVELS, Part, Problem, problem
from calc.training.seeds import seed_of
from view import edition
from view.html import Html, h, html
from view.training.asking import Answer, Refused, Request, answered
from view.training.problems import (
    LARGEST_SEED,
    mistaken_values,
    situation,
    tolerance_words,
    value_text,
    wanted,
)

MOST_SHEETS = 40
MOST_SETS = 12
LONGEST_TITLE = 120
_TITLE = "Practice sheet"
_DEFERRAL = (
    "Practice only. On a real system the adopted code, the authority having jurisdiction, the "
    "licensed trade and the equipment's own instructions come first."
)


@dataclass(frozen=True, slots=True)
class Plan:
    """What a stack of sheets is made of."""

    sets: tuple[tuple[str, str], ...]
    seed: int
    sheets: int
    same: bool
    system: str
    title: str

    def problems(self, number: int) -> list[Problem]:
        """Return the problems of a sheet, counted from 1."""
        return [
            problem(family, level, self.seed_at(number, place), self.system)
            for place, (family, level) in enumerate(self.sets, 1)
        ]

    def seed_at(self, number: int, place: int) -> int:
        """Return the seed of one problem; on equal sheets it is that of the first."""
        family, level = self.sets[place - 1]
        sheet = 1 if self.same else number
        return seed_of("worksheet", self.seed, sheet, place, family, level)


def answer(op: str, request: Request) -> Answer:
    """Answer one request; a refusal comes as ``{"errors": [{"field", "message"}]}``."""
    return answered(_ASKED, op, request)


def plan_of(request: Request) -> Plan:
    """Return the plan that a request asks for, or raise `Refused`."""
    sets = request.get("sets")
    if not isinstance(sets, list) or not 1 <= len(sets) <= MOST_SETS:
        raise Refused("sets", f"Choose 1 to {MOST_SETS} problems for a sheet.")
    system = request.get("system")
    if system not in units.SYSTEMS:
        raise Refused("system", "Choose si or us.")
    seed = _whole(request.get("seed"), "seed", 0, LARGEST_SEED)
    sheets = _whole(request.get("sheets"), "sheets", 1, MOST_SHEETS)
    chosen = []
    for one in sets:
        asked = one if isinstance(one, Mapping) else {}
        found = wanted({**asked, "seed": seed, "system": system})
        chosen.append((found.family.id, found.level))
    title = " ".join(visible(str(request.get("title") or "")).split())
    if len(title) > LONGEST_TITLE:
        raise Refused("title", f"Write a title of at most {LONGEST_TITLE} letters.")
    return Plan(tuple(chosen), seed, sheets, request.get("same") is True, system, title or _TITLE)


def _whole(value: Any, field: str, low: int, high: int) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not low <= value <= high:
        raise Refused(field, f"Enter a whole number from {low} to {high}.")
    return value


def _plan(request: Request) -> Answer:
    plan = plan_of(request)
    parts = sum(len(one.parts) for one in plan.problems(1))
    return {"sheets": plan.sheets, "problems": len(plan.sets), "parts": parts, "title": plan.title}


def _sheet(request: Request) -> Answer:
    plan = plan_of(request)
    return {"html": sheet(plan, _whole(request.get("number"), "number", 1, plan.sheets))}


def _key(request: Request) -> Answer:
    plan = plan_of(request)
    return {"html": key(plan, _whole(request.get("number"), "number", 1, plan.sheets))}


def _numbered(plan: Plan, number: int) -> str:
    if plan.same:
        return "All sheets" if plan.sheets > 1 else "Sheet 1"
    return f"Sheet {number} of {plan.sheets}"


def _traced(plan: Plan, number: int) -> str:
    told = f"{_numbered(plan, number)}. Seed {plan.seed}."
    return f"{told} Handbook edition {edition.EDITION}." if edition.EDITION else told


def sheet(plan: Plan, number: int) -> Html:
    """Return a sheet: name and date, the problems with space to work, boxes for the answers."""
    return h(
        "article",
        {"class": "ws-sheet", "data-number": number},
        h(
            "header",
            {"class": "ws-head"},
            h("h2", {"class": "ws-title"}, plan.title),
            h(
                "p",
                {"class": "ws-lines"},
                [
                    h(
                        "span",
                        {"class": f"ws-fill ws-{name.lower()}"},
                        f"{name} ",
                        h("span", {"class": "ws-line"}),
                    )
                    for name in ("Name", "Date", "Points")
                ],
            ),
            h("p", {"class": "ws-trace"}, _traced(plan, number)),
        ),
        h(
            "ol",
            {"class": "ws-problems"},
            [_problem(one) for one in plan.problems(number)],
        ),
        h("p", {"class": "ws-foot"}, _DEFERRAL),
    )


def _problem(found: Problem) -> Html:
    return h(
        "li",
        {"class": "ws-problem"},
        h("h3", None, found.title),
        situation(found),
        h("div", {"class": "ws-space", "aria-hidden": "true"}),
        h(
            "table",
            {"class": "ws-answers"},
            h("caption", {"class": "ws-hidden"}, f"Answers: {found.title}"),
            h(
                "thead",
                None,
                h(
                    "tr",
                    None,
                    [h("th", {"scope": "col"}, text) for text in ("Asked for", "Number", "Unit")],
                ),
            ),
            h(
                "tbody",
                None,
                [_row(part, letter) for part, letter in zip(found.parts, "abcdef", strict=False)],
            ),
        ),
    )


def _row(part: Part, letter: str) -> Html:
    gauge = part.kind in (units.GAUGE_PRESSURE, units.ABSOLUTE_PRESSURE)
    hint = "gauge or absolute?" if gauge else ""
    boxed = bool(units_offered(part.kind))
    return h(
        "tr",
        None,
        h("th", {"scope": "row"}, f"{letter}) {part.label}"),
        h("td", {"class": "ws-box"}),
        h("td", {"class": "ws-box ws-unit"}, h("small", None, hint) if hint else None)
        if boxed
        else h("td", None, "none"),
    )


def key(plan: Plan, number: int) -> Html:
    """Return the key to a sheet: answers and tolerance, working, what mistakes would have given."""
    return h(
        "article",
        {"class": "ws-key", "data-number": number},
        h(
            "header",
            {"class": "ws-head"},
            h("h2", {"class": "ws-title"}, f"Key: {plan.title}"),
            h("p", {"class": "ws-trace"}, _traced(plan, number)),
            h(
                "p",
                {"class": "ws-points"},
                "Points for each answer: 2 for the number, 1 for unit and gauge or absolute. A "
                "number that follows rightly from an own earlier slip counts as right. A usual "
                "mistake keeps the point for the unit. Any other error gets nothing, and none on "
                "the dangerous side is near enough.",
            ),
        ),
        h(
            "ol",
            {"class": "ws-problems"},
            [_solved(one) for one in plan.problems(number)],
        ),
    )


def _solved(found: Problem) -> Html:
    asked = [part.name for part in found.parts]
    letters = dict(zip(asked, "abcdef", strict=False))
    return h(
        "li",
        {"class": "ws-problem"},
        h("h3", None, f"{found.title} ({LEVELS[found.level].partition(':')[0].lower()})"),
        h(
            "table",
            {"class": "ws-solution"},
            h(
                "thead",
                None,
                h(
                    "tr",
                    None,
                    [
                        h("th", {"scope": "col"}, text)
                        for text in ("Step", "Working", "Answer", "Accepted")
                    ],
                ),
            ),
            h(
                "tbody",
                None,
                [
                    h(
                        "tr",
                        {"data-asked": part.name in letters},
                        h(
                            "th",
                            {"scope": "row"},
                            f"{letters[part.name]}) " if part.name in letters else None,
                            part.label,
                        ),
                        h("td", None, part.step),
                        h(
                            "td",
                            {"class": "ws-value"},
                            value_text(found, part, found.known[part.name]),
                        ),
                        h(
                            "td",
                            None,
                            tolerance_words(part, found.system)
                            if part.name in letters
                            else "not asked for",
                        ),
                    )
                    for part in found.steps
                ],
            ),
        ),
        _mistakes(found, letters),
    )


def _mistakes(found: Problem, letters: Mapping[str, str]) -> Html | None:
    told = mistaken_values(found)
    if not told:
        return None
    return html(
        h("p", {"class": "ws-wrong"}, "What the usual mistakes would have given:"),
        h(
            "ul",
            {"class": "ws-mistakes"},
            [
                h(
                    "li",
                    None,
                    f"{letters[part.name]}) ",
                    h("strong", None, value_text(found, part, value)),
                    f": {MISTAKES[id].title}.",
                )
                for part, value, id in told
            ],
        ),
    )


_ASKED: Mapping[str, Callable[[Request], Answer]] = {
    "worksheet-plan": _plan,
    "worksheet-sheet": _sheet,
    "worksheet-key": _key,
}

"""HTML of the end of a drill: what was wrong, which readings decided it, what it is worth."""

from __future__ import annotations

from typing import Any

from calc.model import as_text
from calc.training.debrief import MOST, Cause, Debrief, Told, title_of
from calc.training.drill import Play
from view.html import Html, h
from view.training.drills import line, took
from view.training.drills import title_of as action


def score(found: Debrief) -> dict[str, Any]:
    """Return the score as plain data."""
    return {
        "points": found.points,
        "most": MOST,
        "parts": [
            {"title": p.title, "points": p.points, "most": p.most, "words": p.words}
            for p in found.parts
        ],
    }


def page(played: Play, found: Debrief, system: str) -> Html:
    """Return the debrief."""
    return h(
        "div",
        {"class": "fd-debriefing"},
        _diagnosis(found),
        _score(found),
        _decided(found, system),
        _standing(found, system),
        _unsafe(played, found, system),
        _time(found, system),
        h("h3", None, "All you did"),
        h("ol", None, *(line(step, system) for step in played.steps)),
    )


def _listed(rows: tuple[str, ...]) -> str:
    titles = [title_of(row) for row in rows]
    return "; ".join(titles) if titles else "nothing"


def _diagnosis(found: Debrief) -> Html:
    right = not found.missed and not found.wrong
    if right and not found.standing:
        verdict = "Right, and your readings show it."
    elif right:
        verdict = (
            "Right, but your readings do not show it yet. Other causes would have given the same "
            "readings, so this was a lucky guess."
        )
    else:
        verdict = "Not right."
    rows = [
        ("What was wrong", _listed(found.truth)),
        ("What you named", _listed(found.named)),
    ]
    if found.missed:
        rows.append(("Missed", _listed(found.missed)))
    if found.wrong:
        rows.append(("Named, but not there", _listed(found.wrong)))
    facts = [h("div", None, h("dt", None, title), h("dd", None, text)) for title, text in rows]
    return h(
        "section",
        {"data-right": "yes" if right else "no"},
        h("h3", None, "What was wrong"),
        h("p", None, h("strong", None, verdict)),
        h("dl", None, *facts),
    )


def _score(found: Debrief) -> Html:
    rows = [
        h(
            "tr",
            None,
            h("th", {"scope": "row"}, part.title),
            h("td", None, _points(part.points, part.most)),
            h("td", None, part.words),
        )
        for part in found.parts
    ]
    rows.append(
        h(
            "tr",
            None,
            h("th", {"scope": "row"}, "Sum"),
            h("td", None, _points(found.points, MOST)),
            h("td", None, "Never below 0."),
        )
    )
    return h(
        "section",
        None,
        h("h3", None, "Your score"),
        _table(("Part", "Points", "Why"), rows),
        h(
            "p",
            None,
            "Half of the points are for the diagnosis, half for the evidence. A fault that you "
            "name and that is not there costs 25, an unsafe act costs 10. Time costs nothing.",
        ),
    )


def _points(points: int, most: int) -> str:
    shown = str(points).replace("-", "\N{MINUS SIGN}")
    return f"{shown} of {most}" if most else shown


def _table(heads: tuple[str, ...], rows: list[Html]) -> Html:
    head = h("tr", None, *(h("th", {"scope": "col"}, text) for text in heads))
    return h("table", None, h("thead", None, head), h("tbody", None, *rows))


def _name(cause: Cause) -> str:
    return f"Only: {cause.title}" if cause.part else cause.title


def _decided(found: Debrief, system: str) -> Html | None:
    ruled = [cause for cause in found.causes if cause.ruled_out]
    if not ruled:
        return None
    ruled.sort(key=lambda cause: cause.ruled_out.step if cause.ruled_out else 0)
    rows = []
    for cause in ruled:
        told = cause.ruled_out
        assert told is not None
        rows.append(
            h(
                "tr",
                None,
                h("th", {"scope": "row"}, _name(cause)),
                h("td", None, f"{told.step + 1}. {action(told.doing, system)}: {told.title}"),
                h("td", None, told.seen),
                h("td", None, told.instead),
            )
        )
    return h(
        "section",
        None,
        h("h3", None, "Which reading ruled out what"),
        h(
            "p",
            None,
            "Your actions were carried out again in the same room with each other cause in it. "
            "This is the first reading that was different there.",
        ),
        _table(("Cause", "Your reading", "You saw", "It would have shown"), rows),
    )


def _standing(found: Debrief, system: str) -> Html | None:
    if not found.standing:
        return None
    return h(
        "section",
        None,
        h("h3", None, "What your readings did not rule out"),
        h("p", None, "Each of these would have shown you the same, as far as you looked."),
        h(
            "ul",
            None,
            *(
                h("li", None, h("strong", None, _name(cause)), ". ", _hint(cause.would, system))
                for cause in found.standing
            ),
        ),
    )


def _hint(would: Told | None, system: str) -> str:
    if would is None:
        return "No reading of a good order tells it apart in this room."
    return (
        f"In a good order this would have told: {action(would.doing, system)}. "
        f"Here {would.title} shows {would.seen}; with that cause it would show {would.instead}."
    )


def _unsafe(played: Play, found: Debrief, system: str) -> Html:
    if not found.unsafe:
        return h(
            "section",
            None,
            h("h3", None, "Unsafe acts"),
            h("p", None, "None. Nobody was put in danger."),
        )
    steps = [(n, played.steps[n]) for n in found.unsafe]
    return h(
        "section",
        None,
        h("h3", None, "Unsafe acts"),
        h(
            "ul",
            None,
            *(
                h(
                    "li",
                    None,
                    h("strong", None, f"{n + 1}. {action(step.doing, system)}"),
                    ". ",
                    as_text(step.reason, system),
                )
                for n, step in steps
            ),
        ),
    )


def _time(found: Debrief, system: str) -> Html:
    return h(
        "section",
        None,
        h("h3", None, "Time"),
        h(
            "p",
            None,
            f"You took {took(found.used)}. A good order takes {took(found.needed)} in this room "
            "to rule out every other cause that can be ruled out:",
        ),
        h("ol", None, *(h("li", None, action(step.doing, system)) for step in found.order)),
    )

"""Whole pieces of a page, for the build: a calculator, the sources, the evidence."""

from __future__ import annotations

from typing import Any

from calc import bridge, evidence, sources
from calc.calculators import CALCULATORS
from calc.calculators import calculator as find
from calc.facts import FACTS
from view import answer as answers
from view.form import form
from view.html import Html, h, html

_SYSTEM = "si"
_ROWS_ON_A_PAGE = 260


def calculator(id: str, system: str = _SYSTEM) -> str:
    """Return the HTML of a calculator with its example computed now."""
    chosen = find(id)
    found = bridge.run(id, {}, system)
    if "errors" in found:
        raise ValueError(f"{id}: the example cannot be computed: {found['errors']}")
    parts = answers.parts(found)
    shell = h(
        "live-calculator",
        {
            "id": id,
            "data-calculator": id,
            "data-state": "static",
            "data-system": system,
            "class": "lc",
        },
        h(
            "div",
            {"class": "lc-head"},
            h("p", {"class": "lc-question"}, chosen.question),
            h(
                "p",
                {"class": "lc-status", "role": "status"},
                "Shown: the worked example, Larch Street Library.",
            ),
        ),
        form(chosen, system),
        h("div", {"class": "lc-glance", "data-part": "glance", "aria-hidden": "true"}, "@glance@"),
        h(
            "p",
            {"class": "lc-stale", "hidden": True},
            "Out of date: these are the results for the last numbers that could be computed.",
        ),
        h(
            "section",
            # The search finds the page by its words and its fields, not by the example's numbers.
            # A section: the theme's indexer stops leaving out at the first inner tag of that name.
            {"class": "lc-answer", "data-search-exclude": True},
            [
                h(
                    "div",
                    {"data-part": name, "aria-live": "polite" if name == "results" else None},
                    f"@{name}@",
                )
                for name in parts
                if name != "glance"
            ],
        ),
        h(
            "p",
            {"class": "lc-confirm"},
            "A result is a check, to be confirmed on site by a licensed person under local code.",
        ),
    )
    text = html(shell)
    for name, part in parts.items():
        text = text.replace(f"@{name}@", part)
    return text


def calculator_index() -> str:
    """Return the list of calculators by the question each answers."""
    return html(
        h(
            "ul",
            {"class": "hb-questions"},
            [
                h(
                    "li",
                    None,
                    h("a", {"href": f"{PAGES[c.id]}#{c.id}"}, c.question),
                    " ",
                    h("span", None, c.summary),
                )
                for c in CALCULATORS
            ],
        )
    )


PAGES = {
    "system-volume": "survey.md",
    "two-reading-check": "find-the-cause.md",
    "pressure-trace": "find-the-cause.md",
    "vessel-size": "size-or-confirm.md",
    "replacement-options": "choose-a-replacement.md",
    "lifting-check": "lift-and-support.md",
    "pre-charge": "set-the-pre-charge.md",
    "relief-margin": "check-the-relief-margin.md",
    "drain-down": "isolate-and-drain.md",
    "domestic-vessel": "domestic-side.md",
    "leak-rate": "leaks-and-make-up.md",
    "cool-down": "make-safe.md",
    "fill-and-purge": "fill-and-vent.md",
    "altitude-and-boiling": "boiling-and-trapped-water.md",
    "glycol-dose": "glycol.md",
    "trapped-water": "boiling-and-trapped-water.md",
    "condensate-neutraliser": "condensate-neutraliser.md",
    "loop-pressures": "loop-and-pump.md",
    "convert": "convert.md",
    "fill-water": "water-quality.md",
}


def book() -> dict[str, dict[str, dict[str, str]]]:
    """Return the titles of calculators, with the file of their page, and the labels of facts."""
    return {
        "calculators": {c.id: {"title": c.title, "page": PAGES[c.id]} for c in CALCULATORS},
        "facts": {name: {"label": fact.label} for name, fact in FACTS.items()},
    }


def all_sources() -> str:
    """Return every source with its status, in the order of their titles."""
    listed = sorted(sources.every(), key=lambda s: s.title.casefold())
    return html(
        h(
            "table",
            {"class": "hb-sources"},
            h(
                "thead",
                None,
                h("tr", None, [h("th", {"scope": "col"}, t) for t in ("Source", "Status")]),
            ),
            h(
                "tbody",
                None,
                [
                    h(
                        "tr",
                        {"id": f"source-{s.key}"},
                        h(
                            "td",
                            None,
                            h("strong", None, s.title),
                            h("br") if s.detail else None,
                            s.detail,
                        ),
                        h("td", None, h("span", {"class": "status"}, s.status)),
                    )
                    for s in listed
                ],
            ),
        )
    )


def evidence_index() -> str:
    """Return one line for each subject, with its count and what to press to run all rows again."""
    rows = evidence.rows()
    lines = [_evidence_line(subject, group) for subject, group in _grouped(rows)]
    heads = ("Subject", "Rows", "Found")
    table = h("table", None, _head(heads), h("tbody", None, lines))
    return html(
        h("p", {"class": "hb-evidence-count"}, _count_text(rows)),
        _evidence_frame(
            "Run every row on this device", len(rows), h("div", {"class": "lc-scroll"}, table)
        ),
    )


def evidence_table(group: str) -> str:
    """Return every row of one group of subjects, with what to press to run them again."""
    grouped = dict(_grouped(evidence.rows()))
    heads = ("What is computed", "From", "Printed", "Found", "Source and status")
    tables, count = [], 0
    for subject in dict(evidence_groups())[group]:
        rows = grouped[subject]
        count += len(rows)
        body = h("tbody", None, [_evidence_row(n, row) for n, row in rows])
        tables.append(h("h2", {"id": subject}, subject_title(subject)))
        tables.append(h("div", {"class": "lc-scroll"}, h("table", None, _head(heads), body)))
    return _evidence_frame("Run these rows on this device", count, tables)


def evidence_groups() -> list[tuple[str, tuple[str, ...]]]:
    """Return pages of subjects: a name and its subjects, so that no page has too many rows."""
    found: list[list[str]] = []
    room = 0
    for subject, rows in _grouped(evidence.rows()):
        if room < len(rows):
            found.append([])
            room = _ROWS_ON_A_PAGE
        found[-1].append(subject)
        room -= len(rows)
    return [(f"{subjects[0]}-to-{subjects[-1]}", tuple(subjects)) for subjects in found]


def evidence_title(group: str) -> str:
    """Return the title of a page of subjects."""
    subjects = dict(evidence_groups())[group]
    return f"{subject_title(subjects[0])} to {subject_title(subjects[-1]).lower()}"


def subject_title(subject: str) -> str:
    return subject.replace("-", " ").capitalize()


def _head(heads: tuple[str, ...]) -> Html:
    return h("thead", None, h("tr", None, [h("th", {"scope": "col"}, text) for text in heads]))


def _evidence_frame(press: str, count: int, tables: Html | list[Html]) -> Html:
    button = {"type": "button", "data-action": "rerun-evidence", "disabled": True}
    return h(
        "evidence-table",
        {"class": "hb-evidence", "data-evidence": count},
        h(
            "div",
            {"class": "hb-evidence-bar"},
            h("button", button, press),
            h(
                "p",
                {"role": "status", "class": "hb-evidence-status"},
                "Shown: the values found when this edition was built.",
            ),
        ),
        tables,
    )


def _evidence_line(subject: str, rows: list[tuple[int, dict[str, Any]]]) -> Html:
    agree = sum(1 for number, _ in rows if evidence.rerun(number)["agrees"])
    stated = sum(1 for _, row in rows if row.get("disagrees"))
    text = f"{agree} agree" + (f", {stated} disagree as stated" if stated else "")
    group = next(name for name, subjects in evidence_groups() if subject in subjects)
    link = h("a", {"href": f"how-checked/{group}.md#{subject}"}, subject_title(subject))
    return h(
        "tr",
        {"data-rows": " ".join(str(number) for number, _ in rows)},
        h("td", None, link),
        h("td", None, str(len(rows))),
        h("td", None, h("output", {"name": f"subject-{subject}"}, text)),
    )


def _grouped(rows: list[dict[str, Any]]) -> list[tuple[str, list[tuple[int, dict[str, Any]]]]]:
    found: dict[str, list] = {}
    for number, row in enumerate(rows):
        found.setdefault(row["subject"], []).append((number, row))
    return list(found.items())


def _count_text(rows: list[dict[str, Any]]) -> str:
    by_status: dict[str, int] = {}
    for row in rows:
        by_status[row["status"]] = by_status.get(row["status"], 0) + 1
    split = ", ".join(f"{count} {status}" for status, count in sorted(by_status.items()))
    odd = sum(1 for row in rows if row.get("disagrees"))
    kept = f" {odd} disagree and are kept, each with the reason." if odd else ""
    return f"{len(rows)} rows: {split}.{kept}"


def _evidence_row(number: int, row: dict[str, Any]) -> Html:
    found = evidence.rerun(number)
    verdict = (
        "agrees"
        if found["agrees"]
        else "disagrees, as stated"
        if row.get("disagrees")
        else "DISAGREES"
    )
    inputs = "; ".join(f"{name.replace('_', ' ')} {value}" for name, value in row["inputs"].items())
    what = row.get("calculator") or row["function"].removeprefix("calc.")
    if row.get("output"):
        what += f", {row['output'].replace('_', ' ')}"
    return h(
        "tr",
        {"data-row": number, "data-agrees": "yes" if found["agrees"] else "no"},
        h("td", None, h("code", None, what)),
        h("td", {"class": "hb-inputs"}, inputs),
        h("td", None, row["printed"]),
        h(
            "td",
            None,
            h("output", {"name": f"row-{number}"}, found["found"]),
            " ",
            h("span", {"class": "hb-verdict"}, verdict),
        ),
        h(
            "td",
            None,
            row["source"],
            " ",
            h("span", {"class": "status"}, row["status"]),
            h("br") if row.get("why") else None,
            row.get("why"),
            h("br") if row.get("disagrees") else None,
            row.get("disagrees"),
        ),
    )

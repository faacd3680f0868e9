"""The sheets on which an assessor watches a trainee, made from the procedure pages' own steps.

What is to be seen at each step stands in docs/observed.toml. A step without a criterion and a
criterion without a step are errors: the sheets cannot fall behind the pages. Stop points need no
criterion of their own: at each the same is to be seen.
"""

import tomllib
import xml.etree.ElementTree as ET

STOP = "Halts here unasked, and can say why each point is met."


class ObservedProblem(Exception):
    """A sheet that does not fit its page, with how to mend it."""


def read(path):
    """Return (page name to its sheet, page name to the reason it has none)."""
    data = tomllib.loads(path.read_text(encoding="utf-8"))
    without = data.pop("without", {})
    for page, sheet in data.items():
        if set(sheet) != {"task", "critical", "steps"}:
            raise ObservedProblem(f"docs/observed.toml: [{page}] needs task, critical and steps.")
        twice = sheet["critical"].keys() & sheet["steps"].keys()
        if twice:
            raise ObservedProblem(
                f"docs/observed.toml: [{page}] has {', '.join(sorted(twice))} as critical and as "
                "not critical. Leave it in one of the two."
            )
    return data, without


def rows(page, marks, sheet):
    """Return (name, words, criterion, whether critical, kind) of each step and stop, in order."""
    told = {**sheet["critical"], **sheet["steps"]}
    steps = {mark.name for mark in marks if mark.kind == "step"}
    lacking, stale = steps - told.keys(), told.keys() - steps
    if lacking:
        raise ObservedProblem(
            f"docs/observed.toml: [{page}] says nothing of {', '.join(sorted(lacking))}. "
            "Write what is to be seen at each step."
        )
    if stale:
        raise ObservedProblem(
            f"docs/observed.toml: [{page}] speaks of {', '.join(sorted(stale))}, which is no step "
            f"of docs/{page}.md. Take it out, or name the step as the page does."
        )
    for mark in marks:
        if mark.kind == "stop":
            yield mark.name, mark.words, STOP, True, "stop"
        else:
            critical = mark.name in sheet["critical"]
            yield mark.name, mark.words, told[mark.name], critical, "step"


def check_pages(sheets, without, pages):
    """Raise unless every procedure page has a sheet, or a reason why not; not both."""
    for page in pages:
        if (page in sheets) == (page in without):
            raise ObservedProblem(
                f"docs/observed.toml: docs/{page}.md needs either a sheet or a reason under "
                "[without], one of the two."
            )
    unknown = (sheets.keys() | without.keys()) - set(pages)
    if unknown:
        raise ObservedProblem(
            f"docs/observed.toml names {', '.join(sorted(unknown))}, which is no procedure page."
        )


def page_html(pages, sheets):
    """Return all sheets as HTML; `pages` are (name, title, address, marks) in their order."""
    root = ET.Element("div", {"class": "ob-sheets"})
    for name, title, address, marks in pages:
        if name in sheets:
            root.append(_sheet(name, title, address, marks, sheets[name]))
    return ET.tostring(root, encoding="unicode", method="html")


def _sheet(name, title, address, marks, sheet):
    section = _el(
        "section",
        {
            "class": "ob-sheet",
            "data-search-exclude": "",
            "data-page": name,
            "id": f"observe-{name}",
        },
    )
    section.append(_el("h2", {}, title))
    task = _el("p", {"class": "ob-task"}, f"Task: {sheet['task']} ")
    task.append(_el("a", {"href": address}, "The page."))
    section.append(task)
    head = _el("p", {"class": "ob-fields"})
    for label in ("Trainee", "Place", "Date"):
        field = _el("span", {"class": "ob-field", "data-field": label.lower()}, f"{label} ")
        field.append(_el("span", {"class": "ob-line"}))
        head.append(field)
    section.append(head)
    scroll = _el("div", {"class": "ob-scroll"})
    table = _el("table", {"class": "ob-table"})
    table.append(_el("caption", {}, f"Observed: {title}"))
    heads = _el("tr", {})
    for words in ("Step", "What is to be seen", "Prompt level"):
        heads.append(_el("th", {"scope": "col"}, words))
    thead = _el("thead", {})
    thead.append(heads)
    table.append(thead)
    body = _el("tbody", {})
    for number, (key, words, criterion, critical, kind) in enumerate(
        rows(name, marks, sheet), start=1
    ):
        row = _el(
            "tr", {"data-row": key, "data-kind": kind, "data-critical": str(critical).lower()}
        )
        lead = _el("th", {"scope": "row"}, f"{number}. " + words.rstrip(",:"))
        if critical:
            lead.append(_el("strong", {"class": "ob-critical"}, "Critical"))
        row.append(lead)
        row.append(_el("td", {}, criterion))
        row.append(_el("td", {"class": "ob-level"}, "A · R · T · S · –"))
        body.append(row)
    table.append(body)
    scroll.append(table)
    section.append(scroll)
    section.append(_el("div", {"class": "ob-result"}))
    sign = _el("p", {"class": "ob-fields ob-sign"})
    for label in ("Assessor", "Signature", "Date"):
        field = _el("span", {"class": "ob-field"}, f"{label} ")
        field.append(_el("span", {"class": "ob-line"}))
        sign.append(field)
    section.append(sign)
    return section


def _el(tag, attributes, text=None):
    element = ET.Element(tag, attributes)
    element.text = text
    return element

"""The kept figures as tables of the page that tells them."""

import json
from html import escape


def tables(path):
    """Return the tables of the kept run as HTML, with the day and the machine."""
    found = json.loads(path.read_text(encoding="utf-8"))
    machine = "".join(
        f"<li>{escape(name.replace('_', ' '))}: {escape(str(fact))}</li>"
        for name, fact in found["machine"].items()
    )
    parts = [_table(*each) for each in found["tables"] if each[2]]
    return (
        f"<p>Measured on {escape(found['when'])}, on this machine:</p><ul>{machine}</ul>"
        + f"<div data-search-exclude>{''.join(parts)}</div>"
    )


def _table(title, head, rows):
    top = "".join(f"<th scope='col'>{escape(name)}</th>" for name in head)
    body = "".join(
        "<tr>"
        + f"<th scope='row'>{escape(row[0])}</th>"
        + "".join(f"<td>{escape(cell)}</td>" for cell in row[1:])
        + "</tr>"
        for row in rows
    )
    return (
        f"<div class='hb-wide' tabindex='0' role='region' aria-label='{escape(title)}'>"
        f"<table class='hb-figures'><caption>{escape(title)}</caption>"
        f"<thead><tr>{top}</tr></thead><tbody>{body}</tbody></table></div>"
    )

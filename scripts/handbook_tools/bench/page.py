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
    missing = ", ".join(found["missing"])
    less = f"<p>Not measured in this run: {escape(missing)}.</p>" if missing else ""
    return (
        f"<p>Measured on {escape(found['when'])}, on this machine:</p><ul>{machine}</ul>{less}"
        + f"<div data-search-exclude>{''.join(parts)}</div>"
    )


_STATES = ("kept", "BROKEN")


def _cell(kind, text, words):
    told = f"<strong>{escape(text)}</strong>" if text == "BROKEN" else escape(text)
    # Words read from the left, figures end in one line.
    return f"<{kind}{' class=hb-words' if words else ''}>{told}</{kind.split()[0]}>"


def _table(title, head, rows):
    words = [
        all(text[:1].isalpha() and text not in ("none", *_STATES) for text in column)
        for column in zip(*rows, strict=True)
    ]
    top = "".join(map(_cell, ["th scope='col'"] * len(head), head, words))
    kinds = ["th scope='row'"] + ["td"] * (len(head) - 1)
    body = "".join(f"<tr>{''.join(map(_cell, kinds, row, words))}</tr>" for row in rows)
    return (
        f"<div class='hb-wide' tabindex='0' role='region' aria-label='{escape(title)}'>"
        f"<table class='hb-figures'><caption>{escape(title)}</caption>"
        f"<thead><tr>{top}</tr></thead><tbody>{body}</tbody></table></div>"
    )

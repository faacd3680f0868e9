"""The score as the page on checking shows it."""

import json
from html import escape

from ..base import ROOT

SCORE = ROOT / "tests" / "mutation" / "score.json"


def table():
    """Return the kept score as an HTML table."""
    kept = json.loads(SCORE.read_text(encoding="utf-8"))
    rows = []
    # Out of the search: so many figures can upset the automaton of its index.
    for package, row in kept["packages"].items():
        if not row["tried"]:
            continue
        low, high = (f"{100 * bound:.0f}" for bound in row["between"])
        cells = (row["all"], row["tried"], row["killed"], row["explained"], row["survived"])
        rows.append(
            f'<tr><th scope="row">{escape(package)}</th>'
            + "".join(f"<td>{cell}</td>" for cell in cells)
            + f"<td>{100 * row['score']:.0f} %, between {low} and {high} %</td></tr>"
        )
    heads = ("Part", "Changes", "Tried", "Seen", "Explained", "Not seen", "Share seen")
    return (
        "<table data-search-exclude><caption>A random sample of changes, seed "
        f"{kept['seed']}; the span holds with 95 % of certainty</caption><thead><tr>"
        + "".join(f'<th scope="col">{head}</th>' for head in heads)
        + f"</tr></thead><tbody>{''.join(rows)}</tbody></table>"
    )

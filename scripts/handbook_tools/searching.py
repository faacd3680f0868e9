"""The search's index is made when a reader turns to the search, and not on every page.

The theme makes it as soon as a page is there, for a second of work that a tablet needs for the
calculator. Its worker is started through one of our own, which holds back what it is told, and
fetches the words of the book itself when it is needed (docs/assets/js/search-later.js).
"""

import json
import re
from pathlib import Path

LATER = "assets/js/search-later.js"
WORDS = "search/words.json"
INDEX = "search/search_index.json"
_WORKER = re.compile(r'("search": ")([^"]*)assets/javascripts/workers/search\.\w+\.min\.js(")')


class SearchProblem(Exception):
    """The theme is not as we know it."""


def with_worker(html, where):
    """Return a page whose search starts our worker, which finds the theme's by its settings."""
    if "workers/search." not in html:
        return html
    changed, count = _WORKER.subn(rf"\1\2{LATER}\3", html)
    if count != 1:
        raise SearchProblem(f"{where} names the search's worker {count} times, not once.")
    return changed


def split(site):
    """Take the words out of the index that the theme fetches on every page."""
    path = Path(site) / INDEX
    if not path.is_file():
        return
    index = json.loads(path.read_text(encoding="utf-8"))
    workers = sorted(Path(site, "assets", "javascripts", "workers").glob("search.*.min.js"))
    if len(workers) != 1:
        raise SearchProblem(f"The theme has {len(workers)} workers for its search, not one.")
    settings = {"config": {**index["config"], "worker": workers[0].name}, "docs": []}
    for name, found in ((WORDS, index["docs"]), (INDEX, settings)):
        text = json.dumps(found, ensure_ascii=False, separators=(",", ":"))
        (Path(site) / name).write_text(text, encoding="utf-8")

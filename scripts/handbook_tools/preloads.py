"""Names the modules of a page in the page, so that the browser asks for all of them at once.

A module is else asked for only when the one that imports it has come: four ways to the host, one
after another.
"""

import re
from functools import cache
from pathlib import Path
from posixpath import normpath

ENTRY = "js/handbook.mjs"
# Fetched by every page once it stands.
ALWAYS = ("js/offline-keeping.mjs",)
# On every page, but empty where no assignment is open, and then not fetched.
SELDOM = {"path-bar"}
_STATIC = re.compile(r'^\s*(?:import|export)\b[^;]*?\bfrom\s+"(\.[^"]+)";', re.M | re.S)
_ELEMENT = re.compile(
    r'(?:onPage|teach)\(\s*"([\w-]+)",.*?import\("(\./[\w-]+\.mjs)"\)', flags=re.S
)
_EARLY = re.compile(r'<script src="([^"]*)assets/js/engine-early\.js"></script>')


def modules(assets, html):
    """Return the modules that a page needs, as names below its folder of assets."""
    assets = Path(assets)
    entry = (assets / ENTRY).read_text(encoding="utf-8")
    roots = [ENTRY, *ALWAYS]
    for element, module in _ELEMENT.findall(entry):
        if f"<{element}" in html and element not in SELDOM:
            roots.append(normpath(f"js/{module}"))
    found = []
    while roots:
        name = roots.pop(0)
        if name not in found:
            found.append(name)
            roots += _imported(assets, name)
    return found


@cache
def _imported(assets, name):
    path = assets / name
    # What the build adds from packages stands in no source folder, and imports nothing.
    text = path.read_text(encoding="utf-8") if path.is_file() else ""
    return [normpath(f"{Path(name).parent.as_posix()}/{each}") for each in _STATIC.findall(text)]


def with_preloads(html, assets):
    """Return a page with the links. None is urgent: what is shown is fetched first."""
    found = _EARLY.search(html)
    if not found or not (Path(assets) / ENTRY).is_file():
        return html
    links = "".join(
        f'<link rel="modulepreload" fetchpriority="low" href="{found[1]}assets/{name}">\n'
        for name in modules(assets, html)
    )
    return html[: found.start()] + links + html[found.start() :]

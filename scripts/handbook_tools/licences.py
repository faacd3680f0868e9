"""What of others the built site carries, read from the packages: no list to grow stale."""

import importlib.metadata
import json
import re
from dataclasses import dataclass
from html import escape
from pathlib import Path

from . import environment

NODE = "node_modules"


class LicenceProblem(Exception):
    """A package that says nothing of its licence, with how to mend it."""


@dataclass(frozen=True, slots=True)
class Part:
    """Something of others in the site: name, version, licence, its use here, its licence's text."""

    name: str
    version: str
    licence: str
    use: str
    text: str = ""


# Written "BSD" by two packages, whose text is that of the three clauses.
_SAID = {"BSD": "BSD-3-Clause"}
PYTHON = {
    "pint": "units",
    "flexparser": "reads Pint's definitions",
    "flexcache": "keeps Pint's definitions",
    "platformdirs": "asked for by Pint",
    "typing_extensions": "asked for by Pint",
}
NPM = {
    "pyodide": "Python in the browser; brings CPython (PSF-2.0) and Emscripten's runtime (MIT)",
    "workbox-build": "writes the service worker; parts of Workbox stand in it",
    "workbox-window": "tells the page of a new edition",
    "idb": "the browser's database",
    "uqr": "square codes",
    "fflate": "packs a course",
    "@fontsource-variable/atkinson-hyperlegible-next": "the typeface",
}


# Of others may go out what binds nobody's own work, and is content with being named.
MAY_GO_OUT = frozenset(
    (
        "0BSD",
        "Apache-2.0",
        "BSD-2-Clause",
        "BSD-3-Clause",
        "ISC",
        "MIT",
        "MPL-2.0",
        "OFL-1.1",
        "PSF-2.0",
    )
)
# Pyodide's package brings no text of its licence. Two others of the lock bring the same texts.
_TEXT_OF = {"pyodide": ("pathspec", "typing_extensions")}


def may_go_out(licence):
    """Return whether every part of a licence's name is one that may go out."""
    return all(name in MAY_GO_OUT for name in licence.split(" AND "))


def said_by(package):
    """Return what a Python package says of its licence: its expression, its class, its words."""
    told = package.metadata
    classes = [
        name.rpartition(" :: ")[2]
        for name in told.get_all("Classifier") or ()
        if name.startswith("License ::")
    ]
    words = (told.get("License") or "").strip().partition("\n")[0][:40]
    return told.get("License-Expression") or (classes[0] if classes else words)


def python_part(name, use):
    """Return an installed Python package as a Part."""
    found = _installed(name)
    said = found.metadata.get("License-Expression") or found.metadata.get("License") or ""
    return _sound(Part(name, found.version, _SAID.get(said, said), use, _text_of(found)))


def _installed(name):
    place = [str(environment.site_packages())]
    found = next(iter(importlib.metadata.distributions(name=name, path=place)), None)
    if found is None:
        raise LicenceProblem(f"{name} is not installed. Remove .handbook and run this again.")
    return found


def _text_of(package):
    """Return the texts of licences that came with a Python package."""
    return "\n".join(
        path.read_text(encoding="utf-8")
        for file in package.files or ()
        if re.search(r"LICEN[SC]E", file.name, flags=re.I)
        for path in [Path(str(package.locate_file(file)))]
        if path.is_file()
    )


def npm_part(name, use, root):
    """Return an installed npm package as a Part."""
    folder = root / NODE / name
    told = json.loads((folder / "package.json").read_text(encoding="utf-8"))
    texts = [
        path.read_text(encoding="utf-8")
        for path in sorted(folder.glob("LICEN[SC]E*"))
        if path.is_file()
    ]
    texts += [_text_of(_installed(other)) for other in _TEXT_OF.get(name, ())]
    return _sound(Part(name, told["version"], told.get("license", ""), use, "\n".join(texts)))


def _sound(part):
    if not re.fullmatch(r"[A-Za-z0-9.+-]{2,40}( (AND|OR|WITH) [A-Za-z0-9.+-]+)*", part.licence):
        raise LicenceProblem(
            f"{part.name} {part.version} names no licence that can be shown: {part.licence[:60]!r}."
            " Look into its files, and put it into scripts/handbook_tools/licences.py."
        )
    return part


def parts(root):
    """Return everything of others that goes out with the site."""
    found = [python_part(name, use) for name, use in PYTHON.items()]
    found += [npm_part(name, use, root) for name, use in NPM.items()]
    found.append(python_part("mkdocs-material", "the theme, with its scripts, styles and icons"))
    return sorted(found, key=lambda part: part.name.lstrip("@").lower())


def page(root):
    """Return the table of all parts and the texts of their licences, as HTML."""
    found = parts(root)
    rows = "".join(
        f"<tr><th scope='row'>{escape(p.name)}</th><td>{escape(p.version)}</td>"
        f"<td>{escape(p.licence)}</td><td>{escape(p.use)}</td></tr>"
        for p in found
    )
    texts = "".join(
        f"<details><summary>{escape(p.name)}: {escape(p.licence)}</summary>"
        f"<pre>{escape(p.text.strip())}</pre></details>"
        for p in found
        if p.text.strip()
    )
    return (
        "<table><thead><tr><th>Part</th><th>Version</th><th>Licence</th><th>For</th></tr></thead>"
        f"<tbody>{rows}</tbody></table><div data-search-exclude>{texts}</div>"
    )


def notices(root):
    """Return the same as text, to lie beside what is handed on."""
    pieces = [
        "The Cold Fill Handbook: code under the MIT licence, text and figures under CC BY 4.0.\n"
        "What follows is the work of others that goes out with it, and the texts of its licences.\n"
    ]
    for part in parts(root):
        title = f"{part.name} {part.version}: {part.licence}, for: {part.use}"
        pieces.append(f"{title}\n{'-' * len(title)}\n\n{part.text.strip()}\n")
    return "\n\n".join(pieces)

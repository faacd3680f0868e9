"""What of others the built site carries, read from the packages: no list to grow stale."""

import importlib.metadata
import json
import re
from dataclasses import dataclass
from html import escape
from pathlib import Path

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


def python_part(name, use):
    """Return an installed Python package as a Part."""
    found = importlib.metadata.distribution(name)
    said = found.metadata.get("License-Expression") or found.metadata.get("License") or ""
    texts = [
        path.read_text(encoding="utf-8")
        for file in found.files or ()
        if re.search(r"LICEN[SC]E", file.name, flags=re.I)
        for path in [Path(str(found.locate_file(file)))]
        if path.is_file()
    ]
    return _sound(Part(name, found.version, _SAID.get(said, said), use, "\n".join(texts)))


def npm_part(name, use, root):
    """Return an installed npm package as a Part."""
    folder = root / NODE / name
    told = json.loads((folder / "package.json").read_text(encoding="utf-8"))
    texts = [
        path.read_text(encoding="utf-8")
        for path in sorted(folder.glob("LICEN[SC]E*"))
        if path.is_file()
    ]
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

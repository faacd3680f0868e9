"""Cut the typeface into the files that the book's style sheet names.

    python -m handbook_tools.typeface FONT STYLE_SHEET FOLDER

Each `@font-face` of the sheet says which weights and which characters its file holds, so a browser
fetches the accents only for a page that has one. What the typeface draws must be in some file, and
a file must draw all it says: else letters would go missing, or a file be fetched for nothing.
"""

import io
import re
import sys
from dataclasses import dataclass
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont
from fontTools.varLib import instancer

from .base import Problem

_FACE = re.compile(r"@font-face\s*\{([^}]*)\}")
_FILE = re.compile(r'url\("\.\./fonts/([\w-]+\.woff2)"\)')
_WEIGHTS = re.compile(r"font-weight:\s*(\d+)\s+(\d+)\s*;")
_RANGE = re.compile(r"unicode-range:\s*([^;]+);")
_PART = re.compile(r"U\+([0-9A-F]+)(?:-([0-9A-F]+))?", re.IGNORECASE)


@dataclass(frozen=True)
class Face:
    """A file of the typeface: its name, its lightest and heaviest weight, its characters."""

    name: str
    weights: tuple
    characters: frozenset


def faces(sheet):
    """Return the faces that a style sheet takes from the folder of fonts."""
    found = []
    for body in _FACE.findall(sheet):
        named = _FILE.search(body)
        if not named:
            continue
        weights, told = _WEIGHTS.search(body), _RANGE.search(body)
        if not weights or not told:
            raise Problem(f"{named[1]}: its @font-face lacks font-weight or unicode-range.")
        characters = set()
        for first, last in _PART.findall(told[1]):
            characters.update(range(int(first, 16), int(last or first, 16) + 1))
        found.append(Face(named[1], tuple(map(int, weights.groups())), frozenset(characters)))
    return found


def _agree(told, drawn):
    """Refuse faces that do not share out exactly what the typeface draws."""
    seen = set()
    for face in told:
        for what, wrong in (
            ("are not in the typeface", face.characters - drawn),
            ("are in another file already", face.characters & seen),
        ):
            if wrong:
                raise Problem(f"{face.name}: {_named(wrong)} {what}. Mend its unicode-range.")
        seen |= face.characters
    if left := drawn - seen:
        raise Problem(f"No file of the typeface holds {_named(left)}. Add it to a unicode-range.")


def _named(characters):
    return ", ".join(f"U+{each:X}" for each in sorted(characters))


def cut(font, face):
    """Return the file of one face: `font` is the whole typeface, as bytes."""
    options = subset.Options(layout_features=["*"], recalc_timestamp=False, name_IDs=["*"])
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=face.characters)
    whole = TTFont(io.BytesIO(font), recalcTimestamp=False)
    cutter.subset(whole)
    # The instancer needs what is left to be read anew.
    whole.flavor = None
    small = io.BytesIO()
    whole.save(small)
    least, most = face.weights
    read = TTFont(io.BytesIO(small.getvalue()), recalcTimestamp=False)
    limited = instancer.instantiateVariableFont(read, {"wght": (least, most)})
    limited.flavor = "woff2"
    out = io.BytesIO()
    limited.save(out)
    return out.getvalue()


def main(font, sheet, folder):
    whole = Path(font).read_bytes()
    told = faces(Path(sheet).read_text(encoding="utf-8"))
    _agree(told, frozenset(TTFont(io.BytesIO(whole)).getBestCmap()))
    for face in told:
        (Path(folder) / face.name).write_bytes(cut(whole, face))


if __name__ == "__main__":
    try:
        main(*sys.argv[1:])
    except Problem as problem:
        sys.exit(str(problem))

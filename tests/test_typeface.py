"""The typeface is shared out among its files as the style sheet says."""

import html
import io
import re
import sys
from pathlib import Path

import pytest

if sys.platform == "emscripten":
    pytest.skip("the typeface is cut natively only", allow_module_level=True)

from fontTools.ttLib import TTFont
from handbook_tools import building, typeface
from handbook_tools.base import NODE_MODULES, Problem

ROOT = Path(__file__).resolve().parents[1]
CSS = ROOT / "docs" / "assets" / "css"
FACES = typeface.faces((CSS / "handbook.css").read_text(encoding="utf-8"))

pytestmark = pytest.mark.native


def _face(name="a.woff2", weights=(400, 800), characters=(65,)):
    return typeface.Face(name, weights, frozenset(characters))


def test_a_sheet_names_its_files_weights_and_characters():
    sheet = """
    @font-face { font-family: "A"; src: url("../fonts/one.woff2") format("woff2");
      font-weight: 300 700; unicode-range: U+41-43, U+e9; }
    @font-face { font-family: "B"; src: local("Arial"); }
    """
    assert typeface.faces(sheet) == [_face("one.woff2", (300, 700), {0x41, 0x42, 0x43, 0xE9})]


@pytest.mark.parametrize("line", ["font-weight: 400 800;", "unicode-range: U+41;"])
def test_a_file_without_weights_or_characters_is_refused(line):
    with pytest.raises(Problem, match=r"one\.woff2"):
        typeface.faces(f'@font-face {{ src: url("../fonts/one.woff2"); {line} }}')


@pytest.mark.parametrize(
    ("told", "words"),
    [
        ([_face(characters={65, 66, 67})], "U+43 are not in the typeface"),
        ([_face(characters={65, 66}), _face("b.woff2", characters={66})], "in another file"),
        ([_face()], "No file of the typeface holds U+42"),
    ],
)
def test_characters_that_are_lost_doubled_or_not_there_are_refused(told, words):
    with pytest.raises(Problem, match=re.escape(words)):
        typeface._agree(told, frozenset({65, 66}))


def test_each_file_draws_what_the_sheet_says_as_wide_as_the_whole_does():
    font = (NODE_MODULES / building.FONT_FILE).read_bytes()
    whole = TTFont(io.BytesIO(font))
    names = whole.getBestCmap()
    for face in FACES:
        cut = TTFont(io.BytesIO(typeface.cut(font, face)))
        assert set(cut.getBestCmap()) == face.characters
        axis = cut["fvar"].axes[0]
        assert (axis.axisTag, axis.minValue, axis.maxValue) == ("wght", *face.weights)
        for character, name in cut.getBestCmap().items():
            assert cut["hmtx"][name] == whole["hmtx"][names[character]], hex(character)
        # Letters are as close as they were drawn, and figures stand under each other in tables.
        assert "kern" in _features(cut, "GPOS")
        if set(map(ord, "0123456789")) <= face.characters:
            assert "tnum" in _features(cut, "GSUB")


def _features(font, table):
    return {each.FeatureTag for each in font[table].table.FeatureList.FeatureRecord}


def test_every_weight_that_a_style_asks_for_is_in_the_files():
    (weights,) = {face.weights for face in FACES}
    for path in CSS.glob("*.css"):
        text = re.sub(r"@font-face\s*\{[^}]*\}", "", path.read_text(encoding="utf-8"))
        for asked in re.findall(r"font-weight:\s*(\d+)", text):
            assert weights[0] <= int(asked) <= weights[1], (path.name, asked)


@pytest.mark.site
def test_a_page_in_english_needs_one_file():
    """Only where a page names somebody or something with an accent is the other one fetched."""
    base, accents = FACES
    others = {}
    for path in (ROOT / "site").rglob("*.html"):
        text = html.unescape(re.sub(r"<[^>]*>", " ", path.read_text(encoding="utf-8")))
        if found := {ord(letter) for letter in text} & accents.characters:
            others[path.parent.name] = "".join(map(chr, sorted(found)))
    assert set(range(0x20, 0x7F)) <= base.characters
    assert set("".join(others.values())) <= set("ÖÜ"), others
    assert len(others) <= 6, others

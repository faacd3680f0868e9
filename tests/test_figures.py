"""The figures: all on pages, legible on a narrow phone, and true to the calculators."""

import re
import sys
import xml.etree.ElementTree as ET
from itertools import pairwise
from pathlib import Path

import pytest

if sys.platform == "emscripten":
    pytest.skip("the pages are read natively only", allow_module_level=True)

from calc import bridge

DOCS = Path(__file__).resolve().parents[1] / "docs"
FIGURES = sorted((DOCS / "figures").glob("*.svg"))
NAMES = [path.stem for path in FIGURES]
SVG = "{http://www.w3.org/2000/svg}"

# What the book promises to show, and the page that shows it.
PROMISED = {
    "vessel-piping": "joints",
    "hose-to-drain": "isolate-and-drain",
    "relief-discharge": "relief-valve",
    "press-depth-mark": "joints",
    "thread-wrap": "joints",
    "vessel-states": "find-the-cause",
    "height-from-vessel": "survey",
    "loop-two-places": "loop-and-pump",
    "pressure-map": "loop-and-pump",
    "drain-curve": "isolate-and-drain",
    "lock-points": "make-safe",
    "trapped-pipe": "boiling-and-trapped-water",
}

# A phone 360 px wide leaves 332 px for a figure; handbook.css sets no text in it below 13.2 units.
NARROW, SMALLEST_TEXT, LEGIBLE = 332, 13.2, 12
# Every figure is kept on the device, inside the pages.
HEAVIEST = 6000

pytestmark = pytest.mark.native


def used():
    """Return the figures that each page shows, by the page's name."""
    return {
        path.stem: re.findall(r"^ *```figure\n *([\w-]+)\n", path.read_text(encoding="utf-8"), re.M)
        for path in DOCS.glob("*.md")
    }


def drawing(name):
    return ET.parse(DOCS / "figures" / f"{name}.svg").getroot()


def words(name):
    return ["".join(text.itertext()) for text in drawing(name).iter(f"{SVG}text")]


@pytest.mark.parametrize("name", NAMES)
def test_every_figure_stands_on_a_page_and_once_there(name):
    times = [figures.count(name) for figures in used().values() if name in figures]
    assert times, f"no page shows docs/figures/{name}.svg"
    assert max(times) == 1


@pytest.mark.parametrize(("name", "page"), PROMISED.items())
def test_a_promised_figure_is_on_its_page(name, page):
    assert name in used()[page]


@pytest.mark.parametrize("path", FIGURES, ids=NAMES)
def test_a_figure_is_legible_on_a_narrow_phone_and_light(path):
    width = float(drawing(path.stem).get("viewBox").split()[2])
    assert SMALLEST_TEXT * NARROW / width >= LEGIBLE
    assert path.stat().st_size <= HEAVIEST


def test_no_text_of_a_figure_is_set_smaller():
    css = (DOCS / "assets" / "css" / "handbook.css").read_text(encoding="utf-8")
    rules = re.findall(r"^([^{}\n]*\bfg[\w-]*[^{}\n]*)\{([^}]*)\}", css, re.M)
    sizes = [
        float(size) for _, rule in rules for size in re.findall(r"font-size: ([\d.]+)px", rule)
    ]
    assert min(sizes) == SMALLEST_TEXT
    for name in NAMES:
        assert not [e for e in drawing(name).iter() if e.get("font-size") or e.get("style")], name


@pytest.mark.parametrize("name", NAMES)
def test_a_figure_says_what_it_shows_and_takes_its_colours_from_the_page(name):
    root = drawing(name)
    assert len(root.find(f"{SVG}desc").text.split()) >= 25
    painted = [e for e in root.iter() if e.get("fill") or e.get("stroke")]
    assert not painted, "colours come from classes, so that dark and print have their own"


def table(calculator, chart, system):
    answer = bridge.run(calculator, {}, system)
    (found,) = [c for c in answer["charts"] if c["id"] == chart]
    columns = [column["label"] for column in found["columns"]]
    return [
        (row["label"], {c: cell["text"] for c, cell in zip(columns, row["cells"], strict=True)})
        for row in found["rows"]
    ]


@pytest.mark.parametrize("system", ["si", "us"])
def test_the_pressure_map_shows_the_table_of_points(system):
    rows = [cells for _, cells in table("loop-pressures", "points", system)]
    wanted = {f"{cells['pump off']} → {cells['running']}" for cells in rows}
    shown = [text for text in words("pressure-map") if re.search(r"\d → \d", text)]
    assert wanted <= set(shown)
    assert len(shown) == 2 * (len(rows) - 1), "the vessel's joint is first and last in the list"


def test_the_pressure_map_describes_the_numbers_it_shows():
    told = drawing("pressure-map").find(f"{SVG}desc").text
    for _, cells in table("loop-pressures", "points", "si")[1:-1]:
        assert f"{cells['pump off']} then {cells['running']} bar" in told


@pytest.mark.parametrize("system", ["si", "us"])
def test_the_four_choices_stand_in_the_order_that_their_words_claim(system):
    rows = dict(table("replacement-options", "side-by-side", system))
    assert [name for name in words("four-choices") if name in rows] == list(rows)
    hot = [float(cells["Hot pressure at the vessel"]) for cells in rows.values()]
    room = [float(r["Highest cold fill"]) - float(r["Lowest cold fill"]) for r in rows.values()]
    assert all(more > less for more, less in pairwise(hot)), "gas squeezed most comes first"
    assert all(less < more for less, more in pairwise(room)), "easiest to fill right comes last"
    weight = [float(cells["One vessel, empty"]) for cells in rows.values()]
    price = [float(cells["Parts and labour"]) for cells in rows.values()]
    assert weight[-1] == max(weight)
    assert price[-1] == max(price)


@pytest.mark.parametrize("system", ["si", "us"])
def test_a_short_fall_takes_about_twice_as_long_as_the_drawing_says(system):
    """The two curves are drawn for a fall as deep as the water, and for a twentieth of that."""
    level, unit = (0.42, "m") if system == "si" else (1.38, "ft")

    def time(fall):
        answer = bridge.run("drain-down", {"fall": f"{fall} {unit}"}, system)
        return next(r["value"] for r in answer["results"] if r["name"] == "time")

    assert time(0.05 * level) / time(level) == pytest.approx(2, rel=0.1)

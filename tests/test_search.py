"""The words that a technician types find the page: asked of the built site's own search."""

import json
import re
import subprocess
import sys
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

if sys.platform == "emscripten":
    pytest.skip("the built site is read natively only", allow_module_level=True)

import yaml
from handbook_tools import environment

from calc.calculators import CALCULATORS
from view.pages import PAGES

ROOT = Path(__file__).resolve().parents[1]
SITE = ROOT / "site"

pytestmark = [pytest.mark.site, pytest.mark.native]

# What is typed, and the page that has to be among the first three.
WORDS = [
    ("tools to take", "before-you-go"),
    ("permit inspector parts tools", "before-you-go"),
    ("worked job one day", "walk"),
    ("system volume", "survey"),
    ("how much water does the system hold", "survey"),
    ("gauge high hot low cold", "find-the-cause"),
    ("waterlogged", "find-the-cause"),
    ("charge lost", "find-the-cause"),
    ("pump head vessel discharge side", "loop-and-pump"),
    ("leak make-up meter", "leaks-and-make-up"),
    ("losing pressure leak", "leaks-and-make-up"),
    ("cylinder expansion vessel drinking water", "domestic-side"),
    ("lock out", "make-safe"),
    ("cool down wait", "make-safe"),
    ("trapped water", "boiling-and-trapped-water"),
    ("altitude boiling", "boiling-and-trapped-water"),
    ("drain vessel hose", "isolate-and-drain"),
    ("drain time", "isolate-and-drain"),
    ("vessel size", "size-or-confirm"),
    ("expansion tank size", "size-or-confirm"),
    ("two small vessels", "choose-a-replacement"),
    ("like for like", "choose-a-replacement"),
    ("lift heavy", "lift-and-support"),
    ("wall bracket bolts", "lift-and-support"),
    ("NPT BSP thread", "joints"),
    ("PTFE tape", "joints"),
    ("press fitting", "joints"),
    ("pre-charge", "set-the-pre-charge"),
    ("precharge", "set-the-pre-charge"),
    ("air charge", "set-the-pre-charge"),
    ("fill and vent", "fill-and-vent"),
    ("purge air", "fill-and-vent"),
    ("relief margin", "check-the-relief-margin"),
    ("heat up prove", "check-the-relief-margin"),
    ("relief valve drips", "relief-valve"),
    ("safety valve", "relief-valve"),
    ("replace relief valve", "relief-valve"),
    ("lever test", "relief-valve"),
    ("inhibitor", "water-quality"),
    ("pH hardness", "water-quality"),
    ("glycol", "glycol"),
    ("antifreeze freezing", "glycol"),
    ("condensate", "condensate-neutraliser"),
    ("neutraliser media", "condensate-neutraliser"),
    ("commissioning record", "hand-over"),
    ("hand over owner", "hand-over"),
    ("annual check", "seasonal-checks"),
    ("service plan", "seasonal-checks"),
    ("scald times", "reference"),
    ("pipe contents", "reference"),
    ("convert bar psi", "convert"),
    ("gauge absolute", "convert"),
    ("factory charge mistake", "mistakes"),
    ("membrane", "glossary"),
    ("neutral point", "loop-and-pump"),
    ("symbols letters", "symbols"),
    ("carbon monoxide", "safety"),
    ("asbestos", "safety"),
    ("survey readings", "survey"),
    ("boiler pressure too high", "find-the-cause"),
    ("bladder ruptured", "find-the-cause"),
    ("leaking coil", "find-the-cause"),
    ("wrong gauge", "find-the-cause"),
    ("topping up every week", "leaks-and-make-up"),
    ("thermal expansion tank", "domestic-side"),
    ("lockout tagout", "make-safe"),
    ("prove zero", "make-safe"),
    ("flash steam", "boiling-and-trapped-water"),
    ("isolate boiler", "isolate-and-drain"),
    ("drain cock", "isolate-and-drain"),
    ("which size", "size-or-confirm"),
    ("two tanks", "choose-a-replacement"),
    ("hoist", "lift-and-support"),
    ("thread sealant", "joints"),
    ("flange gasket", "joints"),
    ("nitrogen", "set-the-pre-charge"),
    ("bleed radiators", "fill-and-vent"),
    ("air lock", "fill-and-vent"),
    ("fill pressure", "fill-and-vent"),
    ("safety margin", "check-the-relief-margin"),
    ("discharge pipe", "relief-valve"),
    ("relief valve leaking", "relief-valve"),
    ("water treatment", "water-quality"),
    ("refractometer", "glycol"),
    ("freeze protection", "glycol"),
    ("log book", "hand-over"),
    ("what to tell the owner", "hand-over"),
    ("winter checks", "seasonal-checks"),
    ("feet and inches", "calculators"),
    ("imperial gallon", "convert"),
]
# What is typed by somebody who wants the answer of one calculator; it opens on its page.
CALCULATOR_WORDS = {
    "system-volume": ("radiator volume", "water volume of the system"),
    "two-reading-check": ("pressure rises when hot", "cold and hot reading"),
    "pressure-trace": ("trace the pressure", "from cold to hot"),
    "vessel-size": ("expansion tank sizing", "smallest vessel"),
    "replacement-options": ("compare vessels", "cost comparison"),
    "lifting-check": ("vessel weight", "lifting index", "floor load"),
    "pre-charge": ("pre charge pressure", "charge to set"),
    "relief-margin": ("hot pressure", "margin at the valve"),
    "drain-down": ("time to drain", "floor drain temperature"),
    "domestic-vessel": ("water heater tank", "potable water heater"),
    "leak-rate": ("slow leak", "water lost"),
    "cool-down": ("how long to cool", "how long does cooling take"),
    "fill-and-purge": ("fill time", "purge pump"),
    "altitude-and-boiling": ("boiling point altitude", "steam at the top"),
    "glycol-dose": ("glycol strength", "how much antifreeze"),
    "trapped-water": ("trapped water pressure", "pipe shut at both ends"),
    "condensate-neutraliser": ("limestone", "condensate drain pH"),
    "loop-pressures": ("pump on pump off", "NPSH"),
    "convert": ("convert psi to bar", "convert feet of water"),
    "fill-water": ("water hardness", "test the fill water"),
}
WORDS += [
    (words, PAGES[calculator].removesuffix(".md"))
    for calculator, phrases in CALCULATOR_WORDS.items()
    for words in phrases
]
FIRST = 3


@cache
def found():
    asked = subprocess.run(
        [environment.node(), ROOT / "scripts" / "search_site.mjs", SITE],
        input="\n".join(words for words, _ in WORDS),
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert asked.returncode == 0, asked.stderr
    answers = [json.loads(line) for line in asked.stdout.splitlines()]
    return {answer["query"]: answer["found"] for answer in answers}


@pytest.mark.parametrize(("words", "page"), WORDS)
def test_words_find_their_page(words, page):
    first = [address.strip("/") for address in found()[words][:FIRST]]
    assert page in first, f"“{words}” finds {first} first"


def test_a_word_that_stands_nowhere_finds_nothing():
    asked = subprocess.run(
        [environment.node(), ROOT / "scripts" / "search_site.mjs", SITE],
        input="zymurgyless",
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    assert json.loads(asked.stdout)["found"] == []


def test_every_procedure_is_looked_for_in_two_ways():
    procedures = {
        path.stem
        for path in (ROOT / "docs").glob("*.md")
        if re.search(r"^procedure: true$", path.read_text(encoding="utf-8").split("\n---")[0], re.M)
    }
    assert procedures
    asked = Counter(page for _, page in WORDS)
    assert {page for page in procedures if asked[page] < 2} == set()


def test_every_calculator_is_looked_for_in_two_ways():
    assert set(CALCULATOR_WORDS) == {c.id for c in CALCULATORS}
    assert all(len(set(phrases)) >= 2 for phrases in CALCULATOR_WORDS.values())
    assert len(set(WORDS)) == len(WORDS)


def test_the_working_of_the_examples_is_kept_out_of_the_index():
    words = json.loads((SITE / "search" / "words.json").read_text(encoding="utf-8"))
    assert not [doc["location"] for doc in words if "lc-step" in doc["text"]]
    texts = " ".join(doc["text"] for doc in words)
    assert "Gas pressure with the water side shut off" in texts, "help texts stay to be found"
    # A sentence that only stands in the working of an answer.
    assert "Not given, so the example's values were used" not in texts


def test_titles_and_descriptions_are_words_that_people_search_by():
    for path in sorted((ROOT / "docs").glob("*.md")):
        head = yaml.safe_load(path.read_text(encoding="utf-8").split("---\n", 2)[1])
        assert head["title"], path.name
        assert 40 <= len(head["description"]) <= 260, path.name

"""The words that a technician types find the page: asked of the built site's own search."""

import json
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

if sys.platform == "emscripten":
    pytest.skip("the built site is read natively only", allow_module_level=True)

import yaml
from handbook_tools import environment

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


def test_every_procedure_is_looked_for():
    procedures = {
        path.stem
        for path in (ROOT / "docs").glob("*.md")
        if re.search(r"^procedure: true$", path.read_text(encoding="utf-8").split("\n---")[0], re.M)
    }
    assert procedures
    assert procedures <= {page for _, page in WORDS}


def test_the_working_of_the_examples_is_kept_out_of_the_index():
    index = json.loads((SITE / "search" / "search_index.json").read_text(encoding="utf-8"))
    assert not [doc["location"] for doc in index["docs"] if "lc-step" in doc["text"]]
    texts = " ".join(doc["text"] for doc in index["docs"])
    assert "Gas pressure with the water side shut off" in texts, "help texts stay to be found"
    # A sentence that only stands in the working of an answer.
    assert "Not given, so the example's values were used" not in texts


def test_titles_and_descriptions_are_words_that_people_search_by():
    for path in sorted((ROOT / "docs").glob("*.md")):
        head = yaml.safe_load(path.read_text(encoding="utf-8").split("---\n", 2)[1])
        assert head["title"], path.name
        assert 40 <= len(head["description"]) <= 260, path.name

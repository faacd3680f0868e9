"""The assessor's sheets follow the procedure pages, step by step."""

import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "scripts"))

pytestmark = pytest.mark.native

MARKS = """
<ol><li data-x="1"><p><strong>Prove zero.</strong> Two gauges.</p></li>
<li><p><strong>Tell people.</strong> Say what.</p></li></ol>
<div class="admonition stop"><p class="admonition-title">Stop: at zero</p></div>
"""
SHEET = {
    "task": "Bring it to zero.",
    "critical": {"prove-zero": "Two gauges and an open vent."},
    "steps": {"tell-people": "Says what & why <loudly>."},
}


@pytest.fixture
def observed():
    from handbook_tools import observed

    return observed


@pytest.fixture
def marks():
    from handbook_tools.procedures import marks

    return marks(MARKS)[0]


def test_rows_follow_the_page_and_stops_are_critical(observed, marks):
    rows = list(observed.rows("make-safe", marks, SHEET))
    assert [(row[0], row[3], row[4]) for row in rows] == [
        ("prove-zero", True, "step"),
        ("tell-people", False, "step"),
        ("stop-at-zero", True, "stop"),
    ]


def test_a_step_without_a_criterion_is_refused(observed, marks):
    sheet = {**SHEET, "steps": {}}
    with pytest.raises(observed.ObservedProblem, match="says nothing of tell-people"):
        list(observed.rows("make-safe", marks, sheet))


def test_a_criterion_without_a_step_is_refused(observed, marks):
    sheet = {**SHEET, "steps": {**SHEET["steps"], "dance": "Dances."}}
    with pytest.raises(observed.ObservedProblem, match="speaks of dance"):
        list(observed.rows("make-safe", marks, sheet))


@pytest.mark.parametrize(
    ("sheets", "without", "pages"),
    [
        ({}, {}, ["make-safe"]),
        ({"make-safe": SHEET}, {"make-safe": "why"}, ["make-safe"]),
        ({"make-safe": SHEET}, {"gone": "why"}, ["make-safe"]),
    ],
)
def test_every_procedure_has_a_sheet_or_a_reason(observed, sheets, without, pages):
    with pytest.raises(observed.ObservedProblem):
        observed.check_pages(sheets, without, pages)


def test_what_is_written_is_shown_as_text(observed, marks):
    html = observed.page_html(
        [("make-safe", "Make safe", "../make-safe/", marks)], {"make-safe": SHEET}
    )
    assert "Says what &amp; why &lt;loudly&gt;." in html
    assert html.count('data-critical="true"') == 2
    assert "Signature" in html


def test_the_book_s_own_sheets_can_be_read(observed):
    sheets, without = observed.read(ROOT / "docs" / "observed.toml")
    assert len(sheets) >= 14
    assert all(sheet["critical"] for sheet in sheets.values())
    assert all(len(reason) > 10 for reason in without.values())


@pytest.mark.site
def test_the_page_has_a_sheet_for_each_procedure_with_every_step(observed):
    site = ROOT / "site"
    page = (site / "observed-checklist" / "index.html").read_text(encoding="utf-8")
    sheets, _ = observed.read(ROOT / "docs" / "observed.toml")
    for name, sheet in sheets.items():
        assert f'data-page="{name}"' in page
        for step in {**sheet["critical"], **sheet["steps"]}:
            assert f'data-row="{step}"' in page

"""The common mistakes: each does what the text says it does."""

import sys
from pathlib import Path

import pytest

if sys.platform == "emscripten":
    pytest.skip("the pages are read natively only", allow_module_level=True)

import yaml

from view.runs import Run

PAGE = Path(__file__).resolve().parents[1] / "docs" / "mistakes.md"

pytestmark = pytest.mark.native


@pytest.fixture(scope="module")
def runs():
    specs = yaml.safe_load(PAGE.read_text(encoding="utf-8").split("---\n", 2)[1])["runs"]
    made = {}
    for spec in specs:
        made[spec["name"]] = Run(spec, made)
    return made


def test_every_run_is_used_by_the_text_or_by_another_run(runs):
    head, text = PAGE.read_text(encoding="utf-8").split("---\n", 2)[1:]
    for name in runs:
        assert f"{{{{ {name}." in text or f'"@{name}.' in head, name


@pytest.mark.parametrize(
    ("less", "more"),
    [
        ("boyle.value", "right.hot_at_vessel"),
        ("water-good.value", "water-lost-charge.value"),
        ("frost.charge_now", "frost.charge"),
        ("diaphragm.minimum", "cushion.minimum"),
        ("code-low.value", "net-low.value"),
        ("net-low.value", "true-low.value"),
        ("growth.value", "from-ice.value"),
        ("to-mean.value", "growth.value"),
        ("growth.value", "plastic.value"),
        ("steel.value", "growth.value"),
        ("no-gap.minimum", "size.minimum"),
        ("from-boiler.charge", "pre.charge"),
        ("right.margin", "pump-off.margin"),
        ("right.margin", "large.margin"),
        ("right.margin", "two.margin"),
        ("over.value", "pre.reserve_wanted"),
        ("open-here.value", "open-sea.value"),
        ("size.minimum", "size-sea.minimum"),
        ("us-gallons.minimum", "imperial.minimum"),
    ],
)
def test_the_wrong_number_lies_where_the_text_says(runs, less, more):
    (first, a), (second, b) = less.split("."), more.split(".")
    assert runs[first].si(a) < runs[second].si(b)


def test_numbers_that_can_be_worked_by_hand(runs):
    # Boyle with gauge pressures: 250 L x 1.5 bar over what is left of the gas.
    grown = runs["more"].si("value")
    gas = 0.250 * 1.5e5 / 1.67e5
    assert runs["boyle"].si("value") == pytest.approx(0.250 * 1.5e5 / (gas - grown))
    # 0.00041 x 140 - 0.0466 = 0.0108.
    assert runs["code-low"].si("value") == pytest.approx(0.0108, abs=1e-6)
    # 3 x 11.7e-6 x 70 = 0.002457, and of 1750 L that is 4.30 L.
    assert runs["steel-litres"].si("value") == pytest.approx(0.00430, abs=5e-6)
    # A new valve does not help: the pressure goes above what it opens at.
    assert runs["new-valve"].si("hot_at_valve") > 3.0e5

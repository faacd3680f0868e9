"""Every evidence row: what was printed elsewhere against what is computed here."""

import pytest

from calc import evidence

ROWS = evidence.rows()


def label(index):
    row = ROWS[index]
    what = row.get("function", row.get("calculator", "")).removeprefix("calc.")
    return f"{row['subject']}:{what}:{row.get('output', '')}={row['printed']}"


@pytest.mark.parametrize("index", range(len(ROWS)), ids=label)
def test_row_agrees_with_what_was_printed(index, request):
    reason = ROWS[index].get("disagrees")
    if reason:
        request.node.add_marker(pytest.mark.xfail(reason=reason, strict=True))
    found = evidence.rerun(index)
    assert found["agrees"], found


def test_there_are_enough_rows_in_both_unit_systems():
    texts = [row["printed"] + " ".join(map(str, row["inputs"].values())) for row in ROWS]
    customary = [t for t in texts if any(unit in t for unit in ("psi", "gal", "degF", "ft", "lb"))]
    metric = [t for t in texts if any(unit in t for unit in ("bar", " L", "degC", " m", "kg"))]
    assert len(ROWS) >= 60
    assert len(customary) >= 20
    assert len(metric) >= 20


def test_every_calculator_has_evidence():
    from calc.calculators import CALCULATORS

    proved = {row.get("calculator") for row in ROWS}
    assert {c.id for c in CALCULATORS} <= proved


@pytest.mark.parametrize(
    ("text", "value", "half"),
    [
        ("30.9 L", 30.9, 0.05),
        ("578 gal", 578, 0.5),
        ("1.5e5 Pa", 1.5e5, 0.05e5),
        ("61.640", 61.64, 0.0005),
    ],
)
def test_the_tolerance_is_half_the_last_printed_digit(text, value, half):
    found = evidence._printed(text)
    assert found[0] == pytest.approx(value)
    assert found[1] == pytest.approx(half)


# Ten metres of 1000 kg/m3 are 98.0665 kPa.
ROW = {
    "subject": "x",
    "function": "calc.hydrostatics.static_pressure",
    "printed": "0.98 bar",
    "inputs": {"density": "1000 kg/m^3", "height": "10 m"},
    "source": "s",
    "status": "arithmetic",
}


def _rerun(monkeypatch, row):
    monkeypatch.setattr(evidence, "_all_rows", lambda: (row,))
    return evidence.rerun(0)


def test_a_row_agrees_up_to_half_its_last_digit(monkeypatch):
    for printed in ("98.1 kPa", "98.07 kPa"):
        assert _rerun(monkeypatch, ROW | {"printed": printed})["agrees"], printed
    for printed in ("98.0 kPa", "98.2 kPa", "98.06 kPa", "97 kPa", "99 kPa"):
        assert not _rerun(monkeypatch, ROW | {"printed": printed})["agrees"], printed


@pytest.mark.parametrize(
    ("printed", "tolerance", "agrees"),
    [
        ("99 kPa", "1 %", True),
        ("99 kPa", "0.9 %", False),
        ("97.5 kPa", "0.57", True),
        ("97.5 kPa", "0.56", False),
        ("98.0665 kPa", "0", True),
    ],
)
def test_a_row_may_say_how_far_it_reaches(monkeypatch, printed, tolerance, agrees):
    row = ROW | {"printed": printed, "tolerance": tolerance, "why": "said so"}
    assert _rerun(monkeypatch, row)["agrees"] is agrees


@pytest.mark.parametrize(
    ("printed", "found", "agrees"),
    [
        ("98.1 kPa", "98.07 kPa", True),
        ("98 kPa", "98.1 kPa", True),
        ("0.98 bar", "0.981 bar", True),
        ("98100 Pa", "98066.5 Pa", False),
    ],
)
def test_what_is_found_is_shown_to_one_digit_more(monkeypatch, printed, found, agrees):
    assert _rerun(monkeypatch, ROW | {"printed": printed}) == {
        "row": 0,
        "expected": printed,
        "found": found,
        "agrees": agrees,
        "expected_failure": False,
    }


def test_a_row_known_to_disagree_says_so(monkeypatch):
    assert _rerun(monkeypatch, ROW | {"disagrees": "a slip in print"})["expected_failure"]


def test_an_output_that_does_not_exist_is_an_error(monkeypatch):
    row = {"calculator": "pre-charge", "output": "colour", "inputs": {}, "printed": "1 bar"}
    with pytest.raises(ValueError, match="colour is not among the results"):
        _rerun(monkeypatch, row)
    with pytest.raises(ValueError, match="refused"):
        _rerun(monkeypatch, row | {"inputs": {"height": "high"}})


def test_a_row_that_is_wrong_is_seen(monkeypatch):
    monkeypatch.setattr(evidence, "_all_rows", lambda: (ROW | {"printed": "1.00 bar"}, ROW))
    assert not evidence.rerun(0)["agrees"]
    assert evidence.rerun(1)["agrees"]


@pytest.mark.parametrize(
    "change",
    [{"status": "sure"}, {"tolerance": "5 %"}, {"colour": "red"}, {"calculator": "both"}],
    ids=["status", "tolerance without why", "unknown key", "function and calculator"],
)
def test_a_row_that_breaks_the_form_is_refused(change):
    row = {
        "function": "calc.x.y",
        "inputs": {},
        "printed": "1",
        "source": "s",
        "status": "arithmetic",
    }
    with pytest.raises(ValueError, match="row"):
        evidence._inspect({"subject": "t", **row, **change}, "t.toml")


def test_a_whole_number_of_a_row_is_an_argument_like_any_other():
    found = evidence._argument(3)
    assert (found, type(found)) == (3.0, float)
    assert evidence._argument(True) is True

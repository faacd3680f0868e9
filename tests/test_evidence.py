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


def test_a_row_that_is_wrong_is_seen(monkeypatch):
    row = {
        "subject": "x",
        "function": "calc.hydrostatics.static_pressure",
        "printed": "1.00 bar",
        "inputs": {"density": "1000 kg/m^3", "height": "10 m"},
        "source": "s",
        "status": "arithmetic",
    }
    monkeypatch.setattr(evidence, "_all_rows", lambda: (row, row | {"printed": "0.98 bar"}))
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

"""Numbers in running text: computed when the page is made, or the page is not made."""

import pytest

from calc import bridge
from calc import units as u
from view.runs import Run, Runs, both

MARGIN = {"name": "margin", "calculator": "relief-margin"}
COLUMN = {
    "name": "column",
    "function": "calc.hydrostatics.static_pressure",
    "inputs": {"density": "1000 kg/m^3", "height": "10 m"},
    "kind": "pressure difference",
}


def filled(text, *specs):
    return Runs(specs).filled(text).replace("\xa0", " ")


def test_a_result_stands_in_both_unit_systems_with_its_plus_minus():
    answer = bridge.run("relief-margin", {}, "si")
    shown = next(r for r in answer["results"] if r["name"] == "margin")
    text = filled("Margin {{ margin.margin }}.", MARGIN)
    assert text.startswith(
        f"Margin {shown['text']} ± {shown['plus_minus_text']} (".replace("\xa0", " ")
    )
    assert text.endswith(" psi).")


def test_a_function_of_calc_can_be_called_by_name():
    # 1000 kg/m3 x 9.80665 m/s2 x 10 m = 98066.5 Pa.
    assert filled("{{ column.value }}", COLUMN) == "0.98 bar (14.2 psi)"


def test_inputs_and_verdicts_can_be_named():
    spec = MARGIN | {"inputs": {"charge": "1.4 bar", "gap_rule": "five-psi"}}
    assert filled("{{margin.in.charge}}", spec) == "1.40 bar g (20.3 psig)"
    assert filled("{{ margin.in.gap_rule }}", spec) == "5 psi"
    assert filled("{{ margin.check.pump }}", spec) == "pass"


def test_a_later_run_takes_what_an_earlier_one_found_at_full_precision():
    first = {"name": "first", "calculator": "system-volume"}
    second = {
        "name": "second",
        "calculator": "vessel-size",
        "inputs": {"system_volume": "@first.highest"},
    }
    runs = Runs([first, second])
    exact = next(
        r["value"]
        for r in bridge.run("system-volume", {}, "si")["results"]
        if r["name"] == "highest"
    )
    by_hand = bridge.run("vessel-size", {"system_volume": f"{exact!r} L"}, "si")
    text = next(r["text"] for r in by_hand["results"] if r["name"] == "minimum")
    assert runs.filled("{{ second.minimum }}").startswith(text)


def test_a_function_takes_an_earlier_result_in_si():
    back = {
        "name": "back",
        "function": "calc.hydrostatics.height_of_pressure",
        "inputs": {"pressure_difference": "@column.value", "density": "1000 kg/m^3"},
        "kind": "length",
    }
    assert filled("{{ back.value }}", COLUMN, back).startswith("10.00 m (32.81 ft)")


def test_temperatures_with_an_offset_reach_a_function_in_kelvin():
    spec = {
        "name": "rho",
        "function": "calc.fluids.water_density",
        "inputs": {"temperature": "80 degC"},
        "kind": "density",
    }
    assert filled("{{ rho.value }}", spec).startswith("971.8 kg/m³")


def test_what_the_text_expects_is_held_fast():
    Runs([MARGIN | {"expect": {"margin": "pass"}}])
    with pytest.raises(ValueError, match="expects margin to fail, but: pass"):
        Runs([MARGIN | {"expect": {"margin": "fail"}}])
    with pytest.raises(ValueError, match="has no check"):
        Runs([MARGIN | {"expect": {"colour": "fail"}}])


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        ("{{ margin.colour }}", "no output “colour”"),
        ("{{ other.margin }}", "no run stands behind"),
        ("{{ margin }}", "no run stands behind"),
        ("{{ margin.in.colour }}", "no input “colour”"),
        ("{{ margin.check.colour }}", "no check “colour”"),
        ("{{ }}", "no run stands behind"),
    ],
)
def test_what_is_unknown_is_refused_by_name(text, complaint):
    with pytest.raises(ValueError, match=complaint):
        filled(text, MARGIN)


@pytest.mark.parametrize(
    ("specs", "complaint"),
    [
        ([{"calculator": "relief-margin"}], "needs a name"),
        (["relief-margin"], "needs a name"),
        ([{"name": "a"}], "one of the two"),
        ([MARGIN | {"function": "calc.charge.rounded_up"}], "one of the two"),
        ([MARGIN | {"colour": "red"}], "has no colour"),
        ([MARGIN, MARGIN], "two runs are called margin"),
        ([MARGIN | {"inputs": {"charge": "@first.charge"}}], "no earlier run"),
        ([MARGIN | {"inputs": {"charge": "five"}}], "margin: "),
        ([COLUMN | {"function": "os.system"}], "one of calc"),
        ([COLUMN | {"kind": "colour"}], "kind of its result"),
        ([COLUMN | {"inputs": {"density": "heavy", "height": "10 m"}}], "not a number"),
    ],
)
def test_a_run_that_cannot_be_made_is_refused_with_its_name(specs, complaint):
    with pytest.raises(ValueError, match=complaint):
        Runs(specs)


def test_an_argument_that_a_function_does_not_have_is_refused():
    with pytest.raises(TypeError, match="colour"):
        Runs([COLUMN | {"inputs": COLUMN["inputs"] | {"colour": "1 m"}}])


def test_a_text_without_places_is_left_alone():
    text = "A set {of} braces and a line.\n"
    assert filled(text) == text


def test_a_unit_that_serves_both_systems_is_shown_once():
    assert both(0.25, u.FRACTION) == "25.0\xa0%"
    assert both(120.0, u.TIME) == "2.0\xa0min"


def test_a_text_result_stands_as_it_is():
    run = Run({"name": "loop", "calculator": "fill-and-purge"}, {})
    assert run.text("worst") == "Ground floor mains"
    with pytest.raises(ValueError, match="no output"):
        run.text("colour")


def test_an_earlier_result_is_handed_on_unrounded():
    run = Run(COLUMN, {})
    assert run.entry("value") == "0.980665 bar"
    assert run.si("value") == 98066.5

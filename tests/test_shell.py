"""The calculators from a shell: what other programs rely on."""

import json

import pytest

from calc.__main__ import main
from calc.calculators import CALCULATORS

FIRST = CALCULATORS[0].id


def run(capsys, *arguments):
    code = main(list(arguments))
    printed = capsys.readouterr()
    return code, printed.out, printed.err


def test_list_gives_id_title_and_summary(capsys):
    code, out, _ = run(capsys, "list", "--json")
    assert code == 0
    rows = json.loads(out)
    assert [row["id"] for row in rows] == [c.id for c in CALCULATORS]
    assert all(set(row) == {"id", "title", "summary"} for row in rows)


@pytest.mark.parametrize("id", [c.id for c in CALCULATORS])
def test_describe_tells_inputs_with_units_and_limits(capsys, id):
    code, out, _ = run(capsys, "describe", id, "--json")
    assert code == 0
    described = json.loads(out)
    assert described["inputs"]
    assert described["outputs"]
    assert run(capsys, "describe", id)[0] == 0


@pytest.mark.parametrize("id", [c.id for c in CALCULATORS])
@pytest.mark.parametrize("system", ["si", "us"])
def test_run_prints_results_checks_and_working(capsys, id, system):
    code, out, _ = run(capsys, "run", id, "--system", system)
    assert code == 0
    assert "Working:" in out
    code, out, _ = run(capsys, "run", id, "--system", system, "--json")
    found = json.loads(out)
    assert code == 0
    assert {"results", "checks", "steps", "charts"} <= set(found)
    for result in found["results"]:
        assert {"value", "unit", "text", "plus_minus"} <= set(result)
    for check in found["checks"]:
        assert check["status"] in ("pass", "caution", "fail")
        assert {"label", "message", "source"} <= set(check)


def test_input_that_cannot_be_computed_ends_with_2_and_names_the_field(capsys):
    code, out, _ = run(capsys, "run", "pre-charge", "height=minus ten", "--json")
    assert code == 2
    errors = json.loads(out)["errors"]
    assert errors[0]["field"] == "height"
    assert "not a number" in errors[0]["message"]
    code, _, err = run(capsys, "run", "pre-charge", "height=-10 ft")
    assert code == 2
    assert err.startswith("height: ")


def test_an_unknown_calculator_or_a_word_without_equals_ends_with_2(capsys):
    assert run(capsys, "run", "perpetual-motion")[0] == 2
    assert run(capsys, "describe", "perpetual-motion", "--json")[0] == 2
    code, _, err = run(capsys, "run", FIRST, "height")
    assert code == 2
    assert "equals sign" in err


def test_entries_take_either_system_whatever_the_answers_system(capsys):
    metric = json.loads(run(capsys, "run", "pre-charge", "height=12.192 m", "--json")[1])
    customary = json.loads(run(capsys, "run", "pre-charge", "height=40 ft", "--json")[1])
    for one, other in zip(metric["results"], customary["results"], strict=True):
        if not isinstance(one["value"], str):
            assert one["value"] == pytest.approx(other["value"], rel=1e-9)


def test_entries_may_stand_before_or_after_the_options(capsys):
    before = run(capsys, "run", "pre-charge", "height=40 ft", "--system", "us", "--json")
    after = run(capsys, "run", "pre-charge", "--system", "us", "--json", "height=40 ft")
    assert before == after
    assert before[0] == 0


def test_an_unknown_option_is_refused():
    with pytest.raises(SystemExit) as ended:
        main(["run", "pre-charge", "--colour"])
    assert ended.value.code == 2


def test_lengths_and_numbers_are_taken_as_a_technician_types_them(capsys):
    def charge(height):
        code, out, _ = run(capsys, "run", "pre-charge", f"height={height}", "--json")
        assert code == 0, out
        return json.loads(out)["results"][0]["value"]

    assert charge("37' 6\"") == pytest.approx(charge("37.5 ft"))
    assert charge("37 1/2 ft") == pytest.approx(charge("37.5 ft"))
    assert charge("11,4 m") == pytest.approx(charge("11.4 m"))
    code, _, err = run(capsys, "run", "pre-charge", "height=1,500 m")
    assert code == 2
    assert err == "height: “1,500” could mean 1500 or 1.5. Write 1500, or 1.500 with a point.\n"


def test_a_gallon_typed_in_a_shell_has_to_say_which(capsys):
    code, _, err = run(capsys, "run", "pre-charge", "vessel_volume=14 gal")
    assert code == 2
    assert err.startswith("vessel_volume: The gallon in “14 gal” could be a US gallon")
    assert run(capsys, "run", "pre-charge", "vessel_volume=14 gal", "--system", "us")[0] == 0
    assert run(capsys, "run", "pre-charge", "vessel_volume=53 imp gal")[0] == 0
    code, _, err = run(capsys, "run", "pressure-trace", "cases=Plain | 12 gal | 1 bar | 1.3 bar")
    assert code == 2
    assert err.startswith("cases.0.vessel_volume: The gallon")

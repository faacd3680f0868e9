"""The system-volume calculator: methods, checks, refusals, plus/minus."""

import pytest

from calc.bridge import converted, default_entry, run
from calc.calculators.system_volume import CALCULATOR
from calc.pipes import TUBES

ID = CALCULATOR.id
EMPTY = {"method": "parts", "output": "", "boilers": "", "emitters": "", "pipes": "", "others": ""}


def answered(entries, system="si"):
    answer = run(ID, entries, system)
    assert "errors" not in answer, answer
    return answer


def results(entries, system="si"):
    return {r["name"]: r for r in answered(entries, system)["results"]}


def status(entries, check):
    return {c["id"]: c["status"] for c in answered(entries)["checks"]}.get(check)


def message(entries, check, system="si"):
    return {c["id"]: c["message"] for c in answered(entries, system)["checks"]}[check]


def refusal(entries):
    answer = run(ID, entries, "si")
    assert list(answer) == ["errors"]
    (error,) = answer["errors"]
    return error


def test_the_example_plant_passes_every_check():
    assert {c["status"] for c in answered({})["checks"]} == {"pass"}


def test_both_unit_systems_show_the_same_plant():
    si, us = results({})["volume"], results({}, "us")["volume"]
    assert us["unit"] == "gal"
    assert us["value"] * 3.785411784 == pytest.approx(si["value"], rel=2e-3)


def test_shares_and_volumes_add_up():
    found = results({})
    groups = ("boiler", "emitter", "pipe", "other")
    assert sum(found[f"{g}_share"]["value"] for g in groups) == pytest.approx(100)
    assert sum(found[f"{g}_volume"]["value"] for g in groups) == pytest.approx(
        found["volume"]["value"]
    )


def test_bars_add_up_to_the_volume_and_estimates_show_their_range():
    answer = answered({})
    (chart,) = answer["charts"]
    total = next(r["value"] for r in answer["results"] if r["name"] == "volume")
    assert sum(bar["value"] for bar in chart["bars"]) == pytest.approx(total)
    ranged = [bar["label"] for bar in chart["bars"] if bar["low"] is not None]
    assert ranged == ["Panel radiators"]


@pytest.mark.parametrize("key", TUBES)
def test_every_pipe_on_offer_can_be_entered(key):
    found = results({**EMPTY, "pipes": f"Run | {key} | | 100 m"})
    tube = TUBES[key]
    expected = 0.7853981634 * (tube.outside - 2 * tube.wall) ** 2 * 100 * 1000
    assert found["volume"]["value"] == pytest.approx(expected, rel=1e-9)


def test_an_own_bore_equals_the_tube_of_that_bore():
    tube = results({**EMPTY, "pipes": "Run | en-1057-22x1 | | 40 m"})
    bore = results({**EMPTY, "pipes": "Run | bore | 20 mm | 40 m"})
    assert bore["volume"]["value"] == pytest.approx(tube["volume"]["value"])


def test_one_run_equals_the_same_run_in_two_rows():
    once = results({**EMPTY, "pipes": "Run | en-1057-28x1 | | 50 m"})
    twice = results({**EMPTY, "pipes": "Out | en-1057-28x1 | | 20 m; Back | en-1057-28x1 | | 30 m"})
    assert twice["volume"]["value"] == pytest.approx(once["volume"]["value"])


def test_a_longer_pipe_or_a_larger_output_never_lowers_the_volume():
    base = {**EMPTY, "emitters": "Rooms | panels | | 20 kW"}
    last = 0.0
    for metres in (0, 10, 50, 250):
        now = results({**base, "pipes": f"Run | en-1057-15x1 | | {metres} m"})["volume"]["value"]
        assert now > last
        last = now


def test_plus_minus_of_lengths_and_contents_combine_as_independent():
    both = {
        **EMPTY,
        "pipes": "Run | bore | 35.6825 mm | 100 ± 3 m",
        "emitters": "Radiators | known | 200 ± 4 L",
    }
    assert results(both)["volume"]["plus_minus"] == pytest.approx(5.0, rel=1e-3)


def test_known_contents_leave_no_range_and_estimates_do():
    known = results({**EMPTY, "boilers": "B | known | 80 L"})
    assert known["lowest"]["value"] == known["highest"]["value"] == known["volume"]["value"]
    guess = results({**EMPTY, "emitters": "E | floor | | 10 kW"})
    assert guess["lowest"]["value"] == pytest.approx(0.5 * guess["volume"]["value"])
    assert guess["highest"]["value"] == pytest.approx(1.5 * guess["volume"]["value"])


def test_an_answer_resting_on_estimates_is_cautioned_by_name():
    entries = {**EMPTY, "boilers": "B | known | 60 L", "emitters": "E | columns | | 40 kW"}
    assert status(entries, "estimate") == "caution"
    assert "Column or cast-iron radiators" in message(entries, "estimate")
    assert status({**EMPTY, "boilers": "B | known | 60 L"}, "estimate") == "pass"


def test_missing_parts_are_named():
    entries = {**EMPTY, "boilers": "B | known | 60 L", "pipes": "P | en-1057-22x1 | | 9 m"}
    assert status(entries, "complete") == "caution"
    assert "radiator" in message(entries, "complete")
    assert "boiler" not in message(entries, "complete")


def test_stored_water_entered_as_a_coil_is_cautioned():
    assert status({"others": "Cylinder | coil | 300 L"}, "coil") == "caution"
    assert status({"others": "Cylinder | coil | 12 L"}, "coil") == "pass"
    assert status({"others": "Store | buffer | 300 L"}, "coil") is None


@pytest.mark.parametrize(
    ("output", "verdict", "word"),
    [("155 kW", "pass", "within"), ("30 kW", "caution", "more"), ("900 kW", "caution", "less")],
)
def test_content_per_output_is_judged_against_the_usual(output, verdict, word):
    assert status({"output": output}, "usual") == verdict
    assert word in message({"output": output}, "usual")


def test_without_an_output_nothing_is_judged_by_it():
    found = answered({"output": ""})
    assert "usual" not in {c["id"] for c in found["checks"]}
    assert "specific_content" not in {r["name"] for r in found["results"]}


def test_by_output_is_always_cautioned_and_shows_its_range():
    entries = {"method": "output"}
    assert status(entries, "method") == "caution"
    found = results(entries)
    assert found["lowest"]["value"] < found["volume"]["value"] < found["highest"]["value"]
    assert "gal" in message(entries, "method", "us")


def test_by_output_without_an_output_is_refused():
    error = refusal({"method": "output", "output": ""})
    assert error["field"] == "output"
    assert "Enter" in error["message"]


def test_a_figure_of_ones_own_is_used_as_given():
    found = results({"method": "output", "output": "20 kW", "kind": "own", "specific": "9 L/kW"})
    assert found["volume"]["value"] == pytest.approx(180)
    assert found["estimated_share"]["value"] == 0


def test_meter_that_ran_backwards_is_refused():
    error = refusal({"method": "metered", "before": "40 m3", "after": "39 m3"})
    assert error["field"] == "after"
    assert "rolled over" in error["message"]


def test_more_lost_than_metered_is_refused():
    entries = {"method": "metered", "before": "0 L", "after": "50 L", "remained": "0 L"}
    assert refusal({**entries, "lost": "60 L"})["field"] == "lost"


def test_much_water_past_the_meter_is_cautioned():
    entries = {"method": "metered", "before": "0 L", "after": "500 L", "lost": "0 L"}
    assert status({**entries, "remained": "200 L"}, "unmetered") == "caution"
    assert status({**entries, "remained": "20 L"}, "unmetered") == "pass"


def test_metered_plus_minus_comes_from_all_four_readings():
    entries = {
        "method": "metered", "before": "100 ± 2 L", "after": "900 ± 2 L",
        "remained": "30 ± 4 L", "lost": "10 ± 5 L",
    }  # fmt: skip
    assert results(entries)["volume"]["plus_minus"] == pytest.approx(7.0, rel=1e-6)


def test_nothing_entered_is_refused_with_the_mend():
    error = refusal(EMPTY)
    assert error["field"] == "pipes"
    assert error["message"].endswith("output or length.")


@pytest.mark.parametrize(
    ("table", "row", "field"),
    [
        ("pipes", "Run | en-1057-22x1 | | -3 m", "pipes.0.length"),
        ("pipes", "Run | lead | | 3 m", "pipes.0.tube"),
        ("boilers", "B | known | twelve L", "boilers.0.content"),
        ("emitters", "E | panels | | 3 parsec", "emitters.0.output"),
        ("others", "C | coil | 200 m3", "others.0.content"),
    ],
)
def test_a_bad_cell_is_an_error_on_that_cell(table, row, field):
    assert refusal({**EMPTY, table: row})["field"] == field


def test_the_example_survives_a_change_of_units_and_back():
    si = {i.name: default_entry(i, "si") for i in CALCULATOR.inputs}
    there = converted(ID, si, "us")
    back = converted(ID, there, "si")
    before, after = (results(entries)["volume"]["value"] for entries in (si, back))
    assert after == pytest.approx(before, rel=1e-4)


def test_the_chart_of_a_metered_fill_shows_what_passed_the_meter():
    # 812 - 500 = 312 L through the meter; 312 + 20 - 5 = 327 L in the system.
    entries = {"method": "metered", "before": "500 L", "after": "812 L"}
    answer = run("system-volume", {**entries, "remained": "20 L", "lost": "5 L"}, "si")
    (chart,) = [each for each in answer["charts"] if each["id"] == "meter"]
    assert [bar["value"] for bar in chart["bars"]] == pytest.approx([312, 20, 5, 327])

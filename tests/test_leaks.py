"""Water lost: laws of the functions, and the leak-rate calculator."""

import pytest

from calc import leaks
from calc.bridge import run
from calc.calculators.leak_rate import CALCULATOR
from calc.fluids import water_density
from calc.model import Refusal
from calc.vessel import water_in_vessel

ID = CALCULATOR.id
EVEN = {"water_before": "20 degC", "water_after": "20 degC", "gas_before": "20 degC",
        "gas_after": "20 degC", "charge_temperature": "20 degC"}  # fmt: skip


def answered(entries, system="si"):
    answer = run(ID, entries, system)
    assert "errors" not in answer, answer
    return answer


def results(entries, system="si"):
    return {r["name"]: r["value"] for r in answered(entries, system)["results"]}


def checks(entries, system="si"):
    return {c["id"]: c for c in answered(entries, system)["checks"]}


def refusal(entries):
    (error,) = run(ID, entries)["errors"]
    return error


def test_at_one_temperature_the_gas_space_is_what_the_water_leaves():
    gas = leaks.gas_space(0.25, 2.4e5, 290.0, 2.6e5, 290.0)
    assert 0.25 - gas == pytest.approx(water_in_vessel(0.25, 2.4e5, 2.6e5))


def test_gas_is_conserved_between_the_readings():
    first = leaks.gas_space(0.25, 2.4e5, 288.0, 2.7e5, 295.0)
    second = leaks.gas_space(0.25, 2.4e5, 288.0, 2.5e5, 291.0)
    assert first + leaks.gas_growth(first, 2.7e5, 2.5e5, 295.0, 291.0) == pytest.approx(second)


def test_going_there_and_back_loses_nothing():
    there = leaks.gas_growth(0.06, 2.5e5, 2.3e5, 293.0, 290.0)
    back = leaks.gas_growth(0.06 + there, 2.3e5, 2.5e5, 290.0, 293.0)
    assert there + back == pytest.approx(0.0, abs=1e-15)


def test_cooling_water_shrinks_and_warming_water_grows():
    warm, cool = water_density(330.0), water_density(300.0)
    assert leaks.shrinkage(1.75, warm, cool) > 0 > leaks.shrinkage(1.75, cool, warm)
    # The mass is the same before and after.
    left = 1.75 - leaks.shrinkage(1.75, warm, cool)
    assert left * cool == pytest.approx(1.75 * warm)


def test_the_smallest_loss_is_the_change_that_the_step_makes():
    """Compare the slope with Boyle's law at a step so small that a curve is a line."""
    step, content = 1.0, 0.06 * 2.5e5
    once = content / 2.5e5 - content / (2.5e5 + step)
    twice = content / 2.3e5 - content / (2.3e5 + step)
    found = leaks.smallest_loss(step, content / 2.5e5, 2.5e5, content / 2.3e5, 2.3e5)
    assert found == pytest.approx((once**2 + twice**2) ** 0.5, rel=1e-4)


def test_the_rates_belong_together():
    daily = leaks.in_a_day(0.7, 7 * leaks.DAY)
    assert daily == pytest.approx(0.1)
    assert leaks.in_a_year(daily) == pytest.approx(36.525)
    assert 3 * leaks.share_in_four_months(daily, 36.525) == pytest.approx(1.0)


def test_iron_and_oxygen_make_the_sludge():
    assert leaks.sludge_made(5.0) == pytest.approx(5.0 + leaks.iron_eaten(5.0))


def test_a_vessel_does_not_run_empty_without_a_loss():
    with pytest.raises(Refusal, match="Nothing is lost"):
        leaks.time_to_empty(0.25, 0.24, 0.0)


def test_the_example_plant_passes_every_check():
    for entries in ({}, {"method": "meter"}):
        assert {c["status"] for c in checks(entries).values()} == {"pass"}


def test_no_change_is_no_loss_and_no_leak_is_claimed():
    entries = {**EVEN, "before": "1.6 bar", "after": "1.6 bar"}
    assert results(entries)["lost"] == pytest.approx(0.0, abs=1e-9)
    assert checks(entries)["shown"]["status"] == "caution"
    assert "neither a leak nor a tight system" in checks(entries)["shown"]["message"]


def test_what_was_let_in_is_lost_as_well():
    assert results({"added": "3 L"})["lost"] == pytest.approx(results({})["lost"] + 3.0)


def test_cooling_alone_is_not_taken_for_a_leak():
    """Work out the pressure that cooling alone leaves, and see that nothing is lost."""
    air, head = 101325.0, 0.0
    gas, warm, cool = 0.25 * (1.5e5 + air) / (1.8e5 + air), 313.15, 293.15
    growth = leaks.shrinkage(1.75, water_density(warm), water_density(cool))
    after = (1.8e5 + air) * gas / (gas + growth) - air - head
    entries = {"altitude": "0 m", "gauge_height": "0 m", "before": "1.8 bar",
               "after": f"{after / 1e5:.9f} bar", "water_before": "40 degC",
               "water_after": "20 degC", "gas_before": "20 degC",
               "gas_after": "20 degC"}  # fmt: skip
    found = results(entries)
    assert found["lost"] == pytest.approx(0.0, abs=1e-4)
    assert found["uncorrected"] == pytest.approx(growth * 1000, rel=1e-6)
    assert checks(entries)["temperature"]["status"] == "caution"


def test_a_rise_names_what_may_let_water_in():
    entries = {**EVEN, "before": "1.6 bar", "after": "1.8 bar"}
    assert results(entries)["lost"] < 0
    found = checks(entries)
    assert found["shown"]["status"] == "fail"
    assert "make-up" in found["shown"]["message"]
    assert "cylinder" in found["shown"]["message"]
    assert "share" not in found


def test_both_ends_of_the_two_percent_rule():
    # 2 % of 1750 L in a third of 365.25 days.
    under = {"method": "meter", "interval": "121.75 d", "metered": "34.9 L"}
    assert checks(under)["share"]["status"] == "pass"
    assert checks({**under, "metered": "35.1 L"})["share"]["status"] == "fail"


def test_the_vessel_runs_empty_when_the_chart_says_so():
    answer = answered({})
    course = next(c for c in answer["charts"] if c["id"] == "course")
    (series,) = course["series"]
    found = {r["name"]: r["value"] for r in answer["results"]}
    end, last = series["points"][-1]
    assert end == pytest.approx(28.0 + found["lasts"], rel=1e-6)
    assert last == pytest.approx(course["levels"][0]["value"])
    # The line goes through the second reading.
    below = max(p for p in series["points"] if p[0] <= 28.0)
    above = min(p for p in series["points"] if p[0] >= 28.0)
    assert above[1] <= 1.50 <= below[1]


def test_a_short_reserve_is_warned_of():
    assert checks({"interval": "7 d"})["lasts"]["status"] == "caution"


def test_an_empty_vessel_is_refused_with_the_least_that_is_lost():
    error = refusal({**EVEN, "before": "1.62 bar", "after": "1.3 bar"})
    assert error["field"] == "after"
    assert "At least" in error["message"]


def test_a_first_reading_below_the_charge_is_refused():
    error = refusal({**EVEN, "before": "1.2 bar", "after": "1.1 bar"})
    assert error["field"] == "before"
    assert "holds no water" in error["message"]


def test_a_gauge_far_below_the_vessel_is_refused():
    assert refusal({"gauge_height": "-60 m"})["field"] == "before"


def test_hard_water_brings_more_lime_and_soft_water_none():
    assert results({"method": "meter", "hardness": "0 mg/L"})["lime"] == 0
    once, twice = (results({"method": "meter", "hardness": f"{h} dH"})["lime"] for h in (8, 16))
    assert twice == pytest.approx(2 * once)


def test_glycol_shrinks_more():
    plain = results({})["cooling"]
    mixed = results({"fluid": "propylene glycol", "glycol": "30 %"})["cooling"]
    assert mixed > 1.5 * plain


def test_thin_air_matters():
    assert results({"altitude": "0 m"})["lost"] != pytest.approx(results({})["lost"], rel=1e-3)


def test_a_pressure_below_nothing_is_told_at_the_reading_that_gives_it():
    # A gauge 12 m below the vessel: some 1.17 bar of column, more than the air's 1.01 bar and the
    # 0.1 bar on the gauge together.
    base = {"method": "fall", "gauge_height": "-12 m", "altitude": "0 m", **EVEN}
    low, high = "0.1 bar", "2 bar"
    assert refusal({**base, "before": low, "after": high})["field"] == "before"
    told = refusal({**base, "before": high, "after": low, "charge": "0.3 bar"})
    assert told["field"] == "after"
    assert "below nothing" in told["message"]


def test_what_is_lost_at_least_counts_what_was_let_in():
    """Boyle's law at sea level: 100 L charged to 1.0 hold 100 (1 - 2.01325/2.51325) = 19.9 L at
    1.5 bar. All of it is gone at 0.9 bar, and what was let in meanwhile with it."""

    def said(added):
        entries = {
            "method": "fall",
            "vessel_volume": "100 L",
            "charge": "1 bar",
            "before": "1.5 bar",
            "after": "0.9 bar",
            "added": added,
            "water_before": "15 degC",
            "water_after": "15 degC",
            "altitude": "0 m",
            "gauge_height": "0 m",
        }
        (error,) = run("leak-rate", entries, "si")["errors"]
        assert error["field"] == "after"
        return error["message"].replace("\xa0", " ")

    assert "At least 19.9 L is lost" in said("0 L")
    assert "At least 24.9 L is lost" in said("5 L")

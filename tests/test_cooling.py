"""Cooling: laws of the functions, and the cool-down calculator."""

import pytest

from calc import cooling
from calc.bridge import run
from calc.calculators.cool_down import CALCULATOR, GOALS
from calc.model import Refusal

ID = CALCULATOR.id


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


def test_the_constant_leads_from_the_first_reading_to_the_second():
    tau = cooling.time_constant(3600.0, 344.0, 339.0, 291.0)
    assert cooling.temperature_after(3600.0, tau, 344.0, 291.0) == pytest.approx(339.0)


def test_the_wait_ends_at_the_goal():
    wait = cooling.waiting_time(36000.0, 339.0, 322.0, 291.0)
    assert cooling.temperature_after(wait, 36000.0, 339.0, 291.0) == pytest.approx(322.0)


def test_small_steps_of_the_loss_add_up_to_the_curve():
    """The rate of fall is the distance to the room over the constant."""
    tau, room, temperature = 3600.0, 290.0, 350.0
    step = tau / 20000
    for _ in range(20000):
        temperature -= step * (temperature - room) / tau
    assert temperature == pytest.approx(cooling.temperature_after(tau, tau, 350.0, room), abs=2e-3)


def test_never_colder_than_the_room():
    assert cooling.temperature_after(1e9, 3600.0, 350.0, 290.0) == pytest.approx(290.0)


def test_two_waits_in_a_row_are_one():
    whole = cooling.waiting_time(3600.0, 350.0, 310.0, 290.0)
    first = cooling.waiting_time(3600.0, 350.0, 330.0, 290.0)
    second = cooling.waiting_time(3600.0, 330.0, 310.0, 290.0)
    assert first + second == pytest.approx(whole)


def test_the_heat_to_the_room_runs_out_at_the_first_rate_in_one_constant():
    water = (1.75, 980.0, 4180.0)
    heat = cooling.heat_content(*water, 339.0, 291.0)
    assert cooling.heat_loss(*water, 339.0, 291.0, 7200.0) * 7200.0 == pytest.approx(heat)


@pytest.mark.parametrize(
    ("first", "second", "room", "words"),
    [(340.0, 340.0, 290.0, "nothing cools"), (340.0, 345.0, 290.0, "nothing cools"),
     (340.0, 290.0, 290.0, "cool no further")],
)  # fmt: skip
def test_readings_that_do_not_cool_are_refused(first, second, room, words):
    with pytest.raises(Refusal, match=words):
        cooling.time_constant(3600.0, first, second, room)


def test_a_goal_below_the_room_is_refused():
    with pytest.raises(Refusal, match="not above the room"):
        cooling.waiting_time(3600.0, 340.0, 290.0, 290.0)


def test_the_wait_is_an_interval_and_closer_readings_widen_it():
    found = {r["name"]: r for r in answered({})["results"]}
    assert found["wait"]["plus_minus"] > 0.3
    closer = answered({"first": "71 ± 0.5 degC", "second": "69 ± 0.5 degC"})
    wait = next(r for r in closer["results"] if r["name"] == "wait")
    assert wait["plus_minus"] / wait["value"] > 2 * (
        found["wait"]["plus_minus"] / found["wait"]["value"]
    )


def test_a_lower_goal_takes_longer():
    waits = [results({"goal": goal})["wait"] for goal in sorted(GOALS, key=float, reverse=True)]
    assert waits == sorted(waits)
    assert len(set(waits)) == len(waits)


@pytest.mark.parametrize(
    "option", [o for o in CALCULATOR.input("goal").options if o.value != "own"]
)
def test_each_goal_is_the_temperature_its_label_names(option):
    named = float(option.label.split(" °C")[0])
    (chart,) = answered({"goal": option.value})["charts"]
    level = next(level["value"] for level in chart["levels"] if level["label"] == "goal")
    assert level == pytest.approx(named)


def test_a_warmer_room_takes_longer():
    assert results({"room": "24 degC"})["wait"] > results({"room": "12 degC"})["wait"]


def test_a_goal_already_reached_needs_no_wait():
    found = results({"first": "50 degC", "second": "45 degC"})
    assert found["wait"] == 0
    assert found["heat_to_goal"] == 0
    assert found["heat_to_room"] > 0


def test_what_stands_just_at_the_goal_has_reached_it():
    def worked_out(second):
        goal = {"goal": "own", "goal_own": "45 degC"}
        answer = answered({"first": "60 degC", "second": second, **goal})
        return {step["label"] for step in answer["steps"]}

    at, above = worked_out("45 degC"), worked_out("45.1 degC")
    assert len(above - at) == 2, "the wait and the heat down to the goal"
    assert at < above


def test_the_next_reading_falls_on_the_same_curve():
    """Three readings at even steps: the distances to the room go down by one ratio."""
    found = results({"first": "71 degC", "second": "66 degC", "room": "18 degC"})
    assert (found["next"] - 18) / 48 == pytest.approx(48 / 53)


def test_nothing_that_cools_is_refused_with_where_to_look():
    error = refusal({"first": "66 degC", "second": "66 degC"})
    assert error["field"] == "second"
    assert "immersion heater" in error["message"]


def test_a_room_as_hot_as_the_water_is_refused():
    assert refusal({"room": "60 degC", "first": "62 degC", "second": "59 degC"})["field"] == "room"


def test_a_goal_in_a_hot_plant_room_is_refused():
    error = refusal({"goal": "35", "room": "36 degC"})
    assert error["field"] == "goal"
    assert "open tank" in error["message"]
    assert refusal({"goal": "own", "goal_own": "30 degC", "room": "36 degC"})["field"] == "goal_own"


def test_boiling_is_judged_with_the_altitude():
    hot = {"first": "104 degC", "second": "99 degC"}
    assert checks({**hot, "altitude": "0 m"})["boiling"]["status"] == "caution"
    assert checks({**hot, "altitude": "2000 m"})["boiling"]["status"] == "fail"
    assert checks({"altitude": "0 m"})["boiling"]["status"] == "pass"


def test_a_drain_limit_above_49_is_no_leave_to_open():
    assert checks({"goal": "60"})["goal"]["status"] == "caution"
    assert checks({"goal": "49"})["goal"]["status"] == "pass"


@pytest.mark.parametrize(
    ("fahrenheit", "time"),
    [(150.0, "2 seconds"), (140.0, "6 seconds"), (130.0, "30 seconds"), (120.0, "5 minutes")],
)
def test_each_printed_burn_time_begins_at_its_temperature(fahrenheit, time):
    room = {"first": "170 degF", "room": "60 degF", "goal": "40"}
    at = checks({**room, "second": f"{fahrenheit + 0.01} degF"}, "us")["burn"]
    assert f"about {time}" in at["message"]
    assert f"{fahrenheit:.0f}\xa0°F" in at["message"]
    below = checks({**room, "second": f"{fahrenheit - 0.5} degF"}, "us")["burn"]
    assert f"about {time}" not in below["message"]


def test_readings_too_close_and_a_goal_too_far_are_warned_of():
    close = checks({"first": "68 degC", "second": "66 degC"})
    assert close["apart"]["status"] == "caution"
    assert close["ahead"]["status"] == "caution"
    assert checks({})["apart"]["status"] == checks({})["ahead"]["status"] == "pass"


def test_the_chart_passes_through_both_readings_and_the_goal():
    (chart,) = answered({})["charts"]
    points = chart["series"][0]["points"]
    assert points[0][1] == pytest.approx(71.0)
    assert points[-1][1] < 49.0
    assert any(level["value"] == pytest.approx(49.0) for level in chart["levels"])
    inside = [p for p in points if p[0] <= 1.0]
    assert all(y >= 66.0 - 1e-6 for _, y in inside)

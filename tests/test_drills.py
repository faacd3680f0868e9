"""Drills: rooms from a seed, acts as typed, what is shown, and the readings that decide."""

import json
import re
from dataclasses import replace
from itertools import combinations
from types import SimpleNamespace

import pytest

from calc.model import Refusal, as_text
from calc.plant.actions import REFUSED, UNSAFE
from calc.plant.state import State, flow_and_return, gauge_pressure_at, gauge_reading
from calc.training import debrief as debriefing
from calc.training import drill
from calc.training.debrief import Cause, Told, debrief, first_difference, good_order, scored
from calc.training.drill import ACTS, Play, Unreadable, carry_out, play, read
from calc.training.instruments import ROOM_GAUGE, SHOWN_BY, TITLES, as_shown, told
from calc.training.scenarios import (
    CHOICES,
    NEVER_TOGETHER,
    SCENARIOS,
    Lived,
    _complaint,
    drawn,
    families,
    rival,
    row_of,
    scenario,
    sized,
    with_these,
)
from view import respond

ALL = [
    "charge-lost", "diaphragm-failed", "vessel-too-small", "more-water", "make-up-passing",
    "coil-leaking", "vessel-shut", "charge-too-high", "leak", "relief-dirty", "vessel-at-outlet",
    "overheating", "gauge-blocked", "gauge-wrong",
]  # fmt: skip


def asked(actions=(), diagnosis=None, id="one-fault", seed=1, system="si"):
    request = {
        "op": "drill-play",
        "drill": {"id": id, "seed": seed, "system": system},
        "actions": list(actions),
        "diagnosis": diagnosis,
    }
    return json.loads(respond(json.dumps(request)))


# Rooms.


@pytest.fixture(scope="module")
def many():
    return [drawn(kind.id, seed) for kind in SCENARIOS for seed in range(6)]


def test_a_seed_gives_the_same_room_for_ever():
    for kind in SCENARIOS:
        assert drawn(kind.id, 3) == drawn(kind.id, 3)
    assert drawn("one-fault", 3) != drawn("one-fault", 4)


def test_rooms_are_within_reason(many):
    for case in many:
        sheet = case.sheet
        assert 1.0 <= sheet.volume <= 2.4
        assert 9.5 <= sheet.height <= 13.0
        assert 0.04 < sheet.vessel_volume / sheet.volume < 0.2
        # The charge carries the water to the top with a third of a bar to spare.
        assert sheet.charge_gauge >= 9806.65 * sheet.height * 0.99 + 0.3e5
        assert sheet.charge_gauge < sheet.cold_gauge < sheet.relief_gauge - 1e5
        assert 7 * 3600.0 <= case.state.time - 86400.0 <= 15 * 3600.0 + 60.0
        assert case.complaint
        assert all(as_text(one, "us") for one in case.complaint)


def test_a_kind_of_drill_draws_what_it_says(many):
    for case in many:
        assert len(case.faults) in case.scenario.counts
        if case.scenario.pool:
            assert {row_of(fault.id) for fault in case.faults} <= set(case.scenario.pool)
        for one, other in combinations(case.faults, 2):
            assert frozenset((one.id, other.id)) not in NEVER_TOGETHER
    counts = {len(faults_of("open-call", seed)) for seed in range(40)}
    assert counts == {0, 1, 2}


def faults_of(id, seed):
    from calc.training.scenarios import Draw, _faults

    return _faults(scenario(id), Draw("drill", id, seed, 0))


def test_every_fault_is_drawn():
    found = {fault.id for seed in range(150) for fault in faults_of("one-fault", seed)}
    assert found == set(ALL)


def test_a_room_in_order_stays_below_its_relief_valve():
    for seed in range(4):
        case = with_these(seed, ())
        heated = carry_out(case.state, read({"do": "heat-up"}, "si"), case.state.time)
        assert heated.readings["from the relief pipe"] == 0.0
        assert heated.readings["highest on the gauge"] < case.sheet.relief_gauge - 0.3e5


COMPLAINTS = {
    "vessel-shut": "relief pipe",
    "overheating": "hotter than ever",
    "gauge-blocked": "has not moved",
    "leak": "meter of the make-up",
    "charge-lost": "relief pipe",
}


@pytest.mark.parametrize("name", COMPLAINTS)
def test_the_caller_tells_what_the_fault_does(name):
    case = with_these(3, [sized(name, 0.5)])
    said = " ".join(as_text(one, "si") for one in case.complaint)
    assert COMPLAINTS[name] in said


def test_the_caller_of_a_room_in_order_tells_nothing_grave():
    case = with_these(3, ())
    said = " ".join(as_text(one, "si") for one in case.complaint)
    assert "relief" not in said
    assert "whether that is all right" in said or "Is anything wrong?" in said


@pytest.mark.parametrize("name", ALL)
def test_another_room_meets_the_trainee_with_the_same_reading(name):
    case = with_these(2, [sized("charge-lost", 0.5)])
    shown = gauge_reading(case.state)
    for group in families(row_of(name)):
        for fault in group:
            other = rival(case, [fault])
            assert gauge_reading(other) == pytest.approx(shown, abs=10.0)
            assert other.time == case.state.time


# Acts as typed.


def test_numbers_are_read_with_their_units():
    half = read({"do": "wait", "values": {"time": {"value": "0.5", "unit": "h"}}}, "si")
    assert dict(half.values) == {"seconds": 1800.0}
    assert dict(read({"do": "wait", "values": {"time": "30"}}, "us").values) == {"seconds": 1800.0}
    bar = read({"do": "top-up", "values": {"pressure": {"value": "1.5", "unit": "bar"}}}, "si")
    assert dict(bar.values) == {"to_gauge": pytest.approx(1.5e5)}
    psi = read({"do": "top-up", "values": {"pressure": {"value": "12", "unit": "psi"}}}, "us")
    assert dict(psi.values)["to_gauge"] == pytest.approx(82737.1, rel=1e-5)
    assert dict(read({"do": "heat-up", "values": {"temperature": ""}}, "si").values) == {}
    assert dict(read({"do": "shut-fill"}, "si").values) == {"is_open": False}


@pytest.mark.parametrize(
    ("raw", "field"),
    [
        ({"do": "blow-up"}, ""),
        ("wait", ""),
        ({}, ""),
        ({"do": "wait", "values": {"time": ""}}, "time"),
        ({"do": "wait", "values": {"time": "soon"}}, "time"),
        ({"do": "wait", "values": {"time": "-5"}}, "time"),
        ({"do": "wait", "values": {"time": "1000 h"}}, "time"),
        ({"do": "wait", "values": {"time": ["30"]}}, "time"),
        ({"do": "wait", "values": [1]}, ""),
        ({"do": "top-up", "values": {"pressure": {"value": "1.5", "unit": "apples"}}}, "pressure"),
        ({"do": "let-out", "values": {"water": "nan"}}, "water"),
    ],
)
def test_what_cannot_be_read_is_answered_at_its_field(raw, field):
    with pytest.raises(Unreadable) as refused:
        read(raw, "si")
    assert refused.value.field == field
    assert str(refused.value).endswith((".", "?"))
    answer = asked([raw])
    assert answer["errors"][0]["field"] == field


@pytest.mark.parametrize(
    "bent",
    [
        {"drill": {"id": "none", "seed": 1, "system": "si"}},
        {"drill": {"id": "one-fault", "seed": -1, "system": "si"}},
        {"drill": {"id": "one-fault", "seed": 1.5, "system": "si"}},
        {"drill": {"id": "one-fault", "seed": True, "system": "si"}},
        {"drill": {"id": "one-fault", "seed": 1, "system": "metric"}},
        {"drill": "one-fault"},
        {"actions": "wait"},
        {"actions": [{"do": "read-gauge"}] * 201},
        {"diagnosis": ["more-water"]},
        {"diagnosis": "leak"},
        {"diagnosis": [1]},
    ],
)
def test_a_bent_request_is_refused(bent):
    request = {
        "op": "drill-play",
        "drill": {"id": "one-fault", "seed": 1, "system": "si"},
        "actions": [],
        "diagnosis": None,
    }
    answer = json.loads(respond(json.dumps(request | bent)))
    assert set(answer) == {"errors"}
    assert answer["errors"][0]["message"].endswith(".")


def test_every_act_can_be_done_and_told_in_both_systems():
    typed = {
        "time": {"si": "10", "us": "10"},
        "pressure": {"si": "1.6", "us": "23"},
        "temperature": {"si": "60", "us": "140"},
        "water": {"si": "0.25", "us": "0.5"},
    }
    for system in ("si", "us"):
        for act in ACTS:
            values = {f.name: typed[f.name][system] for f in act.fields}
            answer = asked([{"do": act.id, "values": values}], system=system)
            assert "errors" not in answer, act.id
            last = answer["last"]
            assert last["verdict"] in ("safe", "unsafe", "refused")
            if last["verdict"] != "safe":
                assert last["reason"]
            if last["verdict"] == "refused":
                assert answer["clock"] == 0
            else:
                assert answer["clock"] > 0


def test_every_reading_has_an_instrument_and_a_name():
    for name in SHOWN_BY:
        assert as_shown(name, 300.0, "si")
        assert as_shown(name, 300.0, "us")
        assert name in TITLES or name in ("control setting",)
    assert told("gauge", 1.537e5, "si") == "The gauge shows 1.55\N{NO-BREAK SPACE}bar g."


# What is shown.

SEQUENCE = [
    {"do": "look-round"},
    {"do": "read-temperatures"},
    {"do": "lock-out"},
    {"do": "shut-fill-and-wait", "values": {"time": {"value": "40", "unit": "min"}}},
]


@pytest.mark.parametrize(("system", "division"), [("si", 0.05), ("us", 0.5)])
def test_only_what_an_instrument_shows_is_answered(system, division):
    answer = asked(SEQUENCE, system=system)
    assert "errors" not in answer
    on_grid = answer["dial"]["value"] / division
    assert on_grid == pytest.approx(round(on_grid), abs=1e-6)
    for second, value in answer["gauge"]:
        assert 0.0 <= second <= 2400.0
        assert value / (division / 5) == pytest.approx(round(value / (division / 5)), abs=1e-4)
    assert answer["gauge"][0][0] == 0.0
    assert len(answer["gauge"]) <= 300
    assert answer["done"] is False
    assert answer["score"] is None
    assert answer["html"]["debrief"] == ""
    text = json.dumps(answer)
    case = drawn("one-fault", 1)
    for fault in case.faults:
        assert fault.title not in text
        assert fault.id not in text
    assert repr(case.state.gas)[:8] not in text


def test_what_is_not_looked_at_is_not_told():
    parts = {part["id"]: part["state"] for part in asked()["parts"]}
    assert parts["vessel"] == parts["fill"] == parts["pump"] == "not looked at yet"
    parts = {part["id"]: part["state"] for part in asked(SEQUENCE)["parts"]}
    assert parts["fill"] == "isolator shut"
    assert parts["boiler"] == "locked out by hand"


def test_a_drill_is_the_same_played_at_once_or_act_by_act():
    one_by_one = [asked(SEQUENCE[:n]) for n in range(len(SEQUENCE) + 1)][-1]
    drill._kept.clear()
    at_once = asked(SEQUENCE)
    assert one_by_one == at_once
    other = asked([SEQUENCE[0], SEQUENCE[2]])
    drill._kept.clear()
    assert asked([SEQUENCE[0], SEQUENCE[2]]) == other


def test_si_and_us_are_the_same_room():
    one = play("one-fault", 1, [read(a, "si") for a in SEQUENCE])
    two = play("one-fault", 1, [read(a, "us") for a in SEQUENCE])
    assert one.state == two.state


def test_a_refused_act_leaves_room_and_clock():
    before = asked([{"do": "read-gauge"}])
    after = asked([{"do": "read-gauge"}, {"do": "drain-vessel"}])
    assert after["last"]["verdict"] == "refused"
    assert after["clock"] == before["clock"]
    assert after["dial"] == before["dial"]


def test_the_working_day_ends():
    case = with_these(1, ())
    late = replace(case.state, time=case.state.time + drill.WORKING_TIME)
    step = carry_out(late, read({"do": "read-gauge"}, "si"), case.state.time)
    assert (step.verdict, step.state) == (REFUSED, late)
    assert "working day" in step.reason


def test_the_list_names_what_can_be_drilled_and_named():
    answer = json.loads(respond('{"op": "drill-list"}'))
    assert [one["id"] for one in answer["drills"]] == [one.id for one in SCENARIOS]
    assert {one["id"] for one in answer["faults"]} == {row_of(name) for name in ALL}


def test_nothing_a_reader_sends_becomes_markup():
    answer = asked([{"do": "wait", "values": {"time": "<b>1</b>"}}])
    assert "errors" in answer
    page = asked(SEQUENCE, ["leak"])
    for piece in page["html"].values():
        assert "<script" not in piece
        assert "None" not in piece.replace("None. Nobody", "")


# What decides.


def ordered(case):
    return Play(case, tuple(good_order(case)))


@pytest.fixture(scope="module")
def singles():
    rooms = {name: with_these(5, [sized(name, 0.3)]) for name in ALL}
    rooms[""] = with_these(5, ())
    return {name: ordered(case) for name, case in rooms.items()}


@pytest.mark.parametrize("name", ["", *ALL])
def test_a_good_order_tells_every_fault_from_every_other(singles, name):
    played = singles[name]
    found = debrief(played, list(played.case.rows), "si")
    assert [cause.row for cause in found.standing] == []
    assert found.points == 100
    assert found.unsafe == ()
    assert 0.0 < found.needed <= found.used


@pytest.mark.parametrize("name", ["", *ALL])
@pytest.mark.parametrize("system", ["si", "us"])
def test_no_true_cause_is_ever_ruled_out(singles, name, system):
    played = singles[name]
    row = played.case.rows[0] if name else ""
    assert first_difference(played.case, row, played.steps, system) is None


@pytest.mark.parametrize("seed", range(6))
def test_two_faults_are_told_from_either_alone(seed):
    played = ordered(drawn("two-faults", seed))
    found = debrief(played, list(played.case.rows), "si")
    assert len(found.truth) == 2
    assert {cause.row for cause in found.causes if cause.part} == set(found.truth)
    assert not [cause.row for cause in found.standing if cause.part]


def test_a_lucky_guess_is_told_so():
    case = drawn("one-fault", 1)
    found = debrief(Play(case, ()), list(case.rows), "si")
    assert len(found.standing) == len(found.causes) == len(CHOICES)
    assert found.points == 50
    answer = asked([], list(case.rows))
    assert "lucky guess" in answer["html"]["debrief"]
    assert answer["done"] is True
    assert answer["score"]["points"] == 50
    assert all(cause.would for cause in found.causes)


def test_wrong_names_and_unsafe_acts_cost_points(singles):
    played = singles["leak"]
    assert debrief(played, ["leak", "charge-lost"], "si").points == 75
    assert debrief(played, ["charge-lost"], "si").points == 50
    assert debrief(played, [], "si").missed == ("leak",)
    steps = (replace(played.steps[0], verdict=UNSAFE, reason="Because."), *played.steps[1:])
    found = debrief(Play(played.case, steps), ["leak"], "si")
    assert found.unsafe == (0,)
    assert found.points == 90


def test_each_part_of_the_score_says_out_of_how_many_and_why(singles):
    def diagnosis(named):
        found = debrief(singles["leak"], named, "si").parts[0]
        return found.points, found.most, found.words

    assert diagnosis(["leak"]) == (50, 50, "1 of 1 named.")
    assert diagnosis(["leak", "charge-lost"])[1:] == (
        50,
        "1 of 1 named, 1 named that is not there.",
    )
    assert diagnosis(["charge-lost", "charge-too-high"])[2] == (
        "0 of 1 named, 2 named that are not there."
    )


def test_a_false_alarm_is_a_diagnosis(singles):
    played = singles[""]
    assert debrief(played, [], "si").points == 100
    assert debrief(played, ["leak"], "si").parts[0].points == 25


def test_a_score_by_itself_is_that_of_the_page():
    answer = asked(SEQUENCE, ["charge-too-high"])
    alone = scored("one-fault", 1, "si", SEQUENCE, ["charge-too-high"])
    assert (alone.points, alone.most) == (answer["score"]["points"], answer["score"]["most"])
    assert not scored("one-fault", 1, "si", SEQUENCE, None).complete


def test_the_reading_that_decides_is_the_first_that_differs(singles):
    played = singles["gauge-blocked"]
    told_by = first_difference(played.case, "gauge-wrong", played.steps, "si")
    assert told_by is not None
    assert first_difference(played.case, "gauge-wrong", played.steps[: told_by.step], "si") is None
    assert told_by.seen != told_by.instead


def test_a_difference_within_a_division_decides_nothing():
    case = with_these(5, [sized("leak", 0.5)])
    short = carry_out(case.state, read({"do": "read-gauge"}, "si"), case.state.time)
    assert abs(short.readings["change of the gauge"]) < ROOM_GAUGE.division("si")
    assert first_difference(case, "", [short], "si") is None


# The columns of the book's table of signs, by what a drill shows.

COLD = 288.15


def column_state(case):
    """Return the room cold and quiet, its make-up open, filled to its cold reading."""
    from calc.training.scenarios import _at_rest_in_the_room, _showing

    state = replace(case.state, called=None, relief_open=False, openings=0)
    plant = replace(state.plant, schedule=type(state.plant.schedule)())
    state = _at_rest_in_the_room(replace(state, plant=plant, locked="", air=0.0, unmixed=0.0))
    true = case.sheet.cold_gauge + 0.3e5
    # The hot room drew air as it was made cold at a stroke.
    return _showing(replace(state, air=0.0), true + state.plant.gauge.zero)


def doing(id, **values):
    return read({"do": id, "values": values}, "si")


def sign(value, still):
    return "rises" if value > still else "falls" if value < -still else "stays"


@pytest.fixture(scope="module")
def columns():
    return {name: looked_up(singles_case(name)) for name in ["", *ALL]}


def singles_case(name):
    return with_these(5, [sized(name, 0.9)] if name else [])


def looked_up(case):
    start = column_state(case)
    found = {}

    def do(id, state, **values):
        return carry_out(state, doing(id, **values), state.time)

    quiet = do("lock-out", start).state
    waited = do("wait", quiet, time="3 h")
    found["cold"] = sign(waited.needle[-1][1] - waited.needle[0][1], 5e3)
    shut = do("shut-fill", quiet).state
    waited = do("wait", shut, time="3 h")
    found["cold, fill shut"] = sign(waited.needle[-1][1] - waited.needle[0][1], 5e3)
    dead = do("shut-cold-supply", shut).state
    waited = do("wait", dead, time="3 h")
    found["cold, supply shut"] = sign(waited.needle[-1][1] - waited.needle[0][1], 5e3)
    found["cold drip"] = do("catch-relief", shut, time="1 h").readings["from the relief pipe"] > 0.5
    ready = do("shut-fill", start).state
    before = gauge_pressure_at(ready, ready.plant.gauge.place)
    hot = do("heat-up", ready)
    found["hot drip"] = hot.readings["from the relief pipe"] > 0.5
    found["flow"] = hot.readings["flow afterwards"] > case.sheet.setting + 3.0
    found["rise"] = max(v for _, v in hot.needle) - hot.needle[0][1]
    both = do("second-gauge", hot.state)
    found["gauges"] = "apart" if abs(both.readings["gauges apart"]) > 1e4 else "agree"
    stopped = do("stop-pump", quiet).state
    started = do("start-pump", stopped)
    found["pump"] = sign(started.needle[-1][1] - gauge_reading(stopped), 5e3)
    pin = do("press-pin", quiet)
    found["pin"] = pin.readings["at the gas valve"]
    off = do("shut-vessel-valve", quiet)
    found["valve"] = off.readings["valve was"]
    drained = do("drain-vessel", off.state)
    read_off = do("read-charge", drained.state)
    short = read_off.readings["on the gas valve"] - case.sheet.charge_gauge
    found["charge"] = "zero" if short < -0.9 * case.sheet.charge_gauge else {
        "falls": "low", "stays": "right", "rises": "high"
    }[sign(short, 0.1e5)]  # fmt: skip
    assert before > 0.0
    return found


BOOK = {
    "charge-lost": {
        "cold": "stays", "rise": "large", "hot drip": True, "charge": "low", "pin": "gas",
    },
    "diaphragm-failed": {
        "cold": "stays", "rise": "large", "hot drip": True, "charge": "zero", "pin": "water",
    },
    "vessel-too-small": {"cold": "stays", "rise": "large", "charge": "right"},
    "more-water": {"cold": "stays", "rise": "large", "charge": "right"},
    "make-up-passing": {
        "cold": "rises", "cold, fill shut": "stays", "rise": "right", "charge": "right",
    },
    "coil-leaking": {
        "cold": "rises", "cold, fill shut": "rises", "cold, supply shut": "stays",
        "rise": "right", "charge": "right",
    },
    "vessel-shut": {"valve": "shut", "rise": "large", "hot drip": True, "charge": "right"},
    "charge-too-high": {"rise": "large", "hot drip": False, "charge": "high"},
    "leak": {
        "cold": "falls", "cold, fill shut": "falls", "rise": "right", "hot drip": False,
        "charge": "right",
    },
    "relief-dirty": {
        "cold": "falls", "cold, fill shut": "falls", "cold drip": True, "hot drip": True,
        "rise": "right", "charge": "right",
    },
    "vessel-at-outlet": {"pump": "falls", "charge": "right"},
    "overheating": {"cold": "stays", "rise": "large", "flow": True, "charge": "right"},
    "gauge-blocked": {"cold": "stays", "rise": "none", "gauges": "apart"},
    "gauge-wrong": {"gauges": "apart", "charge": "right"},
}  # fmt: skip

PHYSICS_SAYS_OTHERWISE = {
    ("coil-leaking", "rise"): "water comes in all the while it heats, which adds to the rise",
    ("relief-dirty", "rise"): "water is lost all the while it heats, which takes from the rise",
    ("vessel-at-outlet", "pump"): (
        "the gauge sits beside the pump's outlet, where the vessel is too, so it hardly moves; "
        "in a room in order it rises"
    ),
    ("diaphragm-failed", "cold"): (
        "what gas is left goes off with the water, and nothing else gives: within hours it falls"
    ),
    ("leak", "rise"): "water is lost all the while it heats, which takes from the rise",
}


def cells():
    for row, wanted in BOOK.items():
        for column in wanted:
            why = PHYSICS_SAYS_OTHERWISE.get((row, column))
            marks = [pytest.mark.xfail(strict=True, reason=why)] if why else []
            yield pytest.param(row, column, id=f"{row}: {column}", marks=marks)


def in_words(found, order):
    share = found["rise"] / order["rise"]
    word = "none" if share < 0.1 else "large" if share > 1.2 else "right" if share > 0.8 else "less"
    return {**found, "rise": word}


@pytest.mark.parametrize(("row", "column"), list(cells()))
def test_a_cell_of_the_table_of_signs(columns, row, column):
    assert in_words(columns[row], columns[""])[column] == BOOK[row][column]


def test_the_columns_tell_every_row_from_every_other(columns):
    words = {name: in_words(found, columns[""]) for name, found in columns.items()}
    for one, other in combinations(["", *ALL], 2):
        if row_of(one) != row_of(other):
            assert words[one] != words[other], (one, other)


def test_the_state_is_never_in_a_step_s_words():
    played = play("one-fault", 1, [read(a, "si") for a in SEQUENCE])
    for step in played.steps:
        assert not any(isinstance(value, State) for value in step.readings.values())


def test_what_is_refused_still_shows_the_gauge_and_the_flow_as_they_are():
    case = with_these(1, ())
    hot = carry_out(case.state, read({"do": "heat-up"}, "si"), case.state.time).state
    flow, back = flow_and_return(hot)
    assert flow > back
    refused = carry_out(hot, read({"do": "drain-vessel"}, "si"), case.state.time)
    assert refused.verdict == REFUSED
    assert refused.needle == ((0.0, gauge_reading(hot)),)
    assert refused.warmth == ((0.0, flow),)
    assert refused.seconds == 0.0


@pytest.mark.parametrize("share", [0.0, 0.4, 1.0])
def test_only_a_gauge_is_wrong_to_either_side(share):
    def values(id, side):
        fault = sized(id, share, side)
        return [leak.area for leak in fault.leaks] or [change.value for change in fault.changes]

    assert values("gauge-wrong", -1.0) == [-value for value in values("gauge-wrong", 1.0)]
    assert values("leak", -1.0) == values("leak", 1.0)
    assert all(value > 0.0 for value in values("leak", -1.0))


# The score by its rule.


def scored_parts(truth, found, wrong, causes, unsafe=0):
    """Return the score; a cause is "out", "open" or "never", which no good order rules out."""
    reading = Told(0, doing("read-gauge"), "gauge", "1 bar g", "2 bar g")
    made = {"out": (reading, None), "open": (None, reading), "never": (None, None)}
    return debriefing._score(
        truth, found, wrong, [Cause("leak", "Leak", *made[one]) for one in causes], unsafe
    )


@pytest.mark.parametrize(
    ("truth", "found", "wrong", "points"),
    [
        (["a"], ["a"], [], 50),
        (["a", "b"], ["a"], [], 25),
        (["a", "b"], ["a", "b"], ["c"], 25),
        # 25 for the one found, 25 less for the other, and never below nothing.
        (["a", "b"], ["a"], ["c"], 0),
        (["a"], [], ["c", "d"], 0),
        ([], [], [], 50),
        ([], [], ["c"], 25),
        ([], [], ["c", "d", "e"], 0),
    ],
)
def test_a_diagnosis_brings_a_share_for_each_fault_and_costs_for_each_wrong_name(
    truth, found, wrong, points
):
    part = scored_parts(truth, found, wrong, [])[0]
    assert (part.title, part.points, part.most) == ("Diagnosis", points, 50)


@pytest.mark.parametrize(
    ("causes", "points", "said"),
    [
        (["out", "out"], 50, "2 of 2"),
        (["out", "open", "open"], 17, "1 of 3"),
        (["open", "open"], 0, "0 of 2"),
        # What even a good order cannot rule out does not count.
        (["out", "never", "never"], 50, "1 of 1"),
        (["out", "open", "never"], 25, "1 of 2"),
        (["never"], 50, "0 of 0"),
    ],
)
def test_evidence_is_the_share_of_the_causes_ruled_out_that_can_be(causes, points, said):
    part = scored_parts(["a"], ["a"], [], causes)[1]
    assert (part.title, part.points, part.most) == ("Evidence", points, 50)
    assert f" {said} " in part.words


@pytest.mark.parametrize(
    ("unsafe", "points", "words"),
    [(0, 0, "0 unsafe acts."), (1, -10, "1 unsafe act."), (3, -30, "3 unsafe acts.")],
)
def test_each_unsafe_act_costs_ten(unsafe, points, words):
    part = scored_parts(["a"], ["a"], [], [], unsafe)[2]
    assert (part.points, part.most, part.words) == (points, 0, words)


def test_no_score_is_below_nothing(singles):
    played = singles["leak"]
    steps = tuple(replace(one, verdict=UNSAFE, reason="So.") for one in played.steps)
    assert len(steps) > 10
    found = debrief(Play(played.case, steps), ["leak"], "si")
    assert found.unsafe == tuple(range(len(steps)))
    assert found.points == 0


def test_what_was_named_is_compared_with_what_is_wrong(singles):
    found = debrief(singles["leak"], ["charge-lost", "leak"], "si")
    assert (found.truth, found.named) == (("leak",), ("charge-lost", "leak"))
    assert (found.found, found.missed, found.wrong) == (("leak",), (), ("charge-lost",))
    assert found.used == pytest.approx(sum(step.seconds for step in singles["leak"].steps))
    assert found.needed == pytest.approx(sum(step.seconds for step in found.order))
    # The order ends with the reading that rules out the last cause.
    assert len(found.order) - 1 == max(cause.would.step for cause in found.causes if cause.would)
    assert "leak" not in [cause.row for cause in found.causes]


def test_a_drill_without_a_diagnosis_is_not_done():
    left = scored("one-fault", 1, "si", SEQUENCE, None)
    assert (left.title, left.points, left.most, left.complete) == ("One fault", 0, 100, False)
    done = scored("one-fault", 1, "si", [], ["leak", "charge-lost"])
    assert (done.title, done.points, done.most, done.complete) == ("One fault", 0, 100, True)
    assert left.words
    assert [words.split(":")[0] for words in done.words] == ["Diagnosis", "Evidence", "Unsafe acts"]
    assert done.words[1].startswith("Evidence: 0. Your readings ruled out 0 of ")


# What a good order is made of.


def acts_of(played):
    return [step.doing.act.id for step in played.steps]


def test_a_good_order_goes_from_what_moves_nothing_to_what_opens_the_vessel(singles):
    acts = acts_of(singles[""])
    in_turn = ["look-round", "heat-up", "let-cool", "shut-fill-and-wait", "press-pin",
               "shut-vessel-valve", "drain-vessel", "read-charge"]  # fmt: skip
    assert [act for act in acts if act in in_turn] == in_turn
    assert not {step.verdict for step in singles[""].steps} & {UNSAFE, REFUSED}
    lasting = {
        step.doing.act.id: dict(step.doing.values)["seconds"]
        for step in singles[""].steps
        if "seconds" in dict(step.doing.values)
    }
    assert lasting == {"wait": 3600.0, "catch-relief": 1800.0, "shut-fill-and-wait": 7200.0}
    assert acts.count("wait") == acts.count("catch-relief") == 2


def test_a_room_with_its_vessel_shut_off_is_not_heated(singles):
    assert "heat-up" not in acts_of(singles["vessel-shut"])
    for name, played in singles.items():
        if name != "vessel-shut":
            assert "heat-up" in acts_of(played), name
            boiler = str(played.steps[0].readings["boiler"])
            wants_it = boiler.startswith(("the", "locked"))
            assert ("make-ready" in acts_of(played)) is wants_it, name


# Which reading tells two rooms apart.


def shows(openings=0, **readings):
    """Return a step that showed these readings, in a room whose valve shuts half a bar lower."""
    valve = SimpleNamespace(closing=0.5e5)
    state = SimpleNamespace(openings=openings, plant=SimpleNamespace(relief=valve))
    named = {name.replace("_", " "): value for name, value in readings.items()}
    return SimpleNamespace(doing=doing("read-gauge"), readings=named, state=state)


def apart(step, *others):
    return list(debriefing._differences(4, step, others, "si"))


@pytest.mark.parametrize(
    ("gauge", "others", "tells"),
    [
        # Shown as 1.50 bar; a division and half a division, 0.075 bar, tell nothing.
        (1.51e5, (1.57e5, 1.60e5), False),
        (1.51e5, (1.58e5, 1.60e5), True),
        (1.51e5, (1.40e5, 1.43e5), False),
        # Just as much is no more.
        (1.51e5, (1.575e5, 1.60e5), False),
        (1.51e5, (1.40e5, 1.425e5), False),
        (1.51e5, (1.40e5, 1.42e5), True),
        # Between the smallest and the largest fault lies every size of it, in whatever order.
        (1.51e5, (1.20e5, 1.90e5), False),
        (1.51e5, (1.90e5, 1.20e5), False),
    ],
)
def test_a_number_tells_a_cause_apart_outside_of_all_its_sizes(gauge, others, tells):
    step = shows(gauge=gauge)
    found = apart(step, *(shows(gauge=one) for one in others))
    assert bool(found) is tells
    if tells:
        assert (found[0].step, found[0].name) == (4, "gauge")
        assert found[0].doing is step.doing
        assert found[0].seen == "1.50\xa0bar g"


def test_what_a_cause_would_have_shown_is_told_from_its_smallest_to_its_largest():
    step = shows(gauge=1.5e5)
    (found,) = apart(step, shows(gauge=1.9e5), shows(gauge=1.7e5), shows(gauge=1.8e5))
    assert found.instead == "1.70\xa0bar g to 1.90\xa0bar g"
    (found,) = apart(step, shows(gauge=1.9e5), shows(gauge=1.9e5))
    assert found.instead == "1.90\xa0bar g"


@pytest.mark.parametrize("blown", ["here", "there"])
def test_once_a_valve_has_blown_the_level_tells_only_beyond_what_it_lets_go(blown):
    mine, other = (1, 0) if blown == "here" else (0, 1)

    def found(gauge, **more):
        return apart(
            shows(mine, gauge=1.5e5, **more), shows(gauge=gauge), shows(other, gauge=gauge)
        )

    # 0.075 bar and half a bar.
    assert not found(2.07e5)
    assert found(2.08e5)
    # How the needle moved still tells.
    step = shows(mine, change_of_the_gauge=0.3e5)
    assert apart(step, shows(other, change_of_the_gauge=0.2e5))


def test_a_word_tells_a_cause_apart_that_shows_it_in_no_size():
    step = shows(pump="stopped")
    assert not apart(step, shows(pump="running"), shows(pump="stopped"))
    (found,) = apart(step, shows(pump="running"), shows(pump="humming"), shows(pump="running"))
    assert found.doing is step.doing
    assert (found.name, found.seen, found.instead) == ("pump", "stopped", "running or humming")


def test_what_was_not_seen_in_every_room_tells_nothing():
    step = shows(gauge=1.5e5, pump="stopped")
    assert not apart(step)
    assert not apart(step, shows(gauge=3e5, pump="running"), shows())
    # What hangs on whoever was there last, and not on the fault.
    assert not apart(shows(boiler="off"), shows(boiler="on"))
    assert not apart(shows(sound="dull"), shows(sound="rings"))
    # None that tells nothing hides those after it, nor does one that tells something.
    step = shows(sound="dull", vent="water", pump="off", isolator_was="shut", gauge=1.5e5)
    other = shows(sound="rings", pump="off", isolator_was="open", gauge=3e5)
    assert [one.name for one in apart(step, other)] == ["isolator was", "gauge"]


# Numbers of an act, and what the clock says.


@pytest.mark.parametrize(
    ("act", "name", "unit", "lowest", "highest", "below", "above"),
    [
        ("wait", "time", "min", "1", "240", "0.9", "241"),
        ("top-up", "pressure", "bar", "0", "10", "-0.1", "10.1"),
        ("heat-up", "temperature", "degC", "0", "150", "-1", "151"),
        ("let-out", "water", "kg", "0.01", "10000", "0.009", "10001"),
    ],
)
def test_the_numbers_of_an_act_have_ends_that_may_be_reached(
    act, name, unit, lowest, highest, below, above
):
    for text in (lowest, highest):
        (found,) = dict(doing(act, **{name: {"value": text, "unit": unit}}).values).values()
        assert found >= 0.0
    for text in (below, above):
        with pytest.raises(Unreadable) as refused:
            doing(act, **{name: {"value": text, "unit": unit}})
        assert refused.value.field == name
        told_ends = str(refused.value).replace("\u202f", "").partition("choose from ")[2]
        ends = [float(re.match(r"[\d.]+", end)[0]) for end in told_ends.split(" to ")]
        assert ends == [float(lowest), float(highest)]


@pytest.mark.parametrize(
    ("act", "name", "system", "value"),
    [
        ("wait", "time", "us", 2 * 60.0),
        ("top-up", "pressure", "si", 2e5),
        ("top-up", "pressure", "us", 2 * 6894.757),
        ("heat-up", "temperature", "si", 275.15),
        ("heat-up", "temperature", "us", (50.0 + 459.67) / 1.8),
        ("let-out", "water", "si", 2.0),
        ("let-out", "water", "us", 2 * 0.45359237),
    ],
)
def test_a_number_without_a_unit_is_in_the_one_that_stands_first(act, name, system, value):
    text = "50" if (name, system) == ("temperature", "us") else "2"
    for typed in (text, {"value": text}, {"value": text, "unit": ""}):
        (found,) = dict(read({"do": act, "values": {name: typed}}, system).values).values()
        assert found == pytest.approx(value, rel=1e-6)


def test_the_ends_of_a_number_are_told_in_the_units_of_the_reader():
    with pytest.raises(Unreadable, match=r"from 32\.0.°F to 302.°F"):
        read({"do": "heat-up", "values": {"temperature": "400"}}, "us")


@pytest.mark.parametrize("act", ["wait", "top-up", "let-out", "catch-relief"])
def test_only_the_flow_to_call_for_may_be_left_out(act):
    with pytest.raises(Unreadable, match="nothing is entered"):
        doing(act)
    assert doing("heat-up").values == ()


def test_an_act_tells_when_it_began_and_how_long_it_took():
    case = with_these(1, ())
    later = carry_out(case.state, doing("wait", time="30"), case.state.time).state
    step = carry_out(later, doing("wait", time="10"), case.state.time)
    assert step.began == later.time == case.state.time + 1800.0
    assert step.seconds == pytest.approx(600.0)
    assert step.state.time == pytest.approx(step.began + step.seconds)
    for course in (step.needle, step.warmth):
        seconds = [second for second, _ in course]
        assert seconds[0] == 0.0
        assert seconds == sorted(seconds)
        assert seconds[-1] == pytest.approx(600.0)
    assert step.needle[0][1] == gauge_reading(later)
    assert step.needle[-1][1] == pytest.approx(gauge_reading(step.state))
    assert step.warmth[0][1] == flow_and_return(later)[0]
    assert step.readings["gauge afterwards"] == gauge_reading(step.state)
    assert step.readings["flow afterwards"] == flow_and_return(step.state)[0]
    moved = gauge_reading(step.state) - gauge_reading(later)
    assert step.readings["change of the gauge"] == moved
    assert step.readings["whether it could be done"] == "yes"


def test_how_far_two_gauges_are_apart_is_what_the_room_s_one_shows_too_much():
    # From 0.3 to 0.5 bar: half of the way is 0.4 bar.
    for side in (1.0, -1.0):
        case = with_these(1, [sized("gauge-wrong", 0.5, side)])
        step = carry_out(case.state, doing("second-gauge"), case.state.time)
        assert step.readings["gauges apart"] == pytest.approx(side * 0.4e5, rel=1e-6)


def test_until_the_end_of_the_working_day_there_is_work():
    case = with_these(1, ())
    almost = replace(case.state, time=case.state.time + drill.WORKING_TIME - 1.0)
    assert carry_out(almost, doing("read-gauge"), case.state.time).verdict == "safe"
    assert drill.WORKING_TIME == 12 * 3600.0


def test_the_time_used_is_counted_from_arrival():
    waits = [doing("wait", time=time) for time in ("30", "10", "20")]
    played = play("one-fault", 1, waits)
    assert played.used == pytest.approx(3600.0)
    assert played.state is played.steps[-1].state
    assert play("one-fault", 1, []).used == 0.0


def test_another_drill_or_another_act_in_between_is_played_anew():
    wait, look = doing("wait", time="30"), doing("read-gauge")
    first = play("one-fault", 1, [wait, look])
    assert [step.doing for step in play("one-fault", 1, [look, wait]).steps] == [look, wait]
    assert [step.doing for step in play("one-fault", 1, [look]).steps] == [look]
    other = play("one-fault", 2, [wait])
    assert other.case.seed == 2
    assert other.steps[0].began == other.case.state.time
    again = play("one-fault", 1, [wait, look])
    assert again.state == first.state


def test_one_act_more_costs_one_act():
    drill._kept.clear()
    waits = [doing("wait", time=time) for time in ("30", "10", "20")]
    two = play("one-fault", 1, waits[:2])
    three = play("one-fault", 1, waits)
    assert three.case is two.case
    assert three.steps[0] is two.steps[0]
    assert three.steps[1] is two.steps[1]


@pytest.mark.parametrize("why", ["day", "room", "physics"])
def test_what_is_refused_tells_why_and_shows_nothing(monkeypatch, why):
    def cannot(*_, **__):
        raise Refusal("Water does not do that.")

    case = with_these(1, ())
    state, act = case.state, doing("drain-vessel")
    if why == "physics":
        monkeypatch.setattr(drill.actions, "do", cannot)
    if why == "day":
        state = replace(state, time=state.time + drill.WORKING_TIME)
    step = carry_out(state, act, case.state.time)
    assert (step.doing, step.began, step.seconds, step.verdict) == (act, state.time, 0.0, REFUSED)
    assert (step.seen, step.readings) == ((), {"whether it could be done": "no"})
    assert step.state is state
    assert step.needle == ((0.0, gauge_reading(state)),)
    assert step.warmth == ((0.0, flow_and_return(state)[0]),)
    words = {"day": drill.DAY_OVER, "physics": "Water does not do that."}
    assert as_text(step.reason, "si") == words.get(why, as_text(step.reason, "si"))
    assert as_text(step.reason, "si").endswith(".")


def test_what_is_done_shows_all_that_was_seen_and_says_why_it_should_not_have_been():
    case = with_these(1, ())
    looked = carry_out(case.state, doing("look-round"), case.state.time)
    assert {one.name: one.value for one in looked.seen}.items() <= looked.readings.items()
    assert "pump" in looked.readings
    hot = carry_out(case.state, doing("heat-up"), case.state.time).state
    for act in ACTS:
        if not act.fields:
            step = carry_out(hot, doing(act.id), case.state.time)
            assert step.reason or step.verdict == "safe", act.id
    charge = carry_out(hot, doing("read-charge"), case.state.time)
    assert "not the charge" in as_text(charge.reason, "si")


def test_that_the_day_is_over_rules_nothing_out():
    case = with_these(5, [sized("leak", 0.5)])
    late = replace(case.state, time=case.state.time + drill.WORKING_TIME)
    step = carry_out(late, doing("read-gauge"), case.state.time)
    assert step.verdict == REFUSED
    assert first_difference(case, "", [step], "si") is None


# What the caller makes of a day.

USUAL_DAY = Lived(
    low=1.50e5, high=1.90e5, first=1.60e5, dawn=1.55e5, flow=345.0, relieved=0.0, made_up=5.0,
    locked="", air=0.0,
)  # fmt: skip


def said_of(heating=True, **other):
    """Return what is said of a day that is like the usual one but for some things."""
    sheet = SimpleNamespace(heating=heating)
    return [as_text(one, "si") for one in _complaint(replace(USUAL_DAY, **other), USUAL_DAY, sheet)]


@pytest.mark.parametrize(
    ("least", "more", "words"),
    [
        ({"relieved": 0.5}, {"relieved": 0.51}, "water under the relief pipe"),
        ({"air": 500.0}, {"air": 501.0}, "at the top gurgle"),
        ({"flow": 351.0}, {"flow": 351.1}, "hotter than ever before"),
        ({"made_up": 20.0}, {"made_up": 20.1}, "meter of the make-up"),
        # Three divisions of the gauge, 0.15 bar, when it heats.
        ({"high": 2.05e5}, {"high": 2.06e5}, "By day the needle went up to 2.05"),
        ({"low": 1.35e5}, {"low": 1.34e5}, "The needle had gone down to 1.35"),
        # Less than one that moves by more on other days.
        ({"low": 1.50e5, "high": 1.55e5}, {"low": 1.50e5, "high": 1.549e5}, "has not moved"),
    ],
)
def test_the_caller_tells_of_what_is_more_than_on_other_days(least, more, words):
    assert words not in " ".join(said_of(**least))
    assert words in said_of(**more)[0]


@pytest.mark.parametrize(
    ("least", "more", "words"),
    [
        # Two divisions of the gauge, 0.1 bar, while nothing heats.
        ({"high": 1.70e5}, {"high": 1.72e5}, "climbed from 1.55 bar g to 1.70"),
        ({"low": 1.50e5}, {"low": 1.48e5}, "fell from 1.70 bar g to 1.50"),
    ],
)
def test_with_the_heating_off_a_needle_that_moves_is_told(least, more, words):
    # It begins in the middle, and by day it moves by a little to either side.
    quiet = {"low": 1.55e5, "high": 1.68e5}
    assert "The heating is off" not in " ".join(said_of(False, **quiet | least))
    words_of = " ".join(said_of(False, **quiet | more)).replace("\xa0", " ")
    assert words in words_of
    assert "The heating is off" not in " ".join(said_of(True, **quiet | more))


def test_the_caller_tells_the_two_gravest_things():
    assert said_of(locked="x") == ["The boiler went off by itself and did not come back."]
    both = said_of(relieved=3.24, locked="x", air=1e3, flow=400.0, made_up=50.0, high=2.5e5)
    assert len(both) == 2
    assert both[0].replace("\xa0", " ").endswith(" 3.2 kg in the bucket since yesterday.")
    assert both[1].startswith("The boiler went off")


def test_the_caller_of_a_usual_day_tells_both_ends_or_the_one_reading():
    (said,) = said_of()
    assert "from 1.50 bar g to 1.90 bar g" in said.replace("\xa0", " ")
    still = replace(USUAL_DAY, low=1.51e5, high=1.52e5)
    (said,) = _complaint(still, still, SimpleNamespace(heating=True))
    assert "stands at 1.50 bar g" in as_text(said, "si").replace("\xa0", " ")


def test_a_bucket_is_told_to_a_tenth_of_a_kilogram():
    (said,) = said_of(relieved=0.64)
    assert float(re.search(r"pipe: ([\d.]+)\skg", said)[1]) == 0.6


def test_a_needle_that_never_moves_by_more_than_a_division_is_no_blocked_one():
    usual = replace(USUAL_DAY, low=1.50e5, high=1.55e5)
    still = replace(USUAL_DAY, low=1.50e5, high=1.51e5)
    (said,) = _complaint(still, usual, SimpleNamespace(heating=True))
    assert "has not moved" not in as_text(said, "si")

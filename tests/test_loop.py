"""The loop and its pump: laws of the functions, and the loop-pressures calculator."""

import itertools

import pytest

from calc import loop
from calc.bridge import run
from calc.calculators.loop_pressures import CALCULATOR
from calc.pump import LoopPart, pressure_along_flow, pressures_round_loop

ID = CALCULATOR.id
LOOP = (
    loop.Stretch("boiler", 1.5, 6e3),
    loop.Stretch("pump", 2.0, 2e3, 30e3),
    loop.Stretch("top", 9.0, 14e3),
    loop.Stretch("second pump", 4.0, 3e3, 12e3),
    loop.Stretch("vessel", 0.0, 17e3),
)


def row(name, part, height, friction, head=None):
    found = {"name": name, "part": part, "height": height, "friction": friction}
    return found | ({"head": head} if head else {})


AWAY = [
    row("Pump", "pump", "0 m", "0 bar", "0.4 bar"),
    row("Boiler", "pipe", "0 m", "0.1 bar"),
    row("Top, in", "pipe", "6 m", "0.1 bar"),
    row("Top, out", "pipe", "6 m", "0.1 bar"),
    row("Back", "pipe", "0 m", "0.1 bar"),
]
PLACES = ("listed", "suction", "discharge")


def answered(entries, system="si"):
    answer = run(ID, entries, system)
    assert "errors" not in answer, answer
    return answer


def results(entries, system="si"):
    return {r["name"]: r["value"] for r in answered(entries, system)["results"]}


def checks(entries):
    return {c["id"]: c for c in answered(entries)["checks"]}


def status(entries):
    return {id: check["status"] for id, check in checks(entries).items()}


def table(entries, id="points"):
    (found,) = (c for c in answered(entries)["charts"] if c["id"] == id)
    return {r["label"]: [c["value"] for c in r["cells"]] for r in found["rows"]}


def plain(text):
    return text.replace("\xa0", " ")


def refusal(entries):
    (error,) = run(ID, entries)["errors"]
    return error


def test_a_pump_is_two_stations_and_all_others_one():
    found = loop.stations(LOOP)
    assert [s.role for s in found] == [
        "vessel", "pipe", "suction", "discharge", "pipe", "suction", "discharge", "pipe",
    ]  # fmt: skip
    assert [s.place for s in found] == [0, 1, 2, 2, 3, 4, 4, 5]
    assert found[2].frictions == found[3].frictions == 8e3
    assert (found[2].heads, found[3].heads) == (0, 30e3)


@pytest.mark.parametrize("joint", range(8))
def test_all_round_the_loop_every_joint_finds_its_own_pressure_again(joint):
    found = loop.stations(LOOP)
    heads, frictions = loop.way_from(found[joint], found[joint], found[-1])
    assert heads == frictions == 0
    # The way to the station just behind the joint goes all round.
    if joint > 0:
        heads, frictions = loop.way_from(found[joint], found[joint - 1], found[-1])
        ahead = found[joint].heads - found[joint - 1].heads
        loss = found[joint].frictions - found[joint - 1].frictions
        assert heads - frictions == pytest.approx(-(ahead - loss))


@pytest.mark.parametrize("joint", range(8))
def test_going_with_the_flow_nothing_met_is_negative(joint):
    found = loop.stations(LOOP)
    for there in found:
        heads, frictions = loop.way_from(found[joint], there, found[-1])
        assert 0 <= heads <= 42e3
        assert 0 <= frictions <= 42e3


def test_stations_agree_with_going_from_part_to_part():
    heights = [0.0, *(s.height for s in LOOP)]
    rises = [b - a for a, b in itertools.pairwise(heights)]
    parts = [LoopPart(s.name, r, s.head, s.friction) for s, r in zip(LOOP, rises, strict=True)]
    there = pressures_round_loop(150e3, 990.0, parts)
    found = [s for s in loop.stations(LOOP) if s.role in ("pipe", "discharge")]
    mine = [pressure_along_flow(150e3, 990.0, s.height, s.heads, s.frictions) for s in found]
    assert mine == pytest.approx(there)
    assert mine[-1] == pytest.approx(150e3)


def test_the_factor_closes_the_loop():
    factor = loop.closing_factor(42e3, 21e3)
    closed = loop.stations(
        [loop.Stretch("pump", 0, 0, 42e3), loop.Stretch("back", 0, 21e3)], factor
    )
    assert closed[-1].heads == pytest.approx(closed[-1].frictions)
    assert loop.misfit(42e3, 21e3 * factor) == pytest.approx(0)


def test_boiling_at_the_suction_leaves_no_head():
    assert loop.suction_head(0.7e5, 0.7e5, 965.0) == 0
    assert loop.suction_head(0.6e5, 0.7e5, 965.0) < 0


def test_the_lowest_is_the_first_of_equals():
    assert loop.lowest([2.0, 1.0, 3.0, 1.0]) == 1


@pytest.mark.parametrize("place", PLACES)
def test_the_vessel_does_not_feel_the_pump(place):
    rows = table({"vessel_at": place})
    joint = {"listed": "Vessel, where the list begins", "suction": "1. Pump, suction",
             "discharge": "1. Pump, discharge"}[place]  # fmt: skip
    assert rows[joint][3] == pytest.approx(0, abs=1e-9)
    assert rows[joint][1] == pytest.approx(results({"vessel_at": place})["joint"])


@pytest.mark.parametrize("place", PLACES)
def test_the_loop_ends_as_it_began(place):
    rows = table({"vessel_at": place})
    first, last = rows["Vessel, where the list begins"], rows["7. Back at the vessel"]
    assert last == pytest.approx(first)


def test_moving_the_vessel_shifts_every_running_pressure_alike_and_none_at_rest():
    there = {place: table({"vessel_at": place}) for place in PLACES}
    at_rest = [[cells[1] for cells in rows.values()] for rows in there.values()]
    assert at_rest[0] == pytest.approx(at_rest[1])
    assert at_rest[0] == pytest.approx(at_rest[2])
    shifts = [
        a[2] - b[2]
        for a, b in zip(there["suction"].values(), there["discharge"].values(), strict=True)
    ]
    assert shifts == pytest.approx([0.25] * len(shifts))


def test_the_example_worked_by_hand():
    rows = table({"vessel_pressure": "1.5 bar", "points": AWAY})
    running = [cells[2] for cells in rows.values()]
    assert running == pytest.approx([1.5, 1.5, 1.9, 1.8, 1.112, 1.012, 1.5], abs=5e-4)


def test_the_table_of_joints_says_what_choosing_each_joint_says():
    base = {"vessel_pressure": "1.2 bar", "points": AWAY}
    rows = table(base, "joints")
    for label, place in (("At the pump's suction", "suction"), ("At the pump's discharge",
                         "discharge"), ("Where the list begins", "listed")):  # fmt: skip
        found = results({**base, "vessel_at": place})
        low, _, suction, discharge = rows[label]
        assert suction == pytest.approx(found["suction"])
        assert discharge == pytest.approx(found["discharge"])
        assert low == pytest.approx(min(found["lowest"], found["lowest_off"]))


def test_at_the_discharge_the_pump_takes_its_head_off_its_suction():
    assert status({"vessel_at": "discharge"})["vessel"] == "caution"
    assert status({"vessel_at": "suction"})["vessel"] == "pass"
    assert status({})["vessel"] == "pass"


def pumps(**heads):
    """Return a loop of two pumps, in the order given, and the vessel."""
    first, second = heads.items()
    return [
        row(first[0].title(), "pump", "0 m", "0 bar", first[1]),
        row(second[0].title(), "pump", "0 m", "0.2 bar", second[1]),
        row("Vessel", "pipe", "0 m", "0.2 bar"),
    ]


def test_the_pump_is_strongest_that_adds_most_and_not_the_one_after_it():
    points = pumps(large="0.3 bar", small="0.1 bar")
    found = table({"points": points, "vessel_at": "suction"})
    assert found["1. Large, suction"][3] == pytest.approx(0, abs=1e-9)


def test_the_map_has_the_open_air_and_the_boiling_of_the_hottest_water():
    (chart,) = [c for c in answered({"points": AWAY})["charts"] if c["id"] == "map"]
    levels = {level["label"]: level["value"] for level in chart["levels"]}
    assert levels["open air"] == 0.0
    assert levels["the hottest water boils"] < 0.0


def test_with_several_pumps_the_strongest_counts_for_the_joint():
    points = pumps(small="0.1 bar", large="0.3 bar")
    found = table({"points": points, "vessel_at": "suction"})
    assert found["2. Large, suction"][3] == pytest.approx(0, abs=1e-9)
    assert found["1. Small, suction"][3] == pytest.approx(0.1)
    assert results({"points": points, "vessel_at": "discharge"})["suction"] == pytest.approx(
        min(c[2] for n, c in table({"points": points, "vessel_at": "discharge"}).items()
            if "suction" in n)
    )  # fmt: skip


def test_a_loop_that_does_not_close_is_refused_with_by_how_much():
    points = [*AWAY[:-1], row("Back", "pipe", "0 m", "0.05 bar")]
    error = refusal({"points": points})
    assert error["field"] == "points"
    assert "0.05 bar less" in plain(error["message"])
    more = [*AWAY[:-1], row("Back", "pipe", "0 m", "0.15 bar")]
    assert "0.05 bar more" in plain(refusal({"points": more})["message"])


def test_by_choice_the_frictions_are_scaled_and_it_is_said():
    points = [*AWAY[:-1], row("Back", "pipe", "0 m", "0.05 bar")]
    found = answered({"points": points, "closing": "scale", "vessel_pressure": "1.5 bar"})
    by_name = {r["name"]: r["value"] for r in found["results"]}
    assert by_name["factor"] == pytest.approx(100 * 0.4 / 0.35)
    assert by_name["misfit"] == pytest.approx(0.05)
    assert checks({"points": points, "closing": "scale"})["closing"]["status"] == "caution"
    rows = table({"points": points, "closing": "scale", "vessel_pressure": "1.5 bar"})
    assert rows["5. Back"][2] == pytest.approx(1.5)


def test_a_hair_is_shared_out_and_the_loop_still_closes():
    points = [*AWAY[:-1], row("Back", "pipe", "0 m", "0.107 bar")]
    assert status({"points": points})["closing"] == "pass"
    rows = table({"points": points, "vessel_pressure": "1.5 bar"})
    assert rows["5. Back"][2] == pytest.approx(1.5)
    wider = [*AWAY[:-1], row("Back", "pipe", "0 m", "0.109 bar")]
    assert "does not close" in refusal({"points": wider})["message"]


@pytest.mark.parametrize(
    ("points", "field", "words"),
    [
        ([AWAY[1], AWAY[4]], "points", "no pump"),
        ([*AWAY[:-1], row("Back", "pipe", "0.5 m", "0.1 bar")], "points.4.height", "come back"),
        ([AWAY[1], row("Pump", "pump", "0 m", "0 bar", "0.1 bar")], "points.1.part", "the way"),
        ([row("Pump", "pump", "0 m", "0 bar", "0.1 bar"), row("Back", "pipe", "0 m", "0 bar")],
         "points", "no point has any friction"),
    ],
)  # fmt: skip
def test_a_list_that_is_no_loop_is_refused_at_its_field(points, field, words):
    error = refusal({"points": points})
    assert error["field"] == field
    assert words in error["message"]


def test_less_than_no_pressure_at_all_is_refused():
    points = [row("Pump", "pump", "0 m", "0 bar", "3 bar"), row("Back", "pipe", "0 m", "3 bar")]
    error = refusal({"points": points, "vessel_at": "discharge"})
    assert error["field"] == "vessel_pressure"
    assert "parts" in error["message"]


def test_the_need_named_in_the_remedy_is_enough_and_no_more():
    entries = {"vessel_pressure": "0.9 bar", "vessel_at": "discharge", "points": AWAY}
    found = checks(entries)["air"]
    assert found["status"] == "caution"
    low = min(results(entries)[n] for n in ("lowest", "lowest_off"))
    need = 0.9 + 0.2 - low
    assert f"{need:.2f} bar" in plain(found["message"])
    assert status({**entries, "vessel_pressure": f"{need + 1e-4:.9g} bar"})["air"] == "pass"
    assert status({**entries, "vessel_pressure": f"{need - 1e-3:.9g} bar"})["air"] == "caution"
    assert status({**entries, "vessel_pressure": f"{0.9 - low - 1e-3:.9g} bar"})["air"] == "fail"


def test_moving_the_vessel_is_named_as_remedy_only_where_it_helps():
    entries = {"vessel_pressure": "0.9 bar", "points": AWAY}
    assert "moved" in checks({**entries, "vessel_at": "discharge"})["air"]["message"]
    low = {**entries, "vessel_pressure": "0.7 bar"}
    assert "moved" not in checks({**low, "vessel_at": "suction"})["air"]["message"]


def test_moving_the_vessel_is_no_remedy_where_it_gains_next_to_nothing():
    """A gain within a tenth of the margin wanted is no reason to cut pipes."""

    def moved(head):
        points = [
            row("Pump", "pump", "0 m", "0 bar", f"{head} bar"),
            row("Boiler", "pipe", "0 m", f"{head / 2} bar"),
            row("Top", "pipe", "6 m", f"{head / 2} bar"),
            row("Back", "pipe", "0 m", "0 bar"),
        ]
        entries = {"vessel_pressure": "0.7 bar", "vessel_at": "discharge", "margin": "0.2 bar"}
        found = checks({**entries, "points": points})["air"]
        assert found["status"] != "pass"
        return "moved" in found["message"]

    assert not moved(0.015)
    assert moved(0.05)


def test_boiling_is_judged_with_the_altitude():
    entries = {"hot": "105 degC", "vessel_pressure": "1.2 bar", "points": AWAY}
    assert status({**entries, "altitude": "0 m"})["boiling"] == "pass"
    assert status({**entries, "altitude": "2500 m"})["boiling"] == "caution"
    hotter = {**entries, "hot": "115 degC"}
    assert status({**hotter, "altitude": "2500 m"})["boiling"] == "fail"
    assert results({**entries, "altitude": "2500 m"})["spare"] < results(entries)["spare"]


def test_the_suction_head_is_compared_with_what_the_pump_requires():
    entries = {"vessel_pressure": "0.6 bar", "points": AWAY, "vessel_at": "discharge",
               "hot": "85 degC"}  # fmt: skip
    has = results(entries)["npsh_has"]
    assert status({**entries, "npsh": f"{has - 0.51:.6g} m"})["npsh"] == "pass"
    assert status({**entries, "npsh": f"{has - 0.49:.6g} m"})["npsh"] == "caution"
    assert status({**entries, "npsh": f"{has + 0.01:.6g} m"})["npsh"] == "fail"
    blank = {**entries, "npsh": ""}
    assert "npsh" not in status(blank)
    assert "npsh_spare" not in results(blank)


def test_hotter_water_leaves_the_pump_less_head():
    assert results({"hot": "95 degC"})["npsh_has"] < results({"hot": "60 degC"})["npsh_has"]


def test_the_highest_counts_against_the_weakest_part():
    high = results({})["highest"]
    assert status({"rating": f"{high + 0.01:.6g} bar"})["rating"] == "pass"
    assert status({"rating": f"{high - 0.01:.6g} bar"})["rating"] == "fail"
    assert "rating" not in status({"rating": ""})


def test_a_name_with_braces_or_none_stays_a_name():
    points = [{**AWAY[0], "name": "{low}"}, *AWAY[1:3], {**AWAY[3], "name": ""}, AWAY[4]]
    entries = {"points": points, "vessel_pressure": "0.7 bar", "rating": "0.5 bar"}
    assert "{low}, discharge" in checks(entries)["rating"]["message"]
    assert "4. Point" in table(entries)


def test_the_map_jumps_up_at_the_pump_and_shows_both_states():
    pressure_map = next(c for c in answered({})["charts"] if c["id"] == "map")
    running, off = pressure_map["series"]
    assert [p[0] for p in running["points"]][:3] == [0, 1, 1]
    assert running["points"][2][1] - running["points"][1][1] == pytest.approx(0.25)
    assert off["points"][2][1] == off["points"][1][1]
    assert {level["label"] for level in pressure_map["levels"]} == {
        "open air", "the hottest water boils",
    }  # fmt: skip


def test_a_part_bears_the_higher_of_pump_off_and_running():
    # With the vessel at the discharge the pump draws everything down: pump off is the higher.
    drawn_down = {"vessel_at": "discharge"}
    off = max(cells[1] for cells in table(drawn_down).values())
    running = max(cells[2] for cells in table(drawn_down).values())
    assert off > running + 0.01
    between = f"{(off + running) / 2:.6g} bar"
    assert status({**drawn_down, "rating": between})["rating"] == "fail"
    assert status({**drawn_down, "rating": f"{off + 0.01:.6g} bar"})["rating"] == "pass"


def test_each_point_tells_how_far_it_is_from_boiling():
    spare = results({})["spare"]
    cells = table({}).values()
    assert min(row[4] for row in cells) == pytest.approx(spare, abs=1e-9)
    # What it boils at is the same everywhere.
    boils = {round(min(row[1], row[2]) - row[4], 9) for row in cells}
    assert len(boils) == 1

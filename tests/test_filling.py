"""Filling and purging: laws of the functions, and the fill-and-purge calculator."""

import pytest

from calc import filling
from calc.bridge import run
from calc.calculators.fill_and_purge import CALCULATOR
from calc.friction import friction_factor
from calc.model import Refusal

ID = CALCULATOR.id
SMALL = "Loop | bore | 26 mm | 40 m | 100 % | 20"


def answered(entries, system="si"):
    answer = run(ID, entries, system)
    assert "errors" not in answer, answer
    return answer


def results(entries, system="si"):
    return {r["name"]: r["value"] for r in answered(entries, system)["results"]}


def checks(entries, system="si"):
    return {c["id"]: c for c in answered(entries, system)["checks"]}


def test_small_steps_of_the_flow_add_up_to_the_filling_time():
    volume, rest, column, steps = 1.75, 2.8e5, 1.0e5, 20000
    time = 0.0
    for n in range(steps):
        back = column * (n + 0.5) / steps
        time += volume / steps / filling.source_flow(1e-3, rest, back)
    assert filling.filling_time(1e-3, volume, rest, column) == pytest.approx(time, rel=1e-6)


def test_a_share_of_the_system_takes_a_share_of_the_column():
    half = filling.time_to_share(0.5, 1e-3, 2.0, 3e5, 2e5)
    assert half == pytest.approx(filling.filling_time(1e-3, 1.0, 3e5, 1e5))
    assert filling.time_to_share(0.0, 1e-3, 2.0, 3e5, 2e5) == 0.0


def test_without_a_column_the_flow_never_falls():
    assert filling.source_flow(2.0, 3e5, 0.0) == 2.0
    assert filling.filling_time(2.0, 10.0, 3e5, 0.0) == 5.0


def test_a_higher_top_takes_longer():
    times = [filling.filling_time(1e-3, 1.0, 3e5, c) for c in (0.0, 1e5, 2e5, 2.9e5)]
    assert times == sorted(times)


def test_a_source_too_weak_is_refused():
    with pytest.raises(Refusal, match="cannot lift"):
        filling.filling_time(1e-3, 1.0, 1e5, 1e5)
    with pytest.raises(Refusal, match="gives no flow"):
        filling.source_flow(1e-3, 1e5, 1.2e5)


def test_steeper_and_wider_pipes_want_more():
    assert filling.clearing_velocity(0.03, 1.0) > filling.clearing_velocity(0.03, 0.5)
    assert filling.clearing_velocity(0.05, 0.5) > filling.clearing_velocity(0.03, 0.5)
    with pytest.raises(Refusal, match="0 to 100"):
        filling.clearing_velocity(0.03, 1.2)


def test_a_source_that_loses_all_inside_gives_its_open_flow():
    """Half of nothing lost in the pipe: the source's own loss uses up its pressure."""
    flow, rest, bore, rho = 5e-4, 2e5, 0.05, 1000.0
    number = filling.source_loss_number(flow, rest, rho, bore)
    velocity = flow / filling.pipe_flow(1.0, bore)
    assert number * rho * velocity**2 / 2 == pytest.approx(rest)


def test_the_flow_reached_uses_up_the_pressure():
    """Put the answer back into the energy equation, with every loss written out here."""
    answer = answered({"circuits": SMALL, "cold": "20 degC", "fluid": "water"})
    found = {r["name"]: r["value"] for r in answer["results"]}
    rho, mu, bore = 998.2, 1.0016e-3, 0.026
    velocity = found["reached"] / 60000 / (3.14159265 * bore**2 / 4)
    head = rho * velocity**2 / 2
    friction = friction_factor(rho * velocity * bore / mu, 45e-6 / bore)
    inside = 2.8e5 * (found["reached"] / 75) ** 2
    lost = head * (1 + 20 + friction * 40 / bore) + inside
    assert lost == pytest.approx(2.8e5, rel=1e-3)


def test_the_example_plant_passes_every_check():
    assert {c["status"] for c in checks({}).values()} == {"pass"}


def test_mains_are_too_weak_for_wide_pipes_and_the_check_says_so():
    found = checks({"source": "mains"})
    assert found["purge-1"]["status"] == found["purge-2"]["status"] == "fail"
    assert "purge pump" in found["purge-1"]["message"]
    assert found["purge-3"]["status"] == found["purge-4"]["status"] == "pass"
    assert results({"source": "mains"})["worst"] == "Ground floor mains"


def test_a_circuit_without_a_name_gets_its_number():
    assert results({"circuits": " | bore | 26 mm | 40 m | 100 % | 20"})["worst"] == "Circuit 1"


def test_a_name_with_braces_is_shown_as_typed():
    assert results({"circuits": "a{b}c" + SMALL[4:]})["worst"] == "a{b}c"


@pytest.mark.parametrize(
    ("rule", "bore", "fall", "velocity"),
    [("rule", 0.051, 1.0, 0.6), ("pocket", 0.051, 1.0, 0.76), ("pocket", 0.026, 1.0, 0.54),
     ("both", 0.051, 1.0, 0.76), ("both", 0.026, 1.0, 0.60)],
)  # fmt: skip
def test_each_rule_gives_its_own_velocity(rule, bore, fall, velocity):
    row = f"x | bore | {bore * 1000} mm | 40 m | {fall * 100} % | 20"
    found = results({"purge_rule": rule, "circuits": row})
    area = 3.14159265 * bore**2 / 4
    assert found["needed"] / 60000 / area == pytest.approx(velocity, abs=0.005)


def test_longer_and_narrower_circuits_get_less():
    def reached(length="40", bore="26", k="20"):
        return results({"circuits": f"x | bore | {bore} mm | {length} m | 0 % | {k}"})["reached"]

    assert reached(length="400") < reached()
    assert reached(bore="12") < reached()
    assert reached(k="200") < reached()


def test_a_smooth_pipe_gets_more_than_a_rough_one():
    copper = results({"circuits": "x | en-1057-28x1 | | 200 m | 0 % | 0"})["reached"]
    rough = results({"circuits": "x | bore | 26 mm | 200 m | 0 % | 0"})["reached"]
    assert copper > rough


def test_a_source_that_cannot_reach_the_top_gives_no_time():
    entries = {"source": "mains", "mains_pressure": "0.8 bar"}
    found = results(entries)
    assert found.get("time") is None
    assert checks(entries)["reach"]["status"] == "fail"


def test_a_source_below_the_cold_fill_is_told():
    found = checks({"pump_pressure": "1.4 bar"})["reach"]
    assert found["status"] == "fail"
    assert "cold fill" in found["message"]


def test_a_source_above_the_relief_valve_is_told():
    assert checks({"pump_pressure": "3.2 bar"})["relief"]["status"] == "caution"


def test_a_long_filling_is_told():
    entries = {"source": "mains", "mains_flow": "5 L/min"}
    assert checks(entries)["watch"]["status"] == "caution"


def test_the_top_needs_its_margin_and_more_where_it_would_boil():
    low = checks({"fill": "1.2 bar"})["top"]
    assert low["status"] == "fail"
    assert "boils" not in low["message"]
    found = checks({"hot": "115 degC"})["top"]
    assert found["status"] == "fail"
    assert "boils" in found["message"]
    assert results({"hot": "115 degC"})["top_least"] > results({})["top_least"]
    assert results({"hot": "115 degC"}).get("released") is None


def test_the_pressure_falls_by_the_column():
    found = results({"lift": "10.2 m", "cold": "10 degC"})
    assert found["top"] == pytest.approx(1.55 - 999.7 * 9.80665 * 10.2 / 1e5, abs=2e-4)


def test_a_higher_top_pressure_keeps_more_air_in():
    assert results({"fill": "2.4 bar"})["released"] < results({})["released"]


def test_glycol_from_the_mains_is_refused_as_practice():
    entries = {"source": "mains", "fluid": "propylene glycol"}
    assert checks(entries)["glycol"]["status"] == "fail"
    assert "glycol" not in checks({"fluid": "propylene glycol"})


def test_both_unit_systems_show_the_same_filling():
    si, us = results({}), results({}, "us")
    assert us["top"] / 14.5038 == pytest.approx(si["top"], rel=5e-3)
    assert us["time"] == pytest.approx(si["time"], rel=5e-3)


def test_the_filling_chart_ends_with_the_whole_volume():
    chart = next(c for c in answered({})["charts"] if c["id"] == "filling")
    end, water = chart["series"][0]["points"][-1]
    assert water == pytest.approx(1750)
    assert end == pytest.approx(results({})["time"])


def test_a_source_held_at_its_own_pressure_gives_nothing():
    with pytest.raises(Refusal, match="gives no flow"):
        filling.source_flow(1e-3, 2e5, 2e5)

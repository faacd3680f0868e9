"""Glycol: laws of the functions, and the glycol-dose calculator."""

import pytest

from calc import glycol
from calc.bridge import run
from calc.calculators.glycol_dose import CALCULATOR
from calc.fluids import Fluid, freezing_temperature
from calc.model import Refusal

ID = CALCULATOR.id
BOTH = ("propylene glycol", "ethylene glycol")


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


@pytest.mark.parametrize(
    ("now", "wanted", "added"), [(0.2, 0.3, 1.0), (0.0, 0.25, 0.4), (0.5, 0.3, 0.0)]
)
def test_replacing_and_adding_reach_what_was_wanted(now, wanted, added):
    replaced = glycol.replaced_volume(0.3, now, wanted, added)
    assert glycol.share_after_replacing(0.3, now, replaced, added) == pytest.approx(wanted)
    poured = glycol.added_volume(0.3, now, wanted, added)
    assert (0.3 * now + poured * added) / (0.3 + poured) == pytest.approx(wanted)
    # What is let out takes glycol along, so pouring in alone needs more.
    assert poured > replaced > 0


def test_the_pure_glycols_have_the_densities_of_the_handbooks():
    """Some 1113 and 1036 kg/m3 at 20 degC (from memory); so 30 % by volume are 32.3 and 30.8 % by
    mass."""
    assert glycol.PURE_DENSITY == {"ethylene glycol": 1113.0, "propylene glycol": 1036.0}
    for substance, mass in (("ethylene glycol", 0.323), ("propylene glycol", 0.308)):
        densities = (glycol.PURE_DENSITY[substance], glycol.WATER_DENSITY)
        assert glycol.share_by_mass(0.3, *densities) == pytest.approx(mass, abs=5e-4)


def test_a_first_fill_is_replacing_all_of_plain_water():
    fill = glycol.first_fill(0.3, 0.35, 0.95)
    assert fill == pytest.approx(glycol.replaced_volume(0.3, 0.0, 0.35, 0.95))
    assert fill * 0.95 == pytest.approx(0.3 * 0.35)


def test_nothing_to_do_is_nothing():
    assert glycol.replaced_volume(0.3, 0.3, 0.3, 0.3) == 0
    assert glycol.added_volume(0.3, 0.3, 0.3, 1.0) == 0


@pytest.mark.parametrize(
    ("now", "wanted", "added", "words"),
    [
        (0.2, 0.3, 0.25, "cannot raise"),
        (0.4, 0.2, 0.3, "cannot lower"),
        (0.2, 0.4, 0.4, "never quite"),
    ],
)
@pytest.mark.parametrize("law", [glycol.replaced_volume, glycol.added_volume])
def test_what_cannot_be_reached_is_refused(law, now, wanted, added, words):
    with pytest.raises(Refusal, match=words):
        law(0.1, now, wanted, added)


def test_a_weak_concentrate_makes_no_strong_fill():
    with pytest.raises(Refusal, match="stronger"):
        glycol.first_fill(0.1, 0.5, 0.4)


def test_topping_up_undoes_the_strength_step_by_step():
    once = glycol.diluted(0.3, 0.12, 0.005, 1)
    assert glycol.diluted(once, 0.12, 0.005, 4) == pytest.approx(
        glycol.diluted(0.3, 0.12, 0.005, 5)
    )
    assert glycol.diluted(0.3, 0.12, 0.0, 9) == 0.3
    assert glycol.diluted(0.3, 0.12, 0.12, 1) == 0


def test_what_may_be_lost_leaves_just_the_least():
    lost = glycol.loss_until(0.35, 0.28, 0.12)
    assert glycol.diluted(0.35, 0.12, lost, 1) == pytest.approx(0.28)
    assert glycol.loss_until(0.2, 0.28, 0.12) == 0


@pytest.mark.parametrize("substance", BOTH)
@pytest.mark.parametrize("share", [0.0, 0.1, 0.37, 1.0])
def test_by_mass_and_by_volume_are_inverse(substance, share):
    densities = (glycol.PURE_DENSITY[substance], glycol.WATER_DENSITY)
    by_mass = glycol.share_by_mass(share, *densities)
    assert glycol.share_by_volume(by_mass, *densities) == pytest.approx(share)
    assert by_mass >= share


@pytest.mark.parametrize("substance", BOTH)
@pytest.mark.parametrize("share", [0.1, 0.23, 0.41, 0.6])
def test_the_strength_for_a_freezing_point_has_it(substance, share):
    freezing = freezing_temperature(Fluid(substance, share))
    assert glycol.share_for(substance, freezing) == pytest.approx(share, abs=1e-9)


def test_a_freezing_point_outside_the_table_is_refused():
    for temperature in (272.0, 200.0):
        with pytest.raises(Refusal, match="outside the table"):
            glycol.share_for("propylene glycol", temperature)


def test_the_refused_entry_is_named():
    assert refusal({"added": "25 %"})["field"] == "added"
    assert refusal({"goal": "freeze", "freeze_wanted": "-52 degC"})["field"] == "freeze_wanted"
    assert refusal({"topped": "300 L"})["field"] == "topped"
    assert refusal({"method": "fill", "added": "20 %"})["field"] == "added"
    assert refusal({"cold": "-25 degC"})["field"] == "cold"


def test_the_example_loop_needs_a_look_at_its_vessel_and_nothing_else():
    found = checks({})
    assert {id for id, c in found.items() if c["status"] != "pass"} == {"vessel"}


def test_each_of_the_three_words_on_protection():
    # 30 % freezes at -13.1.
    assert checks({"coldest": "-10.0 degC"})["protects"]["status"] == "pass"
    assert checks({"coldest": "-10.2 degC"})["protects"]["status"] == "caution"
    assert checks({"coldest": "-13.2 degC"})["protects"]["status"] == "fail"


def test_both_ends_of_the_usual_strengths():
    for wanted, status in (("19.9 %", "caution"), ("20 %", "pass"), ("50 %", "pass"),
                           ("50.1 %", "caution")):  # fmt: skip
        entries = {"now": "10 %", "wanted": wanted, "added": "100 %"}
        assert checks(entries)["range"]["status"] == status


def test_what_does_not_fit_fails():
    entries = {"method": "add", "loop_volume": "100 L", "added": "100 %"}
    assert checks({**entries, "room": "14.2 L"})["room"]["status"] == "fail"
    assert checks({**entries, "room": "14.3 L"})["room"]["status"] == "pass"


def test_draining_more_than_half_is_told():
    entries = {"now": "0 %", "added": "50 %", "loop_volume": "100 L"}
    assert checks({**entries, "wanted": "25 %"})["order"]["status"] == "pass"
    assert checks({**entries, "wanted": "25.1 %"})["order"]["status"] == "caution"


def test_a_reading_by_mass_is_weaker_than_it_looks():
    as_mass = results({"substance": "ethylene glycol", "basis": "mass", "now": "30 %",
                       "wanted": "40 %"})  # fmt: skip
    as_volume = results({"substance": "ethylene glycol", "now": "30 %", "wanted": "40 %"})
    assert as_mass["freeze_now"] > as_volume["freeze_now"] + 1.0
    assert as_mass["let_out"] > as_volume["let_out"]
    scale = checks({"substance": "ethylene glycol", "now": "30 %", "wanted": "40 %"})["scale"]
    assert scale["status"] == "caution"


def test_topping_up_with_water_past_the_least_fails():
    assert checks({"times": "9"})["topping"]["status"] == "pass"
    assert checks({"times": "14"})["topping"]["status"] == "fail"
    gone = checks({"times": "900"})["topping"]
    assert gone["status"] == "fail"
    assert "less than the tables hold" in gone["message"]


def test_what_may_go_in_is_where_the_topping_check_turns():
    most = results({})["may_lose"]
    for more, status in ((-0.1, "pass"), (0.1, "fail")):
        entries = {"topped": f"{most + more} L", "times": "1"}
        assert checks(entries)["topping"]["status"] == status


def test_pouring_in_more_makes_more_to_take():
    full = results({"method": "replace"})
    more = results({"method": "add"})
    poured = more["pour_in"]
    assert more["expansion_then"] == pytest.approx(full["expansion_then"] * (1 + poured / 120))


def test_glycol_grows_more_and_weighs_more_than_water():
    found = results({})
    assert found["expansion_water"] < found["expansion_now"] < found["expansion_then"]
    assert found["column_water"] < found["column_now"] < found["column_then"]


def test_below_freezing_the_water_is_left_out_and_the_mixture_is_not():
    found = results({"cold": "-5 degC"})
    assert found.get("expansion_water") is None
    assert found["expansion_now"] < found["expansion_then"]
    # At -9 the present 20 % would be ice.
    assert results({"cold": "-9 degC"}).get("expansion_now") is None


def test_the_freezing_chart_carries_both_strengths():
    chart = next(c for c in answered({})["charts"] if c["id"] == "freezing")
    assert [m["label"] for m in chart["marks"]] == ["now", "then"]
    (series,) = chart["series"]
    temperatures = [y for _, y in series["points"]]
    assert temperatures == sorted(temperatures, reverse=True)


def test_a_system_may_be_replaced_not_at_all_or_whole_but_no_more():
    assert glycol.share_after_replacing(0.1, 0.2, 0.0, 0.9) == 0.2
    assert glycol.share_after_replacing(0.1, 0.2, 0.1, 0.9) == pytest.approx(0.9)
    for replaced in (-0.001, 0.1001):
        with pytest.raises(Refusal, match="cannot be replaced"):
            glycol.share_after_replacing(0.1, 0.2, replaced, 0.9)


def test_a_mixture_just_as_strong_as_wanted_fills_by_itself():
    assert glycol.first_fill(0.1, 0.4, 0.4) == pytest.approx(0.1)


def test_what_is_refused_says_that_it_is_a_balance():
    for law, given in (
        (glycol.first_fill, (0.1, 0.5, 0.4)),
        (glycol.share_after_replacing, (0.1, 0.2, 0.2, 0.9)),
        (glycol.diluted, (0.3, 0.1, 0.2, 1)),
        (glycol.added_volume, (0.1, 0.2, 0.3, 0.25)),
    ):
        with pytest.raises(Refusal) as refused:
            law(*given)
        assert "balance of glycol" in refused.value.cite.text()

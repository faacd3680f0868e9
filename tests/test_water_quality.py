"""Fill water: laws of the functions, and the fill-water calculator."""

import pytest

from calc import units
from calc import water_quality as wq
from calc.bridge import run
from calc.calculators.fill_water import CALCULATOR
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


def soft(limit):
    return 1e9 if limit is None else limit


@pytest.mark.parametrize("edition", wq.EDITIONS.values(), ids=wq.EDITIONS)
def test_larger_plants_with_more_water_are_allowed_no_harder_water(edition):
    outputs = (20e3, 120e3, 400e3, 900e3)
    contents = (10e-6, 30e-6, 60e-6)
    for output in outputs:
        row = [soft(wq.hardness_limit(edition, wq.FULL, output, c)) for c in contents]
        assert row == sorted(row, reverse=True)
    for content in contents:
        column = [soft(wq.hardness_limit(edition, wq.FULL, p, content)) for p in outputs]
        assert column == sorted(column, reverse=True)
        little = wq.hardness_limit(edition, wq.SPARE, 20e3, content)
        assert soft(little) <= column[0]


def test_little_water_in_the_heater_matters_only_in_the_first_row():
    for edition in wq.EDITIONS.values():
        for output in (60e3, 300e3, 900e3):
            for content in (10e-6, 30e-6, 60e-6):
                both = {
                    wq.hardness_limit(edition, heater, output, content)
                    for heater in (wq.FULL, wq.SPARE)
                }
                assert len(both) == 1


@pytest.mark.parametrize(
    ("edition", "content", "expected"),
    [("2021", 20e-6, 0), ("2021", 20.01e-6, 1), ("2021", 40e-6, 1), ("2021", 40.01e-6, 2),
     ("2005", 19.99e-6, 0), ("2005", 20e-6, 1), ("2005", 49.99e-6, 1), ("2005", 50e-6, 2)],
)  # fmt: skip
def test_the_bands_end_where_each_edition_says(edition, content, expected):
    assert wq.band(wq.EDITIONS[edition], content) == expected


@pytest.mark.parametrize(
    ("output", "expected"),
    [(50e3, None), (50.1e3, 2.0), (200e3, 2.0), (200.1e3, 1.5), (600e3, 1.5), (601e3, 0.05)],
)
def test_the_rows_end_at_their_outputs(output, expected):
    assert wq.hardness_limit(wq.EDITION_2021, wq.FULL, output, 15e-6) == expected


def test_a_bound_reached_through_other_units_still_counts_as_reached():
    entries = {"output": "40 kW", "smallest": "40 kW", "system_volume": "800 L", "filled": "0 L",
               "heater": "spare"}  # fmt: skip
    assert results({**entries})["allowed"] == pytest.approx(3.0 * 100.0869)
    in_feet = {**entries, "system_volume": f"{800 / 28.316846592} ft3"}
    assert results(in_feet)["allowed"] == pytest.approx(3.0 * 100.0869)


def test_the_share_to_treat_gives_just_what_is_allowed():
    share = wq.treated_share(2.4, 1.5)
    assert wq.mixed_hardness(2.4, share) == pytest.approx(1.5)
    assert wq.treated_share(1.0, 1.5) == 0
    needed = results({})["share"]
    assert checks({"mixed": f"{needed + 0.001} %"})["hardness"]["status"] == "pass"
    assert checks({"mixed": f"{needed - 0.001} %"})["hardness"]["status"] == "fail"


def test_the_years_left_use_the_lifetime_up():
    years = wq.years_until(1.9, 0.05, 1.75, 2.0)
    assert wq.lifetime_water(1.9, 0.05, years) == pytest.approx(2 * 1.75)
    assert wq.years_until(4.0, 0.05, 1.75, 2.0) == 0
    with pytest.raises(Refusal, match="never used up"):
        wq.years_until(1.9, 0.0, 1.75, 2.0)


def test_years_are_counted_only_within_reason():
    assert results({"yearly": "1.7 L"})["years_left"] == pytest.approx(1600 / 1.7)
    assert results({"yearly": "1.5 L"}).get("years_left") is None
    assert results({"yearly": "0 L", "filled": "4000 L"}).get("years_left") is None


def test_each_word_on_the_lifetime_in_both_editions():
    # 1750 L: 3500 L by 2021, 5250 L by 2005.
    entries = {"yearly": "100 L", "years": "10"}
    for edition, most in (("2021", 3500), ("2005", 5250)):
        for filled, status in ((most + 1, "fail"), (most - 999, "caution"), (most - 1001, "pass")):
            found = checks({**entries, "edition": edition, "filled": f"{filled} L"})
            assert found["lifetime"]["status"] == status, (edition, filled)


def test_a_tracer_at_half_has_lost_less_than_it_seems():
    assert 0.5 < wq.water_lost(1.0, 0.01, 0.005) < 1.0
    assert wq.water_lost(1.0, 0.01, 0.01) == 0
    # Many small losses, each made up, leave what the logarithm says.
    share, step = 1.0, 0.001
    for _ in range(700):
        share *= 1 - step
    assert wq.water_lost(1.0, 1.0, share) == pytest.approx(0.7, rel=1e-3)


def test_a_tracer_that_grew_or_vanished_is_refused():
    with pytest.raises(Refusal, match="more than before"):
        wq.water_lost(1.0, 0.01, 0.011)
    with pytest.raises(Refusal, match="Next to none"):
        wq.water_lost(1.0, 0.01, 0.0)
    assert refusal({"treatment": "other", "found": "1.2 %"})["field"] == "found"


def test_the_smallest_heater_cannot_outdo_all():
    assert refusal({"smallest": "156 kW"})["field"] == "smallest"


def test_a_weak_concentrate_is_refused_at_its_field():
    entries = {"treatment": "other", "dose": "5 %", "concentrate": "4 %"}
    error = refusal(entries)
    assert error["field"] == "concentrate"
    assert "as sold" in error["message"]


def test_topping_up_reaches_the_dose():
    entries = {"treatment": "other", "dose": "2 %", "found": "1.5 %", "earlier": "",
               "concentrate": "60 %"}  # fmt: skip
    added = results(entries)["top_up"]
    assert (1750 - added) * 0.015 + added * 0.6 == pytest.approx(1750 * 0.02)
    assert results({**entries, "found": "2.5 %"})["top_up"] == 0
    assert results({**entries, "found": ""}).get("top_up") is None


def test_the_example_plant_passes_every_check():
    assert {c["status"] for c in checks({}).values()} == {"pass"}


def test_both_editions_are_told_and_the_other_one_only_warns():
    found = checks({"mixed": "30 %"})  # 126 mg/L: 2021 allows 100, 2005 150.
    assert (found["hardness"]["status"], found["edition"]["status"]) == ("fail", "pass")
    found = checks({"mixed": "30 %", "edition": "2005"})
    assert (found["hardness"]["status"], found["edition"]["status"]) == ("pass", "caution")
    table = next(c for c in answered({})["charts"] if c["id"] == "editions")
    assert [row["label"] for row in table["rows"]] == ["2021", "2005"]


def test_aluminium_is_not_served_by_softening():
    assert results({"metals": "aluminium"})["treat"] == "demineralise"
    assert results({})["treat"] == "soften or demineralise part of it"
    assert results({"hardness": "5 dH"})["treat"] == "not needed"
    large = {"output": "700 kW", "smallest": "350 kW"}
    assert results(large)["treat"] == "soften or demineralise all of it"


@pytest.mark.parametrize(
    ("treatment", "metals", "least", "most"),
    [("none", "copper", 8.2, 10.0), ("none", "aluminium", 8.2, 9.0),
     ("nitrite", "copper", 8.5, 9.5), ("silicate", "aluminium", 7.5, 8.9),
     ("other", "steel", 8.2, 10.0), ("molybdate", "steel", 8.2, 10.0)],
)  # fmt: skip
def test_the_window_of_ph_and_both_its_ends(treatment, metals, least, most):
    entries = {"treatment": treatment, "metals": metals}
    found = results(entries)
    assert (found["ph_least"], found["ph_most"]) == (least, most)
    for ph, status in ((least - 0.05, "fail"), (least, "pass"), (most, "pass"),
                       (most + 0.05, "fail")):  # fmt: skip
        assert checks({**entries, "ph": f"{ph:.2f}"})["ph"]["status"] == status


def test_fresh_water_is_given_time_only_without_inhibitor_and_only_when_too_low():
    assert checks({"ph": "7.8", "age": "young"})["ph"]["status"] == "caution"
    assert checks({"ph": "7.8", "age": "young", "treatment": "other"})["ph"]["status"] == "fail"
    assert checks({"ph": "10.4", "age": "young"})["ph"]["status"] == "fail"


@pytest.mark.parametrize(
    ("conductivity", "status", "words"),
    [("100 uS/cm", "pass", "low in salt"), ("101 uS/cm", "pass", "saline"),
     ("1500 uS/cm", "pass", "saline"), ("1501 uS/cm", "fail", "Find out which salt")],
)  # fmt: skip
def test_three_kinds_of_salt(conductivity, status, words):
    found = checks({"conductivity": conductivity})["conductivity"]
    assert found["status"] == status
    assert words in found["message"]
    assert "conductivity" not in checks({"conductivity": ""})


@pytest.mark.parametrize(
    ("treatment", "nitrite", "status"),
    [("nitrite", 599, "fail"), ("nitrite", 600, "pass"), ("nitrite", 1000, "pass"),
     ("nitrite", 1001, "caution"), ("molybdate", 299, "fail"), ("molybdate", 300, "pass"),
     ("molybdate", 400, "pass"), ("molybdate", 401, "caution")],
)  # fmt: skip
def test_what_is_left_of_nitrite(treatment, nitrite, status):
    entries = {"treatment": treatment, "nitrite": f"{nitrite} mg/L"}
    assert checks(entries)["nitrite"]["status"] == status


def test_what_is_left_of_molybdate():
    for found, status in ((49, "fail"), (50, "pass"), (75, "pass"), (76, "caution")):
        entries = {"treatment": "molybdate", "molybdenum": f"{found} mg/L"}
        assert checks(entries)["molybdenum"]["status"] == status


def test_what_nitrite_does_not_bear():
    nitrite = {"treatment": "nitrite", "mixed": "0 %"}
    assert checks({**nitrite, "hardness": "250 mg/L"})["make-up"]["status"] == "pass"
    assert checks({**nitrite, "hardness": "251 mg/L"})["make-up"]["status"] == "fail"
    assert checks({**nitrite, "salts": "800 mg/L"})["salts"]["status"] == "pass"
    assert checks({**nitrite, "salts": "801 mg/L"})["salts"]["status"] == "fail"
    assert checks({**nitrite, "metals": "aluminium"})["aluminium"]["status"] == "fail"
    assert "tolyltriazole" in checks({**nitrite, "metals": "copper"})["nitrite"]["message"]


def test_nitrite_is_doubted_as_a_tracer():
    assert checks({"treatment": "nitrite"})["tracer"]["status"] == "caution"
    assert checks({"treatment": "other"})["tracer"]["status"] == "pass"


def test_hardness_may_be_typed_in_every_unit():
    same = ("16.8 dH", "2.9959 mol/m3", "29.985 fH", "299.85 mg/L", "17.517 gpg")
    found = [results({"hardness": text, "mixed": "0 %"})["mixture"] for text in same]
    assert found == pytest.approx([299.85] * len(same), rel=2e-4)
    assert len(units.HARDNESS.units) == len(same)


def test_a_tracer_counts_down_to_a_ten_thousandth():
    """What is left then went out with 9.2 volumes: the logarithm of ten thousand is 9.21."""
    assert wq.water_lost(1.0, 1.0, 1.01e-4) == pytest.approx(9.2, abs=0.01)
    for left in (1e-4, 0.99e-4):
        with pytest.raises(Refusal, match="Next to none"):
            wq.water_lost(1.0, 1.0, left)

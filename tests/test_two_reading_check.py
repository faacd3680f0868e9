"""The two-reading check: intervals, causes, and the test that parts them."""

from itertools import pairwise

import pytest

from calc import bridge, units
from calc.calculators.two_reading_check import CALCULATOR, causes

UNSEEN = {
    **dict.fromkeys(("second_gauge", "creeps_open", "creeps_shut", "falls"), "unknown"),
    **dict.fromkeys(("gas_valve_water", "follows", "shell", "collapses"), "unknown"),
    "pump_start": "unknown",
    "drips": "unknown",
}
VESSEL_CAUSES = set(causes.VESSEL_CAUSES)
READINGS = {
    "cold_fill": "1.55 bar",
    "cold": "10 degC",
    "hot_reading": "2.65 bar",
    "hot": "72 degC",
    "system_volume": "1750 L",
}


def with_bands(entries, pressure, temperature, volume):
    """Return entries, each reading in bar, degC or L with its plus/minus where it has none."""
    given = {**READINGS, **entries}
    for name in (*READINGS, "found_charge"):
        number, _, unit = given.get(name, "").partition(" ")
        band = {"bar": pressure, "degC": temperature, "L": volume}.get(unit)
        if band is not None:
            given[name] = f"{number} ± {band} {unit}"
    return given


def answer(pressure=0.03, temperature=1, volume=20, **entries):
    """Run the check; `pressure` [bar], `temperature` [K], `volume` [L]: plus/minus."""
    given = with_bands(entries, pressure, temperature, volume)
    return bridge.run("two-reading-check", given, "si")


def results(**entries):
    """Return numbers in SI, texts, the verdict on every cause, and the next test in full."""
    found = answer(**entries)
    assert "errors" not in found, found["errors"]
    numbers = {c["id"].replace("-", "_"): c["message"] for c in found["checks"]}
    assert set(causes.CAUSES) <= set(numbers)
    for r in found["results"]:
        kind = CALCULATOR.output(r["name"]).kind
        if r["name"] != "next_test":
            numbers[r["name"]] = kind.unit(r["unit"]).to_si(r["value"]) if kind else r["value"]
    return numbers


def fits(**entries):
    """Return what fits and what is possible, as sets of names."""
    found = results(**entries)
    fit = {n for n in causes.CAUSES if found[n].startswith(causes.FITS)}
    possible = {n for n in causes.CAUSES if found[n].startswith(causes.POSSIBLE)}
    return fit, possible


def hot_for(**entries):
    """Return the hot reading that a site as entered would show."""
    return f"{results(**entries)['hot_expected'] / 1e5!r} bar"


def status(check, **entries):
    return next(c["status"] for c in answer(**entries)["checks"] if c["id"] == check)


def refused(**entries):
    (error,) = answer(**entries)["errors"]
    return error["field"], error["message"]


@pytest.mark.parametrize("system", units.SYSTEMS)
def test_the_example_finds_larch_streets_lost_charge(system):
    found = {r["name"]: r for r in bridge.run("two-reading-check", {}, system)["results"]}
    assert found["fitting"]["value"] == causes.CAUSES["charge_lost"][0]
    assert found["next_test"]["value"] == "Charge with the water side at zero"
    low, high = (found[n]["value"] for n in ("charge_least", "charge_most"))
    lost = 0.7 if system == "si" else 0.7e5 / 6894.757
    assert low < lost < high


@pytest.mark.parametrize("charge", ["0.3 bar", "0.7 bar", "1.2 bar", "1.5 bar"])
@pytest.mark.parametrize("shell", [{}, {"shell_cold": "15 degC", "shell_hot": "28 degC"}])
@pytest.mark.parametrize("gauge_height", ["1.2 m", "-3 m"])
def test_the_charge_that_made_the_reading_is_found_again(charge, shell, gauge_height):
    site = {**shell, "gauge_height": gauge_height, "altitude": "1800 m", "cold_fill": "1.9 bar"}
    reading = hot_for(charge=charge, **site)
    found = results(**site, hot_reading=reading)
    assert found["charge_explaining"] == pytest.approx(float(charge.split()[0]) * 1e5, abs=2.0)
    assert found["charge_least"] < found["charge_explaining"] < found["charge_most"]
    assert found["content_least"] < found["content"] < found["content_most"]
    assert found["volume_least"] < found["volume_explaining"] < found["volume_most"]


def test_temperatures_that_may_be_the_same_put_the_whole_growth_in_doubt():
    """A share of one, by which the content may be divided once more; there is no greatest."""
    found = results(cold="40 ± 12 degC", hot="60 ± 12 degC")
    assert found.get("content_most") is None
    assert 0.45 < found["content_least"] / found["content"] <= 0.5


def test_a_charge_above_the_fill_is_found_again_and_looks_like_a_lost_one():
    reading = hot_for(charge="1.95 bar")
    found = results(hot_reading=reading, charge="1.5 bar")
    assert found["charge_if_empty"] == pytest.approx(1.95e5, abs=2.0)
    assert found["charge_explaining"] < 1.5e5
    fit, possible = fits(hot_reading=reading, charge="1.5 bar")
    assert "charge_lost" in fit
    assert "overcharged" in possible


def test_as_it_should_be_is_no_cause():
    reading = hot_for()
    fit, possible = fits(hot_reading=reading, drips="never")
    assert fit | possible == set()
    assert "Nothing entered speaks" in results(hot_reading=reading, drips="never")["next_test"]
    found = answer(hot_reading=reading, drips="never")
    assert {c["status"] for c in found["checks"]} == {"pass"}
    assert results(hot_reading=reading)["share"] == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("reading", "bands"),
    [
        ("cold_fill", ("1.55 ± 0.01 bar", "1.55 ± 0.05 bar", "1.55 ± 0.2 bar")),
        ("hot_reading", ("2.65 ± 0.01 bar", "2.65 ± 0.05 bar", "2.65 ± 0.2 bar")),
        ("cold", ("10 ± 0.5 degC", "10 ± 3 degC", "10 ± 9 degC")),
        ("hot", ("72 ± 0.5 degC", "72 ± 3 degC", "72 ± 9 degC")),
        ("system_volume", ("1750 ± 10 L", "1750 ± 90 L", "1750 ± 300 L")),
    ],
)
def test_a_wider_plus_minus_of_any_reading_widens_the_interval(reading, bands):
    widths = []
    for text in bands:
        found = results(**{reading: text})
        widths.append(found["content_most"] - found["content_least"])
    assert all(a < b for a, b in pairwise(widths))


def test_next_to_no_plus_minus_closes_the_interval():
    found = results(pressure=1e-6, temperature=1e-6, volume=1e-6)
    assert found["charge_least"] == pytest.approx(found["charge_explaining"], rel=1e-4)
    assert found["charge_most"] == pytest.approx(found["charge_explaining"], rel=1e-4)


def test_a_reading_without_plus_minus_counts_as_good_to_half_a_division_and_says_so():
    bare = {**READINGS, "found_charge": "0.7 bar"}
    halves = {
        "cold_fill": "1.55 ± 0.05 bar",
        "hot_reading": "2.65 ± 0.05 bar",
        "cold": "10 ± 1 degC",
        "hot": "72 ± 1 degC",
        "system_volume": "1750 ± 35 L",
        "found_charge": "0.7 ± 0.05 bar",
    }
    said = bridge.run("two-reading-check", bare)
    full = bridge.run("two-reading-check", halves)
    numbers = [{r["name"]: r["value"] for r in one["results"]} for one in (said, full)]
    for name, value in numbers[0].items():
        assert numbers[1][name] == (value if isinstance(value, str) else pytest.approx(value))
    bands = [next(c for c in one["checks"] if c["id"] == "bands") for one in (said, full)]
    assert [c["status"] for c in bands] == ["caution", "pass"]
    for words in ("Cold reading on the gauge", "Charge found", "0.05", "1\xa0K", "35.0\xa0L"):
        assert words in bands[0]["message"], words


def test_only_the_readings_left_bare_are_named():
    said = answer(cold_fill="1.55 ± 0.02 bar", hot="72 degC", temperature=0)
    message = next(c for c in said["checks"] if c["id"] == "bands")["message"]
    assert "Water at the hot reading" in message
    assert "Cold reading on the gauge" not in message
    assert "thermometer" in message
    assert "gauge, " not in message


def test_a_bound_and_what_stands_between_bounds_carry_no_plus_minus():
    found = {r["name"]: r["plus_minus"] for r in answer()["results"]}
    for name in ("content", "share", "charge_explaining", "volume_explaining"):
        assert found[name] is None, name
    assert [n for n, band in found.items() if n.endswith(("_least", "_most")) and band] == []
    for name in ("growth", "hot_expected", "gas_space", "charge_if_empty"):
        assert found[name] > 0, name


def test_a_charge_read_coarsely_is_not_called_lost():
    assert "charge_lost" in fits(found_charge="1.4 ± 0.02 bar")[0]
    assert "charge_lost" not in set.union(*fits(found_charge="1.4 ± 0.15 bar"))
    assert "overcharged" in fits(found_charge="1.75 ± 0.02 bar")[0]
    assert "overcharged" not in fits(found_charge="1.75 ± 0.15 bar")[0]


def test_a_rise_no_larger_than_its_plus_minus_sets_no_upper_bound():
    small = {"hot_reading": "1.95 bar", "pressure": 0.35}
    found = results(**small)
    assert "content_most" not in found
    assert "share_most" not in found
    fill_at_vessel = 1.55e5 + 999.7 * 9.80665 * 1.2
    assert found["charge_most"] == pytest.approx(fill_at_vessel, abs=2.0)
    assert status("spread", **small) == "caution"
    assert status("cushion", **small) == "caution"


def test_temperatures_no_further_apart_than_their_plus_minus_set_no_upper_bound():
    found = results(cold="40 degC", hot_reading="2.4 bar", temperature=17)
    assert "content_most" not in found
    assert "content_most" in results(cold="40 degC", hot_reading="2.4 bar", temperature=3)


def test_the_charge_that_would_explain_it_is_bounded_by_the_fill():
    found = results(hot_reading=hot_for(), pressure=0.1)
    assert found["content_most"] / 0.2 - 0.93869e5 > 1.7e5
    assert found["charge_most"] == pytest.approx(1.55e5 + 999.7 * 9.80665 * 1.2, abs=2.0)


def test_a_little_less_rise_is_within_the_band_and_much_less_is_not():
    little, much = {"hot_reading": "2.15 bar"}, {"hot_reading": "1.95 bar"}
    assert results(**little)["share"] > 1.0
    assert results(**little)["share_least"] < 1.0
    assert status("cushion", **little) == "pass"
    assert results(**much)["share_least"] > 1.0
    assert status("cushion", **much) == "caution"


def test_overheating_needs_more_than_the_plus_minus_of_the_temperature():
    assert "overheating" in fits(hot="83 degC", setting="80 degC")[0]
    near = fits(hot="83 degC", setting="80 degC", temperature=4)
    assert "overheating" not in set.union(*near)


def test_what_to_expect_at_the_setting_is_what_to_expect_at_that_temperature():
    found = results(setting="88 degC")
    assert found["hot_at_setting"] == pytest.approx(results(hot="88 degC")["hot_expected"])
    assert "hot_at_setting" not in results(setting="72 degC")
    assert "hot_at_setting" not in results(setting="")


def test_a_vessel_that_fails_only_at_the_setting_is_too_small():
    reading = hot_for(hot="60 degC")
    cool = {"hot": "60 degC", "hot_reading": reading, "drips": "never"}
    assert "too_small" not in set.union(*fits(**cool, setting="60 degC"))
    assert "too_small" in fits(**cool, setting="98 degC")[0]


def test_a_charge_above_the_fill_on_purpose_is_measured_against_itself():
    high = {"charge": "1.95 bar"}
    found = results(**high, hot_reading=hot_for(**high))
    assert found["share"] == pytest.approx(1.0)
    assert "volume_explaining" not in found


def test_nothing_seen_leaves_lost_charge_small_vessel_full_vessel_and_overcharge_together():
    fit, possible = fits(**UNSEEN)
    assert fit | possible >= VESSEL_CAUSES
    assert fit == {"charge_lost"}
    test = results(**UNSEEN)["next_test"]
    assert "read the charge" in test
    for quick in ("second gauge", "pump starts", "make-up shut", "relief valve drips"):
        assert quick in test, quick


@pytest.mark.parametrize(
    ("seen", "cause"),
    [
        ({"second_gauge": "no"}, "gauge_wrong"),
        ({"follows": "no"}, "valve_shut"),
        ({"pump_start": "falls"}, "pump_side"),
        ({"creeps_open": "yes", "creeps_shut": "no"}, "make_up_passing"),
        ({"creeps_open": "yes", "creeps_shut": "yes"}, "coil_leaking"),
        ({"falls": "yes"}, "water_lost"),
        ({"setting": "65 degC"}, "overheating"),
        ({"drips": "always"}, "relief_worn"),
        ({"gas_valve_water": "yes"}, "waterlogged"),
        ({"shell": "heavy"}, "waterlogged"),
        ({"found_charge": "0.7 bar"}, "charge_lost"),
        ({"collapses": "yes"}, "overcharged"),
        ({"found_charge": "1.9 bar"}, "overcharged"),
        ({"found_charge": "1.5 bar"}, "too_small"),
        ({"vessel_volume": "90 L"}, "too_small"),
        ({"hot_reading": "1.7 bar"}, "other_gas"),
    ],
)
def test_each_sign_makes_its_cause_fit(seen, cause):
    assert cause in fits(**{**UNSEEN, **seen})[0]


@pytest.mark.parametrize(
    ("seen", "cause"),
    [
        ({"second_gauge": "yes"}, "gauge_wrong"),
        ({"follows": "yes"}, "valve_shut"),
        ({"pump_start": "stays"}, "pump_side"),
        ({"pump_start": "rises"}, "pump_side"),
        ({"creeps_open": "no"}, "make_up_passing"),
        ({"creeps_open": "no"}, "coil_leaking"),
        ({"creeps_shut": "no"}, "coil_leaking"),
        ({"falls": "no"}, "water_lost"),
        ({"setting": "80 degC"}, "overheating"),
        ({"drips": "never"}, "relief_worn"),
        ({"gas_valve_water": "no"}, "waterlogged"),
        ({"shell": "rings"}, "waterlogged"),
        ({"gas_valve_water": "yes"}, "charge_lost"),
        ({"found_charge": "1.5 bar"}, "charge_lost"),
        ({"found_charge": "1.5 bar"}, "waterlogged"),
        ({"collapses": "no"}, "overcharged"),
        ({"collapses": "yes"}, "charge_lost"),
        ({"found_charge": "0.7 bar"}, "overcharged"),
        ({"found_charge": "0.7 bar"}, "too_small"),
        ({}, "other_gas"),
    ],
)
def test_each_sign_rules_its_cause_out(seen, cause):
    fit, possible = fits(**{**UNSEEN, **seen})
    assert cause not in fit | possible


def test_a_shut_vessel_leaves_next_to_no_cushion():
    jump = {"hot": "20 degC", "hot_reading": "4 bar", "relief": "6 bar", "vessel_volume": "250 L"}
    assert "valve_shut" in fits(**{**UNSEEN, **jump})[1]
    assert "valve_shut" not in set.union(*fits(**UNSEEN))
    assert (
        "open the valve to the vessel"
        in results(**{**UNSEEN, **jump, "follows": "no"})["next_test"]
    )


def test_no_rise_at_all_points_at_the_gauge_or_at_lost_water():
    flat = {**UNSEEN, "hot_reading": "1.5 bar"}
    fit, possible = fits(**flat)
    assert "gauge_wrong" in fit
    assert "water_lost" in possible
    assert not VESSEL_CAUSES & fit
    assert status("cushion", **flat) == "fail"
    assert "content" not in results(**flat)


def test_a_low_charge_that_does_not_explain_the_rise_says_so():
    found = results(found_charge="1.2 bar")
    assert "look further" in found["charge_lost"]
    assert "explains the rise" in results(found_charge="0.7 bar")["charge_lost"]


def test_a_found_charge_changes_the_test():
    assert "Pump the charge up" in results(found_charge="0.7 bar")["next_test"]
    assert "Measure the water" in results(found_charge="1.5 bar")["next_test"]
    assert "set the charge" in results(found_charge="1.9 bar")["next_test"]


def test_make_up_comes_before_coil_and_coil_before_the_vessel():
    creeping = {"creeps_open": "yes", "creeps_shut": "unknown"}
    assert "shut for half an hour" in results(**creeping)["next_test"]
    assert "Leave make-up shut" in results(creeps_open="yes", creeps_shut="no")["next_test"]
    assert "open a hot tap" in results(creeps_open="yes", creeps_shut="yes")["next_test"]


def test_a_valve_that_drips_below_its_margin_is_worn_and_one_above_is_not():
    sound = hot_for()
    assert "relief_worn" in fits(hot_reading=sound, drips="top", relief="6 bar")[0]
    assert "relief_worn" in fits(hot_reading="2.4 bar", drips="top")[1]
    assert "relief_worn" not in set.union(*fits(hot_reading="2.65 bar", drips="top"))
    creep = {"drips": "always", "creeps_open": "yes"}
    assert "relief_worn" in fits(**creep)[1]


def test_a_reading_at_the_set_pressure_is_said_to_be_held_there():
    found = answer(hot_reading="3.05 bar")
    limit = next(c for c in found["checks"] if c["id"] == "limit")
    assert limit["status"] == "fail"
    assert "may have held" in limit["message"]
    limit = next(c for c in answer(hot_reading="2.6 bar")["checks"] if c["id"] == "limit")
    assert "may have held" not in limit["message"]


@pytest.mark.parametrize(
    ("entries", "field", "words"),
    [
        ({"hot": "10 degC"}, "hot", "further apart|far apart"),
        ({"cold": "1 degC", "hot": "5 degC"}, "hot", "further apart"),
        ({"shell_cold": "20 degC"}, "shell_hot", "both shell"),
        ({"shell_hot": "20 degC"}, "shell_cold", "both shell"),
        ({"shell_cold": "30 degC", "shell_hot": "20 degC"}, "shell_hot", "cooler"),
        ({"gauge_height": "-50 m"}, "gauge_height", "vacuum"),
        ({"found_charge": "-0.99 bar", "altitude": "3000 m"}, "found_charge", "vacuum"),
        ({"relief": "0.4 bar"}, "gap_rule", "set pressure"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(entries, field, words):
    import re

    found, message = refused(**entries)
    assert found == field
    assert re.search(words, message), message


def test_every_verdict_gives_its_reason():
    for entries in ({}, UNSEEN, *CALCULATOR.examples):
        found = results(**entries)
        for name in causes.CAUSES:
            verdict, _, why = found[name].partition(". ")
            assert verdict in (causes.FITS, causes.POSSIBLE, causes.NOT)
            assert len(why.split()) >= 4, name
        assert found["next_test"].endswith(".")
        states = {c["id"]: c["status"] for c in answer(**entries)["checks"]}
        for name in causes.CAUSES:
            fit = found[name].partition(". ")[0]
            wanted = {causes.FITS: "fail", causes.POSSIBLE: "caution", causes.NOT: "pass"}[fit]
            assert states[name.replace("_", "-")] == wanted


def test_a_long_list_is_cut_for_the_line_of_results_and_not_for_the_checks():
    found = results(**UNSEEN)
    assert found["possible"].endswith("more")
    shown = found["possible"].partition("; and ")
    assert len(shown[0].split("; ")) + int(shown[2].split()[0]) == len(fits(**UNSEEN)[1])


@pytest.mark.parametrize(
    ("bands", "words"),
    [
        ({"pressure": 0.1}, "use a finer gauge"),
        ({"temperature": 8}, "read flow and return once steady"),
        ({"volume": 500}, "count it on the survey page"),
    ],
)
def test_what_makes_the_cushion_uncertain_is_named_with_its_remedy(bands, words):
    (found,) = (c for c in answer(**bands)["checks"] if c["id"] == "spread")
    assert words in found["message"]

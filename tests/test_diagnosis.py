"""Laws of the cushion read from two gauge readings."""

from itertools import pairwise

import pytest

from calc import diagnosis, vessel
from calc.model import Refusal

VESSEL, CHARGE, FILL, GROWN = 0.2, 2.44e5, 2.6e5, 0.0375


def hot(charge=CHARGE, warming=1.0):
    return diagnosis.expected_hot(VESSEL, charge, FILL, GROWN, warming)


@pytest.mark.parametrize("warming", [1.0, 1.03, 1.08])
@pytest.mark.parametrize("charge", [1.2e5, 1.7e5, 2.44e5])
def test_reading_backwards_finds_the_charge_that_was_put_in(charge, warming):
    space = diagnosis.gas_space(GROWN, FILL, hot(charge, warming), warming)
    content = diagnosis.content_of(FILL, space)
    assert diagnosis.explaining_charge(content, VESSEL) == pytest.approx(charge)
    assert diagnosis.explaining_volume(content, charge) == pytest.approx(VESSEL)


@pytest.mark.parametrize("warming", [1.0, 1.05])
def test_reading_backwards_finds_a_charge_above_the_fill(warming):
    charge = 1.2 * FILL
    found = diagnosis.charge_if_empty(VESSEL, GROWN, hot(charge, warming), warming)
    assert found == pytest.approx(charge)


def test_a_charge_above_the_fill_reads_like_a_lost_one():
    pressure = hot(1.2 * FILL)
    content = diagnosis.content_of(FILL, diagnosis.gas_space(GROWN, FILL, pressure, 1.0))
    assert diagnosis.explaining_charge(content, VESSEL) < FILL
    again = vessel.hot_pressure(VESSEL, content / VESSEL, FILL, GROWN)
    assert again == pytest.approx(pressure)


def test_the_content_agrees_with_the_plain_form_where_the_gas_keeps_its_temperature():
    space = diagnosis.gas_space(GROWN, FILL, hot(), 1.0)
    plain = vessel.gas_content(GROWN, FILL, hot())
    assert diagnosis.content_of(FILL, space) == pytest.approx(plain)


def test_warm_gas_counts_as_more_cushion_for_the_same_readings():
    spaces = [diagnosis.gas_space(GROWN, FILL, hot(), r) for r in (1.0, 1.02, 1.05)]
    assert all(a < b for a, b in pairwise(spaces))


def test_warm_gas_raises_the_hot_pressure_in_proportion():
    assert hot(warming=1.04) == pytest.approx(1.04 * hot())
    assert diagnosis.gas_warming(300.0, 312.0) == pytest.approx(1.04)


def test_a_smaller_rise_means_more_cushion():
    rises = (1.3e5, 0.9e5, 0.4e5, 0.1e5)
    spaces = [diagnosis.gas_space(GROWN, FILL, FILL + rise, 1.0) for rise in rises]
    assert all(a < b for a, b in pairwise(spaces))


@pytest.mark.parametrize(("pressure", "warming"), [(FILL, 1.0), (0.9 * FILL, 1.0), (2.7e5, 1.05)])
def test_no_rise_is_refused_with_its_mend(pressure, warming):
    with pytest.raises(Refusal, match="Read both again"):
        diagnosis.gas_space(GROWN, FILL, pressure, warming)


def test_more_growth_than_vessel_is_refused():
    with pytest.raises(Refusal, match="more than the whole vessel"):
        diagnosis.charge_if_empty(0.03, GROWN, 4e5, 1.0)


def test_readings_no_better_than_their_rise_set_no_upper_bound():
    with pytest.raises(Refusal, match="no upper bound"):
        diagnosis.greatest_content(100.0, 1.0)
    assert diagnosis.least_content(100.0, 1.0) == pytest.approx(50.0)


def test_the_share_of_the_readings_is_the_slope_of_the_content():
    """Move one reading at a time by a little: the changes of the content, squared and summed."""
    cold, warm, warming = 2.6e5, 3.7e5, 1.03
    cold_band, hot_band = 10.0, 25.0

    def content(p1, p2):
        return p1 * diagnosis.gas_space(GROWN, p1, p2, warming)

    nominal = content(cold, warm)
    by_cold = (content(cold + cold_band, warm) - nominal) / nominal
    by_hot = (content(cold, warm + hot_band) - nominal) / nominal
    expected = (by_cold**2 + by_hot**2) ** 0.5
    found = diagnosis.share_of_readings(cold, warm, cold_band, hot_band, warming)
    assert found == pytest.approx(expected, rel=1e-3)


def test_the_bounds_hold_the_content_between_them_evenly_in_its_reciprocal():
    low, high = diagnosis.least_content(80.0, 0.3), diagnosis.greatest_content(80.0, 0.3)
    assert low < 80.0 < high
    assert 1 / low + 1 / high == pytest.approx(2 / 80.0)


def test_shares_combine_by_the_root_of_squares():
    assert diagnosis.share_of_all(0.03, 0.04, 0.12) == pytest.approx(0.13)
    assert diagnosis.share_of_all(0.1, 0.0, 0.0) == pytest.approx(0.1)
    assert diagnosis.share_of_temperatures(0.019, 0.02) == pytest.approx(0.05)
    assert diagnosis.share_of_volume(0.05, 2.0) == pytest.approx(0.025)


def test_a_rise_that_the_warmer_gas_makes_alone_tells_nothing():
    with pytest.raises(Refusal, match="no higher"):
        diagnosis.gas_space(GROWN, FILL, 1.25 * FILL, 1.25)
    assert diagnosis.gas_space(GROWN, FILL, 1.26 * FILL, 1.25) == pytest.approx(126 * GROWN)


def test_water_that_just_fills_the_whole_vessel_is_refused():
    with pytest.raises(Refusal, match="more than the whole vessel"):
        diagnosis.charge_if_empty(VESSEL, VESSEL, 4e5, 1.0)
    assert diagnosis.charge_if_empty(VESSEL, VESSEL / 2, 4e5, 1.0) == pytest.approx(2e5)


def test_readings_no_better_than_their_rise_have_no_upper_bound():
    with pytest.raises(Refusal, match="no upper bound"):
        diagnosis.greatest_content(2400.0, 1.0)
    assert diagnosis.greatest_content(2400.0, 0.75) == 9600.0

"""Laws of the system volume."""

import pytest

from calc import volume

LITRE = 1e-3


def test_sum_of_parts_does_not_depend_on_which_group_holds_them():
    assert volume.total_content(1.0, 2.0, 3.0, 4.0) == volume.total_content(4.0, 3.0, 2.0, 1.0)


def test_meter_counts_what_passed_plus_what_was_there_less_what_left():
    dry = volume.metered_content(10.0, 12.0, 0.0, 0.0)
    assert dry == 2.0
    assert volume.metered_content(10.0, 12.0, 0.3, 0.0) == pytest.approx(dry + 0.3)
    assert volume.metered_content(10.0, 12.0, 0.0, 0.2) == pytest.approx(dry - 0.2)


def test_a_meter_that_started_elsewhere_gives_the_same_volume():
    assert volume.metered_content(0.0, 1.5, 0.1, 0.05) == pytest.approx(
        volume.metered_content(7000.0, 7001.5, 0.1, 0.05)
    )


@pytest.mark.parametrize("kind", volume.FIGURES)
def test_content_is_proportional_to_output(kind):
    specific = volume.usual_specific_content(kind)
    one = volume.content_from_output(10e3, specific)
    assert volume.content_from_output(30e3, specific) == pytest.approx(3 * one)
    assert volume.specific_content(one, 10e3) == pytest.approx(specific)


def test_figures_rise_from_convectors_to_floor_heating():
    order = [volume.usual_specific_content(k) for k in ("convectors", "panels", "columns", "floor")]
    assert order == sorted(order)
    low, high = volume.USUAL_SPECIFIC_CONTENT
    assert low <= order[0]
    assert order[-1] <= high


def test_boilers_alone_hold_far_less_than_systems():
    for boiler in ("cast-boiler", "low-content-boiler"):
        assert volume.usual_specific_content(boiler) < volume.USUAL_SPECIFIC_CONTENT[0] / 2


@pytest.mark.parametrize("estimated", [0.0, 0.4, 1.0])
def test_the_range_is_centred_and_as_wide_as_the_estimates(estimated):
    low = volume.least_content(1.0, estimated)
    high = volume.greatest_content(1.0, estimated)
    assert (low + high) / 2 == pytest.approx(1.0)
    assert high - low == pytest.approx(2 * volume.SPREAD * estimated)
    assert low > 0


def test_shares_add_up_to_one():
    parts = (0.092, 1.046, 0.582, 0.030)
    total = volume.total_content(*parts)
    assert sum(volume.share(part, total) for part in parts) == pytest.approx(1.0)
    assert volume.share(350 * LITRE, 1.75) == pytest.approx(0.2)

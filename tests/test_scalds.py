"""The printed burn times: what the sheets say, and what must hold between any two of them."""

import itertools

import pytest

from calc import scalds
from calc.sources import BURN_FOUNDATION, CPSC_5098, ISO_13732_1, MORITZ_HENRIQUES_1947, Citation


def rows_of(source):
    return [r for r in (*scalds.WATER_BURNS, *scalds.METAL_BURNS) if r.cite.source == source]


@pytest.mark.parametrize(
    ("source", "printed"),
    [
        # "150 degree water for two seconds ... six seconds at 140, thirty seconds at 130 ...
        # even at 120 degrees, a five minute exposure"
        (CPSC_5098, {150: (2, 2), 140: (6, 6), 130: (30, 30), 120: (300, 300)}),
        (BURN_FOUNDATION, {156: (1, 1), 149: (2, 2), 140: (5, 5), 133: (15, 15)}),
    ],
    ids=["commission", "foundation"],
)
def test_the_rows_in_fahrenheit_say_what_their_sheet_says(source, printed):
    found = {row.printed: (row.shortest, row.longest) for row in rows_of(source)}
    assert found == printed
    for row in rows_of(source):
        assert row.unit == "degF"
        assert row.temperature() == pytest.approx((row.printed + 459.67) * 5 / 9)


def test_the_rows_in_celsius_stand_in_kelvin():
    for row in (*rows_of(MORITZ_HENRIQUES_1947), *rows_of(ISO_13732_1)):
        assert row.unit == "degC"
        assert row.temperature() == pytest.approx(row.printed + 273.15)


def test_the_famous_times_of_1947():
    found = {row.printed: row for row in rows_of(MORITZ_HENRIQUES_1947)}
    assert (found[60.0].shortest, found[44.0].longest) == (5.0, 6 * 3600.0)
    assert (found[51.0].shortest, found[51.0].longest) == (4 * 60.0, 6 * 60.0)


def test_every_row_has_a_span_and_says_where_it_stands():
    rows = (*scalds.WATER_BURNS, *scalds.METAL_BURNS)
    assert len(rows) > 15
    for row in rows:
        assert 0 < row.shortest <= row.longest
        assert isinstance(row.cite, Citation)
        assert row.cite.place


@pytest.mark.parametrize(
    "source", [CPSC_5098, BURN_FOUNDATION, MORITZ_HENRIQUES_1947, ISO_13732_1], ids=lambda s: s.key
)
def test_what_is_hotter_burns_sooner(source):
    rows = sorted(rows_of(source), key=lambda row: row.temperature())
    assert len(rows) >= 4
    for cooler, hotter in itertools.pairwise(rows):
        assert hotter.longest < cooler.shortest


def test_water_stands_hottest_first_and_the_sooner_burn_before_the_later():
    order = [(-row.temperature(), row.shortest) for row in scalds.WATER_BURNS]
    assert order == sorted(order)

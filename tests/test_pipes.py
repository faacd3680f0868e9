"""The tube tables: geometry, order and sources."""

import itertools
import math

import pytest

from calc import pipes
from calc.pipes import TUBES, Tube
from calc.sources import Citation

FAMILIES = {
    prefix: [t for t in TUBES.values() if t.key.startswith(prefix)]
    for prefix in ("b36.10-40-", "b36.10-80-", "en-10255-", "b88-k-", "b88-l-", "b88-m-", "f876-")
}


@pytest.mark.parametrize("tube", TUBES.values(), ids=TUBES)
def test_a_tube_has_a_wall_a_bore_and_a_source(tube: Tube):
    assert 0 < tube.wall < tube.outside / 4
    assert pipes.bore(tube.outside, tube.wall) > 0
    assert isinstance(tube.cite, Citation)
    assert tube.label
    assert tube.family in (pipes.STEEL, pipes.COPPER, pipes.PLASTIC)


def test_labels_are_unique():
    labels = [tube.label for tube in TUBES.values()]
    assert len(set(labels)) == len(labels)


@pytest.mark.parametrize("prefix", FAMILIES)
def test_the_next_size_up_is_larger_outside_and_inside(prefix):
    row = FAMILIES[prefix]
    assert len(row) >= 8
    for a, b in itertools.pairwise(row):
        assert a.outside < b.outside
        assert pipes.tube_bore(a.key) < pipes.tube_bore(b.key)


def test_schedule_80_has_the_outside_of_schedule_40_and_a_smaller_bore():
    for thin, thick in zip(FAMILIES["b36.10-40-"], FAMILIES["b36.10-80-"], strict=True):
        assert thin.outside == thick.outside
        assert pipes.tube_bore(thick.key) < pipes.tube_bore(thin.key)


def test_copper_types_thin_from_k_to_m():
    walls = {}
    for kind in "klm":
        for tube in FAMILIES[f"b88-{kind}-"]:
            walls.setdefault(tube.outside, []).append(tube.wall)
    for row in walls.values():
        assert row == sorted(row, reverse=True)
        assert len(set(row)) == len(row) or len(row) == 1 or row[0] > row[-1]


def test_pex_walls_are_a_ninth_of_the_outside_from_five_eighths_up():
    for tube in FAMILIES["f876-"][2:]:
        assert tube.wall == pytest.approx(tube.outside / 9, abs=0.0005 * pipes.INCH)


def test_metric_pex_walls_are_an_eleventh_of_the_outside_and_two_millimetres_at_least():
    """ISO 4065, series S 5 (from memory): eleven walls are the outside, to a tenth of a mm."""
    tubes = [tube for tube in TUBES.values() if tube.cite == pipes.METRIC_PEX]
    assert len(tubes) == 11
    for tube in tubes:
        outside, wall = (round(size * 1e3, 6) for size in (tube.outside, tube.wall))
        if outside <= 20:
            assert wall == 2.0
        else:
            assert -0.02 <= wall - outside / 11 < 0.1, tube.id


def test_content_is_length_times_the_area_of_the_bore():
    assert pipes.pipe_content(0.1, 10.0) == pytest.approx(math.pi * 0.05**2 * 10.0)


def test_content_grows_with_the_square_of_the_bore_and_with_length():
    one = pipes.pipe_content(0.020, 7.0)
    assert pipes.pipe_content(0.040, 7.0) == pytest.approx(4 * one)
    assert pipes.pipe_content(0.020, 21.0) == pytest.approx(3 * one)


def test_customary_rule_of_the_trade():
    """US gallons in a foot of pipe: 0.0408 times the bore in inches squared."""
    gallon, foot = 231 * pipes.INCH**3, 12 * pipes.INCH
    for inches in (0.5, 1.049, 4.026):
        gallons = pipes.pipe_content(inches * pipes.INCH, foot) / gallon
        assert gallons == pytest.approx(0.0408 * inches**2, rel=1e-3)


def test_an_unknown_tube_is_a_slip_of_the_program():
    with pytest.raises(KeyError):
        pipes.tube("lead-1-2")

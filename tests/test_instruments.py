"""What the instruments of the simulated room show, and when two readings tell two rooms apart."""

import pytest

from calc import units as u
from calc.plant import actions
from calc.plant.example import larch_street_cold
from calc.training.instruments import _NUMBERS as NUMBERS
from calc.training.instruments import _WORDS as WORDS
from calc.training.instruments import (
    APART,
    CHANGE,
    EAR,
    HAND,
    KNUCKLES,
    LEVELS,
    ROOM_GAUGE,
    SCALES,
    SHOWN_BY,
    TEST_GAUGE,
    THERMOMETER,
    TITLES,
    as_shown,
    told,
)


def plain(text):
    return text.replace("\xa0", " ")


@pytest.mark.parametrize(
    ("instrument", "value", "si", "us"),
    [
        (ROOM_GAUGE, 1.537e5, "1.55 bar g", "22.5 psig"),
        (ROOM_GAUGE, 1.524e5, "1.50 bar g", "22.0 psig"),
        (ROOM_GAUGE, -0.13e5, "−0.15 bar g", "−2.0 psig"),
        (TEST_GAUGE, 1.537e5, "1.54 bar g", "22.25 psig"),
        (THERMOMETER, 345.0, "72 °C", "162 °F"),
        (SCALES, 1.27, "1.3 kg", "2.8 lb"),
        (CHANGE, 0.376e5, "0.40 bar", "5.5 psi"),
        (HAND, 13.0, "15 K", "20 °F"),
        (KNUCKLES, 0.47, "40 %", "40 %"),
        (EAR, 0.0024, "2 L", "0.75 US gal"),
    ],
)
def test_a_reading_is_shown_to_the_division_of_its_instrument(instrument, value, si, us):
    assert plain(instrument.text(value, "si")) == si
    assert plain(instrument.text(value, "us")) == us


@pytest.mark.parametrize(
    ("instrument", "value", "system", "margin"),
    [
        # A division, and half of one of the room's gauge from which all rooms start.
        (ROOM_GAUGE, 1e5, "si", 0.075e5),
        (TEST_GAUGE, 1e5, "si", 0.045e5),
        (ROOM_GAUGE, 1e5, "us", 0.75 * 6894.757),
        # No pressure of the system: a division alone.
        (CHANGE, 1e5, "si", 0.05e5),
        (APART, 1e5, "us", 0.5 * 6894.757),
        (THERMOMETER, 340.0, "si", 1.0),
        (THERMOMETER, 340.0, "us", 2.0 / 1.8),
        # A quarter of what is weighed is chance, whichever its sign.
        (SCALES, 4.0, "si", 1.1),
        (SCALES, -4.0, "si", 1.1),
        (SCALES, 0.0, "us", 0.2 * 0.45359237),
        (KNUCKLES, 0.5, "si", 0.35),
        (EAR, 0.002, "si", 0.001),
    ],
)
def test_two_rooms_are_told_apart_by_more_than_chance(instrument, value, system, margin):
    assert instrument.margin(value, system) == pytest.approx(margin, rel=1e-6)


def test_a_needle_may_be_placed_between_its_divisions():
    assert ROOM_GAUGE.rounded(1.537e5, "si") == 1.55
    assert ROOM_GAUGE.rounded(1.537e5, "si", 5) == 1.54
    assert ROOM_GAUGE.rounded(-10.0, "si") == 0.0
    assert str(ROOM_GAUGE.rounded(-10.0, "si")) == "0.0"


def test_every_number_has_an_instrument_and_every_instrument_a_name_and_words():
    shown_otherwise = {"change of the gauge", "gauges apart", "gauge afterwards", "flow afterwards"}
    assert set(SHOWN_BY) - set(NUMBERS) == shown_otherwise
    assert set(NUMBERS) <= set(SHOWN_BY)
    assert {name for name, one in SHOWN_BY.items() if one.kind is u.GAUGE_PRESSURE} >= LEVELS
    assert set(TITLES) <= set(SHOWN_BY) | set(WORDS) | {"whether it could be done"}
    for name, words in {**NUMBERS, **WORDS}.items():
        assert words.count("{}") == 1, name
        assert words.endswith("."), name


@pytest.mark.parametrize(
    ("name", "value", "words"),
    [
        ("gauge", 1.5e5, "The gauge shows 1.50 bar g."),
        ("sound", "dull all over", "It sounds dull all over."),
        ("sound", "dull in part", "It sounds dull below and rings above."),
        ("vent", "draws", "At the vent: it draws air in."),
        ("pump", "stopped", "The pump is stopped."),
        ("boiler", "draws", "The boiler: draws."),
        ("dull share", 0.4, "About 40 % of it sounds dull."),
    ],
)
def test_what_was_seen_is_told_in_a_sentence(name, value, words):
    assert plain(told(name, value, "si")) == words


def test_a_word_stands_by_itself_as_it_is():
    assert as_shown("sound", "rings all over", "si") == "rings all over"
    assert plain(as_shown("flow", 345.0, "us")) == "162 °F"


def test_what_a_look_round_shows_can_all_be_told():
    seen = actions.look_round(larch_street_cold())
    for one in seen.seen:
        for system in u.SYSTEMS:
            assert told(one.name, one.value, system).endswith(".")

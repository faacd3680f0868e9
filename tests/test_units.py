"""Kinds, entries and the text of quantities."""

import pytest

from calc import units
from calc.units import EntryError


def read(text, kind, system="si"):
    return units.parse_quantity(text, kind, kind.default_unit(system))


# Printed factors: NIST SP 811 (from memory), exact by definition where they end.
@pytest.mark.parametrize(
    ("kind", "text", "si"),
    [
        (units.LENGTH, "31 ft", 31 * 0.3048),
        (units.LENGTH, "2 in", 0.0508),
        (units.VOLUME, "1 gal", 3.785411784e-3),
        (units.VOLUME, "1 imp gal", 4.54609e-3),
        (units.GAUGE_PRESSURE, "1 bar", 1e5),
        (units.GAUGE_PRESSURE, "1 psi", 6894.757293168),
        (units.POWER, "1 Btu/h", 0.293071070),
        (units.TEMPERATURE, "180 °F", 355.3722222),
        (units.TEMPERATURE, "-10 degC", 263.15),
        (units.TEMPERATURE_DIFFERENCE, "9 degF", 5.0),
        (units.MASS_FLOW, "3600 kg/h", 1.0),
        (units.PRESSURE_DIFFERENCE, "1 ft water", 2989.06692),
        (units.MASS, "1 lb", 0.45359237),
        (units.ENERGY, "1 ft lbf", 1.355817948),
    ],
)
def test_factors_agree_with_the_printed_ones(kind, text, si):
    assert read(text, kind).value == pytest.approx(si, rel=2e-8)


def test_a_reading_carries_its_plus_minus_in_si():
    found = read("12 ± 0.5 psi", units.GAUGE_PRESSURE)
    assert found.plus_minus == pytest.approx(0.5 * 6894.757293168)
    assert read("12 +/- 0.5 psi", units.GAUGE_PRESSURE) == found


def test_plus_minus_of_a_temperature_has_no_offset():
    assert read("180 ± 9 degF", units.TEMPERATURE).plus_minus == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("text", "kind", "words"),
    [
        ("", units.LENGTH, "Nothing is entered"),
        ("   ", units.LENGTH, "Nothing is entered"),
        ("abc", units.LENGTH, "not a number"),
        ("nan", units.LENGTH, "not a number"),
        ("inf", units.LENGTH, "not a number"),
        ("1e999 m", units.LENGTH, "larger than any real"),
        ("1,500 m", units.LENGTH, "could mean 1500 or 1.5"),
        ("3 bar", units.LENGTH, "not a unit of length"),
        ("12 psia", units.GAUGE_PRESSURE, "wants gauge pressure"),
        ("12 psig", units.ABSOLUTE_PRESSURE, "wants absolute pressure"),
        ("1 ± -2 m", units.LENGTH, "negative"),
        ("1 2 m", units.LENGTH, "more than one number"),
        ("9" * 300, units.LENGTH, "too long"),
        ("<b>3</b>", units.LENGTH, "not a number"),
    ],
)
def test_a_bad_entry_is_refused_with_its_mend(text, kind, words):
    with pytest.raises(EntryError, match=words):
        read(text, kind)


@pytest.mark.parametrize("kind", units.KINDS, ids=lambda k: k.name)
@pytest.mark.parametrize("system", units.SYSTEMS)
def test_every_unit_of_every_kind_reads_what_it_shows(kind, system):
    for unit in kind.units:
        si = unit.to_si(123.4)
        text = units.quantity_text(si, kind, system, unit)
        shown = pytest.approx(si, rel=5 * 10.0**-unit.figures, abs=unit.step * unit.scale)
        assert units.parse_quantity(text, kind, unit).value == shown
        assert kind.unit(unit.id) == unit
        assert unit.from_si(unit.to_si(7.25)) == pytest.approx(7.25, rel=1e-12)


@pytest.mark.parametrize("kind", units.KINDS, ids=lambda k: k.name)
def test_default_units_belong_to_their_system(kind):
    assert kind.default_unit("si").system in ("", "si")
    assert kind.default_unit("us").system in ("", "us")


@pytest.mark.parametrize(
    ("value", "step", "text"),
    [
        (1.23456, 0.01, "1.23"),
        (12.3456, 0.01, "12.35"),
        (123.456, 0.01, "123.5"),
        (1750.4, 0.01, "1750"),
        (12345.6, 0.1, "12\u202f350"),
        (0.00412, 0.01, "0.0041"),
        (-0.5, 0.01, "\u22120.50"),
        (0, 0.01, "0"),
        (-0.0, 1, "0"),
        # Rounding up to the next power of ten adds no figure.
        (99.996, 0.001, "100.0"),
        (9.99996, 0.0001, "10.00"),
        (0.00099996, 0.01, "0.0010"),
    ],
)
def test_numbers_show_four_figures_and_no_false_ones(value, step, text):
    assert units.number_text(value, step) == text


def test_gauge_absolute_and_difference_are_told_apart_in_text():
    assert units.quantity_text(1e5, units.GAUGE_PRESSURE, "si") == "1.00\xa0bar g"
    assert units.quantity_text(1e5, units.ABSOLUTE_PRESSURE, "si") == "1.000\xa0bar abs"
    assert units.quantity_text(1e5, units.PRESSURE_DIFFERENCE, "si") == "1.00\xa0bar"


def test_degrees_fahrenheit_and_percent_show_three_figures():
    fahrenheit = units.TEMPERATURE.unit("degF")
    assert units.quantity_text(322.15, units.TEMPERATURE, "us") == "120\xa0°F"
    assert units.quantity_text(fahrenheit.to_si(98.6), units.TEMPERATURE, "us") == "98.6\xa0°F"
    assert units.quantity_text(322.15, units.TEMPERATURE, "si") == "49.0\xa0°C"
    assert units.quantity_text(0.5, units.FRACTION, "si") == "50.0\xa0%"
    assert units.quantity_text(0.0249, units.FRACTION, "si") == "2.49\xa0%"
    assert units.quantity_text(1.0, units.FRACTION, "si") == "100\xa0%"


@pytest.mark.parametrize(
    ("value", "band", "kind", "text"),
    [
        (1.55e5, 0.02e5, units.GAUGE_PRESSURE, "0.02 bar"),
        (1.55e5, 0.001e5, units.GAUGE_PRESSURE, "0.01 bar"),
        (11.4, 0.3, units.LENGTH, "0.30 m"),
        # A small mass is shown finer than a tenth of a kilogram, and so is its band.
        (0.25, 0.031, units.MASS, "0.03 kg"),
        (0.25, 0.004, units.MASS, "0.01 kg"),
        (44.0, 0.031, units.MASS, "0.1 kg"),
        (123.4, 12.34, units.MASS, "12 kg"),
        (12345.0, 1234.0, units.MASS, "1200 kg"),
        (322.15, 1.0, units.TEMPERATURE, "1.0 K"),
        (0.0, 0.5, units.MASS, "0.5 kg"),
    ],
)
def test_a_plus_minus_is_as_fine_as_what_it_stands_beside(value, band, kind, text):
    assert units.difference_text(band, kind, "si", None, value) == text


def test_a_plus_minus_alone_is_as_fine_as_its_unit():
    assert units.difference_text(0.001e5, units.GAUGE_PRESSURE, "si") == "0.01 bar"
    assert units.difference_text(0.3e5, units.GAUGE_PRESSURE, "si") == "0.30 bar"


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0.00012345678, "0.00012346"),
        (123456.0, "123460"),
        (9.9999e11, "999990000000"),
        (1e12, "1e+12"),
        (-2.5e13, "-2.5e+13"),
    ],
)
def test_an_entry_has_no_exponent_below_a_million_millions(value, text):
    assert units.entry_text(value) == text


@pytest.mark.parametrize(
    ("value", "step", "text"),
    [
        # Two figures are kept below five steps, and a thousandth of a step is still shown.
        (0.049, 0.01, "0.049"),
        (0.05, 0.01, "0.05"),
        (0.056, 0.01, "0.06"),
        (0.00001, 0.01, "0.000010"),
        (0.0000099, 0.01, "0"),
        (0.001, 1, "0.0010"),
        # Past twelve decimals, and from a million millions on, there is a power of ten.
        (1.5e-11, 1e-12, "0.000000000015"),
        (1.5e-12, 1e-13, "1.5e\u221212"),
        (9.994e11, 1, "999\u202f400\u202f000\u202f000"),
        (1e12, 1, "1e+12"),
        (-1e12, 1, "\u22121e+12"),
        (9999, 1, "9999"),
        (10000, 1, "10\u202f000"),
    ],
)
def test_small_and_vast_numbers_change_their_form_at_their_bounds(value, step, text):
    assert units.number_text(value, step) == text


def test_a_plus_minus_beside_a_value_of_another_unit_takes_its_scale_and_no_offset():
    fahrenheit = units.TEMPERATURE.unit("degF")
    assert units.difference_in(fahrenheit, 5.0, fahrenheit.to_si(180.0)) == "9 °F"
    assert units.difference_in(units.ABSOLUTE_PRESSURE.unit("kPa"), 1234.0) == "1.2 kPa"
    assert units.difference_in(units.NUMBER.unit("1"), 0.25) == "0.25"

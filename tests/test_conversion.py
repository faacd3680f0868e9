"""The converter: every unit of every Kind, each once, and kinds of pressure kept apart."""

import re

import pytest

from calc import conversion, units
from calc.atmosphere import standard_pressure
from calc.bridge import run
from calc.calculators import convert
from calc.calculators.convert import CALCULATOR, COLUMN, KINDS, slug

ID = CALCULATOR.id


def answered(entries, system="si"):
    answer = run(ID, entries, system)
    assert "errors" not in answer, answer
    return answer


def results(entries, system="si"):
    return {r["name"]: r["value"] for r in answered(entries, system)["results"]}


def tables(entries):
    return {
        c["id"]: {r["label"]: [cell["text"] for cell in r["cells"]] for r in c["rows"]}
        for c in answered(entries)["charts"]
        if c["type"] == "table"
    }


def number(text):
    """Read a number as the table prints it."""
    found = re.fullmatch(r"([−-]?[\d.]+)(?: × 10([⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+))?", text)
    power = (found[2] or "0").translate(str.maketrans("⁻⁰¹²³⁴⁵⁶⁷⁸⁹", "-0123456789"))
    return float(found[1].replace("−", "-")) * 10.0 ** int(power)


@pytest.mark.parametrize("kind", units.KINDS, ids=lambda k: k.name)
def test_every_unit_with_a_fellow_can_be_converted_somewhere(kind):
    """A unit that is added to a Kind shows up by itself."""
    if len(kind.units) < 2:
        assert kind.name not in KINDS
        return
    wanted = {(unit.text, unit.scale, unit.offset) for unit in kind.units}
    assert any(
        wanted <= {(unit.text, unit.scale, unit.offset) for unit in other.units}
        for other in KINDS.values()
    )


def test_a_new_unit_and_a_new_kind_are_offered_at_once(monkeypatch):
    offered = [("m/s", "m/s", 1, "m/s"), ("kn", "kn", 1, "knot")]
    new = units._kind("speed of sound", "speed of sound", "m/s", offered, "m/s", "m/s")
    monkeypatch.setattr(units, "KINDS", (*units.KINDS, new))
    assert conversion.offered_kinds()[-1] is new
    assert convert._value(new).default == "10 m/s"
    assert [o.unit for o in convert._pair(slug(new), "x", new)] == ["m/s", "kn"]


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda k: k.name)
def test_the_table_holds_every_unit_and_each_value_is_the_same_thing(kind):
    rows = next(
        rows for rows in tables({"what": kind.name}).values()
        if list(rows) == [unit.text or "share of 1" for unit in kind.units]
    )  # fmt: skip
    values = [unit.to_si(number(rows[unit.text or "share of 1"][0])) for unit in kind.units]
    for unit, value in zip(kind.units, values, strict=True):
        assert value == pytest.approx(values[0], rel=2e-5, abs=2e-5 * unit.scale)


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda k: k.name)
def test_the_rule_beside_each_unit_leads_from_its_value_to_the_first(kind):
    rows = next(
        rows for rows in tables({"what": kind.name}).values()
        if list(rows) == [unit.text or "share of 1" for unit in kind.units]
    )  # fmt: skip
    base = number(rows[kind.unit(kind.si).text or "share of 1"][0])
    for shown, rule in rows.values():
        parts = rule.removeprefix("times ").split(" ")
        factor = number(" ".join(parts[:3]) if "×" in parts[1:2] else parts[0])
        offset = number(parts[-1]) * (-1 if parts[-2] == "−" else 1) if "times" in rule else 0.0
        assert number(shown) * factor + offset == pytest.approx(base, rel=2e-5, abs=1e-4)


@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda k: k.name)
def test_each_result_entered_again_gives_the_value_back(kind):
    first = answered({"what": kind.name})
    by_name = {r["name"]: r for r in first["results"]}
    other = by_name[f"{slug(kind)}_us"]
    entry = {"value": f"{other['value']:.12g}", "unit": other["unit"], "pm": ""}
    again = results({"what": kind.name, slug(kind): entry})
    base = by_name[f"{slug(kind)}_si"]["value"]
    assert again[f"{slug(kind)}_si"] == pytest.approx(base, rel=1e-9)


@pytest.mark.parametrize("altitude", [-400, 0, 640, 5280 * 0.3048])
def test_gauge_and_absolute_undo_each_other_with_the_air_of_the_site(altitude):
    at = {"altitude": f"{altitude} m"}
    found = results({"what": "gauge pressure", "gauge_pressure": "1.5 bar", **at})
    assert found["absolute_pressure_si"] == pytest.approx(1.5 + standard_pressure(altitude) / 1e5)
    text = f"{found['absolute_pressure_si']:.12g} bar"
    back = results({"what": "absolute pressure", "absolute_pressure": text, **at})
    assert back["gauge_pressure_si"] == pytest.approx(1.5)


def test_a_difference_has_no_absolute_and_a_gauge_pressure_no_column():
    difference = results({"what": "pressure difference"})
    assert not any("absolute" in name or "gauge" in name for name in difference)
    assert not any("column" in name for name in results({}))


def test_a_rise_is_not_a_temperature():
    reading = results({"what": "temperature", "temperature": "20 degC"})
    assert reading["temperature_us"] == pytest.approx(68)
    rise = {"what": "temperature difference", "temperature_difference": "20 K"}
    assert results(rise)["temperature_difference_us"] == pytest.approx(36)


@pytest.mark.parametrize("celsius", [4, 10, 80, 120])
def test_column_and_difference_undo_each_other(celsius):
    at = {"water_temperature": f"{celsius} degC"}
    pressed = results({"what": COLUMN, "column": "11.4 m", **at})["pressure_difference_si"]
    entered = {"what": "pressure difference", "pressure_difference": f"{pressed:.12g} bar", **at}
    assert results(entered)["column_si"] == pytest.approx(11.4)


def test_a_hot_column_is_taller_for_the_same_pressure():
    cold = results({"what": "pressure difference", "water_temperature": "10 degC"})["column_si"]
    hot = results({"what": "pressure difference", "water_temperature": "90 degC"})["column_si"]
    assert hot > 1.03 * cold


def test_less_than_a_vacuum_is_refused_with_what_a_dial_can_show():
    (error,) = run(ID, {"gauge_pressure": "-0.96 bar", "altitude": "640 m"})["errors"]
    assert error["field"] == "gauge_pressure"
    assert "−0.94" in error["message"]
    assert "errors" not in run(ID, {"gauge_pressure": "-0.96 bar", "altitude": "0 m"})


def test_below_absolute_zero_is_refused():
    (error,) = run(ID, {"what": "temperature", "temperature": "-274 degC"})["errors"]
    assert error["field"] == "temperature"
    assert "absolute zero" in error["message"]


def test_there_is_no_negative_volume_but_there_is_a_fall_in_height():
    assert "errors" in run(ID, {"what": "volume", "volume": "-1 L"})
    assert results({"what": "length", "length": "-2 m"})["length_us"] == pytest.approx(
        -6.5617, abs=1e-4
    )


def test_nothing_of_something_is_nothing_in_every_unit():
    (rows,) = tables({"what": "volume", "volume": "0 L"}).values()
    assert {cells[0] for cells in rows.values()} == {"0"}


@pytest.mark.parametrize(
    ("value", "text"),
    [(1.0, "1"), (14.5037738, "14.5038"), (123456.7, "123457"), (1e9, "1 × 10⁹"),
     (9.80665e-5, "9.80665 × 10⁻⁵"), (-6.5, "−6.5"), (1e-320, "0"), (1e-300, "1 × 10⁻³⁰⁰"),
     (0.000123456, "0.000123456")],
)  # fmt: skip
def test_six_figures_as_a_table_prints_them(value, text):
    assert conversion.six_figures(value) == text


def test_the_chart_passes_through_the_value():
    (chart,) = (c for c in answered({"what": "power"})["charts"] if c["type"] == "lines")
    (mark,) = chart["marks"]
    assert mark["x"] == pytest.approx(155)
    assert mark["y"] == pytest.approx(528882, rel=1e-5)


@pytest.mark.parametrize(
    ("what", "words"),
    [
        (convert._GAUGE, "gas laws take absolute"),
        (convert._ABSOLUTE, "A dial does not show this"),
        (convert._DIFFERENCE, "1000 kg/m³"),
        (COLUMN, "Only the height counts"),
        (units.TEMPERATURE.name, "A rise or a gap is another kind"),
        (units.TEMPERATURE_DIFFERENCE.name, "A temperature is another kind"),
        (units.VOLUME.name, "imperial gallon"),
        (units.POWER.name, "1000 Btu/h"),
        (units.FRACTION.name, "Glycol is by volume"),
        (units.SPECIFIC_CONTENT.name, "each unit of output"),
    ],
)
def test_each_kind_says_what_it_is_often_mixed_up_with(what, words):
    checks = run("convert", {"what": what})["checks"]
    assert words in next(c["message"] for c in checks if c["id"] == "apart")


@pytest.mark.parametrize("what", [convert._GAUGE, convert._ABSOLUTE])
def test_a_table_of_pressures_is_headed_by_what_it_holds(what):
    charts = answered({"what": what})["charts"]
    titles = {c["id"]: c["title"] for c in charts if c["type"] == "table"}
    assert titles == {
        "gauge_pressure": "On a dial",
        "absolute_pressure": "Absolute, at this altitude",
    }


@pytest.mark.parametrize(
    ("what", "first"),
    [(convert._GAUGE, "gauge_pressure"), (convert._ABSOLUTE, "absolute_pressure")],
)
def test_what_was_entered_comes_first(what, first):
    charts = answered({"what": what})["charts"]
    assert next(c["id"] for c in charts if c["type"] == "table") == first


@pytest.mark.parametrize("system", units.SYSTEMS)
@pytest.mark.parametrize("kind", KINDS.values(), ids=lambda k: k.name)
def test_the_line_leads_from_the_first_unit_to_the_other_for_every_reader(kind, system):
    charts = answered({"what": kind.name}, system)["charts"]
    lines = [chart for chart in charts if chart["id"] == "line"]
    assert bool(lines) is (kind not in (units.GAUGE_PRESSURE, units.ABSOLUTE_PRESSURE))
    for chart in lines:
        assert chart["x"]["unit"] == kind.unit(kind.si).text
        assert chart["y"]["unit"] == conversion.other_unit(kind).text


def test_a_dial_reading_lies_on_the_air_at_every_altitude():
    told = run("convert", {"what": "gauge pressure", "altitude": "0 m"}, "si")
    chart = next(c for c in told["charts"] if c["id"] == "altitude")
    whole, air = ([y for _, y in series["points"]] for series in chart["series"])
    gauge = next(r["value"] for r in told["results"] if r["name"] == "gauge_pressure_si")
    assert [one - other for one, other in zip(whole, air, strict=True)] == pytest.approx(
        [gauge] * len(air), rel=1e-6
    )

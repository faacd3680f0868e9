"""The edge: entries in, answers out, errors at their fields."""

import json
import math
from dataclasses import replace

import pytest

from calc import bridge, entries
from calc import units as u
from calc.model import (
    Axis,
    Calculator,
    Choice,
    Equation,
    Level,
    Limit,
    LineChart,
    Mark,
    Option,
    Output,
    Quantity,
    QuantityList,
    Refusal,
    ResultColumn,
    Section,
    Series,
    Symbol,
    Table,
    Text,
    Work,
)
from calc.sources import PHYSICS

CITE = PHYSICS.at("toy")


def solve(v):
    work = Work()
    if v.way == "long" and v.length < 1:
        raise Refusal("The length is too short. Enter 1 m or more.", field="length", cite=CITE)
    if v.length == 7:
        work.result("total", float("nan"))
        return work.solution()
    work.result("total", v.length + sum(row.part for row in v.rows) + (v.extra or 0.0))
    work.result("least", min(v.sizes))
    return work.solution()


TOY = Calculator(
    id="toy",
    title="Toy",
    question="How long?",
    summary="Adds lengths.",
    inputs=(
        Choice(
            name="way",
            label="Way",
            help="Long or short.",
            default="short",
            options=(Option("short", "Short"), Option("long", "Long way")),
        ),
        Quantity(
            name="length",
            label="Length",
            kind=u.LENGTH,
            help="A length.",
            reading=True,
            default="2 ± 0.1 m",
            low=Limit("0 m", "a length is not negative", CITE),
            high=Limit("100 m", "longer than any hall", CITE),
        ),
        Quantity(
            name="extra",
            label="Extra",
            kind=u.LENGTH,
            help="More.",
            default="",
            optional=True,
            when={"way": ("long",)},
        ),
        Table(
            name="rows",
            label="Rows",
            row_label="a row",
            help="Parts.",
            columns=(
                Quantity(name="part", label="Part", kind=u.LENGTH, help="A part.", default="1 m"),
            ),
            default=(("3 m",), ("4 m",)),
            most=3,
        ),
        QuantityList(
            name="sizes",
            label="Sizes",
            kind=u.VOLUME,
            help="Sizes.",
            default="8, 12 L",
            us_default="2, 4 gal",
        ),
    ),
    outputs=(Output("total", "Total", u.LENGTH, headline=True), Output("least", "Least", u.VOLUME)),
    solve=solve,
)


@pytest.fixture(autouse=True)
def _only_the_toy(monkeypatch):
    monkeypatch.setattr(bridge, "CALCULATORS", (TOY,))
    monkeypatch.setattr(bridge, "calculator", lambda id: {"toy": TOY}[id])


def total(entries, system="si"):
    answer = bridge.run("toy", entries, system)
    assert "errors" not in answer, answer
    return answer["results"][0]


def fields(entries, system="si"):
    return [e["field"] for e in bridge.run("toy", entries, system)["errors"]]


def test_entries_may_come_as_text_or_in_parts():
    assert total({})["value"] == pytest.approx(9.0)
    assert total({"length": "2 m"}) == total({"length": {"value": "2", "unit": "m"}})
    assert total({"rows": "1 m; 2 m"})["value"] == pytest.approx(5.0)
    assert total({"rows": '[{"part": "1 m"}]'})["value"] == pytest.approx(3.0)
    assert total({"rows": ""})["value"] == pytest.approx(2.0)


def test_a_reading_brings_its_plus_minus_to_the_result():
    assert total({})["plus_minus"] == pytest.approx(0.1)
    assert (
        total({"length": {"value": "2", "unit": "m", "pm": "0.3"}})["plus_minus_text"] == "0.30 m"
    )
    assert total({"length": "2 m"})["plus_minus"] is None


@pytest.mark.parametrize(
    ("length", "text", "band"), [("90", "90.00", "0.01"), ("0.02", "0.020", "0.001")]
)
def test_a_plus_minus_is_never_finer_than_what_it_stands_beside(length, text, band):
    found = total({"length": f"{length} ± 0.0001 m", "rows": "0 m", "way": "short"})
    told = [found[name].replace("\xa0", " ") for name in ("text", "plus_minus_text")]
    assert told == [f"{text} m", f"{band} m"]


def test_the_answer_says_which_entries_were_assumed():
    answer = bridge.run("toy", {"length": "2 m"})
    origins = {g["name"]: g["origin"] for g in answer["inputs"]}
    assert origins == {"way": "example", "length": "given", "rows": "example", "sizes": "example"}


def test_a_unit_typed_after_the_number_counts_even_beside_a_plus_minus():
    found = total({"length": {"value": "200 cm", "unit": "m", "pm": "10 cm"}})
    assert found["value"] == pytest.approx(9.0)
    assert found["plus_minus"] == pytest.approx(0.1)
    # Ten what: the unit in the box, or the one beside it?
    assert fields({"length": {"value": "200 cm", "unit": "m", "pm": "10"}}) == ["length"]


def test_every_bad_field_is_named_at_once():
    found = fields({"length": "x", "rows": "1 m; 2 bar", "sizes": "3, y"})
    assert sorted(found) == ["length", "rows.1.part", "sizes"]


@pytest.mark.parametrize(
    ("entries", "field", "words"),
    [
        ({"length": "-1 m"}, "length", "below the least"),
        ({"length": "101 m"}, "length", "above the most"),
        ({"length": ""}, "length", "Nothing is entered"),
        ({"way": "round"}, "way", "not one of the choices"),
        ({"way": "long", "length": "0.5 m"}, "length", "too short"),
        ({"rows": "1 m; 1 m; 1 m; 1 m"}, "rows", "between 0 and 3"),
        ({"rows": "1 m | 2 m"}, "rows", "2 cells"),
        ({"rows": "[broken"}, "rows", "JSON"),
        ({"rows": {"a": 1}}, "rows", "Rows are wanted"),
        ({"rows": ["text"]}, "rows", "not readable"),
        ({"sizes": ""}, "sizes", "Nothing is entered"),
        ({"sizes": "1, " * 50 + "1 L"}, "sizes", "at most"),
        ({"width": "3 m"}, "width", "not an input"),
        ({"length": {"value": "2", "unit": "m", "pm": "x"}}, "length", "plus/minus"),
    ],
)
def test_each_bad_entry_is_refused_at_its_field(entries, field, words):
    errors = bridge.run("toy", entries)["errors"]
    assert [e["field"] for e in errors] == [field]
    assert words in errors[0]["message"]


def test_a_field_that_does_not_apply_is_not_read():
    assert total({"extra": "nonsense"})["value"] == pytest.approx(9.0)
    assert fields({"way": "long", "extra": "nonsense"}) == ["extra"]


def test_a_result_that_is_not_a_number_is_a_defect_and_never_shown():
    with pytest.raises(ArithmeticError, match="total"):
        bridge.run("toy", {"length": "7 m"})


def test_limits_are_told_in_the_unit_the_reader_used():
    message = bridge.run("toy", {"length": "500 ft"}, "us")["errors"][0]["message"]
    assert "328.1\xa0ft" in message


def test_conversion_moves_every_field_and_loses_nothing_unreadable():
    given = {
        "length": {"value": "2", "unit": "m", "pm": "0.1"},
        "rows": [{"part": "odd"}],
        "sizes": {"value": "8, 12", "unit": "L"},
        "way": "long",
    }
    found = bridge.converted("toy", given, "us")
    assert found["length"] == {"value": "6.5617", "unit": "ft", "pm": "0.328"}
    assert found["rows"] == [{"part": {"value": "odd", "unit": "", "pm": ""}}]
    assert found["sizes"] == {"value": "2.1134, 3.1701", "unit": "gal"}
    assert found["way"] == "long"


def test_an_untouched_example_becomes_the_other_systems_example():
    given = {"sizes": bridge.default_entry(TOY.input("sizes"), "si")}
    assert bridge.converted("toy", given, "us", "si")["sizes"] == {"value": "2, 4", "unit": "gal"}


def test_a_conversion_leaves_out_what_is_not_entered_and_goes_on():
    found = bridge.converted("toy", {"way": "long", "sizes": "1, 2 L"}, "us")
    assert found["sizes"]["unit"] == "gal"
    example = {name: bridge.default_entry(TOY.input(name), "si") for name in ("length", "sizes")}
    found = bridge.converted("toy", example, "us", "si")
    assert found == {
        name: bridge.default_entry(TOY.input(name), "us") for name in ("length", "sizes")
    }


def test_links_go_through_conversion_untouched_and_come_back_split():
    found = bridge.converted("toy", {"length": "31 ± 0.5 ft", "rows": "1 m; 2 m"}, "us")
    assert found["length"] == {"value": "31", "unit": "ft", "pm": "0.5"}
    assert len(found["rows"]) == 2


def test_requests_are_json_both_ways():
    answer = json.loads(bridge.respond('{"op": "run", "calculator": "toy", "system": "us"}'))
    assert answer["results"][0]["unit"] == "ft"
    assert json.loads(bridge.respond('{"op": "version"}'))["pint"]
    described = json.loads(bridge.respond('{"op": "describe", "calculator": "toy"}'))
    assert described["inputs"][1]["limits"][0]["source"]["text"] == "Law of physics, toy"


def test_an_unknown_request_is_an_error():
    with pytest.raises(ValueError, match="unknown request"):
        bridge.answer({"op": "format-disk"})


def test_a_chart_of_no_known_make_is_a_slip_of_the_program():
    from types import SimpleNamespace

    with pytest.raises(TypeError, match="SimpleNamespace"):
        bridge.chart_data(SimpleNamespace(id="x", title="x", summary="x"), "si")


def test_what_an_output_is_is_told_by_its_kind():
    found = {o["name"]: o["kind"] for o in bridge.description("toy")["outputs"]}
    assert found == {"total": "length", "least": "volume"}


def step_of_lengths(system, **parts):
    """Return the one step in which two lengths are put together, as plain data."""
    used = Equation(
        label="Length",
        symbol="L",
        kind=u.LENGTH,
        formula="a + b",
        where={"a": Symbol("One part", u.LENGTH), "b": Symbol("The other", u.LENGTH)},
        function=lambda a, b: a + b,
        cite=CITE,
    )
    work = Work()
    work.step(used, **parts)
    (step,) = work.solution().steps
    return bridge._step(step, system)


def test_the_result_of_a_step_bears_the_name_of_its_equation():
    told = step_of_lengths("si", a=1.0, b=2.0)
    assert told["result"]["label"] == "Length"
    assert [one["label"] for one in told["where"]] == ["One part", "The other"]


@pytest.mark.parametrize(
    ("kind", "unit", "systems"),
    [
        (u.GAUGE_PRESSURE, "bar", {"si"}),
        (u.GAUGE_PRESSURE, "kPa", {"si"}),
        (u.GAUGE_PRESSURE, "psi", {"us"}),
        (u.TIME, "h", {"si", "us"}),
        (u.TIME, "min", {"si", "us"}),
    ],
)
def test_a_unit_stays_where_readers_of_the_system_know_it(kind, unit, systems):
    assert {s for s in u.SYSTEMS if entries._fits(kind, kind.unit(unit), s)} == systems


def test_a_form_begins_with_the_example_of_its_reader():
    def sizes(system):
        found = {i["name"]: i for i in bridge.description("toy", system)["inputs"]}
        return found["sizes"]["default"]

    assert sizes("si") == {"value": "8, 12", "unit": "L"}
    assert sizes("us") == {"value": "2, 4", "unit": "gal"}


@pytest.mark.parametrize(
    ("raw", "system", "litres"),
    [
        # 1 gal is 231 in3 = 3.785412 L, 1 imp gal is 4.54609 L (definitions). A bare gallon is that
        # of a US reader; who writes for all writes the id of a unit, which is the US one too.
        ({"value": "10", "unit": "gal"}, "si", 37.85412),
        ({"value": "10", "unit": "imp gal"}, "si", 45.4609),
        ("10 gal", "si", 37.85412),
    ],
)
def test_a_list_in_gallons_comes_in_litres(raw, system, litres):
    found = bridge.converted("toy", {"sizes": raw}, system)["sizes"]
    assert found["unit"] == "L"
    assert float(found["value"]) == pytest.approx(litres, rel=1e-4)


@pytest.mark.parametrize(
    ("raw", "system", "litres"),
    [
        ({"value": "1, 2", "unit": "US gal"}, "si", 3 * 3.785412),
        ({"value": "1, 2", "unit": "L"}, "us", 3.0),
        ("1, 2", "us", 3 * 3.785412),
        ("1, 2", "si", 3.0),
    ],
)
def test_a_list_without_units_is_in_that_of_its_box_or_of_the_reader(raw, system, litres):
    reader = bridge.Reader(system)
    values = reader.read(TOY, {"sizes": raw})
    assert reader.errors == []
    assert sum(values.sizes) * 1e3 == pytest.approx(litres, rel=1e-6)


def test_sections_hold_every_input_once():
    names = [entry.name for entry in TOY.inputs]
    assert replace(TOY, sections=(Section("All", tuple(names)),)).sections
    for wrong, odd in ((names[1:], names[0]), ([*names, "sugar"], "sugar")):
        with pytest.raises(ValueError, match="hold every input once") as told:
            replace(TOY, sections=(Section("All", tuple(wrong)),))
        assert str(told.value).endswith(f"look at {{'{odd}'}}")


def test_a_bare_gallon_of_a_box_has_to_be_named_outside_the_us():
    typed = {"value": "10 gal", "unit": "L"}
    assert bridge.converted("toy", {"sizes": typed}, "si")["sizes"] == typed
    assert bridge.converted("toy", {"sizes": typed}, "us")["sizes"]["unit"] == "gal"


def test_a_bare_gallon_has_to_be_named_wherever_it_stands_in_a_list():
    typed = {"value": "10 gal, 12 L", "unit": "L"}
    assert bridge.converted("toy", {"sizes": typed}, "si")["sizes"] == typed
    named = {"value": "10 US gal, 12 L", "unit": "L"}
    assert bridge.converted("toy", {"sizes": named}, "us")["sizes"]["unit"] == "gal"


@pytest.mark.parametrize(("pm", "system"), [("1 US gal", "si"), ("1 gal", "us")])
def test_a_gallon_behind_a_plus_minus_is_that_of_the_us(pm, system):
    raw = {"value": "10", "unit": "L", "pm": pm}
    found = entries.read_quantity(u.VOLUME, raw, system)
    assert found.plus_minus == pytest.approx(3.785412e-3)


def test_a_bare_gallon_has_to_be_named_behind_a_plus_minus_too():
    with pytest.raises(u.EntryError, match="gal"):
        entries.read_quantity(u.VOLUME, {"value": "10", "unit": "L", "pm": "1 gal"}, "si")


def test_a_comma_that_may_be_either_is_shown_as_it_stands():
    (error,) = bridge.run("toy", {"sizes": "8,5, 12"})["errors"]
    assert "The comma in “8,5” could be a decimal mark" in error["message"]


@pytest.mark.parametrize(("unit", "text"), [("", "1.50 bar g"), ("kPa", "150 kPa g")])
def test_a_mark_of_a_chart_is_told_in_the_unit_of_its_axis(unit, text):
    chart = LineChart(
        id="c",
        title="Chart",
        x=Axis("height", u.LENGTH),
        y=Axis("pressure", u.GAUGE_PRESSURE, unit),
        series=(Series("gauge", ((0.0, 1e5), (3.048, 2e5))),),
        marks=(Mark("here", 1.524, 1.5e5),),
        levels=(Level("the valve", 1.5e5, "limit"),),
        summary="A chart.",
    )
    found = bridge.chart_data(chart, "si")
    (mark,), (level,) = found["marks"], found["levels"]
    # 3.048 m is 10 ft.
    us = bridge.chart_data(chart, "us")
    assert [found["x"]["unit"], us["x"]["unit"]] == ["m", "ft"]
    assert us["series"][0]["points"][1][0] == pytest.approx(10.0)
    assert us["marks"][0]["x"] == pytest.approx(5.0)
    assert level["text"].replace("\N{NO-BREAK SPACE}", " ") == text
    assert mark["text"].replace("\N{NO-BREAK SPACE}", " ") == text


def test_the_working_and_its_results_are_told_in_the_units_of_the_reader():
    told = step_of_lengths("us", a=0.3048, b=0.6096)
    assert {one["unit"] for one in (told["result"], *told["where"])} == {"ft"}
    assert told["result"]["text"].replace("\xa0", " ") == "3.00 ft"


def test_a_request_to_convert_may_say_from_which_example():
    example = bridge.default_entry(TOY.input("sizes"), "si")
    request = {"op": "convert", "calculator": "toy", "inputs": {"sizes": example}, "system": "us"}
    assert bridge.answer({**request, "from": "si"})["inputs"]["sizes"]["value"] == "2, 4"
    # 8 L are 2.1134 US gal, for who does not say that it is the example.
    assert bridge.answer(request)["inputs"]["sizes"]["value"].startswith("2.1134")


def test_a_cell_shows_degrees_fahrenheit_and_percent_with_three_figures():
    fahrenheit = u.TEMPERATURE.unit("degF").to_si(123.46)
    cell = bridge._cell(fahrenheit, ResultColumn("hot", u.TEMPERATURE), "us")
    assert cell["text"] == "123"
    assert bridge._cell(0.12346, ResultColumn("share", u.FRACTION), "si")["text"] == "12.3"
    assert bridge._cell(None, ResultColumn("share", u.FRACTION), "si")["value"] is None


def error_of(entry, raw, system="si"):
    """Return what a single input says of an entry, or None where it takes it."""
    reader = entries.Reader(system)
    reader._value(entry, raw, (entry.name,))
    return reader.errors[0]["message"].replace("\xa0", " ") if reader.errors else None


def test_a_limit_on_one_side_alone_counts():
    low, high = Limit("1 m", "short", CITE), Limit("9 m", "long", CITE)
    given = {"name": "a", "label": "A", "kind": u.LENGTH, "help": "A.", "default": "5 m"}
    assert error_of(Quantity(**given, high=high), "10 m").endswith("Enter 9.00 m or less.")
    assert error_of(Quantity(**given, low=low), "0.5 m").endswith("Enter 1.00 m or more.")
    assert error_of(Quantity(**given, low=low, high=high), "10 m").startswith("10.00 m is above")
    for text in ("1 m", "9 m"):
        assert error_of(Quantity(**given, low=low, high=high), text) is None


@pytest.mark.parametrize(
    ("text", "taken"),
    [
        # A billionth of the limit is let pass as rounding: of 100 m a ten-millionth of a metre.
        ("100.00000005 m", True),
        ("100.0000002 m", False),
        ("328.0839895014 ft", True),
        # Of nothing there is no billionth: that of a millionth stands for it.
        ("-1e-16 m", True),
        ("-1e-14 m", False),
    ],
)
def test_a_limit_lets_pass_what_rounding_makes_and_no_more(text, taken):
    assert (error_of(TOY.input("length"), text) is None) == taken


def test_a_limit_below_nothing_lets_rounding_pass_as_well():
    low = Limit("-1000 m", "the deepest shaft", CITE)
    shaft = Quantity(name="a", label="A", kind=u.LENGTH, help="A.", default="5 m", low=low)
    assert error_of(shaft, "-1000.0000005 m") is None
    assert error_of(shaft, "-1000.000002 m")


def test_a_text_a_list_and_a_table_may_be_as_long_as_they_say_and_no_longer():
    text = Text(name="a", label="A", help="A.", longest=5)
    assert error_of(text, " 12345 ") is None
    assert "at most 5 letters" in error_of(text, "123456")
    sizes = QuantityList(name="a", label="A", kind=u.VOLUME, help="A.", default="1, 2 L", longest=3)
    assert error_of(sizes, "1, 2, 3 L") is None
    assert "at most 3 numbers" in error_of(sizes, "1, 2, 3, 4 L")
    assert error_of(TOY.input("rows"), "1 m; 2 m; 3 m") is None
    assert "there are 4" in error_of(TOY.input("rows"), "1 m; 2 m; 3 m; 4 m")


def test_a_table_may_want_a_row_at_least():
    rows = replace(TOY.input("rows"), fewest=1)
    assert error_of(rows, "1 m") is None
    assert "between 1 and 3" in error_of(rows, "")


@pytest.mark.parametrize(("last", "cut"), [(398, False), (399, True)])
def test_a_very_long_list_of_choices_is_cut_after_four_hundred_signs(last, cut):
    """Two signs for the comma between the two values: 398 and 2 are 400."""
    options = (Option("x" * (last - 1), "Long"), Option("y", "Short"))
    said = error_of(Choice(name="a", label="A", options=options, help="A.", default="y"), "z")
    assert said.endswith(" ….") == cut
    assert said.endswith(", y.") != cut
    if cut:
        listed = said.partition("Choose one of: ")[2].removesuffix(" ….")
        assert len(listed) == 400


def test_rows_are_written_as_a_link_carries_them():
    rows = TOY.input("rows")
    cells = [{"part": {"value": "1", "unit": "m", "pm": ""}}, {"part": "2 ft"}, "no row"]
    assert entries.entry_as_text(rows, cells) == "1 m; 2 ft; "
    given = {i["name"]: i["text"] for i in bridge.run("toy", {})["inputs"]}
    assert given["rows"] == "3 m; 4 m"


def test_an_example_keeps_two_figures_of_its_plus_minus_in_other_units():
    """0.1 m are 0.32808 ft."""
    assert bridge.default_entry(TOY.input("length"), "us")["pm"] == "0.33"


def test_an_example_row_has_a_cell_for_each_column():
    with pytest.raises(ValueError, match="zip"):
        bridge.default_entry(replace(TOY.input("rows"), default=(("3 m", "4 m"),)), "si")


def test_a_number_without_a_unit_is_in_the_unit_of_the_reader():
    assert total({"length": "2", "rows": ""}, "us")["value"] == pytest.approx(2.0)
    assert total({"length": "2", "rows": ""}, "us")["unit"] == "ft"
    assert total({"length": "2", "rows": ""})["value"] == pytest.approx(2.0)


def test_a_list_without_an_example_for_the_us_is_told_in_us_units():
    """8 L are 2.1134 US gal and 12 L 3.1701."""
    found = bridge.default_entry(replace(TOY.input("sizes"), us_default=""), "us")
    assert found == {"value": "2.1134, 3.1701", "unit": "gal"}


def test_a_plus_minus_is_held_within_the_limits_of_its_input():
    reader = entries.Reader("si")
    assert reader.read(TOY, {"length": "2 ± 0.1 m"}).bounds == {("length",): (0.0, 100.0)}
    for side, bounds in (("low", (-math.inf, 100.0)), ("high", (0.0, math.inf))):
        open_end = replace(TOY.input("length"), **{side: None})
        reader = entries.Reader("si")
        assert reader._value(open_end, "2 ± 0.1 m", ("length",)) == 2.0
        assert reader.bounds == {("length",): bounds}

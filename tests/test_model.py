"""The calculation model: formulas as data, refusals, the spread of readings."""

import math
import re
from pathlib import Path

import pytest

from calc import sources
from calc import units as u
from calc.calculators import CALCULATORS
from calc.entries import Reader
from calc.model import (
    Bar,
    BarChart,
    Equation,
    Limit,
    Refusal,
    Symbol,
    Values,
    Work,
    formula_value,
    moved,
    say,
    spread,
)
from calc.sources import PHYSICS, PUBLISHED, Source

CITE = PHYSICS.at("here")


def equation(**changes):
    given = {
        "symbol": "p_st",
        "label": "static pressure",
        "formula": "rho*g*h",
        "kind": u.PRESSURE_DIFFERENCE,
        "where": {
            "rho": Symbol("density", u.DENSITY),
            "g": Symbol("gravity", u.ACCELERATION),
            "h": Symbol("height", u.LENGTH),
        },
        "function": lambda rho, g, h: rho * g * h,
        "cite": CITE,
    }
    return Equation(**(given | changes))


def test_an_equation_without_a_citation_cannot_be_built():
    with pytest.raises(TypeError, match="citation"):
        equation(cite=None)


def test_an_equation_whose_formula_uses_an_undeclared_letter_cannot_be_built():
    with pytest.raises(ValueError, match="formula uses"):
        equation(formula="rho*g*z")


def test_an_equation_has_a_formula_or_words_not_both():
    with pytest.raises(ValueError, match="one of the two"):
        equation(words="from the table")


@pytest.mark.parametrize("formula", ["__import__('os')", "a.b", "[1]", "a if b else c", "f(1)"])
def test_only_arithmetic_stands_in_a_formula(formula):
    with pytest.raises(ValueError, match=r"place in a formula|unknown function"):
        formula_value(formula, {"a": 1.0, "b": 1.0, "c": 1.0})


def test_a_formula_is_evaluated_as_written():
    assert formula_value("a - b/c**2 + sqrt(a)", {"a": 4.0, "b": 8.0, "c": 2.0}) == 4.0
    assert formula_value("max(a, ln(b))", {"a": 1.0, "b": math.e**3}) == pytest.approx(3.0)


def test_a_step_returns_what_the_function_returns_and_records_it():
    work = Work()
    assert work.step(equation(), rho=1000.0, g=9.8, h=2.0) == pytest.approx(19600.0)
    assert work.steps[0].values == {"rho": 1000.0, "g": 9.8, "h": 2.0}


def test_a_check_needs_a_known_status():
    with pytest.raises(ValueError, match="unknown status"):
        Work().check("a", "A", "ok", "text", CITE)


def test_a_check_needs_a_citation():
    with pytest.raises(TypeError, match="citation"):
        Work().check("a", "A", "pass", "text", None)


@pytest.mark.parametrize(
    ("label", "message"), [("", "text"), (None, "text"), ("A", ""), ("A", None)]
)
def test_a_check_needs_a_label_and_a_message(label, message):
    with pytest.raises(TypeError, match="label and a message"):
        Work().check("a", label, "pass", message, CITE)


def test_the_words_of_a_check_may_be_its_own():
    work = Work()
    work.check("a", "A", "pass", "text", CITE)
    work.check("b", "B", "fail", "text", CITE, True)
    assert [check.own_words for check in work.checks] == [False, True]


def bars(label):
    return BarChart(
        id=label, title=label, kind=u.VOLUME, bars=(Bar(label, 1.0),), summary="One bar."
    )


def test_charts_are_drawn_once_in_the_order_asked_for_and_only_when_wanted():
    drawn = []

    def drawing(w, label):
        drawn.append(label)
        w.chart(bars(label))

    w = Work()
    w.draw(drawing, "first")
    w.draw(drawing, "second")
    solution = w.solution()
    assert drawn == []
    assert [chart.id for chart in solution.charts] == ["first", "second"]
    assert [chart.id for chart in solution.charts] == ["first", "second"]
    assert drawn == ["first", "second"]


@pytest.mark.parametrize(
    "adds",
    [
        lambda w: w.result("late", 1.0),
        lambda w: w.step(equation(), rho=1000.0, g=9.8, h=1.0),
        lambda w: w.check("late", "Late", "pass", "Nobody would see this.", CITE),
    ],
)
def test_a_drawing_adds_nothing_but_charts(adds):
    w = Work()
    w.draw(adds)
    with pytest.raises(ValueError, match="only shows what was found"):
        _ = w.solution().charts


def test_a_plus_minus_draws_no_chart():
    drawn = []

    def solve(v):
        w = Work()
        w.result("doubled", 2.0 * v.length)
        w.draw(lambda w: drawn.append(v.length))
        return w.solution()

    values = Values(length=3.0)
    bands, beyond = spread(solve, values, solve(values), [(("length",), 0.5)])
    assert (bands, beyond, drawn) == ({"doubled": 1.0}, [], [])


def test_a_limit_needs_a_citation():
    with pytest.raises(TypeError, match="citation"):
        Limit("2 m", "as high as the room", None)


def test_a_source_needs_a_known_status():
    with pytest.raises(ValueError, match="status"):
        Source("k", "t", status="perhaps")
    assert Source("k", "t").status == PUBLISHED


def test_a_message_is_written_in_the_readers_units():
    message = say("The fill is {fill}.", fill=(1e5, u.GAUGE_PRESSURE))
    assert message.text("si") == "The fill is 1.00\xa0bar g."
    assert message.text("us") == "The fill is 14.5\xa0psig."


def product(v):
    work = Work()
    if v.a < 0:
        raise Refusal("a is negative. Enter 0 or more.", field="a", cite=PHYSICS.at("toy"))
    work.result("product", v.a * v.b)
    work.result("only_b", v.b + 0.0)
    return work.solution()


def test_independent_readings_combine_by_the_root_of_squares():
    values = Values(a=3.0, b=4.0)
    found, beyond = spread(product, values, product(values), [(("a",), 0.3), (("b",), 0.4)])
    assert found["product"] == pytest.approx(math.hypot(0.3 * 4, 0.4 * 3))
    assert found["only_b"] == pytest.approx(0.4)
    assert beyond == []


def test_a_band_that_reaches_impossible_values_is_told_and_one_side_still_counts():
    values = Values(a=0.1, b=4.0)
    found, beyond = spread(product, values, product(values), [(("a",), 0.3)])
    assert beyond == [("a",)]
    assert found["product"] == pytest.approx(1.2)


def test_a_band_that_reaches_past_the_limits_of_its_input_never_gets_to_the_equations():
    asked = []

    def solve(v):
        asked.append((v.a, *(row.b for row in v.rows)))
        work = Work()
        work.result("root", math.sqrt(v.a) + math.sqrt(v.rows[0].b))
        return work.solution()

    bounds = {("a",): (0.0, 10.0), ("rows", 0, "b"): (0.0, 1.0)}
    values = Values(a=1.0, rows=(Values(b=0.5),), bounds=bounds)
    bands = [(("a",), 3.0), (("rows", 0, "b"), 0.75)]
    found, beyond = spread(solve, values, solve(values), bands)
    assert beyond == [("a",), ("rows", 0, "b"), ("rows", 0, "b")]
    assert found["root"] == pytest.approx(1.0)
    assert asked == [(1.0, 0.5), (4.0, 0.5)]


@pytest.mark.parametrize("chosen", CALCULATORS, ids=lambda c: c.id)
@pytest.mark.parametrize("system", ["si", "us"])
def test_numbers_alone_are_those_that_come_with_their_working(chosen, system):
    """At the ends of a plus/minus nothing but the results is collected. That may move no result."""
    for entries in ({}, *chosen.examples):
        values = Reader(system).read(chosen, entries)
        whole = chosen.solve(values)
        values.numbers_alone = True
        bare = chosen.solve(values)
        assert bare.results == whole.results
        assert bare.checks == ()
        assert len(bare.steps) <= len(whole.steps)


def test_a_bent_curve_shows_its_steeper_side():
    def solve(v):
        work = Work()
        work.result("y", v.a**2)
        return work.solution()

    values = Values(a=1.0)
    found, _ = spread(solve, values, solve(values), [(("a",), 0.5)])
    assert found["y"] == pytest.approx(1.5**2 - 1)


def test_a_size_once_picked_is_held_while_readings_move():
    def solve(v):
        work = Work()
        size = v.held.get("size") or (10.0 if v.need <= 8 else 20.0)
        work.result("size", size)
        work.result("left", size - v.need)
        return work.solution()

    values = Values(need=8.0, held={})
    found, _ = spread(solve, values, solve(values), [(("need",), 0.5)], ("size",))
    assert found == {"left": pytest.approx(0.5)}


@pytest.mark.native
def test_small_bands_combine_as_the_uncertainties_package_has_it():
    from uncertainties import ufloat

    def solve(v):
        work = Work()
        work.result("y", v.a * v.b / (v.c - v.a))
        return work.solution()

    values = Values(a=3.0, b=4.0, c=11.0)
    bands = {"a": 3e-6, "b": 4e-6, "c": 5e-6}
    found, _ = spread(solve, values, solve(values), [((n,), d) for n, d in bands.items()])
    a, b, c = (ufloat(getattr(values, n), d) for n, d in bands.items())
    assert found["y"] == pytest.approx((a * b / (c - a)).std_dev, rel=1e-5)


def test_no_source_is_declared_twice():
    text = Path(sources.__file__).read_text(encoding="utf-8")
    names = re.findall(r"^([A-Z0-9_]+) = Source\(", text, flags=re.M)
    assert len(names) == len(set(names))
    keys = [source.key for source in sources.every()]
    assert len(keys) == len(set(keys)) == len(names)


def test_a_sentence_says_degrees_and_percent_without_needless_words_and_noughts():
    said = say(
        "{a} below {b}; {c} of it, {d} at the vessel, {e}.",
        a=(10.0, u.TEMPERATURE_DIFFERENCE),
        b=(373.15, u.TEMPERATURE),
        c=(0.5, u.FRACTION),
        d=(1.5e5, u.GAUGE_PRESSURE),
        e=(0.0, u.TEMPERATURE_DIFFERENCE),
    )
    space = "\xa0"
    assert (
        said.text("us").replace(space, " ").startswith("18 °F below 212 °F; 50 % of it, 21.8 psi")
    )
    in_si = said.text("si").replace(space, " ")
    assert in_si == "10 K below 100 °C; 50 % of it, 1.50 bar g at the vessel, 0 K."


def test_a_refusal_at_a_field_says_who_has_it_so():
    with pytest.raises(TypeError, match="needs a citation"):
        Refusal("The length is too short. Enter 1 m or more.", field="length")
    assert Refusal("That cannot be.").field == ""


def test_an_end_just_at_the_limit_of_its_input_is_computed():
    bounds = {("a",): (0.0, 2.0), ("rows", 0, "b"): (0.0, 1.0)}
    values = Values(a=1.0, rows=(Values(b=0.5), Values(b=7.0)), bounds=bounds)
    assert [moved(values, ("a",), by).a for by in (-1.0, 1.0)] == [0.0, 2.0]
    ends = [moved(values, ("rows", 0, "b"), by).rows for by in (-0.5, 0.5)]
    assert [[row.b for row in rows] for rows in ends] == [[0.0, 7.0], [1.0, 7.0]]
    assert [row.b for row in values.rows] == [0.5, 7.0]
    for path, by in ((("a",), 1.01), (("a",), -1.01), (("rows", 0, "b"), 0.51)):
        with pytest.raises(Refusal, match="reaches past"):
            moved(values, path, by)


def test_a_reading_of_which_neither_end_can_be_computed_adds_nothing():
    values = Values(a=1.0, b=2.0, bounds={("a",): (1.0, 1.0)})
    bands = [(("a",), 0.5), (("b",), 0.25)]
    found, beyond = spread(product, values, product(values), bands)
    assert found["product"] == pytest.approx(0.25)
    assert beyond == [("a",), ("a",)]


def test_a_sentence_keeps_the_noughts_before_a_point():
    hundred = say("{a}, {b}", a=(1.0, u.FRACTION), b=(322.15, u.TEMPERATURE))
    assert hundred.text("us").replace("\xa0", " ") == "100 %, 120 °F"


def test_a_place_in_a_source_is_cited_by_its_short_name_and_its_place():
    known = Source("k", "Steam, tables of 1950", status=sources.FROM_MEMORY)
    assert known.at().text() == "Steam"
    assert known.at("page 3").text() == "Steam, page 3"
    assert Source("k", "Steam, tables", short="Steam 1950").at("3").text() == "Steam 1950, 3"
    assert known.at("page 3").status == sources.FROM_MEMORY
    assert known.at("page 3", PUBLISHED).status == PUBLISHED
    assert known.at("page 3") is known.at("page 3")

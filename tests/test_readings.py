"""The log of readings: order, the line beside it, the fall between two, and what is handed over."""

import json
import math
from html.parser import HTMLParser
from pathlib import Path

import pytest

import view
from calc import bridge, facts, reading_charts, readings
from calc import units as u
from calc.calculators import calculator
from calc.calculators.pressure_trace import CALCULATOR as TRACE
from calc.entries import Reader
from calc.fluids import WATER, density
from calc.gauge_line import gauge_at_temperature, line_of, rate_of_fall
from calc.model import Refusal, as_text
from calc.site import RELIEF
from view.readings import form, page

SITE = {
    "system_volume": "1750 ± 40 L",
    "vessel_volume": "200 L",
    "charge": "1.5 bar",
    "cold_fill": "1.55 ± 0.05 bar",
    "cold": "10 ± 1 degC",
    "hot": "80 degC",
    "relief": "3 bar",
    "valve_height": "1.8 m",
    "gauge_height": "1.2 m",
    "altitude": "640 m",
    "fluid": "water",
    "pipe": "steel",
}
WORKED = (WATER, 0.0, 0.1, 0.012, 2.013e5, 2.313e5, 288.15)
FIXTURE = Path(__file__).parent / "js" / "readings-log.html"


def reading(id, at="2026-05-14T08:05:00+02:00", gauge=None, temperature=None, **more):
    """Return a record as the log keeps it; quantities as texts."""
    record = {"id": id, "at": at, "pump": "off", "note": "", **more}
    for name, text in (("gauge", gauge), ("temperature", temperature)):
        if text is not None:
            record[name] = {"value": text, "unit": "", "pm": ""}
    return record


def line(**changes):
    found = readings.log([], {**SITE, **changes}, "si")
    assert found.line, (found.missing, found.site_errors, found.refusal)
    return found.line


def text(message, system="si"):
    return as_text(message, system).replace("\xa0", " ")


# ---- the line


@pytest.mark.parametrize(
    "site",
    [
        {},
        {"charge": "0.7 bar", "altitude": "0 m", "gauge_height": "-3 m"},
        {"charge": "1.8 bar", "cold_fill": "1.55 bar", "pipe": "copper"},
        {
            "fluid": "propylene glycol",
            "glycol": "35 %",
            "pipe": "plastic",
            "vessel_volume": "250 L",
        },
    ],
)
def test_the_line_is_the_one_that_the_pressure_trace_draws(site):
    wanted = {**SITE, **site}
    case = f"A | {wanted['vessel_volume']} | {wanted['charge']} | {wanted['cold_fill']}"
    reader = Reader("si")
    named = {i.name for i in TRACE.inputs}
    values = reader.read(TRACE, {"cases": case, **{k: v for k, v in wanted.items() if k in named}})
    assert not reader.errors
    drawn = next(c for c in TRACE.solve(values).charts if c.id == "trace").series[0].points
    mine = line(**site)
    assert len(drawn) > 10
    for temperature, gauge in drawn:
        assert mine.gauge_at(temperature) == pytest.approx(gauge, abs=0.01)


def test_the_line_begins_at_the_cold_fill_and_climbs():
    found = line()
    climb = [found.gauge_at(283.15 + t) for t in range(0, 75, 5)]
    assert climb[0] == pytest.approx(1.55e5)
    assert climb == sorted(climb)


def test_less_gas_makes_a_steeper_line():
    assert line(charge="0.7 bar").gauge_at(330.0) > line().gauge_at(330.0)
    assert line(vessel_volume="250 L").gauge_at(330.0) < line().gauge_at(330.0)


def test_the_line_may_start_anywhere_on_itself():
    """Boyle's law and the growth do not care where one begins, up or down."""
    hot = gauge_at_temperature(*WORKED, 348.15, 1.013e5, 0.0)
    fluid, alpha, volume, vessel, charge, _, cold = WORKED
    grown = volume * density(WATER, cold) / density(WATER, 348.15)
    again = gauge_at_temperature(
        fluid, alpha, grown, vessel, charge, hot + 1.013e5, 348.15, cold, 1.013e5, 0.0
    )
    assert again == pytest.approx(1.3e5, abs=1.0)


def test_a_relief_valve_holds_the_line_down():
    found = line(charge="0.2 bar")
    for t in (330.0, 350.0, 353.0):
        assert found.gauge_at(t) <= found.opening_gauge(t) + 1e-6
    assert found.gauge_at(353.0) == pytest.approx(found.opening_gauge(353.0))


def test_a_vessel_that_runs_empty_gives_no_pressure():
    with pytest.raises(Refusal, match="vessel is empty") as refused:
        gauge_at_temperature(WATER, 0.0, 1.75, 0.012, 2.0e5, 2.05e5, 330.0, 290.0, 1.013e5, 0.0)
    assert "Boyle" in refused.value.cite.text()


def test_going_down_the_pressure_ends_at_the_charge():
    """Below its charge a vessel is empty, so no gauge is foretold from there on."""
    found, ended = line(cold="60 degC", cold_fill="1.7 bar"), False
    least = found.charge_abs - found.ambient
    for t in range(333, 280, -1):
        try:
            at_vessel = found.gauge_at(float(t)) + density(WATER, float(t)) * 9.80665 * 1.2
            assert not ended
            assert at_vessel >= least - 1.0
        except Refusal:
            ended = True
    assert ended


def test_a_vessel_with_no_gas_left_and_no_relief_valve_gives_no_pressure():
    with pytest.raises(Refusal, match="relief valve would have opened"):
        gauge_at_temperature(WATER, 0.0, 1.75, 0.012, 2.0e5, 2.5e5, 283.15, 353.15, 1.013e5, 0.0)


def test_beyond_the_tables_there_is_a_sentence_and_no_number():
    found = readings.log([reading("a", gauge="2", temperature="9")], SITE, "si")
    glycol = readings.log(
        [reading("a", gauge="2.5 bar", temperature="140 degC")],
        {**SITE, "fluid": "propylene glycol", "glycol": "30 %"},
        "si",
    )
    assert found.judged["a"].deviation is not None
    assert glycol.judged["a"].deviation is None
    assert text(glycol.judged["a"].words)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"cold_fill": "3.1 bar"}, "as high as the relief valve"),
        ({"charge": "3.3 bar"}, "as high as the relief valve"),
        ({"gauge_height": "-40 m"}, "below a vacuum"),
        ({"fluid": "ethylene glycol", "glycol": "20 %", "cold": "-30 degC"}, ""),
    ],
)
def test_impossible_sites_are_refused_with_a_sentence(change, field):
    found = readings.log([], {**SITE, **change}, "si")
    assert found.line is None
    assert field in text(found.refusal)
    assert found.refusal


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"cold_fill": "3 bar", "gauge_height": "1.8 m"}, "cold_fill"),
        ({"charge": "3 bar", "valve_height": "0 m"}, "charge"),
        ({"gauge_height": "-40 m"}, "cold_fill"),
        ({"fluid": "ethylene glycol", "glycol": "20 %", "cold": "-30 degC"}, "cold"),
    ],
)
def test_what_is_refused_is_told_at_its_field(change, field):
    """As high as the valve is too high already: it would be open."""
    reader = Reader("si")
    values = reader.read(readings.SITE, {**SITE, **change})
    with pytest.raises(Refusal) as refused:
        line_of(values)
    assert refused.value.field == field


def test_a_mixture_beyond_the_tables_is_told_at_its_field():
    values = Reader("si").read(
        readings.SITE, {**SITE, "fluid": "ethylene glycol", "glycol": "20 %"}
    )
    values.glycol = 0.9
    with pytest.raises(Refusal) as refused:
        line_of(values)
    assert refused.value.field == "glycol"


def test_just_under_the_valve_the_line_stands():
    assert line(charge="2.99 bar", valve_height="0 m")
    assert line(cold_fill="2.99 bar", gauge_height="1.8 m")


def test_the_gauge_when_the_valve_opens_counts_the_water_between_the_two():
    """One metre of water near 10 degC is 9.80665 x 999.7 Pa, from memory."""
    level, above, below = (line(valve_height=f"{h} m") for h in (1.2, 2.2, 0.2))
    assert level.opening_gauge(283.15) == pytest.approx(3e5)
    assert above.opening_gauge(283.15) - 3e5 == pytest.approx(9803.7, abs=1.0)
    assert below.opening_gauge(283.15) - 3e5 == pytest.approx(-9803.7, abs=1.0)


# ---- reading what was typed


def test_readings_come_in_the_order_of_their_times_whatever_the_clock():
    records = [
        reading("late", "2026-05-14T07:30:00+00:00"),
        reading("early", "2026-05-14T08:00:00+02:00"),
        reading("lost", "yesterday"),
        reading("first", "2026-05-13T23:59:59-05:00"),
    ]
    found = readings.log(records, {}, "si")
    assert [r.id for r in found.readings] == ["first", "early", "late", "lost"]
    assert [(e["id"], e["field"]) for e in found.errors] == [("lost", "at")]


@pytest.mark.parametrize(
    ("at", "words"), [("", "without a time"), ("noon", "noon"), ("x" * 50, "x" * 40)]
)
def test_what_is_no_time_is_named_as_it_stands(at, words):
    assert readings.moment(at) == words


def test_readings_of_one_time_stand_by_their_names_and_lost_ones_last():
    same = "2026-05-14T08:00:00+02:00"
    records = [reading("b", same), reading("z", "gone"), reading("a", same), reading("y", "")]
    assert [r.id for r in readings.log(records, {}, "si").readings] == ["a", "b", "y", "z"]


def test_of_two_as_cold_the_line_starts_at_the_earlier():
    site = {k: v for k, v in SITE.items() if k not in ("cold_fill", "cold")}
    records = [
        reading("late", "2026-05-14T09:00:00+02:00", "1.5", "15"),
        reading("early", "2026-05-14T08:00:00+02:00", "1.6", "15"),
    ]
    found = readings.log(records, site, "si")
    assert found.start.id == "early"
    assert found.values.cold_fill == pytest.approx(1.6e5)
    assert found.values.plus_minus[("cold_fill",)] == found.start.band("gauge")


def test_the_bands_of_the_first_reading_are_those_of_the_line():
    site = {k: v for k, v in SITE.items() if k not in ("cold_fill", "cold")}
    found = readings.log([COLD], site, "si")
    assert found.values.plus_minus[("cold_fill",)] == pytest.approx(0.05e5)
    assert found.values.plus_minus[("cold",)] == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("gone", "words"),
    [
        ("altitude", "sea level"),
        ("gauge_height", "The gauge is taken to hang level"),
        ("relief", "relief valve is not known"),
        ("valve_height", "The relief valve is taken to sit level"),
        ("fluid", "without glycol"),
        ("pipe", "pipes that grow"),
    ],
)
def test_each_fact_that_is_wanting_is_the_only_one_told(gone, words):
    (said,) = readings.log([], {k: v for k, v in SITE.items() if k != gone}, "si").assumed
    assert words in text(said)


def test_a_time_without_an_offset_is_told():
    found = readings.log([reading("a", "2026-05-14T08:00:00")], {}, "si")
    assert "time zone" in found.errors[0]["message"]


def test_a_bad_entry_is_answered_at_its_field_and_the_rest_is_read():
    bad = reading("a", gauge="1.5.5", temperature="20 degC")
    bad |= {"meter": {"value": "12,5", "unit": "m3"}, "ph": {"value": "17"}, "pump": "perhaps"}
    found = readings.log([bad, reading("b", gauge="1.6", temperature="21")], SITE, "si")
    assert {(e["id"], e["field"]) for e in found.errors} == {
        ("a", "gauge"),
        ("a", "ph"),
        ("a", "pump"),
    }
    first = next(r for r in found.readings if r.id == "a")
    assert first.gauge is None
    assert first.temperature == pytest.approx(293.15)
    assert first.meter == pytest.approx(12.5)
    assert set(found.judged) == {"b"}


def test_units_and_plus_minus_are_those_that_were_typed():
    record = reading("a") | {
        "gauge": {"value": "22.5", "unit": "psi", "pm": "0.7"},
        "temperature": {"value": "50", "unit": "degF", "pm": "4"},
    }
    one, errors = readings.read_reading("a", record, "si")
    assert not errors
    assert one.gauge == pytest.approx(22.5 * 6894.757, rel=1e-6)
    assert one.plus_minus["gauge"] == pytest.approx(0.7 * 6894.757, rel=1e-6)
    assert one.temperature == pytest.approx(283.15)
    assert one.plus_minus["temperature"] == pytest.approx(4 / 1.8)


def test_a_blank_unit_is_the_readers_own():
    si, _ = readings.read_reading("a", reading("a", gauge="2"), "si")
    us, _ = readings.read_reading("a", reading("a", gauge="20"), "us")
    assert si.gauge == pytest.approx(2e5)
    assert us.gauge == pytest.approx(20 * 6894.757, rel=1e-6)


def test_what_was_read_besides_gauge_and_temperature_is_kept():
    record = reading("a", ph={"value": "8.2"}, meter={"value": "12.5", "unit": "m3"})
    found, errors = readings.read_reading("a", record, "si")
    assert errors == []
    assert (found.ph, found.meter) == (8.2, 12.5)


@pytest.mark.parametrize(
    "record",
    [
        {},
        {"id": 7, "at": 7, "gauge": 7, "temperature": [], "pump": {}, "note": 9},
        {"id": "x", "at": "", "gauge": {"value": {}, "unit": [], "pm": "±"}},
        {"id": "x", "at": "2026-05-14T08:00:00+02:00", "gauge": {"value": "1e999"}},
        {"id": "x", "gauge": {"value": "nan"}, "temperature": {"value": "inf"}},
        {"id": "<b>", "note": "<script>alert(1)</script>" * 30, "gauge": "<i>1</i>"},
    ],
)
def test_foreign_records_are_told_and_break_nothing(record):
    answer = page([record, "no record", None], {"charge": {"value": []}, "pipe": 3}, "si")
    json.dumps(answer, allow_nan=False)
    assert answer["errors"]
    assert "<script" not in answer["html"]
    assert "<i>" not in answer["html"]


# ---- what the line needs


def test_missing_facts_are_named_with_the_calculator_that_has_them():
    found = readings.log([], {"fluid": "propylene glycol"}, "si")
    assert [m.fact for m in found.missing] == [
        "system_volume",
        "vessel_volume",
        "charge",
        "glycol",
        "cold_fill",
        "cold",
    ]
    html = page([reading("a", gauge="1.5")], {}, "si")["html"]
    for one in readings.log([], {}, "si").missing:
        assert one.label in html
        assert f'data-page="{one.calculator}"' in html


@pytest.mark.parametrize(("fact", "id"), sorted(readings.FOUND_BY.items()))
def test_each_fact_can_be_found_or_entered_where_the_reader_is_sent(fact, id):
    chosen = calculator(id)
    takes = {name for i in chosen.inputs for name in facts.taken(chosen, i)}
    gives = set(facts.GIVES.get(id, {}).values())
    assert fact in takes | gives


def test_what_is_taken_for_want_of_a_number_is_said():
    few = {k: SITE[k] for k in ("system_volume", "vessel_volume", "charge", "cold_fill", "cold")}
    found = readings.log([], few, "si")
    said = " ".join(text(one) for one in found.assumed)
    for word in ("sea level", "level with the vessel", "relief valve", "without glycol", "pipes"):
        assert word in said
    assert not readings.log([], SITE, "si").assumed


def test_an_unreadable_fact_is_told_and_not_called_missing():
    found = readings.log([], {**SITE, "charge": "1.5 bananas"}, "si")
    assert [e["field"] for e in found.site_errors] == ["charge"]
    assert not found.missing
    assert found.line is None


def test_a_new_vessel_serves_where_no_other_is_known():
    site = {**SITE, "new_vessel": "250 L"}
    assert readings.log([], site, "si").line.volume == pytest.approx(0.2)
    del site["vessel_volume"]
    assert readings.log([], site, "si").line.volume == pytest.approx(0.25)


def test_without_a_cold_fill_the_line_starts_at_the_coldest_reading_with_the_pump_stopped():
    site = {k: v for k, v in SITE.items() if k not in ("cold_fill", "cold")}
    records = [
        reading("warm", gauge="1.9", temperature="50"),
        reading("cold", gauge="1.5", temperature="15"),
        reading("running", gauge="1.7", temperature="14", pump="on"),
    ]
    found = readings.log(records, site, "si")
    assert found.start.id == "cold"
    assert found.judged["cold"].deviation == 0.0
    assert not found.judged["cold"].off
    assert "starts from the coldest reading" in page(records, site, "si")["html"]
    assert readings.log([records[2]], site, "si").start.id == "running"


# ---- on the line and off it


def test_a_reading_on_the_line_is_on_it_and_one_beyond_its_band_is_off():
    predicted = line().gauge_at(333.15)
    at = {"value": "60", "unit": "degC", "pm": "0.5"}

    def judged(gauge):
        record = reading("a") | {
            "temperature": at,
            "gauge": {"value": f"{gauge / 1e5:.6f}", "unit": "bar", "pm": "0.02"},
        }
        return readings.log([record], SITE, "si").judged["a"]

    on = judged(predicted)
    assert not on.off
    assert abs(on.deviation) < 1.0
    assert not judged(predicted + 0.98 * on.band).off
    above, below = judged(predicted + 1.02 * on.band), judged(predicted - 1.02 * on.band)
    assert above.off
    assert below.off
    assert " above the line" in text(above.words)
    assert " below the line" in text(below.words)


def test_the_band_holds_the_readings_own_plus_minus_by_the_root_of_squares():
    def band(pm):
        record = reading("a", temperature="60") | {"gauge": {"value": "2", "unit": "bar", "pm": pm}}
        return readings.log([record], SITE, "si").judged["a"].band

    assert band("0.3") ** 2 - band("0.1") ** 2 == pytest.approx(0.3e5**2 - 0.1e5**2)


def test_every_fact_with_a_plus_minus_widens_the_band():
    records = [reading("a", gauge="2", temperature="60")]
    plain = readings.log(records, SITE, "si").judged["a"].band
    for change in (
        {"system_volume": "1750 ± 400 L"},
        {"charge": "1.5 ± 0.3 bar"},
        {"vessel_volume": "200 ± 20 L"},
        {"cold_fill": "1.55 ± 0.2 bar"},
        {"cold": "10 ± 8 degC"},
    ):
        assert readings.log(records, {**SITE, **change}, "si").judged["a"].band > plain


def test_a_fact_that_may_be_impossible_on_one_side_counts_with_the_other():
    """Three degrees less than 1 °C would be ice."""
    found = readings.log([], {**SITE, "cold": "1 ± 3 degC"}, "si").values
    facts = [path for path in found.plus_minus if path[0] in readings._BENDING]
    lines = dict(zip(facts, readings.moved_lines(found), strict=True))
    (warmer,) = lines["cold",]
    assert warmer.cold == pytest.approx(277.15)
    assert len(lines["system_volume",]) == 2


def test_where_no_plus_minus_is_typed_the_usual_one_is_taken():
    """Half a division of gauge and thermometer, a fiftieth of the water."""
    bare = {**SITE, "cold_fill": "1.55 bar", "cold": "10 degC", "system_volume": "1750 L"}
    typed = {
        **SITE,
        "cold_fill": "1.55 ± 0.05 bar",
        "cold": "10 ± 1 degC",
        "system_volume": "1750 ± 35 L",
    }
    record = reading("a", gauge="2", temperature="60")
    full = record | {
        "gauge": {"value": "2", "unit": "bar", "pm": "0.05"},
        "temperature": {"value": "60", "unit": "degC", "pm": "1"},
    }
    one = readings.log([record], bare, "si").judged["a"].band
    assert one == pytest.approx(readings.log([full], typed, "si").judged["a"].band)


def test_typed_in_other_units_the_verdict_is_the_same():
    us = {
        "system_volume": "462.3 gal",
        "vessel_volume": "52.834 gal",
        "charge": "21.756 psi",
        "cold_fill": "22.481 psi",
        "cold": "50 degF",
        "relief": "43.511 psi",
        "valve_height": "5.9055 ft",
        "gauge_height": "3.937 ft",
        "altitude": "2099.7 ft",
        "fluid": "water",
        "pipe": "steel",
    }
    si = {**SITE, "system_volume": "1750 L", "cold_fill": "1.55 bar", "cold": "10 degC"}
    one = readings.log([reading("a", gauge="2.4 bar", temperature="60 degC")], si, "si").judged["a"]
    two = readings.log([reading("a", gauge="34.809", temperature="140")], us, "us").judged["a"]
    assert two.deviation == pytest.approx(one.deviation, rel=2e-3)
    assert two.band == pytest.approx(one.band, rel=2e-3)
    assert "psi" in text(two.words, "us")
    assert "bar" in text(two.words)


def test_a_pump_in_another_state_is_told():
    records = [reading("a", gauge="1.9", temperature="20", pump="on")]
    assert "pump on" in text(readings.log(records, SITE, "si").judged["a"].words)
    for state in ("off", ""):
        records[0]["pump"] = state
        assert "pump" not in text(readings.log(records, SITE, "si").judged["a"].words)


# ---- between two readings


def _two(first, last, site=SITE, pumps=("off", "off"), days=1):
    records = [
        reading("a", "2026-05-14T08:00:00+02:00", *first, pump=pumps[0]),
        reading("b", f"2026-05-{14 + days}T08:00:00+02:00", *last, pump=pumps[1]),
    ]
    found = readings.log(records, site, "si")
    return readings.fall_between(*found.readings, found.line)


def test_what_cooler_water_explains_is_no_loss():
    found = line()
    warm, cool = (f"{found.gauge_at(t) / 1e5:.6f} bar" for t in (323.15, 303.15))
    fall = _two((warm, "50 degC"), (cool, "30 degC"))
    assert fall.drop > 0.1e5
    assert fall.left == pytest.approx(0.0, abs=1.0)
    assert "neither a loss nor a gain" in text(readings.fall_words(fall))


def test_water_that_went_or_came_is_told_either_way():
    lost = readings.fall_words(_two(("1.9 bar", "20 degC"), ("1.5 bar", "20 degC")))
    come = readings.fall_words(_two(("1.5 bar", "20 degC"), ("1.9 bar", "20 degC")))
    assert "water was lost or let out" in text(lost)
    assert "fell by 0.40 bar" in text(lost)
    assert "water came in" in text(come)
    assert "rose by 0.40 bar" in text(come)
    assert "0.40 bar a day" in text(lost)


def test_the_pump_may_be_what_moved_the_gauge():
    fall = _two(("1.9 bar", "20 degC"), ("1.5 bar", "20 degC"), pumps=("off", "on"))
    words = text(readings.fall_words(fall))
    assert "the pump may have done it" in words
    assert "lost" not in words


def test_without_a_line_nothing_is_explained():
    fall = _two(("1.9 bar", "20 degC"), ("1.5 bar", "20 degC"), site={})
    assert fall.left is None
    assert "nobody can say" in text(readings.fall_words(fall))


def test_a_rate_needs_time_to_pass():
    with pytest.raises(Refusal, match="same time"):
        _two(("1.9 bar", "20 degC"), ("1.5 bar", "20 degC"), days=0)


def test_a_fall_in_a_day_is_told_from_six_hours_on():
    def words(until):
        records = [
            reading("a", "2026-05-14T08:00:00+02:00", "1.9 bar", "20 degC"),
            reading("b", f"2026-05-14T{until}+02:00", "1.5 bar", "20 degC"),
        ]
        found = readings.log(records, SITE, "si")
        return text(readings.fall_words(readings.fall_between(*found.readings, found.line)))

    assert "fell by 0.40 bar, or 1.60 bar a day." in words("14:00:00")
    assert "fell by 0.40 bar. " in words("13:59:59")


def test_a_gauge_that_stood_still_is_told_so():
    fall = _two(("1.5 bar", "20 degC"), ("1.5 bar", "20 degC"))
    words = text(readings.fall_words(fall))
    assert "24 h, the gauge stood still." in words
    assert "temperature explains next to nothing" in words


@pytest.mark.parametrize(
    ("change", "words"),
    [({"at": "yesterday"}, "has no time"), ({"gauge": {"value": ""}}, "has no gauge pressure")],
)
@pytest.mark.parametrize("which", [0, 1])
def test_a_fall_needs_two_whole_readings(change, words, which):
    records = [COLD, LATER]
    records[which] = records[which] | change
    one, other = readings.log(records, SITE, "si").readings
    with pytest.raises(Refusal, match=words):
        readings.fall_between(one, other, None)


def test_a_fall_without_a_temperature_is_not_explained():
    bare = reading("b", "2026-05-15T08:00:00+02:00", gauge="1.4 bar")
    found = readings.log([COLD, bare], SITE, "si")
    fall = readings.fall_between(*found.readings, found.line)
    assert fall.drop == pytest.approx(0.15e5)
    assert fall.explained is None
    assert fall.left is None
    assert fall.band == pytest.approx(math.hypot(0.05e5, 0.05e5))


def test_order_does_not_matter_for_the_fall():
    records = [
        reading("a", "2026-05-14T08:00:00+02:00", "1.9 bar", "20 degC"),
        reading("b", "2026-05-15T08:00:00+02:00", "1.5 bar", "21 degC"),
    ]
    found = readings.log(records, SITE, "si")
    assert readings.fall_between(*found.readings, found.line) == readings.fall_between(
        *reversed(found.readings), found.line
    )


# ---- handing over


COLD = reading("c", "2026-05-14T08:00:00+02:00") | {
    "gauge": {"value": "1.55", "unit": "bar", "pm": "0.05"},
    "temperature": {"value": "10", "unit": "degC", "pm": "2"},
}
HOT = reading("h", "2026-05-14T11:00:00+02:00") | {
    "gauge": {"value": "38.4", "unit": "psi", "pm": "0.7"},
    "temperature": {"value": "72", "unit": "degC", "pm": "2"},
}
LATER = reading("l", "2026-06-11T08:00:00+02:00") | {
    "gauge": {"value": "1.50", "unit": "bar", "pm": "0.01"},
    "temperature": {"value": "12", "unit": "degC", "pm": "0.5"},
    "meter": {"value": "12.431", "unit": "m3"},
}


@pytest.mark.parametrize("system", ["si", "us"])
def test_what_is_handed_over_is_taken_as_typed(system):
    found = readings.log([HOT, LATER, COLD], SITE, system)
    assert readings.picks(found) == {"cold": "c", "hot": "h", "first": "c", "last": "l"}
    links = readings.handed_over(found, {})
    assert links["two-reading-check"]["inputs"] == {
        "cold_fill": "1.55 ± 0.05 bar",
        "cold": "10 ± 2 degC",
        "hot_reading": "38.4 ± 0.7 psi",
        "hot": "72 ± 2 degC",
    }
    assert links["leak-rate"]["inputs"]["interval"] == "28 d"
    for id, link in links.items():
        assert set(link["inputs"]) <= {i.name for i in calculator(id).inputs}
        answer = bridge.run(id, link["inputs"], system)
        assert "errors" not in answer, answer
        given = {g["name"]: g["origin"] for g in answer["inputs"]}
        assert all(given[name] == "given" for name in link["inputs"])


def test_a_pump_that_ran_at_one_of_two_readings_is_told_with_what_is_handed_over():
    def message(cold, hot):
        found = readings.log([COLD | {"pump": cold}, HOT | {"pump": hot}], SITE, "si")
        return readings.handed_over(found, {})["two-reading-check"]["message"]

    assert "The pump ran at one of the two only" in message("on", "off")
    assert "The pump ran at one of the two only" in message("off", "on")
    assert message("on", "on") == message("off", "off") == ""


def test_cold_and_hot_find_their_places_themselves():
    found = readings.log([COLD, HOT], SITE, "si")
    one = readings.handed_over(found, {"two-reading-check": ["c", "h"]})
    other = readings.handed_over(found, {"two-reading-check": ["h", "c"]})
    assert one["two-reading-check"] == other["two-reading-check"]


def test_two_meter_readings_serve_where_a_gauge_is_missing():
    first = reading("a", "2026-05-14T08:00:00+02:00") | {"meter": {"value": "12.424", "unit": "m3"}}
    found = readings.log([first, LATER], {}, "si")
    inputs = readings.handed_over(found, {"leak-rate": ["a", "l"]})["leak-rate"]["inputs"]
    assert inputs == {"method": "meter", "metered": "7 L", "interval": "28 d"}
    assert "errors" not in bridge.run("leak-rate", inputs, "si")


def test_a_meter_that_went_backwards_is_no_meter():
    first = reading("a", "2026-05-14T08:00:00+02:00") | {"meter": {"value": "12.5", "unit": "m3"}}
    found = readings.log([first, LATER], {}, "si")
    link = readings.handed_over(found, {"leak-rate": ["a", "l"]})["leak-rate"]
    assert link["inputs"] is None
    assert "lacks a gauge pressure" in link["message"]


def test_gauge_and_temperature_go_before_the_meter():
    found = readings.log([COLD | {"meter": {"value": "12.4", "unit": "m3"}}, LATER], {}, "si")
    inputs = readings.handed_over(found, {"leak-rate": ["l", "c"]})["leak-rate"]["inputs"]
    assert inputs == {
        "method": "fall",
        "before": "1.55 ± 0.05 bar",
        "after": "1.50 ± 0.01 bar",
        "interval": "28 d",
        "water_before": "10 ± 2 degC",
        "water_after": "12 ± 0.5 degC",
    }


def test_two_readings_of_one_time_are_no_leak():
    twin = {**COLD, "id": "twin"}
    for one, words in ((twin, "same time"), ({**twin, "at": "gone"}, "has no time")):
        found = readings.log([COLD, one], SITE, "si")
        link = readings.handed_over(found, {"leak-rate": ["c", "twin"]})["leak-rate"]
        assert link["inputs"] is None
        assert words in link["message"]


def test_one_reading_alone_is_picked_for_nothing():
    nothing = {"cold": "", "hot": "", "first": "", "last": ""}
    assert readings.picks(readings.log([COLD], SITE, "si")) == nothing
    lost = [{**COLD, "at": "gone"}, {**HOT, "at": ""}]
    assert readings.picks(readings.log(lost, SITE, "si")) == nothing | {"cold": "c", "hot": "h"}


def test_a_meter_that_did_not_move_tells_of_nothing_made_up():
    first = reading("a", "2026-05-14T08:00:00+02:00") | {"meter": LATER["meter"]}
    found = readings.log([first, LATER], {}, "si")
    inputs = readings.handed_over(found, {"leak-rate": ["a", "l"]})["leak-rate"]["inputs"]
    assert inputs == {"method": "meter", "metered": "0 L", "interval": "28 d"}


@pytest.mark.parametrize(
    ("pair", "words"),
    [
        (["c", "c"], "two different"),
        (["c", "gone"], "two different"),
        (["c", "bare"], "lacks a gauge pressure or a temperature"),
        (["c", "twin"], "same temperature"),
    ],
)
def test_two_readings_that_do_not_serve_are_refused_with_a_sentence(pair, words):
    bare = reading("bare", "2026-05-14T09:00:00+02:00", gauge="2 bar")
    twin = {**COLD, "id": "twin"}
    found = readings.log([COLD, HOT, bare, twin], SITE, "si")
    link = readings.handed_over(found, {"two-reading-check": pair})["two-reading-check"]
    assert link["inputs"] is None
    assert words in link["message"]


# ---- charts and the page


def _well_formed(html):
    class Checker(HTMLParser):
        void = {"input", "br", "hr", "img"}
        open_tags: list = []

        def handle_starttag(self, tag, attrs):
            if tag not in self.void:
                self.open_tags.append(tag)

        def handle_endtag(self, tag):
            assert self.open_tags
            assert self.open_tags.pop() == tag

    checker = Checker()
    checker.open_tags = []
    checker.feed(html)
    return checker.open_tags == []


@pytest.mark.parametrize("system", ["si", "us"])
def test_the_page_shows_both_charts_the_table_and_who_is_off(system):
    answer = page([COLD, HOT, LATER], SITE, system)
    html = answer["html"]
    assert _well_formed(html)
    for key in ("temperature", "time", "water", "readings", "line", "fall"):
        assert f'data-key="{key}"' in html
    assert answer["notes"]["h"]["off"]
    assert not answer["notes"]["c"]["off"]
    assert "14 May 11:00" in html
    assert "relief valve opens" in html
    assert "cold fill" in html
    assert answer["order"] == ["c", "h", "l"]


def test_one_reading_is_judged_by_the_line_and_counted():
    found = readings.log([reading("a", gauge="2.9", temperature="60")], SITE, "si")
    assert list(found.judged) == ["a"]
    chart = reading_charts.against_temperature(found)[0]
    assert f"Off the line: {len(found.off)}." in text(chart.summary)
    alone = reading_charts.against_temperature(readings.log([], SITE, "si"))[0]
    assert "Off the line" not in text(alone.summary)


def test_the_table_has_no_column_for_what_nobody_read():
    without = page([COLD, HOT], SITE, "si")["html"]
    with_meter = page([COLD, LATER], SITE, "si")["html"]
    assert ">meter (m³)<" in with_meter
    for head in (">meter (m³)<", ">pH<", ">note<"):
        assert head not in without


def test_the_worker_answers_it_in_json():
    request = {"op": "readings-view", "readings": [COLD, HOT], "inputs": SITE, "system": "us"}
    answer = json.loads(view.respond(json.dumps(request)))
    assert set(answer) == {"html", "errors", "notes", "order", "picks", "links"}
    chosen = json.loads(
        view.respond(json.dumps({**request, "pairs": {"two-reading-check": ["c", "c"]}}))
    )
    assert chosen["links"]["two-reading-check"]["inputs"] is None


def test_nothing_is_shown_where_nothing_is_known():
    assert page([], {}, "si")["html"] == ""
    assert 'data-key="temperature"' in page([], SITE, "si")["html"]
    alone = page([reading("a", gauge="1.5", temperature="12")], {}, "si")["html"]
    assert 'data-key="readings"' in alone
    assert "<svg" not in alone


def test_the_line_on_the_chart_is_the_line_and_its_band_lies_around_it():
    found = readings.log([COLD, HOT], SITE, "si")
    drawn = reading_charts.against_temperature(found)[0]
    shown, band = drawn.series
    assert len(shown.points) <= 41
    for (t, gauge), (_, high), (_, low) in zip(
        shown.points, band.points, reversed(band.points), strict=False
    ):
        assert gauge == pytest.approx(found.line.gauge_at(t))
        assert low < gauge < high
    level = drawn.levels[0].value
    assert level == pytest.approx(found.line.opening_gauge(u.TEMPERATURE.unit("degC").to_si(72)))


def test_the_pictures_begin_at_the_first_reading_and_name_what_lies_off_most():
    further = {**HOT, "id": "f", "at": "2026-05-14T12:00:00+02:00"}
    further["gauge"] = {"value": "2.95", "unit": "bar", "pm": "0.05"}
    found = readings.log([COLD, HOT, further], SITE, "si")
    assert [r.id for r in found.off] == ["h", "f"]
    gauge, water = reading_charts.over_time(found)
    read, expected = gauge.series
    assert [x for x, _ in read.points] == [x for x, _ in expected.points] == [0.0, 10800.0, 14400.0]
    assert [y for _, y in expected.points] == [found.judged[i].predicted for i in ("c", "h", "f")]
    assert [mark.label for mark in gauge.marks] == ["", "", "14 May 12:00"]
    assert [(mark.x, mark.y) for mark in gauge.marks] == list(read.points)
    assert text(gauge.summary) == (
        "3 readings in 4 h: least 1.55 bar g on 14 May 08:00, greatest 2.95 bar g on 14 May 12:00."
    )
    assert text(water.summary) == "Coldest 10 °C on 14 May 08:00, hottest 72 °C on 14 May 11:00."
    assert [y for _, y in water.series[0].points] == pytest.approx([283.15, 345.15, 345.15])
    by_heat = reading_charts.against_temperature(found)[0]
    assert [mark.label for mark in by_heat.marks] == [
        "cold fill",
        "",
        "14 May 11:00",
        "14 May 12:00",
    ]
    assert text(by_heat.summary).endswith("3 readings with gauge and temperature. Off the line: 2.")


def test_the_line_is_drawn_a_little_further_than_anything_was_read():
    def ends(site, *records):
        points = reading_charts.against_temperature(readings.log(records, site, "si"))[0].series[0]
        return points.points[0][0], points.points[-1][0]

    open_end = {k: v for k, v in SITE.items() if k != "hot"}
    assert ends(SITE) == pytest.approx((283.15, 353.15))
    assert ends(open_end) == pytest.approx((283.15, 303.15))
    assert ends(open_end, HOT) == pytest.approx((283.15, 350.15))
    cooler = reading("k", gauge="1.5 bar", temperature="6 degC")
    assert ends(SITE, cooler) == pytest.approx((279.15, 353.15))


def test_there_is_no_picture_over_time_where_no_time_passed():
    bare = reading("b", "2026-05-14T08:00:00+02:00", gauge="1.6 bar")
    assert reading_charts.over_time(readings.log([COLD, bare], SITE, "si")) == []
    later = {**bare, "at": "2026-05-14T09:00:00+02:00"}
    (only,) = reading_charts.over_time(readings.log([COLD, later], SITE, "si"))
    assert only.id == "time"
    assert only.x.label == "time since 14 May 08:00"
    assert len(only.series) == 1


def test_without_a_line_two_readings_are_joined_by_their_heat():
    (chart,) = reading_charts.against_temperature(readings.log([HOT, COLD], {}, "si"))
    assert [x for x, _ in chart.series[0].points] == pytest.approx([283.15, 345.15])
    assert chart.levels == ()
    assert text(chart.summary) == "2 readings with gauge and temperature."


def test_many_readings_stay_quick_to_draw_and_the_latest_are_drawn():
    many = [
        {**COLD, "id": f"{n:04}", "at": f"2026-05-{1 + n // 24 % 28:02}T{n % 24:02}:00:00+02:00"}
        for n in range(reading_charts.MOST_DRAWN + 50)
    ]
    found = readings.log(many, SITE, "si")
    assert len(reading_charts.over_time(found)[0].series[0].points) == reading_charts.MOST_DRAWN


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (600, "10 min"),
        (9000, "150 min"),
        (10799, "180 min"),
        (10800, "3 h"),
        (90000, "25 h"),
        (259199, "72 h"),
        (259200, "3 days"),
        (2419200, "28 days"),
    ],
)
def test_times_are_told_in_a_unit_that_reads_well(seconds, words):
    assert readings.lasting_text(seconds) == words


@pytest.mark.native
def test_the_form_on_the_page_is_the_one_that_its_script_is_tested_with():
    """tests/js/readings-log.test.mjs reads this file; write it anew when the form changes."""
    assert FIXTURE.read_text(encoding="utf-8") == form() + "\n"
    assert _well_formed(form())


def test_every_field_of_the_form_has_a_label_a_help_and_a_place_for_its_error():
    html = form()
    for entry in readings.READING.inputs:
        assert f'data-field="{entry.name}"' in html
        assert f'id="reading-{entry.name}-error"' in html
        assert entry.help
        assert entry.label in html


def test_a_line_of_values_is_made_without_a_clock():
    """The same log twice gives the same bytes."""
    first, second = (page([COLD, HOT, LATER], SITE, "si") for _ in range(2))
    assert first == second


def test_bounds_of_facts_do_not_stop_the_band():
    """A plus/minus that reaches below nothing counts on its other side."""
    found = readings.log([HOT], {**SITE, "charge": "0.1 ± 0.3 bar"}, "si")
    assert math.isfinite(found.judged["h"].band)


def test_what_warmer_water_explains_is_called_a_rise():
    found = line()
    cool, warm = (f"{found.gauge_at(t) / 1e5:.6f} bar" for t in (303.15, 323.15))
    rise = text(readings.fall_words(_two((cool, "30 degC"), (warm, "50 degC"))))
    fall = text(readings.fall_words(_two((warm, "50 degC"), (cool, "30 degC"))))
    assert "temperature explains a rise of" in rise
    assert "temperature explains a fall of" in fall


def test_a_valve_of_known_setting_holds_the_gauge_at_it():
    """At the height of the vessel, where nothing is said of its place."""
    found = gauge_at_temperature(*WORKED, 393.15, 1.013e5, 0.0, 3.5e5)
    assert found == pytest.approx(3.5e5 - 1.013e5)


def test_a_fall_within_a_second_has_a_rate_and_one_backwards_has_none():
    assert rate_of_fall(3.0, 1.0, 0.5) == 4.0
    for interval in (0.0, -1.0):
        with pytest.raises(Refusal, match="same time"):
            rate_of_fall(3.0, 1.0, interval)


def a_fall(**changes):
    first, _ = readings.read_reading("a", reading("a", gauge="2 bar", temperature="20"), "si")
    given = {
        "first": first, "last": first, "interval": 86400.0, "drop": 2000.0, "rate": 2000.0 / 86400,
        "explained": 500.0, "left": 1500.0, "band": 1000.0,
    }  # fmt: skip
    return text(readings.fall_words(readings.Fall(**{**given, **changes})))


def test_what_is_left_over_has_to_be_more_than_the_plus_minus():
    assert "neither a loss nor a gain" in a_fall(left=1000.0)
    assert "water was lost or let out" in a_fall(left=1001.0)
    assert "neither a loss nor a gain" in a_fall(left=-1000.0)
    assert "water came in" in a_fall(left=-1001.0)


def test_a_tenth_of_the_plus_minus_is_next_to_nothing():
    assert "next to nothing" in a_fall(explained=99.0)
    assert "next to nothing" in a_fall(explained=-99.0)
    assert "a fall of" in a_fall(explained=101.0)
    assert "a rise of" in a_fall(explained=-101.0)


def test_the_band_holds_what_the_thermometer_may_be_out_by_the_root_of_squares():
    """The line bends upwards, so it moves most on the warmer side."""
    found = line()
    here, warmer, cooler = (found.gauge_at(t) for t in (333.15, 337.15, 329.15))
    assert warmer - here > here - cooler > 0

    def band(pm):
        record = reading("a", gauge="2") | {
            "temperature": {"value": "60", "unit": "degC", "pm": pm}
        }
        return readings.log([record], SITE, "si").judged["a"].band

    nearly_none = found.gauge_at(333.16) - here
    expected = (warmer - here) ** 2 - nearly_none**2
    assert band("4") ** 2 - band("0.01") ** 2 == pytest.approx(expected, rel=1e-6)


def test_the_band_of_a_fall_holds_both_gauges_and_both_thermometers():
    warm = reading("a", "2026-05-14T08:00:00+02:00") | {
        "gauge": {"value": "2.0", "unit": "bar", "pm": "0.03"},
        "temperature": {"value": "50", "unit": "degC", "pm": "3"},
    }
    cool = reading("b", "2026-05-15T08:00:00+02:00") | {
        "gauge": {"value": "1.7", "unit": "bar", "pm": "0.04"},
        "temperature": {"value": "30", "unit": "degC", "pm": "1"},
    }
    found = readings.log([warm, cool], SITE, "si")
    fall = readings.fall_between(*found.readings, found.line)
    at = found.line.gauge_at
    parts = [0.03e5, 0.04e5, at(326.15) - at(323.15), at(304.15) - at(303.15)]
    assert fall.band == pytest.approx(math.hypot(*parts))
    assert fall.explained == pytest.approx(at(323.15) - at(303.15))


def test_the_reading_that_the_line_starts_from_has_no_band():
    site = {k: v for k, v in SITE.items() if k not in ("cold_fill", "cold")}
    found = readings.log([COLD], site, "si")
    assert found.judged["c"].band == 0.0
    assert found.judged["c"].predicted == pytest.approx(1.55e5)


def test_the_time_of_a_picture_is_told_in_the_unit_of_the_whole_of_it():
    """Three hours to the second reading, four weeks to the last: days."""
    found = readings.log([COLD, HOT, LATER], SITE, "si")
    assert [chart.x.unit for chart in reading_charts.over_time(found)] == ["d", "d"]
    short = readings.log([COLD, HOT], SITE, "si")
    assert [chart.x.unit for chart in reading_charts.over_time(short)] == ["h", "h"]


def test_three_that_lie_off_most_are_named_by_heat_and_one_over_time():
    off = [
        {
            **HOT,
            "id": f"{n}",
            "at": f"2026-05-14T1{n}:00:00+02:00",
            "gauge": {"value": f"{2.9 - n / 20}", "unit": "bar", "pm": "0.01"},
        }
        for n in range(4)
    ]
    found = readings.log([COLD, *off], SITE, "si")
    assert len(found.off) == 4
    further = sorted(found.off, key=lambda r: -abs(found.judged[r.id].deviation))
    by_heat = reading_charts.against_temperature(found)[0]
    named = {mark.label for mark in by_heat.marks} - {"", "cold fill"}
    assert named == {r.when for r in further[:3]}
    gauge, _ = reading_charts.over_time(found)
    assert {mark.label for mark in gauge.marks} - {""} == {further[0].when}


def test_without_a_known_valve_the_line_ends_where_no_valve_is_set():
    """The greatest setting that the site's own field takes ends the picture."""
    site = {k: v for k, v in SITE.items() if k not in ("relief", "valve_height")}
    found = readings.log([], {**site, "vessel_volume": "54 L"}, "si")
    shown = reading_charts.against_temperature(found)[0].series[0].points
    most = u.parse_quantity(RELIEF.high.value, u.GAUGE_PRESSURE, u.GAUGE_PRESSURE.unit("bar"))
    assert 2 <= len(shown) < 37
    assert max(gauge for _, gauge in shown) <= most.value


def test_a_fact_without_a_unit_is_in_the_unit_of_the_reader():
    facts_of = {**SITE, "cold_fill": "22.5"}
    assert readings.log([], facts_of, "us").values.cold_fill == pytest.approx(22.5 * 6894.757293)
    assert readings.log([], {**SITE, "cold_fill": "1.5"}, "si").values.cold_fill == 1.5e5

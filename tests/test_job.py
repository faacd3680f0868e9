"""What a report needs from a job, the requests of the pages, and the job in a shell."""

import copy
import csv
import hashlib
import io
import json
import re
import sys
from pathlib import Path

import pytest

import view
from calc import bridge, jobfile, units
from calc.__main__ import main
from calc.files import opened
from calc.job import FileRefusal, book, csv_text
from calc.job.lines import report_text
from calc.job.pins import same_number
from calc.job.records import ABOUT, FOR_WHOM, KINDS, PHASES
from calc.job.shown import entry_in, entry_words, since_words, time_words, visible

TESTS = Path(__file__).resolve().parent
EXAMPLE = TESTS / "data" / "larch-street.job.json"
DOCS = TESTS.parent / "docs"
ID = "0123456789abcdef"
AT = "2026-05-14T08:05:12+02:00"
ORIGIN = {"calculator": "pre-charge", "field": "height", "how": "typed"}
REASON = "This edition works it out differently, or the record was changed."


def job(records):
    return {"id": ID, "name": "Plant room", "created": AT, "records": records, "photos": {}}


def plain(text):
    """Return a text with every blank an ordinary one."""
    return " ".join(text.split())


@pytest.fixture(scope="module")
def larch():
    return jobfile.read(EXAMPLE.read_text(encoding="utf-8"))[0]


@pytest.fixture
def pins(larch):
    """The kept results of the example, one of each calculator."""
    found = copy.deepcopy(larch["records"])
    return {
        record["calculator"]: (key, record)
        for key, record in found.items()
        if key.startswith("pin/")
    }


def recounted(key, record, system="si"):
    (found,) = book(job({key: record}), system)["pins"]
    return found


# The example is what the worked day says.


def test_the_example_is_sound_and_of_every_kind(larch):
    found, notes = jobfile.read(EXAMPLE.read_text(encoding="utf-8"))
    assert notes == []
    assert jobfile.write(found) == EXAMPLE.read_text(encoding="utf-8")
    assert {key.partition("/")[0] for key in found["records"]} == set(KINDS)
    pinned = {record["phase"] for key, record in found["records"].items() if "pin/" in key}
    assert pinned == set(PHASES)
    assert {r["for"] for k, r in found["records"].items() if "todo/" in k} == set(FOR_WHOM)
    assert {k.partition("/")[2] for k in found["records"] if k.startswith("about/")} == set(ABOUT)
    assert found["photos"]


@pytest.mark.parametrize("system", units.SYSTEMS)
def test_every_number_of_the_example_comes_out_the_same_again(larch, system):
    found = book(larch, system)
    assert found["differences"] == []
    assert found["same"]
    assert len(found["pins"]) == 12
    for pin in found["pins"]:
        assert pin["answer"]["system"] == system
        assert len(pin["results"]) > 5
        for result in pin["results"]:
            assert result["same"]
            assert result["now"]["value"] == result["recorded"]["value"] or float(
                result["now"]["value"]
            ) == pytest.approx(float(result["recorded"]["value"]), rel=1e-9)


@pytest.mark.native
def test_the_example_tells_the_day_that_the_walk_tells(larch):
    if sys.platform == "emscripten":
        pytest.skip("the pages are read natively only")
    yaml = pytest.importorskip("yaml")
    from view.runs import Run

    text = (DOCS / "walk.md").read_text(encoding="utf-8")
    runs = {}
    for spec in yaml.safe_load(text.split("---\n", 2)[1])["runs"]:
        runs[spec["name"]] = Run(spec, runs)
    told = book(larch)
    by_pin = {(pin["calculator"], pin["phase"]): pin for pin in told["pins"]}
    for run, key in (
        ("found", ("two-reading-check", "found")),
        ("as-is", ("relief-margin", "found")),
        ("recharged", ("relief-margin", "option")),
        ("options", ("replacement-options", "option")),
        ("charge", ("pre-charge", "left")),
        ("proof", ("two-reading-check", "left")),
        ("proved", ("relief-margin", "left")),
    ):
        told_there = set(re.findall(rf"\{{\{{ {run}\.(\w+) \}}\}}", text))
        results = [r for r in by_pin[key]["results"] if r["name"] in told_there]
        assert results, run
        for result in results:
            said = runs[run].text(result["name"])
            assert said.startswith(result["recorded"]["text"]), (run, result["name"])
        for check in by_pin[key]["checks"]:
            assert runs[run].verdict(check["id"]) == check["status"]
    steps = [step for page in told["pages"] for step in page["steps"]]
    for page in told["pages"]:
        source = (DOCS / f"{page['page']}.md").read_text(encoding="utf-8")
        assert f"title: {page['title']}\n" in source
        for step in page["steps"]:
            assert step["text"] in source, step["key"]
    assert {step["kind"] for step in steps} == {"step", "stop"}


@pytest.mark.native
def test_the_maker_of_the_example_still_makes_the_same_records(larch):
    if sys.platform == "emscripten":
        pytest.skip("the maker reads the pages")
    import importlib.util

    spec = importlib.util.spec_from_file_location("maker", TESTS / "make_larch_street_job.py")
    maker = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(maker)
    made = maker.job()
    # Results belong to the edition they were worked out by; everything else is the day itself.
    for whole in (made, larch := copy.deepcopy(larch)):
        for key, record in whole["records"].items():
            if key.startswith("pin/"):
                record["results"] = [result["name"] for result in record["results"]]
                record["checks"] = [check["id"] for check in record["checks"]]
            if record.get("origin", {}).get("how") == "found":
                del record["entry"]
    assert made == larch


# The book.


def test_facts_have_labels_origin_age_and_the_readers_units():
    records = {
        "fact/height": {
            "entry": {"value": "11.4", "unit": "m", "pm": "0.1"},
            "origin": ORIGIN,
            "at": AT,
            "before": [{"entry": {"value": "11", "unit": "m"}, "origin": ORIGIN, "at": AT}],
        },
        "fact/fluid": {"entry": {"value": "water"}, "origin": ORIGIN, "at": AT},
        "fact/relief": {"entry": {"value": "30", "unit": "psi", "pm": ""}, "origin": ORIGIN},
        "fact/colour_of_door": {"entry": {"value": "red", "unit": "", "pm": ""}, "origin": ORIGIN},
    }
    found = {fact["name"]: fact for fact in book(job(records), now="2026-05-14T08:10:12Z")["facts"]}
    assert list(found) == ["height", "fluid", "relief", "colour_of_door"]
    assert found["height"]["label"] == "Height from vessel to highest point"
    assert found["height"]["text"] == "11.4 ± 0.1 m"
    assert found["height"]["before"][0]["text"] == "11 m"
    assert found["height"]["origin"]["title"] == "Pre-charge and cold fill"
    assert found["height"]["at_text"] == "14 May 2026, 08:05"
    assert found["height"]["age"] == "2 h before"
    assert found["fluid"]["text"] == "Water"
    # 30 psi is 2.068 bar: 1 psi = 6894.757 Pa (NIST SP 811).
    assert plain(found["relief"]["text"]) == "2.07 bar g"
    assert found["relief"]["entry"] == {"value": "2.0684", "unit": "bar", "pm": ""}
    assert found["colour_of_door"]["label"] == "colour of door"
    assert not found["colour_of_door"]["known"]
    us = {fact["name"]: fact for fact in book(job(records), "us")["facts"]}
    # 1 ft = 0.3048 m exactly.
    assert plain(us["height"]["text"]) == "37.40 ft ± 0.33 ft"
    assert us["relief"]["text"] == "30 psig"
    assert us["height"]["typed"] == records["fact/height"]["entry"]


@pytest.mark.parametrize(
    ("entry", "system", "shown"),
    [
        ({"value": "1,55", "unit": "bar", "pm": "0,05"}, "si", "1,55 ± 0,05 bar g"),
        ({"value": "1.55", "unit": "bar", "pm": "0.05"}, "us", "22.5 psig ± 0.7 psi"),
        # A unit of its own inside the box.
        ({"value": "22 psi", "unit": "bar", "pm": ""}, "si", "1.52 bar g"),
        ({"value": "22 psi", "unit": "bar", "pm": ""}, "us", "22.0 psig"),
        # What cannot be read, or has no unit to read it by, stays as it was typed.
        ({"value": "about two", "unit": "bar", "pm": ""}, "us", "about two bar g"),
        ({"value": "1.5", "unit": "", "pm": ""}, "us", "1.5"),
        ({"value": "1.5", "unit": "furlong", "pm": ""}, "us", "1.5 furlong"),
        ({"value": "1.5"}, "us", "1.5"),
        ({"value": " ", "unit": "bar"}, "us", ""),
    ],
)
def test_an_entry_is_shown_in_the_readers_units_or_as_typed(entry, system, shown):
    assert plain(entry_words(units.GAUGE_PRESSURE, entry, system)) == shown
    moved = entry_in(units.GAUGE_PRESSURE, entry, system)
    assert set(moved) == {"value", "unit", "pm"}


def test_a_found_fact_is_stale_when_what_it_rests_on_has_changed_since():
    def records(changed):
        return {
            "fact/height": {"entry": {"value": "12"}, "origin": ORIGIN, "at": changed},
            "fact/charge": {
                "entry": {"value": "1.5", "unit": "bar", "pm": ""},
                "origin": {"calculator": "pre-charge", "field": "charge", "how": "found"},
                "at": "2026-05-14T10:00:00+02:00",
            },
            "entries/pre-charge": {"values": {}, "taken": {"height": "height"}},
        }

    def stale(changed):
        facts = book(job(records(changed)))["facts"]
        return next(fact["stale"] for fact in facts if fact["name"] == "charge")

    # The same moment, told by two clocks.
    assert not stale("2026-05-14T08:00:00Z")
    assert stale("2026-05-14T08:00:01Z")
    assert not stale("2026-05-14T09:59:59+02:00")


def test_readings_stand_in_order_of_time_whatever_the_clock():
    times = {
        "a" * 16: "2026-10-25T02:30:00+02:00",
        "b" * 16: "2026-10-25T02:10:00+01:00",
        "c" * 16: "2026-10-24T23:59:59Z",
        "d" * 16: "",
    }
    records = {f"reading/{id}": {"at": at, "pump": "on"} for id, at in times.items()}
    found = book(job(records))["readings"]
    assert [reading["id"][0] for reading in found] == ["c", "a", "b", "d"]
    assert found[0]["pump_text"] == "running"


def test_the_state_of_the_pump_is_a_row_of_its_own_with_the_note():
    records = {f"reading/{ID}": {"at": AT, "pump": "off", "note": "by the door"}}
    rows = csv.reader(io.StringIO(csv_text(job(records))))
    (found,) = [row for row in rows if "Pump" in row]
    assert found == ["reading", AT, ID, "Pump", "stopped", "", "", "by the door"]


def test_a_meter_keeps_all_its_figures():
    entry = {"value": "41.316", "unit": "m3", "pm": ""}
    records = {f"reading/{ID}": {"at": AT, "meter": entry, "ph": {"value": "8.6"}}}
    (reading,) = book(job(records), "us")["readings"]
    assert reading["values"]["meter"]["text"] == "41.316 m³"
    assert reading["values"]["ph"]["text"] == "8.6"


def test_stops_without_a_yes_stay_open_and_a_no_needs_a_licensed_person():
    def stop(answer, at):
        return {"kind": "stop", "text": f"Stop: {answer}", "answer": answer, "at": at}

    records = {
        "step/survey/one": stop("yes", "2026-05-14T08:00:00Z"),
        "step/survey/two": stop("no", "2026-05-14T09:00:00Z"),
        "step/make-safe/three": stop("", "2026-05-14T07:00:00Z"),
        "step/make-safe/four": {"kind": "step", "ticked": False},
        f"todo/{ID}": {"text": "Confirm the valve", "for": "licensed", "done": False, "at": AT},
    }
    found = book(job(records))
    assert [page["page"] for page in found["pages"]] == ["make-safe", "survey"]
    assert [step["step"] for step in found["open_stops"]] == ["three", "two"]
    assert [(asked["text"], asked["why"]) for asked in found["licensed"]] == [
        ("Confirm the valve", "put on the list"),
        ("survey: Stop: no", "answered no"),
    ]


def test_checks_that_did_not_pass_come_first_the_failed(larch):
    statuses = [check["status"] for check in book(larch)["checks_not_passed"]]
    assert set(statuses) == {"fail", "caution"}
    assert statuses == sorted(statuses, reverse=True)


def test_what_is_asked_for_in_no_system_is_refused():
    with pytest.raises(FileRefusal, match=r"Choose si or us\."):
        book(job({}), "metric")


# Results worked out again.


def test_a_changed_number_is_told_beside_the_new_one(pins):
    key, pin = pins["pre-charge"]
    result = pin["results"][0]
    assert result["value"] == "1.5"
    result |= {"value": "1.2", "text": "1.20\xa0bar g"}
    found = recounted(key, pin)
    assert not found["same"]
    assert found["results"][0]["recorded"]["value"] == "1.2"
    assert found["results"][0]["now"]["value"] == "1.5"
    assert [plain(said) for said in found["differences"]] == [
        f"{result['label']}: recorded 1.20 bar g, now 1.50 bar g. {REASON}"
    ]
    assert all(result["same"] for result in found["results"][1:])


@pytest.mark.parametrize(
    ("change", "same"),
    [
        ({"value": "1.5000000001"}, True),
        ({"value": "1.500001"}, False),
        ({"value": "nan"}, False),
        ({"value": "inf"}, False),
        ({"value": ""}, False),
        ({"unit": "psi"}, False),
        # Another edition may show one figure more or less; a text that says another number may not.
        ({"text": "1.5\xa0bar g"}, True),
        ({"text": "1.51\xa0bar g"}, True),
        ({"text": "1.52\xa0bar g"}, False),
        ({"text": "2\xa0bar g"}, True),
        ({"text": "1.50\xa0psig"}, False),
        ({"text": "plenty"}, False),
        ({"plus_minus_text": "0.05 bar"}, False),
    ],
)
def test_what_counts_as_the_same_number(change, same):
    now = {"value": "1.5", "unit": "bar", "text": "1.50\xa0bar g", "plus_minus_text": ""}
    assert same_number(now | change, now) is same
    band = now | {"plus_minus_text": "0.0521 bar"}
    assert same_number(band | {"plus_minus_text": "0.05 bar"}, band)
    assert not same_number(band | {"plus_minus_text": "0.07 bar"}, band)


def test_a_number_that_differs_beyond_what_is_shown_is_told_in_full(pins):
    key, pin = pins["pre-charge"]
    pin["results"][0]["value"] = "1.50001"
    (said,) = recounted(key, pin)["differences"]
    assert said.startswith(f"{pin['results'][0]['label']}: recorded 1.50001 bar, now 1.5 bar.")


def test_a_changed_verdict_and_a_lost_check_are_told(pins):
    key, pin = pins["relief-margin"]
    margin = next(check for check in pin["checks"] if check["id"] == "margin")
    margin["status"] = "caution"
    pin["checks"].append({"id": "gone", "label": "Gone", "status": "pass"})
    found = recounted(key, pin)
    assert not found["same"]
    assert found["differences"] == [
        f"{margin['label']}: recorded “caution”, now “fail”. {REASON}",
        f"Gone: recorded “pass”, now “nothing”. {REASON}",
    ]
    del pin["checks"]
    assert recounted(key, pin)["same"]


def test_a_result_that_is_given_no_longer_is_told(pins):
    key, pin = pins["cool-down"]
    pin["results"].append({"name": "gone", "label": "Gone", "text": "1 m", "value": "1"})
    assert recounted(key, pin)["differences"] == [f"Gone: recorded 1 m, not given now. {REASON}"]


def test_entries_that_are_refused_now_are_not_called_the_same(pins):
    key, pin = pins["pre-charge"]
    pin["inputs"]["height"] = "-3 m"
    found = recounted(key, pin)
    assert not found["same"]
    assert found["answer"] is None
    assert found["errors"][0]["field"] == "height"
    assert found["differences"][0].startswith("These entries are refused now. ")
    assert found["results"][0]["shown"] == pin["results"][0]["text"]


def test_of_an_unknown_calculator_the_numbers_stand_as_recorded(pins):
    key, pin = pins["pre-charge"]
    found = recounted(key, pin | {"calculator": "tea-strength"})
    assert not found["known"]
    assert not found["same"]
    assert found["differences"] == [
        "This edition has no calculator “tea-strength”. The numbers stand as they were recorded."
    ]
    assert found["results"][0]["recorded"]["text"] == pin["results"][0]["text"]


def test_an_unknown_field_is_left_out_and_named(pins):
    key, pin = pins["pre-charge"]
    pin["inputs"]["sugar"] = "2"
    found = recounted(key, pin)
    assert found["left_out"] == ["sugar"]
    assert found["same"]


@pytest.mark.parametrize("recorded", units.SYSTEMS)
@pytest.mark.parametrize("shown", units.SYSTEMS)
@pytest.mark.parametrize("id", ["pre-charge", "vessel-size", "system-volume", "convert"])
def test_results_kept_in_one_system_are_the_same_seen_in_the_other(id, recorded, shown):
    answer = bridge.run(id, {}, recorded)
    pin = {
        "calculator": id,
        "phase": "left",
        "system": recorded,
        "inputs": {entry["name"]: entry["text"] for entry in answer["inputs"]},
        "results": [
            {
                part: str(result[part])
                for part in ("name", "text", "unit", "value", "plus_minus_text")
            }
            for result in answer["results"]
        ],
        "checks": [{"id": c["id"], "status": c["status"]} for c in answer["checks"]],
    }
    found = recounted(f"pin/{ID}", pin, shown)
    assert found["same"], found["differences"]
    assert found["answer"]["system"] == shown
    if recorded != shown and id == "pre-charge":
        texts = [result["shown"] for result in found["results"]]
        assert any("psi" in text for text in texts) is (shown == "us")


def test_a_bare_number_is_read_in_the_units_it_was_kept_in():
    """31 typed in US units is 31 ft, also for a reader in SI."""
    answer = bridge.run("pre-charge", {"height": "31"}, "us")
    pin = {
        "calculator": "pre-charge",
        "phase": "left",
        "system": "us",
        "inputs": {"height": "31"},
        "results": [
            {
                part: str(result[part])
                for part in ("name", "text", "unit", "value", "plus_minus_text")
            }
            for result in answer["results"]
        ],
    }
    found = recounted(f"pin/{ID}", pin, "si")
    assert found["same"]
    given = next(entry for entry in found["inputs"] if entry["name"] == "height")
    assert given == {
        "name": "height",
        "label": "Height from vessel to highest point",
        "text": "31",
        "origin": "given",
    }
    assert {entry["origin"] for entry in found["inputs"]} == {"given", "example"}


# Words.


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("plain text", "plain text"),
        ("1\xa0000\u202fL, é, 😀", "1\xa0000\u202fL, é, 😀"),
        ("a\nb", "a\nb"),
        ("\x00\x1b\x7f\x85", "⟨00⟩⟨1B⟩⟨7F⟩⟨85⟩"),
        ("\u202eabc\u2069\u200f\ufeff\u2028", "⟨202E⟩abc⟨2069⟩⟨200F⟩⟨FEFF⟩⟨2028⟩"),
    ],
)
def test_signs_that_nobody_sees_are_written_out(text, shown):
    assert visible(text) == shown


@pytest.mark.parametrize(
    ("at", "words"),
    [
        ("2026-01-02T03:04:05Z", "2 January 2026, 03:04"),
        ("2026-12-31T23:59:59.999-05:30", "31 December 2026, 23:59"),
        ("", ""),
        ("yesterday", ""),
    ],
)
def test_a_time_is_told_by_the_clock_of_its_place(at, words):
    assert time_words(at) == words


@pytest.mark.parametrize(
    ("later", "words"),
    [
        ("2026-05-14T06:05:00Z", "just then"),
        ("2026-05-14T06:06:30Z", "1 min before"),
        ("2026-05-14T07:05:11Z", "59 min before"),
        ("2026-05-15T06:05:11Z", "23 h before"),
        ("2026-05-15T06:05:12Z", "1 day before"),
        ("2026-05-17T06:05:12Z", "3 days before"),
        ("", ""),
    ],
)
def test_ages_are_told_in_words(later, words):
    assert since_words(AT, later) == words


# Rows.


def test_rows_have_one_value_each_and_no_formula(larch):
    import csv

    rows = list(csv.reader(io.StringIO(csv_text(larch), newline="")))
    assert rows[0] == "part,time,subject,item,value,unit,plus_minus,note".split(",")
    assert {len(row) for row in rows} == {8}
    assert ["reading", "Gauge", "1.55", "bar", "0.05"] in [
        [row[0], row[3], row[4], row[5], row[6]] for row in rows
    ]
    assert ["result left", "pre-charge", "Charge where the vessel lives", "1.5", "bar"] in [
        [row[0], row[2], row[3], row[4], row[5]] for row in rows
    ]
    us = list(csv.reader(io.StringIO(csv_text(larch, "us"), newline="")))
    assert len(us) == len(rows)


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        ("=1+1", "'=1+1"),
        ("@x", "'@x"),
        ("+49 1", "'+49 1"),
        ("-5", "-5"),
        ("-5,5", '"-5,5"'),
        ('say "no"', '"say ""no"""'),
        ("two\r\nlines", '"two\nlines"'),
        ("\t=1", "⟨09⟩=1"),
    ],
)
def test_a_cell_holds_its_text_and_steers_nothing(text, cell):
    written = csv_text(job({f"todo/{ID}": {"text": text, "at": AT}}))
    assert f",us,{cell},no," in written


# The requests of the pages.


def ask(op, **more):
    return json.loads(view.respond(json.dumps({"op": op} | more)))


def test_a_job_goes_through_the_requests_there_and_back(larch):
    text = ask("job-write", job=larch)["text"]
    assert text == EXAMPLE.read_text(encoding="utf-8")
    assert ask("job-read", text=text) == {"job": larch, "notes": []}
    told = ask("job-book", job=larch, system="us")
    assert told["same"]
    assert told["system"] == "us"
    assert told == json.loads(json.dumps(book(larch, "us")))
    rows = ask("job-csv", job=larch)["text"]
    assert rows == csv_text(larch)


def test_a_refusal_comes_as_an_error_and_says_whether_it_can_be_read_anyhow(larch):
    text = jobfile.write(larch).replace("Lock and tag each one.", "Lock and tag some.")
    assert ask("job-read", text=text) == {
        "errors": [{"field": "", "message": jobfile.CHANGED}],
        "mendable": True,
    }
    found = ask("job-read", text=text, force=True)
    assert found["notes"] == [jobfile.READ_ANYHOW]
    assert ask("job-read", text="{}") == {
        "errors": [{"field": "", "message": jobfile.NOT_OURS}],
        "mendable": False,
    }
    for op in ("job-read", "job-write", "job-book", "job-csv", "job-report"):
        answer = ask(op)
        assert answer["errors"][0]["message"].endswith(".")
        assert not answer["mendable"]
    assert ask("job-book", job=larch, system="metric")["errors"] == [
        {"field": "", "message": "Choose si or us."}
    ]


def test_half_a_sign_from_a_page_is_refused_and_breaks_nothing():
    found = job({f"todo/{ID}": {"text": "\ud83d"}})
    (error,) = ask("job-write", job=found)["errors"]
    assert "half of a sign" in error["message"]


# The shell.


def shell(capsys, *words):
    code = main([str(word) for word in words])
    printed = capsys.readouterr()
    return code, printed.out, printed.err


def test_the_shell_prints_the_job_and_ends_with_0(capsys):
    code, out, err = shell(capsys, "job", EXAMPLE)
    assert (code, err) == (0, "")
    for words in (
        "Plant room, Larch Street Library",
        "  Height from vessel to highest point: 11.4 ± 0.1 m  (typed into Pre-charge",
        "  14 May 2026, 06:30: Gauge 1.55 ± 0.05 bar g; Water temperature 10 ± 2 °C;",
        "  [stop: yes] Stop: both sides at zero",
        "Relief valve margin, as left, 14 May 2026, 19:40:",
        "  [open] Confirm that the relief valve's capacity fits both boilers. (for a licensed",
        "Every kept result was worked out again and came out the same.",
    ):
        assert words in out
    code, out, _ = shell(capsys, "job", EXAMPLE, "--system", "us")
    assert code == 0
    assert "Gauge 22.5 psig ± 0.7 psi" in plain(out)


def test_the_shell_gives_the_book_as_json(capsys, larch):
    code, out, _ = shell(capsys, "job", EXAMPLE, "--json")
    assert code == 0
    assert json.loads(out) == json.loads(json.dumps(book(larch)))
    assert shell(capsys, "--json", "job", EXAMPLE)[1] == out


def test_the_shell_ends_with_1_where_a_number_differs(capsys, larch, tmp_path, pins):
    key, pin = pins["pre-charge"]
    pin["results"][0]["value"] = "1.2"
    path = tmp_path / "changed.job.json"
    path.write_text(jobfile.write(larch | {"records": larch["records"] | {key: pin}}))
    code, out, err = shell(capsys, "job", path)
    assert (code, err) == (1, "")
    assert "Not every kept result came out the same when it was worked out again:" in out
    assert "recorded 1.2 bar, now 1.5 bar." in out
    assert shell(capsys, "job", path, "--json")[0] == 1


def test_the_shell_says_what_to_do_with_a_damaged_file(capsys, tmp_path):
    text = EXAMPLE.read_text(encoding="utf-8")
    path = tmp_path / "damaged.job.json"
    path.write_text(text[:3000], encoding="utf-8")
    assert shell(capsys, "job", path) == (2, "", opened.CUT + "\n")
    path.write_text(text.replace("Library", "Librarx", 1), encoding="utf-8")
    assert shell(capsys, "job", path) == (
        2,
        "",
        jobfile.CHANGED + " Add --anyhow to read it as it stands.\n",
    )
    code, out, _ = shell(capsys, "job", path, "--anyhow")
    assert code == 0
    assert f"Note: {jobfile.READ_ANYHOW}" in out
    path.write_bytes(text.encode()[:500] + b"\xff\xfe")
    assert shell(capsys, "job", path) == (2, "", jobfile.NOT_TEXT + "\n")
    path.write_text("")
    code, out, _ = shell(capsys, "job", path, "--json")
    assert code == 2
    assert json.loads(out) == {"errors": [{"field": "", "message": opened.EMPTY}]}


def test_the_shell_says_which_file_it_could_not_read(capsys, tmp_path):
    code, out, err = shell(capsys, "job", tmp_path / "none.job.json")
    assert (code, out) == (2, "")
    assert err.endswith("cannot be read: No such file or directory. Check its name and place.\n")
    assert shell(capsys, "job", tmp_path)[0] == 2


def test_the_shell_reads_a_pipe(capsys, monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(EXAMPLE.read_bytes())))
    assert shell(capsys, "job", "-")[0] == 0


# The page that describes the file.

if sys.platform != "emscripten":

    def page():
        return (DOCS / "job-file.md").read_text(encoding="utf-8")

    @pytest.mark.native
    def test_the_worked_checksum_of_the_page_is_right():
        (text,) = re.findall(r"```json\n(.*?)```", page(), re.DOTALL)
        (line,) = re.findall(r"```text\n(.*?)\n```", page(), re.DOTALL)
        whole = json.loads(text)
        assert json.loads(line) == whole["job"]
        assert whole["checksum"] == "sha256:" + hashlib.sha256(line.encode()).hexdigest()
        assert jobfile.read(text) == (whole["job"], [])
        assert jobfile.write(whole["job"]) == text

    @pytest.mark.native
    def test_the_page_names_every_kind_with_its_parts_and_every_limit():
        from calc.job import records

        text = page()
        sections = re.split(r"\n### ", text)
        for kind, (_, parts) in KINDS.items():
            section = next(s for s in sections if f"\n`{kind}/" in s)
            for name in parts.parts:
                star = " \\*" if name in parts.needed else ""
                assert re.search(rf"`{name}`(, `\w+`)*{star} \|", section), (kind, name)
        for name in ABOUT:
            assert f"`about/{name}`" in text
        for limit in (
            f"| records | {records.MOST_RECORDS} |",
            f"| kept results | {records.MOST_PINS} |",
            f"| letters of a key | {records.LONGEST_KEY} |",
            f"| letters of the name | {records.LONGEST_NAME} |",
            f"| letters of one text | {records.LONGEST_TEXT} |",
            f"| letters of one record | {records.LARGEST_RECORD:,} |".replace(",", " "),
            f"| letters of all records | {records.MOST_SIGNS:,} |".replace(",", " "),
            f"in a record | {records.DEEPEST_RECORD} |",
            f"| photos | {records.MOST_PHOTOS} |",
            f"| one photo | {records.LARGEST_PHOTO // 10**6} MB |",
            f"| all photos | {records.MOST_PHOTO_BYTES // 10**6} MB |",
        ):
            assert limit in text, limit


def test_a_fact_that_was_typed_is_never_stale():
    def record(how):
        return {
            "fact/height": {"entry": {"value": "12"}, "origin": ORIGIN, "at": AT},
            "fact/charge": {
                "entry": {"value": "1.5", "unit": "bar", "pm": ""},
                "origin": {"calculator": "pre-charge", "field": "charge", "how": how},
                "at": "2026-05-14T05:00:00Z",
            },
            "entries/pre-charge": {"values": {}, "taken": {"height": "height"}},
        }

    def stale(how):
        facts = book(job(record(how)))["facts"]
        return next(fact["stale"] for fact in facts if fact["name"] == "charge")

    assert stale("found")
    assert not stale("typed")


def test_the_newest_moment_is_told_in_words(larch):
    found = book(larch)
    assert found["newest"]
    assert found["newest_text"] == time_words(found["newest"])
    assert found["newest_text"] != time_words("")


def test_a_check_of_an_unknown_calculator_is_called_neither_same_nor_other(pins):
    key, pin = pins["pre-charge"]
    found = recounted(key, pin | {"calculator": "tea-strength"})
    assert found["checks"]
    for check, recorded in zip(found["checks"], pin["checks"], strict=True):
        assert check["status"] == check["recorded"] == recorded["status"]
        assert check["message"] == recorded["message"]
        assert check["same"]
        assert check["source"] is None
        assert check["own_words"] is False


def test_rows_of_checks_and_steps_hold_their_words(larch):
    import csv

    rows = list(csv.reader(io.StringIO(csv_text(larch), newline="")))
    found = book(larch)
    checks = [row for row in rows if row[0].startswith("result") and row[0].endswith(", check")]
    wanted = [check for pin in found["pins"] for check in pin["checks"]]
    assert len(checks) == len(wanted) > 10
    for row, check in zip(checks, wanted, strict=True):
        assert row[3:5] == [check["label"], check["status"]]
        assert plain(row[7]) == plain(check["message"])
    steps = [row for row in rows if row[0] in ("step", "stop")]
    told = [step for page in found["pages"] for step in page["steps"]]
    assert [plain(row[7]) for row in steps] == [plain(step["note"]) for step in told]
    assert any(step["note"] for step in told)


def test_a_fact_without_a_time_is_told_without_one():
    record = {"fact/height": {"entry": {"value": "12", "unit": "m", "pm": ""}, "origin": ORIGIN}}
    (line,) = [one for one in report_text(book(job(record))).split("\n") if "typed into" in one]
    assert line.endswith(")")
    assert ", )" not in line


def test_a_fact_with_a_time_is_told_with_it():
    entry = {"value": "12", "unit": "m", "pm": ""}
    record = {"fact/height": {"entry": entry, "origin": ORIGIN, "at": AT}}
    (line,) = [one for one in report_text(book(job(record))).split("\n") if "typed into" in one]
    assert ", 14 May 2026, 08:05)" in line


def test_the_notes_of_steps_stand_behind_them(larch):
    told = report_text(book(larch))
    noted = [step for page in book(larch)["pages"] for step in page["steps"] if step["note"]]
    assert noted
    for step in noted:
        assert f"({plain(step['note'])})" in plain(told)
    assert "None" not in told


def test_what_the_job_is_about_and_its_pages_head_their_lines(larch):
    found = book(larch)
    told = report_text(found).split("\n")
    assert found["about"]
    assert found["pages"]
    for about in found["about"]:
        assert f"{about['label']}: {' / '.join(about['text'].splitlines())}" in told
    for page in found["pages"]:
        assert f"{page['title']}:" in told


def test_a_note_has_a_row_of_its_own_only_where_nothing_else_was_read():
    gauge = {"value": "1.5", "unit": "bar", "pm": ""}

    def rows(**more):
        written = csv_text(job({f"reading/{ID}": {"at": AT, "note": "by the door", **more}}))
        found = csv.reader(io.StringIO(written))
        return [row[3] for row in found if row[0] == "reading"]

    assert rows() == ["Note"]
    written = csv_text(job({f"reading/{ID}": {"at": AT, "note": "by the door"}}))
    (row,) = [row for row in csv.reader(io.StringIO(written)) if "Note" in row]
    assert row == ["reading", AT, ID, "Note", "", "", "", "by the door"]
    assert rows(pump="on") == ["Pump"]
    assert rows(gauge=gauge) == ["Gauge"]
    assert rows(pump="on", gauge=gauge) == ["Pump", "Gauge"]


@pytest.mark.parametrize("done", [False, True])
def test_what_is_left_to_do_says_whether_it_is_done(done):
    record = {"text": "Order a vessel", "for": "owner", "done": done, "at": AT}
    told = report_text(book(job({f"todo/{ID}": record}))).split("\n")
    state = "done" if done else "open"
    assert f"  [{state}] Order a vessel (for the owner)" in told


def test_stops_of_a_report_say_their_answer_and_whose_they_are(larch):
    def stop(answer):
        return {"kind": "stop", "text": f"Stop {answer}", "answer": answer, "page_title": "Survey"}

    records = {"step/survey/a": stop(""), "step/survey/b": stop("no")}
    told = report_text(book(job(records))).split("\n")
    assert "  Survey: Stop  (not answered)" in told
    assert "  Survey: Stop no (no)" in told


def test_kept_results_and_checks_stand_under_their_own_names(larch):
    told = [plain(line) for line in report_text(book(larch)).split("\n")]
    for pin in book(larch)["pins"]:
        begin = [f"{r['label']}: {r['shown']}" for r in pin["results"] if r["shown"]]
        assert begin
        begin += [f"[{c['status']}] {c['label']}: {c['message']}" for c in pin["checks"]]
        for words in map(plain, begin):
            assert any(line.startswith(words) for line in told), words


def test_a_lost_result_is_not_called_the_same(pins):
    key, pin = pins["cool-down"]
    pin["results"].append({"name": "gone", "label": "Gone", "text": "1 m", "value": "1"})
    found = recounted(key, pin)
    assert {result["name"] for result in found["results"] if not result["same"]} == {"gone"}
    assert found["same"] is False


def test_photos_that_are_named_and_missing_are_counted_over_all_steps():
    def step(photo):
        return {"kind": "step", "photos": [photo]}

    one, other = "0" * 15 + "1", "0" * 15 + "2"
    notes = book(job({"step/survey/a": step(one), "step/survey/b": step(other)}))["notes"]
    assert "2 photos are named and not in the job." in notes
    notes = book(job({"step/survey/a": step(one), "step/survey/b": step(one)}))["notes"]
    assert "A photo is named and not in the job." in notes


def test_a_plus_minus_is_no_finer_than_the_number_it_stands_beside():
    """1000 ft is 304.8 m to a reader, and 0.02 ft is less than its last figure."""
    told = plain(entry_words(units.LENGTH, {"value": "1000", "unit": "ft", "pm": "0.02"}, "si"))
    assert told == "304.8 m ± 0.1 m"


def test_the_newest_time_is_told_by_the_sun_and_not_by_its_text():
    """Half past seven by the world's clock is later than eight where clocks are two hours on."""
    early, late = "2026-05-14T08:00:00+02:00", "2026-05-14T07:30:00Z"
    records = {
        f"todo/{ID}": {"text": "Early", "at": early},
        "about/where": {"text": "Late", "at": late},
    }
    assert book(job(records))["newest"] == late


def test_a_fact_says_how_it_came_and_from_where():
    def line(**origin):
        record = {"entry": {"value": "12", "unit": "m", "pm": ""}, "origin": ORIGIN | origin}
        told = report_text(book(job({"fact/height": record}))).split("\n")
        return next(one for one in told if one.startswith("  Height"))

    assert "(typed into Pre-charge and cold fill" in line(how="typed")
    assert "(worked out by Pre-charge and cold fill" in line(how="found")
    # A calculator of another edition is named as it was.
    assert "(typed into old-one" in line(how="typed", calculator="old-one")


def test_a_plus_minus_goes_with_its_entry_into_the_other_units():
    """0.05 bar is 0.725 psi (1 psi = 6894.757 Pa, NIST SP 811); two figures are kept."""
    entry = {"value": "1.55", "unit": "bar", "pm": "0.05"}
    found = entry_in(units.GAUGE_PRESSURE, entry, "us")
    assert found["unit"] == "psi"
    assert float(found["value"]) == pytest.approx(22.481, abs=1e-3)
    assert found["pm"] in ("0.72", "0.73")
    assert entry_in(units.GAUGE_PRESSURE, entry | {"pm": ""}, "us")["pm"] == ""


# What is not in a record, and the order of what is.

EARLY, LATE = "2026-05-14T08:00:00Z", "2026-05-14T09:00:00Z"


def told_of(records, part, **more):
    return book(job(records), **more)[part]


def test_an_empty_job_has_no_newest_time_and_nothing_that_differs():
    found = book(job({}))
    assert (found["newest"], found["newest_text"]) == ("", "")
    assert (found["id"], found["name"], found["system"]) == (ID, "Plant room", "si")
    assert (found["created"], found["created_text"]) == (AT, "14 May 2026, 08:05")
    assert found["same"] is True
    for part in ("about", "facts", "readings", "pages", "todos", "pins", "photos", "unknown"):
        assert found[part] == [], part


def test_a_record_without_a_time_is_not_the_newest():
    records = {
        "about/where": {"text": "a", "at": ""},
        "about/who": {"text": "b"},
        f"todo/{ID}": {"text": "c", "at": EARLY},
    }
    assert told_of(records, "newest") == EARLY


def test_ages_count_to_the_newest_time_where_no_other_is_given():
    records = {
        "fact/height": {"entry": {"value": "12"}, "origin": ORIGIN, "at": EARLY},
        "about/where": {"text": "a", "at": LATE},
    }
    assert told_of(records, "facts")[0]["age"] == "1 h before"
    (fact,) = told_of(records, "facts", now="2026-05-14T10:30:00Z")
    assert fact["age"] == "2 h before"


@pytest.mark.parametrize(
    ("later", "words"),
    [
        ("2026-05-14T06:06:11Z", "just then"),
        ("2026-05-14T06:06:12Z", "1 min before"),
        ("2026-05-14T07:05:12Z", "1 h before"),
        ("2026-05-14T08:05:11Z", "1 h before"),
        ("2026-05-16T06:05:11Z", "1 day before"),
        ("2026-05-16T06:05:12Z", "2 days before"),
    ],
)
def test_an_age_turns_to_the_next_word_at_its_very_end(later, words):
    assert since_words(AT, later) == words


def test_a_fact_without_a_time_or_a_band_has_empty_texts():
    records = {"fact/height": {"entry": {"value": "12"}, "origin": ORIGIN}}
    (fact,) = told_of(records, "facts")
    assert (fact["at"], fact["at_text"], fact["age"]) == ("", "", "")
    assert fact["entry"] == {"value": "12", "unit": "", "pm": ""}
    assert fact["before"] == []
    assert fact["stale"] is False


def test_facts_of_another_edition_stand_last_by_name_and_options_as_typed():
    def record(value):
        return {"entry": {"value": value}, "origin": ORIGIN}

    records = {
        f"fact/{name}": record("x") for name in ("zinc", "apples", "height", "colour_of_the_door")
    }
    records["fact/fluid"] = record("brine of old")
    found = told_of(records, "facts")
    names = ["height", "fluid", "apples", "colour_of_the_door", "zinc"]
    assert [fact["name"] for fact in found] == names
    assert [fact["known"] for fact in found] == [True, True, False, False, False]
    assert found[1]["text"] == "brine of old"
    assert found[3]["label"] == "colour of the door"


def test_a_found_fact_rests_only_on_what_its_own_calculator_took():
    fact = {"entry": {"value": "1"}, "origin": ORIGIN | {"how": "found"}, "at": EARLY}
    later = {"entry": {"value": "12"}, "origin": ORIGIN, "at": LATE}

    def stale(**entries):
        records = {"fact/charge": fact, "fact/height": later, "fact/relief": later | {"at": ""}}
        records |= {f"entries/{key.replace('_', '-')}": one for key, one in entries.items()}
        return next(f["stale"] for f in told_of(records, "facts") if f["name"] == "charge")

    def taking(*names):
        return {"values": {}, "taken": {name: name for name in names}}

    assert stale(pre_charge=taking("relief", "height"))
    assert not stale()
    assert not stale(pre_charge={"values": {}})
    assert not stale(pre_charge=taking("relief"))
    assert not stale(pre_charge=taking("site_pressure"))
    assert not stale(vessel_size=taking("height"))


def test_a_reading_of_nothing_is_empty_all_over():
    (found,) = told_of({f"reading/{ID}": {"gauge": {"value": " ", "unit": "bar"}}}, "readings")
    assert found == {
        "id": ID,
        "at": "",
        "at_text": "",
        "values": {},
        "pump": "",
        "pump_text": "",
        "note": "",
    }


def test_readings_of_one_moment_stand_by_their_ids():
    records = {f"reading/{sign * 16}": {"at": AT} for sign in "cab"}
    assert [r["id"][0] for r in told_of(records, "readings")] == ["a", "b", "c"]


def test_a_step_of_another_edition_is_named_by_its_key():
    records = {"step/survey/look": {"kind": "step"}}
    (page,) = told_of(records, "pages")
    assert (page["page"], page["title"], page["ticked"]) == ("survey", "survey", 0)
    (step,) = page["steps"]
    assert step == {
        "key": "step/survey/look",
        "step": "look",
        "text": "look",
        "kind": "step",
        "ticked": False,
        "answer": "",
        "note": "",
        "photos": [],
        "at": "",
        "at_text": "",
    }


def test_steps_stand_in_order_of_time_and_then_of_their_keys():
    def step(at, **more):
        return {"kind": "step", "at": at, "page_title": "", **more}

    records = {
        "step/a/two": step(LATE, ticked=True),
        "step/a/three": step(LATE, ticked=True),
        # The only one that knows what its page is called.
        "step/a/one": step(EARLY, page_title="Page A"),
        "step/b/only": step(EARLY),
        "step/0/none": step(""),
    }
    pages = told_of(records, "pages")
    assert [page["page"] for page in pages] == ["a", "b", "0"]
    assert [step["step"] for step in pages[0]["steps"]] == ["one", "three", "two"]
    assert (pages[0]["title"], pages[0]["ticked"]) == ("Page A", 2)


def test_what_is_to_do_stands_by_whom_then_open_first_then_by_time():
    def todo(whom, done, at):
        return {"text": f"{whom} {done} {at}", "for": whom, "done": done, "at": at}

    wanted = [
        todo("us", False, EARLY),
        todo("us", False, LATE),
        todo("us", True, EARLY),
        todo("owner", False, LATE),
        todo("licensed", False, EARLY),
    ]
    # Ids against the order, so that it is not theirs.
    records = {f"todo/{number:016x}": one for number, one in enumerate(reversed(wanted))}
    assert [todo["text"] for todo in told_of(records, "todos")] == [one["text"] for one in wanted]
    same = {f"todo/{sign * 16}": {"text": sign} for sign in "ba"}
    found = told_of(same, "todos")
    assert [todo["text"] for todo in found] == ["a", "b"]
    assert found[0] == {"id": "a" * 16, "text": "a", "for": "us", "done": False, "at": ""}
    assert told_of(same, "licensed") == []


def test_a_licensed_person_is_told_what_is_done_already():
    records = {f"todo/{ID}": {"text": "Confirm", "for": "licensed", "done": True}}
    assert told_of(records, "licensed") == [
        {"text": "Confirm", "why": "put on the list", "done": True}
    ]


def test_kept_results_stand_by_phase_then_by_time_then_by_id(pins):
    _, pin = pins["pre-charge"]
    wanted = [("found", LATE), ("option", EARLY), ("left", EARLY), ("left", LATE), ("left", "")]
    records = {
        f"pin/{number:016x}": pin | {"phase": phase, "at": at}
        for number, (phase, at) in enumerate(reversed(wanted))
    }
    found = told_of(records, "pins")
    assert [(one["phase"], one["at"]) for one in found] == wanted
    same = {f"pin/{sign * 16}": pin for sign in "ba"}
    assert [one["id"][0] for one in told_of(same, "pins")] == ["a", "b"]


def test_a_kept_result_of_few_parts_is_named_by_what_it_has():
    pin = {
        "calculator": "tea-strength",
        "phase": "option",
        "system": "us",
        "inputs": {"leaves": "3"},
        "results": [{"name": "colour", "text": "dark", "value": "dark"}],
        "checks": [{"id": "too-strong", "status": "caution"}],
    }
    found = recounted(f"pin/{ID}", pin)
    assert (found["title"], found["note"], found["at"], found["at_text"]) == (
        "tea-strength",
        "",
        "",
        "",
    )
    assert (found["system"], found["recorded_inputs"]) == ("us", {"leaves": "3"})
    assert found["inputs"] == [
        {"name": "leaves", "label": "leaves", "text": "3", "origin": "given"}
    ]
    (result,) = found["results"]
    assert (result["label"], result["headline"], result["difference"]) == ("colour", False, "")
    assert (result["now"], result["shown"], result["same"]) == (None, "dark", False)
    assert result["recorded"] == {
        "text": "dark",
        "value": "dark",
        "unit": "",
        "plus_minus_text": "",
    }
    (check,) = found["checks"]
    assert (check["label"], check["message"], check["now"]) == ("too-strong", "", None)
    assert (found["answer"], found["errors"], found["left_out"]) == (None, [], [])
    named = recounted(f"pin/{ID}", pin | {"title": "Tea", "note": "hot", "at": AT})
    assert (named["title"], named["note"], named["at_text"]) == (
        "Tea",
        "hot",
        "14 May 2026, 08:05",
    )


def test_fields_that_are_left_out_are_named_in_order(pins):
    key, pin = pins["pre-charge"]
    pin["inputs"] |= dict.fromkeys(["sugar", "milk", "tea", "water", "cups", "leaves"], "1")
    assert recounted(key, pin)["left_out"] == ["cups", "leaves", "milk", "sugar", "tea", "water"]


def test_a_check_that_is_new_in_this_edition_is_told(pins):
    key, pin = pins["relief-margin"]
    gone = next(check for check in pin["checks"] if check["id"] == "margin")
    pin["checks"].remove(gone)
    found = recounted(key, pin)
    assert found["differences"] == [
        f"{gone['label']}: recorded “nothing”, now “{gone['status']}”. {REASON}"
    ]
    (told,) = [check for check in found["checks"] if not check["same"]]
    assert (told["id"], told["recorded"]) == ("margin", "")


def test_a_difference_says_of_which_kept_result_it_is(pins):
    key, pin = pins["pre-charge"]
    pin["results"][0] |= {"value": "1.2", "text": "1.20\xa0bar g"}
    other, second = pins["cool-down"]
    found = book(job({key: pin, other: second}))
    (difference,) = found["differences"]
    assert not found["same"]
    assert difference["pin"] == key.partition("/")[2]
    assert (difference["title"], difference["phase"]) == ("Pre-charge and cold fill", pin["phase"])
    assert "recorded 1.20" in plain(difference["message"])


def test_what_is_as_good_as_zero_is_the_same_as_zero():
    """Beside zero the first twelve decimals count, beside one the first nine."""
    zero = {"value": "0", "unit": "bar", "text": "0.00 bar", "plus_minus_text": ""}
    assert same_number(zero | {"value": "9e-13"}, zero)
    assert not same_number(zero | {"value": "2e-12"}, zero)
    one = zero | {"value": "1"}
    assert same_number(one | {"value": "1.0000000009"}, one)
    assert not same_number(one | {"value": "1.0000000012"}, one)
    assert same_number(zero | {"value": "dark"}, zero | {"value": "dark"})
    assert not same_number(zero | {"value": "dark"}, zero | {"value": "light"})


def test_checks_that_did_not_pass_say_whose_they_are(larch):
    found = book(larch)
    pins_by_id = {pin["id"]: pin for pin in found["pins"]}
    assert found["checks_not_passed"]
    for told in found["checks_not_passed"]:
        pin = pins_by_id[told["pin"]]
        check = next(check for check in pin["checks"] if check["id"] == told["id"])
        for part in ("calculator", "title", "phase"):
            assert told[part] == pin[part]
        for part in ("label", "status", "message", "source"):
            assert told[part] == check[part]


def test_what_is_about_a_job_stands_in_the_order_of_the_sheet_without_blanks():
    records = {f"about/{name}": {"text": f"<{name}>"} for name in sorted(ABOUT)}
    records["about/owner"] = {"text": " \n"}
    found = told_of(records, "about")
    assert [one["name"] for one in found] == [name for name in ABOUT if name != "owner"]
    assert found[0] == {"name": "where", "label": "Place", "text": "<where>", "at": ""}


def test_photos_and_unknown_records_are_listed_in_order():
    jpeg = "/9j/"
    whole = job({"weather/b": "rain", "about/mood": {"text": "x"}, "about/where": {"text": "x"}})
    whole["photos"] = {"b" * 16: jpeg, "a" * 16: jpeg}
    found = book(whole)
    assert found["photos"] == ["a" * 16, "b" * 16]
    assert found["unknown"] == ["about/mood", "weather/b"]


# Lines and rows of it.


def rows_of(records, first, system="si"):
    rows = csv.reader(io.StringIO(csv_text(job(records), system)))
    return [row for row in rows if row[0].startswith(first)]


def test_a_row_of_each_kind_has_each_value_in_its_place():
    records = {
        "about/where": {"text": "Basement", "at": AT},
        "fact/relief": {
            "entry": {"value": "3", "unit": "bar", "pm": "0.1"},
            "origin": ORIGIN,
            "at": AT,
        },
        f"todo/{ID}": {"text": "Order", "for": "owner", "done": True, "at": AT},
        "step/survey/ask": {"kind": "stop", "text": "Safe?", "answer": "no", "at": AT},
        "step/survey/do": {"kind": "step", "text": "Do it", "ticked": True, "note": "done so"},
    }
    assert rows_of(records, "job") == [["job", AT, "Plant room", "id", ID, "", "", ""]]
    assert rows_of(records, "about") == [["about", AT, "where", "Place", "Basement", "", "", ""]]
    (fact,) = rows_of(records, "fact")
    label = told_of(records, "facts")[0]["label"]
    note = "typed: Pre-charge and cold fill"
    assert fact == ["fact", AT, "relief", label, "3", "bar", "0.1", note]
    assert rows_of(records, "to do") == [["to do", AT, "owner", "Order", "yes", "", "", ""]]
    assert rows_of(records, "stop") == [["stop", AT, "survey", "Safe?", "no", "", "", ""]]
    assert rows_of(records, "step") == [["step", "", "survey", "Do it", "yes", "", "", "done so"]]


def test_a_row_of_a_result_that_is_not_worked_out_again_says_so():
    pin = {
        "calculator": "tea-strength",
        "phase": "option",
        "system": "si",
        "at": AT,
        "inputs": {"leaves": "3 g"},
        "results": [
            {
                "name": "mass",
                "label": "Mass",
                "text": "3 g",
                "value": "3",
                "unit": "g",
                "plus_minus_text": "0.5 g",
            }
        ],
    }
    entry, result = rows_of({f"pin/{ID}": pin}, "result")
    assert entry == ["result option, entry", AT, "tea-strength", "leaves", "3 g", "", "", ""]
    said = "recorded; not worked out again"
    assert result == ["result option", AT, "tea-strength", "Mass", "3", "g", "0.5", said]


def test_a_row_of_a_result_that_differs_has_the_new_value_and_the_reason(pins):
    key, pin = pins["pre-charge"]
    pin["results"][0] |= {"value": "1.2", "text": "1.20\xa0bar g"}
    row = next(row for row in rows_of({key: pin}, f"result {pin['phase']}") if "," not in row[0])
    assert (row[4], row[5]) == ("1.5", "bar")
    assert "recorded 1.20" in plain(row[7])
    right = [row for row in rows_of({key: pin}, "result") if "," not in row[0]][1:]
    assert {row[7] for row in right} == {""}


def test_lines_of_a_kept_result_have_its_phase_its_note_and_what_is_left_out(pins):
    key, pin = pins["pre-charge"]
    pin |= {"phase": "option", "note": "two\nlines", "at": ""}
    pin["inputs"]["sugar"] = "2"
    told = report_text(book(job({key: pin}))).split("\n")
    assert "Pre-charge and cold fill, as an option:" in told
    assert "  two / lines" in told
    assert "  “sugar” is kept and not used." in told
    assert not [line for line in told if "recorded otherwise" in line]
    pin["results"][0] |= {"value": "1.2", "text": "1.20\xa0bar g"}
    told = report_text(book(job({key: pin}))).split("\n")
    assert len([line for line in told if "recorded otherwise" in line]) == 1
    assert any(line.startswith("  Pre-charge and cold fill, as an option. ") for line in told)


def test_lines_of_readings_and_steps_say_what_is_wanting():
    gauge = {"value": "1.5", "unit": "bar", "pm": ""}
    records = {
        f"reading/{ID}": {"gauge": gauge, "pump": "off", "note": "by\nthe door"},
        "step/survey/ask": {"kind": "stop", "text": "Safe?", "answer": ""},
        "step/survey/do": {"kind": "step", "text": "Do it"},
        "step/survey/done": {"kind": "step", "text": "Done", "ticked": True},
    }
    told = [plain(line) for line in report_text(book(job(records))).split("\n")]
    assert "No time: Gauge 1.5 bar g; pump stopped; by / the door" in told
    assert "[stop: not answered] Safe?" in told
    assert "[open] Do it" in told
    assert "[done] Done" in told
    assert "No results were kept, so nothing was worked out again." in told
    assert "Facts of the site:" not in told
    assert "Left to do:" not in told


def test_a_stale_fact_is_called_so_in_its_line():
    records = {
        "fact/height": {"entry": {"value": "12"}, "origin": ORIGIN, "at": LATE},
        "fact/charge": {
            "entry": {"value": "1.5", "unit": "bar"},
            "origin": ORIGIN | {"how": "found"},
            "at": EARLY,
        },
        "entries/pre-charge": {"values": {}, "taken": {"height": "height"}},
    }
    lines = report_text(book(job(records))).split("\n")
    assert [("rests on" in line) for line in lines if line.startswith("  ")] == [False, True]


def test_an_entry_stays_as_typed_where_its_unit_fits_the_reader():
    entry = {"value": "1,50", "unit": "bar", "pm": "0,05"}
    assert entry_in(units.GAUGE_PRESSURE, entry, "si") == entry
    kilopascal = {"value": "150", "unit": "kPa", "pm": ""}
    assert entry_in(units.GAUGE_PRESSURE, kilopascal, "si") == kilopascal
    # 150 kPa / 6.894757 kPa (NIST SP 811)
    assert entry_words(units.GAUGE_PRESSURE, kilopascal, "us") == "21.8\xa0psig"
    assert entry_in(units.GAUGE_PRESSURE, kilopascal, "") == kilopascal
    # A number without a kind of its own, or of a kind without units, is nobody's to move.
    assert entry_words(None, {"value": "3", "unit": "bar", "pm": "1"}, "us") == "3 ± 1 bar"
    assert entry_words(units.ACIDITY, {"value": "8.60", "pm": "0.1"}, "us") == "8.60 ± 0.1"


def test_lines_of_a_kept_result_are_in_the_units_of_the_reader(pins):
    """1.50 bar are 21.8 psi (1 psi = 6894.757 Pa, NIST SP 811)."""
    key, pin = pins["pre-charge"]
    label = pin["results"][0]["label"]
    for system, words in (("si", "1.50 bar g"), ("us", "21.8 psig")):
        told = [plain(line) for line in report_text(book(job({key: pin}), system)).split("\n")]
        assert f"{label}: {words}" in told

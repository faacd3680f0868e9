"""The report of a job: every part, both unit systems, and nothing of a stranger's job as markup."""

import copy
import json
import re
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pytest

import view
from calc import jobfile, units
from calc.calculators import calculator
from calc.job import book
from calc.job.changes import changed_facts, changed_results, difference_words
from calc.job.entered import entries_in_words
from view import edition
from view.report import report

NOW = "2026-05-14T21:00:00+02:00"
LARCH = Path(__file__).parent / "data" / "larch-street.job.json"
PARTS = (
    "words unsettled todo changes settings faults options readings steps results sources sign"
).split()
HOSTILE = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>\u202e&amp;"
VOID = {"br", "hr", "img", "input", "wbr"}


@pytest.fixture(scope="module")
def larch():
    job, notes = jobfile.read(LARCH.read_text(encoding="utf-8"))
    assert notes == []
    return job


def job(records, photos=()):
    return {
        "id": "00000000000000aa",
        "name": "Plant room",
        "created": "2026-05-14T08:00:00+02:00",
        "records": records,
        "photos": dict.fromkeys(photos, "/9j/"),
    }


def made(one, system="si", now=NOW):
    return report(book(one, system, now), one, now)


class Tree(HTMLParser):
    """Checks that every element is closed in order, and gathers what the tests ask about."""

    def __init__(self, text):
        super().__init__()
        self.open, self.tags, self.attributes, self.headings, self.words = [], [], [], [], []
        self.tables = []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += attrs
        if re.fullmatch("h[1-6]", tag):
            self.headings.append([int(tag[1]), ""])
        if tag == "table":
            self.tables.append([])
        if tag in ("th", "td") and self.tables:
            self.tables[-1].append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.words.append(data)
        if self.open and re.fullmatch("h[1-6]", self.open[-1]):
            self.headings[-1][1] += data

    @property
    def text(self):
        return re.sub(r"\s+", " ", " ".join(self.words)).replace("\xa0", " ")

    def named(self, name):
        return [value for attribute, value in self.attributes if attribute == name]


def tree(one, system="si"):
    return Tree(made(one, system))


def part(one, name, system="si"):
    """Return the text of one part."""
    text = made(one, system)
    begins = text.index(f'data-part="{name}"')
    ends = text.find('<section class="rp-part', begins)
    cut = text[text.rindex("<", 0, begins) : ends if ends > 0 else text.index("<footer")]
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", cut)).replace("\xa0", " ")


# ---- the example


@pytest.mark.parametrize("system", ["si", "us"])
def test_the_example_has_every_part_in_order(larch, system):
    found = [name for name in tree(larch, system).named("data-part") if name in PARTS]
    assert found == PARTS


@pytest.mark.parametrize("system", ["si", "us"])
def test_headings_go_down_one_level_at_a_time_and_ids_stand_once(larch, system):
    found = tree(larch, system)
    levels = [level for level, _ in found.headings]
    assert levels[0] == 2
    assert all(after <= before + 1 for before, after in pairwise(levels))
    assert all(words.strip() for _, words in found.headings)
    ids = found.named("id")
    assert len(ids) == len(set(ids))
    for wanted in " ".join(found.named("aria-labelledby")).split():
        assert wanted in ids


def test_every_table_has_heads_that_say_of_what(larch):
    tables = tree(larch).tables
    assert len(tables) > 20
    for cells in tables:
        heads = [attributes for tag, attributes in cells if tag == "th"]
        assert heads
        assert {head.get("scope") for head in heads} <= {"col", "row"}


def test_the_head_says_who_where_and_when(larch):
    text = tree(larch).text
    for words in (
        "Basement plant room, Larch Street Library",
        "LSL-2026-05",
        "Day shift, two people",
        "The library's caretaker",
        "14 May 2026, 21:00",
        "Wet floor under the relief valve's discharge",
    ):
        assert words in text


def test_before_and_after_stand_side_by_side_with_their_difference(larch):
    text = part(larch, "changes")
    assert re.search(r"Charge of the vessel 0\.7 bar g 1\.5 bar g \+0\.80 bar", text)
    assert re.search(r"Volume of the vessel 200 L 250 L \+50\.0 L", text)
    # What was recorded on the day: -0.48 bar and 0.60 bar, so 1.08 bar more.
    assert re.search(r"Margin at the valve −0\.48 bar ± 0\.07 bar 0\.60 bar \+1\.08 bar", text)
    us = part(larch, "changes", "us")
    assert re.search(r"Charge of the vessel 10\.2 psig 21\.8 psig \+11\.6 psi", us)


def test_settings_say_where_they_come_from_and_what_they_were(larch):
    text = part(larch, "settings")
    assert re.search(r"Water in the system 1750\.1 ± 39 L worked out by System water volume", text)
    assert "Before: 11 m, 14 May 2026, 06:50" in text


def test_steps_have_time_note_and_answer(larch):
    text = part(larch, "steps")
    assert re.search(r"✓ Measure the height\. done, 14 May 2026, 07:05 By the stairwell", text)
    assert re.search(r"Stop: both sides at zero yes, safe, 14 May 2026, 14:40", text)
    assert re.search(r"Agree the next look\. not done", text)


def test_photos_are_places_for_whoever_has_the_pictures(larch):
    found = tree(larch)
    assert found.named("data-photo") == ["9f80cb3c9f1c85cf"]
    assert "img" not in found.tags
    assert "Photo 1: Read every plate and photograph it." in found.text


def test_every_kept_result_stands_with_its_working_and_its_sources(larch):
    text = made(larch)
    kept = [key for key in larch["records"] if key.startswith("pin/")]
    assert len(kept) == 12
    for key in kept:
        assert text.count(f'data-key="{key[4:]}"') >= 1
    assert text.count('class="lc-steps"') == 12
    assert text.count("Worked out again: the same as recorded.") == 12
    assert "came out the same as recorded" in text
    listed = part(larch, "sources")
    for one in ("EN 12828", "published", "from memory"):
        assert one in listed


def test_the_verdict_on_a_cause_is_no_check_that_was_not_passed(larch):
    text = part(larch, "faults")
    assert "Relief valve margin, Margin below the relief valve: Not acceptable." in text
    assert "Charge lost" not in text


def test_what_is_left_to_do_is_listed_by_whom(larch):
    text = part(larch, "todo")
    assert re.search(r"Whoever did the work Open: .*A licensed person|The owner Open: ", text)
    assert "✓ Done: Hang the record by the boiler." in text
    assert "Confirm that the relief valve's capacity fits both boilers." in part(larch, "unsettled")


def test_the_foot_names_the_book_its_edition_and_who_decides(larch):
    text = tree(larch).text
    assert re.fullmatch("[0-9a-f]{12}", edition.EDITION)
    assert f"Made with The Cold Fill Handbook, edition {edition.EDITION}." in text
    assert "not authorisation" in text


def test_the_deferral_is_that_of_the_pages(larch):
    hazards = Path(__file__).parents[1] / "docs" / "hazards.toml"
    tomllib = pytest.importorskip("tomllib")
    if not hazards.exists():
        pytest.skip("the pages are not here")
    short = tomllib.loads(hazards.read_text(encoding="utf-8"))["deferral"]["short"]
    assert short in tree(larch).text


# ---- what is not as it should be


def changed(larch, key, **changes):
    other = copy.deepcopy(larch)
    other["records"][key].update(changes)
    return other


def test_a_stop_without_a_yes_is_told_first(larch):
    key, stop = next((k, r) for k, r in larch["records"].items() if r.get("kind") == "stop")
    for answer, words in (("no", "answered no."), ("", "not answered.")):
        one = changed(larch, key, answer=answer)
        text = part(one, "unsettled")
        assert "Stops without a yes" in text
        verdict = "Not acceptable." if answer else "Take care."
        assert f"{stop['page_title']}, {stop['text']}: {verdict} {words}" in text
    assert "Stops without a yes" not in part(larch, "unsettled")


def test_a_number_that_does_not_come_out_again_is_told_everywhere(larch):
    key = "pin/1a738b484345cda0"
    one = copy.deepcopy(larch)
    result = next(r for r in one["records"][key]["results"] if r["name"] == "margin")
    result |= {"value": "0.9", "text": "0.90 bar"}
    text = made(one)
    assert "Worked out again: not the same as recorded." in text
    assert "came out the same as recorded" not in text
    assert re.search(r"recorded 0\.90 bar, now 0\.60", text.replace("\xa0", " "))
    assert "Numbers that do not come out as recorded" in part(one, "unsettled")


def test_a_result_of_an_unknown_calculator_stands_as_recorded(larch):
    one = changed(larch, "pin/1a738b484345cda0", calculator="not-here")
    text = made(one).replace("\xa0", " ")
    assert "This edition has no calculator “not-here”" in text
    assert "0.60 bar" in text
    Tree(text)


def test_refused_entries_are_told_and_not_worked_out(larch):
    one = copy.deepcopy(larch)
    one["records"]["pin/1a738b484345cda0"]["inputs"]["altitude"] = "far up"
    assert "These entries are refused now." in Tree(made(one)).text


def test_a_stale_fact_is_marked(larch):
    one = copy.deepcopy(larch)
    one["records"]["fact/height"]["at"] = "2026-05-14T23:00:00+02:00"
    assert "Something it rests on has changed since then." in part(one, "settings")


def test_a_reading_that_cannot_be_read_is_told(larch):
    one = copy.deepcopy(larch)
    one["records"]["reading/1fe68f10d2299fe7"]["gauge"]["value"] = "about two"
    assert "Readings that cannot be read" in part(one, "readings")


# ---- little, and hostile


@pytest.mark.parametrize("system", ["si", "us"])
def test_an_empty_job_gives_a_short_honest_report(system):
    found = tree(job({}), system)
    assert "nothing to report" in found.text
    assert "not authorisation" in found.text
    assert set(found.named("data-part")) == {"empty"}
    assert len(found.text) < 900


def test_a_job_of_one_record_leaves_the_other_parts_out():
    one = job({"todo/00000000000000ab": {"text": "Come back."}})
    found = tree(one)
    shown = found.named("data-part")
    assert shown == ["unsettled", "todo", "sign"]
    assert "No stop without a yes" in found.text


def hostile(value, key=""):
    """Return a record with every free text hostile; what has to be of a kind stays."""
    if isinstance(value, dict):
        return {name: hostile(item, name) for name, item in value.items()}
    if isinstance(value, list):
        return [hostile(item, key) for item in value]
    kept = {"at", "kind", "answer", "pump", "how", "for", "phase", "system", "status", "photos"}
    return value if not isinstance(value, str) or key in kept else HOSTILE


@pytest.mark.parametrize("system", ["si", "us"])
@pytest.mark.parametrize("keep", ["", "calculator"])
def test_nothing_of_a_job_becomes_markup(larch, system, keep):
    one = copy.deepcopy(larch)
    one["name"] = HOSTILE[:200]
    for key, record in one["records"].items():
        changed_record = hostile(record)
        if keep == "calculator" and key.startswith("pin/"):
            # With the calculator known and its entries sound, the rest still is a stranger's.
            changed_record |= {name: record[name] for name in ("calculator", "inputs")}
            for now, was in zip(changed_record["results"], record["results"], strict=True):
                now["name"] = was["name"]
            for now, was in zip(changed_record["checks"], record["checks"], strict=True):
                now["id"] = was["id"]
        one["records"][key] = changed_record
    text = made(one, system)
    found = Tree(text)
    assert HOSTILE.count("\u202e") == 1
    assert "\u202e" not in text
    assert "⟨202E⟩" in text
    assert not {"script", "img", "iframe", "object", "style", "link"} & set(found.tags)
    assert not [name for name, _ in found.attributes if name.startswith("on")]
    assert "alert(1)" in found.text


@pytest.mark.parametrize("system", ["si", "us"])
def test_each_text_of_each_record_is_escaped_where_it_stands_alone(larch, system):
    """One hostile text at a time, so that none hides behind another one's refusal."""
    keys = [key for key in larch["records"] if not key.startswith("pin/")]
    for key in keys:
        one = copy.deepcopy(larch)
        one["records"] = {key: hostile(one["records"][key])}
        found = tree(one, system)
        assert not {"script", "img"} & set(found.tags), key
        assert not [name for name, _ in found.attributes if name.startswith("on")], key


def test_line_breaks_of_a_text_stay():
    one = job({"about/found": {"text": "First.\nSecond."}})
    assert "First.\nSecond." in made(one)


# ---- differences and entries


@pytest.mark.parametrize(
    ("old", "new", "kind", "unit", "words"),
    [
        (0.7e5, 1.5e5, units.GAUGE_PRESSURE, "bar", "+0.80 bar"),
        (1.5e5, 0.7e5, units.GAUGE_PRESSURE, "bar", "−0.80 bar"),
        (1.5e5, 1.5e5, units.GAUGE_PRESSURE, "bar", "the same"),
        (2.2149e5, 2.2151e5, units.GAUGE_PRESSURE, "bar", "less than 0.01 bar"),
        (283.15, 293.15, units.TEMPERATURE, "degC", "+10.0 K"),
        (283.15, 293.15, units.TEMPERATURE, "degF", "+18.0 °F"),
        # One step of the last figure is a number, to two figures as all small ones; less is none.
        (1.00e5, 1.01e5, units.GAUGE_PRESSURE, "kPa", "+1.0 kPa"),
        (1.01e5, 1.00e5, units.GAUGE_PRESSURE, "kPa", "−1.0 kPa"),
        (1.004e5, 1.006e5, units.GAUGE_PRESSURE, "kPa", "less than 1 kPa"),
        (1.006e5, 1.004e5, units.GAUGE_PRESSURE, "kPa", "less than 1 kPa"),
        # What has no unit has no blank behind its number.
        (7.0, 8.5, units.ACIDITY, "1", "+1.50"),
        (7.0049, 7.0051, units.ACIDITY, "1", "less than 0.01"),
    ],
)
def test_a_difference_is_told_with_its_sign_and_the_unit_of_a_difference(
    old, new, kind, unit, words
):
    assert difference_words(old, new, kind.unit(unit)) == words


def test_of_several_results_in_one_phase_the_latest_is_compared(larch):
    one = copy.deepcopy(larch)
    pin = copy.deepcopy(one["records"]["pin/1a738b484345cda0"])
    pin["at"] = "2026-05-15T08:00:00+02:00"
    one["records"]["pin/00000000000000ac"] = pin
    sides = changed_results(book(one)["pins"])
    margin = next(side for side in sides if side["calculator"] == "relief-margin")
    assert margin["left"]["id"] == "00000000000000ac"


def test_no_difference_is_made_up_where_one_side_cannot_be_worked_out_again(larch):
    one = copy.deepcopy(larch)
    one["records"]["pin/28b7bd7c48f1ecf8"]["inputs"]["altitude"] = "far up"
    sides = changed_results(book(one)["pins"])
    margin = next(side for side in sides if side["calculator"] == "relief-margin")
    assert {row["difference"] for row in margin["rows"]} == {""}
    assert margin["rows"][0]["found"]


def test_facts_are_compared_only_where_both_are_known(larch):
    one = copy.deepcopy(larch)
    del one["records"]["fact/found_charge"]
    labels = [row["label"] for row in changed_facts(book(one)["facts"])]
    assert labels == ["Volume of the vessel"]


def test_a_result_that_is_worked_out_again_for_one_side_only_moves_nowhere(larch):
    pins = [pin for pin in book(larch)["pins"] if pin["calculator"] == "pre-charge"]
    found, left = (copy.deepcopy(pins[0]) | {"phase": phase} for phase in ("found", "left"))
    (side,) = changed_results([found, left])
    row = next(row for row in side["rows"] if row["difference"])
    answer = left["answer"]["results"]
    answer[:] = [result for result in answer if result["name"] != row["name"]]
    (side,) = changed_results([found, left])
    assert [r["difference"] for r in side["rows"] if r["name"] == row["name"]] == [""]


def test_entries_stand_in_words_and_in_the_readers_units(larch):
    pins = {pin["id"]: pin for pin in book(larch)["pins"]}
    pin = next(p for p in pins.values() if p["calculator"] == "fill-and-purge")
    si = {one["label"]: one["text"] for one in entries_in_words(pin, "si")}
    us = {one["label"]: one["text"] for one in entries_in_words(pin, "us")}
    chosen = calculator("fill-and-purge")
    source = next(i for i in chosen.inputs if i.name == "source")
    assert si[source.label] in [option.label for option in source.options]
    assert si["Altitude of the site"] == "640 m"
    # 640 m / 0.3048 m
    assert us["Altitude of the site"] == "2099.7 ft"
    rows = next(text for text in si.values() if isinstance(text, list))
    assert any("Ground floor mains" in row for row in rows)


# ---- the request, and the table for spreadsheets


def test_the_report_comes_by_request(larch):
    request = {"op": "job-report", "job": larch, "system": "us", "now": NOW}
    answer = json.loads(view.respond(json.dumps(request)))
    assert set(answer) == {"html"}
    assert "psig" in answer["html"]
    assert "14 May 2026, 21:00" in answer["html"]


def test_a_job_that_is_not_sound_is_refused_with_a_sentence(larch):
    one = copy.deepcopy(larch)
    one["records"]["todo/1500877fb461fb59"]["done"] = "perhaps"
    answer = json.loads(view.respond(json.dumps({"op": "job-report", "job": one})))
    assert "html" not in answer
    assert answer["errors"][0]["message"].endswith(".")


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        # A spreadsheet set to semicolons takes no heed of quotes that stand within its cell.
        ("valve;=1+1", "valve;'=1+1"),
        ("two\n=1+1", '"two\n\'=1+1"'),
        ("＝1+1", "'＝1+1"),
        ("one; two - three", "one; two - three"),
    ],
)
def test_no_text_of_the_table_begins_a_formula_whatever_parts_its_columns(text, cell):
    request = {"op": "job-csv", "job": job({"todo/00000000000000ab": {"text": text}})}
    written = json.loads(view.respond(json.dumps(request)))["text"]
    assert f",us,{cell},no," in written


def test_a_plus_minus_stands_between_its_number_and_the_unit(larch):
    """The pin of the pre-charge was made from 11.4 m, give or take 0.1."""
    texts = {}
    for pin in book(larch)["pins"]:
        if pin["calculator"] == "pre-charge":
            for one in entries_in_words(pin, "si"):
                texts[one["label"]] = one["text"]
    told = [text for text in texts.values() if isinstance(text, str) and "±" in text]
    assert told
    for text in told:
        assert re.fullmatch(r"[\d.]+ ± [\d.]+ \S+( \S+)?", text), text


def test_a_result_that_only_one_side_kept_has_no_difference(larch):
    pins = [pin for pin in book(larch)["pins"] if pin["calculator"] == "pre-charge"]
    found, left = (copy.deepcopy(pins[0]) | {"phase": phase} for phase in ("found", "left"))
    gone = found["results"].pop(0)["name"]
    (side,) = changed_results([found, left])
    rows = {row["name"]: row for row in side["rows"]}
    assert rows[gone]["found"] == "" == rows[gone]["difference"]
    assert rows[gone]["left"]
    assert rows[left["results"][1]["name"]]["difference"] == "the same"


def side(found, left):
    """Return the only row of a calculator kept as found and as left with these results."""
    pins = [
        {
            "calculator": "pre-charge",
            "phase": phase,
            "title": f"Title {phase}",
            "results": [
                {"name": "charge", "label": phase, "headline": True, "shown": "", "recorded": {
                    "text": f"recorded {phase}"}}],
            "answer": result and {"results": [{"name": "charge", **result}]},
        }
        for phase, result in (("found", found), ("left", left))
    ]  # fmt: skip
    (found_side,) = changed_results(pins)
    assert found_side["title"] == "Title left"
    (row,) = found_side["rows"]
    assert (row["label"], row["found"], row["left"]) == ("left", "recorded found", "recorded left")
    assert row["headline"] is True
    return row["difference"]


def test_results_move_only_within_one_unit_and_one_kind():
    number = {"kind": "number", "unit": "bar", "value": 1.0, "text": "1"}
    word = {"kind": "text", "unit": "", "value": "a", "text": "a"}
    assert side(number, number | {"value": 1.5}) == "+0.50 bar"
    assert side(number, number) == "the same"
    assert side(number, number | {"unit": "psi"}) == ""
    assert side(None, number) == side(number, None) == side(None, None) == ""
    assert side(word, word) == "the same"
    assert side(word, word | {"text": "b"}) == "changed"
    assert side(word, number | {"unit": ""}) == side(number | {"unit": ""}, word) == "changed"


def test_a_calculator_kept_in_one_phase_only_has_nothing_beside_it(larch):
    pins = [pin for pin in book(larch)["pins"] if pin["calculator"] == "pre-charge"]
    assert changed_results([pins[0] | {"phase": "found"}]) == []
    assert changed_results([pins[0] | {"phase": "left"}]) == []
    two = [pins[0] | {"phase": "found"}, pins[0] | {"phase": "option"}]
    assert changed_results(two) == []


def met(was, now):
    origin = {"calculator": "pre-charge", "field": "charge", "how": "typed"}
    records = {
        "fact/found_charge": {"entry": was, "origin": origin},
        "fact/charge": {"entry": now, "origin": origin},
    }
    (row,) = changed_facts(book(job(records))["facts"])
    return row["difference"]


def test_what_stands_in_a_plant_moves_only_where_both_can_be_read():
    bar = {"value": "1.5", "unit": "bar", "pm": ""}
    assert met(bar, bar | {"value": "1.8"}).replace("\xa0", " ") == "+0.30 bar"
    assert met(bar, bar) == "the same"
    for other in ({"value": "", "unit": "bar"}, {"value": "plenty", "unit": "bar"}):
        assert met(bar, bar | other) == ""
        assert met(bar | other, bar) == ""


def entered(inputs, calculator="pre-charge", system="si", shown="si"):
    pin = {
        "calculator": calculator,
        "phase": "left",
        "system": system,
        "inputs": inputs,
        "results": [],
    }
    (told,) = book(job({"pin/00000000000000aa": pin}))["pins"]
    return [(one["label"], one["text"]) for one in entries_in_words(told, shown)]


def test_entries_of_another_edition_stand_by_name_without_blanks():
    kept = {"leaves": "3 g", "sugar": " ", "milk": "no"}
    assert entered(kept, "tea-strength") == [("leaves", "3 g"), ("milk", "no")]


def test_a_choice_that_is_none_of_the_options_stands_as_it_was_kept():
    """Another edition may have had it."""
    assert ("How the cold fill follows from the charge", "by moonlight") in entered(
        {"practice": "by moonlight"}
    )


def test_what_cannot_be_read_stands_as_it_was_typed():
    kept = {"height": "eleven"}
    assert ("Height from vessel to highest point", "eleven") in entered(kept)


def test_a_row_of_a_table_stands_with_its_name_and_without_its_blanks():
    kept = {"cases": "Old | 200 L | 1.5 bar | 1.6 bar; | 80 L | | "}
    (rows,) = [text for _, text in entered(kept, "pressure-trace")]
    assert rows == ["Old, 200 L, 1.5 bar g, 1.6 bar g", "80 L"]


def test_entries_stand_in_the_units_they_were_kept_in_until_another_is_asked_for():
    """31 ft are 9.4488 m (1 ft = 0.3048 m)."""
    label = "Height from vessel to highest point"
    assert dict(entered({"height": "31"}, system="us", shown="us"))[label] == "31 ft"
    told = dict(entered({"height": "31"}, system="us", shown="si"))[label]
    number, unit = told.split()
    assert (float(number), unit) == (pytest.approx(9.4488, abs=1e-3), "m")
    assert label not in dict(entered({"height": " "}))

"""Files of assignments and results: one text each, each refusal with its sentence."""

import copy
import hashlib
import json
import random
import re
import sys
import time
from pathlib import Path

import pytest

from calc.files import opened
from calc.files.canon import FileRefusal, canonical
from calc.files.shapes import LONGEST_TEXT
from calc.training import assignment as assignments
from calc.training import catalogue, coursefile, results
from calc.training.places import PLACES
from calc.training.seeds import seed_of

ID = "0123456789abcdef"
AT = "2026-05-14T08:05:12+02:00"
AGAIN = " Ask for the file again."
RTL = "\N{RIGHT-TO-LEFT OVERRIDE}"
FAMILY, LEVEL = "pre-charge", "first"
DRILL = next(iter(catalogue.drills()))
INPUTS = {"calculator": "pre-charge", "system": "us", "values": {"height": "31.5 ft"}}


def assignment(*items, **parts):
    found = {
        "id": ID,
        "title": "Week 3: set the charge",
        "note": "Bring a gauge.",
        "due": "2026-12-01",
        "system": "us",
        "seed": 17,
        "same": False,
        "pass": 70,
        "counts": "first",
        "items": list(items)
        or [
            {"kind": "page", "page": "set-the-pre-charge", "inputs": INPUTS},
            {"kind": "problems", "family": FAMILY, "level": LEVEL, "count": 2},
            {"kind": "drill", "drill": DRILL},
            {"kind": "checklist", "page": "survey"},
        ],
    }
    return found | parts


def result(task=None, trainee="Ana Lopez", **parts):
    """Return a result with one answer to the first problem and one act in the first drill."""
    task = assignment() if task is None else task
    items = []
    for item, wanted in zip(task["items"], assignments.tasks(task, trainee), strict=True):
        done = {"kind": item["kind"], "done": True, "attempts": []}
        if item["kind"] == "problems":
            answers = {"charge": {"value": "17.5", "unit": "psi"}}
            done["attempts"] = [{"problem": wanted[0], "answers": answers, "at": AT}]
        if item["kind"] == "drill":
            acts = [{"do": "read-gauge", "values": {}}]
            done["attempts"] = [{"drill": wanted[0], "actions": acts, "diagnosis": [], "at": AT}]
        items.append(done)
    found = {"assignment": task, "trainee": trainee, "began": AT, "ended": AT, "items": items}
    return found | parts


def sealed(body, name="assignment", **parts):
    """Return a file as another program would write it, with a checksum that fits."""
    text = json.dumps(body, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    digest = hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()
    whole = {"format": f"cold-fill-{name}", "version": 1, "checksum": f"sha256:{digest}"}
    return json.dumps(whole | {name: body} | parts)


def refusal(text, read=coursefile.read_assignment):
    with pytest.raises(FileRefusal) as refused:
        read(text)
    return refused.value.message


def refused_here(body, write=coursefile.write_assignment):
    """Return (part, sentence) of refusing to write what a page holds."""
    with pytest.raises(FileRefusal) as refused:
        write(body)
    return refused.value.field, refused.value.message


# There and back.


def test_an_assignment_comes_back_as_it_was_written():
    found = assignment(title='Été "3" \\ <b>&\n😀', note=f"a{RTL}b\x00")
    text, notes = coursefile.write_assignment(found)
    assert notes == []
    assert coursefile.read_assignment(text) == (found, [])
    assert coursefile.read_assignment(json.dumps(json.loads(text), indent=4)) == (found, [])
    assert coursefile.read_assignment("\ufeff" + text) == (found, [])
    assert text.isprintable() is False
    assert json.loads(text)["assignment"] == found


def test_a_result_comes_back_as_it_was_written():
    found = result()
    text = coursefile.write_result(found)
    assert coursefile.read_result(text) == found
    assert coursefile.read_result(sealed(found, "result")) == found


def test_what_may_be_left_out_is_filled_in_and_the_checksum_is_of_the_file():
    short = assignment()
    for name in ("note", "due", "same", "pass", "counts"):
        del short[name]
    found, _ = coursefile.read_assignment(sealed(short))
    assert found == short | {"note": "", "due": "", "same": False, "pass": 70, "counts": "first"}
    done = {"assignment": short, "trainee": "Ana", "items": [{"kind": "page"}]}
    done["assignment"] = short | {"items": [{"kind": "page", "page": "survey"}]}
    read = coursefile.read_result(sealed(done, "result"))
    assert read["items"] == [{"kind": "page", "done": False, "attempts": []}]
    assert (read["began"], read["ended"]) == ("", "")


def test_a_diagnosis_that_was_not_made_is_left_out():
    found = result()
    found["items"][2]["attempts"][0]["diagnosis"] = None
    read = coursefile.read_result(coursefile.write_result(found))
    assert "diagnosis" not in read["items"][2]["attempts"][0]


def test_the_canonical_text_holds_whole_numbers_as_every_program_writes_them():
    assert canonical({"b": 2**53 - 1, "a": 0}, numbers=True) == '{"a":0,"b":9007199254740991}'
    for value in (-1, 2**53, 1.0, None):
        with pytest.raises(FileRefusal):
            canonical([value], numbers=True)
    with pytest.raises(FileRefusal):
        canonical([1])


def test_numbers_that_cannot_be_worked_out_are_told():
    item = {"kind": "page", "page": "set-the-pre-charge"}
    bent = INPUTS | {"values": {"height": "minus ten"}}
    _, notes = coursefile.write_assignment(assignment(item | {"inputs": bent}))
    assert len(notes) == 1
    assert notes[0].startswith("The numbers set on “Set the pre-charge” cannot be worked out: ")


# Refusals, each with its sentence.

SHORT = assignment({"kind": "page", "page": "survey"})
PROBLEMS = {"kind": "problems", "family": FAMILY, "level": LEVEL, "count": 2}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", opened.EMPTY),
        (None, coursefile.ASSIGNMENT.not_text),
        ("not JSON", coursefile.ASSIGNMENT.not_ours),
        ("[" * 200_000, coursefile.ASSIGNMENT.not_ours),
        ('{"format":"cold-fill-job","version":1}', coursefile.ASSIGNMENT.not_ours),
        ('{"format":"cold-fill-assignment","version":1,"assi', opened.CUT),
        ('{"format":"cold-fill-assignment","version":2}', opened.NEWER),
        ('{"format":"cold-fill-assignment","version":1,"version":1}', opened.TWICE),
        ('{"format":"cold-fill-assignment","x":NaN}', opened.CUT),
        (
            '{"format":"cold-fill-assignment","version":1}',
            "The file has to hold format, version, checksum and assignment, and nothing else."
            + AGAIN,
        ),
        ('{"format":"cold-fill-assignment","x":"' + "x" * 400_000 + '"}', "This file is too big"),
        ('{"format":"cold-fill-assignment","x":[' + "1," * 20_000 + "1]}", "This file is too big"),
        (sealed(SHORT, checksum="sha256:" + "0" * 64), coursefile.CHANGED),
        (sealed(SHORT).replace("Week 3", "Week 4"), coursefile.CHANGED),
        (sealed(SHORT | {"seed": 1.5}), "In the assignment, “seed” has to be a whole number"),
    ],
)
def test_what_is_no_sound_file_is_refused_in_plain_words(text, said):
    assert refusal(text).startswith(said)


def test_one_kind_of_file_is_told_from_the_other():
    task, _ = coursefile.write_assignment(assignment())
    done = coursefile.write_result(result())
    assert refusal(done) == coursefile.MISTAKEN["cold-fill-result"]
    assert refusal(task, coursefile.read_result) == coursefile.MISTAKEN["cold-fill-assignment"]


@pytest.mark.parametrize(
    ("parts", "field", "said"),
    [
        ({"id": "12"}, "id", "“id” has to be 16 digits of 0-9 and a-f."),
        ({"title": " "}, "title", "“title” is empty. Give the assignment a title."),
        ({"title": "x" * 201}, "title", "“title” is longer than 200 letters."),
        ({"title": 3}, "title", "“title” has to be a text."),
        ({"note": "x" * 2001}, "note", "“note” is longer than 2000 letters."),
        ({"due": "tomorrow"}, "due", "“due” has to be a day such as 2026-05-14."),
        ({"due": "2026-02-30"}, "due", "“due” has to be a day such as 2026-05-14."),
        ({"system": "imperial"}, "system", "“system” has to be one of “si”, “us”."),
        ({"seed": -1}, "seed", "“seed” has to be a whole number from 0 to 9007199254740991."),
        ({"seed": 2**53}, "seed", "“seed” has to be a whole number from 0 to 9007199254740991."),
        ({"seed": True}, "seed", "“seed” has to be a whole number from 0 to 9007199254740991."),
        ({"pass": 101}, "pass", "“pass” has to be a whole number from 0 to 100."),
        ({"same": "yes"}, "same", "“same” has to be true or false."),
        ({"counts": "best"}, "counts", "“counts” has to be one of “first”, “last”."),
        ({"items": []}, "items", "“items” is empty. Add a page, problems or a drill."),
        ({"items": {}}, "items", "“items” has to be a list."),
        ({"items": [PROBLEMS] * 41}, "items", "“items” holds more than 40."),
        ({"items": [PROBLEMS | {"count": 20}] * 4}, "items", "“items” hold 80 problems; 60 are"),
        ({"items": [{"kind": "drill", "drill": DRILL}] * 11}, "items", "“items” hold more than 10"),
        ({"script": "x"}, "script", "“script” is a part that version 1 of the format does not"),
    ],
)
def test_each_part_of_an_assignment_that_is_wrong_is_named(parts, field, said):
    part, sentence = refused_here(assignment(**parts))
    assert part == field
    assert sentence.startswith(f"In the assignment, {said}")


@pytest.mark.parametrize(
    ("item", "field", "said"),
    [
        ({"kind": "film"}, "kind", "“kind” has to be one of “page”, “problems”, “drill”, “chec"),
        ({"kind": "page"}, "page", "“page” is missing."),
        ({"kind": "page", "page": "javascript:alert(1)"}, "page", "“page” is a page that this ed"),
        ({"kind": "page", "page": "../survey"}, "page", "“page” is a page that this edition of"),
        ({"kind": "page", "page": "survey", "more": ""}, "more", "“more” is a part that version 1"),
        ({"kind": "checklist", "page": "glossary"}, "page", "“page” is a page without steps to"),
        (
            {"kind": "page", "page": "survey", "inputs": INPUTS},
            "inputs.calculator",
            "“inputs.calculator” is a calculator that does not stand on this page.",
        ),
        (
            {
                "kind": "page",
                "page": "set-the-pre-charge",
                "inputs": INPUTS | {"values": {"sugar": "2"}},
            },
            "inputs.values.sugar",
            "“inputs.values.sugar” is no field of this calculator.",
        ),
        (
            {
                "kind": "page",
                "page": "set-the-pre-charge",
                "inputs": INPUTS | {"values": {"height": 3}},
            },
            "inputs.values.height",
            "“inputs.values.height” has to be a text.",
        ),
        (PROBLEMS | {"count": 0}, "count", "“count” has to be a whole number from 1 to 20."),
        (PROBLEMS | {"count": 21}, "count", "“count” has to be a whole number from 1 to 20."),
        (PROBLEMS | {"family": "tea"}, "family", "“family” is a kind of problem that this"),
        (PROBLEMS | {"level": "deadly"}, "level", "“level” has to be one of "),
        ({"kind": "drill", "drill": "fire"}, "drill", "“drill” is a drill that this edition of"),
        ({"kind": "drill", "drill": DRILL, "seed": ""}, "seed", "“seed” has to be a whole number"),
    ],
)
def test_each_item_that_is_wrong_is_named_with_its_number(item, field, said):
    part, sentence = refused_here(assignment(PROBLEMS, item))
    assert part == f"items.2.{field}"
    assert sentence.startswith(f"In item 2 of the assignment, {said}")


@pytest.mark.parametrize(
    ("change", "field", "said"),
    [
        (lambda r: r.update(trainee=" "), "trainee", "In the result, “trainee” is empty. Write t"),
        (lambda r: r.update(trainee="x" * 101), "trainee", "In the result, “trainee” is longer"),
        (lambda r: r.update(points="9"), "points", "In the result, “points” is a part that vers"),
        (lambda r: r.update(began="today"), "began", "In the result, “began” has to be a time"),
        (lambda r: r["items"].pop(), "items", "In the result, “items” does not hold as many it"),
        (
            lambda r: r["items"][0].update(kind="drill"),
            "items.1.kind",
            "In item 1 of the result, “kind” has to be “page”, as in its assignment.",
        ),
        (
            lambda r: r["items"][0].update(attempts=[{}]),
            "items.1.attempts",
            "In item 1 of the result, “attempts” has to be an empty list: there is nothing to",
        ),
        (
            lambda r: r["items"][1]["attempts"][0].update(points=9),
            "items.2.attempts.1.points",
            "In item 2 of the result, “attempts.1.points” is a part that version 1",
        ),
        (
            lambda r: r["items"][1]["attempts"][0]["answers"].update(x={"value": 3}),
            "items.2.attempts.1.answers.x.value",
            "In item 2 of the result, “attempts.1.answers.x.value” has to be a text.",
        ),
        (
            lambda r: r["items"][2]["attempts"][0]["actions"].extend([{"do": "x"}] * 200),
            "items.3.attempts.1.actions",
            "In item 3 of the result, “attempts.1.actions” holds more than 200.",
        ),
        (
            lambda r: r["assignment"].update(seed="1"),
            "assignment.seed",
            "In the assignment, “seed” has to be a whole number",
        ),
        (lambda r: r.update(assignment=[]), "assignment", "In the result, “assignment” has to be"),
    ],
)
def test_each_part_of_a_result_that_is_wrong_is_named(change, field, said):
    found = result()
    change(found)
    part, sentence = refused_here(found, coursefile.write_result)
    assert part == field
    assert sentence.startswith(said)
    # What a page cannot write, a file cannot bring.
    assert refusal(sealed(found, "result"), coursefile.read_result) == sentence + AGAIN


# Whatever comes, it is sound or a refusal.

NASTY = [None, 0, -1.5, 1e999, True, "", "x" * 5000, "\ud800", RTL, [], {}, [[]], {"__proto__": {}}]
HOSTILE = [
    "<img src=x onerror=alert(1)>",
    "</script><script>alert(1)</script>",
    "\x00 NUL",
    '=HYPERLINK("http://example.com")',
    "javascript:alert(1)",
    "{{ run.output }} %s {0}",
    2**70,
]


def bent_text(chance, text):
    signs = list(text)
    for _ in range(chance.choice((1, 1, 2, 8))):
        at = chance.randrange(len(signs))
        kind = chance.randrange(5)
        if kind == 0:
            signs[at] = chr(chance.randrange(0x100))
        elif kind == 1:
            del signs[at : at + chance.choice((1, 1, 5, 500, 10**6))]
        elif kind == 2:
            signs[at:at] = chance.choice(("{", "[", '"', "\\", ",", "1", "\x00", "null", "\\ud800"))
        elif kind == 3:
            other = chance.randrange(len(signs))
            signs[at:at] = signs[other : other + chance.choice((1, 30, 3000))]
        else:
            signs = signs[:at] + signs[at:][::-1]
        if not signs:
            break
    return "".join(signs)


def bent(chance, found):
    for _ in range(chance.choice((1, 1, 2, 5))):
        spot = found
        while isinstance(spot, dict | list) and spot:
            key = chance.choice(sorted(spot) if isinstance(spot, dict) else range(len(spot)))
            if not isinstance(spot[key], dict | list) or chance.random() < 0.2:
                break
            spot = spot[key]
        else:
            continue
        kind = chance.randrange(4)
        if kind == 0:
            del spot[key]
        elif kind == 1 and isinstance(spot, dict):
            spot[chance.choice(("more", "", "é", "__proto__", "text"))] = spot.pop(key)
        elif kind == 2 and isinstance(spot[key], str | int) and not isinstance(spot[key], bool):
            spot[key] = chance.choice(("another", "1.25 bar", 7, "", "survey"))
        else:
            spot[key] = copy.deepcopy(chance.choice((*NASTY, *HOSTILE)))
    return found


@pytest.mark.parametrize("name", ["assignment", "result"])
def test_whatever_comes_it_is_sound_or_a_refusal(name):
    chance = random.Random(20261126)
    how_many = 400 if sys.platform == "emscripten" else 3000
    example = assignment() if name == "assignment" else result()
    read = {"assignment": coursefile.read_assignment, "result": coursefile.read_result}[name]
    write = {"assignment": coursefile.write_assignment, "result": coursefile.write_result}[name]
    whole = sealed(example, name)
    outcomes = {"sound": 0, "refused": 0}
    slowest, said = 0.0, []
    for number in range(how_many):
        if number % 3 == 0:
            text = bent_text(chance, whole)
        else:
            text = sealed(bent(chance, copy.deepcopy(example)), name)
        begun = time.perf_counter()
        try:
            found = read(text)
        except FileRefusal as refused:
            outcomes["refused"] += 1
            said.append(refused.message)
        else:
            outcomes["sound"] += 1
            if name == "assignment":
                found = found[0]
            written = write(found)
            assert read(written if name == "result" else written[0]) == (
                found if name == "result" else (found, written[1])
            )
        slowest = max(slowest, time.perf_counter() - begun)
    for sentence in said:
        assert re.fullmatch(r"[A-Z“].*\.", sentence, re.DOTALL), sentence
        assert len(sentence) < 600
    # A test in which one outcome never comes would say nothing about it.
    assert min(outcomes.values()) > how_many / 50, outcomes
    assert slowest < 2, slowest


@pytest.mark.parametrize("deep", [20, 500])
def test_what_a_page_holds_may_be_as_deep_as_it_likes(deep):
    found = assignment()
    spot = found
    for _ in range(deep):
        spot["x"] = {}
        spot = spot["x"]
    assert "deep" in refused_here(found)[1]


# Who gets which problems.


def test_each_trainee_gets_own_problems_unless_all_get_the_same():
    task = assignment()
    ana, ben = (assignments.tasks(task, name) for name in ("Ana Lopez", "Ben Ito"))
    assert ana != ben
    assert ana == assignments.tasks(task, "  ana   LOPEZ")
    assert [len(one) for one in ana] == [0, 2, 1, 0]
    assert ana[1][0]["seed"] != ana[1][1]["seed"]
    task = assignment(same=True)
    assert assignments.tasks(task, "Ana") == assignments.tasks(task, "Ben")
    assert assignments.tasks(task, "Ana") != assignments.tasks(task | {"seed": 18}, "Ana")
    fixed = assignment({"kind": "drill", "drill": DRILL, "seed": 5})
    assert assignments.tasks(fixed, "Ana") == [[{"id": DRILL, "seed": 5, "system": "us"}]]


def test_two_drills_of_one_kind_in_an_assignment_are_two_rooms():
    """The place in the list goes into the number drawn: the same drill twice is no repetition."""
    drill = {"kind": "drill", "drill": DRILL}
    one, two, three = assignments.tasks(assignment(drill, drill, drill), "Ana")
    assert len({one[0]["seed"], two[0]["seed"], three[0]["seed"]}) == 3


# The pages that work can be set on are the pages of the book.

if sys.platform != "emscripten":
    DOCS = Path(__file__).resolve().parents[1] / "docs"

    @pytest.mark.native
    def test_every_page_stands_in_the_book_with_its_title_phase_steps_and_calculators():
        from view.pages import PAGES

        nav = (DOCS.parent / "mkdocs.yml").read_text(encoding="utf-8").partition("\nnav:\n")[2]
        phase, phases = "", {}
        for line in nav.splitlines():
            if head := re.fullmatch(r"  - ([^:]+):", line):
                phase = head[1]
            elif entry := re.fullmatch(r"      - [^:]+: (\S+)\.md", line):
                phases[entry[1]] = phase
        for place in PLACES:
            text = (DOCS / f"{place.id}.md").read_text(encoding="utf-8")
            assert re.search(r"^title: (.*)$", text, re.MULTILINE)[1] == place.title
            assert ("\nprocedure: true\n" in text) is place.procedure
            assert phases[place.id] == place.phase
            standing = tuple(id for id, page in PAGES.items() if page == f"{place.id}.md")
            assert sorted(place.calculators) == sorted(standing)
        left_out = {"Learn and teach", "Behind it"}
        assert {place.id for place in PLACES} == {
            id for id, phase in phases.items() if phase not in left_out
        }

    def page():
        return (DOCS / "training-file.md").read_text(encoding="utf-8")

    @pytest.mark.native
    def test_the_worked_file_and_seed_of_the_page_are_right():
        (text,) = re.findall(r"```json\n(.*?)```", page(), re.DOTALL)
        found, notes = coursefile.read_assignment(text)
        assert notes == []
        assert coursefile.write_assignment(found)[0] == text
        (told,) = re.findall(r"```text\n(.*?)\n```", page(), re.DOTALL)
        seed = int.from_bytes(hashlib.sha256(told.encode()).digest()[:8], "big") >> 11
        assert f"the seed {seed}." in page()
        who = assignments.trainee_key("Ana  LOPEZ")
        assert seed_of(found["id"], found["seed"], who, 1, 0) == seed

    @pytest.mark.native
    def test_the_page_names_every_part_and_every_limit():
        text = page()
        for parts in (
            assignments._WHOLE,
            *assignments._ITEMS.values(),
            assignments._INPUTS,
            results._WHOLE,
            *results._ATTEMPTS.values(),
        ):
            for name in parts.parts:
                assert f"`{name}`" in text, name
        for kind in assignments.KINDS:
            assert f'| `"{kind}"` |' in text
        for words, most in (
            ("items", assignments.MOST_ITEMS),
            ("problems of one item", assignments.MOST_COUNT),
            ("problems in all", assignments.MOST_PROBLEMS),
            ("drills in all", assignments.MOST_DRILLS),
            ("set numbers of one page", assignments.MOST_INPUTS),
            ("letters of the title", assignments.LONGEST_TITLE),
            ("letters of the note", assignments.LONGEST_NOTE),
            ("letters of a name", assignments.LONGEST_NAME),
            ("letters of a set number", LONGEST_TEXT),
            ("letters of an answer", results.LONGEST_ENTRY),
            ("tries at one item", results.MOST_ATTEMPTS),
            ("actions of one try at a drill", results.MOST_ACTIONS),
            ("letters of the file of an assignment", coursefile.ASSIGNMENT.longest),
            ("letters of the file of a result", coursefile.RESULT.longest),
        ):
            shown = f"{most:,}".replace(",", " ") if most > 9999 else str(most)
            assert f"| {words} | {shown} |" in text, words


def test_what_an_item_asks_for_is_said_in_a_few_words():
    def words(**item):
        return assignments.item_words(item)

    assert words(kind="page", page="survey") == "Read “Survey the system”"
    assert words(kind="checklist", page="survey") == "Go through the steps of “Survey the system”"
    assert words(kind="drill", drill="one-fault") == "Drill: One fault"
    title = "Charge and cold fill"
    one, two = PROBLEMS | {"count": 1}, PROBLEMS | {"level": "hard"}
    assert words(**one) == f"{title}: 1 problem, level first"
    assert words(**two) == f"{title}: 2 problems, level hard"


def test_as_much_work_as_may_be_set_can_be_set():
    """20 problems of one item, 60 in all, ten drills and 40 items."""
    many = [PROBLEMS | {"count": 20}] * 3 + [{"kind": "drill", "drill": DRILL}] * 10
    many += [{"kind": "page", "page": "survey"}] * 27
    found, _ = assignments.sound(assignment(*many))
    assert len(found["items"]) == 40
    assert refused_here(assignment(*many, {"kind": "page", "page": "survey"}))[0] == "items"
    more = [PROBLEMS | {"count": 20}] * 3 + [PROBLEMS | {"count": 1}]
    assert "hold 61 problems; 60 are the most" in refused_here(assignment(*more))[1]


@pytest.mark.parametrize(
    ("part", "changed"), [("title", "X"), ("note", "X"), ("due", "2027-01-01")]
)
def test_what_is_written_around_the_work_does_not_change_it(part, changed):
    task = assignments.sound(assignment())[0]
    assert assignments.same_work(task, task | {part: changed})


@pytest.mark.parametrize(
    ("part", "changed"),
    [("id", ID[::-1]), ("system", "si"), ("seed", 18), ("same", True), ("pass", 71),
     ("counts", "last"), ("items", SHORT["items"])],
)  # fmt: skip
def test_everything_else_makes_other_work(part, changed):
    task = assignments.sound(assignment())[0]
    assert not assignments.same_work(task, task | {part: changed})


def test_a_name_counts_without_its_case_its_blanks_and_the_make_of_its_accents():
    key = assignments.trainee_key
    assert key("Jose\N{COMBINING ACUTE ACCENT}  ROSS\n") == key("José ross")
    assert key("STRASSE") == key("straße")
    assert key("Ana Lopez") != key("AnaLopez")
    assert key("Jose") != key("José")


def test_a_drill_keeps_the_number_it_was_set_with_and_else_draws_one_for_each():
    drill = {"kind": "drill", "drill": DRILL}
    (own,), (fixed,) = assignments.tasks(assignment(drill, drill | {"seed": 0}), "Ana")
    assert fixed["seed"] == 0
    assert own == {"id": DRILL, "seed": seed_of(ID, 17, "ana", 0, 0), "system": "us"}
    ((same,),) = assignments.tasks(assignment(drill, same=True), "Ana")
    assert same["seed"] == seed_of(ID, 17, 0, 0)

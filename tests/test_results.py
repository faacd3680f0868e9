"""A class in one table: which try counts, who stands where, what is told apart.

Marking itself is tried elsewhere. Here a stand-in gives as many points as the answer says, so that
each rule of the table can be seen by itself; the last part of this file uses the real marking.
"""

import csv
import io
import json
import random
import re

import pytest

import view
from calc.training import assignment as assignments
from calc.training import catalogue, coursefile, lines, remarking, results
from calc.training.debrief import Score, scored
from calc.training.lines import class_text
from calc.training.marking import unit_words
from calc.training.mistakes import MISTAKES
from calc.training.problem import LEVELS, problem
from calc.training.rows import csv_text
from calc.training.scenarios import drawn
from calc.training.standing import grouped, standing

ID = "0123456789abcdef"
AT = "2026-05-14T08:05:12+02:00"
LATER = "2026-05-14T09:05:12+02:00"
FAMILY, LEVEL = "pre-charge", "first"
DRILL = next(iter(catalogue.drills()))
PROBLEMS = {"kind": "problems", "family": FAMILY, "level": LEVEL, "count": 2}
PAGE = {"kind": "page", "page": "survey"}


def assignment(*items, **parts):
    found = {"id": ID, "title": "Week 3", "system": "si", "seed": 17, "items": list(items)}
    return assignments.sound(found | parts)[0]


def result(task, trainee, *answered, done=True, **parts):
    """Return a sound result; `answered` has for each item a list of (number, answer) tries."""
    items = []
    for item, wanted, tries in zip(
        task["items"], assignments.tasks(task, trainee), answered, strict=True
    ):
        attempts = []
        for number, said in tries:
            if item["kind"] == "drill":
                acts = [{"do": said}]
                attempts.append({"drill": wanted[number], "actions": acts, "diagnosis": []})
            else:
                attempts.append({"problem": wanted[number], "answers": {"x": {"value": said}}})
        items.append({"kind": item["kind"], "done": done, "attempts": attempts})
    found = {"assignment": task, "trainee": trainee, "ended": AT, "items": items}
    return results.sound(found | parts)


@pytest.fixture
def by_the_answer(monkeypatch):
    """Three points a problem: as many as the answer says; a letter after it names a mistake."""

    def marked(task, answers):
        said = answers.get("x", {}).get("value", "")
        points = int(said[:1] or 0)
        state = "right" if points == 3 else "mistake" if said[1:] else "wrong"
        part = remarking.Part("x", "X", state, points, 3, "Told.", said[1:])
        return remarking.Marked("A problem", points, 3, (part,))

    def played(task, actions, diagnosis):
        points = int(actions[0]["do"]) if actions else 0
        return remarking.Played("A drill", points, 10, ("Played again.",) if actions else ())

    monkeypatch.setattr(remarking, "marked", marked)
    monkeypatch.setattr(remarking, "played", played)


@pytest.mark.usefixtures("by_the_answer")
def test_what_was_not_answered_costs_its_points():
    task = assignment(PROBLEMS, {"kind": "drill", "drill": DRILL}, PAGE)
    one = standing(result(task, "Ana", [(1, "3")], [], []))
    assert (one.points, one.most) == (3, 16)
    assert one.percent == 18
    assert not one.finished
    assert [task.tries for task in one.items[0].tasks] == [0, 1]
    full = standing(result(task, "Ana", [(0, "3"), (1, "3")], [(0, "9")], []))
    assert (full.points, full.most, full.finished) == (15, 16, True)


@pytest.mark.usefixtures("by_the_answer")
@pytest.mark.parametrize(("counts", "points"), [("first", 1), ("last", 2)])
def test_the_assignment_says_which_try_counts(counts, points):
    task = assignment(PROBLEMS | {"count": 1}, counts=counts)
    one = standing(result(task, "Ana", [(0, "1"), (0, "3"), (0, "2")]))
    assert one.points == points
    assert one.items[0].tasks[0].tries == 3


@pytest.mark.usefixtures("by_the_answer")
@pytest.mark.parametrize(
    ("points", "percent", "passed"), [("2", 66, False), ("3", 100, True), ("0", 0, False)]
)
def test_a_percent_is_never_rounded_up_to_a_pass(points, percent, passed):
    task = assignment(PROBLEMS | {"count": 1}, **{"pass": 67})
    one = standing(result(task, "Ana", [(0, points)]))
    assert (one.percent, one.passed) == (percent, passed)


def test_where_nothing_bears_points_what_is_done_counts():
    task = assignment(PAGE, PAGE, {"kind": "checklist", "page": "survey"}, **{"pass": 60})
    found = result(task, "Ana", [], [], [])
    assert standing(found).passed
    found["items"][0]["done"] = False
    assert (standing(found).percent, standing(found).passed) == (66, True)
    found["items"][1]["done"] = False
    assert (standing(found).percent, standing(found).passed) == (33, False)


@pytest.mark.usefixtures("by_the_answer")
def test_answers_to_problems_of_another_name_do_not_count_and_are_told():
    task = assignment(PROBLEMS)
    found = result(task, "Ben", [(0, "3"), (1, "3")]) | {"trainee": "Ana"}
    one = standing(found)
    assert (one.points, one.most, one.strange) == (0, 6, 2)
    groups, told = grouped([("ana.result.json", found, one)])
    assert len(groups) == 1
    assert told == [
        (
            "ana.result.json",
            "2 answers are to problems or drills that were not set for “Ana”. They do not count. "
            "Perhaps the name was changed after the work began.",
        )
    ]


def files(*found):
    return [(f"{n}.result.json", one, standing(one)) for n, one in enumerate(found, 1)]


@pytest.mark.usefixtures("by_the_answer")
def test_of_two_files_of_one_trainee_the_later_one_counts_wherever_it_stands():
    task = assignment(PROBLEMS)
    early = result(task, "Ana Lopez", [(0, "1")], ended=AT)
    late = result(task, "ana  lopez", [(0, "3")], ended=LATER)
    for order in ((early, late), (late, early)):
        (group,), told = grouped(files(*order))
        assert [one.points for one in group.standings] == [3]
        assert len(told) == 1
        assert "sent more than one file. The later one, " in told[0][1]


@pytest.mark.usefixtures("by_the_answer")
def test_other_work_is_told_apart():
    task = assignment(PROBLEMS)
    changed = assignment(PROBLEMS | {"count": 1})
    other = assignment(PROBLEMS, id=ID[::-1], title="Week 4")
    renamed = assignment(PROBLEMS, title="Week three", note="Soon.", due="2026-12-01")
    found = files(
        result(other, "Cy", [(0, "3")]),
        result(task, "Ben", [(0, "3")]),
        result(changed, "Dot", [(0, "3")]),
        result(renamed, "Ana", [(0, "2")]),
    )
    groups, told = grouped(found)
    # The most common assignment leads; a title or a note makes no other work.
    assert [[one.trainee for one in group.standings] for group in groups] == [
        ["Ana", "Ben"],
        ["Cy"],
        ["Dot"],
    ]
    assert [name for name, _ in told] == ["1.result.json", "3.result.json"]
    assert told[0][1].startswith("This is work on another assignment.")
    assert told[1][1].startswith("This is work on a changed copy of the assignment")
    # The trainer's own leads, even where nobody did it.
    groups, told = grouped(found, other)
    assert [len(group.standings) for group in groups] == [1, 2, 1]
    assert len(told) == 3
    groups, told = grouped(found[1:], other)
    assert [len(group.standings) for group in groups] == [0, 2, 1]


@pytest.mark.usefixtures("by_the_answer")
def test_mistakes_are_counted_over_the_class_the_most_frequent_first():
    task = assignment(PROBLEMS)
    (group,), _ = grouped(
        files(
            result(task, "Ana", [(0, "1b"), (1, "1b")]),
            result(task, "Ben", [(0, "1a"), (1, "1c")]),
            result(task, "Cy", [(0, "1a"), (1, "3")]),
        )
    )
    assert group.mistakes() == [("a", 2, 2), ("b", 1, 2), ("c", 1, 1)]
    assert group.states() == {"mistake": 5, "right": 1}


@pytest.mark.usefixtures("by_the_answer")
@pytest.mark.parametrize(
    "name",
    [
        '=HYPERLINK("http://example.com")',
        "+1+1",
        "@SUM(A1)",
        "-2+3",
        "a;=1+1",
        "a\n=1+1",
        "x\x1b[2J",
    ],
)
def test_no_name_of_a_trainee_begins_a_formula_or_steers_a_screen(name):
    task = assignment(PROBLEMS | {"count": 1}, PAGE, title=name)
    groups, told = grouped(files(result(task, name, [(0, "2")], [])))
    text = csv_text(groups)
    head, row = csv.reader(io.StringIO(text, newline=""))
    assert len(head) == len(row)
    found = dict(zip(head, row, strict=True))
    assert found["points"] == "2"
    assert found["result"] == "not passed"
    for cell in row:
        assert not re.match("[=+@\t\r-]", cell)
        assert not re.search("[;\n][=+@-]", cell)
        assert "\x1b" not in cell
    assert "\x1b" not in class_text(groups, told)


# The requests of a page.


def ask(op, **request):
    return json.loads(view.respond(json.dumps({"op": op, **request})))


@pytest.mark.usefixtures("by_the_answer")
def test_a_trainee_and_a_trainer_see_the_same_standing():
    task = assignment(PROBLEMS, PAGE)
    found = result(task, "Ana", [(0, "3"), (1, "2")], [])
    own = ask("results-standing", result=found)
    text = ask("results-write", result=found)["text"]
    marked = ask("results-mark", name="ana.result.json", text=text)
    assert marked["standing"] == own
    assert (own["points"], own["most"], own["percent"], own["passed"]) == (5, 6, 83, True)
    assert own["items"][0]["tries"] == [1, 1]


def test_a_file_that_is_refused_is_named_and_the_rest_is_in_the_table():
    task = assignment(PAGE)
    text = coursefile.write_result(result(task, "<b>Ana</b>", []))
    texts = [{"name": "a", "text": text}, {"name": "<i>b</i>", "text": text[:-9]}]
    found = ask("results-table", texts=texts)
    assert [error["name"] for error in found["errors"]] == ["<i>b</i>"]
    assert "&lt;b&gt;Ana&lt;/b&gt;" in found["html"]
    assert "<b>" not in found["html"]
    assert "<i>b" not in found["html"]
    assert "1 trainee: 1 passed" in found["html"]
    assert len(found["csv"].splitlines()) == 2
    none = ask("results-table", texts=[])
    assert "No result could be read" in none["html"]
    assert none["csv"] == ""
    assert ask("results-table", texts="x")["errors"][0]["field"] == "texts"


def test_tables_of_the_same_title_are_told_apart_by_their_names():
    tasks = assignment(PAGE), assignment(PAGE, PAGE), assignment(PAGE, seed=18)
    texts = [
        {"name": "x", "text": coursefile.write_result(result(task, "Ana", *([] for _ in items)))}
        for task in tasks
        for items in (task["items"],)
    ]
    found = ask("results-table", texts=texts)["html"]
    labels = re.findall(r'aria-label="([^"]*)"', found) + re.findall(r"<h3[^>]*>(.*?)<", found)
    assert len(labels) == len(set(labels)) >= 6
    assert found.count("<table") >= 3


def test_a_printed_sheet_names_all_that_is_set_with_its_numbers_in_the_readers_units():
    inputs = {"calculator": "pre-charge", "system": "us", "values": {"height": "31.5 ft"}}
    task = assignment(
        {"kind": "page", "page": "set-the-pre-charge", "inputs": inputs},
        PROBLEMS,
        {"kind": "drill", "drill": DRILL},
        {"kind": "checklist", "page": "survey"},
        title="<b>Week</b> 3",
        note="One\ntwo",
        due="2026-12-01",
        system="us",
    )
    us = ask("course-sheet", assignment=task)["html"]
    for words in (
        "&lt;b&gt;Week&lt;/b&gt; 3",
        "1 December 2026",
        "31.5 ft",
        "Work out 2 problems",
        catalogue.drills()[DRILL],
        "Survey the system",
        "Name: ",
        'data-part="code"',
        ID,
    ):
        assert words in us, words
    assert "9.6012 m" in ask("course-sheet", assignment=task, system="si")["html"]
    assert "errors" in ask("course-sheet", assignment=task | {"due": "soon"})


def test_what_can_be_set_is_listed_and_each_can_be_set():
    found = ask("course-options")
    for page in found["pages"]:
        item = {"kind": "page", "page": page["id"]}
        for one in page["calculators"]:
            preset = ask("course-preset", calculator=one["id"], system="us", values={})
            assert preset["inputs"]["values"] == {}
            ask("course-write", assignment=assignment(item | {"inputs": preset["inputs"]}))
    for one in found["checklists"]:
        assert assignment({"kind": "checklist", "page": one["id"]})
    for family in found["families"]:
        for level in family["levels"]:
            item = {"kind": "problems", "family": family["id"], "level": level["id"], "count": 1}
            assert assignment(item)
    for drill in found["drills"]:
        assert assignment({"kind": "drill", "drill": drill["id"]})


def test_entries_of_a_form_become_the_numbers_of_a_page():
    height = {"value": "31.5", "unit": "ft", "pm": ""}
    found = ask("course-preset", calculator="pre-charge", system="us", values={"height": height})
    assert found["inputs"]["values"] == {"height": "31.5 ft"}
    assert found["words"][0]["text"] == "31.5 ft"
    assert "errors" not in found
    bent = {"height": height | {"value": "tall"}}
    wrong = ask("course-preset", calculator="pre-charge", system="us", values=bent)
    assert wrong["errors"][0]["field"] == "height"
    assert ask("course-preset", calculator="tea", system="us")["errors"][0]["field"] == "calculator"
    assert ask("course-form", calculator="pre-charge", system="us")["html"].startswith("<form")


# With the real marking.


def answered(one, values):
    """Return answers with these SI values, written to six places in the part's own unit."""
    found = {}
    for part in one.parts:
        unit = part.kind.default_unit(one.system)
        value = f"{unit.from_si(values[part.name]):.6f}"
        found[part.name] = {"value": value, "unit": unit_words(unit)}
    return found


def test_a_class_of_thirty_is_marked_again_and_its_mistakes_are_counted():
    set_one = {"kind": "problems", "family": "pre-charge", "level": "usual", "count": 2}
    task = assignment(set_one, PAGE, system="us")
    texts, slips, wanted = [], {}, {}
    for number in range(30):
        name = f"Trainee {number:02}"
        attempts = []
        for ref in assignments.tasks(task, name)[0]:
            one = problem(*ref.values())
            answers = answered(one, one.truth)
            if number % 3 == 1:
                answers = {}
            if number % 3 == 2 and not attempts:
                slip = next(s for s in one.family.slips if s.mistake == "no-margin-at-top")
                answers = answered(one, {**one.truth, **one.slipped(slip)})
                slips[slip.mistake] = slips.get(slip.mistake, 0) + 1
            attempts.append({"problem": ref, "answers": answers})
        wanted[name] = (100, 0, None)[number % 3]
        items = [{"kind": "problems", "attempts": attempts}, {"kind": "page", "done": True}]
        text = coursefile.write_result({"assignment": task, "trainee": name, "items": items})
        texts.append({"name": f"{number}.result.json", "text": text})
    found = ask("results-table", texts=texts, assignment=task)
    assert found["errors"] == []
    rows = list(csv.DictReader(io.StringIO(found["csv"], newline="")))
    assert len(rows) == 30
    for row in rows:
        percent = wanted[row["trainee"]]
        assert percent is None or int(row["percent"]) == percent, row
        assert bool(row["mistakes"]) is (percent is None), row
    for mistake, count in slips.items():
        title = MISTAKES[mistake].title
        assert re.search(rf"{title}</a></th>.*?{count} of 30", found["html"]), (title, count)
    assert sum(slips.values()) == 10


@pytest.mark.parametrize("seed", range(3))
def test_whatever_was_typed_it_is_marked(seed):
    chance = random.Random(seed)
    pieces = ["1", "9" * 90, "1e999", "-", "½", "'", '"', " psi", "psig", "\x00", "=", "∞", "nan"]
    task = assignment(*({**PROBLEMS, "count": 5, "level": level} for level in LEVELS))
    for _ in range(40):
        found = result(task, "Ana", *([] for _ in LEVELS))
        for item, own in zip(found["items"], assignments.tasks(task, "Ana"), strict=True):
            for ref in own:
                answers = {
                    part.name: {
                        "value": "".join(chance.choices(pieces, k=chance.randrange(4))),
                        "unit": chance.choice(("", "psi", "psig", "bar abs", "x", "\x00")),
                    }
                    for part in problem(*ref.values()).parts
                }
                item["attempts"].append({"problem": ref, "answers": answers})
        one = standing(coursefile.read_result(coursefile.write_result(found)))
        assert 0 <= one.points <= one.most


def test_a_drill_is_played_again_and_what_cannot_be_played_brings_nothing():
    task = assignment({"kind": "drill", "drill": DRILL, "seed": 5})
    found = result(task, "Ana", [(0, "read-gauge")])
    (attempt,) = found["items"][0]["attempts"]
    truth = list(drawn(DRILL, 5).rows)
    attempt["diagnosis"] = truth
    (item,) = standing(found).items
    score = scored(DRILL, 5, "si", attempt["actions"], truth)
    assert item.points == score.points * 10 // 100 >= 5
    assert item.most == 10
    for bent in ([{"do": "fly"}], [{"do": "wait", "values": {"time": "long"}}], [{"do": "\x00"}]):
        attempt["actions"] = bent
        (item,) = standing(found).items
        assert (item.points, item.tasks[0].tries) == (0, 1)
        assert item.tasks[0].words[0].startswith("This try cannot be played again: ")
    attempt["actions"] = []
    attempt["diagnosis"] = ["fire", "<b>", "fire"]
    assert standing(found).points >= 0
    del attempt["diagnosis"]
    assert standing(found).items[0].tasks[0].tries == 0


@pytest.mark.usefixtures("by_the_answer")
@pytest.mark.parametrize(("count", "words"), [(1, "1 answer is to"), (2, "2 answers are to")])
def test_answers_to_what_was_not_set_are_counted_in_words(count, words):
    task = assignment(PROBLEMS | {"count": 2})
    mine = result(task, "Ana", [(n, "3") for n in range(2)])
    other = result(task | {"seed": 18}, "Ana", [(n, "3") for n in range(count)])
    strange = [one for item in other["items"] for one in item["attempts"]]
    mine["items"][0]["attempts"] = strange + mine["items"][0]["attempts"][count:]
    (_, told), *_ = grouped(files(mine))[1]
    assert told.startswith(words)


@pytest.mark.usefixtures("by_the_answer")
def test_the_table_of_a_class_has_the_points_of_each_in_the_order_of_the_items():
    task = assignment(PROBLEMS | {"count": 1}, PAGE, PROBLEMS | {"count": 2})
    ana = result(task, "Ana", [(0, "2")], [], [(0, "3"), (1, "1")])
    ben = result(task, "Ben", [(0, "3")], [], [(0, "0"), (1, "0")], done=False)
    told = class_text(*grouped(files(ana, ben))).split("\n")
    rows = {line.split()[0]: line.split() for line in told if re.match(r"(Ana|Ben) ", line)}
    assert rows["Ana"][1:4] == ["2/3", "done", "4/6"]
    assert rows["Ben"][1:4] == ["3/3", "open", "0/6"]
    # 2 + 4 of 9 points, and what is read counts as nothing or all by the rule of the standing.
    assert rows["Ana"][4:6] == [str(standing(ana).percent), "%"]


def test_as_many_percent_as_are_needed_are_enough():
    task = assignment(*[PAGE] * 5, **{"pass": 60})
    found = result(task, "Ana", *[[]] * 5)
    for item in found["items"][3:]:
        item["done"] = False
    assert (standing(found).percent, standing(found).passed) == (60, True)
    found["items"][2]["done"] = False
    assert (standing(found).percent, standing(found).passed) == (40, False)


@pytest.mark.usefixtures("by_the_answer")
def test_answers_to_what_was_not_set_are_counted_over_all_items():
    task = assignment(PROBLEMS, PAGE, PROBLEMS, {"kind": "drill", "drill": DRILL})
    own = result(task, "Ana", [(0, "3")], [], [(0, "3"), (1, "3")], [(0, "9")])
    assert standing(own).strange == 0
    assert standing(own | {"trainee": "Ben"}).strange == 4


@pytest.mark.usefixtures("by_the_answer")
def test_a_drill_that_was_begun_and_left_is_no_try_and_hides_none():
    task = assignment({"kind": "drill", "drill": DRILL})
    found = result(task, "Ana", [(0, "2"), (0, "7")])
    del found["items"][0]["attempts"][0]["diagnosis"]
    (one,) = standing(found).items[0].tasks
    assert (one.points, one.tries) == (7, 1)
    assert standing(found).strange == 0


@pytest.mark.usefixtures("by_the_answer")
def test_what_counts_is_kept_with_its_answer_and_its_marks():
    task = assignment(PROBLEMS, PAGE, {"kind": "drill", "drill": DRILL})
    one = standing(result(task, "Ana", [(0, "1slip"), (0, "3")], [], [(0, "4")]))
    assert [item.kind for item in one.items] == ["problems", "page", "drill"]
    tried, left = one.items[0].tasks
    assert (tried.title, left.title) == ("A problem", "A problem")
    assert tried.answers == {"x": {"value": "1slip"}}
    assert [part.mistake for part in tried.parts] == ["slip"]
    assert (left.tries, left.answers, left.parts) == (0, {}, ())
    assert one.states() == {"mistake": 1}
    (drill,) = one.items[2].tasks
    assert (drill.title, drill.points, drill.words) == ("A drill", 4, ("Played again.",))
    (none,) = standing(result(task, "Ana", [], [], [])).items[2].tasks
    assert (none.title, none.points, none.most, none.words) == ("A drill", 0, 10, ())


@pytest.mark.usefixtures("by_the_answer")
def test_mistakes_are_in_order_of_trainees_then_of_times_then_of_name():
    task = assignment(PROBLEMS)
    (group,), _ = grouped(
        files(
            result(task, "Ana", [(0, "1z"), (1, "1y")]),
            result(task, "Ben", [(0, "1z"), (1, "1d")]),
            result(task, "Cy", [(0, "1c"), (1, "1c")]),
        )
    )
    assert group.mistakes() == [("z", 2, 2), ("c", 1, 2), ("d", 1, 1), ("y", 1, 1)]


@pytest.mark.usefixtures("by_the_answer")
@pytest.mark.parametrize(
    ("first", "second", "counted"),
    [(AT, LATER, 1), (LATER, AT, 0), (AT, "", 0), ("", AT, 1), ("", "", 1), (AT, AT, 1)],
)
def test_the_later_file_counts_and_the_other_one_is_named(first, second, counted):
    """One without a time is the earliest; of two of one time that counts which was given last."""
    task = assignment(PROBLEMS)
    both = [result(task, "Ana", [(0, str(n))], ended=at) for n, at in enumerate((first, second))]
    (group,), told = grouped(files(*both))
    assert [one.points for one in group.standings] == [counted]
    ((name, words),) = told
    assert name == f"{2 - counted}.result.json"
    assert f"The later one, {counted + 1}.result.json, is counted." in words


def of_three():
    """Return the files of a class with one who is done, one who is not, and one without answers."""
    task = assignment(PROBLEMS | {"count": 1}, PAGE)
    return files(
        result(task, "Ana", [(0, "3")], [], began=AT, ended=LATER),
        result(task, "Ben", [(0, "1no-margin-at-top")], [], done=False),
        result(task, "Cy", [], []),
    )


@pytest.mark.usefixtures("by_the_answer")
def test_a_row_of_the_spreadsheet_says_all_of_a_trainee():
    head, *rows = csv.reader(io.StringIO(csv_text(grouped(of_three())[0]), newline=""))
    title = MISTAKES["no-margin-at-top"].title
    problems, page = head[11], head[13]
    assert head == [
        "assignment", "title", "trainee", "began", "ended", "points", "of", "percent", "pass",
        "result", "finished", problems, "1. of", page, "2. of", "mistakes",
    ]  # fmt: skip
    assert problems.startswith("1. ")
    assert page == "2. Read “Survey the system”"
    assert rows == [
        [ID, "Week 3", "Ana", AT, LATER, "3", "3", "100", "70", "passed", "yes",
         "3", "3", "done", "", ""],
        [ID, "Week 3", "Ben", "", AT, "1", "3", "33", "70", "not passed", "no",
         "1", "3", "open", "", f"{title} (1)"],
        [ID, "Week 3", "Cy", "", AT, "0", "3", "0", "70", "not passed", "no",
         "0", "3", "done", "", ""],
    ]  # fmt: skip


@pytest.mark.usefixtures("by_the_answer")
def test_the_lines_of_a_class_say_who_passed_and_what_went_wrong():
    groups, _ = grouped(of_three())
    text = lines.class_text(groups, [("a\x1b.json", "Look\nat it.")]).split("\n")
    assert text[0] == f"Week 3 ({ID})"
    assert text[2].startswith("  1. ")
    assert text[3] == "  2. Read “Survey the system”"
    rows = [" ".join(line.split()) for line in text[5:8]]
    assert rows == [
        "Ana 3/3 done 100 % passed",
        "Ben 1/3 open 33 % not passed, not finished",
        "Cy 0/3 done 0 % not passed, not finished",
    ]
    # Numbers of one column stand below each other, and so do names of any length.
    assert len({line.index(" %") for line in text[5:8]}) == 1
    made = MISTAKES["no-margin-at-top"]
    assert f"  1 of 3 trainees, 1 times: {made.title} ({made.page})" in text
    assert "Parts answered: right: 1; named mistake: 1." in text
    assert text[-1] == "a⟨1B⟩.json: Look / at it."
    assert lines.class_text([], [("a", "Look.")]) == "a: Look."


def test_the_lines_of_an_assignment_say_what_is_set():
    inputs = {"calculator": "pre-charge", "system": "us", "values": {"height": "31.5 ft"}}
    task = assignment(
        {"kind": "page", "page": "set-the-pre-charge", "inputs": inputs},
        PROBLEMS,
        {"kind": "drill", "drill": DRILL, "seed": 5},
        note="Bring\na gauge.",
        due="2026-12-01",
        same=True,
    )
    text = lines.assignment_text({"assignment": task, "notes": ["Look\nhere."]}).split("\n")
    assert text[:5] == [
        "Week 3",
        f"Assignment {ID}, units si, pass 70 percent",
        "Due 2026-12-01",
        "Bring / a gauge.",
        "",
    ]
    words = [assignments.item_words(item) for item in task["items"]]
    assert text[5:9] == [
        f"  1. {words[0]}",
        "       height = 31.5 ft",
        f"  2. {words[1]}",
        f"  3. {words[2]}",
    ]
    _, problems, _ = assignments.tasks(task, "Anybody")
    assert [line for line in text if "seed" in line] == [
        *(f"  item 2: {FAMILY}, seed {one['seed']}" for one in problems),
        f"  item 3: {DRILL}, seed 5",
    ]
    assert text[-1] == "Note: Look / here."
    own = lines.assignment_text({"assignment": assignment(PROBLEMS, note=" "), "notes": []})
    assert "seed" not in own
    assert own.split("\n")[2] == ""
    assert own.endswith("Each name has its own problems.")


def test_the_lines_of_a_problem_say_what_is_asked_and_how_it_was_marked():
    part = {"most": 3, "mistake": "", "step": ""}
    found = {
        "problem": {"family": "tea", "level": "first", "seed": 7, "system": "si"},
        "title": "Tea",
        "situation": ["A pot.", "A cup."],
        "givens": [{"label": "Water", "text": "1 L"}],
        "parts": [
            {"name": "a", "label": "How much", "units": ["L", "US gal"]},
            {"name": "b", "label": "How often", "units": []},
        ],
    }
    asked = [
        "Tea (level: first, seed 7, si)", "", "A pot.", "A cup.", "", "  Water: 1 L", "",
        "Find:", "  a: How much (L, US gal)", "  b: How often",
    ]  # fmt: skip
    assert lines.problem_text(found).split("\n") == asked
    one = {"name": "a", "answer": "1\n L", "state": "right", "points": 3, "message": "Right."}
    other = {"name": "b", "answer": "", "state": "blank", "points": 0, "message": "No\nanswer."}
    marks = {"points": 3, "most": 6, "parts": [one | part, other | part]}
    assert lines.problem_text(found | {"marks": marks}).split("\n") == [
        *asked,
        "",
        "3 of 6 points:",
        "  a: “1 /  L” – Right, 3 of 3. Right.",
        "  b: Left blank, 0 of 3. No / answer.",
    ]


def test_each_part_is_marked_with_its_name_its_label_and_a_sentence():
    ref = {"family": "pre-charge", "level": "usual", "seed": 3, "system": "si"}
    one = problem(*ref.values())
    answers = answered(one, one.truth | {"static": one.truth["static"] / 2})
    own = one.truth["static"] / 2 + 0.2e5
    answers |= {"charge_set": {"value": f"{own / 1e5:.6f}", "unit": "bar g"}}
    del answers["fill_on_gauge"]
    marked = remarking.marked(ref, answers | {"sugar": {"value": "2"}})
    assert (marked.title, marked.points, marked.most) == (one.title, 3, 9)
    assert [(p.name, p.label) for p in marked.parts] == [(p.name, p.label) for p in one.parts]
    assert [p.state for p in marked.parts] == ["wrong", "follows", "blank"]
    assert [(p.points, p.most, p.mistake) for p in marked.parts] == [
        (0, 3, ""),
        (3, 3, ""),
        (0, 3, ""),
    ]
    assert all(re.fullmatch(r"[A-Z].*\.", p.message) for p in marked.parts)


@pytest.mark.parametrize(("hundred", "ten"), [(0, 0), (9, 0), (10, 1), (59, 5), (100, 10)])
def test_a_drill_is_worth_ten_points_rounded_down(monkeypatch, hundred, ten):
    monkeypatch.setattr(remarking, "_played", {})
    monkeypatch.setattr(
        remarking, "scored", lambda *asked: Score("A drill", hundred, 100, ("Told.",), True)
    )
    one = remarking.played({"id": DRILL, "seed": 1, "system": "si"}, [], [])
    assert (one.title, one.points, one.most, one.words) == ("A drill", ten, 10, ("Told.",))


def test_a_drill_is_played_once_for_what_was_done_and_said_in_it(monkeypatch):
    asked = []

    def scored(*given):
        asked.append(given)
        return Score("A drill", 50, 100, (), True)

    monkeypatch.setattr(remarking, "_played", {})
    monkeypatch.setattr(remarking, "_MOST_KEPT", 4)
    monkeypatch.setattr(remarking, "scored", scored)
    task = {"id": DRILL, "seed": 1, "system": "si"}
    tries = [
        (task, [], ["leak"]),
        (task, [{"do": "read-gauge"}], ["leak"]),
        (task, [], []),
        (task | {"seed": 2}, [], ["leak"]),
    ]
    for _ in range(2):
        for one in tries:
            remarking.played(*one)
    assert asked == [(*task.values(), *rest) for task, *rest in tries]
    # One more than are kept makes room for it.
    remarking.played(task, [], ["gauge-wrong"])
    assert len(remarking._played) == 1
    remarking.played(*tries[0])
    assert len(asked) == 6

"""The calculators from a shell: what other programs rely on."""

import csv
import json
from dataclasses import replace

import pytest

from calc import __main__ as shell
from calc import jobfile
from calc.__main__ import main
from calc.calculators import CALCULATORS
from calc.files.opened import file_text
from calc.training import assignment as assignments
from calc.training import coursefile
from calc.training.problem import problem

FIRST = CALCULATORS[0].id


def run(capsys, *arguments):
    code = main(list(arguments))
    printed = capsys.readouterr()
    return code, printed.out, printed.err


def test_list_gives_id_title_and_summary(capsys):
    code, out, _ = run(capsys, "list", "--json")
    assert code == 0
    rows = json.loads(out)
    assert [row["id"] for row in rows] == [c.id for c in CALCULATORS]
    assert all(set(row) == {"id", "title", "summary"} for row in rows)


@pytest.mark.parametrize("id", [c.id for c in CALCULATORS])
def test_describe_tells_inputs_with_units_and_limits(capsys, id):
    code, out, _ = run(capsys, "describe", id, "--json")
    assert code == 0
    described = json.loads(out)
    assert described["inputs"]
    assert described["outputs"]
    assert run(capsys, "describe", id)[0] == 0


@pytest.mark.parametrize("id", [c.id for c in CALCULATORS])
@pytest.mark.parametrize("system", ["si", "us"])
def test_run_prints_results_checks_and_working(capsys, id, system):
    code, out, _ = run(capsys, "run", id, "--system", system)
    assert code == 0
    assert "Working:" in out
    code, out, _ = run(capsys, "run", id, "--system", system, "--json")
    found = json.loads(out)
    assert code == 0
    assert {"results", "checks", "steps", "charts"} <= set(found)
    for result in found["results"]:
        assert {"value", "unit", "text", "plus_minus"} <= set(result)
    for check in found["checks"]:
        assert check["status"] in ("pass", "caution", "fail")
        assert {"label", "message", "source"} <= set(check)


@pytest.mark.parametrize("id", [c.id for c in CALCULATORS])
def test_the_text_tells_all_that_the_json_does(capsys, id):
    found = json.loads(run(capsys, "run", id, "--json")[1])
    lines = run(capsys, "run", id)[1].splitlines()
    assert lines[0] == found["title"]
    for result in found["results"]:
        band = result["plus_minus_text"]
        assert f"{result['label']}: {result['text']}{f' ± {band}' if band else ''}" in lines
    for check in found["checks"]:
        source = f"{check['source']['text']}; {check['source']['status']}"
        assert f"[{check['status']}] {check['label']}: {check['message']} ({source})" in lines
    at = lines.index("Working:")
    for step in found["steps"]:
        formula = step["formula"] or step["words"]
        at = lines.index(f"  {step['label']}: {step['symbol']} = {formula}", at)
        source = f"{step['source']['text']}; {step['source']['status']}"
        assert f"    = {step['result']['text']}  ({source})" in lines[at:]
        for symbol in step["where"]:
            told = f"      {symbol['symbol']} = {symbol['text']}  {symbol['label']}"
            assert told in lines[at:]
    for table in (c for c in found["charts"] if c["type"] == "table"):
        at = lines.index(f"{table['title']}: {table['summary']}")
        assert lines[at - 1] == ""
        for row in table["rows"]:
            at = lines.index(f"  {row['label']}", at)
            for number, (column, cell) in enumerate(
                zip(table["columns"], row["cells"], strict=True), 1
            ):
                line = lines[at + number]
                assert line.startswith(f"    {column['label']}: {cell['text']}")
                with_unit = bool(column["unit"]) and cell["value"] is not None
                assert line.endswith(f" {column['unit']}") or not with_unit


def test_what_was_not_given_is_told_and_what_was_is_not(capsys):
    out = run(capsys, "run", "pre-charge", "height=11 m")[1].splitlines()
    assert "Not given, so the example's values were used:" in out
    assert not [line for line in out if line.startswith("  height = ")]
    assert [line for line in out if line.startswith("  altitude = ")]
    assert not [line for line in out if line.endswith(" = ")]
    inputs = json.loads(run(capsys, "run", "pre-charge", "--json")[1])["inputs"]
    given = [f"{i['name']}={i['text']}" for i in inputs if i["origin"] == "example" and i["text"]]
    whole = run(capsys, "run", "pre-charge", *given)
    assert whole[0] == 0, whole
    assert "Not given" not in whole[1]


def test_the_description_says_units_choices_conditions_and_columns(capsys):
    code, out, _ = run(capsys, "describe", "leak-rate")
    assert code == 0
    lines = out.splitlines()
    assert lines.index("Takes:") < lines.index("Gives:")
    entries = json.loads(run(capsys, "describe", "leak-rate", "--json")[1])["inputs"]
    kinds = set()
    for entry in entries:
        (line,) = [each for each in lines if each.startswith(f"  {entry['name']} (")]
        assert line.endswith(f": {entry['label']}. {entry['help']}")
        if "units" in entry:
            kinds.add("units")
            assert f" in {', '.join(each for each in entry['units'] if each)})" in line
        if "options" in entry:
            kinds.add("options")
            assert f" one of {', '.join(each['value'] for each in entry['options'])})" in line
        after = lines[lines.index(line) + 1]
        if "when" in entry:
            kinds.add("when")
            name, values = next(iter(entry["when"].items()))
            assert after.startswith(f"    only when {name} is {' or '.join(values)}")
        else:
            assert "only when" not in after
    assert kinds == {"units", "options", "when"}
    traced = run(capsys, "describe", "pressure-trace")[1]
    assert "\n      vessel_volume (" in traced


def test_the_list_stands_in_two_columns(capsys):
    lines = run(capsys, "list")[1].splitlines()
    width = max(len(c.id) for c in CALCULATORS)
    assert len(lines) == len(CALCULATORS)
    for line, one in zip(lines, CALCULATORS, strict=True):
        assert line[: width + 2] == f"{one.id:{width}}  "
        assert line[width + 2 :].startswith(f"{one.title}. ")


def test_a_word_that_is_left_over_is_named(capsys):
    for words in (("list", "all"), ("describe", FIRST, "more")):
        with pytest.raises(SystemExit):
            main(list(words))
        assert f"what is {words[-1]}?" in capsys.readouterr().err


def test_input_that_cannot_be_computed_ends_with_2_and_names_the_field(capsys):
    code, out, _ = run(capsys, "run", "pre-charge", "height=minus ten", "--json")
    assert code == 2
    errors = json.loads(out)["errors"]
    assert errors[0]["field"] == "height"
    assert "not a number" in errors[0]["message"]
    code, _, err = run(capsys, "run", "pre-charge", "height=-10 ft")
    assert code == 2
    assert err.startswith("height: ")


def test_an_unknown_calculator_or_a_word_without_equals_ends_with_2(capsys):
    assert run(capsys, "run", "perpetual-motion")[0] == 2
    assert run(capsys, "describe", "perpetual-motion", "--json")[0] == 2
    code, _, err = run(capsys, "run", FIRST, "height")
    assert code == 2
    assert "equals sign" in err


def test_entries_take_either_system_whatever_the_answers_system(capsys):
    metric = json.loads(run(capsys, "run", "pre-charge", "height=12.192 m", "--json")[1])
    customary = json.loads(run(capsys, "run", "pre-charge", "height=40 ft", "--json")[1])
    for one, other in zip(metric["results"], customary["results"], strict=True):
        if not isinstance(one["value"], str):
            assert one["value"] == pytest.approx(other["value"], rel=1e-9)


def test_entries_may_stand_before_or_after_the_options(capsys):
    before = run(capsys, "run", "pre-charge", "height=40 ft", "--system", "us", "--json")
    after = run(capsys, "run", "pre-charge", "--system", "us", "--json", "height=40 ft")
    assert before == after
    assert before[0] == 0


def test_an_unknown_option_is_refused():
    with pytest.raises(SystemExit) as ended:
        main(["run", "pre-charge", "--colour"])
    assert ended.value.code == 2


def test_lengths_and_numbers_are_taken_as_a_technician_types_them(capsys):
    def charge(height):
        code, out, _ = run(capsys, "run", "pre-charge", f"height={height}", "--json")
        assert code == 0, out
        return json.loads(out)["results"][0]["value"]

    assert charge("37' 6\"") == pytest.approx(charge("37.5 ft"))
    assert charge("37 1/2 ft") == pytest.approx(charge("37.5 ft"))
    assert charge("11,4 m") == pytest.approx(charge("11.4 m"))
    code, _, err = run(capsys, "run", "pre-charge", "height=1,500 m")
    assert code == 2
    assert err == "height: “1,500” could mean 1500 or 1.5. Write 1500, or 1.500 with a point.\n"


def test_a_gallon_typed_in_a_shell_has_to_say_which(capsys):
    code, _, err = run(capsys, "run", "pre-charge", "vessel_volume=14 gal")
    assert code == 2
    assert err.startswith("vessel_volume: The gallon in “14 gal” could be a US gallon")
    assert run(capsys, "run", "pre-charge", "vessel_volume=14 gal", "--system", "us")[0] == 0
    assert run(capsys, "run", "pre-charge", "vessel_volume=53 imp gal")[0] == 0
    code, _, err = run(capsys, "run", "pressure-trace", "cases=Plain | 12 gal | 1 bar | 1.3 bar")
    assert code == 2
    assert err.startswith("cases.0.vessel_volume: The gallon")


def test_the_working_stands_in_the_units_that_were_asked_for(capsys):
    """But for formulas that hold in one unit only, such as that of the air's pressure."""

    def units_of(system):
        found = json.loads(run(capsys, "run", "pre-charge", "--system", system, "--json")[1])
        return {
            symbol["unit"] for step in found["steps"] for symbol in (step["result"], *step["where"])
        }

    si, us = units_of("si"), units_of("us")
    assert {"m", "bar", "degC", "kg/m3", "m/s2"} <= si
    assert {"ft", "psi", "degF", "lb/ft3", "ft/s2"} <= us
    assert not {"ft", "psi", "degF", "lb/ft3", "gal"} & si
    assert not {"bar", "degC", "kg/m3", "m/s2"} & us


def test_a_file_that_is_far_too_big_is_refused_before_it_is_read(capsys, tmp_path, monkeypatch):
    big = tmp_path / "big.job.json"
    # A letter takes four bytes at most.
    big.write_bytes(b" " * 401)
    monkeypatch.setattr(jobfile, "KIND", replace(jobfile.KIND, longest=100))
    code, _, err = run(capsys, "job", str(big))
    assert code == 2
    assert err.strip() == jobfile.TOO_BIG
    big.write_bytes(b" " * 400)
    assert jobfile.TOO_BIG not in file_text(str(big), jobfile.KIND)


# Problems, assignments and results.

TASK = {
    "id": "0123456789abcdef",
    "title": "Week 3",
    "system": "us",
    "seed": 17,
    "items": [
        {"kind": "problems", "family": "pre-charge", "level": "first", "count": 2},
        {"kind": "page", "page": "survey"},
    ],
}


def class_files(folder, *names):
    """Write an assignment and a result of each name, right in the first problem alone."""
    task, _ = assignments.sound(TASK)
    (folder / "week.assignment.json").write_text(coursefile.write_assignment(task)[0])
    paths = []
    for name in names:
        first = assignments.tasks(task, name)[0][0]
        answers = {
            part.name: {"value": f"{part.kind.unit('psi').from_si(truth):.6f}", "unit": "psig"}
            for found in (problem(*first.values()),)
            for part, truth in zip(found.parts, found.truth.values(), strict=True)
        }
        items = [
            {"kind": "problems", "attempts": [{"problem": first, "answers": answers}]},
            {"kind": "page", "done": True},
        ]
        path = folder / f"{len(paths)}.result.json"
        path.write_text(
            coursefile.write_result({"assignment": task, "trainee": name, "items": items}),
            encoding="utf-8",
        )
        paths.append(path)
    return folder / "week.assignment.json", paths


def test_a_problem_is_set_by_its_seed_and_marked(capsys):
    words = ("problem", "pre-charge", "--seed", "7", "--system", "us")
    code, out, _ = run(capsys, *words, "--json")
    assert code == 0
    found = json.loads(out)
    assert found == json.loads(run(capsys, *words, "--json")[1])
    assert found["problem"] == {
        "family": "pre-charge",
        "level": "first",
        "seed": 7,
        "system": "us",
    }
    name = found["parts"][-1]["name"]
    truth = problem("pre-charge", "first", 7, "us").truth[name]
    psi = truth / 6894.757293168361
    code, out, _ = run(capsys, *words, "--answer", f"{name}={psi:.6f} psig")
    assert code == 0
    assert out.splitlines()[-1].endswith("Right, 3 of 3. Right.")
    code, out, _ = run(capsys, *words, "--answer", f"{name}={psi * 2:.6f} psig", "--json")
    assert json.loads(out)["marks"]["parts"][-1]["state"] != "right"


def test_without_a_seed_the_problem_is_that_of_seed_nought(capsys):
    _, out, _ = run(capsys, "problem", "pre-charge", "--json")
    assert out == run(capsys, "problem", "pre-charge", "--seed", "0", "--json")[1]
    assert json.loads(out)["problem"]["seed"] == 0


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["tea"], "family: There is no kind of problem “tea”. Choose one of: "),
        (["pre-charge", "--level", "deadly"], "level: It has no level “deadly”. Choose one of: "),
        (["pre-charge", "--answer", "sugar=2"], "answer: “sugar=2” is no answer. Write one of "),
        (["pre-charge", "--answer", "charge_set"], "answer: “charge_set” is no answer."),
    ],
)
def test_a_problem_that_does_not_exist_ends_with_2(capsys, words, said):
    code, out, err = run(capsys, "problem", *words)
    assert (code, out) == (2, "")
    assert err.startswith(said)


def test_a_seed_is_a_whole_number():
    for seed in ("-1", "1.5", "x", str(2**53), "٣"):
        with pytest.raises(SystemExit) as ended:
            main(["problem", "pre-charge", f"--seed={seed}"])
        assert ended.value.code == 2


def test_a_list_of_nothing_is_nothing():
    assert shell._list_text([]) == ""


def test_an_assignment_is_read(capsys, tmp_path):
    path, _ = class_files(tmp_path)
    code, out, _ = run(capsys, "assignment", str(path))
    assert code == 0
    assert out.startswith("Week 3\nAssignment 0123456789abcdef, units us, pass 70 percent\n")
    assert "Read “Survey the system”" in out
    assert json.loads(run(capsys, "assignment", str(path), "--json")[1])["notes"] == []
    path.write_text("{}")
    code, out, err = run(capsys, "assignment", str(path))
    assert (code, out) == (2, "")
    assert err == coursefile.ASSIGNMENT.not_ours + "\n"
    code, _, err = run(capsys, "assignment", str(tmp_path / "none.json"))
    assert code == 2
    assert err.endswith("cannot be read: No such file or directory. Check its name and place.\n")


def test_a_class_is_marked_again_and_put_into_one_table(capsys, tmp_path):
    task, paths = class_files(tmp_path, "Cy", "Ana", "=1+1")
    words = [str(path) for path in paths]
    code, out, err = run(capsys, "results", *words)
    assert (code, err) == (0, "")
    assert out.startswith("Week 3 (0123456789abcdef)\n")
    assert [line.split()[0] for line in out.splitlines() if "not passed" in line] == [
        "=1+1",
        "Ana",
        "Cy",
    ]
    code, out, _ = run(capsys, "results", *words, "--csv")
    assert code == 0
    rows = list(csv.reader(out.splitlines()))
    assert [row[rows[0].index("trainee")] for row in rows[1:]] == ["'=1+1", "Ana", "Cy"]
    assert {row[rows[0].index("percent")] for row in rows[1:]} == {"50"}
    found = json.loads(run(capsys, "results", *words, "--assignment", str(task), "--json")[1])
    assert [one["points"] for one in found["groups"][0]["trainees"]] == [3, 3, 3]
    assert found["told"] == found["errors"] == []


def test_a_result_that_is_refused_ends_with_2_and_the_rest_is_still_told(capsys, tmp_path):
    task, paths = class_files(tmp_path, "Ana", "Ben")
    paths[1].write_text(paths[1].read_text(encoding="utf-8").replace("Ben", "Bea"))
    words = [*map(str, paths), str(tmp_path / "none"), str(task)]
    code, out, err = run(capsys, "results", *words)
    assert code == 2
    assert "Ana" in out
    assert "Bea" not in out
    assert err.splitlines()[0] == f"{paths[1]}: {coursefile.CHANGED}"
    assert err.splitlines()[1].startswith(f"{tmp_path / 'none'}: ")
    assert coursefile.MISTAKEN["cold-fill-assignment"] in err
    code, out, _ = run(capsys, "results", *words, "--json")
    assert code == 2
    assert len(json.loads(out)["errors"]) == 3
    assert run(capsys, "results", str(paths[1]))[:2] == (2, "")
    assert run(capsys, "results", str(paths[0]), "--assignment", str(paths[0]))[0] == 2


def test_json_is_printed_for_people_too(capsys):
    for words in (("run", "pre-charge", "--json"), ("run", "pre-charge", "height=x", "--json")):
        _, out, _ = run(capsys, *words)
        lines = out.strip().split("\n")
        assert len(lines) > 3
        assert lines[1].startswith(' "')


def test_a_shell_asks_for_a_command_and_for_a_system_that_there_is(capsys):
    for words in ((), ("run", FIRST, "--system", "metric")):
        with pytest.raises(SystemExit) as ended:
            main(list(words))
        assert ended.value.code == 2
    assert "invalid choice: 'metric'" in capsys.readouterr().err


def test_json_may_be_asked_for_before_the_command(capsys):
    before, after = run(capsys, "--json", "list"), run(capsys, "list", "--json")
    assert before == after
    assert json.loads(before[1])


def test_a_job_that_is_not_there_is_told_as_asked_for(capsys, tmp_path):
    gone = str(tmp_path / "none.job.json")
    code, out, err = run(capsys, "job", gone)
    assert (code, out) == (2, "")
    code, out, err = run(capsys, "job", gone, "--json")
    assert (code, err) == (2, "")
    assert "cannot be read" in json.loads(out)["errors"][0]["message"]


def test_json_keeps_the_signs_of_the_trade(capsys):
    assert "°C" in run(capsys, "run", "pre-charge", "--json")[1]
    assert "“" in run(capsys, "run", "pre-charge", "height=x", "--json")[1]


def test_a_pipe_whose_reader_has_gone_is_no_failure(monkeypatch, tmp_path):
    def broken():
        raise BrokenPipeError

    monkeypatch.setattr(shell, "main", broken)
    with open(tmp_path / "pipe", "w") as pipe:
        monkeypatch.setattr(shell.sys, "stdout", pipe)
        assert shell._run_in_a_pipe() == 0
        # What is still to be written goes nowhere, so that no second complaint follows.
        print("late", file=pipe, flush=True)
    monkeypatch.undo()
    assert (tmp_path / "pipe").read_text() == ""

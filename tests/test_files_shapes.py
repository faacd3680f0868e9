"""Where a file is wrong is said by the names and numbers that a reader finds there."""

import io
import sys
from dataclasses import replace
from types import SimpleNamespace

import pytest

from calc.files.canon import FileRefusal, canonical, checksum
from calc.files.opened import FileKind, file_text, not_there
from calc.files.seen import csv_lines, visible
from calc.files.shapes import (
    Day,
    Each,
    Flag,
    Id,
    Named,
    OneOf,
    Parts,
    Text,
    Time,
    Told,
    Whole,
    Wrong,
    moment,
    plainly_named,
    signs,
)
from calc.job import sound


@pytest.mark.parametrize(
    ("value", "part"),
    [
        ({"a": {"__proto__": 1}}, "a"), ([{"a": 1}, {"no name": 1}], "2"),
        ({"rows": [{}, {}, {"b": {"": 1}}]}, "rows.3.b"),
    ],
)  # fmt: skip
def test_a_strange_name_is_found_by_counting_from_one(value, part):
    with pytest.raises(Wrong) as wrong:
        plainly_named(value, 9)
    assert wrong.value.part == part
    assert "never writes" in wrong.value.want


def test_parts_lie_as_deep_as_allowed_and_no_deeper():
    deep = {"a": [{"b": {}}]}
    plainly_named(deep, 4)
    with pytest.raises(Wrong) as wrong:
        plainly_named(deep, 3)
    assert wrong.value.part == "a.1.b"
    assert "too deep" in wrong.value.want


def fits(shape, value):
    try:
        shape.check(value, Told())
    except Wrong:
        return False
    return True


@pytest.mark.parametrize(
    ("shape", "right", "wrong"),
    [
        (Text(3), ["", "abc", "a😀"], ["abcd", "ab😀", None, 3, ["a"]]),
        (Text(options=("a", "b")), ["a", "b"], ["", "c", "ab", None]),
        (Flag(), [True, False], [0, 1, "", None]),
        (Id(), ["0123456789abcdef"], ["0123456789abcde", "0123456789abcdef0", "x" * 16, "", 7]),
        (Time(), ["", "2026-05-14T08:05:12Z"], ["2026-05-14T08:05:12", None, 0]),
        (Day(), ["", "2026-02-28", "2024-02-29"], ["2026-02-29", "2026-2-28", "1899-01-01", None]),
        (Whole(2, 5), [2, 5], [1, 6, 3.0, True, "3", None]),
        (Whole(0, 1), [0, 1], [False, True, -1]),
        (Each(Flag(), 2), [[], [True, False]], [[True] * 3, [0], (True,), {}]),
        (
            Named(Flag(), 2),
            [{}, {"a": True, "b": False}],
            [dict.fromkeys("abc", True), {"a": 0}, []],
        ),
        (OneOf((Flag(), Text()), "has to be one"), [True, "x"], [3, None]),
    ],
)
def test_what_fits_a_shape_and_what_does_not(shape, right, wrong):
    assert [value for value in right if not fits(shape, value)] == []
    assert [value for value in wrong if fits(shape, value)] == []


def test_a_list_and_a_mapping_hold_a_thousand_where_nothing_else_is_said():
    for many, fit in ((1000, True), (1001, False)):
        assert fits(Each(Flag()), [True] * many) is fit
        assert fits(Named(Flag()), {str(n): True for n in range(many)}) is fit
    assert fits(Text(), "x" * 4000)
    assert not fits(Text(), "x" * 4001)


def test_parts_have_to_be_there_and_others_are_told_or_refused():
    shape = Parts({"a": Flag(), "b": Text()}, ("a",))
    assert fits(shape, {"a": True})
    assert not fits(shape, {"b": "x"})
    assert not fits(shape, {"a": 1})
    assert not fits(shape, [])
    told = Told()
    shape.check({"a": True, "c": 1}, told)
    assert told.listed() == ["“c” is no part of such a record. It is kept and not used."]
    closed = replace(shape, closed=True)
    assert fits(closed, {"a": True, "b": ""})
    with pytest.raises(Wrong) as wrong:
        closed.check({"a": True, "c": 1}, told)
    assert wrong.value.part == "c"


@pytest.mark.parametrize(("many", "told"), [(29, 29), (30, 30), (31, 31), (40, 31)])
def test_thirty_notes_are_told_and_the_rest_counted(many, told):
    notes = Told()
    for number in range(many):
        notes.tell(f"Note {number}")
        notes.tell(f"Note {number}")
    listed = notes.listed()
    assert len(listed) == told
    assert listed[:29] == [f"Note {number}" for number in range(29)]
    assert (listed[-1] == f"And {many - 30} more of that kind.") is (many > 30)


@pytest.mark.parametrize(
    ("text", "length"), [("abc", 3), ("é\uffff", 2), ("a😀", 3), ("\U00010000", 2)]
)
def test_signs_are_counted_as_a_browser_counts_them(text, length):
    """UTF-16 has two units for what lies above U+FFFF (ECMA-262, the length of a String)."""
    assert signs(text) == length == len(text.encode("utf-16-le")) // 2


def test_a_moment_has_its_offset_and_is_one_of_the_calendar():
    for text in (
        "1900-01-01T00:00:00Z", "2999-12-31T23:59:59.999999-05:30", "2026-05-14T08:05:12.5+02:00",
    ):  # fmt: skip
        assert moment(text).tzinfo is not None
    for text in (
        "1899-12-31T00:00:00Z", "3000-01-01T00:00:00Z", "2026-05-14T24:01:00Z",
        "2026-05-14T08:05:12.1234567Z", "2026-05-14 08:05:12Z", "2026-05-14T08:05:12Z\n", None, 5,
    ):  # fmt: skip
        assert moment(text) is None, text


def test_whole_numbers_stand_in_a_text_only_where_they_are_asked_for():
    """2**53 - 1 is the largest that every program reads alike (ECMA-262, MAX_SAFE_INTEGER)."""
    most = 9007199254740991
    assert canonical([0, most], True) == f"[0,{most}]"
    assert checksum([0], True) != checksum(["0"], True)
    for value in (-1, most + 1, 1.5, None):
        with pytest.raises(FileRefusal, match="where a text belongs"):
            canonical(value, True)
    for numbers in ((), (False,)):
        with pytest.raises(FileRefusal, match="A number"):
            canonical([1], *numbers)


KIND = FileKind(
    format="odd", version=2, body="body", longest=200, most_parts=10, deepest=3, digits=2,
    numbers=True, not_ours="Not ours.", not_text="Not text.", too_big="Too big.",
)  # fmt: skip


def opened(body, version=2, **kind):
    text = f'{{"format":"odd","version":{version},"checksum":"x","body":{body}}}'
    try:
        return replace(KIND, **kind).opened(text)[0]
    except FileRefusal as refused:
        return refused.message


def test_an_older_version_is_read_and_a_newer_one_sends_for_a_newer_book():
    assert opened("[]", version=1) == opened("[]", version=2) == []
    assert "newer edition" in opened("[]", version=3)
    assert "not a number from 1 up" in opened("[]", version=0)


@pytest.mark.parametrize(
    ("body", "found"),
    [
        ("[[]]", [[]]),
        ("[[[]]]", "Not ours."),
        ('["[,{,]}","\\"[,"]', ["[,{,]}", '"[,']),
        ('"' + "x" * 200 + '"', "Too big."),
    ],
)
def test_a_file_is_measured_by_its_parts_before_it_is_built(body, found):
    assert opened(body) == found


def test_the_brackets_and_commas_of_a_file_are_counted_to_the_last():
    """Two brackets and three commas are the file's own, six and one its body's."""
    assert opened("[[],[]]", most_parts=12) == [[], []]
    assert opened("[[],[]]", most_parts=11) == "Too big."


def test_a_whole_number_has_no_more_digits_than_its_kind_of_file():
    assert opened("99") == 99
    assert not isinstance(opened("100"), int | str)
    assert not isinstance(opened("1.5"), float | str)


def test_a_file_may_be_just_as_long_as_its_kind_and_no_longer():
    body = ["x" * 40]
    text = KIND.written(body)
    assert text.endswith('"body":["' + "x" * 40 + '"]}\n')
    kind = replace(KIND, longest=len(text))
    assert kind.written(body) == text
    assert kind.opened(text) == (body, kind.sum(body))
    kind = replace(KIND, longest=len(text) - 1)
    with pytest.raises(FileRefusal, match="Too big"):
        kind.written(body)
    with pytest.raises(FileRefusal, match="Too big"):
        kind.opened(text)


@pytest.mark.parametrize("way", ["path", "pipe"])
def test_of_a_file_no_more_is_read_than_four_bytes_a_sign(way, tmp_path, monkeypatch):
    """UTF-8 has four bytes for a sign at most (RFC 3629)."""
    for many, fit in ((800, True), (801, False)):
        data = b"x" * many
        file = "-"
        if way == "path":
            file = tmp_path / "one"
            file.write_bytes(data)
        monkeypatch.setattr(sys, "stdin", SimpleNamespace(buffer=io.BytesIO(data)))
        if fit:
            assert file_text(str(file), KIND) == "x" * many
        else:
            with pytest.raises(FileRefusal, match="Too big"):
                file_text(str(file), KIND)


def test_a_file_that_is_not_there_is_named_with_the_reason_there_is():
    assert not_there("a.json", OSError(2, "No such file")).startswith("a.json cannot be read: No s")
    assert not_there("a.json", OSError("odd")).startswith("a.json cannot be read: odd.")


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        ("-1.5", "-1.5"),
        ("+1,5e-3", '"+1,5e-3"'),
        ("-1.5 bar", "'-1.5 bar"),
        ("1=1", "1=1"),
        ("a;-b", "a;'-b"),
        ("a\n@b", '"a\n\'@b"'),
        ("＠a", "'＠a"),
        ("", ""),
    ],
)
def test_only_plain_numbers_may_begin_as_a_formula_does(text, cell):
    assert csv_lines([["x", text]]) == f"x,{cell}\r\n"


def test_ascii_signs_that_steer_are_written_out_with_two_digits_at_least():
    assert visible("a\tb") == "a⟨09⟩b"
    assert visible("é\nb") == "é\nb"
    assert visible("\u2029\ud800") == "⟨2029⟩⟨D800⟩"


# The limits of a job, at their very edge.

ID = "0123456789abcdef"


def job_with(records=None, name="Plant room"):
    return {"id": ID, "name": name, "created": "", "records": records or {}, "photos": {}}


def refused_job(job):
    try:
        sound(job)
    except FileRefusal as refused:
        return refused.message
    return ""


def test_a_name_of_a_job_and_of_a_record_has_two_hundred_letters_at_most():
    assert refused_job(job_with(name="x" * 200)) == ""
    assert refused_job(job_with({"x" * 200: "y"})) == ""
    assert "never writes" in refused_job(job_with({"x" * 201: "y"}))
    assert refused_job(job_with({"a": {"x" * 200: "y"}})) == ""
    assert "never writes" in refused_job(job_with({"a": {"x" * 201: "y"}}))


def test_a_job_holds_as_many_records_and_kept_results_as_is_said():
    assert refused_job(job_with({f"x/{number}": "" for number in range(5000)})) == ""
    pin = {"calculator": "a", "phase": "left", "system": "si", "inputs": {}, "results": []}
    assert refused_job(job_with({f"pin/{number:016x}": pin for number in range(200)})) == ""


@pytest.mark.parametrize(
    ("record", "letters"),
    [
        (["x" * 4000] * 99, 99 * 4001),
        ({"ab": "x" * 10, "c": ["", True]}, 2 + 10 + 1 + 2 + 0 + 5),
    ],
)
def test_letters_of_a_record_are_those_of_its_texts_and_names_and_one_an_item(record, letters):
    """Its key counts too; true and false count as five. What is left is filled up to the limit."""
    left = 400_000 - letters - len("x/a") - len("fill") - len("more")
    fill = ["x" * 4000] * (left // 4001)
    left -= 4001 * len(fill)
    whole = {"more": record, "fill": [*fill, "x" * (left - 1)]}
    assert refused_job(job_with({"x/a": whole})) == ""
    whole["fill"][-1] += "x"
    assert "400 000 letters" in refused_job(job_with({"x/a": whole}))


def test_letters_of_all_records_are_counted_to_the_last():
    """Twelve records of 400 000 letters and one of the rest make five million."""
    big = ["x" * 3999] * 100
    records = {f"x/{number:02}": [*big[:-1], "x" * (3999 - 4)] for number in range(12)}
    last = ["x" * 3999] * 49 + ["x" * (3999 - 4)]
    assert refused_job(job_with(records | {"x/12": last})) == ""
    assert "5 million" in refused_job(job_with(records | {"x/12": [*last[:-1], last[-1] + "x"]}))


def test_a_record_lies_twelve_deep_at_most():
    deep = "x"
    for _ in range(12):
        deep = [deep]
    assert refused_job(job_with({"x/a": deep})) == ""
    assert "12 deep" in refused_job(job_with({"x/a": [deep]}))

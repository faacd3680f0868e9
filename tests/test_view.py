"""The HTML of calculators: complete without script, and safe whatever is typed."""

import json
import re
from html.parser import HTMLParser
from itertools import pairwise

import pytest

import view
from calc import bridge
from calc.calculators import CALCULATORS
from view import charts, maths
from view.answer import parts, summary
from view.html import Html, h, html

IDS = [c.id for c in CALCULATORS]
VOID = {"br", "hr", "img", "input", "link", "meta", "wbr"}


class Outline(HTMLParser):
    """Collects tags and ids, and proves that every element is closed in order."""

    def __init__(self):
        super().__init__()
        self.open, self.ids, self.tags, self.outputs, self.text = [], [], [], {}, []

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        self.tags.append((tag, found))
        if "id" in found:
            self.ids.append(found["id"])
        if tag == "output":
            self.outputs[found["name"]] = found
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        self.text.append(data)


def outline(text):
    found = Outline()
    found.feed(text)
    found.close()
    assert found.open == []
    return found


def test_text_and_attributes_are_escaped_where_they_are_put_in():
    made = h("p", {"title": 'a"b<c&'}, "<script>", Html("<b>x</b>"), None, ["&"])
    assert made == '<p title="a&quot;b&lt;c&amp;">&lt;script&gt;<b>x</b>&amp;</p>'
    assert html("<i>", h("br")) == "&lt;i&gt;<br>"


def test_attributes_that_do_not_apply_are_left_out():
    assert h("input", {"hidden": False, "id": None, "required": True}) == "<input required>"


@pytest.mark.parametrize("id", IDS)
@pytest.mark.parametrize("system", ["si", "us"])
def test_a_calculator_is_whole_html_with_its_example_computed(id, system):
    found = outline(view.calculator(id, system))
    assert len(set(found.ids)) == len(found.ids)
    answer = bridge.run(id, {}, system)
    for result in answer["results"]:
        shown = found.outputs[result["name"]]
        if not isinstance(result["value"], str):
            assert float(shown["data-value"]) == pytest.approx(result["value"])
        assert shown["data-unit"] == result["unit"]
    names = {a.get("name") for tag, a in found.tags if tag in ("input", "select")}
    for entry in next(c for c in CALCULATORS if c.id == id).inputs:
        assert any(n == entry.name or str(n).startswith(f"{entry.name}.") for n in names), (
            entry.name
        )


@pytest.mark.parametrize("id", IDS)
def test_every_control_is_labelled_and_described_by_things_that_exist(id):
    found = outline(view.calculator(id))
    labelled = {a["for"] for tag, a in found.tags if tag == "label" and "for" in a}
    for tag, attributes in found.tags:
        if tag not in ("input", "select") or attributes.get("type") == "radio":
            continue
        assert attributes.get("id") in labelled or "aria-label" in attributes, attributes
        for reference in attributes.get("aria-describedby", "").split():
            assert reference in found.ids


@pytest.mark.parametrize("id", IDS)
def test_pictures_have_a_text_alternative_and_their_numbers(id):
    found = outline(view.calculator(id))
    pictures = [a for tag, a in found.tags if tag == "svg" and a.get("role") == "img"]
    assert pictures
    for picture in pictures:
        assert all(r in found.ids for r in picture["aria-labelledby"].split())
    assert sum(1 for tag, _ in found.tags if tag == "figure") == len(pictures)


@pytest.mark.parametrize("hostile", ["<img src=x onerror=alert(1)>", '"><script>x</script>', "{0}"])
def test_nothing_typed_becomes_markup(hostile):
    for c in CALCULATORS:
        for entry in c.inputs:
            request = {"op": "run", "calculator": c.id, "inputs": {entry.name: hostile}}
            answer = json.loads(view.respond(json.dumps(request)))
            for part in answer.get("html", {}).values():
                assert "<img" not in part
                assert "<script" not in part


def test_the_workers_answer_to_a_run_holds_html_and_a_sentence():
    answer = json.loads(view.respond(json.dumps({"op": "run", "calculator": IDS[0]})))
    assert set(answer["html"]) == {"glance", "results", "checks", "charts", "steps"}
    assert answer["summary"].endswith(".")
    for part in answer["html"].values():
        outline(part)


@pytest.mark.parametrize("id", IDS)
def test_an_answer_without_its_working_says_all_else_the_same(id):
    request = {"op": "run", "calculator": id}
    whole = json.loads(view.respond(json.dumps(request)))
    lean = json.loads(view.respond(json.dumps({**request, "working": False})))
    steps = whole["html"].pop("steps")
    folded = lean["html"].pop("steps")
    assert lean["html"] == whole["html"]
    assert lean["summary"] == whole["summary"]
    assert lean["answer"] == {name: whole["answer"][name] for name in lean["answer"]}
    # Folded, the two look the same.
    assert folded.startswith("<details") == steps.startswith("<details")
    assert folded.partition("</summary>")[0] == steps.partition("</summary>")[0]
    assert "<li>" not in folded


def test_the_spoken_sentence_names_what_is_not_acceptable():
    answer = {
        "results": [{"label": "Charge", "text": "1 bar", "headline": True}],
        "checks": [
            {"label": "Margin", "status": "fail", "own_words": False},
            {"label": "Other", "status": "pass", "own_words": False},
            {"label": "Lost charge", "status": "fail", "own_words": True},
        ],
    }
    assert summary(answer) == "Charge 1 bar. Not acceptable: Margin."


def test_formulas_become_mathml_with_brackets_only_where_needed():
    text = re.sub(r"<[^>]+>", "", maths.equation("V_N", "(a + b)*c - (d - e)"))
    assert text == "VN=(a+b)·c−(d−e)"
    assert "<mfrac>" in maths.equation("x", "a/(b + c)")
    assert "(" not in re.sub(r"<[^>]+>", "", maths.equation("x", "a/(b + c)"))
    assert "<msqrt>" in maths.equation("v", "sqrt(2*g*h)")
    assert "ρ" in maths.equation("p", "rho*g*h")


def test_a_power_of_a_sum_keeps_its_brackets():
    text = re.sub(r"<[^>]+>", "", maths.equation("x", "(a + b)**2"))
    assert text == "x=(a+b)2"


@pytest.mark.parametrize(
    ("low", "high"), [(0, 1), (10, 80), (-0.3, 2.7), (1e-6, 3e-6), (0, 123456), (3, 3.0000001)]
)
def test_ticks_are_round_and_hold_the_range(low, high):
    found = charts.ticks(low, high)
    assert found[0] <= low + 1e-12
    assert found[-1] >= high - 1e-12
    assert 2 <= len(found) <= 13
    steps = {round((b - a) / (found[1] - found[0]), 6) for a, b in pairwise(found)}
    assert steps == {1.0}


def test_a_flat_line_is_drawn_without_dividing_by_nothing():
    data = {
        "type": "lines", "id": "flat", "title": "T", "summary": "S",
        "x": {"label": "t", "unit": "s"}, "y": {"label": "p", "unit": "bar"},
        "series": [{"label": "s", "role": "main", "points": [[0, 2.0], [1, 2.0]]}],
        "levels": [], "marks": [],
    }  # fmt: skip
    outline(charts.chart("toy", data))


def test_labels_at_the_same_height_do_not_lie_on_each_other():
    placed = []
    heights = [charts._free(100, 70, 20, "start", placed) for _ in range(5)]
    assert len(set(heights)) == 5
    gaps = [abs(a - b) for n, a in enumerate(heights) for b in heights[:n]]
    assert min(gaps) >= charts._LABEL_GAP - 1e-9


@pytest.mark.parametrize("id", IDS)
def test_parts_are_the_same_at_build_time_and_in_the_worker(id):
    answer = bridge.run(id, {}, "si")
    request = {"op": "run", "calculator": id, "system": "si"}
    worker = json.loads(view.respond(json.dumps(request)))["html"]
    page = view.calculator(id)
    for name, part in parts(answer).items():
        assert worker[name] == part
        assert part in page


def test_the_index_asks_each_calculators_question():
    text = view.calculator_index()
    for c in CALCULATORS:
        assert c.question in text


def test_the_sources_page_lists_every_source_once_with_a_status():
    found = outline(view.sources())
    assert len(set(found.ids)) == len(found.ids) > 10


@pytest.mark.parametrize("id", IDS)
def test_a_section_shows_when_one_of_its_fields_does(id):
    class Sections(HTMLParser):
        def __init__(self):
            super().__init__()
            self.found = []

        def handle_starttag(self, tag, attrs):
            given = dict(attrs)
            kinds = (given.get("class") or "").split()
            if "lc-section" in kinds:
                self.found.append(["hidden" in given, []])
            # The fields of a table's rows do not count: the table does.
            elif "lc-field" in kinds and "data-field" in given and self.found:
                self.found[-1][1].append("hidden" in given)

    reader = Sections()
    reader.feed(str(view.calculator(id)))
    assert reader.found or not bridge.calculator(id).sections
    for hidden, fields in reader.found:
        assert fields
        assert hidden == all(fields)

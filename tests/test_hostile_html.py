"""No text of a stranger becomes markup: whatever the engine is asked, its HTML stays its own.

Everything that a page puts in as HTML is an answer of `view.respond`. Here each text of each kind
of request, down to the last row of a stranger's file, is put in place by hostile ones.
"""

import copy
import json
import os
import re
from html import unescape
from pathlib import Path

import pytest

import view
from calc import bridge
from calc.calculators import CALCULATORS
from calc.files.canon import FileRefusal, checksum
from calc.training import assignment as assignments
from calc.training.problem import families
from view.html import Html

# The code that escapes is the same in the browser's Python, where this would take minutes.
pytestmark = pytest.mark.native

DATA = Path(__file__).parent / "data"
HOSTILE = json.loads((DATA / "hostile.json").read_text(encoding="utf-8"))
LARCH = json.loads((DATA / "larch-street.job.json").read_text(encoding="utf-8"))["job"]
NOW = "2026-05-14T21:00:00+02:00"
# Everything that the engine's HTML is made of.
ELEMENTS = frozenset(
    (
        "a article b br button caption circle code col colgroup dd defs desc details div dl dt em "
        "fieldset figcaption figure footer form g h1 h2 h3 h4 h5 h6 header hr i img input kbd "
        "label legend li line linearGradient live-calculator marker math mfenced mfrac mi mn mo "
        "mover mpadded mphantom mroot mrow ms mspace msqrt mstyle msub msubsup msup mtable mtd "
        "mtext mtr munder munderover nav ol optgroup option output p path pattern polygon "
        "polyline rect section select small span stop strong sub summary sup svg table tbody td "
        "text textarea tfoot th thead time title tr tspan ul use var wbr "
    ).split()
)
VOID = frozenset("br col hr img input wbr".split())
TEXT = re.compile(r"(?:[^<>&]|&(?:amp|lt|gt|quot|#\d+|#x[0-9a-f]+);)+")
ATTRIBUTE = re.compile(r'\s+([a-zA-Z][\w:.-]*)(?:="((?:[^<>"&]|&(?:amp|lt|gt|quot|#\d+);)*)")?')
TAG = re.compile(rf"<(/?)([a-zA-Z][\w-]*)((?:{ATTRIBUTE.pattern})*)\s*(/?)>")
ADDRESSES = frozenset(("href", "src", "action", "formaction", "data", "xlink:href", "poster"))
OWN_PHOTO = re.compile(r"data:image/jpeg;base64,[A-Za-z0-9+/]+=*")


def elements(html):
    """Return (name, attributes) of each element. What is not written strictly fails."""
    found, open_, at = [], [], 0
    while at < len(html):
        if match := TEXT.match(html, at):
            at = match.end()
            continue
        match = TAG.match(html, at)
        assert match, f"no markup of ours: {html[at : at + 80]!r}"
        at = match.end()
        closing, name, attributes = match[1], match[2], match[3]
        if closing:
            assert open_[-1:] == [name]
            open_.pop()
            continue
        texts = {key: unescape(text) for key, text in ATTRIBUTE.findall(attributes)}
        found.append((name, texts))
        if name not in VOID and not match[match.re.groups]:
            open_.append(name)
    assert open_ == []
    return found


def check(html):
    """Fail on anything that is not the engine's own way of writing."""
    for name, attributes in elements(html):
        assert name in ELEMENTS, name
        for key, text in attributes.items():
            assert not key.lower().startswith("on"), (name, key)
            assert key.lower() not in ("style", "srcdoc", "srcset", "is", "ping"), (name, key)
            if key.lower() in ADDRESSES:
                plain = re.sub(r"[\x00-\x20]", "", text).lower()
                own = plain.startswith(("#", "../", "./")) or plain in ("", "..", ".")
                assert own or (name == "img" and OWN_PHOTO.fullmatch(text)), (name, key, text[:80])


class Catching:
    """Stands in for `json` in `view`, and keeps what would be sent."""

    loads = staticmethod(json.loads)

    def __init__(self):
        self.answer = None

    def dumps(self, answer, **options):
        self.answer = answer
        return json.dumps(answer, **options)


@pytest.fixture
def ask(monkeypatch):
    """Ask the engine; every piece of HTML in the answer has to be its own. Return the answer."""
    catching = Catching()
    monkeypatch.setattr(view, "json", catching)

    def asked(request):
        catching.answer = None
        view.respond(json.dumps(request))
        for html in markup(catching.answer):
            check(html)
        return catching.answer

    return asked


def markup(found, key=""):
    """Yield each text that a page puts in as HTML; it has to have been built as such."""
    if isinstance(found, dict):
        for name, inner in found.items():
            yield from markup(inner, "html" if "html" in (name, key) else name)
    elif isinstance(found, list | tuple):
        for inner in found:
            yield from markup(inner, key)
    elif isinstance(found, str) and (key == "html" or type(found) is Html):
        assert type(found) is Html or found == "", f"a text was sent as HTML: {found[:80]!r}"
        yield found


def leaves(found, place=()):
    """Yield the place of each text in a request."""
    if isinstance(found, dict):
        for name, inner in found.items():
            yield from leaves(inner, (*place, name))
    elif isinstance(found, list):
        for number, inner in enumerate(found):
            yield from leaves(inner, (*place, number))
    elif isinstance(found, str):
        yield place


def with_text(request, place, text):
    """Return the request with another text at a place."""
    changed = copy.deepcopy(request)
    inner = changed
    for step in place[:-1]:
        inner = inner[step]
    inner[place[-1]] = text
    return changed


# The marathon tries every text at every place.
DEEP = bool(os.environ.get("HANDBOOK_RANDOM_RUNS"))


def some(number, count):
    """Return a few hostile texts, others for each number, so that all have their turn."""
    if DEEP:
        return HOSTILE
    return [HOSTILE[(number * count + one) % len(HOSTILE)] for one in range(count)]


# The net itself.


@pytest.mark.parametrize(
    "html",
    [
        "<script>1</script>",
        "<p onclick='x'>a</p>",
        '<p onclick="x">a</p>',
        '<p style="color: red">a</p>',
        '<a href="javascript:x">a</a>',
        '<a href="java&#10;script:x">a</a>',
        '<a href="//elsewhere.invalid/">a</a>',
        '<img src="https://elsewhere.invalid/">',
        '<img src="data:image/svg+xml,x">',
        "<p>a<b</p>",
        "<p>a & b</p>",
        "<p>a",
        "a</p>",
        "<p><b>a</p></b>",
        "<!-- a -->",
        '<p title="a>b">c</p>',
        "<unknown-element></unknown-element>",
        '<form action="https://elsewhere.invalid/"></form>',
    ],
)
def test_the_net_catches(html):
    with pytest.raises(AssertionError):
        check(html)


def test_the_net_lets_ours_pass():
    check('<p class="a" data-key="&lt;b&gt;">1 &lt; 2 &amp; <a href="../x/#y?z=1">go</a><br></p>')
    assert elements('<p title="&lt;b&gt;">a</p>') == [("p", {"title": "<b>"})]


def test_a_text_that_is_sent_as_html_is_caught():
    with pytest.raises(AssertionError, match="sent as HTML"):
        list(markup({"html": {"room": "<p>by hand</p>"}}))


# Calculators.


def entries(id):
    """Return the entries of a calculator's own example, as a page sends them."""
    told = bridge.description(id, "si")
    found = {}
    for one in told["inputs"]:
        default = one.get("default")
        found[one["name"]] = default if isinstance(default, str | dict | list) else str(default)
    return found


@pytest.mark.parametrize("id", [c.id for c in CALCULATORS])
def test_no_entry_becomes_markup(ask, id):
    request = {"op": "run", "calculator": id, "inputs": entries(id), "system": "si"}
    assert "html" in ask(request)
    for number, place in enumerate(leaves(request["inputs"], ("inputs",)), 7 * len(id)):
        for text in some(number, 1):
            ask(with_text(request, place, text))
    for text in some(len(id), 3):
        ask({**request, "inputs": {**request["inputs"], text: text}})


def test_hostile_names_come_as_far_as_an_answer(ask):
    request = {"op": "run", "calculator": "system-volume", "inputs": entries("system-volume")}
    place = ("inputs", "boilers", 0, "name")
    assert sum("html" in ask(with_text(request, place, text)) for text in HOSTILE) > 30


# A stranger's job.


def job_request(op, job):
    return {"op": op, "job": job, "system": "si", "now": NOW}


def one_of_each_kind():
    """Return the example job with one record of each kind: the same shapes, far less to compute."""
    kinds = {name.partition("/")[0]: name for name in sorted(LARCH["records"], reverse=True)}
    return {**LARCH, "records": {name: LARCH["records"][name] for name in kinds.values()}}


def takes(job, place, text):
    request = job_request("job-write", with_text(job, place, text))
    return "errors" not in bridge.answer(request)


@pytest.fixture(scope="module")
def free():
    """Return a job, the places in it that take any text, and the texts that a job takes at all."""
    job = {**one_of_each_kind(), "photos": {}}
    words = ("records", "about/called", "text")
    texts = [text for text in HOSTILE if takes(job, words, text)]
    return job, [place for place in leaves(job) if takes(job, place, "<b title='x\">&amp;")], texts


def test_any_text_may_stand_in_many_places_of_a_job(free):
    _, places, texts = free
    assert len({place[1].partition("/")[0] for place in places if len(place) > 1}) >= 6
    assert len(texts) > len(HOSTILE) // 2


@pytest.mark.parametrize("turn", range(4))
def test_no_text_of_a_job_becomes_markup_in_its_report(ask, free, turn):
    job, places, texts = free
    for number, place in enumerate(places):
        job = with_text(job, place, texts[(number * 4 + turn) % len(texts)])
    assert len(ask(job_request("job-report", job))["html"]) > 5_000


def test_no_name_of_a_record_becomes_markup(ask):
    job = one_of_each_kind()
    for number, before in enumerate(job["records"]):
        for text in some(number, 3):
            records = dict(job["records"])
            records[f"{before.partition('/')[0]}/{text}"] = records.pop(before)
            ask(job_request("job-report", {**job, "records": records}))


# Readings.

READINGS = [
    {"id": "c", "time": "2026-05-14T06:30:00+02:00", "gauge": "1.5 bar", "temperature": "12 degC",
     "note": "cold fill"},
    {"id": "h", "time": "2026-05-14T08:30:00+02:00", "gauge": "2.4 bar", "temperature": "70 degC",
     "note": "burner on", "meter": "38.2 m3", "ph": "8.1"},
]  # fmt: skip


def test_no_text_of_a_reading_becomes_markup(ask):
    inputs = {"system_volume": "1750 L", "height": "11.4 m", "relief": "3 bar"}
    request = {"op": "readings-view", "readings": READINGS, "inputs": inputs, "system": "si"}
    assert ask(request)["html"]
    places = [*leaves(READINGS, ("readings",)), *leaves(inputs, ("inputs",))]
    for number, place in enumerate(places):
        for text in some(number, 12):
            ask(with_text(request, place, text))


# Training.


def problem_of(family, level=None, seed=7):
    one = next(f for f in families() if f.id == family)
    return {"family": family, "level": level or next(iter(one.asked)), "seed": seed, "system": "si"}


@pytest.mark.parametrize("family", [one.id for one in families()])
def test_no_answer_of_a_trainee_becomes_markup(ask, family):
    problem = problem_of(family)
    assert ask({"op": "problem-set", "problem": problem})["html"]
    assert ask({"op": "problem-working", "problem": problem})["html"]
    told = ask({"op": "problem-set", "problem": problem, "prefix": "a"})["html"]
    names = {attributes.get("name", "") for _, attributes in elements(told)} - {""}
    names = {name.removesuffix(".unit") for name in names}
    assert names
    for number in range(4):
        value, unit, prefix, *_ = some(number * 5 + len(family), 5)
        answers = {name: {"value": value, "unit": unit} for name in names}
        assert ask({"op": "problem-mark", "problem": problem, "answers": answers})["html"]
        ask({"op": "problem-set", "problem": problem, "prefix": prefix})


@pytest.mark.parametrize("text", HOSTILE, ids=range(len(HOSTILE)))
def test_no_text_about_training_becomes_markup(ask, text):
    sets = [{"family": "pre-charge", "level": problem_of("pre-charge")["level"]}]
    sheet = {"sets": sets, "system": "si", "seed": 7, "sheets": 1, "number": 1, "title": text}
    for op in ("worksheet-plan", "worksheet-sheet", "worksheet-key"):
        ask({"op": op, **sheet})
    drill = {"id": "one-fault", "seed": 3, "system": "si"}
    acts = [{"do": "read-gauge", "values": {}}, {"do": text, "values": {text: text}}]
    for request in (
        {"drill": drill, "actions": acts, "diagnosis": None},
        {"drill": drill, "actions": acts[:1], "diagnosis": [text]},
        {"drill": {**drill, "id": text}, "actions": [], "diagnosis": None},
        {"drill": drill, "actions": [{**acts[0], "values": {"x": text}}], "diagnosis": None},
    ):
        try:
            ask({"op": "drill-play", **request})
        except ValueError:
            continue  # the page shows such a failure as a text
    work = assignment(text)
    for request in (
        {"op": "course-sheet", "assignment": work},
        {"op": "course-problems", "assignment": work, "trainee": text},
        {"op": "course-form", "calculator": "pre-charge", "values": {"height": text, text: text}},
        {"op": "course-form", "calculator": text},
        {"op": "course-preset", "calculator": "pre-charge", "values": {"height": text}},
        {"op": "results-standing", "result": result(work, text)},
        {"op": "results-table", "texts": [{"name": text, "text": text}]},
        {"op": "results-table", "texts": [{"name": text, "text": sealed(result(work, text))}]},
        {"op": "results-table", "assignment": work, "texts": []},
    ):
        ask(request)


def assignment(text="Charge it right", drill=()):
    level = problem_of("pre-charge")["level"]
    return {
        "id": "0123456789abcdef",
        "title": text,
        "note": text,
        "due": "",
        "system": "si",
        "seed": 7,
        "same": False,
        "pass": 60,
        "counts": "first",
        "items": [
            {"kind": "page", "page": "set-the-pre-charge"},
            {"kind": "problems", "family": "pre-charge", "level": level, "count": 1},
            *({"kind": "drill", "drill": one} for one in drill),
        ],
    }


def result(work, text):
    tasks = assignments.tasks({**work, "title": "Work", "note": ""}, text)
    answers = {"charge": {"value": text, "unit": text}}
    acts = [{"do": "read-gauge", "values": {"x": text}}]
    tried = {
        "page": lambda task: [],
        "problems": lambda task: [{"problem": task[0], "answers": answers, "at": NOW}],
        "drill": lambda task: [
            {"drill": task[0], "actions": acts, "diagnosis": [text], "at": NOW},
        ],
    }
    items = [
        {"kind": item["kind"], "done": True, "attempts": tried[item["kind"]](task)}
        for item, task in zip(work["items"], tasks, strict=True)
    ]
    return {"assignment": work, "trainee": text, "began": NOW, "ended": NOW, "items": items}


def sealed(body):
    """Return a file as a stranger would write it, with a checksum that fits where there is one."""
    try:
        sum = checksum(body, True)
    except FileRefusal:
        sum = "none"
    head = {"format": "cold-fill-result", "version": 1}
    return json.dumps({**head, "checksum": sum, "result": body})


def test_results_with_hostile_names_come_as_far_as_the_table(ask):
    shown = 0
    for text in HOSTILE:
        file = {"name": text, "text": sealed(result(assignment("Work"), text))}
        shown += not ask({"op": "results-table", "texts": [file]})["errors"]
    assert shown > len(HOSTILE) // 3


def test_no_word_of_a_drill_becomes_markup_in_the_table(ask):
    for text in some(1, 4):
        done = result(assignment("Work", drill=["one-fault"]), text)
        ask({"op": "results-table", "texts": [{"name": "a", "text": sealed(done)}]})

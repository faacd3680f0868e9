"""The steps of procedure pages: named by the words they begin with, each name once on its page."""

import re
import sys
from functools import cache
from html.parser import HTMLParser
from pathlib import Path

import pytest

if sys.platform == "emscripten":
    pytest.skip("pages are built natively only", allow_module_level=True)

from handbook_tools.procedures import StepProblem, marks, with_steps

ROOT = Path(__file__).resolve().parents[1]
SITE = ROOT / "site"

pytestmark = pytest.mark.native

STOP = (
    '<div class="admonition stop">\n<p class="admonition-title">Stop: {}</p>\n<p>Go on?</p>\n</div>'
)


def found(html):
    return [(mark.kind, mark.name, mark.words) for mark in marks(html)[0]]


def test_a_step_is_named_by_the_bold_words_that_begin_it():
    html = (
        "<ol>\n<li>\n<p><strong>Shut the vessel's valve.</strong> Slowly.</p>\n</li>\n"
        "<li><strong>Cool to 49 °C</strong> or less</li>\n</ol>"
        "<ol><li><p><strong>Read <em>both</em>\n gauges:</strong> twice</p></li></ol>"
    )
    assert found(html) == [
        ("step", "shut-the-vessels-valve", "Shut the vessel's valve."),
        ("step", "cool-to-49-c", "Cool to 49 °C"),
        ("step", "read-both-gauges", "Read both gauges:"),
    ]


def test_a_stop_is_named_by_its_title_wherever_it_stands():
    html = (
        f"{STOP.format('before you begin')}<ol><li><p><strong>Prove it.</strong></p>"
        f"{STOP.format('at zero &amp; open')}</li></ol>"
    )
    assert found(html) == [
        ("stop", "stop-before-you-begin", "Stop: before you begin"),
        ("step", "prove-it", "Prove it."),
        ("stop", "stop-at-zero-open", "Stop: at zero & open"),
    ]


def test_lists_that_are_no_steps_of_the_page_stay_as_they_are():
    html = (
        "<ul><li><strong>A tool.</strong></li></ul>"
        '<section class="hb-cautions"><ol><li>No step.</li></ol></section>'
        "<ol><li><p><strong>Do it.</strong></p><ol><li>Nested, without a lead.</li></ol>"
        "<live-calculator><ol><li>Working.</li></ol></live-calculator></li></ol>"
        '<div class="admonition note"><p class="admonition-title">Note</p></div>'
        '<div class="footnote"><ol><li>A note.</li></ol></div>'
    )
    assert found(html) == [("step", "do-it", "Do it.")]


def test_nothing_else_in_the_page_changes():
    html = (
        '<h1 id="a">Ä &amp; b<br>c</h1>\n<section class="hb-cautions">\n<p>x</p></section>\n'
        "<p>a  <img src='x' alt=\"y\"> &nbsp;</p>\n<svg><path d='M0 0'/><title>t</title></svg>\n"
        "<ol\n class='x'>\n<li\n  id=two><p><strong>Øne &lt; two.</strong></p>\r\n"
        "<ul><li>z</li></ul>"
        f"{STOP.format('is it?')}</li>\n</ol>\n<!-- <li> -->"
    )
    made = with_steps(html, page="do-it", title='A "page"')
    element = re.search(r"\n<procedure-steps.*?</procedure-steps>\n", made, flags=re.S)
    assert made[: element.start()].endswith("</section>")
    assert 'data-page="do-it" data-title="A &quot;page&quot;"' in element[0]
    assert '<li data-step="ne-two"\n  id=two>' in made
    assert '<div data-stop="stop-is-it" class="admonition stop">' in made
    bare = made.replace(element[0], "")
    assert re.sub(r' data-(step|stop)="[^"]*"', "", bare) == html


def test_without_cautions_the_element_stands_first():
    made = with_steps("<ol><li><strong>One.</strong></li></ol>", page="p", title="P")
    assert made.startswith("\n<procedure-steps")


@pytest.mark.parametrize(
    ("html", "told"),
    [
        ("<p>Words.</p>", "without numbered steps"),
        (STOP.format("no steps"), "without numbered steps"),
        ("<ol><li>No lead.</li></ol>", "does not begin with bold words"),
        ("<ol><li><p>Late <strong>lead.</strong></p></li></ol>", "does not begin with bold"),
        ("<ol><li><p></p></li></ol>", "does not begin with bold words"),
        ("<ol><li><img src='x'><strong>One.</strong></li></ol>", "does not begin with bold"),
        ("<ol><li><svg/><strong>One.</strong></li></ol>", "does not begin with bold"),
        (
            "<ol><li><strong>One.</strong></li><li><ul><li>x</li></ul></li></ol>",
            "after “One.”, does not begin with bold words",
        ),
        (
            "<ol><li><strong>Work it out.</strong></li><li><strong>Work it out</strong></li></ol>",
            "“Work it out.” and “Work it out” would share one tick",
        ),
        (
            f"<ol><li><strong>One.</strong>{STOP.format('x')}{STOP.format('x')}</li></ol>",
            "would share one tick",
        ),
        ("<ol><li><strong>½…</strong></li><li><strong>→</strong></li></ol>", "“→” has no letter"),
        ("<ol><li><strong>One.</strong></li>", "<ol> is never closed"),
        ("<ol><li><strong>One.</strong></p></li></ol>", "</p> closes nothing"),
    ],
)
def test_a_page_whose_steps_cannot_be_named_is_refused(html, told):
    with pytest.raises(StepProblem, match=re.escape(told)):
        with_steps(html, page="p", title="P")


class Built(HTMLParser):
    """A built page, read apart from what made it: every marked element and its bold words."""

    def __init__(self, html):
        super().__init__(convert_charrefs=True)
        self.marked, self.elements = [], []
        self._reading = None
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        for kind in ("step", "stop"):
            if f"data-{kind}" in given:
                self.marked.append([kind, tag, given[f"data-{kind}"], None])
        if tag == "procedure-steps":
            self.elements.append(given)
        title = "admonition-title" in (given.get("class") or "")
        if self.marked and self.marked[-1][3] is None and (tag == "strong" or title):
            self.marked[-1][3] = ""
            self._reading = tag

    def handle_data(self, data):
        if self._reading:
            self.marked[-1][3] += data

    def handle_endtag(self, tag):
        if tag == self._reading:
            self._reading = None


def named(words):
    """Return the name as the rule says it: letters and figures, in small letters, with dashes."""
    return "-".join(re.sub(r"[^a-z0-9 -]", "", words.replace("°", "").lower()).split())


@cache
def procedures():
    """Return (name, Markdown, built page) of every procedure page."""
    assert SITE.is_dir(), "there is no site/: run `python3 scripts/handbook.py build` first"
    made = []
    for path in sorted((ROOT / "docs").glob("*.md")):
        text = path.read_text(encoding="utf-8")
        if re.search(r"^procedure: true$", text.split("\n---", 1)[0], flags=re.M):
            html = (SITE / path.stem / "index.html").read_text(encoding="utf-8")
            made.append((path.stem, text, Built(html)))
    assert len(made) >= 15
    return made


@pytest.mark.site
def test_every_step_and_stop_of_every_procedure_page_has_a_name_of_its_own():
    for name, text, page in procedures():
        names = [mark[2] for mark in page.marked]
        assert len(set(names)) == len(names), name
        prose = re.sub(r"^( *)(`{3,}).*?^\1\2 *$", "", text, flags=re.M | re.S)
        wanted = {
            "step": len(re.findall(r"^\d+\. ", prose, flags=re.M)),
            "stop": len(re.findall(r"^ *!!! stop ", prose, flags=re.M)),
        }
        kinds = [mark[0] for mark in page.marked]
        assert {kind: kinds.count(kind) for kind in wanted} == wanted, name
        assert wanted["step"] >= 3, name
        assert wanted["stop"] >= 1, name


@pytest.mark.site
def test_a_name_comes_from_the_words_a_step_begins_with():
    for name, _, page in procedures():
        for kind, tag, slug, words in page.marked:
            assert tag == {"step": "li", "stop": "div"}[kind], (name, slug)
            assert slug == named(words), (name, words)
            # It becomes a part of a key in the job file, and those are plain.
            assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", slug), (name, slug)
            assert len(f"step/{name}/{slug}") <= 160, (name, slug)


@pytest.mark.site
def test_every_procedure_page_has_the_element_and_no_other_page_has():
    names = [name for name, _, _ in procedures()]
    for name, _, page in procedures():
        assert [given["data-page"] for given in page.elements] == [name]
        assert page.elements[0]["data-title"], name
    for path in SITE.rglob("index.html"):
        if path.parent.name not in names:
            html = path.read_text(encoding="utf-8")
            assert "<procedure-steps" not in html, path
            assert "data-step=" not in html, path

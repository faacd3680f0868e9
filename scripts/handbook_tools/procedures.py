"""The steps and stop points of a procedure page: found in its HTML, named, and marked.

Standard library only, like everything beside it.
"""

from dataclasses import dataclass
from html import escape
from html.parser import HTMLParser

from markdown.extensions.toc import slugify

VOID = {
    *("area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source"),
    *("track", "wbr"),
}


class StepProblem(Exception):
    """A step that cannot be named, with how to mend it."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A step or a stop point: its words, its name on the page, and where its tag begins."""

    kind: str
    words: str
    name: str
    tag: str
    at: int


class _Reader(HTMLParser):
    """Finds the numbered steps that stand in no other list, the stop points, and the cautions."""

    def __init__(self, html):
        super().__init__(convert_charrefs=True)
        self.marks, self.cautions_end = [], None
        self._open = []  # (tag, kind, where its start tag begins)
        self._words = None  # what is being read: the words of a lead or of a stop's title
        self._lead_of = None  # the step whose lead has to come next
        starts, at = [0], html.find("\n")
        while at >= 0:
            starts.append(at + 1)
            at = html.find("\n", at + 1)
        self._line_starts = starts
        self.feed(html)
        self.close()
        if self._open:
            raise StepProblem(f"<{self._open[-1][0]}> is never closed")

    def _at(self):
        line, column = self.getpos()
        return self._line_starts[line - 1] + column

    def handle_starttag(self, tag, attrs):
        if self._lead_of is not None and tag not in ("p", "strong"):
            self._no_lead()
        if tag in VOID:
            return
        classes = (dict(attrs).get("class") or "").split()
        kind, at = "", self._at()
        if tag == "li" and [each[0] for each in self._open] == ["ol"]:
            kind, self._lead_of = "step", at
        elif tag == "strong" and self._lead_of is not None:
            kind, self._words, at, self._lead_of = "lead", [], self._lead_of, None
        elif tag == "div" and {"admonition", "stop"} <= set(classes):
            kind = "stop"
        elif "admonition-title" in classes and self._open and self._open[-1][1] == "stop":
            kind, self._words, at = "title", [], self._open[-1][2]
        elif "hb-cautions" in classes and not self._open:
            kind = "cautions"
        self._open.append((tag, kind, at))

    def handle_startendtag(self, tag, attrs):
        if self._lead_of is not None:
            self._no_lead()

    def handle_data(self, data):
        if self._words is not None:
            self._words.append(data)
        elif self._lead_of is not None and data.strip():
            self._no_lead()

    def handle_endtag(self, tag):
        if tag in VOID:
            return
        if not self._open or self._open[-1][0] != tag:
            raise StepProblem(f"</{tag}> closes nothing that is open")
        if self._lead_of is not None:
            self._no_lead()
        _, kind, at = self._open.pop()
        if kind in ("lead", "title"):
            self._mark(kind, " ".join("".join(self._words).split()), at)
            self._words = None
        elif kind == "cautions":
            self.cautions_end = self._at() + len(f"</{tag}>")

    def _mark(self, kind, words, at):
        name = slugify(words, "-")
        if not name:
            raise StepProblem(f"“{words}” has no letter or figure to name it by")
        kind, tag = ("step", "li") if kind == "lead" else ("stop", "div")
        self.marks.append(Mark(kind, words, name, tag, at))

    def _no_lead(self):
        before = f", after “{self.marks[-1].words}”," if self.marks else ""
        raise StepProblem(
            f"a numbered step{before} does not begin with bold words. Ticks are kept under them: "
            "begin it like this: 1. **Shut the valve.** Then ..."
        )


def marks(html):
    """Return (the steps and stops of a page in order, where its cautions end or None)."""
    reader = _Reader(html)
    known = {}
    for mark in reader.marks:
        if mark.name in known:
            raise StepProblem(
                f"“{known[mark.name]}” and “{mark.words}” would share one tick. "
                "Give one of them other bold words."
            )
        known[mark.name] = mark.words
    return reader.marks, reader.cautions_end


def with_steps(html, *, page, title):
    """Return the page's HTML with its steps and stops marked, and the element that ticks them.

    Nothing else in the HTML changes.
    """
    found, after = marks(html)
    if not any(mark.kind == "step" for mark in found):
        raise StepProblem("a procedure page without numbered steps. Write them as 1. **Lead.** ...")
    inserts = [
        (mark.at + len(f"<{mark.tag}"), f' data-{mark.kind}="{mark.name}"') for mark in found
    ]
    inserts.append((after or 0, element(page, title)))
    pieces, done = [], 0
    for at, text in sorted(inserts):
        pieces += [html[done:at], text]
        done = at
    return "".join([*pieces, html[done:]])


def element(page, title):
    """Return the element at the head of a procedure page, as it reads without a job."""
    return (
        f'\n<procedure-steps data-page="{escape(page)}" data-title="{escape(title)}" '
        'data-search-exclude><p class="ps-offer">To tick off these steps, '
        '<a href="job.md">open a job</a>. <noscript>That needs JavaScript.</noscript></p>'
        "</procedure-steps>\n"
    )

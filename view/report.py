"""The report of a job: for its owner, its inspector, and whoever comes next.

Shows a book as `calc.job.book` gives it. A job may come from a stranger, so every text of it goes
through the escaping builder, with the signs that nobody sees written out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from calc.job.changes import SAME, changed_facts, changed_results
from calc.job.entered import entries_in_words
from calc.job.shown import time_words, visible
from view import answer as answers
from view import readings
from view.charts import chart
from view.edition import EDITION
from view.html import Html, h, html

PHASE_WORDS = {"found": "as found", "option": "as an option", "left": "as left"}
_FOR_WORDS = {
    "us": "Whoever did the work",
    "owner": "The owner",
    "licensed": "A licensed person",
}
_STATUS = {"fail": ("✕", "Not acceptable"), "caution": ("!", "Take care")}
_PASSED = ("✓", "Good")
_FEW_ROWS = 8

_CONFIRM = (
    "Every number in this report is a check of what the record holds. What bears on safety is "
    "confirmed on site by a licensed person, under local code, before it is relied on."
)
_DEFERRAL = (
    "General information, not authorisation: the adopted code, the authority having jurisdiction, "
    "the boiler inspector, the licensed trade and the equipment's own instructions come first."
)
_EMPTY = (
    "This job holds nothing yet: no readings, no kept results, no steps, no site facts. "
    "There is nothing to report."
)
_ALL_SAME = (
    "Every kept result was worked out again from its recorded entries when this report was made, "
    "and came out the same as recorded."
)
_NOT_SAME = (
    "Not every kept result came out as recorded when it was worked out again from its entries. "
    "Trust neither number until somebody has found out why."
)
_CHANGED_ABOUT = (
    "Results that were kept both as found and as left, side by side. "
    "Each was worked out again when this report was made."
)


def report(book: Mapping[str, Any], job: Mapping[str, Any], now: str = "") -> str:
    """Return the report of a job as HTML.

    Parameters
    ----------
    book
        All of the job in order, as `calc.job.book` gives it.
    job
        The job itself, for what reads records as they were typed.
    now
        When the report is made, ISO 8601; it stands in its head.

    Returns
    -------
    str
        One section a part, each named by `data-part`, so that a reader can leave parts out.
        A photo is an empty figure with the photo's id, for whoever has the pictures.
    """
    book = _seen(book)
    if not _holds_anything(book):
        return html(_head(book, now), _part("empty", None, h("p", None, _EMPTY)), _foot())
    return html(
        _head(book, now),
        _words(book),
        _unsettled(book),
        _todos(book),
        _changes(book),
        _settings(book),
        _faults(book),
        _options(book),
        _readings(book, job),
        _steps(book),
        _results(book),
        _sources(book),
        _signatures(),
        _foot(),
    )


def _holds_anything(book: Mapping[str, Any]) -> bool:
    return any(book[part] for part in ("about", "facts", "readings", "pages", "todos", "pins"))


def _seen(data: Any) -> Any:
    """Return plain data with each sign that nobody sees written out, in every text of it."""
    if isinstance(data, str):
        return visible(data)
    if isinstance(data, Mapping):
        return {name: _seen(value) for name, value in data.items()}
    if isinstance(data, list | tuple):
        return [_seen(value) for value in data]
    return data


def _para(text: str, css: str | None = None) -> Html:
    """Return a text of the job as it was typed, with its line breaks."""
    return h("p", {"class": f"rp-typed {css}" if css else "rp-typed"}, text)


def _part(name: str, title: str | None, *children: Any, key: str = "") -> Html:
    heading = h("h3", {"id": f"report-{name}"}, title) if title else None
    return h(
        "section",
        {
            "class": f"rp-part rp-{name}",
            "data-part": name,
            "data-key": key or name,
            "aria-labelledby": f"report-{name}" if title else None,
        },
        heading,
        children,
    )


def _table(
    css: str, caption: str, heads: Sequence[Any], rows: Iterable[Sequence[Any]], numbers: int = 0
) -> Html:
    """Return a table whose first column heads each row; the last `numbers` columns are numbers."""
    first = len(heads) - numbers
    body = [
        h(
            "tr",
            None,
            h("th", {"scope": "row"}, row[0]),
            [
                h("td", {"class": "rp-number" if at >= first else None}, cell)
                for at, cell in enumerate(row[1:], 1)
            ],
        )
        for row in rows
    ]
    head = [
        h("th", {"scope": "col", "class": "rp-number" if at >= first else None}, text)
        for at, text in enumerate(heads)
    ]
    scroller = {"class": "rp-scroll", "tabindex": "0", "role": "region", "aria-label": caption}
    return h(
        "div",
        scroller,
        h(
            "table",
            {"class": f"rp-table {css}"},
            h("caption", None, caption),
            h("thead", None, h("tr", None, head)),
            h("tbody", None, body),
        ),
    )


def _head(book: Mapping[str, Any], now: str) -> Html:
    about = {one["name"]: one for one in book["about"]}
    made = time_words(now)
    rows = [
        (about[name]["label"], about[name]["text"])
        for name in ("where", "reference", "who", "owner")
        if name in about
    ]
    rows += [("Job begun", book["created_text"])] if book["created_text"] else []
    rows += [("Last entry", book["newest_text"])] if book["newest_text"] else []
    rows += [("Report made", made)] if made else []
    return h(
        "header",
        {"class": "rp-head", "data-key": "head"},
        h("p", {"class": "rp-kind"}, "Report on a heating system, pressure side"),
        h("h2", {"class": "rp-title", "id": "report-title"}, book["name"]),
        h(
            "dl",
            {"class": "rp-about"},
            [h("div", None, h("dt", None, label), h("dd", None, text)) for label, text in rows],
        ),
    )


def _words(book: Mapping[str, Any]) -> Html | None:
    about = {one["name"]: one for one in book["about"]}
    shown = [
        (h("h3", None, about[name]["label"]), _para(about[name]["text"]))
        for name in ("called", "found", "left")
        if name in about
    ]
    return _part("words", None, shown) if shown else None


# ---- what is not settled


def _unsettled(book: Mapping[str, Any]) -> Html:
    blocks = [
        *_open_stops(book["open_stops"]),
        *_left_not_passed(book["pins"]),
        *_differences(book),
        *_notes(book),
    ]
    if not blocks:
        words = "No stop without a yes, no check that was not passed, no number that came out anew."
        blocks = [h("p", None, words)]
    return _part("unsettled", "Not settled", blocks, _licensed(book))


def _left_not_passed(pins: Sequence[Mapping[str, Any]]) -> list[Html]:
    said = _not_passed(pins, "left")
    return [h("h4", None, "Checks not passed as left"), *said] if said else []


def _say(status: str, *words: Any) -> Html:
    """Return a line whose verdict stands after the first of `words`, as on the pages."""
    mark, verdict = _STATUS.get(status, _PASSED)
    return h(
        "li",
        {"data-status": status},
        h("span", {"class": "lc-mark", "aria-hidden": "true"}, mark),
        h("div", None, words[0], h("span", {"class": "lc-verdict"}, f"{verdict}."), " ", words[1:]),
    )


def _open_stops(stops: Sequence[Mapping[str, Any]]) -> list[Html]:
    if not stops:
        return []
    said = []
    for stop in stops:
        no = stop["answer"] == "no"
        answer = "answered no" if no else "not answered"
        said.append(
            _say(
                "fail" if no else "caution",
                h("strong", None, f"{stop['page_title']}, {stop['text']}: "),
                h("strong", None, f"{answer}."),
                f" {stop['note']}" if stop["note"] else None,
            )
        )
    return [h("h4", None, "Stops without a yes"), h("ul", {"class": "lc-checks"}, said)]


def _not_passed(pins: Sequence[Mapping[str, Any]], phase: str) -> list[Html]:
    """Return the checks of one phase that were not passed, the worst first."""
    said = [
        _say(
            check["status"],
            h("strong", None, f"{pin['title']}, {check['label']}: "),
            check["message"],
            " ",
            answers.source(check["source"]) if check["source"] else None,
        )
        for status in _STATUS
        for pin in pins
        if pin["phase"] == phase
        for check in pin["checks"]
        # The verdict on a cause is no check that the plant has to pass.
        if check["status"] == status and not check["own_words"]
    ]
    return [h("ul", {"class": "lc-checks"}, said)] if said else []


def _faults(book: Mapping[str, Any]) -> Html | None:
    found = _not_passed(book["pins"], "found")
    return _part("faults", "Checks not passed as found", found) if found else None


def _differences(book: Mapping[str, Any]) -> list[Html]:
    if book["same"]:
        return []
    said = [
        _say(
            "fail",
            h("strong", None, f"{one['title']}, {PHASE_WORDS[one['phase']]}: "),
            one["message"],
        )
        for one in book["differences"]
    ]
    title = h("h4", None, "Numbers that do not come out as recorded")
    return [title, h("p", None, _NOT_SAME), h("ul", {"class": "lc-checks"}, said)]


def _notes(book: Mapping[str, Any]) -> list[Html]:
    notes = [h("li", None, note) for note in book["notes"]]
    if not notes:
        return []
    return [h("h4", None, "What this edition does not know"), h("ul", None, notes)]


def _licensed(book: Mapping[str, Any]) -> list[Html]:
    asked = [
        h("li", None, _box(one["done"]), f"{one['text']} ", h("em", None, f"({one['why']})"))
        for one in book["licensed"]
    ]
    return [
        h("h4", None, "For a licensed person to confirm"),
        h("ul", {"class": "rp-todo"}, asked) if asked else None,
        h("p", None, _CONFIRM),
    ]


def _box(done: bool) -> Html:
    words = "Done: " if done else "Open: "
    sign = h("span", {"class": "rp-box", "aria-hidden": "true"}, "✓" if done else "")
    return html(sign, h("span", {"class": "rp-unseen"}, words))


# ---- before and after, settings, what is left to do


def _changes(book: Mapping[str, Any]) -> Html | None:
    plant, sides = changed_facts(book["facts"]), changed_results(book["pins"])
    if not plant and not sides:
        return None
    heads = ("", "Found", "Left", "Difference")
    blocks: list[Any] = [h("p", None, _CHANGED_ABOUT)] if sides else []
    if plant:
        rows = [(r["label"], r["found"], r["left"], r["difference"]) for r in plant]
        blocks.append(h("h4", None, "The plant"))
        heads_of = ("Fact", *heads[1:])
        blocks.append(_table("rp-change", "The plant, found and left", heads_of, rows, 3))
    for side in sides:
        found, left = side["found"], side["left"]
        blocks.append(h("h4", None, side["title"]))
        blocks.append(h("p", {"class": "rp-when"}, _between(found, left)))
        rows = [
            (
                h("strong", None, r["label"]) if r["headline"] else r["label"],
                r["found"] or "–",
                r["left"] or "–",
                r["difference"] or "–",
            )
            for r in _worth_showing(side["rows"])
        ]
        caption = f"{side['title']}, found and left"
        blocks.append(_table("rp-change", caption, ("Result", *heads[1:]), rows, 3))
    return _part("changes", "Before and after", blocks)


def _between(found: Mapping[str, Any], left: Mapping[str, Any]) -> str:
    return (
        f"Found {found['at_text'] or 'without a time'}, left {left['at_text'] or 'without a time'}."
    )


def _worth_showing(rows: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """Return the main results first, then the others that moved; a long list ends there."""
    main = [row for row in rows if row["headline"]]
    others = [row for row in rows if not row["headline"] and row["difference"] != SAME]
    return main + others[: max(_FEW_ROWS - len(main), 0)]


def _settings(book: Mapping[str, Any]) -> Html | None:
    if not book["facts"]:
        return None
    rows = [
        (fact["label"], _fact_value(fact), _origin(fact), fact["at_text"] or "–")
        for fact in book["facts"]
    ]
    heads = ("Fact", "Value", "Where it comes from", "Written down")
    caption = "Settings and facts of the site, as last recorded"
    return _part("settings", "Settings and facts as left", _table("rp-facts", caption, heads, rows))


def _fact_value(fact: Mapping[str, Any]) -> list[Any]:
    shown: list[Any] = [h("strong", None, fact["text"])]
    if fact["stale"]:
        shown.append(
            h("span", {"class": "rp-stale"}, "Something it rests on has changed since then.")
        )
    before = [one for one in fact["before"] if one["text"]]
    if before:
        past = "; ".join(", ".join(filter(None, (one["text"], one["at_text"]))) for one in before)
        shown.append(h("span", {"class": "rp-before"}, f"Before: {past}"))
    return shown


def _origin(fact: Mapping[str, Any]) -> str:
    how = "worked out by" if fact["origin"]["how"] == "found" else "entered in"
    return f"{how} {fact['origin']['title']}"


def _todos(book: Mapping[str, Any]) -> Html:
    blocks: list[Html] = []
    for whom, words in _FOR_WORDS.items():
        listed = [
            h("li", None, _box(todo["done"]), todo["text"])
            for todo in book["todos"]
            if todo["for"] == whom
        ]
        if listed:
            blocks += [h("h4", None, words), h("ul", {"class": "rp-todo"}, listed)]
    if not blocks:
        blocks = [h("p", None, "Nothing is written down as left to do.")]
    return _part("todo", "Still to do", blocks)


def _options(book: Mapping[str, Any]) -> Html | None:
    shown = [_option(pin) for pin in book["pins"] if pin["phase"] == "option"]
    return _part("options", "Options for the owner", shown) if shown else None


def _option(pin: Mapping[str, Any]) -> Html:
    said = [
        _say(check["status"], h("strong", None, f"{check['label']}: "), check["message"])
        for check in pin["checks"]
        if check["status"] in _STATUS and not check["own_words"]
    ]
    return h(
        "div",
        {"class": "rp-option", "data-key": pin["id"]},
        h("h4", None, pin["title"]),
        _para(pin["note"]) if pin["note"] else None,
        _headlines(pin),
        _charts(pin, "option", tables=True),
        h("ul", {"class": "lc-checks"}, said) if said else None,
    )


def _headlines(pin: Mapping[str, Any]) -> Html:
    main = [r for r in pin["results"] if r["headline"]] or pin["results"][:1]
    return h(
        "dl",
        {"class": "rp-headlines"},
        [h("div", None, h("dt", None, r["label"]), h("dd", None, r["shown"] or "–")) for r in main],
    )


def _charts(pin: Mapping[str, Any], place: str, tables: bool) -> list[Html]:
    if not pin["answer"]:
        return []
    # The id tells two pictures of one calculator apart.
    return [
        chart(f"report-{place}-{pin['id']}", one)
        for one in pin["answer"]["charts"]
        if (one["type"] == "table") == tables
    ]


# ---- readings and steps


def _readings(book: Mapping[str, Any], job: Mapping[str, Any]) -> Html | None:
    if not book["readings"]:
        return None
    records = job["records"]
    logged = [{**records[f"reading/{one['id']}"], "id": one["id"]} for one in book["readings"]]
    facts = {fact["name"]: fact["typed"] for fact in book["facts"]}
    said = readings.page(logged, facts, book["system"])
    errors = [
        h("li", None, f"{one['at_text'] or 'Without a time'}: {visible(error['message'])}")
        for one in book["readings"]
        for error in said["errors"]
        if error["id"] == one["id"]
    ]
    unread: list[Html] = []
    if errors:
        unread = [h("h4", None, "Readings that cannot be read"), h("ul", None, errors)]
    return _part("readings", "Readings", Html(visible(said["html"])), unread)


def _steps(book: Mapping[str, Any]) -> Html | None:
    if not book["pages"]:
        return None
    number = 0
    blocks = []
    for page in book["pages"]:
        rows = []
        for step in page["steps"]:
            photos = []
            for id in step["photos"]:
                number += 1
                photos.append(_photo(id, number, step))
            rows.append(_step(step, photos))
        blocks.append(h("h4", None, page["title"]))
        blocks.append(h("ol", {"class": "rp-steps"}, rows))
    return _part("steps", "Steps done", blocks)


def _step(step: Mapping[str, Any], photos: Sequence[Html]) -> Html:
    stop = step["kind"] == "stop"
    if stop:
        state = {"yes": "yes, safe", "no": "no", "": "not answered"}[step["answer"]]
        done = step["answer"] == "yes"
    else:
        state, done = ("done", True) if step["ticked"] else ("not done", False)
    at = f", {step['at_text']}" if step["at_text"] else ""
    return h(
        "li",
        {"class": "rp-stop" if stop else None, "data-done": "yes" if done else "no"},
        h(
            "p",
            {"class": "rp-step"},
            h("span", {"class": "rp-box", "aria-hidden": "true"}, "✓" if done else ""),
            h("span", None, h("span", {"class": "rp-words"}, step["text"]), " ",
              h("span", {"class": "rp-when"}, f"{state}{at}")),
        ),
        _para(step["note"], "rp-note") if step["note"] else None,
        h("div", {"class": "rp-photos", "data-part": "photos"}, photos) if photos else None,
    )  # fmt: skip


def _photo(id: str, number: int, step: Mapping[str, Any]) -> Html:
    text = f"Photo {number}: {step['text']}"
    return h(
        "figure",
        {"class": "rp-photo", "data-photo": id, "data-key": f"{step['key']} {id}"},
        h("p", {"class": "rp-no-photo"}, "The photo is kept on the device, not here."),
        h("figcaption", None, text),
    )


# ---- kept results


def _results(book: Mapping[str, Any]) -> Html | None:
    if not book["pins"]:
        return None
    verdict = _ALL_SAME if book["same"] else _NOT_SAME
    return _part(
        "results",
        "Results and how they were worked out",
        h("p", {"class": "rp-verdict", "data-same": "yes" if book["same"] else "no"}, verdict),
        [_result(pin, book["system"]) for pin in book["pins"]],
    )


def _result(pin: Mapping[str, Any], system: str) -> Html:
    at = f", {pin['at_text']}" if pin["at_text"] else ""
    return h(
        "div",
        {"class": "rp-result", "data-key": pin["id"], "data-same": "yes" if pin["same"] else "no"},
        h("h4", None, f"{pin['title']}, {PHASE_WORDS[pin['phase']]}"),
        h("p", {"class": "rp-when"}, f"Kept {PHASE_WORDS[pin['phase']]}{at}."),
        _para(pin["note"]) if pin["note"] else None,
        _headlines(pin),
        _again(pin),
        h(
            "details",
            {"class": "rp-working", "data-part": "working", "data-key": "working"},
            h("summary", None, "Entries, checks and working"),
            _working(pin, system),
        ),
    )


def _again(pin: Mapping[str, Any]) -> Html:
    if pin["same"]:
        words = "Worked out again: the same as recorded."
        return h("p", {"class": "rp-again", "data-same": "yes"}, words)
    differences = [h("li", None, message) for message in pin["differences"]]
    return h(
        "div",
        {"class": "rp-again", "data-same": "no"},
        h("p", None, "Worked out again: not the same as recorded."),
        h("ul", None, differences),
    )


def _working(pin: Mapping[str, Any], system: str) -> list[Any]:
    entries = [
        (entry["label"], _entry_text(entry["text"])) for entry in entries_in_words(pin, system)
    ]
    results = [(r["label"], r["shown"] or "–", _recorded(r)) for r in pin["results"]]
    title = f"{pin['title']}, {PHASE_WORDS[pin['phase']]}"
    left_out = [f"“{name}”" for name in pin["left_out"]]
    parts: list[Any] = []
    tables: list[Html] = []
    if entries:
        tables.append(_table("rp-entries", f"Entries: {title}", ("Entry", "Value"), entries))
    if results:
        heads = ("Result", "Now", "Recorded")
        if pin["same"]:
            heads, results = heads[:2], [row[:2] for row in results]
        tables.append(
            _table("rp-numbers", f"Results: {title}", heads, results, numbers=len(heads) - 1)
        )
    parts.append(h("div", {"class": "rp-tables"}, tables))
    if left_out:
        parts.append(h("p", None, f"Kept and not used: {', '.join(left_out)}."))
    parts += _checks(pin["checks"])
    side_by_side = _charts(pin, "result", tables=True) if pin["phase"] != "option" else []
    pictures = _charts(pin, "result", tables=False)
    if pictures:
        pictures = [h("div", {"class": "rp-pictures", "data-part": "pictures"}, pictures)]
    steps = [answers.steps(pin["answer"])] if pin["answer"] and pin["answer"]["steps"] else []
    return [*parts, *side_by_side, *pictures, *steps]


def _entry_text(text: str | list[str]) -> Any:
    if isinstance(text, str):
        return text
    return h("ul", {"class": "rp-rows"}, [h("li", None, row) for row in text])


def _recorded(result: Mapping[str, Any]) -> str:
    if result["same"]:
        return "the same"
    band = result["recorded"]["plus_minus_text"]
    return result["recorded"]["text"] + (f" ± {band}" if band else "")


def _checks(checks: Sequence[Mapping[str, Any]]) -> list[Html]:
    """Return the checks; those that could not be worked out again have no source beside them."""
    again = [check for check in checks if check["source"]]
    recorded = [check for check in checks if not check["source"]]
    shown = [answers.checks({"checks": again})] if again else []
    if recorded:
        said = [
            _say(check["status"], h("strong", None, f"{check['label']}: "), check["message"])
            for check in recorded
        ]
        shown.append(h("ul", {"class": "lc-checks"}, said))
    return shown


def _sources(book: Mapping[str, Any]) -> Html | None:
    used: dict[tuple[str, str], set[str]] = {}
    for pin in book["pins"]:
        if pin["answer"]:
            for one in (*pin["answer"]["steps"], *pin["answer"]["checks"]):
                cited = one["source"]
                used.setdefault((cited["text"], cited["status"]), set()).add(pin["title"])
    if not used:
        return None
    rows = [
        (text, status, ", ".join(sorted(titles)))
        for (text, status), titles in sorted(used.items(), key=lambda item: item[0][0].casefold())
    ]
    about = (
        "Every step and check above names its source. The status says how far it was read: "
        "published and read, second-hand, common practice, or from memory."
    )
    heads = ("Source", "Status", "Used in")
    table = _table("rp-sources", "Sources of the working", heads, rows)
    return _part("sources", "Sources", h("p", None, about), table)


def _signatures() -> Html:
    lines = ("Did the work", "Licensed person", "Owner or operator")
    return _part(
        "sign",
        "Signatures",
        h(
            "ul",
            {"class": "rp-sign"},
            [
                h(
                    "li",
                    None,
                    h("strong", None, who),
                    [
                        h("span", {"class": "rp-line"}, h("span", None, label))
                        for label in ("Name", "Licence", "Date", "Signature")
                        if who == "Licensed person" or label != "Licence"
                    ],
                )
                for who in lines
            ],
        ),
    )


def _foot() -> Html:
    made = "Made with The Cold Fill Handbook"
    edition = f", edition {EDITION}" if EDITION else ""
    return h(
        "footer",
        {"class": "rp-foot", "data-key": "foot"},
        h("p", None, _DEFERRAL),
        h("p", None, f"{made}{edition}."),
    )

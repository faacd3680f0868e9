"""The trainee's side in a browser: problems marked as natively, assignments from link to file."""

from __future__ import annotations

import base64
import json
import re
import zlib

from test_pages_in_browser import clean

from calc.training import assignment as assignments
from calc.training import coursefile
from calc.training.problem import families, problem
from calc.training.standing import standing
from view.training import problems

ASK = (
    "const { visitEngine } = await import('/assets/js/engine.js');"
    "const ask = (request) => visitEngine().ask(request, { limit: 60000 });"
)
STORE = "const { training } = await import('/assets/js/training-store.js');"
START_LIMIT = 90
HOSTILE = '<img src=x onerror="window.hit=1"><script>window.hit=1</script>'


def fresh(page) -> None:
    """Forget what training kept, which the fixture of every page does not know."""
    page.js(
        f"{STORE} const store = training(); await store.close(); await store.forgetPractice();"
        "for (const { id } of await store.list()) await store.forget(id);"
    )


def typed(found, name: str) -> dict[str, str]:
    """Return the truth of a part as a trainee would type it, by the book's own words."""
    part = next(part for part in found.parts if part.name == name)
    text = problems.value_text(found, part, found.known[name]).replace("\xa0", " ")
    number, _, unit = text.partition(" ")
    offered = problems.units_offered(part.kind)
    return {"value": number, "unit": unit if unit in offered else (offered or [""])[0]}


def thirty() -> list[dict]:
    kinds = [(one.id, level) for one in families() for level in problems.level_titles(one)]
    return [
        {
            "family": kinds[n % len(kinds)][0],
            "level": kinds[n % len(kinds)][1],
            "seed": 400 + n,
            "system": ("si", "us")[n % 2],
        }
        for n in range(30)
    ]


def answers_to(task: dict, n: int) -> dict[str, dict[str, str]]:
    """Return right answers, wrong ones, ones without a unit, and none, by turns."""
    found = problem(task["family"], task["level"], task["seed"], task["system"])
    right = {part.name: typed(found, part.name) for part in found.parts}
    if n % 4 == 1:
        return {name: one | {"value": "7.31"} for name, one in right.items()}
    if n % 4 == 2:
        return {name: one | {"unit": ""} for name, one in right.items()}
    if n % 4 == 3:
        return {name: {"value": "", "unit": ""} for name in right}
    return right


def test_thirty_problems_are_set_and_marked_as_natively(page):
    tasks = thirty()
    for start in range(0, 30, 5):
        asked = [
            {"problem": task, "answers": answers_to(task, n)}
            for n, task in enumerate(tasks[start : start + 5], start)
        ]
        found = page.js(
            f"{ASK} const all = [];"
            f"for (const each of {json.dumps(asked)}) all.push(["
            "await ask({ op: 'problem-set', problem: each.problem, prefix: 'x' }),"
            "await ask({ op: 'problem-mark', ...each })]); return JSON.stringify(all);"
        )
        for (form, marked), one in zip(json.loads(found), asked, strict=True):
            native_form = problems.answer("problem-set", {"problem": one["problem"], "prefix": "x"})
            native = problems.answer("problem-mark", one)
            assert form == json.loads(json.dumps(native_form)), one
            assert marked == json.loads(json.dumps(native)), one
    states = {
        part["state"]
        for n, task in enumerate(tasks)
        for part in problems.answer(
            "problem-mark", {"problem": task, "answers": answers_to(task, n)}
        )["marks"]["parts"]
    }
    assert {"right", "blank"} < states, "otherwise thirty times the same was compared"
    clean(page.browser)


def fill(page, view: str, answers: dict[str, dict[str, str]]) -> None:
    for name, one in answers.items():
        page.browser.type(f'{view} [name="{name}"]', one["value"])
        page.js(
            f"const unit = document.querySelector('{view} [name=\"{name}.unit\"]');"
            f"if (unit) {{ unit.value = {json.dumps(one['unit'])};"
            "unit.dispatchEvent(new Event('change', { bubbles: true })); }"
        )


def total(page, view: str) -> str:
    return page.wait(f"document.querySelector('{view} .tr-total')?.textContent", 60)


def test_a_problem_on_its_page_from_the_address_to_the_working(page):
    fresh(page)
    task = {"family": families()[0].id, "level": "first", "seed": 412, "system": "si"}
    found = problem(*task.values())
    right = {part.name: typed(found, part.name) for part in found.parts}
    view = "practice-problems"
    page.open(f"/practice/#practice?family={task['family']}&level=first&seed=412&system=si")
    first = found.parts[0].name
    page.wait(f"document.querySelector('{view} [name=\"{first}\"]') !== null", START_LIMIT)
    page.browser.type(f'{view} [name="{first}"]', "about half")
    page.browser.click(f"{view} [data-action=mark]")
    page.wait(f"document.querySelector('{view} .tr-error:not([hidden])')?.textContent.length > 10")
    assert page.js("return document.activeElement.name") == first
    typed_before = page.js(f"return document.querySelector('{view} [name=\"{first}\"]').value")
    assert typed_before == "about half"
    fill(page, view, right)
    page.reload()
    page.wait(f"document.querySelector('{view} [name=\"{first}\"]')?.value", START_LIMIT)
    kept = page.js(f"return document.querySelector('{view} [name=\"{first}\"]').value")
    assert kept == right[first]["value"]
    native = problems.answer("problem-mark", {"problem": task, "answers": right})["marks"]
    page.browser.click(f"{view} [data-action=mark]")
    assert total(page, view).startswith(f"Marked: {native['points']} of {native['most']} ")
    assert native["points"] > 0
    page.wait(f"document.querySelector('{view} [data-action=working]') !== null")
    page.browser.click(f"{view} [data-action=working]")
    page.wait(f"document.querySelector('{view} .tr-working .tr-steps') !== null")
    page.wait(f"document.querySelector('{view} .tr-results')?.textContent.includes('412')")
    clean(page.browser)


def packed(text: str) -> str:
    squeezer = zlib.compressobj(9, zlib.DEFLATED, -15)
    raw = squeezer.compress(text.encode()) + squeezer.flush()
    return base64.urlsafe_b64encode(raw).decode().rstrip("=")


def assignment(**changes) -> dict:
    return {
        "id": "00c01df111000001",
        "title": "Larch Street, first week",
        "note": "Read, then work it out by hand.",
        "system": "si",
        "seed": 5,
        "pass": 60,
        "counts": "first",
        "items": [
            {
                "kind": "page",
                "page": "set-the-pre-charge",
                "inputs": {
                    "calculator": "pre-charge",
                    "system": "si",
                    "values": {"height": "12.3 m"},
                },
            },
            {"kind": "problems", "family": families()[0].id, "level": "first", "count": 2},
            {"kind": "checklist", "page": "make-safe"},
        ],
    } | changes


def begin(page, text: str, name: str) -> None:
    page.open(f"/assignment/#work={packed(text)}")
    page.wait("document.querySelector('#tr-name') !== null", START_LIMIT)
    page.browser.type("#tr-name", name)
    page.browser.click(".tr-begin [type=submit]")
    page.wait("document.querySelector('training-path').dataset.state === 'open'", 30)


def solve(page, task: dict, *, right: bool) -> None:
    found = problem(task["family"], task["level"], task["seed"], task["system"])
    answers = {part.name: typed(found, part.name) for part in found.parts}
    if not right:
        answers = {name: one | {"value": "0.07"} for name, one in answers.items()}
    view = "training-path"
    first = found.parts[0].name
    page.wait(
        f"document.querySelector('{view} .tr-view')?.dataset.state === 'open'"
        f" && document.querySelector('{view} [name=\"{first}\"]') !== null",
        START_LIMIT,
    )
    fill(page, view, answers)
    page.reload()
    page.wait(
        f"document.querySelector('{view} [name=\"{first}\"]')?.value"
        f" === {json.dumps(answers[first]['value'])}",
        START_LIMIT,
    )
    page.browser.click(f"{view} [data-action=mark]")
    total(page, view)


def test_an_assignment_from_its_link_to_the_result_without_a_network(page, server):
    fresh(page)
    text, _ = coursefile.write_assignment(assignment())
    given, _ = coursefile.read_assignment(text)
    tasks = assignments.tasks(given, "Ana López")[1]
    begin(page, text, "Ana López")
    server.kill()
    try:
        page.browser.click(".tr-item [data-action=visit]")
        page.wait("location.pathname === '/set-the-pre-charge/'", 30)
        page.live("pre-charge")
        assert page.value("pre-charge", "height") == "12.3"
        words = page.wait("document.querySelector('path-bar .tr-bar-line')?.textContent", 30)
        assert words.startswith("1 of 3: ")
        page.browser.click("path-bar [data-action=bar-next]")
        page.wait("location.pathname === '/assignment/'", 30)
        page.wait(
            "document.querySelector('.tr-meter')?.textContent.includes('1 of 3 done')", START_LIMIT
        )
        solve(page, tasks[0], right=True)
        page.wait("document.querySelector('.tr-view [data-action=problem]') !== null")
        page.js("document.querySelector('.tr-view [data-action=problem]').click()")
        page.wait("document.querySelector('.tr-which').textContent === 'Problem 2 of 2'")
        solve(page, tasks[1], right=False)
        page.wait("/Score.* points/.test(document.querySelector('.tr-score').textContent)", 60)
        page.wait("document.querySelector('.tr-meter').textContent.includes('2 of 3 done')")
        page.js(
            "window.saved = []; const make = URL.createObjectURL;"
            "URL.createObjectURL = (file) => { window.saved.push(file); return make(file); }"
        )
        # The score may be told in the moment of the press, and draws the part anew.
        page.js("document.querySelector('[data-action=save]').click()")
        name = page.wait("window.saved[0]?.name", 60)
        written = page.js("return window.saved[0].text()")
        clean(page.browser)
    finally:
        server.start()
    assert re.fullmatch(
        r"cold-fill-larch-street-first-week-ana-lopez-\d{4}-\d\d-\d\d\.result\.json", name
    )
    result = coursefile.read_result(written)
    assert result["trainee"] == "Ana López"
    assert result["items"][0]["done"] is True
    assert [one["problem"] for one in result["items"][1]["attempts"]] == tasks
    marked = standing(result)
    shown = page_score(page)
    assert shown == (marked.points, marked.most, marked.percent)
    assert 0 < marked.points < marked.most


def page_score(page) -> tuple[int, int, int]:
    words = page.js("return document.querySelector('.tr-score').textContent")
    return tuple(int(number) for number in re.findall(r"\d+", words)[:3])


def test_a_hostile_link_shows_text_or_a_sentence_and_runs_nothing(page):
    fresh(page)
    text, _ = coursefile.write_assignment(assignment(title=HOSTILE, note=HOSTILE))
    begin(page, text, HOSTILE[:90])
    assert HOSTILE in page.js("return document.querySelector('#tr-path-title').textContent")
    inside = "return document.querySelectorAll('training-path img, training-path script').length"
    assert page.js(inside) == 0
    fresh(page)
    bent = json.loads(text)
    bent["assignment"]["items"][0]["page"] = "javascript:window.hit=1"
    for link in (
        packed(json.dumps(bent)),
        packed(json.dumps({"format": "cold-fill-assignment", "assignment": HOSTILE})),
        packed("[" * 50_000),
        packed("0" * 30_000_000),
        "A" * 30_000,
        "%3Cimg%20src=x%3E",
    ):
        page.open(f"/assignment/#work={link}")
        words = page.wait(
            "document.querySelector('training-path [data-refused]')?.textContent", START_LIMIT
        )
        assert "Nothing on this device was changed" in words
        assert page.js(inside) == 0
    assert page.js("return window.hit ?? 0") == 0
    assert page.js(f"{STORE} return (await training().list()).length") == 0
    clean(page.browser)

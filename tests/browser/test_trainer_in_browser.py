"""The trainer's side: work set and read back natively, sheets printed, a class marked."""

from __future__ import annotations

import base64
import contextlib
import io
import json
import re
import zlib

import pytest
from access import AXE, VIOLATIONS
from test_pages_in_browser import clean

from calc import __main__ as shell
from calc.training import coursefile
from calc.training.assignment import tasks
from calc.training.problem import problem
from view.training.problems import mistaken_values, value_text

LONG = 120


def ready(page, path: str, tag: str) -> None:
    """Open a page of the trainer, with a printer that only notes what it was given."""
    page.open(path)
    page.js("window.prints = 0; window.print = () => { window.prints += 1; }")
    page.wait(f"document.querySelector('{tag}')?.dataset.state === 'ready'", LONG)


def press(page, action: str) -> None:
    page.js(f"document.querySelector('.tw [data-action=\"{action}\"]').click()")


def fill(page, name: str, text: str) -> None:
    page.js(
        f"const field = document.querySelector('.tw [name=\"{name}\"]');"
        f"field.value = {json.dumps(text)};"
        "field.dispatchEvent(new Event('input', { bubbles: true }));"
        "field.dispatchEvent(new Event('change', { bubbles: true }))"
    )


def made_link(page) -> str:
    page.wait("document.querySelector('assign-work').dataset.made === 'true'", LONG)
    return page.js("return document.querySelector('[name=link]').value")


def unpacked(link: str) -> str:
    packed = link.partition("#work=")[2]
    raw = base64.urlsafe_b64decode(packed + "=" * (-len(packed) % 4))
    return zlib.decompress(raw, -15).decode("utf-8")


def week(page) -> str:
    """Make an assignment on its page, and return its link."""
    ready(page, "/assign/", "assign-work")
    fill(page, "title", "Charge, first week")
    fill(page, "note", "Work alone. <b>Bring</b> the printed result.")
    fill(page, "due", "2026-12-04")
    fill(page, "add-page", "set-the-pre-charge")
    press(page, "add-page")
    fill(page, "add-family", "pre-charge")
    fill(page, "add-count", "2")
    press(page, "add-problems")
    press(page, "add-drill")
    press(page, "add-checklist")
    return made_link(page)


def pages(pdf: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page[\s/>]", pdf))


def test_work_that_is_set_reads_the_same_outside_the_browser(page):
    link = week(page)
    assert "/assignment/#work=" in link
    found, notes = coursefile.read_assignment(unpacked(link))
    assert (found["title"], found["due"], notes) == ("Charge, first week", "2026-12-04", [])
    assert [item["kind"] for item in found["items"]] == ["page", "problems", "drill", "checklist"]
    assert found["items"][1]["count"] == 2
    clean(page.browser)


def test_numbers_are_set_on_a_page_and_a_bent_one_is_told(page):
    week(page)
    press(page, "preset")
    height = ".tw-form input[name=height]"
    page.wait(f"document.querySelector('{height}') !== null", LONG)
    page.js(f"document.querySelector('{height}').value = 'many'")
    press(page, "preset-set")
    page.wait("document.querySelector('.tw-form .lc-error:not([hidden])') !== null")
    page.js(f"document.querySelector('{height}').value = '9.2'")
    press(page, "preset-set")
    page.wait("document.querySelector('.tw-form') === null")
    found, _ = coursefile.read_assignment(unpacked(made_link(page)))
    assert found["items"][0]["inputs"]["calculator"] == "pre-charge"
    assert list(found["items"][0]["inputs"]["values"]) == ["height"]
    assert found["items"][0]["inputs"]["values"]["height"].startswith("9.2")


def test_the_draft_outlives_a_reload_and_the_link_opens_it_again(page):
    link = week(page)
    press(page, "down")
    ready(page, "/assign/", "assign-work")
    again = unpacked(made_link(page))
    found, _ = coursefile.read_assignment(again)
    assert [item["kind"] for item in found["items"]] == ["problems", "page", "drill", "checklist"]
    page.js("localStorage.clear()")
    ready(page, "/assign/#work=" + link.partition("#work=")[2], "assign-work")
    page.wait("document.querySelector('[name=title]').value === 'Charge, first week'")
    assert unpacked(made_link(page)) == unpacked(link)


def test_an_assignment_prints_as_a_sheet_with_its_code(page, chromium):
    week(page)
    press(page, "sheet")
    page.wait("window.prints === 1", LONG)
    assert page.js("return document.querySelector('.ta-code svg') !== null")
    assert "<b>Bring</b>" in page.js("return document.querySelector('.ta-note').textContent")
    chromium.media(kind="print")
    shown = page.js("return document.querySelector('article').innerText")
    chromium.media()
    assert pages(page.browser.pdf()) == 1
    assert "Charge, first week" in shown
    assert "What you can set" not in shown
    assert "Add the page" not in shown


def test_thirty_sheets_from_one_seed_print_whole_and_apart_from_their_key(page, chromium):
    ready(page, "/worksheets/#sheets?set=pre-charge.first.1&seed=4711&sheets=30", "work-sheets")
    press(page, "make")
    page.wait("document.querySelector('work-sheets').dataset.made === 'sheets'", LONG)
    first = page.js(
        "return [...document.querySelectorAll('.tw-sheets .tw-page')].map((p) => p.textContent)"
    )
    assert len(first) == len(set(first)) == 30
    assert all("Seed 4711" in text for text in first)
    press(page, "print-sheets")
    page.wait("window.prints === 1")
    chromium.media(kind="print")
    cut = page.js(
        "return [...document.querySelectorAll('.tw-sheets .tw-page *')]"
        ".filter((e) => e.className !== 'ws-hidden' && e.scrollWidth > e.clientWidth + 1"
        " && e.clientWidth > 0).map((e) => e.outerHTML.slice(0, 80))"
    )
    shown = page.js("return document.querySelector('article').innerText")
    chromium.media()
    assert cut == []
    assert "Key:" not in shown
    assert "On paper" not in shown
    assert pages(page.browser.pdf()) == 30
    press(page, "print-keys")
    page.wait("window.prints === 2", LONG)
    assert pages(page.browser.pdf()) >= 30
    assert "Key:" in page.js("return document.querySelector('.tw-keys').textContent")
    page.js("dispatchEvent(new Event('afterprint'))")
    press(page, "make")
    page.wait("document.querySelector('work-sheets').dataset.made === 'sheets'", LONG)
    again = page.js(
        "return [...document.querySelectorAll('.tw-sheets .tw-page')].map((p) => p.textContent)"
    )
    assert again == first
    clean(page.browser)


def answered(found, part, right: bool) -> dict[str, str]:
    """Return the right answer as the key shows it, or that of somebody who makes a mistake."""
    value = found.known[part.name]
    if not right:
        value = next(wrong for one, wrong, _ in mistaken_values(found) if one.name == part.name)
    number, _, unit = value_text(found, part, value).replace("\xa0", " ").partition(" ")
    return {"value": number, "unit": unit}


def class_files(folder):
    """Write three results of one assignment, and one file that was cut."""
    task, _ = coursefile.read_assignment(
        coursefile.write_assignment(
            {
                "id": "00112233445566ff",
                "title": "Charge, first week",
                "system": "si",
                "seed": 7,
                "items": [
                    {"kind": "page", "page": "set-the-pre-charge"},
                    {"kind": "problems", "family": "pre-charge", "level": "first", "count": 1},
                ],
            }
        )[0]
    )
    files = []
    for name, right in (("Ana Lopez", True), ("=Ben, “B”", False), ("Cem", True)):
        (one,) = tasks(task, name)[1]
        found = problem(one["family"], one["level"], one["seed"], one["system"])
        answers = {part.name: answered(found, part, right) for part in found.parts}
        items = [
            {"kind": "page", "done": right, "attempts": []},
            {"kind": "problems", "done": True, "attempts": [{"problem": one, "answers": answers}]},
        ]
        file = folder / f"{len(files)}.result.json"
        result = {"assignment": task, "trainee": name, "items": items}
        file.write_text(coursefile.write_result(result), encoding="utf-8")
        files.append(file)
    cut = folder / "cut.result.json"
    cut.write_text(files[0].read_text(encoding="utf-8")[:-40], encoding="utf-8")
    return files, cut


def test_a_class_is_marked_as_it_is_outside_the_browser(page, tmp_path):
    files, cut = class_files(tmp_path)
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        shell.main(["results", *map(str, files), "--csv"])
    page.open("/results/")
    page.wait("customElements.get('collect-results') !== undefined", LONG)
    given = [[file.name, file.read_text(encoding="utf-8")] for file in (*files, cut)]
    page.js(
        "window.saved = null; const make = URL.createObjectURL;"
        "URL.createObjectURL = (file) => { file.text().then((t) => { window.saved = t; });"
        " return make.call(URL, file); };"
        f"const files = {json.dumps(given)}.map(([name, text]) => new File([text], name));"
        "const moved = new DataTransfer(); for (const file of files) moved.items.add(file);"
        "const chooser = document.querySelector('#tw-results'); chooser.files = moved.files;"
        "chooser.dispatchEvent(new Event('change', { bubbles: true }))"
    )
    page.wait("document.querySelector('collect-results').dataset.state === 'shown'", LONG)
    refused = page.js("return document.querySelector('.tw-bad').innerText")
    assert "cut.result.json: " in refused
    table = page.js("return document.querySelector('.tc-table').innerText")
    assert all(name in table for name in ("Ana Lopez", "Ben", "Cem"))
    press(page, "csv")
    saved = page.wait("window.saved")
    native = printed.getvalue().splitlines()
    assert saved.removeprefix("\ufeff").splitlines() == native
    assert len(native) == 4
    assert sum(",passed," in line for line in native) == 2
    made = page.js("return document.querySelector('.tc-mistakes').innerText")
    assert "1 of 3" in made
    press(page, "forget")
    assert "Ana" not in page.js("return document.querySelector('collect-results').innerText")
    clean(page.browser)


@pytest.mark.parametrize("path", ["/assign/", "/worksheets/", "/results/", "/for-trainers/"])
def test_the_pages_of_the_trainer_serve_everybody(page, chromium, path):
    page.open(path)
    if path == "/assign/":
        week(page)
        press(page, "preset")
        page.wait("document.querySelector('.tw-form form') !== null", LONG)
    if path == "/worksheets/":
        ready(page, path, "work-sheets")
        fill(page, "sheets", "2")
        press(page, "make")
        page.wait("document.querySelector('work-sheets').dataset.made === 'sheets'", LONG)
    page.js(AXE.read_text(encoding="utf-8"))
    try:
        for scheme in ("light", "dark"):
            chromium.media(scheme=scheme)
            assert (scheme, page.js(VIOLATIONS)) == (scheme, [])
    finally:
        chromium.media()

"""Every page for readers of every kind, in its main states. What was found goes to
`.handbook/access.json`, with a table beside it."""

from __future__ import annotations

import json

import pytest
import test_drill_in_browser as drill
import test_trainer_in_browser as trainer
from access import WAYS, helped, opened, overwrite, press, walk
from conftest import ROOT, SITE, START_LIMIT, calculators, native, pages
from selenium.webdriver.common.keys import Keys
from test_the_job_in_browser import kept

PAGES = [*pages(), "/404.html"] if (SITE / "sitemap.xml").exists() else []
EXAMPLE = ROOT / "tests" / "data" / "larch-street.job.json"
CHARGE = "pre-charge"
found: dict[str, dict[str, dict]] = {}


@pytest.fixture(scope="module", autouse=True)
def report():
    """Keep what the tests of this module found, for whoever asks what was tried."""
    yield
    folder = ROOT / ".handbook"
    if not found or not folder.is_dir():
        return
    (folder / "access.json").write_text(json.dumps(found, indent=1), encoding="utf-8")
    heads = ["page or state", *WAYS]
    lines = [heads] + [
        [name, *(str(_count(each[way])) if way in each else "-" for way in WAYS)]
        for name, each in found.items()
    ]
    text = "\n".join(f"{name:<44}" + "".join(f"{cell:>10}" for cell in row) for name, *row in lines)
    (folder / "access.txt").write_text(text + "\n", encoding="utf-8")


def _count(what: dict) -> int:
    return sum(len(each) if isinstance(each, list) else 1 for each in what.values())


def sound(page, chromium, name: str, ways=tuple(WAYS)) -> None:
    """Fail with all that is wrong, not with the first of it."""
    found[name] = {way: WAYS[way](page, chromium) for way in ways}
    assert {way: what for way, what in found[name].items() if what} == {}


@pytest.mark.parametrize("path", PAGES)
def test_everybody_can_use_the_page(visitor, chromium, path):
    opened(visitor, path)
    sound(visitor, chromium, path)


def test_the_checks_see_what_is_wrong(page, chromium):
    """A check that never fails shows nothing."""
    opened(page, "/glossary/")
    page.js(
        "const bad = document.createElement('div'); bad.className = 'bad';"
        'bad.innerHTML = \'<img src="/assets/icons/handbook.svg"><button>dim</button>'
        "<p>one line of words</p><p>another one over it</p><table><tr><td>wide</td></tr></table>"
        "<p>immeasurable</p>';"
        "document.querySelector('article').prepend(bad);"
        "const [button, one, other, table, narrow] = bad.querySelectorAll('button, p, table');"
        "Object.assign(narrow.style, { width: '3em', overflowWrap: 'anywhere' });"
        "button.style.outline = 'none'; one.style.width = '9em'; one.style.overflow = 'hidden';"
        "one.style.whiteSpace = 'nowrap'; other.style.marginTop = '-3.2em';"
        "Object.assign(table.style, { width: '2000px', maxWidth: 'none', display: 'table' });"
    )
    wrong = {way: WAYS[way](page, chromium) for way in WAYS}
    assert any("image-alt" in each for each in wrong["axe"]["light"])
    assert any("dim" in each for each in wrong["keyboard"]["dim"])
    room = wrong["room"]
    assert {key.split(": ")[1] for key in room} == {"past", "cut", "lying"}
    assert {"A4", "Letter"} == set(wrong["paper"])
    for lost in wrong["paper"].values():
        assert any("past the edge" in each for each in lost)
        assert any("word in two lines: immeasurable" in each for each in lost)


def test_titles_and_language_tell_the_pages_apart(page, chromium):
    titles = {}
    for path in PAGES:
        folder = SITE / path.strip("/")
        html = (folder if path.endswith(".html") else folder / "index.html").read_text("utf-8")
        head = html.partition("<title>")[2].partition("</title>")[0]
        assert titles.setdefault(head, path) == path
        assert '<html lang="en"' in html
        assert html.count("<h1") == 1, path


# ---- states that a page comes to


def test_the_menu_and_the_search_are_reached_by_keys(page, chromium):
    page.open("/glossary/")
    page.wait("document.querySelector('.hb-menu') !== null")
    helped(page)
    page.js("access.begin()")
    shut = "return document.activeElement.closest('.md-sidebar--primary') === null"
    press(chromium, Keys.TAB)
    assert page.js("return document.activeElement.matches('.md-skip')")
    press(chromium, Keys.TAB)
    assert page.js("return document.activeElement.getAttribute('aria-label')") == "Menu"
    assert page.js("return document.activeElement.ariaExpanded") == "false"
    press(chromium, Keys.ENTER)
    page.wait("document.querySelector('.hb-menu').ariaExpanded === 'true'")
    page.wait("document.activeElement.closest('.md-sidebar--primary') !== null")
    sound(page, chromium, "/glossary/ with the menu open", ("axe",))
    press(chromium, Keys.ESCAPE)
    page.wait("document.activeElement.classList.contains('hb-menu')")
    press(chromium, Keys.TAB * 2)
    assert page.js(shut)
    # A letter alone is no command.
    press(chromium, "s", "f", "/", "n", "p")
    assert page.js("return document.querySelector('#__search').checked") is False
    assert page.js("return location.pathname") == "/glossary/"
    page.js("document.querySelector('.hb-find').focus()")
    press(chromium, Keys.ENTER)
    page.wait("document.activeElement.matches('.md-search__input')")
    press(chromium, *"diaphragm")
    page.wait("document.querySelectorAll('.md-search-result__link').length > 0")
    press(chromium, Keys.ENTER)
    page.wait("location.pathname !== '/glossary/'")
    page.wait(
        "document.activeElement !== document.body && document.activeElement.checkVisibility()"
    )


def test_a_number_is_worked_out_by_keys_alone(page, chromium):
    page.open_live("/set-the-pre-charge/", CHARGE)
    form = f"document.querySelector('live-calculator[data-calculator={CHARGE}]')"
    before = page.outputs(CHARGE)
    page.js(f"{form}.querySelector('[name=height]').focus()")
    overwrite(chromium, "9.5")
    page.wait(f"location.hash.includes('9.5') && !{form}.hasAttribute('data-stale')")
    assert page.outputs(CHARGE) != before
    # The answer came in around the field, and the keyboard is where it was.
    assert page.js("return document.activeElement.name") == "height"
    press(chromium, Keys.TAB * 2)
    assert page.js("return document.activeElement.name") == "height.unit"
    press(chromium, "f")
    page.wait("document.activeElement.value === 'ft'")
    page.wait("location.hash.includes('ft')")
    steps = f"{form}.querySelector('.lc-steps > summary')"
    page.js(f"{steps}.focus()")
    press(chromium, Keys.ENTER)
    page.wait(f"{form}.querySelector('.lc-steps').open")


def test_rows_come_and_go_by_keys_and_the_focus_stays(page, chromium):
    page.open_live(calculators()["system-volume"], "system-volume")
    table = (
        "document.querySelector('[data-calculator=system-volume] [data-type=table]:not([hidden])')"
    )
    page.js("for (const d of document.querySelectorAll('article details')) d.open = true")
    rows = f"{table}.querySelectorAll('[data-row]').length"
    count = page.js(f"return {rows}")
    page.js(f"{table}.querySelector('[data-action=add-row]').focus()")
    press(chromium, Keys.ENTER)
    page.wait(f"{rows} === {count + 1}")
    assert page.js(f"return {table}.contains(document.activeElement)")
    page.js(f"{table}.querySelector('[data-row]:last-child [data-action=remove-row]').focus()")
    press(chromium, Keys.ENTER)
    page.wait(f"{rows} === {count}")
    assert page.js(f"return {table}.contains(document.activeElement)")


def test_a_drill_is_played_by_keys(page, chromium):
    drill.enter(page)
    page.js("document.querySelector('[data-spot=gauge]').focus()")
    press(chromium, Keys.ENTER)
    page.wait("document.querySelector('.fd-acts details[data-part=gauge]').open")
    assert page.js("return document.activeElement !== document.body")
    page.js("document.querySelector('form[data-do=read-gauge] button[type=submit]').focus()")
    press(chromium, Keys.ENTER)
    page.wait(f"{drill.DONE}.length === 1", START_LIMIT)
    assert page.js("return document.activeElement !== document.body")
    helped(page)
    sound(page, chromium, "/fault-drills/ with a room open", ("axe", "keyboard"))


def test_a_job_goes_from_its_begin_to_the_report_by_keys_alone(page, chromium):
    """Begun, a reading saved, a stop answered, a step ticked, a result kept, all of it reported.
    Pages are opened by their address; on each of them there is no pointer and no set focus."""
    page.open("/job/")
    page.wait("document.querySelector('#jb-begin-place') !== null")
    walk(page, chromium, "#jb-begin-place")
    press(chromium, *"Plant room")
    walk(page, chromium, "#jb-begin-who")
    press(chromium, *"A. Fitter", Keys.ENTER)
    kept(page, "job.isOpen && job.meta.name.startsWith('Plant room')")
    kept(page, "job.get('about/who')?.text === 'A. Fitter'")

    page.open("/readings/")
    page.wait("!document.querySelector('readings-log form')?.hidden")
    walk(page, chromium, "#reading-gauge")
    press(chromium, *"1.5")
    walk(page, chromium, "#reading-temperature")
    press(chromium, *"12")
    walk(page, chromium, "readings-log .rl-save")
    press(chromium, Keys.ENTER)
    kept(page, "job.keys('reading/').length === 1")

    page.open("/make-safe/")
    page.wait("document.querySelectorAll('.ps-tick').length > 0")
    walk(page, chromium, '[data-step="list-every-energy"] .ps-tick input')
    press(chromium, Keys.SPACE)
    kept(page, "job.get('step/make-safe/list-every-energy')?.ticked === true")
    walk(page, chromium, '[data-stop="stop-locked-out-and-proved"] .ps-yes')
    press(chromium, Keys.SPACE)
    kept(page, "job.get('step/make-safe/stop-locked-out-and-proved')?.answer === 'yes'")

    page.open_live("/set-the-pre-charge/", CHARGE)
    # Waiting for the calculator brought it into sight; the keyboard begins at the top.
    walk(page, chromium, page.control(CHARGE, "height"))
    overwrite(chromium, "9.5")
    page.wait("location.hash.includes('9.5')")
    walk(page, chromium, f"live-calculator[data-calculator={CHARGE}] [data-phase=left]")
    press(chromium, Keys.ENTER)
    kept(page, "job.keys('pin/').some((key) => job.get(key).phase === 'left')")

    page.open("/report/")
    page.wait("document.querySelector('job-report').innerText.includes('List every energy')", 60)
    words = page.js("return document.querySelector('job-report').innerText")
    for wanted in ("Plant room", "A. Fitter", "1.5", "9.5"):
        assert wanted in words, wanted
    helped(page)
    sound(page, chromium, "/report/ of a job done by keys", ("axe", "keyboard", "room", "paper"))


def test_an_open_problem_serves_everybody(page, chromium):
    page.open("/practice/#practice?family=pre-charge&level=first&seed=412&system=si")
    page.wait("document.querySelector('practice-problems [data-action=mark]')", START_LIMIT)
    helped(page)
    sound(page, chromium, "/practice/ with a problem open", ("axe", "keyboard"))


@pytest.mark.long
def test_a_job_and_its_readings_serve_everybody(page, chromium):
    page.open("/job/")
    page.wait("document.querySelector('#jb-file') !== null")
    page.js(
        "const moved = new DataTransfer();"
        f"moved.items.add(new File([{json.dumps(EXAMPLE.read_text('utf-8'))}], 'x'));"
        "const input = document.querySelector('#jb-file'); input.files = moved.files;"
        "input.dispatchEvent(new Event('change', { bubbles: true }))"
    )
    for words in ("Take it in", "Open it"):
        button = (
            "[...document.querySelectorAll('job-shelf button')]"
            f".find((b) => b.textContent === '{words}')"
        )
        page.wait(f"{button} !== undefined", START_LIMIT)
        page.js(f"{button}.click()")
    page.wait("document.documentElement.hasAttribute('data-job')")
    for path, ready in (
        ("/job/", "document.querySelector('.jb-table') !== null"),
        ("/readings/", "document.querySelector('readings-log svg') !== null"),
        ("/report/", "document.querySelector('job-report .rp-sign') !== null"),
    ):
        page.open(path)
        page.wait(ready, START_LIMIT)
        helped(page)
        ways = ("axe", "keyboard", "room", *(["paper"] if path == "/report/" else []))
        sound(page, chromium, f"{path} with the example job", ways)


def test_the_pages_of_a_trainer_serve_everybody(page, chromium, tmp_path):
    trainer.week(page)
    helped(page)
    sound(page, chromium, "/assign/ with work in it", ("axe", "keyboard", "room"))
    trainer.ready(page, "/worksheets/", "work-sheets")
    trainer.fill(page, "sheets", "2")
    trainer.press(page, "make")
    page.wait("document.querySelector('work-sheets').dataset.made === 'sheets'", trainer.LONG)
    helped(page)
    sound(page, chromium, "/worksheets/ with sheets made", ("axe", "keyboard", "room"))


def test_live_words_are_few(page, chromium):
    """What is typed is told once, when it has come to rest, and not with every letter."""
    page.open_live("/set-the-pre-charge/", CHARGE)
    page.js(
        "window.told = [];"
        "for (const live of document.querySelectorAll('article [aria-live]:not([aria-live=off]),"
        " article [role=status], article [role=alert]')) new MutationObserver(() =>"
        " window.told.push(live.textContent.trim())).observe(live,"
        " { childList: true, characterData: true, subtree: true });"
        f"document.querySelector('{page.control(CHARGE, 'height')}').focus()"
    )
    overwrite(chromium, "12.25")
    page.wait("location.hash.includes('12.25')")
    page.settled(CHARGE, native(CHARGE, {"height": "12.25 m"}))
    page.wait("window.told.length > 0")
    told = page.js("return window.told")
    assert len(told) <= 2, told

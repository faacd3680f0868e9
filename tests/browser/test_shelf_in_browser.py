"""The shelf of jobs: begun, found again, deleted and brought back, handed over and taken in."""

from __future__ import annotations

import io
import json
from contextlib import redirect_stdout

import pytest
from access import AXE, VIOLATIONS
from test_pages_in_browser import clean

from calc import __main__ as shell
from calc import jobfile

SHELF = "/job/"
JOB = "const { job } = await import('/assets/js/job.js');"


def press(page, words: str) -> None:
    page.wait(
        "[...document.querySelectorAll('job-shelf button')]"
        f".some((b) => b.textContent === {json.dumps(words)})"
    )
    page.js(
        "[...document.querySelectorAll('job-shelf button')]"
        f".find((b) => b.textContent === {json.dumps(words)}).click()"
    )


def said(page, start: str) -> str:
    return page.wait(
        "(document.querySelector('.jb-said')?.textContent ?? '')"
        f".startsWith({json.dumps(start)}) && document.querySelector('.jb-said').textContent"
    )


def begin(page, place: str = "Larch Street Library") -> str:
    """Begin a job on the page of the record, and return its id."""
    page.open(SHELF)
    page.wait("document.querySelector('#jb-begin-place') !== null")
    page.browser.type("#jb-begin-place", place)
    page.browser.type("#jb-begin-who", "A. Fitter")
    press(page, "Begin the job")
    said(page, "Begun: ")
    return page.js(f"{JOB} return job.id")


def filled(page) -> None:
    """Put a few things into the open job."""
    page.browser.type("#jb-about-called", 'Relief valve drips, "again" – since May')
    page.browser.type("#jb-todo-text", "Order a lock for the vessel's valve")
    press(page, "Add")
    page.js(
        "const { writeFact } = await import('/assets/js/facts.js');"
        f"{JOB} const origin = {{ calculator: 'pre-charge', field: 'height', how: 'typed' }};"
        "for (const value of ['11', '11.4'])"
        " writeFact(job, 'height', { value, unit: 'm', pm: '0.2' },"
        " { ...origin, field: `height${value.length}` });"
    )
    page.wait("document.querySelector('.jb-kept').textContent.startsWith('Kept')")


def whole(page, job_id: str = "") -> dict:
    return page.js(f"{JOB} return job.whole({json.dumps(job_id)} || undefined)")


def saved_file(page) -> tuple[str, str]:
    """Press the button, and return name and text of the file that the browser is handed."""
    page.js(
        "window.handed = null; const make = URL.createObjectURL;"
        "URL.createObjectURL = (file) => {"
        " file.text().then((text) => { window.handed = [file.name, text]; });"
        " URL.createObjectURL = make; return make.call(URL, file); }"
    )
    press(page, "Save as a file")
    said(page, "Saved as ")
    name, text = page.wait("window.handed")
    return name, text


def choose(page, text: str) -> None:
    page.js(
        f"const files = new DataTransfer(); files.items.add(new File([{json.dumps(text)}], 'x'));"
        "const input = document.querySelector('#jb-file'); input.files = files.files;"
        "input.dispatchEvent(new Event('change', { bubbles: true }))"
    )
    page.wait("document.querySelector('.jb-card') !== null")


def card(page) -> str:
    return page.js("return document.querySelector('.jb-card').innerText")


def test_a_job_stands_at_the_head_of_every_page_until_it_is_closed(page):
    begin(page)
    page.open("/survey/")
    page.wait("document.querySelector('job-bar').textContent.includes('Larch Street Library')")
    page.browser.click("job-bar a")
    page.wait("location.pathname === '/job/' && document.querySelector('#jb-open') !== null")
    press(page, "Close the job")
    said(page, "Closed: ")
    page.open("/survey/")
    page.wait("customElements.get('job-bar') !== undefined")
    assert page.js("return document.querySelector('job-bar').getBoundingClientRect().height") == 0
    clean(page.browser)


@pytest.mark.parametrize("open_job", [False, True])
def test_the_line_moves_nothing(page, chromium, open_job):
    if open_job:
        begin(page)
    page.open("/glossary/")
    page.wait("document.querySelector('job-bar').dataset.state")
    moved = page.js(
        "return new Promise((tell) => { let sum = 0;"
        "new PerformanceObserver((list) => { for (const each of list.getEntries())"
        " sum += each.value; }).observe({ type: 'layout-shift', buffered: true });"
        "setTimeout(() => tell(sum), 500); })"
    )
    assert moved == 0
    assert bool(page.js("return document.querySelector('job-bar').textContent")) is open_job


def test_a_file_goes_out_sound_and_comes_in_the_same(page, tmp_path):
    job_id = begin(page)
    filled(page)
    name, text = saved_file(page)
    assert name.startswith("cold-fill-larch-street-library-")
    assert name.endswith(".job.json")
    told, notes = jobfile.read(text)
    here = whole(page)
    assert told == here
    assert not notes
    file = tmp_path / name
    file.write_text(text, encoding="utf-8")
    with redirect_stdout(io.StringIO()) as printed:
        assert shell.main(["job", str(file)]) == 0
    assert "Larch Street Library" in printed.getvalue()
    page.wait("document.querySelector('.jb-saved').textContent.includes('saved as a file on')")
    # Another device has nothing of it.
    page.forget_all()
    page.open(SHELF)
    page.wait("document.querySelector('#jb-file') !== null")
    choose(page, text)
    assert "Place: Larch Street Library" in card(page)
    press(page, "Take it in")
    said(page, "Taken in: ")
    assert whole(page, job_id) == here
    press(page, "Open it")
    said(page, "Open: ")
    assert page.js(f"{JOB} return job.id") == job_id
    clean(page.browser)


def test_a_changed_file_is_refused_and_can_be_read_as_a_copy(page):
    begin(page)
    filled(page)
    here = whole(page)
    _, text = saved_file(page)
    choose(page, text.replace("11.4", "11.5"))
    assert "changed or cut after it was written" in card(page)
    assert whole(page) == here
    press(page, "Look at it all the same")
    page.wait("document.querySelector('.jb-card').innerText.includes('Take it in as a copy')")
    press(page, "Take it in as a copy")
    said(page, "Taken in as a copy")
    assert whole(page) == here
    for wrong in ("", "{}", text[:-200], "[" * 5000):
        choose(page, wrong)
        page.wait("document.querySelector('.jb-card').innerText.startsWith('Not taken in')")
        press(page, "All right")
    assert page.js(f"{JOB} return (await job.shelf()).length") == 2
    clean(page.browser)


def test_a_code_carries_a_job_to_another_device(page):
    job_id = begin(page)
    filled(page)
    here = whole(page)
    press(page, "Show as a code")
    link = page.wait("document.querySelector('[data-link]')?.dataset.link")
    assert len(link) <= 1200
    assert page.js("return document.querySelector('.jb-code').viewBox.baseVal.width") <= 125
    # The code is gone as soon as it no longer holds what the job holds.
    page.browser.type("#jb-todo-text", "Read the meter")
    press(page, "Add")
    page.wait("!document.querySelector('.jb-code')")
    page.forget_all()
    page.open(link.removeprefix(page.server.base))
    page.wait("document.querySelector('.jb-card') !== null")
    assert "1 site fact, 1 thing to do" in card(page)
    assert page.js(f"{JOB} return (await job.shelf()).length") == 0
    press(page, "Take it in")
    said(page, "Taken in: ")
    assert whole(page, job_id) == here
    assert page.js("return location.hash") == ""
    clean(page.browser)


@pytest.mark.parametrize("damage", ["AAAA", "%20", "", "zz" * 12_000])
def test_a_damaged_link_says_so(page, damage):
    page.open(f"{SHELF}#take={damage}")
    page.wait("document.querySelector('.jb-card')?.innerText.startsWith('Not taken in')")
    press(page, "All right")
    page.wait("location.hash === '' && !document.querySelector('.jb-card')")
    clean(page.browser)


def test_a_deleted_job_comes_back(page):
    job_id = begin(page)
    press(page, "Delete")
    said(page, "Deleted: ")
    assert page.js(f"{JOB} return job.isOpen") is False
    page.wait("document.activeElement?.textContent === 'Undo'")
    page.open(SHELF)
    page.wait(
        "document.querySelector('.jb-folded:not([hidden]) summary')?.textContent === 'Deleted (1)'"
    )
    press(page, "Bring back")
    said(page, "Brought back: ")
    press(page, "Open")
    page.wait("document.activeElement?.id === 'jb-open'")
    assert page.js(f"{JOB} return job.id") == job_id
    clean(page.browser)


def test_what_is_half_typed_is_kept_on_the_way_to_another_page(page):
    begin(page)
    page.browser.type("#jb-about-found", "Charge is gone")
    page.js("document.querySelector('.jb-link').click()")
    page.wait("!document.querySelector('job-shelf')")
    page.wait(f"(async () => {{ {JOB} return job.get('about/found')?.text; }})()")
    assert page.js(f"{JOB} return job.get('about/found').text") == "Charge is gone"


def test_everybody_can_use_the_shelf(page, chromium):
    begin(page)
    filled(page)
    press(page, "Show as a code")
    page.wait("document.querySelector('.jb-code') !== null")
    page.js(AXE.read_text(encoding="utf-8"))
    try:
        for scheme in ("light", "dark"):
            chromium.media(scheme=scheme)
            assert (scheme, page.js(VIOLATIONS)) == (scheme, [])
    finally:
        chromium.media()
    assert page.js(TOO_SMALL) == []


TOO_SMALL = """
const controls = 'job-shelf :is(button, input, select, textarea, a)';
return [...document.querySelectorAll(controls)].filter((e) => e.checkVisibility()).filter((e) => {
  const { width, height } = (e.closest('label') ?? e).getBoundingClientRect();
  return width < 44 || height < 44;
}).map((e) => e.outerHTML.slice(0, 100));
"""


def test_paper_shows_the_job_and_no_buttons(page, chromium):
    begin(page)
    filled(page)
    chromium.media(kind="print")
    try:
        furniture, facts, bar = page.js(
            "const seen = (s) => [...document.querySelectorAll(s)].filter("
            "(e) => e.getClientRects().length > 0).length;"
            "return [seen('job-shelf button, .jb-said, #jb-begin, .jb-file'),"
            " seen('.jb-table'), seen('job-bar')]"
        )
    finally:
        chromium.media()
    assert (furniture, facts, bar) == (0, 1, 0)

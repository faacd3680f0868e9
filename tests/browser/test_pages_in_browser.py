"""The one list of tests for all browsers. The last ones kill the server."""

from __future__ import annotations

import json
import re
import time

import pytest
from conftest import NAME, SITE, START_LIMIT, calculators, is_met, native, pages
from drivers import Chromium

import view

CALCULATORS = sorted(calculators().items()) if (SITE / "sitemap.xml").exists() else []
PAGES = pages() if (SITE / "sitemap.xml").exists() else []
EACH = pytest.mark.parametrize(("calculator", "path"), CALCULATORS)
# What a form does is the same code for all: the first browser tries every calculator, the others
# one of each kind of form (plain, tables, many choices, conditions), which keeps the whole short.
KINDS = ("pre-charge", "system-volume", "two-reading-check", "drain-down", "convert")
FORMS = pytest.mark.parametrize(
    ("calculator", "path"),
    [item for item in CALCULATORS if NAME == "chromium" or item[0] in KINDS],
)
CHARGE = "pre-charge"
CHARGE_PATH = dict(CALCULATORS).get(CHARGE, "/")


def element(calculator: str) -> str:
    return f"document.querySelector('live-calculator[data-calculator=\"{calculator}\"]')"


def clean(browser) -> None:
    """Fail on console errors and on anything asked of another host."""
    assert browser.errors() == []
    assert browser.strangers() == []


def test_there_is_something_to_test():
    assert len(PAGES) >= 10
    assert len(CALCULATORS) >= 5


def test_the_first_visit_fetches_everything(page):
    page.open("/")
    page.wait("document.documentElement.dataset.offline === 'ready'", START_LIMIT)
    words = page.js("return document.querySelector('offline-state').innerText")
    assert words.strip() == "Ready offline"
    clean(page.browser)


# What makes the page wider than the screen, if something does.
WIDER = """
if (document.documentElement.scrollWidth <= innerWidth + 1) return [];
return [...document.querySelectorAll('article *')]
  .filter((e) => e.getBoundingClientRect().right > innerWidth + 1)
  .slice(0, 8)
  .map((e) => `${e.tagName}.${e.getAttribute('class')} ${e.getBoundingClientRect().right}`)
  .concat(`${document.documentElement.scrollWidth} in ${innerWidth}`);
"""


# Every element of the page has found its module. The line of an assignment asks for its own only
# where one is open.
LIVE = """[...document.querySelectorAll('article :not(path-bar)')]
.every((e) => !e.localName.includes('-') || customElements.get(e.localName) !== undefined)"""


@pytest.mark.each_engine
@pytest.mark.parametrize("path", PAGES)
def test_page_loads_cleanly(visitor, path):
    visitor.open(path)
    visitor.wait("document.readyState === 'complete'")
    assert visitor.js("return document.querySelector('h1').innerText.trim().length") > 0
    visitor.wait("customElements.get('offline-state') !== undefined")
    visitor.wait(LIVE)
    hosts = visitor.js(
        "return performance.getEntriesByType('resource').map((entry) => new URL(entry.name).host)"
    )
    assert set(hosts) == {visitor.server.base.removeprefix("http://")}
    assert visitor.js(WIDER) == []
    clean(visitor.browser)


@pytest.mark.each_engine
@EACH
def test_goes_live_in_place_and_gives_what_the_shell_gives(page, calculator, path):
    page.open(path)
    page.js(
        f"window.first = {element(calculator)}.querySelector('output');"
        f"window.before = {element(calculator)}.offsetHeight;"
        f"window.words = {element(calculator)}.innerText.split('\\n')"
    )
    texts = page.outputs(calculator)
    page.live(calculator)
    assert page.js("return document.documentElement.dataset.engine") == "snapshot"
    assert page.js("return document.documentElement.dataset.boots") == "1"
    # The computed page was right already: nothing moves, nothing is put in its place.
    grown = page.js(f"return {element(calculator)}.offsetHeight - window.before")
    assert grown == 0, page.js(
        f"return {element(calculator)}.innerText.split('\\n')"
        ".filter((line) => !window.words.includes(line))"
    )
    assert page.js(f"return {element(calculator)}.querySelector('output') === window.first")
    assert list(page.outputs(calculator)) == list(texts)
    page.settled(calculator, native(calculator, {}))
    a_changed_number_gives_what_the_shell_gives(page, calculator)
    clean(page.browser)


def a_changed_number_gives_what_the_shell_gives(page, calculator):
    name, value, unit = page.quantity(calculator)
    example = native(calculator, {})["results"]
    # A table moves in steps, so some answers need a longer stride.
    for factor in (1.07, 0.93, 1.013, 0.5, 2, 0.2):
        text = f"{float(value) * factor:.6g}"
        page.type(calculator, name, text)
        inputs, _ = page.link(calculator, holding=text)
        expected = native(calculator, inputs)
        if "errors" not in expected and expected["results"] != example:
            break
    else:
        pytest.fail(f"no change of {name} gives another answer")
    page.settled(calculator, expected)
    if "." not in name:
        # Not only what the page says it sent, but what was typed.
        page.settled(calculator, native(calculator, {name: f"{text} {unit}"}))


BAD = {
    "text": "abc",
    "empty": "",
    "wrong unit": "12 kg",
    "negative": "-5000",
    "NaN": "nan",
    "infinite": "inf",
    "absurd": "1e30",
    "two numbers": "1 2",
}


@pytest.mark.each_engine
@FORMS
def test_bad_entries_are_answered_at_the_field(page, calculator, path):
    page.open_live(path, calculator)
    name, value, _ = page.quantity(calculator)
    good = page.outputs(calculator)
    place = f"document.getElementById('{calculator}-{name.replace('.', '-')}-error')"
    # Every calculator's reader is tried with all of these natively; here it is the page's manner.
    kinds = BAD if calculator in (CHARGE, "system-volume") else ("text", "negative")
    for kind in kinds:
        text = BAD[kind]
        page.paste(calculator, name, text)
        sentence = page.wait(f"!{place}.hidden && {place}.textContent")
        assert re.match(r"^\S.*[.?!]$", sentence, re.S), (kind, sentence)
        assert "nan" not in sentence.lower() or kind == "NaN", (kind, sentence)
        shown = page.js(
            f"const e = {element(calculator)};"
            f"return [e.querySelector('[name=\"{name}\"]').getAttribute('aria-invalid'),"
            " e.hasAttribute('data-stale'), !e.querySelector('.lc-stale').hidden]"
        )
        assert shown == ["true", True, True], (kind, shown)
        assert page.outputs(calculator) == good, kind
        page.paste(calculator, name, value)
        page.wait(f"{place}.hidden && !{element(calculator)}.hasAttribute('data-stale')")
    page.settled(calculator, native(calculator, {}))
    clean(page.browser)


def test_the_summary_leads_to_the_error(page):
    page.open_live(CHARGE_PATH, CHARGE)
    page.type(CHARGE, "height", "abc")
    button = f'live-calculator[data-calculator="{CHARGE}"] [data-action="go-error"]'
    page.wait(f"document.querySelector('{button}') !== null")
    page.browser.click(button)
    assert page.wait("document.activeElement.name") == "height"


@pytest.mark.each_engine
def test_typed_numbers_survive_a_reload(page):
    page.open_live(CHARGE_PATH, CHARGE)
    page.type(CHARGE, "height", "9.25")
    page.link(CHARGE, holding="9.25")
    # Without the fragment: what is kept on the device has to do it.
    page.open_live(CHARGE_PATH, CHARGE)
    assert page.value(CHARGE, "height") == "9.25"
    page.settled(CHARGE, native(CHARGE, {"height": "9.25 m"}))
    page.browser.click(f'live-calculator[data-calculator="{CHARGE}"] [data-action="reset"]')
    page.settled(CHARGE, native(CHARGE, {}))
    assert page.value(CHARGE, "height") == "11.4"
    page.open_live(CHARGE_PATH, CHARGE)
    assert page.value(CHARGE, "height") == "11.4"


def test_a_page_left_at_once_leaves_its_last_number_to_the_others(page):
    """Typed slowly, a number is known to the job by its first digit. The whole of it has to follow
    even if nobody waits; it is the same number as on the other page."""
    known = "(await import('/assets/js/job.js')).job.get('fact/vessel_volume')?.entry.value"
    page.open_live("/lift-and-support/", "lifting-check")
    page.paste("lifting-check", "vessel_volume", "20")
    page.wait(f"{known} === '20'")
    # Left in the same breath in which the answer comes.
    page.js(
        f"const calculator = {element('lifting-check')};"
        "const field = calculator.querySelector('[name=vessel_volume]');"
        "new MutationObserver((_, watch) => {"
        "  if (calculator.hasAttribute('data-stale')) return;"
        "  watch.disconnect(); location.assign('/find-the-cause/');"
        "}).observe(calculator, { attributes: true });"
        "calculator.toggleAttribute('data-stale', true);"
        "field.value = '202'; field.dispatchEvent(new Event('input', { bubbles: true }))"
    )
    page.live("two-reading-check")
    assert page.value("two-reading-check", "vessel_volume") == "202"


def test_hostile_storage_is_ignored(page):
    page.open("/")
    page.js(
        "const { job } = await import('/assets/js/job.js');"
        f"await job.set('entries/{CHARGE}', {{ system: 'si', at: '<b>', taken: {{ height: 'hot' }},"
        " values: { height: {}, 'a\"]': '1', fluid: 'mercury', margin: '<script>' } })"
    )
    page.open_live(CHARGE_PATH, CHARGE)
    page.settled(CHARGE, native(CHARGE, {}))
    clean(page.browser)


@FORMS
def test_units_switch_both_ways(page, calculator, path):
    page.open_live(path, calculator)
    _, value, unit = page.quantity(calculator)
    switch = f'live-calculator[data-calculator="{calculator}"] [name=system][value=%s]'
    page.browser.click(switch % "us")
    page.wait(f"{element(calculator)}.dataset.system === 'us'")
    # Per cent, days and plain numbers are the same in both systems.
    both = ("%", "1", "s", "min", "h", "d", "y", "mPa s", "mg/L", "g/L", "deg", "mmol/L", "uS/cm")
    if unit not in both:
        assert page.quantity(calculator)[2] != unit
    inputs, system = page.link(calculator)
    assert system == "us"
    page.settled(calculator, native(calculator, inputs, "us"))
    page.browser.click(switch % "si")
    page.wait(f"{element(calculator)}.dataset.system === 'si'")
    back = page.quantity(calculator)
    assert back[2] == unit
    assert float(back[1]) == pytest.approx(float(value), rel=1e-4)
    clean(page.browser)


def test_one_unit_reads_the_typed_number_anew(page):
    page.open_live(CHARGE_PATH, CHARGE)
    page.js(
        f"const s = document.querySelector('{page.control(CHARGE, 'height.unit')}');"
        "s.value = 'ft'; s.dispatchEvent(new Event('input', { bubbles: true }));"
        "s.dispatchEvent(new Event('change', { bubbles: true }))"
    )
    page.settled(CHARGE, native(CHARGE, {"height": "11.4 ft"}))
    assert page.value(CHARGE, "height") == "11.4"


def test_a_link_brings_its_numbers(page):
    page.open(f"{CHARGE_PATH}#{CHARGE}?height=31 feet&hot=180 degF")
    page.live(CHARGE)
    # A unit that the form does not offer is brought into one that it does, to five digits.
    page.wait(f"{element(CHARGE)}.querySelector('[name=height]').value === '9.4488'")
    inputs, _ = page.link(CHARGE, holding="9.4488")
    assert inputs["height"].startswith("9.4488")
    assert inputs["hot"] == "180 degF"
    page.settled(CHARGE, native(CHARGE, inputs))
    page.open(f"{CHARGE_PATH}#{CHARGE}?height=31%20%C2%B1%200.5%20ft")
    page.live(CHARGE)
    page.settled(CHARGE, native(CHARGE, {"height": "31 ± 0.5 ft"}))
    assert page.value(CHARGE, "height") == "31"
    assert page.value(CHARGE, "height.unit") == "ft"
    assert page.value(CHARGE, "height.pm") == "0.5"


def test_a_link_is_worth_more_than_what_was_typed(page):
    page.open_live(CHARGE_PATH, CHARGE)
    page.type(CHARGE, "height", "9.25")
    page.link(CHARGE)
    page.open(f"{CHARGE_PATH}#{CHARGE}?height=7.5%20m")
    page.live(CHARGE)
    page.settled(CHARGE, native(CHARGE, {"height": "7.5 m"}))


def test_rows_come_and_go(page):
    path = dict(CALCULATORS)["system-volume"]
    page.open_live(path, "system-volume")
    page.js("for (const folded of document.querySelectorAll('form details')) folded.open = true")
    table = f"{element('system-volume')}.querySelector('[data-type=table]:not([hidden])')"
    count = page.js(f"return {table}.querySelectorAll('[data-row]').length")
    name = page.js(f"return {table}.dataset.field")
    page.browser.click(f'[data-field="{name}"] [data-action="add-row"]')
    names = page.js(
        f"return [...{table}.querySelectorAll('[data-row]')].map((row) =>"
        " row.querySelector('input, select').name)"
    )
    assert [int(each.split(".")[1]) for each in names] == list(range(count + 1))
    # What an empty row lacks is said within a moment, and moves the button.
    page.wait(f"{table}.querySelector('[data-row]:last-child .lc-error:not([hidden])') !== null")
    page.browser.click(f'[data-field="{name}"] [data-row]:last-child [data-action="remove-row"]')
    page.settled("system-volume", native("system-volume", {}))
    if count > 1:
        first = f'[data-field="{name}"] [data-row]:first-child'
        page.browser.click(f'{first} [data-action="remove-row"]')
        page.wait(
            "new URLSearchParams(location.hash.split('?')[1])"
            f".get('{name}')?.split(';').length === {count - 1}"
        )
        inputs, _ = page.link("system-volume")
        page.settled("system-volume", native("system-volume", inputs))
    ids = page.js(
        "const all = [...document.querySelectorAll('[id]')].map((e) => e.id);"
        "return all.length - new Set(all).size"
    )
    assert ids == 0
    clean(page.browser)


def test_the_latest_numbers_win(page):
    page.open_live(CHARGE_PATH, CHARGE)
    page.js(
        f"const field = document.querySelector('{page.control(CHARGE, 'height')}');"
        "for (let n = 10; n <= 300; n += 1) {"
        " field.value = String(n / 20);"
        " field.dispatchEvent(new Event('input', { bubbles: true }));"
        " if (n % 7 === 0) await new Promise((go) => setTimeout(go, 3)); }"
    )
    page.settled(CHARGE, native(CHARGE, {"height": "15 m"}))


def test_folded_working_stays_as_the_reader_left_it(page):
    page.open_live(CHARGE_PATH, CHARGE)
    page.browser.click(f'live-calculator[data-calculator="{CHARGE}"] .lc-steps > summary')
    page.type(CHARGE, "height", "12")
    page.settled(CHARGE, native(CHARGE, {"height": "12 m"}))
    assert page.js(f"return {element(CHARGE)}.querySelector('.lc-steps').open") is True


def working_is_of(page, inputs: dict[str, str]) -> None:
    """Wait until the working stands on the page, and is the one of these entries."""
    request = {"op": "run", "calculator": CHARGE, "inputs": inputs}
    html = json.loads(view.respond(json.dumps(request)))["html"]["steps"]
    steps = f"{element(CHARGE)}.querySelector('.lc-steps')"
    page.wait(f"{steps}.querySelector('ol > li') !== null")
    same = page.js(
        "const wanted = document.createElement('template');"
        f"wanted.innerHTML = {json.dumps(html)};"
        f"return wanted.content.textContent === {steps}.textContent"
    )
    assert same


def test_the_working_comes_when_the_hand_rests(page):
    page.open_live(CHARGE_PATH, CHARGE)
    for height in ("12", "12.5"):
        page.type(CHARGE, "height", height)
        page.settled(CHARGE, native(CHARGE, {"height": f"{height} m"}))
        working_is_of(page, {"height": f"{height} m"})
    assert not page.js(f"return {element(CHARGE)}.querySelector('.lc-steps').open")
    clean(page.browser)


def test_working_that_is_opened_before_it_has_come_is_brought_at_once(page):
    page.open_live(CHARGE_PATH, CHARGE)
    working_is_of(page, {})
    bare = page.js(
        f"const form = {element(CHARGE)}; const steps = form.querySelector('.lc-steps');"
        f"const field = document.querySelector('{page.control(CHARGE, 'height')}');"
        "const seen = new Promise((tell) => new MutationObserver(() => {"
        "  if (steps.querySelector('ol')) return;"
        "  steps.open = true; tell(true);"
        "}).observe(steps, { childList: true }));"
        "field.value = '13'; field.dispatchEvent(new Event('input', { bubbles: true }));"
        "return seen"
    )
    # The old numbers are gone with the old result, and never stand beside the new one.
    assert bare
    working_is_of(page, {"height": "13 m"})


def test_instant_navigation_keeps_the_engine(page):
    page.open_live(CHARGE_PATH, CHARGE)
    page.js("document.documentElement.dataset.visit = 'one'")
    stops = [item for item in CALCULATORS if item[1] != CHARGE_PATH][:3]
    for calculator, path in stops:
        page.js(
            f"[...document.querySelectorAll('a[href]')].find((a) =>"
            f" a.pathname === '{path}' && !a.hash).click()"
        )
        page.wait(f"location.pathname === '{path}' && {element(calculator)} !== null")
        page.live(calculator)
    assert page.js("return document.documentElement.dataset.visit") == "one"
    assert page.js("return document.documentElement.dataset.boots") == "1"
    page.js("history.back()")
    clean(page.browser)


def test_a_page_is_shown_before_its_scripts_run_and_styled_once(page):
    """The theme writes the addresses of a page anew, which fetched its style sheet again."""
    fetched = """
    return performance.getEntriesByType('resource')
      .map(({ name, startTime }) => ({ name, startTime }))
      .filter(({ name }) => /(handbook\\.css|woff2|bundle[.\\w]*\\.js)$/.test(name));
    """
    page.open("/find-the-cause/")
    page.wait("customElements.get('offline-state') !== undefined")
    page.wait("document.querySelector('button.hb-menu') !== null")
    found = page.js(fetched)
    (bundle,) = [each for each in found if each["name"].endswith(".js")]
    shown = page.js("return performance.getEntriesByType('paint').map((each) => each.startTime)")
    assert shown
    assert bundle["startTime"] >= max(shown)
    assert len([each for each in found if each["name"].endswith(".css")]) == 1
    # On the way to the next page, and home to another folder, the sheet stays as it is.
    paper = "return getComputedStyle(document.body).fontFamily"
    family = page.js(paper)
    for link, path in (("a.md-footer__link--next", "/loop-and-pump/"), ("a.md-logo", "/")):
        page.js("document.documentElement.dataset.stayed = 'yes'")
        page.js(f"document.querySelector('{link}').click()")
        page.wait(f"location.pathname === '{path}'")
        page.wait("document.querySelector('[data-md-component=progress]') === null")
        assert page.js("return document.documentElement.dataset.stayed") == "yes"
        assert page.js(paper) == family
        assert page.js("return document.querySelectorAll('link[rel=stylesheet]').length") == 1
    found = page.js(fetched)
    assert len([each for each in found if each["name"].endswith("handbook.css")]) == 1
    assert len({each["name"] for each in found if each["name"].endswith("woff2")}) == 1
    clean(page.browser)


def test_typed_numbers_wait_on_the_page_they_were_typed_on(page):
    page.open_live(CHARGE_PATH, CHARGE)
    # Leave before any pause of the page has run out.
    page.type(CHARGE, "height", "8.75")
    other, path = next(item for item in CALCULATORS if item[1] != CHARGE_PATH)
    for target, name in ((path, other), (CHARGE_PATH, CHARGE)):
        page.js(
            f"[...document.querySelectorAll('a[href]')].find((a) =>"
            f" a.pathname === '{target}' && !a.hash).click()"
        )
        page.wait(f"location.pathname === '{target}' && {element(name)} !== null")
    page.live(CHARGE)
    assert page.value(CHARGE, "height") == "8.75"
    page.settled(CHARGE, native(CHARGE, {"height": "8.75 m"}))


@pytest.mark.long
def test_the_plain_start_works_too(page):
    page.open(f"{CHARGE_PATH}?engine=plain")
    page.live(CHARGE)
    assert page.js("return document.documentElement.dataset.engine") == "plain"
    page.type(CHARGE, "height", "12.5")
    page.settled(CHARGE, native(CHARGE, {"height": "12.5 m"}))
    clean(page.browser)


@pytest.mark.long
def test_the_plain_start_can_be_kept(page):
    page.js("localStorage.setItem('handbook-engine', 'plain')")
    page.open_live(CHARGE_PATH, CHARGE)
    assert page.js("return document.documentElement.dataset.engine") == "plain"


CHECKED = [path for path in PAGES if path.startswith("/how-checked/")]


@pytest.mark.parametrize("path", CHECKED[:2])
def test_evidence_runs_on_the_device(page, path):
    page.open(path)
    page.wait("document.querySelector('[data-action=rerun-evidence]:not(:disabled)') !== null")
    lines = page.js("return document.querySelectorAll('evidence-table tbody tr').length")
    total = page.js("return Number(document.querySelector('evidence-table').dataset.evidence)")
    assert lines > 0
    page.browser.click('[data-action="rerun-evidence"]')
    status = page.wait(
        "/Run on this device/.test(document.querySelector('.hb-evidence-status').textContent)"
        " && document.querySelector('.hb-evidence-status').textContent",
        START_LIMIT,
    )
    assert f"of {total} rows agree" in status, status
    assert "that should not" not in status, status
    assert page.js("return document.querySelectorAll('tr[data-rerun]').length") == lines
    clean(page.browser)


@EACH
def test_without_javascript_the_example_is_there(server, browser, calculator, path):
    if not isinstance(browser, Chromium):
        pytest.skip("JavaScript is switched off in Chromium only; the page is the same")
    bare = _bare(server)
    bare.open(server.base + path)
    for result in native(calculator, {})["results"]:
        found = bare.browser.find_element("css selector", f'output[name="{result["name"]}"]')
        # WebDriver gives a space where the page holds lines together with another one.
        assert found.text.split() == result["text"].split()
    assert (
        bare.browser.find_element("css selector", "live-calculator").get_attribute("data-state")
        == "static"
    )


_without_javascript = {}


def _bare(server):
    if not _without_javascript:
        _without_javascript["browser"] = Chromium(javascript=False)
    return _without_javascript["browser"]


@pytest.fixture(scope="module", autouse=True)
def _close_bare():
    yield
    if _without_javascript:
        _without_javascript.popitem()[1].close()


def test_paper_shows_numbers_and_no_furniture(page, chromium):
    page.open_live(CHARGE_PATH, CHARGE)
    working_is_of(page, {})
    chromium.media(kind="print")
    try:
        shown = page.js(
            "const seen = (s) => [...document.querySelectorAll(s)].filter("
            "(e) => e.getClientRects().length > 0).length;"
            "return [seen('.md-header, .md-footer, .md-sidebar, .lc button, offline-state'),"
            " seen('.lc-steps > ol > li'), seen('.lc-chart svg'), seen('.hb-cautions'),"
            " seen('.lc-headline output')]"
        )
    finally:
        chromium.media()
    furniture, *content = shown
    assert furniture == 0
    assert min(content) > 0, shown


@pytest.mark.each_engine
def test_with_the_server_gone_the_book_works(page, server):
    page.open("/")
    page.wait("document.documentElement.dataset.offline === 'ready'", START_LIMIT)
    server.kill()
    try:
        for path in filter(is_met, PAGES):
            page.open(path)
            assert page.js("return document.querySelector('h1').innerText.trim().length") > 0
            page.wait(LIVE, START_LIMIT)
        for calculator, path in filter(lambda each: is_met(each[1]), CALCULATORS):
            page.open_live(path, calculator)
            assert page.js("return document.documentElement.dataset.engine") == "snapshot"
            name, value, _ = page.quantity(calculator)
            text = f"{float(value) * 1.01:.6g}"
            page.type(calculator, name, text)
            inputs, _ = page.link(calculator, holding=text)
            page.settled(calculator, native(calculator, inputs))
        page.wait("document.documentElement.dataset.offline === 'ready'")
        page.js("localStorage.setItem('handbook-engine', 'plain')")
        page.open_live(CHARGE_PATH, CHARGE)
        assert page.js("return document.documentElement.dataset.engine") == "plain"
        _search(page, "diaphragm")
    finally:
        server.start()


def _search(page, word: str) -> None:
    page.open("/")
    page.js("document.querySelector('[data-md-toggle=search]').click()")
    time.sleep(0.5)
    page.browser.type("input.md-search__input", word)
    page.wait("document.querySelectorAll('.md-search-result__link').length > 0")


def test_colours_are_as_the_device_has_them_or_as_chosen(page):
    page.open("/")
    page.wait("document.querySelector('.hb-scheme:not([hidden])') !== null")
    seen = (
        "return [document.querySelector('.hb-scheme').getAttribute('aria-label'),"
        " document.body.dataset.mdColorScheme, document.documentElement.dataset.scheme,"
        " getComputedStyle(document.documentElement).colorScheme,"
        " [...document.querySelectorAll('.hb-scheme [data-choice]:not([hidden])')]"
        ".map((icon) => icon.dataset.choice).join()]"
    )
    device = ["Colours: as on the device. Change", "default", "light", "light", "device"]
    light = ["Colours: light. Change", "default", "light", "light", "light"]
    dark = ["Colours: dark. Change", "slate", "dark", "dark", "dark"]
    for wanted in (device, light, dark):
        assert page.js(seen) == wanted
        page.browser.click(".hb-scheme")
    assert page.js(seen) == device
    page.browser.click(".hb-scheme")
    page.browser.click(".hb-scheme")
    # On the way to another page it stays, and a page that is loaded begins with it.
    page.js("document.querySelector('a.md-footer__link').click()")
    page.wait("location.pathname !== '/'")
    assert page.js(seen) == dark
    page.open("/glossary/")
    page.wait("document.querySelector('.hb-scheme:not([hidden])') !== null")
    assert page.js(seen) == dark
    clean(page.browser)


def test_a_dark_device_is_met_with_dark_colours_from_the_first_paint(page, chromium):
    chromium.media(scheme="dark")
    try:
        page.open("/")
        first = "document.body?.dataset.mdColorScheme === 'slate'"
        page.wait(first)
        assert page.js("return document.documentElement.dataset.scheme") == "dark"
        assert page.js("return getComputedStyle(document.documentElement).colorScheme") == "dark"
    finally:
        chromium.media()
    page.wait("document.body.dataset.mdColorScheme === 'default'")

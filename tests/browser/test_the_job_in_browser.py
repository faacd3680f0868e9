"""What one page finds the next takes up; and a whole job from the first reading to the report."""

from __future__ import annotations

import contextlib
import io
import json

from conftest import calculators, native
from drivers import Chromium
from test_pages_in_browser import CHARGE_PATH, clean, element

from calc import __main__ as shell

PATHS = calculators()
SURVEY, SIZE = PATHS["system-volume"], PATHS["vessel-size"]


def field(calculator: str, name: str) -> str:
    return f"{element(calculator)}.querySelector('[data-field=\"{name}\"]')"


def origin(calculator: str, name: str) -> str:
    """Return an expression for what stands under a field about where its number is from."""
    return f"({field(calculator, name)}.querySelector('.lc-origin')?.textContent ?? '')"


RECORD = "const { job } = await import('/assets/js/job.js');"


def kept(page, expression: str):
    """Wait until an expression over the job is true, and return it."""
    return page.wait(f"(async () => {{ {RECORD} return {expression}; }})()")


def follow(page, path: str) -> None:
    """Go to another page by a link of this one, as a reader does."""
    page.js(
        "[...document.querySelectorAll('a[href]')].find((a) =>"
        f" a.pathname === '{path}' && !a.hash).click()"
    )
    page.wait(f"location.pathname === '{path}'")


def found_volume(page) -> tuple[str, str]:
    """Change the survey, and return the volume it found, as the job has it."""
    page.open_live(SURVEY, "system-volume")
    name, value, _ = page.quantity("system-volume")
    typed = f"{float(value) * 1.2:.6g}"
    page.type("system-volume", name, typed)
    inputs, _ = page.link("system-volume", holding=typed)
    expected = native("system-volume", inputs)
    page.settled("system-volume", expected)
    volume = next(each for each in expected["results"] if each["name"] == "volume")
    entry = volume["entry"]
    kept(page, f"job.get('fact/system_volume')?.entry.value === '{entry['value']}'")
    return entry["value"], entry["pm"]


def test_a_number_found_is_taken_up_on_the_next_page(page):
    value, band = found_volume(page)
    follow(page, SIZE)
    page.live("vessel-size")
    assert page.value("vessel-size", "system_volume") == value
    assert page.js(f"return {field('vessel-size', 'system_volume')}.dataset.taken")
    assert page.js(f"return {origin('vessel-size', 'system_volume')}").startswith(
        "From System water volume"
    )
    wanted = f"{value} ± {band} L" if band else f"{value} L"
    page.settled("vessel-size", native("vessel-size", {"system_volume": wanted}))
    # It is still so when the page is loaded anew, from the server or from its own address.
    page.reload()
    page.live("vessel-size")
    assert page.value("vessel-size", "system_volume") == value
    assert page.js(f"return {field('vessel-size', 'system_volume')}.dataset.taken")
    clean(page.browser)


def test_a_number_typed_over_says_what_hangs_on_it_and_comes_back(page):
    value, _ = found_volume(page)
    follow(page, SIZE)
    page.live("vessel-size")
    page.type("vessel-size", "system_volume", "1333")
    page.wait(f"{origin('vessel-size', 'system_volume')}.startsWith('You changed it from {value}')")
    kept(page, "job.get('fact/system_volume').entry.value === '1333'")
    page.browser.click('[data-field="system_volume"] [data-action="take-fact"]')
    page.wait(f"{origin('vessel-size', 'system_volume')}.startsWith('From System water volume')")
    assert page.value("vessel-size", "system_volume") == value
    kept(page, f"job.get('fact/system_volume').entry.value === '{value}'")
    clean(page.browser)


def test_a_link_is_not_changed_by_what_the_job_knows(page):
    found_volume(page)
    page.open(f"{SIZE}#vessel-size?system_volume=900%20L&hot=80%20degC")
    page.live("vessel-size")
    assert page.value("vessel-size", "system_volume") == "900"
    assert page.js(f"return {origin('vessel-size', 'system_volume')}").startswith("In this job")
    clean(page.browser)


def test_facts_come_in_the_units_of_the_reader(page):
    page.open_live(SURVEY, "system-volume")
    page.browser.click('live-calculator[data-calculator="system-volume"] [name=system][value=us]')
    page.wait(f"{element('system-volume')}.dataset.system === 'us'")
    name, value, _ = page.quantity("system-volume")
    page.type("system-volume", name, f"{float(value) * 1.2:.6g}")
    kept(page, "job.get('fact/system_volume')?.entry.unit === 'gal'")
    follow(page, SIZE)
    page.live("vessel-size")
    page.wait(f"{element('vessel-size')}.dataset.system === 'us'")
    assert page.value("vessel-size", "system_volume.unit") == "gal"
    inputs, system = page.link("vessel-size")
    assert system == "us"
    page.settled("vessel-size", native("vessel-size", inputs, "us"))
    clean(page.browser)


def read(page, gauge: str, temperature: str, minutes: int) -> None:
    """Type a reading into the log."""
    count = page.js(f"{RECORD} return job.keys('reading/').length")
    page.js(
        "const at = document.querySelector('#reading-at');"
        f"const then = new Date(Date.now() - {minutes} * 60000 - new Date().getTimezoneOffset()"
        " * 60000);"
        "at.value = then.toISOString().slice(0, 16);"
        "at.dispatchEvent(new Event('input', { bubbles: true }))"
    )
    page.browser.type("#reading-gauge", gauge)
    page.browser.type("#reading-temperature", temperature)
    page.browser.click("readings-log .rl-save")
    kept(page, f"job.keys('reading/').length === {count + 1}")


def press(page, calculator: str, phase: str) -> None:
    page.browser.click(f'live-calculator[data-calculator="{calculator}"] [data-phase="{phase}"]')
    kept(page, f"job.keys('pin/').some((key) => job.get(key).phase === '{phase}')")


def test_a_whole_job_from_the_first_reading_to_the_report(page, server, tmp_path):
    """Larch Street Library, with reloads, a page torn away while it writes, and no network."""
    page.open("/job/")
    page.wait("document.querySelector('#jb-begin-place') !== null")
    page.browser.type("#jb-begin-place", "Plant room, Larch Street Library")
    page.browser.type("#jb-begin-who", "A. Fitter")
    page.js(
        "[...document.querySelectorAll('job-shelf button')]"
        ".find((b) => b.textContent === 'Begin the job').click()"
    )
    kept(page, "job.isOpen && job.meta.name.startsWith('Plant room, Larch Street Library')")
    page.wait("document.querySelector('#jb-about-called') !== null")
    page.browser.type("#jb-about-called", "Gauge high when hot <b>again</b>")
    kept(page, "job.get('about/called')?.text.endsWith('</b>')")

    # The readings, as found, and what they leave open.
    page.open("/readings/")
    page.wait("!document.querySelector('readings-log form')?.hidden")
    read(page, "1.5", "12", 90)
    read(page, "2.85", "71", 5)
    page.open("/readings/")
    page.wait("document.querySelectorAll('[data-reading]').length === 2")
    page.wait(
        "document.querySelector('[data-handover=two-reading-check]').hash.includes('hot_reading')",
        60,
    )
    page.js("document.querySelector('[data-handover=two-reading-check]').click()")
    page.wait("location.pathname === '/find-the-cause/'")
    page.live("two-reading-check")
    inputs, _ = page.link("two-reading-check", holding="hot_reading")
    assert inputs["hot_reading"].startswith("2.85")
    page.settled("two-reading-check", native("two-reading-check", inputs))
    press(page, "two-reading-check", "found")

    # Made safe: a step ticked and a stop answered.
    page.open("/make-safe/")
    page.wait("document.querySelectorAll('.ps-tick').length > 0")
    page.browser.click('[data-step="list-every-energy"] .ps-tick')
    page.browser.click('[data-stop="stop-locked-out-and-proved"] .ps-yes')
    kept(page, "job.keys('step/make-safe/').length >= 2")

    # The page is torn away in the moment of writing.
    page.open_live(SURVEY, "system-volume")
    name, value, _ = page.quantity("system-volume")
    page.type("system-volume", name, f"{float(value) * 1.1:.6g}")
    inputs, _ = page.link("system-volume", holding=f"{float(value) * 1.1:.6g}")
    found = native("system-volume", inputs)["results"]
    volume = next(each["entry"]["value"] for each in found if each["name"] == "volume")
    kept(page, f"job.get('fact/system_volume')?.entry.value === '{volume}'")
    page.js(
        f"{RECORD} job.set('about/found', {{ text: 'Charge lost', at: job.now() }});"
        "setTimeout(() => location.replace('about:blank'))"
    )

    # From here on without a network.
    server.kill()
    try:
        page.open_live(CHARGE_PATH, "pre-charge")
        assert kept(page, "job.get('about/found')?.text") == "Charge lost"
        assert page.value("pre-charge", "system_volume") == volume
        page.type("pre-charge", "height", "12.1")
        inputs, _ = page.link("pre-charge", holding="12.1")
        page.settled("pre-charge", native("pre-charge", inputs))
        press(page, "pre-charge", "left")
        found = native("pre-charge", inputs)["results"]
        charge = next(each["entry"]["value"] for each in found if each["name"] == "charge")
        kept(page, f"job.get('fact/charge')?.entry.value === '{charge}'")
        page.open("/report/")
        page.wait("document.querySelector('job-report').innerText.includes('Charge lost')", 60)
        words = page.js("return document.querySelector('job-report').innerText")
        for wanted in ("Larch Street Library", "A. Fitter", "again", "2.85", "List every energy"):
            assert wanted in words, wanted
        assert page.js("return document.querySelectorAll('job-report b, job-report i').length") == 0
        text = page.js(
            f"{RECORD} const {{ visitEngine }} = await import('/assets/js/engine.js');"
            "return (await visitEngine().ask({ op: 'job-write', job: await job.whole() })).text"
        )
        clean(page.browser)
        if isinstance(page.browser, Chromium):
            pdf = page.browser.pdf()
            assert pdf.count(b"/Type /Page\n") + pdf.count(b"/Type /Page>") >= 2
            (tmp_path / "report.pdf").write_bytes(pdf)
    finally:
        server.start()

    # Years later, in a shell: the same numbers.
    path = tmp_path / "larch-street.job.json"
    path.write_text(text, encoding="utf-8")
    printed = io.StringIO()
    with contextlib.redirect_stdout(printed):
        assert shell.main(["job", str(path), "--json"]) == 0
    told = json.loads(printed.getvalue())
    assert charge in printed.getvalue()
    assert "Charge lost" in json.dumps(told)

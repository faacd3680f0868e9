"""What one page finds the next takes up; and a whole job from the first reading to the report."""

from __future__ import annotations

from conftest import calculators, native
from test_pages_in_browser import clean, element

PATHS = calculators()
SURVEY, SIZE = PATHS["system-volume"], PATHS["vessel-size"]


def field(calculator: str, name: str) -> str:
    return f"{element(calculator)}.querySelector('[data-field=\"{name}\"]')"


def origin(calculator: str, name: str) -> str:
    """Return an expression for what stands under a field about where its number is from."""
    return f"({field(calculator, name)}.querySelector('.lc-origin')?.textContent ?? '')"


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
    page.type("system-volume", name, f"{float(value) * 1.2:.6g}")
    inputs, _ = page.link("system-volume")
    page.settled("system-volume", native("system-volume", inputs))
    return page.wait(
        "(async () => { const { job } = await import('/assets/js/job.mjs');"
        " const { entry } = job.get('fact/system_volume') ?? {};"
        " return entry && [entry.value, entry.pm]; })()"
    )


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
    page.js("location.reload()")
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
    page.wait(
        "(async () => { const { job } = await import('/assets/js/job.mjs');"
        " return job.get('fact/system_volume').entry.value === '1333'; })()"
    )
    page.browser.click('[data-field="system_volume"] [data-action="take-fact"]')
    page.wait(f"{origin('vessel-size', 'system_volume')}.startsWith('From System water volume')")
    assert page.value("vessel-size", "system_volume") == value
    page.wait(
        "(async () => { const { job } = await import('/assets/js/job.mjs');"
        f" return job.get('fact/system_volume').entry.value === '{value}'; }})()"
    )
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
    page.wait(
        "(async () => { const { job } = await import('/assets/js/job.mjs');"
        " return job.get('fact/system_volume')?.entry.unit === 'gal'; })()"
    )
    follow(page, SIZE)
    page.live("vessel-size")
    page.wait(f"{element('vessel-size')}.dataset.system === 'us'")
    assert page.value("vessel-size", "system_volume.unit") == "gal"
    inputs, system = page.link("vessel-size")
    assert system == "us"
    page.settled("vessel-size", native("vessel-size", inputs, "us"))
    clean(page.browser)

"""A drill really played: the room is left, found again, judged by what it showed, and marked."""

from __future__ import annotations

import functools
import json

import pytest
from access import AXE, VIOLATIONS
from conftest import START_LIMIT
from test_pages_in_browser import clean

from calc.training.scenarios import drawn
from view.training import drills

PATH = "/fault-drills/"
KIND = "water-at-the-relief-pipe"
HANDLE = "vessel-shut"
READY = "document.querySelector('section.fd')?.dataset.state === 'ready'"
DONE = "[...document.querySelectorAll('.fd-trace li')]"


@functools.cache
def room() -> int:
    """Return the number of the first room whose one fault is a valve that somebody left shut."""
    return next(seed for seed in range(1, 200) if drawn(KIND, seed).rows == (HANDLE,))


def native(acts: list[dict], diagnosis: list[str] | None = None, system: str = "si") -> dict:
    """Return what the same drill gives without a browser."""
    return drills.answer(
        "drill-play",
        {
            "drill": {"id": KIND, "seed": room(), "system": system},
            "actions": acts,
            "diagnosis": diagnosis,
        },
    )


def enter(page, system: str = "si") -> None:
    units = "" if system == "si" else f"&system={system}"
    page.open(f"{PATH}#drill?drill={KIND}&seed={room()}{units}")
    page.wait(READY, START_LIMIT)
    at_once(page)


def at_once(page) -> None:
    page.js("document.querySelector('.fd-pace input[value=\"0\"]').click()")


def do(page, act: str, part: str) -> None:
    """Tap the part in the drawing, and the act under it."""
    before = page.js(f"return {DONE}.length")
    page.browser.click(f'[data-spot="{part}"]')
    page.wait(f"document.querySelector('.fd-acts details[data-part={part}]').open")
    page.browser.click(f'form[data-do="{act}"] button[type=submit]')
    page.wait(f"{DONE}.length === {before + 1}", START_LIMIT)


def text(page, selector: str) -> str:
    return page.js(f"return document.querySelector({json.dumps(selector)})?.textContent ?? ''")


def test_a_drill_is_played_from_the_call_to_the_debrief(page):
    enter(page)
    acts: list[dict] = []
    assert text(page, ".fd-reads") == native(acts)["dial"]["reads"]

    acts.append({"do": "read-gauge", "values": {}})
    do(page, "read-gauge", "gauge")
    assert native(acts)["last"]["words"] in text(page, ".fd-seen")
    assert text(page, ".fd-alarm") == ""

    # Heat, before anybody has looked at the valve: carried out, and told at once.
    acts.append({"do": "heat-up", "values": {"temperature": {"value": "", "unit": "degC"}}})
    do(page, "heat-up", "boiler")
    wanted = native(acts)
    assert wanted["last"]["verdict"] == "unsafe"
    assert text(page, ".fd-alarm") == f"Unsafe. {wanted['last']['reason']}"
    assert text(page, ".fd-reads") == wanted["dial"]["reads"]
    assert text(page, ".fd-clock") == wanted["time"]

    # The page goes away in the middle of it, and the room is found as it was left.
    page.reload()
    page.wait(READY, START_LIMIT)
    at_once(page)
    assert page.js(f"return {DONE}.length") == len(acts)
    assert text(page, ".fd-reads") == wanted["dial"]["reads"]

    acts.append({"do": "look-round", "values": {}})
    do(page, "look-round", "loop")
    assert text(page, ".fd-clock") == native(acts)["time"]
    # What is wrong is read from what the page says, not known beforehand.
    log = text(page, ".fd-trace")
    cause = HANDLE if "The valve to the vessel is shut" in log else "nothing seen"
    assert cause == HANDLE, log

    page.browser.click(f'.fd-diagnosis input[value="{cause}"]')
    page.browser.click(".fd-diagnosis button")
    assert text(page, ".fd-debrief") == "", "one tap must not end a drill"
    page.browser.click(".fd-diagnosis button")
    page.wait("document.querySelector('.fd-score b') !== null", START_LIMIT)
    score = native(acts, [cause])["score"]
    assert text(page, ".fd-score") == f"{score['points']}of {score['most']} points"
    assert page.js("return document.querySelector('.fd-debrief [data-right]').dataset.right") == (
        "yes"
    )
    assert page.js("return document.querySelector('.fd-actspart').hidden")
    clean(page.browser)


def test_a_refused_act_and_a_bad_number_leave_the_room_as_it_was(page):
    enter(page, "us")
    do(page, "drain-vessel", "vessel")
    wanted = native([{"do": "drain-vessel", "values": {}}], system="us")
    assert wanted["last"]["verdict"] == "refused"
    assert text(page, ".fd-alarm") == f"Not done. {wanted['last']['reason']}"
    assert text(page, ".fd-reads") == wanted["dial"]["reads"]
    assert text(page, ".fd-reads").endswith(wanted["dial"]["unit"])

    page.browser.click('[data-spot="loop"]')
    page.browser.type("#da-wait-time", "half")
    page.browser.click('form[data-do="wait"] button[type=submit]')
    page.wait("document.querySelector('#da-wait-time').getAttribute('aria-invalid') === 'true'")
    assert "half" in text(page, "#da-wait-time-error")
    assert page.js(f"return {DONE}.length") == 1
    clean(page.browser)


def test_the_room_is_chosen_shared_left_and_found_again(page):
    page.open(PATH)
    page.wait(f"document.querySelector('.fd-kind input[value={KIND}]') !== null", START_LIMIT)
    page.browser.click(f'.fd-kind input[value="{KIND}"]')
    page.browser.type("#fd-seed", str(room()))
    page.browser.click('.fd-system input[value="us"]')
    page.browser.click(".fd-choose .fd-main")
    page.wait(READY, START_LIMIT)
    assert page.js("return location.hash") == f"#drill?drill={KIND}&seed={room()}&system=us"
    assert text(page, ".fd-reads") == native([], system="us")["dial"]["reads"]
    at_once(page)
    do(page, "read-gauge", "gauge")

    page.js("history.back()")
    page.wait("document.querySelector('.fd-begun:not([hidden])') !== null")
    assert "1 act so far" in text(page, ".fd-begun")
    page.js("history.forward()")
    page.wait(READY, START_LIMIT)
    assert page.js(f"return {DONE}.length") == 1
    clean(page.browser)


def test_the_gauge_takes_the_time_that_was_chosen(page):
    enter(page)
    page.js("document.querySelector('.fd-pace input[value=\"60\"]').click()")
    page.browser.click('[data-spot="boiler"]')
    page.browser.click('form[data-do="heat-up"] button[type=submit]')
    page.wait("!document.querySelector('.fd-skip').hidden", START_LIMIT)
    acts = [{"do": "heat-up", "values": {"temperature": {"value": "", "unit": "degC"}}}]
    wanted = native(acts)
    # What was not safe is said while the needle still moves; what was seen waits for its end.
    assert text(page, ".fd-alarm") == f"Unsafe. {wanted['last']['reason']}"
    assert wanted["last"]["words"] not in text(page, ".fd-seen")
    page.browser.click(".fd-skip")
    assert wanted["last"]["words"] in text(page, ".fd-seen")
    assert text(page, ".fd-reads") == wanted["dial"]["reads"]
    clean(page.browser)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_room_is_open_to_everybody(page, chromium, scheme):
    chromium.media(scheme=scheme)
    try:
        enter(page)
        do(page, "read-gauge", "gauge")
        page.js("for (const d of document.querySelectorAll('.fd details')) d.open = true")
        page.js(AXE.read_text(encoding="utf-8"))
        assert page.js(VIOLATIONS) == []
    finally:
        chromium.media()


@pytest.mark.parametrize("width", [390, 820])
def test_the_room_fits_a_hand_and_a_screen(page, chromium, width):
    chromium.browser.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": width, "height": 844, "deviceScaleFactor": 1, "mobile": True},
    )
    try:
        enter(page)
        page.js("for (const d of document.querySelectorAll('.fd details')) d.open = true")
        assert page.js("return document.documentElement.scrollWidth") <= width
        small = page.js(
            "return [...document.querySelectorAll('.fd :is(button, select, summary, label.fd-tick,"
            ' .fd-pace label, input[type="text"])\')]'
            ".filter((e) => e.checkVisibility()).map((e) => [e.textContent.slice(0, 40),"
            " e.getBoundingClientRect().width, e.getBoundingClientRect().height])"
            ".filter(([, w, h]) => w < 44 || h < 44)"
        )
        assert small == []
    finally:
        chromium.browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def test_paper_shows_what_was_done_and_not_the_room(page, chromium):
    enter(page)
    do(page, "read-gauge", "gauge")
    chromium.media(kind="print")
    try:
        shown = page.js(
            "return Object.fromEntries(['.fd-title', '.fd-paperonly', '.fd-call', '.fd-trace li',"
            " '.fd-dial', '.fd-acts', '.fd-now', '.fd-buttons'].map((s) =>"
            " [s, document.querySelector(s).checkVisibility()]))"
        )
    finally:
        chromium.media()
    seen = {name for name, visible in shown.items() if visible}
    assert seen == {".fd-title", ".fd-paperonly", ".fd-call", ".fd-trace li"}

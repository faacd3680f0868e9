"""What the tests ask of a page for readers of every kind: axe, the keyboard, room, paper."""

from __future__ import annotations

import json
from pathlib import Path

from conftest import ROOT
from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.keys import Keys

HELPERS = Path(__file__).with_name("access.js")
AXE = ROOT / "node_modules" / "axe-core" / "axe.min.js"
# Rules that the library leaves out unless they are asked for.
VIOLATIONS = """
const wanted = ["target-size", "css-orientation-lock", "label-content-name-mismatch",
  "table-fake-caption", "td-has-header"];
const found = await axe.run(document, { resultTypes: ['violations'],
  rules: Object.fromEntries(wanted.map((rule) => [rule, { enabled: true }])) });
return found.violations.map((v) => `${v.id}: ${v.help}: ` +
  v.nodes.slice(0, 3).map((n) => n.html.slice(0, 160) + ' ' +
  (n.any[0]?.message ?? n.all[0]?.message ?? '')).join(' | '));
"""
SCHEMES = ("light", "dark")
PHONE = (390, 664)
# A width of 320 is a screen of 1280 enlarged to 400 %.
ROOMS = {
    "320 px": (320, ""),
    "320 px, spaced": (320, "spaced"),
    "tablet, letters doubled": (820, "doubled"),
    "phone, letters doubled": (410, "doubled"),
}
# The paper less the margins that the style sheet sets, in CSS pixels.
PAPERS = {"A4": 688, "Letter": 710}


def opened(page, path: str) -> None:
    """Open a page with its calculators live and everything unfolded."""
    page.open(path)
    page.wait("customElements.get('offline-state') !== undefined")
    for name in page.js(
        "return [...document.querySelectorAll('live-calculator')].map((e) => e.dataset.calculator)"
    ):
        page.live(name)
    helped(page)


def helped(page) -> None:
    page.js(HELPERS.read_text(encoding="utf-8"))
    # What comes in while the keyboard walks makes its way longer than it was counted.
    page.js("access.unfold(); await document.fonts.ready; await access.settled()")


def screen(chromium, width: int = 0, height: int = 1180) -> None:
    """Give the page a screen of this size; none gives it its own back."""
    if width:
        chromium.browser.execute_cdp_cmd(
            "Emulation.setDeviceMetricsOverride",
            {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False},
        )
    else:
        chromium.browser.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})


def press(chromium, *keys: str) -> None:
    """Press keys as hands do, wherever the focus is."""
    ActionChains(chromium.browser, duration=0).send_keys(*keys).perform()


def walk(page, chromium, selector: str, most: int = 400) -> None:
    """Press the Tab key until what the selector names has the focus, as who has no pointer does."""
    there = f"return document.activeElement?.matches({json.dumps(selector)}) ?? false"
    for _ in range(most):
        press(chromium, Keys.TAB)
        if page.js(there):
            return
    raise AssertionError(f"{most} times the Tab key does not lead to {selector}")


def overwrite(chromium, text: str) -> None:
    """Type over what stands in the field that has the focus."""
    keys = ActionChains(chromium.browser, duration=0)
    keys.key_down(Keys.CONTROL).send_keys("a").key_up(Keys.CONTROL).send_keys(text).perform()


def tour(page, chromium) -> dict:
    """Go through the page with the Tab key; return what is wrong on the way, by kind."""
    screen(chromium, *PHONE)
    try:
        stops = page.js("return access.begin()")
        boxes = page.js("return document.querySelectorAll('article .lc-formula').length")
        press(chromium, Keys.TAB * (stops + boxes + 10))
        found = page.js("return access.end()")
    finally:
        screen(chromium)
    assert found.pop("stops") > 3
    return {kind: what for kind, what in found.items() if what}


def violations(page, chromium) -> dict:
    """Return what axe finds in both schemes."""
    page.js(AXE.read_text(encoding="utf-8"))
    found = {}
    try:
        for scheme in SCHEMES:
            chromium.media(scheme=scheme)
            found[scheme] = page.js(VIOLATIONS)
    finally:
        chromium.media()
    return {scheme: what for scheme, what in found.items() if what}


def crowded(page, chromium) -> dict:
    """Return what does not fit where a reader enlarges or spaces the page."""
    found = {}
    # The theme's label of what has the focus is laid out once, and goes when the focus does.
    page.js("document.activeElement?.blur(); await access.settled()")
    try:
        for name, (width, sheet) in ROOMS.items():
            screen(chromium, width)
            page.js(f"access.wear('{sheet}')")
            what = page.js("await access.still(); return access.crowded()")
            found |= {f"{name}: {kind}": list_ for kind, list_ in what.items() if list_}
    finally:
        page.js("access.wear('')")
        screen(chromium)
    return found


def unprintable(page, chromium) -> dict:
    """Return what either paper would lose."""
    found = {}
    chromium.media(kind="print")
    try:
        for paper, width in PAPERS.items():
            screen(chromium, width)
            found[paper] = page.js(f"return access.unprintable({width})")
    finally:
        chromium.media()
        screen(chromium)
    return {paper: what for paper, what in found.items() if what}


WAYS = {"axe": violations, "keyboard": tour, "room": crowded, "paper": unprintable}

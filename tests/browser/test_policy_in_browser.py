"""Nothing runs in a page that does not belong to it, and nothing is fetched from elsewhere."""

from __future__ import annotations

import pytest

WATCH = """
window.told = [];
document.addEventListener("securitypolicyviolation", (event) => {
  window.told.push(event.effectiveDirective || event.violatedDirective);
});
return true;
"""
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
    "script-src-elem": """
const script = document.createElement("script");
script.src = "http://elsewhere.invalid/stranger.js";
document.body.append(script);
""",
    "connect-src": """
fetch("http://elsewhere.invalid/").catch(() => {});
""",
    "img-src": """
const image = document.createElement("img");
image.src = "http://elsewhere.invalid/picture.png";
document.body.append(image);
""",
}


@pytest.mark.parametrize("act", ACTS)
def test_the_page_refuses_what_is_not_its_own(page, act):
    page.open("/set-the-pre-charge/")
    page.js(WATCH)
    page.js(f"{ACTS[act]} return true;")
    told = page.wait("window.told.length > 0 && window.told")
    # Engines name the directive more or less finely.
    assert any(one.split("-src")[0] == act.split("-src")[0] for one in told), told
    assert page.js("return window.ran === undefined")
    # The driver notes what the browser says of it; this time it should.
    page.browser.errors()

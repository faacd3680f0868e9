"""Every page says what it may load and run, and runs nothing else."""

import base64
import hashlib
import re
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
SITE = ROOT / "site"
sys.path.insert(0, str(ROOT / "scripts"))

pytestmark = pytest.mark.native

PAGE = '<html><head><meta charset="utf-8"><script>first()</script></head><body></body></html>'
META = re.compile(r'<meta http-equiv="Content-Security-Policy" content="([^"]*)">')


@pytest.fixture
def policy():
    from handbook_tools import policy

    return policy


def test_a_script_is_named_by_the_hash_of_its_text(policy):
    # The example of the recommendation Content Security Policy Level 2, section 7.17.
    assert (
        policy.script_hash("alert('Hello, world.');")
        == "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='"
    )


def test_data_and_files_are_no_scripts_of_the_page(policy):
    html = (
        '<script src="a.js"></script><script id="c" type="application/json">{}</script>'
        "<script>b()</script>"
    )
    assert policy.inline_scripts(html) == ["b()"]


def test_the_policy_stands_before_the_first_script(policy):
    made = policy.with_policy(PAGE, "default-src 'self'", "a.html")
    assert made.index("Content-Security-Policy") < made.index("<script")


@pytest.mark.parametrize("bent", [PAGE.replace('<meta charset="utf-8">', ""), "<script></script>"])
def test_a_page_that_cannot_be_closed_is_refused(policy, bent):
    with pytest.raises(policy.PolicyProblem, match="charset"):
        policy.with_policy(bent, "default-src 'self'", "a.html")


@pytest.mark.site
def test_every_page_is_closed():
    pages = sorted(SITE.rglob("*.html"))
    assert len(pages) > 40
    said = set()
    for page in pages:
        html = page.read_text(encoding="utf-8")
        found = META.findall(html)
        assert len(found) == 1, page
        said.add(found[0])
        parts = dict(part.strip().split(" ", 1) for part in found[0].split(";"))
        assert "unsafe-inline" not in parts["script-src"]
        assert "'unsafe-eval'" not in parts["script-src"]
        assert all("http" not in value and "*" not in value for value in parts.values())
        # Worked out anew, not by the function that wrote it.
        for attributes, text in re.findall(r"<script\b([^>]*)>(.*?)</script>", html, flags=re.S):
            if "src=" in attributes or "json" in attributes:
                continue
            digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
            assert f"'sha256-{digest}'" in parts["script-src"], page
        assert not re.search(r"<[^>]+\son[a-z]+=", html), page
        assert "javascript:" not in html, page
    assert len(said) == 1

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


@pytest.mark.parametrize("style", ["<style>p { color: red }</style>", '<p style="color: red">'])
def test_a_page_with_a_style_of_its_own_is_refused(policy, tmp_path, style):
    (tmp_path / "a.html").write_text(PAGE.replace("<body>", f"<body>{style}"), encoding="utf-8")
    with pytest.raises(policy.PolicyProblem, match="docs/assets/css"):
        policy.protect(tmp_path)


def test_the_policy_of_the_book_lets_nothing_in(policy):
    assert policy.faults(policy.policy(["first()"])) == []


@pytest.mark.parametrize(
    ("before", "after", "told"),
    [
        ("script-src 'self'", "script-src 'self' 'unsafe-inline'", "script-src allows 'unsafe-i"),
        ("script-src 'self'", "script-src 'self' 'unsafe-eval'", "script-src allows 'unsafe-eval'"),
        ("style-src 'self'", "style-src 'self' 'unsafe-inline'", "style-src allows 'unsafe-inl"),
        ("connect-src 'self'", "connect-src 'self' https:", "connect-src allows https:"),
        ("connect-src 'self'", "connect-src *", "connect-src allows *"),
        ("object-src 'none'; ", "", "object-src allows everything"),
        ("default-src 'none'", "default-src 'self'", "default-src allows 'self'"),
        ("default-src", "child-src *; default-src", "child-src is not known"),
        ("script-src 'self'", "script-src 'self' 'sha256-short='", "script-src allows 'sha256"),
    ],
)
def test_whatever_a_policy_lets_in_is_named(policy, before, after, told):
    text = policy.policy(["first()"])
    assert before in text
    assert told in " ".join(policy.faults(text.replace(before, after)))


def test_a_page_without_a_policy_is_named(policy, tmp_path):
    (tmp_path / "a.html").write_text(PAGE, encoding="utf-8")
    (tmp_path / "b.html").write_text(PAGE, encoding="utf-8")
    policy.protect(tmp_path)
    (tmp_path / "a.html").write_text(PAGE, encoding="utf-8")
    found = policy.found(tmp_path)
    assert sorted(found.values()) == [1, 1]
    assert policy.faults("") == ["A page has no policy of its own, or more than one."]


def test_the_table_names_each_directive_and_counts_the_hashes(policy):
    text = policy.policy(["first()", "second()"])
    rows = {name: value for name, value, _ in policy.rows(text)}
    assert list(rows) == [part.split()[0] for part in text.split("; ")]
    assert rows["script-src"] == "'self' 'wasm-unsafe-eval' and 2 hashes"


@pytest.mark.site
def test_every_page_is_closed(policy):
    pages = sorted(SITE.rglob("*.html"))
    assert len(pages) > 40
    said = set()
    for page in pages:
        html = page.read_text(encoding="utf-8")
        found = META.findall(html)
        assert len(found) == 1, page
        said.add(found[0])
        parts = dict(part.strip().split(" ", 1) for part in found[0].split(";"))
        assert "unsafe-inline" not in found[0]
        assert "'unsafe-eval'" not in found[0]
        assert all("http" not in value and "*" not in value for value in parts.values())
        # Worked out anew, not by the function that wrote it.
        for attributes, text in re.findall(r"<script\b([^>]*)>(.*?)</script>", html, flags=re.S):
            if "src=" in attributes or "json" in attributes:
                continue
            digest = base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
            assert f"'sha256-{digest}'" in parts["script-src"], page
        assert not re.search(r"<[^>]+\son[a-z]+=", html), page
        assert "javascript:" not in html, page
        assert '<meta name="referrer" content="no-referrer">' in html
    assert len(said) == 1
    assert policy.faults(said.pop()) == []

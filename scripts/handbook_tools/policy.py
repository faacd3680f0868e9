"""What a page may load and run: its content security policy, written into every page.

The theme puts a few short scripts into its pages. Each is allowed by the hash of its text, and no
other script in a page runs, whoever put it there. All pages have one policy, because the theme
takes the next page into the one that is open. Styles may stand in a page: drawings use them.
"""

import base64
import hashlib
import re

_SCRIPT = re.compile(r"<script\b([^>]*)>(.*?)</script>", flags=re.S)
_DATA = re.compile(r"\btype=\"?application/(ld\+)?json")
_CHARSET = re.compile(r"<meta charset=\"?utf-8\"?>")


class PolicyProblem(Exception):
    """A page that no strict policy can allow."""


def inline_scripts(html):
    """Return the texts of the scripts that stand in a page and would be run."""
    return [
        text
        for attributes, text in _SCRIPT.findall(html)
        if not re.search(r"\bsrc=", attributes) and not _DATA.search(attributes)
    ]


def script_hash(text):
    """Return a script's text as a policy names it."""
    made = hashlib.sha256(text.encode("utf-8")).digest()
    return f"'sha256-{base64.b64encode(made).decode('ascii')}'"


def policy(scripts):
    """Return the policy that lets nothing in from elsewhere, and only these scripts in a page."""
    hashes = " ".join(sorted({script_hash(text) for text in scripts}))
    return "; ".join(
        [
            "default-src 'self'",
            # The engine is WebAssembly. Nothing may turn a text into a script.
            f"script-src 'self' 'wasm-unsafe-eval' {hashes}".strip(),
            "style-src 'self' 'unsafe-inline'",
            "img-src 'self' data: blob:",
            "connect-src 'self'",
            "worker-src 'self'",
            "object-src 'none'",
            "base-uri 'self'",
            "form-action 'self'",
        ]
    )


def with_policy(html, text, where):
    """Return a page with its policy, which has to stand before the first script."""
    found = _CHARSET.search(html)
    if not found or html.find("<script") < found.end():
        raise PolicyProblem(f"{where} has no <meta charset> before its first script.")
    meta = f'<meta http-equiv="Content-Security-Policy" content="{text}">'
    return f"{html[: found.end()]}\n{meta}{html[found.end() :]}"


def protect(site):
    """Write one policy into every page of a built site. Return it."""
    pages = {path: path.read_text(encoding="utf-8") for path in sorted(site.rglob("*.html"))}
    text = policy(script for html in pages.values() for script in inline_scripts(html))
    for path, html in pages.items():
        where = path.relative_to(site).as_posix()
        path.write_text(with_policy(html, text, where), encoding="utf-8")
    return text

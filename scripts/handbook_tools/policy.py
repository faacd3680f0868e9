"""What a page may load and run: its content security policy, written into every page.

A few short scripts stand in the pages, most of them the theme's. Each is allowed by the hash of its
text, and no other script in a page runs, whoever put it there. All pages have one policy, because
the theme takes the next page into the one that is open.
"""

import base64
import hashlib
import re
from collections import Counter
from html import escape

_SCRIPT = re.compile(r"<script\b([^>]*)>(.*?)</script>", flags=re.S)
_DATA = re.compile(r"\btype=\"?application/(ld\+)?json")
_CHARSET = re.compile(r"<meta charset=\"?utf-8\"?>")
_META = re.compile(r'<meta http-equiv="Content-Security-Policy" content="([^"]*)">')

# Each directive with what it allows and the reason. What is not named here is not allowed at all.
DIRECTIVES = (
    ("default-src", "'none'", "What no other line allows is refused."),
    (
        "script-src",
        "'self' 'wasm-unsafe-eval'",
        "The book's own files, and WebAssembly, which the engine is. Of the scripts in a page only "
        "those run that were there when the book was made, each named by the sha256 of its text. "
        "No text becomes a script.",
    ),
    ("style-src", "'self'", "The book's own style sheets; none stands in a page."),
    (
        "img-src",
        "'self' data: blob:",
        "The book's own pictures, the theme's icons (data:) and the photos of a job (blob:).",
    ),
    ("font-src", "'self'", "The book's own typeface."),
    ("connect-src", "'self'", "Modules fetch the engine, the search and the next page."),
    ("worker-src", "'self'", "The engine, the search and the service worker."),
    ("manifest-src", "'self'", "What a device asks for to install the book."),
    ("frame-src", "'none'", "No page holds another."),
    ("object-src", "'none'", "No plug-in."),
    ("base-uri", "'none'", "Nothing may turn the book's addresses into those of another host."),
    ("form-action", "'none'", "No form is sent: what is typed is computed where it is typed."),
)
# What a page cannot say of itself. A host that can send headers adds it.
HEADERS = (
    (
        "Content-Security-Policy",
        "the page's own policy; frame-ancestors 'self'",
        "Holds for the workers too, and says who may show the book in a frame.",
    ),
    ("X-Content-Type-Options", "nosniff", "A file is what its kind says, and nothing else."),
    ("Referrer-Policy", "no-referrer", "No address of a page is told to anybody."),
    (
        "Permissions-Policy",
        "geolocation=(), microphone=(), payment=(), usb=()",
        "What the book never asks for cannot be asked for.",
    ),
    ("Cross-Origin-Opener-Policy", "same-origin", "A page of another host keeps no hold of ours."),
)


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
        f"{name} {value} {hashes}".strip() if name == "script-src" else f"{name} {value}"
        for name, value, _ in DIRECTIVES
    )


def with_policy(html, text, where):
    """Return a page with its policy, which has to stand before the first script."""
    found = _CHARSET.search(html)
    if not found or html.find("<script") < found.end():
        raise PolicyProblem(f"{where} has no <meta charset> before its first script.")
    meta = f'<meta http-equiv="Content-Security-Policy" content="{text}">'
    meta += '<meta name="referrer" content="no-referrer">'
    return f"{html[: found.end()]}\n{meta}{html[found.end() :]}"


def protect(site):
    """Write one policy into every page of a built site. Return it."""
    pages = {path: path.read_text(encoding="utf-8") for path in sorted(site.rglob("*.html"))}
    text = policy(script for html in pages.values() for script in inline_scripts(html))
    for path, html in pages.items():
        where = path.relative_to(site).as_posix()
        if styled := re.search(r"<style\b|<[^>]+\sstyle=", html):
            raise PolicyProblem(
                f"{where} has a style of its own near {html[styled.start() :][:60]!r}, which the "
                "policy of the pages refuses. Put it into docs/assets/css."
            )
        path.write_text(with_policy(html, text, where), encoding="utf-8")
    return text


def of_page(html):
    """Return the policies that a page has; a sound one has one."""
    return _META.findall(html)


def found(site):
    """Return how many pages of a built site have which policy; "" stands for none or several."""
    count = Counter()
    for path in site.rglob("*.html"):
        told = of_page(path.read_text(encoding="utf-8"))
        count[told[0] if len(told) == 1 else ""] += 1
    return count


def directives(text):
    """Return {directive: values} of a policy."""
    parts = (part.split() for part in text.split(";") if part.strip())
    return {name: values for name, *values in parts}


def faults(text):
    """Return a sentence for each thing that a policy lets in and should not."""
    told, wrong = directives(text), []
    if not told:
        return ["A page has no policy of its own, or more than one."]
    for name, value, _ in DIRECTIVES:
        allowed = set(value.split())
        more = {
            one
            for one in told.get(name, ["everything"])
            if one not in allowed
            and not (name == "script-src" and re.fullmatch(r"'sha256-[A-Za-z0-9+/]{43}='", one))
        }
        wrong += [f"{name} allows {one}." for one in sorted(more)]
    wrong += [f"{name} is not known here." for name in told if name not in _known()]
    return wrong


def _known():
    return {name for name, _, _ in DIRECTIVES}


def rows(text):
    """Return (directive, value, reason) of a policy, with its hashes counted."""
    told = directives(text)
    for name, _, why in DIRECTIVES:
        plain = [one for one in told.get(name, ()) if not one.startswith("'sha256-")]
        hashes = len(told.get(name, ())) - len(plain)
        yield name, " ".join([*plain, *([f"and {hashes} hashes"] if hashes else [])]), why


def table_text(text):
    """Return a policy as lines for a shell."""
    return "\n".join(f"{name:13} {value:42} {why}" for name, value, why in rows(text))


def page():
    """Return the policy, and what a host can add, as two tables of a page."""
    hashes = " and the hashes of the scripts in the pages"
    lines = [
        (name, value + (hashes if name == "script-src" else ""), why)
        for name, value, why in DIRECTIVES
    ]
    return _table("Directive, and what it allows", lines)


def headers():
    """Return what a host that can send headers adds, as a table of a page."""
    return _table("Header, and its value", HEADERS)


def _table(head, lines):
    body = "".join(
        f"<tr><th scope='row'><code>{escape(name)}</code><br><code>{escape(value)}</code></th>"
        f"<td>{escape(why)}</td></tr>"
        for name, value, why in lines
    )
    return (
        f"<table><thead><tr><th>{escape(head)}</th><th>Why</th></tr></thead>"
        f"<tbody>{body}</tbody></table>"
    )

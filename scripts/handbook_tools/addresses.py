"""Addresses of other hosts in the built site: which may stand there, and that none is asked."""

import re

# Addresses of other hosts that may stand in the built files, each with the reason. None of them
# is ever asked for anything: the browser tests refuse every request to another host as well.
ALLOWED = {
    "http://www.w3.org/": "names of XML vocabularies",
    "http://www.sitemaps.org/schemas/": "name of the site map's vocabulary",
    "http://www.imsproject.org/": "name of an XML vocabulary in a course package",
    "http://www.adlnet.org/": "name of an XML vocabulary in a course package",
    "https://clipboardjs.com/": "licence comment in the theme's script",
    "http://lunrjs.com": "licence comment in the search script",
    "http://tartarus.org/": "licence comment in the search script",
    "https://unpkg.com/resize-observer-polyfill": "theme's way out for browsers of before 2020",
    "https://unpkg.com/mermaid@": "theme loads it only for a diagram fence, which is not used",
    "https://api.github.com/": "theme asks it only when a repository is named, which is not so",
    "https://${": "theme's pattern for a repository host, which is not named",
    "https://github.com/microsoft/TypeScript": "a comment in the database library",
    "https://tools.ietf.org/html/rfc1951": "a comment in the library that writes archives",
    "https://gist.github.com/101arrowz/": "a comment in the library that writes archives",
    "https://github.com/photopea/UZIP.js": "a comment in the library that writes archives",
    "https://reddit.com/r/photopea/": "a comment in the library that writes archives",
    "https://bit.ly/": "Workbox points to its documentation in a warning",
    "https://cdn.jsdelivr.net/pyodide/": "default place of packages; the engine's list is empty",
}
TEXT = {".html", ".css", ".js", ".mjs", ".json", ".webmanifest", ".xml", ".svg"}
# Their texts name addresses; what else stands in that page is looked at like any other.
LICENCES = ("licences/index.html",)
_ADDRESS = re.compile(r"""(?:https?:|wss?:)//[^\s"'`<>\\\\)]+""")
_LOADED = re.compile(
    r"""<(?!a\b)[a-z-]+\b[^>]*\s(?:href|src|srcset|data|poster|action|ping|formaction)="""
    r"""["']?\s*((?:https?:|wss?:)?//[^"'\s>]+)""",
    flags=re.I,
)
_IN_STYLE = re.compile(r"""(?:url\(|@import)\s*["']?\s*((?:https?:)?//[^"')\s]+)""", flags=re.I)
_IN_SCRIPT = re.compile(
    r"""(?:\bfrom|\bimport|\bimport\(|\bfetch\(|\bWorker\(|\bURL\(|sendBeacon\()\s*["'`]"""
    r"""((?:https?:|wss?:)?//[^"'`\s]+)"""
)
# Ways out that ask nobody for a file, and that no policy of a page closes.
_HINTS = re.compile(
    r"""<link\b[^>]*\brel=["']?(?:dns-prefetch|preconnect|prefetch|prerender)""", re.I
)
_OTHER_WAYS = re.compile(
    r"""http-equiv=["']?refresh["']?[^>]*url=['"\s]*(?:https?:)?//|<[^>]+\sping=|\bRTCPeerConnection\b|\bWebTransport\b"""
)


def _allowed(address, own):
    return address.startswith((own, *ALLOWED))


def own_address(site):
    """Return the address that a site was built for."""
    first = re.search(r"<loc>(https?://[^/]+/)", (site / "sitemap.xml").read_text("utf-8"))
    return first[1]


def faults_of(name, text, own):
    """Return a sentence for each address of another host that a file would ask."""
    told = [
        f"{name} loads {found}." for found in _LOADED.findall(text) if not found.startswith(own)
    ]
    told += [f"{name}: a style loads {found}." for found in _IN_STYLE.findall(text)]
    told += [
        f"{name}: a script asks {found}."
        for found in _IN_SCRIPT.findall(text)
        if not _allowed(found, own)
    ]
    told += [f"{name} prepares for another page: {found}." for found in _HINTS.findall(text)]
    told += [f"{name} has a way past the policy: {found}." for found in _OTHER_WAYS.findall(text)]
    if name not in LICENCES:
        told += [
            f"{name} names {found}." for found in _ADDRESS.findall(text) if not _allowed(found, own)
        ]
    return told


def faults(site):
    """Return a sentence for each address that should not stand in a built site."""
    own, told, met = own_address(site), [], set()
    for path in sorted(site.rglob("*")):
        if path.suffix not in TEXT:
            continue
        name, text = path.relative_to(site).as_posix(), path.read_text(encoding="utf-8")
        told += faults_of(name, text, own)
        met |= {allowed for allowed in ALLOWED if allowed in text and name not in LICENCES}
    told += [f"{one} is allowed and stands nowhere any more." for one in set(ALLOWED) - met]
    return told

"""Texts of a stranger's file as they may be shown: on a screen, and in a spreadsheet's cell."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

_STEERS = ("=", "+", "-", "@", "\t", "\r", "＝", "＋", "－", "＠")
# A spreadsheet that parts columns at semicolons, or lines at any break, would begin a cell here.
_STEERS_INSIDE = re.compile("(?<=[;\n])(?=[=+@＝＋－＠-])")
_NUMBER = re.compile(r"[+-]?[0-9]+(?:[.,][0-9]+)?(?:[eE][+-]?[0-9]+)?")


def csv_lines(rows: Iterable[Iterable[str]]) -> str:
    """Return rows as comma-separated values, lines ended as RFC 4180 has them."""
    return "".join(",".join(_cell(text) for text in row) + "\r\n" for row in rows)


def _cell(text: str) -> str:
    text = visible(text.replace("\r\n", "\n").replace("\r", "\n"))
    # A spreadsheet would take such a text for a formula.
    if text.startswith(_STEERS) and not _NUMBER.fullmatch(text):
        text = f"'{text}"
    text = _STEERS_INSIDE.sub("'", text)
    if any(sign in text for sign in ',"\n'):
        text = '"' + text.replace('"', '""') + '"'
    return text


def visible(text: str) -> str:
    """Return `text` with every sign that nobody sees written out, so that it steers nothing.

    Control signs, and those that turn the direction of reading, could make a line look like
    another one. Line ends stay.

    Examples
    --------
    >>> visible("a\\x1b[2Jb")
    'a⟨1B⟩[2Jb'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_visible_sign(sign) for sign in text)


def _visible_sign(sign: str) -> str:
    if sign == "\n" or unicodedata.category(sign) not in ("Cc", "Cf", "Cs", "Zl", "Zp"):
        return sign
    return f"⟨{ord(sign):02X}⟩"

"""One text for one job, whoever writes it: what the checksum of a job file is taken over.

Keys are sorted, nothing stands between the parts, and a text is escaped only where it has to be.
That is also what a browser's own writer gives for keys in order, so both sides agree byte by byte.
"""

from __future__ import annotations

import hashlib
import re
from typing import Any

DEEPEST = 15
"""How many lists and mappings may stand inside one another in a whole job."""

_ESCAPED = re.compile(r'["\\\x00-\x1f]')
_SHORT = {
    '"': '\\"',
    "\\": "\\\\",
    "\b": "\\b",
    "\f": "\\f",
    "\n": "\\n",
    "\r": "\\r",
    "\t": "\\t",
}


class JobRefusal(ValueError):
    """A job that cannot be taken; `mendable` where it can be read anyhow, as a copy."""

    def __init__(self, message: str, mendable: bool = False) -> None:
        super().__init__(message)
        self.message = message
        self.mendable = mendable


def canonical(value: Any) -> str:
    """Return the one text of plain data: mappings, lists, texts, true and false.

    Examples
    --------
    >>> canonical({"b": [True, "é"], "a": ""})
    '{"a":"","b":[true,"é"]}'
    """
    pieces: list[str] = []
    _write(value, pieces, DEEPEST)
    return "".join(pieces)


def checksum(job: Any) -> str:
    """Return the checksum of a job as its file bears it: ``sha256:`` and 64 digits."""
    return "sha256:" + hashlib.sha256(canonical(job).encode("utf-8")).hexdigest()


def _write(value: Any, pieces: list[str], depth: int) -> None:
    if isinstance(value, str):
        pieces.append(_quoted(value))
    elif value is True or value is False:
        pieces.append("true" if value else "false")
    elif not isinstance(value, dict | list):
        raise JobRefusal(f"{not_plain(value)} stands where a text belongs.")
    elif depth == 0:
        raise JobRefusal(f"The parts lie more than {DEEPEST} deep inside one another.")
    elif isinstance(value, list):
        _write_all("[", "]", value, pieces, depth, _write)
    else:
        for key in value:
            if not (isinstance(key, str) and key.isascii()):
                raise JobRefusal("A name has letters outside ASCII.")
        _write_all("{", "}", sorted(value.items()), pieces, depth, _write_pair)


def _write_all(
    opening: str, closing: str, items: Any, pieces: list[str], depth: int, write: Any
) -> None:
    pieces.append(opening)
    for number, item in enumerate(items):
        if number:
            pieces.append(",")
        write(item, pieces, depth - 1)
    pieces.append(closing)


def _write_pair(pair: tuple[str, Any], pieces: list[str], depth: int) -> None:
    pieces += (_quoted(pair[0]), ":")
    _write(pair[1], pieces, depth)


def _quoted(text: str) -> str:
    if has_half_sign(text):
        raise JobRefusal("A text holds half of a sign, which no text can.")
    return f'"{_ESCAPED.sub(_escape, text)}"'


def _escape(found: re.Match[str]) -> str:
    sign = found[0]
    return _SHORT.get(sign) or f"\\u{ord(sign):04x}"


def has_half_sign(text: str) -> bool:
    """Return whether `text` holds a lone surrogate, which has no UTF-8."""
    try:
        text.encode("utf-8")
    except UnicodeEncodeError:
        return True
    return False


def not_plain(value: Any) -> str:
    """Return what a value is that has no place in a job, as the beginning of a sentence."""
    return "An empty value (null)" if value is None else "A number without quotation marks"

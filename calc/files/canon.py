"""One text for one thing, whoever writes it: what the checksum of a file is taken over.

Keys are sorted, nothing stands between the parts, and a text is escaped only where it has to be.
That is also what a browser's own writer gives for keys in order, so both sides agree byte by byte.
"""

from __future__ import annotations

import hashlib
import re
from typing import Any

DEEPEST = 15
"""How many lists and mappings may stand inside one another in a whole file."""

LARGEST_WHOLE = 2**53 - 1
"""The largest whole number that every program reads alike."""

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


class FileRefusal(ValueError):
    """What cannot be taken; `mendable` where it can be read anyhow, as a copy.

    `field` is the part that is wrong, such as ``items.2.count``, where there is one.
    """

    def __init__(self, message: str, mendable: bool = False, field: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.mendable = mendable
        self.field = field


def canonical(value: Any, numbers: bool = False) -> str:
    """Return the one text of plain data: mappings, lists, texts, true and false.

    With `numbers`, whole numbers from 0 to 2**53 - 1 may stand in it too.

    Examples
    --------
    >>> canonical({"b": [True, "é"], "a": ""})
    '{"a":"","b":[true,"é"]}'
    """
    writer = _Writer(numbers)
    writer.write(value, DEEPEST)
    return "".join(writer.pieces)


def checksum(value: Any, numbers: bool = False) -> str:
    """Return the checksum of plain data as its file bears it: ``sha256:`` and 64 digits."""
    return "sha256:" + hashlib.sha256(canonical(value, numbers).encode("utf-8")).hexdigest()


class _Writer:
    """Gathers the pieces of a text."""

    def __init__(self, numbers: bool) -> None:
        self.pieces: list[str] = []
        self.numbers = numbers

    def write(self, value: Any, depth: int) -> None:
        if isinstance(value, str):
            self.pieces.append(_quoted(value))
        elif value is True or value is False:
            self.pieces.append("true" if value else "false")
        elif self.numbers and type(value) is int and 0 <= value <= LARGEST_WHOLE:
            self.pieces.append(str(value))
        elif not isinstance(value, dict | list):
            raise FileRefusal(f"{not_plain(value)} stands where a text belongs.")
        elif depth == 0:
            raise FileRefusal(f"The parts lie more than {DEEPEST} deep inside one another.")
        elif isinstance(value, list):
            self._write_all("[", "]", value, depth, self.write)
        else:
            for key in value:
                if not (isinstance(key, str) and key.isascii()):
                    raise FileRefusal("A name has letters outside ASCII.")
            self._write_all("{", "}", sorted(value.items()), depth, self._write_pair)

    def _write_all(self, opening: str, closing: str, items: Any, depth: int, write: Any) -> None:
        self.pieces.append(opening)
        for number, item in enumerate(items):
            if number:
                self.pieces.append(",")
            write(item, depth - 1)
        self.pieces.append(closing)

    def _write_pair(self, pair: tuple[str, Any], depth: int) -> None:
        self.pieces += (_quoted(pair[0]), ":")
        self.write(pair[1], depth)


def _quoted(text: str) -> str:
    if has_half_sign(text):
        raise FileRefusal("A text holds half of a sign, which no text can.")
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
    """Return what a value is that has no place in a file, as the beginning of a sentence."""
    return "An empty value (null)" if value is None else "A number without quotation marks"

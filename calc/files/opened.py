"""From a file's JSON text to its plain data and back, behind walls that no bent text passes.

A text is measured before it is built, so that no hostile one takes a reader's memory.
"""

from __future__ import annotations

import json
import re
import sys
from dataclasses import dataclass
from typing import Any

from calc.files.canon import FileRefusal, canonical, checksum

# A text runs to its end or to the end of the file, so that a hostile one is looked at only once.
_PART = re.compile(r'"(?:[^"\\]+|\\.)*+(?:"|\\?\Z)|[\[\]{},]', re.DOTALL)

AGAIN = "Ask for the file again."
CUT = f"This file was cut off or damaged: it ends too early. {AGAIN}"
NEWER = (
    "This file was made by a newer edition of the handbook. Update the handbook, then try again."
)
EMPTY = f"This file is empty. {AGAIN}"
TWICE = f"In this file one name stands twice, which the handbook never writes. {AGAIN}"


class _Number:
    """A number of the file that has no place in it."""


@dataclass(frozen=True, slots=True)
class FileKind:
    """One kind of file: what it is called, how big it may be, and what is said of another."""

    format: str
    version: int
    body: str
    longest: int
    most_parts: int
    """Commas and brackets of a file: what a reader's memory has to hold."""
    deepest: int
    digits: int
    """Digits of the longest whole number in it."""
    numbers: bool
    """Whether the body may hold whole numbers."""
    not_ours: str
    not_text: str
    too_big: str

    def opened(self, text: Any) -> tuple[Any, Any]:
        """Return the body of a file and the checksum it bears, not yet compared."""
        data = self._parsed(text)
        if not isinstance(data, dict) or data.get("format") != self.format:
            raise FileRefusal(self.not_ours)
        version = data.get("version")
        if type(version) is not int or version < 1:
            raise FileRefusal(f"The file's version is not a number from 1 up. {AGAIN}")
        if version > self.version:
            raise FileRefusal(NEWER)
        if data.keys() != {"format", "version", "checksum", self.body}:
            raise FileRefusal(
                f"The file has to hold format, version, checksum and {self.body}, and nothing "
                f"else. {AGAIN}"
            )
        return data[self.body], data["checksum"]

    def sum(self, body: Any) -> str:
        """Return the checksum that fits `body`."""
        return checksum(body, self.numbers)

    def head(self, body: Any) -> str:
        """Return how the text of a file begins, up to its body."""
        sum = self.sum(body)
        return (
            f'{{"checksum":"{sum}","format":"{self.format}","version":{self.version},"{self.body}":'
        )

    def written(self, body: Any) -> str:
        """Return the text of a file with `body` in its one form."""
        text = f"{self.head(body)}{canonical(body, self.numbers)}}}\n"
        if len(text) > self.longest:
            raise FileRefusal(self.too_big)
        return text

    def _parsed(self, text: Any) -> Any:
        if not isinstance(text, str):
            raise FileRefusal(self.not_text)
        if len(text) > self.longest:
            raise FileRefusal(self.too_big)
        text = text.removeprefix("\ufeff")
        if not text.strip():
            raise FileRefusal(EMPTY)
        ours = f'"{self.format}"' in text[:4000]
        self._measure(text, ours)
        try:
            return json.loads(
                text,
                parse_int=lambda digits: int(digits) if len(digits) <= self.digits else _Number(),
                parse_float=lambda digits: _Number(),
                parse_constant=_no_constant,
                object_pairs_hook=_once,
            )
        except FileRefusal:
            raise
        except (ValueError, RecursionError):
            raise FileRefusal(CUT if ours else self.not_ours) from None

    def _measure(self, text: str, ours: bool) -> None:
        """Refuse a text with more parts, or deeper ones, than a body can have."""
        depth = parts = 0
        for found in _PART.finditer(text):
            sign = text[found.start()]
            if sign == '"':
                continue
            parts += 1
            if sign in "[{":
                depth += 1
            elif sign in "]}":
                depth -= 1
            if depth > self.deepest or parts > self.most_parts:
                too_many = ours and parts > self.most_parts
                raise FileRefusal(self.too_big if too_many else self.not_ours)


def file_text(file: str, kind: FileKind) -> str:
    """Return the text of a file, or of a pipe for ``-``, never more of it than its kind may have.

    Raises FileRefusal where it is no text, OSError where it cannot be reached.
    """
    most = 4 * kind.longest
    if file == "-":
        data = sys.stdin.buffer.read(most + 1)
    else:
        with open(file, "rb") as opened:
            data = opened.read(most + 1)
    if len(data) > most:
        raise FileRefusal(kind.too_big)
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        raise FileRefusal(kind.not_text) from None


def not_there(file: str, failed: OSError) -> str:
    """Return what is said of a file that cannot be reached."""
    return f"{file} cannot be read: {failed.strerror or failed}. Check its name and place."


def _no_constant(name: str) -> None:
    raise ValueError(name)


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise FileRefusal(TWICE)
    return found

"""Numbers as people type them: decimals, groups of digits, fractions, feet and inches.

What has one reading is read. What has two is refused, and the sentence names both. Every text is
read once from left to right, so a long or hostile one costs no more time than its length.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

LONGEST_ENTRY = 200
LONGEST_QUOTE = 60

_FRACTIONS = {
    "½": "1/2",
    "⅓": "1/3",
    "⅔": "2/3",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
}
_PLAIN = str.maketrans(
    {
        **{sign: f" {text} " for sign, text in _FRACTIONS.items()},
        # Minus, hyphens and dashes: a keyboard puts one for another.
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2212\ufe63\uff0d", "-"),
        **dict.fromkeys("\u2018\u2019\u201b\u2032\u02b9\u00b4`", "'"),
        **dict.fromkeys("\u201c\u201d\u201f\u2033\u02ba\u02dd", '"'),
        **dict.fromkeys("\u2044\u2215", "/"),
        # Marks that are pasted along and never seen.
        **dict.fromkeys("\u200b\u200e\u200f\u2060\ufeff", None),
        "\u2103": "°C",
        "\u2109": "°F",
        # Forms as wide as an East Asian sign; the minus among them is above.
        **{chr(0xFEE0 + n): chr(n) for n in range(0x21, 0x7F) if chr(n) != "-"},
    }
)
# What a tape and a scale have. Other fractions look like two values, such as 80/60.
_BELOW_THE_LINE = (2, 3, 4, 8, 16, 32, 64)

_TOKEN = re.compile(r"[.,0-9]+")
_GROUPS_BY_SPACE = re.compile(r"(?: [0-9]{3}(?![0-9]))+(?! ?/)")
_GROUPS_BY_MARK = re.compile(r"(?:'[0-9]{3}(?![0-9]))+")
_DECIMALS = re.compile(r"[.,][0-9]*")
_EXPONENT = re.compile(r"[eE][+-]?[0-9]+")
_OVER = re.compile(r" ?/ ?([0-9]+)")
_FRACTION = re.compile(r" ([0-9]+) ?/ ?([0-9]+)")
_RANGE = re.compile(r" ?(?:-|to |~) ?([.,]?[0-9][^ ]*)")
_GROUPED = re.compile(r"[1-9][0-9]{0,2}(?:[.,][0-9]{3})+")
_FEET_THEN = re.compile(r" ?(?:('|feet|foot|ft)\.?)( ?- ?| ?)(?=[.,]?[0-9])", re.IGNORECASE)
_INCHES = re.compile(r' ?(?:"|inches|inch|in\.?)', re.IGNORECASE)


class EntryError(ValueError):
    """Text that cannot be read as a quantity; the message says how to mend it."""


@dataclass(frozen=True, slots=True)
class Number:
    """A number without its sign, where its text ends, and whether it is whole or a fraction."""

    value: float
    end: int
    whole: bool = False
    fraction: bool = False


def plain(text: str) -> str:
    """Return `text` in plain signs: one kind of minus, quote, space and digit."""
    if not text.isascii():
        text = text.translate(_PLAIN)
        if not text.isascii():
            text = "".join(str(int(c)) if c.isdecimal() else c for c in text)
    return " ".join(text.split()).replace("''", '"')


def quoted(text: str) -> str:
    """Return `text` in quotation marks, cut where it is long."""
    text = text.strip()
    return f"“{text if len(text) <= LONGEST_QUOTE else text[:LONGEST_QUOTE] + '…'}”"


def sign(text: str) -> tuple[float, int]:
    """Return the sign that `text` begins with, and where the number after it begins."""
    if text[:1] not in ("+", "-"):
        return 1.0, 0
    return (-1.0 if text[0] == "-" else 1.0), 2 if text[1:2] == " " else 1


def number(text: str, at: int = 0, *, tape: bool = False) -> Number:
    """Read the number that stands in plain `text` at `at`, without a sign.

    `tape` says that the number measures a length, where 1'750 may mean feet and where sixteenths
    are not always in lowest terms.

    Examples
    --------
    >>> number("1 1/4").value
    1.25
    >>> number("1,5 bar").value
    1.5
    >>> number("12 350").value
    12350.0
    """
    token = _TOKEN.match(text, at)
    if not token or token[0].strip(".,") == "":
        raise EntryError(f"{quoted(text)} is not a number. Enter a number such as 11.4.")
    digits, end = token[0], token.end()
    grouped = False
    if digits.isdigit() and len(digits) <= 3 and digits[0] != "0":
        groups = _GROUPS_BY_SPACE.match(text, end)
        if not groups:
            groups = _GROUPS_BY_MARK.match(text, end)
            if groups and tape and len(groups[0]) == 4:
                joined = digits + groups[0].replace("'", "")
                raise EntryError(
                    f"{quoted(text[at : groups.end()])} could mean {joined} or {digits} ft and "
                    f"{groups[0][1:]} in. Write {joined}, or feet with a point, such as 1.5 ft."
                )
        if groups:
            grouped = True
            digits += groups[0].replace(" ", "").replace("'", "")
            end = groups.end()
            decimals = _DECIMALS.match(text, end)
            if decimals:
                digits += decimals[0]
                end = decimals.end()
    exponent = None if grouped else _EXPONENT.match(text, end)
    if exponent and "," not in digits and digits.count(".") <= 1:
        return Number(_finite(digits + exponent[0], text), exponent.end())
    if not digits.isdigit():
        value = _decimal(digits, grouped)
        _no_range(text, at, end)
        return Number(value, end)
    over = _OVER.match(text, end)
    if over:
        value = _fraction(int(digits), int(over[1]), tape)
        _no_range(text, at, over.end())
        return Number(value, over.end(), fraction=True)
    right = _FRACTION.match(text, end)
    if right:
        value = _finite(digits, text) + _fraction(int(right[1]), int(right[2]), tape)
        _no_range(text, at, right.end())
        return Number(value, right.end())
    _no_range(text, at, end)
    return Number(_finite(digits, text), end, whole=True)


def _finite(digits: str, text: str) -> float:
    value = float(digits)
    if math.isinf(value):
        raise EntryError(f"{quoted(text)} is larger than any real number. Enter the value read.")
    return value


def _decimal(digits: str, grouped: bool) -> float:
    """Return the value of digits with points or commas in them, if they have one reading."""
    points, commas = digits.count("."), digits.count(",")
    if commas == 0 and points == 1:
        return float(digits)
    if commas == 1 and points == 0:
        whole, _, rest = digits.partition(",")
        if not rest:
            raise EntryError(
                f"{quoted(digits)} ends with a comma. Enter one number, such as {whole or 11.4}."
            )
        if len(rest) != 3 or grouped or len(whole) > 3 or whole[:1] in ("", "0"):
            return float(f"{whole}.{rest}")
        point = f"{float(f'{whole}.{rest}'):g}"
        raise EntryError(
            f"{quoted(digits)} could mean {whole}{rest} or {point}. Write {whole}{rest}, or "
            f"{whole}.{rest} with a point."
        )
    if not grouped:
        mark = max(digits.rfind("."), digits.rfind(","))
        groups, decimals = digits, ""
        if points and commas and digits.count(digits[mark]) == 1:
            groups, decimals = digits[:mark], digits[mark + 1 :]
        one_mark = "." not in groups or "," not in groups
        if one_mark and _GROUPED.fullmatch(groups) and (decimals or groups == digits):
            return float(f"{groups.replace(',', '').replace('.', '')}.{decimals or '0'}")
    raise EntryError(
        f"The marks in {quoted(digits)} make neither one decimal mark nor groups of three digits. "
        "Write the number without separators and with one point, such as 1200 or 1.5."
    )


def _fraction(above: int, below: int, tape: bool) -> float:
    if below == 0:
        raise EntryError(
            f"{quoted(f'{above}/{below}')} has zero below the line. Enter a fraction such as 1/2."
        )
    usual = below in _BELOW_THE_LINE and 0 < above < below
    if usual and (tape or math.gcd(above, below) == 1):
        return above / below
    if max(above, below) > 9999:
        raise EntryError(
            f"{quoted(f'{above}/{below}')} is not a fraction of a tape or a scale. Enter one "
            "number, such as 11.4."
        )
    shown = f"{above / below:.4g}"
    raise EntryError(
        f"{quoted(f'{above}/{below}')} could mean {shown} or two values, {above} and {below}. "
        f"Write {shown}, or enter one of the two."
    )


def _no_range(text: str, at: int, end: int) -> None:
    """Refuse a second number after a hyphen: a range, a subtraction or a mixed number."""
    if end >= len(text) or text[end] not in " -~t":
        return
    found = _RANGE.match(text, end)
    if not found:
        return
    first = text[at:end]
    mixed = _FRACTION.match(f" {text[found.start(1) :]}")
    if mixed and first.isdigit() and "-" in found[0]:
        below = int(mixed[2])
        value = f", or {int(first) + int(mixed[1]) / below:.5g}" if below else ""
        raise EntryError(
            f"{quoted(text)} could mean {first} {mixed[1]}/{mixed[2]} or a range from {first} to "
            f"{mixed[1]}/{mixed[2]}. Write {first} {mixed[1]}/{mixed[2]} with a space{value}."
        )
    raise EntryError(
        f"{quoted(text)} reads as a range. Enter one number. Where the field has a plus/minus, "
        "enter the middle, and half the width as the plus/minus."
    )


def inches(text: str, at: int, feet: Number) -> tuple[float, int, bool] | None:
    """Read on after `feet` where inches follow: ``8' 6"``, ``8 ft 6 1/2 in``, ``8'-6"``.

    Returns the inches of the whole length, where the text ends and whether an inch mark stood
    there; None where no inches follow.
    """
    mark = _FEET_THEN.match(text, feet.end)
    if not mark:
        return None
    written = quoted(text[at:])
    if "-" in mark[2] and mark[1] != "'":
        raise EntryError(
            f"{written} could mean feet and inches or a range. Leave out the hyphen: 8 ft 6 in."
        )
    if not feet.whole:
        raise EntryError(
            f"{written} has a part of a foot before the inches. Enter whole feet and inches, such "
            "as 8 ft 6 in, or feet alone, such as 8.5 ft."
        )
    more = number(text, mark.end(), tape=True)
    if more.value >= 12:
        raise EntryError(
            f"{written} has a foot or more in its inches. Enter less than 12 inches after the "
            "feet, or inches alone."
        )
    end = _INCHES.match(text, more.end)
    return feet.value * 12 + more.value, end.end() if end else more.end, bool(end)

"""Build HTML safely: a text is escaped where it is put in, never by hand.

`Html` is text that is already HTML. `h` escapes every child and attribute that is not `Html`, so
nothing typed by a reader can become markup. It returns a string, so that pieces that do not
change (a formula, a source) can be kept and used again.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

_VOID = frozenset(("br", "hr", "img", "input", "link", "meta", "wbr"))


class Html(str):
    """Text that is already HTML."""

    __slots__ = ()


def h(tag: str, attributes: Mapping[str, Any] | None = None, *children: Any) -> Html:
    """Return an element. Children are Html, texts, None (skipped) or iterables of those.

    An attribute of None or False is left out, True is written bare, other values as text.
    """
    opening = tag
    if attributes:
        for name, value in attributes.items():
            if value is None or value is False:
                continue
            opening += f" {name}" if value is True else f' {name}="{_attribute(str(value))}"'
    if tag in _VOID:
        return Html(f"<{opening}>")
    inner: list[str] = []
    _gather(inner, children)
    return Html(f"<{opening}>{''.join(inner)}</{tag}>")


def html(*pieces: Any) -> Html:
    """Return pieces one after another, escaped where they are plain text."""
    inner: list[str] = []
    _gather(inner, pieces)
    return Html("".join(inner))


def _gather(inner: list[str], children: Iterable[Any]) -> None:
    for child in children:
        if child is None:
            continue
        if type(child) is Html:
            inner.append(child)
        elif isinstance(child, str):
            inner.append(_text(child))
        else:
            _gather(inner, child)


def _text(text: str) -> str:
    if "&" in text:
        text = text.replace("&", "&amp;")
    if "<" in text:
        text = text.replace("<", "&lt;")
    if ">" in text:
        text = text.replace(">", "&gt;")
    return text


def _attribute(text: str) -> str:
    text = _text(text)
    return text.replace('"', "&quot;") if '"' in text else text

"""Build HTML as a tree; text and attributes are escaped by the serialiser, never by hand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any
from xml.etree import ElementTree

Element = ElementTree.Element


def h(tag: str, attributes: Mapping[str, Any] | None = None, *children: Any) -> Element:
    """Return an element. Children are elements, texts, None (skipped) or iterables of those.

    An attribute of None or False is left out, True is written bare, numbers as text.
    """
    made = ElementTree.Element(tag)
    for name, value in (attributes or {}).items():
        if value is None or value is False:
            continue
        made.set(name, "" if value is True else str(value))
    _add(made, children)
    return made


def _add(parent: Element, children: Iterable[Any]) -> None:
    for child in children:
        if child is None:
            continue
        if isinstance(child, Element):
            parent.append(child)
        elif isinstance(child, str):
            if len(parent):
                parent[-1].tail = (parent[-1].tail or "") + child
            else:
                parent.text = (parent.text or "") + child
        else:
            _add(parent, child)


def html(*elements: Element) -> str:
    """Return the HTML text of elements, one after another."""
    return "".join(ElementTree.tostring(e, encoding="unicode", method="html") for e in elements)

"""A job as lines of text for a shell, with every text of its own kept from steering the screen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from calc.job.shown import visible

_PHASE_WORDS = {"found": "as found", "option": "as an option", "left": "as left"}
_FOR_WORDS = {"us": "us", "owner": "the owner", "licensed": "a licensed person"}


def report_text(found: Mapping[str, Any]) -> str:
    """Return the book of a job, as `calc.job.book` gives it, as text."""
    return "\n".join(
        line
        for part in (_head, _facts, _readings, _steps, _pins, _open_ends, _verdict)
        for line in part(found)
    )


def _line(text: str) -> str:
    """Return a text of the job as one line, so that it cannot pass for a line of the report."""
    return visible(" / ".join(text.splitlines())) if text else ""


def _head(found: Mapping[str, Any]) -> Iterator[str]:
    yield _line(found["name"])
    if found["created_text"]:
        yield f"Begun {found['created_text']}"
    for about in found["about"]:
        yield f"{about['label']}: {_line(about['text'])}"


def _facts(found: Mapping[str, Any]) -> Iterator[str]:
    if found["facts"]:
        yield from ("", "Facts of the site:")
    for fact in found["facts"]:
        how = "worked out by" if fact["origin"]["how"] == "found" else "typed into"
        stale = "; something it rests on has changed since" if fact["stale"] else ""
        origin = _line(fact["origin"]["title"])
        at = f", {fact['at_text']}" if fact["at_text"] else ""
        yield f"  {fact['label']}: {_line(fact['text'])}  ({how} {origin}{at}{stale})"


def _readings(found: Mapping[str, Any]) -> Iterator[str]:
    if found["readings"]:
        yield from ("", "Readings:")
    for reading in found["readings"]:
        parts = [f"{v['label']} {_line(v['text'])}" for v in reading["values"].values()]
        if reading["pump"]:
            parts.append(f"pump {reading['pump_text']}")
        if reading["note"]:
            parts.append(_line(reading["note"]))
        yield f"  {reading['at_text'] or 'No time'}: {'; '.join(parts)}"


def _steps(found: Mapping[str, Any]) -> Iterator[str]:
    for page in found["pages"]:
        yield from ("", f"{_line(page['title'])}:")
        for step in page["steps"]:
            if step["kind"] == "stop":
                state = f"stop: {step['answer'] or 'not answered'}"
            else:
                state = "done" if step["ticked"] else "open"
            note = f" ({_line(step['note'])})" if step["note"] else ""
            yield f"  [{state}] {_line(step['text'])}{note}"


def _pins(found: Mapping[str, Any]) -> Iterator[str]:
    for pin in found["pins"]:
        at = f", {pin['at_text']}" if pin["at_text"] else ""
        yield from ("", f"{_line(pin['title'])}, {_PHASE_WORDS[pin['phase']]}{at}:")
        if pin["note"]:
            yield f"  {_line(pin['note'])}"
        for result in pin["results"]:
            value = result["shown"] or result["recorded"]["text"]
            state = "" if result["same"] else "  (recorded otherwise, or not worked out again)"
            yield f"  {_line(result['label'])}: {_line(value)}{state}"
        for check in pin["checks"]:
            yield f"  [{check['status']}] {_line(check['label'])}: {_line(check['message'])}"
        for name in pin["left_out"]:
            yield f"  “{_line(name)}” is kept and not used."


def _open_ends(found: Mapping[str, Any]) -> Iterator[str]:
    if found["open_stops"]:
        yield from ("", "Stops without a yes:")
    for step in found["open_stops"]:
        answer = step["answer"] or "not answered"
        yield f"  {_line(step['page_title'])}: {_line(step['text'])} ({answer})"
    if found["licensed"]:
        yield from ("", "For a licensed person to confirm:")
    for asked in found["licensed"]:
        done = "done" if asked["done"] else "open"
        yield f"  [{done}] {_line(asked['text'])} ({asked['why']})"
    if found["todos"]:
        yield from ("", "Left to do:")
    for todo in found["todos"]:
        done = "done" if todo["done"] else "open"
        yield f"  [{done}] {_line(todo['text'])} (for {_FOR_WORDS[todo['for']]})"


def _verdict(found: Mapping[str, Any]) -> Iterator[str]:
    yield ""
    if not found["pins"]:
        yield "No results were kept, so nothing was worked out again."
    elif found["same"]:
        yield "Every kept result was worked out again and came out the same."
    else:
        yield "Not every kept result came out the same when it was worked out again:"
        for difference in found["differences"]:
            phase = _PHASE_WORDS[difference["phase"]]
            yield f"  {_line(difference['title'])}, {phase}. {_line(difference['message'])}"
    for note in found["notes"]:
        yield f"Note: {_line(note)}"

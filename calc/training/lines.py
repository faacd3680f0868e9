"""Assignments and classes as lines of text for a shell; no text of a file steers the screen."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from calc.files.seen import visible
from calc.training.assignment import item_words, tasks
from calc.training.mistakes import MISTAKES
from calc.training.remarking import STATES
from calc.training.standing import Group


def line(text: str) -> str:
    """Return a text of a file as one line, so that it cannot pass for a line of ours."""
    return visible(" / ".join(text.splitlines()))


def assignment_text(found: Mapping[str, Any]) -> str:
    """Return what an assignment sets, as text."""
    return "\n".join(_assignment(found["assignment"], found["notes"]))


def _assignment(task: Mapping[str, Any], notes: Sequence[str]) -> Iterator[str]:
    yield line(task["title"])
    yield f"Assignment {task['id']}, units {task['system']}, pass {task['pass']} percent"
    if task["due"]:
        yield f"Due {task['due']}"
    if task["note"].strip():
        yield line(task["note"])
    yield ""
    for number, item in enumerate(task["items"], 1):
        yield f"{number:3}. {line(item_words(item))}"
        for name, text in item.get("inputs", {}).get("values", {}).items():
            yield f"       {name} = {line(text)}"
    yield ""
    if task["same"]:
        yield "Everybody has the same problems:"
        for number, own in enumerate(tasks(task, ""), 1):
            for one in own:
                yield f"  item {number}: {one.get('family') or one['id']}, seed {one['seed']}"
    else:
        yield "Each name has its own problems."
    for note in notes:
        yield f"Note: {line(note)}"


def problem_text(found: Mapping[str, Any]) -> str:
    """Return a problem, and its marks where it was answered, as text."""
    return "\n".join(_problem(found))


def _problem(found: Mapping[str, Any]) -> Iterator[str]:
    asked = found["problem"]
    yield f"{found['title']} (level: {asked['level']}, seed {asked['seed']}, {asked['system']})"
    yield from ("", *found["situation"], "")
    for given in found["givens"]:
        yield f"  {given['label']}: {given['text']}"
    yield from ("", "Find:")
    for part in found["parts"]:
        units = f" ({', '.join(part['units'])})" if part["units"] else ""
        yield f"  {part['name']}: {part['label']}{units}"
    marks = found.get("marks")
    if not marks:
        return
    yield from ("", f"{marks['points']} of {marks['most']} points:")
    for part in marks["parts"]:
        typed = f"“{line(part['answer'])}” – " if part["answer"] else ""
        words = f"{STATES[part['state']]}, {part['points']} of {part['most']}"
        yield f"  {part['name']}: {typed}{words}. {line(part['message'])}"


def class_text(groups: Sequence[Group], told: Sequence[tuple[str, str]]) -> str:
    """Return the results of a class as text."""
    parts = [text for group in groups if group.standings for text in (*_group(group), "")]
    parts += [f"{line(name)}: {line(message)}" for name, message in told]
    return "\n".join(parts).rstrip()


def _group(group: Group) -> Iterator[str]:
    yield f"{line(group.assignment['title'])} ({group.assignment['id']})"
    yield ""
    width = max(len(line(one.trainee)) for one in group.standings)
    items = group.standings[0].items
    for number, item in enumerate(items, 1):
        yield f"{number:3}. {line(item.words)}"
    yield ""
    for one in group.standings:
        cells = [
            f"{item.points}/{item.most}" if item.tasks else ("done" if item.done else "open")
            for item in one.items
        ]
        verdict = "passed" if one.passed else "not passed"
        more = "" if one.finished else ", not finished"
        row = "  ".join(f"{cell:>6}" for cell in cells)
        yield f"{line(one.trainee):{width}}  {row}  {one.percent:3} %  {verdict}{more}"
    yield from _made(group)


def _made(group: Group) -> Iterator[str]:
    made = group.mistakes()
    people = len(group.standings)
    if made:
        yield from ("", "Mistakes of the class, the most frequent first:")
    for id, who, times in made:
        page = MISTAKES[id].page
        yield f"  {who} of {people} trainees, {times} times: {MISTAKES[id].title} ({page})"
    states = group.states()
    counted = [f"{words.lower()}: {states[id]}" for id, words in STATES.items() if states[id]]
    if counted:
        yield from ("", f"Parts answered: {'; '.join(counted)}.")

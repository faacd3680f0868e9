"""Where a trainee stands, and a class: every answer marked again, every drill played again.

Points in a file are not believed; there are none. Which try counts, the assignment says.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from calc.files.shapes import moment
from calc.training import remarking
from calc.training.assignment import item_words, same_work, tasks, trainee_key

Wanted = Mapping[str, Any]
"""A problem or drill that was set."""
Tried = Sequence[Mapping[str, Any]]
"""The tries at it, the first one first."""


@dataclass(frozen=True, slots=True)
class Task:
    """One problem or drill as it counts: what was answered, and what that is worth.

    `parts` are the marks of a problem's parts, `score` that of a drill; both empty where nothing
    was answered.
    """

    title: str
    points: int
    most: int
    tries: int
    answers: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    parts: tuple[remarking.Part, ...] = ()
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Item:
    """One item of the assignment as a trainee left it."""

    kind: str
    words: str
    done: bool
    tasks: tuple[Task, ...] = ()

    @property
    def points(self) -> int:
        return sum(task.points for task in self.tasks)

    @property
    def most(self) -> int:
        return sum(task.most for task in self.tasks)

    @property
    def finished(self) -> bool:
        return all(task.tries for task in self.tasks) if self.tasks else self.done


@dataclass(frozen=True, slots=True)
class Standing:
    """One trainee's work on an assignment, marked."""

    trainee: str
    began: str
    ended: str
    items: tuple[Item, ...]
    passing: int
    """Percent that is needed."""
    strange: int
    """Answers to problems that were not set for this name; they do not count."""

    @property
    def points(self) -> int:
        return sum(item.points for item in self.items) if self.marked else self._finished

    @property
    def most(self) -> int:
        return sum(item.most for item in self.items) if self.marked else len(self.items)

    @property
    def marked(self) -> bool:
        """Whether anything in the assignment bears points; else what is done counts."""
        return any(item.most for item in self.items)

    @property
    def _finished(self) -> int:
        return sum(item.finished for item in self.items)

    @property
    def finished(self) -> bool:
        return self._finished == len(self.items)

    @property
    def percent(self) -> int:
        """Whole percent, rounded down, so that what falls short of a pass never looks like one."""
        return 100 * self.points // self.most

    @property
    def passed(self) -> bool:
        return 100 * self.points >= self.passing * self.most

    def mistakes(self) -> Counter[str]:
        """Return how often each named mistake was made, once a problem."""
        found: Counter[str] = Counter()
        for item in self.items:
            for task in item.tasks:
                found.update({part.mistake for part in task.parts if part.mistake})
        return found

    def data(self) -> dict[str, Any]:
        """Return the standing as plain data."""
        return {
            "trainee": self.trainee,
            "points": self.points,
            "most": self.most,
            "percent": self.percent,
            "pass": self.passing,
            "passed": self.passed,
            "finished": self.finished,
            "strange": self.strange,
            "mistakes": dict(sorted(self.mistakes().items())),
            "items": [
                {
                    "words": item.words,
                    "done": item.done,
                    "finished": item.finished,
                    "points": item.points,
                    "most": item.most,
                    "tries": [task.tries for task in item.tasks],
                }
                for item in self.items
            ],
        }

    def states(self) -> Counter[str]:
        """Return how many parts were marked right, unsafe, and so on."""
        return Counter(p.state for item in self.items for task in item.tasks for p in task.parts)


def standing(result: Mapping[str, Any]) -> Standing:
    """Mark a sound result."""
    task = result["assignment"]
    items, strange = [], 0
    for item, done, (sorted_tries, others) in zip(
        task["items"], result["items"], _tries(result), strict=True
    ):
        strange += others
        marked = tuple(_task(wanted, tried, task["counts"]) for wanted, tried in sorted_tries)
        items.append(Item(item["kind"], item_words(item), done["done"], marked))
    began, ended = result["began"], result["ended"]
    name = " ".join(result["trainee"].split())
    return Standing(name, began, ended, tuple(items), task["pass"], strange)


def _tries(result: Mapping[str, Any]) -> Iterator[tuple[list[tuple[Wanted, Tried]], int]]:
    """Yield for each item its problems or drill with the tries at each, and how many are of none.

    A drill that was begun and not brought to a diagnosis is no try yet.
    """
    set_work = tasks(result["assignment"], result["trainee"])
    for done, wanted in zip(result["items"], set_work, strict=True):
        sorted_tries: list[tuple[Wanted, list[Any]]] = [(one, []) for one in wanted]
        others = 0
        for attempt in done["attempts"]:
            if "drill" in attempt and "diagnosis" not in attempt:
                continue
            key = "drill" if "drill" in attempt else "problem"
            if attempt[key] in wanted:
                sorted_tries[wanted.index(attempt[key])][1].append(attempt)
            else:
                others += 1
        yield sorted_tries, others


def _task(wanted: Wanted, tried: Tried, counts: str) -> Task:
    counted = tried[-1 if counts == "last" else 0] if tried else None
    if "id" in wanted:
        if counted is None:
            nothing = remarking.played(wanted, [], None)
            return Task(nothing.title, 0, nothing.most, 0)
        score = remarking.played(wanted, counted["actions"], counted["diagnosis"])
        return Task(score.title, score.points, score.most, len(tried), words=score.words)
    answers = counted["answers"] if counted else {}
    marks = remarking.marked(wanted, answers)
    parts = marks.parts if counted else ()
    return Task(marks.title, marks.points, marks.most, len(tried), answers, parts)


@dataclass(frozen=True, slots=True)
class Group:
    """All who worked on one assignment, in order of their names."""

    assignment: Mapping[str, Any]
    standings: tuple[Standing, ...]

    def mistakes(self) -> list[tuple[str, int, int]]:
        """Return id, trainees and times of each named mistake, the most frequent first."""
        people: Counter[str] = Counter()
        times: Counter[str] = Counter()
        for one in self.standings:
            made = one.mistakes()
            people.update(made.keys())
            times.update(made)
        order = sorted(people, key=lambda id: (-people[id], -times[id], id))
        return [(id, people[id], times[id]) for id in order]

    def states(self) -> Counter[str]:
        return sum((one.states() for one in self.standings), Counter())


def grouped(
    files: Iterable[tuple[str, Mapping[str, Any], Standing]],
    own: Mapping[str, Any] | None = None,
) -> tuple[list[Group], list[tuple[str, str]]]:
    """Return the work in groups by assignment, and what is told about single files.

    The first group is that of the trainer's `own` assignment, or else the one most files are of.
    Of two files of one trainee the later one counts.
    """
    found: list[tuple[Mapping[str, Any], list[tuple[str, Standing]]]] = []
    if own is not None:
        found.append((own, []))
    for name, result, one in files:
        task = result["assignment"]
        group = next((g for g in found if same_work(g[0], task)), None)
        if group is None:
            group = (task, [])
            found.append(group)
        group[1].append((name, one))
    if own is None:
        found.sort(key=lambda g: -len(g[1]))
    told: list[tuple[str, str]] = []
    groups = []
    for number, (task, members) in enumerate(found):
        kept = _latest(members, told)
        if number:
            told += [(name, _apart(task, found[0][0])) for name, _ in members]
        for name, one in kept:
            if one.strange:
                told.append((name, _strange(one)))
        ordered = sorted(kept, key=lambda pair: trainee_key(pair[1].trainee))
        groups.append(Group(task, tuple(one for _, one in ordered)))
    return groups, told


def _apart(task: Mapping[str, Any], main: Mapping[str, Any]) -> str:
    if task["id"] == main["id"]:
        return (
            "This is work on a changed copy of the assignment: something in it is not as it was "
            "set. It stands in a table of its own."
        )
    return "This is work on another assignment. It stands in a table of its own."


def _strange(one: Standing) -> str:
    count = "1 answer is" if one.strange == 1 else f"{one.strange} answers are"
    return (
        f"{count} to problems or drills that were not set for “{one.trainee}”. They do not count. "
        "Perhaps the name was changed after the work began."
    )


def _latest(
    members: Sequence[tuple[str, Standing]], told: list[tuple[str, str]]
) -> list[tuple[str, Standing]]:
    kept: dict[str, tuple[str, Standing]] = {}
    for name, one in members:
        key = trainee_key(one.trainee)
        if key not in kept:
            kept[key] = (name, one)
            continue
        older, newer = sorted((kept[key], (name, one)), key=lambda pair: _when(pair[1]))
        kept[key] = newer
        told.append(
            (
                older[0],
                f"“{one.trainee}” sent more than one file. The later one, {newer[0]}, is counted.",
            )
        )
    return list(kept.values())


def _when(one: Standing) -> float:
    found = moment(one.ended)
    return found.timestamp() if found else 0.0

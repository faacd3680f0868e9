"""What work can be set: the kinds of problems with their levels, and the drills."""

from __future__ import annotations

from collections.abc import Mapping

from calc.training import problem
from calc.training.scenarios import SCENARIOS


def families() -> Mapping[str, Mapping[str, str]]:
    """Return the levels, as title by id, of each kind of problem."""
    return {one.id: problem.level_titles(one) for one in problem.families()}


def family_title(id: str) -> str:
    """Return the title of a kind of problem."""
    return problem.family(id).title


def level_word(item: Mapping[str, str]) -> str:
    """Return the level of an item in one word."""
    return families()[item["family"]][item["level"]].partition(":")[0].lower()


def drills() -> Mapping[str, str]:
    """Return the title of each drill."""
    return {one.id: one.title for one in SCENARIOS}

"""What work can be set: the kinds of problems with their levels, and the drills."""

from __future__ import annotations

from collections.abc import Mapping


def families() -> Mapping[str, Mapping[str, str]]:
    """Return the levels, as title by id, of each kind of problem."""
    try:
        from calc.training import problem
    except ImportError:  # PROVISIONAL until the problems stand
        levels = {"first": "First", "usual": "Usual", "hard": "Hard"}
        return {"pre-charge": levels, "vessel-size": levels, "relief-margin": levels}
    return {f.id: {level: level for level in f.levels} for f in problem.families()}


def family_title(id: str) -> str:
    """Return the title of a kind of problem."""
    try:
        from calc.training import problem
    except ImportError:
        return id
    return problem.family(id).title


def drills() -> Mapping[str, str]:
    """Return the title of each drill."""
    try:
        from calc.training import scenarios
    except ImportError:  # PROVISIONAL until the drills stand
        return {"low-when-cold": "Low when cold"}
    return {s.id: s.title for s in scenarios.SCENARIOS}

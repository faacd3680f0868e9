"""A class of thirty and its answers, for marking with the same marks natively and in a browser.

Every answer is made from the truth of its problem: right, without its unit, in the wrong unit,
too low, too high, blank or not readable. `made()` needs nothing but `calc`; `marks(ask)` takes
whatever answers a request, so that a browser's engine can be held against the native one.
"""

from calc.training.marking import units_offered
from calc.training.problem import families, first_shown, problem

TRAINEES = 30
WAYS = (
    "right",
    "without unit",
    "other unit",
    "low",
    "high",
    "blank",
    "usual mistake",
    "not readable",
)


def made():
    """Return the problem and the answers of each trainee, as requests hold them."""
    kinds = [(one.id, level) for one in families() for level in one.levels]
    step = max(1, len(kinds) // TRAINEES)
    tasks = []
    for number in range(TRAINEES):
        id, level = kinds[number * step % len(kinds)]
        system = "us" if number % 2 else "si"
        ref = {"family": id, "level": level, "seed": 9000 + number, "system": system}
        tasks.append({"problem": ref, "answers": _answers(ref, number)})
    return tasks


def _answers(ref, number):
    found = problem(ref["family"], ref["level"], ref["seed"], ref["system"])
    given = {}
    for at, part in enumerate(found.parts):
        way = WAYS[(number + at) % len(WAYS)]
        unit = part.kind.default_unit(ref["system"])
        offered = units_offered(part.kind)
        shift = {"low": 0.7, "high": 1.4}.get(way, 1.0)
        meant = found.known[part.name]
        if way == "usual mistake":
            meant = next(_mistaken(found, part.name), meant)
        value = f"{unit.from_si(meant) * shift:.4f}"
        said = unit.text if offered else ""
        if way == "without unit":
            said = ""
        elif way == "other unit" and offered:
            said = next(text for text in offered if text != unit.text)
        told = {"blank": "", "not readable": "about 5"}.get(way, value)
        given[part.name] = {"value": told, "unit": said}
    return given


def _mistaken(found, name):
    """Yield what named mistakes give for the part of that name, where they show there first."""
    for slip in found.family.slips:
        values = found.slipped(slip)
        if values and first_shown(found, values) == name:
            yield values[name]


def way_of(number, at):
    """Return how trainee `number` answered the part at place `at`, both counted from 0."""
    return WAYS[(number + at) % len(WAYS)]


def marks(ask):
    """Return the marks of the class from `ask`, which answers one request given as data."""
    return [ask({"op": "problem-mark", **task})["marks"] for task in made()]

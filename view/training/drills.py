"""Requests about drills: the list of them, and a drill played as far as its actions go."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from calc import units as u
from calc.model import Refusal, as_text, in_a_sentence
from calc.training import debrief
from calc.training import drill as drills
from calc.training.drill import Doing, Field, Play, Step, Unreadable
from calc.training.instruments import ROOM_GAUGE, THERMOMETER, told
from calc.training.scenarios import CHOICES, SCENARIOS
from view.html import Html, h

_MOST_SEED = 2**53
_MOST_SAMPLES = 300
_VERDICTS = {"safe": "", "unsafe": "Not safe. ", "refused": "Not done. "}


def answer(op: str, request: Mapping[str, Any]) -> dict[str, Any]:
    """Answer one request; a refusal comes as ``{"errors": [{"field", "message"}]}``."""
    if op == "drill-list":
        return _list()
    if op != "drill-play":
        raise ValueError(f"unknown request {op!r}")
    try:
        return _play(request)
    except Unreadable as refused:
        return _errors(str(refused), refused.field)
    except Refusal as refused:
        return _errors(str(refused))


def _errors(message: str, field: str = "") -> dict[str, Any]:
    return {"errors": [{"field": field, "message": message}]}


def _list() -> dict[str, Any]:
    return {
        "drills": [
            {"id": s.id, "title": s.title, "summary": s.summary, "level": s.level}
            for s in SCENARIOS
        ],
        "faults": [{"id": id, "title": title} for id, title in CHOICES],
    }


def _play(request: Mapping[str, Any]) -> dict[str, Any]:
    id, seed, system = _drill(request.get("drill"))
    raw = request.get("actions")
    if not isinstance(raw, list) or len(raw) > drills.MOST_ACTIONS:
        raise Unreadable(f"A drill takes a list of up to {drills.MOST_ACTIONS} actions.")
    doings = [drills.read(one, system) for one in raw]
    named = _named(request.get("diagnosis"))
    played = drills.play(id, seed, doings)
    debriefed = None
    if named is not None:
        debriefed = debrief.debrief(played, named, system)
    elif doings:
        debrief.follow(played, system)
    return page(played, system, debriefed)


def _drill(raw: Any) -> tuple[str, int, str]:
    if not isinstance(raw, Mapping):
        raise Unreadable("This is no drill. Choose one from the list.")
    id, seed, system = raw.get("id"), raw.get("seed"), raw.get("system")
    if id not in {s.id for s in SCENARIOS}:
        raise Unreadable("There is no drill of that name. Choose one from the list.")
    if not isinstance(seed, int) or isinstance(seed, bool) or not 0 <= seed < _MOST_SEED:
        raise Unreadable("The number of the drill is not a whole number. Enter one of 1 or more.")
    if system not in ("si", "us"):
        raise Unreadable("The units are SI or US. Choose one of them.")
    return id, seed, system


def _named(raw: Any) -> list[str] | None:
    if raw is None:
        return None
    known = {id for id, _ in CHOICES}
    if not isinstance(raw, list) or not all(isinstance(id, str) and id in known for id in raw):
        raise Unreadable("A cause that is named is not in the list. Choose from the list.")
    return list(dict.fromkeys(raw))


def page(played: Play, system: str, debriefed: Any = None) -> dict[str, Any]:
    """Return what the page shows of a drill, numbers in the reader's units."""
    found: dict[str, Any] = {
        "clock": round(played.used),
        "time": _clock(played.state.time),
        "done": debriefed is not None,
        "last": _last(played.steps[-1], system) if played.steps else None,
        "dial": _dial(played, system),
        "gauge": _samples(played.steps[-1].needle, ROOM_GAUGE, system) if played.steps else [],
        "thermometer": _thermometer(played, system),
        "warmth": _samples(played.steps[-1].warmth, THERMOMETER, system) if played.steps else [],
        "parts": _parts(played, system),
        "score": None,
        "html": {
            "room": _room(played, system),
            "actions": _actions(system),
            "trace": _trace(played, system),
            "debrief": "",
        },
    }
    if debriefed is not None:
        from view.training import debriefing

        found["score"] = debriefing.score(debriefed)
        found["html"]["debrief"] = debriefing.page(played, debriefed, system)
    return found


def _clock(time: float) -> str:
    minutes = round(time / 60.0)
    return f"{minutes // 60 % 24:02d}:{minutes % 60:02d}"


def took(seconds: float) -> str:
    """Return a length of time as a person says it."""
    if seconds < 60.0:
        return f"{round(seconds)}\xa0s"
    minutes = round(seconds / 60.0)
    if minutes < 60:
        return f"{minutes}\xa0min"
    return f"{minutes // 60}\xa0h {minutes % 60:02d}\xa0min"


def title_of(doing: Doing, system: str) -> str:
    """Return an action with its numbers as a title."""
    given = dict(doing.values)
    numbers = [
        f"{field.label.lower()} {_typed(given[field.argument], field, system)}"
        for field in doing.act.fields
        if field.argument in given
    ]
    return f"{doing.act.title}: {', '.join(numbers)}" if numbers else doing.act.title


def _typed(value: float, field: Field, system: str) -> str:
    if field.kind is u.TIME:
        return took(value)
    return in_a_sentence(value, field.kind, system)


def words(step: Step, system: str) -> str:
    """Return what was seen of an action in sentences."""
    return " ".join(told(one.name, one.value, system) for one in step.seen)


def _last(step: Step, system: str) -> dict[str, Any]:
    return {
        "do": step.doing.act.id,
        "title": title_of(step.doing, system),
        "words": words(step, system),
        "took": took(step.seconds),
        "verdict": step.verdict,
        "reason": as_text(step.reason, system),
    }


def _samples(found: Sequence[tuple[float, float]], instrument: Any, system: str) -> list:
    every = max(1, -(-len(found) // _MOST_SAMPLES))
    kept = list(found[::every])
    if kept and kept[-1] != found[-1]:
        kept[-1] = found[-1]
    return [[round(second, 1), instrument.rounded(value, system, 5)] for second, value in kept]


def _dial(played: Play, system: str) -> dict[str, Any]:
    sheet = played.case.sheet
    now = _shown_now(played)
    if system == "us":
        most, major, minor = 60, range(0, 61, 10), range(0, 61, 2)
    else:
        most, major, minor = 4, range(0, 5), [n / 10 for n in range(0, 41)]
    return {
        "title": "Gauge by the boiler",
        "unit": ROOM_GAUGE.unit(system).text,
        "value": ROOM_GAUGE.rounded(now, system),
        "reads": ROOM_GAUGE.text(now, system),
        "least": 0,
        "most": most,
        "major": [[n, str(n)] for n in major],
        "minor": list(minor),
        "normal": [
            ROOM_GAUGE.rounded(sheet.cold_gauge, system),
            ROOM_GAUGE.rounded(sheet.relief_gauge - 5e4, system),
        ],
        "relief": ROOM_GAUGE.rounded(sheet.relief_gauge, system),
    }


def _shown_now(played: Play) -> float:
    from calc.plant.state import gauge_reading

    return gauge_reading(played.state)


def _flow_now(played: Play) -> float:
    from calc.plant.state import flow_and_return

    return flow_and_return(played.state)[0]


def _thermometer(played: Play, system: str) -> dict[str, Any]:
    now = _flow_now(played)
    least, most, apart = (30, 250, 20) if system == "us" else (0, 120, 20)
    return {
        "title": "Flow pipe",
        "unit": THERMOMETER.unit(system).text,
        "value": THERMOMETER.rounded(now, system),
        "reads": THERMOMETER.text(now, system),
        "least": least,
        "most": most,
        "major": [[n, str(n)] for n in range(-(-least // apart) * apart, most + 1, apart)],
    }


def _states(played: Play) -> dict[str, str]:
    found = drills.known(played.steps)
    unknown = "not looked at yet"
    vessel = f"valve {found['vessel valve']}" if found["vessel valve"] else unknown
    fill = f"isolator {found['isolator']}" if found["isolator"] else unknown
    cold = f"cold supply {found['cold supply']}" if found["cold supply"] else unknown
    if found["hot tap"] == "open":
        cold += ", hot tap open"
    return {
        "boiler": found["boiler"] or unknown,
        "pump": found["pump"] or unknown,
        "vessel": vessel,
        "fill": fill,
        "cylinder": cold,
    }


def _parts(played: Play, system: str) -> list[dict[str, str]]:
    states = _states(played)
    states["gauge"] = f"shows {ROOM_GAUGE.text(_shown_now(played), system)}"
    states["relief"] = "a pipe to the floor"
    states["loop"] = f"flow at {THERMOMETER.text(_flow_now(played), system)}"
    return [{"id": id, "title": title, "state": states[id]} for id, title in drills.PARTS.items()]


def _room(played: Play, system: str) -> Html:
    sheet = played.case.sheet

    def fact(value: float, kind: u.Kind) -> str:
        return in_a_sentence(value, kind, system)

    complaint = " ".join(as_text(one, system) for one in played.case.complaint)
    papers = [
        ("Season", f"{sheet.season}, heating {'on' if sheet.heating else 'off'}"),
        ("Water in the system", fact(sheet.volume, u.VOLUME)),
        ("Highest radiator above the vessel", fact(sheet.height, u.LENGTH)),
        ("Altitude", fact(sheet.altitude, u.ALTITUDE)),
        ("Vessel", fact(sheet.vessel_volume, u.VOLUME)),
        ("Its charge should be", fact(sheet.charge_gauge, u.GAUGE_PRESSURE)),
        ("Cold fill on the gauge, pump stopped", fact(sheet.cold_gauge, u.GAUGE_PRESSURE)),
        ("Relief valve set to", fact(sheet.relief_gauge, u.GAUGE_PRESSURE)),
        ("Make-up set to", fact(sheet.fill_gauge, u.GAUGE_PRESSURE)),
        ("Control set to", fact(sheet.setting, u.TEMPERATURE)),
    ]
    now = [
        ("Clock", f"{_clock(played.state.time)}, {took(played.used)} since you came"),
        ("Gauge", ROOM_GAUGE.text(_shown_now(played), system)),
        ("Flow", THERMOMETER.text(_flow_now(played), system)),
        *((drills.PARTS[id], text) for id, text in _states(played).items()),
    ]
    return h(
        "div",
        None,
        h(
            "section",
            {"class": "fd-call"},
            h("h3", None, "What the caller says"),
            h("p", None, complaint),
        ),
        h(
            "section",
            {"class": "fd-papers"},
            h("h3", None, "The papers of the room"),
            h("dl", None, *_pairs(papers)),
        ),
        h(
            "section",
            {"class": "fd-now-words"},
            h("h3", None, "What you see"),
            h("dl", None, *_pairs(now)),
        ),
    )


def _pairs(rows: Sequence[tuple[str, str]]) -> list[Html]:
    return [h("div", None, h("dt", None, title), h("dd", None, text)) for title, text in rows]


def _actions(system: str) -> Html:
    sections = []
    for part, title in drills.PARTS.items():
        forms = [
            _form(act, system)
            for group in drills.GROUPS
            for act in drills.ACTS
            if act.part == part and act.group == group
        ]
        sections.append(h("section", {"data-part": part}, h("h4", None, title), *forms))
    return h("div", None, *sections)


def _form(act: drills.Act, system: str) -> Html:
    fields = [_field(act, field, system) for field in act.fields]
    note = h("p", {"class": "da-note"}, act.note) if act.note else None
    return h(
        "form",
        {"data-do": act.id, "data-group": act.group, "novalidate": True},
        *fields,
        note,
        h(
            "button",
            {"type": "submit"},
            h("span", {"class": "da-group"}, f"{drills.GROUPS[act.group]}: "),
            act.title,
        ),
        h("p", {"id": f"da-{act.id}-error", "data-error-for": "", "hidden": True}),
    )


def _field(act: drills.Act, field: Field, system: str) -> Html:
    id = f"da-{act.id}-{field.name}"
    units = [field.kind.unit(name) for name in field.units[system]]
    options = [h("option", {"value": unit.id}, unit.text) for unit in units]
    return h(
        "div",
        {"class": "da-field"},
        h("label", {"for": id}, field.label),
        h(
            "input",
            {
                "id": id,
                "name": field.name,
                "type": "text",
                "inputmode": "decimal",
                "autocomplete": "off",
                "value": field.usual[system] or None,
                "aria-describedby": f"{id}-error",
            },
        ),
        h(
            "select",
            {"name": f"{field.name}.unit", "aria-label": f"Unit of: {field.label}"},
            *options,
        ),
        h("p", {"id": f"{id}-error", "data-error-for": field.name, "hidden": True}),
    )


def _trace(played: Play, system: str) -> Html:
    return h("ol", None, *(line(step, system) for step in played.steps))


def line(step: Step, system: str) -> Html:
    """Return one action of the log as a list item."""
    reason = as_text(step.reason, system)
    verdict = _VERDICTS[step.verdict]
    return h(
        "li",
        {"data-verdict": step.verdict},
        h("span", {"class": "da-time"}, _clock(step.began)),
        " ",
        h("strong", None, title_of(step.doing, system)),
        f" ({took(step.seconds)}). " if step.seconds else ". ",
        words(step, system),
        h("em", None, f" {verdict}{reason}") if reason else None,
    )

"""Verdicts on the lift and on the support, each with what to do."""

from __future__ import annotations

from collections.abc import Mapping

from calc import units as u
from calc.calculators.lifting_check.form import EMPTY, TWICE, WATERLOGGED
from calc.model import CAUTION, FAIL, PASS, Values, Work, say
from calc.sources import COMMON_PRACTICE, HSE_L23, NIOSH_94_110, OWN_RULE, PHYSICS, UMC

RAISED_FOR_MANY = 3.0
"""Lifting index above which the risk is raised for many. [-] NIOSH, from memory."""

FARTHEST = 10.0
"""Way of carrying up to which the filter holds. [m] HSE L23, second-hand."""

_HAIR = 1.0 + 1e-9


def judge_content(w: Work, v: Values, mass: float, full: float) -> None:
    label = "What is in it"
    shown = {"mass": (mass, u.MASS), "full": (full, u.MASS)}
    cite = PHYSICS.at("mass balance")
    if v.state == WATERLOGGED:
        message = say(
            "It is taken as full of water, {full}. Drain it and prove it empty before anybody "
            "lifts.",
            **shown,
        )
        w.check("content", label, CAUTION, message, cite)
    elif v.state == EMPTY:
        message = say(
            "Proved empty it weighs {mass}. If the gas valve was wet, it is not empty: then it "
            "may weigh up to {full}.",
            **shown,
        )
        w.check("content", label, PASS, message, cite)
    else:
        message = say(
            "{mass} holds only for the water entered. Measure what ran out, and rock the vessel "
            "before you lift: full it weighs {full}.",
            **shown,
        )
        w.check("content", label, CAUTION, message, COMMON_PRACTICE.at("rocking and tapping"))


def judge_posture(w: Work) -> None:
    w.check(
        "posture",
        "Place to lift in",
        FAIL,
        "Neither the equation nor the filter holds for cramped, kneeling, slippery, ladder or "
        "one-handed work. "
        "Make room and a firm dry floor, or use a hoist.",
        NIOSH_94_110.at("where the equation does not hold"),
    )


def judge_index(w: Work, indexes: Mapping[str, float], able: Mapping[str, float]) -> None:
    for end in ("start", "end"):
        label = f"Lift, at the {end}"
        shown = {
            "index": (indexes[end], u.INDEX),
            "limit": (able[end], u.MASS),
            "most": (RAISED_FOR_MANY, u.INDEX),
        }
        if indexes[end] <= _HAIR:
            message = say(
                "The index is {index}, within 1; up to {limit} may be lifted there.", **shown
            )
            w.check(f"index-{end}", label, PASS, message, NIOSH_94_110.at("lifting index"))
        elif indexes[end] <= RAISED_FOR_MANY * _HAIR:
            message = say(
                "The index is {index}, above 1: some would be hurt. Up to {limit} may be lifted "
                "there. Step closer, raise the start, give it handles, or use a hoist.",
                **shown,
            )
            w.check(f"index-{end}", label, CAUTION, message, NIOSH_94_110.at("lifting index"))
        else:
            message = say(
                "The index is {index}, above {most}: many would be hurt. Only {limit} may be "
                "lifted there. Use a hoist or a stair climber, and drain it further.",
                **shown,
            )
            w.check(f"index-{end}", label, FAIL, message, NIOSH_94_110.at("lifting index"))


def judge_filter(w: Work, mass: float, together: float) -> None:
    shown = {"mass": (mass, u.MASS), "team": (together, u.MASS)}
    label = "Filter of the team"
    cite = HSE_L23.at("lifting and lowering filter")
    if mass <= together * _HAIR:
        message = say("{mass} is within the filter of {team}.", **shown)
        w.check("filter", label, PASS, message, cite)
    else:
        message = say(
            "{mass} is above the filter of {team}. It is no limit in law, but the lift now needs "
            "an assessment in writing, a hoist, or more people.",
            **shown,
        )
        w.check("filter", label, CAUTION, message, cite)


def judge_carrying(w: Work, v: Values) -> None:
    shown = {"way": (v.carry, u.LENGTH), "most": (FARTHEST, u.LENGTH)}
    label = "Way it is carried"
    cite = HSE_L23.at("carrying")
    if v.carry <= FARTHEST * _HAIR:
        message = say("{way} is within the {most} that the filter allows.", **shown)
        w.check("carry", label, PASS, message, cite)
    else:
        message = say(
            "{way} is farther than the {most} that the filter allows. Use a trolley, or put it "
            "down and rest on the way.",
            **shown,
        )
        w.check("carry", label, CAUTION, message, cite)


def judge_bolts(w: Work, v: Values, tension: float, shear: float, used: float) -> None:
    shown = {
        "tension": (tension, u.FORCE),
        "shear": (shear, u.FORCE),
        "used": (used, u.FRACTION),
    }
    label = "Bolts of the bracket"
    cite = COMMON_PRACTICE.at("pull and shear added in a straight line")
    if used <= _HAIR:
        message = say(
            "{tension} of pull and {shear} of shear use {used} of what an anchor is allowed. It "
            "holds only in the wall that the approval names.",
            **shown,
        )
        w.check("bolts", label, PASS, message, cite)
    else:
        message = say(
            "{tension} of pull and {shear} of shear use {used} of what an anchor is allowed. Take "
            "a taller bracket, more or larger anchors, or stand the vessel on the floor.",
            **shown,
        )
        w.check("bolts", label, FAIL, message, cite)
    _note_rule(w, v)


def judge_floor(w: Work, v: Values, plan: float, feet: float) -> None:
    for id, label, load, allowed, mend in (
        ("floor", "Floor", plan, v.floor_allowed, "Spread it on beams or a plate to walls, or "
         "split it into two vessels, and ask the structural engineer."),
        ("feet", "Under the feet", feet, v.bearing_allowed, "Put a steel plate under each foot."),
    ):  # fmt: skip
        shown = {"load": (load, u.FLOOR_LOAD)}
        if allowed is None:
            message = say(
                "{load} is not held against anything. Ask what is allowed there, and enter it.",
                **shown,
            )
            w.check(id, label, CAUTION, message, OWN_RULE.at("nothing known, nothing passed"))
            continue
        shown["allowed"] = (allowed, u.FLOOR_LOAD)
        cite = COMMON_PRACTICE.at("load against the allowed load of the building's papers")
        if load <= allowed * _HAIR:
            w.check(id, label, PASS, say("{load} of {allowed} allowed.", **shown), cite)
        else:
            w.check(id, label, FAIL, say(f"{{load}} of {{allowed}} allowed. {mend}", **shown), cite)
    _note_rule(w, v)


def _note_rule(w: Work, v: Values) -> None:
    label = "Rule for the support"
    cite = UMC.at("1004.1 and 1209")
    if v.support_rule == TWICE:
        message = "It is worked out for twice the filled weight."
    else:
        message = (
            "It is worked out for the filled weight once. Where the Uniform Mechanical Code is "
            "adopted, choose twice."
        )
    w.check("rule", label, PASS, message, cite)

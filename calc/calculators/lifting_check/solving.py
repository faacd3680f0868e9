"""Mass, lift and support, worked out one after another."""

from __future__ import annotations

from dataclasses import dataclass

from calc import lifting
from calc import units as u
from calc.calculators.common import density_of
from calc.calculators.lifting_check import judging
from calc.calculators.lifting_check.form import (
    EMPTY,
    FLOOR,
    OUTPUTS,
    POOR,
    TWICE,
    WALL,
    WATERLOGGED,
)
from calc.equations.lifting import (
    ASYMMETRY,
    BOLT_USE,
    COUPLINGS,
    DISTANCE,
    ENDS,
    FEET_LOAD,
    FILTER_OF_ONE,
    FREQUENCIES,
    LOAD_OF_ONE,
    PLAN_LOAD,
    REPEAT,
    SHEAR,
    SUPPORTED,
    TEAM_FILTER,
    TENSION,
    TO_LIFT,
    TWIST,
    WEIGHT,
    zone_filter,
)
from calc.equations.shared import COLD_DENSITY, FULL_MASS
from calc.fluids import WATER
from calc.hydrostatics import STANDARD_GRAVITY
from calc.model import Bar, BarChart, Refusal, Solution, Values, Work, say, work_on
from calc.sources import NIOSH_94_110, OWN_RULE, PHYSICS


@dataclass(frozen=True, slots=True)
class Team:
    """How many lift, and what share of their sum they can lift. [-]"""

    people: float
    share: float


def solve(v: Values) -> Solution:
    """Return what it weighs, whether it may be lifted, and what its support carries."""
    w = work_on(v)
    for output in OUTPUTS:
        w.result(output.name, None)
    people = int(v.people)
    team = Team(float(people), lifting.TEAM_SHARE[people])
    rho = density_of(w, COLD_DENSITY, WATER, "cold", t_c=v.cold)
    mass = w.step(TO_LIFT, m_e=v.empty_mass, rho=rho, V=_water(v))
    full = w.step(FULL_MASS, m_e=v.empty_mass, rho=rho, V_N=v.vessel_volume)
    w.result("mass_to_lift", mass)
    w.result("mass_full", full)
    judging.judge_content(w, v, mass, full)
    able = {}
    if v.posture == POOR:
        judging.judge_posture(w)
    else:
        able = _against_equation(w, v, mass, team)
        able["Filter of this team"] = _against_filter(w, v, mass, team)
    w.draw(_draw_masses, v, mass, full, able)
    judging.judge_carrying(w, v)
    if v.support in (WALL, FLOOR):
        _support(w, v, full)
    return w.solution()


def _water(v: Values) -> float:
    if v.state == EMPTY:
        return 0.0
    if v.state == WATERLOGGED:
        return v.vessel_volume
    if v.water_left > v.vessel_volume:
        raise Refusal(
            say(
                "{left} of water cannot be left in a vessel of {volume}. Enter what stayed in it.",
                left=(v.water_left, u.VOLUME),
                volume=(v.vessel_volume, u.VOLUME),
            ),
            field="water_left",
            cite=PHYSICS.at("volume"),
        )
    return v.water_left


def _against_equation(w: Work, v: Values, mass: float, team: Team) -> dict[str, float]:
    """Return what the team may lift at both ends, by the words of the picture. [kg]"""
    load = w.step(LOAD_OF_ONE, m=mass, n=team.people, k=team.share)
    w.result("share", load)
    distance = w.step(DISTANCE, D=abs(v.height_end - v.height_start))
    asymmetry = w.step(ASYMMETRY, A=v.twist)
    limits, indexes = {}, {}
    for end, reach, height in (
        ("start", v.reach_start, v.height_start),
        ("end", v.reach_end, v.height_end),
    ):
        equations = ENDS[end]
        often = w.step(FREQUENCIES[v.duration], f=v.rate, V=height)
        if often == 0.0:
            refused = lifting.refuse_no_lift(v.rate, height)
            raise Refusal(refused.message, field="rate", cite=NIOSH_94_110.at("table"))
        limits[end] = w.step(
            equations["limit"],
            HM=w.step(equations["reach"], H=reach),
            VM=w.step(equations["height"], V=height),
            DM=distance,
            AM=asymmetry,
            FM=often,
            CM=w.step(COUPLINGS[v.grip], V=height),
        )
        letter = end[0]
        indexes[end] = w.step(equations["index"], m_1=load, **{f"RWL_{letter}": limits[end]})
        w.result(f"limit_{end}", limits[end])
        w.result(f"index_{end}", indexes[end])
    w.result("index", max(indexes.values()))
    able = {end: limit * team.people * team.share for end, limit in limits.items()}
    judging.judge_index(w, indexes, able)
    return {f"Recommended for this team, at the {end}": mass for end, mass in able.items()}


def _against_filter(w: Work, v: Values, mass: float, team: Team) -> float:
    base = w.step(zone_filter(v.filter, v.zone_start, v.zone_end, v.arms))
    one = w.step(
        FILTER_OF_ONE, m_z=base, f_r=w.step(REPEAT, f=v.rate), f_t=w.step(TWIST, A=v.twist)
    )
    together = w.step(TEAM_FILTER, m_f=one, n=team.people, k=team.share)
    w.result("filter_one", one)
    w.result("filter_team", together)
    judging.judge_filter(w, mass, together)
    return together


def _support(w: Work, v: Values, full: float) -> None:
    carried = w.step(SUPPORTED, m_full=full, m_p=v.piping_mass)
    times = 2.0 if v.support_rule == TWICE else 1.0
    force = w.step(WEIGHT, j=times, m_s=carried, g=STANDARD_GRAVITY)
    w.result("support_force", force)
    if v.support == WALL:
        _on_wall(w, v, force)
        return
    plan = w.step(PLAN_LOAD, F=force, A_f=v.plan_area)
    feet = w.step(FEET_LOAD, F=force, A_f=v.feet_area)
    w.result("plan_load", plan)
    w.result("feet_load", feet)
    judging.judge_floor(w, v, plan, feet)


def _on_wall(w: Work, v: Values, force: float) -> None:
    for name, label in (("top_bolts", "top row"), ("bolts", "bracket")):
        count = getattr(v, name)
        if count != round(count):
            raise Refusal(
                say(
                    f"There cannot be {{count}} bolts in the {label}. Enter a whole number.",
                    count=(count, u.NUMBER),
                ),
                field=name,
                cite=OWN_RULE.at("to catch a slip of the pen"),
            )
    if v.top_bolts > v.bolts:
        raise Refusal(
            say(
                "The top row has {top} bolts and the whole bracket only {all}. "
                "Count all bolts, the top row included.",
                top=(v.top_bolts, u.NUMBER),
                all=(v.bolts, u.NUMBER),
            ),
            field="bolts",
            cite=OWN_RULE.at("to catch a slip of the pen"),
        )
    tension = w.step(TENSION, F=force, b=v.offset, n_t=v.top_bolts, s=v.spacing)
    shear = w.step(SHEAR, F=force, n_b=v.bolts)
    used = w.step(BOLT_USE, T=tension, T_a=v.tension_allowed, S=shear, S_a=v.shear_allowed)
    w.result("bolt_tension", tension)
    w.result("bolt_shear", shear)
    w.result("bolt_use", used)
    judging.judge_bolts(w, v, tension, shear, used)


def _draw_masses(w: Work, v: Values, mass: float, full: float, able: dict[str, float]) -> None:
    shown = {"mass": (mass, u.MASS), "full": (full, u.MASS)}
    summary = "To lift now {mass}, full of water {full}."
    if able:
        summary = "To lift now {mass}, full of water {full}; the team's least figure is {least}."
        shown["least"] = (min(able.values()), u.MASS)
    w.chart(
        BarChart(
            id="masses",
            title="What it weighs, and what this team may lift",
            kind=u.MASS,
            bars=(
                Bar("Empty", v.empty_mass),
                Bar("To lift now", mass),
                Bar("Full of water", full),
                *(Bar(*one) for one in able.items()),
            ),
            summary=say(summary, **shown),
        )
    )

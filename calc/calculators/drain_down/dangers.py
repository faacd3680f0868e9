"""What may hurt whoever drains: heat, pressure, weight, glycol, a whipping hose."""

from __future__ import annotations

from calc import units as u
from calc.calculators.drain_down.form import AIR, GAS, TO_SEWER
from calc.drainage import flash_fraction
from calc.equations.drainage import GAP
from calc.equations.shared import BOILING_POINT, FULL_MASS, MASS_NOW
from calc.lifting import LOAD_CONSTANT
from calc.model import CAUTION, FAIL, PASS, Refusal, Values, Work, say
from calc.sources import (
    CFR_29_1910_242,
    COMMON_PRACTICE,
    CPSC_5098,
    EPA_1102,
    IAPWS_IF97,
    NIOSH_94_110,
    OWN_RULE,
    PHILADELPHIA_PLUMBING,
    PHYSICS,
)

_CELSIUS = u.TEMPERATURE.unit("degC")

OPEN_BELOW = _CELSIUS.to_si(49.0)
"""Water up to here burns only after minutes. [K]"""

BURNS_AT_ONCE = _CELSIUS.to_si(60.0)
"""Water from here on burns deeply within seconds. [K]"""

BOILING_MARGIN = 10.0
"""Distance below the boiling point under which opening is warned of. [K]"""

AIR_CEILING = 30.0 * u.PRESSURE_DIFFERENCE.unit("psi").scale
"""Ceiling for compressed air, borrowed from a rule for cleaning. [Pa gauge]"""

_HAIR = 1.0 + 1e-9
_MARGIN = OWN_RULE.at("10 K below the boiling point; no code figure")


def judge_boiling(v: Values, w: Work, ambient: float) -> None:
    boiling = w.step(BOILING_POINT, P_a=ambient)
    if v.water_temperature >= boiling:
        raise Refusal(
            say(
                "Water at {t} boils when it is opened to the air here, at {b}: {x} of it would "
                "flash to steam. Do not drain it. Let it cool to {goal} first.",
                goal=(OPEN_BELOW, u.TEMPERATURE),
                t=(v.water_temperature, u.TEMPERATURE),
                b=(boiling, u.TEMPERATURE),
                x=(flash_fraction(v.water_temperature, ambient), u.FRACTION),
            ),
            field="water_temperature",
            cite=IAPWS_IF97.at("saturation"),
        )
    margin = boiling - v.water_temperature
    w.result("boiling_margin", margin)
    values = {
        "t": (v.water_temperature, u.TEMPERATURE),
        "b": (boiling, u.TEMPERATURE),
        "m": (margin, u.TEMPERATURE_DIFFERENCE),
    }
    if margin < BOILING_MARGIN:
        w.check(
            "boiling",
            "Far enough below boiling",
            CAUTION,
            say(
                "The water at {t} is only {m} below its boiling point here, {b}. Any drop in "
                "pressure may turn it to steam: let it cool before you open anything.",
                **values,
            ),
            _MARGIN,
        )
    else:
        w.check(
            "boiling",
            "Far enough below boiling",
            PASS,
            say("The water at {t} is {m} below its boiling point here, {b}.", **values),
            _MARGIN,
        )


def judge_scald(v: Values, w: Work) -> None:
    t = (v.water_temperature, u.TEMPERATURE)
    goal = (OPEN_BELOW, u.TEMPERATURE)
    cite = CPSC_5098.at("burn times")
    if v.water_temperature > BURNS_AT_ONCE / _HAIR:
        w.check(
            "scald",
            "Cool enough to open",
            FAIL,
            say(
                "Water at {t} burns an adult deeply within seconds. Let it cool to {goal} or less "
                "before you open anything.",
                t=t,
                goal=goal,
            ),
            cite,
        )
    elif v.water_temperature > OPEN_BELOW * _HAIR:
        w.check(
            "scald",
            "Cool enough to open",
            CAUTION,
            say(
                "Water at {t} burns within minutes or less. Wait until it is at {goal} or less "
                "before you open anything.",
                t=t,
                goal=goal,
            ),
            cite,
        )
    else:
        w.check(
            "scald",
            "Cool enough to open",
            PASS,
            say(
                "Water at {t} is at or below {goal}; it still hurts after minutes.", t=t, goal=goal
            ),
            cite,
        )


def judge_glycol(v: Values, w: Work, out: float) -> None:
    cite = EPA_1102.at("used antifreeze")
    label = "Nothing harmful into the drain"
    if v.fluid == "water":
        w.check(
            "glycol",
            label,
            PASS,
            "Plain water. If it is treated with inhibitor, collect it "
            "and ask before any of it goes to a drain.",
            cite,
        )
        return
    w.result("glycol_out", out * v.glycol)
    amount = (out, u.VOLUME)
    if v.destination in TO_SEWER:
        w.check(
            "glycol",
            label,
            FAIL,
            say(
                "Glycol must not go to a drain. Collect all {amount} in closed, labelled "
                "containers, and return it to the system or send it to licensed disposal.",
                amount=amount,
            ),
            cite,
        )
    else:
        w.check(
            "glycol",
            label,
            PASS,
            say(
                "Collect all {amount} in closed, labelled containers. Measure its strength and "
                "its pH.",
                amount=amount,
            ),
            cite,
        )


def judge_air(v: Values, w: Work, column: float) -> None:
    lowest = v.push + max(column, 0.0)
    values = {
        "push": (v.push, u.GAUGE_PRESSURE),
        "low": (lowest, u.GAUGE_PRESSURE),
        "rating": (v.rating, u.GAUGE_PRESSURE),
        "most": (max(v.rating - max(column, 0.0), 0.0), u.GAUGE_PRESSURE),
        "ceiling": (AIR_CEILING, u.GAUGE_PRESSURE),
    }
    if lowest > v.rating * _HAIR:
        w.check(
            "air-rating",
            "Within the weakest rating",
            FAIL,
            say(
                "Air and column make {low} at the outlet, above the weakest rating of {rating}. "
                "Set the regulator to {most} or less.",
                **values,
            ),
            COMMON_PRACTICE.at("weakest rating"),
        )
    else:
        w.check(
            "air-rating",
            "Within the weakest rating",
            PASS,
            say(
                "Air and column make {low} at the outlet; the weakest rating is {rating}. Use a "
                "regulator with a relief valve.",
                **values,
            ),
            COMMON_PRACTICE.at("weakest rating"),
        )
    cite = CFR_29_1910_242.at("paragraph (b), a rule for cleaning taken as a ceiling")
    if v.push > AIR_CEILING * _HAIR:
        w.check(
            "air-ceiling",
            "Air pressure is low",
            CAUTION,
            say(
                "The air at {push} is above {ceiling}, a ceiling borrowed from a rule for "
                "cleaning. Use less: more air saves little time.",
                **values,
            ),
            cite,
        )
    else:
        w.check(
            "air-ceiling",
            "Air pressure is low",
            PASS,
            say(
                "The air at {push} is at or below {ceiling}, a ceiling borrowed from a rule for "
                "cleaning. That is no permission to use it.",
                **values,
            ),
            cite,
        )


def judge_weight(v: Values, w: Work, rho: float, volume: float) -> None:
    w.result("mass_now", w.step(MASS_NOW, m_e=v.empty_mass, rho=rho, V=volume))
    full = w.step(FULL_MASS, m_e=v.empty_mass, rho=rho, V_N=v.vessel_volume)
    w.result("mass_full", full)
    values = {"full": (full, u.MASS), "one": (LOAD_CONSTANT, u.MASS)}
    cite = NIOSH_94_110.at("load constant")
    if full > LOAD_CONSTANT * _HAIR:
        w.check(
            "weight",
            "Light enough for one person",
            CAUTION,
            say(
                "Full of water it weighs {full}; one person in the best posture lifts {one}. "
                "Support it, use a hoist or a second person, and prove it empty first.",
                **values,
            ),
            cite,
        )
    else:
        w.check(
            "weight",
            "Light enough for one person",
            PASS,
            say(
                "Even full of water it weighs {full}, within the {one} of one person in the best "
                "posture.",
                **values,
            ),
            cite,
        )


def judge_air_gap(v: Values, w: Work) -> None:
    least = w.step(GAP, d=v.hose_bore)
    w.result("least_gap", least)
    values = {"gap": (v.air_gap, u.SMALL_LENGTH), "least": (least, u.SMALL_LENGTH)}
    cite = PHILADELPHIA_PLUMBING.at("air gap of two bores")
    if v.air_gap < least / _HAIR:
        w.check(
            "air-gap",
            "Air gap at the hose end",
            FAIL,
            say(
                "The hose end hangs {gap} above the drain. Raise it to {least} or more and tie it "
                "there, so that nothing can be sucked back.",
                **values,
            ),
            cite,
        )
    else:
        w.check(
            "air-gap",
            "Air gap at the hose end",
            PASS,
            say(
                "The hose end hangs {gap} above the drain; {least} is the least. Tie it there and "
                "never let it go under water.",
                **values,
            ),
            cite,
        )


def judge_hose_end(v: Values, w: Work, recoil: float) -> None:
    force = (recoil, u.FORCE)
    cite = PHYSICS.at("momentum of a free jet")
    if v.drive in (GAS, AIR):
        w.check(
            "hose-end",
            "Hose end held",
            CAUTION,
            say(
                "The hose end can push back with up to {force} and whips when gas breaks through. "
                "Tie it down at its end, and stand aside.",
                force=force,
            ),
            cite,
        )
    else:
        w.check(
            "hose-end",
            "Hose end held",
            PASS,
            say(
                "The hose end pushes back with {force} at most. Tie it down so that it cannot slip "
                "out.",
                force=force,
            ),
            cite,
        )

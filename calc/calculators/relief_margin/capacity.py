"""Whether the valves carry off what the boilers give, and every part stands their pressure."""

from __future__ import annotations

from calc import relief
from calc import units as u
from calc.equations.relief import (
    BLOW_OFF_EN,
    BLOW_OFF_US,
    DISCHARGE,
    EVAPORATION,
    FURTHER_EN,
    FURTHER_US,
    ON_PART,
    RELIEVING,
    STEAM,
    STEAM_US,
    STEAM_VOLUME,
    VALVE_HEAT,
    VALVE_HEAT_US,
    VALVE_SV_100,
)
from calc.hydrostatics import STANDARD_GRAVITY
from calc.model import CAUTION, FAIL, PASS, Refusal, Values, Work, say
from calc.sources import (
    COMMON_PRACTICE,
    EN_12828,
    MARYLAND_BOILER_RULES,
    NEW_YORK_BOILER_RULES,
    OWN_RULE,
    PHYSICS,
    SV_100,
)


def _named(row: Values, number: int, kind: str) -> str:
    """Return a row's name, safe inside a message's template."""
    return (row.name or f"{kind} {number}").replace("{", "{{").replace("}", "}}")


def judge_capacity(w: Work, v: Values, ambient: float) -> None:
    us = v.capacity_rule == "us"
    on_boiler = _valves_by_boiler(v)
    capacity = [0.0] * len(v.boilers)
    for number, row in enumerate(v.valves):
        capacity[int(row.boiler) - 1] += _valve_capacity(w, v, ambient, number, row)
    steam = 0.0
    for index, boiler in enumerate(v.boilers):
        if us:
            steam += w.step(STEAM_US, Q=boiler.output)
        else:
            lowest = min((r.valve_set for r in on_boiler[index]), default=v.relief)
            relieving = w.step(RELIEVING, p_sv=lowest, P_a=ambient)
            steam += w.step(STEAM, Q=boiler.output, h_fg=w.step(EVAPORATION, P_r=relieving))
    spare = [c - b.output for c, b in zip(capacity, v.boilers, strict=True)]
    worst = min(range(len(spare)), key=lambda i: spare[i])
    weakest = min(v.boilers, key=lambda b: b.mawp)
    w.result("boiler_output", sum(b.output for b in v.boilers))
    w.result("steam_to_pass", steam)
    w.result("valve_capacity", sum(capacity))
    w.result("capacity_spare", spare[worst])
    w.result("blow_off_limit", w.step(BLOW_OFF_US if us else BLOW_OFF_EN, MAWP=weakest.mawp))
    w.result("further_valve_limit", w.step(FURTHER_US if us else FURTHER_EN, MAWP=weakest.mawp))

    cite = NEW_YORK_BOILER_RULES.at() if us else EN_12828.at("4.6, relieving capacity")
    name = _named(v.boilers[worst], worst + 1, "Boiler")
    values = {
        "capacity": (capacity[worst], u.POWER),
        "output": (v.boilers[worst].output, u.POWER),
        "short": (abs(spare[worst]), u.POWER),
    }
    label = "Valves pass each boiler's output"
    if spare[worst] < -1e-6 * v.boilers[worst].output:
        count = sum(1 for s in spare if s < 0.0)
        others = f"{count} boilers are short; this is the worst. " if count > 1 else ""
        words = (
            f"{name} gives {{output}} and its valves pass {{capacity}}: {{short}} short. {others}"
            "Do not run it like this. Have a valve of larger capacity or a second one fitted on it."
        )
        w.check("capacity", label, FAIL, say(words, **values), cite)
    else:
        words = (
            f"Every boiler is covered. The closest is {name}: it gives {{output}} and its valves "
            "pass {capacity}."
        )
        w.check("capacity", label, PASS, say(words, **values), cite)
    _check_settings(w, v, on_boiler, us)


def _valves_by_boiler(v: Values) -> list[list[Values]]:
    found: list[list[Values]] = [[] for _ in v.boilers]
    for number, row in enumerate(v.valves):
        if row.boiler != int(row.boiler) or row.boiler > len(v.boilers):
            raise Refusal(
                f"There is no boiler {row.boiler:g} in the list of {len(v.boilers)}. "
                "Enter the row number of the boiler this valve stands on.",
                field=f"valves.{number}.boiler",
                cite=OWN_RULE.at("one row for each boiler"),
            )
        found[int(row.boiler) - 1].append(row)
    return found


def _valve_capacity(w: Work, v: Values, ambient: float, number: int, row: Values) -> float:
    """Return what a valve carries off, in heat. [W]"""
    if row.rating == "heat":
        return row.heat
    if row.rating == "sv-100":
        _refuse_outside_sv_100(v, number, row)
        try:
            return w.step(VALVE_SV_100, A_0=row.flow_area, alpha_w=row.coefficient)
        except Refusal as refused:
            raise Refusal(
                refused.message, field=f"valves.{number}.flow_area", cite=SV_100.at("3.2")
            ) from None
    steam = row.steam
    relieving = None
    if row.rating == "iso":
        relieving = w.step(RELIEVING, p_sv=row.valve_set, P_a=ambient)
        volume = w.step(STEAM_VOLUME, P_r=relieving)
        steam = w.step(
            DISCHARGE,
            A=row.flow_area,
            K=row.coefficient,
            P_r=relieving,
            v=volume,
            k=relief.STEAM_ISENTROPIC_EXPONENT,
        )
    if v.capacity_rule == "us":
        return w.step(VALVE_HEAT_US, W=steam)
    if relieving is None:
        relieving = w.step(RELIEVING, p_sv=row.valve_set, P_a=ambient)
    return w.step(VALVE_HEAT, W=steam, h_fg=w.step(EVAPORATION, P_r=relieving))


def _refuse_outside_sv_100(v: Values, number: int, row: Values) -> None:
    if abs(row.valve_set / relief.SV_100_SET - 1.0) > relief.ROUNDING - 1.0:
        raise Refusal(
            say(
                "This formula holds for valves set at {three}, and this one is set at {set}. "
                "Use its rated capacity, or the steam formula by flow area.",
                three=(relief.SV_100_SET, u.GAUGE_PRESSURE),
                set=(row.valve_set, u.GAUGE_PRESSURE),
            ),
            field=f"valves.{number}.valve_set",
            cite=SV_100.at("3.2"),
        )
    limit = u.TEMPERATURE.unit("degC").to_si(120.0)
    if v.hot > limit + 1e-6:
        raise Refusal(
            say(
                "This formula holds for flow temperatures up to {limit}, and {hot} is entered. "
                "Use the valve's rated capacity instead.",
                limit=(limit, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field=f"valves.{number}.rating",
            cite=SV_100.at("3.2"),
        )


def _check_settings(w: Work, v: Values, on_boiler: list[list[Values]], us: bool) -> None:
    """Check the first valve of every boiler, its further valves, and the lowest of all."""
    first_cite = MARYLAND_BOILER_RULES.at() if us else EN_12828.at("4.6")
    slack = 1.0 + 1e-6
    first_bad, further_bad = None, None
    for index, (boiler, rows) in enumerate(zip(v.boilers, on_boiler, strict=True)):
        sets = sorted(row.valve_set for row in rows)
        if not sets:
            continue
        if sets[0] > boiler.mawp * slack and first_bad is None:
            first_bad = (index, sets[0])
        limit = relief.second_valve_limit(boiler.mawp) if us else boiler.mawp
        if sets[0] <= boiler.mawp * slack and sets[-1] > limit * slack and further_bad is None:
            further_bad = (index, sets[-1], limit)
    label = "First valve at or below the boiler's working pressure"
    if first_bad:
        index, found = first_bad
        boiler = v.boilers[index]
        name = _named(boiler, index + 1, "Boiler")
        w.check(
            "first-valve",
            label,
            FAIL,
            say(
                f"{name} may work up to {{mawp}}, and no valve on it opens below {{set}}. "
                "Do not run it. Have a valve set at or below its working pressure fitted.",
                mawp=(boiler.mawp, u.GAUGE_PRESSURE),
                set=(found, u.GAUGE_PRESSURE),
            ),
            first_cite,
        )
    elif not all(on_boiler):
        index = next(i for i, rows in enumerate(on_boiler) if not rows)
        name = _named(v.boilers[index], index + 1, "Boiler")
        w.check(
            "first-valve",
            label,
            FAIL,
            say(
                f"{name} has no relief valve in the list. Enter the valve that stands on it. "
                "If there is none, do not run it and have one fitted."
            ),
            first_cite,
        )
    else:
        w.check(
            "first-valve",
            label,
            PASS,
            "On every boiler the first valve opens at or below the working pressure.",
            first_cite,
        )
    label = "Further valves within their limit"
    if further_bad:
        index, found, limit = further_bad
        name = _named(v.boilers[index], index + 1, "Boiler")
        w.check(
            "further-valves",
            label,
            FAIL,
            say(
                f"On {name} a further valve is set at {{set}}, above its limit of {{limit}}. "
                "Have it changed for one set at or below that.",
                set=(found, u.GAUGE_PRESSURE),
                limit=(limit, u.GAUGE_PRESSURE),
            ),
            first_cite,
        )
    elif any(len(rows) > 1 for rows in on_boiler):
        w.check(
            "further-valves",
            label,
            PASS,
            "Every further valve is set within its limit.",
            first_cite,
        )
    lowest = min(row.valve_set for row in v.valves)
    if lowest < v.relief / slack:
        w.check(
            "lowest-valve",
            "Margin taken at the lowest valve",
            CAUTION,
            say(
                "The list holds a valve set at {lowest}, and the margin was taken at {set}. "
                "Enter the lowest setting as the set pressure above.",
                lowest=(lowest, u.GAUGE_PRESSURE),
                set=(v.relief, u.GAUGE_PRESSURE),
            ),
            COMMON_PRACTICE.at("the lowest valve opens first"),
        )


def judge_parts(w: Work, v: Values, rho_cold: float, tolerance: float) -> None:
    """Check every part against the pressure on it when the highest valve opens."""
    if not v.components:
        return
    highest = max([v.relief, *(row.valve_set for row in v.valves)])
    found = []
    for number, part in enumerate(v.components, start=1):
        pressure = w.step(
            ON_PART,
            p_sv=highest,
            dp_tol=tolerance,
            rho=rho_cold,
            g=STANDARD_GRAVITY,
            z_sv=v.valve_height,
            z_part=part.height,
        )
        found.append((part.rated - pressure, pressure, number, part))
    spare, pressure, number, part = min(found, key=lambda f: (f[0], f[2]))
    w.result("weakest_part", part.name or f"Part {number}")
    w.result("pressure_on_weakest", pressure)
    w.result("weakest_spare", spare)
    name = _named(part, number, "Part")
    values = {
        "pressure": (pressure, u.GAUGE_PRESSURE),
        "rated": (part.rated, u.GAUGE_PRESSURE),
        "valve": (highest, u.GAUGE_PRESSURE),
        "over": (0.1 * highest, u.PRESSURE_DIFFERENCE),
        "most": (part.rated - (pressure - highest), u.GAUGE_PRESSURE),
    }
    label = "Weakest part stands the relief valve"
    opening = (
        f"When the valve opens at {{valve}}, the pressure on “{name}” is {{pressure}}, "
        "and its rating is {rated}. "
    )
    if spare < -1e-6 * part.rated:
        status, words = (
            FAIL,
            ("Have a valve set at {most} or lower fitted, or the part changed for a stronger one."),
        )
    elif spare < 0.1 * highest:
        status, words = (
            CAUTION,
            (
                "A valve needs about {over} more to open fully, and that is not there. "
                "Have a lower setting of the valve or a stronger part chosen."
            ),
        )
    else:
        status, words = PASS, "No other part in the list has less to spare."
    words = opening + words
    w.check("weakest-part", label, status, say(words, **values), PHYSICS.at("hydrostatics"))

"""The working of fill water."""

from __future__ import annotations

from calc import units as u
from calc import water_quality as wq
from calc.calculators.fill_water import judging
from calc.calculators.fill_water.form import INHIBITED
from calc.equations import water_quality as eq
from calc.glycol import replaced_volume
from calc.model import (
    Axis,
    Bar,
    BarChart,
    Level,
    LineChart,
    Refusal,
    ResultColumn,
    ResultRow,
    ResultTable,
    Series,
    Solution,
    Values,
    Work,
    say,
    work_on,
)

_BANDS = {
    "2021": ("up to 20 L/kW", "20 to 40 L/kW", "above 40 L/kW"),
    "2005": ("below 20 L/kW", "20 to 50 L/kW", "50 L/kW and more"),
}
_POINTS = 13
LONGEST = 1000.0
"""Beyond that no number of years is given."""


def _allowed(w: Work, v: Values, year: str, content: float) -> float | None:
    """Return the hardness that an edition allows; None where it sets no limit. [mol/m3]"""
    if wq.hardness_limit(wq.EDITIONS[year], v.heater, v.output, content) is None:
        return None
    return w.step(eq.LIMIT[year, v.heater], P=v.output, c=content)


def _hardness(w: Work, v: Values, allowed: float | None, mixture: float) -> None:
    w.result("mixture", mixture)
    w.result("allowed", allowed)
    w.result("treat", judging.way_of_treating(v, allowed))
    share = 0.0
    if allowed is not None and v.hardness > 0:
        share = w.step(eq.NEEDED, H=v.hardness, H_a=allowed)
    w.result("share", share)
    w.result("treated", w.step(eq.TREATED_VOLUME, x_n=share, V_s=v.system_volume))
    w.result("lime", w.step(eq.LIME, V_s=v.system_volume, H_m=mixture))


def _lifetime(w: Work, v: Values) -> None:
    water = w.step(eq.LIFETIME, V_f=v.filled, V_j=v.yearly, n=v.years)
    w.result("lifetime", water)
    w.result("lifetime_share", w.step(eq.LIFETIME_SHARE, V_life=water, V_s=v.system_volume))
    most = wq.EDITIONS[v.edition].lifetime
    if v.yearly > 0 and v.yearly * LONGEST > most * v.system_volume - v.filled:
        given = {"V_f": v.filled, "V_j": v.yearly, "V_s": v.system_volume, "k": most}
        w.result("years_left", w.step(eq.YEARS_UNTIL[v.edition], **given))
    judging.check_lifetime(w, v, water, most)
    w.draw(_draw_lifetime, v, water, most)


def _draw_lifetime(w: Work, v: Values, water: float, most: float) -> None:
    if v.years == 0:
        return
    points = tuple(
        (years, v.filled + v.yearly * years)
        for years in (v.years * n / (_POINTS - 1) for n in range(_POINTS))
    )
    levels = tuple(
        Level(f"{edition.year}: {edition.lifetime:g} times", edition.lifetime * v.system_volume,
              "limit" if year == v.edition else "info")
        for year, edition in wq.EDITIONS.items()
    )  # fmt: skip
    w.chart(
        LineChart(
            id="lifetime", title="Water let in over the years",
            x=Axis("years from now", u.NUMBER), y=Axis("water let in", u.VOLUME),
            series=(Series("fill and make-up", points),), levels=levels,
            summary=say(
                "From {now} it grows to {water}; the table holds up to {most}.",
                now=(v.filled, u.VOLUME), water=(water, u.VOLUME),
                most=(most * v.system_volume, u.VOLUME),
            ),
        )
    )  # fmt: skip


def _draw_hardness(
    w: Work, v: Values, allowed: dict[str, float | None], mixture: float, content: float
) -> None:
    bars = [Bar("raw water", v.hardness), Bar("goes in", mixture)]
    bars += [Bar(f"{year} allows", found) for year, found in allowed.items() if found is not None]
    said = {"raw": (v.hardness, u.HARDNESS), "mix": (mixture, u.HARDNESS)}
    w.chart(
        BarChart(
            id="hardness", title="Hardness that goes in, and what is allowed", kind=u.HARDNESS,
            bars=tuple(bars),
            summary=say("Raw water has {raw}; what goes in has {mix}.", **said),
        )
    )  # fmt: skip
    rows = []
    for year, edition in wq.EDITIONS.items():
        found = allowed[year]
        fits = found is None or mixture <= found * (1 + 1e-9)
        rows.append(
            ResultRow(
                year,
                (_BANDS[year][wq.band(edition, content)], found, edition.lifetime * v.system_volume,
                 "soft enough" if fits else "too hard"),
            )
        )  # fmt: skip
    w.chart(
        ResultTable(
            id="editions", title="Both editions", corner="Edition",
            columns=(
                ResultColumn("band of content"), ResultColumn("hardness allowed", u.HARDNESS),
                ResultColumn("lifetime water", u.VOLUME), ResultColumn("what goes in is"),
            ),
            rows=tuple(rows),
            summary="What each edition allows here; a dash means that it sets no limit.",
        )
    )  # fmt: skip


def _inhibitor(w: Work, v: Values) -> None:
    if v.treatment not in INHIBITED:
        return
    w.result("inhibitor", w.step(eq.DOSE, f=v.dose, V_s=v.system_volume))
    if v.found is None:
        return
    if v.found >= v.dose:
        w.result("top_up", 0.0)
    else:
        w.result("top_up", _top_up(w, v))
    if v.earlier is not None:
        lost = w.step(eq.LOST, V_s=v.system_volume, f_0=v.earlier, f_1=v.found)
        w.result("lost", lost)
        judging.check_tracer(w, v, lost)


def _top_up(w: Work, v: Values) -> float:
    given = {"V_s": v.system_volume, "f_1": v.found, "f": v.dose, "f_c": v.concentrate}
    try:
        replaced_volume(v.system_volume, v.found, v.dose, v.concentrate)
    except Refusal:
        raise Refusal(
            say("What is added holds {c}, not more than the {f} wanted. Take the product as sold.",
                c=(v.concentrate, u.FRACTION), f=(v.dose, u.FRACTION)),
            field="concentrate", cite=eq.TOP_UP.cite,
        ) from None  # fmt: skip
    return w.step(eq.TOP_UP, **given)


def solve(v: Values) -> Solution:
    """Find what the fill water may hold, how to get there, and how the heating water stands."""
    if v.smallest > v.output * (1 + 1e-9):
        raise Refusal(
            say("The smallest heater gives {s}, more than all together, {p}. Enter the output of "
                "all heaters in the first field.", s=(v.smallest, u.POWER), p=(v.output, u.POWER)),
            field="smallest", cite=eq.CONTENT.cite,
        )  # fmt: skip
    w = work_on(v)
    content = w.step(eq.CONTENT, V_s=v.system_volume, P_1=v.smallest)
    w.result("content", content)
    mixture = w.step(eq.MIXED, H=v.hardness, x=v.mixed)
    allowed = {year: _allowed(w, v, year, content) for year in wq.EDITIONS}
    _hardness(w, v, allowed[v.edition], mixture)
    judging.check_hardness(w, v, allowed[v.edition], mixture)
    (other,) = set(wq.EDITIONS) - {v.edition}
    judging.check_other(w, other, allowed[other], mixture)
    w.draw(_draw_hardness, v, allowed, mixture, content)
    _lifetime(w, v)
    wanted = judging.window(v.treatment, v.metals)
    w.result("ph_least", wanted.least)
    w.result("ph_most", wanted.most)
    judging.check_ph(w, v, wanted)
    judging.check_conductivity(w, v)
    judging.check_inhibitor(w, v, mixture)
    _inhibitor(w, v)
    return w.solution()

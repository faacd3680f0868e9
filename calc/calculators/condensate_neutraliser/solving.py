"""The working of the condensate neutraliser."""

from __future__ import annotations

from types import SimpleNamespace

from calc import condensate, neutraliser
from calc import units as u
from calc.calculators.condensate_neutraliser import judging
from calc.calculators.condensate_neutraliser.form import (
    A_251,
    BY_FLUE,
    GAS,
    HIGHER,
    LPG,
    OIL,
    OIL_STANDARD,
    PLANNED,
)
from calc.equations import condensate as eq
from calc.equations.shared import AIR_PRESSURE
from calc.fluids import vapour_pressure
from calc.model import (
    Axis,
    Level,
    LineChart,
    Mark,
    Series,
    Solution,
    Values,
    Work,
    say,
    work_on,
)

FUELS = {
    GAS: condensate.METHANE,
    LPG: condensate.PROPANE,
    OIL: condensate.OIL,
    OIL_STANDARD: condensate.OIL,
}
LONGEST_SHOWN = 50.0 * neutraliser.YEAR
_GRAMS = 1000.0
_POINTS = 31
_COLDEST_DRAWN, _HOTTEST_DRAWN = 293.15, 338.15


def _flue_gas(w: Work, v: Values, fuel: condensate.Fuel, heat: float) -> SimpleNamespace:
    """Work out the flue gas, and the condensate per heat that it would leave."""
    air = w.step(AIR_PRESSURE, z_s=v.altitude)
    ceiling = w.step(eq.CEILING, y=fuel.hydrogen, q=heat)
    dry = w.step(eq.DRY_GAS, x=fuel.carbon, y=fuel.hydrogen, L=v.air_ratio)
    dew = w.step(eq.DEW_PRESSURE, n_d=dry, y=fuel.hydrogen, P_a=air)
    w.result("dew_point", w.step(eq.DEW_POINT, P_d=dew))
    saturation = w.step(eq.SATURATION, t_f=v.flue)
    per_heat = None
    if v.amount == BY_FLUE:
        left = w.step(eq.VAPOUR_LEFT, n_d=dry, P_s=saturation, P_a=air)
        share = w.step(eq.CONDENSED, n_l=left, y=fuel.hydrogen)
        per_heat = w.step(eq.YIELD_BY_FLUE, m_w=ceiling, k=share)
    # Above the dew point the gas holds its own vapour, not that of saturation.
    held = min(saturation, dew)
    gas = w.step(eq.CARBON_DIOXIDE, x=fuel.carbon, n_d=dry, P_s=held, P_a=air)
    return SimpleNamespace(air=air, ceiling=ceiling, dry=dry, per_heat=per_heat, gas=gas)


def _amount(w: Work, v: Values, fuel: condensate.Fuel, heat: float, flue: SimpleNamespace) -> float:
    if v.amount == BY_FLUE:
        return flue.per_heat
    if v.amount == PLANNED:
        planned = eq.PLANNED_PROPANE if fuel is condensate.PROPANE else eq.PLANNED
        return w.step(planned, m_p=fuel.planning, q_l=fuel.lower, q=heat)
    return w.step(eq.MEASURED, Q=v.measured, P=v.power)


def _uses(w: Work, v: Values, gas: float) -> tuple[float, float | None, float]:
    """Return the filling used in each volume: least, likely where it is known, and most."""
    medium = neutraliser.MEDIA[v.medium]
    grams = medium.per_acid * _GRAMS
    acid = w.step(eq.ACID, pH=v.acid_ph)
    w.result("acid", acid)
    least = w.step(eq.LEAST_USE, H=acid, M=grams)
    if not medium.carbonate:
        dissolved = w.step(eq.DISSOLVED_GAS, P_C=gas, t_w=v.water_temperature)
        return least, None, w.step(eq.USE_WITH_GAS, H=acid, C=dissolved, M=grams)
    laws = eq.EQUILIBRIA[v.medium]
    given = {"H": acid, "P_C": gas, "t_w": v.water_temperature}
    closed, held = w.step(laws["closed"], **given), w.step(laws["held"], **given)
    w.result("equilibrium_ph", w.step(laws["ph"], **given))
    likely = w.step(eq.USE_CLOSED, D_2=closed, M=grams)
    above = w.step(eq.USE_HELD, D_3=held, M=grams)
    return least, likely, w.step(eq.USE_MOST, c_2=likely, c_3=above)


def _month(v: Values, time: float) -> str:
    if time > LONGEST_SHOWN:
        return "more than 50 years on"
    year, month = neutraliser.months_later(v.filled_year, v.filled_month, time)
    return f"{year}-{month:02d}"


def _lasting(
    w: Work, v: Values, yearly: float, uses: tuple[float, float | None, float]
) -> SimpleNamespace:
    least, likely, most = uses
    given = {"m": v.mass, "k_p": v.purity, "k_u": v.usable, "V_y": yearly}
    longest = w.step(eq.LONGEST, c_1=least, **given)
    between = None if likely is None else w.step(eq.LIKELY, c_2=likely, **given)
    shortest = w.step(eq.SHORTEST, c_4=most, **given)
    for name, value in (("shortest", shortest), ("likely", between), ("longest", longest)):
        w.result(name, value)
    w.result("due", _month(v, shortest))
    w.result("latest", _month(v, longest))
    w.result("mass_least", yearly * least)
    w.result("mass_most", yearly * most)
    return SimpleNamespace(shortest=shortest, likely=between, longest=longest)


def _draw_filling(w: Work, v: Values, lasts: SimpleNamespace) -> None:
    """Draw what is left of the filling, for the least, the likely and the most use."""
    end = 1.5 * (lasts.likely or 2.0 * lasts.shortest)
    full = v.mass * v.purity * v.usable

    def line(label: str, time: float, role: str) -> Series:
        last = min(end, time)
        return Series(label, ((0.0, full), (last, full * (1.0 - last / time))), role)

    series = [line("most use", lasts.shortest, "main"), line("least use", lasts.longest, "other")]
    if lasts.likely is not None:
        series.insert(1, line("likely use", lasts.likely, "other"))
    w.chart(
        LineChart(
            id="filling", title="Filling that can still be used",
            x=Axis("time since the refill", u.TIME, "y"),
            y=Axis("usable filling", u.MASS),
            series=tuple(series),
            summary=say(
                "Of {full} that can be used nothing is left after a time between {soon} and "
                "{late}.", full=(full, u.MASS), soon=(lasts.shortest, judging.YEARS),
                late=(lasts.longest, judging.YEARS),
            ),
        )
    )  # fmt: skip


def _draw_yield(
    w: Work, v: Values, fuel: condensate.Fuel, flue: SimpleNamespace, per_heat: float
) -> None:
    """Draw how much condenses against the temperature of the flue gas."""
    water = fuel.hydrogen / 2.0

    def found(temperature: float) -> float:
        left = condensate.vapour_left(flue.dry, vapour_pressure(temperature), flue.air)
        return flue.ceiling * condensate.condensed_share(left, water)

    step = (_HOTTEST_DRAWN - _COLDEST_DRAWN) / (_POINTS - 1)
    points = tuple(
        (_COLDEST_DRAWN + n * step, found(_COLDEST_DRAWN + n * step)) for n in range(_POINTS)
    )
    inside = _COLDEST_DRAWN <= v.flue <= _HOTTEST_DRAWN
    w.chart(
        LineChart(
            id="yield", title="Condensate against the flue gas temperature",
            x=Axis("flue gas leaving the boiler", u.TEMPERATURE),
            y=Axis("condensate per heat put in", u.WATER_PER_HEAT),
            series=(Series("from the flue gas", points),),
            levels=(Level("most that burning makes", flue.ceiling, "limit"),),
            marks=(Mark("used here", v.flue, per_heat),) if inside else (),
            summary=say(
                "The colder the flue gas, the more condenses, up to {most}. Reckoned with here is "
                "{used} at {flue}.", most=(flue.ceiling, u.WATER_PER_HEAT),
                used=(per_heat, u.WATER_PER_HEAT), flue=(v.flue, u.TEMPERATURE),
            ),
        )
    )  # fmt: skip


def solve(v: Values) -> Solution:
    """Find the condensate, the filling it uses, and what the rules ask."""
    w = work_on(v)
    fuel = FUELS[v.fuel]
    heat = fuel.higher if v.basis == HIGHER else fuel.lower
    flue = _flue_gas(w, v, fuel, heat)
    w.result("ceiling", flue.ceiling)
    per_heat = _amount(w, v, fuel, heat, flue)
    w.result("per_heat", per_heat)
    hours = {"m_k": per_heat, "P": v.power}
    yearly = w.step(eq.YEARLY, t=v.hours, **hours)
    w.result("yearly", yearly)
    flow = w.step(eq.AT_FULL_LOAD, **hours)
    w.result("flow", flow)
    carbonic = w.step(eq.CARBONIC_PH, P_C=flue.gas, t_w=v.water_temperature)
    w.result("carbonic_ph", carbonic)
    uses = _uses(w, v, flue.gas)
    for name, value in zip(("use_least", "use_likely", "use_most"), uses, strict=True):
        w.result(name, value)
    lasts = _lasting(w, v, yearly, uses)
    void = w.step(eq.VOID, m=v.mass, f=v.porosity, rho_s=v.solid_density)
    w.result("void", void)
    contact = w.step(eq.CONTACT, V_b=void, Q=flow)
    w.result("contact", contact)
    mixing = w.step(eq.MIXING, V_y=yearly) if v.rule == A_251 else None
    w.result("mixing", mixing)
    lower = v.power * fuel.lower / heat
    found = SimpleNamespace(
        per_heat=per_heat, ceiling=flue.ceiling, carbonic=carbonic, contact=contact, yearly=yearly,
        mixing=mixing, lower=lower, lasts=lasts,
    )  # fmt: skip
    w.result("needed", judging.judge(w, v, found))
    w.draw(_draw_filling, v, lasts)
    w.draw(_draw_yield, v, fuel, flue, per_heat)
    return w.solution()

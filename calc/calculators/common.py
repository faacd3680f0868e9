"""Steps that several calculators take alike: the fluid, its density, the pressure allowed."""

from __future__ import annotations

from collections.abc import Mapping

from calc import site
from calc import units as u
from calc.equations.shared import FINAL, GAPS, VALVE_LIMIT
from calc.fluids import WATER, Fluid
from calc.hydrostatics import STANDARD_GRAVITY
from calc.model import Equation, Refusal, Values, Work, say
from calc.sources import COMMON_PRACTICE, Citation


def fluid_of(v: Values) -> Fluid:
    """Return what fills the system; a share outside the tables is refused at its field."""
    if v.fluid in (None, site.WATER):
        return WATER
    try:
        return Fluid(v.fluid, v.glycol)
    except Refusal as refused:
        raise Refusal(refused.message, field="glycol", cite=refused.cite) from None


def density_of(
    w: Work, by_fluid: Mapping[str, Equation], fluid: Fluid, field: str, **temperature: float
) -> float:
    """Return a density read from the table; a temperature outside is refused at its field."""
    equation = by_fluid[fluid.substance]
    share = {"phi": fluid.volume_fraction} if "phi" in equation.where else {}
    try:
        return w.step(equation, **temperature, **share)
    except Refusal as refused:
        raise Refusal(refused.message, field=field, cite=refused.cite) from None


def safe_density(v: Values, rho_cold: float, rho_hot: float) -> float:
    """Return the density between valve and vessel that allows the vessel less. [kg/m3]"""
    return rho_hot if v.valve_height > 0 else rho_cold


def gap_of(w: Work, v: Values) -> tuple[float, Citation]:
    """Return the margin asked below the set pressure [Pa], and who asks it.

    A margin as large as the set pressure itself is refused at its field.
    """
    if v.gap_rule == "own":
        gap, cite = v.gap_own, COMMON_PRACTICE.at("the margin entered")
    else:
        gap, cite = w.step(GAPS[v.gap_rule], p_sv=v.relief), GAPS[v.gap_rule].cite
    if gap >= v.relief:
        raise Refusal(
            say(
                "The margin asked, {gap}, is as much as the set pressure {set} itself. "
                "Choose a rule made for such a low setting, such as a tenth of it.",
                gap=(gap, u.PRESSURE_DIFFERENCE),
                set=(v.relief, u.GAUGE_PRESSURE),
            ),
            field="gap_own" if v.gap_rule == "own" else "gap_rule",
            cite=cite,
        )
    return gap, cite


def final_of(w: Work, v: Values, rho_cold: float, rho_hot: float) -> float:
    """Return the highest pressure allowed at the vessel. [Pa gauge]"""
    gap = v.gap_own if v.gap_rule == "own" else w.step(GAPS[v.gap_rule], p_sv=v.relief)
    limit = w.step(VALVE_LIMIT, p_sv=v.relief, d=gap)
    if not v.valve_height:
        return limit
    rho = safe_density(v, rho_cold, rho_hot)
    return w.step(FINAL, p_lim=limit, rho=rho, g=STANDARD_GRAVITY, z_sv=v.valve_height)

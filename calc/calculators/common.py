"""Steps that several calculators take alike: the fluid, its density, the pressure allowed."""

from __future__ import annotations

from collections.abc import Mapping

from calc import site
from calc.equations.shared import FINAL, GAPS, VALVE_LIMIT
from calc.fluids import WATER, Fluid
from calc.hydrostatics import STANDARD_GRAVITY
from calc.model import Equation, Refusal, Values, Work


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


def final_of(w: Work, v: Values, rho_cold: float, rho_hot: float) -> float:
    """Return the highest pressure allowed at the vessel. [Pa gauge]"""
    gap = v.gap_own if v.gap_rule == "own" else w.step(GAPS[v.gap_rule], p_sv=v.relief)
    limit = w.step(VALVE_LIMIT, p_sv=v.relief, d=gap)
    if not v.valve_height:
        return limit
    rho = safe_density(v, rho_cold, rho_hot)
    return w.step(FINAL, p_lim=limit, rho=rho, g=STANDARD_GRAVITY, z_sv=v.valve_height)

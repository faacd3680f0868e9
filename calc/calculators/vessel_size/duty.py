"""What the vessel has to do, and what cannot be."""

from __future__ import annotations

from dataclasses import dataclass

from calc import units as u
from calc.calculators.common import final_of
from calc.calculators.vessel_size.form import CHARGED, CODE, PLAIN
from calc.equations.shared import (
    AIR_PRESSURE,
    CHARGE_ABS,
    EXPANSION,
    FILL_ABS,
    FINAL_ABS,
    GROWTH,
    NET_EXPANSION,
    NET_GROWTH,
    STATIC,
)
from calc.equations.vessel import CODE_GROWTH
from calc.expansion import PIPE_EXPANSION
from calc.fluids import Fluid, freezing_temperature, vapour_pressure
from calc.hydrostatics import STANDARD_GRAVITY
from calc.model import Refusal, Values, Work, say
from calc.sources import ASHRAE_SYSTEMS, COOLPROP, EN_12828, IAPWS_IF97, PHYSICS

_DIN = EN_12828.at("annex D, as DIN 4807-2 has it")
_ASHRAE_CLOSED = ASHRAE_SYSTEMS.at("closed tank, equation 12")
_BOYLE = PHYSICS.at("Boyle's law")
_CODE_COLDEST = 355.372  # 180 degF
_CODE_HOTTEST = 377.594  # 220 degF

CODE_COLD = u.TEMPERATURE.unit("degF").to_si(40.0)
"""Cold water of the US code formula. [K]"""

HAIR = 1e-9
"""Share by which a rounding may miss. [-]"""


@dataclass(frozen=True, slots=True)
class Duty:
    """What the vessel has to do; pressures at the vessel. [m3, Pa abs, Pa gauge]"""

    ambient: float
    growth: float
    expansion: float
    gas_abs: float
    final_abs: float
    fill_abs: float | None
    static: float | None


def refuse_temperatures(v: Values, fluid: Fluid, cold: float) -> None:
    if v.method == CODE and not _CODE_COLDEST <= v.hot <= _CODE_HOTTEST:
        raise Refusal(
            say(
                "The US code formula follows the growth of water only between {low} and {high}; "
                "at {hot} it would give the wrong size. Choose the ASHRAE air-cushion method.",
                low=(_CODE_COLDEST, u.TEMPERATURE),
                high=(_CODE_HOTTEST, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field="hot",
            cite=IAPWS_IF97.at("density, against 13 NCAC 13 .0412(d)"),
        )
    if cold >= v.hot:
        raise Refusal(
            say(
                "The cold water, {cold}, is not below the hottest, {hot}, so nothing expands. "
                "Enter the temperature at filling as cold and the highest as hottest.",
                cold=(cold, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field="cold",
            cite=PHYSICS.at("thermal expansion"),
        )
    frozen = freezing_temperature(fluid)
    if cold < frozen:
        raise Refusal(
            say(
                "At {cold} this fluid is frozen; it freezes at {frozen}. "
                "Enter a warmer cold temperature, or more glycol.",
                cold=(cold, u.TEMPERATURE),
                frozen=(frozen, u.TEMPERATURE),
            ),
            field="cold",
            cite=(COOLPROP if fluid.volume_fraction else IAPWS_IF97).at("freezing"),
        )


def duty_of(v: Values, w: Work, cold: float, rho_cold: float, rho_hot: float) -> Duty:
    alpha = 0.0 if v.method == CODE else PIPE_EXPANSION[v.pipe or "none"]
    if v.method == CODE:
        growth = w.step(CODE_GROWTH, T=v.hot)
    else:
        growth = w.step(GROWTH, rho_c=rho_cold, rho_h=rho_hot)
        if alpha:
            growth = w.step(NET_GROWTH, e=growth, alpha=alpha, dt=v.hot - cold)
    if growth <= 0:
        raise Refusal(
            say(
                "Between {cold} and {hot} the system makes as much room as the water needs, "
                "so there is nothing to size. Enter a higher temperature.",
                cold=(cold, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field="hot",
            cite=PHYSICS.at("thermal expansion"),
        )
    if alpha:
        expansion = w.step(NET_EXPANSION, V_s=v.system_volume, e_n=growth)
    else:
        expansion = w.step(EXPANSION, V_s=v.system_volume, e=growth)
    ambient = w.step(AIR_PRESSURE, z_s=v.altitude)
    final = final_of(w, v, rho_cold, rho_hot)
    final_abs = w.step(FINAL_ABS, p_e=final, P_a=ambient)
    if final_abs <= ambient:
        raise Refusal(
            say(
                "With the valve set at {relief}, only {final} is left at the vessel. "
                "Enter a higher set pressure or a smaller margin.",
                relief=(v.relief, u.GAUGE_PRESSURE),
                final=(final, u.GAUGE_PRESSURE),
            ),
            field="relief",
            cite=_DIN,
        )
    gas_abs = ambient
    if v.method in CHARGED:
        if v.charge >= final:
            raise Refusal(
                say(
                    "The highest pressure allowed at the vessel is {final}, not above the charge "
                    "of {charge}, so no vessel is large enough. "
                    "Lower the charge, or use a higher set pressure.",
                    final=(final, u.GAUGE_PRESSURE),
                    charge=(v.charge, u.GAUGE_PRESSURE),
                ),
                field="relief",
                cite=_BOYLE,
            )
        gas_abs = w.step(CHARGE_ABS, p_0=v.charge, P_a=ambient)
    fill_abs = _fill(v, w, final, ambient)
    static = None
    if v.height is not None:
        static = w.step(STATIC, rho_c=rho_cold, g=STANDARD_GRAVITY, h=v.height)
    _refuse_boiling(v, final_abs, static or 0.0)
    return Duty(ambient, growth, expansion, gas_abs, final_abs, fill_abs, static)


def _fill(v: Values, w: Work, final: float, ambient: float) -> float | None:
    if v.fill is None:
        if v.method in PLAIN:
            raise Refusal(
                "A plain air-cushion tank is sized from the cold fill. "
                "Enter the cold fill at the tank.",
                field="fill",
                cite=_ASHRAE_CLOSED,
            )
        return None
    if v.fill >= final:
        raise Refusal(
            say(
                "The cold fill of {fill} is not below the highest pressure allowed at the "
                "vessel, {final}. Lower the fill, or use a higher set pressure.",
                fill=(v.fill, u.GAUGE_PRESSURE),
                final=(final, u.GAUGE_PRESSURE),
            ),
            field="fill",
            cite=_BOYLE,
        )
    return w.step(FILL_ABS, p_f=v.fill, P_a=ambient)


def _refuse_boiling(v: Values, final_abs: float, static: float) -> None:
    boiling = vapour_pressure(v.hot)
    if boiling < final_abs - static:
        return
    where, there = "at the highest point", final_abs - static
    if boiling >= final_abs:
        where, there = "at the vessel", final_abs
    raise Refusal(
        say(
            "Water at {hot} boils below {boiling}, and {where} the highest pressure allowed is "
            "only {there}. Enter a lower temperature, or a higher set pressure.".replace(
                "{where}", where
            ),
            hot=(v.hot, u.TEMPERATURE),
            boiling=(boiling, u.ABSOLUTE_PRESSURE),
            there=(there, u.ABSOLUTE_PRESSURE),
        ),
        field="hot",
        cite=IAPWS_IF97.at("vapour pressure"),
    )

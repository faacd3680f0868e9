"""What the gas cushion does between charge, cold fill and hot."""

from __future__ import annotations

from calc import units as u
from calc.calculators.pre_charge.form import BAR
from calc.equations.charge import FILL_FIXED, WARM_FILL
from calc.equations.shared import (
    EXPANSION,
    FILL_ABS,
    FINAL_ABS,
    GROWTH,
    HIGHEST_FILL,
    HIGHEST_FILL_GAUGE,
    HOT,
    HOT_GAUGE,
    LOWEST_FILL,
    LOWEST_FILL_GAUGE,
    RESERVE,
    SMALL_RESERVE,
    WATER_IN_VESSEL,
)
from calc.expansion import expanded_volume, relative_expansion
from calc.fluids import Fluid
from calc.model import CAUTION, Refusal, Values, Work, say
from calc.sources import EN_12828, PHYSICS
from calc.vessel import SMALL_VESSEL, vessel_volume

_ANNEX_D = EN_12828.at("annex D")
_BOYLE = PHYSICS.at("Boyle's law")

_HAIR = 0.01
"""What a rounding may miss. [Pa]"""

FIXED_LIFT = 0.3 * BAR
"""Step from charge to fill where no reserve is worked out. [Pa]"""


class Cushion:
    """What the gas cushion does, as far as the volumes are known. Gauge pressures at the vessel."""

    __slots__ = (
        "charge_abs",
        "expansion",
        "fill",
        "high",
        "hot",
        "low",
        "needed",
        "reserve",
        "set_gauge",
        "stored",
        "volume",
    )

    def __init__(self, set_gauge: float, charge_abs: float, volume: float | None) -> None:
        self.set_gauge, self.charge_abs, self.volume = set_gauge, charge_abs, volume
        self.fill = set_gauge
        self.expansion = self.high = self.hot = self.low = None
        self.needed = self.reserve = self.stored = None

    @property
    def serves(self) -> bool:
        """Whether some cold fill may serve; nobody may be told to fill where none does."""
        return self.high is None or self.low <= self.high + _HAIR

    @property
    def fill_in_window(self) -> bool:
        """Whether the fill that follows from the charge keeps below the upper edge."""
        return self.high is None or self.fill <= self.high + _HAIR


def cushion_of(
    w: Work,
    v: Values,
    rho: float,
    rho_hot: float | None,
    set_gauge: float,
    set_abs: float,
    final: float,
    ambient: float,
) -> Cushion:
    c = Cushion(set_gauge, set_abs, v.vessel_volume)
    reserve_known = v.reserve != "en" or v.system_volume is not None
    if v.practice == "reserve" and (v.vessel_volume is None or not reserve_known):
        raise Refusal(
            "A fill by the water reserve needs the volume of the vessel and the water in the "
            "system. Enter both, or choose the fill 0.3 bar (4.4 psi) above the charge.",
            field="vessel_volume" if v.vessel_volume is None else "system_volume",
            cite=_ANNEX_D,
        )
    if v.vessel_volume is not None and reserve_known:
        if v.reserve == "none":
            c.reserve = 0.0
        elif v.reserve == "own":
            c.reserve = v.reserve_own
        elif v.vessel_volume <= SMALL_VESSEL * (1 + 1e-9):
            c.reserve = w.step(SMALL_RESERVE, V_N=v.vessel_volume)
        else:
            c.reserve = w.step(RESERVE, V_s=v.system_volume)
        if c.reserve >= v.vessel_volume:
            raise Refusal(
                say(
                    "The water reserve of {reserve} does not fit into a vessel of {volume}. "
                    "Enter a larger vessel or a smaller reserve.",
                    reserve=(c.reserve, u.VOLUME),
                    volume=(v.vessel_volume, u.VOLUME),
                ),
                field="vessel_volume",
                cite=_ANNEX_D,
            )
        if v.practice == "equal":
            c.low = set_gauge
        else:
            low_abs = w.step(LOWEST_FILL, V_N=v.vessel_volume, V_WR=c.reserve, P_0=set_abs)
            c.low = w.step(LOWEST_FILL_GAUGE, P_fmin=low_abs, P_a=ambient)
    if v.vessel_volume is not None and v.system_volume is not None:
        growth = w.step(GROWTH, rho_c=rho, rho_h=rho_hot)
        c.expansion = w.step(EXPANSION, V_s=v.system_volume, e=growth)
        final_abs = w.step(FINAL_ABS, p_e=final, P_a=ambient)
        high_abs = w.step(
            HIGHEST_FILL, V_N=v.vessel_volume, V_ex=c.expansion, P_0=set_abs, P_e=final_abs
        )
        c.high = w.step(HIGHEST_FILL_GAUGE, P_fmax=high_abs, P_a=ambient)
        c.needed = vessel_volume(
            c.expansion, 0.0 if v.practice == "equal" else c.reserve, set_abs, final_abs
        )
    if v.practice == "reserve":
        c.fill = c.low
    elif v.practice == "fixed":
        c.fill = set_gauge + FIXED_LIFT
    if c.serves:
        _fill(w, v, c, ambient)
    w.result("reserve_wanted", c.reserve)
    w.result("stored", c.stored)
    w.result("fill_low", c.low if c.serves else None)
    w.result("fill_high", c.high if c.serves else None)
    return c


def _fill(w: Work, v: Values, c: Cushion, ambient: float) -> None:
    """Show the fill, and what it does to the vessel: only where some fill serves."""
    if v.practice == "fixed":
        c.fill = w.step(FILL_FIXED, p_0=c.set_gauge, s=FIXED_LIFT)
    if v.vessel_volume is None:
        return
    fill_abs = w.step(FILL_ABS, p_f=c.fill, P_a=ambient)
    volume, charge_abs = v.vessel_volume, c.charge_abs
    c.stored = w.step(WATER_IN_VESSEL, V_N=volume, P_0=charge_abs, P_f=fill_abs)
    if c.expansion is not None and c.expansion < volume - c.stored:
        hot_abs = w.step(HOT, V_N=volume, P_0=charge_abs, P_f=fill_abs, V_ex=c.expansion)
        c.hot = w.step(HOT_GAUGE, P_h=hot_abs, P_a=ambient)


def warm_fill(
    w: Work, v: Values, fluid: Fluid, c: Cushion, fill_abs: float, to_gauge: float
) -> float | None:
    if v.filling is None:
        return None
    if v.filling < v.cold:
        raise Refusal(
            say(
                "The water goes in at {filling}, colder than the coldest of {cold}. "
                "Enter the lower of the two as the coldest water.",
                filling=(v.filling, u.TEMPERATURE),
                cold=(v.cold, u.TEMPERATURE),
            ),
            field="filling",
            cite=_BOYLE,
        )
    if v.filling >= v.hot:
        raise Refusal(
            say(
                "The water goes in at {filling}, not below the hottest of {hot}. "
                "Let the system cool before you fill it.",
                filling=(v.filling, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
            ),
            field="filling",
            cite=_BOYLE,
        )
    if not c.serves:
        return None
    if c.hot is None:
        w.check(
            "warm-fill",
            "Filling a warm system",
            CAUTION,
            "How much more the gauge must show while the water is warm cannot be found without the "
            "volumes, or with a vessel this small. Fill the system cold.",
            _BOYLE,
        )
        return None
    growth = expanded_volume(v.system_volume, relative_expansion(fluid, v.cold, v.filling))
    ambient = fill_abs - c.fill
    warm = w.step(WARM_FILL, V_N=v.vessel_volume, P_0=c.charge_abs, P_f=fill_abs, V_w=growth)
    return warm - ambient - to_gauge

"""Equations of condensate: how much there is, what neutralises it, and how long that lasts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from calc import condensate, neutraliser
from calc import units as u
from calc.equations.shared import P_A
from calc.fluids import saturation_temperature, vapour_pressure
from calc.model import Equation, Symbol
from calc.sources import (
    CRAVOTTA_2003,
    DWA_A_251,
    IAPWS_IF97,
    OWN_RULE,
    PHYSICS,
    PLUMMER_BUSENBERG_1982,
    STOICHIOMETRY,
)

_BURNING = STOICHIOMETRY.at("fuel CxHy and dry air")
_MASS = PHYSICS.at("mass balance")
_CARBONATE = PLUMMER_BUSENBERG_1982.at("constants of carbonate and calcite")

X = Symbol("carbon in a mole, or kilogram, of fuel", u.NUMBER)
Y = Symbol("hydrogen in a mole, or kilogram, of fuel", u.NUMBER)
HEAT = Symbol("heat of that fuel, in joules", u.NUMBER)
AIR_RATIO = Symbol("air in parts of the air needed", u.NUMBER)
N_D = Symbol("dry flue gas from that fuel, in moles", u.NUMBER)
N_L = Symbol("vapour it can carry away, in moles", u.NUMBER)
P_S = Symbol("vapour pressure at the flue gas temperature", u.ABSOLUTE_PRESSURE)
YIELD = Symbol("condensate per heat put in", u.WATER_PER_HEAT)
POWER = Symbol("heat input at full load", u.POWER)
V_Y = Symbol("condensate in a year", u.VOLUME)
FLOW = Symbol("condensate at full load", u.FLOW)
H = Symbol("acid in the condensate", u.AMOUNT_CONCENTRATION)
PER_ACID = Symbol("filling for a mole of acid, in grams", u.NUMBER)
P_C = Symbol("carbon dioxide in the flue gas", u.ABSOLUTE_PRESSURE)
T_W = Symbol("condensate in the neutraliser", u.TEMPERATURE)

CEILING = Equation(
    symbol="m_w",
    label="water that burning makes",
    kind=u.WATER_PER_HEAT,
    unit="kg/kWh",
    formula="y/2*0.0180153/q*3.6e6",
    where={"y": Y, "q": HEAT},
    function=condensate.water_of_combustion,
    cite=_BURNING,
)
DRY_GAS = Equation(
    symbol="n_d",
    label="dry flue gas, in moles",
    kind=u.NUMBER,
    formula="x + (x + y/4)*(3.762*L + L - 1)",
    where={"x": X, "y": Y, "L": AIR_RATIO},
    function=condensate.dry_gas,
    cite=_BURNING,
)
SATURATION = Equation(
    symbol="P_s",
    label="vapour pressure at the flue gas temperature",
    kind=u.ABSOLUTE_PRESSURE,
    words="read from the saturation curve of water",
    where={"t_f": Symbol("flue gas leaving the boiler", u.TEMPERATURE)},
    function=vapour_pressure,
    cite=IAPWS_IF97.at("saturation"),
)
VAPOUR_LEFT = Equation(
    symbol="n_l",
    label="vapour the flue gas can carry away, in moles",
    kind=u.NUMBER,
    formula="n_d*P_s/(P_a - P_s)",
    where={"n_d": N_D, "P_s": P_S, "P_a": P_A},
    function=condensate.vapour_left,
    cite=PHYSICS.at("saturated gas"),
)
CONDENSED = Equation(
    symbol="k",
    label="share of the water that condenses",
    kind=u.FRACTION,
    unit="1",
    formula="max(0, 1 - n_l/(y/2))",
    where={"n_l": N_L, "y": Y},
    function=lambda left, hydrogen: condensate.condensed_share(left, hydrogen / 2.0),
    cite=_MASS,
)
YIELD_BY_FLUE = Equation(
    symbol="m_k",
    label="condensate per heat put in",
    kind=u.WATER_PER_HEAT,
    formula="m_w*k",
    where={
        "m_w": Symbol("water that burning makes", u.WATER_PER_HEAT),
        "k": Symbol("share that condenses", u.FRACTION, unit="1"),
    },
    function=lambda ceiling, share: ceiling * share,
    cite=_MASS,
)
PLANNED = Equation(
    symbol="m_k",
    label="condensate per heat put in",
    kind=u.WATER_PER_HEAT,
    formula="m_p*q_l/q",
    where={
        "m_p": Symbol("figure to plan with, on the lower heating value", u.WATER_PER_HEAT),
        "q_l": Symbol("lower heat of the fuel, in joules", u.NUMBER),
        "q": HEAT,
    },
    function=lambda planned, lower, heat: planned * lower / heat,
    cite=DWA_A_251.at("0.14 kg/kWh for gas, 0.08 for oil", "from memory"),
)
PLANNED_PROPANE = replace(
    PLANNED,
    cite=OWN_RULE.at("0.14 kg/kWh of natural gas, less as propane makes less water"),
)
MEASURED = Equation(
    symbol="m_k",
    label="condensate per heat put in",
    kind=u.WATER_PER_HEAT,
    formula="1000*Q/P",
    where={"Q": FLOW, "P": POWER},
    function=lambda flow, power: condensate.LITRE_MASS * flow / power,
    cite=_MASS,
)
DEW_PRESSURE = Equation(
    symbol="P_d",
    label="vapour pressure before any condenses",
    kind=u.ABSOLUTE_PRESSURE,
    formula="P_a*(y/2)/(y/2 + n_d)",
    where={"n_d": N_D, "y": Y, "P_a": P_A},
    function=lambda dry, hydrogen, air: condensate.dew_pressure(dry, hydrogen / 2.0, air),
    cite=PHYSICS.at("partial pressures"),
)
DEW_POINT = Equation(
    symbol="t_d",
    label="dew point of the flue gas",
    kind=u.TEMPERATURE,
    words="read from the saturation curve of water",
    where={"P_d": Symbol("vapour pressure before any condenses", u.ABSOLUTE_PRESSURE)},
    function=saturation_temperature,
    cite=IAPWS_IF97.at("saturation"),
)
YEARLY = Equation(
    symbol="V_y",
    label="condensate in a year",
    kind=u.VOLUME,
    formula="m_k*P*t/1000",
    where={
        "m_k": YIELD,
        "P": POWER,
        "t": Symbol("full-load time in a year", u.TIME),
    },
    function=condensate.yearly_condensate,
    cite=_MASS,
)
AT_FULL_LOAD = Equation(
    symbol="Q",
    label="condensate at full load",
    kind=u.FLOW,
    formula="m_k*P/1000",
    where={"m_k": YIELD, "P": POWER},
    function=condensate.condensate_flow,
    cite=_MASS,
)
ACID = Equation(
    symbol="H",
    label="acid in the condensate",
    kind=u.AMOUNT_CONCENTRATION,
    formula="1000*10**(-pH)",
    where={"pH": Symbol("pH of the condensate", u.ACIDITY)},
    function=neutraliser.acid_of_ph,
    cite=PHYSICS.at("meaning of pH"),
)
LEAST_USE = Equation(
    symbol="c_1",
    label="least use of the filling: the acid alone",
    kind=u.CONCENTRATION,
    formula="H*M/1000",
    where={"H": H, "M": PER_ACID},
    function=lambda acid, grams: neutraliser.least_use(acid, grams / 1000.0),
    cite=STOICHIOMETRY.at("CaCO₃ + 2 H⁺, and alike"),
)
CARBON_DIOXIDE = Equation(
    symbol="P_C",
    label="carbon dioxide in the flue gas",
    kind=u.ABSOLUTE_PRESSURE,
    formula="(P_a - P_s)*x/n_d",
    where={"x": X, "n_d": N_D, "P_s": P_S, "P_a": P_A},
    function=condensate.carbon_dioxide_pressure,
    cite=PHYSICS.at("partial pressures"),
)
CARBONIC_PH = Equation(
    symbol="pH_C",
    label="pH that carbon dioxide alone would give",
    kind=u.ACIDITY,
    words="half the logarithm of solubility, pressure and first constant of carbonic acid",
    where={"P_C": P_C, "t_w": T_W},
    function=neutraliser.ph_of_carbonic_acid,
    cite=_CARBONATE,
)


def _equilibria(stone: str) -> dict[str, Equation]:
    """Return the numerical solutions for a carbonate stone."""
    dolomite = stone == neutraliser.DOLOMITE
    where = {"H": H, "P_C": P_C, "t_w": T_W}

    def solved(symbol: str, label: str, kind: u.Kind, held: bool, ph: bool) -> Equation:
        def function(acid: float, gas: float, temperature: float) -> float:
            law = neutraliser.equilibrium_held if held else neutraliser.equilibrium_closed
            found = law(acid, gas, temperature, dolomite=dolomite)
            return found.ph if ph else found.dissolved

        rest = "the flue gas above it" if held else "the flue gas left behind"
        return Equation(
            symbol=symbol,
            label=label,
            kind=kind,
            words=f"solved from the balance of charge with {stone} dissolving, {rest}",
            where=where,
            function=function,
            cite=_CARBONATE,
        )

    amount = u.AMOUNT_CONCENTRATION
    return {
        "closed": solved("D_2", "dissolved from the stone, gas left behind", amount, False, False),
        "held": solved("D_3", "dissolved from the stone, gas above it", amount, True, False),
        "ph": solved("pH_2", "pH at that equilibrium", u.ACIDITY, False, True),
    }


EQUILIBRIA: Mapping[str, Mapping[str, Equation]] = {
    stone: _equilibria(stone) for stone in (neutraliser.LIMESTONE, neutraliser.DOLOMITE)
}
"""By stone, then: closed, held, ph."""


def _use(number: str, label: str) -> Equation:
    return Equation(
        symbol=f"c_{number}",
        label=label,
        kind=u.CONCENTRATION,
        formula=f"2*M*D_{number}/1000",
        where={
            f"D_{number}": Symbol("dissolved from the stone", u.AMOUNT_CONCENTRATION),
            "M": PER_ACID,
        },
        function=lambda dissolved, grams: neutraliser.use_of_dissolved(dissolved, grams / 1000.0),
        cite=STOICHIOMETRY.at("two moles of acid to one of calcium"),
    )


USE_CLOSED = _use("2", "likely use of the filling: gas left behind")
USE_HELD = _use("3", "use of the filling with gas always above it")
USE_MOST = Equation(
    symbol="c_4",
    label="most use of the filling",
    kind=u.CONCENTRATION,
    formula="max(c_2, c_3)",
    where={
        "c_2": Symbol("use with the gas left behind", u.CONCENTRATION),
        "c_3": Symbol("use with gas always above it", u.CONCENTRATION),
    },
    function=max,
    cite=PHYSICS.at("the acid's own carbon dioxide can outdo the flue gas"),
)
DISSOLVED_GAS = Equation(
    symbol="C",
    label="carbon dioxide dissolved in the condensate",
    kind=u.AMOUNT_CONCENTRATION,
    words="solubility of carbon dioxide at that temperature times its pressure",
    where={"P_C": P_C, "t_w": T_W},
    function=neutraliser.dissolved_gas,
    cite=_CARBONATE,
)
USE_WITH_GAS = Equation(
    symbol="c_4",
    label="most use of the filling: acid and dissolved gas",
    kind=u.CONCENTRATION,
    formula="(H + C)*M/1000",
    where={
        "H": H,
        "C": Symbol("carbon dioxide dissolved", u.AMOUNT_CONCENTRATION),
        "M": PER_ACID,
    },
    function=lambda acid, gas, grams: neutraliser.use_with_dissolved_gas(acid, gas, grams / 1000.0),
    cite=STOICHIOMETRY.at("MgO with acid and with CO₂ to bicarbonate"),
)


def lasting(number: str, label: str) -> Equation:
    """Return the equation of how long a filling lasts at use `number`."""
    return Equation(
        symbol=f"t_{number}",
        label=label,
        kind=u.TIME,
        unit="y",
        formula=f"m*k_p*k_u/(V_y*c_{number})",
        where={
            "m": Symbol("filling", u.MASS),
            "k_p": Symbol("share of it that neutralises", u.FRACTION, unit="1"),
            "k_u": Symbol("share of that which is used", u.FRACTION, unit="1"),
            "V_y": V_Y,
            f"c_{number}": Symbol("use of the filling", u.CONCENTRATION),
        },
        function=neutraliser.lasting_time,
        cite=_MASS,
    )


LONGEST = lasting("1", "longest the filling may last")
LIKELY = lasting("2", "likely time the filling lasts")
SHORTEST = lasting("4", "shortest the filling may last")
VOID = Equation(
    symbol="V_b",
    label="room for water between the stones",
    kind=u.VOLUME,
    formula="f*m/(rho_s*(1 - f))",
    where={
        "m": Symbol("filling", u.MASS),
        "f": Symbol("share of the bed that is not stone", u.FRACTION, unit="1"),
        "rho_s": Symbol("density of the stone itself", u.DENSITY),
    },
    function=neutraliser.void_volume,
    cite=CRAVOTTA_2003.at("detention time"),
)
CONTACT = Equation(
    symbol="t_c",
    label="time of contact at full load",
    kind=u.TIME,
    formula="V_b/Q",
    where={"V_b": Symbol("room for water between the stones", u.VOLUME), "Q": FLOW},
    function=neutraliser.contact_time,
    cite=CRAVOTTA_2003.at("detention time"),
)
MIXING = Equation(
    symbol="V_m",
    label="waste water that dilutes it enough",
    kind=u.VOLUME,
    formula="25*V_y",
    where={"V_y": V_Y},
    function=lambda yearly: 25.0 * yearly,
    cite=DWA_A_251.at("25 to 200 kW"),
)

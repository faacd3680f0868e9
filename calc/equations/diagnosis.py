"""Equations of the diagnosis: the gas cushion from two readings, and what would explain it."""

from __future__ import annotations

from calc import charge, diagnosis
from calc import units as u
from calc.equations.shared import P_0, P_F, RHO_H, V_EX, V_N, V_S, Z_G, G, gauge
from calc.hydrostatics import static_pressure
from calc.model import Equation, Symbol
from calc.sources import PHYSICS

_BOYLE = PHYSICS.at("Boyle's law")
_GAS = PHYSICS.at("Boyle's and Gay-Lussac's laws")
_STILL = PHYSICS.at("column of still liquid")
_ERRORS = PHYSICS.at("propagation of independent errors")

_P_H = Symbol("hot pressure at the vessel", u.ABSOLUTE_PRESSURE)
_R = Symbol("warming of the gas", u.NUMBER)
_K = Symbol("content of the cushion", u.PRESSURE_VOLUME)
_S = Symbol("plus/minus of the content", u.FRACTION, unit="1")

HOT_READ = Equation(
    symbol="p_h",
    label="hot pressure at the vessel",
    kind=u.GAUGE_PRESSURE,
    formula="p_Gh + rho_h*g*z_G",
    where={
        "p_Gh": Symbol("hot reading on the gauge", u.GAUGE_PRESSURE),
        "rho_h": RHO_H,
        "g": G,
        "z_G": Z_G,
    },
    function=lambda p, rho, _, z: charge.pressure_below(p, static_pressure(rho, z)),
    cite=_STILL,
)
WARMING = Equation(
    symbol="r",
    label="warming of the gas",
    kind=u.NUMBER,
    formula="T_gh/T_gc",
    where={
        "T_gh": Symbol("shell at the hot reading", u.TEMPERATURE, unit="K"),
        "T_gc": Symbol("shell at the cold reading", u.TEMPERATURE, unit="K"),
    },
    function=lambda hot, cold: diagnosis.gas_warming(cold, hot),
    cite=PHYSICS.at("Gay-Lussac's law"),
)
GAS_SPACE = Equation(
    symbol="V_g",
    label="gas space when cold that explains the rise",
    kind=u.VOLUME,
    formula="V_ex*P_h/(P_h - r*P_f)",
    where={"V_ex": V_EX, "P_f": P_F, "P_h": _P_H, "r": _R},
    function=diagnosis.gas_space,
    cite=_GAS,
)
CONTENT = Equation(
    symbol="K",
    label="content of the cushion, from the readings",
    kind=u.PRESSURE_VOLUME,
    formula="P_f*V_g",
    where={"P_f": P_F, "V_g": Symbol("gas space when cold", u.VOLUME)},
    function=diagnosis.content_of,
    cite=_BOYLE,
)
PLATE_CONTENT = Equation(
    symbol="K_N",
    label="content of the cushion, as it should be",
    kind=u.PRESSURE_VOLUME,
    formula="P_0*V_N",
    where={"P_0": P_0, "V_N": V_N},
    function=diagnosis.content_of,
    cite=_BOYLE,
)
CUSHION_SHARE = Equation(
    symbol="k",
    label="cushion found, as a share of what it should be",
    kind=u.FRACTION,
    formula="K/K_N",
    where={"K": _K, "K_N": Symbol("content as it should be", u.PRESSURE_VOLUME)},
    function=lambda found, plate: found / plate,
    cite=_BOYLE,
)
EXPLAINING_CHARGE = Equation(
    symbol="P_0e",
    label="charge that would explain the rise, absolute",
    kind=u.ABSOLUTE_PRESSURE,
    formula="K/V_N",
    where={"K": _K, "V_N": V_N},
    function=diagnosis.explaining_charge,
    cite=_BOYLE,
)
EXPLAINING_CHARGE_GAUGE = gauge("P_0e", "charge that would explain the rise")
EXPLAINING_VOLUME = Equation(
    symbol="V_e",
    label="volume of a vessel that would explain the rise",
    kind=u.VOLUME,
    formula="K/P_0",
    where={"K": _K, "P_0": P_0},
    function=diagnosis.explaining_volume,
    cite=_BOYLE,
)
CHARGE_IF_EMPTY = Equation(
    symbol="P_0x",
    label="charge that would explain the hot reading, had the cold vessel been empty, absolute",
    kind=u.ABSOLUTE_PRESSURE,
    formula="P_h*(V_N - V_ex)/(r*V_N)",
    where={"V_N": V_N, "V_ex": V_EX, "P_h": _P_H, "r": _R},
    function=diagnosis.charge_if_empty,
    cite=_GAS,
)
CHARGE_IF_EMPTY_GAUGE = gauge("P_0x", "charge that would explain the hot reading, vessel empty")
EXPECTED = Equation(
    symbol="P_x",
    label="hot pressure to expect at the vessel, absolute",
    kind=u.ABSOLUTE_PRESSURE,
    formula="r*P_0*V_N/(V_N*min(P_0/P_f, 1) - V_ex)",
    where={"V_N": V_N, "P_0": P_0, "P_f": P_F, "V_ex": V_EX, "r": _R},
    function=diagnosis.expected_hot,
    cite=_GAS,
)
EXPECTED_GAUGE = gauge("P_x", "hot pressure to expect at the vessel")
SHARE_OF_READINGS = Equation(
    symbol="s_p",
    label="plus/minus for the pressure readings",
    kind=u.FRACTION,
    unit="1",
    formula="sqrt((P_h*d_pc/P_f)**2 + (r*P_f*d_ph/P_h)**2)/(P_h - r*P_f)",
    where={
        "P_f": P_F,
        "P_h": _P_H,
        "d_pc": Symbol("plus/minus of the cold reading", u.PRESSURE_DIFFERENCE),
        "d_ph": Symbol("plus/minus of the hot reading", u.PRESSURE_DIFFERENCE),
        "r": _R,
    },
    function=diagnosis.share_of_readings,
    cite=_ERRORS,
)
SHARE_OF_TEMPERATURES = Equation(
    symbol="s_t",
    label="plus/minus for the temperatures",
    kind=u.FRACTION,
    unit="1",
    formula="1 - e_min/e_n",
    where={
        "e_min": Symbol("growth with both temperatures moved inward", u.FRACTION, unit="1"),
        "e_n": Symbol("growth as read", u.FRACTION, unit="1"),
    },
    function=diagnosis.share_of_temperatures,
    cite=_ERRORS,
)
SHARE_OF_VOLUME = Equation(
    symbol="s_V",
    label="plus/minus for the water in the system",
    kind=u.FRACTION,
    unit="1",
    formula="d_V/V_s",
    where={"d_V": Symbol("plus/minus of the water in the system", u.VOLUME), "V_s": V_S},
    function=diagnosis.share_of_volume,
    cite=_ERRORS,
)
SHARE_OF_ALL = Equation(
    symbol="s",
    label="plus/minus of the content altogether",
    kind=u.FRACTION,
    unit="1",
    formula="sqrt(s_p**2 + s_t**2 + s_V**2)",
    where={
        "s_p": Symbol("for the pressures", u.FRACTION, unit="1"),
        "s_t": Symbol("for the temperatures", u.FRACTION, unit="1"),
        "s_V": Symbol("for the volume", u.FRACTION, unit="1"),
    },
    function=diagnosis.share_of_all,
    cite=_ERRORS,
)
LEAST_CONTENT = Equation(
    symbol="K_min",
    label="least content the readings allow",
    kind=u.PRESSURE_VOLUME,
    formula="K/(1 + s)",
    where={"K": _K, "s": _S},
    function=diagnosis.least_content,
    cite=_ERRORS,
)
GREATEST_CONTENT = Equation(
    symbol="K_max",
    label="greatest content the readings allow",
    kind=u.PRESSURE_VOLUME,
    formula="K/(1 - s)",
    where={"K": _K, "s": _S},
    function=diagnosis.greatest_content,
    cite=_ERRORS,
)

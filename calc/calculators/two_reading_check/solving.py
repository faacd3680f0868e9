"""From two readings to the cushion, from the cushion to the causes that fit."""

from __future__ import annotations

from dataclasses import dataclass, field
from math import hypot

from calc import units as u
from calc.calculators.common import density_of, fluid_of, gap_of
from calc.calculators.two_reading_check import causes
from calc.calculators.two_reading_check.bands import Bands, bands_of, check_bands
from calc.calculators.two_reading_check.form import OUTPUTS
from calc.equations.diagnosis import (
    CHARGE_IF_EMPTY,
    CHARGE_IF_EMPTY_GAUGE,
    CONTENT,
    CUSHION_SHARE,
    EXPECTED,
    EXPECTED_GAUGE,
    EXPLAINING_CHARGE,
    EXPLAINING_CHARGE_GAUGE,
    EXPLAINING_VOLUME,
    GAS_SPACE,
    GREATEST_CONTENT,
    HOT_READ,
    LEAST_CONTENT,
    PLATE_CONTENT,
    SHARE_OF_ALL,
    SHARE_OF_READINGS,
    SHARE_OF_TEMPERATURES,
    SHARE_OF_VOLUME,
    WARMING,
)
from calc.equations.shared import (
    AIR_PRESSURE,
    CHARGE_ABS,
    COLD_DENSITY,
    FILL_ABS,
    FILL_AT_VESSEL,
    FINAL,
    GROWTH,
    HOT_ABS,
    HOT_DENSITY,
    HOT_ON_GAUGE,
    NET_EXPANSION,
    NET_GROWTH,
    VALVE_LIMIT,
    absolute,
)
from calc.expansion import PIPE_EXPANSION, net_expansion, relative_expansion
from calc.fluids import Fluid, density
from calc.hydrostatics import STANDARD_GRAVITY, static_pressure
from calc.model import (
    CAUTION,
    FAIL,
    PASS,
    Axis,
    Level,
    LineChart,
    Mark,
    Refusal,
    Series,
    Solution,
    Values,
    Work,
    say,
    work_on,
)
from calc.sources import COMMON_PRACTICE, IAPWS_IF97, OWN_RULE, PHYSICS, Citation
from calc.vessel import hot_pressure

_BOYLE = PHYSICS.at("Boyle's law")
_STILL = PHYSICS.at("column of still liquid")
_FOUND_ABS = absolute("p_0", "charge found")

_BY_CUSHION = (*causes.VESSEL_CAUSES, "other_gas")

WIDE = 0.25
"""Plus/minus above which the readings are too close together to lean on. [-]"""

NEAR = 0.1
"""Share of the set pressure within which a hot pressure counts as close to its limit. [-]"""


@dataclass(slots=True)
class _Site:
    """What holds for all that follows."""

    bands: Bands
    fluid: Fluid
    alpha: float
    ambient: float
    warming: float
    rho_cold: float
    rho_hot: float
    fill_abs: float
    charge_abs: float
    hot_abs: float
    growth: float
    expansion: float


@dataclass(slots=True)
class _Cushion:
    """The cushion as read, and its bounds. None where the readings give none."""

    kind: str
    content: float | None = None
    least: float | None = None
    most: float | None = None
    share: float | None = None
    parts: dict[str, float] = field(default_factory=dict)
    plate: float = 0.0
    gas_space: float | None = None


def solve(v: Values) -> Solution:
    """Return the cushion as an interval, what would explain it, and the causes that fit."""
    w = work_on(v)
    for output in OUTPUTS:
        w.result(output.name, None)
    s = _readings(w, v)
    w.result("growth", s.expansion)
    expected_abs = _expected(w, v, s, s.expansion, s.rho_hot, "hot_expected")
    cushion = _cushion(w, v, s, expected_abs)
    empty_abs = _explained(w, v, s, cushion)
    limit, limit_abs, limit_cite = _limit(w, v, s)
    top_abs, top_rho = _at_setting(w, v, s, expected_abs)
    enough = top_abs is not None and top_abs <= limit_abs
    found = _causes(w, v, s, cushion, limit, enough, empty_abs)
    _check_cushion(w, v, s, cushion)
    _check_spread(w, cushion)
    check_bands(w, s.bands)
    _check_expected(w, v, s, cushion, expected_abs)
    _check_limit(w, v, s, limit, limit_cite)
    _check_plate(w, v, s, top_abs, limit_abs, top_rho)
    _check_charge(w, v, s)
    _check_gauge(w, v)
    w.draw(_chart, v, s, cushion)
    fitting, possible = causes.left_over(found)
    w.result("fitting", fitting)
    w.result("possible", possible)
    test = causes.telling_test(found, v.found_charge is not None)
    w.result("next_test", test.name)
    _check_causes(w, found, test)
    return w.solution()


def _check_causes(w: Work, found: dict[str, causes.Verdict], test: causes.Test) -> None:
    """Give every cause its line, and before them the test that parts what is left."""
    open_still = any(verdict.fit != causes.NOT for verdict in found.values())
    w.check(
        "next-test",
        "The test that tells them apart",
        CAUTION if open_still else PASS,
        test.words,
        COMMON_PRACTICE.at("order of the tests"),
    )
    status = {causes.FITS: FAIL, causes.POSSIBLE: CAUTION, causes.NOT: PASS}
    for name, verdict in found.items():
        w.check(
            name.replace("_", "-"),
            causes.CAUSES[name][0],
            status[verdict.fit],
            verdict.text(),
            _BOYLE if name in _BY_CUSHION else COMMON_PRACTICE.at("signs of a fault"),
            own_words=True,
        )


def _readings(w: Work, v: Values) -> _Site:
    """Bring both readings to the vessel, and find what went into it between them."""
    if v.hot <= v.cold:
        raise Refusal(
            say(
                "The hot reading was taken at {hot}, not above the cold one at {cold}. Enter two "
                "readings as far apart in temperature as you can get them.",
                hot=(v.hot, u.TEMPERATURE),
                cold=(v.cold, u.TEMPERATURE),
            ),
            field="hot",
            cite=PHYSICS.at("thermal expansion"),
        )
    fluid = fluid_of(v)
    warming = _warming(w, v)
    ambient = w.step(AIR_PRESSURE, z_s=v.altitude)
    rho_cold = density_of(w, COLD_DENSITY, fluid, "cold", t_c=v.cold)
    rho_hot = density_of(w, HOT_DENSITY, fluid, "hot", t_h=v.hot)
    gravity = {"g": STANDARD_GRAVITY, "z_G": v.gauge_height}
    fill = w.step(FILL_AT_VESSEL, p_G=v.cold_fill, rho_c=rho_cold, **gravity)
    hot = w.step(HOT_READ, p_Gh=v.hot_reading, rho_h=rho_hot, **gravity)
    fill_abs = w.step(FILL_ABS, p_f=fill, P_a=ambient)
    hot_abs = w.step(HOT_ABS, p_h=hot, P_a=ambient)
    if min(fill_abs, hot_abs) <= 0.0:
        raise Refusal(
            "The pressure at the vessel would be below a vacuum. "
            "Check the gauge's reading and its height below the vessel.",
            field="gauge_height",
            cite=_STILL,
        )
    charge_abs = w.step(CHARGE_ABS, p_0=v.charge, P_a=ambient)
    alpha = PIPE_EXPANSION[v.pipe]
    growth, expansion = _growth(w, v, rho_cold, rho_hot, alpha, v.hot, "hot")
    return _Site(
        bands_of(v), fluid, alpha, ambient, warming, rho_cold, rho_hot,
        fill_abs, charge_abs, hot_abs, growth, expansion,
    )  # fmt: skip


def _warming(w: Work, v: Values) -> float:
    if v.shell_cold is None and v.shell_hot is None:
        return 1.0
    if v.shell_cold is None or v.shell_hot is None:
        missing = "cold" if v.shell_cold is None else "hot"
        raise Refusal(
            f"The shell's temperature at the {missing} reading is missing. "
            "Enter both shell temperatures, or leave both blank.",
            field=f"shell_{missing}",
            cite=PHYSICS.at("Gay-Lussac's law"),
        )
    if v.shell_hot < v.shell_cold:
        raise Refusal(
            "The shell was cooler at the hot reading than at the cold one. "
            "Check which temperature is which, or leave both blank.",
            field="shell_hot",
            cite=OWN_RULE.at("a vessel does not cool as its system warms"),
        )
    return w.step(WARMING, T_gh=v.shell_hot, T_gc=v.shell_cold)


def _growth(
    w: Work, v: Values, rho_cold: float, rho_hot: float, alpha: float, hot: float, field: str
) -> tuple[float, float]:
    """Return the growth less that of the pipes, and the water it pushes into the vessel."""
    growth = w.step(GROWTH, rho_c=rho_cold, rho_h=rho_hot)
    growth = w.step(NET_GROWTH, e=growth, alpha=alpha, dt=hot - v.cold)
    if growth <= 0.0:
        raise Refusal(
            say(
                "Between {cold} and {hot} the water pushes nothing into the vessel. "
                "Take the readings further apart in temperature.",
                cold=(v.cold, u.TEMPERATURE),
                hot=(hot, u.TEMPERATURE),
            ),
            field=field,
            cite=IAPWS_IF97.at("density of water"),
        )
    return growth, w.step(NET_EXPANSION, V_s=v.system_volume, e_n=growth)


def _expected(
    w: Work, v: Values, s: _Site, expansion: float, rho_hot: float, output: str
) -> float | None:
    """Return the hot pressure to expect of the vessel as it should be; None if it cannot take it.

    [Pa abs]
    """
    if expansion >= v.vessel_volume * min(s.charge_abs / s.fill_abs, 1.0) * (1.0 - 1e-6):
        return None
    expected = w.step(
        EXPECTED,
        V_N=v.vessel_volume, P_0=s.charge_abs, P_f=s.fill_abs, V_ex=expansion, r=s.warming,
    )  # fmt: skip
    at_vessel = w.step(EXPECTED_GAUGE, P_x=expected, P_a=s.ambient)
    on_gauge = w.step(
        HOT_ON_GAUGE, p_x=at_vessel, rho_h=rho_hot, g=STANDARD_GRAVITY, z_G=v.gauge_height
    )
    w.result(output, on_gauge)
    return expected


def _cushion(w: Work, v: Values, s: _Site, expected_abs: float | None) -> _Cushion:
    """Return what the readings say of the cushion, with its bounds."""
    plate = _plate(w, v, s, expected_abs)
    if s.hot_abs <= s.warming * s.fill_abs * (1.0 + 1e-9):
        return _Cushion(causes.FLAT, plate=plate)
    space = w.step(GAS_SPACE, V_ex=s.expansion, P_f=s.fill_abs, P_h=s.hot_abs, r=s.warming)
    content = w.step(CONTENT, P_f=s.fill_abs, V_g=space)
    parts = {
        "s_p": w.step(
            SHARE_OF_READINGS,
            P_f=s.fill_abs,
            P_h=s.hot_abs,
            d_pc=s.bands.cold_fill,
            d_ph=s.bands.hot_reading,
            r=s.warming,
        ),
        "s_t": w.step(SHARE_OF_TEMPERATURES, e_min=_least_growth(v, s), e_n=s.growth),
        "s_V": w.step(SHARE_OF_VOLUME, d_V=s.bands.system_volume, V_s=v.system_volume),
    }
    share = w.step(SHARE_OF_ALL, **parts)
    least = w.step(LEAST_CONTENT, K=content, s=share)
    most = w.step(GREATEST_CONTENT, K=content, s=share) if share < 0.999 else None
    if most is None:
        kind = causes.UNCLEAR if least <= plate else causes.MORE
    elif most < plate:
        kind = causes.SHORT
    elif least > plate:
        kind = causes.MORE
    else:
        kind = causes.AS_IT_SHOULD if share <= WIDE else causes.UNCLEAR
    w.result("gas_space", space)
    w.result("content", content)
    w.result("content_least", least)
    w.result("content_most", most)
    w.result("share", w.step(CUSHION_SHARE, K=content, K_N=plate))
    w.result("share_least", least / plate)
    w.result("share_most", None if most is None else most / plate)
    return _Cushion(kind, content, least, most, share, parts, plate, space)


def _plate(w: Work, v: Values, s: _Site, expected_abs: float | None) -> float:
    """Return the content that two readings would show if all were as it should be. [J]

    With a charge above the fill the cold vessel is empty, and the readings show less.
    """
    if s.charge_abs <= s.fill_abs or expected_abs is None:
        return w.step(PLATE_CONTENT, P_0=s.charge_abs, V_N=v.vessel_volume)
    space = w.step(GAS_SPACE, V_ex=s.expansion, P_f=s.fill_abs, P_h=expected_abs, r=s.warming)
    return w.step(CONTENT, P_f=s.fill_abs, V_g=space)


def _least_growth(v: Values, s: _Site) -> float:
    """Return the growth with both temperatures moved inward by their plus/minus. [-]"""
    cold, hot = v.cold + s.bands.cold, v.hot - s.bands.hot
    if hot <= cold:
        return 0.0
    return max(0.0, net_expansion(relative_expansion(s.fluid, cold, hot), s.alpha, hot - cold))


def _explained(w: Work, v: Values, s: _Site, c: _Cushion) -> float | None:
    """Give the charge or the volume that would explain the cushion.

    Return the charge that would explain it with the cold vessel empty, where one would. [Pa abs]
    """
    if c.content is None:
        return None
    if s.charge_abs <= s.fill_abs:
        w.result("volume_explaining", w.step(EXPLAINING_VOLUME, K=c.content, P_0=s.charge_abs))
        w.result("volume_least", c.least / s.charge_abs)
        w.result("volume_most", None if c.most is None else c.most / s.charge_abs)
    volume, ambient = v.vessel_volume, s.ambient
    if c.least / volume <= s.fill_abs:
        w.result("charge_least", c.least / volume - ambient)
        most = s.fill_abs if c.most is None else min(c.most / volume, s.fill_abs)
        w.result("charge_most", most - ambient)
    if c.gas_space > volume:
        return None
    charge = w.step(EXPLAINING_CHARGE, K=c.content, V_N=volume)
    w.result("charge_explaining", w.step(EXPLAINING_CHARGE_GAUGE, P_0e=charge, P_a=ambient))
    if s.expansion >= volume:
        return None
    empty = w.step(CHARGE_IF_EMPTY, V_N=volume, V_ex=s.expansion, P_h=s.hot_abs, r=s.warming)
    w.result("charge_if_empty", w.step(CHARGE_IF_EMPTY_GAUGE, P_0x=empty, P_a=ambient))
    return empty


def _limit(w: Work, v: Values, s: _Site) -> tuple[float, float, Citation]:
    """Return the highest pressure at valve [Pa] and vessel [Pa abs], and whose margin it is."""
    gap, cite = gap_of(w, v)
    at_valve = w.step(VALVE_LIMIT, p_sv=v.relief, d=gap)
    at_vessel = w.step(
        FINAL, p_lim=at_valve, rho=s.rho_hot, g=STANDARD_GRAVITY, z_sv=v.valve_height
    )
    return at_valve, at_vessel + s.ambient, cite


def _at_setting(
    w: Work, v: Values, s: _Site, expected_abs: float | None
) -> tuple[float | None, float]:
    """Return the hot pressure to expect at the control's setting, and the density there."""
    if v.setting is None or v.setting <= v.hot:
        return expected_abs, s.rho_hot
    rho = density_of(w, HOT_DENSITY, s.fluid, "setting", t_h=v.setting)
    _, expansion = _growth(w, v, s.rho_cold, rho, s.alpha, v.setting, "setting")
    return _expected(w, v, s, expansion, rho, "hot_at_setting"), rho


def _hot_at_valve(v: Values, s: _Site) -> float:
    return s.hot_abs - s.ambient - static_pressure(s.rho_hot, v.valve_height)


def _causes(
    w: Work,
    v: Values,
    s: _Site,
    c: _Cushion,
    valve_limit: float,
    enough: bool,
    empty_abs: float | None,
) -> dict[str, causes.Verdict]:
    hot_at_valve = _hot_at_valve(v, s)
    charge, explains = _charge_found(w, v, s, c)
    found_or_meant = s.charge_abs if v.found_charge is None else v.found_charge + s.ambient
    overheated = None
    if v.setting is not None:
        overheated = v.hot - s.bands.hot > v.setting
    findings = causes.Findings(
        cushion=c.kind,
        least_share=0.0 if c.least is None else c.least / c.plate,
        above_limit=hot_at_valve > valve_limit,
        near_limit=hot_at_valve > valve_limit - NEAR * v.relief,
        plate_is_enough=enough,
        charge=charge,
        charge_explains=explains,
        above_fill=found_or_meant > s.fill_abs + _charge_beside_fill_band(v, s),
        may_be_empty=empty_abs is not None and empty_abs > s.fill_abs,
        beyond_vessel=c.least is not None and c.least / v.vessel_volume > s.fill_abs,
        overheated=overheated,
        creeps_open=v.creeps_open,
        creeps_shut=v.creeps_shut,
        falls=v.falls,
        drips=v.drips,
        second_gauge=v.second_gauge,
        pump=v.pump_start,
        gas_valve_water=v.gas_valve_water,
        follows=v.follows,
        shell=v.shell,
        collapses=v.collapses,
    )
    return causes.verdicts(findings)


def _charge_found(w: Work, v: Values, s: _Site, c: _Cushion) -> tuple[str | None, bool]:
    """Return how the charge found compares, and whether it explains the rise."""
    if v.found_charge is None:
        return None, False
    found_abs = w.step(_FOUND_ABS, p_0=v.found_charge, P_a=s.ambient)
    if found_abs <= 0.0:
        raise Refusal(
            say(
                "A charge of {found} would be below a vacuum at this altitude. Check the gauge and "
                "the sign.",
                found=(v.found_charge, u.GAUGE_PRESSURE),
            ),
            field="found_charge",
            cite=PHYSICS.at("gauge and absolute pressure"),
        )
    content = w.step(PLATE_CONTENT, P_0=found_abs, V_N=v.vessel_volume)
    band = s.bands.found_charge
    slack = band * v.vessel_volume
    inside = (
        c.least is not None
        and c.least <= content + slack
        and (c.most is None or content - slack <= c.most)
    )
    if v.found_charge < v.charge - band:
        return causes.LOW, inside
    if v.found_charge > v.charge + band:
        return causes.HIGH, inside
    return causes.RIGHT, inside


def _charge_beside_fill_band(v: Values, s: _Site) -> float:
    """Return how far apart charge and fill may read and still be the same. [Pa]"""
    found = 0.0 if v.found_charge is None else s.bands.found_charge
    return hypot(s.bands.cold_fill, found)


def _check_cushion(w: Work, v: Values, s: _Site, c: _Cushion) -> None:
    label = "Cushion against what it should be"
    if c.kind == causes.FLAT:
        w.check(
            "cushion",
            label,
            FAIL,
            say(
                "From {cold} to {hot} the gauge went from {p1} to {p2}: no rise at the vessel. "
                "Compare a second gauge, look for water lost, and read both again.",
                cold=(v.cold, u.TEMPERATURE),
                hot=(v.hot, u.TEMPERATURE),
                p1=(v.cold_fill, u.GAUGE_PRESSURE),
                p2=(v.hot_reading, u.GAUGE_PRESSURE),
            ),
            _BOYLE,
        )
        return
    values = {
        "least": (c.least, u.PRESSURE_VOLUME),
        "plate": (c.plate, u.PRESSURE_VOLUME),
    }
    if c.most is None:
        found = "The readings give {least} or more, and it should be {plate}. "
    else:
        found = "The readings give {least} to {most}, and it should be {plate}. "
        values["most"] = (c.most, u.PRESSURE_VOLUME)
    status, words = {
        causes.SHORT: (
            FAIL,
            "There is too little cushion. Which cause it is, two readings cannot say: make the "
            "next test.",
        ),
        causes.AS_IT_SHOULD: (PASS, "The cushion is as it should be, within the plus/minus."),
        causes.MORE: (
            CAUTION,
            "There is more give than charge and volume allow. Check charge, volume and "
            "temperatures as entered, and look for air or a second vessel.",
        ),
        causes.UNCLEAR: (
            CAUTION,
            "The band is too wide to tell. Read again with a finer gauge, further apart in "
            "temperature.",
        ),
    }[c.kind]
    w.check("cushion", label, status, say(found + words, **values), _BOYLE)


def _check_spread(w: Work, c: _Cushion) -> None:
    if c.share is None:
        return
    label = "Readings good enough to lean on"
    worst = max(c.parts, key=c.parts.__getitem__)
    mend = {
        "s_p": "Most of it comes from the pressures: use a finer gauge, or read further apart.",
        "s_t": "Most of it comes from the temperatures: read flow and return once steady.",
        "s_V": "Most of it comes from the water in the system: count it on the survey page.",
    }[worst]
    status = PASS if c.share <= WIDE else CAUTION
    w.check(
        "spread",
        label,
        status,
        say(
            "The cushion is known to about {share} either way. " + mend, share=(c.share, u.FRACTION)
        ),
        OWN_RULE.at("a quarter either way is the most to lean on"),
    )


def _check_expected(w: Work, v: Values, s: _Site, c: _Cushion, expected_abs: float | None) -> None:
    label = "Hot reading against what to expect"
    if expected_abs is None:
        w.check(
            "expected",
            label,
            FAIL,
            "Even with volume and charge as they should be, the vessel has no room for this "
            "growth. Check both as entered; if they are right, work out a larger vessel.",
            _BOYLE,
        )
        return
    expected = w.results["hot_expected"]
    over = v.hot_reading - expected
    values = {
        "read": (v.hot_reading, u.GAUGE_PRESSURE),
        "expected": (expected, u.GAUGE_PRESSURE),
        "over": (abs(over), u.PRESSURE_DIFFERENCE),
    }
    if abs(over) <= s.bands.hot_reading or c.kind == causes.AS_IT_SHOULD:
        status, words = PASS, "The gauge read {read} hot, and {expected} was to be expected."
    elif c.kind == causes.UNCLEAR:
        status, words = (
            CAUTION,
            "The gauge read {read} hot, and {expected} was to be expected. The plus/minus of the "
            "readings is wider than the {over} between them: read again, more finely.",
        )
    elif over > 0.0:
        status, words = (
            FAIL,
            "The gauge read {read} hot, {over} more than the {expected} to be expected. "
            "See which causes are left, and make the test.",
        )
    else:
        status, words = (
            CAUTION,
            "The gauge read {read} hot, {over} less than the {expected} to be expected. "
            "See whether water was lost, or whether the mean temperature was lower.",
        )
    w.check("expected", label, status, say(words, **values), _BOYLE)


def _check_limit(w: Work, v: Values, s: _Site, limit: float, cite: Citation) -> None:
    label = "Hot reading below the relief valve"
    at_valve = _hot_at_valve(v, s)
    values = {
        "valve": (at_valve, u.GAUGE_PRESSURE),
        "limit": (limit, u.GAUGE_PRESSURE),
        "set": (v.relief, u.GAUGE_PRESSURE),
    }
    if at_valve >= v.relief - s.bands.hot_reading:
        status, words = (
            FAIL,
            "At the valve that is {valve}, and it opens at {set}. It may have held the pressure "
            "there, so the true cushion may be smaller still. Keep the heat down until the cause "
            "is mended.",
        )
    elif at_valve > limit:
        status, words = (
            FAIL,
            "At the valve that is {valve}; with its margin it may see {limit}. Keep the heat down "
            "until the cause is mended.",
        )
    else:
        status, words = PASS, "At the valve that is {valve}; with its margin it may see {limit}."
    w.check("limit", label, status, say(words, **values), cite)


def _check_plate(
    w: Work, v: Values, s: _Site, top_abs: float | None, limit_abs: float, rho: float
) -> None:
    label = "Vessel as it should be, at top heat"
    top = v.hot if v.setting is None else max(v.hot, v.setting)
    values = {"top": (top, u.TEMPERATURE), "volume": (v.vessel_volume, u.VOLUME)}
    if top_abs is None or top_abs > limit_abs:
        status, words = (
            FAIL,
            "At {top} a vessel of {volume} passes the limit even with its charge right. Work out "
            "the least vessel, or look for water counted twice.",
        )
    else:
        status, words = (
            PASS,
            "At {top} a vessel of {volume} with its charge right puts {valve} on the relief "
            "valve, within its margin.",
        )
        at_valve = top_abs - s.ambient - static_pressure(rho, v.valve_height)
        values["valve"] = (at_valve, u.GAUGE_PRESSURE)
    w.check("plate", label, status, say(words, **values), _BOYLE)


def _check_charge(w: Work, v: Values, s: _Site) -> None:
    label = "Charge against the cold fill"
    charge = v.charge if v.found_charge is None else v.found_charge
    name = "it should have" if v.found_charge is None else "found"
    values = {
        "charge": (charge, u.GAUGE_PRESSURE),
        "fill": (s.fill_abs - s.ambient, u.GAUGE_PRESSURE),
    }
    if charge > values["fill"][0] + _charge_beside_fill_band(v, s):
        status, words = (
            FAIL,
            f"The charge {name}, {{charge}}, is above the cold fill at the vessel, {{fill}}: the "
            "vessel is empty when cold. Raise the fill, or lower the charge if the height allows.",
        )
    else:
        status, words = (
            PASS,
            f"The charge {name}, {{charge}}, is not above the cold fill at the vessel, {{fill}}.",
        )
    w.check(
        "charge", label, status, say(words, **values), COMMON_PRACTICE.at("fill at or above charge")
    )


def _check_gauge(w: Work, v: Values) -> None:
    if v.second_gauge == causes.YES:
        return
    words = {
        causes.NO: "Two gauges disagree. Find out which one reads zero in open air before you go "
        "on: nothing worked out here holds until then.",
        causes.UNKNOWN: "All of this rests on one gauge. Compare a second one at the same point.",
    }[v.second_gauge]
    status = FAIL if v.second_gauge == causes.NO else CAUTION
    w.check("second-gauge", "Gauge compared", status, words, COMMON_PRACTICE.at("two gauges"))


def _chart(w: Work, v: Values, s: _Site, c: _Cushion) -> None:
    """Draw the gauge from cold to hot: as read with its band, and as it should be."""
    count = 16
    temperatures = [v.cold + (v.hot - v.cold) * i / count for i in range(count + 1)]
    shares, columns = [], []
    for t in temperatures:
        grown = net_expansion(relative_expansion(s.fluid, v.cold, t), s.alpha, t - v.cold)
        shares.append(v.system_volume * grown)
        columns.append(static_pressure(density(s.fluid, t), v.gauge_height))

    def on_gauge(at_vessel) -> tuple[tuple[float, float], ...]:
        points = []
        for i, t in enumerate(temperatures):
            warming = 1.0 + (s.warming - 1.0) * i / count
            pressure = s.fill_abs if i == 0 else warming * at_vessel(shares[i])
            points.append((t, pressure - s.ambient - columns[i]))
        return tuple(points)

    def of_content(content: float):
        return lambda taken: content / (content / s.fill_abs - taken)

    series = []
    if c.content is not None:
        top = max(v.relief, v.hot_reading) * 1.5
        if c.most is not None and c.least / s.fill_abs > s.expansion * 1.001:
            low = on_gauge(of_content(c.most))
            high = on_gauge(of_content(c.least))
            capped = tuple((t, min(p, top)) for t, p in reversed(high))
            series.append(Series("band of the readings", low + capped, "band"))
        series.append(Series("as read", on_gauge(of_content(c.content)), "main"))
    room = v.vessel_volume * min(s.charge_abs / s.fill_abs, 1.0)
    if s.expansion < 0.98 * room:
        expected = on_gauge(
            lambda taken: (
                s.fill_abs
                if taken <= 0.0
                else hot_pressure(v.vessel_volume, s.charge_abs, s.fill_abs, taken)
            )
        )
        series.append(Series("as it should be", expected, "other"))
    if not series:
        return
    at_gauge = v.relief + static_pressure(s.rho_hot, v.valve_height - v.gauge_height)
    values = {
        "p1": (v.cold_fill, u.GAUGE_PRESSURE),
        "t1": (v.cold, u.TEMPERATURE),
        "p2": (v.hot_reading, u.GAUGE_PRESSURE),
        "t2": (v.hot, u.TEMPERATURE),
        "set": (at_gauge, u.GAUGE_PRESSURE),
    }
    words = "The gauge went from {p1} at {t1} to {p2} at {t2}. "
    if w.results["hot_expected"] is not None:
        words += "With the vessel as it should be it would have gone to {expected}. "
        values["expected"] = (w.results["hot_expected"], u.GAUGE_PRESSURE)
    w.chart(
        LineChart(
            id="heat-up",
            title="The gauge from cold to hot",
            x=Axis("water temperature", u.TEMPERATURE),
            y=Axis("pressure on the gauge", u.GAUGE_PRESSURE),
            series=tuple(series),
            levels=(Level("relief valve opens", at_gauge, "limit"),),
            marks=(
                Mark("cold", v.cold, v.cold_fill),
                Mark("hot", v.hot, v.hot_reading),
            ),
            summary=say(words + "The relief valve opens at {set} on this gauge.", **values),
        )
    )

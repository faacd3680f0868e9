"""How long a vessel or a section takes to drain, and what stops it."""

from __future__ import annotations

from math import ceil, pi

from calc import units as u
from calc.calculators.drain_down.dangers import (
    judge_air,
    judge_air_gap,
    judge_boiling,
    judge_glycol,
    judge_hose_end,
    judge_scald,
    judge_weight,
)
from calc.calculators.drain_down.form import (
    AIR,
    CHARGE,
    FLOOR,
    GAS,
    LOOP,
    OUTPUTS,
    SUMP,
    TO_SEWER,
    UNVENTED,
    VESSEL,
    WATERLOGGED,
)
from calc.calculators.drain_down.takers import judge_grate, judge_sump, judge_temperature
from calc.drainage import (
    TRICKLE_HEAD,
    Content,
    Hose,
    Moment,
    drain_curve,
    driving_pressure,
    stall_volume,
)
from calc.equations.drainage import (
    BORE_AREA,
    DRIVING,
    EVEN_SECTION,
    FLOW,
    FREE_AIR,
    FRICTION,
    GAS_ABS,
    IN_VESSEL,
    LEVEL,
    RECOIL,
    REYNOLDS,
    SECTION,
    SHUT_ABS,
    STALL_LIFTED,
    STALL_SEALED,
    STORED,
    TIME,
    TIME_SEALED,
    VELOCITY,
)
from calc.equations.shared import AIR_PRESSURE, CHARGE_ABS
from calc.fluids import WATER, Fluid, density, dynamic_viscosity
from calc.friction import hose_velocity
from calc.hydrostatics import STANDARD_GRAVITY, height_of_pressure, static_pressure
from calc.model import (
    CAUTION,
    FAIL,
    PASS,
    Axis,
    Level,
    LineChart,
    Refusal,
    Series,
    Solution,
    Step,
    Values,
    Work,
    say,
    work_on,
)
from calc.sources import PHYSICS

ENTRY_LOSS = 0.5
"""Loss coefficient of the entry into the outlet. [-]"""

VALVE_LOSSES = {"none": 0.0, "full-bore": 0.1, "part-turn": 0.5, "cock": 4.0, "narrow": 10.0}
"""Loss coefficients of an open outlet valve. [-]"""

_HAIR = 1.0 + 1e-9
_ENERGY = PHYSICS.at("energy equation for steady flow")
_BOYLE = PHYSICS.at("Boyle's law, gas at one temperature")
_MASS = PHYSICS.at("mass balance")


def _water(v: Values, w: Work, ambient: float) -> tuple[float, float, float]:
    """Return water to drain, gas sealed in with it, and that gas's pressure. [m3, m3, Pa abs]"""
    if v.item == LOOP:
        if v.drive == GAS:
            raise Refusal(
                "A section of pipes has no charge behind a diaphragm. Choose its own weight or "
                "air from a regulator.",
                field="drive",
                cite=_BOYLE,
            )
        return v.section_content, v.trapped_gas or 0.0, ambient
    gas_abs = ambient
    if v.water_from == CHARGE:
        charge = w.step(CHARGE_ABS, p_0=v.charge, P_a=ambient)
        shut = w.step(SHUT_ABS, p_f=v.shut_pressure, P_a=ambient)
        if shut <= charge:
            raise Refusal(
                say(
                    "The vessel was shut off at {shut}, not above its charge of {charge}, so it "
                    "holds no water. Read both again, or choose waterlogged if it is heavy.",
                    shut=(v.shut_pressure, u.GAUGE_PRESSURE),
                    charge=(v.charge, u.GAUGE_PRESSURE),
                ),
                field="shut_pressure",
                cite=_BOYLE,
            )
        volume = w.step(IN_VESSEL, V_N=v.vessel_volume, P_0=charge, P_f=shut)
        if v.drive == GAS:
            gas_abs = shut
    else:
        volume = v.vessel_volume if v.water_from == WATERLOGGED else v.water
        if v.drive == GAS:
            gas_abs = w.step(GAS_ABS, p_g=v.gas_pressure, P_a=ambient)
    if volume > v.vessel_volume * _HAIR:
        raise Refusal(
            say(
                "{water} of water do not fit a vessel of {vessel}. Correct one of the two.",
                water=(volume, u.VOLUME),
                vessel=(v.vessel_volume, u.VOLUME),
            ),
            field="water",
            cite=_MASS,
        )
    gas = max(v.vessel_volume - volume, 0.0)
    if v.drive in (UNVENTED, GAS) and gas <= 1e-6 * v.vessel_volume:
        raise Refusal(
            "The vessel is full of water, so no gas is left to push it out and none gets in. "
            "Open a vent on the water side, or push with air from a regulator.",
            field="drive",
            cite=_BOYLE,
        )
    return volume, gas, gas_abs


def _require_drive(v: Values, driving: float, rho: float) -> None:
    short = static_pressure(rho, TRICKLE_HEAD) - driving
    if short < 0.0:
        return
    raise Refusal(
        say(
            "Nothing drives the water out: from the start {p} are missing, {head} of water. "
            "Lower the hose end by more than that, or push with more air from a regulator.",
            p=(short, u.PRESSURE_DIFFERENCE),
            head=(height_of_pressure(short, rho), u.LENGTH),
        ),
        field="push" if v.drive == AIR else "fall",
        cite=_ENERGY,
    )


def _stall(v: Values, w: Work, content: Content, out: float) -> None:
    left = content.volume - out
    values = {"out": (out, u.VOLUME), "left": (left, u.VOLUME)}
    label = "All the water leaves"
    if left <= 1e-9 * content.volume:
        if v.drive == UNVENTED:
            w.check(
                "stall",
                label,
                CAUTION,
                say(
                    "All {out} should leave although no vent is open, but air may be held back at "
                    "any bend. Open a vent above the water first.",
                    **values,
                ),
                _BOYLE,
            )
        else:
            w.check("stall", label, PASS, say("All {out} leave.", **values), _ENERGY)
        return
    lift = (-driving_pressure(content, content.volume), u.PRESSURE_DIFFERENCE)
    head = (height_of_pressure(lift[0], content.density), u.LENGTH)
    if v.drive == UNVENTED:
        w.check(
            "stall",
            label,
            FAIL,
            say(
                "It stalls: {out} come out, then the air outside holds the other {left} back and "
                "the part only looks empty. Open a vent above the water before the drain.",
                **values,
            ),
            _BOYLE,
        )
    elif v.drive == GAS:
        w.check(
            "stall",
            label,
            FAIL,
            say(
                "The charge is spent after {out}; {left} stay. Lower the hose end by {head}, or "
                "add {lift} of air from a regulator for the rest.",
                head=head,
                lift=lift,
                **values,
            ),
            _BOYLE,
        )
    elif v.drive == AIR:
        w.check(
            "stall",
            label,
            FAIL,
            say(
                "The lift is too high for the air: {out} come out and {left} stay. Lower the hose "
                "end by {head}, or raise the air by {lift} if everything connected may bear it.",
                head=head,
                lift=lift,
                **values,
            ),
            _ENERGY,
        )
    else:
        w.check(
            "stall",
            label,
            FAIL,
            say(
                "The hose end is higher than the outlet, so {out} come out and {left} stay. Lower "
                "it by {head}, or push with {lift} of air from a regulator.",
                head=head,
                lift=lift,
                **values,
            ),
            _ENERGY,
        )


def _charts(
    w: Work, moments: tuple[Moment, ...], volume: float, taken: float | None, beside: float
) -> None:
    time = Axis("time", u.TIME)
    first, last = moments[0], moments[-1]
    levels = ()
    if taken is not None and 0.0 < taken - beside <= 3.0 * first.flow:
        levels = (Level("most the drain takes from the hose", taken - beside, "limit"),)
    w.chart(
        LineChart(
            id="flow",
            title="Flow while it drains",
            x=time,
            y=Axis("flow", u.FLOW),
            series=(Series("flow from the hose", tuple((m.time, m.flow) for m in moments)),),
            levels=levels,
            summary=say(
                "The flow falls from {first} to {last} in {time}.",
                first=(first.flow, u.FLOW),
                last=(last.flow, u.FLOW),
                time=(last.time, u.TIME),
            ),
        )
    )
    w.chart(
        LineChart(
            id="left",
            title="Water left inside",
            x=time,
            y=Axis("water left", u.VOLUME),
            series=(
                Series(
                    "water left", tuple((m.time, max(volume - m.drained, 0.0)) for m in moments)
                ),
            ),
            summary=say(
                "The water left falls from {all} to {rest} in {time}.",
                all=(volume, u.VOLUME),
                rest=(max(volume - last.drained, 0.0), u.VOLUME),
                time=(last.time, u.TIME),
            ),
        )
    )


def solve(v: Values) -> Solution:
    """Return time, flows, what stays, and whether what takes the water copes."""
    w = work_on(v)
    for output in OUTPUTS:
        w.result(output.name, None)
    ambient = w.step(AIR_PRESSURE, z_s=v.altitude)
    judge_boiling(v, w, ambient)
    judge_scald(v, w)
    fluid = WATER if v.fluid == "water" else Fluid(v.fluid, v.glycol)
    rho = density(fluid, v.water_temperature)
    mu = dynamic_viscosity(fluid, v.water_temperature)

    volume, gas, gas_abs = _water(v, w, ambient)
    if v.item == VESSEL:
        section = w.step(SECTION, pi=pi, D=v.diameter)
        level = w.step(LEVEL, V=volume, A=section)
    else:
        level = v.level
        section = w.step(EVEN_SECTION, V=volume, h=level)
    sealed = v.drive in (UNVENTED, GAS)
    if v.drive == AIR:
        gas_abs = w.step(GAS_ABS, p_g=v.push, P_a=ambient)
    gauge = v.push if v.drive == AIR else gas_abs - ambient
    if sealed:
        content = Content(volume, section, v.fall, rho, mu, ambient, gas_abs, gas)
    else:
        content = Content(volume, section, v.fall, rho, mu, 0.0, gauge)
    losses = ENTRY_LOSS + VALVE_LOSSES[v.valve] + v.fittings
    hose = Hose(v.hose_bore, v.hose_length, v.roughness, losses)

    driving = w.step(DRIVING, p_g=gauge, rho=rho, g=STANDARD_GRAVITY, h=level, z=v.fall)
    _require_drive(v, driving, rho)
    run = {
        "V": volume,
        "A": section,
        "z": v.fall,
        "d": v.hose_bore,
        "L": v.hose_length,
        "e": v.roughness,
        "K": losses,
        "rho": rho,
        "mu": mu,
    }
    out = stall_volume(content)
    if sealed:
        out = w.step(
            STALL_SEALED, V=volume, A=section, z=v.fall, rho=rho, V_g=gas, P_g=gas_abs, P_a=ambient
        )
    elif out < volume:
        out = w.step(
            STALL_LIFTED, V=volume, A=section, z=v.fall, p_g=gauge, rho=rho, g=STANDARD_GRAVITY
        )
    w.result("water_out", out)
    w.result("left", volume - out)

    found = hose_velocity(driving, rho, mu, v.hose_bore, v.hose_length, v.roughness, losses)
    reynolds = w.step(REYNOLDS, rho=rho, v=found, d=v.hose_bore, mu=mu)
    friction = w.step(FRICTION, Re=reynolds, r=v.roughness / v.hose_bore)
    velocity = w.step(
        VELOCITY, p_d=driving, rho=rho, f=friction, L=v.hose_length, d=v.hose_bore, K=losses
    )
    area = w.step(BORE_AREA, pi=pi, d=v.hose_bore)
    first_flow = w.step(FLOW, v=velocity, a=area)
    moments = drain_curve(content, hose)
    if sealed:
        values = {**run, "V_g": gas, "P_g": gas_abs, "P_a": ambient}
        w.steps.append(Step(TIME_SEALED, values, moments[-1].time))
    else:
        w.steps.append(Step(TIME, {**run, "p_g": gauge}, moments[-1].time))
    w.result("time", moments[-1].time)
    w.result("first_flow", first_flow)
    w.result("last_flow", moments[-1].flow)
    w.result("velocity", velocity)
    _stall(v, w, content, out)

    taken = None
    if v.destination == FLOOR:
        taken = judge_grate(v, w, first_flow)
    elif v.destination == SUMP:
        taken = judge_sump(v, w, moments)
    else:
        w.result("fills", float(ceil(out / v.container / _HAIR)))
    if v.destination in TO_SEWER:
        judge_temperature(v, w, rho, out, first_flow)
        judge_air_gap(v, w)
    judge_glycol(v, w, out)
    if v.item == VESSEL:
        judge_weight(v, w, rho, volume)
    if v.drive == AIR:
        judge_air(v, w, static_pressure(rho, level))
        w.result("free_air_used", w.step(FREE_AIR, V_out=out, P_g=gas_abs, P_a=ambient))
        most = v.vessel_volume if v.item == VESSEL else volume
        w.result("gas_energy", w.step(STORED, P_g=gas_abs, V_g=most, P_a=ambient))
    elif v.drive == GAS:
        w.result("gas_energy", w.step(STORED, P_g=gas_abs, V_g=gas, P_a=ambient))
    recoil = w.step(RECOIL, p_d=driving, a=area)
    w.result("recoil", recoil)
    judge_hose_end(v, w, recoil)
    w.draw(_charts, moments, volume, taken, v.cold_flow or 0.0)
    return w.solution()

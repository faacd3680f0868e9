"""What is said of the charge that is in the vessel, delivered or found."""

from __future__ import annotations

from calc import site
from calc import units as u
from calc.atmosphere import SEA_LEVEL_PRESSURE
from calc.calculators.pre_charge.cushion import Cushion
from calc.calculators.pre_charge.form import BAR
from calc.charge import charge_at_temperature, static_reached
from calc.equations.charge import FACTORY_READING, HEIGHT_SERVED
from calc.hydrostatics import STANDARD_GRAVITY
from calc.model import CAUTION, FAIL, PASS, Refusal, Values, Work, say
from calc.sources import COMMON_PRACTICE, PHYSICS, WTCB_VESSELS
from calc.vessel import hot_pressure, water_in_vessel

_POINT_OF_USE = COMMON_PRACTICE.at("charging a vessel")
_OPEN_READING = COMMON_PRACTICE.at("read the charge with the water side open and at zero")

HIGHEST = u.parse_quantity(site.HEIGHT.high.value, u.LENGTH, u.LENGTH.unit("m")).value
"""Height above which no building's column is taken. [m]"""

READING_BAND = 0.1 * BAR
"""Difference between a charge read and a charge wanted that a hand gauge cannot tell. [Pa]"""

FACTORY_TEMPERATURE = 293.15
"""Temperature at which a maker's charge is taken to have been set. [K]"""


def judge_present_charge(
    w: Work,
    v: Values,
    now_gauge: float,
    vapour: float,
    margin: float,
    rho: float,
    ambient: float,
    opens: float,
    c: Cushion,
) -> float | None:
    """Check the charge found or delivered; return what the gas reads now where it is known."""
    factory = None
    if v.factory_charge is not None:
        factory = w.step(
            FACTORY_READING,
            p_label=v.factory_charge,
            P_sea=SEA_LEVEL_PRESSURE,
            T_F=FACTORY_TEMPERATURE,
            T_now=v.vessel_now,
            P_a=ambient,
        )
        _factory_check(w, v, factory, now_gauge)
    w.result("factory_here", factory)
    found = None
    if v.found_charge is not None:
        if v.found_charge <= -ambient:
            raise Refusal(
                say(
                    "A charge of {found} lies below a perfect vacuum; the air here has only "
                    "{ambient}. Read the gauge again, or check that it reads zero in open air.",
                    found=(v.found_charge, u.GAUGE_PRESSURE),
                    ambient=(ambient, u.ABSOLUTE_PRESSURE),
                ),
                field="found_charge",
                cite=PHYSICS.at("gauge and absolute pressure"),
            )
        found = _found_check(w, v, now_gauge, ambient, opens, c)
    # A reading that is not the charge leaves the gas unknown, whatever the label says.
    present = found if v.found_charge is not None else factory
    served = None
    if present is not None:
        lived = (
            charge_at_temperature(present + ambient, v.vessel_now, v.living_temperature) - ambient
        )
        if static_reached(lived, vapour, margin) >= 0.0:
            served = w.step(
                HEIGHT_SERVED,
                p=lived,
                p_D=vapour,
                p_m=margin,
                rho_c=rho,
                g=STANDARD_GRAVITY,
            )
            if served > HIGHEST:
                served = None
    w.result("height_served", served)
    if present is None and v.found_charge is None:
        return 0.0
    return present


def _factory_check(w: Work, v: Values, reading: float, now_gauge: float) -> None:
    label = "Factory charge"
    if reading < now_gauge - READING_BAND:
        w.check(
            "factory-charge",
            label,
            FAIL,
            say(
                "The factory charge of {label} reads {here} here and now, too low for this height: "
                "{now} is needed. Pump it up before you let water in.",
                label=(v.factory_charge, u.GAUGE_PRESSURE),
                here=(reading, u.GAUGE_PRESSURE),
                now=(now_gauge, u.GAUGE_PRESSURE),
            ),
            _POINT_OF_USE,
        )
    elif reading > now_gauge + READING_BAND:
        w.check(
            "factory-charge",
            label,
            CAUTION,
            say(
                "The factory charge of {label} reads {here} here and now, more than the {now} "
                "needed. Let gas out before you let water in.",
                label=(v.factory_charge, u.GAUGE_PRESSURE),
                here=(reading, u.GAUGE_PRESSURE),
                now=(now_gauge, u.GAUGE_PRESSURE),
            ),
            _POINT_OF_USE,
        )
    else:
        w.check(
            "factory-charge",
            label,
            PASS,
            say(
                "The factory charge reads {here} here and now, and {now} is needed. Read it all "
                "the same before you let water in.",
                here=(reading, u.GAUGE_PRESSURE),
                now=(now_gauge, u.GAUGE_PRESSURE),
            ),
            _POINT_OF_USE,
        )


def _found_check(
    w: Work, v: Values, now_gauge: float, ambient: float, opens: float, c: Cushion
) -> float | None:
    label = "Charge found"
    if v.found_state == "pressure":
        w.check(
            "charge-found",
            label,
            FAIL,
            say(
                "{found} was read with water pressing on the diaphragm, so it is the system's "
                "pressure and not the charge. Isolate the vessel, drain its water side to zero, "
                "leave the drain open and read again. Do not add gas before.",
                found=(v.found_charge, u.GAUGE_PRESSURE),
            ),
            _OPEN_READING,
        )
        return None
    if v.found_state == "unsure":
        w.check(
            "charge-found",
            label,
            CAUTION,
            say(
                "{found} is the charge only if the water side was open and at zero. Isolate the "
                "vessel, drain its water side, leave the drain open and read again.",
                found=(v.found_charge, u.GAUGE_PRESSURE),
            ),
            _OPEN_READING,
        )
        return None
    values = {"found": (v.found_charge, u.GAUGE_PRESSURE), "now": (now_gauge, u.GAUGE_PRESSURE)}
    if abs(v.found_charge - now_gauge) <= READING_BAND:
        w.check(
            "charge-found",
            label,
            PASS,
            say(
                "{found} was found and {now} is right at this temperature: no hand gauge tells "
                "them apart for sure.",
                **values,
            ),
            _POINT_OF_USE,
        )
        return v.found_charge
    lived_abs = charge_at_temperature(v.found_charge + ambient, v.vessel_now, v.living_temperature)
    if v.found_charge < now_gauge:
        effect = _effect_of_low_charge(c, lived_abs, ambient, opens, values)
        w.check(
            "charge-found",
            label,
            FAIL,
            say(
                "{found} was found and {now} is right at this temperature: too low. "
                + effect
                + " With the water side open and at zero, pump up to {now}, wait, read again; "
                "if it has fallen in some days, the gas valve or the diaphragm leaks.",
                **values,
            ),
            WTCB_VESSELS.at("yearly check of the charge"),
        )
        return v.found_charge
    values["fill"] = (c.fill, u.GAUGE_PRESSURE)
    if not c.serves:
        effect = "Less room is left in the vessel between charge and highest pressure."
    elif lived_abs - ambient >= c.fill:
        effect = (
            "At the cold fill of {fill} the vessel holds no water, so the pressure collapses at "
            "the first cooling or loss and air gets in at the top."
        )
    else:
        effect = "At the cold fill of {fill} the vessel holds less water than it should."
        if c.volume is not None:
            stored = water_in_vessel(c.volume, lived_abs, c.fill + ambient)
            values |= {"stored": (stored, u.VOLUME), "right": (c.stored, u.VOLUME)}
            effect = (
                "At the cold fill of {fill} the vessel holds {stored} of water in place of {right}."
            )
    w.check(
        "charge-found",
        label,
        FAIL,
        say(
            "{found} was found and {now} is right at this temperature: too high. "
            + effect
            + " With the water side open and at zero, let gas out down to {now}.",
            **values,
        ),
        _POINT_OF_USE,
    )
    return v.found_charge


def _effect_of_low_charge(
    c: Cushion,
    lived_abs: float,
    ambient: float,
    opens: float,
    values: dict[str, tuple[float, u.Kind]],
) -> str:
    if c.expansion is None or not c.serves:
        return "Too much water lies in the cold vessel, so the pressure climbs too high when hot."
    fill_abs = c.fill + ambient
    stored = water_in_vessel(c.volume, lived_abs, fill_abs)
    values |= {"fill": (c.fill, u.GAUGE_PRESSURE), "stored": (stored, u.VOLUME)}
    taken = "At the cold fill of {fill} it takes in {stored} of water, and "
    if c.expansion < c.volume - stored:
        hot = hot_pressure(c.volume, lived_abs, fill_abs, c.expansion) - ambient
        if hot < opens:
            values["hot"] = (hot, u.GAUGE_PRESSURE)
            return taken + "the pressure climbs to {hot} hot."
    return taken + "the gas left cannot take the expansion: the relief valve lifts when hot."

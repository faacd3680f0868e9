"""How much water a system loses, from two gauge readings or its make-up meter."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

from calc import site
from calc import units as u
from calc.equations import leaks as eq
from calc.equations.shared import AIR_PRESSURE, CHARGE_ABS
from calc.hydrostatics import STANDARD_GRAVITY, static_pressure
from calc.leaks import DAY, LEAST_SHARE_TOO_MUCH
from calc.model import (
    CAUTION,
    FAIL,
    PASS,
    Axis,
    Bar,
    BarChart,
    Calculator,
    Choice,
    Level,
    Limit,
    LineChart,
    Mark,
    Option,
    Output,
    Quantity,
    Refusal,
    Section,
    Series,
    Solution,
    Values,
    Work,
    say,
    work_on,
)
from calc.sources import (
    COOLPROP,
    OWN_RULE,
    PHYSICS,
    STOICHIOMETRY,
    UFC_3_240_13FN,
)

FALL, METER = "fall", "meter"

LEAST_RESERVE_TIME = 30.0 * DAY
"""Below this the vessel runs empty before most people come back. [s]"""

_SLIP = OWN_RULE.at("to catch a slip of the pen")
_GAS = PHYSICS.at("Boyle and Gay-Lussac")
_BALANCE = PHYSICS.at("balance of volume")
_METER_RULE = UFC_3_240_13FN.at("5-2.4, the make-up meter")
_BY_FALL = {"method": (FALL,)}
_BY_METER = {"method": (METER,)}
_POINTS = 25

# In a sentence here, times are days and masses grams.
_DAYS = replace(u.TIME, si="d", us="d")
_GRAMS = replace(u.MASS, si="g", us="lb")


def _gauge(name: str, label: str, default: str, help: str) -> Quantity:
    return Quantity(
        name=name, label=label, kind=u.GAUGE_PRESSURE, default=default, reading=True, help=help,
        low=Limit("0 bar", "a system below the air pressure takes in air instead", _GAS),
        high=Limit("160 psi", "hot-water heating boilers stop at this pressure", _SLIP),
        when=_BY_FALL,
    )  # fmt: skip


def _water(name: str, label: str, default: str) -> Quantity:
    return Quantity(
        name=name, label=label, kind=u.TEMPERATURE, default=default, reading=True,
        help="Mean of flow and return, pump running and burner off, taken with the gauge. That the "
        "pipes shrink too is left out: a tenth of the effect.",
        low=Limit("-35 degC", "the glycol tables end there", COOLPROP.at("ASHRAE glycol sets")),
        high=Limit("120 degC", "no leak is looked for at that heat", _SLIP),
        when=_BY_FALL,
    )  # fmt: skip


def _gas(name: str, label: str, default: str) -> Quantity:
    return Quantity(
        name=name, label=label, kind=u.TEMPERATURE, default=default, reading=True,
        help="Of the vessel's shell on its gas side. Away from the boiler it is that of the room.",
        low=Limit("-30 degC", "no plant room with water in it is colder", _SLIP),
        high=Limit("90 degC", "a vessel that warm has lost its diaphragm or stands wrong", _SLIP),
        when=_BY_FALL,
    )  # fmt: skip


INPUTS = (
    Choice(
        name="method", label="What shows the loss", default=FALL,
        options=(
            Option(FALL, "The gauge falls, make-up shut"),
            Option(METER, "A meter counts the make-up water"),
        ),
        help="A make-up meter is the better leak gauge. Without one, two readings of pressure "
        "and temperature tell it, with the make-up valve shut between them.",
    ),
    Quantity(
        name="interval", label="Time between the readings", kind=u.TIME, default="28 d",
        us_default="28 d", reading=True,
        help="The longer, the surer: the gauge's last figure then counts for less.",
        low=Limit("10 min", "less shows the gauge's friction, not a leak", _SLIP),
        high=Limit("3700 d", "ten years hide more than a leak", _SLIP),
    ),
    _gauge("before", "Gauge at the first reading", "1.62 ± 0.01 bar",
           "Read with the pump in the same state both times. Tap the gauge first."),
    _gauge("after", "Gauge at the second reading", "1.50 ± 0.01 bar",
           "Same gauge, same pump state."),
    _water("water_before", "Water at the first reading", "24 ± 0.5 degC"),
    _water("water_after", "Water at the second reading", "18 ± 0.5 degC"),
    _gas("gas_before", "Vessel at the first reading", "20 ± 1 degC"),
    _gas("gas_after", "Vessel at the second reading", "18 ± 1 degC"),
    Quantity(
        name="metered", label="Make-up water the meter counted", kind=u.VOLUME,
        default="7 ± 1 L", reading=True,
        help="Second reading of the totalising meter on the make-up line, less the first.",
        low=Limit("0 L", "meters count up; if yours rolled over, add its full range", _BALANCE),
        high=Limit("1000 m3", "no system is refilled so often", _SLIP),
        when=_BY_METER,
    ),
    replace(
        site.SYSTEM_VOLUME,
        help="Boilers, pipes, radiators, coils and buffers together: the survey page finds it.",
    ),
    replace(site.VESSEL_VOLUME, when=_BY_FALL),
    replace(site.CHARGE, when=_BY_FALL),
    replace(site.GAUGE_HEIGHT, when=_BY_FALL),
    Quantity(
        name="added", label="Water let in between the readings", kind=u.VOLUME, default="0 L",
        reading=True, help="Topped up by hand or by a make-up valve. 0 if it stayed shut.",
        low=Limit("0 L", "water let out counts as lost", _BALANCE),
        high=Limit("100 m3", "that is a new fill", _SLIP),
        when=_BY_FALL,
    ),
    Quantity(
        name="step", label="How closely the gauge reads", kind=u.PRESSURE_DIFFERENCE,
        default="0.02 bar", us_default="0.25 psi",
        help="A quarter of a division of a dial, or the last figure of a digital gauge.",
        low=Limit("0.0001 bar", "no gauge for heating is finer", _SLIP),
        high=Limit("1 bar", "such a gauge shows no leak", _SLIP),
        when=_BY_FALL,
    ),
    Quantity(
        name="charge_temperature", label="Vessel when the charge was read", kind=u.TEMPERATURE,
        default="20 degC", reading=True,
        help="As written on the vessel with its charge; otherwise the room.",
        low=Limit("-30 degC", "no plant room with water in it is colder", _SLIP),
        high=Limit("90 degC", "nobody reads a charge on a vessel that hot", _SLIP),
        when=_BY_FALL,
    ),
    replace(site.FLUID, when=_BY_FALL),
    replace(site.GLYCOL, when={**_BY_FALL, **site.GLYCOL.when}),
    replace(site.ALTITUDE, when=_BY_FALL),
    Quantity(
        name="oxygen", label="Oxygen in the fill water", kind=u.CONCENTRATION,
        default="11.3 mg/L", reading=True,
        help="Tap water at 10 °C (50 °F) in balance with the air holds 11.3 mg/L; warmer or "
        "degassed water holds less.",
        low=Limit("0 mg/L", "water cannot hold less than none", PHYSICS.at("mass balance")),
        high=Limit("60 mg/L", "pure oxygen over ice water gives about that", _SLIP),
    ),
    Quantity(
        name="hardness", label="Hardness of the fill water", kind=u.HARDNESS,
        default="180 mg/L", us_default="10.5 gpg", reading=True,
        help="Total hardness, from the water supplier or a test kit. 0 for softened water.",
        low=Limit("0 mg/L", "softened water has none", PHYSICS.at("mass balance")),
        high=Limit("2000 mg/L", "no drinking water is so hard", _SLIP),
    ),
)  # fmt: skip

SECTIONS = (
    Section("Readings", ("method", "interval", "before", "after", "water_before", "water_after",
                         "gas_before", "gas_after", "metered")),
    Section("System and vessel", ("system_volume", "vessel_volume", "charge", "gauge_height",
                                  "added")),
    Section("Gauge, fluid and site", ("step", "charge_temperature", "fluid", "glycol",
                                      "altitude"), folded=True),
    Section("Fill water", ("oxygen", "hardness"), folded=True),
)  # fmt: skip

OUTPUTS = (
    Output("lost", "Water lost between the readings", u.VOLUME, headline=True,
           help="Temperature allowed for. Minus means that water came in."),
    Output("daily", "Water lost in a day", u.VOLUME),
    Output("yearly", "Water lost in a year", u.VOLUME, headline=True),
    Output("four_months", "Share of the system in four months", u.FRACTION,
           help="2 % within four months is too much."),
    Output("uncorrected", "What pressure alone would say", u.VOLUME,
           help="Boyle's law with no temperature in it."),
    Output("cooling", "Explained by cooler water", u.VOLUME),
    Output("smallest", "Least loss these readings can show", u.VOLUME,
           help="What the readable step of the gauge stands for."),
    Output("left", "Water left in the vessel", u.VOLUME),
    Output("lasts", "Until the vessel holds no water", u.TIME, unit="d"),
    Output("oxygen_in", "Oxygen brought in within a year", u.MASS, unit="g"),
    Output("iron", "Iron it eats", u.MASS, unit="g",
           help="If all of the oxygen ends as magnetite."),
    Output("sludge", "Magnetite it makes", u.MASS, unit="g"),
    Output("lime", "Most lime brought in within a year", u.MASS, unit="g",
           help="If all of the hardness drops as scale."),
)  # fmt: skip


def _density(w: Work, v: Values, number: str, temperature: float) -> float:
    share = {} if v.fluid == site.WATER else {"phi": v.glycol}
    return w.step(eq.DENSITY[v.fluid, number], **{f"t_{number}": temperature}, **share)


def _by_fall(w: Work, v: Values) -> float:
    air = w.step(AIR_PRESSURE, z_s=v.altitude)
    charge = w.step(CHARGE_ABS, p_0=v.charge, P_a=air)
    pressures, densities = [], []
    for number, read, water in (("1", v.before, v.water_before), ("2", v.after, v.water_after)):
        density = _density(w, v, number, water)
        at_vessel = w.step(
            eq.AT_VESSEL[number],
            **{f"p_G{number}": read, f"rho_{number}": density},
            g=STANDARD_GRAVITY, z_G=v.gauge_height,
        )  # fmt: skip
        if at_vessel + air <= 0:
            raise Refusal(
                say("The gauge stands so far below the vessel that the pressure there would be "
                    "below nothing. Check the height and the reading."),
                field="before" if number == "1" else "after", cite=_GAS,
            )  # fmt: skip
        pressures.append(w.step(eq.VESSEL_ABS[number], **{f"p_{number}": at_vessel}, P_a=air))
        densities.append(density)
    first, second = pressures
    temperatures = {"T_1": v.gas_before, "T_2": v.gas_after}
    gas = w.step(
        eq.GAS_BEFORE, V_N=v.vessel_volume, P_0=charge, P_1=first, T_0=v.charge_temperature,
        T_1=v.gas_before,
    )  # fmt: skip
    if gas >= v.vessel_volume:
        raise Refusal(
            say("At the first reading the vessel holds no water: the pressure there is {p}, not "
                "above the charge {c}. Below the charge the gauge says nothing of how much is "
                "lost. Bring the system to its cold fill, then read again.",
                p=(first - air, u.GAUGE_PRESSURE), c=(v.charge, u.GAUGE_PRESSURE)),
            field="before", cite=_GAS,
        )  # fmt: skip
    growth = w.step(eq.GAS_GROWTH, V_g1=gas, P_1=first, P_2=second, **temperatures)
    after = w.step(eq.GAS_AFTER, V_g1=gas, V_g=growth)
    shrinkage = w.step(eq.SHRINKAGE, V_s=v.system_volume, rho_1=densities[0], rho_2=densities[1])
    if after > v.vessel_volume:
        raise Refusal(
            say("At the second reading the vessel is empty: the pressure there is {p}, not above "
                "the charge {c}. At least {least} is lost; how much more, the gauge cannot say. "
                "Fill up through a meter, or refill and read again before the charge is reached.",
                p=(second - air, u.GAUGE_PRESSURE), c=(v.charge, u.GAUGE_PRESSURE),
                least=(max(v.vessel_volume - gas - shrinkage + v.added, 0.0), u.VOLUME)),
            field="after", cite=_GAS,
        )  # fmt: skip
    lost = w.step(eq.LOST, V_g=growth, V_t=shrinkage, V_a=v.added)
    smallest = w.step(eq.SMALLEST, d_p=v.step, V_g1=gas, P_1=first, V_g2=after, P_2=second)
    uncorrected = gas * (first / second - 1.0)
    left = v.vessel_volume - after
    w.result("uncorrected", uncorrected)
    w.result("cooling", shrinkage)
    w.result("smallest", smallest)
    w.result("left", left)
    again = 4.0 * v.interval
    if lost > 0:
        daily = lost / (v.interval / DAY)
        lasts = w.step(eq.LASTS, V_N=v.vessel_volume, V_g2=after, V_d=daily)
        w.result("lasts", lasts)
        again = min(again, v.interval + lasts / 2.0)
    _check_shown(w, lost, smallest, again)
    _check_temperature(w, v, lost, uncorrected, smallest)
    w.draw(_draw_parts, growth, shrinkage, v.added, lost)
    if lost > 0:
        _check_lasts(w, lasts, left)
        found = SimpleNamespace(air=air, charge=charge, density=densities[1], gas=after)
        w.draw(_draw_course, v, lost, found)
    return lost


def _check_shown(w: Work, lost: float, smallest: float, again: float) -> None:
    said = {
        "lost": (abs(lost), u.VOLUME), "least": (smallest, u.VOLUME),
        "again": (again, _DAYS),
    }  # fmt: skip
    cite = OWN_RULE.at("a loss counts once it is more than the gauge's readable step stands for")
    if abs(lost) <= smallest:
        w.check(
            "shown", "The readings show a loss", CAUTION,
            say("{lost} is no more than the {least} that the gauge can show, so these readings "
                "prove neither a leak nor a tight system. With the make-up shut, read again "
                "{again} after the first reading, at its water temperature, or fit a make-up "
                "meter.", **said),
            cite,
        )  # fmt: skip
    elif lost < 0:
        w.check(
            "shown", "The readings show a loss", FAIL,
            say("{lost} came in, more than the {least} that the gauge can show. Shut the make-up "
                "further back, then the cold supply of the cylinder: the one that ends the rise "
                "is passing.", **said),
            cite,
        )  # fmt: skip
    else:
        w.check(
            "shown", "The readings show a loss", PASS,
            say("{lost} is more than the {least} that the gauge can show. The plus/minus of the "
                "result tells how sure it is; a reading {again} after the first, at its water "
                "temperature, narrows it.", **said),
            cite,
        )  # fmt: skip


def _check_temperature(
    w: Work, v: Values, lost: float, uncorrected: float, smallest: float
) -> None:
    off = uncorrected + v.added - lost
    said = {
        "alone": (uncorrected + v.added, u.VOLUME), "lost": (lost, u.VOLUME),
        "off": (abs(off), u.VOLUME),
    }  # fmt: skip
    if abs(off) > max(abs(lost), smallest):
        w.check(
            "temperature", "Temperature does not swamp the loss", CAUTION,
            say("Pressure alone would say {alone}, and temperature explains {off} of it: more "
                "than what is left. Read again at the first reading's temperatures.", **said),
            _GAS,
        )  # fmt: skip
    else:
        w.check(
            "temperature", "Temperature does not swamp the loss", PASS,
            say("Pressure alone would say {alone}; with the temperatures it is {lost}.", **said),
            _GAS,
        )  # fmt: skip


def _check_lasts(w: Work, lasts: float, left: float) -> None:
    said = {
        "time": (lasts, _DAYS), "least": (LEAST_RESERVE_TIME, _DAYS), "left": (left, u.VOLUME),
    }  # fmt: skip
    cite = OWN_RULE.at("a month of reserve")
    if lasts < LEAST_RESERVE_TIME:
        w.check(
            "lasts", "The vessel's reserve lasts a month", CAUTION,
            say("The vessel still holds {left}, which lasts {time}, less than {least}. Then the "
                "pressure collapses and the top draws air. Bring it back to the cold fill, and "
                "find the leak before then.", **said),
            cite,
        )  # fmt: skip
    else:
        w.check(
            "lasts", "The vessel's reserve lasts a month", PASS,
            say("The vessel still holds {left}, which lasts {time}.", **said), cite,
        )  # fmt: skip


def _draw_parts(w: Work, growth: float, shrinkage: float, added: float, lost: float) -> None:
    w.chart(
        BarChart(
            id="parts", title="What the change is made of", kind=u.VOLUME,
            bars=(
                Bar("Gas has grown by" if growth >= 0 else "Gas was pressed together by",
                    abs(growth)),
                Bar("Water shrank by" if shrinkage >= 0 else "Water grew by", abs(shrinkage)),
                Bar("Let in", added),
                Bar("Lost" if lost >= 0 else "Came in unseen", abs(lost)),
            ),
            summary=say(
                "The gas changed by {growth}. Cooler water explains {shrinkage}; {added} was let "
                "in. What is left, {lost}, was lost.",
                growth=(growth, u.VOLUME), shrinkage=(shrinkage, u.VOLUME),
                added=(added, u.VOLUME), lost=(lost, u.VOLUME),
            ),
        )
    )  # fmt: skip


def _draw_course(w: Work, v: Values, lost: float, found: SimpleNamespace) -> None:
    """Draw the gauge as it will go on falling, at the temperatures of the second reading."""
    warmed = found.charge * v.gas_after / v.charge_temperature
    content = warmed * v.vessel_volume
    column = static_pressure(found.density, v.gauge_height) + found.air
    end = v.interval + min(v.interval * (v.vessel_volume - found.gas) / lost, 9.0 * v.interval)
    points = []
    for n in range(_POINTS):
        time = end * n / (_POINTS - 1)
        gas = found.gas + lost * (time / v.interval - 1.0)
        points.append((time, content / gas - column))
    w.chart(
        LineChart(
            id="course", title="The gauge at this rate, at the second reading's temperatures",
            x=Axis("time since the first reading", u.TIME, "d"),
            y=Axis("gauge", u.GAUGE_PRESSURE),
            series=(Series("cold pressure", tuple(points)),),
            levels=(Level("vessel empty", warmed - column, "limit"),),
            marks=(Mark("first", 0.0, v.before), Mark("second", v.interval, v.after)),
            summary=say(
                "From {before} the gauge falls to {after} in {time}, and goes on to {empty}, where "
                "the vessel is empty.",
                before=(v.before, u.GAUGE_PRESSURE), after=(v.after, u.GAUGE_PRESSURE),
                time=(v.interval, _DAYS), empty=(warmed - column, u.GAUGE_PRESSURE),
            ),
        )
    )  # fmt: skip


def _check_share(w: Work, v: Values, share: float) -> None:
    allowed = LEAST_SHARE_TOO_MUCH * v.system_volume
    said = {
        "x": (share, u.FRACTION), "most": (LEAST_SHARE_TOO_MUCH, u.FRACTION),
        "allowed": (allowed, u.VOLUME),
    }  # fmt: skip
    if share >= LEAST_SHARE_TOO_MUCH:
        w.check(
            "share", "Less than 2 % in four months", FAIL,
            say("{x} of the system is lost in four months; {most}, here {allowed}, is too much. "
                "Find the leak before more water goes in: pump seals, valve stems, vents, relief "
                "valve, then buried pipe.", **said),
            _METER_RULE,
        )  # fmt: skip
    else:
        w.check(
            "share", "Less than 2 % in four months", PASS,
            say("{x} of the system is lost in four months; {most}, here {allowed}, would be too "
                "much.", **said),
            _METER_RULE,
        )  # fmt: skip


def _brings(w: Work, v: Values, yearly: float, share: float) -> None:
    oxygen = w.step(eq.OXYGEN, V_y=yearly, c_O=v.oxygen)
    w.result("oxygen_in", oxygen)
    iron = w.step(eq.IRON, m_O=oxygen)
    w.result("iron", iron)
    w.result("sludge", w.step(eq.SLUDGE, m_O=oxygen))
    lime = w.step(eq.LIME, V_y=yearly, H=v.hardness)
    w.result("lime", lime)
    said = {"oxygen": (oxygen, _GRAMS), "iron": (iron, _GRAMS), "lime": (lime, _GRAMS)}
    words = (
        "Made up with this water, the loss brings {oxygen} of oxygen a year, which eats up to "
        "{iron} of iron, and up to {lime} of lime."
    )
    cite = STOICHIOMETRY.at("all oxygen to magnetite, all hardness to CaCO₃")
    if share >= LEAST_SHARE_TOO_MUCH:
        w.check(
            "brings", "What the make-up water brings", CAUTION,
            say(words + " Treat the water you add, and look for sludge and scale.", **said), cite,
        )  # fmt: skip
    else:
        w.check("brings", "What the make-up water brings", PASS, say(words, **said), cite)


def solve(v: Values) -> Solution:
    """Find the loss, its rate, and what replacing it brings in."""
    w = work_on(v)
    lost = _by_fall(w, v) if v.method == FALL else v.metered
    w.result("lost", lost)
    daily = w.step(eq.DAILY, V_l=lost, t=v.interval)
    w.result("daily", daily)
    yearly = w.step(eq.YEARLY, V_d=daily)
    w.result("yearly", yearly)
    share = w.step(eq.FOUR_MONTHS, V_d=daily, V_s=v.system_volume)
    w.result("four_months", share)
    if lost >= 0:
        _check_share(w, v, share)
        _brings(w, v, yearly, share)
    if v.method == METER:
        w.chart(
            BarChart(
                id="share", title="Water made up in four months", kind=u.VOLUME,
                bars=(
                    Bar("At this rate", share * v.system_volume),
                    Bar("2 % of the system", LEAST_SHARE_TOO_MUCH * v.system_volume),
                ),
                summary=say(
                    "At this rate {made} is made up in four months; too much begins at {most}.",
                    made=(share * v.system_volume, u.VOLUME),
                    most=(LEAST_SHARE_TOO_MUCH * v.system_volume, u.VOLUME),
                ),
            )
        )  # fmt: skip
    return w.solution()


CALCULATOR = Calculator(
    id="leak-rate",
    title="Leak and make-up",
    question="How much water does the system lose?",
    summary="Turns a falling gauge, corrected for temperature, or a make-up meter into water lost "
    "a day and a year, and says what the new water brings in.",
    inputs=INPUTS,
    sections=SECTIONS,
    outputs=OUTPUTS,
    solve=solve,
    examples=(
        {"method": METER},
        {"method": METER, "interval": "120 d", "metered": "34.5 gal",
         "system_volume": "462 gal", "oxygen": "9 mg/L", "hardness": "17 dH"},
        {"interval": "12 h", "before": "18.4 ± 0.2 psi", "after": "17.1 ± 0.2 psi",
         "water_before": "70 degF", "water_after": "66 degF", "gas_before": "68 degF",
         "gas_after": "66 degF", "system_volume": "190 gal", "vessel_volume": "32 gal",
         "charge": "12 psi", "gauge_height": "-2 ft", "added": "0.5 gal",
         "charge_temperature": "60 degF", "altitude": "5280 ft"},
        {"fluid": "propylene glycol", "glycol": "30 %", "water_before": "21 degC",
         "water_after": "19.5 degC"},
        {"after": "1.75 bar", "water_after": "24 degC", "gas_after": "20 degC"},
        {"method": METER, "metered": "0 L"},
        {"after": "1.60 bar", "water_after": "23.4 degC", "gas_after": "20 degC"},
    ),
)  # fmt: skip

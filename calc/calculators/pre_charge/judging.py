"""What is said of top, fill window, reserve, gauge, frost and temperature."""

from __future__ import annotations

from calc import units as u
from calc.calculators.pre_charge.cushion import Cushion
from calc.calculators.pre_charge.form import BAR
from calc.fluids import Fluid, freezing_temperature
from calc.model import CAUTION, FAIL, PASS, Values, Work, say
from calc.sources import COMMON_PRACTICE, COOLPROP, EN_12828, PHYSICS

_ANNEX_D = EN_12828.at("annex D")
_STILL = PHYSICS.at("column of still liquid")
_GAS_LAW = PHYSICS.at("ideal gas law")

USUAL_MARGIN = 0.2 * BAR
"""Least margin at the highest point in common use. [Pa]"""

USUAL_LEAST_CHARGE = 0.7 * BAR
"""Charge below which few vessels are run, whatever the height. [Pa gauge]"""

GAUGE_BAND = 0.03 * BAR
"""Difference of a dial's height that cannot be seen on it. [Pa]"""


def judge_top(w: Work, v: Values, top: float, boiling: float, heated: bool) -> None:
    if top >= USUAL_MARGIN - 1.0:
        w.check(
            "top-pressure",
            "Pressure at the highest point, cold",
            PASS,
            say(
                "The highest point has {top} above the air when cold, so it draws no air in.",
                top=(top, u.PRESSURE_DIFFERENCE),
            ),
            COMMON_PRACTICE.at("0.2 to 0.3 bar, or 4 to 5 psi"),
        )
    else:
        w.check(
            "top-pressure",
            "Pressure at the highest point, cold",
            FAIL if top <= 0 else CAUTION,
            say(
                "The highest point has only {top} above the air when cold. Ask for at least "
                "{usual} there, or air gets in at the first small loss.",
                top=(top, u.PRESSURE_DIFFERENCE),
                usual=(USUAL_MARGIN, u.PRESSURE_DIFFERENCE),
            ),
            COMMON_PRACTICE.at("0.2 to 0.3 bar, or 4 to 5 psi"),
        )
    basis = "" if heated else " The rise in pressure from cold to hot is not counted."
    enough = boiling >= USUAL_MARGIN - 1.0
    w.check(
        "boiling",
        "Boiling at the highest point, hot",
        PASS if enough else CAUTION,
        say(
            (
                "Water at {hot} stays {margin} above its boiling pressure at the highest point."
                if enough
                else "Water at {hot} stays only {margin} above its boiling pressure at the "
                "highest point. Raise the margin at the top or lower the hottest temperature."
            )
            + basis,
            hot=(v.hot, u.TEMPERATURE),
            margin=(boiling, u.PRESSURE_DIFFERENCE),
        ),
        PHYSICS.at("boiling point"),
    )


def judge_window(w: Work, v: Values, c: Cushion, final: float) -> None:
    label = "Fill window"
    if c.high is None:
        w.check(
            "fill-window",
            label,
            CAUTION,
            "The upper edge of the cold fill is not known, because a volume is left blank. Enter "
            "the water in the system and the volume of the vessel before you rely on the hot "
            "pressure.",
            _ANNEX_D,
        )
    elif not c.serves:
        w.check(
            "fill-window",
            label,
            FAIL,
            say(
                "No cold fill serves: the lower edge is {low}, the upper {high}. With this charge "
                "the vessel needs at least {needed}; fit a larger one or a second one beside it, "
                "and do not lower the charge below what the height asks.",
                low=(c.low, u.GAUGE_PRESSURE),
                high=(c.high, u.GAUGE_PRESSURE),
                needed=(c.needed, u.VOLUME),
            ),
            _ANNEX_D,
        )
    elif not c.fill_in_window:
        w.check(
            "fill-window",
            label,
            FAIL,
            say(
                "The fill of {fill} is above the upper edge of {high}, so the hot pressure passes "
                "{final}. Fill between {low} and {high}, by the water reserve.",
                fill=(c.fill, u.GAUGE_PRESSURE),
                high=(c.high, u.GAUGE_PRESSURE),
                low=(c.low, u.GAUGE_PRESSURE),
                final=(final, u.GAUGE_PRESSURE),
            ),
            _ANNEX_D,
        )
    else:
        w.check(
            "fill-window",
            label,
            PASS,
            say(
                "At the vessel the cold fill may lie between {low} and {high}. From {fill} the "
                "pressure rises to {hot} hot; {final} is allowed.",
                low=(c.low, u.GAUGE_PRESSURE),
                high=(c.high, u.GAUGE_PRESSURE),
                fill=(c.fill, u.GAUGE_PRESSURE),
                hot=(c.hot, u.GAUGE_PRESSURE),
                final=(final, u.GAUGE_PRESSURE),
            ),
            _ANNEX_D,
        )
    if c.stored is None or c.reserve is None or not c.serves:
        return
    if c.stored >= c.reserve * (1 - 1e-9):
        w.check(
            "reserve",
            "Water reserve",
            PASS,
            say(
                "The cold vessel holds {stored}; {reserve} is wanted.",
                stored=(c.stored, u.VOLUME),
                reserve=(c.reserve, u.VOLUME),
            ),
            _ANNEX_D,
        )
    elif v.practice == "equal":
        w.check(
            "reserve",
            "Water reserve",
            CAUTION,
            say(
                "With fill equal to charge the cold vessel holds no water, so every loss lowers "
                "the pressure at once. To store {reserve}, fill above the charge, inside the "
                "window.",
                reserve=(c.reserve, u.VOLUME),
            ),
            _ANNEX_D,
        )
    else:
        w.check(
            "reserve",
            "Water reserve",
            FAIL,
            say(
                "The cold vessel holds {stored}, less than the {reserve} wanted. Fill to {low} at "
                "the vessel, by the water reserve.",
                stored=(c.stored, u.VOLUME),
                reserve=(c.reserve, u.VOLUME),
                low=(c.low, u.GAUGE_PRESSURE),
            ),
            _ANNEX_D,
        )


def judge_details(
    w: Work,
    v: Values,
    fluid: Fluid,
    set_gauge: float,
    now_gauge: float,
    c: Cushion,
    fill_gauge: float,
    to_gauge: float,
) -> None:
    if abs(to_gauge) < GAUGE_BAND:
        w.check(
            "gauge-height",
            "Gauge and vessel",
            PASS,
            "The gauge stands level with the vessel, so both read the same.",
            _STILL,
        )
    else:
        side = "less" if to_gauge > 0 else "more"
        told = "Count that in with every reading."
        if c.serves and c.fill_in_window:
            told = "Fill until the gauge shows {gauge}, which is {fill} at the vessel."
        w.check(
            "gauge-height",
            "Gauge and vessel",
            CAUTION,
            say(
                "The gauge shows {gap} " + side + " than the vessel has. " + told,
                gap=(abs(to_gauge), u.PRESSURE_DIFFERENCE),
                gauge=(fill_gauge, u.GAUGE_PRESSURE),
                fill=(c.fill, u.GAUGE_PRESSURE),
            ),
            _STILL,
        )
    highest = max(v.gauge_height, v.valve_height)
    if highest > v.height:
        w.check(
            "heights",
            "Heights",
            CAUTION,
            say(
                "The gauge or the relief valve is entered {highest} above the vessel, but the "
                "highest point that holds water only {height}. Measure again from the vessel's "
                "connection and correct the one that is wrong.",
                highest=(highest, u.LENGTH),
                height=(v.height, u.LENGTH),
            ),
            _STILL,
        )
    freezing = freezing_temperature(fluid)
    if v.living_temperature <= freezing:
        w.check(
            "freezing",
            "Frost at the vessel",
            FAIL,
            say(
                "The vessel lives at {living}, and its fluid freezes at {freezing}. Warm the room, "
                "move the vessel or use a glycol mixture that stays liquid.",
                living=(v.living_temperature, u.TEMPERATURE),
                freezing=(freezing, u.TEMPERATURE),
            ),
            COOLPROP.at("freezing points"),
        )
    if v.practice != "equal" and set_gauge < USUAL_LEAST_CHARGE:
        w.check(
            "low-charge",
            "Low charge",
            CAUTION,
            say(
                "The height asks for only {charge}. Many plants keep at least {usual}, so that the "
                "pump and the heat generator have pressure enough; see their instructions.",
                charge=(set_gauge, u.GAUGE_PRESSURE),
                usual=(USUAL_LEAST_CHARGE, u.GAUGE_PRESSURE),
            ),
            COMMON_PRACTICE.at("least charge of 0.7 bar"),
        )
    if abs(now_gauge - set_gauge) > GAUGE_BAND:
        w.check(
            "temperature",
            "Vessel temperature",
            CAUTION,
            say(
                "The vessel is at {now} and will live at {later}. Set {set} now; it becomes "
                "{charge} in service. Gas just pumped in is warm: wait, read again.",
                now=(v.vessel_now, u.TEMPERATURE),
                later=(v.living_temperature, u.TEMPERATURE),
                set=(now_gauge, u.GAUGE_PRESSURE),
                charge=(set_gauge, u.GAUGE_PRESSURE),
            ),
            _GAS_LAW,
        )
    else:
        w.check(
            "temperature",
            "Vessel temperature",
            PASS,
            "The vessel is close to the temperature it lives at, so the charge hardly changes. "
            "Gas just pumped in is warm: wait, read again.",
            _GAS_LAW,
        )

"""Which causes fit what was read and seen, each with its reason, and the test that parts them.

Nothing here computes. The rules follow from the gas law and from what each test shows; a test
that nobody has made leaves its cause possible, and is asked for.
"""

from __future__ import annotations

from dataclasses import dataclass

FITS, POSSIBLE, NOT = "Fits", "Possible", "Does not fit"
YES, NO, UNKNOWN = "yes", "no", "unknown"

SHORT, AS_IT_SHOULD, MORE, UNCLEAR, FLAT = "short", "right", "more", "unclear", "flat"
"""What the readings say of the cushion, compared with the vessel as it should be."""

LOW, RIGHT, HIGH = "low", "right", "high"
"""What a charge read with the water side at zero says."""

SHUT_OFF = 0.1
"""Share of the cushion below which a vessel may be shut off altogether. [-]"""


@dataclass(frozen=True, slots=True)
class Findings:
    """What was read and seen, as far as the rules need it."""

    cushion: str
    least_share: float
    above_limit: bool
    near_limit: bool
    plate_is_enough: bool
    charge: str | None
    charge_explains: bool
    above_fill: bool
    may_be_empty: bool
    beyond_vessel: bool
    overheated: bool | None
    creeps_open: str
    creeps_shut: str
    falls: str
    drips: str
    second_gauge: str
    pump: str
    gas_valve_water: str
    follows: str
    shell: str
    collapses: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether a cause fits, and why."""

    fit: str
    why: str

    def text(self) -> str:
        return f"{self.fit}. {self.why}"


@dataclass(frozen=True, slots=True)
class Test:
    """What to do next: its name for a line of results, and in full."""

    name: str
    words: str


def _gauge(f: Findings) -> Verdict:
    if f.second_gauge == NO:
        return Verdict(FITS, "A second gauge disagrees, so no reading here can be trusted yet.")
    if f.second_gauge == YES:
        return Verdict(NOT, "A second gauge agrees.")
    if f.cushion == FLAT:
        return Verdict(FITS, "The pressure did not rise with the heat: a blocked gauge does that.")
    return Verdict(POSSIBLE, "No second gauge has been compared.")


def _valve_shut(f: Findings) -> Verdict:
    if f.follows == NO:
        return Verdict(
            FITS, "The gas valve does not follow the system: water does not reach the vessel."
        )
    if f.follows == YES:
        return Verdict(NOT, "The gas valve follows the system, so the way to the vessel is open.")
    if f.cushion == FLAT:
        return Verdict(NOT, "With the vessel shut off the pressure would leap.")
    if f.least_share >= SHUT_OFF:
        return Verdict(NOT, "There is far more give than a system without its vessel has.")
    if f.cushion in (SHORT, UNCLEAR):
        return Verdict(POSSIBLE, "Almost no cushion shows.")
    return Verdict(NOT, "The cushion is there.")


def _pump_side(f: Findings) -> Verdict:
    if f.pump == "falls":
        return Verdict(
            FITS,
            "The gauge falls when the pump starts: the vessel may join on the pump's outlet side.",
        )
    if f.pump == "rises":
        return Verdict(NOT, "The gauge rises when the pump starts: the vessel is before the pump.")
    if f.pump == "stays":
        return Verdict(NOT, "The pump does not move the gauge.")
    return Verdict(POSSIBLE, "Nobody has watched the gauge as the pump starts.")


def _make_up(f: Findings) -> Verdict:
    if f.creeps_open == NO:
        return Verdict(NOT, "With make-up open the cold pressure stays.")
    if f.creeps_open == YES and f.creeps_shut == NO:
        return Verdict(FITS, "The creep stops when make-up is shut.")
    if f.creeps_shut == YES:
        return Verdict(
            POSSIBLE, "It creeps with make-up shut as well, unless that valve passes when shut."
        )
    if f.creeps_open == YES:
        return Verdict(POSSIBLE, "It creeps up cold; make-up has not been shut to see.")
    return Verdict(POSSIBLE, "Nobody has watched the cold pressure with make-up open.")


def _coil(f: Findings) -> Verdict:
    if f.creeps_shut == YES:
        return Verdict(FITS, "It creeps up cold with make-up shut, so water comes in elsewhere.")
    if f.creeps_shut == NO:
        return Verdict(NOT, "With make-up shut the cold pressure does not creep up.")
    if f.creeps_open == NO:
        return Verdict(NOT, "The cold pressure does not creep up at all.")
    return Verdict(POSSIBLE, "Nobody has watched the cold pressure with make-up shut.")


def _leak(f: Findings) -> Verdict:
    if f.falls == YES:
        return Verdict(FITS, "The cold pressure falls with make-up shut.")
    if f.falls == NO:
        return Verdict(NOT, "The cold pressure stays with make-up shut.")
    if f.creeps_shut == YES:
        return Verdict(NOT, "The cold pressure creeps up instead.")
    if f.cushion in (FLAT, MORE):
        return Verdict(
            POSSIBLE, "The rise is small, and water lost between the readings would do that."
        )
    return Verdict(POSSIBLE, "Nobody has watched the cold pressure with make-up shut.")


def _overheating(f: Findings) -> Verdict:
    if f.overheated is None:
        return Verdict(POSSIBLE, "The control's highest setting is not entered.")
    if f.overheated:
        return Verdict(FITS, "The water was hotter than the control should allow.")
    return Verdict(NOT, "The water was no hotter than the control allows.")


def _relief_worn(f: Findings) -> Verdict:
    if f.drips == "never":
        return Verdict(NOT, "The valve is dry.")
    if f.drips == UNKNOWN:
        return Verdict(POSSIBLE, "Nobody has said when the valve drips.")
    if f.drips == "always" and YES in (f.creeps_open, f.creeps_shut):
        return Verdict(POSSIBLE, "It drips cold as well, but the creep may carry it that high.")
    if f.drips == "always":
        return Verdict(FITS, "It drips cold as well, far below its set pressure.")
    if f.above_limit:
        return Verdict(NOT, "The hot pressure is high enough to make a sound valve drip.")
    if f.near_limit:
        return Verdict(
            POSSIBLE, "The hot pressure comes close to the limit, and a little more would pass it."
        )
    return Verdict(FITS, "It drips although the hot pressure stays well below it.")


def _waterlogged(f: Findings) -> Verdict:
    if f.gas_valve_water == YES:
        return Verdict(FITS, "Water at the gas valve: the diaphragm has failed.")
    if f.gas_valve_water == NO:
        return Verdict(NOT, "The gas valve is dry.")
    if f.cushion in (AS_IT_SHOULD, MORE, FLAT):
        return Verdict(NOT, "The cushion is there.")
    if f.charge in (RIGHT, HIGH):
        return Verdict(NOT, "It still holds its charge with the water side at zero.")
    if f.shell == "heavy":
        return Verdict(FITS, "Little cushion, and the shell is heavy and dull all over.")
    if f.shell == "rings":
        return Verdict(NOT, "The shell rings where the gas is.")
    return Verdict(POSSIBLE, "Little cushion; the gas valve has not been tried.")


def _charge_lost(f: Findings) -> Verdict:
    if f.gas_valve_water == YES:
        return Verdict(NOT, "Water at the gas valve says that more than the charge has gone.")
    if f.charge == LOW:
        if f.charge_explains or f.cushion == UNCLEAR:
            return Verdict(FITS, "The charge found is low, and it explains the rise.")
        return Verdict(
            FITS, "The charge found is low, but it does not explain the whole: look further."
        )
    if f.charge in (RIGHT, HIGH):
        return Verdict(NOT, "The charge was found as it should be, or higher.")
    if f.collapses == YES:
        return Verdict(NOT, "With a low charge there is water in the cold vessel, which gives way.")
    if f.cushion == SHORT:
        return Verdict(FITS, "The pressure rises too much for the charge it should have.")
    if f.cushion == UNCLEAR:
        return Verdict(POSSIBLE, "The readings are too close together to say.")
    return Verdict(NOT, "The cushion is as large as it should be, or larger.")


def _overcharged(f: Findings) -> Verdict:
    if f.above_fill:
        return Verdict(FITS, "The charge lies above the cold fill, so the cold vessel is empty.")
    if f.collapses == YES:
        return Verdict(FITS, "Cold, the pressure collapses when a little water is let out.")
    if f.collapses == NO:
        return Verdict(NOT, "Cold, the pressure gives way gently: there is water in the vessel.")
    if f.charge in (LOW, RIGHT):
        return Verdict(NOT, "The charge found is below the cold fill.")
    if f.cushion in (SHORT, UNCLEAR) and f.may_be_empty:
        return Verdict(
            POSSIBLE, "An empty cold vessel leaps to its charge, and reads like a lost charge."
        )
    return Verdict(NOT, "The rise shows none of the leap that an empty vessel makes.")


def _too_small(f: Findings) -> Verdict:
    if not f.plate_is_enough:
        return Verdict(FITS, "Even as it should be, the vessel passes the limit at top heat.")
    if f.cushion == SHORT:
        if f.charge == RIGHT:
            return Verdict(
                FITS, "The charge is right and the rise too large: more water than counted."
            )
        if f.charge is not None and f.charge_explains:
            return Verdict(NOT, "The charge found explains the whole rise.")
        return Verdict(
            POSSIBLE, "More water than counted, or a smaller vessel, gives the same two readings."
        )
    if f.cushion == UNCLEAR:
        return Verdict(POSSIBLE, "The readings are too close together to say.")
    return Verdict(NOT, "The vessel is large enough for the water counted.")


def _other_gas(f: Findings) -> Verdict:
    if f.beyond_vessel:
        return Verdict(
            FITS,
            "More give than the vessel can have: air in the system, a second vessel, or less heat "
            "or water than entered.",
        )
    if f.cushion == MORE:
        return Verdict(
            POSSIBLE, "More give than the charge allows: a higher charge, air, or a second vessel."
        )
    if f.cushion == FLAT:
        return Verdict(POSSIBLE, "No rise at all would take a great deal of air.")
    if f.cushion == UNCLEAR:
        return Verdict(POSSIBLE, "The readings are too close together to say.")
    return Verdict(NOT, "There is no more give than the vessel has.")


CAUSES = {
    "gauge_wrong": ("Gauge wrong or blocked", _gauge),
    "valve_shut": ("Valve to the vessel shut", _valve_shut),
    "pump_side": ("Vessel on the outlet side of the pump", _pump_side),
    "make_up_passing": ("Make-up valve passing", _make_up),
    "coil_leaking": ("Cylinder coil or plate leaking", _coil),
    "water_lost": ("Water lost through a leak", _leak),
    "overheating": ("Control lets it overheat", _overheating),
    "relief_worn": ("Relief valve dirty or worn", _relief_worn),
    "waterlogged": ("Vessel full of water, diaphragm failed", _waterlogged),
    "charge_lost": ("Charge lost", _charge_lost),
    "overcharged": ("Charge above the cold fill", _overcharged),
    "too_small": ("Vessel too small, or more water than counted", _too_small),
    "other_gas": ("Air in the system, or a second vessel", _other_gas),
}
"""Every cause in the order of the tests, with its label and its rule."""

VESSEL_CAUSES = ("waterlogged", "charge_lost", "overcharged", "too_small")
"""Causes that two readings cannot part: one test, the charge with the water side at zero, does."""


def verdicts(findings: Findings) -> dict[str, Verdict]:
    """Return the verdict on every cause."""
    return {name: rule(findings) for name, (_, rule) in CAUSES.items()}


_QUICK = {
    "gauge_wrong": "a second gauge beside this one, and both reading zero in open air",
    "valve_shut": "the valve to the vessel, boiler off and cold: open all the way?",
    "pump_side": "the gauge as the pump starts",
    "make_up_passing": "make-up shut for half an hour, system cold",
    "coil_leaking": "make-up shut for half an hour, system cold",
    "water_lost": "make-up shut for half an hour, system cold",
    "overheating": "the water's temperature beside the control's setting",
    "relief_worn": "when the relief valve drips, and at what pressure",
}
_TESTS = {
    "gauge_wrong": Test(
        "Second gauge",
        "Compare a second gauge at the same point, and see that both read zero in open air. Then "
        "read cold and hot again.",
    ),
    "valve_shut": Test(
        "Open the valve to the vessel",
        "Boiler off and locked, water cool: open the valve to the vessel slowly, all the way. "
        "Then read cold and hot again. If the rise is as expected, that was it.",
    ),
    "pump_side": Test(
        "Pump off and on",
        "Cold, read the gauge with the pump off and on, at the vessel's connection as well. Where "
        "the pump moves nothing, there the vessel joins.",
    ),
    "make_up_passing": Test(
        "Shut make-up and watch",
        "Cold, shut the make-up valve and watch for half an hour. Creep stops: make-up was "
        "passing. Creep goes on: the coil. Pressure falls: a leak.",
    ),
    "coil_leaking": Test(
        "Shut the cylinder's cold supply",
        "Make-up shut, shut the cold supply to the cylinder and open a hot tap. If the creep "
        "stops or turns round, the coil leaks: report it at once.",
    ),
    "water_lost": Test(
        "Log the cold pressure",
        "Shut make-up and log the cold pressure at one temperature. Then look for the leak; the "
        "make-up meter says how much.",
    ),
    "overheating": Test(
        "Temperature against setting",
        "Heat up in your presence, and read the water's temperature beside the control's setting. "
        "Past the setting, switch off: the control is at fault.",
    ),
    "relief_worn": Test(
        "Pressure at which it drips",
        "Watch the pressure at which the relief valve drips. If it drips with the pressure right, "
        "have it replaced.",
    ),
    "waterlogged": Test(
        "Drain and weigh the vessel",
        "Isolate and drain the vessel, prove both sides at zero, and weigh it: water that does "
        "not drain has passed the diaphragm. Replace the vessel.",
    ),
    "charge_lost": Test(
        "Pump up, read again after days",
        "Pump the charge up with the water side at zero, and read it again after some days the "
        "same way. If it falls again with the gas valve dry, replace the vessel.",
    ),
    "overcharged": Test(
        "Set the charge, read again",
        "Isolate and drain the vessel, prove its water side at zero, and set the charge for the "
        "height. Then read cold and hot again.",
    ),
    "too_small": Test(
        "Measure the water",
        "Measure the water as it drains or fills, and compare it with the count. Then work out "
        "the least vessel for it.",
    ),
    "other_gas": Test(
        "Vent, read again",
        "Vent every high point, cold, and look for a vessel built into the boiler. Then read cold "
        "and hot again, as far apart in temperature as you can.",
    ),
}
_MAKE_UP_PROVED = Test(
    "Leave make-up shut, read again",
    "Leave make-up shut, bring the cold pressure back to the fill, and read cold and hot again. "
    "If the rise is as expected, that was all.",
)
_CHARGE = Test(
    "Charge with the water side at zero",
    "Isolate and drain the vessel, prove its water side at zero, then read the charge. Low and "
    "dry: charge lost. Water at the gas valve: diaphragm failed. Above the cold fill: charged too "
    "high. Right: more water than counted, or the vessel too small.",
)
_NOTHING = Test(
    "Read again after a week",
    "Nothing entered speaks for any of these causes. Read cold and hot again after a week, and "
    "compare.",
)


def telling_test(found: dict[str, Verdict], charge_read: bool) -> Test:
    """Return the one test that parts what is left, quick tests still open named before it."""
    fitting = [n for n in CAUSES if found[n].fit == FITS]
    left = fitting or [n for n in CAUSES if found[n].fit == POSSIBLE]
    if not left:
        return _NOTHING
    first = left[0]
    if first not in VESSEL_CAUSES:
        proved = first == "make_up_passing" and fitting
        return _MAKE_UP_PROVED if proved else _TESTS[first]
    open_still = [n for n in VESSEL_CAUSES if found[n].fit != NOT]
    settled = charge_read or first == "waterlogged"
    if not settled and (len(open_still) > 1 or first == "charge_lost"):
        main = _CHARGE
    else:
        main = _TESTS[first]
    quick = list(dict.fromkeys(_QUICK[n] for n in _QUICK if found[n].fit == POSSIBLE))
    if not quick:
        return main
    before = f"Before you drain anything, see: {'; '.join(quick)}. Then: "
    return Test(main.name, before + main.words)


SHOWN = 3
"""How many labels a line of results has room for."""


def left_over(found: dict[str, Verdict]) -> tuple[str, str]:
    """Return the labels of what fits, and of what is possible besides."""
    texts = []
    for fit in (FITS, POSSIBLE):
        named = [CAUSES[n][0] for n in CAUSES if found[n].fit == fit]
        more = f"; and {len(named) - SHOWN} more" if len(named) > SHOWN else ""
        texts.append("; ".join(named[:SHOWN]) + more if named else "none of these")
    return texts[0], texts[1]

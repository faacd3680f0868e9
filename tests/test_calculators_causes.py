"""The rule of every cause, branch by branch, and the test that is named next.

Each row gives one sign or two and the reason in the rule's own terms: what a sign proves, what it
rules out, and what stays possible while nobody has looked.
"""

import pytest

from calc.calculators.two_reading_check import causes
from calc.calculators.two_reading_check.causes import (
    AS_IT_SHOULD,
    CAUSES,
    FITS,
    FLAT,
    HIGH,
    LOW,
    MORE,
    NO,
    NOT,
    POSSIBLE,
    RIGHT,
    SHORT,
    UNCLEAR,
    UNKNOWN,
    YES,
    Findings,
    Verdict,
)

NOTHING_SEEN = {
    "cushion": SHORT, "least_share": 0.5, "above_limit": False, "near_limit": False,
    "plate_is_enough": True, "charge": None, "charge_explains": False, "above_fill": False,
    "may_be_empty": False, "beyond_vessel": False, "overheated": None, "creeps_open": UNKNOWN,
    "creeps_shut": UNKNOWN, "falls": UNKNOWN, "drips": UNKNOWN, "second_gauge": UNKNOWN,
    "pump": UNKNOWN, "gas_valve_water": UNKNOWN, "follows": UNKNOWN, "shell": UNKNOWN,
    "collapses": UNKNOWN,
}  # fmt: skip
"""Too little cushion, and nobody has looked at anything else."""

BRANCHES = [
    ("gauge_wrong", {}, POSSIBLE, "has been compared"),
    ("gauge_wrong", {"second_gauge": NO, "cushion": FLAT}, FITS, "disagrees"),
    ("gauge_wrong", {"second_gauge": YES, "cushion": FLAT}, NOT, "agrees"),
    ("gauge_wrong", {"cushion": FLAT}, FITS, "did not rise"),
    ("valve_shut", {"least_share": 0.0999}, POSSIBLE, "Almost no cushion"),
    ("valve_shut", {"least_share": 0.0999, "cushion": UNCLEAR}, POSSIBLE, "Almost no cushion"),
    ("valve_shut", {"least_share": 0.0999, "cushion": MORE}, NOT, "cushion is there"),
    ("valve_shut", {"least_share": 0.1}, NOT, "far more give"),
    ("valve_shut", {"least_share": 0.05, "cushion": FLAT}, NOT, "would leap"),
    ("valve_shut", {"follows": NO}, FITS, "does not follow"),
    ("valve_shut", {"follows": YES, "least_share": 0.05}, NOT, "is open"),
    ("pump_side", {}, POSSIBLE, "Nobody"),
    ("pump_side", {"pump": "falls"}, FITS, "outlet side"),
    ("pump_side", {"pump": "rises"}, NOT, "before the pump"),
    ("pump_side", {"pump": "stays"}, NOT, "does not move"),
    ("make_up_passing", {}, POSSIBLE, "Nobody"),
    ("make_up_passing", {"creeps_open": NO, "creeps_shut": NO}, NOT, "stays"),
    ("make_up_passing", {"creeps_open": YES, "creeps_shut": NO}, FITS, "stops"),
    ("make_up_passing", {"creeps_shut": NO}, POSSIBLE, "Nobody"),
    ("make_up_passing", {"creeps_open": YES, "creeps_shut": YES}, POSSIBLE, "shut as well"),
    ("make_up_passing", {"creeps_shut": YES}, POSSIBLE, "shut as well"),
    ("make_up_passing", {"creeps_open": YES}, POSSIBLE, "has not been shut"),
    ("coil_leaking", {}, POSSIBLE, "Nobody"),
    ("coil_leaking", {"creeps_shut": YES}, FITS, "comes in elsewhere"),
    ("coil_leaking", {"creeps_shut": NO, "creeps_open": YES}, NOT, "With make-up shut"),
    ("coil_leaking", {"creeps_open": NO}, NOT, "at all"),
    ("water_lost", {}, POSSIBLE, "Nobody"),
    ("water_lost", {"falls": YES, "creeps_shut": YES}, FITS, "falls"),
    ("water_lost", {"falls": NO}, NOT, "stays"),
    ("water_lost", {"creeps_shut": YES}, NOT, "creeps up instead"),
    ("water_lost", {"cushion": FLAT}, POSSIBLE, "rise is small"),
    ("water_lost", {"cushion": MORE}, POSSIBLE, "rise is small"),
    ("overheating", {}, POSSIBLE, "not entered"),
    ("overheating", {"overheated": True}, FITS, "hotter than"),
    ("overheating", {"overheated": False}, NOT, "no hotter"),
    ("relief_worn", {}, POSSIBLE, "Nobody"),
    ("relief_worn", {"drips": "never"}, NOT, "dry"),
    ("relief_worn", {"drips": "always"}, FITS, "far below"),
    ("relief_worn", {"drips": "always", "creeps_open": YES}, POSSIBLE, "the creep"),
    ("relief_worn", {"drips": "always", "creeps_shut": YES}, POSSIBLE, "the creep"),
    ("relief_worn", {"drips": "top"}, FITS, "well below"),
    ("relief_worn", {"drips": "top", "near_limit": True}, POSSIBLE, "comes close"),
    ("relief_worn", {"drips": "top", "near_limit": True, "above_limit": True}, NOT, "sound valve"),
    ("waterlogged", {}, POSSIBLE, "has not been tried"),
    ("waterlogged", {"gas_valve_water": YES, "cushion": MORE}, FITS, "diaphragm has failed"),
    ("waterlogged", {"gas_valve_water": NO, "shell": "heavy"}, NOT, "dry"),
    *(("waterlogged", {"cushion": c, "shell": "heavy"}, NOT, "cushion is there")
      for c in (AS_IT_SHOULD, MORE, FLAT)),
    *(("waterlogged", {"charge": c, "shell": "heavy"}, NOT, "holds its charge")
      for c in (RIGHT, HIGH)),
    ("waterlogged", {"charge": LOW, "shell": "heavy"}, FITS, "heavy and dull"),
    ("waterlogged", {"shell": "rings"}, NOT, "rings"),
    ("charge_lost", {}, FITS, "rises too much"),
    ("charge_lost", {"gas_valve_water": YES, "charge": LOW}, NOT, "more than the charge"),
    ("charge_lost", {"charge": LOW, "charge_explains": True}, FITS, "it explains the rise"),
    ("charge_lost", {"charge": LOW, "cushion": UNCLEAR}, FITS, "it explains the rise"),
    ("charge_lost", {"charge": LOW}, FITS, "look further"),
    ("charge_lost", {"charge": RIGHT}, NOT, "as it should be, or higher"),
    ("charge_lost", {"charge": HIGH}, NOT, "as it should be, or higher"),
    ("charge_lost", {"collapses": YES}, NOT, "gives way"),
    ("charge_lost", {"cushion": UNCLEAR}, POSSIBLE, "too close together"),
    ("charge_lost", {"cushion": AS_IT_SHOULD}, NOT, "as large as"),
    ("overcharged", {}, NOT, "none of the leap"),
    ("overcharged", {"above_fill": True, "collapses": NO}, FITS, "above the cold fill"),
    ("overcharged", {"collapses": YES, "charge": LOW}, FITS, "collapses"),
    ("overcharged", {"collapses": NO, "may_be_empty": True}, NOT, "gives way gently"),
    ("overcharged", {"charge": LOW, "may_be_empty": True}, NOT, "below the cold fill"),
    ("overcharged", {"charge": RIGHT, "may_be_empty": True}, NOT, "below the cold fill"),
    ("overcharged", {"charge": HIGH, "may_be_empty": True}, POSSIBLE, "leaps to its charge"),
    ("overcharged", {"cushion": UNCLEAR, "may_be_empty": True}, POSSIBLE, "leaps to its charge"),
    ("overcharged", {"cushion": MORE, "may_be_empty": True}, NOT, "none of the leap"),
    ("too_small", {}, POSSIBLE, "same two readings"),
    ("too_small", {"plate_is_enough": False, "cushion": MORE}, FITS, "passes the limit"),
    ("too_small", {"charge": RIGHT, "charge_explains": True}, FITS, "more water than counted"),
    ("too_small", {"charge": LOW, "charge_explains": True}, NOT, "explains the whole"),
    ("too_small", {"charge": LOW}, POSSIBLE, "same two readings"),
    ("too_small", {"cushion": UNCLEAR}, POSSIBLE, "too close together"),
    ("too_small", {"cushion": AS_IT_SHOULD}, NOT, "large enough"),
    ("other_gas", {}, NOT, "no more give"),
    ("other_gas", {"beyond_vessel": True, "cushion": MORE}, FITS, "can have"),
    ("other_gas", {"cushion": MORE}, POSSIBLE, "than the charge allows"),
    ("other_gas", {"cushion": FLAT}, POSSIBLE, "great deal of air"),
    ("other_gas", {"cushion": UNCLEAR}, POSSIBLE, "too close together"),
]  # fmt: skip


@pytest.mark.parametrize(("cause", "seen", "fit", "words"), BRANCHES)
def test_a_sign_speaks_for_or_against_its_cause(cause, seen, fit, words):
    found = causes.verdicts(Findings(**{**NOTHING_SEEN, **seen}))[cause]
    assert found.fit == fit
    assert words in found.why


def test_every_verdict_on_every_cause_is_tried():
    assert {cause for cause, *_ in BRANCHES} == set(CAUSES)


def found(fitting=(), possible=()):
    """Return verdicts: the named ones fit or stay possible, all others do not fit."""
    fits = dict.fromkeys(CAUSES, NOT) | dict.fromkeys(possible, POSSIBLE)
    fits |= dict.fromkeys(fitting, FITS)
    return {name: Verdict(fit, "") for name, fit in fits.items()}


@pytest.mark.parametrize(
    ("fitting", "possible", "read", "name"),
    [
        ((), (), False, "Read again after a week"),
        (("make_up_passing",), (), False, "Leave make-up shut, read again"),
        ((), ("make_up_passing",), False, "Shut make-up and watch"),
        (("pump_side", "charge_lost"), (), False, "Pump off and on"),
        (("charge_lost",), (), False, "Charge with the water side at zero"),
        (("charge_lost",), (), True, "Pump up, read again after days"),
        (("waterlogged",), ("too_small",), False, "Drain and weigh the vessel"),
        (("overcharged",), (), False, "Set the charge, read again"),
        (("overcharged",), ("too_small",), False, "Charge with the water side at zero"),
        (("overcharged",), ("too_small",), True, "Set the charge, read again"),
        (("too_small",), (), False, "Measure the water"),
        (("other_gas",), ("charge_lost",), False, "Vent, read again"),
    ],
)
def test_the_next_test_parts_what_is_left(fitting, possible, read, name):
    assert causes.telling_test(found(fitting, possible), read).name == name


def test_what_is_quick_is_seen_before_a_vessel_is_drained():
    told = causes.telling_test(found(["charge_lost"], ["gauge_wrong", "pump_side"]), False).words
    assert told.startswith("Before you drain anything, see: a second gauge")
    assert "as the pump starts. Then: " in told
    alone = causes.telling_test(found(["charge_lost"]), False).words
    assert not alone.startswith("Before")


def test_three_causes_are_named_and_the_rest_counted():
    four = ["gauge_wrong", "valve_shut", "pump_side", "coil_leaking"]
    labels = [CAUSES[name][0] for name in four]
    assert causes.left_over(found(four))[0] == "; ".join(labels[:3]) + "; and 1 more"
    assert causes.left_over(found(four[:3], four[3:])) == ("; ".join(labels[:3]), labels[3])
    assert causes.left_over(found()) == ("none of these", "none of these")

"""The verdicts of the condensate neutraliser: amounts, acid, outlet, contact, and the rules."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

from calc import units as u
from calc.calculators.condensate_neutraliser.form import (
    A_251,
    CEMENT,
    MEASURED,
    OIL_STANDARD,
    OILS,
    OUTSIDE,
    SAFE_PIPE,
    UK,
)
from calc.model import CAUTION, FAIL, PASS, Values, Work, say
from calc.neutraliser import MAGNESIA
from calc.sources import (
    BS_6798,
    CFR_40_403,
    CHICAGO_PLUMBING,
    CONDENSATE_READINGS,
    DWA_A_251,
    OWN_RULE,
    PHYSICS,
    PLUMMER_BUSENBERG_1982,
    USGS_1998,
)

YEARS = replace(u.TIME, si="y", us="y")
_CUBIC = replace(u.VOLUME, si="m3")

SMALL, LARGE = 25e3, 200e3
"""Heat inputs at which DWA-A 251 changes its mind. [W]"""

SOUR = {"a251": 6.5, "us": 5.0, "uk": 6.5}
"""Least pH wanted at the outlet under each set of rules. [-]"""

ALKALINE = 10.0
MOIST_AIR = 1.1
"""Moisture of the air may add a tenth to the water that burning makes."""

SHORT_CONTACT, LONG_CONTACT = 600.0, 3600.0
"""[s]"""

LEAST_BORE = {"inside": 0.019, "outside": 0.030}
"""[m]"""

SPANS = {"gas": (2.8, 5.5), "oil": (1.5, 3.5)}


def judge(w: Work, v: Values, found: SimpleNamespace) -> str:
    """Give the verdicts; return whether neutralising is asked for, in words."""
    if v.amount == MEASURED:
        _check_amount(w, found)
    _check_acid(w, v, found)
    _check_outlet(w, v, found)
    _check_contact(w, found)
    _check_drain(w, v)
    if v.rule == A_251:
        return _by_a_251(w, v, found)
    if v.rule == UK:
        return _by_bs_6798(w, v)
    return _by_us_codes(w, v)


def _check_amount(w: Work, found: SimpleNamespace) -> None:
    said = {"k": (found.per_heat, u.WATER_PER_HEAT), "most": (found.ceiling, u.WATER_PER_HEAT)}
    cite = PHYSICS.at("mass balance; a tenth for moist air")
    if found.per_heat <= found.ceiling * MOIST_AIR:
        w.check(
            "amount", "No more than burning can make", PASS,
            say("{k} is within the {most} that burning makes.", **said), cite,
        )  # fmt: skip
        return
    words = (
        "{k} is more than the {most} that burning makes, even with moist air. Look for rain in the "
        "flue or a leak, and check input and heating value."
    )
    w.check("amount", "No more than burning can make", FAIL, say(words, **said), cite)


def _check_acid(w: Work, v: Values, found: SimpleNamespace) -> None:
    low, high = SPANS["oil" if v.fuel in OILS else "gas"]
    said = {
        "ph": (v.acid_ph, u.ACIDITY), "low": (low, u.ACIDITY), "high": (high, u.ACIDITY),
        "co2": (found.carbonic, u.ACIDITY),
    }  # fmt: skip
    if not low <= v.acid_ph <= high:
        w.check(
            "acid", "The pH is one that condensate has", CAUTION,
            say("pH {ph} lies outside the {low} to {high} usual for this fuel. Set the meter "
                "against two buffers and take fresh condensate before it has met any stone.",
                **said), CONDENSATE_READINGS.at(""),
        )  # fmt: skip
    elif v.acid_ph > found.carbonic:
        w.check(
            "acid", "The pH is one that condensate has", PASS,
            say("pH {ph} is above the {co2} that carbon dioxide alone gives under the flue gas: "
                "some of the gas has gone, and there is next to no strong acid.", **said),
            PLUMMER_BUSENBERG_1982.at("carbonic acid"),
        )  # fmt: skip
    else:
        w.check(
            "acid", "The pH is one that condensate has", PASS,
            say("pH {ph} is below the {co2} that carbon dioxide alone gives: strong acid from "
                "nitrogen or sulphur is in it.", **said),
            PLUMMER_BUSENBERG_1982.at("carbonic acid"),
        )  # fmt: skip


def _check_outlet(w: Work, v: Values, found: SimpleNamespace) -> None:
    least = SOUR[v.rule]
    said = {
        "least": (least, u.ACIDITY), "most": (ALKALINE, u.ACIDITY),
        "soon": (found.lasts.shortest, YEARS), "late": (found.lasts.longest, YEARS),
    }  # fmt: skip
    cite = OWN_RULE.at("pH 6.5 where no limit is known; pH 5 and 10 from US codes")
    label = "What leaves the neutraliser"
    if v.outlet_ph is None:
        w.check(
            "outlet", label, CAUTION,
            say("Not measured. The filling lasts between {soon} and {late} by reckoning; only the "
                "pH at the outlet tells. Measure it, wanted is {least} or more.", **said), cite,
        )  # fmt: skip
        return
    said["ph"] = (v.outlet_ph, u.ACIDITY)
    if v.outlet_ph < least:
        words = ("pH {ph} is below {least}: refill it now, whatever the dates say. Wash the bed "
                 "out, and see that the water goes through the stone and not past it.")  # fmt: skip
        w.check("outlet", label, FAIL, say(words, **said), cite)
    elif v.outlet_ph > ALKALINE:
        words = "pH {ph} is above {most}: the filling overshoots."
        words += (
            " Mix magnesia with limestone, or take limestone alone." if v.medium == MAGNESIA
            else " Stone cannot do that: look for lime, cement or a cleaning agent."
        )  # fmt: skip
        w.check("outlet", label, FAIL, say(words, **said), cite)
    else:
        words = "pH {ph} lies between {least} and {most}. As long as it does, the dates can wait."
        w.check("outlet", label, PASS, say(words, **said), cite)


def _check_contact(w: Work, found: SimpleNamespace) -> None:
    said = {
        "t": (found.contact, u.TIME), "short": (SHORT_CONTACT, u.TIME),
        "long": (LONG_CONTACT, u.TIME),
    }  # fmt: skip
    label, cite = "Time of contact", USGS_1998.at("one to three hours")
    if found.contact < SHORT_CONTACT:
        w.check(
            "contact", label, FAIL,
            say("{t} at full load is less than {short}: too short for stone to work. Take more "
                "stone, or finer.", **said), OWN_RULE.at("ten minutes"),
        )  # fmt: skip
    elif found.contact < LONG_CONTACT:
        w.check(
            "contact", label, CAUTION,
            say("{t} at full load. One to three hours are known to lift a pH below 4 to 6.2 to "
                "7.0; ten minutes have done it with a large bed. Measure the outlet at full load.",
                **said), cite,
        )  # fmt: skip
    else:
        w.check(
            "contact", label, PASS,
            say("{t} at full load is at least {long}, which is known to do.", **said), cite,
        )  # fmt: skip


def _check_drain(w: Work, v: Values) -> None:
    label, cite = "The drain can bear it", DWA_A_251.at("materials of the drain")
    treated = v.outlet_ph is not None and v.outlet_ph >= SOUR[v.rule]
    if v.drain == SAFE_PIPE:
        w.check("drain", label, PASS,
                "Plastic, stoneware, stainless steel and glass bear condensate.", cite)  # fmt: skip
    elif treated:
        w.check(
            "drain", label, CAUTION,
            say("Copper, bare steel, cast iron and concrete do not bear raw condensate. It leaves "
                "at pH {ph}; the day the stone is used up it eats the pipe. Lay plastic as far as "
                "the first other water.", ph=(v.outlet_ph, u.ACIDITY)), cite,
        )  # fmt: skip
    else:
        w.check(
            "drain", label, FAIL,
            "Copper, bare steel, cast iron and concrete do not bear raw condensate, and nothing "
            "here shows that it is neutralised. Lay plastic, or neutralise and measure.", cite,
        )  # fmt: skip


def _answer(w: Work, v: Values, reason: str, asked: bool, cite, **said) -> str:
    """Give the verdict on the rule from what is asked and what the outlet shows."""
    label = "The rule on neutralising"
    if not asked:
        w.check("rule", label, PASS, say(reason + " Local rules may ask more.", **said), cite)
        return "no"
    if v.outlet_ph is None:
        status, words = CAUTION, " Measure the outlet to show that it is done."
    elif v.outlet_ph < SOUR[v.rule]:
        status, words = FAIL, " The outlet is too sour: refill the neutraliser."
    else:
        status, words = PASS, " The outlet shows that it is done."
    w.check("rule", label, status, say(reason + words, **said), cite)
    return "yes"


def _by_a_251(w: Work, v: Values, found: SimpleNamespace) -> str:
    said = {
        "p": (found.lower, u.POWER), "small": (SMALL, u.POWER), "large": (LARGE, u.POWER),
        "have": (v.wastewater, _CUBIC), "need": (found.mixing, _CUBIC),
    }  # fmt: skip
    cite = DWA_A_251.at("by size")
    if v.fuel == OIL_STANDARD:
        return _answer(w, v, "Standard heating oil: always to be neutralised.", True, cite)
    if v.small_plant == "yes":
        words = "A small treatment plant follows: always to be neutralised."
        return _answer(w, v, words, True, cite)
    if v.drain == CEMENT:
        words = "The drain is cement-bound: always to be neutralised."
        return _answer(w, v, words, True, cite)
    if found.lower > LARGE:
        words = "{p} on the lower heating value is above {large}: always to be neutralised."
        return _answer(w, v, words, True, cite, **said)
    if found.lower < SMALL:
        words = "{p} on the lower heating value is below {small}: none asked."
        return _answer(w, v, words, False, cite, **said)
    if v.wastewater >= found.mixing:
        words = ("{p} lies between {small} and {large}: none asked if 25 times as much domestic "
                 "waste water dilutes it. There is {have}, and {need} does.")  # fmt: skip
        return _answer(w, v, words, False, cite, **said)
    words = ("{p} lies between {small} and {large}, and {have} of domestic waste water is less "
             "than the {need} that would dilute it.")  # fmt: skip
    return _answer(w, v, words, True, cite, **said)


def _by_us_codes(w: Work, v: Values) -> str:
    said = {"ph": (v.acid_ph, u.ACIDITY), "least": (SOUR["us"], u.ACIDITY)}
    cite = CHICAGO_PLUMBING.at("18-29-803.2, below pH 4.5 banned; 40 CFR 403.5 asks for pH 5")
    if v.acid_ph < SOUR["us"]:
        words = ("Raw, it has pH {ph}. Chicago bans less than 4.5 from the drain, and 40 CFR 403.5 "
                 "asks for {least} at the works; plumbing codes want corrosive waste diluted or "
                 "neutralised.")  # fmt: skip
        return _answer(w, v, words, True, cite, **said)
    words = "Raw, it has pH {ph}, not below {least}."
    return _answer(w, v, words, False, CFR_40_403.at("(b)"), **said)


def _by_bs_6798(w: Work, v: Values) -> str:
    least = LEAST_BORE[v.place]
    said = {"d": (v.bore, u.SMALL_LENGTH), "least": (least, u.SMALL_LENGTH)}
    where = "outside" if v.place == OUTSIDE else "inside"
    cite = BS_6798.at("6.3.7.1")
    if v.bore < least * (1 - 1e-9):
        w.check(
            "bore", "The condensate pipe is wide enough", FAIL,
            say("{d} is narrower than the {least} asked " + where + ". Lay a wider pipe" +
                (", with as little of it outside as can be." if where == "outside" else "."),
                **said), cite,
        )  # fmt: skip
    else:
        w.check(
            "bore", "The condensate pipe is wide enough", PASS,
            say("{d} is no less than the {least} asked " + where + ".", **said), cite,
        )  # fmt: skip
    return "not by this clause"

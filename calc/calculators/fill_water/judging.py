"""The verdicts of fill water: hardness, lifetime, pH, conductivity, and inhibitor."""

from __future__ import annotations

from dataclasses import dataclass

from calc import units
from calc import units as u
from calc.calculators.fill_water.form import (
    ALUMINIUM,
    COPPER,
    MOLYBDATE,
    NITRITE,
    NONE,
    SILICATE,
    STEEL,
    YOUNG,
)
from calc.equations.water_quality import SOURCES
from calc.model import CAUTION, FAIL, PASS, Values, Work, say
from calc.sources import UFC_3_240_13FN, VDI_2035_2021, Citation

CHAPTER = UFC_3_240_13FN.at("chapter 5, closed systems")
SOFT_FOR_NITRITE = 250.0 / 100.0869
"""Make-up water harder than this is softened for nitrite. [mol/m3]"""
MOST_SALTS = 0.8
"""Chloride and sulphate together, with nitrite. [kg/m3]"""
NITRITE_SPAN = {NITRITE: (0.6, 1.0), MOLYBDATE: (0.3, 0.4)}
MOLYBDENUM_SPAN = (0.05, 0.075)
LOW_SALT, SALINE = 0.01, 0.15
"""Where low-salt water ends, and saline water. [S/m]"""
NOTHING_LEFT = 0.1
"""Limits below this ask for water without hardness. [mol/m3]"""
_HAIR = 1.0 + 1e-9
"""What is typed in another unit may miss a bound by the rounding of its conversion."""


@dataclass(frozen=True, slots=True)
class Window:
    """The pH wanted, and who says so."""

    least: float
    most: float
    cite: Citation


def window(treatment: str, metals: str) -> Window:
    """Return the pH wanted for what is in the water and for the metals."""
    if treatment == NITRITE:
        return Window(8.5, 9.5, CHAPTER)
    if treatment == SILICATE:
        return Window(7.5, 8.9, CHAPTER)
    return Window(8.2, 9.0 if metals == ALUMINIUM else 10.0, VDI_2035_2021.at("pH"))


def way_of_treating(v: Values, allowed: float | None) -> str:
    """Return in words how the fill water is to be treated."""
    if allowed is None or v.hardness <= allowed:
        return "not needed"
    if v.metals == ALUMINIUM:
        return "demineralise"
    if allowed < NOTHING_LEFT:
        return "soften or demineralise all of it"
    return "soften or demineralise part of it"


def _both(found: float) -> str:
    """Return a hardness in German degrees, in brackets, as the table is mostly quoted."""
    return f" ({units.text_in(u.HARDNESS.unit('dH'), found)})"


def check_hardness(w: Work, v: Values, allowed: float | None, mixture: float) -> None:
    """Compare what goes in with what the chosen edition allows."""
    label, cite = "The fill water is soft enough", SOURCES[v.edition].at("table", "from memory")
    said = {"h": (mixture, u.HARDNESS)}
    if allowed is None:
        words = f"{{h}} goes in; the edition of {v.edition} sets no limit here."
        w.check("hardness", label, PASS, say(words, **said), cite)
        return
    said["a"] = (allowed, u.HARDNESS)
    words = f"{{h}} goes in, and the edition of {v.edition} allows {{a}}{_both(allowed)}."
    if mixture <= allowed * _HAIR:
        w.check("hardness", label, PASS, say(words, **said), cite)
        return
    mend = {
        "demineralise": "Demineralise it: softened water turns alkaline by itself, which aluminium "
        "does not bear.",
        "soften or demineralise all of it": "Soften or demineralise all of it.",
    }.get(way_of_treating(v, allowed), "Treat at least the share given above.")
    w.check("hardness", label, FAIL, say(f"{words} {mend}", **said), cite)


def check_other(w: Work, other: str, allowed: float | None, mixture: float) -> None:
    """Say what the edition that was not chosen would have said."""
    label, cite = f"The edition of {other}", SOURCES[other].at("table", "from memory")
    said = {"h": (mixture, u.HARDNESS)}
    if allowed is None:
        words, status = f"The edition of {other} sets no limit here.", PASS
    else:
        said["a"] = (allowed, u.HARDNESS)
        words = f"The edition of {other} allows {{a}}, and {{h}} goes in."
        status = PASS if mixture <= allowed * _HAIR else CAUTION
        if status == CAUTION:
            words += " Ask which edition holds for this system."
    w.check("edition", label, status, say(words, **said), cite)


def check_lifetime(w: Work, v: Values, water: float, most: float) -> None:
    """Compare the water of the system's life with the volumes for which the table holds."""
    label, cite = "The table still holds", SOURCES[v.edition].at("lifetime water", "from memory")
    said = {
        "now": (v.filled, u.VOLUME), "water": (water, u.VOLUME),
        "most": (most * v.system_volume, u.VOLUME),
    }  # fmt: skip
    beyond = f"more than {most:g} times the system, {{most}}."
    if v.filled > most * v.system_volume:
        words = (
            f"{{now}} went in, {beyond} The table no longer holds: let in only water without "
            "hardness, and find the leak."
        )
        w.check("lifetime", label, FAIL, say(words, **said), cite)
    elif water > most * v.system_volume:
        words = (
            f"{{water}} will have gone in, {beyond} Find the leak, or let in only water without "
            "hardness."
        )
        w.check("lifetime", label, CAUTION, say(words, **said), cite)
    else:
        w.check(
            "lifetime", label, PASS, say(f"{{water}} will have gone in, no {beyond}", **said), cite
        )


def check_ph(w: Work, v: Values, wanted: Window) -> None:
    """Compare the pH with its window; fresh water is given time."""
    said = {
        "ph": (v.ph, u.ACIDITY), "least": (wanted.least, u.ACIDITY),
        "most": (wanted.most, u.ACIDITY),
    }  # fmt: skip
    label, cite = "pH right for the metals", wanted.cite
    if wanted.least <= v.ph <= wanted.most:
        w.check("ph", label, PASS, say("pH {ph} lies between {least} and {most}.", **said), cite)
    elif v.ph < wanted.least and v.age == YOUNG and v.treatment == NONE:
        w.check("ph", label, CAUTION,
                say("pH {ph} is below {least}. Fresh water turns more alkaline by itself: measure "
                    "again after ten weeks before anything is dosed.", **said), cite)  # fmt: skip
    elif v.ph < wanted.least:
        w.check("ph", label, FAIL,
                say("pH {ph} is below {least}. Look for oxygen, glycol gone sour or spent "
                    "inhibitor, then raise it by the product's instructions.", **said),
                cite)  # fmt: skip
    else:
        mend = (
            "Aluminium dissolves: replace part of it by demineralised water."
            if v.metals == ALUMINIUM
            else "Replace part of it by treated water, and look for an overdose."
        )
        w.check("ph", label, FAIL, say("pH {ph} is above {most}. " + mend, **said), cite)


def check_conductivity(w: Work, v: Values) -> None:
    """Say whether the water is low in salt, saline, or beyond."""
    if v.treatment != NONE or v.conductivity is None:
        return
    said = {
        "k": (v.conductivity, u.CONDUCTIVITY), "low": (LOW_SALT, u.CONDUCTIVITY),
        "most": (SALINE, u.CONDUCTIVITY),
    }  # fmt: skip
    label, cite = "Not too salty", VDI_2035_2021.at("conductivity and oxygen")
    if v.conductivity > SALINE * _HAIR:
        w.check("conductivity", label, FAIL,
                say("{k} is above {most}. Find out which salt, and replace the water by "
                    "demineralised water.", **said), cite)  # fmt: skip
    elif v.conductivity > LOW_SALT * _HAIR:
        w.check("conductivity", label, PASS,
                say("{k} is saline water, up to {most}: oxygen must stay below 0.02 mg/L, so "
                    "nothing may leak.", **said), cite)  # fmt: skip
    else:
        w.check("conductivity", label, PASS,
                say("{k} is low in salt, up to {low}: it bears oxygen up to 0.1 mg/L.", **said),
                cite)  # fmt: skip


def _span(w: Work, id: str, label: str, found: float, span: tuple[float, float], more: str) -> None:
    least, most = span
    said = {
        "x": (found, u.CONCENTRATION), "least": (least, u.CONCENTRATION),
        "most": (most, u.CONCENTRATION),
    }  # fmt: skip
    if found * _HAIR < least:
        w.check(id, label, FAIL,
                say("{x} is below {least}. Dose up to between {least} and {most}, and find where "
                    "it went." + more, **said),
                CHAPTER)  # fmt: skip
    elif found > most * _HAIR:
        w.check(id, label, CAUTION,
                say("{x} is above {most}. Add no more; it comes down with ordinary losses." + more,
                    **said), CHAPTER)  # fmt: skip
    else:
        w.check(id, label, PASS,
                say("{x} lies between {least} and {most}." + more, **said), CHAPTER)  # fmt: skip


def check_inhibitor(w: Work, v: Values, mixture: float) -> None:
    """Compare what is left of the inhibitor, and what it bears, with the manual."""
    if v.treatment not in NITRITE_SPAN:
        return
    azole = "" if v.metals == STEEL else (
        " Copper wants at least 10 mg/L of tolyltriazole besides." if v.metals == COPPER else ""
    )  # fmt: skip
    if v.nitrite is not None:
        _span(w, "nitrite", "Enough nitrite", v.nitrite, NITRITE_SPAN[v.treatment], azole)
    if v.treatment == MOLYBDATE and v.molybdenum is not None:
        _span(w, "molybdenum", "Enough molybdate", v.molybdenum, MOLYBDENUM_SPAN, "")
    if v.metals == ALUMINIUM:
        w.check("aluminium", "It suits aluminium", FAIL,
                "With aluminium, polysilicate is the one to take, at pH 7.5 to 8.9, not nitrite. "
                "Flush, and change over.", CHAPTER)  # fmt: skip
    if v.treatment != NITRITE:
        return
    said = {"h": (mixture, u.HARDNESS), "most": (SOFT_FOR_NITRITE, u.HARDNESS)}
    if mixture > SOFT_FOR_NITRITE * _HAIR:
        w.check("make-up", "Make-up soft enough for nitrite", FAIL,
                say("{h} goes in, more than {most}. Soften the make-up water.", **said),
                CHAPTER)  # fmt: skip
    else:
        w.check("make-up", "Make-up soft enough for nitrite", PASS,
                say("{h} goes in, no more than {most}.", **said), CHAPTER)  # fmt: skip
    if v.salts is None:
        return
    said = {"x": (v.salts, u.CONCENTRATION), "most": (MOST_SALTS, u.CONCENTRATION)}
    if v.salts > MOST_SALTS * _HAIR:
        w.check("salts", "Chloride and sulphate low enough", FAIL,
                say("{x} is more than {most}: nitrite does not protect in such water. Demineralise "
                    "it, or take another inhibitor.", **said), CHAPTER)  # fmt: skip
    else:
        w.check("salts", "Chloride and sulphate low enough", PASS,
                say("{x} is no more than {most}.", **said), CHAPTER)  # fmt: skip


def check_tracer(w: Work, v: Values, lost: float) -> None:
    """Say how far the loss found from the inhibitor can be trusted."""
    label, said = "The inhibitor tells the loss", {"lost": (lost, u.VOLUME)}
    cite = UFC_3_240_13FN.at("nitrite is no tracer")
    if v.treatment in NITRITE_SPAN:
        w.check("tracer", label, CAUTION,
                say("{lost} by the inhibitor, but bacteria eat nitrite, so less may be lost. Test "
                    "molybdate, borate or azole for that, or read the make-up meter.", **said),
                cite)  # fmt: skip
    else:
        w.check("tracer", label, PASS,
                say("{lost} by the inhibitor, if nothing else uses it up. Compare it with the "
                    "make-up meter.", **said), cite)  # fmt: skip

"""How much water a closed system holds: by its parts, by its output, or by a metered fill."""

from __future__ import annotations

from dataclasses import dataclass

from calc import sources
from calc.sources import Citation

LITRE_PER_KILOWATT = 1e-6
"""One litre for each kilowatt. [m3/W]"""

SPREAD = 0.5
"""How far a content taken from output may be off, either way. [-]"""

USUAL_SPECIFIC_CONTENT = (6.0 * LITRE_PER_KILOWATT, 25.0 * LITRE_PER_KILOWATT)
"""From a plant of convectors to a plant of floor circuits. [m3/W]"""

_FIGURES = sources.CONTENT_FIGURES


@dataclass(frozen=True, slots=True)
class Figure:
    """A usual water content for each unit of output. [m3/W]"""

    label: str
    specific_content: float
    cite: Citation


FIGURES: dict[str, Figure] = {
    "existing": Figure(
        "Existing system that cannot be measured",
        14.0 * LITRE_PER_KILOWATT,
        sources.UNE_100155.at("commentary on chapter 9"),
    ),
    "course-notes": Figure(
        "Any system, 15 over 1.16",
        15.0 / 1.16 * LITRE_PER_KILOWATT,
        sources.RITE_COURSE_NOTES.at("system content"),
    ),
    "convectors": Figure(
        "Convectors or fan coils", 6.0 * LITRE_PER_KILOWATT, _FIGURES.at("convectors")
    ),
    "panels": Figure("Panel radiators", 10.5 * LITRE_PER_KILOWATT, _FIGURES.at("panel radiators")),
    "columns": Figure(
        "Column or cast-iron radiators", 14.0 * LITRE_PER_KILOWATT, _FIGURES.at("column radiators")
    ),
    "floor": Figure("Floor heating", 22.5 * LITRE_PER_KILOWATT, _FIGURES.at("floor heating")),
    "cast-boiler": Figure(
        "Cast-iron or steel boiler", 1.0 * LITRE_PER_KILOWATT, _FIGURES.at("boilers")
    ),
    "low-content-boiler": Figure(
        "Boiler with a low-content heat exchanger", 0.2 * LITRE_PER_KILOWATT, _FIGURES.at("boilers")
    ),
}
"""Usual contents by kind: whole systems, then emitters alone, then boilers alone."""


def usual_specific_content(kind: str) -> float:
    """Return the usual water content for each unit of output.

    Parameters
    ----------
    kind
        A key of `FIGURES`, such as "panels".

    Returns
    -------
    float
        Content per output. [m3/W]

    Notes
    -----
    An order of magnitude: take half as much and half as much again as its ends.

    Examples
    --------
    >>> round(usual_specific_content("course-notes") * 1e6, 1)
    12.9
    """
    return FIGURES[kind].specific_content


def content_from_output(output: float, specific_content: float) -> float:
    """Return the content that goes with an output.

    Parameters
    ----------
    output
        Heat output. [W]
    specific_content
        Content per output. [m3/W]

    Returns
    -------
    float
        Content. [m3]

    Examples
    --------
    >>> round(content_from_output(24e3, 14e-6) * 1000)
    336

    References
    ----------
    UNE 100155:2004, commentary on chapter 9.
    """
    return output * specific_content


def total_content(boilers: float, emitters: float, pipes: float, others: float) -> float:
    """Return the content of a system from its parts.

    Parameters
    ----------
    boilers, emitters, pipes, others
        Content of each group of parts. [m3]

    Returns
    -------
    float
        System volume. [m3]

    Examples
    --------
    >>> round(total_content(0.08, 0.9, 0.5, 0.02), 3)
    1.5
    """
    return boilers + emitters + pipes + others


def metered_content(before: float, after: float, remained: float, lost: float) -> float:
    """Return the content of a system from the meter on its filling line.

    Parameters
    ----------
    before, after
        Meter reading before and after filling. [m3]
    remained
        Water that was still in the system before filling. [m3]
    lost
        Metered water that did not stay: vented, flushed, or taken up by the vessel. [m3]

    Returns
    -------
    float
        System volume. [m3]

    Examples
    --------
    >>> round(metered_content(38.26, 39.98, 0.060, 0.030), 3)
    1.75
    """
    return after - before + remained - lost


def least_content(total: float, estimated: float, spread: float = SPREAD) -> float:
    """Return the low end of a system volume that is partly estimated.

    Parameters
    ----------
    total
        System volume. [m3]
    estimated
        The part of it taken from output. [m3]
    spread
        How far the estimated part may be off. [-]

    Returns
    -------
    float
        Lowest system volume. [m3]

    Notes
    -----
    The estimates are taken to be off the same way, which is the wide end.

    Examples
    --------
    >>> round(least_content(1.75, 0.35), 3)
    1.575
    """
    return total - spread * estimated


def greatest_content(total: float, estimated: float, spread: float = SPREAD) -> float:
    """Return the high end of a system volume that is partly estimated.

    Parameters
    ----------
    total
        System volume. [m3]
    estimated
        The part of it taken from output. [m3]
    spread
        How far the estimated part may be off. [-]

    Returns
    -------
    float
        Highest system volume. [m3]

    Examples
    --------
    >>> round(greatest_content(1.75, 0.35), 3)
    1.925
    """
    return total + spread * estimated


def share(part: float, total: float) -> float:
    """Return what share a part is of the total.

    Parameters
    ----------
    part, total
        Content of the part and of the system. [m3]

    Returns
    -------
    float
        Share. [-]

    Examples
    --------
    >>> round(share(0.35, 1.75), 3)
    0.2
    """
    return part / total


def specific_content(total: float, output: float) -> float:
    """Return the content of a system for each unit of its boilers' output.

    Parameters
    ----------
    total
        System volume. [m3]
    output
        Output of all boilers. [W]

    Returns
    -------
    float
        Content per output. [m3/W]

    Examples
    --------
    >>> round(specific_content(1.75, 155e3) * 1e6, 1)
    11.3
    """
    return total / output

"""Taper pipe threads: how far a joint goes together, by two families that do not mate."""

from __future__ import annotations

from dataclasses import dataclass

from calc.sources import ASME_B1_20_1, ISO_7_1, Citation

INCH = 0.0254

NPT_FORMULAS = ASME_B1_20_1.at("formulas and table of basic dimensions")
ISO_TABLE = ISO_7_1.at("table of dimensions, formulas of its columns")


@dataclass(frozen=True, slots=True)
class NptSize:
    """One size of the inch taper thread. Lengths in m, pitch from `threads_per_inch`."""

    nominal: str
    outside: float
    threads_per_inch: float
    hand_tight: float
    wrench_turns: float
    cite: Citation = NPT_FORMULAS


@dataclass(frozen=True, slots=True)
class IsoSize:
    """One size of the 55 degree taper thread. Lengths in m."""

    nominal: str
    threads_per_inch: float
    gauge_length: float
    fitting_turns: float
    wrench_turns: float
    cite: Citation = ISO_TABLE


# Size, outside diameter [in], threads in an inch, hand-tight length [in], turns with the wrench.
NPT = tuple(
    NptSize(nominal, outside * INCH, threads, hand * INCH, turns)
    for nominal, outside, threads, hand, turns in (
        ("1/2", 0.840, 14.0, 0.320, 3.0),
        ("3/4", 1.050, 14.0, 0.339, 3.0),
        ("1", 1.315, 11.5, 0.400, 3.0),
        ("1 1/4", 1.660, 11.5, 0.420, 3.0),
        ("1 1/2", 1.900, 11.5, 0.420, 3.0),
        ("2", 2.375, 11.5, 0.436, 3.0),
    )
)

# Size, threads in an inch, gauge length [mm], turns of fitting allowance, turns with the wrench.
ISO_7 = tuple(
    IsoSize(nominal, threads, gauge / 1000.0, fitting, turns)
    for nominal, threads, gauge, fitting, turns in (
        ("1/2", 14.0, 8.2, 2.75, 1.5),
        ("3/4", 14.0, 9.5, 2.75, 1.5),
        ("1", 11.0, 10.4, 2.75, 1.5),
        ("1 1/4", 11.0, 12.7, 2.75, 1.5),
        ("1 1/2", 11.0, 12.7, 2.75, 1.5),
        ("2", 11.0, 15.9, 3.25, 2.0),
    )
)


def pitch(threads_per_inch: float) -> float:
    """Return the distance from one thread to the next.

    Parameters
    ----------
    threads_per_inch
        Threads in an inch of length. [1]

    Returns
    -------
    float
        Pitch. [m]

    Examples
    --------
    >>> round(pitch(11.0) * 1000, 3)
    2.309
    """
    return INCH / threads_per_inch


def small_end_diameter(outside: float, pitch: float) -> float:
    """Return the pitch diameter at the small end of an inch taper thread.

    Parameters
    ----------
    outside
        Outside diameter of the pipe. [m]
    pitch
        Pitch. [m]

    Returns
    -------
    float
        Pitch diameter at the end of the pipe, E0. [m]

    Examples
    --------
    >>> round(small_end_diameter(0.840 * INCH, pitch(14.0)) / INCH, 5)
    0.75843

    References
    ----------
    ASME B1.20.1, from memory: E0 = D - (0.05 D + 1.1) p, lengths in inches.
    """
    # The standard's "0.05 D + 1.1" is a count of pitches, with D in inches.
    return outside - (0.05 * outside / INCH + 1.1) * pitch


def effective_length(outside: float, pitch: float) -> float:
    """Return the length of effective thread on an inch taper pipe.

    Parameters
    ----------
    outside
        Outside diameter of the pipe. [m]
    pitch
        Pitch. [m]

    Returns
    -------
    float
        Length of effective thread, L2. [m]

    Examples
    --------
    >>> round(effective_length(1.315 * INCH, pitch(11.5)) / INCH, 4)
    0.6828

    References
    ----------
    ASME B1.20.1, from memory: L2 = (0.80 D + 6.8) p, lengths in inches.
    """
    return (0.80 * outside / INCH + 6.8) * pitch


def length_of_turns(turns: float, pitch: float) -> float:
    """Return how far a thread advances.

    Parameters
    ----------
    turns
        Turns. [1]
    pitch
        Pitch. [m]

    Returns
    -------
    float
        Advance. [m]

    Examples
    --------
    >>> round(length_of_turns(3.0, pitch(14.0)) / INCH, 3)
    0.214
    """
    return turns * pitch


def turns_of_length(length: float, pitch: float) -> float:
    """Return the turns that advance a thread by a length.

    Parameters
    ----------
    length
        Advance. [m]
    pitch
        Pitch. [m]

    Returns
    -------
    float
        Turns. [1]

    Examples
    --------
    >>> round(turns_of_length(0.320 * INCH, pitch(14.0)), 2)
    4.48
    """
    return length / pitch


def engagement(hand_tight: float, wrench_turns: float, pitch: float) -> float:
    """Return the length of thread inside the fitting when an inch taper joint is made.

    Parameters
    ----------
    hand_tight
        Length that goes in by hand, L1. [m]
    wrench_turns
        Turns with the wrench after that. [1]
    pitch
        Pitch. [m]

    Returns
    -------
    float
        Normal engagement, L1 + L3. [m]

    Notes
    -----
    Each of the two threads may be a turn long or short, so a sound joint may differ by two turns.

    Examples
    --------
    >>> round(engagement(0.400 * INCH, 3.0, pitch(11.5)) / INCH, 3)
    0.661

    References
    ----------
    ASME B1.20.1, from memory.
    """
    return hand_tight + length_of_turns(wrench_turns, pitch)


def useful_length(gauge_length: float, fitting_turns: float, pitch: float) -> float:
    """Return the least length of useful thread on a 55 degree taper pipe.

    Parameters
    ----------
    gauge_length
        Basic gauge length. [m]
    fitting_turns
        Fitting allowance in turns. [1]
    pitch
        Pitch. [m]

    Returns
    -------
    float
        Useful thread, for the basic gauge length. [m]

    Examples
    --------
    >>> round(useful_length(0.0104, 2.75, pitch(11.0)) * 1000, 1)
    16.8

    References
    ----------
    ISO 7-1, from memory.
    """
    return gauge_length + length_of_turns(fitting_turns, pitch)

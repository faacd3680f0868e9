"""What pipes hold: bores and contents of the tubes that heating systems are made of."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from calc import sources
from calc.sources import Citation

INCH = 0.0254
MILLIMETRE = 1e-3

ASME_B36_10 = sources.ASME_B36_10M.at("wall thicknesses as remembered")
EN_10255 = sources.EN_10255.at("medium series, as remembered")
ASTM_B88 = sources.ASTM_B88.at("types K, L and M, as remembered")
EN_1057 = sources.EN_1057.at("table 1")
ASTM_F876 = sources.ASTM_F876.at("SDR 9 walls, as remembered")
METRIC_PEX = sources.COMMON_PRACTICE.at("usual metric plastic pipe for floor circuits")


@dataclass(frozen=True, slots=True)
class Tube:
    """One size of one standard. Lengths in m."""

    key: str
    label: str
    family: str
    outside: float
    wall: float
    cite: Citation


def bore(outside: float, wall: float) -> float:
    """Return the inside diameter of a tube.

    Parameters
    ----------
    outside
        Outside diameter. [m]
    wall
        Wall thickness. [m]

    Returns
    -------
    float
        Bore. [m]

    Examples
    --------
    >>> round(bore(0.022, 0.001) * 1000, 3)
    20.0
    """
    return outside - 2.0 * wall


def content_per_length(bore: float) -> float:
    """Return what a round bore holds, for each unit of its length.

    Parameters
    ----------
    bore
        Inside diameter. [m]

    Returns
    -------
    float
        Content per length. [m3/m]

    Examples
    --------
    >>> round(content_per_length(0.020) * 1000, 4)
    0.3142
    """
    return math.pi / 4.0 * bore**2


def pipe_content(bore: float, length: float) -> float:
    """Return what a length of pipe holds.

    Parameters
    ----------
    bore
        Inside diameter. [m]
    length
        Length of the run, flow and return counted apart. [m]

    Returns
    -------
    float
        Content. [m3]

    Examples
    --------
    >>> round(pipe_content(0.020, 100.0) * 1000, 1)
    31.4
    """
    return content_per_length(bore) * length


def tube(key: str) -> Tube:
    """Return the tube called `key`; KeyError where there is none."""
    return TUBES[key]


def tube_bore(key: str) -> float:
    """Return the bore of a standard tube.

    Parameters
    ----------
    key
        Name of the tube, such as "en-1057-22x1".

    Returns
    -------
    float
        Inside diameter. [m]

    Examples
    --------
    >>> round(tube_bore("b36.10-40-1") / 0.0254, 3)
    1.049
    """
    found = TUBES[key]
    return bore(found.outside, found.wall)


def tube_content(key: str, length: float) -> float:
    """Return what a length of a standard tube holds.

    Parameters
    ----------
    key
        Name of the tube, such as "en-1057-22x1".
    length
        Length of the run. [m]

    Returns
    -------
    float
        Content. [m3]

    Examples
    --------
    >>> round(tube_content("en-1057-22x1", 1.0) * 1000, 4)
    0.3142
    """
    return pipe_content(tube_bore(key), length)


_NOMINAL = {
    "3/8": 0.375, "1/2": 0.5, "5/8": 0.625, "3/4": 0.75, "1": 1.0, "1-1/4": 1.25,
    "1-1/2": 1.5, "2": 2.0, "2-1/2": 2.5, "3": 3.0, "4": 4.0,
}  # fmt: skip

# Nominal size, outside diameter, walls of schedule 40 and 80. [in]
_STEEL_INCH = (
    ("1/2", 0.840, 0.109, 0.147),
    ("3/4", 1.050, 0.113, 0.154),
    ("1", 1.315, 0.133, 0.179),
    ("1-1/4", 1.660, 0.140, 0.191),
    ("1-1/2", 1.900, 0.145, 0.200),
    ("2", 2.375, 0.154, 0.218),
    ("2-1/2", 2.875, 0.203, 0.276),
    ("3", 3.500, 0.216, 0.300),
    ("4", 4.500, 0.237, 0.337),
    ("5", 5.563, 0.258, 0.375),
    ("6", 6.625, 0.280, 0.432),
)

# Nominal size DN, outside diameter, wall of the medium series. [mm]
_STEEL_METRIC = (
    (15, 21.3, 2.6),
    (20, 26.9, 2.6),
    (25, 33.7, 3.2),
    (32, 42.4, 3.2),
    (40, 48.3, 3.2),
    (50, 60.3, 3.6),
    (65, 76.1, 3.6),
    (80, 88.9, 4.0),
    (100, 114.3, 4.5),
)

# Nominal size, walls of types K, L and M. [in] The outside is the nominal size and an eighth.
_COPPER_INCH = (
    ("3/8", 0.049, 0.035, 0.025),
    ("1/2", 0.049, 0.040, 0.028),
    ("5/8", 0.049, 0.042, None),
    ("3/4", 0.065, 0.045, 0.032),
    ("1", 0.065, 0.050, 0.035),
    ("1-1/4", 0.065, 0.055, 0.042),
    ("1-1/2", 0.072, 0.060, 0.049),
    ("2", 0.083, 0.070, 0.058),
    ("2-1/2", 0.095, 0.080, 0.065),
    ("3", 0.109, 0.090, 0.072),
    ("4", 0.134, 0.110, 0.095),
)

# Outside diameter and wall. [mm]
_COPPER_METRIC = (
    (10, 0.6), (12, 0.6), (15, 0.7), (15, 1.0), (18, 1.0), (22, 0.9), (22, 1.0), (28, 0.9),
    (28, 1.0), (35, 1.2), (42, 1.2), (54, 1.2),
)  # fmt: skip

# Nominal size and wall. [in] The outside is the nominal size and an eighth, the wall a ninth of it
# but never under 0.070 in.
_PEX_INCH = (
    ("3/8", 0.070),
    ("1/2", 0.070),
    ("5/8", 0.083),
    ("3/4", 0.097),
    ("1", 0.125),
    ("1-1/4", 0.153),
    ("1-1/2", 0.181),
    ("2", 0.236),
)

# Outside diameter and wall. [mm]
_PEX_METRIC = (
    (12, 2.0), (14, 2.0), (16, 2.0), (17, 2.0), (18, 2.0), (20, 2.0), (25, 2.3), (32, 2.9),
    (40, 3.7), (50, 4.6), (63, 5.8),
)  # fmt: skip

STEEL = "steel pipe"
COPPER = "copper tube"
PLASTIC = "plastic pipe"


def _size(text: str) -> str:
    return text.replace("/", "-").replace("--", "-")


def _tubes() -> Iterable[Tube]:
    for nominal, outside, *walls in _STEEL_INCH:
        for schedule, wall in zip((40, 80), walls, strict=True):
            yield Tube(
                f"b36.10-{schedule}-{_size(nominal)}",
                f"Steel ASME B36.10M Sch {schedule}, NPS {nominal} in",
                STEEL, outside * INCH, wall * INCH, ASME_B36_10,
            )  # fmt: skip
    for nominal, outside, wall in _STEEL_METRIC:
        yield Tube(
            f"en-10255-{nominal}",
            f"Steel EN 10255 medium, DN {nominal} ({outside:g} x {wall:g} mm)",
            STEEL, outside * MILLIMETRE, wall * MILLIMETRE, EN_10255,
        )  # fmt: skip
    for nominal, *walls in _COPPER_INCH:
        outside = _NOMINAL[nominal] + 0.125
        for kind, wall in zip("KLM", walls, strict=True):
            if wall is not None:
                yield Tube(
                    f"b88-{kind.lower()}-{_size(nominal)}",
                    f"Copper ASTM B88 type {kind}, {nominal} in",
                    COPPER, outside * INCH, wall * INCH, ASTM_B88,
                )  # fmt: skip
    for outside, wall in _COPPER_METRIC:
        yield Tube(
            f"en-1057-{outside}x{wall:g}",
            f"Copper EN 1057, {outside} x {wall:g} mm",
            COPPER, outside * MILLIMETRE, wall * MILLIMETRE, EN_1057,
        )  # fmt: skip
    for nominal, wall in _PEX_INCH:
        yield Tube(
            f"f876-{_size(nominal)}",
            f"PEX ASTM F876 SDR 9, {nominal} in",
            PLASTIC, (_NOMINAL[nominal] + 0.125) * INCH, wall * INCH, ASTM_F876,
        )  # fmt: skip
    for outside, wall in _PEX_METRIC:
        yield Tube(
            f"pex-{outside}x{wall:g}",
            f"PEX metric, {outside} x {wall:g} mm",
            PLASTIC, outside * MILLIMETRE, wall * MILLIMETRE, METRIC_PEX,
        )  # fmt: skip


TUBES: dict[str, Tube] = {found.key: found for found in _tubes()}
"""Every tube the handbook knows, by key, in the order a list shows them."""

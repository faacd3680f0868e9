"""Water to fill a heating system with: hardness allowed, lifetime water, and inhibitor."""

from __future__ import annotations

import math
from dataclasses import dataclass

from calc import units
from calc.model import Refusal, say
from calc.sources import PHYSICS

FULL, SPARE = "full", "spare"
"""A heater that holds 0.3 L/kW or more; one that holds less, or that heats electrically."""

_KW = 1e3
_LITRE_PER_KW = 1e-3 / _KW
_HAIR = 1.0 + 1e-9
_TRACE = 1e-4


@dataclass(frozen=True, slots=True)
class Edition:
    """One edition of the German guideline on water for heating systems.

    Attributes
    ----------
    year
        Year of issue.
    bands
        Two bounds of water content per output of the smallest heater. [m3/W]
    reaches
        Whether a content that equals a bound still belongs below it.
    outputs
        Upper bounds of total output; the last row has none. [W]
    rows
        Allowed hardness by band for each output; None where there is no limit. [mol/m3]
    spare
        The first row for heaters that hold little water.
    lifetime
        Water in the system's life, in system volumes, up to which the table holds.
    """

    year: str
    bands: tuple[float, float]
    reaches: bool
    outputs: tuple[float, ...]
    rows: tuple[tuple[float | None, ...], ...]
    spare: tuple[float | None, ...]
    lifetime: float


EDITION_2021 = Edition(
    year="2021",
    bands=(20 * _LITRE_PER_KW, 40 * _LITRE_PER_KW),
    reaches=True,
    outputs=(50 * _KW, 200 * _KW, 600 * _KW),
    rows=((None, 3.0, 0.05), (2.0, 1.0, 0.05), (1.5, 0.05, 0.05), (0.05, 0.05, 0.05)),
    spare=(3.0, 1.5, 0.05),
    lifetime=2.0,
)
"""As remembered, high confidence; the lifetime with medium confidence."""

EDITION_2005 = Edition(
    year="2005",
    bands=(20 * _LITRE_PER_KW, 50 * _LITRE_PER_KW),
    reaches=False,
    outputs=(50 * _KW, 200 * _KW, 600 * _KW),
    rows=((None, 2.0, 0.02), (2.0, 1.5, 0.02), (1.5, 0.02, 0.02), (0.02, 0.02, 0.02)),
    spare=(3.0, 2.0, 0.02),
    lifetime=3.0,
)
"""Values second-hand, their place in the table as remembered."""

EDITIONS = {edition.year: edition for edition in (EDITION_2021, EDITION_2005)}


def band(edition: Edition, content: float) -> int:
    """Return which of three bands of water content per output a system is in: 0, 1 or 2.

    Examples
    --------
    >>> band(EDITION_2021, 40e-6), band(EDITION_2005, 50e-6)
    (1, 2)
    """
    if edition.reaches:
        return sum(content > bound * _HAIR for bound in edition.bands)
    return sum(content * _HAIR >= bound for bound in edition.bands)


def hardness_limit(edition: Edition, heater: str, output: float, content: float) -> float | None:
    """Return the hardness that an edition allows the fill water.

    Parameters
    ----------
    edition
        Which edition's table.
    heater
        FULL or SPARE.
    output
        Output of all heaters together. [W]
    content
        Water in the system per output of the smallest heater. [m3/W]

    Returns
    -------
    float or None
        Total hardness, None where there is no limit. [mol/m3]

    Examples
    --------
    >>> hardness_limit(EDITION_2021, FULL, 155e3, 29e-6)
    1.0
    >>> hardness_limit(EDITION_2021, FULL, 24e3, 12e-6) is None
    True

    References
    ----------
    VDI 2035 part 1, by edition (from memory, see `Edition`).
    """
    row = sum(output > bound * _HAIR for bound in edition.outputs)
    cells = edition.spare if row == 0 and heater == SPARE else edition.rows[row]
    return cells[band(edition, content)]


def content_per_output(volume: float, smallest: float) -> float:
    """Return the water in the system per output of the smallest heater.

    Parameters
    ----------
    volume
        Water in the system. [m3]
    smallest
        Output of the smallest heater. [W]

    Returns
    -------
    float
        Content per output. [m3/W]

    Examples
    --------
    >>> round(content_per_output(1.75, 60e3) * 1e6, 2)
    29.17
    """
    return volume / smallest


def mixed_hardness(hardness: float, treated: float) -> float:
    """Return the hardness of raw water mixed with water that has none left.

    Parameters
    ----------
    hardness
        Of the raw water. [mol/m3]
    treated
        Share that is softened or demineralised. [-]

    Returns
    -------
    float
        Hardness of the mixture. [mol/m3]

    Examples
    --------
    >>> mixed_hardness(1.8, 0.5)
    0.9
    """
    return hardness * (1.0 - treated)


def treated_share(hardness: float, allowed: float) -> float:
    """Return the least share of treated water that brings raw water to what is allowed.

    Parameters
    ----------
    hardness
        Of the raw water. [mol/m3]
    allowed
        Hardness allowed. [mol/m3]

    Returns
    -------
    float
        Share; 0 where the raw water is soft enough. [-]

    Examples
    --------
    >>> treated_share(2.0, 1.5)
    0.25
    """
    return 0.0 if hardness <= allowed else 1.0 - allowed / hardness


def lifetime_water(filled: float, yearly: float, years: float) -> float:
    """Return the fill and make-up water of a system's life.

    Parameters
    ----------
    filled
        Let in until now, with the first fill. [m3]
    yearly
        Make-up in a year. [m3]
    years
        Years still to run. [-]

    Returns
    -------
    float
        Volume. [m3]

    Examples
    --------
    >>> lifetime_water(1.9, 0.02, 20)
    2.3
    """
    return filled + yearly * years


def years_until(filled: float, yearly: float, volume: float, lifetime: float) -> float:
    """Return after how many years the lifetime water is used up.

    Parameters
    ----------
    filled
        Let in until now, with the first fill. [m3]
    yearly
        Make-up in a year. [m3]
    volume
        Water in the system. [m3]
    lifetime
        Water allowed in the system's life, in system volumes. [-]

    Returns
    -------
    float
        Years; 0 where it is used up. [-]

    Examples
    --------
    >>> round(years_until(2.0, 0.1, 1.5, 2.0), 9)
    10.0
    """
    if yearly <= 0:
        raise Refusal(
            say("With {y} a year the lifetime water is never used up. Enter the make-up of a "
                "year.", y=(yearly, units.VOLUME)),
            field="yearly", cite=PHYSICS.at("balance of volume"),
        )  # fmt: skip
    return max(0.0, (lifetime * volume - filled) / yearly)


def first_dose(share: float, volume: float) -> float:
    """Return the inhibitor that a system takes.

    Parameters
    ----------
    share
        Inhibitor product by volume. [-]
    volume
        Water in the system. [m3]

    Returns
    -------
    float
        Product. [m3]

    Examples
    --------
    >>> first_dose(0.01, 0.25) * 1000
    2.5
    """
    return share * volume


def water_lost(volume: float, before: float, after: float) -> float:
    """Return the water lost, from a tracer that went with it.

    Parameters
    ----------
    volume
        Water in the system. [m3]
    before, after
        Strength of the tracer then and now, in any unit. [-]

    Returns
    -------
    float
        Water lost and replaced by water without tracer. [m3]

    Notes
    -----
    Holds for a steady loss, well mixed, of a tracer that nothing else uses up. Nitrite is none:
    bacteria eat it.

    Examples
    --------
    >>> round(water_lost(1.0, 1.0, 0.98), 4)
    0.0202
    """
    if after > before:
        raise Refusal(
            say("It holds {a} now and held {b} before: more than before. Either inhibitor was "
                "added or one test is wrong. Enter the test after the last dose as the earlier "
                "one.", a=(after, units.FRACTION), b=(before, units.FRACTION)),
            field="found", cite=PHYSICS.at("balance of a tracer"),
        )  # fmt: skip
    if after <= _TRACE * before:
        raise Refusal(
            "Next to none of the inhibitor is left, so how much water was lost cannot be told: at "
            "least several system volumes, or it was never dosed. Leave the earlier test blank.",
            field="found", cite=PHYSICS.at("balance of a tracer"),
        )  # fmt: skip
    return volume * math.log(before / after)

"""Strength of glycol in water: reaching it, losing it, and what a share by mass means.

Shares are by volume unless a name says otherwise; 1 is pure glycol. Volumes are taken to add up,
which overstates a mixture's volume by less than one part in a hundred.
"""

from __future__ import annotations

from collections.abc import Callable

from calc import units
from calc.fluids import Fluid, freezing_temperature
from calc.model import Refusal, say
from calc.sources import COOLPROP, PHYSICS, Citation

PURE_DENSITY = {"propylene glycol": 1036.0, "ethylene glycol": 1113.0}
"""Density of the pure glycol at 20 degC, from memory. [kg/m3]"""

WATER_DENSITY = 998.2
"""Density of water at 20 degC. [kg/m3]"""

WEAKEST, STRONGEST = 0.10, 0.60
"""Ends of the tables of mixtures, by volume. [-]"""

_BALANCE: Citation = PHYSICS.at("balance of glycol")
_TABLES = COOLPROP.at("ASHRAE glycol sets")
_HALVINGS = 48


def replaced_volume(volume: float, now: float, wanted: float, added: float) -> float:
    """Return how much to let out, and then pour in, to bring a full system to a strength.

    Parameters
    ----------
    volume
        Fluid in the system. [m3]
    now, wanted
        Share of glycol before and after. [-]
    added
        Share of glycol in what is poured in; 1 is neat, 0 is water. [-]

    Returns
    -------
    float
        Volume to replace. [m3]

    Notes
    -----
    The system is well mixed before it is drained. Works both ways: with something weaker than
    `wanted` it brings a mixture down.

    Examples
    --------
    >>> round(replaced_volume(0.1, 0.2, 0.3, 1.0) * 1000, 1)
    12.5
    """
    if wanted == now:
        return 0.0
    _require_stronger(now, wanted, added)
    return volume * (wanted - now) / (added - now)


def added_volume(volume: float, now: float, wanted: float, added: float) -> float:
    """Return how much to pour in, with nothing let out, to reach a strength.

    Parameters
    ----------
    volume
        Fluid in the system before. [m3]
    now, wanted
        Share of glycol before and after. [-]
    added
        Share of glycol in what is poured in. [-]

    Returns
    -------
    float
        Volume to add; the system must have room for it. [m3]

    Examples
    --------
    >>> round(added_volume(0.1, 0.2, 0.3, 1.0) * 1000, 2)
    14.29
    """
    if wanted == now:
        return 0.0
    _require_stronger(now, wanted, added)
    return volume * (wanted - now) / (added - wanted)


def first_fill(volume: float, wanted: float, added: float) -> float:
    """Return the concentrate that an empty system of a volume takes; the rest is water.

    Parameters
    ----------
    volume
        Fluid the system holds. [m3]
    wanted
        Share of glycol wanted. [-]
    added
        Share of glycol in the concentrate. [-]

    Returns
    -------
    float
        Concentrate. [m3]

    Examples
    --------
    >>> round(first_fill(0.12, 0.3, 0.95) * 1000, 1)
    37.9
    """
    if added < wanted:
        raise Refusal(
            say("What you pour in holds {g}, less than the {w} wanted. Take a stronger "
                "concentrate.", g=(added, units.FRACTION), w=(wanted, units.FRACTION)),
            field="added", cite=_BALANCE,
        )  # fmt: skip
    return volume * wanted / added


def share_after_replacing(volume: float, now: float, replaced: float, added: float) -> float:
    """Return the strength after part of the system is let out and replaced.

    Parameters
    ----------
    volume
        Fluid in the system. [m3]
    now
        Share of glycol before. [-]
    replaced
        Volume let out, then poured in. [m3]
    added
        Share of glycol in what is poured in. [-]

    Returns
    -------
    float
        Share of glycol, mixed. [-]

    Examples
    --------
    >>> round(share_after_replacing(0.1, 0.2, 0.0125, 1.0), 3)
    0.3
    """
    if not 0 <= replaced <= volume:
        raise Refusal(
            say("{r} cannot be replaced in a system of {v}. Enter no more than it holds.",
                r=(replaced, units.VOLUME), v=(volume, units.VOLUME)),
            cite=_BALANCE,
        )  # fmt: skip
    return now + (added - now) * replaced / volume


def diluted(share: float, volume: float, topped: float, times: float) -> float:
    """Return the strength left after fluid is lost and made up with water, again and again.

    Parameters
    ----------
    share
        Share of glycol before. [-]
    volume
        Fluid in the system. [m3]
    topped
        Fluid lost, then made up with water, each time. [m3]
    times
        How many times. [-]

    Returns
    -------
    float
        Share of glycol. [-]

    Notes
    -----
    The system mixes between one loss and the next.

    Examples
    --------
    >>> round(diluted(0.3, 0.1, 0.005, 4), 4)
    0.2444
    """
    if topped > volume:
        raise Refusal(
            say("{t} cannot be lost at once from a system of {v}. Enter no more than it holds.",
                t=(topped, units.VOLUME), v=(volume, units.VOLUME)),
            field="topped", cite=_BALANCE,
        )  # fmt: skip
    return share * (1.0 - topped / volume) ** times


def loss_until(share: float, least: float, volume: float) -> float:
    """Return how much may be lost at once and made up with water before a strength is reached.

    Parameters
    ----------
    share
        Share of glycol now. [-]
    least
        Share that must be left. [-]
    volume
        Fluid in the system. [m3]

    Returns
    -------
    float
        Loss that leaves just that strength; 0 where it is already weaker. [m3]

    Examples
    --------
    >>> round(loss_until(0.3, 0.25, 0.12) * 1000, 1)
    20.0
    """
    return 0.0 if share <= least else volume * (1.0 - least / share)


def share_by_mass(volume_share: float, glycol_density: float, water_density: float) -> float:
    """Return the share by mass of a mixture made up by volume.

    Parameters
    ----------
    volume_share
        Glycol by volume. [-]
    glycol_density, water_density
        Density of the pure liquids. [kg/m3]

    Returns
    -------
    float
        Glycol by mass. [-]

    Examples
    --------
    >>> round(share_by_mass(0.3, 1113.0, 998.2), 3)
    0.323
    """
    glycol = volume_share * glycol_density
    return glycol / (glycol + (1.0 - volume_share) * water_density)


def share_by_volume(mass_share: float, glycol_density: float, water_density: float) -> float:
    """Return the share by volume of a mixture made up by mass.

    Parameters
    ----------
    mass_share
        Glycol by mass. [-]
    glycol_density, water_density
        Density of the pure liquids. [kg/m3]

    Returns
    -------
    float
        Glycol by volume. [-]

    Examples
    --------
    >>> round(share_by_volume(0.3, 1113.0, 998.2), 3)
    0.278
    """
    glycol = mass_share / glycol_density
    return glycol / (glycol + (1.0 - mass_share) / water_density)


def freezing_curve(substance: str) -> Callable[[float], float]:
    """Return the freezing point of a mixture as a function of its share by volume.

    Examples
    --------
    >>> round(freezing_curve("propylene glycol")(0.3) - 273.15, 1)
    -13.1
    """
    return lambda share: freezing_temperature(Fluid(substance, share))


def share_for(substance: str, temperature: float) -> float:
    """Return the share by volume at which the first ice forms at a temperature.

    Parameters
    ----------
    substance
        "propylene glycol" or "ethylene glycol".
    temperature
        Freezing point wanted. [K]

    Returns
    -------
    float
        Glycol by volume. [-]

    Notes
    -----
    The inverse of the table of freezing points, between its ends.

    Examples
    --------
    >>> round(share_for("ethylene glycol", 273.15 - 15.7), 2)
    0.3

    References
    ----------
    ASHRAE glycol sets in CoolProp.
    """
    freezing = freezing_curve(substance)
    warm, cold = freezing(WEAKEST), freezing(STRONGEST)
    if not cold <= temperature <= warm:
        raise Refusal(
            say("A freezing point of {t} is outside the table of " + substance + ", which runs "
                "from {warm} to {cold}. Enter one between them.",
                t=(temperature, units.TEMPERATURE), warm=(warm, units.TEMPERATURE),
                cold=(cold, units.TEMPERATURE)),
            cite=_TABLES,
        )  # fmt: skip
    low, high = WEAKEST, STRONGEST
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if freezing(middle) > temperature else (low, middle)
    return (low + high) / 2.0


def _require_stronger(now: float, wanted: float, added: float) -> None:
    """Refuse to reach a strength that does not lie between what is there and what is added."""
    if min(now, added) < wanted < max(now, added):
        return
    said = {
        "n": (now, units.FRACTION), "w": (wanted, units.FRACTION), "a": (added, units.FRACTION),
    }  # fmt: skip
    if wanted == added:
        words = ("Pouring in {a} never quite reaches {w} while any of the old {n} is left. Take "
                 "something further from it, or fill anew.")  # fmt: skip
    elif wanted > now:
        words = "Pouring {a} into {n} cannot raise it to {w}. Take a stronger concentrate."
    else:
        words = ("Pouring {a} into {n} cannot lower it to {w}. Take a weaker mixture, or water "
                 "of 0 %.")  # fmt: skip
    raise Refusal(say(words, **said), field="added", cite=_BALANCE)

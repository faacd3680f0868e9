"""What the converter offers: every Kind with more than one unit, and the line between two units."""

from __future__ import annotations

import math

from calc import units
from calc.units import Kind, Unit

_SUPERSCRIPT = str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹")
_FIGURES = 6
_LEAST_PLAIN, _MOST_PLAIN = 1e-4, 1e9


def offered_kinds() -> tuple[Kind, ...]:
    """Return every Kind worth converting, in the order they are declared.

    A Kind with one unit is left out, and so is one whose units another Kind offers all of.

    Examples
    --------
    >>> [kind.name for kind in offered_kinds()][:3]
    ['gauge pressure', 'absolute pressure', 'pressure difference']
    """
    return tuple(
        kind
        for kind in units.KINDS
        if len(kind.units) > 1 and not any(_all_in(kind, other) for other in units.KINDS)
    )


def _all_in(kind: Kind, other: Kind) -> bool:
    mine, theirs = (
        {(unit.text, unit.scale, unit.offset) for unit in k.units} for k in (kind, other)
    )
    return mine < theirs


def factor_and_offset(unit: Unit, wanted: Unit) -> tuple[float, float]:
    """Return what leads from a number in one unit to that in another of the same Kind.

    Parameters
    ----------
    unit
        The unit a number is in.
    wanted
        The unit it is wanted in.

    Returns
    -------
    tuple of float
        Factor and offset: wanted = number x factor + offset. [-]

    Examples
    --------
    >>> celsius, fahrenheit = (units.TEMPERATURE.unit(id) for id in ("degC", "degF"))
    >>> tuple(round(part, 3) for part in factor_and_offset(celsius, fahrenheit))
    (1.8, 32.0)
    """
    return unit.scale / wanted.scale, (unit.offset - wanted.offset) / wanted.scale


def other_unit(kind: Kind) -> Unit:
    """Return the unit to show beside the SI one: that of US practice, or else the last.

    Examples
    --------
    >>> other_unit(units.VOLUME).id, other_unit(units.CONCENTRATION).id
    ('gal', 'g/L')
    """
    if kind.us != kind.si:
        return kind.unit(kind.us)
    return next(unit for unit in reversed(kind.units) if unit.id != kind.si)


def six_figures(value: float) -> str:
    """Return a number to six figures, as a table of conversions prints it.

    Examples
    --------
    >>> six_figures(3.785411784), six_figures(1234567.8), six_figures(0.0), six_figures(-2.5e-7)
    ('3.78541', '1234568', '0', '−2.5 × 10⁻⁷')
    """
    size = abs(value)
    if size < 1e-300:
        return "0"
    magnitude = math.floor(math.log10(size))
    if _LEAST_PLAIN <= size < _MOST_PLAIN:
        text = f"{value:.{max(_FIGURES - 1 - magnitude, 0)}f}"
        text = text.rstrip("0").rstrip(".") if "." in text else text
    else:
        number, _, power = f"{value:.{_FIGURES - 1}e}".partition("e")
        number = number.rstrip("0").rstrip(".")
        text = f"{number} × 10{str(int(power)).translate(_SUPERSCRIPT)}"
    return text.replace("-", "−")

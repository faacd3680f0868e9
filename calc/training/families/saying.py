"""How texts of problems say gallons and days, and what imperial gallons would have given."""

from __future__ import annotations

from calc import units
from calc.training.problem import Known

TABLE_WHY = "tables and rounding on the way allow that much"

_IMPERIAL = units.VOLUME.unit("imp gal").scale / units.VOLUME.unit("gal").scale


def gallons(text: str) -> str:
    """Return ``20 US gal`` for ``20 gal``: a bare gallon could be an imperial one."""
    return text if "US" in text else text.replace(" gal", "\xa0US gal")


def days(text: str) -> str:
    """Return ``7 days`` for ``7 d``."""
    return text if "day" in text else text.replace(" d", "\xa0days")


def us(k: Known) -> bool:
    """Return whether the problem is told in customary units."""
    return k.get("system") == "us"


def imperial(k: Known, value: float) -> float | None:
    """Return what imperial gallons would have made of a value; None where none are in it."""
    return value * _IMPERIAL if us(k) else None

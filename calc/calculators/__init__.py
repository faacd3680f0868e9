"""The calculators, listed by hand. Nothing registers itself."""

from __future__ import annotations

from calc.model import Calculator


def _all() -> tuple[Calculator, ...]:
    from calc.calculators import drain_down, pre_charge, relief_margin, system_volume, vessel_size

    return (
        system_volume.CALCULATOR,
        vessel_size.CALCULATOR,
        pre_charge.CALCULATOR,
        relief_margin.CALCULATOR,
        drain_down.CALCULATOR,
    )

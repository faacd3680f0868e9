"""What the pressure trace asks for, how its form is laid out, and what it gives."""

from __future__ import annotations

from dataclasses import replace

from calc import site
from calc import units as u
from calc.model import Limit, Output, Quantity, Section, Table, Text
from calc.sources import OWN_RULE

MOST_CASES = 3
COUNTED = ("First case", "Second case", "Third case")

INPUTS = (
    replace(site.HEIGHT, default="11.4 m"),
    replace(site.SYSTEM_VOLUME, default="1750 L"),
    site.COLD,
    site.HOT,
    site.RELIEF,
    site.VALVE_HEIGHT,
    site.GAUGE_HEIGHT,
    Table(
        name="cases",
        label="Cases to compare",
        row_label="a case",
        columns=(
            Text(name="name", label="Name", help="As found, recharged, resized, or what you like."),
            replace(site.VESSEL_VOLUME, help="Total volume from its plate."),
            replace(site.CHARGE, help="Gas pressure with the water side at zero and open."),
            Quantity(
                name="cold_fill",
                label="Cold fill on the gauge",
                kind=u.GAUGE_PRESSURE,
                default=site.COLD_FILL_ON_GAUGE,
                help="The gauge, cold, pump stopped.",
                reading=True,
                low=Limit(
                    "0 bar", "a closed system is never run below the air around it", OWN_RULE.at()
                ),
                high=site.RELIEF.high,
            ),
        ),
        help="One to three cases of the same system. The example: the vessel as found, recharged, "
        "and changed for a larger one.",
        default=(
            ("As found", site.OLD_VESSEL_VOLUME, site.OLD_VESSEL_CHARGE, site.COLD_FILL_ON_GAUGE),
            ("Recharged", site.OLD_VESSEL_VOLUME, "1.5 bar", site.COLD_FILL_ON_GAUGE),
            ("Resized", "250 L", "1.5 bar", site.COLD_FILL_ON_GAUGE),
        ),
        us_default=(
            ("As found", "53 gal", "10 psi", "22.5 psi"),
            ("Recharged", "53 gal", "22 psi", "22.5 psi"),
            ("Resized", "66 gal", "22 psi", "22.5 psi"),
        ),
        fewest=1,
        most=MOST_CASES,
    ),
    site.FLUID,
    site.GLYCOL,
    site.PIPE,
    site.ALTITUDE,
    site.GAP_RULE,
    site.GAP_OWN,
)

SECTIONS = (
    Section(
        "System",
        ("height", "system_volume", "cold", "hot", "relief", "valve_height", "gauge_height"),
    ),
    Section("Cases", ("cases",)),
    Section(
        "Fluid, pipes and rules",
        ("fluid", "glycol", "pipe", "altitude", "gap_rule", "gap_own"),
        folded=True,
    ),
)

_PER_CASE = (
    ("hot", "hot, on the gauge", u.GAUGE_PRESSURE, "If no valve opened before."),
    ("lift", "relief valve opens at", u.TEMPERATURE, ""),
    ("boil", "highest point boils at", u.TEMPERATURE, "Pump stopped, all at one temperature."),
)

OUTPUTS = (
    Output("keeping", "Cases that keep the margin", None, headline=True),
    *(
        Output(f"{name}_{number}", f"{counted}: {label}", kind, help)
        for number, counted in enumerate(COUNTED, start=1)
        for name, label, kind, help in _PER_CASE
    ),
)

EXAMPLES = (
    # One case, every part of it in customary units; the valve opens on the way.
    {
        "height": "26 ft",
        "system_volume": "26.4 gal",
        "cold": "59 degF",
        "hot": "180 degF",
        "relief": "30 psi",
        "valve_height": "4 ft",
        "gauge_height": "3 ft",
        "cases": "Plain | 3.2 gal | 5 psi | 18 psi",
        "altitude": "2100 ft",
        "gap_rule": "tenth-or-five",
        "pipe": "copper",
    },
    # A charge above the fill, a vessel with no room, a glycol mixture.
    {
        "cases": "Too high | 200 L | 1.9 bar | 1.6 bar; No room | 60 L | 1.4 bar | 1.6 bar",
        "fluid": "propylene glycol",
        "glycol": "35 %",
        "gap_rule": "tenth",
        "pipe": "plastic",
    },
    {
        "fluid": "ethylene glycol",
        "glycol": "25 %",
        "gap_rule": "five-psi",
        "height": "17 m",
        "pipe": "none",
    },
    {"gap_rule": "quarter", "relief": "6 bar", "hot": "125 degC"},
    {"gap_rule": "own", "gap_own": "0.3 bar", "hot": "105 degC", "altitude": "2400 m"},
    {"gap_rule": "tenth-or-five", "relief": "5 bar"},
)

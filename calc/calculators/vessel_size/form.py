"""What the vessel calculator asks for, how its form is laid out, and what it gives."""

from __future__ import annotations

from dataclasses import replace

from calc import site
from calc import units as u
from calc.model import Choice, Limit, Option, Output, Quantity, QuantityList, Section
from calc.sources import OWN_RULE, PHYSICS

EN = "en-12828"
DIAPHRAGM = "ashrae-diaphragm"
CUSHION = "ashrae-cushion"
CODE = "us-code"
CHARGED = (EN, DIAPHRAGM)
PLAIN = (CUSHION, CODE)

_SLIP = OWN_RULE.at("to catch a slip of the pen")
_SIZING = {"task": ("size",)}
_CHECKING = {"task": ("check",)}

INPUTS = (
    Choice(
        name="task",
        label="What to find",
        options=(
            Option("size", "Size a new vessel"),
            Option("check", "Check a vessel already there"),
        ),
        help="Checking shows whether a vessel serves, and the largest system it could serve.",
        default="size",
    ),
    site.SYSTEM_VOLUME,
    replace(
        site.HOT,
        help="The highest the boiler can be set to; the US code formula takes the average "
        "operating temperature. Taking the supply for the whole system is on the safe side.",
    ),
    replace(
        site.HEIGHT,
        optional=True,
        help="From the vessel connection, not the boiler or the gauge. "
        "Left blank, the top is not checked.",
    ),
    replace(
        site.VESSEL_VOLUME,
        default=site.OLD_VESSEL_VOLUME,
        when=_CHECKING,
    ),
    replace(site.CHARGE, when={"method": CHARGED}),
    Quantity(
        name="fill",
        label="Cold fill at the vessel",
        kind=u.GAUGE_PRESSURE,
        default=site.COLD_FILL_AT_VESSEL,
        help="Pressure at the vessel when the system is filled and cold. Left blank, EN 12828 "
        "takes the lowest fill that holds the reserve, and a diaphragm tank its charge.",
        reading=True,
        optional=True,
        low=Limit("0 bar", "below it air is drawn in", PHYSICS.at("gas")),
        high=site.CHARGE.high,
    ),
    site.RELIEF,
    replace(
        site.VALVE_HEIGHT,
        help="From the vessel's connection up to the valve. Minus if the valve is lower. "
        "A pump between the two shifts it further: see the relief margin page.",
    ),
    Choice(
        name="method",
        label="Method",
        options=(
            Option(EN, "EN 12828, diaphragm vessel with a water reserve"),
            Option(DIAPHRAGM, "ASHRAE, diaphragm or bladder tank"),
            Option(CUSHION, "ASHRAE, plain air-cushion tank"),
            Option(CODE, "US code formula, plain air-cushion tank"),
        ),
        help="Take the one your code names. The last two are for tanks without a diaphragm.",
        default=EN,
    ),
    Choice(
        name="construction",
        label="Kind of vessel",
        options=(
            Option("diaphragm", "Diaphragm or bladder, with a gas valve"),
            Option("plain", "Plain steel tank, air lies on the water"),
        ),
        help="A gas valve such as on a tyre tells a diaphragm vessel. "
        "A plain tank has a sight glass or a drain instead.",
        default="diaphragm",
    ),
    QuantityList(
        name="sizes",
        label="Sizes to choose from",
        kind=u.VOLUME,
        default="8, 12, 18, 25, 35, 50, 80, 140, 250, 400, 600, 1000 L",
        us_default="2, 5, 8, 10, 15, 20, 30, 40, 66, 100, 160, 260 gal",
        help="Total volumes of the vessels you can get.",
        low=Limit("1 L", "no heating vessel is smaller", _SLIP),
        high=Limit("50 m3", "larger ones are built to order", _SLIP),
        when=_SIZING,
    ),
    Quantity(
        name="largest_share",
        label="Largest share of water",
        kind=u.FRACTION,
        default="50 %",
        help="How much of the vessel may be water before the diaphragm is overstretched. "
        "Its own plate or papers rule; a bladder takes nearly all.",
        low=Limit("5 %", "no vessel takes so little", _SLIP),
        high=Limit("100 %", "no vessel takes more than itself", PHYSICS.at("volume")),
        when={"method": CHARGED},
    ),
    replace(site.RESERVE_RULE, when={"method": (EN,)}),
    replace(site.RESERVE_OWN, when={"method": (EN,), "reserve": ("own",)}),
    site.GAP_RULE,
    site.GAP_OWN,
    replace(site.FLUID, when={"method": (EN, DIAPHRAGM, CUSHION)}),
    site.GLYCOL,
    replace(site.COLD, when={"method": (EN, DIAPHRAGM, CUSHION)}),
    site.ALTITUDE,
    replace(site.PIPE, when={"method": (DIAPHRAGM, CUSHION)}),
    replace(site.OUTPUT, when=_CHECKING),
    replace(
        site.SPECIFIC,
        help="Turns a volume into an output. Roughly 6 L/kW for convectors, 11 for panels, 14 for "
        "columns, 20 to 25 for floors, from memory; it can be half as much again either way.",
        when=_CHECKING,
    ),
)

SECTIONS = (
    Section("Job", ("task", "system_volume", "hot", "height")),
    Section("Vessel", ("vessel_volume", "charge", "fill")),
    Section("Relief valve", ("relief", "valve_height")),
    Section("Method and kind of vessel", ("method", "construction"), folded=True),
    Section(
        "Sizes, and water in the vessel",
        ("sizes", "largest_share", "reserve", "reserve_own"),
        folded=True,
    ),
    Section("Margin below the relief valve", ("gap_rule", "gap_own"), folded=True),
    Section("Fluid, altitude, pipes", ("fluid", "glycol", "cold", "altitude", "pipe"), folded=True),
    Section("By boiler output", ("output", "specific"), folded=True),
)

OUTPUTS = (
    Output("minimum", "Smallest vessel that serves", u.VOLUME, "Total volume.", headline=True),
    Output("selected", "Vessel to fit", u.VOLUME, "Each, from your list.", headline=True),
    Output("count", "How many of them", None, "All with the same charge."),
    Output("total", "All of them together", u.VOLUME, "What the next pages ask for."),
    Output("used", "Share of the vessel that is needed", u.FRACTION, "Up to 100 % it serves."),
    Output("largest_system", "Largest system it serves", u.VOLUME, "", headline=True),
    Output("largest_output", "Largest boiler output it serves", u.POWER, "", headline=True),
    Output(
        "expansion_fraction",
        "Growth of the water",
        u.FRACTION,
        "Less that of the pipes only where the method takes it off.",
    ),
    Output("expansion", "Water pushed into the vessel", u.VOLUME),
    Output("reserve", "Water reserve", u.VOLUME, "In the vessel when cold."),
    Output("final", "Highest pressure at the vessel", u.GAUGE_PRESSURE, "Allowed when hot."),
    Output("acceptance", "Share of water at that pressure", u.FRACTION),
    Output("fill_low", "Lowest cold fill", u.GAUGE_PRESSURE, "Below it the reserve is short."),
    Output("fill_high", "Highest cold fill", u.GAUGE_PRESSURE, "Above it the valve may drip."),
    Output("fill_taken", "Cold fill taken", u.GAUGE_PRESSURE),
    Output("hot_pressure", "Pressure at the vessel when hot", u.GAUGE_PRESSURE, headline=True),
    Output("margin", "Left below the highest pressure", u.PRESSURE_DIFFERENCE),
)

EXAMPLES = (
    {
        "method": DIAPHRAGM,
        "fluid": "propylene glycol",
        "glycol": "30 %",
        "system_volume": "420 ± 20 gal",
        "cold": "50 degF",
        "hot": "180 degF",
        "charge": "15 psi",
        "fill": "17 psi",
        "relief": "60 psi",
        "gap_rule": "tenth-or-five",
        "valve_height": "4 ft",
        "height": "28 ft",
        "altitude": "5280 ft",
        "pipe": "copper",
    },
    {
        "method": CUSHION,
        "construction": "plain",
        "fill": "18 psi",
        "relief": "50 psi",
        "gap_rule": "tenth",
        "valve_height": "-3 ft",
        "height": "25 ft",
    },
    {
        "method": CODE,
        "construction": "plain",
        "system_volume": "100 gal",
        "hot": "195 degF",
        "fill": "12 psi",
        "relief": "30 psi",
        "gap_rule": "own",
        "gap_own": "0 psi",
        "height": "20 ft",
    },
    {
        "system_volume": "120 L",
        "charge": "0.8 bar",
        "fill": "1.3 bar",
        "height": "5 m",
        "fluid": "ethylene glycol",
        "glycol": "20 %",
    },
    {"task": "check", "vessel_volume": "200 L", "valve_height": "1.2 m"},
    {
        "task": "check",
        "method": DIAPHRAGM,
        "vessel_volume": "45 gal",
        "charge": "12 psi",
        "fill": "12 psi",
        "relief": "30 psi",
        "gap_rule": "tenth-or-five",
        "hot": "195 degF",
        "output": "475000 Btu/h",
        "system_volume": "220 gal",
        "height": "20 ft",
        "specific": "6 L/kW",
    },
    {
        "task": "check",
        "vessel_volume": "12 L",
        "system_volume": "90 L",
        "charge": "0.7 bar",
        "fill": "",
        "height": "4 m",
        "reserve": "en",
    },
    {
        "task": "check",
        "method": CODE,
        "construction": "plain",
        "system_volume": "100 gal",
        "vessel_volume": "15 gal",
        "hot": "200 degF",
        "fill": "12 psi",
        "relief": "30 psi",
        "height": "20 ft",
    },
)

"""What the pre-charge calculator asks for, how its form is laid out, and what it gives."""

from __future__ import annotations

from dataclasses import replace

from calc import site
from calc import units as u
from calc.model import Choice, Limit, Option, Output, Quantity, Section
from calc.sources import COMMON_PRACTICE, COOLPROP, OWN_RULE, PHYSICS

_GAUGE = u.GAUGE_PRESSURE
_DIFFERENCE = u.PRESSURE_DIFFERENCE
_COLUMN = PHYSICS.at("column of still liquid")

PSI = u.PRESSURE_DIFFERENCE.unit("psi").scale
BAR = u.PRESSURE_DIFFERENCE.unit("bar").scale

MARGINS = {"0.2 bar": 0.2 * BAR, "0.3 bar": 0.3 * BAR, "4 psi": 4 * PSI, "5 psi": 5 * PSI}
"""Pressure kept at the highest point. [Pa]"""

STEPS = {
    "none": 0.0,
    "0.05 bar": 0.05 * BAR,
    "0.1 bar": 0.1 * BAR,
    "0.5 bar": 0.5 * BAR,
    "1 psi": PSI,
}
"""Steps to which a charge may be rounded up. [Pa]"""


INPUTS = (
    site.HEIGHT,
    replace(site.HOT, help="The highest temperature the control can be set to."),
    replace(
        site.VESSEL_VOLUME,
        optional=True,
        help="From its plate. For equal vessels side by side, their sum. Leave blank if unknown: "
        "the charge is found all the same.",
    ),
    replace(
        site.SYSTEM_VOLUME,
        optional=True,
        help="All the water that is heated, from the page on system volume. Leave blank if "
        "unknown: the charge is found all the same.",
    ),
    Quantity(
        name="vessel_now",
        label="Vessel temperature now",
        kind=u.TEMPERATURE,
        default="12 degC",
        help="Temperature of the shell at the moment you set or read the charge.",
        low=Limit(
            "-40 degC", "no one charges a vessel in such cold", OWN_RULE.at("coldest day of work")
        ),
        high=Limit(
            "70 degC",
            "diaphragms are not made for more",
            COMMON_PRACTICE.at("highest temperature at a diaphragm"),
        ),
    ),
    site.RELIEF,
    site.VALVE_HEIGHT,
    site.GAUGE_HEIGHT,
    Quantity(
        name="factory_charge",
        label="Factory charge on the label",
        kind=_GAUGE,
        default="0.83 bar",
        us_default="12 psi",
        optional=True,
        help="Of a new vessel. It is taken as set at sea level and 20 °C (68 °F). Leave blank for "
        "a vessel that has been in service.",
        low=Limit("0 bar", "a vessel is not delivered under vacuum", OWN_RULE.at("new vessels")),
        high=Limit(
            "16 bar", "no vessel for heating is delivered with more", OWN_RULE.at("new vessels")
        ),
    ),
    Quantity(
        name="found_charge",
        label="Charge found",
        kind=_GAUGE,
        default="",
        optional=True,
        reading=True,
        help="What your gauge shows at the gas valve, at the temperature the vessel has now.",
        low=Limit(
            "-1.01325 bar",
            "a perfect vacuum at sea level reads that",
            PHYSICS.at("gauge and absolute pressure"),
        ),
        high=site.CHARGE.high,
    ),
    Choice(
        name="found_state",
        label="Water side while the charge was read",
        default="open",
        options=(
            Option("open", "Drained, at zero and open"),
            Option("pressure", "Under pressure"),
            Option("unsure", "Not sure"),
        ),
        help="With water pressing on the diaphragm the gas valve shows the system's pressure.",
    ),
    Quantity(
        name="delivery",
        label="Free-air delivery of the compressor",
        kind=u.AIR_FLOW,
        default="40 L/min",
        optional=True,
        help="Air it really delivers at the charge pressure, not the swept volume. Leave blank if "
        "you use a hand pump or nitrogen.",
        low=Limit(
            "0.1 L/min", "less than that never fills a vessel", OWN_RULE.at("smallest compressor")
        ),
        high=Limit(
            "100000 L/min", "no site compressor gives more", OWN_RULE.at("largest compressor")
        ),
    ),
    Quantity(
        name="air_temperature",
        label="Temperature of the air drawn in",
        kind=u.TEMPERATURE,
        default="15 degC",
        help="The room the compressor stands in.",
        low=Limit("-40 degC", "no compressor starts in such cold", OWN_RULE.at("compressor rooms")),
        high=Limit("60 degC", "no one works in such heat", OWN_RULE.at("compressor rooms")),
    ),
    Choice(
        name="practice",
        label="How the cold fill follows from the charge",
        default="reserve",
        options=(
            Option("reserve", "Fill above the charge, so that a water reserve is stored"),
            Option("fixed", "Fill 0.3 bar (4.4 psi) above the charge"),
            Option("equal", "Fill equals the charge"),
        ),
        help="The first is the way of EN 12828, the second its short cut, the third the usual way "
        "in the United States. The third adds nothing for water above boiling.",
    ),
    Choice(
        name="margin",
        label="Pressure wanted at the highest point",
        default="0.3 bar",
        options=(
            Option("0.2 bar", "0.2 bar"),
            Option("0.3 bar", "0.3 bar"),
            Option("4 psi", "4 psi"),
            Option("5 psi", "5 psi"),
            Option("own", "Another value"),
        ),
        help="Pressure above the air at the top, with the system cold and the pumps off.",
    ),
    Quantity(
        name="margin_own",
        label="Other pressure at the highest point",
        kind=_DIFFERENCE,
        default="0.5 bar",
        when={"margin": ("own",)},
        help="Some pumps and heat generators ask for more; take it from their instructions.",
        low=Limit("0 bar", "below the air outside, the top draws air in", _COLUMN),
        high=Limit(
            "3 bar", "more than that is a slip of the pen", OWN_RULE.at("margin at the top")
        ),
    ),
    Choice(
        name="rounding",
        label="Round the charge up to",
        default="0.1 bar",
        options=(
            Option("none", "Do not round"),
            Option("0.05 bar", "Whole 0.05 bar"),
            Option("0.1 bar", "Whole 0.1 bar"),
            Option("0.5 bar", "Whole 0.5 bar"),
            Option("1 psi", "Whole psi"),
        ),
        help="To a mark that your charge gauge has.",
    ),
    site.RESERVE_RULE,
    site.RESERVE_OWN,
    Quantity(
        name="filling",
        label="Water temperature while filling",
        kind=u.TEMPERATURE,
        default="",
        optional=True,
        help="Only if the system is not at its coldest while you fill it. The gauge must then show "
        "more.",
        low=Limit(
            "-40 degC",
            "no usual mixture stays liquid below that",
            COOLPROP.at("ASHRAE glycol sets"),
        ),
        high=Limit(
            "95 degC",
            "topping up a system near boiling is not safe",
            OWN_RULE.at("filling a hot system"),
        ),
    ),
    site.GAP_RULE,
    site.GAP_OWN,
    site.FLUID,
    site.GLYCOL,
    site.COLD,
    site.ALTITUDE,
    Quantity(
        name="living_temperature",
        label="Vessel temperature in service",
        kind=u.TEMPERATURE,
        default="18 degC",
        help="Temperature of the shell where it lives, through most of the season.",
        low=Limit(
            "-20 degC",
            "water in the vessel would freeze long before",
            OWN_RULE.at("coldest plant room"),
        ),
        high=Limit(
            "70 degC",
            "diaphragms are not made for more",
            COMMON_PRACTICE.at("highest temperature at a diaphragm"),
        ),
    ),
)

SECTIONS = (
    Section("Site", ("height", "hot")),
    Section("Vessel", ("vessel_volume", "system_volume", "vessel_now")),
    Section("Relief valve and gauge", ("relief", "valve_height", "gauge_height")),
    Section(
        "Charge in the vessel now", ("factory_charge", "found_charge", "found_state"), folded=True
    ),
    Section("Pumping up", ("delivery", "air_temperature"), folded=True),
    Section("Margin and rounding", ("margin", "margin_own", "rounding"), folded=True),
    Section("How it is filled", ("practice", "reserve", "reserve_own", "filling"), folded=True),
    Section("Margin below the relief valve", ("gap_rule", "gap_own"), folded=True),
    Section(
        "Fluid, altitude, room",
        ("fluid", "glycol", "cold", "altitude", "living_temperature"),
        folded=True,
    ),
)

OUTPUTS = (
    Output(
        "charge",
        "Charge where the vessel lives",
        _GAUGE,
        "Gas pressure with the water side open, at the temperature in service.",
        True,
    ),
    Output(
        "charge_now",
        "Charge to set now",
        _GAUGE,
        "The same charge at the temperature the vessel has now.",
        True,
    ),
    Output(
        "fill_gauge",
        "Cold fill on the gauge",
        _GAUGE,
        "What the gauge shows when the fill at the vessel is right.",
        True,
    ),
    Output("fill", "Cold fill at the vessel", _GAUGE, "At the coldest water."),
    Output(
        "fill_now_gauge",
        "Fill on the gauge, water as warm as now",
        _GAUGE,
        "Only if a temperature while filling is given.",
    ),
    Output("least_charge", "Least charge, before rounding", _GAUGE, ""),
    Output("static", "Static pressure", _DIFFERENCE, "From vessel to highest point, cold."),
    Output("top_pressure", "Pressure at the highest point, cold", _GAUGE, "With the pumps off."),
    Output(
        "fill_low",
        "Fill window at the vessel, lower edge",
        _GAUGE,
        "Below it the reserve is not stored.",
    ),
    Output(
        "fill_high",
        "Fill window at the vessel, upper edge",
        _GAUGE,
        "Above it the hot pressure passes the highest allowed.",
    ),
    Output("fill_low_gauge", "Fill window on the gauge, lower edge", _GAUGE, ""),
    Output("fill_high_gauge", "Fill window on the gauge, upper edge", _GAUGE, ""),
    Output("reserve_wanted", "Water reserve wanted", u.VOLUME, ""),
    Output("stored", "Water in the cold vessel", u.VOLUME, "At the cold fill."),
    Output(
        "final",
        "Highest pressure allowed at the vessel",
        _GAUGE,
        "Relief setting less the gap, corrected for height.",
    ),
    Output("hot_pressure", "Hot pressure at the vessel", _GAUGE, ""),
    Output("hot_gauge", "Hot pressure on the gauge", _GAUGE, ""),
    Output(
        "boiling_margin",
        "Pressure above boiling at the highest point",
        _DIFFERENCE,
        "Hottest water at the top.",
    ),
    Output("factory_here", "Factory charge as it reads here and now", _GAUGE, ""),
    Output(
        "height_served",
        "Height that the present charge serves",
        u.LENGTH,
        "With the charge found, or else the factory charge. Blank where the charge is not known, "
        "or would hold more than any building is tall.",
    ),
    Output(
        "air_needed",
        "Free air to pump in",
        u.AIR_VOLUME,
        "From the charge found; else from the factory charge; else from an empty vessel.",
    ),
    Output("run_time", "Compressor running time", u.TIME, "Without pauses."),
)

EXAMPLES = (
    # A house in the US way, tall enough that the usual factory charge is too low.
    {
        "height": "25 ± 0.5 ft",
        "cold": "50 degF",
        "hot": "180 degF",
        "altitude": "5280 ft",
        "practice": "equal",
        "margin": "4 psi",
        "rounding": "1 psi",
        "vessel_volume": "14 gal",
        "system_volume": "60 ± 5 gal",
        "gauge_height": "-2 ft",
        "relief": "30 psi",
        "valve_height": "1 ft",
        "gap_rule": "own",
        "gap_own": "5 psi",
        "living_temperature": "70 degF",
        "vessel_now": "40 degF",
        "factory_charge": "12 psi",
        "delivery": "1.5 cfm",
        "air_temperature": "60 degF",
    },
    # A small vessel on glycol, read in service and found low.
    {
        "height": "6 m",
        "fluid": "propylene glycol",
        "glycol": "30 %",
        "cold": "5 degC",
        "hot": "75 degC",
        "altitude": "900 m",
        "practice": "fixed",
        "margin": "0.2 bar",
        "rounding": "none",
        "vessel_volume": "35 L",
        "system_volume": "230 ± 20 L",
        "reserve": "own",
        "reserve_own": "4 L",
        "filling": "22 degC",
        "gauge_height": "-0.8 m",
        "factory_charge": "",
        "found_charge": "0.45 ± 0.05 bar",
        "found_state": "open",
    },
    # Hot water above its boiling point in open air.
    {
        "height": "14 m",
        "cold": "12 degC",
        "hot": "112 degC",
        "altitude": "1500 m",
        "practice": "reserve",
        "margin": "own",
        "margin_own": "0.4 bar",
        "rounding": "0.5 bar",
        "vessel_volume": "1000 L",
        "system_volume": "2600 L",
        "relief": "6 bar",
        "gap_rule": "tenth-or-five",
        "found_charge": "3.6 bar",
        "vessel_now": "25 degC",
    },
    # A reading that is not the charge, volumes unknown.
    {
        "practice": "fixed",
        "vessel_volume": "",
        "system_volume": "",
        "factory_charge": "",
        "found_charge": "1.7 bar",
        "found_state": "pressure",
        "delivery": "",
    },
)

"""What the comparison of replacement vessels asks for, how it is laid out, and what it gives."""

from __future__ import annotations

from dataclasses import replace

from calc import site
from calc import units as u
from calc.equations.replacement import MOST_OPTIONS
from calc.model import Limit, Output, Quantity, Section, Table, Text
from calc.sources import OWN_RULE, PHYSICS

_SLIP = OWN_RULE.at("to catch a slip of the pen")
_FREE = Limit("0", "a price is not negative", _SLIP)
_DEAR = Limit("1e9", "that is the price of a building", _SLIP)
_NO_HEAD = Limit("0 bar", "a head or a loss is never negative", PHYSICS.at("pump"))
_MOST_HEAD = Limit("6 bar", "no heating pump in a closed loop gives so much", _SLIP)

OPTIONS = Table(
    name="options",
    label="Options",
    row_label="option",
    columns=(
        Text(name="name", label="Name", help="What you call it, such as “Like for like”."),
        replace(
            site.VESSEL_VOLUME,
            name="volume",
            label="Volume of each",
            reading=False,
            help="Total volume from its plate or papers, not the share it accepts.",
        ),
        Quantity(
            name="count",
            label="How many",
            kind=u.NUMBER,
            default="1",
            help="Equal vessels side by side, at one point of the loop, with one charge.",
            low=Limit("1", "an option has at least one vessel", _SLIP),
            high=Limit("20", "no plant room holds more", _SLIP),
        ),
        Quantity(
            name="empty_mass",
            label="Empty mass of each",
            kind=u.MASS,
            default="44 kg",
            help="From its papers: what has to be carried in.",
            low=Limit("0.5 kg", "no steel vessel is lighter", _SLIP),
            high=Limit("20000 kg", "larger ones are built to order", _SLIP),
        ),
        Quantity(
            name="part_cost",
            label="Price of each",
            kind=u.MONEY,
            default="500",
            help="One vessel with its bracket or feet, valve and fittings, in your currency.",
            low=_FREE,
            high=_DEAR,
        ),
        Quantity(
            name="labour",
            label="Labour",
            kind=u.TIME,
            default="5 h",
            help="Hours of all people together, for the whole option.",
            low=Limit("0 h", "work takes no less than no time", _SLIP),
            high=Limit("2000 h", "that is a new plant room", _SLIP),
        ),
    ),
    default=(
        ("Like for like", site.OLD_VESSEL_VOLUME, "1", site.OLD_VESSEL_MASS, "420", "4 h"),
        ("Right size", "250 L", "1", "44 kg", "540", "5 h"),
        ("Two small ones", "140 L", "2", "27 kg", "330", "7.5 h"),
        ("Larger", "400 L", "1", "68 kg", "890", "6 h"),
    ),
    us_default=(
        ("Like for like", "53 gal", "1", "79 lb", "420", "4 h"),
        ("Right size", "66 gal", "1", "97 lb", "540", "5 h"),
        ("Two small ones", "37 gal", "2", "60 lb", "330", "7.5 h"),
        ("Larger", "106 gal", "1", "150 lb", "890", "6 h"),
    ),
    help="One row for each choice. Like for like comes first, so that you see what it would mean.",
    fewest=1,
    most=MOST_OPTIONS,
)

INPUTS = (
    OPTIONS,
    site.SYSTEM_VOLUME,
    site.HOT,
    replace(
        site.CHARGE,
        help="One charge for every option: the height asks for it, not the size. The pre-charge "
        "page finds it.",
    ),
    Quantity(
        name="fill",
        label="Cold fill at the vessel",
        kind=u.GAUGE_PRESSURE,
        default=site.COLD_FILL_AT_VESSEL,
        reading=True,
        optional=True,
        help="Pressure at the vessel when filled and cold. Left blank, each option takes the "
        "lowest fill that holds its reserve.",
        low=Limit("0 bar", "below it air is drawn in", PHYSICS.at("gas")),
        high=site.CHARGE.high,
    ),
    site.RELIEF,
    site.VALVE_HEIGHT,
    Quantity(
        name="hourly_rate",
        label="Price of an hour",
        kind=u.MONEY,
        default="60",
        help="Labour of one person for an hour, in your currency.",
        low=_FREE,
        high=_DEAR,
    ),
    Quantity(
        name="pump_head",
        label="Pump head",
        kind=u.PRESSURE_DIFFERENCE,
        default="0.3 bar",
        reading=True,
        help="What the pump adds between the vessel and the valve, with the flow. Enter 0 where "
        "the way to the valve meets no pump.",
        low=_NO_HEAD,
        high=_MOST_HEAD,
    ),
    Quantity(
        name="friction",
        label="Friction from the vessel to the valve",
        kind=u.PRESSURE_DIFFERENCE,
        default="0.05 bar",
        reading=True,
        help="Lost in pipes and boiler on the way with the flow. Zero is the safe side.",
        low=_NO_HEAD,
        high=_MOST_HEAD,
    ),
    site.RESERVE_RULE,
    site.RESERVE_OWN,
    site.GAP_RULE,
    site.GAP_OWN,
    site.FLUID,
    site.GLYCOL,
    site.COLD,
    site.ALTITUDE,
)

SECTIONS = (
    Section("System", ("system_volume", "hot", "charge", "fill", "relief", "valve_height")),
    Section("The choices", ("options", "hourly_rate")),
    Section("Pump between vessel and valve", ("pump_head", "friction"), folded=True),
    Section("Reserve, and margin below the relief valve",
            ("reserve", "reserve_own", "gap_rule", "gap_own"), folded=True),
    Section("Fluid and altitude", ("fluid", "glycol", "cold", "altitude"), folded=True),
)  # fmt: skip

OUTPUTS = (
    Output("serving", "Options that serve", None, "They hold the reserve and keep the margin.",
           headline=True),
    Output("cheapest", "Cheapest that serves", None, headline=True),
    Output("least_cost", "Its cost", u.MONEY, "Parts and labour, to four figures."),
    Output("hot_pressure", "Its hot pressure at the vessel", u.GAUGE_PRESSURE),
    Output("fill_low", "Its lowest cold fill", u.GAUGE_PRESSURE, "Below it the reserve is short."),
    Output("fill_high", "Its highest cold fill", u.GAUGE_PRESSURE, "Above it the valve may drip."),
    Output("lightest", "Lightest to carry that serves", None, "By its heaviest single piece."),
    Output("minimum", "Smallest volume that serves", u.VOLUME, headline=True),
    Output("expansion", "Water pushed into the vessel", u.VOLUME),
    Output("reserve_asked", "Water reserve asked", u.VOLUME, "Of a vessel larger than 15 L."),
    Output("final", "Highest pressure at the vessel", u.GAUGE_PRESSURE, "Allowed when hot."),
)  # fmt: skip

HELD = ("least_cost",)

EXAMPLES = (
    {
        "options": [
            {"name": "Same again", "volume": "20 gal", "count": "1", "empty_mass": "33 lb",
             "part_cost": "310", "labour": "3 h"},
            {"name": "Two of them", "volume": "20 gal", "count": "2", "empty_mass": "33 lb",
             "part_cost": "310", "labour": "6 h"},
        ],
        "system_volume": "160 ± 8 gal", "hot": "190 degF", "charge": "30 psi", "fill": "32 psi",
        "relief": "55 psi", "valve_height": "-3 ft", "hourly_rate": "95",
        "pump_head": "4 psi", "friction": "1 psi",
        "reserve": "own", "reserve_own": "1 gal", "gap_rule": "tenth-or-five",
        "fluid": "propylene glycol", "glycol": "30 %", "cold": "45 degF", "altitude": "5280 ft",
    },
    {
        "options": [
            {"name": "", "volume": "12 L", "count": "1", "empty_mass": "3.1 kg",
             "part_cost": "60", "labour": "90 min"},
            {"name": "Next size", "volume": "18 L", "count": "1", "empty_mass": "4.2 kg",
             "part_cost": "75", "labour": "100 min"},
        ],
        "system_volume": "90 L", "charge": "0.8 bar", "fill": "", "valve_height": "0 m",
        "pump_head": "0 bar", "friction": "0 bar", "hot": "75 degC",
    },
    {
        "options": [
            {"name": "Far too small", "volume": "50 L", "count": "1", "empty_mass": "11 kg",
             "part_cost": "140", "labour": "3 h"},
        ],
        "fluid": "ethylene glycol", "glycol": "20 %", "reserve": "none", "gap_rule": "quarter",
    },
)  # fmt: skip

"""Inputs, sections, outputs and examples of fill water."""

from __future__ import annotations

from dataclasses import replace

from calc import site
from calc import units as u
from calc.model import Choice, Limit, Option, Output, Quantity, Section
from calc.sources import OWN_RULE, PHYSICS
from calc.water_quality import FULL, SPARE

ALUMINIUM, COPPER, STEEL = "aluminium", "copper", "steel"
NONE, NITRITE, MOLYBDATE, SILICATE, OTHER = "none", "nitrite", "molybdate", "silicate", "other"
YOUNG, OLD = "young", "old"
INHIBITED = (NITRITE, MOLYBDATE, SILICATE, OTHER)

_SLIP = OWN_RULE.at("to catch a slip of the pen")
_BALANCE = PHYSICS.at("mass balance")
_VOLUME = PHYSICS.at("balance of volume")
_SHARE = PHYSICS.at("share")
_DOSED = {"treatment": INHIBITED}


def _concentration(name: str, label: str, default: str, help: str, high: str, when) -> Quantity:
    return Quantity(
        name=name, label=label, kind=u.CONCENTRATION, default=default, optional=True, help=help,
        reading=True, when=when,
        low=Limit("0 mg/L", "water cannot hold less than none", _BALANCE),
        high=Limit(high, "no heating water holds so much", _SLIP),
    )  # fmt: skip


def _inhibitor(name: str, label: str, default: str, help: str, optional: bool) -> Quantity:
    return Quantity(
        name=name, label=label, kind=u.FRACTION, default=default, help=help, reading=True,
        optional=optional, when=_DOSED,
        low=Limit("0 %", "less than none cannot be", _SHARE),
        high=Limit("40 %", "inhibitors are dosed by a few per cent", _SLIP),
    )  # fmt: skip


INPUTS = (
    replace(site.OUTPUT, optional=False, help="Rated output, all heaters together."),
    Quantity(
        name="smallest", label="Output of the smallest heater", kind=u.POWER, default="60 kW",
        help="With one heater, its output. The water per output is counted on the smallest.",
        low=site.OUTPUT.low, high=site.OUTPUT.high,
    ),
    site.SYSTEM_VOLUME,
    Choice(
        name="heater", label="Water inside the heaters", default=FULL,
        options=(Option(FULL, "0.3 L/kW or more (0.023 US gal per 1000 Btu/h)"),
                 Option(SPARE, "less, or an electric element")),
        help="From the data plate or sheet: content divided by output. It matters up to 50 kW.",
    ),
    Choice(
        name="metals", label="Metals in the water", default=COPPER,
        options=(Option(STEEL, "Steel, stainless, iron"),
                 Option(COPPER, "Copper or brass with these"),
                 Option(ALUMINIUM, "Aluminium alloy somewhere")),
        help="Look at the exchanger's and the radiators' plates: one part of aluminium is enough.",
    ),
    Choice(
        name="edition", label="Edition of VDI 2035", default="2021",
        options=(Option("2021", "2021"), Option("2005", "2005")),
        help="The one that was in force for the system, or that its guarantee names. Both are "
        "shown.",
    ),
    Quantity(
        name="hardness", label="Hardness of the fill water", kind=u.HARDNESS,
        default="180 mg/L", us_default="10.5 gpg", reading=True,
        help="Total hardness, from the water supplier or a test kit. 0 for softened water.",
        low=Limit("0 mg/L", "softened water has none", _BALANCE),
        high=Limit("2000 mg/L", "no drinking water is so hard", _SLIP),
    ),
    Quantity(
        name="mixed", label="Share of it that is treated", kind=u.FRACTION, default="50 %",
        help="Softened or demineralised water in the filling. 0 for all raw, 100 % for all "
        "treated.",
        low=Limit("0 %", "less than none cannot be", _SHARE),
        high=Limit("100 %", "no more than all", _SHARE),
    ),
    Quantity(
        name="filled", label="Water let in until now", kind=u.VOLUME, default="1900 ± 50 L",
        reading=True,
        help="First fill and all make-up since: meter, log, or system volume times fillings.",
        low=Limit("0 L", "before the first fill", _VOLUME),
        high=Limit("100000 m3", "no system is refilled so often", _SLIP),
    ),
    Quantity(
        name="yearly", label="Make-up in a year", kind=u.VOLUME, default="20 L", reading=True,
        help="The leak page finds it. 0 if nothing is let in.",
        low=Limit("0 L", "meters count up", _VOLUME),
        high=Limit("10000 m3", "that is an open tap", _SLIP),
    ),
    Quantity(
        name="years", label="Years it is still to run", kind=u.NUMBER, default="20",
        help="Until the system is replaced.",
        low=Limit("0", "years count forward", _VOLUME),
        high=Limit("100", "no heating system runs longer", _SLIP),
    ),
    Choice(
        name="treatment", label="What is in the heating water", default=NONE,
        options=(Option(NONE, "No inhibitor"), Option(NITRITE, "Nitrite with azole"),
                 Option(MOLYBDATE, "Molybdate with nitrite"), Option(SILICATE, "Polysilicate"),
                 Option(OTHER, "Another inhibitor")),
        help="From the label or the log. Do not mix kinds.",
    ),
    Quantity(
        name="ph", label="pH of the heating water", kind=u.ACIDITY, default="8.7 ± 0.1",
        reading=True, help="Of cooled water from a running part, meter set against two buffers.",
        low=Limit("2", "such water has eaten the system", _SLIP),
        high=Limit("13", "that is lye", _SLIP),
    ),
    Choice(
        name="age", label="Running since it was filled", default=OLD,
        options=(Option(YOUNG, "less than ten weeks"), Option(OLD, "ten weeks or more")),
        help="Fresh water turns more alkaline by itself in the first weeks.",
    ),
    Quantity(
        name="conductivity", label="Conductivity of the heating water", kind=u.CONDUCTIVITY,
        default="320 uS/cm", optional=True, reading=True,
        help="At 25 °C (77 °F), as most meters reduce it. Blank if not measured.",
        low=Limit("0 uS/cm", "none conducts less than nothing", PHYSICS.at("conductivity")),
        high=Limit("100 mS/cm", "that is brine", _SLIP), when={"treatment": (NONE,)},
    ),
    _concentration("nitrite", "Nitrite, as NO₂", "750 mg/L", "From the test kit. Blank if not "
                   "measured.", "20 g/L", {"treatment": (NITRITE, MOLYBDATE)}),
    _concentration("molybdenum", "Molybdenum, as Mo", "60 mg/L", "From the test kit. Blank if not "
                   "measured.", "5 g/L", {"treatment": (MOLYBDATE,)}),
    _concentration("salts", "Chloride and sulphate together", "90 mg/L", "Of the fill water, from "
                   "the water supplier. Blank if not known.", "50 g/L",
                   {"treatment": (NITRITE,)}),
    _inhibitor("dose", "Inhibitor wanted, by volume", "1 %", "From its label.", False),
    _inhibitor("found", "Inhibitor found, by volume", "0.8 %", "From its test kit, water mixed. "
               "Blank if not measured.", True),
    _inhibitor("earlier", "Inhibitor at the earlier test", "1 %", "Right after the last dose. It "
               "tells how much water was lost since. Blank if not known.", True),
    Quantity(
        name="concentrate", label="Inhibitor in what is added", kind=u.FRACTION, default="100 %",
        help="100 % for the product as sold.",
        low=Limit("1 %", "weaker than most fillings", _SLIP),
        high=Limit("100 %", "no more than all", _SHARE), when=_DOSED,
    ),
)  # fmt: skip

SECTIONS = (
    Section("Plant", ("output", "smallest", "system_volume", "heater", "metals")),
    Section("Fill water", ("edition", "hardness", "mixed", "filled", "yearly", "years")),
    Section("Heating water", ("treatment", "ph", "age", "conductivity", "nitrite", "molybdenum",
                              "salts")),
    Section("Inhibitor", ("dose", "found", "earlier", "concentrate")),
)  # fmt: skip

OUTPUTS = (
    Output("content", "Water per output of the smallest heater", u.SPECIFIC_CONTENT),
    Output("allowed", "Hardness allowed", u.HARDNESS, headline=True,
           help="By the edition chosen. A dash where it sets no limit."),
    Output("mixture", "Hardness of what goes in", u.HARDNESS),
    Output("share", "Least share to treat", u.FRACTION, headline=True),
    Output("treated", "Treated water for one filling", u.VOLUME),
    Output("treat", "How to treat it", None),
    Output("lime", "Most lime one filling can drop", u.MASS, unit="g",
           help="If all of the hardness drops as scale."),
    Output("lifetime", "Fill and make-up water of its life", u.VOLUME),
    Output("lifetime_share", "That in system volumes", u.NUMBER),
    Output("years_left", "Years until the table no longer holds", u.NUMBER,
           help="At this make-up, by the edition chosen. A dash beyond a thousand."),
    Output("ph_least", "pH wanted, at least", u.ACIDITY),
    Output("ph_most", "pH wanted, at most", u.ACIDITY),
    Output("inhibitor", "Inhibitor for a new filling", u.VOLUME),
    Output("top_up", "Inhibitor to add now", u.VOLUME,
           help="Let out as much water first."),
    Output("lost", "Water lost since the earlier test", u.VOLUME),
)  # fmt: skip

EXAMPLES = (
    {"edition": "2005", "mixed": "0 %", "metals": ALUMINIUM, "ph": "9.2", "yearly": "300 L"},
    {"output": "24 kW", "smallest": "24 kW", "system_volume": "250 L", "filled": "250 L",
     "yearly": "0 L", "treatment": OTHER, "ph": "7.6", "age": YOUNG, "mixed": "0 %"},
    {"output": "300000 Btu/h", "smallest": "150000 Btu/h", "system_volume": "240 gal",
     "hardness": "16 gpg", "mixed": "20 %", "treatment": NITRITE, "ph": "9.0",
     "filled": "400 gal", "yearly": "12 gal", "dose": "0.8 %", "found": "0.5 %",
     "earlier": "0.75 %"},
    {"output": "24 kW", "smallest": "24 kW", "system_volume": "600 L", "heater": SPARE,
     "filled": "700 L", "metals": ALUMINIUM, "treatment": SILICATE, "ph": "8.2", "earlier": "",
     "found": "0.4 %", "concentrate": "50 %"},
    {"output": "24 kW", "smallest": "24 kW", "system_volume": "600 L", "heater": SPARE,
     "filled": "700 L", "edition": "2005", "hardness": "20 dH"},
    {"treatment": MOLYBDATE, "nitrite": "350 mg/L", "found": "", "earlier": "",
     "conductivity": "", "hardness": "24 fH"},
    {"output": "700 kW", "smallest": "350 kW", "system_volume": "9000 L", "filled": "9100 L",
     "conductivity": "60 uS/cm", "mixed": "98 %", "age": YOUNG, "ph": "7.9"},
)  # fmt: skip

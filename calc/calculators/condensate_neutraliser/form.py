"""Inputs, sections, outputs and examples of the condensate neutraliser."""

from __future__ import annotations

from calc import site
from calc import units as u
from calc.model import Choice, Limit, Option, Output, Quantity, Section
from calc.neutraliser import DOLOMITE, LIMESTONE, MAGNESIA
from calc.sources import CRAVOTTA_2003, OWN_RULE, PHYSICS

GAS, LPG, OIL, OIL_STANDARD = "gas", "propane", "oil", "oil-standard"
OILS = (OIL, OIL_STANDARD)
LOWER, HIGHER = "lower", "higher"
PLANNED, BY_FLUE, MEASURED = "planned", "flue", "measured"
A_251, US, UK = "a251", "us", "uk"
SAFE_PIPE, METAL, CEMENT = "plastic", "metal", "cement"
INSIDE, OUTSIDE = "inside", "outside"

_SLIP = OWN_RULE.at("to catch a slip of the pen")
_PH = PHYSICS.at("scale of pH")
_SHARE = PHYSICS.at("share")

INPUTS = (
    Choice(
        name="fuel", label="Fuel", default=GAS,
        options=(Option(GAS, "Natural gas, as methane"), Option(LPG, "Propane"),
                 Option(OIL, "Heating oil, low sulphur"),
                 Option(OIL_STANDARD, "Heating oil, standard")),
        help="What the condensing boiler burns.",
    ),
    Quantity(
        name="power", label="Heat input at full load", kind=u.POWER, default="61 kW",
        help="From the plate: what goes in, not the output. Only boilers that condense.",
        low=Limit("1 kW", "no boiler is smaller", _SLIP),
        high=Limit("50 MW", "a plant that large is designed as a whole", _SLIP),
    ),
    Choice(
        name="basis", label="Input is given on the", default=LOWER, us_default=HIGHER,
        options=(Option(LOWER, "lower heating value (net, LHV)"),
                 Option(HIGHER, "higher heating value (gross, HHV)")),
        help="Europe mostly states the lower one, North America the higher one. For gas they lie "
        "11 % apart.",
    ),
    Quantity(
        name="hours", label="Full-load time in a year", kind=u.TIME, default="1700 h",
        us_default="1700 h", reading=True,
        help="Heat used in a year divided by the heat input: from the fuel bill, not the hours "
        "that the burner was on.",
        low=Limit("1 h", "less leaves no condensate worth treating", _SLIP),
        high=Limit("8784 h", "no year has more hours", PHYSICS.at("length of a year")),
    ),
    Choice(
        name="amount", label="Condensate is", default=BY_FLUE,
        options=(Option(PLANNED, "the figure to plan with"),
                 Option(BY_FLUE, "worked out from the flue gas"),
                 Option(MEASURED, "measured with a bucket")),
        help="A bucket and a watch at full load tell most. The figure to plan with is from memory.",
    ),
    Quantity(
        name="measured", label="Condensate measured at full load", kind=u.FLOW,
        default="6.8 ± 0.2 L/h", us_default="0.03 gpm", reading=True,
        help="Caught over at least half an hour with the burner at full load.",
        low=Limit("0.001 L/h", "less is a drip", _SLIP),
        high=Limit("10 m3/h", "that is not condensate", _SLIP), when={"amount": (MEASURED,)},
    ),
    Quantity(
        name="acid_ph", label="pH before the neutraliser", kind=u.ACIDITY, default="3.6 ± 0.2",
        reading=True,
        help="Of fresh condensate, meter set against two buffers. Gas mostly 2.8 to 5.5, oil 1.5 "
        "to 3.5.",
        low=Limit("1", "no condensate is so sour", _SLIP),
        high=Limit("8", "water that is not sour needs no stone", _SLIP),
    ),
    Quantity(
        name="outlet_ph", label="pH after the neutraliser", kind=u.ACIDITY, default="6.9",
        optional=True,
        help="Taken at its outlet, burner at full load. What is measured overrules what is worked "
        "out. Blank if not measured.",
        low=Limit("0", "the meter's scale starts there", _PH),
        high=Limit("14", "the meter's scale ends there", _PH),
    ),
    Choice(
        name="medium", label="Filling", default=LIMESTONE,
        options=(Option(LIMESTONE, "Limestone, marble (CaCO₃)"),
                 Option(DOLOMITE, "Dolomite (CaMg(CO₃)₂)"),
                 Option(MAGNESIA, "Magnesia (MgO)")),
        help="From the bag. Magnesia is stronger and can overshoot to pH 10.3.",
    ),
    Quantity(
        name="mass", label="Filling put in", kind=u.MASS, default="10 kg", reading=True,
        help="Dry, at the last refill.",
        low=Limit("0.05 kg", "less is no neutraliser", _SLIP),
        high=Limit("20000 kg", "that is a treatment plant", _SLIP),
    ),
    Quantity(
        name="filled_year", label="Year of the last refill", kind=u.NUMBER, default="2026",
        help="Four digits.",
        low=Limit("1980", "condensing boilers are not older", _SLIP),
        high=Limit("2100", "that is too far ahead", _SLIP),
    ),
    Quantity(
        name="filled_month", label="Month of the last refill", kind=u.NUMBER, default="11",
        help="1 for January to 12 for December.",
        low=Limit("1", "January is the first month", PHYSICS.at("calendar")),
        high=Limit("12", "December is the last month", PHYSICS.at("calendar")),
    ),
    Choice(
        name="rule", label="Rules of", default=A_251, us_default=US,
        options=(Option(A_251, "DWA-A 251 (Germany)"),
                 Option(US, "US plumbing codes"), Option(UK, "BS 6798 (UK)")),
        help="Ask which ones hold where you are: the local code wins.",
    ),
    Quantity(
        name="wastewater", label="Domestic waste water in a year", kind=u.VOLUME,
        default="210 m3", us_default="55000 gal",
        help="What the same building sends down the same drain: the water bill.",
        low=Limit("0 L", "a building may send none", PHYSICS.at("volume")),
        high=Limit("1000000 m3", "that is a town", _SLIP), when={"rule": (A_251,)},
    ),
    Choice(
        name="small_plant", label="Small treatment plant", default="no",
        options=(Option("no", "No, a public sewer"), Option("yes", "Yes, on this site")),
        help="A septic tank or small plant that the condensate would reach.",
        when={"rule": (A_251,)},
    ),
    Choice(
        name="drain", label="Drain after it is of", default=SAFE_PIPE,
        options=(Option(SAFE_PIPE, "plastic, stoneware, stainless or glass"),
                 Option(METAL, "copper, bare steel or cast iron"),
                 Option(CEMENT, "concrete or cement-bound")),
        help="The whole way until other water dilutes it.",
    ),
    Choice(
        name="place", label="The condensate pipe runs", default=INSIDE,
        options=(Option(INSIDE, "inside all the way"), Option(OUTSIDE, "outside in part")),
        help="Outside, a narrow pipe freezes shut and stops the boiler.", when={"rule": (UK,)},
    ),
    Quantity(
        name="bore", label="Inside diameter of that pipe", kind=u.SMALL_LENGTH, default="19 mm",
        help="At its narrowest; outside, of the part outside.",
        low=Limit("1 mm", "that is a capillary", _SLIP),
        high=Limit("500 mm", "that is a sewer", _SLIP), when={"rule": (UK,)},
    ),
    Quantity(
        name="flue", label="Flue gas leaving the boiler", kind=u.TEMPERATURE, default="45 ± 2 degC",
        reading=True,
        help="Mean over the year, near the return water's temperature plus a few degrees.",
        low=Limit("5 degC", "no flue gas is colder", _SLIP),
        high=Limit("95 degC", "that hot nothing condenses", _SLIP),
    ),
    Quantity(
        name="air_ratio", label="Air ratio", kind=u.NUMBER, default="1.25", reading=True,
        help="Air supplied in parts of the air needed: 20.9 ÷ (20.9 less the oxygen in the dry "
        "flue gas in percent).",
        low=Limit("1", "with less the fuel does not burn out", PHYSICS.at("combustion")),
        high=Limit("4", "no burner runs on so much air", _SLIP),
    ),
    Quantity(
        name="purity", label="Share of the filling that neutralises", kind=u.FRACTION,
        default="95 %", help="From the bag; 95 % is usual for marble chips, from memory.",
        low=Limit("10 %", "that is gravel", _SLIP),
        high=Limit("100 %", "nothing is purer than pure", _SHARE),
    ),
    Quantity(
        name="usable", label="Share of that which gets used", kind=u.FRACTION, default="70 %",
        help="The rest is too fine or stays unreached. Stone coated with rust or aluminium works "
        "only by a fifth.",
        low=Limit("5 %", "then it is coated through", _SLIP),
        high=Limit("100 %", "no more than all can be used", _SHARE),
    ),
    Quantity(
        name="porosity", label="Room between the stones", kind=u.FRACTION, default="49 %",
        help="Share of the bed that is not stone.",
        low=Limit("20 %", "broken stone does not lie closer", CRAVOTTA_2003.at("porosity")),
        high=Limit("80 %", "such a bed would hold itself up by nothing", _SLIP),
    ),
    Quantity(
        name="solid_density", label="Density of the stone itself", kind=u.DENSITY,
        default="2650 kg/m3", help="Limestone and marble 2650, magnesia about 3500 kg/m³ "
        "(165 and 220 lb/ft³); the second from memory.",
        low=Limit("1000 kg/m3", "it would float", _SLIP),
        high=Limit("6000 kg/m3", "no such filling is heavier", _SLIP),
    ),
    Quantity(
        name="water_temperature", label="Condensate in the neutraliser", kind=u.TEMPERATURE,
        default="25 degC", reading=True,
        help="Colder water holds more carbon dioxide and dissolves more stone.",
        low=Limit("1 degC", "frozen condensate stops the boiler", _SLIP),
        high=Limit("90 degC", "it has left the boiler by then", _SLIP),
    ),
    site.ALTITUDE,
)  # fmt: skip

SECTIONS = (
    Section("Boiler", ("fuel", "power", "basis", "hours", "amount", "measured")),
    Section("Neutraliser", ("acid_ph", "outlet_ph", "medium", "mass", "filled_year",
                            "filled_month")),
    Section("Rules and drain", ("rule", "wastewater", "small_plant", "drain", "place", "bore")),
    Section("Flue gas and stone", ("flue", "air_ratio", "purity", "usable", "porosity",
                                   "solid_density", "water_temperature", "altitude"),
            folded=True),
)  # fmt: skip

OUTPUTS = (
    Output("yearly", "Condensate in a year", u.VOLUME, headline=True),
    Output("flow", "Condensate at full load", u.FLOW, unit="L/h"),
    Output("per_heat", "Condensate per heat put in", u.WATER_PER_HEAT,
           help="On the heating value that you chose for the input."),
    Output("ceiling", "Most that burning can make", u.WATER_PER_HEAT,
           help="All the water of combustion, on the same heating value, air taken as dry."),
    Output("dew_point", "Dew point of the flue gas", u.TEMPERATURE),
    Output("acid", "Acid in it", u.AMOUNT_CONCENTRATION),
    Output("carbonic_ph", "pH that carbon dioxide alone gives", u.ACIDITY),
    Output("use_least", "Filling used, at least", u.CONCENTRATION, unit="g/L",
           help="By the strong acid alone."),
    Output("use_likely", "Filling used, likely", u.CONCENTRATION, unit="g/L",
           help="To equilibrium, once the condensate has left the flue gas."),
    Output("use_most", "Filling used, at most", u.CONCENTRATION, unit="g/L",
           help="The greater of both equilibria, gas left behind or always above; for magnesia, "
           "all dissolved gas to bicarbonate."),
    Output("mass_least", "Filling used in a year, at least", u.MASS),
    Output("mass_most", "Filling used in a year, at most", u.MASS),
    Output("shortest", "Refill after, at the earliest", u.TIME, unit="y", headline=True),
    Output("likely", "Refill after, likely", u.TIME, unit="y"),
    Output("longest", "Refill after, at the latest", u.TIME, unit="y"),
    Output("due", "Look at it from", None, headline=True,
           help="Year and month of the earliest refill. The pH at the outlet overrules it."),
    Output("latest", "Empty by", None, help="Year and month of the latest refill."),
    Output("equilibrium_ph", "pH the stone can reach", u.ACIDITY,
           help="At equilibrium, gas left behind. With enough time of contact."),
    Output("void", "Room for water between the stones", u.VOLUME),
    Output("contact", "Time of contact at full load", u.TIME),
    Output("mixing", "Waste water that dilutes it enough", u.VOLUME, unit="m3"),
    Output("needed", "Neutralising asked for", None),
)  # fmt: skip

EXAMPLES = (
    {"amount": PLANNED, "acid_ph": "3.0", "outlet_ph": "", "medium": DOLOMITE},
    {"fuel": LPG, "basis": HIGHER, "power": "200000 Btu/h", "amount": MEASURED,
     "measured": "0.02 gpm", "rule": US, "medium": MAGNESIA, "mass": "8 lb",
     "solid_density": "218 lb/ft3", "outlet_ph": "9.6", "altitude": "5280 ft",
     "water_temperature": "60 degF", "drain": METAL},
    {"fuel": OIL_STANDARD, "power": "210 kW", "amount": BY_FLUE, "flue": "42 degC",
     "air_ratio": "1.2", "acid_ph": "2.4", "outlet_ph": "4.1", "drain": CEMENT},
    {"rule": UK, "power": "24 kW", "place": OUTSIDE, "bore": "22 mm", "amount": PLANNED,
     "basis": HIGHER, "hours": "1500 h"},
    {"fuel": LPG, "amount": PLANNED, "basis": HIGHER, "rule": US, "medium": DOLOMITE,
     "outlet_ph": ""},
    {"fuel": OIL_STANDARD, "flue": "40 degC", "acid_ph": "1.8", "outlet_ph": ""},
    {"fuel": OIL, "amount": MEASURED, "measured": "3.1 L/h", "acid_ph": "3.2",
     "small_plant": "yes"},
)  # fmt: skip

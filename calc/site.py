"""The facts of a site that several calculators ask for, each declared once.

One quantity has one name, one label and one pair of limits on every page, so that what is found
on one page can be taken up by the next. The examples are those of Larch Street Library, an
invented building; whatever else is invented about it stands here too. A calculator that needs
another help text or condition takes a copy with `dataclasses.replace`.
"""

from __future__ import annotations

from calc import units as u
from calc.model import Choice, Limit, Option, Quantity
from calc.sources import ASME_BPVC_IV, COOLPROP, OWN_RULE, PHYSICS

_SLIP = OWN_RULE.at("to catch a slip of the pen")
_HG_101 = ASME_BPVC_IV.at("HG-101")
_GAS = PHYSICS.at("gas pressure")

WATER, PROPYLENE, ETHYLENE = "water", "propylene glycol", "ethylene glycol"
GLYCOLS = (PROPYLENE, ETHYLENE)

# Larch Street Library: what no input declares.
OLD_VESSEL_VOLUME = "200 L"
OLD_VESSEL_CHARGE = "0.7 bar"
OLD_VESSEL_MASS = "36 kg"
COLD_FILL_ON_GAUGE = "1.55 bar"
COLD_FILL_AT_VESSEL = "1.67 bar"

HEIGHT = Quantity(
    name="height",
    label="Height from vessel to highest point",
    kind=u.LENGTH,
    default="11.4 ± 0.1 m",
    reading=True,
    help="From the vessel's connection up to the highest pipe, coil or radiator that holds water. "
    "Not from the floor, the boiler or the gauge. With the vessel on top it is 0.",
    low=Limit("0 m", "height counts upward from the vessel", PHYSICS.at("still column")),
    high=Limit(
        "112 m",
        "a column that tall alone presses with 160 psi, the most a low-pressure hot-water "
        "boiler may carry",
        _HG_101,
    ),
)

FLUID = Choice(
    name="fluid",
    label="Fluid",
    options=(
        Option(WATER, "Water"),
        Option(PROPYLENE, "Propylene glycol in water"),
        Option(ETHYLENE, "Ethylene glycol in water"),
    ),
    help="Glycol weighs more than water and expands more.",
    default=WATER,
)

GLYCOL = Quantity(
    name="glycol",
    label="Glycol by volume",
    kind=u.FRACTION,
    default="20 %",
    reading=True,
    when={"fluid": GLYCOLS},
    help="Share by volume, as a refractometer for this glycol shows it; not by mass.",
    low=Limit("10 %", "the property tables start there", COOLPROP.at("ASHRAE glycol sets")),
    high=Limit("60 %", "the property tables end there", COOLPROP.at("ASHRAE glycol sets")),
)

PIPE = Choice(
    name="pipe",
    label="Pipes mostly of",
    options=(
        Option("none", "Take no credit"),
        Option("steel", "Steel"),
        Option("copper", "Copper"),
        Option("plastic", "Plastic"),
    ),
    help="Metal pipes grow and make a little room. Plastic gets no credit.",
    default="steel",
)

ALTITUDE = Quantity(
    name="altitude",
    label="Altitude of the site",
    kind=u.ALTITUDE,
    default="640 m",
    help="From a map, to the nearest 50 m or 150 ft. Thinner air lowers the boiling point and "
    "changes what a sealed charge reads.",
    low=Limit("-430 m", "no dry land lies lower", OWN_RULE.at("shore of the Dead Sea")),
    high=Limit("5500 m", "no town lies higher", OWN_RULE.at("highest towns")),
)

COLD = Quantity(
    name="cold",
    label="Cold water",
    kind=u.TEMPERATURE,
    default="10 degC",
    reading=True,
    help="Temperature of the water when the system is filled and cold, or the coldest it rests at.",
    low=Limit("-35 degC", "the glycol tables end there", COOLPROP.at("ASHRAE glycol sets")),
    high=Limit("60 degC", "water that warm is no longer a cold fill", _SLIP),
)

HOT = Quantity(
    name="hot",
    label="Hottest water",
    kind=u.TEMPERATURE,
    default="80 degC",
    reading=True,
    help="The highest the boiler control can be set to. Taking it for the whole system is on the "
    "safe side.",
    low=Limit("0 degC", "heating water is never that cold", _SLIP),
    high=Limit(
        "150 degC",
        "hotter systems are high-temperature plants, which this handbook does not cover",
        OWN_RULE.at("scope"),
    ),
)

SYSTEM_VOLUME = Quantity(
    name="system_volume",
    label="Water in the system",
    kind=u.VOLUME,
    default="1750 ± 40 L",
    reading=True,
    help="Boilers, pipes, radiators, coils and buffers together, cold: the survey page finds it.",
    low=Limit("1 L", "no heating system holds less", _SLIP),
    high=Limit("1000 m3", "no building's system holds more", _SLIP),
)

VESSEL_VOLUME = Quantity(
    name="vessel_volume",
    label="Volume of the vessel",
    kind=u.VOLUME,
    default="250 L",
    reading=True,
    help="Total volume from its plate, not the share it accepts. For equal vessels side by side "
    "with one charge, their sum.",
    low=Limit("0.5 L", "no heating vessel is smaller", _SLIP),
    high=Limit("50 m3", "no heating vessel is larger", _SLIP),
)

CHARGE = Quantity(
    name="charge",
    label="Charge of the vessel",
    kind=u.GAUGE_PRESSURE,
    default="1.5 bar",
    reading=True,
    help="Gas pressure with the water side shut off, drained and open. The pre-charge page finds "
    "the value to set.",
    low=Limit("0 bar", "a charge below the air pressure holds nothing up", _GAS),
    high=Limit("160 psi", "hot-water heating boilers stop at this pressure", _HG_101),
)

RELIEF = Quantity(
    name="relief",
    label="Relief valve set pressure",
    kind=u.GAUGE_PRESSURE,
    default="3 bar",
    help="As marked on the valve's plate. With several valves, the lowest.",
    low=Limit("0.2 bar", "no relief valve for heating is set so low", _SLIP),
    high=Limit("160 psi", "hot-water heating boilers stop at this pressure", _HG_101),
)

_FAR_APART = "no closed heating system without a break reaches so far"

VALVE_HEIGHT = Quantity(
    name="valve_height",
    label="Relief valve above the vessel",
    kind=u.LENGTH,
    default="1.8 m",
    reading=True,
    help="From the vessel's connection up to the valve. Minus if the valve is lower.",
    low=Limit("-150 m", _FAR_APART, _SLIP),
    high=Limit("150 m", _FAR_APART, _SLIP),
)

GAUGE_HEIGHT = Quantity(
    name="gauge_height",
    label="Gauge above the vessel",
    kind=u.LENGTH,
    default="1.2 m",
    reading=True,
    help="From the vessel's connection up to the gauge. Minus if the gauge is lower.",
    low=Limit("-150 m", _FAR_APART, _SLIP),
    high=Limit("150 m", _FAR_APART, _SLIP),
)

OUTPUT = Quantity(
    name="output",
    label="Output of all boilers",
    kind=u.POWER,
    default="155 kW",
    optional=True,
    help="Rated output, all boilers together. Left blank, nothing is compared with it.",
    low=Limit("0.5 kW", "no boiler is smaller", _SLIP),
    high=Limit("50 MW", "a plant that large is designed as a whole", _SLIP),
)

SPECIFIC = Quantity(
    name="specific",
    label="Content per output",
    kind=u.SPECIFIC_CONTENT,
    default="11.3 L/kW",
    reading=True,
    help="Water in the whole system for each unit of output.",
    low=Limit("0.01 L/kW", "no part is that dry, so a unit has slipped", _SLIP),
    high=Limit("200 L/kW", "only a large buffer holds so much", _SLIP),
)

_GAP_HELP = (
    "A valve weeps near its set pressure, and shuts below it, so the hot pressure stays clear "
    "of it. Where two rules apply, use the larger gap."
)

GAP_RULE = Choice(
    name="gap_rule",
    label="Margin to keep below the set pressure",
    options=(
        Option("en", "0.5 bar up to a 5 bar valve, a tenth above it (EN 12828)"),
        Option("tenth", "A tenth of the set pressure"),
        Option("five-psi", "5 psi"),
        Option("tenth-or-five", "A tenth or 5 psi, whichever is more"),
        Option("quarter", "A quarter or 10 psi, whichever is more (from memory)"),
        Option("own", "My own value"),
    ),
    help=_GAP_HELP,
    default="en",
    us_default="tenth-or-five",
)

GAP_OWN = Quantity(
    name="gap_own",
    label="Own margin",
    kind=u.PRESSURE_DIFFERENCE,
    default="0.5 bar",
    us_default="5 psi",
    help="Kept free between the hot pressure and the set pressure.",
    low=Limit("0 bar", "the hot pressure may not lie above the set pressure", _SLIP),
    high=Limit("10 bar", "no valve needs so much", _SLIP),
    when={"gap_rule": ("own",)},
)

RESERVE_RULE = Choice(
    name="reserve",
    label="Water reserve",
    options=(
        Option("en", "EN 12828: 0.5 %, at least 3 L; a fifth of a vessel up to 15 L"),
        Option("own", "My own value"),
        Option("none", "None"),
    ),
    help="Water kept in the cold vessel to make up for small losses and further cooling.",
    default="en",
)

RESERVE_OWN = Quantity(
    name="reserve_own",
    label="Own reserve",
    kind=u.VOLUME,
    default="6 L",
    help="Water that is to be in the vessel when the system is cold.",
    low=Limit("0 L", "a reserve cannot be negative", PHYSICS.at("volume")),
    high=Limit("10 m3", "no vessel keeps so much", _SLIP),
    when={"reserve": ("own",)},
)

SHARED = (
    *(HEIGHT, FLUID, GLYCOL, PIPE, ALTITUDE, COLD, HOT, SYSTEM_VOLUME, VESSEL_VOLUME, CHARGE),
    *(
        RELIEF,
        VALVE_HEIGHT,
        GAUGE_HEIGHT,
        OUTPUT,
        SPECIFIC,
        GAP_RULE,
        GAP_OWN,
        RESERVE_RULE,
        RESERVE_OWN,
    ),
)

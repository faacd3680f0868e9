"""What the drinking-water side asks for, how its form is laid out, and what it gives."""

from __future__ import annotations

from dataclasses import replace

from calc import site
from calc import units as u
from calc.model import Choice, Limit, Option, Output, Quantity, Section
from calc.sources import OWN_RULE, PHYSICS, WASHINGTON_RELIEF_RULE

VALVE, CODE, DIN = "valve", "code", "din"
STORED, AT_LIMIT = "stored", "limit"
OPEN = "open"

_SLIP = OWN_RULE.at("to catch a slip of the pen")
_HOTTEST = Limit(
    "210 degF", "a temperature relief valve opens there at the latest",
    WASHINGTON_RELIEF_RULE.at("temperature relief"),
)  # fmt: skip
_COOLEST = Limit("30 degC", "a cylinder that cool is not heated", _SLIP)

INPUTS = (
    Quantity(
        name="cylinder", label="Water in the cylinder", kind=u.VOLUME, default="300 L",
        us_default="80 gal", reading=True,
        help="Stored drinking water, from the plate. For cylinders side by side behind one check "
        "valve, their sum. The coil's water belongs to the heating.",
        low=Limit("1 L", "no cylinder is smaller", _SLIP),
        high=Limit("50 m3", "no cylinder is larger", _SLIP),
    ),
    replace(
        site.COLD,
        help="Coldest water that comes in, in winter.",
        low=Limit("0.1 degC", "ice does not flow", PHYSICS.at("freezing of water")),
    ),
    Quantity(
        name="stored", label="Stored water", kind=u.TEMPERATURE, default="60 degC",
        us_default="140 degF", reading=True, help="Setting of the cylinder's thermostat.",
        low=_COOLEST, high=_HOTTEST,
    ),
    Quantity(
        name="supply", label="Cold supply at rest", kind=u.GAUGE_PRESSURE, default="3 bar",
        us_default="60 psi", reading=True,
        help="Behind the regulator if there is one, with every tap shut, at the hour when it is "
        "highest: at night.",
        low=Limit("0.5 bar", "less does not reach a tap", _SLIP),
        high=Limit("25 bar", "no building is supplied with more", _SLIP),
    ),
    Quantity(
        name="cylinder_relief", label="Cylinder's relief valve set at", kind=u.GAUGE_PRESSURE,
        default="6 bar", us_default="150 psi",
        help="Safety valve, or temperature and pressure relief valve, on the cylinder. From its "
        "plate; not the heating's valve.",
        low=Limit("1 bar", "no such valve is set so low", _SLIP),
        high=Limit("25 bar", "no such valve is set so high", _SLIP),
    ),
    Choice(
        name="rule", label="Rule to judge by", default=DIN, us_default=CODE,
        options=(
            Option(DIN, "DIN 4807-5: a fifth below the safety valve"),
            Option(CODE, "US plumbing codes: 80 psi in the building"),
            Option(VALVE, "US engineering: a tenth below the relief valve"),
        ),
        help="Take the one adopted where the cylinder stands. All three are shown.",
    ),
    Choice(
        name="closes", label="What closes the cold supply", default="check",
        options=(
            Option("check", "A check valve or a backflow preventer"),
            Option("regulator", "A pressure regulator"),
            Option(OPEN, "Nothing: open to the main"),
        ),
        help="Follow the pipe from the cylinder to the meter. A meter may hide a check valve.",
    ),
    Quantity(
        name="domestic_vessel", label="Vessel there or planned", kind=u.VOLUME, default="18 L",
        us_default="8 gal", reading=True,
        help="Total volume of the vessel on the drinking water, from its plate.",
        low=Limit("0.5 L", "no such vessel is smaller", _SLIP),
        high=Limit("20 m3", "no such vessel is larger", _SLIP),
    ),
    Quantity(
        name="domestic_charge", label="Its charge", kind=u.GAUGE_PRESSURE, default="2.8 bar",
        us_default="60 psi", reading=True,
        help="Read with the water side shut off, drained and open.",
        low=Limit("0 bar", "a charge below the air holds nothing", PHYSICS.at("gas pressure")),
        high=Limit("25 bar", "no such vessel is charged so high", _SLIP),
    ),
    Choice(
        name="grow_to", label="Let it grow up to", default=STORED,
        options=(
            Option(STORED, "The stored temperature"),
            Option(AT_LIMIT, "The temperature at which the valve opens"),
        ),
        help="The second keeps the vessel sufficient when the thermostat has failed.",
    ),
    Quantity(
        name="temperature_limit", label="Valve opens by temperature at", kind=u.TEMPERATURE,
        default="90 degC", us_default="210 degF", when={"grow_to": (AT_LIMIT,)},
        help="From the plate of the temperature relief valve.",
        low=_COOLEST, high=_HOTTEST,
    ),
    site.ALTITUDE,
)  # fmt: skip

SECTIONS = (
    Section("Cylinder", ("cylinder", "cold", "stored", "cylinder_relief")),
    Section("Cold supply", ("supply", "closes", "rule")),
    Section("Vessel on the drinking water", ("domestic_vessel", "domestic_charge")),
    Section("Altitude and failed thermostat", ("altitude", "grow_to", "temperature_limit"),
            folded=True),
)  # fmt: skip

OUTPUTS = (
    Output("expansion", "Growth of the stored water", u.VOLUME, "At each heating from cold.",
           headline=True),
    Output("growth", "Growth as a share", u.FRACTION),
    Output("needed", "Smallest vessel, by the rule chosen", u.VOLUME, headline=True),
    Output("volume_din", "Smallest vessel, DIN 4807-5", u.VOLUME),
    Output("volume_code", "Smallest vessel, 80 psi of the codes", u.VOLUME),
    Output("volume_valve", "Smallest vessel, a tenth below the valve", u.VOLUME),
    Output("end_din", "Highest pressure, DIN 4807-5", u.GAUGE_PRESSURE),
    Output("end_code", "Highest pressure, 80 psi of the codes", u.GAUGE_PRESSURE),
    Output("end_valve", "Highest pressure, a tenth below the valve", u.GAUGE_PRESSURE),
    Output("charge_low", "Charge to set, at least", u.GAUGE_PRESSURE, "By the rule chosen."),
    Output("charge_high", "Charge to set, at most", u.GAUGE_PRESSURE, "By the rule chosen."),
    Output("hot_pressure", "Pressure when hot, with the vessel there", u.GAUGE_PRESSURE,
           "With the supply closed and nothing drawn off.", headline=True),
    Output("room", "Room below the relief valve", u.PRESSURE_DIFFERENCE),
)  # fmt: skip

EXAMPLES = (
    {
        "cylinder": "50 gal", "cold": "50 degF", "stored": "140 degF", "supply": "60 psi",
        "cylinder_relief": "150 psi", "rule": VALVE, "closes": "regulator",
        "domestic_vessel": "2 gal", "domestic_charge": "60 psi", "altitude": "0 ft",
    },
    {
        "cylinder": "80 gal", "cold": "40 degF", "stored": "140 degF", "supply": "65 psi",
        "cylinder_relief": "125 psi", "rule": CODE, "grow_to": AT_LIMIT,
        "temperature_limit": "205 degF", "domestic_vessel": "10 gal",
        "domestic_charge": "50 psi", "altitude": "5280 ft",
    },
    {
        "cylinder": "500 L", "supply": "4 bar", "cylinder_relief": "6 bar", "rule": CODE,
        "domestic_vessel": "8 L", "domestic_charge": "4.5 bar",
    },
    {
        "cylinder": "200 L", "supply": "5.2 bar", "cylinder_relief": "6 bar", "rule": DIN,
        "closes": OPEN, "domestic_vessel": "3 L", "domestic_charge": "3 bar",
    },
)  # fmt: skip

"""What the two-reading check asks for, how its form is laid out, and what it gives."""

from __future__ import annotations

from dataclasses import replace

from calc import site
from calc import units as u
from calc.model import Choice, Limit, Option, Output, Quantity, Section
from calc.sources import OWN_RULE, PHYSICS

_SLIP = OWN_RULE.at("to catch a slip of the pen")
_NOT_SEEN = Option("unknown", "Not tried")
_YES_NO = (Option("yes", "Yes"), Option("no", "No"), _NOT_SEEN)
_SHELL_LOW = Limit("-20 degC", "no plant room with water in it is colder", _SLIP)
_SHELL_HIGH = Limit("110 degC", "no diaphragm stands more", _SLIP)

_READINGS = (
    Quantity(
        name="cold_fill",
        label="Cold reading on the gauge",
        kind=u.GAUGE_PRESSURE,
        default="1.55 ± 0.05 bar",
        us_default="22.5 ± 0.7 psi",
        reading=True,
        help="Make-up shut, the pump as at the hot reading. Half a division is a fair plus/minus.",
        low=Limit("0 bar", "a closed system is never run below the air around it", OWN_RULE.at()),
        high=site.RELIEF.high,
    ),
    replace(
        site.COLD,
        label="Water at the cold reading",
        default="10 ± 2 degC",
        us_default="50 ± 4 degF",
        help="Mean of the whole system when the cold pressure was read. For the whole system, "
        "not for one pipe, plus/minus 2 K (4 °F) is good.",
    ),
    Quantity(
        name="hot_reading",
        label="Hot reading on the gauge",
        kind=u.GAUGE_PRESSURE,
        default="2.65 ± 0.05 bar",
        us_default="38.4 ± 0.7 psi",
        reading=True,
        help="The same gauge, the pump in the same state as for the cold reading.",
        low=Limit("0 bar", "a closed system is never run below the air around it", OWN_RULE.at()),
        high=site.RELIEF.high,
    ),
    replace(
        site.HOT,
        label="Water at the hot reading",
        help="Mean of flow and return, read together with the pressure. Not the boiler's setting.",
        default="72 ± 2 degC",
        us_default="162 ± 4 degF",
    ),
    replace(site.GAUGE_HEIGHT, reading=False),
)

_VESSEL = (
    replace(
        site.SYSTEM_VOLUME,
        help="The survey page gives it with its plus/minus. A rule by output: half the volume.",
    ),
    replace(site.VESSEL_VOLUME, default=site.OLD_VESSEL_VOLUME, reading=False),
    replace(
        site.CHARGE,
        label="Charge it should have",
        help="As worked out for the height, or as the record says. For want of both, the plate.",
        reading=False,
    ),
    Quantity(
        name="found_charge",
        label="Charge found",
        kind=u.GAUGE_PRESSURE,
        default="",
        optional=True,
        reading=True,
        help="Only if read with the water side at zero and open. Left blank, it counts as unknown.",
        low=Limit(
            "-1.01325 bar",
            "a perfect vacuum at sea level reads that",
            PHYSICS.at("gauge and absolute pressure"),
        ),
        high=site.CHARGE.high,
    ),
)

_SEEN = (
    Choice(
        name="second_gauge",
        label="A second gauge agrees",
        options=_YES_NO,
        help="At the same point, and both read zero in open air.",
        default="yes",
    ),
    Choice(
        name="pump_start",
        label="When the pump starts, the gauge",
        options=(
            Option("stays", "Stays"),
            Option("rises", "Rises"),
            Option("falls", "Falls"),
            _NOT_SEEN,
        ),
        help="Cold, within a few seconds of the pump starting.",
        default="rises",
    ),
    Choice(
        name="creeps_open",
        label="Creeps up cold, make-up open",
        options=_YES_NO,
        help="The pressure rises while nothing is heated and the make-up valve is open.",
        default="no",
    ),
    Choice(
        name="creeps_shut",
        label="Creeps up cold, make-up shut",
        options=_YES_NO,
        help="Watch for half an hour with the make-up valve shut.",
        default="no",
    ),
    Choice(
        name="falls",
        label="Falls cold, make-up shut",
        options=_YES_NO,
        help="Over half an hour or more, at one temperature.",
        default="no",
    ),
    Choice(
        name="drips",
        label="The relief valve drips",
        options=(
            Option("never", "Never"),
            Option("top", "Near top temperature only"),
            Option("heat-up", "At every heat-up, early"),
            Option("always", "Cold as well"),
            Option("unknown", "Not known"),
        ),
        help="Look at its discharge, not at the gauge.",
        default="top",
    ),
)

_VESSEL_SEEN = (
    Choice(
        name="gas_valve_water",
        label="Water at the gas valve",
        options=_YES_NO,
        help="Vessel cool, cap off, pin pressed for a moment, face away.",
        default="no",
    ),
    Choice(
        name="follows",
        label="Gas valve follows the system's pressure",
        options=_YES_NO,
        help="With the water side connected, the gas valve reads as the system does, hot and cold.",
        default="yes",
    ),
    Choice(
        name="shell",
        label="The shell",
        options=(
            Option("rings", "Rings where the gas is"),
            Option("heavy", "Dull, heavy and warm all over"),
            Option("unknown", "Not tried"),
        ),
        help="Tap it and feel it. Common practice, and no proof.",
        default="unknown",
    ),
    Choice(
        name="collapses",
        label="Cold, a cup of water let out makes it collapse",
        options=_YES_NO,
        help="A vessel with water in it gives way gently. An empty one does not give at all.",
        default="unknown",
    ),
)

_LIMIT = (
    site.RELIEF,
    replace(site.VALVE_HEIGHT, reading=False),
    Quantity(
        name="setting",
        label="Highest the control can be set to",
        kind=u.TEMPERATURE,
        default=site.HOT.default,
        optional=True,
        help="For overheating, and for the hot pressure to come. Blank: not compared.",
        low=site.HOT.low,
        high=site.HOT.high,
    ),
    site.GAP_RULE,
    site.GAP_OWN,
)

_SITE = (
    site.FLUID,
    replace(site.GLYCOL, reading=False),
    site.PIPE,
    site.ALTITUDE,
    Quantity(
        name="shell_cold",
        label="Shell on the gas side, cold reading",
        kind=u.TEMPERATURE,
        default="",
        optional=True,
        help="Enter both shell temperatures if the vessel warms. Blank: the gas stays as it was.",
        low=_SHELL_LOW,
        high=_SHELL_HIGH,
    ),
    Quantity(
        name="shell_hot",
        label="Shell on the gas side, hot reading",
        kind=u.TEMPERATURE,
        default="",
        optional=True,
        help="Where the shell rings. Gas that warms raises the pressure too.",
        low=_SHELL_LOW,
        high=_SHELL_HIGH,
    ),
)

INPUTS = (*_READINGS, *_VESSEL, *_SEEN, *_VESSEL_SEEN, *_LIMIT, *_SITE)


def _names(inputs: tuple) -> tuple[str, ...]:
    return tuple(one.name for one in inputs)


SECTIONS = (
    Section("Two readings", _names(_READINGS)),
    Section("System and vessel", _names(_VESSEL)),
    Section("What was seen", _names(_SEEN)),
    Section("What the vessel tells", _names(_VESSEL_SEEN)),
    Section("Relief valve and control", _names(_LIMIT), folded=True),
    Section("Fluid, pipes and site", _names(_SITE), folded=True),
)

OUTPUTS = (
    Output("fitting", "Fits", None, headline=True),
    Output(
        "next_test",
        "Next test",
        None,
        headline=True,
        help="The test that tells them apart stands in full among the checks.",
    ),
    Output(
        "share",
        "Cushion, of what it should be",
        u.FRACTION,
        help="The two readings against charge and volume as they should be.",
        headline=True,
    ),
    Output("share_least", "Cushion, at least", u.FRACTION),
    Output("share_most", "Cushion, at most", u.FRACTION),
    Output("gas_space", "Gas space when cold", u.VOLUME, help="What the rise asks for."),
    Output(
        "content",
        "Pressure times volume of the gas",
        u.PRESSURE_VOLUME,
        help="The one number that two readings give: absolute charge times volume.",
    ),
    Output("content_least", "Pressure times volume, at least", u.PRESSURE_VOLUME),
    Output("content_most", "Pressure times volume, at most", u.PRESSURE_VOLUME),
    Output(
        "charge_explaining",
        "Charge that would explain it",
        u.GAUGE_PRESSURE,
        help="If the volume of the vessel is right. Minus: less gas than open air would leave.",
    ),
    Output("charge_least", "That charge, at least", u.GAUGE_PRESSURE),
    Output("charge_most", "That charge, at most", u.GAUGE_PRESSURE),
    Output(
        "volume_explaining",
        "Volume that would explain it",
        u.VOLUME,
        help="If the charge is as it should be.",
    ),
    Output("volume_least", "That volume, at least", u.VOLUME),
    Output("volume_most", "That volume, at most", u.VOLUME),
    Output(
        "charge_if_empty",
        "High charge that would explain it",
        u.GAUGE_PRESSURE,
        help="If the charge is so high that the cold vessel is empty.",
    ),
    Output("growth", "Water pushed into the vessel", u.VOLUME),
    Output(
        "hot_expected",
        "Hot reading to expect",
        u.GAUGE_PRESSURE,
        help="With volume and charge as they should be, at the temperature of the hot reading.",
    ),
    Output(
        "hot_at_setting",
        "Hot reading to expect at the setting",
        u.GAUGE_PRESSURE,
        help="The same at the highest setting of the control.",
    ),
    Output("possible", "Possible besides, or not tried", None),
)

INTERVALS = tuple(
    output.name
    for output in OUTPUTS
    if output.name.endswith(("_least", "_most", "_explaining"))
    or output.name in ("share", "content")
)
"""Results that stand between bounds of their own, or are one: they carry no plus/minus besides."""

_WORKED = {
    "cold_fill": "1.3 ± 0.1 bar",
    "cold": "15 ± 2 degC",
    "hot": "75 ± 2 degC",
    "gauge_height": "0 m",
    "system_volume": "100 ± 3 L",
    "vessel_volume": "12 L",
    "charge": "1.0 bar",
    "valve_height": "0.5 m",
    "altitude": "120 m",
}
EXAMPLES = (
    # A failed diaphragm: next to no cushion, water at the gas valve.
    {
        **_WORKED,
        "hot_reading": "2.9 ± 0.1 bar",
        "pipe": "copper",
        "drips": "heat-up",
        "gas_valve_water": "yes",
        "shell": "heavy",
        "follows": "unknown",
        "second_gauge": "unknown",
        "pump_start": "unknown",
        "creeps_open": "unknown",
        "creeps_shut": "unknown",
        "falls": "unknown",
    },
    # A charge read with the water side at zero, in customary units; the gas warms a little.
    {
        "cold_fill": "17 ± 0.5 psi",
        "hot_reading": "25.5 ± 0.5 psi",
        "cold": "60 ± 4 degF",
        "hot": "170 ± 4 degF",
        "setting": "180 degF",
        "system_volume": "40 ± 2 gal",
        "vessel_volume": "8 gal",
        "charge": "12 psi",
        "found_charge": "7 ± 0.5 psi",
        "gauge_height": "-2 ft",
        "valve_height": "3 ft",
        "relief": "30 psi",
        "gap_rule": "tenth-or-five",
        "altitude": "2100 ft",
        "fluid": "propylene glycol",
        "glycol": "30 %",
        "pipe": "copper",
        "shell_cold": "65 degF",
        "shell_hot": "80 degF",
        "drips": "never",
        "pump_start": "falls",
    },
    # Make-up creeping, every other gap rule, a rise too small to say much.
    {
        "cold_fill": "1.55 ± 0.15 bar",
        "hot_reading": "1.75 ± 0.15 bar",
        "hot": "45 ± 2 degC",
        "creeps_open": "yes",
        "creeps_shut": "unknown",
        "drips": "always",
        "gap_rule": "five-psi",
        "fluid": "ethylene glycol",
        "glycol": "25 %",
        "setting": "",
    },
    {"gap_rule": "own", "gap_own": "0.4 bar", "pipe": "none", "found_charge": "1.5 bar"},
    {"gap_rule": "quarter", "relief": "6 bar", "hot_reading": "2.2 bar", "pipe": "plastic"},
    {"gap_rule": "tenth-or-five", "relief": "5 bar", "hot_reading": "3.4 bar", "cold": "18 degC"},
    {"gap_rule": "tenth", "hot_reading": "1.5 bar", "second_gauge": "no"},
    # Nothing said of how far a reading may be out.
    {
        "charge": "1.9 bar",
        "hot_reading": "2.9 bar",
        "collapses": "yes",
        "cold": "10 degC",
        "system_volume": "1750 L",
    },
)

"""What the lifting check asks for, how its form is laid out, and what it gives."""

from __future__ import annotations

from dataclasses import replace

from calc import site
from calc import units as u
from calc.model import Choice, Limit, Option, Output, Quantity, Section
from calc.sources import NIOSH_94_110, OWN_RULE, PHYSICS

EMPTY, SOME, WATERLOGGED = "empty", "some", "waterlogged"
WALL, FLOOR, NO_SUPPORT = "wall", "floor", "none"
ONCE, TWICE = "once", "twice"
SOUND, POOR = "sound", "poor"

_SLIP = OWN_RULE.at("to catch a slip of the pen")
_EQUATION = NIOSH_94_110.at("where the equation ends")
_ON_WALL = {"support": (WALL,)}
_ON_FLOOR = {"support": (FLOOR,)}
_SUPPORTED = {"support": (WALL, FLOOR)}

_ZONES = (
    Option("head", "Head to shoulder"),
    Option("shoulder", "Shoulder to elbow"),
    Option("elbow", "Elbow to knuckles"),
    Option("knuckle", "Knuckles to the middle of the lower leg"),
    Option("floor", "Below the middle of the lower leg"),
)


def _reach(name: str, label: str, default: str, us_default: str) -> Quantity:
    return Quantity(
        name=name, label=label, kind=u.LENGTH, default=default, us_default=us_default,
        help="Level distance from the middle between the ankles to the hands. A thick vessel keeps "
        "it large. Up to 25 cm (10 in) counts as close.",
        low=Limit("1 cm", "the hands are in front of the body", _SLIP),
        high=Limit("63 cm", "beyond it nothing should be lifted: step closer, or use a hoist",
                   _EQUATION),
    )  # fmt: skip


def _height(name: str, label: str, default: str, us_default: str) -> Quantity:
    return Quantity(
        name=name, label=label, kind=u.LENGTH, default=default, us_default=us_default,
        help="Height of the hands above the floor they stand on.",
        low=Limit("0 m", "the hands are not below the floor", PHYSICS.at("height")),
        high=Limit("175 cm", "higher nothing should be lifted: use a hoist or a platform",
                   _EQUATION),
    )  # fmt: skip


def _force(name: str, label: str, default: str) -> Quantity:
    return Quantity(
        name=name, label=label, kind=u.FORCE, default=default, when=_ON_WALL,
        help="For one anchor in this wall, from the anchor's own approval, with the safety factor "
        "and the distances to edges that it names.",
        low=Limit("1 N", "an anchor that holds nothing is none", _SLIP),
        high=Limit("500 kN", "no wall anchor holds so much", _SLIP),
    )  # fmt: skip


def _bolts(name: str, label: str, default: str, help: str) -> Quantity:
    return Quantity(
        name=name, label=label, kind=u.NUMBER, default=default, help=help, when=_ON_WALL,
        low=Limit("1", "something has to hold the bracket", _SLIP),
        high=Limit("40", "no bracket has more", _SLIP),
    )  # fmt: skip


INPUTS = (
    replace(
        site.VESSEL_VOLUME,
        default=site.OLD_VESSEL_VOLUME,
        help="Total volume of the one that is lifted, from its plate.",
    ),
    Quantity(
        name="empty_mass", label="Mass of the empty vessel", kind=u.MASS,
        default=site.OLD_VESSEL_MASS, help="From its plate or papers.", reading=True,
        low=Limit("0.5 kg", "no steel vessel is lighter", _SLIP),
        high=Limit("20000 kg", "larger ones are built to order", _SLIP),
    ),
    Choice(
        name="state", label="What is in it", default=SOME,
        options=(
            Option(EMPTY, "Proved empty of water"),
            Option(SOME, "Drained, some water left"),
            Option(WATERLOGGED, "Not proved: may be full of water"),
        ),
        help="Weigh it, rock it, or tap it from top to bottom. With a failed diaphragm water hides "
        "on the gas side too.",
    ),
    Quantity(
        name="water_left", label="Water left in it", kind=u.VOLUME, default="8 L",
        us_default="2 gal", reading=True, when={"state": (SOME,)},
        help="What its connection and its bottom keep back: full content less what ran out.",
        low=Limit("0 L", "there is no less than none", PHYSICS.at("volume")),
        high=Limit("50 m3", "no heating vessel is larger", _SLIP),
    ),
    Choice(
        name="people", label="People who lift", default="2",
        options=(Option("1", "One"), Option("2", "Two"), Option("3", "Three")),
        help="A team lifts less than the sum of its people. More than three get in each other's "
        "way: use a hoist.",
    ),
    _reach("reach_start", "Reach at the start", "40 cm", "16 in"),
    _height("height_start", "Hands at the start", "30 cm", "12 in"),
    _reach("reach_end", "Reach at the end", "45 cm", "18 in"),
    _height("height_end", "Hands at the end", "100 cm", "40 in"),
    Quantity(
        name="twist", label="Twist of the trunk", kind=u.ANGLE, default="20 deg",
        help="Between the load and straight ahead, whichever end is worse.",
        low=Limit("0 deg", "straight ahead is the least", PHYSICS.at("angle")),
        high=Limit("135 deg", "beyond it nothing should be lifted: turn the feet", _EQUATION),
    ),
    Choice(
        name="grip", label="Grip", default="poor",
        options=(
            Option("good", "Good: handles or a proper sling"),
            Option("fair", "Fair: fingers flexed under it"),
            Option("poor", "Poor: round, smooth, wet or sagging"),
        ),
        help="A round steel shell without handles is a poor grip.",
    ),
    Quantity(
        name="rate", label="Lifts each minute", kind=u.NUMBER, default="0.2",
        help="Averaged over a quarter of an hour. One lift in five minutes or less is 0.2.",
        low=Limit("0", "nothing is lifted less often than never", PHYSICS.at("counting")),
        high=Limit("15", "more often nothing should be lifted", _EQUATION),
    ),
    Choice(
        name="duration", label="Lifting goes on for", default="short",
        options=(
            Option("short", "Up to 1 hour"),
            Option("medium", "1 to 2 hours"),
            Option("long", "2 to 8 hours"),
        ),
        help="All lifting of this day without a real rest between.",
    ),
    Quantity(
        name="carry", label="Carried", kind=u.LENGTH, default="6 m", us_default="20 ft",
        help="Without putting it down.",
        low=Limit("0 m", "put down where it was lifted", PHYSICS.at("length")),
        high=Limit("500 m", "no plant room is so far away", _SLIP),
    ),
    Choice(
        name="posture", label="Place", default=SOUND,
        options=(
            Option(SOUND, "Firm dry floor, room to stand upright, both hands"),
            Option(POOR, "Cramped, kneeling, slippery, on a ladder or one-handed"),
        ),
        help="Neither the equation nor the filter holds for the second.",
    ),
    Choice(
        name="filter", label="Filter", default="men",
        options=(Option("men", "The higher figures"), Option("women", "The lower figures")),
        help="The figures are printed for men and for women. The lower ones protect nearly "
        "everybody; use them where you do not know who will lift.",
    ),
    Choice(
        name="zone_start", label="Hands start", options=_ZONES, default="floor",
        help="Zone of the hands of the shortest person, as they stand.",
    ),
    Choice(
        name="zone_end", label="Hands end", options=_ZONES, default="elbow",
        help="Zone of the hands where the load is set down.",
    ),
    Choice(
        name="arms", label="Hands", default="far",
        options=(Option("close", "Close to the body"), Option("far", "At arm's length")),
        help="A thick vessel keeps the hands away from the body.",
    ),
    Choice(
        name="support", label="It will stand or hang on", default=WALL,
        options=(
            Option(WALL, "A wall bracket"),
            Option(FLOOR, "Feet on the floor"),
            Option(NO_SUPPORT, "Leave this out"),
        ),
        help="The support carries the vessel full of water, whatever it weighs today.",
    ),
    Choice(
        name="support_rule", label="Made for", default=ONCE, us_default=TWICE,
        options=(
            Option(ONCE, "The filled weight"),
            Option(TWICE, "Twice the filled weight (Uniform Mechanical Code)"),
        ),
        help="Take the rule of the code adopted where it hangs.", when=_SUPPORTED,
    ),
    Quantity(
        name="piping_mass", label="Valve and pipe hanging on it", kind=u.MASS, default="6 kg",
        us_default="13 lb", when=_SUPPORTED,
        help="Service valve, drain, and the share of pipe that rests on it, with its water.",
        low=Limit("0 kg", "nothing hangs on it", PHYSICS.at("mass")),
        high=Limit("2000 kg", "so much pipe has supports of its own", _SLIP),
    ),
    Quantity(
        name="offset", label="Wall to the middle of the vessel", kind=u.LENGTH, default="34 cm",
        us_default="13.5 in", when=_ON_WALL,
        help="Half the vessel's diameter, and the gap behind it.",
        low=Limit("1 cm", "a vessel is not thinner", _SLIP),
        high=Limit("2 m", "no bracket reaches so far", _SLIP),
    ),
    Quantity(
        name="spacing", label="Top bolts to the foot of the bracket", kind=u.LENGTH,
        default="60 cm", us_default="24 in", when=_ON_WALL,
        help="Down from the top row of bolts to where the bracket presses on the wall. A taller "
        "bracket pulls less on its bolts.",
        low=Limit("2 cm", "a bracket is not lower", _SLIP),
        high=Limit("5 m", "no bracket is so tall", _SLIP),
    ),
    _bolts("top_bolts", "Bolts in the top row", "2", "Only these hold against the pull."),
    _bolts("bolts", "Bolts in all", "4", "All of them share the shear."),
    _force("tension_allowed", "Pull allowed for each", "2.5 kN"),
    _force("shear_allowed", "Shear allowed for each", "3 kN"),
    Quantity(
        name="plan_area", label="Floor it stands over", kind=u.AREA, default="0.6 m2",
        us_default="6.5 ft2", when=_ON_FLOOR,
        help="The vessel's outline with the free floor that the engineer lets you count.",
        low=Limit("10 cm2", "smaller than a hand", _SLIP),
        high=Limit("100 m2", "larger than a plant room", _SLIP),
    ),
    Quantity(
        name="feet_area", label="Area of all feet together", kind=u.AREA, default="180 cm2",
        us_default="28 in2", when=_ON_FLOOR,
        help="What really touches the floor.",
        low=Limit("1 cm2", "smaller than a fingertip", _SLIP),
        high=Limit("100 m2", "larger than a plant room", _SLIP),
    ),
    Quantity(
        name="floor_allowed", label="Load the floor may carry", kind=u.FLOOR_LOAD,
        default="5 kN/m2", us_default="100 psf", optional=True, when=_ON_FLOOR,
        help="From the building's papers or a structural engineer. Left blank, nothing is judged.",
        low=Limit("0.5 kN/m2", "no floor is made for less", _SLIP),
        high=Limit("1000 kN/m2", "no floor is made for more", _SLIP),
    ),
    Quantity(
        name="bearing_allowed", label="Pressure allowed under a foot", kind=u.FLOOR_LOAD,
        default="1 N/mm2", us_default="145 psi", optional=True, when=_ON_FLOOR,
        help="What screed, tile or slab bears on a small spot, from the same papers. Left blank, "
        "nothing is judged.",
        low=Limit("10 kN/m2", "softer than sand", _SLIP),
        high=Limit("100 N/mm2", "harder than concrete", _SLIP),
    ),
    replace(site.COLD, help="Cold water weighs most. It matters little."),
)  # fmt: skip

SECTIONS = (
    Section("The vessel", ("vessel_volume", "empty_mass", "state", "water_left", "people")),
    Section(
        "The lift",
        ("reach_start", "height_start", "reach_end", "height_end", "twist", "grip", "posture"),
    ),
    Section("Filter: where the hands are", ("filter", "zone_start", "zone_end", "arms")),
    Section(
        "Support",
        (
            "support", "offset", "spacing", "top_bolts", "bolts", "tension_allowed",
            "shear_allowed", "plan_area", "feet_area", "floor_allowed", "bearing_allowed",
        ),
    ),
    Section("Rule for the support", ("support_rule", "piping_mass"), folded=True),
    Section("How often and how far", ("rate", "duration", "carry", "cold"), folded=True),
)  # fmt: skip

OUTPUTS = (
    Output("mass_to_lift", "Mass to lift now", u.MASS, headline=True),
    Output("mass_full", "Mass full of water", u.MASS, "What its support carries one day.",
           headline=True),
    Output("share", "As hard as this load for one person", u.MASS,
           "A team lifts less than the sum of its people."),
    Output("limit_start", "Recommended limit of one person, at the start", u.MASS),
    Output("limit_end", "Recommended limit of one person, at the end", u.MASS),
    Output("index_start", "Lifting index at the start", u.INDEX),
    Output("index_end", "Lifting index at the end", u.INDEX),
    Output("index", "Lifting index", u.INDEX, "The worse end; 1 or less is the aim.",
           headline=True),
    Output("filter_one", "Filter of one person", u.MASS),
    Output("filter_team", "Filter of the team", u.MASS, "Above it, look closely or use a hoist."),
    Output("support_force", "Weight the support is made for", u.FORCE),
    Output("bolt_tension", "Pull on each top bolt", u.FORCE),
    Output("bolt_shear", "Shear on each bolt", u.FORCE),
    Output("bolt_use", "Share of the anchor's allowed load", u.FRACTION, "Up to 100 % it holds."),
    Output("plan_load", "Load on the floor, spread", u.FLOOR_LOAD),
    Output("feet_load", "Load under the feet", u.FLOOR_LOAD),
)  # fmt: skip

EXAMPLES = (
    {
        "vessel_volume": "20 gal", "empty_mass": "33 lb", "state": WATERLOGGED, "people": "3",
        "reach_start": "14 in", "height_start": "32 in", "reach_end": "20 in",
        "height_end": "60 in", "twist": "60 deg", "grip": "fair", "rate": "3", "duration": "medium",
        "carry": "40 ft", "filter": "women", "zone_start": "knuckle", "zone_end": "shoulder",
        "arms": "close", "support": FLOOR, "support_rule": TWICE, "plan_area": "4 ft2",
        "feet_area": "12 in2", "floor_allowed": "100 psf", "bearing_allowed": "", "cold": "60 degF",
    },
    {
        "vessel_volume": "12 L", "empty_mass": "3.1 kg", "state": EMPTY, "people": "1",
        "reach_start": "25 cm", "height_start": "80 cm", "reach_end": "35 cm",
        "height_end": "140 cm", "twist": "0 deg", "grip": "good", "rate": "0.5",
        "duration": "long", "zone_start": "elbow", "zone_end": "head", "support": NO_SUPPORT,
    },
    {
        "vessel_volume": "500 L", "empty_mass": "120 kg", "posture": POOR, "support": FLOOR,
        "floor_allowed": "", "bearing_allowed": "1 N/mm2",
    },
)  # fmt: skip

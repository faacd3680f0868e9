"""Mistakes that people really make, each with a name, a sentence and its place in the book."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Mistake:
    """A named mistake; `sentence` says what was done and what belongs there instead."""

    id: str
    title: str
    sentence: str
    page: str


def _listed(*mistakes: Mistake) -> dict[str, Mistake]:
    return {one.id: one for one in mistakes}


def _at(anchor: str) -> str:
    return f"mistakes.md#{anchor}"


MISTAKES = _listed(
    Mistake(
        "gauge-for-absolute",
        "Gauge pressure where absolute belongs",
        "The gauge reading went into the law of gases as it stands. Add the pressure of the air "
        "first, and take it off at the end.",
        _at("gauge-for-absolute"),
    ),
    Mistake(
        "sea-level-air",
        "Sea-level air at altitude",
        "The air was taken as that at sea level. This site is higher, and its air is thinner.",
        _at("sea-level-air"),
    ),
    Mistake(
        "one-bar-air",
        "One bar taken for the air",
        "The air was taken as 1 bar. Work it out from the altitude.",
        _at("gallons"),
    ),
    Mistake(
        "height-from-floor",
        "Height from the floor or the boiler",
        "The height was counted from the wrong place. Count it from the vessel's connection to "
        "the highest point.",
        _at("height-from-floor"),
    ),
    Mistake(
        "no-margin-at-top",
        "No pressure kept at the top",
        "The charge only carries the column. The highest point needs a pressure of its own above "
        "that, or air is drawn in.",
        "set-the-pre-charge.md",
    ),
    Mistake(
        "factory-charge",
        "Factory charge left as it came",
        "The charge on the label was taken as it came. Work out the charge for this building.",
        _at("factory-charge"),
    ),
    Mistake(
        "charge-under-pressure",
        "Charge read with the water side under pressure",
        "What the gas valve showed with water behind the diaphragm was taken for the charge. Shut "
        "off, drain, open, then read.",
        _at("charge-under-pressure"),
    ),
    Mistake(
        "cold-vessel",
        "A cold vessel set as if it were warm",
        "The temperature of the vessel was left out. Gas that is set cold gains pressure in "
        "service.",
        _at("cold-vessel"),
    ),
    Mistake(
        "celsius-in-gas-law",
        "Degrees put into the law of gases",
        "The law of gases wants temperatures from absolute zero. Add 273.15 to °C, or 459.67 to "
        "°F.",
        _at("cold-vessel"),
    ),
    Mistake(
        "fill-is-charge",
        "The charge taken for the fill",
        "The cold fill was taken equal to the charge. Then no water stands in the cold vessel.",
        "set-the-pre-charge.md",
    ),
    Mistake(
        "no-gap",
        "The relief setting taken for the final pressure",
        "The whole set pressure was used. Keep the margin below it, for a valve weeps before it "
        "opens.",
        _at("no-gap"),
    ),
    Mistake(
        "heights-as-one",
        "Two heights taken as one",
        "The column between the two places was left out. Pressure falls on the way up.",
        _at("no-gap"),
    ),
    Mistake(
        "column-wrong-way",
        "Column added instead of taken away",
        "The column between two heights went in with the wrong sign. The lower place has the "
        "higher pressure.",
        _at("height-from-floor"),
    ),
    Mistake(
        "no-reserve",
        "Water reserve left out",
        "Only the growth of the water was counted. The reserve needs room in the vessel too.",
        "size-or-confirm.md",
    ),
    Mistake(
        "growth-from-ice",
        "Growth counted from 0 °C",
        "The growth was counted from 0 °C (32 °F). Count it from the temperature of the cold fill.",
        _at("wrong-temperature"),
    ),
    Mistake(
        "other-formula",
        "The formula of the other kind of tank",
        "That is the formula of a tank whose air starts at the pressure of the room. This vessel "
        "is charged before the water comes.",
        _at("other-formula"),
    ),
    Mistake(
        "plastic-credit",
        "Credit for plastic pipe",
        "Room was credited to pipes that give none. Take no credit for plastic.",
        _at("plastic-credit"),
    ),
    Mistake(
        "gallons",
        "Imperial for US gallons",
        "An imperial gallon is a fifth larger than a US gallon. The plate says US gallons.",
        _at("gallons"),
    ),
    Mistake(
        "radius-for-diameter",
        "Diameter put where the radius belongs",
        "The diameter was squared as if it were the radius, or the radius as if it were the "
        "diameter. The bore's area is π d² / 4.",
        "survey.md",
    ),
    Mistake(
        "outside-diameter",
        "Outside diameter taken for the bore",
        "The outside diameter of the pipe was used. Water stands inside the wall.",
        "survey.md",
    ),
    Mistake(
        "remained-left-out",
        "Water that was there before left out",
        "Only the meter was counted. What had stayed in the system belongs to it as well.",
        "survey.md",
    ),
    Mistake(
        "lost-left-out",
        "Water let out again left in",
        "What was let out while venting and flushing went through the meter and did not stay.",
        "survey.md",
    ),
    Mistake(
        "lost-added",
        "Water let out again added",
        "What was let out again was added. It went through the meter and did not stay: take it "
        "off.",
        "survey.md",
    ),
    Mistake(
        "dry-for-full",
        "The dry weight taken for the weight",
        "The weight on the plate is that of the empty vessel. The water in it comes on top.",
        "lift-and-support.md",
    ),
    Mistake(
        "waterlogged-overlooked",
        "A torn diaphragm overlooked",
        "Water at the gas valve says that the diaphragm leaks: the vessel may be full of water.",
        "isolate-and-drain.md",
    ),
    Mistake(
        "start-left-out",
        "Pressure already there left out",
        "The whole of what the part carries was used. What stands in the pipe already is used up.",
        "boiling-and-trapped-water.md",
    ),
    Mistake(
        "pump-left-out",
        "Pump left out",
        "The head of the pump between vessel and valve was left out. When it runs, the valve sees "
        "it.",
        _at("discharge-side"),
    ),
    Mistake(
        "fahrenheit-for-celsius",
        "Degrees of the other scale",
        "A difference in °F was taken for one in °C, or the other way round. One °C is 1.8 °F.",
        _at("gallons"),
    ),
    Mistake(
        "straight-line",
        "Cooling taken as a straight line",
        "The last fall was taken to go on as it is. A system cools ever more slowly the nearer it "
        "comes to the room.",
        "make-safe.md",
    ),
    Mistake(
        "room-left-out",
        "The room left out",
        "Temperatures were compared with nothing instead of with the room. What cools is the "
        "difference to the room.",
        "make-safe.md",
    ),
    Mistake(
        "from-first-reading",
        "Time counted from the first reading",
        "The time was counted from the first reading. From the second one, less is left to wait.",
        "make-safe.md",
    ),
)
"""Every named mistake by its id. A family adds what it needs here."""

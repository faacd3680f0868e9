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
    Mistake(
        "added-forgotten",
        "Water let in forgotten",
        "What was let in between the readings is lost too. Add it to what the gas tells.",
        "leaks-and-make-up.md",
    ),
    Mistake(
        "air-left-on",
        "The air left on at the end",
        "The result of the law of gases is absolute. Take the air off before you call it a gauge "
        "pressure.",
        _at("gauge-for-absolute"),
    ),
    Mistake(
        "air-taken-away",
        "The air taken away instead of added",
        "Absolute is what the dial shows and the air on top of it.",
        "convert.md",
    ),
    Mistake(
        "all-bolts-pull",
        "Every bolt counted against the pull",
        "Only the top row holds against the pull. The others share the shear.",
        "lift-and-support.md",
    ),
    Mistake(
        "all-heaters",
        "All heaters for the smallest one",
        "The water is counted for each kW of the smallest heater, not of all together.",
        "water-quality.md",
    ),
    Mistake(
        "all-of-the-bag",
        "The whole bag counted",
        "Not all of the filling neutralises, and not all of that gets used. Take both shares.",
        "condensate-neutraliser.md",
    ),
    Mistake(
        "arms-swapped",
        "The two distances of the bracket swapped",
        "The weight pulls with its distance from the wall; the bolts hold with the height of the "
        "bracket.",
        "lift-and-support.md",
    ),
    Mistake(
        "column-left-out",
        "Column left out",
        "The pressure at the vessel was taken for that at the top. It falls on the way up.",
        "loop-and-pump.md",
    ),
    Mistake(
        "constant-flow",
        "The open flow taken all the way up",
        "The flow falls as the column grows. Take the mean of the flow at the hose and that at "
        "the top.",
        "fill-and-vent.md",
    ),
    Mistake(
        "cooling-taken-for-loss",
        "Cooler water taken for a loss",
        "The water cooled between the readings and took less room. That part is not lost.",
        "leaks-and-make-up.md",
    ),
    Mistake(
        "dilution-in-a-line",
        "Dilution taken as a straight line",
        "Each loss takes a share of what is still there, not of what was there at first. "
        "Multiply, do not add.",
        "glycol.md",
    ),
    Mistake(
        "flow-in-proportion",
        "Flow taken in proportion to pressure",
        "The flow goes with the square root of the pressure that is left.",
        "fill-and-vent.md",
    ),
    Mistake(
        "friction-left-out",
        "Friction left out",
        "The head of the pump was added whole. The way to that point uses up a part of it.",
        "loop-and-pump.md",
    ),
    Mistake(
        "growth-for-gas",
        "The growth taken for the gas",
        "What goes into the vessel is not the gas that was there. The rise of the pressure tells "
        "how much gas took it.",
        "find-the-cause.md",
    ),
    Mistake(
        "growth-for-vessel",
        "The growth taken for the vessel",
        "A vessel takes only a share of its volume in water. The growth has to be divided by that "
        "share.",
        "size-or-confirm.md",
    ),
    Mistake(
        "heating-values",
        "The other heating value",
        "The input on the plate and the figure to plan with stand on two heating values. For gas "
        "they lie 11 % apart.",
        "condensate-neutraliser.md",
    ),
    Mistake(
        "hours-of-the-year",
        "The hours of the whole year",
        "A boiler does not run at full load all year. Take its full-load hours.",
        "condensate-neutraliser.md",
    ),
    Mistake(
        "interval-left-out",
        "Days between the readings left out",
        "The loss between the readings was taken for that of one day.",
        "leaks-and-make-up.md",
    ),
    Mistake(
        "least-flow-throughout",
        "The flow at the top taken all the way",
        "The flow is that small only at the very end. Take the mean of both flows.",
        "fill-and-vent.md",
    ),
    Mistake(
        "let-out-forgotten",
        "Glycol let out forgotten",
        "What is let out takes glycol along. Divide by what the concentrate has more than the "
        "loop.",
        "glycol.md",
    ),
    Mistake(
        "mass-for-force",
        "Mass taken for force",
        "Kilograms are no newtons. Multiply by 9.81.",
        "lift-and-support.md",
    ),
    Mistake(
        "month-for-interval",
        "The readings taken for a month apart",
        "The loss was multiplied by twelve. Count the days between the readings.",
        "leaks-and-make-up.md",
    ),
    Mistake(
        "neat-concentrate",
        "Concentrate taken for neat glycol",
        "What is in the drum holds water too. Use the share on its label.",
        "glycol.md",
    ),
    Mistake(
        "once-for-twice",
        "Filled weight taken once",
        "The code adopted here wants the support made for twice the filled weight.",
        "lift-and-support.md",
    ),
    Mistake(
        "one-to-one-acid",
        "One mole of stone for one of acid",
        "A mole of limestone takes two moles of acid. So a mole of acid takes 50 g, not 100 g.",
        "condensate-neutraliser.md",
    ),
    Mistake(
        "other-edition",
        "The other edition's table",
        "Both editions have tables of their own. Use the one that the guarantee names.",
        "water-quality.md",
    ),
    Mistake(
        "piping-left-out",
        "Valve and pipe left out",
        "What hangs on the vessel hangs on the bracket too.",
        "lift-and-support.md",
    ),
    Mistake(
        "share-upside-down",
        "Raw share taken for the treated one",
        "What is allowed over what is there is the share that may stay raw. The rest is to be "
        "softened.",
        "water-quality.md",
    ),
    Mistake(
        "shell-left-out",
        "Water without the shell",
        "Only the water was weighed. The steel comes on top.",
        "lift-and-support.md",
    ),
    Mistake(
        "topped-once",
        "Topped up once instead of every time",
        "Each topping up thins it again.",
        "glycol.md",
    ),
    Mistake(
        "usable-left-out",
        "What stays unreached left out",
        "Of what neutralises, a part is too fine or stays unreached. Take that share too.",
        "condensate-neutraliser.md",
    ),
    Mistake(
        "vessel-on-wrong-side",
        "Vessel taken on the other side of the pump",
        "Where the vessel joins, nothing changes when the pump starts. On the discharge, the head "
        "is missing everywhere else.",
        _at("discharge-side"),
    ),
    Mistake(
        "volume-and-mass",
        "Share by mass taken for one by volume",
        "The scale reads by mass. Glycol is heavier than water, so by volume it is less.",
        _at("volume-and-mass"),
    ),
    Mistake(
        "whole-pull",
        "The pull not shared",
        "The pull was laid on one bolt. All bolts of the top row share it.",
        "lift-and-support.md",
    ),
    Mistake(
        "whole-vessel-is-gas",
        "The whole vessel taken for gas",
        "Water already stands in the cold vessel. The gas is its volume times absolute charge "
        "over absolute pressure.",
        _at("gauge-for-absolute"),
    ),
)
"""Every named mistake by its id; each one is a slip in some family."""

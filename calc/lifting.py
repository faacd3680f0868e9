"""What people may lift, and what holds a vessel up: multipliers, filters, bolts and floors."""

from __future__ import annotations

from calc import units as u
from calc.hydrostatics import STANDARD_GRAVITY
from calc.model import Refusal, say

LOAD_CONSTANT = 23.0
"""Load of the NIOSH equation in the best posture. [kg]"""

KNUCKLES = 0.75
"""Height of the hands at which the NIOSH equation has no vertical penalty. [m]"""

FREQUENCY = (
    (0.2, (1.00, 1.00), (0.95, 0.95), (0.85, 0.85)),
    (0.5, (0.97, 0.97), (0.92, 0.92), (0.81, 0.81)),
    (1.0, (0.94, 0.94), (0.88, 0.88), (0.75, 0.75)),
    (2.0, (0.91, 0.91), (0.84, 0.84), (0.65, 0.65)),
    (3.0, (0.88, 0.88), (0.79, 0.79), (0.55, 0.55)),
    (4.0, (0.84, 0.84), (0.72, 0.72), (0.45, 0.45)),
    (5.0, (0.80, 0.80), (0.60, 0.60), (0.35, 0.35)),
    (6.0, (0.75, 0.75), (0.50, 0.50), (0.27, 0.27)),
    (7.0, (0.70, 0.70), (0.42, 0.42), (0.22, 0.22)),
    (8.0, (0.60, 0.60), (0.35, 0.35), (0.18, 0.18)),
    (9.0, (0.52, 0.52), (0.30, 0.30), (0.00, 0.15)),
    (10.0, (0.45, 0.45), (0.26, 0.26), (0.00, 0.13)),
    (11.0, (0.41, 0.41), (0.00, 0.23), (0.00, 0.00)),
    (12.0, (0.37, 0.37), (0.00, 0.21), (0.00, 0.00)),
    (13.0, (0.00, 0.34), (0.00, 0.00), (0.00, 0.00)),
    (14.0, (0.00, 0.31), (0.00, 0.00), (0.00, 0.00)),
    (15.0, (0.00, 0.28), (0.00, 0.00), (0.00, 0.00)),
)
"""Lifts each minute; then by duration up to 1 h, 2 h and 8 h the multiplier with the hands below
and at or above 75 cm. NIOSH 94-110, from memory."""

DURATIONS = {"short": 1, "medium": 2, "long": 3}
"""Column of `FREQUENCY` by duration of the lifting."""

COUPLING = {"good": (1.00, 1.00), "fair": (0.95, 1.00), "poor": (0.90, 0.90)}
"""Multiplier by grip, with the hands below and at or above 75 cm. NIOSH 94-110, from memory."""

ZONES = ("head", "shoulder", "elbow", "knuckle", "floor")
"""Zones of HSE L23 from the top: head to shoulder, shoulder to elbow, elbow to knuckle, knuckle
to the middle of the lower leg, below that."""

FILTERS = {
    "men": {
        "head": (10.0, 5.0),
        "shoulder": (20.0, 10.0),
        "elbow": (25.0, 15.0),
        "knuckle": (20.0, 10.0),
        "floor": (10.0, 5.0),
    },
    "women": {
        "head": (7.0, 3.0),
        "shoulder": (13.0, 7.0),
        "elbow": (16.0, 10.0),
        "knuckle": (13.0, 7.0),
        "floor": (7.0, 3.0),
    },
}
"""Filter mass close to the body and at arm's length, by zone. [kg] HSE L23, second-hand."""

TEAM_SHARE = {1: 1.0, 2: 2.0 / 3.0, 3: 0.5}
"""What a team can lift, as a share of the sum of its members. HSE L23, from memory."""


def horizontal_multiplier(reach: float) -> float:
    """Return what is left of the load constant at a distance of the hands from the ankles.

    Parameters
    ----------
    reach
        From the middle between the ankles to the hands, level, up to 63 cm. [m]

    Returns
    -------
    float
        Multiplier, 1 up to 25 cm. [-]

    Examples
    --------
    >>> horizontal_multiplier(0.40)
    0.625

    References
    ----------
    NIOSH 94-110 (from memory).
    """
    return min(1.0, 0.25 / reach)


def vertical_multiplier(height: float) -> float:
    """Return what is left of the load constant at a height of the hands.

    Parameters
    ----------
    height
        Of the hands above the floor, up to 175 cm. [m]

    Returns
    -------
    float
        Multiplier, 1 at 75 cm. [-]

    Examples
    --------
    >>> round(vertical_multiplier(0.50), 3), round(vertical_multiplier(1.00), 3)
    (0.925, 0.925)

    References
    ----------
    NIOSH 94-110 (from memory).
    """
    return 1.0 - 0.3 * abs(height - KNUCKLES)


def distance_multiplier(travel: float) -> float:
    """Return what is left of the load constant for a distance the load is raised or lowered.

    Parameters
    ----------
    travel
        Height between start and end, up to 175 cm. [m]

    Returns
    -------
    float
        Multiplier, 1 up to 25 cm. [-]

    Examples
    --------
    >>> round(distance_multiplier(0.60), 3)
    0.895

    References
    ----------
    NIOSH 94-110 (from memory).
    """
    return min(1.0, 0.82 + 0.045 / travel) if travel > 0.25 else 1.0


def asymmetry_multiplier(twist: float) -> float:
    """Return what is left of the load constant when the trunk is twisted.

    Parameters
    ----------
    twist
        Angle between the load and straight ahead, up to 135 degrees. [rad]

    Returns
    -------
    float
        Multiplier. [-]

    Examples
    --------
    >>> from math import pi
    >>> round(asymmetry_multiplier(pi / 2), 3)
    0.712

    References
    ----------
    NIOSH 94-110 (from memory).
    """
    return 1.0 - 0.0032 * u.ANGLE.unit("deg").from_si(twist)


def frequency_multiplier(duration: str, rate: float, height: float) -> float:
    """Return what is left of the load constant when a lift is repeated.

    Parameters
    ----------
    duration
        "short", "medium" or "long": lifting up to 1 h, 2 h or 8 h.
    rate
        Lifts each minute, up to 15. [1/min]
    height
        Of the hands above the floor. [m]

    Returns
    -------
    float
        Multiplier of the next busier row of the table; 0 means that nothing may be lifted. [-]

    Examples
    --------
    >>> frequency_multiplier("short", 0.2, 0.5), frequency_multiplier("long", 9, 0.8)
    (1.0, 0.15)

    References
    ----------
    NIOSH 94-110, table of frequency multipliers (from memory).
    """
    for row in FREQUENCY:
        if rate <= row[0] * (1 + 1e-9):
            return row[DURATIONS[duration]][_high(height)]
    return 0.0


def coupling_multiplier(grip: str, height: float) -> float:
    """Return what is left of the load constant with a grip.

    Parameters
    ----------
    grip
        "good", "fair" or "poor".
    height
        Of the hands above the floor. [m]

    Returns
    -------
    float
        Multiplier. [-]

    Examples
    --------
    >>> coupling_multiplier("fair", 0.5), coupling_multiplier("fair", 0.75)
    (0.95, 1.0)

    References
    ----------
    NIOSH 94-110, table of coupling multipliers (from memory).
    """
    return COUPLING[grip][_high(height)]


def _high(height: float) -> int:
    """Return the place of a height in a pair: 0 below 75 cm, 1 at or above."""
    return int(height >= KNUCKLES * (1 - 1e-9))


def recommended_limit(
    horizontal: float,
    vertical: float,
    distance: float,
    asymmetry: float,
    frequency: float,
    coupling: float,
) -> float:
    """Return the load that nearly all healthy workers may lift in this posture.

    Parameters
    ----------
    horizontal, vertical, distance, asymmetry, frequency, coupling
        The six multipliers. [-]

    Returns
    -------
    float
        Recommended weight limit of one person, two-handed. [kg]

    Notes
    -----
    Not for one hand, sitting, kneeling, cramped, slippery or unstable work.

    Examples
    --------
    >>> round(recommended_limit(1.00, 0.93, 1.00, 0.71, 0.13, 1.00), 2)
    1.97

    References
    ----------
    NIOSH 94-110 (from memory).
    """
    return LOAD_CONSTANT * horizontal * vertical * distance * asymmetry * frequency * coupling


def lifting_index(load: float, limit: float) -> float:
    """Return how many times the recommended limit a load is.

    Parameters
    ----------
    load
        Share of one person. [kg]
    limit
        Recommended weight limit. [kg]

    Returns
    -------
    float
        Index, 1 or less is the aim. [-]

    Examples
    --------
    >>> round(lifting_index(25.0, 9.32), 2)
    2.68

    References
    ----------
    NIOSH 94-110 (from memory).
    """
    return load / limit


def share_of_one(load: float, people: float, team_share: float) -> float:
    """Return the load of one person that a team's load is as hard as.

    Parameters
    ----------
    load
        Mass lifted by the team. [kg]
    people
        How many lift. [-]
    team_share
        Share of the sum of its members that a team can lift. [-]

    Returns
    -------
    float
        Mass. [kg]

    Examples
    --------
    >>> round(share_of_one(40.0, 2, 2 / 3), 1)
    30.0

    References
    ----------
    HSE L23 (from memory) for the share.
    """
    return load / (people * team_share)


def team_capacity(filter_mass: float, people: float, team_share: float) -> float:
    """Return what a team may lift under a filter for one person.

    Parameters
    ----------
    filter_mass
        Filter mass of one person. [kg]
    people
        How many lift. [-]
    team_share
        Share of the sum of its members that a team can lift. [-]

    Returns
    -------
    float
        Mass. [kg]

    Examples
    --------
    >>> round(team_capacity(25.0, 2, 2 / 3), 1), team_capacity(25.0, 3, 0.5)
    (33.3, 37.5)

    References
    ----------
    HSE L23 (from memory).
    """
    return filter_mass * people * team_share


def smallest_filter(people: str, start: str, end: str, reach: str) -> float:
    """Return the smallest filter mass of the zones that the hands pass through.

    Parameters
    ----------
    people
        "men" or "women": the filter that protects those who lift.
    start, end
        Zones of the hands, from `ZONES`.
    reach
        "close" or "far": hands close to the body or at arm's length.

    Returns
    -------
    float
        Mass for one person, up to 30 lifts an hour, no twist. [kg]

    Notes
    -----
    A filter is not a limit in law: above it, the lift is looked at closely.

    Examples
    --------
    >>> smallest_filter("men", "floor", "elbow", "close")
    10.0

    References
    ----------
    HSE L23, lifting and lowering filter, read in a training booklet.
    """
    first, last = sorted((ZONES.index(start), ZONES.index(end)))
    place = ("close", "far").index(reach)
    return min(FILTERS[people][zone][place] for zone in ZONES[first : last + 1])


def repeat_factor(rate: float) -> float:
    """Return what is left of the filter mass when a lift is repeated.

    Parameters
    ----------
    rate
        Lifts each minute. [1/min]

    Returns
    -------
    float
        Factor. [-]

    Notes
    -----
    The guidance names once or twice, five to eight, and more than twelve a minute. What lies
    between takes the next harder figure.

    Examples
    --------
    >>> repeat_factor(0.5), repeat_factor(2), repeat_factor(3), repeat_factor(9)
    (1.0, 0.7, 0.5, 0.2)

    References
    ----------
    HSE L23, read in a training booklet.
    """
    for most, factor in ((0.5, 1.0), (2.0, 0.7), (8.0, 0.5)):
        if rate <= most * (1 + 1e-9):
            return factor
    return 0.2


def twist_factor(twist: float) -> float:
    """Return what is left of the filter mass when the trunk is twisted.

    Parameters
    ----------
    twist
        Angle between shoulders and hips. [rad]

    Returns
    -------
    float
        Factor. [-]

    Examples
    --------
    >>> from math import pi
    >>> twist_factor(pi / 6), twist_factor(pi / 3), twist_factor(0.6 * pi)
    (1.0, 0.9, 0.8)

    References
    ----------
    HSE L23, read in a training booklet.
    """
    degrees = u.ANGLE.unit("deg").from_si(twist)
    if degrees <= 45.0 * (1 + 1e-9):
        return 1.0
    return 0.9 if degrees <= 90.0 * (1 + 1e-9) else 0.8


def filter_of_one(base: float, repeat: float, twist: float) -> float:
    """Return the filter mass of one person with its reductions.

    Parameters
    ----------
    base
        Smallest filter mass of the zones. [kg]
    repeat, twist
        Factors for repeating and twisting. [-]

    Returns
    -------
    float
        Mass. [kg]

    Examples
    --------
    >>> round(filter_of_one(25.0, 0.7, 0.9), 2)
    15.75

    References
    ----------
    HSE L23, read in a training booklet.
    """
    return base * repeat * twist


def weight(mass: float) -> float:
    """Return the force with which a mass presses down.

    Parameters
    ----------
    mass
        Mass. [kg]

    Returns
    -------
    float
        Force. [N]

    Examples
    --------
    >>> round(weight(619.1) / 1000, 2)
    6.07
    """
    return mass * STANDARD_GRAVITY


def bolt_tension(force: float, offset: float, top_bolts: float, spacing: float) -> float:
    """Return the pull on each top bolt of a wall bracket.

    Parameters
    ----------
    force
        Weight the bracket carries. [N]
    offset
        From the wall to the middle of the vessel. [m]
    top_bolts
        Bolts in the top row. [-]
    spacing
        From the top row down to where the bracket presses on the wall. [m]

    Returns
    -------
    float
        Tension in each. [N]

    Examples
    --------
    >>> round(bolt_tension(930.0, 0.25, 2, 0.30), 1)
    387.5

    References
    ----------
    Balance of moments.
    """
    return force * offset / (top_bolts * spacing)


def bolt_shear(force: float, bolts: float) -> float:
    """Return the shear on each bolt of a wall bracket.

    Parameters
    ----------
    force
        Weight the bracket carries. [N]
    bolts
        All bolts. [-]

    Returns
    -------
    float
        Shear in each. [N]

    Examples
    --------
    >>> bolt_shear(930.0, 4)
    232.5

    References
    ----------
    Balance of forces.
    """
    return force / bolts


def bolt_use(tension: float, tension_allowed: float, shear: float, shear_allowed: float) -> float:
    """Return how much of an anchor's allowed load is used, pull and shear added.

    Parameters
    ----------
    tension, shear
        Loads of one anchor. [N]
    tension_allowed, shear_allowed
        What its approval allows in this wall, its own safety factor counted. [N]

    Returns
    -------
    float
        Share; up to 1 it holds. [-]

    Notes
    -----
    Adding the shares in a straight line is never less safe than a rounded curve. The approval
    of the anchor may allow more.

    Examples
    --------
    >>> round(bolt_use(400.0, 1000.0, 300.0, 1500.0), 2)
    0.6
    """
    return tension / tension_allowed + shear / shear_allowed


def floor_load(force: float, area: float) -> float:
    """Return the load on each unit of floor.

    Parameters
    ----------
    force
        Weight of the vessel full of water. [N]
    area
        Area that carries it. [m2]

    Returns
    -------
    float
        Load. [Pa]

    Examples
    --------
    >>> round(floor_load(6070.0, 0.64))
    9484
    """
    return force / area


def refuse_no_lift(rate: float, height: float) -> Refusal:
    """Return the refusal of a lift that is repeated too often for any load."""
    return Refusal(
        say(
            "At {rate} lifts a minute with the hands at {height}, the table allows no load at "
            "all. Lift less often, for a shorter time, or use a hoist.",
            rate=(rate, u.NUMBER),
            height=(height, u.LENGTH),
        )
    )

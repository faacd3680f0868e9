"""Units at the edge: Kinds, the units each one offers, reading and showing of quantities.

Inside the calculations every quantity is a float in coherent SI. A `Kind` says more than a
dimension: gauge pressure, absolute pressure and pressure difference are three Kinds, and so are
temperature and temperature difference. Pint supplies every conversion factor, once, at import.
"""

from __future__ import annotations

import enum
import functools
import math
import re
from dataclasses import dataclass, field

import pint

from calc import typed
from calc.typed import EntryError, quoted

REGISTRY = pint.UnitRegistry(cache_folder=None)
REGISTRY.define("metre_of_water = 9806.65 pascal")
REGISTRY.define("foot_of_water = 0.3048 * metre_of_water")
REGISTRY.define("hundred_feet = 100 foot")
# Hardness counts calcium and magnesium as chalk, 100.0869 g/mol, or as quicklime, 56.0774 g/mol.
REGISTRY.define("chalk_milligram = 1e-3 / 100.0869 * mole")
REGISTRY.define("chalk_grain = 64.79891 * chalk_milligram")
REGISTRY.define("german_degree = 10 / 56.0774 * mole / meter ** 3")
REGISTRY.define("french_degree = 10 * chalk_milligram / liter")

SYSTEMS = ("si", "us")

# fmt: off
_BOTH = frozenset((
    "%", "1", "s", "min", "h", "d", "y", "mPa s", "mg/L", "g/L", "deg", "mmol/L", "uS/cm",
))
_CUSTOMARY = frozenset((
    "psi", "ft water", "degF", "ft", "in", "in2", "ft2", "gal", "imp gal", "ft3", "lb", "gpm",
    "cfm", "lb/h", "Btu/h", "kBtu/h", "gal/kBtu/h", "gal/ft", "gal/100 ft", "lb/ft3", "ft3/lb",
    "ft/s", "ft/s2", "lbf", "ft lbf", "Btu", "Btu/lb", "Btu/lb/degF", "1e-6/degF", "psi gal",
    "gpg", "psf", "psi/degF", "1e-6/psi", "Mpsi", "lb/kBtu",
))
# fmt: on
SIGNIFICANT_FIGURES = 4
# A fraction of a degree Fahrenheit or a hundredth of a percent says more than a reading can.
_FEWER_FIGURES = {"degF": 3, "%": 3}
_NOTHING = 1e-3
_NARROW_SPACE = "\u202f"
_NEGATIVE_BAND = "The plus/minus is negative. Enter how far off it may be: 0 or more."


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit a Kind offers.

    `id` is what forms and links carry, `text` what the reader sees, `step` the finest step worth
    showing, `figures` the most figures worth showing, `system` the display system it belongs to
    (empty: both). `scale` and `offset` lead to SI: ``si = value * scale + offset``.
    """

    id: str
    text: str
    step: float
    scale: float
    offset: float
    system: str = ""
    aliases: tuple[str, ...] = ()
    figures: int = SIGNIFICANT_FIGURES

    def __hash__(self) -> int:
        return hash(self.id)

    def to_si(self, value: float) -> float:
        return value * self.scale + self.offset

    def from_si(self, value: float) -> float:
        return (value - self.offset) / self.scale


@dataclass(frozen=True, slots=True)
class Kind:
    """What a quantity is, and the closed list of units it may be given in."""

    name: str
    title: str
    units: tuple[Unit, ...]
    si: str
    us: str
    hint: str = ""
    wrong: dict[str, str] = field(default_factory=dict, hash=False, compare=False)
    _named: dict[str, Unit] = field(init=False, repr=False, hash=False, compare=False)
    _default: dict[str, Unit] = field(init=False, repr=False, hash=False, compare=False)

    def __post_init__(self) -> None:
        # An answer asks for some hundred units. An id counts before all other names.
        named = {}
        for unit in self.units:
            named.setdefault(_folded(unit.id), unit)
        for unit in self.units:
            for name in (_folded(unit.text), *unit.aliases):
                named.setdefault(name, unit)
        object.__setattr__(self, "_named", named)
        given = {"si": self.unit(self.si), "us": self.unit(self.us)}
        object.__setattr__(self, "_default", given)

    def __hash__(self) -> int:
        # By its fields it would go through every unit with all of its aliases.
        return hash(self.name)

    def default_unit(self, system: str) -> Unit:
        return self._default["us" if system == "us" else "si"]

    def unit(self, text: str) -> Unit:
        """Return the unit that `text` names, or raise EntryError listing what is offered."""
        wanted = _folded(text)
        found = self._named.get(wanted)
        if found is not None:
            return found
        offered = ", ".join(unit.text for unit in self.units if unit.text) or "a plain number"
        said = self.wrong.get(wanted, "")
        reason = f" {said}" if said else ""
        raise EntryError(f"“{text.strip()}” is not a unit of {self.title}.{reason} Use {offered}.")

    def plain(self) -> bool:
        """Return whether the Kind is a bare number."""
        return len(self.units) == 1 and not self.units[0].text

    def measures_length(self) -> bool:
        """Return whether a tape measures it: feet and inches are read then."""
        return any(unit.id in ("ft", "in") for unit in self.units)


# Signs that a keyboard gives for one another: degree, powers, micro, a product.
_SAME = str.maketrans(
    {"°": "deg", "º": "deg", "˚": "deg", "³": "3", "²": "2", "µ": "u", "μ": "u", "·": " ", "⁻": "-"}
)


@functools.lru_cache(maxsize=4096)
def _folded(text: str) -> str:
    return re.sub(r"[\s.()^]+", "", text.strip().lower().translate(_SAME))


def _unit(
    id: str, text: str, step: float, expression: str, si: str, aliases: tuple[str, ...] = ()
) -> Unit:
    zero = REGISTRY.Quantity(0.0, expression).to(si).magnitude
    one = REGISTRY.Quantity(1.0, expression).to(si).magnitude
    folded = tuple(_folded(alias) for alias in aliases)
    system = "" if id in _BOTH else "us" if id in _CUSTOMARY else "si"
    figures = _FEWER_FIGURES.get(id, SIGNIFICANT_FIGURES)
    return Unit(id, text, step, one - zero, zero, system, folded, figures)


def _kind(
    name: str,
    title: str,
    dimension: str,
    units: list[tuple],
    si: str,
    us: str,
    hint: str = "",
    wrong: dict[str, str] | None = None,
) -> Kind:
    made = tuple(
        _unit(u[0], u[1], u[2], u[3], dimension, u[4] if len(u) > 4 else ()) for u in units
    )
    return Kind(name, title, made, si, us, hint, {_folded(k): v for k, v in (wrong or {}).items()})


_ABSOLUTE_FOR_GAUGE = "This field wants gauge pressure: what the dial shows, zero when open to air."
_GAUGE_FOR_ABSOLUTE = "This field wants absolute pressure: gauge plus the air around it."

GAUGE_PRESSURE = _kind(
    "gauge pressure",
    "gauge pressure",
    "Pa",
    [
        ("bar", "bar g", 0.01, "bar", ("barg", "bar gauge", "bars")),
        ("kPa", "kPa g", 1, "kPa", ("kpag", "kpa gauge")),
        (
            "psi",
            "psig",
            0.1,
            "psi",
            ("psi gauge", "psi g", "lb/in2", "lbs/in2", "lbf/in2", "pounds per square inch"),
        ),
    ],
    "bar",
    "psi",
    "gauge",
    dict.fromkeys(("psia", "bara", "bar abs", "kpaa", "kpa abs", "psi abs"), _ABSOLUTE_FOR_GAUGE),
)
ABSOLUTE_PRESSURE = _kind(
    "absolute pressure",
    "absolute pressure",
    "Pa",
    [
        ("bar", "bar abs", 0.001, "bar", ("bara", "bar a", "bar absolute")),
        ("kPa", "kPa abs", 0.1, "kPa", ("kpaa", "kpa a", "kpa absolute")),
        ("psi", "psia", 0.01, "psi", ("psia", "psi abs", "psi absolute")),
    ],
    "bar",
    "psi",
    "absolute",
    dict.fromkeys(("psig", "barg", "bar g", "kpag"), _GAUGE_FOR_ABSOLUTE),
)
PRESSURE_DIFFERENCE = _kind(
    "pressure difference",
    "pressure difference",
    "Pa",
    [
        ("bar", "bar", 0.01, "bar"),
        ("kPa", "kPa", 0.1, "kPa"),
        ("mbar", "mbar", 1, "mbar", ("millibar", "millibars")),
        ("psi", "psi", 0.1, "psi", ("psid", "lb/in2", "lbs/in2", "lbf/in2")),
        (
            "m water",
            "m of water",
            0.01,
            "metre_of_water",
            ("mh2o", "mwc", "m head", "m of head", "metres of water"),
        ),
        (
            "ft water",
            "ft of water",
            0.1,
            "foot_of_water",
            ("fth2o", "ftwc", "ft head", "ft of head", "feet of water", "feet of head"),
        ),
    ],
    "bar",
    "psi",
)
TEMPERATURE = _kind(
    "temperature",
    "temperature",
    "K",
    [
        ("degC", "°C", 0.1, "degC", ("c", "celsius", "oc", "degrees c", "degree c")),
        ("degF", "°F", 0.1, "degF", ("f", "fahrenheit", "of", "degrees f", "degree f")),
        ("K", "K", 0.1, "K", ("kelvin",)),
    ],
    "degC",
    "degF",
)
TEMPERATURE_DIFFERENCE = _kind(
    "temperature difference",
    "temperature difference",
    "K",
    [
        ("K", "K", 0.1, "K", ("kelvin", "degc", "c", "degrees c", "kelvins")),
        ("degF", "°F difference", 0.1, "delta_degF", ("f", "degrees f")),
    ],
    "K",
    "degF",
)
LENGTH = _kind(
    "length",
    "length",
    "m",
    [
        ("m", "m", 0.01, "m", ("metre", "metres", "meter", "meters")),
        ("cm", "cm", 0.1, "cm", ("centimetres", "centimeters")),
        ("mm", "mm", 1, "mm", ("millimetres", "millimeters")),
        ("ft", "ft", 0.01, "ft", ("foot", "feet", "'")),
        ("in", "in", 0.1, "inch", ("inch", "inches", '"')),
    ],
    "m",
    "ft",
)
ALTITUDE = _kind(
    "altitude",
    "altitude",
    "m",
    [
        ("m", "m", 1, "m", ("metre", "metres", "meter", "meters")),
        ("ft", "ft", 1, "ft", ("foot", "feet", "'")),
    ],
    "m",
    "ft",
)
SMALL_LENGTH = _kind(
    "small length",
    "length",
    "m",
    [
        ("mm", "mm", 0.1, "mm", ("millimetres", "millimeters")),
        ("cm", "cm", 0.01, "cm", ("centimetres", "centimeters")),
        ("m", "m", 0.001, "m"),
        ("um", "µm", 0.1, "micrometer"),
        ("in", "in", 0.001, "inch", ("inch", "inches", '"')),
    ],
    "mm",
    "in",
)
AREA = _kind(
    "area",
    "area",
    "m^2",
    [
        ("mm2", "mm²", 0.1, "mm^2", ("sq mm",)),
        ("cm2", "cm²", 0.01, "cm^2", ("sq cm",)),
        ("m2", "m²", 0.001, "m^2", ("sq m",)),
        ("in2", "in²", 0.001, "inch^2", ("sq in", "square inches")),
        ("ft2", "ft²", 0.01, "ft^2", ("sq ft", "square feet")),
    ],
    "mm2",
    "in2",
)
VOLUME = _kind(
    "volume",
    "volume",
    "m^3",
    [
        ("L", "L", 0.1, "liter", ("litre", "litres", "liter", "liters", "ltr", "dm3")),
        (
            "m3",
            "m³",
            0.0001,
            "m^3",
            ("cubic metre", "cubic meter", "cubic metres", "cubic meters", "cu m"),
        ),
        (
            "gal",
            "US gal",
            0.1,
            "gallon",
            ("gallon", "gallons", "gals", "us gallon", "us gallons", "us gals", "gal us"),
        ),
        (
            "imp gal",
            "imp gal",
            0.1,
            "imperial_gallon",
            (
                "uk gal",
                "uk gallon",
                "uk gallons",
                "imp gallon",
                "imp gallons",
                "imperial gal",
                "imperial gallon",
                "imperial gallons",
            ),
        ),
        ("ft3", "ft³", 0.001, "ft^3", ("cu ft", "cubic foot", "cubic feet")),
    ],
    "L",
    "gal",
)
AIR_VOLUME = _kind(
    "free air",
    "volume of free air",
    "m^3",
    [
        ("L", "L", 0.1, "liter", ("litre", "litres", "liter", "liters")),
        ("m3", "m³", 0.001, "m^3"),
        ("ft3", "ft³", 0.01, "ft^3", ("cu ft", "cubic feet", "scf")),
    ],
    "L",
    "ft3",
)
MASS = _kind(
    "mass",
    "mass",
    "kg",
    [
        ("kg", "kg", 0.1, "kg", ("kilogram", "kilograms", "kgs")),
        ("g", "g", 1, "g", ("gram", "grams")),
        ("lb", "lb", 0.1, "lb", ("lbs", "lbm", "pound", "pounds")),
    ],
    "kg",
    "lb",
)
TIME = _kind(
    "time",
    "time",
    "s",
    [
        ("s", "s", 1, "s", ("sec", "second", "seconds")),
        ("min", "min", 0.1, "min", ("mins", "minute", "minutes")),
        ("h", "h", 0.01, "hour", ("hr", "hrs", "hour", "hours")),
        ("d", "days", 0.01, "day", ("day", "days")),
        ("y", "years", 0.01, "year", ("yr", "yrs", "year", "years")),
    ],
    "min",
    "min",
)
FLOW = _kind(
    "flow",
    "flow",
    "m^3/s",
    [
        (
            "L/min",
            "L/min",
            0.01,
            "liter/min",
            ("lpm", "litres/min", "liters/min", "litres per minute"),
        ),
        ("L/s", "L/s", 0.001, "liter/s"),
        ("L/h", "L/h", 0.1, "liter/hour"),
        ("m3/h", "m³/h", 0.001, "m^3/hour"),
        (
            "gpm",
            "US gal/min",
            0.01,
            "gallon/min",
            ("gal/min", "us gpm", "gallons per minute", "gallons/min", "us gallons per minute"),
        ),
    ],
    "L/min",
    "gpm",
)
AIR_FLOW = _kind(
    "free air delivery",
    "flow of free air",
    "m^3/s",
    [
        ("L/min", "L/min", 0.1, "liter/min"),
        ("m3/h", "m³/h", 0.01, "m^3/hour"),
        ("cfm", "ft³/min", 0.01, "ft^3/min", ("scfm", "cu ft/min")),
    ],
    "L/min",
    "cfm",
)
MASS_FLOW = _kind(
    "mass flow",
    "mass flow",
    "kg/s",
    [
        ("kg/h", "kg/h", 0.1, "kg/hour"),
        ("lb/h", "lb/h", 0.1, "lb/hour", ("lbs/h", "lb/hr", "lbs/hr", "pph")),
        ("kg/s", "kg/s", 0.0001, "kg/s"),
    ],
    "kg/h",
    "lb/h",
)
POWER = _kind(
    "power",
    "power",
    "W",
    [
        ("kW", "kW", 0.1, "kW", ("kilowatt", "kilowatts")),
        ("W", "W", 1, "W", ("watt", "watts")),
        ("MW", "MW", 0.001, "MW"),
        (
            "Btu/h",
            "Btu/h",
            1,
            "Btu_it/hour",
            ("btuh", "btu/hr", "btus/h", "btus/hr", "btu/hour", "btu per hour"),
        ),
        ("kBtu/h", "1000 Btu/h", 0.1, "kBtu_it/hour", ("mbh", "kbtuh", "1000 btu/hr", "kbtu/hr")),
    ],
    "kW",
    "Btu/h",
)
SPECIFIC_CONTENT = _kind(
    "water content per output",
    "water content per output",
    "m^3/W",
    [
        ("L/kW", "L/kW", 0.1, "liter/kW"),
        (
            "gal/kBtu/h",
            "US gal per 1000 Btu/h",
            0.001,
            "gallon/(kBtu_it/hour)",
            ("gal/mbh", "gal per mbh", "gal/1000btu/h"),
        ),
    ],
    "L/kW",
    "gal/kBtu/h",
)
CONTENT_PER_LENGTH = _kind(
    "content per length",
    "water content per length",
    "m^2",
    [
        ("L/m", "L/m", 0.0001, "liter/m"),
        ("gal/ft", "US gal/ft", 0.00001, "gallon/ft"),
        ("gal/100 ft", "US gal per 100 ft", 0.001, "gallon/hundred_feet"),
    ],
    "L/m",
    "gal/ft",
)
DENSITY = _kind(
    "density",
    "density",
    "kg/m^3",
    [("kg/m3", "kg/m³", 0.01, "kg/m^3"), ("lb/ft3", "lb/ft³", 0.001, "lb/ft^3")],
    "kg/m3",
    "lb/ft3",
)
SPECIFIC_VOLUME = _kind(
    "specific volume",
    "specific volume",
    "m^3/kg",
    [
        ("m3/kg", "m³/kg", 1e-7, "m^3/kg"),
        ("ft3/lb", "ft³/lb", 1e-6, "ft^3/lb"),
        ("L/kg", "L/kg", 1e-4, "liter/kg"),
    ],
    "m3/kg",
    "ft3/lb",
)
VELOCITY = _kind(
    "velocity",
    "velocity",
    "m/s",
    [("m/s", "m/s", 0.01, "m/s"), ("ft/s", "ft/s", 0.01, "ft/s", ("fps",))],
    "m/s",
    "ft/s",
)
ACCELERATION = _kind(
    "acceleration",
    "acceleration",
    "m/s^2",
    [("m/s2", "m/s²", 0.0001, "m/s^2"), ("ft/s2", "ft/s²", 0.001, "ft/s^2")],
    "m/s2",
    "ft/s2",
)
FORCE = _kind(
    "force",
    "force",
    "N",
    [("N", "N", 0.1, "N"), ("kN", "kN", 0.01, "kN"), ("lbf", "lbf", 0.1, "lbf")],
    "N",
    "lbf",
)
ENERGY = _kind(
    "energy",
    "energy",
    "J",
    [
        ("kJ", "kJ", 0.1, "kJ"),
        ("J", "J", 1, "J"),
        ("kWh", "kWh", 0.01, "kWh"),
        ("ft lbf", "ft·lbf", 1, "ft*lbf", ("ftlb", "ftlbf")),
        ("Btu", "Btu", 0.1, "Btu_it"),
    ],
    "kJ",
    "ft lbf",
)
SPECIFIC_ENERGY = _kind(
    "specific energy",
    "specific energy",
    "J/kg",
    [("kJ/kg", "kJ/kg", 0.1, "kJ/kg"), ("Btu/lb", "Btu/lb", 0.1, "Btu_it/lb")],
    "kJ/kg",
    "Btu/lb",
)
SPECIFIC_HEAT = _kind(
    "specific heat",
    "specific heat",
    "J/kg/K",
    [
        ("kJ/kg/K", "kJ/(kg·K)", 0.001, "kJ/kg/K"),
        ("Btu/lb/degF", "Btu/(lb·°F)", 0.001, "Btu_it/lb/delta_degF"),
    ],
    "kJ/kg/K",
    "Btu/lb/degF",
)
VISCOSITY = _kind(
    "dynamic viscosity",
    "dynamic viscosity",
    "Pa*s",
    [("mPa s", "mPa·s", 0.001, "mPa*s", ("cp", "mpas"))],
    "mPa s",
    "mPa s",
)
EXPANSIVITY = _kind(
    "linear expansion coefficient",
    "linear expansion coefficient",
    "1/K",
    [
        ("1e-6/K", "10⁻⁶/K", 0.1, "ppm/K", ("ppm/k", "um/m/k", "um/(m k)")),
        ("1e-6/degF", "10⁻⁶/°F", 0.1, "ppm/delta_degF", ("ppm/degf",)),
    ],
    "1e-6/K",
    "1e-6/degF",
)
PRESSURE_PER_KELVIN = _kind(
    "pressure per kelvin",
    "pressure for each degree",
    "Pa/K",
    [
        ("bar/K", "bar/K", 0.01, "bar/kelvin"),
        ("kPa/K", "kPa/K", 1, "kPa/kelvin"),
        ("psi/degF", "psi/°F", 0.1, "psi/delta_degF"),
    ],
    "bar/K",
    "psi/degF",
)
COMPRESSIBILITY = _kind(
    "compressibility",
    "yielding under pressure",
    "1/Pa",
    [
        ("1e-6/bar", "10⁻⁶/bar", 0.01, "ppm/bar"),
        ("1e-6/psi", "10⁻⁶/psi", 0.001, "ppm/psi"),
    ],
    "1e-6/bar",
    "1e-6/psi",
)
STIFFNESS = _kind(
    "stiffness",
    "modulus of elasticity",
    "Pa",
    [
        ("GPa", "GPa", 0.1, "GPa", ("kN/mm2",)),
        ("Mpsi", "10⁶ psi", 0.01, "megapsi"),
    ],
    "GPa",
    "Mpsi",
)
PRESSURE_VOLUME = _kind(
    "pressure times volume",
    "pressure times volume",
    "J",
    [("bar L", "bar·L", 0.1, "bar*liter"), ("psi gal", "psi·US gal", 0.1, "psi*gallon")],
    "bar L",
    "psi gal",
)
CONCENTRATION = _kind(
    "concentration",
    "concentration in water",
    "kg/m^3",
    [
        ("mg/L", "mg/L", 0.01, "mg/liter", ("ppm", "g/m3")),
        ("g/L", "g/L", 0.001, "g/liter"),
    ],
    "mg/L",
    "mg/L",
)
HARDNESS = _kind(
    "hardness",
    "hardness of water",
    "mol/m^3",
    [
        ("mg/L", "mg/L CaCO₃", 1, "chalk_milligram/liter", ("ppm", "mg/l caco3", "ppm caco3")),
        ("mol/m3", "mol/m³", 0.01, "mol/m^3", ("mmol/l",)),
        ("dH", "°dH", 0.1, "german_degree", ("german degrees", "dgh")),
        ("fH", "°fH", 0.1, "french_degree", ("french degrees", "tH")),
        ("gpg", "grains/US gal", 0.1, "chalk_grain/gallon", ("grains", "grains/gal")),
    ],
    "mg/L",
    "gpg",
)
AMOUNT_CONCENTRATION = _kind(
    "amount concentration",
    "amount of substance in water",
    "mol/m^3",
    [("mmol/L", "mmol/L", 0.001, "mmol/liter", ("mol/m3",))],
    "mmol/L",
    "mmol/L",
)
ACIDITY = _kind(
    "pH",
    "a pH value",
    "dimensionless",
    [("1", "", 0.01, "")],
    "1",
    "1",
)
CONDUCTIVITY = _kind(
    "conductivity",
    "electrical conductivity of water",
    "S/m",
    [
        ("uS/cm", "µS/cm", 1, "microsiemens/cm", ("umho/cm", "micromho/cm")),
        ("mS/m", "mS/m", 0.1, "millisiemens/m"),
        ("mS/cm", "mS/cm", 0.001, "millisiemens/cm"),
    ],
    "uS/cm",
    "uS/cm",
)
WATER_PER_HEAT = _kind(
    "water per heat",
    "water per unit of heat burned",
    "kg/J",
    [
        ("kg/kWh", "kg/kWh", 0.001, "kg/kWh", ("l/kwh",)),
        ("lb/kBtu", "lb per 1000 Btu", 0.001, "lb/kBtu_it", ("lb/1000btu",)),
    ],
    "kg/kWh",
    "lb/kBtu",
)
FRACTION = _kind(
    "fraction",
    "fraction",
    "dimensionless",
    [
        ("%", "%", 0.01, "percent", ("percent", "per cent", "pct")),
        ("1", "", 0.0001, "", ("ratio",)),
    ],
    "%",
    "%",
)
NUMBER = _kind(
    "number",
    "a plain number",
    "dimensionless",
    [("1", "", 0.0001, "")],
    "1",
    "1",
)
INDEX = _kind(
    "index",
    "an index",
    "dimensionless",
    [("1", "", 0.01, "")],
    "1",
    "1",
)
MONEY = _kind(
    "money",
    "an amount of money",
    "dimensionless",
    [("1", "", 1, "")],
    "1",
    "1",
)
ANGLE = _kind(
    "angle",
    "angle",
    "radian",
    [("deg", "°", 1, "degree", ("degree", "degrees"))],
    "deg",
    "deg",
)
FLOOR_LOAD = _kind(
    "load on a floor",
    "load on a floor",
    "Pa",
    [
        ("kN/m2", "kN/m²", 0.01, "kN/m^2", ("kpa",)),
        ("N/mm2", "N/mm²", 0.001, "N/mm^2", ("mpa",)),
        ("psf", "lbf/ft²", 1, "lbf/ft^2", ("lb/ft2", "lbf/ft2")),
        ("psi", "lbf/in²", 0.1, "lbf/in^2", ("lb/in2", "lbf/in2")),
    ],
    "kN/m2",
    "psf",
)

KINDS: tuple[Kind, ...] = tuple(k for k in list(globals().values()) if isinstance(k, Kind))


@dataclass(frozen=True, slots=True)
class Reading:
    """A quantity as read: SI value, SI plus/minus (0 where none), the unit it came in."""

    value: float
    plus_minus: float
    unit: Unit


_US_GALLON, _IMPERIAL = "US gal", "imp gal"
_BAND = re.compile(r" ?(?:±|\+ ?/ ?-|\+-) ?")
_MORE_NUMBERS = re.compile(r"(?:^|[ '\"-])[.,]?[0-9]")


def parse_number(text: str) -> float:
    """Return the number in `text`; raise EntryError with the mend otherwise."""
    cleaned = _cleaned(text)
    if not cleaned:
        raise EntryError("Nothing is entered. Enter a number.")
    factor, at = typed.sign(cleaned)
    found = typed.number(cleaned, at)
    if found.end < len(cleaned):
        raise EntryError(f"{quoted(text)} is not a number. Enter a number such as 11.4.")
    return factor * found.value


def _cleaned(text: str) -> str:
    if len(text) > typed.LONGEST_ENTRY:
        raise EntryError("That is too long. Enter one number, such as 11.4.")
    return typed.plain(text)


class Gallons(enum.Enum):
    """How a bare gallon is taken, which is one of two sizes outside the United States."""

    US = "the gallon of this book's own texts and of a reader in US units"
    BY_ID = "only as the exact id of a unit, which links and the shell's lists carry"
    NAMED = "not at all: a reader in SI has to say which"


@functools.lru_cache(maxsize=1024)
def parse_quantity(text: str, kind: Kind, fallback: Unit, gallons: Gallons = Gallons.US) -> Reading:
    """Read text such as ``31 ft``, ``8' 6"``, ``12 ± 0.5 psi`` or ``31`` as a quantity of `kind`.

    Without a unit, `fallback` is meant. Raises EntryError with a plain sentence.
    """
    cleaned = _cleaned(text)
    if not cleaned:
        example = f"10 {fallback.text}".rstrip()
        raise EntryError(f"Nothing is entered. Enter a value, such as {example}.")
    mark = _BAND.search(cleaned)
    if not mark:
        value, unit = _measure(cleaned, kind, fallback, gallons)
        return reading(value, 0.0, unit or fallback)
    value_text, band_text = cleaned[: mark.start()], cleaned[mark.end() :]
    if not value_text or not band_text or _BAND.search(band_text):
        raise EntryError(
            f"{quoted(cleaned)} cannot be read. Enter one value before the ± and one number "
            "after it, such as 10 ± 0.5."
        )
    band, band_unit = parse_band(band_text, kind, fallback, gallons)
    value, unit = _measure(value_text, kind, band_unit or fallback, gallons)
    unit = unit or band_unit or fallback
    found = reading(value, band, unit)
    if band_unit and band_unit != unit:
        return Reading(found.value, band * abs(band_unit.scale), unit)
    return found


def parse_band(
    text: str, kind: Kind, fallback: Unit, gallons: Gallons = Gallons.US
) -> tuple[float, Unit | None]:
    """Return the plus/minus in `text`, and its unit where one is written."""
    cleaned = _cleaned(text)
    factor, at = typed.sign(cleaned)
    found = typed.number(cleaned, at, tape=kind.measures_length())
    unit = _unit_named(cleaned, found.end, kind, fallback, gallons)
    if factor * found.value < 0:
        raise EntryError(_NEGATIVE_BAND)
    return found.value, unit


def _measure(text: str, kind: Kind, fallback: Unit, gallons: Gallons) -> tuple[float, Unit | None]:
    """Return the value in plain `text`, and the unit it is in where the text says so."""
    factor, at = typed.sign(text)
    tape = kind.measures_length()
    found = typed.number(text, at, tape=tape)
    length = typed.inches(text, at, found) if tape else None
    if length:
        inches, end, marked = length
        left = text[end:].strip()
        # A form joins what was typed with its own unit: 8' 6" ft.
        if left and not (marked and left in ("ft", "in")):
            raise EntryError(
                f"{quoted(text)} cannot be read as feet and inches. Write it as 8 ft 6 in, "
                "or as 8.5 ft."
            )
        offered = {unit.id: unit for unit in kind.units}
        unit = fallback if fallback.id in _INCHES_IN else offered.get("ft") or offered["in"]
        return factor * inches / _INCHES_IN[unit.id], unit
    unit = _unit_named(text, found.end, kind, fallback, gallons)
    if unit is None and found.fraction and fallback.id == "%":
        percent = f"{found.value * 100:.4g}"
        raise EntryError(
            f"{quoted(text)} could mean {percent} % or {found.value:.4g} %. Write "
            f"{percent}, or {found.value:.4g} with a point."
        )
    return factor * found.value, unit


_INCHES_IN = {"ft": 12, "in": 1}


def _unit_named(text: str, end: int, kind: Kind, fallback: Unit, gallons: Gallons) -> Unit | None:
    """Return the unit that stands in `text` from `end` on, None where nothing stands there."""
    name = text[end:].strip()
    if not name:
        return None
    if kind.plain() and name[0].isdigit():
        raise EntryError(f"{quoted(text)} holds more than one number. Enter one.")
    try:
        unit = kind.unit(name)
    except EntryError:
        if name[0] in "+-,.;/" and not _MORE_NUMBERS.search(name):
            raise EntryError(
                f"{quoted(text)} cannot be read. Enter one number and its unit."
            ) from None
        if _MORE_NUMBERS.search(name):
            raise EntryError(
                f"{quoted(text)} holds more than one number. Enter one number and its unit, "
                f"such as 10 {fallback.text or '%'}."
            ) from None
        raise
    if _bare_gallon(unit, name) and not _taken(unit, name, fallback, gallons):
        either = any(other.id == _IMPERIAL for other in kind.units)
        named = unit.text + (" or imp gal" if either else ", or use another unit")
        raise EntryError(
            f"The gallon in {quoted(text)} could be a US gallon, 3.785 L, or an imperial "
            f"gallon, 4.546 L. Write {named}."
        )
    return unit


def _taken(unit: Unit, name: str, fallback: Unit, gallons: Gallons) -> bool:
    if unit == fallback or gallons is Gallons.US:
        return fallback.id != _IMPERIAL
    return gallons is Gallons.BY_ID and name == unit.id


def _bare_gallon(unit: Unit, name: str) -> bool:
    return _US_GALLON in unit.text and "us" not in _folded(name)


def reading(value: float, plus_minus: float, unit: Unit) -> Reading:
    """Return a Reading in SI from numbers in `unit`; a negative plus/minus is refused."""
    if plus_minus < 0:
        raise EntryError(_NEGATIVE_BAND)
    return Reading(unit.to_si(value), plus_minus * abs(unit.scale), unit)


# The numbers of one answer come again in its results, its working and its sentences.
@functools.lru_cache(maxsize=2048)
def number_text(value: float, step: float, figures: int = SIGNIFICANT_FIGURES) -> str:
    """Return `value` to `figures`, no finer than `step`; small values keep two figures.

    What is below a thousandth of the step is shown as nothing.

    Examples
    --------
    >>> number_text(12.3456, 0.01), number_text(0.00412, 0.01)
    ('12.35', '0.0041')
    """
    if abs(value) < _NOTHING * step:
        return "0"
    return _with_decimals(value, _decimals(value, step, figures))


def _decimals(value: float, step: float, figures: int) -> int:
    """Return how many decimals `value` is shown with; negative where whole figures are rounded."""
    finest = _finest(step)
    if abs(value) < _NOTHING * step:
        return finest
    decimals = min(figures - 1 - _magnitude(value, figures), finest)
    if abs(value) < 5 * step:
        decimals = max(decimals, 1 - _magnitude(value, 2))
    return decimals


@functools.lru_cache(maxsize=256)
def _finest(step: float) -> int:
    return round(-math.log10(step))


def _magnitude(value: float, figures: int) -> int:
    """Return the power of ten of the first figure, once `value` is rounded to `figures`."""
    return int(f"{abs(value):.{figures - 1}e}".partition("e")[2])


def _with_decimals(value: float, decimals: int) -> str:
    rounded = round(value, decimals)
    if decimals > 12 or abs(rounded) >= 1e12:
        return f"{value:.3g}".replace("-", "\u2212")
    text = f"{rounded:.{max(decimals, 0)}f}"
    if rounded == 0:
        text = text.lstrip("-")
    whole, dot, rest = text.partition(".")
    sign, digits = ("\u2212", whole[1:]) if whole.startswith("-") else ("", whole)
    if len(digits) > 4:
        digits = f"{int(digits):,}".replace(",", _NARROW_SPACE)
    return f"{sign}{digits}{dot}{rest}"


def entry_text(value: float) -> str:
    """Return `value` as a person would type it: five figures, no exponent where avoidable."""
    text = f"{value:.5g}"
    return f"{float(text):.0f}" if "e+" in text and abs(value) < 1e12 else text


def quantity_text(value: float, kind: Kind, system: str, unit: Unit | None = None) -> str:
    """Return an SI `value` as shown to a reader in `system` (or in `unit`)."""
    return text_in(unit or kind.default_unit(system), value)


def text_in(unit: Unit, value: float) -> str:
    """Return an SI `value` as shown to a reader in `unit`."""
    shown = number_text(unit.from_si(value), unit.step, unit.figures)
    if not unit.text:
        return shown
    return f"{shown}\xa0{unit.text}"


def difference_text(
    value: float,
    kind: Kind,
    system: str,
    unit: Unit | None = None,
    beside: float | None = None,
) -> str:
    """Return an SI difference in the unit of a reader in `system` (or in `unit`)."""
    return difference_in(unit or kind.default_unit(system), value, beside)


def difference_in(unit: Unit, value: float, beside: float | None = None) -> str:
    """Return an SI difference (a plus/minus) in the scale of `unit`, without offset.

    It has two figures, and it is never finer than the last figure of what it stands beside: the
    SI value `beside`, or else any value of this unit.
    """
    of_value = unit.from_si(beside) if beside is not None else 10 * unit.step
    finest = _decimals(of_value, unit.step, unit.figures)
    band = max(value / abs(unit.scale), 10.0**-finest)
    shown = _with_decimals(band, min(finest, 1 - _magnitude(band, 2)))
    text = {"bar g": "bar", "kPa g": "kPa", "psig": "psi"}.get(unit.text, unit.text)
    text = {"bar abs": "bar", "kPa abs": "kPa", "psia": "psi", "°C": "K"}.get(text, text)
    return f"{shown} {text}".rstrip()

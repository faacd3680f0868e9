"""Random sites for the laws: entries as a person or a link may give them, odd ones among them."""

from calc import bridge, units
from calc.model import Choice, Quantity, QuantityList, Refusal, Table

UNREADABLE = ("", "word", "1..5", "3 parsec", "nan", {"value": "7", "unit": "1", "pm": "x"})
LABELS = ("word", "", "Heizkörper – 2. OG", "<b>bold</b>", "{braces} % \\")
TINY = 1e-6


def si_limits(entry):
    return tuple(
        units.parse_quantity(limit.value, entry.kind, entry.kind.default_unit("si")).value
        for limit in (entry.low, entry.high)
    )


def random_value(entry, draw):
    """Return an SI value: anywhere inside the limits, near the example, at or beside a limit."""
    low, high = si_limits(entry)
    way = draw.random()
    if way < 0.15:
        step = draw.choice((0.0, TINY, -TINY)) * (high - low)
        return draw.choice((low, high)) + step
    if way < 0.2 and low <= 0.0 <= high:
        return 0.0
    example = entry.default or entry.low.value
    near = units.parse_quantity(example, entry.kind, entry.kind.default_unit("si")).value
    if way < 0.55:
        far = draw.choice((0.02, 0.2, 0.6))
        offset = 273.15 if entry.kind is units.TEMPERATURE else 0.0
        return min(high, max(low, offset + (near - offset) * (1.0 + draw.uniform(-far, far))))
    return low + (high - low) * draw.random() ** draw.choice((0.5, 1, 4, 12))


def random_quantity(entry, draw, system):
    if draw.random() < (0.25 if entry.optional else 0.002):
        return draw.choice(("", " ", {"value": "", "unit": entry.kind.units[0].id, "pm": ""}))
    if draw.random() < 0.002:
        return draw.choice(UNREADABLE)
    si = random_value(entry, draw)
    unit = draw.choice((*entry.kind.units, entry.kind.default_unit(system)))
    value = f"{unit.from_si(si):.9g}"
    band = ""
    if draw.random() < (0.4 if entry.reading else 0.001):
        low, high = si_limits(entry)
        share = draw.choice((0.0, TINY, 0.003, 0.03, 0.3, 2.0))
        size = min(abs(si), high - low) if entry.kind is not units.TEMPERATURE else 30.0
        band = f"{share * size / abs(unit.scale):.3g}"
    form = draw.random()
    if form < 0.4:
        return {"value": value, "unit": unit.id, "pm": band}
    text = f"{value} {draw.choice(('±', '+/-'))} {band}" if band else value
    if form < 0.5 and unit == entry.kind.default_unit(system):
        return text
    return text if unit.id == "1" else f"{text} {unit.id}"


def random_list(entry, draw, system):
    if draw.random() < 0.3:
        return bridge.default_entry(entry, draw.choice(units.SYSTEMS))
    low, high = si_limits(entry)
    unit = draw.choice(entry.kind.units)
    count = draw.choice((1, 2, 5, entry.longest, entry.longest + 1))
    sizes = [low + (high - low) * draw.random() ** 6 for _ in range(count)]
    if draw.random() < 0.2:
        sizes[0] = draw.choice((low, high, sizes[-1]))
    text = ", ".join(f"{unit.from_si(size):.6g}" for size in sizes)
    return text if unit.id == "1" else f"{text} {unit.id}"


def random_table(entry, draw, system):
    way = draw.random()
    if way < 0.2:
        return bridge.default_entry(entry, system)
    few = min(entry.most, 4)
    count = draw.choice((entry.fewest, entry.fewest, entry.most, *[few] * 4, 1, 2))
    if way > 0.97:
        count = entry.most + 1
    return [{c.name: random_entry(c, draw, system) for c in entry.columns} for _ in range(count)]


def random_entry(entry, draw, system):
    """Return an entry as a person or a link may give it: readable nearly always, odd at times."""
    if isinstance(entry, Choice):
        return draw.choice(entry.options).value
    if isinstance(entry, Quantity):
        return random_quantity(entry, draw, system)
    if isinstance(entry, QuantityList):
        return random_list(entry, draw, system)
    if isinstance(entry, Table):
        return random_table(entry, draw, system)
    return draw.choice(LABELS)


def random_site(c, draw, system):
    """Return an example of the calculator, some of its entries replaced by random ones."""
    example = draw.choice(({}, *c.examples))
    share = draw.choice((0.1, 0.3, 0.6))
    return {
        i.name: random_entry(i, draw, system)
        if draw.random() < share
        else example.get(i.name, bridge.default_entry(i, system))
        for i in c.inputs
    }


def solved(c, draw, system, site=random_site):
    """Return entries and solution of the next random site that has an answer, else None."""
    entries = site(c, draw, system)
    reader = bridge.Reader(system)
    values = reader.read(c, entries)
    if reader.errors:
        return None
    try:
        return entries, values, c.solve(values)
    except Refusal:
        return None

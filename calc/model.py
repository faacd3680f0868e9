"""What a calculator is: inputs, equations, steps, checks, charts. Data only, no text in HTML.

A calculator is declared, never registered. Its `solve` is pure: SI floats in, a `Solution` out.
Three different refusals exist. An entry that cannot be read is an error on its field (made in
`bridge`). A value outside the range of an equation, or physically impossible, is a `Refusal`.
A result that can be computed but is not acceptable is a failed check with its remedy.
"""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from types import SimpleNamespace
from typing import Any, NamedTuple

from calc import units
from calc.sources import Citation

PASS = "pass"
CAUTION = "caution"
FAIL = "fail"


class Message(NamedTuple):
    """A sentence with quantities in it, written out in the reader's units at the edge."""

    template: str
    values: Mapping[str, tuple[float, units.Kind]]

    def text(self, system: str = "si") -> str:
        shown = {
            name: in_a_sentence(value, kind, system) for name, (value, kind) in self.values.items()
        }
        return self.template.format(**shown)


_PLAIN_IN_A_SENTENCE = (units.TEMPERATURE, units.TEMPERATURE_DIFFERENCE, units.FRACTION)


def in_a_sentence(value: float, kind: units.Kind, system: str) -> str:
    """Return an SI `value` as a sentence says it.

    A sentence that says “below” needs no “difference” after the unit, and degrees and percent
    need no nought after the point. Pressures keep theirs: it tells how finely they are known.

    Examples
    --------
    >>> in_a_sentence(10.0, units.TEMPERATURE_DIFFERENCE, "us").replace("\\xa0", " ")
    '18 °F'
    >>> in_a_sentence(0.5, units.FRACTION, "si").replace("\\xa0", " ")
    '50 %'
    """
    shown = units.quantity_text(value, kind, system)
    if kind not in _PLAIN_IN_A_SENTENCE:
        return shown
    number, space, unit = shown.partition("\xa0")
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    return f"{number}{space}{unit.removesuffix(' difference')}"


def say(template: str, **values: tuple[float, units.Kind]) -> Message:
    """Return a Message; each value is an SI float with its Kind."""
    return Message(template, values)


def as_text(message: str | Message, system: str) -> str:
    return message if isinstance(message, str) else message.text(system)


class Refusal(ValueError):
    """Outside the range in which an equation holds, or physically impossible.

    `message` says what is wrong and what to change; `field` names the input to change, and `cite`
    says who has it that it is wrong. Raises TypeError for a field without that.
    """

    def __init__(
        self, message: str | Message, *, field: str = "", cite: Citation | None = None
    ) -> None:
        super().__init__(as_text(message, "si"))
        if field and not isinstance(cite, Citation):
            raise TypeError(f"{field}: a refusal at a field needs a citation")
        self.message = message
        self.field = field
        self.cite = cite


@dataclass(frozen=True, slots=True)
class Limit:
    """A bound on an input: its value as text with unit, why it is there, and who says so."""

    value: str
    why: str
    cite: Citation

    def __post_init__(self) -> None:
        if not isinstance(self.cite, Citation):
            raise TypeError(f"{self.value}: a limit needs a citation")


When = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A number with a unit. `reading` marks what may carry a plus/minus."""

    name: str
    label: str
    kind: units.Kind
    help: str
    default: str
    us_default: str = ""
    low: Limit | None = None
    high: Limit | None = None
    reading: bool = False
    optional: bool = False
    when: When | None = None


@dataclass(frozen=True, slots=True)
class Option:
    """One value of a Choice."""

    value: str
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One of a closed list."""

    name: str
    label: str
    options: tuple[Option, ...]
    help: str
    default: str
    us_default: str = ""
    when: When | None = None

    def label_of(self, value: str) -> str:
        return next(option.label for option in self.options if option.value == value)


@dataclass(frozen=True, slots=True, kw_only=True)
class QuantityList:
    """Several numbers in one unit, such as the nominal sizes a shop keeps."""

    name: str
    label: str
    kind: units.Kind
    help: str
    default: str
    us_default: str = ""
    low: Limit | None = None
    high: Limit | None = None
    longest: int = 40
    when: When | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A short free text that only labels something; it never enters a calculation."""

    name: str
    label: str
    help: str
    default: str = ""
    longest: int = 60
    when: When | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows of like entries. `default` holds rows of texts in column order.

    A column's `when` looks at the other cells of its own row first, then at the whole form.
    """

    name: str
    label: str
    row_label: str
    columns: tuple[Quantity | Choice | Text, ...]
    help: str
    default: tuple[tuple[str, ...], ...]
    us_default: tuple[tuple[str, ...], ...] = ()
    fewest: int = 0
    most: int = 40
    when: When | None = None


Input = Quantity | Choice | QuantityList | Text | Table


@dataclass(frozen=True, slots=True)
class Section:
    """Inputs that belong together on a form. What seldom changes is folded away."""

    title: str
    names: tuple[str, ...]
    folded: bool = False


@dataclass(frozen=True, slots=True)
class Output:
    """A declared result. `kind` None means a text."""

    name: str
    label: str
    kind: units.Kind | None
    help: str = ""
    headline: bool = False
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Symbol:
    """A letter of an equation. `unit` pins the unit the printed formula is written in."""

    label: str
    kind: units.Kind
    unit: str = ""


_FORMULA_FUNCTIONS: dict[str, Callable[..., float]] = {
    "sqrt": math.sqrt,
    "exp": math.exp,
    "ln": math.log,
    "log10": math.log10,
    "max": max,
    "min": min,
    "abs": abs,
}
_FORMULA_NODES = (
    ast.Expression,
    ast.BinOp,
    ast.UnaryOp,
    ast.Call,
    ast.Name,
    ast.Load,
    ast.Constant,
    ast.Add,
    ast.Sub,
    ast.Mult,
    ast.Div,
    ast.Pow,
    ast.USub,
)


def formula_tree(formula: str) -> ast.expr:
    """Return the syntax tree of a formula, or raise ValueError for anything but arithmetic."""
    tree = ast.parse(formula, mode="eval")
    for node in ast.walk(tree):
        if not isinstance(node, _FORMULA_NODES):
            raise ValueError(f"{formula!r}: {type(node).__name__} has no place in a formula")
        if isinstance(node, ast.Call) and (
            not isinstance(node.func, ast.Name) or node.func.id not in _FORMULA_FUNCTIONS
        ):
            raise ValueError(f"{formula!r}: unknown function")
    return tree.body


def formula_names(formula: str) -> set[str]:
    """Return the symbols used in a formula."""
    names = {n.id for n in ast.walk(formula_tree(formula)) if isinstance(n, ast.Name)}
    return names - set(_FORMULA_FUNCTIONS)


def formula_value(formula: str, values: Mapping[str, float]) -> float:
    """Return the value of a shown formula for given symbol values (used to prove the steps)."""
    formula_tree(formula)
    space = {"__builtins__": {}, **_FORMULA_FUNCTIONS, **values}
    return float(eval(compile(formula, "<formula>", "eval"), space))


@dataclass(frozen=True, slots=True, kw_only=True)
class Equation:
    """One published equation: what is shown, what computes it, and where it stands.

    Give `formula` (arithmetic over the names in `where`) or `words` (a table look-up or a
    numerical solution). `function` takes the `where` values by position, in SI.
    """

    symbol: str
    label: str
    kind: units.Kind
    where: Mapping[str, Symbol]
    function: Callable[..., float]
    cite: Citation
    formula: str = ""
    words: str = ""
    unit: str = ""
    _order: Callable[[Mapping[str, float]], tuple] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        # A page's answer asks some hundred equations.
        if len(self.where) > 1:
            object.__setattr__(self, "_order", operator.itemgetter(*self.where))
        else:
            object.__setattr__(self, "_order", lambda values: [values[n] for n in self.where])
        if bool(self.formula) == bool(self.words):
            raise ValueError(f"{self.symbol}: give a formula or words, one of the two")
        if not isinstance(self.cite, Citation):
            raise TypeError(f"{self.symbol}: an equation needs a citation")
        if self.formula:
            names = formula_names(self.formula)
            if names != set(self.where):
                raise ValueError(
                    f"{self.symbol}: formula uses {names}, where has {set(self.where)}"
                )

    def of(self, values: Mapping[str, float]) -> float:
        """Return the result for SI `values` by symbol."""
        return self.function(*self._order(values))


class Step(NamedTuple):
    """An equation with values put in."""

    equation: Equation
    values: Mapping[str, float]
    result: float


class Check(NamedTuple):
    """A verdict: pass, caution or fail, a sentence with the remedy, and who says so.

    With `own_words` the sentence itself names the verdict (a cause that fits is not a result
    that is not acceptable), and no usual word is put before it.
    """

    id: str
    label: str
    status: str
    message: str | Message
    cite: Citation
    own_words: bool = False


@dataclass(frozen=True, slots=True)
class Axis:
    label: str
    kind: units.Kind
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Series:
    """A line of a chart; `role` is main, other or band. Points are SI pairs."""

    label: str
    points: tuple[tuple[float, float], ...]
    role: str = "main"


@dataclass(frozen=True, slots=True)
class Level:
    """A horizontal line across a chart; `role` is limit or info."""

    label: str
    value: float
    role: str = "info"


@dataclass(frozen=True, slots=True)
class Mark:
    label: str
    x: float
    y: float


@dataclass(frozen=True, slots=True, kw_only=True)
class LineChart:
    """Lines over two axes, in SI. `summary` is the text alternative."""

    id: str
    title: str
    x: Axis
    y: Axis
    series: tuple[Series, ...]
    levels: tuple[Level, ...] = ()
    marks: tuple[Mark, ...] = ()
    summary: str | Message


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar; `low` and `high` give its range where it is an estimate. SI."""

    label: str
    value: float
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BarChart:
    id: str
    title: str
    kind: units.Kind
    bars: tuple[Bar, ...]
    summary: str | Message


@dataclass(frozen=True, slots=True)
class VesselState:
    """One section of a vessel: share of its volume that is water (0 to 1), gauge pressure [Pa]."""

    label: str
    water_fraction: float
    pressure: float


@dataclass(frozen=True, slots=True, kw_only=True)
class VesselSection:
    """A vessel cut open in one to four states, drawn to the numbers."""

    id: str
    title: str
    states: tuple[VesselState, ...]
    summary: str | Message


@dataclass(frozen=True, slots=True)
class ResultColumn:
    """What one column of a ResultTable holds; `kind` None means texts."""

    label: str
    kind: units.Kind | None = None
    unit: str = ""


@dataclass(frozen=True, slots=True)
class ResultRow:
    """One thing compared in a ResultTable: its name and a cell for each column.

    Quantities are SI floats. None means that there is no such number; it is shown as a dash.
    """

    label: str
    cells: tuple[float | str | Message | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ResultTable:
    """Several like things side by side, with a number or a few words for each column.

    `corner` names what the rows are. `turned` shows the rows as columns, which suits few things
    with many properties. `summary` says what the table shows.
    """

    id: str
    title: str
    corner: str
    columns: tuple[ResultColumn, ...]
    rows: tuple[ResultRow, ...]
    turned: bool = False
    summary: str | Message

    def __post_init__(self) -> None:
        for row in self.rows:
            if len(row.cells) != len(self.columns):
                raise ValueError(
                    f"{self.id}: {row.label} has {len(row.cells)} cells, not {len(self.columns)}"
                )
            for cell, column in zip(row.cells, self.columns, strict=True):
                wanted = (str, Message) if column.kind is None else (float,)
                if cell is not None and not isinstance(cell, wanted):
                    raise TypeError(f"{self.id}: {row.label}, {column.label}: {cell!r}")


Chart = LineChart | BarChart | VesselSection | ResultTable


@dataclass(frozen=True, slots=True)
class Solution:
    """What `solve` found. Charts are drawn when they are first asked for, which may be refused
    as `solve` may: whoever wants the numbers alone, as at the ends of a plus/minus, draws none.
    """

    results: Mapping[str, float | str | None]
    steps: tuple[Step, ...]
    checks: tuple[Check, ...]
    drawn: Callable[[], tuple[Chart, ...]]

    @property
    def charts(self) -> tuple[Chart, ...]:
        return self.drawn()


@dataclass(slots=True)
class Work:
    """Collects results, steps, checks and charts while `solve` runs."""

    results: dict[str, float | str | None] = field(default_factory=dict)
    steps: list[Step] = field(default_factory=list)
    checks: list[Check] = field(default_factory=list)
    charts: list[Chart] = field(default_factory=list)
    drawings: list[tuple[Callable[..., None], tuple]] = field(default_factory=list)

    def step(self, equation: Equation, **values: float) -> float:
        """Compute `equation` for SI `values`, record the step, return the SI result."""
        result = equation.of(values)
        self.steps.append(Step(equation, values, result))
        return result

    def check(
        self,
        id: str,
        label: str,
        status: str,
        message: str | Message,
        cite: Citation,
        own_words: bool = False,
    ) -> None:
        if status not in (PASS, CAUTION, FAIL):
            raise ValueError(f"{id}: unknown status {status!r}")
        if not isinstance(cite, Citation):
            raise TypeError(f"{id}: a check needs a citation")
        if not label or not message:
            raise TypeError(f"{id}: a check needs a label and a message")
        self.checks.append(Check(id, label, status, message, cite, own_words))

    def result(self, name: str, value: float | str | None) -> None:
        self.results[name] = value

    def chart(self, chart: Chart) -> None:
        self.charts.append(chart)

    def draw(self, drawing: Callable[..., None], *details: Any) -> None:
        """Have ``drawing(work, *details)`` add its charts once somebody asks for them."""
        self.drawings.append((drawing, details))

    def drawn(self) -> tuple[Chart, ...]:
        """Return all charts, in the order in which they were asked for."""
        found = len(self.results), len(self.steps), len(self.checks)
        while self.drawings:
            drawing, details = self.drawings.pop(0)
            drawing(self, *details)
        if found != (len(self.results), len(self.steps), len(self.checks)):
            raise ValueError("a drawing only shows what was found: it adds no result, step, check")
        return tuple(self.charts)

    def solution(self) -> Solution:
        return Solution(self.results, tuple(self.steps), tuple(self.checks), self.drawn)


Values = SimpleNamespace


class _Numbers(Work):
    """Work of which the results alone are wanted: no step is recorded, no check, no drawing."""

    __slots__ = ()

    def step(self, equation: Equation, **values: float) -> float:
        return equation.of(values)

    def check(self, *judged: Any, **further: Any) -> None: ...

    def draw(self, *drawing: Any) -> None: ...


def work_on(v: Values) -> Work:
    """Return what collects the outcome of a `solve` of these values."""
    return _Numbers() if getattr(v, "numbers_alone", False) else Work()


@dataclass(frozen=True, slots=True, kw_only=True)
class Calculator:
    """A declared calculator. `question` is what somebody with one number to find would ask.

    `sections` hold every input once, in the order of the form. `held` names results that carry
    no plus/minus of their own: what is picked (a nominal size), and what an interval says already.
    While a plus/minus is worked out they are given back to `solve` in `v.held`, for a size once
    chosen does not change with a reading; only the numbers are collected then. `v.plus_minus`
    holds the plus/minus entered, in SI by path, for a `solve` that judges by it.
    """

    id: str
    title: str
    question: str
    summary: str
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    solve: Callable[[Values], Solution]
    sections: tuple[Section, ...] = ()
    held: tuple[str, ...] = ()
    examples: tuple[Mapping[str, Any], ...] = ()

    def __post_init__(self) -> None:
        placed = [name for section in self.sections for name in section.names]
        if self.sections and sorted(placed) != sorted(i.name for i in self.inputs):
            odd = set(placed) ^ {i.name for i in self.inputs}
            raise ValueError(f"{self.id}: sections must hold every input once; look at {odd}")

    def input(self, name: str) -> Input:
        return next(i for i in self.inputs if i.name == name)

    def output(self, name: str) -> Output:
        return next(o for o in self.outputs if o.name == name)


def spread(
    solve: Callable[[Values], Solution],
    values: Values,
    nominal: Solution,
    plus_minus: Sequence[tuple[tuple, float]],
    held: tuple[str, ...] = (),
) -> tuple[dict[str, float], list[tuple]]:
    """Return each numeric result's plus/minus, and the inputs whose ends could not be computed.

    Every uncertain input is moved to both ends of its band, so a bent curve is seen over the
    whole band; the greater change counts. Independent parts combine by the root of squares.
    """
    names = [n for n, r in nominal.results.items() if isinstance(r, float) and n not in held]
    picked = {name: nominal.results.get(name) for name in held}
    parts: dict[str, list[float]] = {name: [] for name in names}
    beyond: list[tuple] = []
    for path, band in plus_minus:
        ends = []
        for side in (-band, band):
            try:
                copy = moved(values, path, side)
                copy.held = picked
                copy.numbers_alone = True
                ends.append(solve(copy).results)
            except Refusal:
                beyond.append(path)
        for name in names:
            centre = nominal.results[name]
            changes = [
                abs(found[name] - centre) for found in ends if isinstance(found.get(name), float)
            ]
            parts[name].append(max(changes, default=0.0))
    return {name: math.hypot(*found) for name, found in parts.items() if any(found)}, beyond


def moved(values: Values, path: tuple, by: float) -> Values:
    """Return a copy of `values` with the float at `path` moved `by`.

    Where `values` hold bounds of that input, a Refusal says that the end lies outside them: no
    equation was ever asked about such a value.
    """
    copy = SimpleNamespace(**vars(values))
    low, high = getattr(values, "bounds", {}).get(path, (-math.inf, math.inf))

    def within(value: float) -> float:
        if not low <= value <= high:
            raise Refusal("The plus/minus reaches past what this input can take.")
        return value

    if len(path) == 1:
        setattr(copy, path[0], within(getattr(copy, path[0]) + by))
        return copy
    table, row, column = path
    rows = list(getattr(copy, table))
    changed = SimpleNamespace(**vars(rows[row]))
    setattr(changed, column, within(getattr(changed, column) + by))
    rows[row] = changed
    setattr(copy, table, tuple(rows))
    return copy

"""Numbers in running text: named runs of calculators and functions, and what they came to.

A page lists its runs in its front matter. In the text ``{{ run.output }}`` stands for a result
in both unit systems, ``{{ run.in.height }}`` for what was put in and ``{{ run.check.size }}`` for
a verdict. A run may take a result of an earlier one: ``volume: "@survey.volume"``. What a text
claims can be held fast with ``expect``: a check that comes out otherwise stops the build.
"""

from __future__ import annotations

import importlib
import inspect
import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from calc import bridge, units
from calc.model import Quantity, QuantityList

_PLACE = re.compile(r"\{\{\s*(.*?)\s*\}\}")
_EARLIER = re.compile(r"@([\w-]+)\.([\w-]+)")
_KEYS = {"name", "calculator", "function", "inputs", "kind", "expect"}


class Run:
    """One named run, computed."""

    def __init__(self, spec: Mapping[str, Any], earlier: Mapping[str, Run]) -> None:
        self.name = _named(spec)
        self._values: dict[str, tuple[float, units.Kind, units.Unit | None, float]] = {}
        self._texts: dict[str, str] = {}
        self._checks: dict[str, str] = {}
        self._inputs: dict[str, str] = {}
        inputs = spec.get("inputs") or {}
        if "calculator" in spec:
            entries = {
                key: _resolved(self.name, key, value, earlier, Run.entry)
                for key, value in inputs.items()
            }
            self._calculate(spec["calculator"], entries)
        else:
            values = {
                key: _resolved(self.name, key, value, earlier, Run.si)
                for key, value in inputs.items()
            }
            self._call(spec["function"], values, spec.get("kind", ""))
        for check, wanted in (spec.get("expect") or {}).items():
            found = self.verdict(check)
            if found != wanted:
                raise ValueError(f"{self.name}: the text expects {check} to {wanted}, but: {found}")

    def _calculate(self, id: str, inputs: Mapping[str, Any]) -> None:
        chosen = bridge.calculator(id)
        answer = bridge.run(id, inputs, "si")
        if "errors" in answer:
            raise ValueError(f"{self.name}: {answer['errors'][0]['message']}")
        for result in answer["results"]:
            output = chosen.output(result["name"])
            if output.kind is None or isinstance(result["value"], str):
                self._texts[output.name] = result["text"]
                continue
            unit = output.kind.unit(result["unit"])
            pinned = output.kind.unit(output.unit) if output.unit else None
            band = (result["plus_minus"] or 0.0) * abs(unit.scale)
            self._values[output.name] = (unit.to_si(result["value"]), output.kind, pinned, band)
        self._checks = {check["id"]: check["status"] for check in answer["checks"]}
        for given in answer["inputs"]:
            entry = chosen.input(given["name"])
            self._inputs[entry.name] = _input_text(entry, given["text"])

    def _call(self, path: str, inputs: Mapping[str, Any], kind: str) -> None:
        module, _, name = path.rpartition(".")
        if not module.startswith("calc."):
            raise ValueError(f"{self.name}: a function is one of calc, not {path}")
        function = getattr(importlib.import_module(module), name)
        inspect.signature(function).bind(**inputs)
        si = {
            key: value if isinstance(value, float) else _si(value) for key, value in inputs.items()
        }
        self._values["value"] = (float(function(**si)), _kind(self.name, kind), None, 0.0)
        self._inputs = {key: str(value) for key, value in inputs.items() if isinstance(value, str)}

    def verdict(self, check: str) -> str:
        return self._found(self._checks, check, "check")

    def entry(self, output: str) -> str:
        """Return a result as an entry that a later run can read, at full precision."""
        if output in self._texts:
            return self._texts[output]
        value, kind, pinned, _ = self._found(self._values, output, "output")
        unit = pinned or kind.default_unit("si")
        return f"{unit.from_si(value)!r} {unit.id}"

    def si(self, output: str) -> float:
        """Return a result in SI, for a later function."""
        return self._found(self._values, output, "output")[0]

    def text(self, place: str) -> str:
        """Return what stands for ``run.place`` in the text."""
        head, _, tail = place.partition(".")
        if head == "in" and tail:
            return self._found(self._inputs, tail, "input")
        if head == "check" and tail:
            return self.verdict(tail)
        if place in self._texts:
            return self._texts[place]
        value, kind, pinned, band = self._found(self._values, place, "output")
        return both(value, kind, pinned, band)

    def _found(self, where: Mapping[str, Any], name: str, what: str) -> Any:
        if name not in where:
            known = ", ".join([*where, *(self._texts if what == "output" else ())]) or "none"
            raise ValueError(f"{self.name} has no {what} “{name}”. It has: {known}.")
        return where[name]


def both(value: float, kind: units.Kind, pinned: units.Unit | None = None, band: float = 0) -> str:
    """Return an SI value in SI with US customary units in brackets, and its plus/minus.

    Examples
    --------
    >>> both(1.55e5, units.GAUGE_PRESSURE).replace("\\xa0", " ")
    '1.55 bar g (22.5 psig)'
    >>> both(0.5, units.FRACTION).replace("\\xa0", " ")
    '50.0 %'
    """
    texts = []
    for system in units.SYSTEMS:
        shown = units.quantity_text(value, kind, system, pinned)
        if band:
            shown += f" ± {units.difference_text(band, kind, system, pinned, value)}"
        texts.append(shown)
    return texts[0] if texts[0] == texts[1] else f"{texts[0]} ({texts[1]})"


def _named(spec: Mapping[str, Any]) -> str:
    if not isinstance(spec, Mapping) or not re.fullmatch(r"[a-z][\w-]*", str(spec.get("name", ""))):
        raise ValueError(f"a run needs a name of small letters, digits and hyphens: {spec}")
    if odd := set(spec) - _KEYS:
        raise ValueError(f"{spec['name']}: a run has no {', '.join(sorted(odd))}")
    if ("calculator" in spec) == ("function" in spec):
        raise ValueError(f"{spec['name']}: give a calculator or a function, one of the two")
    return spec["name"]


def _kind(run: str, name: str) -> units.Kind:
    for value in vars(units).values():
        if isinstance(value, units.Kind) and value.name == name:
            return value
    raise ValueError(f"{run}: a function's run needs the kind of its result, not “{name}”")


def _resolved(
    run: str, key: str, value: Any, earlier: Mapping[str, Run], take: Callable[[Run, str], Any]
) -> Any:
    if not isinstance(value, str) or not value.startswith("@"):
        return value if isinstance(value, list | Mapping) else str(value)
    match = _EARLIER.fullmatch(value)
    if not match or match[1] not in earlier:
        raise ValueError(f"{run}: {key} takes {value}, but no earlier run is called that")
    return take(earlier[match[1]], match[2])


def _si(text: str) -> float:
    """Return a text with a unit as a float in SI base units."""
    match = re.fullmatch(r"\s*([-+]?[\d.]+(?:[eE][-+]?\d+)?)\s*(.*)", text)
    if not match:
        raise ValueError(f"“{text}” is not a number with a unit")
    quantity = units.REGISTRY.Quantity(
        float(match[1]), match[2].replace("%", "percent") or "dimensionless"
    )
    return float(quantity.to_base_units().magnitude)


def _input_text(entry: Any, text: str) -> str:
    """Return an input as given, in both systems where it is one quantity."""
    if isinstance(entry, Quantity) and text:
        read = units.parse_quantity(text, entry.kind, entry.kind.default_unit("si"))
        shown = both(read.value, entry.kind, None, read.plus_minus)
        return shown if shown.endswith(")") else text
    if isinstance(entry, QuantityList) or not hasattr(entry, "label_of"):
        return text
    return entry.label_of(text)


class Runs:
    """The runs of one page, in order."""

    def __init__(self, specs: Iterable[Mapping[str, Any]]) -> None:
        self._runs: dict[str, Run] = {}
        for spec in specs:
            run = Run(spec, self._runs)
            if run.name in self._runs:
                raise ValueError(f"two runs are called {run.name}")
            self._runs[run.name] = run

    def filled(self, text: str) -> str:
        """Return `text` with each ``{{ run.output }}`` replaced; ValueError names an unknown."""
        return _PLACE.sub(lambda match: self._text(match[1]), text)

    def _text(self, place: str) -> str:
        name, dot, rest = place.partition(".")
        if not dot or name not in self._runs:
            known = ", ".join(self._runs) or "none"
            raise ValueError(f"no run stands behind {{{{ {place} }}}}. Runs here: {known}.")
        return self._runs[name].text(rest)

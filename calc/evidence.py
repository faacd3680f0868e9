"""Evidence rows: printed values from outside, compared with what this handbook computes.

A row names a function or a calculator, its inputs, and the value as printed. The tolerance is
half the last printed digit unless the row says otherwise and why. The same rows drive the tests,
the tests inside the browser's Python, and the page where a reader re-runs them.
"""

from __future__ import annotations

import functools
import importlib
import json
import math
import re
import tomllib
from pathlib import Path
from typing import Any

from calc import bridge, units

STATUSES = (
    "published",
    "second-hand",
    "common practice",
    "from memory",
    "independent library",
    "arithmetic",
)

_HERE = Path(__file__).resolve().parent
_ROWS = _HERE.parent / "tests" / "evidence"
_BAKED = _HERE / "evidence.json"
_REQUIRED = {"inputs", "printed", "source", "status"}
_ALLOWED = _REQUIRED | {
    "function",
    "calculator",
    "output",
    "tolerance",
    "why",
    "disagrees",
    "system",
    "note",
    "subject",
    "result",
}


@functools.cache
def _all_rows() -> tuple[dict[str, Any], ...]:
    if _BAKED.exists():
        return tuple(json.loads(_BAKED.read_text(encoding="utf-8")))
    found = []
    for path in sorted(_ROWS.glob("*.toml")):
        for row in tomllib.loads(path.read_text(encoding="utf-8"))["check"]:
            found.append({"subject": path.stem, **row})
            _inspect(found[-1], path.name)
    return tuple(found)


def rows() -> list[dict[str, Any]]:
    """Return all rows, in the order of their files."""
    return list(_all_rows())


def _inspect(row: dict[str, Any], where: str) -> None:
    missing, odd = _REQUIRED - row.keys(), row.keys() - _ALLOWED
    if missing or odd:
        raise ValueError(
            f"{where}: row lacks {sorted(missing)} or has unknown {sorted(odd)}: {row}"
        )
    if ("function" in row) == ("calculator" in row):
        raise ValueError(f"{where}: a row names a function or a calculator: {row}")
    if row["status"] not in STATUSES:
        raise ValueError(f"{where}: a row's status must be one of {STATUSES}: {row}")
    if ("tolerance" in row) != ("why" in row):
        raise ValueError(f"{where}: a row's tolerance needs its reason in why: {row}")


def _argument(value: Any) -> Any:
    """Return a function argument: text with a unit becomes a float in SI base units."""
    if not isinstance(value, str):
        return float(value) if isinstance(value, int) and not isinstance(value, bool) else value
    match = re.fullmatch(r"\s*([-+]?[\d.]+(?:[eE][-+]?\d+)?)\s*(.*)", value)
    if not match:
        return value
    quantity = units.REGISTRY.Quantity(
        float(match[1]), match[2].replace("%", "percent") or "dimensionless"
    )
    return float(quantity.to_base_units().magnitude)


def _printed(text: str) -> tuple[float, float, str]:
    """Return the value, half its last digit, and the unit of a printed quantity."""
    match = re.fullmatch(r"\s*([-+]?\d*\.?\d+)(?:[eE]([-+]?\d+))?\s*(.*?)\s*", text)
    if not match:
        raise ValueError(f"{text!r} does not begin with a number")
    scale = 10.0 ** int(match[2] or 0)
    decimals = len(match[1].partition(".")[2])
    return float(match[1]) * scale, 0.5 * 10.0**-decimals * scale, match[3]


def _fluid_arguments(inputs: dict[str, Any]) -> dict[str, Any]:
    """Replace ``fluid = "propylene glycol 30 %"`` by the Fluid it names."""
    from calc.fluids import WATER, Fluid

    found = dict(inputs)
    named = found.get("fluid")
    if isinstance(named, str):
        match = re.fullmatch(r"(.*?)\s+([\d.]+)\s*%", named)
        found["fluid"] = WATER if named == "water" else Fluid(match[1], float(match[2]) / 100)
    return found


def _found_in(row: dict[str, Any], unit: str) -> float:
    """Return what this handbook computes, in the printed unit."""
    if "function" in row:
        module, _, name = row["function"].rpartition(".")
        inputs = {
            k: _argument(v) if k != "fluid" else v
            for k, v in _fluid_arguments(row["inputs"]).items()
        }
        value = getattr(importlib.import_module(module), name)(**inputs)
        if "result" in row:
            value = (
                value[row["result"]]
                if isinstance(row["result"], int)
                else getattr(value, row["result"])
            )
        plain = units.REGISTRY.Quantity(1.0, unit.replace("%", "percent") or "dimensionless")
        base = plain.to_base_units().units
        return float(units.REGISTRY.Quantity(value, base).to(plain.units).magnitude)
    system = row.get("system", "si")
    answer = bridge.run(row["calculator"], row["inputs"], system)
    if "errors" in answer:
        raise ValueError(f"refused: {answer['errors']}")
    result = next((r for r in answer["results"] if r["name"] == row["output"]), None)
    if result is None:
        raise ValueError(f"{row['output']} is not among the results")
    output = bridge.calculator(row["calculator"]).output(row["output"])
    si = output.kind.unit(result["unit"]).to_si(result["value"])
    wanted = output.kind.unit(unit) if unit else output.kind.units[-1]
    return wanted.from_si(si)


def rerun(index: int) -> dict[str, Any]:
    """Compute row `index` again; return what was expected, what was found, whether they agree."""
    row = _all_rows()[index]
    expected, half_digit, unit = _printed(row["printed"])
    found = _found_in(row, unit)
    tolerance = half_digit
    if "tolerance" in row:
        number, _, mark = row["tolerance"].partition(" ")
        tolerance = abs(expected) * float(number) / 100 if mark == "%" else float(number)
    agrees = math.isfinite(found) and abs(found - expected) <= tolerance * (1 + 1e-9) + 1e-12 * abs(
        expected
    )
    decimals = max(0, -math.floor(math.log10(half_digit * 2)) + 1) if half_digit < 1 else 1
    return {
        "row": index,
        "expected": row["printed"],
        "found": f"{found:.{decimals}f} {unit}".strip(),
        "agrees": agrees,
        "expected_failure": bool(row.get("disagrees")),
    }

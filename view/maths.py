"""Formulas as MathML: once with letters, once with the values put in."""

from __future__ import annotations

import ast
from collections.abc import Callable, Mapping
from functools import lru_cache

from calc.model import formula_tree
from view.html import Html, h

_GREEK = {
    "alpha": "α",
    "beta": "β",
    "gamma": "γ",
    "delta": "δ",
    "Delta": "Δ",
    "epsilon": "ε",
    "zeta": "ζ",
    "eta": "η",
    "theta": "θ",
    "kappa": "κ",
    "lambda_": "λ",
    "lam": "λ",
    "mu": "μ",
    "nu": "ν",
    "pi": "π",
    "rho": "ρ",
    "sigma": "σ",
    "Sigma": "Σ",
    "tau": "τ",
    "phi": "φ",
    "chi": "χ",
    "psi": "ψ",
    "omega": "ω",
    "Omega": "Ω",
}
_ADD, _MULTIPLY, _SIGN, _POWER, _ATOM = range(5)


@lru_cache(maxsize=512)
def symbol(name: str) -> Html:
    """Return a symbol such as ``V_ex`` or ``rho_2`` as MathML."""
    head, _, tail = name.partition("_")
    if head == "Delta" and tail:
        return h("mrow", None, h("mo", None, "Δ"), symbol(tail))
    letter = h(
        "mi",
        {"mathvariant": "normal"} if len(head) > 1 and head not in _GREEK else None,
        _GREEK.get(head, head),
    )
    if not tail:
        return letter
    return h(
        "msub",
        None,
        letter,
        h("mtext", None, ", ".join(_GREEK.get(part, part) for part in tail.split("_"))),
    )


@lru_cache(maxsize=512)
def equation(name: str, formula: str) -> Html:
    """Return ``name = formula`` in letters, as a MathML block."""
    return h(
        "math",
        {"display": "block"},
        h("mrow", None, symbol(name), h("mo", None, "="), _node(_tree(formula), symbol)[0]),
    )


def substituted(formula: str, values: Mapping[str, str], result: str) -> Html:
    """Return the formula with value texts in place of letters, and the result."""

    def value(name: str) -> Html:
        return h("mtext", {"class": "lc-value"}, values[name])

    return h(
        "math",
        {"display": "block"},
        h(
            "mrow",
            None,
            h("mo", None, "="),
            _node(_tree(formula), value)[0],
            h("mo", None, "="),
            h("mtext", {"class": "lc-step-result"}, result),
        ),
    )


@lru_cache(maxsize=512)
def _tree(formula: str) -> ast.expr:
    return formula_tree(formula)


def _node(node: ast.expr, name: Callable[[str], Html]) -> tuple[Html, int]:
    if isinstance(node, ast.Name):
        return name(node.id), _ATOM
    if isinstance(node, ast.Constant):
        return h("mn", None, _number(node.value)), _ATOM
    if isinstance(node, ast.UnaryOp):
        return h("mrow", None, h("mo", None, "−"), _wrapped(node.operand, name, _SIGN)), _SIGN
    if isinstance(node, ast.Call):
        return _call(node, name), _ATOM
    left, right = node.left, node.right
    if isinstance(node.op, ast.Div):
        return h("mfrac", None, _node(left, name)[0], _node(right, name)[0]), _ATOM
    if isinstance(node.op, ast.Pow):
        return h("msup", None, _wrapped(left, name, _ATOM), _node(right, name)[0]), _POWER
    if isinstance(node.op, ast.Mult):
        return h(
            "mrow",
            None,
            _wrapped(left, name, _MULTIPLY),
            h("mo", None, "·"),
            _wrapped(right, name, _MULTIPLY),
        ), _MULTIPLY
    sign = "+" if isinstance(node.op, ast.Add) else "−"
    least = _ADD if isinstance(node.op, ast.Add) else _MULTIPLY
    return h(
        "mrow", None, _wrapped(left, name, _ADD), h("mo", None, sign), _wrapped(right, name, least)
    ), _ADD


def _wrapped(node: ast.expr, name: Callable[[str], Html], least: int) -> Html:
    made, level = _node(node, name)
    return made if level >= least else h("mrow", None, h("mo", None, "("), made, h("mo", None, ")"))


def _call(node: ast.Call, name: Callable[[str], Html]) -> Html:
    inner = [_node(argument, name)[0] for argument in node.args]
    called = node.func.id
    if called == "sqrt":
        return h("msqrt", None, inner[0])
    if called == "abs":
        return h("mrow", None, h("mo", None, "|"), inner[0], h("mo", None, "|"))
    if called == "exp":
        return h("msup", None, h("mi", None, "e"), inner[0])
    listed: list[Html] = []
    for number, argument in enumerate(inner):
        if number:
            listed.append(h("mo", {"separator": "true"}, ";"))
        listed.append(argument)
    title = (
        h("msub", None, h("mi", None, "log"), h("mn", None, "10"))
        if called == "log10"
        else h("mi", None, called)
    )
    return h("mrow", None, title, h("mo", None, "("), listed, h("mo", None, ")"))


def _number(value: float) -> str:
    if isinstance(value, int) or abs(value) >= 1e-4:
        return f"{value!r}".removesuffix(".0")
    mantissa, exponent = f"{value:e}".split("e")
    digits = str(int(exponent)).translate(str.maketrans("-0123456789", "⁻⁰¹²³⁴⁵⁶⁷⁸⁹"))
    return f"{float(mantissa):g}·10{digits}"

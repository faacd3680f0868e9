"""What every declared equation owes its reader, whether a calculator shows it today or not."""

import importlib
import inspect
import pkgutil
from collections.abc import Mapping

import pytest

from calc import equations, units
from calc.model import Equation
from calc.sources import STATUSES, Citation

MODULES = sorted(found.name for found in pkgutil.iter_modules(equations.__path__))


def declared(value):
    """Give the equations in a value, however deep they lie in tables and rows."""
    if isinstance(value, Equation):
        yield value
    elif isinstance(value, Mapping):
        for inner in value.values():
            yield from declared(inner)
    elif isinstance(value, tuple | list):
        for inner in value:
            yield from declared(inner)


def equations_of(module):
    for name, value in vars(importlib.import_module(f"calc.equations.{module}")).items():
        for equation in declared(value):
            yield f"{name} {equation.symbol}", equation


def test_equations_are_found():
    assert sum(1 for module in MODULES for _ in equations_of(module)) > 150


@pytest.mark.parametrize("module", MODULES)
def test_an_equation_and_its_letters_have_a_kind_a_name_and_a_source(module):
    for where, equation in equations_of(module):
        assert isinstance(equation.kind, units.Kind), where
        assert equation.label, where
        assert equation.symbol, where
        assert isinstance(equation.cite, Citation), where
        assert equation.cite.source.status in STATUSES, where
        for letter, symbol in equation.where.items():
            assert isinstance(symbol.kind, units.Kind), (where, letter)
            assert symbol.label, (where, letter)
            if symbol.unit:
                assert symbol.kind.unit(symbol.unit).id == symbol.unit, (where, letter)
        if equation.unit:
            assert equation.kind.unit(equation.unit).id == equation.unit, where


@pytest.mark.parametrize("module", MODULES)
def test_what_computes_takes_as_many_numbers_as_the_equation_has_letters(module):
    for where, equation in equations_of(module):
        try:
            inspect.signature(equation.function).bind(*equation.where)
        except ValueError:  # A builtin such as max does not say; it takes any number.
            assert equation.function in (max, min), where
        except TypeError as problem:
            pytest.fail(f"{where}: {problem}")

"""Docstrings of the formulas name the arguments that the functions take, in their order."""

import importlib
import inspect
import pkgutil
import re

import pytest

import mountgen.mechanics

PROSE = {"mountgen.mechanics.sections", "mountgen.mechanics.bending", "mountgen.mechanics.ranges"}
"""Modules whose few functions explain their arguments in sentences."""


def public_functions():
    for found in pkgutil.iter_modules(mountgen.mechanics.__path__, "mountgen.mechanics."):
        module = importlib.import_module(found.name)
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if function.__module__ == found.name and not name.startswith("_"):
                yield pytest.param(function, id=f"{found.name}.{name}")


def described(text: str) -> list[str]:
    """The names at the start of the lines under 'Args:'."""
    return re.findall(r"^    (\w+): ", inspect.cleandoc(text).partition("Args:\n")[2], re.MULTILINE)


@pytest.mark.parametrize("function", list(public_functions()))
def test_docstring_names_the_arguments(function):
    text = function.__doc__
    assert text, "a public formula has a docstring"
    if function.__module__ in PROSE and "Args:" not in text:
        return
    assert described(text) == list(inspect.signature(function).parameters)


def test_all_formula_modules_are_seen():
    modules = {parameter.values[0].__module__.rpartition(".")[2] for parameter in public_functions()}
    assert {"beams", "bolts", "timing", "tolerances", "marking", "sections", "bending"} <= modules

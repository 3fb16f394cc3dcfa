"""Every trade function is documented the one way that help texts, examples and readers rely on."""

import ast
import doctest
import importlib
import inspect
import pkgutil
import re

import pytest

import sheetcalc.trade

SECTIONS = ["Parameters", "Returns", "Raises", "Notes", "References", "Examples"]
OPTIONAL = {"Notes"}
LONGEST_HELP = 255  # characters that every host shows

MODULES = [
    importlib.import_module(f"sheetcalc.trade.{module.name}")
    for module in pkgutil.iter_modules(sheetcalc.trade.__path__)
    if not module.ispkg
]
FUNCTIONS = {name: getattr(module, name) for module in MODULES for name in getattr(module, "__all__", ())}
every_function = pytest.mark.parametrize("function", FUNCTIONS.values(), ids=FUNCTIONS)


def documented(function) -> tuple[str, dict[str, str]]:
    """Split a docstring into its head and its sections."""
    parts = re.split(r"^(\w+)\n-+$", inspect.getdoc(function) or "", flags=re.MULTILINE)
    return parts[0].strip(), dict(zip(parts[1::2], (part.strip() for part in parts[2::2]), strict=True))


def test_there_are_functions():
    assert {"face_width", "boards_to_order", "nail_count", "payment_split"} <= set(FUNCTIONS)


def test_no_name_stands_in_two_modules():
    names = [name for module in MODULES for name in getattr(module, "__all__", ())]
    assert len(names) == len(set(names))


@pytest.mark.parametrize("module", MODULES, ids=lambda module: module.__name__)
def test_public_names_are_sorted_and_functions_of_that_module(module):
    names = list(getattr(module, "__all__", ()))
    assert names == sorted(names)
    for name in names:
        assert inspect.isfunction(getattr(module, name))
        assert getattr(module, name).__module__ == module.__name__


@every_function
def test_sections_are_there_and_in_order(function):
    _, sections = documented(function)
    assert [name for name in SECTIONS if name in sections] == list(sections)
    assert set(SECTIONS) - set(sections) <= OPTIONAL
    assert all(sections.values())


@every_function
def test_first_sentence_is_a_help_text(function):
    head, _ = documented(function)
    first = head.split("\n\n")[0]
    assert "\n" not in first
    assert first.endswith(".")
    assert len(first) <= LONGEST_HELP


@every_function
def test_documented_parameters_are_those_of_the_signature(function):
    """A group of parameters may point to the function that describes them, and then needs no type."""
    _, sections = documented(function)
    entries = re.findall(r"^(\w+(?:, \w+)*)(?: : (.+))?$", sections["Parameters"], flags=re.MULTILINE)
    types = {name: kind for group, kind in entries for name in group.split(", ")}
    parameters = inspect.signature(function).parameters
    assert list(types) == list(parameters)
    for name, kind in types.items():
        if kind and not kind.startswith("{"):  # braces list the choices
            assert kind.endswith(", optional") == (parameters[name].default is not inspect.Parameter.empty)
    pointing = [group for group, kind in entries if not kind]
    assert not pointing or "as for `" in sections["Parameters"].lower()


@every_function
def test_first_example_is_one_call_of_literals(function):
    first = doctest.DocTestParser().get_examples(documented(function)[1]["Examples"])[0]
    call = ast.parse(first.source.strip(), mode="eval").body
    assert isinstance(call, ast.Call)
    assert isinstance(call.func, ast.Name)
    assert call.func.id == function.__name__
    arguments = [ast.literal_eval(argument) for argument in call.args]
    options = {option.arg: ast.literal_eval(option.value) for option in call.keywords}
    inspect.signature(function).bind(*arguments, **options)
    assert first.want

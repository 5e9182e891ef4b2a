"""What holds for each module of the program and of its tests, and no linter looks at."""

from __future__ import annotations

import ast
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)
SCOPES = (ast.Module, ast.ClassDef, *FUNCTIONS)
MODULES = [*sorted((ROOT / "oilchart").rglob("*.py")), *sorted((ROOT / "tests").rglob("*.py"))]


def defined(scope: ast.AST) -> Iterator[str]:
    """The names that one scope gives to functions, classes and constants, each as often as it is
    given; what lies under a condition is another way to have the same name, and is left out."""
    for each in ast.iter_child_nodes(scope):
        if isinstance(each, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            if not completes_another(each):
                yield each.name
        elif isinstance(each, ast.Assign) and not isinstance(scope, FUNCTIONS):
            yield from (name.id for name in each.targets if isinstance(name, ast.Name))


def completes_another(definition: ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) -> bool:
    """Whether it adds to what has its name already: a setter, one of several signatures."""
    return any(
        (isinstance(each, ast.Attribute) and each.attr in ("setter", "deleter", "register"))
        or (isinstance(each, ast.Name) and each.id == "overload")
        for each in definition.decorator_list
    )


def defined_twice(source: str) -> list[str]:
    """The names that a module, a class or a function defines more than once."""
    return [
        name
        for scope in ast.walk(ast.parse(source))
        if isinstance(scope, SCOPES)
        for name, times in Counter(defined(scope)).items()
        if times > 1
    ]


@pytest.mark.parametrize(
    ("source", "names"),
    [
        ("class Rows:\n    def _owner(self): ...\n    def _owner(self): ...\n", ["_owner"]),
        ("def _one(): ...\nclass _one: ...\n", ["_one"]),
        ("_A = 1\n_B = 2\n_A = 3\n", ["_A"]),
        ("def outer():\n    def _in(): ...\n    def _in(): ...\n", ["_in"]),
        # one name in two scopes, a setter, and a value that grows in a function
        ("class A:\n    def _x(self): ...\nclass B:\n    def _x(self): ...\n", []),
        ("class A:\n @property\n def x(self): ...\n @x.setter\n def x(self, to): ...\n", []),
        ("def grow():\n    a = 1\n    a = a + 1\n", []),
    ],
)  # fmt: skip
def test_a_name_that_is_defined_twice_is_found(source: str, names: list[str]) -> None:
    assert defined_twice(source) == names


def test_no_module_defines_a_name_twice_in_one_scope() -> None:
    twice = {
        str(module.relative_to(ROOT)): names
        for module in MODULES
        if (names := defined_twice(module.read_text(encoding="utf-8")))
    }
    assert twice == {}


def imported_tests(source: str) -> list[str]:
    """The modules with tests in them from which a module takes anything."""
    named: list[str] = []
    for each in ast.walk(ast.parse(source)):
        if isinstance(each, ast.Import):
            named += [name.name for name in each.names]
        elif isinstance(each, ast.ImportFrom) and each.module:
            named += [each.module, *(f"{each.module}.{name.name}" for name in each.names)]
    return [name for name in named if name.rpartition(".")[2].startswith(("test_", "bench_"))]


@pytest.mark.parametrize(
    ("source", "modules"),
    [
        ("from tests.papers.test_papers import card_of", ["tests.papers.test_papers"]),
        ("from tests.bench import bench_use", ["tests.bench.bench_use"]),
        ("import tests.test_wheel", ["tests.test_wheel"]),
        ("from tests.builders.make import TODAY", []),
    ],
)
def test_an_import_from_a_module_with_tests_is_found(source: str, modules: list[str]) -> None:
    assert imported_tests(source) == modules


def test_what_several_tests_need_stands_with_the_builders() -> None:
    taken = {
        str(module.relative_to(ROOT)): modules
        for module in MODULES
        if (modules := imported_tests(module.read_text(encoding="utf-8")))
    }
    assert taken == {}


def options_named(source: str) -> list[str]:
    """The strings of a module that name an option of the command line; docstrings do not count."""
    tree = ast.parse(source)
    told = {each.value for each in ast.walk(tree) if isinstance(each, ast.Expr)}
    return [
        each.value
        for each in ast.walk(tree)
        if isinstance(each, ast.Constant) and isinstance(each.value, str) and each not in told
        if re.search(r"--[a-z]", each.value)
    ]


@pytest.mark.parametrize(
    ("source", "strings"),
    [
        ('raise ValueError("leave --on out")', ["leave --on out"]),
        ('print(f"--on {day}: is a Sunday")', ["--on "]),
        ('def day():\n    """By --on."""\n', []),
        ('print("a -- b", "2026-11-25")', []),
    ],
)
def test_a_string_that_names_an_option_is_found(source: str, strings: list[str]) -> None:
    assert options_named(source) == strings


@pytest.mark.parametrize("part", ["core", "papers", "shop", "sources"])
def test_no_option_is_named_where_there_is_no_command_line(part: str) -> None:
    named = {
        str(module.relative_to(ROOT)): strings
        for module in (ROOT / "oilchart" / part).rglob("*.py")
        if (strings := options_named(module.read_text(encoding="utf-8")))
    }
    assert named == {}

"""The table of counts and the tests it speaks of are the same, and each count does what it says."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.counts import COUNTS, FULL, LEAST, SHORT, count_of, counted

TESTS = Path(__file__).resolve().parent


def functions() -> Iterator[tuple[str, ast.FunctionDef]]:
    """Every test function, with its file."""
    for file in sorted([*TESTS.rglob("test_*.py"), *TESTS.rglob("bench_*.py")]):
        for node in ast.parse(file.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
                yield str(file.relative_to(TESTS)), node


def decorators(test: ast.FunctionDef) -> set[str]:
    """The names of what decorates a test."""
    called = [each.func if isinstance(each, ast.Call) else each for each in test.decorator_list]
    return {each.id for each in called if isinstance(each, ast.Name)}


def asks(test: ast.FunctionDef) -> bool:
    """Whether a test takes its number from the table."""
    return (
        "counted" in decorators(test)
        or any(each.arg == "tries" for each in test.args.args)
        or any(
            isinstance(node, ast.Call) and ast.unparse(node) == f"count_of({test.name!r})"
            for node in ast.walk(test)
        )
    )


def tries_so_often(test: ast.FunctionDef) -> bool:
    """Whether a test tries made-up cases or goes round often by a number of its own."""
    loops = [node.iter for node in ast.walk(test) if isinstance(node, ast.For)]
    tables = [
        node
        for decorator in test.decorator_list
        if isinstance(decorator, ast.Call)
        for node in decorator.args
    ]
    return "given" in decorators(test) or any(
        isinstance(node, ast.Call)
        and ast.unparse(node.func) == "range"
        and len(node.args) == 1  # from 1 on it would be all months or the like, not tries
        and isinstance(end := node.args[0], ast.Constant)
        and isinstance(end.value, int)
        and end.value >= LEAST
        for node in [*loops, *tables]
    )


def test_each_entry_has_one_test_and_each_test_that_asks_for_its_number_an_entry() -> None:
    assert sorted(test.name for _, test in functions() if asks(test)) == sorted(COUNTS)


def test_no_test_tries_by_a_number_of_its_own() -> None:
    assert [
        (file, test.name) for file, test in functions() if tries_so_often(test) and not asks(test)
    ] == []


@pytest.mark.parametrize("name", COUNTS)
def test_a_short_count_is_enough_and_no_larger_than_the_full_one(name: str) -> None:
    short, full = COUNTS[name]
    assert LEAST <= short <= full


@pytest.mark.parametrize(("profile", "at"), [(SHORT, 0), (FULL, 1)])
def test_a_run_tries_as_often_as_its_profile_says_and_the_same_each_time(
    profile: str, at: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    running = settings.get_current_profile_name()
    monkeypatch.setitem(COUNTS, "tried", (25, 60))
    settings.load_profile(profile)
    try:
        assert count_of("tried") == (25, 60)[at]
        seen = [drawn(), drawn()]
    finally:
        settings.load_profile(running)
    assert len(seen[0]) == (25, 60)[at]
    assert seen[0] == seen[1]


def drawn() -> list[int]:
    """The numbers that a counted test is tried with."""
    numbers: list[int] = []

    @counted
    @given(st.integers())
    def tried(number: int) -> None:
        numbers.append(number)

    tried()
    return numbers

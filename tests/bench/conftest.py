"""Benchmarks measure the program as it is."""

from __future__ import annotations

import pytest


@pytest.fixture
def lists_that_come_along_are_read_once() -> None:
    """Not here: reading them is part of what is measured."""


@pytest.fixture
def statements_are_compiled_once() -> None:
    """Nor here."""

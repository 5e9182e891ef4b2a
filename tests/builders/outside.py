"""Finds what comes from outside for a test: a module, a tool or a folder, or the reason why the
test is skipped."""

from __future__ import annotations

import importlib.util
import os
import shutil
from pathlib import Path
from typing import NoReturn

import pytest


def need(name: str) -> str:
    """Look for a module or a tool that a test cannot do without.

    Returns:
        Where a tool lies, or a module's own name.

    A test skips without it, unless OILCHART_NOTHING_SKIPPED is set, as in CI: then it fails.
    """
    tool = shutil.which(name)
    if tool is not None:
        return tool
    if importlib.util.find_spec(name) is not None:
        return name
    return _missing(f"{name}, which is not installed here")


def need_folder(variable: str, what: str) -> Path:
    """Look for a folder that a test cannot do without, named in the environment; the test skips or
    fails without it as with `need`."""
    folder = os.environ.get(variable)
    return Path(folder) if folder else Path(_missing(f"{what}: {variable} names no folder"))


def _missing(what: str) -> NoReturn:
    """Skip the test, or fail it where nothing may be skipped."""
    if os.environ.get("OILCHART_NOTHING_SKIPPED"):
        pytest.fail(f"needs {what}", pytrace=False)
    pytest.skip(f"needs {what}", allow_module_level=True)

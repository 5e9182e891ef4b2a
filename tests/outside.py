"""Finds what comes from outside for a test: a module or a tool, or the reason why the test is skipped."""

from __future__ import annotations

import importlib.util
import os
import shutil

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
    reason = f"needs {name}, which is not installed here"
    if os.environ.get("OILCHART_NOTHING_SKIPPED"):
        pytest.fail(reason, pytrace=False)
    pytest.skip(reason, allow_module_level=True)

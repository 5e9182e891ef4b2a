"""Values that may be missing and must not be: given back as they are, or the test fails and says
what is missing."""

from __future__ import annotations

from datetime import date
from typing import TypeVar

import pytest

from oilchart.core.due.due_dates import Window

Value = TypeVar("Value")


def the(value: Value | None, what: str = "value") -> Value:
    """The value, which must be there."""
    if value is None:
        pytest.fail(f"there is no {what}")
    return value


def earliest(window: Window | None) -> date:
    """The first day of a window that has one."""
    return the(the(window, "window").earliest, "earliest day")


def likely(window: Window | None) -> date:
    """The likely day of a window that has one."""
    return the(the(window, "window").likely, "likely day")


def latest(window: Window | None) -> date:
    """The last day of a window that has one."""
    return the(the(window, "window").latest, "latest day")


def careful(window: Window | None) -> date:
    """The careful day of a window that has one."""
    return the(the(window, "window").careful, "careful day")

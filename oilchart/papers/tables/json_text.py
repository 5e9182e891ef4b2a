"""How values of lists and schedules are written as JSON; keys are what other programs rely on."""

from __future__ import annotations

import json
from datetime import date
from fractions import Fraction
from typing import Any

from oilchart.core.due.due_dates import Window


def json_text(value: Any) -> str:
    """A value as JSON text; days are written like 2026-11-25."""
    return json.dumps(value, ensure_ascii=False, indent=2, default=date.isoformat) + "\n"


def window_json(due: Window) -> dict[str, date | None]:
    """A due window."""
    return {
        "earliest": due.earliest,
        "careful": due.careful,
        "likely": due.likely,
        "latest": due.latest,
    }


def rounded(number: Fraction, decimals: int = 2) -> float | int:
    """A number rounded half to even; whole ones without a point."""
    close = round(number, decimals)
    return int(close) if close.denominator == 1 else float(close)

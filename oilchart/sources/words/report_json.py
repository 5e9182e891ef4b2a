"""A report of use as it is kept: JSON of what was understood, beside the owner's words."""

from __future__ import annotations

import json
from datetime import date
from fractions import Fraction
from functools import lru_cache
from typing import Any

from oilchart.core.days import Span
from oilchart.core.units import Unit
from oilchart.core.use.report import Oiling, Rate, Reading, Report, SewingPace, Total


def understood_json(report: Report) -> str:
    """What was understood, as JSON; what was not said is left out."""
    rate, total, reading = report.rate, report.total, report.reading
    understood: dict[str, Any] = {
        "reckoned": report.conversion or None,
        "rate": rate and [rate.low, rate.high, *(["year"] if rate.yearly else [])],
        "total": total and [total.low, total.high, total.since.isoformat()],
        "reading": reading and [str(reading.amount), reading.unit, reading.new_meter],
        "idle_months": None if report.idle_months is None else sorted(report.idle_months),
        "weights": report.weights,
        "idle_spans": [[span.first.isoformat(), span.end.isoformat()] for span in report.idle_spans]
        or None,
        "zigzag_share": None if report.zigzag_share is None else str(report.zigzag_share),
        "pace": report.pace,
        "oiling": report.oiling,
        "sewing_days": None if report.sewing_days is None else str(report.sewing_days),
        "unclear": report.unclear or None,
    }
    return json.dumps(
        {key: value for key, value in understood.items() if value is not None}, sort_keys=True
    )


def recall(said: date, words: str, understood: str) -> Report:
    """The report that was kept.

    Raises:
        ValueError: it is damaged.
    """
    try:
        return Report(said=said, words=words, **_understood(understood))
    except (ArithmeticError, AttributeError, LookupError, TypeError) as other_shape:
        raise ValueError(f"not as it is kept: {other_shape}") from other_shape


@lru_cache(maxsize=4_096)
def _understood(understood: str) -> dict[str, Any]:
    """The values of a report; read once for owners who say the same."""
    kept = json.loads(understood, parse_float=_no_float)
    rate, total, reading = kept.get("rate"), kept.get("total"), kept.get("reading")
    return {
        "conversion": kept.get("reckoned", ""),
        "rate": None
        if rate is None
        else Rate(low=int(rate[0]), high=int(rate[1]), yearly=rate[2:] == ["year"]),
        "total": None
        if total is None
        else Total(low=int(total[0]), high=int(total[1]), since=date.fromisoformat(total[2])),
        "reading": None
        if reading is None
        else Reading(amount=Fraction(reading[0]), unit=Unit(reading[1]), new_meter=reading[2]),
        "idle_months": None if "idle_months" not in kept else frozenset(kept["idle_months"]),
        "weights": None if "weights" not in kept else tuple(kept["weights"]),
        "idle_spans": tuple(
            Span(first=date.fromisoformat(a), end=date.fromisoformat(b))
            for a, b in kept.get("idle_spans", ())
        ),
        "zigzag_share": None if "zigzag_share" not in kept else Fraction(kept["zigzag_share"]),
        "pace": None if "pace" not in kept else SewingPace(kept["pace"]),
        "oiling": None if "oiling" not in kept else Oiling(kept["oiling"]),
        "sewing_days": None if "sewing_days" not in kept else Fraction(kept["sewing_days"]),
        "unclear": _text(kept.get("unclear", "")),
    }


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError(f"not a text: {value}")
    return value


def _no_float(digits: str) -> int:
    """Amounts are whole numbers; anything else is damage."""
    raise ValueError(f"not a whole number: {digits}")

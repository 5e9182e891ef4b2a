"""Knows how a report of use is kept, as JSON of what was understood beside the owner's words, and
how it is said again in plain words."""

from __future__ import annotations

import json
from datetime import date
from fractions import Fraction
from functools import lru_cache
from math import gcd
from typing import Any

from oilchart.core.days import ONE_DAY, Span, month_stretches
from oilchart.core.units import HOUR, Ticks, Unit
from oilchart.core.use.report import Oiling, Rate, Reading, Report, SewingPace, Total

_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_DECIMALS = 9  # of hours: finer than a tick
_SHARES = {
    Fraction(0): "no",
    Fraction(1, 4): "a quarter",
    Fraction(1, 3): "a third",
    Fraction(1, 2): "half",
    Fraction(7, 10): "mostly",
    Fraction(1): "all",
}


def keep(report: Report) -> str:
    """What was understood, as JSON; what was not said is left out."""
    rate, total, reading = report.rate, report.total, report.reading
    understood: dict[str, Any] = {
        "reckoned": report.reckoned or None,
        "rate": rate and [rate.low, rate.high],
        "total": total and [total.low, total.high, total.since.isoformat()],
        "reading": reading and [str(reading.amount), reading.unit, reading.new_meter],
        "idle_months": None if report.idle_months is None else sorted(report.idle_months),
        "weights": report.weights,
        "idle_spans": [[span.first.isoformat(), span.end.isoformat()] for span in report.idle_spans]
        or None,
        "zigzag_share": None if report.zigzag_share is None else str(report.zigzag_share),
        "pace": report.pace,
        "oiling": report.oiling,
    }
    return json.dumps(
        {key: value for key, value in understood.items() if value is not None}, sort_keys=True
    )


def recall(said: date, words: str, understood: str) -> Report:
    """The report that was kept.

    Raises:
        ValueError, KeyError, IndexError, TypeError: it is damaged.
    """
    return Report(said=said, words=words, **_understood(understood))


@lru_cache(maxsize=4_096)
def _understood(understood: str) -> dict[str, Any]:
    """The values of a report; read once for owners who say the same."""
    kept = json.loads(understood, parse_float=_no_float)
    rate, total, reading = kept.get("rate"), kept.get("total"), kept.get("reading")
    return {
        "reckoned": kept.get("reckoned", ""),
        "rate": None if rate is None else Rate(low=int(rate[0]), high=int(rate[1])),
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
    }


def _no_float(digits: str) -> int:
    """Amounts are whole numbers; anything else is damage."""
    raise ValueError(f"not a whole number: {digits}")


def say(report: Report) -> str:
    """A report in the plain words of the grammar; read again on the same day they give the same
    report."""
    parts = [*_amounts(report), *_rests(report), *_seasons(report)]
    if report.zigzag_share is not None:
        parts.append(
            f"{_SHARES.get(report.zigzag_share) or _decimal(report.zigzag_share * 100) + '%'} zigzag"
        )
    parts += [habit for habit in (report.pace, report.oiling) if habit is not None]
    return "; ".join(parts)


def _amounts(report: Report) -> list[str]:
    parts = []
    if report.rate is not None:
        parts.append(
            "none"
            if report.rate.high == 0
            else f"{_hours(report.rate.low, report.rate.high)} a day"
        )
    if report.total is not None:
        parts.append(f"{_hours(report.total.low, report.total.high)} since {report.total.since}")
    if report.reading is not None:
        new = "new " if report.reading.new_meter else ""
        parts.append(f"{new}meter {_decimal(report.reading.amount)} {report.reading.unit}")
    return parts


def _rests(report: Report) -> list[str]:
    parts = [f"idle {span.first} to {span.end - ONE_DAY}" for span in report.idle_spans]
    if report.idle_months is not None:
        parts += [f"idle {stretch}" for stretch in _stretches(report.idle_months)] or ["no rests"]
    return parts


def _seasons(report: Report) -> list[str]:
    """The months that are busier than the least busy ones."""
    if report.weights is None:
        return []
    least = min(report.weights)
    parts = []
    for weight in sorted(set(report.weights) - {least}):
        months = frozenset(
            month for month, each in enumerate(report.weights, start=1) if each == weight
        )
        parts += [f"busy {stretch} x{_ratio(weight, least)}" for stretch in _stretches(months)]
    return parts or ["no seasons"]


def _stretches(months: frozenset[int]) -> list[str]:
    """Jul-Aug, Nov-Feb, May."""
    pairs = [(_MONTHS[first - 1], _MONTHS[last - 1]) for first, last in month_stretches(months)]
    return [first if first == last else f"{first}-{last}" for first, last in pairs]


def _ratio(weight: int, least: int) -> str:
    common = gcd(weight, least)
    up, down = weight // common, least // common
    return str(up) if down == 1 else f"{up}/{down}"


def _hours(low: Ticks, high: Ticks) -> str:
    first, last = _enough(low), _enough(high)
    return f"{first} hours" if low == high else f"{first}-{last} hours"


def _enough(amount: Ticks) -> str:
    """The fewest hours, in decimals finer than a tick, that are floored to these ticks."""
    scale = 10**_DECIMALS
    return _decimal(Fraction(-(-amount * scale // HOUR), scale))


def _decimal(number: Fraction) -> str:
    """A number that ends within the decimals, without needless zeros."""
    whole, part = divmod(round(number * 10**_DECIMALS), 10**_DECIMALS)
    return f"{whole}.{part:0{_DECIMALS}}".rstrip("0").rstrip(".")

"""Says a report again in the words of the grammar, so that reading can be tried on any report."""

from __future__ import annotations

from fractions import Fraction
from math import gcd

from oilchart.core.days import ONE_DAY, month_stretches
from oilchart.core.units import HOUR, Ticks
from oilchart.core.use.report import Report

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


def say(report: Report) -> str:
    """A report in the plain words of the grammar; read again on the same day they give the same
    report."""
    parts = [*_amounts(report), *_rests(report), *_seasons(report)]
    if report.zigzag_share is not None:
        percent = f"{_decimal(report.zigzag_share * 100)}%"
        parts.append(f"{_SHARES.get(report.zigzag_share, percent)} zigzag")
    if report.sewing_days is not None:
        parts.append(f"on {_decimal(report.sewing_days)} days a week")
    parts += [habit for habit in (report.pace, report.oiling) if habit is not None]
    if report.rate is not None and report.rate.high * 7 > 80 * HOUR:
        parts.append("yes")  # so much is asked about
    return "; ".join(parts)


def _amounts(report: Report) -> list[str]:
    parts = []
    if report.rate is not None:
        days, period = (365, "year") if report.rate.yearly else (1, "day")
        hours = _hours(report.rate.low * days, report.rate.high * days)
        parts.append("none" if report.rate.high == 0 else f"{hours} a {period}")
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

"""Knows what an owner can say about their sewing: rates, totals, meter readings, rests and seasons, with the day it was said.

Use is counted in ticks: whole numbers, so that every rate a day, week, month or year to two decimals of an hour is a whole number of
ticks a day and no due date is lost to rounding.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from oilchart.core.days import Span

Ticks = int  # 1 hour at the machine = HOUR ticks
HOUR: Ticks = 7 * 365 * 14_400
DAY_HOURS = 24
FLAT_YEAR = (1,) * 12  # season weights of a year without seasons
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)  # leap years weigh as common ones

PERIOD_DAYS = {
    "day": Fraction(1),
    "week": Fraction(7),
    "month": Fraction(365, 12),
    "year": Fraction(365),
}


def ticks(hours: Fraction) -> Ticks:
    """Turn hours into ticks, floored so that an exact landing never loses a day."""
    return int(hours * HOUR // 1)


def ticks_a_day(hours: Fraction, period: str) -> Ticks:
    """Turn "hours a day, week, month or year" into ticks a day, floored; a month is 365/12 days, a year 365."""
    return int(hours * HOUR / PERIOD_DAYS[period] // 1)


def hours_a_week(ticks_each_day: Ticks) -> Fraction:
    """Turn ticks a day back into hours a week, exactly."""
    return Fraction(ticks_each_day * 7, HOUR)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """Hours at the machine over a stretch of time, as ticks a day averaged over a year; about 1 in 10 below `low`, 1 in 10 above `high`."""

    low: Ticks
    high: Ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class Total:
    """Ticks used from the start of day `since` up to the day it was said."""

    low: Ticks
    high: Ticks
    since: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a meter showed on the day it was said, in ticks; `new_meter` starts a meter of its own."""

    shown: Ticks
    new_meter: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """What an owner said on one day: their words and what was understood.

    Args:
        idle_months: months (1-12) in which the machine rests every year; None says nothing, an empty set says "no rests".
        weights: season weights of the twelve months; None says nothing, all equal says "no seasons".
        idle_spans: dated rests; they hold whatever is said later.
    """

    said: date
    words: str
    rate: Rate | None = None
    total: Total | None = None
    reading: Reading | None = None
    idle_months: frozenset[int] | None = None
    weights: tuple[int, ...] | None = None
    idle_spans: tuple[Span, ...] = field(default=())

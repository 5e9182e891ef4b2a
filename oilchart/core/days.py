"""Calendar days: months that clamp at their end, spans of days, and a shop's open days.

A day is a `date`; there is no clock time and no zone. What happens "on day d" takes effect at the
start of d.
"""

from __future__ import annotations

import calendar
from bisect import bisect_right
from collections.abc import Iterable
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum

ONE_DAY = timedelta(days=1)
SHORTEST_MONTH_DAYS = 28
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
MONDAY_TO_FRIDAY = frozenset(range(5))


class DayOrder(StrEnum):
    """Which of day and month is written first, where a day is written in figures."""

    DAY_FIRST = "day first"
    MONTH_FIRST = "month first"


def day_words(day: date) -> str:
    """Wednesday 14 October 2026."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {MONTHS[day.month - 1]} {day.year}"


def add_months(day: date, months: int) -> date:
    """Go forward by whole months, clamped to the end of the month reached.

    31 January + 1 month is 28 or 29 February; 29 February 2024 + 12 months is 28 February 2025.
    Days past the year 9999 give `date.max`.
    """
    year, month0 = divmod(day.year * 12 + day.month - 1 + months, 12)
    if year > date.max.year:
        return date.max
    if day.day <= SHORTEST_MONTH_DAYS:
        return date(year, month0 + 1, day.day)
    last = calendar.monthrange(year, month0 + 1)[1]
    return date(year, month0 + 1, min(day.day, last))


def add_days(day: date, days: int) -> date:
    """Go forward by days, or back; days past the year 9999 give `date.max`, those before the year 1
    `date.min`."""
    ordinal = day.toordinal() + days
    return date.fromordinal(min(max(ordinal, 1), date.max.toordinal()))


def month_stretches(months: AbstractSet[int]) -> list[tuple[int, int]]:
    """First and last month (1-12) of each stretch of months without a gap.

    A stretch may run over the turn of the year. All twelve months have no gap to begin after: no
    stretch.
    """
    stretches = []
    for first in sorted(month for month in months if (month - 2) % 12 + 1 not in months):
        length = next(
            length for length in range(1, 12) if (first + length - 1) % 12 + 1 not in months
        )
        stretches.append((first, (first + length - 2) % 12 + 1))
    return stretches


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A half-open stretch of days: `first` belongs to it, `end` does not."""

    first: date
    end: date


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenDays:
    """The days on which the shop works at the bench and on the telephone.

    Args:
        weekdays: Monday is 0; at least one.
        closures: spans in which the shop is shut.
        holidays: single days on which it is shut, too.
    """

    weekdays: frozenset[int] = MONDAY_TO_FRIDAY
    closures: tuple[Span, ...] = ()
    holidays: frozenset[date] = frozenset()
    _shut: tuple[tuple[date, ...], tuple[date, ...]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        shut = merged(self.closures)
        firsts, ends = tuple(span.first for span in shut), tuple(span.end for span in shut)
        object.__setattr__(self, "_shut", (firsts, ends))

    def is_open(self, day: date) -> bool:
        """Say whether the shop works on this day."""
        if day.weekday() not in self.weekdays or day in self.holidays:
            return False
        return self._closure(day) is None

    def latest_open(self, day: date) -> date:
        """Find the latest open day not after this one; `date.min` where there is none."""
        while not self.is_open(day) and day > date.min:
            shut = self._closure(day)
            day = add_days(day if shut is None else shut.first, -1)
        return day

    def first_open(self, day: date) -> date:
        """Find the first open day not before this one; `date.max` where there is none."""
        while not self.is_open(day) and day < date.max:
            shut = self._closure(day)
            day = add_days(day, 1) if shut is None else shut.end
        return day

    def _closure(self, day: date) -> Span | None:
        """The closure a day lies in, with those that it touches."""
        firsts, ends = self._shut
        at = bisect_right(firsts, day) - 1
        if at < 0 or day >= ends[at]:
            return None
        return Span(first=firsts[at], end=ends[at])


def merged(spans: Iterable[Span]) -> list[Span]:
    """The same days as spans that neither overlap nor touch, by their first day."""
    found: list[Span] = []
    for span in sorted(spans, key=lambda each: (each.first, each.end)):
        if found and span.first <= found[-1].end:
            if span.end > found[-1].end:
                found[-1] = Span(first=found[-1].first, end=span.end)
        elif span.first < span.end:
            found.append(span)
    return found


def months_words(months: AbstractSet[int]) -> str:
    """July and August; November to February."""
    if len(months) == len(MONTHS):
        return "every month"
    stretches = []
    for first, last in month_stretches(months):
        names = [MONTHS[first - 1], MONTHS[last - 1]]
        between = "and" if last == first % 12 + 1 else "to"
        stretches.append(names[0] if first == last else f"{names[0]} {between} {names[1]}")
    return "; ".join(stretches)

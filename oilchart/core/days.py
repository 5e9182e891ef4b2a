"""Calendar days: months that clamp at their end, spans of days, and a shop's open days.

A day is a `date`; there is no clock time and no zone. What happens "on day d" takes effect at the
start of d.
"""

from __future__ import annotations

import calendar
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, timedelta

ONE_DAY = timedelta(days=1)
SHORTEST_MONTH_DAYS = 28
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip
MONDAY_TO_FRIDAY = frozenset(range(5))


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
    """Go forward by days; days past the year 9999 give `date.max`."""
    ordinal = day.toordinal() + days
    return date.max if ordinal > date.max.toordinal() else date.fromordinal(ordinal)


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

    def is_open(self, day: date) -> bool:
        """Say whether the shop works on this day."""
        if day.weekday() not in self.weekdays or day in self.holidays:
            return False
        return not any(shut.first <= day < shut.end for shut in self.closures)

    def latest_open(self, day: date) -> date:
        """Find the latest open day not after this one."""
        while not self.is_open(day):
            day -= ONE_DAY
        return day

    def first_open(self, day: date) -> date:
        """Find the first open day not before this one."""
        while not self.is_open(day):
            day += ONE_DAY
        return day

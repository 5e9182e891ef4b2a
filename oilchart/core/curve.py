"""Knows the use of a machine up to any day as a piecewise linear curve, and its exact inverse in closed form.

H(d) is the use up to the start of day d, in whole ticks a day on every stretch of days.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from oilchart.core.report import Ticks

LAST_DAY = date.max.toordinal()


@dataclass(frozen=True, slots=True)
class Curve:
    """Use up to the start of each day, for one of the three cases.

    Args:
        days: first days of the stretches, as ordinals, rising; the last one begins the tail.
        used: ticks used up to the start of each of `days`.
        rates: ticks a day in each stretch; one fewer than `days`.
        tail: ticks a day from the last of `days` on, by calendar month.
    """

    days: tuple[int, ...]
    used: tuple[Ticks, ...]
    rates: tuple[Ticks, ...]
    tail: tuple[Ticks, ...]

    def used_before(self, day: int) -> Ticks:
        """Ticks used up to the start of a day, not before the first day of the curve."""
        if day < self.days[-1]:
            at = bisect_right(self.days, day) - 1
            return self.used[at] + self.rates[at] * (day - self.days[at])
        total = self.used[-1]
        for first, end, rate in self._tail_stretches():
            if day <= end:
                return total + rate * (day - first)
            total += rate * (end - first)
        return total

    def last_day_within(self, limit: Ticks) -> int | None:
        """Find the last day at whose start no more than `limit` has been used; a rest is flat, so it is taken to its end.

        Args:
            limit: ticks, not below the use at the start of the first day.

        Returns:
            None where the use never passes the limit before the year 9999.
        """
        if limit < self.used[-1]:
            at = bisect_right(self.used, limit) - 1
            return self.days[at] + (limit - self.used[at]) // self.rates[at]
        if not any(self.tail):
            return None
        total = self.used[-1]
        for first, end, rate in self._tail_stretches():
            after = total + rate * (end - first)
            if after > limit:
                return first + (limit - total) // rate
            total = after
        return None

    def _tail_stretches(self) -> Iterable[tuple[int, int, Ticks]]:
        """Yield first day, end and ticks a day of each stretch of the tail, to the year 9999."""
        first = self.days[-1]
        if len(set(self.tail)) == 1:
            yield first, LAST_DAY + 1, self.tail[0]
            return
        while first <= LAST_DAY:
            day = date.fromordinal(first)
            end = next_month(day)
            yield first, end, self.tail[day.month - 1]
            first = end


@dataclass(frozen=True, slots=True)
class Curves:
    """The three curves of one machine; on no day is `low` above `likely` or `likely` above `high`."""

    low: Curve
    likely: Curve
    high: Curve


def next_month(day: date) -> int:
    """The first day of the month after a day, as an ordinal."""
    if day.month < 12:
        return day.replace(month=day.month + 1, day=1).toordinal()
    return LAST_DAY + 1 if day.year == date.max.year else date(day.year + 1, 1, 1).toordinal()

"""Knows the use of a machine up to any day as a piecewise linear curve, and its exact inverse in closed form.

H(d) is the use up to the start of day d, in whole ticks a day on every stretch of days.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from itertools import chain

from oilchart.core.units import Ticks

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

    def stretches(self, first: int, end: int) -> list[tuple[int, int, Ticks]]:
        """First day, end and ticks a day of each stretch without change between two days, not before the first day of the curve."""
        inner = zip(self.days, self.days[1:], self.rates, strict=False)
        found: list[tuple[int, int, Ticks]] = []
        for start, stop, rate in chain(inner, self._tail_stretches()):
            if start >= end:
                break
            if stop <= first:
                continue
            if found and found[-1][2] == rate:
                found[-1] = (found[-1][0], min(stop, end), rate)
            else:
                found.append((max(start, first), min(stop, end), rate))
        return found

    def _tail_stretches(self) -> Iterable[tuple[int, int, Ticks]]:
        """Yield first day, end and ticks a day of each stretch of the tail, to the year 9999."""
        first = self.days[-1]
        if len(set(self.tail)) == 1:
            yield first, LAST_DAY + 1, self.tail[0]
            return
        month = date.fromordinal(first).month
        for end in month_starts(first):
            yield first, end, self.tail[month - 1]
            first, month = end, month % 12 + 1


@dataclass(frozen=True, slots=True)
class Curves:
    """The three curves of one machine; on no day is `low` above `likely` or `likely` above `high`."""

    low: Curve
    likely: Curve
    high: Curve


def month_starts(after: int) -> Iterable[int]:
    """Yield the first day of every month after a day, as ordinals, and last the day after the year 9999."""
    day = date.fromordinal(after)
    year, month = day.year, day.month
    while year <= date.max.year:
        month += 1
        if month > 12:
            year, month = year + 1, 1
        yield date(year, month, 1).toordinal() if year <= date.max.year else LAST_DAY + 1

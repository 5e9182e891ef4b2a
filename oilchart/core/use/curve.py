"""The use of a machine up to any day, as a piecewise linear curve with its exact inverse.

H(d) is the use up to the start of day d, in whole ticks a day on every stretch of days.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from itertools import accumulate, chain, pairwise
from operator import mul

from oilchart.core.units import Ticks

LAST_DAY = date.max.toordinal()
LONGEST_MONTH = 31
MONTHS_A_YEAR = 12


class Tail:
    """Use after the last day that anything was said of, by the calendar month alone.

    Its months are added up a year at a time, as far as they are asked for.

    Args:
        first: its first day, as an ordinal.
        rates: ticks a day of the twelve months.
    """

    def __init__(self, first: int, rates: tuple[Ticks, ...]) -> None:
        self._rate = rates[0] if len(set(rates)) == 1 else None  # where all months are alike
        self._rates = rates
        self._month = date.fromordinal(first).month
        self._days = [first]  # first days of its months, the first of them cut
        self._used: list[Ticks] = [0]  # up to the start of each of these days

    def used_before(self, day: int) -> Ticks:
        """Ticks used from its first day up to the start of a day; none after the year 9999."""
        day = min(day, LAST_DAY + 1)
        if self._rate is not None:
            return self._rate * (day - self._days[0])
        while self._days[-1] < day:
            self._add_year()
        at = bisect_right(self._days, day) - 1
        return self._used[at] + self._rate_of(at) * (day - self._days[at])

    def last_day_within(self, limit: Ticks) -> int | None:
        """The last day at whose start no more than `limit` ticks have been used.

        Returns:
            An ordinal; None where it is past the year 9999.
        """
        first = self._days[0]
        if self._rate is not None:
            if self._rate * (LAST_DAY + 1 - first) <= limit:
                return None
            return first + limit // self._rate
        while self._used[-1] <= limit:
            if self._days[-1] > LAST_DAY or self._most_to_come() <= limit:
                return None
            self._add_year()
        at = bisect_right(self._used, limit) - 1
        return self._days[at] + (limit - self._used[at]) // self._rate_of(at)

    def stretches(self) -> Iterable[tuple[int, int, Ticks]]:
        """Yield first day, end and ticks a day of each stretch, to the year 9999."""
        if self._rate is not None:
            yield self._days[0], LAST_DAY + 1, self._rate
            return
        at = 0
        while self._days[at] <= LAST_DAY:
            if at + 1 == len(self._days):
                self._add_year()
            yield self._days[at], self._days[at + 1], self._rate_of(at)
            at += 1

    def _rate_of(self, at: int) -> Ticks:
        return self._rates[(self._month - 1 + at) % MONTHS_A_YEAR]

    def _most_to_come(self) -> Ticks:
        """No less than what is used up to the year 9999."""
        years = date.max.year + 1 - date.fromordinal(self._days[-1]).year
        return self._used[-1] + sum(self._rates) * LONGEST_MONTH * years

    def _add_year(self) -> None:
        """Add the months up to the end of the last one's year."""
        month = (self._month + len(self._days) - 2) % MONTHS_A_YEAR
        ends = _month_ends(date.fromordinal(self._days[-1]).year)[month:]
        lengths = [end - start for start, end in pairwise((self._days[-1], *ends))]
        self._used += list(
            accumulate(map(mul, self._rates[month:], lengths), initial=self._used[-1])
        )[1:]
        self._days += ends


@dataclass(frozen=True, slots=True)
class Curve:
    """Use up to the start of each day, for one case.

    Args:
        days: first days of the stretches, as ordinals, rising; the last one begins the tail.
        used: ticks used up to the start of each of `days`.
        rates: ticks a day in each stretch; one fewer than `days`.
        tail: what is used from the last of `days` on.
    """

    days: tuple[int, ...]
    used: tuple[Ticks, ...]
    rates: tuple[Ticks, ...]
    tail: Tail

    def used_before(self, day: int) -> Ticks:
        """Ticks used up to the start of a day, not before the first day of the curve."""
        if day < self.days[-1]:
            at = bisect_right(self.days, day) - 1
            return self.used[at] + self.rates[at] * (day - self.days[at])
        return self.used[-1] + self.tail.used_before(day)

    def last_day_within(self, limit: Ticks) -> int | None:
        """Find the last day at whose start no more than `limit` ticks have been used.

        A rest is flat, so it is taken to its end.

        Args:
            limit: not below the use at the start of the first day.

        Returns:
            An ordinal; None where the use never passes the limit before the year 9999.
        """
        if limit < self.used[-1]:
            at = bisect_right(self.used, limit) - 1
            return self.days[at] + (limit - self.used[at]) // self.rates[at]
        return self.tail.last_day_within(limit - self.used[-1])

    def stretches(self, first: int, end: int) -> list[tuple[int, int, Ticks]]:
        """First day, end and ticks a day of each stretch without change between two days.

        Args:
            first: an ordinal, not before the first day of the curve.
        """
        inner = zip(self.days, self.days[1:], self.rates, strict=False)
        found: list[tuple[int, int, Ticks]] = []
        for start, stop, rate in chain(inner, self.tail.stretches()):
            if start >= end:
                break
            if stop <= first:
                continue
            if found and found[-1][2] == rate:
                found[-1] = (found[-1][0], min(stop, end), rate)
            else:
                found.append((max(start, first), min(stop, end), rate))
        return found


@dataclass(frozen=True, slots=True)
class Curves:
    """The curves of one machine; on no day is a lower one above a higher one.

    Args:
        least: the low one, but on each day no less than a tenth of the high one; for the chance of
            being past a limit alone.
        careful: between likely and high; about 1 owner in 4 sews more.
    """

    low: Curve
    least: Curve
    likely: Curve
    careful: Curve
    high: Curve


def month_starts(after: int) -> Iterable[int]:
    """Yield the first day of every month after a day, as ordinals; last the day after 9999."""
    day = date.fromordinal(after)
    yield from _month_ends(day.year)[day.month - 1 :]
    for year in range(day.year + 1, date.max.year + 1):
        yield from _month_ends(year)


@lru_cache(maxsize=256)
def _month_ends(year: int) -> tuple[int, ...]:
    """The day after each month of a year, as ordinals."""
    firsts = [date(year, month, 1).toordinal() for month in range(2, MONTHS_A_YEAR + 1)]
    return (*firsts, LAST_DAY + 1 if year == date.max.year else date(year + 1, 1, 1).toordinal())

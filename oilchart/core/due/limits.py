"""The limits of one interval where they change: how a machine is worked may change between two
times of the work at a point.

Each stretch of days uses up a share of the limit that holds in it. By use that is the use over the
limit; by time each day is one of the days that the limit at rest would give, counted from the work.
Due is the last day up to which no more than the whole is used up. All is reckoned exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from oilchart.core.days import add_days
from oilchart.core.point_lists.interval import Allowance
from oilchart.core.units import Ticks
from oilchart.core.use.curve import Curve

WHOLE = Fraction(1)


@dataclass(frozen=True, slots=True)
class Limits:
    """What an interval comes to, day by day.

    Args:
        stretches: the first day from which each holds, rising, the first being the first day there
            is; no two neighbours are alike.
    """

    stretches: tuple[tuple[date, Allowance], ...]

    @property
    def now(self) -> Allowance:
        """What it comes to as the machine is worked now."""
        return self.stretches[-1][1]

    def since(self, done: date) -> Allowance | None:
        """What holds on all days from one on; None where that changes."""
        return self.now if self.stretches[-1][0] <= done or len(self.stretches) == 1 else None

    def due_by_use(self, curve: Curve, done: date) -> date | None:
        """The last day in time by use; None is never."""
        spent = Fraction(0)
        for first, end, allowed in self._from(done):
            if allowed.use is None:
                continue
            before = curve.used_before(first.toordinal())
            left = int((WHOLE - spent) * allowed.use // 1)
            if end is None or curve.used_before(end.toordinal()) - before > left:
                day = curve.last_day_within(before + left)
                return None if day is None else date.fromordinal(day)
            spent += Fraction(curve.used_before(end.toordinal()) - before, allowed.use)
        return None

    def due_by_time(self, done: date) -> date | None:
        """The last day in time by the calendar; None is never."""
        spent = Fraction(0)
        for first, end, allowed in self._from(done):
            by_itself = allowed.due_by_time(done)
            if by_itself is None:
                continue
            days = (by_itself - done).days
            due = add_days(first, int((WHOLE - spent) * days // 1))
            if end is None or due < end:
                return due
            spent += Fraction((end - first).days, days)
        return None

    def used_up(self, curve: Curve, done: date, today: date) -> Fraction:
        """The share of the limit of use that is used up at the start of a day; 1 is all of it."""
        spent = Fraction(0)
        for first, end, allowed in self._from(done):
            if first >= today:
                break
            until = today if end is None else min(end, today)
            if allowed.use is not None:
                used = curve.used_before(until.toordinal()) - curve.used_before(first.toordinal())
                spent += Fraction(used, allowed.use)
        return spent

    def spans(self, done: date, end: date) -> list[tuple[date, date, Ticks | None]]:
        """First day, end and limit of use of each stretch between two days."""
        found: list[tuple[date, date, Ticks | None]] = []
        for first, stop, allowed in self._from(done):
            until = end if stop is None else min(stop, end)
            if found and found[-1][2] == allowed.use:
                found[-1] = (found[-1][0], until, allowed.use)
            elif first < end:
                found.append((first, until, allowed.use))
        return found

    def _from(self, done: date) -> list[tuple[date, date | None, Allowance]]:
        """First day, end and allowance of each stretch, from the day of the work on."""
        ends: list[date | None] = [first for first, _ in self.stretches[1:]]
        return [
            (max(first, done), end, allowed)
            for (first, allowed), end in zip(self.stretches, [*ends, None], strict=True)
            if end is None or end > done
        ]


def limits(changes: Sequence[tuple[date, Allowance]]) -> Limits:
    """The limits of an interval, from what holds from each of several days on; at least one."""
    stretches: list[tuple[date, Allowance]] = []
    for first, allowed in changes:
        if not stretches or stretches[-1][1] != allowed:
            stretches.append((first, allowed))
    return Limits(tuple(stretches))

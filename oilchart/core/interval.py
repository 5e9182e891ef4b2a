"""Knows the intervals of a point list, and what one comes to for one machine.

An interval is an aim and a limit of use with a limit at rest, an occasion, or steps.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from oilchart.core.days import add_days, add_months
from oilchart.core.units import HOUR, Speed, Ticks, Unit

ONE = Fraction(1)
DAYS_A_MONTH_PART = 28  # a part of a month counts 28ths, so that no month is too short for it


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One interval: "8-10 hours or 3 months" has aim 8, limit 10 and months 3.

    Args:
        aim: use after which the work is best done, in `unit`; None without a limit of use.
        limit: use after which it is overdue.
        months: limit at rest in months; at most one of `months` and `days` is given.
        days: limit at rest in days.
    """

    aim: Fraction | None = None
    limit: Fraction | None = None
    unit: Unit = Unit.HOURS
    months: int | None = None
    days: int | None = None

    def limit_hours(self, speed: Speed) -> Fraction | None:
        """The limit in hours at the machine, before any factor."""
        return None if self.limit is None else speed.hours(self.limit, self.unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """How often a point wants its work.

    Args:
        words: as the list has it.
        occasion: "each bobbin", "each sewing day", "each service"; then there are no steps.
        steps: the n-th interval since the first work is the n-th step; the last one repeats.
    """

    words: str
    occasion: str | None = None
    steps: tuple[Step, ...] = ()

    def step(self, times_done: int) -> Step:
        """The interval that runs after the work was done so many times, at least once."""
        return self.steps[min(times_done, len(self.steps)) - 1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Factors:
    """What a machine's conditions leave of an interval; never above 1, since a condition never lengthens."""

    use: Fraction = ONE
    time: Fraction = ONE


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """What an interval comes to for one machine: ticks of use, and months or days at rest; None is no limit.

    Args:
        use: limit x factor / share, floored to ticks.
        months: whole months at rest.
        days: days at rest, beyond the months.
    """

    use: Ticks | None
    months: int | None
    days: int | None

    def due_by_time(self, done: date) -> date | None:
        """The last day in time by the calendar, always from the actual day of the work, never chained."""
        if self.months is None and self.days is None:
            return None
        return add_days(add_months(done, self.months or 0), self.days or 0)


def allowance(step: Step, *, speed: Speed, share: Fraction, factors: Factors) -> Allowance:
    """Reckon what a step of an interval comes to.

    Args:
        share: share of the machine's use in which the point moves; 0 means no limit by use.

    Returns:
        A time limit of n months x f is its whole months, then floor(28 x the remaining part of a month) days.
    """
    hours = step.limit_hours(speed)
    use = None if hours is None or not share else int(hours * HOUR * factors.use / share // 1)
    months = days = None
    if step.months is not None:
        months, part = divmod(step.months * factors.time, 1)
        days = int(part * DAYS_A_MONTH_PART // 1)
    elif step.days is not None:
        days = int(step.days * factors.time // 1)
    return Allowance(use=use, months=months, days=days)

"""The intervals of a point list, and what one comes to for one machine.

An interval is an aim and a limit of use with a limit at rest, an occasion, or steps.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from oilchart.core.days import add_days, add_months
from oilchart.core.units import HOUR, Speed, Ticks, Unit

ONE = Fraction(1)
DAYS_A_MONTH_PART = 28  # a part of a month counts 28ths, so that no month is too short for it
DAYS_A_MONTH_MOST = 31


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One interval: "8-10 hours or 3 months" has aim 8, limit 10 and months 3.

    Args:
        aim: use after which the work is best done, in `unit`; None without a limit of use.
        limit: use after which it is overdue.
        months: limit at rest in months; at most one of `months` and `days` is given.
        days: limit at rest in days.
        most_hours: a shorter limit of use that holds for one machine, in hours at the machine; aim
            and limit stay the book's.
        most_days: a shorter limit at rest that holds for one machine, in days.
    """

    aim: Fraction | None = None
    limit: Fraction | None = None
    unit: Unit = Unit.HOURS
    months: int | None = None
    days: int | None = None
    most_hours: Fraction | None = None
    most_days: int | None = None

    def book_hours(self, speed: Speed) -> Fraction | None:
        """The book's limit in hours at the machine, before any factor."""
        return None if self.limit is None else speed.hours(self.limit, self.unit)

    def limit_hours(self, speed: Speed) -> Fraction | None:
        """The limit that holds, in hours at the machine, before any factor."""
        return min(
            (hours for hours in (self.book_hours(speed), self.most_hours) if hours is not None),
            default=None,
        )

    @property
    def in_book(self) -> Step:
        """The step without what holds for one machine only."""
        return replace(self, most_hours=None, most_days=None)

    @property
    def at_rest(self) -> tuple[int | None, int | None]:
        """The limit at rest that holds, before any factor: months or days.

        Where days hold instead of months they are at most 28 a month: never longer than the months,
        whichever months those are.
        """
        if self.most_days is None:
            return self.months, self.days
        if self.months is None:
            return None, self.most_days if self.days is None else min(self.days, self.most_days)
        if self.most_days >= self.months * DAYS_A_MONTH_MOST:
            return self.months, None
        return None, min(self.most_days, self.months * DAYS_A_MONTH_PART)

    def at_most(self, hours: Fraction | None, days: int | None) -> Step:
        """The book's step on a machine for which shorter limits hold; a limit that is not shorter
        here is left out."""
        longer = (
            hours is not None
            and self.unit is Unit.HOURS
            and self.limit is not None
            and hours >= self.limit
        )
        shorter = replace(self, most_hours=None if longer else hours, most_days=days)
        return (
            shorter
            if shorter.at_rest != (self.months, self.days)
            else replace(shorter, most_days=None)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Interval:
    """How often a point wants its work.

    Args:
        words: as the list has it, with what holds on one machine only.
        occasion: "each bobbin", "each sewing day", "each service"; then there are no steps.
        steps: the n-th interval since the first work is the n-th step; the last one repeats.
        here: what holds on one machine only, "5.5 hours on this machine"; empty where the list's
            interval does.
    """

    words: str
    occasion: str | None = None
    steps: tuple[Step, ...] = ()
    here: str = ""

    @property
    def book_words(self) -> str:
        """As the list has it."""
        return self.words.removesuffix(f"; {self.here}")

    def step(self, times_done: int) -> Step:
        """The interval that runs after the work was done so many times, at least once."""
        return self.steps[min(times_done, len(self.steps)) - 1]

    def at_most(self, hours: Fraction | None, days: int | None) -> Interval:
        """The book's interval on a machine for which shorter limits hold; its words say so.

        "8-10 hours or 3 months" becomes "8-10 hours or 3 months; 5.5 hours on this machine".

        Args:
            hours: limit of use in hours at the machine, of every step; None for the book's.
            days: limit at rest in days, of every step; None for the book's.
        """
        steps = tuple(step.at_most(hours, days) for step in self.steps)
        used = {_counted(step.most_hours, "hour") for step in steps if step.most_hours is not None}
        rested = {
            _counted(Fraction(step.most_days), "day")
            for step in steps
            if step.most_days is not None
        }
        here = " or ".join((*used, *rested))  # at most one of each
        return (
            replace(
                self,
                words=f"{self.words}; {here} on this machine",
                steps=steps,
                here=f"{here} on this machine",
            )
            if here
            else self
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Factors:
    """What a machine's conditions leave of an interval; never above 1, since a condition never
    lengthens."""

    use: Fraction = ONE
    time: Fraction = ONE


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """What an interval comes to for one machine: ticks of use, and months or days at rest; None is
    no limit.

    Args:
        use: limit x factor / share, floored to ticks.
        months: whole months at rest.
        days: days at rest, beyond the months.
    """

    use: Ticks | None
    months: int | None
    days: int | None

    def due_by_time(self, done: date) -> date | None:
        """The last day in time by the calendar, always from the actual day of the work, never
        chained."""
        if self.months is None and self.days is None:
            return None
        due = add_days(add_months(done, self.months or 0), self.days or 0)
        return max(due, add_days(done, 1))  # a factor leaves a day at least


def allowance(step: Step, *, speed: Speed, share: Fraction, factors: Factors) -> Allowance:
    """Reckon what a step of an interval comes to.

    Args:
        share: share of the machine's use in which the point moves; 0 means no limit by use.

    Returns:
        A time limit of n months x f is its whole months, then floor(28 x the remaining part of a
        month) days.
    """
    hours = step.limit_hours(speed)
    use = None if hours is None or not share else int(hours * HOUR * factors.use / share // 1)
    months, days = step.at_rest
    if months is not None:
        months, part = divmod(months * factors.time, 1)
        days = int(part * DAYS_A_MONTH_PART // 1)
    elif days is not None:
        days = int(days * factors.time // 1)
    return Allowance(use=use, months=months, days=days)


def _counted(number: Fraction, one: str) -> str:
    """1 hour, 5.5 hours; to two decimals."""
    words = f"{float(round(number, 2)):.2f}".rstrip("0").rstrip(".")
    return f"{words} {one if number == 1 else one + 's'}"

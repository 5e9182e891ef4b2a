"""The units of use: hours at the machine, needle hours, stitches, and the ticks of all three.

Ticks are whole numbers, so that every rate a day, week, month or year to two decimals of an hour is
a whole number of ticks a day and no due date is lost to rounding.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

Ticks = int  # 1 hour at the machine = HOUR ticks
HOUR: Ticks = 7 * 365 * 14_400
DAY_HOURS = 24
WEEK_DAYS = 7

PERIOD_DAYS = {
    "day": Fraction(1),
    "week": Fraction(WEEK_DAYS),
    "month": Fraction(365, 12),
    "year": Fraction(365),
}

# common practice, no source
NEEDLE_SHARE = Fraction(1, 4)  # needle moving: 20-30 % of the hours at the machine
STITCHES_A_MINUTE = 800  # of a domestic machine in use


class Unit(StrEnum):
    """What use is counted in."""

    HOURS = "hours"
    NEEDLE_HOURS = "needle hours"
    STITCHES = "stitches"


@dataclass(frozen=True, slots=True, kw_only=True)
class Speed:
    """How a machine's hours turn into needle hours and stitches.

    Args:
        needle_share: share of the hours at the machine in which the needle moves.
        stitches_a_minute: while the needle moves.
    """

    needle_share: Fraction = NEEDLE_SHARE
    stitches_a_minute: Fraction = Fraction(STITCHES_A_MINUTE)

    def hours(self, amount: Fraction, unit: Unit) -> Fraction:
        """Turn an amount of use into hours at the machine."""
        if unit is Unit.HOURS:
            return amount
        needle_hours = (
            amount if unit is Unit.NEEDLE_HOURS else amount / (60 * self.stitches_a_minute)
        )
        return needle_hours / self.needle_share


def ticks(hours: Fraction) -> Ticks:
    """Turn hours into ticks, floored so that an exact landing never loses a day."""
    return int(hours * HOUR // 1)


def ticks_over(hours: Fraction, days: Fraction) -> Ticks:
    """Turn hours in so many days into ticks a day, floored."""
    return int(hours * HOUR / days // 1)


def hours_a_week(ticks_each_day: Ticks) -> Fraction:
    """Turn ticks a day back into hours a week, exactly."""
    return Fraction(ticks_each_day * WEEK_DAYS, HOUR)


def hours_in(amount: Ticks) -> Fraction:
    """Turn ticks back into hours, exactly."""
    return Fraction(amount, HOUR)

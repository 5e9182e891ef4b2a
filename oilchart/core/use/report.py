"""What an owner said about their sewing on a day: rates, totals, readings, rests and habits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum
from fractions import Fraction

from oilchart.core.days import Span
from oilchart.core.units import Ticks, Unit

FLAT_YEAR = (1,) * 12  # season weights of a year without seasons
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)  # leap years weigh as common ones


class Oiling(StrEnum):
    """What an owner answers to "have you been oiling it?"."""

    YES = "oils it"
    SOMETIMES = "sometimes oils it"
    NEVER = "never oils it"


class SewingPace(StrEnum):
    """How fast an owner sews, against the model's working speed."""

    SLOW = "slow"
    NORMAL = "normal speed"
    FLAT_OUT = "flat out"


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """How much is sewn, in ticks a day averaged over a year.

    About 1 owner in 10 sews less than `low` and 1 in 10 more than `high`.

    Args:
        yearly: it was told by the year, so that its yearly rests are taken off already.
    """

    low: Ticks
    high: Ticks
    yearly: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Total:
    """Ticks used from the start of day `since` up to the day it was said."""

    low: Ticks
    high: Ticks
    since: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What a meter showed on the day it was said.

    Args:
        amount: in the meter's own unit.
        new_meter: this is another meter than before, so no amount was used between the two.
    """

    amount: Fraction
    unit: Unit = Unit.HOURS
    new_meter: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """What an owner said on one day: their words and what was understood.

    Two reports are equal when the same was understood on the same day; the words may differ.

    Args:
        conversion: how hours came out of bobbins or pieces of work, in words; empty where hours
            were said.
        idle_months: months (1-12) in which the machine rests every year; None says nothing, an
            empty set says "no rests".
        weights: season weights of the twelve months; None says nothing, all equal says "no
            seasons".
        idle_spans: dated rests; they hold whatever is said later.
        zigzag_share: share of the sewing that is zigzag; None says nothing.
        sewing_days: days a week on which one sews, of a range the fewest; None says nothing.
        unclear: what is still to be asked of the words; empty where they were understood.
    """

    said: date
    words: str = field(compare=False)
    conversion: str = field(default="", compare=False)
    rate: Rate | None = None
    total: Total | None = None
    reading: Reading | None = None
    idle_months: frozenset[int] | None = None
    weights: tuple[int, ...] | None = None
    idle_spans: tuple[Span, ...] = ()
    zigzag_share: Fraction | None = None
    pace: SewingPace | None = None
    oiling: Oiling | None = None
    sewing_days: Fraction | None = None
    unclear: str = ""

    @property
    def tells_hours(self) -> bool:
        """Whether it says how much is sewn, if only by a meter."""
        return not (self.rate is None and self.total is None and self.reading is None)


def still_unclear(reports: Sequence[Report]) -> Report | None:
    """The latest words that are not understood, where nothing clear was told of the hours since.

    Args:
        reports: in the order they were said.
    """
    for report in reversed(reports):
        if report.unclear:
            return report
        if report.tells_hours:
            return None
    return None

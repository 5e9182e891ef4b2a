"""Recurrence rules for "every n months from a day" that calendar programs understand alike.

A month without the day has its last day instead, always reckoned from the first day, never from the
one before. RFC 5545 leaves such months out, so a plain rule would lose them; BYSETPOS and RDATE,
which could mend that, are read wrongly by programs in use. What is left: the last day of each month
hit, or one rule for each month hit.

Source: RFC 5545 section 3.3.10 (2009), on invalid dates, BYMONTHDAY and BYMONTH.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from math import gcd

from oilchart.core.days import add_months

SHORTEST = {2: 28, 4: 30, 6: 30, 9: 30, 11: 30}  # days of the months that have not always 31
YEAR = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One recurrence: the day it begins on, and its rule, to which only an end is to be added."""

    first: date
    words: str


def every_months(anchor: date, months: int) -> tuple[Rule, ...]:
    """The rules that together give anchor + months, anchor + 2 x months, and so on.

    Each day is clamped to its month's end.

    Args:
        months: at least 1.
    """
    step = gcd(months, YEAR)
    hit = sorted({(anchor.month - 1 + months * at) % YEAR + 1 for at in range(YEAR // step)})
    first = add_months(anchor, months)
    if anchor.day <= min(SHORTEST.get(month, 31) for month in hit):
        return (Rule(first=first, words=f"FREQ=MONTHLY;INTERVAL={months}"),)
    if anchor.day == 31:
        return (Rule(first=first, words=f"FREQ=MONTHLY;INTERVAL={months};BYMONTHDAY=-1"),)
    # what is left is the 29th or the 30th, with February hit
    return tuple(_in_month(anchor, months, month) for month in hit)


def _in_month(anchor: date, months: int, month: int) -> Rule:
    """The rule for one month of the year; in February it is the last day."""
    first = next(
        day for at in range(1, YEAR + 1) if (day := add_months(anchor, months * at)).month == month
    )
    month_day = -1 if month == 2 else anchor.day
    years = months // gcd(months, YEAR)
    return Rule(
        first=first, words=f"FREQ=YEARLY;INTERVAL={years};BYMONTH={month};BYMONTHDAY={month_day}"
    )

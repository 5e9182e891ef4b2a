"""Knows how dates, intervals, amounts, rhythms and what was heard are put into words, for technicians and for owners."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date
from fractions import Fraction

from oilchart.core.chart import Point, Work
from oilchart.core.report import HOUR, Report, hours_a_week
from oilchart.core.schedule import Notice, PointPlan, Schedule, UseSummary
from oilchart.core.use import likely_between

MONTHS = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December",
)  # fmt: skip
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")

INVENTED = "Demonstration: shop, people, makers and machines are all invented."
TO_BE_TOLD = {
    Notice.NO_REPORT: "Nothing is known of its use: only the limits at rest count. Ask the owner about the hours.",
    Notice.ASSUMED_BACKWARDS: "The use before the first report is assumed to have been the same.",
    Notice.OLD_REPORT: "The last report of use is more than 12 months old. Ask again.",
}
TOLD_TO_OWNER = {
    Notice.NO_REPORT: "You have not told us yet how much you sew: please ring us, so that we can set the times right.",
    Notice.ASSUMED_BACKWARDS: "",
    Notice.OLD_REPORT: "That is more than a year ago: please tell us how much you sew now.",
}


def month_words(day: date) -> str:
    """October 2026."""
    return f"{MONTHS[day.month - 1]} {day.year}"


def day_words(day: date) -> str:
    """Wednesday 14 October 2026."""
    return f"{WEEKDAYS[day.weekday()]} {day.day} {month_words(day)}"


def short_day(day: date) -> str:
    """14 Oct 2026."""
    return f"{day.day} {MONTHS[day.month - 1][:3]} {day.year}"


def plain_number(number: Fraction, decimals: int = 2) -> str:
    """A number rounded half to even, without needless zeros: 5, 6.32, 0.5."""
    return f"{float(round(number, decimals)):.{decimals}f}".rstrip("0").rstrip(".") if number.denominator != 1 else str(number)


def counted(number: int, one: str, many: str | None = None) -> str:
    """1 point, 2 points."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def minutes_words(minutes: Fraction) -> str:
    """About 55 min; about 1 h 35 min; a whole service rounded up to 5 minutes."""
    whole = math.ceil(minutes / 5) * 5
    hours, rest = divmod(whole, 60)
    return f"about {rest} min" if not hours else f"about {hours} h {rest} min" if rest else f"about {hours} h"


def hours_words(allowed: int) -> str:
    """About every 10 hours of sewing: an allowance in ticks, rounded down to whole hours, or minutes below one."""
    hours = allowed // HOUR
    if hours:
        return f"about every {counted(hours, 'hour')} of sewing"
    return f"about every {max(1, allowed * 60 // HOUR)} minutes of sewing"


def range_words(low: Fraction, high: Fraction, decimals: int = 2) -> str:
    """5 to 8, or just 6."""
    first, last = plain_number(low, decimals), plain_number(high, decimals)
    return first if first == last else f"{first} to {last}"


def sewing_words(use: UseSummary) -> str:
    """5 to 8 hours a week, likely 6.32."""
    if use.high == 0:
        return "no sewing"
    likely = "" if use.low == use.high else f", likely {plain_number(use.likely)}"
    return f"{range_words(use.low, use.high)} hours a week{likely}"


def joined(words: Sequence[str]) -> str:
    """A, B and C."""
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}" if words else ""


def months_words(months: frozenset[int]) -> str:
    """July and August; November to February."""
    if len(months) == len(MONTHS):
        return "every month"
    starts = [month for month in sorted(months) if (month - 2) % 12 + 1 not in months]
    stretches = []
    for start in starts:
        length = next(length for length in range(1, 12) if (start + length - 1) % 12 + 1 not in months)
        names = [MONTHS[start - 1], MONTHS[(start + length - 2) % 12]]
        stretches.append(names[0] if length == 1 else f"{names[0]} {'and' if length == 2 else 'to'} {names[1]}")
    return "; ".join(stretches)


def heard(report: Report) -> str:
    """What was understood of an owner's words, as one sentence to say back to them."""
    parts = []
    if report.total is not None:
        total = report.total
        hours = range_words(Fraction(total.low, HOUR), Fraction(total.high, HOUR))
        days = (report.said - total.since).days
        parts.append(f"{hours} hours from {short_day(total.since)} to {short_day(report.said)} ({counted(days, 'day')})")
    if report.rate is not None:
        low, high = report.rate.low, report.rate.high
        likely = "" if low == high else f", likely {plain_number(hours_a_week(likely_between(low, high)))}"
        sewing = f"{range_words(hours_a_week(low), hours_a_week(high))} hours a week{likely}" if high else "no sewing at all"
        parts.append(sewing)
    if report.idle_months:
        parts.append(f"nothing in {months_words(report.idle_months)}, every year")
    return "; ".join(parts) + "."


def owner_task(point: Point) -> str:
    """What an owner does at a point, in plain words."""
    if point.do is not None:
        return point.do
    lubricant = point.lubricant.home if point.lubricant else "oil"
    return f"{point.amount} of {'oil' if point.work is Work.OIL else lubricant}"


def window_words(plan: PointPlan) -> str:
    """When a point's work falls due."""
    due = plan.due
    if plan.point.every.occasion:
        return plan.point.every.occasion
    if due is None:
        return "at the first service"
    if due.likely is None:
        return "never, at this use"
    return due.likely.isoformat()


def service_words(schedule: Schedule) -> str:
    """The next service in one sentence, for the technician."""
    if not schedule.services:
        return "No service falls due."
    service = schedule.services[0]
    minutes = sum((point.minutes for point in service.points), start=Fraction(0))
    late = ", late" if service.late else ""
    return f"Next service {day_words(service.on)}{late}: {counted(len(service.points), 'point')}, {minutes_words(minutes)} of work."

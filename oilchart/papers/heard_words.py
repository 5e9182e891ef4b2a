"""What was heard of an owner's sewing, said back to them, and what it changes."""

from __future__ import annotations

from fractions import Fraction

from oilchart.core.days import ONE_DAY, months_words
from oilchart.core.due.due_dates import State
from oilchart.core.planning.schedule import Schedule
from oilchart.core.units import WEEK_DAYS, Ticks, hours_a_week, hours_in
from oilchart.core.use.history import LEAST_ACTIVE_DAYS, WIDEST_RANGE, Pace, likely_between
from oilchart.core.use.report import FLAT_YEAR, Rate, Report
from oilchart.papers.wording import (
    counted,
    day_words,
    plain_number,
    range_words,
    weekday_words,
)

_SHARES = {Fraction(1, 3): "a third", Fraction(2, 3): "two thirds"}
AS_GOOD_AS = 200  # half a hundredth of it
_OVERDUE = (State.OVERDUE, State.LIKELY_OVERDUE, State.MAYBE_OVERDUE)


def heard(report: Report) -> str:
    """What was understood of an owner's words, to say back to them.

    The first sentence is in words that can be read again; what follows is what it comes to a week,
    and what is to be asked.
    """
    told = _told(report)
    sentences = [f"{'; '.join(told)}."] if told else []
    if report.unclear:
        end = "" if report.unclear.endswith("?") else "."
        sentences.append(f"Not clear: {report.unclear}{end}")
    else:
        sentences += [*_by_the_week(report), *_asked_back(report)]
    return " ".join(sentences)


def _told(report: Report) -> list[str]:
    """What was told, a part for each."""
    parts = []
    if report.total is not None:
        hours = range_words(hours_in(report.total.low), hours_in(report.total.high))
        parts.append(f"{hours} hours since {weekday_words(report.total.since)}")
    if report.rate is not None:
        parts.append(_rate_heard(report.rate, report))
    if report.sewing_days is not None:
        days = plain_number(report.sewing_days)
        parts.append(f"on {days} {'day' if report.sewing_days == 1 else 'days'} a week")
    if report.reading is not None:
        new = "a new meter that shows" if report.reading.new_meter else "the meter shows"
        parts.append(f"{new} {plain_number(report.reading.amount)} {report.reading.unit}")
    parts += _rests_heard(report)
    if report.zigzag_share is not None:
        share = _SHARES.get(report.zigzag_share) or f"{plain_number(report.zigzag_share * 100)} %"
        parts.append(f"{share} of it zigzag")
    parts += [f"{habit}" for habit in (report.pace, report.oiling) if habit is not None]
    return parts


def _by_the_week(report: Report) -> list[str]:
    """What hours of a year, or since a day, are a week."""
    rate, total = report.rate, report.total
    if rate is not None and rate.yearly and rate.high:
        low, high = Pace(
            amount=(rate.low, rate.high), left_out=report.idle_months or frozenset()
        ).ticks_by_month(FLAT_YEAR)[_active_month(report)]
        return [f"That is {_weekly(low, high)} hours a week."]
    days = 0 if total is None else (report.said - total.since).days
    if rate is None and total is not None and total.high and days >= LEAST_ACTIVE_DAYS:
        return [f"In {counted(days, 'day')}: that is {_total_a_week(report)} hours a week."]
    return []


def _active_month(report: Report) -> int:
    """The place of the first month in which the machine does not rest."""
    idle = report.idle_months or frozenset()
    return next((month for month in range(12) if month + 1 not in idle), 0)


def _total_a_week(report: Report) -> str:
    total = report.total
    assert total is not None
    days = (report.said - total.since).days
    low, high = (hours_in(hours) * WEEK_DAYS / days for hours in (total.low, total.high))
    return range_words(low, high)


def _asked_back(report: Report) -> list[str]:
    """What is to be asked of words that leave the time to come open, or say as good as nothing."""
    rate, total = report.rate, report.total
    if rate is not None:
        wide = rate.high > WIDEST_RANGE * rate.low
        return ["From so little to so much: to which is it nearer?"] if wide else []
    if total is None:
        return []
    if not total.high:
        return ["And from now on?"]
    if (report.said - total.since).days >= LEAST_ACTIVE_DAYS:
        return []
    return [f"That is {_total_a_week(report)} hours a week: is it always so?"]


def _rate_heard(rate: Rate, report: Report) -> str:
    """A rate by the week, in the busy months, too; by the year where it was told so."""
    if not rate.high:
        return "no sewing at all"
    weights = report.weights or FLAT_YEAR
    if rate.yearly and len(set(weights)) == 1:
        low_a_year, high_a_year = (hours_a_week(each) * 365 / 7 for each in (rate.low, rate.high))
        likely = hours_a_week(likely_between(rate.low, rate.high)) * 365 / 7
        words = f", likely {plain_number(likely)}" if rate.low != rate.high else ""
        return f"{range_words(low_a_year, high_a_year)} hours a year{words}"
    rests = report.idle_months or frozenset() if rate.yearly else frozenset()
    by_month = Pace(amount=(rate.low, rate.high), left_out=rests).ticks_by_month(weights)
    usual = min(set(weights), key=lambda weight: (-weights.count(weight), weight))
    low, high = by_month[weights.index(usual)]
    likely_words = (
        "" if low == high else f", likely {plain_number(hours_a_week(likely_between(low, high)))}"
    )
    told = _weekly if len(set(weights)) == 1 else _in_season
    parts = [f"{told(low, high)} hours a week{likely_words}"]
    for weight in sorted(set(weights) - {usual}):
        low, high = by_month[weights.index(weight)]
        months = months_words(
            frozenset(at for at, each in enumerate(weights, start=1) if each == weight)
        )
        within = "from" if " to " in months else "in"
        parts.append(f"{told(low, high)} {within} {months}")
    return ", ".join(parts)


def _weekly(low: Ticks, high: Ticks) -> str:
    return range_words(hours_a_week(low), hours_a_week(high))


def _in_season(low: Ticks, high: Ticks) -> str:
    """Hours a week beside those of other months, to the tenth where that is as good as exact: 4 for
    3.993."""
    ends = hours_a_week(low), hours_a_week(high)
    is_near = all(abs(end - round(end, 1)) * AS_GOOD_AS <= end for end in ends)
    return range_words(*ends, 1 if is_near else 2)


def _rests_heard(report: Report) -> list[str]:
    """Rests and seasons, as they are said back."""
    parts = []
    if report.idle_months is not None:
        parts.append(
            f"nothing in {months_words(report.idle_months)}, every year"
            if report.idle_months
            else "no rests"
        )
    parts += [
        f"nothing from {weekday_words(span.first)} to {weekday_words(span.end - ONE_DAY)}"
        for span in report.idle_spans
    ]
    if report.weights is not None and (report.rate is None or len(set(report.weights)) == 1):
        least = min(report.weights)
        busy: dict[int, set[int]] = {}
        for month, weight in enumerate(report.weights, start=1):
            if weight > least:
                busy.setdefault(weight, set()).add(month)
        parts += [
            (
                f"{plain_number(Fraction(weight, least))} times as much in "
                f"{months_words(frozenset(months))} as in other months"
            )
            for weight, months in busy.items()
        ] or ["no seasons"]
    return parts


def effect_words(before: Schedule | None, after: Schedule | None) -> str:
    """What words of use have changed for a machine: its next service, and whether it is overdue;
    empty where nothing, or where nobody reckoned it."""
    if before is None or after is None:
        return ""
    was, now = before.wanted_by, after.wanted_by
    parts = []
    if now != was:
        earlier = "not at all" if was is None else day_words(was)
        later = "not wanted any more" if now is None else f"wanted by {day_words(now)}"
        parts.append(f"service {later}, was {earlier}")
    if after.state in _OVERDUE and after.state != before.state:
        parts.append(f"{after.state} now")
    elif before.state in _OVERDUE and after.state not in _OVERDUE:
        parts.append(f"not {before.state} any more")
    if not parts:
        return ""
    words = "; ".join(parts)
    return f"{words[0].upper()}{words[1:]}."

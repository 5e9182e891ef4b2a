"""Joins the statements of one phrase into a report of use, or says which contradict each other."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from typing import assert_never

from oilchart import bounds
from oilchart.core.days import Span
from oilchart.core.units import DAY_HOURS, PERIOD_DAYS, ticks, ticks_over
from oilchart.core.use.report import FLAT_YEAR, Oiling, Rate, Reading, Report, SewingPace, Total
from oilchart.sources.words.parser import Match, rule
from oilchart.sources.words.phrase import Phrase
from oilchart.sources.words.statements import (
    HoursOften,
    HoursSince,
    IdleMonths,
    Season,
    Statement,
)


@rule('statement { ";" statement }')
def phrase(match: Match) -> Report:
    """What all statements of a phrase say together."""
    joined = _Joined(match.phrase)
    for statement in match.all("statement"):
        joined.add(statement)
    joined.check_rests()
    return joined.report


class _Joined:
    """The statements of a phrase that are joined so far."""

    def __init__(self, phrase: Phrase) -> None:
        self.report = Report(said=phrase.said, words=phrase.words)
        self._phrase = phrase
        self._works = False  # the rate so far comes from pieces of work

    def add(self, statement: Statement) -> None:
        """Join one more.

        Raises:
            UnreadableWords: it cannot be, or contradicts another.
        """
        at, says = statement.at, statement.says
        match says:
            case HoursOften():
                self._rate(at, says)
            case HoursSince():
                self._total(at, says)
            case IdleMonths(months=months):
                self._idle(at, months)
            case Season():
                self._season(at, says)
            case Span():
                spans = (*self.report.idle_spans, says)
                self.report = replace(self.report, idle_spans=spans)
            case Fraction():
                self._zigzag(at, says)
            case Reading() | SewingPace() | Oiling():
                self._once_said(at, says)
            case _:
                assert_never(says)

    def check_rests(self) -> None:
        """Refuse rests that leave nothing of the year, or nothing of the days of a total."""
        report = self.report
        months = report.idle_months or frozenset()
        if len(months) == len(FLAT_YEAR):
            self._phrase.refuse(
                0,
                'leaves no month to sew in; say "none" if there is no sewing, '
                'or "away until" and a day',
            )
        if report.total is None or not report.total.high:
            return
        days = (
            report.total.since + timedelta(days=at)
            for at in range((report.said - report.total.since).days)
        )
        if all(
            day.month in months or any(span.first <= day < span.end for span in report.idle_spans)
            for day in days
        ):
            self._phrase.refuse(0, "leaves no day to sew on since then; ask again about the rests")

    def _once(self, at: int, before: object, wrong: str) -> None:
        if before is not None:
            self._phrase.refuse(at, f"{wrong}; keep one of them")

    def _rate(self, at: int, says: HoursOften) -> None:
        """Keep hours in so many days as a rate; works are added to works."""
        low, high = (ticks_over(hours, says.days) for hours in says.hours)
        before = self.report.rate
        yearly = says.days == PERIOD_DAYS["year"]
        if before is not None:
            if not (says.work and self._works):
                self._once(at, before, "is the second rate in one phrase")
            low, high, yearly = before.low + low, before.high + high, before.yearly and yearly
        if high > ticks(Fraction(DAY_HOURS)):
            self._phrase.refuse(at, f"is more than {DAY_HOURS} hours a day; ask again")
        self._works = says.work
        conversions = [text for text in (self.report.conversion, says.conversion) if text]
        self.report = replace(
            self.report,
            rate=Rate(low=low, high=high, yearly=yearly),
            conversion="; ".join(conversions),
        )

    def _total(self, at: int, says: HoursSince) -> None:
        since, said = says.since, self.report.said
        if since >= said:
            self._phrase.refuse(
                at, f"begins on {since}, which is not before the day it was said, {said}"
            )
        if says.hours[1] > DAY_HOURS * (said - since).days:
            self._phrase.refuse(at, f"is more than {DAY_HOURS} hours a day since then; ask again")
        self._once(at, self.report.total, "is the second total in one phrase")
        total = Total(low=ticks(says.hours[0]), high=ticks(says.hours[1]), since=since)
        self.report = replace(self.report, total=total)

    def _idle(self, at: int, months: frozenset[int]) -> None:
        before = self.report.idle_months
        if not months and before is not None:
            self._phrase.refuse(at, "contradicts what was said of rests before it")
        if months and before == frozenset():
            self._phrase.refuse(at, 'contradicts "no rests"')
        self.report = replace(self.report, idle_months=months | (before or frozenset()))

    def _zigzag(self, at: int, share: Fraction) -> None:
        if share > 1:
            self._phrase.refuse(at, "is more than all of it")
        self._once(at, self.report.zigzag_share, "is the second share of zigzag in one phrase")
        self.report = replace(self.report, zigzag_share=share)

    def _once_said(self, at: int, says: Reading | SewingPace | Oiling) -> None:
        """Keep what stands in the report as it was said."""
        report = self.report
        match says:
            case Reading():
                self._once(at, report.reading, "is the second meter reading in one phrase")
                self.report = replace(report, reading=says)
            case SewingPace():
                self._once(at, report.pace, "is the second speed in one phrase")
                self.report = replace(report, pace=says)
            case Oiling():
                self._once(at, report.oiling, "is said twice of the oiling")
                self.report = replace(report, oiling=says)

    def _season(self, at: int, says: Season) -> None:
        """Keep busy months as whole weights of the twelve, in lowest terms."""
        before = self.report.weights
        if not says.months and before is not None:
            self._phrase.refuse(at, "contradicts what was said of seasons before it")
        if not 1 <= says.times <= bounds.BUSY_TIMES:
            self._phrase.refuse(
                at, f"must be from x1 to x{bounds.BUSY_TIMES}; rests are said with idle"
            )
        weights = [
            weight * (says.times if month in says.months else Fraction(1))
            for month, weight in enumerate(before or FLAT_YEAR, start=1)
        ]
        scale = math.lcm(*(weight.denominator for weight in weights))
        whole = [int(weight * scale) for weight in weights]
        if max(whole) > bounds.BUSY_TIMES * min(whole):
            self._phrase.refuse(
                at, f"makes some month more than {bounds.BUSY_TIMES} times as busy as another"
            )
        lowest = tuple(weight // math.gcd(*whole) for weight in whole)
        self.report = replace(self.report, weights=lowest)

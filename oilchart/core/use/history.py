"""What an owner said, turned into use: readings, totals, rates, rests and seasons.

Meter readings beat totals, totals beat rates. What no reading or total covers goes on at the rate
or mean said last; before the first statement, at that statement's. A rate is an average over the
whole year: season weights shift it between months, rests take away.

Of a machine that was handed on, only what its present owner said is told here. What it was used for
before that day is unknown: their first statement is assumed backwards to that day and no further,
and no use of the days before it is counted but what they tell of them themselves. Until they tell
anything no use is known.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from itertools import accumulate, pairwise, takewhile
from math import isqrt
from operator import mul
from typing import TypeVar

from oilchart.core.days import Span
from oilchart.core.units import Speed, Ticks, ticks
from oilchart.core.use.curve import Curve, Curves, Tail, month_starts
from oilchart.core.use.report import FLAT_YEAR, MONTH_DAYS, Reading, Report

LowHigh = tuple[Ticks, Ticks]
PLAIN_SPEED = Speed()
_T = TypeVar("_T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """Use that goes on until something else is said: a rate, or the mean of an amount.

    A day of season weight w has amount x w x scale // (down x S) ticks, S being the weighted year
    of the seasons in force on it.

    Args:
        holds_from: the day, as an ordinal, from which it goes on.
        scale: the weighted year of the seasons in which the amount was measured; 365 for a rate.
        down: the weighted days over which the amount was measured; 1 for a rate, which is told by
            the day.
        flat: seasons do not apply: the amount of a span whose days all rest.
    """

    holds_from: int
    amount: LowHigh
    scale: int = 365
    down: int = 1
    flat: bool = False

    def ticks_by_month(self, weights: Sequence[int]) -> list[LowHigh]:
        """Low and high ticks of a day that does not rest, in each of the twelve months."""
        if self.flat:
            return [self._share(1, self.down)] * len(weights)
        year = self.down * _weighted_year(weights)
        return [self._share(weight * self.scale, year) for weight in weights]

    def yearly_average(self) -> LowHigh:
        """Low and high ticks a day, averaged over a year without rests."""
        return self._share(1, self.down) if self.flat else self._share(self.scale, self.down * 365)

    def _share(self, up: int, down: int) -> LowHigh:
        return self.amount[0] * up // down, self.amount[1] * up // down


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cover:
    """An amount known for a span of days: a total, or what a meter ran between two readings.

    Args:
        first, end: ordinals; the end is the first day after the span.
        idle_months, weights: in force when it was said; the amount is spread by them.
    """

    first: int
    end: int
    amount: LowHigh
    idle_months: frozenset[int]
    weights: tuple[int, ...]


@dataclass(slots=True, kw_only=True)
class _Stretch:
    """Days on which nothing changes, and what is used on each of them once that is known."""

    first: int
    end: int
    month: int  # of its first day; where months matter a stretch ends with its month
    shut: bool  # in a dated rest, or in the shop
    ticks: LowHigh | None = None

    @property
    def days(self) -> int:
        return self.end - self.first

    def weight(self, idle_months: frozenset[int], weights: Sequence[int]) -> int:
        """The season weight of each of its days, 0 where they rest."""
        return 0 if self.shut or self.month in idle_months else weights[self.month - 1]


class UseHistory:
    """All that was said about one machine's use.

    Args:
        reports: in the order they were said.
        stays: spans in the shop, during which the machine rests.
        start: the first day that matters: the earliest work done.
        speed: turns a meter's stitches into hours.
        handed_on: the day on which the owner had the machine from another; None where it always
            was theirs.
    """

    def __init__(
        self,
        reports: Sequence[Report],
        stays: Sequence[Span],
        start: date,
        speed: Speed = PLAIN_SPEED,
        handed_on: date | None = None,
    ) -> None:
        self._speed = speed
        self._start = start.toordinal()
        self._said = [report.said.toordinal() for report in reports]
        self._idle_months = _last_said([report.idle_months for report in reports], frozenset())
        self._weights = _last_said([report.weights for report in reports], FLAT_YEAR)
        found = [self._covers_said(reports, at) for at in range(len(reports))]
        readings = [cover for pairs, _ in found for cover in pairs]
        totals = [cover for _, totals_said in found for cover in totals_said]
        self._covers = readings + totals[::-1]  # from the strongest to the weakest
        shut = [span for report in reports for span in report.idle_spans] + list(stays)
        if handed_on is not None and handed_on > start:
            shut.append(Span(first=start, end=handed_on))
        self._stretches = self._cut(
            [(span.first.toordinal(), span.end.toordinal()) for span in shut]
        )
        self._paces: list[Pace] = []  # by the day they hold from; of two on one day the later wins
        for report, said, (pairs, totals_said) in zip(reports, self._said, found, strict=True):
            self._paces += [self._mean(cover) for cover in (pairs + totals_said)[:1]]
            if report.rate is not None:
                self._paces.append(
                    Pace(holds_from=said, amount=(report.rate.low, report.rate.high))
                )
        self._holds_from = [pace.holds_from for pace in self._paces]
        self._years: dict[tuple[int, int], list[LowHigh]] = {}
        for cover in self._covers:
            self._spread(cover)

    @property
    def is_known(self) -> bool:
        """Whether anything said gives a use; a lone meter reading does not."""
        return bool(self._paces)

    def first_told(self) -> date:
        """The first day about which something was told; only where the use is known."""
        told = self._paces[0].holds_from
        return date.fromordinal(
            min([told, *(cover.first for cover in self._covers if cover.end == told)])
        )

    def average_on(self, day: date) -> LowHigh:
        """Low and high ticks a day at a day, averaged over a year, rests ignored.

        Only where the use is known. Before the first statement it is that statement's.
        """
        return self._paces[_in_force(self._holds_from, day.toordinal())].yearly_average()

    def curves(self) -> Curves:
        """Build the three curves. Only where the use is known."""
        wanted = [stretch for stretch in self._stretches if stretch.end > self._start]
        per_day = self._per_day(wanted)
        tail_first = self._stretches[-1].end if self._stretches else self._start
        tail = self._year_from(tail_first)
        days = (*(stretch.first for stretch in wanted), tail_first)
        if days[0] < self._start:
            days = (self._start, *days[1:])
        lengths = [b - a for a, b in pairwise(days)]
        low, high = ([ticks[case] for ticks in (*per_day, *tail)] for case in (0, 1))
        likely = list(map(likely_between, low, high))
        return Curves(
            *(
                _curve(days, lengths, case[: len(lengths)], case[len(lengths) :])
                for case in (low, likely, high)
            )
        )

    def _covers_said(self, reports: Sequence[Report], at: int) -> tuple[list[_Cover], list[_Cover]]:
        """The pair of readings that a report completes, if any, and the total it tells, if any."""
        report = reports[at]
        pairs, totals = [], []
        before = next(
            (earlier for earlier in reversed(reports[:at]) if earlier.reading is not None), None
        )
        if (
            report.reading is not None
            and before is not None
            and before.reading is not None
            and not report.reading.new_meter
        ):
            run = ticks(self._hours_shown(report.reading) - self._hours_shown(before.reading))
            pairs.append(self._cover(at, before.said, (run, run)))
        if report.total is not None:
            totals.append(
                self._cover(at, report.total.since, (report.total.low, report.total.high))
            )
        return pairs, totals

    def _hours_shown(self, reading: Reading) -> Fraction:
        return self._speed.hours(reading.amount, reading.unit)

    def _cover(self, at: int, first: date, amount: LowHigh) -> _Cover:
        idle_months, weights = self._settings_on(self._said[at])
        return _Cover(
            first=first.toordinal(),
            end=self._said[at],
            amount=amount,
            idle_months=idle_months,
            weights=weights,
        )

    def _cut(self, shut: Sequence[tuple[int, int]]) -> list[_Stretch]:
        """Stretches without change, from the first day that matters to the last thing dated."""
        first = min([self._start, *(cover.first for cover in self._covers)])
        end = max([self._start, *self._said, *(end for _, end in shut)])
        cuts = {first, end, *self._said, *(day for span in shut for day in span)}
        cuts.update(day for cover in self._covers for day in (cover.first, cover.end))
        if any(self._idle_months) or any(len(set(weights)) > 1 for weights in self._weights):
            cuts.update(takewhile(end.__gt__, month_starts(first)))
        inside = sorted(day for day in cuts if first <= day <= end)
        shut_firsts = (
            {day for day in inside if any(span[0] <= day < span[1] for span in shut)}
            if shut
            else set()
        )
        return [
            _Stretch(first=a, end=b, month=date.fromordinal(a).month, shut=a in shut_firsts)
            for a, b in pairwise(inside)
        ]

    def _spread(self, cover: _Cover) -> None:
        """Spread what stronger statements leave of an amount over the days they leave.

        For the low curve the stronger ones' high use is taken off, for the high curve their low
        use, so that the curves keep their order.
        """
        inside = [
            stretch for stretch in self._stretches if cover.first <= stretch.first < cover.end
        ]
        taken = [(stretch.days, stretch.ticks) for stretch in inside if stretch.ticks is not None]
        low = max(0, cover.amount[0] - sum(days * ticks[1] for days, ticks in taken))
        high = max(0, cover.amount[1] - sum(days * ticks[0] for days, ticks in taken))
        own = [stretch for stretch in inside if stretch.ticks is None]
        weights = [stretch.weight(cover.idle_months, cover.weights) for stretch in own]
        if not any(weights):
            weights = [1] * len(own)
        whole = sum(weight * stretch.days for weight, stretch in zip(weights, own, strict=True))
        for weight, stretch in zip(weights, own, strict=True):
            stretch.ticks = low * weight // whole, high * weight // whole

    def _mean(self, cover: _Cover) -> Pace:
        """What goes on after an amount was told: its mean over the days that did not rest."""
        inside = [
            stretch for stretch in self._stretches if cover.first <= stretch.first < cover.end
        ]
        whole = sum(
            stretch.weight(cover.idle_months, cover.weights) * stretch.days for stretch in inside
        )
        if not whole:
            return Pace(
                holds_from=cover.end, amount=cover.amount, down=cover.end - cover.first, flat=True
            )
        return Pace(
            holds_from=cover.end,
            amount=cover.amount,
            scale=_weighted_year(cover.weights),
            down=whole,
        )

    def _settings_on(self, day: int) -> tuple[frozenset[int], tuple[int, ...]]:
        """Yearly rests and season weights in force on a day."""
        at = _in_force(self._said, day)
        return self._idle_months[at], self._weights[at]

    def _per_day(self, stretches: Iterable[_Stretch]) -> list[LowHigh]:
        """Low and high ticks of each day of stretches, which follow one another."""
        said = set(self._said)
        year: list[LowHigh] | None = None
        per_day = []
        for stretch in stretches:
            # what is in force changes only on a day when something was said
            if year is None or stretch.first in said:
                year = self._year_from(stretch.first)
            per_day.append(stretch.ticks or ((0, 0) if stretch.shut else year[stretch.month - 1]))
        return per_day

    def _year_from(self, day: int) -> list[LowHigh]:
        """Low and high ticks of a day in each of the twelve months, by what holds on a day."""
        alike = _in_force(self._said, day), _in_force(self._holds_from, day)
        year = self._years.get(alike)
        if year is None:
            idle_months, weights = self._idle_months[alike[0]], self._weights[alike[0]]
            working = self._paces[alike[1]].ticks_by_month(weights)
            year = [
                (0, 0) if month in idle_months else ticks
                for month, ticks in enumerate(working, start=1)
            ]
            self._years[alike] = year
        return year


def likely_between(low: Ticks, high: Ticks) -> Ticks:
    """The likely use of a day between its low and high, floored.

    It is the geometric mean, or the middle where low is 0.
    """
    return isqrt(low * high) if low else high // 2


def _in_force(days: Sequence[int], day: int) -> int:
    """Index of the last of rising days that is not after a day, or else of the first."""
    return max(bisect_right(days, day) - 1, 0)


def _last_said(said: Sequence[_T | None], unsaid: _T) -> list[_T]:
    """What is in force at each report: what it says itself, else what was said last before it.

    Args:
        unsaid: holds until something is said.
    """
    return list(
        accumulate(said, lambda before, now: before if now is None else now, initial=unsaid)
    )[1:]


def _weighted_year(weights: Sequence[int]) -> int:
    return sum(weight * days for weight, days in zip(weights, MONTH_DAYS, strict=True))


def _curve(
    days: tuple[int, ...], lengths: Sequence[int], rates: Sequence[Ticks], tail: Sequence[Ticks]
) -> Curve:
    used = accumulate(map(mul, rates, lengths), initial=0)
    return Curve(days, tuple(used), tuple(rates), Tail(days[-1], tuple(tail)))

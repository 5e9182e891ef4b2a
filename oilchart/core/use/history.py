"""What an owner said, turned into use: readings, totals, rates, rests and seasons.

Meter readings beat totals, totals beat rates. A total and a pair of readings fix their own days
only. On days that nothing covers the last earlier statement that can go on holds: a rate; or the
mean of totals, or of pairs of readings, since the last rate, newest first, until they span
`LEAST_ACTIVE_DAYS`. Where none can the first later one that can is assumed, and where there is
none either the mean of the short ones. One whose high end is 0 never goes on.

A rate is an average over the whole year: season weights shift it between months, rests take away;
but what is told by the year has its rests taken off already, and is spread over the other days.

Of a machine that was handed on, only what its present owner said is told here. What it was used for
before that day is unknown: their first statement is assumed backwards to that day and no further,
and no use of the days before it is counted but what they tell of them themselves. Until they tell
anything no use is known.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from functools import cached_property
from itertools import accumulate, pairwise, takewhile
from math import isqrt
from operator import mul
from typing import TypeVar

from oilchart.core.days import Span
from oilchart.core.units import HOUR, Speed, Ticks, ticks
from oilchart.core.use.curve import Curve, Curves, Tail, month_starts
from oilchart.core.use.report import FLAT_YEAR, MONTH_DAYS, Report

LowHigh = tuple[Ticks, Ticks]
PLAIN_SPEED = Speed()
NO_MONTHS: frozenset[int] = frozenset()
# a mean goes on only if it was measured over so many days that neither rest nor weigh nothing; the
# project's own rule
LEAST_ACTIVE_DAYS = 28
WIDEST_RANGE = 10  # so many times its low end is the high end of a range; the project's own rule
_T = TypeVar("_T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """Use that goes on until something else is said: a rate, or the mean of amounts.

    A day of season weight w has amount x w x scale // (down x S) ticks, S being the weighted year
    of the seasons in force on it.

    Args:
        scale, down: 365 and 1 for a rate, which is told by the day; for a mean down / scale are the
            weighted years over which its amounts were measured.
        left_out: months that have no part in the weighted year, their rest being counted in the
            amount already.
    """

    amount: LowHigh
    scale: int = 365
    down: int = 1
    left_out: frozenset[int] = NO_MONTHS

    def ticks_by_month(self, weights: Sequence[int]) -> list[LowHigh]:
        """Low and high ticks of a day that does not rest, in each of the twelve months."""
        year = self.down * _weighted_year(weights, self.left_out)
        if not year:
            return [(0, 0)] * len(weights)
        return [self._share(weight * self.scale, year) for weight in weights]

    def yearly_average(self) -> LowHigh:
        """Low and high ticks a day, averaged over a year; rests are ignored but where the amount
        counts them in."""
        return self._share(self.scale, self.down * 365)

    def _share(self, up: int, down: int) -> LowHigh:
        return self.amount[0] * up // down, self.amount[1] * up // down


@dataclass(frozen=True, slots=True, kw_only=True)
class CorrectedTotal:
    """A total of which more is left than its own days would have had by itself: something told
    later of the other days has corrected it.

    Args:
        dropped: ticks at its high end that are counted nowhere.
    """

    said: date
    since: date
    dropped: Ticks


@dataclass(slots=True, kw_only=True)
class _Cover:
    """An amount known for a span of days: a total, or what a meter ran between two readings.

    Args:
        first, end: ordinals; the end is the first day after the span.
        idle_months, weights: in force when it was said; the amount is spread by them.
        active: its days that do not rest and have a season weight.
        weighted: the season weights of those days together.
    """

    first: int
    end: int
    amount: LowHigh
    idle_months: frozenset[int]
    weights: tuple[int, ...]
    active: int = 0
    weighted: int = 0

    @property
    def tells_a_mean(self) -> bool:
        """Whether it has a part in what goes on."""
        return self.amount[1] > 0 and self.active > 0

    def alone(self, weight: int) -> LowHigh:
        """Low and high ticks that it gives by itself to a day of a weight; evenly, where all of its
        days rest."""
        up, down = (weight, self.weighted) if self.weighted else (1, self.end - self.first)
        return self.amount[0] * up // down, self.amount[1] * up // down


@dataclass(frozen=True, slots=True, kw_only=True)
class _Telling:
    """What one report tells of hours: a rate, the pair of readings it completes, a total."""

    said: int
    rate: Pace | None
    pair: _Cover | None
    total: _Cover | None

    @property
    def tells_use(self) -> bool:
        return not (self.rate is None and self.pair is None and self.total is None)


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

    def weight(self, cover: _Cover) -> int:
        """The season weight of each of its days in a span, 0 where they rest."""
        return 0 if self.shut or self.month in cover.idle_months else cover.weights[self.month - 1]


class UseHistory:
    """All that was said about one machine's use.

    Args:
        reports: in the order they were said.
        stays: spans in the shop, during which the machine rests.
        start: the first day that matters: the earliest work done.
        speed_on: turns a meter's stitches into hours, by the day on which it was read.
        handed_on: the day on which the owner had the machine from another; None where it always
            was theirs.
    """

    def __init__(
        self,
        reports: Sequence[Report],
        stays: Sequence[Span],
        start: date,
        speed_on: Callable[[date], Speed] = lambda day: PLAIN_SPEED,
        handed_on: date | None = None,
    ) -> None:
        self._speed_on = speed_on
        self._start = start.toordinal()
        self._said = [report.said.toordinal() for report in reports]
        pairs = [_run_between(reports, at, speed_on) for at in range(len(reports))]
        hours = [
            report.said.toordinal()
            for report, pair in zip(reports, pairs, strict=True)
            if pair is not None or report.rate is not None or report.total is not None
        ]
        # of none, one, two, ... reports said: what is in force
        self._idle_months = self._in_force([each.idle_months for each in reports], NO_MONTHS, hours)
        self._weights = self._in_force([each.weights for each in reports], FLAT_YEAR, hours)
        self._tellings = [
            self._telling(report, pair) for report, pair in zip(reports, pairs, strict=True)
        ]
        readings = [each.pair for each in self._tellings if each.pair is not None]
        totals = [each.total for each in self._tellings if each.total is not None]
        self._covers = readings + totals[::-1]  # from the strongest to the weakest
        shut = [span for report in reports for span in report.idle_spans] + list(stays)
        if handed_on is not None and handed_on > start:
            shut.append(Span(first=start, end=handed_on))
        self._stretches = self._cut(
            [(span.first.toordinal(), span.end.toordinal()) for span in shut]
        )
        self._paces: dict[int, tuple[Pace | None, bool]] = {}
        self._years: dict[int, list[LowHigh]] = {}
        self._corrected: list[CorrectedTotal] = []
        for cover in self._covers:
            inside = self._inside(cover)
            cover.active = sum(each.days for each in inside if each.weight(cover))
            cover.weighted = sum(each.days * each.weight(cover) for each in inside)
            self._spread(cover, inside)

    @property
    def is_known(self) -> bool:
        """Whether anything said gives a use; a lone meter reading does not, nor does nothing at all
        since some day."""
        return self._goes_on(len(self._tellings))[0] is not None

    @property
    def corrected_totals(self) -> tuple[CorrectedTotal, ...]:
        """The totals of which something is dropped, the one said last first."""
        return tuple(self._corrected)

    def is_assumed(self, first: date, as_of: date) -> bool:
        """Whether some day from one to another is not one that was told of, nor goes on from what
        was told before it."""
        covered = {each.first for each in self._stretches if each.ticks is not None}
        a, b = first.toordinal(), as_of.toordinal()
        cuts = {a, b, *(each.first for each in self._stretches if a < each.first < b)}
        return any(
            self._goes_on(self._told_by(day))[1] and self._stretch_of(day) not in covered
            for day in cuts
        )

    def is_of_few_days(self, day: date) -> bool:
        """Whether what goes on at a day is the mean of a few days only, all that was told."""
        return self._pace_at(self._told_by(day.toordinal())) is self._short_mean

    @property
    def ends_in_nothing(self) -> bool:
        """Whether the last that was told of hours is that nothing was sewn for a while."""
        last = next((each for each in reversed(self._tellings) if each.tells_use), None)
        if last is None or last.rate is not None:
            return False
        told = last.pair or last.total
        return told is not None and told.amount[1] == 0

    def average_on(self, day: date) -> LowHigh:
        """Low and high ticks a day of what goes on at a day, averaged over a year.

        Only where the use is known.
        """
        return self._pace_at(self._told_by(day.toordinal())).yearly_average()

    def curves(self) -> Curves:
        """Build the curves. Only where the use is known."""
        wanted = [stretch for stretch in self._stretches if stretch.end > self._start]
        per_day = self._per_day(wanted)
        tail_first = self._stretches[-1].end if self._stretches else self._start
        tail = self._year_from(tail_first)
        days = (*(stretch.first for stretch in wanted), tail_first)
        if days[0] < self._start:
            days = (self._start, *days[1:])
        lengths = [b - a for a, b in pairwise(days)]
        low, high = ([ticks[case] for ticks in (*per_day, *tail)] for case in (0, 1))
        least = list(map(no_less_than_a_tenth, low, high))
        likely = list(map(isqrt, map(mul, least, high)))
        careful = list(map(isqrt, map(mul, likely, high)))
        # where a plain number was said they are all one
        built: dict[tuple[Ticks, ...], Curve] = {}

        def curve(rates: list[Ticks]) -> Curve:
            known = built.get(tuple(rates))
            if known is None:
                known = _curve(days, lengths, rates[: len(lengths)], rates[len(lengths) :])
                built[tuple(rates)] = known
            return known

        return Curves(
            low=curve(low),
            least=curve(least),
            likely=curve(likely),
            careful=curve(careful),
            high=curve(high),
        )

    def _in_force(self, said: Sequence[_T | None], unsaid: _T, hours: Sequence[int]) -> list[_T]:
        """What is in force once none, one, two, ... reports were said: what was said of it last.

        Before anything is said of it, it is what is said of it first, if that is not said later
        than the first hours.
        """
        at = next((at for at, value in enumerate(said) if value is not None), None)
        before = unsaid
        if at is not None and hours and self._said[at] <= hours[0]:
            value = said[at]
            before = unsaid if value is None else value
        return list(
            accumulate(said, lambda held, now: held if now is None else now, initial=before)
        )

    def _told_by(self, day: int) -> int:
        """How many reports were said up to a day."""
        return bisect_right(self._said, day)

    def _telling(self, report: Report, run: tuple[date, Ticks] | None) -> _Telling:
        told = self._told_by(report.said.toordinal())
        rate = total = None
        if report.rate is not None:
            rate = Pace(
                amount=(report.rate.low, report.rate.high),
                scale=365,
                left_out=self._idle_months[told] if report.rate.yearly else NO_MONTHS,
            )
        if report.total is not None:
            amount = report.total.low, report.total.high
            total = self._cover(report.total.since, report.said, amount)
        pair = None if run is None else self._cover(run[0], report.said, (run[1], run[1]))
        return _Telling(said=report.said.toordinal(), rate=rate, pair=pair, total=total)

    def _cover(self, first: date, said: date, amount: LowHigh) -> _Cover:
        told = self._told_by(said.toordinal())
        return _Cover(
            first=first.toordinal(),
            end=said.toordinal(),
            amount=amount,
            idle_months=self._idle_months[told],
            weights=self._weights[told],
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

    def _inside(self, cover: _Cover) -> list[_Stretch]:
        return [stretch for stretch in self._stretches if cover.first <= stretch.first < cover.end]

    def _stretch_of(self, day: int) -> int | None:
        """The first day of the stretch that a day lies in; None after the last."""
        at = bisect_right(self._stretches, day, key=lambda stretch: stretch.first) - 1
        return self._stretches[at].first if at >= 0 and day < self._stretches[at].end else None

    def _spread(self, cover: _Cover, inside: Sequence[_Stretch]) -> None:
        """Spread what stronger statements leave of an amount over the days they leave, but give
        none of these more than the amount gives it by itself.

        For the low curve the stronger ones' high use is taken off, for the high curve their low
        use, so that the curves keep their order.
        """
        taken = [(stretch.days, stretch.ticks) for stretch in inside if stretch.ticks is not None]
        low = max(0, cover.amount[0] - sum(days * ticks[1] for days, ticks in taken))
        high = max(0, cover.amount[1] - sum(days * ticks[0] for days, ticks in taken))
        own = [stretch for stretch in inside if stretch.ticks is None]
        weights = [stretch.weight(cover) for stretch in own]
        spread = weights if any(weights) else [1] * len(own)
        whole = sum(weight * stretch.days for weight, stretch in zip(spread, own, strict=True))
        kept = 0
        for stretch, weight, share in zip(own, weights, spread, strict=True):
            most = cover.alone(weight)
            stretch.ticks = min(low * share // whole, most[0]), min(high * share // whole, most[1])
            kept += stretch.days * stretch.ticks[1]
        if high - kept >= HOUR:
            self._corrected.append(
                CorrectedTotal(
                    said=date.fromordinal(cover.end),
                    since=date.fromordinal(cover.first),
                    dropped=high - kept,
                )
            )

    def _goes_on(self, told: int) -> tuple[Pace | None, bool]:
        """What goes on where nothing is covered once so many reports were said, and whether that is
        assumed."""
        known = self._paces.get(told)
        if known is None:
            known = self._paces[told] = self._find_pace(told)
        return known

    def _find_pace(self, told: int) -> tuple[Pace | None, bool]:
        for at in reversed(range(told)):
            pace = self._tellings[at].rate or self._mean_back(at)
            if pace is not None:
                return pace, False
        for at in range(told, len(self._tellings)):
            pace = self._mean_back(at) or self._tellings[at].rate
            if pace is not None:
                return pace, True
        return self._short_mean, True

    @cached_property
    def _short_mean(self) -> Pace | None:
        """The mean of all readings, or else of all totals."""
        pairs = [each.pair for each in self._tellings if each.pair is not None]
        totals = [each.total for each in self._tellings if each.total is not None]
        return _mean(pairs) or _mean(totals)

    def _mean_back(self, at: int) -> Pace | None:
        """The mean that goes on from what a report tells of readings, or else in total; None where
        that and what was told since the last rate span too few days."""
        for kind in (_pair, _total):
            covers: list[_Cover] = []
            active = 0
            for earlier in reversed(self._tellings[: at + 1]):
                if earlier.rate is not None and earlier is not self._tellings[at]:
                    break
                cover = kind(earlier)
                if cover is not None and cover.tells_a_mean:
                    covers.append(cover)
                    active += cover.active
                elif earlier is self._tellings[at]:
                    break
                if active >= LEAST_ACTIVE_DAYS:
                    return _mean(covers)
        return None

    def _pace_at(self, told: int) -> Pace:
        pace, _ = self._goes_on(told)
        if pace is None:
            raise ValueError("no use is known")
        return pace

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
        told = self._told_by(day)
        year = self._years.get(told)
        if year is None:
            idle_months = self._idle_months[told]
            working = self._pace_at(told).ticks_by_month(self._weights[told])
            year = self._years[told] = [
                (0, 0) if month in idle_months else ticks
                for month, ticks in enumerate(working, start=1)
            ]
        return year


def no_less_than_a_tenth(low: Ticks, high: Ticks) -> Ticks:
    """The low end of a day's use, taken as no less than a tenth of its high end, floored."""
    return max(low, high // 10)


def likely_between(low: Ticks, high: Ticks) -> Ticks:
    """The likely use of a day between its low and high: their geometric mean, floored, the low one
    taken as no less than a tenth of the high one."""
    return isqrt(no_less_than_a_tenth(low, high) * high)


def _run_between(
    reports: Sequence[Report], at: int, speed_on: Callable[[date], Speed]
) -> tuple[date, Ticks] | None:
    """The earlier day and the ticks of the pair of readings that a report completes, if any; both
    are turned into hours at the speed of the later one."""
    report = reports[at]
    before = next(
        (earlier for earlier in reversed(reports[:at]) if earlier.reading is not None), None
    )
    if (
        report.reading is None
        or before is None
        or before.reading is None
        or report.reading.new_meter
    ):
        return None
    speed = speed_on(report.said)
    hours = speed.hours(report.reading.amount, report.reading.unit) - speed.hours(
        before.reading.amount, before.reading.unit
    )
    return before.said, ticks(hours)


def _pair(telling: _Telling) -> _Cover | None:
    return telling.pair


def _total(telling: _Telling) -> _Cover | None:
    return telling.total


def _mean(covers: Iterable[_Cover]) -> Pace | None:
    """The mean of amounts over their days that neither rest nor weigh nothing; None where there is
    none."""
    telling = [cover for cover in covers if cover.tells_a_mean]
    if not telling:
        return None
    years = sum(
        (Fraction(cover.weighted, _weighted_year(cover.weights)) for cover in telling), Fraction()
    )
    return Pace(
        amount=(
            sum(cover.amount[0] for cover in telling),
            sum(cover.amount[1] for cover in telling),
        ),
        scale=years.denominator,
        down=years.numerator,
    )


def _weighted_year(weights: Sequence[int], left_out: frozenset[int] = NO_MONTHS) -> int:
    return sum(
        weight * days
        for month, (weight, days) in enumerate(zip(weights, MONTH_DAYS, strict=True), start=1)
        if month not in left_out
    )


def _curve(
    days: tuple[int, ...], lengths: Sequence[int], rates: Sequence[Ticks], tail: Sequence[Ticks]
) -> Curve:
    used = accumulate(map(mul, rates, lengths), initial=0)
    return Curve(days, tuple(used), tuple(rates), Tail(days[-1], tuple(tail)))

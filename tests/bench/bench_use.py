"""Measures the use curves against plain ways to reckon the same; prints ratios from one run, which
hold on any machine.

By hand: python -m tests.bench.bench_use. `pytest` runs it once, short, to see that it still works
and that both ways agree.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise
from math import isqrt
from typing import Any

import pytest

from oilchart.core.units import HOUR
from oilchart.core.use.history import UseHistory
from oilchart.core.use.report import MONTH_DAYS, Report
from oilchart.sources.words.reader import read_report
from tests.bench.measure import TIMES, Figure, hold, seconds, tell

START = date(2024, 1, 1)
YEARS_DAYS = 2 * 366
CURVES = ("low", "least", "likely", "careful", "high")
WORDS = "5-8 hours a week; busy Oct-Dec x2; idle Jul-Aug"
REPORTS = (read_report(WORDS, START), read_report("4-7 hours a week", date(2025, 1, 15)))
WEIGHTED_YEAR = Fraction(
    sum(weight * days for weight, days in zip(REPORTS[0].weights or (), MONTH_DAYS, strict=True))
)


def use_on(day: date, reports: tuple[Report, ...]) -> int:
    """High ticks of one day, found afresh from the reports."""
    report = [each for each in reports if each.said <= day][-1]
    first = reports[0]
    assert report.rate is not None
    assert first.weights is not None
    if first.idle_months and day.month in first.idle_months:
        return 0
    year = sum(weight * days for weight, days in zip(first.weights, MONTH_DAYS, strict=True))
    return report.rate.high * first.weights[day.month - 1] * 365 // year


def by_bisection(limit: int) -> date:
    """The last day at whose start no more than the limit was used, by bisection over days, each
    time summing every day's use afresh."""
    low, high = 0, YEARS_DAYS
    while low < high:
        middle = (low + high + 1) // 2
        if sum(use_on(START + timedelta(days=at), REPORTS) for at in range(middle)) <= limit:
            low = middle
        else:
            high = middle - 1
    return START + timedelta(days=low)


def with_fractions() -> tuple[list[list[Fraction]], list[tuple[Fraction, ...]]]:
    """The use up to the start of each stretch on the five curves, and the hours a day of each month
    after them, all in Fractions."""
    cuts = sorted(
        {START, *(report.said for report in REPORTS)}
        | {date(year, month, 1) for year in (2024, 2025) for month in range(1, 13)}
    )
    cuts = [day for day in cuts if day <= REPORTS[-1].said]
    curves = [[Fraction(0)] for _ in CURVES]
    for first, end in pairwise(cuts):
        for curve, hours in zip(curves, hours_on(first), strict=True):
            curve.append(curve[-1] + hours * (end - first).days)
    return curves, [hours_on(date(2026, month, 1)) for month in range(1, 13)]


def hours_on(day: date) -> tuple[Fraction, ...]:
    """The hours of one day on each of the curves, as Fractions."""
    rate = [report for report in REPORTS if report.said <= day][-1].rate
    weights = REPORTS[0].weights
    assert rate is not None
    assert weights is not None
    share = (
        Fraction(0)
        if day.month in (REPORTS[0].idle_months or ())
        else Fraction(weights[day.month - 1] * 365) / WEIGHTED_YEAR
    )
    low, high = Fraction(rate.low, HOUR) * share, Fraction(rate.high, HOUR) * share
    least = max(low, high / 10)
    likely = mean(least, high)
    return low, least, likely, mean(likely, high), high


def mean(one: Fraction, other: Fraction) -> Fraction:
    """The geometric mean of two amounts of hours, down to a tick."""
    return Fraction(isqrt(int(one * HOUR) * int(other * HOUR)), HOUR)


def compare(times: int) -> tuple[float, float]:
    """The two ratios, an inversion against bisection and the curves against Fractions, once both
    ways have given the same."""
    history = UseHistory(REPORTS, [], START)
    curve = history.curves().high
    limit = curve.used_before((START + timedelta(days=700)).toordinal())
    assert curve.last_day_within(limit) == by_bisection(limit).toordinal()
    many = 200
    inversion = seconds(lambda: [curve.last_day_within(limit) for _ in range(many)], times) / many
    bisection = seconds(lambda: by_bisection(limit), max(3, times // 10))
    curves = history.curves()
    exact, _ = with_fractions()
    end = REPORTS[-1].said.toordinal()
    for name, expected in zip(CURVES, exact, strict=True):
        used = Fraction(getattr(curves, name).used_before(end), HOUR)
        assert abs(used - expected[-1]) < Fraction(1, 1_000)
    built = seconds(lambda: UseHistory(REPORTS, [], START).curves(), times)
    fractions = seconds(with_fractions, times)
    return bisection / inversion, fractions / built


def figures() -> Iterator[Figure]:
    """What one inversion and the five curves cost."""
    inversion, curves = compare(times=TIMES * 10)
    yield Figure(
        words="one inversion is {:.0f} times as fast as bisection over two years of days",
        value=inversion,
        least=200,
    )
    yield Figure(
        words="the five curves are built {:.1f} times as fast as with Fractions",
        value=curves,
        least=5,
    )


def test_the_benchmark_runs_and_both_ways_agree() -> None:
    assert len(compare(times=3)) == 2


@pytest.mark.full
def test_curves_are_fast(record_property: Any) -> None:
    hold(figures(), record_property)


if __name__ == "__main__":
    tell(figures())

"""Months that clamp at their end, days past the last year, and the days on which the bench is
open."""

from __future__ import annotations

import random
from datetime import date, timedelta

import pytest
from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.days import OpenDays, Span, add_days, add_months
from tests.counts import counted

CHRISTMAS = Span(first=date(2026, 12, 24), end=date(2027, 1, 4))  # Thursday up to and with Sunday


@pytest.mark.parametrize(
    ("day", "months", "then"),
    [
        # an ordinary month
        (date(2026, 11, 25), 3, date(2027, 2, 25)),
        (date(2026, 11, 25), 0, date(2026, 11, 25)),
        (date(2026, 12, 1), 1, date(2027, 1, 1)),
        # clamped to the end of the month reached
        (date(2026, 1, 31), 1, date(2026, 2, 28)),
        (date(2024, 1, 31), 1, date(2024, 2, 29)),
        (date(2026, 8, 31), 1, date(2026, 9, 30)),
        (date(2024, 2, 29), 12, date(2025, 2, 28)),
        (date(2024, 2, 29), 48, date(2028, 2, 29)),
        (date(2096, 2, 29), 48, date(2100, 2, 28)),  # 2100 is no leap year
        # the day is clamped, not lost: from 31 January two months are 31 March
        (date(2026, 1, 31), 2, date(2026, 3, 31)),
        # past the year 9999
        (date(9999, 11, 30), 1, date(9999, 12, 30)),
        (date(9999, 12, 1), 1, date.max),
        (date(9998, 6, 1), 600, date.max),
    ],
)
def test_months_go_forward_to_the_same_day_or_the_end_of_the_month(
    day: date, months: int, then: date
) -> None:
    assert add_months(day, months) == then


def test_months_are_never_chained_since_a_chain_loses_days() -> None:
    chained = add_months(add_months(date(2026, 1, 31), 1), 1)
    assert chained == date(2026, 3, 28)
    assert add_months(date(2026, 1, 31), 2) == date(2026, 3, 31)


@pytest.mark.parametrize(
    ("day", "days", "then"),
    [
        (date.max, 1, date.max),
        (date(9999, 12, 30), 1, date.max),
        (date.min, -1, date.min),
        (date(1, 1, 5), -100, date.min),
        (date(2026, 11, 25), -25, date(2026, 10, 31)),
    ],
)
def test_days_past_either_end_of_the_calendar_are_its_end(day: date, days: int, then: date) -> None:
    assert add_days(day, days) == then


def test_a_shop_that_is_shut_to_the_end_of_the_calendar_opens_there() -> None:
    years = [Span(first=date(year, 1, 1), end=date(year + 1, 1, 1)) for year in range(1, 9999)]
    always = OpenDays(closures=(*reversed(years), Span(first=date(9999, 1, 1), end=date.max)))
    assert always.latest_open(date(2026, 11, 25)) == date.min
    assert always.first_open(date(2026, 11, 25)) == date.max
    from_2027 = OpenDays(closures=tuple(years[2026:]))
    assert from_2027.latest_open(date(9000, 1, 1)) == date(2026, 12, 31)
    assert from_2027.first_open(date(2027, 1, 1)) == date(9999, 1, 1)


# Month arithmetic against dateutil's relativedelta, the common library for it.


@counted
@given(st.dates(date(1, 1, 1), date(9000, 12, 31)), st.integers(0, 600))
def test_months_are_those_of_dateutil(day: date, months: int) -> None:
    assert add_months(day, months) == day + relativedelta(months=months)


def test_months_are_those_of_dateutil_on_random_days(tries: int) -> None:
    draw = random.Random(20_261_125)
    first, last = date(1900, 1, 1).toordinal(), date(2200, 12, 31).toordinal()
    for _ in range(tries):
        day, months = date.fromordinal(draw.randint(first, last)), draw.randint(0, 130)
        assert add_months(day, months) == day + relativedelta(months=months), (day, months)


@pytest.mark.parametrize(
    ("day", "days", "then"),
    [
        (date(2026, 11, 25), 0, date(2026, 11, 25)),
        (date(2026, 12, 25), 10, date(2027, 1, 4)),
        (date(2024, 2, 28), 1, date(2024, 2, 29)),
        (date(9999, 12, 30), 1, date.max),
        (date(9999, 12, 31), 1, date.max),
        (date(2026, 1, 1), 10**9, date.max),
    ],
)
def test_days_go_forward_to_the_last_day_there_is(day: date, days: int, then: date) -> None:
    assert add_days(day, days) == then


@pytest.mark.parametrize(
    ("day", "latest", "first"),
    [
        # an open day is its own
        (date(2026, 11, 25), date(2026, 11, 25), date(2026, 11, 25)),
        # Saturday and Sunday
        (date(2026, 11, 28), date(2026, 11, 27), date(2026, 11, 30)),
        (date(2026, 11, 29), date(2026, 11, 27), date(2026, 11, 30)),
        # shut from Christmas Eve to the Sunday after New Year; the day before and the day after are
        # open
        (date(2026, 12, 23), date(2026, 12, 23), date(2026, 12, 23)),
        (date(2026, 12, 24), date(2026, 12, 23), date(2027, 1, 4)),
        (date(2026, 12, 28), date(2026, 12, 23), date(2027, 1, 4)),
        (date(2027, 1, 3), date(2026, 12, 23), date(2027, 1, 4)),
        (date(2027, 1, 4), date(2027, 1, 4), date(2027, 1, 4)),
        # the last day there is, a Friday
        (date.max, date.max, date.max),
    ],
)
def test_the_nearest_open_days_around_a_day(day: date, latest: date, first: date) -> None:
    bench = OpenDays(closures=(CHRISTMAS,))
    assert bench.latest_open(day) == latest
    assert bench.first_open(day) == first


def test_a_shop_may_open_on_one_day_of_the_week_only() -> None:
    saturdays = OpenDays(weekdays=frozenset({5}))
    assert saturdays.latest_open(date(2026, 11, 25)) == date(2026, 11, 21)
    assert saturdays.first_open(date(2026, 11, 25)) == date(2026, 11, 28)


some_days = st.dates(date(2026, 1, 1), date(2027, 12, 31))
closures = st.builds(
    lambda first, days: Span(first=first, end=first + timedelta(days=days)),
    some_days,
    st.integers(1, 40),
)
weekdays = st.frozensets(st.integers(0, 6), min_size=1)
benches = st.builds(OpenDays, weekdays=weekdays, closures=st.lists(closures, max_size=4).map(tuple))


@counted
@given(benches, some_days)
def test_there_is_no_open_day_between_a_day_and_its_nearest_open_ones(
    bench: OpenDays, day: date
) -> None:
    latest, first = bench.latest_open(day), bench.first_open(day)
    assert latest <= day <= first
    assert bench.is_open(latest)
    assert bench.is_open(first)
    shut = [latest + timedelta(days=n) for n in range(1, (first - latest).days)]
    assert not any(bench.is_open(between) for between in shut)

"""The closed-form use curves against the day-by-day simulation, and what must hold for every
machine."""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.days import Span
from oilchart.core.due.due_dates import window
from oilchart.core.point_lists.interval import Factors, Step, allowance
from oilchart.core.units import HOUR, Speed
from oilchart.core.use.history import UseHistory
from tests.builders.told_machine import report_of
from tests.counts import counted
from tests.oracles import day_by_day
from tests.oracles.day_by_day import DayByDay, Period, Statement

DAY_ZERO = date(2023, 1, 1)
LAST_DAY = date(2029, 12, 31)
NO_SEASONS = (1,) * 12
PERIODS: tuple[Period, ...] = ("day", "week", "month", "year")

days = st.integers(0, 1_000).map(lambda n: DAY_ZERO + timedelta(days=n))
hours = st.integers(0, 2_000).map(lambda n: Fraction(n, 100)) | st.sampled_from(
    [Fraction(1, 2), Fraction(6), Fraction(7), Fraction(2, 3)]
)
rates = st.tuples(hours, hours, st.sampled_from(PERIODS)).map(
    lambda drawn: day_by_day.Rate(low=min(drawn[:2]), high=max(drawn[:2]), per=drawn[2])
)
months = st.sets(st.integers(1, 12), max_size=5).map(frozenset)
weights = st.lists(st.integers(0, 4), min_size=12, max_size=12).filter(any).map(tuple)
spans = st.tuples(days, st.integers(1, 200)).map(
    lambda drawn: (drawn[0], drawn[0] + timedelta(days=drawn[1]))
)


@st.composite
def totals(draw: st.DrawFn, said: date) -> day_by_day.Total:
    """Hours said for the days from one up to the day on which they were said."""
    low, high = sorted((draw(hours) * 20, draw(hours) * 20))
    since = said - timedelta(days=draw(st.integers(1, 500)))
    return {"low": low, "high": high, "since": since}


@st.composite
def statements(draw: st.DrawFn) -> list[Statement]:
    """What one owner said, in order; readings rise and never fall on one day."""
    told = []
    shown = Fraction(0)
    read_days: set[date] = set()
    for said in sorted(draw(st.lists(days, min_size=1, max_size=5))):
        statement: Statement = {
            "said": said,
            "rate": draw(st.none() | rates),
            "total": draw(st.none() | totals(said)),
            "reading": None,
            "new_meter": False,
            "idle_months": draw(st.none() | months),
            "weights": draw(st.none() | st.just(NO_SEASONS) | weights),
            "idle_spans": draw(st.lists(spans, max_size=2)),
        }
        if said not in read_days and draw(st.integers(0, 3)) == 0:
            shown += draw(hours) * 10
            statement["new_meter"] = draw(st.booleans())
            statement["reading"] = shown
            read_days.add(said)
        told.append(statement)
    return told


shares = st.sampled_from([Fraction(1), Fraction(3, 10), Fraction(1, 20), Fraction(1, 3)])
factors = st.sampled_from([Fraction(1), Fraction(1, 2), Fraction(7, 10), Fraction(1, 4)])
limits = st.integers(1, 300).map(Fraction) | st.sampled_from([Fraction(5, 2), Fraction(1_000)])
speed = Speed(needle_share=Fraction(1, 4), stitches_a_minute=Fraction(800))


@counted
@given(statements(), st.lists(spans, max_size=2), days, limits, factors, shares)
def test_due_by_use_equals_the_day_by_day_simulation(
    told: list[Statement],
    stays: list[day_by_day.Span],
    done: date,
    limit: Fraction,
    factor: Fraction,
    share: Fraction,
) -> None:
    limit_ticks = int(limit * HOUR * factor / share // 1)
    by_hand = DayByDay(told, stays).due_by_use(done, lambda day: limit_ticks, LAST_DAY)
    history = UseHistory(
        [report_of(statement) for statement in told], [Span(first=a, end=b) for a, b in stays], done
    )
    if by_hand is None:
        assert not history.is_known
        return
    allowed = allowance(Step(limit=limit), speed=speed, share=share, factors=Factors(use=factor))
    due = window(history.curves(), done, allowed)
    found = [
        None if day is None or day > LAST_DAY else day
        for day in (due.latest, due.likely, due.careful, due.earliest)
    ]
    low, _, likely, careful, high = by_hand
    assert found == [low, likely, careful, high]


@counted
@given(statements(), st.lists(spans, max_size=2), days, st.integers(0, 900))
def test_use_between_two_days_equals_the_day_by_day_simulation(
    told: list[Statement], stays: list[day_by_day.Span], first: date, length: int
) -> None:
    end = first + timedelta(days=length)
    by_hand = DayByDay(told, stays).used(first, end)
    history = UseHistory(
        [report_of(statement) for statement in told],
        [Span(first=a, end=b) for a, b in stays],
        first,
    )
    if by_hand is None:
        assert not history.is_known
        return
    curves = history.curves()
    found = [
        curve.used_before(end.toordinal()) - curve.used_before(first.toordinal())
        for curve in (curves.low, curves.least, curves.likely, curves.careful, curves.high)
    ]
    assert found == list(by_hand)
    assert history.is_assumed(first, first) is DayByDay(told, stays).is_assumed(first)


@counted
@given(statements(), st.lists(spans, max_size=2))
def test_what_is_dropped_of_totals_equals_the_day_by_day_simulation(
    told: list[Statement], stays: list[day_by_day.Span]
) -> None:
    by_hand = DayByDay(told, stays).dropped
    history = UseHistory(
        [report_of(statement) for statement in told],
        [Span(first=a, end=b) for a, b in stays],
        DAY_ZERO,
    )
    expected = {
        (told[number]["said"], total["since"], int(dropped))
        for number, dropped in by_hand.items()
        if (total := told[number]["total"]) is not None
    }
    found = {(each.said, each.since, each.dropped) for each in history.corrected_totals}
    assert found == expected

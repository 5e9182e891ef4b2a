"""When work falls due: exact landings, rests, the earlier of two limits, windows, and the states
that follow."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.days import OpenDays
from oilchart.core.due.due_dates import (
    NEVER,
    Because,
    State,
    Window,
    first_window,
    one_day,
    state,
)
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Notice, Schedule
from oilchart.core.point_lists.point_list import Point
from oilchart.core.records.machine import Service
from tests.builders.make import SEIZES, TODAY, a_machine, a_point
from tests.builders.present import careful, earliest, latest, likely, the
from tests.counts import counted

DONE = date(2026, 3, 2)


def schedule_of(
    *points: Point, as_of: date = TODAY, lead_days: int = 14, **machine: Any
) -> Schedule:
    return Reckoning(
        a_machine(*points, **machine), open_days=OpenDays(), lead_days=lead_days
    ).schedule(as_of)


def due_of(every: str, use: str | None, done: date = DONE) -> Window:
    return the(schedule_of(a_point(every=every), use=use, served=done).points[0].due, "window")


@pytest.mark.parametrize(
    ("every", "use", "days"),
    [
        # exact landings: the last day at whose start no more than the limit was used
        ("12 hours or 2 years", "6 hours a week", 14),
        ("9 hours or 2 years", "4.5 hours a week", 14),  # a float rate loses a day here
        ("10 hours or 2 years", "60 minutes a day", 10),
        ("1 hours or 2 years", "40 minutes a day", 1),
        # 40 h at 5 to 8 hours a week, likely the geometric mean 6.3246: 5, 6.3246 and 8 weeks
        ("40 hours or 2 years", "5-8 hours a week", 44),
    ],
)
def test_the_likely_due_date_by_use(every: str, use: str, days: int) -> None:
    due = due_of(every, use)
    assert due.likely == DONE + timedelta(days=days)
    assert due.because is Because.USE


def test_a_range_of_use_gives_a_window_of_weeks() -> None:
    # arithmetic: 40 h / 8 = 5 weeks, 40 h / sqrt(40) = 6.3246 weeks = 44.27 days, 40 h / 5 = 8
    # weeks
    due = due_of("40 hours or 2 years", "5-8 hours a week")
    assert due.earliest == DONE + timedelta(weeks=5)
    assert due.likely == DONE + timedelta(days=44)
    assert due.latest == DONE + timedelta(weeks=8)


def test_a_rest_is_taken_to_its_last_day() -> None:
    # 17 weeks and 3 days from 2 March to 1 July: at 7 hours a week the 121st hour is used up on 30
    # June
    due = due_of("121 hours or 2 years", "7 hours a week; idle Jul-Aug")
    assert due.likely == date(2026, 9, 1)
    assert due_of("120 hours or 2 years", "7 hours a week; idle Jul-Aug").likely == date(
        2026, 6, 30
    )


def test_a_rest_that_is_still_to_come_is_taken_to_its_last_day_too() -> None:
    # an hour a day from 2 March 2027, after all that was said: 121 hours are used up on 30 June,
    # and July and August rest
    due = due_of("121 hours or 2 years", "7 hours a week; idle Jul-Aug", done=date(2027, 3, 2))
    assert due.likely == date(2027, 9, 1)


@pytest.mark.parametrize(
    ("every", "use", "on", "because"),
    [
        # the earlier limit counts
        ("8-10 hours or 3 months", "1 hours a month", date(2026, 6, 2), Because.TIME),
        ("8-10 hours or 3 months", "7 hours a week", date(2026, 3, 12), Because.USE),
        # a tie says use: 92 hours at an hour a day and 3 months both end on 2 June
        ("92 hours or 3 months", "1 hours a day", date(2026, 6, 2), Because.USE),
        # no use at all: the limit at rest
        ("8-10 hours or 3 months", "none", date(2026, 6, 2), Because.TIME),
        # limits of time alone
        ("12 months", "7 hours a week", date(2027, 3, 2), Because.TIME),
        ("4 weeks", None, date(2026, 3, 30), Because.TIME),
    ],
)
def test_the_earlier_of_use_and_time_counts(
    every: str, use: str | None, on: date, because: Because
) -> None:
    due = due_of(every, use)
    assert (due.likely, due.because) == (on, because)


def test_without_a_report_only_time_limits_count_and_it_is_said() -> None:
    schedule = schedule_of(a_point(every="8 hours or 3 months"), served=DONE)
    assert schedule.points[0].due == one_day(date(2026, 6, 2))
    assert schedule.notices == (Notice.NO_REPORT,)


def test_a_report_said_after_the_first_service_is_assumed_backwards_and_it_is_said() -> None:
    assert schedule_of(a_point(), use="6 hours a week", said=TODAY, served=DONE).notices == (
        Notice.ASSUMED_BACKWARDS,
    )
    assert schedule_of(a_point(), use="6 hours a week", said=DONE, served=DONE).notices == ()
    # a total that reaches back to the service leaves nothing to assume
    assert schedule_of(a_point(), use="120 hours since 2026-03-02", served=DONE).notices == ()
    assert schedule_of(a_point(), use="120 hours since 2026-03-03", served=DONE).notices == (
        Notice.ASSUMED_BACKWARDS,
    )


@pytest.mark.parametrize(("said", "old"), [(date(2025, 11, 25), False), (date(2025, 11, 24), True)])
def test_a_report_is_old_after_12_months(said: date, old: bool) -> None:
    notices = schedule_of(
        a_point(), use="6 hours a week", said=said, served=date(2026, 1, 5)
    ).notices
    assert (Notice.OLD_REPORT in notices) is old


@pytest.mark.parametrize(
    ("every", "days"),
    [("1 week, then 4 weeks, then 3 months", [7, 28, 92, 92])],
)
def test_steps_follow_each_other_and_the_last_repeats(every: str, days: list[int]) -> None:
    machine = a_machine(a_point(every=every))
    day = date(2026, 3, 2)
    for stretch in days:
        machine = replace(
            machine, services=(*machine.services, Service(on=day, done=frozenset({"hook"})))
        )
        schedule = Reckoning(machine, open_days=OpenDays(), lead_days=14).schedule(TODAY)
        due = likely(schedule.points[0].due)
        expected = day + timedelta(days=stretch) if stretch < 92 else None
        assert due == (expected or date(day.year, day.month + 3, day.day))
        day = due


def test_a_point_never_done_on_a_served_machine_counts_from_its_first_service() -> None:
    schedule = schedule_of(
        a_point("a", every="12 months"), a_point("b", every="12 months"), served=DONE, done=["a"]
    )
    assert [plan.done for plan in schedule.points] == [DONE, DONE]


@pytest.mark.parametrize(
    ("today", "expected"),
    [
        # earliest 6 April, careful 10 April, which decides, likely 15 April, latest 27 April; the
        # service is planned for 10 April, 13 days ahead
        (date(2026, 3, 27), State.IN_TIME),
        (date(2026, 3, 28), State.DUE_SOON),
        (date(2026, 4, 10), State.DUE_SOON),
        (date(2026, 4, 11), State.MAYBE_OVERDUE),
        (date(2026, 4, 15), State.MAYBE_OVERDUE),
        (date(2026, 4, 16), State.LIKELY_OVERDUE),
        (date(2026, 4, 27), State.LIKELY_OVERDUE),
        (date(2026, 4, 28), State.OVERDUE),
    ],
)
def test_a_machine_is_overdue_only_after_the_day_it_is_due(today: date, expected: State) -> None:
    schedule = schedule_of(
        a_point(every="40 hours or 2 years", if_dry=SEIZES),
        use="5-8 hours a week",
        said=DONE,
        served=DONE,
        as_of=today,
        lead_days=13,
    )
    assert schedule.due == Window(
        earliest=date(2026, 4, 6),
        careful=date(2026, 4, 10),
        likely=date(2026, 4, 15),
        latest=date(2026, 4, 27),
        because=Because.USE,
    )
    assert schedule.state is expected
    assert schedule.points[0].state is expected


def test_owner_points_have_a_window_but_no_state_and_do_not_make_a_machine_overdue() -> None:
    owners, benchs = (
        a_point("a", every="1 hours or 1 month", keeper="owner"),
        a_point("b", every="12 months"),
    )
    schedule = schedule_of(owners, benchs, use="8 hours a week", served=DONE)
    assert schedule.points[0].state is None
    assert schedule.points[0].due is not None
    assert schedule.state is State.IN_TIME


def test_a_machine_never_served_wants_its_first_service_and_has_no_dates() -> None:
    schedule = schedule_of(
        a_point("a"), a_point("b", deep=True, every="3 years"), use="8 hours a week"
    )
    assert schedule.state is State.FIRST_SERVICE
    assert [(plan.done, plan.due, plan.state) for plan in schedule.points] == [
        (None, None, None)
    ] * 2
    assert schedule.due.days_left(TODAY) is None
    [service] = schedule.services
    # the day it came and the lead: in no book, that is today
    assert (service.on, service.late, [point.id for point in service.points]) == (
        date(2026, 12, 9),
        False,
        ["a", "b"],
    )


def test_never_sewing_and_no_limit_at_rest_is_never_due() -> None:
    stands = state(NEVER, wanted_by=None, service_on=None, today=TODAY, lead_days=14)
    assert stands is State.IN_TIME
    assert first_window([NEVER, NEVER]) == NEVER


def test_a_machines_dates_are_each_the_first_over_its_bench_points() -> None:
    by_use = Window(
        earliest=date(2026, 1, 1),
        careful=date(2026, 4, 5),
        likely=date(2026, 5, 1),
        latest=None,
        because=Because.USE,
    )
    by_time = one_day(date(2026, 4, 1))
    assert first_window([by_use, by_time]) == Window(
        earliest=date(2026, 1, 1),
        careful=date(2026, 4, 1),
        likely=date(2026, 4, 1),
        latest=date(2026, 4, 1),
        because=Because.TIME,
    )


Range = tuple[float, float]
rates = st.tuples(st.integers(0, 4_000), st.integers(0, 4_000)).map(
    lambda pair: (min(pair) / 100, max(pair) / 100)
)


@counted
@given(rates, st.integers(1, 300), st.integers(1, 36))
def test_earliest_likely_and_latest_keep_their_order_within_the_limit_at_rest(
    rate: Range, limit: int, months: int
) -> None:
    due = due_of(f"{limit} hours or {months} months", f"{rate[0]}-{rate[1]} hours a week")
    by_time = likely(due_of(f"{months} months", None))
    assert earliest(due) <= careful(due) <= likely(due) <= latest(due) <= by_time


@counted
@given(rates, st.integers(0, 500), st.integers(1, 300))
def test_more_sewing_never_moves_a_date_later(rate: Range, more: int, limit: int) -> None:
    less_due = due_of(f"{limit} hours or 10 years", f"{rate[0]}-{rate[1]} hours a week")
    more_due = due_of(
        f"{limit} hours or 10 years",
        f"{rate[0] + more / 100:.2f}-{rate[1] + more / 100:.2f} hours a week",
    )
    assert earliest(more_due) <= earliest(less_due)
    assert careful(more_due) <= careful(less_due)
    assert likely(more_due) <= likely(less_due)
    assert latest(more_due) <= latest(less_due)


@counted
@given(rates, st.integers(1, 300))
def test_the_ends_of_a_window_are_the_plain_due_dates_of_the_ends_of_the_range(
    rate: Range, limit: int
) -> None:
    due = due_of(f"{limit} hours or 10 years", f"{rate[0]}-{rate[1]} hours a week")
    assert due.latest == due_of(f"{limit} hours or 10 years", f"{rate[0]} hours a week").likely
    assert due.earliest == due_of(f"{limit} hours or 10 years", f"{rate[1]} hours a week").likely

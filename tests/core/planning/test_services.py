"""The next service: its day, its points, and the calls before it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import partial
from typing import Any

import pytest

from oilchart.core.days import OpenDays, Span
from oilchart.core.due.due_dates import State
from oilchart.core.planning.call_plan import WantedService, plan_calls
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.services import PlannedService
from oilchart.core.point_lists.point_list import Point
from tests.builders.make import SEIZES, TODAY, a_machine, a_point

CLOSED_FOR_CHRISTMAS = OpenDays(closures=(Span(first=date(2026, 12, 24), end=date(2027, 1, 4)),))


def next_service(
    *points: Point, today: date = TODAY, open_days: OpenDays = CLOSED_FOR_CHRISTMAS, **machine: Any
) -> PlannedService:
    schedule = Reckoning(a_machine(*points, **machine), open_days=open_days, lead_days=14).schedule(
        today
    )
    [service] = schedule.services
    return service


def ids(service: PlannedService) -> list[str]:
    return [point.id for point in service.points]


@pytest.mark.parametrize(
    ("served", "every", "on", "late"),
    [
        # due on a Friday, a Saturday and a Sunday: the Friday
        (date(2026, 3, 5), "12 months", date(2027, 3, 5), False),
        (date(2026, 3, 6), "12 months", date(2027, 3, 5), False),
        (date(2026, 3, 7), "12 months", date(2027, 3, 5), False),
        # due within the closure: the last day before it
        (date(2026, 1, 3), "12 months", date(2026, 12, 23), False),
        # due today, on a Wednesday
        (date(2025, 11, 25), "12 months", TODAY, False),
        # due yesterday: the first open day from today, and late
        (date(2025, 11, 24), "12 months", TODAY, True),
    ],
)
def test_the_next_service_is_the_latest_open_day_in_time(
    served: date, every: str, on: date, late: bool
) -> None:
    service = next_service(a_point(every=every), served=served)
    assert (service.on, service.late) == (on, late)


def test_a_machine_never_served_is_wanted_the_lead_after_it_came() -> None:
    machine = replace(a_machine(a_point()), came=date(2026, 11, 14))
    reckoning = Reckoning(machine, open_days=OpenDays(), lead_days=14)
    told = {}
    for today in (date(2026, 11, 14), date(2026, 11, 28), date(2026, 11, 29)):
        schedule = reckoning.schedule(today)
        [service] = schedule.services
        told[today] = (service.on, service.late, schedule.days_left)
        assert schedule.state is State.FIRST_SERVICE
    # 28 November is a Saturday: the last open day in time is Friday the 27th; on the day itself the
    # next open one is Monday the 30th, which is late
    assert told == {
        date(2026, 11, 14): (date(2026, 11, 27), False, 14),
        date(2026, 11, 28): (date(2026, 11, 30), True, 0),
        date(2026, 11, 29): (date(2026, 11, 30), True, -1),
    }


def test_a_point_that_seizes_is_served_by_its_careful_date() -> None:
    plain = a_point("plain", every="40 hours or 2 years")
    # 5 weeks at most, 8 at least: 44 days from 25 November is Friday 8 January; careful use is
    # sqrt(6.32 x 8) = 7.11 hours a week, 39 days from 25 November are 3 January, and the last open
    # day before the closure is 23 December
    assert next_service(plain, use="5-8 hours a week", served=TODAY).on == date(2027, 1, 8)
    assert next_service(
        a_point("s", every="40 hours or 2 years", if_dry=SEIZES),
        use="5-8 hours a week",
        served=TODAY,
    ).on == date(2026, 12, 23)


def test_deep_work_waits_until_it_would_fall_due_before_the_service_after() -> None:
    yearly, deep = (
        a_point("yearly", every="12 months"),
        a_point("deep", every="30 months", deep=True),
    )
    open_always = OpenDays(weekdays=frozenset(range(7)))
    first = next_service(
        yearly, deep, served=date(2026, 3, 2), today=date(2026, 3, 2), open_days=open_always
    )
    # on 2 March 2027 the next service is 2 March 2028, and the deep point is due on 2 September
    # 2028: it waits
    assert (first.on, ids(first)) == (date(2027, 3, 2), ["yearly"])
    machine = a_machine(yearly, deep, served=date(2026, 3, 2))
    reckoning = Reckoning(machine, open_days=open_always, lead_days=14)
    # a year later the service after would be 2 March 2029
    assert [point.id for point in reckoning.points_at(date(2028, 3, 2))] == ["yearly", "deep"]
    assert [point.id for point in reckoning.points_at(date(2027, 9, 1))] == ["yearly"]
    # due on the very day of the service after: it is done in time there
    assert [point.id for point in reckoning.points_at(date(2027, 9, 2))] == ["yearly"]
    assert [point.id for point in reckoning.points_at(date(2027, 9, 3))] == ["yearly", "deep"]


def test_each_service_points_are_done_at_every_service() -> None:
    service = next_service(
        a_point("yearly", every="12 months"),
        a_point("test", every="each service"),
        served=date(2026, 3, 2),
    )
    assert ids(service) == ["yearly", "test"]


def test_a_machine_whose_points_never_fall_due_has_no_service() -> None:
    schedule = Reckoning(
        a_machine(a_point(every="each service"), served=TODAY), open_days=OpenDays(), lead_days=14
    ).schedule(TODAY)
    assert schedule.services == ()


def day_of_call(service: date, today: date, open_days: OpenDays) -> date:
    """The day of the only call that is planned for a service."""
    wanted = [WantedService(owner=1, machine=1, on=service)]
    [call] = plan_calls(wanted, today=today, open_days=open_days, lead_days=14)
    return call.on


@pytest.mark.parametrize(
    ("service", "call"),
    [
        # two weeks before a Wednesday; before a Friday
        (date(2027, 3, 3), date(2027, 2, 17)),
        (date(2027, 3, 5), date(2027, 2, 19)),
        # two weeks before falls into the closure: the last day before it
        (date(2027, 1, 11), date(2026, 12, 23)),
        # past already: today
        (date(2026, 11, 30), TODAY),
    ],
)
def test_a_call_comes_the_lead_before_the_service_but_not_before_today(
    service: date, call: date
) -> None:
    assert day_of_call(service, TODAY, CLOSED_FOR_CHRISTMAS) == call


def test_a_call_that_is_late_on_a_saturday_comes_on_monday() -> None:
    saturday = date(2026, 11, 28)
    assert day_of_call(saturday, saturday, OpenDays()) == date(2026, 11, 30)


def test_one_call_serves_an_owners_services_within_60_days_of_the_first() -> None:
    first = date(2027, 3, 3)
    wanted = [
        WantedService(owner=1, machine=1, on=first),
        WantedService(owner=2, machine=9, on=first),
        WantedService(owner=1, machine=2, on=first + timedelta(days=60)),
        WantedService(owner=1, machine=3, on=first + timedelta(days=61)),
        # within 60 days of the third, which begins a call of its own
        WantedService(owner=1, machine=4, on=first + timedelta(days=121)),
    ]
    calls = plan_calls(reversed(wanted), today=TODAY, open_days=OpenDays(), lead_days=14)
    assert [
        (call.owner, call.on, [service.machine for service in call.services]) for call in calls
    ] == [
        (1, date(2027, 2, 17), [1, 2]),
        (2, date(2027, 2, 17), [9]),
        (1, date(2027, 4, 19), [3, 4]),
    ]


def test_who_was_promised_two_days_is_rung_on_the_later_one() -> None:
    promised = {1: date(2026, 12, 7), 2: date(2026, 12, 14)}
    wanted = [
        WantedService(owner=1, machine=machine, on=date(2027, 3, 3), ring_on=day)
        for machine, day in promised.items()
    ]
    [call] = plan_calls(wanted, today=TODAY, open_days=OpenDays(), lead_days=14)
    assert call.on == date(2026, 12, 14)


def test_of_calls_that_waited_as_long_the_one_with_the_most_to_lose_is_made_first() -> None:
    # four machines overdue, one call a day. Before: by the number of their owner, since the bench
    # had room for all of them today
    overdue = {1: 5, 2: 54, 3: 130, 4: 205}
    wanted = [
        WantedService(
            owner=owner, machine=owner, on=TODAY, wanted_by=TODAY - timedelta(days=days), weight=3
        )
        for owner, days in overdue.items()
    ]
    one_a_day = partial(plan_calls, today=TODAY, open_days=OpenDays(), lead_days=14, limit=1)
    calls = one_a_day(wanted)
    assert [call.owner for call in calls] == [4, 3, 2, 1]
    assert calls[0].waits_since == OpenDays().latest_open(TODAY - timedelta(days=205 + 14))
    # as long overdue: by chance times harm, then by the owner's number
    alike = [
        replace(each, wanted_by=TODAY - timedelta(days=30), weight=weight)
        for each, weight in zip(wanted, (0.5, 3, 1, 3), strict=True)
    ]
    assert [call.owner for call in one_a_day(alike)] == [2, 4, 3, 1]


def test_a_call_in_time_waits_for_nothing_and_no_room_late_puts_one_off() -> None:
    # wanted in 20 days, room on the bench in 90 only: rung in 6 days all the same
    late = WantedService(
        owner=1,
        machine=1,
        on=TODAY + timedelta(days=90),
        wanted_by=TODAY + timedelta(days=20),
    )
    [call] = plan_calls([late], today=TODAY, open_days=OpenDays(), lead_days=14)
    assert (call.on, call.waits_since) == (date(2026, 12, 1), None)

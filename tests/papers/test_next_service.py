"""The next service as an owner reads it: a month until a day is booked, and the hours after which
it is wanted in any case."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from oilchart.core.days import OpenDays
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.schedule import Schedule
from oilchart.papers.next_service import service_hours, service_note, service_when
from tests.builders.make import TODAY, a_machine, a_point


def schedule_of(
    every: str, use: str | None, *, days_ago: int = 0, keeper: str = "bench"
) -> Schedule:
    machine = a_machine(
        a_point(every=every, keeper=keeper),
        a_point("other", every="24 months"),
        use=use,
        served=TODAY - timedelta(days=days_ago),
    )
    return Reckoning(machine, open_days=OpenDays(), lead_days=14).schedule(TODAY)


def test_it_is_a_month_until_a_day_is_booked() -> None:
    schedule = schedule_of("200 hours or 24 months", "4 hours a week")
    assert service_when(schedule) == "November 2027"
    assert service_note(schedule) == "We will ring you to find a day."
    booked = replace(schedule, booked=date(2027, 1, 14))
    assert (service_when(booked), service_hours(booked)) == ("Thursday 14 January 2027", "")
    assert service_note(booked) == "This day is booked for you; ring us if you cannot come."


@pytest.mark.parametrize(
    ("every", "use", "days_ago", "told"),
    [
        ("200 hours or 24 months", "4 hours a week", 0, "or after about 200 hours of sewing"),
        # 12 weeks at 4 hours are gone: 152, told in tens
        ("200 hours or 24 months", "4 hours a week", 84, "or after about 150 hours of sewing"),
        ("50 hours or 24 months", "4 hours a week", 42, "or after about 26 hours of sewing"),
        ("9 hours or 24 months", "1 hour a week", 56, "or after about 1 hour of sewing"),
        # 7.5 needle hours are 30 at the machine
        ("7.5 needle hours or 24 months", "1 hour a week", 0, "or after about 30 hours of sewing"),
        # the most of what is told still fits: rounded down
        ("39 hours or 24 months", "1 hour a week", 0, "or after about 30 hours of sewing"),
        # nobody told how much it sews: what is gone is known only on the day of the service
        ("200 hours or 24 months", None, 0, "or after about 200 hours of sewing"),
        ("200 hours or 24 months", None, 7, ""),
        # nothing is limited by use
        ("24 months", "4 hours a week", 0, ""),
        # past its limit
        ("10 hours or 24 months", "9 hours a week", 84, ""),
    ],
)
def test_the_hours_are_those_left_of_the_least_limit(
    every: str, use: str | None, days_ago: int, told: str
) -> None:
    assert service_hours(schedule_of(every, use, days_ago=days_ago)) == told


def test_the_owners_own_points_do_not_call_for_a_service() -> None:
    assert service_hours(schedule_of("8 hours or 3 months", "4 hours a week", keeper="owner")) == ""


def test_a_machine_never_served_is_asked_for() -> None:
    schedule = Reckoning(
        a_machine(a_point(), use="4 hours a week"), open_days=OpenDays(), lead_days=14
    ).schedule(TODAY)
    assert (service_when(schedule), service_note(schedule), service_hours(schedule)) == (
        "as soon as you can bring it",
        "Ring us and we find a day.",
        "",
    )

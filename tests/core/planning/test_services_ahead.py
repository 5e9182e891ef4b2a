"""A machine's services of 24 months: pinned dates, each as the one before it leaves the machine,
and dates reckoned day by day."""

from __future__ import annotations

import random
from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from oilchart.core.days import ONE_DAY, OpenDays, Span, add_months
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.planning.services import PlannedService
from oilchart.core.point_lists.point_list import Point, Runs
from oilchart.core.records.machine import Machine, Service
from oilchart.papers.tables.months_ahead import months_ahead
from tests.builders.make import SEIZES, TODAY, a_machine, a_point
from tests.counts import count_of, counted
from tests.oracles.day_by_day import HOUR, DayByDay, Period, Statement, due_by_time
from tests.oracles.every_plan import (
    Bench,
    Job,
    fewest_services,
    first_overdue,
    least_deep_work_by_program,
)

MONDAY = date(2026, 3, 2)
SUMMER = OpenDays(closures=(Span(first=date(2027, 7, 26), end=date(2027, 8, 16)),))  # three weeks
ALWAYS = OpenDays(weekdays=frozenset(range(7)))
WEDNESDAYS = frozenset({2})


def ahead(
    machine: Machine, today: date = TODAY, *, open_days: OpenDays = SUMMER, on: date | None = None
) -> tuple[PlannedService, ...]:
    """All services of 24 months; the first one on a day, if given."""
    reckoning = Reckoning(machine, open_days=open_days, lead_days=14)
    return reckoning.services_ahead(reckoning.schedule(today, on))


def days(services: Sequence[PlannedService]) -> list[date]:
    return [service.on for service in services]


def told(services: Sequence[PlannedService]) -> list[tuple[str, bool]]:
    return [(str(service.on), service.late) for service in services]


def ids(services: Sequence[PlannedService]) -> list[str]:
    return [" ".join(point.id for point in service.points) for service in services]


def test_each_service_follows_from_the_one_before_it() -> None:
    # a Saturday and a Sunday: the Fridays before; the interval then runs from the Friday
    assert told(
        ahead(a_machine(a_point(every="12 months"), served=date(2026, 3, 6)), date(2026, 3, 6))
    ) == [
        ("2027-03-05", False),
        ("2028-03-03", False),
    ]


def test_the_last_day_of_the_24_months_belongs_to_them() -> None:
    machine = a_machine(a_point(every="6 months"), served=MONDAY)
    assert [str(day) for day in days(ahead(machine, MONDAY))] == [
        "2026-09-02",
        "2027-03-02",
        "2027-09-02",
        "2028-03-02",
    ]
    assert [str(day) for day in days(ahead(machine, MONDAY - ONE_DAY))] == [
        "2026-09-02",
        "2027-03-02",
        "2027-09-02",
    ]


def test_a_service_that_would_fall_into_a_closure_of_three_weeks_comes_before_it() -> None:
    # 12 weeks from 12 May 2027 are 4 August; the last open day before it is Friday 23 July
    services = ahead(a_machine(a_point(every="12 weeks"), served=TODAY))
    assert told(services)[:4] == [
        ("2027-02-17", False),
        ("2027-05-12", False),
        ("2027-07-23", False),
        ("2027-10-15", False),
    ]


def test_what_cannot_wait_out_a_closure_comes_late_on_the_first_day_after_it() -> None:
    # 2 weeks from 23 July lie within the closure, and so would no other open day help
    services = ahead(
        a_machine(a_point(every="2 weeks"), served=date(2027, 7, 14)), date(2027, 7, 14)
    )
    assert told(services)[:4] == [
        ("2027-07-23", False),
        ("2027-08-16", True),
        ("2027-08-30", False),
        ("2027-09-13", False),
    ]
    # served on the last open day, as of the day after it
    assert told(
        ahead(a_machine(a_point(every="2 weeks"), served=date(2027, 7, 23)), date(2027, 7, 24))
    )[:2] == [
        ("2027-08-16", True),
        ("2027-08-30", False),
    ]


def test_a_machine_that_is_late_is_served_today_and_in_time_from_then_on() -> None:
    assert told(ahead(a_machine(a_point(every="6 months"), served=date(2026, 4, 1)))) == [
        ("2026-11-25", True),
        ("2027-05-25", False),
        ("2027-11-25", False),
        ("2028-05-25", False),
        ("2028-11-24", False),  # the 25th is a Saturday
    ]


def test_steps_move_on_with_each_service() -> None:
    machine = a_machine(a_point(every="1 week, then 4 weeks, then 3 months"), served=MONDAY)
    assert [str(day) for day in days(ahead(machine, MONDAY))] == [
        *("2026-03-09", "2026-04-06", "2026-07-06", "2026-10-06"),
        *("2027-01-06", "2027-04-06", "2027-07-06", "2027-10-06", "2028-01-06"),
    ]


def test_the_service_after_is_reckoned_by_the_next_step_when_deep_work_is_planned() -> None:
    # on 9 March the next step is a year, so that the deep point, due on 2 May, comes now; a second
    # week would have let it wait
    run_in, deep = (
        a_point("run-in", every="1 week, then 12 months"),
        a_point("deep", every="2 months", deep=True),
    )
    services = ahead(a_machine(run_in, deep, served=MONDAY), MONDAY)
    assert (str(services[0].on), ids(services)[0]) == ("2026-03-09", "run-in deep")
    assert str(services[1].on) == "2026-05-08"  # the 9th is a Saturday


def test_deep_work_is_left_out_where_it_lasts_until_the_service_after() -> None:
    yearly, deep = (
        a_point("yearly", every="6 months"),
        a_point("deep", every="14 months", deep=True),
    )
    services = ahead(a_machine(yearly, deep, served=MONDAY), MONDAY, open_days=ALWAYS)
    # due on 2 May 2027, between the second service and the third; then on 2 May 2028, after the
    # fourth
    assert ids(services) == ["yearly", "yearly deep", "yearly", "yearly deep"]


def test_a_rest_is_waited_out_each_year() -> None:
    # an hour a day but in July and August: 121 hours from 2 March are used up on 30 June and not
    # passed before September; then
    # 121 days to 31 December, and to Saturday 1 May 2027; from Friday 30 April 62 days to July and
    # 59 from September on, to a Saturday
    machine = a_machine(
        a_point(every="121 hours or 2 years"),
        use="7 hours a week; idle Jul-Aug",
        said=MONDAY,
        served=MONDAY,
    )
    assert [str(day) for day in days(ahead(machine, MONDAY, open_days=OpenDays()))][:4] == [
        *("2026-09-01", "2026-12-31", "2027-04-30", "2027-10-29"),
    ]


def test_days_in_the_shop_count_no_use() -> None:
    machine = a_machine(
        a_point(every="70 hours or 2 years"),
        use="7 hours a week",
        said=date(2026, 10, 5),
        served=date(2026, 10, 5),
    )
    # 70 days, and the 24 from check-in to today
    here = replace(
        machine, stays=(Span(first=date(2026, 11, 2), end=TODAY + ONE_DAY),), in_shop=True
    )
    assert [str(day) for day in days(ahead(machine))][:2] == ["2026-12-14", "2027-02-22"]
    assert [str(day) for day in days(ahead(here))][:2] == ["2027-01-07", "2027-03-18"]


def test_a_machine_never_served_has_everything_done_first_and_goes_on_from_there() -> None:
    yearly, deep = a_point("yearly", every="12 months"), a_point("deep", every="4 years", deep=True)
    occasion = a_point("test", every="each service")
    services = ahead(a_machine(yearly, deep, occasion))
    # wanted within the lead of 14 days
    assert told(services) == [("2026-12-09", False), ("2027-12-09", False)]
    assert ids(services) == ["yearly deep test", "yearly test"]


def test_the_next_service_is_told_however_far_off_it_is() -> None:
    assert told(ahead(a_machine(a_point(every="5 years"), served=TODAY))) == [("2031-11-25", False)]


@pytest.mark.parametrize(
    "points", [[a_point(every="each service")], [a_point(every="1 month", keeper="owner")]]
)
def test_a_machine_without_a_limit_on_the_bench_has_no_service_ahead(points: list[Point]) -> None:
    assert ahead(a_machine(*points, served=TODAY)) == ()


def test_a_given_day_of_the_first_service_moves_those_after_it() -> None:
    machine = a_machine(a_point(every="6 months"), served=TODAY)
    assert [str(day) for day in days(ahead(machine, on=date(2027, 5, 4)))] == [
        "2027-05-04",
        "2027-11-04",
        "2028-05-04",
        "2028-11-03",
    ]
    late = ahead(machine, on=date(2027, 6, 1))
    assert told(late)[:2] == [("2027-06-01", True), ("2027-12-01", False)]


def test_minutes_are_those_of_the_points() -> None:
    [service] = ahead(
        a_machine(
            a_point("a", every="2 years", minutes=Fraction(5, 2)),
            a_point("b", every="2 years"),
            served=TODAY,
        )
    )
    assert service.minutes == Fraction(7, 2)


@pytest.mark.parametrize("months", [1, 7, 24, 60])
def test_what_comes_up_has_the_same_services(months: int) -> None:
    machine = a_machine(
        a_point(every="4 months"),
        a_point("deep", every="18 months", deep=True),
        use="5 hours a week",
        served=MONDAY,
    )
    reckoning = Reckoning(machine, open_days=SUMMER, lead_days=14)
    schedule = reckoning.schedule(TODAY)
    until = add_months(TODAY, months)
    all_of_them = reckoning.services_ahead(schedule, months)
    assert months_ahead(schedule, reckoning, months).services == tuple(
        (service.on, len(service.points)) for service in all_of_them if service.on <= until
    )
    both = min(months, 24)
    assert [each for each in all_of_them if each.on <= add_months(TODAY, both)] == [
        each for each in reckoning.services_ahead(schedule) if each.on <= add_months(TODAY, both)
    ]


INTERVALS = [
    "8 hours or 3 months",
    "40 hours or 6 months",
    "150-200 hours or 12 months",
    "1 week, then 4 weeks, then 3 months",
    "5 weeks",
]
USES = [
    None,
    "none",
    "2-9 hours a week",
    "5 hours a week; idle Jul-Aug",
    "1-2 hours a day; busy Oct-Dec x3",
    "90 hours since 2026-06-01",
]

points: st.SearchStrategy[list[dict[str, Any]]] = st.lists(
    st.builds(
        dict,
        every=st.sampled_from([*INTERVALS, "each service"]),
        deep=st.booleans(),
        if_dry=st.sampled_from([None, SEIZES]),
        runs=st.sampled_from(Runs),
    ),
    min_size=1,
    max_size=4,
)
closures = st.builds(
    lambda after, length: OpenDays(
        closures=(
            Span(first=TODAY + timedelta(days=after), end=TODAY + timedelta(days=after + length)),
        )
    ),
    st.integers(0, 300),
    st.integers(0, 40),
)


@counted
@given(points, st.sampled_from(USES), st.integers(1, 400), closures)
def test_a_service_recorded_as_planned_leaves_the_others_as_they_were_planned(
    told_points: list[dict[str, Any]], use: str | None, served: int, open_days: OpenDays
) -> None:
    bench = [a_point(f"p{number}", **told_point) for number, told_point in enumerate(told_points)]
    machine = a_machine(
        *bench, a_point("home", keeper="owner"), use=use, served=TODAY - timedelta(days=served)
    )
    services = ahead(machine, open_days=open_days)
    assume(services)
    for number, service in enumerate(services[:4], start=1):
        done = frozenset({point.id for point in service.points} | {"home"})
        machine = replace(machine, services=(*machine.services, Service(on=service.on, done=done)))
        later = ahead(machine, service.on + ONE_DAY, open_days=open_days)
        assert later[: len(services) - number] == services[number:]


def stated(
    low: int,
    high: int,
    per: Period,
    *,
    idle_months: AbstractSet[int] | None = None,
    weights: Sequence[int] | None = None,
    idle_spans: Sequence[tuple[date, date]] = (),
) -> Statement:
    """So many hours a period, said today, for the oracle."""
    return Statement(
        said=TODAY,
        rate={"low": Fraction(low), "high": Fraction(high), "per": per},
        total=None,
        reading=None,
        new_meter=False,
        idle_months=idle_months,
        weights=weights,
        idle_spans=idle_spans,
    )


# what owners say, and the same for the oracle
SAID: list[tuple[str, Statement]] = [
    ("5-8 hours a week", stated(5, 8, "week")),
    ("3 hours a day", stated(3, 3, "day")),
    ("2-6 hours a week; idle Jul-Aug", stated(2, 6, "week", idle_months={7, 8})),
    (
        "12-20 hours a month; busy Oct-Dec x2",
        stated(12, 20, "month", weights=(1,) * 9 + (2,) * 3),
    ),
    (
        "10 hours a week; idle 2027-01-10 to 2027-03-01",
        stated(10, 10, "week", idle_spans=[(date(2027, 1, 10), date(2027, 3, 2))]),
    ),
]


class ToldInWords:
    """A machine of three points with use told in words, and a closure; each date is also reckoned
    day by day.

    Args:
        weekdays: days of the week that are open, Monday 0.
    """

    def __init__(self, seed: int, weekdays: frozenset[int]) -> None:
        chance = random.Random(seed)
        words, statement = SAID[seed % len(SAID)]
        self._use = DayByDay([statement])
        self._limits = {
            f"p{number}": (chance.randrange(40, 300), chance.randrange(3, 16))
            for number in range(3)
        }
        self.points = [
            a_point(
                name,
                every=f"{hours} hours or {months} months",
                deep=name == "p2",
                if_dry=SEIZES if chance.random() < 0.5 else None,
            )
            for name, (hours, months) in self._limits.items()
        ]
        self.served = TODAY - timedelta(days=chance.randrange(1, 60))
        shut = TODAY + timedelta(days=chance.randrange(400))
        self._weekdays, self._closed = weekdays, Span(first=shut, end=shut + timedelta(days=21))
        machine = a_machine(*self.points, use=words, said=TODAY, served=self.served)
        self.services = ahead(
            machine, open_days=OpenDays(weekdays=weekdays, closures=(self._closed,))
        )

    def wanted(self, point: Point, done: date) -> date:
        """The last day in time of a point whose work was done on a day."""
        hours, months = self._limits[point.id]
        due = self._use.due_by_use(
            done, lambda day: hours * HOUR, done + timedelta(days=31 * months)
        )
        assert due is not None
        _, _, likely, careful, _ = due
        by_use = careful if point.if_dry is SEIZES else likely
        return min(by_use or date.max, due_by_time(done, months, 0, lambda day: Fraction(1)))

    def is_open(self, day: date) -> bool:
        return day.weekday() in self._weekdays and not self._closed.first <= day < self._closed.end

    def bench(self) -> Bench:
        """The machine as the oracle of all plans sees it."""
        return Bench(
            jobs=[self._job(point) for point in self.points],
            open_days=[
                number for number in range(800) if self.is_open(TODAY + timedelta(days=number))
            ],
        )

    def _job(self, point: Point) -> Job:
        def last(done: date) -> int:
            return (self.wanted(point, done) - TODAY).days

        return Job(
            last=last(self.served),
            after=lambda day, _: last(TODAY + timedelta(days=day)),
            deep=point.deep,
        )


@pytest.mark.parametrize(
    "seed",
    range(
        count_of("test_each_service_is_the_latest_open_day_in_time_by_dates_reckoned_day_by_day")
    ),
)
def test_each_service_is_the_latest_open_day_in_time_by_dates_reckoned_day_by_day(
    seed: int,
) -> None:
    told = ToldInWords(seed, OpenDays().weekdays)
    done = dict.fromkeys(told.points, told.served)
    before = TODAY - ONE_DAY
    for service, following in pairwise(told.services):
        due = {point: told.wanted(point, done[point]) for point in told.points}
        last = min(due.values())
        in_time = [
            day
            for number in range(1, 800)
            if told.is_open(day := before + timedelta(days=number)) and day <= last
        ]
        after_it = next(
            day for number in range(1, 800) if told.is_open(day := before + timedelta(days=number))
        )
        assert (service.on, service.in_time) == (
            (in_time[-1], True) if in_time else (after_it, False)
        )
        assert service.points == tuple(
            point for point in told.points if not point.deep or due[point] < following.on
        )
        done.update(dict.fromkeys(service.points, service.on))
        before = service.on
    assert len(told.services) > 1


@pytest.mark.parametrize(
    "seed",
    range(count_of("test_no_plan_of_nine_months_has_fewer_services_by_dates_reckoned_day_by_day")),
)
def test_no_plan_of_nine_months_has_fewer_services_by_dates_reckoned_day_by_day(
    seed: int,
) -> None:
    told = ToldInWords(seed, WEDNESDAYS)
    bench, services = told.bench(), told.services
    at = next(
        (
            at
            for at, service in enumerate(services)
            if not service.in_time or service.on > TODAY + timedelta(days=270)
        ),
        len(services) - 1,
    )
    before, service = services[:at], services[at]
    done = [
        [(each.on - TODAY).days for each in before if point in each.points] for point in told.points
    ]
    overdue = min(first_overdue(job, on) for job, on in zip(bench.jobs, done, strict=True))
    # as many services as before it cannot last up to that day, whatever their days; where it is
    # late, neither can more
    assert fewest_services(bench, overdue) == (at + 1 if service.in_time else None)
    if service.in_time:
        deep = sum(point.deep for each in before for point in each.points)
        assert (
            least_deep_work_by_program(
                bench, [(each.on - TODAY).days for each in before], (service.on - TODAY).days
            )
            == deep
        )

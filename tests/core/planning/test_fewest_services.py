"""Plans of services against every other plan: never one too many, never a day too early, never more
deep work on their days.

The machines are made up of random use, intervals and closures, so that all plans can be tried, or
an integer program can be solved.
"""

from __future__ import annotations

import random
from datetime import date, timedelta
from functools import cache
from itertools import takewhile

import pytest

from oilchart.core.days import OpenDays, Span
from oilchart.core.due.due_dates import Because, Window
from oilchart.core.planning.services import BenchWork, PlannedService, next_service, services_from
from oilchart.core.point_lists.point_list import Point
from oilchart.sources.packaged import packaged
from oilchart.sources.points.library import PointLibrary
from tests.builders.make import SEIZES, TODAY, a_point
from tests.oracles.every_plan import (
    Bench,
    Job,
    fewest_services,
    first_overdue,
    least_deep_work,
    least_deep_work_by_program,
    plans_in_time,
)

BATCHES = (0, 75, 150, 225)  # first seeds, so that the tests of them can be shared out


class MadeUp:
    """A machine of made-up use, closures and points, as the tests' oracles see it and as the
    program does.

    Args:
        span: days from today among which some are closed; all later ones are open.
        longest: days of the longest interval.
        steps: whether intervals that are not deep have steps.
        carried: whether the last service left some points out.
    """

    def __init__(
        self,
        seed: int,
        *,
        span: int,
        most_points: int,
        longest: int,
        steps: bool = False,
        carried: bool = False,
    ) -> None:
        self._chance = chance = random.Random(seed)
        self._span, self._longest, self._steps = span, longest, 4 if steps else 1
        uses = [chance.choice([0, 1, 1, 2, 3, 8]) for _ in range(longest + 4 * span)]
        rest = chance.randrange(span)
        for day in range(rest, rest + chance.randrange(longest)):
            uses[day] = 0
        self._used = [sum(uses[:day]) for day in range(len(uses) + 1)]
        self.points = [
            a_point(
                f"p{number}",
                deep=chance.random() < 0.45,
                if_dry=SEIZES if chance.random() < 0.4 else None,
            )
            for number in range(chance.randint(1, most_points))
        ]
        self._carried = {point.id for point in self.points if carried and chance.random() < 0.4}
        shut = chance.randrange(span)
        closed = {
            *range(shut, shut + chance.randrange(longest - 1)),
            *(day for day in range(span) if chance.random() < 0.12),
        }
        self.bench = Bench(
            jobs=[self._job(point) for point in self.points],
            open_days=[day for day in range(3 * span) if day not in closed],
        )
        self.open_days = OpenDays(
            weekdays=frozenset(range(7)),
            closures=tuple(Span(first=_day(day), end=_day(day + 1)) for day in sorted(closed)),
        )

    def _job(self, point: Point) -> Job:
        """Due after so much use, or so many days, whichever comes first; done last some time before
        today."""
        chance, longest = self._chance, self._longest
        steps = 1 if point.deep else self._steps
        uses = [chance.randint(longest // 2, 4 * longest) for _ in range(steps)]
        days = [chance.randint(longest // 2, longest) for _ in range(steps)]

        @cache
        def after(done: int, nth: int) -> int:
            step, last = min(nth, steps - 1), done
            while (
                last < done + days[step]
                and self._used_before(last + 1) - self._used_before(done) <= uses[step]
            ):
                last += 1
            return last

        last = after(-chance.randint(0, longest // 3), 0)
        left_out = point.id in self._carried
        if left_out:  # it counts with its own day or a later one
            last = max(last, chance.randint(0, longest))
        return Job(last=last, after=after, deep=point.deep, at_first=left_out)

    def _used_before(self, day: int) -> int:
        return self._used[self._longest + day]

    def services(self) -> list[PlannedService]:
        """What the program plans for the days that may be closed, and as many after them."""
        jobs = {point.id: job for point, job in zip(self.points, self.bench.jobs, strict=True)}
        due = {point.id: _window(point, jobs[point.id].last) for point in self.points}

        def if_done(point: Point, done: date, nth: int = 1) -> Window:
            return _window(point, jobs[point.id].after((done - TODAY).days, nth))

        work = BenchWork(
            points=self.points,
            due=due,
            if_done=if_done,
            open_days=self.open_days,
            carried_over=self._carried,
        )
        first = next_service(work, today=TODAY)
        assert first is not None
        services = services_from(first, work)
        return list(takewhile(lambda service: service.on < _day(2 * self._span), services))


def _day(number: int) -> date:
    return TODAY + timedelta(days=number)


def _window(point: Point, last: int) -> Window:
    """A window whose careful day decides where running dry seizes the machine, whose likely day
    else; the others are any."""
    careful, likely = (last, last + 5) if point.if_dry is SEIZES else (last - 3, last)
    return Window(
        earliest=_day(careful - 4),
        careful=_day(careful),
        likely=_day(likely),
        latest=_day(likely + 9),
        because=Because.USE,
    )


def days_of(services: list[PlannedService], point: Point | None = None) -> list[int]:
    """Days of services, or of those at which a point is done."""
    return [
        (service.on - TODAY).days
        for service in services
        if point is None or point in service.points
    ]


def overdue_after(made_up: MadeUp, services: list[PlannedService]) -> int:
    """The first day on which something is overdue that is done as planned at these services and
    never again."""
    jobs = zip(made_up.points, made_up.bench.jobs, strict=True)
    return min(first_overdue(job, days_of(services, point)) for point, job in jobs)


def deep_work(services: list[PlannedService]) -> int:
    return sum(point.deep for service in services for point in service.points)


def horizon(made_up: MadeUp, seed: int, open_days: tuple[int, int]) -> int:
    """A day up to which the oracle looks, so many open days from now."""
    chance = random.Random(-seed)
    return made_up.bench.open_days[chance.randint(*open_days)] + chance.randrange(3)


def test_no_plan_of_all_has_fewer_services_or_a_later_one(tries: int) -> None:
    several = late = 0
    for seed in range(tries):
        made_up = MadeUp(seed, span=24, most_points=4, longest=7)
        services = made_up.services()
        days, end = days_of(services), horizon(made_up, seed, (3, 8))
        plans = plans_in_time(made_up.bench, end)
        first_late = next((at for at, service in enumerate(services) if not service.in_time), None)
        if first_late is not None and overdue_after(made_up, services[:first_late]) <= end:
            assert plans == [], f"made-up machine {seed}: late, but need not be"
            late += 1
            continue
        assert tuple(days[: len(plans[0])]) in plans, (
            f"made-up machine {seed}: {days} needs more services than {plans[0]}"
        )
        assert all(
            theirs <= ours for plan in plans for theirs, ours in zip(plan, days, strict=False)
        ), f"made-up machine {seed}: a service could wait"
        several += len(plans[0]) > 1
    # neither kind of machine was missing
    assert several > tries // 5
    assert late > tries // 5


def test_no_choice_of_all_has_less_deep_work_on_the_days_of_the_plan(tries: int) -> None:
    checked = waited = 0
    for seed in range(tries):
        made_up = MadeUp(seed, span=24, most_points=4, longest=9)
        services = list(takewhile(lambda service: service.in_time, made_up.services()))
        if len(services) < 3 or not any(point.deep for point in made_up.points):
            continue
        before = services[: min(len(services) - 1, 9)]
        end = days_of(services)[len(before)]
        least = least_deep_work(made_up.bench, days_of(before), end)
        assert (deep_work(before), overdue_after(made_up, before) > end) == (least, True), (
            f"made-up machine {seed}"
        )
        checked += 1
        waited += least < sum(point.deep for point in made_up.points) * len(before)
    assert checked > tries * 3 // 10
    assert waited > tries * 3 // 20


def test_steps_of_intervals_move_on_with_each_service_and_still_no_plan_is_better(
    tries: int,
) -> None:
    checked = 0
    for seed in range(tries):
        made_up = MadeUp(seed, span=24, most_points=3, longest=7, steps=True)
        services, end = made_up.services(), horizon(made_up, seed, (3, 8))
        days = days_of(services)
        at = next(
            (at for at, service in enumerate(services) if service.on > _day(end)), len(services)
        )
        if any(not service.in_time for service in services[: at + 1]):
            # a point may then last longer for being done more often than it needs, on to a longer
            # step
            continue
        plans = plans_in_time(made_up.bench, end)
        assert tuple(days[: len(plans[0])]) in plans, (
            f"made-up machine {seed}: {days} needs more services than {plans[0]}"
        )
        assert all(
            theirs <= ours for plan in plans for theirs, ours in zip(plan, days, strict=False)
        ), f"made-up machine {seed}: a service could wait"
        assert deep_work(services[:at]) == least_deep_work(made_up.bench, days[:at], days[at]), (
            f"made-up machine {seed}"
        )
        checked += 1
    assert checked > tries * 3 // 8


def test_with_points_carried_over_no_plan_of_all_has_fewer_services_or_less_deep_work(
    tries: int,
) -> None:
    checked = 0
    for seed in range(tries):
        made_up = MadeUp(5000 + seed, span=24, most_points=4, longest=7, carried=True)
        services, end = made_up.services(), horizon(made_up, seed, (3, 8))
        days = days_of(services)
        plans = plans_in_time(made_up.bench, end)
        first_late = next((at for at, service in enumerate(services) if not service.in_time), None)
        if first_late is not None and overdue_after(made_up, services[:first_late]) <= end:
            assert plans == [], f"made-up machine {seed}: late, but need not be"
            continue
        assert tuple(days[: len(plans[0])]) in plans, (
            f"made-up machine {seed}: {days} needs more services than {plans[0]}"
        )
        assert all(
            theirs <= ours for plan in plans for theirs, ours in zip(plan, days, strict=False)
        ), f"made-up machine {seed}: a service could wait"
        at = len(plans[0])
        if at and (first_late is None or at < first_late):
            least = least_deep_work(made_up.bench, days[:at], days[at])
            assert deep_work(services[:at]) == least, f"made-up machine {seed}"
            checked += any(job.at_first for job in made_up.bench.jobs)
    assert checked > tries // 5


@pytest.mark.parametrize("first", BATCHES)
def test_with_points_carried_over_an_integer_program_finds_no_plan_with_fewer_services(
    first: int, tries: int
) -> None:
    tried = tries // len(BATCHES)
    in_time = 0
    for seed in range(first, first + tried):
        made_up = MadeUp(9000 + seed, span=45, most_points=5, longest=14, carried=True)
        services, end = made_up.services(), horizon(made_up, seed, (10, 24))
        days, fewest = days_of(services), fewest_services(made_up.bench, end)
        first_late = next(
            (at for at, service in enumerate(services) if not service.in_time), len(services)
        )
        if first_late < len(services) and overdue_after(made_up, services[:first_late]) <= end:
            assert fewest is None, f"made-up machine {seed}: late, but need not be"
            continue
        assert fewest is not None
        assert least_deep_work_by_program(made_up.bench, days[:fewest], end) is not None, (
            f"made-up machine {seed}: {fewest} are enough"
        )
        if 0 < fewest < first_late:
            least = least_deep_work_by_program(made_up.bench, days[:fewest], days[fewest])
            assert deep_work(services[:fewest]) == least, f"made-up machine {seed}"
        in_time += 1
    assert in_time > tried * 35 // 75


def test_no_deep_point_of_the_lists_has_steps_as_the_plan_takes_it() -> None:
    library = PointLibrary([packaged("points")])
    deep = [
        point
        for model in library.model_ids()
        for point in library.point_list(model).points
        if point.deep
    ]
    assert {len(point.every.steps) for point in deep} == {1}


@pytest.mark.parametrize("first", BATCHES)
def test_an_integer_program_finds_no_plan_with_fewer_services_or_less_deep_work(
    first: int, tries: int
) -> None:
    tried = tries // len(BATCHES)
    in_time = late = deep = 0
    for seed in range(first, first + tried):
        made_up = MadeUp(1000 + seed, span=45, most_points=5, longest=14)
        services, end = made_up.services(), horizon(made_up, seed, (10, 24))
        days, fewest = days_of(services), fewest_services(made_up.bench, end)
        first_late = next(
            (at for at, service in enumerate(services) if not service.in_time), len(services)
        )
        if first_late < len(services) and overdue_after(made_up, services[:first_late]) <= end:
            assert fewest is None, f"made-up machine {seed}: late, but need not be"
            late += 1
            continue
        assert fewest is not None
        assert least_deep_work_by_program(made_up.bench, days[:fewest], end) is not None, (
            f"made-up machine {seed}: {fewest} are enough"
        )
        if 0 < fewest < first_late:
            least = least_deep_work_by_program(made_up.bench, days[:fewest], days[fewest])
            assert deep_work(services[:fewest]) == least, f"made-up machine {seed}"
            deep += 0 < least < sum(point.deep for point in made_up.points) * fewest
        in_time += 1
    assert in_time > tried * 35 // 75
    assert late > tried * 10 // 75
    assert deep > tried * 7 // 75

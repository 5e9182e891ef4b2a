"""What a service left out: it never calls the machine back sooner than a year by itself, and never
waits longer unseen."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date

import pytest

from oilchart.core.days import OpenDays, add_months
from oilchart.core.due.due_dates import Because, State, Window
from oilchart.core.planning.carried_over import cannot_wait, counted_window
from oilchart.core.planning.reckoning import Reckoning
from oilchart.core.point_lists.point_list import IfDry, Keeper, Point, PointList
from oilchart.core.records.machine import Machine, Service
from oilchart.sources.points.library import PointLibrary
from tests.builders.make import TODAY, a_chart, a_point

LAST_YEAR = date(2025, 11, 25)


def served(*services: Service, points: tuple[Point, ...]) -> Machine:
    return Machine(point_list=a_chart(*points), number="M-001", services=services)


def reckoning_of(machine: Machine) -> Reckoning:
    return Reckoning(machine, open_days=OpenDays(), lead_days=28)


def day_of_next(machine: Machine, on: date = TODAY) -> date:
    service = reckoning_of(machine).schedule(on).next_service
    assert service is not None
    return service.on


LAMP = a_point("lamp", every="12 months")
BELT = a_point("belt", every="12 months")
RACE = a_point("race", every="10 hours or 12 months", if_dry=IfDry.SEIZES)
CORD = a_point("cord", every="12 months", safety=True)
EVERY = frozenset({"lamp", "belt", "race", "cord"})
POINTS = (LAMP, BELT, RACE, CORD)
FIRST = Service(on=LAST_YEAR, done=EVERY)


@pytest.mark.parametrize("left_out", ["lamp", "belt"])
@pytest.mark.parametrize("times", [1, 2, 3])
def test_a_point_left_out_again_and_again_moves_no_service(left_out: str, times: int) -> None:
    days = [add_months(LAST_YEAR, 12 * at) for at in range(1, times + 1)]
    whole = [FIRST, *(Service(on=day, done=EVERY) for day in days)]
    less = [
        FIRST,
        *(Service(on=day, done=EVERY - {left_out}, left_out=frozenset({left_out})) for day in days),
    ]
    on = days[-1]
    assert day_of_next(served(*less, points=POINTS), on) == day_of_next(
        served(*whole, points=POINTS), on
    )


@pytest.mark.parametrize("left_out", ["race", "cord"])
def test_what_seizes_or_can_hurt_counts_with_its_own_day_unless_a_day_was_agreed(
    left_out: str,
) -> None:
    less = {"done": EVERY - {left_out}, "left_out": frozenset({left_out})}
    at_once = served(FIRST, Service(on=TODAY, **less), points=POINTS)  # type: ignore[arg-type]
    assert day_of_next(at_once) <= add_months(LAST_YEAR, 12)
    agreed = date(2027, 1, 13)
    back = Service(on=TODAY, back_on=agreed, **less)  # type: ignore[arg-type]
    assert day_of_next(served(FIRST, back, points=POINTS)) == agreed


def test_it_is_planned_for_the_next_service_whatever_its_day() -> None:
    deep = a_point("motor", every="10 years", deep=True)
    points = (*POINTS, deep)
    done = served(FIRST, Service(on=TODAY, done=EVERY), points=points)
    left = served(
        FIRST, Service(on=TODAY, done=EVERY, left_out=frozenset({"motor"})), points=points
    )

    def deep_at_next(machine: Machine) -> bool:
        service = reckoning_of(machine).schedule(TODAY).next_service
        assert service is not None
        return "motor" in {point.id for point in service.points}

    assert (deep_at_next(done), deep_at_next(left)) == (False, True)


def test_it_has_its_own_window_and_tells_since_when_it_waits_until_it_is_done() -> None:
    machine = served(
        FIRST,
        Service(on=TODAY, done=EVERY - {"lamp"}, left_out=frozenset({"lamp"})),
        points=POINTS,
    )
    schedule = reckoning_of(machine).schedule(date(2026, 12, 25))
    plan = schedule.plan("lamp")
    assert plan is not None
    assert (plan.carried_over, plan.state) == (TODAY, State.OVERDUE)
    assert plan.due is not None
    assert plan.due.likely == add_months(LAST_YEAR, 12)
    assert schedule.state is State.IN_TIME
    fitted = Service(on=date(2026, 12, 1), done=frozenset({"lamp"}), whole=False)
    after = reckoning_of(served(*machine.services, fitted, points=POINTS))
    plan = after.schedule(date(2026, 12, 25)).plan("lamp")
    assert plan is not None
    assert (plan.carried_over, plan.done) == (None, date(2026, 12, 1))


def test_work_at_named_points_leaves_nothing_out_and_is_no_first_service() -> None:
    only = Service(on=TODAY, done=frozenset({"belt"}), left_out=EVERY, whole=False)
    assert served(only, points=POINTS).first_served is None
    assert served(only, points=POINTS).carried_over() == {}
    assert reckoning_of(served(only, points=POINTS)).schedule(TODAY).state is State.FIRST_SERVICE
    both = served(FIRST, only, points=POINTS)
    assert (both.served, both.days_done()["belt"]) == (LAST_YEAR, TODAY)


def test_a_point_new_in_the_list_counts_from_the_latest_service_that_did_not_know_it() -> None:
    old = frozenset({"belt"})
    first, second = (Service(on=day, done=old, knew=old) for day in (date(2024, 11, 25), LAST_YEAR))
    points = (BELT, LAMP)
    assert served(first, second, points=points).counts_from(LAMP) == LAST_YEAR
    knew_it = Service(on=TODAY, done=old, knew=frozenset({"belt", "lamp"}))
    assert served(first, second, knew_it, points=points).counts_from(LAMP) == LAST_YEAR
    all_knew = Service(on=LAST_YEAR, done=old)
    assert served(all_knew, knew_it, points=points).counts_from(LAMP) == LAST_YEAR
    schedule = reckoning_of(served(first, second, points=points)).schedule(date(2026, 1, 25))
    assert schedule.state is State.IN_TIME


def test_the_window_it_counts_with_never_comes_sooner_for_being_left_out_later(tries: int) -> None:
    chance = random.Random(13)
    for _ in range(tries):
        days = sorted(date.fromordinal(739000 + chance.randrange(1500)) for _ in range(3))
        own = Window(
            earliest=days[0],
            careful=days[0],
            likely=days[1],
            latest=chance.choice([days[2], None]),
            because=Because.USE,
        )
        since = date.fromordinal(739000 + chance.randrange(1500))
        later = date.fromordinal(since.toordinal() + chance.randrange(400))
        one, other = (counted_window(LAMP, own, day) for day in (since, later))
        for ours, theirs, plain in zip(
            (one.earliest, one.likely, one.latest),
            (other.earliest, other.likely, other.latest),
            (own.earliest, own.likely, own.latest),
            strict=True,
        ):
            assert (ours is None) == (theirs is None) == (plain is None)
            if ours is not None and theirs is not None and plain is not None:
                assert plain <= ours <= theirs
                assert ours == max(plain, add_months(since, 12))


def test_the_lists_know_what_cannot_wait(library_read: PointLibrary) -> None:
    heron = library_read.point_list("heron-3")
    urgent = {point.id for point in heron.points if cannot_wait(point)}
    assert {"cords-look", "wiring-inspect", "insulation-test", "connecting-rod-oil"} <= urgent
    assert "lamp-inspect" not in urgent


def test_whatever_of_a_shipped_list_is_left_out_the_next_service_is_no_sooner_than_in_a_year(
    library_read: PointLibrary,
) -> None:
    for model in library_read.model_ids():
        point_list = library_read.point_list(model)
        everything = frozenset(point.id for point in point_list.points)
        waits = frozenset(
            point.id for point in point_list.kept_by(Keeper.BENCH) if not cannot_wait(point)
        )
        first = Service(on=LAST_YEAR, done=everything)

        def following(*services: Service, of: PointList = point_list) -> date:
            return day_of_next(Machine(point_list=of, services=services))

        whole = following(first, Service(on=TODAY, done=everything))
        less = following(first, Service(on=TODAY, done=everything - waits, left_out=waits))
        year = OpenDays().latest_open(add_months(TODAY, 12))
        assert less >= min(whole, year), model
        assert less <= max(whole, year), model


@pytest.mark.parametrize("point", ["lamp", "race", "cord"])
def test_a_declined_point_waits_a_year_whatever_it_is_and_asks_for_no_day_to_come_back(
    point: str,
) -> None:
    half_a_year = date(2026, 5, 25)
    left_out = Service(
        on=half_a_year,
        done=EVERY - {point},
        left_out=frozenset({point}),
        declined=frozenset({point}),
    )
    machine = served(FIRST, left_out, points=POINTS)
    reckoning = reckoning_of(machine)
    # it stays not done, and would have called the machine back on 25 November 2026
    assert machine.days_done()[point] == LAST_YEAR
    assert reckoning.wanted_back(half_a_year) == ()
    assert reckoning.schedule(half_a_year).wanted_by == date(2027, 5, 25)
    assert [plan.declined for plan in reckoning.schedule(half_a_year).points] == [
        each.id == point for each in POINTS
    ]
    # left out without a word one that cannot wait counts with its own day
    silent = replace(left_out, declined=frozenset())
    own_day = reckoning_of(served(FIRST, silent, points=POINTS)).schedule(half_a_year).wanted_by
    assert own_day == (date(2027, 5, 25) if point == "lamp" else date(2026, 11, 25))
    # what is done later is declined no more
    done = Service(on=TODAY, done=EVERY)
    assert served(FIRST, left_out, done, points=POINTS).declined() == frozenset()

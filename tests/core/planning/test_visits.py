"""One visit for an owner's machines: against every way in which their days could be chosen."""

from __future__ import annotations

from collections import Counter
from datetime import date, timedelta
from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.days import OpenDays
from oilchart.core.planning.visits import PlannedService, brought_together, monday_of
from tests.counts import counted

OPEN = OpenDays()
MONDAY = date(2026, 11, 30)
LAST_WEEK = timedelta(days=4)


def services_of(drawn: list[tuple[int, int, bool]], limit: int | None) -> list[PlannedService]:
    """Services on open days of five weeks, none in a week that is full."""
    weeks: Counter[date] = Counter()
    services = []
    for machine, (owner, day, fixed) in enumerate(drawn, start=1):
        on = MONDAY + timedelta(days=day // 5 * 7 + day % 5)
        if limit is not None and weeks[monday_of(on)] >= limit:
            continue
        weeks[monday_of(on)] += 1
        services.append(PlannedService(machine=machine, owner=owner, on=on, fixed=fixed))
    return services


def fewest_days(services: list[PlannedService], limit: int | None, taken: Counter[date]) -> int:
    """Of all ways to choose days for the services of one owner that are in time the fewest days;
    the first one's day and those that are booked stand."""
    ordered = sorted(services, key=lambda each: (each.on, each.machine))
    days = [MONDAY + timedelta(days=day) for day in range(35) if day % 7 < 5]
    choices = [
        [each.on]
        if each.fixed or each is ordered[0]
        # a day in a week is as good as another, so the last one in time stands for it
        else sorted(
            {
                max(day for day in days if monday_of(day) == monday_of(other) and day <= each.on)
                for other in days
                if ordered[0].on <= other <= each.on
            }
            | {other.on for other in ordered if other.on <= each.on}
        )
        for each in ordered
    ]
    best = len(ordered)
    for chosen in product(*choices):
        weeks = Counter(map(monday_of, chosen)) + taken
        if limit is None or all(weeks[week] <= limit for week in map(monday_of, chosen)):
            best = min(best, len(set(chosen)))
    return best


@counted
@given(
    st.lists(st.tuples(st.integers(1, 2), st.integers(0, 24), st.booleans()), max_size=12),
    st.one_of(st.none(), st.integers(1, 4)),
)
def test_nothing_comes_later_or_before_its_owners_first_and_no_week_holds_too_many(
    drawn: list[tuple[int, int, bool]], limit: int | None
) -> None:
    services = services_of(drawn, limit)
    days = brought_together(services, open_days=OPEN, limit=limit)
    assert days.keys() == {each.machine for each in services}
    for each in services:
        first = min(other.on for other in services if other.owner == each.owner)
        assert first <= days[each.machine] <= each.on
        assert OPEN.is_open(days[each.machine])
        assert not each.fixed or days[each.machine] == each.on
    weeks = Counter(map(monday_of, days.values()))
    assert limit is None or all(count <= limit for count in weeks.values())


@counted
@given(
    st.lists(st.tuples(st.just(1), st.integers(0, 24), st.booleans()), min_size=1, max_size=5),
    st.one_of(st.none(), st.integers(1, 3)),
    st.lists(st.integers(0, 4), max_size=6),
)
def test_no_choice_of_all_has_fewer_days_for_an_owner(
    drawn: list[tuple[int, int, bool]], limit: int | None, others: list[int]
) -> None:
    taken = Counter(MONDAY + timedelta(weeks=week) for week in others)
    services = services_of(drawn, limit)
    booked = Counter(monday_of(each.on) for each in services) + taken
    if limit is not None and any(count > limit for count in booked.values()):
        return
    days = brought_together(services, open_days=OPEN, limit=limit, taken=taken)
    assert len(set(days.values())) == fewest_days(services, limit, taken)


def test_a_school_comes_on_one_day_and_where_a_week_holds_five_on_four() -> None:
    services = [
        PlannedService(machine=each, owner=1, on=MONDAY + timedelta(days=each)) for each in range(5)
    ] + [
        PlannedService(machine=5 + each, owner=1, on=MONDAY + timedelta(weeks=1 + each % 3))
        for each in range(15)
    ]
    assert set(brought_together(services, open_days=OPEN, limit=None).values()) == {MONDAY}
    assert len(set(brought_together(services, open_days=OPEN, limit=5).values())) == 4


def test_what_is_61_days_off_is_a_visit_of_its_own_and_a_booked_day_draws_later_ones() -> None:
    first = PlannedService(machine=1, owner=1, on=MONDAY)
    near = PlannedService(machine=2, owner=1, on=MONDAY + timedelta(days=60))
    far = PlannedService(machine=3, owner=1, on=MONDAY + timedelta(days=61))
    days = brought_together([first, near, far], open_days=OPEN, limit=None)
    assert days == {1: MONDAY, 2: MONDAY, 3: far.on}
    booked = PlannedService(machine=1, owner=1, on=MONDAY + LAST_WEEK, fixed=True)
    days = brought_together([booked, near], open_days=OPEN, limit=1)
    assert days[1] == MONDAY + LAST_WEEK

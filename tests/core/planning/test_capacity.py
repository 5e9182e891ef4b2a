"""Jobs that share days or weeks: each as late as it can be, none later than it must be, promised
days kept."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from statistics import median
from typing import TypedDict

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.days import ONE_DAY, OpenDays, Span
from oilchart.core.planning.capacity import Placed, Wanted, place_by_day, place_by_week
from tests.builders.make import TODAY
from tests.counts import counted

MONDAY = date(2026, 11, 23)  # of the week of TODAY, a Wednesday
THREE_WEEKS_SHUT = OpenDays(closures=(Span(first=date(2026, 11, 30), end=date(2026, 12, 21)),))
WEEK = timedelta(days=7)

Place = Callable[..., list[Placed[str]]]  # by day or by week


class Shared(TypedDict):
    """What the jobs of a shop share, as both ways of placing them take it."""

    today: date
    open_days: OpenDays
    limit: int
    taken: Mapping[date, int]


AShop = tuple[list[Wanted[str]], Shared]


def wanted(*deadlines: date) -> list[Wanted[str]]:
    """Jobs with keys a, b, c, ... in the order given."""
    return [
        Wanted(key=chr(ord("a") + at), deadline=deadline) for at, deadline in enumerate(deadlines)
    ]


def days(placed: list[Placed[str]]) -> dict[str, date]:
    return {each.key: each.on for each in placed}


def day(number: int) -> date:
    """The day so many days from the Monday of this week: 2 is today, 4 Friday, 7 next Monday."""
    return MONDAY + timedelta(days=number)


# By day


@pytest.mark.parametrize(
    ("limit", "deadlines", "on", "late"),
    [
        # room for all: each on its deadline
        (1, [2, 3, 7], [2, 3, 7], ""),
        # two due on a day that holds one: the first by key goes a day sooner
        (1, [4, 4], [3, 4], ""),
        (2, [4, 4], [4, 4], ""),
        (2, [4, 4, 4], [3, 4, 4], ""),
        # sooner over the weekend
        (1, [7, 7, 8], [4, 7, 8], ""),
        # no day is left before: the last one comes late, over the weekend too
        (1, [2, 2], [2, 3], "b"),
        (1, [4, 4, 4, 4], [2, 3, 4, 7], "d"),
        # overdue: today, and the longest overdue first; one in time is not made late
        (1, [-200], [2], "a"),
        (1, [-200, 3], [2, 3], "a"),
        (1, [1, 0], [3, 2], "ab"),
        # each of three overdue takes a day; the one due on the third keeps what is left to it
        (1, [-10, -10, -10, 4], [2, 3, 4, 7], "abcd"),
        # no limit
        (None, [-10, 2, 2, 2], [2, 2, 2, 2], "a"),
    ],
)
def test_a_job_has_the_latest_day_with_a_place_in_time(
    limit: int | None, deadlines: list[int], on: list[int], late: str
) -> None:
    jobs = wanted(*map(day, deadlines))
    placed = place_by_day(jobs, today=TODAY, open_days=OpenDays(), limit=limit)
    assert [days(placed)[job.key] for job in jobs] == [day(number) for number in on]
    assert "".join(sorted(each.key for each in placed if each.late)) == late


def test_jobs_come_back_by_day_and_key() -> None:
    placed = place_by_day(
        wanted(day(4), day(2), day(4)), today=TODAY, open_days=OpenDays(), limit=2
    )
    assert [(each.on, each.key) for each in placed] == [(day(2), "b"), (day(4), "a"), (day(4), "c")]


def test_no_jobs_have_no_plan() -> None:
    assert place_by_day([], today=TODAY, open_days=OpenDays(), limit=1) == []
    assert place_by_week([], today=TODAY, open_days=OpenDays(), limit=1) == []


def test_what_is_overdue_on_a_saturday_waits_for_monday() -> None:
    saturday = day(5)
    placed = place_by_day(wanted(day(4), day(4)), today=saturday, open_days=OpenDays(), limit=1)
    assert placed == [Placed(key="a", on=day(7), late=True), Placed(key="b", on=day(8), late=True)]


def test_a_closure_of_three_weeks_is_worked_before_and_what_has_no_place_comes_after() -> None:
    # three open days are left before it; deadlines after it fall back across it
    first_after = date(2026, 12, 21)
    jobs = wanted(day(4), day(4), first_after, first_after)
    assert days(place_by_day(jobs, today=TODAY, open_days=THREE_WEEKS_SHUT, limit=1)) == {
        "a": day(2),
        "b": day(3),
        "c": day(4),
        "d": first_after,
    }
    overdue = place_by_day(wanted(*[day(1)] * 4), today=TODAY, open_days=THREE_WEEKS_SHUT, limit=1)
    assert overdue[-1] == Placed(key="d", on=first_after, late=True)
    shut_today = place_by_day(wanted(day(4)), today=day(9), open_days=THREE_WEEKS_SHUT, limit=1)
    assert shut_today == [Placed(key="a", on=first_after, late=True)]


def test_closures_that_overlap_are_shut_until_the_later_end() -> None:
    long, within = Span(first=day(3), end=day(17)), Span(first=day(7), end=day(9))
    for closures in ((long, within), (within, long)):
        placed = place_by_day(
            wanted(day(1), day(1)), today=TODAY, open_days=OpenDays(closures=closures), limit=1
        )
        assert [each.on for each in placed] == [TODAY, day(17)]


def test_500_jobs_due_on_one_day_that_holds_one_reach_back_to_today_and_then_beyond() -> None:
    due = THREE_WEEKS_SHUT.latest_open(TODAY + timedelta(days=400))
    jobs = [Wanted(key=f"C-{number:03}", deadline=due) for number in range(500)]
    placed = place_by_day(jobs, today=TODAY, open_days=THREE_WEEKS_SHUT, limit=1)
    first_500 = [
        on
        for number in range(1_000)
        if THREE_WEEKS_SHUT.is_open(on := TODAY + timedelta(days=number))
    ][:500]
    assert [(each.on, each.key) for each in placed] == [
        (on, job.key) for on, job in zip(first_500, jobs, strict=True)
    ]
    assert [each.late for each in placed] == [on > due for on in first_500]


def test_a_deadline_at_the_end_of_the_calendar_is_kept() -> None:
    for place in (place_by_day, place_by_week):
        placed = place(
            wanted(date.max, date.max, TODAY), today=TODAY, open_days=OpenDays(), limit=2
        )
        assert [each.on for each in placed] == [TODAY, date.max, date.max]


def test_jobs_of_a_shop_that_is_shut_to_the_end_of_the_calendar_are_placed_there() -> None:
    """And soon: from today to then lie some three million days."""
    open_days = OpenDays(closures=(Span(first=date(2020, 1, 1), end=date.max),))
    for place in (place_by_day, place_by_week):
        placed = place(wanted(TODAY, day(4), day(9)), today=TODAY, open_days=open_days, limit=1)
        assert [each.on for each in placed] == [date.max] * 3


@pytest.mark.parametrize("place", [place_by_day, place_by_week])
@pytest.mark.parametrize("limit", [0, -1])
def test_a_limit_that_holds_nothing_is_refused(place: Place, limit: int) -> None:
    with pytest.raises(ValueError, match="never holds them all"):
        place([], today=TODAY, open_days=OpenDays(), limit=limit)


# What is promised and what is taken


def test_a_promised_day_stays_and_takes_its_place() -> None:
    promised = Wanted(key="p", deadline=day(9), fixed=day(4))
    placed = place_by_day(
        [*wanted(day(4), day(9)), promised], today=TODAY, open_days=OpenDays(), limit=1
    )
    assert days(placed) == {"a": day(3), "p": day(4), "b": day(9)}
    assert not any(each.late for each in placed)


def test_a_promised_day_stays_when_it_is_late_past_full_or_shut() -> None:
    promises = [
        Wanted(key=str(number), deadline=day(4), fixed=fixed)
        for number, fixed in enumerate([day(5), day(0), day(3), day(3)])
    ]
    placed = place_by_day(promises, today=TODAY, open_days=OpenDays(), limit=1)
    assert days(placed) == {"0": day(5), "1": day(0), "2": day(3), "3": day(3)}
    assert [each.key for each in placed if each.late] == ["0"]


def test_taken_places_are_gone() -> None:
    jobs = wanted(day(4), day(4))
    taken = {day(4): 1, day(3): 7}
    assert days(place_by_day(jobs, today=TODAY, open_days=OpenDays(), limit=2, taken=taken)) == {
        "a": day(2),
        "b": day(4),
    }
    # without a limit nothing is ever full
    assert set(
        days(
            place_by_day(jobs, today=TODAY, open_days=OpenDays(), limit=None, taken=taken)
        ).values()
    ) == {day(4)}


def test_promised_and_taken_places_of_a_week_are_gone() -> None:
    jobs = [*wanted(day(11), day(11)), Wanted(key="p", deadline=day(30), fixed=day(9))]
    placed = place_by_week(jobs, today=TODAY, open_days=OpenDays(), limit=3, taken={day(7): 1})
    assert days(placed) == {"a": day(4), "p": day(9), "b": day(11)}


# By week


@pytest.mark.parametrize(
    ("today", "limit", "deadlines", "on", "late"),
    [
        # no limit within a day
        (2, 3, [10, 10, 10], [10, 10, 10], ""),
        # a week that is full: the last open day of the week before
        (2, 1, [10, 11], [4, 11], ""),
        (2, 1, [8, 17, 17], [4, 11, 17], ""),
        # the latest open day not after the deadline, not the last one of the week
        (2, 2, [3, 8], [3, 8], ""),
        # overdue, before this week or in it: the first open day from today
        (2, 1, [-200], [2], "a"),
        (2, 1, [1], [2], "a"),
        # this week is full: the first open day of the next
        (2, 1, [3, 3], [3, 7], "b"),
        (2, 1, [-9, -9, -9], [2, 7, 14], "abc"),
        # on a Saturday this week has no open day left
        (5, 1, [4, 10], [7, 14], "ab"),
        (5, 2, [4, 10], [7, 10], "a"),
        # no limit
        (2, None, [-9, -9, 4, 10], [2, 2, 4, 10], "ab"),
        (5, None, [4, 10], [7, 10], "a"),
    ],
)
def test_a_service_has_the_latest_open_day_of_the_latest_week_with_a_place(
    today: int, limit: int | None, deadlines: list[int], on: list[int], late: str
) -> None:
    jobs = wanted(*map(day, deadlines))
    placed = place_by_week(jobs, today=day(today), open_days=OpenDays(), limit=limit)
    assert [days(placed)[job.key] for job in jobs] == [day(number) for number in on]
    assert "".join(sorted(each.key for each in placed if each.late)) == late


def test_weeks_that_are_shut_hold_nothing() -> None:
    first_after = date(2026, 12, 21)
    jobs = wanted(first_after, first_after, day(4))
    assert days(place_by_week(jobs, today=TODAY, open_days=THREE_WEEKS_SHUT, limit=1)) == {
        "c": day(4),
        "a": first_after,
        "b": first_after + WEEK,
    }
    assert days(
        place_by_week(jobs, today=TODAY, open_days=THREE_WEEKS_SHUT, limit=2)
    ) == dict.fromkeys("ab", first_after) | {"c": day(4)}


def test_the_days_of_a_week_are_those_left_between_today_and_its_closure() -> None:
    # Thursday to the Tuesday after
    open_days = OpenDays(closures=(Span(first=day(10), end=day(16)),))
    placed = place_by_week(
        wanted(day(9), day(18), day(18)), today=TODAY, open_days=open_days, limit=1
    )
    assert days(placed) == {"a": day(4), "b": day(9), "c": day(18)}
    late = place_by_week(wanted(day(1), day(1), day(1)), today=TODAY, open_days=open_days, limit=1)
    assert [each.on for each in late] == [TODAY, day(7), day(16)]


# Against every plan there is


@dataclass(frozen=True, slots=True, kw_only=True)
class Small:
    """A small shop: jobs, the places of each slot from the first one on, and each job's deadline as
    the number of a slot."""

    jobs: list[Wanted[str]]
    open_days: OpenDays
    limit: int
    taken: dict[date, int]
    places: list[int]
    slots: dict[date, int]

    def deadline(self, job: Wanted[str]) -> int:
        """The number of the last slot in time: negative where it lies before the first one."""
        return max((at for on, at in self.slots.items() if TODAY <= on <= job.deadline), default=-1)

    def plans(
        self, left: Sequence[int] | None = None, jobs: int | None = None
    ) -> Iterator[tuple[int, ...]]:
        """Every way to give each job a slot, none holding more than it can."""
        left = self.places if left is None else left
        jobs = len(self.jobs) if jobs is None else jobs
        if not jobs:
            yield ()
            return
        for at, places in enumerate(left):
            if places:
                for rest in self.plans([*left[:at], places - 1, *left[at + 1 :]], jobs - 1):
                    yield (at, *rest)

    def new_deadlines(self) -> list[int]:
        """The later of each job's deadline and the slot it has with the earliest deadlines
        first."""
        left = list(self.places)
        new = [0] * len(self.jobs)
        for at in sorted(
            range(len(self.jobs)), key=lambda at: (self.jobs[at].deadline, self.jobs[at].key)
        ):
            slot = next(slot for slot, places in enumerate(left) if places)
            left[slot] -= 1
            new[at] = max(self.deadline(self.jobs[at]), slot)
        return new


def small_shop(chance: random.Random, slot_days: int) -> Small:
    """Up to four jobs, overdue ones among them, in days or weeks that hold none to two, closed days
    in between."""
    begin = TODAY if slot_days == 1 else MONDAY
    limit = chance.randint(1, 2)
    jobs = chance.randint(1, 4)
    weekdays = frozenset(chance.sample(range(7), chance.randint(1, 7)))
    shut = begin + timedelta(days=chance.randrange(4 * slot_days))
    open_days = OpenDays(
        weekdays=weekdays,
        closures=(
            Span(first=shut, end=shut + timedelta(days=chance.randrange(2 * slot_days + 1))),
        ),
    )
    taken: dict[date, int] = {}
    places: list[int] = []
    slots: dict[date, int] = {}
    first = begin
    # three slots that hold something beyond those that hold all the jobs
    while sum(map(bool, places)) < 3 or sum(places) < jobs:
        opened = [
            on
            for number in range(slot_days)
            if (on := first + timedelta(days=number)) >= TODAY and open_days.is_open(on)
        ]
        if opened:
            gone = chance.choice([0, 0, 0, 1, 2])
            if gone:
                taken[first] = gone
            slots.update(dict.fromkeys(opened, len(places)))
            places.append(max(limit - gone, 0))
        first += timedelta(days=slot_days)
    ends = [open_days.latest_open(chance.choice(list(slots))) for _ in range(jobs)]
    overdue = [
        open_days.latest_open(TODAY - timedelta(days=chance.randint(1, 200))) for _ in range(jobs)
    ]
    deadlines = [
        past if chance.random() < 0.2 else end for past, end in zip(overdue, ends, strict=True)
    ]
    keys = chance.sample("abcdefgh", jobs)
    wants = [
        Wanted(key=key, deadline=deadline) for key, deadline in zip(keys, deadlines, strict=True)
    ]
    return Small(
        jobs=wants, open_days=open_days, limit=limit, taken=taken, places=places, slots=slots
    )


BATCHES = 10  # of small shops, so that the tests of them can be shared out


def lateness(plan: Sequence[int], deadlines: Sequence[int]) -> int:
    return max(max(slot - deadline, 0) for slot, deadline in zip(plan, deadlines, strict=True))


@pytest.mark.parametrize("batch", range(BATCHES))
@pytest.mark.parametrize(("place", "slot_days"), [(place_by_day, 1), (place_by_week, 7)])
def test_of_all_plans_it_is_in_time_if_any_is_least_late_and_then_latest(
    place: Place, slot_days: int, batch: int, tries: int
) -> None:
    chance = random.Random(batch)
    for _ in range(tries // BATCHES):
        small = small_shop(chance, slot_days)
        placed = place(
            small.jobs, today=TODAY, open_days=small.open_days, limit=small.limit, taken=small.taken
        )
        by_key = {each.key: each for each in placed}
        plan = tuple(small.slots[by_key[job.key].on] for job in small.jobs)
        plans = list(small.plans())
        deadlines = [small.deadline(job) for job in small.jobs]
        new = small.new_deadlines()

        assert plan in plans
        # in time whenever any plan is
        assert any(each.late for each in placed) == (
            min(lateness(each, deadlines) for each in plans) > 0
        )
        # no plan has a smaller worst lateness
        assert lateness(plan, deadlines) == min(lateness(each, deadlines) for each in plans)
        # within the new deadlines, and no plan within them has later days
        kept = [each for each in plans if not lateness(each, new)]
        assert plan in kept
        assert sum(plan) == max(map(sum, kept))
        # within its slot: the latest day in time, the first one where none is
        for job, slot in zip(small.jobs, plan, strict=True):
            opened = [on for on, at in small.slots.items() if at == slot]
            assert by_key[job.key].on == max(
                (on for on in opened if on <= job.deadline), default=opened[0]
            )


# Rules for shops of any size


@st.composite
def shops(draw: st.DrawFn, least: int = 0) -> AShop:
    """Jobs and all that they share."""
    weekdays = draw(st.frozensets(st.integers(0, 6), min_size=1))
    spans = st.tuples(st.integers(-10, 60), st.integers(1, 21))
    closures = tuple(
        Span(first=day(first), end=day(first + length))
        for first, length in draw(st.lists(spans, max_size=3))
    )
    open_days = OpenDays(weekdays=weekdays, closures=closures)
    within = draw(st.sampled_from([4, 15, 60]))
    ends = draw(st.lists(st.integers(-5, within), min_size=least, max_size=25))
    keys = draw(st.permutations(range(len(ends))))
    jobs = [
        Wanted(key=f"{key:02}", deadline=open_days.latest_open(day(end)))
        for key, end in zip(keys, ends, strict=True)
    ]
    taken = draw(
        st.dictionaries(
            st.integers(0, 8).map(lambda number: MONDAY + number * WEEK),
            st.integers(0, 4),
            max_size=3,
        )
    )
    return jobs, {
        "today": TODAY,
        "open_days": open_days,
        "limit": draw(st.integers(1, 4)),
        "taken": taken,
    }


places = st.sampled_from([place_by_day, place_by_week])


@counted
@given(shop=shops(), place=places, data=st.data())
def test_the_same_jobs_in_any_order_have_the_same_days(
    shop: AShop, place: Place, data: st.DataObject
) -> None:
    jobs, shared = shop
    assert place(data.draw(st.permutations(jobs)), **shared) == place(jobs, **shared)


@counted
@given(shop=shops(), place=places)
def test_every_job_has_an_open_day_from_today_and_no_slot_holds_too_many(
    shop: AShop, place: Place
) -> None:
    jobs, shared = shop
    placed = place(jobs, **shared)
    assert sorted(each.key for each in placed) == sorted(job.key for job in jobs)
    assert all(each.on >= TODAY and shared["open_days"].is_open(each.on) for each in placed)
    held = Counter(slot_of(each.on, place) for each in placed)
    assert all(
        count + shared["taken"].get(slot, 0) <= shared["limit"] for slot, count in held.items()
    )


@counted
@given(shop=shops(), place=places)
def test_an_earlier_deadline_never_has_a_later_day(shop: AShop, place: Place) -> None:
    jobs, shared = shop
    on = days(place(jobs, **shared))
    in_turn = [
        slot_of(on[job.key], place) for job in sorted(jobs, key=lambda job: (job.deadline, job.key))
    ]
    assert in_turn == sorted(in_turn)


@counted
@given(shop=shops(), place=places)
def test_without_a_limit_each_job_stands_alone(shop: AShop, place: Place) -> None:
    jobs, shared = shop
    first = shared["open_days"].first_open(TODAY)
    on = days(place(jobs, **{**shared, "limit": None}))
    assert on == {job.key: job.deadline if job.deadline >= TODAY else first for job in jobs}


@counted
@given(shop=shops(), place=places)
def test_promising_every_day_of_a_plan_changes_nothing(shop: AShop, place: Place) -> None:
    jobs, shared = shop
    placed = place(jobs, **shared)
    on = days(placed)
    assert place([replace(job, fixed=on[job.key]) for job in jobs], **shared) == placed


@counted
@given(shop=shops(least=1), place=places, data=st.data())
def test_one_promised_day_of_a_plan_makes_no_other_late(
    shop: AShop, place: Place, data: st.DataObject
) -> None:
    jobs, shared = shop
    placed = place(jobs, **shared)
    if any(each.late for each in placed):
        return
    promised, *others = data.draw(st.permutations(jobs))
    assert not any(
        each.late
        for each in place([replace(promised, fixed=days(placed)[promised.key]), *others], **shared)
    )


def slot_of(on: date, place: Place) -> date:
    """The day itself, or the Monday of its week."""
    return on if place is place_by_day else on - on.weekday() * ONE_DAY


@counted
@given(shop=shops(), place=places)
def test_a_machine_200_days_overdue_makes_no_other_late_where_a_place_is_free_today(
    shop: AShop, place: Place
) -> None:
    jobs, shared = shop
    before = place(jobs, **shared)
    now = slot_of(TODAY, place)
    held = sum(slot_of(each.on, place) == now for each in before) + shared["taken"].get(now, 0)
    is_free = (
        held < shared["limit"] and slot_of(shared["open_days"].first_open(TODAY), place) == now
    )
    overdue = Wanted(
        key="overdue", deadline=shared["open_days"].latest_open(TODAY - timedelta(days=200))
    )
    after = {each.key: each for each in place([overdue, *jobs], **shared)}
    assert after["overdue"].late
    if is_free:
        assert slot_of(after["overdue"].on, place) == now
        assert [each.key for each in before if each.late] == [
            each.key for each in before if after[each.key].late
        ]


def test_a_machine_200_days_overdue_leaves_a_full_year_as_it_is() -> None:
    # five calls on each open day but today, which has four
    open_on = [
        on for number in range(365) if OpenDays().is_open(on := TODAY + timedelta(days=number))
    ]
    jobs = [
        Wanted(key=f"C-{number:04}", deadline=open_on[number // 5])
        for number in range(1, 5 * len(open_on))
    ]
    overdue = Wanted(key="C-0000", deadline=date(2026, 5, 8))
    placed = place_by_day([*jobs, overdue], today=TODAY, open_days=OpenDays(), limit=5)
    assert days(placed) == {job.key: job.deadline for job in jobs} | {"C-0000": TODAY}
    assert [each.key for each in placed if each.late] == ["C-0000"]


@counted
@given(shop=shops(least=1), place=places)
def test_a_new_job_moves_one_other_at_most_out_of_a_slot_and_all_the_same_way(
    shop: AShop, place: Place
) -> None:
    (new, *jobs), shared = shop
    before, after = days(place(jobs, **shared)), days(place([new, *jobs], **shared))
    moved = [
        (slot_of(before[job.key], place), slot_of(after[job.key], place))
        for job in jobs
        if before[job.key] != after[job.key]
    ]
    assert all(count == 1 for count in Counter(begun for begun, _ in moved).values())
    assert len({end > begun for begun, end in moved}) <= 1
    with_room = [
        slot
        for number in range(400)
        if slot_of(slot := day(number), place) == slot
        and shared["taken"].get(slot, 0) < shared["limit"]
        and any(
            slot_of(on, place) == slot
            for on in (max(TODAY, slot) + ahead * ONE_DAY for ahead in range(7))
            if shared["open_days"].is_open(on)
        )
    ]
    assert all(abs(with_room.index(end) - with_room.index(begun)) == 1 for begun, end in moved)


@pytest.mark.parametrize(
    ("calls", "most_at_the_median"),
    [
        # of 1,300 places a year: half of them, four in five, and nearly all of them wanted
        (650, 0),
        (1_040, 10),
        # up to one a day, 260 of them
        (1_235, 200),
    ],
)
def test_in_a_shop_with_room_a_new_call_moves_few_others(
    calls: int, most_at_the_median: int, tries: int
) -> None:
    chance = random.Random(calls)
    moved = []
    for _ in range(tries):
        ends = [
            OpenDays().latest_open(TODAY + timedelta(days=chance.randrange(365)))
            for _ in range(calls + 1)
        ]
        jobs = [
            Wanted(key=f"C-{key:04}", deadline=end)
            for key, end in zip(chance.sample(range(5_000), calls + 1), ends, strict=True)
        ]
        before, after = (
            days(place_by_day(some, today=TODAY, open_days=OpenDays(), limit=5))
            for some in (jobs[1:], jobs)
        )
        moved.append(sum(after[key] != on for key, on in before.items()))
    assert median(moved) <= most_at_the_median

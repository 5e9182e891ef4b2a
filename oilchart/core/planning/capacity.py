"""Jobs with deadlines, placed on days or in weeks that hold only so many.

A slot is a day or a week from Monday to Sunday. First the earliest deadline takes the first place
from today, the next deadline the next place, and so on: this gives each job a slot it can surely
have, and makes the worst lateness as small as it can be. A job that cannot be in time there has
that slot as its new deadline; all others keep theirs, so one that is long overdue does not make the
rest late. Then, from the last slot backwards, each is placed as late as its new deadline and the
places allow: nobody is rung, and nothing taken in, sooner than it must be. Equal deadlines go by
rank, then by key, so the same jobs in any order give the same plan.

A job may be kept for a day: it takes no place before it. Forwards each slot then goes to the
earliest deadlines of those that are free by then, backwards to the latest kept ones of those whose
deadline is not before it. Both are the order that leaves no job without a place in time where any
order leaves it one, since all jobs are of one length. The longest step is sorting.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from heapq import heappop, heappush
from itertools import accumulate
from typing import Any, Generic, TypeVar

from oilchart.core.days import OpenDays
from oilchart.core.units import WEEK_DAYS

LAST_DAY = date.max.toordinal()

Key = TypeVar("Key", bound=Any)  # what tells jobs apart, and orders those of one deadline


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopLimits:
    """On which days the shop is open, and how many calls a day and services a week are planned at
    most; None for any number."""

    open_days: OpenDays
    calls_a_day: int | None = None
    services_a_week: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted(Generic[Key]):
    """A job to be placed.

    Args:
        key: tells it from the others.
        deadline: an open day, the last one in time.
        fixed: a day that was promised: it stays, and takes its place.
        rank: of equal deadlines the lower one goes first.
        not_before: it takes no place before this day; None for no such day.
    """

    key: Key
    deadline: date
    fixed: date | None = None
    rank: float = 0
    not_before: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed(Generic[Key]):
    """The day a job has been given.

    Args:
        late: whether it comes after its deadline.
    """

    key: Key
    on: date
    late: bool


def place_by_day(
    wanted: Iterable[Wanted[Key]],
    *,
    today: date,
    open_days: OpenDays,
    limit: int | None,
    taken: Mapping[date, int] = {},
) -> list[Placed[Key]]:
    """Place jobs on open days from today, each as late as it can be in time.

    Args:
        wanted: the jobs, in any order, each key once.
        limit: how many jobs a day holds, at least 1; None where it holds any number.
        taken: by day, how many places are gone already, beside those of the promised jobs given
            here.

    Returns:
        All jobs by day and key.
    """
    return _place(wanted, _Slots(1, today=today, open_days=open_days), limit=limit, taken=taken)


def place_by_week(
    wanted: Iterable[Wanted[Key]],
    *,
    today: date,
    open_days: OpenDays,
    limit: int | None,
    taken: Mapping[date, int] = {},
) -> list[Placed[Key]]:
    """Place jobs in weeks that hold only so many, each as late as it can be in time.

    In its week a job has the latest open day that is not after its deadline; one that comes too
    late has the first open day from today. A week that has no open day from today holds nothing.

    Args:
        wanted: the jobs, in any order, each key once.
        limit: how many jobs a week from Monday to Sunday holds, at least 1; None where it holds any
            number.
        taken: by Monday, how many places are gone already, beside those of the promised jobs given
            here.

    Returns:
        All jobs by day and key.
    """
    return _place(
        wanted, _Slots(WEEK_DAYS, today=today, open_days=open_days), limit=limit, taken=taken
    )


class _Slots:
    """The calendar from today in slots of so many days, numbered without a gap.

    Days are ordinals. Day 1 was a Monday, so slots of seven days run from Monday to Sunday.
    """

    def __init__(self, length_days: int, *, today: date, open_days: OpenDays) -> None:
        self._length_days = length_days
        self._open_days = open_days
        self._today = today.toordinal()
        self._weekdays = open_days.weekdays
        self._holidays = frozenset(day.toordinal() for day in open_days.holidays)
        closures = sorted(
            (shut.first.toordinal(), shut.end.toordinal()) for shut in open_days.closures
        )
        self._shut_from = [first for first, _ in closures]
        # of all closures begun by then the latest end: they may overlap
        self._shut_until = list(accumulate((end for _, end in closures), max))
        self._open: dict[int, Sequence[int]] = {}

    @property
    def first(self) -> int:
        """The slot of today."""
        return self.of(self._today)

    @property
    def last(self) -> int:
        """The slot of the last day there is; it holds whatever finds no other place."""
        return self.of(LAST_DAY)

    def of(self, day: int) -> int:
        """The slot a day lies in."""
        return (day - 1) // self._length_days

    def after(self, slot: int) -> int:
        """The next slot with an open day; the last one where there is none."""
        begin = date.fromordinal(min((slot + 1) * self._length_days + 1, LAST_DAY))
        return self.of(self._open_days.first_open(begin).toordinal())

    def before(self, slot: int) -> int:
        """The slot before with an open day."""
        end = date.fromordinal(max(slot * self._length_days, 1))
        return self.of(self._open_days.latest_open(end).toordinal())

    def open_in(self, slot: int) -> Sequence[int]:
        """The open days of a slot, none before today; looked up once."""
        days = self._open.get(slot)
        if days is None:
            begin = slot * self._length_days + 1
            days = [
                day
                for day in range(begin, min(begin + self._length_days, LAST_DAY + 1))
                if day >= self._today and self._is_open(day)
            ]
            if slot == self.last and not days:
                days = [LAST_DAY]
            self._open[slot] = days
        return days

    def first_from(self, day: date) -> int:
        """The slot of the first open day that is not before a day, nor before today."""
        first = max(day, date.fromordinal(self._today))
        return self.of(self._open_days.first_open(first).toordinal())

    def day_in(self, slot: int, deadline: int, not_before: int) -> int:
        """The latest open day of a slot up to the deadline; its first one where all are later. None
        before the day given."""
        days = [day for day in self.open_in(slot) if day >= not_before]
        return days[max(bisect_right(days, deadline) - 1, 0)]

    def _is_open(self, day: int) -> bool:
        if (day - 1) % WEEK_DAYS not in self._weekdays or day in self._holidays:
            return False
        begun = bisect_right(self._shut_from, day)
        return not begun or day >= self._shut_until[begun - 1]


def _place(
    wanted: Iterable[Wanted[Key]], slots: _Slots, *, limit: int | None, taken: Mapping[date, int]
) -> list[Placed[Key]]:
    if limit is not None and limit < 1:
        raise ValueError(f"a day or week that holds {limit} jobs never holds them all")
    placed: list[Placed[Key]] = []
    free: list[Wanted[Key]] = []
    gone: Counter[int] = Counter()
    for day_taken, count in taken.items():
        gone[slots.of(day_taken.toordinal())] += count
    for job in wanted:
        if job.fixed is None:
            free.append(job)
        else:
            placed.append(Placed(key=job.key, on=job.fixed, late=job.fixed > job.deadline))
            gone[slots.of(job.fixed.toordinal())] += 1
    free.sort(key=lambda job: (job.deadline, job.rank, job.key))

    def room(slot: int) -> int:
        if not slots.open_in(slot):
            return 0
        if limit is None or slot == slots.last:
            return len(free)
        return max(limit - gone.get(slot, 0), 0)

    kept_for = [
        slots.first if job.not_before is None else slots.first_from(job.not_before) for job in free
    ]
    deadlines = [slots.of(job.deadline.toordinal()) for job in free]
    reachable = _in_reach(deadlines, kept_for, room, slots)
    latest = _as_late_as_possible(reachable, kept_for, room, slots)
    for job, slot in zip(free, latest, strict=True):
        not_before = 0 if job.not_before is None else job.not_before.toordinal()
        on = date.fromordinal(slots.day_in(slot, job.deadline.toordinal(), not_before))
        placed.append(Placed(key=job.key, on=on, late=on > job.deadline))
    return sorted(placed, key=lambda each: (each.on, each.key))


def _in_reach(
    deadlines: Sequence[int], kept_for: Sequence[int], room: Callable[[int], int], slots: _Slots
) -> list[int]:
    """Fill the slots from the first one on, of the jobs that are free the earliest deadline first.

    Args:
        deadlines: slots, in the order in which the jobs go first.
        kept_for: for each job the first slot that it may have.

    Returns:
        For each job its new deadline: the later of its own and the slot reached.
    """
    reachable = list(deadlines)
    coming = sorted(range(len(deadlines)), key=lambda job: (kept_for[job], job), reverse=True)
    waiting: list[int] = []  # a heap, by the order in which they go first
    slot, places = slots.first, room(slots.first)
    while coming or waiting:
        if not waiting and kept_for[coming[-1]] > slot:
            slot = kept_for[coming[-1]]
            places = room(slot)
        while coming and kept_for[coming[-1]] <= slot:
            heappush(waiting, coming.pop())
        if places:
            job = heappop(waiting)
            reachable[job] = max(deadlines[job], slot)
            places -= 1
        else:
            slot = slots.after(slot)
            places = room(slot)
    return reachable


def _as_late_as_possible(
    deadlines: Sequence[int], kept_for: Sequence[int], room: Callable[[int], int], slots: _Slots
) -> list[int]:
    """Fill the slots from the last one back, of the jobs whose deadline is not before it the latest
    kept one first, then the one that goes last.

    Args:
        deadlines: slots; they leave every job a place.
    """
    placed = list(deadlines)
    coming = sorted(range(len(deadlines)), key=lambda job: (deadlines[job], job))
    waiting: list[tuple[int, int]] = []  # a heap of (-first slot, -job)
    slot, places = max(deadlines, default=0) + 1, 0
    while coming or waiting:
        if not waiting and deadlines[coming[-1]] < slot:
            slot = deadlines[coming[-1]]
            places = room(slot)
        while coming and deadlines[coming[-1]] >= slot:
            job = coming.pop()
            heappush(waiting, (-kept_for[job], -job))
        if places:
            job = -heappop(waiting)[1]
            placed[job] = slot
            places -= 1
        else:
            slot = slots.before(slot)
            places = room(slot)
    return placed

"""The services of a machine still to come: their days and the points done at each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction

from oilchart.core.days import OpenDays, add_days
from oilchart.core.due.due_dates import Timing, Window, deciding_day, first_of
from oilchart.core.point_lists.point_list import Point

MONTHS_AHEAD = 24

DueIfDone = Callable[[Point, date, int], Window | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchWork:
    """The bench points of a machine and how each falls due; its services are planned from it.

    Args:
        points: in list order.
        due: each point's due window by id, as things stand; None for occasions, and on a machine
            never served.
        if_done: the window of a point were its work done on a day, for the n-th time from now; None
            for occasions.
        open_days: the days on which the bench works.
        carried_over: ids of the points that the last service left out, whose windows are those with
            which they count; they are planned for the next service whatever its day.
    """

    points: Sequence[Point]
    due: Mapping[str, Window | None]
    if_done: DueIfDone
    open_days: OpenDays
    carried_over: AbstractSet[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedService:
    """A service still to come.

    Args:
        on: its day.
        points: those done at it.
        wanted_by: the day that decides when the machine is served.
        deadline: the last open day up to that; before today where it is past.
        late: whether it comes after the likely due date of one of the points.
    """

    on: date
    points: tuple[Point, ...]
    wanted_by: date
    deadline: date
    late: bool

    @property
    def in_time(self) -> bool:
        """Whether it comes by the day that decides."""
        return self.on <= self.wanted_by

    @property
    def is_time(self) -> bool:
        """Whether it comes after the day that decides, and yet not late: now is the time."""
        return not self.in_time and not self.late

    @property
    def timing(self) -> Timing:
        """Whether it is late, now is the time, or it is in time."""
        return Timing.LATE if self.late else Timing.NOW if self.is_time else Timing.IN_TIME

    @property
    def minutes(self) -> Fraction:
        """Bench time of its points."""
        return sum((point.minutes for point in self.points), start=Fraction(0))


def wanted_by(work: BenchWork) -> date | None:
    """The day that decides when a machine is served: the first of its points' deciding days; None
    where none ever falls due."""
    return first_of(deciding_day(point, work.due[point.id]) for point in work.points)


def next_service(
    work: BenchWork, *, today: date, first_due: date | None = None, given: date | None = None
) -> PlannedService | None:
    """Plan the next service: the latest open day in time for all points, but not before today.

    Args:
        first_due: the day by which a machine is wanted that was never served, for all its bench
            points; None where it was.
        given: the day the bench has for it, where it shares its weeks; the latest day in time if
            left out.

    Returns:
        None where no bench point ever falls due.
    """
    wanted = first_due or wanted_by(work)
    if wanted is None or not work.points:
        return None
    deadline = work.open_days.latest_open(wanted)
    day = given or (deadline if deadline >= today else work.open_days.first_open(today))
    likely = first_due or first_of(
        window.likely for window in work.due.values() if window is not None
    )
    return PlannedService(
        on=day,
        points=points_at(work, day) if first_due is None else tuple(work.points),
        wanted_by=wanted,
        deadline=deadline,
        late=likely is not None and day > likely,
    )


def services_from(first: PlannedService, work: BenchWork) -> Iterator[PlannedService]:
    """Yield the next service and those after it, each from how the ones before leave the machine.

    No plan has fewer services up to any day. A point never falls due earlier for being done later:
    the use up to a later day is no less, and a limit at rest runs from a later day. Now take any
    plan that is in time throughout. Its first service is on an open day not after the first due
    date, and ours is the latest of these. If its n-th service is not after our n-th, none of its
    points, done there or before, falls due after the day it would fall due had all been done on our
    n-th day; so its next service is on an open day up to the first of these dates, and ours is the
    latest of them again. Hence its n-th service is never after our n-th.

    No plan on the same days has less deep work. We leave a deep point until the last service in
    time for it; any plan in time does it for the n-th time not after we do, and so no fewer times.
    Since a point that waits lasts until the next service, waiting moves no day.

    All this counts from the first service, whose day may be given, and holds while each is in time
    by the day that decides: where there is no open day in time, the first one after it is taken.
    Steps move on with each service and change nothing, as every plan does the same work n times at
    its n-th service; only of deep points it is taken that their interval has no steps. A point that
    was carried over is one with another first day, and is done at the first service.

    Returns:
        Without end, but for that of the calendar, where some point always falls due again.
    """
    due = dict(work.due)
    times: Counter[str] = Counter()

    def if_done_again(point: Point, day: date, nth: int) -> Window | None:
        return work.if_done(point, day, times[point.id] + nth)

    ahead = replace(work, due=due, if_done=if_done_again)
    service: PlannedService | None = first
    while service is not None:
        yield service
        for point in service.points:
            due[point.id] = if_done_again(point, service.on, 1)
            times[point.id] += 1
        if service.on == date.max:
            return
        ahead = replace(ahead, carried_over=frozenset())
        service = next_service(ahead, today=add_days(service.on, 1))


def points_at(work: BenchWork, day: date) -> tuple[Point, ...]:
    """The points of a service on a day: all but the deep ones that can wait for the next one and
    were not carried over."""
    after = first_of(deciding_day(point, work.if_done(point, day, 1)) for point in work.points)
    following = date.max
    if after is not None:
        next_day = work.open_days.first_open(add_days(day, 1))
        following = max(work.open_days.latest_open(after), next_day)

    def cannot_wait(point: Point) -> bool:
        if point.id in work.carried_over:
            return True
        wanted = deciding_day(point, work.due[point.id])
        return wanted is not None and (after is None or wanted < following)

    return tuple(point for point in work.points if not point.deep or cannot_wait(point))

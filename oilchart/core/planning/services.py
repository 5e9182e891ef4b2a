"""Knows when a machine is wanted on the bench, next and over the coming months, and which points
are done then."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from oilchart.core.days import ONE_DAY, OpenDays
from oilchart.core.due.due_dates import Window, first_of
from oilchart.core.lists.point_list import IfDry, Point

MONTHS_AHEAD = 24

DueIfDone = Callable[[Point, date], Window | None]
DueIfDoneAgain = Callable[[Point, date, int], Window | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedService:
    """A service still to come: its day, the points done at it, and whether it comes too late for
    one of them.

    Args:
        deadline: the last open day in time; before today where that is past.
    """

    on: date
    points: tuple[Point, ...]
    late: bool
    deadline: date

    @property
    def minutes(self) -> Fraction:
        """Bench time of its points."""
        return sum((point.minutes for point in self.points), start=Fraction(0))


def deciding_day(point: Point, due: Window | None) -> date | None:
    """The day by which a point wants its service: its likely due date, its earliest where running
    dry seizes the machine."""
    if due is None:
        return None
    return due.earliest if point.if_dry is IfDry.SEIZES else due.likely


def next_service(
    bench: Sequence[Point],
    due: Mapping[str, Window | None],
    if_done: DueIfDone,
    *,
    today: date,
    open_days: OpenDays,
    served: bool,
    given: date | None = None,
) -> PlannedService | None:
    """Plan the next service: the latest open day in time for every bench point, but not before
    today.

    A machine never served is due today, for all its bench points.

    Args:
        bench: the machine's bench points, in list order.
        due: each point's due window by id, as things stand; None for occasions.
        if_done: the window of a point were its work done on a day.
        given: the day the bench has for it, where it shares its weeks; the latest day in time if
            left out.

    Returns:
        None where no bench point ever falls due.
    """
    wanted = (
        today if not served else first_of(deciding_day(point, due[point.id]) for point in bench)
    )
    if wanted is None or not bench:
        return None
    deadline = open_days.latest_open(wanted)
    day = given or (deadline if deadline >= today else open_days.first_open(today))
    points = (
        points_at(bench, due, if_done, day=day, open_days=open_days) if served else tuple(bench)
    )
    return PlannedService(on=day, points=points, late=day > deadline, deadline=deadline)


def services_from(
    first: PlannedService,
    bench: Sequence[Point],
    due: Mapping[str, Window | None],
    if_done: DueIfDoneAgain,
    *,
    open_days: OpenDays,
) -> Iterator[PlannedService]:
    """Yield the next service and those after it, each planned as the next one is, from how the ones
    before it leave the machine.

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

    All this counts from the first service, whose day may be given, and holds while none is late:
    where there is no open day in time, the first one after it is taken. Steps move on with each
    service and change nothing, as every plan does the same work n times at its n-th service; only
    of deep points it is taken that their interval has no steps.

    Args:
        due: each bench point's window by id as things stand; None for occasions, and on a machine
            never served.
        if_done: the window of a point were its work done on a day, for the n-th time from now; None
            for occasions.

    Returns:
        Without end where some point always falls due again.
    """
    standing = dict(due)
    times: Counter[str] = Counter()

    def if_done_next(point: Point, day: date) -> Window | None:
        return if_done(point, day, times[point.id] + 1)

    service: PlannedService | None = first
    while service is not None:
        yield service
        for point in service.points:
            standing[point.id] = if_done_next(point, service.on)
            times[point.id] += 1
        service = next_service(
            bench,
            standing,
            if_done_next,
            today=service.on + ONE_DAY,
            open_days=open_days,
            served=True,
        )


def points_at(
    bench: Sequence[Point],
    due: Mapping[str, Window | None],
    if_done: DueIfDone,
    *,
    day: date,
    open_days: OpenDays,
) -> tuple[Point, ...]:
    """The points of a service on a day: every bench point, less the deep ones that can wait for the
    service after it."""
    after = first_of(deciding_day(point, if_done(point, day)) for point in bench)
    if after is None:
        return tuple(
            point
            for point in bench
            if not point.deep or deciding_day(point, due[point.id]) is not None
        )
    following = max(open_days.latest_open(after), open_days.first_open(day + ONE_DAY))

    def cannot_wait(point: Point) -> bool:
        wanted = deciding_day(point, due[point.id])
        return wanted is not None and wanted < following

    return tuple(point for point in bench if not point.deep or cannot_wait(point))

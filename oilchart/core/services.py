"""Knows when a machine is next wanted on the bench and which points are done then."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date

from oilchart.core.chart import IfDry, Point
from oilchart.core.days import ONE_DAY, OpenDays
from oilchart.core.due import Window, first_of

DueIfDone = Callable[[Point, date], Window | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedService:
    """A service still to come: its day, the points done at it, and whether it comes too late for one of them.

    Args:
        deadline: the last open day in time; before today where that is past.
    """

    on: date
    points: tuple[Point, ...]
    late: bool
    deadline: date


def deciding_day(point: Point, due: Window | None) -> date | None:
    """The day by which a point wants its service: its likely due date, its earliest where running dry seizes the machine."""
    if due is None:
        return None
    return due.earliest if point.if_dry is IfDry.SEIZES else due.likely


def next_service(
    bench: Sequence[Point],
    due: dict[str, Window | None],
    if_done: DueIfDone,
    *,
    today: date,
    open_days: OpenDays,
    served: bool,
    given: date | None = None,
) -> PlannedService | None:
    """Plan the next service: the latest open day in time for every bench point, but not before today.

    A machine never served is due today, for all its bench points.

    Args:
        bench: the machine's bench points, in list order.
        due: each point's due window by id, as things stand; None for occasions.
        if_done: the window of a point were its work done on a day.
        given: the day the bench has for it, where it shares its weeks; the latest day in time if left out.

    Returns:
        None where no bench point ever falls due.
    """
    wanted = today if not served else first_of(deciding_day(point, due[point.id]) for point in bench)
    if wanted is None or not bench:
        return None
    deadline = open_days.latest_open(wanted)
    day = given or (deadline if deadline >= today else open_days.first_open(today))
    points = points_at(bench, due, if_done, day=day, open_days=open_days) if served else tuple(bench)
    return PlannedService(on=day, points=points, late=day > deadline, deadline=deadline)


def points_at(
    bench: Sequence[Point], due: dict[str, Window | None], if_done: DueIfDone, *, day: date, open_days: OpenDays
) -> tuple[Point, ...]:
    """The points of a service on a day: every bench point, less the deep ones that can wait for the service after it."""
    after = first_of(deciding_day(point, if_done(point, day)) for point in bench)
    if after is None:
        return tuple(point for point in bench if not point.deep or deciding_day(point, due[point.id]) is not None)
    following = max(open_days.latest_open(after), open_days.first_open(day + ONE_DAY))

    def cannot_wait(point: Point) -> bool:
        wanted = deciding_day(point, due[point.id])
        return wanted is not None and wanted < following

    return tuple(point for point in bench if not point.deep or cannot_wait(point))

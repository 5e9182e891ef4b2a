"""When work falls due, by use or by time, and how a point or machine stands that day.

Low, likely, careful and high use leave a window of four dates. A due date is the last day still in
time: overdue on day x means x is after it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from oilchart.core.due.limits import Limits
from oilchart.core.point_lists.interval import Allowance
from oilchart.core.point_lists.point_list import IfDry, Point
from oilchart.core.units import Ticks
from oilchart.core.use.curve import Curve, Curves


class Because(StrEnum):
    """What makes a point fall due."""

    USE = "use"
    TIME = "time"


class State(StrEnum):
    """How a point or a machine stands, the worst first."""

    OVERDUE = "overdue"
    FIRST_SERVICE = "first service"
    LIKELY_OVERDUE = "likely overdue"
    MAYBE_OVERDUE = "maybe overdue"
    DUE_SOON = "due soon"
    IN_TIME = "in time"
    NOT_SEEN_YET = "not seen yet"
    IN_THE_SHOP = "in the shop"
    GONE = "gone"


class Timing(StrEnum):
    """How the day of a service stands to those by which it is wanted."""

    IN_TIME = ""
    NOW = "now is the time"
    LATE = "late"


WORST_FIRST = tuple(State)
# its time has come, even if it was sewn on as likely: its owner is written to
LATE = frozenset({State.OVERDUE, State.FIRST_SERVICE, State.LIKELY_OVERDUE})
# it wants the bench now, or may
PRESSING = LATE | {State.MAYBE_OVERDUE}
# it is listed, and its card printed, as due
DUE = PRESSING | {State.DUE_SOON}


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The due dates at high, careful, likely and low use; None is never.

    Args:
        because: what makes the likely one.
    """

    earliest: date | None
    careful: date | None
    likely: date | None
    latest: date | None
    because: Because | None

    def days_left(self, today: date) -> int | None:
        """Days from today to the likely due date; 0 means that today is the last day in time."""
        return None if self.likely is None else (self.likely - today).days


def one_day(day: date | None, because: Because | None = Because.TIME) -> Window:
    """A window that is one day whatever the use."""
    return Window(
        earliest=day,
        careful=day,
        likely=day,
        latest=day,
        because=None if day is None else because,
    )


NEVER = one_day(None)


def due_by_use(curve: Curve, done: date, limit: Ticks) -> date | None:
    """The last day in time by use; None is never.

    Args:
        limit: ticks; at the start of that day no more were used since the work.
    """
    day = curve.last_day_within(curve.used_before(done.toordinal()) + limit)
    return None if day is None else date.fromordinal(day)


def window(curves: Curves | None, done: date, allowed: Allowance | Limits) -> Window:
    """The due window of work done on a day.

    Args:
        curves: None where no use is known; then only the limit at rest counts.
        allowed: limits where they change after that day.
    """
    if isinstance(allowed, Limits):
        changing = allowed
        return _window(
            curves, changing.due_by_time(done), lambda curve: changing.due_by_use(curve, done)
        )
    by_time, limit = allowed.due_by_time(done), allowed.use
    if limit is None:
        return one_day(by_time)
    return _window(curves, by_time, lambda curve: due_by_use(curve, done, limit))


def _window(
    curves: Curves | None, by_time: date | None, by_use: Callable[[Curve], date | None]
) -> Window:
    if curves is None:
        return one_day(by_time)
    earliest = by_use(curves.high)
    # then less use does not come first either
    if by_time is not None and (earliest is None or earliest > by_time):
        return one_day(by_time)
    if curves.low is curves.high:
        return one_day(earliest, Because.USE)
    careful, likely, latest = map(by_use, (curves.careful, curves.likely, curves.low))
    if by_time is None:
        return Window(
            earliest=earliest,
            careful=careful,
            likely=likely,
            latest=latest,
            because=None if likely is None else Because.USE,
        )
    use_first = likely is not None and likely <= by_time
    return Window(
        earliest=earliest,
        careful=first_of((careful, by_time)),
        likely=likely if use_first else by_time,
        latest=first_of((latest, by_time)),
        because=Because.USE if use_first else Because.TIME,
    )


def first_window(windows: Iterable[Window]) -> Window:
    """A machine's window: each date is the first over its points; use is told before time."""
    different = set(windows)
    likely = first_of(window.likely for window in different)
    because = None
    if likely is not None:
        by_use = any(
            window.likely == likely and window.because is Because.USE for window in different
        )
        because = Because.USE if by_use else Because.TIME
    return Window(
        earliest=first_of(window.earliest for window in different),
        careful=first_of(window.careful for window in different),
        likely=likely,
        latest=first_of(window.latest for window in different),
        because=because,
    )


def first_of(days: Iterable[date | None]) -> date | None:
    """The first of several days, None being never."""
    return min((day for day in days if day is not None), default=None)


def deciding_day(point: Point, due: Window | None) -> date | None:
    """The day by which a point wants its service, None where it never does.

    That is its likely due date; its careful one where running dry seizes the machine: about 1 owner
    in 4 is past the limit by then.
    """
    if due is None:
        return None
    return due.careful if point.if_dry is IfDry.SEIZES else due.likely


def state(
    due: Window, *, wanted_by: date | None, service_on: date | None, today: date, lead_days: int
) -> State:
    """How a window stands today.

    Args:
        wanted_by: the day that decides when it is served; past it, it may be overdue.
        service_on: the day for which its service is planned.
        lead_days: how many days ahead of its service, or of the likely due date, it counts as due
            soon.
    """
    if due.latest is not None and today > due.latest:
        return State.OVERDUE
    if due.likely is not None and today > due.likely:
        return State.LIKELY_OVERDUE
    if wanted_by is not None and today > wanted_by:
        return State.MAYBE_OVERDUE
    next_day = first_of((due.likely, service_on))
    if next_day is not None and (next_day - today).days <= lead_days:
        return State.DUE_SOON
    return State.IN_TIME

"""When work falls due, by use or by time, and how a point or machine stands that day.

Low, likely and high use leave a window of three dates. A due date is the last day still in time:
overdue on day x means x is after it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from oilchart.core.point_lists.interval import Allowance
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


WORST_FIRST = tuple(State)
# its time has come, even if it was sewn on as likely: its owner is written to
LATE = frozenset({State.OVERDUE, State.FIRST_SERVICE, State.LIKELY_OVERDUE})
# it wants the bench now, or may
PRESSING = LATE | {State.MAYBE_OVERDUE}
# it is listed, and its card printed, as due
DUE = PRESSING | {State.DUE_SOON}


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """The due dates at high, likely and low use; None is never.

    Args:
        because: what makes the likely one.
    """

    earliest: date | None
    likely: date | None
    latest: date | None
    because: Because | None

    def days_left(self, today: date) -> int | None:
        """Days from today to the likely due date; 0 means that today is the last day in time."""
        return None if self.likely is None else (self.likely - today).days


NEVER = Window(earliest=None, likely=None, latest=None, because=None)


def due_by_use(curve: Curve, done: date, limit: Ticks) -> date | None:
    """The last day in time by use; None is never.

    Args:
        limit: ticks; at the start of that day no more were used since the work.
    """
    day = curve.last_day_within(curve.used_before(done.toordinal()) + limit)
    return None if day is None else date.fromordinal(day)


def window(curves: Curves | None, done: date, allowed: Allowance) -> Window:
    """The due window of work done on a day.

    Args:
        curves: None where no use is known; then only the limit at rest counts.
    """
    by_time = allowed.due_by_time(done)
    if curves is None or allowed.use is None:
        return Window(
            earliest=by_time,
            likely=by_time,
            latest=by_time,
            because=None if by_time is None else Because.TIME,
        )
    earliest = due_by_use(curves.high, done, allowed.use)
    # then less use does not come first either
    if by_time is not None and (earliest is None or earliest > by_time):
        return Window(earliest=by_time, likely=by_time, latest=by_time, because=Because.TIME)
    likely, latest = (due_by_use(curve, done, allowed.use) for curve in (curves.likely, curves.low))
    if by_time is None:
        because = None if likely is None else Because.USE
        return Window(earliest=earliest, likely=likely, latest=latest, because=because)
    by_use = likely is not None and likely <= by_time
    return Window(
        earliest=earliest,
        likely=likely if by_use else by_time,
        latest=first_of((latest, by_time)),
        because=Because.USE if by_use else Because.TIME,
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
        likely=likely,
        latest=first_of(window.latest for window in different),
        because=because,
    )


def first_of(days: Iterable[date | None]) -> date | None:
    """The first of several days, None being never."""
    return min((day for day in days if day is not None), default=None)


def state(due: Window, today: date, lead_days: int) -> State:
    """How a window stands today.

    Args:
        lead_days: how many days ahead of the likely due date it counts as due soon.
    """
    if due.latest is not None and today > due.latest:
        return State.OVERDUE
    if due.likely is not None and today > due.likely:
        return State.LIKELY_OVERDUE
    if due.earliest is not None and today > due.earliest:
        return State.MAYBE_OVERDUE
    if due.likely is not None and (due.likely - today).days <= lead_days:
        return State.DUE_SOON
    return State.IN_TIME

"""Bench points that a service left out though they were planned for it: when they count."""

from __future__ import annotations

from collections.abc import Container
from datetime import date

from oilchart.core.days import add_months
from oilchart.core.due.due_dates import Because, Window, one_day
from oilchart.core.point_lists.point_list import IfDry, Point

WAITS_MONTHS = 12  # a year after the service that left it out; the project's own rule


def cannot_wait(point: Point, declined: Container[str] = ()) -> bool:
    """Whether a point counts with its own day though a service left it out: someone could be hurt,
    or the machine seizes; unless the owner has declined it.

    Args:
        declined: ids of the points that were.
    """
    urgent = point.safety or point.if_dry is IfDry.SEIZES
    return urgent and point.id not in declined


def counted_window(
    point: Point,
    own: Window | None,
    since: date,
    back_on: date | None = None,
    declined: Container[str] = (),
) -> Window:
    """The window with which a point that was carried over counts wherever a minimum over points is
    taken: the machine's window and state, and the day of its next service.

    Each date is the later of the point's own and of 12 months after the service that left it out,
    so that it never sets the next service sooner than a year by itself and never waits longer
    unseen. A point without a window counts with those 12 months alone. One that cannot wait counts
    with its own window, or with the day on which the machine is wanted back.

    A carried-over point is a point with another given first day: max(own, since + 12 months) never
    falls as `since` rises, since months are added without ever going back; and what follows once it
    is done is untouched. So all that `services_from` takes of a point holds for it, and its
    induction with it.

    Args:
        since: the day of the service that left it out.
        back_on: the day asked for where it cannot wait.
        declined: ids of the points that the owner declined.
    """
    if cannot_wait(point, declined) and back_on is not None:
        return one_day(back_on)
    waits = add_months(since, WAITS_MONTHS)
    if own is None:
        return one_day(waits)
    if cannot_wait(point, declined):
        return own
    likely = _later(own.likely, waits)
    return Window(
        earliest=_later(own.earliest, waits),
        careful=_later(own.careful, waits),
        likely=likely,
        latest=_later(own.latest, waits),
        because=own.because if likely == own.likely else Because.TIME,
    )


def _later(own: date | None, waits: date) -> date | None:
    """The later of two days, None being never."""
    return None if own is None else max(own, waits)

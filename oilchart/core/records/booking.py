"""A day on the bench that was agreed with an owner, and what became of it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class BookingEnd(StrEnum):
    """By what a booked day ended."""

    SERVICE = "service"
    CHECK_IN = "check-in"
    GONE = "gone"  # the machine is not looked after any more
    HANDED_ON = "handed on"  # the machine is another owner's
    MOVED = "moved"  # another day was booked before it came
    CANCELLED = "cancelled"  # its owner called it off
    CANCELLED_BY_US = "cancelled by us"
    LATER = "later"  # its owner wants to be rung on another day instead
    DECLINED = "declined"
    MISSED = "missed"  # the day went by and the machine did not come


@dataclass(frozen=True, slots=True, kw_only=True)
class Booking:
    """A booked day.

    Args:
        closed_on, closed_by: when and by what it ended; None while it stands, or has gone by and
            nothing was told of it.
    """

    day: date
    made_on: date
    closed_on: date | None = None
    closed_by: BookingEnd | None = None

    @property
    def is_open(self) -> bool:
        """Whether nothing has ended it."""
        return self.closed_on is None

    def was_missed(self, as_of: date) -> bool:
        """Whether the machine did not come, as far as is known on a day."""
        if self.is_open:
            return self.day < as_of
        return self.closed_by is BookingEnd.MISSED

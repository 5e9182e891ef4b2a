"""An iCalendar file of the shop's own calendar program, read: entries of whole days or with a time,
by uid."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

from icalendar import Calendar

from oilchart.errors import FaultyList

MOST_BYTES = 20_000_000
LONGEST_DAYS = 400  # of a closure


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadEntry:
    """An entry of a calendar file.

    Args:
        first, last: the days it covers, both included.
        whole_days: it has no time of day.
        recurs: it stands for more days than these.
    """

    uid: str
    first: date
    last: date
    whole_days: bool
    recurs: bool
    sequence: int
    title: str
    categories: tuple[str, ...]
    cancelled: bool


def read_calendar(path: Path) -> tuple[list[ReadEntry], int]:
    """Read the entries of a file.

    Returns:
        Those that can be read, and how many cannot.

    Raises:
        FaultyList: there is no such file, or it is no calendar.
    """
    try:
        data = path.read_bytes()
    except OSError as error:
        raise FaultyList(
            [f"{path}: cannot be read: {error.strerror}; name a calendar file"]
        ) from None
    if len(data) > MOST_BYTES:
        raise FaultyList(
            [f"{path}: is larger than {MOST_BYTES // 1_000_000} MB; export fewer months"]
        )
    try:
        calendars = [
            found for found in Calendar.from_ical(data, multiple=True) if found.name == "VCALENDAR"
        ]
    # the library raises each of these at some damage
    except (ValueError, IndexError, KeyError, TypeError, AttributeError):
        calendars = []
    if not calendars:
        raise FaultyList(
            [f"{path}: is no calendar file (iCalendar); export it anew from your calendar program"]
        )
    found, unread = [], 0
    for calendar in calendars:
        for event in calendar.walk("VEVENT"):
            try:
                found.append(_entry(event))
            except (ValueError, KeyError, TypeError, AttributeError):
                unread += 1
    return found, unread


def _entry(event: Any) -> ReadEntry:  # the library types a value as any of thirty kinds
    start = event["DTSTART"].dt
    first, whole_days = _day(start), not isinstance(start, datetime)
    last = first
    if "DTEND" in event:
        end = event["DTEND"].dt
        last = max(first, _day(end) - timedelta(days=1) if whole_days else _day(end))
    elif "DURATION" in event and whole_days:
        last = max(first, first + event["DURATION"].dt - timedelta(days=1))
    return ReadEntry(
        uid=str(event["UID"]),
        first=first,
        last=last,
        whole_days=whole_days,
        recurs="RRULE" in event or "RDATE" in event or "RECURRENCE-ID" in event,
        sequence=int(event.get("SEQUENCE", 0)),
        title=str(event.get("SUMMARY", "")),
        categories=_categories(event.get("CATEGORIES")),
        cancelled=str(event.get("STATUS", "")).upper() == "CANCELLED",
    )


def _day(moment: Any) -> date:
    """The day of a day or of a time, as the entry itself has it."""
    if isinstance(moment, datetime):
        return moment.date()
    if isinstance(moment, date):
        return moment
    raise ValueError("no day")


def _categories(found: Any) -> tuple[str, ...]:
    lists = found if isinstance(found, list) else [] if found is None else [found]
    return tuple(str(name) for each in lists for name in each.cats)

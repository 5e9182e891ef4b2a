"""An iCalendar file of the shop's own calendar program, read: entries of whole days or with a time,
by uid."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

from icalendar import Calendar

from oilchart import bounds
from oilchart.errors import FaultyList, one_line


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
        with path.open("rb") as file:
            data = file.read(bounds.CALENDAR_BYTES + 1)
    except OSError as error:
        raise FaultyList(
            [f"{path}: cannot be read: {error.strerror}; name a calendar file"]
        ) from None
    if len(data) > bounds.CALENDAR_BYTES:
        most = f"{bounds.CALENDAR_BYTES // 1_000_000} MB"
        raise FaultyList([f"{path}: is larger than {most}; export fewer months"])
    try:
        calendars = [
            found for found in Calendar.from_ical(data, multiple=True) if found.name == "VCALENDAR"
        ]
    # the library raises each of these at some damage
    except (ValueError, IndexError, KeyError, TypeError, AttributeError, OverflowError):
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
            except (ValueError, KeyError, TypeError, AttributeError, OverflowError):
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
        uid=_uid(event["UID"]),
        first=first,
        last=last,
        whole_days=whole_days,
        recurs="RRULE" in event or "RDATE" in event or "RECURRENCE-ID" in event,
        sequence=int(_one(event, "SEQUENCE", 0)),
        title=_title(str(_one(event, "SUMMARY", ""))),
        categories=_categories(event.get("CATEGORIES")),
        cancelled=str(_one(event, "STATUS", "")).upper() == "CANCELLED",
    )


def _uid(found: Any) -> str:
    """The uid of an entry, without which it cannot be told from others."""
    uid = "" if isinstance(found, list) else one_line(str(found))
    if not 0 < len(uid) <= bounds.WORDS_LETTERS:
        raise ValueError("no uid")
    return uid


def _one(event: Any, name: str, default: object) -> Any:
    """A value that an entry may have once; where it stands several times, the first."""
    found = event.get(name, default)
    return found[0] if isinstance(found, list) else found


def _title(words: str) -> str:
    """A title as it is told and kept: without control characters, its end cut where it is long."""
    title, most = one_line(words), bounds.NAME_LETTERS
    return title if len(title) <= most else f"{title[: most - 1]}…"


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

"""Knows how follow-up calls are written as an iCalendar file (RFC 5545, RFC 7986) that calendar programs take twice without doubling."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from datetime import UTC, date, datetime, timedelta
from typing import Any

from icalendar import Calendar, Event, Timezone, TimezoneStandard, vDuration, vText

from oilchart.papers.feed import FollowUp

PRODUCT = "-//oilchart//follow-up calls//EN"
READ_AGAIN = timedelta(hours=12)


class _Text(vText):
    """A text value that keeps a backslash before an N as it is; the library makes a new line of it.

    Source: RFC 5545 section 3.3.11: backslash, semicolon and comma are escaped, a new line is written as backslash n.
    """

    def to_ical(self) -> bytes:
        escaped = self.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")
        return escaped.encode("utf-8")


def feed_ics(follow_ups: Iterable[FollowUp], *, name: str) -> bytes:
    """Write the calls as whole-day entries, in the order given; without any, a calendar that holds only a time zone.

    No METHOD: the file is a snapshot. Each entry's stamps come from the call itself, so that an unchanged call keeps its bytes.
    """
    calendar = Calendar()
    calendar.add("PRODID", PRODUCT)
    calendar.add("VERSION", "2.0")
    calendar.add("CALSCALE", "GREGORIAN")
    calendar.add("NAME", _text(name))
    calendar.add("X-WR-CALNAME", _text(name))
    calendar.add("REFRESH-INTERVAL", vDuration(READ_AGAIN), parameters={"VALUE": "DURATION"})
    calendar.add("X-PUBLISHED-TTL", "PT12H")
    for follow_up in follow_ups:
        calendar.add_component(_entry(follow_up))
    if not calendar.subcomponents:
        calendar.add_component(_only_a_zone())
    return bytes(calendar.to_ical(sorted=False))


def _entry(follow_up: FollowUp) -> Event:
    changed = _midnight(follow_up.changed_on)
    entry = Event()
    values: list[tuple[str, Any]] = [
        ("UID", follow_up.uid),
        ("DTSTAMP", changed),
        ("CREATED", _midnight(follow_up.made_on)),
        ("LAST-MODIFIED", changed),
        ("SEQUENCE", follow_up.changes),
        ("DTSTART", follow_up.on),
        ("DTEND", follow_up.on + timedelta(days=1)),
        ("SUMMARY", _text(follow_up.title)),
        ("DESCRIPTION", _text("\n".join(follow_up.lines))),
        ("CATEGORIES", ["Follow-up call"]),
        ("STATUS", "CONFIRMED"),
        ("TRANSP", "TRANSPARENT"),
        ("X-MICROSOFT-CDO-BUSYSTATUS", "FREE"),
    ]
    for key, value in values:
        entry.add(key, value)
    return entry


def _only_a_zone() -> Timezone:
    """A calendar object must hold something: RFC 5545 section 3.6."""
    zone, standard = Timezone(), TimezoneStandard()
    zone.add("TZID", "UTC")
    standard.add("DTSTART", datetime(1970, 1, 1))  # noqa: DTZ001 - RFC 5545 section 3.6.5 wants local time here
    standard.add("TZOFFSETFROM", timedelta(0))
    standard.add("TZOFFSETTO", timedelta(0))
    zone.add_component(standard)
    return zone


def _midnight(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, tzinfo=UTC)


def _text(words: str) -> _Text:
    """Text without what RFC 5545 forbids in it: control characters; every kind of line end becomes one."""
    plain = words.replace("\r\n", "\n").replace("\r", "\n").replace("\u2028", "\n").replace("\u2029", "\n").replace("\u0085", "\n")
    return _Text("".join(char for char in plain if char in "\n\t" or unicodedata.category(char) not in ("Cc", "Cs", "Cn", "Co")))

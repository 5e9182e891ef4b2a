"""Entries as an iCalendar file (RFC 5545, RFC 7986) that calendar programs take twice without
doubling."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from icalendar import Alarm, Calendar, Event, Timezone, TimezoneStandard, vDuration, vRecur, vText

from oilchart.papers.calendar.entry import Entry, Stamped

PRODUCT = "-//oilchart//sewing-machine care//EN"
READ_AGAIN = timedelta(hours=12)


class _Text(vText):
    """A text value that keeps a backslash before an N as it is; the library makes a new line of it.

    Source: RFC 5545 section 3.3.11: backslash, semicolon and comma are escaped, a new line is
    written as backslash n.
    """

    def to_ical(self) -> bytes:
        escaped = (
            self.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,").replace("\n", "\\n")
        )
        return escaped.encode("utf-8")


def calendar_ics(entries: Iterable[Stamped], *, name: str) -> bytes:
    """Write entries of whole days, in the order given; without any, a calendar that holds only a
    time zone.

    No METHOD: the file is a snapshot. Each entry's number and stamps come from its ledger, so that
    one that is seen as before keeps its bytes.
    """
    calendar = Calendar()
    calendar.add("PRODID", PRODUCT)
    calendar.add("VERSION", "2.0")
    calendar.add("CALSCALE", "GREGORIAN")
    calendar.add("NAME", _text(name))
    calendar.add("X-WR-CALNAME", _text(name))
    calendar.add("REFRESH-INTERVAL", vDuration(READ_AGAIN), parameters={"VALUE": "DURATION"})
    calendar.add("X-PUBLISHED-TTL", "PT12H")
    for stamped in entries:
        calendar.add_component(_event(stamped))
    if not calendar.subcomponents:
        calendar.add_component(_only_a_zone())
    return bytes(calendar.to_ical(sorted=False))


def _event(stamped: Stamped) -> Event:
    entry, ledger = stamped.entry, stamped.ledger
    event = Event()
    values: list[tuple[str, Any]] = [
        ("UID", ledger.uid),
        ("DTSTAMP", ledger.changed_at),
        ("CREATED", ledger.made_at),
        ("LAST-MODIFIED", ledger.changed_at),
        ("SEQUENCE", ledger.sequence),
        ("DTSTART", entry.first),
        # without an end it is one day (RFC 5545 section 3.6.1); after the last one there is none
        *([("DTEND", entry.end)] if entry.end > entry.first else []),
        *([("RRULE", _rule(entry))] if entry.rule else []),
        ("SUMMARY", _text(entry.title)),
        ("DESCRIPTION", _text("\n".join(entry.lines))),
        ("CATEGORIES", [entry.category]),
        ("STATUS", "CONFIRMED" if ledger.withdrawn_on is None else "CANCELLED"),
        ("TRANSP", "TRANSPARENT"),
        ("X-MICROSOFT-CDO-BUSYSTATUS", "FREE"),
    ]
    for key, value in values:
        event.add(key, value)
    if entry.alarm_hours is not None:
        event.add_component(_alarm(entry))
    return event


def _rule(entry: Entry) -> vRecur:
    """Its recurrence rule with its end, which is a day as the first one is: RFC 5545 section
    3.3.10."""
    until = f";UNTIL={entry.until:%Y%m%d}" if entry.until is not None else ""
    rule: vRecur = vRecur.from_ical(f"{entry.rule}{until}")
    return rule


def _alarm(entry: Entry) -> Alarm:
    """A reminder before the first day begins; with words, since some programs refuse one
    without."""
    alarm = Alarm()
    alarm.add("ACTION", "DISPLAY")
    alarm.add("DESCRIPTION", _text(entry.title))
    alarm.add("TRIGGER", -timedelta(hours=entry.alarm_hours or 0))
    return alarm


def _only_a_zone() -> Timezone:
    """A calendar object must hold something: RFC 5545 section 3.6."""
    zone, standard = Timezone(), TimezoneStandard()
    zone.add("TZID", "UTC")
    standard.add("DTSTART", datetime(1970, 1, 1))  # noqa: DTZ001 - RFC 5545 section 3.6.5 wants local time here
    standard.add("TZOFFSETFROM", timedelta(0))
    standard.add("TZOFFSETTO", timedelta(0))
    zone.add_component(standard)
    return zone


def _text(words: str) -> _Text:
    """Text without what RFC 5545 forbids in it: control characters; every kind of line end becomes
    one."""
    plain = (
        words.replace("\r\n", "\n")
        .replace("\r", "\n")
        .replace("\u2028", "\n")
        .replace("\u2029", "\n")
        .replace("\u0085", "\n")
    )
    return _Text(
        "".join(
            char
            for char in plain
            if char in "\n\t" or unicodedata.category(char) not in ("Cc", "Cs", "Cn", "Co")
        )
    )

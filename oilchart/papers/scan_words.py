"""What a telephone's camera is told by the code on a paper, and the line under it that says what it
does.

Nothing but the telephone itself is needed to act on either: a number to dial, or a day for the
calendar.
Source: tel: RFC 3966; the entry: RFC 5545, in the least form that common readers take in.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

# what a code of 57 modules holds at level M; a larger one is too fine for a small card. ISO/IEC
# 18004, table 7
MOST_BYTES = 213
SCANS_TO_CALL = "Scan to ring us"
SCANS_TO_CALENDAR = "Scan to put the day into your calendar"


@dataclass(frozen=True, slots=True, kw_only=True)
class Scan:
    """A code: its words, and what it does, for the eye."""

    words: str
    does: str


def dialled(phone: str) -> str:
    """A phone number as it is dialled: digits, and a plus in front where there is one."""
    digits = "".join(char for char in phone if char.isascii() and char.isdigit())
    return f"+{digits}" if phone.strip().startswith("+") else digits


def phone_scan(phone: str) -> Scan | None:
    """A code that rings a number; None where there is nothing to dial."""
    number = dialled(phone)
    return Scan(words=f"tel:{number}", does=SCANS_TO_CALL) if number.strip("+") else None


def day_scan(day: date, title: str) -> Scan:
    """A code that puts a whole day into a calendar; a long title gives up words until the code is
    not too fine."""
    words = title.split(" ")
    while len(words) > 1 and len(_entry(day, " ".join(words)).encode()) > MOST_BYTES:
        words.pop()
    title = " ".join(words)
    while len(_entry(day, title).encode()) > MOST_BYTES:
        title = title[:-1]
    return Scan(words=_entry(day, title), does=SCANS_TO_CALENDAR)


def _entry(day: date, title: str) -> str:
    lines = (
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "BEGIN:VEVENT",
        f"DTSTART;VALUE=DATE:{day:%Y%m%d}",
        f"SUMMARY:{_escaped(title)}",
        "END:VEVENT",
        "END:VCALENDAR",
    )
    return "\n".join(lines)


def _escaped(text: str) -> str:
    """Words as a calendar takes them, so that none of them begins a line of its own."""
    plain = " ".join(text.split())
    return plain.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,")

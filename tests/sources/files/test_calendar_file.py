"""A calendar file of the shop's own program: which of its entries stand for more days than they
show."""

from __future__ import annotations

from pathlib import Path

import pytest

from oilchart.sources.files.calendar_file import read_calendar


@pytest.mark.parametrize(
    ("line", "recurs"),
    [
        (None, False),
        ("RRULE:FREQ=WEEKLY", True),
        ("RDATE;VALUE=DATE:20261208", True),
        # one day of a weekly entry that was moved: no closure of its own
        ("RECURRENCE-ID;VALUE=DATE:20261130", True),
    ],
)
def test_an_entry_of_a_series_recurs(tmp_path: Path, line: str | None, recurs: bool) -> None:
    file = tmp_path / "shop.ics"
    event = ["UID:1", "DTSTART;VALUE=DATE:20261201", "SUMMARY:shut", *([line] if line else [])]
    lines = ["BEGIN:VCALENDAR", "BEGIN:VEVENT", *event, "END:VEVENT", "END:VCALENDAR", ""]
    file.write_bytes("\r\n".join(lines).encode())
    [entry], unread = read_calendar(file)
    assert (entry.recurs, unread) == (recurs, 0)

"""A calendar file of the shop's own program: which of its entries stand for more days than they
show, and that whatever stands in one is read, counted or refused."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from oilchart.errors import FaultyList
from oilchart.sources.files.calendar_file import read_calendar
from tests.counts import counted

NAMES = (
    "BEGIN", "END", "UID", "DTSTART", "DTEND", "DURATION", "SUMMARY", "CATEGORIES", "SEQUENCE",
    "STATUS", "RRULE", "RDATE", "RECURRENCE-ID", "TZID", "TZOFFSETTO", "X-ODD",
)  # fmt: skip
AFTER_NAMES = ("", ";VALUE=DATE", ";VALUE=PERIOD", ";TZID=Nowhere", ';X="', ";TZID=" + "x" * 300)
VALUES = (
    "VCALENDAR", "VEVENT", "VTIMEZONE", "STANDARD", "VALARM", "1", "20261201", "00010101",
    "99991231", "20270229", "20261201T090000Z", "20261201/P1D", "P1D", "-P1D", "P999999999D",
    "P99999999999999W", "9" * 5_000, "-1", "nan", "FREQ=SECONDLY;COUNT=999999999", "FREQ=", "+9999",
    "\x1b[31m", "\u202e", "a,b\\,c", "", "=?utf-8?b?",
)  # fmt: skip
LINES = st.one_of(
    st.builds("{}{}:{}".format, *map(st.sampled_from, (NAMES, AFTER_NAMES, VALUES))),
    st.text(max_size=20),
)


def save(file: Path, *lines: str, within: str = "VEVENT") -> Path:
    """A file with one entry of these lines."""
    whole = ("BEGIN:VCALENDAR", f"BEGIN:{within}", *lines, f"END:{within}", "END:VCALENDAR", "")
    file.write_bytes("\r\n".join(whole).encode(errors="surrogatepass"))
    return file


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
    event = ["UID:1", "DTSTART;VALUE=DATE:20261201", "SUMMARY:shut", *([line] if line else [])]
    [entry], unread = read_calendar(save(tmp_path / "shop.ics", *event))
    assert (entry.recurs, unread) == (recurs, 0)


@pytest.mark.parametrize(
    "line", ["DTEND;VALUE=DATE:00010101", "DURATION:P999999999D", "DURATION:P9999999999999D"]
)
def test_an_entry_that_ends_beyond_all_days_cannot_be_read(tmp_path: Path, line: str) -> None:
    file = save(tmp_path / "shop.ics", "UID:1", "DTSTART;VALUE=DATE:20261201", line)
    assert read_calendar(file) == ([], 1)


@counted
@given(lines=st.lists(LINES, max_size=8))
def test_whatever_stands_in_an_entry_it_is_read_or_counted_or_the_file_refused(
    tmp_path_factory: pytest.TempPathFactory, lines: list[str]
) -> None:
    file = tmp_path_factory.getbasetemp() / "any.ics"
    event = ["UID:1", "DTSTART;VALUE=DATE:20261201", *lines]
    for within in ("VEVENT", "VTIMEZONE"):
        try:
            entries, unread = read_calendar(save(file, *event, within=within))
        except FaultyList as refusal:
            assert [fault.startswith(f"{file}: ") for fault in refusal.faults] == [True]
        else:
            assert unread >= 0
            assert all(each.title.isprintable() and each.uid.isprintable() for each in entries)


BOMBS = {
    "a line of 5 MB": ["SUMMARY:" + "q" * 5_000_000],
    "100,000 folded lines": ["SUMMARY:" + "q\r\n " * 100_000],
    "a rule for all days": ["RRULE:FREQ=SECONDLY;COUNT=999999999", "RRULE:FREQ=DAILY;INTERVAL=0"],
    "entries in entries": ["BEGIN:VEVENT"] * 5_000 + ["END:VEVENT"] * 5_000,
    "entries that never end": ["BEGIN:VEVENT"] * 20_000,
    "1,000 entries of one uid": ["END:VEVENT", "BEGIN:VEVENT", "UID:1"] * 1_000,
    "10,000 categories": ["CATEGORIES:" + "shut," * 10_000],
}


@pytest.mark.parametrize("lines", BOMBS.values(), ids=BOMBS)
def test_a_file_that_is_made_to_take_long_does_not(tmp_path: Path, lines: list[str]) -> None:
    begun = time.process_time()
    try:
        read_calendar(save(tmp_path / "shop.ics", "UID:1", "DTSTART;VALUE=DATE:20261201", *lines))
    except FaultyList as refusal:
        assert len(refusal.faults) == 1
    assert time.process_time() - begun < 10

"""The calendar file: what RFC 5545 asks, what other readers find in it, and that unchanged calls
keep their bytes."""

from __future__ import annotations

import uuid
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import icalendar
import pytest
import vobject
from hypothesis import given
from hypothesis import strategies as st

from oilchart.core.calendar.ledger import LedgerEntry
from oilchart.core.calendar.uids import call_uid
from oilchart.papers.calendar.entry import Stamped, content, stamped
from oilchart.papers.calendar.ics import calendar_ics
from oilchart.papers.calendar.shop_entries import call_entry
from tests.builders.make import TODAY, a_chart
from tests.builders.records import a_record, an_open_call, an_owner, said
from tests.counts import counted
from tests.oracles import rfc5545

NAMESPACE = str(uuid.UUID(int=7))


def a_call(
    name: str = "Ida Brandvold",
    *,
    call_id: int = 1,
    on: date = TODAY,
    changes: int = 0,
    words: str | None = "5-8 hours a week",
) -> Stamped:
    reports = () if words is None else said(words)
    record = a_record(owner=an_owner(name=name), reports=reports)
    call = an_open_call(on, record, wanted=on + timedelta(days=14))
    entry = call_entry(call, {record.id: replace(a_chart(), name="Heron 3")})
    made = datetime(2026, 11, 16, tzinfo=UTC)
    ledger = LedgerEntry(
        uid=call_uid(NAMESPACE, call_id),
        content=content(entry),
        sequence=changes,
        made_at=made,
        changed_at=made + timedelta(days=9),
    )
    return stamped(ledger)


def test_a_call_is_a_free_whole_day_entry_with_whom_to_ring_and_about_what() -> None:
    data = calendar_ics([a_call()], name="Follow-up calls, Tidelane")
    assert rfc5545.faults(data) == []
    [event] = rfc5545.parsed(data).inner
    assert {name: value for name, _, value in event.properties} == {
        "UID": call_uid(NAMESPACE, 1),
        "DTSTAMP": "20261125T000000Z",
        "CREATED": "20261116T000000Z",
        "LAST-MODIFIED": "20261125T000000Z",
        "SEQUENCE": "0",
        "DTSTART": "20261125",
        "DTEND": "20261126",
        "SUMMARY": "Call Ida Brandvold: Heron 3 M-001",
        "DESCRIPTION": "Time for its service: Heron 3\\, M-001\\, wanted in December 2026.\\nTheir "
        "words (M-001): 5-8 hours a week\\n"
        "Ask: how much they sew now\\, and whether they have been oiling it.\\nPhone: 01632 "
        "960107\\ntel:01632960107",
        "CATEGORIES": "Follow-up call",
        "STATUS": "CONFIRMED",
        "TRANSP": "TRANSPARENT",
        "X-MICROSOFT-CDO-BUSYSTATUS": "FREE",
    }


def test_without_calls_the_file_is_still_a_calendar_that_holds_something() -> None:
    data = calendar_ics([], name="Follow-up calls")
    assert rfc5545.faults(data) == []
    assert [component.name for component in rfc5545.parsed(data).inner] == ["VTIMEZONE"]


def test_the_id_of_a_call_stays_and_says_nothing_of_the_owner() -> None:
    assert call_uid(NAMESPACE, 1) == call_uid(NAMESPACE, 1)
    assert len({call_uid(NAMESPACE, call_id) for call_id in range(500)}) == 500
    assert call_uid(NAMESPACE, 1) != call_uid(str(uuid.UUID(int=8)), 1)


def test_the_same_calls_give_the_same_bytes_and_a_changed_one_leaves_the_others_alone() -> None:
    calls = [a_call(call_id=call_id) for call_id in range(1, 4)]
    before = calendar_ics(calls, name="calls")
    assert before == calendar_ics(calls, name="calls")
    after = calendar_ics(
        [calls[0], a_call(call_id=2, on=TODAY + timedelta(days=7), changes=1), calls[2]],
        name="calls",
    )
    entries = [data.split(b"BEGIN:VEVENT") for data in (before, after)]
    assert [a == b for a, b in zip(*entries, strict=True)] == [True, True, False, True]


@pytest.mark.parametrize(
    "name",
    [
        # what the format itself uses
        "Brandvold, Ida; the elder",
        r"C:\Notes\now",
        "back\\slash\\n and \\N",
        "ends in a backslash\\",
        'quotes " and : colons',
        # lines, controls, direction marks
        "two\nlines\r\nthree\rfour",
        "bell\x07 and null\x00",
        "left‏right‮",
        # scripts, and an emoji where a line is folded
        "Łucja Wierzbicka Nguyễn Thị Bích Ольга Άννα עדה مريم",
        "x" * 55 + "🧵" * 30,
        "<b>bold</b> {{ name }} " * 12,
    ],
)
def test_text_of_every_kind_comes_back_from_other_readers(name: str) -> None:
    data = calendar_ics([a_call(name)], name=name)
    assert rfc5545.faults(data) == []
    lines = name.replace("\r\n", "\n").replace("\r", "\n")
    expected = (
        "".join(char for char in lines if char == "\n" or ord(char) >= 32) + ": Heron 3 M-001"
    )
    by_vobject = next(vobject.readComponents(data.decode(), validate=True)).vevent
    by_icalendar = icalendar.Calendar.from_ical(data).events[0]
    assert by_vobject.summary.value == f"Call {expected}"
    assert str(by_icalendar["SUMMARY"]) == f"Call {expected}"
    assert by_vobject.description.value == str(by_icalendar["DESCRIPTION"])
    assert by_vobject.dtstart.value == by_icalendar.start == TODAY
    assert by_vobject.dtend.value == by_icalendar.end == TODAY + timedelta(days=1)
    assert by_vobject.uid.value == by_icalendar["UID"] == call_uid(NAMESPACE, 1)


@counted
@given(st.text(max_size=120), st.text(max_size=120))
def test_no_text_breaks_the_file(name: str, words: str) -> None:
    assert rfc5545.faults(calendar_ics([a_call(name, words=words)], name=words)) == []


def test_the_check_itself_finds_faults() -> None:
    good = calendar_ics([a_call()], name="calls")
    broken = {
        b"STATUS:CONFIRMED": b"STATUS:CANCELED",
        b"DTEND;VALUE=DATE:20261126": b"DTEND;VALUE=DATE:20261125",
        b"TRANSP:TRANSPARENT": b"TRANSP:OPAQUE",
        b"VERSION:2.0\r\n": b"VERSION:2.0\n",
        b"REFRESH-INTERVAL;VALUE=DURATION": b"REFRESH-INTERVAL",
        b"SEQUENCE:0\r\n": b"",
        b"Heron 3 M-001": b"Heron 3, M-001",
        b"20261125T000000Z": b"20261125T000000",
        b"END:VEVENT": b"END:VTODO",
    }
    for old, new in broken.items():
        assert old in good
        assert rfc5545.faults(good.replace(old, new, 1)) != [], new

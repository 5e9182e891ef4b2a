"""Measures the writing of a calendar file against the library alone writing the same entries;
prints a ratio from one run.

By hand: python -m tests.bench.bench_calendar. `pytest` runs it once, short, to see that it works
and that both write the same.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from icalendar import Calendar, Event

from oilchart.core.calendar.ledger import LedgerEntry
from oilchart.core.calendar.uids import call_uid
from oilchart.papers.calendar.entry import Stamped, content, stamped
from oilchart.papers.calendar.ics import PRODUCT, calendar_ics
from oilchart.papers.calendar.shop_entries import call_entry
from tests.bench.measure import TIMES, Figure, hold, seconds, tell
from tests.builders.make import TODAY, a_chart
from tests.builders.records import a_record, an_open_call, an_owner, said

NAMESPACE = "6f0c2a52-9a0b-5d7e-8c41-3b1d5e2f7a90"
MADE = datetime(2026, 11, 25, tzinfo=UTC)


def some_calls(many: int) -> list[Stamped]:
    """Calls to owners with words that want escaping and folding."""
    calls = []
    velmora = replace(a_chart(), name="Velmora 7")
    for number in range(many):
        on = TODAY + timedelta(days=number % 400)
        owner = an_owner(number, f"Łucja Wierzbicka, {number}", phone="01632 960112")
        record = a_record(number, owner, reports=said("5-8 hours a week; idle Jul-Aug"))
        call = an_open_call(on, record, wanted=on + timedelta(days=14))
        entry = call_entry(call, {number: velmora})
        calls.append(
            stamped(
                LedgerEntry(
                    uid=call_uid(NAMESPACE, number),
                    content=content(entry),
                    sequence=0,
                    made_at=MADE,
                    changed_at=MADE,
                )
            )
        )
    return calls


def by_the_library(calls: list[Stamped]) -> bytes:
    """The same entries, put into the library as its documentation says."""
    calendar = Calendar()
    calendar.add("PRODID", PRODUCT)
    calendar.add("VERSION", "2.0")
    for call in calls:
        event = Event()
        event.add("UID", call.ledger.uid)
        event.add("DTSTAMP", call.ledger.changed_at)
        event.add("CREATED", call.ledger.made_at)
        event.add("LAST-MODIFIED", call.ledger.changed_at)
        event.add("SEQUENCE", call.ledger.sequence)
        event.add("DTSTART", call.entry.first)
        event.add("DTEND", call.entry.end)
        event.add("SUMMARY", call.entry.title)
        event.add("DESCRIPTION", "\n".join(call.entry.lines))
        event.add("CATEGORIES", [call.entry.category])
        event.add("STATUS", "CONFIRMED")
        event.add("TRANSP", "TRANSPARENT")
        event.add("X-MICROSOFT-CDO-BUSYSTATUS", "FREE")
        calendar.add_component(event)
    return bytes(calendar.to_ical(sorted=False))


def compare(many: int, times: int) -> float:
    """How many times as long as the library alone."""
    calls = some_calls(many)
    return seconds(lambda: calendar_ics(calls, name="Calls"), times) / seconds(
        lambda: by_the_library(calls), times
    )


def figures() -> Iterator[Figure]:
    """What writing costs."""
    yield Figure(
        words="10,000 entries take {:.2f} times as long as by the library alone",
        value=compare(many=10_000, times=TIMES),
        most=1.3,
    )


def test_the_benchmark_runs_and_both_write_the_same_entries() -> None:
    calls = some_calls(20)
    assert (
        calendar_ics(calls, name="Calls").split(b"BEGIN:VEVENT")[1:]
        == by_the_library(calls).split(b"BEGIN:VEVENT")[1:]
    )
    assert compare(many=20, times=2) > 0


@pytest.mark.full
def test_writing_takes_little_longer_than_by_the_library_alone(record_property: Any) -> None:
    hold(figures(), record_property)


if __name__ == "__main__":
    tell(figures())

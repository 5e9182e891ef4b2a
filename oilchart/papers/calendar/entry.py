"""An entry of a calendar as a plain value, and the words by which a ledger tells whether it is seen
as before."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, replace
from datetime import date

from oilchart.core.calendar.ledger import Content, LedgerEntry
from oilchart.core.days import add_days

CANCELLED = "Cancelled: "


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """An entry of whole days.

    Args:
        first, end: the days it covers, `end` excluded; of a recurring entry its first occasion.
        rule: an RFC 5545 recurrence rule; empty for an entry that stands once.
        until: the last day on which it recurs; None for an entry that stands once.
        alarm_hours: so many hours before the first day begins; None for no alarm.
    """

    first: date
    end: date
    title: str
    lines: tuple[str, ...]
    category: str
    rule: str = ""
    until: date | None = None
    alarm_hours: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stamped:
    """An entry with what its ledger says of it."""

    entry: Entry
    ledger: LedgerEntry


def content(entry: Entry) -> Content:
    """What is seen of an entry."""
    last_day = entry.until or max(entry.first, add_days(entry.end, -1))
    return Content(
        words=json.dumps(
            asdict(entry), default=date.isoformat, ensure_ascii=False, separators=(",", ":")
        ),
        last_day=last_day,
    )


def stamped(ledger: LedgerEntry) -> Stamped:
    """The entry a ledger tells of; one that was withdrawn says so, and has no alarm any more."""
    kept = json.loads(ledger.content.words)
    days = {key: date.fromisoformat(kept[key]) for key in ("first", "end")}
    until = None if kept["until"] is None else date.fromisoformat(kept["until"])
    entry = Entry(**{**kept, **days, "until": until, "lines": tuple(kept["lines"])})
    if ledger.withdrawn_on is not None:
        entry = replace(entry, title=f"{CANCELLED}{entry.title}", alarm_hours=None)
    return Stamped(entry=entry, ledger=ledger)

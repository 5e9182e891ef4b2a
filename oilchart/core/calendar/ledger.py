"""What was written into calendar files: each entry's sequence number and stamps.

They make calendar programs take every change and nothing else. An entry that is seen as before
keeps its bytes. Whatever is seen to change raises its sequence number, which never falls, and its
stamp, which is always later than any before. An entry that is wanted no more stays for some weeks
as cancelled, since programs that read the file as an import never delete one that is missing from
it; then it goes.

Source: RFC 5545 sections 3.8.7.2 to 3.8.7.4 (2009); RFC 5546 sections 2.1.4 and 2.1.5 (2009): the
higher sequence number wins, at equal numbers the later stamp.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta

CANCELLED_DAYS = 45
BACK_DAYS = 30  # how long an entry that has gone by stays in the file
ONE_SECOND = timedelta(seconds=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """What is seen of an entry of a calendar.

    Args:
        words: all of it, in whatever form; two entries that are seen alike have the same.
        last_day: the last day on which it shows.
    """

    words: str
    last_day: date


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerEntry:
    """An entry as it was last written.

    Args:
        made_at, changed_at: UTC.
        withdrawn_on: since when it is wanted no more; None while it is.
    """

    uid: str
    content: Content
    sequence: int
    made_at: datetime
    changed_at: datetime
    withdrawn_on: date | None = None


def updated_ledger(
    ledger: Iterable[LedgerEntry],
    wanted: Mapping[str, Content],
    today: date,
    *,
    done: Collection[str] = (),
) -> list[LedgerEntry]:
    """The ledger as it is after a file is written today, by day and uid.

    It has the entries that are wanted, and those that were once written.

    Args:
        ledger: as it was.
        wanted: what is to be seen, by uid.
        done: uids of entries that were seen to; they stay as they were on their day, and are not
            cancelled.
    """
    before = {entry.uid: entry for entry in ledger}
    entries = [_wanted(uid, content, before.get(uid), today) for uid, content in wanted.items()]
    entries += [
        entry if entry.uid in done else _withdrawn(entry, today)
        for entry in before.values()
        if entry.uid not in wanted
    ]
    return sorted(entries, key=lambda entry: (entry.content.last_day, entry.uid))


def entries_in_file(ledger: Iterable[LedgerEntry], today: date) -> list[LedgerEntry]:
    """The entries of a ledger that stand in the file.

    None that went by long ago does, and the cancelled ones for some weeks only.
    """
    first = today - timedelta(days=BACK_DAYS)
    cancelled = today - timedelta(days=CANCELLED_DAYS)
    return [
        entry
        for entry in ledger
        if (
            entry.content.last_day >= first
            if entry.withdrawn_on is None
            else entry.withdrawn_on > cancelled
        )
    ]


def _wanted(uid: str, content: Content, before: LedgerEntry | None, today: date) -> LedgerEntry:
    if before is None:
        now = _midnight(today)
        return LedgerEntry(uid=uid, content=content, sequence=0, made_at=now, changed_at=now)
    if before.content == content and before.withdrawn_on is None:
        return before
    return replace(_changed(before, today), content=content, withdrawn_on=None)


def _withdrawn(before: LedgerEntry, today: date) -> LedgerEntry:
    """An entry that is wanted no more; one that went by before is only past, not cancelled."""
    if before.withdrawn_on is not None or before.content.last_day < today:
        return before
    return replace(_changed(before, today), withdrawn_on=today)


def _changed(before: LedgerEntry, today: date) -> LedgerEntry:
    return replace(
        before,
        sequence=before.sequence + 1,
        changed_at=max(_midnight(today), before.changed_at + ONE_SECOND),
    )


def _midnight(day: date) -> datetime:
    return datetime.combine(day, time(), tzinfo=UTC)

"""The ledger of calendar entries in the shop book: what each was last written with."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC

from sqlalchemy import Connection, and_, select

from oilchart.core.calendar.ledger import Content, LedgerEntry
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows


class CalendarLedgerTable:
    """The ledgers of the book within a transaction, one for each calendar file."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._rows = Rows(connection)

    def read(self, feed: str) -> list[LedgerEntry]:
        """All entries that were ever in a calendar file."""
        t = schema.calendar_entry.c
        columns = (
            t.uid,
            t.content,
            t.last_day,
            t.sequence,
            t.made_at,
            t.changed_at,
            t.withdrawn_on,
        )
        query = select(*columns).where(t.feed == feed).order_by(t.last_day, t.uid)
        return [
            LedgerEntry(
                uid=row.uid,
                content=Content(words=row.content, last_day=row.last_day),
                sequence=row.sequence,
                made_at=row.made_at.replace(tzinfo=UTC),
                changed_at=row.changed_at.replace(tzinfo=UTC),
                withdrawn_on=row.withdrawn_on,
            )
            for row in self._rows.all_of(query, "a day of the calendar's ledger")
        ]

    def write(self, feed: str, before: Iterable[LedgerEntry], after: Iterable[LedgerEntry]) -> None:
        """Put in what is new or has changed."""
        known = {entry.uid: entry for entry in before}
        changed = [entry for entry in after if known.get(entry.uid) != entry]
        t = schema.calendar_entry
        for entry in changed:
            if entry.uid in known:
                self._connection.execute(
                    t.delete().where(and_(t.c.feed == feed, t.c.uid == entry.uid))
                )
        rows = [
            {
                "feed": feed,
                "uid": entry.uid,
                "content": entry.content.words,
                "last_day": entry.content.last_day,
                "sequence": entry.sequence,
                "made_at": entry.made_at.replace(tzinfo=None),
                "changed_at": entry.changed_at.replace(tzinfo=None),
                "withdrawn_on": entry.withdrawn_on,
            }
            for entry in changed
        ]
        self._rows.insert_all(t, rows)

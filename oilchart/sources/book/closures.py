"""The days on which the shop is shut, as they were read from its own calendar, in the shop book."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection, or_, select

from oilchart.core.days import Span, add_days
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Closure:
    """Days on which the shop is shut, the last one included, by the uid of their entry."""

    uid: str
    first: date
    last: date
    why: str


class ClosureTable:
    """The closures within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._rows = Rows(connection)
        self._spans: tuple[Span, ...] | None = None

    def spans(self) -> tuple[Span, ...]:
        """The days on which the shop is shut, by their first day; read once."""
        if self._spans is None:
            self._spans = self._read_spans()
        return self._spans

    def _read_spans(self) -> tuple[Span, ...]:
        t = schema.closure.c
        query = select(t.first_day, t.last_day).order_by(t.first_day, t.uid)
        rows = self._rows.all_of(query, "a day of a closure")
        return tuple(Span(first=row.first_day, end=add_days(row.last_day, 1)) for row in rows)

    def replace(self, closures: Iterable[Closure], *, since: date) -> None:
        """Put closures in place of all that end on a day or later."""
        self._spans = None
        t = schema.closure
        rows = [
            {"uid": each.uid, "first_day": each.first, "last_day": each.last, "why": each.why}
            for each in closures
        ]
        replaced = t.c.last_day >= since, t.c.uid.in_([row["uid"] for row in rows])
        self._connection.execute(t.delete().where(or_(*replaced)))
        self._rows.insert_all(t, rows)

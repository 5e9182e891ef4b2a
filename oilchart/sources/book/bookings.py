"""The days on the bench that were agreed with owners, in the shop book."""

from __future__ import annotations

from datetime import date

from sqlalchemy import Connection, and_, select

from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows


class BookingTable:
    """The booked days within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._rows = Rows(connection)

    def add(self, machine_id: int, *, day: date, made_on: date) -> None:
        """Book a day on the bench for a machine; one booked before is moved."""
        self.close(machine_id, on=made_on, by="moved")
        self._rows.insert(schema.booking, machine_id=machine_id, booked_for=day, made_on=made_on)

    def by_machine(self) -> dict[int, date]:
        """The day booked for each machine that has one, by its id."""
        t = schema.booking.c
        query = select(t.machine_id, t.booked_for).where(t.closed_on.is_(None)).order_by(t.id)
        rows = self._rows.all_of(query, "the day of a booked service")
        return {row.machine_id: row.booked_for for row in rows}

    def close(self, machine_id: int, *, on: date, by: str) -> None:
        """Close what is booked for a machine.

        Args:
            by: "service", "check-in", "moved" or "gone".
        """
        t = schema.booking
        where = and_(t.c.machine_id == machine_id, t.c.closed_on.is_(None))
        self._connection.execute(t.update().where(where).values(closed_on=on, closed_by=by))

"""The days on the bench that were agreed with owners, in the shop book."""

from __future__ import annotations

from collections import defaultdict
from datetime import date

from sqlalchemy import Connection, and_, select

from oilchart.core.records.booking import Booking, BookingEnd
from oilchart.core.records.machine_record import machine_number
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows, reading


class BookingTable:
    """The booked days within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._rows = Rows(connection)

    def add(self, machine_id: int, *, day: date, made_on: date) -> None:
        """Book a day on the bench for a machine.

        One booked before is moved; if it has gone by, it was missed; the same day again changes
        nothing.
        """
        before = self._open_of(machine_id)
        if day in before.values():
            return
        for booking_id, booked_for in before.items():
            end = BookingEnd.MOVED if booked_for >= made_on else BookingEnd.MISSED
            self._rows.update(schema.booking, booking_id, closed_on=made_on, closed_by=end)
        self._rows.insert(schema.booking, machine_id=machine_id, booked_for=day, made_on=made_on)

    def by_machine(self) -> dict[int, list[Booking]]:
        """All days that were ever booked for each machine that has any, by its id, in the order in
        which they were."""
        t = schema.booking.c
        query = select(t.machine_id, t.booked_for, t.made_on, t.closed_on, t.closed_by).order_by(
            t.id
        )
        found: dict[int, list[Booking]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of a booked service"):
            with reading(f"{machine_number(row.machine_id)}: what became of a booked day"):
                closed_by = None if row.closed_by is None else BookingEnd(row.closed_by)
            found[row.machine_id].append(
                Booking(
                    day=row.booked_for,
                    made_on=row.made_on,
                    closed_on=row.closed_on,
                    closed_by=closed_by,
                )
            )
        return found

    def close(self, machine_id: int, *, on: date, by: BookingEnd) -> None:
        """Close what is booked for a machine, where anything is."""
        for booking_id in self._open_of(machine_id):
            self._rows.update(schema.booking, booking_id, closed_on=on, closed_by=by)

    def _open_of(self, machine_id: int) -> dict[int, date]:
        """The days booked for a machine that nothing has ended, by the row's id."""
        t = schema.booking.c
        query = select(t.id, t.booked_for).where(
            and_(t.machine_id == machine_id, t.closed_on.is_(None))
        )
        rows = self._rows.all_of(query, "the day of a booked service")
        return {row.id: row.booked_for for row in rows}

"""Knows the calls of the shop book: planned or promised, what came of them, and booked services; an
open call keeps its number."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from sqlalchemy import Connection, and_, select

from oilchart.core.planning.call_plan import CallAbout, PlannedCall
from oilchart.core.planning.call_record import CallRecord, continued_calls
from oilchart.core.planning.follow_up import CallOutcome, Outcome
from oilchart.core.records.machine_record import machine_number
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows, reading


class CallTable:
    """The calls of the book within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._rows = Rows(connection)

    # calls

    def open(self) -> list[CallRecord]:
        """All calls that nothing has closed, by number."""
        t, s = schema.call.c, schema.call_service.c
        wanted: dict[int, list[tuple[int, date]]] = defaultdict(list)
        query = (
            select(s.call_id, s.machine_id, s.service_on)
            .join(schema.call, t.id == s.call_id)
            .where(t.closed_on.is_(None))
            .order_by(s.service_on, s.machine_id)
        )
        for row in self._rows.all_of(query, "the day of a call's service"):
            wanted[row.call_id].append((row.machine_id, row.service_on))
        columns = (
            t.id,
            t.owner_id,
            t.about,
            t.call_on,
            t.made_on,
            t.changed_on,
            t.changes,
            t.promised_on,
        )
        return [
            CallRecord(
                id=row.id,
                owner_id=row.owner_id,
                about=CallAbout(row.about),
                on=row.call_on,
                made_on=row.made_on,
                changed_on=row.changed_on,
                changes=row.changes,
                services=tuple(wanted[row.id]),
                promised_on=row.promised_on,
            )
            for row in self._rows.all_of(
                select(*columns).where(t.closed_on.is_(None)).order_by(t.id), "the day of a call"
            )
        ]

    def add(
        self,
        owner_id: int,
        *,
        about: CallAbout,
        on: date,
        services: Iterable[tuple[int, date]],
        made_on: date,
        promised_on: date | None = None,
    ) -> int:
        """Make a call; its number, which it keeps, is given back."""
        values = {
            "owner_id": owner_id,
            "about": about,
            "call_on": on,
            "made_on": made_on,
            "changed_on": made_on,
            "changes": 0,
        }
        call_id = self._rows.insert(schema.call, **values, promised_on=promised_on)
        self._set_services(call_id, services)
        return call_id

    def move(
        self, call_id: int, *, on: date, services: Iterable[tuple[int, date]], changed_on: date
    ) -> None:
        """Give an open call another day, or other services."""
        t = schema.call
        self._connection.execute(t.update().where(t.c.id == call_id).values(call_on=on))
        self._count_change(call_id, changed_on)
        self._connection.execute(
            schema.call_service.delete().where(schema.call_service.c.call_id == call_id)
        )
        self._set_services(call_id, services)

    def promise(self, call_id: int, on: date, changed_on: date) -> None:
        """Put an open call on a day on which it stays."""
        t = schema.call
        self._connection.execute(
            t.update().where(t.c.id == call_id).values(call_on=on, promised_on=on)
        )
        self._count_change(call_id, changed_on)

    def close(self, call_id: int, *, on: date, by: str) -> None:
        """Close a call."""
        t = schema.call
        self._connection.execute(
            t.update().where(t.c.id == call_id).values(closed_on=on, closed_by=by)
        )

    def close_of(self, machine_id: int, *, on: date, changed_on: date) -> None:
        """Take a machine served on a day off the open calls; a call left without machines is closed
        by the service."""
        t, s = schema.call.c, schema.call_service.c
        query = (
            select(s.call_id)
            .join(schema.call, t.id == s.call_id)
            .where(and_(t.closed_on.is_(None), s.machine_id == machine_id))
        )
        for call_id in self._connection.execute(query).scalars().all():
            others = (
                self._connection.execute(
                    select(s.machine_id).where(
                        and_(s.call_id == call_id, s.machine_id != machine_id)
                    )
                )
                .scalars()
                .all()
            )
            if others:
                self._connection.execute(
                    schema.call_service.delete().where(
                        and_(s.call_id == call_id, s.machine_id == machine_id)
                    )
                )
                self._count_change(call_id, changed_on)
            else:
                self.close(call_id, on=on, by="service")

    def handled(self) -> set[int]:
        """The calls that were made, or made needless by a service, on their day or after it, by
        number."""
        t = schema.call.c
        query = select(t.id).where(
            and_(t.closed_by.in_(("outcome", "service")), t.call_on <= t.closed_on)
        )
        return set(self._connection.execute(query).scalars())

    def answered_settling(self) -> set[tuple[int, date]]:
        """The machines, by number in the book and day they were freed, whose owners were rung about
        settling in with an end to it."""
        t, s = schema.call.c, schema.call_service.c
        query = (
            select(s.machine_id, s.service_on)
            .join(schema.call, t.id == s.call_id)
            .where(and_(t.about == CallAbout.SETTLING_IN, t.closed_by == "outcome"))
        )
        return {
            (row.machine_id, row.service_on)
            for row in self._rows.all_of(query, "the day a machine was freed")
        }

    # what came of them

    def add_outcome(self, owner_id: int, outcome: CallOutcome, call_id: int | None) -> None:
        """Keep what came of a call."""
        self._rows.insert(
            schema.outcome,
            owner_id=owner_id,
            call_id=call_id,
            about=outcome.about,
            told_on=outcome.on,
            outcome=outcome.outcome,
            day=outcome.day,
            note=outcome.note,
            machines=";".join(map(machine_number, outcome.machines)),
        )

    def outcomes(self) -> dict[int, list[CallOutcome]]:
        """What came of all calls, by the owner's number in the book, in the order of their days."""
        t = schema.outcome.c
        found: dict[int, list[CallOutcome]] = defaultdict(list)
        for row in self._rows.all_of(
            self._outcomes().order_by(t.owner_id, t.told_on, t.id), "the day of a call's outcome"
        ):
            found[row.owner_id].append(_outcome_from_row(row))
        return found

    def outcomes_by_call(self) -> dict[int, list[CallOutcome]]:
        """What came of each open call so far, by its number."""
        t = schema.outcome.c
        query = (
            self._outcomes()
            .join(schema.call, schema.call.c.id == t.call_id)
            .where(schema.call.c.closed_on.is_(None))
        )
        found: dict[int, list[CallOutcome]] = defaultdict(list)
        for row in self._rows.all_of(
            query.order_by(t.told_on, t.id), "the day of a call's outcome"
        ):
            found[row.call_id].append(_outcome_from_row(row))
        return found

    # services that were booked

    def book_service(self, machine_id: int, *, day: date, made_on: date) -> None:
        """Book a day on the bench for a machine; one booked before is moved."""
        self.close_bookings(machine_id, on=made_on, by="moved")
        self._rows.insert(schema.booking, machine_id=machine_id, booked_for=day, made_on=made_on)

    def bookings(self) -> dict[int, date]:
        """The day booked for each machine that has one, by its number in the book."""
        t = schema.booking.c
        query = select(t.machine_id, t.booked_for).where(t.closed_on.is_(None)).order_by(t.id)
        return {
            row.machine_id: row.booked_for
            for row in self._rows.all_of(query, "the day of a booked service")
        }

    def close_bookings(self, machine_id: int, *, on: date, by: str) -> None:
        """Close what is booked for a machine."""
        t = schema.booking
        where = and_(t.c.machine_id == machine_id, t.c.closed_on.is_(None))
        self._connection.execute(t.update().where(where).values(closed_on=on, closed_by=by))

    def _outcomes(self) -> Any:
        t = schema.outcome.c
        return select(
            t.owner_id, t.call_id, t.about, t.told_on, t.outcome, t.day, t.note, t.machines
        )

    def _count_change(self, call_id: int, on: date) -> None:
        t = schema.call
        self._connection.execute(
            t.update().where(t.c.id == call_id).values(changed_on=on, changes=t.c.changes + 1)
        )

    def _set_services(self, call_id: int, services: Iterable[tuple[int, date]]) -> None:
        rows = [
            {"call_id": call_id, "machine_id": machine_id, "service_on": on}
            for machine_id, on in services
        ]
        self._connection.execute(schema.call_service.insert(), rows)


def sync_calls(book: CallTable, planned: Sequence[PlannedCall], today: date) -> None:
    """Bring the open calls of the book in line with the plan, keeping the number of every call that
    goes on."""
    rows = {row.id: row for row in book.open()}
    for call, row in continued_calls(planned, rows.values()):
        services = tuple((service.machine, service.on) for service in call.services)
        if row is None:
            book.add(call.owner, about=call.about, on=call.on, services=services, made_on=today)
            continue
        del rows[row.id]
        if (row.on, row.services) != (call.on, services):
            book.move(row.id, on=call.on, services=services, changed_on=today)
    for row in rows.values():
        book.close(row.id, on=today, by="withdrawn")


def _outcome_from_row(row: Any) -> CallOutcome:
    with reading(f"what came of the call of {row.told_on}"):
        machines = tuple(
            int(number.removeprefix("M-")) for number in row.machines.split(";") if number
        )
        return CallOutcome(
            on=row.told_on,
            outcome=Outcome(row.outcome),
            about=CallAbout(row.about),
            day=row.day,
            note=row.note,
            machines=machines,
        )

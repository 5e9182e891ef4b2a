"""The calls of the shop book, planned or promised; an open call keeps its number."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date

from sqlalchemy import Connection, and_, select

from oilchart.core.planning.call_plan import CallAbout, PlannedCall
from oilchart.core.planning.call_record import CallRecord, continued_calls
from oilchart.sources.book import schema
from oilchart.sources.book.rows import Rows, reading


class CallTable:
    """The calls within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._rows = Rows(connection)

    def open(self) -> list[CallRecord]:
        """All calls that nothing has closed, by number."""
        t, s = schema.call.c, schema.call_service.c
        wanted: dict[int, list[tuple[int, date]]] = defaultdict(list)
        services = (
            select(s.call_id, s.machine_id, s.service_on)
            .join(schema.call, t.id == s.call_id)
            .where(t.closed_on.is_(None))
            .order_by(s.service_on, s.machine_id)
        )
        for row in self._rows.all_of(services, "the day of a call's service"):
            wanted[row.call_id].append((row.machine_id, row.service_on))
        query = (
            select(t.id, t.owner_id, t.about, t.call_on, t.promised_on)
            .where(t.closed_on.is_(None))
            .order_by(t.id)
        )
        calls = []
        for row in self._rows.all_of(query, "the day of a call"):
            with reading(f"what call {row.id} is about"):
                about = CallAbout(row.about)
            calls.append(
                CallRecord(
                    id=row.id,
                    owner_id=row.owner_id,
                    about=about,
                    on=row.call_on,
                    services=tuple(wanted[row.id]),
                    promised_on=row.promised_on,
                )
            )
        return calls

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
        """Make a call; its number, which it keeps, is given back.

        Args:
            services: each machine by its id, and the day its service is planned for.
        """
        call_id = self._rows.insert(
            schema.call,
            owner_id=owner_id,
            about=about,
            call_on=on,
            made_on=made_on,
            changed_on=made_on,
            changes=0,
            promised_on=promised_on,
        )
        self._add_services(call_id, services)
        return call_id

    def move(
        self, call_id: int, *, on: date, services: Iterable[tuple[int, date]], changed_on: date
    ) -> None:
        """Give an open call another day, or other services."""
        self._rows.update(schema.call, call_id, call_on=on, **_one_change_more(changed_on))
        t = schema.call_service
        self._connection.execute(t.delete().where(t.c.call_id == call_id))
        self._add_services(call_id, services)

    def promise(self, call_id: int, on: date, changed_on: date) -> None:
        """Put an open call on a day on which it stays."""
        self._rows.update(
            schema.call, call_id, call_on=on, promised_on=on, **_one_change_more(changed_on)
        )

    def close(self, call_id: int, *, on: date, by: str) -> None:
        """Close a call.

        Args:
            by: "service", "withdrawn" or "outcome".
        """
        self._rows.update(schema.call, call_id, closed_on=on, closed_by=by)

    def withdrawn_promises(self, owners: Iterable[int], since: date) -> dict[int, date]:
        """The promised calls to owners that the plan has withdrawn on a day or after it, by number,
        each with that day."""
        t = schema.call.c
        query = select(t.id, t.closed_on).where(
            and_(
                t.owner_id.in_(list(owners)),
                t.promised_on.is_not(None),
                t.closed_by == "withdrawn",
                t.closed_on >= since,
            )
        )
        return {row.id: row.closed_on for row in self._rows.all_of(query, "the day of a call")}

    def reopen(self, call_id: int) -> None:
        """Open a call again that was closed."""
        self._rows.update(schema.call, call_id, closed_on=None, closed_by=None)

    def take_off(self, machine_id: int, *, on: date, changed_on: date) -> None:
        """Take a machine served on a day off the open calls; a call left without machines is closed
        by the service."""
        t, s = schema.call.c, schema.call_service.c
        query = (
            select(s.call_id)
            .join(schema.call, t.id == s.call_id)
            .where(and_(t.closed_on.is_(None), s.machine_id == machine_id))
        )
        for call_id in self._connection.execute(query).scalars().all():
            of_others = select(s.machine_id).where(
                and_(s.call_id == call_id, s.machine_id != machine_id)
            )
            if self._connection.execute(of_others).first() is None:
                self.close(call_id, on=on, by="service")
                continue
            self._connection.execute(
                schema.call_service.delete().where(
                    and_(s.call_id == call_id, s.machine_id == machine_id)
                )
            )
            self._rows.update(schema.call, call_id, **_one_change_more(changed_on))

    def hand_over(self, machine_id: int, owner_id: int, changed_on: date) -> None:
        """Make the open calls about a machine calls to another owner: those about it alone as they
        are; of those about others, too, it is taken off, and a promised one is promised anew."""
        for call in [each for each in self.open() if machine_id in dict(each.services)]:
            if len(call.services) == 1:
                changed = _one_change_more(changed_on)
                self._rows.update(schema.call, call.id, owner_id=owner_id, **changed)
                continue
            others = [each for each in call.services if each[0] != machine_id]
            self.move(call.id, on=call.on, services=others, changed_on=changed_on)
            if call.promised_on is not None:
                self.add(
                    owner_id,
                    about=call.about,
                    on=call.on,
                    services=[(machine_id, dict(call.services)[machine_id])],
                    made_on=changed_on,
                    promised_on=call.promised_on,
                )

    def give_all(self, owner_id: int, to: int) -> None:
        """Make all calls to an owner calls to another."""
        t = schema.call
        self._rows.update_all(t, t.c.owner_id == owner_id, owner_id=to)

    def handled(self) -> frozenset[int]:
        """The calls that were made, or made needless by a service, on their day or after it, by
        number."""
        t = schema.call.c
        query = select(t.id).where(
            and_(t.closed_by.in_(("outcome", "service")), t.call_on <= t.closed_on)
        )
        return frozenset(self._connection.execute(query).scalars())

    def answered_settling(self) -> set[tuple[int, date]]:
        """The machines, by id and day they were freed, whose owners were rung about settling in
        with an end to it; not those that were handed on since."""
        t, s, machine = schema.call.c, schema.call_service.c, schema.machine.c
        query = (
            select(s.machine_id, s.service_on)
            .join(schema.call, t.id == s.call_id)
            .join(schema.machine, machine.id == s.machine_id)
            .where(and_(t.about == CallAbout.SETTLING_IN, t.closed_by == "outcome"))
            .where(t.owner_id == machine.owner_id)
        )
        rows = self._rows.all_of(query, "the day a machine was freed")
        return {(row.machine_id, row.service_on) for row in rows}

    def _add_services(self, call_id: int, services: Iterable[tuple[int, date]]) -> None:
        rows = [
            {"call_id": call_id, "machine_id": machine_id, "service_on": on}
            for machine_id, on in services
        ]
        self._rows.insert_all(schema.call_service, rows)


def sync_calls(table: CallTable, planned: Sequence[PlannedCall], today: date) -> None:
    """Bring the open calls of the book in line with the plan, keeping the number of every call that
    continues."""
    ended = {row.id: row for row in table.open()}
    for call, row in continued_calls(planned, ended.values()):
        services = tuple((service.machine, service.on) for service in call.services)
        if row is None:
            table.add(call.owner, about=call.about, on=call.on, services=services, made_on=today)
            continue
        del ended[row.id]
        if (row.on, row.services) != (call.on, services):
            table.move(row.id, on=call.on, services=services, changed_on=today)
    for call_id in ended:
        table.close(call_id, on=today, by="withdrawn")


def _one_change_more(on: date) -> dict[str, object]:
    """The columns that tell when a call was last changed, and how often."""
    return {"changed_on": on, "changes": schema.call.c.changes + 1}

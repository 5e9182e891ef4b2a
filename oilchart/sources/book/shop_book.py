"""Knows the shop book: owners, machines, what was reported, services and calls; everything within
one transaction."""

from __future__ import annotations

import uuid
from collections import defaultdict
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import date
from functools import lru_cache
from operator import attrgetter
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, and_, func, or_, select
from sqlalchemy.exc import DatabaseError

from oilchart.core.lists.point_list import Need
from oilchart.core.records.findings import Finding, Found, Left
from oilchart.core.records.job import ElectricalCheck, Job, Unsafe
from oilchart.core.records.machine_record import MachineRecord, machine_number
from oilchart.core.records.owner import DoNotContact, Owner, Way, owner_number
from oilchart.core.records.service_record import ServiceRecord
from oilchart.core.use.report import Report
from oilchart.sources.book import schema
from oilchart.sources.book.calendar_ledger import CalendarLedgerTable
from oilchart.sources.book.calls import CallTable
from oilchart.sources.book.own_intervals import OwnIntervalTable
from oilchart.sources.book.rows import Rows, reading
from oilchart.sources.words.report_json import keep, recall


@contextmanager
def transaction(path: Path, *, writing: bool) -> Iterator[Book]:
    """Open the book for one transaction: all of it is on disk in the end, or nothing.

    Args:
        writing: take the right to write at once, so that two programs never write over each other.

    Raises:
        BookFault: it is no book, or another program holds it too long, or the folder cannot be
            written.
    """
    engine = schema.open_book(path, writing=writing)
    try:
        with engine.begin() as connection:
            yield Book(connection)
    except DatabaseError as error:
        raise schema.refusal(path, error) from None


class Book:
    """The book within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._rows = Rows(connection)
        self.calls = CallTable(connection)
        self.ledger = CalendarLedgerTable(connection)
        self.own_intervals = OwnIntervalTable(connection)

    @property
    def namespace(self) -> str:
        """The random namespace from which calendar ids are made."""
        kept = self._connection.execute(
            select(schema.meta.c.value).where(schema.meta.c.key == "namespace")
        ).scalar_one_or_none()
        with reading("the namespace of its calendar"):
            return str(uuid.UUID(kept))

    # owners

    def add_owner(
        self, *, name: str, phone: str, email: str, on: date, address: Iterable[str] = ()
    ) -> Owner:
        """Add an owner."""
        lines = tuple(address)
        owner_id = self._rows.insert(
            schema.owner, name=name, phone=phone, email=email, added_on=on, address="\n".join(lines)
        )
        return Owner(id=owner_id, name=name, phone=phone, email=email, address=lines)

    def owners(self) -> dict[int, Owner]:
        """All owners by their number in the book."""
        t = schema.owner.c
        owners = {}
        columns = (
            t.id,
            t.name,
            t.phone,
            t.email,
            t.can,
            t.reached_by,
            t.best_time,
            t.phone_wrong,
            t.left_alone_on,
            t.left_alone_why,
        )
        for row in self._rows.all_of(
            select(*columns, t.address).order_by(t.id), "the day from which an owner is left alone"
        ):
            with reading(f"{owner_number(row.id)}: what this owner can do"):
                owners[row.id] = _owner_from_row(row)
        return owners

    def edit_owner(self, owner_id: int, owner: Owner) -> None:
        """Put an owner as they are now into the book."""
        t = schema.owner
        values = {
            "name": owner.name,
            "phone": owner.phone,
            "email": owner.email,
            "can": ", ".join(owner.can),
            "reached_by": owner.reached_by,
            "best_time": owner.best_time,
            "phone_wrong": int(owner.phone_wrong),
            "left_alone_on": owner.do_not_contact.on if owner.do_not_contact else None,
            "left_alone_why": owner.do_not_contact.why if owner.do_not_contact else None,
            "address": "\n".join(owner.address),
        }
        self._connection.execute(t.update().where(t.c.id == owner_id).values(**values))

    # machines

    def add_machine(self, *, owner_id: int, model: str, serial: str, note: str, on: date) -> int:
        """Add a machine; its number in the book is given back."""
        return self._rows.insert(
            schema.machine,
            owner_id=owner_id,
            model=model,
            serial=serial,
            note=note,
            conditions="",
            added_on=on,
        )

    def edit_machine(
        self,
        machine_id: int,
        *,
        serial: str,
        note: str,
        conditions: Iterable[str],
        mechanisms: Iterable[str] = (),
    ) -> None:
        """Give a machine another serial number, note, conditions and mechanisms."""
        t = schema.machine
        values = {
            "serial": serial,
            "note": note,
            "conditions": ", ".join(conditions),
            "mechanisms": ", ".join(mechanisms),
        }
        self._connection.execute(t.update().where(t.c.id == machine_id).values(**values))

    def mark_gone(self, machine_id: int, *, why: str, on: date, changed_on: date) -> None:
        """Note that a machine is not looked after any more: nobody is rung about it; it is kept in
        the book."""
        self.calls.close_of(machine_id, on=on, changed_on=changed_on)
        self.calls.close_bookings(machine_id, on=on, by="gone")
        t = schema.machine
        self._connection.execute(
            t.update().where(t.c.id == machine_id).values(gone_on=on, gone_why=why)
        )

    def restore(self, machine_id: int) -> None:
        """Look after a machine again."""
        t = schema.machine
        self._connection.execute(
            t.update().where(t.c.id == machine_id).values(gone_on=None, gone_why=None)
        )

    def gone(self) -> dict[int, str]:
        """What became of the machines that are not looked after any more, by id: "sold,
        2026-11-25"."""
        t = schema.machine.c
        query = select(t.id, t.gone_on, t.gone_why).where(t.gone_on.is_not(None))
        rows = self._rows.all_of(query, "the day a machine went")
        return {row.id: f"{row.gone_why}, {row.gone_on}" for row in rows}

    def machines(self) -> list[MachineRecord]:
        """All machines that are looked after, with their reports and services, by number."""
        owners = self.owners()
        reports, services, jobs, checks = (
            self._reports(),
            self._services(),
            self._jobs(),
            self._checks(),
        )
        booked, own_intervals = self.calls.bookings(), self.own_intervals.all()
        t = schema.machine.c
        columns = (
            t.id,
            t.owner_id,
            t.model,
            t.serial,
            t.note,
            t.conditions,
            t.mechanisms,
            t.added_on,
            t.unsafe_on,
            t.unsafe_why,
        )
        query = select(*columns).where(t.gone_on.is_(None)).order_by(t.id)
        records = []
        for row in self._rows.all_of(query, "the day a machine was added"):
            with reading(f"{machine_number(row.id)}: its owner"):
                owner = owners[row.owner_id]
            records.append(
                MachineRecord(
                    id=row.id,
                    owner=owner,
                    model=row.model,
                    serial=row.serial,
                    note=row.note,
                    conditions=_words(row.conditions),
                    mechanisms=_words(row.mechanisms),
                    added_on=row.added_on,
                    unsafe=None
                    if row.unsafe_on is None
                    else Unsafe(on=row.unsafe_on, why=row.unsafe_why or ""),
                    jobs=tuple(jobs[row.id]),
                    checks=tuple(checks[row.id]),
                    reports=tuple(reports[row.id]),
                    services=tuple(services[row.id]),
                    booked=booked.get(row.id),
                    own_intervals=tuple(own_intervals[row.id]),
                )
            )
        return records

    # stays in the shop

    def add_job(
        self, machine_id: int, *, in_on: date, complaint: str, left_with: Iterable[str]
    ) -> int:
        """Note that a machine came into the shop; the stay's number is given back."""
        return self._rows.insert(
            schema.job,
            machine_id=machine_id,
            in_on=in_on,
            complaint=complaint,
            left_with=", ".join(left_with),
            waiting_for="",
        )

    def edit_job(self, job: Job) -> None:
        """Put a stay as it is now into the book."""
        t = schema.job
        values = {"waiting_for": job.waiting_for, "ready_on": job.ready_on, "out_on": job.out_on}
        self._connection.execute(t.update().where(t.c.id == job.id).values(**values))

    def set_unsafe(self, machine_id: int, unsafe: Unsafe | None) -> None:
        """Note that a machine must not be plugged in, or that nothing is known against it any
        more."""
        t = schema.machine
        values = {
            "unsafe_on": unsafe.on if unsafe else None,
            "unsafe_why": unsafe.why if unsafe else None,
        }
        self._connection.execute(t.update().where(t.c.id == machine_id).values(**values))

    def add_check(self, machine_id: int, check: ElectricalCheck) -> None:
        """Keep an electrical check."""
        self._rows.insert(
            schema.electrical_check,
            machine_id=machine_id,
            checked_on=check.on,
            checked_by=check.by,
            passed=int(check.passed),
        )

    # what was reported, what was done

    def add_report(self, machine_id: int, report: Report) -> None:
        """Keep what an owner said."""
        self._rows.insert(
            schema.report,
            machine_id=machine_id,
            said_on=report.said,
            words=report.words,
            understood=keep(report),
        )

    def add_service(
        self,
        machine_id: int,
        *,
        on: date,
        findings: Iterable[Finding],
        note: str,
        freed: bool = False,
    ) -> int:
        """Keep a service with the points done, as found and as left."""
        service_id = self._rows.insert(
            schema.service, machine_id=machine_id, done_on=on, note=note, freed=int(freed)
        )
        rows = [
            {
                "service_id": service_id,
                "point_id": finding.point,
                "done": int(finding.done),
                "found": ", ".join(finding.found),
                "left": finding.left or "",
            }
            for finding in findings
        ]
        if rows:
            self._connection.execute(schema.service_point.insert(), rows)
        return service_id

    # rows

    def _reports(self) -> dict[int, list[Report]]:
        t = schema.report.c
        query = select(t.machine_id, t.said_on, t.words, t.understood).order_by(
            t.machine_id, t.said_on, t.id
        )
        found: dict[int, list[Report]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of a report"):
            with reading(f"{machine_number(row.machine_id)}: the report of {row.said_on}"):
                found[row.machine_id].append(recall(row.said_on, row.words, row.understood))
        return found

    def _services(self) -> dict[int, list[ServiceRecord]]:
        findings = self._findings()
        t = schema.service.c
        found: dict[int, list[ServiceRecord]] = defaultdict(list)
        services = select(t.id, t.machine_id, t.done_on, t.note, t.freed).order_by(
            t.machine_id, t.done_on, t.id
        )
        for row in self._rows.all_of(services, "the day of a service"):
            record = ServiceRecord(
                id=row.id,
                on=row.done_on,
                findings=findings.get(row.id, ()),
                note=row.note,
                freed=bool(row.freed),
            )
            found[row.machine_id].append(record)
        return found

    def _findings(self) -> dict[int, tuple[Finding, ...]]:
        """What was noted at each service, by its number in the book; the points in the order of
        their ids.

        At most points nothing was noted but that they were done: these are read as one row a
        service, and are made once.
        """
        s = schema.service_point.c
        told: dict[int, list[Finding]] = defaultdict(list)
        columns = select(s.service_id, s.point_id, s.done, s.found, s.left)
        query = columns.where(or_(s.done != 1, s.found != "", s.left != "")).order_by(
            s.service_id, s.point_id
        )
        for service_id, *noted in self._connection.execute(query).all():
            with reading(f'what service {service_id} noted of point "{noted[0]}"'):
                told[service_id].append(_finding(*noted))
        done_only = and_(s.done == 1, s.found == "", s.left == "")
        joined = (
            select(s.service_id, func.aggregate_strings(s.point_id, "\n").label("points"))
            .where(done_only)
            .group_by(s.service_id)
        )
        done = {row.service_id: row.points for row in self._connection.execute(joined).all()}
        findings = {service_id: _done_only(points) for service_id, points in done.items()}
        for service_id, findings_told in told.items():
            findings[service_id] = tuple(
                sorted((*findings.get(service_id, ()), *findings_told), key=attrgetter("point"))
            )
        return findings

    def _jobs(self) -> dict[int, list[Job]]:
        t = schema.job.c
        query = select(
            t.machine_id,
            t.id,
            t.in_on,
            t.complaint,
            t.left_with,
            t.waiting_for,
            t.ready_on,
            t.out_on,
        )
        found: dict[int, list[Job]] = defaultdict(list)
        for row in self._rows.all_of(
            query.order_by(t.machine_id, t.in_on, t.id), "the day of a stay in the shop"
        ):
            found[row.machine_id].append(
                Job(
                    id=row.id,
                    in_on=row.in_on,
                    complaint=row.complaint,
                    left_with=_words(row.left_with),
                    waiting_for=row.waiting_for,
                    ready_on=row.ready_on,
                    out_on=row.out_on,
                )
            )
        return found

    def _checks(self) -> dict[int, list[ElectricalCheck]]:
        t = schema.electrical_check.c
        query = select(t.machine_id, t.checked_on, t.checked_by, t.passed).order_by(
            t.machine_id, t.checked_on, t.id
        )
        found: dict[int, list[ElectricalCheck]] = defaultdict(list)
        for row in self._rows.all_of(query, "the day of an electrical check"):
            found[row.machine_id].append(
                ElectricalCheck(on=row.checked_on, by=row.checked_by, passed=bool(row.passed))
            )
        return found


def _owner_from_row(row: Any) -> Owner:
    return Owner(
        id=row.id,
        name=row.name,
        phone=row.phone,
        email=row.email,
        can=tuple(Need(word) for word in _words(row.can)),
        reached_by=Way(row.reached_by),
        best_time=row.best_time,
        phone_wrong=bool(row.phone_wrong),
        do_not_contact=None
        if row.left_alone_on is None
        else DoNotContact(on=row.left_alone_on, why=row.left_alone_why or ""),
        address=tuple(line for line in row.address.splitlines() if line.strip()),
    )


def _words(joined: str) -> tuple[str, ...]:
    return tuple(word for word in joined.split(", ") if word)


@lru_cache(maxsize=4_096)
def _done_only(points: str) -> tuple[Finding, ...]:
    """The findings of points, joined by line ends, of which nothing was noted but that they were
    done; by id."""
    return tuple(_finding(point, 1, "", "") for point in sorted(points.split("\n")))


@lru_cache(maxsize=16_384)
def _finding(point: str, done: int, found: str, left: str) -> Finding:
    """A finding from its row; one for all that are alike, since a book has a hundred for each
    machine."""
    return Finding(
        point=point,
        done=bool(done),
        found=tuple(Found(word) for word in _words(found)),
        left=Left(left) if left else None,
    )

"""The machines of the shop book, those that are gone apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy import Connection, func, select
from sqlalchemy.sql.expression import ColumnElement

from oilchart.core.records.handing_on import for_present_owner
from oilchart.core.records.machine_record import Gone, MachineRecord, machine_number
from oilchart.core.records.owner import Owner
from oilchart.sources.book import schema
from oilchart.sources.book.bookings import BookingTable
from oilchart.sources.book.conditions import WorkedUnderTable
from oilchart.sources.book.handings_on import HandingOnTable
from oilchart.sources.book.jobs import JobTable
from oilchart.sources.book.notes import NoteTable
from oilchart.sources.book.own_intervals import OwnIntervalTable
from oilchart.sources.book.owners import OwnerTable
from oilchart.sources.book.photos import PhotoTable
from oilchart.sources.book.reports import ReportTable
from oilchart.sources.book.rows import Rows, reading, words_in
from oilchart.sources.book.safety_and_repairs import (
    CheckTable,
    RepairTable,
    UnsafeMarkTable,
    WithoutPointTable,
)
from oilchart.sources.book.services import ServiceTable
from oilchart.sources.book.waiting import PartTable, QuestionTable


@dataclass(frozen=True, slots=True, kw_only=True)
class SerialNumber:
    """A machine's serial number.

    Args:
        gone: what became of the machine, like "sold, 2026-11-25"; empty while it is looked after.
    """

    machine: int
    serial: str
    gone: str


class MachineTable:
    """The machines within a transaction."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._rows = Rows(connection)

    def add(
        self,
        *,
        owner_id: int,
        model: str,
        serial: str,
        on: date,
        name: str = "",
        mark: str = "",
    ) -> int:
        """Add a machine; its id is given back."""
        return self._rows.insert(
            schema.machine,
            owner_id=owner_id,
            model=model,
            serial=serial,
            added_on=on,
            name=name,
            mark=mark,
        )

    def edit(self, record: MachineRecord) -> None:
        """Put a machine's owner, model, serial number, name, mark and mechanisms as they are now
        into the book."""
        self._rows.update(
            schema.machine,
            record.id,
            owner_id=record.owner.id,
            model=record.model,
            serial=record.serial,
            mechanisms=", ".join(record.mechanisms),
            name=record.name,
            mark=record.mark,
        )

    def give_all(self, owner_id: int, to: int) -> None:
        """Make all machines of an owner another's, those that are gone, too."""
        t = schema.machine
        self._rows.update_all(t, t.c.owner_id == owner_id, owner_id=to)

    def mark_gone(self, machine_id: int, *, why: str, on: date) -> None:
        """Note that a machine is not looked after any more; it is kept in the book."""
        self._rows.update(schema.machine, machine_id, gone_on=on, gone_why=why)

    def restore(self, machine_id: int) -> None:
        """Look after a machine again."""
        self._rows.update(schema.machine, machine_id, gone_on=None, gone_why=None)

    def serials(self) -> list[SerialNumber]:
        """The serial numbers of all machines, those that are gone, too, by the machine's number."""
        t = schema.machine.c
        query = select(t.id, t.serial, t.gone_on, t.gone_why).where(t.serial != "").order_by(t.id)
        return [
            SerialNumber(
                machine=row.id,
                serial=row.serial,
                gone=f"{row.gone_why}, {row.gone_on}" if row.gone_on is not None else "",
            )
            for row in self._rows.all_of(query, "the day a machine went")
        ]

    def gone(self) -> dict[int, str]:
        """What became of the machines that are not looked after any more, by id: "sold,
        2026-11-25"."""
        t = schema.machine.c
        query = select(t.id, t.gone_on, t.gone_why).where(t.gone_on.is_not(None))
        rows = self._rows.all_of(query, "the day a machine went")
        return {row.id: f"{row.gone_why}, {row.gone_on}" for row in rows}

    def counts_by_owner(self) -> dict[int, int]:
        """How many machines of each owner are looked after, by the owner's id; none without any."""
        t = schema.machine.c
        query = (
            select(t.owner_id, func.count().label("machines"))
            .where(t.gone_on.is_(None))
            .group_by(t.owner_id)
        )
        return {row.owner_id: row.machines for row in self._rows.all_of(query, "a machine's owner")}

    def all(self, owners: Mapping[int, Owner] | None = None) -> list[MachineRecord]:
        """All machines that are looked after, with all that the book has of them, by number.

        Args:
            owners: all owners by id, where they were read already.
        """
        return self._read(owners, schema.machine.c.gone_on.is_(None))

    def all_gone(self) -> list[MachineRecord]:
        """All that are not looked after any more, with all that the book has of them, by number."""
        return self._read(None, schema.machine.c.gone_on.is_not(None))

    def _read(
        self, owners: Mapping[int, Owner] | None, which: ColumnElement[bool]
    ) -> list[MachineRecord]:
        if owners is None:
            owners = OwnerTable(self._connection).all()
        reports = ReportTable(self._connection).by_machine()
        services = ServiceTable(self._connection).by_machine()
        jobs = JobTable(self._connection).by_machine()
        parts = PartTable(self._connection).by_machine()
        questions = QuestionTable(self._connection).by_machine()
        photos = PhotoTable(self._connection).by_machine()
        checks = CheckTable(self._connection).by_machine()
        marks = UnsafeMarkTable(self._connection).by_machine()
        repairs = RepairTable(self._connection).by_machine()
        without = WithoutPointTable(self._connection).by_machine()
        notes = NoteTable(self._connection).by_machine()
        bookings = BookingTable(self._connection).by_machine()
        own_intervals = OwnIntervalTable(self._connection).by_machine()
        worked_under = WorkedUnderTable(self._connection).by_machine()
        handings_on = HandingOnTable(self._connection).by_machine(owners)
        t = schema.machine.c
        query = (
            select(
                t.id,
                t.owner_id,
                t.model,
                t.serial,
                t.mechanisms,
                t.name,
                t.mark,
                t.added_on,
                t.gone_on,
                t.gone_why,
            )
            .where(which)
            .order_by(t.id)
        )
        records = []
        for row in self._rows.all_of(query, "the day a machine was added"):
            with reading(f"{machine_number(row.id)}: its owner"):
                owner = owners[row.owner_id]
            gone = None if row.gone_on is None else Gone(on=row.gone_on, why=row.gone_why or "")
            record = MachineRecord(
                id=row.id,
                owner=owner,
                model=row.model,
                serial=row.serial,
                mechanisms=words_in(row.mechanisms),
                worked_under=tuple(worked_under.get(row.id, ())),
                name=row.name,
                mark=row.mark,
                added_on=row.added_on,
                notes=tuple(notes.get(row.id, ())),
                unsafe_marks=tuple(marks.get(row.id, ())),
                repairs=tuple(repairs.get(row.id, ())),
                without=tuple(without.get(row.id, ())),
                jobs=tuple(jobs.get(row.id, ())),
                parts=tuple(parts.get(row.id, ())),
                questions=tuple(questions.get(row.id, ())),
                photos=tuple(photos.get(row.id, ())),
                checks=tuple(checks.get(row.id, ())),
                reports=tuple(reports.get(row.id, ())),
                services=tuple(services.get(row.id, ())),
                bookings=tuple(bookings.get(row.id, ())),
                own_intervals=tuple(own_intervals.get(row.id, ())),
                gone=gone,
            )
            handing = handings_on.get(row.id)
            records.append(record if handing is None else for_present_owner(record, handing))
        return records
